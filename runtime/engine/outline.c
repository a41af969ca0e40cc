#include "runtime/engine/outline.h"

#include <math.h>

static const double PI = 3.14159265358979323846;

static double cross(outline_point a, outline_point b) { return a.x * b.y - a.y * b.x; }
static double dot(outline_point a, outline_point b) { return a.x * b.x + a.y * b.y; }
static outline_point minus(outline_point a, outline_point b) { return (outline_point){a.x - b.x, a.y - b.y}; }
static double apart(outline_point a, outline_point b) { return hypot(a.x - b.x, a.y - b.y); }

static outline_point on_circle(const outline_piece *p, double angle) {
	return (outline_point){p->centre.x + p->radius * cos(angle), p->centre.y + p->radius * sin(angle)};
}

outline_piece outline_line(outline_point from, outline_point to) { return (outline_piece){.from = from, .to = to}; }

outline_piece outline_arc(outline_point from, outline_point to, outline_point centre, int bend) {
	outline_piece p = {.from = from, .to = to, .bend = bend, .centre = centre};
	outline_point chord = minus(to, from);
	double length = hypot(chord.x, chord.y);
	if (length > 0) {
		outline_point middle = {(from.x + to.x) / 2, (from.y + to.y) / 2};
		double off = dot(minus(centre, middle), chord) / (length * length);
		p.centre = (outline_point){centre.x - off * chord.x, centre.y - off * chord.y};
	}
	p.radius = (apart(from, p.centre) + apart(to, p.centre)) / 2;
	p.start = atan2(from.y - p.centre.y, from.x - p.centre.x);
	double sweep = length > 0 ? bend * (atan2(to.y - p.centre.y, to.x - p.centre.x) - p.start) : 2 * PI;
	while (sweep <= 0) sweep += 2 * PI;
	while (sweep > 2 * PI) sweep -= 2 * PI;
	p.sweep = bend * sweep;
	return p;
}

outline_point outline_at(const outline_piece *p, double t) {
	if (t <= 0) return p->from;
	if (t >= 1) return p->to;
	if (p->bend == 0)
		return (outline_point){p->from.x + t * (p->to.x - p->from.x), p->from.y + t * (p->to.y - p->from.y)};
	return on_circle(p, p->start + t * p->sweep);
}

double outline_piece_length(const outline_piece *p) {
	return p->bend ? p->radius * fabs(p->sweep) : apart(p->from, p->to);
}

outline_piece outline_piece_part(const outline_piece *p, double t0, double t1) {
	outline_piece q = *p;
	q.from = outline_at(p, t0);
	q.to = outline_at(p, t1);
	q.start = p->start + t0 * p->sweep;
	q.sweep = (t1 - t0) * p->sweep;
	return q;
}

outline_point outline_direction(const outline_piece *p, bool end) {
	if (p->bend == 0) {
		double l = apart(p->from, p->to);
		return (outline_point){(p->to.x - p->from.x) / l, (p->to.y - p->from.y) / l};
	}
	double angle = p->start + (end ? p->sweep : 0);
	return (outline_point){-p->bend * sin(angle), p->bend * cos(angle)};
}

/* ---- making ------------------------------------------------------------------------------------ */

outline_path outline_rect(arena *mem, double x0, double y0, double x1, double y1) {
	outline_path p = {0};
	const outline_point at[4] = {{x0, y0}, {x1, y0}, {x1, y1}, {x0, y1}};
	for (int i = 0; i < 4; i++) LIST_PUSH(mem, &p, outline_line(at[i], at[(i + 1) % 4]));
	return p;
}

outline_path outline_circle(arena *mem, double cx, double cy, double radius) {
	outline_path p = {0};
	outline_point right = {cx + radius, cy}, left = {cx - radius, cy}, centre = {cx, cy};
	LIST_PUSH(mem, &p, outline_arc(right, left, centre, 1));
	LIST_PUSH(mem, &p, outline_arc(left, right, centre, 1));
	return p;
}

outline_path outline_rounded(arena *mem, double hx, double hy, double r) {
	outline_path p = {0};
	if (!(r > 0)) return outline_rect(mem, -hx, -hy, hx, hy);
	double ix = hx - r, iy = hy - r;
	const outline_point centre[4] = {{ix, -iy}, {ix, iy}, {-ix, iy}, {-ix, -iy}};
	const outline_point from[4] = {{ix, -hy}, {hx, iy}, {-ix, hy}, {-hx, -iy}};
	const outline_point to[4] = {{hx, -iy}, {ix, hy}, {-hx, iy}, {-ix, -hy}};
	for (int i = 0; i < 4; i++) {
		LIST_PUSH(mem, &p, outline_arc(from[i], to[i], centre[i], 1));
		outline_point next = from[(i + 1) % 4];
		if (apart(to[i], next) > 0) LIST_PUSH(mem, &p, outline_line(to[i], next));
	}
	return p;
}

outline_path outline_of_shape(arena *mem, const model_shape *s, axis u, axis v) {
	outline_path p = {0};
	if (s->kind == SHAPE_ROUND) return outline_circle(mem, 0, 0, rat_double(s->a) / 2);
	if (s->kind != SHAPE_OUTLINE) {
		double hx = rat_double(model_shape_half(s, u)), hy = rat_double(model_shape_half(s, v));
		double r = s->kind == SHAPE_SLOT ? fmin(hx, hy) : rat_ok(s->corner) ? rat_double(s->corner) : 0;
		return outline_rounded(mem, hx, hy, r);
	}
	size_t n = s->outline->corners.n;
	for (size_t i = 0; i < n; i++) {
		const model_corner *a = &s->outline->corners.v[i], *b = &s->outline->corners.v[(i + 1) % n];
		outline_point from = {rat_double(a->u), rat_double(a->v)}, to = {rat_double(b->u), rat_double(b->v)};
		outline_point c = {rat_double(a->cu), rat_double(a->cv)};
		LIST_PUSH(mem, &p, a->bend ? outline_arc(from, to, c, a->bend) : outline_line(from, to));
	}
	return p;
}

static void move_piece(outline_piece *p, double dx, double dy) {
	outline_point *at[3] = {&p->from, &p->to, &p->centre};
	for (int i = 0; i < 3; i++) at[i]->x += dx, at[i]->y += dy;
}

outline_path outline_moved(arena *mem, const outline_path *p, double dx, double dy) {
	outline_path q = {0};
	for (size_t i = 0; i < p->n; i++) {
		LIST_PUSH(mem, &q, p->v[i]);
		move_piece(&q.v[i], dx, dy);
	}
	return q;
}

void outline_turn_round(outline_path *p) {
	for (size_t i = 0; i < p->n; i++) {
		outline_piece *q = &p->v[i];
		outline_point from = q->from;
		q->from = q->to;
		q->to = from;
		q->start += q->sweep;
		q->sweep = -q->sweep;
		q->bend = -q->bend;
	}
	for (size_t i = 0; i < p->n / 2; i++) {
		outline_piece q = p->v[i];
		p->v[i] = p->v[p->n - 1 - i];
		p->v[p->n - 1 - i] = q;
	}
}

outline_path outline_mirrored(arena *mem, const outline_path *p, bool x, bool y) {
	outline_path q = {0};
	double sx = x ? -1 : 1, sy = y ? -1 : 1;
	for (size_t i = 0; i < p->n; i++) {
		outline_piece *o = LIST_ADD(mem, &q);
		*o = p->v[i];
		outline_point *at[3] = {&o->from, &o->to, &o->centre};
		for (int k = 0; k < 3; k++) at[k]->x *= sx, at[k]->y *= sy;
		if (!o->bend) continue;
		if (x != y) o->bend = -o->bend, o->sweep = -o->sweep;
		o->start = atan2(o->from.y - o->centre.y, o->from.x - o->centre.x);
	}
	if (x != y) outline_turn_round(&q);
	return q;
}

/* ---- measures ------------------------------------------------------------------------------------ */

double outline_length(const outline_path *p) {
	double sum = 0;
	for (size_t i = 0; i < p->n; i++) sum += outline_piece_length(&p->v[i]);
	return sum;
}

double outline_x_dy(const outline_piece *p, double x0) {
	if (p->bend == 0) return ((p->from.x - x0) + (p->to.x - x0)) / 2 * (p->to.y - p->from.y);
	double a = p->start, b = p->start + p->sweep, r = p->radius;
	return (p->centre.x - x0) * r * (sin(b) - sin(a)) + r * r / 2 * (p->sweep + sin(b) * cos(b) - sin(a) * cos(a));
}

double outline_area(const outline_path *p) {
	double sum = 0;
	/* From the first point, so that a place far from the origin costs no digits. */
	for (size_t i = 0; i < p->n; i++) sum += outline_x_dy(&p->v[i], p->v[0].from.x);
	return sum;
}

/* Where along the arc (0 to 1) it passes an angle; beyond 1 when it does not. */
static double along_arc(const outline_piece *p, double angle) {
	double by = fmod(p->bend * (angle - p->start), 2 * PI);
	if (by < 0) by += 2 * PI;
	return by / fabs(p->sweep);
}

void outline_extent(const outline_path *p, outline_point *lo, outline_point *hi) {
	*lo = (outline_point){INFINITY, INFINITY};
	*hi = (outline_point){-INFINITY, -INFINITY};
	for (size_t i = 0; i < p->n; i++) {
		outline_point at[5] = {p->v[i].from};
		int n = 1;
		for (int k = 0; p->v[i].bend && k < 4; k++)
			if (along_arc(&p->v[i], k * PI / 2) < 1) at[n++] = on_circle(&p->v[i], k * PI / 2);
		for (int k = 0; k < n; k++) {
			*lo = (outline_point){fmin(lo->x, at[k].x), fmin(lo->y, at[k].y)};
			*hi = (outline_point){fmax(hi->x, at[k].x), fmax(hi->y, at[k].y)};
		}
	}
}

static void sort(double *v, size_t n) {
	for (size_t i = 1; i < n; i++)
		for (size_t k = i; k > 0 && v[k] < v[k - 1]; k--) {
			double t = v[k];
			v[k] = v[k - 1];
			v[k - 1] = t;
		}
}

/* Parameters where the piece crosses the lines x = at (or y = at). */
static void crossings(const outline_piece *p, bool x, double at, double *t, size_t *n) {
	if (p->bend == 0) {
		double a = x ? p->from.x : p->from.y, b = x ? p->to.x : p->to.y;
		if (fabs(b - a) > 0) t[(*n)++] = (at - a) / (b - a);
		return;
	}
	double q = (at - (x ? p->centre.x : p->centre.y)) / p->radius;
	if (fabs(q) > 1) return;
	double first = x ? acos(q) : asin(q);
	t[(*n)++] = along_arc(p, first);
	t[(*n)++] = along_arc(p, x ? -first : PI - first);
}

double outline_area_within(const outline_path *p, double x0, double y0, double x1, double y1) {
	if (!(x1 > x0) || !(y1 > y0)) return 0;
	double sum = 0;
	for (size_t i = 0; i < p->n; i++) {
		const outline_piece *o = &p->v[i];
		double t[10] = {0, 1};
		size_t n = 2;
		crossings(o, true, x0, t, &n);
		crossings(o, true, x1, t, &n);
		crossings(o, false, y0, t, &n);
		crossings(o, false, y1, t, &n);
		sort(t, n);
		for (size_t k = 0; k + 1 < n; k++) {
			if (t[k] < 0 || t[k + 1] > 1 || !(t[k + 1] > t[k])) continue;
			outline_point middle = outline_at(o, (t[k] + t[k + 1]) / 2);
			if (middle.y <= y0 || middle.y >= y1 || middle.x <= x0) continue;
			outline_piece part = outline_piece_part(o, t[k], t[k + 1]);
			sum += middle.x >= x1 ? (x1 - x0) * (part.to.y - part.from.y) : outline_x_dy(&part, x0);
		}
	}
	return sum;
}

/* ---- points ------------------------------------------------------------------------------------ */

bool outline_holds(const outline_path *p, outline_point at) {
	double turns = 0;
	for (size_t i = 0; i < p->n; i++) {
		const outline_piece *o = &p->v[i];
		outline_point a = minus(o->from, at), b = minus(o->to, at);
		double side = cross(a, b), ahead = dot(a, b);
		if (o->bend == 0) {
			turns += atan2(side, ahead);
			continue;
		}
		/* By its chord; a point between the chord and the arc sees it go the other way round. */
		bool on_chord = !(fabs(side) > 0) && ahead < 0;
		turns += on_chord ? o->bend * PI : atan2(side, ahead);
		bool whole = fabs(o->sweep) >= 2 * PI - 1e-12;
		if (apart(at, o->centre) < o->radius && (whole || side * o->bend < 0)) turns += o->bend * 2 * PI;
	}
	return fabs(turns) > PI;
}

static double clamp(double v) { return fmax(0, fmin(1, v)); }

/* Parameter of the piece's point nearest to `at`. */
static double nearest(const outline_piece *p, outline_point at) {
	if (p->bend == 0) {
		outline_point d = minus(p->to, p->from);
		double l = dot(d, d);
		return l > 0 ? clamp(dot(minus(at, p->from), d) / l) : 0;
	}
	double t = along_arc(p, atan2(at.y - p->centre.y, at.x - p->centre.x));
	if (t <= 1) return t;
	return apart(at, p->from) <= apart(at, p->to) ? 0 : 1;
}

double outline_distance(const outline_path *p, outline_point at) {
	double least = INFINITY;
	for (size_t i = 0; i < p->n; i++) least = fmin(least, apart(at, outline_at(&p->v[i], nearest(&p->v[i], at))));
	return least;
}

/* ---- two pieces ---------------------------------------------------------------------------------- */

static void add_meeting(double s, double t, double on_p[4], double on_q[4], size_t *n) {
	const double slack = 1e-9;
	if (*n >= 4 || s < -slack || s > 1 + slack || t < -slack || t > 1 + slack) return;
	on_p[*n] = clamp(s);
	on_q[(*n)++] = clamp(t);
}

/* The ends of a stretch that two pieces on one line or one circle have in common. */
static size_t common_stretch(const outline_piece *p, const outline_piece *q, double on_p[4], double on_q[4]) {
	size_t n = 0;
	const double near = 1e-9;
	for (int end = 0; end < 2; end++) {
		double t = nearest(p, end ? q->to : q->from);
		if (apart(outline_at(p, t), end ? q->to : q->from) < near) add_meeting(t, end, on_p, on_q, &n);
		t = nearest(q, end ? p->to : p->from);
		if (apart(outline_at(q, t), end ? p->to : p->from) < near) add_meeting(end, t, on_p, on_q, &n);
	}
	return n;
}

static size_t meet_lines(const outline_piece *p, const outline_piece *q, double on_p[4], double on_q[4]) {
	outline_point d = minus(p->to, p->from), e = minus(q->to, q->from), w = minus(q->from, p->from);
	double across = cross(d, e), size = hypot(d.x, d.y) * hypot(e.x, e.y);
	if (fabs(across) <= 1e-12 * size) return common_stretch(p, q, on_p, on_q);
	size_t n = 0;
	add_meeting(cross(w, e) / across, cross(w, d) / across, on_p, on_q, &n);
	return n;
}

static size_t meet_line_arc(const outline_piece *line, const outline_piece *arc, double on_line[4], double on_arc[4]) {
	outline_point d = minus(line->to, line->from), f = minus(line->from, arc->centre);
	double l = hypot(d.x, d.y), foot = -dot(f, d) / (l * l), off = cross(d, f) / l;
	double root = (arc->radius - off) * (arc->radius + off);
	size_t n = 0;
	if (!(l > 0) || root < -1e-9 * arc->radius) return 0;
	root = sqrt(fmax(0, root)) / l;
	for (int k = 0; k < (root > 0 ? 2 : 1); k++) {
		double s = foot + (k ? root : -root);
		outline_point at = {line->from.x + s * d.x, line->from.y + s * d.y};
		double t = along_arc(arc, atan2(at.y - arc->centre.y, at.x - arc->centre.x));
		if (t > 1 && apart(at, arc->from) < 1e-9) t = 0;
		if (t > 1 && apart(at, arc->to) < 1e-9) t = 1;
		add_meeting(s, t, on_line, on_arc, &n);
	}
	return n;
}

static size_t meet_arcs(const outline_piece *p, const outline_piece *q, double on_p[4], double on_q[4]) {
	outline_point d = minus(q->centre, p->centre);
	double l = hypot(d.x, d.y), r = p->radius, s = q->radius;
	if (l < 1e-9 && fabs(r - s) < 1e-9) return common_stretch(p, q, on_p, on_q);
	if (l <= 0 || l > r + s + 1e-9 || l < fabs(r - s) - 1e-9) return 0;
	double along = (l * l + r * r - s * s) / (2 * l), up = sqrt(fmax(0, r * r - along * along));
	size_t n = 0;
	for (int k = 0; k < (up > 0 ? 2 : 1); k++) {
		double h = k ? -up : up;
		outline_point at = {p->centre.x + (along * d.x - h * d.y) / l,
				    p->centre.y + (along * d.y + h * d.x) / l};
		double a = nearest(p, at), b = nearest(q, at);
		if (apart(outline_at(p, a), at) < 1e-8 && apart(outline_at(q, b), at) < 1e-8)
			add_meeting(a, b, on_p, on_q, &n);
	}
	return n;
}

size_t outline_meet(const outline_piece *p, const outline_piece *q, double on_p[4], double on_q[4]) {
	if (p->bend == 0 && q->bend == 0) return meet_lines(p, q, on_p, on_q);
	if (p->bend == 0) return meet_line_arc(p, q, on_p, on_q);
	if (q->bend == 0) return meet_line_arc(q, p, on_q, on_p);
	return meet_arcs(p, q, on_p, on_q);
}

size_t outline_cuts(const outline_piece *all, size_t n, size_t i, double *cuts) {
	size_t m = 0;
	cuts[m++] = 0;
	cuts[m++] = 1;
	for (size_t k = 0; k < n; k++) {
		double on[4], other[4];
		size_t q = k == i ? 0 : outline_meet(&all[i], &all[k], on, other);
		for (size_t a = 0; a < q; a++) cuts[m++] = on[a];
	}
	sort(cuts, m);
	return m;
}

typedef struct nearest_pair {
	double by;
	outline_point a, b;
} nearest_pair;

static void try_pair(nearest_pair *n, outline_point a, outline_point b) {
	double by = apart(a, b);
	if (by < n->by) *n = (nearest_pair){by, a, b};
}

/* Where a line square on both of them may stand: through the centres of the arcs. */
static void try_square(nearest_pair *n, const outline_piece *p, const outline_piece *q) {
	if (p->bend == 0 && q->bend == 0) return;
	const outline_piece *arc = p->bend ? p : q, *other = p->bend ? q : p;
	outline_point foot = other->bend ? other->centre : outline_at(other, nearest(other, arc->centre));
	double angle = atan2(foot.y - arc->centre.y, foot.x - arc->centre.x);
	for (int k = 0; k < 2; k++) {
		outline_point on_arc = on_circle(arc, angle + k * PI);
		on_arc = outline_at(arc, nearest(arc, on_arc));
		outline_point on_other = outline_at(other, nearest(other, on_arc));
		if (p->bend)
			try_pair(n, on_arc, on_other);
		else
			try_pair(n, on_other, on_arc);
		if (!other->bend) continue;
		outline_point far = outline_at(other, nearest(other, on_circle(other, angle + k * PI)));
		outline_point near = outline_at(arc, nearest(arc, far));
		try_pair(n, near, far);
	}
}

double outline_between(const outline_piece *p, const outline_piece *q, outline_point *a, outline_point *b) {
	double on_p[4], on_q[4];
	nearest_pair n = {.by = INFINITY};
	if (outline_meet(p, q, on_p, on_q)) {
		n = (nearest_pair){0, outline_at(p, on_p[0]), outline_at(q, on_q[0])};
	} else {
		try_pair(&n, p->from, outline_at(q, nearest(q, p->from)));
		try_pair(&n, p->to, outline_at(q, nearest(q, p->to)));
		try_pair(&n, outline_at(p, nearest(p, q->from)), q->from);
		try_pair(&n, outline_at(p, nearest(p, q->to)), q->to);
		try_square(&n, p, q);
	}
	if (a) *a = n.a;
	if (b) *b = n.b;
	return n.by;
}

double outline_gap(const outline_path *p, const outline_path *q) {
	if (p->n == 0 || q->n == 0) return INFINITY;
	if (outline_holds(p, q->v[0].from) || outline_holds(q, p->v[0].from)) return 0;
	double least = INFINITY;
	for (size_t i = 0; i < p->n; i++)
		for (size_t k = 0; k < q->n; k++) least = fmin(least, outline_between(&p->v[i], &q->v[k], NULL, NULL));
	return least;
}
