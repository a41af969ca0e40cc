/* From the resolved model to the solved air: areas from the geometry, four conditions, the operating point.
 * Ownership: what is set in the model and the diagnostics lives in the model's arena. */
#ifndef COMPILER_AIR_H
#define COMPILER_AIR_H
#include <stdbool.h>

#include "runtime/base/diag.h"
#include "runtime/engine/model.h"
#include "runtime/engine/openarea.h"

/* How near a part must come to a sheet's face to lie over its openings: 3 mm (ours: closer, and the air cannot turn
 * in; a part further off is a passage of its own, for which the plan names a gap). */
#define AIR_OVER_MM 3

/* Fills the geometric fields of every branch (SI): gross_m2, open_m2, plan_m2, thick_m, hole_m, count, wholly_covered.
 *   openings  every axis of the pattern in the sheet `part`: the sheet's own opening there (a seated collar narrows it
 *             to its bore) less the union of the parts that lie over either face; sheets of the same pattern are not
 *             taken as lying over each other, nor filters, fans, media and collars
 *   gap       its box across thick_axis less the parts that stand in it
 *   filter    media area and face of `count` units
 *   tubes     cloth count x pi x d x length; plan_m2 their mouths; box_m2, if not given, the sheet's face less the
 *             tubes
 *   duct      open_m2 = plan_m2 = bore, or the product of its sides
 *   leak      open_m2 = area_given_m2
 *   fan       open_m2 = its inlet, if given
 * Figures that are missing become errors "air-figure"; a blind or wholly closed field "air-closed". */
bool air_geometry(model *m, diags *d);

/* Loss coefficients, and which branches pass their stream on to the next one: k, feeds_fan, runs_on, dirty_known. After
 * air_geometry(), before the network is solved. The laws and their sources stand in docs/air.md. */
void air_coefficients(model *m);

/* Density and viscosity, air_geometry(), air_coefficients(), then the network clean and dirty, open and covered, into
 * m->air. Returns true when every condition that the plan declares has a unique answer on the published curves. What
 * has no answer is an error "air-unsolved" here, save fans off their curve and units beyond theirs, which the checks
 * report. Does nothing (true) when the plan has no air block. */
bool air_solve(model *m, diags *d);

/* The law of a branch in a condition, for those who draw system curves: pressure rise that the network asks of fan
 * branch `fan` at a flow of the whole branch; NaN when there is no answer. */
double air_needs(const model *m, arena *mem, int condition, model_ref fan, double flow_m3_s);
/* The rise of fan branch `fan` (all of count) at that flow under the model's density; NaN off its published points. */
double air_gives(const model *m, arena *mem, model_ref fan, double flow_m3_s);

/* What is left open of all openings of a pattern in one of its sheets, m2, by the rules of air_geometry(); NaN when it
 * is blind there. */
double air_openings_free_m2(arena *mem, const model *m, model_ref pattern, model_ref sheet);

/* The rectangle round the outermost rims of a field of that shape, along the pattern's u and v, in mm. */
openarea_rect air_field_rect(const model_pattern *p, const model_shape *s);

/* The speed of a fan branch in a condition over that of its published curve: 1, or that of the condition's tap. */
double air_speed_ratio(const model *m, const model_branch *fan, int condition);

/* How evenly each field of openings draws when the filters are dirty, where its air has to run along the sheet: fills
 * model_branch.spread. After the conditions are solved. */
void air_spreads(model *m);

/* A figure as it is kept: to nine digits. */
double air_kept(double v);

/* Words for a branch: "openings vents in baffle", "fan blower". */
const char *air_branch_words(arena *mem, const model *m, model_ref branch);
#endif
