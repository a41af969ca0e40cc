/* Fan and system: the fan's curve at each tap, what the way of the air asks in each state, where they meet. */
#include <math.h>

#include "runtime/base/text.h"
#include "runtime/write/book_build.h"

enum { CURVE_POINTS = 60 };

typedef struct book_fan { /* its curves and those of the system */
	LIST(sheetform_curve) v;
} curves;

static const model_stock *stock_of(const model *m, size_t branch) {
	model_ref s = m->air.branches.v[branch].stock;
	return s < m->stocks.n ? &m->stocks.v[s] : NULL;
}

static double published_most(const model *m, size_t branch) {
	const model_stock *s = stock_of(m, branch);
	return s && s->curve.n ? s->curve.v[s->curve.n - 1].flow_m3_s * (double)m->air.branches.v[branch].count : 0;
}

/* The largest flow of any curve: a tap may run faster than the published one. */
static double most_flow(const model *m, size_t branch) {
	double most = published_most(m, branch);
	for (int c = 0; c < model_conditions(m); c++) {
		const model_air_result *r = &m->air.result[c];
		if (!book_air_shown(m, c) || !r->fan || !r->fan[branch].gives.n) continue;
		most = fmax(most, r->fan[branch].gives.v[r->fan[branch].gives.n - 1].flow_m3_s);
	}
	return most;
}

static display_point point(book *b, double flow, double rise) {
	return (display_point){book_in_unit(b, DIM_FLOW, flow), book_in_unit(b, DIM_PRESSURE, rise)};
}

/* At the published speed finely, at a tap as the solution sampled it. */
static void fan_curve(book *b, curves *c, size_t branch, int tap) {
	const model *m = b->m;
	const char *name = model_condition_tap(m, tap * AIR_STATES);
	double most = published_most(m, branch);
	LIST(display_point) p = {0};
	for (int i = 0; tap == 0 && b->curves && i <= CURVE_POINTS; i++) {
		double flow = most * i / CURVE_POINTS, rise = b->curves->gives(m, b->mem, (model_ref)branch, flow);
		if (isfinite(rise)) LIST_PUSH(b->mem, &p, point(b, flow, rise));
	}
	for (int k = 0; tap > 0 && k < AIR_STATES && !p.n; k++) {
		const model_air_result *r = &m->air.result[tap * AIR_STATES + k];
		if (!book_air_shown(m, tap * AIR_STATES + k) || !r->fan) continue;
		for (size_t i = 0; i < r->fan[branch].gives.n; i++)
			LIST_PUSH(b->mem, &p,
				  point(b, r->fan[branch].gives.v[i].flow_m3_s, r->fan[branch].gives.v[i].pressure_pa));
	}
	if (p.n > 1)
		LIST_PUSH(
			b->mem, &c->v,
			((sheetform_curve){name ? arena_printf(b->mem, "fan, %s", name) : "fan", p.v, p.n, PEN_FRAME}));
}

/* What the way asks does not depend on the tap. */
static void system_curve(book *b, curves *c, size_t branch, int state, double top) {
	static const display_pen PENS[AIR_STATES] = {PEN_PART,	 PEN_OUTLINE, PEN_CHAIN,
						     PEN_DASHED, PEN_PHANTOM, PEN_HIDDEN};
	const model *m = b->m;
	double most = most_flow(m, branch);
	LIST(display_point) p = {0};
	for (int i = 0; b->curves && i <= CURVE_POINTS; i++) {
		double flow = most * i / CURVE_POINTS;
		double rise = b->curves->needs(m, b->mem, state, (model_ref)branch, flow);
		if (isfinite(rise) && rise <= top) LIST_PUSH(b->mem, &p, point(b, flow, rise));
	}
	if (p.n > 1) LIST_PUSH(b->mem, &c->v, ((sheetform_curve){book_air_state(state), p.v, p.n, PENS[state]}));
}

static const char *letter(book *b, size_t i) {
	return i < 26 ? arena_printf(b->mem, "%c", (char)('A' + (int)i)) : arena_printf(b->mem, "%zu", i + 1);
}

/* Letters at the points where the fan works, and a row for each in the table below. */
static size_t operating_points(book *b, size_t branch, sheetform_mark *mark, book_cells *c) {
	const model *m = b->m;
	const model_stock *s = stock_of(m, branch);
	size_t n = 0;
	for (int k = 0; k < model_conditions(m); k++) {
		if (!book_air_shown(m, k)) continue;
		const model_flow *f = &m->air.result[k].flow[branch];
		const model_fan_state *at = m->air.result[k].fan ? &m->air.result[k].fan[branch] : NULL;
		double eta = s ? s->efficiency.v : (double)NAN;
		/* The branch gives less than the fan where the plan declares what a bad approach costs. */
		double rise = at ? at->rise_pa : -f->loss_pa;
		display_point p = point(b, f->flow_m3_s, rise);
		mark[n] = (sheetform_mark){p.x, p.y, letter(b, n)};
		const char *tap = model_condition_tap(m, k);
		const char *state = book_title_case(b, book_air_state(k));
		book_row(b, c, letter(b, n), tap ? arena_printf(b->mem, "%s, fan at %s", state, tap) : state,
			 book_si(b, DIM_FLOW, f->flow_m3_s), book_si(b, DIM_PRESSURE, rise),
			 eta > 0 ? book_si(b, DIM_POWER, f->flow_m3_s * rise / eta) : "–",
			 !at	      ? "–"
			 : at->stall  ? "in its stall range"
			 : at->rising ? "left of its peak"
				      : "on its curve");
		n++;
	}
	return n;
}

static double top_pressure(const model *m, size_t branch) {
	const model_stock *s = stock_of(m, branch);
	double top = 0;
	for (size_t i = 0; s && i < s->curve.n; i++) top = fmax(top, s->curve.v[i].pressure_pa);
	for (int c = 0; c < model_conditions(m); c++)
		for (size_t i = 0;
		     book_air_shown(m, c) && m->air.result[c].fan && i < m->air.result[c].fan[branch].gives.n; i++)
			top = fmax(top, m->air.result[c].fan[branch].gives.v[i].pressure_pa);
	return top;
}

/* The network is asked for each point, so once for all runs. */
static const curves *curves_of(book *b, size_t branch) {
	const model *m = b->m;
	if (!b->fan) b->fan = ARENA_MANY(b->keep, curves, m->air.branches.n);
	curves *all = &b->fan[branch];
	if (all->v.n) return all;
	arena *run = b->mem;
	b->mem = b->keep;
	for (int tap = 0; tap * AIR_STATES < model_conditions(m); tap++) fan_curve(b, all, branch, tap);
	for (int k = 0; k < AIR_STATES; k++)
		if (book_air_shown(m, k)) system_curve(b, all, branch, k, top_pressure(m, branch));
	b->mem = run;
	return all;
}

static void fan_plot(book *b, size_t branch) {
	static const sheetform_column COLUMNS[] = {
		{"", 8, ALIGN_LEFT},	       {"Condition", -4, ALIGN_LEFT},	 {"Flow", 26, ALIGN_RIGHT},
		{"Pressure", 26, ALIGN_RIGHT}, {"Shaft power", 26, ALIGN_RIGHT}, {"It works", 34, ALIGN_LEFT}};
	const model *m = b->m;
	const model_branch *w = &m->air.branches.v[branch];
	const model_stock *s = stock_of(m, branch);
	sheetform_mark mark[AIR_MOST_CONDITIONS];
	book_cells c = {.columns = 6};
	size_t n = operating_points(b, branch, mark, &c);
	const curves *all = curves_of(b, branch);
	const double high = (b->area.y1 - b->area.y0) * 0.3; /* it and the stepped line share a page */
	bool stall = s && isfinite(s->stall_m3_s.v);
	sheetform_plot plot = {.x_label = arena_printf(b->mem, "Flow, %s", book_unit(b, DIM_FLOW)),
			       .y_label = arena_printf(b->mem, "Pressure, %s", book_unit(b, DIM_PRESSURE)),
			       .curve = all->v.v,
			       .n_curves = all->v.n,
			       .mark = mark,
			       .n_marks = n,
			       .x_max = book_in_unit(b, DIM_FLOW, most_flow(m, branch)) * 1.06,
			       .shade_x1 = stall ? book_in_unit(b, DIM_FLOW, s->stall_m3_s.v * (double)w->count) : 0,
			       .shade_label = stall ? "stall" : NULL};
	book_heading_with(b, arena_printf(b->mem, "Fan and system: %s", book_plain(b, w->name)),
			  high + 4 + book_cells_height(b, COLUMNS, 6, &c) + 8);
	sheetform_plot_draw(b->page, display_box_of(b->area.x0, b->y, book_width(b), high), &plot);
	b->y += high + 3;
	book_cells_draw(b, COLUMNS, 6, &c, false, false);
	b->y -= 2;
	book_small(b,
		   arena_printf(
			   b->mem,
			   "The fan works where its curve (heavy) meets the curve of everything the air goes through. "
			   "Fan: %s%s%s. Each other line is the pressure that the network asks for at that flow.%s",
			   s ? book_stock_label(b, w->stock) : w->name, s && s->source ? "; figures: " : "",
			   s && s->source ? s->source : "",
			   stall && model_condition_tap(m, model_conditions(m) - 1)
				   ? " The stall range is that of the published speed; at a tap it goes with the speed."
				   : ""));
}

void book_air_fans(book *b) {
	for (size_t i = 0; i < b->m->air.branches.n; i++)
		if (b->m->air.branches.v[i].kind == AIR_FAN) fan_plot(b, i);
}
