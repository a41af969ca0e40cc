#include "compiler/support.h"

#include <math.h>

#include "runtime/base/order.h"
#include "runtime/engine/beam.h"
#include "runtime/engine/joint.h"

/* What is nearer than this counts as one place. */
static const double TOUCH_MM = 0.01;
/* A support bears what lies beside its end, up to so many times the thickness (ours). */
static const double NEAR_THICK = 2;
/* So many looks at a support for one part; a part that needs more is not judged. */
static const double MOST_LOOKS = 3e7;

static double mm(rat r) { return rat_double(r); }

static bool is_bar(const model_part *p) { return p->kind == PART_SLAT || p->kind == PART_CLEAT || p->kind == PART_LEG; }

/* ---- what holds it ------------------------------------------------------------------------------------ */

static bool touch(const model *m, model_ref a, model_ref b) {
	face f;
	box3 rect;
	return box_touch(m->parts.v[a].box, m->parts.v[b].box, &f, &rect);
}

/* Does it hold others at all: not a door, not a piece of the same group? */
static bool may_hold(const model *m, model_ref s, model_ref i) {
	const model_part *q = &m->parts.v[i];
	return i != s && model_part_made(m, q) && q->kind != PART_DOOR && q->group_first != m->parts.v[s].group_first;
}

/* Is it held by anything but that part? A stiffener that hangs on a shelf alone holds nothing up. */
static bool held_without(const model *m, model_ref s, model_ref without) {
	if (rat_eq(m->parts.v[s].box.lo[2], m->bounds.lo[2])) return true; /* it stands on the floor */
	for (size_t i = 0; i < m->joints.n; i++) {
		const model_joint *j = &m->joints.v[i];
		model_ref o = j->a == s ? j->b : j->b == s ? j->a : MODEL_NONE;
		if (o != MODEL_NONE && o != without && may_hold(m, s, o)) return true;
	}
	for (model_ref i = 0; i < m->parts.n; i++)
		if (i != without && may_hold(m, s, i) && touch(m, s, i)) return true;
	return false;
}

static void add_rect(diags *d, support_field *f, box3 b, model_ref part) {
	support_rect *r = LIST_ADD(d->mem, &f->rects);
	r->part = part;
	for (int i = 0; i < 2; i++) {
		r->lo[i] = fmax(mm(b.lo[f->in[i]]), f->lo[i]);
		r->hi[i] = fmin(mm(b.hi[f->in[i]]), f->hi[i]);
	}
}

typedef LIST(const model_feature *) openings;
typedef LIST(double) places;

/* In order, each once; those nearer than TOUCH_MM count as one. */
static void settle(places *p) {
	size_t n = 0;
	order_doubles(p->v, p->n);
	for (size_t i = 0; i < p->n; i++)
		if (n == 0 || p->v[i] > p->v[n - 1] + TOUCH_MM) p->v[n++] = p->v[i];
	p->n = n;
}

/* What openings leave of a section across direction `i`, at the place of the worst of them. */
static double solid_along(diags *d, const support_field *f, const openings *o, int i) {
	double breadth = f->hi[1 - i] - f->lo[1 - i], worst = 0;
	axis a = f->in[i], across = f->in[1 - i];
	places at = {0};
	for (size_t k = 0; k < o->n; k++) LIST_PUSH(d->mem, &at, mm(o->v[k]->centre.v[a]));
	if (o->n) settle(&at);
	for (size_t k = 0; k < at.n; k++) {
		double cut = 0;
		for (size_t x = 0; x < o->n; x++) {
			const model_feature *q = o->v[x];
			double off = fabs(mm(q->centre.v[a]) - at.v[k]), half = mm(model_shape_half(&q->shape, a)),
			       chord = 2 * mm(model_shape_half(&q->shape, across));
			if (off >= half) continue;
			if (q->shape.kind == SHAPE_ROUND) chord *= sqrt(1 - off * off / (half * half));
			cut += chord;
		}
		worst = fmax(worst, cut);
	}
	return fmax(1 - worst / breadth, 0.01);
}

static openings openings_of(const model *m, diags *d, model_ref part, axis through) {
	openings o = {0};
	for (size_t k = 0; k < m->features.n; k++) {
		const model_feature *f = &m->features.v[k];
		if (f->part == part && f->kind == FEATURE_OPENING && f->through && face_axis(f->face) == through)
			LIST_PUSH(d->mem, &o, f);
	}
	return o;
}

static support_field begin(const model *m, diags *d, model_ref part, axis through) {
	const model_part *p = &m->parts.v[part];
	support_field f = {.part = part, .through = through, .bar = is_bar(p)};
	f.near = NEAR_THICK * mm(box_size(p->box, through));
	f.in[0] = through == AXIS_X ? AXIS_Y : AXIS_X;
	f.in[1] = through == AXIS_Z ? AXIS_Y : AXIS_Z;
	if (f.bar && p->long_axis == f.in[1]) {
		f.in[1] = f.in[0];
		f.in[0] = p->long_axis;
	}
	for (int i = 0; i < 2; i++) {
		f.lo[i] = mm(p->box.lo[f.in[i]]);
		f.hi[i] = mm(p->box.hi[f.in[i]]);
	}
	openings o = openings_of(m, d, part, through);
	for (int i = 0; i < 2; i++) f.solid[i] = f.hi[1 - i] > f.lo[1 - i] ? solid_along(d, &f, &o, i) : 1;
	return f;
}

/* A joint's rectangle as a part that holds `part`; NONE when the joint is not its, or the other cannot hold. */
static model_ref other_of(const model *m, const model_joint *j, model_ref part) {
	if (j->a != part && j->b != part) return MODEL_NONE;
	model_ref s = j->a == part ? j->b : j->a;
	const model_part *q = &m->parts.v[s];
	return model_part_made(m, q) && q->kind != PART_DOOR && !q->loose ? s : MODEL_NONE;
}

/* May this part lie under another as a support? A caster or foot stands on the floor; a door holds nothing. */
static bool may_lie_under(const model *m, const model_part *q) {
	if (model_part_made(m, q)) return q->kind != PART_DOOR && !q->loose;
	return q->kind == PART_ITEM && rat_eq(q->box.lo[2], m->bounds.lo[2]);
}

support_field support_against_weight(const model *m, diags *d, model_ref part) {
	support_field f = begin(m, d, part, AXIS_Z);
	const model_part *p = &m->parts.v[part];
	for (size_t i = 0; i < m->joints.n; i++) {
		const model_joint *j = &m->joints.v[i];
		model_ref s = other_of(m, j, part);
		if (s == MODEL_NONE) continue;
		/* Of two sheets that lie on each other the lower one holds the upper. */
		bool over = face_axis(j->face_a) == AXIS_Z && rat_lt(p->box.lo[2], m->parts.v[s].box.lo[2]);
		if (over && m->parts.v[s].thick_axis == AXIS_Z && !is_bar(&m->parts.v[s])) continue;
		if (held_without(m, s, part)) add_rect(d, &f, j->contact, s);
	}
	for (model_ref i = 0; i < m->parts.n; i++) {
		face at;
		box3 rect;
		if (i == part || !may_lie_under(m, &m->parts.v[i])) continue;
		if (!box_touch(p->box, m->parts.v[i].box, &at, &rect) || at != FACE_BOTTOM) continue;
		if (joint_between(m, part, i)) continue;
		if (held_without(m, i, part)) add_rect(d, &f, rect, i);
	}
	return f;
}

support_field support_against_air(const model *m, diags *d, model_ref part) {
	const model_part *p = &m->parts.v[part];
	support_field f = begin(m, d, part, p->thick_axis);
	for (size_t i = 0; i < m->joints.n; i++) {
		model_ref s = other_of(m, &m->joints.v[i], part);
		if (s != MODEL_NONE && held_without(m, s, part)) add_rect(d, &f, m->joints.v[i].contact, s);
	}
	for (model_ref i = 0; i < m->parts.n && p->loose; i++) {
		face at;
		box3 rect;
		if (i == part || !model_part_made(m, &m->parts.v[i]) || joint_between(m, part, i)) continue;
		if (box_touch(p->box, m->parts.v[i].box, &at, &rect)) add_rect(d, &f, rect, i);
	}
	return f;
}

/* ---- how it bends --------------------------------------------------------------------------------------- */

typedef struct strip { /* through one place, along one direction */
	double lo, hi; /* ends of the free length */
	model_ref at_lo, at_hi;
	bool on; /* the place itself lies on a support */
} strip;

static strip strip_at(const support_field *f, const double at[2], int i) {
	strip s = {.lo = f->lo[i], .hi = f->hi[i], .at_lo = MODEL_NONE, .at_hi = MODEL_NONE};
	for (size_t k = 0; k < f->rects.n; k++) {
		const support_rect *r = &f->rects.v[k];
		if (at[1 - i] < r->lo[1 - i] - f->near || at[1 - i] > r->hi[1 - i] + f->near) continue;
		if (r->lo[i] <= at[i] && at[i] <= r->hi[i]) {
			s.on = true;
			s.at_lo = s.at_hi = r->part;
			return s;
		}
		if (r->hi[i] < at[i] && (s.at_lo == MODEL_NONE || r->hi[i] > s.lo)) {
			s.lo = r->hi[i];
			s.at_lo = r->part;
		}
		if (r->lo[i] > at[i] && (s.at_hi == MODEL_NONE || r->lo[i] < s.hi)) {
			s.hi = r->lo[i];
			s.at_hi = r->part;
		}
	}
	return s;
}

static bool spans(const strip *s) { return s->at_lo != MODEL_NONE && s->at_hi != MODEL_NONE; }
static bool hangs_over(const strip *s) { return (s->at_lo != MODEL_NONE) != (s->at_hi != MODEL_NONE); }

/* Deflection of a strip a metre broad, and of its share of a load in the middle, mm. */
static double strip_bends(const support_field *f, const strip *s, int i, double thick_m, const support_load *load,
			  bool middle) {
	double long_m = (s->hi - s->lo) / 1000, breadth = (f->hi[1 - i] - f->lo[1 - i]) / 1000;
	double ei = load->modulus_pa * f->solid[i] * beam_second_moment(1, thick_m);
	beam_ends ends = spans(s) ? BEAM_RESTS : BEAM_FREE_END;
	double w = beam_deflection(ends, BEAM_SPREAD, load->even_pa * long_m, long_m, ei);
	/* What stands in the middle of a broad shelf is borne by as much of its breadth as the span is long. */
	if (middle) w += beam_deflection(ends, BEAM_MIDDLE, load->middle_n / fmin(breadth, long_m), long_m, ei);
	return w * 1000;
}

/* Both ways at once, an even load: on four sides, or on three. INFINITY when it is neither. */
static double plate_bends(const support_field *f, const strip s[2], double thick_m, const support_load *load) {
	double l[2] = {(s[0].hi - s[0].lo) / 1000, (s[1].hi - s[1].lo) / 1000};
	double e = load->modulus_pa * fmin(f->solid[0], f->solid[1]);
	if (spans(&s[0]) && spans(&s[1]))
		return 1000 * beam_plate_rests(l[0], l[1], thick_m, load->even_pa, e).deflection_m;
	for (int i = 0; i < 2; i++)
		if (spans(&s[i]) && hangs_over(&s[1 - i]))
			return 1000 * beam_plate_three_sides(l[i], l[1 - i], thick_m, load->even_pa, e);
	return INFINITY;
}

static support_bend cell_bends(const support_field *f, const strip s[2], double thick_m, const support_load *load,
			       bool middle) {
	support_bend b = {.to = MODEL_NONE, .from = MODEL_NONE};
	int ways = f->bar ? 1 : 2;
	bool any_spans = spans(&s[0]) || (ways == 2 && spans(&s[1]));
	for (int i = 0; i < ways; i++) {
		/* One end alone holds it only where nothing spans the other way: it need not be clamped there. */
		if (!spans(&s[i]) && (any_spans || !hangs_over(&s[i]))) continue;
		double w = strip_bends(f, &s[i], i, thick_m, load, middle);
		if (b.found && w >= b.deflection_mm) continue;
		double long_mm = s[i].hi - s[i].lo;
		b = (support_bend){
			.found = true, .deflection_mm = w, .span_mm = long_mm, .from = s[i].at_lo, .to = s[i].at_hi};
		b.overhang = !spans(&s[i]);
		if (b.overhang && b.from == MODEL_NONE) b.from = b.to;
		if (b.overhang) b.to = MODEL_NONE;
		b.allowed_mm = (b.overhang ? 2 : 1) * long_mm / load->limit;
	}
	double w = ways == 2 && !middle ? plate_bends(f, s, thick_m, load) : INFINITY;
	if (b.found && w < b.deflection_mm) {
		b.deflection_mm = w;
		b.plate = true;
	}
	return b;
}

/* An even load on a cell goes to the two ends of the shorter strip through it, by the lever. */
static void react(const support_field *f, const strip s[2], const double at[2], double load_n, double *reaction) {
	int i = 0;
	if (!f->bar && (!spans(&s[0]) || (spans(&s[1]) && s[1].hi - s[1].lo < s[0].hi - s[0].lo))) i = 1;
	if (s[0].on) i = 0;
	if (s[1].on && !f->bar) i = 1;
	if (s[i].on) {
		reaction[s[i].at_lo] += load_n;
	} else if (spans(&s[i])) {
		double t = (at[i] - s[i].lo) / (s[i].hi - s[i].lo);
		reaction[s[i].at_lo] += load_n * (1 - t);
		reaction[s[i].at_hi] += load_n * t;
	} else if (hangs_over(&s[i])) {
		reaction[s[i].at_lo == MODEL_NONE ? s[i].at_hi : s[i].at_lo] += load_n;
	}
}

/* Where anything changes along a direction. */
static places changes(diags *d, const support_field *f, int i) {
	places p = {0};
	LIST_PUSH(d->mem, &p, f->lo[i]);
	LIST_PUSH(d->mem, &p, f->hi[i]);
	for (size_t k = 0; k < f->rects.n; k++) {
		LIST_PUSH(d->mem, &p, f->rects.v[k].lo[i]);
		LIST_PUSH(d->mem, &p, f->rects.v[k].hi[i]);
	}
	settle(&p);
	return p;
}

support_bend support_bends(const model *m, diags *d, const support_field *f, const support_load *load,
			   double *reaction) {
	support_bend worst = {.from = MODEL_NONE, .to = MODEL_NONE};
	double thick_m = mm(box_size(m->parts.v[f->part].box, f->through)) / 1000;
	places u = changes(d, f, 0), v = changes(d, f, 1);
	if ((double)u.n * (double)v.n * (double)f->rects.n > MOST_LOOKS) return worst;
	const double mid[2] = {(f->lo[0] + f->hi[0]) / 2, (f->lo[1] + f->hi[1]) / 2};
	for (size_t x = 0; x + 1 < u.n; x++) {
		for (size_t y = 0; y + 1 < v.n; y++) {
			double wide = u.v[x + 1] - u.v[x], high = v.v[y + 1] - v.v[y];
			if (wide <= TOUCH_MM || high <= TOUCH_MM) continue;
			const double at[2] = {(u.v[x] + u.v[x + 1]) / 2, (v.v[y] + v.v[y + 1]) / 2};
			const strip s[2] = {strip_at(f, at, 0), strip_at(f, at, 1)};
			if (reaction) react(f, s, at, load->even_pa * wide * high / 1e6, reaction);
			if (s[0].on || s[1].on) continue;
			bool middle = load->middle_n > 0 && u.v[x] <= mid[0] && mid[0] <= u.v[x + 1] &&
				      v.v[y] <= mid[1] && mid[1] <= v.v[y + 1];
			support_bend b = cell_bends(f, s, thick_m, load, middle);
			if (!b.found || b.span_mm < 1) continue;
			bool worse =
				!worst.found || b.deflection_mm * worst.allowed_mm > worst.deflection_mm * b.allowed_mm;
			if (worse) worst = b;
		}
	}
	return worst;
}
