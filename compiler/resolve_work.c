/* Written steps and requirements. */
#include <math.h>

#include "compiler/eval_inner.h"
#include "runtime/base/text.h"

/* ---- steps ------------------------------------------------------------------------------------ */

static void each_step_part(ctx *c, model_ref row, void *data) {
	model_written *w = data;
	LIST_PUSH(c->mem, &w->parts, row);
}

static void step_parts(ctx *c, const syn_expr *e, model_written *w) {
	const extra_def *extra = extra_named(c, e);
	const char *word = expr_word(e);
	if (word && !names_find(c, word)) c->work_failed = true; /* its line was reported, perhaps */
	if (!extra) part_rows(c, e, false, each_step_part, w);
	for (uint32_t i = 0; extra && extra->first != MODEL_NONE && i < extra->n; i++)
		each_step_part(c, extra->first + i, w);
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
		names_unknown(c, word, e->at, "a tool belongs here", (names_wanted){1u << SYM_TOOL, 0});
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
	return (model_words){eval_words(c, line_arg(line, NULL, 0)), line_arg(line, NULL, 0)->at};
}

static void read_step(ctx *c, const syn_line *line) {
	model_written *w = LIST_ADD(c->mem, &c->m->written);
	line_list lines = {0};
	words_check_block(c, BLOCK_STEP, line, &lines);
	const char *name = eval_plain_text(c, line_arg(line, NULL, 0));
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
			size_t errors = c->diags->errors;
			if (line_is(l, "parts")) step_parts(c, e, w);
			c->work_failed = c->work_failed || c->diags->errors > errors;
			if (line_is(l, "tools")) read_tool(c, e, w);
			if (line_is(l, "does")) read_does(c, e, w);
			bool after = line_is(l, "after"), before = line_is(l, "before");
			const char *t = after || before ? eval_plain_text(c, e) : NULL;
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

static const char *should_be(const char *compare) {
	return text_same(compare, ">=")	  ? "at least"
	       : text_same(compare, "<=") ? "at most"
	       : text_same(compare, ">")  ? "more than"
	       : text_same(compare, "<")  ? "less than"
	       : text_same(compare, "!=") ? "other than"
					  : "just";
}

static void report_broken(ctx *c, const syn_expr *e, const model_require *r) {
	diag *g = diag_error(c->diags, "require", r->at, "this does not hold: %s is %s, but should be %s %s",
			     expr_source(c, e->a), model_show(c->m, r->left), should_be(r->compare),
			     model_show(c->m, r->right));
	if (dim_same(r->left.dim, r->right.dim) && r->right.d != 0)
		diag_add_note(c->diags, g, e->op_at, "it is off by %s (%s %%)",
			      model_show(c->m, quant_inexact(r->left.dim, fabs(r->left.d - r->right.d))),
			      quant_show_number(c->mem, fabs(r->left.d - r->right.d) / fabs(r->right.d) * 100, 1));
	if (r->because) diag_add_help(c->diags, g, "the plan asks for it because: %s", r->because);
}

/* The comparisons and names that a condition is made of, each with what it came to. */
static void note_sides(ctx *c, diag *g, const syn_expr *e) {
	enum { MOST_NOTES = 8 };
	if (!e || g->notes.n >= MOST_NOTES) return;
	if (e->kind == SYN_CALL) {
		for (size_t i = 0; i < e->args.n; i++) note_sides(c, g, e->args.v[i]);
		return;
	}
	if (e->kind == SYN_IF) { /* what was not taken may make no sense */
		bool held;
		note_sides(c, g, e->a);
		if (eval_truth(c, e->a, &held)) note_sides(c, g, held ? e->b : e->other);
		return;
	}
	bool compares = is_comparison(e);
	if (!compares && e->kind != SYN_NAME) return;
	value a = eval(c, compares ? e->a : e), b = compares ? eval(c, e->b) : a;
	if (!value_shown(c, a) || !value_shown(c, b)) return;
	const char *left = expr_source(c, compares ? e->a : e), *right = compares ? expr_source(c, e->b) : "";
	bool plain = !compares || e->b->kind == SYN_QUANT || e->b->kind == SYN_TEXT ||
		     text_same(right, value_shown(c, b)); /* it says itself what it is */
	if (plain)
		diag_add_note(c->diags, g, e->at, "here %s is %s", left, value_shown(c, a));
	else
		diag_add_note(c->diags, g, e->at, "here %s is %s, and %s is %s", left, value_shown(c, a), right,
			      value_shown(c, b));
}

static void report_false(ctx *c, const syn_expr *e, const model_require *r) {
	diag *g = diag_error(c->diags, "require", r->at, "this does not hold");
	note_sides(c, g, e);
	if (r->because) diag_add_help(c->diags, g, "the plan asks for it because: %s", r->because);
}

static bool two_quantities(ctx *c, const syn_expr *e, model_require *r) {
	value a, b;
	if (!is_comparison(e)) return false;
	/* Texts and truths have no margin, and are conditions as others are. */
	if (value_guess(c, e->a, &a) && a.kind != VALUE_QUANT && a.kind != VALUE_BAD) return false;
	a = eval(c, e->a);
	if (a.kind != VALUE_QUANT && a.kind != VALUE_BAD) return false;
	b = eval(c, e->b);
	r->compare = e->op;
	if (a.kind == VALUE_BAD || b.kind == VALUE_BAD) return true;
	value whole = eval(c, e); /* tells what does not fit together */
	if (whole.kind != VALUE_TRUTH) return true;
	value_as_money(&a.q, &b.q);
	r->left = a.q;
	r->right = b.q;
	r->known = true;
	r->held = whole.truth;
	return true;
}

static void read_require(ctx *c, const syn_line *line) {
	const syn_expr *e = line_arg(line, NULL, 0), *because = line_arg(line, "because", 0);
	if (e->kind == SYN_BAD) return;
	model_require r = {.at = e->at,
			   .text = expr_source(c, e),
			   .compare = "",
			   .because = because ? eval_words(c, because) : NULL};
	bool sides = two_quantities(c, e, &r);
	if (!sides) {
		value v = eval(c, e);
		if (v.kind != VALUE_TRUTH && v.kind != VALUE_BAD) {
			diag *g = diag_error(c->diags, "plan-comparison", e->at,
					     "`require` wants a comparison or another condition, but this is %s",
					     value_spoken(c, v));
			diag_add_help(c->diags, g, "%s",
				      example_shown(c->m, "write for example `require mouth.speed >= 0.4 m/s`"));
			return;
		}
		r.known = v.kind == VALUE_TRUTH;
		r.held = v.truth;
	}
	LIST_PUSH(c->mem, &c->m->requires, r);
	if (!r.known || r.held) return;
	if (sides)
		report_broken(c, e, &r);
	else
		report_false(c, e, &r);
}

void requires_resolve(ctx *c) {
	for (size_t i = 0; i < c->requires.n; i++) read_require(c, c->requires.v[i]);
}
