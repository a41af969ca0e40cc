#include "runtime/write/svg.h"

#include <math.h>
#include <string.h>

#include "runtime/draw/font.h"
#include "runtime/write/pdf_page.h"

/* The font of the PDF first, then what systems have that is as narrow; textLength keeps any of them inside. */
static const char FAMILY[] = "'Roboto Condensed','Arial Narrow','Liberation Sans Narrow',"
			     "'DejaVu Sans Condensed',sans-serif";

static void escape(textbuf *out, const char *text) {
	for (; *text; text++) {
		switch (*text) {
		case '&':
			textbuf_add(out, "&amp;");
			break;
		case '<':
			textbuf_add(out, "&lt;");
			break;
		case '>':
			textbuf_add(out, "&gt;");
			break;
		case '"':
			textbuf_add(out, "&quot;");
			break;
		default:
			/* XML 1.0 has no place for control characters. */
			textbuf_char(out, (unsigned char)*text < 0x20 ? ' ' : *text);
		}
	}
}

static void grey(textbuf *out, double g) {
	int v = (int)lround(g * 255);
	textbuf_printf(out, "#%02x%02x%02x", (unsigned)v, (unsigned)v, (unsigned)v);
}

static void pair(textbuf *out, double x, double y) {
	pdf_number(out, x);
	textbuf_char(out, ' ');
	pdf_number(out, y);
}

/* Path data; each node goes through a similarity: turn (cos, sin), scale (negative y) and move. */
typedef struct similar {
	double x, y, c, s, scale;
	bool flip; /* y up in the source */
} similar;

static void node_point(textbuf *out, const similar *m, display_point p) {
	double x = p.x * m->scale, y = p.y * m->scale * (m->flip ? -1 : 1);
	pair(out, m->x + x * m->c + y * m->s, m->y - x * m->s + y * m->c);
}

static void path_data(textbuf *out, const display_node *n, size_t count, const similar *m) {
	for (size_t i = 0; i < count; i++) {
		switch (n[i].step) {
		case STEP_MOVE:
			textbuf_char(out, 'M');
			break;
		case STEP_LINE:
			textbuf_char(out, 'L');
			break;
		case STEP_CLOSE:
			textbuf_char(out, 'Z');
			continue;
		case STEP_CUBIC:
			textbuf_char(out, 'C');
			node_point(out, m, n[i].c1);
			textbuf_char(out, ' ');
			node_point(out, m, n[i].c2);
			textbuf_char(out, ' ');
			break;
		}
		node_point(out, m, n[i].p);
	}
}

static void style_sheet(textbuf *out) {
	textbuf_add(out, "<style>\npath{fill:none;stroke-linecap:round;stroke-linejoin:round;fill-rule:evenodd}\n");
	for (int p = PEN_NONE + 1; p < DISPLAY_PEN_COUNT; p++) {
		const display_pen_info *i = display_pen_of((display_pen)p);
		textbuf_printf(out, ".p%d{stroke:", p);
		grey(out, i->grey);
		textbuf_add(out, ";stroke-width:");
		pdf_number(out, i->width);
		for (size_t k = 0; k < i->n_dash; k++) {
			textbuf_add(out, k ? "," : ";stroke-dasharray:");
			pdf_number(out, i->dash[k]);
		}
		textbuf_add(out, "}\n");
	}
	for (int f = FILL_NONE + 1; f < DISPLAY_FILL_COUNT; f++) {
		textbuf_printf(out, "path.f%d{fill:", f);
		grey(out, display_fill_grey((display_fill)f));
		textbuf_add(out, "}\n");
	}
	textbuf_printf(out, "text{font-family:%s;font-kerning:none;white-space:pre}\n.b{font-weight:bold}\n", FAMILY);
	/* Outlines of letters overlap, and must not knock each other out. */
	textbuf_add(out, "path.t{fill-rule:nonzero}\n</style>\n");
}

static void write_path(textbuf *out, const display_item *item) {
	static const similar SAME = {.c = 1, .scale = 1};
	textbuf_add(out, "<path class=\"");
	if (item->pen != PEN_NONE) textbuf_printf(out, "p%d", (int)item->pen);
	if (item->fill != FILL_NONE) textbuf_printf(out, "%sf%d", item->pen != PEN_NONE ? " " : "", (int)item->fill);
	textbuf_add(out, "\" d=\"");
	path_data(out, item->node, item->n, &SAME);
	textbuf_add(out, "\"/>\n");
}

static void write_text(textbuf *out, const display_item *item) {
	textbuf_add(out, item->style.font == FONT_BOLD ? "<text class=\"b\" " : "<text ");
	if (fabs(item->style.turn) > 1e-9) {
		textbuf_add(out, "transform=\"translate(");
		pair(out, item->at.x, item->at.y);
		textbuf_add(out, ") rotate(");
		pdf_number(out, -item->style.turn);
		textbuf_add(out, ")\" ");
	} else {
		textbuf_add(out, "x=\"");
		pdf_number(out, item->at.x);
		textbuf_add(out, "\" y=\"");
		pdf_number(out, item->at.y);
		textbuf_add(out, "\" ");
	}
	textbuf_add(out, "font-size=\"");
	pdf_number(out, item->style.cap * FONT_EM_OVER_CAP);
	textbuf_add(out, "\" textLength=\"");
	pdf_number(out, item->width);
	textbuf_add(out, "\" lengthAdjust=\"spacingAndGlyphs\"");
	if (item->style.grey > 0) {
		textbuf_add(out, " fill=\"");
		grey(out, item->style.grey);
		textbuf_char(out, '"');
	}
	textbuf_char(out, '>');
	escape(out, item->text);
	textbuf_add(out, "</text>\n");
}

typedef struct letter {
	display_font font;
	unsigned glyph;
	display_node *nodes;
	size_t n;
} letter;
typedef struct letters { /* of this file, each made once */
	arena mem;
	LIST(letter) all;
} letters;

static const letter *letter_of(letters *l, display_font font, unsigned glyph) {
	for (size_t i = 0; i < l->all.n; i++)
		if (l->all.v[i].font == font && l->all.v[i].glyph == glyph) return &l->all.v[i];
	letter one = {.font = font, .glyph = glyph};
	one.n = font_outline(&l->mem, font, glyph, &one.nodes);
	LIST_PUSH(&l->mem, &l->all, one);
	return &l->all.v[l->all.n - 1];
}

static void write_outlines(textbuf *out, letters *l, const display_item *item) {
	double turn = item->style.turn * acos(-1.0) / 180, scale = item->style.cap / FONT_CAP_UNITS;
	similar m = {item->at.x, item->at.y, cos(turn), sin(turn), scale, true};
	textbuf_add(out, "<path class=\"t\" style=\"fill:");
	grey(out, item->style.grey);
	/* The words stay in the file for readers that speak it. */
	textbuf_add(out, "\" aria-label=\"");
	escape(out, item->text);
	textbuf_add(out, "\" d=\"");
	const char *p = item->text, *end = p + strlen(p);
	while (p < end) {
		const font_glyph *g = font_find(text_utf8_next(&p, end));
		if (!g) continue;
		const letter *shape = letter_of(l, item->style.font, g->glyph[item->style.font]);
		path_data(out, shape->nodes, shape->n, &m);
		double step = g->advance[item->style.font] * scale;
		m.x += step * m.c;
		m.y -= step * m.s;
	}
	textbuf_add(out, "\"/>\n");
}

const char *svg_write(textbuf *out, const display *d, bool outlines) {
	if (d->bad) return "the drawing has an item with a coordinate that is no number";
	textbuf_add(out, "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<svg xmlns=\"http://www.w3.org/2000/svg\" "
			 "version=\"1.1\" width=\"");
	pdf_number(out, d->w);
	textbuf_add(out, "mm\" height=\"");
	pdf_number(out, d->h);
	textbuf_add(out, "mm\" viewBox=\"0 0 ");
	pair(out, d->w, d->h);
	textbuf_add(out, "\">\n");
	if (d->title) {
		textbuf_add(out, "<title>");
		escape(out, d->title);
		textbuf_add(out, "</title>\n");
	}
	style_sheet(out);
	textbuf_add(out, "<rect width=\"");
	pdf_number(out, d->w);
	textbuf_add(out, "\" height=\"");
	pdf_number(out, d->h);
	textbuf_add(out, "\" fill=\"#ffffff\"/>\n");
	letters l = {0};
	if (d->clipped) {
		textbuf_add(out, "<clipPath id=\"clip\"><rect x=\"");
		pdf_number(out, d->clip.x0);
		textbuf_add(out, "\" y=\"");
		pdf_number(out, d->clip.y0);
		textbuf_add(out, "\" width=\"");
		pdf_number(out, d->clip.x1 - d->clip.x0);
		textbuf_add(out, "\" height=\"");
		pdf_number(out, d->clip.y1 - d->clip.y0);
		textbuf_add(out, "\"/></clipPath>\n<g clip-path=\"url(#clip)\">\n");
	}
	for (size_t i = 0; i < d->items.n; i++) {
		if (i && i == d->clipped) textbuf_add(out, "</g>\n");
		const display_item *item = &d->items.v[i];
		if (item->kind == ITEM_PATH)
			write_path(out, item);
		else if (outlines || d->true_size)
			write_outlines(out, &l, item);
		else
			write_text(out, item);
	}
	if (d->clipped && d->clipped >= d->items.n) textbuf_add(out, "</g>\n");
	arena_end(&l.mem);
	textbuf_add(out, "</svg>\n");
	return NULL;
}
