/* Tools that the work takes: which of the plan's cut dados, and what is needed that the plan does not name. */
#include <string.h>

#include "runtime/base/text.h"
#include "runtime/engine/joint.h"
#include "runtime/write/book_build.h"

static const char *label_of(const model_tool *t) { return t->label ? t->label : t->name; }

rat book_groove_width(const book *b, const model_joint *j) {
	const model *m = b->m;
	if (j->kind == JOINT_TONGUE)
		return rat_ok(j->allowance.mm) ? rat_add(j->thick.mm, j->allowance.mm) : j->thick.mm;
	if (j->kind == JOINT_HALVING) return rat_poison(); /* as broad as the other part */
	model_ref stock = j->a < m->parts.n ? m->parts.v[j->a].stock : MODEL_NONE;
	if (stock >= m->stocks.n || !rat_ok(m->stocks.v[stock].thick.mm)) return rat_poison();
	rat wide = m->stocks.v[stock].thick.mm;
	return rat_ok(j->allowance.mm) ? rat_add(wide, j->allowance.mm) : wide;
}

model_ref book_groove_tool(const book *b, const model_joint *j) {
	rat wide = book_groove_width(b, j);
	for (model_ref i = 0; i < b->m->tools.n; i++) {
		const model_tool *t = &b->m->tools.v[i];
		if (t->kind != TOOL_ROUTER) continue;
		/* A rabbet is open on one side: any cutter will do. */
		bool goes_in = j->kind == JOINT_RABBET || !rat_ok(wide) || !rat_ok(t->diameter.mm) ||
			       rat_le(model_tool_cuts(t), wide);
		if (goes_in) return i;
	}
	return MODEL_NONE;
}

const char *book_groove_need(const book *b, const model_joint *j) {
	rat wide = book_groove_width(b, j);
	if (j->kind == JOINT_RABBET || !rat_ok(wide)) return "router with straight cutter";
	return arena_printf(b->mem, "router with straight cutter of at most %s", book_length(b, wide));
}

static void put(const book *b, book_lines *l, const char *text) {
	for (size_t i = 0; i < l->v.n; i++)
		if (text_same(l->v.v[i], text)) return;
	LIST_PUSH(b->mem, &l->v, text);
}

static bool has_drill(const model *m, rat diameter) {
	for (size_t i = 0; i < m->tools.n; i++)
		if (m->tools.v[i].kind == TOOL_DRILL && rat_eq(m->tools.v[i].diameter.mm, diameter)) return true;
	return false;
}

/* A tool of that diameter (poison: of any) whose label has the word. */
static bool has_word(const model *m, const char *word, rat diameter) {
	for (size_t i = 0; i < m->tools.n; i++) {
		const model_tool *t = &m->tools.v[i];
		if (strstr(label_of(t), word) && (!rat_ok(diameter) || rat_eq(t->diameter.mm, diameter))) return true;
	}
	return false;
}

static void drill_needs(const book *b, const model_op *o, book_lines *out) {
	const model *m = b->m;
	for (size_t i = 0; i < m->features.n; i++) {
		const model_feature *f = &m->features.v[i];
		bool pilot = f->kind == FEATURE_PILOT, handled = false;
		if (!pilot && f->kind != FEATURE_CLEARANCE) continue;
		for (size_t k = 0; k < o->parts.n; k++) handled = handled || o->parts.v[k] == f->part;
		if (!handled) continue;
		const char *of = "screws";
		if (f->joint < m->joints.n && m->joints.v[f->joint].screw < m->stocks.n)
			of = book_stock_label(b, m->joints.v[f->joint].screw);
		if (f->tool == MODEL_NONE && !has_drill(m, f->shape.a))
			put(b, out,
			    arena_printf(b->mem, "drill ⌀ %s (%s of %s)", book_length(b, f->shape.a),
					 pilot ? "pilot" : "clearance", of));
		bool sunk = rat_ok(f->sink) && rat_sign(f->sink) > 0;
		/* A drill with a countersink of its own has the size of the clearance. */
		if (sunk && !has_word(m, "ountersink", f->shape.a) && !has_word(m, "ountersink", f->sink))
			put(b, out, arena_printf(b->mem, "countersink to ⌀ %s (%s)", book_length(b, f->sink), of));
	}
}

static void ease_needs(const book *b, const model_op *o, book_lines *out) {
	const model *m = b->m;
	if (o->pattern >= m->patterns.n) return;
	const model_pattern *p = &m->patterns.v[o->pattern];
	for (size_t i = 0; i < p->eases.n; i++) {
		const model_ease *e = &p->eases.v[i];
		bool handled = o->parts.n == 0;
		for (size_t k = 0; k < o->parts.n; k++) handled = handled || o->parts.v[k] == e->part;
		if (!handled || has_word(m, e->chamfer ? "chamfer" : "round-over", rat_poison())) continue;
		put(b, out,
		    arena_printf(b->mem,
				 e->chamfer ? "chamfer bit with bearing, %s" : "round-over bit with bearing, R %s",
				 book_length(b, e->size)));
	}
}

static void groove_needs(const book *b, const model_op *o, book_lines *out) {
	const model *m = b->m;
	for (size_t i = 0; i < m->joints.n; i++) {
		const model_joint *j = &m->joints.v[i];
		bool handled = false;
		bool both = j->kind == JOINT_TONGUE || j->kind == JOINT_HALVING;
		for (size_t k = 0; k < o->parts.n; k++)
			handled = handled || o->parts.v[k] == j->b || (both && o->parts.v[k] == j->a);
		if (!handled || !joint_cuts(j->kind)) continue;
		if (book_groove_tool(b, j) == MODEL_NONE) put(b, out, book_groove_need(b, j));
	}
}

void book_step_needs(const book *b, const model_step *s, book_lines *out) {
	for (size_t i = 0; i < s->ops.n; i++) {
		const model_op *o = &b->m->order.ops.v[s->ops.v[i]];
		if (o->kind == OP_DRILL) drill_needs(b, o, out);
		if (o->kind == OP_EASE) ease_needs(b, o, out);
		if (o->kind == OP_GROOVE) groove_needs(b, o, out);
	}
}
