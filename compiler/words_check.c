/* Lines held against the vocabulary (words.c): known word, right clauses, a block where one belongs. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "compiler/words_inner.h"
#include "runtime/base/text.h"

bool line_is(const syn_line *line, const char *word) { return text_same(line->word, word); }

const syn_clause *line_clause(const syn_line *line, const char *link, size_t nth) {
	for (size_t i = 0; i < line->clauses.n; i++) {
		if (!text_same(line->clauses.v[i].link, link)) continue;
		if (nth-- == 0) return &line->clauses.v[i];
	}
	return NULL;
}

size_t line_args(const syn_line *line, const char *link) {
	const syn_clause *k = line_clause(line, link, 0);
	return k ? k->args.n : 0;
}

syn_expr *line_arg(const syn_line *line, const char *link, size_t i) {
	const syn_clause *k = line_clause(line, link, 0);
	return k && i < k->args.n ? k->args.v[i] : NULL;
}

const syn_line *line_in_block(const syn_line *holder, const char *word) {
	for (size_t i = 0; i < holder->block.n; i++)
		if (line_is(holder->block.v[i], word)) return holder->block.v[i];
	return NULL;
}

const syn_line *lines_find(const line_list *lines, const char *word) {
	for (size_t i = 0; i < lines->n; i++)
		if (line_is(lines->v[i], word)) return lines->v[i];
	return NULL;
}

/* ---- forms ------------------------------------------------------------------------------------ */

typedef struct form_part {
	char link[12]; /* "" for a free text */
	bool is_word;  /* the arguments behind the word itself */
	bool optional, many;
	size_t least, most;
} form_part;

/* "?from:1", "::1", "*->:1", "1-*" */
static const char *form_next(const char *form, form_part *out) {
	memset(out, 0, sizeof *out);
	while (*form == ' ') form++;
	if (!*form) return NULL;
	const char *end = strchr(form, ' ');
	if (!end) end = form + strlen(form);
	if (*form == '?' || (*form == '*' && form + 1 < end)) {
		out->optional = true;
		out->many = *form == '*';
		form++;
	}
	const char *colon = NULL;
	for (const char *p = form; p < end; p++)
		if (*p == ':') colon = p; /* the last one, so that the sign `:` can be a link */
	if (colon) {
		size_t n = (size_t)(colon - form);
		memcpy(out->link, form, n);
		form = colon + 1;
	} else {
		out->is_word = true;
	}
	out->least = (size_t)strtoul(form, NULL, 10);
	out->most = out->least;
	const char *dash = memchr(form, '-', (size_t)(end - form));
	if (dash) out->most = dash[1] == '*' ? SIZE_MAX : (size_t)strtoul(dash + 1, NULL, 10);
	return end;
}

static size_t count_links(const syn_line *line, const char *link) {
	size_t n = 0;
	for (size_t i = 0; i < line->clauses.n; i++)
		if (text_same(line->clauses.v[i].link, link)) n++;
	return n;
}

/* What was told of this line when it was read (it left a BAD value there) says more than what is missing or too
 * much because of it. */
static bool told_already(const syn_line *line) {
	for (size_t i = 0; i < line->clauses.n; i++)
		for (size_t k = 0; k < line->clauses.v[i].args.n; k++)
			if (line->clauses.v[i].args.v[k]->kind == SYN_BAD) return true;
	return false;
}

static void say_form(ctx *c, const syn_line *line, span at, const word_rule *r, const char *what) {
	if (told_already(line)) return;
	diag *g = diag_error(c->diags, "plan-form", at, "%s", what);
	diag_add_help(c->diags, g, "write it like this: %s", example_shown(c->m, r->example));
}

static const char *spoken_link(ctx *c, const char *link) {
	return link[0] ? arena_printf(c->mem, "`%s`", link) : "a text";
}

/* The first linking word or sign that the line has to have and has not: what should stand behind it is then too much
 * for what is before it. `panel` may do without its `:`, but never with a second word. */
static const char *link_lacking(ctx *c, const syn_line *line, const word_rule *r) {
	form_part f;
	for (const char *p = form_next(r->form, &f); p; p = form_next(p, &f)) {
		bool wanted = !f.optional || text_same(f.link, ":");
		if (wanted && !f.is_word && f.link[0] && !count_links(line, f.link))
			return arena_printf(c->mem, "%s", f.link);
	}
	return NULL;
}

static bool check_count(ctx *c, const syn_line *line, const word_rule *r, const syn_clause *k, const form_part *f) {
	if (k->args.n >= f->least && k->args.n <= f->most) return true;
	const char *behind =
		f->is_word ? (r->word ? arena_printf(c->mem, "`%s`", r->word) : "the line") : spoken_link(c, f->link);
	span at = k->args.n > f->most ? k->args.v[f->most]->at : f->is_word ? line->word_at : k->link_at;
	const char *lacks = k->args.n > f->most ? link_lacking(c, line, r) : NULL;
	if (lacks)
		say_form(c, line, at, r,
			 arena_printf(c->mem, "%s wants `%s` %s this",
				      r->word ? arena_printf(c->mem, "`%s`", r->word) : "a point", lacks,
				      k->args.n == f->most + 2 && expr_word(k->args.v[f->most]) ? "in place of"
												: "in front of"));
	else if (k->args.n > f->most && f->most == 0)
		say_form(c, line, at, r, arena_printf(c->mem, "nothing stands directly behind %s", behind));
	else if (k->args.n > f->most)
		say_form(c, line, at, r,
			 arena_printf(c->mem, "too much behind %s; two lines in one are parted by `;`", behind));
	else
		say_form(c, line, at, r, arena_printf(c->mem, "something is missing behind %s", behind));
	return false;
}

/* The sign that stands where another is wanted: `let tall : 240 mm`. */
static const syn_clause *sign_instead(const syn_line *line, const char *link) {
	if (!link || !strchr(":=", link[0]) || !link[0]) return NULL;
	for (size_t i = 0; i < line->clauses.n; i++) {
		const char *other = line->clauses.v[i].link;
		if (other && strchr(":=", other[0]) && other[0] && other[0] != link[0]) return &line->clauses.v[i];
	}
	return NULL;
}

static bool form_has(const word_rule *r, const char *link) {
	form_part f;
	for (const char *p = form_next(r->form, &f); p; p = form_next(p, &f))
		if (!f.is_word && text_same(f.link, link)) return true;
	return false;
}

/* The linking word that stands where another is wanted: `mirror of left at 300 mm`. */
static const syn_clause *link_instead(const syn_line *line, const word_rule *r) {
	for (size_t i = 0; i < line->clauses.n; i++)
		if (line->clauses.v[i].link && line->clauses.v[i].link[0] && !form_has(r, line->clauses.v[i].link))
			return &line->clauses.v[i];
	return NULL;
}

static bool check_form(ctx *c, const syn_line *line, const word_rule *r) {
	form_part f;
	bool used[32] = {false};
	for (const char *p = form_next(r->form, &f); p; p = form_next(p, &f)) {
		const char *link = f.is_word ? NULL : f.link;
		bool found = false;
		for (size_t i = 0; i < line->clauses.n && i < 32; i++) {
			const syn_clause *k = &line->clauses.v[i];
			if (used[i] || !text_same(k->link, link)) continue;
			used[i] = true;
			found = true;
			if (!check_count(c, line, r, k, &f)) return false;
			if (!f.many) break;
		}
		if (!found && f.is_word && f.least == 0) found = true;
		if (!found && !f.optional) {
			span at = line->word ? line->word_at : line->at;
			const syn_clause *other = sign_instead(line, f.link);
			if (!other && f.link[0] && r->word) other = link_instead(line, r);
			say_form(c, line, other ? other->link_at : at, r,
				 arena_printf(c->mem, "`%s` wants %s %s", r->word ? r->word : "a point",
					      spoken_link(c, f.link), other ? "in place of this" : "behind it"));
			return false;
		}
	}
	for (size_t i = 0; i < line->clauses.n && i < 32; i++) {
		const syn_clause *k = &line->clauses.v[i];
		if (used[i] || !k->link) continue;
		/* `a wants no b` or `a takes b only once`. */
		bool again = false;
		for (size_t j = 0; j < i; j++)
			if (text_same(line->clauses.v[j].link, k->link) && used[j]) again = true;
		say_form(c, line, k->link_at.end > k->link_at.start ? k->link_at : k->at, r,
			 arena_printf(c->mem, again ? "%s stands here once too often" : "%s does not belong here",
				      spoken_link(c, k->link)));
		return false;
	}
	if (line->clauses.n > 32 && count_links(line, "->") == 0) {
		say_form(c, line, line->word_at, r, "this line is too long to mean anything");
		return false;
	}
	return true;
}

static const word_rule *find_rule(block_kind block, const char *word) {
	for (size_t i = 0; i < WORD_BLOCKS[block].n; i++)
		if (text_same(WORD_BLOCKS[block].rules[i].word, word)) return &WORD_BLOCKS[block].rules[i];
	return NULL;
}

const char *words_other(const char *word, const char *const *known, size_t n) {
	static const char *const WORDS[][2] = {
		{"circle", "round"},	{"hole", "round"},     {"tall", "height"},    {"high", "height"},
		{"wide", "width"},	{"deep", "depth"},     {"width", "wide"},     {"height", "high"},
		{"depth", "deep"},	{"on", "against"},     {"units", "measures"}, {"board", "panel"},
		{"shelf", "panel"},	{"side", "panel"},     {"fan", "item"},	      {"filter", "item"},
		{"bar", "slat"},	{"holes", "openings"}, {"hole", "openings"},  {"joint", "join"},
		{"volume", "room"},	{"screw", "screws"},   {"hinge", "hinged"},   {"title", "plan"},
		{"thickness", "thick"}, {"weight", "mass"},    {"price", "cost"},     {"time", "hours"}};
	for (size_t i = 0; i < sizeof WORDS / sizeof *WORDS; i++)
		for (size_t k = 0; k < n && text_same(WORDS[i][0], word); k++)
			if (text_same(known[k], WORDS[i][1])) return known[k];
	return NULL;
}

void words_choice(ctx *c, diag *g, const char *word, const char *const *known, size_t n, const char *list) {
	const char *other = words_other(word, known, n);
	if (other)
		diag_add_help(c->diags, g, "did you mean `%s`?", other);
	else
		diag_add_choice(c->diags, g, word, known, n, list);
}

/* What a block would have declared is not known when its head is not: nor is what leans on it. */
static void unknown_head(ctx *c, const syn_line *line, const char *near) {
	bool air = !near || text_same(near, "air"), parts = !near || text_same(near, "cabinet");
	if (air || parts) words_excuse(c, line);
	c->air_failed = c->air_failed || air;
	c->parts_failed = c->parts_failed || parts;
}

static void unknown_word(ctx *c, block_kind block, const syn_line *line) {
	const char *spoken = WORD_BLOCKS[block].spoken;
	if (!line->word) {
		if (!told_already(line))
			diag_error(c->diags, "plan-unknown-word", line->at,
				   "a line in %s begins with a word, not with a value", spoken);
		return;
	}
	diag *g = diag_error(c->diags, "plan-unknown-word", line->word_at, "`%s` means nothing in %s", line->word,
			     spoken);
	const char *known[64];
	size_t n = 0;
	for (size_t i = 0; i < WORD_BLOCKS[block].n && n < 64; i++) known[n++] = WORD_BLOCKS[block].rules[i].word;
	if (line_clause(line, "=", 0) && line_args(line, NULL) == 0 &&
	    (block == BLOCK_FILE || block == BLOCK_LIBRARY)) {
		diag_add_help(c->diags, g, "a value gets its name by `let`: let %s = …", line->word);
		LIST_PUSH(c->mem, &c->unknown, g); /* who uses the name is noted there, and told nothing more */
		LIST_PUSH(c->mem, &c->unknown_names, line->word);
		return;
	}
	const char *near = words_other(line->word, known, n);
	if (!near) near = text_nearest(line->word, known, n);
	if (block == BLOCK_FILE && line->has_block) unknown_head(c, line, near);
	if (near) {
		diag_add_help(c->diags, g, "did you mean `%s`?  %s", near,
			      example_shown(c->m, find_rule(block, near)->example));
		return;
	}
	for (int b = 0; b < BLOCK_KINDS; b++) {
		if (b == (int)block || b == BLOCK_LIBRARY || !find_rule((block_kind)b, line->word)) continue;
		diag_add_help(c->diags, g, "`%s` stands in %s", line->word, WORD_BLOCKS[b].spoken);
		return;
	}
	textbuf t = textbuf_begin(c->mem);
	for (size_t i = 0; i < n; i++) textbuf_printf(&t, "%s%s", i ? " " : "", known[i] ? known[i] : "a value");
	diag_add_help(c->diags, g, "%s takes: %s", spoken, t.v);
}

bool words_known(block_kind block, const char *word) { return word && find_rule(block, word); }

size_t words_list(block_kind block, const char **out, size_t most) {
	size_t n = 0;
	for (size_t i = 0; i < WORD_BLOCKS[block].n && n < most; i++) out[n++] = WORD_BLOCKS[block].rules[i].word;
	return n;
}

/* The reader drops what stands behind its fault: the names are taken from the text of the line. */
static void excuse_text(ctx *c, const syn_line *line) {
	const char *p = c->sources->files.v[line->at.file].text + line->word_at.end;
	while (*p && *p != '\n' && *p != ';' && *p != '#') {
		size_t n = strspn(p, "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789_");
		if (n) LIST_PUSH(c->mem, &c->excused, arena_textn(c->mem, p, n));
		p += n ? n : 1;
	}
}

/* A line that was reported may have declared a name: who uses it is told nothing more. */
static bool excuse(ctx *c, const syn_line *line) {
	for (size_t n = 0; n < line->clauses.n; n++) {
		const syn_clause *k = &line->clauses.v[n];
		if (k->link && !text_same(k->link, "and")) continue; /* `space work and chamber` */
		for (size_t i = 0; i < k->args.n; i++)
			if (expr_word(k->args.v[i])) LIST_PUSH(c->mem, &c->excused, expr_word(k->args.v[i]));
	}
	if (line_is(line, "space") && told_already(line)) excuse_text(c, line);
	return false;
}

bool words_excuse(ctx *c, const syn_line *line) {
	for (size_t i = 0; i < line->block.n; i++) words_excuse(c, line->block.v[i]);
	return excuse(c, line);
}

/* Whether a fault of reading was told behind this line on the same line of text: the `}` of a block that was not
 * opened. */
static bool brace_told(const ctx *c, const syn_line *line) {
	const char *text = c->sources->files.v[line->at.file].text;
	for (size_t i = 0; i < c->diags->all.n; i++) {
		const diag *g = c->diags->all.v[i];
		if (!text_same(g->rule, "plan-syntax") || g->at.file != line->at.file || g->at.start < line->at.start)
			continue;
		if (!memchr(text + line->at.start, '\n', g->at.start - line->at.start)) return true;
	}
	return false;
}

bool words_check(ctx *c, block_kind block, const syn_line *line) {
	const word_rule *r = find_rule(block, line->word);
	if (!r) {
		/* Lines behind a block that was not opened stand outside of it: the missing { was told. */
		if (c->block_missing && line->word && find_rule((block_kind)c->missing, line->word))
			return excuse(c, line);
		unknown_word(c, block, line);
		return excuse(c, line);
	}
	bool wants = r->block != BLOCK_NONE;
	bool may_lack = r->block == BLOCK_JOIN || r->block == BLOCK_SIZE || r->block == BLOCK_OFFCUT;
	if (wants && !line->has_block && !may_lack) {
		if (!brace_told(c, line))
			say_form(c, line, line->word_at, r,
				 arena_printf(c->mem, "`%s` wants a block between { and }", r->word));
		c->block_missing = true;
		c->missing = (int)r->block;
		return excuse(c, line);
	}
	if (!wants && line->has_block) {
		diag *g = diag_error(c->diags, "plan-form", line->open_at, "`%s` takes no block",
				     r->word ? r->word : "a value");
		diag_add_help(c->diags, g, "write it like this: %s", example_shown(c->m, r->example));
		return excuse(c, line);
	}
	if (check_form(c, line, r)) return true;
	/* The line is of no use, but what its block says wrong is told in the same run. What the block of `stock` takes
	 * is not known from its word. */
	line_list ignored = {0};
	if (wants && line->has_block && r->block != BLOCK_ITEM && r->block != BLOCK_WHEN)
		words_check_block(c, r->block, line, &ignored);
	return excuse(c, line);
}

void words_check_block(ctx *c, block_kind block, const syn_line *holder, line_list *good) {
	for (size_t i = 0; i < holder->block.n; i++) {
		const syn_line *line = holder->block.v[i];
		if (!words_check(c, block, line)) continue;
		const word_rule *r = find_rule(block, line->word);
		const syn_line *first = r->many ? NULL : lines_find(good, line->word);
		if (first) {
			diag *g = diag_error(c->diags, "plan-twice", line->word_at, "`%s` stands twice in this block",
					     line->word);
			diag_add_note(c->diags, g, first->word_at, "first here");
			diag_add_help(c->diags, g, "keep one of them");
			continue;
		}
		LIST_PUSH(c->mem, good, line);
	}
}

void words_check_all(ctx *c, block_kind block, const syn_line *holder) {
	for (size_t i = 0; i < holder->block.n; i++) {
		const syn_line *line = holder->block.v[i];
		if (!words_check(c, block, line)) continue;
		const word_rule *r = find_rule(block, line->word);
		line_list ignored = {0};
		if (r->block == BLOCK_WHEN)
			words_check_all(c, block, line);
		else if (r->block == BLOCK_ASSEMBLY)
			words_check_all(c, r->block, line);
		else if (r->block != BLOCK_NONE && r->block != BLOCK_ITEM && r->block != BLOCK_PLACE)
			words_check_block(c, r->block, line, &ignored);
	}
}
