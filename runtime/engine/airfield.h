/* How the flow spreads over the rows of a field of holes in front of a plenum: the pressure along the plenum is not the
 * same everywhere, since the air speeds up towards the outlet and rubs along the walls. SI throughout.
 * Ownership: the caller owns the rows; the result lives in the arena that is handed in.
 *
 * Taken along the plenum towards its outlet (suction: holes in, "combining"; blowing: holes out, "dividing"):
 * - at a row the momentum theorem, the air through the holes carrying no speed along the plenum: the pressure changes
 * by rho (v2^2 - v1^2) over the row (textbook; Acrivos, Babcock and Pigford 1959 and Bajura and Jones 1976 measured
 * less for dividing flow, so that dividing fields come out more uneven here than they are; memory);
 * - between rows friction (Darcy-Weisbach, airlaw.h) and, where the section changes, Bernoulli where the stream narrows
 *   and Borda-Carnot where it widens;
 * - a row's holes see the mean of the pressures before and behind it, and take K 1/2 rho v_hole^2.
 * The room before the field has one pressure. Where holes are far from each other compared with the plenum's depth,
 * jets that strike the far wall are not in it. */
#ifndef ENGINE_AIRFIELD_H
#define ENGINE_AIRFIELD_H
#include <stdbool.h>
#include <stddef.h>

#include "runtime/base/arena.h"

typedef struct airfield_row {
	double at_m;	    /* along the plenum, rising from row to row */
	double open_m2;	    /* of all holes of the row (> 0) */
	double loss_k;	    /* of its holes, on the speed in them (> 0), as airlaw_plate() gives it */
	double section_m2;  /* of the plenum across the way of the air, here */
	double hydraulic_m; /* its hydraulic diameter, for the friction; 0: none */
} airfield_row;

typedef struct airfield {
	const airfield_row *rows;
	size_t n_rows;
	double outlet_m; /* where the plenum's air leaves (or comes from); rows on both sides flow towards it. The row
			    at this very place belongs to the side before it. */
	bool blowing;	 /* the plenum feeds the holes */
	double roughness_m;
	double density_kg_m3, viscosity_pa_s;
	double flow_m3_s; /* through all rows together (> 0) */
} airfield;

/* What may stand in the way. X(name, words) */
#define AIRFIELD_TROUBLES(X)                                                                                           \
	X(SOLVED, "solved")                                                                                            \
	X(BAD_VALUE, "a figure of the field is missing, not positive or not finite, or the rows are not in order")     \
	X(STARVED, "the plenum is so narrow that some rows would draw backwards")
typedef enum airfield_trouble {
#define X(name, words) AIRFIELD_##name,
	AIRFIELD_TROUBLES(X)
#undef X
		AIRFIELD_TROUBLE_COUNT
} airfield_trouble;
extern const char *const AIRFIELD_TROUBLE_WORDS[AIRFIELD_TROUBLE_COUNT];

typedef struct airfield_result {
	airfield_trouble trouble;
	size_t row;	    /* where: the row that is wrong or starved */
	double *flow_m3_s;  /* [rows]; NULL unless solved */
	double *speed_m_s;  /* [rows] in the holes */
	double *drop_pa;    /* [rows] over the holes */
	double mean_m_s;    /* total flow over total open area */
	double most, least; /* fastest and slowest hole over the mean: 1 and 1 is even */
	double even_pa;	    /* drop over the field were it even: the total flow through all holes in one space */
	double more_pa;	    /* by how much the drop from the room to the plenum at its outlet exceeds that */
	double plenum_m_s;  /* speed along the plenum where it is fastest */
} airfield_result;

airfield_result airfield_spread(arena *mem, const airfield *f);

/* Closed form of the same for a long plenum of one section with even holes and no friction (the rows smeared out): the
 * speed through the holes at a part 0..1 of the way from the closed end over their mean. With
 * s = (open area / section) sqrt(2/K): suction s cosh(s x)/sinh(s); blowing s cos(s x)/sin(s), s < pi/2 (else NaN).
 * From the momentum theorem and continuity; the tests hold the rows against it. */
double airfield_smooth(double open_m2, double section_m2, double loss_k, bool blowing, double part);
#endif
