/* From model to layout and shopping list: sizes, grain and units go over exactly; each rule of the family fires on
 * one change of a sound cabinet and is silent again when that is mended. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "compiler/layout.h"
#include "compiler/shopping.h"
#include "tests/unit/fixture.h"

static model *cabinet(arena *mem) {
	model *m = fix_cabinet(mem);
	fix_tool(m, TOOL_SAW, "saw", 0)->kerf = fix_length(2.8);
	return m;
}

static const diag *find(const diags *d, const char *rule) {
	for (size_t i = 0; i < d->all.n; i++)
		if (strcmp(d->all.v[i]->rule, rule) == 0) return d->all.v[i];
	return NULL;
}

static void says(const diags *d, const char *rule, const char *text) {
	const diag *g = find(d, rule);
	if (!g) fail_msg("%s is silent", rule);
	if (!strstr(g->text, text)) fail_msg("%s says: %s", rule, g->text);
	assert_non_null(g->help);
}

static void close_to(double got, double want) {
	if (!(fabs(got - want) <= 1e-6)) fail_msg("got %.9g, want %.9g", got, want);
}

static void every_part_is_laid(void **state) {
	(void)state;
	arena mem = {0};
	model *m = cabinet(&mem);
	diags d = diags_begin(&mem);
	assert_true(layout_make(m, &d));
	assert_int_equal(d.all.n, 0);
	assert_int_equal(m->layout.sheets.n, 1);
	const model_sheet_plan *s = &m->layout.sheets.v[0];
	assert_int_equal(s->pieces.n, 5);
	assert_true(rat_eq(s->kerf, rat_of(14, 5)));
	for (size_t i = 0; i < s->pieces.n; i++) {
		const model_piece *q = &s->pieces.v[i];
		const model_part *p = &m->parts.v[q->part];
		/* every part of the fixture has its grain along its length, and so has the sheet */
		assert_false(q->turned);
		assert_true(rat_eq(q->w, box_size(p->blank, p->long_axis)));
		assert_true(rat_eq(q->h, rat_int(400)));
	}
	close_to(s->used_part, 400.0 * (700 + 700 + 776 + 764 + 764) / (2440 * 1220));
	assert_int_equal(m->layout.counts.v[0].cost_bound, 1);
	assert_true(m->layout.counts.v[0].proven);
	arena_end(&mem);
}

/* Sheet with its grain across: the parts lie the other way. */
static void grain_turns_the_parts(void **state) {
	(void)state;
	arena mem = {0};
	model *m = cabinet(&mem);
	diags d = diags_begin(&mem);
	m->stocks.v[FIX_PLY].grain = GRAIN_SHORT;
	assert_true(layout_make(m, &d));
	const model_sheet_plan *s = &m->layout.sheets.v[0];
	for (size_t i = 0; i < s->pieces.n; i++) {
		assert_true(s->pieces.v[i].turned);
		assert_true(rat_eq(s->pieces.v[i].w, rat_int(400)));
	}
	arena_end(&mem);
}

/* Two parts of exactly half the sheet less the kerf, in lengths with different denominators: one sheet. One more
 * 64th of an inch: two. */
static void nothing_is_lost_by_rounding(void **state) {
	(void)state;
	for (int more = 0; more < 2; more++) {
		arena mem = {0};
		model *m = cabinet(&mem);
		diags d = diags_begin(&mem);
		m->parts.n = 2;
		model_stock *s = &m->stocks.v[FIX_PLY];
		s->trim.mm = rat_of(1, 7);
		rat half = rat_of(127 * 64 * 20, 320); /* 20 in */
		if (more) half = rat_add(half, rat_of(127, 320));
		m->tools.v[m->tools.n - 1].kerf.mm = rat_of(10, 3);
		s->size[0].mm = rat_add(rat_of(127 * 64 * 40, 320), rat_add(rat_of(10, 3), rat_of(2, 7)));
		s->size[1].mm = rat_add(rat_int(400), rat_of(2, 7));
		for (int i = 0; i < 2; i++) {
			box3 *b = &m->parts.v[i].blank;
			b->lo[AXIS_Z] = rat_int(0);
			b->hi[AXIS_Z] = half;
		}
		assert_true(layout_make(m, &d));
		assert_int_equal(m->layout.sheets.n, 1 + more);
		assert_true(rat_eq(m->layout.sheets.v[0].pieces.v[0].w, half));
		arena_end(&mem);
	}
}

static void rules_fire_and_fall_silent(void **state) {
	(void)state;
	arena mem = {0};
	model *m = cabinet(&mem);
	diags d = diags_begin(&mem);
	model_stock *s = &m->stocks.v[FIX_PLY];
	s->trim = fix_length(10);
	m->parts.v[FIX_FLOOR].blank.hi[0] = fix_mm(12 + 2430);
	assert_false(layout_make(m, &d));
	says(&d, "sheet-too-small",
	     "`floor`, 2430 mm x 400 mm as cut, is larger than a sheet of `ply18` by 10 mm along the sheet");
	assert_non_null(strstr(find(&d, "sheet-too-small")->notes.v[0].text, "2420 mm x 1200 mm inside its trim"));
	arena_end(&mem);

	m = cabinet(&mem);
	d = diags_begin(&mem);
	m->stocks.v[FIX_PLY].size[1] = fix_length(399);
	assert_false(layout_make(m, &d));
	says(&d, "sheet-too-small", "by 1 mm across the sheet");
	assert_int_equal(m->layout.sheets.n, 0);
	arena_end(&mem);

	m = cabinet(&mem);
	d = diags_begin(&mem);
	m->stocks.v[FIX_PLY].on_hand = 0;
	assert_false(layout_make(m, &d));
	says(&d, "sheet-count", "1 sheet of `ply18` is needed, 0 on hand");
	arena_end(&mem);

	m = fix_cabinet(&mem);
	d = diags_begin(&mem);
	assert_true(layout_make(m, &d));
	says(&d, "no-saw", "a kerf of 3 mm is assumed");
	assert_int_equal(d.warnings, 1);
	arena_end(&mem);
}

static const model_buy *row(const model *m, model_ref stock) {
	for (size_t i = 0; i < m->shopping.n; i++)
		if (m->shopping.v[i].stock == stock) return &m->shopping.v[i];
	fail_msg("stock %u is not bought", stock);
	return NULL;
}

static void bars_too(void **state) {
	(void)state;
	arena mem = {0};
	model *m = cabinet(&mem);
	diags d = diags_begin(&mem);
	model_stock *s = fix_stock(m, STOCK_BAR, "pine45");
	model_ref bar = (model_ref)m->stocks.n - 1;
	s->size[0] = fix_length(2400);
	s->trim = fix_length(10);
	s->section[0] = fix_length(45);
	s->section[1] = fix_length(20);
	s->price_cents = 350;
	for (int i = 0; i < 4; i++) {
		model_part *p = fix_part(m, PART_CLEAT, "cleat", fix_box(0, 790, 0, 45, 0, 20), AXIS_Z, FACE_TOP);
		p->stock = bar;
		p->grain_matters = false;
	}
	assert_true(layout_make(m, &d));
	assert_int_equal(m->layout.bars.n, 2); /* 3 x 790 + 2 x 2.8 = 2375.6 of 2380 */
	assert_true(rat_eq(m->layout.bars.v[0].pieces.v[1].x, rat_of(8028, 10)));
	/* 2380 - 3 x 792.8 = 1.6 is left behind the last kerf */
	assert_true(rat_eq(m->layout.bars.v[0].rest, rat_of(16, 10)));
	shopping_make(m);
	const model_buy *b = row(m, bar);
	assert_int_equal(b->cents, 700);
	assert_string_equal(b->reason, "4 parts on 2 bars");
	m->parts.v[m->parts.n - 1].blank.hi[0] = fix_mm(2381);
	d = diags_begin(&mem);
	m->layout = (model_layout){0};
	m->stocks.v[bar].on_hand = 0;
	assert_false(layout_make(m, &d));
	says(&d, "bar-too-short", "`cleat`, 2381 mm as cut, is longer than a bar of `pine45` by 1 mm");
	says(&d, "bar-count", "1 bar of `pine45` is needed, 0 on hand");
	arena_end(&mem);
}

static void shopping_counts_everything(void **state) {
	(void)state;
	arena mem = {0};
	model *m = cabinet(&mem);
	diags d = diags_begin(&mem);
	m->stocks.v[FIX_PLY].price_cents = 7400;
	m->stocks.v[FIX_SCREW].price_cents = 650;
	m->stocks.v[FIX_SCREW].pack = 10;
	model_stock *s = fix_stock(m, STOCK_GASKET, "tape");
	model_ref tape = (model_ref)m->stocks.n - 1;
	s->price_cents = 90;
	s = fix_stock(m, STOCK_FINISH, "glue");
	model_ref glue = (model_ref)m->stocks.n - 1;
	s->price_cents = 900;
	s = fix_stock(m, STOCK_MEDIA, "felt");
	model_ref felt = (model_ref)m->stocks.n - 1;
	s->price_cents = 1200;
	fix_stock(m, STOCK_ITEM, "hinge");
	model_ref hinge = (model_ref)m->stocks.n - 1;
	m->parts.v[FIX_FLOOR].hinged = true;
	m->parts.v[FIX_FLOOR].hinge = hinge;
	m->parts.v[FIX_FLOOR].n_hinges = 3;
	m->joints.v[0].gasket = tape; /* 18 x 400: one run */
	m->joints.v[1].glue_stock = glue;
	model_branch *b = LIST_ADD(&mem, &m->air.branches);
	*b = (model_branch){.kind = AIR_TUBES, .name = "tubes", .stock = felt, .part = FIX_CARRIER, .count = 8};
	b->hole_m = 0.1;
	b->length_m = 1.0;
	assert_true(layout_make(m, &d));
	shopping_make(m);
	assert_int_equal(row(m, FIX_PLY)->cents, 7400);
	assert_string_equal(row(m, FIX_PLY)->reason, "5 parts on 1 sheet");
	assert_int_equal((int)row(m, FIX_SCREW)->amount, 18); /* 6 joints of 3 */
	assert_int_equal(row(m, FIX_SCREW)->packs, 2);
	assert_int_equal(row(m, FIX_SCREW)->cents, 1300);
	assert_string_equal(row(m, FIX_SCREW)->reason, "18 in 6 joints");
	assert_int_equal((int)row(m, FIX_COLLAR)->amount, 8);
	assert_string_equal(row(m, FIX_COLLAR)->reason, "8 in wells of carrier");
	assert_int_equal(row(m, FIX_COLLAR)->cents, -1);
	close_to(row(m, tape)->amount, 0.42);
	assert_int_equal(row(m, tape)->cents, 90);
	close_to(row(m, glue)->amount, (18 + 2 * 6) * 400e-6 * 0.2); /* bottom and two cheeks, 6 deep */
	close_to(row(m, felt)->amount, 8 * 0.314159265 * 1.05);	     /* 2.64 m2 */
	assert_int_equal(row(m, felt)->cents, 3 * 1200);
	assert_string_equal(row(m, hinge)->reason, "3 as door hinges");
	assert_int_equal(m->cost_cents, 7400 + 1300 + 90 + 900 + 3600);
	assert_false(m->cost_whole);
	arena_end(&mem);
}

static void pipes_are_cut_like_bars(void **state) {
	(void)state;
	arena mem = {0};
	model *m = cabinet(&mem);
	diags d = diags_begin(&mem);
	model_stock *s = fix_stock(m, STOCK_PIPE, "drain");
	model_ref pipe = (model_ref)m->stocks.n - 1;
	s->size[0] = fix_length(3000);
	s->trim = fix_length(10);
	s->outside = fix_length(110);
	s->wall = fix_length(3.25);
	s->price_cents = 1450;
	assert_true(rat_eq(model_pipe_bore(s), rat_of(2070, 20)));
	assert_false(rat_ok(model_pipe_bore(&m->stocks.v[FIX_PLY])));
	for (int i = 0; i < 5; i++) {
		model_part *p = fix_part(m, PART_LEG, "post", fix_box(0, 110, 0, 110, 0, 700), AXIS_X, FACE_FRONT);
		p->long_axis = AXIS_Z;
		p->stock = pipe;
		p->grain_matters = false;
		assert_true(model_part_made(m, p));
		assert_true(model_pipe_along(m, p, AXIS_Z));
		assert_false(model_pipe_along(m, p, AXIS_X));
	}
	assert_true(layout_make(m, &d)); /* 4 x 700 + 3 x 2.8 = 2808.4 of 2980 */
	assert_int_equal(m->layout.bars.n, 2);
	shopping_make(m);
	assert_string_equal(row(m, pipe)->unit, "pipe");
	assert_string_equal(row(m, pipe)->reason, "5 parts on 2 pipes");
	assert_int_equal(row(m, pipe)->cents, 2900);
	m->stocks.v[pipe].on_hand = 1;
	m->stocks.v[pipe].wall = fix_no_length(); /* solid */
	assert_false(model_pipe_along(m, &m->parts.v[m->parts.n - 1], AXIS_Z));
	m->parts.v[m->parts.n - 1].blank.hi[2] = fix_mm(2981);
	d = diags_begin(&mem);
	m->layout = (model_layout){0};
	assert_false(layout_make(m, &d));
	says(&d, "bar-too-short", "`post`, 2981 mm as cut, is longer than a pipe of `drain` by 1 mm");
	m->parts.v[m->parts.n - 1].blank.hi[2] = fix_mm(700);
	d = diags_begin(&mem);
	m->layout = (model_layout){0};
	assert_false(layout_make(m, &d));
	says(&d, "bar-count", "2 pipes of `drain` are needed, 1 on hand");
	arena_end(&mem);
}

/* Arithmetic. 12 tubes round 110 mm: 362.85 mm of cloth with its seam, 500 mm high; of a roll of 1600 mm four stand
 * beside each other (3 x 500 mm of it), or three lie (4 x 362.85 mm, less). */
static void cloth_off_a_roll(void **state) {
	(void)state;
	model_branch tubes = {.kind = AIR_TUBES, .count = 12, .hole_m = 0.11, .length_m = 0.5};
	double across = shopping_tube_mm(&tubes);
	assert_true(fabs(across - 362.85) < 0.01);
	assert_true(fabs(shopping_roll_m(across, 500, 12, 1600) - 4 * 0.36285) < 1e-4);
	assert_true(fabs(shopping_roll_m(400, 500, 12, 1600) - 3 * 0.5) < 1e-9);
	assert_true(fabs(shopping_roll_m(400, 500, 1, 500) - 0.4) < 1e-9);
	assert_true(fabs(shopping_roll_m(400, 500, 2, 400) - 1.0) < 1e-9);
	assert_true(isnan(shopping_roll_m(401, 500, 2, 400)));
	arena mem = {0};
	model *m = cabinet(&mem);
	diags d = diags_begin(&mem);
	model_stock *s = fix_stock(m, STOCK_MEDIA, "felt");
	s->roll = fix_length(1600);
	s->price_cents = 1900;
	tubes.stock = (model_ref)m->stocks.n - 1;
	tubes.name = "felts";
	tubes.part = tubes.pattern = MODEL_NONE;
	tubes.at = fix_at(7);
	LIST_PUSH(&mem, &m->air.branches, tubes);
	assert_true(layout_make(m, &d));
	shopping_make(m);
	const model_buy *b = row(m, tubes.stock);
	assert_string_equal(b->unit, "m");
	assert_int_equal(b->packs, 2);
	assert_int_equal(b->cents, 2 * 1900);
	assert_string_equal(b->reason, "12 tubes, 1.45 m of a roll 1600 mm wide, 5 % for seams");
	m->stocks.v[tubes.stock].roll = fix_length(362);
	d = diags_begin(&mem);
	m->layout = (model_layout){0};
	layout_make(m, &d);
	says(&d, "roll-narrow", "the roll of `felt` is 0.9 mm too narrow"); /* 362.9 less 362, in tenths */
	arena_end(&mem);
}

static void glue_without_a_stock_is_told(void **state) {
	(void)state;
	arena mem = {0};
	model *m = cabinet(&mem);
	diags d = diags_begin(&mem);
	for (size_t i = 0; i < m->joints.n; i++) m->joints.v[i].glue = false;
	for (size_t i = 0; i < m->stocks.n; i++) m->stocks.v[i].price_cents = 100;
	assert_true(layout_make(m, &d));
	shopping_make(m);
	assert_true(m->cost_whole);
	size_t before = m->shopping.n;
	m->joints.v[0].glue = m->joints.v[1].glue =
		true; /* (18 + 6 + 6) x 400 each: 0.024 m2 at 200 ml/m2 are 4.8 ml */
	m->joints.v[0].glue_stock = m->joints.v[1].glue_stock = MODEL_NONE;
	m->shopping.n = 0;
	shopping_make(m);
	assert_int_equal(m->shopping.n, before + 1);
	const model_buy *b = &m->shopping.v[before];
	assert_int_equal(b->stock, MODEL_NONE);
	assert_string_equal(b->what, "wood glue");
	assert_string_equal(b->unit, "ml");
	assert_int_equal((int)b->amount, 5);
	assert_int_equal(b->cents, -1);
	assert_string_equal(b->reason, "about, for 0.02 m² of 2 glued joints");
	assert_false(m->cost_whole);
	arena_end(&mem);
}

int main(void) {
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(every_part_is_laid),
		cmocka_unit_test(grain_turns_the_parts),
		cmocka_unit_test(nothing_is_lost_by_rounding),
		cmocka_unit_test(rules_fire_and_fall_silent),
		cmocka_unit_test(bars_too),
		cmocka_unit_test(shopping_counts_everything),
		cmocka_unit_test(pipes_are_cut_like_bars),
		cmocka_unit_test(cloth_off_a_roll),
		cmocka_unit_test(glue_without_a_stock_is_told),
	};
	return cmocka_run_group_tests(tests, NULL, NULL);
}
