/* Lower bounds by dual feasible functions: u maps sizes in [0,1] to [0,1] so that sizes which fit together in
 * 1 map to values which fit together in 1; the product of one for widths and one for heights therefore weighs
 * the pieces of any sheet at 1 at most. Fekete and Schepers, "New classes of fast lower bounds for bin packing
 * problems", Mathematical Programming 91 (2001): the three families below. */
#include "runtime/base/rat.h"
#include "runtime/engine/layout_build.h"

typedef enum dff_kind { DFF_CUT, DFF_STEP, DFF_SHARE } dff_kind;
typedef struct dff {
	dff_kind kind;
	int64_t param;
} dff;

/* Value of size x within c, in units of dff_scale(). */
static int64_t dff_value(dff f, int64_t x, int64_t c) {
	switch (f.kind) {
	case DFF_CUT:
		return x > c - f.param ? c : x < f.param ? 0 : x;
	case DFF_STEP: {
		layout_wide k1 = (layout_wide)(f.param + 1) * x;
		return k1 % c == 0 ? x * f.param : (int64_t)(k1 / c) * c;
	}
	case DFF_SHARE:
		break;
	}
	if (2 * x > c) return c / f.param - (c - x) / f.param;
	return x >= f.param ? 1 : 0;
}

static int64_t dff_scale(dff f, int64_t c) {
	return f.kind == DFF_CUT ? c : f.kind == DFF_STEP ? c * f.param : c / f.param;
}

typedef struct bound_part { /* kerf added; ways round that fit some stock */
	int64_t w, h, n;
	bool straight, turned;
} bound_part;

typedef LIST(dff) dff_list;

static void add_dff(arena *mem, dff_list *l, dff_kind kind, int64_t param, int64_t c) {
	if (param < 1 || (kind != DFF_STEP && 2 * param > c)) return;
	for (size_t i = 0; i < l->n; i++)
		if (l->v[i].kind == kind && l->v[i].param == param) return;
	dff f = {kind, param};
	LIST_PUSH(mem, l, f);
}

/* Candidates along one side c: steps for k = 1..5, and the sizes at which a value of the others changes. */
static dff_list candidates(arena *mem, const bound_part *v, size_t n, int64_t c, bool along_x) {
	dff_list l = {0};
	add_dff(mem, &l, DFF_CUT, 1, c);
	for (int64_t k = 1; k <= 5; k++) add_dff(mem, &l, DFF_STEP, k, c);
	for (size_t i = 0; i < n; i++) {
		for (int way = 0; way < 2; way++) {
			if (way == 0 ? !v[i].straight : !v[i].turned) continue;
			int64_t d = (way == 0) == along_x ? v[i].w : v[i].h;
			add_dff(mem, &l, DFF_CUT, d, c);
			add_dff(mem, &l, DFF_CUT, c - d + 1, c);
			add_dff(mem, &l, DFF_SHARE, d, c);
		}
	}
	return l;
}

/* Keeps `most` of them, spread evenly; the first ones always. */
static void thin_out(dff_list *l, size_t most) {
	const size_t always = 6;
	if (l->n <= most || most <= always) return;
	size_t room = most - always, rest = l->n - always;
	for (size_t i = 0; i < room; i++) l->v[always + i] = l->v[always + i * rest / room];
	l->n = most;
}

static int64_t wide_ceil(layout_wide a, layout_wide b) { return (int64_t)((a + b - 1) / b); }

static int64_t count_bound(arena *mem, const bound_part *v, size_t n, int64_t w, int64_t h) {
	dff_list fx = candidates(mem, v, n, w, true), fy = candidates(mem, v, n, h, false);
	size_t most = 12;
	while (most < 96 && (most + 12) * (most + 12) * n < 600000) most += 12;
	thin_out(&fx, most);
	thin_out(&fy, most);
	/* [function][part] for each way round */
	int64_t *xs = ARENA_MANY(mem, int64_t, fx.n * n * 2), *ys = ARENA_MANY(mem, int64_t, fy.n * n * 2);
	for (size_t i = 0; i < n; i++) {
		for (size_t f = 0; f < fx.n; f++) {
			xs[(f * n + i) * 2] = v[i].straight ? dff_value(fx.v[f], v[i].w, w) : 0;
			xs[(f * n + i) * 2 + 1] = v[i].turned ? dff_value(fx.v[f], v[i].h, w) : 0;
		}
		for (size_t f = 0; f < fy.n; f++) {
			ys[(f * n + i) * 2] = v[i].straight ? dff_value(fy.v[f], v[i].h, h) : 0;
			ys[(f * n + i) * 2 + 1] = v[i].turned ? dff_value(fy.v[f], v[i].w, h) : 0;
		}
	}
	int64_t best = 0;
	for (size_t a = 0; a < fx.n; a++) {
		for (size_t b = 0; b < fy.n; b++) {
			layout_wide sum = 0;
			for (size_t i = 0; i < n; i++) {
				const int64_t *x = &xs[(a * n + i) * 2], *y = &ys[(b * n + i) * 2];
				layout_wide one = (layout_wide)x[0] * y[0], two = (layout_wide)x[1] * y[1];
				layout_wide least = !v[i].turned ? one : !v[i].straight ? two : one < two ? one : two;
				sum += least * v[i].n;
			}
			layout_wide scale = (layout_wide)dff_scale(fx.v[a], w) * dff_scale(fy.v[b], h);
			int64_t bound = wide_ceil(sum, scale);
			if (bound > best) best = bound;
		}
	}
	return best;
}

/* Area bought at the lowest rates first, by fractions of a sheet. */
static int64_t cost_bound(arena *mem, const layout_problem *p, layout_wide need) {
	bool *gone = ARENA_MANY(mem, bool, p->n_stocks);
	int64_t cost = 0;
	for (size_t round = 0; round < p->n_stocks && need > 0; round++) {
		size_t best = SIZE_MAX;
		layout_wide best_area = 1;
		for (size_t i = 0; i < p->n_stocks; i++) {
			const layout_stock *s = &p->stocks[i];
			layout_wide a = (layout_wide)(layout_room_w(s) + p->kerf) * (layout_room_h(s) + p->kerf);
			if (gone[i] || layout_room_w(s) <= 0 || layout_room_h(s) <= 0) continue;
			if (best == SIZE_MAX || s->price * best_area < p->stocks[best].price * a) {
				best = i;
				best_area = a;
			}
		}
		if (best == SIZE_MAX) break;
		const layout_stock *s = &p->stocks[best];
		gone[best] = true;
		layout_wide whole = need / best_area;
		if (s->count >= 0 && whole >= s->count) {
			cost += s->price * s->count;
			need -= best_area * s->count;
			continue;
		}
		cost += s->price * (int64_t)whole;
		return cost + wide_ceil((need - whole * best_area) * s->price, best_area);
	}
	return cost;
}

static bool usable(const layout_stock *s) { return s->count != 0 && layout_room_w(s) > 0 && layout_room_h(s) > 0; }

/* Which way round the part fits a stock of that price at least; false when a cheaper one takes it too. */
static bool needs_price(const layout_problem *p, const layout_part *part, int64_t price, bound_part *b) {
	for (size_t k = 0; k < p->n_stocks; k++) {
		const layout_stock *s = &p->stocks[k];
		int64_t w = layout_room_w(s), h = layout_room_h(s);
		if (!usable(s)) continue;
		bool straight = part->w <= w && part->h <= h;
		bool turned = part->turnable && part->h <= w && part->w <= h;
		if (s->price < price && (straight || turned)) return false;
		b->straight = b->straight || straight;
		b->turned = b->turned || turned;
	}
	return b->straight || b->turned;
}

/* The parts that fit no stock cheaper than `price` lie on sheets of that price at least: how many such sheets. */
static int64_t count_from(arena *mem, const layout_problem *p, int64_t price) {
	bound_part *v = ARENA_MANY(mem, bound_part, p->n_parts + 1);
	size_t n = 0;
	int64_t most_w = 0, most_h = 0;
	for (size_t i = 0; i < p->n_stocks; i++) {
		const layout_stock *s = &p->stocks[i];
		if (!usable(s) || s->price < price) continue;
		int64_t w = layout_room_w(s) + p->kerf, h = layout_room_h(s) + p->kerf;
		if (w > most_w) most_w = w;
		if (h > most_h) most_h = h;
	}
	for (uint32_t i = 0; i < p->n_parts; i++) {
		const layout_part *part = &p->parts[i];
		bound_part b = {part->w + p->kerf, part->h + p->kerf, part->count, false, false};
		if (needs_price(p, part, price, &b)) v[n++] = b;
	}
	return n ? count_bound(mem, v, n, most_w, most_h) : 0;
}

/* Area of the parts that fit some stock, with their kerf. */
static layout_wide area_of_parts(const layout_problem *p) {
	layout_wide need = 0;
	for (uint32_t i = 0; i < p->n_parts; i++) {
		const layout_part *part = &p->parts[i];
		bound_part b = {0, 0, 0, false, false};
		if (needs_price(p, part, INT64_MIN, &b))
			need += (layout_wide)(part->w + p->kerf) * (part->h + p->kerf) * part->count;
	}
	return need;
}

void layout_bound(const layout_problem *p, uint32_t *sheets, int64_t *cost) {
	arena scratch = {0};
	int64_t step = 0;
	*sheets = (uint32_t)count_from(&scratch, p, INT64_MIN);
	*cost = cost_bound(&scratch, p, area_of_parts(p));
	for (size_t i = 0; i < p->n_stocks; i++) {
		int64_t price = p->stocks[i].price;
		bool again = false;
		if (!usable(&p->stocks[i])) continue;
		for (size_t k = 0; k < i; k++) again = again || (usable(&p->stocks[k]) && p->stocks[k].price == price);
		int64_t bound = again ? 0 : count_from(&scratch, p, price) * price;
		if (bound > *cost) *cost = bound;
		step = rat_gcd(step, price);
	}
	if (step > 1) *cost = wide_ceil(*cost, step) * step; /* every total is a multiple of it */
	arena_end(&scratch);
}
