/* Edges of openings that are eased when their part is joined already: can a hand and a tool still come to them? */
#include "compiler/order_inner.h"
#include "runtime/base/text.h"

enum { ROOM_MM = 150 }; /* for hand and tool, as before the heads of screws: common practice, no source */

/* Does the part stand less than that before the rim of an opening, on the side that is eased? */
static bool before_rims(const order_work *w, const model_pattern *pat, const model_shape *shape, const model_ease *e,
			model_ref other) {
	const box3 *own = &w->m->parts.v[e->part].box, *it = &w->m->parts.v[other].box;
	for (size_t i = 0; i < pat->axes.n; i++) {
		bool meets = true;
		for (int k = 0; k < 3 && meets; k++) {
			double lo, hi;
			if (k == (int)face_axis(e->face)) {
				double at = order_rat_mm(face_high(e->face) ? own->hi[k] : own->lo[k]);
				lo = face_high(e->face) ? at : at - ROOM_MM;
				hi = lo + ROOM_MM;
			} else {
				double half = order_rat_mm(model_shape_half(shape, (axis)k));
				lo = order_rat_mm(pat->axes.v[i].v[k]) - half;
				hi = lo + 2 * half;
			}
			meets = order_rat_mm(it->lo[k]) < hi - 1e-6 && order_rat_mm(it->hi[k]) > lo + 1e-6;
		}
		if (meets) return true;
	}
	return false;
}

static void captured(order_work *w, model_ref op, const model_ease *e, const model_pattern *pat, model_ref other) {
	const char *part = w->m->parts.v[e->part].name, *bar = order_spoken(w->mem, w->m->parts.v[other].name);
	const model_op *o = &w->ops.v[op];
	diag *g = diag_error(w->d, "closed-in", e->at,
			     "the edges of %s on %s.%s can no longer be reached when they are to be eased", pat->name,
			     part, FACE_NAME[e->face]);
	diag_add_note(w->d, g, w->m->parts.v[other].at, "%s stands less than %d mm before them, and comes earlier", bar,
		      ROOM_MM);
	if (o->written != MODEL_NONE)
		diag_add_note(w->d, g, w->m->written.v[o->written].at, "step \"%s\" eases them",
			      w->m->written.v[o->written].name);
	diag_add_help(w->d, g, "ease them before %s is joined", bar);
}

void order_edge_check(order_work *w) {
	bool *stands = ARENA_MANY(w->mem, bool, model_rows(w->m) + 1);
	for (size_t i = 0; i < w->sequence.n; i++) {
		model_ref op = w->sequence.v[i];
		const model_op *o = &w->ops.v[op];
		for (size_t k = 0; k < o->parts.n && o->kind == OP_JOIN; k++) stands[o->parts.v[k]] = true;
		if (o->kind != OP_EASE || !stands[o->parts.v[0]]) continue;
		const model_pattern *pat = &w->m->patterns.v[o->pattern];
		const model_sheet_of_pattern *s = model_pattern_sheet(pat, o->parts.v[0]);
		for (size_t k = 0; k < pat->eases.n && s; k++) {
			const model_ease *e = &pat->eases.v[k];
			if (e->part != o->parts.v[0]) continue;
			for (model_ref q = 0; q < w->m->parts.n; q++) {
				if (!stands[q] || q == e->part || !before_rims(w, pat, &s->shape, e, q)) continue;
				captured(w, op, e, pat, q);
				break;
			}
		}
	}
}
