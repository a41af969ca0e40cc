/* Between the files that draw the section with the air's way: view_air.c and view_air_label.c. Millimetres on paper.
 * Ownership: nothing is kept. */
#ifndef DRAW_VIEW_AIR_H
#define DRAW_VIEW_AIR_H
#include "runtime/draw/view.h"

typedef struct view_air_walls { /* what the plane cuts, openings counted as closed */
	const display_box *v;
	size_t n;
} view_air_walls;

typedef struct view_air_door { /* a place where air goes from one space into another, and the way it goes there: 0, 0
				* when it goes out of the page */
	display_point at;
	double dx, dy;
	size_t from, to; /* spaces */
} view_air_door;

/* `label` per space: its lines, parted by newlines, the first one bold; or NULL. */
void view_air_labels(display *d, display_box into, display_box cabinet, const view_air_walls *walls,
		     const view_air_door *door, size_t n_doors, const char *const *label, size_t n_spaces);
#endif
