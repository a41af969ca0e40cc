/* General tolerances against the standard. Beside each value: where it comes from. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "runtime/engine/tolerance.h"
#include "runtime/write/part_tolerance.h"
#include "tests/unit/fixture.h"

static rat off_at(rat mm) {
	size_t n, row = tolerance_medium_row(mm);
	const tolerance_row *rows = tolerance_medium(&n);
	return row < n ? rows[row].off : rat_poison();
}

/* W23, ISO 2768-1, class m (read): over 6 to 30 mm 0.2; to 120 0.3; to 400 0.5; to 1000 0.8; to 2000 1.2; to 4000 2.
 * From 0.5 to 6 mm 0.1, and nothing outside of 0.5 to 4000 mm: from memory. Limits belong to the row below them. */
static void w23_medium_class(void **state) {
	(void)state;
	const struct {
		rat over, most, off;
	} row[] = {{rat_int(6), rat_int(30), rat_of(2, 10)},	   {rat_int(30), rat_int(120), rat_of(3, 10)},
		   {rat_int(120), rat_int(400), rat_of(5, 10)},	   {rat_int(400), rat_int(1000), rat_of(8, 10)},
		   {rat_int(1000), rat_int(2000), rat_of(12, 10)}, {rat_int(2000), rat_int(4000), rat_int(2)},
		   {rat_of(1, 2), rat_int(6), rat_of(1, 10)}};
	for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
		rat just = rat_add(row[i].over, rat_of(1, 1000));
		assert_true(rat_eq(off_at(just), row[i].off));
		assert_true(rat_eq(off_at(rat_half(rat_add(row[i].over, row[i].most))), row[i].off));
		assert_true(rat_eq(off_at(row[i].most), row[i].off));
	}
	assert_false(rat_ok(off_at(rat_of(499, 1000))));
	assert_false(rat_ok(off_at(rat_of(4000001, 1000))));
	assert_false(rat_ok(off_at(rat_poison())));
}

/* What a drawing says of its figures: the fixture's left side is 800 mm high and 400 deep. */
static void w23_on_a_drawing(void **state) {
	(void)state;
	arena mem = {0};
	model *m = fix_cabinet(&mem);
	m->features.n = 0;
	const model_part *left = &m->parts.v[FIX_LEFT];
	rat deep = box_size(left->blank, AXIS_Y), high = box_size(left->blank, AXIS_Z);
	assert_true(rat_lt(rat_int(120), deep) && rat_le(deep, rat_int(400)));
	assert_true(rat_lt(rat_int(400), high) && rat_le(high, rat_int(1000)));
	assert_string_equal(part_tolerance_words(&mem, m, left, FACE_RIGHT),
			    "Lengths without a tolerance: ISO 2768-m, to 400 ±0.5, to 1000 ±0.8 mm.");
	assert_string_equal(part_tolerance_outline(&mem, m, left), ", outline ±0.8 × ±0.5");
	/* 0.5 mm is 0.020 in, 0.8 mm 0.031 in; 400 mm 15.7 in, 1000 mm 39.4 in: arithmetic. */
	m->measures = MEASURES_INCH;
	assert_string_equal(part_tolerance_words(&mem, m, left, FACE_RIGHT),
			    "Lengths without a tolerance: ISO 2768-m, to 15.7 ±0.020, to 39.4 ±0.031 in.");
	/* A hole of its drill's size adds its places only. */
	m->measures = MEASURES_METRIC;
	fix_feature(m, FEATURE_PILOT, FIX_LEFT, FACE_RIGHT, 18, rat_double(left->blank.lo[1]) + 25, 200, 2.5, 12);
	const char *words = part_tolerance_words(&mem, m, left, FACE_RIGHT);
	assert_non_null(strstr(words, ", to 30 ±0.2, to"));
	assert_null(strstr(words, "to 6 ±"));
	arena_end(&mem);
}

int main(void) {
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(w23_medium_class),
		cmocka_unit_test(w23_on_a_drawing),
	};
	return cmocka_run_group_tests(tests, NULL, NULL);
}
