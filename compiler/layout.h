/* From the parts of the model to sheets and bars: sizes, grain and kerf to the engine, its answer back.
 * Ownership: what is set in the model and the diagnostics lives in the model's arena. */
#ifndef COMPILER_LAYOUT_H
#define COMPILER_LAYOUT_H
#include <stdbool.h>

#include "runtime/base/diag.h"
#include "runtime/engine/model.h"

/* The kerf that is taken when the plan names no saw (rule no-saw says so): a common blade. Common practice, no
 * source. */
#define LAYOUT_KERF_MM 3
/* An offcut is worth keeping when both sides reach this. Common practice, no source. */
#define LAYOUT_USEFUL_MM 100

/* How long is searched, in steps, never in time: a tenth of the usual number, the usual number, forty times as many.
 * X(enumerator, word, percent) */
#define LAYOUT_EFFORTS(X)                                                                                              \
	X(USUAL, "usual", 100)                                                                                         \
	X(BRIEF, "brief", 10)                                                                                          \
	X(LONG, "long", 4000)
typedef enum layout_effort {
#define X(name, word, percent) EFFORT_##name,
	LAYOUT_EFFORTS(X)
#undef X
		EFFORT_KINDS
} layout_effort;
extern const char *const LAYOUT_EFFORT_WORD[EFFORT_KINDS];

/* Is told what is being worked on: "laying out `ply18`". Texts outlive the call. */
typedef struct progress {
	void (*tell)(const char *what);
} progress;

/* Fills m->layout: every part that is made, on sheets and bars of its stock; parts too large for their stock are on
 * none. Runs CHECK_LAYOUT. Every layout is verified by the second route; one that is refused is an error
 * "layout-internal", one that the engine cannot take "layout-limit". False when an error was added. Run it once. */
bool layout_make(model *m, diags *d);
bool layout_make_by(model *m, diags *d, layout_effort effort, progress who);

/* The kerf in force, and the saw's row or MODEL_NONE. */
rat layout_kerf(const model *m, model_ref *saw);

/* Size along the sheet's longer side and across it, as the part lies when it is not turned, and whether it may be
 * turned. False when the part is not made of a sheet that has sizes. */
bool layout_part_on_sheet(const model *m, const model_part *p, rat *w, rat *h, bool *turnable);
/* Longer and shorter side of a sheet. */
void layout_sheet_size(const model_stock *s, rat *w, rat *h);
#endif
