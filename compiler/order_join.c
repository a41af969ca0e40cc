/* The building sequence: parts come to what stands, one by one, so that each can get in and its screws be reached. */
#include <limits.h>
#include <stdlib.h>

#include "compiler/order_inner.h"
#include "runtime/base/text.h"
#include "runtime/engine/joint.h"

/* Room for hand and driver before a screw's head, and about its middle. Common practice, no source. */
enum { DRIVER_REACH_MM = 150, DRIVER_RADIUS_MM = 15 };

/* A set of faces, one bit each: the ways out of a place. */
typedef uint8_t ways;
enum { NO_WAY = 63 };

/* Rows by part: those of part p are row[first[p]] to row[first[p + 1] - 1], ascending. */
typedef struct rows_of_part {
	uint32_t *first, *row;
} rows_of_part;

typedef struct must { /* `part` comes after `before`, because it would stand before its screws */
	model_ref part, before;
	uint32_t feature; /* the screw's */
} must;

typedef struct joiner {
	order_work *w;
	size_t n;	      /* parts of the model */
	bool *mine;	      /* [n] comes in by joining */
	bool *low;	      /* [n] lies flat in the lower half */
	bool *stands;	      /* [n] */
	ways *shut;	      /* [n] barred by what stands */
	ways *blocks;	      /* [n x n] part that would stand, part: ways out of the second that the first bars */
	ways *held;	      /* [n x n] as blocks, by a tongue in its groove alone */
	LIST(must) musts;     /* by part, then by what comes before; no two of the same two */
	uint32_t *musts_from; /* [n + 1] of each part */
	uint32_t *waits;      /* [n] parts not standing that it comes after */
	rows_of_part ops;     /* join operations */
	rows_of_part joints;  /* that are joins */
	uint32_t *open;	      /* [written] join operations not done of each written step */
	int *rank;	      /* [written] */
	model_ref *piece;     /* [n] parts joined so far to one another have one number */
	bool *done;	      /* [ops] */
	model_ref last;	      /* the part that came last */
	uint32_t last_written;
} joiner;

static const model_part *part_of(const joiner *j, model_ref p) { return &j->w->m->parts.v[p]; }
/* Ways out of p that q bars, or would. */
static ways *way(const joiner *j, model_ref p, model_ref q) { return &j->blocks[q * j->n + p]; }

/* ---- what bars what ------------------------------------------------------------------------ */

/* Faces of a box as ranks among those of all parts: compared without fractions. */
typedef struct ranked {
	uint32_t lo[3], hi[3];
} ranked;

typedef struct edge_at {
	rat at;
	uint32_t *rank;
} edge_at;

static int compare_edges(const void *a, const void *b) {
	return rat_cmp(((const edge_at *)a)->at, ((const edge_at *)b)->at);
}

static ranked *rank_faces(const joiner *j) {
	arena *mem = j->w->mem;
	ranked *r = ARENA_MANY(mem, ranked, j->n + 1);
	edge_at *e = ARENA_MANY(mem, edge_at, 2 * j->n + 1);
	for (int a = 0; a < 3; a++) {
		for (size_t i = 0; i < j->n; i++) {
			e[2 * i] = (edge_at){j->w->m->parts.v[i].box.lo[a], &r[i].lo[a]};
			e[2 * i + 1] = (edge_at){j->w->m->parts.v[i].box.hi[a], &r[i].hi[a]};
		}
		qsort(e, 2 * j->n, sizeof *e, compare_edges);
		uint32_t rank = 0;
		for (size_t i = 0; i < 2 * j->n; i++) {
			if (i > 0 && rat_cmp(e[i - 1].at, e[i].at) != 0) rank++;
			*e[i].rank = rank;
		}
	}
	return r;
}

static bool overlap_along(const ranked *p, const ranked *q, int a) {
	return p->lo[a] < q->hi[a] && q->lo[a] < p->hi[a];
}

/* The ways along which p, moving out of its place, meets q. */
static ways in_the_way(const ranked *p, const ranked *q) {
	ways w = 0;
	for (int f = 0; f < 6; f++) {
		int n = (int)face_axis((face)f), u = (n + 1) % 3, v = (n + 2) % 3;
		if (!overlap_along(p, q, u) || !overlap_along(p, q, v)) continue;
		bool beyond = face_high((face)f) ? q->hi[n] > p->hi[n] : q->lo[n] < p->lo[n];
		if (beyond && q->lo[n] < q->hi[n]) w = (ways)(w | 1 << f);
	}
	return w;
}

/* What its joint with another part bars. */
static void bar_by_joint(joiner *j, const model_joint *jt) {
	for (int f = 0; f < 6; f++) {
		face out = (face)f;
		if (!joint_bars(j->w->m, jt, out)) continue;
		ways to = (ways)(1 << f), back = (ways)(1 << (int)face_opposite(out));
		*way(j, jt->a, jt->b) |= to;
		*way(j, jt->b, jt->a) |= back;
		j->held[jt->a * j->n + jt->b] |= to;
		j->held[jt->b * j->n + jt->a] |= back;
	}
}

static box3 before_head(const model_feature *f) {
	box3 r;
	for (int i = 0; i < 3; i++) {
		r.lo[i] = rat_sub(f->centre.v[i], rat_int(DRIVER_RADIUS_MM));
		r.hi[i] = rat_add(f->centre.v[i], rat_int(DRIVER_RADIUS_MM));
	}
	axis n = face_axis(f->face);
	rat at = f->centre.v[n];
	r.lo[n] = face_high(f->face) ? at : rat_sub(at, rat_int(DRIVER_REACH_MM));
	r.hi[n] = face_high(f->face) ? rat_add(at, rat_int(DRIVER_REACH_MM)) : at;
	return r;
}

/* Millimetres, rounded outwards by more than a fraction's rounding: what is apart here is apart. */
typedef struct rough {
	double lo[3], hi[3];
} rough;

static rough rough_of(const box3 *b) {
	const double MORE = 1e-3;
	rough r;
	for (int a = 0; a < 3; a++) {
		r.lo[a] = rat_double(b->lo[a]) - MORE;
		r.hi[a] = rat_double(b->hi[a]) + MORE;
	}
	return r;
}

static bool rough_apart(const rough *p, const rough *q) {
	for (int a = 0; a < 3; a++)
		if (p->lo[a] > q->hi[a] || q->lo[a] > p->hi[a]) return true;
	return false;
}

static int compare_musts(const void *a, const void *b) {
	const must *x = a, *y = b;
	if (x->part != y->part) return x->part < y->part ? -1 : 1;
	if (x->before != y->before) return x->before < y->before ? -1 : 1;
	return (x->feature > y->feature) - (x->feature < y->feature);
}

/* Of several screws before which a part would stand, the last counts. */
static void index_musts(joiner *j) {
	size_t n = 0;
	if (j->musts.n) qsort(j->musts.v, j->musts.n, sizeof *j->musts.v, compare_musts);
	for (size_t i = 0; i < j->musts.n; i++) {
		must x = j->musts.v[i];
		if (n && j->musts.v[n - 1].part == x.part && j->musts.v[n - 1].before == x.before) n--;
		j->musts.v[n++] = x;
	}
	j->musts.n = n;
	for (size_t i = 0; i < n; i++) {
		j->musts_from[j->musts.v[i].part + 1]++;
		j->waits[j->musts.v[i].part]++;
	}
	for (size_t i = 0; i < j->n; i++) j->musts_from[i + 1] += j->musts_from[i];
}

/* Whoever stands before the head of a screw comes after the two parts that it holds. */
static void find_musts(joiner *j) {
	const model *m = j->w->m;
	rough *about = ARENA_MANY(j->w->mem, rough, j->n + 1);
	for (size_t p = 0; p < j->n; p++) about[p] = rough_of(&m->parts.v[p].box);
	for (size_t i = 0; i < m->features.n; i++) {
		const model_feature *f = &m->features.v[i];
		if (f->kind != FEATURE_CLEARANCE || f->joint == MODEL_NONE || j->w->role[f->joint] != ROLE_JOIN)
			continue;
		const model_joint *jt = &m->joints.v[f->joint];
		box3 room = before_head(f);
		rough of_room = rough_of(&room);
		for (model_ref p = 0; p < j->n; p++) {
			if (rough_apart(&of_room, &about[p])) continue;
			if (!j->mine[p] || p == jt->a || p == jt->b || !box_overlap(room, m->parts.v[p].box)) continue;
			if (j->w->bench[p] != j->w->bench[jt->a]) continue;
			LIST_PUSH(j->w->mem, &j->musts, ((must){p, jt->a, (uint32_t)i}));
			LIST_PUSH(j->w->mem, &j->musts, ((must){p, jt->b, (uint32_t)i}));
		}
	}
	index_musts(j);
}

static void stand(joiner *j, model_ref p) {
	j->stands[p] = true;
	for (size_t q = 0; q < j->n; q++) j->shut[q] |= j->blocks[p * j->n + q];
	for (size_t i = 0; i < j->musts.n; i++)
		if (j->musts.v[i].before == p) j->waits[j->musts.v[i].part]--;
}

/* ---- choosing the next part ---------------------------------------------------------------------- */

/* Beyond so many parts nobody looks ahead: it grows with their cube. */
enum { KEYS = 11, MOST_LOOKED_AT = 500 };

typedef struct candidate {
	model_ref part;
	int key[KEYS]; /* smaller is better, in turn */
} candidate;

/* Joins that close when p comes to what stands. */
static size_t joins_of(const joiner *j, model_ref p, model_ref *out) {
	size_t n = 0;
	const order_work *w = j->w;
	for (uint32_t i = j->ops.first[p]; i < j->ops.first[p + 1]; i++) {
		const model_op *o = &w->ops.v[j->ops.row[i]];
		if (j->done[j->ops.row[i]]) continue;
		bool all = true;
		for (size_t k = 0; k < o->parts.n; k++) all = all && (o->parts.v[k] == p || j->stands[o->parts.v[k]]);
		if (all) out[n++] = j->ops.row[i];
	}
	return n;
}

static bool allowed_now(const joiner *j, const model_ref *ops, size_t n) {
	const order_work *w = j->w;
	for (size_t r = 0; r < w->m->written.n; r++)
		for (size_t k = 0; k < n && j->open[r]; k++)
			if (order_written_before(w, (model_ref)r, w->ops.v[ops[k]].written)) return false;
	return true;
}

/* Steps that the plan holds back come behind what is not written, the others before it, in their order. */
enum { UNWRITTEN = 100000 };
static int written_rank(const order_work *w, model_ref row) {
	for (size_t i = 0; i < w->m->written.n; i++)
		if (order_written_before(w, (model_ref)i, row)) return UNWRITTEN + 1 + (int)row;
	return (int)row;
}

static int rank_of(const joiner *j, model_ref op) {
	model_ref row = j->w->ops.v[op].written;
	return row == MODEL_NONE ? UNWRITTEN : j->rank[row];
}

static int first_written(const joiner *j, const model_ref *ops, size_t n, model_ref p) {
	int first = INT_MAX;
	for (size_t k = 0; k < n; k++)
		if (rank_of(j, ops[k]) < first) first = rank_of(j, ops[k]);
	for (uint32_t i = j->ops.first[p]; i < j->ops.first[p + 1] && n == 0; i++) {
		model_ref op = j->ops.row[i];
		if (!j->done[op] && rank_of(j, op) < first) first = rank_of(j, op);
	}
	return first;
}

/* The other of a pair: of the same written group, or the opposite wall of one part. */
static bool mate(const joiner *j, model_ref p, model_ref q) {
	if (q == MODEL_NONE) return false;
	const model_part *a = part_of(j, p), *b = part_of(j, q);
	if (a->number && b->number && text_same(a->group, b->group)) return true;
	const rows_of_part *r = &j->joints;
	for (uint32_t i = r->first[p]; i < r->first[p + 1]; i++) {
		const model_joint *x = &j->w->m->joints.v[r->row[i]];
		for (uint32_t k = r->first[q]; k < r->first[q + 1]; k++) {
			const model_joint *y = &j->w->m->joints.v[r->row[k]];
			if (r->row[k] == r->row[i] || x->kind != y->kind) continue;
			bool into_two = x->b == p && y->b == q && x->a == y->a;
			bool two_onto = x->a == p && y->a == q && x->b == y->b;
			if ((into_two || two_onto) && x->face_a == face_opposite(y->face_a)) return true;
		}
	}
	return false;
}

static bool low_and_flat(const model *m, model_ref p) {
	const model_part *a = &m->parts.v[p];
	if (a->thick_axis != AXIS_Z) return false;
	rat middle = rat_half(rat_add(a->box.lo[AXIS_Z], a->box.hi[AXIS_Z]));
	rat of_all = rat_half(rat_add(m->bounds.lo[AXIS_Z], m->bounds.hi[AXIS_Z]));
	return rat_le(middle, of_all);
}

/* Parts yet to come that p would close in. */
static int newly_barred(const joiner *j, model_ref p) {
	const ways *by = &j->blocks[p * j->n];
	int n = 0;
	for (size_t q = 0; q < j->n; q++)
		if (by[q] && j->shut[q] != NO_WAY && (j->shut[q] | by[q]) == NO_WAY)
			n += j->mine[q] && !j->stands[q] && q != p;
	return n;
}

/* Ways of parts and bought things yet to come that p would bar: the box stays open as long as it can. */
static int ways_barred(const joiner *j, model_ref p) {
	const ways *by = &j->blocks[p * j->n];
	int n = 0;
	for (size_t q = 0; q < j->n; q++) {
		int fresh = by[q] & ~j->shut[q];
		if (!fresh || q == p || j->stands[q]) continue;
		if (!j->mine[q] && part_of(j, (model_ref)q)->kind != PART_ITEM) continue;
		for (; fresh; fresh &= fresh - 1) n++;
	}
	return n;
}

/* Housed joints come first: their parts hold each other in place. */
static bool housed(const joiner *j, const model_ref *ops, size_t n) {
	for (size_t i = 0; i < n; i++) {
		model_ref row = j->w->ops.v[ops[i]].joint;
		if (row == MODEL_NONE) continue;
		model_joint_kind kind = j->w->m->joints.v[row].kind;
		if (joint_cuts(kind)) return true;
	}
	return false;
}

/* The larger part; of equal ones the lower, then the first by name, in which order they come. */
static bool larger(const model *m, model_ref a, model_ref b) {
	double x = m->parts.v[a].face_area_m2, y = m->parts.v[b].face_area_m2;
	if (x > y * (1 + 1e-9)) return true;
	if (y > x * (1 + 1e-9)) return false;
	return rat_lt(m->parts.v[a].box.lo[AXIS_Z], m->parts.v[b].box.lo[AXIS_Z]);
}

/* What a part brings when it comes now: worked out key by key, as far as they are asked for. */
typedef struct prospect {
	model_ref part;
	const model_ref *joins;
	size_t n;
	bool alone; /* placed, not joined */
} prospect;

static int key_of(const joiner *j, const prospect *x, int key) {
	model_ref p = x->part;
	bool look = j->n <= MOST_LOOKED_AT;
	switch (key) {
	case 0:
		return !allowed_now(j, x->joins, x->n);
	case 1:
		return j->shut[p] == NO_WAY;
	case 2:
		return j->waits[p] > 0;
	case 3: /* what is put in afterwards is joined on the bench, last */
		return j->w->bench[p] != MODEL_NONE ? 2 : x->n == 0 || x->alone;
	case 4:
		return look ? newly_barred(j, p) : 0;
	case 5:
		return first_written(j, x->joins, x->n, p);
	case 6:
		return !mate(j, p, j->last);
	case 7:
		return x->n > 0 && !housed(j, x->joins, x->n);
	case 8:
		return x->n == 0 && !j->low[p];
	case 9:
		return x->n > 0 && look ? ways_barred(j, p) : 0;
	default:
		return x->n > 0 && !x->alone ? -(int)x->n : 0;
	}
}

/* Takes p for the best when it is better. */
static void judge(const joiner *j, model_ref p, model_ref *room, candidate *best) {
	prospect x = {.part = p, .joins = room, .n = joins_of(j, p, room)};
	x.alone = x.n > 0 && j->w->ops.v[room[0]].joint == MODEL_NONE;
	candidate c = {.part = p};
	bool better = best->part == MODEL_NONE;
	for (int i = 0; i < KEYS; i++) {
		c.key[i] = key_of(j, &x, i);
		if (better || c.key[i] == best->key[i]) continue;
		if (c.key[i] > best->key[i]) return;
		better = true;
	}
	if (better || larger(j->w->m, p, best->part)) *best = c;
}

model_ref order_join_base(const order_work *w) {
	model_ref best = MODEL_NONE;
	for (size_t i = 0; i < w->parts.n; i++) {
		model_ref p = w->parts.v[i];
		bool joined = false;
		for (size_t k = 0; k < w->m->joints.n; k++)
			joined = joined ||
				 (w->role[k] == ROLE_JOIN && (w->m->joints.v[k].a == p || w->m->joints.v[k].b == p));
		if (!joined) continue;
		bool low = low_and_flat(w->m, p), best_low = best != MODEL_NONE && low_and_flat(w->m, best);
		if (best == MODEL_NONE || (low && !best_low) || (low == best_low && larger(w->m, p, best))) best = p;
	}
	return best;
}

/* ---- the sequence ------------------------------------------------------------------------------------- */

static void unite(joiner *j, model_ref a, model_ref b) {
	model_ref from = j->piece[b], to = j->piece[a];
	for (size_t i = 0; i < j->n; i++)
		if (j->piece[i] == from) j->piece[i] = to;
}

/* Do tongues, or parts that touch it, hold the part in every direction? Then no way round helps: it cannot make the
 * first move. */
static bool held_fast(const joiner *j, model_ref p, const bool *stands) {
	for (size_t f = 0; f < 6; f++) {
		bool held = false;
		for (size_t q = 0; q < j->n && !held; q++) {
			face touch;
			box3 rect;
			if (!stands[q] || q == p) continue;
			held = (j->held[p * j->n + q] >> f & 1) ||
			       (box_touch(part_of(j, p)->box, part_of(j, (model_ref)q)->box, &touch, &rect) &&
				touch == (face)f);
		}
		if (!held) return false;
	}
	return true;
}

static void cannot_get_in(joiner *j, model_ref p) {
	order_work *w = j->w;
	const model_part *a = part_of(j, p);
	bool *piece = ARENA_MANY(w->mem, bool, j->n + 1); /* what lies on the bench apart is in nobody's way */
	for (size_t q = 0; q < j->n; q++) piece[q] = j->stands[q] && j->piece[q] == j->piece[p];
	if (!held_fast(j, p, piece) && order_way_out(w, a->box, p, piece, NULL)) return;
	diag *g = diag_error(w->d, "closed-in", a->at, "%s can no longer be put in when it is to be joined",
			     order_spoken(w->mem, a->name));
	for (size_t q = 0; q < j->n; q++) {
		if (piece[q] && q != p && *way(j, p, (model_ref)q))
			diag_add_note(w->d, g, part_of(j, (model_ref)q)->at, "%s stands in its way already",
				      order_spoken(w->mem, part_of(j, (model_ref)q)->name));
	}
	diag_add_help(w->d, g, "join it earlier, or make one of these parts loose or a door");
}

static void cannot_reach(joiner *j, model_ref p) {
	order_work *w = j->w;
	for (uint32_t i = j->musts_from[p]; i < j->musts_from[p + 1]; i++) {
		if (j->stands[j->musts.v[i].before]) continue;
		const model_joint *jt = &w->m->joints.v[w->m->features.v[j->musts.v[i].feature].joint];
		if (j->piece[p] != j->piece[jt->a] && j->piece[p] != j->piece[jt->b]) continue;
		const char *name = order_spoken(w->mem, part_of(j, p)->name);
		diag *g = diag_error(
			w->d, "closed-in", jt->at, "the screws that hold %s to %s can no longer be reached",
			order_spoken(w->mem, part_of(j, jt->a)->name), order_spoken(w->mem, part_of(j, jt->b)->name));
		diag_add_note(w->d, g, part_of(j, p)->at,
			      "%s stands less than %s before their heads, and comes earlier", name,
			      model_show(w->m, quant_length(rat_int(DRIVER_REACH_MM))));
		diag_add_help(w->d, g, "join these two before %s, or screw them from the other side", name);
	}
}

static bool groups_with_last(const joiner *j, model_ref p, uint32_t written) {
	if (j->last == MODEL_NONE || j->w->n_groups == 0) return false;
	bool bench = j->w->bench[p] != MODEL_NONE && j->w->bench[p] == j->w->bench[j->last]; /* one small piece */
	return written == j->last_written && (bench || mate(j, p, j->last));
}

static void bring_in(joiner *j, const candidate *c, model_ref *room) {
	order_work *w = j->w;
	model_ref p = c->part;
	size_t n = joins_of(j, p, room);
	for (size_t i = 0; i < n; i++)
		for (size_t k = 0; k < w->ops.v[room[i]].parts.n; k++) unite(j, p, w->ops.v[room[i]].parts.v[k]);
	if (c->key[1]) cannot_get_in(j, p);
	if (c->key[2]) cannot_reach(j, p);
	/* Within the group the joins of what the plan writes first come first. */
	for (size_t i = 1; i < n; i++)
		for (size_t k = i;
		     k > 0 && order_written_before(w, w->ops.v[room[k]].written, w->ops.v[room[k - 1]].written); k--) {
			model_ref t = room[k];
			room[k] = room[k - 1];
			room[k - 1] = t;
		}
	uint32_t written = n ? w->ops.v[room[0]].written : MODEL_NONE;
	if (n && !groups_with_last(j, p, written)) w->n_groups++;
	for (size_t i = 0; i < n; i++) {
		j->done[room[i]] = true;
		if (w->ops.v[room[i]].written != MODEL_NONE) j->open[w->ops.v[room[i]].written]--;
		w->group.v[room[i]] = w->n_groups;
		LIST_PUSH(w->mem, &w->joining, room[i]);
		for (size_t k = 0; k < w->ops.v[room[i]].parts.n; k++) {
			model_ref q = w->ops.v[room[i]].parts.v[k];
			if (w->of[q].first_join == MODEL_NONE) w->of[q].first_join = room[i];
		}
	}
	stand(j, p);
	if (n) {
		j->last = p;
		j->last_written = written;
	}
}

static void bars_make(joiner *j) {
	const model *m = j->w->m;
	const ranked *r = rank_faces(j);
	for (size_t p = 0; p < j->n; p++) {
		bool comes = j->mine[p] || m->parts.v[p].kind == PART_ITEM;
		for (size_t q = 0; q < j->n && comes; q++)
			if (p != q && j->mine[q] && j->w->bench[q] == j->w->bench[p])
				*way(j, (model_ref)p, (model_ref)q) = in_the_way(&r[p], &r[q]);
	}
	for (size_t i = 0; i < m->joints.n; i++)
		if (j->w->role[i] == ROLE_JOIN) bar_by_joint(j, &m->joints.v[i]);
}

static rows_of_part rows_begin(const joiner *j, size_t most) {
	return (rows_of_part){ARENA_MANY(j->w->mem, uint32_t, j->n + 2), ARENA_MANY(j->w->mem, uint32_t, most + 1)};
}

/* Told of each row and part twice in the same order, `fill` false and then true; rows_sum() between. */
static void rows_tell(rows_of_part *r, model_ref part, uint32_t row, bool fill) {
	if (fill)
		r->row[r->first[part + 1]++] = row;
	else
		r->first[part + 2]++;
}
static void rows_sum(const joiner *j, rows_of_part *r) {
	for (size_t i = 2; i < j->n + 2; i++) r->first[i] += r->first[i - 1];
}

static bool handled_before(const model_op *o, size_t k) {
	for (size_t i = 0; i < k; i++)
		if (o->parts.v[i] == o->parts.v[k]) return true;
	return false;
}

static void index_rows(joiner *j) {
	const order_work *w = j->w;
	size_t most = 0;
	for (size_t i = 0; i < w->ops.n; i++) most += w->ops.v[i].parts.n;
	j->ops = rows_begin(j, most);
	j->joints = rows_begin(j, 2 * w->m->joints.n);
	for (int fill = 0; fill < 2; fill++) {
		for (size_t i = 0; i < w->ops.n; i++) {
			const model_op *o = &w->ops.v[i];
			for (size_t k = 0; k < o->parts.n && o->kind == OP_JOIN; k++)
				if (!handled_before(o, k)) rows_tell(&j->ops, o->parts.v[k], (uint32_t)i, fill);
		}
		for (size_t i = 0; i < w->m->joints.n; i++) {
			if (w->role[i] != ROLE_JOIN) continue;
			rows_tell(&j->joints, w->m->joints.v[i].a, (uint32_t)i, fill);
			rows_tell(&j->joints, w->m->joints.v[i].b, (uint32_t)i, fill);
		}
		if (fill) continue;
		rows_sum(j, &j->ops);
		rows_sum(j, &j->joints);
	}
}

static void index_written(joiner *j) {
	const order_work *w = j->w;
	j->open = ARENA_MANY(w->mem, uint32_t, w->m->written.n + 1);
	j->rank = ARENA_MANY(w->mem, int, w->m->written.n + 1);
	for (size_t r = 0; r < w->m->written.n; r++) j->rank[r] = written_rank(w, (model_ref)r);
	for (size_t i = 0; i < w->ops.n; i++)
		if (w->ops.v[i].kind == OP_JOIN && w->ops.v[i].written != MODEL_NONE) j->open[w->ops.v[i].written]++;
}

static joiner begin(order_work *w) {
	size_t n = w->m->parts.n;
	joiner j = {.w = w, .n = n, .last = MODEL_NONE, .last_written = MODEL_NONE};
	j.mine = ARENA_MANY(w->mem, bool, n + 1);
	j.low = ARENA_MANY(w->mem, bool, n + 1);
	j.stands = ARENA_MANY(w->mem, bool, n + 1);
	j.shut = ARENA_MANY(w->mem, ways, n + 1);
	j.blocks = ARENA_MANY(w->mem, ways, n * n + 1);
	j.held = ARENA_MANY(w->mem, ways, n * n + 1);
	j.musts_from = ARENA_MANY(w->mem, uint32_t, n + 2);
	j.waits = ARENA_MANY(w->mem, uint32_t, n + 1);
	j.piece = ARENA_MANY(w->mem, model_ref, n + 1);
	j.done = ARENA_MANY(w->mem, bool, w->ops.n + 1);
	for (size_t i = 0; i < n; i++) {
		j.piece[i] = (model_ref)i;
		j.low[i] = low_and_flat(w->m, (model_ref)i);
	}
	for (size_t i = 0; i < w->ops.n; i++)
		for (size_t k = 0; k < w->ops.v[i].parts.n && w->ops.v[i].kind == OP_JOIN; k++)
			j.mine[w->ops.v[i].parts.v[k]] = true;
	return j;
}

void order_join_make(order_work *w) {
	joiner j = begin(w);
	size_t left = 0;
	model_ref *room = ARENA_MANY(w->mem, model_ref, w->ops.n + 1);
	for (size_t i = 0; i < j.n; i++) left += j.mine[i];
	index_rows(&j);
	index_written(&j);
	bars_make(&j);
	find_musts(&j);
	for (; left > 0; left--) {
		candidate best = {.part = MODEL_NONE};
		for (size_t i = 0; i < j.n; i++) {
			model_ref p = w->parts.v[i];
			if (j.mine[p] && !j.stands[p]) judge(&j, p, room, &best);
		}
		bring_in(&j, &best, room);
	}
}
