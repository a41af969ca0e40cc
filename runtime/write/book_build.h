/* What the chapters of the book share: pages that fill from the top, blocks that are not torn apart, names for pages.
 * Ownership: a book and all it draws live in its arena. Only runtime/write/book*.c include this.
 *
 * The chapters run more than once: the first time page numbers are not known yet (book_page_of gives 0), the last time
 * every number is right. Nothing may depend on which time it is but the digits shown. */
#ifndef WRITE_BOOK_BUILD_H
#define WRITE_BOOK_BUILD_H
#include "runtime/draw/display.h"
#include "runtime/draw/sheetform.h"
#include "runtime/draw/view.h"
#include "runtime/engine/model.h"
#include "runtime/write/book.h"

/* Cap heights of the book besides those of display.h. */
#define BOOK_TABLE 2.3 /* tables: 9.2 pt */
#define BOOK_SMALL 2.1 /* sources and reasons: 8.4 pt */
#define BOOK_GAP 5.0   /* between blocks, mm */

typedef struct book_item { /* parts that are alike: one row of the parts list, one balloon */
	unsigned number;
	model_ref first;
	LIST(model_ref) parts;
	bool made;
	unsigned mirror_of; /* number of an item that it mirrors in width, or 0 */
	const char *family; /* the name that they share */
} book_item;

typedef struct book_close_up { /* of one joint: the joint that is drawn for it, and the step (from 0) that does */
	model_ref joint;
	size_t step;
	double high; /* of its drawing with the caption; 0: not measured yet */
} book_close_up;

struct book_sheet;
struct book_drawing;
struct book_fan;
struct book_step;
typedef struct book_mark { /* a name and the page (from 1) it stands on */
	const char *name;
	size_t page;
} book_mark;

typedef struct book {
	arena *mem;  /* of this run */
	arena *keep; /* outlives the runs: for what is the same in all of them, made by the first */
	const model *m;
	const book_curves *curves; /* or NULL */
	LIST(book_item) items;
	unsigned *number;	      /* [parts] number of its item; 0 for gaps */
	struct book_sheet *sheet;     /* [sheets] or NULL: not measured yet */
	struct book_drawing *drawing; /* [items] or NULL */
	struct book_fan *fan;	      /* [branches] or NULL */
	book_close_up *close_up;      /* [joints] or NULL */
	LIST(book_mark) marks;	      /* of the run before */
	size_t total;		      /* pages of the run before, 0 the first time */
	LIST(display *) pages;	      /* of this run, as all below */
	struct book_step *step;	      /* [steps] or NULL */
	display *page;		      /* being filled, or NULL */
	display_box area;
	double y;
	const char *chapter;
	const char *continues;	      /* what a table belongs to that goes over to another page, or NULL */
	const display *rounding_told; /* the page that says already that places are rounded */
} book;

/* ---- pages ---- */
void book_page(book *b);					   /* a new page of the chapter */
void book_chapter(book *b, const char *title, const char *anchor); /* a new page with the chapter's head and bookmark */
/* The chapter's head on the page being filled when `room` mm are left below it, else on a new page. */
void book_chapter_if_room(book *b, const char *title, const char *anchor, double room);
bool book_need(book *b, double height); /* new page when less is left; true when a new one was begun */
double book_left(const book *b);	/* height left on the page */
double book_width(const book *b);
size_t book_page_of(const book *b, const char *anchor);	       /* 0 when not known (yet) */
const char *book_page_word(const book *b, const char *anchor); /* "12", or "00" while not known */
/* A page that someone else draws, with its title block's "n of N" text. */
void book_foreign_page(book *b, display *d);
const char *book_next_page_words(const book *b); /* "n of N" of the page that would come next */

void book_link(book *b, display_box box, const char *anchor); /* nothing while the anchor is not known */

/* ---- blocks ---- */
display *book_block(const book *b);			       /* a scratch display as wide as the text, from y = 0 */
void book_place(book *b, const display *block, double height); /* on this page, or a new one */
void book_heading(book *b, const char *text);		       /* keeps 30 mm with it */
void book_heading_with(book *b, const char *text, double height); /* keeps that much with it, if a page has it */
void book_subheading(book *b, const char *text);
void book_paragraph(book *b, const char *text);
void book_small(book *b, const char *text); /* small type, for sources and reasons */
/* What that takes, the gap below it not counted. */
double book_small_height(const book *b, const char *text);
void book_item_line(book *b, unsigned number, const char *text);
void book_caution(book *b, sheetform_signal signal, const char *text);
void book_table(book *b, const sheetform_table *t); /* over as many pages as it takes */

/* Cells of a table collected row by row. */
typedef struct book_cells {
	LIST(const char *) v;
	size_t columns;
} book_cells;
void book_row(book *b, book_cells *c, ...); /* as many texts as columns (NULL: empty) */
void book_group_row(book *b, book_cells *c, const char *text);
void book_cells_draw(book *b, const sheetform_column *columns, size_t n, const book_cells *c, bool tick_boxes,
		     bool last_bold);
double book_cells_height(const book *b, const sheetform_column *columns, size_t n, const book_cells *c);

/* An empty form to write into: cells in rows of `columns` (NULL: to be filled in by hand), row_height mm each. */
void book_form(book *b, const char *const *heads, const double *weight, size_t columns, const char *const *cells,
	       size_t rows, double row_height);
double book_form_height(size_t rows, double row_height);

/* ---- words ---- */
const char *book_length(const book *b, rat mm);			    /* with unit */
const char *book_reckoned(const book *b, double mm, int64_t steps); /* worked out: to 1/steps mm or 1/64 in */
const char *book_bare(const book *b, rat mm);
const char *book_si(const book *b, dim d, double v); /* "–" when not finite */
const char *book_number(const book *b, double v, int decimals);
const char *book_money(const book *b, int64_t cents);
const char *book_about(const book *b, double minutes);	    /* rounded as an estimate is: "45 min", "18 h" */
const char *book_hours_worked(const book *b, double hours); /* "1.6", "40" */
const char *book_hours(const book *b, double minutes);	    /* "45 min", "3 h 20 min", "2 days 4 h" */
const char *book_part_size(const book *b, const model_part *p, bool unit); /* along the grain x across x thick */
const char *book_shape(const book *b, const model_shape *s);
const char *book_stock_label(const book *b, model_ref stock);
const char *book_unit(const book *b, dim d); /* "m³/h", "cfm" */
double book_in_unit(const book *b, dim d, double si);
const char *book_title_case(const book *b, const char *text); /* first letter large, _ to blank */
const char *book_capital(const book *b, const char *text);    /* first letter large */
const char *book_plain(const book *b, const char *text);      /* _ to blank */
const char *book_spoken(const book *b, const char *name);     /* a name in a sentence: _ and . to blank */
const book_item *book_item_of(const book *b, model_ref part); /* NULL for gaps */
const char *book_item_name(const book *b, const book_item *i);
const char *book_part_anchor(const book *b, const book_item *i); /* of its drawing */
/* "floor (3)"; "left (1), right (2), rib (7) × 4". */
const char *book_part_word(book *b, model_ref part);
const char *book_part_words(book *b, const model_ref *parts, size_t n);
face book_first_face(const book *b, model_ref part); /* the one that its drawing shows first: there stands its number */
/* book_join.c: what is done in one joint; `row` of the order's operations. */
const char *book_join_words(book *b, model_ref row);
/* What is put in or fitted: on what it stands, where, and by what it is held. */
const char *book_fit_words(book *b, const model_op *o);

void book_items(book *b);			     /* fills items and number */
double book_fan_flow(const model *m, int condition); /* all fans, m3/s; NaN when there is none or no result */

/* Which way a part comes to its place past those that stand: the straight way out, to be drawn moved by *offset (about
 * a third of the whole, against the way in). False, and no offset, when every way along the axes is barred. */
bool book_way_in(const book *b, model_ref part, const bool *stands, double offset[3]);

/* The corner from which the parts marked VIEW_NEW are seen; light parts that hide them are made absent. */
view_corner book_reveal(book *b, view_scene *s);

/* ---- the picture of a step (from 0) ---- */
bool book_step_new(const model_step *s, model_ref part); /* the step brings it in */
bool *book_step_handles(book *b, const model_step *s);	 /* [rows] the parts of its operations */
bool book_step_pictured(book *b, size_t step);		 /* it shows something */
/* What is there and what comes in, each thing numbered once; *heavy: how many parts stand out. */
view_scene book_step_scene(book *b, size_t step, size_t *heavy);

/* ---- joints close up: each kind once, in the step that first makes one ---- */
/* Those that this step (from 0) draws. */
size_t book_joints_first(book *b, size_t step, model_ref **list);
/* Where those that earlier steps drew are found, as a sentence; NULL when there are none. */
const char *book_joints_earlier(book *b, size_t step);
/* One close-up with its caption, VIEW_JOINT_WIDE broad. */
void book_joint(book *b, display *d, double x, double y, model_ref joint);
double book_joint_height(book *b, model_ref joint);
/* In rows as broad as the display, from y = 0; both give their height. */
double book_joints_rows_height(book *b, const model_ref *list, size_t n);
double book_joints_rows(book *b, display *d, const model_ref *list, size_t n);

/* ---- chapters ---- */
void book_cover(book *b);
void book_contents(book *b);
void book_what(book *b);
void book_cautions(book *b);
void book_tools(book *b);
void book_shopping(book *b);
void book_measure(book *b);
void book_parts(book *b);
void book_sheets(book *b);
void book_drawings(book *b);
void book_templates(book *b);
void book_steps(book *b);
void book_air(book *b);
/* Within that chapter: fan and system, pressures along the way, the rules. */
void book_air_fans(book *b);
void book_air_steps(book *b);
void book_air_rules(book *b);
bool book_air_shown(const model *m, int condition); /* the plan asks for it, and it has an answer */
const char *book_air_state(int condition);	    /* "due, covered": without its tap */
void book_requirements(book *b);
void book_commissioning(book *b);
void book_care(book *b);
void book_numbers(book *b);
void book_index(book *b);

/* Sentences for one step, in order of doing; each is one numbered line. */
typedef struct book_lines {
	LIST(const char *) v;
} book_lines;
void book_step_words(book *b, const model_step *s, book_lines *out);
/* "Why now: after step 4: …; before step 7: …; …." of a step (from 0), or NULL. */
const char *book_why(book *b, size_t step);
/* Is the tool named by the step, or does it make holes that the step drills? */
bool book_step_uses(const book *b, const model_step *s, model_ref tool);
/* Width of a dado or rabbet as planned (poison: not known), the plan's router that goes into it (or NONE), and what is
 * needed where there is none. */
rat book_groove_width(const book *b, const model_joint *j);
model_ref book_groove_tool(const book *b, const model_joint *j);
const char *book_groove_need(const book *b, const model_joint *j);
/* What the step needs and the plan's tools have not: "drill ⌀ 2.2 mm (pilot of …)", each once. */
void book_step_needs(const book *b, const model_step *s, book_lines *out);
/* What to beware of, with its signal word; NULL when nothing is to be said. */
const char *book_step_caution(const book *b, const model_step *s, sheetform_signal *signal);
/* Are two holes drilled alike, so that one sentence tells both? */
bool book_same_hole(const model_feature *a, const model_feature *c);
/* "left and right edges": where the holes that are drilled like this one are. */
const char *book_hole_faces(book *b, const model_feature *one);
#endif
