/* A display list: one page or drawing of exact 2-D primitives, from which PDF and SVG are written.
 * Ownership: a display and everything put on it live in the arena it was begun with; texts are copied.
 *
 * Millimetres, origin at the top left corner, x to the right, y DOWN; angles in degrees, anticlockwise
 * as seen. A value that is not finite drops the item and counts in `bad` (writers refuse a display whose
 * `bad` is not 0).
 *
 * How to draw:
 *	display *d = display_begin(mem, 210, 297);
 *	display_rect(d, PEN_OUTLINE, FILL_NONE, 20, 10, 100, 50);
 *	display_text(d, 22, 20, CAP_BODY, ALIGN_LEFT, "plain text, baseline at y = 20");
 *	display_text_style(d, 22, 30, &(display_style){.cap = CAP_BODY, .font = FONT_BOLD, .knock_out = true}, "…");
 *	display_move(d, 0, 0); display_line(d, 5, 5); display_paint(d, PEN_EDGE, FILL_NONE);   any path
 * Later items lie over earlier ones. */
#ifndef DRAW_DISPLAY_H
#define DRAW_DISPLAY_H
#include <stdbool.h>
#include <stddef.h>

#include "runtime/base/arena.h"
#include "runtime/base/text.h"

typedef struct display_point {
	double x, y;
} display_point;

typedef struct display_box { /* empty when x1 < x0 */
	double x0, y0, x1, y1;
} display_box;

/* Line types: X(name, width mm, grey: 0 black .. 1 white, use, number of dash lengths, on, off, …).
 * Widths after ISO 128 (groups 0.7/0.5/0.35/0.25/0.18/0.13). Caps and joins are round. */
#define DISPLAY_PENS(X)                                                                                                \
	X(FRAME, 0.70, 0.0, "page frame, caution bar", 0, 0)                                                           \
	X(OUTLINE, 0.50, 0.0, "outline of a panel, curves, new parts, cut faces", 0, 0)                                \
	X(EDGE, 0.35, 0.0, "visible edges and holes", 0, 0)                                                            \
	X(PART, 0.25, 0.0, "parts on a sheet, table head rule, boxes", 0, 0)                                           \
	X(DIM, 0.18, 0.0, "dimensions, leaders, thin rules", 0, 0)                                                     \
	X(CENTRE, 0.18, 0.0, "centre lines and axes (dash-dot)", 4, 4, 1, 0.6, 1)                                      \
	X(PHANTOM, 0.18, 0.0, "what is not there yet or moves", 6, 4, 1, 0.6, 1, 0.6, 1)                               \
	X(HIDDEN, 0.18, 0.35, "hidden edges", 2, 1.6, 0.9)                                                             \
	X(CUT, 0.50, 0.0, "trace of a section plane", 4, 6, 1.2, 0.8, 1.2)                                             \
	X(DASHED, 0.35, 0.0, "curves beside others (dashed)", 2, 2.6, 1.5)                                             \
	X(CHAIN, 0.35, 0.0, "curves beside others (dash-dot)", 4, 4, 1.4, 0.6, 1.4)                                    \
	X(HATCH, 0.13, 0.40, "hatching", 0, 0)                                                                         \
	X(LIGHT, 0.18, 0.55, "parts shown for orientation only", 0, 0)                                                 \
	X(RULE, 0.13, 0.25, "hairline rules of tables and forms", 0, 0)                                                \
	X(GRID, 0.13, 0.65, "grid of a plot", 0, 0)
typedef enum display_pen {
	PEN_NONE,
#define X(name, ...) PEN_##name,
	DISPLAY_PENS(X)
#undef X
		DISPLAY_PEN_COUNT
} display_pen;
typedef struct display_pen_info {
	double width, grey;
	size_t n_dash;
	double dash[6]; /* on, off, … in mm */
} display_pen_info;
const display_pen_info *display_pen_of(display_pen pen); /* PEN_NONE: width 0 */

/* X(name, grey) */
#define DISPLAY_FILLS(X)                                                                                               \
	X(BLACK, 0.0)                                                                                                  \
	X(DARK, 0.45)                                                                                                  \
	X(MID, 0.75)                                                                                                   \
	X(LIGHT, 0.88)                                                                                                 \
	X(FAINT, 0.95)                                                                                                 \
	X(WHITE, 1.0)
typedef enum display_fill {
	FILL_NONE,
#define X(name, grey) FILL_##name,
	DISPLAY_FILLS(X)
#undef X
		DISPLAY_FILL_COUNT
} display_fill;
double display_fill_grey(display_fill fill); /* FILL_NONE: 1 */

typedef enum display_font { FONT_REGULAR, FONT_BOLD, DISPLAY_FONT_COUNT } display_font;
typedef enum display_align { ALIGN_LEFT, ALIGN_CENTRE, ALIGN_RIGHT } display_align;

/* Cap heights in mm: the series of ISO 3098, and the least that is read at arm's length. */
#define CAP_COVER 7.0	    /* cover title only */
#define CAP_HEAD 5.0	    /* chapter */
#define CAP_TITLE 3.5	    /* heading on a page, title of a drawing */
#define CAP_BODY 2.5	    /* running text and dimensions */
#define CAP_SMALL 2.01	    /* 8 pt: captions, notes, crowded dimensions; nothing is smaller */
#define CAP_LABEL CAP_SMALL /* field labels of forms, numbers in holes */
/* Distance of baselines for a cap height. */
#define DISPLAY_LEADING(cap) (1.85 * (cap))

typedef struct display_style {
	display_font font;
	double cap; /* cap height, mm */
	display_align align;
	double turn;	/* degrees anticlockwise about the anchor point */
	bool knock_out; /* white behind it */
	double grey;	/* 0 black */
} display_style;

typedef enum display_step { STEP_MOVE, STEP_LINE, STEP_CUBIC, STEP_CLOSE } display_step;
typedef struct display_node { /* CUBIC: c1, c2, then p; others use p only */
	display_step step;
	display_point c1, c2, p;
} display_node;

typedef enum display_item_kind { ITEM_PATH, ITEM_TEXT } display_item_kind;
typedef struct display_item {
	display_item_kind kind;
	display_box box; /* ink without half the pen's width */
	/* path (even-odd when filled) */
	display_pen pen;
	display_fill fill;
	const display_node *node;
	size_t n;
	/* text: baseline point, already the left end when align is left … */
	const char *text;
	display_point at;
	display_style style;
	double width; /* of the text, mm */
} display_item;

typedef struct display_anchor { /* a target for links */
	const char *name;
	double x, y;
} display_anchor;
typedef struct display_link { /* a rectangle that leads to an anchor on any page of the document */
	display_box box;
	const char *to;
} display_link;
typedef struct display_bookmark { /* an entry of the outline that leads to this page at y */
	unsigned level;		  /* 1 is the top */
	const char *title;
	double y;
} display_bookmark;
typedef struct display_taken { /* what labels must not touch: a box, or a straight line */
	bool line;
	display_box box; /* line: from x0,y0 to x1,y1 */
} display_taken;

typedef struct display {
	arena *mem;
	double w, h;
	const char *title;	/* of the drawing, for SVG <title>; NULL = none */
	const char *page_label; /* shown by PDF readers, e.g. "iv"; NULL = count on from 1 */
	bool true_size;		/* 1:1 content: PDF asks for no scaling, SVG writes text as paths */
	LIST(display_item) items;
	LIST(display_anchor) anchors;
	LIST(display_link) links;
	LIST(display_bookmark) bookmarks;
	LIST(display_taken) taken;
	LIST(display_node) path; /* under construction */
	display_box keep;	 /* where texts have to stay, see display_keep_to(); empty: anywhere */
	LIST(const char *) strays;
	size_t bad;	/* items dropped because a value was not finite */
	size_t clipped; /* so many items, from the first, are cut off at the box */
	display_box clip;
} display;

display *display_begin(arena *mem, double w_mm, double h_mm);

/* ---- paths: build, then paint ------------------------------------------------------------- */
void display_move(display *d, double x, double y);
void display_line(display *d, double x, double y);
void display_cubic(display *d, double x1, double y1, double x2, double y2, double x, double y);
void display_close(display *d);
/* Subpaths to add to the path under construction. arc: from angle a0 to a1 (degrees; a1 > a0 runs
 * anticlockwise as seen); `join` draws a line to its beginning instead of a move. */
void display_add_arc(display *d, double cx, double cy, double r, double a0, double a1, bool join);
void display_add_circle(display *d, double cx, double cy, double r);
void display_add_rect(display *d, double x, double y, double w, double h);
void display_add_round_rect(display *d, double x, double y, double w, double h, double r);
/* Slot with round ends, length a in direction `turn`, width b, centred. */
void display_add_slot(display *d, double cx, double cy, double a, double b, double turn);
/* Strokes and fills the path under construction (even-odd) and ends it. */
void display_paint(display *d, display_pen pen, display_fill fill);
/* Hatches the path under construction (even-odd, so holes stay free) with parallel lines at `angle`
 * degrees, `gap` mm apart; the lines are cut exactly, nothing is clipped later. With `keep` the path
 * stays under construction so that it can be painted too. */
void display_hatch(display *d, display_pen pen, double angle, double gap, bool keep);

/* ---- one call each ------------------------------------------------------------------------- */
void display_segment(display *d, display_pen pen, double x0, double y0, double x1, double y1);
void display_polyline(display *d, display_pen pen, const display_point *p, size_t n);
void display_polygon(display *d, display_pen pen, display_fill fill, const display_point *p, size_t n);
void display_rect(display *d, display_pen pen, display_fill fill, double x, double y, double w, double h);
void display_round_rect(display *d, display_pen pen, display_fill fill, double x, double y, double w, double h,
			double r);
void display_circle(display *d, display_pen pen, display_fill fill, double cx, double cy, double r);
void display_arc(display *d, display_pen pen, double cx, double cy, double r, double a0, double a1);
/* A filled arrowhead 2.5 mm long (length_mm 0) whose tip is at (x, y), pointing in `direction` degrees. */
void display_arrowhead(display *d, double x, double y, double direction, double length_mm);
/* A line that ends in an arrowhead at (x1, y1). */
void display_arrow(display *d, display_pen pen, double x0, double y0, double x1, double y1);
/* A tick box (empty square to tick with a pencil) whose lower left corner is at (x, y). */
void display_tick_box(display *d, double x, double y, double side);

/* ---- text ---------------------------------------------------------------------------------- */
/* One line, baseline at y; x is the left end, middle or right end by `align`. The font has Latin with
 * accents, Greek, maths, fractions and ⌀ → ← ↑ ↓ ✓ □ ° ± ≤ ≥; a character it lacks is shown as □.
 * Empty text adds nothing. */
void display_text(display *d, double x, double y, double cap, display_align align, const char *text);
void display_bold(display *d, double x, double y, double cap, display_align align, const char *text);
void display_text_style(display *d, double x, double y, const display_style *style, const char *text);
void display_textf(display *d, double x, double y, double cap, display_align align, const char *format, ...)
	__attribute__((format(printf, 6, 7)));
/* Advance width in mm, from the font's table in the tree. */
double display_text_width(display_font font, double cap, const char *text);
/* The box that text would take (caps to descender), turned too. */
display_box display_text_box(double x, double y, const display_style *style, const char *text);
/* Every text that is put or placed from now on has to stay in the box: a cell, a field, the frame. One that does not is
 * drawn all the same, and display_text_faults() tells it. Returns the box that was kept to before, to be set again. */
display_box display_keep_to(display *d, display_box box);
bool display_strays(const display *d, display_box text);
/* Texts that lie on each other, leave the page (when nothing is cut off at a box) or were outside of the box to be kept
 * to: a line each, `where` first. Returns how many. By their ink: a small letter has nothing above it. */
size_t display_text_faults(arena *mem, const display *d, const char *where, textbuf *told);
/* Breaks a paragraph into lines not wider than `width` (at spaces, after '-' and '/', inside a word only when it alone
 * is wider; a figure and its unit, "page 7", "left (1)" hold together; '\n' always breaks). Returns the number of
 * lines; *lines lives in mem. */
size_t display_wrap(arena *mem, display_font font, double cap, double width, const char *text,
		    const char *const **lines);
/* Cuts text with "…" so that it fits. */
const char *display_fit(arena *mem, display_font font, double cap, double width, const char *text);
/* Wraps and draws a paragraph whose first cap line begins at y (top); returns the y below it.
 * display_paragraph_height tells the same without drawing. */
double display_paragraph(display *d, double x, double y, double width, const display_style *style, const char *text);
double display_paragraph_height(arena *mem, double width, const display_style *style, const char *text);

/* ---- navigation ----------------------------------------------------------------------------- */
void display_anchor_at(display *d, const char *name, double x, double y);
void display_link_to(display *d, display_box box, const char *anchor);
void display_bookmark_at(display *d, unsigned level, const char *title, double y);

/* ---- boxes, and places that are still free ---------------------------------------------------- */
display_box display_box_empty(void);
display_box display_box_of(double x, double y, double w, double h);
display_box display_box_join(display_box a, display_box b);
display_box display_box_grow(display_box b, double by);
bool display_box_overlap(display_box a, display_box b); /* touching is no overlap */
bool display_box_inside(display_box inner, display_box outer);
display_box display_bounds(const display *d); /* of all items; empty when there are none */
/* Marks as taken, so that labels keep away. display_text* and paths do not do this by themselves. */
void display_take(display *d, display_box box);
void display_take_line(display *d, double x0, double y0, double x1, double y1);
/* Is nothing taken inside the box? For a line: is no taken box crossed, save those in which it begins (a leader
 * may leave what it points at), and no taken line met? */
bool display_is_free(const display *d, display_box box);
bool display_line_is_free(const display *d, double x0, double y0, double x1, double y1);
/* Nearest free place for a w x h box whose centre lies about (x, y), inside `within`. Deterministic.
 * Returns false when there is none (then *out is the box about (x, y), pushed inside). The place found
 * is not marked as taken. */
bool display_free_spot(const display *d, double x, double y, double w, double h, display_box within, display_box *out);
/* The same for a label that hangs on a leader: box at least `clear` mm from (x, y), and the straight leader from
 * `clear` mm off (x, y) to the nearest point of the box (*end) meets nothing that is taken. */
bool display_free_label(const display *d, double x, double y, double clear, double w, double h, display_box within,
			display_box *out, display_point *end);

/* ---- one display in another ------------------------------------------------------------------- */
/* Copies every item of `sub`, its origin at (x, y), geometry times `scale`; pen widths, dashes and text
 * heights stay as they are. Anchors, links and taken boxes come along; bookmarks do not. */
void display_place(display *d, const display *sub, double x, double y, double scale);

/* From a drawing's own coordinates (y up, any unit) to the page. */
typedef struct display_map {
	double x, y;  /* page position of the drawing's origin */
	double scale; /* page mm per unit */
} display_map;
static inline double display_map_x(const display_map *m, double x) { return m->x + x * m->scale; }
static inline double display_map_y(const display_map *m, double y) { return m->y - y * m->scale; }
/* Fits a w x h drawing (origin lower left) centred into `into`. */
display_map display_map_fit(double w, double h, display_box into);
/* The largest of the usual scales (of ISO 5455 and the shop: 1:1 to 1:100) not above `scale`,
 * with its name ("1:10"); below the last, the scale itself and "not to scale". */
double display_usual_scale(double scale, const char **name);
#endif
