/* Which face a part is worked from, what openings cut and with which tool, what parts weigh. */
#include <math.h>

#include "compiler/bores.h"
#include "compiler/context.h"
#include "runtime/engine/mitre.h"

/* Where hints go over from drill to hole saw to router. Common practice, no source. */
enum { LARGEST_DRILL_MM = 40, LARGEST_HOLE_SAW_MM = 160 };

static bool is_bar(const ctx *c, const model_part *p) {
	return p->stock != MODEL_NONE && model_by_length(c->m->stocks.v[p->stock].kind);
}

/* ---- which face a part is worked from ---------------------------------------------------------- */

static face default_face(const model_part *p) {
	if (p->thick_axis == AXIS_Y) return FACE_FRONT;
	return p->thick_axis == AXIS_Z ? FACE_TOP : FACE_RIGHT;
}

static void choose_work_faces(ctx *c) {
	for (size_t i = 0; i < c->parts.n; i++) {
		const part_def *def = c->parts.v[i];
		for (uint32_t k = 0; k < def->n && def->first != MODEL_NONE; k++) {
			model_part *p = &c->m->parts.v[def->first + k];
			p->work_face = inst_face_to_plan(def->in, default_face(p));
		}
	}
	/* A part with dados lies with them upwards. The first one decides; a dado on the other face is
	 * shown on that face's own drawing. */
	for (size_t i = c->m->features.n; i-- > 0;) {
		const model_feature *x = &c->m->features.v[i];
		model_part *p = &c->m->parts.v[x->part];
		bool lies_up = x->kind == FEATURE_GROOVE || x->kind == FEATURE_RABBET || x->kind == FEATURE_HALVING;
		/* A bar can lie with any of its long sides up, a sheet only with a face. */
		if (lies_up && (face_axis(x->face) == p->thick_axis || is_bar(c, p))) p->work_face = x->face;
	}
	for (size_t i = 0; i < c->parts.n; i++) {
		const part_def *def = c->parts.v[i];
		const syn_line *line = line_in_block(def->line, "face");
		face f;
		if (!line || line_args(line, NULL) != 1 || def->first == MODEL_NONE ||
		    !eval_side(c, line_arg(line, NULL, 0), &f))
			continue;
		f = inst_face_to_plan(def->in, f);
		if (face_axis(f) != def->thick_axis) {
			diag *g = diag_error(c->diags, "plan-direction", line_arg(line, NULL, 0)->at,
					     "this is an edge of `%s`, not one of its faces", def->name);
			diag_add_help(c->diags, g, "write `face %s` or `face %s`",
				      FACE_NAME[face_of(def->thick_axis, false)],
				      FACE_NAME[face_of(def->thick_axis, true)]);
			continue;
		}
		for (uint32_t k = 0; k < def->n; k++) c->m->parts.v[def->first + k].work_face = f;
	}
}

/* ---- openings as features, and what makes them --------------------------------------------------- */

static model_ref named_tool(ctx *c, const pattern_def *def) {
	const syn_line *line = line_in_block(def->line, "made");
	const syn_expr *by = line ? line_arg(line, "by", 0) : NULL;
	tool_def *t = by ? eval_tool(c, by) : NULL;
	return t ? t->row : MODEL_NONE;
}

/* Drills and hole saws within a tenth of the size, which cut it too small or too large. */
static void near_bits(ctx *c, diag *g, const model_sheet_of_pattern *s) {
	bore_limits l = bores_limits(c->m, s, 0);
	for (size_t i = 0; i < c->m->tools.n && s->shape.kind == SHAPE_ROUND; i++) {
		const model_tool *t = &c->m->tools.v[i];
		rat cuts = model_tool_cuts(t), off = rat_abs(rat_sub(cuts, s->shape.a));
		if (!bores_bit(t) || !rat_ok(off) || rat_lt(s->shape.a, rat_mul(off, rat_int(10)))) continue;
		diag_add_note(c->diags, g, rat_ok(t->measured.mm) ? t->measured.at : t->at,
			      "`%s` cuts %s, too %s: the hole may be %s to %s", t->name,
			      quant_show_length(c->mem, cuts, c->m->measures, false),
			      bores_holds(&l, t, s->shape.a) == HOLDS_SMALL ? "small" : "large",
			      quant_show_length(c->mem, l.least, c->m->measures, false),
			      quant_show_length(c->mem, l.most, c->m->measures, false));
	}
}

/* `by`: where the tool is named, when it is. */
static void check_tool(ctx *c, const model_pattern *p, const model_sheet_of_pattern *s, model_ref tool, span by) {
	if (tool == MODEL_NONE) {
		if (c->m->lacks_file) return; /* it may have stood there */
		diag *g = diag_warning(c->diags, "opening-no-tool", p->at,
				       "no tool of the plan makes the openings `%s` in `%s`", p->name,
				       c->m->parts.v[s->part].name);
		const char *size = arena_printf(c->mem, "%s %s", quant_show_decimal(c->mem, s->shape.a, c->m->measures),
						c->m->measures == MEASURES_METRIC ? "mm" : "in");
		bool round = s->shape.kind == SHAPE_ROUND;
		near_bits(c, g, s);
		if (round && rat_le(s->shape.a, rat_int(LARGEST_DRILL_MM)))
			diag_add_help(c->diags, g, "declare it, for example: tool bit : drill { cuts %s }", size);
		else if (round && rat_le(s->shape.a, rat_int(LARGEST_HOLE_SAW_MM)))
			diag_add_help(c->diags, g,
				      "declare it, for example: tool cup : holesaw { cuts %s }, or a router", size);
		else
			diag_add_help(
				c->diags, g, "declare a router: %s",
				example_shown(c->m, "tool router1 : router { cutter 12.7 mm; bush 30 mm; pass 6 mm }"));
		return;
	}
	const model_tool *t = &c->m->tools.v[tool];
	bool bit = bores_bit(t), round = s->shape.kind == SHAPE_ROUND;
	rat cuts = model_tool_cuts(t);
	bore_limits l = bores_limits(c->m, s, 0);
	/* One that is marked with the size but cuts another is told of with the holes: collar-fit, hole-size. */
	bool sized = !rat_ok(cuts) || rat_eq(t->diameter.mm, s->shape.a) || rat_eq(cuts, s->shape.a) ||
		     bores_holds(&l, t, s->shape.a) == HOLDS;
	if (bit && round && sized) return;
	if (t->kind == TOOL_ROUTER && (!rat_ok(cuts) || rat_le(cuts, model_shape_narrow(&s->shape)))) return;
	diag *g = diag_error(c->diags, "opening-tool", span_known(by) ? by : s->shape.at,
			     "`%s` does not make the opening of `%s` in `%s`", t->name, p->name,
			     c->m->parts.v[s->part].name);
	if (!rat_ok(cuts))
		diag_add_note(c->diags, g, t->at, "it is no drill, hole saw or router");
	else
		diag_add_note(c->diags, g, rat_ok(t->measured.mm) ? t->measured.at : t->at,
			      bit ? "it cuts %s" : "its cutter is %s",
			      quant_show_length(c->mem, cuts, c->m->measures, false));
	diag_add_help(c->diags, g, "name another tool in `made by`, or take the line away");
}

static void pattern_features(ctx *c, const pattern_def *def) {
	model_pattern *p = &c->m->patterns.v[def->row];
	model_ref by_name = named_tool(c, def);
	const syn_line *made = line_in_block(def->line, "made");
	const syn_expr *tool_name = made ? line_arg(made, "by", 0) : NULL;
	span by = tool_name ? tool_name->at : span_none();
	for (size_t i = 0; i < p->sheets.n; i++) {
		model_sheet_of_pattern *s = &p->sheets.v[i];
		const model_part *part = &c->m->parts.v[s->part];
		face f = s->blind ? s->face : part->work_face;
		s->face = f;
		model_ref tool = by_name != MODEL_NONE ? by_name : bores_tool(c->m, s);
		if (p->axes.n) check_tool(c, p, s, tool, by);
		for (size_t k = 0; k < p->axes.n; k++) {
			model_feature *x = cut_add(c, FEATURE_OPENING, s->part, f, s->at);
			x->pattern = def->row;
			x->index = (uint32_t)k;
			x->centre = model_shape_middle(&s->shape, p->axes.v[k], p->u, p->v);
			x->centre.v[p->through] = box_face(part->box, f);
			x->shape = s->shape;
			x->through = !s->blind;
			x->depth = s->blind ? s->depth : box_size(part->box, p->through);
			x->tool = tool;
		}
	}
}

/* ---- masses -------------------------------------------------------------------------------------- */

/* Share of its box that the stuff of a part fills: of a pipe the ring, of a round bar the disc. */
static double filled(const model_stock *s) {
	if (s->kind != STOCK_PIPE) return 1;
	double outside = rat_double(s->outside.mm);
	rat bore = model_pipe_bore(s);
	double in = rat_ok(bore) ? rat_double(bore) / outside : 0;
	return acos(-1.0) / 4 * (1 - in * in);
}

static double volume_mm3(const box3 *b) {
	return rat_double(box_size(*b, AXIS_X)) * rat_double(box_size(*b, AXIS_Y)) * rat_double(box_size(*b, AXIS_Z));
}

static void weigh(ctx *c) {
	model *m = c->m;
	double *volume = ARENA_MANY(c->mem, double, model_rows(m) + 1);
	for (size_t i = 0; i < model_rows(m); i++)
		volume[i] = volume_mm3(&m->parts.v[i].blank) * (1 - mitre_share(&m->parts.v[i]));
	for (size_t i = 0; i < m->features.n; i++) {
		const model_feature *x = &m->features.v[i];
		volume[x->part] -= model_shape_area_mm2(&x->shape) * rat_double(x->depth);
	}
	bool first = true;
	for (size_t i = 0; i < model_rows(m); i++) {
		model_part *p = &m->parts.v[i];
		double thick = rat_double(box_size(p->blank, p->thick_axis));
		p->face_area_m2 = thick > 0 ? volume_mm3(&p->blank) / thick * 1e-6 : 0;
		if (p->kind == PART_GAP) continue;
		const model_stock *s = &m->stocks.v[p->stock];
		p->mass_kg = model_part_made(m, p) ? volume[i] * filled(s) * 1e-9 * s->density_kg_m3.v : s->mass_kg.v;
		if (p->kind == PART_EXTRA) continue;
		if (isfinite(p->mass_kg)) m->mass_kg += p->mass_kg;
		for (int a = 0; a < 3; a++) {
			m->bounds.lo[a] = first ? p->box.lo[a] : rat_min(m->bounds.lo[a], p->box.lo[a]);
			m->bounds.hi[a] = first ? p->box.hi[a] : rat_max(m->bounds.hi[a], p->box.hi[a]);
		}
		first = false;
	}
	for (int a = 0; a < 3 && first; a++) m->bounds.lo[a] = m->bounds.hi[a] = rat_int(0);
}

/* What goes through can be cut from either face: from the one that lies up. */
static void turn_notches(ctx *c) {
	for (size_t i = 0; i < c->m->features.n; i++) {
		model_feature *x = &c->m->features.v[i];
		const model_part *p = &c->m->parts.v[x->part];
		if (x->kind != FEATURE_NOTCH || face_axis(x->face) != face_axis(p->work_face)) continue;
		x->face = p->work_face;
		x->centre.v[face_axis(x->face)] = box_face(p->blank, x->face);
	}
}

void features_resolve(ctx *c) {
	cuts_resolve(c);
	choose_work_faces(c);
	turn_notches(c);
	inst *plan = c->in;
	for (size_t i = 0; i < c->patterns.n; i++) {
		inst_enter(c, c->patterns.v[i]->in);
		pattern_features(c, c->patterns.v[i]);
	}
	inst_enter(c, plan);
	screws_resolve(c);
	faces_resolve(c);
	weigh(c);
}
