#include "runtime/engine/mitre_nest.h"

#include <math.h>

#include "runtime/engine/mitre.h"

static rat up(double mm) { return rat_of((int64_t)ceil(mm * 1000 - 1e-9), 1000); }
static rat down(double mm) { return rat_of((int64_t)floor(mm * 1000 + 1e-9), 1000); }

static bool mitred(const model_part *p, int end) { return p->mitre[end].angle_deg > 0; }

static rat across(const model_part *p, int end) { return box_size(p->box, face_axis(p->mitre[end].point)); }

rat mitre_more(const model_part *p, int end, rat kerf) {
	return mitred(p, end) ? up(mitre_kerf_mm(p->mitre[end].angle_deg, rat_double(kerf))) : rat_int(0);
}

/* Two cuts take kerf and twice what is more; one takes it once, and the long points pass each other. */
rat mitre_saves(const model_part *p, int end, rat kerf) {
	if (!mitred(p, end)) return rat_int(0);
	return down(mitre_kerf_mm(p->mitre[end].angle_deg, rat_double(kerf)) + mitre_setback_mm(p, end));
}

/* Ends in two planes: what lies turned over then has its other end turned the wrong way. */
static bool twisted(const model_part *p) {
	return mitred(p, 0) && mitred(p, 1) && face_axis(p->mitre[0].point) != face_axis(p->mitre[1].point);
}

static bool same_end(const model_part *a, int end_a, const model_part *b, int end_b) {
	return mitred(a, end_a) && mitred(b, end_b) && a->mitre[end_a].angle_deg == b->mitre[end_b].angle_deg &&
	       rat_eq(across(a, end_a), across(b, end_b));
}

bool mitre_nests(const model_part *a, const model_part *b) {
	return same_end(a, 1, b, 0) && !twisted(a) && !twisted(b);
}

/* At which side of the bar the end is longest, as the piece lies. */
static bool high_side(const model_part *p, int end, bool turned) { return face_high(p->mitre[end].point) != turned; }

bool mitre_shared(const model *m, const model_piece *a, const model_piece *b, rat kerf) {
	const model_part *p = &m->parts.v[a->part], *q = &m->parts.v[b->part];
	rat gap = rat_sub(b->x, rat_add(a->x, a->w));
	return mitre_nests(p, q) && high_side(p, 1, a->turned) != high_side(q, 0, b->turned) && rat_lt(gap, kerf);
}

/* ---- the order ------------------------------------------------------------------------------------------ */

/* Of the pieces that are left, the one that best goes on from `last`: first one whose other end is the same again, so
 * that a chain ends only when nothing fits any more. SIZE_MAX: none. */
static size_t next_piece(const model *m, const model_bar_plan *bar, const bool *taken, const model_part *last) {
	size_t best = SIZE_MAX;
	for (size_t i = 0; i < bar->pieces.n; i++) {
		const model_part *p = &m->parts.v[bar->pieces.v[i].part];
		if (taken[i] || !mitre_nests(last, p)) continue;
		if (same_end(p, 0, p, 1)) return i;
		if (best == SIZE_MAX) best = i;
	}
	return best;
}

/* Where a chain begins: square at both ends, then square at the low end, then any, then what other chains lead into. */
static size_t first_piece(const model *m, const model_bar_plan *bar, const bool *taken) {
	size_t best = SIZE_MAX;
	int least = 4;
	for (size_t i = 0; i < bar->pieces.n; i++) {
		const model_part *p = &m->parts.v[bar->pieces.v[i].part];
		int rank = mitred(p, 0) ? mitred(p, 1) ? 2 : 3 : mitred(p, 1) ? 1 : 0;
		if (taken[i] || rank >= least) continue;
		least = rank;
		best = i;
	}
	return best;
}

/* From a's long point to b's. */
static rat gap_of(const model_part *a, const model_part *b, rat kerf) {
	if (!mitre_nests(a, b)) return rat_add(kerf, rat_add(mitre_more(a, 1, kerf), mitre_more(b, 0, kerf)));
	double one = mitre_kerf_mm(a->mitre[1].angle_deg, rat_double(kerf)) + rat_double(kerf);
	return up(one - mitre_setback_mm(a, 1));
}

bool mitre_nest(arena *mem, const model *m, model_bar_plan *bar) {
	size_t n = bar->pieces.n;
	bool *taken = ARENA_MANY(mem, bool, n + 1);
	model_piece *order = ARENA_MANY(mem, model_piece, n + 1);
	const model_part *last = NULL;
	rat at = bar->trim, end = rat_sub(bar->length, bar->trim);
	for (size_t k = 0; k < n; k++) {
		size_t i = last ? next_piece(m, bar, taken, last) : SIZE_MAX;
		if (i == SIZE_MAX) i = first_piece(m, bar, taken);
		taken[i] = true;
		model_piece q = bar->pieces.v[i];
		const model_part *p = &m->parts.v[q.part];
		q.turned = last && mitre_nests(last, p) &&
			   high_side(p, 0, false) == high_side(last, 1, order[k - 1].turned);
		q.x = last ? rat_add(at, gap_of(last, p, bar->kerf)) : rat_add(at, mitre_more(p, 0, bar->kerf));
		at = rat_add(q.x, q.w);
		order[k] = q;
		last = p;
	}
	if (!last) return true;
	rat sawn = rat_add(at, mitre_more(last, 1, bar->kerf));
	if (rat_lt(end, sawn)) return false;
	for (size_t k = 0; k < n; k++) bar->pieces.v[k] = order[k];
	bar->rest = rat_max(rat_sub(end, rat_add(sawn, bar->kerf)), rat_int(0));
	return true;
}

/* ---- seen from outside ------------------------------------------------------------------------------------ */

typedef struct corner { /* along and across the bar, mm */
	double u, v;
} corner;

/* The two corners of an end, in a plane of that depth. An end that is slanted in the other plane counts from its long
 * point. */
static void corners(const model_part *p, const model_piece *q, int end, double depth, corner out[2]) {
	double at = rat_double(q->x) + (end ? rat_double(q->w) : 0);
	bool slants = mitred(p, end) && rat_double(across(p, end)) == depth;
	double back = slants ? mitre_setback_mm(p, end) * (end ? -1 : 1) : 0;
	bool high = slants && high_side(p, end, q->turned);
	out[0] = (corner){at + (high ? back : 0), 0};
	out[1] = (corner){at + (high ? 0 : back), depth};
}

/* How far beyond the sawn face of that end the nearer of two corners lies, square to it. */
static double beyond(const corner sawn[2], int end, const corner other[2]) {
	double du = sawn[1].u - sawn[0].u, dv = sawn[1].v - sawn[0].v, length = hypot(du, dv), least = INFINITY;
	for (int i = 0; i < 2; i++) {
		double off = ((other[i].u - sawn[0].u) * dv - (other[i].v - sawn[0].v) * du) / length;
		least = fmin(least, end ? off : -off);
	}
	return least;
}

static bool blade_passes(const model_part *p, const model_piece *a, const model_part *q, const model_piece *b,
			 double kerf) {
	const model_part *of[2] = {p, q};
	for (int k = 0; k < 2; k++) { /* the cut of a's high end, the cut of b's low end */
		int end = k == 0;
		double depth = mitred(of[k], end) ? rat_double(across(of[k], end)) : 1;
		corner high[2], low[2];
		corners(p, a, 1, depth, high);
		corners(q, b, 0, depth, low);
		if (beyond(k == 0 ? high : low, end, k == 0 ? low : high) < kerf - 1e-7) return false;
	}
	return true;
}

const char *mitre_bar_fault(const model *m, const model_bar_plan *bar) {
	double kerf = rat_double(bar->kerf);
	rat end = rat_sub(bar->length, bar->trim);
	for (size_t i = 0; i < bar->pieces.n; i++) {
		const model_piece *b = &bar->pieces.v[i];
		const model_part *q = &m->parts.v[b->part];
		rat from = rat_sub(b->x, mitre_more(q, 0, bar->kerf)),
		    to = rat_add(rat_add(b->x, b->w), mitre_more(q, 1, bar->kerf));
		if (!rat_eq(b->w, box_size(q->blank, q->long_axis))) return "a piece is not as long as its part";
		if ((i == 0 && rat_lt(from, bar->trim)) || rat_lt(end, to)) return "a piece reaches into the trim";
		if (i == 0) continue;
		const model_piece *a = &bar->pieces.v[i - 1];
		if (!blade_passes(&m->parts.v[a->part], a, q, b, kerf))
			return "the blade reaches from one mitred piece into the next";
	}
	return NULL;
}
