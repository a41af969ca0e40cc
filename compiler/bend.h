/* How far level parts bend under what they carry: fills model.bends. After features, before the checks.
 * Ownership: rows live in the model's arena. */
#ifndef COMPILER_BEND_H
#define COMPILER_BEND_H
#include "runtime/base/diag.h"
#include "runtime/engine/model.h"

/* One row for each level part that has a modulus and is held: its worst strip. Nothing is reported; `d` lends its
 * arena. */
void bend_make(model *m, diags *d);
/* Is it a made part that lies level, a door left out? */
bool bend_lies_level(const model *m, const model_part *p);
#endif
