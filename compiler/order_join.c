/* The building sequence: parts come to what stands, one by one, so that each can get in and its screws be reached. */
#include <limits.h>

#include "compiler/order_inner.h"
#include "runtime/base/text.h"
#include "runtime/engine/joint.h"

/* Room for hand and driver before a screw's head, and about its middle. Common practice, no source. */
enum { DRIVER_REACH_MM = 150, DRIVER_RADIUS_MM = 15 };

typedef struct joiner {
	order_work *w;
	size_t n;	       /* parts of the model */
	bool *mine;	       /* [n] comes in by joining */
	bool *stands;	       /* [n] */
	uint32_t *bars;	       /* [n x 6] how many that stand bar this way */
	bool *blocks;	       /* [n x n x 6] part, standing part, direction: it bars the way out */
	bool *must;	       /* [n x n] row comes after column, because it would stand before its screws */
	model_ref *must_joint; /* [n x n] whose screws */
	bool *held;	       /* [n x n x 6] as blocks, by a tongue in its groove alone */
	model_ref *piece;      /* [n] parts joined so far to one another have one number */
	bool *done;	       /* [ops] */
	model_ref last;	       /* the part that came last */
	uint32_t last_written;
} joiner;

static const model_part *part_of(const joiner *j, model_ref p) { return &j->w->m->parts.v[p]; }
static bool *way(joiner *j, model_ref p, model_ref stands, face f) {
	return &j->blocks[(p * j->n + stands) * 6 + (size_t)f];
}

/* ---- what bars what ------------------------------------------------------------------------ */

/* Does `other` lie in the way when `p` moves out of its place along f? */
static bool in_the_way(const model_part *p, const model_part *other, face f) {
	box3 sweep = p->box;
	axis n = face_axis(f);
	if (face_high(f)) {
		sweep.lo[n] = p->box.hi[n];
		sweep.hi[n] = rat_max(other->box.hi[n], sweep.lo[n]);
	} else {
		sweep.hi[n] = p->box.lo[n];
		sweep.lo[n] = rat_min(other->box.lo[n], sweep.hi[n]);
	}
	return box_overlap(sweep, other->box);
}

/* What its joint with another part bars. */
static void bar_by_joint(joiner *j, const model_joint *jt) {
	for (int f = 0; f < 6; f++) {
		face out = (face)f;
		if (!joint_bars(j->w->m, jt, out)) continue;
		*way(j, jt->a, jt->b, out) = true;
		*way(j, jt->b, jt->a, face_opposite(out)) = true;
		j->held[(jt->a * j->n + jt->b) * 6 + (size_t)out] = true;
		j->held[(jt->b * j->n + jt->a) * 6 + (size_t)face_opposite(out)] = true;
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

/* Whoever stands before the head of a screw comes after the two parts that it holds. */
static void find_musts(joiner *j) {
	const model *m = j->w->m;
	for (size_t i = 0; i < m->features.n; i++) {
		const model_feature *f = &m->features.v[i];
		if (f->kind != FEATURE_CLEARANCE || f->joint == MODEL_NONE || j->w->role[f->joint] != ROLE_JOIN)
			continue;
		const model_joint *jt = &m->joints.v[f->joint];
		box3 room = before_head(f);
		for (size_t p = 0; p < j->n; p++) {
			if (!j->mine[p] || p == jt->a || p == jt->b || !box_overlap(room, m->parts.v[p].box)) continue;
			if (j->w->bench[p] != j->w->bench[jt->a]) continue;
			j->must[p * j->n + jt->a] = j->must[p * j->n + jt->b] = true;
			j->must_joint[p * j->n + jt->a] = j->must_joint[p * j->n + jt->b] = f->joint;
		}
	}
}

/* Would every way be barred if `more` (or nobody) stood too? */
static bool barred(joiner *j, model_ref p, model_ref more) {
	for (int f = 0; f < 6; f++) {
		bool by_more = more != MODEL_NONE && *way(j, p, more, (face)f);
		if (j->bars[p * 6 + (size_t)f] == 0 && !by_more) return false;
	}
	return true;
}

static void stand(joiner *j, model_ref p) {
	j->stands[p] = true;
	for (size_t q = 0; q < j->n; q++)
		for (int f = 0; f < 6; f++) j->bars[q * 6 + (size_t)f] += *way(j, (model_ref)q, p, (face)f);
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
	for (size_t i = 0; i < w->ops.n; i++) {
		const model_op *o = &w->ops.v[i];
		if (o->kind != OP_JOIN || j->done[i]) continue;
		bool all = true, has = false;
		for (size_t k = 0; k < o->parts.n; k++) {
			has = has || o->parts.v[k] == p;
			all = all && (o->parts.v[k] == p || j->stands[o->parts.v[k]]);
		}
		if (has && all) out[n++] = (model_ref)i;
	}
	return n;
}

static bool allowed_now(const joiner *j, const model_ref *ops, size_t n) {
	const order_work *w = j->w;
	for (size_t i = 0; i < w->ops.n; i++) {
		if (w->ops.v[i].kind != OP_JOIN || j->done[i]) continue;
		for (size_t k = 0; k < n; k++)
			if (order_written_before(w, w->ops.v[i].written, w->ops.v[ops[k]].written)) return false;
	}
	return true;
}

/* Steps that the plan holds back come behind what is not written, the others before it, in their order. */
static int written_rank(const order_work *w, model_ref row) {
	enum { UNWRITTEN = 100000 };
	if (row == MODEL_NONE) return UNWRITTEN;
	for (size_t i = 0; i < w->m->written.n; i++)
		if (order_written_before(w, (model_ref)i, row)) return UNWRITTEN + 1 + (int)row;
	return (int)row;
}

static int first_written(const joiner *j, const model_ref *ops, size_t n, model_ref p) {
	const order_work *w = j->w;
	int first = INT_MAX;
	for (size_t k = 0; k < n; k++) {
		int rank = written_rank(w, w->ops.v[ops[k]].written);
		if (rank < first) first = rank;
	}
	for (size_t i = 0; i < w->ops.n && n == 0; i++) {
		const model_op *o = &w->ops.v[i];
		if (o->kind != OP_JOIN || j->done[i]) continue;
		for (size_t k = 0; k < o->parts.n; k++)
			if (o->parts.v[k] == p && written_rank(w, o->written) < first)
				first = written_rank(w, o->written);
	}
	return first;
}

/* The other of a pair: of the same written group, or the opposite wall of one part. */
static bool mate(const joiner *j, model_ref p, model_ref q) {
	if (q == MODEL_NONE) return false;
	const model_part *a = part_of(j, p), *b = part_of(j, q);
	if (a->number && b->number && text_same(a->group, b->group)) return true;
	for (size_t i = 0; i < j->w->m->joints.n; i++) {
		const model_joint *x = &j->w->m->joints.v[i];
		if (j->w->role[i] != ROLE_JOIN || (x->a != p && x->b != p)) continue;
		for (size_t k = 0; k < j->w->m->joints.n; k++) {
			const model_joint *y = &j->w->m->joints.v[k];
			if (k == i || j->w->role[k] != ROLE_JOIN || x->kind != y->kind) continue;
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

static int newly_barred(joiner *j, model_ref p) {
	int n = 0;
	for (size_t q = 0; q < j->n; q++) {
		if (!j->mine[q] || j->stands[q] || q == p) continue;
		if (!barred(j, (model_ref)q, MODEL_NONE) && barred(j, (model_ref)q, p)) n++;
	}
	return n;
}

/* Ways of parts and bought things yet to come that p would bar: the box stays open as long as it can. */
static int ways_barred(joiner *j, model_ref p) {
	int n = 0;
	for (size_t q = 0; q < j->n; q++) {
		const model_part *a = part_of(j, (model_ref)q);
		bool item = a->kind == PART_ITEM;
		if (q == p || j->stands[q] || !(j->mine[q] || item)) continue;
		for (int f = 0; f < 6; f++) n += j->bars[q * 6 + (size_t)f] == 0 && *way(j, (model_ref)q, p, (face)f);
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

static bool must_wait(const joiner *j, model_ref p) {
	for (size_t q = 0; q < j->n; q++)
		if (j->must[p * j->n + q] && !j->stands[q]) return true;
	return false;
}

static candidate judge(joiner *j, model_ref p, model_ref *room) {
	size_t n = joins_of(j, p, room);
	bool alone = n > 0 && j->w->ops.v[room[0]].joint == MODEL_NONE; /* placed, not joined */
	candidate c = {.part = p};
	c.key[0] = !allowed_now(j, room, n);
	c.key[1] = barred(j, p, MODEL_NONE);
	c.key[2] = must_wait(j, p);
	c.key[3] = n == 0 || alone;
	if (j->w->bench[p] != MODEL_NONE) c.key[3] = 2; /* what is put in afterwards is joined on the bench, last */
	bool look = j->n <= MOST_LOOKED_AT;
	c.key[4] = look ? newly_barred(j, p) : 0;
	c.key[5] = first_written(j, room, n, p);
	c.key[6] = !mate(j, p, j->last);
	c.key[7] = n > 0 && !housed(j, room, n);
	c.key[8] = n == 0 && !low_and_flat(j->w->m, p);
	c.key[9] = n > 0 && look ? ways_barred(j, p) : 0;
	c.key[10] = n > 0 && !alone ? -(int)n : 0;
	return c;
}

/* The larger part; of equal ones the lower, then the first by name, in which order they come. */
static bool larger(const model *m, model_ref a, model_ref b) {
	double x = m->parts.v[a].face_area_m2, y = m->parts.v[b].face_area_m2;
	if (x > y * (1 + 1e-9)) return true;
	if (y > x * (1 + 1e-9)) return false;
	return rat_lt(m->parts.v[a].box.lo[AXIS_Z], m->parts.v[b].box.lo[AXIS_Z]);
}

static bool better(const joiner *j, const candidate *a, const candidate *b) {
	for (int i = 0; i < KEYS; i++)
		if (a->key[i] != b->key[i]) return a->key[i] < b->key[i];
	return larger(j->w->m, a->part, b->part);
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
			held = j->held[(p * j->n + q) * 6 + f] ||
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
		bool bars = false;
		for (int f = 0; f < 6; f++) bars = bars || *way(j, p, (model_ref)q, (face)f);
		if (piece[q] && q != p && bars)
			diag_add_note(w->d, g, part_of(j, (model_ref)q)->at, "%s stands in its way already",
				      order_spoken(w->mem, part_of(j, (model_ref)q)->name));
	}
	diag_add_help(w->d, g, "join it earlier, or make one of these parts loose or a door");
}

static void cannot_reach(joiner *j, model_ref p) {
	order_work *w = j->w;
	for (size_t q = 0; q < j->n; q++) {
		if (!j->must[p * j->n + q] || j->stands[q]) continue;
		const model_joint *jt = &w->m->joints.v[j->must_joint[p * j->n + q]];
		if (j->piece[p] != j->piece[jt->a] && j->piece[p] != j->piece[jt->b]) continue;
		const char *name = order_spoken(w->mem, part_of(j, p)->name);
		diag *g = diag_error(
			w->d, "closed-in", jt->at, "the screws that hold %s to %s can no longer be reached",
			order_spoken(w->mem, part_of(j, jt->a)->name), order_spoken(w->mem, part_of(j, jt->b)->name));
		diag_add_note(w->d, g, part_of(j, p)->at,
			      "%s stands less than %d mm before their heads, and comes earlier", name, DRIVER_REACH_MM);
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
	for (size_t p = 0; p < j->n; p++) {
		for (size_t q = 0; q < j->n; q++) {
			bool comes = j->mine[p] || m->parts.v[p].kind == PART_ITEM;
			if (p == q || !comes || !j->mine[q] || j->w->bench[q] != j->w->bench[p]) continue;
			for (int f = 0; f < 6; f++)
				*way(j, (model_ref)p, (model_ref)q, (face)f) =
					in_the_way(&m->parts.v[p], &m->parts.v[q], (face)f);
		}
	}
	for (size_t i = 0; i < m->joints.n; i++)
		if (j->w->role[i] == ROLE_JOIN) bar_by_joint(j, &m->joints.v[i]);
}

void order_join_make(order_work *w) {
	size_t n = w->m->parts.n, left = 0;
	joiner j = {.w = w, .n = n, .last = MODEL_NONE, .last_written = MODEL_NONE};
	j.mine = ARENA_MANY(w->mem, bool, n + 1);
	j.stands = ARENA_MANY(w->mem, bool, n + 1);
	j.blocks = ARENA_MANY(w->mem, bool, n *n * 6 + 1);
	j.held = ARENA_MANY(w->mem, bool, n *n * 6 + 1);
	j.bars = ARENA_MANY(w->mem, uint32_t, n * 6 + 1);
	j.must = ARENA_MANY(w->mem, bool, n *n + 1);
	j.must_joint = ARENA_MANY(w->mem, model_ref, n * n + 1);
	j.piece = ARENA_MANY(w->mem, model_ref, n + 1);
	for (size_t i = 0; i < n; i++) j.piece[i] = (model_ref)i;
	j.done = ARENA_MANY(w->mem, bool, w->ops.n + 1);
	model_ref *room = ARENA_MANY(w->mem, model_ref, w->ops.n + 1);
	for (size_t i = 0; i < w->ops.n; i++)
		for (size_t k = 0; k < w->ops.v[i].parts.n && w->ops.v[i].kind == OP_JOIN; k++)
			j.mine[w->ops.v[i].parts.v[k]] = true;
	for (size_t i = 0; i < n; i++) left += j.mine[i];
	bars_make(&j);
	find_musts(&j);
	for (; left > 0; left--) {
		candidate best = {.part = MODEL_NONE};
		for (size_t i = 0; i < n; i++) {
			model_ref p = w->parts.v[i];
			if (!j.mine[p] || j.stands[p]) continue;
			candidate c = judge(&j, p, room);
			if (best.part == MODEL_NONE || better(&j, &c, &best)) best = c;
		}
		bring_in(&j, &best, room);
	}
}
