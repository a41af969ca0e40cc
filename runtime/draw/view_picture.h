/* From a scene to lines and faces seen from one side: private to runtime/draw/view*.c.
 * Ownership: everything lives in the arena of the set. */
#ifndef DRAW_VIEW_PICTURE_H
#define DRAW_VIEW_PICTURE_H
#include "runtime/draw/view.h"
#include "runtime/draw/view_lines.h"

typedef struct view_picture {
	lines_set set;
	const view_scene *scene;
	double right[3], up[3]; /* unit vectors of the page in space */
	double scale, x, y;	/* page = (x + scale p.right, y - scale p.up) */
	bool small;		/* next thinner line group */
	bool edges_too_hidden;	/* keep edges that nothing in sight meets, to be dashed */
	const bool *no_edges;	/* [scene parts] or NULL: parts that hide but whose own edges are not drawn */
} view_picture;

/* Sets the viewer (unit vector towards him) and the page's directions; page scale and origin stay to be set. */
view_picture view_picture_begin(arena *mem, const view_scene *s, const double to_viewer[3], const double right[3],
				const double up[3]);
/* Extent of the scene on a page of scale 1 with its origin at 0. */
display_box view_picture_extent(const view_picture *p);
/* Makes the faces alone: enough to ask what is seen. */
void view_picture_faces(view_picture *p);
/* Makes faces and segments (scale must be set: round openings get corners by it). */
void view_picture_build(view_picture *p);
/* Draws what is seen; counts into *r. */
void view_picture_draw(display *d, view_picture *p, bool hidden, view_report *r);
display_point view_picture_at(const view_picture *p, const double at[3]);
/* The opening's outline on a face looking at the viewer, as a shape in that face's plane. */
lines_shape view_hole_shape(const view_hole *h, axis a, axis b);
/* Its corners in order (4 of a sharp rectangle, beginning at low a, low b; then high a, low b), close enough to a
 * curve for a page `scale`. */
size_t view_shape_outline(arena *mem, const lines_shape *s, double scale, double (**points)[2]);
/* The part's box where it stands, offset included. */
void view_part_box(const view_part *part, double lo[3], double hi[3]);
/* Their radius at a cap height, and how many there are. */
double view_balloon_radius(const view_scene *s, double cap, size_t *n);
/* Room that they take on each side of the picture where they may stand. */
#define VIEW_BALLOON_ROOM(radius) (3 * (radius) + 2.5)
/* Puts balloons round the picture box, inside `into`. Returns how many found no place. */
size_t view_balloons(display *d, display_box into, display_box picture, const view_picture *p, double cap);
#endif
