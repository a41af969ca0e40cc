/* What an opening may measure, how deep its passes go, and what else would cut it, in words.
 * Ownership: texts go to the arena given; the model is only read. */
#ifndef WRITE_HOLE_WORDS_H
#define WRITE_HOLE_WORDS_H
#include "runtime/engine/model.h"

/* A limit as a caliper shows it, to 0.01 mm or 0.001 in, never beyond the limit itself; without a unit. */
const char *hole_limit(arena *mem, const model *m, rat mm, bool most);
/* "59.7 to 60.3 mm", "359.5 to 360.5 × 279.5 to 280.5 mm"; NULL where nothing tells. */
const char *hole_limits_words(arena *mem, const model *m, const rat *least, const rat *most, const model_shape *s);
/* What the limits come from: "ISO 2768-m", "collar 110 mm". */
const char *hole_limits_from(const model *m, const model_sheet_of_pattern *s);
/* "6.35, 12.7 and 18.6 mm, through" */
const char *hole_passes_words(arena *mem, const model *m, const model_template_use *u);
/* To 0.01 mm or 0.001 in, with its unit. */
const char *hole_about(arena *mem, const model *m, rat mm);
/* "0.2 mm more", "just so" */
const char *hole_off_words(arena *mem, const model *m, rat off);
/* "taken: its template is made for this size", "would do", "too large by 0.2 mm" */
const char *hole_option_words(arena *mem, const model *m, const model_sheet_of_pattern *s, const model_option *o);
/* "wells may measure …: NAME cuts …, taken; NAME cuts …, too large by …." NULL when there is no choice to tell. */
const char *hole_options_words(arena *mem, const model *m, const model_pattern *p, const model_sheet_of_pattern *s);
#endif
