#include "runtime/engine/geom.h"

const char *const AXIS_SPOKEN[3] = {"width", "depth", "height"};
const char *const FACE_NAME[6] = {"left", "right", "front", "back", "bottom", "top"};

bool box_overlap(box3 a, box3 b) {
	for (int i = 0; i < 3; i++)
		if (!rat_lt(a.lo[i], b.hi[i]) || !rat_lt(b.lo[i], a.hi[i])) return false;
	return true;
}

bool box_common(box3 a, box3 b, box3 *out) {
	for (int i = 0; i < 3; i++) {
		out->lo[i] = rat_max(a.lo[i], b.lo[i]);
		out->hi[i] = rat_min(a.hi[i], b.hi[i]);
		if (rat_lt(out->hi[i], out->lo[i])) return false;
	}
	return true;
}

rat box_distance_axis(box3 a, box3 b, axis along) {
	if (rat_lt(a.hi[along], b.lo[along])) return rat_sub(b.lo[along], a.hi[along]);
	if (rat_lt(b.hi[along], a.lo[along])) return rat_sub(a.lo[along], b.hi[along]);
	return rat_int(0);
}

bool box_touch(box3 a, box3 b, face *fa, box3 *rect) {
	for (int f = 0; f < 6; f++) {
		axis n = face_axis((face)f);
		if (!rat_eq(box_face(a, (face)f), box_face(b, face_opposite((face)f)))) continue;
		box3 common;
		if (!box_common(a, b, &common)) continue;
		bool area = true;
		for (int i = 0; i < 3; i++)
			if (i != (int)n && !rat_lt(common.lo[i], common.hi[i])) area = false;
		if (!area) continue;
		*fa = (face)f;
		*rect = common;
		return true;
	}
	return false;
}

frame frame_of(box3 b, face f) {
	/* For each face: u, v and whether they run against the cabinet axes; u x v points at the viewer. */
	static const struct {
		axis u, v;
		bool u_rev, v_rev;
	} T[6] = {
		[FACE_LEFT] = {AXIS_Y, AXIS_Z, true, false},   [FACE_RIGHT] = {AXIS_Y, AXIS_Z, false, false},
		[FACE_FRONT] = {AXIS_X, AXIS_Z, false, false}, [FACE_BACK] = {AXIS_X, AXIS_Z, true, false},
		[FACE_BOTTOM] = {AXIS_X, AXIS_Y, false, true}, [FACE_TOP] = {AXIS_X, AXIS_Y, false, false},
	};
	frame r = {.face = f, .u = T[f].u, .v = T[f].v, .u_rev = T[f].u_rev, .v_rev = T[f].v_rev};
	r.origin.v[face_axis(f)] = box_face(b, f);
	r.origin.v[r.u] = r.u_rev ? b.hi[r.u] : b.lo[r.u];
	r.origin.v[r.v] = r.v_rev ? b.hi[r.v] : b.lo[r.v];
	r.width = box_size(b, r.u);
	r.height = box_size(b, r.v);
	return r;
}

void frame_from_cabinet(const frame *f, point3 p, rat *u, rat *v, rat *depth) {
	rat du = rat_sub(p.v[f->u], f->origin.v[f->u]), dv = rat_sub(p.v[f->v], f->origin.v[f->v]);
	axis n = face_axis(f->face);
	rat dn = rat_sub(p.v[n], f->origin.v[n]);
	*u = f->u_rev ? rat_neg(du) : du;
	*v = f->v_rev ? rat_neg(dv) : dv;
	if (depth) *depth = face_high(f->face) ? rat_neg(dn) : dn;
}

point3 frame_to_cabinet(const frame *f, rat u, rat v, rat depth) {
	point3 p;
	axis n = face_axis(f->face);
	p.v[f->u] = f->u_rev ? rat_sub(f->origin.v[f->u], u) : rat_add(f->origin.v[f->u], u);
	p.v[f->v] = f->v_rev ? rat_sub(f->origin.v[f->v], v) : rat_add(f->origin.v[f->v], v);
	p.v[n] = face_high(f->face) ? rat_sub(f->origin.v[n], depth) : rat_add(f->origin.v[n], depth);
	return p;
}

const char *frame_datum_words(const frame *f) {
	static const char *const WORDS[6] = {
		[FACE_LEFT] = "lower left corner, seen from the left (its back edge is on the left)",
		[FACE_RIGHT] = "lower left corner, seen from the right (its front edge is on the left)",
		[FACE_FRONT] = "lower left corner, seen from the front",
		[FACE_BACK] = "lower left corner, seen from the back",
		[FACE_BOTTOM] = "lower left corner, seen from below with the back edge nearest you",
		[FACE_TOP] = "lower left corner, seen from above with the front edge nearest you",
	};
	return WORDS[f->face];
}
