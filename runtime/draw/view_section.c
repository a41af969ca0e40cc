#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "runtime/draw/dim.h"
#include "runtime/draw/view_cut.h"
#include "runtime/draw/view_picture.h"

typedef struct section {
	arena *mem;
	const view_scene *scene;
	int n, u, v; /* axes */
	double at;
	view_section_map map;
	LIST(view_cut) cuts;
} section;

/* Half the chord that a line at distance `off` from the centre, along axis `along`, cuts from the shape. */
static double half_chord(const lines_shape *h, bool along_a, double off) {
	double half = along_a ? h->half_a : h->half_b, other = along_a ? h->half_b : h->half_a;
	double over = fabs(off) - (other - h->r);
	if (fabs(off) >= other) return 0;
	return over <= 0 ? half : half - h->r + sqrt(fmax(0, h->r * h->r - over * over));
}

/* Where the plane runs within an opening that goes across it: stretches along axis t. */
static void chords_of(const section *s, const view_part *part, const view_hole *h, int t, lines_spans *out) {
	bool low = t < s->n; /* a free outline's points stand in the order of the axes */
	lines_shape shape = low ? view_hole_shape(h, (axis)t, (axis)s->n) : view_hole_shape(h, (axis)s->n, (axis)t);
	double at = s->at - part->offset[s->n], mid = (low ? shape.a : shape.b) + part->offset[t];
	if (shape.n) {
		double from = mid - part->offset[t] - (low ? shape.half_a : shape.half_b) - 1;
		double to = mid - part->offset[t] + (low ? shape.half_a : shape.half_b) + 1;
		const double q0[2] = {low ? from : at, low ? at : from}, q1[2] = {low ? to : at, low ? at : to};
		lines_in_shape(s->mem, &shape, q0, q1, out);
		for (size_t i = 0; i < out->n; i++) {
			out->v[i].t0 = from + part->offset[t] + out->v[i].t0 * (to - from);
			out->v[i].t1 = from + part->offset[t] + out->v[i].t1 * (to - from);
		}
		return;
	}
	double half = half_chord(&shape, low, at - (low ? shape.b : shape.a));
	if (half > 0) LIST_PUSH(s->mem, out, ((lines_span){mid - half, mid + half}));
}

static void add_void(section *s, view_cut *c, const view_part *part, const view_hole *h) {
	int hn = (int)face_axis(h->face);
	if (hn == s->n) {
		/* It runs across the plane: the plane cuts it in its full shape, drawn as its frame. Only as deep as it
		 * is. */
		double c0 = face_high(h->face) ? part->hi[hn] : part->lo[hn];
		double deep = h->through ? part->hi[hn] - part->lo[hn] : h->depth;
		double off = face_high(h->face) ? c0 - (s->at - part->offset[hn]) : (s->at - part->offset[hn]) - c0;
		if (off < 0 || off > deep) return;
		lines_shape shape = view_hole_shape(h, (axis)s->u, (axis)s->v); /* its frame: half sizes only */
		double u = shape.a + part->offset[s->u], v = shape.b + part->offset[s->v];
		LIST_PUSH(s->mem, &c->voids,
			  ((view_cut_rect){u - shape.half_a, v - shape.half_b, u + shape.half_a, v + shape.half_b}));
		return;
	}
	int t = hn == s->u ? s->v : s->u; /* the in-plane axis across the hole */
	double lo = part->lo[hn] + part->offset[hn], hi = part->hi[hn] + part->offset[hn];
	if (!h->through) {
		if (face_high(h->face))
			lo = fmax(lo, hi - h->depth);
		else
			hi = fmin(hi, lo + h->depth);
	}
	lines_spans chords = {0};
	chords_of(s, part, h, t, &chords);
	for (size_t i = 0; i < chords.n; i++) {
		view_cut_rect r = {chords.v[i].t0, lo, chords.v[i].t1, hi};
		if (t == s->v) r = (view_cut_rect){lo, chords.v[i].t0, hi, chords.v[i].t1};
		LIST_PUSH(s->mem, &c->voids, r);
	}
}

static void find_cuts(section *s) {
	for (size_t i = 0; i < s->scene->n; i++) {
		const view_part *part = &s->scene->part[i];
		double lo[3], hi[3];
		if (part->emphasis == VIEW_ABSENT) continue;
		view_part_box(part, lo, hi);
		if (!(lo[s->n] < s->at && s->at < hi[s->n])) continue;
		view_cut *c = LIST_ADD(s->mem, &s->cuts);
		c->hollow = part->hollow;
		c->box = (view_cut_rect){lo[s->u], lo[s->v], hi[s->u], hi[s->v]};
		for (size_t h = 0; h < part->n_holes; h++) add_void(s, c, part, &part->hole[h]);
	}
	/* Parts that touch get different hatchings. */
	for (size_t i = 0; i < s->cuts.n; i++) {
		bool taken[8] = {false};
		const view_cut_rect *a = &s->cuts.v[i].box;
		for (size_t k = 0; k < i; k++) {
			const view_cut_rect *b = &s->cuts.v[k].box;
			const double near = 0.5;
			if (a->u0 < b->u1 + near && b->u0 < a->u1 + near && a->v0 < b->v1 + near &&
			    b->v0 < a->v1 + near)
				taken[s->cuts.v[k].shade] = true;
		}
		while (s->cuts.v[i].shade < 7 && taken[s->cuts.v[i].shade]) s->cuts.v[i].shade++;
	}
}

/* ---- what lies behind ---------------------------------------------------------------------------------------- */

/* Parts behind the plane; cut ones end at it, hide what is behind them and have no lines of their own. */
static view_scene behind(const section *s, bool reverse, bool **no_edges) {
	view_scene out = {.part = ARENA_MANY(s->mem, view_part, s->scene->n + 1)};
	*no_edges = ARENA_MANY(s->mem, bool, s->scene->n + 1);
	for (size_t i = 0; i < s->scene->n; i++) {
		view_part part = s->scene->part[i];
		double lo[3], hi[3];
		if (part.emphasis == VIEW_ABSENT) continue;
		view_part_box(&part, lo, hi);
		if (reverse ? lo[s->n] >= s->at : hi[s->n] <= s->at) continue;
		part.emphasis = VIEW_NORMAL;
		if (lo[s->n] < s->at && s->at < hi[s->n]) {
			*(reverse ? &part.hi[s->n] : &part.lo[s->n]) = s->at - part.offset[s->n];
			(*no_edges)[out.n] = true;
		}
		out.part[out.n++] = part;
	}
	return out;
}

view_section_map view_section(display *d, display_box into, const view_scene *scene, axis normal, double at,
			      bool reverse, const view_options *o) {
	arena scratch = {0};
	section s = {.mem = &scratch, .scene = scene, .n = (int)normal, .at = at};
	s.u = normal == AXIS_X ? AXIS_Y : AXIS_X;
	s.v = normal == AXIS_Z ? AXIS_Y : AXIS_Z;
	/* Looking along +x, y runs to the left; along +y, x runs right; along +z (from below), x runs left, so that
	 * y stays up. Reversed: the other way. */
	bool left = normal == AXIS_Y ? reverse : !reverse;
	double to_viewer[3] = {0, 0, 0}, right[3] = {0, 0, 0}, up[3] = {0, 0, 0};
	to_viewer[s.n] = reverse ? 1 : -1, right[s.u] = left ? -1 : 1, up[s.v] = 1;
	bool *no_edges;
	view_scene rest = behind(&s, reverse, &no_edges);
	view_picture p = view_picture_begin(&scratch, &rest, to_viewer, right, up);
	view_picture whole = view_picture_begin(&scratch, scene, to_viewer, right, up);
	display_box e = view_picture_extent(&whole);
	s.map = (view_section_map){.u = (axis)s.u, .v = (axis)s.v, .u_left = left};
	s.map.report.box = display_box_of(into.x0, into.y0, 0, 0);
	if (!(e.x1 > e.x0) || !(e.y1 > e.y0)) {
		arena_end(&scratch);
		return s.map;
	}
	double cap = o->cap > 0 ? o->cap : CAP_BODY, room = o->overall ? 12 + cap : 1;
	display_box in = {into.x0 + room, into.y0 + 1, into.x1 - 1, into.y1 - room};
	p.scale = fmin((in.x1 - in.x0) / (e.x1 - e.x0), (in.y1 - in.y0) / (e.y1 - e.y0));
	if (o->most_scale > 0) p.scale = fmin(p.scale, o->most_scale);
	p.x = (in.x0 + in.x1) / 2 - p.scale * (e.x0 + e.x1) / 2;
	p.y = (in.y0 + in.y1) / 2 - p.scale * (e.y0 + e.y1) / 2;
	p.no_edges = no_edges;
	s.map.x = p.x, s.map.y = p.y, s.map.scale = p.scale;
	view_picture_build(&p);
	/* Thin line for all that is behind: the cut is what the eye shall find. */
	for (size_t i = 0; i < p.set.segments.n; i++)
		if (p.set.segments.v[i].pen != PEN_NONE) p.set.segments.v[i].pen = PEN_DIM;
	view_picture_draw(d, &p, false, &s.map.report);
	find_cuts(&s);
	for (size_t i = 0; i < s.cuts.n; i++) view_cut_draw(d, &scratch, &s.map, &s.cuts.v[i]);
	display_box b = {p.x + p.scale * e.x0, p.y + p.scale * e.y0, p.x + p.scale * e.x1, p.y + p.scale * e.y1};
	if (o->overall) {
		const char *w = dim_text(d->mem, rat_from_double((e.x1 - e.x0), 64000), o->measures);
		const char *h = dim_text(d->mem, rat_from_double((e.y1 - e.y0), 64000), o->measures);
		dim_horizontal(d, (display_point){b.x0, b.y1}, (display_point){b.x1, b.y1}, b.y1 + 8, cap, w);
		dim_vertical(d, (display_point){b.x0, b.y0}, (display_point){b.x0, b.y1}, b.x0 - 8, cap, h);
	}
	s.map.report.scale = p.scale;
	s.map.report.box = b;
	arena_end(&scratch);
	return s.map;
}
