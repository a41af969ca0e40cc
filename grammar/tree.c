#include "grammar/tree.h"

#include <string.h>

/* ---- lines ------------------------------------------------------------------------------------- */

static syn_clause *add_clause(grammar_tree *t, syn_line *line, const char *link, span at) {
	syn_clause *c = LIST_ADD(t->mem, &line->clauses);
	c->link = link;
	c->link_at = at;
	c->at = at;
	return c;
}

static syn_clause *last_clause(syn_line *line) { return &line->clauses.v[line->clauses.n - 1]; }

void grammar_line(grammar_tree *t, const grammar_token *word) {
	syn_line *line = ARENA_NEW(t->mem, syn_line);
	line->word_at = span_none();
	line->open_at = span_none();
	line->at = word ? word->at : span_none();
	if (word) {
		line->word = word->text;
		line->word_at = word->at;
	}
	add_clause(t, line, NULL, span_none());
	syn_line *owner = t->blocks.n ? t->blocks.v[t->blocks.n - 1].owner : NULL;
	if (owner)
		LIST_PUSH(t->mem, &owner->block, line);
	else
		LIST_PUSH(t->mem, &t->file->lines, line);
	t->line = line;
	t->comma = false;
}

void grammar_clause(grammar_tree *t, const grammar_token *link) {
	add_clause(t, t->line, link->text, link->at);
	t->line->at = span_join(t->line->at, link->at);
	t->comma = false;
}

void grammar_arg(grammar_tree *t, grammar_expr e) {
	syn_clause *c = last_clause(t->line);
	/* let tall = 1500 mm "help": the text is no part of the clause before it. */
	if (e.e->kind == SYN_TEXT && c->link && c->args.n && !t->comma) c = add_clause(t, t->line, "", span_none());
	LIST_PUSH(t->mem, &c->args, e.e);
	c->at = span_join(c->at, e.e->at);
	t->line->at = span_join(t->line->at, e.e->at);
	t->comma = false;
}

/* A fault that the lexer told of this line leaves its mark in the tree. */
static void mark(grammar_tree *t) {
	const grammar_lexer *lx = &t->lexer;
	if (t->line && lx->spoilt != SIZE_MAX && lx->spoilt >= t->line->at.start && lx->spoilt < lx->last.at.end)
		grammar_broken(t, grammar_span(lx, lx->spoilt, lx->spoilt));
}

void grammar_line_end(grammar_tree *t) {
	mark(t);
	t->line = NULL;
}

void grammar_broken(grammar_tree *t, span at) {
	if (!t->line) grammar_line(t, NULL);
	if (t->line->has_block) return; /* the line itself was good */
	syn_clause *c = last_clause(t->line);
	if (c->args.n && c->args.v[c->args.n - 1]->kind == SYN_BAD) return;
	while (at.end > at.start && strchr("\r\n", t->lexer.text[at.end - 1])) at.end--;
	syn_expr *bad = ARENA_NEW(t->mem, syn_expr);
	bad->kind = SYN_BAD;
	bad->at = at;
	LIST_PUSH(t->mem, &c->args, bad);
	c->at = span_join(c->at, at);
	t->line->at = span_join(t->line->at, at);
}

void grammar_block_open(grammar_tree *t, span at) {
	mark(t);
	if (!t->line) grammar_line(t, NULL);
	t->line->has_block = true;
	t->line->open_at = at;
	grammar_block b = {.owner = t->line};
	LIST_PUSH(t->mem, &t->blocks, b);
	t->line = NULL;
}

void grammar_block_close(grammar_tree *t, span at) {
	t->line = t->blocks.v[--t->blocks.n].owner;
	t->line->at = span_join(t->line->at, at);
}

/* ---- expressions ------------------------------------------------------------------------------- */

static syn_expr *new_expr(grammar_tree *t, syn_kind kind, span at) {
	syn_expr *e = ARENA_NEW(t->mem, syn_expr);
	e->kind = kind;
	e->at = at;
	return e;
}

static void split_names(grammar_tree *t, syn_expr *e, const char *text, uint32_t from) {
	size_t n = 1;
	for (const char *p = text; *p; p++) n += *p == '.';
	for (const char *p = text; n--;) {
		size_t k = strcspn(p, ".");
		span at = {e->at.file, from, from + (uint32_t)k};
		syn_word w = {.v = p[k] ? arena_textn(t->mem, p, k) : p, .at = at};
		LIST_PUSH(t->mem, &e->names, w);
		p += k + 1;
		from += (uint32_t)k + 1;
	}
}

grammar_expr grammar_leaf(grammar_tree *t, syn_kind kind, const grammar_token *token) {
	syn_expr *e = new_expr(t, kind, token->at);
	if (kind == SYN_QUANT) e->value = token->value;
	if (kind == SYN_TEXT) {
		e->text = token->text;
		if (strpbrk(token->text, "{}")) grammar_text(t, e);
	}
	if (kind == SYN_NAME) split_names(t, e, token->text, token->at.start);
	return (grammar_expr){e, 1};
}

grammar_expr grammar_index(grammar_tree *t, grammar_expr name, grammar_expr number, span close) {
	syn_word *w = &name.e->names.v[name.e->names.n - 1];
	if (w->index) {
		grammar_fault(&t->lexer, "plan-syntax", number.e->at, "`%s` has its number already", w->v);
		return name;
	}
	w->index = number.e;
	name.e->at = span_join(name.e->at, close);
	if (number.depth >= name.depth) name.depth = number.depth + 1;
	return name;
}

grammar_expr grammar_member(grammar_tree *t, grammar_expr name, const grammar_token *member) {
	split_names(t, name.e, member->text + 1, member->at.start + 1);
	name.e->at = span_join(name.e->at, member->at);
	return name;
}

static int deeper(int a, int b) { return (a > b ? a : b) + 1; }

/* The compiler walks trees by recursion: one that is too deep is told here, once. */
static grammar_expr limited(grammar_tree *t, syn_expr *e, int depth) {
	if (depth <= GRAMMAR_EXPR_DEPTH) return (grammar_expr){e, depth};
	diag *g = grammar_fault(&t->lexer, "plan-depth", e->at, "this expression has more than %d operations in a row",
				GRAMMAR_EXPR_DEPTH);
	diag_add_help(t->lexer.diags, g, "give a part of it a name with `let`");
	return (grammar_expr){new_expr(t, SYN_BAD, e->at), 1};
}

grammar_expr grammar_negate(grammar_tree *t, span sign, grammar_expr a) {
	syn_expr *e = new_expr(t, SYN_NEGATE, span_join(sign, a.e->at));
	e->op = "-";
	e->op_at = sign;
	e->a = a.e;
	return limited(t, e, a.depth + 1);
}

grammar_expr grammar_binary(grammar_tree *t, grammar_expr a, const grammar_token *op, grammar_expr b) {
	syn_expr *e = new_expr(t, SYN_BINARY, span_join(a.e->at, b.e->at));
	e->op = op->text;
	e->op_at = op->at;
	e->a = a.e;
	e->b = b.e;
	return limited(t, e, deeper(a.depth, b.depth));
}

grammar_expr grammar_if(grammar_tree *t, span word, grammar_expr condition, grammar_expr held, grammar_expr other) {
	syn_expr *e = new_expr(t, SYN_IF, span_join(word, other.e->at));
	e->a = condition.e;
	e->b = held.e;
	e->other = other.e;
	int deepest = condition.depth > held.depth ? condition.depth : held.depth;
	return limited(t, e, deeper(deepest, other.depth));
}

grammar_expr grammar_pair(grammar_tree *t, span open, grammar_expr a, grammar_expr b, span close) {
	syn_expr *e = new_expr(t, SYN_PAIR, span_join(open, close));
	e->a = a.e;
	e->b = b.e;
	return limited(t, e, deeper(a.depth, b.depth));
}

grammar_expr grammar_in_brackets(span open, grammar_expr a, span close) {
	a.e->at = span_join(open, close);
	return a;
}

void grammar_args_add(grammar_tree *t, grammar_args *args, grammar_expr e) {
	LIST_PUSH(t->mem, &args->v, e.e);
	if (e.depth > args->depth) args->depth = e.depth;
}

grammar_expr grammar_call(grammar_tree *t, const grammar_token *function, const grammar_args *args, span close) {
	syn_expr *e = new_expr(t, SYN_CALL, span_join(function->at, close));
	e->text = function->text;
	e->text_at = function->at;
	for (size_t i = 0; i < args->v.n; i++) LIST_PUSH(t->mem, &e->args, args->v.v[i]);
	return limited(t, e, args->depth + 1);
}
