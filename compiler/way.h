/* Whether a thing can leave (or reach) its place past what stands: exact for straight moves along the axes without
 * turning, in any number and order, and generous where it might be turned: any declared way out (door, gap, loose part)
 * that its two smaller sizes fit through will do. Openings of sheets that are wide enough count as ways.
 * Ownership: texts are the model's; scratch memory goes back before a call ends, but for lists in `mem`. */
#ifndef COMPILER_WAY_H
#define COMPILER_WAY_H
#include "runtime/engine/model.h"

typedef struct way_scene {
	const model *m;
	arena *mem;
	const bool *bars;      /* [parts] material that stands in the way */
	const model_ref *rows; /* [parts] the order in which equal ways out are preferred; NULL: as they stand */
} way_scene;

bool way_out(const way_scene *w, box3 thing, model_ref self);

typedef struct way_passage { /* a declared way out; the sizes in millimetres */
	const char *name;    /* of the part, "rib.2" */
	span at;
	double broad, thin;
} way_passage;
/* The widest declared way out other than `self`; false when there is none. */
bool way_widest(const way_scene *w, model_ref self, way_passage *out);
#endif
