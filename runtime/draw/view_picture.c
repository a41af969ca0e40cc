#include "runtime/draw/view_picture.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static const double PI = 3.14159265358979323846;
static const double TINY_MM = 1e-5; /* far below any cut, far above the rounding of doubles */

static double dot(const double a[3], const double b[3]) { return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]; }

view_picture view_picture_begin(arena *mem, const view_scene *s, const double to_viewer[3], const double right[3],
				const double up[3]) {
	view_picture p = {.set = {.mem = mem, .tiny = TINY_MM}, .scene = s, .scale = 1};
	for (int i = 0; i < 3; i++) p.set.v[i] = to_viewer[i], p.right[i] = right[i], p.up[i] = up[i];
	return p;
}

display_point view_picture_at(const view_picture *p, const double at[3]) {
	return (display_point){p->x + p->scale * dot(at, p->right), p->y - p->scale * dot(at, p->up)};
}

void view_part_box(const view_part *part, double lo[3], double hi[3]) {
	for (int i = 0; i < 3; i++) lo[i] = part->lo[i] + part->offset[i], hi[i] = part->hi[i] + part->offset[i];
}

display_box view_picture_extent(const view_picture *p) {
	display_box b = display_box_empty();
	view_picture unit = *p;
	unit.scale = 1, unit.x = unit.y = 0;
	for (size_t i = 0; i < p->scene->n; i++) {
		if (p->scene->part[i].emphasis == VIEW_ABSENT) continue;
		double lo[3], hi[3];
		view_part_box(&p->scene->part[i], lo, hi);
		for (int k = 0; k < 8; k++) {
			double c[3] = {k & 1 ? hi[0] : lo[0], k & 2 ? hi[1] : lo[1], k & 4 ? hi[2] : lo[2]};
			display_point at = view_picture_at(&unit, c);
			b = display_box_join(b, (display_box){at.x, at.y, at.x, at.y});
		}
	}
	return b;
}

lines_shape view_hole_shape(const view_hole *h, axis a, axis b) {
	lines_shape s = {.a = h->centre[a], .b = h->centre[b]};
	if (h->kind == SHAPE_ROUND) {
		s.half_a = s.half_b = s.r = h->a / 2;
		return s;
	}
	s.half_a = (h->along == a ? h->a : h->b) / 2;
	s.half_b = (h->along == a ? h->b : h->a) / 2;
	s.corner = h->point, s.n = h->n_points;
	if (s.n) return s;
	s.r = h->kind == SHAPE_SLOT ? fmin(s.half_a, s.half_b) : fmin(h->corner, fmin(s.half_a, s.half_b));
	return s;
}

/* ---- building ------------------------------------------------------------------------------------------ */

typedef struct gap {  /* a stretch of a box edge that an opening takes away */
	int along;    /* axis of the edge */
	bool high[3]; /* sides of the two other axes */
	double lo, hi;
} gap;

typedef struct builder {
	view_picture *p;
	arena *mem;
	unsigned part;
	double lo[3], hi[3];
	display_pen edge, rim, inner;
	LIST(gap) gaps;
} builder;

static bool looks(const view_picture *p, int n, bool high) { return high ? p->set.v[n] > 1e-9 : p->set.v[n] < -1e-9; }

static lines_segment *segment(builder *b, const double from[3], const double to[3], display_pen pen) {
	lines_segment *s = LIST_ADD(b->mem, &b->p->set.segments);
	memcpy(s->a, from, sizeof s->a);
	memcpy(s->b, to, sizeof s->b);
	s->part = b->part;
	s->pen = (int)pen;
	return s;
}

/* One opening on its way into the lines. */
typedef struct hole {
	int n, a, b; /* axis through, and the face's two others */
	bool high;   /* on the face at the high side of n */
	double c, depth;
	bool through, front; /* front: that face looks at the viewer */
	lines_shape s;
	bool open[4];		  /* sides a low, a high, b low, b high lie in the part's edge */
	size_t window, n_windows; /* rows of the set's, once made */
} hole;

static bool take_hole(const builder *b, const view_hole *h, hole *o) {
	*o = (hole){.n = (int)face_axis(h->face), .high = face_high(h->face), .through = h->through};
	o->a = o->n == 0 ? 1 : 0;
	o->b = o->n == 2 ? 1 : 2;
	double thick = b->hi[o->n] - b->lo[o->n];
	o->depth = h->through ? thick : fmin(h->depth, thick);
	o->front = looks(b->p, o->n, o->high);
	if (!o->front && h->through && looks(b->p, o->n, !o->high)) o->high = !o->high, o->front = true;
	o->c = o->high ? b->hi[o->n] : b->lo[o->n];
	o->s = view_hole_shape(h, (axis)o->a, (axis)o->b);
	const view_part *part = &b->p->scene->part[b->part];
	o->s.a += part->offset[o->a], o->s.b += part->offset[o->b];
	if (!(o->s.half_a > 0) || !(o->s.half_b > 0)) return false;
	if (o->s.r > 0 || o->s.n || h->through) return o->front;
	/* A groove may run out at the part's edge, and must not run over it. */
	double a0 = fmax(o->s.a - o->s.half_a, b->lo[o->a]), a1 = fmin(o->s.a + o->s.half_a, b->hi[o->a]);
	double b0 = fmax(o->s.b - o->s.half_b, b->lo[o->b]), b1 = fmin(o->s.b + o->s.half_b, b->hi[o->b]);
	if (!(a1 > a0) || !(b1 > b0) || !(o->depth > 0)) return false;
	o->s = (lines_shape){.a = (a0 + a1) / 2, .b = (b0 + b1) / 2, .half_a = (a1 - a0) / 2, .half_b = (b1 - b0) / 2};
	o->open[0] = a0 - b->lo[o->a] < 1e-6, o->open[1] = b->hi[o->a] - a1 < 1e-6;
	o->open[2] = b0 - b->lo[o->b] < 1e-6, o->open[3] = b->hi[o->b] - b1 < 1e-6;
	return true;
}

static void at_hole(const hole *o, double a, double b, double deep, double out[3]) {
	out[o->a] = a, out[o->b] = b;
	out[o->n] = o->high ? o->c - deep : o->c + deep;
}

/* Through the opening itself, and through its open sides that look at the viewer. */
static void add_windows(const builder *b, hole *o, lines_segment *s) {
	lines_set *l = &b->p->set;
	s->inside = true;
	if (o->n_windows) { /* made for a segment before */
		s->window = o->window, s->n_windows = o->n_windows;
		return;
	}
	s->window = l->windows.n;
	if (o->front) LIST_PUSH(b->mem, &l->windows, ((lines_window){(axis)o->n, (axis)o->a, (axis)o->b, o->c, o->s}));
	for (int i = 0; i < 4; i++) {
		int across = i < 2 ? o->a : o->b, along = i < 2 ? o->b : o->a;
		if (!o->open[i] || !looks(b->p, across, i & 1)) continue;
		double mid = o->high ? o->c - o->depth / 2 : o->c + o->depth / 2;
		lines_window w = {.n = (axis)across, .a = (axis)along, .b = (axis)o->n};
		w.c = i & 1 ? b->hi[across] : b->lo[across];
		w.shape = (lines_shape){.a = i < 2 ? o->s.b : o->s.a,
					.b = mid,
					.half_a = i < 2 ? o->s.half_b : o->s.half_a,
					.half_b = o->depth / 2};
		LIST_PUSH(b->mem, &l->windows, w);
	}
	s->n_windows = l->windows.n - s->window;
	o->window = s->window, o->n_windows = s->n_windows;
}

size_t view_shape_outline(arena *mem, const lines_shape *s, double scale, double (**points)[2]) {
	if (s->n) {
		double(*q)[2] = arena_many(mem, sizeof *q, s->n);
		for (size_t i = 0; i < s->n; i++) q[i][0] = s->a + s->corner[i][0], q[i][1] = s->b + s->corner[i][1];
		*points = q;
		return s->n;
	}
	if (!(s->r > 0)) {
		double(*q)[2] = arena_alloc(mem, 4 * sizeof *q);
		const double sign[4][2] = {{-1, -1}, {1, -1}, {1, 1}, {-1, 1}};
		for (int i = 0; i < 4; i++)
			q[i][0] = s->a + sign[i][0] * s->half_a, q[i][1] = s->b + sign[i][1] * s->half_b;
		*points = q;
		return 4;
	}
	/* A chord leaves a circle of radius R on the page by R (1 - cos(step / 2)): 0.025 mm at most. */
	double on_page = fmax(s->r * scale, 0.05);
	int quarter = (int)ceil(PI / 4 / acos(fmax(0.5, 1 - 0.025 / on_page)));
	if (quarter < 2) quarter = 2;
	if (quarter > 24) quarter = 24;
	double(*q)[2] = arena_alloc(mem, (size_t)(4 * (quarter + 1)) * sizeof *q);
	size_t n = 0;
	for (int k = 0; k < 4; k++) {
		double ca = (k == 0 || k == 3 ? 1 : -1) * (s->half_a - s->r),
		       cb = (k < 2 ? 1 : -1) * (s->half_b - s->r);
		for (int i = 0; i <= quarter; i++) {
			double t = PI / 2 * (k + (double)i / quarter);
			double x = s->a + ca + s->r * cos(t), y = s->b + cb + s->r * sin(t);
			if (n && hypot(x - q[n - 1][0], y - q[n - 1][1]) < 1e-6) continue;
			q[n][0] = x, q[n][1] = y;
			n++;
		}
	}
	if (n > 1 && hypot(q[0][0] - q[n - 1][0], q[0][1] - q[n - 1][1]) < 1e-6) n--;
	*points = q;
	return n;
}

/* Which side of a sharp rectangle piece i (from corner i to i + 1) is: b low, a high, b high, a low. */
static const int SIDE_OF_PIECE[4] = {2, 1, 3, 0};

static void hole_lines(builder *b, hole *o) {
	double(*q)[2];
	size_t n = view_shape_outline(b->mem, &o->s, b->p->scale, &q);
	bool sharp = !(o->s.r > 0) && o->s.n == 0; /* one of four corners, that may run out at an edge */
	for (int deep = 0; deep < 2; deep++) {
		bool joined = false;
		for (size_t i = 0; i < n; i++) {
			double from[3], to[3];
			size_t k = (i + 1) % n;
			bool open = sharp && o->open[SIDE_OF_PIECE[i]];
			bool open_front = open && looks(b->p, SIDE_OF_PIECE[i] < 2 ? o->a : o->b, SIDE_OF_PIECE[i] & 1);
			if ((!deep && (open || !o->front)) || (deep && !o->front && !open_front)) {
				joined = false;
				continue;
			}
			at_hole(o, q[i][0], q[i][1], deep ? o->depth : 0, from);
			at_hole(o, q[k][0], q[k][1], deep ? o->depth : 0, to);
			lines_segment *s = segment(b, from, to, deep ? b->inner : b->rim);
			s->joined = joined;
			joined = true;
			if (deep && !open_front) add_windows(b, o, s);
		}
	}
	if (!sharp) return;
	for (size_t i = 0; i < 4; i++) { /* the four upright corners of a sharp opening */
		int before = SIDE_OF_PIECE[(i + 3) % 4], after = SIDE_OF_PIECE[i];
		if (o->open[before] && o->open[after]) continue;
		int side = o->open[before] ? before : after;
		bool on_face = o->open[side] && looks(b->p, side < 2 ? o->a : o->b, side & 1);
		if (!on_face && !o->front) continue;
		double from[3], to[3];
		at_hole(o, q[i][0], q[i][1], 0, from);
		at_hole(o, q[i][0], q[i][1], o->depth, to);
		lines_segment *s = segment(b, from, to, on_face ? b->rim : b->inner);
		if (!on_face) add_windows(b, o, s);
	}
}

static void hole_gaps(builder *b, const hole *o) {
	for (int i = 0; i < 4; i++) {
		if (!o->open[i]) continue;
		int across = i < 2 ? o->a : o->b, along = i < 2 ? o->b : o->a;
		gap *g = LIST_ADD(b->mem, &b->gaps);
		g->along = along;
		g->high[across] = i & 1, g->high[o->n] = o->high;
		double mid = i < 2 ? o->s.b : o->s.a, half = i < 2 ? o->s.half_b : o->s.half_a;
		g->lo = mid - half, g->hi = mid + half;
	}
	for (int i = 0; i < 2; i++)
		for (int k = 2; k < 4; k++) {
			if (!o->open[i] || !o->open[k]) continue;
			gap *g = LIST_ADD(b->mem, &b->gaps);
			g->along = o->n;
			g->high[o->a] = i & 1, g->high[o->b] = k & 1;
			g->lo = o->high ? o->c - o->depth : o->c, g->hi = o->high ? o->c : o->c + o->depth;
		}
}

static void box_edge(builder *b, int k, bool high1, bool high2) {
	int i = (k + 1) % 3, j = (k + 2) % 3;
	bool seen = looks(b->p, i, high1) || looks(b->p, j, high2);
	if (!seen && !b->p->edges_too_hidden) return;
	if (fabs(b->p->set.v[k]) > 1 - 1e-9) return; /* runs at the viewer: a point */
	double from[3], to[3];
	from[i] = to[i] = high1 ? b->hi[i] : b->lo[i];
	from[j] = to[j] = high2 ? b->hi[j] : b->lo[j];
	double at = b->lo[k];
	while (at < b->hi[k] - 1e-6) {
		double end = b->hi[k], skip = at;
		for (size_t g = 0; g < b->gaps.n; g++) {
			const gap *o = &b->gaps.v[g];
			if (o->along != k || o->high[i] != high1 || o->high[j] != high2 || o->hi <= at + 1e-6) continue;
			if (o->lo <= at + 1e-6)
				skip = fmax(skip, o->hi);
			else
				end = fmin(end, o->lo);
		}
		if (skip > at) {
			at = skip;
			continue;
		}
		from[k] = at, to[k] = end;
		segment(b, from, to, b->edge)->edge = true;
		at = end;
	}
}

static void add_faces(builder *b) {
	for (int n = 0; n < 3; n++) {
		bool high = looks(b->p, n, true);
		if (!high && !looks(b->p, n, false)) continue;
		int a = n == 0 ? 1 : 0, c = n == 2 ? 1 : 2;
		lines_face *f = LIST_ADD(b->mem, &b->p->set.faces);
		*f = (lines_face){.part = b->part, .n = (axis)n, .a = (axis)a, .b = (axis)c};
		f->c = high ? b->hi[n] : b->lo[n];
		f->lo[0] = b->lo[a], f->hi[0] = b->hi[a], f->lo[1] = b->lo[c], f->hi[1] = b->hi[c];
	}
}

static void add_light(builder *b, const hole *o, size_t first) {
	for (size_t i = first; i < b->p->set.faces.n; i++) {
		lines_face *f = &b->p->set.faces.v[i];
		if ((int)f->n != o->n) continue;
		const double *v = b->p->set.v;
		double back = o->depth / fabs(v[o->n]);
		LIST_PUSH(b->mem, &f->lights, ((lines_light){o->s, back * v[o->a], back * v[o->b]}));
	}
}

static void way_line(builder *b, const view_part *part) {
	double from[3], to[3], n = 0;
	for (int i = 0; i < 3; i++) {
		from[i] = (part->lo[i] + part->hi[i]) / 2;
		to[i] = from[i] + part->offset[i];
		n += fabs(part->offset[i]);
	}
	if (n > 1e-6) segment(b, from, to, PEN_CENTRE)->part = LINES_NO_PART;
}

static bool same_edge(const lines_segment *a, const lines_segment *b) {
	for (int i = 0; i < 3; i++)
		if (fabs(a->a[i] - b->a[i]) > TINY_MM || fabs(a->b[i] - b->b[i]) > TINY_MM) return false;
	return true;
}

typedef struct edge_key { /* equal edges have keys next to each other */
	double key;
	size_t row; /* of the segment */
} edge_key;

static int by_key(const void *a, const void *b) {
	const edge_key *x = a, *y = b;
	if (x->key < y->key || x->key > y->key) return x->key < y->key ? -1 : 1;
	return (x->row > y->row) - (x->row < y->row);
}

/* An edge that two parts share is drawn once, with the heaviest pen. */
static void drop_equal_edges(lines_set *l, edge_key *edge, size_t n) {
	/* Weights without a common measure: edges that differ have keys that do. */
	static const double WEIGHT[6] = {0.7548776662, 0.5698402910, 0.4301597090,
					 0.8191725134, 0.6710436067, 0.5497004779};
	if (n < 2) return;
	for (size_t i = 0; i < n; i++) {
		const lines_segment *s = &l->segments.v[edge[i].row];
		for (int k = 0; k < 3; k++) edge[i].key += WEIGHT[k] * s->a[k] + WEIGHT[3 + k] * s->b[k];
	}
	qsort(edge, n, sizeof *edge, by_key);
	for (size_t i = 0; i < n; i++)
		for (size_t k = i + 1; k < n && edge[k].key - edge[i].key < 6 * TINY_MM; k++) {
			lines_segment *a = &l->segments.v[edge[i].row], *b = &l->segments.v[edge[k].row];
			if (a->pen == PEN_NONE || b->pen == PEN_NONE || !same_edge(a, b)) continue;
			double wa = display_pen_of((display_pen)a->pen)->width;
			double wb = display_pen_of((display_pen)b->pen)->width;
			bool first = wa > wb || (!(wb > wa) && edge[i].row < edge[k].row);
			(first ? b : a)->pen = PEN_NONE;
		}
}

void view_picture_faces(view_picture *p) {
	for (size_t i = 0; i < p->scene->n; i++) {
		const view_part *part = &p->scene->part[i];
		if (part->emphasis == VIEW_ABSENT) continue;
		builder b = {.p = p, .mem = p->set.mem, .part = (unsigned)i};
		view_part_box(part, b.lo, b.hi);
		size_t first = p->set.faces.n;
		add_faces(&b);
		if (p->no_edges && p->no_edges[i]) continue;
		for (size_t h = 0; h < part->n_holes; h++) {
			hole o;
			if (part->hole[h].through && take_hole(&b, &part->hole[h], &o)) add_light(&b, &o, first);
		}
	}
	lines_index(&p->set);
}

void view_picture_build(view_picture *p) {
	/* [small picture][emphasis]: edge of the box, rim of an opening, what is seen inside it. */
	static const display_pen PEN[2][3][3] = {
		{{PEN_EDGE, PEN_PART, PEN_DIM}, {PEN_OUTLINE, PEN_EDGE, PEN_PART}, {PEN_LIGHT, PEN_LIGHT, PEN_LIGHT}},
		{{PEN_PART, PEN_DIM, PEN_DIM}, {PEN_EDGE, PEN_PART, PEN_DIM}, {PEN_LIGHT, PEN_LIGHT, PEN_LIGHT}},
	};
	arena *mem = p->set.mem;
	LIST(edge_key) edges = {0};
	view_picture_faces(p);
	for (size_t i = 0; i < p->scene->n; i++) {
		const view_part *part = &p->scene->part[i];
		if (part->emphasis == VIEW_ABSENT) continue;
		builder b = {.p = p, .mem = mem, .part = (unsigned)i};
		const display_pen *pen = PEN[p->small][part->emphasis];
		b.edge = pen[0], b.rim = pen[1], b.inner = pen[2];
		view_part_box(part, b.lo, b.hi);
		if (p->no_edges && p->no_edges[i]) continue;
		for (size_t h = 0; h < part->n_holes; h++) {
			hole o;
			if (!take_hole(&b, &part->hole[h], &o)) continue;
			hole_gaps(&b, &o);
			hole_lines(&b, &o);
		}
		for (int k = 0; k < 3; k++)
			for (int side = 0; side < 4; side++) {
				size_t before = p->set.segments.n;
				box_edge(&b, k, side & 1, side & 2);
				for (size_t s = before; s < p->set.segments.n; s++)
					LIST_PUSH(mem, &edges, ((edge_key){0, s}));
			}
		way_line(&b, part);
	}
	drop_equal_edges(&p->set, edges.v, edges.n);
}
