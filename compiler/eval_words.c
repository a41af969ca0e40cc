/* Texts, and the values in them: "The mouth is {mouth.height} high". A text that is only printed may wait for values
 * that are known last: it then goes into the model with a mark in their place, a byte that no plan can hold, and
 * words_fill() puts them in when everything is worked out. So whatever joins texts on the way need not know of it. */
#include <stdlib.h>
#include <string.h>

#include "compiler/eval_inner.h"
#include "runtime/base/text.h"

enum { MARK = '\x01', MARK_END = '\x02' };

/* ---- showing ----------------------------------------------------------------------------------- */

const char *value_shown(ctx *c, value v) {
	switch (v.kind) {
	case VALUE_TEXT:
		return v.text;
	case VALUE_TRUTH:
		return v.truth ? "yes" : "no";
	case VALUE_QUANT:
		return model_show(c->m, v.q);
	default:
		return NULL;
	}
}

/* NULL: reported. */
static const char *shown(ctx *c, const syn_expr *e) {
	value v = eval(c, e);
	const char *text = value_shown(c, v);
	if (text || v.kind == VALUE_BAD) return text;
	diag *g = diag_error(c->diags, "plan-value", e->at,
			     "a text can show a quantity, a text, yes or no, but this is %s", value_spoken(c, v));
	value_help(c, g, e, v);
	return NULL;
}

/* ---- texts whose values are known ----------------------------------------------------------------- */

static const char *written(ctx *c, const syn_expr *e) {
	if (e->pieces.n == 0) return e->text;
	textbuf t = textbuf_begin(c->mem);
	bool good = true;
	for (size_t i = 0; i < e->pieces.n; i++) {
		const syn_piece *p = &e->pieces.v[i];
		const char *text = p->text ? p->text : shown(c, p->value);
		if (text)
			textbuf_add(&t, text);
		else
			good = false;
	}
	return good ? t.v ? t.v : "" : NULL;
}

static void no_text(ctx *c, const syn_expr *e) {
	diag *g = diag_error(c->diags, "plan-value", e->at, "a text belongs here");
	diag_add_help(c->diags, g, "put it between double quotes");
}

/* A choice of texts, or the name of one; not a word that lacks its quotes. */
static bool gives_text(ctx *c, const syn_expr *e) {
	if (e->kind == SYN_IF) return true;
	if (e->kind != SYN_NAME) return false;
	const sym *s = names_find(c, e->names.v[0].v);
	return s && (s->kind == SYM_LET || e->names.n > 1);
}

const char *eval_text(ctx *c, const syn_expr *e) {
	if (e->kind == SYN_TEXT) return written(c, e);
	if (e->kind == SYN_BAD) return NULL;
	if (!gives_text(c, e)) {
		no_text(c, e);
		return NULL;
	}
	value v = eval(c, e);
	if (v.kind == VALUE_TEXT) return v.text;
	if (v.kind == VALUE_BAD) return NULL;
	diag *g = diag_error(c->diags, "plan-value", e->at, "a text belongs here, but this is %s", value_spoken(c, v));
	if (v.kind == VALUE_QUANT || v.kind == VALUE_TRUTH)
		diag_add_help(c->diags, g, "put it into one: \"{%s}\"", expr_source(c, e));
	return NULL;
}

const char *eval_plain_text(ctx *c, const syn_expr *e) {
	if (e->kind == SYN_TEXT && e->pieces.n == 0) return e->text;
	if (e->kind == SYN_BAD) return NULL;
	if (e->kind != SYN_TEXT) {
		no_text(c, e);
		return NULL;
	}
	for (size_t i = 0; i < e->pieces.n; i++) {
		const syn_expr *v = e->pieces.v[i].value;
		if (!v || v->kind == SYN_BAD) continue;
		diag *g = diag_error(c->diags, "plan-text", v->at, "this text is a name, and holds no values");
		diag_add_help(c->diags, g, "write it out; `{{` and `}}` are braces themselves");
		return NULL;
	}
	return NULL;
}

/* ---- texts that wait -------------------------------------------------------------------------------- */

static void add_slot(ctx *c, textbuf *t, const syn_expr *e) {
	textbuf_printf(t, "%c%zu%c", MARK, c->slots.n, MARK_END);
	late_value s = {e, c->in};
	LIST_PUSH(c->mem, &c->slots, s);
}

/* Tries a value that may wait: true when it does. */
static bool waits(ctx *c, const syn_expr *e, const char *(*look)(ctx *c, const syn_expr *e), const char **text) {
	bool may = c->may_wait, others = c->waits;
	c->may_wait = true;
	c->waits = false;
	*text = look(c, e);
	bool later = !*text && c->waits;
	c->may_wait = may;
	c->waits = others;
	return later;
}

const char *eval_words(ctx *c, const syn_expr *e) {
	textbuf t = textbuf_begin(c->mem);
	const char *text;
	if (e->kind != SYN_TEXT) {
		if (!waits(c, e, eval_text, &text)) return text;
		add_slot(c, &t, e);
		return t.v;
	}
	if (e->pieces.n == 0) return e->text;
	bool good = true;
	for (size_t i = 0; i < e->pieces.n; i++) {
		const syn_piece *p = &e->pieces.v[i];
		text = p->text;
		if (!text && waits(c, p->value, shown, &text))
			add_slot(c, &t, p->value);
		else if (text)
			textbuf_add(&t, text);
		else
			good = false;
	}
	return good ? t.v ? t.v : "" : NULL;
}

static const char *late(ctx *c, const late_value *s) {
	inst *before = inst_enter(c, s->in);
	const char *text = shown(c, s->e);
	inst_enter(c, before);
	return text;
}

static void fill(ctx *c, const char **text) {
	const char *p = *text ? strchr(*text, MARK) : NULL;
	if (!p) return;
	textbuf t = textbuf_begin(c->mem);
	for (const char *from = *text; from; from = p, p = from ? strchr(from, MARK) : NULL) {
		if (!p) {
			textbuf_add(&t, from);
			break;
		}
		textbuf_addn(&t, from, (size_t)(p - from));
		char *end;
		size_t which = (size_t)strtoul(p + 1, &end, 10);
		const char *put = which < c->slots.n ? late(c, &c->slots.v[which]) : NULL;
		textbuf_add(&t, put ? put : "?"); /* not known: that was reported, and no book is written */
		p = end + 1;
	}
	*text = t.v ? t.v : "";
}

void words_fill(ctx *c) {
	model *m = c->m;
	fill(c, &m->title);
	fill(c, &m->purpose);
	for (size_t i = 0; i < m->notes.n; i++) fill(c, &m->notes.v[i].v);
	for (size_t i = 0; i < m->history.n; i++) fill(c, &m->history.v[i].what);
	for (size_t i = 0; i < m->waivers.n; i++) fill(c, &m->waivers.v[i].because);
	for (size_t i = 0; i < m->tuned.n; i++) fill(c, &m->tuned.v[i].because);
	for (size_t i = 0; i < m->written.n; i++) {
		fill(c, &m->written.v[i].note.v);
		fill(c, &m->written.v[i].caution.v);
		fill(c, &m->written.v[i].check.v);
	}
	for (size_t i = 0; i < m->order.steps.n; i++) {
		model_step *s = &m->order.steps.v[i];
		fill(c, &s->note);
		fill(c, &s->caution);
		fill(c, &s->caution_brief);
		fill(c, &s->check);
	}
	for (size_t i = 0; i < m->lets.n; i++) fill(c, &m->lets.v[i].help);
	for (size_t i = 0; i < m->requires.n; i++) fill(c, &m->requires.v[i].because);
}
