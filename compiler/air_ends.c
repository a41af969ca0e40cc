/* Loss coefficients of the branches: what an opening or a duct loses where it begins and where it ends, by what lies
 * next to it in the way. */
#include <math.h>

#include "compiler/air.h"
#include "runtime/engine/airlaw.h"

/* Two streams are one when their areas are within these of each other, a wider step is a box between them (ours). */
static const double LEAST_SHARE = 0.4, MOST_SHARE = 2.5;
/* An opening that a fan blows through has half the area of the fan's inlet at least; the inlet stands for the outlet,
 * whose size no stock gives (ours). */
static const double LEAST_BLOWN = 0.5;
/* A stream that comes at speed and goes on at speed loses no less than this at an opening between (ours: a law must
 * have a slope). */
static const double LEAST_K = 0.05;

static bool known(double v) { return v > 0 && isfinite(v); }

static bool is_passage(const model_branch *b) { return b->kind == AIR_OPENINGS || b->kind == AIR_DUCT; }

/* Does `before` pass its stream on to `after`, which lies next to it with no named space between? */
static bool one_stream(const model_branch *before, const model_branch *after) {
	if (before->count != after->count) return false;
	double share = after->open_m2 / before->open_m2;
	if (before->kind == AIR_FAN) return is_passage(after) && known(before->open_m2) && share >= LEAST_BLOWN;
	if (!is_passage(before) || !known(after->open_m2)) return false;
	if (before->kind == AIR_DUCT && after->kind == AIR_DUCT) return true;
	bool alike = share >= 1 / MOST_SHARE && share <= 1 / LEAST_SHARE;
	if (after->kind == AIR_FAN) return alike;
	return alike && is_passage(after) && (before->kind == AIR_DUCT || after->kind == AIR_DUCT);
}

/* The branch that lies next to b behind it (or before it) in one stream with it, or NULL: they share a space that the
 * plan does not name, and nobody else opens into it. */
static const model_branch *next_to(const model *m, const model_branch *b, bool behind) {
	const model_air *a = &m->air;
	const model_branch *next = NULL;
	model_ref space = behind ? b->to : b->from;
	if (a->spaces.v[space].named) return NULL;
	for (size_t i = 0; i < a->branches.n; i++) {
		const model_branch *o = &a->branches.v[i];
		if (o == b || (o->from != space && o->to != space)) continue;
		if (next || (behind ? o->from : o->to) != space) return NULL;
		next = o;
	}
	if (!next || !(behind ? one_stream(b, next) : one_stream(next, b))) return NULL;
	return next;
}

/* From one area into another, on the speed in the first: Borda-Carnot into a larger one, half of what is narrowed into
 * a smaller one (textbook, memory). */
static double step(double from_m2, double to_m2) {
	if (to_m2 >= from_m2) return airlaw_expansion(from_m2, to_m2);
	double ratio = from_m2 / to_m2;
	return 0.5 * (1 - 1 / ratio) * ratio * ratio;
}

/* An opening in a stream loses its entry unless the stream comes to it at speed, and its exit unless it goes on at
 * speed into a fan or duct. By itself it is a plate. */
static double opening_k(const model_branch *b, const model_branch *before, const model_branch *after) {
	if (!before && !after) return airlaw_plate(fmin(1, b->open_m2 / b->plan_m2), b->thick_m / b->hole_m);
	bool from_duct = before && before->kind == AIR_DUCT;
	double in = before ? 0 : AIRLAW_FH_FLANGED, out = 1, share = from_duct ? b->open_m2 / before->open_m2 : 1;
	if (after && after->kind == AIR_DUCT && after->ends_given) in = 0;
	/* A wider opening does not widen the duct's jet: the duct's speed is lost. A narrower one narrows it first. */
	if (from_duct) out = before->ends_given ? 0 : share > 1 ? share * share : 1;
	if (from_duct && share < 1) in = 0.5 * (1 - share);
	if (from_duct && share > 1 && after) in = step(before->open_m2, b->open_m2) * share * share;
	if (after) out = step(b->open_m2, after->open_m2);
	return fmax(LEAST_K, in + out);
}

static double duct_k(const model_branch *b, const model_branch *before, const model_branch *after) {
	double fittings = fmax(0, b->loss_k);
	if (b->ends_given) return fittings;
	double in = b->entry ? b->entry_k : before ? 0 : AIRLAW_FH_PLAIN, out = 1;
	if (after) out = after->kind == AIR_OPENINGS ? 0 : step(b->open_m2, after->open_m2);
	return fittings + in + out;
}

void air_coefficients(model *m) {
	for (size_t i = 0; i < m->air.branches.n; i++) {
		model_branch *b = &m->air.branches.v[i];
		const model_stock *s = b->stock < m->stocks.n ? &m->stocks.v[b->stock] : NULL;
		const model_branch *before = next_to(m, b, false), *after = next_to(m, b, true);
		if (b->kind != AIR_TUBES) b->k = 0; /* theirs is set with their mouths */
		b->runs_on = after != NULL;
		b->feeds_fan = after && after->kind == AIR_FAN;
		b->dirty_known = false;
		switch (b->kind) {
		case AIR_OPENINGS:
			b->k = opening_k(b, before, after);
			break;
		case AIR_GAP:
			b->k = airlaw_plate(0, b->thick_m / b->hole_m);
			break;
		case AIR_LEAK:
			b->k = AIRLAW_SHARP_K;
			break;
		case AIR_DUCT:
			b->k = duct_k(b, before, after);
			break;
		case AIR_FILTER:
			b->dirty_known = s && known(s->dirty_pa.v);
			break;
		case AIR_TUBES:
			b->dirty_known = s && known(s->drag_per_s.v) && known(s->dirty_load_kg_m2.v);
			break;
		case AIR_FAN:
		case AIR_KINDS:
			break;
		}
	}
}
