/* Hidden lines of axis-parallel boxes with openings, exactly: private to runtime/draw/view*.c.
 * Ownership: everything lives in the arena of the set.
 *
 * A point P of a segment is hidden when the ray from P to the viewer, P + s v (s > 0), meets a face that looks at
 * the viewer. For a face in the plane x[n] = c that is s = (c - P[n]) / v[n], and the point met, P + s v, is linear
 * along the segment, as is s itself: each face hides one interval of the segment, found by clipping against an
 * axis-parallel rectangle. Openings give back the interval where the ray passes them whole: where it meets the
 * opening in the near face and the same opening, shifted by the sheet's thickness along v, in the far one. */
#ifndef DRAW_VIEW_LINES_H
#define DRAW_VIEW_LINES_H
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "runtime/base/arena.h"
#include "runtime/engine/geom.h"

typedef struct lines_shape { /* a rectangle with round corners in a plane; circle and slot are such */
	double a, b;	     /* centre */
	double half_a, half_b, r;
	double (*corner)[2]; /* a free outline instead: its n corners from the centre, arcs cut into chords */
	size_t n;
} lines_shape;

typedef struct lines_window { /* through which a line inside a part can be seen */
	axis n, a, b;
	double c;
	lines_shape shape;
} lines_window;

typedef struct lines_light { /* an opening with daylight in a face */
	lines_shape shape;
	double shift_a, shift_b; /* of the far rim, seen in the near face's plane */
} lines_light;

typedef struct lines_face {
	unsigned part;
	axis n, a, b;
	double c;
	double lo[2], hi[2]; /* along a and b */
	LIST(lines_light) lights;
} lines_face;

#define LINES_NO_PART UINT32_MAX
typedef struct lines_segment {
	double a[3], b[3];
	unsigned part; /* its owner; LINES_NO_PART when it has none */
	int pen;       /* free for the caller */
	bool edge;     /* of a box, not of an opening */
	bool joined;   /* begins where the segment before it ended (same outline) */
	bool inside;   /* lies inside its part: seen only through the windows, and not hidden by its own part */
	size_t window, n_windows; /* rows of the set's windows */
} lines_segment;

typedef struct lines_span {
	double t0, t1;
} lines_span;
typedef LIST(lines_span) lines_spans;

typedef struct lines_grid { /* n x n cells across the view, and the faces that lie over each */
	size_t n;	    /* 0: there are no faces */
	double u[3], w[3];  /* its directions in space */
	double origin[2], pitch[2];
	size_t *first;	/* [n * n + 1] rows of `face` */
	unsigned *face; /* rows of the set's faces */
} lines_grid;

typedef struct lines_set {
	arena *mem;
	double v[3]; /* unit vector to the viewer */
	double tiny; /* mm that count as nothing */
	LIST(lines_face) faces;
	LIST(lines_segment) segments;
	LIST(lines_window) windows;
	lines_grid grid;
} lines_set;

typedef struct lines_work { /* lists used again from call to call, for one set */
	lines_spans seen;   /* the answer of lines_visible */
	lines_spans hidden, lit, windows, near, beyond;
	LIST(unsigned) faces; /* the answer of lines_faces_along */
	unsigned *mark, round;
} lines_work;
/* Files the faces, once they are all there: before anything below is asked. */
void lines_index(lines_set *l);
/* Faces that may lie over the place; how many. */
size_t lines_faces_at(const lines_set *l, const double p[3], const unsigned **faces);
/* Faces that may lie over the line, each once, into w->faces. */
void lines_faces_along(const lines_set *l, const double a[3], const double b[3], lines_work *w);
/* Spans of t in 0..1 that are seen, in order, into w->seen. */
void lines_visible(const lines_set *l, const lines_segment *s, lines_work *w);
/* Is the point seen? *through: it is, but only through an opening (may be NULL). */
bool lines_point_visible(const lines_set *l, const double p[3], bool *through);
/* Adds the intervals of t where a straight line from q0 to q1 (in the plane) runs inside the shape, in order: one at
 * most but for free outlines. A point (q0 = q1) gives 0 to 1 when it lies inside. */
void lines_in_shape(arena *mem, const lines_shape *s, const double q0[2], const double q1[2], lines_spans *out);
#endif
