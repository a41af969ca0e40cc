/* Everything that `compile` writes, and the tables of the other commands.
 * Ownership: bytes live in the model's arena until they are written. */
#ifndef COMPILER_OUTPUTS_H
#define COMPILER_OUTPUTS_H
#include "compiler/options.h"
#include "runtime/base/diag.h"
#include "runtime/engine/model.h"

/* Makes every file of the plan and writes the set, all or none; *files says how many. NULL, or the reason.
 * `told` gets a line for each text of a page that lies on another or leaves its place: the layout's fault, not the
 * plan's. */
const char *outputs_write(const model *m, const char *folder, size_t *files, textbuf *told);
/* The table of a command (one of those that print one). */
void outputs_table(const model *m, options_command command, table_format format, textbuf *out);
#endif
