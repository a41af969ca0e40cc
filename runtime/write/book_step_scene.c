/* What the picture of a step shows: which parts, how heavy, and from where they come in. */
#include "runtime/write/book_build.h"

bool book_step_new(const model_step *s, model_ref part) {
	for (size_t i = 0; i < s->new_parts.n; i++)
		if (s->new_parts.v[i] == part) return true;
	return false;
}

/* The parts that the step's operations handle. */
bool *book_step_handles(book *b, const model_step *s) {
	bool *handled = ARENA_MANY(b->mem, bool, model_rows(b->m) + 1);
	for (size_t i = 0; i < s->ops.n; i++) {
		const model_op *o = &b->m->order.ops.v[s->ops.v[i]];
		for (size_t k = 0; k < o->parts.n; k++) handled[o->parts.v[k]] = true;
	}
	return handled;
}

/* What earlier steps brought in. */
static bool *there_before(book *b, size_t step) {
	bool *there = ARENA_MANY(b->mem, bool, model_rows(b->m) + 1);
	for (size_t i = 0; i < step; i++) {
		const model_step *s = &b->m->order.steps.v[i];
		for (size_t k = 0; k < s->new_parts.n; k++) there[s->new_parts.v[k]] = true;
	}
	return there;
}

static bool shows_parts(model_op_kind kind) {
	switch (kind) {
	case OP_BUY:
	case OP_MEASURE:
	case OP_CUT:
	case OP_TEMPLATE:
	case OP_WIRE:
	case OP_TEST:
	case OP_WRITTEN:
		return false;
	default:
		return true;
	}
}

static bool wants_picture(const book *b, const model_step *s) {
	if (s->new_parts.n) return true;
	for (size_t i = 0; i < s->ops.n; i++)
		if (shows_parts(b->m->order.ops.v[s->ops.v[i]].kind)) return true;
	return false;
}

/* What comes in (or, when nothing does, what is worked on) is heavy, what it is joined to plain, what else stands
 * light, the rest is not there. */
static view_emphasis *emphasis(book *b, size_t step, size_t *heavy) {
	const model_step *s = &b->m->order.steps.v[step];
	const model *m = b->m;
	view_emphasis *e = ARENA_MANY(b->mem, view_emphasis, model_rows(m) + 1);
	*heavy = 0;
	const bool *there = there_before(b, step), *handled = book_step_handles(b, s);
	for (model_ref i = 0; i < m->parts.n; i++) {
		bool now = book_step_new(s, i) || (handled[i] && !(there[i] && s->new_parts.n));
		e[i] = now ? VIEW_NEW : handled[i] ? VIEW_NORMAL : there[i] ? VIEW_LIGHT : VIEW_ABSENT;
		*heavy += now && m->parts.v[i].kind != PART_GAP;
	}
	return e;
}

bool book_step_pictured(book *b, size_t step) {
	const model_step *s = &b->m->order.steps.v[step];
	size_t heavy = 0;
	if (wants_picture(b, s)) emphasis(b, step, &heavy);
	return heavy > 0;
}

/* New parts stand off their place by the way they come in, when something stands already and nothing is in the way. */
static bool *ways_in(book *b, size_t step, double (**offset)[3]) {
	const model_step *s = &b->m->order.steps.v[step];
	const model *m = b->m;
	bool *stands = there_before(b, step), *moved = ARENA_MANY(b->mem, bool, model_rows(m) + 1);
	*offset = arena_alloc(b->mem, sizeof **offset * (m->parts.n + 1));
	bool any = false;
	for (model_ref i = 0; i < m->parts.n; i++) {
		for (int a = 0; a < 3; a++) (*offset)[i][a] = 0;
		any = any || stands[i];
	}
	for (model_ref i = 0; any && i < m->parts.n; i++)
		if (book_step_new(s, i)) moved[i] = book_way_in(b, i, stands, (*offset)[i]);
	return moved;
}

/* What is there and what comes in, each thing numbered once. */
view_scene book_step_scene(book *b, size_t step, size_t *heavy) {
	const model_step *s = &b->m->order.steps.v[step];
	double(*offset)[3] = NULL;
	view_emphasis *e = emphasis(b, step, heavy);
	if (!*heavy) return (view_scene){0};
	bool *moved = ways_in(b, step, &offset);
	view_scene scene = view_from_model(b->mem, b->m, e, (const double(*)[3])offset, s->kind == OP_DRILL);
	bool *said = ARENA_MANY(b->mem, bool, b->items.n + 1);
	for (size_t i = 0; i < scene.n; i++) {
		const book_item *x = book_item_of(b, scene.part[i].owner);
		scene.part[i].arrow = moved[scene.part[i].owner];
		bool named = scene.part[i].emphasis == VIEW_NEW || scene.part[i].emphasis == VIEW_NORMAL;
		if (!named || !x || said[x->number - 1]) continue;
		said[x->number - 1] = true;
		scene.part[i].balloon = arena_printf(b->mem, "%u", x->number);
	}
	return scene;
}
