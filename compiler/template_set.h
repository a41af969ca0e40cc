/* How a router template lies on its sheets: its own size, holes to fix it by, blocks to set it by.
 * Ownership: lists go to the model's arena. */
#ifndef COMPILER_TEMPLATE_SET_H
#define COMPILER_TEMPLATE_SET_H
#include "runtime/engine/model.h"

/* Diameter of a router's base where the plan does not say it. Common practice, no source. */
#define TEMPLATE_BASE_MM (rat_int(150))
/* Holes for screws of 4 mm with heads of 10 mm. Common practice, no source. */
#define TEMPLATE_HOLE_MM (rat_int(5))
#define TEMPLATE_HOLE_INCH (rat_of(13 * 127, 64 * 5)) /* 13/64 in, its neighbour in an inch shop */
enum { TEMPLATE_HEAD_MM = 10 };

/* Fills size, reach and holes of a row that has its opening and its uses, and places and runs of each use. The holes
 * lie where the base does not run, so many of them that at each place two or more meet what is waste or gets a hole
 * anyway, if within reach there are such places; the four corners else. */
void template_set(model *m, model_template *t);
/* The next whole number of steps from v upwards. */
rat template_whole_steps(rat v, rat step);
#endif
