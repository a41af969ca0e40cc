/* The air pages: the way branch by branch, the conditions, fan and system, the pressures along the way. */
#include <math.h>

#include "runtime/base/text.h"
#include "runtime/write/book_build.h"

enum { CLEAN, DIRTY, CLEAN_COVERED, DIRTY_COVERED };

static bool shown(const model *m, int condition) {
	return m->air.result[condition].solved && (condition < CLEAN_COVERED || m->air.has_cover);
}

static const char *condition_words(int condition) {
	static const char *const WORDS[AIR_CONDITIONS] = {"filters clean", "filters due", "clean, covered",
							  "due, covered"};
	return WORDS[condition];
}

static const char *space_name(const model *m, model_ref space) {
	return space < m->air.spaces.n ? m->air.spaces.v[space].name : "?"; /* book_plain() where it is shown */
}

static const char *loss(book *b, const model_branch *w, double pa) {
	if (!isfinite(pa)) return "–";
	if (w->kind == AIR_FAN) return arena_printf(b->mem, "gives %s", book_si(b, DIM_PRESSURE, -pa));
	return book_si(b, DIM_PRESSURE, pa);
}

static void way_table(book *b, int condition) {
	static const sheetform_column COLUMNS[] = {{"", 7, ALIGN_RIGHT},	  {"Through", -3, ALIGN_LEFT},
						   {"From → to", -4, ALIGN_LEFT}, {"Open area", 22, ALIGN_RIGHT},
						   {"Flow", 22, ALIGN_RIGHT},	  {"Speed", 21, ALIGN_RIGHT},
						   {"Pressure", 25, ALIGN_RIGHT}};
	const model_air *a = &b->m->air;
	book_cells c = {.columns = 7};
	for (size_t i = 0; i < a->branches.n; i++) {
		const model_branch *w = &a->branches.v[i];
		const model_flow *f = &a->result[condition].flow[i];
		const char *name = w->count > 1 ? arena_printf(b->mem, "%s (%u)", book_plain(b, w->name), w->count)
						: book_plain(b, w->name);
		book_row(b, &c, arena_printf(b->mem, "%zu", i + 1), name,
			 arena_printf(b->mem, "%s → %s", book_plain(b, space_name(b->m, w->from)),
				      book_plain(b, space_name(b->m, w->to))),
			 w->open_m2 > 0 ? book_si(b, DIM_AREA, w->open_m2) : "", book_si(b, DIM_FLOW, f->flow_m3_s),
			 w->open_m2 > 0 ? book_si(b, DIM_SPEED, f->speed_m_s) : "", loss(b, w, f->loss_pa));
	}
	book_cells_draw(b, COLUMNS, 7, &c, false, false);
}

/* ---- the way, drawn --------------------------------------------------------------------------------------- */

/* Through the openings, across the axis along which the air goes least; the branches are numbered as in the table. */
static void section(book *b, int condition) {
	const model *m = b->m;
	view_scene scene = view_from_model(b->mem, m, NULL, NULL, false);
	if (!scene.n) return;
	axis normal = view_air_axis(m);
	double ratio =
		rat_double(box_size(m->bounds, AXIS_Z)) / rat_double(box_size(m->bounds, (axis)(1 - (int)normal)));
	const double least = fmin(122, book_width(b) * ratio), foot = 16;
	book_need(b, least + foot);
	/* Large enough for its numbers: all that the page leaves, as far as the section is wide enough for it. */
	const double high = fmin(book_left(b) - foot, (book_width(b) - 10) * ratio);
	view_options options = {.measures = m->measures};
	display_box into = display_box_of(b->area.x0, b->y, book_width(b), high);
	const model_flow *flow = m->air.result[condition].solved ? m->air.result[condition].flow : NULL;
	if (b->total) view_air_section(b->page, into, m, &scene, normal, normal == AXIS_X, flow, &options);
	b->y += high + 2;
	book_small(
		b,
		arena_printf(
			b->mem,
			"Cut through the openings, seen from the %s. The numbers are those of the table. A ring with "
			"a point: the air comes towards you; with a cross: it goes away from you.",
			normal == AXIS_X ? "right" : "front"));
	b->y += 2;
}

/* ---- conditions -------------------------------------------------------------------------------------------- */

typedef const char *(*figure)(book *b, int condition, size_t row);

static const char *fan_flow(book *b, int condition, size_t row) {
	return book_si(b, DIM_FLOW, b->m->air.result[condition].flow[row].flow_m3_s);
}

static const char *fan_rise(book *b, int condition, size_t row) {
	return book_si(b, DIM_PRESSURE, -b->m->air.result[condition].flow[row].loss_pa);
}

static const char *open_speed(book *b, int condition, size_t row) {
	return book_si(b, DIM_SPEED, b->m->air.result[condition].flow[row].speed_m_s);
}

static const char *face_speed(book *b, int condition, size_t row) {
	return book_si(b, DIM_SPEED, b->m->air.result[condition].flow[row].face_m_s);
}

static const char *branch_loss(book *b, int condition, size_t row) {
	return book_si(b, DIM_PRESSURE, b->m->air.result[condition].flow[row].loss_pa);
}

static const char *gauge(book *b, int condition, size_t row) {
	return book_si(b, DIM_PRESSURE, b->m->air.result[condition].pressure_pa[row]);
}

static const char *shaft(book *b, int condition, size_t row) {
	(void)row;
	return book_si(b, DIM_POWER, b->m->air.result[condition].shaft_w);
}

static const char *remark(book *b, int condition, size_t row) {
	(void)row;
	const model_air_result *r = &b->m->air.result[condition];
	if (r->off_curve) return "fan off its curve";
	return r->in_stall ? "fan in stall" : "on the curve";
}

static void condition_row(book *b, book_cells *c, const char *name, figure what, size_t row) {
	LIST_PUSH(b->mem, &c->v, book_plain(b, name));
	for (int k = 0; k < AIR_CONDITIONS; k++)
		if (k < CLEAN_COVERED || b->m->air.has_cover)
			LIST_PUSH(b->mem, &c->v, shown(b->m, k) ? what(b, k, row) : "–");
}

static void branch_rows(book *b, book_cells *c, size_t i) {
	const model_branch *w = &b->m->air.branches.v[i];
	switch (w->kind) {
	case AIR_FAN:
		condition_row(b, c, arena_printf(b->mem, "%s: flow", w->name), fan_flow, i);
		condition_row(b, c, arena_printf(b->mem, "%s: pressure it gives", w->name), fan_rise, i);
		break;
	case AIR_GAP:
	case AIR_OPENINGS:
		condition_row(b, c, arena_printf(b->mem, "%s: speed in the open area", w->name), open_speed, i);
		if (w->kind == AIR_OPENINGS && w->plan_m2 > 0)
			condition_row(b, c, arena_printf(b->mem, "%s: speed over the whole face", w->name), face_speed,
				      i);
		break;
	case AIR_FILTER:
	case AIR_TUBES:
		condition_row(b, c, arena_printf(b->mem, "%s: filtration speed", w->name), open_speed, i);
		condition_row(b, c, arena_printf(b->mem, "%s: loss", w->name), branch_loss, i);
		break;
	default:
		break;
	}
}

static void conditions(book *b) {
	const model *m = b->m;
	size_t n = m->air.has_cover ? AIR_CONDITIONS : 2;
	sheetform_column columns[AIR_CONDITIONS + 1] = {{"", -4, ALIGN_LEFT}};
	for (size_t k = 0; k < n; k++)
		columns[k + 1] = (sheetform_column){book_title_case(b, condition_words((int)k)), 28, ALIGN_RIGHT};
	book_cells c = {.columns = n + 1};
	for (size_t i = 0; i < m->air.branches.n; i++) branch_rows(b, &c, i);
	for (size_t i = 0; i < m->air.spaces.n; i++)
		if (!m->air.spaces.v[i].room)
			condition_row(b, &c,
				      arena_printf(b->mem, "%s: gauge against the room", m->air.spaces.v[i].name),
				      gauge, i);
	if (isfinite(m->air.result[CLEAN].shaft_w)) condition_row(b, &c, "Shaft power", shaft, 0);
	condition_row(b, &c, "The fan works", remark, 0);
	book_heading_with(b, "In every condition", book_cells_height(b, columns, n + 1, &c));
	book_cells_draw(b, columns, n + 1, &c, false, false);
}

/* ---- fan and system ------------------------------------------------------------------------------------------ */

enum { CURVE_POINTS = 60 };

typedef struct curves {
	LIST(sheetform_curve) v;
} curves;

static double most_flow(const model *m, size_t branch) {
	const model_branch *w = &m->air.branches.v[branch];
	const model_stock *s = w->stock < m->stocks.n ? &m->stocks.v[w->stock] : NULL;
	double most = s && s->curve.n ? s->curve.v[s->curve.n - 1].flow_m3_s * (double)w->count : 0;
	return most;
}

static void add_fan_curve(book *b, curves *c, size_t branch) {
	const model *m = b->m;
	double most = most_flow(m, branch);
	LIST(display_point) p = {0};
	for (int i = 0; b->curves && i <= CURVE_POINTS; i++) {
		double flow = most * i / CURVE_POINTS, rise = b->curves->gives(m, b->mem, (model_ref)branch, flow);
		if (!isfinite(rise)) continue;
		LIST_PUSH(b->mem, &p,
			  ((display_point){book_in_unit(b, DIM_FLOW, flow), book_in_unit(b, DIM_PRESSURE, rise)}));
	}
	if (p.n > 1) LIST_PUSH(b->mem, &c->v, ((sheetform_curve){"fan", p.v, p.n, PEN_FRAME}));
}

static void add_system_curve(book *b, curves *c, size_t branch, int condition, double top) {
	static const display_pen PENS[AIR_CONDITIONS] = {PEN_PART, PEN_OUTLINE, PEN_CHAIN, PEN_DASHED};
	const model *m = b->m;
	double most = most_flow(m, branch);
	LIST(display_point) p = {0};
	for (int i = 0; b->curves && i <= CURVE_POINTS; i++) {
		double flow = most * i / CURVE_POINTS;
		double rise = b->curves->needs(m, b->mem, condition, (model_ref)branch, flow);
		if (!isfinite(rise) || rise > top) continue;
		LIST_PUSH(b->mem, &p,
			  ((display_point){book_in_unit(b, DIM_FLOW, flow), book_in_unit(b, DIM_PRESSURE, rise)}));
	}
	if (p.n > 1)
		LIST_PUSH(b->mem, &c->v, ((sheetform_curve){condition_words(condition), p.v, p.n, PENS[condition]}));
}

static void fan_plot(book *b, size_t branch) {
	const model *m = b->m;
	const model_branch *w = &m->air.branches.v[branch];
	const model_stock *s = w->stock < m->stocks.n ? &m->stocks.v[w->stock] : NULL;
	LIST(sheetform_mark) marks = {0};
	double top = 0;
	for (size_t i = 0; s && i < s->curve.n; i++) top = fmax(top, s->curve.v[i].pressure_pa);
	for (int k = 0; k < AIR_CONDITIONS; k++) {
		if (!shown(m, k)) continue;
		const model_flow *f = &m->air.result[k].flow[branch];
		LIST_PUSH(b->mem, &marks,
			  ((sheetform_mark){book_in_unit(b, DIM_FLOW, f->flow_m3_s),
					    book_in_unit(b, DIM_PRESSURE, -f->loss_pa),
					    arena_printf(b->mem, "%s: %s", condition_words(k),
							 book_si(b, DIM_FLOW, f->flow_m3_s))}));
	}
	curves c = {0};
	add_fan_curve(b, &c, branch);
	for (int k = 0; k < AIR_CONDITIONS; k++)
		if (shown(m, k)) add_system_curve(b, &c, branch, k, top);
	bool stall = s && isfinite(s->stall_m3_s.v);
	sheetform_plot plot = {.x_label = arena_printf(b->mem, "Flow, %s", book_unit(b, DIM_FLOW)),
			       .y_label = arena_printf(b->mem, "Pressure, %s", book_unit(b, DIM_PRESSURE)),
			       .curve = c.v.v,
			       .n_curves = c.v.n,
			       .mark = marks.v,
			       .n_marks = marks.n,
			       .x_max = book_in_unit(b, DIM_FLOW, most_flow(m, branch)) * 1.06,
			       .shade_x1 = stall ? book_in_unit(b, DIM_FLOW, s->stall_m3_s.v * (double)w->count) : 0,
			       .shade_label = stall ? "stall" : NULL};
	book_need(b, 122);
	book_heading(b, arena_printf(b->mem, "Fan and system: %s", book_plain(b, w->name)));
	sheetform_plot_draw(b->page, display_box_of(b->area.x0, b->y, book_width(b), 92), &plot);
	b->y += 95;
	book_small(b, arena_printf(
			      b->mem,
			      "The fan works where its curve meets the curve of everything the air goes through. Fan: "
			      "%s%s%s. Each other line is the pressure that the network asks for at that flow.",
			      s ? book_stock_label(b, w->stock) : w->name, s && s->source ? "; figures: " : "",
			      s && s->source ? s->source : ""));
}

/* ---- pressures along the way ----------------------------------------------------------------------------------- */

/* Out of each space through the branch that carries most, until the room is reached again. */
static size_t main_way(const model *m, arena *mem, model_ref *branch) {
	const model_air *a = &m->air;
	bool *used = ARENA_MANY(mem, bool, a->branches.n + 1);
	model_ref at = 0;
	size_t n = 0;
	while (n < a->branches.n) {
		model_ref best = MODEL_NONE;
		for (model_ref i = 0; i < a->branches.n; i++) {
			const model_branch *w = &a->branches.v[i];
			if (w->from != at || used[i] || w->kind == AIR_LEAK) continue;
			if (best == MODEL_NONE ||
			    a->result[DIRTY].flow[i].flow_m3_s > a->result[DIRTY].flow[best].flow_m3_s)
				best = i;
		}
		if (best == MODEL_NONE) break;
		used[best] = true, branch[n++] = best, at = a->branches.v[best].to;
		if (a->spaces.v[at].room) break;
	}
	return n;
}

typedef struct ladder { /* scale of the stepped line */
	double x0, x1, y_of_0, per_unit;
} ladder;

static double ladder_y(const ladder *l, double v) { return l->y_of_0 - v * l->per_unit; }

static void ladder_line(book *b, const ladder *l, const model_ref *way, size_t n, int condition, display_pen pen) {
	const model_air *a = &b->m->air;
	double each = (l->x1 - l->x0) / (double)(n + 1), x = l->x0, y = ladder_y(l, 0);
	display_move(b->page, x, y);
	for (size_t i = 0; i < n; i++) {
		double v = book_in_unit(b, DIM_PRESSURE, a->result[condition].pressure_pa[a->branches.v[way[i]].to]);
		x += each;
		display_line(b->page, x, y);
		y = ladder_y(l, v);
		display_line(b->page, x, y);
	}
	display_line(b->page, l->x1, y);
	display_paint(b->page, pen, FILL_NONE);
}

static void ladder_scale(book *b, const ladder *l, double low, double high) {
	double step = sheetform_round_step(high - low, 6);
	for (double v = ceil(low / step - 1e-9) * step; v <= high + step * 1e-6; v += step) {
		double y = ladder_y(l, v);
		display_segment(b->page, fabs(v) < step / 2 ? PEN_DIM : PEN_HATCH, l->x0, y, l->x1, y);
		display_text(b->page, l->x0 - 2, y + CAP_SMALL / 2, CAP_SMALL, ALIGN_RIGHT, book_number(b, v, 3));
	}
}

static void ladder_names(book *b, const ladder *l, const model_ref *way, size_t n, double y) {
	const model_air *a = &b->m->air;
	double each = (l->x1 - l->x0) / (double)(n + 1);
	const display_style middle = {.cap = CAP_SMALL, .align = ALIGN_CENTRE};
	for (size_t i = 0; i <= n; i++) {
		double x = l->x0 + each * ((double)i + 0.5);
		const char *space = i == 0 ? "room" : space_name(b->m, a->branches.v[way[i - 1]].to);
		const char *const *lines;
		size_t rows = display_wrap(b->mem, FONT_REGULAR, CAP_SMALL, each - 1.5, book_plain(b, space), &lines);
		for (size_t k = 0; k < rows && k < 3; k++)
			display_text_style(b->page, x, y + CAP_SMALL + (double)k * 3.2, &middle, lines[k]);
		if (i == n) break;
		double at = l->x0 + each * (double)(i + 1);
		display_circle(b->page, PEN_DIM, FILL_BLACK, at, y - 5, 2.4);
		display_text_style(b->page, at, y - 4.1,
				   &(display_style){.cap = 1.8, .font = FONT_BOLD, .align = ALIGN_CENTRE, .grey = 1},
				   arena_printf(b->mem, "%u", way[i] + 1));
		display_segment(b->page, PEN_HATCH, at, y - 8, at, ladder_y(l, 0));
	}
}

static void pressures(book *b) {
	const model *m = b->m;
	model_ref *way = ARENA_MANY(b->mem, model_ref, m->air.branches.n + 1);
	size_t n = main_way(m, b->mem, way);
	if (n < 2) return;
	double low = 0, high = 0;
	for (int k = CLEAN; k <= DIRTY; k++)
		for (size_t i = 0; shown(m, k) && i < m->air.spaces.n; i++) {
			double v = book_in_unit(b, DIM_PRESSURE, m->air.result[k].pressure_pa[i]);
			low = fmin(low, v), high = fmax(high, v);
		}
	if (!(high > low)) return;
	double step = sheetform_round_step(high - low, 6);
	low = floor(low / step) * step, high = ceil(high / step) * step;
	book_need(b, 108);
	book_heading(b,
		     arena_printf(b->mem, "Pressure along the way, %s against the room", book_unit(b, DIM_PRESSURE)));
	const double plot = 62;
	ladder l = {b->area.x0 + 14, b->area.x1, 0, plot / (high - low)};
	l.y_of_0 = b->y + 4 + high * l.per_unit;
	double foot = b->y + 4 + plot + 10;
	ladder_scale(b, &l, low, high);
	ladder_names(b, &l, way, n, foot);
	if (shown(m, CLEAN)) ladder_line(b, &l, way, n, CLEAN, PEN_DASHED);
	ladder_line(b, &l, way, n, DIRTY, PEN_OUTLINE);
	b->y = foot + 12;
	book_small(b, "Full line: filters due for care. Dashed line: filters clean. The circled numbers are those of "
		      "the table; "
		      "each step down is a loss, the step up is the fan.");
}

/* ---- the chapter ------------------------------------------------------------------------------------------------ */

void book_air(book *b) {
	const model *m = b->m;
	if (!m->air.given || !m->air.result[DIRTY].solved) return;
	book_chapter(b, "The way of the air", "air");
	book_paragraph(
		b,
		arena_printf(b->mem,
			     "What the air goes through, with the filters due for care. Air of %s at %s, %s above the "
			     "sea. Speeds stand on the open area; the fan's free-air rating is used nowhere.",
			     book_si(b, DIM_DENSITY, m->air.density_kg_m3),
			     book_si(b, DIM_TEMPERATURE, m->air.temperature_k),
			     m->measures == MEASURES_INCH
				     ? arena_printf(b->mem, "%s ft", book_number(b, m->air.altitude_m / 0.3048, 0))
				     : arena_printf(b->mem, "%s m", book_number(b, m->air.altitude_m, 0))));
	b->y += 1;
	way_table(b, DIRTY);
	section(b, DIRTY);
	conditions(b);
	for (size_t i = 0; i < m->air.branches.n; i++)
		if (m->air.branches.v[i].kind == AIR_FAN) fan_plot(b, i);
	pressures(b);
	book_air_rules(b);
}
