/* The stages behind the syntax tree, in their order, for one plan.
 * Ownership: everything lives in the arena that resolving was begun with. */
#ifndef COMPILER_STAGES_H
#define COMPILER_STAGES_H
#include "compiler/layout.h"
#include "compiler/resolve.h"

/* Resolves, checks, solves the air, lays out the sheets, finds the order of work and what to buy. Each
 * stage runs when what it stands on could be worked out; what is wrong is in d, waivers applied. The model
 * is whole when d->errors is 0. */
model *stages_run(arena *mem, const source_set *sources, const syn_plan *plan, const resolve_options *o, diags *d);
/* The same with another effort, and telling how far it is. */
model *stages_run_by(arena *mem, const source_set *sources, const syn_plan *plan, const resolve_options *o,
		     layout_effort effort, progress who, diags *d);
#endif
