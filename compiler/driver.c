#include "compiler/driver.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/ioctl.h>
#include <unistd.h>

#include "compiler/check.h"
#include "compiler/driver_rules.h"
#include "compiler/driver_shipped.h"
#include "compiler/driver_tidy.h"
#include "compiler/outputs.h"
#include "compiler/stages.h"
#include "grammar/parse.h"
#include "grammar/reader.h"
#include "runtime/base/outfile.h"
#include "runtime/base/text.h"
#include "runtime/write/diag_write.h"

typedef struct job {
	arena *mem;
	const options *o;
	const char *path;
	source_set *sources; /* shared by all plans of a run, so that one log can hold them all */
	diags diags;
	syn_plan plan;
	syn_file sets;
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

/* "dir/name.plan" to "dir/name.out". */
static const char *default_folder(arena *mem, const char *path) {
	if (text_same(path, "-")) return "plan.out";
	const char *base = strrchr(path, '/');
	return arena_printf(mem, "%.*s%s.out", base ? (int)(base + 1 - path) : 0, path, slug_of(mem, path));
}

/* NAME=VALUE to a line `let NAME = VALUE` of a file that is called "--set". */
static void read_sets(job *j) {
	textbuf t = textbuf_begin(j->mem);
	for (size_t i = 0; i < j->o->sets.n; i++) textbuf_printf(&t, "let %s\n", j->o->sets.v[i]);
	if (t.n == 0) return;
	uint32_t file = source_add(j->sources, "--set", t.v, t.n);
	grammar_parse(j->mem, j->sources, file, &j->diags, &j->sets);
}

/* Reads and parses; the reason when the plan cannot be read at all. */
static const char *read_plan(job *j) {
	const char *folders[] = {j->o->shipped};
	grammar_places places = {folders, j->o->shipped ? 1 : 0};
	const char *why = NULL;
	j->diags = diags_begin(j->mem);
	j->diags.allow = j->o->allows.v;
	j->diags.n_allow = j->o->allows.n;
	read_sets(j); /* first, so that what is wrong with them is told first */
	return grammar_read(j->mem, j->sources, &j->diags, &places, j->path, &j->plan, &why) ? NULL : why;
}

/* ---- messages ---------------------------------------------------------------------------------- */

static bool coloured(const options *o) {
	if (o->colour != COLOUR_AUTO) return o->colour == COLOUR_ALWAYS;
	const char *no = getenv("NO_COLOR"), *term = getenv("TERM");
	return isatty(STDERR_FILENO) && !(no && *no) && !(term && strcmp(term, "dumb") == 0);
}

static const char *count_words(arena *mem, const diags *d) {
	return arena_printf(mem, "%s, %s", text_count(mem, d->errors, "error"),
			    text_count(mem, d->warnings, "warning"));
}

static void say_text(const job *j) {
	textbuf t = textbuf_begin(j->mem);
	diag_text(&t, &j->diags, j->sources, coloured(j->o));
	if (j->diags.errors || j->diags.warnings)
		textbuf_printf(&t, "%s: %s\n", j->path, count_words(j->mem, &j->diags));
	fwrite(t.v, 1, t.n, stderr);
}

static bool failed(const options *o, const diags *d) { return d->errors > 0 || (o->strict && d->warnings > 0); }

/* In the one document of a run, when it has one: a line of text beside it would spoil it for its reader. */
static int file_trouble(job *j, const char *why) {
	if (j->o->diagnostics == DIAGNOSTICS_TEXT)
		fprintf(stderr, "windchest: error: %s\n", why);
	else
		LIST_PUSH(j->mem, &j->diags.failures, why);
	return EXIT_FILES;
}

/* NULL: nothing any more, the terminal is for messages. */
static void tell(const job *j, const char *what) {
	if (j->o->progress.tell) j->o->progress.tell(what);
}

/* ---- commands ----------------------------------------------------------------------------------- */

/* One line on standard output. */
static int say(job *j, const char *line) {
	const char *why = out_stream(j->mem, stdout, line, strlen(line));
	return why ? file_trouble(j, why) : EXIT_GOOD;
}

static int check(job *j) {
	const model *m = j->m;
	if (j->o->diagnostics != DIAGNOSTICS_TEXT) return EXIT_GOOD;
	return say(j, arena_printf(j->mem, "%s: good: %s, %s, %zu cuts and holes in them, %s\n", j->path,
				   text_count(j->mem, m->parts.n, "part"), text_count(j->mem, m->joints.n, "joint"),
				   m->features.n, count_words(j->mem, &j->diags)));
}

/* Of the pages' layout, a line each. The plan is good, and its book of use: so they are told, and nothing is refused.
 */
static void own_faults(job *j, const char *lines) {
	enum { MOST = 20 };
	for (size_t n = 0; *lines; n++) {
		size_t length = strcspn(lines, "\n");
		if (n < MOST) {
			const char *line = arena_printf(j->mem, "%.*s (a fault of this program, not of the plan)",
							(int)length, lines);
			if (j->o->diagnostics == DIAGNOSTICS_TEXT)
				fprintf(stderr, "windchest: warning: %s\n", line);
			else
				LIST_PUSH(j->mem, &j->diags.failures, line);
		}
		lines += length + (lines[length] == '\n');
	}
}

static int compile(job *j) {
	const char *folder = j->o->folder ? j->o->folder : default_folder(j->mem, j->path);
	size_t files = 0;
	tell(j, "writing the book and the files");
	textbuf told = textbuf_begin(j->mem);
	const char *why = outputs_write(j->m, folder, &files, &told);
	tell(j, NULL);
	own_faults(j, told.v);
	if (why) return file_trouble(j, why);
	return say(j,
		   arena_printf(j->mem, "%s: %zu files in %s, the build book is book.pdf\n", j->path, files, folder));
}

static int run_command(job *j) {
	const options *o = j->o;
	if (o->command == COMMAND_CHECK) return check(j);
	if (o->command == COMMAND_COMPILE) return compile(j);
	textbuf t = textbuf_begin(j->mem);
	outputs_table(j->m, o->command, o->format, &t);
	const char *why = out_stream(j->mem, stdout, t.v, t.n);
	return why ? file_trouble(j, why) : EXIT_GOOD;
}

static int run_tidy(job *j) {
	j->diags = diags_begin(j->mem);
	const char *why = NULL;
	int status = driver_tidy(j->mem, j->path, j->o->only_check, j->sources, &j->diags, &why);
	diags_sort(&j->diags);
	if (j->o->diagnostics == DIAGNOSTICS_TEXT) say_text(j);
	return why ? file_trouble(j, why) : status;
}

static int run_plan(job *j) {
	if (j->o->command == COMMAND_TIDY) return run_tidy(j);
	tell(j, "reading the plan");
	const char *why = read_plan(j);
	tell(j, NULL);
	if (why) return file_trouble(j, why);
	driver_shipped shipped = {.mem = j->mem, .root = j->o->shipped};
	resolve_options ro = {.sets = j->sets.lines.n ? &j->sets : NULL,
			      .shipped = driver_shipped_names,
			      .shipped_with = &shipped,
			      .measures = j->o->has_measures ? &j->o->measures : NULL,
			      .paper = j->o->has_paper ? &j->o->paper : NULL,
			      .slug = slug_of(j->mem, j->path)};
	j->m = stages_run_by(j->mem, j->sources, &j->plan, &ro, j->o->effort, j->o->progress, &j->diags);
	tell(j, NULL);
	diags_sort(&j->diags);
	if (j->o->diagnostics == DIAGNOSTICS_TEXT) say_text(j);
	return failed(j->o, &j->diags) ? EXIT_PLAN : run_command(j);
}

/* One document for all plans, so that a reader of it finds one. */
static void say_document(arena *mem, const options *o, const source_set *sources, const diags *all) {
	textbuf t = textbuf_begin(mem);
	if (o->diagnostics == DIAGNOSTICS_JSON)
		diag_json(&t, all, sources);
	else
		diag_sarif(&t, all, sources, WINDCHEST_VERSION, check_about);
	fwrite(t.v, 1, t.n, stderr);
}

/* What `rules` prints is as broad as the terminal, within reason. */
static size_t columns_of_output(void) {
	enum { USUAL = 80, LEAST = 50, MOST = 100 };
	struct winsize w;
	if (!isatty(STDOUT_FILENO) || ioctl(STDOUT_FILENO, TIOCGWINSZ, &w) != 0 || w.ws_col == 0) return USUAL;
	return w.ws_col < LEAST ? LEAST : w.ws_col > MOST ? MOST : w.ws_col;
}

static int run_rules(const options *o) {
	arena mem = {0};
	textbuf t = textbuf_begin(&mem);
	const char *wrong = driver_rules(&mem, o, columns_of_output(), &t);
	const char *why = wrong ? NULL : out_stream(&mem, stdout, t.v, t.n);
	int status = wrong ? EXIT_USAGE : why ? EXIT_FILES : EXIT_GOOD;
	if (wrong || why) fprintf(stderr, "windchest: error: %s\n", wrong ? wrong : why);
	arena_end(&mem);
	return status;
}

int driver_run(const options *o) {
	if (o->command == COMMAND_RULES) return run_rules(o);
	arena mem = {0};
	source_set sources = source_begin(&mem);
	diags all = diags_begin(&mem);
	int worst = EXIT_GOOD;
	for (size_t i = 0; i < o->plans.n; i++) {
		job j = {.mem = &mem, .o = o, .path = o->plans.v[i], .sources = &sources};
		int status = run_plan(&j);
		if (status > worst) worst = status;
		for (size_t k = 0; k < j.diags.all.n; k++) LIST_PUSH(&mem, &all.all, j.diags.all.v[k]);
		for (size_t k = 0; k < j.diags.failures.n; k++) LIST_PUSH(&mem, &all.failures, j.diags.failures.v[k]);
		all.errors += j.diags.errors;
		all.warnings += j.diags.warnings;
	}
	if (o->diagnostics != DIAGNOSTICS_TEXT) say_document(&mem, o, &sources, &all);
	arena_end(&mem);
	return worst;
}
