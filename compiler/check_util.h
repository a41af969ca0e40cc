/* What the checks share: lengths as a person reads them, and one report for many like faults.
 * Ownership: texts and lists live in the diagnostics' arena. */
#ifndef COMPILER_CHECK_UTIL_H
#define COMPILER_CHECK_UTIL_H
#include "compiler/check.h"
#include "runtime/engine/feature.h"

/* A length in the plan's measures; small ones in inches as decimals, where 1/64 would say nothing. What is not 0 is
 * not shown as 0: it gets as many places as that takes, here and in the two below. */
const char *check_length(const model *m, diags *d, rat mm);
/* What was reckoned in mm, to the nearest 1/steps or as much finer as it takes. */
rat check_rounded(double v_mm, int64_t steps);
/* A number with so many decimals or as many more as it takes. */
const char *check_number(diags *d, double v, int decimals);
/* "overlap by 3 mm", or "touch" when it is nothing. */
const char *check_deep(const model *m, diags *d, const char *verb, rat deep);
/* "opening 3 of wells", "groove of floor into left", "screw 2 of top to left" */
const char *check_feature(const model *m, diags *d, const model_feature *f);
/* The breadth of a shape: what would have to pass through it. */
rat check_breadth(const model_shape *s);
/* Says that a finding is about a part and its stock, for waivers that name them; no note shows it. */
void check_names_part(const model *m, diags *d, diag *g, model_ref part);
/* Is it a part of sheet goods or bar with its own material? */
bool check_solid(const model_part *p);
/* Where a feature was asked for: its shape, else itself, else its pattern or joint. */
span check_feature_at(const model *m, const model_feature *f);

/* The box of every feature in doubles, in the order of model.features: to tell quickly which are far apart. Rounded, so
 * compare with a margin of CHECK_MARGIN. */
typedef struct check_box {
	double lo[3], hi[3];
} check_box;
#define CHECK_MARGIN 0.01
check_box *check_boxes(const model *m, diags *d);
/* Farther apart than `by` along some axis? Along `skip` (3: none) they are not compared. */
bool check_far(const check_box *a, const check_box *b, double by, int skip);

/* The worst of many like faults, so that a field of 90 holes gives one message. */
typedef struct check_worst {
	model_ref part, x, y; /* the key: what they have in common */
	rat gap;	      /* of the worst */
	size_t a, b;	      /* rows, of what the check likes */
	uint32_t count;
} check_worst;
typedef struct check_worsts {
	LIST(check_worst) v;
} check_worsts;
/* Counts a fault; keeps it when its gap is the smallest with that key. */
void check_worsts_add(diags *d, check_worsts *w, model_ref part, model_ref x, model_ref y, rat gap, size_t a, size_t b);
/* " (the worst of 12)", or "" for one. */
const char *check_count(diags *d, uint32_t count);

/* Features by part: those of part p are the model's rows row[first[p]] to row[first[p + 1] - 1], ascending. */
typedef struct check_rows {
	uint32_t *first, *row;
} check_rows;
check_rows check_features_by_part(const model *m, diags *d);
#endif
