#include <math.h>

#include "runtime/draw/view_picture.h"
#include "runtime/engine/outline.h"

/* ---- faces, back to front ---------------------------------------------------------------------------------- */

typedef struct painted { /* a part that counts, in the order of rows */
	size_t part;
	double lo[3], hi[3];
	display_box page;
	bool needed;	/* lies over a face that is filled, or is one */
	size_t waiting; /* how many must be painted before it */
} painted;
typedef LIST(painted) paints;

/* How far a lies on the viewer's side of a plane that b is behind; negative: so deep do they overlap. */
static double ahead(const double v[3], const painted *a, const painted *b) {
	double most = -INFINITY;
	for (int i = 0; i < 3; i++) {
		double by = v[i] > 1e-9 ? a->lo[i] - b->hi[i] : v[i] < -1e-9 ? b->lo[i] - a->hi[i] : -INFINITY;
		if (by > most) most = by;
	}
	return most;
}

/* Must a be painted after b, which lies behind it? When both are ahead of each other neither covers the other; parts
 * that overlap (a tongue in its groove) go by the lesser depth. */
static bool covers(const view_picture *p, const painted *a, const painted *b) {
	if (!display_box_overlap(a->page, b->page)) return false;
	double x = ahead(p->set.v, a, b), y = ahead(p->set.v, b, a);
	if (x >= -p->set.tiny && y >= -p->set.tiny) return false;
	return x > y;
}

/* New parts are filled; of the others only those that lie before one of them. */
static paints what_is_painted(const view_picture *p) {
	paints all = {0}, out = {0};
	for (size_t i = 0; i < p->scene->n; i++) {
		if (p->scene->part[i].emphasis == VIEW_ABSENT) continue;
		painted *one = LIST_ADD(p->set.mem, &all);
		*one = (painted){.part = i, .needed = p->scene->part[i].emphasis == VIEW_NEW};
		view_part_box(&p->scene->part[i], one->lo, one->hi);
		one->page = display_box_empty();
		for (int c = 0; c < 8; c++) {
			const double at[3] = {c & 1 ? one->hi[0] : one->lo[0], c & 2 ? one->hi[1] : one->lo[1],
					      c & 4 ? one->hi[2] : one->lo[2]};
			display_point q = view_picture_at(p, at);
			one->page = display_box_join(one->page, (display_box){q.x, q.y, q.x, q.y});
		}
	}
	for (size_t i = 0; i < all.n; i++) {
		painted *a = &all.v[i];
		for (size_t k = 0; k < all.n && !a->needed; k++) {
			const painted *b = &all.v[k];
			a->needed = p->scene->part[b->part].emphasis == VIEW_NEW && covers(p, a, b);
		}
		if (a->needed) LIST_PUSH(p->set.mem, &out, *a);
	}
	return out;
}

/* Far parts first. A ring of parts that cover each other in turn is opened at its lowest row. */
static size_t *paint_order(const view_picture *p, paints *all) {
	size_t n = all->n;
	size_t *order = ARENA_MANY(p->set.mem, size_t, n + 1);
	bool *done = ARENA_MANY(p->set.mem, bool, n + 1);
	bool *over = ARENA_MANY(p->set.mem, bool, n *n + 1);
	for (size_t i = 0; i < n; i++)
		for (size_t k = 0; k < n; k++) {
			if (i == k || !covers(p, &all->v[i], &all->v[k])) continue;
			over[k * n + i] = true;
			all->v[i].waiting++;
		}
	for (size_t k = 0; k < n; k++) {
		size_t pick = n, first = n;
		for (size_t i = 0; i < n && pick == n; i++) {
			if (done[i]) continue;
			if (first == n) first = i;
			if (!all->v[i].waiting) pick = i;
		}
		if (pick == n) pick = first;
		order[k] = pick;
		done[pick] = true;
		for (size_t i = 0; i < n; i++) all->v[i].waiting -= over[pick * n + i] && !done[i];
	}
	return order;
}

/* What of a convex polygon lies inside another of the same sense (Sutherland and Hodgman). */
static size_t cut_convex(arena *mem, double (*p)[2], size_t n, double (*by)[2], size_t m, double (**out)[2]) {
	double(*from)[2] = arena_alloc(mem, (n + m + 1) * 2 * sizeof *from), (*to)[2] = from + (n + m + 1);
	for (size_t i = 0; i < n; i++) from[i][0] = p[i][0], from[i][1] = p[i][1];
	for (size_t e = 0; e < m && n; e++) {
		double ax = by[e][0], ay = by[e][1], dx = by[(e + 1) % m][0] - ax, dy = by[(e + 1) % m][1] - ay;
		size_t k = 0;
		for (size_t i = 0; i < n; i++) {
			double *u = from[i], *v = from[(i + 1) % n];
			double du = dx * (u[1] - ay) - dy * (u[0] - ax), dv = dx * (v[1] - ay) - dy * (v[0] - ax);
			if (du >= 0) to[k][0] = u[0], to[k][1] = u[1], k++;
			if ((du >= 0) != (dv >= 0)) {
				double t = du / (du - dv);
				to[k][0] = u[0] + t * (v[0] - u[0]), to[k][1] = u[1] + t * (v[1] - u[1]);
				k++;
			}
		}
		double(*swap)[2] = from;
		from = to, to = swap;
		n = k;
	}
	*out = from;
	return n;
}

static void add_ring(display *d, const view_picture *p, const lines_face *f, double (*q)[2], size_t n) {
	for (size_t i = 0; i < n; i++) {
		double at[3];
		at[f->n] = f->c, at[f->a] = q[i][0], at[f->b] = q[i][1];
		display_point on = view_picture_at(p, at);
		if (i)
			display_line(d, on.x, on.y);
		else
			display_move(d, on.x, on.y);
	}
	if (n) display_close(d);
}

static outline_path ring_path(arena *mem, const lines_shape *s, double shift_a, double shift_b) {
	outline_path p = {0};
	for (size_t i = 0; i < s->n; i++) {
		const double *a = s->corner[i], *b = s->corner[(i + 1) % s->n];
		outline_point from = {s->a + a[0] + shift_a, s->b + a[1] + shift_b};
		outline_point to = {s->a + b[0] + shift_a, s->b + b[1] + shift_b};
		LIST_PUSH(mem, &p, outline_line(from, to));
	}
	return p;
}

/* What is seen through a free outline: what its near and its far rim have in common. */
static void add_lens(display *d, const view_picture *p, const lines_face *f, const lines_light *l) {
	arena *mem = p->set.mem;
	outline_path near = ring_path(mem, &l->shape, 0, 0), far = ring_path(mem, &l->shape, l->shift_a, l->shift_b);
	outline_paths lens = {0};
	if (hypot(l->shift_a, l->shift_b) < 1e-3)
		LIST_PUSH(mem, &lens, near);
	else if (!outline_common(mem, &near, &far, &lens))
		return;
	for (size_t i = 0; i < lens.n; i++) {
		double(*q)[2] = arena_many(mem, sizeof *q, lens.v[i].n + 1);
		for (size_t k = 0; k < lens.v[i].n; k++)
			q[k][0] = lens.v[i].v[k].from.x, q[k][1] = lens.v[i].v[k].from.y;
		add_ring(d, p, f, q, lens.v[i].n);
	}
}

static void paint_face(display *d, const view_picture *p, const lines_face *f, display_fill fill) {
	double corner[4][2] = {{f->lo[0], f->lo[1]}, {f->hi[0], f->lo[1]}, {f->hi[0], f->hi[1]}, {f->lo[0], f->hi[1]}};
	add_ring(d, p, f, corner, 4);
	for (size_t i = 0; i < f->lights.n; i++) {
		const lines_light *l = &f->lights.v[i];
		lines_shape far = l->shape;
		far.a += l->shift_a, far.b += l->shift_b;
		if (l->shape.n) {
			add_lens(d, p, f, l);
			continue;
		}
		double(*q)[2], (*r)[2], (*lens)[2];
		size_t nq = view_shape_outline(p->set.mem, &l->shape, p->scale, &q);
		size_t nr = view_shape_outline(p->set.mem, &far, p->scale, &r);
		size_t n = cut_convex(p->set.mem, q, nq, r, nr, &lens);
		if (n > 2) add_ring(d, p, f, lens, n);
	}
	display_paint(d, PEN_NONE, fill);
}

/* Nothing is painted when nothing is new, nothing to be told apart: paper stays paper. */
static void paint_faces(display *d, const view_picture *p) {
	paints all = what_is_painted(p);
	const size_t *order = paint_order(p, &all);
	size_t *first = ARENA_MANY(p->set.mem, size_t, p->scene->n + 1); /* the faces stand part by part */
	for (size_t f = p->set.faces.n; f-- > 0;) first[p->set.faces.v[f].part] = f;
	for (size_t k = 0; k < all.n; k++) {
		size_t part = all.v[order[k]].part;
		display_fill fill = p->scene->part[part].emphasis == VIEW_NEW ? FILL_LIGHT : FILL_WHITE;
		for (size_t f = first[part]; f < p->set.faces.n && p->set.faces.v[f].part == part; f++)
			paint_face(d, p, &p->set.faces.v[f], fill);
	}
}

/* ---- lines ---------------------------------------------------------------------------------------------- */

typedef struct stroke {
	LIST(display_node) nodes;
} stroke;

typedef struct ink {
	display *d;
	view_picture *p;
	view_report *r;
	stroke by_pen[DISPLAY_PEN_COUNT];
	bool running;	 /* the segment before was seen to its end */
	display_pen pen; /* and drawn with this pen */
} ink;

static display_point on_page(const view_picture *p, const lines_segment *s, double t) {
	double at[3];
	for (int i = 0; i < 3; i++) at[i] = s->a[i] + t * (s->b[i] - s->a[i]);
	return view_picture_at(p, at);
}

static void add_piece(ink *k, display_pen pen, display_point from, display_point to, bool go_on) {
	stroke *s = &k->by_pen[pen];
	if (!go_on) LIST_PUSH(k->d->mem, &s->nodes, ((display_node){.step = STEP_MOVE, .p = from}));
	LIST_PUSH(k->d->mem, &s->nodes, ((display_node){.step = STEP_LINE, .p = to}));
}

static void add_segment(ink *k, const lines_segment *s, const lines_spans *seen) {
	const double least_mm = 0.03; /* no pen draws less */
	display_pen pen = (display_pen)s->pen;
	bool was_running = k->running && s->joined && k->pen == pen;
	k->running = false;
	for (size_t i = 0; i < seen->n; i++) {
		display_point from = on_page(k->p, s, seen->v[i].t0), to = on_page(k->p, s, seen->v[i].t1);
		bool go_on = was_running && seen->v[i].t0 <= 0;
		bool to_end = seen->v[i].t1 >= 1;
		if (!go_on && !(s->joined && to_end) && hypot(to.x - from.x, to.y - from.y) < least_mm) continue;
		add_piece(k, pen, from, to, go_on);
		if (!go_on) k->r->edges++;
		k->running = to_end;
	}
	k->pen = pen;
}

/* The rest of the segment, dashed: between the spans that are seen. */
static void add_rest(ink *k, const lines_segment *s, const lines_spans *seen) {
	double at = 0;
	for (size_t i = 0; i <= seen->n; i++) {
		double end = i < seen->n ? seen->v[i].t0 : 1;
		display_point from = on_page(k->p, s, at), to = on_page(k->p, s, end);
		if (end > at && hypot(to.x - from.x, to.y - from.y) > 0.5) {
			add_piece(k, PEN_HIDDEN, from, to, false);
			k->r->hidden_edges++;
		}
		if (i < seen->n) at = seen->v[i].t1;
	}
}

void view_picture_draw(display *d, view_picture *p, bool hidden, view_report *r) {
	paint_faces(d, p);
	ink k = {.d = d, .p = p, .r = r};
	lines_work work = {0};
	for (size_t i = 0; i < p->set.segments.n; i++) {
		const lines_segment *s = &p->set.segments.v[i];
		if (s->pen == PEN_NONE) {
			k.running = false;
			continue;
		}
		lines_visible(&p->set, s, &work);
		add_segment(&k, s, &work.seen);
		if (hidden && s->edge && p->scene->part[s->part].emphasis != VIEW_LIGHT) add_rest(&k, s, &work.seen);
	}
	/* Thin and grey ones first, so that heavy ends lie on top. */
	static const display_pen ORDER[] = {PEN_HIDDEN, PEN_LIGHT, PEN_CENTRE, PEN_DIM,
					    PEN_PART,	PEN_EDGE,  PEN_OUTLINE};
	for (size_t o = 0; o < sizeof ORDER / sizeof *ORDER; o++) {
		const stroke *s = &k.by_pen[ORDER[o]];
		for (size_t i = 0; i < s->nodes.n; i++) {
			const display_node *n = &s->nodes.v[i];
			if (n->step == STEP_MOVE)
				display_move(d, n->p.x, n->p.y);
			else
				display_line(d, n->p.x, n->p.y);
		}
		display_paint(d, ORDER[o], FILL_NONE);
	}
}
