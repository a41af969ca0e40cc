#include "runtime/draw/dim.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static const double PI = 3.14159265358979323846;
static const double ARROW = 2.5; /* length of a head */
static const double GAP = 1.0;	 /* between feature and extension line */
static const double OVER = 1.5;	 /* extension line beyond the dimension line */
static const double ABOVE = 0.9; /* between a line and the text above it */

const char *dim_text(arena *mem, rat mm, measures m) { return quant_show_length(mem, mm, m, true); }
const char *dim_text_overall(arena *mem, rat mm, measures m) {
	const rat inch = rat_of(127, 5);
	rat near = m == MEASURES_METRIC ? rat_round(mm, 1) : rat_mul(rat_round(rat_div(mm, inch), 16), inch);
	return dim_text(mem, rat_ok(near) ? near : mm, m);
}
const char *dim_text_diameter(arena *mem, rat mm, measures m) { return arena_printf(mem, "⌀%s", dim_text(mem, mm, m)); }
const char *dim_text_radius(arena *mem, rat mm, measures m) { return arena_printf(mem, "R%s", dim_text(mem, mm, m)); }

static void line(display *d, display_point a, display_point b) {
	display_segment(d, PEN_DIM, a.x, a.y, b.x, b.y);
	display_take_line(d, a.x, a.y, b.x, b.y);
}
static display_point along(display_point p, display_point u, double by) {
	return (display_point){p.x + u.x * by, p.y + u.y * by};
}

/* ---- linear --------------------------------------------------------------------------------------- */

static void extension(display *d, display_point feature, display_point end) {
	double n = hypot(end.x - feature.x, end.y - feature.y);
	if (n < GAP + 0.2) return;
	display_point u = {(end.x - feature.x) / n, (end.y - feature.y) / n};
	line(d, along(feature, u, GAP), along(end, u, OVER));
}

/* Text of width w whose middle (or an end) stands over p on a line along u; its turn is `turn`. */
static display_style put_style(double cap, double turn, display_align align) {
	return (display_style){.cap = cap, .turn = turn, .align = align};
}

/* The dimension line from p to q with its heads and text; ordered so that the text reads from p to q. */
static void dimension_line(display *d, display_point p, display_point q, double cap, const char *text) {
	double n = hypot(q.x - p.x, q.y - p.y);
	if (!(n > 0)) return;
	display_point u = {(q.x - p.x) / n, (q.y - p.y) / n};
	double turn = atan2(-u.y, u.x) * 180 / PI;
	if (turn > 90 + 1e-6 || turn <= -90 + 1e-6) {
		display_point t = p;
		p = q, q = t;
		u = (display_point){-u.x, -u.y};
		turn = atan2(-u.y, u.x) * 180 / PI;
	}
	display_point up = {u.y, -u.x};
	double w = display_text_width(FONT_REGULAR, cap, text);
	bool heads_inside = n >= 2 * ARROW + 1.5;
	bool text_inside = n >= w + 1.2;
	display_style style = put_style(cap, turn, ALIGN_CENTRE);
	display_point at = along(along(p, u, n / 2), up, ABOVE);
	if (text_inside && !display_is_free(d, display_text_box(at.x, at.y, &style, text))) text_inside = false;
	double before = heads_inside ? 0 : ARROW + 2, after = before;
	if (!text_inside) {
		/* Beyond the end, over the line that runs on; on the other side when that is taken. */
		double start = heads_inside ? 1 : ARROW + 1;
		style.align = ALIGN_LEFT;
		at = along(along(q, u, start), up, ABOVE);
		display_style other = put_style(cap, turn, ALIGN_RIGHT);
		display_point there = along(along(p, u, -start), up, ABOVE);
		if (!display_is_free(d, display_text_box(at.x, at.y, &style, text)) &&
		    display_is_free(d, display_text_box(there.x, there.y, &other, text))) {
			style = other;
			at = there;
			before = start + w;
		} else {
			after = start + w;
		}
	}
	display_point from = along(p, u, heads_inside && before == 0 ? ARROW / 2 : -before);
	display_point to = along(q, u, heads_inside && after == 0 ? -ARROW / 2 : after);
	line(d, from, to);
	double facing = heads_inside ? 180 : 0;
	display_arrowhead(d, p.x, p.y, turn + facing, 0);
	display_arrowhead(d, q.x, q.y, turn + 180 - facing, 0);
	display_text_style(d, at.x, at.y, &style, text);
	display_take(d, display_text_box(at.x, at.y, &style, text));
}

void dim_horizontal(display *d, display_point a, display_point b, double at, double cap, const char *text) {
	display_point p = {a.x, at}, q = {b.x, at};
	extension(d, a, p);
	extension(d, b, q);
	dimension_line(d, p, q, cap, text);
}

void dim_vertical(display *d, display_point a, display_point b, double at, double cap, const char *text) {
	display_point p = {at, a.y}, q = {at, b.y};
	extension(d, a, p);
	extension(d, b, q);
	dimension_line(d, p, q, cap, text);
}

void dim_skew(display *d, display_point a, display_point b, display_point offset, double cap, const char *text) {
	display_point p = {a.x + offset.x, a.y + offset.y}, q = {b.x + offset.x, b.y + offset.y};
	extension(d, a, p);
	extension(d, b, q);
	dimension_line(d, p, q, cap, text);
}

/* ---- ordinates ------------------------------------------------------------------------------------- */

void dim_spread(double *at, size_t n, double gap) {
	/* Isotonic regression of at[i] - i gap by pooling neighbours that are out of order. */
	typedef struct pool {
		double sum;
		size_t count;
	} pool;
	if (n < 2) return;
	pool *p = malloc(n * sizeof *p);
	if (!p) return; /* crowded, but all there */
	size_t k = 0;
	for (size_t i = 0; i < n; i++) {
		p[k++] = (pool){at[i] - (double)i * gap, 1};
		while (k > 1 && p[k - 2].sum / (double)p[k - 2].count > p[k - 1].sum / (double)p[k - 1].count) {
			p[k - 2].sum += p[k - 1].sum;
			p[k - 2].count += p[k - 1].count;
			k--;
		}
	}
	for (size_t i = 0, g = 0; g < k; g++)
		for (size_t c = 0; c < p[g].count; c++, i++) at[i] = p[g].sum / (double)p[g].count + (double)i * gap;
	free(p);
}

static int by_place(const void *a, const void *b) {
	const dim_ordinate *x = a, *y = b;
	if (x->at < y->at) return -1;
	if (x->at > y->at) return 1;
	return strcmp(x->text, y->text);
}

/* Sorted, each value once; of equal ones the feature nearest to the base is kept. */
static size_t distinct(dim_ordinate *v, size_t n, double base) {
	qsort(v, n, sizeof *v, by_place);
	size_t k = 0;
	for (size_t i = 0; i < n; i++) {
		if (k && v[i].at - v[k - 1].at < 0.02 && !strcmp(v[i].text, v[k - 1].text)) {
			if (fabs(v[i].reach - base) < fabs(v[k - 1].reach - base)) v[k - 1].reach = v[i].reach;
			continue;
		}
		v[k++] = v[i];
	}
	return k;
}

static void one_ordinate(display *d, bool along_x, double base, int outward, const dim_ordinate *o, double spread,
			 double cap) {
	const double bend = 3, stub = 1;
	double from = o->reach + (o->reach < base ? GAP : -GAP);
	/* p, q, r, s along the leader; then swapped for values beside the drawing. */
	double across[4] = {from, base, base + outward * bend, base + outward * (bend + stub)};
	double place[4] = {o->at, o->at, spread, spread};
	for (int i = 0; i < 3; i++) {
		if (i == 0 && fabs(from - base) < 0.3) continue;
		display_point p = {place[i], across[i]}, q = {place[i + 1], across[i + 1]};
		if (!along_x) p = (display_point){p.y, p.x}, q = (display_point){q.y, q.x};
		line(d, p, q);
	}
	double end = across[3] + outward * 0.6;
	display_style style = {.cap = cap, .turn = along_x ? 90 : 0};
	double x = along_x ? spread + cap / 2 : end, y = along_x ? end : spread + cap / 2;
	/* Upright text runs up the page, so below the drawing its right end is at the leader. */
	style.align = (along_x ? outward > 0 : outward < 0) ? ALIGN_RIGHT : ALIGN_LEFT;
	display_text_style(d, x, y, &style, o->text);
	display_take(d, display_text_box(x, y, &style, o->text));
}

double dim_ordinates(display *d, bool along_x, double origin, double base, int outward, dim_ordinate *v, size_t n,
		     double cap) {
	dim_ordinate *all = ARENA_MANY(d->mem, dim_ordinate, n + 1);
	if (n) memcpy(all, v, n * sizeof *all);
	all[n] = (dim_ordinate){origin, base, "0"};
	size_t k = distinct(all, n + 1, base);
	double *at = ARENA_MANY(d->mem, double, k);
	double widest = 0;
	for (size_t i = 0; i < k; i++) {
		at[i] = all[i].at;
		widest = fmax(widest, display_text_width(FONT_REGULAR, cap, all[i].text));
	}
	dim_spread(at, k, DIM_ORDINATE_GAP(cap));
	for (size_t i = 0; i < k; i++) one_ordinate(d, along_x, base, outward, &all[i], at[i], cap);
	display_circle(d, PEN_DIM, FILL_WHITE, along_x ? origin : base, along_x ? base : origin, 0.8);
	return 4.6 + widest;
}

/* ---- leaders --------------------------------------------------------------------------------------- */

typedef struct leader {
	display_point edge, elbow, shoulder, text;
	display_align align;
	display_box box;
} leader;

static leader leader_at(double cx, double cy, double r, double angle, double length, double cap, const char *text) {
	double c = cos(angle * PI / 180), s = sin(angle * PI / 180), side = c >= -1e-9 ? 1 : -1;
	leader l = {.edge = {cx + r * c, cy - r * s}, .elbow = {cx + (r + length) * c, cy - (r + length) * s}};
	l.shoulder = (display_point){l.elbow.x + side * 2, l.elbow.y};
	l.text = (display_point){l.shoulder.x + side * 0.8, l.elbow.y + cap / 2};
	l.align = side > 0 ? ALIGN_LEFT : ALIGN_RIGHT;
	display_style style = {.cap = cap, .align = l.align};
	l.box = display_box_grow(display_text_box(l.text.x, l.text.y, &style, text), 0.4);
	return l;
}

bool dim_leader(display *d, double cx, double cy, double r, double angle, double cap, const char *text,
		display_box within) {
	static const double TURN[] = {0,  15,  -15, 30,	  -30, 45,   -45, 60,	-60,
				      80, -80, 100, -100, 120, -120, 150, -150, 180};
	static const double LENGTH[] = {5, 8, 12, 17, 24, 34};
	leader l = leader_at(cx, cy, r, angle, LENGTH[0], cap, text);
	bool found = false;
	for (size_t k = 0; k < sizeof LENGTH / sizeof *LENGTH && !found; k++) {
		for (size_t i = 0; i < sizeof TURN / sizeof *TURN && !found; i++) {
			leader t = leader_at(cx, cy, r, angle + TURN[i], LENGTH[k], cap, text);
			if (!display_box_inside(t.box, within) || !display_is_free(d, t.box)) continue;
			if (!display_line_is_free(d, t.edge.x, t.edge.y, t.elbow.x, t.elbow.y)) continue;
			if (!display_line_is_free(d, t.elbow.x, t.elbow.y, t.shoulder.x, t.shoulder.y)) continue;
			l = t;
			found = true;
		}
	}
	line(d, l.edge, l.elbow);
	line(d, l.elbow, l.shoulder);
	display_arrowhead(d, l.edge.x, l.edge.y, atan2(l.elbow.y - l.edge.y, l.edge.x - l.elbow.x) * 180 / PI, 0);
	display_style style = {.cap = cap, .align = l.align};
	display_text_style(d, l.text.x, l.text.y, &style, text);
	display_take(d, l.box);
	return found;
}

void dim_centre_mark(display *d, double cx, double cy, double r, double over) {
	double n = r + over;
	/* A dash-dot line shorter than its own pattern would show one dash off centre. */
	display_pen pen = n < 4 ? PEN_DIM : PEN_CENTRE;
	for (int i = 0; i < 2; i++) {
		double x = i ? 0 : n, y = i ? n : 0;
		if (pen == PEN_DIM) {
			display_segment(d, pen, cx - x, cy - y, cx + x, cy + y);
			continue;
		}
		/* From the centre outwards, so that long dashes cross there. */
		display_segment(d, pen, cx, cy, cx + x, cy + y);
		display_segment(d, pen, cx, cy, cx - x, cy - y);
	}
}
