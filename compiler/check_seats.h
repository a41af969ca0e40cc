/* What is seated in openings: collars, tubes and grommets, their flanges and clamps. Rules of check_openings.c.
 * Ownership: nothing is kept. */
#ifndef COMPILER_CHECK_SEATS_H
#define COMPILER_CHECK_SEATS_H
#include "compiler/check.h"

/* Holes, sheets, neighbours' flanges and clamps: "collar-fit". */
void check_seats_fit(const model *m, diags *d);
/* Drills and hole saws that cut a plain hole too small or too large: "hole-size". */
void check_seats_size(const model *m, diags *d);
/* The flange against the sheet's edges, parts that stand on its face and cuts: "flange-room". */
void check_seats_room(const model *m, diags *d);
#endif
