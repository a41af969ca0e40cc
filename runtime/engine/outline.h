/* Closed outlines of straight lines and arcs in a plane, in doubles (the model's are exact: model_outline).
 * Ownership: paths live in the arena they are made in; pieces are values.
 * One unit of length throughout, the millimetre where a tolerance is named. A path runs anticlockwise with x to the
 * right and y up, so that the inside lies on its left. */
#ifndef ENGINE_OUTLINE_H
#define ENGINE_OUTLINE_H
#include <stdbool.h>
#include <stddef.h>

#include "runtime/base/arena.h"
#include "runtime/engine/model.h"

typedef struct outline_point {
	double x, y;
} outline_point;

typedef struct outline_piece {
	outline_point from, to;
	int bend;	      /* 0 straight, 1 an arc that turns left, -1 one that turns right */
	outline_point centre; /* of an arc; also its radius, and … */
	double radius, start,
		sweep; /* … the angle where it begins and by how much it goes on (below 0: to the right) */
} outline_piece;
typedef LIST(outline_piece) outline_path;
typedef LIST(outline_path) outline_paths;

/* Points nearer than this are one, and pieces that come nearer to each other touch. */
#define OUTLINE_SAME_MM 1e-3

outline_piece outline_line(outline_point from, outline_point to);
/* The centre is moved onto the middle line of the two ends, so that both have the same radius. Ends that are equal make
 * a whole turn. */
outline_piece outline_arc(outline_point from, outline_point to, outline_point centre, int bend);
outline_point outline_at(const outline_piece *p, double t); /* t from 0 to 1 */
double outline_piece_length(const outline_piece *p);
outline_piece outline_piece_part(const outline_piece *p, double t0, double t1);
/* Direction at its beginning or its end, a unit vector. */
outline_point outline_direction(const outline_piece *p, bool end);

/* The outline of a shape about its middle, u to the right and v up; any kind of shape. */
outline_path outline_of_shape(arena *mem, const model_shape *s, axis u, axis v);
outline_path outline_circle(arena *mem, double cx, double cy, double radius);
outline_path outline_rect(arena *mem, double x0, double y0, double x1, double y1);
/* About the origin: half sizes hx, hy and a corner radius that fits; circles and slots are such. */
outline_path outline_rounded(arena *mem, double hx, double hy, double r);
/* Moved by (dx, dy). */
outline_path outline_moved(arena *mem, const outline_path *p, double dx, double dy);
/* Mirrored in the x axis's or y axis's direction (or both), run through the other way round where that is needed. */
outline_path outline_mirrored(arena *mem, const outline_path *p, bool x, bool y);
void outline_turn_round(outline_path *p);

/* Green's theorem over the boundary; below 0 when it runs clockwise. */
double outline_area(const outline_path *p);
double outline_length(const outline_path *p);
void outline_extent(const outline_path *p, outline_point *lo, outline_point *hi);
/* Area of what lies within x0..x1, y0..y1, in closed form: the integral of (clamp(x) - x0) dy along the boundary where
 * y0 <= y <= y1. Any simple outline, convex or not. */
double outline_area_within(const outline_path *p, double x0, double y0, double x1, double y1);
/* By the winding number; a point on the boundary is either. */
bool outline_holds(const outline_path *p, outline_point at);
/* From a point to the nearest of the boundary. */
double outline_distance(const outline_path *p, outline_point at);
/* Nearest points of two pieces; 0 where they cross or touch. `a` and `b` get those points (may be NULL). */
double outline_between(const outline_piece *p, const outline_piece *q, outline_point *a, outline_point *b);
/* Material between two outlines; 0 when they touch, cross or one lies in the other. */
double outline_gap(const outline_path *p, const outline_path *q);
/* Where two pieces meet: parameters on p and on q, at most four (two crossings, or the ends of a common stretch). */
size_t outline_meet(const outline_piece *p, const outline_piece *q, double on_p[4], double on_q[4]);

/* The parallel outline at a distance: d > 0 inwards, where the axis of a cutter of that radius runs (outer corners are
 * gone round by arcs, inside corners are cut off where the parallels meet); d < 0 outwards. Several loops where the
 * outline is too narrow, none when nothing is left. False when the pieces do not close (never seen). */
bool outline_parallel(arena *mem, const outline_path *p, double d, outline_paths *out);
/* What two outlines have in common, as loops. Their boundaries may cross, but not run along each other. */
bool outline_common(arena *mem, const outline_path *p, const outline_path *q, outline_paths *out);
/* Radius of the largest circle inside, 2e-5 mm short of it at most. */
double outline_largest_circle(arena *mem, const outline_path *p);
/* The narrowest way through the outline that a cutter has to pass: the least chord that stands square on the boundary
 * at both ends, at most the diameter of the largest circle. */
double outline_narrow(arena *mem, const outline_path *p);
/* What a cutter of this radius leaves standing in the corners: the largest distance from a corner to what is cut away,
 * and that corner (row of the piece that begins there). 0 when it reaches all of them. */
double outline_left_standing(arena *mem, const outline_path *p, double radius, size_t *corner);

/* For the engines that cut boundaries into pieces: the integral of (x - x0) dy along one, and the parameters, in order
 * and with 0 and 1, at which piece i meets the n others (`cuts` has room for 4 n + 2). */
double outline_x_dy(const outline_piece *p, double x0);
size_t outline_cuts(const outline_piece *all, size_t n, size_t i, double *cuts);

typedef struct outline_solid {
	outline_path outer;
	outline_paths holes;
} outline_solid;
/* Area of `p` less a union of solids, each an outline less its own openings (a sheet with holes, a flange with a bore),
 * in closed form: the boundary of what is left is cut into pieces at all crossings and summed by Green's theorem. */
double outline_free(arena *mem, const outline_path *p, const outline_solid *over, size_t n);
#endif
