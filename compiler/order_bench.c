/* What each joint asks of the order, and what is joined on the bench and put in as one. */
#include <string.h>

#include "compiler/order_inner.h"
#include "runtime/base/text.h"

static const model_part *part_of(const order_work *w, model_ref p) { return &w->m->parts.v[p]; }
static bool made(const order_work *w, model_ref p) { return model_part_made(w->m, part_of(w, p)); }

/* A part that is joined to this door alone is a piece of the door. */
static bool only_with(const order_work *w, model_ref p, model_ref door) {
	for (size_t i = 0; i < w->m->joints.n; i++) {
		const model_joint *j = &w->m->joints.v[i];
		model_ref other = j->a == p ? j->b : j->b == p ? j->a : MODEL_NONE;
		if (other != MODEL_NONE && other != door) return false;
	}
	return true;
}

static order_role role_of(const order_work *w, const model_joint *j) {
	const model_part *a = part_of(w, j->a), *b = part_of(w, j->b);
	if (a->kind == PART_GAP || b->kind == PART_GAP) return ROLE_NONE;
	if (a->kind == PART_ITEM || b->kind == PART_ITEM) return ROLE_ITEM;
	if (a->kind == PART_DOOR && b->kind == PART_DOOR) return ROLE_JOIN;
	if (a->kind == PART_DOOR) return only_with(w, j->b, j->a) ? ROLE_JOIN : ROLE_DOOR;
	if (b->kind == PART_DOOR) return only_with(w, j->a, j->b) ? ROLE_JOIN : ROLE_DOOR;
	return ROLE_JOIN;
}

model_op_kind order_item_kind(const order_work *w, const model_part *p) {
	if (p->kind != PART_ITEM || p->stock == MODEL_NONE) return OP_FIT;
	switch (w->m->stocks.v[p->stock].kind) {
	case STOCK_FILTER:
	case STOCK_MEDIA:
		return OP_FILTER;
	case STOCK_FAN:
		return OP_FAN;
	case STOCK_COLLAR:
		return OP_SEAT;
	default:
		return OP_FIT;
	}
}

static void pieces_make(order_work *w) {
	size_t n = w->m->parts.n;
	w->piece = ARENA_MANY(w->mem, model_ref, model_rows(w->m) + 1);
	for (size_t i = 0; i < model_rows(w->m); i++) w->piece[i] = (model_ref)i;
	for (size_t j = 0; j < w->m->joints.n; j++) {
		model_ref from = w->piece[w->m->joints.v[j].b], to = w->piece[w->m->joints.v[j].a];
		for (size_t i = 0; i < n && w->role[j] == ROLE_JOIN; i++)
			if (w->piece[i] == from) w->piece[i] = to;
	}
}

/* Is the piece loose parts and what is joined to them alone? */
static bool all_of_loose(const order_work *w, model_ref piece) {
	size_t n = w->m->parts.n;
	for (size_t q = 0; q < n; q++) {
		bool of_loose = w->piece[q] != piece || part_of(w, (model_ref)q)->loose;
		for (size_t i = 0; i < n && !of_loose; i++)
			of_loose = part_of(w, (model_ref)i)->loose && only_with(w, (model_ref)q, (model_ref)i);
		if (!of_loose) return false;
	}
	return true;
}

/* Does a fan or a filter hang on the piece, or a door? Then it is a cabinet of its own, not a tray or a drawer. */
static bool carries_more(const order_work *w, model_ref piece) {
	for (size_t i = 0; i < w->m->joints.n; i++) {
		const model_joint *j = &w->m->joints.v[i];
		if (w->role[i] != ROLE_ITEM && w->role[i] != ROLE_DOOR) continue;
		model_ref other = w->piece[j->a] == piece ? j->b : w->piece[j->b] == piece ? j->a : MODEL_NONE;
		if (other != MODEL_NONE && order_item_kind(w, part_of(w, other)) != OP_FIT) return true;
		if (other != MODEL_NONE && w->role[i] == ROLE_DOOR) return true;
	}
	return false;
}

/* What is joined on the bench and put in as one: a piece with loose parts, when it is apart from what building begins
 * with or small; and a piece of one placed assembly that is joined to nothing else. By the name of its first loose
 * part, or of its first part. */
static void bench_make(order_work *w) {
	size_t n = w->m->parts.n;
	model_ref base = order_join_base(w);
	w->bench = ARENA_MANY(w->mem, model_ref, model_rows(w->m) + 1);
	for (size_t i = 0; i < model_rows(w->m); i++) w->bench[i] = MODEL_NONE;
	bool *judged = ARENA_MANY(w->mem, bool, n + 1);
	for (size_t i = 0; i < n; i++) {
		model_ref p = w->parts.v[i], lead = MODEL_NONE, piece = w->piece[p];
		bool joined = false, door = false, base_in = false, one = part_of(w, p)->placed != NULL;
		if (!made(w, p) || judged[piece]) continue;
		judged[piece] = true;
		for (size_t k = 0; k < n; k++) {
			model_ref q = w->parts.v[k];
			if (w->piece[q] != piece) continue;
			joined = joined || q != p;
			door = door || part_of(w, q)->kind == PART_DOOR;
			base_in = base_in || q == base;
			one = one && text_same(part_of(w, q)->placed, part_of(w, p)->placed);
			if (lead == MODEL_NONE && part_of(w, q)->loose) lead = q;
		}
		if (!joined || door) continue;
		bool loose = lead != MODEL_NONE && (!base_in || all_of_loose(w, piece));
		if (!loose && (!one || base_in || carries_more(w, piece))) continue;
		for (size_t q = 0; q < n; q++)
			if (w->piece[q] == piece) w->bench[q] = lead != MODEL_NONE ? lead : p;
	}
}

/* "t1" for a piece of the placed assembly "t1." */
const char *order_thing(const order_work *w, model_ref part) {
	const model_part *p = part_of(w, part);
	if (w->bench[part] == MODEL_NONE || !p->placed) return order_spoken(w->mem, p->group ? p->group : p->name);
	for (size_t q = 0; q < w->m->parts.n; q++) /* a lid inside an assembly has its own name */
		if (w->piece[q] != w->piece[part] && made(w, (model_ref)q) &&
		    text_same(part_of(w, (model_ref)q)->placed, p->placed))
			return order_spoken(w->mem, p->group ? p->group : p->name);
	return order_spoken(w->mem, arena_textn(w->mem, p->placed, strlen(p->placed) - 1));
}

/* ---- placed assemblies that one part joins to the rest --------------------------------------------------- */

static bool of_unit(const order_work *w, model_ref p, const char *placed) {
	return part_of(w, p)->placed && text_same(part_of(w, p)->placed, placed);
}

/* Does a written step join a part of it and one that is none of it? Then the plan builds it in. */
static bool written_in(const order_work *w, const char *placed) {
	for (size_t i = 0; i < w->m->written.n; i++) {
		const model_written *t = &w->m->written.v[i];
		bool joins = false, in = false, out = false;
		for (size_t k = 0; k < t->does.n; k++) joins = joins || t->does.v[k] == OP_JOIN;
		for (size_t k = 0; k < t->parts.n; k++) {
			bool own = of_unit(w, t->parts.v[k], placed);
			in = in || own;
			out = out || !own;
		}
		if (joins && in && out) return true;
	}
	return false;
}

/* Can all of it get out past the whole carcass, as one? */
static bool passes_whole(const order_work *w, const char *placed) {
	bool *stands = ARENA_MANY(w->mem, bool, w->m->parts.n + 1), first = true;
	box3 all = {0};
	for (model_ref p = 0; p < w->m->parts.n; p++) {
		stands[p] = made(w, p) && !of_unit(w, p, placed);
		if (!of_unit(w, p, placed)) continue;
		for (int a = 0; a < 3; a++) {
			const box3 *b = &part_of(w, p)->box;
			all.lo[a] = first ? b->lo[a] : rat_min(all.lo[a], b->lo[a]);
			all.hi[a] = first ? b->hi[a] : rat_max(all.hi[a], b->hi[a]);
		}
		first = false;
	}
	return order_way_out(w, all, MODEL_NONE, stands, NULL);
}

/* Do its own joints hold all of it together, and is it neither door nor cabinet with a fan, a filter or a door? */
static bool one_on_the_bench(const order_work *w, const char *placed) {
	size_t n = w->m->parts.n;
	model_ref *in = ARENA_MANY(w->mem, model_ref, n + 1), one = MODEL_NONE;
	for (model_ref p = 0; p < n; p++) in[p] = p;
	for (size_t i = 0; i < w->m->joints.n; i++) {
		const model_joint *j = &w->m->joints.v[i];
		bool a = of_unit(w, j->a, placed), b = of_unit(w, j->b, placed);
		model_ref other = a ? j->b : j->a, from = in[j->b], to = in[j->a];
		if ((a || b) && w->role[i] == ROLE_DOOR) return false;
		if ((a || b) && w->role[i] == ROLE_ITEM && order_item_kind(w, part_of(w, other)) != OP_FIT)
			return false;
		for (model_ref p = 0; p < n && a && b && w->role[i] == ROLE_JOIN; p++)
			if (in[p] == from) in[p] = to;
	}
	for (model_ref p = 0; p < n; p++) {
		if (!of_unit(w, p, placed) || !made(w, p)) continue;
		if (part_of(w, p)->kind == PART_DOOR || part_of(w, p)->loose) return false;
		if (one != MODEL_NONE && in[p] != one) return false;
		one = in[p];
	}
	return true;
}

/* Of an assembly that is joined to the rest by one part of its own: those joints belong to putting it in, as those of a
 * bought thing do. Not when the plan builds it in, when building begins with it, or when it gets in only part by part.
 */
static void unit_make(order_work *w, const char *placed, model_ref base) {
	model_ref by = MODEL_NONE;
	bool inside = false;
	for (size_t i = 0; i < w->m->joints.n; i++) {
		const model_joint *j = &w->m->joints.v[i];
		bool a = of_unit(w, j->a, placed), b = of_unit(w, j->b, placed);
		if (w->role[i] != ROLE_JOIN || (!a && !b)) continue;
		inside = inside || (a && b);
		if (a && b) continue;
		model_ref own = a ? j->a : j->b;
		if (by != MODEL_NONE && by != own) return;
		by = own;
	}
	if (!inside || by == MODEL_NONE || (base != MODEL_NONE && of_unit(w, base, placed))) return;
	if (written_in(w, placed) || !one_on_the_bench(w, placed) || !passes_whole(w, placed)) return;
	for (size_t i = 0; i < w->m->joints.n; i++) {
		const model_joint *j = &w->m->joints.v[i];
		if (w->role[i] == ROLE_JOIN && of_unit(w, j->a, placed) != of_unit(w, j->b, placed))
			w->role[i] = ROLE_UNIT;
	}
}

void order_roles_make(order_work *w) {
	w->role = ARENA_MANY(w->mem, order_role, w->m->joints.n + 1);
	for (size_t i = 0; i < w->m->joints.n; i++) w->role[i] = role_of(w, &w->m->joints.v[i]);
	model_ref base = order_join_base(w);
	for (size_t i = 0; i < w->parts.n; i++) {
		const char *placed = part_of(w, w->parts.v[i])->placed;
		bool told = !placed;
		for (size_t k = 0; k < i && !told; k++) told = of_unit(w, w->parts.v[k], placed);
		if (!told) unit_make(w, placed, base);
	}
	pieces_make(w);
	bench_make(w);
}

bool order_unit(const order_work *w, model_ref op) {
	for (size_t i = 0; i < w->m->joints.n; i++)
		if (w->role[i] == ROLE_UNIT && w->joint_op[i] == op) return true;
	return false;
}
