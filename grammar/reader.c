#include "grammar/reader.h"

#include <string.h>

#include "grammar/files.h"
#include "grammar/lexer.h"
#include "grammar/parse.h"
#include "runtime/base/text.h"

/* A file that was read, or is being read. */
typedef struct known {
	dev_t device;
	ino_t node;
	const char *root, *relative; /* where it was found; no root: nowhere, its text was in memory */
	const char *shown;
	bool open;    /* its uses are being followed */
	span used_at; /* the text of the use that led to it */
} known;

typedef struct reader {
	arena *mem;
	source_set *sources;
	diags *diags;
	const grammar_places *places;
	syn_plan *out;
	LIST(known *) files; /* open ones lie in the order of their chain */
	int depth;
	size_t tokens; /* of all files together */
} reader;

static void follow(reader *r, known *k, const grammar_bytes *bytes);

static void report_circle(reader *r, const known *again, span at) {
	diag *g = diag_error(r->diags, "plan-use", at, "the files use each other in a circle");
	bool inside = false;
	for (size_t i = 0; i < r->files.n; i++) {
		const known *k = r->files.v[i];
		if (k->open && inside) diag_add_note(r->diags, g, k->used_at, "`%s` is used here", k->shown);
		if (k == again) inside = true;
	}
	diag_add_note(r->diags, g, at, "and this leads back to `%s`", again->shown);
	diag_add_help(r->diags, g, "put what both need into a file of its own");
}

static const char *with_ending(arena *mem, const char *path) {
	size_t n = strlen(path);
	return n > 5 && strcmp(path + n - 5, ".plan") == 0 ? path : arena_printf(mem, "%s.plan", path);
}

/* The written path with its last name replaced by the near one; NULL when none is near. */
static const char *near(reader *r, const char *root, const char *relative, const char *written) {
	size_t n;
	const char **names = relative ? grammar_plans_beside(r->mem, root, relative, &n) : NULL;
	const char *slash = strrchr(written, '/'), *last = slash ? slash + 1 : written;
	size_t k = strlen(last);
	if (k > 5 && strcmp(last + k - 5, ".plan") == 0) k -= 5;
	const char *name = names ? text_nearest(arena_textn(r->mem, last, k), names, n) : NULL;
	return name ? arena_printf(r->mem, "%.*s%s", (int)(last - written), written, name) : NULL;
}

static void report_missing(reader *r, const known *from, const char *written, span at) {
	const char *path = with_ending(r->mem, written);
	diag *g = diag_error(r->diags, "plan-use", at, "there is no plan file `%s`", path);
	diag_add_note(r->diags, g, span_none(), "it was looked for beside this file, then in the shipped library");
	const char *name = NULL;
	if (from->root) name = near(r, from->root, grammar_path(r->mem, from->relative, path), written);
	for (size_t i = 0; !name && r->places && i < r->places->n; i++)
		name = near(r, r->places->folders[i], grammar_path(r->mem, "", path), written);
	if (name) diag_add_help(r->diags, g, "did you mean `%s`?", name);
}

/* Beside the using file, then in each shipped folder. */
static grammar_bytes find(reader *r, const known *from, const char *path, known *found) {
	const char *relative = grammar_path(r->mem, from->relative, path);
	found->root = from->root;
	found->relative = relative;
	grammar_bytes b = {.missing = true};
	if (from->root) b = grammar_read_below(r->mem, from->root, relative);
	for (size_t i = 0; !b.text && b.missing && r->places && i < r->places->n; i++) {
		relative = grammar_path(r->mem, "", path);
		if (!relative) break;
		found->root = r->places->folders[i];
		found->relative = relative;
		b = grammar_read_below(r->mem, found->root, relative);
	}
	return b;
}

static const char *shown(arena *mem, const char *root, const char *relative) {
	if (!*root || strcmp(root, ".") == 0) return relative;
	return arena_printf(mem, "%s%s%s", root, root[strlen(root) - 1] == '/' ? "" : "/", relative);
}

static void use(reader *r, const known *from, const syn_expr *text) {
	span at = text->at;
	const char *path = with_ending(r->mem, text->text);
	if (!*text->text) {
		diag_error(r->diags, "plan-use", at, "no file is named here");
		return;
	}
	if (!grammar_path(r->mem, from->relative, path)) {
		diag *g = diag_error(r->diags, "plan-use", at, "`%s` leads out of the plan's folder", text->text);
		diag_add_help(r->diags, g, "name a file beside the plan, below it, or in the shipped library");
		return;
	}
	known found = {.used_at = at, .open = true};
	grammar_bytes b = find(r, from, path, &found);
	if (!b.text && b.missing) {
		report_missing(r, from, text->text, at);
		return;
	}
	if (!b.text) {
		diag_error(r->diags, "plan-use", at, "cannot use `%s`: %s", path, b.why);
		return;
	}
	for (size_t i = 0; i < r->files.n; i++) {
		const known *k = r->files.v[i];
		if (k->device != b.device || k->node != b.node) continue;
		if (k->open) report_circle(r, k, at);
		return;
	}
	if (r->depth == GRAMMAR_USE_DEPTH) {
		diag_error(r->diags, "plan-use", at, "files use each other more than %d deep", GRAMMAR_USE_DEPTH);
		return;
	}
	if (r->tokens >= GRAMMAR_MOST_TOKENS) {
		diag_error(r->diags, "plan-size", at, "a plan and what it uses have at most %d words, values and signs",
			   GRAMMAR_MOST_TOKENS);
		return;
	}
	found.device = b.device;
	found.node = b.node;
	found.shown = shown(r->mem, found.root, found.relative);
	follow(r, arena_copy(r->mem, &found, sizeof found), &b);
}

/* Parses, follows the uses, then adds the file behind them. */
static void follow(reader *r, known *k, const grammar_bytes *bytes) {
	LIST_PUSH(r->mem, &r->files, k);
	uint32_t source = source_add(r->sources, k->shown, bytes->text, bytes->size);
	syn_file file;
	r->tokens += grammar_parse(r->mem, r->sources, source, r->diags, &file);
	r->depth++;
	for (size_t i = 0; i < file.lines.n; i++) {
		const syn_line *line = file.lines.v[i];
		if (!text_same(line->word, "use") || !line->clauses.v[0].args.n) continue;
		const syn_expr *text = line->clauses.v[0].args.v[0];
		if (text->kind == SYN_TEXT) use(r, k, text);
		if (text->kind == SYN_TEXT || text->kind == SYN_BAD) continue;
		diag *g = diag_error(r->diags, "plan-value", text->at, "a text belongs here");
		diag_add_help(r->diags, g, "put the file's name between double quotes");
	}
	r->depth--;
	k->open = false;
	LIST_PUSH(r->mem, &r->out->files, file);
}

bool grammar_read(arena *mem, source_set *sources, diags *d, const grammar_places *places, const char *path,
		  syn_plan *out, const char **io_error) {
	*out = (syn_plan){0};
	*io_error = NULL;
	bool standard = strcmp(path, "-") == 0;
	grammar_bytes b = grammar_read_main(mem, path);
	if (!b.text) {
		*io_error = arena_printf(mem, "cannot read %s: %s", standard ? "standard input" : path, b.why);
		return false;
	}
	reader r = {.mem = mem, .sources = sources, .diags = d, .places = places, .out = out};
	const char *slash = strrchr(path, '/');
	known *k = ARENA_NEW(mem, known);
	k->device = b.device;
	k->node = b.node;
	k->root = !slash ? "." : slash == path ? "/" : arena_textn(mem, path, (size_t)(slash - path));
	k->relative = standard ? "" : slash ? slash + 1 : path;
	k->shown = standard ? "<standard input>" : path;
	k->open = true;
	k->used_at = span_none();
	follow(&r, k, &b);
	return true;
}

void grammar_read_text(arena *mem, source_set *sources, diags *d, const grammar_places *places, const char *name,
		       const char *text, syn_plan *out) {
	*out = (syn_plan){0};
	reader r = {.mem = mem, .sources = sources, .diags = d, .places = places, .out = out};
	known *k = ARENA_NEW(mem, known);
	*k = (known){.relative = "", .shown = name, .open = true, .used_at = span_none()};
	grammar_bytes b = {.text = text, .size = strlen(text)};
	follow(&r, k, &b);
}
