/* Drilling: tables, programs and true-size drawings.
 * Ownership: tables and texts live in the arena given; the model is only read. */
#ifndef WRITE_DRILL_WRITE_H
#define WRITE_DRILL_WRITE_H
#include "runtime/base/outfile.h"
#include "runtime/engine/model.h"
#include "runtime/write/table.h"

/* How much a row says: NARROW for a page or terminal (the datum stands in the notes), WIDE for files (columns for
 * the datum in words and for exact millimetres, 6 decimals). */
typedef enum drill_width { DRILL_NARROW, DRILL_WIDE } drill_width;

/* Every feature of one part, or of all parts that have any (MODEL_NONE), one row each: part, face, number, kind, where
 * it comes from, right and up from the datum, size, depth, countersink, tool. NARROW tables of one part leave
 * the column of the part away. */
table *drill_table(arena *mem, const model *m, model_ref part, drill_width width);
/* The tools that the features of a part ask for: name, kind, diameter, number of holes. MODEL_NONE: of all parts. */
table *drill_tools_table(arena *mem, const model *m, model_ref part);
/* Adds drill.csv, and for every part with features drill-PART.svg (one for each face with work: the work face, then
 * drill-PART-FACE.svg) and, where a program can be made, drill-PART.ngc.
 * Returns NULL, or why a drawing could not be written. */
const char *drill_write(outset *o, const model *m);
/* Has the part a drawing and rows in the table? */
bool drill_has(const model *m, model_ref part);
#endif
