#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>
#include <math.h>

#include "runtime/draw/view_joint.h"
#include "tests/unit/fixture.h"

static bool near(double a, double b) { return fabs(a - b) < 1e-6; }

/* The screw is the one white polygon of nine corners: head, neck, shank, tip and back. */
static const display_item *screw_of(const display *d) {
	const display_item *found = NULL;
	for (size_t i = 0; i < d->items.n; i++) {
		const display_item *t = &d->items.v[i];
		if (t->kind != ITEM_PATH || t->fill != FILL_WHITE || t->pen != PEN_EDGE) continue;
		assert_null(found);
		found = t;
	}
	return found;
}

static display *drawn(arena *a, const model *m, model_ref joint, view_joint_report *r) {
	display *d = display_begin(a, VIEW_JOINT_WIDE, VIEW_JOINT_HIGH);
	*r = view_joint(d, 0, 0, m, joint, "3", "1");
	assert_int_equal(d->bad, 0);
	assert_true(display_box_inside(display_bounds(d), (display_box){0, 0, VIEW_JOINT_WIDE, VIEW_JOINT_HIGH}));
	return d;
}

static model *countersunk(arena *a, double screw_length) {
	model *m = fix_cabinet(a);
	m->stocks.v[FIX_SCREW].length = fix_length(screw_length);
	for (size_t i = 0; i < m->features.n; i++)
		if (m->features.v[i].kind == FEATURE_CLEARANCE) m->features.v[i].sink_depth = fix_mm(1.75);
	return m;
}

static void the_screw_stands_where_the_model_has_it(void **state) {
	(void)state;
	arena a = {0};
	model *m = countersunk(&a, 50);
	for (model_ref j = FIX_FLOOR_LEFT; j <= FIX_FLOOR_RIGHT; j++) {
		view_joint_report r;
		display *d = drawn(&a, m, j, &r);
		assert_true(near(r.scale, 0.5)); /* 50 mm and air are more than the window holds at full size */
		assert_true(r.screw);
		assert_true(rat_eq(r.beside, rat_int(9)));
		assert_int_equal(face_axis(r.near), AXIS_Z);
		assert_string_equal(r.from, "from the front");
		const display_item *s = screw_of(d);
		assert_non_null(s);
		double tip = s->node[4].p.x, head = s->node[0].p.x;
		assert_true(near(tip - head, (j == FIX_FLOOR_LEFT ? 50 : -50) * r.scale));
	}
	arena_end(&a);
}

static void a_shorter_screw_is_shown_at_full_size(void **state) {
	(void)state;
	arena a = {0};
	model *m = countersunk(&a, 40);
	view_joint_report r;
	display *d = drawn(&a, m, FIX_FLOOR_LEFT, &r);
	assert_true(near(r.scale, 1));
	const display_item *s = screw_of(d);
	assert_non_null(s);
	assert_true(near(s->node[4].p.x - s->node[0].p.x, 40));
	assert_true(near(s->node[3].p.y - s->node[5].p.y, -4) || near(s->node[3].p.y - s->node[5].p.y, 4));
	arena_end(&a);
}

/* Where b's outline runs back from its face into the dado. */
static bool has_corner(const display *d, double from_head, double off_axis) {
	const display_item *s = screw_of(d);
	for (size_t i = 0; i < d->items.n; i++) {
		const display_item *t = &d->items.v[i];
		for (size_t k = 0; t->kind == ITEM_PATH && t->pen == PEN_EDGE && k < t->n; k++)
			if (near(t->node[k].p.x - s->node[0].p.x, from_head) &&
			    near(t->node[k].p.y - s->node[4].p.y, off_axis))
				return true;
	}
	return false;
}

static void the_cut_has_its_depth_and_width(void **state) {
	(void)state;
	arena a = {0};
	model *m = countersunk(&a, 40);
	m->joints.v[FIX_FLOOR_LEFT].room = m->joints.v[FIX_FLOOR_LEFT].thick = fix_length(0);
	for (int i = 0; i < 2; i++) m->joints.v[FIX_FLOOR_LEFT].stop[i] = rat_int(0);
	view_joint_report r;
	display *d = drawn(&a, m, FIX_FLOOR_LEFT, &r);
	assert_true(has_corner(d, 18, 9.1)); /* 18 thick; 0.2 wider than the sheet of 18 */
	assert_true(has_corner(d, 12, 9.1)); /* 6 deep */
	assert_true(has_corner(d, 12, 9));   /* the sheet that goes in */
	assert_false(has_corner(d, 13, 9.1));
	arena_end(&a);
}

static void a_flat_head_lies_on_the_face(void **state) {
	(void)state;
	arena a = {0};
	model *m = countersunk(&a, 40);
	for (size_t i = 0; i < m->features.n; i++) m->features.v[i].sink = m->features.v[i].sink_depth = rat_int(0);
	view_joint_report r;
	const display_item *s = screw_of(drawn(&a, m, FIX_FLOOR_LEFT, &r));
	assert_true(near(s->node[4].p.x - s->node[1].p.x, 40)); /* from under the head */
	assert_true(s->node[0].p.x < s->node[1].p.x);
	arena_end(&a);
}

static void without_a_screw_none_is_drawn(void **state) {
	(void)state;
	arena a = {0};
	model *m = fix_cabinet(&a);
	m->features.n = 0;
	view_joint_report r;
	display *d = drawn(&a, m, FIX_TOP_LEFT, &r);
	assert_false(r.screw);
	assert_false(rat_ok(r.beside));
	assert_null(screw_of(d));
	arena_end(&a);
}

int main(void) {
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(the_screw_stands_where_the_model_has_it),
		cmocka_unit_test(a_shorter_screw_is_shown_at_full_size),
		cmocka_unit_test(the_cut_has_its_depth_and_width),
		cmocka_unit_test(a_flat_head_lies_on_the_face),
		cmocka_unit_test(without_a_screw_none_is_drawn),
	};
	return cmocka_run_group_tests(tests, NULL, NULL);
}
