/* Seams: sheets that lie edge to edge in a plane. */
#include "compiler/check_limits.h"
#include "compiler/check_use.h"
#include "compiler/check_util.h"
#include "runtime/engine/joint.h"

/* A sheet that stays in its place: what lifts out or turns has its seams open. */
static bool stays(const model *m, const model_part *p) {
	return p->kind == PART_PANEL && !p->loose && model_part_made(m, p);
}

/* Do they lie in one plane: more than half of the thinner one's thickness beside the other? */
static bool in_plane(const model_part *a, const model_part *b) {
	if (a->thick_axis != b->thick_axis) return false;
	axis t = a->thick_axis;
	rat common = rat_sub(rat_min(a->box.hi[t], b->box.hi[t]), rat_max(a->box.lo[t], b->box.lo[t]));
	rat thin = rat_min(box_size(a->box, t), box_size(b->box, t));
	return rat_lt(rat_half(thin), common);
}

/* How much of the seam a part backs: it lies on the same face of both. Gives the stretch along the seam. */
static bool backs(const model *m, model_ref c, const model_part *a, const model_part *b, axis along, rat *lo, rat *hi) {
	const model_part *p = &m->parts.v[c];
	face fa, fb;
	box3 ra, rb;
	if (!model_part_made(m, p) || p->kind == PART_DOOR || p == a || p == b) return false;
	if (!box_touch(a->box, p->box, &fa, &ra) || !box_touch(b->box, p->box, &fb, &rb) || fa != fb) return false;
	if (face_axis(fa) != a->thick_axis) return false;
	*lo = rat_max(ra.lo[along], rb.lo[along]);
	*hi = rat_min(ra.hi[along], rb.hi[along]);
	return rat_lt(*lo, *hi);
}

/* The length of the seam that is backed; stretches that overlap count once. *near gets a part that backs some of it. */
static rat backed_length(const model *m, const model_part *a, const model_part *b, axis along, rat from, rat to,
			 model_ref *near) {
	rat sum = rat_int(0), at = from;
	*near = MODEL_NONE;
	while (rat_lt(at, to)) {
		rat reach = at, next = to;
		for (model_ref c = 0; c < m->parts.n; c++) {
			rat lo, hi;
			if (!backs(m, c, a, b, along, &lo, &hi)) continue;
			*near = c;
			if (rat_le(lo, at))
				reach = rat_max(reach, rat_min(hi, to));
			else
				next = rat_min(next, lo);
		}
		if (rat_lt(at, reach)) {
			sum = rat_add(sum, rat_sub(reach, at));
			at = reach;
		} else {
			at = next;
		}
		if (!rat_ok(at)) break;
	}
	return sum;
}

static void seam(const model *m, diags *d, model_ref ra, model_ref rb) {
	const model_part *a = &m->parts.v[ra], *b = &m->parts.v[rb];
	face f;
	box3 rect;
	if (!stays(m, b) || !in_plane(a, b) || !box_touch(a->box, b->box, &f, &rect) || face_axis(f) == a->thick_axis)
		return;
	if (joint_between(m, ra, rb)) return;
	axis along = (axis)(3 - (int)a->thick_axis - (int)face_axis(f));
	rat whole = box_size(rect, along);
	model_ref near;
	rat backed = backed_length(m, a, b, along, rect.lo[along], rect.hi[along], &near);
	rat share = check_limit(m, "seam-unbacked");
	rat needs = rat_mul(whole, share);
	if (!rat_lt(backed, needs)) return;
	diag *g = diag_warning(d, "seam-unbacked", b->at,
			       "%s of the %s seam of %s and %s has nothing behind it, %s more "
			       "than may",
			       check_length(m, d, rat_sub(whole, backed)), check_length(m, d, whole), a->name, b->name,
			       check_length(m, d, rat_sub(needs, backed)));
	diag_add_note(d, g, a->at, "%s is placed here", a->name);
	if (near != MODEL_NONE)
		diag_add_note(d, g, m->parts.v[near].at, "%s lies behind %s of it", m->parts.v[near].name,
			      check_length(m, d, backed));
	diag_add_help(d, g, "lay a cleat or the edge of a panel across it, on the same face of both");
}

void check_seam_unbacked(const model *m, diags *d) {
	/* A plan without a joint says nothing yet of what holds what. */
	for (model_ref i = 0; i < m->parts.n && m->joints.n; i++)
		for (model_ref k = i + 1; k < m->parts.n && stays(m, &m->parts.v[i]); k++) seam(m, d, i, k);
}
