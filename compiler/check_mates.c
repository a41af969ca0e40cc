/* Openings of two patterns in sheets that lie on each other: what goes through both has one axis. */
#include <math.h>

#include "compiler/check_limits.h"
#include "compiler/check_use.h"
#include "compiler/check_util.h"

static double mm(rat r) { return rat_double(r); }

/* Does `b` lie wholly in `a`, as a hole does in a larger one? Both on one frame. */
static bool lies_in(const feature_outline *a, const feature_outline *b) {
	double du = fabs(mm(rat_sub(a->u, b->u))), dv = fabs(mm(rat_sub(a->v, b->v)));
	bool round = rat_sign(a->hu) == 0 && rat_sign(a->hv) == 0;
	if (round) return hypot(du + mm(b->hu), dv + mm(b->hv)) + mm(b->r) <= mm(a->r) + 0.001;
	return du + mm(feature_reach_u(b)) <= mm(feature_reach_u(a)) + 0.001 &&
	       dv + mm(feature_reach_v(b)) <= mm(feature_reach_v(a)) + 0.001;
}

static bool through_opening(const model_feature *f, model_ref part, axis through) {
	return f->part == part && f->kind == FEATURE_OPENING && f->through && face_axis(f->face) == through;
}

/* Pairs of openings that meet and stand apart; the worst of each pair of patterns is kept, by its distance below 0. */
static void mate(const model *m, diags *d, model_ref a, model_ref b, axis through, const check_box *box,
		 check_worsts *w) {
	frame fr = frame_of(m->parts.v[a].blank, m->parts.v[a].work_face);
	if (face_axis(fr.face) != through) return;
	double most = mm(check_limit(m, "axes-apart"));
	for (size_t i = 0; i < m->features.n; i++) {
		const model_feature *f = &m->features.v[i];
		if (!through_opening(f, a, through)) continue;
		feature_outline of = feature_outline_on(f, &fr);
		for (size_t k = 0; k < m->features.n; k++) {
			const model_feature *g = &m->features.v[k];
			if (!through_opening(g, b, through) || g->pattern == f->pattern) continue;
			if (check_far(&box[i], &box[k], 0, (int)through)) continue;
			feature_outline og = feature_outline_on(g, &fr);
			double apart = hypot(mm(rat_sub(of.u, og.u)), mm(rat_sub(of.v, og.v)));
			if (!(apart > most) || lies_in(&of, &og) || lies_in(&og, &of)) continue;
			if (rat_sign(feature_gap(&of, &og)) >= 0) continue;
			check_worsts_add(d, w, a, f->pattern, g->pattern, check_rounded(-apart, 1000), i, k);
		}
	}
}

static const char *pattern_name(const model *m, model_ref row) {
	return row < m->patterns.n ? m->patterns.v[row].name : "openings";
}

static void tell(const model *m, diags *d, const check_worst *e) {
	const model_feature *f = &m->features.v[e->a], *g = &m->features.v[e->b];
	rat apart = rat_neg(e->gap), most = check_limit(m, "axes-apart");
	const char *in_f = m->parts.v[f->part].name, *in_g = m->parts.v[g->part].name;
	diag *w = diag_warning(d, "axes-apart", check_feature_at(m, f),
			       "%s in %s and %s in %s meet with their axes %s apart, %s more than %s%s",
			       check_feature(m, d, f), in_f, check_feature(m, d, g), in_g, check_length(m, d, apart),
			       check_length(m, d, rat_sub(apart, most)), check_length(m, d, most),
			       check_count(d, e->count));
	diag_add_note(d, w, check_feature_at(m, g), "%s is here", pattern_name(m, g->pattern));
	diag_add_help(d, w,
		      "make them one pattern: openings %s in %s, %s; or let one be so large that the other lies in it",
		      pattern_name(m, f->pattern), in_f, in_g);
}

/* ---- whole patterns that face each other ----------------------------------------------------- */

typedef struct hole_at { /* on a frame, in mm */
	double u, v;
	size_t row; /* of model.features */
} hole_at;
typedef struct holes { /* the through openings of one pattern in one sheet */
	hole_at *v;
	size_t n;
} holes;

typedef struct facing {
	const model *m;
	diags *d;
	model_ref a, b;
	axis through;
	box3 contact;
	frame fr;
	double most;
} facing;

static holes holes_of(const facing *w, model_ref part, size_t pattern) {
	size_t most = w->m->patterns.v[pattern].axes.n;
	holes h = {ARENA_MANY(w->d->mem, hole_at, most + 1), 0};
	for (size_t i = 0; i < w->m->features.n && h.n < most; i++) {
		const model_feature *f = &w->m->features.v[i];
		if (!through_opening(f, part, w->through) || f->pattern != pattern) continue;
		feature_outline o = feature_outline_on(f, &w->fr);
		h.v[h.n++] = (hole_at){mm(o.u), mm(o.v), i};
	}
	return h;
}

static bool has_axis(const holes *h, double u, double v, double most) {
	for (size_t i = 0; i < h->n; i++)
		if (hypot(h->v[i].u - u, h->v[i].v - v) <= most) return true;
	return false;
}

/* Is each opening of `x` one of `y`, measured from the other side along u (0) or v (1)? `twice`: twice the middle. */
static bool mirrored(const holes *x, const holes *y, int along, double twice, double most) {
	for (size_t i = 0; i < x->n; i++) {
		double u = x->v[i].u, v = x->v[i].v;
		if (!has_axis(y, along == 0 ? twice - u : u, along == 1 ? twice - v : v, most)) return false;
	}
	return true;
}

/* The axis along which the two are mirror images, about the middle of a sheet or of where the sheets touch. */
static bool mirror_images(const facing *w, const holes *x, const holes *y, axis *along) {
	if (x->n != y->n || x->n < 2) return false;
	const box3 boxes[3] = {w->contact, w->m->parts.v[w->a].box, w->m->parts.v[w->b].box};
	for (int i = 0; i < 3; i++) {
		feature_outline o = feature_outline_of_box(boxes[i], &w->fr);
		for (int k = 0; k < 2; k++) {
			*along = k == 0 ? w->fr.u : w->fr.v;
			if (mirrored(x, y, k, 2 * mm(k == 0 ? o.u : o.v), w->most)) return true;
		}
	}
	return false;
}

/* Does the opening run against the other sheet where that has no opening at all? */
static bool runs_against(const facing *w, size_t row, model_ref other) {
	feature_outline o = feature_outline_on(&w->m->features.v[row], &w->fr);
	feature_outline c = feature_outline_of_box(w->contact, &w->fr);
	if (rat_sign(feature_gap(&o, &c)) >= 0) return false;
	for (size_t i = 0; i < w->m->features.n; i++) {
		const model_feature *g = &w->m->features.v[i];
		if (g->part != other || g->kind != FEATURE_OPENING || face_axis(g->face) != w->through) continue;
		feature_outline og = feature_outline_on(g, &w->fr);
		if (rat_sign(feature_gap(&o, &og)) < 0) return false;
	}
	return true;
}

static void tell_mirrored(const facing *w, size_t p, size_t q, axis along, size_t n) {
	const char *in_a = w->m->parts.v[w->a].name, *in_b = w->m->parts.v[w->b].name;
	const model_pattern *x = &w->m->patterns.v[p];
	diag *g = diag_warning(
		w->d, "axes-apart", x->at,
		"the openings %s in %s and %s in %s, %zu each, are mirror images along the %s: they do not meet",
		x->name, in_a, pattern_name(w->m, (model_ref)q), in_b, n, AXIS_SPOKEN[along]);
	diag_add_note(w->d, g, w->m->patterns.v[q].at, "%s is here", w->m->patterns.v[q].name);
	diag_add_help(w->d, g, "measure both from one side, or make them one pattern: openings %s in %s, %s", x->name,
		      in_a, in_b);
}

/* Most of the smaller pattern has its counterparts; which of the larger have none? */
static void tell_lacking(const facing *w, size_t p, size_t q, const holes *x, const holes *y) {
	size_t met = 0, lacks = 0, first = 0;
	for (size_t i = 0; i < x->n; i++) {
		if (has_axis(y, x->v[i].u, x->v[i].v, w->most)) {
			met++;
		} else if (runs_against(w, x->v[i].row, w->b)) {
			if (lacks++ == 0) first = x->v[i].row;
		}
	}
	if (met < 2 || 2 * met < (x->n < y->n ? x->n : y->n) || lacks == 0) return;
	const model_feature *f = &w->m->features.v[first];
	diag *g = diag_warning(w->d, "axes-apart", check_feature_at(w->m, f),
			       "%s in %s has no counterpart in %s, where %s has those of %zu others%s",
			       check_feature(w->m, w->d, f), w->m->parts.v[w->a].name, w->m->parts.v[w->b].name,
			       pattern_name(w->m, (model_ref)q), met, check_count(w->d, (uint32_t)lacks));
	diag_add_note(w->d, g, w->m->patterns.v[q].at, "%s has %zu openings, %s %zu", w->m->patterns.v[q].name, y->n,
		      w->m->patterns.v[p].name, x->n);
	diag_add_help(w->d, g, "make them one pattern: openings %s in %s, %s", w->m->patterns.v[p].name,
		      w->m->parts.v[w->a].name, w->m->parts.v[w->b].name);
}

static bool facing_of(const model *m, diags *d, model_ref a, model_ref b, facing *w) {
	face f;
	*w = (facing){.m = m, .d = d, .a = a, .b = b, .through = m->parts.v[a].thick_axis};
	if (!box_touch(m->parts.v[a].box, m->parts.v[b].box, &f, &w->contact)) return false;
	w->fr = frame_of(m->parts.v[a].blank, m->parts.v[a].work_face);
	w->most = mm(check_limit(m, "axes-apart"));
	return face_axis(w->fr.face) == w->through;
}

/* `mirrors`: tells of mirror images, too, which are told of two sheets once. */
static void whole_patterns(const facing *w, bool mirrors) {
	for (size_t p = 0; p < w->m->patterns.n; p++) {
		if (!model_pattern_sheet(&w->m->patterns.v[p], w->a)) continue;
		holes x = holes_of(w, w->a, p);
		for (size_t q = 0; q < w->m->patterns.n && x.n; q++) {
			axis along;
			if (q == p || !model_pattern_sheet(&w->m->patterns.v[q], w->b)) continue;
			holes y = holes_of(w, w->b, q);
			if (!y.n || mirrored(&x, &y, 2, 0, w->most)) continue; /* one as the other */
			if (mirror_images(w, &x, &y, &along)) {
				if (mirrors) tell_mirrored(w, p, q, along, x.n);
				continue;
			}
			tell_lacking(w, p, q, &x, &y);
		}
	}
}

/* The finding about the whole of two patterns says it all. */
static bool told_whole(const model *m, diags *d, const check_worst *e) {
	const model_feature *f = &m->features.v[e->a], *g = &m->features.v[e->b];
	facing w;
	axis along;
	if (!facing_of(m, d, f->part, g->part, &w)) return false;
	holes x = holes_of(&w, f->part, f->pattern), y = holes_of(&w, g->part, g->pattern);
	return mirror_images(&w, &x, &y, &along);
}

void check_axes_apart(const model *m, diags *d) {
	check_worsts w = {0};
	const check_box *box = check_boxes(m, d);
	for (model_ref i = 0; i < m->parts.n; i++)
		for (model_ref k = i + 1; k < m->parts.n; k++) {
			const model_part *a = &m->parts.v[i], *b = &m->parts.v[k];
			face f;
			box3 rect;
			if (!model_part_made(m, a) || !model_part_made(m, b) || a->thick_axis != b->thick_axis)
				continue;
			if (!box_touch(a->box, b->box, &f, &rect) || face_axis(f) != a->thick_axis) continue;
			facing one, other;
			mate(m, d, i, k, a->thick_axis, box, &w);
			if (facing_of(m, d, i, k, &one)) whole_patterns(&one, true);
			if (facing_of(m, d, k, i, &other)) whole_patterns(&other, false);
		}
	for (size_t i = 0; i < w.v.n; i++)
		if (!told_whole(m, d, &w.v.v[i])) tell(m, d, &w.v.v[i]);
}
