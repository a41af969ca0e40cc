/* What drawings say of lengths without a tolerance of their own: ISO 2768-m. In inches its millimetres are converted.
 * Ownership: the texts live in the arena; the model is only read. */
#ifndef WRITE_PART_TOLERANCE_H
#define WRITE_PART_TOLERANCE_H
#include "runtime/engine/model.h"

/* "Lengths without a tolerance: ISO 2768-m, to 120 mm ±0.3, to 400 ±0.5 mm." It lists the rows that the figures of one
 * face fall into, or, with `part` NULL, those of every face of every part that is made: outline of the blank, places,
 * sizes and depths of the work on it; not the thickness, which is the stock's. NULL when no figure has a row there. */
const char *part_tolerance_words(arena *mem, const model *m, const model_part *part, face f);
/* ", outline ±1.2 × ±0.8" for the longer and the shorter side of a sheet, the length of a bar; "" when they have none.
 */
const char *part_tolerance_outline(arena *mem, const model *m, const model_part *p);
#endif
