/* Templates at full size on sheets of the plan's paper, to be laid together. */
#include <math.h>

#include "runtime/draw/sheetform.h"
#include "runtime/write/template_write.h"

/* Head of each sheet; what two neighbours both show; margins that any printer keeps. All mm. */
enum { HEAD = 16, OVERLAP = 10, MARGIN = 10, MOST_SHEETS = 400 };

typedef struct tiling {
	bool wide; /* the paper lies across */
	size_t columns, rows;
	display_box tile; /* on the page */
	double step_x, step_y;
} tiling;

static size_t count(double whole, double tile, double step) {
	return whole <= tile ? 1 : 1 + (size_t)ceil((whole - tile) / step - 1e-9);
}

static tiling lay(const display *page, const display *whole, bool wide) {
	tiling t = {.wide = wide, .tile = {MARGIN, MARGIN + HEAD, page->w - MARGIN, page->h - MARGIN}};
	t.step_x = t.tile.x1 - t.tile.x0 - OVERLAP, t.step_y = t.tile.y1 - t.tile.y0 - OVERLAP;
	t.columns = count(whole->w, t.tile.x1 - t.tile.x0, t.step_x);
	t.rows = count(whole->h, t.tile.y1 - t.tile.y0, t.step_y);
	return t;
}

static tiling fewest(arena *mem, paper size, const display *whole) {
	tiling up = lay(sheetform_page(mem, size, false), whole, false);
	tiling across = lay(sheetform_page(mem, size, true), whole, true);
	return across.columns * across.rows < up.columns * up.rows ? across : up;
}

static void cross(display *d, double x, double y) {
	display_segment(d, PEN_DIM, x - 4, y, x + 4, y);
	display_segment(d, PEN_DIM, x, y - 4, x, y + 4);
	display_circle(d, PEN_DIM, FILL_NONE, x, y, 2);
}

/* Lines in the middle of what neighbours share, with crosses: they lie at the same places of the drawing on both. */
static void seams(display *d, const tiling *t, double x0, double y0, double w, double h) {
	for (size_t c = 1; c < t->columns; c++) {
		double x = x0 + (double)c * t->step_x + OVERLAP / 2.0;
		display_segment(d, PEN_HIDDEN, x, y0, x, y0 + h);
		for (size_t r = 0; r < 2 * t->rows; r++) cross(d, x, y0 + ((double)r / 2 + 0.25) * t->step_y);
	}
	for (size_t r = 1; r < t->rows; r++) {
		double y = y0 + (double)r * t->step_y + OVERLAP / 2.0;
		display_segment(d, PEN_HIDDEN, x0, y, x0 + w, y);
		for (size_t c = 0; c < 2 * t->columns; c++) cross(d, x0 + ((double)c / 2 + 0.25) * t->step_x, y);
	}
}

/* Items that lie outside the tile are dropped: they would only be text that nobody sees. */
static void keep_inside(display *d) {
	size_t n = 0;
	for (size_t i = 0; i < d->items.n; i++)
		if (display_box_overlap(display_box_grow(d->items.v[i].box, 0.5), d->clip))
			d->items.v[n++] = d->items.v[i];
	d->items.n = d->clipped = n;
	d->anchors.n = d->links.n = d->taken.n = 0;
}

/* Which of all the sheets this one is, as a little plan of them. */
static void key(display *d, double right, double y, const tiling *t, size_t column, size_t row) {
	double side = fmin(4, 10 / (double)t->rows), x = right - side * (double)t->columns;
	for (size_t c = 0; c < t->columns; c++)
		for (size_t r = 0; r < t->rows; r++)
			display_rect(d, PEN_RULE, c == column && r == row ? FILL_BLACK : FILL_WHITE,
				     x + side * (double)c, y + side * (double)r, side, side);
}

static display *sheet(arena *mem, const model *m, const char *name, const display *whole, const tiling *t, size_t at) {
	size_t column = at % t->columns, row = at / t->columns, all = t->columns * t->rows;
	display *d = sheetform_page(mem, m->paper, t->wide);
	d->true_size = true;
	d->clip = t->tile;
	double x = t->tile.x0 - (double)column * t->step_x, y = t->tile.y0 - (double)row * t->step_y;
	display_place(d, whole, x, y, 1);
	seams(d, t, x, y, whole->w, whole->h);
	keep_inside(d);
	const char *title = all == 1 ? arena_printf(mem, "Template %s", name)
				     : arena_printf(mem, "Template %s, sheet %zu of %zu", name, at + 1, all);
	double room = t->tile.x1 - t->tile.x0 - 74 - 2 - 4 * (double)t->columns;
	display_bold(d, MARGIN, MARGIN + CAP_BODY, CAP_BODY, ALIGN_LEFT,
		     display_fit(mem, FONT_BOLD, CAP_BODY, room, title));
	const display_style small = {.cap = CAP_SMALL};
	display_paragraph(d, MARGIN, MARGIN + 4.6, room, &small,
			  all == 1 ? "Full size."
				   : "Full size. Cut along a broken line; lay it on that of the next sheet, cross on "
				     "cross.");
	sheetform_check_bar(d, t->tile.x1 - 74, MARGIN, m->measures);
	if (all > 1) key(d, t->tile.x1 - 76, MARGIN, t, column, row);
	display_anchor_at(d, arena_printf(mem, "%s:%zu", name, at + 1), 0, 0);
	if (at == 0) display_bookmark_at(d, 1, arena_printf(mem, "Template %s", name), 0);
	return d;
}

void template_tiles(arena *mem, const model *m, template_sheets *out) {
	for (size_t i = 0; i < m->templates.n; i++) {
		const display *whole = template_drawing(mem, m, (model_ref)i);
		if (!whole) continue;
		tiling t = fewest(mem, m->paper, whole);
		size_t n = t.columns * t.rows;
		for (size_t k = 0; k < n && n <= MOST_SHEETS; k++)
			LIST_PUSH(mem, out, sheet(mem, m, m->templates.v[i].name, whole, &t, k));
	}
}
