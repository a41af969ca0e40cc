/* Calculations that a person can follow with a pocket calculator: each a formula in symbols, the same with its numbers,
 * and what comes out. A number is printed with as many digits as it takes for the printed ones to give the printed
 * result within its last digit; a line whose numbers do not give it has no numbers, and the result stands "as solved".
 * Ownership: everything lives in the arena it was begun with. */
#ifndef WRITE_WORKED_H
#define WRITE_WORKED_H
#include "runtime/engine/model.h"

/* X(enumerator, unit in the calculation, inch books: words behind the result, unit, what one of it is in SI; metric
 * books likewise). No words: the result is not converted. */
#define WORKED_UNITS(X)                                                                                                \
	X(NUMBER, "", NULL, "", 1, NULL, "", 1)                                                                        \
	X(FLOW, "m³/s", "/ 0.000471947", "cfm", 0.000471947443, "× 3600", "m³/h", 1.0 / 3600)                          \
	X(SPEED, "m/s", "/ 0.00508", "ft/min", 0.00508, NULL, "", 1)                                                   \
	X(PRESSURE, "Pa", "/ 249.089", "in.wg", 249.08891, NULL, "", 1)                                                \
	X(AREA, "m²", "/ 0.0929030", "ft²", 0.09290304, NULL, "", 1)                                                   \
	X(LENGTH, "m", "/ 0.0254", "in", 0.0254, "× 1000", "mm", 0.001)                                                \
	X(POWER, "W", "/ 745.70", "hp", 745.69987158227022, NULL, "", 1)                                               \
	X(DENSITY, "kg/m³", "/ 16.0185", "lb/ft³", 16.01846337396014, NULL, "", 1)                                     \
	X(VOLUME, "m³", "/ 0.0283168", "ft³", 0.028316846592, NULL, "", 1)                                             \
	X(MASS, "kg", "/ 0.453592", "lb", 0.45359237, NULL, "", 1)                                                     \
	X(VAPOUR, "Pa", NULL, "", 1, NULL, "", 1) /* of a vapour: no gauge shows it */                                 \
	X(KELVIN, "K", NULL, "", 1, NULL, "", 1)                                                                       \
	X(VISCOSITY, "Pa·s", NULL, "", 1, NULL, "", 1)                                                                 \
	X(RESISTANCE, "Pa·s/m³", NULL, "", 1, NULL, "", 1)                                                             \
	X(MEDIA, "Pa·s/m", NULL, "", 1, NULL, "", 1)                                                                   \
	X(HOURS, "h", NULL, "", 1, NULL, "", 1)                                                                        \
	X(PER_HOUR, "an hour", NULL, "", 1, NULL, "", 1)                                                               \
	X(MINUTES, "min", NULL, "", 1, NULL, "", 1)                                                                    \
	X(PLAN_PRESSURE, "", NULL, "", 1, NULL, "", 1) /* already in the unit of the plan */
typedef enum worked_unit {
#define X(name, unit, by, to, size, by_metric, to_metric, size_metric) WORKED_##name,
	WORKED_UNITS(X)
#undef X
		WORKED_UNIT_COUNT
} worked_unit;

typedef struct worked_line {
	const char *what;	      /* "Speed in the openings"; of a heading: its words, and nothing else */
	const char *formula;	      /* "v = Q / A" */
	const char *numbers;	      /* "0.5139 / 0.2291", or NULL: the result is as solved */
	const char *result, *unit;    /* "2.243", "m/s" */
	const char *also, *also_unit; /* in the plan's measures: "2.243 / 0.00508 = 441.5", "ft/min"; or NULL */
	const char *source;	      /* or NULL */
} worked_line;

typedef struct worked {
	arena *mem;
	measures ms;
	LIST(worked_line) lines;
} worked;

/* All of one condition, 0 to AIR_CONDITIONS - 1: the air, every branch, the sum round the way, the room. Nothing for
 * one that was not solved. */
worked worked_air(arena *mem, const model *m, int condition);

/* The way that carries most: out of the room through the branch with the most flow, on and on until the room is reached
 * again. Branches into way[] (room for all of them); their number. Leaks are no way. */
size_t worked_way(const model *m, arena *mem, int condition, model_ref *way);

/* ---- for those who write calculations ---- */

void worked_head(worked *w, const char *words);
/* A line. `numbers` holds a mark for each of `v`, SI:
 *   #  as it is     @  a length   $  an area   ~  a flow   &  a pressure   %  a mass
 * the last five in the plan's measures, with what makes them SI. `value` is the result in `unit`. */
void worked_put(worked *w, const char *what, const char *formula, const char *numbers, const double *v,
		worked_unit unit, double value, const char *source);
/* The value of an expression with + - × / ^ ² ³ √ ln log ( ); NaN when it is none. */
double worked_value(const char *expression);
/* So many significant digits; noughts at the end stay or go. */
const char *worked_digits(arena *mem, double v, int digits, bool keep_noughts);
#endif
