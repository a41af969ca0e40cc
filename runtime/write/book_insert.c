/* The way in which a new part of a step comes to its place: a straight move that nothing standing is in the way of. */
#include <math.h>

#include "runtime/engine/joint.h"
#include "runtime/write/book_build.h"

typedef struct solid {
	double lo[3], hi[3];
} solid;

static solid solid_of(const box3 *b) {
	solid s;
	for (int a = 0; a < 3; a++) s.lo[a] = rat_double(b->lo[a]), s.hi[a] = rat_double(b->hi[a]);
	return s;
}

static const double TINY = 0.05; /* mm that two boxes may share without being in each other's way */

static bool share(const solid *a, const solid *b) {
	for (int i = 0; i < 3; i++)
		if (a->hi[i] <= b->lo[i] + TINY || b->hi[i] <= a->lo[i] + TINY) return false;
	return true;
}

/* A tongue in its dado or rabbet: out along the groove, or at an end where nothing of the other part lies before it. */
static bool leaves_groove(const solid *a, const solid *other, int thick, int along, bool high) {
	int into = -1;
	double least = INFINITY;
	for (int i = 0; i < 3; i++) {
		double common = fmin(a->hi[i], other->hi[i]) - fmax(a->lo[i], other->lo[i]);
		if (common < least) least = common, into = i;
	}
	if (along != thick && along != into) return true;
	return high ? a->hi[along] >= other->hi[along] - TINY : a->lo[along] <= other->lo[along] + TINY;
}

/* The joint that cuts for the two, or NULL. */
static const model_joint *cut_between(const model *m, model_ref p, model_ref q) {
	for (size_t i = 0; i < m->joints.n; i++) {
		const model_joint *j = &m->joints.v[i];
		if (joint_cuts(j->kind) && ((j->a == p && j->b == q) || (j->a == q && j->b == p))) return j;
	}
	return NULL;
}

static bool free_way(const book *b, model_ref part, const bool *stands, int along, bool high) {
	const model *m = b->m;
	const solid a = solid_of(&m->parts.v[part].blank);
	solid swept = a;
	*(high ? &swept.hi[along] : &swept.lo[along]) = high ? INFINITY : -INFINITY;
	for (model_ref i = 0; i < m->parts.n; i++) {
		if (!stands[i] || i == part || m->parts.v[i].kind == PART_GAP) continue;
		const solid other = solid_of(&m->parts.v[i].box);
		const model_joint *j = cut_between(m, part, i);
		if (j) {
			face out = face_of((axis)along, high);
			if (joint_bars(m, j, j->a == part ? out : face_opposite(out))) return false;
		} else if (share(&a, &other)) {
			if (!leaves_groove(&a, &other, (int)m->parts.v[part].thick_axis, along, high)) return false;
		} else if (share(&swept, &other)) {
			return false;
		}
	}
	return true;
}

/* How much of what stands the part's face touches, mm2. */
static double contact(const book *b, model_ref part, const bool *stands, face f) {
	const solid a = solid_of(&b->m->parts.v[part].box);
	const int along = (int)face_axis(f), u = (along + 1) % 3, v = (along + 2) % 3;
	double sum = 0;
	for (model_ref i = 0; i < b->m->parts.n; i++) {
		if (!stands[i] || i == part || b->m->parts.v[i].kind == PART_GAP) continue;
		const solid o = solid_of(&b->m->parts.v[i].box);
		double apart = face_high(f) ? o.lo[along] - a.hi[along] : a.lo[along] - o.hi[along];
		double wide = fmin(a.hi[u], o.hi[u]) - fmax(a.lo[u], o.lo[u]),
		       high = fmin(a.hi[v], o.hi[v]) - fmax(a.lo[v], o.lo[v]);
		if (fabs(apart) <= TINY && wide > 0 && high > 0) sum += wide * high;
	}
	return sum;
}

/* The face of a bought item that touches most, or -1. */
static int seat(const book *b, model_ref part, const bool *stands) {
	double most = 0;
	int best = -1;
	for (int f = 0; f < 6 && b->m->parts.v[part].kind == PART_ITEM; f++) {
		double c = contact(b, part, stands, (face)f);
		if (c > most) most = c, best = f;
	}
	return best;
}

/* Through the sheet first, or straight from what it sits on, then the shortest way out. */
static double dearness(const book *b, model_ref part, int seat_face, int along, bool high) {
	const model_part *p = &b->m->parts.v[part];
	const solid a = solid_of(&p->box), all = solid_of(&b->m->bounds);
	double out = high ? all.hi[along] - a.lo[along] : a.hi[along] - all.lo[along];
	bool through =
		p->kind == PART_ITEM ? seat_face == (int)face_of((axis)along, !high) : along == (int)p->thick_axis;
	return out + (through ? 0 : 1e5);
}

bool book_way_in(const book *b, model_ref part, const bool *stands, double offset[3]) {
	const double shown = 0.3; /* of the whole's size in that direction */
	double best = INFINITY;
	int way = -1, on = seat(b, part, stands);
	for (int k = 0; k < 6; k++) {
		double cost = dearness(b, part, on, k / 2, k % 2);
		if (cost < best && free_way(b, part, stands, k / 2, k % 2)) best = cost, way = k;
	}
	for (int i = 0; i < 3; i++) offset[i] = 0;
	if (way < 0) return false;
	double size = rat_double(box_size(b->m->bounds, (axis)(way / 2)));
	offset[way / 2] = (way % 2 ? 1 : -1) * shown * size;
	return true;
}
