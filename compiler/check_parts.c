/* Parts: sizes, overlap, contact, doors, weight, standing. */
#include <math.h>
#include <string.h>

#include "compiler/check.h"
#include "compiler/check_limits.h"
#include "compiler/check_util.h"
#include "runtime/base/text.h"
#include "runtime/engine/mitre.h"
#include "runtime/engine/tip.h"

static void part_nothing(const model *m, diags *d) {
	for (size_t i = 0; i < m->parts.n; i++) {
		const model_part *p = &m->parts.v[i];
		for (int n = 0; n < 3; n++) {
			rat size = box_size(p->box, (axis)n);
			bool flat_gap = p->kind == PART_GAP && n == (int)p->thick_axis && rat_sign(size) == 0;
			if (rat_sign(size) > 0 || flat_gap) continue;
			face low = face_of((axis)n, false), high = face_of((axis)n, true);
			diag *g = diag_error(d, "part-nothing", p->at, "%s has a %s of %s", p->name, AXIS_SPOKEN[n],
					     check_length(m, d, size));
			diag_add_note(d, g, p->face_at[low], "its %s face is fixed here", FACE_NAME[low]);
			diag_add_note(d, g, p->face_at[high], "its %s face is fixed here", FACE_NAME[high]);
			diag_add_help(d, g, "the %s face must lie beyond the %s face", FACE_NAME[high], FACE_NAME[low]);
		}
	}
}

static bool is_nothing(const model_part *p) {
	for (int n = 0; n < 3; n++)
		if (rat_sign(box_size(p->box, (axis)n)) <= 0) return true;
	return false;
}

/* A tube, collar or fan may stand in an opening of a sheet: the common volume lies within one opening. */
static bool through_opening(const model *m, model_ref sheet, box3 common) {
	const model_part *p = &m->parts.v[sheet];
	frame fr = frame_of(p->blank, p->work_face);
	feature_outline want = feature_outline_of_box(common, &fr);
	for (size_t i = 0; i < m->features.n; i++) {
		const model_feature *f = &m->features.v[i];
		if (f->part != sheet || f->kind != FEATURE_OPENING || face_axis(f->face) != face_axis(fr.face))
			continue;
		feature_outline o = feature_outline_on(f, &fr);
		rat du = rat_add(rat_abs(rat_sub(o.u, want.u)), want.hu),
		    dv = rat_add(rat_abs(rat_sub(o.v, want.v)), want.hv);
		if (rat_le(du, feature_reach_u(&o)) && rat_le(dv, feature_reach_v(&o))) return true;
	}
	return false;
}

/* Does a halving join the two? Then they stand in the same place on purpose. */
static bool halved(const model *m, model_ref a, model_ref b) {
	for (size_t i = 0; i < m->joints.n; i++) {
		const model_joint *j = &m->joints.v[i];
		if (j->kind == JOINT_HALVING && ((j->a == a && j->b == b) || (j->a == b && j->b == a))) return true;
	}
	return false;
}

/* Is it the part itself or, when that stands in something placed, a thing of the same placed assembly? */
static bool goes_with(const model_part *p, const model_part *q, bool whole) {
	return q == p || (whole && q->placed && text_same(q->placed, p->placed));
}

/* The shortest way along an axis, and which, on which `b` leaves `a`. When only one of the two stands in a placed
 * assembly, or they stand in two, all of these part. */
static rat parting(const model *m, const model_part *a, const model_part *b, axis *along) {
	bool whole = !text_same(a->placed, b->placed);
	rat best = rat_poison();
	for (int f = 0; f < 6; f++) {
		axis n = face_axis((face)f), u = (axis)((n + 1) % 3), v = (axis)((n + 2) % 3);
		rat by = rat_int(0);
		for (size_t i = 0; i < m->parts.n; i++) {
			const model_part *p = &m->parts.v[i];
			if (!check_solid(p) || !goes_with(a, p, whole)) continue;
			for (size_t k = 0; k < m->parts.n; k++) {
				const model_part *q = &m->parts.v[k];
				if (!check_solid(q) || !goes_with(b, q, whole)) continue;
				if (!rat_lt(p->box.lo[u], q->box.hi[u]) || !rat_lt(q->box.lo[u], p->box.hi[u]) ||
				    !rat_lt(p->box.lo[v], q->box.hi[v]) || !rat_lt(q->box.lo[v], p->box.hi[v]))
					continue;
				by = rat_max(by, face_high((face)f) ? rat_sub(p->box.hi[n], q->box.lo[n])
								    : rat_sub(q->box.hi[n], p->box.lo[n]));
			}
		}
		if (rat_ok(best) && !rat_lt(by, best)) continue;
		best = by;
		*along = n;
	}
	return best;
}

static void part_overlap(const model *m, diags *d) {
	for (size_t i = 0; i < m->parts.n; i++) {
		const model_part *a = &m->parts.v[i];
		if (!check_solid(a) || is_nothing(a)) continue;
		for (size_t k = i + 1; k < m->parts.n; k++) {
			const model_part *b = &m->parts.v[k];
			box3 common;
			if (!check_solid(b) || is_nothing(b) || !box_overlap(a->box, b->box)) continue;
			if (!box_common(a->box, b->box, &common)) continue;
			if (halved(m, (model_ref)i, (model_ref)k) || mitre_apart(a, b, common)) continue;
			if (a->kind == PART_ITEM && through_opening(m, (model_ref)k, common)) continue;
			if (b->kind == PART_ITEM && through_opening(m, (model_ref)i, common)) continue;
			/* Of two placed assemblies, or of one and what is not in it, the place is to blame, not their
			 * parts. */
			bool apart = !text_same(a->placed, b->placed);
			span at = apart && b->placed ? b->placed_at : apart && a->placed ? a->placed_at : b->at;
			diag *g = diag_error(d, "part-overlap", at,
					     "%s stands %s (width), %s (depth), %s (height) inside %s", b->name,
					     check_length(m, d, box_size(common, AXIS_X)),
					     check_length(m, d, box_size(common, AXIS_Y)),
					     check_length(m, d, box_size(common, AXIS_Z)), a->name);
			diag_add_note(d, g, a->at, "%s is placed here", a->name);
			axis along = AXIS_X;
			rat by = parting(m, a, b, &along);
			diag_add_help(d, g, "moving one of them by %s along the %s parts them", check_length(m, d, by),
				      AXIS_SPOKEN[along]);
		}
	}
}

/* ---- contact ------------------------------------------------------------------------------- */

/* Does tape between the two hold them apart, and together? */
static bool taped(const model *m, const model_part *a, const model_part *b) {
	for (size_t i = 0; i < m->gaskets.n; i++) {
		const model_joint *j = &m->joints.v[m->gaskets.v[i].joint];
		const model_part *x = &m->parts.v[j->a], *y = &m->parts.v[j->b];
		if ((x == a && y == b) || (x == b && y == a)) return true;
	}
	return false;
}

/* A part that is made, does not lift out, is no door, and is in no joint: part-unjoined tells of it. */
static bool unjoined(const model *m, size_t part) {
	const model_part *p = &m->parts.v[part];
	if (m->joints.n == 0 || !model_part_made(m, p) || p->loose || p->kind == PART_DOOR) return false;
	for (size_t k = 0; k < m->joints.n; k++)
		if (m->parts.v[m->joints.v[k].a].group_first == p->group_first ||
		    m->parts.v[m->joints.v[k].b].group_first == p->group_first)
			return false;
	return true;
}

/* How two parts hold on to each other. */
typedef enum tie { TIE_NONE, TIE_FIRM, TIE_ON, TIE_UNDER } tie;

/* Firm: they overlap, are taped, stand side by side, or one is a door within reach of the other. What lies on another
 * is borne by it, but does not hold it up. */
static tie tie_of(const model *m, const model_part *a, const model_part *b, rat reach) {
	face f;
	box3 rect;
	if (box_overlap(a->box, b->box) || box_overlap(a->blank, b->blank) || taped(m, a, b)) return TIE_FIRM;
	if (box_touch(a->box, b->box, &f, &rect))
		return face_axis(f) != AXIS_Z ? TIE_FIRM : f == FACE_BOTTOM ? TIE_ON : TIE_UNDER;
	if (a->kind != PART_DOOR && b->kind != PART_DOOR) return TIE_NONE;
	for (int n = 0; n < 3; n++)
		if (rat_lt(reach, box_distance_axis(a->box, b->box, (axis)n))) return TIE_NONE;
	return TIE_FIRM;
}

static size_t root(size_t *up, size_t i) {
	while (up[i] != i) i = up[i] = up[up[i]];
	return i;
}

static void unite(size_t *up, size_t i, size_t k) {
	size_t a = root(up, i), b = root(up, k);
	if (a != b) up[a > b ? a : b] = a > b ? b : a;
}

typedef struct rest { /* a part that lies on another */
	size_t upper, lower;
} rest;

typedef struct ties {
	size_t n;      /* parts */
	size_t *touch; /* [n] up to the first of all that hold on to one another in any way */
	size_t *firm;  /* [n] the same by firm ties and joints alone */
	LIST(rest) rests;
	size_t largest;	   /* root by touch of most parts; n for none */
	size_t *size;	   /* [n] parts of a root by touch */
	size_t *firm_size; /* [n] of one by firm */
	bool *held;	   /* [n] root by firm: of the largest, on the floor, or on what is held */
} ties;

static size_t largest_of(const model *m, size_t *up, size_t *size) {
	size_t best = m->parts.n;
	for (size_t i = 0; i < m->parts.n; i++) {
		if (!check_solid(&m->parts.v[i])) continue;
		size_t r = root(up, i);
		size[r]++;
		if (best == m->parts.n || size[r] > size[best]) best = r;
	}
	return best;
}

static ties ties_make(const model *m, diags *d) {
	size_t n = m->parts.n;
	ties t = {.n = n};
	rat reach = check_limit(m, "part-floating");
	t.touch = ARENA_MANY(d->mem, size_t, n + 1);
	t.firm = ARENA_MANY(d->mem, size_t, n + 1);
	t.size = ARENA_MANY(d->mem, size_t, n + 1);
	t.firm_size = ARENA_MANY(d->mem, size_t, n + 1);
	t.held = ARENA_MANY(d->mem, bool, n + 1);
	for (size_t i = 0; i < n; i++) t.touch[i] = t.firm[i] = i;
	for (size_t i = 0; i < n; i++)
		for (size_t k = i + 1; k < n; k++) {
			const model_part *a = &m->parts.v[i], *b = &m->parts.v[k];
			tie how = check_solid(a) && check_solid(b) ? tie_of(m, a, b, reach) : TIE_NONE;
			if (how == TIE_NONE) continue;
			unite(t.touch, i, k);
			if (how == TIE_FIRM) unite(t.firm, i, k);
			if (how == TIE_ON) LIST_PUSH(d->mem, &t.rests, ((rest){i, k}));
			if (how == TIE_UNDER) LIST_PUSH(d->mem, &t.rests, ((rest){k, i}));
		}
	for (size_t j = 0; j < m->joints.n; j++) unite(t.firm, m->joints.v[j].a, m->joints.v[j].b);
	t.largest = largest_of(m, t.touch, t.size);
	size_t most = largest_of(m, t.firm, t.firm_size);
	for (size_t i = 0; i < n; i++)
		if (root(t.firm, i) == most ||
		    (check_solid(&m->parts.v[i]) && rat_eq(m->parts.v[i].box.lo[AXIS_Z], m->bounds.lo[AXIS_Z])))
			t.held[root(t.firm, i)] = true;
	for (bool more = true; more;) {
		more = false;
		for (size_t i = 0; i < t.rests.n; i++) {
			size_t upper = root(t.firm, t.rests.v[i].upper);
			if (t.held[upper] || !t.held[root(t.firm, t.rests.v[i].lower)]) continue;
			t.held[upper] = more = true;
		}
	}
	return t;
}

static void touches_nothing(const model *m, diags *d, ties *t, size_t i) {
	const model_part *p = &m->parts.v[i];
	rat near = rat_poison();
	size_t at = i;
	for (size_t k = 0; k < t->n; k++) {
		if (k == i || !check_solid(&m->parts.v[k]) || root(t->touch, k) == i) continue;
		rat far = rat_int(0);
		for (int x = 0; x < 3; x++) far = rat_max(far, box_distance_axis(p->box, m->parts.v[k].box, (axis)x));
		if (rat_ok(near) && !rat_lt(far, near)) continue;
		near = far;
		at = k;
	}
	diag *g = t->size[i] > 1 ? diag_warning(d, "part-floating", p->at,
						"%s and %zu more hold together but touch nothing else", p->name,
						t->size[i] - 1)
				 : diag_warning(d, "part-floating", p->at, "%s touches nothing", p->name);
	if (at != i)
		diag_add_note(d, g, m->parts.v[at].at, "the nearest part, %s, is %s away", m->parts.v[at].name,
			      check_length(m, d, near));
	diag_add_help(d, g, "place it against something, or join it");
}

/* It touches the rest, but from below alone. A bought thing has clips or feet of its own. */
static void hangs(const model *m, diags *d, ties *t, size_t i) {
	const model_part *above = NULL, *p = &m->parts.v[i];
	bool made = false;
	for (size_t k = 0; k < t->n; k++) made = made || (root(t->firm, k) == i && model_part_made(m, &m->parts.v[k]));
	if (!made) return;
	for (size_t k = 0; k < t->rests.n; k++) {
		if (root(t->firm, t->rests.v[k].upper) == i) return; /* told of what it lies on */
		if (root(t->firm, t->rests.v[k].lower) == i && !above) above = &m->parts.v[t->rests.v[k].upper];
	}
	if (!above) return;
	diag *g = t->firm_size[i] > 1
			  ? diag_warning(d, "part-floating", p->at,
					 "nothing holds %s and %zu more up: they only touch what lies above them",
					 p->name, t->firm_size[i] - 1)
			  : diag_warning(d, "part-floating", p->at,
					 "nothing holds %s up: it only touches what lies above it", p->name);
	diag_add_note(d, g, above->at, "it touches %s from below", above->name);
	diag_add_help(d, g, "join it to %s, or place it on something", above->name);
}

static void part_floating(const model *m, diags *d) {
	ties t = ties_make(m, d);
	for (size_t i = 0; i < t.n; i++) {
		if (!check_solid(&m->parts.v[i])) continue;
		size_t all = root(t.touch, i);
		if (all != t.largest && all == i) touches_nothing(m, d, &t, i);
		if (all == t.largest && root(t.firm, i) == i && !t.held[i] && !unjoined(m, i)) hangs(m, d, &t, i);
	}
}

/* ---- doors --------------------------------------------------------------------------------- */

/* Do the two stand beside each other along `n`: their extents along the other axes overlap? */
static bool beside(box3 a, box3 b, axis n) {
	for (int i = 0; i < 3; i++)
		if (i != (int)n && (!rat_lt(a.lo[i], b.hi[i]) || !rat_lt(b.lo[i], a.hi[i]))) return false;
	return true;
}

/* Then its place is wrong, which part-overlap tells: its gaps will be others. */
static bool stands_in_another(const model *m, size_t part) {
	for (size_t k = 0; k < m->parts.n; k++)
		if (k != part && check_solid(&m->parts.v[k]) && box_overlap(m->parts.v[k].box, m->parts.v[part].box))
			return true;
	return false;
}

static void door_clearance(const model *m, diags *d) {
	rat least = check_limit(m, "door-clearance");
	for (size_t i = 0; i < m->parts.n; i++) {
		const model_part *door = &m->parts.v[i];
		if (door->kind != PART_DOOR || stands_in_another(m, i)) continue;
		for (size_t k = 0; k < m->parts.n; k++) {
			const model_part *p = &m->parts.v[k];
			if (k == i || !check_solid(p) || (p->kind == PART_DOOR && k < i)) continue;
			for (int n = 0; n < 3; n++) {
				if (n == (int)door->thick_axis || !beside(door->box, p->box, (axis)n)) continue;
				rat gap = rat_max(rat_sub(p->box.lo[n], door->box.hi[n]),
						  rat_sub(door->box.lo[n], p->box.hi[n]));
				if (!rat_lt(gap, least)) continue;
				face side = face_of((axis)n, rat_le(door->box.hi[n], p->box.lo[n]));
				if (rat_sign(gap) < 0) continue; /* lies on it */
				diag *g = diag_warning(d, "door-clearance", door->at,
						       "%s has %s to %s at its %s side, %s less than it needs",
						       door->name, check_length(m, d, gap), p->name, FACE_NAME[side],
						       check_length(m, d, rat_sub(least, gap)));
				diag_add_note(d, g, p->at, "%s stands here", p->name);
				diag_add_note(d, g, door->face_at[side], "the door's %s side is fixed here",
					      FACE_NAME[side]);
				diag_add_help(d, g, "leave %s all round the door", check_length(m, d, least));
			}
		}
	}
}

/* ---- weight -------------------------------------------------------------------------------- */

static const char *mass(const model *m, diags *d, double kg) {
	return quant_show_si(d->mem, DIM_MASS, kg, m->measures);
}

static void part_heavy(const model *m, diags *d) {
	double heavy_kg = check_limit_si(m, "part-heavy");
	for (size_t i = 0; i < m->parts.n; i++) {
		const model_part *p = &m->parts.v[i];
		if (!(p->mass_kg > heavy_kg) || (p->group_first != i && p->group_first < m->parts.n)) continue;
		diag *g = diag_warning(d, "part-heavy", p->at, "%s weighs %s, %s more than one person should lift",
				       p->name, mass(m, d, p->mass_kg), mass(m, d, p->mass_kg - heavy_kg));
		if (p->stock != MODEL_NONE)
			diag_add_note(d, g, m->stocks.v[p->stock].at, "of this stock: %s", m->stocks.v[p->stock].label);
		diag_add_help(d, g, "say in a step that a helper lifts it, or divide it");
	}
}

static void tip_over(const model *m, diags *d) {
	tip t = tip_of(m);
	double limit = check_limit_si(m, "tip-over");
	if (!t.known || t.degrees >= limit) return;
	diag *g = t.degrees > 0
			  ? diag_warning(d, "tip-over", m->title_at,
					 "it falls to the %s when it is tilted by %s degrees, %s less than %s",
					 FACE_NAME[t.to], check_number(d, t.degrees, 1),
					 check_number(d, limit - t.degrees, 1), quant_show_number(d->mem, limit, 1))
			  : diag_warning(d, "tip-over", m->title_at, "it does not stand: it falls to the %s by itself",
					 FACE_NAME[t.to]);
	diag_add_note(d, g, span_none(),
		      "its centre of mass lies %s above the floor, %s %s the edge of what it stands on",
		      check_length(m, d, check_rounded(t.height_mm, 1)),
		      check_length(m, d, check_rounded(fabs(t.inside_mm), 1)), t.inside_mm > 0 ? "inside" : "beyond");
	diag_add_help(d, g, "a broader foot, a lower heavy part, or fixing it to a wall");
}

/* Whether a line of the plan could not be understood: it may have been the joint that is missed. */
static bool lines_lost(const diags *d) {
	for (size_t i = 0; i < d->all.n; i++)
		if (d->all.v[i]->severity == DIAG_ERROR && strncmp(d->all.v[i]->rule, "plan-", 5) == 0) return true;
	return false;
}

/* What only touches its neighbours stays where it is as long as nobody moves the bench. */
static void part_unjoined(const model *m, diags *d) {
	if (lines_lost(d)) return;
	for (size_t i = 0; i < m->parts.n; i++) {
		const model_part *p = &m->parts.v[i];
		if (p->number > 1 || !unjoined(m, i)) continue;
		diag *g = diag_warning(d, "part-unjoined", p->at,
				       "nothing holds %s: it is in no joint, and does not lift out", p->group);
		for (size_t k = 0; k < m->parts.n; k++) {
			face f;
			box3 rect;
			const model_part *o = &m->parts.v[k];
			if (o->kind == PART_GAP || o->group_first == p->group_first ||
			    !box_touch(p->box, o->box, &f, &rect))
				continue;
			diag_add_note(d, g, o->at, "it touches %s here", o->name);
			break;
		}
		diag_add_help(d, g, "join it, or say that it is `loose`");
	}
}

const check_rule CHECK_PARTS[] = {
	{"part-unjoined", DIAG_WARNING, "A joint holds every part that is made, does not lift out and is no door.",
	 "common practice, no source", part_unjoined},
	{"part-nothing", DIAG_ERROR, "Every part has a size above zero in width, depth and height.", "geometry",
	 part_nothing},
	{"part-overlap", DIAG_ERROR, "No two parts stand in the same place.", "geometry", part_overlap},
	{"part-floating", DIAG_WARNING, "Every part touches the rest, and lies on something or is joined.", "geometry",
	 part_floating},
	{"door-clearance", DIAG_WARNING, "A door has a gap to what stands beside it.", "common practice, no source",
	 door_clearance},
	{"part-heavy", DIAG_WARNING, "No part is heavier than one person lifts.",
	 "NIOSH lifting equation, load constant (publication 94-110)", part_heavy},
	{"tip-over", DIAG_WARNING, "It can be tilted in every direction before it falls.",
	 "the tilt of the stability clause of household appliance standards (from memory)", tip_over},
};
const size_t N_CHECK_PARTS = sizeof CHECK_PARTS / sizeof *CHECK_PARTS;
