/* Where each part lies on its sheet, bar or roll, and in which order the saw goes. */
#include <math.h>

#include "runtime/write/book_build.h"
#include "runtime/write/sheet_page.h"

/* With their heading, if one page holds them. */
static double bars_height(book *b) {
	display *trial = display_begin(b->mem, b->page->w, b->page->h);
	size_t bar = 0;
	return 14 + sheet_page_bars(trial, b->area, b->area.y0, b->m, &bar) - b->area.y0;
}

enum { SHEET_GAP = 4, LEAST_PICTURE = 56, LEAST_SHEET = 80 };

typedef struct book_sheet { /* what stands above and below the picture of a sheet */
	double head, table;
	sheetform_table cuts;
	sheet_page_known tried;
} book_sheet;

typedef struct sheet_block { /* one sheet, measured */
	double picture, all;
	bool legible; /* the sheet's long side is not too short on the page */
} sheet_block;

static void measure_texts(book *b) {
	size_t n = b->m->layout.sheets.n;
	b->sheet = ARENA_MANY(b->keep, book_sheet, n);
	for (size_t i = 0; i < n; i++) {
		book_sheet *s = &b->sheet[i];
		s->head = 11.5 + book_small_height(b, sheet_page_facts(b->mem, b->m, i));
		s->cuts = sheet_page_cuts(b->keep, b->m, i);
		s->cuts.cap = BOOK_TABLE;
		s->table = sheetform_table_height(b->mem, book_width(b), &s->cuts, 0);
	}
}

static sheet_block measured(book *b, size_t sheet, double picture) {
	book_sheet *s = &b->sheet[sheet];
	sheet_page_drawing d = sheet_page_measure(b->keep, &s->tried, book_width(b), picture, b->m, sheet);
	return (sheet_block){.picture = picture,
			     .all = s->head + d.bottom + 4 + s->table,
			     .legible = fmax(d.sheet.x1 - d.sheet.x0, d.sheet.y1 - d.sheet.y0) >= LEAST_SHEET};
}

static double largest_picture(const book *b, size_t sheet) {
	const model_sheet_plan *s = &b->m->layout.sheets.v[sheet];
	double ratio = rat_double(s->h) / rat_double(s->w);
	return fmin(book_width(b) * fmin(ratio, 1) + 18, 0.6 * (b->area.y1 - b->area.y0));
}

/* What the bars take below the last sheet, when a page can hold them there. */
static double bars_after(book *b, size_t sheet) {
	if (sheet + 1 < b->m->layout.sheets.n || !b->m->layout.bars.n) return 0;
	double high = BOOK_GAP + bars_height(b);
	return high < 0.3 * (b->area.y1 - b->area.y0) ? high : 0;
}

/* Drawing and sequence lie under one's eyes together when one page holds them; two sheets share a page when smaller
 * drawings make that possible. */
static double picture_height(book *b, size_t sheet, double room) {
	double most = largest_picture(b, sheet), page = b->area.y1 - b->area.y0;
	bool next = sheet + 1 < b->m->layout.sheets.n, begins = room > page * 0.8;
	for (double high = most; high >= LEAST_PICTURE; high -= 3) {
		sheet_block s = measured(b, sheet, high);
		if (!s.legible) break;
		if (!begins && s.all <= room) return high;
		if (!begins || !next) continue;
		sheet_block t = measured(b, sheet + 1, high);
		if (t.legible && s.all + BOOK_GAP + SHEET_GAP + t.all + bars_after(b, sheet + 1) <= room) return high;
	}
	return most;
}

static void one_sheet(book *b, size_t sheet) {
	const model *m = b->m;
	bool begun = b->y > b->area.y0 + 1;
	sheet_block s = measured(
		b, sheet, picture_height(b, sheet, book_left(b) - bars_after(b, sheet) - (begun ? SHEET_GAP : 0)));
	if (begun && SHEET_GAP + s.all > book_left(b)) {
		book_page(b), begun = false;
		s = measured(b, sheet, picture_height(b, sheet, book_left(b)));
	}
	if (begun) b->y += SHEET_GAP;
	const char *title = sheet_page_title(b->mem, m, sheet);
	display_bookmark_at(b->page, 2, title, b->y);
	display_anchor_at(b->page, arena_printf(b->mem, "sheet:%zu", sheet + 1), b->area.x0, b->y);
	b->y = sheetform_heading(b->page, b->area.x0, b->y, book_width(b), CAP_TITLE, title);
	book_small(b, sheet_page_facts(b->mem, m, sheet));
	display_box into = display_box_of(b->area.x0, b->y, book_width(b), s.picture);
	sheet_page_drawing d = sheet_page_draw(b->page, into, m, sheet);
	b->y = d.bottom + 4;
	book_table(b, &b->sheet[sheet].cuts);
}

static void bars(book *b) {
	const model *m = b->m;
	if (!m->layout.bars.n) return;
	book_heading_with(b, "Bars", fmin(bars_height(b) - 14, 60));
	display_anchor_at(b->page, "bars", b->area.x0, b->y);
	for (size_t bar = 0; bar < m->layout.bars.n;) {
		b->y = sheet_page_bars(b->page, b->area, b->y, m, &bar);
		if (bar < m->layout.bars.n) book_page(b);
	}
	if (!m->layout.rolls.n) b->y += BOOK_GAP;
}

/* The heading stands where the first of them has room below it. */
static void rolls(book *b) {
	const model *m = b->m;
	size_t roll = 0;
	if (!m->layout.rolls.n) return;
	const char *how =
		"Unroll on a clean floor, measure the lengths off along one edge and cut along a straightedge "
		"at right angles to it; then divide each length along the roll.";
	display *trial = display_begin(b->mem, b->page->w, b->page->h);
	display_box one = {b->area.x0, b->area.y0, b->area.x1, b->area.y0};
	double first = sheet_page_rolls(trial, one, b->area.y0, m, &roll) - b->area.y0;
	book_heading_with(b, "Rolls", first + book_small_height(b, how));
	display_anchor_at(b->page, "rolls", b->area.x0, b->y);
	book_small(b, how);
	for (roll = 0; roll < m->layout.rolls.n;) {
		b->y = sheet_page_rolls(b->page, b->area, b->y, m, &roll);
		if (roll < m->layout.rolls.n) book_page(b);
	}
	b->y += BOOK_GAP;
}

static const char *sheet_words(book *b) {
	return arena_printf(
		b->mem,
		"Every cut runs from edge to edge of the piece it divides. Make the cuts in the order of their "
		"numbers. Each names the piece to take; the fence is set to the size of what lies between it "
		"and "
		"the blade, the kerf lies beyond. The reference edge, trimmed or the factory's, goes to the "
		"fence. "
		"With a track saw, measure that size from the same edge and lay the rail on the side that is "
		"kept. "
		"A cut marked “sled” has less than %s along the fence: guide the piece on a sled or a mitre "
		"gauge, against a stop clear of the blade, never by the fence alone.",
		book_length(b, b->m->layout.guide));
}

static const char *bar_words(book *b) {
	bool mitred = false;
	for (size_t i = 0; i < b->m->parts.n; i++)
		mitred = mitred || b->m->parts.v[i].mitre[0].angle_deg > 0 || b->m->parts.v[i].mitre[1].angle_deg > 0;
	const char *plain = "Saw the pieces of a bar in their order, each against a stop at its length.";
	if (!mitred) return plain;
	return arena_printf(
		b->mem,
		"%s Angles count from square, lengths run to the long points; the side behind the angle is where "
		"that end stays longest. Where two pieces meet in a slant, one cut ends the first and begins the "
		"second; "
		"a piece that lies turned over has its sides at the other edge of the bar: swing the saw to the other "
		"side for its ends, or turn the bar over.",
		plain);
}

void book_sheets(book *b) {
	const model *m = b->m;
	if (!m->layout.sheets.n && !m->layout.bars.n && !m->layout.rolls.n) return;
	book_chapter(b, "Sheets and bars: what is cut where", "sheets");
	if (m->layout.sheets.n) book_paragraph(b, sheet_words(b));
	if (m->layout.bars.n) book_paragraph(b, bar_words(b));
	b->y += 2;
	if (!b->sheet) measure_texts(b);
	for (size_t i = 0; i < m->layout.sheets.n; i++) one_sheet(b, i);
	bars(b);
	rolls(b);
}
