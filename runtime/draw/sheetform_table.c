#include <math.h>

#include "runtime/draw/sheetform.h"

/* APART: more, where what ends on the right would meet what begins on the left. */
static const double PAD_X = 1.2, PAD_Y = 0.9, TICK = 2.4, APART = 1.6;

typedef struct grid { /* a table measured for a width */
	arena *mem;
	const sheetform_table *t;
	double cap, lead, left; /* left: room for tick boxes */
	double whole;		/* width of the table */
	double *width;		/* [n_columns], padding included */
} grid;

static const char *cell(const grid *g, size_t row, size_t column) { return g->t->cell[row * g->t->n_columns + column]; }

static bool is_group(const grid *g, size_t row) {
	if (g->t->n_columns < 2 || !cell(g, row, 0)) return false;
	for (size_t c = 1; c < g->t->n_columns; c++)
		if (cell(g, row, c)) return false;
	return true;
}

static double pad_left(const grid *g, size_t column) {
	const sheetform_column *c = &g->t->column[column];
	return column && c->align == ALIGN_LEFT && c[-1].align == ALIGN_RIGHT ? PAD_X + APART : PAD_X;
}

static bool is_sum(const grid *g, size_t row) { return g->t->last_bold && row + 1 == g->t->n_rows; }

static double natural_width(const grid *g, size_t column) {
	const char *head = g->t->column[column].head;
	double w = head ? display_text_width(FONT_BOLD, g->cap, head) : 0;
	for (size_t r = 0; r < g->t->n_rows; r++) {
		const char *text = cell(g, r, column);
		if (!text || is_group(g, r)) continue;
		w = fmax(w, display_text_width(is_sum(g, r) ? FONT_BOLD : FONT_REGULAR, g->cap, text));
	}
	return w + pad_left(g, column) + PAD_X;
}

static grid measure(arena *mem, double width, const sheetform_table *t) {
	grid g = {.mem = mem, .t = t, .cap = t->cap > 0 ? t->cap : CAP_SMALL};
	g.lead = DISPLAY_LEADING(g.cap);
	g.left = t->tick_boxes ? TICK + 2 : 0;
	g.whole = width;
	g.width = ARENA_MANY(mem, double, t->n_columns);
	double fixed = 0, natural = 0, weights = 0, room = width - g.left;
	for (size_t c = 0; c < t->n_columns; c++) {
		double w = t->column[c].width;
		if (w > 0)
			fixed += g.width[c] = w;
		else if (w < 0)
			weights -= w;
		else
			natural += g.width[c] = natural_width(&g, c);
	}
	/* Too wide: columns by content give way, but keep a readable width. Sharing columns get at least a fifth. */
	double for_natural = room - fixed - (weights > 0 ? room / 5 : 0);
	if (natural > for_natural && natural > 0) {
		double part = fmax(for_natural, 0) / natural;
		natural = 0;
		for (size_t c = 0; c < t->n_columns; c++)
			if (t->column[c].width == 0) natural += g.width[c] = fmax(8, g.width[c] * part);
	}
	double left = room - fixed - natural;
	size_t by_content = 0;
	for (size_t c = 0; c < t->n_columns; c++) by_content += t->column[c].width == 0;
	for (size_t c = 0; c < t->n_columns; c++) {
		if (weights > 0 && t->column[c].width < 0) g.width[c] = fmax(10, left * -t->column[c].width / weights);
		if (!(weights > 0) && left > 0 && t->column[c].width == 0) g.width[c] += left / (double)by_content;
	}
	return g;
}

static size_t wrapped(const grid *g, display_font font, size_t column, const char *text, const char *const **lines) {
	return display_wrap(g->mem, font, g->cap, g->width[column] - pad_left(g, column) - PAD_X, text, lines);
}

static size_t group_lines(const grid *g, size_t row, const char *const **lines) {
	return display_wrap(g->mem, FONT_BOLD, g->cap, g->whole - 2 * PAD_X, cell(g, row, 0), lines);
}

static double row_height(const grid *g, size_t row) {
	if (is_group(g, row)) {
		const char *const *lines;
		return (double)(group_lines(g, row, &lines) - 1) * g->lead + g->cap + 2 * PAD_Y + 1.4;
	}
	size_t most = 1;
	for (size_t c = 0; c < g->t->n_columns; c++) {
		const char *const *lines;
		if (!cell(g, row, c)) continue;
		size_t n = wrapped(g, is_sum(g, row) ? FONT_BOLD : FONT_REGULAR, c, cell(g, row, c), &lines);
		if (n > most) most = n;
	}
	return (double)(most - 1) * g->lead + g->cap + 2 * PAD_Y + 0.5;
}

static double head_height(const grid *g) {
	size_t most = 0;
	for (size_t c = 0; c < g->t->n_columns; c++) {
		const char *const *lines;
		if (!g->t->column[c].head) continue;
		size_t n = wrapped(g, FONT_BOLD, c, g->t->column[c].head, &lines);
		if (n > most) most = n;
	}
	return most ? (double)(most - 1) * g->lead + g->cap + 2 * PAD_Y + 1 : 0;
}

/* In a cell's room, h mm high from y. */
static void put(display *d, const grid *g, double x, double y, double h, size_t column, display_font font,
		const char *text) {
	const char *const *lines;
	size_t n = wrapped(g, font, column, text, &lines);
	display_align align = g->t->column[column].align;
	double at = x + pad_left(g, column);
	if (align == ALIGN_CENTRE) at = x + g->width[column] / 2;
	if (align == ALIGN_RIGHT) at = x + g->width[column] - PAD_X;
	display_style style = {.cap = g->cap, .font = font, .align = align};
	display_box before = display_keep_to(d, display_box_of(x, y, g->width[column], h));
	for (size_t i = 0; i < n; i++) display_text_style(d, at, y + g->cap + (double)i * g->lead, &style, lines[i]);
	display_keep_to(d, before);
}

static void put_row(display *d, const grid *g, double x, double y, double h, size_t row) {
	if (is_group(g, row)) {
		const char *const *lines;
		size_t n = group_lines(g, row, &lines);
		display_box before = display_keep_to(d, display_box_of(x, y, g->whole, h));
		for (size_t i = 0; i < n; i++)
			display_bold(d, x + PAD_X, y + h - PAD_Y - 0.3 - (double)(n - 1 - i) * g->lead, g->cap,
				     ALIGN_LEFT, lines[i]);
		display_keep_to(d, before);
		return;
	}
	if (g->t->tick_boxes && !is_sum(g, row)) display_tick_box(d, x + 0.6, y + h / 2 + TICK / 2, TICK);
	double at = x + g->left;
	for (size_t c = 0; c < g->t->n_columns; at += g->width[c++])
		if (cell(g, row, c))
			put(d, g, at, y + PAD_Y + 0.25, h - PAD_Y - 0.25, c, is_sum(g, row) ? FONT_BOLD : FONT_REGULAR,
			    cell(g, row, c));
}

double sheetform_table_draw(display *d, display_box area, double y, const sheetform_table *t, size_t *row) {
	grid g = measure(d->mem, area.x1 - area.x0, t);
	double head = head_height(&g), top = y;
	if (*row >= t->n_rows) return y;
	double first = row_height(&g, *row);
	if (is_group(&g, *row) && *row + 1 < t->n_rows) first += row_height(&g, *row + 1);
	if (y + head + first > area.y1 && y > area.y0 + 1e-6) return y;
	display_segment(d, PEN_PART, area.x0, y, area.x1, y);
	if (head > 0) {
		double at = area.x0 + g.left;
		for (size_t c = 0; c < t->n_columns; at += g.width[c++])
			if (t->column[c].head)
				put(d, &g, at, y + PAD_Y + 0.5, head - PAD_Y - 0.5, c, FONT_BOLD, t->column[c].head);
		y += head;
		display_segment(d, PEN_PART, area.x0, y, area.x1, y);
	}
	size_t begun = *row;
	while (*row < t->n_rows) {
		double h = row_height(&g, *row), with_next = h;
		/* A group's heading stays with its first row. */
		if (is_group(&g, *row) && *row + 1 < t->n_rows) with_next += row_height(&g, *row + 1);
		if (y + with_next > area.y1 + 1e-6 && *row > begun) break;
		if (*row > begun) display_segment(d, is_sum(&g, *row) ? PEN_PART : PEN_RULE, area.x0, y, area.x1, y);
		put_row(d, &g, area.x0, y, h, *row);
		y += h;
		(*row)++;
	}
	display_segment(d, PEN_PART, area.x0, y, area.x1, y);
	display_take(d, (display_box){area.x0, top, area.x1, y});
	return y;
}

double *sheetform_table_rows(arena *mem, double width, const sheetform_table *t) {
	grid g = measure(mem, width, t);
	double *h = ARENA_MANY(mem, double, t->n_rows);
	for (size_t r = 0; r < t->n_rows; r++) h[r] = row_height(&g, r);
	return h;
}

double sheetform_table_height(arena *mem, double width, const sheetform_table *t, size_t from) {
	grid g = measure(mem, width, t);
	double h = head_height(&g);
	for (size_t r = from; r < t->n_rows; r++) h += row_height(&g, r);
	return h;
}
