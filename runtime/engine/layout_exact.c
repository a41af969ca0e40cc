#include "runtime/engine/layout_exact.h"

#define NONE UINT32_MAX
enum { SHAPES_MOST = 400000 };

typedef struct shape { /* an outline of a set */
	int64_t w, h;
	uint32_t next;	      /* of the same set */
	uint32_t first, rest; /* shapes of its two parts; NONE: a piece */
	uint32_t item;
	bool beside, turned; /* the parts stand beside each other, else above */
} shape;

typedef struct sheet_set { /* a set that a room holds */
	uint32_t set, shape, room;
	uint32_t next; /* with the same first piece */
} sheet_set;

typedef struct exact {
	arena mem;
	const layout_exact_problem *p;
	LIST(shape) shapes;
	uint32_t *of; /* [sets] first shape */
	LIST(sheet_set) sheets;
	uint32_t by_first[LAYOUT_EXACT_MOST];
	int64_t *cost; /* [sets] cheapest; -1: not known yet */
	uint32_t *by;  /* [sets] the sheet that is taken first */
	uint64_t steps;
} exact;

static bool over(const exact *e) { return e->steps > e->p->budget || e->shapes.n > SHAPES_MOST; }

static uint32_t lowest(uint32_t set) {
	uint32_t k = 0;
	while (!(set >> k & 1)) k++;
	return k;
}

static bool in_some_room(const exact *e, int64_t w, int64_t h) {
	for (uint32_t r = 0; r < e->p->n_rooms; r++)
		if (w <= e->p->rooms[r].w && h <= e->p->rooms[r].h) return true;
	return false;
}

/* Adds an outline to a set's, unless one there is as small both ways; takes out those that it makes needless. */
static void add_shape(exact *e, uint32_t set, shape s) {
	e->steps++;
	if (!in_some_room(e, s.w, s.h)) return;
	for (uint32_t k = e->of[set]; k != NONE; k = e->shapes.v[k].next)
		if (e->shapes.v[k].w <= s.w && e->shapes.v[k].h <= s.h) return;
	for (uint32_t *k = &e->of[set]; *k != NONE;) {
		shape *o = &e->shapes.v[*k];
		if (s.w <= o->w && s.h <= o->h)
			*k = o->next;
		else
			k = &o->next;
	}
	s.next = e->of[set];
	LIST_PUSH(&e->mem, &e->shapes, s);
	e->of[set] = (uint32_t)e->shapes.n - 1;
}

static void join(exact *e, uint32_t set, uint32_t part) {
	for (uint32_t a = e->of[part]; a != NONE; a = e->shapes.v[a].next) {
		for (uint32_t b = e->of[set ^ part]; b != NONE; b = e->shapes.v[b].next) {
			const shape x = e->shapes.v[a], y = e->shapes.v[b];
			shape s = {x.w + y.w, x.h > y.h ? x.h : y.h, NONE, a, b, 0, true, false};
			add_shape(e, set, s);
			s = (shape){x.w > y.w ? x.w : y.w, x.h + y.h, NONE, a, b, 0, false, false};
			add_shape(e, set, s);
		}
	}
}

/* The cheapest room for a set, as a sheet. */
static void add_sheet(exact *e, uint32_t set) {
	sheet_set s = {set, NONE, NONE, e->by_first[lowest(set)]};
	for (uint32_t k = e->of[set]; k != NONE; k = e->shapes.v[k].next) {
		for (uint32_t r = 0; r < e->p->n_rooms; r++) {
			const layout_room *q = &e->p->rooms[r];
			if (e->shapes.v[k].w > q->w || e->shapes.v[k].h > q->h) continue;
			if (s.room != NONE && q->price >= e->p->rooms[s.room].price) continue;
			s.room = r;
			s.shape = k;
		}
	}
	if (s.room == NONE) return;
	LIST_PUSH(&e->mem, &e->sheets, s);
	e->by_first[lowest(set)] = (uint32_t)e->sheets.n - 1;
}

static void make_sets(exact *e) {
	uint32_t sets = 1u << e->p->n_items;
	int64_t most = 0;
	layout_wide area[LAYOUT_EXACT_MOST];
	for (uint32_t r = 0; r < e->p->n_rooms; r++)
		if (e->p->rooms[r].w * e->p->rooms[r].h > most) most = e->p->rooms[r].w * e->p->rooms[r].h;
	for (uint32_t i = 0; i < e->p->n_items; i++) area[i] = (layout_wide)e->p->items[i].w * e->p->items[i].h;
	for (uint32_t set = 1; set < sets && !over(e); set++) {
		layout_wide sum = 0;
		uint32_t first = lowest(set), rest = set & (set - 1);
		e->steps++;
		for (uint32_t i = first; i < e->p->n_items; i++) sum += set >> i & 1 ? area[i] : 0;
		if (sum > most) continue;
		if (rest == 0) {
			const layout_item *it = &e->p->items[first];
			add_shape(e, set, (shape){it->w, it->h, NONE, NONE, NONE, first, false, false});
			if (it->turn) add_shape(e, set, (shape){it->h, it->w, NONE, NONE, NONE, first, false, true});
		}
		/* every part that holds the first piece */
		for (uint32_t other = rest; other > 0 && !over(e); other = (other - 1) & rest)
			if (e->of[other] != NONE && e->of[set ^ other] != NONE) join(e, set, set ^ other);
		if (e->of[set] != NONE) add_sheet(e, set);
	}
}

static int64_t cheapest(exact *e, uint32_t set) {
	if (set == 0) return 0;
	if (e->cost[set] >= 0) return e->cost[set];
	int64_t best = INT64_MAX / 2;
	for (uint32_t k = e->by_first[lowest(set)]; k != NONE; k = e->sheets.v[k].next) {
		const sheet_set *s = &e->sheets.v[k];
		e->steps++;
		if ((s->set & set) != s->set || e->p->rooms[s->room].price >= best) continue;
		int64_t now = e->p->rooms[s->room].price + cheapest(e, set & ~s->set);
		if (now >= best) continue;
		best = now;
		e->by[set] = k;
	}
	e->cost[set] = best;
	return best;
}

typedef struct writer {
	layout_node *v;
	uint32_t n;
} writer;

static void write_shape(const exact *e, writer *t, uint32_t node, uint32_t index) {
	const shape *s = &e->shapes.v[index];
	if (s->h < t->v[node].h) node = layout_divide(t->v, &t->n, node, true, s->h);
	if (s->w < t->v[node].w) node = layout_divide(t->v, &t->n, node, false, s->w);
	if (s->first == NONE) {
		t->v[node].item = s->item;
		t->v[node].turned = s->turned;
		return;
	}
	const shape *low = &e->shapes.v[s->first];
	uint32_t lo = layout_divide(t->v, &t->n, node, !s->beside, s->beside ? low->w : low->h);
	write_shape(e, t, lo, s->first);
	write_shape(e, t, lo + 1, s->rest);
}

static void write_all(exact *e, arena *mem, layout_exact_answer *out) {
	uint32_t set = (1u << e->p->n_items) - 1;
	while (set) {
		const sheet_set *s = &e->sheets.v[e->by[set]];
		/* each piece and each joint cuts its outline free by two cuts, a joint divides once more */
		writer t = {.v = ARENA_MANY(mem, layout_node, e->p->n_items * 12 + 1), .n = 1};
		t.v[0] = layout_free_node(0, 0, e->p->rooms[s->room].w, e->p->rooms[s->room].h);
		write_shape(e, &t, 0, s->shape);
		layout_tree tree = {t.v, 0, s->room};
		LIST_PUSH(mem, &out->trees, tree);
		set &= ~s->set;
	}
}

void layout_exact(arena *mem, const layout_exact_problem *p, layout_exact_answer *out) {
	exact e = {.p = p};
	*out = (layout_exact_answer){0};
	if (p->n_items == 0 || p->n_items > LAYOUT_EXACT_MOST) return;
	size_t sets = (size_t)1 << p->n_items;
	e.of = ARENA_MANY(&e.mem, uint32_t, sets);
	e.by = ARENA_MANY(&e.mem, uint32_t, sets);
	e.cost = ARENA_MANY(&e.mem, int64_t, sets);
	for (size_t k = 0; k < sets; k++) {
		e.of[k] = NONE;
		e.cost[k] = -1;
	}
	for (uint32_t i = 0; i < p->n_items; i++) e.by_first[i] = NONE;
	make_sets(&e);
	out->whole = !over(&e);
	out->cost = cheapest(&e, (uint32_t)sets - 1);
	out->found = out->cost < p->below && out->cost < INT64_MAX / 2;
	if (out->found) write_all(&e, mem, out);
	out->steps = e.steps / 2 + sets / 4;
	arena_end(&e.mem);
}
