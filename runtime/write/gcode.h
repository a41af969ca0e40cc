/* Drilling and milling programs: one part, in words of ISO 6983 only.
 * Ownership: the text goes to the caller's buffer; the model is only read.
 *
 * Conventions (docs/drilling.md): absolute, XY plane, feed per minute; millimetres with 3 decimals (G21) or inches with
 * 4 (G20) as the plan measures. X0 Y0 is the datum of the worked face of the blank, Z0 that face, Z downwards
 * negative. Each tool is asked for by M5, a comment and M0; no tool changer is assumed. Arcs by I and J from
 * the arc's beginning. Ends in M2, without '%'. */
#ifndef WRITE_GCODE_H
#define WRITE_GCODE_H
#include "runtime/base/text.h"
#include "runtime/engine/model.h"

/* Through-holes go this far below the sheet, into a spoil board. */
#define GCODE_BREAKTHROUGH_MM 1.0
#define GCODE_MOST_PASSES 200 /* of one feature; a pass that would make more is taken as deep as this needs */
#define GCODE_SAFE_MM 10.0    /* height of moves between holes */
#define GCODE_NEAR_MM 2.0     /* where feed begins (R of the cycles) */
/* Used when the plan's tool says nothing; conservative, common practice, no source. */
#define GCODE_DRILL_RPM 2000.0
#define GCODE_DRILL_FEED_MM_MIN 200.0
#define GCODE_ROUTER_RPM 12000.0
#define GCODE_ROUTER_FEED_MM_MIN 1500.0
#define GCODE_ROUTER_PLUNGE_MM_MIN 300.0
#define GCODE_PECK_DIAMETERS 3.0 /* deeper holes are drilled in pecks of one diameter */

typedef struct gcode_count {
	size_t holes, milled; /* features in the program: drilled by cycles, milled */
	size_t left;	      /* features that it leaves to hand work, each named in a comment */
	size_t sinks;	      /* countersinks, always left to hand work */
} gcode_count;

/* Writes the program of a part of sheet goods that has features; false (and nothing written) for other parts, or when
 * no feature of it can be worked from its two faces with the plan's drills and routers. Holes that match a drill go by
 * G81 or G83; openings and grooves are milled with the router they name, or the first of the plan that fits. */
bool gcode_part(textbuf *out, const model *m, model_ref part, gcode_count *count);
#endif
