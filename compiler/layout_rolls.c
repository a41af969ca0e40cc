#include "compiler/layout_rolls.h"

#include <math.h>

#include "compiler/layout_sizes.h"
#include "compiler/layout_unit.h"
#include "compiler/shopping.h"
#include "runtime/engine/bars.h"
#include "runtime/engine/joint.h"
#include "runtime/engine/layout_verify.h"
#include "runtime/engine/rolls.h"

typedef struct roll_work {
	model *m;
	model_ref stock;
	size_t first, n; /* its rows of roll_parts */
	layout_sizes sizes;
	layout_unit unit;
	rat width; /* of the roll */
	rat kerf;
} roll_work;

static void add(roll_work *w, const char *name, size_t number, model_roll_part part) {
	part.name = number ? arena_printf(w->m->mem, "%s.%zu", name, number) : name;
	part.stock = w->stock;
	LIST_PUSH(w->m->mem, &w->m->layout.roll_parts, part);
	w->n++;
}

/* Up to what a person marks out on cloth. */
static rat marked(const model *m, double mm) {
	rat step = m->measures == MEASURES_INCH ? rat_of(254, 160) : rat_int(1);
	return rat_mul(rat_int((int64_t)ceil(mm / rat_double(step) - 1e-6)), step);
}

static void tubes(roll_work *w) {
	for (model_ref i = 0; i < w->m->air.branches.n; i++) {
		const model_branch *b = &w->m->air.branches.v[i];
		double high = b->length_m * 1000;
		if (b->kind != AIR_TUBES || b->stock != w->stock || !(b->hole_m * high > 0) || !(high < 1e6)) continue;
		model_roll_part one = {.branch = i,
				       .joint = MODEL_NONE,
				       .w = marked(w->m, high),
				       .h = marked(w->m, shopping_tube_mm(b))};
		one.at = b->declared;
		for (uint32_t k = 0; k < b->count; k++) add(w, b->name, b->count > 1 ? k + 1 : 0, one);
	}
}

static void strips(roll_work *w) {
	const model *m = w->m;
	rat wide = m->stocks.v[w->stock].tape_width.mm;
	for (model_ref i = 0; i < m->joints.n; i++) {
		const model_joint *j = &m->joints.v[i];
		model_gasket_run run;
		if (j->gasket != w->stock || !joint_gasket(m, i, &run) || !rat_ok(run.length)) continue;
		model_roll_part one = {.branch = MODEL_NONE, .joint = i, .w = run.length, .h = wide, .at = j->at};
		if (!run.ring) {
			add(w, j->name, 0, one);
			continue;
		}
		rat side[2] = {rat_int(0), rat_poison()};
		for (int a = 0; a < 3; a++) {
			rat size = box_size(run.rect, (axis)a);
			if (a == (int)face_axis(run.face)) continue;
			side[1] = rat_ok(side[1]) ? rat_min(size, side[0]) : size;
			side[0] = rat_max(size, side[0]);
		}
		side[1] = rat_sub(side[1], rat_mul(rat_int(2), wide)); /* the shorter ones lie between */
		for (size_t k = 0; k < 4; k++) {
			one.w = side[k / 2];
			if (rat_sign(one.w) > 0) add(w, j->name, k + 1, one);
		}
	}
}

static void find_unit(roll_work *w) {
	rat longest = w->width;
	for (size_t i = 0; i < w->sizes.v.n; i++) longest = rat_max(longest, w->sizes.v.v[i].w);
	for (size_t i = 0; i < w->n; i++) {
		const model_roll_part *q = &w->m->layout.roll_parts.v[w->first + i];
		longest = rat_max(longest, rat_max(q->w, q->h));
	}
	layout_unit_take(&w->unit, w->kerf, longest);
	layout_unit_take(&w->unit, w->width, longest);
	for (size_t i = 0; i < w->sizes.v.n; i++) {
		layout_unit_take(&w->unit, w->sizes.v.v[i].w, longest);
		layout_unit_take(&w->unit, w->sizes.v.v[i].trim[EDGE_LEFT], longest);
	}
	for (size_t i = 0; i < w->n; i++) {
		const model_roll_part *q = &w->m->layout.roll_parts.v[w->first + i];
		layout_unit_take(&w->unit, q->w, longest);
		layout_unit_take(&w->unit, q->h, longest);
	}
}

static layout_part engine_part(const roll_work *w, const model_roll_part *q, const layout_stock *stocks, bool cloth) {
	const layout_unit *u = &w->unit;
	layout_part out = {layout_units_up(u, q->w), layout_units_up(u, q->h), 1, cloth};
	for (size_t i = 0; i < w->sizes.v.n; i++)
		out.w = layout_not_beyond(out.w, q->w, layout_room_w(&stocks[i]), layout_size_w(&w->sizes.v.v[i]));
	out.h = layout_not_beyond(out.h, q->h, stocks[0].h, w->width);
	return out;
}

static void take_roll(roll_work *w, const layout_problem *p, const layout_sheet *sheet) {
	model *m = w->m;
	const layout_unit *u = &w->unit;
	model_sheet_plan *plan = LIST_ADD(m->mem, &m->layout.rolls);
	plan->stock = w->stock;
	plan->size = w->sizes.v.v[sheet->stock].row;
	plan->offcut = w->sizes.v.v[sheet->stock].offcut;
	layout_take_cuts(m, u, p, sheet, plan);
	double used = 0;
	for (size_t i = 0; i < sheet->pieces.n; i++) {
		const layout_piece *q = &sheet->pieces.v[i];
		model_piece out = {(model_ref)(w->first + q->part), layout_from_units(u, q->at.x),
				   layout_from_units(u, q->at.y),   layout_from_units(u, q->at.w),
				   layout_from_units(u, q->at.h),   q->turned};
		LIST_PUSH(m->mem, &plan->pieces, out);
		used += rat_double(out.w) * rat_double(out.h);
	}
	plan->used_part = used / (rat_double(plan->w) * rat_double(plan->h));
}

static void take_answer(roll_work *w, const layout_problem *p, const layout_result *r) {
	model_stock_count count = {.stock = w->stock,
				   .by = w->sizes.by,
				   .cost = r->cost / w->sizes.unit,
				   .cost_bound = r->cost_bound / w->sizes.unit,
				   .hand_first = r->hand_first};
	for (size_t i = 0; i < r->sheets.n; i++) {
		bool offcut = w->sizes.v.v[r->sheets.v[i].stock].offcut;
		count.offcuts += offcut;
		count.used += !offcut;
		take_roll(w, p, &r->sheets.v[i]);
	}
	for (size_t i = 0; i < r->unfit.n; i++)
		if (r->unfit.v[i].why == LAYOUT_STOCK_OUT)
			LIST_PUSH(w->m->mem, &count.left, (model_ref)(w->first + r->unfit.v[i].part));
	count.proven = count.left.n == 0 && count.cost == count.cost_bound;
	if (r->sheets.n || count.left.n) LIST_PUSH(w->m->mem, &w->m->layout.counts, count);
}

void layout_rolls(model *m, diags *d, model_ref stock, layout_effort effort) {
	const model_stock *s = &m->stocks.v[stock];
	bool cloth = s->kind == STOCK_MEDIA;
	roll_work w = {.m = m,
		       .stock = stock,
		       .first = m->layout.roll_parts.n,
		       .unit = {1, true},
		       .width = cloth ? s->roll.mm : s->tape_width.mm,
		       .kerf = rat_ok(s->knife.mm) ? s->knife.mm : rat_int(0)};
	if (cloth)
		tubes(&w);
	else
		strips(&w);
	if (w.n == 0) return;
	w.sizes = layout_sizes_of(m->mem, m, stock, w.n);
	find_unit(&w);
	const layout_unit *u = &w.unit;
	LIST(layout_part) parts = {0};
	LIST(layout_stock) stocks = {0};
	for (size_t i = 0; i < w.sizes.v.n; i++) {
		const layout_size *z = &w.sizes.v.v[i];
		layout_stock one = {.w = layout_units_down(u, z->w),
				    .h = layout_units_down(u, w.width),
				    .trim.left = layout_units_up(u, z->trim[EDGE_LEFT]),
				    .price = z->weight,
				    .count = z->count};
		LIST_PUSH(m->mem, &stocks, one);
	}
	for (size_t i = 0; i < w.n; i++)
		LIST_PUSH(m->mem, &parts, engine_part(&w, &m->layout.roll_parts.v[w.first + i], stocks.v, cloth));
	layout_problem p = {.parts = parts.v, .n_parts = parts.n, .stocks = stocks.v, .n_stocks = stocks.n};
	p.kerf = layout_units_up(u, w.kerf);
	p.budget = layout_steps(effort, BARS_BUDGET);
	layout_result r;
	layout_faults faults = {0};
	const char *why = rolls_solve(m->mem, &p, w.sizes.n_hand, &r);
	if (why) {
		layout_limit(m, d, stock, why);
		return;
	}
	if (layout_verify(m->mem, &p, &r, &faults) && layout_verify_hand(m->mem, &p, &r, w.sizes.n_hand, &faults))
		take_answer(&w, &p, &r);
	else
		layout_refuse(m, d, stock, LAYOUT_FAULT_TEXT[faults.v[0].kind]);
}
