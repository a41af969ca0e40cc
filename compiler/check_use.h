/* Checks of how the thing is used when it stands: what bears and bends, opens, slides, rolls, comes out. Their rules
 * stand in one table, CHECK_USE (compiler/check_use.c); those that need the solved air stand in CHECK_AIR.
 * Ownership: as in compiler/check.h. */
#ifndef COMPILER_CHECK_USE_H
#define COMPILER_CHECK_USE_H
#include "compiler/check.h"

/* check_bend.c */
void check_shelf_sag(const model *m, diags *d);
void check_panel_bulge(const model *m, diags *d); /* after air_solve() */
/* check_open.c */
void check_door_sweep(const model *m, diags *d);
void check_slide_blocked(const model *m, diags *d);
/* check_out.c: stuck-inside and screwed-shut */
void check_comes_out(const model *m, diags *d);
/* check_mates.c */
void check_axes_apart(const model *m, diags *d);
/* check_seam.c */
void check_seam_unbacked(const model *m, diags *d);
/* check_stand.c */
void check_caster_swing(const model *m, diags *d);
void check_doorway(const model *m, diags *d);
/* check_wood.c */
void check_wood_moves(const model *m, diags *d);
void check_grain_short(const model *m, diags *d);
#endif
