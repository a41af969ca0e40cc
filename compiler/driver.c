#include "compiler/driver.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "compiler/air.h"
#include "compiler/check.h"
#include "compiler/resolve.h"
#include "grammar/parse.h"
#include "grammar/reader.h"
#include "runtime/base/outfile.h"
#include "runtime/base/text.h"

/* Where the shipped plan files lie; the Makefile says so. */
#ifndef WINDCHEST_PLANS_DIR
#define WINDCHEST_PLANS_DIR "plans"
#endif

typedef struct job {
	arena mem;
	const options *o;
	const char *path;
	source_set sources;
	diags diags;
	syn_plan plan;
	syn_file sets;
	resolve_state *state;
	model *m;
} job;

/* "dir/name.plan" to "name"; "-" to "plan". */
static const char *slug_of(arena *mem, const char *path) {
	if (text_same(path, "-")) return "plan";
	const char *base = strrchr(path, '/');
	base = base ? base + 1 : path;
	size_t n = strlen(base);
	if (n > 5 && strcmp(base + n - 5, ".plan") == 0) n -= 5;
	return arena_textn(mem, base, n);
}

/* NAME=VALUE to a line `let NAME = VALUE` of a file that is called "--set". */
static void read_sets(job *j) {
	textbuf t = textbuf_begin(&j->mem);
	for (size_t i = 0; i < j->o->sets.n; i++) textbuf_printf(&t, "let %s\n", j->o->sets.v[i]);
	if (t.n == 0) return;
	uint32_t file = source_add(&j->sources, "--set", t.v, t.n);
	grammar_parse(&j->mem, &j->sources, file, &j->diags, &j->sets);
}

/* Reads and parses; the reason when the plan cannot be read at all. */
static const char *read_plan(job *j) {
	static const char *const FOLDERS[] = {WINDCHEST_PLANS_DIR};
	grammar_places places = {FOLDERS, 1};
	const char *why = NULL;
	j->sources = source_begin(&j->mem);
	j->diags = diags_begin(&j->mem);
	j->diags.allow = j->o->allows.v;
	j->diags.n_allow = j->o->allows.n;
	if (!grammar_read(&j->mem, &j->sources, &j->diags, &places, j->path, &j->plan, &why)) return why;
	read_sets(j);
	return NULL;
}

static void work_out(job *j) {
	resolve_options ro = {.sets = j->sets.lines.n ? &j->sets : NULL,
	                      .measures = j->o->has_measures ? &j->o->measures : NULL,
	                      .paper = j->o->has_paper ? &j->o->paper : NULL,
	                      .slug = slug_of(&j->mem, j->path)};
	bool parsed = j->diags.errors == 0;
	j->state = resolve_begin(&j->mem, &j->sources, &j->plan, &ro, &j->diags);
	j->m = resolve_model(j->state);
	/* What was not placed cannot be judged, nor what leans on it. */
	if (!parsed || !resolve_whole(j->state)) return;
	check_geometry(j->m, &j->diags);
	air_solve(j->m, &j->diags);
	resolve_requires(j->state);
}

static bool failed(const job *j) { return j->diags.errors > 0 || (j->o->strict && j->diags.warnings > 0); }

static int finish(job *j, int status) {
	arena_end(&j->mem);
	return status;
}

static int run_plan(const options *o, const char *path) {
	job j = {.o = o, .path = path};
	const char *why = read_plan(&j);
	if (why) {
		fprintf(stderr, "windchest: error: %s\n", why);
		return finish(&j, EXIT_FILES);
	}
	work_out(&j);
	resolve_waivers(j.state);
	diags_sort(&j.diags);
	for (size_t i = 0; i < j.diags.all.n; i++) {
		diag *g = j.diags.all.v[i];
		source_place p = source_find(&j.sources, g->at);
		fprintf(stderr, "%s:%u:%u: %s: %s [%s]%s\n", p.file, p.line, p.column, g->severity == DIAG_ERROR ? "error" : "warning", g->text, g->rule, g->allowed ? " (allowed)" : "");
		for (size_t k = 0; k < g->notes.n; k++) {
			p = source_find(&j.sources, g->notes.v[k].at);
			fprintf(stderr, "   %s:%u:%u: note: %s\n", p.file ? p.file : "", p.line, p.column, g->notes.v[k].text);
		}
		if (g->help) fprintf(stderr, "   help: %s\n", g->help);
	}
	if (failed(&j)) return finish(&j, EXIT_PLAN);
	return finish(&j, EXIT_GOOD);
}

int driver_run(const options *o) {
	int worst = EXIT_GOOD;
	for (size_t i = 0; i < o->plans.n; i++) {
		int status = run_plan(o, o->plans.v[i]);
		if (status > worst) worst = status;
	}
	return worst;
}
