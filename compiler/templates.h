/* Router templates: their openings, offsets and passes, from the openings that a router makes.
 * Ownership: rows and texts go to the model's arena. */
#ifndef COMPILER_TEMPLATES_H
#define COMPILER_TEMPLATES_H
#include "compiler/check.h"

/* Where a tool says nothing about its passes: a quarter inch. Common practice, no source. */
#define TEMPLATE_PASS_MM (rat_of(127, 20))

/* Fills m->templates: one row for each opening (shape and tool) that a router of the plan makes. All sheets with equal
 * openings share one, of whatever pattern they are, turned or turned over where they lie so. Template opening = opening
 * + (bush - cutter); corners grow by half of that. A router without cutter or bush gives no row and a warning
 * template-bush; a corner that the cutter cannot reach, or that the bush cannot follow, gives template-corner, and the
 * row has what the tool really does. After resolving, before the order of work. */
void templates_make(model *m, diags *d);

/* The rules above, for the list of rules; their run is NULL: templates_make() reports them. */
extern const check_rule CHECK_TEMPLATES[];
extern const size_t N_CHECK_TEMPLATES;
#endif
