#include "runtime/write/air_write.h"

#include <math.h>

#include "runtime/engine/airlaw.h"
#include "runtime/write/json_util.h"
#include "runtime/write/worked.h"

static const char *const NOT_MEASURED =
	"Calculated from the plan's geometry and the figures its stock declares; nothing here was measured.";

static const char *const GRILLE = "rectangle round the outermost openings";

/* X(kind, what the speed stands on, what the face speed stands on) */
#define BASES(X)                                                                                                       \
	X(GAP, "free area of the gap", "whole area of the gap")                                                        \
	X(OPENINGS, "free area of the openings", "face of the sheet")                                                  \
	X(FILTER, "area of the media", "face of the units")                                                            \
	X(TUBES, "cloth of the tubes", "mouths of the tubes")                                                          \
	X(FAN, "inlet of the fan", "inlet of the fan")                                                                 \
	X(DUCT, "bore of the duct", "bore of the duct")                                                                \
	X(LEAK, "area of the leak", "area of the leak")

static const char *basis(const model_branch *b, const char *const *words) {
	if (b->kind == AIR_DUCT && b->side_m[0] > 0) return "section of the duct";
	return b->kind < AIR_KINDS ? words[b->kind] : "";
}

const char *air_speed_basis(const model_branch *b) {
	static const char *const WORDS[AIR_KINDS] = {
#define X(name, speed, face) [AIR_##name] = speed,
		BASES(X)
#undef X
	};
	return basis(b, WORDS);
}

const char *air_face_basis(const model_branch *b) {
	static const char *const WORDS[AIR_KINDS] = {
#define X(name, speed, face) [AIR_##name] = face,
		BASES(X)
#undef X
	};
	return basis(b, WORDS);
}

static bool known(double v) { return v > 0 && isfinite(v); }
static double or_nan(double v) { return known(v) ? v : (double)NAN; }

static const char *space_name(const model *m, model_ref s) {
	return s < m->air.spaces.n ? m->air.spaces.v[s].name : "";
}

/* ---- JSON ---------------------------------------------------------------------------------- */

static json_t *name_of(const char *name, bool there) { return there ? json_util_text(name) : json_null(); }

static json_t *area(double m2, const char *basis) {
	json_t *o = json_util_object();
	json_util_put(o, "m2", json_util_number(or_nan(m2)));
	json_util_put(o, "of", json_util_text(basis));
	return o;
}

static json_t *spread_json(const model_spread *s) {
	if (!s->known) return json_null();
	json_t *o = json_util_object();
	json_util_put(o, "depth_m", json_util_number(s->depth_m));
	json_util_put(o, "section_m2", json_util_number(s->section_m2));
	json_util_put(o, "along", json_util_text(AXIS_SPOKEN[s->along]));
	json_util_put(o, "leaves_at_m", json_util_number(s->outlet_m));
	json_util_put(o, "rows", json_util_whole(s->rows));
	json_util_put(o, "fastest_over_mean", json_util_number(s->most));
	json_util_put(o, "slowest_over_mean", json_util_number(s->least));
	json_util_put(o, "plenum_m_s", json_util_number(s->plenum_m_s));
	return o;
}

static json_t *branch_json(const model *m, const model_branch *b) {
	json_t *o = json_util_object();
	json_util_put(o, "name", json_util_text(b->name));
	json_util_put(o, "kind", json_util_text(MODEL_AIR_WORD[b->kind]));
	json_util_put(o, "from", json_util_text(space_name(m, b->from)));
	json_util_put(o, "to", json_util_text(space_name(m, b->to)));
	json_util_put(o, "at", json_util_span(m->sources, b->at));
	bool part = b->part < m->parts.n, pattern = b->pattern < m->patterns.n, stock = b->stock < m->stocks.n;
	json_util_put(o, "part", name_of(part ? m->parts.v[b->part].name : NULL, part));
	json_util_put(o, "pattern", name_of(pattern ? m->patterns.v[b->pattern].name : NULL, pattern));
	json_util_put(o, "stock", name_of(stock ? m->stocks.v[b->stock].name : NULL, stock));
	json_util_put(o, "count", json_util_whole(b->count));
	json_util_put(o, "gross_m2", json_util_number(or_nan(b->gross_m2)));
	json_util_put(o, "open", area(b->open_m2, air_speed_basis(b)));
	json_util_put(o, "plan", area(b->plan_m2, air_face_basis(b)));
	json_util_put(o, "wholly_covered", json_util_whole(b->wholly_covered));
	json_util_put(o, "thick_m", json_util_number(or_nan(b->thick_m)));
	bool flat = b->side_m[0] > 0;
	json_util_put(o, "hydraulic_diameter_m",
		      json_util_number(flat ? 4 * b->open_m2 / (b->count * 2 * (b->side_m[0] + b->side_m[1]))
					    : or_nan(b->hole_m)));
	if (flat) {
		json_t *section = json_util_array();
		for (int k = 0; k < 2; k++) json_util_add(section, json_util_number(b->side_m[k]));
		json_util_put(o, "section_m", section);
		json_util_put(o, "equal_friction_diameter_m", json_util_number(b->hole_m));
	}
	json_util_put(o, "length_m", json_util_number(or_nan(b->length_m)));
	if (b->kind == AIR_DUCT) json_util_put(o, "roughness_m", json_util_number(b->roughness_m));
	json_util_put(o, "loss_coefficient", json_util_number(or_nan(b->k)));
	if (b->feeds_fan) json_util_put(o, "feeds_fan", json_util_flag(true));
	if (b->runs_on) json_util_put(o, "runs_on", json_util_flag(true));
	json_util_put(o, "covered_part", json_util_number(b->covered_part > 0 ? b->covered_part : 0));
	if (b->kind == AIR_TUBES) json_util_put(o, "free_plan_between_m2", json_util_number(or_nan(b->box_m2)));
	if (b->kind == AIR_TUBES || b->kind == AIR_FILTER)
		json_util_put(o, "dirty_state_known", json_util_flag(b->dirty_known));
	if (b->kind == AIR_OPENINGS) json_util_put(o, "spread_dirty", spread_json(&b->spread));
	return o;
}

static json_t *points(const model_curve_point *v, size_t n) {
	json_t *list = json_util_array();
	for (size_t i = 0; i < n; i++) {
		json_t *p = json_util_array();
		json_util_add(p, json_util_number(v[i].flow_m3_s));
		json_util_add(p, json_util_number(v[i].pressure_pa));
		json_util_add(list, p);
	}
	return list;
}

static json_t *fan_json(const model *m, const model_branch *b) {
	const model_stock *s = &m->stocks.v[b->stock];
	json_t *o = json_util_object();
	json_util_put(o, "branch", json_util_text(b->name));
	json_util_put(o, "stock", json_util_text(s->name));
	json_util_put(o, "source", json_util_text(s->source));
	json_util_put(o, "count", json_util_whole(b->count));
	json_util_put(o, "published_m3_s_pa", points(s->curve.v, s->curve.n));
	json_util_put(o, "published_density_kg_m3", json_util_number(or_nan(s->curve_density_kg_m3.v)));
	json_util_put(o, "stall_below_m3_s", json_util_number(or_nan(s->stall_m3_s.v)));
	json_util_put(o, "efficiency", json_util_number(or_nan(s->efficiency.v)));
	json_util_put(o, "in_this_air_all_of_count_m3_s_pa", points(b->gives.v, b->gives.n));
	return o;
}

static json_t *fan_at_work(const model_branch *b, const model_fan_state *f, bool solved) {
	static const char *const SIDE[3] = {"before its published points", "on its published points",
					    "beyond its published points"};
	json_t *o = json_util_object();
	json_util_put(o, "branch", json_util_text(b->name));
	json_util_put(o, "works", json_util_text(SIDE[f->side + 1]));
	if (solved) {
		json_util_put(o, "flow_of_one_m3_s", json_util_number(f->flow_m3_s));
		json_util_put(o, "rise_pa", json_util_number(f->rise_pa));
		json_util_put(o, "in_stall_range", json_util_flag(f->stall));
		json_util_put(o, "left_of_peak", json_util_flag(f->rising));
	} else if (f->side) {
		json_util_put(o, "end_m3_s", json_util_number(f->end_m3_s));
		json_util_put(o, "gives_there_pa", json_util_number(f->gives_pa));
		json_util_put(o, "way_takes_there_pa", json_util_number(f->needs_pa));
	}
	json_util_put(o, "way_takes_m3_s_pa", points(f->needs.v, f->needs.n));
	json_util_put(o, "gives_m3_s_pa", points(f->gives.v, f->gives.n));
	return o;
}

static json_t *flow_json(const model_branch *b, const model_flow *f, int condition) {
	json_t *o = json_util_object();
	json_util_put(o, "branch", json_util_text(b->name));
	json_util_put(o, "flow_m3_s", json_util_number(f->flow_m3_s));
	json_util_put(o, "loss_pa", json_util_number(f->loss_pa));
	json_util_put(o, "speed_m_s", json_util_number(f->speed_m_s));
	json_util_put(o, "speed_over", area(model_open_m2(b, condition), air_speed_basis(b)));
	json_util_put(o, "face_speed_m_s", json_util_number(f->face_m_s));
	json_util_put(o, "face_speed_over", area(model_plan_m2(b, condition), air_face_basis(b)));
	if (b->kind == AIR_TUBES) json_util_put(o, "upward_between_tubes_m_s", json_util_number(f->upward_m_s));
	if (b->kind == AIR_OPENINGS) {
		json_util_put(o, "grille_speed_m_s", json_util_number(f->grille_m_s));
		json_util_put(o, "grille_speed_over", area(b->grille_m2, GRILLE));
	}
	return o;
}

static json_t *releases_json(const model *m) {
	json_t *list = json_util_array();
	for (size_t i = 0; i < m->air.releases.n; i++) {
		const model_release *r = &m->air.releases.v[i];
		json_t *o = json_util_object();
		json_util_put(o, "branch", json_util_text(m->air.branches.v[r->branch].name));
		json_util_put(o, r->over ? "height_m" : "distance_m", json_util_number(r->distance_m));
		json_util_add(list, o);
		if (r->over) continue;
		json_util_put(o, "form", json_util_text(MODEL_HOOD_SPOKEN[r->hood]));
		json_util_put(o, "dust_leaves", json_util_text(MODEL_MOTION_SPOKEN[r->motion]));
		json_util_put(o, "reach_m", json_util_number(isfinite(r->reach_m) ? r->reach_m : (double)NAN));
		json_t *speeds = json_util_object();
		for (int c = 0; c < model_conditions(m); c++)
			if (m->air.result[c].solved)
				json_util_put(speeds, model_condition_name(m, c), json_util_number(r->speed_m_s[c]));
		json_util_put(o, "speed_m_s", speeds);
	}
	return list;
}

static json_t *faces_json(const model *m) {
	json_t *list = json_util_array();
	for (size_t i = 0; i < m->air.faces.n; i++) {
		json_t *o = json_util_object();
		json_util_put(o, "branch", json_util_text(m->air.branches.v[m->air.faces.v[i].branch].name));
		json_util_put(o, "held_to", json_util_text(MODEL_DRAFT_WORD[m->air.faces.v[i].draft]));
		json_util_put(o, "basis", json_util_text(MODEL_DRAFT_BASIS[m->air.faces.v[i].draft]));
		json_util_add(list, o);
	}
	return list;
}

static json_t *works_json(const model *m) {
	json_t *list = json_util_array();
	for (size_t i = 0; i < m->air.works.n; i++) {
		const model_work *w = &m->air.works.v[i];
		json_t *o = json_util_object(), *size = json_util_array(), *at = json_util_array();
		json_util_put(o, "on", json_util_text(m->parts.v[w->part].name));
		json_util_add(size, json_util_number(rat_double(w->size_u) / 1000));
		json_util_add(size, json_util_number(rat_double(w->size_v) / 1000));
		json_util_add(at, json_util_number(rat_double(w->at_u) / 1000));
		json_util_add(at, json_util_number(rat_double(w->at_v) / 1000));
		json_util_put(o, "size_m", size);
		json_util_put(o, "middle_m", at);
		json_util_add(list, o);
	}
	return list;
}

/* What it is for, and the cautions that asks for. */
static void put_dusts(json_t *o, const model *m) {
	json_t *dusts = json_util_array(), *cautions = json_util_array();
	for (int k = 0; k < DUST_KINDS; k++) {
		if (!(m->air.handles >> k & 1)) continue;
		json_util_add(dusts, json_util_text(MODEL_DUST_WORD[k]));
		if (model_dust_caution((model_dust)k))
			json_util_add(cautions, json_util_text(model_dust_caution((model_dust)k)));
	}
	json_util_put(o, "handles", dusts);
	json_util_put(o, "cautions", cautions);
}

static json_t *condition_json(const model *m, int condition) {
	const model_air_result *r = &m->air.result[condition];
	json_t *o = json_util_object();
	json_util_put(o, "condition", json_util_text(model_condition_name(m, condition)));
	json_util_put(o, "dirty", json_util_flag(condition & 1));
	json_util_put(o, "covered", json_util_flag(model_condition_covered(condition)));
	json_util_put(o, "work_laid", json_util_flag(model_condition_worked(condition)));
	json_util_put(o, "tap", json_util_text(model_condition_tap(m, condition)));
	json_util_put(o, "solved", json_util_flag(r->solved));
	json_util_put(o, "why_not", json_util_text(r->solved ? NULL : r->why_not));
	json_t *fans = json_util_array(), *flows = json_util_array(), *gauges = json_util_array();
	for (size_t i = 0; i < m->air.branches.n; i++) {
		const model_branch *b = &m->air.branches.v[i];
		if (r->solved) json_util_add(flows, flow_json(b, &r->flow[i], condition));
		if (r->fan && b->kind == AIR_FAN) json_util_add(fans, fan_at_work(b, &r->fan[i], r->solved));
	}
	json_util_put(o, "fans", fans);
	if (!r->solved) {
		json_decref(flows);
		json_decref(gauges);
		return o;
	}
	for (size_t i = 0; i < m->air.spaces.n; i++) {
		json_t *g = json_util_object();
		json_util_put(g, "space", json_util_text(m->air.spaces.v[i].name));
		json_util_put(g, "gauge_pa", json_util_number(r->pressure_pa[i]));
		json_util_add(gauges, g);
	}
	json_util_put(o, "branches", flows);
	json_util_put(o, "spaces", gauges);
	json_util_put(o, "shaft_w", json_util_number(r->shaft_w));
	json_util_put(o, "mains_w", json_util_number(r->mains_w));
	json_util_put(o, "blown_into_room_m3_s", json_util_number(r->into_room_m3_s));
	json_util_put(o, "makeup_m3_s", json_util_number(r->makeup_m3_s));
	json_util_put(o, "room_below_outdoors_pa", json_util_number(r->makeup_pa));
	json_util_put(o, "residual_below_m3_s", json_util_number(r->residual_m3_s));
	json_util_put(o, "residual_below_pa", json_util_number(r->residual_pa));
	return o;
}

/* What the rules compared; SI, the unit named. */
static json_t *compared_json(const model *m) {
	json_t *list = json_util_array();
	for (size_t i = 0; i < m->air.compared.n; i++) {
		const diag_compared *r = &m->air.compared.v[i];
		json_t *o = json_util_object();
		json_util_put(o, "rule", json_util_text(r->rule));
		json_util_put(o, "about", json_util_text(r->about));
		json_util_put(o, "value", json_util_number(r->value));
		json_util_put(o, "limit", json_util_number(r->limit));
		json_util_put(o, "unit", isfinite(r->value) ? json_util_unit(r->of) : json_null());
		json_util_put(o, "at_least", json_util_flag(r->at_least));
		json_util_put(o, "holds", json_util_flag(!r->broken));
		json_util_put(o, "condition", json_util_text(r->condition));
		json_util_put(o, "said", json_util_text(r->words));
		json_util_put(o, "asks", json_util_text(r->what));
		json_util_put(o, "basis", json_util_text(r->basis));
		json_util_put(o, "source", json_util_text(r->source));
		json_util_add(list, o);
	}
	return list;
}

/* One condition worked out line by line, as the book prints it. */
static json_t *worked_json(const model *m, int condition) {
	arena mem = {0};
	worked w = worked_air(&mem, m, condition);
	json_t *o = json_util_object(), *list = json_util_array();
	for (size_t i = 0; i < w.lines.n; i++) {
		const worked_line *l = &w.lines.v[i];
		json_t *row = json_util_object();
		json_util_put(row, l->formula ? "what" : "of", json_util_text(l->what));
		if (l->formula) {
			json_util_put(row, "formula", json_util_text(l->formula));
			json_util_put(row, "numbers", json_util_text(l->numbers));
			json_util_put(row, "result", json_util_text(l->result));
			json_util_put(row, "unit", json_util_text(l->unit));
			json_util_put(row, "also", json_util_text(l->also));
			json_util_put(row, "also_unit", json_util_text(l->also_unit));
			json_util_put(row, "source", json_util_text(l->source));
		}
		json_util_add(list, row);
	}
	json_util_put(o, "condition", json_util_text(MODEL_CONDITION[condition]));
	json_util_put(o, "lines", list);
	arena_end(&mem);
	return o;
}

json_t *air_json(const model *m) {
	const model_air *a = &m->air;
	json_t *o = json_util_object(), *spaces = json_util_array(), *branches = json_util_array();
	json_t *fans = json_util_array(), *conditions = json_util_array();
	json_util_put(o, "given", json_util_flag(a->given));
	for (size_t i = 0; i < a->spaces.n; i++) {
		json_t *s = json_util_object();
		json_util_put(s, "name", json_util_text(a->spaces.v[i].name));
		json_util_put(s, "room", json_util_flag(a->spaces.v[i].room));
		json_util_put(s, "named", json_util_flag(a->spaces.v[i].named));
		json_util_add(spaces, s);
	}
	for (size_t i = 0; i < a->branches.n; i++) {
		const model_branch *b = &a->branches.v[i];
		json_util_add(branches, branch_json(m, b));
		if (b->kind == AIR_FAN && b->stock < m->stocks.n) json_util_add(fans, fan_json(m, b));
	}
	for (int c = 0; c < model_conditions(m) && a->given; c++) json_util_add(conditions, condition_json(m, c));
	if (a->given) {
		json_util_put(o, "note", json_util_text(NOT_MEASURED));
		json_util_put(o, "altitude_m", json_util_number(a->altitude_m));
		json_util_put(o, "temperature_k", json_util_number(a->temperature_k));
		json_util_put(o, "density_kg_m3", json_util_number(or_nan(a->density_kg_m3)));
		json_util_put(o, "viscosity_pa_s", json_util_number(or_nan(a->viscosity_pa_s)));
		json_util_put(o, "relative_humidity", json_util_number(a->humidity));
		json_util_put(o, "exhausts_outdoors", json_util_flag(a->exhausts_outdoors));
		json_util_put(o, "room_m3", json_util_number(or_nan(a->room_m3)));
		json_util_put(o, "room_changes_per_h_dirty", json_util_number(or_nan(a->room_changes_per_h)));
		json_util_put(o, "mixing_factor", json_util_number(a->mixing));
		json_util_put(o, "room_to_a_hundredth_s_dirty", json_util_number(or_nan(a->decay_s)));
		json_util_put(o, "makeup_m2", json_util_number(or_nan(a->makeup_m2)));
		put_dusts(o, m);
		json_util_put(o, "works", works_json(m));
		json_util_put(o, "releases", releases_json(m));
		json_util_put(o, "faces", faces_json(m));
		json_util_put(o, "dust_kg_s", json_util_number(or_nan(a->dust_kg_s)));
		json_util_put(o, "dust_held_kg", json_util_number(or_nan(a->dust_held_kg)));
		json_util_put(o, "hours_to_dirty", json_util_number(or_nan(a->hours_to_dirty)));
		json_util_put(o, "trough_m3", json_util_number(or_nan(a->trough_m3)));
		json_util_put(o, "hours_to_full_trough", json_util_number(or_nan(a->hours_to_full_trough)));
	}
	json_util_put(o, "spaces", spaces);
	json_util_put(o, "branches", branches);
	json_util_put(o, "fans", fans);
	json_util_put(o, "conditions", conditions);
	json_util_put(o, "rules", compared_json(m));
	if (a->given) json_util_put(o, "worked", worked_json(m, 1));
	return o;
}

/* ---- tables -------------------------------------------------------------------------------- */

typedef struct units {
	const char *flow, *speed, *pressure, *power;
	double flow_si, speed_si, pressure_si, power_si; /* SI in one */
	int flow_places, speed_places, pressure_places, power_places;
} units;

static const units METRIC = {"m³/h", "m/s", "Pa", "W", 1.0 / 3600, 1, 1, 1, 0, 3, 1, 0};
static const units INCH = {"cfm", "ft/min", "in.wg", "hp", 0.028316846592 / 60, 0.00508, 249.08891, 745.69987158227022,
			   0,	  1,	    3,	     2};

static table *fans_table(const model *m, arena *mem, const units *u) {
	table *t = table_begin(mem, "Fans at work");
	table_column(t, "condition", NULL, TABLE_LEFT);
	table_column(t, "fan", NULL, TABLE_LEFT);
	table_column(t, "count", NULL, TABLE_RIGHT);
	table_column(t, "flow", u->flow, TABLE_RIGHT);
	table_column(t, "rise", u->pressure, TABLE_RIGHT);
	table_column(t, "shaft power", u->power, TABLE_RIGHT);
	table_column(t, "state", NULL, TABLE_LEFT);
	for (int c = 0; c < model_conditions(m) && m->air.given; c++) {
		const model_air_result *r = &m->air.result[c];
		for (size_t i = 0; i < m->air.branches.n; i++) {
			const model_branch *b = &m->air.branches.v[i];
			if (b->kind != AIR_FAN) continue;
			table_row(t);
			table_cell(t, "%s", model_condition_name(m, c));
			table_cell(t, "%s", b->name);
			table_whole(t, b->count);
			double q = r->solved ? r->flow[i].flow_m3_s : (double)NAN,
			       p = r->solved ? r->fan[i].rise_pa : (double)NAN;
			double eta = b->stock < m->stocks.n ? m->stocks.v[b->stock].efficiency.v : (double)NAN;
			table_number(t, q / u->flow_si, u->flow_places);
			table_number(t, p / u->pressure_si, u->pressure_places);
			table_number(t, airlaw_shaft_power(q, p, eta) / u->power_si, u->power_places);
			table_cell(t, "%s",
				   !r->solved	      ? r->why_not ? r->why_not : "not solved"
				   : r->fan[i].stall  ? "in its stall range"
				   : r->fan[i].rising ? "left of its curve's peak"
						      : "on its curve");
		}
	}
	table_note(t, "Flow and shaft power are of all the fans of the row. %s", NOT_MEASURED);
	return t;
}

static table *branches_table(const model *m, arena *mem, const units *u) {
	table *t = table_begin(mem, "Ways of the air");
	table_column(t, "condition", NULL, TABLE_LEFT);
	table_column(t, "through", NULL, TABLE_LEFT);
	table_column(t, "kind", NULL, TABLE_LEFT);
	table_column(t, "from", NULL, TABLE_LEFT);
	table_column(t, "to", NULL, TABLE_LEFT);
	table_column(t, "flow", u->flow, TABLE_RIGHT);
	table_column(t, "loss", u->pressure, TABLE_RIGHT);
	table_column(t, "speed", u->speed, TABLE_RIGHT);
	table_column(t, "speed basis", NULL, TABLE_LEFT);
	table_column(t, "face speed", u->speed, TABLE_RIGHT);
	table_column(t, "face basis", NULL, TABLE_LEFT);
	for (int c = 0; c < model_conditions(m) && m->air.given; c++) {
		const model_air_result *r = &m->air.result[c];
		for (size_t i = 0; i < m->air.branches.n && r->solved; i++) {
			const model_branch *b = &m->air.branches.v[i];
			const model_flow *f = &r->flow[i];
			table_row(t);
			table_cell(t, "%s", model_condition_name(m, c));
			table_cell(t, "%s", b->name);
			table_cell(t, "%s", MODEL_AIR_WORD[b->kind]);
			table_cell(t, "%s", space_name(m, b->from));
			table_cell(t, "%s", space_name(m, b->to));
			table_number(t, f->flow_m3_s / u->flow_si, u->flow_places);
			table_number(t, f->loss_pa / u->pressure_si, u->pressure_places);
			table_number(t, f->speed_m_s / u->speed_si, u->speed_places);
			table_cell(t, "%s", isfinite(f->speed_m_s) ? air_speed_basis(b) : "");
			table_number(t, f->face_m_s / u->speed_si, u->speed_places);
			table_cell(t, "%s", isfinite(f->face_m_s) ? air_face_basis(b) : "");
		}
	}
	table_note(t, "A negative loss is a fan's rise. In the covered conditions areas are what is left uncovered.");
	return t;
}

static table *gauge_table(const model *m, arena *mem, const units *u) {
	table *t = table_begin(mem, "Gauge readings against the room");
	table_column(t, "space", NULL, TABLE_LEFT);
	for (int c = 0; c < model_conditions(m); c++)
		table_column(t, model_condition_name(m, c), u->pressure, TABLE_RIGHT);
	for (size_t s = 1; s < m->air.spaces.n; s++) {
		if (model_space_in_stream(m, (model_ref)s)) continue;
		table_row(t);
		table_cell(t, "%s", m->air.spaces.v[s].name);
		for (int c = 0; c < model_conditions(m); c++) {
			const model_air_result *r = &m->air.result[c];
			table_number(t, r->solved ? r->pressure_pa[s] / u->pressure_si : (double)NAN,
				     u->pressure_places);
		}
	}
	for (int c = 0; c < model_conditions(m) && m->air.given; c++)
		if (!m->air.result[c].solved && m->air.result[c].why_not)
			table_note(t, "%s: %s", model_condition_name(m, c), m->air.result[c].why_not);
	return t;
}

static void figure(table *t, const char *name, const char *value, const char *basis) {
	table_row(t);
	table_cell(t, "%s", name);
	table_cell(t, "%s", value);
	table_cell(t, "%s", basis);
}

static void media_figures(const model *m, table *t) {
	for (size_t i = 0; i < m->air.branches.n; i++) {
		const model_branch *b = &m->air.branches.v[i];
		const model_air_result *r = &m->air.result[0];
		if ((b->kind != AIR_TUBES && b->kind != AIR_FILTER) || b->stock >= m->stocks.n || !r->solved) continue;
		const model_stock *s = &m->stocks.v[b->stock];
		const char *use = s->cleaned ? s->cleaned : s->use_class;
		const char *basis = airlaw_cloth_basis(t->mem, use, m->measures);
		bool stated = false;
		airlaw_cloth_speed(use, &stated);
		if (b->kind == AIR_FILTER && !stated)
			basis = "no figure: a unit works at the flow its maker rates it for";
		const char *said = use ? arena_printf(t->mem, "use \"%s\": %s", use, basis)
				       : arena_printf(t->mem, "use not stated: %s", basis);
		figure(t, arena_printf(t->mem, "filtration speed of %s, clean", b->name),
		       quant_show_si(t->mem, DIM_SPEED, fabs(r->flow[i].speed_m_s), m->measures), said);
		if (b->kind != AIR_TUBES || !known(b->box_m2)) continue;
		figure(t, arena_printf(t->mem, "upward speed between %s, clean", b->name),
		       quant_show_si(t->mem, DIM_SPEED, fabs(r->flow[i].flow_m3_s) / b->box_m2, m->measures),
		       "free plan between the tubes");
	}
}

/* What reaches the dust, and the speeds that faces are held to. */
static void release_figures(const model *m, table *t) {
	const model_air *a = &m->air;
	for (size_t i = 0; i < a->releases.n; i++) {
		const model_release *r = &a->releases.v[i];
		const char *far = quant_show_si(t->mem, DIM_LENGTH, r->distance_m, m->measures);
		if (r->over || !isfinite(r->speed_m_s[1])) continue;
		figure(t, arena_printf(t->mem, "speed %s before %s, dirty", far, a->branches.v[r->branch].name),
		       quant_show_si(t->mem, DIM_SPEED, r->speed_m_s[1], m->measures),
		       arena_printf(t->mem, "DallaValle, as a %s", MODEL_HOOD_SPOKEN[r->hood]));
	}
	for (size_t i = 0; i < a->faces.n && a->result[1].solved; i++) {
		const model_face *f = &a->faces.v[i];
		figure(t, arena_printf(t->mem, "face speed of %s, dirty", a->branches.v[f->branch].name),
		       quant_show_si(t->mem, DIM_SPEED, fabs(model_face_m_s(f, &a->result[1].flow[f->branch])),
				     m->measures),
		       MODEL_DRAFT_BASIS[f->draft]);
	}
}

static table *figures_table(const model *m, arena *mem) {
	const model_air *a = &m->air;
	measures ms = m->measures;
	table *t = table_begin(mem, "Air, dust and room");
	table_column(t, "figure", NULL, TABLE_LEFT);
	table_column(t, "value", NULL, TABLE_RIGHT);
	table_column(t, "basis", NULL, TABLE_LEFT);
	if (!a->given) return t;
	bool metric = ms == MEASURES_METRIC;
	const char *height = quant_show_number(mem, metric ? a->altitude_m : a->altitude_m / 0.3048, 0);
	figure(t, "density of the air", quant_show_si(mem, DIM_DENSITY, a->density_kg_m3, ms),
	       arena_printf(mem, "%s %s above the sea, %s", height, metric ? "m" : "ft",
			    quant_show_si(mem, DIM_TEMPERATURE, a->temperature_k, ms)));
	media_figures(m, t);
	if (known(a->dust_held_kg))
		figure(t, "dust held before the dirty state", quant_show_si(mem, DIM_MASS, a->dust_held_kg, ms),
		       "what the filters' stock declares");
	if (known(a->hours_to_dirty))
		figure(t, "work until the filters are dirty",
		       quant_show_si(mem, DIM_TIME, a->hours_to_dirty * 3600, ms),
		       arena_printf(mem, "dust made: %s, all taken to stay on them",
				    quant_show_si(mem, DIM_MASS_RATE, a->dust_kg_s, ms)));
	if (known(a->hours_to_full_trough))
		figure(t, "work until the trough is full",
		       quant_show_si(mem, DIM_TIME, a->hours_to_full_trough * 3600, ms),
		       "all dust taken to fall into it");
	if (known(a->room_changes_per_h))
		figure(t, "room air changes, dirty",
		       arena_printf(mem, "%s /h", quant_show_number(mem, a->room_changes_per_h, 1)),
		       arena_printf(mem, "room of %s %s",
				    quant_show_number(mem, metric ? a->room_m3 : a->room_m3 / 0.028316846592, 1),
				    metric ? "m³" : "ft³"));
	if (known(a->decay_s))
		figure(t, "until a hundredth of the room's dust is left, dirty",
		       quant_show_si(mem, DIM_TIME, a->decay_s, ms),
		       arena_printf(mem, "no more made; mixing factor %s%s", quant_show_number(mem, a->mixing, 2),
				    a->mixing > 1 ? "" : ", perfect: rooms have 3 to 10"));
	release_figures(m, t);
	const model_air_result *r = &a->result[0];
	if (a->exhausts_outdoors && r->solved)
		figure(t, "make-up air, clean", quant_show_si(mem, DIM_FLOW, r->makeup_m3_s, ms),
		       "what is blown outdoors must come in; burners in the room draw on the same air: local codes "
		       "decide");
	if (known(r->makeup_pa))
		figure(t, "the room below outdoors, clean", quant_show_si(mem, DIM_PRESSURE, r->makeup_pa, ms),
		       arena_printf(mem, "through the declared way in of %s",
				    quant_show_si(mem, DIM_AREA, a->makeup_m2, ms)));
	for (int k = 0; k < DUST_KINDS; k++)
		if (a->handles >> k & 1 && model_dust_caution((model_dust)k))
			table_note(t, "%s", model_dust_caution((model_dust)k));
	return t;
}

void air_tables(const model *m, arena *mem, const table *out[AIR_TABLES]) {
	const units *u = m->measures == MEASURES_METRIC ? &METRIC : &INCH;
	out[0] = fans_table(m, mem, u);
	out[1] = branches_table(m, mem, u);
	out[2] = gauge_table(m, mem, u);
	out[3] = figures_table(m, mem);
}
