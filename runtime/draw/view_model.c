#include "runtime/draw/view.h"
#include "runtime/engine/feature.h"

#include <math.h>

#include "runtime/engine/outline.h"

/* Shoulders, and notches in tongues, lie in what goes into the other part: nobody sees them, and the box has it not. */
static bool cut_in(const model *m, const model_feature *f, bool screw_holes) {
	if (feature_is_cut(f)) return box_overlap(feature_box(f), m->parts.v[f->part].box);
	return f->kind == FEATURE_OPENING || screw_holes;
}

/* Chords leave an arc by 0.05 mm of the part at most. */
static void points_of(arena *mem, const model_feature *f, view_hole *h) {
	axis n = face_axis(f->face), u = n == AXIS_X ? AXIS_Y : AXIS_X, v = n == AXIS_Z ? AXIS_Y : AXIS_Z;
	outline_path p = outline_of_shape(mem, &f->shape, u, v);
	LIST(outline_point) at = {0};
	for (size_t i = 0; i < p.n; i++) {
		int chords = 1;
		if (p.v[i].bend) {
			double step = 2 * acos(1 - fmin(0.5, 0.05 / p.v[i].radius));
			chords = (int)fmin(200, fmax(2, ceil(fabs(p.v[i].sweep) / step)));
		}
		for (int k = 0; k < chords; k++) LIST_PUSH(mem, &at, outline_at(&p.v[i], (double)k / chords));
	}
	h->point = arena_many(mem, sizeof *h->point, at.n);
	h->n_points = at.n;
	for (size_t i = 0; i < at.n; i++) h->point[i][0] = at.v[i].x, h->point[i][1] = at.v[i].y;
}

static view_hole hole_of(arena *mem, const model_feature *f) {
	view_hole h = {.face = f->face, .kind = f->shape.kind, .along = f->shape.along, .through = f->through};
	for (int i = 0; i < 3; i++) h.centre[i] = rat_double(f->centre.v[i]);
	h.a = rat_double(f->shape.a);
	h.b = f->shape.kind == SHAPE_ROUND ? h.a : rat_double(f->shape.b);
	h.corner = rat_ok(f->shape.corner) ? rat_double(f->shape.corner) : 0;
	h.depth = rat_ok(f->depth) ? rat_double(f->depth) : 0;
	if (h.kind == SHAPE_OUTLINE) points_of(mem, f, &h);
	return h;
}

view_scene view_from_model(arena *mem, const model *m, const view_emphasis *emphasis, const double (*offset)[3],
			   bool screw_holes) {
	view_scene s = {.part = ARENA_MANY(mem, view_part, m->parts.n + 1)};
	size_t *row = ARENA_MANY(mem, size_t, m->parts.n + 1);
	size_t *count = ARENA_MANY(mem, size_t, m->parts.n + 1);
	for (size_t i = 0; i < m->parts.n; i++) {
		const model_part *from = &m->parts.v[i];
		if (from->kind == PART_GAP) continue;
		row[i] = s.n;
		view_part *to = &s.part[s.n++];
		for (int k = 0; k < 3; k++) {
			to->lo[k] = rat_double(from->box.lo[k]), to->hi[k] = rat_double(from->box.hi[k]);
			if (offset) to->offset[k] = offset[i][k];
		}
		to->emphasis = emphasis ? emphasis[i] : VIEW_NORMAL;
		to->owner = (unsigned)i;
		to->hollow = from->kind == PART_ITEM;
	}
	/* Features are counted, then filed, part by part: one pass each. */
	for (size_t i = 0; i < m->features.n; i++) {
		const model_feature *f = &m->features.v[i];
		if (f->part < m->parts.n && m->parts.v[f->part].kind != PART_GAP && cut_in(m, f, screw_holes))
			count[f->part]++;
	}
	view_hole **hole = ARENA_MANY(mem, view_hole *, m->parts.n + 1);
	for (size_t i = 0; i < m->parts.n; i++) {
		if (!count[i]) continue;
		hole[i] = ARENA_MANY(mem, view_hole, count[i]);
		s.part[row[i]].hole = hole[i];
	}
	for (size_t i = 0; i < m->features.n; i++) {
		const model_feature *f = &m->features.v[i];
		if (f->part >= m->parts.n || !hole[f->part] || !cut_in(m, f, screw_holes)) continue;
		hole[f->part][s.part[row[f->part]].n_holes++] = hole_of(mem, f);
	}
	return s;
}
