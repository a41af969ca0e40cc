#include "grammar/parse.h"

#include "grammar/plan.tab.h"
#include "grammar/tree.h"

static void parse(grammar_tree *t, const source_set *sources, uint32_t file, diags *d, bool value) {
	grammar_lexer_begin(&t->lexer, t->mem, sources, file, d, value);
	grammar_yyparse(t);
	grammar_lexer_end(&t->lexer);
	/* A block that was left open takes in what stands behind it, and the compiler would find all of that misplaced:
	 * read once more, with the block closed where the indentation says so. What is wrong besides is told once, as
	 * the same diag is not added twice.
	 * In the same way a `}` too many, or one whose `{` was forgotten, closes the block around it too early. */
	size_t repair = t->lexer.unclosed, left_out = t->lexer.closes_nothing ? t->lexer.astray : SIZE_MAX;
	if (repair == SIZE_MAX && left_out == SIZE_MAX) return;
	syn_file *out = t->file;
	*out = (syn_file){.source = file};
	*t = (grammar_tree){.mem = t->mem, .file = out};
	grammar_lexer_begin(&t->lexer, t->mem, sources, file, d, value);
	t->lexer.repair = repair;
	t->lexer.left_out = left_out;
	grammar_yyparse(t);
	grammar_lexer_end(&t->lexer);
}

size_t grammar_parse(arena *mem, const source_set *sources, uint32_t file, diags *d, syn_file *out) {
	*out = (syn_file){.source = file};
	grammar_tree t = {.mem = mem, .file = out};
	parse(&t, sources, file, d, false);
	return t.lexer.tokens;
}

/* The one value that was read, or NULL. */
static syn_expr *only_value(const syn_file *f) {
	const syn_line *line = f->lines.n == 1 ? f->lines.v[0] : NULL;
	if (!line || line->word || line->has_block || line->clauses.n != 1 || line->clauses.v[0].args.n != 1)
		return NULL;
	return line->clauses.v[0].args.v[0];
}

syn_expr *grammar_parse_inside(grammar_lexer *outer, size_t from, size_t to) {
	syn_file one = {.source = outer->file};
	grammar_tree t = {.mem = outer->mem, .file = &one};
	size_t errors = outer->diags->all.n;
	grammar_lexer_inside(&t.lexer, outer, from, to);
	grammar_yyparse(&t);
	outer->tokens += t.lexer.tokens;
	outer->faults += t.lexer.faults;
	grammar_lexer_end(&t.lexer);
	syn_expr *e = outer->diags->all.n == errors ? only_value(&one) : NULL;
	if (e) return e;
	e = ARENA_NEW(outer->mem, syn_expr);
	e->kind = SYN_BAD;
	e->at = grammar_span(outer, from, to);
	if (outer->diags->all.n == errors)
		grammar_fault(outer, "plan-text", e->at, "one value is wanted between the braces of a text");
	return e;
}

syn_expr *grammar_parse_value(arena *mem, const source_set *sources, uint32_t file, diags *d) {
	syn_file one = {.source = file};
	grammar_tree t = {.mem = mem, .file = &one};
	size_t errors = d->all.n;
	parse(&t, sources, file, d, true);
	if (d->all.n > errors) return NULL;
	syn_expr *e = only_value(&one);
	if (e) return e;
	span all = {file, 0, (uint32_t)sources->files.v[file].size};
	diag_error(d, "plan-syntax", all, "one value is wanted here");
	return NULL;
}
