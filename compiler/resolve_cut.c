/* What the joints cut into the parts: dados, grooves, rabbets, shoulders, halvings, notches, holes for screws; where
 * glue and tape lie. */
#include <math.h>

#include "compiler/context.h"
#include "runtime/engine/feature.h"
#include "runtime/engine/joint.h"

/* First and last screw of a row: half a spacing from the end, at most this. Common practice, no source. */
enum { MOST_END_MM = 50 };
/* Material that stays between the holes of two joints; a row of screws moves aside for it. As `hole-screw` asks. */
enum { SCREWS_APART_MM = 3 };
/* So near to the end a row that moves aside may come. Common practice, no source. */
enum { LEAST_END_MM = 25 };
/* Of a countersunk head, where the stock does not say another: degrees. */
static const double HEAD_ANGLE = 90;

model_feature *cut_add(ctx *c, model_feature_kind kind, model_ref part, face f, span at) {
	model_feature *x = LIST_ADD(c->mem, &c->m->features);
	*x = (model_feature){.kind = kind,
			     .part = part,
			     .face = f,
			     .at = at,
			     .sink = rat_int(0),
			     .sink_depth = rat_int(0),
			     .pattern = MODEL_NONE,
			     .joint = MODEL_NONE,
			     .tool = MODEL_NONE};
	return x;
}

/* ---- cuts ---------------------------------------------------------------------------------- */

static bool same_cut(const model_feature *a, const model_feature *b) {
	if (a->kind != b->kind || a->part != b->part || a->face != b->face) return false;
	box3 x = feature_box(a), y = feature_box(b);
	for (int i = 0; i < 3; i++)
		if (!rat_eq(x.lo[i], y.lo[i]) || !rat_eq(x.hi[i], y.hi[i])) return false;
	return true;
}

/* The volume `cut`, worked from face f; two joints may ask for the same one (an end that goes into two sheets). */
static void add_cut(ctx *c, model_ref jr, model_feature_kind kind, model_ref part, face f, axis along, box3 cut) {
	const model_joint *j = &c->m->joints.v[jr];
	axis n = face_axis(f), across = (axis)(3 - (int)n - (int)along);
	model_feature x = {.kind = kind,
			   .part = part,
			   .face = f,
			   .at = j->at,
			   .sink = rat_int(0),
			   .sink_depth = rat_int(0),
			   .pattern = MODEL_NONE,
			   .joint = jr,
			   .tool = MODEL_NONE};
	for (int i = 0; i < 3; i++) x.centre.v[i] = rat_half(rat_add(cut.lo[i], cut.hi[i]));
	x.centre.v[n] = box_face(cut, f);
	x.shape = (model_shape){.kind = SHAPE_RECT,
				.a = box_size(cut, along),
				.b = box_size(cut, across),
				.corner = rat_int(0),
				.along = along,
				.at = j->at};
	x.depth = box_size(cut, n);
	x.through = kind == FEATURE_NOTCH;
	for (size_t i = 0; i < c->m->features.n; i++)
		if (kind != FEATURE_GROOVE && same_cut(&c->m->features.v[i], &x)) return;
	LIST_PUSH(c->mem, &c->m->features, x);
}

static face high_face(axis a) { return face_of(a, true); }

/* A part's notch in the depth of its sheet is sawn through from the face; all else is cut from where it opens. */
static void add_halving(ctx *c, model_ref jr, model_ref part, face opens, box3 cut) {
	const model_part *p = &c->m->parts.v[part];
	bool sheet = c->m->stocks.v[p->stock].kind == STOCK_SHEET;
	axis n = face_axis(opens), longer = AXIS_X;
	if (sheet && p->thick_axis != n) {
		add_cut(c, jr, FEATURE_NOTCH, part, high_face(p->thick_axis), n, cut);
		return;
	}
	rat most = rat_int(-1);
	for (int i = 0; i < 3; i++) {
		if (i == (int)n || rat_le(box_size(cut, (axis)i), most)) continue;
		most = box_size(cut, (axis)i);
		longer = (axis)i;
	}
	add_cut(c, jr, FEATURE_HALVING, part, opens, longer, cut);
}

static void add_cuts(ctx *c, model_ref jr) {
	const model_joint *j = &c->m->joints.v[jr];
	face f = face_opposite(j->face_a);
	if (j->kind == JOINT_HALVING) {
		add_halving(c, jr, j->b, f, joint_cut_b(c->m, j));
		add_halving(c, jr, j->a, j->face_a, joint_cut_a(c->m, j));
		return;
	}
	axis along = joint_along(c->m, j), across = joint_across(c->m, j);
	add_cut(c, jr, j->kind == JOINT_RABBET ? FEATURE_RABBET : FEATURE_GROOVE, j->b, f, along, joint_cut_b(c->m, j));
	box3 cut;
	for (int high = 0; high < 2; high++) {
		if (joint_shoulder(c->m, j, high, &cut))
			add_cut(c, jr, FEATURE_SHOULDER, j->a, face_of(across, high), along, cut);
		if (joint_notch(c->m, j, high, &cut))
			add_cut(c, jr, FEATURE_NOTCH, j->a, high_face(across), along, cut);
	}
}

void cuts_resolve(ctx *c) {
	for (size_t i = 0; i < c->m->joints.n; i++)
		if (joint_cuts(c->m->joints.v[i].kind)) add_cuts(c, (model_ref)i);
}

/* ---- screws -------------------------------------------------------------------------------- */

static model_shape round_shape(rat diameter, span at) {
	return (model_shape){.kind = SHAPE_ROUND, .a = diameter, .b = diameter, .corner = rat_int(0), .at = at};
}

/* Of the cone, from the face to where it has the hole's own diameter. */
static rat sink_depth(const model_stock *s) {
	if (!rat_ok(s->sink.mm) || !rat_lt(s->clearance.mm, s->sink.mm)) return rat_int(0);
	rat half = rat_half(rat_sub(s->sink.mm, s->clearance.mm));
	double angle = isfinite(s->head_angle_deg.v) ? s->head_angle_deg.v : HEAD_ANGLE;
	if (!(fabs(angle - 90) > 1e-9)) return half; /* half a right angle: as deep as it is broad */
	return rat_from_double(rat_double(half) / tan(angle / 360 * acos(-1.0)), 1000);
}

static void add_screw(ctx *c, model_ref jr, point3 at, uint32_t index) {
	const model_joint *j = &c->m->joints.v[jr];
	const model_stock *s = &c->m->stocks.v[j->screw];
	const model_part *a = &c->m->parts.v[j->a], *b = &c->m->parts.v[j->b];
	axis n = face_axis(j->face_a);
	bool made = model_part_made(c->m, b);
	rat through, there;
	joint_screw_way(c->m, j, &through, &there);
	if (made) {
		model_feature *x = cut_add(c, FEATURE_CLEARANCE, j->b, j->face_a, j->at);
		x->joint = jr;
		x->index = index;
		x->centre = at;
		x->centre.v[n] = box_face(b->box, j->face_a);
		x->shape = round_shape(s->clearance.mm, s->clearance.at);
		x->through = true;
		x->depth = box_size(b->box, n);
		x->sink = rat_ok(s->sink.mm) ? s->sink.mm : rat_int(0);
		x->sink_depth = sink_depth(s);
	}
	if (model_part_made(c->m, a)) {
		model_feature *x = cut_add(c, FEATURE_PILOT, j->a, j->face_a, j->at);
		x->joint = jr;
		x->index = index;
		x->centre = at;
		x->centre.v[n] = box_face(a->blank, j->face_a);
		bool soft = c->m->stocks.v[a->stock].soft_wood && rat_ok(s->pilot_soft.mm);
		const model_length *pilot = soft ? &s->pilot_soft : &s->pilot;
		x->shape = round_shape(pilot->mm, pilot->at);
		x->depth = rat_max(rat_sub(s->length.mm, through), rat_int(0));
		/* It starts at the bottom of the halving. */
		if (j->kind == JOINT_HALVING) x->depth = rat_add(x->depth, j->depth_a);
	}
}

static bool is_screw(const model_feature *f) { return f->kind == FEATURE_PILOT || f->kind == FEATURE_CLEARANCE; }

/* Does a hole made since `from` come too near to one of an earlier joint? */
static bool meets(const ctx *c, size_t from) {
	for (size_t i = from; i < c->m->features.n; i++)
		for (size_t k = 0; k < from; k++) {
			const model_feature *a = &c->m->features.v[i], *b = &c->m->features.v[k];
			if (!is_screw(b) || a->part != b->part) continue;
			if (rat_lt(feature_between(a, b), rat_int(SCREWS_APART_MM))) return true;
		}
	return false;
}

typedef struct screw_row {
	axis along;
	point3 at; /* of the first; the others lie along */
	rat pitch;
	int64_t count;
} screw_row;

static bool row_of(ctx *c, const model_joint *j, screw_row *r) {
	axis n = face_axis(j->face_a), l = n == AXIS_X ? AXIS_Y : AXIS_X;
	box3 where = joint_enters(j->kind) ? joint_tongue(c->m, j) : j->contact;
	for (int i = 0; i < 3; i++)
		if (i != (int)n && rat_lt(box_size(j->contact, l), box_size(j->contact, (axis)i))) l = (axis)i;
	axis w = (axis)(3 - (int)n - (int)l);
	rat lo = rat_max(where.lo[l], j->contact.lo[l]), hi = rat_min(where.hi[l], j->contact.hi[l]);
	rat length = rat_sub(hi, lo);
	rat end = rat_ok(j->first.mm) ? j->first.mm : rat_min(rat_half(j->every.mm), rat_int(MOST_END_MM));
	bool single = !rat_lt(rat_add(end, end), length);
	/* Two screws of a short joint stand no nearer to each other than to its ends. */
	if (!single && !rat_ok(j->first.mm)) end = rat_min(end, rat_div(length, rat_int(3)));
	rat run = rat_sub(length, rat_add(end, end));
	r->along = l;
	r->count = single ? 1 : rat_ceil(rat_div(run, j->every.mm)) + 1;
	if (r->count > 2000) {
		diag_error(c->diags, "plan-count", j->every.at, "this makes %lld screws in one joint",
			   (long long)r->count);
		return false;
	}
	r->at.v[n] = j->contact.lo[n];
	r->at.v[w] = rat_half(rat_add(where.lo[w], where.hi[w]));
	r->at.v[l] = r->count == 1 ? rat_half(rat_add(lo, hi)) : rat_add(lo, end);
	r->pitch = r->count == 1 ? length : rat_div(run, rat_int(r->count - 1));
	return true;
}

static void put_row(ctx *c, model_ref jr, const screw_row *r, rat shift) {
	for (int64_t i = 0; i < r->count; i++) {
		point3 p = r->at;
		p.v[r->along] = rat_add(p.v[r->along], rat_add(shift, rat_mul(r->pitch, rat_int(i))));
		add_screw(c, jr, p, (uint32_t)i);
	}
}

/* Where the row meets screws of an earlier joint it moves along, by whole steps of a head and what must stay beside it,
 * to the nearest place where it meets none; half a spacing at most. */
static void stagger(ctx *c, model_ref jr, const screw_row *r, size_t from) {
	model_joint *j = &c->m->joints.v[jr];
	const model_stock *s = &c->m->stocks.v[j->screw];
	rat broad = rat_ok(s->sink.mm) ? rat_max(s->sink.mm, s->clearance.mm) : s->clearance.mm;
	rat step = rat_int(rat_ceil(broad) + SCREWS_APART_MM);
	rat first = rat_sub(r->at.v[r->along], j->contact.lo[r->along]);
	rat least = rat_min(first, rat_int(LEAST_END_MM)), most = rat_min(rat_half(r->pitch), rat_sub(first, least));
	for (int64_t k = 2; k < 200; k++) {
		rat shift = rat_mul(step, rat_int(k % 2 ? -(k / 2) : k / 2));
		if (rat_lt(most, rat_abs(shift))) break;
		c->m->features.n = from;
		put_row(c, jr, r, shift);
		if (meets(c, from)) continue;
		j->shifted = shift;
		return;
	}
	c->m->features.n = from;
	put_row(c, jr, r, rat_int(0));
}

void screws_resolve(ctx *c) {
	for (size_t i = 0; i < c->m->joints.n; i++) {
		model_joint *j = &c->m->joints.v[i];
		if (j->screw == MODEL_NONE) continue;
		const model_stock *s = &c->m->stocks.v[j->screw];
		screw_row r;
		if (!rat_ok(s->length.mm) || !rat_ok(s->pilot.mm) || !rat_ok(s->clearance.mm))
			continue; /* reported at the stock */
		if (!row_of(c, j, &r)) continue;
		size_t from = c->m->features.n;
		put_row(c, (model_ref)i, &r, rat_int(0));
		if (meets(c, from)) stagger(c, (model_ref)i, &r, from);
		j->n_screws = (uint32_t)r.count;
	}
}

/* ---- glue and tape ------------------------------------------------------------------------- */

void faces_resolve(ctx *c) {
	joint_faces faces = {0};
	for (model_ref i = 0; i < c->m->joints.n; i++) {
		if (c->m->joints.v[i].glue) joint_add_faces(c->mem, c->m, i, &faces);
		model_gasket_run run;
		if (joint_gasket(c->m, i, &run)) LIST_PUSH(c->mem, &c->m->gaskets, run);
	}
	for (size_t i = 0; i < faces.n; i++) LIST_PUSH(c->mem, &c->m->glue_faces, faces.v[i]);
}
