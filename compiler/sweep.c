#include "compiler/sweep.h"

#include <math.h>

/* What stands nearer than this is not met: rounding. */
static const double TOUCH_MM = 0.05;

static double mm(rat r) { return rat_double(r); }

/* What lies before a door on either side, within its frame: the volume of the parts, so far about it. */
static const double FRAME_MM = 30;

static double volume_before(const model *m, model_ref door, axis out, bool high) {
	const box3 *b = &m->parts.v[door].box;
	double sum = 0;
	for (model_ref i = 0; i < m->parts.n; i++) {
		const model_part *p = &m->parts.v[i];
		if (i == door || p->kind == PART_GAP || p->kind == PART_DOOR) continue;
		double volume = 1;
		for (int a = 0; a < 3; a++) {
			double lo = mm(b->lo[a]) - FRAME_MM, hi = mm(b->hi[a]) + FRAME_MM;
			if (a == (int)out) {
				lo = high ? mm(b->hi[a]) : -INFINITY;
				hi = high ? INFINITY : mm(b->lo[a]);
			}
			volume *= fmax(fmin(hi, mm(p->box.hi[a])) - fmax(lo, mm(p->box.lo[a])), 0);
		}
		sum += volume;
	}
	return sum;
}

bool sweep_of(const model *m, model_ref part, sweep *s) {
	const model_part *p = &m->parts.v[part];
	if (p->kind != PART_DOOR || !p->hinged || face_axis(p->hinge_side) == p->thick_axis) return false;
	*s = (sweep){.door = part, .across = face_axis(p->hinge_side), .out = p->thick_axis, .degrees = p->opens_deg};
	s->line = (axis)(3 - (int)s->across - (int)s->out);
	s->across_high = !face_high(p->hinge_side);
	s->out_high = volume_before(m, part, s->out, true) < volume_before(m, part, s->out, false);
	s->hinge[s->line] = p->box.lo[s->line];
	s->hinge[s->across] = box_face(p->box, p->hinge_side);
	s->hinge[s->out] = box_face(p->box, face_of(s->out, s->out_high));
	s->lo = p->box.lo[s->line];
	s->hi = p->box.hi[s->line];
	s->wide = mm(box_size(p->box, s->across));
	s->thick = mm(box_size(p->box, s->out));
	return true;
}

typedef struct flat { /* a rectangle in the plane of turning: a over the closed door, n outwards, from the hinge */
	double a0, a1, n0, n1;
} flat;

static flat flat_of(const sweep *s, const box3 *b) {
	double a = mm(b->lo[s->across]) - mm(s->hinge[s->across]),
	       a_hi = mm(b->hi[s->across]) - mm(s->hinge[s->across]);
	double n = mm(b->lo[s->out]) - mm(s->hinge[s->out]), n_hi = mm(b->hi[s->out]) - mm(s->hinge[s->out]);
	return (flat){s->across_high ? a : -a_hi, s->across_high ? a_hi : -a, s->out_high ? n : -n_hi,
		      s->out_high ? n_hi : -n};
}

/* The door turned by an angle: it lies from 0 to wide along u and from -thick to 0 along v. */
static bool meets(const sweep *s, const flat *b, double deg) {
	double c = cos(deg * acos(-1) / 180), e = sin(deg * acos(-1) / 180), t = s->thick, w = s->wide;
	double ca[4] = {0, w * c, w * c + t * e, t * e}, cn[4] = {0, w * e, w * e - t * c, -t * c};
	double lo[2] = {ca[0], cn[0]}, hi[2] = {ca[0], cn[0]};
	for (int i = 1; i < 4; i++) {
		lo[0] = fmin(lo[0], ca[i]), hi[0] = fmax(hi[0], ca[i]);
		lo[1] = fmin(lo[1], cn[i]), hi[1] = fmax(hi[1], cn[i]);
	}
	if (lo[0] > b->a1 - TOUCH_MM || hi[0] < b->a0 + TOUCH_MM || lo[1] > b->n1 - TOUCH_MM ||
	    hi[1] < b->n0 + TOUCH_MM)
		return false;
	double u0 = INFINITY, u1 = -INFINITY, v0 = INFINITY, v1 = -INFINITY;
	for (int i = 0; i < 4; i++) {
		double a = i & 1 ? b->a1 : b->a0, n = i & 2 ? b->n1 : b->n0, u = a * c + n * e, v = n * c - a * e;
		u0 = fmin(u0, u), u1 = fmax(u1, u);
		v0 = fmin(v0, v), v1 = fmax(v1, v);
	}
	return u0 < w - TOUCH_MM && u1 > TOUCH_MM && v0 < -TOUCH_MM && v1 > TOUCH_MM - t;
}

double sweep_until(const sweep *s, const box3 *b) {
	if (!rat_lt(s->lo, b->hi[s->line]) || !rat_lt(b->lo[s->line], s->hi)) return s->degrees;
	flat f = flat_of(s, b);
	for (double deg = 1; deg < s->degrees; deg++)
		if (meets(s, &f, deg)) return deg - 1;
	return meets(s, &f, s->degrees) ? ceil(s->degrees) - 1 : s->degrees;
}

box3 sweep_open_box(const sweep *s) {
	double c = cos(s->degrees * acos(-1) / 180), e = sin(s->degrees * acos(-1) / 180), t = s->thick, w = s->wide;
	double a[4] = {0, w * c, w * c + t * e, t * e}, n[4] = {0, w * e, w * e - t * c, -t * c};
	double a0 = 0, a1 = 0, n0 = 0, n1 = 0;
	for (int i = 0; i < 4; i++) {
		a0 = fmin(a0, a[i]), a1 = fmax(a1, a[i]);
		n0 = fmin(n0, n[i]), n1 = fmax(n1, n[i]);
	}
	box3 b;
	rat lo = rat_from_double(s->across_high ? a0 : -a1, 1000),
	    hi = rat_from_double(s->across_high ? a1 : -a0, 1000);
	b.lo[s->across] = rat_add(s->hinge[s->across], lo);
	b.hi[s->across] = rat_add(s->hinge[s->across], hi);
	lo = rat_from_double(s->out_high ? n0 : -n1, 1000), hi = rat_from_double(s->out_high ? n1 : -n0, 1000);
	b.lo[s->out] = rat_add(s->hinge[s->out], lo);
	b.hi[s->out] = rat_add(s->hinge[s->out], hi);
	b.lo[s->line] = s->lo;
	b.hi[s->line] = s->hi;
	return b;
}
