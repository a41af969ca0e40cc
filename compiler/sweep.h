/* A hinged door that is opened: it turns outwards about the line along its hinge edge in its outer face.
 * Values: no ownership. Millimetres, degrees. */
#ifndef COMPILER_SWEEP_H
#define COMPILER_SWEEP_H
#include "runtime/engine/model.h"

typedef struct sweep {
	model_ref door;
	axis line, across, out;	    /* the hinge line; from it over the door; the way it opens */
	bool across_high, out_high; /* whether those run with their axes */
	rat hinge[3];		    /* a point of the hinge line */
	double wide, thick;
	rat lo, hi; /* extent along the line */
	double degrees;
} sweep;

/* False for what is no hinged door. It opens to that side on which less of the whole lies before it
 * and its frame. */
bool sweep_of(const model *m, model_ref part, sweep *s);
/* How far it opens until it meets the box; its own degrees when it does not. Looked at in steps of a degree. */
double sweep_until(const sweep *s, const box3 *b);
/* The box about the door when it is quite open, rounded to 1/1000 mm; exact for a quarter and a half turn. */
box3 sweep_open_box(const sweep *s);
#endif
