/* The build book: every page of the plan as displays, and the PDF made of them.
 * Ownership: the bytes live in the arena given; the model is only read. */
#ifndef WRITE_BOOK_H
#define WRITE_BOOK_H
#include <stddef.h>

#include "runtime/base/text.h"
#include "runtime/engine/model.h"

/* What the book asks the air engine for its plots: pressure rise that the network asks of fan branch `fan` at a flow of
 * the whole branch in a condition, and the rise the fan gives there, Pa; NaN where there is no answer. */
typedef struct book_curves {
	double (*needs)(const model *m, arena *mem, int condition, model_ref fan, double flow_m3_s);
	double (*gives)(const model *m, arena *mem, model_ref fan, double flow_m3_s);
} book_curves;

/* The book as a PDF: paper and measures as the model says. Without `curves`
 * the plots show operating points alone. `told`, or NULL: gets what display_text_faults() says of the pages. NULL when
 * all went well, else the reason. */
const char *book_make(arena *mem, const model *m, const book_curves *curves, textbuf *told, char **bytes, size_t *size);
#endif
