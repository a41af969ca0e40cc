/* How fast the air network is solved: networks like a plan's (some ten branches), and of many branches in several
 * shapes. air [MOST]   networks of up to MOST branches, 10000 unless given Prints figures, judges none. Ownership: each
 * network lives in an arena of its own. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <time.h>

#include "compiler/air.h"
#include "compiler/stages.h"
#include "grammar/reader.h"
#include "runtime/engine/airnet.h"

static double now(void) {
	struct timespec t;
	clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &t);
	return (double)t.tv_sec + (double)t.tv_nsec / 1e9;
}

static double next(uint32_t *seed) {
	*seed = *seed * 1664525u + 1013904223u;
	return (*seed >> 8) / 16777216.0;
}

typedef struct made {
	arena mem;
	airnet net;
	airnet_curve *fan, *filter;
	airnet_branch *b;
	size_t n;
	uint32_t seed;
} made;

static void add(made *m, uint32_t from, uint32_t to, int kind) {
	airnet_branch *b = &m->b[m->n++];
	*b = (airnet_branch){.from = from, .to = to, .count = 1, .stall_m3_s = NAN};
	if (kind == 0) { /* opening */
		b->square_pa_s2_m6 = pow(10, 2 + 3 * next(&m->seed));
		b->creep_m3_s = 1e-5;
	} else if (kind == 1) { /* duct */
		b->has_duct = true;
		b->duct = (airlaw_duct){0.1 + 0.2 * next(&m->seed), 0.5 + 4 * next(&m->seed), 1e-4, next(&m->seed)};
	} else if (kind == 2) { /* filter */
		b->curve = m->filter;
		b->linear_pa_s_m3 = 300 * next(&m->seed);
	} else {
		b->kind = AIRNET_FAN;
		b->curve = m->fan;
		b->density_ratio = b->speed_ratio = 1;
	}
}

static made begin(size_t most) {
	made m = {.seed = 1};
	m.fan = ARENA_NEW(&m.mem, airnet_curve);
	m.filter = ARENA_NEW(&m.mem, airnet_curve);
	m.b = ARENA_MANY(&m.mem, airnet_branch, most + 64);
	airnet_curve_make(&m.mem, (double[]){0, 0.12, 0.24, 0.35, 0.47, 0.57}, (double[]){240, 236, 224, 187, 100, 0},
			  6, m.fan);
	airnet_curve_make(&m.mem, (double[]){0, 0.2, 0.4, 0.9}, (double[]){0, 30, 80, 400}, 4, m.filter);
	return m;
}

static void finish(made *m, uint32_t spaces) {
	m->net = (airnet){.n_spaces = spaces,
			  .branches = m->b,
			  .n_branches = m->n,
			  .density_kg_m3 = 1.2,
			  .viscosity_pa_s = 1.82e-5};
}

/* A bench like those of the plans: field, leak, filter, duct, fan, outlet, beside it a second way. */
static made like_a_plan(size_t most) {
	made m = begin(most);
	add(&m, 0, 1, 0);
	add(&m, 0, 1, 0);
	add(&m, 1, 2, 2);
	add(&m, 2, 3, 0);
	add(&m, 3, 4, 1);
	add(&m, 4, 5, 3);
	add(&m, 5, 0, 0);
	add(&m, 0, 4, 0);
	finish(&m, 6);
	return m;
}

/* Rooms side by side and behind each other, each open to its neighbours; fans blow in along one edge. */
static made lattice(size_t most) {
	made m = begin(most);
	uint32_t side = (uint32_t)sqrt((double)most / 2.03), id = 1;
	for (uint32_t y = 0; y < side; y++) {
		for (uint32_t x = 0; x < side; x++, id++) {
			if (x) add(&m, id - 1, id, (int)(next(&m.seed) * 3));
			if (y) add(&m, id - side, id, (int)(next(&m.seed) * 2));
			if (y == 0 && x % 3 == 0) add(&m, 0, id, 3);
			if (y == side - 1) add(&m, id, 0, 0);
		}
	}
	finish(&m, id);
	return m;
}

/* Main, branches of branches, hoods at the ends: an exhaust system, with a leak at every fourth joint. */
static made tree(size_t most) {
	made m = begin(most);
	uint32_t spaces = (uint32_t)((double)most / 1.8);
	add(&m, 1, 0, 3);
	m.b[0].count = (double)spaces / 40;
	uint32_t *ends = ARENA_MANY(&m.mem, uint32_t, spaces + 1);
	for (uint32_t s = 2; s < spaces; s++) {
		uint32_t to = s / 2; /* halves: a balanced tree */
		add(&m, s, to, 1);
		ends[to]++;
	}
	for (uint32_t s = 1; s < spaces; s++)
		if (!ends[s] || s % 4 == 0) add(&m, 0, s, 0);
	finish(&m, spaces);
	return m;
}

/* No shape at all: every space with a way to an earlier one, the rest anywhere. The hardest for a sparse method. */
static made tangle(size_t most) {
	made m = begin(most);
	uint32_t spaces = (uint32_t)((double)most / 2);
	for (uint32_t s = 1; s < spaces; s++) add(&m, (uint32_t)(next(&m.seed) * s), s, (int)(next(&m.seed) * 3));
	while (m.n < most) {
		uint32_t a = (uint32_t)(next(&m.seed) * spaces), b = (uint32_t)(next(&m.seed) * spaces);
		if (a != b) add(&m, a, b, next(&m.seed) < 0.01 ? 3 : (int)(next(&m.seed) * 3));
	}
	finish(&m, spaces);
	return m;
}

/* Median of odd many runs, in seconds of the processor. */
static double median(made *m, int runs, airnet_result *last) {
	double each[9];
	for (int r = 0; r < runs; r++) {
		arena mem = {0};
		double began = now();
		airnet_result got = airnet_solve(&mem, &m->net);
		each[r] = now() - began;
		*last = got;
		last->flow_m3_s = last->loss_pa = last->pressure_pa = NULL;
		arena_end(&mem);
		for (int k = r; k > 0 && each[k] < each[k - 1]; k--) {
			double t = each[k];
			each[k] = each[k - 1];
			each[k - 1] = t;
		}
	}
	return each[runs / 2];
}

static void many_small(void) {
	made m = like_a_plan(16);
	enum { SOLVES = 20000 };
	uint32_t steps = 0;
	double began = now();
	for (int i = 0; i < SOLVES; i++) {
		arena mem = {0};
		m.b[2].linear_pa_s_m3 = 10 + 0.05 * i; /* the filter fills up */
		airnet_result r = airnet_solve(&mem, &m.net);
		steps += r.iterations;
		if (r.trouble != AIRNET_SOLVED) fprintf(stderr, "air: %s\n", AIRNET_TROUBLE_WORDS[r.trouble]);
		arena_end(&mem);
	}
	double took = now() - began;
	printf("%-32s %8.0f solved a second on one core, %.1f steps each\n", "a plan's network, 8 branches",
	       SOLVES / took, (double)steps / SOLVES);
	arena_end(&m.mem);
}

/* The model is filled once; what a changed part would ask for again, from the areas on, is timed. */
static bool whole_plan(const char *stock, const char *path) {
	arena mem = {0};
	source_set sources = source_begin(&mem);
	diags d = diags_begin(&mem);
	syn_plan plan = {0};
	grammar_places places = {&stock, 1};
	const char *why = NULL;
	bool good = grammar_read(&mem, &sources, &d, &places, path, &plan, &why);
	model *m = good ? stages_run(&mem, &sources, &plan, &(resolve_options){.slug = "plan"}, &d) : NULL;
	good = m && d.errors == 0 && m->air.given;
	if (good) {
		enum { TIMES = 200 };
		double began = now();
		for (int i = 0; i < TIMES; i++) good = air_solve(m, &d) && good;
		printf("%-32s %8.0f solved a second on one core, %zu branches, every condition\n", path,
		       TIMES / (now() - began), m->air.branches.n);
	}
	if (!good) fprintf(stderr, "air: %s cannot be worked out\n", path);
	arena_end(&mem);
	return good;
}

int main(int argc, char **argv) {
	if (argc < 3) {
		fputs("usage: air MOST STOCK PLAN...\n", stderr);
		return 2;
	}
	size_t most = (size_t)strtoul(argv[1], NULL, 10);
	bool good = true;
	static const struct {
		const char *name;
		made (*make)(size_t);
	} SHAPES[] = {{"lattice", lattice}, {"tree", tree}, {"tangle", tangle}};
	many_small();
	for (int i = 3; i < argc; i++) good = whole_plan(argv[2], argv[i]) && good;
	for (size_t n = 100; n <= most; n *= 10) {
		for (size_t i = 0; i < sizeof SHAPES / sizeof *SHAPES; i++) {
			made m = SHAPES[i].make(n);
			airnet_result r;
			double took = median(&m, n > 5000 ? 3 : 9, &r);
			printf("%-10s %6zu branches %6u spaces %10.2f ms, %u steps, %s\n", SHAPES[i].name, m.n,
			       m.net.n_spaces, took * 1e3, r.iterations, AIRNET_TROUBLE_WORDS[r.trouble]);
			arena_end(&m.mem);
		}
	}
	return good ? 0 : 1;
}
