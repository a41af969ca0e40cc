/* Page furniture: frames, title block, heads and feet, tables, cautions, curve plots.
 * Ownership: nothing is kept; everything is drawn into the caller's display at once.
 * A page of text:	display *d = sheetform_page(mem, paper);
 *			display_box area = sheetform_text_page(d, &head);     where the text may stand
 * A page with a drawing:	display_box area = sheetform_drawing(d, &block);      where the drawing may stand
 * Blocks that run down a page give the y below what they drew and report what did not fit. */
#ifndef DRAW_SHEETFORM_H
#define DRAW_SHEETFORM_H
#include <stdbool.h>
#include <stddef.h>

#include "runtime/draw/display.h"
#include "runtime/engine/model.h"

/* Margins: 20 mm left for filing, 10 mm elsewhere (ISO 5457). */
enum { SHEETFORM_LEFT = 20, SHEETFORM_EDGE = 10 };

/* An empty page of the paper, upright; the other way round for wide drawings. */
display *sheetform_page(arena *mem, paper size, bool wide);
/* All inside the margins. */
display_box sheetform_area(const display *d);

/* Head and foot of a text page: thin rules, small letters. Any field may be NULL. */
typedef struct sheetform_head {
	const char *book, *edition; /* left in the head: plan's title; right: edition */
	const char *chapter;	    /* left in the foot */
	const char *page;	    /* right in the foot: "12 of 40" */
} sheetform_head;
display_box sheetform_text_page(display *d, const sheetform_head *head);

/* Title block at the foot of a drawing, with the data fields of ISO 7200. NULL fields are left out. */
typedef struct sheetform_block {
	const char *owner;	      /* legal owner or "plan by", as the plan gives it */
	const char *book;	      /* title of the plan */
	const char *title;	      /* of this drawing, e.g. the part's name */
	const char *subtitle;	      /* e.g. "panel, 2 pieces" */
	const char *number;	      /* identification of the sheet, e.g. "P-03" */
	const char *edition, *issued; /* and its date */
	const char *drawn, *approved; /* persons; without both their row is left out */
	const char *kind;	      /* document type: "Part drawing", "Drilling template" */
	const char *material, *size;  /* of the part */
	const char *scale;	      /* "1:10" */
	const char *measures;	      /* "Millimetres" */
	const char *sheet;	      /* "3 of 21" */
	const char *remark;	      /* one line across, e.g. tolerances; or NULL */
} sheetform_block;
display_box sheetform_drawing(display *d, const sheetform_block *block);
double sheetform_block_height(const sheetform_block *block); /* with the frame's clearance above it */
enum { SHEETFORM_BLOCK_W = 180 };

/* Check bar for pages at full size: 50 mm or 2 in long, upper left end at (x, y), with its sentence.
 * Takes 74 x 9 mm. Both measures are exact. */
void sheetform_check_bar(display *d, double x, double y, measures m);

/* Heading, wrapped to the width, with the space above and below it that its size wants; returns the y below. */
double sheetform_heading(display *d, double x, double y, double width, double cap, const char *text);
/* "• text" with a hanging indent, or "n." when number > 0; returns the y below. */
double sheetform_item(display *d, double x, double y, double width, unsigned number, const char *text);

/* ---- tables --------------------------------------------------------------------------------- */
typedef struct sheetform_column {
	const char *head;
	double width; /* mm; 0 = by what is in it, negative = shares what is left by that weight */
	display_align align;
} sheetform_column;
typedef struct sheetform_table {
	const sheetform_column *column;
	size_t n_columns;
	/* n_rows x n_columns texts; NULL is empty. A row whose second cell and all after it are NULL while its
	 * first is not is a group heading across the table (in a one-column table no row is). */
	const char *const *cell;
	size_t n_rows;
	double cap;	 /* 0 = CAP_SMALL */
	bool tick_boxes; /* an empty box to tick before each row */
	bool last_bold;	 /* last row is a sum */
} sheetform_table;
/* Draws rows from *row on, as many as fit between y and area.y1, with the head row; advances *row to the first
 * row not drawn (n_rows when all are). Returns the y below. Long cells wrap. At least one row is drawn when
 * y is area.y0, so that a loop over pages ends. */
double sheetform_table_draw(display *d, display_box area, double y, const sheetform_table *t, size_t *row);
/* Height of rows `from` to the end, head included, at that width. */
double sheetform_table_height(arena *mem, double width, const sheetform_table *t, size_t from);
double *sheetform_table_rows(arena *mem, double width, const sheetform_table *t); /* the height of each row */

/* ---- cautions ------------------------------------------------------------------------------- */
/* Signal words in the sense of ANSI Z535.6: WARNING could kill or maim, CAUTION could hurt, NOTICE
 * (no symbol) could spoil the work. Drawn so that a black-and-white copy keeps them apart. */
typedef enum sheetform_signal { SIGNAL_WARNING, SIGNAL_CAUTION, SIGNAL_NOTICE } sheetform_signal;
/* Boxed, upper left corner at (x, y); returns the y below the box. */
double sheetform_caution(display *d, double x, double y, double width, sheetform_signal signal, const char *text);
double sheetform_caution_height(arena *mem, double width, sheetform_signal signal, const char *text);

/* ---- curve plots ------------------------------------------------------------------------------ */
typedef struct sheetform_curve {
	const char *name;	/* written at the curve's end */
	const display_point *p; /* in data units, in order of x */
	size_t n;
	display_pen pen; /* PEN_NONE = PEN_OUTLINE */
} sheetform_curve;
typedef struct sheetform_mark { /* a point that matters, with its label */
	double x, y;
	const char *label;
} sheetform_mark;
typedef struct sheetform_plot {
	const char *x_label, *y_label; /* with the unit: "Flow, m3/h" */
	double x_max, y_max;	       /* 0 = what the curves and marks reach; both axes begin at 0 */
	const sheetform_curve *curve;
	size_t n_curves;
	const sheetform_mark *mark;
	size_t n_marks;
	double shade_x0, shade_x1; /* hatched range (stall) when x1 > x0 */
	const char *shade_label;
} sheetform_plot;
void sheetform_plot_draw(display *d, display_box box, const sheetform_plot *p);
/* A round step (1, 2 or 5 times a power of ten) that divides `range` into at most `most` parts. */
double sheetform_round_step(double range, int most);
#endif
