/* From a tree of divided rectangles to pieces, offcuts and cuts in the order of work. */
#include <stdlib.h>

#include "runtime/engine/layout_build.h"

static layout_rect real_rect(const layout_node *n, layout_edges trim, int64_t kerf) {
	return (layout_rect){trim.left + n->x, trim.bottom + n->y, n->w - kerf, n->h - kerf};
}

/* A cut waiting for the one that makes its rectangle. */
typedef struct todo {
	layout_cut cut;
	uint32_t parent; /* index in the list, or LAYOUT_FREE */
	uint32_t stage;	 /* changes of direction since the first cut */
	bool done;
} todo;

static int64_t area(layout_rect r) { return r.w * r.h; }

static int offcut_cmp(const void *pa, const void *pb) {
	const layout_rect *a = pa, *b = pb;
	if (area(*a) != area(*b)) return area(*a) > area(*b) ? -1 : 1;
	if (a->y != b->y) return a->y < b->y ? -1 : 1;
	if (a->x != b->x) return a->x < b->x ? -1 : 1;
	return 0;
}

static void add_cut(arena *mem, layout_sheet *out, layout_cut c) {
	const layout_cut *last = out->cuts.n ? &out->cuts.v[out->cuts.n - 1] : NULL;
	if (!last || last->along_x != c.along_x || last->fence != c.fence || last->keep_high != c.keep_high)
		out->settings++;
	LIST_PUSH(mem, &out->cuts, c);
}

/* What is trimmed goes first: both long edges, then both short ones; the piece that is kept runs along the fence. */
static void trim_cuts(arena *mem, const layout_stock *s, int64_t kerf, layout_sheet *out) {
	const layout_edges t = s->trim;
	int64_t w = layout_room_w(s), h = layout_room_h(s);
	if (t.bottom) add_cut(mem, out, (layout_cut){true, true, true, {0, 0, s->w, s->h}, t.bottom - kerf, h + t.top});
	if (t.top) add_cut(mem, out, (layout_cut){true, true, false, {0, t.bottom, s->w, h + t.top}, s->h - t.top, h});
	if (t.left)
		add_cut(mem, out, (layout_cut){false, true, true, {0, t.bottom, s->w, h}, t.left - kerf, w + t.right});
	if (t.right)
		add_cut(mem, out,
			(layout_cut){false, true, false, {t.left, t.bottom, w + t.right, h}, s->w - t.right, w});
}

/* Of the cuts whose rectangle is there: one with the saw as it stands, else the earliest stage, the widest
 * piece, the first in the tree. */
static size_t next_cut(const todo *v, size_t n, const layout_sheet *out) {
	const layout_cut *last = out->cuts.n ? &out->cuts.v[out->cuts.n - 1] : NULL;
	size_t best = SIZE_MAX;
	for (size_t i = 0; i < n; i++) {
		const todo *t = &v[i];
		if (t->done || (t->parent != LAYOUT_FREE && !v[t->parent].done)) continue;
		bool set = last && !last->keep_high && last->along_x == t->cut.along_x && last->fence == t->cut.fence;
		if (set) return i;
		if (best == SIZE_MAX || t->stage < v[best].stage ||
		    (t->stage == v[best].stage && t->cut.fence > v[best].cut.fence))
			best = i;
	}
	return best;
}

static todo todo_of(const layout_node *n, const todo *list, uint32_t parent, layout_edges trim, int64_t kerf) {
	todo t = {.parent = parent};
	t.cut = (layout_cut){.along_x = n->along_x, .of = real_rect(n, trim, kerf)};
	t.cut.fence = n->at - kerf;
	t.cut.at = (n->along_x ? t.cut.of.y : t.cut.of.x) + t.cut.fence;
	if (parent != LAYOUT_FREE) t.stage = list[parent].stage + (list[parent].cut.along_x != n->along_x);
	return t;
}

void layout_tree_write(arena *mem, const layout_problem *p, const layout_item *items, layout_tree t,
		       layout_sheet *out) {
	const layout_stock *s = &p->stocks[t.stock];
	int64_t kerf = p->kerf;
	layout_edges trim = s->trim;
	*out = (layout_sheet){.stock = t.stock};
	trim_cuts(mem, s, kerf, out);
	LIST(todo) work = {0};
	LIST(uint32_t) nodes = {0}, parents = {0};
	LIST_PUSH(mem, &nodes, t.root);
	LIST_PUSH(mem, &parents, LAYOUT_FREE);
	while (nodes.n) {
		const layout_node *n = &t.nodes[nodes.v[--nodes.n]];
		uint32_t parent = parents.v[--parents.n];
		layout_rect r = real_rect(n, trim, kerf);
		if (n->divided) {
			uint32_t self = (uint32_t)work.n;
			todo one = todo_of(n, work.v, parent, trim, kerf);
			LIST_PUSH(mem, &work, one);
			LIST_PUSH(mem, &nodes, n->hi);
			LIST_PUSH(mem, &parents, self);
			LIST_PUSH(mem, &nodes, n->lo);
			LIST_PUSH(mem, &parents, self);
		} else if (n->item != LAYOUT_FREE) {
			const layout_item *it = &items[n->item];
			layout_piece piece = {it->part, it->copy, r, n->turned};
			LIST_PUSH(mem, &out->pieces, piece);
		} else if (r.w > 0 && r.h > 0) {
			LIST_PUSH(mem, &out->offcuts, r);
		}
	}
	if (out->offcuts.n) qsort(out->offcuts.v, out->offcuts.n, sizeof *out->offcuts.v, offcut_cmp);
	for (size_t i = 0; i < work.n; i++) {
		todo *next = &work.v[next_cut(work.v, work.n, out)];
		next->done = true;
		add_cut(mem, out, next->cut);
	}
}

int64_t layout_tree_offcut(const layout_node *nodes, uint32_t root, int64_t kerf, int64_t useful, layout_rect *which) {
	arena mem = {0};
	LIST(uint32_t) todo_nodes = {0};
	int64_t best = 0;
	LIST_PUSH(&mem, &todo_nodes, root);
	while (todo_nodes.n) {
		const layout_node *n = &nodes[todo_nodes.v[--todo_nodes.n]];
		if (n->divided) {
			LIST_PUSH(&mem, &todo_nodes, n->hi);
			LIST_PUSH(&mem, &todo_nodes, n->lo);
			continue;
		}
		layout_rect r = real_rect(n, (layout_edges){0}, kerf);
		if (n->item != LAYOUT_FREE || r.w <= 0 || r.h <= 0 || r.w < useful || r.h < useful) continue;
		if (area(r) > best) {
			best = area(r);
			if (which) *which = r;
		}
	}
	arena_end(&mem);
	return best;
}
