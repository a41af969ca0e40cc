/* Opening: what stands where a door sweeps, and where a drawer goes. */
#include <math.h>

#include "compiler/check_use.h"
#include "compiler/check_util.h"
#include "compiler/sweep.h"
#include "runtime/base/text.h"
#include "runtime/engine/joint.h"

static const char *degrees(diags *d, double deg) { return check_number(d, deg, 0); }

/* ---- doors -------------------------------------------------------------------------------------------- */

static void report_door(const model *m, diags *d, const sweep *s, model_ref by, double stops) {
	const model_part *door = &m->parts.v[s->door], *p = &m->parts.v[by];
	diag *g = diag_error(d, "door-sweep", door->at,
			     "%s opens %s degrees, %s less than its %s: %s stands in its way", door->name,
			     degrees(d, stops), degrees(d, s->degrees - stops), degrees(d, s->degrees), p->name);
	diag_add_note(d, g, p->at, "%s is placed here", p->name);
	if (span_known(door->opens_at)) diag_add_note(d, g, door->opens_at, "how far it opens is said here");
	if (stops >= 60)
		diag_add_help(d, g, "move %s, hinge the door at another side, or say how far it opens: opens %s deg",
			      p->name, degrees(d, floor(stops)));
	else
		diag_add_help(d, g, "move %s, or hinge the door at another side", p->name);
}

/* What the door meets first. A handle or a batten that is joined to it turns with it. */
static void sweep_parts(const model *m, diags *d, const sweep *s) {
	double first = s->degrees;
	model_ref by = MODEL_NONE;
	for (model_ref i = 0; i < m->parts.n; i++) {
		const model_part *p = &m->parts.v[i];
		if (i == s->door || p->kind == PART_GAP || box_overlap(p->box, m->parts.v[s->door].box)) continue;
		double at = sweep_until(s, &p->box);
		if (at >= first || joint_between(m, s->door, i)) continue;
		first = at;
		by = i;
	}
	if (by != MODEL_NONE) report_door(m, d, s, by, first);
}

/* The floor, for doors that turn about a level line. */
static void sweep_floor(const model *m, diags *d, const sweep *s) {
	box3 floor_box = m->bounds;
	const rat far = rat_int(100000);
	for (int a = 0; a < 2; a++) {
		floor_box.lo[a] = rat_sub(m->bounds.lo[a], far);
		floor_box.hi[a] = rat_add(m->bounds.hi[a], far);
	}
	floor_box.hi[2] = m->bounds.lo[2];
	floor_box.lo[2] = rat_sub(m->bounds.lo[2], far);
	double at = sweep_until(s, &floor_box);
	if (at >= s->degrees) return;
	const model_part *door = &m->parts.v[s->door];
	diag *g = diag_warning(d, "door-sweep", door->at, "%s meets the floor after %s degrees, %s less than its %s",
			       door->name, degrees(d, at), degrees(d, s->degrees - at), degrees(d, s->degrees));
	diag_add_note(d, g, span_none(), "the floor is taken at the foot of the lowest part, %s below the hinges",
		      check_length(m, d, rat_sub(s->hinge[2], m->bounds.lo[2])));
	diag_add_help(d, g, "hinge it at its upper edge or at a side, or let it open less far");
}

/* Does one that stands open keep the other from opening? Told of the two once. */
static void sweep_doors(const model *m, diags *d, const sweep *s) {
	for (model_ref i = 0; i < m->parts.n; i++) {
		sweep o;
		if (i == s->door || !sweep_of(m, i, &o)) continue;
		box3 open = sweep_open_box(&o);
		double at = sweep_until(s, &open);
		if (at >= s->degrees) continue;
		box3 mine = sweep_open_box(s);
		if (i < s->door && sweep_until(&o, &mine) < o.degrees) continue;
		const model_part *door = &m->parts.v[s->door], *other = &m->parts.v[i];
		diag *g =
			diag_warning(d, "door-sweep", door->at,
				     "%s opens %s degrees, %s less than its %s, as long as %s stands open", door->name,
				     degrees(d, at), degrees(d, s->degrees - at), degrees(d, s->degrees), other->name);
		diag_add_note(d, g, other->at, "%s is placed here", other->name);
		diag_add_help(d, g, "hinge one of them at another side, or say in a note which is opened first");
	}
}

void check_door_sweep(const model *m, diags *d) {
	for (model_ref i = 0; i < m->parts.n; i++) {
		sweep s;
		if (!sweep_of(m, i, &s)) continue;
		sweep_parts(m, d, &s);
		if (s.line != AXIS_Z) sweep_floor(m, d, &s);
		sweep_doors(m, d, &s);
	}
}

/* ---- drawers ------------------------------------------------------------------------------------------ */

/* What moves with a part that slides: all that is joined to it, and the bought things on that. */
static bool *moving_with(const model *m, diags *d, model_ref part) {
	bool *moves = ARENA_MANY(d->mem, bool, m->parts.n + 1);
	moves[part] = true;
	for (bool more = true; more;) {
		more = false;
		joint_gather(m, moves);
		for (model_ref i = 0; i < m->parts.n; i++) {
			face f;
			box3 rect;
			if (moves[i] || m->parts.v[i].kind != PART_ITEM) continue;
			for (model_ref k = 0; k < m->parts.n && !moves[i]; k++)
				if (moves[k] && box_touch(m->parts.v[i].box, m->parts.v[k].box, &f, &rect) &&
				    f == FACE_BOTTOM)
					moves[i] = more = true;
		}
	}
	return moves;
}

/* How far a box goes until it meets the other; `by` when it does not. */
static rat free_way(box3 b, face to, rat by, box3 other) {
	axis a = face_axis(to);
	box3 swept = b;
	if (face_high(to))
		swept.hi[a] = rat_add(b.hi[a], by);
	else
		swept.lo[a] = rat_sub(b.lo[a], by);
	if (!box_overlap(swept, other) || box_overlap(b, other)) return by;
	return face_high(to) ? rat_sub(other.lo[a], b.hi[a]) : rat_sub(b.lo[a], other.hi[a]);
}

/* Joints lead from it to all that is made and stands: then it is fast, and nothing slides. */
static bool held_fast(const model *m, const bool *moves) {
	for (model_ref i = 0; i < m->parts.n; i++) {
		const model_part *p = &m->parts.v[i];
		if (!moves[i] && model_part_made(m, p) && !p->loose && p->kind != PART_DOOR) return false;
	}
	return true;
}

static void tell_fast(const model *m, diags *d, model_ref part) {
	const model_part *p = &m->parts.v[part];
	for (size_t i = 0; i < m->joints.n; i++) {
		const model_joint *j = &m->joints.v[i];
		if (j->a != part && j->b != part) continue;
		diag *g = diag_error(d, "slide-blocked", p->slides_at,
				     "%s cannot slide: through its joints it holds on to all that stands", p->name);
		diag_add_note(d, g, j->at, "it is joined to %s here", m->parts.v[j->a == part ? j->b : j->a].name);
		diag_add_help(d, g, "join it to what moves with it alone");
		return;
	}
}

/* Does it, or anything of the placed assembly that it is of, stand in what slides? That is told of already, and neither
 * has its place yet. */
static bool stands_in(const model *m, const bool *moves, model_ref other) {
	const model_part *o = &m->parts.v[other];
	for (model_ref i = 0; i < m->parts.n; i++) {
		const model_part *p = &m->parts.v[i];
		if (moves[i] || p->kind == PART_GAP) continue;
		if (i != other && (!o->placed || !text_same(p->placed, o->placed))) continue;
		for (model_ref k = 0; k < m->parts.n; k++)
			if (moves[k] && m->parts.v[k].kind != PART_GAP && box_overlap(p->box, m->parts.v[k].box))
				return true;
	}
	return false;
}

static void slide(const model *m, diags *d, model_ref part) {
	const model_part *p = &m->parts.v[part];
	const bool *moves = moving_with(m, d, part);
	if (held_fast(m, moves)) {
		tell_fast(m, d, part);
		return;
	}
	rat first = p->slides_by;
	model_ref by = MODEL_NONE, which = part;
	bool open_door = false;
	for (model_ref i = 0; i < m->parts.n; i++) {
		const model_part *o = &m->parts.v[i];
		sweep s;
		bool door = sweep_of(m, i, &s);
		if (moves[i] || o->kind == PART_GAP || (o->kind == PART_DOOR && !door)) continue;
		if (stands_in(m, moves, i)) continue;
		box3 stands = door ? sweep_open_box(&s) : o->box;
		for (model_ref k = 0; k < m->parts.n; k++) {
			if (!moves[k] || m->parts.v[k].kind == PART_GAP) continue;
			rat way = free_way(m->parts.v[k].box, p->slides_to, p->slides_by, stands);
			if (!rat_lt(way, first)) continue;
			first = way;
			by = i;
			which = k;
			open_door = door;
		}
	}
	if (by == MODEL_NONE) return;
	const model_part *o = &m->parts.v[by];
	diag *g = diag_error(d, "slide-blocked", p->slides_at,
			     "%s slides %s to the %s, %s less than it should: %s%s bars %s", p->name,
			     check_length(m, d, first), FACE_NAME[p->slides_to],
			     check_length(m, d, rat_sub(p->slides_by, first)), open_door ? "the open door " : "",
			     o->name, which == part ? "its way" : m->parts.v[which].name);
	diag_add_note(d, g, o->at, "%s is placed here", o->name);
	if (which != part) diag_add_note(d, g, m->parts.v[which].at, "%s moves with it", m->parts.v[which].name);
	diag_add_help(d, g,
		      open_door ? "make it narrower by what the open door takes, or let the door open farther"
				: "move %s out of its way, or let it slide less far",
		      o->name);
}

void check_slide_blocked(const model *m, diags *d) {
	for (model_ref i = 0; i < m->parts.n; i++)
		if (rat_ok(m->parts.v[i].slides_by) && rat_sign(m->parts.v[i].slides_by) > 0) slide(m, d, i);
}
