/* Builds the syntax tree while the parser runs, and says what was wrong where the parser stopped.
 * Ownership: nodes live in the parse's arena. Lines are added to the tree when their first word is read, so that
 * a fault behind it loses nothing but the rest of the line. */
#ifndef GRAMMAR_TREE_H
#define GRAMMAR_TREE_H
#include "compiler/syntax.h"
#include "grammar/lexer.h"

/* An expression and how deep it is; compilers recurse over it. */
typedef struct grammar_expr {
	syn_expr *e;
	int depth;
} grammar_expr;

typedef struct grammar_args {
	LIST(syn_expr *) v;
	int depth;
} grammar_args;

typedef struct grammar_block {
	syn_line *owner; /* the line before the `{`; NULL for the file */
} grammar_block;

typedef struct grammar_tree {
	arena *mem;
	grammar_lexer lexer;
	syn_file *file;
	syn_line *line; /* the one being read; NULL at its beginning */
	bool comma;	/* the next value stands behind a comma */
	LIST(grammar_block) blocks;
} grammar_tree;

void grammar_line(grammar_tree *t, const grammar_token *word); /* NULL: begins with a value */
void grammar_clause(grammar_tree *t, const grammar_token *link);
void grammar_arg(grammar_tree *t, grammar_expr e);
void grammar_line_end(grammar_tree *t);
void grammar_block_open(grammar_tree *t, span at);
void grammar_block_close(grammar_tree *t, span at);
void grammar_broken(grammar_tree *t, span at); /* the line was reported: says so to the compiler by a BAD value */

grammar_expr grammar_leaf(grammar_tree *t, syn_kind kind, const grammar_token *token);
grammar_expr grammar_index(grammar_tree *t, grammar_expr name, grammar_expr number, span close);
grammar_expr grammar_member(grammar_tree *t, grammar_expr name, const grammar_token *member);
grammar_expr grammar_negate(grammar_tree *t, span sign, grammar_expr a);
grammar_expr grammar_binary(grammar_tree *t, grammar_expr a, const grammar_token *op, grammar_expr b);
grammar_expr grammar_if(grammar_tree *t, span word, grammar_expr condition, grammar_expr held, grammar_expr other);
grammar_expr grammar_pair(grammar_tree *t, span open, grammar_expr a, grammar_expr b, span close);
grammar_expr grammar_in_brackets(span open, grammar_expr a, span close);
grammar_expr grammar_call(grammar_tree *t, const grammar_token *function, const grammar_args *args, span close);
void grammar_args_add(grammar_tree *t, grammar_args *args, grammar_expr e);

/* text.c. A text whose bytes hold braces: its pieces, the values parsed in their places. */
void grammar_text(grammar_tree *t, syn_expr *e);
/* parse.c. The bytes from `from` to `to` of what `outer` reads, as one value; BAD when it was reported. */
syn_expr *grammar_parse_inside(grammar_lexer *outer, size_t from, size_t to);

/* fault.c. The token lexer.last cannot stand behind lexer.before. `expected`: spoken names of what could. */
void grammar_unexpected(grammar_tree *t, const char *const *expected, size_t n);
void grammar_parser_failed(grammar_tree *t, const char *message);
#endif
