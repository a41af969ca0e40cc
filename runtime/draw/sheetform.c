#include "runtime/draw/sheetform.h"

#include <math.h>

display *sheetform_page(arena *mem, paper size, bool wide) {
	double w = size == PAPER_LETTER ? 215.9 : 210, h = size == PAPER_LETTER ? 279.4 : 297;
	return wide ? display_begin(mem, h, w) : display_begin(mem, w, h);
}

display_box sheetform_area(const display *d) {
	return (display_box){SHEETFORM_LEFT, SHEETFORM_EDGE, d->w - SHEETFORM_EDGE, d->h - SHEETFORM_EDGE};
}

display_box sheetform_text_page(display *d, const sheetform_head *head) {
	display_box a = sheetform_area(d);
	double half = (a.x1 - a.x0) * 0.7, cap = CAP_SMALL;
	display_keep_to(d, display_box_grow(a, 0.3 * cap)); /* the foot's line stands on the margin */
	if (head->book)
		display_text(d, a.x0, a.y0 + cap, cap, ALIGN_LEFT,
			     display_fit(d->mem, FONT_REGULAR, cap, half, head->book));
	if (head->edition)
		display_text(d, a.x1, a.y0 + cap, cap, ALIGN_RIGHT,
			     display_fit(d->mem, FONT_REGULAR, cap, (a.x1 - a.x0) * 0.28, head->edition));
	display_segment(d, PEN_DIM, a.x0, a.y0 + 3.4, a.x1, a.y0 + 3.4);
	display_segment(d, PEN_DIM, a.x0, a.y1 - 3.4, a.x1, a.y1 - 3.4);
	if (head->chapter)
		display_text(d, a.x0, a.y1, cap, ALIGN_LEFT,
			     display_fit(d->mem, FONT_REGULAR, cap, half, head->chapter));
	if (head->page) display_text(d, a.x1, a.y1, cap, ALIGN_RIGHT, head->page);
	return (display_box){a.x0, a.y0 + 9, a.x1, a.y1 - 8};
}

/* ---- title block ------------------------------------------------------------------------------------ */

/* One field: small label at the top, value below it, made to fit. */
static void field(display *d, double x, double y, double w, double h, const char *label, const char *value) {
	display_rect(d, PEN_DIM, FILL_NONE, x, y, w, h);
	if (!value || !*value) return;
	display_box before = display_keep_to(d, display_box_of(x, y, w, h));
	display_text(d, x + 1.2, y + 0.9 + CAP_LABEL, CAP_LABEL, ALIGN_LEFT, label);
	double cap = display_text_width(FONT_REGULAR, CAP_BODY, value) <= w - 2.4 ? CAP_BODY : CAP_SMALL;
	display_text(d, x + 1.2, y + h - 1.4, cap, ALIGN_LEFT, display_fit(d->mem, FONT_REGULAR, cap, w - 2.4, value));
	display_keep_to(d, before);
}

static void title_field(display *d, double x, double y, double w, double h, const sheetform_block *b) {
	display_rect(d, PEN_DIM, FILL_NONE, x, y, w, h);
	display_box before = display_keep_to(d, display_box_of(x, y, w, h));
	display_text(d, x + 1.2, y + 0.9 + CAP_LABEL, CAP_LABEL, ALIGN_LEFT, "Title");
	double room = w - 2.4;
	if (b->title && display_text_width(FONT_BOLD, CAP_TITLE, b->title) <= room) {
		display_bold(d, x + 1.2, y + (b->subtitle ? 9.3 : 11.5), CAP_TITLE, ALIGN_LEFT, b->title);
	} else if (b->title) {
		const char *const *line;
		size_t n = display_wrap(d->mem, FONT_BOLD, CAP_BODY, room, b->title, &line), most = b->subtitle ? 1 : 2;
		for (size_t i = 0; i < n && i < most; i++) {
			const char *text = i + 1 == most && n > most
						   ? arena_printf(d->mem, "%s %s", line[i], line[i + 1])
						   : line[i];
			display_bold(d, x + 1.2, y + 8.2 + (double)i * 4.6, CAP_BODY, ALIGN_LEFT,
				     display_fit(d->mem, FONT_BOLD, CAP_BODY, room, text));
		}
	}
	if (b->subtitle)
		display_text(d, x + 1.2, y + h - 2, CAP_BODY, ALIGN_LEFT,
			     display_fit(d->mem, FONT_REGULAR, CAP_BODY, room, b->subtitle));
	display_keep_to(d, before);
}

enum { ROW_1 = 10, ROW = 8 };

static double block_height(const sheetform_block *b) { return ROW_1 + (b->drawn || b->approved ? 4 : 3) * ROW; }

double sheetform_block_height(const sheetform_block *b) { return block_height(b) + 8; }

display_box sheetform_drawing(display *d, const sheetform_block *b) {
	display_box a = sheetform_area(d);
	double high = block_height(b), x = a.x1 - SHEETFORM_BLOCK_W, y = a.y1 - high;
	enum { A = 58, B = 80, C = 42, HALF = 22 };
	field(d, x, y, A, b->owner ? ROW_1 : ROW_1 + ROW, "Plan", b->book);
	if (b->owner) field(d, x, y + ROW_1, A, ROW, "Legal owner", b->owner);
	field(d, x, y + ROW_1 + ROW, b->issued ? HALF : A, ROW, "Edition", b->edition);
	if (b->issued) field(d, x + HALF, y + ROW_1 + ROW, A - HALF, ROW, "Date of issue", b->issued);
	field(d, x, y + ROW_1 + 2 * ROW, A, ROW, "Document type", b->kind);
	int free_rows = b->material ? 0 : b->size ? 1 : 2; /* a drawing without them has room for its title */
	title_field(d, x + A, y, B, ROW_1 + (1 + free_rows) * ROW, b);
	if (b->material) field(d, x + A, y + ROW_1 + ROW, B, ROW, "Material", b->material);
	if (b->material || b->size) field(d, x + A, y + ROW_1 + 2 * ROW, B, ROW, "Size", b->size);
	field(d, x + A + B, y, C, ROW_1, "Number", b->number);
	field(d, x + A + B, y + ROW_1, C, ROW, "Sheet", b->sheet);
	field(d, x + A + B, y + ROW_1 + ROW, C, ROW, "Scale", b->scale);
	field(d, x + A + B, y + ROW_1 + 2 * ROW, C, ROW, "Measures", b->measures);
	if (b->drawn || b->approved) {
		field(d, x, y + ROW_1 + 3 * ROW, SHEETFORM_BLOCK_W / 2.0, ROW, "Drawn by", b->drawn);
		field(d, x + SHEETFORM_BLOCK_W / 2.0, y + ROW_1 + 3 * ROW, SHEETFORM_BLOCK_W / 2.0, ROW, "Approved by",
		      b->approved);
	}
	display_rect(d, PEN_PART, FILL_NONE, x, y, SHEETFORM_BLOCK_W, high);
	/* Only the frame's own rule is thickest; the block leans on it at the lower right. */
	display_rect(d, PEN_FRAME, FILL_NONE, a.x0, a.y0, a.x1 - a.x0, a.y1 - a.y0);
	display_keep_to(d, a);
	display_box area = {a.x0 + 4, a.y0 + 4, a.x1 - 4, y - 4};
	if (b->remark) {
		double room = area.x1 - area.x0;
		display_text(d, area.x0, area.y1 + 1, CAP_SMALL, ALIGN_LEFT,
			     display_fit(d->mem, FONT_REGULAR, CAP_SMALL, room, b->remark));
		area.y1 -= 4;
	}
	return area;
}

void sheetform_check_bar(display *d, double x, double y, measures m) {
	double part = m == MEASURES_INCH ? 12.7 : 10, h = 2;
	int parts = m == MEASURES_INCH ? 4 : 5;
	for (int i = 0; i < parts; i++)
		display_rect(d, PEN_RULE, i % 2 ? FILL_WHITE : FILL_BLACK, x + i * part, y, part, h);
	const char *end = m == MEASURES_INCH ? "2 in" : "50 mm";
	display_text(d, x + parts * part + 1.5, y + 2, CAP_SMALL, ALIGN_LEFT, end);
	display_textf(d, x, y + 5.2, CAP_SMALL, ALIGN_LEFT, "Measure this bar: %s exactly.", end);
	display_text(d, x, y + 8.4, CAP_SMALL, ALIGN_LEFT, "If it is not, print again at 100 % (no scaling).");
}

/* ---- headings, items, cautions ------------------------------------------------------------------------- */

double sheetform_heading(display *d, double x, double y, double width, double cap, const char *text) {
	const char *const *lines;
	size_t n = display_wrap(d->mem, FONT_BOLD, cap, width, text, &lines);
	double base = y;
	for (size_t i = 0; i < n; i++) display_bold(d, x, base += 1.5 * cap, cap, ALIGN_LEFT, lines[i]);
	return base + fmax(1.8, 0.9 * cap);
}

double sheetform_item(display *d, double x, double y, double width, unsigned number, const char *text) {
	double indent = number ? 6.5 : 4;
	if (number)
		display_textf(d, x + indent - 1.5, y + CAP_BODY, CAP_BODY, ALIGN_RIGHT, "%u.", number);
	else
		display_text(d, x + 0.6, y + CAP_BODY, CAP_BODY, ALIGN_LEFT, "•");
	return display_paragraph(d, x + indent, y, width - indent, &(display_style){.cap = CAP_BODY}, text) + 0.6;
}

static const double STRIP = 6.2, PAD = 2.6;

/* Triangle with an exclamation mark, on the strip; dark on light or light on dark. */
static void alert_symbol(display *d, double x, double y, double h, bool on_black) {
	double w = h * 1.15;
	display_fill out = on_black ? FILL_WHITE : FILL_BLACK, in = on_black ? FILL_BLACK : FILL_WHITE;
	display_polygon(d, PEN_NONE, out, (display_point[]){{x, y + h}, {x + w / 2, y}, {x + w, y + h}}, 3);
	double cx = x + w / 2;
	display_round_rect(d, PEN_NONE, in, cx - 0.07 * h, y + 0.34 * h, 0.14 * h, 0.34 * h, 0.07 * h);
	display_circle(d, PEN_NONE, in, cx, y + 0.82 * h, 0.08 * h);
}

double sheetform_caution_height(arena *mem, double width, sheetform_signal signal, const char *text) {
	(void)signal;
	display_style style = {.cap = CAP_BODY};
	double text_h = display_paragraph_height(mem, width - 2 * PAD, &style, text);
	return STRIP + PAD + text_h - (DISPLAY_LEADING(CAP_BODY) - CAP_BODY) + PAD;
}

double sheetform_caution(display *d, double x, double y, double width, sheetform_signal signal, const char *text) {
	static const char *const WORD[] = {"WARNING", "CAUTION", "NOTICE"};
	static const display_fill FILL[] = {FILL_BLACK, FILL_MID, FILL_WHITE};
	static const display_pen PEN[] = {PEN_FRAME, PEN_OUTLINE, PEN_PART};
	double h = sheetform_caution_height(d->mem, width, signal, text);
	display_rect(d, PEN_NONE, FILL_WHITE, x, y, width, h);
	display_rect(d, PEN[signal], FILL[signal], x, y, width, STRIP);
	double at = x + PAD;
	if (signal != SIGNAL_NOTICE) {
		alert_symbol(d, at, y + 1.0, STRIP - 2.0, signal == SIGNAL_WARNING);
		at += 6.6;
	}
	display_style word = {.cap = 3.0, .font = FONT_BOLD, .grey = signal == SIGNAL_WARNING ? 1 : 0};
	display_text_style(d, at, y + (STRIP + 3.0) / 2, &word, WORD[signal]);
	display_box before = display_keep_to(d, display_box_of(x, y, width, h));
	display_paragraph(d, x + PAD, y + STRIP + PAD, width - 2 * PAD, &(display_style){.cap = CAP_BODY}, text);
	display_keep_to(d, before);
	display_rect(d, PEN[signal], FILL_NONE, x, y, width, h);
	return y + h;
}
