/* plan.json: the air network, the order of work, the layouts and the shopping list. */
#include <math.h>

#include "runtime/write/cuts_write.h"
#include "runtime/write/plan_json_parts.h"

static json_t *branch(const model *m, const model_branch *b) {
	json_t *o = json_util_object();
	json_util_put(o, "name", json_util_text(b->name));
	json_util_put(o, "kind", json_util_text(MODEL_AIR_WORD[b->kind]));
	json_util_put(o, "at", json_util_span(m->sources, b->at));
	json_util_put(o, "from",
		      b->from < m->air.spaces.n ? json_util_text(m->air.spaces.v[b->from].name) : json_null());
	json_util_put(o, "to", b->to < m->air.spaces.n ? json_util_text(m->air.spaces.v[b->to].name) : json_null());
	json_util_put(o, "part", plan_json_part(m, b->part));
	json_util_put(o, "pattern", plan_json_pattern(m, b->pattern));
	json_util_put(o, "stock", plan_json_stock(m, b->stock));
	json_util_put(o, "count", json_util_whole(b->count));
	json_util_put(o, "gross_m2", json_util_number(b->gross_m2));
	json_util_put(o, "open_m2", json_util_number(b->open_m2));
	json_util_put(o, "plan_m2", json_util_number(b->plan_m2));
	json_util_put(o, "thick_m", json_util_number(b->thick_m));
	json_util_put(o, "hole_m", json_util_number(b->hole_m));
	json_t *section = json_util_array();
	for (int k = 0; k < 2 && b->side_m[k] > 0; k++) json_util_add(section, json_util_number(b->side_m[k]));
	json_util_put(o, "section_m", section);
	json_util_put(o, "length_m", json_util_number(b->length_m));
	json_util_put(o, "roughness_m", json_util_number(b->roughness_m));
	json_util_put(o, "loss_k", json_util_number(b->loss_k));
	json_t *fittings = json_util_array();
	for (size_t i = 0; i < b->fittings.n; i++) {
		json_t *f = json_util_object();
		json_util_put(f, "kind", json_util_text(b->fittings.v[i].word));
		json_util_put(f, "k", json_util_number(b->fittings.v[i].k));
		json_util_put(f, "friction_of_m", json_util_number(b->fittings.v[i].length_m));
		json_util_put(f, "at", json_util_span(m->sources, b->fittings.v[i].at));
		json_util_add(fittings, f);
	}
	json_util_put(o, "fittings", fittings);
	json_util_put(o, "entry", json_util_text(b->entry));
	json_util_put(o, "damper_opens_pa", json_util_number(b->one_way ? b->opens_pa : (double)NAN));
	bool fan = b->kind == AIR_FAN;
	for (int k = 0; k < 2; k++) {
		json_util_put(o, k ? "straight_after_m" : "straight_before_m",
			      json_util_number(fan ? b->straight_m[k] : (double)NAN));
		json_util_put(o, k ? "effect_after_k" : "effect_before_k",
			      json_util_number(fan ? b->effect_k[k] : (double)NAN));
	}
	json_util_put(o, "area_given_m2", json_util_number(b->area_given_m2));
	json_util_put(o, "covered_part", json_util_number(b->covered_part));
	json_util_put(o, "box_m2", json_util_number(b->box_m2));
	json_util_put(o, "grille_m2", json_util_number(b->grille_m2));
	json_util_put(o, "open_beside_work_m2", json_util_number(b->worked ? b->work_open_m2 : (double)NAN));
	return o;
}

static json_t *result(const model *m, int condition) {
	const model_air_result *r = &m->air.result[condition];
	json_t *o = json_util_object();
	json_util_put(o, "condition", json_util_text(model_condition_name(m, condition)));
	json_util_put(o, "solved", json_util_flag(r->solved));
	json_util_put(o, "why_not", json_util_text(r->why_not));
	if (!r->solved) return o;
	json_util_put(o, "residual_m3_s", json_util_number(r->residual_m3_s));
	json_util_put(o, "shaft_w", json_util_number(r->shaft_w));
	json_util_put(o, "mains_w", json_util_number(r->mains_w));
	json_util_put(o, "fan_off_curve", json_util_flag(r->off_curve));
	json_util_put(o, "fan_in_stall", json_util_flag(r->in_stall));
	json_t *flows = json_util_array(), *gauges = json_util_object();
	for (size_t i = 0; i < m->air.branches.n; i++) {
		json_t *f = json_util_object();
		json_util_put(f, "branch", json_util_text(m->air.branches.v[i].name));
		json_util_put(f, "flow_m3_s", json_util_number(r->flow[i].flow_m3_s));
		json_util_put(f, "speed_m_s", json_util_number(r->flow[i].speed_m_s));
		json_util_put(f, "face_m_s", json_util_number(r->flow[i].face_m_s));
		json_util_put(f, "grille_m_s", json_util_number(r->flow[i].grille_m_s));
		json_util_put(f, "upward_m_s", json_util_number(r->flow[i].upward_m_s));
		json_util_put(f, "loss_pa", json_util_number(r->flow[i].loss_pa));
		json_util_add(flows, f);
	}
	json_util_put(o, "branches", flows);
	for (size_t i = 0; i < m->air.spaces.n; i++)
		json_util_put(gauges, m->air.spaces.v[i].name, json_util_number(r->pressure_pa[i]));
	json_util_put(o, "gauge_pa", gauges);
	return o;
}

void plan_json_put_air(json_t *root, const model *m) {
	const model_air *a = &m->air;
	if (!a->given) {
		json_util_put(root, "air", json_null());
		return;
	}
	json_t *o = json_util_object(), *spaces = json_util_array(), *branches = json_util_array();
	json_t *results = json_util_array();
	json_util_put(o, "at", json_util_span(m->sources, a->at));
	json_util_put(o, "altitude_m", json_util_number(a->altitude_m));
	json_util_put(o, "temperature_k", json_util_number(a->temperature_k));
	json_util_put(o, "density_kg_m3", json_util_number(a->density_kg_m3));
	json_util_put(o, "viscosity_pa_s", json_util_number(a->viscosity_pa_s));
	json_util_put(o, "relative_humidity", json_util_number(a->humidity));
	json_util_put(o, "room_m3", json_util_number(a->room_m3));
	json_util_put(o, "mixing_factor", json_util_number(a->mixing));
	json_util_put(o, "makeup_m2", json_util_number(a->makeup_m2));
	json_util_put(o, "dust_kg_s", json_util_number(a->dust_kg_s));
	json_util_put(o, "trough_m3", json_util_number(a->trough_m3));
	json_util_put(o, "exhausts_outdoors", json_util_flag(a->exhausts_outdoors));
	json_util_put(o, "dust_held_kg", json_util_number(a->dust_held_kg));
	json_util_put(o, "hours_to_dirty", json_util_number(a->hours_to_dirty));
	json_util_put(o, "hours_to_full_trough", json_util_number(a->hours_to_full_trough));
	json_util_put(o, "room_changes_per_h", json_util_number(a->room_changes_per_h));
	for (size_t i = 0; i < a->spaces.n; i++) {
		json_t *s = json_util_object();
		json_util_put(s, "name", json_util_text(a->spaces.v[i].name));
		json_util_put(s, "room", json_util_flag(a->spaces.v[i].room));
		json_util_put(s, "named", json_util_flag(a->spaces.v[i].named));
		json_util_put(s, "at", json_util_span(m->sources, a->spaces.v[i].at));
		json_util_add(spaces, s);
	}
	json_util_put(o, "spaces", spaces);
	for (size_t i = 0; i < a->branches.n; i++) json_util_add(branches, branch(m, &a->branches.v[i]));
	json_util_put(o, "branches", branches);
	/* What air.json says at length, here in short. */
	for (int c = 0; c < model_conditions(m); c++)
		if (model_condition_given(m, c)) json_util_add(results, result(m, c));
	json_util_put(o, "results", results);
	json_util_put(root, "air", o);
}

#define LIST_OF(list) ((plan_json_list){(list).v, (list).n})

static json_t *words(const char *const *v, size_t n) {
	json_t *a = json_util_array();
	for (size_t i = 0; i < n; i++) json_util_add(a, json_util_text(v[i]));
	return a;
}

static json_t *links(const model_words *v, size_t n) {
	json_t *a = json_util_array();
	for (size_t i = 0; i < n; i++) json_util_add(a, json_util_text(v[i].v));
	return a;
}

static json_t *written(const model *m, const model_written *w) {
	json_t *o = json_util_object(), *does = json_util_array();
	json_util_put(o, "name", json_util_text(w->name));
	json_util_put(o, "at", json_util_span(m->sources, w->at));
	json_util_put(o, "parts", plan_json_part_names(m, LIST_OF(w->parts)));
	for (size_t i = 0; i < w->does.n; i++) json_util_add(does, json_util_text(MODEL_OP_WORD[w->does.v[i]]));
	json_util_put(o, "does", does);
	json_util_put(o, "tools", plan_json_tool_names(m, LIST_OF(w->tools)));
	json_util_put(o, "after", links(w->after.v, w->after.n));
	json_util_put(o, "before", links(w->before.v, w->before.n));
	json_util_put(o, "note", json_util_text(w->note.v));
	json_util_put(o, "caution", json_util_text(w->caution.v));
	json_util_put(o, "check", json_util_text(w->check.v));
	json_util_put(o, "minutes", json_util_number(w->minutes));
	json_util_put(o, "wait_minutes", json_util_number(w->wait_minutes));
	json_util_put(o, "helpers", json_util_whole(w->helpers));
	return o;
}

static json_t *op(const model *m, const model_op *p) {
	json_t *o = json_util_object();
	json_util_put(o, "kind", json_util_text(MODEL_OP_WORD[p->kind]));
	json_util_put(o, "what", json_util_text(p->what));
	json_util_put(o, "parts", plan_json_part_names(m, LIST_OF(p->parts)));
	json_util_put(o, "tools", plan_json_tool_names(m, LIST_OF(p->tools)));
	json_util_put(o, "joint", plan_json_row(p->joint));
	json_util_put(o, "pattern", plan_json_pattern(m, p->pattern));
	json_util_put(o, "written", plan_json_row(p->written));
	json_util_put(o, "minutes", json_util_number(p->minutes));
	json_util_put(o, "wait_minutes", json_util_number(p->wait_minutes));
	json_util_put(o, "step", plan_json_row(p->step));
	json_util_put(o, "at", json_util_span(m->sources, p->at));
	return o;
}

static json_t *edge(const model *m, const model_edge *e) {
	json_t *o = json_util_object();
	json_util_put(o, "before", plan_json_row(e->before));
	json_util_put(o, "after", plan_json_row(e->after));
	json_util_put(o, "reason", json_util_text(e->reason));
	json_util_put(o, "at", json_util_span(m->sources, e->at));
	return o;
}

static json_t *step(const model *m, const model_step *s) {
	json_t *o = json_util_object();
	json_util_put(o, "title", json_util_text(s->title));
	json_util_put(o, "kind", json_util_text(MODEL_OP_WORD[s->kind]));
	json_util_put(o, "operations", plan_json_rows(LIST_OF(s->ops)));
	json_util_put(o, "new_parts", plan_json_part_names(m, LIST_OF(s->new_parts)));
	json_util_put(o, "tools", plan_json_tool_names(m, LIST_OF(s->tools)));
	json_util_put(o, "reasons", words((const char *const *)s->reasons.v, s->reasons.n));
	json_util_put(o, "note", json_util_text(s->note));
	json_util_put(o, "caution", json_util_text(s->caution));
	json_util_put(o, "check", json_util_text(s->check));
	json_util_put(o, "minutes", json_util_number(s->minutes));
	json_util_put(o, "wait_minutes", json_util_number(s->wait_minutes));
	json_util_put(o, "lift_kg", json_util_number(s->lift_kg));
	json_util_put(o, "helpers", json_util_whole(s->helpers));
	json_util_put(o, "written", plan_json_row(s->written));
	return o;
}

#define PUT_ROWS(object, key, list, row)                                                                               \
	do {                                                                                                           \
		json_t *rows_ = json_util_array();                                                                     \
		for (size_t i_ = 0; i_ < (list).n; i_++) json_util_add(rows_, row(m, &(list).v[i_]));                  \
		json_util_put(object, key, rows_);                                                                     \
	} while (0)

void plan_json_put_work(json_t *root, const model *m) {
	json_t *o = json_util_object();
	json_util_put(o, "hands_on_minutes", json_util_number(m->order.hands_on_minutes));
	json_util_put(o, "elapsed_minutes", json_util_number(m->order.elapsed_minutes));
	json_util_put(o, "critical_path_minutes", json_util_number(m->order.critical_path_minutes));
	PUT_ROWS(o, "written", m->written, written);
	PUT_ROWS(o, "operations", m->order.ops, op);
	PUT_ROWS(o, "edges", m->order.edges, edge);
	PUT_ROWS(o, "steps", m->order.steps, step);
	json_util_put(root, "work", o);
}

static void put_rect(json_t *o, rat x, rat y, rat w, rat h) {
	json_util_put(o, "x", json_util_length(x));
	json_util_put(o, "y", json_util_length(y));
	json_util_put(o, "w", json_util_length(w));
	json_util_put(o, "h", json_util_length(h));
}

static json_t *piece(const model *m, const model_piece *p) {
	json_t *o = json_util_object();
	json_util_put(o, "part", plan_json_part(m, p->part));
	put_rect(o, p->x, p->y, p->w, p->h);
	json_util_put(o, "turned", json_util_flag(p->turned));
	return o;
}

static json_t *offcut(const model *m, const model_offcut *p) {
	(void)m;
	json_t *o = json_util_object();
	put_rect(o, p->x, p->y, p->w, p->h);
	return o;
}

static json_t *cut(const model *m, const model_cut *c) {
	(void)m;
	json_t *o = json_util_object();
	json_util_put(o, "number", json_util_whole(c->number));
	json_util_put(o, "kind", json_util_text(c->along_x ? "rip" : "crosscut"));
	put_rect(o, c->x, c->y, c->w, c->h);
	json_util_put(o, "cut_at", json_util_length(c->at));
	json_util_put(o, "fence", json_util_length(c->fence));
	return o;
}

static json_t *roll_piece(const model *m, const model_piece *p) {
	const model_roll_part *q = &m->layout.roll_parts.v[p->part];
	json_t *o = json_util_object();
	json_util_put(o, "part", json_util_text(q->name));
	json_util_put(o, "branch",
		      q->branch < m->air.branches.n ? json_util_text(m->air.branches.v[q->branch].name) : json_null());
	json_util_put(o, "joint", q->joint < m->joints.n ? json_util_text(m->joints.v[q->joint].name) : json_null());
	put_rect(o, p->x, p->y, p->w, p->h);
	json_util_put(o, "turned", json_util_flag(p->turned));
	return o;
}

static json_t *sheet(const model *m, const model_sheet_plan *s) {
	json_t *o = json_util_object();
	json_util_put(o, "stock", plan_json_stock(m, s->stock));
	json_util_put(o, "on_hand", json_util_flag(s->offcut));
	json_util_put(o, "w", json_util_length(s->w));
	json_util_put(o, "h", json_util_length(s->h));
	cuts_write_put_trim(o, s);
	json_util_put(o, "kerf", json_util_length(s->kerf));
	json_util_put(o, "used_share", json_util_number(s->used_part));
	if (model_on_rolls(&m->stocks.v[s->stock]))
		PUT_ROWS(o, "pieces", s->pieces, roll_piece);
	else
		PUT_ROWS(o, "pieces", s->pieces, piece);
	PUT_ROWS(o, "offcuts", s->offcuts, offcut);
	PUT_ROWS(o, "cuts", s->cuts, cut);
	return o;
}

static json_t *bar(const model *m, const model_bar_plan *b) {
	json_t *o = json_util_object();
	json_util_put(o, "stock", plan_json_stock(m, b->stock));
	json_util_put(o, "on_hand", json_util_flag(b->offcut));
	json_util_put(o, "length", json_util_length(b->length));
	json_util_put(o, "trim", json_util_length(b->trim));
	json_util_put(o, "kerf", json_util_length(b->kerf));
	PUT_ROWS(o, "pieces", b->pieces, piece);
	json_util_put(o, "rest", json_util_length(b->rest));
	return o;
}

static json_t *count(const model *m, const model_stock_count *c) {
	json_t *o = json_util_object();
	json_util_put(o, "stock", plan_json_stock(m, c->stock));
	cuts_write_put_count(o, m, c);
	return o;
}

static json_t *buy(const model *m, const model_buy *b) {
	json_t *o = json_util_object();
	json_util_put(o, "stock", plan_json_stock(m, b->stock));
	json_util_put(o, "what", json_util_text(b->what));
	json_util_put(o, "amount", json_util_number(b->amount));
	json_util_put(o, "unit", json_util_text(b->unit));
	json_util_put(o, "packs", json_util_whole(b->packs));
	json_util_put(o, "cents", b->cents >= 0 ? json_util_whole(b->cents) : json_null());
	json_util_put(o, "reason", json_util_text(b->reason));
	return o;
}

void plan_json_put_layout(json_t *root, const model *m) {
	json_t *o = json_util_object();
	PUT_ROWS(o, "sheets", m->layout.sheets, sheet);
	PUT_ROWS(o, "bars", m->layout.bars, bar);
	PUT_ROWS(o, "rolls", m->layout.rolls, sheet);
	PUT_ROWS(o, "counts", m->layout.counts, count);
	json_util_put(root, "layout", o);
	PUT_ROWS(root, "shopping", m->shopping, buy);
}
