/* Outlines of lines and arcs on a page.
 * Ownership: nothing is kept; the path goes to the caller's display. */
#ifndef DRAW_OUTLINE_INK_H
#define DRAW_OUTLINE_INK_H
#include "runtime/draw/display.h"
#include "runtime/engine/feature.h"
#include "runtime/engine/outline.h"

/* Adds the outline to the path under construction: its origin at (x, y) of the page, its y axis upwards. */
void outline_ink(display *d, const outline_path *p, double x, double y, double scale);
/* Numbers at the corners of a free outline, from 1, as the drilling table counts them; none where it is drawn too small
 * for them. */
void outline_corners(display *d, const feature_outline *o, const display_map *map);
#endif
