#include "compiler/layout_sizes.h"

static const model_length *said(const model_length *one, const model_length *all) {
	return rat_ok(one->mm) ? one : rat_ok(all->mm) ? all : NULL;
}

/* An edge's own figure, else that of all edges; where a further size says neither, the stock's. An offcut has none. */
static void trim_of(const model_stock *s, const model_size *z, rat trim[EDGES]) {
	for (int e = 0; e < EDGES; e++) {
		bool own = s->kind == STOCK_SHEET || e == EDGE_LEFT || (e == EDGE_RIGHT && model_by_length(s->kind));
		const model_length *t = z ? said(&z->trim_on[e], &z->trim) : NULL;
		if (!t && (!z || !z->offcut)) t = said(&s->trim_on[e], &s->trim);
		trim[e] = own && t ? t->mm : rat_int(0);
	}
}

/* x runs along the longer side of a sheet. An offcut is told along the grain first. */
static void lie(const model_stock *s, rat a, rat b, bool offcut, layout_size *out) {
	bool swap = rat_lt(a, b);
	if (offcut && s->grain != GRAIN_NONE) swap = s->grain == GRAIN_SHORT;
	out->w = swap ? b : a;
	out->h = swap ? a : b;
}

/* Whole cm2 of a sheet, mm of a bar or roll: rounded down, so that a bound in them holds. */
static int64_t extent(const model_stock *s, const layout_size *z) {
	bool sheet = s->kind == STOCK_SHEET;
	int64_t v = rat_floor(rat_mul(rat_mul(z->w, z->h), sheet ? rat_of(1, 100) : rat_int(1)));
	return v > 1 ? v : 1;
}

static int64_t price_of(const model_stock *s, const layout_size *z) {
	return z->row ? s->sizes.v[z->row - 1].price_cents : s->price_cents;
}

/* An offcut weighs nothing. A whole one that is on hand costs nothing either; but fewer of them are better. */
static void weigh(const model_stock *s, layout_sizes *l, size_t pieces) {
	const int64_t most = 1000000000000 / 2; /* that the engine takes */
	int64_t hand = 0, dearest = 1;
	bool several = l->v.n - l->n_hand > 1, priced = true;
	for (size_t i = l->n_hand; i < l->v.n; i++) {
		layout_size *z = &l->v.v[i];
		int64_t n = z->count >= 0 && (uint64_t)z->count > pieces ? (int64_t)pieces : z->count;
		if (z->count < 0 && price_of(s, z) <= 0) priced = false;
		if (z->count >= 0) hand += n * (extent(s, z) / 100 + 1);
	}
	l->by = !several ? MEASURE_COUNT : priced ? MEASURE_MONEY : MEASURE_SIZE;
	for (size_t i = l->n_hand; i < l->v.n; i++) {
		layout_size *z = &l->v.v[i];
		z->weight = l->by == MEASURE_COUNT ? 1 : l->by == MEASURE_MONEY ? price_of(s, z) : extent(s, z);
		if (several && z->count >= 0) z->weight = 0;
		if (z->weight > dearest) dearest = z->weight;
	}
	l->unit = several && hand < most / dearest ? hand + 1 : 1;
	for (size_t i = l->n_hand; i < l->v.n; i++) {
		layout_size *z = &l->v.v[i];
		if (several && z->count >= 0)
			z->weight = l->unit > 1 ? extent(s, z) / 100 + 1 : 0;
		else
			z->weight *= l->unit;
	}
}

layout_sizes layout_sizes_of(arena *mem, const model *m, model_ref stock, size_t pieces) {
	const model_stock *s = &m->stocks.v[stock];
	layout_sizes l = {.unit = 1};
	bool sheet = s->kind == STOCK_SHEET;
	if (!rat_ok(s->size[0].mm) || (sheet && !rat_ok(s->size[1].mm))) return l;
	bool several = false;
	for (size_t i = 0; i < s->sizes.n; i++) several = several || !s->sizes.v[i].offcut;
	for (int offcut = 1; offcut >= 0; offcut--) {
		for (uint32_t row = offcut ? 1 : 0; row <= s->sizes.n; row++) {
			const model_size *z = row ? &s->sizes.v[row - 1] : NULL;
			if (z && z->offcut != (offcut == 1)) continue;
			layout_size one = {.row = row, .offcut = offcut == 1, .h = rat_int(1)};
			const model_length *size = z ? z->size : s->size;
			one.at = span_known(size[0].at) ? size[0].at : s->at;
			if (sheet)
				lie(s, size[0].mm, size[1].mm, offcut == 1, &one);
			else
				one.w = size[0].mm;
			trim_of(s, z, one.trim);
			/* Of one size alone more are laid out than there are, so that it can be said how many lack. */
			one.count = z ? z->on_hand : several ? s->on_hand : -1;
			LIST_PUSH(mem, &l.v, one);
			l.n_hand += (size_t)offcut;
		}
	}
	weigh(s, &l, pieces);
	return l;
}
