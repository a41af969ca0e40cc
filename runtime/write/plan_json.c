#include "runtime/write/plan_json.h"

#include "runtime/engine/tip.h"
#include "runtime/write/json_util.h"
#include "runtime/write/plan_json_parts.h"

json_t *plan_json_part(const model *m, model_ref row) {
	return row < model_rows(m) ? json_util_text(m->parts.v[row].name) : json_null();
}

json_t *plan_json_stock(const model *m, model_ref row) {
	return row < m->stocks.n ? json_util_text(m->stocks.v[row].name) : json_null();
}

json_t *plan_json_tool(const model *m, model_ref row) {
	return row < m->tools.n ? json_util_text(m->tools.v[row].name) : json_null();
}

json_t *plan_json_pattern(const model *m, model_ref row) {
	return row < m->patterns.n ? json_util_text(m->patterns.v[row].name) : json_null();
}

json_t *plan_json_row(model_ref row) { return row == MODEL_NONE ? json_null() : json_util_whole(row); }

json_t *plan_json_part_names(const model *m, plan_json_list rows) {
	json_t *a = json_util_array();
	for (size_t i = 0; i < rows.n; i++) json_util_add(a, plan_json_part(m, rows.v[i]));
	return a;
}

json_t *plan_json_tool_names(const model *m, plan_json_list rows) {
	json_t *a = json_util_array();
	for (size_t i = 0; i < rows.n; i++) json_util_add(a, plan_json_tool(m, rows.v[i]));
	return a;
}

json_t *plan_json_rows(plan_json_list rows) {
	json_t *a = json_util_array();
	for (size_t i = 0; i < rows.n; i++) json_util_add(a, plan_json_row(rows.v[i]));
	return a;
}

static json_t *header(const model *m) {
	json_t *o = json_util_object(), *history = json_util_array(), *notes = json_util_array();
	json_util_put(o, "title", json_util_text(m->title));
	json_util_put(o, "at", json_util_span(m->sources, m->title_at));
	json_util_put(o, "slug", json_util_text(m->slug));
	json_util_put(o, "edition", json_util_text(m->edition));
	json_util_put(o, "issued", json_util_text(m->issued));
	json_util_put(o, "number", json_util_text(m->number));
	json_util_put(o, "owner", json_util_text(m->owner));
	json_util_put(o, "drawn", json_util_text(m->drawn));
	json_util_put(o, "approved", json_util_text(m->approved));
	json_util_put(o, "purpose", json_util_text(m->purpose));
	json_util_put(o, "cabinet", json_util_text(m->cabinet_name));
	json_util_put(o, "currency", json_util_text(m->currency));
	json_util_put(o, "measures", json_util_text(m->measures == MEASURES_INCH ? "inch" : "metric"));
	json_util_put(o, "paper", json_util_text(m->paper == PAPER_LETTER ? "letter" : "a4"));
	if (rat_ok(m->passes[0].mm) && rat_ok(m->passes[1].mm)) {
		json_t *passes = json_util_array();
		for (int i = 0; i < 2; i++) json_util_add(passes, json_util_length(m->passes[i].mm));
		json_util_put(o, "passes", passes);
	}
	if (span_known(m->moisture_at)) {
		json_util_put(o, "moisture_least_percent", json_util_number(m->moisture_lo));
		json_util_put(o, "moisture_most_percent", json_util_number(m->moisture_hi));
	}
	for (size_t i = 0; i < m->history.n; i++) {
		json_t *h = json_util_object();
		json_util_put(h, "edition", json_util_text(m->history.v[i].edition));
		json_util_put(h, "what", json_util_text(m->history.v[i].what));
		json_util_put(h, "at", json_util_span(m->sources, m->history.v[i].at));
		json_util_add(history, h);
	}
	json_util_put(o, "history", history);
	for (size_t i = 0; i < m->notes.n; i++) json_util_add(notes, json_util_text(m->notes.v[i].v));
	json_util_put(o, "notes", notes);
	return o;
}

static json_t *names(const model *m) {
	json_t *a = json_util_array();
	for (size_t i = 0; i < m->lets.n; i++) {
		const model_let *let = &m->lets.v[i];
		json_t *o = json_util_object();
		json_util_put(o, "name", json_util_text(let->name));
		json_util_put(o, "help", json_util_text(let->help));
		json_util_put(o, "value",
			      let->kind == MODEL_LET_TEXT    ? json_util_text(let->text)
			      : let->kind == MODEL_LET_TRUTH ? json_util_flag(let->truth)
							     : json_util_quant(let->value, m->measures));
		json_util_put(o, "least", let->has_range ? json_util_quant(let->least, m->measures) : json_null());
		json_util_put(o, "most", let->has_range ? json_util_quant(let->most, m->measures) : json_null());
		json_util_put(o, "overridden", json_util_flag(let->overridden));
		json_util_put(o, "at", json_util_span(m->sources, let->at));
		json_util_add(a, o);
	}
	return a;
}

static json_t *whole(const model *m) {
	json_t *o = json_util_object();
	json_util_put(o, "bounds", json_util_box(m->bounds));
	json_util_put(o, "mass_kg", json_util_number(m->mass_kg));
	tip t = tip_of(m);
	if (t.known) {
		json_util_put(o, "tilt_degrees", json_util_number(t.degrees));
		json_util_put(o, "tilts_to", json_util_text(FACE_NAME[t.to]));
	}
	json_util_put(o, "cost_cents", json_util_whole(m->cost_cents));
	json_util_put(o, "every_price_known", json_util_flag(m->cost_whole));
	return o;
}

static json_t *bends(const model *m) {
	json_t *a = json_util_array();
	for (size_t i = 0; i < m->bends.n; i++) {
		const model_bend *b = &m->bends.v[i];
		json_t *o = json_util_object();
		json_util_put(o, "part", plan_json_part(m, b->part));
		json_util_put(o, "from", plan_json_part(m, b->from));
		json_util_put(o, "to", plan_json_part(m, b->to));
		json_util_put(o, "as_plate", json_util_flag(b->plate));
		json_util_put(o, "load_n", json_util_number(b->load_n));
		json_util_put(o, "span_m", json_util_number(b->span_m));
		json_util_put(o, "deflection_m", json_util_number(b->deflection_m));
		json_util_put(o, "allowed_m", json_util_number(b->allowed_m));
		json_util_add(a, o);
	}
	return a;
}

static json_t *requires(const model *m) {
	json_t *a = json_util_array();
	for (size_t i = 0; i < m->requires.n; i++) {
		const model_require *r = &m->requires.v[i];
		bool sides = r->known && r->compare[0];
		json_t *o = json_util_object();
		json_util_put(o, "text", json_util_text(r->text));
		json_util_put(o, "because", json_util_text(r->because));
		json_util_put(o, "left", sides ? json_util_quant(r->left, m->measures) : json_null());
		json_util_put(o, "compare", r->compare[0] ? json_util_text(r->compare) : json_null());
		json_util_put(o, "right", sides ? json_util_quant(r->right, m->measures) : json_null());
		json_util_put(o, "held", r->known ? json_util_flag(r->held) : json_null());
		json_util_put(o, "at", json_util_span(m->sources, r->at));
		json_util_add(a, o);
	}
	return a;
}

static json_t *waivers(const model *m) {
	json_t *a = json_util_array();
	for (size_t i = 0; i < m->waivers.n; i++) {
		const model_waiver *w = &m->waivers.v[i];
		json_t *o = json_util_object();
		json_t *things = json_util_array();
		for (size_t k = 0; k < w->things.n; k++) json_util_add(things, json_util_text(w->things.v[k]));
		json_util_put(o, "rule", json_util_text(w->rule));
		json_util_put(o, "for", things);
		json_util_put(o, "because", json_util_text(w->because));
		json_util_put(o, "used", json_util_flag(w->used));
		json_util_put(o, "at", json_util_span(m->sources, w->at));
		json_util_add(a, o);
	}
	return a;
}

static json_t *waived(const model *m) {
	json_t *a = json_util_array();
	for (size_t i = 0; i < m->waived.n; i++) {
		const model_waived *w = &m->waived.v[i];
		json_t *o = json_util_object();
		json_util_put(o, "rule", json_util_text(w->rule));
		json_util_put(o, "severity", json_util_text(w->error ? "error" : "warning"));
		json_util_put(o, "text", json_util_text(w->text));
		json_util_put(o, "because", json_util_text(w->because));
		json_util_put(o, "at", json_util_span(m->sources, w->at));
		json_util_add(a, o);
	}
	return a;
}

static json_t *tuned(const model *m) {
	json_t *a = json_util_array();
	for (size_t i = 0; i < m->tuned.n; i++) {
		const model_tuned *t = &m->tuned.v[i];
		json_t *o = json_util_object();
		json_util_put(o, "limit", json_util_text(t->limit));
		json_util_put(o, "was", *t->was_text ? json_util_quant(t->was, m->measures) : json_null());
		json_util_put(o, "is", json_util_quant(t->is, m->measures));
		json_util_put(o, "because", json_util_text(t->because));
		json_util_put(o, "at", json_util_span(m->sources, t->at));
		json_util_add(a, o);
	}
	return a;
}

json_t *plan_json(const model *m) {
	json_t *root = json_util_object();
	json_util_put(root, "format", json_util_text("windchest plan"));
	json_util_put(root, "format_version", json_util_whole(1));
	json_util_put(root, "plan", header(m));
	json_util_put(root, "names", names(m));
	json_util_put(root, "whole", whole(m));
	plan_json_put_stock(root, m);
	plan_json_put_cabinet(root, m);
	plan_json_put_air(root, m);
	json_util_put(root, "bends", bends(m));
	json_util_put(root, "requirements", requires(m));
	json_util_put(root, "waivers", waivers(m));
	json_util_put(root, "waived", waived(m));
	json_util_put(root, "tuned", tuned(m));
	plan_json_put_work(root, m);
	plan_json_put_layout(root, m);
	return root;
}

char *plan_json_text(arena *mem, const model *m, size_t *size) {
	json_t *root = plan_json(m);
	char *text = json_util_dump(mem, root, size);
	json_decref(root);
	return text;
}
