#include "runtime/draw/outline_ink.h"

#include <math.h>

void outline_ink(display *d, const outline_path *p, double x, double y, double scale) {
	const double degrees = 180 / acos(-1.0);
	for (size_t i = 0; i < p->n; i++) {
		const outline_piece *o = &p->v[i];
		if (i == 0) display_move(d, x + scale * o->from.x, y - scale * o->from.y);
		if (o->bend == 0) {
			display_line(d, x + scale * o->to.x, y - scale * o->to.y);
			continue;
		}
		display_add_arc(d, x + scale * o->centre.x, y - scale * o->centre.y, scale * o->radius,
				o->start * degrees, (o->start + o->sweep) * degrees, true);
	}
	if (p->n) display_close(d);
}
