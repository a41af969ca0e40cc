/* Area of an opening left free by what lies over it: exact plane geometry in closed forms, no sampling.
 * Any one unit of length throughout (the model's is the millimetre), areas in its square.
 * Values: no ownership; openarea_free() works in the caller's arena. */
#ifndef ENGINE_OPENAREA_H
#define ENGINE_OPENAREA_H
#include <stddef.h>

#include "runtime/base/arena.h"
#include "runtime/engine/outline.h"

typedef struct openarea_rect { /* x0 <= x1, y0 <= y1; else it covers nothing */
	double x0, y0, x1, y1;
} openarea_rect;

/* Every opening but a free outline is a rectangle with rounded corners: a disc has corner = a/2 = b/2, a slot with
 * round ends corner = min(a, b)/2, a plain rectangle corner = 0. */
typedef struct openarea_shape {
	double cx, cy;		  /* centre */
	double a, b;		  /* size along x and y */
	double corner;		  /* radius, at most half of the smaller size (taken as that when larger) */
	const outline_path *free; /* a free outline about the centre instead, a x b its bounding box; NULL for others */
} openarea_shape;

openarea_shape openarea_disc(double cx, double cy, double diameter);
openarea_shape openarea_slot(double cx, double cy, double a, double b);
openarea_shape openarea_box(double cx, double cy, double a, double b, double corner);

/* The path keeps living where it is; its bounding box need not lie about (cx, cy). */
openarea_shape openarea_outline(double cx, double cy, const outline_path *p);

/* The shape's outline where it lies, and the box about it. */
outline_path openarea_path(arena *mem, const openarea_shape *s);
openarea_rect openarea_bounds(const openarea_shape *s);

double openarea_whole(const openarea_shape *s);
double openarea_perimeter(const openarea_shape *s);
/* Area of the shape within the rectangle. Relative error about 1e-14 of the shape's area. */
double openarea_within(const openarea_shape *s, openarea_rect r);
/* Area of the shape less the union of n rectangles (overlapping ones count once). Never negative. */
double openarea_free(arena *mem, const openarea_shape *s, const openarea_rect *over, size_t n);
#endif
