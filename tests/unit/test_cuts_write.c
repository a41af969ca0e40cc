/* Tables and JSON of parts, layouts, cuts and shopping: every row is there and its figures are the model's. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "compiler/layout.h"
#include "compiler/shopping.h"
#include "runtime/write/cuts_write.h"
#include "tests/unit/fixture.h"

static model *laid_out(arena *mem) {
	model *m = fix_cabinet(mem);
	fix_tool(m, TOOL_SAW, "saw", 0)->kerf = fix_length(3);
	m->stocks.v[FIX_PLY].trim = fix_length(10);
	m->stocks.v[FIX_PLY].price_cents = 7405;
	model_stock *s = fix_stock(m, STOCK_BAR, "pine45");
	s->size[0] = fix_length(1000);
	s->trim = fix_length(5);
	fix_part(m, PART_CLEAT, "cleat", fix_box(0, 600, 0, 45, 0, 20), AXIS_Z, FACE_TOP)->stock =
		(model_ref)m->stocks.n - 1;
	diags d = diags_begin(mem);
	assert_true(layout_make(m, &d));
	shopping_make(m);
	return m;
}

static const char *cell(const table *t, size_t row, const char *column) {
	for (size_t c = 0; c < t->columns.n; c++)
		if (strcmp(t->columns.v[c].name, column) == 0) return table_at(t, row, c)->text;
	fail_msg("no column %s", column);
	return "";
}

static size_t row_of(const table *t, const char *column, const char *text) {
	for (size_t r = 0; r < t->rows; r++)
		if (strcmp(cell(t, r, column), text) == 0) return r;
	fail_msg("no row with %s %s", column, text);
	return 0;
}

static void parts_have_their_size_as_cut(void **state) {
	(void)state;
	arena mem = {0};
	model *m = laid_out(&mem);
	table *t = cuts_write_parts(&mem, m, false);
	assert_int_equal(t->rows, 6);
	size_t r = row_of(t, "part", "floor");
	assert_float_equal((float)atof(cell(t, r, "length")), 776, 0); /* two tongues of 6 */
	assert_float_equal((float)atof(cell(t, r, "width")), 400, 0);
	assert_float_equal((float)atof(cell(t, r, "thickness")), 18, 0);
	assert_string_equal(cell(t, r, "grain"), "along its length");
	/* alike parts of one group share a row */
	m->parts.v[FIX_LEFT].group = m->parts.v[FIX_RIGHT].group = "side";
	t = cuts_write_parts(&mem, m, false);
	assert_int_equal(t->rows, 5);
	assert_string_equal(cell(t, row_of(t, "part", "side"), "count"), "2");
	arena_end(&mem);
}

static void every_piece_and_cut_has_a_row(void **state) {
	(void)state;
	arena mem = {0};
	model *m = laid_out(&mem);
	table *t = cuts_write_pieces(&mem, m, false);
	assert_int_equal(t->rows, 6);
	size_t r = row_of(t, "part", "cleat");
	assert_string_equal(cell(t, r, "on"), "bar");
	assert_float_equal((float)atof(cell(t, r, "x")), 5, 0);
	assert_string_equal(cell(t, r, "y"), "");
	t = cuts_write_sequence(&mem, m, false);
	const model_sheet_plan *s = &m->layout.sheets.v[0];
	assert_int_equal(t->rows, s->cuts.n + 2); /* the bar: squared, then cut to length */
	assert_string_equal(cell(t, 0, "way"), "trim rip");
	assert_float_equal((float)atof(cell(t, 0, "fence")), 1210, 0);
	assert_string_equal(cell(t, s->cuts.n, "way"), "trim crosscut");
	assert_float_equal((float)atof(cell(t, s->cuts.n, "cut at")), 2, 0);
	assert_float_equal((float)atof(cell(t, s->cuts.n + 1, "cut at")), 605, 0);
	arena_end(&mem);
}

static void inches_are_inches(void **state) {
	(void)state;
	arena mem = {0};
	model *m = laid_out(&mem);
	m->measures = MEASURES_INCH;
	table *t = cuts_write_parts(&mem, m, false);
	double inches = atof(cell(t, row_of(t, "part", "left"), "length"));
	assert_true(fabs(inches - 700 / 25.4) < 0.0001);
	t = cuts_write_parts(&mem, m, true);
	assert_string_equal(cell(t, row_of(t, "part", "left"), "length"), "~27 9/16");
	arena_end(&mem);
}

static void shopping_adds_up(void **state) {
	(void)state;
	arena mem = {0};
	model *m = laid_out(&mem);
	table *t = cuts_write_shopping(&mem, m, true);
	assert_int_equal(t->rows, m->shopping.n);
	assert_string_equal(cell(t, row_of(t, "stock", "ply18"), "cost"), "74.05");
	assert_string_equal(cell(t, row_of(t, "stock", "s4x50"), "reason"), "18 in 6 joints");
	assert_string_equal(t->notes.v[0], "Sum 74.05, of what has a price in the plan.");
	/* In feet for people who read feet, but bought by the metre; programs get metres. */
	model_buy tape = {
		.stock = 0, .what = "tape", .amount = 3.048, .unit = "m", .packs = 4, .cents = -1, .reason = ""};
	LIST_PUSH(&mem, &m->shopping, tape);
	m->measures = MEASURES_INCH;
	t = cuts_write_shopping(&mem, m, true);
	assert_string_equal(cell(t, t->rows - 1, "needed"), "10");
	assert_string_equal(cell(t, t->rows - 1, "unit"), "ft");
	assert_string_equal(cell(t, t->rows - 1, "packs"), "4 m");
	assert_string_equal(cell(t, t->rows - 1, "cost"), "not priced");
	t = cuts_write_shopping(&mem, m, false);
	assert_string_equal(cell(t, t->rows - 1, "needed"), "3.05");
	assert_string_equal(cell(t, t->rows - 1, "packs"), "4");
	assert_string_equal(cell(t, t->rows - 1, "cost"), "");
	arena_end(&mem);
}

/* Area by area: pieces, offcuts and trim make up the sheet but for the kerfs. */
static void json_adds_up(void **state) {
	(void)state;
	arena mem = {0};
	model *m = laid_out(&mem);
	json_t *root = cuts_write_json(m);
	assert_int_equal(json_array_size(json_object_get(root, "parts")), 6);
	json_t *sheet = json_array_get(json_object_get(root, "sheets"), 0);
	double area = 0;
	const char *const lists[] = {"pieces", "offcuts"};
	for (int l = 0; l < 2; l++) {
		size_t i;
		json_t *e;
		json_array_foreach(json_object_get(sheet, lists[l]), i, e) area +=
			json_number_value(json_object_get(e, "w")) * json_number_value(json_object_get(e, "h"));
	}
	double trimmed = 2420.0 * 1200, kerf = 0;
	size_t i;
	json_t *c;
	json_array_foreach(json_object_get(sheet, "cuts"), i, c) {
		const char *way = json_string_value(json_object_get(c, "way"));
		bool rip = strcmp(way, "rip") == 0;
		if (!rip && strcmp(way, "crosscut") != 0) continue;
		double w = json_number_value(json_object_get(c, "w")), h = json_number_value(json_object_get(c, "h"));
		double fence = json_number_value(json_object_get(json_object_get(c, "fence"), "mm"));
		double across = rip ? h : w, along = rip ? w : h;
		kerf += along * fmin(3, across - fence);
	}
	assert_true(fabs(area + kerf - trimmed) < 1e-6);
	json_decref(root);
	arena_end(&mem);
}

static void csv_has_both_tables(void **state) {
	(void)state;
	arena mem = {0};
	model *m = laid_out(&mem);
	const table *tables[3];
	size_t n = cuts_write_tables(&mem, m, TABLE_CSV, tables);
	assert_int_equal(n, 2);
	textbuf out = textbuf_begin(&mem);
	table_write(tables, n, TABLE_CSV, &out);
	assert_int_equal(strncmp(out.v, "part,stock,length (mm),", 23), 0);
	assert_non_null(strstr(out.v, "\r\n\r\non,number,cut,way,fence (mm),"));
	assert_int_equal(cuts_write_tables(&mem, m, TABLE_TEXT, tables), 3);
	arena_end(&mem);
}

int main(void) {
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(parts_have_their_size_as_cut),
		cmocka_unit_test(every_piece_and_cut_has_a_row),
		cmocka_unit_test(inches_are_inches),
		cmocka_unit_test(shopping_adds_up),
		cmocka_unit_test(json_adds_up),
		cmocka_unit_test(csv_has_both_tables),
	};
	return cmocka_run_group_tests(tests, NULL, NULL);
}
