#include "runtime/draw/display.h"

#include <math.h>
#include <string.h>

#include "runtime/base/order.h"

static const double PI = 3.14159265358979323846;
/* Larger coordinates are no drawing on paper; they are refused like infinities. */
static const double FARTHEST_MM = 1e6;

static const display_pen_info INFO[DISPLAY_PEN_COUNT] = {
#define X(name, w, g, use, n, ...) [PEN_##name] = {.width = w, .grey = g, .n_dash = n, .dash = {__VA_ARGS__}},
	DISPLAY_PENS(X)
#undef X
};
const display_pen_info *display_pen_of(display_pen pen) { return &INFO[pen]; }

double display_fill_grey(display_fill fill) {
	static const double GREY[DISPLAY_FILL_COUNT] = {[FILL_NONE] = 1,
#define X(name, grey) [FILL_##name] = grey,
							DISPLAY_FILLS(X)
#undef X
	};
	return GREY[fill];
}

display *display_begin(arena *mem, double w_mm, double h_mm) {
	display *d = ARENA_NEW(mem, display);
	d->mem = mem;
	bool good =
		isfinite(w_mm) && isfinite(h_mm) && w_mm > 0 && h_mm > 0 && w_mm < FARTHEST_MM && h_mm < FARTHEST_MM;
	d->w = good ? w_mm : 1;
	d->h = good ? h_mm : 1;
	d->bad = good ? 0 : 1;
	d->keep = display_box_empty();
	return d;
}

/* ---- boxes ------------------------------------------------------------------------------------ */

display_box display_box_empty(void) { return (display_box){INFINITY, INFINITY, -INFINITY, -INFINITY}; }
display_box display_box_of(double x, double y, double w, double h) { return (display_box){x, y, x + w, y + h}; }
display_box display_box_join(display_box a, display_box b) {
	return (display_box){fmin(a.x0, b.x0), fmin(a.y0, b.y0), fmax(a.x1, b.x1), fmax(a.y1, b.y1)};
}
display_box display_box_grow(display_box b, double by) {
	return (display_box){b.x0 - by, b.y0 - by, b.x1 + by, b.y1 + by};
}
bool display_box_overlap(display_box a, display_box b) {
	return a.x0 < b.x1 && b.x0 < a.x1 && a.y0 < b.y1 && b.y0 < a.y1;
}
bool display_box_inside(display_box inner, display_box outer) {
	return inner.x0 >= outer.x0 && inner.x1 <= outer.x1 && inner.y0 >= outer.y0 && inner.y1 <= outer.y1;
}
display_box display_bounds(const display *d) {
	display_box b = display_box_empty();
	for (size_t i = 0; i < d->items.n; i++) b = display_box_join(b, d->items.v[i].box);
	return b;
}

/* ---- paths ------------------------------------------------------------------------------------ */

static bool good_point(double x, double y) {
	return isfinite(x) && isfinite(y) && fabs(x) < FARTHEST_MM && fabs(y) < FARTHEST_MM;
}

void display_move(display *d, double x, double y) {
	LIST_PUSH(d->mem, &d->path, ((display_node){.step = STEP_MOVE, .p = {x, y}}));
}
void display_line(display *d, double x, double y) {
	display_step step = d->path.n ? STEP_LINE : STEP_MOVE;
	LIST_PUSH(d->mem, &d->path, ((display_node){.step = step, .p = {x, y}}));
}
void display_cubic(display *d, double x1, double y1, double x2, double y2, double x, double y) {
	if (!d->path.n) display_move(d, x1, y1);
	LIST_PUSH(d->mem, &d->path, ((display_node){.step = STEP_CUBIC, .c1 = {x1, y1}, .c2 = {x2, y2}, .p = {x, y}}));
}
void display_close(display *d) {
	if (!d->path.n) return;
	display_point last = d->path.v[d->path.n - 1].p; /* read before the list grows */
	LIST_PUSH(d->mem, &d->path, ((display_node){.step = STEP_CLOSE, .p = last}));
}

void display_add_arc(display *d, double cx, double cy, double r, double a0, double a1, bool join) {
	if (!good_point(a0, a1) || !good_point(cx, cy) || !isfinite(r)) {
		display_move(d, NAN, NAN);
		return;
	}
	int n = (int)ceil(fmin(fabs(a1 - a0), 7200) / 90 - 1e-9);
	if (n < 1) n = 1;
	double step = (a1 - a0) / n * PI / 180, a = a0 * PI / 180;
	/* Cubic of a circular arc: handles of 4/3 tan(angle / 4), error under 0.03 % of r at 90 degrees. */
	double k = 4.0 / 3 * tan(step / 4) * r;
	double x = cx + r * cos(a), y = cy - r * sin(a);
	if (join)
		display_line(d, x, y);
	else
		display_move(d, x, y);
	for (int i = 0; i < n; i++) {
		double b = a + step, x2 = cx + r * cos(b), y2 = cy - r * sin(b);
		display_cubic(d, x - k * sin(a), y - k * cos(a), x2 + k * sin(b), y2 + k * cos(b), x2, y2);
		a = b, x = x2, y = y2;
	}
}

void display_add_circle(display *d, double cx, double cy, double r) {
	display_add_arc(d, cx, cy, r, 0, 360, false);
	display_close(d);
}

void display_add_rect(display *d, double x, double y, double w, double h) {
	display_move(d, x, y);
	display_line(d, x + w, y);
	display_line(d, x + w, y + h);
	display_line(d, x, y + h);
	display_close(d);
}

void display_add_round_rect(display *d, double x, double y, double w, double h, double r) {
	r = fmin(r, fmin(w, h) / 2);
	if (!(r > 0)) {
		display_add_rect(d, x, y, w, h);
		return;
	}
	display_add_arc(d, x + w - r, y + r, r, 0, 90, false);
	display_add_arc(d, x + r, y + r, r, 90, 180, true);
	display_add_arc(d, x + r, y + h - r, r, 180, 270, true);
	display_add_arc(d, x + w - r, y + h - r, r, 270, 360, true);
	display_close(d);
}

void display_add_slot(display *d, double cx, double cy, double a, double b, double turn) {
	double r = b / 2, half = fmax(0, a / 2 - r), c = cos(turn * PI / 180), s = sin(turn * PI / 180);
	display_add_arc(d, cx + half * c, cy - half * s, r, turn - 90, turn + 90, false);
	display_add_arc(d, cx - half * c, cy + half * s, r, turn + 90, turn + 270, true);
	display_close(d);
}

static display_box nodes_box(const display_node *v, size_t n, bool *good) {
	display_box b = display_box_empty();
	*good = true;
	for (size_t i = 0; i < n; i++) {
		/* Between its two ends a cubic stays inside the hull of its handles; a tight box is not needed. */
		const display_point *p[3] = {&v[i].p, &v[i].c1, &v[i].c2};
		for (int k = 0; k < (v[i].step == STEP_CUBIC ? 3 : 1); k++) {
			if (!good_point(p[k]->x, p[k]->y)) *good = false;
			b = display_box_join(b, (display_box){p[k]->x, p[k]->y, p[k]->x, p[k]->y});
		}
	}
	return b;
}

void display_paint(display *d, display_pen pen, display_fill fill) {
	size_t n = d->path.n;
	d->path.n = 0;
	bool good;
	display_box box = nodes_box(d->path.v, n, &good);
	if (!good) {
		d->bad++;
		return;
	}
	if (n < 2 || (pen == PEN_NONE && fill == FILL_NONE)) return;
	display_item item = {.kind = ITEM_PATH, .box = box, .pen = pen, .fill = fill, .n = n};
	item.node = arena_copy(d->mem, d->path.v, n * sizeof(display_node));
	LIST_PUSH(d->mem, &d->items, item);
}

/* ---- hatching ----------------------------------------------------------------------------------- */

typedef LIST(display_point) points;

/* End points of straight pieces, two by two; every contour is closed. */
static void flatten(display *d, points *out) {
	enum { PIECES = 12 };
	display_point start = {0, 0}, at = {0, 0};
	for (size_t i = 0; i <= d->path.n; i++) {
		const display_node *n = i < d->path.n ? &d->path.v[i] : NULL;
		if (!n || n->step == STEP_MOVE || n->step == STEP_CLOSE) {
			if (i && (at.x < start.x || at.x > start.x || at.y < start.y || at.y > start.y)) {
				LIST_PUSH(d->mem, out, at);
				LIST_PUSH(d->mem, out, start);
			}
			if (!n) return;
			at = start;
			if (n->step == STEP_MOVE) start = at = n->p;
			continue;
		}
		int pieces = n->step == STEP_CUBIC ? PIECES : 1;
		display_point from = at;
		for (int k = 1; k <= pieces; k++) {
			double t = (double)k / pieces, s = 1 - t;
			display_point p = n->p;
			if (pieces > 1) {
				p.x = s * s * s * from.x + 3 * s * s * t * n->c1.x + 3 * s * t * t * n->c2.x +
				      t * t * t * n->p.x;
				p.y = s * s * s * from.y + 3 * s * s * t * n->c1.y + 3 * s * t * t * n->c2.y +
				      t * t * t * n->p.y;
			}
			LIST_PUSH(d->mem, out, at);
			LIST_PUSH(d->mem, out, p);
			at = p;
		}
	}
}

void display_hatch(display *d, display_pen pen, double angle, double gap, bool keep) {
	bool good;
	nodes_box(d->path.v, d->path.n, &good);
	if (!good || !isfinite(angle) || !(gap > 0.05)) {
		d->bad++;
		if (!keep) d->path.n = 0;
		return;
	}
	points p = {0};
	flatten(d, &p);
	/* Turned so that hatch lines run along x: one line is v = k gap, counted from the page's corner. */
	double c = cos(angle * PI / 180), s = sin(angle * PI / 180), lo = INFINITY, hi = -INFINITY;
	for (size_t i = 0; i < p.n; i++) {
		double u = p.v[i].x * c - p.v[i].y * s, v = p.v[i].x * s + p.v[i].y * c;
		p.v[i] = (display_point){u, v};
		lo = fmin(lo, v), hi = fmax(hi, v);
	}
	LIST(display_node) outline = {d->path.v, d->path.n, d->path.room};
	d->path.v = NULL, d->path.n = d->path.room = 0;
	double *cross = ARENA_MANY(d->mem, double, p.n + 1);
	for (double k = ceil(lo / gap); p.n && k * gap < hi; k++) {
		double v = k * gap;
		size_t n = 0;
		for (size_t i = 0; i + 1 < p.n; i += 2) {
			const display_point *a = &p.v[i], *b = &p.v[i + 1];
			if ((a->y <= v) != (b->y <= v)) cross[n++] = a->x + (v - a->y) / (b->y - a->y) * (b->x - a->x);
		}
		order_doubles(cross, n);
		for (size_t i = 0; i + 1 < n; i += 2) {
			if (cross[i + 1] - cross[i] < 0.05) continue;
			display_move(d, cross[i] * c + v * s, v * c - cross[i] * s);
			display_line(d, cross[i + 1] * c + v * s, v * c - cross[i + 1] * s);
		}
	}
	display_paint(d, pen, FILL_NONE);
	d->path.v = outline.v, d->path.n = keep ? outline.n : 0, d->path.room = outline.room;
}

/* ---- one call each -------------------------------------------------------------------------------- */

void display_segment(display *d, display_pen pen, double x0, double y0, double x1, double y1) {
	display_move(d, x0, y0);
	display_line(d, x1, y1);
	display_paint(d, pen, FILL_NONE);
}
static void add_points(display *d, const display_point *p, size_t n) {
	for (size_t i = 0; i < n; i++) {
		if (i)
			display_line(d, p[i].x, p[i].y);
		else
			display_move(d, p[i].x, p[i].y);
	}
}
void display_polyline(display *d, display_pen pen, const display_point *p, size_t n) {
	add_points(d, p, n);
	display_paint(d, pen, FILL_NONE);
}
void display_polygon(display *d, display_pen pen, display_fill fill, const display_point *p, size_t n) {
	add_points(d, p, n);
	display_close(d);
	display_paint(d, pen, fill);
}
void display_rect(display *d, display_pen pen, display_fill fill, double x, double y, double w, double h) {
	display_add_rect(d, x, y, w, h);
	display_paint(d, pen, fill);
}
void display_round_rect(display *d, display_pen pen, display_fill fill, double x, double y, double w, double h,
			double r) {
	display_add_round_rect(d, x, y, w, h, r);
	display_paint(d, pen, fill);
}
void display_circle(display *d, display_pen pen, display_fill fill, double cx, double cy, double r) {
	display_add_circle(d, cx, cy, r);
	display_paint(d, pen, fill);
}
void display_arc(display *d, display_pen pen, double cx, double cy, double r, double a0, double a1) {
	display_add_arc(d, cx, cy, r, a0, a1, false);
	display_paint(d, pen, FILL_NONE);
}

void display_arrowhead(display *d, double x, double y, double direction, double length_mm) {
	/* Narrow closed head, about 15 degrees in all (ISO 129-1 leaves the length to the lettering). */
	double n = length_mm > 0 ? length_mm : 2.5, half = n * 0.16;
	double c = cos(direction * PI / 180), s = sin(direction * PI / 180);
	display_point p[3] = {
		{x, y}, {x - n * c - half * s, y + n * s - half * c}, {x - n * c + half * s, y + n * s + half * c}};
	display_polygon(d, PEN_NONE, FILL_BLACK, p, 3);
}

void display_arrow(display *d, display_pen pen, double x0, double y0, double x1, double y1) {
	double n = hypot(x1 - x0, y1 - y0), head = fmin(2.5, n);
	if (!(n > 0)) return;
	/* The line stops inside the head, else its round end would blunt the tip. */
	double part = (n - head * 0.6) / n;
	display_segment(d, pen, x0, y0, x0 + (x1 - x0) * part, y0 + (y1 - y0) * part);
	display_arrowhead(d, x1, y1, atan2(y0 - y1, x1 - x0) * 180 / PI, head);
}

void display_tick_box(display *d, double x, double y, double side) {
	display_rect(d, PEN_PART, FILL_NONE, x, y - side, side, side);
}
