/* What is cut from rolls of known lengths: cloth of filter tubes, strips of tape.
 * Ownership: what is set in the model and the diagnostics lives in the model's arena. */
#ifndef COMPILER_LAYOUT_ROLLS_H
#define COMPILER_LAYOUT_ROLLS_H
#include "compiler/layout.h"

/* The pieces of a stock that model_on_rolls() into m->layout.roll_parts, their layout into m->layout.rolls, and its
 * row of m->layout.counts. A tube takes its girth and SHOPPING_SEAM across, its length along, each rounded up to whole
 * millimetres (sixteenths of an inch in a plan in inches). Of a gasket a strip is one piece; a ring four, two as long
 * as its longer sides and two between them: the corners are butted. The layout is verified as that of a sheet. */
void layout_rolls(model *m, diags *d, model_ref stock, layout_effort effort);
#endif
