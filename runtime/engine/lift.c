#include "runtime/engine/lift.h"

#include <math.h>

double lift_limit_kg(lift l) {
	double h = fmax(l.out_cm, 25), d = fmax(l.travel_cm, 25);
	if (!(h <= 63) || !(d <= 175) || !(l.from_cm >= 0 && l.from_cm <= 175)) return 0;
	return LIFT_LOAD_CONSTANT_KG * (25 / h) * (1 - 0.003 * fabs(l.from_cm - 75)) * (0.82 + 4.5 / d) * l.coupling;
}

uint32_t lift_helpers(double mass_kg) {
	if (!isfinite(mass_kg) || mass_kg <= LIFT_LOAD_CONSTANT_KG) return 0;
	double people = ceil(mass_kg / LIFT_LOAD_CONSTANT_KG);
	return people > 1000 ? 999 : (uint32_t)people - 1;
}
