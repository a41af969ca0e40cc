#include "runtime/engine/feature.h"

#include <math.h>
#include <stdlib.h>

#include "runtime/engine/joint.h"

box3 feature_box(const model_feature *f) {
	box3 b;
	axis n = face_axis(f->face);
	for (int i = 0; i < 3; i++) {
		rat half = model_shape_half(&f->shape, (axis)i);
		b.lo[i] = rat_sub(f->centre.v[i], half);
		b.hi[i] = rat_add(f->centre.v[i], half);
	}
	b.lo[n] = face_high(f->face) ? rat_sub(f->centre.v[n], f->depth) : f->centre.v[n];
	b.hi[n] = face_high(f->face) ? f->centre.v[n] : rat_add(f->centre.v[n], f->depth);
	return b;
}

feature_outline feature_outline_of_box(box3 b, const frame *fr) {
	point3 middle;
	for (int i = 0; i < 3; i++) middle.v[i] = rat_half(rat_add(b.lo[i], b.hi[i]));
	feature_outline o = {.hu = rat_half(box_size(b, fr->u)), .hv = rat_half(box_size(b, fr->v)), .r = rat_int(0)};
	frame_from_cabinet(fr, middle, &o.u, &o.v, NULL);
	return o;
}

feature_outline feature_outline_on(const model_feature *f, const frame *fr) {
	if (face_axis(f->face) != face_axis(fr->face)) return feature_outline_of_box(feature_box(f), fr);
	feature_outline o = {.hu = rat_int(0), .hv = rat_int(0), .r = rat_int(0)};
	frame_from_cabinet(fr, f->centre, &o.u, &o.v, NULL);
	const model_shape *s = &f->shape;
	switch (s->kind) {
	case SHAPE_ROUND:
		o.r = rat_half(s->a);
		return o;
	case SHAPE_SLOT:
		o.r = rat_half(s->b);
		break;
	case SHAPE_RECT:
		o.r = rat_ok(s->corner) ? s->corner : rat_int(0);
		break;
	case SHAPE_OUTLINE:
		o.free = s;
		o.free_u = fr->u;
		o.free_v = fr->v;
		o.u_rev = fr->u_rev;
		o.v_rev = fr->v_rev;
		break;
	}
	o.hu = rat_sub(model_shape_half(s, fr->u), o.r);
	o.hv = rat_sub(model_shape_half(s, fr->v), o.r);
	return o;
}

outline_path feature_path(arena *mem, const feature_outline *o) {
	double u = rat_double(o->u), v = rat_double(o->v);
	if (!o->free) {
		model_shape s = {.kind = SHAPE_RECT, .along = AXIS_X, .corner = o->r};
		s.a = rat_mul(feature_reach_u(o), rat_int(2));
		s.b = rat_mul(feature_reach_v(o), rat_int(2));
		outline_path p = outline_of_shape(mem, &s, AXIS_X, AXIS_Y);
		return outline_moved(mem, &p, u, v);
	}
	outline_path p = outline_of_shape(mem, o->free, o->free_u, o->free_v);
	outline_path q = outline_mirrored(mem, &p, o->u_rev, o->v_rev);
	return outline_moved(mem, &q, u, v);
}

void feature_corner(const feature_outline *o, size_t i, rat at[2], rat centre[2]) {
	const model_corner *c = &o->free->outline->corners.v[i];
	const rat from[4] = {c->u, c->v, c->cu, c->cv};
	const rat middle[2] = {o->u, o->v};
	for (int k = 0; k < 4; k++) {
		rat by = (k % 2 ? o->v_rev : o->u_rev) ? rat_neg(from[k]) : from[k];
		(k < 2 ? at : centre)[k % 2] = rat_add(middle[k % 2], by);
	}
}

static double free_gap(const feature_outline *a, const feature_outline *b) {
	arena scratch = {0};
	outline_path p = feature_path(&scratch, a), q = feature_path(&scratch, b);
	double gap = outline_gap(&p, &q);
	arena_end(&scratch);
	return gap;
}

/* Distance of the two inner rectangles along each axis; below 0 they overlap there. */
static void apart(const feature_outline *a, const feature_outline *b, rat *du, rat *dv) {
	*du = rat_sub(rat_abs(rat_sub(a->u, b->u)), rat_add(a->hu, b->hu));
	*dv = rat_sub(rat_abs(rat_sub(a->v, b->v)), rat_add(a->hv, b->hv));
}

rat feature_gap(const feature_outline *a, const feature_outline *b) {
	rat du, dv, radii = rat_add(a->r, b->r);
	apart(a, b, &du, &dv);
	rat between;
	if (rat_sign(du) > 0 && rat_sign(dv) > 0)
		between = rat_from_double(hypot(rat_double(du), rat_double(dv)), 1000);
	else
		between = rat_max(du, dv);
	rat boxes = rat_sub(between, radii);
	if (!a->free && !b->free) return boxes;
	rat gap = rat_from_double(free_gap(a, b), 1000);
	return rat_sign(gap) > 0 ? gap : rat_min(boxes, rat_int(0));
}

bool feature_nearer(const feature_outline *a, const feature_outline *b, rat limit) {
	rat du, dv, reach = rat_add(rat_add(a->r, b->r), limit);
	apart(a, b, &du, &dv);
	if (a->free || b->free) return rat_lt(feature_gap(a, b), limit);
	if (rat_sign(du) <= 0 || rat_sign(dv) <= 0) return rat_lt(rat_max(du, dv), reach);
	if (rat_sign(reach) <= 0) return false;
	rat square = rat_add(rat_mul(du, du), rat_mul(dv, dv)), limit2 = rat_mul(reach, reach);
	if (rat_ok(square) && rat_ok(limit2)) return rat_lt(square, limit2);
	return hypot(rat_double(du), rat_double(dv)) < rat_double(reach);
}

rat feature_edge_gap(const feature_outline *o, const frame *fr) {
	rat ru = feature_reach_u(o), rv = feature_reach_v(o);
	rat g = rat_min(rat_sub(o->u, ru), rat_sub(fr->width, rat_add(o->u, ru)));
	return rat_min(g, rat_min(rat_sub(o->v, rv), rat_sub(fr->height, rat_add(o->v, rv))));
}

rat feature_between(const model_feature *a, const model_feature *b) {
	box3 x = feature_box(a), y = feature_box(b);
	axis n = face_axis(a->face);
	bool found = false;
	rat gap = rat_int(0);
	for (int i = 0; i < 3; i++) {
		/* Nothing passes a through-hole along its own axis. */
		if ((a->through && (axis)i == n) || (b->through && (axis)i == face_axis(b->face))) continue;
		if (n == face_axis(b->face) && (axis)i != n) continue; /* those by their outlines, below */
		rat along = rat_max(rat_sub(x.lo[i], y.hi[i]), rat_sub(y.lo[i], x.hi[i]));
		gap = found ? rat_max(gap, along) : along;
		found = true;
	}
	if (n != face_axis(b->face)) return gap;
	frame fr = frame_of(x, a->face);
	feature_outline p = feature_outline_on(a, &fr), q = feature_outline_on(b, &fr);
	rat across = feature_gap(&p, &q);
	return found ? rat_max(gap, across) : across;
}

bool feature_is_cut(const model_feature *f) {
	return f->kind == FEATURE_GROOVE || f->kind == FEATURE_RABBET || f->kind == FEATURE_SHOULDER ||
	       f->kind == FEATURE_HALVING || f->kind == FEATURE_NOTCH;
}

const char *feature_word(const model *m, const model_feature *f) {
	switch (f->kind) {
	case FEATURE_PILOT:
		return "pilot hole";
	case FEATURE_CLEARANCE:
		return "clearance hole";
	case FEATURE_GROOVE:
		return f->joint < m->joints.n ? joint_cut_word(m->joints.v[f->joint].kind) : "dado";
	default:
		return MODEL_FEATURE_WORD[f->kind];
	}
}

face feature_worked_from(const model *m, const model_feature *f) {
	face work = m->parts.v[f->part].work_face;
	bool plain =
		f->through && rat_sign(f->sink) <= 0 && (f->kind == FEATURE_OPENING || f->kind == FEATURE_CLEARANCE);
	return plain && f->face == face_opposite(work) ? work : f->face;
}

/* What comes first on the bench. */
static int rank(model_feature_kind k) {
	switch (k) {
	case FEATURE_GROOVE:
		return 0;
	case FEATURE_RABBET:
		return 1;
	case FEATURE_SHOULDER:
		return 2;
	case FEATURE_HALVING:
		return 3;
	case FEATURE_NOTCH:
		return 4;
	case FEATURE_OPENING:
		return 5;
	case FEATURE_CLEARANCE:
		return 6;
	case FEATURE_PILOT:
		return 7;
	case FEATURE_KINDS:
		break;
	}
	return 8;
}

typedef struct sort_key {
	feature_row row;
	int rank;
	model_ref from; /* pattern or joint; screws of all joints go together */
	rat size, depth, sink;
} sort_key;

static int compare(const void *x, const void *y) {
	const sort_key *a = x, *b = y;
	if (a->rank != b->rank) return a->rank < b->rank ? -1 : 1;
	if (a->from != b->from) return a->from < b->from ? -1 : 1;
	int c = rat_cmp(a->size, b->size);
	if (c == 0) c = rat_cmp(a->sink, b->sink);
	if (c == 0) c = rat_cmp(a->depth, b->depth);
	if (c == 0) c = rat_cmp(a->row.at.v, b->row.at.v);
	if (c == 0) c = rat_cmp(a->row.at.u, b->row.at.u);
	if (c != 0) return c;
	return a->row.feature < b->row.feature ? -1 : a->row.feature > b->row.feature;
}

static void add_face(arena *mem, const model *m, feature_sheet *s, face f) {
	size_t n = 0;
	for (size_t i = 0; i < m->features.n; i++)
		n += m->features.v[i].part == s->part && feature_worked_from(m, &m->features.v[i]) == f;
	if (n == 0) return;
	sort_key *keys = ARENA_MANY(mem, sort_key, n);
	n = 0;
	frame fr = frame_of(m->parts.v[s->part].blank, f);
	for (size_t i = 0; i < m->features.n; i++) {
		const model_feature *x = &m->features.v[i];
		if (x->part != s->part || feature_worked_from(m, x) != f) continue;
		keys[n].row = (feature_row){.feature = (model_ref)i, .at = feature_outline_on(x, &fr)};
		keys[n].rank = rank(x->kind);
		bool screw = x->kind == FEATURE_CLEARANCE || x->kind == FEATURE_PILOT;
		keys[n].from = screw ? 0 : x->pattern != MODEL_NONE ? x->pattern : x->joint;
		keys[n].size = screw ? x->shape.a : rat_int(0);
		keys[n].sink = screw ? x->sink : rat_int(0);
		keys[n].depth = screw ? x->depth : rat_int(0);
		n++;
	}
	qsort(keys, n, sizeof *keys, compare);
	feature_face *out = LIST_ADD(mem, &s->faces);
	out->part = s->part;
	out->face = f;
	out->frame = fr;
	for (size_t i = 0; i < n; i++) {
		keys[i].row.number = (uint32_t)++s->n;
		LIST_PUSH(mem, &out->rows, keys[i].row);
	}
}

feature_sheet feature_of_part(arena *mem, const model *m, model_ref part) {
	feature_sheet s = {.part = part};
	face work = m->parts.v[part].work_face;
	add_face(mem, m, &s, work);
	add_face(mem, m, &s, face_opposite(work));
	for (int f = 0; f < 6; f++)
		if (face_axis((face)f) != face_axis(work)) add_face(mem, m, &s, (face)f);
	return s;
}

const char *feature_origin(const model *m, const model_feature *f) {
	if (f->pattern != MODEL_NONE) return m->patterns.v[f->pattern].name;
	if (f->joint != MODEL_NONE) return m->joints.v[f->joint].name;
	return "";
}

model_ref feature_tool(const model *m, const model_feature *f) {
	if (f->tool != MODEL_NONE || f->shape.kind != SHAPE_ROUND) return f->tool;
	for (size_t i = 0; i < m->tools.n; i++)
		if (m->tools.v[i].kind == TOOL_DRILL && rat_eq(m->tools.v[i].diameter.mm, f->shape.a))
			return (model_ref)i;
	return MODEL_NONE;
}
