/* The command `rules`: it takes no plan but compiles the plans of the pages, so that what it shows cannot drift.
 * Ownership: everything lives in the arena that was given. */
#ifndef COMPILER_DRIVER_RULES_H
#define COMPILER_DRIVER_RULES_H
#include "compiler/options.h"
#include "runtime/base/text.h"

/* Fills *out with all rules, or with the page of the one that o->plans names. NULL, or what is wrong with the name. */
const char *driver_rules(arena *mem, const options *o, size_t columns, textbuf *out);
#endif
