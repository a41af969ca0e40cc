/* The neutral table: alignment under wide and combining letters, RFC 4180 quoting, RFC 8259 text. */
#include <jansson.h>
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "runtime/write/table.h"

static table *small(arena *mem) {
	table *t = table_begin(mem, "Ways");
	table_column(t, "way", NULL, TABLE_LEFT);
	table_column(t, "flow", "m³/h", TABLE_RIGHT);
	table_column(t, "said of it", NULL, TABLE_LEFT);
	table_row(t);
	table_cell(t, "Öffnung");
	table_number(t, 12.345, 1);
	table_cell(t, "a \"sharp\" one, round");
	table_row(t);
	table_cell(t, "x");
	table_number(t, -0.0001, 1);
	table_row(t);
	table_cell(t, "none");
	table_number(t, NAN, 1);
	table_cell(t, "two\nlines");
	table_cell(t, "one too many");
	return t;
}

static void text_lines_up(void **state) {
	(void)state;
	arena mem = {0};
	table *t = table_begin(&mem, "Ways");
	table_column(t, "way", NULL, TABLE_LEFT);
	table_column(t, "flow", "m³/h", TABLE_RIGHT);
	table_column(t, "note", NULL, TABLE_LEFT);
	table_row(t);
	table_cell(t, "Öffnung");
	table_number(t, 112.345, 1);
	table_cell(t, "ok");
	table_row(t);
	table_cell(t, "x");
	table_number(t, -0.0001, 1);
	table_note(t, "under it");
	textbuf out = textbuf_begin(&mem);
	table_text(t, &out);
	assert_string_equal(out.v, "Ways\n\n"
				   "way       flow  note\n"
				   "          m³/h\n"
				   "-------  -----  ----\n"
				   "Öffnung  112.3  ok\n"
				   "x          0.0\n"
				   "\nunder it\n");
	arena_end(&mem);
}

static void csv_quotes(void **state) {
	(void)state;
	arena mem = {0};
	textbuf out = textbuf_begin(&mem);
	table_csv(small(&mem), &out);
	assert_string_equal(out.v, "way,flow (m³/h),said of it\r\n"
				   "Öffnung,12.3,\"a \"\"sharp\"\" one, round\"\r\n"
				   "x,0.0,\r\n"
				   "none,,\"two\nlines\"\r\n");
	arena_end(&mem);
}

static void json_is_json(void **state) {
	(void)state;
	arena mem = {0};
	table *t = small(&mem);
	table_note(t, "a note");
	const table *both[2] = {t, t};
	textbuf one = textbuf_begin(&mem), two = textbuf_begin(&mem), none = textbuf_begin(&mem);
	table_write(both, 1, TABLE_JSON, &one);
	table_write(both, 2, TABLE_JSON, &two);
	table_write(both, 0, TABLE_JSON, &none);
	json_t *a = json_loads(one.v, JSON_REJECT_DUPLICATES, NULL), *b = json_loads(two.v, 0, NULL);
	assert_non_null(a);
	assert_non_null(b);
	assert_string_equal(none.v, "[]\n");
	assert_int_equal(json_array_size(b), 2);
	assert_true(json_equal(a, json_array_get(b, 1)));
	json_t *rows = json_object_get(a, "rows");
	assert_int_equal(json_array_size(rows), 3);
	assert_true(fabs(json_real_value(json_object_get(json_array_get(rows, 0), "flow")) - 12.3) < 1e-12);
	assert_true(json_is_null(json_object_get(json_array_get(rows, 2), "flow")));
	assert_string_equal(json_string_value(json_object_get(json_array_get(rows, 2), "said of it")), "two\nlines");
	assert_string_equal(json_string_value(json_object_get(json_array_get(rows, 1), "said of it")), "");
	json_decref(a);
	json_decref(b);
	arena_end(&mem);
}

static void bad_bytes_stay_valid(void **state) {
	(void)state;
	arena mem = {0};
	table *t = table_begin(&mem, NULL);
	table_column(t, "a", NULL, TABLE_LEFT);
	table_row(t);
	table_cell(t, "\xff\x01\\");
	textbuf out = textbuf_begin(&mem);
	table_json(t, &out);
	json_t *a = json_loads(out.v, 0, NULL);
	assert_non_null(a);
	const char *cell = json_string_value(json_object_get(json_array_get(json_object_get(a, "rows"), 0), "a"));
	assert_string_equal(cell, "\xEF\xBF\xBD\x01\\");
	json_decref(a);
	arena_end(&mem);
}

int main(void) {
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(text_lines_up),
		cmocka_unit_test(csv_quotes),
		cmocka_unit_test(json_is_json),
		cmocka_unit_test(bad_bytes_stay_valid),
	};
	return cmocka_run_group_tests(tests, NULL, NULL);
}
