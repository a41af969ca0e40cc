/* The drawing of a part while it is made: what the files part_*.c share.
 * Ownership: all of it lives in the display's arena. */
#ifndef WRITE_PART_DRAW_H
#define WRITE_PART_DRAW_H
#include "runtime/draw/display.h"
#include "runtime/engine/feature.h"
#include "runtime/engine/model.h"
#include "runtime/write/part_page.h"

typedef struct obstacle {
	display_box box;
	bool round; /* a hole: its circle with its centre mark is in the way, not the corners about it */
} obstacle;
typedef LIST(obstacle) boxes;

typedef struct drawing {
	display *d;
	const model *m;
	const model_part *part;
	feature_sheet sheet;
	const feature_face *ff; /* NULL: nothing is worked on this face */
	frame fr;
	face f;
	display_map map;
	display_box outline; /* on the page */
	LIST(const char *) legend;
	size_t numbered, holes;
	double below; /* how far the dimensions reach below the part */
	part_page_words words;
	boxes edge_numbers; /* of the holes in the edges */
	bool rounded;
} drawing;

static inline double px(const drawing *w, double u) { return display_map_x(&w->map, u); }
static inline double py(const drawing *w, double v) { return display_map_y(&w->map, v); }

display_box part_box_on_page(const drawing *w, const feature_outline *o);
void part_add_shape(drawing *w, const feature_outline *o, double more); /* a path, `more` mm larger all round */

/* Holes in the edges, dashed as they lie in the sheet, each with its number. */
void part_edges(drawing *w);
/* Of the holes in the face; after part_edges(). */
void part_numbers(drawing *w, double cap);
#endif
