/* Boxes, faces and face frames in cabinet space, exact.
 * Cabinet axes: x to the right, y to the back, z up; millimetres. Values: no ownership. */
#ifndef ENGINE_GEOM_H
#define ENGINE_GEOM_H
#include <stdbool.h>

#include "runtime/base/rat.h"

typedef enum axis { AXIS_X, AXIS_Y, AXIS_Z } axis;
/* Spoken: "width" runs along x, "depth" along y, "height" along z. */
extern const char *const AXIS_SPOKEN[3];

/* face / 2 is the axis, face % 2 is 1 on the high side. */
typedef enum face { FACE_LEFT, FACE_RIGHT, FACE_FRONT, FACE_BACK, FACE_BOTTOM, FACE_TOP } face;
extern const char *const FACE_NAME[6];
static inline axis face_axis(face f) { return (axis)(f / 2); }
static inline bool face_high(face f) { return f % 2 == 1; }
static inline face face_opposite(face f) { return (face)(f ^ 1); }
static inline face face_of(axis a, bool high) { return (face)(2 * (int)a + (high ? 1 : 0)); }

typedef struct point3 {
	rat v[3];
} point3;

typedef struct box3 {
	rat lo[3], hi[3];
} box3;

static inline rat box_size(box3 b, axis a) { return rat_sub(b.hi[a], b.lo[a]); }
static inline rat box_face(box3 b, face f) { return face_high(f) ? b.hi[face_axis(f)] : b.lo[face_axis(f)]; }
bool box_overlap(box3 a, box3 b);	    /* share a volume (touching is not overlap) */
bool box_common(box3 a, box3 b, box3 *out); /* closed intersection; false when there is none */
/* Gap between two boxes along the axis that parts them most; 0 when they touch or overlap. */
rat box_distance_axis(box3 a, box3 b, axis along);

/* Two boxes touch: a's face fa lies in the plane of b's opposite face and the rectangles share an
 * area. *rect gets the shared rectangle (zero size along the axis of fa). */
bool box_touch(box3 a, box3 b, face *fa, box3 *rect);

/* The frame of one face of a box as a person looks at that face from outside: u runs to the right, v
 * up, origin at the lower left corner. Upright faces keep cabinet z up; the top face is seen with the
 * front edge below, the bottom face with the front edge above (u to the right in both). */
typedef struct frame {
	face face;
	axis u, v;	   /* cabinet axes */
	bool u_rev, v_rev; /* u or v runs against its cabinet axis */
	point3 origin;	   /* in cabinet space, on the face */
	rat width, height; /* extents along u and v */
} frame;

frame frame_of(box3 b, face f);
/* Cabinet point to face coordinates and back; `depth` counts into the material from the face. */
void frame_from_cabinet(const frame *f, point3 p, rat *u, rat *v, rat *depth);
point3 frame_to_cabinet(const frame *f, rat u, rat v, rat depth);
/* Where the origin lies, in words: "left bottom corner, seen from the front". */
const char *frame_datum_words(const frame *f);
#endif
