#include "compiler/templates.h"

#include "compiler/check_util.h"

/* The router that makes this sheet's openings, or NONE. */
static model_ref router_of(const model *m, size_t pattern, model_ref part) {
	for (size_t i = 0; i < m->features.n; i++) {
		const model_feature *f = &m->features.v[i];
		if (f->kind != FEATURE_OPENING || f->pattern != pattern || f->part != part || f->tool == MODEL_NONE)
			continue;
		return m->tools.v[f->tool].kind == TOOL_ROUTER ? f->tool : MODEL_NONE;
	}
	return MODEL_NONE;
}

static bool bush_fits(const model *m, diags *d, const model_pattern *p, const model_tool *t) {
	bool known = rat_ok(t->bush.mm) && rat_ok(t->diameter.mm);
	if (known && rat_lt(t->diameter.mm, t->bush.mm)) return true;
	diag *g;
	if (!known) {
		g = diag_warning(d, "template-bush", t->at,
				 "%s does not say its %s, so the templates for %s have no size", t->name,
				 rat_ok(t->diameter.mm) ? "guide bush" : "cutter", p->name);
		diag_add_help(d, g, "give both: cutter 12.7 mm and bush 30 mm (outside)");
	} else {
		g = diag_error(d, "template-bush", span_known(t->bush.at) ? t->bush.at : t->at,
			       "the guide bush of %s is %s and its cutter %s: the cutter does not pass, by %s", t->name,
			       check_length(m, d, t->bush.mm), check_length(m, d, t->diameter.mm),
			       check_length(m, d, rat_sub(t->diameter.mm, t->bush.mm)));
		diag_add_help(d, g, "a bush wider than the cutter, or a thinner cutter");
	}
	diag_add_note(d, g, p->at, "the openings that it makes");
	return false;
}

/* The work's corner is the template's corner less the offset and no tighter than the cutter; the template's corner is
 * no tighter than the bush. Both come to the same limit: half the cutter. */
static void corners(const model *m, diags *d, const model_pattern *p, const model_sheet_of_pattern *s,
		    model_template *row, const model_tool *t) {
	if (row->shape.kind != SHAPE_RECT) return;
	rat asked = rat_ok(row->shape.corner) ? row->shape.corner : rat_int(0), limit = rat_half(t->diameter.mm);
	if (rat_lt(asked, limit)) {
		diag *g = diag_warning(d, "template-corner", s->shape.at,
				       "corners of %s in %s ask for a radius of %s; %s leaves %s, %s more", p->name,
				       m->parts.v[s->part].name, check_length(m, d, asked), t->name,
				       check_length(m, d, limit), check_length(m, d, rat_sub(limit, asked)));
		diag_add_note(d, g, t->at, "its cutter is %s", check_length(m, d, t->diameter.mm));
		diag_add_help(d, g, "write corner %s, or square the corners by hand", check_length(m, d, limit));
		asked = limit;
		row->shape.corner = limit;
	}
	row->opening.corner = rat_add(asked, row->offset);
}

static const char *slug(arena *mem, const char *a, const char *b) {
	return b ? arena_printf(mem, "%s-%s", a, b) : arena_text(mem, a);
}

static void make_row(model *m, diags *d, size_t pattern, size_t sheet, model_ref tool, bool several) {
	const model_pattern *p = &m->patterns.v[pattern];
	const model_sheet_of_pattern *s = &p->sheets.v[sheet];
	const model_tool *t = &m->tools.v[tool];
	model_template row = {
		.pattern = (model_ref)pattern, .part = s->part, .tool = tool, .shape = s->shape, .at = p->at};
	rat more = rat_sub(t->bush.mm, t->diameter.mm);
	row.name = slug(m->mem, p->name, several ? m->parts.v[s->part].name : NULL);
	row.offset = rat_half(more);
	row.opening = s->shape;
	row.opening.a = rat_add(s->shape.a, more);
	row.opening.b = s->shape.kind == SHAPE_ROUND ? row.opening.a : rat_add(s->shape.b, more);
	corners(m, d, p, s, &row, t);
	row.test_cut = s->shape.a;
	rat depth = s->blind ? s->depth : box_size(m->parts.v[s->part].box, p->through);
	rat pass = rat_ok(t->pass.mm) && rat_sign(t->pass.mm) > 0 ? t->pass.mm : TEMPLATE_PASS_MM;
	int64_t n = rat_ceil(rat_div(depth, pass));
	row.passes = n < 1 ? 1 : n > 1000 ? 1000 : (uint32_t)n;
	LIST_PUSH(m->mem, &m->templates, row);
}

void templates_make(model *m, diags *d) {
	m->templates.n = 0;
	for (size_t i = 0; i < m->patterns.n; i++) {
		const model_pattern *p = &m->patterns.v[i];
		size_t *sheet = ARENA_MANY(m->mem, size_t, p->sheets.n + 1), n = 0;
		for (size_t k = 0; k < p->sheets.n; k++) {
			model_ref tool = router_of(m, i, p->sheets.v[k].part);
			if (tool == MODEL_NONE || !bush_fits(m, d, p, &m->tools.v[tool])) continue;
			bool seen = false;
			for (size_t o = 0; o < n; o++)
				seen = seen || (model_shape_same(&p->sheets.v[sheet[o]].shape, &p->sheets.v[k].shape) &&
						router_of(m, i, p->sheets.v[sheet[o]].part) == tool);
			if (!seen) sheet[n++] = k;
		}
		for (size_t k = 0; k < n; k++)
			make_row(m, d, i, sheet[k], router_of(m, i, p->sheets.v[sheet[k]].part), n > 1);
	}
}

const check_rule CHECK_TEMPLATES[] = {
	{"template-bush", DIAG_ERROR,
	 "A router that makes openings says its cutter and its guide bush, and the cutter passes the bush.", "geometry",
	 NULL},
	{"template-corner", DIAG_WARNING, "The corners of a cut-out have at least the radius of the cutter.",
	 "geometry: the template's corner is at least the bush's radius, the work's corner that less the offset", NULL},
};
const size_t N_CHECK_TEMPLATES = sizeof CHECK_TEMPLATES / sizeof *CHECK_TEMPLATES;
