#include "runtime/engine/layout_ruin.h"

#include <string.h>

#include "runtime/engine/chance.h"

/* A sheet is a tree of strips: a node is a piece, or a row of nodes beside each other (along x) or above each other
 * (along y); rows alternate in direction. Nodes know the size they need and the most they could have; where in its
 * slack a strip lies is decided when the tree is written. */
#define NIL UINT16_MAX
typedef struct strip {
	int32_t w, h, most_w, most_h; /* within LAYOUT_MAX */
	uint32_t item;		      /* LAYOUT_FREE: a row */
	uint16_t parent, first, next;
	bool along_x, turned, used;
} strip;

typedef struct sheet {
	strip *v; /* [room] */
	uint16_t room, root, n, free;
	int64_t filled;
	int32_t slack_w, slack_h; /* the most that any strip could grow */
	int64_t even;		  /* how well it is filled, for the value */
	bool saved;
} sheet;

enum { RUIN_MOST = 10 };    /* pieces taken out in a round, about */
enum { OPEN_MORE = 6 };	    /* sheets beside the ruined ones that pieces may go to */
enum { STRIPS_FIRST = 16 }; /* room of a sheet's tree to begin with */
enum { MEMORY = 100 };	    /* rounds that late acceptance looks back */

typedef struct ruin {
	arena mem;
	const layout_ruin_problem *p;
	sheet *sheets, *kept; /* [goal] in hand; as they were before this round, where `saved` */
	uint32_t goal;
	uint32_t *waiting, *waiting_kept;
	uint32_t n_waiting, n_waiting_kept;
	uint64_t steps, seed;
	int64_t value, history[MEMORY];
	uint32_t *touched, n_touched;
	uint32_t *open, n_open;
	int64_t *key;
	uint16_t *stack;
} ruin;

static uint32_t draw(ruin *r, uint32_t below) { return (uint32_t)(((chance_next(&r->seed) >> 32) * below) >> 32); }

static int64_t least(int64_t a, int64_t b) { return a < b ? a : b; }

/* ---- a sheet's tree -------------------------------------------------------------------------------- */

/* Room for at least `most` strips; what is there stays. */
static void grow(ruin *r, sheet *s, uint32_t most) {
	strip *v = ARENA_MANY(&r->mem, strip, most);
	if (s->n) memcpy(v, s->v, sizeof *v * s->n);
	s->v = v;
	s->room = (uint16_t)(most < NIL ? most : NIL - 1);
}

static uint16_t new_strip(ruin *r, sheet *s) {
	uint16_t k = s->free;
	if (k != NIL) {
		s->free = s->v[k].next;
	} else {
		if (s->n == s->room) grow(r, s, s->n * 2u);
		k = s->n++;
	}
	s->v[k] = (strip){.item = LAYOUT_FREE, .parent = NIL, .first = NIL, .next = NIL, .used = true};
	return k;
}

static void drop_strip(sheet *s, uint16_t k) {
	s->v[k].used = false;
	s->v[k].next = s->free;
	s->free = k;
}

static void need(sheet *s, uint16_t k) {
	strip *n = &s->v[k];
	n->w = n->h = 0;
	for (uint16_t c = n->first; c != NIL; c = s->v[c].next) {
		const strip *q = &s->v[c];
		if (n->along_x) {
			n->w += q->w;
			if (q->h > n->h) n->h = q->h;
		} else {
			n->h += q->h;
			if (q->w > n->w) n->w = q->w;
		}
	}
}

static void need_up(sheet *s, uint16_t k) {
	for (; k != NIL; k = s->v[k].parent) need(s, k);
}

/* The most that each node could have, from the root down. */
static void spread(ruin *r, sheet *s) {
	uint32_t top = 0;
	if (s->root == NIL) return;
	s->v[s->root].most_w = (int32_t)r->p->w;
	s->v[s->root].most_h = (int32_t)r->p->h;
	s->slack_w = (int32_t)r->p->w - s->v[s->root].w;
	s->slack_h = (int32_t)r->p->h - s->v[s->root].h;
	r->stack[top++] = s->root;
	while (top) {
		const strip *n = &s->v[r->stack[--top]];
		r->steps++;
		for (uint16_t c = n->first; c != NIL; c = s->v[c].next) {
			strip *q = &s->v[c];
			q->most_w = n->along_x ? n->most_w - n->w + q->w : n->most_w;
			q->most_h = n->along_x ? n->most_h : n->most_h - n->h + q->h;
			if (q->most_w - q->w > s->slack_w) s->slack_w = q->most_w - q->w;
			if (q->most_h - q->h > s->slack_h) s->slack_h = q->most_h - q->h;
			if (q->first != NIL) r->stack[top++] = c;
		}
	}
}

/* Puts `with` where `old` stands among its parent's children. */
static void replace(sheet *s, uint16_t old, uint16_t with) {
	uint16_t parent = s->v[old].parent;
	s->v[with].parent = parent;
	s->v[with].next = s->v[old].next;
	if (parent == NIL) {
		s->root = with;
		return;
	}
	uint16_t *at = &s->v[parent].first;
	while (*at != old) at = &s->v[*at].next;
	*at = with;
}

static void unlink_strip(sheet *s, uint16_t k) {
	uint16_t *at = &s->v[s->v[k].parent].first;
	while (*at != k) at = &s->v[*at].next;
	*at = s->v[k].next;
}

static void append(sheet *s, uint16_t parent, uint16_t k) {
	s->v[k].parent = parent;
	s->v[k].next = s->v[parent].first;
	s->v[parent].first = k;
}

/* A row of one is that one; a row within a row of the same direction is part of it. */
static uint16_t settle(sheet *s, uint16_t row) {
	uint16_t only = s->v[row].first;
	if (s->v[only].next != NIL) return row;
	uint16_t up = s->v[row].parent;
	replace(s, row, only);
	drop_strip(s, row);
	if (up == NIL || s->v[only].first == NIL) return up == NIL ? (s->v[only].first == NIL ? NIL : only) : up;
	unlink_strip(s, only);
	for (uint16_t c = s->v[only].first, next; c != NIL; c = next) {
		next = s->v[c].next;
		append(s, up, c);
	}
	drop_strip(s, only);
	return up;
}

static void take_out(ruin *r, sheet *s, uint16_t k) {
	const layout_item *it = &r->p->items[s->v[k].item];
	uint16_t parent = s->v[k].parent;
	s->filled -= it->w * it->h;
	r->waiting[r->n_waiting++] = s->v[k].item;
	if (parent == NIL) {
		s->root = NIL;
		drop_strip(s, k);
		return;
	}
	unlink_strip(s, k);
	drop_strip(s, k);
	need_up(s, settle(s, parent));
}

/* ---- where a piece suits ------------------------------------------------------------------------------ */

typedef enum suit { SUIT_WASTE, SUIT_SHORT, SUIT_STRIP, SUIT_KINDS } suit;

typedef struct spot {
	uint32_t sheet;
	uint16_t node;
	bool along_x, turned, any;
	int64_t score;
} spot;

/* In the direction of the row: length and breadth of node and piece, and the most the node could have. */
static int64_t suits(suit how, int64_t node_long, int64_t node_broad, int64_t most_long, int64_t most_broad, int64_t l,
		     int64_t b) {
	switch (how) {
	case SUIT_WASTE:
		return b <= node_broad ? (node_broad - b) * l : (b - node_broad) * node_long;
	case SUIT_SHORT:
		return least(most_long - node_long - l, most_broad - b);
	case SUIT_STRIP:
	case SUIT_KINDS:
		break;
	}
	return most_broad - b;
}

static void look(ruin *r, uint32_t index, int64_t w, int64_t h, bool turned, suit how, uint32_t blink, spot *best) {
	const sheet *s = &r->sheets[index];
	if (s->root == NIL) {
		if (w > r->p->w || h > r->p->h) return;
		int64_t score = how == SUIT_WASTE ? w * h * 3 / 4 : least(r->p->w - w, r->p->h - h);
		if (best->any && score >= best->score) return;
		*best = (spot){index, NIL, false, turned, true, score};
		return;
	}
	r->steps++;
	if (w > s->slack_w && h > s->slack_h) return;
	r->steps += s->n / 2;
	for (uint16_t k = 0; k < s->n; k++) {
		const strip *n = &s->v[k];
		if (!n->used || w > n->most_w || h > n->most_h) continue;
		for (int d = 0; d < 2; d++) {
			bool x = d == 0;
			if (x ? n->w + w > n->most_w : n->h + h > n->most_h) continue;
			if ((n->first == NIL || n->along_x != x) && n->parent != NIL && s->v[n->parent].along_x == x)
				continue; /* the same as in its parent's row */
			int64_t score = x ? suits(how, n->w, n->h, n->most_w, n->most_h, w, h)
					  : suits(how, n->h, n->w, n->most_h, n->most_w, h, w);
			if (best->any && score >= best->score) continue;
			if (draw(r, 1000) < blink) continue;
			*best = (spot){index, k, x, turned, true, score};
		}
	}
}

static void keep_sheet(ruin *r, uint32_t index) {
	sheet *s = &r->sheets[index], *k = &r->kept[index];
	if (s->saved) return;
	r->steps += s->n / 8;
	s->saved = true;
	if (k->room < s->n) {
		k->n = 0;
		grow(r, k, s->room);
	}
	strip *v = k->v;
	uint16_t room = k->room;
	*k = *s;
	k->v = v;
	k->room = room;
	memcpy(v, s->v, sizeof *v * s->n);
	r->touched[r->n_touched++] = index;
}

static void put_in(ruin *r, uint32_t item, const spot *at) {
	const layout_item *it = &r->p->items[item];
	keep_sheet(r, at->sheet);
	sheet *s = &r->sheets[at->sheet];
	uint16_t k = new_strip(r, s);
	strip *n = &s->v[k];
	n->item = item;
	n->turned = at->turned;
	n->w = (int32_t)(at->turned ? it->h : it->w);
	n->h = (int32_t)(at->turned ? it->w : it->h);
	s->filled += it->w * it->h;
	if (at->node == NIL) {
		s->root = k;
	} else if (s->v[at->node].first != NIL && s->v[at->node].along_x == at->along_x) {
		append(s, at->node, k);
		need_up(s, at->node);
	} else {
		uint16_t row = new_strip(r, s);
		s->v[row].along_x = at->along_x;
		replace(s, at->node, row);
		append(s, row, at->node);
		append(s, row, k);
		need_up(s, row);
	}
	spread(r, s);
}

/* ---- a round ---------------------------------------------------------------------------------------------- */

static void ruin_some(ruin *r) {
	uint32_t wanted = 2 + draw(r, (uint32_t)least(r->p->n_items / 8 + 4, RUIN_MOST)), sheets = 1 + draw(r, 3);
	if (sheets > r->goal) sheets = r->goal;
	uint32_t each = wanted / sheets + 1;
	for (uint32_t k = 0; k < sheets; k++) {
		uint32_t index = draw(r, r->goal);
		sheet *s = &r->sheets[index];
		if (s->root == NIL) continue;
		keep_sheet(r, index);
		bool whole = draw(r, 12) == 0;
		uint32_t gone = 0;
		while (s->root != NIL && (whole || gone < each)) {
			uint16_t at = (uint16_t)draw(r, s->n);
			while (!s->v[at].used) at = at + 1 == s->n ? 0 : at + 1;
			/* a row goes with everything in it, when that is not too much */
			if (s->v[at].first != NIL && !whole && draw(r, 3)) continue;
			uint32_t top = 0, n = 0;
			uint16_t *pieces = &r->stack[r->p->n_items * 2 + 4];
			r->stack[top++] = at;
			while (top) {
				uint16_t q = r->stack[--top];
				if (s->v[q].first == NIL) pieces[n++] = q;
				for (uint16_t c = s->v[q].first; c != NIL; c = s->v[c].next) r->stack[top++] = c;
			}
			for (uint32_t i = 0; i < n; i++) take_out(r, s, pieces[i]);
			gone += n;
			r->steps += 4 * n;
		}
		spread(r, s);
	}
}

static void sort_waiting(ruin *r) {
	uint32_t how = draw(r, 6), noise = 1 + draw(r, 3);
	for (uint32_t i = 0; i < r->n_waiting; i++) {
		const layout_item *it = &r->p->items[r->waiting[i]];
		int64_t more = it->w > it->h ? it->w : it->h, k;
		switch (how) {
		case 0:
			k = more << 8;
			break;
		case 1:
			k = it->w << 8;
			break;
		case 2:
			k = it->h << 8;
			break;
		case 3:
			k = (it->w + it->h) << 8;
			break;
		default:
			k = (it->w * it->h) << 8;
			break;
		}
		k = k / 256 * (256 - (int64_t)draw(r, noise == 1 ? 1 : noise == 2 ? 40 : 128));
		uint32_t item = r->waiting[i], at = i;
		for (; at > 0 && r->key[at - 1] < k; at--) {
			r->key[at] = r->key[at - 1];
			r->waiting[at] = r->waiting[at - 1];
		}
		r->key[at] = k;
		r->waiting[at] = item;
	}
}

/* Where pieces may go this round: the sheets that were ruined and some more; all, where there are few. */
static void choose_open(ruin *r) {
	r->n_open = 0;
	if (r->goal <= OPEN_MORE + 3) {
		for (uint32_t k = 0; k < r->goal; k++) r->open[r->n_open++] = k;
		return;
	}
	for (uint32_t k = 0; k < r->n_touched; k++) r->open[r->n_open++] = r->touched[k];
	for (uint32_t more = 0; more < OPEN_MORE; more++) {
		uint32_t k = draw(r, r->goal);
		bool there = false;
		for (uint32_t c = 0; c < r->n_open && !there; c++) there = r->open[c] == k;
		if (!there) r->open[r->n_open++] = k;
	}
}

static void recreate(ruin *r) {
	suit how = (suit)draw(r, SUIT_KINDS);
	uint32_t blink = draw(r, 2) ? 20 : 120, left = 0;
	const layout_item *failed = NULL;
	sort_waiting(r);
	choose_open(r);
	for (uint32_t i = 0; i < r->n_waiting; i++) {
		uint32_t item = r->waiting[i];
		const layout_item *it = &r->p->items[item];
		spot best = {0};
		/* where a piece found no place, one that is larger both ways finds none either */
		if (failed && it->w >= failed->w && it->h >= failed->h && it->turn == failed->turn) {
			r->waiting[left++] = item;
			continue;
		}
		int64_t area = it->w * it->h;
		for (uint32_t c = 0; c < r->n_open; c++) {
			uint32_t k = r->open[c];
			if (r->sheets[k].filled + area > r->p->w * r->p->h) continue;
			look(r, k, it->w, it->h, false, how, blink, &best);
			if (it->turn) look(r, k, it->h, it->w, true, how, blink, &best);
		}
		if (best.any)
			put_in(r, item, &best);
		else
			r->waiting[left++] = item;
		if (!best.any) failed = it;
	}
	r->n_waiting = left;
}

/* So many 2^-bits of a sheet. */
static int64_t share(const ruin *r, int64_t filled, int bits) {
	int64_t area = r->p->w * r->p->h;
	if (filled < INT64_MAX >> bits) return (filled << bits) / area;
	return (int64_t)(((layout_wide)filled << bits) / area);
}

static void set_even(const ruin *r, sheet *s) {
	int64_t part = share(r, s->filled, 10);
	s->even = part * part >> 11;
}

/* Less is better: what waits, and as a small part of it how even the sheets are filled. */
static int64_t value_of(ruin *r) {
	int64_t sum = 0;
	for (uint32_t i = 0; i < r->n_waiting; i++) {
		const layout_item *it = &r->p->items[r->waiting[i]];
		sum += it->w * it->h;
	}
	int64_t v = share(r, sum, 16);
	for (uint32_t i = 0; i < r->n_touched; i++) set_even(r, &r->sheets[r->touched[i]]);
	for (uint32_t i = 0; i < r->goal; i++) v -= r->sheets[i].even;
	return v;
}

static void round_begin(ruin *r) {
	r->n_touched = 0;
	r->n_waiting_kept = r->n_waiting;
	memcpy(r->waiting_kept, r->waiting, sizeof *r->waiting * r->n_waiting);
}

static void round_end(ruin *r, bool keep) {
	for (uint32_t i = 0; i < r->n_touched; i++) {
		sheet *s = &r->sheets[r->touched[i]], *k = &r->kept[r->touched[i]];
		if (keep) {
			s->saved = false;
			continue;
		}
		strip *v = s->v;
		uint16_t room = s->room;
		*s = *k;
		s->v = v;
		s->room = room;
		s->saved = false;
		memcpy(v, k->v, sizeof *v * s->n);
	}
	if (keep) return;
	r->n_waiting = r->n_waiting_kept;
	memcpy(r->waiting, r->waiting_kept, sizeof *r->waiting * r->n_waiting);
}

/* ---- to and from the builder's trees -------------------------------------------------------------------------- */

typedef struct writer {
	layout_node *v;
	uint32_t n;
} writer;

static uint32_t write_cut(writer *w, uint32_t k, bool along_x, int64_t at) {
	return layout_divide(w->v, &w->n, k, along_x, at);
}

static void write_strip(writer *w, const sheet *s, uint16_t k, uint32_t node) {
	const strip *n = &s->v[k];
	if (n->first == NIL) {
		if (n->h < w->v[node].h) node = write_cut(w, node, true, n->h);
		if (n->w < w->v[node].w) node = write_cut(w, node, false, n->w);
		w->v[node].item = n->item;
		w->v[node].turned = n->turned;
		return;
	}
	for (uint16_t c = n->first; c != NIL; c = s->v[c].next) {
		const strip *q = &s->v[c];
		int64_t here = n->along_x ? q->w : q->h, there = n->along_x ? w->v[node].w : w->v[node].h;
		uint32_t lo = node;
		if (here < there) lo = write_cut(w, node, !n->along_x, here);
		uint32_t rest = lo + 1;
		write_strip(w, s, c, lo);
		if (here < there) node = rest;
	}
}

static void write_all(ruin *r, arena *mem, layout_ruin_answer *out) {
	writer w = {.v = ARENA_MANY(mem, layout_node, r->p->n_items * 6 + r->goal + 1)};
	out->found = true;
	out->sheets = 0;
	out->trees = ARENA_MANY(mem, layout_tree, r->goal + 1);
	for (uint32_t i = 0; i < r->goal; i++) {
		const sheet *s = &r->sheets[i];
		if (s->root == NIL) continue;
		uint32_t root = w.n++;
		w.v[root] = layout_free_node(0, 0, r->p->w, r->p->h);
		out->trees[out->sheets++] = (layout_tree){w.v, root, 0};
		write_strip(&w, s, s->root, root);
	}
}

/* From a tree of the builder: its pieces row by row. Same directions in a row come together by themselves. */
static uint16_t read_tree(ruin *r, sheet *s, const layout_node *nodes, uint32_t k) {
	const layout_node *n = &nodes[k];
	if (!n->divided) {
		if (n->item == LAYOUT_FREE) return NIL;
		const layout_item *it = &r->p->items[n->item];
		uint16_t q = new_strip(r, s);
		s->v[q].item = n->item;
		s->v[q].turned = n->turned;
		s->v[q].w = (int32_t)(n->turned ? it->h : it->w);
		s->v[q].h = (int32_t)(n->turned ? it->w : it->h);
		s->filled += it->w * it->h;
		return q;
	}
	uint16_t part[2] = {read_tree(r, s, nodes, n->lo), read_tree(r, s, nodes, n->hi)};
	if (part[0] == NIL || part[1] == NIL) return part[0] == NIL ? part[1] : part[0];
	uint16_t row = new_strip(r, s);
	s->v[row].along_x = !n->along_x; /* a cut along x parts what lies above each other */
	for (int i = 0; i < 2; i++) {
		uint16_t q = part[i];
		if (s->v[q].first == NIL || s->v[q].along_x != s->v[row].along_x) {
			append(s, row, q);
			continue;
		}
		for (uint16_t c = s->v[q].first, next; c != NIL; c = next) {
			next = s->v[c].next;
			append(s, row, c);
		}
		drop_strip(s, q);
	}
	need(s, row);
	return row;
}

static void begin(ruin *r, const layout_ruin_problem *p) {
	uint32_t n = p->n_items;
	r->sheets = ARENA_MANY(&r->mem, sheet, p->sheets + 1);
	r->kept = ARENA_MANY(&r->mem, sheet, p->sheets + 1);
	r->waiting = ARENA_MANY(&r->mem, uint32_t, n + 1);
	r->waiting_kept = ARENA_MANY(&r->mem, uint32_t, n + 1);
	r->touched = ARENA_MANY(&r->mem, uint32_t, p->sheets + 1);
	r->open = ARENA_MANY(&r->mem, uint32_t, p->sheets + OPEN_MORE + 4);
	r->key = ARENA_MANY(&r->mem, int64_t, n + 1);
	r->stack = ARENA_MANY(&r->mem, uint16_t, n * 4 + 16);
	for (uint32_t i = 0; i < p->sheets; i++) {
		r->sheets[i] = r->kept[i] = (sheet){.root = NIL, .free = NIL};
		grow(r, &r->sheets[i], STRIPS_FIRST);
		r->sheets[i].root = read_tree(r, &r->sheets[i], p->start[i].nodes, p->start[i].root);
		spread(r, &r->sheets[i]);
		set_even(r, &r->sheets[i]);
	}
	r->goal = p->sheets;
}

/* The sheet filled least is given up; its pieces wait. */
static void lower_goal(ruin *r) {
	uint32_t out = 0;
	for (uint32_t i = 1; i < r->goal; i++)
		if (r->sheets[i].filled < r->sheets[out].filled) out = i;
	sheet *s = &r->sheets[out];
	for (uint16_t k = 0; k < s->n; k++)
		if (s->v[k].used && s->v[k].first == NIL) r->waiting[r->n_waiting++] = s->v[k].item;
	sheet gone = *s;
	r->sheets[out] = r->sheets[--r->goal];
	r->sheets[r->goal] = gone;
	r->n_touched = 0;
	r->value = value_of(r);
	for (int i = 0; i < MEMORY; i++) r->history[i] = r->value;
}

enum { MOST_ITEMS = 20000 };

void layout_ruin(arena *mem, const layout_ruin_problem *p, layout_ruin_answer *out) {
	ruin r = {.p = p, .seed = 20000407};
	*out = (layout_ruin_answer){.sheets = p->sheets};
	if (p->n_items == 0 || p->n_items > MOST_ITEMS || p->sheets <= p->bound || p->sheets < 2) return;
	begin(&r, p);
	lower_goal(&r);
	for (uint64_t number = 0; r.steps < p->budget; number++) {
		round_begin(&r);
		ruin_some(&r);
		recreate(&r);
		int64_t now = value_of(&r);
		bool keep = now <= r.value || now <= r.history[number % MEMORY];
		round_end(&r, keep);
		r.steps += 50;
		if (keep) r.value = now;
		r.history[number % MEMORY] = r.value;
		if (r.n_waiting) continue;
		write_all(&r, mem, out);
		if (out->sheets <= p->bound || r.goal < 2) break;
		lower_goal(&r);
	}
	out->steps = r.steps;
	arena_end(&r.mem);
}
