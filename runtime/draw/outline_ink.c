#include "runtime/draw/outline_ink.h"

#include <math.h>

void outline_ink(display *d, const outline_path *p, double x, double y, double scale) {
	const double degrees = 180 / acos(-1.0);
	for (size_t i = 0; i < p->n; i++) {
		const outline_piece *o = &p->v[i];
		if (i == 0) display_move(d, x + scale * o->from.x, y - scale * o->from.y);
		if (o->bend == 0) {
			display_line(d, x + scale * o->to.x, y - scale * o->to.y);
			continue;
		}
		display_add_arc(d, x + scale * o->centre.x, y - scale * o->centre.y, scale * o->radius,
				o->start * degrees, (o->start + o->sweep) * degrees, true);
	}
	if (p->n) display_close(d);
}

void outline_corners(display *d, const feature_outline *o, const display_map *map) {
	size_t n = o->free->outline->corners.n;
	double least = INFINITY;
	for (size_t i = 0; i < n; i++) {
		rat a[2], b[2], centre[2];
		feature_corner(o, i, a, centre);
		feature_corner(o, (i + 1) % n, b, centre);
		double du = rat_double(rat_sub(b[0], a[0])), dv = rat_double(rat_sub(b[1], a[1]));
		least = fmin(least, hypot(du, dv) * map->scale);
	}
	if (least < 2.2 * CAP_LABEL) return;
	/* Inside, on the line that parts the corner in two halves. */
	outline_path p = feature_path(d->mem, o);
	for (size_t i = 0; i < n; i++) {
		rat at[2], centre[2];
		feature_corner(o, i, at, centre);
		double x = rat_double(at[0]), y = rat_double(at[1]), best = -1, to_x = x, to_y = y;
		double off = 1.5 * CAP_LABEL / map->scale;
		for (int k = 0; k < 16; k++) {
			outline_point q = {x + off * cos(k * acos(-1.0) / 8), y + off * sin(k * acos(-1.0) / 8)};
			double clear = outline_holds(&p, q) ? outline_distance(&p, q) : -1;
			if (clear <= best + 1e-9) continue;
			best = clear, to_x = q.x, to_y = q.y;
		}
		display_style style = {.cap = CAP_LABEL, .align = ALIGN_CENTRE, .grey = 0.35};
		const char *text = arena_printf(d->mem, "%zu", i + 1);
		double px = display_map_x(map, to_x), py = display_map_y(map, to_y) + CAP_LABEL / 2;
		display_text_style(d, px, py, &style, text);
		display_take(d, display_text_box(px, py, &style, text));
	}
}
