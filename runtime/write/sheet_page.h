/* Drawings of sheet and bar layouts, to scale: parts with names and sizes, grain, offcuts, numbered cuts.
 * Ownership: everything goes to the display's arena; the model is only read. */
#ifndef WRITE_SHEET_PAGE_H
#define WRITE_SHEET_PAGE_H
#include "runtime/base/outfile.h"
#include "runtime/draw/display.h"
#include "runtime/draw/sheetform.h"
#include "runtime/engine/model.h"

typedef struct sheet_page_drawing {
	const char *scale_name; /* "1:15" */
	double scale;		/* page mm per mm */
	display_box sheet;	/* where the sheet's outline lies on the page */
	double bottom;		/* y below everything drawn, the key included */
	size_t keyed;	  /* parts too small for their name: a letter, and the name in the key below the drawing */
	size_t unnamed;	  /* parts without a place even for that; 0 but for sheets of hundreds of slivers */
	size_t uncircled; /* cuts whose number found no free place (the table has it) */
} sheet_page_drawing;

/* Draws sheet `sheet` of m->layout into the box, at the top, as large as the usual scales allow. x of the sheet runs
 * to the right, y up. */
sheet_page_drawing sheet_page_draw(display *d, display_box into, const model *m, size_t sheet);
/* What that gives for a box at the corner of a page, and nothing is drawn. `known` (begun with {0}, in mem) remembers
 * what was tried: of one sheet and one width. */
typedef LIST(sheet_page_drawing) sheet_page_known;
sheet_page_drawing sheet_page_measure(arena *mem, sheet_page_known *known, double width, double height, const model *m,
				      size_t sheet);

/* The cutting sequence of a sheet as a table of a page: number, way, piece that is divided, fence. Cells live in mem.
 */
sheetform_table sheet_page_cuts(arena *mem, const model *m, size_t sheet);

/* "Sheet 1 of 2: birch plywood, 2440 mm x 1220 mm" and "trim 10 mm, kerf 3 mm, 8 saw settings, …". */
const char *sheet_page_title(arena *mem, const model *m, size_t sheet);
const char *sheet_page_facts(arena *mem, const model *m, size_t sheet);

/* ". All of this stock: …": how many sheets, bars or rolls of it, and the bound; empty when none is used. */
const char *sheet_page_count(arena *mem, const model *m, model_ref stock);

/* Draws bars from *bar on, one strip each with its title, as many as fit between y and into.y1; advances *bar. Returns
 * the y below. At least one is drawn when y is into.y0. */
double sheet_page_bars(display *d, display_box into, double y, const model *m, size_t *bar);

/* Rolls in the same way, each with the words how it is cut up; what is long and stays on the roll is broken off. */
double sheet_page_rolls(display *d, display_box into, double y, const model *m, size_t *roll);

/* Each a page of its own with title, drawing and cutting sequence, for sheet-NN.svg; bars share one, and so do rolls.
 */
display *sheet_page_alone(arena *mem, const model *m, size_t sheet);
display *sheet_page_bars_alone(arena *mem, const model *m);
display *sheet_page_rolls_alone(arena *mem, const model *m);

/* Adds sheet-01.svg, … and, when there are bars, bars.svg, when there are rolls, rolls.svg. NULL, or the reason. */
const char *sheet_page_write(outset *o, const model *m);
#endif
