/* Titles, cutting sequence, bars, and pages of their own for layouts. */
#include <math.h>

#include "runtime/engine/mitre.h"
#include "runtime/write/cut_steps.h"
#include "runtime/write/cuts_write.h"
#include "runtime/write/sheet_page.h"
#include "runtime/write/svg.h"

const char *sheet_page_title(arena *mem, const model *m, size_t sheet) {
	const model_sheet_plan *s = &m->layout.sheets.v[sheet];
	return arena_printf(mem, "Sheet %zu of %zu: %s%s", sheet + 1, m->layout.sheets.n, m->stocks.v[s->stock].label,
			    s->offcut ? ", offcut on hand" : "");
}

static const char *plural(size_t n) { return n == 1 ? "" : "s"; }

const char *sheet_page_count(arena *mem, const model *m, model_ref stock) {
	for (size_t i = 0; i < m->layout.counts.n; i++)
		if (m->layout.counts.v[i].stock == stock)
			return arena_printf(mem, ". All of this stock: %s",
					    cuts_write_count_words(mem, m, &m->layout.counts.v[i]));
	return "";
}

/* "trim 10 mm each edge, ", "trim 20 mm left, 5 mm bottom, ". */
static const char *trim_text(arena *mem, const model *m, const model_sheet_plan *s) {
	bool alike = true;
	textbuf t = textbuf_begin(mem);
	for (int e = 0; e < EDGES; e++) {
		alike = alike && rat_eq(s->trim[e], s->trim[0]);
		if (rat_sign(s->trim[e]) > 0)
			textbuf_printf(&t, "%s%s %s, ", t.n ? "" : "trim ",
				       quant_show_length(mem, s->trim[e], m->measures, false), MODEL_EDGE_WORD[e]);
	}
	if (!alike || !t.n) return t.v;
	return arena_printf(mem, "trim %s each edge, ", quant_show_length(mem, s->trim[0], m->measures, false));
}

const char *sheet_page_facts(arena *mem, const model *m, size_t sheet) {
	const model_sheet_plan *s = &m->layout.sheets.v[sheet];
	const char *trim = trim_text(mem, m, s);
	return arena_printf(
		mem, "%s × %s, %skerf %s%s, %zu part%s, %zu cut%s with %u saw setting%s, %.0f %% becomes parts%s",
		quant_show_length(mem, s->w, m->measures, false), quant_show_length(mem, s->h, m->measures, false),
		trim, quant_show_length(mem, s->kerf, m->measures, false),
		m->layout.saw == MODEL_NONE ? " (assumed)" : "", s->pieces.n, plural(s->pieces.n), s->cuts.n,
		plural(s->cuts.n), s->settings, plural(s->settings), s->used_part * 100,
		sheet_page_count(mem, m, s->stock));
}

static const sheetform_column CUT_COLUMNS[] = {{"Cut", 9, ALIGN_RIGHT},		 {"Way", 24, ALIGN_LEFT},
					       {"Fence", 30, ALIGN_RIGHT},	 {"Take", -3, ALIGN_LEFT},
					       {"At the fence", -4, ALIGN_LEFT}, {"Beyond the blade", -4, ALIGN_LEFT}};
enum { N_CUT_COLUMNS = 6 };

static const char *rect_text(arena *mem, const model *m, rat w, rat h) {
	return arena_printf(mem, "%s × %s", quant_show_length(mem, w, m->measures, true),
			    quant_show_length(mem, h, m->measures, true));
}

/* With its size, but for finished parts: theirs stands in the drawing. */
static const char *side_text(arena *mem, const model *m, const model_sheet_plan *s, const model_cut *c,
			     const cut_side *side) {
	const char *text = cut_steps_side(mem, m, s, c, side);
	if (side->is != BECOMES_PIECE && side->is != BECOMES_OFFCUT) return text;
	return arena_printf(mem, "%s, %s", text, rect_text(mem, m, side->w, side->h));
}

sheetform_table sheet_page_cuts(arena *mem, const model *m, size_t sheet) {
	const model_sheet_plan *s = &m->layout.sheets.v[sheet];
	const char **cell = ARENA_MANY(mem, const char *, s->cuts.n *N_CUT_COLUMNS + 1);
	const cut_step *steps = cut_steps(mem, m, s);
	for (size_t i = 0; i < s->cuts.n; i++) {
		const model_cut *c = &s->cuts.v[i];
		const char **row = &cell[i * N_CUT_COLUMNS];
		const char *fence = quant_show_length(mem, c->fence, m->measures, true);
		row[0] = arena_printf(mem, "%u", c->number);
		row[1] = steps[i].sled ? arena_printf(mem, "%s, sled", cuts_write_cut_word(c)) : cuts_write_cut_word(c);
		row[2] = steps[i].set ? fence : arena_printf(mem, "as set: %s", fence);
		row[3] = cut_steps_from(mem, m, s, &steps[i]);
		row[4] = side_text(mem, m, s, c, &steps[i].kept);
		row[5] = side_text(mem, m, s, c, &steps[i].other);
	}
	return (sheetform_table){.column = CUT_COLUMNS, .n_columns = N_CUT_COLUMNS, .cell = cell, .n_rows = s->cuts.n};
}

/* ---- bars ------------------------------------------------------------------------------------------- */

static const double STRIP = 7, BAR_BLOCK = 21; /* height of a bar's picture; of all that belongs to it */

/* How many bars from `first` on are cut alike, the first counted. */
static size_t alike(const model *m, size_t first) {
	const model_bar_plan *a = &m->layout.bars.v[first];
	size_t n = 1;
	for (; first + n < m->layout.bars.n; n++) {
		const model_bar_plan *b = &m->layout.bars.v[first + n];
		if (a->stock != b->stock || !rat_eq(a->length, b->length) || a->pieces.n != b->pieces.n) return n;
		for (size_t i = 0; i < a->pieces.n; i++)
			if (!rat_eq(a->pieces.v[i].x, b->pieces.v[i].x) ||
			    !rat_eq(a->pieces.v[i].w, b->pieces.v[i].w) ||
			    a->pieces.v[i].turned != b->pieces.v[i].turned ||
			    !cut_steps_same_ends(&m->parts.v[a->pieces.v[i].part], &m->parts.v[b->pieces.v[i].part]))
				return n;
	}
	return n;
}

static const char *bar_list(arena *mem, const model *m, size_t first, size_t n) {
	const model_bar_plan *b = &m->layout.bars.v[first];
	textbuf t = textbuf_begin(mem);
	for (size_t i = 0; i < b->pieces.n; i++) {
		const model_piece *q = &b->pieces.v[i];
		const char *ends = cut_steps_ends(mem, &m->parts.v[q->part]);
		textbuf_printf(&t, "%s%zu %s %s", i ? ", " : "", i + 1, m->parts.v[q->part].name,
			       quant_show_length(mem, q->w, m->measures, true));
		if (ends[0]) textbuf_printf(&t, " (%s%s)", ends, q->turned ? "; turned over" : "");
	}
	if (rat_sign(b->rest) > 0) textbuf_printf(&t, "; rest %s", quant_show_length(mem, b->rest, m->measures, true));
	for (size_t k = 1; k < n; k++) {
		const model_bar_plan *o = &m->layout.bars.v[first + k];
		textbuf_printf(&t, ". Bar %zu: ", first + k + 1);
		for (size_t i = 0; i < o->pieces.n; i++)
			textbuf_printf(&t, "%s%s", i ? ", " : "", m->parts.v[o->pieces.v[i].part].name);
	}
	bool last = first + n == m->layout.bars.n || m->layout.bars.v[first + n].stock != b->stock;
	if (last) textbuf_printf(&t, "%s", sheet_page_count(mem, m, b->stock));
	return t.v;
}

/* The angle of a mitred end, inside the piece where it is broad again. */
static void bar_angle(display *d, const model_part *p, int end, double x, double y, double width) {
	if (!(p->mitre[end].angle_deg > 0)) return;
	const char *text = arena_printf(d->mem, "%s°", quant_show_number(d->mem, p->mitre[end].angle_deg, 2));
	if (display_text_width(FONT_REGULAR, CAP_SMALL, text) * 3.5 > width) return; /* the list has it */
	display_text(d, x + (end ? -0.7 : 0.7), y + STRIP / 2 + CAP_SMALL / 2, CAP_SMALL,
		     end ? ALIGN_RIGHT : ALIGN_LEFT, text);
}

/* Seen from a side on which the points lie above or below; mitred ends are drawn to scale along the bar. */
static void bar_piece(display *d, const model_part *p, const model_piece *q, size_t number, double x, double y,
		      double scale) {
	double left = x + rat_double(q->x) * scale, width = rat_double(q->w) * scale;
	double above[2], below[2];
	for (int end = 0; end < 2; end++) {
		double back = mitre_setback_mm(p, end) * scale, at = end ? left + width : left;
		bool up = face_high(p->mitre[end].point) != q->turned;
		above[end] = at + (up ? 0 : end ? -back : back);
		below[end] = at + (up ? (end ? -back : back) : 0);
	}
	display_move(d, above[0], y);
	display_line(d, above[1], y);
	display_line(d, below[1], y + STRIP);
	display_line(d, below[0], y + STRIP);
	display_close(d);
	display_paint(d, PEN_EDGE, FILL_WHITE);
	for (int end = 0; end < 2; end++)
		bar_angle(d, p, end, end ? fmin(above[1], below[1]) : fmax(above[0], below[0]), y, width);
	const char *text = arena_printf(d->mem, "%zu", number);
	if (display_text_width(FONT_REGULAR, CAP_SMALL, text) + 0.6 > width) return; /* the list has it, in order */
	display_text(d, left + width / 2, y + STRIP / 2 + CAP_SMALL / 2, CAP_SMALL, ALIGN_CENTRE, text);
}

static double bar_height(arena *mem, double width, const model *m, size_t first, size_t n) {
	display_style style = {.cap = CAP_SMALL};
	return BAR_BLOCK - DISPLAY_LEADING(CAP_SMALL) +
	       display_paragraph_height(mem, width, &style, bar_list(mem, m, first, n));
}

static double longest_bar(const model *m) {
	double longest = 1;
	for (size_t i = 0; i < m->layout.bars.n; i++) longest = fmax(longest, rat_double(m->layout.bars.v[i].length));
	return longest;
}

double sheet_page_bars(display *d, display_box into, double y, const model *m, size_t *bar) {
	double width = into.x1 - into.x0, scale = width / longest_bar(m);
	display_style style = {.cap = CAP_SMALL};
	for (size_t n = 1; *bar < m->layout.bars.n; *bar += n) {
		const model_bar_plan *b = &m->layout.bars.v[*bar];
		n = alike(m, *bar);
		double height = bar_height(d->mem, width, m, *bar, n);
		const char *which = n == 1 ? arena_printf(d->mem, "Bar %zu", *bar + 1)
					   : arena_printf(d->mem, "Bars %zu–%zu, cut alike", *bar + 1, *bar + n);
		if (y + height > into.y1 && y > into.y0) return y;
		const char *title = arena_printf(d->mem, "%s: %s, %s%s", which, m->stocks.v[b->stock].label,
						 quant_show_length(d->mem, b->length, m->measures, false),
						 b->offcut ? ", offcut on hand" : "");
		display_bold(d, into.x0, y + CAP_BODY, CAP_BODY, ALIGN_LEFT,
			     display_fit(d->mem, FONT_BOLD, CAP_BODY, width, title));
		double top = y + DISPLAY_LEADING(CAP_BODY);
		display_add_rect(d, into.x0, top, rat_double(b->length) * scale, STRIP);
		display_hatch(d, PEN_HATCH, 45, 2, true);
		display_paint(d, PEN_OUTLINE, FILL_NONE);
		for (size_t i = 0; i < b->pieces.n; i++)
			bar_piece(d, &m->parts.v[b->pieces.v[i].part], &b->pieces.v[i], i + 1, into.x0, top, scale);
		display_paragraph(d, into.x0, top + STRIP + 1.5, width, &style, bar_list(d->mem, m, *bar, n));
		y += height;
	}
	return y;
}

/* ---- pages of their own ------------------------------------------------------------------------------------ */

static const double WIDE = 297, MARGIN = 10;

static double title_lines(display *d, const char *title, const char *facts) {
	display_box b = {MARGIN, MARGIN, d->w - MARGIN, d->h - MARGIN};
	display_style head = {.cap = CAP_TITLE, .font = FONT_BOLD}, small = {.cap = CAP_SMALL};
	double y = display_paragraph(d, b.x0, b.y0, b.x1 - b.x0, &head, title);
	if (facts) y = display_paragraph(d, b.x0, y + 1, b.x1 - b.x0, &small, facts);
	return y + 3;
}

display *sheet_page_alone(arena *mem, const model *m, size_t sheet) {
	const char *title = sheet_page_title(mem, m, sheet), *facts = sheet_page_facts(mem, m, sheet);
	if (m->title) title = arena_printf(mem, "%s. %s", m->title, title);
	sheetform_table cuts = sheet_page_cuts(mem, m, sheet);
	double tall = sheetform_table_height(mem, WIDE - 2 * MARGIN, &cuts, 0);
	/* The page is as high as what stands on it: a first page, higher than any, tells. */
	display *d = NULL;
	double high = 5000;
	for (int round = 0; round < 2; round++) {
		d = display_begin(mem, WIDE, high);
		d->title = title;
		double y = title_lines(d, title, facts);
		sheet_page_drawing r = sheet_page_draw(d, (display_box){MARGIN, y, WIDE - MARGIN, y + 190}, m, sheet);
		const char *scale = arena_printf(mem, "Scale %s", r.scale_name);
		display_text(d, MARGIN, r.bottom + 4, CAP_SMALL, ALIGN_LEFT, scale);
		y = r.bottom + 8;
		size_t row = 0;
		if (cuts.n_rows)
			y = sheetform_table_draw(d, (display_box){MARGIN, y, WIDE - MARGIN, y + tall + 5}, y, &cuts,
						 &row);
		high = ceil(y + MARGIN);
	}
	return d;
}

/* As high as all of them take. */
static display *all_alone(arena *mem, const model *m, const char *what,
			  double (*draw)(display *, display_box, double, const model *, size_t *)) {
	const char *title = m->title ? arena_printf(mem, "%s. %s", m->title, what) : what;
	display *d = NULL;
	double high = 20000;
	for (int round = 0; round < 2; round++) {
		size_t one = 0;
		d = display_begin(mem, WIDE, high);
		d->title = title;
		double y = title_lines(d, title, NULL);
		high = ceil(draw(d, (display_box){MARGIN, y, WIDE - MARGIN, high}, y, m, &one) + MARGIN);
	}
	return d;
}

display *sheet_page_bars_alone(arena *mem, const model *m) { return all_alone(mem, m, "Bars", sheet_page_bars); }
display *sheet_page_rolls_alone(arena *mem, const model *m) { return all_alone(mem, m, "Rolls", sheet_page_rolls); }

static const char *add_svg(outset *o, const display *d, const char *name) {
	textbuf out = textbuf_begin(o->mem);
	const char *why = svg_write(&out, d, false);
	if (why) return arena_printf(o->mem, "%s: %s", name, why);
	outset_add(o, name, out.v, out.n);
	return NULL;
}

const char *sheet_page_write(outset *o, const model *m) {
	const char *why = NULL;
	for (size_t i = 0; i < m->layout.sheets.n && !why; i++)
		why = add_svg(o, sheet_page_alone(o->mem, m, i), arena_printf(o->mem, "sheet-%02zu.svg", i + 1));
	if (!why && m->layout.bars.n) why = add_svg(o, sheet_page_bars_alone(o->mem, m), "bars.svg");
	if (!why && m->layout.rolls.n) why = add_svg(o, sheet_page_rolls_alone(o->mem, m), "rolls.svg");
	return why;
}
