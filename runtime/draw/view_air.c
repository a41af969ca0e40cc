#include <math.h>

#include "runtime/base/order.h"
#include "runtime/draw/view_air.h"

/* ---- where to cut ------------------------------------------------------------------------------------------ */

/* Parts whose openings a plane at `at` goes through near their middle. */
static size_t parts_opened(const view_scene *s, axis normal, double at) {
	size_t n = 0;
	for (size_t i = 0; i < s->n; i++) {
		const view_part *part = &s->part[i];
		bool open = false;
		if (part->emphasis == VIEW_ABSENT) continue;
		for (size_t h = 0; h < part->n_holes && !open; h++) {
			const view_hole *o = &part->hole[h];
			double size = o->kind == SHAPE_ROUND || o->along == normal ? o->a : o->b;
			open = o->through && face_axis(o->face) != normal &&
			       fabs(o->centre[normal] + part->offset[normal] - at) < size / 4;
		}
		n += open;
	}
	return n;
}

double view_section_at(const view_scene *s, axis normal) {
	double lo = INFINITY, hi = -INFINITY;
	for (size_t i = 0; i < s->n; i++) {
		if (s->part[i].emphasis == VIEW_ABSENT) continue;
		lo = fmin(lo, s->part[i].lo[normal] + s->part[i].offset[normal]);
		hi = fmax(hi, s->part[i].hi[normal] + s->part[i].offset[normal]);
	}
	if (!(hi > lo)) return 0;
	double middle = (lo + hi) / 2, best = middle;
	size_t most = parts_opened(s, normal, middle);
	for (size_t i = 0; i < s->n; i++) {
		const view_part *part = &s->part[i];
		double last = NAN;
		for (size_t h = 0; part->emphasis != VIEW_ABSENT && h < part->n_holes; h++) {
			const view_hole *o = &part->hole[h];
			double at = o->centre[normal] + part->offset[normal];
			/* Fields come row by row: the same coordinate need not be tried again and again. */
			if (!o->through || face_axis(o->face) == normal || fabs(at - last) < 1e-6) continue;
			last = at;
			size_t n = parts_opened(s, normal, at);
			if (n < most || (n == most && fabs(at - middle) >= fabs(best - middle) - 1e-6)) continue;
			most = n;
			best = at;
		}
	}
	return best;
}

/* ---- the air's way ------------------------------------------------------------------------------------------ */

typedef struct place { /* one branch in space */
	bool known;
	int through;  /* axis along which the air goes, or -1 */
	double sense; /* +1 along it, -1 against it, 0 unknown */
	double centre[3];
	double spot[3][3]; /* up to three places where an arrow stands */
	size_t n_spots;
} place;

static void box_centre(const box3 *b, double out[3]) {
	for (int i = 0; i < 3; i++) out[i] = (rat_double(b->lo[i]) + rat_double(b->hi[i])) / 2;
}

/* First, middle and last of the openings in the plane (or of the row nearest to it). */
static void spots_of_field(arena *mem, const model_pattern *p, axis normal, double at, place *out) {
	double nearest = INFINITY;
	for (size_t i = 0; i < p->axes.n; i++) nearest = fmin(nearest, fabs(rat_double(p->axes.v[i].v[normal]) - at));
	int free = 3 - (int)normal - (int)p->through; /* the third axis */
	double *v = ARENA_MANY(mem, double, p->axes.n + 1);
	size_t n = 0;
	for (size_t i = 0; i < p->axes.n; i++)
		if (fabs(rat_double(p->axes.v[i].v[normal]) - at) < nearest + 0.5)
			v[n++] = rat_double(p->axes.v[i].v[free]);
	order_doubles(v, n);
	const size_t pick[3] = {n / 2, 0, n ? n - 1 : 0};
	for (size_t k = 0; k < 3 && k < n; k++) {
		double *spot = out->spot[out->n_spots++];
		spot[normal] = at, spot[free] = v[pick[k]], spot[p->through] = out->centre[p->through];
	}
}

static place place_of(arena *mem, const model *m, const model_branch *w, axis normal, double at) {
	place out = {.through = -1};
	if (w->part >= m->parts.n) return out;
	const model_part *part = &m->parts.v[w->part];
	out.known = true;
	box_centre(&part->box, out.centre);
	for (int i = 0; i < 3; i++) out.spot[0][i] = out.centre[i];
	bool field = (w->kind == AIR_OPENINGS || w->kind == AIR_TUBES) && w->pattern < m->patterns.n;
	if (field) {
		out.through = (int)m->patterns.v[w->pattern].through;
		if (out.through != (int)normal)
			spots_of_field(mem, &m->patterns.v[w->pattern], normal, at, &out);
		else if (m->patterns.v[w->pattern].axes.n)
			for (int i = 0; i < 3; i++)
				if (i != out.through)
					out.spot[0][i] = rat_double(m->patterns.v[w->pattern].axes.v[0].v[i]);
	} else if (w->kind == AIR_GAP) {
		out.through = (int)part->thick_axis;
	} else if (w->kind == AIR_FILTER) {
		for (int i = 0; i < 3; i++)
			if (out.through < 0 ||
			    rat_lt(box_size(part->box, (axis)i), box_size(part->box, (axis)out.through)))
				out.through = i;
	}
	if (!out.n_spots) out.n_spots = 1;
	return out;
}

axis view_air_axis(const model *m) {
	size_t along[3] = {0, 0, 0};
	double lo[3] = {INFINITY, INFINITY, INFINITY}, hi[3] = {-INFINITY, -INFINITY, -INFINITY};
	arena scratch = {0};
	for (size_t i = 0; i < m->air.branches.n; i++) {
		place p = place_of(&scratch, m, &m->air.branches.v[i], AXIS_X, 0);
		if (!p.known) continue;
		if (p.through >= 0) along[p.through]++;
		for (int k = 0; k < 3; k++) lo[k] = fmin(lo[k], p.centre[k]), hi[k] = fmax(hi[k], p.centre[k]);
	}
	arena_end(&scratch);
	if (along[AXIS_X] != along[AXIS_Y]) return along[AXIS_X] < along[AXIS_Y] ? AXIS_X : AXIS_Y;
	return hi[AXIS_X] - lo[AXIS_X] > hi[AXIS_Y] - lo[AXIS_Y] ? AXIS_Y : AXIS_X;
}

/* Mean place along `axis` of the other branches that end in the space; NaN when none does, or it is the room (which is
 * everywhere). */
static double space_along(const model *m, const place *p, size_t self, model_ref space, int along) {
	double sum = 0;
	size_t n = 0;
	if (space >= m->air.spaces.n || m->air.spaces.v[space].room) return NAN;
	for (size_t i = 0; i < m->air.branches.n; i++) {
		const model_branch *w = &m->air.branches.v[i];
		if (i == self || !p[i].known || (w->from != space && w->to != space)) continue;
		sum += p[i].centre[along];
		n++;
	}
	return n ? sum / (double)n : NAN;
}

static double sense_of(const model *m, const place *p, size_t i, const model_flow *flow) {
	const model_branch *w = &m->air.branches.v[i];
	if (!p[i].known || p[i].through < 0) return 0;
	double own = p[i].centre[p[i].through];
	double from = space_along(m, p, i, w->from, p[i].through), to = space_along(m, p, i, w->to, p[i].through);
	double way = (isnan(to) ? own : to) - (isnan(from) ? own : from);
	if (fabs(way) < 1) return 0;
	double sign = way > 0 ? 1 : -1;
	return flow && flow[i].flow_m3_s < 0 ? -sign : sign;
}

/* A broad white arrow with its middle at (x, y). */
static void broad_arrow(display *d, double x, double y, double dx, double dy) {
	const double half = 5, shaft = 0.7, head = 3, wide = 1.7;
	const double along[7] = {-half, half - head, half - head, half, half - head, half - head, -half};
	const double across[7] = {-shaft, -shaft, -wide, 0, wide, shaft, shaft};
	display_point p[7];
	for (int i = 0; i < 7; i++)
		p[i] = (display_point){x + along[i] * dx - across[i] * dy, y + along[i] * dy + across[i] * dx};
	display_box box = display_box_empty();
	for (int i = 0; i < 7; i++) box = display_box_join(box, (display_box){p[i].x, p[i].y, p[i].x, p[i].y});
	/* Two sheets close behind each other share one arrow. */
	if (!display_is_free(d, box)) return;
	display_polygon(d, PEN_PART, FILL_WHITE, p, 7);
	display_take(d, box);
}

/* Air that comes out of the page (a point: the arrow's tip) or goes into it (a cross: its feathers). */
static void end_on(display *d, double x, double y, bool towards) {
	const double r = 2;
	display_circle(d, PEN_PART, FILL_WHITE, x, y, r);
	if (towards) {
		display_circle(d, PEN_NONE, FILL_BLACK, x, y, 0.6);
	} else {
		double k = r * 0.7071;
		display_segment(d, PEN_PART, x - k, y - k, x + k, y + k);
		display_segment(d, PEN_PART, x - k, y + k, x + k, y - k);
	}
	display_take(d, (display_box){x - r, y - r, x + r, y + r});
}

/* On the sheet that the air goes through, up or down it (dx, dy) from the middle of the way; where it is taken so far,
 * anywhere near. */
static void put_number(display *d, display_box into, double x, double y, double dx, double dy, size_t number) {
	const double r = 2.6, size = 2 * r + 0.6, far = 30;
	display_box spot;
	bool found = false;
	for (double away = 0; !found && away <= far && fabs(dx) + fabs(dy) > 0; away += 0.5)
		for (int way = 1; !found && way >= -1; way -= 2) {
			double at_x = x + way * away * dx, at_y = y + way * away * dy;
			spot = display_box_of(at_x - size / 2, at_y - size / 2, size, size);
			found = display_box_inside(spot, into) && display_is_free(d, spot);
		}
	/* Where there is no free place the middle of the way must do. */
	if (!found) display_free_spot(d, x, y, size, size, into, &spot);
	display_take(d, spot);
	double cx = (spot.x0 + spot.x1) / 2, cy = (spot.y0 + spot.y1) / 2;
	display_circle(d, PEN_NONE, FILL_BLACK, cx, cy, r);
	display_style style = {.cap = CAP_SMALL, .font = FONT_BOLD, .align = ALIGN_CENTRE, .grey = 1};
	display_text_style(d, cx, cy + CAP_SMALL / 2, &style, arena_printf(d->mem, "%zu", number));
}

static double page_u(const view_section_map *map, double u) { return map->x + (map->u_left ? -u : u) * map->scale; }
static double page_v(const view_section_map *map, double v) { return map->y - v * map->scale; }

/* What the plane cuts and the gaps it goes through, as rectangles on paper: walls between the spaces. */
static view_air_walls walls_of(arena *mem, const model *m, const view_scene *s, const view_section_map *map, int normal,
			       double at) {
	LIST(display_box) all = {0};
	for (size_t i = 0; i < s->n; i++) {
		const view_part *p = &s->part[i];
		if (p->emphasis == VIEW_ABSENT || !(p->lo[normal] < at && at < p->hi[normal])) continue;
		LIST_PUSH(
			mem, &all,
			display_box_join(display_box_of(page_u(map, p->lo[map->u]), page_v(map, p->lo[map->v]), 0, 0),
					 display_box_of(page_u(map, p->hi[map->u]), page_v(map, p->hi[map->v]), 0, 0)));
	}
	for (size_t i = 0; i < m->parts.n; i++) {
		const box3 *b = &m->parts.v[i].box;
		if (m->parts.v[i].kind != PART_GAP || rat_double(b->lo[normal]) > at || rat_double(b->hi[normal]) < at)
			continue;
		LIST_PUSH(mem, &all,
			  display_box_join(display_box_of(page_u(map, rat_double(b->lo[map->u])),
							  page_v(map, rat_double(b->lo[map->v])), 0, 0),
					   display_box_of(page_u(map, rat_double(b->hi[map->u])),
							  page_v(map, rat_double(b->hi[map->v])), 0, 0)));
	}
	return (view_air_walls){all.v, all.n};
}

/* Bought items behind the plane are drawn in outline: names keep off those lines. */
static void take_behind(display *d, const view_scene *s, const view_section_map *map, int normal, double at) {
	for (size_t i = 0; i < s->n; i++) {
		const view_part *p = &s->part[i];
		if (p->emphasis == VIEW_ABSENT || !p->hollow || (p->lo[normal] < at && at < p->hi[normal])) continue;
		double x0 = page_u(map, p->lo[map->u]), x1 = page_u(map, p->hi[map->u]);
		double y0 = page_v(map, p->lo[map->v]), y1 = page_v(map, p->hi[map->v]);
		display_take_line(d, x0, y0, x1, y0);
		display_take_line(d, x1, y0, x1, y1);
		display_take_line(d, x1, y1, x0, y1);
		display_take_line(d, x0, y1, x0, y0);
	}
}

view_section_map view_air_section(display *d, display_box into, const model *m, const view_scene *s, axis normal,
				  bool reverse, const model_flow *flow, const char *const *label,
				  const view_options *o) {
	double at = view_section_at(s, normal);
	/* Arrows on the outer walls stand half outside them. Beside a section that fills the width names have no room:
	 * above it they do. */
	double wide = rat_double(box_size(m->bounds, normal == AXIS_X ? AXIS_Y : AXIS_X));
	bool fills = (into.x1 - into.x0) * rat_double(box_size(m->bounds, AXIS_Z)) < wide * (into.y1 - into.y0);
	display_box in = {into.x0 + 6, into.y0 + (label && fills ? 16 : 4), into.x1 - 6, into.y1 - 4};
	view_section_map map = view_section(d, in, s, normal, at, reverse, o);
	if (!(map.scale > 0)) return map;
	arena scratch = {0};
	size_t n = m->air.branches.n;
	place *p = ARENA_MANY(&scratch, place, n + 1);
	for (size_t i = 0; i < n; i++) p[i] = place_of(&scratch, m, &m->air.branches.v[i], normal, at);
	for (size_t i = 0; i < n; i++) p[i].sense = sense_of(m, p, i, flow);
	LIST(view_air_door) doors = {0};
	/* All arrows before the first number, so that numbers keep off them. */
	for (size_t i = 0; i < n; i++) {
		if (!p[i].known || !(fabs(p[i].sense) > 0)) continue;
		double to_u = p[i].through == (int)map.u ? p[i].sense * (map.u_left ? -1 : 1) : 0;
		double to_v = p[i].through == (int)map.v ? -p[i].sense : 0;
		for (size_t k = 0; k < p[i].n_spots; k++) {
			double x = map.x + (map.u_left ? -1 : 1) * p[i].spot[k][map.u] * map.scale;
			double y = map.y - p[i].spot[k][map.v] * map.scale;
			if (p[i].through == (int)normal)
				end_on(d, x, y, (p[i].sense > 0) == reverse);
			else
				broad_arrow(d, x, y, to_u, to_v);
			bool back = flow && flow[i].flow_m3_s < 0;
			const model_branch *b = &m->air.branches.v[i];
			if (k == 0 || p[i].through != (int)normal)
				LIST_PUSH(&scratch, &doors,
					  ((view_air_door){
						  {x, y}, to_u, to_v, back ? b->to : b->from, back ? b->from : b->to}));
		}
	}
	for (size_t i = 0; i < n; i++) {
		if (!p[i].known) continue;
		double x = map.x + (map.u_left ? -1 : 1) * p[i].spot[0][map.u] * map.scale;
		put_number(d, into, x, map.y - p[i].spot[0][map.v] * map.scale, p[i].through == (int)map.v,
			   p[i].through == (int)map.u, i + 1);
	}
	if (label) {
		take_behind(d, s, &map, (int)normal, at);
		view_air_walls walls = walls_of(&scratch, m, s, &map, (int)normal, at);
		view_air_labels(d, into, map.report.box, &walls, doors.v, doors.n, label, m->air.spaces.n);
	}
	arena_end(&scratch);
	return map;
}
