/* plan.json: exact lengths, null for what is not known, every table whole, the same bytes twice (RFC 8259). */
#include <jansson.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include "runtime/write/json_util.h"
#include "runtime/write/plan_json.h"
#include "tests/unit/hand_model.h"

static void lengths_stay_exact(void **state) {
	(void)state;
	arena mem = {0};
	json_t *l = json_util_length(rat_of(35, 2));
	assert_string_equal(json_string_value(json_object_get(l, "exact")), "35/2");
	assert_true(json_number_value(json_object_get(l, "mm")) == 17.5);
	json_decref(l);
	l = json_util_length(rat_int(-4));
	assert_string_equal(json_string_value(json_object_get(l, "exact")), "-4");
	json_decref(l);
	l = json_util_length(rat_poison());
	assert_true(json_is_null(l));
	json_decref(l);
	arena_end(&mem);
}

static void odd_values_are_mended(void **state) {
	(void)state;
	arena mem = {0};
	json_t *a = json_util_array();
	json_util_add(a, json_util_number(NAN));
	json_util_add(a, json_util_number(INFINITY));
	json_util_add(a, json_util_number(-0.0));
	json_util_add(a, json_util_number(0.1));
	json_util_add(a, json_util_text("a\xFFz"));
	json_util_add(a, json_util_text(NULL));
	json_util_add(a, json_util_text("Größe ⌀"));
	size_t size;
	char *text = json_util_dump(&mem, a, &size);
	assert_string_equal(text,
			    "[\n  null,\n  null,\n  0.0,\n  0.1,\n  \"a\xEF\xBF\xBDz\",\n  null,\n  \"Größe ⌀\"\n]\n");
	assert_int_equal(size, strlen(text));
	json_decref(a);
	arena_end(&mem);
}

static void places_name_line_and_column(void **state) {
	(void)state;
	arena mem = {0};
	source_set set = source_begin(&mem);
	uint32_t file = source_add(&set, "some/where/a.plan", "one\nö two\n", 11);
	json_t *p = json_util_span(&set, (span){file, 7, 10});
	assert_string_equal(json_string_value(p), "a.plan:2:3");
	json_decref(p);
	p = json_util_span(&set, span_none());
	assert_true(json_is_null(p));
	json_decref(p);
	arena_end(&mem);
}

static json_t *row(json_t *root, const char *table, size_t i) {
	json_t *r = json_array_get(json_object_get(root, table), i);
	assert_non_null(r);
	return r;
}

static void whole_model_is_there(void **state) {
	(void)state;
	arena mem = {0};
	model *m = hand_model(&mem);
	size_t size, again;
	char *text = plan_json_text(&mem, m, &size), *twice = plan_json_text(&mem, m, &again);
	assert_int_equal(size, again);
	assert_memory_equal(text, twice, size);
	json_error_t error;
	json_t *root = json_loadb(text, size, JSON_REJECT_DUPLICATES, &error);
	assert_non_null(root);
	static const struct {
		const char *table;
		size_t n;
	} COUNT[] = {{"stock", 3}, {"parts", 8},     {"openings", 1},	  {"joints", 2},  {"features", 24},
		     {"tools", 1}, {"templates", 0}, {"requirements", 1}, {"waivers", 0}, {"shopping", 2}};
	for (size_t i = 0; i < sizeof COUNT / sizeof *COUNT; i++)
		assert_int_equal(json_array_size(json_object_get(root, COUNT[i].table)), COUNT[i].n);
	json_t *floor = row(root, "parts", 2);
	json_t *size3 = json_object_get(json_object_get(floor, "box"), "size");
	assert_string_equal(json_string_value(json_object_get(json_array_get(size3, 2), "exact")), "35/2");
	assert_true(json_number_value(json_object_get(json_array_get(size3, 0), "mm")) == 565);
	/* First opening of the baffle: axis at x 105, z 200; the panel begins at x 17.5, z 17.5. */
	json_t *hole = row(root, "features", 0);
	assert_string_equal(json_string_value(json_object_get(json_object_get(hole, "right_of_datum"), "exact")),
			    "175/2");
	assert_string_equal(json_string_value(json_object_get(json_object_get(hole, "above_datum"), "exact")), "365/2");
	assert_true(json_is_null(json_object_get(row(root, "parts", 7), "stock")));
	json_t *air = json_object_get(root, "air");
	assert_int_equal(json_array_size(json_object_get(air, "results")), 2);
	assert_true(json_is_null(json_object_get(air, "hours_to_dirty")));
	json_t *work = json_object_get(root, "work");
	assert_int_equal(json_array_size(json_object_get(work, "steps")), 4);
	json_decref(root);
	arena_end(&mem);
}

int main(void) {
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(lengths_stay_exact),
		cmocka_unit_test(odd_values_are_mended),
		cmocka_unit_test(places_name_line_and_column),
		cmocka_unit_test(whole_model_is_there),
	};
	return cmocka_run_group_tests(tests, NULL, NULL);
}
