/* Parses plan text that is in memory already.
 * Ownership: the tree lives in the arena; it keeps places, not the text. */
#ifndef GRAMMAR_PARSE_H
#define GRAMMAR_PARSE_H
#include "compiler/syntax.h"
#include "runtime/base/diag.h"

/* Parses one file of the set. Faults become diags (rules plan-syntax, plan-name, plan-number, plan-unit,
 * plan-text, plan-character, plan-depth) and SYN_BAD values: one in the place of what was wrong, or one more at the end
 * of its line. In a line that holds one, nothing is said of what is missing or too much; `out` always holds what could
 * be understood. */
size_t grammar_parse(arena *mem, const source_set *sources, uint32_t file, diags *d, syn_file *out);

/* Parses a file of the set as one expression (the VALUE of --set NAME=VALUE). NULL when it is none; then a diag
 * was added. Comparisons are allowed. */
syn_expr *grammar_parse_value(arena *mem, const source_set *sources, uint32_t file, diags *d);
#endif
