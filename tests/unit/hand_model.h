/* A small model put together by hand, for tests of the writers: an invented box of six panels, twelve holes in two
 * sheets, a fan, two steps and one sheet. Its air figures are invented, not solved.
 * Ownership: everything lives in the arena given. */
#ifndef TESTS_HAND_MODEL_H
#define TESTS_HAND_MODEL_H
#include <math.h>
#include <string.h>

#include "runtime/engine/model.h"

static inline model_value hand_value(double v) { return (model_value){v, span_none()}; }

static inline model_length hand_length(int64_t num, int64_t den) {
	return (model_length){rat_of(num, den), span_none()};
}

static inline model_stock *hand_stock(model *m, model_stock_kind kind, const char *name, const char *label) {
	model_stock *s = LIST_ADD(m->mem, &m->stocks);
	s->kind = kind, s->name = name, s->label = label, s->at = span_none();
	s->price_cents = -1, s->pack = 1, s->on_hand = -1;
	model_value *const values[] = {&s->density_kg_m3,     &s->mass_kg,    &s->media_r1_pa_s_m,
				       &s->media_r2_pa_s2_m2, &s->drag_per_s, &s->dirty_load_kg_m2,
				       &s->media_area_m2,     &s->dirty_pa,   &s->dirty_flow_m3_s,
				       &s->holds_kg,	      &s->rpm,	      &s->curve_density_kg_m3,
				       &s->stall_m3_s,	      &s->efficiency, &s->motor_w,
				       &s->modulus_pa,	      &s->movement};
	for (size_t i = 0; i < sizeof values / sizeof *values; i++) *values[i] = hand_value(NAN);
	return s;
}

/* Box from low and high corner in whole half-millimetres. */
static inline model_part *hand_part(model *m, model_part_kind kind, const char *name, model_ref stock,
				    const int64_t at[6]) {
	model_part *p = LIST_ADD(m->mem, &m->parts);
	p->kind = kind, p->name = name, p->group = name, p->stock = stock, p->at = span_none();
	axis thin = AXIS_X, longest = AXIS_X;
	for (int a = 0; a < 3; a++) {
		p->box.lo[a] = rat_of(at[a], 2), p->box.hi[a] = rat_of(at[a + 3], 2);
		if (rat_lt(box_size(p->box, (axis)a), box_size(p->box, thin))) thin = (axis)a;
		if (rat_lt(box_size(p->box, longest), box_size(p->box, (axis)a))) longest = (axis)a;
	}
	p->blank = p->box;
	for (int f = 0; f < 6; f++) p->face_at[f] = span_none();
	p->thick_axis = thin, p->long_axis = longest, p->grain_axis = longest;
	p->grain_matters = kind == PART_PANEL;
	p->work_face = face_of(thin, thin != AXIS_Y);
	double size[3];
	for (int a = 0; a < 3; a++) size[a] = rat_double(box_size(p->box, (axis)a)) / 1000;
	p->mass_kg = size[0] * size[1] * size[2] * 680;
	p->face_area_m2 = size[0] * size[1] * size[2] / size[thin];
	p->hinge = p->latch = MODEL_NONE;
	p->group_first = (model_ref)(m->parts.n - 1);
	return p;
}

static inline void hand_openings(model *m, model_ref baffle, model_ref carrier, model_ref drill) {
	model_pattern *p = LIST_ADD(m->mem, &m->patterns);
	p->name = "vents", p->at = span_none(), p->kind = PATTERN_GRID;
	p->through = AXIS_Y, p->u = AXIS_X, p->v = AXIS_Z, p->rows = 3, p->columns = 4;
	p->pitch_u = rat_int(130), p->pitch_v = rat_int(150);
	for (int row = 0; row < 3; row++)
		for (int column = 0; column < 4; column++)
			LIST_PUSH(m->mem, &p->axes,
				  ((point3){{rat_int(105 + 130 * column), rat_int(0), rat_int(200 + 150 * row)}}));
	const model_ref sheets[] = {baffle, carrier};
	for (int s = 0; s < 2; s++) {
		model_sheet_of_pattern *sheet = LIST_ADD(m->mem, &p->sheets);
		sheet->part = sheets[s], sheet->face = FACE_FRONT, sheet->collar = MODEL_NONE;
		sheet->at = sheet->collar_at = sheet->shape.at = span_none();
		sheet->shape.kind = SHAPE_ROUND, sheet->shape.a = rat_int(s ? 62 : 60), sheet->shape.along = AXIS_X;
		for (size_t i = 0; i < p->axes.n; i++) {
			model_feature *f = LIST_ADD(m->mem, &m->features);
			f->kind = FEATURE_OPENING, f->part = sheets[s], f->face = FACE_FRONT;
			f->centre = p->axes.v[i];
			f->centre.v[AXIS_Y] = m->parts.v[sheets[s]].box.lo[AXIS_Y];
			f->shape = sheet->shape, f->through = true, f->depth = rat_of(35, 2), f->sink = rat_int(0);
			f->pattern = 0, f->joint = MODEL_NONE, f->index = (uint32_t)i, f->tool = drill,
			f->at = span_none();
		}
	}
}

static inline model_branch *hand_branch(model *m, model_air_kind kind, const char *name, model_ref from, model_ref to) {
	model_branch *b = LIST_ADD(m->mem, &m->air.branches);
	b->kind = kind, b->name = name, b->from = from, b->to = to, b->at = span_none();
	b->part = b->pattern = b->stock = MODEL_NONE, b->count = 1, b->box_m2 = NAN;
	return b;
}

static inline void hand_air(model *m, model_ref mouth, model_ref baffle, model_ref fan_part, model_ref fan) {
	static const char *const SPACES[] = {"room", "work", "plenum"};
	model_air *a = &m->air;
	a->given = true, a->at = span_none();
	a->altitude_m = 0, a->temperature_k = 293.15, a->density_kg_m3 = 1.2, a->viscosity_pa_s = 1.82e-5;
	a->room_m3 = 60, a->dust_kg_s = a->trough_m3 = NAN;
	a->dust_held_kg = a->hours_to_dirty = a->hours_to_full_trough = NAN, a->room_changes_per_h = 12;
	for (size_t i = 0; i < 3; i++)
		LIST_PUSH(m->mem, &a->spaces, ((model_space){SPACES[i], i == 0, true, span_none()}));
	model_branch *b = hand_branch(m, AIR_GAP, "mouth", 0, 1);
	b->part = mouth, b->gross_m2 = b->open_m2 = b->plan_m2 = 0.25;
	b = hand_branch(m, AIR_OPENINGS, "vents in baffle", 1, 2);
	b->part = baffle, b->pattern = 0, b->count = 12;
	b->gross_m2 = b->open_m2 = 12 * 0.0028274, b->plan_m2 = 0.35, b->thick_m = 0.0175, b->hole_m = 0.06;
	b = hand_branch(m, AIR_FAN, "blower", 2, 0);
	b->part = fan_part, b->stock = fan;
	for (int c = 0; c < AIR_CONDITIONS; c++) {
		model_air_result *r = &a->result[c];
		r->solved = c < 2;
		if (!r->solved) continue;
		double flow = c == 0 ? 0.25 : 0.2, loss[3] = {2, c == 0 ? 50 : 70, c == 0 ? -52 : -72};
		r->flow = ARENA_MANY(m->mem, model_flow, 3), r->pressure_pa = ARENA_MANY(m->mem, double, 3);
		for (int i = 0; i < 3; i++) {
			const model_branch *way = &a->branches.v[i];
			r->flow[i] = (model_flow){flow,
						  way->open_m2 > 0 ? flow / way->open_m2 : NAN,
						  way->plan_m2 > 0 ? flow / way->plan_m2 : NAN,
						  NAN,
						  NAN,
						  loss[i]};
		}
		r->pressure_pa[1] = -loss[0], r->pressure_pa[2] = loss[2];
		r->shaft_w = NAN, r->residual_m3_s = 1e-12, r->iterations = 5;
	}
}

static inline model_op *hand_op(model *m, model_op_kind kind, const char *what, model_ref step) {
	model_op *o = LIST_ADD(m->mem, &m->order.ops);
	o->kind = kind, o->what = what, o->joint = o->pattern = o->written = MODEL_NONE, o->at = span_none();
	o->step = step, o->minutes = 20;
	model_step *s = &m->order.steps.v[step];
	LIST_PUSH(m->mem, &s->ops, (model_ref)(m->order.ops.n - 1));
	s->minutes += o->minutes;
	return o;
}

static inline void hand_order(model *m) {
	static const struct {
		const char *title;
		model_op_kind kind;
	} STEPS[] = {{"Cut to size", OP_CUT},
		     {"Cut the openings", OP_OPEN},
		     {"Assemble the carcass", OP_JOIN},
		     {"Fit the fan", OP_FAN}};
	for (size_t i = 0; i < 4; i++) {
		model_step *s = LIST_ADD(m->mem, &m->order.steps);
		s->title = STEPS[i].title, s->kind = STEPS[i].kind, s->written = MODEL_NONE;
		s->lift_kg = 6.5, s->wait_minutes = i == 2 ? 720 : 0;
	}
	for (model_ref p = 0; p < 6; p++) {
		model_op *saw = hand_op(m, OP_CUT, "cut", 0);
		LIST_PUSH(m->mem, &saw->parts, p);
		LIST_PUSH(m->mem, &m->order.steps.v[2].new_parts, p);
	}
	model_op *o = hand_op(m, OP_OPEN, "open vents", 1);
	o->pattern = 0;
	LIST_PUSH(m->mem, &o->parts, 4);
	LIST_PUSH(m->mem, &o->parts, 5);
	for (model_ref j = 0; j < m->joints.n; j++) {
		o = hand_op(m, OP_JOIN, m->joints.v[j].name, 2);
		o->joint = j;
		LIST_PUSH(m->mem, &o->parts, m->joints.v[j].a);
		LIST_PUSH(m->mem, &o->parts, m->joints.v[j].b);
	}
	o = hand_op(m, OP_FAN, "fit blower", 3);
	LIST_PUSH(m->mem, &o->parts, 6);
	LIST_PUSH(m->mem, &m->order.steps.v[3].new_parts, 6);
	LIST_PUSH(m->mem, &m->order.steps.v[2].reasons, "an opening is cut before the box is closed");
	LIST_PUSH(m->mem, &m->order.edges,
		  ((model_edge){0, 6, "an opening is cut before the box is closed", span_none()}));
	m->order.hands_on_minutes = 240, m->order.critical_path_minutes = m->order.elapsed_minutes = 960;
}

static inline void hand_layout(model *m) {
	model_sheet_plan *s = LIST_ADD(m->mem, &m->layout.sheets);
	s->stock = 0, s->w = rat_int(2440), s->h = rat_int(1220), s->kerf = rat_int(3);
	for (int e = 0; e < EDGES; e++) s->trim[e] = rat_int(10);
	rat x = rat_int(10);
	for (model_ref p = 0; p < 3; p++) {
		box3 b = m->parts.v[p].blank;
		rat w = box_size(b, m->parts.v[p].long_axis), h = box_size(b, p < 2 ? AXIS_Y : AXIS_Y);
		LIST_PUSH(m->mem, &s->pieces, ((model_piece){p, x, rat_int(10), w, h, false}));
		model_cut *c = LIST_ADD(m->mem, &s->cuts);
		c->number = p + 1, c->x = x, c->y = rat_int(10), c->w = rat_sub(rat_int(2430), x), c->h = rat_int(1200);
		c->at = rat_add(x, w), c->fence = w;
		x = rat_add(x, rat_add(w, rat_int(3)));
	}
	s->used_part = 0.4;
	LIST_PUSH(m->mem, &m->layout.counts,
		  ((model_stock_count){.used = 1, .cost = 1, .cost_bound = 1, .proven = true}));
}

static inline model *hand_model(arena *mem) {
	model *m = ARENA_NEW(mem, model);
	m->mem = mem;
	m->title = "Hand-built box", m->title_at = span_none(), m->slug = "hand", m->edition = "A", m->currency = "EUR";
	m->purpose = "Draws dust through a wall of holes.", m->cabinet_name = "box";
	model_stock *s = hand_stock(m, STOCK_SHEET, "ply", "birch plywood, 18 mm (invented)");
	s->size[0] = hand_length(2440, 1), s->size[1] = hand_length(1220, 1), s->thick = hand_length(35, 2);
	s->thick_plus = hand_length(2, 5), s->thick_minus = hand_length(2, 5), s->grain = GRAIN_LONG;
	s->density_kg_m3 = hand_value(680), s->price_cents = 7400, s->trim = hand_length(10, 1);
	s = hand_stock(m, STOCK_FAN, "fan", "in-line fan (invented)");
	s->size[0] = s->size[1] = s->size[2] = hand_length(250, 1), s->mass_kg = hand_value(6), s->price_cents = 21000;
	static const double CURVE[][2] = {{0, 300}, {0.1, 250}, {0.2, 150}, {0.3, 0}};
	for (size_t i = 0; i < 4; i++)
		LIST_PUSH(mem, &s->curve, ((model_curve_point){CURVE[i][0], CURVE[i][1], span_none()}));
	s = hand_stock(m, STOCK_SCREW, "s4x40", "screw 4.0 x 40 mm");
	s->diameter = hand_length(4, 1), s->length = hand_length(40, 1), s->pilot = hand_length(5, 2);
	s->clearance = hand_length(9, 2), s->sink = hand_length(8, 1), s->pack = 100, s->price_cents = 650;
	/* half-millimetres: width 600, depth 500, height 700, sheet 17.5 */
	hand_part(m, PART_PANEL, "left", 0, (const int64_t[]){0, 0, 0, 35, 1000, 1400});
	hand_part(m, PART_PANEL, "right", 0, (const int64_t[]){1165, 0, 0, 1200, 1000, 1400});
	hand_part(m, PART_PANEL, "floor", 0, (const int64_t[]){35, 0, 0, 1165, 1000, 35});
	hand_part(m, PART_PANEL, "top", 0, (const int64_t[]){35, 0, 1365, 1165, 1000, 1400});
	hand_part(m, PART_PANEL, "baffle", 0, (const int64_t[]){35, 500, 35, 1165, 535, 1365});
	hand_part(m, PART_PANEL, "carrier", 0, (const int64_t[]){35, 700, 35, 1165, 735, 1365});
	hand_part(m, PART_ITEM, "blower", 1, (const int64_t[]){350, 735, 450, 850, 1000, 950})->mass_kg = 6;
	hand_part(m, PART_GAP, "mouth", MODEL_NONE, (const int64_t[]){35, 0, 35, 1165, 0, 1365})->mass_kg = 0;
	model_tool *t = LIST_ADD(mem, &m->tools);
	*t = (model_tool){.kind = TOOL_HOLE_SAW,
			  .name = "hs60",
			  .label = "hole saw 60 mm",
			  .at = span_none(),
			  .diameter = hand_length(60, 1),
			  .feed_m_s = {NAN, span_none()},
			  .plunge_m_s = {NAN, span_none()},
			  .rpm_per_s = {NAN, span_none()}};
	hand_openings(m, 4, 5, 0);
	for (model_ref b = 0; b < 2; b++) {
		model_joint *j = LIST_ADD(mem, &m->joints);
		j->kind = JOINT_BUTT, j->name = b ? "floor to right" : "floor to left", j->at = span_none();
		j->a = 2, j->b = b, j->face_a = b ? FACE_RIGHT : FACE_LEFT;
		box_common(m->parts.v[2].box, m->parts.v[b].box, &j->contact);
		j->depth = j->allowance = hand_length(0, 1), j->every = hand_length(150, 1);
		j->screw = 2, j->n_screws = 4, j->glue = true, j->gasket = j->glue_stock = MODEL_NONE;
	}
	hand_air(m, 7, 4, 6, 1);
	hand_order(m);
	hand_layout(m);
	LIST_PUSH(mem, &m->shopping, ((model_buy){0, s->label, 1, "sheet", 1, 7400, "6 panels on 1 sheet"}));
	m->shopping.v[0].what = m->stocks.v[0].label;
	LIST_PUSH(mem, &m->shopping,
		  ((model_buy){2, m->stocks.v[2].label, 8, "piece", 1, 650, "8 screws in 2 joints"}));
	model_require *r = LIST_ADD(mem, &m->requires);
	r->at = span_none(), r->text = "mouth.speed >= 0.5 m/s", r->because = "dust leaves the sander slowly";
	r->left = quant_from_si(DIM_SPEED, 0.8), r->right = quant_from_si(DIM_SPEED, 0.5);
	r->compare = ">=", r->held = r->known = true;
	for (int a = 0; a < 3; a++) m->bounds.lo[a] = rat_int(0);
	m->bounds.hi[0] = rat_int(600), m->bounds.hi[1] = rat_int(500), m->bounds.hi[2] = rat_int(700);
	for (size_t i = 0; i < m->parts.n; i++) m->mass_kg += m->parts.v[i].mass_kg;
	m->cost_cents = 29050, m->cost_whole = true;
	return m;
}
#endif
