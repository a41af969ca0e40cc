/* Which way a part comes in, and which parts are alike or mirror images, against cases that a person sees at once. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include "runtime/write/book_build.h"
#include "tests/unit/fixture.h"

static book book_on(model *m) {
	m->bounds = fix_box(0, 800, 0, 400, 0, 700);
	return (book){.mem = m->mem, .m = m};
}

static void top_comes_from_above(void **state) {
	(void)state;
	arena mem = {0};
	model *m = fix_cabinet(&mem);
	book b = book_on(m);
	bool *stands = ARENA_MANY(&mem, bool, m->parts.n + 1);
	stands[FIX_LEFT] = stands[FIX_RIGHT] = stands[FIX_FLOOR] = true;
	double off[3];
	/* Between the sides without a groove: through the sheet, the near way out. */
	m->parts.v[FIX_TOP].blank = m->parts.v[FIX_TOP].box;
	assert_true(book_way_in(&b, FIX_TOP, stands, off));
	assert_true(off[2] > 100 && off[0] == 0 && off[1] == 0);
	/* With tongues in dados the way up is barred: along the grooves, out at the front or back. */
	m->parts.v[FIX_TOP].blank.lo[0] = fix_mm(12), m->parts.v[FIX_TOP].blank.hi[0] = fix_mm(788);
	assert_true(book_way_in(&b, FIX_TOP, stands, off));
	assert_true(off[1] != 0 && off[0] == 0 && off[2] == 0);
	/* With the same tongues in rabbets at the upper end it comes from above again. */
	m->parts.v[FIX_TOP].blank.lo[2] = m->parts.v[FIX_TOP].box.lo[2] = fix_mm(682);
	m->parts.v[FIX_TOP].blank.hi[2] = m->parts.v[FIX_TOP].box.hi[2] = fix_mm(700);
	assert_true(book_way_in(&b, FIX_TOP, stands, off));
	assert_true(off[2] > 0 && off[1] == 0);
	arena_end(&mem);
}

static void shut_in_there_is_no_way(void **state) {
	(void)state;
	arena mem = {0};
	model *m = fix_cabinet(&mem);
	for (int k = 0; k < 2; k++)
		fix_part(m, PART_PANEL, k ? "front" : "back", fix_box(0, 800, k ? -18 : 400, k ? 0 : 418, 0, 700),
			 AXIS_Y, FACE_FRONT);
	book b = book_on(m);
	bool *stands = ARENA_MANY(&mem, bool, m->parts.n + 1);
	for (size_t i = 0; i < m->parts.n; i++) stands[i] = i != FIX_CARRIER;
	double off[3] = {1, 1, 1};
	assert_false(book_way_in(&b, FIX_CARRIER, stands, off));
	assert_true(off[0] == 0 && off[1] == 0 && off[2] == 0);
	stands[m->parts.n - 1] = false; /* without the front */
	assert_true(book_way_in(&b, FIX_CARRIER, stands, off));
	assert_true(off[1] < 0 && off[0] == 0 && off[2] == 0);
	arena_end(&mem);
}

/* A sheet 300 x 200 x 18 in the middle of the width, with one hole of 30 mm bored at (x, y) from above or below. */
static model_ref bored(model *m, const char *name, double x, double y, bool through, bool from_above) {
	fix_part(m, PART_PANEL, name, fix_box(100, 400, 50, 250, 300, 318), AXIS_Z, FACE_TOP)->grain_matters = true;
	model_ref row = (model_ref)m->parts.n - 1;
	model_feature *f = fix_feature(m, FEATURE_OPENING, row, from_above ? FACE_TOP : FACE_BOTTOM, 100 + x, 50 + y,
				       from_above ? 318 : 300, 30, 9);
	f->through = through;
	return row;
}

static unsigned mirror_word(bool through, bool second_above, double x, double y) {
	arena mem = {0};
	model *m = fix_cabinet(&mem);
	model_ref a = bored(m, "one", 40, 60, through, true), c = bored(m, "two", x, y, through, second_above);
	book b = book_on(m);
	book_items(&b);
	const book_item *first = book_item_of(&b, a), *second = book_item_of(&b, c);
	assert_ptr_not_equal(first, second); /* other names: two lines of the list */
	unsigned mirror = second->mirror_of == 0 ? 0 : second->mirror_of == first->number ? 1 : 2;
	arena_end(&mem);
	return mirror;
}

static void mirrored_only_when_no_turn_makes_it_fit(void **state) {
	(void)state;
	/* Blind, bored from above: 40 mm from the left against 40 mm from the right is a mirror image. */
	assert_int_equal(mirror_word(false, true, 260, 60), 1);
	/* Turned half round in its plane it is the same part. */
	assert_int_equal(mirror_word(false, true, 260, 140), 0);
	/* Through, the sheet can be turned over: the same part. */
	assert_int_equal(mirror_word(true, true, 260, 60), 0);
	/* Bored from below at the other end: turned over it is the same part. */
	assert_int_equal(mirror_word(false, false, 260, 60), 0);
	/* Another place altogether is neither. */
	assert_int_equal(mirror_word(false, true, 100, 60), 0);
}

int main(void) {
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(top_comes_from_above),
		cmocka_unit_test(shut_in_there_is_no_way),
		cmocka_unit_test(mirrored_only_when_no_turn_makes_it_fit),
	};
	return cmocka_run_group_tests(tests, NULL, NULL);
}
