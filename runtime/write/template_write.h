/* Router templates: table, and drawings at full size.
 * Ownership: everything lives in the arena given; the model is only read. */
#ifndef WRITE_TEMPLATE_WRITE_H
#define WRITE_TEMPLATE_WRITE_H
#include "runtime/base/outfile.h"
#include "runtime/draw/display.h"
#include "runtime/engine/model.h"
#include "runtime/write/table.h"

/* A length of a template, to be made to tenths: an inch length that is no 64th stands as a decimal. */
const char *template_length(arena *mem, const model *m, rat mm);
/* A place on a template or a sheet: in millimetres to a tenth. */
const char *template_place(arena *mem, const model *m, rat mm);
/* "vents in baffle, carrier; east.vents in east.fore": the openings that it is for. */
const char *template_serves_words(arena *mem, const model *m, const model_template *t);
/* The most that any of its sheets takes. */
uint32_t template_passes(const model_template *t);
/* "77.3 - 30 + 12.7 = 60 mm": the test cut from bush and cutter; of what is not round both ways. */
const char *template_sum_words(arena *mem, const model *m, const model_template *t);
/* "8.5 to 8.8 mm": (bush - cutter) / 2 that leaves the hole within its limits. */
const char *template_offsets_words(arena *mem, const model *m, const model_template *t);
typedef LIST(const char *) template_cells;
/* Four texts a row, one row or more for each sheet: sheet, block from its left edge, from its lower edge, and how these
 * differ from the first sheet's. */
void template_set_cells(arena *mem, const model *m, const model_template *t, template_cells *out);
/* What the fixing holes meet on a sheet, and where. */
const char *template_held_words(arena *mem, const model *m, const model_template *t, size_t use);
/* One row per template: name, opening wanted, cutter, bush, offset, opening in the template, passes, test cut. */
table *template_table(arena *mem, const model *m);
/* The template's opening (thick) round the finished one (dashed) with centre lines right across, which way to move
 * the router, how far its base runs, the fixing holes with their places, what to set it by, and a check bar. NULL when
 * it is larger than 5 m. */
display *template_drawing(arena *mem, const model *m, model_ref row);
typedef struct template_must {	    /* what sheets of paper have to show of a template, on its own display */
	LIST(display_point) points; /* of the opening's edge */
	LIST(display_box) boxes;    /* fixing holes with their words */
	display_point middle;	    /* where the centre lines cross */
} template_must;
/* The same without words, dimensions and the base: what is cut and drilled, and the centre lines. NULL as above. */
display *template_plate(arena *mem, const model *m, model_ref row, template_must *must);
/* All that is said of a template, from y downwards; with a check bar where it is drawn below. The y below. */
double template_text(display *d, const model *m, model_ref row, double x, double y, double room, bool drawn);
typedef LIST(display *) template_sheets;
/* What is said of all of them, then each on as few sheets of the plan's paper as show its opening and its fixing holes.
 * Neighbours overlap by 10 mm and have lines and crosses to lay one on the other; each has a check bar. One that would
 * take more than 400 sheets is left out. */
void template_tiles(arena *mem, const model *m, template_sheets *out);
/* Adds template-NAME.svg for each, and all of them on sheets as templates.pdf. NULL, or why one could not be written.
 */
const char *template_write(outset *o, const model *m, textbuf *told);
#endif
