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
			check_worsts_add(d, w, a, f->pattern, g->pattern, rat_from_double(-apart, 1000), i, k);
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
			mate(m, d, i, k, a->thick_axis, box, &w);
		}
	for (size_t i = 0; i < w.v.n; i++) tell(m, d, &w.v.v[i]);
}
