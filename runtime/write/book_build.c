/* Pages that fill from the top, and blocks that are not torn apart. */
#include "runtime/write/book_build.h"

#include <math.h>
#include <stdarg.h>

#include "runtime/base/text.h"

double book_width(const book *b) { return b->area.x1 - b->area.x0; }

double book_left(const book *b) { return b->page ? b->area.y1 - b->y : 0; }

const char *book_next_page_words(const book *b) {
	return arena_printf(b->mem, "%zu of %zu", b->pages.n + 1, b->total ? b->total : b->pages.n + 1);
}

void book_page(book *b) {
	b->page = sheetform_page(b->mem, b->m->paper, false);
	sheetform_head head = {.book = b->m->title,
			       .edition = b->m->edition ? arena_printf(b->mem, "Edition %s", b->m->edition) : NULL,
			       .chapter = b->chapter,
			       .page = book_next_page_words(b)};
	b->area = sheetform_text_page(b->page, &head);
	b->y = b->area.y0;
	LIST_PUSH(b->mem, &b->pages, b->page);
}

void book_foreign_page(book *b, display *d) {
	LIST_PUSH(b->mem, &b->pages, d);
	b->page = NULL;
}

static void chapter_head(book *b, const char *title, const char *anchor) {
	display_anchor_at(b->page, anchor, b->area.x0, b->y);
	display_bookmark_at(b->page, 1, title, b->y);
	b->y = sheetform_heading(b->page, b->area.x0, b->y, book_width(b), CAP_HEAD, title);
}

void book_chapter(book *b, const char *title, const char *anchor) {
	b->chapter = title;
	book_page(b);
	chapter_head(b, title, anchor);
}

void book_chapter_if_room(book *b, const char *title, const char *anchor, double room) {
	if (!b->page || book_left(b) < room + 22) {
		book_chapter(b, title, anchor);
		return;
	}
	b->chapter = title;
	b->y += 8;
	display_segment(b->page, PEN_EDGE, b->area.x0, b->y, b->area.x1, b->y);
	b->y += 7;
	chapter_head(b, title, anchor);
}

bool book_need(book *b, double height) {
	const double rounding = 0.05;
	if (b->page && b->y + height <= b->area.y1 + rounding) return false;
	book_page(b);
	return true;
}

size_t book_page_of(const book *b, const char *anchor) {
	for (size_t i = 0; i < b->marks.n; i++)
		if (text_same(b->marks.v[i].name, anchor)) return b->marks.v[i].page;
	return 0;
}

const char *book_page_word(const book *b, const char *anchor) {
	size_t page = book_page_of(b, anchor);
	return page ? arena_printf(b->mem, "%zu", page) : "00";
}

/* ---- blocks ------------------------------------------------------------------------------------ */

display *book_block(const book *b) { return display_begin(b->mem, book_width(b), 4000); }

void book_place(book *b, const display *block, double height) {
	book_need(b, height);
	display_place(b->page, block, b->area.x0, b->y, 1);
	b->y += height;
}

void book_heading_with(book *b, const char *text, double height) {
	const double gap = 3;
	double head = gap + sheetform_heading(book_block(b), 0, 0, book_width(b), CAP_TITLE, text);
	bool fits_a_page = head + height <= b->area.y1 - b->area.y0;
	book_need(b, fits_a_page ? head + height : 38);
	if (b->y > b->area.y0 + 1) b->y += gap;
	b->y = sheetform_heading(b->page, b->area.x0, b->y, book_width(b), CAP_TITLE, text);
}

void book_heading(book *b, const char *text) { book_heading_with(b, text, 22); }

void book_subheading(book *b, const char *text) {
	book_need(b, 24);
	b->y = sheetform_heading(b->page, b->area.x0, b->y, book_width(b), CAP_BODY, text);
}

/* Running text keeps to a measure that the eye can follow. */
static double measure(const book *b) { return book_width(b) * 0.86; }

static void styled(book *b, const display_style *style, double gap, const char *text) {
	double height = display_paragraph_height(b->mem, measure(b), style, text);
	book_need(b, height);
	b->y = display_paragraph(b->page, b->area.x0, b->y, measure(b), style, text) + gap;
}

void book_paragraph(book *b, const char *text) {
	const display_style style = {.cap = CAP_BODY};
	styled(b, &style, 2.2, text);
}

void book_small(book *b, const char *text) {
	const display_style style = {.cap = BOOK_SMALL, .grey = 0.2};
	styled(b, &style, 1.6, text);
}

double book_small_height(const book *b, const char *text) {
	const display_style style = {.cap = BOOK_SMALL};
	return display_paragraph_height(b->mem, measure(b), &style, text);
}

void book_item_line(book *b, unsigned number, const char *text) {
	display *block = book_block(b);
	double height = sheetform_item(block, 0, 0, measure(b), number, text);
	book_place(b, block, height);
}

void book_caution(book *b, sheetform_signal signal, const char *text) {
	book_need(b, sheetform_caution_height(b->mem, book_width(b), signal, text));
	b->y = sheetform_caution(b->page, b->area.x0, b->y, book_width(b), signal, text) + 3;
}

/* The page after, with the name of what the table belongs to. */
static void table_page(book *b) {
	book_page(b);
	if (!b->continues) return;
	display_bold(b->page, b->area.x0, b->y + 3, 2.6, ALIGN_LEFT,
		     arena_printf(b->mem, "%s (continued)", b->continues));
	b->y += 7;
}

void book_table(book *b, const sheetform_table *t) {
	size_t row = 0;
	/* A table begins on a new page when it fits there whole; one whose head goes on over the pages goes over, some
	 * rows early when else a torn-off row or two would be left for the next page. */
	const double least = 25;
	double whole = sheetform_table_height(b->mem, book_width(b), t, 0), head = b->continues ? 7 : 0;
	double left = book_left(b), early = fmax(0, least - (whole - left));
	bool goes_over = b->continues && left - early >= 40;
	if (whole > left && ((whole + head <= b->area.y1 - b->area.y0 && !goes_over) || left < 40))
		table_page(b), goes_over = false;
	while (row < t->n_rows) {
		size_t before = row;
		/* At the head of its area a table draws at least one row. */
		display_box area = b->area;
		if (row == 0 && goes_over && whole > left) area.y1 -= early;
		if (b->continues && b->y <= area.y0 + 7.01) area.y0 = b->y;
		b->y = sheetform_table_draw(b->page, area, b->y, t, &row);
		if (row < t->n_rows && (row > before || b->y > b->area.y0)) table_page(b);
	}
	b->y += BOOK_GAP;
}

void book_row(book *b, book_cells *c, ...) {
	va_list args;
	va_start(args, c);
	for (size_t i = 0; i < c->columns; i++) LIST_PUSH(b->mem, &c->v, va_arg(args, const char *));
	va_end(args);
}

void book_group_row(book *b, book_cells *c, const char *text) {
	for (size_t i = 0; i < c->columns; i++) LIST_PUSH(b->mem, &c->v, i == 0 ? text : NULL);
}

double book_cells_height(const book *b, const sheetform_column *columns, size_t n, const book_cells *c) {
	sheetform_table t = {
		.column = columns, .n_columns = n, .cell = c->v.v, .n_rows = c->v.n / n, .cap = BOOK_TABLE};
	return t.n_rows ? sheetform_table_height(b->mem, book_width(b), &t, 0) : 0;
}

void book_cells_draw(book *b, const sheetform_column *columns, size_t n, const book_cells *c, bool tick_boxes,
		     bool last_bold) {
	sheetform_table t = {.column = columns,
			     .n_columns = n,
			     .cell = c->v.v,
			     .n_rows = c->v.n / n,
			     .cap = BOOK_TABLE,
			     .tick_boxes = tick_boxes,
			     .last_bold = last_bold};
	if (t.n_rows) book_table(b, &t);
}

void book_link(book *b, display_box box, const char *anchor) {
	if (anchor && anchor[0] && book_page_of(b, anchor)) display_link_to(b->page, box, anchor);
}
