/* The door for cutting benchmarks: reads instance files, solves each instance in each guillotine variant, verifies
 * every layout, and prints for each file what came of it.
 *
 *     layouts [-e EFFORT] [-v] [-l MOST] FILE...
 *
 * A file holds blocks of lines: INSTANCE name, KIND, STOCK w h quantity cost | STOCK length quantity,
 * ITEM w h demand | ITEM length demand, BOUND variant lower upper, END. The variants solved are O|G (the grain is kept)
 * and R|G (pieces may be turned), and 1D. Status 1 when a layout is refused, a claim is wrong or a file cannot be read.
 * Figures are printed and judged by nobody: machines differ. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include "runtime/engine/layout_verify.h"

typedef struct instance {
	char name[80], kind[24];
	LIST(layout_stock) stocks;
	LIST(layout_part) parts;
	struct {
		int64_t lower, upper;
		bool given;
	} known[3];
} instance;

enum { PLAIN, TURNED, LINE, VARIANTS };
static const char *const VARIANT[VARIANTS] = {"O|G", "R|G", "1D"};

typedef struct tally {
	size_t n, proven, optimal, wrong, refused, at_most_60;
	int64_t value, bound, lower, upper, value_60;
	double seconds, slowest, gap;
} tally;

typedef struct settings {
	uint32_t effort;
	bool each;
	size_t most;
} settings;

static double now_s(void) {
	struct timespec t;
	clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &t);
	return (double)t.tv_sec + 1e-9 * (double)t.tv_nsec;
}

/* The next instance, or false at the end of the file; *bad is set when a line is not understood. */
static bool read_instance(FILE *f, arena *mem, instance *x, bool *bad) {
	char line[256], word[32], variant[16];
	long long a, b, c, d;
	bool open = false;
	*x = (instance){0};
	while (fgets(line, sizeof line, f)) {
		if (sscanf(line, "%31s", word) != 1 || word[0] == '#') continue;
		if (strcmp(word, "INSTANCE") == 0) {
			open = sscanf(line, "%*s %79s", x->name) == 1;
		} else if (strcmp(word, "KIND") == 0) {
			*bad = sscanf(line, "%*s %23s", x->kind) != 1 || *bad;
		} else if (strcmp(word, "STOCK") == 0) {
			int n = sscanf(line, "%*s %lld %lld %lld %lld", &a, &b, &c, &d);
			layout_stock flat = {n > 0 ? a : 0, n > 3 ? b : 1, {0}, n > 3 ? d : 1, n > 3 ? c : b};
			if (n != 2 && n != 4) *bad = true;
			LIST_PUSH(mem, &x->stocks, flat);
		} else if (strcmp(word, "ITEM") == 0) {
			int n = sscanf(line, "%*s %lld %lld %lld", &a, &b, &c);
			layout_part part = {n > 0 ? a : 0, n > 2 ? b : 1, (uint32_t)(n > 2 ? c : b), false};
			if (n != 2 && n != 3) *bad = true;
			LIST_PUSH(mem, &x->parts, part);
		} else if (strcmp(word, "BOUND") == 0) {
			double lower, upper;
			if (sscanf(line, "%*s %15s %lf %lf", variant, &lower, &upper) != 3) *bad = true;
			a = (long long)ceil(lower - 1e-6);
			b = (long long)floor(upper + 1e-6);
			for (int v = 0; v < VARIANTS; v++) {
				if (strcmp(variant, VARIANT[v]) != 0) continue;
				x->known[v].lower = a;
				x->known[v].upper = b;
				x->known[v].given = true;
			}
		} else if (strcmp(word, "END") == 0) {
			return open;
		} else {
			*bad = true;
		}
	}
	return false;
}

typedef struct answer {
	int64_t value, bound;
	bool proven, good;
	double seconds;
} answer;

static answer solve_sheets(arena *mem, instance *x, bool turned, const settings *s) {
	bool count = strcmp(x->kind, "2d-bins") == 0;
	for (size_t i = 0; i < x->parts.n; i++) x->parts.v[i].turnable = turned;
	for (size_t i = 0; i < x->stocks.n && count; i++) x->stocks.v[i].price = 1;
	layout_problem p = {x->parts.v, x->parts.n, x->stocks.v, x->stocks.n, 0, 0, s->effort};
	layout_result r;
	layout_faults faults = {0};
	double begun = now_s();
	const char *why = layout_solve(mem, &p, &r);
	answer a = {.seconds = now_s() - begun};
	if (why) return a;
	a.good = layout_verify(mem, &p, &r, &faults) && r.unfit.n == 0;
	a.value = r.cost;
	a.bound = r.cost_bound;
	a.proven = r.proven;
	return a;
}

static answer solve_bars(arena *mem, instance *x, const settings *s) {
	LIST(bars_part) parts = {0};
	bars_stock stock = {x->stocks.v[0].w, 0, 1, x->stocks.v[0].count};
	for (size_t i = 0; i < x->parts.n; i++) {
		bars_part part = {x->parts.v[i].w, x->parts.v[i].count};
		LIST_PUSH(mem, &parts, part);
	}
	bars_problem p = {parts.v, parts.n, &stock, 1, 0, s->effort};
	bars_result r;
	layout_faults faults = {0};
	double begun = now_s();
	const char *why = bars_solve(mem, &p, &r);
	answer a = {.seconds = now_s() - begun};
	if (why) return a;
	a.good = bars_verify(mem, &p, &r, &faults) && r.unfit.n == 0;
	a.value = r.cost;
	a.bound = r.cost_bound;
	a.proven = r.proven;
	return a;
}

static void take(tally *t, const instance *x, int variant, answer a) {
	uint64_t pieces = 0;
	for (size_t i = 0; i < x->parts.n; i++) pieces += x->parts.v[i].count;
	int64_t lower = x->known[variant].lower, upper = x->known[variant].upper;
	t->n++;
	t->proven += a.proven;
	t->optimal += a.value <= lower;
	t->refused += !a.good;
	t->wrong += a.bound > upper || (a.proven && a.value > upper) || a.value < lower;
	t->value += a.value;
	t->bound += a.bound;
	t->lower += lower;
	t->upper += upper;
	if (pieces <= 60) {
		t->at_most_60++;
		t->value_60 += a.value;
	}
	t->seconds += a.seconds;
	if (a.seconds > t->slowest) t->slowest = a.seconds;
	if (lower > 0) t->gap += (double)(a.value - lower) / (double)lower;
}

static void show(const char *path, int variant, const tally *t) {
	const char *base = strrchr(path, '/');
	if (!t->n) return;
	printf("%-22s %s %5zu  value %lld (known %lld..%lld)  own bound %lld  proven %zu  at the known bound %zu  "
	       "<=60 pieces %lld  gap %.3f %%  s mean %.3f most %.2f  refused %zu  wrong %zu\n",
	       base ? base + 1 : path, VARIANT[variant], t->n, (long long)t->value, (long long)t->lower,
	       (long long)t->upper, (long long)t->bound, t->proven, t->optimal, (long long)t->value_60,
	       100 * t->gap / (double)t->n, t->seconds / (double)t->n, t->slowest, t->refused, t->wrong);
	fflush(stdout);
}

static bool run_file(const char *path, const settings *s) {
	FILE *f = fopen(path, "r");
	if (!f) {
		fprintf(stderr, "layouts: %s cannot be read\n", path);
		return false;
	}
	tally t[VARIANTS] = {0};
	bool bad = false, more = true;
	while (more) {
		arena mem = {0};
		instance x;
		more = read_instance(f, &mem, &x, &bad);
		for (int v = 0; more && v < VARIANTS; v++) {
			bool line = strncmp(x.kind, "1d", 2) == 0;
			if (!x.known[v].given || line != (v == LINE) || t[v].n >= s->most) continue;
			answer a = line ? solve_bars(&mem, &x, s) : solve_sheets(&mem, &x, v == TURNED, s);
			take(&t[v], &x, v, a);
			if (s->each)
				printf("%s %s value %lld bound %lld known %lld..%lld %s %.3f s%s\n", x.name, VARIANT[v],
				       (long long)a.value, (long long)a.bound, (long long)x.known[v].lower,
				       (long long)x.known[v].upper, a.proven ? "proven" : "open", a.seconds,
				       a.good ? "" : " REFUSED");
		}
		arena_end(&mem);
	}
	fclose(f);
	bool good = !bad;
	if (bad) fprintf(stderr, "layouts: %s holds a line that is not of the format\n", path);
	for (int v = 0; v < VARIANTS; v++) {
		show(path, v, &t[v]);
		good = good && t[v].refused == 0 && t[v].wrong == 0;
	}
	return good;
}

int main(int argc, char **argv) {
	settings s = {.most = SIZE_MAX};
	bool good = true;
	int i = 1;
	for (; i < argc && argv[i][0] == '-'; i++) {
		if (strcmp(argv[i], "-v") == 0)
			s.each = true;
		else if (strcmp(argv[i], "-e") == 0 && i + 1 < argc)
			s.effort = (uint32_t)strtoul(argv[++i], NULL, 10);
		else if (strcmp(argv[i], "-l") == 0 && i + 1 < argc)
			s.most = (size_t)strtoul(argv[++i], NULL, 10);
		else
			return 2;
	}
	for (; i < argc; i++) good = run_file(argv[i], &s) && good;
	return good ? 0 : 1;
}
