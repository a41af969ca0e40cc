/* Which faces can hide a place: those that lie over its cell of a grid on the page. */
#include <math.h>

#include "runtime/draw/view_lines.h"

enum { MOST_CELLS = 64 }; /* along each side */
static const double SLACK_MM = 1e-3;

/* Any two directions across the view do; the axis that lies most across it begins. */
static void across(const double v[3], double u[3], double w[3]) {
	int n = fabs(v[0]) < fabs(v[1]) ? 0 : 1;
	if (fabs(v[2]) < fabs(v[n])) n = 2;
	double length = sqrt(1 - fmin(v[n] * v[n], 1));
	for (int i = 0; i < 3; i++) u[i] = ((i == n) - v[n] * v[i]) / length;
	w[0] = v[1] * u[2] - v[2] * u[1];
	w[1] = v[2] * u[0] - v[0] * u[2];
	w[2] = v[0] * u[1] - v[1] * u[0];
}

static void on_grid(const lines_grid *g, const double p[3], double at[2]) {
	at[0] = at[1] = 0;
	for (int i = 0; i < 3; i++) at[0] += p[i] * g->u[i], at[1] += p[i] * g->w[i];
}

static size_t cell_of(const lines_grid *g, int k, double at) {
	double c = (at - g->origin[k]) / g->pitch[k];
	return c > 0 ? (size_t)fmin(c, (double)(g->n - 1)) : 0;
}

static void face_extent(const lines_grid *g, const lines_face *f, double lo[2], double hi[2]) {
	lo[0] = lo[1] = INFINITY, hi[0] = hi[1] = -INFINITY;
	for (int c = 0; c < 4; c++) {
		double p[3], at[2];
		p[f->n] = f->c, p[f->a] = c & 1 ? f->hi[0] : f->lo[0], p[f->b] = c & 2 ? f->hi[1] : f->lo[1];
		on_grid(g, p, at);
		for (int k = 0; k < 2; k++)
			lo[k] = fmin(lo[k], at[k] - SLACK_MM), hi[k] = fmax(hi[k], at[k] + SLACK_MM);
	}
}

/* Runs over the cells of each face: counts them, or files the face in them. */
static void file_faces(lines_set *l, size_t *used) {
	lines_grid *g = &l->grid;
	for (size_t i = 0; i < l->faces.n; i++) {
		double lo[2], hi[2];
		face_extent(g, &l->faces.v[i], lo, hi);
		size_t x1 = cell_of(g, 0, hi[0]), y0 = cell_of(g, 1, lo[1]), y1 = cell_of(g, 1, hi[1]);
		for (size_t x = cell_of(g, 0, lo[0]); x <= x1; x++)
			for (size_t y = y0; y <= y1; y++) {
				size_t cell = x * g->n + y;
				if (g->face) g->face[g->first[cell] + used[cell]] = (unsigned)i;
				used[cell]++;
			}
	}
}

void lines_index(lines_set *l) {
	lines_grid *g = &l->grid;
	double lo[2] = {INFINITY, INFINITY}, hi[2] = {-INFINITY, -INFINITY};
	*g = (lines_grid){.n = (size_t)fmin(ceil(sqrt((double)l->faces.n)), MOST_CELLS)};
	if (!l->faces.n) return;
	across(l->v, g->u, g->w);
	for (size_t i = 0; i < l->faces.n; i++) {
		double a[2], b[2];
		face_extent(g, &l->faces.v[i], a, b);
		for (int k = 0; k < 2; k++) lo[k] = fmin(lo[k], a[k]), hi[k] = fmax(hi[k], b[k]);
	}
	for (int k = 0; k < 2; k++) {
		g->origin[k] = lo[k];
		g->pitch[k] = fmax((hi[k] - lo[k]) / (double)g->n, SLACK_MM);
	}
	size_t cells = g->n * g->n;
	size_t *used = ARENA_MANY(l->mem, size_t, cells);
	g->first = ARENA_MANY(l->mem, size_t, cells + 1);
	file_faces(l, used);
	for (size_t i = 0; i < cells; i++) g->first[i + 1] = g->first[i] + used[i], used[i] = 0;
	g->face = ARENA_MANY(l->mem, unsigned, g->first[cells] + 1);
	file_faces(l, used);
}

size_t lines_faces_at(const lines_set *l, const double p[3], const unsigned **faces) {
	const lines_grid *g = &l->grid;
	double at[2];
	if (!g->n) return 0;
	on_grid(g, p, at);
	size_t cell = cell_of(g, 0, at[0]) * g->n + cell_of(g, 1, at[1]);
	*faces = g->face + g->first[cell];
	return g->first[cell + 1] - g->first[cell];
}

static void add_cell(const lines_set *l, size_t cell, lines_work *w) {
	const lines_grid *g = &l->grid;
	for (size_t i = g->first[cell]; i < g->first[cell + 1]; i++) {
		unsigned f = g->face[i];
		if (w->mark[f] == w->round) continue;
		w->mark[f] = w->round;
		LIST_PUSH(l->mem, &w->faces, f);
	}
}

/* Column by column, in each the rows that the line passes. */
void lines_faces_along(const lines_set *l, const double a[3], const double b[3], lines_work *w) {
	const lines_grid *g = &l->grid;
	double p[2], q[2];
	w->faces.n = 0;
	if (!g->n) return;
	if (!w->mark) w->mark = ARENA_MANY(l->mem, unsigned, l->faces.n);
	w->round++;
	on_grid(g, a, p), on_grid(g, b, q);
	if (p[0] > q[0])
		for (int k = 0; k < 2; k++) {
			double t = p[k];
			p[k] = q[k], q[k] = t;
		}
	size_t x0 = cell_of(g, 0, p[0] - SLACK_MM), x1 = cell_of(g, 0, q[0] + SLACK_MM);
	double wide = q[0] - p[0], slope = wide > SLACK_MM ? (q[1] - p[1]) / wide : 0;
	for (size_t x = x0; x <= x1; x++) {
		double at0 = p[1], at1 = q[1];
		if (slope > 0 || slope < 0) {
			double left = g->origin[0] + (double)x * g->pitch[0], right = left + g->pitch[0];
			if (x > x0) at0 = p[1] + slope * (left - SLACK_MM - p[0]);
			if (x < x1) at1 = p[1] + slope * (right + SLACK_MM - p[0]);
		}
		size_t y1 = cell_of(g, 1, fmax(at0, at1) + SLACK_MM);
		for (size_t y = cell_of(g, 1, fmin(at0, at1) - SLACK_MM); y <= y1; y++) add_cell(l, x * g->n + y, w);
	}
}
