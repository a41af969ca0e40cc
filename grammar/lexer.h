/* From bytes to the parser's tokens: what flex sees (raw tokens) is put together into quantities,
 * words are told from names, line ends that end nothing are dropped, and braces always come balanced.
 * Ownership: a lexer borrows the source's bytes; texts of tokens live in its arena; grammar_lexer_end()
 * frees only flex's own buffers. */
#ifndef GRAMMAR_LEXER_H
#define GRAMMAR_LEXER_H
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "runtime/base/arena.h"
#include "runtime/base/diag.h"
#include "runtime/base/quant.h"
#include "runtime/base/source.h"

/* After so many faults the rest of a file is left alone: it is probably no plan at all. */
/* A plan and all that it uses have so many words, values and signs at most; the example plans have some two thousand.
 * What the compiler does with a plan may take time with the square of it. */
enum { GRAMMAR_MOST_TOKENS = 1000000 };
enum { GRAMMAR_MOST_FAULTS = 100, GRAMMAR_BLOCK_DEPTH = 64, GRAMMAR_BRACKET_DEPTH = 100, GRAMMAR_EXPR_DEPTH = 500 };

/* What flex gives. Kinds up to RAW_BAD carry nothing but their place. */
typedef enum raw_kind {
	RAW_END,
	RAW_NEWLINE,
	RAW_INT,      /* 12 */
	RAW_DECIMAL,  /* 1.5 */
	RAW_FRACTION, /* 3/16 */
	RAW_MIXED,    /* the 3/16 of 4 3/16 */
	RAW_UNIT,     /* a known unit behind a number */
	RAW_BAD_UNIT, /* an unknown one, reported */
	RAW_WORD,     /* a word or words joined by dots */
	RAW_MEMBER,   /* the .top of ribs[2].top */
	RAW_TEXT,     /* "…", with its quotes */
	RAW_BAD_TEXT, /* reported: not closed, or between the wrong quotes */
	RAW_BAD,      /* reported: stands for a value nobody knows */
	RAW_SIGN,     /* all others: grammar_raw.sign says which */
} raw_kind;

typedef struct grammar_raw {
	raw_kind kind;
	const char *sign; /* SIGN: "->", "(" … */
	span at;
} grammar_raw;

/* A token as the parser takes it. */
typedef struct grammar_token {
	int kind; /* of plan.tab.h */
	span at;
	const char *text; /* word, function, link, operator; TEXT: escapes done; NAME: the bytes, dots included */
	quant value;	  /* QUANT */
} grammar_token;

typedef struct grammar_open {
	span at;
	size_t indent;	  /* columns before the first token of the line it stands in */
	const char *word; /* that line's word, or NULL */
	bool call;	  /* brackets: of a function */
	bool square;	  /* brackets: [ ] */
	bool then;	  /* choices: its `then` was read */
} grammar_open;

typedef struct grammar_lexer {
	arena *mem;
	diags *diags;
	uint32_t file;
	const char *text; /* what flex reads: bad bytes replaced, same length as the source */
	size_t size;
	/* flex */
	void *flex;
	size_t start, offset; /* of the raw token just read */
	raw_kind number;      /* kind of the number before a unit */
	size_t brackets_raw;  /* open, as far as flex has read */
	grammar_raw ahead[8];
	size_t n_ahead;
	/* tokens */
	grammar_token before, last; /* the last two given out */
	bool line_start;	    /* the next token begins a line */
	bool arrows;		    /* there was an arrow in the line */
	bool compares;		    /* the line is a `require`: its = compares */
	bool fresh;		    /* no token since the text's line began at `bol` */
	bool clear;		    /* a line ended: its open brackets are forgotten with the next token */
	bool inside;		    /* a value within a text is read */
	bool stopped;		    /* too many faults */
	size_t minuses;		    /* in a row */
	size_t bol, indent;	    /* the text's line that is read: its first byte, columns before its first token */
	size_t line_from;	    /* where the plan's line may begin: behind the last line end or brace */
	size_t told;		    /* the last fault after which the parser cannot follow, SIZE_MAX before */
	size_t spoilt;		    /* the first fault in this line, SIZE_MAX before: see grammar_fault() */
	const char *line_word;
	size_t line_indent;
	size_t faults;
	size_t tokens; /* given out so far */
	LIST(grammar_open) braces;
	LIST(grammar_open) brackets;
	LIST(grammar_open) choices; /* `if` whose `else` has not come yet */
	size_t unclosed;	    /* where the `{` stands that was reported as not closed; SIZE_MAX: none */
	size_t repair;	 /* the same of an earlier reading: closed before a line that stands no further right */
	bool owes_end;	 /* a `}` was put in: the end of its line is next */
	size_t astray;	 /* the first `}` in the middle of a text's line whose `{` stands on another; SIZE_MAX: none */
	size_t left_out; /* the same of an earlier reading: closes nothing */
	bool closes_nothing;  /* a later `}` did because of it */
	grammar_open suspect; /* first `{` whose `}` stands under another line's beginning */
	span suspect_close;
} grammar_lexer;

/* Begins with the file's first byte. `value`: the text is one expression, not lines. */
void grammar_lexer_begin(grammar_lexer *lx, arena *mem, const source_set *sources, uint32_t file, diags *d, bool value);
/* Reads only the bytes from `from` to `to` of what `outer` reads, as one value. */
void grammar_lexer_inside(grammar_lexer *lx, const grammar_lexer *outer, size_t from, size_t to);
grammar_token grammar_lexer_next(grammar_lexer *lx);
void grammar_lexer_end(grammar_lexer *lx);

/* ---- between the lexer's own files ---------------------------------------------------------- */

/* plan.l */
void grammar_flex_begin(grammar_lexer *lx); /* from lx->offset to lx->size */
grammar_raw grammar_flex_next(grammar_lexer *lx);
void grammar_flex_end(grammar_lexer *lx);

/* A fault's diag, counted; NULL never. The tree gets a BAD value in that line, so that the compiler does not tell
 * once more what follows from it. */
diag *grammar_fault(grammar_lexer *lx, const char *rule, span at, const char *format, ...)
	__attribute__((format(printf, 4, 5)));
span grammar_span(const grammar_lexer *lx, size_t start, size_t end);
const char *grammar_copy(const grammar_lexer *lx, span at); /* the bytes of a span, NUL-ended */
grammar_raw *grammar_ahead(grammar_lexer *lx, size_t i);    /* the i-th raw token to come, i < 8 */
void grammar_drop(grammar_lexer *lx, size_t n);		    /* drops so many of them */
bool grammar_is_link(const char *word, size_t n);
const char *grammar_link(const char *word, size_t n); /* the link's own constant text, or NULL */
int grammar_choice(const char *word, size_t n);	      /* TOK_IF, TOK_THEN, TOK_ELSE, or 0 */

/* number.c */
/* A word behind a number: how many of its bytes are the unit (with kind UNIT, BAD_UNIT or, for the x of
 * 12x14, SIGN); 0 when it is no unit at all but the next word. */
size_t grammar_unit(grammar_lexer *lx, const char *word, size_t n, raw_kind *kind);
/* A quantity whose first raw token is `first` (already taken). `minus`: a minus stands before it.
 * False when it was reported as wrong. */
bool grammar_quantity(grammar_lexer *lx, grammar_raw first, quant *value, span *at);
/* Whether the number that comes next (raw token 0) is a temperature such as 5 degC. */
bool grammar_temperature_ahead(grammar_lexer *lx);
quant grammar_negative_temperature(const grammar_lexer *lx, quant value, span at);

/* character.c */
/* Reports bytes that no plan may hold. The text to read instead: the same, or a copy with those bytes
 * replaced by a byte that grammar_strange() passes over. NULL when the file is no text at all. */
const char *grammar_characters(grammar_lexer *lx, const char *text, size_t size);
/* A run of bytes some of which are above 127, outside of text and comment. Reports; gives how many of them
 * the raw token takes, its kind (NEWLINE means: nothing, go on) and sign. */
size_t grammar_foreign(grammar_lexer *lx, const char *run, size_t n, raw_kind *kind, const char **sign);
/* A text between printed quotes: reports, gives its bytes (the quote alone when nothing closes it). */
size_t grammar_printed_text(grammar_lexer *lx, const char *text, size_t n);
/* A sign of ASCII that means nothing here. */
void grammar_strange(grammar_lexer *lx, char c);
#endif
