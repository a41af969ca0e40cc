/* Do tubes and filter units fit the cabinet that the air goes through? Measured on the parts' boxes, in millimetres. */
#include "compiler/check_air_fit.h"

#include <math.h>
#include <string.h>

#include "compiler/check_limits.h"
#include "compiler/check_util.h"
#include "runtime/base/order.h"
#include "runtime/engine/feature.h"

static double mm(rat r) { return rat_double(r); }

static const char *length(const model *m, diags *d, double v_mm) { return check_length(m, d, check_rounded(v_mm, 10)); }

/* ---- tubes ---------------------------------------------------------------------------------- */

typedef struct tube { /* one of a set: its axis across the sheet, the room it has */
	const model_pattern *pattern;
	model_ref sheet;
	double u, v, radius;
} tube;

/* Does a round thing of that radius at (u, v) reach into the rectangle? Touching is not reaching. */
static bool reaches(const tube *t, const box3 *b) {
	axis u = t->pattern->u, v = t->pattern->v;
	double du = fmax(fmax(mm(b->lo[u]) - t->u, t->u - mm(b->hi[u])), 0);
	double dv = fmax(fmax(mm(b->lo[v]) - t->v, t->v - mm(b->hi[v])), 0);
	return hypot(du, dv) < t->radius - 0.01;
}

/* Does the tube go through an opening of this part? */
static bool goes_through(const model *m, const tube *t, model_ref part) {
	for (size_t i = 0; i < m->features.n; i++) {
		const model_feature *f = &m->features.v[i];
		if (f->kind != FEATURE_OPENING || f->part != part || !f->through) continue;
		if (face_axis(f->face) != t->pattern->through) continue;
		double du = fabs(t->u - mm(f->centre.v[t->pattern->u])),
		       dv = fabs(t->v - mm(f->centre.v[t->pattern->v]));
		double hu = mm(model_shape_half(&f->shape, t->pattern->u)) + 0.01,
		       hv = mm(model_shape_half(&f->shape, t->pattern->v)) + 0.01;
		bool in = f->shape.kind == SHAPE_ROUND ? hypot(du, dv) + t->radius <= hu
						       : du + t->radius <= hu && dv + t->radius <= hv;
		if (in) return true;
	}
	return false;
}

/* A lower sheet of the same pattern whose collar takes the tube's end does not stop it. */
static bool takes_end(const model_pattern *p, model_ref part) {
	const model_sheet_of_pattern *s = model_pattern_sheet(p, part);
	return s && s->collar != MODEL_NONE;
}

/* Room along the tube from the sheet's face on that side to the nearest part, or to the bounds of the whole. */
static double room_of(const model *m, const tube *t, bool high, model_ref *stops) {
	axis w = t->pattern->through;
	const box3 *sheet = &m->parts.v[t->sheet].box;
	double from = mm(high ? sheet->hi[w] : sheet->lo[w]);
	double room = high ? mm(m->bounds.hi[w]) - from : from - mm(m->bounds.lo[w]);
	*stops = MODEL_NONE;
	for (model_ref i = 0; i < m->parts.n; i++) {
		const model_part *q = &m->parts.v[i];
		if (i == t->sheet || q->kind == PART_GAP || !reaches(t, &q->box)) continue;
		double at = high ? mm(q->box.lo[w]) - from : from - mm(q->box.hi[w]);
		if (at < -0.01 || at >= room || takes_end(t->pattern, i) || goes_through(m, t, i)) continue;
		room = at;
		*stops = i;
	}
	return fmax(room, 0);
}

static void tubes_of(const model *m, diags *d, const model_branch *b) {
	const model_pattern *p = &m->patterns.v[b->pattern];
	double least = INFINITY, long_mm = b->length_m * 1000, tightest = INFINITY;
	uint32_t many = 0;
	model_ref by = MODEL_NONE;
	for (size_t i = 0; i < p->axes.n; i++) {
		tube t = {p, b->part, mm(p->axes.v[i].v[p->u]), mm(p->axes.v[i].v[p->v]), b->hole_m * 500};
		model_ref stops, other;
		double room = room_of(m, &t, false, &stops);
		/* What hangs hangs down; what lies may lie to either side. */
		double back = p->through == AXIS_Z ? 0 : room_of(m, &t, true, &other);
		if (back > room) {
			room = back;
			stops = other;
		}
		tightest = fmin(tightest, room);
		if (long_mm <= room + 0.5) continue;
		many++;
		if (room >= least) continue;
		least = room;
		by = stops;
	}
	/* Half a millimetre is no length that cloth is cut to. */
	diag_compare(d, (diag_compared){.rule = "tubes-long",
					.about = b->name,
					.of = DIM_LENGTH,
					.value = b->length_m,
					.limit = (tightest + 0.5) / 1000,
					.basis = "the room they hang in"});
	if (!many) return;
	const model_part *sheet = &m->parts.v[b->part];
	diag *g = diag_error(d, "tubes-long", b->declared,
			     "tubes %s are %s long, %s longer than the room %s %s (%u of %u)", b->name,
			     length(m, d, long_mm), length(m, d, long_mm - least),
			     p->through == AXIS_Z ? "below" : "beside", sheet->name, many, b->count);
	if (by != MODEL_NONE)
		diag_add_note(d, g, m->parts.v[by].at, "%s stands in their way, %s from %s", m->parts.v[by].name,
			      length(m, d, least), sheet->name);
	else
		diag_add_note(d, g, sheet->at, "%s are free there to the end of the cabinet", length(m, d, least));
	diag_add_help(d, g, "tubes of %s have room; take more of them, or hang them higher",
		      length(m, d, floor(least)));
}

void check_tubes_long(const model *m, diags *d) {
	for (size_t i = 0; i < m->air.branches.n; i++) {
		const model_branch *b = &m->air.branches.v[i];
		if (b->kind != AIR_TUBES || b->pattern >= m->patterns.n || b->part >= m->parts.n) continue;
		if (b->hole_m > 0 && b->length_m > 0) tubes_of(m, d, b);
	}
}

/* ---- tubes beside each other -------------------------------------------------------------------- */

typedef struct hung { /* where a tube hangs: its axis in space, the stretch that it takes */
	tube at;
	double lo, hi; /* along the axis */
	model_ref branch;
} hung;

static hung hung_of(const model *m, const model_branch *b, model_ref branch, size_t i) {
	const model_pattern *p = &m->patterns.v[b->pattern];
	hung h = {.at = {p, b->part, mm(p->axes.v[i].v[p->u]), mm(p->axes.v[i].v[p->v]), b->hole_m * 500},
		  .branch = branch};
	model_ref stops;
	bool high = p->through != AXIS_Z && room_of(m, &h.at, true, &stops) > room_of(m, &h.at, false, &stops);
	const box3 *sheet = &m->parts.v[b->part].box;
	h.lo = high ? mm(sheet->hi[p->through]) : mm(sheet->lo[p->through]) - b->length_m * 1000;
	h.hi = h.lo + b->length_m * 1000;
	return h;
}

typedef struct squeeze { /* the least room beside the tubes of a branch */
	double room;
	model_ref by;	  /* a part, or NONE */
	model_ref branch; /* else tubes of this branch */
	uint32_t many;
} squeeze;

static void squeeze_take(squeeze *s, double room, double least, model_ref by, model_ref branch) {
	if (!(room < least - 0.01)) return;
	s->many++;
	if (s->many > 1 && room >= s->room) return;
	s->room = room;
	s->by = by;
	s->branch = branch;
}

static void squeeze_parts(const model *m, const hung *h, double least, squeeze *s) {
	const model_pattern *p = h->at.pattern;
	for (model_ref i = 0; i < m->parts.n; i++) {
		const model_part *q = &m->parts.v[i];
		if (i == h->at.sheet || q->kind == PART_GAP) continue;
		if (mm(q->box.lo[p->through]) > h->hi - 0.01 || mm(q->box.hi[p->through]) < h->lo + 0.01) continue;
		double du = fmax(fmax(mm(q->box.lo[p->u]) - h->at.u, h->at.u - mm(q->box.hi[p->u])), 0);
		double dv = fmax(fmax(mm(q->box.lo[p->v]) - h->at.v, h->at.v - mm(q->box.hi[p->v])), 0);
		double room = hypot(du, dv) - h->at.radius;
		/* What stands under a tube shortens it: tubes-long. */
		if (room < -0.01 || takes_end(p, i) || goes_through(m, &h->at, i)) continue;
		squeeze_take(s, room, least, i, MODEL_NONE);
	}
}

static bool is_tubes(const model *m, const model_branch *b) {
	return b->kind == AIR_TUBES && b->pattern < m->patterns.n && b->part < m->parts.n && b->hole_m > 0 &&
	       b->length_m > 0;
}

/* Other tubes of its branch behind it, and those of later branches: each pair once. */
static void squeeze_tubes(const model *m, const hung *h, size_t index, double least, squeeze *s) {
	for (model_ref k = h->branch; k < m->air.branches.n; k++) {
		const model_branch *b = &m->air.branches.v[k];
		if (!is_tubes(m, b) || m->patterns.v[b->pattern].through != h->at.pattern->through) continue;
		for (size_t i = k == h->branch ? index + 1 : 0; i < m->patterns.v[b->pattern].axes.n; i++) {
			hung o = hung_of(m, b, k, i);
			if (o.lo > h->hi - 0.01 || o.hi < h->lo + 0.01) continue;
			double room = hypot(o.at.u - h->at.u, o.at.v - h->at.v) - h->at.radius - o.at.radius;
			squeeze_take(s, room, least, MODEL_NONE, k);
		}
	}
}

void check_tubes_room(const model *m, diags *d) {
	double least = rat_double(check_limit(m, "tubes-room"));
	for (model_ref k = 0; k < m->air.branches.n; k++) {
		const model_branch *b = &m->air.branches.v[k];
		squeeze s = {.by = MODEL_NONE, .branch = MODEL_NONE};
		for (size_t i = 0; is_tubes(m, b) && i < m->patterns.v[b->pattern].axes.n; i++) {
			hung h = hung_of(m, b, k, i);
			squeeze_parts(m, &h, least, &s);
			squeeze_tubes(m, &h, i, least, &s);
		}
		if (is_tubes(m, b))
			diag_compare(d, (diag_compared){.rule = "tubes-room",
							.about = b->name,
							.of = DIM_LENGTH,
							.value = s.many ? s.room / 1000 : (double)NAN,
							.limit = least / 1000,
							.at_least = true,
							.words = s.many ? NULL
									: arena_printf(d->mem, "%s or more",
										       length(m, d, least))});
		if (!s.many) continue;
		const char *what = s.by != MODEL_NONE ? m->parts.v[s.by].name
				   : s.branch == k    ? "one another"
						   : arena_printf(d->mem, "tubes %s", m->air.branches.v[s.branch].name);
		const char *count = s.many > 1 ? arena_printf(d->mem, " (the worst of %u)", s.many) : "";
		diag *g;
		if (s.room < -0.01)
			g = diag_warning(d, "tubes-room", b->at, "tubes %s stand %s inside %s%s", b->name,
					 length(m, d, -s.room), what, count);
		else
			g = diag_warning(d, "tubes-room", b->at, "tubes %s have %s to %s, %s less than %s%s", b->name,
					 length(m, d, s.room), what, length(m, d, least - s.room), length(m, d, least),
					 count);
		if (s.by != MODEL_NONE)
			diag_add_note(d, g, m->parts.v[s.by].at, "%s is placed here", what);
		else
			diag_add_note(d, g, m->patterns.v[m->air.branches.v[s.branch].pattern].at,
				      "they hang from these openings");
		diag_add_help(d, g,
			      "cloth that rubs wears and passes no air there; move the openings %s apart, or take "
			      "thinner tubes",
			      length(m, d, least - s.room));
	}
}

/* ---- filter units --------------------------------------------------------------------------- */

/* A gap up to the limit is closed by the gasket or tape on a filter's frame; that much does a stop overlap, too. The
 * frame is taken as 20 mm broad; so near to the edge a stop bears on it. An open piece counts from a fifth of its side
 * on. (All ours, no source.) */
static const double NEAR_MM = 3, RIM_MM = 20, GOOD_PART = 0.2;

typedef struct side { /* of one unit, seen along the way of the air: `across` points out of the unit, `along` its edge
		       */
	const model *m;
	arena *mem;
	model_ref unit;
	axis through, across, along;
	bool high;
	double edge, lo, hi; /* the edge's place across; its ends along */
} side;

typedef struct range {
	double lo, hi; /* outwards from the edge, below 0 within the unit */
} range;

/* How a thing lies across the side: outwards from its edge. */
static range outwards(const side *s, double lo, double hi) {
	return s->high ? (range){lo - s->edge, hi - s->edge} : (range){s->edge - hi, s->edge - lo};
}

/* Does the part come to the unit's thickness, or lie on one of its faces? */
static bool comes_near(const side *s, model_ref part) {
	const model_part *q = &s->m->parts.v[part];
	if (part == s->unit || q->kind == PART_GAP) return false;
	return mm(box_distance_axis(s->m->parts.v[s->unit].box, q->box, s->through)) <= NEAR_MM;
}

/* The opening at this place along the edge, outwards from it; false when it does not come there. */
static bool opening_at(const side *s, const model_feature *f, double t, range *out) {
	double c = mm(f->centre.v[s->across]), half = mm(model_shape_half(&f->shape, s->across));
	double dt = fabs(t - mm(f->centre.v[s->along])), reach = mm(model_shape_half(&f->shape, s->along));
	if (dt >= reach) return false;
	if (f->shape.kind == SHAPE_ROUND) half = sqrt(half * half - dt * dt);
	*out = outwards(s, c - half, c + half);
	return true;
}

/* The part at place t along the edge: how far from the edge its material begins; INFINITY when there is none outwards.
 * An opening of the part that passes the whole frame is open. */
static double begins(const side *s, model_ref part, double t) {
	const box3 *b = &s->m->parts.v[part].box;
	if (t <= mm(b->lo[s->along]) || t >= mm(b->hi[s->along])) return INFINITY;
	range r = outwards(s, mm(b->lo[s->across]), mm(b->hi[s->across]));
	if (r.hi < -RIM_MM + 0.01) return INFINITY;
	if (r.lo > NEAR_MM) return r.lo;
	double at = fmax(r.lo, 0);
	for (size_t i = 0; i < s->m->features.n; i++) {
		const model_feature *f = &s->m->features.v[i];
		range o;
		if (f->kind != FEATURE_OPENING || f->part != part || !f->through || face_axis(f->face) != s->through)
			continue;
		if (opening_at(s, f, t, &o) && o.lo <= fmax(-RIM_MM, r.lo) + 0.01 && o.hi > at) at = o.hi;
	}
	return at > fmax(r.lo, 0) && at >= r.hi ? INFINITY : at;
}

typedef LIST(double) places;

static void place(const side *s, places *p, double t) {
	if (t > s->lo && t < s->hi) LIST_PUSH(s->mem, p, t);
}

/* The places along the edge at which anything changes, its ends among them. Round openings are cut into pieces. */
static places changes(const side *s) {
	places p = {0};
	LIST_PUSH(s->mem, &p, s->lo);
	LIST_PUSH(s->mem, &p, s->hi);
	for (model_ref i = 0; i < s->m->parts.n; i++) {
		if (!comes_near(s, i)) continue;
		place(s, &p, mm(s->m->parts.v[i].box.lo[s->along]));
		place(s, &p, mm(s->m->parts.v[i].box.hi[s->along]));
	}
	for (size_t i = 0; i < s->m->features.n; i++) {
		const model_feature *f = &s->m->features.v[i];
		if (f->kind != FEATURE_OPENING || !comes_near(s, f->part)) continue;
		double c = mm(f->centre.v[s->along]), half = mm(model_shape_half(&f->shape, s->along));
		range o = outwards(s, mm(f->centre.v[s->across]), mm(f->centre.v[s->across]));
		if (fabs(o.lo) > mm(model_shape_half(&f->shape, s->across)) + RIM_MM) continue;
		int pieces = f->shape.kind == SHAPE_ROUND ? 8 : 1;
		for (int k = 0; k <= pieces; k++) place(s, &p, c - half + 2 * half * k / pieces);
	}
	order_doubles(p.v, p.n);
	return p;
}

typedef struct opening { /* what is open beside a side of a unit */
	double area_mm2, length_mm, widest_mm;
	model_ref nearest; /* part at the widest place, or NONE: the bounds of the whole */
} opening;

static opening open_beside(const side *s) {
	opening o = {.nearest = MODEL_NONE};
	places p = changes(s);
	double least = rat_double(check_limit(s->m, "filter-bypass"));
	range end = outwards(s, mm(s->m->bounds.lo[s->across]), mm(s->m->bounds.hi[s->across]));
	for (size_t i = 0; i + 1 < p.n; i++) {
		double t = (p.v[i] + p.v[i + 1]) / 2, by = p.v[i + 1] - p.v[i], gap = fmax(end.hi, 0);
		model_ref nearest = MODEL_NONE;
		for (model_ref q = 0; q < s->m->parts.n && by > 0.01; q++) {
			double at = comes_near(s, q) ? begins(s, q, t) : INFINITY;
			if (at >= gap) continue;
			gap = at;
			nearest = q;
		}
		if (by <= 0.01 || gap <= least) continue;
		/* What lies between two units of the group is met from both of them. */
		bool shared = nearest != MODEL_NONE &&
			      s->m->parts.v[nearest].group_first == s->m->parts.v[s->unit].group_first;
		o.area_mm2 += by * gap / (shared ? 2 : 1);
		o.length_mm += by;
		if (gap <= o.widest_mm) continue;
		o.widest_mm = gap;
		o.nearest = nearest;
	}
	return o;
}

/* The spaces that the plan names on one side of a branch: past the unnamed ones, which have one way each. */
static model_ref named_space(const model *m, model_ref space, bool behind) {
	const model_air *a = &m->air;
	for (size_t left = a->branches.n; left > 0 && !a->spaces.v[space].named; left--)
		for (size_t i = 0; i < a->branches.n; i++) {
			const model_branch *b = &a->branches.v[i];
			if ((behind ? b->from : b->to) != space || b->kind == AIR_LEAK) continue;
			space = behind ? b->to : b->from;
			break;
		}
	return space;
}

static bool leak_declared(const model *m, model_ref from, model_ref to) {
	for (size_t i = 0; i < m->air.branches.n; i++) {
		const model_branch *b = &m->air.branches.v[i];
		if (b->kind != AIR_LEAK) continue;
		if ((b->from == from && b->to == to) || (b->from == to && b->to == from)) return true;
	}
	return false;
}

/* The way of the air through a unit: along its smallest side. */
static axis way_through(const box3 *b) {
	axis w = AXIS_X;
	for (int a = 1; a < 3; a++)
		if (rat_lt(box_size(*b, (axis)a), box_size(*b, w))) w = (axis)a;
	return w;
}

static void bypass_of(const model *m, diags *d, const model_branch *b) {
	double area = 0, widest[6] = {0};
	model_ref nearest[6], worst = MODEL_NONE;
	for (model_ref unit = b->part; unit < b->part + b->count && unit < m->parts.n; unit++) {
		const box3 *box = &m->parts.v[unit].box;
		axis w = way_through(box), u = w == AXIS_X ? AXIS_Y : AXIS_X, v = w == AXIS_Z ? AXIS_Y : AXIS_Z;
		for (int k = 0; k < 4; k++) {
			side s = {.m = m, .mem = d->mem, .unit = unit, .through = w, .high = k % 2};
			s.across = k < 2 ? u : v;
			s.along = k < 2 ? v : u;
			s.edge = mm(s.high ? box->hi[s.across] : box->lo[s.across]);
			s.lo = mm(box->lo[s.along]);
			s.hi = mm(box->hi[s.along]);
			opening o = open_beside(&s);
			if (o.length_mm < GOOD_PART * (s.hi - s.lo)) continue;
			face f = face_of(s.across, s.high);
			area += o.area_mm2;
			if (o.widest_mm <= widest[f]) continue;
			widest[f] = o.widest_mm;
			nearest[f] = o.nearest;
		}
	}
	const char *where = "";
	double most = 0;
	for (int f = 0; f < 6; f++) {
		if (!(widest[f] > 0)) continue;
		where = arena_printf(d->mem, "%s%s%s at its %s", where, *where ? ", " : "", length(m, d, widest[f]),
				     FACE_NAME[f]);
		if (widest[f] <= most) continue;
		most = widest[f];
		worst = nearest[f];
	}
	diag_compare(d, (diag_compared){.rule = "filter-bypass",
					.about = b->name,
					.of = DIM_LENGTH,
					.value = *where ? most / 1000 : (double)NAN,
					.limit = rat_double(check_limit(m, "filter-bypass")) / 1000,
					.words = *where ? NULL : "closed all round"});
	if (!*where) return;
	bool inch = m->measures == MEASURES_INCH;
	double shown = fmax(1, round(area / (inch ? 645.16 : 100)));
	model_ref from = named_space(m, b->from, false), to = named_space(m, b->to, true);
	diag *g = diag_warning(d, "filter-bypass", m->parts.v[b->part].at,
			       "air can pass beside filter %s: %s; about %.0f %s are open", b->name, where, shown,
			       inch ? "in²" : "cm²");
	if (worst != MODEL_NONE)
		diag_add_note(d, g, m->parts.v[worst].at, "%s is the nearest part where it is widest",
			      m->parts.v[worst].name);
	diag_add_help(
		d, g,
		"let the rim lie on a stop all round: a cleat, or a sheet with an opening smaller than the filter; "
		"or count what passes: leak %s -> %s of %.0f %s",
		m->air.spaces.v[from].name, m->air.spaces.v[to].name, shown, inch ? "in2" : "cm2");
}

void check_filter_bypass(const model *m, diags *d) {
	for (size_t i = 0; i < m->air.branches.n; i++) {
		const model_branch *b = &m->air.branches.v[i];
		if (b->kind != AIR_FILTER || b->part >= m->parts.n) continue;
		if (!leak_declared(m, named_space(m, b->from, false), named_space(m, b->to, true))) bypass_of(m, d, b);
	}
}
