/* Openings: margins of a field on single sides, and openings of a layout that are left out.
 * Ownership: nothing is kept; the pattern's axes are thinned out where they stand. */
#ifndef COMPILER_OPEN_FIELD_H
#define COMPILER_OPEN_FIELD_H
#include "compiler/context.h"

/* `margin LENGTH from SIDE`: the distance from that side of the field, in place of its inset. `lo` and `hi` are those
 * along u and v without any inset, in the coordinates of the instance; `inset` counts for the other sides. The lines
 * are checked. False: reported. */
bool open_field_margins(ctx *c, const line_list *lines, const axis uv[2], rat inset, rat lo[2], rat hi[2]);
/* Margins belong to a layout that fills a field: reports those that stand with another one. */
bool open_field_only(ctx *c, const line_list *lines, const syn_line *layout);
/* `without N` and `clear of PART by LENGTH`. `alone`: the places of other parts are not known, `clear` does not count.
 * False: reported. */
bool open_field_leave_out(ctx *c, const pattern_def *def, const line_list *lines, bool alone, model_pattern *m);
/* Looks up what `clear of` names, when the axes are not known because another line failed. */
void open_field_look(ctx *c, const line_list *lines);
#endif
