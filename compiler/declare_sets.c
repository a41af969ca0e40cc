/* What `--set` gives: values of the plan, and of what a placed assembly takes. */
#include <string.h>

#include "compiler/context.h"
#include "runtime/base/text.h"

/* What every placed assembly of the plan takes, as --set names it. */
static const char *set_nearest(ctx *c, const char *said) {
	LIST(const char *) known = {0};
	for (size_t i = 0; i < c->places.n; i++) {
		const place_def *p = c->places.v[i];
		const char *takes[64];
		size_t n = p->assembly && p->in == c->plan_in ? assembly_takes(p->assembly, takes, 64) : 0;
		for (size_t k = 0; k < n; k++)
			LIST_PUSH(c->mem, &known, arena_printf(c->mem, "%s.%s", p->name, takes[k]));
	}
	return text_nearest(said, known.v, known.n);
}

/* One that names more than a `let` of the plan, and gives no placed assembly what it takes. */
static void report_set(ctx *c, const syn_line *line, const syn_expr *e) {
	for (size_t i = 0; i < c->sets_used.n; i++)
		if (c->sets_used.v[i] == line) return;
	if (e->kind == SYN_BAD) return;
	const char *said = expr_source(c, e), *near = set_nearest(c, said);
	diag *g =
		diag_error(c->diags, "plan-unknown-name", e->at, "`%s` is no value that a placed assembly takes", said);
	const sym *s = e->kind == SYN_NAME ? names_find(c, e->names.v[0].v) : NULL;
	const place_def *p = s && s->kind == SYM_PLACE ? s->def : NULL;
	if (p && p->assembly && e->names.n > 1) {
		const char *known[64];
		size_t n = assembly_takes(p->assembly, known, 64), front = (size_t)(strrchr(said, '.') - said);
		for (size_t i = 0; i < n; i++) known[i] = arena_printf(c->mem, "%.*s.%s", (int)front, said, known[i]);
		diag_add_choice(c->diags, g, said, known, n, "there are");
	} else if (near) {
		diag_add_help(c->diags, g, "did you mean `%s`?", near);
	} else {
		diag_add_help(c->diags, g,
			      "write --set NAME=VALUE with the name of a `let`, or --set PLACED.NAME=VALUE");
	}
}

/* What `--set` gives. Those that nothing is known of are left for the second time, when every `when` is settled. */
void declare_sets(ctx *c, bool last) {
	for (size_t i = 0; c->sets && i < c->sets->lines.n; i++) {
		const syn_line *line = c->sets->lines.v[i];
		const syn_expr *e = line_arg(line, NULL, 0), *v = line_arg(line, "=", 0);
		const char *name = expr_word(e);
		if (!name && v && last) report_set(c, line, e);
		if (!name || !v) continue;
		const sym *s = NULL;
		for (size_t k = 0; k < c->all.n && !s; k++)
			if (c->all.v[k]->in == c->plan_in && text_same(c->all.v[k]->name, name)) s = c->all.v[k];
		if (!s) {
			if (last)
				names_unknown(c, name, e->at, "`--set` wants a name of a `let`",
					      (names_wanted){1u << SYM_LET, 0});
			continue;
		}
		if (s->kind != SYM_LET) {
			if (!last) continue;
			diag *g = diag_error(c->diags, "plan-unknown-name", e->at,
					     "`%s` is %s; `--set` changes a `let` only", name, SYM_SPOKEN[s->kind]);
			diag_add_note(c->diags, g, s->at, "it is here");
			continue;
		}
		let_def *d = s->def;
		d->value = v;
		d->overridden = true;
	}
}
