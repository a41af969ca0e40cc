/* The fewest changes of tools: two tables over sets, one of blocks done, one of the work done in a block. */
#include <limits.h>
#include <string.h>

#include "compiler/order_sort.h"

enum { MOST_BLOCKS = 20, MOST_IN_BLOCK = 64, MOST_SETS = 32, MOST_STATES = 60000, MOST_INNER = 4000 };

typedef struct tool_state { /* some of a block's work done, the last of it with that set of tools */
	uint64_t done;
	uint32_t set, changes, from, item; /* from: the state before, in the list */
} tool_state;
typedef LIST(tool_state) tool_states;

typedef struct tool_block {
	uint32_t row;
	size_t n;
	model_ref *op;	/* that take tools and are not done, by rank */
	uint32_t *set;	/* [n] */
	uint64_t *need; /* [n] those of the block that come before */
	uint32_t wants; /* blocks that come before */
	uint32_t *ends; /* [sets + 1][sets] changes from a set at hand to one at the end; filled at need */
	bool *known;	/* [sets + 1] */
} tool_block;

typedef struct tool_slot {
	uint64_t key; /* 0 is free */
	unsigned changes;
} tool_slot;

struct order_tools {
	arena *mem;
	const sorter *s;
	LIST(model_ref) sets; /* an operation of each set of tools */
	bool meet[MOST_SETS + 1][MOST_SETS];
	bool bridges; /* two sets share a tool and are not alike */
	tool_block block[MOST_BLOCKS];
	size_t n;
	tool_slot *slot; /* a power of two, twice the states at least */
	size_t states;
	bool too_many;
};

enum { SLOTS = 1 << 17 };
_Static_assert(SLOTS >= 2 * MOST_STATES, "slots stay half free");

/* ---- what there is ------------------------------------------------------------------------------------ */

static uint32_t set_of(order_tools *t, model_ref op) {
	for (uint32_t i = 0; i < t->sets.n; i++)
		if (order_same_tools(t->s->w, t->sets.v[i], op)) return i;
	if (t->sets.n == MOST_SETS) {
		t->too_many = true;
		return 0;
	}
	LIST_PUSH(t->mem, &t->sets, op);
	return (uint32_t)t->sets.n - 1;
}

/* Links by the operation they end at, of those that are left. */
static fan_out incoming(order_tools *t) {
	const order_work *w = t->s->w;
	fan_out f = {ARENA_MANY(t->mem, uint32_t, w->ops.n + 2), ARENA_MANY(t->mem, uint32_t, w->links.n + 1)};
	for (size_t i = 0; i < w->links.n; i++) f.first[w->links.v[i].after + 2]++;
	for (size_t i = 2; i < w->ops.n + 2; i++) f.first[i] += f.first[i - 1];
	for (size_t i = 0; i < w->links.n; i++) f.link[f.first[w->links.v[i].after + 1]++] = (uint32_t)i;
	return f;
}

/* Blocks that come before this one: all of each, as blocks are not torn. False when it would come before itself. */
static bool blocks_before(order_tools *t, const fan_out *in, tool_block *b) {
	const sorter *s = t->s;
	bool *seen = ARENA_MANY(t->mem, bool, s->rows.n + 1);
	uint32_t *queue = ARENA_MANY(t->mem, uint32_t, s->rows.n + 1);
	size_t head = 0, tail = 0;
	queue[tail++] = b->row;
	while (head < tail) {
		uint32_t row = queue[head++];
		for (size_t x = 0; x < s->rows.v[row].n; x++) {
			model_ref op = s->rows.v[row].v[x];
			for (uint32_t k = in->first[op]; k < in->first[op + 1] && !s->done[op]; k++) {
				model_ref from = s->w->links.v[in->link[k]].before;
				uint32_t other = s->row[from];
				if (s->done[from] || other == row) continue;
				if (other == b->row) return false;
				if (seen[other]) continue;
				seen[other] = true;
				queue[tail++] = other;
			}
		}
	}
	for (size_t i = 0; i < t->n; i++) {
		bool waits = s->leads && s->leads[t->block[i].row] && !s->leads[b->row];
		if (seen[t->block[i].row] || waits) b->wants |= 1u << i;
	}
	return true;
}

static void work_before(order_tools *t, const fan_out *in, tool_block *b, size_t item) {
	const sorter *s = t->s;
	const order_rows *own = &s->rows.v[b->row];
	bool *seen = ARENA_MANY(t->mem, bool, s->w->ops.n + 1);
	model_ref *queue = ARENA_MANY(t->mem, model_ref, own->n + 1);
	size_t head = 0, tail = 0;
	queue[tail++] = b->op[item];
	while (head < tail) {
		model_ref op = queue[head++];
		for (uint32_t k = in->first[op]; k < in->first[op + 1]; k++) {
			model_ref from = s->w->links.v[in->link[k]].before;
			if (s->done[from] || s->row[from] != b->row || seen[from]) continue;
			seen[from] = true;
			queue[tail++] = from;
		}
	}
	for (size_t i = 0; i < b->n; i++)
		if (seen[b->op[i]]) b->need[item] |= 1ull << i;
}

/* The block's operations with tools; false when it has none that shapes. */
static bool block_read(order_tools *t, uint32_t row, tool_block *b) {
	const sorter *s = t->s;
	const order_rows *own = &s->rows.v[row];
	bool shapes = false;
	*b = (tool_block){.row = row, .op = ARENA_MANY(t->mem, model_ref, own->n + 1)};
	for (size_t x = 0; x < own->n; x++) {
		const model_op *o = &s->w->ops.v[own->v[x]];
		if (s->done[own->v[x]] || !o->tools.n) continue;
		shapes = shapes || order_shapes(o->kind);
		size_t at = b->n++;
		for (; at > 0 && s->w->rank.v[b->op[at - 1]] > s->w->rank.v[own->v[x]]; at--) b->op[at] = b->op[at - 1];
		b->op[at] = own->v[x];
	}
	return shapes;
}

order_tools *order_tools_begin(arena *mem, const sorter *s) {
	order_tools *t = ARENA_MANY(mem, order_tools, 1);
	t->mem = mem;
	t->s = s;
	for (uint32_t r = 0; r < s->rows.n; r++) {
		tool_block b;
		if (!block_read(t, r, &b)) continue;
		if (t->n == MOST_BLOCKS || b.n > MOST_IN_BLOCK) return NULL;
		t->block[t->n++] = b;
	}
	fan_out in = incoming(t);
	for (size_t i = 0; i < t->n; i++) {
		tool_block *b = &t->block[i];
		if (!blocks_before(t, &in, b)) return NULL;
		b->set = ARENA_MANY(mem, uint32_t, b->n + 1);
		b->need = ARENA_MANY(mem, uint64_t, b->n + 1);
		for (size_t k = 0; k < b->n; k++) {
			b->set[k] = set_of(t, b->op[k]);
			work_before(t, &in, b, k);
		}
	}
	if (t->too_many) return NULL;
	for (size_t i = 0; i < t->sets.n; i++) {
		t->meet[t->sets.n][i] = s->hand == MODEL_NONE || order_shares_tool(s->w, s->hand, t->sets.v[i]);
		for (size_t k = 0; k < t->sets.n; k++) {
			t->meet[i][k] = order_shares_tool(s->w, t->sets.v[i], t->sets.v[k]);
			t->bridges = t->bridges || (i != k && t->meet[i][k]);
		}
	}
	for (size_t i = 0; i < t->n; i++) {
		t->block[i].ends = ARENA_MANY(mem, uint32_t, (t->sets.n + 1) * t->sets.n + 1);
		t->block[i].known = ARENA_MANY(mem, bool, t->sets.n + 1);
	}
	t->slot = ARENA_MANY(mem, tool_slot, SLOTS);
	return t;
}

/* ---- in a block --------------------------------------------------------------------------------------- */

static void state_add(order_tools *t, tool_states *l, size_t from_here, tool_state add) {
	for (size_t i = from_here; i < l->n; i++) {
		tool_state *q = &l->v[i];
		if (q->done != add.done || q->set != add.set) continue;
		if (add.changes < q->changes) *q = add;
		return;
	}
	if (l->n >= MOST_INNER) {
		t->too_many = true;
		return;
	}
	LIST_PUSH(t->mem, l, add);
}

/* All ways through the block with that set at hand, layer by layer; the last layer begins at *last. A tool at hand goes
 * on while it can, when no two sets share one without being alike: to come back to it would save nothing. */
static tool_states ways(order_tools *t, const tool_block *b, uint32_t hand, size_t *last) {
	tool_states l = {0};
	LIST_PUSH(t->mem, &l, ((tool_state){0, hand, 0, 0, 0}));
	size_t begin = 0;
	for (size_t step = 0; step < b->n && !t->too_many; step++) {
		size_t end = l.n;
		for (size_t i = begin; i < end; i++) {
			tool_state q = l.v[i];
			for (int alike = !t->bridges; alike >= 0; alike--) {
				bool any = false;
				for (uint32_t k = 0; k < b->n && !(alike && any); k++) {
					if (q.done >> k & 1 || b->need[k] & ~q.done) continue;
					if (alike && b->set[k] != q.set) continue;
					any = true;
					uint32_t more = !t->meet[q.set][b->set[k]];
					state_add(t, &l, end,
						  (tool_state){q.done | 1ull << k, b->set[k], q.changes + more,
							       (uint32_t)i, k});
				}
				if (any) break;
			}
		}
		begin = end;
	}
	*last = begin;
	return l;
}

static const uint32_t *ends(order_tools *t, tool_block *b, uint32_t hand) {
	uint32_t *row = b->ends + hand * t->sets.n;
	if (b->known[hand]) return row;
	b->known[hand] = true;
	size_t last;
	tool_states l = ways(t, b, hand, &last);
	for (size_t i = 0; i < t->sets.n; i++) row[i] = UINT_MAX;
	for (size_t i = last; i < l.n; i++)
		if (l.v[i].changes < row[l.v[i].set]) row[l.v[i].set] = l.v[i].changes;
	return row;
}

/* ---- over the blocks ----------------------------------------------------------------------------------- */

static unsigned from_here(order_tools *t, uint32_t done, uint32_t hand);

static unsigned with_next(order_tools *t, uint32_t done, uint32_t hand, size_t i, uint32_t *best_end) {
	unsigned least = UINT_MAX;
	const uint32_t *end = ends(t, &t->block[i], hand);
	for (uint32_t e = 0; e < t->sets.n && !t->too_many; e++) {
		if (end[e] == UINT_MAX) continue;
		unsigned rest = from_here(t, done | 1u << i, e);
		if (rest == UINT_MAX || end[e] + rest >= least) continue;
		least = end[e] + rest;
		*best_end = e;
	}
	return least;
}

static unsigned from_here(order_tools *t, uint32_t done, uint32_t hand) {
	if (done == (1u << t->n) - 1) return 0;
	uint64_t key = (uint64_t)done << 8 | (hand + 1);
	size_t at = (size_t)((key * 0x9E3779B97F4A7C15u) >> 47) & (SLOTS - 1);
	while (t->slot[at].key && t->slot[at].key != key) at = (at + 1) & (SLOTS - 1);
	if (t->slot[at].key) return t->slot[at].changes;
	unsigned least = UINT_MAX;
	for (size_t i = 0; i < t->n && !t->too_many; i++) {
		uint32_t end;
		if (done >> i & 1 || t->block[i].wants & ~done) continue;
		unsigned with = with_next(t, done, hand, i, &end);
		if (with < least) least = with;
	}
	if (t->states++ >= MOST_STATES) t->too_many = true;
	if (t->too_many) return UINT_MAX;
	for (at = (size_t)((key * 0x9E3779B97F4A7C15u) >> 47) & (SLOTS - 1); t->slot[at].key;)
		at = (at + 1) & (SLOTS - 1);
	t->slot[at] = (tool_slot){key, least};
	return least;
}

static size_t place_of(const order_tools *t, uint32_t row) {
	size_t i = 0;
	while (i < t->n && t->block[i].row != row) i++;
	return i;
}

unsigned order_tools_next(order_tools *t, uint32_t row) {
	size_t i = place_of(t, row);
	uint32_t end;
	if (i == t->n || t->block[i].wants) return UINT_MAX;
	unsigned least = with_next(t, 0, (uint32_t)t->sets.n, i, &end);
	return t->too_many ? UINT_MAX : least;
}

unsigned order_tools_after(order_tools *t, uint32_t row, model_ref hand) {
	size_t i = place_of(t, row);
	return i == t->n ? UINT_MAX : from_here(t, 1u << i, set_of(t, hand));
}

order_rows order_tools_path(order_tools *t, uint32_t row) {
	size_t i = place_of(t, row), last;
	uint32_t end = 0;
	with_next(t, 0, (uint32_t)t->sets.n, i, &end);
	const tool_block *b = &t->block[i];
	tool_states l = ways(t, b, (uint32_t)t->sets.n, &last);
	order_rows path = {ARENA_MANY(t->mem, model_ref, b->n + 1), b->n};
	size_t at = last;
	for (size_t k = last; k < l.n; k++)
		if (l.v[k].set == end && (l.v[at].set != end || l.v[k].changes < l.v[at].changes)) at = k;
	for (size_t k = b->n; k > 0; k--, at = l.v[at].from) path.v[k - 1] = b->op[l.v[at].item];
	return path;
}
