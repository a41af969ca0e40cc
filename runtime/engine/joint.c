#include "runtime/engine/joint.h"

#include "runtime/engine/mitre.h"

static rat or_zero(rat r) { return rat_ok(r) ? r : rat_int(0); }

bool joint_enters(model_joint_kind k) {
	return k == JOINT_DADO || k == JOINT_RABBET || k == JOINT_GROOVE || k == JOINT_TONGUE;
}

bool joint_cuts(model_joint_kind k) { return joint_enters(k) || k == JOINT_HALVING; }

bool joint_between(const model *m, model_ref a, model_ref b) {
	for (size_t i = 0; i < m->joints.n; i++) {
		const model_joint *j = &m->joints.v[i];
		if ((j->a == a && j->b == b) || (j->a == b && j->b == a)) return true;
	}
	return false;
}

void joint_gather(const model *m, bool *in) {
	for (bool more = true; more;) {
		more = false;
		for (size_t i = 0; i < m->joints.n; i++) {
			const model_joint *j = &m->joints.v[i];
			if (in[j->a] == in[j->b]) continue;
			in[j->a] = in[j->b] = more = true;
		}
	}
}

const char *joint_cut_word(model_joint_kind k) {
	switch (k) {
	case JOINT_DADO:
		return "dado";
	case JOINT_RABBET:
		return "rabbet";
	case JOINT_GROOVE:
	case JOINT_TONGUE:
		return "groove";
	case JOINT_HALVING:
		return "halving";
	default:
		return "dado";
	}
}

/* A bit for what the joint cuts into the part. */
enum { CUT_DADO = 1, CUT_RABBET = 2, CUT_GROOVE = 4, CUT_TONGUE = 8, CUT_HALVING = 16, CUT_NOTCH = 32 };
static unsigned cut_into(const model_joint *j, model_ref part) {
	unsigned bits = 0;
	if (j->b == part && j->kind == JOINT_DADO) bits |= CUT_DADO;
	if (j->b == part && j->kind == JOINT_RABBET) bits |= CUT_RABBET;
	if (j->b == part && (j->kind == JOINT_GROOVE || j->kind == JOINT_TONGUE)) bits |= CUT_GROOVE;
	if (j->a == part && j->kind == JOINT_TONGUE) bits |= CUT_TONGUE;
	if ((j->a == part || j->b == part) && j->kind == JOINT_HALVING) bits |= CUT_HALVING;
	if (j->a == part && joint_enters(j->kind) && rat_sign(rat_max(j->stop[0], j->stop[1])) > 0) bits |= CUT_NOTCH;
	return bits;
}

bool joint_part_cut(const model *m, model_ref part) {
	for (size_t i = 0; i < m->joints.n; i++)
		if (cut_into(&m->joints.v[i], part)) return true;
	return false;
}

const char *joint_cuts_words(arena *mem, const model *m, const model_ref *parts, size_t n, const char *otherwise) {
	static const char *const WORD[] = {"dados", "rabbets", "grooves", "tongues", "halvings", "notches"};
	unsigned bits = 0, left;
	for (size_t i = 0; i < m->joints.n; i++)
		for (size_t k = 0; k < n; k++) bits |= cut_into(&m->joints.v[i], parts[k]);
	if ((bits & ~(unsigned)(CUT_DADO | CUT_RABBET)) == 0) return otherwise;
	const char *text = "";
	left = bits;
	for (unsigned i = 0; i < sizeof WORD / sizeof *WORD; i++) {
		if (!(bits & (1u << i))) continue;
		left &= ~(1u << i);
		text = arena_printf(mem, "%s%s%s", text, !*text ? "" : left ? ", " : " and ", WORD[i]);
	}
	return text;
}

const char *joint_link(model_joint_kind k) { return joint_enters(k) ? "into" : "to"; }

axis joint_across(const model *m, const model_joint *j) {
	axis n = face_axis(j->face_a), thick = m->parts.v[j->a].thick_axis;
	if (thick != n) return thick;
	/* No sheet's edge: the shorter side of what they share. */
	axis p = n == AXIS_X ? AXIS_Y : AXIS_X, q = (axis)(3 - (int)n - (int)p);
	return rat_lt(box_size(j->contact, q), box_size(j->contact, p)) ? q : p;
}

axis joint_along(const model *m, const model_joint *j) {
	return (axis)(3 - (int)face_axis(j->face_a) - (int)joint_across(m, j));
}

rat joint_engages(const model_joint *j) {
	if (!joint_enters(j->kind)) return rat_int(0);
	return rat_sub(j->depth.mm, or_zero(j->room.mm));
}

/* ---- cuts ---------------------------------------------------------------------------------- */

/* From `b`'s face inwards by `depth`, along the axis of f. */
static void inwards(box3 part, face f, rat depth, box3 *out) {
	axis n = face_axis(f);
	rat at = box_face(part, f);
	out->lo[n] = face_high(f) ? rat_sub(at, depth) : at;
	out->hi[n] = face_high(f) ? at : rat_add(at, depth);
}

static void rabbet_across(const model *m, const model_joint *j, axis across, box3 *out) {
	const model_part *a = &m->parts.v[j->a], *b = &m->parts.v[j->b];
	rat allowance = or_zero(j->allowance.mm), thick = box_size(a->box, across);
	rat low = rat_sub(j->contact.lo[across], b->blank.lo[across]),
	    high = rat_sub(b->blank.hi[across], j->contact.hi[across]);
	if (rat_le(rat_min(low, high), thick)) {
		bool at_low = rat_lt(low, high);
		out->lo[across] = at_low ? b->blank.lo[across] : rat_sub(j->contact.lo[across], allowance);
		out->hi[across] = at_low ? rat_add(j->contact.hi[across], allowance) : b->blank.hi[across];
		return;
	}
	out->lo[across] = rat_sub(j->contact.lo[across], rat_half(allowance));
	out->hi[across] = rat_add(j->contact.hi[across], rat_half(allowance));
}

static void tongue_across(const model *m, const model_joint *j, axis across, rat *lo, rat *hi) {
	const model_part *a = &m->parts.v[j->a];
	*lo = rat_add(a->box.lo[across], or_zero(j->shoulder));
	*hi = rat_add(*lo, j->thick.mm);
}

/* Where a's tongue and b's material go beside each other, less the stops. */
static void run_along(const model *m, const model_joint *j, axis along, rat *lo, rat *hi) {
	const model_part *a = &m->parts.v[j->a], *b = &m->parts.v[j->b];
	*lo = rat_max(a->blank.lo[along], b->blank.lo[along]);
	*hi = rat_min(a->blank.hi[along], b->blank.hi[along]);
	if (rat_sign(or_zero(j->stop[0])) > 0) *lo = rat_max(*lo, rat_add(b->box.lo[along], j->stop[0]));
	if (rat_sign(or_zero(j->stop[1])) > 0) *hi = rat_min(*hi, rat_sub(b->box.hi[along], j->stop[1]));
}

static box3 empty_at(const model_joint *j) {
	box3 e = j->contact;
	for (int i = 0; i < 3; i++) e.hi[i] = e.lo[i];
	return e;
}

/* A halving's notch: the shared rectangle, wider by half the allowance wherever the part goes on and makes a wall. */
static box3 halving_cut(const model_joint *j, const model_part *part, face from, rat depth) {
	box3 cut = j->contact;
	axis n = face_axis(from);
	rat more = rat_half(or_zero(j->allowance.mm));
	inwards(part->box, from, depth, &cut);
	for (int i = 0; i < 3; i++) {
		if (i == (int)n) continue;
		if (rat_lt(part->box.lo[i], cut.lo[i])) cut.lo[i] = rat_sub(cut.lo[i], more);
		if (rat_lt(cut.hi[i], part->box.hi[i])) cut.hi[i] = rat_add(cut.hi[i], more);
	}
	return cut;
}

box3 joint_cut_b(const model *m, const model_joint *j) {
	if (!joint_cuts(j->kind)) return empty_at(j);
	const model_part *b = &m->parts.v[j->b];
	face f = face_opposite(j->face_a);
	if (j->kind == JOINT_HALVING) return halving_cut(j, b, f, j->depth.mm);
	axis across = joint_across(m, j), along = joint_along(m, j);
	box3 cut;
	inwards(b->box, f, j->depth.mm, &cut);
	run_along(m, j, along, &cut.lo[along], &cut.hi[along]);
	if (j->kind == JOINT_RABBET) {
		rabbet_across(m, j, across, &cut);
		return cut;
	}
	rat more = rat_half(or_zero(j->allowance.mm));
	rat lo = j->contact.lo[across], hi = j->contact.hi[across];
	if (j->kind == JOINT_TONGUE) tongue_across(m, j, across, &lo, &hi);
	cut.lo[across] = rat_sub(lo, more);
	cut.hi[across] = rat_add(hi, more);
	return cut;
}

box3 joint_tongue(const model *m, const model_joint *j) {
	if (!joint_enters(j->kind)) return empty_at(j);
	const model_part *a = &m->parts.v[j->a];
	axis n = face_axis(j->face_a), across = joint_across(m, j), along = joint_along(m, j);
	box3 t;
	rat at = box_face(a->box, j->face_a), reach = joint_engages(j);
	t.lo[n] = face_high(j->face_a) ? at : rat_sub(at, reach);
	t.hi[n] = face_high(j->face_a) ? rat_add(at, reach) : at;
	t.lo[across] = j->contact.lo[across];
	t.hi[across] = j->contact.hi[across];
	if (j->kind == JOINT_TONGUE) tongue_across(m, j, across, &t.lo[across], &t.hi[across]);
	run_along(m, j, along, &t.lo[along], &t.hi[along]);
	return t;
}

box3 joint_cut_a(const model *m, const model_joint *j) {
	if (j->kind != JOINT_HALVING) return empty_at(j);
	return halving_cut(j, &m->parts.v[j->a], j->face_a, j->depth_a);
}

/* What the blank has beyond the shoulder, on that face. */
static void beyond_box(const model_part *a, face f, box3 *out) {
	axis n = face_axis(f);
	if (face_high(f))
		out->lo[n] = a->box.hi[n];
	else
		out->hi[n] = a->box.lo[n];
}

bool joint_shoulder(const model *m, const model_joint *j, int high, box3 *out) {
	if (j->kind != JOINT_TONGUE) return false;
	const model_part *a = &m->parts.v[j->a];
	axis across = joint_across(m, j);
	rat lo, hi;
	tongue_across(m, j, across, &lo, &hi);
	*out = a->blank;
	beyond_box(a, j->face_a, out);
	out->lo[across] = high ? hi : a->box.lo[across];
	out->hi[across] = high ? a->box.hi[across] : lo;
	return rat_lt(out->lo[across], out->hi[across]);
}

bool joint_notch(const model *m, const model_joint *j, int high, box3 *out) {
	if (!joint_enters(j->kind) || rat_sign(or_zero(j->stop[high])) <= 0) return false;
	const model_part *a = &m->parts.v[j->a], *b = &m->parts.v[j->b];
	axis along = joint_along(m, j);
	*out = a->blank;
	beyond_box(a, j->face_a, out);
	if (high)
		out->lo[along] = rat_sub(b->box.hi[along], j->stop[1]);
	else
		out->hi[along] = rat_add(b->box.lo[along], j->stop[0]);
	out->lo[along] = rat_max(out->lo[along], a->blank.lo[along]);
	out->hi[along] = rat_min(out->hi[along], a->blank.hi[along]);
	return rat_lt(out->lo[along], out->hi[along]);
}

static bool ends_with(const model_joint *j, const model_part *p, face f) {
	return rat_eq(box_face(j->contact, f), box_face(p->box, f));
}

bool joint_bars(const model *m, const model_joint *j, face out) {
	if (!joint_cuts(j->kind)) return false;
	const model_part *a = &m->parts.v[j->a], *b = &m->parts.v[j->b];
	axis ax = face_axis(out), normal = face_axis(j->face_a);
	if (ax == normal) return out == j->face_a;
	if (j->kind == JOINT_HALVING) return !ends_with(j, b, out) || !ends_with(j, a, face_opposite(out));
	if (ax != joint_along(m, j)) return j->kind != JOINT_RABBET;
	return !ends_with(j, b, out) || rat_sign(or_zero(j->stop[face_high(out)])) > 0;
}

bool joint_from_the_work(const model *m, const model_joint *j) {
	if (!joint_enters(j->kind) || j->kind == JOINT_TONGUE) return false;
	model_ref stock = m->parts.v[j->a].stock;
	if (stock >= m->stocks.n || m->stocks.v[stock].kind != STOCK_SHEET) return false;
	rat plus = m->stocks.v[stock].thick_plus.mm;
	return rat_ok(plus) && rat_lt(or_zero(j->allowance.mm), plus);
}

/* ---- screws -------------------------------------------------------------------------------- */

void joint_screw_way(const model *m, const model_joint *j, rat *through, rat *there) {
	const model_part *a = &m->parts.v[j->a], *b = &m->parts.v[j->b];
	axis n = face_axis(j->face_a);
	*there = box_size(a->blank, n);
	if (!model_part_made(m, b)) { /* of a bought item its flange; how thick that is, its box does not say */
		*through = b->stock < m->stocks.n ? or_zero(m->stocks.v[b->stock].flange_thick.mm) : rat_int(0);
		return;
	}
	if (j->kind == JOINT_HALVING) {
		*through = rat_sub(box_size(b->box, n), j->depth.mm);
		*there = rat_sub(box_size(a->box, n), j->depth_a);
		return;
	}
	*through = rat_abs(rat_sub(box_face(b->blank, j->face_a), box_face(a->blank, j->face_a)));
}

/* ---- surfaces ------------------------------------------------------------------------------ */

static bool flat(const box3 *r) {
	int sides = 0;
	for (int i = 0; i < 3; i++) sides += rat_lt(r->lo[i], r->hi[i]);
	return sides == 2;
}

static void add_face(arena *mem, joint_faces *out, model_ref joint, model_ref part, face f, box3 rect, rat at) {
	axis n = face_axis(f);
	rect.lo[n] = rect.hi[n] = at;
	if (flat(&rect)) LIST_PUSH(mem, out, ((model_glue_face){joint, part, f, rect}));
}

/* Of both parts: a looks along f from at_a, b against it from at_b. */
static void add_pair(arena *mem, joint_faces *out, const model *m, model_ref joint, face f, box3 rect, rat at_a,
		     rat at_b) {
	const model_joint *j = &m->joints.v[joint];
	add_face(mem, out, joint, j->a, f, rect, at_a);
	add_face(mem, out, joint, j->b, face_opposite(f), rect, at_b);
}

/* Where the cut ends within b: its wall against the end of what goes in, and before a stop a's own end against b. */
static void add_ends(arena *mem, const model *m, model_ref row, box3 t, box3 cut, joint_faces *out) {
	const model_joint *j = &m->joints.v[row];
	const model_part *b = &m->parts.v[j->b];
	axis n = face_axis(j->face_a), along = joint_along(m, j), across = joint_across(m, j);
	for (int high = 0; high < 2; high++) {
		face f = face_of(along, high);
		rat at = box_face(cut, f);
		if (rat_eq(at, box_face(b->blank, f))) continue;
		add_pair(mem, out, m, row, f, t, at, at);
		if (rat_sign(or_zero(j->stop[high])) <= 0) continue;
		box3 before = j->contact;
		before.lo[across] = rat_max(before.lo[across], t.lo[across]);
		before.hi[across] = rat_min(before.hi[across], t.hi[across]);
		if (high)
			before.lo[along] = rat_max(before.lo[along], at);
		else
			before.hi[along] = rat_min(before.hi[along], at);
		add_pair(mem, out, m, row, j->face_a, before, j->contact.lo[n], j->contact.lo[n]);
	}
}

static void add_entered(arena *mem, const model *m, model_ref row, joint_faces *out) {
	const model_joint *j = &m->joints.v[row];
	box3 t = joint_tongue(m, j), cut = joint_cut_b(m, j);
	axis n = face_axis(j->face_a), across = joint_across(m, j);
	if (rat_sign(or_zero(j->room.mm)) <= 0) /* else the end does not touch the bottom */
		add_pair(mem, out, m, row, j->face_a, t, box_face(t, j->face_a), box_face(cut, j->face_a));
	add_ends(mem, m, row, t, cut, out);
	for (int high = 0; high < 2; high++) {
		face f = face_of(across, high);
		rat at_a = box_face(t, f), at_b = box_face(cut, f);
		/* A rabbet is open at b's edge. */
		if (j->kind == JOINT_RABBET && rat_eq(at_b, box_face(m->parts.v[j->b].blank, f))) continue;
		add_pair(mem, out, m, row, f, t, at_a, at_b);
		if (j->kind != JOINT_TONGUE) continue;
		box3 rest = j->contact;
		if (high)
			rest.lo[across] = rat_max(rest.lo[across], at_a);
		else
			rest.hi[across] = rat_min(rest.hi[across], at_a);
		add_pair(mem, out, m, row, j->face_a, rest, j->contact.lo[n], j->contact.lo[n]);
	}
}

/* The walls of one part's notch against the sides of the other. `wall_is_b`: the notch is b's. */
static void add_walls(arena *mem, const model *m, model_ref row, bool wall_is_b, joint_faces *out) {
	const model_joint *j = &m->joints.v[row];
	const model_part *own = &m->parts.v[wall_is_b ? j->b : j->a], *other = &m->parts.v[wall_is_b ? j->a : j->b];
	box3 cut = wall_is_b ? joint_cut_b(m, j) : joint_cut_a(m, j);
	axis n = face_axis(j->face_a);
	for (int f = 0; f < 6; f++) {
		axis k = face_axis((face)f);
		if (k == n || rat_eq(box_face(own->box, (face)f), box_face(j->contact, (face)f))) continue;
		box3 rect = j->contact;
		rect.lo[n] = rat_max(cut.lo[n], other->box.lo[n]);
		rect.hi[n] = rat_min(cut.hi[n], other->box.hi[n]);
		rat side = box_face(j->contact, (face)f), wall = box_face(cut, (face)f);
		/* The side of the other looks out at the wall, along f. */
		if (wall_is_b)
			add_pair(mem, out, m, row, (face)f, rect, side, wall);
		else
			add_pair(mem, out, m, row, face_opposite((face)f), rect, wall, side);
	}
}

void joint_grow(model_part *a, const model_joint *j) {
	axis n = face_axis(j->face_a);
	rat by = joint_engages(j);
	if (face_high(j->face_a))
		a->blank.hi[n] = rat_max(a->blank.hi[n], rat_add(a->box.hi[n], by));
	else
		a->blank.lo[n] = rat_min(a->blank.lo[n], rat_sub(a->box.lo[n], by));
}

void joint_add_faces(arena *mem, const model *m, model_ref joint, joint_faces *out) {
	const model_joint *j = &m->joints.v[joint];
	if (joint_enters(j->kind)) {
		add_entered(mem, m, joint, out);
		return;
	}
	rat at = j->contact.lo[face_axis(j->face_a)];
	add_pair(mem, out, m, joint, j->face_a, j->contact, at, at);
	if (j->kind != JOINT_HALVING) return;
	add_walls(mem, m, joint, true, out);
	add_walls(mem, m, joint, false, out);
}

double joint_glue_m2(arena *mem, const model *m, model_ref joint) {
	const model_joint *j = &m->joints.v[joint];
	if (!j->glue) return 0;
	joint_faces faces = {0};
	joint_add_faces(mem, m, joint, &faces);
	double area = 0;
	for (size_t i = 0; i < faces.n; i++) {
		if (faces.v[i].part != j->a) continue;
		double one = 1e-6;
		for (int k = 0; k < 3; k++)
			if (k != (int)face_axis(faces.v[i].face)) one *= rat_double(box_size(faces.v[i].rect, (axis)k));
		area += one;
	}
	double slant = 1;
	if (j->kind == JOINT_BUTT) mitre_meets(&m->parts.v[j->a], &m->parts.v[j->b], NULL, NULL, &slant);
	return area * slant;
}

bool joint_gasket(const model *m, model_ref joint, model_gasket_run *out) {
	const model_joint *j = &m->joints.v[joint];
	if (j->gasket == MODEL_NONE) return false;
	axis n = face_axis(j->face_a);
	face f = face_opposite(j->face_a);
	*out = (model_gasket_run){.joint = joint, .stock = j->gasket, .part = j->b, .face = f, .rect = j->contact};
	rat from = box_face(m->parts.v[j->a].box, j->face_a), to = box_face(m->parts.v[j->b].box, f);
	if (model_part_made(m, &m->parts.v[j->b])) out->rect.lo[n] = out->rect.hi[n] = to;
	out->gap = rat_abs(rat_sub(to, from));
	rat longer = rat_int(0), shorter = rat_poison();
	for (int i = 0; i < 3; i++) {
		if (i == (int)n) continue;
		rat size = box_size(j->contact, (axis)i);
		longer = rat_max(longer, size);
		shorter = rat_ok(shorter) ? rat_min(size, shorter) : size;
	}
	out->ring = rat_lt(rat_int(JOINT_STRIP_MM), shorter);
	out->corners = out->ring ? 4 : 0;
	out->length = longer;
	if (out->ring) {
		rat around = rat_mul(rat_int(2), rat_add(longer, shorter));
		rat wide = or_zero(m->stocks.v[j->gasket].tape_width.mm);
		out->length = rat_sub(around, rat_mul(rat_int(4), wide));
	}
	return true;
}
