/* Dimensions on a drawing: linear, ordinate, radius and diameter, centre marks.
 * Ownership: nothing is kept; everything is drawn into the caller's display at once, and what was drawn is
 * marked as taken there (display_take), so that later labels keep away.
 * All positions are page millimetres, y down; texts come ready made (dim_text). */
#ifndef DRAW_DIM_H
#define DRAW_DIM_H
#include <stdbool.h>
#include <stddef.h>

#include "runtime/base/quant.h"
#include "runtime/draw/display.h"

/* A length as a drawing shows it, without unit: "17.6", "4 3/16". */
const char *dim_text(arena *mem, rat mm, measures m);
/* A size of the whole, for eye and doorway: nearest mm or 1/16 in. */
const char *dim_text_overall(arena *mem, rat mm, measures m);
/* With the sign for a diameter, or R before it. */
const char *dim_text_diameter(arena *mem, rat mm, measures m);
const char *dim_text_radius(arena *mem, rat mm, measures m);

/* Between two points, measured along x (dimension line at y = at) or along y (line at x = at; text reads
 * from the right, turned 90 degrees). Extension lines run from the points, with a gap, to just over the line.
 * Arrows go outside and the text beside them when the space is too small. */
void dim_horizontal(display *d, display_point a, display_point b, double at, double cap, const char *text);
void dim_vertical(display *d, display_point a, display_point b, double at, double cap, const char *text);
/* Along the line from a to b, moved by `offset`; extension lines run in that direction (axonometric pictures). */
void dim_skew(display *d, display_point a, display_point b, display_point offset, double cap, const char *text);

/* Between the middles of neighbouring ordinates, at least. */
#define DIM_ORDINATE_GAP(cap) (1.6 * (cap))
typedef struct dim_ordinate {
	double at;    /* page coordinate along the axis */
	double reach; /* page coordinate across, where the leader ends at the feature (extension begins) */
	const char *text;
} dim_ordinate;
/* Ordinates along x (values under or over the drawing, turned 90 degrees) when `along_x`, else along y (values left or
 * right of it, level). `origin` is the datum's page coordinate along the axis: it gets a small circle and "0" on
 * the line `base`, where the leaders break; values stand beyond `base`, on the side away from the features
 * (`outward` is +1 or -1 in page coordinates). Values that are equal are drawn once; crowded ones are
 * spread, the smallest movement that gives each its room. Returns how far the values reach beyond base. */
double dim_ordinates(display *d, bool along_x, double origin, double base, int outward, dim_ordinate *v, size_t n,
		     double cap);
/* Moves n sorted positions apart so that neighbours are at least `gap` apart, by the least sum of squares. */
void dim_spread(double *at, size_t n, double gap);

/* A leader from the circle's edge at `angle` degrees, then a level shoulder with the text; finds another angle
 * when the place is taken. `within` bounds the text. Returns false when no free place was found (drawn all the same).
 */
bool dim_leader(display *d, double cx, double cy, double r, double angle, double cap, const char *text,
		display_box within);
/* Dash-dot cross that reaches `over` mm beyond the radius. */
void dim_centre_mark(display *d, double cx, double cy, double r, double over);
#endif
