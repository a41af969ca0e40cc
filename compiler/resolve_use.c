/* How a part is used when it stands: what it carries. */
#include "compiler/parts.h"
#include "runtime/base/text.h"
#include "runtime/engine/beam.h"

static bool middle(ctx *c, const syn_line *line, bool *at_middle) {
	const syn_expr *e = line_arg(line, "at", 0);
	*at_middle = e != NULL;
	if (!e || text_same(expr_word(e), "middle")) return true;
	if (e->kind == SYN_BAD) return false;
	diag *g = diag_error(c->diags, "plan-value", e->at, "a load is spread evenly, or stands at the middle");
	diag_add_help(c->diags, g, "write `carries 30 kg` or `carries 30 kg at middle`");
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
		diag_add_help(c->diags, g,
			      "write `carries 30 kg` for all of it, `carries 40 kg/m2` for each part of "
			      "its face");
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

void part_use(ctx *c, const part_def *p, model_part *m) {
	m->carries_at = span_none();
	const part_def *from = p;
	while (from->mirror && !line_in_block(from->line, "carries")) from = from->mirror;
	for (size_t i = 0; i < from->line->block.n; i++)
		if (line_is(from->line->block.v[i], "carries")) read_carries(c, from->line->block.v[i], m);
}
