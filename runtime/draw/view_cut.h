/* Faces that a plane cuts: rectangles less rectangles, hatched and outlined. Private to runtime/draw/view*.c.
 * Ownership: lists live in the caller's arena; nothing is kept. */
#ifndef DRAW_VIEW_CUT_H
#define DRAW_VIEW_CUT_H
#include "runtime/draw/view.h"

typedef struct view_cut_rect { /* in the section's plane, u and v */
	double u0, v0, u1, v1;
} view_cut_rect;

typedef struct view_cut { /* one part that the plane goes through */
	view_cut_rect box;
	LIST(view_cut_rect) voids; /* what is cut away, as far as it lies in the plane */
	int shade;		   /* which of the hatchings, 0 to 7 */
	bool hollow;		   /* an outline and a thin cross, no hatching */
	bool open;		   /* behind the plane nothing goes on: no thin lines where a void meets the rim */
} view_cut;

static inline double view_cut_u(const view_section_map *map, double u) {
	return map->x + (map->u_left ? -u : u) * map->scale;
}
static inline double view_cut_v(const view_section_map *map, double v) { return map->y - v * map->scale; }
void view_cut_draw(display *d, arena *scratch, const view_section_map *map, const view_cut *c);
#endif
