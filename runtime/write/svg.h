/* SVG, from a display list.
 * Ownership: the text goes to the caller's buffer; the display is only read. */
#ifndef WRITE_SVG_H
#define WRITE_SVG_H
#include "runtime/base/text.h"
#include "runtime/draw/display.h"

/* Writes a whole SVG 1.1 document: width and height in mm with an equal viewBox, so one user unit is one
 * millimetre. Text stands as <text> with its measured length (textLength), so that another font cannot overflow;
 * as outlines when `outlines` or when the display is at true size. Links and bookmarks are left out.
 * Returns NULL, or the reason why nothing was written: the display has bad items. */
const char *svg_write(textbuf *out, const display *d, bool outlines);
#endif
