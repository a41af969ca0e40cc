/* One layout for a plan's text: `windchest tidy`. What is said stays as it is; blanks, line ends and columns change.
 * Ownership: the text that is given lives in the arena.
 *
 * It is made from the lexer's tokens and from the gaps between them (white space and comments), not from the tree:
 * so nothing that was written can get lost. The layout is described in docs/language.md. */
#ifndef GRAMMAR_TIDY_H
#define GRAMMAR_TIDY_H
#include <stdbool.h>
#include <stddef.h>

#include "runtime/base/arena.h"
#include "runtime/base/diag.h"
#include "runtime/base/source.h"

enum { TIDY_COLUMNS = 100, TIDY_INDENT = 4 };

/* The tidy text of a file of the set, NUL-ended, its length in *size. NULL when the file has faults: they are added
 * to the diags. The text says the same, token by token; that is tested before it is given: *trouble tells that it
 * failed, which is a fault of the program, and NULL is given. */
const char *grammar_tidy(arena *mem, const source_set *sources, uint32_t file, diags *d, size_t *size, bool *trouble);

/* ---- between the files of tidy ------------------------------------------------------------------ */

typedef struct tidy_comment {
	const char *text; /* with its #, without blanks behind; NULL: none */
	bool own;	  /* it begins its line of text */
} tidy_comment;

typedef struct tidy_piece {
	int kind; /* of plan.tab.h */
	const char *text;
	bool tight;		     /* nothing stands between it and the piece before */
	bool breaks;		     /* a long line may be broken before it */
	LIST(tidy_comment) comments; /* before it, in the middle of the plan's line */
} tidy_piece;

typedef struct tidy_entry tidy_entry;
typedef struct tidy_line {
	LIST(tidy_piece) pieces;
	bool has_block, opened;		  /* opened: its block is written over several lines of text */
	LIST(tidy_comment) before_block;  /* between the last piece and the `{` */
	tidy_comment behind_open, behind; /* behind the `{`; behind the whole line */
	LIST(tidy_entry) block;
	/* tidy.c */
	size_t pad_at[2], pad[2]; /* so many more blanks before these pieces */
} tidy_line;

/* What stands in a block: a line, or a comment on a line of its own. */
struct tidy_entry {
	bool blank; /* a blank line before it */
	tidy_line *line;
	tidy_comment comment; /* when line is NULL */
};

typedef struct tidy_text {
	LIST(tidy_entry) entries;
} tidy_text;

/* tidy_read.c: the file's lines; false when it has faults. */
bool tidy_read(arena *mem, const source_set *sources, uint32_t file, diags *d, tidy_text *out);
/* Whether two files without faults say the same, token by token, and hold the same comments. */
bool tidy_same(arena *mem, const source_set *sources, uint32_t a, uint32_t b);
#endif
