#include "runtime/engine/tip.h"

#include <math.h>

static bool stands(const model_part *p) {
	if (p->kind == PART_GAP) return false;
	for (int n = 0; n < 3; n++)
		if (rat_sign(box_size(p->box, (axis)n)) <= 0) return false;
	return true;
}

/* Mass and its centre; the floor at the lowest part. */
static double centre_of(const model *m, double at[3], rat *ground) {
	double sum = 0;
	*ground = rat_poison();
	for (size_t i = 0; i < m->parts.n; i++) {
		const model_part *p = &m->parts.v[i];
		if (!stands(p)) continue;
		if (!rat_ok(*ground) || rat_lt(p->box.lo[2], *ground)) *ground = p->box.lo[2];
		if (!(p->mass_kg > 0)) continue;
		sum += p->mass_kg;
		for (int n = 0; n < 3; n++)
			at[n] += p->mass_kg * (rat_double(p->box.lo[n]) + rat_double(p->box.hi[n])) / 2;
	}
	for (int n = 0; n < 3; n++) at[n] /= sum;
	return sum;
}

tip tip_of(const model *m) {
	double at[3] = {0, 0, 0}, lo[2] = {INFINITY, INFINITY}, hi[2] = {-INFINITY, -INFINITY};
	rat ground;
	if (!(centre_of(m, at, &ground) > 0)) return (tip){.known = false};
	for (size_t i = 0; i < m->parts.n; i++) {
		const model_part *p = &m->parts.v[i];
		if (!stands(p) || !rat_eq(p->box.lo[2], ground)) continue;
		for (int n = 0; n < 2; n++) {
			lo[n] = fmin(lo[n], rat_double(p->box.lo[n]));
			hi[n] = fmax(hi[n], rat_double(p->box.hi[n]));
		}
	}
	tip t = {.height_mm = at[2] - rat_double(ground), .inside_mm = INFINITY};
	for (int n = 0; n < 2; n++)
		for (int high = 0; high < 2; high++) {
			double base = high ? hi[n] - at[n] : at[n] - lo[n];
			if (base >= t.inside_mm) continue;
			t.inside_mm = base;
			t.to = face_of((axis)n, high);
		}
	t.known = t.height_mm > 0 && isfinite(t.inside_mm);
	t.degrees = atan2(t.inside_mm, t.height_mm) * 180 / acos(-1.0);
	return t;
}
