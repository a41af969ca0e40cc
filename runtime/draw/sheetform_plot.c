#include <math.h>

#include "runtime/base/quant.h"
#include "runtime/draw/sheetform.h"

static const double LABEL = 2.1; /* names of curves and points */

double sheetform_round_step(double range, int most) {
	if (!(range > 0) || !isfinite(range) || most < 1) return 1;
	double power = pow(10, floor(log10(range / most)));
	static const double STEPS[] = {1, 2, 5, 10};
	for (size_t i = 0; i < 4; i++)
		if (range / (power * STEPS[i]) <= most + 1e-9) return power * STEPS[i];
	return power * 20;
}

typedef struct axes {
	display *d;
	const sheetform_plot *p;
	display_box in; /* the plot itself */
	double x_max, y_max, x_step, y_step;
} axes;

static double page_x(const axes *a, double x) { return a->in.x0 + x / a->x_max * (a->in.x1 - a->in.x0); }
static double page_y(const axes *a, double y) { return a->in.y1 - y / a->y_max * (a->in.y1 - a->in.y0); }

static void limits(axes *a) {
	const sheetform_plot *p = a->p;
	double x = p->x_max, y = p->y_max;
	for (size_t c = 0; c < p->n_curves; c++)
		for (size_t i = 0; i < p->curve[c].n; i++) {
			if (!(p->x_max > 0)) x = fmax(x, p->curve[c].p[i].x);
			if (!(p->y_max > 0)) y = fmax(y, p->curve[c].p[i].y);
		}
	for (size_t i = 0; i < p->n_marks; i++) {
		if (!(p->x_max > 0)) x = fmax(x, p->mark[i].x);
		if (!(p->y_max > 0)) y = fmax(y, p->mark[i].y);
	}
	if (!(x > 0) || !isfinite(x)) x = 1;
	if (!(y > 0) || !isfinite(y)) y = 1;
	a->x_step = sheetform_round_step(x, 8);
	a->y_step = sheetform_round_step(y, 6);
	a->x_max = ceil(x / a->x_step - 1e-9) * a->x_step;
	a->y_max = ceil(y / a->y_step - 1e-9) * a->y_step;
}

static int decimals(double step) {
	int n = 0;
	while (n < 6 && fabs(step - round(step)) > 1e-9 * step) step *= 10, n++;
	return n;
}

static double widest_tick(const axes *a) {
	double w = 0;
	for (int i = 0; i * a->y_step <= a->y_max * (1 + 1e-9); i++) {
		const char *t = quant_show_number(a->d->mem, i * a->y_step, decimals(a->y_step));
		w = fmax(w, display_text_width(FONT_REGULAR, CAP_SMALL, t));
	}
	return w;
}

static void draw_axes(const axes *a) {
	display *d = a->d;
	display_box in = a->in;
	for (int i = 0; i * a->x_step <= a->x_max * (1 + 1e-9); i++) {
		double x = page_x(a, i * a->x_step);
		if (i) display_segment(d, PEN_GRID, x, in.y0, x, in.y1);
		display_segment(d, PEN_DIM, x, in.y1, x, in.y1 + 1.2);
		display_text(d, x, in.y1 + 2.2 + CAP_SMALL, CAP_SMALL, ALIGN_CENTRE,
			     quant_show_number(d->mem, i * a->x_step, decimals(a->x_step)));
	}
	for (int i = 0; i * a->y_step <= a->y_max * (1 + 1e-9); i++) {
		double y = page_y(a, i * a->y_step);
		if (i) display_segment(d, PEN_GRID, in.x0, y, in.x1, y);
		display_segment(d, PEN_DIM, in.x0 - 1.2, y, in.x0, y);
		display_text(d, in.x0 - 2, y + CAP_SMALL / 2, CAP_SMALL, ALIGN_RIGHT,
			     quant_show_number(d->mem, i * a->y_step, decimals(a->y_step)));
	}
	display_polyline(d, PEN_PART, (display_point[]){{in.x0, in.y0}, {in.x0, in.y1}, {in.x1, in.y1}}, 3);
	if (a->p->x_label) display_text(d, in.x1, in.y1 + 6.2 + CAP_SMALL, CAP_SMALL, ALIGN_RIGHT, a->p->x_label);
	if (a->p->y_label) display_text(d, in.x0, in.y0 - 2.2, CAP_SMALL, ALIGN_LEFT, a->p->y_label);
}

static void draw_shade(const axes *a) {
	const sheetform_plot *p = a->p;
	if (!(p->shade_x1 > p->shade_x0)) return;
	display *d = a->d;
	double x0 = page_x(a, fmax(0, p->shade_x0)), x1 = page_x(a, fmin(a->x_max, p->shade_x1));
	if (!(x1 > x0)) return;
	display_add_rect(d, x0, a->in.y0, x1 - x0, a->in.y1 - a->in.y0);
	display_hatch(d, PEN_HATCH, 45, 2.2, false);
	display_segment(d, PEN_DIM, x1, a->in.y0, x1, a->in.y1);
}

/* After the curves, where it meets none of them. */
static void label_shade(const axes *a) {
	const sheetform_plot *p = a->p;
	if (!(p->shade_x1 > p->shade_x0) || !p->shade_label) return;
	double x0 = page_x(a, fmax(0, p->shade_x0)), x1 = page_x(a, fmin(a->x_max, p->shade_x1));
	const double cap = CAP_BODY, pad = 1.4;
	double along = display_text_width(FONT_BOLD, cap, p->shade_label) + 2 * pad, across = cap + 2 * pad;
	bool turned = along > x1 - x0; /* a narrow band: upwards */
	double w = turned ? across : along, h = turned ? along : across;
	display_box b, range = {x0, a->in.y0, fmax(x1, x0 + w), a->in.y1};
	display_free_spot(a->d, (range.x0 + range.x1) / 2, (a->in.y0 + a->in.y1) / 2, w, h, range, &b);
	/* White all round, so that no line of the hatching comes near the letters. */
	display_rect(a->d, PEN_NONE, FILL_WHITE, b.x0, b.y0, w, h);
	display_style style = {.cap = cap, .font = FONT_BOLD, .turn = turned ? 90 : 0};
	display_text_style(a->d, turned ? b.x1 - pad : b.x0 + pad, b.y1 - pad, &style, p->shade_label);
	display_take(a->d, b);
}

/* The part of a straight piece inside the plot; false when there is none (Liang and Barsky). */
static bool clip(const axes *a, display_point *p, display_point *q) {
	double t0 = 0, t1 = 1, dx = q->x - p->x, dy = q->y - p->y;
	const double n[4] = {-dx, dx, -dy, dy};
	const double room[4] = {p->x, a->x_max - p->x, p->y, a->y_max - p->y};
	for (int i = 0; i < 4; i++) {
		if (n[i] == 0) {
			if (room[i] < 0) return false;
		} else if (n[i] < 0) {
			t0 = fmax(t0, room[i] / n[i]);
		} else {
			t1 = fmin(t1, room[i] / n[i]);
		}
	}
	if (t0 >= t1) return false;
	display_point from = *p;
	*p = (display_point){from.x + t0 * dx, from.y + t0 * dy};
	*q = (display_point){from.x + t1 * dx, from.y + t1 * dy};
	return true;
}

/* Draws the curve and gives the page point where it ends. */
static bool draw_curve(const axes *a, const sheetform_curve *c, display_point *end) {
	display *d = a->d;
	bool any = false;
	display_point last = {0, 0};
	for (size_t i = 0; i + 1 < c->n; i++) {
		display_point p = c->p[i], q = c->p[i + 1];
		if (!clip(a, &p, &q)) continue;
		display_point from = {page_x(a, p.x), page_y(a, p.y)}, to = {page_x(a, q.x), page_y(a, q.y)};
		if (!any || hypot(from.x - last.x, from.y - last.y) > 1e-6) display_move(d, from.x, from.y);
		display_line(d, to.x, to.y);
		display_take_line(d, from.x, from.y, to.x, to.y);
		last = to, any = true;
	}
	display_paint(d, c->pen == PEN_NONE ? PEN_OUTLINE : c->pen, FILL_NONE);
	*end = last;
	return any;
}

static void put_label(const axes *a, double x, double y, double clear, const char *text, bool leader) {
	display *d = a->d;
	double w = display_text_width(FONT_REGULAR, LABEL, text) + 1.6, h = LABEL * 1.3 + 1.2;
	display_box b;
	display_point end;
	display_free_label(d, x, y, clear, w, h, a->in, &b, &end);
	double n = hypot(end.x - x, end.y - y);
	if (leader && n > clear)
		display_segment(d, PEN_DIM, x + 0.9 * (end.x - x) / n, y + 0.9 * (end.y - y) / n, end.x, end.y);
	display_style style = {.cap = LABEL, .knock_out = true};
	display_text_style(d, b.x0 + 0.8, b.y0 + 0.6 + LABEL, &style, text);
	display_take(d, b);
	if (leader) display_take_line(d, x, y, end.x, end.y);
}

/* Names at the curves' ends, beside each other's ends one under another, each with a short leader. */
static void name_curves(const axes *a, const display_point *end, const bool *drawn) {
	const sheetform_plot *p = a->p;
	const double cap = LABEL, high = 1.35 * cap + 1, off = 4;
	bool *done = ARENA_MANY(a->d->mem, bool, p->n_curves + 1);
	display_box last = display_box_empty();
	for (size_t n = 0; n < p->n_curves; n++) {
		size_t i = p->n_curves;
		for (size_t c = 0; c < p->n_curves; c++)
			if (drawn[c] && p->curve[c].name && !done[c] && (i == p->n_curves || end[c].y < end[i].y))
				i = c;
		if (i == p->n_curves) return;
		done[i] = true;
		double w = display_text_width(FONT_REGULAR, cap, p->curve[i].name) + 1.6;
		display_box b =
			display_box_of(end[i].x + off, fmin(end[i].y - high / 2, a->in.y1 - high - 0.4), w, high);
		if (display_box_overlap(b, last)) b.y0 = last.y1, b.y1 = b.y0 + high;
		if (!display_box_inside(b, a->in) || !display_is_free(a->d, b)) {
			put_label(a, end[i].x, end[i].y, 1, p->curve[i].name, true);
			continue;
		}
		display_segment(a->d, PEN_DIM, end[i].x + 0.6, end[i].y, b.x0 + 0.2, (b.y0 + b.y1) / 2);
		display_style style = {.cap = cap, .knock_out = true};
		display_text_style(a->d, b.x0 + 0.8, b.y1 - 0.5 - 0.35 * cap, &style, p->curve[i].name);
		display_take(a->d, b);
		last = b;
	}
}

void sheetform_plot_draw(display *d, display_box box, const sheetform_plot *p) {
	axes a = {.d = d, .p = p};
	limits(&a);
	a.in = (display_box){box.x0 + widest_tick(&a) + 3.5, box.y0 + CAP_SMALL + 4, box.x1 - 6, box.y1 - 9};
	draw_shade(&a);
	draw_axes(&a);
	display_point *end = ARENA_MANY(d->mem, display_point, p->n_curves + 1);
	bool *drawn = ARENA_MANY(d->mem, bool, p->n_curves + 1);
	for (size_t c = 0; c < p->n_curves; c++) drawn[c] = draw_curve(&a, &p->curve[c], &end[c]);
	for (size_t i = 0; i < p->n_marks; i++) {
		double x = page_x(&a, p->mark[i].x), y = page_y(&a, p->mark[i].y);
		if (p->mark[i].x > a.x_max || p->mark[i].y > a.y_max || p->mark[i].x < 0 || p->mark[i].y < 0) continue;
		display_circle(d, PEN_EDGE, FILL_WHITE, x, y, 0.9);
		display_take(d, (display_box){x - 1.2, y - 1.2, x + 1.2, y + 1.2});
	}
	for (size_t i = 0; i < p->n_marks; i++) {
		if (p->mark[i].x > a.x_max || p->mark[i].y > a.y_max || p->mark[i].x < 0 || p->mark[i].y < 0) continue;
		if (p->mark[i].label)
			put_label(&a, page_x(&a, p->mark[i].x), page_y(&a, p->mark[i].y), 2, p->mark[i].label, true);
	}
	label_shade(&a);
	name_curves(&a, end, drawn);
}
