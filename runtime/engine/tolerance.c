#include "runtime/engine/tolerance.h"

/* {most, off}, each as numerator and denominator. */
static const tolerance_row MEDIUM[] = {
	{{6, 1}, {1, 10}},   {{30, 1}, {1, 5}},	  {{120, 1}, {3, 10}}, {{400, 1}, {1, 2}},
	{{1000, 1}, {4, 5}}, {{2000, 1}, {6, 5}}, {{4000, 1}, {2, 1}},
};
enum { ROWS = sizeof MEDIUM / sizeof *MEDIUM };

const tolerance_row *tolerance_medium(size_t *n) {
	*n = ROWS;
	return MEDIUM;
}

size_t tolerance_medium_row(rat mm) {
	if (!rat_ok(mm) || rat_lt(mm, rat_of(1, 2))) return ROWS;
	size_t i = 0;
	while (i < ROWS && rat_lt(MEDIUM[i].most, mm)) i++;
	return i;
}
