/* Text: a buffer that grows in an arena, spelling distance, UTF-8 steps.
 * Ownership: a textbuf's bytes belong to the arena it was begun with. */
#ifndef BASE_TEXT_H
#define BASE_TEXT_H
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "runtime/base/arena.h"

typedef struct textbuf {
	arena *mem;
	char *v; /* NUL-ended once anything was added; "" before */
	size_t n, room;
} textbuf;

textbuf textbuf_begin(arena *mem);
void textbuf_add(textbuf *t, const char *text);
void textbuf_addn(textbuf *t, const char *bytes, size_t n);
void textbuf_char(textbuf *t, char c);
void textbuf_printf(textbuf *t, const char *format, ...) __attribute__((format(printf, 2, 3)));

/* Edits (insert, drop, replace, swap of neighbours) that turn one word into the other. */
size_t text_distance(const char *a, const char *b);
/* "1 part", "3 parts". */
const char *text_count(arena *mem, size_t n, const char *one);
/* The nearest of n words to `word`, or NULL when none is near enough to be a slip of the pen. */
const char *text_nearest(const char *word, const char *const *words, size_t n);

/* Steps over one UTF-8 character at *p (end > *p); returns the code point, or UINT32_MAX for a
 * byte that is no valid UTF-8 (and steps over that byte). */
uint32_t text_utf8_next(const char **p, const char *end);
/* Columns that n bytes of text take on a terminal: tabs to the next multiple of 8, wide and
 * combining characters by wcwidth-like ranges; `from` is the column (0-based) where it starts. */
size_t text_columns(const char *bytes, size_t n, size_t from);
/* Names two texts equal; NULL equals NULL only. */
bool text_same(const char *a, const char *b);
#endif
