/* From the syntax tree to the model, in two halves: first everything that follows from the text and
 * the geometry; then, when the air is solved, the plan's own requirements.
 * Ownership: the model and all it holds live in the arena that was given. */
#ifndef COMPILER_RESOLVE_H
#define COMPILER_RESOLVE_H
#include "compiler/syntax.h"
#include "runtime/base/diag.h"
#include "runtime/engine/model.h"

typedef struct resolve_options {
	const syn_file *sets;	  /* lines `let NAME = VALUE` from the command line, or NULL */
	const measures *measures; /* in place of the plan's, or NULL */
	const paper *paper;
	const char *slug; /* the plan file's name without folder and ".plan" */
} resolve_options;

typedef struct ctx resolve_state;

/* Never NULL. Faults are in d; rows that could not be worked out are missing from the model, which is
 * then good for further checks of what is there, but not for output. */
resolve_state *resolve_begin(arena *mem, const source_set *sources, const syn_plan *plan, const resolve_options *o,
			     diags *d);
model *resolve_model(resolve_state *s);
/* Every part, opening and joint of the plan could be worked out: only then are checks of the whole fair. */
bool resolve_whole(const resolve_state *s);
/* Every way of the air could be read. */
bool resolve_air_whole(const resolve_state *s);
/* The `require` lines; after air_solve(). Without an answer (`air_known` false) those that ask for the air keep
 * silent: why there is none was reported. */
void resolve_requires(resolve_state *s, bool air_known);
/* Waives what the plan allows and notes it in the model; an `allow` that waives nothing is a warning. After all
 * checks. */
void resolve_waivers(resolve_state *s);
#endif
