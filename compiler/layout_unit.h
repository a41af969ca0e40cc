/* What layouts of sheets, bars and rolls share: the common unit of a stock's lengths, in whole numbers of which the
 * engines work; messages; cuts on their way back into the model.
 * Ownership: what is set in the model and the diagnostics lives in the model's arena. */
#ifndef COMPILER_LAYOUT_UNIT_H
#define COMPILER_LAYOUT_UNIT_H
#include <stdbool.h>
#include <stdint.h>

#include "compiler/layout.h"
#include "runtime/engine/layout.h"

/* So many units to a millimetre. The least common denominator makes every length whole. Where it is too large, the
 * lengths are rounded to the safe side (parts and kerf up, sheets down), so that what is laid out can be cut. */
typedef struct layout_unit {
	int64_t per_mm;
	bool exact;
} layout_unit;

enum { UNIT_ROUNDED = 8000 }; /* whole for 1/64 in and for micrometres */

static inline void layout_unit_take(layout_unit *u, rat length, rat longest) {
	if (!u->exact || !rat_ok(length)) return;
	int64_t factor = length.den / rat_gcd(length.den, u->per_mm);
	int64_t most = LAYOUT_MAX / 2 / (rat_ceil(longest) + 1);
	if (factor > most / u->per_mm)
		*u = (layout_unit){UNIT_ROUNDED, false};
	else
		u->per_mm *= factor;
}

static inline int64_t layout_units_up(const layout_unit *u, rat length) {
	return rat_ceil(rat_mul(length, rat_int(u->per_mm)));
}
static inline int64_t layout_units_down(const layout_unit *u, rat length) {
	return rat_floor(rat_mul(length, rat_int(u->per_mm)));
}
static inline rat layout_from_units(const layout_unit *u, int64_t v) { return rat_of(v, u->per_mm); }

/* A part that fits its sheet exactly must not be made too large by rounding. */
static inline int64_t layout_not_beyond(int64_t part, rat exact, int64_t room, rat exact_room) {
	return part > room && rat_le(exact, exact_room) ? room : part;
}

/* How many steps an effort is, of the usual number. */
uint64_t layout_steps(layout_effort effort, uint64_t usual);
/* The second route refuses the layout of a stock; its engine cannot take it. */
void layout_refuse(const model *m, diags *d, model_ref stock, const char *why);
void layout_limit(const model *m, diags *d, model_ref stock, const char *why);
/* Cuts and offcuts of a sheet or an unrolled roll, its edges, kerf and number of settings. */
void layout_take_cuts(model *m, const layout_unit *u, const layout_problem *p, const layout_sheet *sheet,
		      model_sheet_plan *plan);
#endif
