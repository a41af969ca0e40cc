#include "runtime/draw/view_joint.h"

#include <math.h>

#include "runtime/draw/view_cut.h"
#include "runtime/engine/feature.h"
#include "runtime/engine/joint.h"

/* The window into the joint on the page: along the screw, and across it; then a balloon's room beyond two sides. */
static const double DEEP = 47, BROAD = 44, BALLOON_R = 2.7, BALLOON_OFF = 3.9;
/* What is left free before the head and behind the tip. */
static const double AIR = 2.5;

typedef struct close_up {
	const model *m;
	const model_joint *j;
	model_ref joint;
	axis n, across, along;	   /* towards b and away; across the joint; square to the section */
	double sign;		   /* +1: a lies on the rising side of the contact */
	double at;		   /* the plane along `along` */
	double contact, middle;	   /* the window's: along n, across */
	const model_feature *hole; /* clearance of the screw, or NULL */
	double n0, n1, c0, c1;	   /* window in cabinet mm, n0 < n1 */
	view_section_map map;
	bool level, a_first, b_first; /* n lies level on the page; the balloons stand left of or above their parts */
	view_joint_report told;
} close_up;

static double mm(rat r) { return rat_double(r); }
static double given(rat r) { return rat_ok(r) ? rat_double(r) : 0; }

static void axes_of(close_up *c) {
	const model_joint *j = c->j;
	c->n = face_axis(j->face_a);
	c->sign = face_high(j->face_a) ? -1 : 1;
	if (joint_enters(j->kind)) {
		c->along = joint_along(c->m, j), c->across = joint_across(c->m, j);
		return;
	}
	axis p = c->n == AXIS_X ? AXIS_Y : AXIS_X, q = c->n == AXIS_Z ? AXIS_Y : AXIS_Z;
	bool first = rat_lt(box_size(j->contact, q), box_size(j->contact, p));
	c->along = first ? p : q, c->across = first ? q : p;
}

/* The screw nearest to the middle of the joint's length. */
static void find_screw(close_up *c) {
	double mid = (mm(c->j->contact.lo[c->along]) + mm(c->j->contact.hi[c->along])) / 2, best = INFINITY;
	c->at = mid;
	for (size_t i = 0; i < c->m->features.n; i++) {
		const model_feature *f = &c->m->features.v[i];
		if (f->joint != c->joint || f->kind != FEATURE_CLEARANCE || face_axis(f->face) != c->n) continue;
		double off = fabs(mm(f->centre.v[c->along]) - mid);
		if (off < best - 1e-9) best = off, c->hole = f, c->at = mm(f->centre.v[c->along]);
	}
}

static void screw_beside(close_up *c) {
	c->told.beside = rat_poison();
	if (!c->hole) return;
	box3 a = c->m->parts.v[c->j->a].box;
	rat low = rat_sub(c->hole->centre.v[c->across], a.lo[c->across]);
	rat high = rat_sub(a.hi[c->across], c->hole->centre.v[c->across]);
	bool up = rat_lt(high, low);
	c->told.screw = true;
	c->told.beside = up ? high : low;
	c->told.near = face_of(c->across, up);
}

static double screw_length(const close_up *c) {
	return c->hole && c->j->screw < c->m->stocks.n ? given(c->m->stocks.v[c->j->screw].length.mm) : 0;
}

/* The largest of the usual scales that shows the screw whole and both thicknesses. */
static void window(close_up *c) {
	const double scales[] = {1, 0.5, 0.2};
	box3 a = c->m->parts.v[c->j->a].box, b = c->m->parts.v[c->j->b].box;
	double face_b = mm(box_face(b, face_opposite(c->j->face_a)));
	double behind = mm(box_size(b, c->n)); /* of b, from the contact to its far face */
	double screw = screw_length(c);
	for (int i = 0; i < 3; i++) {
		double s = c->told.scale = scales[i], deep = DEEP / s;
		double shown = fmin(behind + AIR / s, (screw > 0 ? 0.8 : 0.55) * deep);
		bool whole = behind + AIR / s <= shown && (screw <= 0 || screw + 2 * AIR / s <= deep);
		double broad = fmin(mm(box_size(a, c->across)), 60);
		c->n0 = face_b - c->sign * shown, c->n1 = face_b + c->sign * (deep - shown);
		if (i == 2 || (whole && broad + 8 / s <= BROAD / s)) break;
	}
	if (c->n0 > c->n1) {
		double swap = c->n0;
		c->n0 = c->n1, c->n1 = swap;
	}
	c->contact = face_b;
	c->middle = c->hole ? mm(c->hole->centre.v[c->across])
			    : (mm(c->j->contact.lo[c->across]) + mm(c->j->contact.hi[c->across])) / 2;
	c->c0 = c->middle - BROAD / 2 / c->told.scale, c->c1 = c->middle + BROAD / 2 / c->told.scale;
}

static close_up begin(const model *m, model_ref joint) {
	close_up c = {.m = m, .j = &m->joints.v[joint], .joint = joint};
	axes_of(&c);
	find_screw(&c);
	screw_beside(&c);
	window(&c);
	c.told.across = c.across;
	c.told.from = c.along == AXIS_Y ? "from the front" : c.along == AXIS_X ? "from the left" : "from above";
	return c;
}

view_joint_report view_joint_measure(const model *m, model_ref joint) { return begin(m, joint).told; }

/* ---- drawing --------------------------------------------------------------------------------------------- */

static view_cut_rect plane_rect(const close_up *c, double n0, double n1, double c0, double c1) {
	return c->level ? (view_cut_rect){n0, c0, n1, c1} : (view_cut_rect){c0, n0, c1, n1};
}

static view_cut_rect rect_of(const close_up *c, box3 b) {
	return plane_rect(c, mm(b.lo[c->n]), mm(b.hi[c->n]), mm(b.lo[c->across]), mm(b.hi[c->across]));
}

static bool in_plane(const close_up *c, box3 b) {
	return mm(b.lo[c->along]) <= c->at && c->at <= mm(b.hi[c->along]) && rat_lt(b.lo[c->n], b.hi[c->n]) &&
	       rat_lt(b.lo[c->across], b.hi[c->across]);
}

typedef struct page_rect {
	double x0, y0, x1, y1;
} page_rect;

static page_rect on_page(const close_up *c, view_cut_rect r) {
	double x0 = view_cut_u(&c->map, r.u0), x1 = view_cut_u(&c->map, r.u1);
	return (page_rect){fmin(x0, x1), view_cut_v(&c->map, r.v1), fmax(x0, x1), view_cut_v(&c->map, r.v0)};
}

/* Where the window broke a side off, its outline is taken away. */
static void open_sides(display *d, const close_up *c, view_cut_rect shown, view_cut_rect whole) {
	page_rect r = on_page(c, shown), w = on_page(c, whole);
	const double t = 0.5;
	if (w.x0 < r.x0 - 1e-6) display_rect(d, PEN_NONE, FILL_WHITE, r.x0 - t, r.y0 - t, 2 * t, r.y1 - r.y0 + 2 * t);
	if (w.x1 > r.x1 + 1e-6) display_rect(d, PEN_NONE, FILL_WHITE, r.x1 - t, r.y0 - t, 2 * t, r.y1 - r.y0 + 2 * t);
	if (w.y0 < r.y0 - 1e-6) display_rect(d, PEN_NONE, FILL_WHITE, r.x0 - t, r.y0 - t, r.x1 - r.x0 + 2 * t, 2 * t);
	if (w.y1 > r.y1 + 1e-6) display_rect(d, PEN_NONE, FILL_WHITE, r.x0 - t, r.y1 - t, r.x1 - r.x0 + 2 * t, 2 * t);
}

static view_cut_rect clipped(const close_up *c, view_cut_rect r) {
	view_cut_rect w = plane_rect(c, c->n0, c->n1, c->c0, c->c1);
	return (view_cut_rect){fmax(r.u0, w.u0), fmax(r.v0, w.v0), fmin(r.u1, w.u1), fmin(r.v1, w.v1)};
}

static view_cut_rect draw_part(display *d, arena *scratch, const close_up *c, bool is_a) {
	const model *m = c->m;
	box3 box = m->parts.v[is_a ? c->j->a : c->j->b].box, cut;
	view_cut_rect whole = rect_of(c, box);
	view_cut v = {.shade = is_a, .open = true};
	if (is_a && joint_enters(c->j->kind)) {
		cut = joint_tongue(m, c->j);
		if (in_plane(c, cut)) { /* a grows by its tongue; beside that it is cut away */
			box3 grown = box;
			if (c->sign > 0)
				grown.lo[c->n] = rat_min(grown.lo[c->n], cut.lo[c->n]);
			else
				grown.hi[c->n] = rat_max(grown.hi[c->n], cut.hi[c->n]);
			whole = rect_of(c, grown);
			for (int high = 0; high < 2; high++) {
				box3 side = grown;
				if (c->sign > 0)
					side.hi[c->n] = box.lo[c->n];
				else
					side.lo[c->n] = box.hi[c->n];
				if (high)
					side.lo[c->across] = cut.hi[c->across];
				else
					side.hi[c->across] = cut.lo[c->across];
				if (in_plane(c, side)) LIST_PUSH(scratch, &v.voids, rect_of(c, side));
			}
		}
	} else if (is_a && c->j->kind == JOINT_HALVING) {
		cut = joint_cut_a(m, c->j);
		if (in_plane(c, cut)) LIST_PUSH(scratch, &v.voids, rect_of(c, cut));
	} else if (!is_a) {
		cut = joint_cut_b(m, c->j);
		if (joint_cuts(c->j->kind) && in_plane(c, cut)) LIST_PUSH(scratch, &v.voids, rect_of(c, cut));
	}
	v.box = clipped(c, whole);
	if (!(v.box.u0 < v.box.u1) || !(v.box.v0 < v.box.v1)) return v.box;
	view_cut_draw(d, scratch, &c->map, &v);
	open_sides(d, c, v.box, whole);
	return v.box;
}

static display_point page_at(const close_up *c, double n, double across) {
	return (display_point){view_cut_u(&c->map, c->level ? n : across), view_cut_v(&c->map, c->level ? across : n)};
}

/* From its head in b's face to its tip in a: countersunk as far as the plan says, else a flat head on the face. */
static void draw_screw(display *d, const close_up *c) {
	if (!c->hole || !(screw_length(c) > 0)) return;
	double r = given(c->m->stocks.v[c->j->screw].diameter.mm) / 2, head = given(c->hole->sink) / 2;
	double sink = given(c->hole->sink_depth), top = mm(c->hole->centre.v[c->n]), way = c->sign;
	double tip = top + way * screw_length(c), begins = tip - way * fmin(3 * r, screw_length(c) / 2);
	bool sunk = head > 0 && sink > 0;
	if (!sunk) head = 2 * r;
	double neck = sunk ? top + way * sink : top;
	if (!sunk) top -= way * r;
	const double along[] = {top, neck, neck, begins, tip};
	const double out[] = {head, sunk ? r : head, r, r, 0};
	display_point p[9];
	for (int i = 0; i < 5; i++) p[i] = page_at(c, along[i], c->middle + out[i]);
	for (int i = 0; i < 4; i++) p[8 - i] = page_at(c, along[i], c->middle - out[i]);
	display_polygon(d, PEN_EDGE, FILL_WHITE, p, 9);
	display_point from = page_at(c, top - way * 1.5 / c->told.scale, c->middle);
	display_point to = page_at(c, tip + way * 1.5 / c->told.scale, c->middle);
	display_segment(d, PEN_CENTRE, from.x, from.y, to.x, to.y);
}

static void draw_tape(display *d, const close_up *c) {
	model_gasket_run run;
	if (!joint_gasket(c->m, c->joint, &run) || !rat_ok(run.gap)) return;
	double wide = given(c->m->stocks.v[run.stock].tape_width.mm);
	double lo = mm(run.rect.lo[c->across]), hi = mm(run.rect.hi[c->across]);
	double end = c->contact + c->sign * fmax(mm(run.gap), 0.6 / c->told.scale);
	if (!(wide > 0) || wide > hi - lo) wide = hi - lo;
	const double mid[2] = {run.ring ? lo + wide / 2 : (lo + hi) / 2, hi - wide / 2};
	for (int i = 0; i < (run.ring ? 2 : 1); i++) {
		view_cut_rect t = clipped(c, plane_rect(c, fmin(c->contact, end), fmax(c->contact, end),
							mid[i] - wide / 2, mid[i] + wide / 2));
		if (!(t.u0 < t.u1) || !(t.v0 < t.v1)) continue;
		page_rect p = on_page(c, t);
		display_rect(d, PEN_NONE, FILL_BLACK, p.x0, p.y0, p.x1 - p.x0, p.y1 - p.y0);
	}
}

static void balloon(display *d, double x, double y, const char *label) {
	display_circle(d, PEN_DIM, FILL_WHITE, x, y, BALLOON_R);
	display_text(d, x, y + 0.9, CAP_LABEL, ALIGN_CENTRE, label);
}

/* Beyond the end of a that goes on, and beyond the side of b that goes on (right or above before left or below). */
static void draw_balloons(display *d, const close_up *c, view_cut_rect a, view_cut_rect b, const char *label_a,
			  const char *label_b) {
	page_rect pa = on_page(c, a), pb = on_page(c, b);
	double ax = (pa.x0 + pa.x1) / 2, ay = (pa.y0 + pa.y1) / 2, bx = (pb.x0 + pb.x1) / 2, by = (pb.y0 + pb.y1) / 2;
	if (c->level) {
		ax = c->a_first ? pa.x0 - BALLOON_OFF : pa.x1 + BALLOON_OFF;
		by = c->b_first ? pb.y0 - BALLOON_OFF : pb.y1 + BALLOON_OFF;
	} else {
		ay = c->a_first ? pa.y0 - BALLOON_OFF : pa.y1 + BALLOON_OFF;
		bx = c->b_first ? pb.x0 - BALLOON_OFF : pb.x1 + BALLOON_OFF;
	}
	balloon(d, ax, ay, label_a);
	balloon(d, bx, by, label_b);
}

/* Where the window lies within its room: away from the sides on which the balloons stand. */
static void place(close_up *c, double x, double y) {
	c->map = (view_section_map){.u = c->along == AXIS_X ? AXIS_Y : AXIS_X,
				    .v = c->along == AXIS_Z ? AXIS_Y : AXIS_Z,
				    .u_left = c->along == AXIS_X, /* as view_section looks from these sides */
				    .scale = c->told.scale};
	box3 b = c->m->parts.v[c->j->b].box;
	c->level = c->map.u == c->n;
	bool rising = c->sign > 0, goes_on = mm(b.hi[c->across]) > c->c1;
	c->a_first = c->level ? rising == c->map.u_left : rising; /* left or above */
	c->b_first = c->level ? goes_on : goes_on == c->map.u_left;
	const double room = BALLOON_OFF + BALLOON_R;
	double off_x = (c->level ? c->a_first : c->b_first) ? room : -room;
	double off_y = (c->level ? c->b_first : c->a_first) ? room : -room;
	double u = c->level ? (c->n0 + c->n1) / 2 : (c->c0 + c->c1) / 2;
	double v = c->level ? (c->c0 + c->c1) / 2 : (c->n0 + c->n1) / 2;
	c->map.x = x + (VIEW_JOINT_WIDE + off_x) / 2 + (c->map.u_left ? u : -u) * c->map.scale;
	c->map.y = y + (VIEW_JOINT_HIGH + off_y) / 2 + v * c->map.scale;
}

view_joint_report view_joint(display *d, double x, double y, const model *m, model_ref joint, const char *label_a,
			     const char *label_b) {
	arena scratch = {0};
	close_up c = begin(m, joint);
	place(&c, x, y);
	view_cut_rect b = draw_part(d, &scratch, &c, false), a = draw_part(d, &scratch, &c, true);
	draw_tape(d, &c);
	draw_screw(d, &c);
	draw_balloons(d, &c, a, b, label_a, label_b);
	arena_end(&scratch);
	return c.told;
}
