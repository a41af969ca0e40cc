/* Written steps and requirements. */
#include <math.h>

#include "compiler/context.h"
#include "runtime/base/text.h"

/* ---- steps ------------------------------------------------------------------------------------ */

static void each_step_part(ctx *c, model_ref row, void *data) {
	model_written *w = data;
	LIST_PUSH(c->mem, &w->parts, row);
}

static void read_does(ctx *c, const syn_expr *e, model_written *w) {
	const char *word = expr_word(e);
	for (int k = 0; k < OP_KINDS; k++) {
		if (k == OP_WRITTEN || !text_same(word, MODEL_OP_WORD[k])) continue;
		LIST_PUSH(c->mem, &w->does, (model_op_kind)k);
		return;
	}
	if (e->kind == SYN_BAD) return;
	diag *g = diag_error(c->diags, "plan-unknown-word", e->at, "there is no work called `%s`", expr_source(c, e));
	const char *near = word ? text_nearest(word, MODEL_OP_WORD, OP_WRITTEN) : NULL;
	if (near) {
		diag_add_help(c->diags, g, "did you mean `%s`?", near);
		return;
	}
	textbuf t = textbuf_begin(c->mem);
	for (int k = 0; k < OP_WRITTEN; k++) textbuf_printf(&t, "%s%s", k ? ", " : "", MODEL_OP_WORD[k]);
	diag_add_help(c->diags, g, "there are: %s", t.v);
}

static void read_tool(ctx *c, const syn_expr *e, model_written *w) {
	const char *word = expr_word(e);
	if (word && !names_find(c, word)) {
		names_unknown(c, word, e->at, "a tool belongs here");
		return;
	}
	tool_def *t = eval_tool(c, e);
	if (t) LIST_PUSH(c->mem, &w->tools, t->row);
}

static double minutes_of(ctx *c, const syn_line *line) {
	double s;
	if (!line || !eval_si(c, line_arg(line, NULL, 0), DIM_TIME, &s)) return (double)NAN;
	if (s < 0) {
		diag_error(c->diags, "plan-value", line->at, "a time cannot be negative");
		return (double)NAN;
	}
	return s / 60;
}

static model_words words_of(ctx *c, const syn_line *line) {
	if (!line) return (model_words){NULL, span_none()};
	return (model_words){eval_text(c, line_arg(line, NULL, 0)), line_arg(line, NULL, 0)->at};
}

static void read_step(ctx *c, const syn_line *line) {
	model_written *w = LIST_ADD(c->mem, &c->m->written);
	line_list lines = {0};
	words_check_block(c, BLOCK_STEP, line, &lines);
	const char *name = eval_text(c, line_arg(line, NULL, 0));
	w->name = name ? name : "";
	w->at = line_arg(line, NULL, 0)->at;
	for (size_t i = 0; i + 1 < c->m->written.n; i++) {
		if (!name || !text_same(c->m->written.v[i].name, name)) continue;
		diag *g = diag_error(c->diags, "plan-name-twice", w->at, "two steps have this name");
		diag_add_note(c->diags, g, c->m->written.v[i].at, "the other is here");
	}
	w->note = words_of(c, lines_find(&lines, "note"));
	w->caution = words_of(c, lines_find(&lines, "caution"));
	w->check = words_of(c, lines_find(&lines, "check"));
	w->minutes = minutes_of(c, lines_find(&lines, "time"));
	w->wait_minutes = minutes_of(c, lines_find(&lines, "wait"));
	const syn_line *helpers = lines_find(&lines, "helpers");
	int64_t n;
	if (helpers && eval_count(c, line_arg(helpers, NULL, 0), 0, 20, &n)) w->helpers = (uint32_t)n;
	for (size_t i = 0; i < lines.n; i++) {
		const syn_line *l = lines.v[i];
		const syn_clause *k = line_clause(l, NULL, 0);
		for (size_t j = 0; j < k->args.n; j++) {
			const syn_expr *e = k->args.v[j];
			if (line_is(l, "parts")) part_rows(c, e, false, each_step_part, w);
			if (line_is(l, "tools")) read_tool(c, e, w);
			if (line_is(l, "does")) read_does(c, e, w);
			bool after = line_is(l, "after"), before = line_is(l, "before");
			const char *t = after || before ? eval_text(c, e) : NULL;
			model_words words = {t, e->at};
			if (t && after) LIST_PUSH(c->mem, &w->after, words);
			if (t && before) LIST_PUSH(c->mem, &w->before, words);
		}
	}
}

void work_resolve(ctx *c) {
	for (size_t i = 0; i < c->steps.n; i++) read_step(c, c->steps.v[i]);
}

/* ---- requirements -------------------------------------------------------------------------------- */

static bool holds(const char *compare, int order) {
	switch (compare[0]) {
	case '<':
		return compare[1] == '=' ? order <= 0 : order < 0;
	case '>':
		return compare[1] == '=' ? order >= 0 : order > 0;
	case '!':
		return order != 0;
	default:
		return order == 0;
	}
}

static bool is_comparison(const syn_expr *e) {
	return e->kind == SYN_BINARY && (e->op[0] == '<' || e->op[0] == '>' || e->op[0] == '=' || e->op[0] == '!');
}

static void report_broken(ctx *c, const syn_line *line, const model_require *r) {
	measures ms = c->m->measures;
	diag *g = diag_error(c->diags, "require", r->at, "this does not hold: %s is %s, but should be %s %s",
			     expr_source(c, line_arg(line, NULL, 0)->a), quant_show(c->mem, r->left, ms),
			     text_same(r->compare, ">=")   ? "at least"
			     : text_same(r->compare, "<=") ? "at most"
			     : text_same(r->compare, ">")  ? "more than"
			     : text_same(r->compare, "<")  ? "less than"
			     : text_same(r->compare, "!=") ? "other than"
							   : "just",
			     quant_show(c->mem, r->right, ms));
	if (dim_same(r->left.dim, r->right.dim) && r->right.d != 0)
		diag_add_note(c->diags, g, line_arg(line, NULL, 0)->op_at, "it is off by %s (%s %%)",
			      quant_show(c->mem, quant_inexact(r->left.dim, fabs(r->left.d - r->right.d)), ms),
			      quant_show_number(c->mem, fabs(r->left.d - r->right.d) / fabs(r->right.d) * 100, 1));
	if (r->because) diag_add_help(c->diags, g, "the plan asks for it because: %s", r->because);
}

static void read_require(ctx *c, const syn_line *line) {
	const syn_expr *e = line_arg(line, NULL, 0), *because = line_arg(line, "because", 0);
	if (e->kind == SYN_BAD) return;
	if (!is_comparison(e)) {
		diag *g = diag_error(c->diags, "plan-comparison", e->at, "`require` wants a comparison");
		diag_add_help(c->diags, g, "write for example `require mouth.speed >= 0.4 m/s`");
		return;
	}
	model_require r = {.at = e->at,
			   .text = expr_source(c, e),
			   .compare = e->op,
			   .because = because ? eval_text(c, because) : NULL};
	value a = eval(c, e->a);
	if (a.kind != VALUE_BAD && a.kind != VALUE_QUANT) {
		diag_error(c->diags, "plan-value", e->a->at, "a comparison wants quantities on both sides");
		return;
	}
	if (a.kind == VALUE_QUANT && eval_quant(c, e->b, a.q.dim, &r.right)) {
		r.left = a.q;
		r.known = true;
		r.held = holds(r.compare, quant_cmp(r.left, r.right));
	}
	LIST_PUSH(c->mem, &c->m->requires, r);
	if (r.known && !r.held) report_broken(c, line, &r);
}

void requires_resolve(ctx *c) {
	for (size_t i = 0; i < c->requires.n; i++) read_require(c, c->requires.v[i]);
}
