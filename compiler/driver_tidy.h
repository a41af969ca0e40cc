/* The command `tidy`.
 * Ownership: texts live in the arena; the source set borrows the file's from there. */
#ifndef COMPILER_DRIVER_TIDY_H
#define COMPILER_DRIVER_TIDY_H
#include <stdbool.h>

#include "runtime/base/diag.h"
#include "runtime/base/source.h"

/* Writes a plan file anew in its one layout, in place and only when that changes it; "-" goes from standard input to
 * standard output. `only_check`: writes nothing, names the file on standard output when it would change. Gives the
 * exit status: with EXIT_FILES, *why says what went wrong; faults of the text become diags, and it is left as it is. */
int driver_tidy(arena *mem, const char *path, bool only_check, source_set *sources, diags *d, const char **why);
#endif
