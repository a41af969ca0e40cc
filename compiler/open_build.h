/* Openings while they are resolved: what resolve_open.c (sheets, shapes, what sits in them) and open_axes.c (where they
 * stand) share. Ownership: a pattern in work lives on the stack of pattern_resolve(). */
#ifndef COMPILER_OPEN_BUILD_H
#define COMPILER_OPEN_BUILD_H
#include "compiler/context.h"

typedef struct open_build {
	ctx *c;
	pattern_def *def;
	model_pattern *m;
	line_list lines;
	bool own; /* its axes stay in the coordinates of its instance */
	bool bad;
} open_build;

/* A size of an opening or a distance between openings: mm, more than nothing. False: reported. */
bool open_positive(ctx *c, const syn_expr *e, rat *mm);
/* How far the openings reach from their axes, low and high, mm, over all sheets: the field's inset counts to the rims.
 */
rat open_reach(const open_build *b, axis along, bool high);
/* Where the openings stand: kind, pitch and axes of b->m from the one line that lays them out, less what `without` and
 * `clear of` leave out. The shapes are read. Sets b->bad when anything was reported. */
void open_read_layout(open_build *b);
#endif
