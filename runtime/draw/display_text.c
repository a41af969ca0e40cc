#include <math.h>
#include <string.h>

#include "runtime/base/quant.h"
#include "runtime/base/text.h"
#include "runtime/draw/display.h"
#include "runtime/draw/font.h"

static const double PI = 3.14159265358979323846;
enum { LACKING = 0x25A1 }; /* the sign shown for a character that the font has not */

static double advance(display_font font, uint32_t code) {
	const font_glyph *g = font_find(code);
	if (!g) g = font_find(LACKING);
	return g ? g->advance[font] : 0;
}

static double width_n(display_font font, double cap, const char *text, size_t n) {
	const char *p = text, *end = text + n;
	double units = 0;
	while (p < end) {
		uint32_t c = text_utf8_next(&p, end);
		units += advance(font, c == '\t' || c == '\n' ? ' ' : c);
	}
	return units / FONT_CAP_UNITS * cap;
}

double display_text_width(display_font font, double cap, const char *text) {
	return width_n(font, cap, text, strlen(text));
}

/* Only characters that the font has: others become the sign for "lacking", white space a space. */
static const char *printable(arena *mem, const char *text) {
	const char *plain = text;
	while (*plain >= ' ' && *plain <= '~') plain++;
	if (!*plain) return arena_textn(mem, text, (size_t)(plain - text)); /* the font has all of them */
	textbuf t = textbuf_begin(mem);
	const char *p = text, *end = text + strlen(text);
	while (p < end) {
		const char *from = p;
		uint32_t c = text_utf8_next(&p, end);
		if (c == '\t' || c == '\n' || c == '\r')
			textbuf_char(&t, ' ');
		else if (font_find(c))
			textbuf_addn(&t, from, (size_t)(p - from));
		else
			textbuf_add(&t, "□");
	}
	return t.v;
}

/* The four corners of the text's box about its left end, turned; baseline at y 0. */
static void corners(double x, double y, double width, double up, double down, double turn, display_point out[4]) {
	double c = cos(turn * PI / 180), s = sin(turn * PI / 180);
	const double u[4] = {0, width, width, 0}, v[4] = {-up, -up, down, down};
	for (int i = 0; i < 4; i++) out[i] = (display_point){x + u[i] * c + v[i] * s, y - u[i] * s + v[i] * c};
}

static display_box box_of(const display_point p[4]) {
	display_box b = display_box_empty();
	for (int i = 0; i < 4; i++) b = display_box_join(b, (display_box){p[i].x, p[i].y, p[i].x, p[i].y});
	return b;
}

static display_point left_end(double x, double y, const display_style *style, double width) {
	double back = style->align == ALIGN_LEFT ? 0 : style->align == ALIGN_CENTRE ? width / 2 : width;
	return (display_point){x - back * cos(style->turn * PI / 180), y + back * sin(style->turn * PI / 180)};
}

static const double DESCENT = 0.3; /* of the cap height */

display_box display_text_box(double x, double y, const display_style *style, const char *text) {
	double width = display_text_width(style->font, style->cap, text);
	display_point at = left_end(x, y, style, width), p[4];
	corners(at.x, at.y, width, style->cap, DESCENT * style->cap, style->turn, p);
	return box_of(p);
}

void display_text_style(display *d, double x, double y, const display_style *style, const char *text) {
	if (!text || !*text) return;
	if (!isfinite(x) || !isfinite(y) || !isfinite(style->turn) || !(style->cap > 0) || !(style->cap < 1000) ||
	    fabs(x) > 1e6 || fabs(y) > 1e6) {
		d->bad++;
		return;
	}
	display_item item = {.kind = ITEM_TEXT, .text = printable(d->mem, text), .style = *style};
	item.width = display_text_width(style->font, style->cap, item.text);
	item.at = left_end(x, y, style, item.width);
	item.style.align = ALIGN_LEFT;
	display_point p[4];
	if (style->knock_out) {
		double air = 0.25 * style->cap;
		double c = cos(style->turn * PI / 180), s = sin(style->turn * PI / 180);
		corners(item.at.x - air * c, item.at.y + air * s, item.width + 2 * air, style->cap + air, air,
			style->turn, p);
		display_polygon(d, PEN_NONE, FILL_WHITE, p, 4);
	}
	corners(item.at.x, item.at.y, item.width, style->cap, DESCENT * style->cap, style->turn, p);
	item.box = box_of(p);
	if (display_strays(d, item.box)) LIST_PUSH(d->mem, &d->strays, item.text);
	LIST_PUSH(d->mem, &d->items, item);
}

void display_text(display *d, double x, double y, double cap, display_align align, const char *text) {
	display_text_style(d, x, y, &(display_style){.cap = cap, .align = align}, text);
}
void display_bold(display *d, double x, double y, double cap, display_align align, const char *text) {
	display_text_style(d, x, y, &(display_style){.cap = cap, .align = align, .font = FONT_BOLD}, text);
}
void display_textf(display *d, double x, double y, double cap, display_align align, const char *format, ...) {
	va_list args;
	va_start(args, format);
	const char *text = arena_vprintf(d->mem, format, args);
	va_end(args);
	display_text(d, x, y, cap, align, text);
}

/* ---- breaking lines ------------------------------------------------------------------------------- */

typedef struct words { /* the words on both sides of a place in a text */
	const char *left, *left_end, *right, *right_end;
} words;

static words words_at(const char *begin, const char *at, const char *end) {
	words w = {at, at, at, at};
	while (w.left_end > begin && w.left_end[-1] == ' ') w.left_end--;
	w.left = w.left_end;
	while (w.left > begin && w.left[-1] != ' ') w.left--;
	while (w.right < end && *w.right == ' ') w.right++;
	w.right_end = w.right;
	while (w.right_end < end && *w.right_end != ' ') w.right_end++;
	return w;
}

static bool is_digit(char c) { return c >= '0' && c <= '9'; }

/* "m³/h", "in." or "ft/min);" */
static bool is_unit(const char *word, const char *end) {
	char plain[24];
	size_t n = 0;
	while (end > word && strchr(".,;:)", end[-1])) end--;
	for (const char *p = word; p < end;) {
		uint32_t c = text_utf8_next(&p, end);
		if (n == sizeof plain) return false;
		plain[n++] = c < 0x80 ? (char)c : c == 0xB2 ? '2' : c == 0xB3 ? '3' : c == 0xB7 ? '.' : '?';
	}
	return n && quant_unit_find(plain, n);
}

/* Does the space hold together what is read in one: a mixed number, a figure and its unit, a word and the number of
 * the page, step or part that it names? */
static bool holds(const char *begin, const char *space, const char *end) {
	static const char *const NUMBERED[] = {"page", "pages", "step", "steps", "p.", "(step", "(page", "(p."};
	words w = words_at(begin, space, end);
	if (w.left == w.left_end || w.right == w.right_end) return false;
	size_t n = (size_t)(w.left_end - w.left);
	bool figure = is_digit(w.left_end[-1]);
	const char *q = w.right;
	while (q < w.right_end && is_digit(*q)) q++;
	if (figure && q > w.right && q + 1 < w.right_end && *q == '/' && is_digit(q[1])) return true;
	if (figure && is_unit(w.right, w.right_end)) return true;
	const char *r = w.right + 1;
	while (r < w.right_end && is_digit(*r)) r++;
	if (w.right[0] == '(' && r > w.right + 1 && r < w.right_end && *r == ')') return true;
	for (size_t i = 0; q > w.right && i < sizeof NUMBERED / sizeof *NUMBERED; i++)
		if (n == strlen(NUMBERED[i]) && strncmp(w.left, NUMBERED[i], n) == 0) return true;
	return false;
}

/* Bytes of the longest piece from `p` that fits, ending at a good place to break; at least one character. */
static size_t piece(display_font font, double cap, double width, const char *p, const char *end) {
	const char *q = p, *word = p;
	size_t good = 0, fits = 0, torn = 0; /* torn: what holds together, when there is no better place */
	double units = 0, room = (width + 1e-9) * FONT_CAP_UNITS / cap;
	while (q < end) {
		const char *from = q;
		uint32_t c = text_utf8_next(&q, end);
		if (c == ' ') *(holds(p, from, end) ? &torn : &good) = (size_t)(from - p), word = q;
		units += advance(font, c);
		if (units > room && c != ' ') {
			if (good || torn) return good ? good : torn;
			return fits ? fits : (size_t)(q - p);
		}
		fits = (size_t)(q - p);
		if ((c != '-' && c != '/') || from == p || (q < end && is_digit(*q))) continue; /* 3/16 stays whole */
		if (c == '-' || !is_unit(word, words_at(p, word, end).right_end)) good = fits;
	}
	return (size_t)(end - p);
}

size_t display_wrap(arena *mem, display_font font, double cap, double width, const char *text,
		    const char *const **lines) {
	LIST(const char *) out = {0};
	const char *p = text, *end = text + strlen(text);
	do {
		const char *stop = memchr(p, '\n', (size_t)(end - p));
		if (!stop) stop = end;
		bool any = false;
		while (p < stop) {
			size_t n = piece(font, cap, width, p, stop);
			size_t kept = n;
			while (kept && p[kept - 1] == ' ') kept--;
			LIST_PUSH(mem, &out, arena_textn(mem, p, kept));
			any = true;
			p += n;
			while (p < stop && *p == ' ') p++;
		}
		if (!any) LIST_PUSH(mem, &out, "");
		p = stop < end ? stop + 1 : end;
		if (stop == end) break;
	} while (p <= end);
	*lines = out.v;
	return out.n;
}

const char *display_fit(arena *mem, display_font font, double cap, double width, const char *text) {
	if (display_text_width(font, cap, text) <= width + 1e-9) return text;
	double dots = display_text_width(font, cap, "…");
	const char *p = text, *end = text + strlen(text);
	while (p < end) {
		const char *q = p;
		text_utf8_next(&q, end);
		if (width_n(font, cap, text, (size_t)(q - text)) + dots > width) break;
		p = q;
	}
	while (p > text && p[-1] == ' ') p--;
	return arena_printf(mem, "%.*s…", (int)(p - text), text);
}

double display_paragraph(display *d, double x, double y, double width, const display_style *style, const char *text) {
	const char *const *lines;
	size_t n = display_wrap(d->mem, style->font, style->cap, width, text, &lines);
	double lead = DISPLAY_LEADING(style->cap);
	double at = style->align == ALIGN_LEFT ? x : style->align == ALIGN_CENTRE ? x + width / 2 : x + width;
	for (size_t i = 0; i < n; i++) display_text_style(d, at, y + style->cap + (double)i * lead, style, lines[i]);
	return y + (double)n * lead;
}

double display_paragraph_height(arena *mem, double width, const display_style *style, const char *text) {
	const char *const *lines;
	return (double)display_wrap(mem, style->font, style->cap, width, text, &lines) * DISPLAY_LEADING(style->cap);
}
