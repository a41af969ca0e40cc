/* Joints, and what they and the openings cut into the parts. */
#include <math.h>

#include "compiler/context.h"
#include "runtime/base/text.h"

/* First and last screw of a row: half a spacing from the end, at most this. Common practice, no source. */
enum { MOST_END_MM = 50 };
/* Where hints go over from drill to hole saw to router. Common practice, no source. */
enum { LARGEST_DRILL_MM = 40, LARGEST_HOLE_SAW_MM = 160 };

/* ---- joints -------------------------------------------------------------------------------- */

typedef struct row_list {
	LIST(model_ref) rows;
	bool many; /* a group of several: not every piece need meet */
} row_list;

static void each_row(ctx *c, model_ref row, void *data) {
	row_list *l = data;
	if (c->m->parts.v[row].number) l->many = true;
	LIST_PUSH(c->mem, &l->rows, row);
}

static bool read_joint_lines(ctx *c, const syn_line *line, model_joint *j) {
	line_list good = {0};
	words_check_block(c, BLOCK_JOIN, line, &good);
	bool fine = good.n == line->block.n;
	j->depth = j->allowance = (model_length){.mm = rat_int(0), .at = span_none()};
	j->every = (model_length){.mm = rat_poison(), .at = span_none()};
	j->screw = j->gasket = j->glue_stock = MODEL_NONE;
	const syn_line *depth = lines_find(&good, "depth"), *allowance = lines_find(&good, "allowance");
	const syn_line *screws = lines_find(&good, "screws"), *glue = lines_find(&good, "glue"),
		       *gasket = lines_find(&good, "gasket");
	if (depth) {
		j->depth.at = line_arg(depth, NULL, 0)->at;
		fine = eval_length(c, line_arg(depth, NULL, 0), &j->depth.mm) && fine;
	}
	if (allowance) {
		j->allowance.at = line_arg(allowance, NULL, 0)->at;
		fine = eval_length(c, line_arg(allowance, NULL, 0), &j->allowance.mm) && fine;
	}
	if (screws) {
		stock_def *s = eval_stock(c, line_arg(screws, NULL, 0), 1u << STOCK_SCREW, "a screw");
		const syn_expr *every = line_arg(screws, "every", 0);
		bool good_every = eval_length(c, every, &j->every.mm);
		if (good_every && rat_sign(j->every.mm) <= 0) {
			diag_error(c->diags, "plan-value", every->at,
				   "the spacing of the screws must be more than nothing");
			good_every = false;
		}
		j->every.at = every->at;
		j->screw = s && good_every ? s->row : MODEL_NONE;
		fine = fine && j->screw != MODEL_NONE;
	}
	if (glue) {
		j->glue = true;
		stock_def *s = line_args(glue, NULL) ? eval_stock(c, line_arg(glue, NULL, 0), 1u << STOCK_FINISH,
								  "glue (stock of kind finish)")
						     : NULL;
		if (s) j->glue_stock = s->row;
	}
	if (gasket) {
		stock_def *s = eval_stock(c, line_arg(gasket, NULL, 0), 1u << STOCK_GASKET, "a gasket");
		if (s) j->gasket = s->row;
	}
	bool cut = j->kind == JOINT_DADO || j->kind == JOINT_RABBET;
	if (cut && !depth && fine) {
		diag *g = diag_error(c->diags, "plan-form", line->word_at, "a %s wants a depth",
				     MODEL_JOINT_WORD[j->kind]);
		diag_add_help(c->diags, g, "write it like this: depth 6 mm");
		return false;
	}
	if (!cut && depth) {
		diag_error(c->diags, "plan-form", depth->at, "a %s joint cuts nothing; `depth` does not belong here",
			   MODEL_JOINT_WORD[j->kind]);
		return false;
	}
	if (cut && fine && rat_sign(j->depth.mm) <= 0) {
		diag_error(c->diags, "plan-value", j->depth.at, "the depth must be more than nothing");
		return false;
	}
	return fine;
}

static void report_apart(ctx *c, const syn_line *line, const model_part *a, const model_part *b) {
	rat most = rat_int(0);
	int where = -1;
	for (int i = 0; i < 3; i++) {
		rat d = box_distance_axis(a->box, b->box, (axis)i);
		if (rat_lt(most, d)) {
			most = d;
			where = i;
		}
	}
	diag *g;
	if (where >= 0)
		g = diag_error(c->diags, "joint-apart", line->at,
			       "`%s` and `%s` do not touch: they are %s apart along the %s", a->name, b->name,
			       quant_show_length(c->mem, most, c->m->measures, false), AXIS_SPOKEN[where]);
	else
		g = diag_error(c->diags, "joint-apart", line->at, "no face of `%s` lies against a face of `%s`",
			       a->name, b->name);
	diag_add_note(c->diags, g, a->at, "`%s` is placed here", a->name);
	diag_add_note(c->diags, g, b->at, "`%s` is placed here", b->name);
	diag_add_help(c->diags, g, "place one against the other, for example with `against %s.FACE` or `between`",
		      b->name);
}

static bool joint_fits_kind(ctx *c, const syn_line *line, const model_joint *j) {
	const model_part *a = &c->m->parts.v[j->a], *b = &c->m->parts.v[j->b];
	axis n = face_axis(j->face_a);
	if (j->kind == JOINT_BUTT || j->kind == JOINT_LAP) return true;
	if (n != a->thick_axis && n == b->thick_axis) return true;
	diag *g =
		diag_error(c->diags, "joint-kind", line->at,
			   "a %s takes the end of one sheet into the face of another, but %s of `%s` meets %s of `%s`",
			   MODEL_JOINT_WORD[j->kind], n == a->thick_axis ? "a face" : "an end", a->name,
			   n == b->thick_axis ? "a face" : "an end", b->name);
	diag_add_help(c->diags, g, "turn the two round, or make it a butt joint");
	return false;
}

/* Screws go through the part that shows its face there, into the end of the other; through a bought item's plate. The
 * model has that part as `b`: so a butt or lap that is written the other way round is turned. */
static bool written_round(const model *m, const model_joint *j, const model_part *a, const model_part *b) {
	axis n = face_axis(j->face_a);
	if (j->kind != JOINT_BUTT && j->kind != JOINT_LAP) return false;
	if (!model_part_made(m, b)) return false;
	return !model_part_made(m, a) || (b->thick_axis != n && a->thick_axis == n);
}

static bool joined_before(ctx *c, const model_joint *j) {
	for (size_t i = 0; i < c->m->joints.n; i++) {
		const model_joint *o = &c->m->joints.v[i];
		if (!(o->a == j->a && o->b == j->b) && !(o->a == j->b && o->b == j->a)) continue;
		diag *g = diag_error(c->diags, "joint-twice", j->at, "`%s` and `%s` are joined twice",
				     c->m->parts.v[j->a].name, c->m->parts.v[j->b].name);
		diag_add_note(c->diags, g, o->at, "first here");
		diag_add_help(c->diags, g, "take one of the two away");
		return true;
	}
	return false;
}

static bool make_joint(ctx *c, const syn_line *line, const model_joint *like, model_ref ra, model_ref rb) {
	model_joint j = *like;
	model_part *a = &c->m->parts.v[ra], *b = &c->m->parts.v[rb];
	if (!box_touch(a->box, b->box, &j.face_a, &j.contact)) return false;
	j.a = ra;
	j.b = rb;
	j.at = line->at;
	bool into = j.kind == JOINT_DADO || j.kind == JOINT_RABBET;
	j.name = arena_printf(c->mem, "%s %s %s", a->name, into ? "into" : "to", b->name);
	if (written_round(c->m, &j, a, b)) {
		j.a = rb;
		j.b = ra;
		j.face_a = face_opposite(j.face_a);
	}
	if (!joint_fits_kind(c, line, &j) || joined_before(c, &j)) return true;
	if (into) {
		rat grown = j.depth.mm;
		axis n = face_axis(j.face_a);
		if (rat_le(box_size(b->box, n), grown)) {
			diag *g = diag_error(c->diags, "dado-through", j.depth.at,
					     "%s deep is through `%s`, which is %s thick",
					     quant_show_length(c->mem, grown, c->m->measures, false), b->name,
					     quant_show_length(c->mem, box_size(b->box, n), c->m->measures, false));
			diag_add_note(c->diags, g, b->at, "`%s` is here", b->name);
			rat third = rat_round(rat_div(box_size(b->box, n), rat_int(3)), 1);
			diag_add_help(c->diags, g, "a third to a half of the thickness is common practice: depth %s",
				      quant_show_length(c->mem, third, MEASURES_METRIC, false));
			return true;
		}
		if (face_high(j.face_a))
			a->blank.hi[n] = rat_max(a->blank.hi[n], rat_add(a->box.hi[n], grown));
		else
			a->blank.lo[n] = rat_min(a->blank.lo[n], rat_sub(a->box.lo[n], grown));
	}
	LIST_PUSH(c->mem, &c->m->joints, j);
	return true;
}

static void join_lists(ctx *c, const syn_line *line, const syn_expr *ea, const syn_expr *eb, const model_joint *like) {
	row_list a = {0}, b = {0};
	part_rows(c, ea, false, each_row, &a);
	part_rows(c, eb, false, each_row, &b);
	bool any = false;
	for (size_t i = 0; i < a.rows.n; i++) {
		for (size_t k = 0; k < b.rows.n; k++) {
			if (a.rows.v[i] == b.rows.v[k]) {
				diag_error(c->diags, "joint-apart", ea->at, "`%s` cannot be joined to itself",
					   c->m->parts.v[a.rows.v[i]].name);
				return;
			}
			if (make_joint(c, line, like, a.rows.v[i], b.rows.v[k])) any = true;
		}
	}
	if (!any && a.rows.n && b.rows.n)
		report_apart(c, line, &c->m->parts.v[a.rows.v[0]], &c->m->parts.v[b.rows.v[0]]);
}

static void join_resolve(ctx *c, const syn_line *line) {
	const syn_expr *kind = line_arg(line, ":", 0);
	model_joint like = {.kind = JOINT_KINDS};
	const char *words[JOINT_KINDS];
	for (int k = 0; k < JOINT_KINDS; k++) {
		words[k] = MODEL_JOINT_WORD[k];
		if (text_same(expr_word(kind), words[k])) like.kind = (model_joint_kind)k;
	}
	if (like.kind == JOINT_KINDS) {
		if (kind->kind == SYN_BAD) return;
		diag *g = diag_error(c->diags, "plan-unknown-word", kind->at, "there is no joint `%s`",
				     expr_source(c, kind));
		const char *near = expr_word(kind) ? text_nearest(expr_word(kind), words, JOINT_KINDS) : NULL;
		if (near)
			diag_add_help(c->diags, g, "did you mean `%s`?", near);
		else
			diag_add_help(c->diags, g, "there are: butt, dado, rabbet, lap");
		return;
	}
	const char *link = like.kind == JOINT_DADO || like.kind == JOINT_RABBET ? "into" : "to";
	const syn_clause *to = line_clause(line, link, 0);
	if (!to || line_clause(line, link[0] == 'i' ? "to" : "into", 0)) {
		diag *g = diag_error(c->diags, "plan-form", line->word_at, "a %s joins one part `%s` another",
				     MODEL_JOINT_WORD[like.kind], link);
		diag_add_help(c->diags, g, "write it like this: join floor %s left, right : %s { … }", link,
			      MODEL_JOINT_WORD[like.kind]);
		return;
	}
	if (!read_joint_lines(c, line, &like)) return;
	const syn_clause *from = line_clause(line, NULL, 0);
	for (size_t i = 0; i < from->args.n; i++)
		for (size_t k = 0; k < to->args.n; k++) join_lists(c, line, from->args.v[i], to->args.v[k], &like);
}

void joints_resolve(ctx *c) {
	size_t before = c->diags->all.n;
	inst *plan = c->in;
	for (size_t i = 0; i < c->joins.n; i++) {
		inst_enter(c, c->joins.v[i].in);
		join_resolve(c, c->joins.v[i].line);
	}
	inst_enter(c, plan);
	c->joint_failed = c->diags->all.n > before;
}

/* ---- features ---------------------------------------------------------------------------------- */

static model_shape round_shape(rat diameter, span at) {
	return (model_shape){.kind = SHAPE_ROUND, .a = diameter, .b = diameter, .corner = rat_int(0), .at = at};
}

static model_feature *add_feature(ctx *c, model_feature_kind kind, model_ref part, face f, span at) {
	model_feature *x = LIST_ADD(c->mem, &c->m->features);
	*x = (model_feature){.kind = kind,
			     .part = part,
			     .face = f,
			     .at = at,
			     .sink = rat_int(0),
			     .pattern = MODEL_NONE,
			     .joint = MODEL_NONE,
			     .tool = MODEL_NONE};
	return x;
}

/* The groove takes the whole tongue: as long as the first part's blank where the second has material. */
static void add_groove(ctx *c, model_ref jr) {
	const model_joint *j = &c->m->joints.v[jr];
	const model_part *a = &c->m->parts.v[j->a], *b = &c->m->parts.v[j->b];
	axis n = face_axis(j->face_a), across = a->thick_axis, lengthwise = (axis)(3 - (int)n - (int)across);
	face f = face_opposite(j->face_a);
	rat lo = rat_max(a->blank.lo[lengthwise], b->blank.lo[lengthwise]);
	rat hi = rat_min(a->blank.hi[lengthwise], b->blank.hi[lengthwise]);
	model_feature *x = add_feature(c, j->kind == JOINT_RABBET ? FEATURE_RABBET : FEATURE_GROOVE, j->b, f, j->at);
	x->joint = jr;
	x->centre.v[n] = box_face(b->box, f);
	x->centre.v[across] = rat_half(rat_add(j->contact.lo[across], j->contact.hi[across]));
	x->centre.v[lengthwise] = rat_half(rat_add(lo, hi));
	x->shape = (model_shape){
		.kind = SHAPE_RECT, .a = rat_sub(hi, lo), .corner = rat_int(0), .along = lengthwise, .at = j->at};
	x->shape.b = rat_add(box_size(j->contact, across), j->allowance.mm);
	x->depth = j->depth.mm;
}

static void add_screw(ctx *c, model_ref jr, point3 at, uint32_t index) {
	const model_joint *j = &c->m->joints.v[jr];
	const model_stock *s = &c->m->stocks.v[j->screw];
	const model_part *a = &c->m->parts.v[j->a], *b = &c->m->parts.v[j->b];
	axis n = face_axis(j->face_a);
	/* What the screw passes before it meets a; how thick a bought item's plate is, its box does not say. */
	bool made = model_part_made(c->m, b);
	rat through = made ? rat_sub(box_size(b->box, n), j->depth.mm) : rat_int(0);
	if (made) {
		model_feature *x = add_feature(c, FEATURE_CLEARANCE, j->b, j->face_a, j->at);
		x->joint = jr;
		x->index = index;
		x->centre = at;
		x->centre.v[n] = box_face(b->box, j->face_a);
		x->shape = round_shape(s->clearance.mm, s->clearance.at);
		x->through = true;
		x->depth = box_size(b->box, n);
		x->sink = rat_ok(s->sink.mm) ? s->sink.mm : rat_int(0);
	}
	if (model_part_made(c->m, a)) {
		model_feature *x = add_feature(c, FEATURE_PILOT, j->a, j->face_a, j->at);
		x->joint = jr;
		x->index = index;
		x->centre = at;
		x->centre.v[n] = box_face(a->blank, j->face_a);
		bool soft = c->m->stocks.v[a->stock].soft_wood && rat_ok(s->pilot_soft.mm);
		const model_length *pilot = soft ? &s->pilot_soft : &s->pilot;
		x->shape = round_shape(pilot->mm, pilot->at);
		x->depth = rat_max(rat_sub(s->length.mm, through), rat_int(0));
	}
}

static void add_screws(ctx *c, model_ref jr) {
	model_joint *j = &c->m->joints.v[jr];
	const model_stock *s = &c->m->stocks.v[j->screw];
	if (!rat_ok(s->length.mm) || !rat_ok(s->pilot.mm) || !rat_ok(s->clearance.mm))
		return; /* reported at the stock */
	axis n = face_axis(j->face_a), l = n == AXIS_X ? AXIS_Y : AXIS_X;
	for (int i = 0; i < 3; i++)
		if (i != (int)n && rat_lt(box_size(j->contact, l), box_size(j->contact, (axis)i))) l = (axis)i;
	axis w = (axis)(3 - (int)n - (int)l);
	rat length = box_size(j->contact, l);
	rat end = rat_min(rat_half(j->every.mm), rat_int(MOST_END_MM));
	rat run = rat_sub(length, rat_add(end, end));
	int64_t count = rat_sign(run) > 0 ? rat_ceil(rat_div(run, j->every.mm)) + 1 : 1;
	if (count > 2000) {
		diag_error(c->diags, "plan-count", j->every.at, "this makes %lld screws in one joint",
			   (long long)count);
		return;
	}
	point3 p;
	p.v[n] = j->contact.lo[n];
	p.v[w] = rat_half(rat_add(j->contact.lo[w], j->contact.hi[w]));
	for (int64_t i = 0; i < count; i++) {
		p.v[l] = count == 1 ? rat_half(rat_add(j->contact.lo[l], j->contact.hi[l]))
				    : rat_add(rat_add(j->contact.lo[l], end),
					      rat_mul(rat_div(run, rat_int(count - 1)), rat_int(i)));
		add_screw(c, jr, p, (uint32_t)i);
	}
	j->n_screws = (uint32_t)count;
}

/* ---- which face a part is worked from ---------------------------------------------------------- */

static face default_face(const model_part *p) {
	if (p->thick_axis == AXIS_Y) return FACE_FRONT;
	return p->thick_axis == AXIS_Z ? FACE_TOP : FACE_RIGHT;
}

static void choose_work_faces(ctx *c) {
	for (size_t i = 0; i < c->m->parts.n; i++) c->m->parts.v[i].work_face = default_face(&c->m->parts.v[i]);
	/* A part with dados lies with them upwards. The first one decides; a dado on the other face is
	 * shown on that face's own drawing. */
	for (size_t i = c->m->features.n; i-- > 0;) {
		const model_feature *x = &c->m->features.v[i];
		if (x->kind == FEATURE_GROOVE || x->kind == FEATURE_RABBET) c->m->parts.v[x->part].work_face = x->face;
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

static model_ref tool_for(ctx *c, const model_shape *s) {
	if (s->kind == SHAPE_ROUND) {
		for (size_t i = 0; i < c->m->tools.n; i++) {
			const model_tool *t = &c->m->tools.v[i];
			if ((t->kind == TOOL_DRILL || t->kind == TOOL_HOLE_SAW) && rat_eq(t->diameter.mm, s->a))
				return (model_ref)i;
		}
	}
	for (size_t i = 0; i < c->m->tools.n; i++)
		if (c->m->tools.v[i].kind == TOOL_ROUTER && rat_ok(c->m->tools.v[i].diameter.mm) &&
		    rat_le(c->m->tools.v[i].diameter.mm, rat_min(s->a, s->b)))
			return (model_ref)i;
	return MODEL_NONE;
}

static model_ref named_tool(ctx *c, const pattern_def *def) {
	const syn_line *line = line_in_block(def->line, "made");
	const syn_expr *by = line ? line_arg(line, "by", 0) : NULL;
	tool_def *t = by ? eval_tool(c, by) : NULL;
	return t ? t->row : MODEL_NONE;
}

static void check_tool(ctx *c, const model_pattern *p, const model_sheet_of_pattern *s, model_ref tool) {
	if (tool == MODEL_NONE) {
		diag *g = diag_warning(c->diags, "opening-no-tool", p->at,
				       "no tool of the plan makes the openings `%s` in `%s`", p->name,
				       c->m->parts.v[s->part].name);
		const char *size = arena_printf(c->mem, "%s %s", quant_show_decimal(c->mem, s->shape.a, c->m->measures),
						c->m->measures == MEASURES_METRIC ? "mm" : "in");
		bool round = s->shape.kind == SHAPE_ROUND;
		if (round && rat_le(s->shape.a, rat_int(LARGEST_DRILL_MM)))
			diag_add_help(c->diags, g, "declare it, for example: tool bit : drill { cuts %s }", size);
		else if (round && rat_le(s->shape.a, rat_int(LARGEST_HOLE_SAW_MM)))
			diag_add_help(c->diags, g,
				      "declare it, for example: tool cup : holesaw { cuts %s }, or a router", size);
		else
			diag_add_help(
				c->diags, g,
				"declare a router: tool router1 : router { cutter 12.7 mm; bush 30 mm; pass 6 mm }");
		return;
	}
	const model_tool *t = &c->m->tools.v[tool];
	bool drill = t->kind == TOOL_DRILL || t->kind == TOOL_HOLE_SAW;
	if (drill && s->shape.kind == SHAPE_ROUND && (!rat_ok(t->diameter.mm) || rat_eq(t->diameter.mm, s->shape.a)))
		return;
	if (t->kind == TOOL_ROUTER &&
	    (!rat_ok(t->diameter.mm) || rat_le(t->diameter.mm, rat_min(s->shape.a, s->shape.b))))
		return;
	diag *g = diag_error(c->diags, "opening-tool", s->shape.at, "`%s` does not make the opening of `%s` in `%s`",
			     t->name, p->name, c->m->parts.v[s->part].name);
	diag_add_note(c->diags, g, t->at, drill ? "it cuts %s" : "its cutter is %s",
		      quant_show_length(c->mem, t->diameter.mm, c->m->measures, false));
	diag_add_help(c->diags, g, "name another tool in `made by`, or take the line away");
}

static void pattern_features(ctx *c, const pattern_def *def) {
	model_pattern *p = &c->m->patterns.v[def->row];
	model_ref by_name = named_tool(c, def);
	for (size_t i = 0; i < p->sheets.n; i++) {
		model_sheet_of_pattern *s = &p->sheets.v[i];
		const model_part *part = &c->m->parts.v[s->part];
		face f = s->blind ? s->face : part->work_face;
		s->face = f;
		model_ref tool = by_name != MODEL_NONE ? by_name : tool_for(c, &s->shape);
		if (p->axes.n) check_tool(c, p, s, tool);
		for (size_t k = 0; k < p->axes.n; k++) {
			model_feature *x = add_feature(c, FEATURE_OPENING, s->part, f, s->at);
			x->pattern = def->row;
			x->index = (uint32_t)k;
			x->centre = p->axes.v[k];
			x->centre.v[p->through] = box_face(part->box, f);
			x->shape = s->shape;
			x->through = !s->blind;
			x->depth = s->blind ? s->depth : box_size(part->box, p->through);
			x->tool = tool;
		}
	}
}

/* ---- masses -------------------------------------------------------------------------------------- */

static double volume_mm3(const box3 *b) {
	return rat_double(box_size(*b, AXIS_X)) * rat_double(box_size(*b, AXIS_Y)) * rat_double(box_size(*b, AXIS_Z));
}

static void weigh(ctx *c) {
	model *m = c->m;
	double *volume = ARENA_MANY(c->mem, double, m->parts.n + 1);
	for (size_t i = 0; i < m->parts.n; i++) volume[i] = volume_mm3(&m->parts.v[i].blank);
	for (size_t i = 0; i < m->features.n; i++) {
		const model_feature *x = &m->features.v[i];
		volume[x->part] -= model_shape_area_mm2(&x->shape) * rat_double(x->depth);
	}
	bool first = true;
	for (size_t i = 0; i < m->parts.n; i++) {
		model_part *p = &m->parts.v[i];
		double thick = rat_double(box_size(p->blank, p->thick_axis));
		p->face_area_m2 = thick > 0 ? volume_mm3(&p->blank) / thick * 1e-6 : 0;
		if (p->kind == PART_GAP) continue;
		const model_stock *s = &m->stocks.v[p->stock];
		p->mass_kg = model_part_made(m, p) ? volume[i] * 1e-9 * s->density_kg_m3.v : s->mass_kg.v;
		if (isfinite(p->mass_kg)) m->mass_kg += p->mass_kg;
		for (int a = 0; a < 3; a++) {
			m->bounds.lo[a] = first ? p->box.lo[a] : rat_min(m->bounds.lo[a], p->box.lo[a]);
			m->bounds.hi[a] = first ? p->box.hi[a] : rat_max(m->bounds.hi[a], p->box.hi[a]);
		}
		first = false;
	}
	for (int a = 0; a < 3 && first; a++) m->bounds.lo[a] = m->bounds.hi[a] = rat_int(0);
}

void features_resolve(ctx *c) {
	for (size_t i = 0; i < c->m->joints.n; i++) {
		const model_joint *j = &c->m->joints.v[i];
		if (j->kind == JOINT_DADO || j->kind == JOINT_RABBET) add_groove(c, (model_ref)i);
	}
	choose_work_faces(c);
	inst *plan = c->in;
	for (size_t i = 0; i < c->patterns.n; i++) {
		inst_enter(c, c->patterns.v[i]->in);
		pattern_features(c, c->patterns.v[i]);
	}
	inst_enter(c, plan);
	for (size_t i = 0; i < c->m->joints.n; i++)
		if (c->m->joints.v[i].screw != MODEL_NONE) add_screws(c, (model_ref)i);
	weigh(c);
}
