#include "runtime/engine/layout_build.h"

#include <stdlib.h>
#include <string.h>

layout_build layout_build_new(arena *mem, const layout_item *items, size_t n_items, const layout_room *rooms,
			      size_t n_rooms) {
	layout_build b = {.items = items, .n_items = n_items, .rooms = rooms, .n_rooms = n_rooms};
	b.most_sheets = UINT32_MAX;
	/* A placed piece divides one rectangle into at most a strip, the piece and two remainders; each sheet
	 * adds its root and holds at least one piece. */
	b.nodes = ARENA_MANY(mem, layout_node, n_items * 5 + 1);
	b.leaves = ARENA_MANY(mem, uint32_t, n_items * 3 + 1);
	b.leaf_sheet = ARENA_MANY(mem, uint32_t, n_items * 3 + 1);
	b.sheets = ARENA_MANY(mem, layout_open, n_items + 1);
	b.taken = ARENA_MANY(mem, int64_t, n_rooms + 1);
	b.least_w = b.least_h = INT64_MAX;
	for (size_t i = 0; i < n_items; i++) {
		int64_t w = items[i].w, h = items[i].h;
		if (w < b.least_w) b.least_w = w;
		if (h < b.least_h) b.least_h = h;
		if (items[i].turn && h < b.least_w) b.least_w = h;
		if (items[i].turn && w < b.least_h) b.least_h = w;
	}
	return b;
}

typedef struct place { /* a leaf and a way round, with its score: less is better */
	uint32_t leaf;
	bool turned;
	int64_t first, second;
} place;

static void score(layout_fit fit, const layout_node *r, int64_t w, int64_t h, place *s) {
	int64_t dw = r->w - w, dh = r->h - h;
	int64_t less = dw < dh ? dw : dh, more = dw < dh ? dh : dw;
	switch (fit) {
	case FIT_AREA:
		s->first = r->w * r->h - w * h;
		s->second = less;
		break;
	case FIT_SHORT:
		s->first = less;
		s->second = more;
		break;
	case FIT_LONG:
		s->first = more;
		s->second = less;
		break;
	case FIT_HEIGHT:
		s->first = dh;
		s->second = dw;
		break;
	case FIT_WIDTH:
	case FIT_KINDS:
		s->first = dw;
		s->second = dh;
		break;
	}
}

static void try_leaf(layout_build *b, const layout_item *it, layout_fit fit, uint32_t leaf, place *best) {
	const layout_node *r = &b->nodes[b->leaves[leaf]];
	b->steps++;
	for (int turned = 0; turned <= (it->turn ? 1 : 0); turned++) {
		int64_t w = turned ? it->h : it->w, h = turned ? it->w : it->h;
		if (w > r->w || h > r->h) continue;
		place s = {leaf, turned == 1, 0, 0};
		score(fit, r, w, h, &s);
		bool better = best->leaf == LAYOUT_FREE || s.first < best->first ||
			      (s.first == best->first && s.second < best->second);
		if (better) *best = s;
	}
}

static void add_leaf(layout_build *b, uint32_t node, uint32_t sheet) {
	const layout_node *r = &b->nodes[node];
	if (r->w < b->least_w || r->h < b->least_h) return;
	b->leaves[b->n_leaves] = node;
	b->leaf_sheet[b->n_leaves++] = sheet;
}

uint32_t layout_divide(layout_node *v, uint32_t *n, uint32_t k, bool along_x, int64_t at) {
	layout_node *r = &v[k];
	uint32_t lo = *n;
	*n += 2;
	if (along_x) {
		v[lo] = layout_free_node(r->x, r->y, r->w, at);
		v[lo + 1] = layout_free_node(r->x, r->y + at, r->w, r->h - at);
	} else {
		v[lo] = layout_free_node(r->x, r->y, at, r->h);
		v[lo + 1] = layout_free_node(r->x + at, r->y, r->w - at, r->h);
	}
	r->divided = true;
	r->along_x = along_x;
	r->at = at;
	r->lo = lo;
	r->hi = lo + 1;
	return lo;
}

/* Does the cut along x come first? */
static bool rip_first(layout_split split, const layout_node *r, int64_t w, int64_t h) {
	int64_t dw = r->w - w, dh = r->h - h;
	switch (split) {
	case SPLIT_RIP:
		return true;
	case SPLIT_CROSS:
		return false;
	case SPLIT_LARGE:
		return r->w * dh >= r->h * dw;
	case SPLIT_EVEN:
		return r->w * dh < r->h * dw;
	case SPLIT_SHORT:
		return dw < dh;
	case SPLIT_LONG:
	case SPLIT_KINDS:
		break;
	}
	return dw >= dh;
}

static void put(layout_build *b, uint32_t item, place at, layout_split split) {
	const layout_item *it = &b->items[item];
	int64_t w = at.turned ? it->h : it->w, h = at.turned ? it->w : it->h;
	uint32_t node = b->leaves[at.leaf], sheet = b->leaf_sheet[at.leaf];
	b->n_leaves--;
	b->leaves[at.leaf] = b->leaves[b->n_leaves];
	b->leaf_sheet[at.leaf] = b->leaf_sheet[b->n_leaves];
	layout_node r = b->nodes[node];
	bool first = rip_first(split, &r, w, h);
	for (int turn = 0; turn < 2; turn++) {
		bool along_x = (turn == 0) == first;
		if (along_x ? h == r.h : w == r.w) continue;
		node = layout_divide(b->nodes, &b->n_nodes, node, along_x, along_x ? h : w);
		add_leaf(b, node + 1, sheet);
	}
	b->nodes[node].item = item;
	b->nodes[node].turned = at.turned;
	b->sheets[sheet].filled += w * h;
}

static bool fits(const layout_item *it, const layout_room *room) {
	return (it->w <= room->w && it->h <= room->h) || (it->turn && it->h <= room->w && it->w <= room->h);
}

/* Is stock a a better one to begin than b? */
static bool begin_before(layout_begin how, const layout_room *a, const layout_room *b) {
	int64_t area_a = a->w * a->h, area_b = b->w * b->h;
	if (how == BEGIN_LARGEST) return area_a > area_b;
	if (how == BEGIN_PRICE) return a->price < b->price;
	layout_wide rate_a = (layout_wide)a->price * area_b, rate_b = (layout_wide)b->price * area_a;
	return rate_a < rate_b || (rate_a == rate_b && area_a > area_b);
}

static bool begin_sheet(layout_build *b, const layout_item *it, layout_begin how) {
	size_t best = SIZE_MAX;
	for (size_t i = 0; i < b->n_rooms; i++) {
		const layout_room *room = &b->rooms[i];
		if (!fits(it, room) || (room->count >= 0 && b->taken[i] >= room->count)) continue;
		if (best == SIZE_MAX || begin_before(how, room, &b->rooms[best])) best = i;
	}
	if (best == SIZE_MAX || b->n_sheets >= b->most_sheets) return false;
	const layout_room *room = &b->rooms[best];
	b->taken[best]++;
	b->cost += room->price;
	uint32_t root = b->n_nodes++;
	b->nodes[root] = layout_free_node(0, 0, room->w, room->h);
	b->sheets[b->n_sheets] = (layout_open){(uint32_t)best, root, 0};
	add_leaf(b, root, b->n_sheets++);
	return true;
}

void layout_build_run(layout_build *b, const uint32_t *order, layout_rule rule) {
	b->n_nodes = b->n_leaves = b->n_sheets = b->left = 0;
	b->cost = 0;
	memset(b->taken, 0, sizeof *b->taken * b->n_rooms);
	for (size_t i = 0; i < b->n_items; i++) {
		const layout_item *it = &b->items[order[i]];
		b->steps++;
		place best = {LAYOUT_FREE, false, 0, 0};
		for (uint32_t leaf = 0; leaf < b->n_leaves; leaf++) try_leaf(b, it, rule.fit, leaf, &best);
		if (best.leaf == LAYOUT_FREE && begin_sheet(b, it, rule.begin))
			try_leaf(b, it, rule.fit, b->n_leaves - 1, &best);
		if (best.leaf == LAYOUT_FREE)
			b->left++;
		else
			put(b, order[i], best, rule.split);
	}
	b->evenness = 0;
	for (uint32_t i = 0; i < b->n_sheets; i++) {
		const layout_room *room = &b->rooms[b->sheets[i].stock];
		layout_wide part = ((layout_wide)b->sheets[i].filled << 24) / (room->w * room->h);
		b->evenness += part * part;
	}
}

int layout_build_cmp(const layout_build *a, const layout_build *b) {
	if (a->left != b->left) return a->left < b->left ? -1 : 1;
	if (a->cost != b->cost) return a->cost < b->cost ? -1 : 1;
	if (a->evenness != b->evenness) return a->evenness > b->evenness ? -1 : 1;
	return 0;
}

void layout_build_copy(layout_build *to, const layout_build *from) {
	memcpy(to->nodes, from->nodes, sizeof *to->nodes * from->n_nodes);
	memcpy(to->sheets, from->sheets, sizeof *to->sheets * from->n_sheets);
	memcpy(to->taken, from->taken, sizeof *to->taken * from->n_rooms);
	to->n_nodes = from->n_nodes;
	to->n_sheets = from->n_sheets;
	to->left = from->left;
	to->cost = from->cost;
	to->evenness = from->evenness;
}

typedef struct keyed {
	int64_t first, second;
	uint32_t index;
} keyed;

static int keyed_cmp(const void *pa, const void *pb) {
	const keyed *a = pa, *b = pb;
	if (a->first != b->first) return a->first > b->first ? -1 : 1;
	if (a->second != b->second) return a->second > b->second ? -1 : 1;
	return a->index < b->index ? -1 : 1;
}

void layout_build_sort(const layout_item *items, size_t n, layout_sort by, uint32_t *order, arena *mem) {
	keyed *keys = ARENA_MANY(mem, keyed, n + 1);
	for (size_t i = 0; i < n; i++) {
		int64_t w = items[i].w, h = items[i].h;
		int64_t more = w > h ? w : h, less = w > h ? h : w;
		keyed k = {0, w * h, (uint32_t)i};
		switch (by) {
		case SORT_AREA:
			k.first = w * h;
			k.second = more;
			break;
		case SORT_LONG:
			k.first = more;
			break;
		case SORT_SHORT:
			k.first = less;
			break;
		case SORT_W:
			k.first = w;
			break;
		case SORT_H:
			k.first = h;
			break;
		case SORT_GIRTH:
		case SORT_KINDS:
			k.first = w + h;
			break;
		}
		keys[i] = k;
	}
	qsort(keys, n, sizeof *keys, keyed_cmp);
	for (size_t i = 0; i < n; i++) order[i] = keys[i].index;
}
