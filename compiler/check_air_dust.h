/* Checks of the air where dust arises, of fans in it and of the room: rows of CHECK_AIR (compiler/check_air.c).
 * Ownership: as in compiler/check.h. */
#ifndef COMPILER_CHECK_AIR_DUST_H
#define COMPILER_CHECK_AIR_DUST_H
#include "compiler/check.h"

void check_downdraft_face(const model *m, diags *d);
void check_booth_face(const model *m, diags *d);
void check_even_draw(const model *m, diags *d);
void check_work_height(const model *m, diags *d);
void check_capture_speed(const model *m, diags *d);
void check_capture_far(const model *m, diags *d);
void check_fan_straight(const model *m, diags *d);
void check_fan_in_dust(const model *m, diags *d);
void check_filter_clean(const model *m, diags *d);
void check_air_return(const model *m, diags *d);
void check_makeup_air(const model *m, diags *d);
void check_trough_small(const model *m, diags *d);
void check_metal_dust(const model *m, diags *d);
void check_solvent_spray(const model *m, diags *d);

/* Does what goes through this branch still hold its dust? It does when the air meets a filter behind it, the room not
 * passed again. */
bool check_filter_behind(const model *m, diags *d, const model_air_result *r, model_ref branch);
#endif
