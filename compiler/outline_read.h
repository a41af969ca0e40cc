/* Free outlines of openings: from the plan's lines to points and arcs, checked.
 * Ownership: what is made lives in the context's arena. Private to the resolving stages. */
#ifndef COMPILER_OUTLINE_READ_H
#define COMPILER_OUTLINE_READ_H
#include "compiler/context.h"

/* `outline { from …; to …; arc …; close }`: points along the axes u and v, from the pattern's axis. False: reported. */
bool outline_read(ctx *c, const inst *in, const syn_line *line, axis u, axis v, model_shape *s);
#endif
