/* From a model built by hand to solved air: areas from the geometry, the four conditions, reports of what is amiss. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "compiler/air.h"
#include "runtime/engine/airlaw.h"
#include "runtime/engine/airnet.h"
#include "tests/unit/air_fixture.h"

static const double PI = 3.14159265358979323846;

static void near(double got, double want, double relative) {
	if (!(fabs(got - want) <= relative * fabs(want))) fail_msg("got %.12g, want %.12g", got, want);
}

static void areas_come_from_the_geometry(void **state) {
	(void)state;
	arena mem = {0};
	model *m = air_fix(&mem);
	diags d = diags_begin(&mem);
	assert_true(air_solve(m, &d));
	assert_int_equal(d.errors + d.warnings, 0);
	const model_branch *b = m->air.branches.v;
	near(b[WELLS_TOP].gross_m2, 8 * PI * 0.06 * 0.06 / 4, 1e-12);
	near(b[WELLS_TOP].open_m2, b[WELLS_TOP].gross_m2, 1e-12);
	near(b[WELLS_TOP].plan_m2, 0.764 * 0.4, 1e-12);
	near(b[WELLS_TOP].thick_m, 0.018, 1e-12);
	near(b[WELLS_TOP].hole_m, 0.06, 1e-12);
	near(b[WELLS_TOP].k, airlaw_plate(b[WELLS_TOP].open_m2 / (0.764 * 0.4), 0.3), 1e-12);
	/* The collar's bore, not the hole it sits in. */
	near(b[WELLS_CARRIER].open_m2, 8 * PI * 0.058 * 0.058 / 4, 1e-12);
	assert_int_equal(b[FELTS].count, 8);
	near(b[FELTS].open_m2, 8 * PI * 0.06 * 0.4, 1e-12);
	near(b[FELTS].box_m2, 0.764 * 0.4 - 8 * PI * 0.06 * 0.06 / 4, 1e-12);
	arena_end(&mem);
}

static double clean_flow(model *m) {
	diags d = diags_begin(m->mem);
	assert_true(air_solve(m, &d));
	return m->air.result[0].flow[BLOWER].flow_m3_s;
}

/* Promise 2: lay a slat across, thicken the sheet, close the slat's distance: the flow follows. */
static void slats_and_thickness_count(void **state) {
	(void)state;
	arena mem = {0};
	model *m = air_fix(&mem);
	double bare = clean_flow(m);
	/* A slat 20 wide along the middle of the first row of wells, lying on the top. */
	model_part *slat = fix_part(m, PART_SLAT, "slat", fix_box(18, 782, 110, 130, 618, 640), AXIS_Z, FACE_TOP);
	double with_slat = clean_flow(m);
	/* Each of four discs loses a band of 20 through its middle. */
	double segment = 0.03 * 0.03 * acos(1.0 / 3) - 0.01 * sqrt(0.03 * 0.03 - 0.01 * 0.01);
	near(m->air.branches.v[WELLS_TOP].open_m2, 4 * PI * 0.03 * 0.03 + 4 * 2 * segment, 1e-9);
	near(m->air.branches.v[WELLS_TOP].gross_m2, 8 * PI * 0.03 * 0.03, 1e-12);
	assert_true(with_slat < bare);
	/* A second slat in the same place takes nothing more; 3 mm above still counts, 4 mm does not. */
	slat = fix_part(m, PART_SLAT, "slat.2", fix_box(18, 782, 110, 130, 618, 640), AXIS_Z, FACE_TOP);
	near(clean_flow(m), with_slat, 1e-12);
	for (int i = 0; i < 2; i++) m->parts.v[m->parts.n - 2 + (size_t)i].box = fix_box(18, 782, 110, 130, 621, 640);
	near(clean_flow(m), with_slat, 1e-12);
	for (int i = 0; i < 2; i++) m->parts.v[m->parts.n - 2 + (size_t)i].box = fix_box(18, 782, 110, 130, 622, 640);
	near(clean_flow(m), bare, 1e-12);
	/* A gap or a fan there stops nothing. */
	slat = &m->parts.v[m->parts.n - 1];
	slat->box = fix_box(18, 782, 110, 130, 618, 640);
	slat->kind = PART_GAP;
	near(clean_flow(m), bare, 1e-12);
	slat->kind = PART_ITEM;
	slat->stock = model_find_stock(m, "blower");
	near(clean_flow(m), bare, 1e-12);
	/* A sheet of the same pattern that touches it covers nothing: it is a branch of its own. */
	m->parts.v[FIX_CARRIER].box = fix_box(18, 782, 0, 400, 582, 600);
	near(clean_flow(m), bare, 1e-12);
	/* A thicker sheet has less loss per hole than a thin one (its jet fills the hole). */
	m->parts.v[FIX_TOP].box.lo[2] = fix_mm(570);
	assert_true(clean_flow(m) > bare);
	arena_end(&mem);
}

/* The whole answer once more by bisection, with the laws called one by one. */
static void conditions_by_a_second_route(void **state) {
	(void)state;
	arena mem = {0};
	model *m = air_fix(&mem);
	m->air.branches.v[WELLS_TOP].covered_part = 0.7;
	diags d = diags_begin(&mem);
	assert_true(air_solve(m, &d));
	assert_true(m->air.has_cover);
	double rho = airlaw_density(0, 294.26), mu = airlaw_viscosity(294.26) / AIRLAW_STANDARD_VISCOSITY, before = 1;
	near(m->air.density_kg_m3, rho, 1e-12);
	const model_branch *b = m->air.branches.v;
	for (int c = 0; c < AIR_CONDITIONS; c++) {
		const model_air_result *r = &m->air.result[c];
		assert_true(r->solved);
		double low = 0, high = 0.4, top = b[WELLS_TOP].open_m2 * (c & 2 ? 0.3 : 1);
		double r1 = 600 + (c & 1 ? 20000 * 0.2 : 0);
		for (int i = 0; i < 100; i++) {
			double q = (low + high) / 2;
			double loss = b[WELLS_TOP].k * airlaw_velocity_pressure(rho, q / top) +
				      b[WELLS_CARRIER].k * airlaw_velocity_pressure(rho, q / b[WELLS_CARRIER].open_m2) +
				      airlaw_media(r1 * mu, 0, q / b[FELTS].open_m2);
			if (air_gives(m, &mem, BLOWER, q) > loss)
				low = q;
			else
				high = q;
		}
		near(r->flow[BLOWER].flow_m3_s, low, 1e-4); /* the creep of the square laws is left out above */
		near(r->flow[WELLS_TOP].speed_m_s, low / top, 1e-4);
		near(air_needs(m, &mem, c, BLOWER, r->flow[BLOWER].flow_m3_s), r->fan[BLOWER].rise_pa, 1e-8);
		near(r->shaft_w, r->flow[BLOWER].flow_m3_s * r->fan[BLOWER].rise_pa / 0.5, 1e-8);
		assert_true(r->residual_m3_s <= 1e-9 * low);
		assert_true(r->pressure_pa[0] == 0 && r->pressure_pa[1] < 0 && r->pressure_pa[3] < r->pressure_pa[2]);
		if (c == 1 || c == 3) assert_true(r->flow[BLOWER].flow_m3_s < before);
		before = r->flow[BLOWER].flow_m3_s;
	}
	/* Dust: eight tubes of 0.0754 m2 at 0.2 kg/m2, 20 g/h; trough 10 l at 200 kg/m3. */
	near(m->air.dust_held_kg, 8 * PI * 0.06 * 0.4 * 0.2, 1e-12);
	near(m->air.hours_to_dirty, m->air.dust_held_kg / 0.02, 1e-12);
	near(m->air.hours_to_full_trough, 100, 1e-12);
	near(m->air.room_changes_per_h, m->air.result[1].flow[BLOWER].flow_m3_s * 60, 1e-12);
	/* A leak written from the room into the fan's outlet box lets air into the room: it counts. */
	air_fix_space(m, "box", false);
	m->air.branches.v[BLOWER].to = 4;
	air_fix_way(m, AIR_LEAK, "outlet", 0, 4)->area_given_m2 = 0.05;
	assert_true(air_solve(m, &d));
	assert_true(m->air.result[1].flow[BLOWER + 1].flow_m3_s < 0);
	near(m->air.room_changes_per_h, m->air.result[1].flow[BLOWER].flow_m3_s * 60, 1e-8);
	arena_end(&mem);
}

static void thin_air_moves_the_point(void **state) {
	(void)state;
	arena mem = {0};
	model *m = air_fix(&mem);
	double low = clean_flow(m);
	double rise = m->air.result[0].fan[BLOWER].rise_pa;
	m->air.altitude_m = 2000;
	double high = clean_flow(m);
	assert_true(m->air.result[0].fan[BLOWER].rise_pa < rise);
	/* The media's share of the loss does not go with the density, so the flow falls a little. */
	assert_true(high < low && high > 0.9 * low);
	m->air.altitude_m = 50000;
	diags d = diags_begin(&mem);
	assert_false(air_solve(m, &d));
	assert_int_equal(d.errors, 1);
	arena_end(&mem);
}

static void gap_and_filter_and_leak(void **state) {
	(void)state;
	arena mem = {0};
	model *m = air_fix(&mem);
	model_stock *pleat = fix_stock(m, STOCK_FILTER, "pleat");
	pleat->media_area_m2 = fix_value(4);
	pleat->dirty_pa = fix_value(250);
	pleat->dirty_flow_m3_s = fix_value(0.2);
	pleat->holds_kg = fix_value(0.5);
	air_fix_point(m, pleat, 0.1, 30);
	air_fix_point(m, pleat, 0.2, 80);
	air_fix_point(m, pleat, 0.3, 150);
	/* A gap 400 x 100 through 18, with a cleat 50 wide standing in it and another touching it only. */
	fix_part(m, PART_GAP, "mouth", fix_box(200, 600, 0, 18, 700, 800), AXIS_Y, FACE_FRONT)->stock = MODEL_NONE;
	fix_part(m, PART_CLEAT, "cleat", fix_box(300, 350, -10, 10, 650, 900), AXIS_Y, FACE_FRONT);
	fix_part(m, PART_CLEAT, "cleat.2", fix_box(300, 500, -18, 0, 650, 900), AXIS_Y, FACE_FRONT);
	model_branch *b = &m->air.branches.v[FELTS];
	b->kind = AIR_FILTER;
	b->stock = model_find_stock(m, "pleat");
	b->count = 2;
	b = &m->air.branches.v[WELLS_TOP];
	b->kind = AIR_GAP;
	b->part = model_find_part(m, "mouth");
	b = air_fix_way(m, AIR_LEAK, "door", 0, 3);
	b->area_given_m2 = 0.0012;
	diags d = diags_begin(&mem);
	assert_true(air_solve(m, &d));
	b = m->air.branches.v;
	near(b[WELLS_TOP].gross_m2, 0.04, 1e-12);
	near(b[WELLS_TOP].open_m2, 0.035, 1e-9);
	near(b[FELTS].open_m2, 8, 1e-12);
	const model_air_result *clean = &m->air.result[0], *dirty = &m->air.result[1];
	double leak = clean->flow[4].flow_m3_s, through = clean->flow[WELLS_TOP].flow_m3_s;
	near(leak, 0.0012 * sqrt(2 * -clean->pressure_pa[3] / (m->air.density_kg_m3 * AIRLAW_SHARP_K)), 1e-6);
	near(leak + through, clean->flow[BLOWER].flow_m3_s, 1e-8);
	/* The gap: entry and exit by its thickness, and friction along it over its hydraulic diameter. */
	double dh = 4 * 0.035 / 1.0, v = through / 0.035, rho = m->air.density_kg_m3;
	double f = airlaw_friction(rho * v * dh / m->air.viscosity_pa_s, 0.0001 / dh);
	near(clean->flow[WELLS_TOP].loss_pa,
	     airlaw_velocity_pressure(rho, v) * (airlaw_plate(0, 0.018 / dh) + f * 0.018 / dh), 1e-6);
	/* At its dirty flow a unit takes its dirty loss: 0.2 m3/s through each of the two is the point of no doubt. */
	double one = dirty->flow[FELTS].flow_m3_s / 2, clean_loss = NAN;
	airnet_curve c;
	assert_true(airnet_curve_make(&mem, (double[]){0, 0.1, 0.2, 0.3}, (double[]){0, 30, 80, 150}, 4, &c));
	clean_loss = airnet_curve_at(&c, one, NULL);
	near(dirty->flow[FELTS].loss_pa, clean_loss + (250 - 80) / 0.2 * one, 1e-8);
	near(m->air.dust_held_kg, 1.0, 1e-12);
	assert_false(m->air.has_cover);
	assert_string_equal(m->air.result[2].why_not, "the plan covers nothing");
	arena_end(&mem);
}

/* Without a way through the openings that they hang in, tubes lose at their mouths. */
static void tubes_lose_at_their_mouths(void **state) {
	(void)state;
	arena mem = {0};
	model *m = air_fix(&mem);
	double named = clean_flow(m);
	const model_branch *b = &m->air.branches.v[FELTS];
	assert_true(b->k == 0);
	near(b->plan_m2, 8 * PI * 0.058 * 0.058 / 4, 1e-12);
	/* The same openings, now only the tubes': collars of 30 mm stand for the sheet's 18 mm. */
	m->air.branches.v[WELLS_CARRIER].kind = AIR_LEAK;
	m->air.branches.v[WELLS_CARRIER].area_given_m2 = 100;
	double own = clean_flow(m), k = airlaw_plate(b->plan_m2 / (0.764 * 0.4), 30.0 / 58);
	near(b->k, k, 1e-12);
	assert_true(own > named); /* the longer bore loses less */
	double q = m->air.result[0].flow[FELTS].flow_m3_s, mu = m->air.viscosity_pa_s / AIRLAW_STANDARD_VISCOSITY;
	near(m->air.result[0].flow[FELTS].loss_pa,
	     airlaw_media(600 * mu, 0, q / b->open_m2) +
		     k * airlaw_velocity_pressure(m->air.density_kg_m3, q / b->plan_m2),
	     1e-6);
	arena_end(&mem);
}

/* A fan that stands on an opening or a duct takes the air from it at speed: only the entry is lost, and what a step in
 * the area costs. With a named space between them the speed is lost too. */
static void a_fan_on_its_opening(void **state) {
	(void)state;
	arena mem = {0};
	model *m = air_fix(&mem);
	model_pattern *p = LIST_ADD(&mem, &m->patterns);
	*p = (model_pattern){.name = "intake", .at = fix_at(610), .through = AXIS_Z, .u = AXIS_X, .v = AXIS_Y};
	LIST_PUSH(&mem, &p->axes, ((point3){{rat_int(400), rat_int(200), rat_int(0)}}));
	fix_sheet(m, 1, FIX_FLOOR, 150, MODEL_NONE, FIX_ROUTER);
	air_fix_space(m, "between intake and blower", false);
	m->air.spaces.v[4].named = false;
	m->air.branches.v[BLOWER].from = 4;
	model_branch *b = air_fix_way(m, AIR_OPENINGS, "intake", 3, 4);
	b->pattern = 1;
	b->part = FIX_FLOOR;
	model_stock *fan = &m->stocks.v[model_find_stock(m, "blower")];
	double plate = NAN;
	diags d = diags_begin(&mem);
	assert_true(air_solve(m, &d)); /* the inlet's size is not known: the plate's law stands */
	assert_false(m->air.branches.v[4].feeds_fan);
	plate = m->air.branches.v[4].k;
	near(plate, airlaw_plate(m->air.branches.v[4].open_m2 / (0.764 * 0.4), 0.018 / 0.15), 1e-12);
	fan->inlet = fix_length(150);
	assert_true(air_solve(m, &d));
	assert_true(m->air.branches.v[4].feeds_fan);
	near(m->air.branches.v[4].k, AIRLAW_FH_FLANGED, 1e-12);
	fan->inlet = fix_length(200); /* widens: Borda-Carnot */
	assert_true(air_solve(m, &d));
	near(m->air.branches.v[4].k, AIRLAW_FH_FLANGED + (1 - 0.5625) * (1 - 0.5625), 1e-12);
	fan->inlet = fix_length(120); /* narrows, on the speed in the opening */
	assert_true(air_solve(m, &d));
	double ratio = 150 * 150 / (120.0 * 120);
	near(m->air.branches.v[4].k, AIRLAW_FH_FLANGED + 0.5 * (1 - 1 / ratio) * ratio * ratio, 1e-12);
	fan->inlet = fix_length(60); /* too unlike: a box lies between them */
	assert_true(air_solve(m, &d));
	near(m->air.branches.v[4].k, plate, 1e-12);
	fan->inlet = fix_length(150);
	m->air.spaces.v[4].named = true;
	assert_true(air_solve(m, &d));
	near(m->air.branches.v[4].k, plate, 1e-12);
	/* A second way into that space makes it a box. */
	m->air.spaces.v[4].named = false;
	air_fix_way(m, AIR_LEAK, "leak", 0, 4)->area_given_m2 = 1e-4;
	assert_true(air_solve(m, &d));
	assert_false(m->air.branches.v[4].feeds_fan);
	m->air.branches.n--;
	/* A duct that ends in the fan loses its entry only. */
	b = &m->air.branches.v[4];
	b->kind = AIR_DUCT;
	b->hole_m = 0.15;
	b->length_m = 1;
	b->roughness_m = 0.00015;
	b->loss_k = 0.3;
	assert_true(air_solve(m, &d));
	near(m->air.branches.v[4].k, 0.3 + AIRLAW_FH_PLAIN, 1e-12);
	m->air.spaces.v[4].named = true;
	assert_true(air_solve(m, &d));
	near(m->air.branches.v[4].k, 0.3 + AIRLAW_FH_PLAIN + 1, 1e-12);
	m->air.branches.v[4].ends_given = true;
	assert_true(air_solve(m, &d));
	near(m->air.branches.v[4].k, 0.3, 1e-12);
	arena_end(&mem);
}

/* The fixture with an opening of `mm` in its floor, whose way the case leads (row 4 of the branches), and as many
 * unnamed spaces as it needs (from row 4 of the spaces). */
static model *with_opening(arena *mem, int mm, int between) {
	model *m = air_fix(mem);
	model_pattern *p = LIST_ADD(mem, &m->patterns);
	*p = (model_pattern){.name = "mouth", .at = fix_at(610), .through = AXIS_Z, .u = AXIS_X, .v = AXIS_Y};
	LIST_PUSH(mem, &p->axes, ((point3){{rat_int(400), rat_int(200), rat_int(0)}}));
	fix_sheet(m, 1, FIX_FLOOR, mm, MODEL_NONE, FIX_ROUTER);
	for (int i = 0; i < between; i++) {
		air_fix_space(m, "between", false);
		m->air.spaces.v[4 + i].named = false;
	}
	model_branch *b = air_fix_way(m, AIR_OPENINGS, "mouth", 0, 0);
	b->pattern = 1;
	b->part = FIX_FLOOR;
	return m;
}

static model_branch *with_duct(model *m, model_ref from, model_ref to, double diameter_m) {
	model_branch *b = air_fix_way(m, AIR_DUCT, "hose", from, to);
	b->hole_m = diameter_m;
	b->length_m = 1;
	b->roughness_m = 0.00015;
	b->loss_k = 0.3;
	return b;
}

/* An opening that a fan blows through loses its speed, once. */
static void a_fan_blows_through_an_opening(void **state) {
	(void)state;
	arena mem = {0};
	model *m = with_opening(&mem, 150, 1);
	model_branch *b = &m->air.branches.v[4], *fan = &m->air.branches.v[BLOWER];
	model_stock *s = &m->stocks.v[model_find_stock(m, "blower")];
	diags d = diags_begin(&mem);
	fan->to = b->from = 4;
	assert_true(air_solve(m, &d)); /* the fan's size is not known: the plate's law stands */
	double plate = airlaw_plate(b->open_m2 / (0.764 * 0.4), 0.018 / 0.15);
	near(b->k, plate, 1e-12);
	assert_false(model_space_in_stream(m, 4));
	s->inlet = fix_length(150);
	assert_true(air_solve(m, &d));
	near(b->k, 1, 1e-12);
	assert_true(fan->runs_on && model_space_in_stream(m, 4));
	assert_false(b->runs_on || b->feeds_fan || model_space_in_stream(m, 3));
	near(m->air.result[0].flow[4].loss_pa,
	     airlaw_velocity_pressure(m->air.density_kg_m3, m->air.result[0].flow[4].speed_m_s), 1e-6);
	s->inlet = fix_length(250); /* a small hole before a large fan is a plate */
	assert_true(air_solve(m, &d));
	near(b->k, plate, 1e-12);
	s->inlet = fix_length(150);
	m->air.spaces.v[4].named = true; /* so is one in another wall of a named space */
	assert_true(air_solve(m, &d));
	near(b->k, plate, 1e-12);
	assert_false(fan->runs_on);
	arena_end(&mem);
}

/* A rectangular duct: speed, coefficients and steps on its own area, friction in the bore of equal loss. */
static void a_rectangular_duct(void **state) {
	(void)state;
	arena mem = {0};
	model *m = with_opening(&mem, 150, 2);
	m->stocks.v[model_find_stock(m, "blower")].inlet = fix_length(150);
	model_branch *duct = with_duct(m, 5, 0, 0.15), *mouth = &m->air.branches.v[4];
	duct->side_m[0] = 0.25;
	duct->side_m[1] = 0.08;
	duct->hole_m = 1.30 * pow(0.25 * 0.08, 0.625) / pow(0.33, 0.25);
	mouth->to = 5;
	m->air.branches.v[WELLS_TOP].from = duct->to = 4;
	m->air.spaces.v[4].named = true;
	diags d = diags_begin(&mem);
	assert_true(air_solve(m, &d));
	near(duct->open_m2, 0.02, 1e-12);
	near(duct->plan_m2, 0.02, 1e-12);
	near(duct->k, 0.3 + 1, 1e-12);
	double hole = PI * 0.15 * 0.15 / 4; /* of the opening before it, which it widens to 0.02 m2 */
	near(mouth->k, AIRLAW_FH_FLANGED + (1 - hole / 0.02) * (1 - hole / 0.02), 1e-9);
	const model_flow *f = &m->air.result[0].flow[m->air.branches.n - 1];
	double q = f->flow_m3_s, rho = m->air.density_kg_m3, bore = PI * duct->hole_m * duct->hole_m / 4, v = q / bore;
	near(f->speed_m_s, q / 0.02, 1e-9);
	double friction = airlaw_friction(rho * v * duct->hole_m / m->air.viscosity_pa_s, 0.00015 / duct->hole_m);
	near(f->loss_pa, friction / duct->hole_m * rho * v * v / 2 + 1.3 * rho * (q / 0.02) * (q / 0.02) / 2, 1e-6);
	arena_end(&mem);
}

/* Where a duct meets an opening or a fan, entry and exit are counted once. */
static void a_duct_has_one_mouth(void **state) {
	(void)state;
	arena mem = {0};
	/* fan -> duct -> opening -> room: neither entry nor a second exit. */
	model *m = with_opening(&mem, 150, 2);
	m->stocks.v[model_find_stock(m, "blower")].inlet = fix_length(150);
	model_branch *duct = with_duct(m, 4, 5, 0.15), *mouth = &m->air.branches.v[4];
	m->air.branches.v[BLOWER].to = 4;
	mouth->from = 5;
	diags d = diags_begin(&mem);
	assert_true(air_solve(m, &d));
	near(duct->k, 0.3, 1e-12);
	near(mouth->k, 1, 1e-12);
	assert_true(duct->runs_on && model_space_in_stream(m, 5));
	double speed = m->air.result[0].flow[4].speed_m_s;
	near(m->air.result[0].pressure_pa[5], airlaw_velocity_pressure(m->air.density_kg_m3, speed), 1e-6);
	duct->hole_m = 0.12; /* the jet of a narrower duct goes through: its own speed is lost */
	assert_true(air_solve(m, &d));
	near(duct->k, 0.3, 1e-12);
	near(mouth->k / (mouth->open_m2 * mouth->open_m2), 1 / (duct->open_m2 * duct->open_m2), 1e-6);
	duct->hole_m = 0.2; /* a narrower opening narrows the stream first */
	assert_true(air_solve(m, &d));
	near(mouth->k, 1 + 0.5 * (1 - 0.5625), 1e-12);
	duct->hole_m = 0.05; /* a thin hose behind a fan and before a large hole: three things */
	assert_true(air_solve(m, &d));
	near(duct->k, 0.3 + AIRLAW_FH_PLAIN + 1, 1e-12);
	near(mouth->k, airlaw_plate(mouth->open_m2 / (0.764 * 0.4), 0.018 / 0.15), 1e-12);
	/* room -> opening -> duct -> fan: one entry. */
	m = with_opening(&mem, 150, 2);
	duct = with_duct(m, 5, 0, 0.15);
	mouth = &m->air.branches.v[4];
	mouth->to = 5;
	m->air.branches.v[WELLS_TOP].from = duct->to = 4;
	m->air.spaces.v[4].named = true;
	assert_true(air_solve(m, &d));
	near(mouth->k, AIRLAW_FH_FLANGED, 1e-12);
	near(duct->k, 0.3 + 1, 1e-12);
	assert_false(mouth->feeds_fan);
	duct->ends_given = true;
	assert_true(air_solve(m, &d));
	near(duct->k, 0.3, 1e-12);
	assert_in_range((uintmax_t)(mouth->k * 1000), 1, 100); /* the duct's figure holds the entry */
	duct->ends_given = false;
	/* Duct into duct: one entry, one exit, and the step. */
	mouth->kind = AIR_DUCT;
	mouth->hole_m = 0.1;
	mouth->length_m = 1;
	mouth->roughness_m = 0.00015;
	assert_true(air_solve(m, &d));
	double share = 0.1 * 0.1 / (0.15 * 0.15);
	near(mouth->k, AIRLAW_FH_PLAIN + (1 - share) * (1 - share), 1e-12);
	near(duct->k, 0.3 + 1, 1e-12);
	arena_end(&mem);
}

static const diag *first(const diags *d, const char *rule) {
	for (size_t i = 0; i < d->all.n; i++)
		if (strcmp(d->all.v[i]->rule, rule) == 0) return d->all.v[i];
	return NULL;
}

static void faults_are_reported(void **state) {
	(void)state;
	arena mem = {0};
	/* An opening covered wholly. */
	model *m = air_fix(&mem);
	fix_part(m, PART_SLAT, "slat", fix_box(100, 200, 60, 160, 618, 640), AXIS_Z, FACE_TOP);
	diags d = diags_begin(&mem);
	assert_true(air_solve(m, &d));
	const diag *g = first(&d, "opening-covered");
	assert_non_null(g);
	assert_string_equal(g->text, "opening 1 of the 8 of wells in top is covered wholly");
	assert_int_equal(g->notes.n, 1);
	assert_string_equal(g->notes.v[0].text, "slat lies over it");
	assert_int_equal(m->air.branches.v[WELLS_TOP].wholly_covered, 1);
	/* All of them. */
	m->parts.v[m->parts.n - 1].box = fix_box(18, 782, 0, 400, 618, 640);
	d = diags_begin(&mem);
	assert_false(air_solve(m, &d));
	assert_non_null(first(&d, "air-closed"));
	/* Blind openings. */
	m = air_fix(&mem);
	m->patterns.v[0].sheets.v[0].blind = true;
	d = diags_begin(&mem);
	assert_false(air_solve(m, &d));
	assert_string_equal(first(&d, "air-closed")->text,
			    "openings wells in top are blind there: no air goes through");
	/* The way does not come back to the room: the fan blows into a closed box. */
	m = air_fix(&mem);
	air_fix_space(m, "box", false);
	m->air.branches.v[BLOWER].to = 4;
	d = diags_begin(&mem);
	assert_false(air_solve(m, &d));
	assert_string_equal(
		first(&d, "air-unsolved")->text,
		"the air cannot be worked out: fan blower: the way is not closed: the fan's air finds no way back "
		"to where it came from");
	assert_int_equal(d.errors, 1); /* once, not once per condition */
	/* A space that hangs in the air; no fan at all. */
	m = air_fix(&mem);
	air_fix_space(m, "attic", false);
	d = diags_begin(&mem);
	assert_false(air_solve(m, &d));
	assert_non_null(strstr(first(&d, "air-unsolved")->text, "space attic"));
	m = air_fix(&mem);
	m->air.branches.n = BLOWER;
	d = diags_begin(&mem);
	assert_false(air_solve(m, &d));
	assert_non_null(first(&d, "air-unsolved")->help);
	/* The only face covered wholly. */
	m = air_fix(&mem);
	m->air.branches.v[WELLS_TOP].covered_part = 1;
	d = diags_begin(&mem);
	assert_false(air_solve(m, &d));
	assert_true(m->air.result[1].solved && !m->air.result[2].solved && !m->air.result[3].solved);
	assert_int_equal(d.errors, 1);
	assert_non_null(strstr(first(&d, "air-unsolved")->notes.v[0].text, "covered part of the face closed"));
	/* Missing figures, each branch for itself. */
	m = air_fix(&mem);
	m->air.branches.v[FELTS].hole_m = NAN;
	m->air.branches.v[BLOWER].stock = MODEL_NONE;
	d = diags_begin(&mem);
	assert_false(air_solve(m, &d));
	assert_int_equal(d.errors, 2);
	/* A curve that runs back. */
	m = air_fix(&mem);
	m->stocks.v[model_find_stock(m, "blower")].curve.v[2].flow_m3_s = 0.05;
	d = diags_begin(&mem);
	assert_false(air_solve(m, &d));
	assert_int_equal(d.errors, 1);
	/* Off the curve: no answer, but the figures that the check needs. */
	m = air_fix(&mem);
	m->stocks.v[model_find_stock(m, "blower")].curve.n = 2;
	d = diags_begin(&mem);
	assert_false(air_solve(m, &d));
	assert_int_equal(d.errors, 0);
	assert_true(m->air.result[0].off_curve && !m->air.result[0].solved);
	assert_int_equal(m->air.result[0].fan[BLOWER].side, 1);
	near(m->air.result[0].fan[BLOWER].gives_pa, 880 * m->air.density_kg_m3 / 1.2, 1e-9);
	assert_true(m->air.result[0].fan[BLOWER].needs_pa < 880);
	/* Nothing declared, nothing done. */
	m = fix_cabinet(&mem);
	d = diags_begin(&mem);
	assert_true(air_solve(m, &d));
	arena_end(&mem);
}

int main(void) {
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(areas_come_from_the_geometry), cmocka_unit_test(slats_and_thickness_count),
		cmocka_unit_test(conditions_by_a_second_route), cmocka_unit_test(thin_air_moves_the_point),
		cmocka_unit_test(a_fan_on_its_opening),		cmocka_unit_test(a_fan_blows_through_an_opening),
		cmocka_unit_test(a_duct_has_one_mouth),		cmocka_unit_test(a_rectangular_duct),
		cmocka_unit_test(tubes_lose_at_their_mouths),	cmocka_unit_test(gap_and_filter_and_leak),
		cmocka_unit_test(faults_are_reported),
	};
	return cmocka_run_group_tests(tests, NULL, NULL);
}
