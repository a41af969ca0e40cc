/* plan.json: the whole resolved model, for other programs.
 * Ownership: the caller releases what it gets with json_decref; nothing of the model is kept. */
#ifndef WRITE_PLAN_JSON_H
#define WRITE_PLAN_JSON_H
#include <jansson.h>

#include "runtime/engine/model.h"

/* Every table of the model. Rows of other tables are named by their name (parts, stock, tools, patterns, spaces) or by
 * their row number from 0 (joints, operations, steps); null is "none" or "not given". Lengths as json_util_length,
 * places as "file:line:column", everything else in SI units that the key names. */
json_t *plan_json(const model *m);

/* The same text in the arena, ready to be written; *size may be NULL. */
char *plan_json_text(arena *mem, const model *m, size_t *size);
#endif
