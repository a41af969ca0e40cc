/* Mitred ends of bars: what they take away, and corners that meet, stand apart or stand in one another. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "runtime/engine/mitre.h"
#include "runtime/engine/mitre_nest.h"

static box3 box_of(int x0, int x1, int y0, int y1, int z0, int z1) {
	return (box3){{rat_int(x0), rat_int(y0), rat_int(z0)}, {rat_int(x1), rat_int(y1), rat_int(z1)}};
}

/* A rail along x below z = 800, `broad` high, and a post along z beside x = 0, 45 broad: they share a corner. */
static model_part rail(int broad) {
	model_part p = {.box = box_of(0, 600, 0, 20, 800 - broad, 800), .long_axis = AXIS_X};
	return p;
}
static model_part post(void) {
	model_part p = {.box = box_of(0, 45, 0, 20, 0, 800), .long_axis = AXIS_Z};
	return p;
}

static bool apart(const model_part *a, const model_part *b) {
	box3 common;
	assert_true(box_common(a->box, b->box, &common));
	bool one = mitre_apart(a, b, common);
	assert_int_equal(one, mitre_apart(b, a, common));
	return one;
}

static void setback_and_kerf(void **state) {
	(void)state;
	model_part p = rail(45);
	assert_true(mitre_setback_mm(&p, 0) == 0 && mitre_share(&p) == 0);
	p.mitre[0] = (model_mitre){45, FACE_TOP, span_none()};
	assert_true(fabs(mitre_setback_mm(&p, 0) - 45) < 1e-9);
	p.mitre[1] = (model_mitre){30, FACE_BACK, span_none()};
	assert_true(fabs(mitre_setback_mm(&p, 1) - 20 / sqrt(3)) < 1e-9); /* 20 deep, tan 30 = 1 / sqrt 3 */
	assert_true(fabs(mitre_share(&p) - (45 + 20 / sqrt(3)) / 2 / 600) < 1e-12);
	assert_true(fabs(mitre_kerf_mm(60, 3) - 3) < 1e-9); /* cos 60 = 1/2: twice the kerf in all */
	assert_true(mitre_kerf_mm(0, 3) == 0);
}

static void a_corner_meets(void **state) {
	(void)state;
	model_part a = rail(45), b = post();
	assert_false(apart(&a, &b)); /* both square */
	a.mitre[0] = (model_mitre){45, FACE_TOP, span_none()};
	assert_false(apart(&a, &b)); /* the post still fills the corner */
	b.mitre[1] = (model_mitre){45, FACE_LEFT, span_none()};
	assert_true(apart(&a, &b));
	b.mitre[1].point = FACE_RIGHT;
	assert_false(apart(&a, &b)); /* sawn the wrong way */
	b.mitre[1] = (model_mitre){44, FACE_LEFT, span_none()};
	assert_false(apart(&a, &b)); /* 45 tan 44 = 43.5: a wedge is left */
	b.mitre[1] = (model_mitre){46, FACE_LEFT, span_none()};
	assert_true(apart(&a, &b)); /* a gap */
}

/* Of different breadth the joint runs from corner to corner all the same: tan = 45/80 for one and 80/45 for the other.
 */
static void unequal_breadths(void **state) {
	(void)state;
	model_part a = rail(80), b = post();
	double deg = 180 / acos(-1.0);
	a.mitre[0] = (model_mitre){atan(45.0 / 80) * deg, FACE_TOP, span_none()};
	b.mitre[1] = (model_mitre){atan(80.0 / 45) * deg, FACE_LEFT, span_none()};
	assert_true(apart(&a, &b));
	a.mitre[0].angle_deg = b.mitre[1].angle_deg = 45;
	assert_true(apart(&a, &b)); /* along 45 degrees too, though the rail's end then stands open below */
	a.mitre[0].angle_deg = 40;
	assert_false(apart(&a, &b));
}

/* A mitre in another plane than the corner's takes nothing from it. */
static void another_plane(void **state) {
	(void)state;
	model_part a = rail(45), b = post();
	a.mitre[0] = (model_mitre){45, FACE_BACK, span_none()};
	b.mitre[1] = (model_mitre){45, FACE_BACK, span_none()};
	assert_false(apart(&a, &b));
}

static void meeting_in_one_face(void **state) {
	(void)state;
	model_part a = rail(45), b = post();
	face end;
	box3 contact;
	double slant;
	a.mitre[0] = (model_mitre){45, FACE_TOP, span_none()};
	b.mitre[1] = (model_mitre){45, FACE_LEFT, span_none()};
	assert_true(mitre_meets(&a, &b, &end, &contact, &slant));
	assert_int_equal(end, FACE_LEFT);
	assert_true(rat_eq(contact.lo[AXIS_X], rat_of(45, 2)) && rat_eq(contact.hi[AXIS_X], rat_of(45, 2)));
	assert_true(rat_eq(contact.lo[AXIS_Z], rat_int(755)) && rat_eq(contact.hi[AXIS_Z], rat_int(800)));
	assert_true(fabs(slant - sqrt(2)) < 1e-9);
	assert_true(mitre_meets(&b, &a, &end, NULL, NULL) && end == FACE_TOP);
	b.mitre[1].angle_deg = 46;
	assert_false(mitre_meets(&a, &b, NULL, NULL, NULL)); /* they touch at the corner alone */
	b.mitre[1] = (model_mitre){45, FACE_RIGHT, span_none()};
	assert_false(mitre_meets(&a, &b, NULL, NULL, NULL));
	b.mitre[1] = (model_mitre){45, FACE_LEFT, span_none()};
	b.box = box_of(5, 50, 0, 20, 0, 800);
	assert_false(mitre_meets(&a, &b, NULL, NULL, NULL)); /* not from the same corner */
}

/* Three rails of 600, 45 broad, on a bar; both ends of each mitred alike. */
static model_bar_plan three_rails(arena *mem, model *m, double angle) {
	static const char *const NAME[] = {"one", "two", "three"};
	model_bar_plan bar = {.length = rat_int(1900), .trim = rat_int(10), .kerf = rat_int(3)};
	*m = (model){.mem = mem};
	for (model_ref i = 0; i < 3; i++) {
		model_part p = rail(45);
		p.name = NAME[i];
		p.blank = p.box;
		for (int end = 0; end < 2; end++) p.mitre[end] = (model_mitre){angle, FACE_TOP, span_none()};
		LIST_PUSH(mem, &m->parts, p);
		model_piece q = {.part = i, .w = rat_int(600)};
		LIST_PUSH(mem, &bar.pieces, q);
	}
	return bar;
}

static void one_cut_serves_two(void **state) {
	(void)state;
	arena mem = {0};
	model m;
	model_bar_plan bar = three_rails(&mem, &m, 45);
	assert_true(mitre_nest(&mem, &m, &bar));
	assert_null(mitre_bar_fault(&m, &bar));
	/* 3 sqrt 2 = 4.2427 for each cut, 45 for each that is shared; all rounded up to 1/1000 */
	assert_true(rat_eq(bar.pieces.v[0].x, rat_of(11243, 1000)));
	assert_true(rat_eq(bar.pieces.v[1].x, rat_of(11243 + 600000 - 40757, 1000)) && bar.pieces.v[1].turned);
	assert_true(!bar.pieces.v[2].turned && mitre_shared(&m, &bar.pieces.v[1], &bar.pieces.v[2], bar.kerf));
	assert_true(rat_eq(bar.rest, rat_of(1890000 - 11243 - 1800000 + 2 * 40757 - 1243 - 3000, 1000)));
	/* 10 + 1.243 + 1800 - 2 * 40.757 + 1.243 + 10: just as long as they need */
	bar.length = rat_of(1740972, 1000);
	assert_true(mitre_nest(&mem, &m, &bar));
	assert_null(mitre_bar_fault(&m, &bar));
	bar.length = rat_of(1740971, 1000);
	assert_false(mitre_nest(&mem, &m, &bar));
	arena_end(&mem);
}

static void ends_that_differ_share_nothing(void **state) {
	(void)state;
	arena mem = {0};
	model m;
	model_bar_plan bar = three_rails(&mem, &m, 45);
	m.parts.v[1].mitre[0].angle_deg = m.parts.v[1].mitre[1].angle_deg = 30;
	m.parts.v[2].mitre[1].point = FACE_BACK; /* sawn in two planes: turned over, its other end would be wrong */
	assert_true(mitre_nest(&mem, &m, &bar));
	assert_null(mitre_bar_fault(&m, &bar));
	for (size_t i = 0; i < 3; i++) assert_false(bar.pieces.v[i].turned);
	for (size_t i = 1; i < 3; i++) assert_false(mitre_shared(&m, &bar.pieces.v[i - 1], &bar.pieces.v[i], bar.kerf));
	arena_end(&mem);
}

static void wounds_are_found(void **state) {
	(void)state;
	arena mem = {0};
	model m;
	for (int wound = 0; wound < 5; wound++) {
		model_bar_plan bar = three_rails(&mem, &m, 45);
		assert_true(mitre_nest(&mem, &m, &bar));
		model_piece *q = &bar.pieces.v[wound == 3 ? 0 : 1];
		if (wound == 0) q->x = rat_sub(q->x, rat_of(2, 1000)); /* the blade would touch it */
		if (wound == 1) q->turned = false;		       /* its point stands where the other's is */
		if (wound == 2) m.parts.v[q->part].mitre[0].angle_deg = 44;
		if (wound == 3) q->x = rat_sub(q->x, rat_of(2, 1000)); /* into the trim */
		if (wound == 4) q->w = rat_int(599);
		assert_non_null(mitre_bar_fault(&m, &bar));
	}
	arena_end(&mem);
}

int main(void) {
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(one_cut_serves_two), cmocka_unit_test(ends_that_differ_share_nothing),
		cmocka_unit_test(wounds_are_found),   cmocka_unit_test(setback_and_kerf),
		cmocka_unit_test(a_corner_meets),     cmocka_unit_test(unequal_breadths),
		cmocka_unit_test(another_plane),      cmocka_unit_test(meeting_in_one_face),
	};
	return cmocka_run_group_tests(tests, NULL, NULL);
}
