/* Answers questions about the laws of air and solves networks, for the scripts that hold them against other libraries.
 * One question a line on standard input, one answer a line (a network: several); numbers to the last digit.
 *   friction RE ROUGHNESS          fitting WORD ANGLE RADIUS PIECES RATIO FREE THICK     (nan: not given)
 *   air ALTITUDE KELVIN HUMIDITY   curve N FLOW PRESSURE ... M AT ...
 *   net SPACES BRANCHES DENSITY VISCOSITY, then a line for each branch:
 *     passive FROM TO COUNT CLOSED LINEAR SQUARE CREEP DUCT D L ROUGH K ONEWAY OPENS N FLOW LOSS ...
 *     fan FROM TO COUNT CLOSED DENSITY_RATIO SPEED_RATIO N FLOW RISE ...
 *   answered by: trouble number, branch, space, steps, both residuals; then flows, then pressures.
 * Ownership: each question has an arena of its own. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "runtime/engine/airfit.h"
#include "runtime/engine/airlaw.h"
#include "runtime/engine/airnet.h"

static double number(void) {
	double v = 0;
	if (scanf("%lf", &v) != 1) {
		fputs("ask_air: a number is missing\n", stderr);
		exit(2);
	}
	return v;
}

static uint32_t whole(void) { return (uint32_t)number(); }

static void answer(double v) { printf("%.17g ", v); }

static airnet_curve *curve(arena *mem) {
	size_t n = whole();
	double *flow = ARENA_MANY(mem, double, n + 1), *pressure = ARENA_MANY(mem, double, n + 1);
	for (size_t i = 0; i < n; i++) {
		flow[i] = number();
		pressure[i] = number();
	}
	airnet_curve *c = ARENA_NEW(mem, airnet_curve);
	return airnet_curve_make(mem, flow, pressure, n, c) ? c : NULL;
}

static airnet_branch branch(arena *mem) {
	airnet_branch b = {0};
	char kind[16] = "";
	if (scanf("%15s", kind) != 1) exit(2);
	b.kind = strcmp(kind, "fan") == 0 ? AIRNET_FAN : AIRNET_PASSIVE;
	b.from = whole();
	b.to = whole();
	b.count = number();
	b.closed = number() != 0;
	if (b.kind == AIRNET_FAN) {
		b.density_ratio = number();
		b.speed_ratio = number();
		b.stall_m3_s = NAN;
	} else {
		b.linear_pa_s_m3 = number();
		b.square_pa_s2_m6 = number();
		b.creep_m3_s = number();
		b.has_duct = number() != 0;
		b.duct.diameter_m = number();
		b.duct.length_m = number();
		b.duct.roughness_m = number();
		b.duct.loss_k = number();
		b.one_way = number() != 0;
		b.opens_pa = number();
	}
	b.curve = curve(mem);
	return b;
}

static void network(arena *mem) {
	airnet net = {0};
	net.n_spaces = whole();
	net.n_branches = whole();
	net.density_kg_m3 = number();
	net.viscosity_pa_s = number();
	airnet_branch *b = ARENA_MANY(mem, airnet_branch, net.n_branches + 1);
	for (size_t i = 0; i < net.n_branches; i++) b[i] = branch(mem);
	net.branches = b;
	airnet_result r = airnet_solve(mem, &net);
	printf("%d %u %u %u %.17g %.17g\n", (int)r.trouble, r.branch, r.space, r.iterations, r.residual_m3_s,
	       r.residual_pa);
	for (size_t i = 0; r.numbers && i < net.n_branches; i++) answer(r.flow_m3_s[i]);
	printf("\n");
	for (size_t i = 0; r.numbers && i < net.n_spaces; i++) answer(r.pressure_pa[i]);
}

static void fitting(void) {
	char word[32] = "";
	if (scanf("%31s", word) != 1) exit(2);
	double each[6];
	for (int i = 0; i < 6; i++) each[i] = number();
	airfit_values v = {each[0], each[1], each[2], each[3], each[4], each[5]};
	for (int k = 0; k < AIRFIT_KINDS; k++) {
		if (strcmp(word, AIRFIT_ROWS[k].word) != 0) continue;
		airfit_loss l = airfit_of((airfit_kind)k, &v);
		answer(l.k);
		answer(l.lengths);
	}
}

static void friction(void) {
	double re = number(), e = number();
	answer(airlaw_friction(re, e));
	answer(airlaw_friction_haaland(re, e));
	answer(airlaw_friction_swamee_jain(re, e));
}

static void air(void) {
	double altitude = number(), kelvin = number(), humidity = number();
	answer(airlaw_pressure(altitude));
	answer(airlaw_density_moist(altitude, kelvin, humidity));
	answer(airlaw_viscosity(kelvin));
	answer(airlaw_saturation(kelvin));
}

static void along_curve(arena *mem) {
	const airnet_curve *c = curve(mem);
	for (uint32_t m = whole(); m > 0; m--) answer(c ? airnet_curve_at(c, number(), NULL) : (double)NAN);
}

int main(void) {
	char word[16];
	while (scanf("%15s", word) == 1) {
		arena mem = {0};
		if (strcmp(word, "net") == 0)
			network(&mem);
		else if (strcmp(word, "fitting") == 0)
			fitting();
		else if (strcmp(word, "friction") == 0)
			friction();
		else if (strcmp(word, "air") == 0)
			air();
		else if (strcmp(word, "curve") == 0)
			along_curve(&mem);
		else
			return 2;
		printf("\n");
		arena_end(&mem);
	}
	return 0;
}
