#include <math.h>

#include "runtime/draw/display.h"

static const double PI = 3.14159265358979323846;

/* ---- navigation --------------------------------------------------------------------------------- */

void display_anchor_at(display *d, const char *name, double x, double y) {
	if (!isfinite(x) || !isfinite(y)) {
		d->bad++;
		return;
	}
	LIST_PUSH(d->mem, &d->anchors, ((display_anchor){arena_text(d->mem, name), x, y}));
}
void display_link_to(display *d, display_box box, const char *anchor) {
	if (!isfinite(box.x0) || !isfinite(box.y0) || !isfinite(box.x1) || !isfinite(box.y1)) {
		d->bad++;
		return;
	}
	LIST_PUSH(d->mem, &d->links, ((display_link){box, arena_text(d->mem, anchor)}));
}
void display_bookmark_at(display *d, unsigned level, const char *title, double y) {
	if (!isfinite(y)) {
		d->bad++;
		return;
	}
	LIST_PUSH(d->mem, &d->bookmarks, ((display_bookmark){level ? level : 1, arena_text(d->mem, title), y}));
}

/* ---- places that are free -------------------------------------------------------------------------- */

void display_take(display *d, display_box box) { LIST_PUSH(d->mem, &d->taken, ((display_taken){false, box})); }
void display_take_line(display *d, double x0, double y0, double x1, double y1) {
	LIST_PUSH(d->mem, &d->taken, ((display_taken){true, {x0, y0, x1, y1}}));
}

/* Does the line a meet the inside of box b? Clipping after Liang and Barsky. */
static bool line_meets_box(display_box a, display_box b) {
	double t0 = 0, t1 = 1, dx = a.x1 - a.x0, dy = a.y1 - a.y0;
	const double p[4] = {-dx, dx, -dy, dy}, q[4] = {a.x0 - b.x0, b.x1 - a.x0, a.y0 - b.y0, b.y1 - a.y0};
	for (int i = 0; i < 4; i++) {
		if (fabs(p[i]) < 1e-12) {
			if (q[i] <= 1e-9) return false;
		} else if (p[i] < 0) {
			t0 = fmax(t0, q[i] / p[i]);
		} else {
			t1 = fmin(t1, q[i] / p[i]);
		}
	}
	return t1 - t0 > 1e-9;
}

static bool lines_meet(display_box a, display_box b) {
	double ax = a.x1 - a.x0, ay = a.y1 - a.y0, bx = b.x1 - b.x0, by = b.y1 - b.y0;
	double den = ax * by - ay * bx;
	if (fabs(den) < 1e-12) return false;
	double t = ((b.x0 - a.x0) * by - (b.y0 - a.y0) * bx) / den, u = ((b.x0 - a.x0) * ay - (b.y0 - a.y0) * ax) / den;
	return t > 1e-6 && t < 1 - 1e-6 && u > 1e-6 && u < 1 - 1e-6;
}

bool display_is_free(const display *d, display_box box) {
	for (size_t i = 0; i < d->taken.n; i++) {
		const display_taken *t = &d->taken.v[i];
		if (t->line ? line_meets_box(t->box, box) : display_box_overlap(t->box, box)) return false;
	}
	return true;
}

bool display_line_is_free(const display *d, double x0, double y0, double x1, double y1) {
	display_box line = {x0, y0, x1, y1};
	for (size_t i = 0; i < d->taken.n; i++) {
		const display_taken *t = &d->taken.v[i];
		bool inside = x0 >= t->box.x0 && x0 <= t->box.x1 && y0 >= t->box.y0 && y0 <= t->box.y1;
		if (t->line ? lines_meet(line, t->box) : !inside && line_meets_box(line, t->box)) return false;
	}
	return true;
}

bool display_free_spot(const display *d, double x, double y, double w, double h, display_box within, display_box *out) {
	double cx = fmax(within.x0 + w / 2, fmin(within.x1 - w / 2, x));
	double cy = fmax(within.y0 + h / 2, fmin(within.y1 - h / 2, y));
	*out = display_box_of(cx - w / 2, cy - h / 2, w, h);
	if (!isfinite(x) || !isfinite(y) || w > within.x1 - within.x0 || h > within.y1 - within.y0) return false;
	double step = fmax(0.5, fmin(w, h) / 3), far = hypot(within.x1 - within.x0, within.y1 - within.y0);
	for (double r = 0; r <= far; r += step) {
		int n = r > 0 ? 8 + 8 * (int)fmin(6, r / (4 * step)) : 1;
		for (int i = 0; i < n; i++) {
			double a = 2 * PI * i / n;
			display_box b = display_box_of(x + r * cos(a) - w / 2, y - r * sin(a) - h / 2, w, h);
			if (!display_box_inside(b, within) || !display_is_free(d, b)) continue;
			*out = b;
			return true;
		}
	}
	return false;
}

bool display_free_label(const display *d, double x, double y, double clear, double w, double h, display_box within,
			display_box *out, display_point *end) {
	double step = fmax(0.5, fmin(w, h) / 3), far = hypot(within.x1 - within.x0, within.y1 - within.y0);
	if (!isfinite(x) || !isfinite(y) || !isfinite(far)) far = -1;
	for (double r = clear; r <= far; r += step) {
		int n = 12 + 6 * (int)fmin(8, r / (3 * step));
		for (int i = 0; i < n; i++) {
			/* Distance counts from the label's edge, so wide labels are not pushed off. Up and right first.
			 */
			double a = 2 * PI * (i + n / 8.0) / n, c = cos(a), s = sin(a);
			double cx = x + r * c + w / 2 * (fabs(c) > 0.3 ? copysign(1, c) : c / 0.3);
			double cy = y - r * s - h / 2 * (fabs(s) > 0.3 ? copysign(1, s) : s / 0.3);
			display_box b = display_box_of(cx - w / 2, cy - h / 2, w, h);
			if (!display_box_inside(b, within) || !display_is_free(d, b)) continue;
			display_point to = {fmax(b.x0, fmin(b.x1, x)), fmax(b.y0, fmin(b.y1, y))};
			double len = hypot(to.x - x, to.y - y);
			if (len < clear * 0.7) continue;
			double part = fmin(1, clear / len);
			if (!display_line_is_free(d, x + part * (to.x - x), y + part * (to.y - y), to.x, to.y))
				continue;
			*out = b;
			*end = to;
			return true;
		}
	}
	bool any = display_free_spot(d, x, y - clear - h / 2, w, h, within, out);
	*end = (display_point){fmax(out->x0, fmin(out->x1, x)), fmax(out->y0, fmin(out->y1, y))};
	(void)any;
	return false;
}

/* ---- one display in another -------------------------------------------------------------------------- */

static display_point moved(display_point p, double x, double y, double scale) {
	return (display_point){x + p.x * scale, y + p.y * scale};
}
static display_box moved_box(display_box b, double x, double y, double scale) {
	return (display_box){x + b.x0 * scale, y + b.y0 * scale, x + b.x1 * scale, y + b.y1 * scale};
}

void display_place(display *d, const display *sub, double x, double y, double scale) {
	d->bad += sub->bad;
	for (size_t i = 0; i < sub->strays.n; i++) LIST_PUSH(d->mem, &d->strays, sub->strays.v[i]);
	if (!isfinite(x) || !isfinite(y) || !isfinite(scale)) {
		d->bad++;
		return;
	}
	for (size_t i = 0; i < sub->items.n; i++) {
		display_item item = sub->items.v[i];
		item.box = moved_box(item.box, x, y, scale);
		if (item.kind == ITEM_TEXT) {
			/* The text keeps its height, so its box hangs on the moved anchor unscaled. */
			display_point at = moved(item.at, x, y, scale);
			item.box = moved_box(sub->items.v[i].box, at.x - item.at.x, at.y - item.at.y, 1);
			item.at = at;
			if (display_strays(d, item.box)) LIST_PUSH(d->mem, &d->strays, item.text);
		} else {
			display_node *n = arena_copy(d->mem, item.node, item.n * sizeof *n);
			for (size_t k = 0; k < item.n; k++) {
				n[k].p = moved(n[k].p, x, y, scale);
				n[k].c1 = moved(n[k].c1, x, y, scale);
				n[k].c2 = moved(n[k].c2, x, y, scale);
			}
			item.node = n;
		}
		LIST_PUSH(d->mem, &d->items, item);
	}
	for (size_t i = 0; i < sub->anchors.n; i++) {
		display_point p = moved((display_point){sub->anchors.v[i].x, sub->anchors.v[i].y}, x, y, scale);
		display_anchor_at(d, sub->anchors.v[i].name, p.x, p.y);
	}
	for (size_t i = 0; i < sub->links.n; i++)
		display_link_to(d, moved_box(sub->links.v[i].box, x, y, scale), sub->links.v[i].to);
	for (size_t i = 0; i < sub->taken.n; i++)
		LIST_PUSH(d->mem, &d->taken,
			  ((display_taken){sub->taken.v[i].line, moved_box(sub->taken.v[i].box, x, y, scale)}));
}

display_map display_map_fit(double w, double h, display_box into) {
	double bw = into.x1 - into.x0, bh = into.y1 - into.y0;
	double scale = w > 0 && h > 0 ? fmin(bw / w, bh / h) : 1;
	return (display_map){(into.x0 + into.x1 - w * scale) / 2, (into.y0 + into.y1 + h * scale) / 2, scale};
}

double display_usual_scale(double scale, const char **name) {
	static const struct {
		double one_to;
		const char *name;
	} USUAL[] = {{1, "1:1"},   {2, "1:2"},	 {2.5, "1:2.5"}, {3, "1:3"},   {4, "1:4"},
		     {5, "1:5"},   {6, "1:6"},	 {8, "1:8"},	 {10, "1:10"}, {12, "1:12"},
		     {15, "1:15"}, {20, "1:20"}, {25, "1:25"},	 {50, "1:50"}, {100, "1:100"}};
	for (size_t i = 0; i < sizeof USUAL / sizeof *USUAL; i++) {
		if (1 / USUAL[i].one_to <= scale * (1 + 1e-9)) {
			*name = USUAL[i].name;
			return 1 / USUAL[i].one_to;
		}
	}
	*name = "not to scale";
	return scale;
}
