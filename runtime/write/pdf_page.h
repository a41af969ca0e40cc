/* Content stream of one PDF page, as text; knows nothing of the PDF library.
 * Ownership: bytes go to the caller's buffer. */
#ifndef WRITE_PDF_PAGE_H
#define WRITE_PDF_PAGE_H
#include "runtime/base/text.h"
#include "runtime/draw/display.h"

#define PDF_POINTS_PER_MM (72 / 25.4)

/* Appends the operators that draw `d` (page height d->h). font_name: resource names of the two fonts. */
void pdf_page_content(textbuf *out, const display *d, const char *const font_name[DISPLAY_FONT_COUNT]);
/* Appends a number with at most 3 decimals, as PDF wants it (never an exponent). */
void pdf_number(textbuf *out, double v);
#endif
