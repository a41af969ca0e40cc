/* The drawing of one face of one part, into a rectangle of a display: outline to scale, grain, holes, grooves,
 * ordinate dimensions from the datum. The caller composes the page (title, text, table) around it.
 * Ownership: everything goes to the display's arena; the model is only read. */
#ifndef WRITE_PART_PAGE_H
#define WRITE_PART_PAGE_H
#include "runtime/draw/display.h"
#include "runtime/engine/feature.h"
#include "runtime/engine/model.h"

typedef struct part_page_drawing {
	const char *scale_name; /* "1:5"; "1:1" for the true-size drawing */
	double scale;		/* page mm per mm */
	display_box part;	/* where the part's outline lies on the page */
	size_t numbered; /* holes that carry their number; fewer than there are when numbers would not be legible */
	size_t holes;
	bool rounded; /* a figure is not the exact place */
} part_page_drawing;

/* Brief: where a table of the work and the datum's words stand beside the drawing, its own legend leaves them out. */
typedef enum part_page_words { PART_PAGE_FULL, PART_PAGE_BRIEF } part_page_words;

/* A place as it is measured in the shop: nearest 0.1 mm or 1/64 in (with "~"). Sets *rounded (unless NULL) when that is
 * not the exact value; drill.csv has that. */
const char *part_page_place(arena *mem, rat mm, measures m, bool *rounded);

/* Draws face `f` of the part (as seen from outside, datum lower left, on the blank) as large as the usual scales
 * allow, with figures of cap height `cap`, smaller where they would crowd. Positions are dimensioned once per distinct
 * column along the lower side and per distinct row along the left side, from the datum 0; overall sizes along the upper
 * and right side; grain as an arrow; edge treatment as a dashed ring and a note. A face without features gives outline
 * and sizes. */
part_page_drawing part_page_draw(display *d, display_box into, const model *m, model_ref part, face f,
				 part_page_words words, double cap);
/* What stands about the outline, mm: the outline itself gets the rest of `into`. */
typedef struct part_page_room {
	double cap; /* of the figures */
	double left, below, legend;
	double wide, high; /* in all */
} part_page_room;
part_page_room part_page_about(arena *mem, const model *m, model_ref part, face f, part_page_words words, double cap);
/* The scale of part_page_draw() in a box; drawings at one scale, width and cap are alike. 0: there is no room. */
double part_page_scale(const part_page_room *about, display_box into, const model *m, model_ref part, face f,
		       const char **name);
/* The faces worth a drawing: the work face always, then the others that have features. Returns how many. */
size_t part_page_faces(arena *mem, const model *m, model_ref part, face out[6]);
/* The same face at full size on a page of its own, made to fit: header with part, size, stock and "print at 100 %",
 * check square of 50 mm or 2 in, datum, hole numbers. NULL when the part is not made or is larger than 5 m. */
display *part_page_true_size(arena *mem, const model *m, model_ref part, face f);
#endif
