/* How it stands, opens and bears, each against a second route: points instead of rectangles, closed forms, weights. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "compiler/bend.h"
#include "compiler/sweep.h"
#include "compiler/way.h"
#include "runtime/engine/tip.h"
#include "tests/unit/fixture.h"

static uint32_t next(uint32_t *seed, uint32_t below) {
	*seed = *seed * 1664525u + 1013904223u;
	return (*seed >> 8) % below;
}

/* ---- doors -------------------------------------------------------------------------------------------- */

static model *door_alone(arena *mem, face hinge, double degrees) {
	model *m = ARENA_NEW(mem, model);
	m->mem = mem;
	fix_stock(m, STOCK_SHEET, "ply");
	fix_part(m, PART_PANEL, "shelf", fix_box(0, 500, 0, 300, 400, 418), AXIS_Z, FACE_TOP);
	model_part *d = fix_part(m, PART_DOOR, "door", fix_box(0, 500, -18, 0, 0, 400), AXIS_Y, FACE_FRONT);
	d->hinged = true;
	d->hinge_side = hinge;
	d->opens_deg = degrees;
	m->bounds = fix_box(0, 500, -18, 300, 0, 418);
	return m;
}

/* Is any point of a fine grid within the turned door also within the box? */
static bool point_inside(const box3 *b, face hinge, double degrees) {
	double c = cos(degrees * acos(-1) / 180), e = sin(degrees * acos(-1) / 180),
	       wide = face_axis(hinge) == AXIS_X ? 500 : 400;
	for (double u = 1; u < wide; u += 2)
		for (double v = -17.5; v < 0; v += 2) {
			double a = u * c - v * e, n = u * e + v * c, x = 250, z = 200, y = -18 - n;
			if (hinge == FACE_LEFT) x = a;
			if (hinge == FACE_RIGHT) x = 500 - a;
			if (hinge == FACE_BOTTOM) z = a;
			if (hinge == FACE_TOP) z = 400 - a;
			const double p[3] = {x, y, z};
			bool in = true;
			for (int i = 0; i < 3; i++) {
				if ((i == 0 && face_axis(hinge) == AXIS_Z) || (i == 2 && face_axis(hinge) == AXIS_X))
					continue;
				in = in && p[i] > rat_double(b->lo[i]) && p[i] < rat_double(b->hi[i]);
			}
			if (in) return true;
		}
	return false;
}

static void a_door_meets_what_its_points_meet(void **state) {
	(void)state;
	static const face SIDES[] = {FACE_LEFT, FACE_RIGHT, FACE_BOTTOM, FACE_TOP};
	uint32_t seed = 7;
	int met = 0, free = 0;
	for (int n = 0; n < 300; n++) {
		arena mem = {0};
		face hinge = SIDES[n % 4];
		model *m = door_alone(&mem, hinge, 40 + next(&seed, 140));
		sweep s;
		assert_true(sweep_of(m, 1, &s));
		assert_false(s.out_high); /* the shelf is behind it */
		double x = next(&seed, 700) - 100.0, y = -600.0 + next(&seed, 560), z = next(&seed, 600) - 100.0;
		box3 b = fix_box(x, x + 30 + next(&seed, 60), y, y + 30 + next(&seed, 60), z, z + 30 + next(&seed, 60));
		bool beside = face_axis(hinge) == AXIS_X
				      ? !rat_lt(rat_int(0), b.hi[2]) || !rat_lt(b.lo[2], rat_int(400))
				      : !rat_lt(rat_int(0), b.hi[0]) || !rat_lt(b.lo[0], rat_int(500));
		double until = sweep_until(&s, &b), first = s.degrees;
		for (double deg = 1; deg <= s.degrees && !beside; deg++)
			if (point_inside(&b, hinge, deg)) {
				first = deg - 1;
				break;
			}
		/* The grid may miss a first touch by some degrees, most near the hinge; it never finds one that is not
		 * there. */
		if (first < s.degrees) {
			assert_true(until <= first);
			assert_true(until >= first - 8);
			met++;
		} else if (until >= s.degrees) {
			free++;
		} else {
			assert_true(until >= s.degrees - 3 || !beside);
		}
		arena_end(&mem);
	}
	assert_true(met > 40);
	assert_true(free > 40);
}

static void an_open_door_is_where_it_is(void **state) {
	(void)state;
	arena mem = {0};
	model *m = door_alone(&mem, FACE_RIGHT, 90);
	sweep s;
	assert_true(sweep_of(m, 1, &s));
	box3 open = sweep_open_box(&s), expected = fix_box(482, 500, -518, -18, 0, 400);
	for (int i = 0; i < 3; i++) {
		assert_true(rat_eq(open.lo[i], expected.lo[i]));
		assert_true(rat_eq(open.hi[i], expected.hi[i]));
	}
	assert_false(sweep_of(m, 0, &s));
	arena_end(&mem);
}

/* ---- bending ------------------------------------------------------------------------------------------ */

static const model_bend *bend_of(const model *m, model_ref part) {
	for (size_t i = 0; i < m->bends.n; i++)
		if (m->bends.v[i].part == part) return &m->bends.v[i];
	return NULL;
}

/* The floor of the fixture rests on its two sides: 5 W L3 / 384 E I with its own weight and what it carries. */
static void a_shelf_between_two_sides_is_a_beam(void **state) {
	(void)state;
	arena mem = {0};
	model *m = fix_cabinet(&mem);
	diags d = diags_begin(&mem);
	m->bounds = fix_box(0, 0, 0, 0, -100, 0); /* nothing of it stands on the floor */
	bend_make(m, &d);
	assert_int_equal(m->bends.n, 0); /* no modulus */
	m->stocks.v[FIX_PLY].modulus_pa.v = 4e9;
	model_part *p = &m->parts.v[FIX_FLOOR];
	p->carries_kg = 12;
	p->carries_kg_m2 = 10;
	bend_make(m, &d);
	const model_bend *b = bend_of(m, FIX_FLOOR);
	assert_non_null(b);
	double wide = fix_size(p->box, AXIS_X) / 1000, deep = fix_size(p->box, AXIS_Y) / 1000,
	       thick = fix_size(p->box, AXIS_Z) / 1000;
	double load = (p->mass_kg + 12 + 10 * wide * deep) * 9.80665;
	assert_true(fabs(b->load_n - load) < 1e-9 * load);
	assert_true(fabs(b->span_m - wide) < 1e-9);
	double w = 5.0 / 384 * load * pow(wide, 3) / (4e9 * deep * pow(thick, 3) / 12);
	assert_true(fabs(b->deflection_m - w) < 1e-6 * w);
	assert_true(fabs(b->allowed_m - wide / 144) < 1e-9);
	/* A sheet of holes bends more than its own weight would have it, by what the holes take of its section. */
	const model_bend *top = bend_of(m, FIX_TOP);
	assert_non_null(top);
	double whole = 5.0 / 384 * top->load_n * pow(wide, 3) / (4e9 * deep * pow(thick, 3) / 12);
	assert_true(top->deflection_m > whole * 1.2);
	arena_end(&mem);
}

/* ---- tilt --------------------------------------------------------------------------------------------- */

static void a_block_falls_over_its_edge(void **state) {
	(void)state;
	arena mem = {0};
	model *m = ARENA_NEW(&mem, model);
	m->mem = &mem;
	fix_stock(m, STOCK_SHEET, "ply");
	assert_false(tip_of(m).known);
	fix_part(m, PART_PANEL, "block", fix_box(0, 400, 0, 200, 0, 600), AXIS_Y, FACE_FRONT);
	tip t = tip_of(m);
	assert_true(t.known);
	assert_true(fabs(t.degrees - atan2(100, 300) * 180 / acos(-1)) < 1e-9);
	assert_true(t.to == FACE_FRONT || t.to == FACE_BACK);
	/* As heavy a thing before its front moves the centre to the edge: it falls by itself. */
	fix_part(m, PART_PANEL, "load", fix_box(0, 400, -200, 0, 100, 700), AXIS_Y, FACE_FRONT);
	t = tip_of(m);
	assert_int_equal(t.to, FACE_FRONT);
	assert_true(fabs(t.degrees) < 1e-9);
	arena_end(&mem);
}

/* ---- ways out ----------------------------------------------------------------------------------------- */

static void a_thing_leaves_by_two_legs(void **state) {
	(void)state;
	arena mem = {0};
	model *m = ARENA_NEW(&mem, model);
	m->mem = &mem;
	fix_stock(m, STOCK_SHEET, "ply");
	static const double WALLS[][6] = {{0, 10, 0, 200, 0, 200},    {190, 200, 0, 200, 0, 200},
					  {10, 190, 0, 10, 0, 200},   {10, 190, 190, 200, 0, 200},
					  {10, 190, 10, 190, 0, 10},  {70, 190, 10, 190, 190, 200},
					  {10, 70, 10, 190, 190, 200}};
	for (size_t i = 0; i < 7; i++)
		fix_part(m, PART_PANEL, "wall",
			 fix_box(WALLS[i][0], WALLS[i][1], WALLS[i][2], WALLS[i][3], WALLS[i][4], WALLS[i][5]), AXIS_X,
			 FACE_LEFT);
	box3 thing = fix_box(120, 175, 50, 100, 20, 60);
	bool bars[8] = {true, true, true, true, true, true, true, false};
	way_scene w = {.m = m, .mem = &mem, .bars = bars};
	assert_false(way_out(&w, thing, MODEL_NONE));
	bars[6] = false; /* a lid of 60 mm over 55 mm of thing, beside it: to the left, then up */
	assert_true(way_out(&w, thing, MODEL_NONE));
	thing.hi[0] = rat_int(185); /* 65 mm broad now */
	assert_false(way_out(&w, thing, MODEL_NONE));
	way_passage p;
	assert_false(way_widest(&w, MODEL_NONE, &p));
	arena_end(&mem);
}

int main(void) {
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(a_door_meets_what_its_points_meet),   cmocka_unit_test(an_open_door_is_where_it_is),
		cmocka_unit_test(a_shelf_between_two_sides_is_a_beam), cmocka_unit_test(a_block_falls_over_its_edge),
		cmocka_unit_test(a_thing_leaves_by_two_legs),
	};
	return cmocka_run_group_tests(tests, NULL, NULL);
}
