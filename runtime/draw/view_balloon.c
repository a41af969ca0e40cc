#include <math.h>
#include <stdint.h>
#include <stdlib.h>

#include "runtime/draw/view_picture.h"

typedef struct balloon {
	const char *text;
	display_point at; /* where the leader ends, on the part */
	size_t slot;
} balloon;

typedef struct balloons {
	arena *mem;
	LIST(balloon) all;
	LIST(display_point) slots;
} balloons;

/* A point of the part that is seen, as far inside a seen face as a raster tells; false when none is. */
static bool seen_point(const view_picture *p, unsigned part, display_point *out) {
	enum { GRID = 9 };
	double best = 0;
	for (size_t f = 0; f < p->set.faces.n; f++) {
		const lines_face *side = &p->set.faces.v[f];
		if (side->part != part) continue;
		double size[2] = {side->hi[0] - side->lo[0], side->hi[1] - side->lo[1]};
		double seen[GRID][GRID]; /* 1 seen, less when only through an opening, 0 hidden */
		double spot[GRID][GRID][3];
		for (int i = 0; i < GRID; i++)
			for (int k = 0; k < GRID; k++) {
				double *at = spot[i][k];
				bool through;
				at[side->n] = side->c;
				at[side->a] = side->lo[0] + (i + 0.5) / GRID * size[0];
				at[side->b] = side->lo[1] + (k + 0.5) / GRID * size[1];
				seen[i][k] = !lines_point_visible(&p->set, at, &through) ? 0 : through ? 0.2 : 1;
				for (size_t h = 0; h < side->lights.n; h++) {
					double q[2] = {at[side->a], at[side->b]};
					lines_spans in = {0};
					lines_in_shape(p->set.mem, &side->lights.v[h].shape, q, q, &in);
					if (in.n) seen[i][k] = 0;
				}
			}
		double area = size[0] * size[1] * fabs(p->set.v[side->n]);
		for (int i = 0; i < GRID; i++)
			for (int k = 0; k < GRID; k++) {
				if (!(seen[i][k] > 0)) continue;
				double near = 0; /* neighbours that are seen too */
				for (int a = -1; a <= 1; a++)
					for (int b = -1; b <= 1; b++)
						if (i + a >= 0 && i + a < GRID && k + b >= 0 && k + b < GRID)
							near += seen[i + a][k + b];
				if (near < 0.9) continue; /* a speck in a small opening tells nobody which part it is */
				double worth = seen[i][k] *
					       (near + 0.1 * (GRID - abs(i - GRID / 2) - abs(k - GRID / 2))) *
					       (1 + sqrt(area));
				if (worth <= best) continue;
				best = worth;
				*out = view_picture_at(p, spot[i][k]);
			}
	}
	return best > 0;
}

/* Places on a rectangle round the picture, where nothing is yet. */
static void make_slots(balloons *b, const display *d, display_box into, display_box picture, double r) {
	display_box ring = display_box_grow(picture, 2 * r + 2);
	ring.x0 = fmax(ring.x0, into.x0 + r), ring.y0 = fmax(ring.y0, into.y0 + r);
	ring.x1 = fmin(ring.x1, into.x1 - r), ring.y1 = fmin(ring.y1, into.y1 - r);
	double pitch = 2 * r + 2;
	for (int layer = 0; layer < 2; layer++) {
		double w = ring.x1 - ring.x0, h = ring.y1 - ring.y0;
		int nx = (int)(w / pitch), ny = (int)(h / pitch);
		if (nx < 1 || ny < 1) return;
		for (int i = 0; i < 2 * (nx + ny); i++) {
			display_point at;
			if (i < nx)
				at = (display_point){ring.x0 + w * i / nx, ring.y0};
			else if (i < nx + ny)
				at = (display_point){ring.x1, ring.y0 + h * (i - nx) / ny};
			else if (i < 2 * nx + ny)
				at = (display_point){ring.x1 - w * (i - nx - ny) / nx, ring.y1};
			else
				at = (display_point){ring.x0, ring.y1 - h * (i - 2 * nx - ny) / ny};
			display_box box = {at.x - r - 0.5, at.y - r - 0.5, at.x + r + 0.5, at.y + r + 0.5};
			if (!display_box_overlap(box, picture) && display_is_free(d, box) &&
			    display_box_inside(display_box_grow(box, -0.5), into))
				LIST_PUSH(b->mem, &b->slots, at);
		}
		/* A second ring outside the first only when there are more balloons than places. */
		if (b->slots.n >= b->all.n) return;
		ring = display_box_grow(ring, pitch);
	}
}

static double distance(display_point a, display_point b) { return hypot(a.x - b.x, a.y - b.y); }

/* Length of the leader, and much more when it would run over something that was written before. */
static double cost(const display *d, display_point at, display_point slot) {
	double penalty = 0;
	for (size_t i = 0; i < d->taken.n; i++) {
		if (d->taken.v[i].line) continue;
		display t = {.taken = {(display_taken *)&d->taken.v[i], 1, 1}};
		if (!display_line_is_free(&t, at.x, at.y, slot.x, slot.y)) penalty += 60;
	}
	return distance(at, slot) + penalty;
}

static bool cross(display_point a, display_point b, display_point c, display_point e) {
	double abc = (b.x - a.x) * (c.y - a.y) - (b.y - a.y) * (c.x - a.x);
	double abe = (b.x - a.x) * (e.y - a.y) - (b.y - a.y) * (e.x - a.x);
	double cea = (e.x - c.x) * (a.y - c.y) - (e.y - c.y) * (a.x - c.x);
	double ceb = (e.x - c.x) * (b.y - c.y) - (e.y - c.y) * (b.x - c.x);
	return abc * abe < 0 && cea * ceb < 0;
}

/* Two leaders that cross become shorter when they change places: without the penalties this ends crossing-free. */
static void uncross(balloons *b) {
	bool better = true;
	for (int round = 0; better && round < 500; round++) {
		better = false;
		for (size_t i = 0; i < b->all.n; i++)
			for (size_t k = i + 1; k < b->all.n; k++) {
				balloon *x = &b->all.v[i], *y = &b->all.v[k];
				if (x->slot == SIZE_MAX || y->slot == SIZE_MAX) continue;
				if (!cross(x->at, b->slots.v[x->slot], y->at, b->slots.v[y->slot])) continue;
				size_t t = x->slot;
				x->slot = y->slot, y->slot = t;
				better = true;
			}
	}
}

/* Cheapest free place for each, then moves and swaps as long as they save something. */
static void assign(balloons *b, const display *d) {
	size_t n = b->all.n, m = b->slots.n;
	bool *used = ARENA_MANY(b->mem, bool, m + 1);
	double *c = ARENA_MANY(b->mem, double, n *m + 1);
	for (size_t i = 0; i < n; i++)
		for (size_t s = 0; s < m; s++) c[i * m + s] = cost(d, b->all.v[i].at, b->slots.v[s]);
	for (size_t i = 0; i < n; i++) {
		size_t best = SIZE_MAX;
		for (size_t s = 0; s < m; s++)
			if (!used[s] && (best == SIZE_MAX || c[i * m + s] < c[i * m + best])) best = s;
		b->all.v[i].slot = best;
		if (best != SIZE_MAX) used[best] = true;
	}
	bool better = true;
	for (int round = 0; better && round < 200; round++) {
		better = false;
		for (size_t i = 0; i < n; i++) {
			balloon *x = &b->all.v[i];
			if (x->slot == SIZE_MAX) continue;
			for (size_t s = 0; s < m; s++) {
				if (used[s] || c[i * m + s] >= c[i * m + x->slot] - 1e-9) continue;
				used[x->slot] = false, used[s] = true;
				x->slot = s;
				better = true;
			}
			for (size_t k = i + 1; k < n; k++) {
				balloon *y = &b->all.v[k];
				if (y->slot == SIZE_MAX) continue;
				double now = c[i * m + x->slot] + c[k * m + y->slot];
				if (c[i * m + y->slot] + c[k * m + x->slot] >= now - 1e-9) continue;
				size_t t = x->slot;
				x->slot = y->slot, y->slot = t;
				better = true;
			}
		}
	}
	uncross(b);
}

double view_balloon_radius(const view_scene *s, double cap, size_t *n) {
	double r = 1.2 * cap;
	*n = 0;
	for (size_t i = 0; i < s->n; i++) {
		if (!s->part[i].balloon || s->part[i].emphasis == VIEW_ABSENT) continue;
		r = fmax(r, display_text_width(FONT_REGULAR, cap, s->part[i].balloon) / 2 + 0.5 * cap);
		(*n)++;
	}
	return r;
}

size_t view_balloons(display *d, display_box into, display_box picture, const view_picture *p, double cap) {
	balloons b = {.mem = p->set.mem};
	size_t lost = 0, n_balloons;
	double r = view_balloon_radius(p->scene, cap, &n_balloons);
	for (size_t i = 0; i < p->scene->n; i++) {
		const view_part *part = &p->scene->part[i];
		balloon one = {.text = part->balloon};
		if (!part->balloon || part->emphasis == VIEW_ABSENT) continue;
		if (seen_point(p, (unsigned)i, &one.at))
			LIST_PUSH(b.mem, &b.all, one);
		else
			lost++; /* hidden whole: nothing to point at */
	}
	make_slots(&b, d, into, picture, r);
	assign(&b, d);
	for (size_t i = 0; i < b.all.n; i++) {
		const balloon *one = &b.all.v[i];
		if (one->slot == SIZE_MAX) {
			lost++;
			continue;
		}
		display_point c = b.slots.v[one->slot];
		double n = distance(c, one->at);
		if (n > r)
			display_segment(d, PEN_DIM, c.x + r * (one->at.x - c.x) / n, c.y + r * (one->at.y - c.y) / n,
					one->at.x, one->at.y);
		display_circle(d, PEN_NONE, FILL_BLACK, one->at.x, one->at.y, 0.45);
		display_circle(d, PEN_PART, FILL_WHITE, c.x, c.y, r);
		display_text(d, c.x, c.y + cap / 2, cap, ALIGN_CENTRE, one->text);
		display_take(d, (display_box){c.x - r, c.y - r, c.x + r, c.y + r});
		display_take_line(d, c.x, c.y, one->at.x, one->at.y);
	}
	return lost;
}
