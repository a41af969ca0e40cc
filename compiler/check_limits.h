/* The limits of the rules as data: what a check compares with comes from here, so that a plan can tune it and a page
 * can tell it.
 * Ownership: rows are constants; what a plan tuned stands in the model (model.tuned). */
#ifndef COMPILER_CHECK_LIMITS_H
#define COMPILER_CHECK_LIMITS_H
#include "compiler/check.h"

typedef struct check_limit_row {
	const char *name;	/* RULE, or RULE.WORD where a rule has several */
	const char *unit;	/* of the three values, as a plan writes it; "" for a plain number */
	rat value, least, most; /* value: poison when there is none until a plan tunes it */
	const char *what;	/* what it is, behind the value: "between a door and what stands beside it" */
} check_limit_row;
extern const check_limit_row CHECK_LIMITS[];
extern const size_t N_CHECK_LIMITS;

/* The value that counts in this plan, exact, in base units (mm, kg, degree; shares and factors as numbers). The name
 * is one of the table's (tests/house/vocabulary.py compares); poison for one without a value, or tuned to one that is
 * not exact. */
rat check_limit(const model *m, const char *name);
/* The same in SI units (m, kg, m/s, degree); NaN for one without a value. */
double check_limit_si(const model *m, const char *name);
/* A row by its name, or NULL. */
const check_limit_row *check_limit_find(const char *name);
/* The i-th limit of a rule, from 0; NULL behind the last. */
const check_limit_row *check_limit_of(const char *rule, size_t i);
/* The dimension of its values, and one of them as a quantity. */
dim check_limit_dim(const check_limit_row *l);
quant check_limit_quant(const check_limit_row *l, rat value);
/* A value of that limit as a person reads it: "2 mm", "1/3", "50 %". */
const char *check_limit_show(arena *mem, const check_limit_row *l, quant value, measures ms);
/* The same as a plan writes it: "10 deg", "3/32 in". */
const char *check_limit_written(arena *mem, const check_limit_row *l, quant value, measures ms);
/* "a third", "half", "0.4": a share or factor in a sentence, in front of "of …". */
const char *check_share(diags *d, rat share);
/* Says in a note of each finding that its rule's limit was tuned. After all checks. */
void check_limits_note(const model *m, diags *d);
#endif
