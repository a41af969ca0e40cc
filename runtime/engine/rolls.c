#include "runtime/engine/rolls.h"

#include <stdlib.h>
#include <string.h>

#include "runtime/engine/layout_hand.h"

typedef struct band { /* a length of the roll, cut off across it */
	int64_t along;
	uint32_t first, n; /* its pieces in `lies` */
	bool laid;
} band;

typedef struct place { /* of a piece on its band */
	uint32_t part;
	int64_t y, across;
	bool turned;
} place;

typedef struct roller {
	arena mem;
	const layout_problem *p;
	size_t n_hand;
	int64_t width, longest; /* of the roll; of the longest, its trim taken off */
	size_t *kind;		/* [parts] which size it has: parts of one size are turned together */
	size_t n_kinds;
	bool *skip;	 /* [parts] fits nothing */
	uint64_t budget; /* of each try */
} roller;

typedef struct trial { /* the answer for one choice of which sizes are turned */
	LIST(band) bands;
	LIST(place) lies;
	bars_result rolls;
	LIST(uint32_t) group; /* first band of each length: the bars' parts */
	uint64_t left, rest;  /* pieces without a place; longest rest */
	bool good;
} trial;

static int64_t along_of(const layout_part *q, bool turned) { return turned ? q->h : q->w; }
static int64_t across_of(const layout_part *q, bool turned) { return turned ? q->w : q->h; }

static bool can_lie(const roller *r, const layout_part *q, bool turned) {
	return (!turned || q->turnable) && across_of(q, turned) <= r->width && along_of(q, turned) <= r->longest;
}

/* Length of roll that so many of that size take, each band filled with nothing else. */
static int64_t takes(const roller *r, const layout_part *q, bool turned, int64_t count) {
	int64_t beside = (r->width + r->p->kerf) / (across_of(q, turned) + r->p->kerf);
	return (count + beside - 1) / beside * (along_of(q, turned) + r->p->kerf);
}

static void begin(roller *r, const layout_problem *p, arena *mem, layout_result *out) {
	r->kind = ARENA_MANY(&r->mem, size_t, p->n_parts + 1);
	r->skip = ARENA_MANY(&r->mem, bool, p->n_parts + 1);
	r->width = p->n_stocks ? p->stocks[0].h : 0;
	for (size_t i = 0; i < p->n_stocks; i++)
		if (layout_room_w(&p->stocks[i]) > r->longest) r->longest = layout_room_w(&p->stocks[i]);
	for (uint32_t i = 0; i < p->n_parts; i++) {
		layout_unfit unfit;
		const layout_part *q = &p->parts[i];
		r->skip[i] = q->count == 0;
		if (q->count && layout_too_large(p, i, &unfit)) {
			LIST_PUSH(mem, &out->unfit, unfit);
			r->skip[i] = true;
		}
		size_t k = 0;
		while (k < i && (r->skip[k] || p->parts[k].w != q->w || p->parts[k].h != q->h ||
				 p->parts[k].turnable != q->turnable))
			k++;
		r->kind[i] = k < i ? r->kind[k] : r->skip[i] ? 0 : r->n_kinds++;
	}
}

/* The way that takes less of the roll when the size lies for itself; as given where both take as much. */
static uint64_t usual_ways(const roller *r) {
	uint64_t turned = 0;
	for (size_t k = 0; k < r->n_kinds && k < 64; k++) {
		int64_t count = 0;
		const layout_part *q = NULL;
		for (size_t i = 0; i < r->p->n_parts; i++) {
			if (r->skip[i] || r->kind[i] != k) continue;
			q = &r->p->parts[i];
			count += q->count;
		}
		bool plain = can_lie(r, q, false), over = can_lie(r, q, true);
		if (over && (!plain || takes(r, q, true, count) < takes(r, q, false, count))) turned |= 1ull << k;
	}
	return turned;
}

/* As `ways` says, or the only way that it can lie. */
static bool way_of(const roller *r, size_t part, uint64_t ways) {
	const layout_part *q = &r->p->parts[part];
	bool turned = r->kind[part] < 64 && (ways >> r->kind[part] & 1);
	return can_lie(r, q, turned) ? turned : !turned;
}

/* All pieces that are `along` long, packed into bands by their widths. */
static const char *fill_bands(roller *r, trial *t, int64_t along, uint64_t ways) {
	const layout_problem *p = r->p;
	bars_part *parts = ARENA_MANY(&r->mem, bars_part, p->n_parts + 1);
	uint32_t *row = ARENA_MANY(&r->mem, uint32_t, p->n_parts + 1);
	size_t n = 0;
	for (uint32_t i = 0; i < p->n_parts; i++) {
		bool turned = way_of(r, i, ways);
		if (r->skip[i] || along_of(&p->parts[i], turned) != along) continue;
		row[n] = i;
		parts[n++] = (bars_part){across_of(&p->parts[i], turned), p->parts[i].count};
	}
	bars_stock width = {r->width, 0, 1, -1};
	bars_problem q = {parts, n, &width, 1, p->kerf, r->budget};
	bars_result filled;
	const char *wrong = bars_solve(&r->mem, &q, &filled);
	if (wrong) return wrong;
	LIST_PUSH(&r->mem, &t->group, (uint32_t)t->bands.n);
	for (size_t i = 0; i < filled.bars.n; i++) {
		const bars_bar *b = &filled.bars.v[i];
		band one = {along, (uint32_t)t->lies.n, (uint32_t)b->pieces.n, false};
		LIST_PUSH(&r->mem, &t->bands, one);
		for (size_t k = 0; k < b->pieces.n; k++) {
			const bars_piece *piece = &b->pieces.v[k];
			uint32_t part = row[piece->part];
			place at = {part, piece->x, piece->length, way_of(r, part, ways)};
			LIST_PUSH(&r->mem, &t->lies, at);
		}
	}
	return NULL;
}

static const char *lay_bands(roller *r, trial *t) {
	const layout_problem *p = r->p;
	bars_part *parts = ARENA_MANY(&r->mem, bars_part, t->group.n + 1);
	bars_stock *stocks = ARENA_MANY(&r->mem, bars_stock, p->n_stocks + 1);
	for (size_t g = 0; g < t->group.n; g++) {
		size_t end = g + 1 < t->group.n ? t->group.v[g + 1] : t->bands.n;
		parts[g] = (bars_part){t->bands.v[t->group.v[g]].along, (uint32_t)(end - t->group.v[g])};
	}
	for (size_t i = 0; i < p->n_stocks; i++) {
		int64_t room = layout_room_w(&p->stocks[i]);
		stocks[i] = (bars_stock){room, 0, p->stocks[i].price, p->stocks[i].count};
		if (room <= 0) stocks[i] = (bars_stock){1, 0, p->stocks[i].price, 0}; /* all trim: never begun */
	}
	bars_problem q = {parts, t->group.n, stocks, p->n_stocks, p->kerf, r->budget};
	const char *wrong = bars_hand_solve(&r->mem, &q, r->n_hand, &t->rolls);
	if (wrong) return wrong;
	for (size_t i = 0; i < t->rolls.bars.n; i++) {
		const bars_bar *b = &t->rolls.bars.v[i];
		if ((uint64_t)b->rest > t->rest) t->rest = (uint64_t)b->rest;
		for (size_t k = 0; k < b->pieces.n; k++)
			t->bands.v[t->group.v[b->pieces.v[k].part] + b->pieces.v[k].copy].laid = true;
	}
	for (size_t i = 0; i < t->bands.n; i++)
		if (!t->bands.v[i].laid) t->left += t->bands.v[i].n;
	return NULL;
}

static int longer_first(const void *pa, const void *pb) {
	const int64_t *a = pa, *b = pb;
	return (*a < *b) - (*a > *b);
}

static const char *try_ways(roller *r, uint64_t ways, trial *t) {
	const layout_problem *p = r->p;
	int64_t *along = ARENA_MANY(&r->mem, int64_t, p->n_parts + 1);
	size_t n = 0;
	for (size_t i = 0; i < p->n_parts; i++)
		if (!r->skip[i]) along[n++] = along_of(&p->parts[i], way_of(r, i, ways));
	if (n) qsort(along, n, sizeof *along, longer_first);
	for (size_t i = 0; i < n; i++) {
		if (i && along[i] == along[i - 1]) continue;
		const char *wrong = fill_bands(r, t, along[i], ways);
		if (wrong) return wrong;
	}
	t->good = true;
	return lay_bands(r, t);
}

static bool better(const trial *a, const trial *b) {
	if (!b->good) return true;
	if (a->left != b->left) return a->left < b->left;
	if (a->rolls.cost != b->rolls.cost) return a->rolls.cost < b->rolls.cost;
	return a->rest > b->rest;
}

/* ---- the answer as a layout --------------------------------------------------------------------------- */

static void cut(arena *mem, layout_sheet *s, bool along_x, layout_rect of, int64_t at) {
	int64_t fence = at - (along_x ? of.y : of.x);
	layout_cut c = {along_x, false, false, of, at, fence};
	LIST_PUSH(mem, &s->cuts, c);
}

static void keep_offcut(arena *mem, layout_sheet *s, layout_rect o) {
	if (o.w <= 0 || o.h <= 0) return;
	size_t i = s->offcuts.n;
	LIST_PUSH(mem, &s->offcuts, o);
	for (; i > 0 && s->offcuts.v[i - 1].w * s->offcuts.v[i - 1].h < o.w * o.h; i--)
		s->offcuts.v[i] = s->offcuts.v[i - 1];
	s->offcuts.v[i] = o;
}

/* A band that lies at x: its pieces from one edge of the roll to the other. */
static void divide(arena *mem, const roller *r, const trial *t, const band *b, int64_t x, layout_sheet *s,
		   uint32_t *next) {
	layout_rect rest = {x, 0, b->along, r->width};
	for (uint32_t i = 0; i < b->n; i++) {
		const place *q = &t->lies.v[b->first + i];
		layout_rect at = {x, rest.y, b->along, q->across};
		layout_piece piece = {q->part, next[q->part]++, at, q->turned};
		LIST_PUSH(mem, &s->pieces, piece);
		if (rest.h > q->across) cut(mem, s, true, rest, rest.y + q->across);
		rest.y += q->across + r->p->kerf;
		rest.h -= q->across + r->p->kerf;
	}
	keep_offcut(mem, s, rest);
}

static void unroll(arena *mem, const roller *r, const trial *t, const bars_bar *bar, layout_sheet *s, uint32_t *next) {
	const layout_stock *stock = &r->p->stocks[bar->stock];
	int64_t kerf = r->p->kerf, trim = stock->trim.left;
	layout_rect rest = {trim, 0, stock->w - trim, r->width};
	s->stock = bar->stock;
	if (trim > 0) {
		layout_cut c = {false, true, true, {0, 0, stock->w, r->width}, trim - kerf, rest.w};
		LIST_PUSH(mem, &s->cuts, c);
	}
	for (size_t i = 0; i < bar->pieces.n; i++) {
		const bars_piece *q = &bar->pieces.v[i];
		const band *b = &t->bands.v[t->group.v[q->part] + q->copy];
		if (rest.w > b->along) cut(mem, s, false, rest, rest.x + b->along);
		divide(mem, r, t, b, rest.x, s, next);
		rest.x += b->along + kerf;
		rest.w -= b->along + kerf;
	}
	keep_offcut(mem, s, rest);
}

/* What is left over and would lie alone on a roll that is still there, the other way round. */
static void lay_singly(arena *mem, const roller *r, layout_result *out, const uint32_t *left, uint32_t *next) {
	const layout_problem *p = r->p;
	for (uint32_t i = 0; i < p->n_parts; i++) {
		for (uint32_t c = 0; c < left[i]; c++) {
			size_t stock = p->n_stocks;
			bool turned = false;
			for (size_t k = 0; k < p->n_stocks && stock == p->n_stocks; k++) {
				int64_t used = 0;
				for (size_t n = 0; n < out->sheets.n; n++) used += out->sheets.v[n].stock == k;
				if (p->stocks[k].count >= 0 && used >= p->stocks[k].count) continue;
				for (int way = 0; way < 2 && stock == p->n_stocks; way++) {
					if (!can_lie(r, &p->parts[i], way) ||
					    along_of(&p->parts[i], way) > layout_room_w(&p->stocks[k]))
						continue;
					turned = way;
					stock = k;
				}
			}
			if (stock == p->n_stocks) {
				layout_unfit *u = out->unfit.n ? &out->unfit.v[out->unfit.n - 1] : NULL;
				if (!u || u->part != i || u->why != LAYOUT_STOCK_OUT) {
					layout_unfit one = {i, 0, LAYOUT_STOCK_OUT, 0, 0, 0};
					LIST_PUSH(mem, &out->unfit, one);
					u = &out->unfit.v[out->unfit.n - 1];
				}
				u->copies++;
				continue;
			}
			trial t = {0};
			bars_bar bar = {.stock = (uint32_t)stock};
			place at = {i, 0, across_of(&p->parts[i], turned), turned};
			band one = {along_of(&p->parts[i], turned), 0, 1, true};
			LIST_PUSH(mem, &t.lies, at);
			LIST_PUSH(mem, &t.bands, one);
			LIST_PUSH(mem, &t.group, 0);
			LIST_PUSH(mem, &bar.pieces, ((bars_piece){0, 0, 0, one.along}));
			unroll(mem, r, &t, &bar, LIST_ADD(mem, &out->sheets), next);
			out->cost += p->stocks[stock].price;
		}
	}
}

/* Nothing bought bears a piece that would lie on a roll on hand that is not used. */
static bool hand_first(const roller *r, const layout_result *out) {
	for (size_t k = 0; k < r->n_hand; k++) {
		int64_t left = r->p->stocks[k].count;
		for (size_t i = 0; i < out->sheets.n; i++) left -= out->sheets.v[i].stock == k;
		for (size_t i = 0; left > 0 && i < out->sheets.n; i++) {
			const layout_sheet *s = &out->sheets.v[i];
			for (size_t n = 0; s->stock >= r->n_hand && n < s->pieces.n; n++)
				for (int way = 0; way < 2; way++) {
					const layout_part *q = &r->p->parts[s->pieces.v[n].part];
					if (can_lie(r, q, way) && along_of(q, way) <= layout_room_w(&r->p->stocks[k]))
						return false;
				}
		}
	}
	return r->n_hand > 0;
}

/* No two pieces lie side by side and none can turn: then the bands are all that there is to choose. */
static bool bars_say_all(const roller *r) {
	int64_t narrowest = INT64_MAX;
	for (size_t i = 0; i < r->p->n_parts; i++) {
		const layout_part *q = &r->p->parts[i];
		if (r->skip[i]) continue;
		if (can_lie(r, q, false) && can_lie(r, q, true)) return false;
		int64_t across = across_of(q, way_of(r, i, 0));
		if (across < narrowest) narrowest = across;
	}
	return narrowest == INT64_MAX || 2 * narrowest + r->p->kerf > r->width;
}

/* The least sum of prices that is no lower than `need`: what is bought costs such a sum. `need` itself when the search
 * takes too long. */
static int64_t least_sum(const layout_problem *p, size_t k, int64_t need, uint32_t *steps) {
	if (need <= 0) return 0;
	if (k == p->n_stocks || *steps == 0) return *steps ? INT64_MAX : need;
	--*steps;
	int64_t price = p->stocks[k].price, best = least_sum(p, k + 1, need, steps);
	if (price <= 0) return best;
	for (int64_t n = 1; best > need && (p->stocks[k].count < 0 || n <= p->stocks[k].count); n++) {
		int64_t more = least_sum(p, k + 1, need - n * price, steps);
		if (more < INT64_MAX && n * price + more < best) best = n * price + more;
		if (n * price >= need) break;
	}
	return *steps ? best : need;
}

static void answer(roller *r, arena *mem, const trial *t, layout_result *out) {
	const layout_problem *p = r->p;
	uint32_t *next = ARENA_MANY(&r->mem, uint32_t, p->n_parts + 1),
		 *left = ARENA_MANY(&r->mem, uint32_t, p->n_parts + 1);
	for (size_t i = 0; i < t->rolls.bars.n; i++)
		unroll(mem, r, t, &t->rolls.bars.v[i], LIST_ADD(mem, &out->sheets), next);
	out->cost = t->rolls.cost;
	for (size_t i = 0; i < p->n_parts; i++) left[i] = r->skip[i] ? 0 : p->parts[i].count - next[i];
	lay_singly(mem, r, out, left, next);
	layout_bound(p, &out->sheet_bound, &out->cost_bound);
	if (bars_say_all(r) && t->left == 0) {
		if (t->rolls.cost_bound > out->cost_bound) out->cost_bound = t->rolls.cost_bound;
		if (t->rolls.bar_bound > out->sheet_bound) out->sheet_bound = t->rolls.bar_bound;
	}
	uint32_t steps = 100000;
	int64_t sum = least_sum(p, 0, out->cost_bound, &steps);
	if (steps && sum < INT64_MAX) out->cost_bound = sum;
	bool some_out = out->unfit.n && out->unfit.v[out->unfit.n - 1].why == LAYOUT_STOCK_OUT;
	out->proven = out->cost == out->cost_bound && !some_out;
	out->hand_first = hand_first(r, out);
}

const char *rolls_solve(arena *mem, const layout_problem *p, size_t n_hand, layout_result *out) {
	*out = (layout_result){0};
	for (size_t i = 0; i < p->n_stocks; i++)
		if (p->stocks[i].h != p->stocks[0].h) return "the rolls differ in width";
	roller r = {.p = p, .n_hand = n_hand};
	begin(&r, p, mem, out);
	trial best = {0};
	const char *wrong = NULL;
	uint64_t usual = usual_ways(&r);
	size_t tried = r.n_kinds < ROLLS_TRIED ? r.n_kinds : ROLLS_TRIED;
	r.budget = (p->budget ? p->budget : BARS_BUDGET) >> tried;
	for (uint64_t k = 0; k < 1ull << tried && !wrong; k++) {
		trial t = {0};
		wrong = try_ways(&r, usual ^ k, &t);
		if (!wrong && better(&t, &best)) best = t;
		out->steps += t.rolls.steps;
	}
	if (!wrong) answer(&r, mem, &best, out);
	arena_end(&r.mem);
	return wrong;
}
