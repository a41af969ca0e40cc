/* Whether a thing can come to its place when its turn comes, by the geometry of compiler/way.h. */
#include "compiler/order_inner.h"
#include "compiler/way.h"

/* What stands bars the way, but for doors and what lifts out; what is fitted bars it, too. */
static way_scene scene(const order_work *w, const bool *stands, const bool *fitted) {
	size_t n = w->m->parts.n;
	bool *bars = ARENA_MANY(w->mem, bool, n + 1);
	for (size_t i = 0; i < n; i++) {
		const model_part *a = &w->m->parts.v[i];
		bool shut = stands && stands[i] && model_part_made(w->m, a) && a->kind != PART_DOOR && !a->loose;
		bars[i] = shut || (fitted && fitted[i]);
	}
	return (way_scene){.m = w->m, .mem = w->mem, .bars = bars, .rows = w->parts.v};
}

bool order_way_out(const order_work *w, box3 thing, model_ref self, const bool *stands, const bool *fitted) {
	way_scene s = scene(w, stands, fitted);
	return way_out(&s, thing, self);
}

const char *order_way_widest(const order_work *w, model_ref self, span *at) {
	way_scene s = scene(w, NULL, NULL);
	way_passage p;
	if (!way_widest(&s, self, &p)) return NULL;
	*at = p.at;
	measures as = w->m->measures;
	return arena_printf(w->mem, "%s, %s x %s", order_spoken(w->mem, p.name),
			    quant_show_length(w->mem, rat_from_double(p.broad, 1000), as, false),
			    quant_show_length(w->mem, rat_from_double(p.thin, 1000), as, false));
}

/* ---- every bought thing when its turn comes ---------------------------------------------------------------- */

/* The fitted things that bar its way by themselves. Returns their names, or NULL: only several together do. */
static const char *tell_fitted(order_work *w, diag *g, model_ref part, const bool *stands, const bool *fitted) {
	bool *one = ARENA_MANY(w->mem, bool, model_rows(w->m) + 1);
	const char *names = NULL;
	for (size_t i = 0; i < w->parts.n; i++) {
		model_ref q = w->parts.v[i];
		const model_part *b = &w->m->parts.v[q];
		if (!fitted[q]) continue;
		one[q] = true;
		bool bars = !order_way_out(w, w->m->parts.v[part].box, part, stands, one);
		one[q] = false;
		if (!bars) continue;
		const char *name = order_spoken(w->mem, b->name);
		diag_add_note(w->d, g, b->at, "%s stands in its way already", name);
		names = names ? arena_printf(w->mem, "%s and %s", names, name) : name;
	}
	return names;
}

static void closed_in(order_work *w, model_ref part, const char *last, const bool *stands, const bool *fitted) {
	const model_part *a = &w->m->parts.v[part];
	const char *size[3];
	for (int i = 0; i < 3; i++)
		size[i] = quant_show_length(w->mem, box_size(a->box, (axis)i), w->m->measures, false);
	const char *name = order_spoken(w->mem, a->name);
	diag *g = diag_error(w->d, "closed-in", a->at, "%s, %s x %s x %s, can no longer be put in", name, size[0],
			     size[1], size[2]);
	if (order_way_out(w, a->box, part, stands, NULL)) { /* what is fitted closes it in */
		const char *by = tell_fitted(w, g, part, stands, fitted);
		diag_add_help(w->d, g, "fit it before %s, or give it a way of its own", by ? by : "what is fitted");
		return;
	}
	span at = span_none();
	const char *way = order_way_widest(w, part, &at);
	if (way)
		diag_add_note(w->d, g, at, "the widest way in is %s", way);
	else
		diag_add_note(w->d, g, span_none(), "the cabinet has no door, gap or loose part");
	if (last) diag_add_note(w->d, g, span_none(), "what was joined last before it: %s", last);
	diag_add_help(w->d, g,
		      "give the cabinet a door, a gap or a loose panel that %s passes through, or write a step "
		      "that fits it before the last panel",
		      name);
}

/* The step that the plan writes before the one that fits this, and that put a loose part in its only way: NULL when
 * none did. What lifts out can come off again, so that is no shut-in thing; but it is work done twice. */
static void laid_in_the_way(order_work *w, model_ref op, model_ref part, const bool *stands, const bool *fitted,
			    const model_ref *laid) {
	bool *with = ARENA_MANY(w->mem, bool, w->m->parts.n + 1);
	for (size_t i = 0; i < w->parts.n; i++) {
		model_ref q = w->parts.v[i];
		if (laid[q] == MODEL_NONE || laid[q] == op) continue;
		model_ref row = w->ops.v[laid[q]].written, own = w->ops.v[op].written;
		if (!order_written_before(w, row, own)) continue;
		for (size_t k = 0; k < w->m->parts.n; k++) with[k] = fitted[k];
		with[q] = true;
		if (order_way_out(w, w->m->parts.v[part].box, part, stands, with)) continue;
		const char *lid = order_spoken(w->mem, w->m->parts.v[q].name);
		const char *name = order_spoken(w->mem, w->m->parts.v[part].name);
		diag *g =
			diag_warning(w->d, "closed-in", w->m->parts.v[part].at,
				     "%s cannot be put in past %s, which the plan puts in before it: it would have to "
				     "come out again",
				     name, lid);
		diag_add_note(w->d, g, w->m->parts.v[q].at, "%s stands in its only way", lid);
		diag_add_note(w->d, g, w->m->written.v[row].at, "step \"%s\" puts %s in, and is written first",
			      w->m->written.v[row].name, lid);
		diag_add_note(w->d, g, w->m->written.v[own].at, "step \"%s\" comes after it",
			      w->m->written.v[own].name);
		diag_add_help(w->d, g, "put %s in after %s", lid, name);
		return;
	}
}

/* Things that are fitted bar the way; loose parts can be lifted out again, and a collar is hollow. */
static bool stays_in_the_way(const order_work *w, model_ref op, model_ref p) {
	return w->ops.v[op].kind != OP_SEAT && (w->m->parts.v[p].kind == PART_ITEM || order_unit(w, op));
}

void order_way_check(order_work *w) {
	bool *stands = ARENA_MANY(w->mem, bool, model_rows(w->m) + 1);
	bool *fitted = ARENA_MANY(w->mem, bool, model_rows(w->m) + 1);
	model_ref *laid = ARENA_MANY(w->mem, model_ref, w->m->parts.n + 1); /* loose parts: put in by which operation */
	for (size_t i = 0; i < w->m->parts.n; i++) laid[i] = MODEL_NONE;
	const char *last = NULL;
	for (size_t i = 0; i < w->sequence.n; i++) {
		model_ref op = w->sequence.v[i];
		const model_op *o = &w->ops.v[op];
		if (o->kind == OP_JOIN && w->bench[o->parts.v[0]] == MODEL_NONE) {
			for (size_t k = 0; k < o->parts.n; k++) stands[o->parts.v[k]] = true;
			last = o->what;
		}
		if (o->kind != OP_FILTER && o->kind != OP_FAN && o->kind != OP_FIT) continue;
		for (size_t k = 0; k < o->parts.n; k++) {
			model_ref p = o->parts.v[k];
			if (w->of[p].fit != op) continue;
			if (!order_way_out(w, w->m->parts.v[p].box, p, stands, fitted))
				closed_in(w, p, last, stands, fitted);
			else
				laid_in_the_way(w, op, p, stands, fitted, laid);
		}
		for (size_t k = 0; k < o->parts.n; k++) {
			model_ref p = o->parts.v[k];
			if (w->of[p].fit != op) continue;
			if (stays_in_the_way(w, op, p))
				fitted[p] = true;
			else if (o->kind == OP_FIT)
				laid[p] = op;
		}
	}
}
