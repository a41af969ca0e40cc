#include "compiler/way.h"

#include <math.h>
#include <stdlib.h>

static double mm(rat r) { return rat_ok(r) ? rat_double(r) : 0; }

/* Thousandths of a millimetre. */
typedef struct block {
	int64_t lo[3], hi[3];
} block;
typedef LIST(block) blocks;

/* Cells that are looked at before the straight-line test alone must do. */
enum { MOST_CELLS = 8000000 };

static int64_t micro(rat r) { return (int64_t)llround(mm(r) * 1000); }

static block block_of(box3 b) {
	block r;
	for (int i = 0; i < 3; i++) {
		r.lo[i] = micro(b.lo[i]);
		r.hi[i] = micro(b.hi[i]);
	}
	return r;
}

/* ---- the material in the way --------------------------------------------------------------------------- */

/* The part of an opening that lets the thing through: as it stands, `size` along the axes; or turned anyhow, by its two
 * smaller sizes (`sorted`, NULL for as it stands). False when nothing of it does. A rectangle's corners count as
 * sharp, a slot's ends as square: never less than there is. */
static bool opening_block(const model_shape *s, point3 c, const model_part *a, const model_pattern *pat,
			  const int64_t size[3], const int64_t *sorted, block *out) {
	*out = block_of(a->box);
	axis plane[2] = {pat->u, pat->v};
	int64_t open[2];
	for (int i = 0; i < 2; i++) open[i] = (int64_t)llround(2000 * mm(model_shape_half(s, plane[i])));
	if (s->kind == SHAPE_ROUND) { /* a rectangle passes a circle by its diagonal */
		double diagonal = sorted ? hypot((double)sorted[0], (double)sorted[1])
					 : hypot((double)size[pat->u], (double)size[pat->v]);
		if (diagonal > (double)open[0]) return false;
		for (int i = 0; i < 2 && !sorted; i++) open[i] = size[plane[i]];
	} else if (sorted) {
		int64_t thin = open[0] < open[1] ? open[0] : open[1], broad = open[0] < open[1] ? open[1] : open[0];
		if (thin < sorted[0] || broad < sorted[1]) return false;
	}
	for (int i = 0; i < 2; i++) {
		out->lo[plane[i]] = micro(c.v[plane[i]]) - open[i] / 2;
		out->hi[plane[i]] = out->lo[plane[i]] + open[i];
	}
	return true;
}

/* Takes hole `h` out of every block of the list from `from` on: what stays are up to four blocks about it. */
static void cut_out(arena *mem, blocks *list, size_t from, block h, axis u, axis v) {
	size_t n = list->n;
	for (size_t i = from; i < n; i++) {
		block b = list->v[i];
		if (h.lo[u] >= b.hi[u] || h.hi[u] <= b.lo[u] || h.lo[v] >= b.hi[v] || h.hi[v] <= b.lo[v]) continue;
		block low = b, high = b, under = b, over = b;
		low.hi[u] = h.lo[u];
		high.lo[u] = h.hi[u];
		under.lo[u] = over.lo[u] = h.lo[u] > b.lo[u] ? h.lo[u] : b.lo[u];
		under.hi[u] = over.hi[u] = h.hi[u] < b.hi[u] ? h.hi[u] : b.hi[u];
		under.hi[v] = h.lo[v];
		over.lo[v] = h.hi[v];
		list->v[i].hi[u] = list->v[i].lo[u]; /* empty now */
		if (low.hi[u] > low.lo[u]) LIST_PUSH(mem, list, low);
		if (high.hi[u] > high.lo[u]) LIST_PUSH(mem, list, high);
		if (under.hi[v] > under.lo[v]) LIST_PUSH(mem, list, under);
		if (over.hi[v] > over.lo[v]) LIST_PUSH(mem, list, over);
	}
}

static int compare_micro(const void *a, const void *b) {
	int64_t x = *(const int64_t *)a, y = *(const int64_t *)b;
	return (x > y) - (x < y);
}

static blocks material(const way_scene *w, model_ref self, const int64_t size[3], const int64_t *sorted) {
	blocks list = {0};
	for (size_t i = 0; i < w->m->parts.n; i++) {
		if (i == self || !w->bars[i]) continue;
		const model_part *a = &w->m->parts.v[i];
		size_t from = list.n;
		LIST_PUSH(w->mem, &list, block_of(a->box));
		for (size_t k = 0; k < w->m->patterns.n; k++) {
			const model_pattern *pat = &w->m->patterns.v[k];
			const model_sheet_of_pattern *s = model_pattern_sheet(pat, (model_ref)i);
			block h;
			if (!s || s->blind || pat->through != a->thick_axis) continue;
			for (size_t x = 0; x < pat->axes.n; x++)
				if (opening_block(&s->shape, pat->axes.v[x], a, pat, size, sorted, &h))
					cut_out(w->mem, &list, from, h, pat->u, pat->v);
		}
	}
	size_t n = 0;
	for (size_t i = 0; i < list.n; i++) {
		bool solid = true;
		for (int a = 0; a < 3; a++) solid = solid && list.v[i].lo[a] < list.v[i].hi[a];
		if (solid) list.v[n++] = list.v[i];
	}
	list.n = n;
	return list;
}

/* ---- moving about ------------------------------------------------------------------------------------- */

typedef struct grid { /* where the thing's low corner may be: coordinates, and the open cells between them */
	int64_t *at[3];
	size_t n[3];
	unsigned char *full; /* places that are barred; cells stand at odd indices, coordinates at even ones */
} grid;

/* Index of a coordinate in the doubled grid (even); it is there. */
static size_t index_of(const grid *g, int a, int64_t v) {
	size_t lo = 0, hi = g->n[a];
	while (lo < hi) {
		size_t mid = (lo + hi) / 2;
		if (g->at[a][mid] < v)
			lo = mid + 1;
		else
			hi = mid;
	}
	return 2 * lo;
}

static size_t width(const grid *g, int a) { return 2 * g->n[a] - 1; }

static bool grid_make(arena *mem, grid *g, const blocks *list, block thing) {
	for (int a = 0; a < 3; a++) {
		int64_t size = thing.hi[a] - thing.lo[a], least = thing.lo[a], most = thing.lo[a];
		int64_t *v = ARENA_MANY(mem, int64_t, 2 * list->n + 3);
		size_t n = 0;
		v[n++] = thing.lo[a];
		for (size_t i = 0; i < list->n; i++) {
			v[n++] = list->v[i].lo[a] - size;
			v[n++] = list->v[i].hi[a];
		}
		for (size_t i = 0; i < n; i++) {
			if (v[i] < least) least = v[i];
			if (v[i] > most) most = v[i];
		}
		v[n++] = least - 1000; /* outside, free by construction */
		v[n++] = most + 1000;
		qsort(v, n, sizeof *v, compare_micro);
		size_t k = 0;
		for (size_t i = 0; i < n; i++)
			if (k == 0 || v[i] != v[k - 1]) v[k++] = v[i];
		g->at[a] = v;
		g->n[a] = k;
	}
	double cells = (double)width(g, 0) * (double)width(g, 1) * (double)width(g, 2);
	return cells <= MOST_CELLS;
}

static void fill_in(grid *g, const blocks *list, block thing) {
	for (size_t i = 0; i < list->n; i++) {
		size_t lo[3], hi[3]; /* open interval: touching is free */
		for (int a = 0; a < 3; a++) {
			lo[a] = index_of(g, a, list->v[i].lo[a] - (thing.hi[a] - thing.lo[a])) + 1;
			hi[a] = index_of(g, a, list->v[i].hi[a]);
		}
		for (size_t x = lo[0]; x < hi[0]; x++)
			for (size_t y = lo[1]; y < hi[1]; y++)
				for (size_t z = lo[2]; z < hi[2]; z++)
					g->full[(x * width(g, 1) + y) * width(g, 2) + z] = 1;
	}
}

/* From the thing's own place to the rim of the grid, cell by cell. */
static bool walk_out(arena *mem, grid *g, block thing) {
	size_t wy = width(g, 1), wz = width(g, 2), cells = width(g, 0) * wy * wz;
	uint32_t *queue = ARENA_MANY(mem, uint32_t, cells);
	size_t head = 0, tail = 0;
	size_t start =
		(index_of(g, 0, thing.lo[0]) * wy + index_of(g, 1, thing.lo[1])) * wz + index_of(g, 2, thing.lo[2]);
	if (g->full[start]) return true; /* it overlaps something: another rule's business */
	g->full[start] = 2;
	queue[tail++] = (uint32_t)start;
	while (head < tail) {
		size_t c = queue[head++], at[3] = {c / (wy * wz), c / wz % wy, c % wz};
		static const int STEP[3] = {-1, 1};
		const size_t stride[3] = {wy * wz, wz, 1};
		for (int a = 0; a < 3; a++) {
			if (at[a] == 0 || at[a] + 1 == width(g, a)) return true;
			for (int s = 0; s < 2; s++) {
				size_t next = STEP[s] > 0 ? c + stride[a] : c - stride[a];
				if (g->full[next]) continue;
				g->full[next] = 2;
				queue[tail++] = (uint32_t)next;
			}
		}
	}
	return false;
}

/* Nothing in the way of one straight move. */
static bool straight_out(const blocks *list, block thing) {
	for (int f = 0; f < 6; f++) {
		bool clear = true;
		for (size_t i = 0; i < list->n && clear; i++) {
			const block *b = &list->v[i];
			bool meets = true;
			for (int a = 0; a < 3; a++) {
				if (a == f / 2)
					meets = meets && (f % 2 ? b->hi[a] > thing.lo[a] : b->lo[a] < thing.hi[a]);
				else
					meets = meets && b->lo[a] < thing.hi[a] && b->hi[a] > thing.lo[a];
			}
			clear = !meets;
		}
		if (clear) return true;
	}
	return false;
}

/* ---- declared ways out --------------------------------------------------------------------------------- */

typedef struct passage {
	const char *name;
	span at;
	double broad, thin; /* mm */
} passage;

static passage widest(const way_scene *w, model_ref self, double need_broad, double need_thin) {
	passage best = {.name = NULL, .at = span_none()};
	for (size_t i = 0; i < w->m->parts.n; i++) {
		model_ref p = w->rows ? w->rows[i] : (model_ref)i;
		const model_part *a = &w->m->parts.v[p];
		bool open = a->kind == PART_GAP || a->kind == PART_DOOR || (a->loose && a->kind != PART_ITEM);
		if (!open || p == self) continue;
		double s[2];
		int n = 0;
		for (int x = 0; x < 3; x++)
			if (x != (int)a->thick_axis) s[n++] = mm(box_size(a->box, (axis)x));
		passage g = {a->name, a->at, fmax(s[0], s[1]), fmin(s[0], s[1])};
		bool fits = g.broad >= need_broad && g.thin >= need_thin;
		if (fits) return g;
		if (!best.name || g.broad * g.thin > best.broad * best.thin) best = g;
	}
	return best;
}

static bool moves_out(const blocks *list, block thing) {
	arena scratch = {0};
	grid g = {0};
	bool out = true; /* too much to look at is not claimed */
	if (grid_make(&scratch, &g, list, thing)) {
		g.full = ARENA_MANY(&scratch, unsigned char, width(&g, 0) * width(&g, 1) * width(&g, 2));
		fill_in(&g, list, thing);
		out = walk_out(&scratch, &g, thing);
	}
	arena_end(&scratch);
	return out;
}

/* A cube as large as the thing is thin, in its middle: where that cannot pass, the thing passes in no position. */
static block probe_of(block t, int64_t least) {
	block r;
	for (int a = 0; a < 3; a++) {
		r.lo[a] = (t.lo[a] + t.hi[a] - least) / 2;
		r.hi[a] = r.lo[a] + least;
	}
	return r;
}

bool way_out(const way_scene *w, box3 thing, model_ref self) {
	block t = block_of(thing);
	int64_t size[3], sorted[3];
	for (int a = 0; a < 3; a++) {
		if (t.hi[a] - t.lo[a] > 4) { /* rounding must not make a tight fit an overlap */
			t.lo[a] += 2;
			t.hi[a] -= 2;
		}
		size[a] = sorted[a] = t.hi[a] - t.lo[a];
	}
	blocks list = material(w, self, size, NULL);
	if (straight_out(&list, t) || moves_out(&list, t)) return true;
	qsort(sorted, 3, sizeof *sorted, compare_micro);
	passage way = widest(w, self, (double)sorted[1] / 1000, (double)sorted[0] / 1000);
	if (!way.name || way.broad * 1000 < (double)sorted[1] || way.thin * 1000 < (double)sorted[0]) return false;
	list = material(w, self, size, sorted);
	return moves_out(&list, probe_of(t, sorted[0]));
}

bool way_widest(const way_scene *w, model_ref self, way_passage *out) {
	passage p = widest(w, self, INFINITY, INFINITY);
	*out = (way_passage){p.name, p.at, p.broad, p.thin};
	return p.name != NULL;
}
