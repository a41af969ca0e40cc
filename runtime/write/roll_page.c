/* Rolls, unrolled: pieces to scale, and under each how it is cut up. */
#include <math.h>

#include "runtime/base/text.h"
#include "runtime/write/sheet_page.h"

static const double TAPE = 7, MOST_HIGH = 42; /* height of a tape's picture; of a cloth's at most */
static const double TITLE = DISPLAY_LEADING(CAP_BODY), GAP = 6;

typedef struct picture { /* of the part of a roll that is used, and of some of the rest */
	double scale, wide, high;
	bool broken; /* not all of it is drawn */
} picture;

static bool cloth(const model *m, const model_sheet_plan *s) { return m->stocks.v[s->stock].kind == STOCK_MEDIA; }

static double used_mm(const model_sheet_plan *s) {
	double end = 0;
	for (size_t i = 0; i < s->pieces.n; i++)
		end = fmax(end, rat_double(s->pieces.v[i].x) + rat_double(s->pieces.v[i].w));
	return end;
}

static picture picture_of(const model *m, const model_sheet_plan *s, double width) {
	double whole = rat_double(s->w), used = used_mm(s), shown = fmin(whole, used * 1.3);
	picture p = {.scale = width / shown, .high = TAPE, .broken = shown < whole};
	if (cloth(m, s)) {
		p.scale = fmin(p.scale, MOST_HIGH / rat_double(s->h));
		p.high = rat_double(s->h) * p.scale;
	}
	p.wide = fmin(whole * p.scale, width);
	p.broken = p.broken && p.wide < whole * p.scale;
	return p;
}

/* How many rolls from `first` on are cut alike, the first counted. */
static size_t alike(const model *m, size_t first) {
	const model_sheet_plan *a = &m->layout.rolls.v[first];
	size_t n = 1;
	for (; first + n < m->layout.rolls.n; n++) {
		const model_sheet_plan *b = &m->layout.rolls.v[first + n];
		bool same = a->stock == b->stock && rat_eq(a->w, b->w) && a->offcut == b->offcut &&
			    a->pieces.n == b->pieces.n;
		for (size_t i = 0; same && i < a->pieces.n; i++) {
			const model_piece *p = &a->pieces.v[i], *q = &b->pieces.v[i];
			same = rat_eq(p->x, q->x) && rat_eq(p->y, q->y) && rat_eq(p->w, q->w) && rat_eq(p->h, q->h);
		}
		if (!same) break;
	}
	return n;
}

static const char *shop(arena *mem, const model *m, rat mm) { return quant_show_length(mem, mm, m->measures, false); }

/* The pieces of the band that begins at `first`; returns where the next one begins. */
static size_t band_words(textbuf *t, arena *mem, const model *m, const model_sheet_plan *s, size_t first) {
	const model_piece *q = &s->pieces.v[first];
	size_t end = first;
	bool same = true;
	rat rest = s->h;
	for (; end < s->pieces.n && rat_eq(s->pieces.v[end].x, q->x); end++) {
		same = same && rat_eq(s->pieces.v[end].h, q->h);
		rest = rat_sub(rat_sub(rest, s->pieces.v[end].h), end > first ? s->kerf : rat_int(0));
	}
	textbuf_printf(t, "%s", shop(mem, m, q->w));
	if (!cloth(m, s)) {
		textbuf_printf(t, " for %zu %s", first + 1, model_cut_name(m, s, q->part));
		return end;
	}
	textbuf_printf(t, ", across it ");
	for (size_t i = first; i < end; i++) {
		textbuf_printf(t, "%s%zu %s", i > first ? ", " : "", i + 1, model_cut_name(m, s, s->pieces.v[i].part));
		if (!same) textbuf_printf(t, " %s", shop(mem, m, s->pieces.v[i].h));
	}
	if (same) textbuf_printf(t, "%s %s", end > first + 1 ? ", each" : "", shop(mem, m, q->h));
	if (rat_sign(rest) > 0) textbuf_printf(t, ", rest %s", shop(mem, m, rest));
	return end;
}

static rat rest_of(const model_sheet_plan *s) {
	for (size_t i = 0; i < s->offcuts.n; i++) /* what is left in the roll has its whole width */
		if (rat_eq(s->offcuts.v[i].h, s->h) && rat_eq(rat_add(s->offcuts.v[i].x, s->offcuts.v[i].w), s->w))
			return s->offcuts.v[i].w;
	return rat_int(0);
}

static const char *steps(arena *mem, const model *m, size_t first, size_t n) {
	const model_sheet_plan *s = &m->layout.rolls.v[first];
	textbuf t = textbuf_begin(mem);
	if (rat_sign(s->trim[EDGE_LEFT]) > 0)
		textbuf_printf(&t, "Square the outer end, %s; then cut off ", shop(mem, m, s->trim[EDGE_LEFT]));
	else
		textbuf_printf(&t, "From the outer end cut off ");
	for (size_t i = 0; i < s->pieces.n;) {
		if (i) textbuf_printf(&t, "; ");
		i = band_words(&t, mem, m, s, i);
	}
	rat rest = rest_of(s);
	if (rat_sign(rest) > 0) textbuf_printf(&t, ". %s stay on the roll", shop(mem, m, rest));
	for (size_t k = 1; k < n; k++) {
		const model_sheet_plan *o = &m->layout.rolls.v[first + k];
		textbuf_printf(&t, ". Roll %zu: ", first + k + 1);
		for (size_t i = 0; i < o->pieces.n; i++)
			textbuf_printf(&t, "%s%s", i ? ", " : "", model_cut_name(m, o, o->pieces.v[i].part));
	}
	bool last = first + n == m->layout.rolls.n || m->layout.rolls.v[first + n].stock != s->stock;
	return arena_printf(mem, "%s%s.", t.v, last ? sheet_page_count(mem, m, s->stock) : "");
}

static double block_height(arena *mem, double width, const model *m, size_t first, size_t n) {
	display_style style = {.cap = CAP_SMALL};
	return TITLE + picture_of(m, &m->layout.rolls.v[first], width).high + 1.5 +
	       display_paragraph_height(mem, width, &style, steps(mem, m, first, n)) + GAP;
}

static void draw_piece(display *d, const model *m, const model_sheet_plan *s, size_t i, double x, double y,
		       const picture *p) {
	const model_piece *q = &s->pieces.v[i];
	double w = rat_double(q->w) * p->scale, h = cloth(m, s) ? rat_double(q->h) * p->scale : p->high;
	double left = x + rat_double(q->x) * p->scale,
	       top = cloth(m, s) ? y + p->high - rat_double(q->y) * p->scale - h : y;
	display_rect(d, PEN_EDGE, FILL_WHITE, left, top, w, h);
	const char *number = arena_printf(d->mem, "%zu", i + 1),
		   *name = arena_printf(d->mem, "%s %s", number, model_cut_name(m, s, q->part));
	if (h < CAP_SMALL + 0.6) return; /* the text has them in their order */
	bool long_one = display_text_width(FONT_REGULAR, CAP_SMALL, name) + 1.4 <= w;
	if (!long_one && display_text_width(FONT_REGULAR, CAP_SMALL, number) + 0.6 > w) return;
	display_text(d, left + w / 2, top + h / 2 + CAP_SMALL / 2, CAP_SMALL, ALIGN_CENTRE, long_one ? name : number);
}

/* The roll goes on: no outline there, but a line that is bent twice. */
static void draw_break(display *d, double x, double y, double high) {
	double bend = fmin(1.4, high / 4), mid = y + high / 2;
	display_move(d, x, y - 0.8);
	display_line(d, x, mid - bend);
	display_line(d, x - bend, mid - bend / 2);
	display_line(d, x + bend, mid + bend / 2);
	display_line(d, x, mid + bend);
	display_line(d, x, y + high + 0.8);
	display_paint(d, PEN_EDGE, FILL_NONE);
}

static void draw_roll(display *d, const model *m, const model_sheet_plan *s, double x, double y, const picture *p) {
	display_add_rect(d, x, y, p->wide, p->high);
	display_hatch(d, PEN_HATCH, 45, 2, true);
	display_paint(d, p->broken ? PEN_NONE : PEN_OUTLINE, FILL_NONE);
	if (p->broken) {
		display_move(d, x + p->wide, y);
		display_line(d, x, y);
		display_line(d, x, y + p->high);
		display_line(d, x + p->wide, y + p->high);
		display_paint(d, PEN_OUTLINE, FILL_NONE);
		draw_break(d, x + p->wide, y, p->high);
	}
	for (size_t i = 0; i < s->pieces.n; i++) draw_piece(d, m, s, i, x, y, p);
}

double sheet_page_rolls(display *d, display_box into, double y, const model *m, size_t *roll) {
	double width = into.x1 - into.x0;
	display_style style = {.cap = CAP_SMALL};
	for (size_t n = 1; *roll < m->layout.rolls.n; *roll += n) {
		const model_sheet_plan *s = &m->layout.rolls.v[*roll];
		n = alike(m, *roll);
		if (y + block_height(d->mem, width, m, *roll, n) > into.y1 && y > into.y0) return y;
		const char *which = n == 1 ? arena_printf(d->mem, "Roll %zu", *roll + 1)
					   : arena_printf(d->mem, "Rolls %zu–%zu, cut alike", *roll + 1, *roll + n);
		const char *wide = cloth(m, s) ? arena_printf(d->mem, ", %s wide", shop(d->mem, m, s->h)) : "";
		const char *title = arena_printf(d->mem, "%s: %s, %s%s%s", which, m->stocks.v[s->stock].label,
						 model_roll_words(m, s->w), wide, s->offcut ? ", offcut on hand" : "");
		display_bold(d, into.x0, y + CAP_BODY, CAP_BODY, ALIGN_LEFT,
			     display_fit(d->mem, FONT_BOLD, CAP_BODY, width, title));
		picture p = picture_of(m, s, width);
		draw_roll(d, m, s, into.x0, y + TITLE, &p);
		y = display_paragraph(d, into.x0, y + TITLE + p.high + 1.5, width, &style, steps(d->mem, m, *roll, n)) +
		    GAP;
	}
	return y;
}
