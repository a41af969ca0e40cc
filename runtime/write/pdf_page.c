#include "runtime/write/pdf_page.h"

#include <math.h>
#include <string.h>

#include "runtime/draw/font.h"

void pdf_number(textbuf *out, double v) {
	/* A thousandth of a point is a third of a micrometre. Own digits: printf costs more than all the rest. */
	long long n = llround(v * 1000);
	char digits[32];
	size_t at = sizeof digits;
	bool negative = n < 0;
	unsigned long long u = negative ? 0ULL - (unsigned long long)n : (unsigned long long)n;
	unsigned fraction = (unsigned)(u % 1000);
	u /= 1000;
	if (fraction) {
		int places = 3;
		while (fraction % 10 == 0) fraction /= 10, places--;
		for (; places; places--, fraction /= 10) digits[--at] = (char)('0' + fraction % 10);
		digits[--at] = '.';
	}
	do digits[--at] = (char)('0' + u % 10);
	while (u /= 10);
	if (negative) digits[--at] = '-';
	textbuf_addn(out, digits + at, sizeof digits - at);
}

typedef struct state { /* what the stream has set, so that it is not set again */
	textbuf *out;
	double height;
	display_pen pen;
	double fill_grey;
} state;

static void number(state *s, double v) {
	pdf_number(s->out, v);
	textbuf_char(s->out, ' ');
}
static void point(state *s, display_point p) {
	number(s, p.x * PDF_POINTS_PER_MM);
	number(s, (s->height - p.y) * PDF_POINTS_PER_MM);
}

static void use_pen(state *s, display_pen pen) {
	if (s->pen == pen) return;
	s->pen = pen;
	const display_pen_info *i = display_pen_of(pen);
	number(s, i->width * PDF_POINTS_PER_MM);
	textbuf_add(s->out, "w ");
	number(s, i->grey);
	textbuf_add(s->out, "G [");
	for (size_t k = 0; k < i->n_dash; k++) number(s, i->dash[k] * PDF_POINTS_PER_MM);
	textbuf_add(s->out, "] 0 d\n");
}

static void use_fill(state *s, double grey) {
	if (!(s->fill_grey < grey) && !(s->fill_grey > grey)) return;
	s->fill_grey = grey;
	number(s, grey);
	textbuf_add(s->out, "g\n");
}

static void path(state *s, const display_item *item) {
	if (item->pen != PEN_NONE) use_pen(s, item->pen);
	if (item->fill != FILL_NONE) use_fill(s, display_fill_grey(item->fill));
	for (size_t i = 0; i < item->n; i++) {
		const display_node *n = &item->node[i];
		switch (n->step) {
		case STEP_MOVE:
			point(s, n->p);
			textbuf_add(s->out, "m\n");
			break;
		case STEP_LINE:
			point(s, n->p);
			textbuf_add(s->out, "l\n");
			break;
		case STEP_CUBIC:
			point(s, n->c1);
			point(s, n->c2);
			point(s, n->p);
			textbuf_add(s->out, "c\n");
			break;
		case STEP_CLOSE:
			textbuf_add(s->out, "h\n");
			break;
		}
	}
	bool stroke = item->pen != PEN_NONE, fill = item->fill != FILL_NONE;
	textbuf_add(s->out, stroke && fill ? "B*\n" : fill ? "f*\n" : "S\n");
}

static void text(state *s, const display_item *item, const char *font) {
	static const char HEX[] = "0123456789ABCDEF";
	double size = item->style.cap * FONT_EM_OVER_CAP * PDF_POINTS_PER_MM;
	double turn = item->style.turn * acos(-1.0) / 180;
	use_fill(s, item->style.grey);
	textbuf_printf(s->out, "BT /%s ", font);
	number(s, size);
	textbuf_add(s->out, "Tf ");
	if (fabs(turn) < 1e-9) {
		textbuf_add(s->out, "1 0 0 1 ");
	} else {
		double c = cos(turn), si = sin(turn);
		textbuf_printf(s->out, "%.6f %.6f %.6f %.6f ", c, si, -si, c);
	}
	point(s, item->at);
	textbuf_add(s->out, "Tm <");
	const char *p = item->text, *end = p + strlen(p);
	while (p < end) {
		uint32_t c = text_utf8_next(&p, end);
		for (int shift = 12; shift >= 0; shift -= 4) textbuf_char(s->out, HEX[c >> shift & 15]);
	}
	textbuf_add(s->out, "> Tj ET\n");
}

void pdf_page_content(textbuf *out, const display *d, const char *const font_name[DISPLAY_FONT_COUNT]) {
	state s = {.out = out, .height = d->h, .pen = PEN_NONE, .fill_grey = -1};
	textbuf_add(out, "1 J 1 j\n");
	if (d->clipped) {
		textbuf_add(out, "q ");
		point(&s, (display_point){d->clip.x0, d->clip.y1});
		number(&s, (d->clip.x1 - d->clip.x0) * PDF_POINTS_PER_MM);
		number(&s, (d->clip.y1 - d->clip.y0) * PDF_POINTS_PER_MM);
		textbuf_add(out, "re W n\n");
	}
	for (size_t i = 0; i < d->items.n; i++) {
		const display_item *item = &d->items.v[i];
		if (i && i == d->clipped) {
			textbuf_add(out, "Q\n");
			s.pen = PEN_NONE, s.fill_grey = -1; /* as it was before */
		}
		if (item->kind == ITEM_TEXT)
			text(&s, item, font_name[item->style.font]);
		else
			path(&s, item);
	}
	if (d->clipped && d->clipped >= d->items.n) textbuf_add(out, "Q\n");
}
