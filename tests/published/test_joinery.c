/* Joints, screws, templates and drilling programs against figures from outside; the source stands beside each. Those
 * marked arithmetic follow from the formula named; common practice is a habit of the trade with no source. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include "compiler/check.h"
#include "compiler/templates.h"
#include "runtime/engine/feature.h"
#include "runtime/write/gcode.h"
#include "runtime/write/template_write.h"
#include "tests/unit/fixture.h"

static const diag *of_rule(const diags *d, const char *rule) {
	for (size_t i = 0; i < d->all.n; i++)
		if (strcmp(d->all.v[i]->rule, rule) == 0) return d->all.v[i];
	return NULL;
}

static bool fires(model *m, const char *rule) {
	diags d = diags_begin(m->mem);
	check_geometry(m, &d);
	return of_rule(&d, rule) != NULL;
}

/* W5, arithmetic: 600 x 800 x 18 at 720 kg/m3 less two holes of 120 is 5.93 kg. The area of an opening is the model's;
 * the mass is that of the solid less the openings. */
static void w5_mass_less_openings(void **state) {
	(void)state;
	model_shape hole = {.kind = SHAPE_ROUND,
			    .a = rat_int(120),
			    .b = rat_int(120),
			    .corner = rat_int(0),
			    .along = AXIS_X,
			    .at = span_none()};
	double kg = 720e-9 * (600.0 * 800 - 2 * model_shape_area_mm2(&hole)) * 18;
	assert_true(fabs(kg - 5.93) < 0.01);
}

/* W9, common practice: a dado is a third to a half of the thickness deep. 18 mm: 6 to 9. */
static void w9_dado_depth(void **state) {
	(void)state;
	const struct {
		double depth;
		bool good;
	} tries[] = {{5.9, false}, {6, true}, {7.5, true}, {9, true}, {9.1, false}};
	for (size_t i = 0; i < sizeof tries / sizeof *tries; i++) {
		arena mem = {0};
		model *m = fix_cabinet(&mem);
		m->joints.v[FIX_FLOOR_LEFT].depth = m->joints.v[FIX_FLOOR_RIGHT].depth = fix_length(tries[i].depth);
		assert_int_equal(fires(m, "dado-depth"), !tries[i].good);
		arena_end(&mem);
	}
}

/* W10, the MDF industry's guide on fixing (read): face screws at least 12 mm from an edge and 25 mm from a corner, edge
 * screws at least 70 mm from a corner. */
static bool mdf_with(face f, double x, double y) {
	arena mem = {0};
	model *m = fix_cabinet(&mem);
	m->stocks.v[FIX_PLY].label = "MDF 18";
	m->features.n = 0;
	model_feature *p = f == FACE_TOP ? fix_feature(m, FEATURE_PILOT, FIX_TOP, f, x, y, 618, 2.5, 12)
					 : fix_feature(m, FEATURE_PILOT, FIX_TOP, f, x, y, 609, 2.5, 32);
	p->joint = FIX_TOP_LEFT;
	bool fired = fires(m, "mdf-screw");
	arena_end(&mem);
	return fired;
}

static void w10_screws_in_mdf(void **state) {
	(void)state;
	assert_true(mdf_with(FACE_TOP, 18 + 100, 11.9));
	assert_false(mdf_with(FACE_TOP, 18 + 100, 12));
	assert_true(mdf_with(FACE_TOP, 18 + 24.9, 12));
	assert_false(mdf_with(FACE_TOP, 18 + 25, 12));
	assert_true(mdf_with(FACE_LEFT, 18, 69.9));
	assert_false(mdf_with(FACE_LEFT, 18, 70));
}

/* W12, guide-bush formula (read): bush 30, cutter 12.7, hole 120: offset 8.65, template opening 137.3.
 * W13 (read): bush 5/16 in, cutter 1/4, hole 6 in: 6 1/16 in.
 * W14, arithmetic, common practice: bush 5/8 in, cutter 1/4: offset 3/16 in. */
static model_template template_for(arena *mem, rat bush, rat cutter, rat hole) {
	model *m = fix_cabinet(mem);
	m->tools.v[FIX_ROUTER].bush.mm = bush;
	m->tools.v[FIX_ROUTER].diameter.mm = cutter;
	model_shape *s = &m->patterns.v[0].sheets.v[1].shape;
	s->a = s->b = hole;
	diags d = diags_begin(mem);
	templates_make(m, &d);
	assert_int_equal(m->templates.n, 1);
	return m->templates.v[0];
}

static rat inch(int64_t n, int64_t d) { return rat_mul(rat_of(n, d), rat_of(127, 5)); }

static void w12_to_w14_templates(void **state) {
	(void)state;
	arena mem = {0};
	model_template t = template_for(&mem, rat_int(30), rat_of(127, 10), rat_int(120));
	assert_true(rat_eq(t.offset, rat_of(865, 100)));
	assert_true(rat_eq(t.opening.a, rat_of(1373, 10)));
	t = template_for(&mem, inch(5, 16), inch(1, 4), inch(6, 1));
	assert_true(rat_eq(t.opening.a, inch(97, 16)));
	t = template_for(&mem, inch(5, 8), inch(1, 4), inch(3, 1));
	assert_true(rat_eq(t.offset, inch(3, 16)));
	arena_end(&mem);
}

/* W15, geometry: the template's corner is at least the bush's radius; the work's corner is the template's less the
 * offset, and at least the cutter's radius. */
static void w15_template_corners(void **state) {
	(void)state;
	for (int corner = 0; corner <= 20; corner++) {
		arena mem = {0};
		model *m = fix_cabinet(&mem);
		m->patterns.v[0].sheets.v[1].shape = (model_shape){.kind = SHAPE_RECT,
								   .a = rat_int(120),
								   .b = rat_int(90),
								   .corner = rat_int(corner),
								   .along = AXIS_X,
								   .at = fix_at(1)};
		diags d = diags_begin(&mem);
		templates_make(m, &d);
		const model_template *t = &m->templates.v[0];
		rat bush_radius = rat_int(15), cutter_radius = rat_of(635, 100);
		assert_true(rat_le(bush_radius, t->opening.corner));
		rat work = rat_sub(t->opening.corner, t->offset);
		assert_true(rat_le(cutter_radius, work));
		bool reached = rat_eq(work, rat_int(corner));
		assert_int_equal(reached, corner >= 7); /* 6.35 is the least */
		assert_int_equal(of_rule(&d, "template-corner") != NULL, !reached);
		arena_end(&mem);
	}
}

/* W16, arithmetic: 18 mm at 6.35 a pass takes 3 passes; 3/4 in at 1/4 in takes 3 (a quarter inch a pass is common
 * practice). */
static void w16_passes(void **state) {
	(void)state;
	arena mem = {0};
	assert_int_equal(template_for(&mem, rat_int(30), rat_of(127, 10), rat_int(120)).uses.v[0].depths.n, 3);
	model *m = fix_cabinet(&mem);
	diags d = diags_begin(&mem);
	m->parts.v[FIX_CARRIER].box.hi[2] = rat_add(m->parts.v[FIX_CARRIER].box.lo[2], inch(3, 4));
	m->tools.v[FIX_ROUTER].pass.mm = inch(1, 4);
	templates_make(m, &d);
	assert_int_equal(m->templates.v[0].uses.v[0].depths.n, 3); /* exact: 3, not 4 by a rounding */
	m->tools.v[FIX_ROUTER].pass = fix_no_length();		   /* a quarter inch when the plan says nothing */
	templates_make(m, &d);
	assert_int_equal(m->templates.v[0].uses.v[0].depths.n, 3);
	arena_end(&mem);
}

/* W17 (read): by hand, the router goes clockwise inside a template. The template's page says so and shows it: its arrow
 * runs clockwise about the middle of the opening (the page's y runs down, so that r x d is positive). */
static void w17_clockwise_inside(void **state) {
	(void)state;
	arena mem = {0};
	model *m = fix_cabinet(&mem);
	diags d = diags_begin(&mem);
	templates_make(m, &d);
	const display *page = template_drawing(&mem, m, 0);
	bool said = false;
	size_t heads = 0;
	display_box opening = display_box_empty();
	for (size_t i = 0; i < page->items.n; i++) {
		const display_item *t = &page->items.v[i];
		said = said || (t->kind == ITEM_TEXT && strstr(t->text, " clockwise round the inside"));
		if (t->kind == ITEM_PATH && t->pen == PEN_OUTLINE) opening = display_box_join(opening, t->box);
	}
	assert_true(said);
	double x = (opening.x0 + opening.x1) / 2, y = (opening.y0 + opening.y1) / 2;
	for (size_t i = 0; i < page->items.n; i++) {
		const display_item *t = &page->items.v[i];
		bool near = t->box.x0 > opening.x0 && t->box.x1 < opening.x1 && t->box.y0 > opening.y0 &&
			    t->box.y1 < opening.y1;
		if (t->kind != ITEM_PATH || t->pen != PEN_NONE || t->fill != FILL_BLACK || !near) continue;
		display_point tip = t->node[0].p, a = t->node[1].p, b = t->node[2].p;
		double dx = tip.x - (a.x + b.x) / 2, dy = tip.y - (a.y + b.y) / 2;
		/* The two arrows of the dimension stand level, on the centre line. */
		if (fabs(tip.y - y) < 1e-6) continue;
		assert_true((tip.x - x) * dy - (tip.y - y) * dx > 0);
		heads++;
	}
	assert_int_equal(heads, 1);
	arena_end(&mem);
}

/* W19, formula (read): a cutter of 2 1/2 in at 16,000 rpm has a rim speed of 53.2 m/s; 100 in/min at 18,000 rpm with 2
 * teeth is .00278 in a tooth. Our defaults, for a cutter of 2 teeth, stay below both figures. */
static double rim_m_s(double diameter_mm, double rpm) { return acos(-1.0) * diameter_mm / 1000 * rpm / 60; }

static void w19_defaults_are_slow(void **state) {
	(void)state;
	assert_true(fabs(rim_m_s(2.5 * 25.4, 16000) - 53.2) < 0.1);
	assert_true(fabs(100.0 / 18000 / 2 - 0.00278) < 1e-5);
	assert_true(rim_m_s(25.4, GCODE_ROUTER_RPM) < 53.2);
	assert_true(GCODE_ROUTER_FEED_MM_MIN / GCODE_ROUTER_RPM / 2 < 0.00278 * 25.4);
	/* W18 (read): up to 1 in of cutter 24,000 rpm; 2 1/2 to 3 1/2 in 12,000: the default is at the lowest row. */
	assert_true(GCODE_ROUTER_RPM <= 12000);
}

/* W21, geometry: a sheet flipped about its long axis shows a point at W - x. */
static void w21_flipped_sheet(void **state) {
	(void)state;
	box3 b = fix_box(0, 18, 30, 430, 100, 800);
	frame right = frame_of(b, FACE_RIGHT), left = frame_of(b, FACE_LEFT);
	for (int i = 0; i < 50; i++) {
		point3 p = {{rat_int(18), rat_int(30 + 8 * i), rat_int(100 + 14 * i)}};
		rat u, v, mu, mv;
		frame_from_cabinet(&right, p, &u, &v, NULL);
		frame_from_cabinet(&left, p, &mu, &mv, NULL);
		assert_true(rat_eq(mu, rat_sub(rat_int(400), u)));
		assert_true(rat_eq(mv, v));
	}
}

/* F6: ISO 6983-1 and the interpreters that descend from NIST RS274/NGC (read): units, absolute measures and plane are
 * stated before anything moves; R is not below Z and Q is above 0 in canned cycles; F stands before the first feed
 * move; numbers of coordinates have a point; the program ends in M2. The programs of every part, in both measures. */
static void f6_program(const char *text) {
	bool units = false, absolute = false, plane = false, fed = false, ended = false;
	size_t moves = 0;
	for (const char *p = text; *p;) {
		size_t n = strcspn(p, "\n");
		char line[300] = "";
		assert_true(n < sizeof line);
		memcpy(line, p, n);
		p += n + 1;
		if (line[0] == '(') continue;
		assert_false(ended);
		double z = NAN, r = NAN, q = NAN;
		bool cycle = false, peck = false, feed_move = false, move = false;
		for (char *w = strtok(line, " "); w; w = strtok(NULL, " ")) {
			char *end;
			double v = strtod(w + 1, &end);
			assert_int_equal(*end, '\0');
			if (strchr("XYZRQIJF", w[0])) assert_non_null(strchr(w, '.'));
			int g = w[0] == 'G' ? (int)v : -1;
			units |= g == 20 || g == 21;
			absolute |= g == 90;
			plane |= g == 17;
			cycle |= g == 81 || g == 83;
			peck |= g == 83;
			feed_move |= g == 1 || g == 2 || g == 3;
			move |= g >= 0 && g <= 3;
			fed |= w[0] == 'F' && v > 0;
			ended |= w[0] == 'M' && v == 2;
			if (w[0] == 'Z') z = v;
			if (w[0] == 'R') r = v;
			if (w[0] == 'Q') q = v;
		}
		if (move || cycle) {
			assert_true(units && absolute && plane);
			moves++;
		}
		if (feed_move || cycle) assert_true(fed);
		if (cycle) assert_true(r >= z);
		if (peck) assert_true(q > 0);
	}
	assert_true(ended);
	assert_true(moves > 10);
}

static void f6_programs(void **state) {
	(void)state;
	for (int in = 0; in < 2; in++) {
		arena mem = {0};
		model *m = fix_cabinet(&mem);
		m->measures = in ? MEASURES_INCH : MEASURES_METRIC;
		size_t n = 0;
		for (size_t p = 0; p < m->parts.n; p++) {
			textbuf out = textbuf_begin(&mem);
			gcode_count c;
			if (!gcode_part(&out, m, (model_ref)p, &c)) continue;
			f6_program(out.v);
			n++;
		}
		assert_int_equal(n, 4); /* all but the floor, which has holes in its ends only */
		arena_end(&mem);
	}
}

/* The load constant of the lifting equation, 23 kg (NIOSH publication 94-110, Applications Manual), is the limit of
 * part-heavy. */
static void niosh_load_constant(void **state) {
	(void)state;
	arena mem = {0};
	model *m = fix_cabinet(&mem);
	m->parts.v[FIX_TOP].mass_kg = 23.001;
	assert_true(fires(m, "part-heavy"));
	m->parts.v[FIX_TOP].mass_kg = 22.999;
	assert_false(fires(m, "part-heavy"));
	arena_end(&mem);
}

int main(void) {
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(w5_mass_less_openings), cmocka_unit_test(w9_dado_depth),
		cmocka_unit_test(w10_screws_in_mdf),	 cmocka_unit_test(w12_to_w14_templates),
		cmocka_unit_test(w15_template_corners),	 cmocka_unit_test(w16_passes),
		cmocka_unit_test(w17_clockwise_inside),	 cmocka_unit_test(w19_defaults_are_slow),
		cmocka_unit_test(w21_flipped_sheet),	 cmocka_unit_test(f6_programs),
		cmocka_unit_test(niosh_load_constant),
	};
	return cmocka_run_group_tests(tests, NULL, NULL);
}
