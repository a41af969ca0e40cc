/* The syntax tree: what the plan's text says, before any of it has a meaning.
 * Ownership: every node and text lives in the arena it was parsed into.
 *
 * A plan is a list of lines; a line is a word, what follows it, and perhaps a block of lines:
 *
 *     panel baffle : ply18 { between left and right }
 *     ^word ^args  ^clause  ^block
 *
 * A clause is a linking word and the expressions behind it. Which words and clauses a block takes is
 * not the grammar's business but the vocabulary's (compiler/words.h). */
#ifndef COMPILER_SYNTAX_H
#define COMPILER_SYNTAX_H
#include <stdbool.h>

#include "runtime/base/arena.h"
#include "runtime/base/quant.h"
#include "runtime/base/source.h"

typedef enum syn_kind {
	SYN_QUANT,  /* 4 3/16 in */
	SYN_TEXT,   /* "words" */
	SYN_NAME,   /* left.thick, wing[2].shelf: names joined by dots, each perhaps with a number */
	SYN_CALL,   /* min(a, b): text is the function, args its arguments */
	SYN_PAIR,   /* (a, b): a point */
	SYN_NEGATE, /* -a */
	SYN_BINARY, /* a op b */
	SYN_IF,	    /* if a then b else other */
	SYN_BAD	    /* was reported; says no more */
} syn_kind;

typedef struct syn_expr syn_expr;
typedef struct syn_word {
	const char *v;
	span at;
	syn_expr *index; /* ribs[2]: what stands between the brackets; else NULL */
} syn_word;

/* A stretch of a text: words as they stand, or a value in braces. */
typedef struct syn_piece {
	const char *text; /* NULL: a value */
	syn_expr *value;
} syn_piece;

struct syn_expr {
	syn_kind kind;
	span at;
	quant value;	  /* QUANT */
	const char *text; /* TEXT: bytes between the quotes, escapes done; CALL: function */
	span text_at;	  /* CALL: the function's name */
	const char *op;	  /* BINARY: + - * / < <= = >= > != */
	span op_at;
	syn_expr *a, *b;	/* NEGATE: a; BINARY and PAIR: both; IF: condition and the value when it holds */
	syn_expr *other;	/* IF: the value when it does not hold */
	LIST(syn_word) names;	/* NAME: at least one */
	LIST(syn_expr *) args;	/* CALL */
	LIST(syn_piece) pieces; /* TEXT with values in it; `text` then holds it as written */
};

typedef struct syn_clause {
	const char
		*link; /* the linking word or sign ("at", ":", "->", "x", "+-"); NULL for what follows the word itself,
			  "" for a text that stands alone behind a clause (let's help) */
	span link_at;
	LIST(syn_expr *) args; /* may be empty ("in" with nothing was reported) */
	span at;	       /* link and args */
} syn_clause;

typedef struct syn_line syn_line;
typedef LIST(syn_line *) syn_lines;
struct syn_line {
	const char *word; /* first word; NULL when the line begins with a value (a row of a curve) */
	span word_at;
	LIST(syn_clause) clauses; /* clause 0 always exists and has link NULL; it may have no args */
	bool has_block;
	syn_lines block;
	span open_at; /* the { */
	span at;      /* word to the end of the line or to the } */
};

typedef struct syn_file {
	uint32_t source; /* index in the source set */
	syn_lines lines;
} syn_file;

/* The plan and all it uses, each file once, used files before the file that uses them; the plan
 * itself is last. `use` lines stay in the tree. */
typedef struct syn_plan {
	LIST(syn_file) files;
} syn_plan;

/* The linking words: X(word). None of them can be a name. Signs that link as well: : = -> +- */
#define SYN_LINKS(X)                                                                                                   \
	X(at) X(to) X(from) X(by) X(in) X(on) X(of) X(into) X(over) X(under) X(between) X(and) X(with) X(every)    \
	X(as) X(about) X(x) X(inset) X(after) X(before) X(because) X(for) X(than) \
	X(along) X(corner)
/* Words of a choice, `if a then b else c`: no names either. */
#define SYN_CHOICE(X) X(if, IF) X(then, THEN) X(else, ELSE)
#endif
