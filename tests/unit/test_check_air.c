/* Each check of the air: a model that fires it, with its words, and one that does not. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "compiler/air.h"
#include "compiler/check.h"
#include "tests/unit/air_fixture.h"

static model_stock *stock(model *m, const char *name) { return &m->stocks.v[model_find_stock(m, name)]; }

static const diag *first(const diags *d, const char *rule) {
	for (size_t i = 0; i < d->all.n; i++)
		if (strcmp(d->all.v[i]->rule, rule) == 0) return d->all.v[i];
	return NULL;
}

static diags checked(model *m) {
	diags d = diags_begin(m->mem);
	air_solve(m, &d);
	check_air(m, &d);
	return d;
}

static void fires(model *m, const char *rule, const char *text) {
	diags d = checked(m);
	const diag *g = first(&d, rule);
	if (!g) fail_msg("%s did not fire", rule);
	if (strcmp(g->text, text) != 0) fail_msg("%s says: %s", rule, g->text);
	assert_non_null(g->help);
	size_t known = 0;
	for (size_t i = 0; i < N_CHECK_AIR; i++)
		if (strcmp(CHECK_AIR[i].name, rule) == 0) known += CHECK_AIR[i].severity == g->severity;
	assert_int_equal(known, 1);
}

/* The use of the fixture's felt is not stated, and its tubes reach through the floor: state the one, lower the other.
 */
static model *quiet(arena *mem) {
	model *m = air_fix(mem);
	stock(m, "felt")->use_class = "clean air behind a cyclone";
	m->parts.v[FIX_FLOOR].box = fix_box(18, 782, 0, 400, -18, 0); /* room for the tubes */
	m->bounds.lo[AXIS_Z] = rat_int(-18);
	return m;
}

static void nothing_fires(void **state) {
	(void)state;
	arena mem = {0};
	model *m = quiet(&mem);
	m->air.branches.v[WELLS_TOP].covered_part = 0.3;
	stock(m, "blower")->motor_w = fix_value(750);
	diags d = checked(m);
	for (size_t i = 0; i < d.all.n; i++) print_error("%s: %s\n", d.all.v[i]->rule, d.all.v[i]->text);
	assert_int_equal(d.all.n, 0);
	m = fix_cabinet(&mem); /* no air block */
	d = checked(m);
	assert_int_equal(d.all.n, 0);
	arena_end(&mem);
}

static void fans(void **state) {
	(void)state;
	arena mem = {0};
	model *m = quiet(&mem);
	stock(m, "blower")->curve.n = 2;
	fires(m, "fan-curve", "fan blower works beyond its published points (clean and dirty)");
	m = quiet(&mem);
	stock(m, "blower")->curve.v[0] = (model_curve_point){0.35, 300, fix_at(740)};
	stock(m, "blower")->curve.v[1] = (model_curve_point){0.4, 0, fix_at(741)};
	stock(m, "blower")->curve.n = 2;
	fires(m, "fan-curve", "fan blower works before its published points (clean and dirty)");
	m = quiet(&mem);
	stock(m, "blower")->stall_m3_s = fix_value(0.2);
	fires(m, "fan-stall", "fan blower works in its stall range, at 382 m³/h (dirty)");
	m = quiet(&mem);
	stock(m, "blower")->curve.v[0].pressure_pa = 500;
	stock(m, "felt")->drag_per_s = fix_value(60000);
	fires(m, "fan-stall", "fan blower works left of its curve's peak, at 117 m³/h (dirty)");
	/* A curve with a dip that the system passes through: two stable points. */
	m = quiet(&mem);
	stock(m, "blower")->curve.v[1].pressure_pa = 100;
	stock(m, "blower")->curve.v[2].pressure_pa = 100;
	stock(m, "blower")->curve.v[3].pressure_pa = 860;
	fires(m, "fan-two-points", "fan blower can also work at about 305 m³/h instead of 1086 m³/h (clean)");
	m = quiet(&mem);
	stock(m, "blower")->motor_w = fix_value(200);
	fires(m, "fan-motor", "fan blower asks for 348 W at its shaft (clean), 148 W more than its motor gives");
	arena_end(&mem);
}

static void filters(void **state) {
	(void)state;
	arena mem = {0};
	model *m = air_fix(&mem);
	fires(m, "filter-speed",
	      "0.43 m/s through the media of felts (clean), 0.399 m/s above what is usual for its use; basis: 0.0305 "
	      "m/s "
	      "(6 ft/min) and more is called high, about 0.0152 m/s (3 ft/min) normal (Wang, Air Pollution Control "
	      "Engineering, 2004, p. 69)");
	m->measures = MEASURES_INCH; /* the source's own measures: no brackets */
	diags inch = checked(m);
	assert_non_null(
		strstr(first(&inch, "filter-speed")->text, "basis: 6 ft/min and more is called high, about 3 ft/min"));
	m->measures = MEASURES_METRIC;
	stock(m, "felt")->use_class = "coarse dust, unshaken";
	diags d = checked(m);
	assert_non_null(strstr(first(&d, "filter-speed")->text, "common practice, no source"));
	m->air.branches.v[FELTS].length_m = 1.5;
	d = checked(m);
	assert_null(first(&d, "filter-speed"));
	m = quiet(&mem);
	stock(m, "felt")->dirty_load_kg_m2.v = NAN;
	fires(m, "filter-dirty", "nothing says what tubes felts takes when it is dirty: its clean loss stands for it");
	m = quiet(&mem);
	model_stock *pleat = fix_stock(m, STOCK_FILTER, "pleat");
	pleat->media_area_m2 = fix_value(9);
	pleat->dirty_pa = fix_value(200);
	air_fix_point(m, pleat, 0.05, 20);
	air_fix_point(m, pleat, 0.1, 50);
	m->air.branches.v[FELTS].kind = AIR_FILTER;
	m->air.branches.v[FELTS].stock = model_find_stock(m, "pleat");
	m->air.branches.v[FELTS].count = 1;
	fires(m, "filter-curve", "filter felts gets more air than its loss was measured at (clean and dirty)");
	m->air.branches.v[FELTS].count = 2;
	fires(m, "filter-curve", "filter felts gets more air than its loss was measured at (clean and dirty)");
	m->air.branches.v[FELTS].count = 4;
	d = checked(m);
	assert_null(first(&d, "filter-curve"));
	/* A unit is measured by its face: 200 x 300 each, two of them; by its cloth only when its use is stated. */
	assert_null(first(&d, "filter-face"));
	assert_null(first(&d, "filter-speed"));
	fix_part(m, PART_ITEM, "pleats", fix_box(100, 300, 0, 48, 120, 420), AXIS_Y, FACE_FRONT)->stock =
		model_find_stock(m, "pleat");
	m->air.branches.v[FELTS].part = model_find_part(m, "pleats");
	d = checked(m);
	assert_null(first(&d, "filter-face"));
	stock(m, "pleat")->use_class = "HEPA";
	m->parts.v[m->parts.n - 1].box = fix_box(100, 300, 0, 48, 120, 270);
	fires(m, "filter-face", "2.47 m/s on the face of felts (clean), 1.17 m/s more than a HEPA filter is made for");
	stock(m, "pleat")->use_class = "cartridge, shaken";
	d = checked(m);
	assert_null(first(&d, "filter-face"));
	assert_null(first(&d, "filter-speed"));
	stock(m, "pleat")->media_area_m2 = fix_value(1);
	d = checked(m);
	assert_non_null(first(&d, "filter-speed"));
	arena_end(&mem);
}

static void ways(void **state) {
	(void)state;
	arena mem = {0};
	model *m = quiet(&mem);
	model_branch *b = &m->air.branches.v[WELLS_CARRIER];
	model_ref from = b->from;
	b->from = b->to;
	b->to = from;
	fires(m, "air-backwards",
	      "933 m³/h goes through openings wells in carrier against the way that is written (clean and dirty)");
	m = quiet(&mem);
	m->air.branches.v[WELLS_TOP].covered_part = 0.9;
	fires(m, "covered-flow",
	      "with the face covered fan blower draws 194 m³/h instead of 933 m³/h (clean): 21 %, less than half");
	m = quiet(&mem);
	m->air.trough_m3 = 0.0004;
	fires(m, "trough-small", "the trough is full after 4 h of work, before the filters are dirty after 6 h");
	arena_end(&mem);
}

static void ducts(void **state) {
	(void)state;
	arena mem = {0};
	model *m = quiet(&mem);
	/* In place of the top's openings, a duct; dusty, because the tubes come behind it. */
	model_branch *b = &m->air.branches.v[WELLS_TOP];
	b->kind = AIR_DUCT;
	b->hole_m = 0.2;
	b->length_m = 1;
	b->roughness_m = 0.00015;
	b->loss_k = 0.3;
	fires(m, "duct-transport",
	      "dusty air goes through duct wells in top at 3.43 m/s (clean and dirty), 8.57 m/s short of what carries "
	      "wood flour");
	diags d = checked(m);
	assert_string_equal(first(&d, "duct-transport")->help,
			    "dust settles in it; at the same flow a diameter of 105 mm carries it");
	m->measures = MEASURES_INCH;
	d = checked(m);
	assert_string_equal(first(&d, "duct-transport")->help,
			    "dust settles in it; at the same flow a diameter of 4 in carries it");
	m->measures = MEASURES_METRIC;
	b->hole_m = 0.08;
	d = checked(m);
	assert_null(first(&d, "duct-transport"));
	/* The same wide duct on the clean side says nothing. */
	b->hole_m = 0.2;
	m->air.branches.v[FELTS].from = 0;
	m->air.branches.v[FELTS].to = 1;
	b->from = 2;
	b->to = 3;
	d = checked(m);
	assert_int_equal(d.errors, 0);
	assert_null(first(&d, "duct-transport"));
	arena_end(&mem);
}

static void tubes(void **state) {
	(void)state;
	arena mem = {0};
	model *m = air_fix(&mem);
	fires(m, "tubes-long", "tubes felts are 400 mm long, 108 mm longer than the room below carrier (8 of 8)");
	diags d = checked(m);
	assert_string_equal(first(&d, "tubes-long")->help,
			    "tubes of 292 mm have room; take more of them, or hang them higher");
	m->air.branches.v[FELTS].length_m = 0.292;
	d = checked(m);
	assert_null(first(&d, "tubes-long"));
	/* A box under one of them, beside the others. */
	fix_part(m, PART_ITEM, "box", fix_box(100, 190, 0, 149, 108, 158), AXIS_Z, FACE_TOP);
	fires(m, "tubes-long", "tubes felts are 292 mm long, 50 mm longer than the room below carrier (1 of 8)");
	m->parts.v[m->parts.n - 1].box = fix_box(100, 129, 0, 400, 108, 158); /* the tubes begin at 130 */
	d = checked(m);
	assert_null(first(&d, "tubes-long"));
	m->parts.v[m->parts.n - 1].kind = PART_GAP;
	m->parts.v[m->parts.n - 1].box = fix_box(18, 782, 0, 400, 108, 158); /* what stops nothing */
	d = checked(m);
	assert_null(first(&d, "tubes-long"));
	/* A lower sheet of the pattern: its collars take the ends, or its openings let the tubes through. */
	m = air_fix(&mem);
	m->air.branches.v[FELTS].part = FIX_CARRIER;
	fix_sheet(m, 0, FIX_FLOOR, 62, FIX_COLLAR, FIX_ROUTER);
	d = checked(m);
	assert_null(first(&d, "tubes-long"));
	m->patterns.v[0].sheets.v[2].collar = MODEL_NONE;
	d = checked(m);
	assert_null(first(&d, "tubes-long"));
	m->air.branches.v[FELTS].hole_m = 0.07;
	fires(m, "tubes-long", "tubes felts are 400 mm long, 108 mm longer than the room below carrier (8 of 8)");
	arena_end(&mem);
}

/* The fixture with a filter unit over its carrier in place of the tubes. */
static model *with_pleat(arena *mem, box3 box) {
	model *m = quiet(mem);
	model_stock *pleat = fix_stock(m, STOCK_FILTER, "pleat");
	pleat->media_area_m2 = fix_value(9);
	pleat->dirty_pa = fix_value(200);
	air_fix_point(m, pleat, 0.4, 50);
	model_part *p = fix_part(m, PART_ITEM, "pleat", box, AXIS_Z, FACE_TOP);
	p->stock = model_find_stock(m, "pleat");
	model_branch *b = &m->air.branches.v[FELTS];
	b->kind = AIR_FILTER;
	b->name = "pleat";
	b->stock = p->stock;
	b->part = (model_ref)m->parts.n - 1;
	b->count = 1;
	return m;
}

static bool bypassed(model *m) {
	diags d = checked(m);
	return first(&d, "filter-bypass") != NULL;
}

static void beside_filters(void **state) {
	(void)state;
	arena mem = {0};
	const box3 above = fix_box(60, 740, 20, 380, 430, 475), lying = fix_box(60, 740, 20, 380, 418, 463);
	model *m = with_pleat(&mem, above); /* 12 mm above the carrier; the cabinet has neither front nor back */
	fires(m, "filter-bypass",
	      "air can pass beside filter pleat: 42 mm at its left, 42 mm at its right, 20 mm at its front, 20 mm at "
	      "its "
	      "back; about 574 cm² are open");
	diags d = checked(m);
	assert_non_null(strstr(first(&d, "filter-bypass")->help, "leak bags -> clean side of 574 cm2"));
	/* A leak that is declared between the same spaces is the answer to it; one elsewhere is not. */
	model_branch *leak = air_fix_way(m, AIR_LEAK, "leak", 2, 0);
	leak->area_given_m2 = 1e-3;
	assert_true(bypassed(m));
	leak->to = 3;
	assert_false(bypassed(m));
	/* On the carrier its rim has a stop all round, as long as the opening under it is smaller than it. */
	m = with_pleat(&mem, lying);
	assert_false(bypassed(m));
	model_feature *f = fix_feature(m, FEATURE_OPENING, FIX_CARRIER, FACE_TOP, 400, 200, 418, 660, 18);
	f->shape = (model_shape){.kind = SHAPE_RECT,
				 .a = rat_int(660),
				 .b = rat_int(340),
				 .corner = rat_int(0),
				 .along = AXIS_X,
				 .at = span_none()};
	f->through = true;
	assert_false(bypassed(m));
	f->shape.a = rat_int(700);
	f->shape.b = rat_int(380);
	fires(m, "filter-bypass",
	      "air can pass beside filter pleat: 10 mm at its left, 10 mm at its right, 10 mm at its front, 10 mm at "
	      "its "
	      "back; about 208 cm² are open");
	/* Two ledges that reach the walls stop two of the sides, but for the corners. */
	m = with_pleat(&mem, above);
	fix_part(m, PART_CLEAT, "ledge1", fix_box(18, 78, 0, 400, 420, 430), AXIS_Z, FACE_TOP);
	fix_part(m, PART_CLEAT, "ledge2", fix_box(722, 782, 0, 400, 420, 430), AXIS_Z, FACE_TOP);
	fires(m, "filter-bypass",
	      "air can pass beside filter pleat: 20 mm at its front, 20 mm at its back; about 258 cm² are open");
	/* A fit of 3 mm is what a gasket takes up. */
	m = with_pleat(&mem, fix_box(21, 779, 3, 397, 430, 475));
	assert_false(bypassed(m));
	m->parts.v[m->parts.n - 1].box = fix_box(23, 779, 3, 397, 430, 475);
	assert_true(bypassed(m));
	arena_end(&mem);
}

int main(void) {
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(nothing_fires),  cmocka_unit_test(fans),  cmocka_unit_test(filters),
		cmocka_unit_test(ways),		  cmocka_unit_test(ducts), cmocka_unit_test(tubes),
		cmocka_unit_test(beside_filters),
	};
	return cmocka_run_group_tests(tests, NULL, NULL);
}
