/* Circles, the order itself, and the critical path. */
#include <limits.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "compiler/order_sort.h"
#include "runtime/base/text.h"

static fan_out spread(order_work *w, bool wishes) {
	fan_out f = {ARENA_MANY(w->mem, uint32_t, w->ops.n + 2), ARENA_MANY(w->mem, uint32_t, w->links.n + 1)};
	for (size_t i = 0; i < w->links.n; i++)
		if (wishes || w->links.v[i].bond != BOND_WISH) f.first[w->links.v[i].before + 2]++;
	for (size_t i = 2; i < w->ops.n + 2; i++) f.first[i] += f.first[i - 1];
	for (size_t i = 0; i < w->links.n; i++)
		if (wishes || w->links.v[i].bond != BOND_WISH)
			f.link[f.first[w->links.v[i].before + 1]++] = (uint32_t)i;
	return f;
}

/* ---- circles ------------------------------------------------------------------------------------- */

/* Shortest way back to where it begins, by breadth: rows of links in `loop`, their number; 0 when there is none. */
static size_t loop_from(order_work *w, const fan_out *f, model_ref start, uint32_t *loop) {
	size_t n = w->ops.n;
	uint32_t *by = ARENA_MANY(w->mem, uint32_t, n + 1), *queue = ARENA_MANY(w->mem, uint32_t, n + 1);
	for (size_t i = 0; i < n; i++) by[i] = MODEL_NONE;
	size_t head = 0, tail = 0;
	queue[tail++] = start;
	while (head < tail) {
		uint32_t at = queue[head++];
		for (uint32_t k = f->first[at]; k < f->first[at + 1]; k++) {
			uint32_t row = f->link[k], to = w->links.v[row].after;
			if (to == start) {
				size_t length = 0;
				loop[length++] = row;
				for (uint32_t back = at; back != start; back = w->links.v[by[back]].before)
					loop[length++] = by[back];
				for (size_t i = 0; i < length / 2; i++) {
					uint32_t t = loop[i];
					loop[i] = loop[length - 1 - i];
					loop[length - 1 - i] = t;
				}
				return length;
			}
			if (by[to] != MODEL_NONE) continue;
			by[to] = row;
			queue[tail++] = to;
		}
	}
	return 0;
}

static const char *named(const order_work *w, model_ref op) {
	const model_op *o = &w->ops.v[op];
	if (o->written == MODEL_NONE || o->kind == OP_WRITTEN) return arena_printf(w->mem, "\"%s\"", o->what);
	return arena_printf(w->mem, "\"%s\" (in step \"%s\")", o->what, w->m->written.v[o->written].name);
}

static void report(order_work *w, const uint32_t *loop, size_t n) {
	span at = span_none();
	size_t from = 0;
	for (size_t i = n; i > 0; i--) {
		if (w->links.v[loop[i - 1]].bond != BOND_WRITTEN) continue;
		at = w->links.v[loop[i - 1]].at;
		from = i - 1;
	}
	if (!span_known(at)) at = w->links.v[loop[0]].at;
	textbuf names = textbuf_begin(w->mem);
	for (size_t i = 0; i < n; i++)
		textbuf_printf(&names, "%s, then ", named(w, w->links.v[loop[(from + i) % n]].before));
	textbuf_add(&names, named(w, w->links.v[loop[from]].before));
	diag *g = diag_error(w->d, "order-circle", at, "the work runs in a circle: %s again", names.v);
	for (size_t i = 0; i < n; i++) {
		const order_link *l = &w->links.v[loop[(from + i) % n]];
		diag_add_note(w->d, g, l->at, "%s comes before %s: %s", named(w, l->before), named(w, l->after),
			      l->reason);
	}
	diag_add_help(w->d, g,
		      "take one of the written `after` or `before` lines away, or move an operation to another step");
}

/* A written line that asks for what is so anyway is not the one to blame. */
static void blame_few(const order_work *w, uint32_t *loop, size_t n) {
	for (size_t i = 0; i < n; i++) {
		const order_link *l = &w->links.v[loop[i]];
		for (uint32_t k = 0; l->bond == BOND_WRITTEN && k < w->links.n; k++) {
			const order_link *o = &w->links.v[k];
			if (o->before != l->before || o->after != l->after || o->bond == BOND_WRITTEN) continue;
			if (o->bond == BOND_WISH) continue;
			loop[i] = k;
			break;
		}
	}
}

static size_t written(const order_work *w, const uint32_t *loop, size_t n) {
	size_t lines = 0;
	for (size_t i = 0; i < n; i++) lines += w->links.v[loop[i]].bond == BOND_WRITTEN;
	return lines;
}

/* Whether a line of the plan that closes this circle was told to close another: it makes many of them when it orders
 * steps of many operations. */
static bool known(const order_work *w, const uint32_t *loop, size_t n, const bool *blamed) {
	for (size_t i = 0; i < n; i++)
		for (size_t k = 0; k < w->links.n; k++)
			if (blamed[k] && span_same(w->links.v[k].at, w->links.v[loop[i]].at)) return true;
	return false;
}

/* Whether a circle is closed, in one pass: operations are taken away that nothing left leads to. */
static bool any_circle(order_work *w, const fan_out *f) {
	uint32_t *into = ARENA_MANY(w->mem, uint32_t, w->ops.n + 1),
		 *queue = ARENA_MANY(w->mem, uint32_t, w->ops.n + 1);
	size_t head = 0, tail = 0;
	for (uint32_t k = 0; k < f->first[w->ops.n]; k++) into[w->links.v[f->link[k]].after]++;
	for (size_t i = 0; i < w->ops.n; i++)
		if (into[i] == 0) queue[tail++] = (uint32_t)i;
	while (head < tail) {
		uint32_t at = queue[head++];
		for (uint32_t k = f->first[at]; k < f->first[at + 1]; k++) {
			uint32_t to = w->links.v[f->link[k]].after;
			if (--into[to] == 0) queue[tail++] = to;
		}
	}
	return tail < w->ops.n;
}

static bool circles(order_work *w) {
	fan_out f = spread(w, false);
	if (!any_circle(w, &f)) return false;
	bool *told = ARENA_MANY(w->mem, bool, w->ops.n + 1);
	uint32_t *loop = ARENA_MANY(w->mem, uint32_t, w->ops.n + 1), *best = ARENA_MANY(w->mem, uint32_t, w->ops.n + 1);
	bool *blamed = ARENA_MANY(w->mem, bool, w->links.n + 1);
	bool any = false;
	for (;;) {
		size_t shortest = 0,
		       fewest = 0; /* of these, the fewest lines of the plan: the others are not to blame */
		for (size_t i = 0; i < w->ops.n; i++) {
			if (told[i]) continue;
			size_t n = loop_from(w, &f, (model_ref)i, loop);
			bool fresh = n > 0;
			for (size_t k = 0; k < n; k++) fresh = fresh && !told[w->links.v[loop[k]].before];
			if (!fresh || (shortest && n > shortest)) continue;
			blame_few(w, loop, n);
			size_t lines = written(w, loop, n);
			if (shortest == n && lines >= fewest) continue;
			shortest = n;
			fewest = lines;
			memcpy(best, loop, n * sizeof *loop);
		}
		if (!shortest) return any;
		if (!(any && known(w, best, shortest, blamed))) report(w, best, shortest);
		any = true;
		for (size_t k = 0; k < shortest; k++) blamed[best[k]] = w->links.v[best[k]].bond == BOND_WRITTEN;
		/* What hangs in a reported circle is not told again. */
		for (size_t k = 0; k < shortest; k++) told[w->links.v[best[k]].before] = true;
	}
}

/* ---- wishes ---------------------------------------------------------------------------------------- */

static bool leads_to(const order_work *w, const fan_out *f, const bool *kept, model_ref from, model_ref to,
		     bool *seen) {
	if (from == to) return true;
	seen[from] = true;
	for (uint32_t k = f->first[from]; k < f->first[from + 1]; k++) {
		const order_link *l = &w->links.v[f->link[k]];
		if (kept[f->link[k]] && !seen[l->after] && leads_to(w, f, kept, l->after, to, seen)) return true;
	}
	return false;
}

/* Keeps each wish that closes no circle with what is kept before it. */
static void grant(order_work *w) {
	fan_out f = spread(w, true);
	if (!any_circle(w, &f)) return; /* all are */
	bool *kept = ARENA_MANY(w->mem, bool, w->links.n + 1), *seen = ARENA_MANY(w->mem, bool, w->ops.n + 1);
	for (size_t i = 0; i < w->links.n; i++) kept[i] = w->links.v[i].bond != BOND_WISH;
	for (size_t i = 0; i < w->links.n; i++) {
		if (kept[i]) continue;
		memset(seen, 0, w->ops.n * sizeof *seen);
		kept[i] = !leads_to(w, &f, kept, w->links.v[i].after, w->links.v[i].before, seen);
	}
	size_t n = 0;
	for (size_t i = 0; i < w->links.n; i++)
		if (kept[i]) w->links.v[n++] = w->links.v[i];
	w->links.n = n;
}

/* ---- blocks ------------------------------------------------------------------------------------------- */

uint32_t order_block(const order_work *w, model_ref op) {
	const model_op *o = &w->ops.v[op];
	if (o->written != MODEL_NONE) return o->written;
	uint32_t sub = 0; /* stays below a million for any model that fits the tables */
	switch (o->kind) {
	case OP_CUT:
		sub = w->m->parts.v[o->parts.v[0]].stock;
		break;
	case OP_OPEN:
	case OP_EASE:
	case OP_TEMPLATE:
		sub = o->pattern == MODEL_NONE ? 0 : o->pattern;
		break;
	case OP_JOIN:
		sub = w->group.v[op];
		break;
	case OP_GASKET: /* on the page of its joint */
		return order_block(w, w->joint_op[o->joint]);
	case OP_SEAT:
	case OP_FILTER:
	case OP_FIT:
	case OP_FAN:
		sub = op;
		break;
	default:
		break;
	}
	return 1000000u * ((uint32_t)o->kind + 1) + sub;
}

static int stage_of(model_op_kind kind) {
#define X(name, word, spoken, stage) [OP_##name] = stage,
	static const int STAGE[OP_KINDS] = {MODEL_OPS(X)};
#undef X
	return STAGE[kind];
}

enum { LAST_SHAPING = 7 }; /* stage: parts are shaped until then */
enum { LONG_WAIT = 30 };   /* minutes: shorter ones are not worth another order */

bool order_shapes(model_op_kind kind) { return stage_of(kind) <= LAST_SHAPING; }

bool order_shares_tool(const order_work *w, model_ref a, model_ref b) {
	if (a == MODEL_NONE || b == MODEL_NONE) return false;
	const model_op *x = &w->ops.v[a], *y = &w->ops.v[b];
	for (size_t i = 0; i < x->tools.n; i++)
		for (size_t k = 0; k < y->tools.n; k++)
			if (x->tools.v[i] == y->tools.v[k]) return true;
	return false;
}

/* Would the tool of this operation, taken up now, do all that the block has for it? Then nobody goes back to it. */
static bool finishes(const sorter *s, uint32_t row, model_ref op) {
	const order_work *w = s->w;
	const order_rows *own = &s->rows.v[row];
	for (size_t x = 0; x < own->n; x++)
		s->left[own->v[x]] = s->done[own->v[x]] ? MODEL_NONE : s->waiting[own->v[x]];
	for (bool again = true; again;) {
		again = false;
		for (size_t x = 0; x < own->n; x++) {
			model_ref i = own->v[x];
			if (s->left[i] || !order_shares_tool(w, op, i)) continue;
			again = true;
			s->left[i] = MODEL_NONE;
			for (uint32_t k = s->out.first[i]; k < s->out.first[i + 1]; k++) {
				model_ref to = w->links.v[s->out.link[k]].after;
				if (s->row[to] == row) s->left[to]--;
			}
		}
	}
	for (size_t x = 0; x < own->n; x++)
		if (s->left[own->v[x]] != MODEL_NONE && order_shares_tool(w, op, own->v[x])) return false;
	return true;
}

bool order_same_tools(const order_work *w, model_ref a, model_ref b) {
	const model_op *x = &w->ops.v[a], *y = &w->ops.v[b];
	bool same = x->tools.n == y->tools.n;
	for (size_t i = 0; same && i < x->tools.n; i++) same = x->tools.v[i] == y->tools.v[i];
	return same;
}

/* Ready at last in the block of that row: while parts are shaped the tool at hand first, then one that is needed once
 * only; the same kind; then the canonical rank. With tools `alone` only, unless that is NONE. */
static model_ref next_in(const sorter *s, uint32_t row, model_ref alone) {
	const order_work *w = s->w;
	model_ref best = MODEL_NONE, before = MODEL_NONE;
	int best_key = 0;
	bool once = false;
	for (size_t x = 0; x < s->rows.v[row].n; x++) {
		model_ref i = s->rows.v[row].v[x];
		if (s->done[i] || s->waiting[i]) continue;
		if (alone != MODEL_NONE && i != alone && w->ops.v[i].tools.n) continue;
		int key = 100 * stage_of(w->ops.v[i].kind);
		if (s->last != MODEL_NONE && w->ops.v[s->last].kind == w->ops.v[i].kind) key -= 10000;
		bool at_hand = order_shares_tool(w, s->hand, i), shapes = stage_of(w->ops.v[i].kind) <= LAST_SHAPING;
		if (at_hand) key -= shapes ? 20000 : 10;
		if (!at_hand && shapes && w->ops.v[i].tools.n) {
			if (before == MODEL_NONE || !order_same_tools(w, before, i)) once = finishes(s, row, i);
			before = i;
			if (once) key -= 15000;
		}
		if (best != MODEL_NONE && (key > best_key || (key == best_key && w->rank.v[i] > w->rank.v[best])))
			continue;
		best = i;
		best_key = key;
	}
	return best;
}

typedef struct block_key {
	uint32_t block;
	bool whole;  /* nothing outside it is left to do before it */
	bool leads;  /* to a long wait, where that counts */
	double wait; /* minutes until all of it may begin */
	int tool, stage;
	uint32_t written, rank;
} block_key;

/* All that is left of the block of operation i. */
static block_key judge(const sorter *s, size_t i) {
	const order_work *w = s->w;
	block_key k = {.block = s->block[i],
		       .whole = true,
		       .leads = s->leads && s->leads[s->row[i]],
		       .tool = 1,
		       .stage = 1000,
		       .written = MODEL_NONE,
		       .rank = MODEL_NONE};
	const order_rows *own = &s->rows.v[s->row[i]];
	for (size_t x = 0; x < own->n; x++) {
		model_ref q = own->v[x];
		if (s->done[q]) continue;
		if (s->outside[q]) k.whole = false;
		if (!s->waiting[q] || !s->outside[q]) k.wait = fmax(k.wait, s->ready[q] - s->now);
		int stage = stage_of(w->ops.v[q].kind);
		if (stage < k.stage) k.stage = stage;
		if (w->ops.v[q].written < k.written) k.written = w->ops.v[q].written;
		if (w->rank.v[q] < k.rank) k.rank = w->rank.v[q];
		if (!s->waiting[q] && stage <= LAST_SHAPING && order_shares_tool(w, s->hand, q)) k.tool = 0;
	}
	return k;
}

static bool key_before(const block_key *a, const block_key *b) {
	if (a->whole != b->whole) return a->whole;
	if (a->leads != b->leads) return a->leads;
	if (a->wait != b->wait) return a->wait < b->wait;
	if (a->tool != b->tool) return a->tool < b->tool;
	if (a->stage != b->stage) return a->stage < b->stage;
	if (a->written != b->written) return a->written < b->written;
	return a->rank < b->rank;
}

/* The row of the best block that has something ready. */
static uint32_t by_keys(sorter *s) {
	const order_work *w = s->w;
	bool have = false;
	block_key best = {0};
	uint32_t chosen = 0;
	memset(s->judged, 0, s->rows.n * sizeof *s->judged);
	for (size_t i = 0; i < w->ops.n; i++) {
		if (s->done[i] || s->waiting[i] || s->judged[s->row[i]]) continue;
		s->judged[s->row[i]] = true;
		block_key k = judge(s, i);
		if (have && !key_before(&k, &best)) continue;
		best = k;
		chosen = s->row[i];
		have = true;
	}
	return chosen;
}

/* Blocks with something in them, or behind them, that is not done and waits long. */
static void find_leads(sorter *s) {
	const order_work *w = s->w;
	memset(s->leads, 0, s->rows.n * sizeof *s->leads);
	for (size_t i = 0; i < w->ops.n; i++)
		if (!s->done[i] && w->ops.v[i].wait_minutes >= LONG_WAIT) s->leads[s->row[i]] = true;
	for (bool again = true; again;) {
		again = false;
		for (size_t i = 0; i < w->links.n; i++) {
			model_ref a = w->links.v[i].before, b = w->links.v[i].after;
			if (s->done[a] || s->leads[s->row[a]] || !s->leads[s->row[b]]) continue;
			again = s->leads[s->row[a]] = true;
		}
	}
}

static void do_op(sorter *s, model_ref op) {
	order_work *w = s->w;
	const fan_out *f = &s->out;
	const model_op *o = &w->ops.v[op];
	s->done[op] = true;
	s->now = fmax(s->now, s->ready[op]) + o->minutes;
	if (!s->trial) s->begun[op] = s->now - o->minutes;
	s->until = fmax(s->until, s->now + o->wait_minutes);
	s->last = op;
	if (o->tools.n) {
		s->changes += s->hand != MODEL_NONE && !order_shares_tool(w, s->hand, op);
		s->hand = op;
	}
	for (uint32_t k = f->first[op]; k < f->first[op + 1]; k++) {
		model_ref to = w->links.v[f->link[k]].after;
		s->waiting[to]--;
		if (s->block[to] != s->block[op]) s->outside[to]--;
		s->ready[to] = fmax(s->ready[to], s->now + o->wait_minutes);
	}
	if (s->leads && o->wait_minutes >= LONG_WAIT) find_leads(s);
	if (!s->trial) LIST_PUSH(w->mem, &s->sequence, op);
}

/* What takes tools in the order of the path, when there is one. */
static void do_block(sorter *s, uint32_t row, order_rows path) {
	size_t at = 0;
	for (;;) {
		model_ref op = next_in(s, row, at < path.n ? path.v[at] : MODEL_NONE);
		if (op == MODEL_NONE) return;
		at += at < path.n && op == path.v[at];
		do_op(s, op);
	}
}

/* Blocks that shape parts with a tool and are not done; of each its first operation that is left. */
static size_t blocks_left(const sorter *s, model_ref *first, size_t most) {
	const order_work *w = s->w;
	size_t n = 0;
	for (size_t r = 0; r < s->rows.n; r++)
		for (size_t x = 0; x < s->rows.v[r].n; x++) {
			model_ref i = s->rows.v[r].v[x];
			if (s->done[i] || !w->ops.v[i].tools.n || stage_of(w->ops.v[i].kind) > LAST_SHAPING) continue;
			if (n < most) first[n] = i;
			n++;
			break;
		}
	return n;
}

/* A copy that looks ahead from here; its rows lie in `mem`. */
static sorter trial_of(const sorter *s, arena *mem) {
	size_t n = s->w->ops.n;
	sorter t = *s;
	t.trial = true;
	t.waiting = arena_copy(mem, s->waiting, n * sizeof *s->waiting);
	t.outside = arena_copy(mem, s->outside, n * sizeof *s->outside);
	t.done = arena_copy(mem, s->done, n * sizeof *s->done);
	t.ready = arena_copy(mem, s->ready, n * sizeof *s->ready);
	t.judged = ARENA_MANY(mem, bool, s->rows.n + 1);
	if (s->leads) t.leads = arena_copy(mem, s->leads, s->rows.n * sizeof *s->leads);
	return t;
}

/* Changes of tools when this block comes next and the rest as the keys would have it. */
static unsigned changes_after(const sorter *s, uint32_t row) {
	arena mem = {0};
	sorter t = trial_of(s, &mem);
	do_block(&t, row, (order_rows){0});
	while (blocks_left(&t, NULL, 0)) do_block(&t, by_keys(&t), (order_rows){0});
	arena_end(&mem);
	return t.changes - s->changes;
}

/* May the block of that operation come next in place of the one that the keys would have? It must have something ready,
 * not wait longer, not be torn, and lead to a long wait when that one does. */
static bool may_be_next(const sorter *s, model_ref op, const block_key *key) {
	block_key k = judge(s, op);
	if (k.whole != key->whole || k.leads != key->leads || k.wait > key->wait) return false;
	const order_rows *own = &s->rows.v[s->row[op]];
	for (size_t x = 0; x < own->n; x++)
		if (!s->done[own->v[x]] && !s->waiting[own->v[x]]) return true;
	return false;
}

/* The work of the block as the keys would have it, when that takes no more changes; else as the table has it. */
static order_rows path_in(sorter *s, order_tools *t, uint32_t row, unsigned least) {
	arena mem = {0};
	sorter now = trial_of(s, &mem);
	do_block(&now, row, (order_rows){0});
	unsigned changes = now.changes - s->changes + order_tools_after(t, row, now.hand);
	arena_end(&mem);
	return changes > least ? order_tools_path(t, row) : (order_rows){0};
}

/* The block after which the fewest changes of tools follow; of equals the one that the keys would have. Where few are
 * left every order counts; of more, each is tried with the rest as the keys would have it. */
static void next_block(sorter *s, arena *mem) {
	enum { FEW = 16, MOST_OPS = 600 };
	model_ref first[FEW];
	uint32_t chosen = by_keys(s);
	size_t n = blocks_left(s, first, FEW);
	block_key key = judge(s, s->rows.v[chosen].v[0]);
	bool asked = key.stage <= LAST_SHAPING && n >= 1 && n <= FEW && s->w->ops.n <= MOST_OPS, tools = false;
	for (size_t i = 0; i < n && asked; i++) tools = tools || s->row[first[i]] == chosen;
	order_tools *t = tools ? order_tools_begin(mem, s) : NULL;
	unsigned least = t ? order_tools_next(t, chosen) : UINT_MAX;
	bool exact = least != UINT_MAX;
	if (tools && !exact) least = changes_after(s, chosen);
	for (size_t i = 0; i < n && tools; i++) {
		uint32_t row = s->row[first[i]];
		if (row == chosen || !may_be_next(s, first[i], &key)) continue;
		unsigned changes = exact ? order_tools_next(t, row) : changes_after(s, row);
		if (changes < least) least = changes, chosen = row;
	}
	do_block(s, chosen, exact ? path_in(s, t, chosen, least) : (order_rows){0});
}

typedef struct block_of_op {
	uint32_t block, op;
} block_of_op;

static int compare_blocks(const void *a, const void *b) {
	const block_of_op *x = a, *y = b;
	if (x->block != y->block) return x->block < y->block ? -1 : 1;
	return (x->op > y->op) - (x->op < y->op);
}

static sorter sorter_begin(order_work *w) {
	size_t n = w->ops.n;
	sorter s = {.w = w, .last = MODEL_NONE, .hand = MODEL_NONE};
	s.block = ARENA_MANY(w->mem, uint32_t, n + 1);
	s.waiting = ARENA_MANY(w->mem, uint32_t, n + 1);
	s.outside = ARENA_MANY(w->mem, uint32_t, n + 1);
	s.row = ARENA_MANY(w->mem, uint32_t, n + 1);
	s.done = ARENA_MANY(w->mem, bool, n + 1);
	s.ready = ARENA_MANY(w->mem, double, n + 1);
	s.begun = ARENA_MANY(w->mem, double, n + 1);
	block_of_op *all = ARENA_MANY(w->mem, block_of_op, n + 1);
	for (size_t i = 0; i < n; i++) {
		s.block[i] = order_block(w, (model_ref)i);
		all[i] = (block_of_op){s.block[i], (uint32_t)i};
	}
	qsort(all, n, sizeof *all, compare_blocks);
	model_ref *ops = ARENA_MANY(w->mem, model_ref, n + 1);
	for (size_t i = 0; i < n; i++) {
		ops[i] = all[i].op;
		if (i == 0 || all[i].block != all[i - 1].block) LIST_PUSH(w->mem, &s.rows, ((order_rows){&ops[i], 0}));
		s.rows.v[s.rows.n - 1].n++;
		s.row[ops[i]] = (uint32_t)(s.rows.n - 1);
	}
	s.left = ARENA_MANY(w->mem, uint32_t, n + 1);
	s.judged = ARENA_MANY(w->mem, bool, s.rows.n + 1);
	for (size_t i = 0; i < w->links.n; i++) {
		const order_link *l = &w->links.v[i];
		s.waiting[l->after]++;
		s.outside[l->after] += s.block[l->before] != s.block[l->after];
	}
	return s;
}

static sorter sorted(order_work *w, bool waits_early) {
	sorter s = sorter_begin(w);
	s.out = spread(w, true);
	if (waits_early) {
		s.leads = ARENA_MANY(w->mem, bool, s.rows.n + 1);
		find_leads(&s);
	}
	while (s.sequence.n < w->ops.n) {
		arena mem = {0};
		next_block(&s, &mem);
		arena_end(&mem);
	}
	return s;
}

bool order_sort(order_work *w) {
	if (circles(w)) return false;
	grant(w);
	order_rates_make(w);
	/* Joins of the building sequence rank as they are built. */
	uint32_t base = (uint32_t)w->ops.n;
	for (size_t i = 0; i < w->joining.n; i++)
		if (w->rank.v[w->joining.v[i]] < base) base = w->rank.v[w->joining.v[i]];
	for (size_t i = 0; i < w->joining.n; i++) w->rank.v[w->joining.v[i]] = base + (uint32_t)i;
	/* What leads to long waits comes first where one person is done much sooner by that: other work fills the wait.
	 */
	const double much = 30;
	sorter plain = sorted(w, false), early = sorted(w, true);
	const sorter *best = early.until <= plain.until - much ? &early : &plain;
	for (size_t i = 0; i < best->sequence.n; i++) LIST_PUSH(w->mem, &w->sequence, best->sequence.v[i]);
	w->elapsed_minutes = best->until;
	w->begun = best->begun;
	return true;
}

double order_critical_minutes(order_work *w) {
	fan_out f = spread(w, true);
	double *end = ARENA_MANY(w->mem, double, w->ops.n + 1), longest = 0; /* with the wait behind it */
	double *begin = ARENA_MANY(w->mem, double, w->ops.n + 1);
	for (size_t i = 0; i < w->sequence.n; i++) {
		model_ref op = w->sequence.v[i];
		end[op] = begin[op] + w->ops.v[op].minutes + w->ops.v[op].wait_minutes;
		longest = fmax(longest, end[op]);
		for (uint32_t k = f.first[op]; k < f.first[op + 1]; k++)
			begin[w->links.v[f.link[k]].after] = fmax(begin[w->links.v[f.link[k]].after], end[op]);
	}
	return longest;
}
