/* What a plane cuts: the part's rectangle less what is cut away, cell by cell. */
#include <math.h>

#include "runtime/base/order.h"
#include "runtime/draw/view_cut.h"

static size_t stops(arena *mem, const view_cut *c, bool along_u, double **out) {
	double lo = along_u ? c->box.u0 : c->box.v0, hi = along_u ? c->box.u1 : c->box.v1;
	double *v = ARENA_MANY(mem, double, 2 * c->voids.n + 2);
	size_t n = 0, k = 0;
	v[n++] = lo, v[n++] = hi;
	for (size_t i = 0; i < c->voids.n; i++) {
		double a = along_u ? c->voids.v[i].u0 : c->voids.v[i].v0,
		       b = along_u ? c->voids.v[i].u1 : c->voids.v[i].v1;
		if (a > lo && a < hi) v[n++] = a;
		if (b > lo && b < hi) v[n++] = b;
	}
	order_doubles(v, n);
	for (size_t i = 0; i < n; i++)
		if (!k || v[i] - v[k - 1] > 1e-6) v[k++] = v[i];
	*out = v;
	return k;
}

static bool solid(const view_cut *c, double u, double v) {
	for (size_t i = 0; i < c->voids.n; i++) {
		const view_cut_rect *r = &c->voids.v[i];
		if (u > r->u0 && u < r->u1 && v > r->v0 && v < r->v1) return false;
	}
	return true;
}

void view_cut_draw(display *d, arena *scratch, const view_section_map *map, const view_cut *c) {
	static const double ANGLE[8] = {45, 135, 22.5, 112.5, 67.5, 157.5, 30, 120};
	double *u, *v;
	size_t nu = stops(scratch, c, true, &u), nv = stops(scratch, c, false, &v);
	bool *full = ARENA_MANY(scratch, bool, nu *nv + 1);
	for (size_t i = 0; i + 1 < nu; i++)
		for (size_t k = 0; k + 1 < nv; k++)
			full[i * nv + k] = solid(c, (u[i] + u[i + 1]) / 2, (v[k] + v[k + 1]) / 2);
	for (size_t i = 0; i + 1 < nu; i++)
		for (size_t k = 0; k + 1 < nv; k++)
			if (full[i * nv + k])
				display_add_rect(d, fmin(view_cut_u(map, u[i]), view_cut_u(map, u[i + 1])),
						 view_cut_v(map, v[k + 1]), fabs(u[i + 1] - u[i]) * map->scale,
						 (v[k + 1] - v[k]) * map->scale);
	if (!d->path.n) return;
	if (c->hollow) {
		display_paint(d, PEN_NONE, FILL_WHITE);
		display_segment(d, PEN_DIM, view_cut_u(map, c->box.u0), view_cut_v(map, c->box.v0),
				view_cut_u(map, c->box.u1), view_cut_v(map, c->box.v1));
		display_segment(d, PEN_DIM, view_cut_u(map, c->box.u0), view_cut_v(map, c->box.v1),
				view_cut_u(map, c->box.u1), view_cut_v(map, c->box.v0));
		display_rect(d, PEN_EDGE, FILL_NONE, fmin(view_cut_u(map, c->box.u0), view_cut_u(map, c->box.u1)),
			     view_cut_v(map, c->box.v1), fabs(c->box.u1 - c->box.u0) * map->scale,
			     (c->box.v1 - c->box.v0) * map->scale);
		return;
	}
	double thin = fmin(c->box.u1 - c->box.u0, c->box.v1 - c->box.v0) * map->scale;
	if (thin < 0.9) { /* too thin for hatching to show: ISO 128-50 lets it be filled */
		display_paint(d, PEN_NONE, FILL_BLACK);
	} else {
		/* Neighbouring cells are hatched as one: they share no crossing at their common side. */
		display_hatch(d, PEN_HATCH, ANGLE[c->shade], fmax(0.8, fmin(2.5, 0.5 * thin)), false);
	}
	/* Behind the plane the sheet goes on round an opening: its faces are seen as thin lines. */
	for (size_t i = 0; !c->open && i + 1 < nu; i++)
		for (size_t k = 0; k + 1 < nv; k++) {
			if (full[i * nv + k]) continue;
			const double side[4][4] = {{u[i], v[k], u[i + 1], v[k]},
						   {u[i], v[k + 1], u[i + 1], v[k + 1]},
						   {u[i], v[k], u[i], v[k + 1]},
						   {u[i + 1], v[k], u[i + 1], v[k + 1]}};
			const bool rim[4] = {k == 0, k + 2 == nv, i == 0, i + 2 == nu};
			for (int q = 0; q < 4; q++)
				if (rim[q])
					display_segment(d, PEN_DIM, view_cut_u(map, side[q][0]),
							view_cut_v(map, side[q][1]), view_cut_u(map, side[q][2]),
							view_cut_v(map, side[q][3]));
		}
	/* Outline: sides between full and empty cells. */
	for (size_t i = 0; i < nu; i++)
		for (size_t k = 0; k + 1 < nv; k++) {
			bool left = i > 0 && full[(i - 1) * nv + k], right = i + 1 < nu && full[i * nv + k];
			if (left == right) continue;
			display_move(d, view_cut_u(map, u[i]), view_cut_v(map, v[k]));
			display_line(d, view_cut_u(map, u[i]), view_cut_v(map, v[k + 1]));
		}
	for (size_t k = 0; k < nv; k++)
		for (size_t i = 0; i + 1 < nu; i++) {
			bool low = k > 0 && full[i * nv + k - 1], high = k + 1 < nv && full[i * nv + k];
			if (low == high) continue;
			display_move(d, view_cut_u(map, u[i]), view_cut_v(map, v[k]));
			display_line(d, view_cut_u(map, u[i + 1]), view_cut_v(map, v[k]));
		}
	display_paint(d, PEN_EDGE, FILL_NONE);
}
