/* Why a step stands where it does: what it waits for, what waits for it, and what was not told before. */
#include <string.h>

#include "runtime/base/text.h"
#include "runtime/write/book_build.h"

/* What a reason says, without the step it looks ahead to, and without the part that stands: it is in the picture. */
static const char *reason_core(const char *reason) {
	const char *stands = strstr(reason, " stands already, and carries ");
	const char *colon = strncmp(reason, "before step ", 12) == 0 ? strstr(reason, ": ") : NULL;
	return stands ? stands : colon ? colon + 2 : reason;
}

/* A reason that was given already, by an earlier step or by this one, is not told again (steps.json has them all). */
static bool reason_told(const model *m, size_t step, size_t row) {
	const char *reason = reason_core(m->order.steps.v[step].reasons.v[row]);
	for (size_t i = 0; i <= step; i++) {
		const model_step *s = &m->order.steps.v[i];
		for (size_t k = 0; k < (i < step ? s->reasons.n : row); k++)
			if (text_same(reason_core(s->reasons.v[k]), reason)) return true;
	}
	return false;
}

typedef struct neighbour {
	size_t step;
	const char *reason; /* NULL: there is none */
} neighbour;

/* The last step that this one waits for, or the first that waits for it; of its reasons the one that names a part. */
static neighbour nearest(const model_order *r, size_t step, bool before) {
	neighbour best = {0, NULL};
	for (size_t i = 0; i < r->edges.n; i++) {
		const model_edge *e = &r->edges.v[i];
		size_t from = r->ops.v[e->before].step, to = r->ops.v[e->after].step, other = before ? from : to;
		if ((before ? to : from) != step || other == step || (other < step) != before) continue;
		bool nearer = !best.reason || (before ? other > best.step : other < best.step);
		bool names = best.reason && other == best.step && strstr(e->reason, " stands already, ") &&
			     !strstr(best.reason, " stands already, ");
		if (nearer || names) best = (neighbour){other, e->reason};
	}
	return best;
}

const char *book_why(book *b, size_t step) {
	const model_step *s = &b->m->order.steps.v[step];
	neighbour after = nearest(&b->m->order, step, true), before = nearest(&b->m->order, step, false);
	textbuf why = textbuf_begin(b->mem);
	if (after.reason) textbuf_printf(&why, "after step %zu: %s", after.step + 1, after.reason);
	if (before.reason)
		textbuf_printf(&why, "%sbefore step %zu: %s", why.n ? "; " : "", before.step + 1, before.reason);
	for (size_t i = 0; i < s->reasons.n; i++) {
		const char *core = reason_core(s->reasons.v[i]);
		bool said = (after.reason && text_same(core, reason_core(after.reason))) ||
			    (before.reason && text_same(core, reason_core(before.reason)));
		if (!said && !reason_told(b->m, step, i))
			textbuf_printf(&why, "%s%s", why.n ? "; " : "", s->reasons.v[i]);
	}
	return why.n ? arena_printf(b->mem, "Why now: %s.", why.v) : NULL;
}
