/* A small cabinet by hand for the tests of the order of work: a box with a perforated baffle, a fan, a filter, a door.
 * All of it is invented. Ownership: everything lives in the arena given. */
#ifndef TESTS_ORDER_BOX_H
#define TESTS_ORDER_BOX_H
#include <math.h>
#include <stdbool.h>
#include <string.h>

#include "runtime/base/diag.h"
#include "runtime/engine/model.h"

/* Places: the n-th thing written stands at byte n of file 0. */
static inline span box_place(uint32_t n) { return (span){0, n, n + 1}; }

static inline model_ref box_stock(model *m, model_stock_kind kind, const char *name) {
	model_stock *s = LIST_ADD(m->mem, &m->stocks);
	*s = (model_stock){.kind = kind, .name = name, .label = name, .price_cents = -1, .pack = 1, .on_hand = -1};
	s->at = box_place((uint32_t)m->stocks.n);
	s->thick.mm = rat_int(18);
	s->thick_plus.mm = s->thick_minus.mm = rat_of(3, 10);
	s->size[0].mm = rat_int(2440);
	s->size[1].mm = rat_int(1220);
	s->density_kg_m3.v = 680;
	return (model_ref)m->stocks.n - 1;
}

static inline box3 box_of(int64_t x0, int64_t x1, int64_t y0, int64_t y1, int64_t z0, int64_t z1) {
	return (box3){{rat_int(x0), rat_int(y0), rat_int(z0)}, {rat_int(x1), rat_int(y1), rat_int(z1)}};
}

static inline model_ref box_part(model *m, model_part_kind kind, const char *name, model_ref stock, box3 b) {
	model_part *p = LIST_ADD(m->mem, &m->parts);
	*p = (model_part){.kind = kind,
			  .name = name,
			  .group = name,
			  .stock = stock,
			  .box = b,
			  .blank = b,
			  .hinge = MODEL_NONE,
			  .latch = MODEL_NONE};
	p->at = box_place(100 + (uint32_t)m->parts.n);
	int thin = 0, broad = 0;
	for (int a = 0; a < 3; a++) {
		if (rat_lt(box_size(b, (axis)a), box_size(b, (axis)thin))) thin = a;
		if (rat_lt(box_size(b, (axis)broad), box_size(b, (axis)a))) broad = a;
	}
	p->thick_axis = (axis)thin;
	p->long_axis = (axis)broad;
	double area = 1e-6;
	for (int a = 0; a < 3; a++)
		if (a != thin) area *= rat_double(box_size(b, (axis)a));
	p->face_area_m2 = area;
	p->mass_kg = kind == PART_GAP ? 0 : area * rat_double(box_size(b, (axis)thin)) * 1e-3 * 680;
	return (model_ref)m->parts.n - 1;
}

static inline model_ref box_find(const model *m, const char *name) { return model_find_part(m, name); }

/* a joined to or into b, with screws from b's outside when n > 0 (and their clearance holes). */
static inline model_ref box_join(model *m, model_joint_kind kind, const char *a, const char *b, uint32_t screws) {
	model_joint *j = LIST_ADD(m->mem, &m->joints);
	model_ref row = (model_ref)m->joints.n - 1;
	*j = (model_joint){.kind = kind,
			   .a = box_find(m, a),
			   .b = box_find(m, b),
			   .n_screws = screws,
			   .screw = MODEL_NONE,
			   .gasket = MODEL_NONE,
			   .glue_stock = MODEL_NONE};
	j->name = arena_printf(m->mem, "%s to %s", a, b);
	j->at = box_place(200 + (uint32_t)m->joints.n);
	j->depth.mm = rat_int(kind == JOINT_DADO ? 6 : 0);
	j->allowance.mm = rat_of(1, 5);
	box_touch(m->parts.v[j->a].box, m->parts.v[j->b].box, &j->face_a, &j->contact);
	for (uint32_t i = 0; i < screws; i++) {
		model_feature *f = LIST_ADD(m->mem, &m->features);
		*f = (model_feature){.kind = FEATURE_CLEARANCE,
				     .part = j->b,
				     .face = j->face_a,
				     .through = true,
				     .pattern = MODEL_NONE,
				     .joint = row,
				     .index = i,
				     .tool = MODEL_NONE};
		axis n = face_axis(j->face_a);
		for (int k = 0; k < 3; k++) {
			rat step = rat_of(2 * (int64_t)i + 1, 2 * (int64_t)screws);
			rat size = box_size(j->contact, (axis)k);
			f->centre.v[k] = rat_add(j->contact.lo[k],
						 rat_mul(size, rat_lt(rat_int(100), size) ? step : rat_of(1, 2)));
		}
		f->centre.v[n] = box_face(m->parts.v[j->b].box, j->face_a);
		f->shape = (model_shape){.kind = SHAPE_ROUND, .a = rat_int(4), .b = rat_int(4), .corner = rat_int(0)};
		f->depth = rat_int(18);
	}
	return row;
}

static inline model_written *box_step(model *m, const char *name) {
	model_written *t = LIST_ADD(m->mem, &m->written);
	*t = (model_written){.name = name, .minutes = NAN, .wait_minutes = NAN};
	t->at = box_place(300 + 10 * (uint32_t)m->written.n);
	return t;
}
static inline void box_does(model *m, model_written *t, model_op_kind kind) { LIST_PUSH(m->mem, &t->does, kind); }
static inline void box_names(model *m, model_written *t, const char *part) {
	LIST_PUSH(m->mem, &t->parts, box_find(m, part));
}
static inline void box_after(model *m, model_written *t, const char *other) {
	LIST_PUSH(m->mem, &t->after, ((model_words){other, span_join(t->at, box_place(t->at.start + 3))}));
}
static inline void box_before(model *m, model_written *t, const char *other) {
	LIST_PUSH(m->mem, &t->before, ((model_words){other, span_join(t->at, box_place(t->at.start + 4))}));
}

static inline model_ref box_pattern(model *m, const char *name, const char *first, const char *second,
				    int64_t diameter) {
	model_pattern *p = LIST_ADD(m->mem, &m->patterns);
	*p = (model_pattern){.name = name, .kind = PATTERN_GRID, .through = AXIS_Y, .u = AXIS_X, .v = AXIS_Z};
	p->at = box_place(400 + (uint32_t)m->patterns.n);
	for (int64_t x = 150; x <= 450; x += 150)
		for (int64_t z = 250; z <= 550; z += 150)
			LIST_PUSH(m->mem, &p->axes, ((point3){{rat_int(x), rat_int(0), rat_int(z)}}));
	const char *in[2] = {first, second};
	for (int i = 0; i < 2; i++) {
		if (!in[i]) continue;
		model_sheet_of_pattern *s = LIST_ADD(m->mem, &p->sheets);
		*s = (model_sheet_of_pattern){
			.part = box_find(m, in[i]), .face = FACE_FRONT, .collar = MODEL_NONE, .at = p->at};
		s->shape = (model_shape){
			.kind = SHAPE_ROUND, .a = rat_int(diameter), .b = rat_int(diameter), .corner = rat_int(0)};
	}
	return (model_ref)m->patterns.n - 1;
}

enum { BOX_DOOR = 1, BOX_FINISH = 2, BOX_FAN = 4, BOX_FILTER = 8, BOX_FIELD = 16, BOX_GASKET = 32, BOX_CLOSED = 64 };

/* A box of 600 x 500 x 800: floor, top, sides, rear, a baffle across it and what `with` asks for. The fan measures
 * 300 x 200 x 300 and stands behind the baffle. The door, if any, is 400 x 500 in front of it. */
/* BOX_FINISH: a step that finishes all parts. */
static inline model box_make(arena *mem, int with) {
	model m = {.mem = mem, .title = "Box", .slug = "box", .currency = "", .air = {.room_m3 = NAN}};
	model_ref ply = box_stock(&m, STOCK_SHEET, "ply18");
	if (with & BOX_FINISH) box_does(&m, box_step(&m, "Oil"), OP_FINISH);
	box_part(&m, PART_PANEL, "floor", ply, box_of(18, 582, 0, 500, 0, 18));
	box_part(&m, PART_PANEL, "left", ply, box_of(0, 18, 0, 500, 0, 800));
	box_part(&m, PART_PANEL, "right", ply, box_of(582, 600, 0, 500, 0, 800));
	box_part(&m, PART_PANEL, "top", ply, box_of(0, 600, 0, 500, 800, 818));
	/* Above the rear panel the box is open, unless it is closed. */
	box_part(&m, PART_PANEL, "rear", ply, box_of(0, 600, 500, 518, 0, with & BOX_CLOSED ? 818 : 450));
	if (!(with & BOX_CLOSED)) box_part(&m, PART_GAP, "outlet", MODEL_NONE, box_of(18, 582, 500, 518, 450, 800));
	box_part(&m, PART_PANEL, "baffle", ply, box_of(18, 582, 200, 218, 18, 800));
	box_join(&m, JOINT_DADO, "floor", "left", 4);
	box_join(&m, JOINT_DADO, "floor", "right", 4);
	box_join(&m, JOINT_BUTT, "left", "top", 4);
	box_join(&m, JOINT_BUTT, "right", "top", 4);
	box_join(&m, JOINT_BUTT, "left", "rear", 6);
	box_join(&m, JOINT_BUTT, "right", "rear", 6);
	box_join(&m, JOINT_BUTT, "floor", "rear", 4);
	box_join(&m, JOINT_BUTT, "baffle", "left", 4);
	box_join(&m, JOINT_BUTT, "baffle", "right", 4);
	m.joints.v[0].glue = m.joints.v[1].glue = true;
	if (with & BOX_GASKET) {
		model_ref tape = box_stock(&m, STOCK_GASKET, "tape");
		for (size_t i = 4; i < 7; i++) m.joints.v[i].gasket = tape;
	}
	if (with & BOX_FAN) {
		model_ref fan = box_stock(&m, STOCK_FAN, "fan300");
		box_part(&m, PART_ITEM, "blower", fan, box_of(150, 450, 250, 450, 200, 500));
		m.parts.v[m.parts.n - 1].mass_kg = 12;
	}
	if (with & BOX_FILTER) {
		model_ref filter = box_stock(&m, STOCK_FILTER, "pleat");
		box_part(&m, PART_ITEM, "pleats", filter, box_of(100, 500, 220, 245, 100, 400));
		m.parts.v[m.parts.n - 1].mass_kg = 2;
	}
	if (with & BOX_DOOR) {
		box_part(&m, PART_DOOR, "hatch", ply, box_of(100, 500, -18, 0, 100, 600));
		m.parts.v[m.parts.n - 1].hinged = true;
		m.parts.v[m.parts.n - 1].n_hinges = 2;
	}
	if (with & BOX_FIELD) {
		model_ref pattern = box_pattern(&m, "vents", "baffle", "rear", 60);
		model_ease e = {
			.part = box_find(&m, "baffle"), .face = FACE_FRONT, .size = rat_int(3), .at = box_place(450)};
		LIST_PUSH(mem, &m.patterns.v[pattern].eases, e);
	}
	m.air.given = (with & BOX_FAN) != 0;
	m.bounds = box_of(0, 600, -18, 518, 0, 818);
	return m;
}
#endif
