/* The title block of drawings that stand by themselves, with the data fields of ISO 7200 that the plan has.
 * Ownership: texts go to the arena given; the model is only read. */
#ifndef WRITE_TITLE_BLOCK_H
#define WRITE_TITLE_BLOCK_H
#include "runtime/draw/sheetform.h"

/* What the plan gives for each of its drawings. `stem`: the drawing's own name in the set of files; its identification
 * number is that, behind the plan's number where there is one. Sheet `at` of `of`, from 1. */
sheetform_block title_block(arena *mem, const model *m, const char *stem, size_t at, size_t of);
/* The same in one line, for sheets that only carry a piece of a drawing. */
const char *title_block_line(arena *mem, const model *m, const char *stem, size_t at, size_t of);
#endif
