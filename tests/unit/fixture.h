/* A little cabinet built by hand, for tests that need a model but no plan: two sides with a dadoed floor, and two
 * sheets across that share a pattern of 4 x 2 holes; screws, a collar, tools. It is sound: no check fires on it.
 * Ownership: everything lives in the arena given. Lengths in millimetres. */
#ifndef TESTS_FIXTURE_H
#define TESTS_FIXTURE_H
#include <math.h>
#include <string.h>

#include "runtime/engine/model.h"

enum { FIX_PLY, FIX_SCREW, FIX_COLLAR };
enum { FIX_LEFT, FIX_RIGHT, FIX_FLOOR, FIX_TOP, FIX_CARRIER };
enum { FIX_DRILL25, FIX_DRILL45, FIX_HOLESAW60, FIX_ROUTER };
enum { FIX_FLOOR_LEFT, FIX_FLOOR_RIGHT, FIX_TOP_LEFT, FIX_TOP_RIGHT, FIX_CARRIER_LEFT, FIX_CARRIER_RIGHT };

static inline rat fix_mm(double v) { return rat_from_double(v, 1000); }
static inline span fix_at(uint32_t n) { return (span){0, n * 10, n * 10 + 5}; }
static inline model_length fix_length(double v) { return (model_length){fix_mm(v), span_none()}; }
static inline model_length fix_no_length(void) { return (model_length){rat_poison(), span_none()}; }
static inline model_value fix_value(double v) { return (model_value){v, span_none()}; }

static inline box3 fix_box(double x0, double x1, double y0, double y1, double z0, double z1) {
	return (box3){{fix_mm(x0), fix_mm(y0), fix_mm(z0)}, {fix_mm(x1), fix_mm(y1), fix_mm(z1)}};
}

static inline model_stock *fix_stock(model *m, model_stock_kind kind, const char *name) {
	model_stock *s = LIST_ADD(m->mem, &m->stocks);
	*s = (model_stock){.kind = kind, .name = name, .label = name, .pack = 1, .price_cents = -1, .on_hand = -1};
	model_length none = fix_no_length();
	for (int i = 0; i < 3; i++) s->size[i] = none;
	s->section[0] = s->section[1] = s->thick = s->thick_plus = s->thick_minus = s->trim = none;
	s->diameter = s->length = s->pilot = s->clearance = s->sink = none;
	s->outside = s->bore = s->flange = s->flange_thick = s->inlet = s->swivel = none;
	s->density_kg_m3 = s->mass_kg = s->modulus_pa = s->movement = fix_value((double)NAN);
	s->at = fix_at(100 + (uint32_t)m->stocks.n);
	return s;
}

static inline double fix_size(box3 b, axis a) { return rat_double(box_size(b, a)); }

static inline model_part *fix_part(model *m, model_part_kind kind, const char *name, box3 box, axis thick, face work) {
	model_part *p = LIST_ADD(m->mem, &m->parts);
	model_ref row = (model_ref)m->parts.n - 1;
	*p = (model_part){.kind = kind, .name = name, .group = name, .stock = FIX_PLY, .box = box, .blank = box};
	p->at = fix_at((uint32_t)m->parts.n);
	for (int f = 0; f < 6; f++) p->face_at[f] = p->at;
	p->thick_axis = thick;
	axis u = thick == AXIS_X ? AXIS_Y : AXIS_X, v = thick == AXIS_Z ? AXIS_Y : AXIS_Z;
	p->long_axis = fix_size(box, u) >= fix_size(box, v) ? u : v;
	p->grain_matters = true;
	p->grain_axis = p->long_axis;
	p->work_face = work;
	p->hinge = p->latch = MODEL_NONE;
	p->group_first = row;
	p->mass_kg = 680e-9 * fix_size(box, AXIS_X) * fix_size(box, AXIS_Y) * fix_size(box, AXIS_Z);
	p->face_area_m2 = 1e-6 * fix_size(box, u) * fix_size(box, v);
	return p;
}

static inline model_feature *fix_feature(model *m, model_feature_kind kind, model_ref part, face f, double x, double y,
					 double z, double diameter, double depth) {
	model_feature *e = LIST_ADD(m->mem, &m->features);
	*e = (model_feature){.kind = kind, .part = part, .face = f, .centre = {{fix_mm(x), fix_mm(y), fix_mm(z)}}};
	e->shape = (model_shape){.kind = SHAPE_ROUND, .a = fix_mm(diameter), .b = fix_mm(diameter), .along = AXIS_X};
	e->depth = fix_mm(depth);
	e->sink = rat_int(0);
	e->pattern = e->joint = e->tool = MODEL_NONE;
	e->at = fix_at(200 + (uint32_t)m->features.n);
	return e;
}

/* Joins sheet a at its left or right end to side b by three screws through b; a dado when depth > 0. */
static inline void fix_join(model *m, model_ref a, model_ref b, const char *name, double depth) {
	model_part *pa = &m->parts.v[a], *pb = &m->parts.v[b];
	bool left = rat_le(pb->box.hi[0], pa->box.lo[0]);
	face fa = left ? FACE_LEFT : FACE_RIGHT;
	double x_in = rat_double(box_face(pa->box, fa)), x_out = rat_double(box_face(pb->box, fa));
	double z0 = rat_double(pa->box.lo[2]), z1 = rat_double(pa->box.hi[2]), y1 = rat_double(pa->box.hi[1]);
	double out = left ? -depth : depth;
	model_joint *j = LIST_ADD(m->mem, &m->joints);
	model_ref row = (model_ref)m->joints.n - 1;
	*j = (model_joint){.kind = depth > 0 ? JOINT_DADO : JOINT_BUTT, .name = name, .a = a, .b = b, .face_a = fa};
	j->at = fix_at(300 + row);
	j->contact = fix_box(x_in, x_in, 0, y1, z0, z1);
	j->depth = fix_length(depth);
	j->allowance = fix_length(depth > 0 ? 0.2 : 0);
	j->screw = FIX_SCREW;
	j->every = fix_length(150);
	j->n_screws = 3;
	j->glue = true;
	j->gasket = j->glue_stock = MODEL_NONE;
	if (depth > 0) {
		if (left)
			pa->blank.lo[0] = fix_mm(x_in + out);
		else
			pa->blank.hi[0] = fix_mm(x_in + out);
		model_feature *g =
			fix_feature(m, FEATURE_GROOVE, b, face_opposite(fa), x_in, y1 / 2, (z0 + z1) / 2, 0, depth);
		g->shape = (model_shape){.kind = SHAPE_RECT,
					 .a = fix_mm(y1),
					 .b = fix_mm(z1 - z0 + 0.2),
					 .corner = rat_int(0),
					 .along = AXIS_Y,
					 .at = span_none()};
		g->joint = row;
		g->tool = FIX_ROUTER;
	}
	for (uint32_t i = 0; i < 3; i++) {
		double y = 50 + 150.0 * i;
		model_feature *c = fix_feature(m, FEATURE_CLEARANCE, b, fa, x_out, y, (z0 + z1) / 2, 4.5, 18 - depth);
		c->through = true;
		c->sink = fix_mm(8);
		c->joint = row;
		c->index = i;
		c->tool = FIX_DRILL45;
		model_feature *p =
			fix_feature(m, FEATURE_PILOT, a, fa, x_in + out, y, (z0 + z1) / 2, 2.5, 50 - (18 - depth));
		p->joint = row;
		p->index = i;
		p->tool = FIX_DRILL25;
	}
}

static inline model_tool *fix_tool(model *m, model_tool_kind kind, const char *name, double diameter) {
	model_tool *t = LIST_ADD(m->mem, &m->tools);
	*t = (model_tool){.kind = kind, .name = name, .label = name, .at = fix_at(400 + (uint32_t)m->tools.n)};
	t->kerf = t->bush = t->pass = t->base = fix_no_length();
	t->diameter = fix_length(diameter);
	t->feed_m_s = t->plunge_m_s = t->rpm_per_s = fix_value((double)NAN);
	return t;
}

/* A sheet of the last pattern, and its opening features. */
static inline void fix_sheet(model *m, model_ref pattern, model_ref part, double diameter, model_ref collar,
			     model_ref tool) {
	model_pattern *p = &m->patterns.v[pattern];
	model_sheet_of_pattern *s = LIST_ADD(m->mem, &p->sheets);
	*s = (model_sheet_of_pattern){.part = part, .face = m->parts.v[part].work_face, .collar = collar};
	s->shape = (model_shape){.kind = SHAPE_ROUND, .a = fix_mm(diameter), .b = fix_mm(diameter), .along = AXIS_X};
	s->depth = rat_int(18);
	s->at = s->collar_at = fix_at(500 + part);
	double z = rat_double(box_face(m->parts.v[part].box, s->face));
	for (uint32_t i = 0; i < p->axes.n; i++) {
		model_feature *f = fix_feature(m, FEATURE_OPENING, part, s->face, rat_double(p->axes.v[i].v[0]),
					       rat_double(p->axes.v[i].v[1]), z, diameter, 18);
		f->through = true;
		f->pattern = pattern;
		f->index = i;
		f->tool = tool;
		f->at = p->at;
	}
}

static inline model *fix_cabinet(arena *mem) {
	model *m = ARENA_NEW(mem, model);
	m->mem = mem;
	m->title = "A little cabinet";
	m->slug = "little";
	m->currency = "";
	m->cabinet_name = "little";
	model_stock *ply = fix_stock(m, STOCK_SHEET, "ply18");
	ply->size[0] = fix_length(2440);
	ply->size[1] = fix_length(1220);
	ply->thick = fix_length(18);
	ply->grain = GRAIN_LONG;
	ply->density_kg_m3 = fix_value(680);
	model_stock *screw = fix_stock(m, STOCK_SCREW, "s4x50");
	screw->diameter = fix_length(4);
	screw->length = fix_length(50);
	screw->pilot = fix_length(2.5);
	screw->clearance = fix_length(4.5);
	screw->sink = fix_length(8);
	model_stock *collar = fix_stock(m, STOCK_COLLAR, "collar62");
	collar->outside = fix_length(61.5);
	collar->bore = fix_length(58);
	collar->flange = fix_length(76);
	collar->flange_thick = fix_length(3);
	collar->length = fix_length(30);
	fix_part(m, PART_PANEL, "left", fix_box(0, 18, 0, 400, 0, 700), AXIS_X, FACE_RIGHT);
	fix_part(m, PART_PANEL, "right", fix_box(782, 800, 0, 400, 0, 700), AXIS_X, FACE_LEFT);
	fix_part(m, PART_PANEL, "floor", fix_box(18, 782, 0, 400, 90, 108), AXIS_Z, FACE_TOP);
	fix_part(m, PART_PANEL, "top", fix_box(18, 782, 0, 400, 600, 618), AXIS_Z, FACE_TOP);
	fix_part(m, PART_PANEL, "carrier", fix_box(18, 782, 0, 400, 400, 418), AXIS_Z, FACE_TOP);
	fix_tool(m, TOOL_DRILL, "drill25", 2.5);
	fix_tool(m, TOOL_DRILL, "drill45", 4.5);
	fix_tool(m, TOOL_HOLE_SAW, "holesaw60", 60);
	model_tool *router = fix_tool(m, TOOL_ROUTER, "router1", 12.7);
	router->bush = fix_length(30);
	router->pass = fix_length(6.35);
	model_pattern *p = LIST_ADD(mem, &m->patterns);
	*p = (model_pattern){.name = "wells", .at = fix_at(600), .kind = PATTERN_GRID, .through = AXIS_Z};
	p->u = AXIS_X;
	p->v = AXIS_Y;
	p->columns = 4;
	p->rows = 2;
	p->pitch_u = rat_int(160);
	p->pitch_v = rat_int(160);
	for (int row = 0; row < 2; row++)
		for (int column = 0; column < 4; column++)
			LIST_PUSH(mem, &p->axes,
				  ((point3){{rat_int(160 + 160 * column), rat_int(120 + 160 * row), rat_int(0)}}));
	fix_sheet(m, 0, FIX_TOP, 60, MODEL_NONE, FIX_HOLESAW60);
	fix_sheet(m, 0, FIX_CARRIER, 62, FIX_COLLAR, FIX_ROUTER);
	fix_join(m, FIX_FLOOR, FIX_LEFT, "floor into left", 6);
	fix_join(m, FIX_FLOOR, FIX_RIGHT, "floor into right", 6);
	fix_join(m, FIX_TOP, FIX_LEFT, "top to left", 0);
	fix_join(m, FIX_TOP, FIX_RIGHT, "top to right", 0);
	fix_join(m, FIX_CARRIER, FIX_LEFT, "carrier to left", 0);
	fix_join(m, FIX_CARRIER, FIX_RIGHT, "carrier to right", 0);
	m->bounds = fix_box(0, 800, 0, 400, 0, 700);
	for (size_t i = 0; i < m->parts.n; i++) m->mass_kg += m->parts.v[i].mass_kg;
	return m;
}
#endif
