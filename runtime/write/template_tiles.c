/* Templates at full size on sheets of the plan's paper, to be laid together. */
#include <math.h>

#include "runtime/draw/sheetform.h"
#include "runtime/write/template_write.h"
#include "runtime/write/title_block.h"

/* Head of each sheet; what two neighbours both show; margins that any printer keeps; what stays clear of a sheet's
 * edge; by how much the whole is moved to try for fewer sheets. All mm. */
enum { HEAD = 16, OVERLAP = 10, MARGIN = 10, CLEAR = 1, TRY = 5, MOST_SHEETS = 400 };

typedef struct tiling {
	bool wide;	  /* the paper lies across */
	display_box tile; /* on the page */
	double step_x, step_y;
	double x0, y0; /* of the first tile, on the plate */
	size_t columns, rows, n;
	size_t holes; /* fixing holes that they show whole, with their words */
	size_t pairs; /* neighbours that lie against each other */
	bool *kept;   /* columns x rows */
} tiling;

static bool kept(const tiling *t, size_t column, size_t row) {
	return column < t->columns && row < t->rows && t->kept[row * t->columns + column];
}

/* The tiles of `most` that hold all of the box, from `first` on; how many. */
static size_t holding(double lo, double hi, double from, double step, double size, size_t most, size_t *first) {
	double last = fmin(floor((lo - CLEAR - from) / step), (double)most - 1);
	double begin = fmax(ceil((hi + CLEAR - from - size) / step), 0);
	*first = (size_t)begin;
	return last < begin ? 0 : (size_t)(last - begin) + 1;
}

typedef struct wanted { /* in which tiles a point or a box lies: the first, and how many beyond it */
	size_t column, row, columns, rows;
} wanted;

static bool where(const tiling *t, display_box b, wanted *w) {
	w->columns = holding(b.x0, b.x1, t->x0, t->step_x, t->tile.x1 - t->tile.x0, t->columns, &w->column);
	w->rows = holding(b.y0, b.y1, t->y0, t->step_y, t->tile.y1 - t->tile.y0, t->rows, &w->row);
	return w->columns && w->rows;
}

static void keep(tiling *t, const wanted *w, bool choice) {
	for (size_t r = 0; r < w->rows; r++)
		for (size_t c = 0; c < w->columns; c++)
			if (kept(t, w->column + c, w->row + r)) return;
	if (choice || w->columns * w->rows == 1) t->kept[w->row * t->columns + w->column] = true, t->n++;
}

static bool shown(const tiling *t, display_box b) {
	wanted w;
	if (!where(t, b, &w)) return false;
	for (size_t r = 0; r < w.rows; r++)
		for (size_t c = 0; c < w.columns; c++)
			if (kept(t, w.column + c, w.row + r)) return true;
	return false;
}

/* Tiles that the edge must have, then one for each point that may lie on either of two; then what else they show. */
static bool cover(tiling *t, const template_must *must) {
	for (size_t i = 0; i < t->columns * t->rows; i++) t->kept[i] = false;
	t->n = t->pairs = t->holes = 0;
	for (int choice = 0; choice < 2; choice++)
		for (size_t i = 0; i < must->points.n; i++) {
			wanted w;
			display_point p = must->points.v[i];
			if (!where(t, (display_box){p.x, p.y, p.x, p.y}, &w)) return false;
			keep(t, &w, choice);
		}
	for (size_t i = 0; i < must->boxes.n; i++) t->holes += shown(t, must->boxes.v[i]);
	for (size_t r = 0; r < t->rows; r++)
		for (size_t c = 0; c < t->columns; c++)
			t->pairs += kept(t, c, r) * ((size_t)kept(t, c + 1, r) + kept(t, c, r + 1));
	return t->n > 0;
}

static bool better(const tiling *a, const tiling *b) {
	if (a->n != b->n) return b->n == 0 || a->n < b->n;
	if (a->holes != b->holes) return a->holes > b->holes;
	return a->pairs > b->pairs;
}

static display_box bounds(const template_must *must) {
	display_box b = display_box_empty();
	for (size_t i = 0; i < must->points.n; i++)
		b = display_box_join(b, (display_box){must->points.v[i].x, must->points.v[i].y, must->points.v[i].x,
						      must->points.v[i].y});
	return b;
}

/* Both ways of the paper, moved about: the fewest sheets, and of as few those that show most fixing holes. */
static tiling fewest(arena *mem, paper size, const template_must *must) {
	tiling best = {0};
	display_box all = display_box_grow(bounds(must), CLEAR);
	for (int wide = 0; wide < 2; wide++) {
		const display *page = sheetform_page(mem, size, wide);
		tiling t = {.wide = wide, .tile = {MARGIN, MARGIN + HEAD, page->w - MARGIN, page->h - MARGIN}};
		t.step_x = t.tile.x1 - t.tile.x0 - OVERLAP, t.step_y = t.tile.y1 - t.tile.y0 - OVERLAP;
		t.columns = (size_t)ceil((all.x1 - all.x0) / t.step_x) + 1;
		t.rows = (size_t)ceil((all.y1 - all.y0) / t.step_y) + 1;
		t.kept = ARENA_MANY(mem, bool, t.columns *t.rows);
		for (double x = 0; x < t.step_x; x += TRY)
			for (double y = 0; y < t.step_y; y += TRY) {
				t.x0 = all.x0 - x, t.y0 = all.y0 - y;
				if (!cover(&t, must) || !better(&t, &best)) continue;
				best = t;
				best.kept = arena_copy(mem, t.kept, t.columns * t.rows * sizeof *t.kept);
			}
	}
	return best;
}

static void cross(display *d, double x, double y) {
	display_segment(d, PEN_DIM, x - 4, y, x + 4, y);
	display_segment(d, PEN_DIM, x, y - 4, x, y + 4);
	display_circle(d, PEN_DIM, FILL_NONE, x, y, 2);
}

/* Lines in the middle of what neighbours share, with crosses: they lie at the same places of the drawing on both. */
static void seams(display *d, const tiling *t, size_t c, size_t r) {
	const display_box *b = &t->tile;
	for (int side = -1; side <= 1; side += 2) {
		if (side < 0 ? c > 0 && kept(t, c - 1, r) : kept(t, c + 1, r)) {
			double x = side < 0 ? b->x0 + OVERLAP / 2.0 : b->x1 - OVERLAP / 2.0;
			display_segment(d, PEN_HIDDEN, x, b->y0, x, b->y1);
			for (int k = 1; k < 4; k += 2) cross(d, x, b->y0 + OVERLAP / 2.0 + k * t->step_y / 4);
		}
		if (side < 0 ? r > 0 && kept(t, c, r - 1) : kept(t, c, r + 1)) {
			double y = side < 0 ? b->y0 + OVERLAP / 2.0 : b->y1 - OVERLAP / 2.0;
			display_segment(d, PEN_HIDDEN, b->x0, y, b->x1, y);
			for (int k = 1; k < 4; k += 2) cross(d, b->x0 + OVERLAP / 2.0 + k * t->step_x / 4, y);
		}
	}
}

/* Items that lie outside the tile are dropped, and words that the edge would cut: a neighbour has them. */
static void keep_inside(display *d) {
	size_t n = 0;
	for (size_t i = 0; i < d->items.n; i++) {
		const display_item *t = &d->items.v[i];
		if (t->kind == ITEM_TEXT ? display_box_inside(t->box, d->clip)
					 : display_box_overlap(display_box_grow(t->box, 0.5), d->clip))
			d->items.v[n++] = *t;
	}
	d->items.n = d->clipped = n;
	d->anchors.n = d->links.n = d->taken.n = 0;
}

/* Which of all the sheets this one is, as a little plan of them. */
static void key(display *d, double right, double y, const tiling *t, size_t column, size_t row) {
	double side = fmin(4, 10 / (double)t->rows), x = right - side * (double)t->columns;
	for (size_t c = 0; c < t->columns; c++)
		for (size_t r = 0; r < t->rows; r++)
			if (kept(t, c, r))
				display_rect(d, PEN_RULE, c == column && r == row ? FILL_BLACK : FILL_WHITE,
					     x + side * (double)c, y + side * (double)r, side, side);
}

typedef struct tiled { /* a template that goes onto sheets */
	const model *m;
	const char *name;
	const display *plate;
	const template_must *must;
	const tiling *t;
} tiled;

static display *sheet(arena *mem, const tiled *x, size_t column, size_t row, size_t at) {
	const tiling *t = x->t;
	display *d = sheetform_page(mem, x->m->paper, t->wide);
	d->true_size = true;
	d->clip = t->tile;
	double left = t->x0 + (double)column * t->step_x, top = t->y0 + (double)row * t->step_y;
	display_place(d, x->plate, t->tile.x0 - left, t->tile.y0 - top, 1);
	seams(d, t, column, row);
	keep_inside(d);
	const char *title = t->n == 1 ? arena_printf(mem, "Template %s", x->name)
				      : arena_printf(mem, "Template %s, sheet %zu of %zu", x->name, at + 1, t->n);
	double room = t->tile.x1 - t->tile.x0 - 74 - 2 - 4 * (double)t->columns;
	display_bold(d, MARGIN, MARGIN + CAP_BODY, CAP_BODY, ALIGN_LEFT,
		     display_fit(mem, FONT_BOLD, CAP_BODY, room, title));
	const display_style small = {.cap = CAP_SMALL};
	display_paragraph(
		d, MARGIN, MARGIN + 4.6, room, &small,
		t->n == 1 ? "Full size."
			  : "Full size. Cut along a broken line; lay it on that of the next sheet, cross on cross.");
	sheetform_check_bar(d, t->tile.x1 - 74, MARGIN, x->m->measures);
	if (t->n > 1) key(d, t->tile.x1 - 76, MARGIN, t, column, row);
	display_anchor_at(d, arena_printf(mem, "%s:%zu", x->name, at + 1), 0, 0);
	if (at == 0) display_bookmark_at(d, 1, arena_printf(mem, "Template %s", x->name), 0);
	return d;
}

/* All that is said of the templates, one below the other; the title block of each page when all are counted. */
static void words(arena *mem, const model *m, template_sheets *out) {
	const sheetform_block none = title_block(mem, m, "templates", 1, 1);
	display *d = NULL;
	display_box area = {0};
	double y = 0;
	for (size_t i = 0; i < m->templates.n; i++) {
		display *trial = sheetform_page(mem, m->paper, false);
		area = sheetform_area(trial);
		area.x0 += 5, area.x1 -= 5, area.y0 += 2, area.y1 -= sheetform_block_height(&none);
		double high = template_text(trial, m, (model_ref)i, area.x0, 0, area.x1 - area.x0, false);
		if (!d || y + high > area.y1) {
			d = sheetform_page(mem, m->paper, false);
			d->true_size = true;
			y = area.y0;
			LIST_PUSH(mem, out, d);
		}
		y = template_text(d, m, (model_ref)i, area.x0, y, area.x1 - area.x0, false) + 5;
	}
}

/* Each page says what it belongs to: those of words by a block, those of a drawing by a line in their head. */
static void identify(arena *mem, const model *m, template_sheets *sheets, size_t n_words) {
	for (size_t i = 0; i < sheets->n; i++) {
		display *d = sheets->v[i];
		if (i >= n_words) {
			display_text_style(d, MARGIN, MARGIN + HEAD - 2.4,
					   &(display_style){.cap = CAP_SMALL, .grey = 0.25},
					   display_fit(mem, FONT_REGULAR, CAP_SMALL, d->w - 2 * MARGIN - 76,
						       title_block_line(mem, m, "templates", i + 1, sheets->n)));
			continue;
		}
		sheetform_block block = title_block(mem, m, "templates", i + 1, sheets->n);
		block.title = "Router templates", block.kind = "Router template";
		block.remark =
			"Print at 100 %, without fitting to the page. The sheets that follow show what is cut at "
			"full size.";
		sheetform_drawing(d, &block);
	}
}

void template_tiles(arena *mem, const model *m, template_sheets *out) {
	words(mem, m, out);
	size_t n_words = out->n;
	for (size_t i = 0; i < m->templates.n; i++) {
		template_must must = {0};
		const display *plate = template_plate(mem, m, (model_ref)i, &must);
		if (!plate) continue;
		tiling t = fewest(mem, m->paper, &must);
		tiled x = {m, m->templates.v[i].name, plate, &must, &t};
		for (size_t k = 0, at = 0; k < t.columns * t.rows && t.n <= MOST_SHEETS; k++)
			if (t.kept[k]) LIST_PUSH(mem, out, sheet(mem, &x, k % t.columns, k / t.columns, at++));
	}
	identify(mem, m, out, n_words);
}
