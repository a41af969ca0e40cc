/* Where each part lies on its sheet or bar, and in which order the saw goes. */
#include "runtime/write/book_build.h"
#include "runtime/write/sheet_page.h"

static void one_sheet(book *b, size_t sheet) {
	const model *m = b->m;
	const model_sheet_plan *s = &m->layout.sheets.v[sheet];
	sheetform_table cuts = sheet_page_cuts(b->mem, m, sheet);
	cuts.cap = BOOK_TABLE;
	double table = sheetform_table_height(b->mem, book_width(b), &cuts, 0), page = b->area.y1 - b->area.y0;
	double ratio = rat_double(s->h) / rat_double(s->w), picture = book_width(b) * (ratio < 1 ? ratio : 1) + 24;
	double all = 22 + picture + table;
	/* Drawing and sequence lie under one's eyes together when one page holds them. */
	if (b->y > b->area.y0 + 1 && all > book_left(b)) book_page(b);
	if (b->y > b->area.y0 + 1) b->y += 4;
	if (picture > page * 0.6) picture = page * 0.6;
	const char *title = sheet_page_title(b->mem, m, sheet);
	display_bookmark_at(b->page, 2, title, b->y);
	display_anchor_at(b->page, arena_printf(b->mem, "sheet:%zu", sheet + 1), b->area.x0, b->y);
	b->y = sheetform_heading(b->page, b->area.x0, b->y, CAP_TITLE, title);
	book_small(b, sheet_page_facts(b->mem, m, sheet));
	display_box into = display_box_of(b->area.x0, b->y, book_width(b), picture);
	sheet_page_drawing d = sheet_page_draw(b->page, into, m, sheet);
	b->y = d.bottom + 4;
	book_table(b, &cuts);
}

static void bars(book *b) {
	const model *m = b->m;
	if (!m->layout.bars.n) return;
	if (book_left(b) < 60) book_page(b);
	book_heading(b, "Bars");
	display_anchor_at(b->page, "bars", b->area.x0, b->y);
	for (size_t bar = 0; bar < m->layout.bars.n;) {
		b->y = sheet_page_bars(b->page, b->area, b->y, m, &bar);
		if (bar < m->layout.bars.n) book_page(b);
	}
	b->y += BOOK_GAP;
}

void book_sheets(book *b) {
	const model *m = b->m;
	if (!m->layout.sheets.n && !m->layout.bars.n) return;
	book_chapter(b, "Sheets and bars: what is cut where", "sheets");
	book_paragraph(b, "Every cut runs from edge to edge of the piece it divides. Make the cuts in the order of "
			  "their numbers; the "
			  "fence is set to the width of the piece that is kept, the kerf lies beyond it.");
	b->y += 2;
	for (size_t i = 0; i < m->layout.sheets.n; i++) one_sheet(b, i);
	bars(b);
}
