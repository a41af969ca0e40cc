#include "runtime/write/steps_write.h"

#include <math.h>

#include "runtime/write/json_util.h"

/* ---- the table ---------------------------------------------------------------------------------- */

static const char *part_names(arena *mem, const model *m, const model_step *s) {
	textbuf t = textbuf_begin(mem);
	for (size_t i = 0; i < s->new_parts.n; i++)
		textbuf_printf(&t, "%s%s", i ? ", " : "", m->parts.v[s->new_parts.v[i]].name);
	return t.v;
}

table *steps_table(arena *mem, const model *m) {
	table *t = table_begin(mem, "Order of work");
	table_column(t, "step", NULL, TABLE_RIGHT);
	table_column(t, "what is done", NULL, TABLE_LEFT);
	table_column(t, "work", "min", TABLE_RIGHT);
	table_column(t, "wait", "min", TABLE_RIGHT);
	table_column(t, "heaviest", m->measures == MEASURES_INCH ? "lb" : "kg", TABLE_RIGHT);
	table_column(t, "helpers", NULL, TABLE_RIGHT);
	table_column(t, "comes in", NULL, TABLE_LEFT);
	table_column(t, "why now", NULL, TABLE_LEFT);
	const double unit = m->measures == MEASURES_INCH ? 0.45359237 : 1; /* kg in a pound, by definition */
	for (size_t i = 0; i < m->order.steps.n; i++) {
		const model_step *s = &m->order.steps.v[i];
		table_row(t);
		table_whole(t, (long long)i + 1);
		table_cell(t, "%s", s->title);
		table_number(t, s->minutes, 0);
		table_number(t, s->wait_minutes > 0 ? s->wait_minutes : (double)NAN, 0);
		table_number(t, s->lift_kg > 0 ? s->lift_kg / unit : (double)NAN, 1);
		table_whole(t, (long long)s->helpers);
		table_cell(t, "%s", part_names(mem, m, s));
		table_cell(t, "%s", s->reasons.n ? s->reasons.v[0] : "");
	}
	if (m->order.steps.n == 0) {
		table_note(t, "No order of work was made.");
		return t;
	}
	table_note(
		t,
		"Hands on: %.1f h; one person in this order, idle waits included: %.1f h; the longest chain: %.1f h.",
		m->order.hands_on_minutes / 60, m->order.elapsed_minutes / 60, m->order.critical_path_minutes / 60);
	size_t both = 0;
	for (size_t i = 0; i < m->order.steps.n; i++) both += m->order.steps.v[i].helpers > 0;
	table_note(t, "Two people: %.1f h; in %zu of the steps, %.1f h, both are wanted at once.",
		   m->order.two_people_minutes / 60, both, m->order.helped_minutes / 60);
	table_note(t, "Minutes follow from common rates without a source, except where the plan gives a time.");
	return t;
}

/* ---- JSON --------------------------------------------------------------------------------------- */

static json_t *number_of(model_ref row) {
	return row == MODEL_NONE ? json_util_text(NULL) : json_util_whole((long long)row + 1);
}

static json_t *name_of_part(const model *m, model_ref p) { return json_util_text(m->parts.v[p].name); }
static json_t *name_of_tool(const model *m, model_ref p) { return json_util_text(m->tools.v[p].name); }

static json_t *op_json(const model *m, size_t row) {
	const model_op *o = &m->order.ops.v[row];
	json_t *j = json_util_object(), *parts = json_util_array(), *tools = json_util_array();
	for (size_t i = 0; i < o->parts.n; i++) json_util_add(parts, name_of_part(m, o->parts.v[i]));
	for (size_t i = 0; i < o->tools.n; i++) json_util_add(tools, name_of_tool(m, o->tools.v[i]));
	json_util_put(j, "number", json_util_whole((long long)row + 1));
	json_util_put(j, "kind", json_util_text(MODEL_OP_WORD[o->kind]));
	json_util_put(j, "what", json_util_text(o->what));
	json_util_put(j, "parts", parts);
	json_util_put(j, "tools", tools);
	json_util_put(j, "joint", json_util_text(o->joint == MODEL_NONE ? NULL : m->joints.v[o->joint].name));
	json_util_put(j, "pattern", json_util_text(o->pattern == MODEL_NONE ? NULL : m->patterns.v[o->pattern].name));
	json_util_put(j, "written", json_util_text(o->written == MODEL_NONE ? NULL : m->written.v[o->written].name));
	json_util_put(j, "minutes", json_util_number(o->minutes));
	json_util_put(j, "wait_minutes", json_util_number(o->wait_minutes));
	json_util_put(j, "step", number_of(o->step));
	json_util_put(j, "at", json_util_span(m->sources, o->at));
	return j;
}

static json_t *edge_json(const model *m, const model_edge *e) {
	json_t *j = json_util_object();
	json_util_put(j, "before", number_of(e->before));
	json_util_put(j, "after", number_of(e->after));
	json_util_put(j, "reason", json_util_text(e->reason));
	json_util_put(j, "at", json_util_span(m->sources, e->at));
	return j;
}

static json_t *step_json(const model *m, size_t row) {
	const model_step *s = &m->order.steps.v[row];
	json_t *j = json_util_object(), *ops = json_util_array(), *parts = json_util_array(),
	       *tools = json_util_array();
	json_t *reasons = json_util_array();
	for (size_t i = 0; i < s->ops.n; i++) json_util_add(ops, number_of(s->ops.v[i]));
	for (size_t i = 0; i < s->new_parts.n; i++) json_util_add(parts, name_of_part(m, s->new_parts.v[i]));
	for (size_t i = 0; i < s->tools.n; i++) json_util_add(tools, name_of_tool(m, s->tools.v[i]));
	for (size_t i = 0; i < s->reasons.n; i++) json_util_add(reasons, json_util_text(s->reasons.v[i]));
	json_util_put(j, "number", json_util_whole((long long)row + 1));
	json_util_put(j, "title", json_util_text(s->title));
	json_util_put(j, "kind", json_util_text(MODEL_OP_WORD[s->kind]));
	json_util_put(j, "written", json_util_text(s->written == MODEL_NONE ? NULL : m->written.v[s->written].name));
	json_util_put(j, "operations", ops);
	json_util_put(j, "new_parts", parts);
	json_util_put(j, "tools", tools);
	json_util_put(j, "reasons", reasons);
	json_util_put(j, "note", json_util_text(s->note));
	json_util_put(j, "caution", json_util_text(s->caution));
	json_util_put(j, "check", json_util_text(s->check));
	json_util_put(j, "hold", json_util_text(s->hold));
	json_util_put(j, "meanwhile", json_util_text(s->meanwhile));
	json_util_put(j, "glue", json_util_text(s->glue));
	json_util_put(j, "idle_minutes", json_util_number(s->idle_minutes));
	json_util_put(j, "idle_least_minutes", json_util_number(s->idle_least));
	json_util_put(j, "minutes", json_util_number(s->minutes));
	json_util_put(j, "wait_minutes", json_util_number(s->wait_minutes));
	json_util_put(j, "lift_kg", json_util_number(s->lift_kg));
	json_util_put(j, "helpers", json_util_whole((long long)s->helpers));
	return j;
}

/* The longest chain of work and waits, first operation first. Operations stand in the order of work, so one pass over
 * the edges (which are sorted by what comes after) is enough. */
static json_t *critical_json(arena *mem, const model *m) {
	const model_order *r = &m->order;
	json_t *chain = json_util_array();
	if (r->ops.n == 0 || r->steps.n == 0) return chain;
	double *end = ARENA_MANY(mem, double, r->ops.n);
	model_ref *by = ARENA_MANY(mem, model_ref, r->ops.n), *rows = ARENA_MANY(mem, model_ref, r->ops.n);
	size_t e = 0, last = 0, n = 0;
	for (size_t i = 0; i < r->ops.n; i++) {
		double begin = 0;
		by[i] = MODEL_NONE;
		for (; e < r->edges.n && r->edges.v[e].after == i; e++) {
			model_ref before = r->edges.v[e].before;
			if (by[i] != MODEL_NONE && end[before] <= begin) continue;
			begin = end[before];
			by[i] = before;
		}
		end[i] = begin + r->ops.v[i].minutes + r->ops.v[i].wait_minutes;
		if (end[i] > end[last]) last = i;
	}
	for (model_ref at = (model_ref)last; at != MODEL_NONE; at = by[at]) rows[n++] = at;
	while (n > 0) json_util_add(chain, number_of(rows[--n]));
	return chain;
}

char *steps_json(arena *mem, const model *m, size_t *size) {
	json_t *root = json_util_object(), *ops = json_util_array(), *edges = json_util_array(),
	       *steps = json_util_array();
	for (size_t i = 0; i < m->order.ops.n; i++) json_util_add(ops, op_json(m, i));
	for (size_t i = 0; i < m->order.edges.n; i++) json_util_add(edges, edge_json(m, &m->order.edges.v[i]));
	for (size_t i = 0; i < m->order.steps.n; i++) json_util_add(steps, step_json(m, i));
	json_util_put(root, "title", json_util_text(m->title));
	json_util_put(root, "hands_on_minutes", json_util_number(m->order.hands_on_minutes));
	json_util_put(root, "elapsed_minutes", json_util_number(m->order.elapsed_minutes));
	json_util_put(root, "two_people_minutes", json_util_number(m->order.two_people_minutes));
	json_util_put(root, "helped_minutes", json_util_number(m->order.helped_minutes));
	json_util_put(root, "critical_path_minutes", json_util_number(m->order.critical_path_minutes));
	json_util_put(root, "critical_path", critical_json(mem, m));
	json_util_put(root, "operations", ops);
	json_util_put(root, "edges", edges);
	json_util_put(root, "steps", steps);
	char *text = json_util_dump(mem, root, size);
	json_decref(root);
	return text;
}
