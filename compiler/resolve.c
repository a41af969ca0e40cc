/* The order of resolving: names first, then stock and tools, parts, openings, joints, air, work. */
#include "compiler/resolve.h"

#include <math.h>
#include <string.h>

#include "compiler/context.h"
#include "runtime/base/text.h"

/* ---- header and named values ---------------------------------------------------------------------- */

static void header_word(ctx *c, const line_list *lines, const char *word, const char *a, const char *b, int *choice) {
	const syn_line *line = lines_find(lines, word);
	if (!line) return;
	const syn_expr *e = line_arg(line, NULL, 0);
	const char *w = expr_word(e);
	if (text_same(w, a))
		*choice = 0;
	else if (text_same(w, b))
		*choice = 1;
	else if (e->kind != SYN_BAD)
		diag_add_help(c->diags, diag_error(c->diags, "plan-value", e->at, "`%s` is %s or %s", word, a, b),
			      "write `%s %s`", word, a);
}

static const char *header_text(ctx *c, const line_list *lines, const char *word) {
	const syn_line *line = lines_find(lines, word);
	return line ? eval_text(c, line_arg(line, NULL, 0)) : NULL;
}

/* The doorway that it must go through. */
static void header_passes(ctx *c, const line_list *lines) {
	const syn_line *line = lines_find(lines, "passes");
	for (int i = 0; i < 2; i++) {
		model_length *l = &c->m->passes[i];
		*l = (model_length){rat_poison(), span_none()};
		const syn_expr *e = line ? line_arg(line, i ? "x" : NULL, 0) : NULL;
		rat mm;
		if (!e || !eval_length(c, e, &mm)) continue;
		if (rat_sign(mm) <= 0) {
			diag_error(c->diags, "plan-value", e->at, "`passes` must be more than nothing");
			continue;
		}
		*l = (model_length){mm, line->at};
	}
}

/* The moisture of the wood in use: 6 to 10 percent is what the Wood Handbook (FPL-GTR-190, chapter 13) recommends for
 * pieces of interior work in most of the United States (from memory). */
static void header_moisture(ctx *c, const line_list *lines) {
	model *m = c->m;
	m->moisture_lo = 6;
	m->moisture_hi = 10;
	m->moisture_at = span_none();
	const syn_line *line = lines_find(lines, "moisture");
	double lo, hi;
	if (!line || !eval_si(c, line_arg(line, NULL, 0), DIM_NUMBER, &lo) ||
	    !eval_si(c, line_arg(line, "to", 0), DIM_NUMBER, &hi))
		return;
	if (!(lo > 0) || !(hi >= lo) || !(hi <= 0.3)) {
		diag *g = diag_error(c->diags, "plan-value", line->at,
				     "the moisture of wood lies between more than 0 and 30 %%, the drier end first");
		diag_add_help(c->diags, g, "write it like this: moisture 6 %% to 10 %%");
		return;
	}
	m->moisture_lo = lo * 100;
	m->moisture_hi = hi * 100;
	m->moisture_at = line->at;
}

static void resolve_header(ctx *c, const resolve_options *o) {
	model *m = c->m;
	m->slug = o->slug;
	m->title = o->slug;
	m->currency = "";
	m->cost_whole = true;
	m->title_at = span_none();
	int measures_choice = 0, paper_choice = 0;
	line_list lines = {0};
	if (c->header) {
		const char *title = eval_text(c, line_arg(c->header, NULL, 0));
		if (title && *title) m->title = title;
		m->title_at = line_arg(c->header, NULL, 0)->at;
		words_check_block(c, BLOCK_PLAN, c->header, &lines);
		header_word(c, &lines, "measures", "metric", "inch", &measures_choice);
		header_word(c, &lines, "paper", "a4", "letter", &paper_choice);
		m->edition = header_text(c, &lines, "edition");
		m->purpose = header_text(c, &lines, "purpose");
		const char *currency = header_text(c, &lines, "currency");
		if (currency) m->currency = currency;
	}
	header_passes(c, &lines);
	header_moisture(c, &lines);
	for (size_t i = 0; i < lines.n; i++) {
		const syn_line *line = lines.v[i];
		if (line_is(line, "note")) {
			const char *t = eval_text(c, line_arg(line, NULL, 0));
			model_words w = {t, line->at};
			if (t) LIST_PUSH(c->mem, &m->notes, w);
		}
		if (!line_is(line, "history")) continue;
		const syn_expr *what = line_arg(line, "", 0) ? line_arg(line, "", 0) : line_arg(line, NULL, 1);
		const char *edition = eval_text(c, line_arg(line, NULL, 0)), *text = what ? eval_text(c, what) : "";
		model_history h = {edition, text, line->at};
		if (edition && text) LIST_PUSH(c->mem, &m->history, h);
	}
	m->measures = o->measures ? *o->measures : (measures)measures_choice;
	m->paper = o->paper ? *o->paper : (paper)paper_choice;
}

static void resolve_lets(ctx *c) {
	inst *plan = c->in;
	for (size_t i = 0; i < c->all.n; i++) {
		const sym *s = c->all.v[i];
		if (s->kind != SYM_LET) continue;
		let_def *d = s->def;
		inst_enter(c, s->in);
		syn_expr name = {.kind = SYN_NAME, .at = d->at};
		syn_word w = {.v = d->name, .at = d->at};
		LIST_PUSH(c->mem, &name.names, w);
		value v = eval(c, &name);
		if (v.kind != VALUE_QUANT || s->in != plan) continue;
		model_let *l = LIST_ADD(c->mem, &c->m->lets);
		const syn_expr *from = line_arg(d->line, "from", 0), *to = line_arg(d->line, "to", 0),
			       *help = line_arg(d->line, "", 0);
		*l = (model_let){.name = d->name, .value = v.q, .overridden = d->overridden, .at = d->value->at};
		l->help = help ? eval_text(c, help) : NULL;
		l->has_range =
			from && to && eval_quant(c, from, v.q.dim, &l->least) && eval_quant(c, to, v.q.dim, &l->most);
	}
	inst_enter(c, plan);
}

/* Told last, and only when nothing else is wrong: a plan that is just begun has other things to hear. */
static void report_missing(ctx *c) {
	if (c->diags->errors) return;
	const syn_file *last = &c->plan->files.v[c->plan->files.n - 1];
	span end = {last->source, 0, 0};
	if (!c->header) {
		diag *g = diag_error(c->diags, "plan-form", end, "this file has no header, so it is no plan by itself");
		diag_add_help(c->diags, g, "begin it with: plan \"What it is\" { edition \"A\" }");
	}
	if (c->header && !c->m->cabinet_name) {
		diag *g = diag_error(c->diags, "plan-form", c->header->word_at, "this plan has no cabinet");
		diag_add_help(c->diags, g, "describe it in a block: cabinet bench { … }");
	}
}

resolve_state *resolve_begin(arena *mem, const source_set *sources, const syn_plan *plan, const resolve_options *o,
			     diags *d) {
	ctx *c = ARENA_NEW(mem, ctx);
	c->mem = mem;
	c->sources = sources;
	c->diags = d;
	c->plan = plan;
	c->sets = o->sets;
	c->m = ARENA_NEW(mem, model);
	c->m->mem = mem;
	c->m->sources = sources;
	for (size_t i = 0; i < d->all.n; i++)
		/* So far only the reader spoke: of its plan-value, a file was not named by a text. */
		if (text_same(d->all.v[i]->rule, "plan-use") || text_same(d->all.v[i]->rule, "plan-value"))
			c->use_failed = true;
	c->m->lacks_file = c->use_failed;
	c->plan_in = c->in = ARENA_NEW(mem, inst);
	c->in->prefix = c->in->suffix = "";
	declare_plan(c);
	resolve_header(c, o);
	resolve_stocks(c);
	tools_resolve(c);
	parts_resolve(c);
	resolve_lets(c);
	patterns_resolve(c);
	joints_resolve(c);
	features_resolve(c);
	air_resolve(c);
	work_resolve(c);
	rules_resolve(c);
	report_missing(c);
	return c;
}

model *resolve_model(resolve_state *s) { return s->m; }

bool resolve_whole(const resolve_state *s) {
	for (size_t i = 0; i < s->parts.n; i++)
		if (s->parts.v[i]->first == MODEL_NONE) return false;
	for (size_t i = 0; i < s->patterns.n; i++)
		if (s->patterns.v[i]->bad) return false;
	for (size_t i = 0; i < s->places.n; i++)
		if (s->places.v[i]->bad || s->places.v[i]->box->structure_bad) return false;
	return !s->joint_failed && !s->too_large;
}

bool resolve_air_whole(const resolve_state *s) { return !s->air_failed; }

void resolve_requires(resolve_state *s, bool air_known) {
	if (!air_known) s->air_failed = true;
	s->air_solved = true;
	requires_resolve(s);
}
