/* From the syntax tree to the model, in two halves: first everything that follows from the text and
 * the geometry; then, when the air is solved, the plan's own requirements.
 * Ownership: the model and all it holds live in the arena that was given. */
#ifndef COMPILER_RESOLVE_H
#define COMPILER_RESOLVE_H
#include "compiler/syntax.h"
#include "runtime/base/diag.h"
#include "runtime/engine/model.h"

/* What the files of the shipped library declare: for a plan that does not use them. */
typedef struct shipped_name {
	const char *name, *file; /* file: as `use` names it, "stock/bars" */
	const syn_line *line;	 /* that declares it */
} shipped_name;
typedef LIST(shipped_name) shipped_names;

typedef struct resolve_options {
	const syn_file *sets;	  /* lines `let NAME = VALUE` from the command line, or NULL */
	const measures *measures; /* in place of the plan's, or NULL */
	const paper *paper;
	const char *slug;			     /* the plan file's name without folder and ".plan" */
	const shipped_names *(*shipped)(void *with); /* asked for only when a name is not known; or NULL */
	void *shipped_with;
} resolve_options;

typedef struct ctx resolve_state;

/* How far the plan is worked out. A value of a later stage can be asked for only by what comes later still. */
typedef enum known_stage {
	KNOWN_TEXT,    /* what follows from single parts and patterns, on demand */
	KNOWN_SHAPED,  /* every part stands and is cut */
	KNOWN_AIR,     /* the air is solved */
	KNOWN_LAID,    /* sheets and bars are laid out, and what is bought is counted */
	KNOWN_ORDERED, /* the order of work is found */
	KNOWN_KINDS
} known_stage;

/* Never NULL. Faults are in d; rows that could not be worked out are missing from the model, which is
 * then good for further checks of what is there, but not for output. */
resolve_state *resolve_begin(arena *mem, const source_set *sources, const syn_plan *plan, const resolve_options *o,
			     diags *d);
model *resolve_model(resolve_state *s);
/* Every part, opening and joint of the plan could be worked out: only then are checks of the whole fair. */
bool resolve_whole(const resolve_state *s);
/* Every way of the air could be read. */
bool resolve_air_whole(const resolve_state *s);
/* Every written step could be read. */
bool resolve_work_whole(const resolve_state *s);
/* A stage is over: what follows from it may be asked for; without an answer (`good` false) those that ask for it keep
 * silent: why there is none was reported. Stages that were not run count as without. */
void resolve_known(resolve_state *s, known_stage stage, bool good);
/* The named values, the `require` lines, and the values in texts: after all stages. */
void resolve_finish(resolve_state *s);
/* Waives what the plan allows and notes it in the model; an `allow` that waives nothing is a warning. After all
 * checks. */
void resolve_waivers(resolve_state *s);
#endif
