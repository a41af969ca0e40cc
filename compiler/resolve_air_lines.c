/* Lines of the air block that say what is laid on a face, where dust arises and what is wanted of the air there. */
#include <math.h>
#include <string.h>

#include "compiler/context.h"
#include "runtime/base/text.h"
#include "runtime/engine/airfit.h"

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

/* ---- where dust arises, and what is wanted ------------------------------------------------------------ */

static bool must_say(ctx *c, const syn_line *line, const char *what, const char *example) {
	diag *g = diag_error(c->diags, "plan-form", line->word_at, "%s", what);
	diag_add_help(c->diags, g, "write it like this: %s", example);
	return false;
}

static void read_release(ctx *c, const syn_line *line) {
	const char *example = "release 200 mm before mouth as booth with low";
	const syn_expr *before = line_arg(line, "before", 0), *over = line_arg(line, "over", 0),
		       *in = line_arg(line, "in", 0), *as = line_arg(line, "as", 0), *with = line_arg(line, "with", 0);
	model_release r = {.at = line->at, .over = over != NULL, .reach_m = INFINITY};
	if (!before == !over) {
		must_say(c, line, "dust is released before an opening, or over a face", example);
		return;
	}
	if (over && (as || with)) {
		must_say(c, line, "over a face the height is all that is said",
			 "release 200 mm over wells in bench_top");
		return;
	}
	if (before && (!as || !with)) {
		must_say(c, line, "it wants the form of the opening behind `as`, and how the dust leaves behind `with`",
			 example);
		return;
	}
	rat mm;
	const syn_expr *far = line_arg(line, NULL, 0);
	if (!eval_length(c, far, &mm)) return;
	if (rat_sign(mm) < 0 || (before && rat_sign(mm) == 0)) {
		diag_error(c->diags, "plan-value", far->at, "this distance must be more than nothing");
		return;
	}
	r.distance_m = rat_double(mm) / 1000;
	const model_branch *b = air_branch_named(c, before ? before : over, in);
	int hood = as ? eval_choice(c, as, MODEL_HOOD_WORD, HOOD_KINDS, "form of an opening") : 0;
	int motion = with ? eval_choice(c, with, MODEL_MOTION_WORD, MOTION_KINDS, "way for dust to leave") : 0;
	if (!b || hood < 0 || motion < 0) return;
	if (b->kind != AIR_OPENINGS && b->kind != AIR_GAP && b->kind != AIR_DUCT) {
		diag *g = diag_error(c->diags, "plan-value", (before ? before : over)->at, "no dust is caught by `%s`",
				     b->name);
		diag_add_help(c->diags, g, "openings, a gap or a duct catch it");
		return;
	}
	r.branch = (model_ref)(b - c->m->air.branches.v);
	r.hood = (model_hood)hood;
	r.motion = (model_motion)motion;
	LIST_PUSH(c->mem, &c->m->air.releases, r);
}

static void read_face(ctx *c, const syn_line *line) {
	const syn_expr *e = line_arg(line, NULL, 0), *as = line_arg(line, "as", 0);
	const model_branch *b = air_branch_named(c, e, line_arg(line, "in", 0));
	int draft = eval_choice(c, as, MODEL_DRAFT_WORD, DRAFT_KINDS, "basis of a face speed");
	if (!b || draft < 0) return;
	if (b->kind != AIR_OPENINGS && (b->kind != AIR_GAP || draft == DRAFT_GRILLE)) {
		diag *g = diag_error(c->diags, "plan-value", e->at, "`%s` has no such face", b->name);
		diag_add_help(c->diags, g, "openings have a plan and a grille, a gap has its opening");
		return;
	}
	LIST_PUSH(c->mem, &c->m->air.faces,
		  ((model_face){(model_ref)(b - c->m->air.branches.v), (model_draft)draft, line->at}));
}

/* `straight 600 mm before blower`, `effect 0.8 after blower` */
static void read_approach(ctx *c, const syn_line *line) {
	const syn_expr *before = line_arg(line, "before", 0), *after = line_arg(line, "after", 0),
		       *e = line_arg(line, NULL, 0);
	bool straight = line_is(line, "straight");
	double v = 0;
	rat mm;
	if (!before == !after) {
		must_say(c, line, "it stands before a fan, or after it",
			 straight ? "straight 1200 mm before blower" : "effect 0.8 before blower");
		return;
	}
	if (straight ? !eval_length(c, e, &mm) : !eval_si(c, e, DIM_NUMBER, &v)) return;
	if (straight) v = rat_double(mm) / 1000;
	if (v < 0) {
		diag_error(c->diags, "plan-value", e->at, "this cannot be less than nothing");
		return;
	}
	model_branch *b = air_branch_named(c, before ? before : after, NULL);
	if (!b) return;
	if (b->kind != AIR_FAN) {
		diag_error(c->diags, "plan-value", (before ? before : after)->at, "`%s` is no fan", b->name);
		return;
	}
	const model_stock *s = &c->m->stocks.v[b->stock];
	if (!rat_ok(s->inlet.mm)) {
		diag *g = diag_error(c->diags, "plan-stock-lacks", line->word_at,
				     "the fan `%s` does not say its `inlet`", s->name);
		diag_add_note(c->diags, g, s->at, "its stock is here");
		diag_add_help(c->diags, g, "write its diameter there: inlet 200 mm");
		return;
	}
	*(straight ? &b->straight_m[after != NULL] : &b->effect_k[after != NULL]) = v;
}

static void read_handles(ctx *c, const syn_line *line) {
	const syn_clause *k = line_clause(line, NULL, 0);
	for (size_t i = 0; k && i < k->args.n; i++) {
		int dust = eval_choice(c, k->args.v[i], MODEL_DUST_WORD, DUST_KINDS, "dust");
		if (dust < 0) continue;
		c->m->air.handles |= 1u << dust;
		c->m->air.handles_at[dust] = k->args.v[i]->at;
	}
}

/* ---- fittings of ducts ------------------------------------------------------------------------------------ */

/* A plain figure of the air block within its bounds; false when it is not given, or reported. */
static bool bounded(ctx *c, const syn_line *line, dim d, double least, double most, const char *what, double *out) {
	double v;
	const syn_expr *e = line_arg(line, NULL, 0);
	if (!eval_si(c, e, d, &v)) return false;
	if (!(v >= least && v <= most)) {
		diag *g = diag_error(c->diags, "plan-range", e->at, "%s", what);
		bool bare = e->kind == SYN_QUANT && !strchr(expr_source(c, e), '%');
		if (most == 1 && bare && v > 1 && v <= 100)
			diag_add_help(c->diags, g, "write `%s %%`", expr_source(c, e));
		return false;
	}
	*out = v;
	return true;
}

/* Fittings whose figures stand on the diameter of a round bore. */
static bool for_round(ctx *c, const syn_line *line, const model_branch *b) {
	if (!(b->side_m[0] > 0)) return true;
	diag *g = diag_error(c->diags, "plan-range", line->at, "the figures of this fitting are for a round duct");
	const char *loss = "put its maker's coefficient into `loss`";
	if (line_is(line, "elbow"))
		diag_add_help(c->diags, g, "a sharp turn is a `mitre`; of a bend %s", loss);
	else if (line_is(line, "expansion"))
		diag_add_help(c->diags, g, "%s; where it widens suddenly that is (1 - A1/A2)² (Borda and Carnot)",
			      loss);
	else if (line_is(line, "entry"))
		diag_add_help(c->diags, g, "`entry plain`, `flanged`, `bell`, `hood` and `tapered` are known of it");
	else
		diag_add_help(c->diags, g, "%s", loss);
	return false;
}

/* What the line says, as values that airfit_of() takes; -1: reported. */
static int fitting_values(ctx *c, const syn_line *line, const model_branch *b, airfit_values *v) {
	*v = (airfit_values){(double)NAN, (double)NAN, (double)NAN, (double)NAN, (double)NAN, (double)NAN};
	const syn_expr *e = line_arg(line, NULL, 0), *about = line_arg(line, "about", 0), *in = line_arg(line, "in", 0);
	rat mm;
	if (line_is(line, "turn")) return AIRFIT_PLENUM;
	if (line_is(line, "grille")) {
		bool good = eval_si(c, e, DIM_NUMBER, &v->free_part);
		return eval_si(c, line_arg(line, "by", 0), DIM_NUMBER, &v->thick_to_hole) && good ? AIRFIT_GRILLE : -1;
	}
	double rad;
	if (!line_is(line, "mitre") && !line_is(line, "branch") && !for_round(c, line, b)) return -1;
	if (!eval_si(c, e, DIM_ANGLE, &rad)) return -1;
	v->angle_deg = rad;
	if (line_is(line, "blade")) return AIRFIT_BUTTERFLY;
	if (line_is(line, "branch")) return AIRFIT_BRANCH;
	if (line_is(line, "mitre")) {
		const syn_expr *with = line_arg(line, "with", 0);
		static const char *const VANES[] = {"vanes"};
		if (!with) return AIRFIT_MITRE;
		return eval_choice(c, with, VANES, 1, "mitre") < 0 ? -1 : AIRFIT_VANED;
	}
	if (about) {
		if (!eval_length(c, about, &mm)) return -1;
		v->radius = rat_double(mm) / 1000 / b->hole_m;
		if (!in) return AIRFIT_ELBOW;
		int64_t pieces;
		if (!eval_count(c, in, 1, 100, &pieces)) return -1;
		v->pieces = (double)pieces;
		return AIRFIT_SEGMENTED;
	}
	bool widens = line_is(line, "expansion");
	if (!eval_length(c, line_arg(line, widens ? "to" : "from", 0), &mm)) return -1;
	double other = rat_double(mm) / 1000;
	v->area_ratio = other > 0 ? b->hole_m * b->hole_m / (other * other) : (double)NAN;
	return widens ? AIRFIT_EXPANSION : AIRFIT_CONTRACTION;
}

static bool no_figure(ctx *c, const syn_line *line, int kind) {
	diag *g = diag_error(c->diags, "plan-range", line->at, "there is no figure for this fitting");
	diag_add_note(c->diags, g, span_none(), "known is: %s", AIRFIT_ROWS[kind].source);
	diag_add_help(c->diags, g, "put its maker's coefficient into `loss`");
	return false;
}

static bool read_entry(ctx *c, const syn_line *line, model_branch *b) {
	static const char *const WORDS[] = {"plain", "flanged", "bell", "rounded", "hood", "tapered"};
	static const airfit_kind KIND[] = {AIRFIT_PLAIN_ENTRY,	 AIRFIT_FLANGED_ENTRY, AIRFIT_BELL_ENTRY,
					   AIRFIT_ROUNDED_ENTRY, AIRFIT_HOOD_ENTRY,    AIRFIT_TAPERED_ENTRY};
	const syn_expr *by = line_arg(line, "by", 0);
	int which = eval_choice(c, line_arg(line, NULL, 0), WORDS, sizeof WORDS / sizeof *WORDS, "entry");
	if (which < 0) return false;
	airfit_values v = {(double)NAN, (double)NAN, (double)NAN, (double)NAN, (double)NAN, (double)NAN};
	rat mm;
	if (!by != (which != 3))
		return must_say(c, line, "a rounded entry has its radius behind `by`, another has none",
				"entry rounded by 20 mm");
	if (by && (!for_round(c, line, b) || !eval_length(c, by, &mm))) return false;
	if (by) v.radius = rat_double(mm) / 1000 / b->hole_m;
	airfit_loss loss = airfit_of(KIND[which], &v);
	if (!isfinite(loss.k)) return no_figure(c, line, (int)KIND[which]);
	b->entry = AIRFIT_ROWS[KIND[which]].word;
	b->entry_k = loss.k;
	return true;
}

bool duct_fittings(ctx *c, const line_list *lines, model_branch *b) {
	static const char *const WORDS[] = {"elbow",	   "mitre", "branch", "expansion",
					    "contraction", "turn",  "grille", "blade"};
	bool good = true;
	for (size_t i = 0; i < lines->n; i++) {
		const syn_line *line = lines->v[i];
		bool fitting = false;
		for (size_t k = 0; k < sizeof WORDS / sizeof *WORDS; k++) fitting = fitting || line_is(line, WORDS[k]);
		if (line_is(line, "entry")) good = read_entry(c, line, b) && good;
		if (line_is(line, "damper"))
			b->one_way = bounded(c, line, DIM_PRESSURE, 0, 500, "a back-draft damper opens at 0 to 500 Pa",
					     &b->opens_pa);
		if (!fitting) continue;
		airfit_values v;
		int kind = fitting_values(c, line, b, &v);
		if (kind < 0) {
			good = false;
			continue;
		}
		airfit_loss loss = airfit_of((airfit_kind)kind, &v);
		if (!isfinite(loss.k) || !isfinite(loss.lengths)) {
			good = no_figure(c, line, kind);
			continue;
		}
		model_fitting f = {AIRFIT_ROWS[kind].word, loss.k, loss.lengths * b->hole_m, line->at};
		LIST_PUSH(c->mem, &b->fittings, f);
		b->loss_k += f.k;
		b->fittings_m += f.length_m;
	}
	return good;
}

/* Each tap multiplies the conditions: a plan has no more of different names than the model holds. */
static void count_taps(ctx *c) {
	const char *names[AIR_MOST_TAPS - 1];
	size_t n = 0;
	for (size_t i = 0; i < c->m->air.branches.n; i++) {
		const model_branch *b = &c->m->air.branches.v[i];
		if (b->kind != AIR_FAN || b->stock >= c->m->stocks.n) continue;
		for (size_t k = 0; k < c->m->stocks.v[b->stock].taps.n; k++) {
			const model_tap *t = &c->m->stocks.v[b->stock].taps.v[k];
			bool there = false;
			for (size_t h = 0; h < n && !there; h++) there = text_same(names[h], t->name);
			if (there) continue;
			if (n == AIR_MOST_TAPS - 1) {
				diag *g = diag_error(c->diags, "plan-count", t->at,
						     "the fans of a plan have at most %d taps of different names",
						     AIR_MOST_TAPS - 1);
				diag_add_help(c->diags, g, "give taps of several fans that run together one name");
				return;
			}
			names[n++] = t->name;
		}
	}
}

/* ---- the block ---------------------------------------------------------------------------------------------- */

void air_lines_resolve(ctx *c) {
	model_air *a = &c->m->air;
	count_taps(c);
	for (size_t i = 0; i < c->air_lines.n; i++) {
		const syn_line *line = c->air_lines.v[i];
		if (line_is(line, "work")) read_work(c, line);
		if (line_is(line, "release")) read_release(c, line);
		if (line_is(line, "face")) read_face(c, line);
		if (line_is(line, "straight") || line_is(line, "effect")) read_approach(c, line);
		if (line_is(line, "handles")) read_handles(c, line);
		if (line_is(line, "humidity"))
			bounded(c, line, DIM_NUMBER, 0, 1, "a relative humidity lies between 0 and 100 %",
				&a->humidity);
		if (line_is(line, "mixing"))
			bounded(c, line, DIM_NUMBER, 1, 10, "a mixing factor lies between 1, perfect, and 10, poor",
				&a->mixing);
		if (line_is(line, "makeup")) {
			a->makeup_at = line->at; /* said, though perhaps with a value that was reported */
			bounded(c, line, DIM_AREA, 1e-4, 100, "this area lies between 1 cm2 and 100 m2", &a->makeup_m2);
		}
	}
}
