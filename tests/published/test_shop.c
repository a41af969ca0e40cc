/* Sawing and sheet goods against values from outside. Beside each: where the expected value comes from. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "runtime/engine/bars.h"
#include "runtime/engine/layout.h"
#include "runtime/engine/layout_verify.h"
#include "runtime/write/table.h"

/* W20, arithmetic: 8 x 300 mm in 2440 with kerf 3 take 8 x 300 + 7 x 3 = 2421 and fit; 8 x 305 take 2461 and do not.
 * As bars and as strips across a sheet. */
static void eight_in_2440(void **state) {
	(void)state;
	const int64_t lengths[] = {300, 305};
	for (int i = 0; i < 2; i++) {
		arena mem = {0};
		bars_part part = {lengths[i], 8};
		bars_stock bar = {2440, 0, 1, -1};
		bars_problem p = {&part, 1, &bar, 1, 3, 0};
		bars_result r;
		assert_null(bars_solve(&mem, &p, &r));
		layout_faults faults = {0};
		assert_true(bars_verify(&mem, &p, &r, &faults));
		assert_int_equal(r.bars.n, 1 + i);
		assert_true(r.proven);
		if (i == 0) assert_int_equal(r.bars.v[0].rest, 2440 - 2421 - 3);
		layout_part strip = {lengths[i], 1220, 8, false};
		layout_stock sheet = {2440, 1220, {0}, 1, -1};
		layout_problem q = {&strip, 1, &sheet, 1, 3, 100, 0};
		layout_result s;
		assert_null(layout_solve(&mem, &q, &s));
		assert_true(layout_verify(&mem, &q, &s, &faults));
		assert_int_equal(s.sheets.n, 1 + i);
		assert_true(s.proven);
		arena_end(&mem);
	}
}

/* Fekete and Schepers, "New classes of fast lower bounds for bin packing problems", Mathematical Programming 91
 * (2001), state of the bound: the dual feasible functions dominate the area bound. Arithmetic: 7 pieces of 34 x 34
 * in 100 x 100 have an area of 0.81 sheets, but at most 2 x 2 lie in one: 2 sheets. */
static void bound_of_thirds(void **state) {
	(void)state;
	layout_part part = {34, 34, 7, true};
	layout_stock sheet = {100, 100, {0}, 1, -1};
	layout_problem p = {&part, 1, &sheet, 1, 0, 1, 0};
	uint32_t sheets;
	int64_t cost;
	layout_bound(&p, &sheets, &cost);
	assert_int_equal(sheets, 2);
}

/* Hopper and Turton, European Journal of Operational Research 128 (2001), category 1, problem 1: 16 pieces that fill a
 * sheet of 20 x 20 exactly; as given in open collections it can be cut by a guillotine without turning. The bound
 * must be 1, and no layout may use more than 2 sheets. */
static void zero_waste(void **state) {
	(void)state;
	arena mem = {0};
	static const int64_t SIZES[16][2] = {{2, 12}, {7, 12}, {8, 6}, {3, 6}, {3, 5}, {5, 5}, {3, 12}, {3, 7},
					     {5, 7},  {2, 6},  {3, 2}, {4, 2}, {3, 4}, {4, 4}, {9, 2},	{11, 2}};
	layout_part parts[16];
	int64_t area = 0;
	for (int i = 0; i < 16; i++) {
		parts[i] = (layout_part){SIZES[i][0], SIZES[i][1], 1, false};
		area += SIZES[i][0] * SIZES[i][1];
	}
	assert_int_equal(area, 400);
	layout_stock sheet = {20, 20, {0}, 1, -1};
	layout_problem p = {parts, 16, &sheet, 1, 0, 1, 0};
	layout_result r;
	assert_null(layout_solve(&mem, &p, &r));
	layout_faults faults = {0};
	assert_true(layout_verify(&mem, &p, &r, &faults));
	assert_int_equal(r.sheet_bound, 1);
	assert_in_range(r.sheets.n, 1, 2);
	arena_end(&mem);
}

/* F3, RFC 4180: lines end in CRLF; a field with comma or quote is quoted, quotes doubled. */
static void csv_after_rfc_4180(void **state) {
	(void)state;
	arena mem = {0};
	table *t = table_begin(&mem, NULL);
	table_column(t, "part", NULL, TABLE_LEFT);
	table_column(t, "size", "mm", TABLE_RIGHT);
	table_row(t);
	table_cell(t, "rail, \"upper\"");
	table_number(t, 12.5, 1);
	textbuf out = textbuf_begin(&mem);
	table_csv(t, &out);
	assert_string_equal(out.v, "part,size (mm)\r\n\"rail, \"\"upper\"\"\",12.5\r\n");
	arena_end(&mem);
}

int main(void) {
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(eight_in_2440),
		cmocka_unit_test(bound_of_thirds),
		cmocka_unit_test(zero_waste),
		cmocka_unit_test(csv_after_rfc_4180),
	};
	return cmocka_run_group_tests(tests, NULL, NULL);
}
