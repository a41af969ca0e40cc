/* How a part is used when it stands: what it carries, how far it opens, how far it slides. */
#include "compiler/parts.h"
#include "runtime/base/text.h"
#include "runtime/engine/beam.h"

static bool middle(ctx *c, const syn_line *line, bool *at_middle) {
	const syn_expr *e = line_arg(line, "at", 0);
	*at_middle = e != NULL;
	if (!e || text_same(expr_word(e), "middle")) return true;
	if (e->kind == SYN_BAD) return false;
	diag *g = diag_error(c->diags, "plan-value", e->at, "a load is spread evenly, or stands at the middle");
	diag_add_help(c->diags, g, "%s", example_shown(c->m, "write `carries 30 kg` or `carries 30 kg at middle`"));
	return false;
}

static void read_carries(ctx *c, const syn_line *line, model_part *m) {
	const syn_expr *e = line_arg(line, NULL, 0);
	bool at_middle;
	value v = eval(c, e);
	if (!middle(c, line, &at_middle) || v.kind == VALUE_BAD) return;
	dim d = v.kind == VALUE_QUANT ? v.q.dim : DIM_NUMBER;
	bool mass = dim_same(d, DIM_MASS), areal = dim_same(d, DIM_AREAL), pressure = dim_same(d, DIM_PRESSURE);
	if (!mass && (at_middle || !(areal || pressure))) {
		diag *g = diag_error(c->diags, "plan-dimension", e->at, "%s belongs here, but this is %s",
				     at_middle ? "a mass" : "a mass, or a mass per area",
				     v.kind == VALUE_QUANT ? dim_spoken(c->mem, d) : "none");
		diag_add_help(
			c->diags, g, "%s",
			example_shown(
				c->m,
				"write `carries 30 kg` for all of it, `carries 40 kg/m2` for each part of its face"));
		return;
	}
	double si = quant_si(v.q);
	if (!(si > 0)) {
		diag_error(c->diags, "plan-value", e->at, "`carries` must be more than nothing");
		return;
	}
	if (!span_known(m->carries_at)) m->carries_at = line->at;
	if (at_middle)
		m->carries_middle_kg += si;
	else if (mass)
		m->carries_kg += si;
	else
		m->carries_kg_m2 += pressure ? si / BEAM_GRAVITY_M_S2 : si;
}

static void read_opens(ctx *c, const part_def *p, model_part *m) {
	const syn_line *line = part_line(p, "opens");
	double deg;
	m->opens_deg = 90;
	m->opens_at = line ? line->at : span_none();
	if (!line || p->kind != PART_DOOR) return;
	if (!part_line(p, "hinged")) {
		if (!line_in_block(p->line, "opens")) return; /* told of the one that it mirrors */
		diag *g = diag_error(c->diags, "plan-form", line->at, "`%s` opens, but nothing says where it is hinged",
				     p->name);
		diag_add_help(c->diags, g, "write it in a door: hinged left with hinge75");
		return;
	}
	if (!eval_si(c, line_arg(line, NULL, 0), DIM_ANGLE, &deg)) return;
	if (!(deg > 0) || deg > 270) {
		diag_error(c->diags, "plan-value", line_arg(line, NULL, 0)->at,
			   "a door opens by more than 0 and at most 270 degrees");
		return;
	}
	m->opens_deg = deg;
}

static void read_slides(ctx *c, const part_def *p, model_part *m) {
	const syn_line *line = part_line(p, "slides");
	m->slides_by = rat_int(0);
	m->slides_at = line ? line->at : span_none();
	face f;
	rat mm;
	if (!line || !eval_side(c, line_arg(line, NULL, 0), &f) || !eval_length(c, line_arg(line, "by", 0), &mm))
		return;
	if (rat_sign(mm) <= 0) {
		diag_error(c->diags, "plan-value", line_arg(line, "by", 0)->at, "`slides` must be more than nothing");
		return;
	}
	if (p->mirror && !line_in_block(p->line, "slides") && face_axis(f) == p->mirror_axis) f = face_opposite(f);
	m->slides_to = f;
	m->slides_by = mm;
}

static void only_doors(ctx *c, const part_def *p) {
	static const char *const WORDS[] = {"hinged", "hinges", "latch", "opens"};
	for (size_t i = 0; i < sizeof WORDS / sizeof *WORDS; i++) {
		const syn_line *line = line_in_block(p->line, WORDS[i]);
		if (!line) continue;
		diag *g = diag_error(c->diags, "plan-form", line->word_at, "`%s` belongs to a door, and `%s` is none",
				     WORDS[i], p->name);
		diag_add_note(c->diags, g, p->at, "`%s` is here", p->name);
		diag_add_help(c->diags, g, "write it as a door: door %s : STOCK { … }", p->name);
		return;
	}
}

void part_use(ctx *c, const part_def *p, model_part *m) {
	if (p->kind != PART_DOOR) only_doors(c, p);
	m->carries_at = span_none();
	read_opens(c, p, m);
	read_slides(c, p, m);
	const part_def *from = p;
	while (from->mirror && !line_in_block(from->line, "carries")) from = from->mirror;
	for (size_t i = 0; i < from->line->block.n; i++)
		if (line_is(from->line->block.v[i], "carries")) read_carries(c, from->line->block.v[i], m);
}
