/* Checks of the air that look at the parts alone: rows of CHECK_AIR (compiler/check_air.c).
 * Ownership: as in compiler/check.h. */
#ifndef COMPILER_CHECK_AIR_FIT_H
#define COMPILER_CHECK_AIR_FIT_H
#include "compiler/check.h"

/* Tubes end before what lies under them. */
void check_tubes_long(const model *m, diags *d);
/* A way names what it passes in the order in which it lies */
void check_air_order(const model *m, diags *d);
/* Nothing is left open round a filter unit. */
void check_filter_bypass(const model *m, diags *d);
/* tubes-room: they keep apart from each other and from what stands beside them */
void check_tubes_room(const model *m, diags *d);
#endif
