/* The layout's own test: no text on another, none outside of its place. What is told is a fault of a layout above. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "runtime/draw/display.h"

static const double PI = 3.14159265358979323846;
static const double SHARED_MM = 0.04; /* that two boxes may share: rounding */

typedef struct ink { /* the box of a line's ink, turned as the line is */
	const char *text;
	display_box box; /* upright, round it */
	double x, y, c, s, wide, up, down;
	bool slanted; /* the box above is larger than the ink's */
} ink;

display_box display_keep_to(display *d, display_box box) {
	display_box before = d->keep;
	d->keep = box;
	return before;
}

bool display_strays(const display *d, display_box text) {
	return d->keep.x1 > d->keep.x0 && !display_box_inside(text, display_box_grow(d->keep, SHARED_MM));
}

static bool among(const char *p, const char *set) { return *p && strchr(set, *p); }

/* No room above small letters, none below those without a descender: so tables and stacked figures may stand close. */
static ink ink_of(const display_item *item) {
	double cap = item->style.cap, up = 0.77, down = 0, turn = item->style.turn;
	for (const char *p = item->text; *p; p++) {
		if (!among(p, " acemnorsuvwxz.,:-+=~")) up = 1.04;
		if (among(p, "gjpqyQ,;()[]{}|/@_")) down = 0.29;
	}
	/* Most lines are level or upright, and there these are exact. */
	bool level = fabs(turn) < 1e-9, right = fabs(turn - 90) < 1e-9;
	ink k = {.text = item->text,
		 .x = item->at.x,
		 .y = item->at.y,
		 .c = level   ? 1
		      : right ? 0
			      : cos(turn * PI / 180),
		 .s = level   ? 0
		      : right ? 1
			      : sin(turn * PI / 180),
		 .wide = item->width,
		 .up = up * cap,
		 .down = down * cap,
		 .slanted = fabs(turn - 90 * nearbyint(turn / 90)) > 1e-9};
	double w = k.wide;
	k.box = display_box_empty();
	for (int i = 0; i < 4; i++) {
		double u = i & 1 ? w : 0, v = i & 2 ? k.down : -k.up;
		double x = k.x + u * k.c + v * k.s, y = k.y - u * k.s + v * k.c;
		k.box = (display_box){fmin(k.box.x0, x), fmin(k.box.y0, y), fmax(k.box.x1, x), fmax(k.box.y1, y)};
	}
	return k;
}

/* Along the two directions of `a`: do the boxes part there? */
static bool parts_along(const ink *a, const ink *b) {
	double u0 = INFINITY, u1 = -INFINITY, v0 = INFINITY, v1 = -INFINITY;
	for (int i = 0; i < 4; i++) {
		double bu = i & 1 ? b->wide : 0, bv = i & 2 ? b->down : -b->up;
		double x = b->x + bu * b->c + bv * b->s - a->x, y = b->y - bu * b->s + bv * b->c - a->y;
		double u = x * a->c - y * a->s, v = x * a->s + y * a->c;
		u0 = fmin(u0, u), u1 = fmax(u1, u), v0 = fmin(v0, v), v1 = fmax(v1, v);
	}
	return fmin(u1, a->wide) - fmax(u0, 0) <= SHARED_MM || fmin(v1, a->down) - fmax(v0, -a->up) <= SHARED_MM;
}

static bool lies_on(const ink *a, const ink *b) {
	if (!display_box_overlap(display_box_grow(a->box, -SHARED_MM / 2), display_box_grow(b->box, -SHARED_MM / 2)))
		return false;
	return !(a->slanted || b->slanted) || (!parts_along(a, b) && !parts_along(b, a));
}

static int from_above(const void *a, const void *b) {
	const ink *p = a, *q = b;
	if (p->box.y0 < q->box.y0 || p->box.y0 > q->box.y0) return p->box.y0 < q->box.y0 ? -1 : 1;
	return (p->box.x0 > q->box.x0) - (p->box.x0 < q->box.x0);
}

size_t display_text_faults(arena *mem, const display *d, const char *where, textbuf *told) {
	size_t n = 0, faults = 0;
	ink *k = ARENA_MANY(mem, ink, d->items.n + 1);
	for (size_t i = 0; i < d->items.n; i++) {
		if (d->items.v[i].kind != ITEM_TEXT) continue;
		k[n] = ink_of(&d->items.v[i]);
		display_box *b = &k[n++].box;
		if (i >= d->clipped) continue;
		*b = (display_box){fmax(b->x0, d->clip.x0), fmax(b->y0, d->clip.y0), fmin(b->x1, d->clip.x1),
				   fmin(b->y1, d->clip.y1)};
		if (b->x1 < b->x0 || b->y1 < b->y0) n--;
	}
	qsort(k, n, sizeof *k, from_above);
	display_box page = {0, 0, d->w, d->h};
	for (size_t i = 0; i < n; i++) {
		if (!d->clipped && !display_box_inside(k[i].box, page)) {
			textbuf_printf(told, "%s: “%s” leaves the page\n", where, k[i].text);
			faults++;
		}
		for (size_t j = i + 1; j < n && k[j].box.y0 < k[i].box.y1; j++) {
			if (!lies_on(&k[i], &k[j])) continue;
			textbuf_printf(told, "%s: “%s” and “%s” lie on each other\n", where, k[i].text, k[j].text);
			faults++;
		}
	}
	for (size_t i = 0; i < d->strays.n; i++)
		textbuf_printf(told, "%s: “%s” leaves its place\n", where, d->strays.v[i]);
	return faults + d->strays.n;
}
