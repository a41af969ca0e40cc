/* The two fonts that the program carries: lookup, advance widths, outlines.
 * Ownership: everything is constant data of the program; outlines are written to the caller's arena. */
#ifndef DRAW_FONT_H
#define DRAW_FONT_H
#include <stddef.h>
#include <stdint.h>

#include "runtime/draw/display.h"

/* Font units in the em, and the height of a capital, of both fonts. */
enum { FONT_UNITS = 2048, FONT_CAP_UNITS = 1456, FONT_DESCENT_UNITS = 420 };
#define FONT_EM_OVER_CAP ((double)FONT_UNITS / (double)FONT_CAP_UNITS)

typedef struct font_glyph { /* sorted by code */
	uint16_t code;
	uint16_t glyph[DISPLAY_FONT_COUNT];
	uint16_t advance[DISPLAY_FONT_COUNT]; /* font units */
} font_glyph;

extern const size_t FONT_GLYPH_COUNT;
extern const font_glyph FONT_GLYPHS[];
extern const unsigned char FONT_REGULAR_BYTES[], FONT_BOLD_BYTES[];
extern const size_t FONT_REGULAR_SIZE, FONT_BOLD_SIZE;

/* NULL when the font has no glyph for the code point. */
const font_glyph *font_find(uint32_t code);
/* The TrueType file's bytes. */
const unsigned char *font_bytes(display_font font, size_t *size);
/* Outline of a glyph in font units, y UP, as nodes (quadratic arcs raised to cubic). Returns their number,
 * 0 for a blank; *nodes lives in mem. To be filled by the non-zero rule. */
size_t font_outline(arena *mem, display_font font, unsigned glyph, display_node **nodes);
#endif
