#include "runtime/engine/layout_verify.h"

#define X(name, text) [LAYOUT_FAULT_##name] = text,
const char *const LAYOUT_FAULT_TEXT[LAYOUT_FAULT_KINDS] = {LAYOUT_FAULTS(X)};
#undef X

#define NONE UINT32_MAX

typedef struct checker {
	arena *mem;
	layout_faults *faults;
	uint32_t sheet;
} checker;

static void fault(checker *c, layout_fault_kind kind, size_t first, size_t other) {
	layout_fault f = {kind, c->sheet, (uint32_t)first, (uint32_t)other};
	LIST_PUSH(c->mem, c->faults, f);
}

static bool same(layout_rect a, layout_rect b) { return a.x == b.x && a.y == b.y && a.w == b.w && a.h == b.h; }

static bool inside(layout_rect a, layout_rect b) {
	return a.x >= b.x && a.y >= b.y && a.x + a.w <= b.x + b.w && a.y + a.h <= b.y + b.h;
}

/* The blade goes between them: apart by the kerf at least, in one direction. */
static bool apart(layout_rect a, layout_rect b, int64_t kerf) {
	return a.x + a.w + kerf <= b.x || b.x + b.w + kerf <= a.x || a.y + a.h + kerf <= b.y || b.y + b.h + kerf <= a.y;
}

static layout_rect trimmed(const layout_stock *s) {
	const layout_edges t = s->trim;
	return (layout_rect){t.left, t.bottom, s->w - t.left - t.right, s->h - t.bottom - t.top};
}

typedef struct rects {
	LIST(layout_rect) have;
	LIST(bool) taken;
} rects;

static void have(checker *c, rects *r, layout_rect one) {
	if (one.w <= 0 || one.h <= 0) return;
	LIST_PUSH(c->mem, &r->have, one);
	LIST_PUSH(c->mem, &r->taken, false);
}

/* Takes one away; false when it is not there. */
static bool take(rects *r, layout_rect one) {
	for (size_t i = r->have.n; i-- > 0;) {
		if (r->taken.v[i] || !same(r->have.v[i], one)) continue;
		r->taken.v[i] = true;
		return true;
	}
	return false;
}

static void replay(checker *c, const layout_cut *cut, size_t number, rects *r, int64_t kerf, const layout_stock *s) {
	layout_rect of = cut->of, low = of, high = of;
	if (!take(r, of)) {
		fault(c, LAYOUT_FAULT_CUT_RECT, number, NONE);
		return;
	}
	int64_t from = cut->along_x ? of.y : of.x, size = cut->along_x ? of.h : of.w;
	int64_t low_size = cut->at - from, high_from = cut->at + kerf, high_size = from + size - high_from;
	/* The blade must take something off, or part two pieces; beside the rectangle it does neither. */
	bool through = kerf > 0 ? low_size < size && low_size > -kerf : low_size > 0 && low_size < size;
	if (!through || (!cut->trim && low_size <= 0)) fault(c, LAYOUT_FAULT_CUT_PLACE, number, NONE);
	if (cut->fence != (cut->keep_high ? high_size : low_size)) fault(c, LAYOUT_FAULT_FENCE, number, NONE);
	if (cut->along_x) {
		low.h = low_size;
		high.y = high_from;
		high.h = high_size;
	} else {
		low.w = low_size;
		high.x = high_from;
		high.w = high_size;
	}
	if (cut->trim) {
		int64_t whole = cut->along_x ? s->h : s->w;
		bool at_low = cut->keep_high && cut->at == (cut->along_x ? s->trim.bottom : s->trim.left) - kerf;
		bool at_high = !cut->keep_high && cut->at == whole - (cut->along_x ? s->trim.top : s->trim.right);
		if (!at_low && !at_high) fault(c, LAYOUT_FAULT_TRIM, number, NONE);
		have(c, r, cut->keep_high ? high : low); /* what is trimmed off is waste */
		return;
	}
	have(c, r, low);
	have(c, r, high);
}

static void check_cuts(checker *c, const layout_problem *p, const layout_sheet *sheet) {
	const layout_stock *s = &p->stocks[sheet->stock];
	rects r = {0};
	have(c, &r, (layout_rect){0, 0, s->w, s->h});
	for (size_t i = 0; i < sheet->cuts.n; i++) replay(c, &sheet->cuts.v[i], i, &r, p->kerf, s);
	for (size_t i = 0; i < sheet->pieces.n; i++)
		if (!take(&r, sheet->pieces.v[i].at)) fault(c, LAYOUT_FAULT_UNCUT, i, NONE);
	for (size_t i = 0; i < sheet->offcuts.n; i++)
		if (!take(&r, sheet->offcuts.v[i])) fault(c, LAYOUT_FAULT_OFFCUT, i, NONE);
	for (size_t i = 0; i < r.have.n; i++)
		if (!r.taken.v[i]) fault(c, LAYOUT_FAULT_LEFT, i, NONE);
}

static void check_pieces(checker *c, const layout_problem *p, const layout_sheet *sheet) {
	layout_rect room = trimmed(&p->stocks[sheet->stock]);
	for (size_t i = 0; i < sheet->pieces.n; i++) {
		const layout_piece *a = &sheet->pieces.v[i];
		if (a->part >= p->n_parts || a->copy >= p->parts[a->part].count) {
			fault(c, LAYOUT_FAULT_PART, i, NONE);
			continue;
		}
		const layout_part *q = &p->parts[a->part];
		if (a->at.w != (a->turned ? q->h : q->w) || a->at.h != (a->turned ? q->w : q->h))
			fault(c, LAYOUT_FAULT_SIZE, i, NONE);
		if (a->turned && !q->turnable) fault(c, LAYOUT_FAULT_GRAIN, i, NONE);
		if (!inside(a->at, room)) fault(c, LAYOUT_FAULT_OUTSIDE, i, NONE);
		for (size_t k = 0; k < i; k++)
			if (!apart(a->at, sheet->pieces.v[k].at, p->kerf)) fault(c, LAYOUT_FAULT_CLOSE, i, k);
	}
}

/* ---- what sheets and bars have in common ------------------------------------------------------------- */

/* A problem as far as it is counted: how many of each part are wanted, how many of each stock there are and what one
 * costs, and whether a part fits a stock alone. */
typedef struct account {
	checker c;
	const void *problem;
	bool (*fits)(const void *problem, uint32_t part, size_t stock);
	size_t n_parts, n_stocks;
	size_t *first; /* [parts + 1] index of copy 0 */
	bool *laid;
	int64_t *price, *there; /* [stocks] */
	int64_t *used;
	int64_t cost;
	size_t n; /* sheets or bars */
} account;

static account account_begin(arena *mem, layout_faults *faults, size_t n_parts, size_t n_stocks) {
	return (account){.c = {mem, faults, NONE},
			 .n_parts = n_parts,
			 .n_stocks = n_stocks,
			 .first = ARENA_MANY(mem, size_t, n_parts + 1),
			 .price = ARENA_MANY(mem, int64_t, n_stocks + 1),
			 .there = ARENA_MANY(mem, int64_t, n_stocks + 1),
			 .used = ARENA_MANY(mem, int64_t, n_stocks + 1)};
}

/* One more sheet or bar; false when it is of no stock. */
static bool account_stock(account *a, uint32_t stock) {
	a->c.sheet = (uint32_t)a->n++;
	if (stock >= a->n_stocks) {
		fault(&a->c, LAYOUT_FAULT_STOCK, a->c.sheet, NONE);
		return false;
	}
	a->used[stock]++;
	a->cost += a->price[stock];
	return true;
}

static void account_piece(account *a, uint32_t part, uint32_t copy, size_t piece) {
	if (part >= a->n_parts || copy >= a->first[part + 1] - a->first[part]) return; /* told already */
	bool *laid = &a->laid[a->first[part] + copy];
	if (*laid) fault(&a->c, LAYOUT_FAULT_TWICE, piece, NONE);
	*laid = true;
}

static void account_unfit(account *a, const layout_unfit *u, size_t number) {
	if (u->part >= a->n_parts) {
		fault(&a->c, LAYOUT_FAULT_PART, number, NONE);
		return;
	}
	for (size_t k = 0; k < a->n_stocks; k++) {
		if (!a->fits(a->problem, u->part, k)) continue;
		bool some_left = a->there[k] < 0 || a->used[k] < a->there[k];
		if (u->why == LAYOUT_TOO_LARGE) fault(&a->c, LAYOUT_FAULT_UNFIT, number, k);
		if (u->why == LAYOUT_STOCK_OUT && some_left) fault(&a->c, LAYOUT_FAULT_STOCK_LEFT, number, k);
	}
}

typedef struct claims { /* what a result says of itself */
	const layout_unfit *unfit;
	size_t n_unfit;
	int64_t cost, cost_bound;
	uint32_t count_bound;
	bool proven;
} claims;

/* Laid + reported = wanted, part by part; no stock used beyond what there is; cost and bounds. */
static void account_end(account *a, const claims *r) {
	checker *c = &a->c;
	c->sheet = NONE;
	for (size_t i = 0; i < a->n_parts; i++) {
		uint64_t found = 0;
		for (size_t k = a->first[i]; k < a->first[i + 1]; k++) found += a->laid[k];
		for (size_t k = 0; k < r->n_unfit; k++)
			if (r->unfit[k].part == i) found += r->unfit[k].copies;
		if (found != a->first[i + 1] - a->first[i]) fault(c, LAYOUT_FAULT_MISSING, i, NONE);
	}
	for (size_t i = 0; i < a->n_stocks; i++)
		if (a->there[i] >= 0 && a->used[i] > a->there[i]) fault(c, LAYOUT_FAULT_STOCK_COUNT, i, NONE);
	bool some_out = false;
	for (size_t i = 0; i < r->n_unfit; i++) {
		account_unfit(a, &r->unfit[i], i);
		some_out = some_out || r->unfit[i].why == LAYOUT_STOCK_OUT;
	}
	if (a->cost != r->cost) fault(c, LAYOUT_FAULT_COST, NONE, NONE);
	bool above = r->cost_bound > r->cost || r->count_bound > a->n;
	if (!some_out && above) fault(c, LAYOUT_FAULT_BOUND, NONE, NONE);
	if (r->proven && (some_out || r->cost_bound != r->cost)) fault(c, LAYOUT_FAULT_BOUND, NONE, NONE);
}

/* ---- sheets ---------------------------------------------------------------------------------------- */

static bool sheet_fits(const void *problem, uint32_t part, size_t stock) {
	const layout_problem *p = problem;
	const layout_part *q = &p->parts[part];
	layout_rect room = trimmed(&p->stocks[stock]);
	return (q->w <= room.w && q->h <= room.h) || (q->turnable && q->h <= room.w && q->w <= room.h);
}

bool layout_verify(arena *mem, const layout_problem *p, const layout_result *r, layout_faults *faults) {
	size_t before = faults->n;
	account a = account_begin(mem, faults, p->n_parts, p->n_stocks);
	a.problem = p;
	a.fits = sheet_fits;
	for (size_t i = 0; i < p->n_parts; i++) a.first[i + 1] = a.first[i] + p->parts[i].count;
	for (size_t i = 0; i < p->n_stocks; i++) a.price[i] = p->stocks[i].price, a.there[i] = p->stocks[i].count;
	a.laid = ARENA_MANY(mem, bool, a.first[p->n_parts] + 1);
	for (size_t i = 0; i < r->sheets.n; i++) {
		const layout_sheet *sheet = &r->sheets.v[i];
		if (!account_stock(&a, sheet->stock)) continue;
		check_pieces(&a.c, p, sheet);
		check_cuts(&a.c, p, sheet);
		for (size_t k = 0; k < sheet->pieces.n; k++)
			account_piece(&a, sheet->pieces.v[k].part, sheet->pieces.v[k].copy, k);
	}
	claims said = {r->unfit.v, r->unfit.n, r->cost, r->cost_bound, r->sheet_bound, r->proven};
	account_end(&a, &said);
	return faults->n == before;
}

/* ---- bars ------------------------------------------------------------------------------------------ */

static bool bar_fits(const void *problem, uint32_t part, size_t stock) {
	const bars_problem *p = problem;
	return p->parts[part].length <= p->stocks[stock].length - 2 * p->stocks[stock].trim;
}

static void check_bar(checker *c, const bars_problem *p, const bars_bar *bar) {
	const bars_stock *s = &p->stocks[bar->stock];
	int64_t at = s->trim, end = s->length - s->trim;
	for (size_t k = 0; k < bar->pieces.n; k++) {
		const bars_piece *q = &bar->pieces.v[k];
		if (q->part >= p->n_parts || q->copy >= p->parts[q->part].count) {
			fault(c, LAYOUT_FAULT_PART, k, NONE);
			continue;
		}
		if (q->length != p->parts[q->part].length) fault(c, LAYOUT_FAULT_SIZE, k, NONE);
		if (q->x < at) fault(c, k ? LAYOUT_FAULT_CLOSE : LAYOUT_FAULT_OUTSIDE, k, NONE);
		if (q->x > at) fault(c, LAYOUT_FAULT_LEFT, k, NONE);
		if (q->x + q->length > end) fault(c, LAYOUT_FAULT_OUTSIDE, k, NONE);
		at = q->x + q->length + p->kerf;
	}
	if (bar->rest != (end > at ? end - at : 0)) fault(c, LAYOUT_FAULT_OFFCUT, NONE, NONE);
}

bool bars_verify(arena *mem, const bars_problem *p, const bars_result *r, layout_faults *faults) {
	size_t before = faults->n;
	account a = account_begin(mem, faults, p->n_parts, p->n_stocks);
	a.problem = p;
	a.fits = bar_fits;
	for (size_t i = 0; i < p->n_parts; i++) a.first[i + 1] = a.first[i] + p->parts[i].count;
	for (size_t i = 0; i < p->n_stocks; i++) a.price[i] = p->stocks[i].price, a.there[i] = p->stocks[i].count;
	a.laid = ARENA_MANY(mem, bool, a.first[p->n_parts] + 1);
	for (size_t i = 0; i < r->bars.n; i++) {
		const bars_bar *bar = &r->bars.v[i];
		if (!account_stock(&a, bar->stock)) continue;
		check_bar(&a.c, p, bar);
		for (size_t k = 0; k < bar->pieces.n; k++)
			account_piece(&a, bar->pieces.v[k].part, bar->pieces.v[k].copy, k);
	}
	claims said = {r->unfit.v, r->unfit.n, r->cost, r->cost_bound, r->bar_bound, r->proven};
	account_end(&a, &said);
	return faults->n == before;
}

/* ---- what is on hand ---------------------------------------------------------------------------------- */

/* A piece of a sheet or bar; left: so many of each stock on hand are not used. */
static void check_hand(checker *c, const void *problem, bool (*fits)(const void *, uint32_t, size_t),
		       const int64_t *left, size_t n_hand, uint32_t stock, uint32_t part, size_t piece) {
	if (stock < n_hand) return;
	for (size_t k = 0; k < n_hand; k++)
		if (left[k] != 0 && fits(problem, part, k)) {
			fault(c, LAYOUT_FAULT_HAND, piece, k);
			return;
		}
}

bool layout_verify_hand(arena *mem, const layout_problem *p, const layout_result *r, size_t n_hand,
			layout_faults *faults) {
	if (!r->hand_first) return true;
	size_t before = faults->n;
	int64_t *left = ARENA_MANY(mem, int64_t, n_hand + 1);
	for (size_t k = 0; k < n_hand; k++) left[k] = p->stocks[k].count;
	for (size_t i = 0; i < r->sheets.n; i++)
		if (r->sheets.v[i].stock < n_hand) left[r->sheets.v[i].stock]--;
	for (uint32_t i = 0; i < r->sheets.n; i++) {
		checker c = {mem, faults, i};
		const layout_sheet *s = &r->sheets.v[i];
		for (size_t k = 0; k < s->pieces.n; k++)
			check_hand(&c, p, sheet_fits, left, n_hand, s->stock, s->pieces.v[k].part, k);
	}
	return faults->n == before;
}

bool bars_verify_hand(arena *mem, const bars_problem *p, const bars_result *r, size_t n_hand, layout_faults *faults) {
	if (!r->hand_first) return true;
	size_t before = faults->n;
	int64_t *left = ARENA_MANY(mem, int64_t, n_hand + 1);
	for (size_t k = 0; k < n_hand; k++) left[k] = p->stocks[k].count;
	for (size_t i = 0; i < r->bars.n; i++)
		if (r->bars.v[i].stock < n_hand) left[r->bars.v[i].stock]--;
	for (uint32_t i = 0; i < r->bars.n; i++) {
		checker c = {mem, faults, i};
		const bars_bar *s = &r->bars.v[i];
		for (size_t k = 0; k < s->pieces.n; k++)
			check_hand(&c, p, bar_fits, left, n_hand, s->stock, s->pieces.v[k].part, k);
	}
	return faults->n == before;
}
