/* The air pages: the way branch by branch, drawn through a section, and its figures in every condition. */
#include <math.h>

#include "runtime/base/text.h"
#include "runtime/write/book_build.h"

enum { CLEAN, DIRTY };

bool book_air_shown(const model *m, int condition) {
	return model_condition_given(m, condition) && m->air.result[condition].solved;
}

const char *book_air_state(int condition) {
	static const char *const WORDS[AIR_STATES] = {"filters clean", "filters due",	      "clean, covered",
						      "due, covered",  "clean, work laid on", "due, work laid on"};
	return WORDS[condition % AIR_STATES];
}

/* A space that the plan does not name lies between two branches: said by their numbers. */
static const char *short_name(book *b, model_ref space) {
	const model_air *a = &b->m->air;
	size_t before = 0, after = 0;
	if (space >= a->spaces.n) return "?";
	if (a->spaces.v[space].named) return book_plain(b, a->spaces.v[space].name);
	for (size_t i = 0; i < a->branches.n; i++) {
		if (a->branches.v[i].kind == AIR_LEAK) continue;
		if (a->branches.v[i].to == space && !before) before = i + 1;
		if (a->branches.v[i].from == space) after = i + 1;
	}
	if (!before || !after) return book_plain(b, a->spaces.v[space].name);
	return arena_printf(b->mem, "between %zu and %zu", before, after);
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
			 arena_printf(b->mem, "%s → %s", short_name(b, w->from), short_name(b, w->to)),
			 w->open_m2 > 0 ? book_si(b, DIM_AREA, w->open_m2) : "", book_si(b, DIM_FLOW, f->flow_m3_s),
			 w->open_m2 > 0 ? book_si(b, DIM_SPEED, f->speed_m_s) : "", loss(b, w, f->loss_pa));
	}
	book_cells_draw(b, COLUMNS, 7, &c, false, false);
}

/* ---- the way, drawn --------------------------------------------------------------------------------------- */

/* Name and gauge readings of every space that a gauge can be put to. */
static const char *const *space_labels(book *b) {
	const model *m = b->m;
	const char **label = ARENA_MANY(b->mem, const char *, m->air.spaces.n + 1);
	for (model_ref s = 0; s < m->air.spaces.n; s++) {
		label[s] = NULL;
		if (m->air.spaces.v[s].room || model_space_in_stream(m, s)) continue;
		label[s] = short_name(b, s);
		if (book_air_shown(m, CLEAN))
			label[s] = arena_printf(b->mem, "%s\nclean %s", label[s],
						book_si(b, DIM_PRESSURE, m->air.result[CLEAN].pressure_pa[s]));
		if (book_air_shown(m, DIRTY))
			label[s] = arena_printf(b->mem, "%s\ndue %s", label[s],
						book_si(b, DIM_PRESSURE, m->air.result[DIRTY].pressure_pa[s]));
	}
	return label;
}

/* Through the openings, across the axis along which the air goes least; the branches are numbered as in the table. */
static void section(book *b, int condition) {
	const model *m = b->m;
	view_scene scene = view_from_model(b->mem, m, NULL, NULL, false);
	if (!scene.n) return;
	axis normal = view_air_axis(m);
	double ratio =
		rat_double(box_size(m->bounds, AXIS_Z)) / rat_double(box_size(m->bounds, (axis)(1 - (int)normal)));
	const double least = fmin(122, book_width(b) * ratio), foot = 20;
	book_need(b, least + foot);
	/* Large enough for its numbers: all that the page leaves, as far as the section is wide enough for it. */
	const double high = fmin(book_left(b) - foot, (book_width(b) - 10) * ratio + 16);
	view_options options = {.measures = m->measures};
	display_box into = display_box_of(b->area.x0, b->y, book_width(b), high);
	const model_flow *flow = m->air.result[condition].solved ? m->air.result[condition].flow : NULL;
	if (b->total)
		view_air_section(b->page, into, m, &scene, normal, normal == AXIS_X, flow, space_labels(b), &options);
	b->y += high + 2;
	book_small(b, arena_printf(
			      b->mem,
			      "Cut through the openings, seen from the %s. The numbers are those of the table. In each "
			      "space stands what a gauge reads there against the room, filters clean and due. A ring "
			      "with a point: the air comes towards you; with a cross: it goes away from you.",
			      normal == AXIS_X ? "right" : "front"));
	b->y += 2;
}

/* ---- conditions -------------------------------------------------------------------------------------------- */

typedef const char *(*figure)(book *b, int condition, size_t row);

static const char *flow_of(book *b, int condition, size_t row) {
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

static const char *grille_speed(book *b, int condition, size_t row) {
	return book_si(b, DIM_SPEED, b->m->air.result[condition].flow[row].grille_m_s);
}

static const char *upward_speed(book *b, int condition, size_t row) {
	return book_si(b, DIM_SPEED, b->m->air.result[condition].flow[row].upward_m_s);
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

static const char *mains(book *b, int condition, size_t row) {
	(void)row;
	return book_si(b, DIM_POWER, b->m->air.result[condition].mains_w);
}

static const char *remark(book *b, int condition, size_t row) {
	(void)row;
	const model_air_result *r = &b->m->air.result[condition];
	if (r->off_curve) return "fan off its curve";
	return r->in_stall ? "fan in stall" : "on the curve";
}

static const char *into_room(book *b, int condition, size_t row) {
	(void)row;
	return book_si(b, DIM_FLOW, b->m->air.result[condition].into_room_m3_s);
}

static const char *makeup(book *b, int condition, size_t row) {
	(void)row;
	return book_si(b, DIM_FLOW, b->m->air.result[condition].makeup_m3_s);
}

static const char *captured(book *b, int condition, size_t row) {
	return book_si(b, DIM_SPEED, b->m->air.releases.v[row].speed_m_s[condition]);
}

typedef struct states { /* the conditions of one tap that the plan asks for */
	int v[AIR_STATES];
	size_t n;
} states;

static states states_of(const model *m, int tap) {
	states s = {{0}, 0};
	for (int k = 0; k < AIR_STATES; k++)
		if (model_condition_given(m, tap * AIR_STATES + k)) s.v[s.n++] = tap * AIR_STATES + k;
	return s;
}

static void condition_row(book *b, book_cells *c, const states *s, const char *name, figure what, size_t row) {
	LIST_PUSH(b->mem, &c->v, name);
	for (size_t k = 0; k < s->n; k++)
		LIST_PUSH(b->mem, &c->v, book_air_shown(b->m, s->v[k]) ? what(b, s->v[k], row) : "–");
}

static void branch_rows(book *b, book_cells *c, const states *s, size_t i) {
	const model_branch *w = &b->m->air.branches.v[i];
	const model_flow *f = &b->m->air.result[DIRTY].flow[i];
	if (w->kind == AIR_LEAK) return;
	book_group_row(b, c, arena_printf(b->mem, "%zu  %s", i + 1, book_plain(b, w->name)));
	condition_row(b, c, s, "flow", flow_of, i);
	if (w->kind == AIR_FAN) {
		condition_row(b, c, s, "pressure it gives", fan_rise, i);
		return;
	}
	bool media = w->kind == AIR_FILTER || w->kind == AIR_TUBES;
	condition_row(b, c, s, media ? "filtration speed" : "speed in the open area", open_speed, i);
	if (isfinite(f->grille_m_s) && w->count > 1) condition_row(b, c, s, "speed over the grille", grille_speed, i);
	if ((w->kind == AIR_OPENINGS || w->kind == AIR_FILTER) && w->plan_m2 > 0)
		condition_row(b, c, s, "speed over the whole face", face_speed, i);
	if (isfinite(f->upward_m_s)) condition_row(b, c, s, "upward between tubes", upward_speed, i);
	condition_row(b, c, s, "pressure it costs", branch_loss, i);
}

/* The speed that reaches the dust, where the plan says it arises before an opening. */
static void release_rows(book *b, book_cells *c, const states *s) {
	const model_air *a = &b->m->air;
	bool head = false;
	for (size_t i = 0; i < a->releases.n; i++) {
		const model_release *r = &a->releases.v[i];
		if (r->over || r->branch >= a->branches.n) continue;
		if (!head) book_group_row(b, c, "Speed that reaches the dust"), head = true;
		condition_row(b, c, s,
			      arena_printf(b->mem, "%s before %s, %s", book_reckoned(b, r->distance_m * 1000, 10),
					   book_plain(b, a->branches.v[r->branch].name), MODEL_HOOD_SPOKEN[r->hood]),
			      captured, i);
	}
}

static void conditions_of(book *b, int tap) {
	const model *m = b->m;
	states s = states_of(m, tap);
	if (!s.n) return;
	sheetform_column columns[AIR_STATES + 1] = {{"", -4, ALIGN_LEFT}};
	for (size_t k = 0; k < s.n; k++)
		columns[k + 1] =
			(sheetform_column){book_title_case(b, book_air_state(s.v[k])), s.n > 4 ? 22 : 28, ALIGN_RIGHT};
	book_cells c = {.columns = s.n + 1};
	for (size_t i = 0; i < m->air.branches.n; i++) branch_rows(b, &c, &s, i);
	book_group_row(b, &c, "Gauge against the room");
	for (model_ref i = 0; i < m->air.spaces.n; i++)
		if (!m->air.spaces.v[i].room && !model_space_in_stream(m, i))
			condition_row(b, &c, &s, book_plain(b, m->air.spaces.v[i].name), gauge, i);
	release_rows(b, &c, &s);
	book_group_row(b, &c, "The fans together");
	if (isfinite(m->air.result[s.v[0]].shaft_w)) condition_row(b, &c, &s, "shaft power", shaft, 0);
	if (isfinite(m->air.result[s.v[0]].mains_w)) condition_row(b, &c, &s, "power from the mains", mains, 0);
	condition_row(b, &c, &s, "they work", remark, 0);
	if (m->air.exhausts_outdoors)
		condition_row(b, &c, &s, "must come in from outdoors", makeup, 0);
	else
		condition_row(b, &c, &s, "blown into the room", into_room, 0);
	const char *name = model_condition_tap(m, s.v[0]);
	book_heading_with(b, name ? arena_printf(b->mem, "In every condition, fan at %s", name) : "In every condition",
			  book_cells_height(b, columns, s.n + 1, &c));
	book_cells_draw(b, columns, s.n + 1, &c, false, false);
}

/* ---- how evenly fields draw ------------------------------------------------------------------------------------ */

static void spreads(book *b) {
	static const sheetform_column COLUMNS[] = {
		{"Field", -4, ALIGN_LEFT},	     {"Rows along the way", 32, ALIGN_RIGHT},
		{"Box behind it", 26, ALIGN_RIGHT},  {"Fastest / mean", 26, ALIGN_RIGHT},
		{"Slowest / mean", 26, ALIGN_RIGHT}, {"Along the box", 26, ALIGN_RIGHT}};
	const model *m = b->m;
	book_cells c = {.columns = 6};
	for (size_t i = 0; i < m->air.branches.n; i++) {
		const model_branch *w = &m->air.branches.v[i];
		const model_spread *s = &w->spread;
		if (w->kind != AIR_OPENINGS || !s->known) continue;
		book_row(b, &c, book_plain(b, w->name), arena_printf(b->mem, "%u", s->rows),
			 book_reckoned(b, s->depth_m * 1000, 10), book_number(b, s->most, 2),
			 s->least > 0 ? book_number(b, s->least, 2) : "some backwards",
			 book_si(b, DIM_SPEED, s->plenum_m_s));
	}
	if (!c.v.n) return;
	book_heading_with(b, "How evenly the openings draw", 10 + book_cells_height(b, COLUMNS, 6, &c));
	book_cells_draw(b, COLUMNS, 6, &c, false, false);
	b->y -= 2;
	book_small(
		b,
		"Filters due. Speed of the fastest and the slowest row of openings over the mean, from the pressures "
		"along the box of air behind the field; its depth, and the air's speed along it where it is fastest.");
}

/* ---- the chapter ------------------------------------------------------------------------------------------------ */

void book_air(book *b) {
	const model *m = b->m;
	if (!m->air.given || !m->air.result[DIRTY].solved) return;
	book_chapter(b, "The way of the air", "air");
	book_paragraph(
		b, arena_printf(
			   b->mem,
			   "What the air goes through, with the filters due for care. Air of %s at %s%s, %s above the "
			   "sea. Speeds stand on the open area; the fan's free-air rating is used nowhere.",
			   book_si(b, DIM_DENSITY, m->air.density_kg_m3),
			   book_si(b, DIM_TEMPERATURE, m->air.temperature_k),
			   m->air.humidity > 0 ? arena_printf(b->mem, " and %s %% humidity",
							      book_number(b, m->air.humidity * 100, 0))
					       : "",
			   m->measures == MEASURES_INCH
				   ? arena_printf(b->mem, "%s ft", book_number(b, m->air.altitude_m / 0.3048, 0))
				   : arena_printf(b->mem, "%s m", book_number(b, m->air.altitude_m, 0))));
	b->y += 1;
	way_table(b, DIRTY);
	section(b, DIRTY);
	for (int tap = 0; tap * AIR_STATES < model_conditions(m); tap++) conditions_of(b, tap);
	spreads(b);
	book_air_fans(b);
	book_air_steps(b);
	book_air_rules(b);
}
