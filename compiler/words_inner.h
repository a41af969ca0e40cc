/* The rows of the vocabulary, for words.c, which holds them, and words_check.c, which reads lines by them.
 * Ownership: rows are constants. */
#ifndef COMPILER_WORDS_INNER_H
#define COMPILER_WORDS_INNER_H
#include "compiler/context.h"

/* form: how many arguments stand behind the word, then the clauses it takes, each `link:count`.
 * A count is `1`, `0-1`, `1-*`; a clause with `?` in front may be left out, with `*` it may stand
 * several times or not at all. */
typedef struct word_rule {
	const char *word;
	const char *form;
	bool many;	  /* may stand several times */
	block_kind block; /* of its own block, BLOCK_NONE when it takes none */
	const char *example;
} word_rule;

typedef struct word_block {
	const word_rule *rules;
	size_t n;
	const char *spoken; /* "a part" */
} word_block;
extern const word_block WORD_BLOCKS[BLOCK_KINDS];
#endif
