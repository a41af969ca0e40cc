/* plan.json: stock, parts, openings, joints, features, tools and templates. */
#include "runtime/engine/joint.h"
#include "runtime/write/cuts_write.h"
#include "runtime/write/plan_json_parts.h"

static void put_length(json_t *o, const char *key, model_length l) {
	if (rat_ok(l.mm)) json_util_put(o, key, json_util_length(l.mm));
}

static void put_value(json_t *o, const char *key, model_value v) {
	if (v.v == v.v) json_util_put(o, key, json_util_number(v.v));
}

static json_t *lengths(const model_length *l, size_t n) {
	json_t *a = json_util_array();
	for (size_t i = 0; i < n; i++) json_util_add(a, json_util_length(l[i].mm));
	return a;
}

static const char *grain_word(model_grain g) { return g == GRAIN_LONG ? "long" : g == GRAIN_SHORT ? "short" : "none"; }

/* Of edges that are said for themselves. */
static void put_trims(json_t *o, const model_length on[EDGES]) {
	json_t *edges = json_util_object();
	for (int e = 0; e < EDGES; e++) put_length(edges, MODEL_EDGE_WORD[e], on[e]);
	if (json_object_size(edges))
		json_util_put(o, "trim_on", edges);
	else
		json_decref(edges);
}

static void put_sold(json_t *o, const model_stock *s) {
	json_util_put(o, "price_cents", s->price_cents >= 0 ? json_util_whole(s->price_cents) : json_null());
	json_util_put(o, "pack", json_util_whole(s->pack));
	json_util_put(o, "on_hand", s->on_hand >= 0 ? json_util_whole(s->on_hand) : json_null());
	json_t *sizes = json_util_array();
	for (size_t i = 0; i < s->sizes.n; i++) {
		const model_size *z = &s->sizes.v[i];
		json_t *e = json_util_object();
		json_util_put(e, "offcut", json_util_flag(z->offcut));
		json_util_put(e, "size", lengths(z->size, s->kind == STOCK_SHEET ? 2 : 1));
		put_length(e, "trim", z->trim);
		put_trims(e, z->trim_on);
		json_util_put(e, "price_cents", z->price_cents >= 0 ? json_util_whole(z->price_cents) : json_null());
		json_util_put(e, "on_hand", z->on_hand >= 0 ? json_util_whole(z->on_hand) : json_null());
		json_util_add(sizes, e);
	}
	if (s->sizes.n)
		json_util_put(o, "further_sizes", sizes);
	else
		json_decref(sizes);
}

static void put_stock_lengths(json_t *o, const model_stock *s) {
	if (rat_ok(s->size[0].mm)) json_util_put(o, "size", lengths(s->size, 3));
	if (rat_ok(s->section[0].mm)) json_util_put(o, "section", lengths(s->section, 2));
	put_length(o, "thick", s->thick);
	put_length(o, "thick_plus", s->thick_plus);
	put_length(o, "thick_minus", s->thick_minus);
	put_length(o, "trim", s->trim);
	put_trims(o, s->trim_on);
	put_length(o, "diameter", s->diameter);
	put_length(o, "length", s->length);
	put_length(o, "pilot", s->pilot);
	put_length(o, "pilot_soft", s->pilot_soft);
	put_length(o, "clearance", s->clearance);
	put_length(o, "sink", s->sink);
	put_value(o, "head_angle_deg", s->head_angle_deg);
	put_length(o, "pressed", s->pressed);
	put_length(o, "tape_width", s->tape_width);
	if (s->made != MADE_UNSAID) json_util_put(o, "made", json_util_text(MODEL_SHEET_CLASS_WORD[s->made]));
	put_length(o, "outside", s->outside);
	put_length(o, "outside_off", s->outside_off);
	put_length(o, "wall", s->wall);
	put_length(o, "roll", s->roll);
	put_length(o, "kerf", s->knife);
	put_length(o, "bore", s->bore);
	put_length(o, "flange", s->flange);
	put_length(o, "flange_thick", s->flange_thick);
	put_length(o, "fits_least", s->fits[0]);
	put_length(o, "fits_most", s->fits[1]);
	put_length(o, "takes_least", s->takes[0]);
	put_length(o, "takes_most", s->takes[1]);
	put_length(o, "grips_least", s->grips[0]);
	put_length(o, "grips_most", s->grips[1]);
	put_length(o, "inlet", s->inlet);
	put_length(o, "swivel", s->swivel);
}

static void put_stock_values(json_t *o, const model_stock *s) {
	put_value(o, "density_kg_m3", s->density_kg_m3);
	put_value(o, "mass_kg", s->mass_kg);
	put_value(o, "modulus_pa", s->modulus_pa);
	put_value(o, "movement", s->movement);
	put_value(o, "roughness_m", s->roughness_m);
	put_value(o, "media_r1_pa_s_m", s->media_r1_pa_s_m);
	put_value(o, "media_r2_pa_s2_m2", s->media_r2_pa_s2_m2);
	put_value(o, "drag_per_s", s->drag_per_s);
	put_value(o, "dirty_load_kg_m2", s->dirty_load_kg_m2);
	put_value(o, "media_area_m2", s->media_area_m2);
	put_value(o, "dirty_pa", s->dirty_pa);
	put_value(o, "dirty_flow_m3_s", s->dirty_flow_m3_s);
	put_value(o, "holds_kg", s->holds_kg);
	put_value(o, "open_s", s->open_s);
	put_value(o, "clamp_s", s->clamp_s);
	put_value(o, "rpm", s->rpm);
	put_value(o, "curve_density_kg_m3", s->curve_density_kg_m3);
	put_value(o, "stall_m3_s", s->stall_m3_s);
	json_t *taps = json_util_array();
	for (size_t i = 0; i < s->taps.n; i++) {
		json_t *t = json_util_object();
		json_util_put(t, "name", json_util_text(s->taps.v[i].name));
		json_util_put(t, "speed_ratio", json_util_number(s->taps.v[i].ratio));
		json_util_add(taps, t);
	}
	json_util_put(o, "taps", taps);
	static const char *const PLACE[] = {NULL, "outside", "stream"};
	json_util_put(o, "motor_at", json_util_text(PLACE[s->motor_at]));
	json_util_put(o, "motor_fit", json_util_text(s->motor_fit));
	json_util_put(o, "cleaned", json_util_text(s->cleaned));
	put_value(o, "efficiency", s->efficiency);
	put_value(o, "motor_w", s->motor_w);
	put_value(o, "motor_efficiency", s->motor_efficiency);
}

void plan_json_put_stock(json_t *root, const model *m) {
	json_t *a = json_util_array();
	for (size_t i = 0; i < m->stocks.n; i++) {
		const model_stock *s = &m->stocks.v[i];
		json_t *o = json_util_object(), *curve = json_util_array();
		json_util_put(o, "name", json_util_text(s->name));
		json_util_put(o, "kind", json_util_text(MODEL_STOCK_WORD[s->kind]));
		json_util_put(o, "label", json_util_text(s->label));
		json_util_put(o, "source", json_util_text(s->source));
		json_util_put(o, "at", json_util_span(m->sources, s->at));
		put_sold(o, s);
		if (s->kind == STOCK_SHEET) json_util_put(o, "grain", json_util_text(grain_word(s->grain)));
		if (s->kind == STOCK_SHEET || s->kind == STOCK_BAR)
			json_util_put(o, "wood", json_util_text(s->soft_wood ? "soft" : "hard"));
		put_stock_lengths(o, s);
		put_stock_values(o, s);
		if (s->use_class) json_util_put(o, "class", json_util_text(s->use_class));
		for (size_t k = 0; k < s->curve.n; k++) {
			json_t *p = json_util_object();
			json_util_put(p, "flow_m3_s", json_util_number(s->curve.v[k].flow_m3_s));
			json_util_put(p, "pressure_pa", json_util_number(s->curve.v[k].pressure_pa));
			json_util_add(curve, p);
		}
		if (s->curve.n)
			json_util_put(o, "curve", curve);
		else
			json_decref(curve);
		json_util_add(a, o);
	}
	json_util_put(root, "stock", a);
}

/* Points from the pattern's axis; each arc with its centre, and whether it turns left. */
static void outline_points(const model *m, const model_shape *s, json_t *o) {
	json_t *list = json_util_array();
	for (size_t i = 0; i < s->outline->corners.n; i++) {
		const model_corner *c = &s->outline->corners.v[i];
		json_t *p = json_util_object();
		json_util_put(p, "u", json_util_length(rat_add(s->off_u, c->u)));
		json_util_put(p, "v", json_util_length(rat_add(s->off_v, c->v)));
		if (c->bend) {
			json_util_put(p, "centre_u", json_util_length(rat_add(s->off_u, c->cu)));
			json_util_put(p, "centre_v", json_util_length(rat_add(s->off_v, c->cv)));
			json_util_put(p, "turns", json_util_text(c->bend > 0 ? "left" : "right"));
		}
		json_util_put(p, "at", json_util_span(m->sources, c->at));
		json_util_add(list, p);
	}
	json_util_put(o, "points", list);
	json_util_put(o, "area_mm2", json_util_number(model_shape_area_mm2(s)));
	json_util_put(o, "narrow", json_util_length(s->outline->narrow));
}

json_t *plan_json_shape(const model *m, const model_shape *s) {
	json_t *o = json_util_object();
	json_util_put(o, "kind", json_util_text(MODEL_SHAPE_WORD[s->kind]));
	json_util_put(o, "a", json_util_length(s->a));
	if (s->kind != SHAPE_ROUND) {
		json_util_put(o, "b", json_util_length(s->b));
		json_util_put(o, "along", json_util_text(AXIS_SPOKEN[s->along]));
	}
	if (s->kind == SHAPE_RECT) json_util_put(o, "corner", json_util_length(s->corner));
	if (s->kind == SHAPE_OUTLINE) outline_points(m, s, o);
	json_util_put(o, "at", json_util_span(m->sources, s->at));
	return o;
}

static json_t *placed(const model *m, const model_placed *p) {
	json_t *o = json_util_object(), *mirrored = json_util_array();
	json_util_put(o, "name", json_util_text(p->name));
	json_util_put(o, "assembly", json_util_text(p->assembly));
	for (int a = 0; a < 3; a++)
		if (p->mirrored[a]) json_util_add(mirrored, json_util_text(AXIS_SPOKEN[a]));
	json_util_put(o, "mirrored", mirrored);
	json_util_put(o, "box", json_util_box(p->box));
	json_util_put(o, "at", json_util_span(m->sources, p->at));
	return o;
}

static json_t *part(const model *m, const model_part *p) {
	json_t *o = json_util_object(), *face_at = json_util_object();
	json_util_put(o, "name", json_util_text(p->name));
	json_util_put(o, "kind", json_util_text(MODEL_PART_WORD[p->kind]));
	json_util_put(o, "group", json_util_text(p->group));
	json_util_put(o, "number", json_util_whole(p->number));
	json_util_put(o, "stock", plan_json_stock(m, p->stock));
	json_util_put(o, "at", json_util_span(m->sources, p->at));
	json_util_put(o, "box", json_util_box(p->box));
	json_util_put(o, "blank", json_util_box(p->blank));
	for (int f = 0; f < 6; f++) json_util_put(face_at, FACE_NAME[f], json_util_span(m->sources, p->face_at[f]));
	json_util_put(o, "face_from", face_at);
	json_util_put(o, "thick_axis", json_util_text(AXIS_SPOKEN[p->thick_axis]));
	json_util_put(o, "long_axis", json_util_text(AXIS_SPOKEN[p->long_axis]));
	json_util_put(o, "grain_axis", p->grain_matters ? json_util_text(AXIS_SPOKEN[p->grain_axis]) : json_null());
	json_util_put(o, "work_face", json_util_text(FACE_NAME[p->work_face]));
	json_util_put(o, "mass_kg", json_util_number(p->mass_kg));
	json_util_put(o, "face_area_m2", json_util_number(p->face_area_m2));
	json_util_put(o, "loose", json_util_flag(p->loose));
	if (p->note) json_util_put(o, "note", json_util_text(p->note));
	if (p->mitre[0].angle_deg > 0 || p->mitre[1].angle_deg > 0) json_util_put(o, "ends", cuts_write_ends_json(p));
	if (p->carries_kg_m2 > 0) json_util_put(o, "carries_kg_m2", json_util_number(p->carries_kg_m2));
	if (p->carries_kg > 0) json_util_put(o, "carries_kg", json_util_number(p->carries_kg));
	if (p->carries_middle_kg > 0) json_util_put(o, "carries_middle_kg", json_util_number(p->carries_middle_kg));
	if (p->hinged) {
		json_util_put(o, "hinge_side", json_util_text(FACE_NAME[p->hinge_side]));
		json_util_put(o, "hinge", plan_json_stock(m, p->hinge));
		json_util_put(o, "hinges", json_util_whole(p->n_hinges));
	}
	if (p->hinged) json_util_put(o, "opens_deg", json_util_number(p->opens_deg));
	if (rat_sign(p->slides_by) > 0) {
		json_util_put(o, "slides_to", json_util_text(FACE_NAME[p->slides_to]));
		json_util_put(o, "slides_by", json_util_length(p->slides_by));
	}
	if (p->latch < m->stocks.n) json_util_put(o, "latch", plan_json_stock(m, p->latch));
	return o;
}

/* Least and most, of the first size and, where there is one, of the second. */
static json_t *hole_limits(const rat *least, const rat *most, bool round) {
	json_t *a = json_util_array();
	for (int k = 0; k < (round ? 1 : 2); k++) {
		json_t *o = json_util_object();
		json_util_put(o, "least", json_util_length(least[k]));
		json_util_put(o, "most", json_util_length(most[k]));
		json_util_add(a, o);
	}
	return a;
}

static json_t *options(const model *m, const model_sheet_of_pattern *s) {
	json_t *a = json_util_array();
	for (size_t i = 0; i < s->options.n; i++) {
		const model_option *x = &s->options.v[i];
		json_t *o = json_util_object();
		json_util_put(o, "tool", plan_json_tool(m, x->tool));
		json_util_put(o, "cuts", json_util_length(x->cuts));
		json_util_put(o, "off", json_util_length(x->off));
		json_util_put(o, "holds", json_util_flag(x->holds == HOLDS));
		json_util_put(o, "chosen", json_util_flag(x->chosen));
		json_util_add(a, o);
	}
	return a;
}

static json_t *pattern_sheets(const model *m, const model_pattern *p) {
	json_t *a = json_util_array();
	for (size_t i = 0; i < p->sheets.n; i++) {
		const model_sheet_of_pattern *s = &p->sheets.v[i];
		json_t *o = json_util_object();
		json_util_put(o, "part", plan_json_part(m, s->part));
		json_util_put(o, "shape", plan_json_shape(m, &s->shape));
		json_util_put(o, "face", json_util_text(FACE_NAME[s->face]));
		json_util_put(o, "blind_depth", s->blind ? json_util_length(s->depth) : json_null());
		json_util_put(o, "collar", plan_json_stock(m, s->collar));
		if (s->clamped) json_util_put(o, "clamp", plan_json_stock(m, s->clamp));
		json_util_put(o, "may_measure", hole_limits(s->least, s->most, s->shape.kind == SHAPE_ROUND));
		json_util_put(o, "limits_by", json_util_text(s->by_seat ? "what is seated" : "ISO 2768-m"));
		json_util_put(o, "waste", rat_ok(s->waste) ? json_util_length(s->waste) : json_null());
		json_util_put(o, "options", options(m, s));
		json_util_put(o, "at", json_util_span(m->sources, s->at));
		json_util_add(a, o);
	}
	return a;
}

static json_t *pattern(const model *m, const model_pattern *p) {
	static const char *const LAYOUT[] = {"single", "grid", "stagger", "ring", "list"};
	json_t *o = json_util_object(), *axes = json_util_array(), *eases = json_util_array();
	json_util_put(o, "name", json_util_text(p->name));
	json_util_put(o, "at", json_util_span(m->sources, p->at));
	json_util_put(o, "layout", json_util_text(LAYOUT[p->kind]));
	json_util_put(o, "through", json_util_text(AXIS_SPOKEN[p->through]));
	json_util_put(o, "rows", json_util_whole(p->rows));
	json_util_put(o, "columns", json_util_whole(p->columns));
	json_util_put(o, "left_out", json_util_whole(p->left_out));
	if (rat_ok(p->pitch_u)) json_util_put(o, "pitch_u", json_util_length(p->pitch_u));
	if (rat_ok(p->pitch_v)) json_util_put(o, "pitch_v", json_util_length(p->pitch_v));
	json_util_put(o, "sheets", pattern_sheets(m, p));
	for (size_t i = 0; i < p->eases.n; i++) {
		const model_ease *e = &p->eases.v[i];
		json_t *x = json_util_object();
		json_util_put(x, "part", plan_json_part(m, e->part));
		json_util_put(x, "face", json_util_text(FACE_NAME[e->face]));
		json_util_put(x, "kind", json_util_text(e->chamfer ? "chamfer" : "round-over"));
		json_util_put(x, "size", json_util_length(e->size));
		json_util_put(x, "at", json_util_span(m->sources, e->at));
		json_util_add(eases, x);
	}
	json_util_put(o, "eases", eases);
	for (size_t i = 0; i < p->axes.n; i++) json_util_add(axes, json_util_point(p->axes.v[i]));
	json_util_put(o, "axes", axes);
	return o;
}

static json_t *joint(const model *m, const model_joint *j) {
	json_t *o = json_util_object();
	json_util_put(o, "name", json_util_text(j->name));
	json_util_put(o, "kind", json_util_text(MODEL_JOINT_WORD[j->kind]));
	json_util_put(o, "at", json_util_span(m->sources, j->at));
	json_util_put(o, "a", plan_json_part(m, j->a));
	json_util_put(o, "b", plan_json_part(m, j->b));
	json_util_put(o, "face_of_a", json_util_text(FACE_NAME[j->face_a]));
	json_util_put(o, "contact", json_util_box(j->contact));
	json_util_put(o, "depth", json_util_length(j->depth.mm));
	json_util_put(o, "allowance", json_util_length(j->allowance.mm));
	json_util_put(o, "screw", plan_json_stock(m, j->screw));
	json_util_put(o, "every", json_util_length(j->every.mm));
	json_util_put(o, "screws", json_util_whole(j->n_screws));
	json_util_put(o, "glue", json_util_flag(j->glue));
	json_util_put(o, "glue_stock", plan_json_stock(m, j->glue_stock));
	json_util_put(o, "gasket", plan_json_stock(m, j->gasket));
	json_util_put(o, "loose", json_util_flag(j->loose));
	json_util_put(o, "glued_m2", json_util_number(joint_glue_m2(m->mem, m, (model_ref)(j - m->joints.v))));
	if (joint_cuts(j->kind)) {
		json_util_put(o, "cut_in_b", json_util_box(joint_cut_b(m, j)));
		json_util_put(o, "from_the_work", json_util_flag(joint_from_the_work(m, j)));
	}
	if (j->kind == JOINT_HALVING) {
		json_util_put(o, "depth_in_a", json_util_length(j->depth_a));
		json_util_put(o, "cut_in_a", json_util_box(joint_cut_a(m, j)));
	}
	if (joint_enters(j->kind)) {
		json_util_put(o, "room", json_util_length(j->room.mm));
		json_util_put(o, "tongue", json_util_box(joint_tongue(m, j)));
		json_util_put(o, "stopped_low", json_util_length(j->stop[0]));
		json_util_put(o, "stopped_high", json_util_length(j->stop[1]));
	}
	if (j->kind == JOINT_TONGUE) {
		json_util_put(o, "tongue_thick", json_util_length(j->thick.mm));
		json_util_put(o, "shoulder_low", json_util_length(j->shoulder));
	}
	if (j->screw != MODEL_NONE) {
		json_util_put(o, "first", json_util_length(j->first.mm));
		json_util_put(o, "row_moved_by", json_util_length(j->shifted));
	}
	return o;
}

static json_t *glue_face(const model *m, const model_glue_face *g) {
	json_t *o = json_util_object();
	json_util_put(o, "joint", plan_json_row(g->joint));
	json_util_put(o, "part", plan_json_part(m, g->part));
	json_util_put(o, "face", json_util_text(FACE_NAME[g->face]));
	json_util_put(o, "rect", json_util_box(g->rect));
	return o;
}

static json_t *gasket_run(const model *m, const model_gasket_run *g) {
	json_t *o = json_util_object();
	json_util_put(o, "joint", plan_json_row(g->joint));
	json_util_put(o, "stock", plan_json_stock(m, g->stock));
	json_util_put(o, "part", plan_json_part(m, g->part));
	json_util_put(o, "face", json_util_text(FACE_NAME[g->face]));
	json_util_put(o, "rect", json_util_box(g->rect));
	json_util_put(o, "all_round", json_util_flag(g->ring));
	json_util_put(o, "corners", json_util_whole(g->corners));
	json_util_put(o, "length", json_util_length(g->length));
	json_util_put(o, "gap", json_util_length(g->gap));
	return o;
}

static json_t *feature(const model *m, const model_feature *f) {
	json_t *o = json_util_object();
	json_util_put(o, "kind", json_util_text(MODEL_FEATURE_WORD[f->kind]));
	json_util_put(o, "part", plan_json_part(m, f->part));
	json_util_put(o, "face", json_util_text(FACE_NAME[f->face]));
	json_util_put(o, "centre", json_util_point(f->centre));
	if (f->part < m->parts.n) {
		frame at = frame_of(m->parts.v[f->part].blank, f->face);
		rat u, v, depth;
		frame_from_cabinet(&at, f->centre, &u, &v, &depth);
		json_util_put(o, "right_of_datum", json_util_length(u));
		json_util_put(o, "above_datum", json_util_length(v));
	}
	json_util_put(o, "shape", plan_json_shape(m, &f->shape));
	json_util_put(o, "through", json_util_flag(f->through));
	json_util_put(o, "depth", json_util_length(f->depth));
	json_util_put(o, "sink", json_util_length(f->sink));
	json_util_put(o, "sink_depth", json_util_length(f->sink_depth));
	json_util_put(o, "pattern", plan_json_pattern(m, f->pattern));
	json_util_put(o, "joint", plan_json_row(f->joint));
	json_util_put(o, "index", json_util_whole(f->index));
	json_util_put(o, "tool", plan_json_tool(m, f->tool));
	json_util_put(o, "at", json_util_span(m->sources, f->at));
	return o;
}

static json_t *tool(const model *m, const model_tool *t) {
	json_t *o = json_util_object();
	json_util_put(o, "name", json_util_text(t->name));
	json_util_put(o, "kind", json_util_text(MODEL_TOOL_WORD[t->kind]));
	json_util_put(o, "label", json_util_text(t->label));
	json_util_put(o, "at", json_util_span(m->sources, t->at));
	put_length(o, "kerf", t->kerf);
	put_length(o, "diameter", t->diameter);
	put_length(o, "measured", t->measured);
	put_length(o, "measured_off", t->measured_off);
	put_length(o, "bush", t->bush);
	put_length(o, "pass", t->pass);
	put_length(o, "base", t->base);
	put_value(o, "feed_m_s", t->feed_m_s);
	put_value(o, "plunge_m_s", t->plunge_m_s);
	put_value(o, "rev_per_s", t->rpm_per_s);
	return o;
}

static json_t *pair(const rat v[2]) {
	json_t *a = json_util_array();
	for (int i = 0; i < 2; i++) json_util_add(a, json_util_length(v[i]));
	return a;
}

static json_t *template_use(const model *m, const model_template_use *u, size_t holes) {
	json_t *o = json_util_object();
	json_util_put(o, "pattern", plan_json_pattern(m, u->pattern));
	json_util_put(o, "part", plan_json_part(m, u->part));
	json_util_put(o, "turned_deg", json_util_whole(90 * u->quarters));
	json_util_put(o, "turned_over", json_util_flag(u->over));
	json_util_put(o, "passes", json_util_whole((long long)u->depths.n));
	json_t *depths = json_util_array();
	for (size_t i = 0; i < u->depths.n; i++) json_util_add(depths, json_util_length(u->depths.v[i]));
	json_util_put(o, "depths", depths);
	json_t *runs = json_util_array(), *places = json_util_array();
	for (size_t i = 0; i < u->runs.n; i++) {
		const model_template_run *r = &u->runs.v[i];
		json_t *run = json_util_object();
		json_util_put(run, "block", pair(r->block));
		json_util_put(run, "step", pair(r->step));
		json_t *n = json_util_array();
		for (int k = 0; k < 2; k++) json_util_add(n, json_util_whole(r->n[k]));
		json_util_put(run, "times", n);
		json_util_add(runs, run);
	}
	json_util_put(o, "set_by", runs);
	for (size_t i = 0; i < u->places.n; i++) {
		const model_template_place *p = &u->places.v[i];
		json_t *place = json_util_object(), *meets = json_util_array();
		json_util_put(place, "index", json_util_whole(p->index));
		json_util_put(place, "at", pair(p->at));
		json_util_put(place, "block", pair(p->block));
		for (size_t k = 0; k < holes; k++) json_util_add(meets, json_util_text(MODEL_MEETS_WORD[p->meets[k]]));
		json_util_put(place, "holes_meet", meets);
		json_util_add(places, place);
	}
	json_util_put(o, "places", places);
	return o;
}

static json_t *template_row(const model *m, const model_template *t) {
	json_t *o = json_util_object();
	json_util_put(o, "name", json_util_text(t->name));
	json_util_put(o, "tool", plan_json_tool(m, t->tool));
	json_t *uses = json_util_array();
	for (size_t i = 0; i < t->uses.n; i++) json_util_add(uses, template_use(m, &t->uses.v[i], t->holes.n));
	json_util_put(o, "serves", uses);
	json_util_put(o, "shape", plan_json_shape(m, &t->shape));
	json_util_put(o, "template_opening", plan_json_shape(m, &t->opening));
	json_util_put(o, "offset", json_util_length(t->offset));
	json_util_put(o, "size", pair(t->size));
	json_util_put(o, "base_reach", json_util_length(t->reach));
	json_util_put(o, "fixing_hole", json_util_length(t->hole));
	json_t *fixed = json_util_array();
	for (size_t i = 0; i < t->holes.n; i++) json_util_add(fixed, pair(t->holes.v[i].v));
	json_util_put(o, "fixing_holes", fixed);
	json_util_put(o, "test_cut", json_util_length(t->test_cut));
	json_util_put(o, "may_measure", hole_limits(t->least, t->most, t->shape.kind == SHAPE_ROUND));
	json_util_put(o, "limits_by", json_util_text(t->by_seat ? "what is seated" : "ISO 2768-m"));
	json_util_put(o, "waste", pair(t->waste));
	json_util_put(o, "offsets", pair(t->offsets));
	json_util_put(o, "at", json_util_span(m->sources, t->at));
	return o;
}

#define PUT_TABLE(key, table, row)                                                                                     \
	do {                                                                                                           \
		json_t *rows_ = json_util_array();                                                                     \
		for (size_t i_ = 0; i_ < m->table.n; i_++) json_util_add(rows_, row(m, &m->table.v[i_]));              \
		json_util_put(root, key, rows_);                                                                       \
	} while (0)

void plan_json_put_cabinet(json_t *root, const model *m) {
	PUT_TABLE("parts", parts, part);
	json_t *extras = json_util_array();
	for (size_t i = m->parts.n; i < model_rows(m); i++) json_util_add(extras, part(m, &m->parts.v[i]));
	json_util_put(root, "extras", extras);
	PUT_TABLE("placed", placed, placed);
	PUT_TABLE("openings", patterns, pattern);
	PUT_TABLE("joints", joints, joint);
	PUT_TABLE("glue_faces", glue_faces, glue_face);
	PUT_TABLE("gaskets", gaskets, gasket_run);
	PUT_TABLE("features", features, feature);
	PUT_TABLE("tools", tools, tool);
	PUT_TABLE("templates", templates, template_row);
}
