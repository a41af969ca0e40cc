/* Plan files in memory, and places in them.
 * Ownership: names and text live in the arena the set was begun with. A span is two byte offsets
 * in one file; line and column are worked out only when a message is printed. */
#ifndef BASE_SOURCE_H
#define BASE_SOURCE_H
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "runtime/base/arena.h"

typedef struct span {
	uint32_t file;	     /* index into the set, or SPAN_NO_FILE */
	uint32_t start, end; /* byte offsets, end behind the last byte */
} span;

#define SPAN_NO_FILE UINT32_MAX
static inline span span_none(void) { return (span){SPAN_NO_FILE, 0, 0}; }
static inline bool span_known(span s) { return s.file != SPAN_NO_FILE; }
static inline bool span_same(span a, span b) { return a.file == b.file && a.start == b.start && a.end == b.end; }
/* From the beginning of a to the end of b (same file). */
static inline span span_join(span a, span b) {
	if (!span_known(a)) return b;
	if (!span_known(b) || a.file != b.file) return a;
	return (span){a.file, a.start < b.start ? a.start : b.start, a.end > b.end ? a.end : b.end};
}

typedef struct source_file {
	const char *name; /* as it is shown in messages */
	const char *text; /* NUL-ended; may hold NULs before that only when the reader refused them */
	size_t size;
} source_file;

typedef struct source_set {
	arena *mem;
	LIST(source_file) files;
} source_set;

typedef struct source_place {
	const char *file;
	uint32_t line, column;	      /* from 1; column counts characters (code points) */
	const char *line_text;	      /* not NUL-ended */
	size_t line_size;	      /* bytes without the line's end */
	size_t first_byte, last_byte; /* the span within that line, last behind the end */
	size_t first_char, last_char; /* the same, counted in characters (code points) */
} source_place;

source_set source_begin(arena *mem);
/* Adds a file whose bytes the set keeps (not copied); gives its index. */
uint32_t source_add(source_set *s, const char *name, const char *text, size_t size);
/* Where the span begins. A span without a file gives line 0 and file NULL. */
source_place source_find(const source_set *s, span at);
#endif
