#include "runtime/draw/font.h"

#include <stdbool.h>
#include <string.h>

const font_glyph *font_find(uint32_t code) {
	size_t lo = 0, hi = FONT_GLYPH_COUNT;
	/* The font begins with the space, and lacks none of ASCII. */
	if (code >= ' ' && code - ' ' < hi && FONT_GLYPHS[code - ' '].code == code) return &FONT_GLYPHS[code - ' '];
	while (lo < hi) {
		size_t mid = (lo + hi) / 2;
		if (FONT_GLYPHS[mid].code < code)
			lo = mid + 1;
		else
			hi = mid;
	}
	return lo < FONT_GLYPH_COUNT && FONT_GLYPHS[lo].code == code ? &FONT_GLYPHS[lo] : NULL;
}

const unsigned char *font_bytes(display_font font, size_t *size) {
	*size = font == FONT_BOLD ? FONT_BOLD_SIZE : FONT_REGULAR_SIZE;
	return font == FONT_BOLD ? FONT_BOLD_BYTES : FONT_REGULAR_BYTES;
}

static unsigned u16(const unsigned char *p) { return (unsigned)p[0] << 8 | p[1]; }
static size_t u32(const unsigned char *p) { return (size_t)u16(p) << 16 | u16(p + 2); }
static int s16(const unsigned char *p) {
	int v = (int)u16(p);
	return v < 0x8000 ? v : v - 0x10000;
}

static const unsigned char *table(const unsigned char *file, const char *tag) {
	unsigned n = u16(file + 4);
	for (unsigned i = 0; i < n; i++) {
		const unsigned char *row = file + 12 + 16 * i;
		if (memcmp(row, tag, 4) == 0) return file + u32(row + 8);
	}
	return NULL;
}

typedef struct glyph_point {
	double x, y;
	bool on;
} glyph_point;

/* Flags and coordinates of a simple glyph ("glyf" table, OpenType specification). */
static void read_points(const unsigned char *p, glyph_point *out, size_t n) {
	unsigned char flag = 0;
	unsigned repeat = 0;
	unsigned char *flags = (unsigned char[4096]){0};
	for (size_t i = 0; i < n; i++) {
		if (repeat) {
			repeat--;
		} else {
			flag = *p++;
			if (flag & 8) repeat = *p++;
		}
		flags[i] = flag;
		out[i].on = flag & 1;
	}
	for (int pass = 0; pass < 2; pass++) {
		unsigned small = pass ? 4 : 2, same = pass ? 32 : 16;
		int at = 0;
		for (size_t i = 0; i < n; i++) {
			if (flags[i] & small) {
				at += flags[i] & same ? (int)*p : -(int)*p;
				p++;
			} else if (!(flags[i] & same)) {
				at += s16(p);
				p += 2;
			}
			*(pass ? &out[i].y : &out[i].x) = at;
		}
	}
}

typedef struct outline {
	arena *mem;
	LIST(display_node) nodes;
	display_point at;
} outline;

static void quad_to(outline *o, double cx, double cy, double x, double y) {
	display_node n = {.step = STEP_CUBIC, .p = {x, y}};
	n.c1 = (display_point){o->at.x + 2.0 / 3 * (cx - o->at.x), o->at.y + 2.0 / 3 * (cy - o->at.y)};
	n.c2 = (display_point){x + 2.0 / 3 * (cx - x), y + 2.0 / 3 * (cy - y)};
	LIST_PUSH(o->mem, &o->nodes, n);
	o->at = n.p;
}

static void one_contour(outline *o, const glyph_point *p, size_t n) {
	size_t first = 0;
	while (first < n && !p[first].on) first++;
	display_point start = first < n ? (display_point){p[first].x, p[first].y}
					: (display_point){(p[0].x + p[n - 1].x) / 2, (p[0].y + p[n - 1].y) / 2};
	if (first == n) first = n - 1;
	LIST_PUSH(o->mem, &o->nodes, ((display_node){.step = STEP_MOVE, .p = start}));
	o->at = start;
	for (size_t k = 1; k <= n; k++) {
		const glyph_point *c = &p[(first + k) % n];
		if (c->on) {
			o->at = (display_point){c->x, c->y};
			if (k < n) LIST_PUSH(o->mem, &o->nodes, ((display_node){.step = STEP_LINE, .p = o->at}));
			continue;
		}
		const glyph_point *next = &p[(first + k + 1) % n];
		bool last = k >= n;
		double x = next->on ? next->x : (c->x + next->x) / 2, y = next->on ? next->y : (c->y + next->y) / 2;
		if (last) x = start.x, y = start.y;
		quad_to(o, c->x, c->y, x, y);
		if (next->on) k++;
	}
	LIST_PUSH(o->mem, &o->nodes, ((display_node){.step = STEP_CLOSE, .p = start}));
}

size_t font_outline(arena *mem, display_font font, unsigned glyph, display_node **nodes) {
	size_t size;
	const unsigned char *file = font_bytes(font, &size);
	const unsigned char *head = table(file, "head"), *loca = table(file, "loca"), *glyf = table(file, "glyf");
	const unsigned char *maxp = table(file, "maxp");
	*nodes = NULL;
	if (!head || !loca || !glyf || !maxp || glyph >= u16(maxp + 4)) return 0;
	bool wide = s16(head + 50) != 0;
	size_t from = wide ? u32(loca + 4 * glyph) : 2 * (size_t)u16(loca + 2 * glyph);
	size_t to = wide ? u32(loca + 4 * glyph + 4) : 2 * (size_t)u16(loca + 2 * glyph + 2);
	if (to <= from) return 0;
	const unsigned char *g = glyf + from;
	int contours = s16(g);
	if (contours <= 0) return 0; /* the subset has no composite glyphs */
	const unsigned char *ends = g + 10;
	size_t n = u16(ends + 2 * (contours - 1)) + 1u;
	if (n > 4096) return 0;
	const unsigned char *p = ends + 2 * contours;
	p += 2 + u16(p); /* no instructions are kept, but their count is */
	glyph_point *points = ARENA_MANY(mem, glyph_point, n);
	read_points(p, points, n);
	outline o = {.mem = mem};
	size_t begin = 0;
	for (int c = 0; c < contours; c++) {
		size_t end = u16(ends + 2 * c) + 1u;
		if (end > begin) one_contour(&o, points + begin, end - begin);
		begin = end;
	}
	*nodes = o.nodes.v;
	return o.nodes.n;
}
