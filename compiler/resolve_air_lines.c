/* Lines of the air block that say what is laid on a face, where dust arises and what is wanted of the air there. */
#include <math.h>

#include "compiler/context.h"
#include "runtime/base/text.h"

/* ---- work pieces --------------------------------------------------------------------------------- */

/* Does the air pass an opening of this sheet, or this gap? */
static bool lets_air_in(const model *m, model_ref part) {
	for (size_t i = 0; i < m->air.branches.n; i++) {
		const model_branch *b = &m->air.branches.v[i];
		if (b->part == part && (b->kind == AIR_OPENINGS || b->kind == AIR_GAP)) return true;
	}
	return false;
}

static bool size_of(ctx *c, const syn_expr *e, rat *mm) {
	if (!eval_length(c, e, mm)) return false;
	if (rat_sign(*mm) > 0) return true;
	diag_error(c->diags, "plan-value", e->at, "a work piece has a size of more than nothing");
	return false;
}

static void read_work(ctx *c, const syn_line *line) {
	model_work w = {.at = line->word_at};
	const syn_expr *on = line_arg(line, "on", 0), *at = line_arg(line, "at", 0);
	bool good = size_of(c, line_arg(line, NULL, 0), &w.size_u);
	good = size_of(c, line_arg(line, "x", 0), &w.size_v) && good;
	const part_def *p = eval_part(c, on);
	if (!p || p->first == MODEL_NONE) return;
	const model_part *part = &c->m->parts.v[p->first];
	axis u = part->thick_axis == AXIS_X ? AXIS_Y : AXIS_X, v = part->thick_axis == AXIS_Z ? AXIS_Y : AXIS_Z;
	w.part = p->first;
	if (at->kind != SYN_PAIR) {
		if (at->kind == SYN_BAD) return;
		diag *g = diag_error(c->diags, "plan-value", at->at, "a point belongs here");
		diag_add_help(c->diags, g, "its middle, along the %s and the %s: (200 mm, 300 mm)", AXIS_SPOKEN[u],
			      AXIS_SPOKEN[v]);
		return;
	}
	good = eval_length(c, at->a, &w.at_u) && good;
	if (!eval_length(c, at->b, &w.at_v) || !good) return;
	if (!lets_air_in(c->m, w.part)) {
		if (c->air_failed) return;
		diag *g = diag_error(c->diags, "plan-value", on->at, "no air goes through `%s`", p->name);
		diag_add_note(c->diags, g, p->at, "it is here");
		diag_add_help(c->diags, g, "work lies on a sheet whose openings a way passes, or over a gap");
		return;
	}
	/* What lies beside the sheet covers nothing: the place is a slip. */
	rat mid[2] = {w.at_u, w.at_v}, size[2] = {w.size_u, w.size_v};
	axis axes[2] = {u, v};
	for (int k = 0; k < 2; k++) {
		rat lo = rat_sub(mid[k], rat_half(size[k])), hi = rat_add(mid[k], rat_half(size[k]));
		if (rat_lt(lo, part->box.hi[axes[k]]) && rat_lt(part->box.lo[axes[k]], hi)) continue;
		diag *g = diag_error(c->diags, "plan-value", at->at, "the work lies beside `%s`", p->name);
		diag_add_help(c->diags, g, "the point is its middle, measured as the cabinet is");
		return;
	}
	LIST_PUSH(c->mem, &c->m->air.works, w);
}

void air_lines_resolve(ctx *c) {
	for (size_t i = 0; i < c->air_lines.n; i++) {
		const syn_line *line = c->air_lines.v[i];
		if (line_is(line, "work")) read_work(c, line);
	}
}
