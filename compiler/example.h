/* Examples of plan text in messages.
 * Ownership: what is given lives in the model's arena, or is the text itself. */
#ifndef COMPILER_EXAMPLE_H
#define COMPILER_EXAMPLE_H
#include "runtime/engine/model.h"

/* An example in metric units as the plan's measures have it: in an inch plan with handy inch figures of about the same
 * size. */
const char *example_shown(const model *m, const char *metric);
#endif
