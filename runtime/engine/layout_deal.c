#include "runtime/engine/layout_deal.h"

#include <stdlib.h>
#include <string.h>

#include "runtime/engine/chance.h"
#include "runtime/engine/layout_fits.h"

enum { ITEMS_MOST = 128, EACH_MOST = 9 }; /* pieces in all; on a sheet, on average */
enum { FULL = 4096 };			  /* what a full sheet is filled */
enum { HAND = 3 };			  /* pieces that leave a sheet in one exchange */
enum { WAIT = 64, EVEN = 8 };		  /* what a sheet's worth of waiting pieces counts, and a full sheet */
enum { HOT = 1000, COLD = 125, CYCLES = 4 };
enum { ROUND_STEPS = 5, KNOWN_MOST = 1 << 20 };

typedef struct hand { /* what lies on a sheet */
	uint32_t n;
	int32_t filled;
	uint64_t name;
	uint16_t v[LAYOUT_FITS_MOST];
} hand;

typedef struct deal {
	arena mem;
	const layout_ruin_problem *p;
	layout_item *kinds;
	uint16_t *kind_of; /* [items] */
	uint32_t n_kinds;
	int32_t *fill; /* [kinds] */
	layout_fits fits;
	hand *sheets;
	uint32_t goal;
	uint16_t *waiting;
	uint32_t n_waiting;
	uint64_t seed, steps;
	int64_t heat; /* a change for the worse by so much is taken one time in two */
} deal;

static uint32_t draw(deal *d, uint32_t below) { return (uint32_t)(((chance_next(&d->seed) >> 32) * below) >> 32); }

/* -log2 of a number by chance from 0 to 1, in 1/256. */
static int64_t minus_log(deal *d) {
	uint64_t u = chance_next(&d->seed) | 1;
	int lead = __builtin_clzll(u);
	uint32_t part = (uint32_t)((u << lead) >> 55) & 255;
	return (int64_t)lead * 256 + 256 - part;
}

/* Draws k different places of the n and puts them last. */
static void pick(deal *d, uint16_t *v, uint32_t n, uint32_t k) {
	for (uint32_t i = 0; i < k; i++) {
		uint32_t a = draw(d, n - i), last = n - 1 - i;
		uint16_t t = v[a];
		v[a] = v[last];
		v[last] = t;
	}
}

/* The hand with `in` in place of its last `out` pieces. */
static hand exchanged(const deal *d, const hand *s, uint32_t out, const uint16_t *in, uint32_t n_in) {
	hand x = {.n = s->n - out, .filled = s->filled, .name = s->name};
	memcpy(x.v, s->v, sizeof *x.v * x.n);
	for (uint32_t i = x.n; i < s->n; i++) {
		x.filled -= d->fill[s->v[i]];
		x.name -= d->fits.name[s->v[i]];
	}
	for (uint32_t i = 0; i < n_in; i++) {
		x.v[x.n++] = in[i];
		x.filled += d->fill[in[i]];
		x.name += d->fits.name[in[i]];
	}
	return x;
}

/* One full sheet and one empty one are better than two half full ones. */
static int64_t even(const hand *s) { return (int64_t)EVEN * s->filled * s->filled / FULL; }

static bool taken(deal *d, int64_t worse) { return worse <= 0 || worse * 256 <= d->heat * minus_log(d); }

static bool fits(deal *d, const hand *s) { return layout_fits_set(&d->fits, s->v, s->n, s->name); }

static void with_waiting(deal *d) {
	hand *s = &d->sheets[draw(d, d->goal)];
	uint32_t in = draw(d, 5) == 0 && d->n_waiting > 1 ? 2 : 1, out = draw(d, HAND + 1);
	if (out > s->n) out = s->n;
	if (s->n - out + in > LAYOUT_FITS_MOST) return;
	pick(d, d->waiting, d->n_waiting, in);
	pick(d, s->v, s->n, out);
	hand x = exchanged(d, s, out, &d->waiting[d->n_waiting - in], in);
	int64_t worse = WAIT * (int64_t)(s->filled - x.filled) + even(s) - even(&x);
	if (x.filled > FULL || !taken(d, worse) || !fits(d, &x)) return;
	d->n_waiting -= in;
	for (uint32_t i = s->n - out; i < s->n; i++) d->waiting[d->n_waiting++] = s->v[i];
	*s = x;
}

static void between_sheets(deal *d) {
	uint32_t i = draw(d, d->goal), j = draw(d, d->goal - 1);
	hand *s = &d->sheets[i], *t = &d->sheets[j + (j >= i)];
	uint32_t a = 1 + draw(d, HAND - 1), b = draw(d, HAND);
	if (a > s->n || b > t->n) return;
	if (s->n - a + b > LAYOUT_FITS_MOST || t->n - b + a > LAYOUT_FITS_MOST) return;
	pick(d, s->v, s->n, a);
	pick(d, t->v, t->n, b);
	hand x = exchanged(d, s, a, &t->v[t->n - b], b), y = exchanged(d, t, b, &s->v[s->n - a], a);
	if (x.filled > FULL || y.filled > FULL) return;
	if (!taken(d, even(s) + even(t) - even(&x) - even(&y)) || !fits(d, &x) || !fits(d, &y)) return;
	*s = x;
	*t = y;
}

/* ---- to and from trees ------------------------------------------------------------------------------------------ */

static int kind_cmp(const void *pa, const void *pb) {
	const layout_item *a = *(const layout_item *const *)pa, *b = *(const layout_item *const *)pb;
	if (a->w * a->h != b->w * b->h) return a->w * a->h > b->w * b->h ? -1 : 1;
	if (a->w != b->w) return a->w > b->w ? -1 : 1;
	if (a->turn != b->turn) return a->turn ? -1 : 1;
	return a < b ? -1 : a > b;
}

static void make_kinds(deal *d) {
	uint32_t n = d->p->n_items;
	const layout_item **by = ARENA_MANY(&d->mem, const layout_item *, n);
	for (uint32_t i = 0; i < n; i++) by[i] = &d->p->items[i];
	qsort(by, n, sizeof *by, kind_cmp);
	d->kinds = ARENA_MANY(&d->mem, layout_item, n);
	d->kind_of = ARENA_MANY(&d->mem, uint16_t, n);
	for (uint32_t i = 0; i < n; i++) {
		const layout_item *last = d->n_kinds ? &d->kinds[d->n_kinds - 1] : NULL;
		if (!last || last->w != by[i]->w || last->h != by[i]->h || last->turn != by[i]->turn)
			d->kinds[d->n_kinds++] = *by[i];
		d->kind_of[by[i] - d->p->items] = (uint16_t)(d->n_kinds - 1);
	}
}

/* Pieces beyond what a hand holds wait. */
static void read_tree(deal *d, const layout_tree *t, uint32_t k, hand *s) {
	const layout_node *n = &t->nodes[k];
	if (n->divided) {
		read_tree(d, t, n->lo, s);
		read_tree(d, t, n->hi, s);
	} else if (n->item != LAYOUT_FREE) {
		uint16_t kind = d->kind_of[n->item];
		if (s->n == LAYOUT_FITS_MOST) {
			d->waiting[d->n_waiting++] = kind;
			return;
		}
		s->v[s->n++] = kind;
		s->filled += d->fill[kind];
		s->name += d->fits.name[kind];
	}
}

/* The sheet filled least is given up; its pieces wait. */
static void lower_goal(deal *d) {
	uint32_t out = 0;
	for (uint32_t i = 1; i < d->goal; i++)
		if (d->sheets[i].filled < d->sheets[out].filled) out = i;
	hand *s = &d->sheets[out];
	for (uint32_t k = 0; k < s->n; k++) d->waiting[d->n_waiting++] = s->v[k];
	*s = d->sheets[--d->goal];
}

bool layout_deal_suits(const layout_ruin_problem *p) {
	return p->n_items <= ITEMS_MOST && p->n_items <= EACH_MOST * (uint64_t)p->sheets && p->sheets > p->bound &&
	       p->sheets > 2;
}

static bool write_all(deal *d, arena *mem, layout_ruin_answer *out) {
	uint32_t *next = ARENA_MANY(&d->mem, uint32_t, d->n_kinds + 1); /* where a kind's items begin */
	uint32_t *of = ARENA_MANY(&d->mem, uint32_t, d->p->n_items + 1);
	for (uint32_t i = 0; i < d->p->n_items; i++) next[d->kind_of[i] + 1]++;
	for (uint32_t k = 0; k < d->n_kinds; k++) next[k + 1] += next[k];
	for (uint32_t i = 0; i < d->p->n_items; i++) of[next[d->kind_of[i]]++] = i;
	/* now where they end */
	layout_tree *trees = ARENA_MANY(mem, layout_tree, d->goal + 1);
	uint32_t n = 0;
	for (uint32_t k = 0; k < d->goal; k++) {
		const hand *s = &d->sheets[k];
		uint32_t items[LAYOUT_FITS_MOST];
		if (!s->n) continue;
		for (uint32_t i = 0; i < s->n; i++) items[i] = of[--next[s->v[i]]];
		if (!layout_fits_write(&d->fits, mem, s->v, s->n, items, &trees[n++])) return false;
	}
	out->found = true;
	out->sheets = n;
	out->trees = trees;
	return true;
}

static void begin(deal *d) {
	make_kinds(d);
	const layout_ruin_problem *p = d->p;
	uint64_t known = 1024;
	while (known < KNOWN_MOST && known * 64 < p->budget) known *= 2;
	d->fits = layout_fits_new(&d->mem, d->kinds, d->n_kinds, p->w, p->h, known);
	d->fill = ARENA_MANY(&d->mem, int32_t, d->n_kinds);
	for (uint32_t k = 0; k < d->n_kinds; k++)
		d->fill[k] = (int32_t)((layout_wide)FULL * d->kinds[k].w * d->kinds[k].h / (p->w * p->h));
	d->sheets = ARENA_MANY(&d->mem, hand, p->sheets + 1);
	d->waiting = ARENA_MANY(&d->mem, uint16_t, p->n_items + LAYOUT_FITS_MOST);
	for (uint32_t i = 0; i < p->sheets; i++) read_tree(d, &p->start[i], p->start[i].root, &d->sheets[i]);
	d->goal = p->sheets;
}

/* From hot to cold, and so CYCLES times. */
static void set_heat(deal *d) {
	uint64_t length = d->p->budget / CYCLES + 1, at = d->steps % length;
	d->heat = COLD + (int64_t)((HOT - COLD) * (length - at) / length);
}

void layout_deal(arena *mem, const layout_ruin_problem *p, layout_ruin_answer *out) {
	deal d = {.p = p, .seed = 19830513};
	*out = (layout_ruin_answer){.sheets = p->sheets};
	begin(&d);
	uint64_t begun = d.fits.steps;
	lower_goal(&d);
	for (uint64_t rounds = 0;; rounds++) {
		if (d.n_waiting == 0) {
			if (!write_all(&d, mem, out) || out->sheets <= p->bound || d.goal < 3) break;
			lower_goal(&d);
			continue;
		}
		if (rounds % 64 == 0) {
			d.steps = begun + rounds * ROUND_STEPS + d.fits.steps;
			if (d.steps >= p->budget) break;
			set_heat(&d);
		}
		if (draw(&d, 3) == 0)
			with_waiting(&d);
		else
			between_sheets(&d);
	}
	out->steps = d.steps;
	arena_end(&d.mem);
}
