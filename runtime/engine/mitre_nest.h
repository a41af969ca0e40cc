/* Mitred pieces on a bar: one cut ends a piece and begins the next when both ends have the same angle across the same
 * depth, the second piece turned over about its length.
 * Ownership: lists live in the arena given; parts are only read. */
#ifndef ENGINE_MITRE_NEST_H
#define ENGINE_MITRE_NEST_H
#include "runtime/engine/model.h"

/* What a blade takes more than its kerf along the bar at that end; rounded up to 1/1000 mm, 0 when square. */
rat mitre_more(const model_part *p, int end, rat kerf);
/* What one cut for two such ends saves against two cuts, along the bar; rounded down to 1/1000 mm, 0 when square. */
rat mitre_saves(const model_part *p, int end, rat kerf);
/* Can one cut be a's high and b's low end? */
bool mitre_nests(const model_part *a, const model_part *b);
/* Is it so on this bar: does b, the piece behind a, begin where a's cut ends? */
bool mitre_shared(const model *m, const model_piece *a, const model_piece *b, rat kerf);
/* Lays the bar's pieces in an order in which ends meet, from its trim on; false: they do not fit. */
bool mitre_nest(arena *mem, const model *m, model_bar_plan *bar);
/* With the ends as they are sawn: every piece lies within the trim, and no blade reaches from one into its neighbour.
 * NULL, or what is wrong. */
const char *mitre_bar_fault(const model *m, const model_bar_plan *bar);
#endif
