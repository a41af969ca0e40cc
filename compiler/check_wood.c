/* Wood: how it moves with moisture, and which way its grain runs. */
#include <math.h>

#include "compiler/check_limits.h"
#include "compiler/check_use.h"
#include "compiler/check_util.h"
#include "runtime/engine/beam.h"

static double mm(rat r) { return rat_double(r); }

static const char *length(const model *m, diags *d, double v_mm) {
	return check_length(m, d, check_rounded(v_mm, 100));
}

/* Change across the grain for each percent of moisture; 0 for what does not move. */
static double movement(const model *m, const model_part *p) {
	double c = p->stock < m->stocks.n ? m->stocks.v[p->stock].movement.v : 0;
	return c > 0 ? c : 0;
}

static double most_mm(const model *m) { return rat_double(check_limit(m, "wood-moves")); }

static axis grain_of(const model *m, const model_part *p) {
	return model_by_length(m->stocks.v[p->stock].kind) ? p->long_axis : p->grain_axis;
}

/* How much a part changes along an axis, per millimetre, from the driest to the dampest. */
static double strain(const model *m, const model_part *p, axis a) {
	double c = movement(m, p);
	return c > 0 && grain_of(m, p) != a ? beam_movement(1, c, m->moisture_hi - m->moisture_lo) : 0;
}

static void note_moisture(const model *m, diags *d, diag *g) {
	diag_add_note(d, g, m->moisture_at, "its moisture goes from %s to %s %%",
		      quant_show_number(d->mem, m->moisture_lo, 1), quant_show_number(d->mem, m->moisture_hi, 1));
}

/* Two that are glued together where one moves and the other does not. */
static void glued_across(const model *m, diags *d, const model_joint *j) {
	const model_part *a = &m->parts.v[j->a], *b = &m->parts.v[j->b];
	for (int n = 0; n < 3 && j->glue; n++) {
		double wide = mm(box_size(j->contact, (axis)n)), ea = strain(m, a, (axis)n), eb = strain(m, b, (axis)n);
		double moves = fabs(ea - eb) * wide;
		if (!(moves > most_mm(m))) continue;
		const model_part *p = ea > eb ? a : b, *o = ea > eb ? b : a;
		diag *g = diag_warning(d, "wood-moves", j->at,
				       "%s moves %s across its grain where it is glued to %s, %s more "
				       "than %s",
				       p->name, length(m, d, moves), o->name, length(m, d, moves - most_mm(m)),
				       length(m, d, most_mm(m)));
		diag_add_note(d, g, p->at, "%s is glued over %s of its breadth", p->name, length(m, d, wide));
		note_moisture(m, d, g);
		diag_add_help(d, g,
			      "glue no more than %s of it and screw the rest through slotted holes, or leave the "
			      "glue out",
			      length(m, d, floor(wide * most_mm(m) / moves)));
	}
}

static const model_joint *joint_at(const model *m, model_ref part, face f) {
	for (size_t i = 0; i < m->joints.n; i++) {
		const model_joint *j = &m->joints.v[i];
		if (j->a == part && j->face_a == f) return j;
		if (j->b == part && face_opposite(j->face_a) == f) return j;
	}
	return NULL;
}

/* What a joint leaves a part to move in: the room at the bottom of its cut, when nothing fastens it there. */
static double room_of(const model_joint *j) {
	bool free = !j->glue && j->n_screws == 0 && rat_ok(j->room.mm);
	return free && rat_sign(j->room.mm) > 0 ? mm(j->room.mm) : 0;
}

/* One that is held at both ends across its grain: swelling, it drives them apart; shrinking, it splits. */
static void held_between(const model *m, diags *d, model_ref part) {
	const model_part *p = &m->parts.v[part];
	for (int n = 0; n < 3; n++) {
		if (n == (int)p->thick_axis) continue;
		const model_joint *low = joint_at(m, part, face_of((axis)n, false)),
				  *high = joint_at(m, part, face_of((axis)n, true));
		if (!low || !high) continue;
		double moves = strain(m, p, (axis)n) * mm(box_size(p->box, (axis)n)), most = most_mm(m),
		       room = room_of(low) + room_of(high);
		if (!(moves - room > most)) continue;
		const char *has = room > 0 ? arena_printf(d->mem, " with %s of room", length(m, d, room)) : "";
		diag *g = diag_warning(d, "wood-moves", p->at,
				       "%s moves %s along its %s and is held at both ends%s, %s more than %s", p->name,
				       length(m, d, moves), AXIS_SPOKEN[n], has, length(m, d, moves - room - most),
				       length(m, d, most));
		diag_add_note(d, g, low->at, "held here, by %s", low->name);
		if (high->at.start != low->at.start) diag_add_note(d, g, high->at, "and here, by %s", high->name);
		note_moisture(m, d, g);
		diag_add_help(d, g,
			      "let its grain run along its %s, leave it %s of room in grooves without glue, or take "
			      "plywood",
			      AXIS_SPOKEN[n], length(m, d, moves));
	}
}

void check_wood_moves(const model *m, diags *d) {
	for (size_t i = 0; i < m->joints.n; i++) glued_across(m, d, &m->joints.v[i]);
	for (model_ref i = 0; i < m->parts.n; i++)
		if (movement(m, &m->parts.v[i]) > 0) held_between(m, d, i);
}

void check_grain_short(const model *m, diags *d) {
	for (model_ref i = 0; i < m->parts.n; i++) {
		const model_part *p = &m->parts.v[i];
		if (!model_part_made(m, p) || !p->grain_matters || p->stock >= m->stocks.n || p->number > 1) continue;
		if (m->stocks.v[p->stock].kind != STOCK_SHEET) continue;
		axis other = (axis)(3 - (int)p->thick_axis - (int)p->grain_axis);
		rat along = box_size(p->blank, p->grain_axis), across = box_size(p->blank, other);
		bool bears = p->thick_axis == AXIS_Z &&
			     (p->carries_kg > 0 || p->carries_kg_m2 > 0 || p->carries_middle_kg > 0);
		if (!rat_lt(along, across) || (!bears && rat_lt(across, rat_mul(along, check_limit(m, "grain-short")))))
			continue;
		diag *g = diag_warning(d, "grain-short", p->at,
				       "the grain of %s runs %s along its %s; the part is %s the other way, and %s",
				       p->group, check_length(m, d, along), AXIS_SPOKEN[p->grain_axis],
				       check_length(m, d, across), bears ? "carries" : "long for that");
		diag_add_note(d, g, m->stocks.v[p->stock].at, "`%s` has a grain", m->stocks.v[p->stock].name);
		diag_add_help(d, g, "write `grain %s`, or `grain any` where it does not matter", AXIS_SPOKEN[other]);
	}
}
