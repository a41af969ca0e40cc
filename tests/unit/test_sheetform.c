#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "runtime/draw/dim.h"
#include "runtime/draw/sheetform.h"

static bool has_text(const display *d, const char *text) {
	for (size_t i = 0; i < d->items.n; i++)
		if (d->items.v[i].kind == ITEM_TEXT && !strcmp(d->items.v[i].text, text)) return true;
	return false;
}

static void a_table_runs_over_pages(void **state) {
	(void)state;
	enum { ROWS = 100, COLUMNS = 4 };
	arena a = {0};
	const sheetform_column column[COLUMNS] = {{"No.", 0, ALIGN_RIGHT},
						  {"Part", 0, ALIGN_LEFT},
						  {"Length", 18, ALIGN_RIGHT},
						  {"Remark", -1, ALIGN_LEFT}};
	const char *cell[ROWS * COLUMNS] = {NULL};
	for (int r = 0; r < ROWS; r++) {
		cell[r * COLUMNS] = arena_printf(&a, r % 20 ? "n%d" : "Group %d", r);
		if (r % 20 == 0) continue;
		cell[r * COLUMNS + 1] = "left";
		cell[r * COLUMNS + 3] =
			r % 7 ? "ok"
			      : "a remark that is long enough to run over more than one line of its column, as some do";
	}
	sheetform_table t = {column, COLUMNS, cell, ROWS, 0, true, false};
	size_t row = 0, pages = 0;
	char seen[ROWS] = {0};
	while (row < ROWS) {
		display *d = sheetform_page(&a, PAPER_LETTER, false);
		display_box area = sheetform_text_page(d, &(sheetform_head){"Book", "A", "Parts", "1"});
		area.x1 = area.x0 + 90;
		size_t from = row, items = d->items.n;
		double y = sheetform_table_draw(d, area, area.y0, &t, &row);
		assert_true(row > from);
		assert_true(y <= area.y1 + 1e-6);
		for (size_t i = items; i < d->items.n; i++)
			assert_true(display_box_inside(d->items.v[i].box, display_box_grow(area, 0.01)));
		for (size_t r = from; r < row; r++) {
			assert_true(has_text(d, cell[r * COLUMNS]));
			seen[r]++;
		}
		assert_true(has_text(d, "Remark"));
		if (row < ROWS) assert_true((row - 1) % 20 != 0); /* no group's heading at the foot of a page */
		pages++;
		assert_true(pages < 20);
	}
	for (int r = 0; r < ROWS; r++) assert_int_equal(seen[r], 1);
	assert_true(pages > 1);
	/* No room for a row below: nothing is drawn there, not even the head. */
	display *d = sheetform_page(&a, PAPER_A4, false);
	display_box area = sheetform_text_page(d, &(sheetform_head){0});
	size_t items = d->items.n;
	row = 5;
	assert_true(fabs(sheetform_table_draw(d, area, area.y1 - 3, &t, &row) - (area.y1 - 3)) < 1e-9);
	assert_int_equal(row, 5);
	assert_int_equal(d->items.n, items);
	arena_end(&a);
}

static void a_table_is_as_high_as_it_says(void **state) {
	(void)state;
	arena a = {0};
	const sheetform_column column[] = {{"Name", 0, ALIGN_LEFT}, {"Value", 0, ALIGN_RIGHT}};
	const char *cell[] = {"one", "1", "two", "2", "sum", "3"};
	sheetform_table t = {column, 2, cell, 3, CAP_BODY, false, true};
	display *d = sheetform_page(&a, PAPER_A4, false);
	size_t row = 0;
	display_box area = sheetform_area(d);
	double y = sheetform_table_draw(d, area, area.y0, &t, &row);
	assert_int_equal(row, 3);
	assert_true(fabs(y - area.y0 - sheetform_table_height(&a, area.x1 - area.x0, &t, 0)) < 1e-9);
	arena_end(&a);
}

static void pages_and_blocks(void **state) {
	(void)state;
	arena a = {0};
	for (int i = 0; i < 4; i++) {
		display *d = sheetform_page(&a, i & 1 ? PAPER_LETTER : PAPER_A4, i & 2);
		display_box area = sheetform_drawing(
			d, &(sheetform_block){.title = "A title that is much too long for the field that it must stand "
						       "in, whatever the paper may be",
					      .book = "A book with a title that is far too long for its little field",
					      .number = "P-01",
					      .sheet = "1 of 2",
					      .scale = "1:10",
					      .remark = "General tolerances ISO 2768-m"});
		display_box page = {0, 0, d->w, d->h};
		for (size_t k = 0; k < d->items.n; k++) {
			assert_true(display_box_inside(d->items.v[k].box, page));
			/* Only the frame reaches into the area left for the drawing. */
			if (d->items.v[k].kind == ITEM_TEXT) assert_false(display_box_overlap(d->items.v[k].box, area));
		}
		assert_true(area.x1 - area.x0 > 150 && area.y1 - area.y0 > 120);
		assert_true(has_text(d, "P-01"));
	}
	arena_end(&a);
}

static void cautions(void **state) {
	(void)state;
	static const char TEXT[] =
		"Fine dust can hurt the lungs. Wear a respirator when the trough is emptied; local rules decide.";
	static const char *const WORD[] = {"WARNING", "CAUTION", "NOTICE"};
	arena a = {0};
	for (int s = 0; s < 3; s++) {
		display *d = display_begin(&a, 100, 100);
		double y = sheetform_caution(d, 10, 10, 60, (sheetform_signal)s, TEXT);
		assert_true(has_text(d, WORD[s]));
		assert_true(fabs(y - 10 - sheetform_caution_height(&a, 60, (sheetform_signal)s, TEXT)) < 1e-9);
		assert_true(display_box_inside(display_bounds(d), (display_box){10, 10, 70, y + 1e-9}));
	}
	arena_end(&a);
}

static void round_steps(void **state) {
	(void)state;
	static const struct {
		double range;
		int most;
		double step;
	} S[] = {{100, 10, 10}, {100, 8, 20}, {950, 6, 200}, {0.9, 6, 0.2}, {2039, 8, 500}, {7, 7, 1}, {1e-3, 5, 2e-4}};
	for (size_t i = 0; i < sizeof S / sizeof *S; i++)
		assert_true(fabs(sheetform_round_step(S[i].range, S[i].most) - S[i].step) < 1e-9 * S[i].range);
	assert_true(sheetform_round_step(0, 5) > 0);
	assert_true(sheetform_round_step((double)INFINITY, 5) > 0);
}

static void plots_stay_in_their_box(void **state) {
	(void)state;
	arena a = {0};
	display_point fan[] = {{0, 900}, {425, 950}, {850, 900}, {2039, 0}},
		      off[] = {{100, -50}, {500, 5000}, {9000, 100}};
	sheetform_curve c[] = {{"fan", fan, 4, PEN_NONE}, {"off the scale", off, 3, PEN_HIDDEN}};
	sheetform_mark m[] = {{1000, 700, "here"}, {1010, 702, "and here"}, {5000, 1, "off the scale"}};
	sheetform_plot p = {.x_label = "Flow, m³/h",
			    .y_label = "Pressure, Pa",
			    .x_max = 2500,
			    .y_max = 1000,
			    .curve = c,
			    .n_curves = 2,
			    .mark = m,
			    .n_marks = 3,
			    .shade_x0 = 0,
			    .shade_x1 = 400,
			    .shade_label = "stall"};
	display *d = display_begin(&a, 160, 120);
	display_box box = {10, 10, 150, 110};
	sheetform_plot_draw(d, box, &p);
	assert_int_equal(d->bad, 0);
	assert_true(display_box_inside(display_bounds(d), box));
	assert_true(has_text(d, "2500") && has_text(d, "1000") && has_text(d, "stall") && has_text(d, "and here"));
	/* Labels do not lie on each other. */
	for (size_t i = 0; i < d->items.n; i++)
		for (size_t k = 0; k < i; k++)
			if (d->items.v[i].kind == ITEM_TEXT && d->items.v[k].kind == ITEM_TEXT)
				assert_false(display_box_overlap(d->items.v[i].box, d->items.v[k].box));
	sheetform_plot none = {0};
	sheetform_plot_draw(d, box, &none); /* nothing to show is no fault */
	assert_int_equal(d->bad, 0);
	arena_end(&a);
}

static void spreading(void **state) {
	(void)state;
	double at[] = {0, 1, 1.5, 2, 30, 31, 60};
	double sum = 0, after = 0;
	for (int i = 0; i < 4; i++) sum += at[i];
	dim_spread(at, 7, 3.5);
	for (int i = 1; i < 7; i++) assert_true(at[i] - at[i - 1] >= 3.5 - 1e-9);
	for (int i = 0; i < 4; i++) after += at[i];
	assert_true(fabs(sum - after) < 1e-9); /* a crowd spreads about its own middle */
	assert_true(fabs(at[4] - 28.75) < 1e-9 && fabs(at[5] - 32.25) < 1e-9);
	assert_true(fabs(at[6] - 60) < 1e-9); /* who has room stays */
	double one[] = {5};
	dim_spread(one, 1, 3);
	assert_true(fabs(one[0] - 5) < 1e-12);
}

static void ordinates(void **state) {
	(void)state;
	arena a = {0};
	display *d = display_begin(&a, 200, 200);
	dim_ordinate v[] = {{100, 80, "500"}, {60, 80, "100"}, {61, 80, "110"}, {62, 80, "120"}, {100, 60, "500"}};
	double reach = dim_ordinates(d, true, 50, 120, 1, v, 5, CAP_BODY);
	size_t texts = 0;
	for (size_t i = 0; i < d->items.n; i++) {
		const display_item *t = &d->items.v[i];
		if (t->kind != ITEM_TEXT) continue;
		texts++;
		assert_true(fabs(t->style.turn - 90) < 1e-9);
		assert_true(t->box.y0 > 120 && t->box.y1 < 120 + reach + 0.1);
		for (size_t k = 0; k < i; k++)
			if (d->items.v[k].kind == ITEM_TEXT)
				assert_false(display_box_overlap(t->box, d->items.v[k].box));
	}
	assert_int_equal(texts, 5); /* 0, 100, 110, 120, 500 once */
	arena_end(&a);
}

static void linear_dimensions(void **state) {
	(void)state;
	arena a = {0};
	assert_string_equal(dim_text(&a, rat_of(176, 10), MEASURES_METRIC), "17.6");
	assert_string_equal(dim_text(&a, rat_of(254 * 67, 160), MEASURES_INCH), "4 3/16");
	assert_string_equal(dim_text_diameter(&a, rat_int(32), MEASURES_METRIC), "⌀32");
	assert_string_equal(dim_text_radius(&a, rat_int(6), MEASURES_METRIC), "R6");
	display *d = display_begin(&a, 200, 200);
	dim_horizontal(d, (display_point){20, 50}, (display_point){120, 50}, 40, CAP_BODY, "1000");
	const display_item *t = &d->items.v[d->items.n - 1];
	assert_int_equal(t->kind, ITEM_TEXT);
	assert_true(t->box.y1 < 40.01 + 0.3 * CAP_BODY && t->box.x0 > 20 && t->box.x1 < 120);
	/* A short one: the text goes out beyond the end, clear of the lines. */
	dim_vertical(d, (display_point){150, 100}, (display_point){150, 103}, 160, CAP_BODY, "17.6");
	t = &d->items.v[d->items.n - 1];
	assert_true(fabs(t->style.turn - 90) < 1e-9);
	assert_true(t->box.y1 < 100);
	/* A leader whose first place is taken finds another. */
	display_take(d, (display_box){105, 100, 140, 140});
	display_box all = {0, 0, 200, 200};
	assert_true(dim_leader(d, 100, 150, 5, 45, CAP_BODY, "⌀100", all));
	t = &d->items.v[d->items.n - 1];
	assert_false(display_box_overlap(t->box, (display_box){105, 100, 140, 140}));
	assert_int_equal(d->bad, 0);
	arena_end(&a);
}

int main(void) {
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(a_table_runs_over_pages),
		cmocka_unit_test(a_table_is_as_high_as_it_says),
		cmocka_unit_test(pages_and_blocks),
		cmocka_unit_test(cautions),
		cmocka_unit_test(round_steps),
		cmocka_unit_test(plots_stay_in_their_box),
		cmocka_unit_test(spreading),
		cmocka_unit_test(ordinates),
		cmocka_unit_test(linear_dimensions),
	};
	return cmocka_run_group_tests(tests, NULL, NULL);
}
