#include "runtime/engine/mitre.h"

#include <math.h>

static double radians(double deg) { return deg * acos(-1.0) / 180; }

static double across_mm(const model_part *p, int end) {
	return rat_double(box_size(p->box, face_axis(p->mitre[end].point)));
}

double mitre_setback_mm(const model_part *p, int end) {
	double angle = p->mitre[end].angle_deg;
	return angle > 0 ? across_mm(p, end) * tan(radians(angle)) : 0;
}

double mitre_kerf_mm(double angle_deg, double kerf_mm) { return kerf_mm / cos(radians(angle_deg)) - kerf_mm; }

double mitre_share(const model_part *p) {
	double length = rat_double(box_size(p->box, p->long_axis));
	return (mitre_setback_mm(p, 0) + mitre_setback_mm(p, 1)) / 2 / length;
}

/* ---- what is common ------------------------------------------------------------------------------------ */

typedef struct point {
	double u, v;
} point;

/* A convex polygon that is clipped by straight cuts. Each adds at most one corner: 4 and one for each of four ends. */
typedef struct polygon {
	point at[12];
	size_t n;
} polygon;

typedef struct half { /* a u + b v + c >= 0 is kept */
	double a, b, c;
} half;

static double side(const half *h, point p) { return h->a * p.u + h->b * p.v + h->c; }

static void clip(polygon *g, const half *h) {
	polygon out = {.n = 0};
	for (size_t i = 0; i < g->n; i++) {
		point p = g->at[i], q = g->at[(i + 1) % g->n];
		double sp = side(h, p), sq = side(h, q);
		if (sp >= 0) out.at[out.n++] = p;
		if ((sp > 0 && sq < 0) || (sp < 0 && sq > 0)) {
			double t = sp / (sp - sq);
			out.at[out.n++] = (point){p.u + t * (q.u - p.u), p.v + t * (q.v - p.v)};
		}
	}
	*g = out;
}

static double area(const polygon *g) {
	double twice = 0;
	for (size_t i = 0; i < g->n; i++) {
		point p = g->at[i], q = g->at[(i + 1) % g->n];
		twice += p.u * q.v - q.u * p.v;
	}
	return fabs(twice) / 2;
}

/* What an end keeps, in the plane of the axes u and v. */
static bool half_of(const model_part *p, int end, axis u, axis v, half *out) {
	const model_mitre *t = &p->mitre[end];
	axis along = p->long_axis, across = face_axis(t->point);
	if (!(t->angle_deg > 0) || !((along == u && across == v) || (along == v && across == u))) return false;
	double slope = tan(radians(t->angle_deg)), at = rat_double(end ? p->box.hi[along] : p->box.lo[along]);
	double point_at = rat_double(box_face(p->box, t->point)), inward = face_high(t->point) ? -1 : 1;
	double sign = end ? -1 : 1;
	/* sign * (along - at) - slope * inward * (across - point_at) >= 0 */
	double ka = sign, kc = -slope * inward, c = -sign * at + slope * inward * point_at;
	*out = along == u ? (half){ka, kc, c} : (half){kc, ka, c};
	return true;
}

bool mitre_apart(const model_part *a, const model_part *b, box3 common) {
	for (int n = 0; n < 3; n++) {
		axis u = n == 0 ? AXIS_Y : AXIS_X, v = n == 2 ? AXIS_Y : AXIS_Z;
		double u0 = rat_double(common.lo[u]), u1 = rat_double(common.hi[u]);
		double v0 = rat_double(common.lo[v]), v1 = rat_double(common.hi[v]);
		polygon g = {{{u0, v0}, {u1, v0}, {u1, v1}, {u0, v1}}, 4};
		for (int k = 0; k < 4; k++) {
			half h;
			if (half_of(k < 2 ? a : b, k % 2, u, v, &h)) clip(&g, &h);
		}
		if (area(&g) < 0.01 * fmax(u1 - u0, v1 - v0)) return true;
	}
	return false;
}

bool mitre_meets(const model_part *a, const model_part *b, face *end, box3 *contact, double *slant) {
	box3 common;
	if (a->long_axis == b->long_axis || !box_overlap(a->box, b->box) || !box_common(a->box, b->box, &common))
		return false;
	for (int k = 0; k < 4; k++) {
		const model_mitre *ta = &a->mitre[k % 2], *tb = &b->mitre[k / 2];
		face fa = face_of(a->long_axis, k % 2 == 1), fb = face_of(b->long_axis, k / 2 == 1);
		if (!(ta->angle_deg > 0) || !(tb->angle_deg > 0) || ta->point != fb || tb->point != fa) continue;
		bool corner = rat_eq(box_face(a->box, fa), box_face(b->box, fa)) &&
			      rat_eq(box_face(a->box, fb), box_face(b->box, fb));
		if (!corner || fabs(ta->angle_deg + tb->angle_deg - 90) > 0.01) continue;
		axis n = face_axis(fa);
		if (end) *end = fa;
		if (contact) {
			*contact = common;
			contact->lo[n] = contact->hi[n] = rat_half(rat_add(common.lo[n], common.hi[n]));
		}
		if (slant) *slant = 1 / cos(radians(ta->angle_deg));
		return true;
	}
	return false;
}
