/* Router templates: sizes, corners, passes, and the drawing at full size. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include "compiler/templates.h"
#include "runtime/write/template_write.h"
#include "tests/unit/fixture.h"

static void all_by_router(model *m) {
	for (size_t i = 0; i < m->features.n; i++)
		if (m->features.v[i].kind == FEATURE_OPENING) m->features.v[i].tool = FIX_ROUTER;
}

static void only_what_a_router_makes(void **state) {
	(void)state;
	arena mem = {0};
	model *m = fix_cabinet(&mem);
	diags d = diags_begin(&mem);
	templates_make(m, &d);
	assert_int_equal(d.all.n, 0);
	assert_int_equal(m->templates.n, 1); /* the top is cut by a hole saw */
	const model_template *t = &m->templates.v[0];
	assert_string_equal(t->name, "wells");
	assert_int_equal(t->uses.v[0].part, FIX_CARRIER);
	assert_true(rat_eq(t->offset, rat_of(865, 100)));   /* (30 - 12.7) / 2 */
	assert_true(rat_eq(t->opening.a, rat_of(793, 10))); /* 62 + 17.3 */
	assert_true(rat_eq(t->test_cut, rat_int(62)));
	assert_int_equal(t->uses.v[0].depths.n, 3); /* 18 and 1 mm into the board below, at 6.35 */
	assert_true(rat_eq(t->uses.v[0].depths.v[1], rat_of(127, 10)));
	assert_true(rat_eq(t->uses.v[0].depths.v[2], rat_int(19)));
	/* The collar of 61.5 mm may sit up to 1 mm loose: 79.3 less 62.5 and less 61.5, halved. */
	assert_true(t->by_seat && rat_eq(t->least[0], rat_of(615, 10)) && rat_eq(t->most[0], rat_of(625, 10)));
	assert_true(rat_eq(t->offsets[0], rat_of(84, 10)) && rat_eq(t->offsets[1], rat_of(89, 10)));
	templates_make(m, &d); /* again: the list is made anew */
	assert_int_equal(m->templates.n, 1);
	arena_end(&mem);
}

static void each_shape_has_its_own(void **state) {
	(void)state;
	arena mem = {0};
	model *m = fix_cabinet(&mem);
	diags d = diags_begin(&mem);
	all_by_router(m);
	templates_make(m, &d);
	assert_int_equal(m->templates.n, 2);
	assert_string_equal(m->templates.v[0].name, "wells-top");
	assert_string_equal(m->templates.v[1].name, "wells-carrier");
	m->patterns.v[0].sheets.v[1].shape.a = m->patterns.v[0].sheets.v[1].shape.b =
		rat_int(60); /* alike: one template */
	templates_make(m, &d);
	assert_int_equal(m->templates.n, 1);
	assert_string_equal(m->templates.v[0].name, "wells");
	arena_end(&mem);
}

static model_shape *make_rect(model *m, double corner) {
	model_shape *s = &m->patterns.v[0].sheets.v[1].shape;
	*s = (model_shape){.kind = SHAPE_RECT,
			   .a = rat_int(120),
			   .b = rat_int(80),
			   .corner = fix_mm(corner),
			   .along = AXIS_X,
			   .at = fix_at(800)};
	return s;
}

static const diag *of_rule(const diags *d, const char *rule) {
	for (size_t i = 0; i < d->all.n; i++)
		if (strcmp(d->all.v[i]->rule, rule) == 0) return d->all.v[i];
	return NULL;
}

static void corners_keep_the_cutters_radius(void **state) {
	(void)state;
	arena mem = {0};
	model *m = fix_cabinet(&mem);
	diags d = diags_begin(&mem);
	make_rect(m, 5);
	templates_make(m, &d);
	const diag *g = of_rule(&d, "template-corner");
	assert_non_null(g);
	assert_non_null(strstr(g->text, "ask for a radius of 5 mm; router1 leaves 6.35 mm, 1.35 mm more"));
	const model_template *t = &m->templates.v[0];
	assert_true(rat_eq(t->opening.corner, rat_int(15))); /* the bush's own radius */
	assert_true(rat_eq(t->shape.corner, rat_of(635, 100)));
	diags quiet = diags_begin(&mem);
	make_rect(m, 6.35);
	templates_make(m, &quiet);
	assert_null(of_rule(&quiet, "template-corner"));
	make_rect(m, 10);
	templates_make(m, &quiet);
	assert_int_equal(quiet.all.n, 0);
	t = &m->templates.v[0];
	assert_true(rat_eq(t->opening.corner, rat_of(1865, 100)));
	assert_true(rat_eq(t->opening.a, rat_of(1373, 10)) && rat_eq(t->opening.b, rat_of(973, 10)));
	arena_end(&mem);
}

static void bush_and_cutter_are_asked_for(void **state) {
	(void)state;
	arena mem = {0};
	model *m = fix_cabinet(&mem);
	diags d = diags_begin(&mem);
	m->tools.v[FIX_ROUTER].bush = fix_no_length();
	templates_make(m, &d);
	const diag *g = of_rule(&d, "template-bush");
	assert_non_null(g);
	assert_int_equal(g->severity, DIAG_WARNING);
	assert_int_equal(m->templates.n, 0);
	m->tools.v[FIX_ROUTER].bush = fix_length(12);
	diags again = diags_begin(&mem);
	templates_make(m, &again);
	g = of_rule(&again, "template-bush");
	assert_non_null(g);
	assert_int_equal(g->severity, DIAG_ERROR);
	assert_non_null(strstr(g->text, "by 0.7 mm"));
	arena_end(&mem);
}

/* Widths of the drawing's paths of one pen. */
static size_t widths(const display *d, display_pen pen, double width) {
	size_t n = 0;
	for (size_t i = 0; i < d->items.n; i++)
		n += d->items.v[i].kind == ITEM_PATH && d->items.v[i].pen == pen &&
		     fabs(d->items.v[i].box.x1 - d->items.v[i].box.x0 - width) < 1e-6;
	return n;
}

static void drawing_has_both_openings(void **state) {
	(void)state;
	for (int inch = 0; inch < 2; inch++) {
		arena mem = {0};
		model *m = fix_cabinet(&mem);
		m->measures = inch ? MEASURES_INCH : MEASURES_METRIC;
		diags d = diags_begin(&mem);
		templates_make(m, &d);
		display *page = template_drawing(&mem, m, 0);
		assert_true(page->true_size);
		assert_int_equal(page->bad, 0);
		assert_int_equal(widths(page, PEN_OUTLINE, 79.3), 1);
		assert_int_equal(widths(page, PEN_HIDDEN, 62), 1);
		assert_true(display_box_inside(display_bounds(page), display_box_of(0, 0, page->w, page->h)));
		table *t = template_table(&mem, m);
		assert_int_equal(t->rows, 1);
		assert_string_equal(table_at(t, 0, 6)->text, inch ? "⌀3.122" : "⌀79.3");
		outset o = outset_begin(&mem, "unused");
		assert_null(template_write(&o, m, NULL));
		assert_int_equal(o.files.n, 2); /* the drawing, and all of them on sheets */
		assert_string_equal(o.files.v[0].name, "template-wells.svg");
		assert_string_equal(o.files.v[1].name, "templates.pdf");
		arena_end(&mem);
	}
}

/* A line of words that runs over from sheet to sheet can be read on neither. */
static void words_stay_on_their_sheet(void **state) {
	(void)state;
	arena mem = {0};
	model *m = fix_cabinet(&mem);
	diags d = diags_begin(&mem);
	m->tools.v[FIX_ROUTER].base = fix_length(60); /* fixing holes lie near the opening */
	templates_make(m, &d);
	template_sheets sheets = {0};
	template_tiles(&mem, m, &sheets);
	size_t lines = 0;
	for (size_t i = 0; i < sheets.n; i++)
		for (size_t k = 0; k < sheets.v[i]->clipped; k++) {
			const display_item *t = &sheets.v[i]->items.v[k];
			if (t->kind != ITEM_TEXT) continue;
			assert_true(display_box_inside(t->box, sheets.v[i]->clip));
			lines++;
		}
	assert_true(lines > 0);
	arena_end(&mem);
}

/* So many sheets of A4 after the one with the words: what of the opening's edge does not fit on one goes onto the next;
 * none has nothing of it. */
static void sheets_are_few(void **state) {
	(void)state;
	static const struct {
		int opening;
		size_t sheets;
	} CASE[] = {{62, 1}, {170, 1}, {230, 2}, {300, 4}, {420, 6}};
	for (size_t i = 0; i < sizeof CASE / sizeof *CASE; i++) {
		arena mem = {0};
		model *m = fix_cabinet(&mem);
		diags d = diags_begin(&mem);
		m->patterns.v[0].sheets.v[1].shape.a = rat_int(CASE[i].opening);
		templates_make(m, &d);
		template_sheets sheets = {0};
		template_tiles(&mem, m, &sheets);
		assert_int_equal(sheets.n, 1 + CASE[i].sheets);
		for (size_t k = 1; k < sheets.n; k++)
			assert_true(widths(sheets.v[k], PEN_OUTLINE, CASE[i].opening + 17.3) == 1);
		arena_end(&mem);
	}
}

int main(void) {
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(only_what_a_router_makes),
		cmocka_unit_test(each_shape_has_its_own),
		cmocka_unit_test(corners_keep_the_cutters_radius),
		cmocka_unit_test(bush_and_cutter_are_asked_for),
		cmocka_unit_test(drawing_has_both_openings),
		cmocka_unit_test(words_stay_on_their_sheet),
		cmocka_unit_test(sheets_are_few),
	};
	return cmocka_run_group_tests(tests, NULL, NULL);
}
