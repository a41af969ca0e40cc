#include "compiler/layout.h"

#include <math.h>
#include <stdlib.h>

#include "compiler/check.h"
#include "compiler/check_limits.h"
#include "compiler/layout_rolls.h"
#include "compiler/layout_sizes.h"
#include "compiler/layout_unit.h"
#include "runtime/engine/layout_hand.h"
#include "runtime/engine/layout_verify.h"
#include "runtime/engine/mitre_nest.h"

rat layout_kerf(const model *m, model_ref *saw) {
	*saw = MODEL_NONE;
	for (size_t i = 0; i < m->tools.n; i++) {
		const model_tool *t = &m->tools.v[i];
		if (t->kind != TOOL_SAW || !rat_ok(t->kerf.mm) || rat_sign(t->kerf.mm) < 0) continue;
		*saw = (model_ref)i;
		return t->kerf.mm;
	}
	return rat_int(LAYOUT_KERF_MM);
}

void layout_sheet_size(const model_stock *s, rat *w, rat *h) {
	*w = rat_max(s->size[0].mm, s->size[1].mm);
	*h = rat_min(s->size[0].mm, s->size[1].mm);
}

static axis other_in_plane(axis thick, axis a) { return (axis)(3 - (int)thick - (int)a); }

bool layout_part_on_sheet(const model *m, const model_part *p, rat *w, rat *h, bool *turnable) {
	if (!model_part_made(m, p)) return false;
	const model_stock *s = &m->stocks.v[p->stock];
	if (s->kind != STOCK_SHEET || !rat_ok(s->size[0].mm) || !rat_ok(s->size[1].mm)) return false;
	axis along = p->long_axis;
	*turnable = !p->grain_matters || s->grain == GRAIN_NONE || p->grain_axis == p->thick_axis;
	if (!*turnable) along = s->grain == GRAIN_LONG ? p->grain_axis : other_in_plane(p->thick_axis, p->grain_axis);
	if (along == p->thick_axis) return false;
	*w = box_size(p->blank, along);
	*h = box_size(p->blank, other_in_plane(p->thick_axis, along));
	return rat_ok(*w) && rat_ok(*h) && rat_sign(*w) > 0 && rat_sign(*h) > 0;
}

#define X(name, word, percent) [EFFORT_##name] = word,
const char *const LAYOUT_EFFORT_WORD[EFFORT_KINDS] = {LAYOUT_EFFORTS(X)};
#undef X

uint64_t layout_steps(layout_effort effort, uint64_t usual) {
#define X(name, word, percent) [EFFORT_##name] = percent,
	static const uint64_t PERCENT[EFFORT_KINDS] = {LAYOUT_EFFORTS(X)};
#undef X
	return usual * PERCENT[effort] / 100;
}

/* ---- sheets ---------------------------------------------------------------------------------- */

typedef struct work {
	model *m;
	diags *d;
	model_ref stock;
	layout_unit unit;
	rat kerf;
	LIST(model_ref) rows; /* model parts of the engine's parts */
	layout_sizes sizes;   /* the engine's stocks */
	layout_effort effort;
} work;

/* The unit for the sizes and the kerf; the parts' sizes come on top. */
static void begin_unit(work *w, rat longest) {
	layout_unit_take(&w->unit, w->kerf, longest);
	for (size_t i = 0; i < w->sizes.v.n; i++) {
		const layout_size *z = &w->sizes.v.v[i];
		layout_unit_take(&w->unit, z->w, longest);
		layout_unit_take(&w->unit, z->h, longest);
		for (int e = 0; e < EDGES; e++) layout_unit_take(&w->unit, z->trim[e], longest);
	}
}

static rat longest_size(const work *w) {
	rat longest = rat_int(1);
	for (size_t i = 0; i < w->sizes.v.n; i++)
		longest = rat_max(longest, rat_max(w->sizes.v.v[i].w, w->sizes.v.v[i].h));
	return longest;
}

void layout_refuse(const model *m, diags *d, model_ref stock, const char *why) {
	const model_stock *s = &m->stocks.v[stock];
	diag *g = diag_error(d, "layout-internal", s->at,
			     "the layout of `%s` was refused when its cuts were replayed: %s", s->name, why);
	diag_add_help(d, g, "this is a fault of the program, not of the plan; please report it with the plan");
}

void layout_limit(const model *m, diags *d, model_ref stock, const char *why) {
	const model_stock *s = &m->stocks.v[stock];
	diag_error(d, "layout-limit", s->at, "the parts of `%s` cannot be laid out: %s", s->name, why);
}

static void refuse(const work *w, const char *why) { layout_refuse(w->m, w->d, w->stock, why); }
static void limit(const work *w, const char *why) { layout_limit(w->m, w->d, w->stock, why); }

void layout_take_cuts(model *m, const layout_unit *u, const layout_problem *p, const layout_sheet *sheet,
		      model_sheet_plan *plan) {
	const layout_stock *stock = &p->stocks[sheet->stock];
	plan->w = layout_from_units(u, stock->w);
	plan->h = layout_from_units(u, stock->h);
	const layout_edges *t = &stock->trim;
	const int64_t trim[EDGES] = {t->left, t->right, t->bottom, t->top};
	for (int e = 0; e < EDGES; e++) plan->trim[e] = layout_from_units(u, trim[e]);
	plan->kerf = layout_from_units(u, p->kerf);
	plan->settings = sheet->settings;
	for (size_t i = 0; i < sheet->offcuts.n; i++) {
		layout_rect r = sheet->offcuts.v[i];
		model_offcut out = {layout_from_units(u, r.x), layout_from_units(u, r.y), layout_from_units(u, r.w),
				    layout_from_units(u, r.h)};
		LIST_PUSH(m->mem, &plan->offcuts, out);
	}
	for (size_t i = 0; i < sheet->cuts.n; i++) {
		const layout_cut *c = &sheet->cuts.v[i];
		model_cut *out = LIST_ADD(m->mem, &plan->cuts);
		*out = (model_cut){.number = (uint32_t)i + 1,
				   .along_x = c->along_x,
				   .x = layout_from_units(u, c->of.x),
				   .y = layout_from_units(u, c->of.y),
				   .w = layout_from_units(u, c->of.w),
				   .h = layout_from_units(u, c->of.h),
				   .at = layout_from_units(u, c->at),
				   .fence = layout_from_units(u, c->fence),
				   .trim = c->trim,
				   .keep_high = c->keep_high};
	}
}

static void take_sheet(work *w, const layout_problem *p, const layout_sheet *sheet) {
	arena *mem = w->m->mem;
	const layout_unit *u = &w->unit;
	model_sheet_plan *plan = LIST_ADD(mem, &w->m->layout.sheets);
	plan->stock = w->stock;
	plan->size = w->sizes.v.v[sheet->stock].row;
	plan->offcut = w->sizes.v.v[sheet->stock].offcut;
	layout_take_cuts(w->m, u, p, sheet, plan);
	double used = 0;
	for (size_t i = 0; i < sheet->pieces.n; i++) {
		const layout_piece *piece = &sheet->pieces.v[i];
		model_ref row = w->rows.v[piece->part];
		const model_part *part = &w->m->parts.v[row];
		rat width = layout_from_units(u, piece->at.w), height = layout_from_units(u, piece->at.h);
		/* Along x lies the axis chosen in layout_part_on_sheet(), or the other one when it is turned. */
		rat plain_w, plain_h;
		bool turnable;
		layout_part_on_sheet(w->m, part, &plain_w, &plain_h, &turnable);
		bool long_first = rat_eq(plain_w, box_size(part->blank, part->long_axis));
		model_piece out = {row,	   layout_from_units(u, piece->at.x), layout_from_units(u, piece->at.y), width,
				   height, long_first == piece->turned};
		if (rat_eq(plain_w, plain_h)) out.turned = piece->turned;
		LIST_PUSH(mem, &plan->pieces, out);
		used += rat_double(width) * rat_double(height);
	}
	plan->used_part = used / (rat_double(plan->w) * rat_double(plan->h));
}

/* A part or a size as far as proving that not all finds room goes: what it takes or gives, area or length. */
typedef struct bulk {
	double of, w, h;
	bool turnable;
	int64_t count;
} bulk;

static bool bulk_fits(const bulk *part, const bulk *size) {
	return (part->w <= size->w && part->h <= size->h) ||
	       (part->turnable && part->h <= size->w && part->w <= size->h);
}

static int smaller_first(const void *a, const void *b) {
	const bulk *x = a, *y = b;
	return (x->of > y->of) - (x->of < y->of);
}

/* Of the parts that fit nothing but what this one fits, and of the room that there is of that: so many stay over even
 * when the smallest are taken first and lie without loss. `parts` smallest first. */
static uint32_t left_beside(const bulk *parts, size_t n, const bulk *sizes, size_t n_sizes, const bulk *one) {
	double room = 0;
	size_t placed = 0, all = 0;
	for (size_t k = 0; k < n_sizes; k++) {
		if (sizes[k].count < 0 && bulk_fits(one, &sizes[k])) return 0;
		if (bulk_fits(one, &sizes[k])) room += sizes[k].of * (double)sizes[k].count;
	}
	room *= 1 + 1e-9; /* what is counted in binary must not prove too much */
	for (size_t i = 0; i < n; i++) {
		bool bound = true;
		for (size_t k = 0; k < n_sizes; k++)
			bound = bound && (!bulk_fits(&parts[i], &sizes[k]) || bulk_fits(one, &sizes[k]));
		if (!bound) continue;
		all++;
		room -= parts[i].of;
		placed += room >= 0;
	}
	return (uint32_t)(all - placed);
}

static uint32_t least_left(bulk *parts, size_t n, const bulk *sizes, size_t n_sizes) {
	uint32_t most = 0;
	if (n) qsort(parts, n, sizeof *parts, smaller_first);
	for (size_t i = 0; i < n; i++) {
		uint32_t left = left_beside(parts, n, sizes, n_sizes, &parts[i]);
		if (left > most) most = left;
	}
	return most;
}

typedef struct answer { /* what is told of a layout, of sheets or bars */
	size_t used, offcuts;
	int64_t cost, bound;
	const layout_unfit *unfit;
	size_t n_unfit;
	bool hand_first;
	bulk *parts, *sizes;
} answer;

/* What the answer costs, and which parts lie nowhere though they fit: nothing more is there. */
static void take_count(work *w, const answer *a) {
	model_stock_count count = {.stock = w->stock,
				   .used = (uint32_t)(a->used - a->offcuts),
				   .offcuts = (uint32_t)a->offcuts,
				   .by = w->sizes.by,
				   .cost = a->cost / w->sizes.unit,
				   .cost_bound = a->bound / w->sizes.unit,
				   .hand_first = a->hand_first};
	for (size_t i = 0; i < a->n_unfit; i++)
		if (a->unfit[i].why == LAYOUT_STOCK_OUT) LIST_PUSH(w->m->mem, &count.left, w->rows.v[a->unfit[i].part]);
	if (count.left.n) count.left_least = least_left(a->parts, w->rows.n, a->sizes, w->sizes.v.n);
	count.proven = count.left.n == 0 && count.cost == count.cost_bound;
	if (a->used || count.left.n) LIST_PUSH(w->m->mem, &w->m->layout.counts, count);
}

/* The parts of the stock that lie on its sheets, in the model's order. */
static void sheet_rows(work *w) {
	rat part_w, part_h, longest = longest_size(w);
	bool turnable;
	const model *m = w->m;
	for (size_t i = 0; i < model_rows(m); i++) {
		if (m->parts.v[i].stock != w->stock ||
		    !layout_part_on_sheet(m, &m->parts.v[i], &part_w, &part_h, &turnable))
			continue;
		longest = rat_max(longest, rat_max(part_w, part_h));
		LIST_PUSH(m->mem, &w->rows, (model_ref)i);
	}
	w->sizes = layout_sizes_of(m->mem, m, w->stock, w->rows.n); /* weighed by the number of pieces */
	begin_unit(w, longest);
	for (size_t i = 0; i < w->rows.n; i++) {
		layout_part_on_sheet(m, &m->parts.v[w->rows.v[i]], &part_w, &part_h, &turnable);
		layout_unit_take(&w->unit, part_w, longest);
		layout_unit_take(&w->unit, part_h, longest);
	}
}

static layout_stock sheet_stock(const layout_unit *u, const layout_size *z) {
	const rat *t = z->trim;
	return (layout_stock){.w = layout_units_down(u, z->w),
			      .h = layout_units_down(u, z->h),
			      .trim = {.left = layout_units_up(u, t[EDGE_LEFT]),
				       .right = layout_units_up(u, t[EDGE_RIGHT]),
				       .bottom = layout_units_up(u, t[EDGE_BOTTOM]),
				       .top = layout_units_up(u, t[EDGE_TOP])},
			      .price = z->weight,
			      .count = z->count};
}

static layout_part sheet_part(const work *w, model_ref row) {
	rat part_w, part_h;
	bool turnable;
	layout_part_on_sheet(w->m, &w->m->parts.v[row], &part_w, &part_h, &turnable);
	layout_part q = {layout_units_up(&w->unit, part_w), layout_units_up(&w->unit, part_h), 1, turnable};
	for (size_t i = 0; i < w->sizes.v.n; i++) {
		const layout_size *z = &w->sizes.v.v[i];
		layout_stock one = sheet_stock(&w->unit, z);
		q.w = layout_not_beyond(q.w, part_w, layout_room_w(&one), layout_size_w(z));
		q.h = layout_not_beyond(q.h, part_h, layout_room_h(&one), layout_size_h(z));
	}
	return q;
}

static void lay_sheets(work *w) {
	model *m = w->m;
	LIST(layout_part) parts = {0};
	LIST(layout_stock) stocks = {0};
	sheet_rows(w);
	if (w->rows.n == 0) return;
	const layout_unit *u = &w->unit;
	for (size_t i = 0; i < w->rows.n; i++) LIST_PUSH(m->mem, &parts, sheet_part(w, w->rows.v[i]));
	for (size_t i = 0; i < w->sizes.v.n; i++) LIST_PUSH(m->mem, &stocks, sheet_stock(u, &w->sizes.v.v[i]));
	layout_problem p = {.parts = parts.v, .n_parts = parts.n, .stocks = stocks.v, .n_stocks = stocks.n};
	p.kerf = layout_units_up(u, w->kerf);
	p.useful = layout_units_up(u, rat_int(LAYOUT_USEFUL_MM));
	p.budget = layout_steps(w->effort, LAYOUT_BUDGET);
	layout_result r;
	const char *why = layout_hand_solve(m->mem, &p, w->sizes.n_hand, &r);
	if (why) {
		limit(w, why);
		return;
	}
	layout_faults faults = {0};
	if (!layout_verify(m->mem, &p, &r, &faults) || !layout_verify_hand(m->mem, &p, &r, w->sizes.n_hand, &faults)) {
		refuse(w, LAYOUT_FAULT_TEXT[faults.v[0].kind]);
		return;
	}
	size_t offcuts = 0;
	for (size_t i = 0; i < r.sheets.n; i++) {
		offcuts += w->sizes.v.v[r.sheets.v[i].stock].offcut;
		take_sheet(w, &p, &r.sheets.v[i]);
	}
	bulk *need = ARENA_MANY(m->mem, bulk, p.n_parts + 1), *room = ARENA_MANY(m->mem, bulk, p.n_stocks + 1);
	double kerf = (double)p.kerf;
	for (size_t i = 0; i < p.n_parts; i++) {
		double pw = (double)parts.v[i].w, ph = (double)parts.v[i].h;
		need[i] = (bulk){(pw + kerf) * (ph + kerf), pw, ph, parts.v[i].turnable, 1};
	}
	for (size_t i = 0; i < p.n_stocks; i++) {
		double sw = (double)layout_room_w(&stocks.v[i]), sh = (double)layout_room_h(&stocks.v[i]);
		room[i] = (bulk){fmax(sw + kerf, 0) * fmax(sh + kerf, 0), sw, sh, false, stocks.v[i].count};
	}
	answer a = {r.sheets.n, offcuts, r.cost, r.cost_bound, r.unfit.v, r.unfit.n, r.hand_first, need, room};
	take_count(w, &a);
}

/* ---- bars --------------------------------------------------------------------------------------- */

/* From long point to long point, and what the blade takes more at mitred ends. */
static rat bar_length(const work *w, model_ref row) {
	const model_part *p = &w->m->parts.v[row];
	rat length = box_size(p->blank, p->long_axis);
	return rat_add(length, rat_add(mitre_more(p, 0, w->kerf), mitre_more(p, 1, w->kerf)));
}

static model_bar_plan bar_plan(const work *w, const bars_bar *bar) {
	const layout_size *z = &w->sizes.v.v[bar->stock];
	const layout_unit *u = &w->unit;
	model_bar_plan plan = {.stock = w->stock,
			       .size = z->row,
			       .offcut = z->offcut,
			       .length = layout_from_units(u, layout_units_down(u, z->w)),
			       .trim = layout_from_units(u, layout_units_up(u, z->trim[EDGE_LEFT])),
			       .kerf = layout_from_units(u, layout_units_up(u, w->kerf)),
			       .rest = layout_from_units(u, bar->rest)};
	for (size_t i = 0; i < bar->pieces.n; i++) {
		const bars_piece *q = &bar->pieces.v[i];
		const model_part *part = &w->m->parts.v[w->rows.v[q->part]];
		rat low = mitre_more(part, 0, w->kerf), both = rat_add(low, mitre_more(part, 1, w->kerf));
		model_piece piece = {.part = w->rows.v[q->part],
				     .x = rat_add(layout_from_units(u, q->x), low),
				     .y = rat_int(0),
				     .w = rat_sub(layout_from_units(u, q->length), both),
				     .h = rat_int(0)};
		LIST_PUSH(w->m->mem, &plan.pieces, piece);
	}
	return plan;
}

static void bar_rows(work *w) {
	const model *m = w->m;
	rat longest = longest_size(w);
	for (size_t i = 0; i < model_rows(m); i++) {
		rat length = bar_length(w, (model_ref)i);
		if (m->parts.v[i].stock != w->stock || !model_part_made(m, &m->parts.v[i]) || !rat_ok(length) ||
		    rat_sign(length) <= 0)
			continue;
		longest = rat_max(longest, length);
		LIST_PUSH(m->mem, &w->rows, (model_ref)i);
	}
	w->sizes = layout_sizes_of(m->mem, m, w->stock, w->rows.n);
	begin_unit(w, longest);
	for (size_t i = 0; i < w->rows.n; i++) layout_unit_take(&w->unit, bar_length(w, w->rows.v[i]), longest);
}

static bars_part bar_part(const work *w, model_ref row) {
	rat length = bar_length(w, row);
	bars_part q = {layout_units_up(&w->unit, length), 1};
	for (size_t i = 0; i < w->sizes.v.n; i++) {
		const layout_size *z = &w->sizes.v.v[i];
		int64_t room = layout_units_down(&w->unit, z->w) - 2 * layout_units_up(&w->unit, z->trim[EDGE_LEFT]);
		q.length = layout_not_beyond(q.length, length, room, layout_size_w(z));
	}
	return q;
}

typedef LIST(model_bar_plan) bar_plans;

/* How many pieces have an end that is not square: with two of them a cut may serve both. */
static size_t mitred_pieces(const work *w) {
	size_t n = 0;
	for (size_t i = 0; i < w->rows.n; i++) {
		const model_part *p = &w->m->parts.v[w->rows.v[i]];
		n += p->mitre[0].angle_deg > 0 || p->mitre[1].angle_deg > 0;
	}
	return n;
}

/* Every mitred end as if one cut served it and another: no layout takes less. In thousandths rounded up. */
static rat shared_length(const work *w, model_ref row) {
	const model_part *p = &w->m->parts.v[row];
	rat saved = rat_add(mitre_saves(p, 0, w->kerf), mitre_saves(p, 1, w->kerf));
	return rat_sub(bar_length(w, row), rat_half(rat_add(saved, rat_of(2, 1000))));
}

/* The largest saving of an end: what a chain of pieces lacks at its own two ends. */
static rat most_saved(const work *w) {
	rat most = rat_int(0);
	for (size_t i = 0; i < w->rows.n; i++)
		for (int end = 0; end < 2; end++)
			most = rat_max(most, mitre_saves(&w->m->parts.v[w->rows.v[i]], end, w->kerf));
	return most;
}

/* The pieces of each bar with their real lengths, in an order in which ends meet; false when one does not fit. */
static bool nest_bars(work *w, const bars_result *r, bar_plans *out) {
	out->n = 0;
	for (size_t i = 0; i < r->bars.n; i++) {
		model_bar_plan plan = bar_plan(w, &r->bars.v[i]);
		for (size_t k = 0; k < plan.pieces.n; k++) {
			const model_part *p = &w->m->parts.v[plan.pieces.v[k].part];
			plan.pieces.v[k].w = box_size(p->blank, p->long_axis);
		}
		if (!mitre_nest(w->m->mem, w->m, &plan)) return false;
		LIST_PUSH(w->m->mem, out, plan);
	}
	return true;
}

/* Bars with shared cuts, where that is cheaper or as cheap; `r` then tells their cost. The bound is that of pieces
 * which all share their cuts. */
static void share_cuts(work *w, const bars_problem *p, bars_result *r, bar_plans *plans) {
	model *m = w->m;
	if (r->unfit.n && r->unfit.v[0].why == LAYOUT_TOO_LARGE) return;
	bars_problem shared = *p;
	bars_part *parts = ARENA_MANY(m->mem, bars_part, p->n_parts + 1);
	bars_stock *stocks = ARENA_MANY(m->mem, bars_stock, p->n_stocks + 1);
	for (size_t i = 0; i < p->n_parts; i++) {
		int64_t length = layout_units_down(&w->unit, shared_length(w, w->rows.v[i]));
		parts[i] = (bars_part){length > 1 ? length : 1, 1};
	}
	shared.parts = parts;
	bars_result best = *r;
	bool found = false;
	for (int tight = 0; tight < 2 && !found; tight++) {
		for (size_t i = 0; i < p->n_stocks; i++) {
			stocks[i] = p->stocks[i];
			if (tight) stocks[i].length -= layout_units_up(&w->unit, most_saved(w));
			if (stocks[i].length < 1) stocks[i].length = 1;
		}
		shared.stocks = stocks;
		bars_result one;
		layout_faults faults = {0};
		if (bars_hand_solve(m->mem, &shared, w->sizes.n_hand, &one) ||
		    !bars_verify(m->mem, &shared, &one, &faults) ||
		    !bars_verify_hand(m->mem, p, &one, w->sizes.n_hand, &faults))
			continue;
		if (!tight && one.cost_bound < best.cost_bound) best.cost_bound = r->cost_bound = one.cost_bound;
		if (one.unfit.n > r->unfit.n || (one.unfit.n == r->unfit.n && one.cost > r->cost)) continue;
		found = nest_bars(w, &one, plans);
		if (!found) continue;
		one.cost_bound = best.cost_bound;
		*r = one;
	}
	if (!found) nest_bars(w, r, plans);
}

static void lay_bars(work *w) {
	model *m = w->m;
	LIST(bars_part) parts = {0};
	LIST(bars_stock) stocks = {0};
	bar_rows(w);
	if (w->rows.n == 0) return;
	const layout_unit *u = &w->unit;
	for (size_t i = 0; i < w->rows.n; i++) LIST_PUSH(m->mem, &parts, bar_part(w, w->rows.v[i]));
	for (size_t i = 0; i < w->sizes.v.n; i++) {
		const layout_size *z = &w->sizes.v.v[i];
		bars_stock one = {layout_units_down(u, z->w), layout_units_up(u, z->trim[EDGE_LEFT]), z->weight,
				  z->count};
		LIST_PUSH(m->mem, &stocks, one);
	}
	bars_problem p = {.parts = parts.v, .n_parts = parts.n, .stocks = stocks.v, .n_stocks = stocks.n};
	p.kerf = layout_units_up(u, w->kerf);
	p.budget = layout_steps(w->effort, BARS_BUDGET);
	bars_result r;
	const char *why = bars_hand_solve(m->mem, &p, w->sizes.n_hand, &r);
	if (why) {
		limit(w, why);
		return;
	}
	layout_faults faults = {0};
	if (!bars_verify(m->mem, &p, &r, &faults) || !bars_verify_hand(m->mem, &p, &r, w->sizes.n_hand, &faults)) {
		refuse(w, LAYOUT_FAULT_TEXT[faults.v[0].kind]);
		return;
	}
	bar_plans plans = {0};
	if (mitred_pieces(w) > 1) share_cuts(w, &p, &r, &plans);
	size_t offcuts = 0;
	for (size_t i = 0; i < r.bars.n; i++) {
		model_bar_plan plan = plans.n ? plans.v[i] : bar_plan(w, &r.bars.v[i]);
		const char *fault = mitre_bar_fault(m, &plan);
		if (fault) {
			refuse(w, fault);
			return;
		}
		offcuts += plan.offcut;
		LIST_PUSH(m->mem, &m->layout.bars, plan);
	}
	bulk *need = ARENA_MANY(m->mem, bulk, p.n_parts + 1), *room = ARENA_MANY(m->mem, bulk, p.n_stocks + 1);
	double kerf = (double)p.kerf;
	for (size_t i = 0; i < p.n_parts; i++) { /* it fits by its length, and takes what it takes beside its like */
		double least = floor(rat_double(shared_length(w, w->rows.v[i])) * (double)u->per_mm);
		need[i] = (bulk){least + kerf, (double)parts.v[i].length, 0, false, 1};
	}
	for (size_t i = 0; i < p.n_stocks; i++) {
		double length = (double)(stocks.v[i].length - 2 * stocks.v[i].trim);
		room[i] = (bulk){fmax(length + kerf, 0), length, 0, false, stocks.v[i].count};
	}
	answer a = {r.bars.n, offcuts, r.cost, r.cost_bound, r.unfit.v, r.unfit.n, r.hand_first, need, room};
	take_count(w, &a);
}

bool layout_make(model *m, diags *d) { return layout_make_by(m, d, EFFORT_USUAL, (progress){NULL}); }

bool layout_make_by(model *m, diags *d, layout_effort effort, progress who) {
	size_t errors = d->errors;
	m->layout.kerf = layout_kerf(m, &m->layout.saw);
	m->layout.guide = check_limit(m, "saw-small.guide");
	for (model_ref i = 0; i < m->stocks.n; i++) {
		work w = {.m = m, .d = d, .stock = i, .unit = {1, true}, .kerf = m->layout.kerf, .effort = effort};
		bool sheet = m->stocks.v[i].kind == STOCK_SHEET, roll = model_on_rolls(&m->stocks.v[i]);
		if (!sheet && !roll && !model_by_length(m->stocks.v[i].kind)) continue;
		w.sizes = layout_sizes_of(m->mem, m, i, 0);
		if (w.sizes.v.n == 0) continue;
		if (who.tell) who.tell(arena_printf(m->mem, "laying out `%s`", m->stocks.v[i].name));
		if (sheet)
			lay_sheets(&w);
		else if (roll)
			layout_rolls(m, d, i, effort);
		else
			lay_bars(&w);
	}
	check_layout(m, d);
	return d->errors == errors;
}
