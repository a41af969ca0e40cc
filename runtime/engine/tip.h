/* How far the whole can be tilted before it falls. Values: no ownership. Millimetres, degrees. */
#ifndef ENGINE_TIP_H
#define ENGINE_TIP_H
#include "runtime/engine/model.h"

typedef struct tip {
	bool known;	  /* something stands, and weighs */
	double degrees;	  /* in the worst direction */
	face to;	  /* to which it falls then */
	double height_mm; /* of the centre of mass above the floor */
	double inside_mm; /* from there to the edge of what it stands on, along the worst direction */
} tip;

/* The centre of mass of the parts over the rectangle round what touches the floor: empty, doors shut. */
tip tip_of(const model *m);
#endif
