/* One sound network and more than thirty single mistakes in it: each is named, with the branch or space that it is in
 * and all that have a part in it; no number is made up. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "runtime/engine/airnet.h"

/* 0 room, 1 plenum, 2 behind the filter, 3 before the fan, 4 behind it; a second fan beside. */
enum { FIELD, LEAK, FILTER, DUCT, FAN, OUTLET, DAMPER, BESIDE, N, SPACES = 5 };

typedef struct bench {
	arena mem;
	airnet_curve fan, filter;
	airnet_branch b[N + 1];
	airnet net;
} bench;

static void sound(bench *t) {
	memset(t, 0, sizeof *t);
	assert_true(airnet_curve_make(&t->mem, (double[]){0, 0.2, 0.4, 0.6, 0.8}, (double[]){600, 590, 500, 300, 0}, 5,
				      &t->fan));
	assert_true(airnet_curve_make(&t->mem, (double[]){0, 0.3, 1.2}, (double[]){0, 60, 400}, 3, &t->filter));
	static const struct {
		uint32_t from, to;
	} ENDS[N] = {{0, 1}, {0, 2}, {1, 2}, {2, 3}, {3, 4}, {4, 0}, {3, 1}, {3, 4}};
	for (int i = 0; i < N; i++)
		t->b[i] = (airnet_branch){.from = ENDS[i].from, .to = ENDS[i].to, .count = 1, .stall_m3_s = NAN};
	t->b[FIELD].square_pa_s2_m6 = 300;
	t->b[LEAK].square_pa_s2_m6 = 1e6;
	t->b[FILTER].curve = &t->filter;
	t->b[DUCT].has_duct = true;
	t->b[DUCT].duct = (airlaw_duct){0.25, 2, 1.5e-4, 0.5};
	t->b[OUTLET].square_pa_s2_m6 = 50;
	t->b[DAMPER].square_pa_s2_m6 = 500;
	t->b[DAMPER].one_way = true;
	t->b[DAMPER].opens_pa = 40;
	int fans[2] = {FAN, BESIDE};
	for (int i = 0; i < 2; i++) {
		airnet_branch *f = &t->b[fans[i]];
		f->kind = AIRNET_FAN;
		f->curve = &t->fan;
		f->density_ratio = f->speed_ratio = 1;
	}
	t->net = (airnet){SPACES, t->b, N, 1.2, 1.82e-5};
}

/* What the mistakes do; a figure that is nobody's: NAN. Each gives the trouble and where it has to be named. */
typedef struct expected {
	airnet_trouble trouble;
	uint32_t branch, space;
} expected;

static expected at_branch(airnet_trouble trouble, uint32_t branch) { return (expected){trouble, branch, AIRNET_NONE}; }

static expected bad_value(uint32_t branch) { return at_branch(AIRNET_BAD_VALUE, branch); }

static expected wrong_figure(bench *t, int mistake) {
	airnet_branch *b = t->b;
	switch (mistake) {
	case 0:
		b[FIELD].square_pa_s2_m6 = NAN;
		return bad_value(FIELD);
	case 1:
		b[FIELD].square_pa_s2_m6 = -1;
		return bad_value(FIELD);
	case 2:
		b[FIELD].square_pa_s2_m6 = 0;
		return bad_value(FIELD);
	case 3:
		b[OUTLET].square_pa_s2_m6 = INFINITY;
		return bad_value(OUTLET);
	case 4:
		b[FILTER].linear_pa_s_m3 = -5;
		return bad_value(FILTER);
	case 5:
		b[FILTER].count = 0;
		return bad_value(FILTER);
	case 6:
		b[DUCT].duct.diameter_m = 0;
		return bad_value(DUCT);
	case 7:
		b[DUCT].duct.roughness_m = 0.02;
		return bad_value(DUCT);
	case 8:
		b[DUCT].duct.length_m = NAN;
		return bad_value(DUCT);
	case 9:
		b[DUCT].duct.loss_k = -0.1;
		return bad_value(DUCT);
	case 10:
		b[DUCT].duct.length_m = b[DUCT].duct.loss_k = 0;
		return bad_value(DUCT);
	case 11:
		b[DAMPER].opens_pa = NAN;
		return bad_value(DAMPER);
	case 12:
		b[DAMPER].opens_pa = -1;
		return bad_value(DAMPER);
	case 13:
		b[LEAK].opens_pa = 4;
		return bad_value(LEAK);
	case 14:
		b[FAN].curve = NULL;
		return bad_value(FAN);
	case 15:
		b[FAN].speed_ratio = 0;
		return bad_value(FAN);
	case 16:
		b[BESIDE].density_ratio = NAN;
		return bad_value(BESIDE);
	case 17:
		b[BESIDE].one_way = true;
		return bad_value(BESIDE);
	case 18:
		b[FAN].count = NAN;
		return bad_value(FAN);
	case 19:
		b[LEAK].creep_m3_s = -1e-6;
		return bad_value(LEAK);
	case 20:
		t->net.density_kg_m3 = 0;
		return bad_value(AIRNET_NONE);
	case 21:
		t->net.viscosity_pa_s = INFINITY;
		return bad_value(AIRNET_NONE);
	case 22:
		t->net.n_spaces = 0;
		return bad_value(AIRNET_NONE);
	default:
		return (expected){AIRNET_TROUBLE_COUNT, 0, 0};
	}
}

static expected wrong_way(bench *t, int mistake) {
	airnet_branch *b = t->b;
	switch (mistake) {
	case 0:
		b[DUCT].to = 9;
		return at_branch(AIRNET_BAD_SPACE, DUCT);
	case 1:
		b[FIELD].from = AIRNET_NONE;
		return at_branch(AIRNET_BAD_SPACE, FIELD);
	case 2:
		b[FAN].to = b[FAN].from;
		return at_branch(AIRNET_SHORT, FAN);
	case 3:
		b[OUTLET].to = 4;
		return at_branch(AIRNET_SHORT, OUTLET);
	case 4:
		b[FAN].closed = b[BESIDE].closed = true;
		return at_branch(AIRNET_NO_FAN, AIRNET_NONE);
	case 5:
		t->net.n_branches = FAN;
		t->net.n_spaces = 4;
		return at_branch(AIRNET_NO_FAN, AIRNET_NONE);
	case 6:
		t->net.n_spaces = 6;
		return (expected){AIRNET_NOT_JOINED, AIRNET_NONE, 5};
	case 7:
		b[OUTLET].closed = true; /* into a dead end */
		b[BESIDE].closed = true;
		return at_branch(AIRNET_OPEN, FAN);
	case 8:
		b[FIELD].closed = b[FILTER].closed = b[DAMPER].closed = true;
		return (expected){AIRNET_NOT_JOINED, AIRNET_NONE, 1};
	case 9: /* the only way to the fans is shut */
		b[DUCT].closed = b[DAMPER].closed = b[BESIDE].closed = true;
		return at_branch(AIRNET_OPEN, FAN);
	case 10: /* the damper the wrong way round in the only way out */
		b[OUTLET] = b[DAMPER];
		b[OUTLET].from = 0;
		b[OUTLET].to = 4;
		b[BESIDE].closed = true;
		return at_branch(AIRNET_BLOCKED, FAN);
	case 11: /* opens beyond what the fan can do */
		b[OUTLET].one_way = true;
		b[OUTLET].opens_pa = 601;
		b[BESIDE].closed = true;
		return at_branch(AIRNET_BLOCKED, FAN);
	case 12: /* two alike into a dead end hold each other */
		b[OUTLET].closed = true;
		return at_branch(AIRNET_BLOCKED, FAN);
	default:
		return (expected){AIRNET_TROUBLE_COUNT, 0, 0};
	}
}

static expected wrong_fan(bench *t, int mistake) {
	airnet_branch *b = t->b;
	airnet_curve *c = ARENA_NEW(&t->mem, airnet_curve);
	const double *flow = (double[]){0.1, 0.3, 0.5, 0.7}, *rise = (double[]){300, 500, 300, 50};
	assert_true(airnet_curve_make(&t->mem, flow, rise, 4, c));
	b[BESIDE].closed = true;
	b[FAN].curve = c;
	switch (mistake) {
	case 0:
		b[DAMPER].closed = true;
		b[OUTLET].square_pa_s2_m6 = 1e6;
		return at_branch(AIRNET_OFF_LEFT, FAN);
	case 1: /* nothing in its way */
		b[FIELD].square_pa_s2_m6 = b[OUTLET].square_pa_s2_m6 = 0.1;
		b[FILTER].count = 50;
		b[DUCT].duct.diameter_m = 1;
		return at_branch(AIRNET_OFF_RIGHT, FAN);
	case 2:
		b[FAN].curve = &t->fan;
		b[FILTER].count = 0.2;
		b[DAMPER].closed = true;
		return at_branch(AIRNET_OFF_LOSS, FILTER);
	case 3: /* two on the rise of their curves */
		b[BESIDE].closed = false;
		b[BESIDE].curve = c;
		b[DAMPER].closed = true;
		b[OUTLET].square_pa_s2_m6 = 330 / (0.24 * 0.24);
		return at_branch(AIRNET_NOT_UNIQUE, FAN);
	case 4: /* a curve that gives nothing anywhere */
		assert_true(airnet_curve_make(&t->mem, flow, (double[]){0, 0, 0, 0}, 4, c));
		return bad_value(FAN);
	case 5: /* a filter whose loss falls */
		assert_true(airnet_curve_make(&t->mem, (double[]){0, 0.3, 1}, (double[]){0, 60, 50}, 3, c));
		b[FAN].curve = &t->fan;
		b[FILTER].curve = c;
		return bad_value(FILTER);
	case 6: /* a filter that loses something at rest */
		assert_true(airnet_curve_make(&t->mem, (double[]){0, 0.3, 1}, (double[]){5, 60, 90}, 3, c));
		b[FAN].curve = &t->fan;
		b[FILTER].curve = c;
		return bad_value(FILTER);
	default:
		return (expected){AIRNET_TROUBLE_COUNT, 0, 0};
	}
}

static void each_is_named(void **state) {
	(void)state;
	static expected (*const FAMILIES[])(bench *, int) = {wrong_figure, wrong_way, wrong_fan};
	static bench t;
	int tried = 0;
	sound(&t);
	assert_int_equal(airnet_solve(&t.mem, &t.net).trouble, AIRNET_SOLVED);
	arena_end(&t.mem);
	for (int family = 0; family < 3; family++) {
		for (int mistake = 0;; mistake++, tried++) {
			sound(&t);
			expected want = FAMILIES[family](&t, mistake);
			if (want.trouble == AIRNET_TROUBLE_COUNT) break;
			airnet_result r = airnet_solve(&t.mem, &t.net);
			if (r.trouble != want.trouble || r.branch != want.branch || r.space != want.space)
				fail_msg("mistake %d of family %d: %s, branch %d, space %d", mistake, family,
					 AIRNET_TROUBLE_WORDS[r.trouble], (int)r.branch, (int)r.space);
			/* An answer is given only where one rests on a guess that is told as such. */
			bool may = r.trouble >= AIRNET_OFF_LEFT && r.trouble <= AIRNET_NOT_UNIQUE;
			assert_true(may || !r.numbers);
			arena_end(&t.mem);
		}
		arena_end(&t.mem);
	}
	assert_true(tried >= 30);
}

/* All that have a part are listed, rising. */
static void parts_are_listed(void **state) {
	(void)state;
	static bench t;
	sound(&t);
	t.net.n_spaces = 7;
	airnet_result r = airnet_solve(&t.mem, &t.net);
	assert_int_equal(r.n_part_spaces, 2);
	assert_int_equal(r.part_spaces[0], 5);
	assert_int_equal(r.part_spaces[1], 6);
	arena_end(&t.mem);
	sound(&t);
	wrong_way(&t, 9);
	r = airnet_solve(&t.mem, &t.net);
	assert_int_equal(r.n_part_spaces, 1); /* before the fan: cut off from everything else */
	assert_int_equal(r.part_spaces[0], 3);
	arena_end(&t.mem);
	sound(&t);
	wrong_fan(&t, 3);
	r = airnet_solve(&t.mem, &t.net);
	assert_int_equal(r.n_part_branches, 2);
	assert_int_equal(r.part_branches[0], FAN);
	assert_int_equal(r.part_branches[1], BESIDE);
	arena_end(&t.mem);
	sound(&t);
	wrong_way(&t, 10);
	r = airnet_solve(&t.mem, &t.net);
	assert_int_equal(r.n_part_branches, 2); /* the one in the way out, and the other, which has no need to open */
	assert_int_equal(r.part_branches[0], OUTLET);
	assert_int_equal(r.part_branches[1], DAMPER);
	arena_end(&t.mem);
	sound(&t);
	t.b[DAMPER].closed = true;
	wrong_way(&t, 12);
	r = airnet_solve(&t.mem, &t.net);
	assert_int_equal(r.n_part_branches, 1);
	assert_int_equal(r.part_branches[0], BESIDE);
	arena_end(&t.mem);
}

/* A network of thousands of spaces with one mistake far out is looked through as fast as it is solved. */
static void large_and_wrong(void **state) {
	(void)state;
	static bench t;
	sound(&t);
	enum { MANY = 20000 };
	airnet_branch *b = ARENA_MANY(&t.mem, airnet_branch, MANY + 1);
	for (uint32_t i = 0; i < MANY; i++) {
		b[i] = t.b[FIELD];
		b[i].from = i;
		b[i].to = i + 1;
	}
	b[MANY] = t.b[FAN];
	b[MANY].from = MANY;
	b[MANY].to = MANY + 1;
	airnet net = {MANY + 2, b, MANY + 1, 1.2, 1.82e-5};
	airnet_result r = airnet_solve(&t.mem, &net);
	assert_int_equal(r.trouble, AIRNET_OPEN);
	assert_int_equal(r.branch, MANY);
	b[MANY].to = 0;
	net.n_spaces--;
	r = airnet_solve(&t.mem, &net);
	assert_int_equal(r.trouble, AIRNET_SOLVED);
	assert_true(r.residual_m3_s <= 1e-9 * r.flow_m3_s[0]);
	b[MANY / 2].closed = true;
	r = airnet_solve(&t.mem, &net);
	assert_int_equal(r.trouble, AIRNET_OPEN);
	assert_int_equal(r.n_part_spaces, MANY / 2);
	arena_end(&t.mem);
}

int main(void) {
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(each_is_named),
		cmocka_unit_test(parts_are_listed),
		cmocka_unit_test(large_and_wrong),
	};
	return cmocka_run_group_tests(tests, NULL, NULL);
}
