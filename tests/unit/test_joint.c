/* Joints: what they cut, what they bar, where tape lies, on models put together by hand. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include "runtime/engine/joint.h"
#include "tests/unit/fixture.h"

static void same(rat got, double want) {
	if (!rat_eq(got, fix_mm(want))) fail_msg("got %g, want %g", rat_double(got), want);
}

/* Two laths in one plane, the second along z; 60 x 20. */
static model *crossing(arena *mem, box3 a, box3 b) {
	model *m = ARENA_NEW(mem, model);
	m->mem = mem;
	fix_stock(m, STOCK_BAR, "lath");
	fix_part(m, PART_SLAT, "rail", a, AXIS_Y, FACE_FRONT);
	fix_part(m, PART_SLAT, "stile", b, AXIS_Y, FACE_FRONT);
	for (size_t i = 0; i < 2; i++) m->parts.v[i].stock = 0;
	model_joint *j = LIST_ADD(mem, &m->joints);
	*j = (model_joint){.kind = JOINT_HALVING, .a = 0, .b = 1, .face_a = FACE_BACK, .depth_a = rat_int(10)};
	j->depth = fix_length(10);
	j->allowance = fix_length(0.5);
	j->screw = j->gasket = j->glue_stock = MODEL_NONE;
	box_common(a, b, &j->contact);
	j->contact.lo[1] = j->contact.hi[1] = rat_int(10);
	return m;
}

static const char *ways(const model *m) {
	static const char LETTER[] = "LRFBDU";
	char *out = arena_many(m->mem, 7, 1);
	size_t n = 0;
	for (int f = 0; f < 6; f++)
		if (!joint_bars(m, &m->joints.v[0], (face)f)) out[n++] = LETTER[f];
	return out;
}

static void halvings_bar_ways(void **state) {
	(void)state;
	arena mem = {0};
	/* A cross: only straight out to the front. */
	assert_string_equal(ways(crossing(&mem, fix_box(0, 600, 0, 20, 300, 360), fix_box(200, 260, 0, 20, 0, 800))),
			    "F");
	/* The rail ends at the stile's far side, a T: it can be drawn out lengthwise too. */
	assert_string_equal(ways(crossing(&mem, fix_box(0, 600, 0, 20, 300, 360), fix_box(540, 600, 0, 20, 0, 800))),
			    "LF");
	/* A corner: also downwards. */
	assert_string_equal(ways(crossing(&mem, fix_box(0, 600, 0, 20, 0, 60), fix_box(540, 600, 0, 20, 0, 800))),
			    "LFD");
	/* The rail ends within the stile's breadth: no way out at that end. */
	assert_string_equal(ways(crossing(&mem, fix_box(0, 580, 0, 20, 300, 360), fix_box(540, 600, 0, 20, 0, 800))),
			    "LF");
	arena_end(&mem);
}

static void halvings_are_wider_where_they_have_walls(void **state) {
	(void)state;
	arena mem = {0};
	model *m = crossing(&mem, fix_box(0, 600, 0, 20, 0, 60), fix_box(540, 600, 0, 20, 0, 800));
	box3 a = joint_cut_a(m, &m->joints.v[0]), b = joint_cut_b(m, &m->joints.v[0]);
	same(a.lo[0], 539.75); /* a wall there, and the end of the rail */
	same(a.hi[0], 600);
	same(a.lo[1], 10);
	same(a.hi[1], 20);
	same(b.lo[2], 0);
	same(b.hi[2], 60.25);
	same(b.lo[1], 0);
	same(b.hi[1], 10);
	rat through, there;
	joint_screw_way(m, &m->joints.v[0], &through, &there);
	same(through, 10);
	same(there, 10);
	arena_end(&mem);
}

/* The fixture's floor goes 6 into both sides, allowance 0.2. */
static void dados_bar_ways(void **state) {
	(void)state;
	arena mem = {0};
	model *m = fix_cabinet(&mem);
	model_joint *j = &m->joints.v[0];
	assert_int_equal(j->kind, JOINT_DADO);
	assert_string_equal(ways(m), "RFB"); /* out of the left side, or along the dado */
	j->stop[0] = rat_int(20);
	assert_string_equal(ways(m), "RB");
	box3 cut = joint_cut_b(m, j), tongue = joint_tongue(m, j), notch;
	same(cut.lo[1], 20);
	same(tongue.lo[1], 20);
	same(cut.lo[0], 12);
	assert_true(joint_notch(m, j, 0, &notch));
	assert_false(joint_notch(m, j, 1, &notch));
	joint_notch(m, j, 0, &notch);
	same(box_size(notch, AXIS_X), 6);
	same(box_size(notch, AXIS_Y), 20);
	same(box_size(notch, AXIS_Z), 18);
	arena_end(&mem);
}

static void rabbets_reach_the_edge(void **state) {
	(void)state;
	arena mem = {0};
	model *m = fix_cabinet(&mem);
	model_joint *j = &m->joints.v[0];
	j->kind = JOINT_RABBET;
	m->parts.v[j->b].box.lo[2] = m->parts.v[j->b].blank.lo[2] = rat_int(87); /* 3 below the floor */
	box3 cut = joint_cut_b(m, j);
	same(cut.lo[2], 87);
	same(cut.hi[2], 108.2); /* the whole allowance at the wall */
	j->kind = JOINT_DADO;
	cut = joint_cut_b(m, j);
	same(cut.lo[2], 89.9);
	same(cut.hi[2], 108.1);
	arena_end(&mem);
}

static void tongues_have_shoulders(void **state) {
	(void)state;
	arena mem = {0};
	model *m = fix_cabinet(&mem);
	model_joint *j = &m->joints.v[0];
	j->kind = JOINT_TONGUE;
	j->thick = fix_length(6);
	j->shoulder = rat_int(4);
	box3 low, high;
	assert_true(joint_shoulder(m, j, 0, &low));
	assert_true(joint_shoulder(m, j, 1, &high));
	same(box_size(low, AXIS_Z), 4);
	same(box_size(high, AXIS_Z), 8);
	same(box_size(low, AXIS_X), 6);
	box3 cut = joint_cut_b(m, j);
	same(cut.lo[2], 93.9);
	same(cut.hi[2], 100.1);
	j->shoulder = rat_int(0); /* bare-faced */
	assert_false(joint_shoulder(m, j, 0, &low));
	arena_end(&mem);
}

static void the_fit_follows_the_sheet(void **state) {
	(void)state;
	arena mem = {0};
	model *m = fix_cabinet(&mem);
	model_joint *j = &m->joints.v[0];
	m->stocks.v[FIX_PLY].thick_plus = fix_length(0.2);
	assert_false(joint_from_the_work(m, j));
	m->stocks.v[FIX_PLY].thick_plus = fix_length(0.3);
	assert_true(joint_from_the_work(m, j));
	j->kind = JOINT_TONGUE;
	assert_false(joint_from_the_work(m, j));
	arena_end(&mem);
}

static void tape_is_a_strip_or_a_ring(void **state) {
	(void)state;
	arena mem = {0};
	model *m = fix_cabinet(&mem);
	model_joint *j = &m->joints.v[0];
	model_gasket_run run;
	j->kind = JOINT_BUTT;
	assert_false(joint_gasket(m, 0, &run));
	fix_stock(m, STOCK_GASKET, "tape");
	j->gasket = (model_ref)m->stocks.n - 1;
	m->stocks.v[j->gasket].tape_width = fix_length(10);
	assert_true(joint_gasket(m, 0, &run)); /* 18 x 400 */
	assert_false(run.ring);
	assert_int_equal(run.corners, 0);
	same(run.length, 400);
	assert_int_equal(run.part, FIX_LEFT);
	assert_int_equal(run.face, FACE_RIGHT);
	j->contact.hi[2] = rat_add(j->contact.lo[2], rat_int(100));
	assert_true(joint_gasket(m, 0, &run)); /* 100 x 400: its middle line is 90 x 390 */
	assert_true(run.ring);
	assert_int_equal(run.corners, 4);
	same(run.length, 2 * (90 + 390));
	arena_end(&mem);
}

int main(void) {
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(halvings_bar_ways),
		cmocka_unit_test(halvings_are_wider_where_they_have_walls),
		cmocka_unit_test(dados_bar_ways),
		cmocka_unit_test(rabbets_reach_the_edge),
		cmocka_unit_test(tongues_have_shoulders),
		cmocka_unit_test(the_fit_follows_the_sheet),
		cmocka_unit_test(tape_is_a_strip_or_a_ring),
	};
	return cmocka_run_group_tests(tests, NULL, NULL);
}
