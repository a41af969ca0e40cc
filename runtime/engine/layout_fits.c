#include "runtime/engine/layout_fits.h"

#include <string.h>

#include "runtime/engine/chance.h"
#include "runtime/engine/layout_exact.h"

/* Up to so many pieces are tried exactly; from so many on first by construction, which is sooner done when it succeeds.
 */
enum { EXACT_MOST = LAYOUT_FITS_EXACT, BUILD_LEAST = 8 };
enum { SHAPES_EACH = 24 }; /* outlines of a subset */
enum { BUILD_STEPS = 5 };  /* what a placement tried takes beside an outline */

typedef layout_fits_shape shape;

typedef struct outlines {
	shape *v;
	uint32_t n;
} outlines;

/* Outlines of a set stand by rising width and falling height: one that another makes needless is not there. Where
 * there is no room for one more the tallest are lost, and a no may be wrong. */
static void add_shape(outlines *o, int64_t w, int64_t h) {
	uint32_t at = o->n;
	while (at > 0 && o->v[at - 1].w >= w) at--;
	if (at > 0 && o->v[at - 1].h <= h) return;
	if (at < o->n && o->v[at].w == w && o->v[at].h <= h) return;
	uint32_t end = at;
	while (end < o->n && o->v[end].h >= h) end++;
	if (end == at) {
		if (o->n == SHAPES_EACH) return;
		for (uint32_t k = o->n; k > at; k--) o->v[k] = o->v[k - 1];
		o->n++;
	} else if (end > at + 1) {
		for (uint32_t k = end; k < o->n; k++) o->v[at + 1 + k - end] = o->v[k];
		o->n -= end - at - 1;
	}
	o->v[at] = (shape){(int32_t)w, (int32_t)h};
}

/* Two sets beside each other: for every height that one of them has, both as narrow as they can be. */
static void beside(outlines *o, outlines a, outlines b, int64_t w) {
	uint32_t i = 0, j = 0;
	/* the lower neighbours come later: walk from tall to low */
	while (i < a.n && j < b.n) {
		int64_t wide = (int64_t)a.v[i].w + b.v[j].w;
		if (wide > w) return;
		add_shape(o, wide, a.v[i].h > b.v[j].h ? a.v[i].h : b.v[j].h);
		int32_t ha = a.v[i].h, hb = b.v[j].h;
		if (ha >= hb) i++;
		if (hb >= ha) j++;
	}
}

/* Two sets above each other: for every width, both as low as they can be. */
static void above(outlines *o, outlines a, outlines b, int64_t h) {
	uint32_t i = a.n, j = b.n;
	while (i > 0 && j > 0) {
		int64_t tall = (int64_t)a.v[i - 1].h + b.v[j - 1].h;
		if (tall > h) return;
		add_shape(o, a.v[i - 1].w > b.v[j - 1].w ? a.v[i - 1].w : b.v[j - 1].w, tall);
		int32_t wa = a.v[i - 1].w, wb = b.v[j - 1].w;
		if (wa >= wb) i--;
		if (wb >= wa) j--;
	}
}

/* Outlines of all subsets; a set of which some subset fits nowhere does not fit. */
static bool exactly(layout_fits *f, const uint16_t *set, uint32_t n) {
	outlines of[1u << EXACT_MOST];
	uint16_t by[EXACT_MOST];
	uint32_t full = (1u << n) - 1;
	/* large pieces first: what does not fit is seen early */
	for (uint32_t i = 0; i < n; i++) {
		uint32_t at = i;
		for (; at > 0 && by[at - 1] > set[i]; at--) by[at] = by[at - 1];
		by[at] = set[i];
	}
	for (uint32_t m = 1; m < full; m++) {
		outlines o = {&f->pool[m * SHAPES_EACH], 0};
		uint32_t low = m & -m, rest = m ^ low;
		if (!rest) {
			const layout_item *it = &f->kinds[by[(uint32_t)__builtin_ctz(m)]];
			if (it->w <= f->w && it->h <= f->h) add_shape(&o, it->w, it->h);
			if (it->turn && it->h <= f->w && it->w <= f->h) add_shape(&o, it->h, it->w);
		}
		for (uint32_t sub = rest; sub; sub = (sub - 1) & rest) {
			beside(&o, of[sub], of[m ^ sub], f->w);
			above(&o, of[sub], of[m ^ sub], f->h);
			f->steps += 1 + of[sub].n + of[m ^ sub].n;
		}
		if (!o.n) return false;
		of[m] = o;
	}
	for (uint32_t sub = (full - 1) & full; sub > full >> 1; sub--) {
		outlines a = of[sub], b = of[full ^ sub];
		f->steps++;
		if ((int64_t)a.v[0].w + b.v[0].w <= f->w || (int64_t)a.v[a.n - 1].h + b.v[b.n - 1].h <= f->h)
			return true;
	}
	return n == 1;
}

/* By construction, as one of a few rules happens to find it. */
static bool built(layout_fits *f, const uint16_t *set, uint32_t n) {
	static const layout_rule RULES[] = {{FIT_AREA, SPLIT_LARGE, BEGIN_RATE},  {FIT_SHORT, SPLIT_SHORT, BEGIN_RATE},
					    {FIT_AREA, SPLIT_LONG, BEGIN_RATE},	  {FIT_HEIGHT, SPLIT_RIP, BEGIN_RATE},
					    {FIT_WIDTH, SPLIT_CROSS, BEGIN_RATE}, {FIT_SHORT, SPLIT_LARGE, BEGIN_RATE}};
	uint32_t order[LAYOUT_FITS_MOST];
	for (int by = 0; by < 3; by++) {
		int64_t key[LAYOUT_FITS_MOST];
		for (uint32_t i = 0; i < n; i++) {
			const layout_item *it = &f->kinds[set[i]];
			int64_t more = it->w > it->h ? it->w : it->h, k = it->w * it->h;
			if (by == 1) k = it->turn ? more : it->h;
			if (by == 2) k = it->turn ? it->w + it->h : it->w;
			uint32_t at = i;
			for (; at > 0 && key[at - 1] < k; at--) {
				key[at] = key[at - 1];
				order[at] = order[at - 1];
			}
			key[at] = k;
			order[at] = set[i];
		}
		f->build.n_items = n;
		uint64_t before = f->build.steps;
		for (size_t r = 0; r < sizeof RULES / sizeof *RULES; r++) {
			layout_build_run(&f->build, order, RULES[r]);
			if (!f->build.left) break;
		}
		f->steps += (f->build.steps - before) * BUILD_STEPS;
		if (!f->build.left) return true;
	}
	return false;
}

bool layout_fits_set(layout_fits *f, const uint16_t *set, uint32_t n, uint64_t name) {
	f->steps++;
	for (uint32_t i = 0; i < n; i++)
		for (uint32_t k = 0; k < i; k++)
			if (f->never[(size_t)set[i] * f->n_kinds + set[k]]) return false;
	if (n <= 2) return true;
	uint64_t *at = &f->known[(name >> 20) & f->mask];
	if ((*at | 1) == (name | 1)) return *at & 1;
	bool yes = false;
	if (n >= BUILD_LEAST) yes = built(f, set, n);
	if (!yes && n <= EXACT_MOST) yes = exactly(f, set, n);
	*at = (name & ~(uint64_t)1) | yes;
	return yes;
}

static bool two_fit(const layout_fits *f, const layout_item *a, const layout_item *b) {
	for (int way = 0; way < 4; way++) {
		bool ta = way & 1, tb = way & 2;
		if ((ta && !a->turn) || (tb && !b->turn)) continue;
		int64_t aw = ta ? a->h : a->w, ah = ta ? a->w : a->h, bw = tb ? b->h : b->w, bh = tb ? b->w : b->h;
		if (aw > f->w || ah > f->h || bw > f->w || bh > f->h) continue;
		if (aw + bw <= f->w || ah + bh <= f->h) return true;
	}
	return false;
}

layout_fits layout_fits_new(arena *mem, const layout_item *kinds, uint32_t n_kinds, int64_t w, int64_t h,
			    uint64_t known) {
	layout_fits f = {.w = w, .h = h, .n_kinds = n_kinds, .mask = known - 1};
	uint64_t seed = 19990813;
	/* the builder is asked for that many pieces, of kinds that may repeat */
	layout_item *own = ARENA_MANY(mem, layout_item, n_kinds + LAYOUT_FITS_MOST);
	for (uint32_t k = 0; k < n_kinds + LAYOUT_FITS_MOST; k++) own[k] = kinds[k < n_kinds ? k : 0];
	f.kinds = own;
	f.name = ARENA_MANY(mem, uint64_t, n_kinds);
	for (uint32_t k = 0; k < n_kinds; k++) {
		uint64_t a = chance_next(&seed), b = chance_next(&seed);
		f.name[k] = (a ^ b >> 32) & ~(uint64_t)1;
	}
	f.known = ARENA_MANY(mem, uint64_t, known);
	f.never = ARENA_MANY(mem, uint8_t, (size_t)n_kinds * n_kinds);
	f.steps = (uint64_t)n_kinds * n_kinds / 4 + known / 8;
	f.pool = ARENA_MANY(mem, shape, (1u << EXACT_MOST) * SHAPES_EACH);
	layout_room *room = ARENA_MANY(mem, layout_room, 1);
	*room = (layout_room){w, h, 1, -1};
	f.build = layout_build_new(mem, own, n_kinds + LAYOUT_FITS_MOST, room, 1);
	f.build.most_sheets = 1;
	for (uint32_t a = 0; a < n_kinds; a++) {
		for (uint32_t b = 0; b <= a; b++) {
			bool never = !two_fit(&f, &kinds[a], &kinds[b]);
			f.never[(size_t)a * n_kinds + b] = f.never[(size_t)b * n_kinds + a] = never;
		}
	}
	return f;
}

bool layout_fits_write(layout_fits *f, arena *mem, const uint16_t *set, uint32_t n, const uint32_t *items,
		       layout_tree *out) {
	layout_item own[LAYOUT_FITS_MOST];
	layout_room room = {f->w, f->h, 1, -1};
	if (n <= EXACT_MOST) {
		for (uint32_t i = 0; i < n; i++) own[i] = f->kinds[set[i]];
		layout_exact_problem q = {own, n, &room, 1, 2, UINT64_MAX}; /* one sheet costs 1 */
		layout_exact_answer a;
		layout_exact(mem, &q, &a);
		if (!a.found || a.trees.n != 1) return false;
		size_t most = n * 12 + 1;
		layout_node *v = arena_copy(mem, a.trees.v[0].nodes, sizeof *v * most);
		for (size_t c = 0; c < most; c++)
			if (v[c].item < n) v[c].item = items[v[c].item];
		*out = (layout_tree){v, a.trees.v[0].root, 0};
		return true;
	}
	if (!built(f, set, n)) return false;
	layout_node *v = arena_copy(mem, f->build.nodes, sizeof *v * f->build.n_nodes);
	bool gone[LAYOUT_FITS_MOST] = {false};
	for (size_t c = 0; c < f->build.n_nodes; c++) {
		if (v[c].divided || v[c].item == LAYOUT_FREE) continue;
		for (uint32_t i = 0; i < n; i++) {
			if (gone[i] || set[i] != v[c].item) continue;
			gone[i] = true;
			v[c].item = items[i];
			break;
		}
	}
	*out = (layout_tree){v, f->build.sheets[0].root, 0};
	return true;
}
