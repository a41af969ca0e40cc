/* What would stand in the way of what: bought things, loose parts, and the hand that wires. */
#include "compiler/order_inner.h"
#include "runtime/base/text.h"

static bool mine(const order_work *w, model_ref op, model_ref p) { return w->of[p].fit == op; }

/* Operations that bring something with a place of its own into the carcass; a collar is hollow and bars nothing. */
static bool brings(const order_work *w, model_ref op) {
	const model_op *o = &w->ops.v[op];
	if (o->kind != OP_FILTER && o->kind != OP_FIT && o->kind != OP_FAN) return false;
	for (size_t i = 0; i < o->parts.n; i++)
		if (mine(w, op, o->parts.v[i])) return true;
	return false;
}

static bool lifts_out(const order_work *w, model_ref op) {
	const model_op *o = &w->ops.v[op];
	return o->kind == OP_FIT && o->parts.n && model_part_made(w->m, &w->m->parts.v[o->parts.v[0]]) &&
	       !order_unit(w, op);
}

static const char *thing(const order_work *w, model_ref op) { return order_thing(w, w->ops.v[op].parts.v[0]); }

static void wish(order_work *w, model_ref before, model_ref after, const char *reason) {
	span at = before == w->wire ? w->ops.v[after].at : w->ops.v[before].at;
	order_link_add(w, before, after, BOND_WISH, at, reason);
}

static void put(const order_work *w, model_ref op, bool *fitted, bool there) {
	const model_op *o = &w->ops.v[op];
	for (size_t i = 0; i < o->parts.n; i++)
		if (mine(w, op, o->parts.v[i])) fitted[o->parts.v[i]] = there;
}

static bool gets_in(const order_work *w, model_ref op, const bool *stands, const bool *fitted) {
	const model_op *o = &w->ops.v[op];
	for (size_t i = 0; i < o->parts.n; i++) {
		model_ref p = o->parts.v[i];
		if (mine(w, op, p) && !order_way_out(w, w->m->parts.v[p].box, p, stands, fitted)) return false;
	}
	return true;
}

/* The op comes before all that bars its way; what is wired is wired before, too: its way is the hand's. */
static void keep_way_open(order_work *w, model_ref op, const order_rows *all, const bool *stands) {
	bool *fitted = ARENA_MANY(w->mem, bool, model_rows(w->m) + 1), alone = false;
	bool fan = w->ops.v[op].kind == OP_FAN;
	for (size_t i = 0; i < all->n; i++) put(w, all->v[i], fitted, all->v[i] != op);
	if (gets_in(w, op, stands, fitted) || !gets_in(w, op, stands, NULL)) return;
	for (int together = 0; together < 2 && !alone; together++) {
		for (size_t i = 0; i < all->n; i++) {
			model_ref other = all->v[i];
			if (other == op) continue;
			for (size_t k = 0; k < all->n; k++) put(w, all->v[k], fitted, all->v[k] == other);
			if (!together && gets_in(w, op, stands, fitted)) continue;
			if (together && w->ops.v[other].kind != OP_FILTER && !lifts_out(w, other)) continue;
			const char *with = together ? ", with others," : "";
			wish(w, op, other,
			     arena_printf(w->mem, "%s%s would stand in the only way of %s", thing(w, other), with,
					  thing(w, op)));
			if (fan)
				wish(w, w->wire, other,
				     arena_printf(w->mem,
						  "%s%s would stand between the hand and %s, which is wired first",
						  thing(w, other), with, thing(w, op)));
			alone = true;
		}
	}
}

/* Does something of the one stand on something of the other? */
static bool stands_on(const order_work *w, model_ref op, model_ref under) {
	const model_op *o = &w->ops.v[op], *u = &w->ops.v[under];
	for (size_t i = 0; i < o->parts.n; i++)
		for (size_t k = 0; k < u->parts.n; k++) {
			model_ref p = o->parts.v[i], q = u->parts.v[k];
			face f;
			box3 contact;
			if (!mine(w, op, p) || !mine(w, under, q)) continue;
			if (box_touch(w->m->parts.v[p].box, w->m->parts.v[q].box, &f, &contact) && f == FACE_BOTTOM)
				return true;
		}
	return false;
}

/* What lifts out comes last. */
static void lids_last(order_work *w, model_ref lid) {
	for (size_t i = 0; i < w->ops.n; i++) {
		model_op_kind kind = w->ops.v[i].kind;
		if (kind != OP_FILTER && kind != OP_FAN && kind != OP_FIT && kind != OP_WIRE) continue;
		if (lifts_out(w, (model_ref)i)) continue;
		wish(w, (model_ref)i, lid,
		     arena_printf(w->mem, "%s lifts out: it comes when all else is fitted", thing(w, lid)));
	}
}

void order_bar_links(order_work *w) {
	order_rows all = {.v = ARENA_MANY(w->mem, model_ref, w->ops.n + 1)};
	bool *stands = ARENA_MANY(w->mem, bool, model_rows(w->m) + 1);
	for (size_t i = 0; i < w->joining.n; i++) {
		const model_op *o = &w->ops.v[w->joining.v[i]];
		for (size_t k = 0; k < o->parts.n; k++)
			if (w->bench[o->parts.v[k]] == MODEL_NONE) stands[o->parts.v[k]] = true;
	}
	for (size_t i = 0; i < w->ops.n; i++)
		if (brings(w, (model_ref)i)) all.v[all.n++] = (model_ref)i;
	for (size_t i = 0; i < all.n; i++)
		for (size_t k = 0; k < all.n; k++)
			if (i != k && stands_on(w, all.v[i], all.v[k]))
				wish(w, all.v[k], all.v[i],
				     arena_printf(w->mem, "%s stands on %s", thing(w, all.v[i]), thing(w, all.v[k])));
	for (size_t i = 0; i < all.n; i++) keep_way_open(w, all.v[i], &all, stands);
	for (size_t i = 0; i < all.n; i++)
		if (lifts_out(w, all.v[i])) lids_last(w, all.v[i]);
}
