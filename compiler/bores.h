/* What an opening may measure when it is cut, and which drills and hole saws of the plan cut it so.
 * Ownership: nothing is kept; lists that are filled live in the model's arena. */
#ifndef COMPILER_BORES_H
#define COMPILER_BORES_H
#include "runtime/engine/model.h"

typedef struct bore_limits { /* mm; poison when nothing tells */
	rat least, most;
	bool by_seat; /* by what is seated there; else ISO 2768-1, class m */
} bore_limits;

/* Of the opening's first size (k 0) or second (k 1) in that sheet. */
bore_limits bores_limits(const model *m, const model_sheet_of_pattern *s, int k);
/* Is all that the drill or hole saw may cut within the limits? Without limits only the size itself is. */
model_holds bores_holds(const bore_limits *l, const model_tool *t, rat size);
bool bores_bit(const model_tool *t); /* a drill or a hole saw */
/* The tool that makes a sheet's openings: the drill or hole saw that cuts just their size; else one that is marked with
 * it and whose cut is within the limits; else the first router that goes in; else the bit within the limits that comes
 * nearest; else one that is only marked with the size. NONE when there is none. */
model_ref bores_tool(const model *m, const model_sheet_of_pattern *s);
/* Fills the limits of all openings, and what else of the plan would cut the round ones. */
void bores_make(model *m);
#endif
