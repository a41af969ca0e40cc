/* The checks: each takes the finished model as const and turns what it finds into diagnostics.
 * A check is declared beside its function in a static const table; check_all() runs every table.
 * Ownership: texts go to the diagnostics' arena; the model is never changed. */
#ifndef COMPILER_CHECK_H
#define COMPILER_CHECK_H
#include <stdbool.h>

#include "runtime/base/diag.h"
#include "runtime/engine/model.h"

typedef struct check_rule {
	const char *name; /* stable, kebab-case, never reused; also the rule of its diags */
	diag_severity severity;
	const char *what;		       /* one sentence: what it asks for */
	const char *source;		       /* standard, handbook, "common practice, no source", or "geometry" */
	void (*run)(const model *m, diags *d); /* NULL: the stage that finds it reports it */
} check_rule;

/* Each family's table: compiler/check_openings.c, check_joints.c, check_parts.c, check_air.c, … */
extern const check_rule CHECK_OPENINGS[];
extern const size_t N_CHECK_OPENINGS;
extern const check_rule CHECK_JOINTS[];
extern const size_t N_CHECK_JOINTS;
extern const check_rule CHECK_CUTS[]; /* joints beyond their screws: compiler/check_cuts.c */
extern const size_t N_CHECK_CUTS;
extern const check_rule CHECK_PARTS[];
extern const size_t N_CHECK_PARTS;
extern const check_rule CHECK_USE[]; /* how it stands, bears, opens: compiler/check_use.c */
extern const size_t N_CHECK_USE;
extern const check_rule CHECK_AIR[]; /* after air_solve() */
extern const size_t N_CHECK_AIR;
extern const check_rule CHECK_LAYOUT[]; /* after the layout */
extern const size_t N_CHECK_LAYOUT;
/* What is reported elsewhere, so that every rule has its sentence: compiler/check_stages.c. compiler/templates.h has
 * one more such table. */
extern const check_rule CHECK_STAGES[];
extern const size_t N_CHECK_STAGES;
extern const check_rule CHECK_LANGUAGE[]; /* names begin with "plan-"; they cannot be allowed */
extern const size_t N_CHECK_LANGUAGE;

/* Runs the geometric families (openings, joints, parts). Air and layout families run after their stage. */
void check_geometry(const model *m, diags *d);
/* Runs the air family; after air_solve(). Does nothing for a plan without an air block. */
void check_air(const model *m, diags *d);
/* Runs the layout family; layout_make() ends with it. */
void check_layout(const model *m, diags *d);
/* Says in which placed assembly a finding arose whose place is in the assembly's text, for all that were added so far.
 */
void check_tell_placed(const model *m, diags *d);
/* A rule of any table by its name; NULL when there is none. */
const check_rule *check_find(const char *name);
/* The tables one after another, from 0: the rules of the i-th, its title and length; NULL behind the last. */
const check_rule *check_family(size_t i, const char **title, size_t *n);
/* The rule whose name is nearest to a word that is none, or NULL. */
const char *check_nearest(arena *mem, const char *name);
/* What a rule asks for, in one sentence; NULL when no table has it. */
const char *check_about(const char *rule);
/* Why a rule of that name cannot be allowed, with what would mend it, or NULL when it can: there is no such rule, or a
 * plan that breaks it has no whole model. */
const char *check_cannot_allow(arena *mem, const char *name);
/* Whether a table has a rule of that name, those of the language among them. */
bool check_is_rule(const char *name);
#endif
