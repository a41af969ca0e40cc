/* Glue that skins over: joints that are closed at once, and how many a page may have glued at a time. */
#include <math.h>

#include "compiler/check_util.h"
#include "compiler/order_inner.h"
#include "runtime/base/text.h"

static const model_stock *glue_of(const order_work *w, const model_op *o) {
	const model_joint *j = o->kind == OP_JOIN && o->joint != MODEL_NONE ? &w->m->joints.v[o->joint] : NULL;
	if (!j || !j->glue || j->glue_stock >= w->m->stocks.n) return NULL;
	const model_stock *s = &w->m->stocks.v[j->glue_stock];
	return isfinite(s->open_s.v) && s->open_s.v > 0 ? s : NULL;
}

/* The part that comes with the joint: the one of the two that the step brings in, else (both do, or neither) the first.
 */
static model_ref comes_with(const model_joint *j, const bool *stands) {
	return stands[j->a] && !stands[j->b] ? j->b : j->a;
}

typedef struct glued {	    /* joints that one part closes at once */
	model_ref part, op; /* op: the first */
	size_t n;
	double minutes;
	const model_stock *glue; /* the quickest of them */
} glued;

static void too_long(order_work *w, const glued *g) {
	double open = g->glue->open_s.v / 60, over = g->minutes - open;
	if (g->n < 2 || over <= 1e-9) return;
	const char *part = w->m->parts.v[g->part].name;
	diag *d = diag_warning(
		w->d, "glue-open", w->ops.v[g->op].at,
		"%s comes with %zu glued joints at once: spreading and closing them takes %.0f min, %.0f min "
		"longer than %s stays open",
		part, g->n, g->minutes, ceil(over), g->glue->name);
	diag_add_note(w->d, d, g->glue->open_s.at, "it stays open so long");
	diag_add_note(w->d, d, w->m->parts.v[g->part].at, "%s is here", part);
	diag_add_help(w->d, d,
		      "glue only some of these joints and screw the others, join them in two steps, or take a "
		      "glue that stays open longer");
}

/* As many of the page's joints as the slowest ones leave time for. */
static const char *at_a_time(order_work *w, const model_step *s, double open, size_t all) {
	double *t = ARENA_MANY(w->mem, double, s->ops.n + 1), sum = 0;
	size_t n = 0, most = 0;
	for (size_t i = 0; i < s->ops.n; i++) {
		if (!glue_of(w, &w->ops.v[s->ops.v[i]])) continue;
		double own = order_glue_minutes(&w->m->joints.v[w->ops.v[s->ops.v[i]].joint]);
		size_t at = n++;
		for (; at > 0 && t[at - 1] < own; at--) t[at] = t[at - 1];
		t[at] = own;
	}
	while (most < n && sum + t[most] <= open + 1e-9) sum += t[most++];
	if (most < 1) most = 1;
	if (most == all)
		return arena_printf(w->mem, "Open time of the glue %.0f min: %s.", open,
				    all == 1 ? "close the joint within it" : "its joints here can be glued in one go");
	return arena_printf(w->mem, "Glue at most %zu %s at a time: open time %.0f min.", most,
			    most == 1 ? "joint" : "joints", open);
}

void order_glue_make(order_work *w) {
	bool *stands = ARENA_MANY(w->mem, bool, model_rows(w->m) + 1);
	for (size_t r = 0; r < w->m->order.steps.n; r++) {
		model_step *s = &w->m->order.steps.v[r];
		LIST(glued) all = {0};
		double open = INFINITY;
		size_t n = 0;
		for (size_t i = 0; i < s->ops.n; i++) {
			const model_op *o = &w->ops.v[s->ops.v[i]];
			const model_stock *glue = glue_of(w, o);
			if (!glue) continue;
			const model_joint *j = &w->m->joints.v[o->joint];
			model_ref part = comes_with(j, stands);
			size_t k = 0;
			while (k < all.n && all.v[k].part != part) k++;
			if (k == all.n) LIST_PUSH(w->mem, &all, ((glued){part, s->ops.v[i], 0, 0, glue}));
			all.v[k].n++;
			all.v[k].minutes += order_glue_minutes(j);
			if (glue->open_s.v < all.v[k].glue->open_s.v) all.v[k].glue = glue;
			open = fmin(open, glue->open_s.v / 60);
			n++;
		}
		for (size_t k = 0; k < all.n; k++) too_long(w, &all.v[k]);
		if (n) s->glue = at_a_time(w, s, open, n);
		for (size_t i = 0; i < s->ops.n; i++)
			for (size_t k = 0; k < w->ops.v[s->ops.v[i]].parts.n; k++)
				if (w->ops.v[s->ops.v[i]].kind == OP_JOIN)
					stands[w->ops.v[s->ops.v[i]].parts.v[k]] = true;
	}
}
