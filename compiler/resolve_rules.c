/* What the plan says of the rules themselves: `allow` waives one, `tune` sets its limit anew. */
#include <ctype.h>
#include <string.h>

#include "compiler/check.h"
#include "compiler/check_limits.h"
#include "compiler/eval_inner.h"
#include "compiler/resolve.h"
#include "runtime/base/text.h"

/* The name of a rule or limit as written; NULL when it was reported. */
static const char *rule_written(ctx *c, const syn_line *line) {
	const syn_expr *e = line_arg(line, NULL, 0);
	if (e->kind == SYN_BAD) return NULL;
	return e->kind == SYN_TEXT ? e->text : expr_source(c, e);
}

/* ---- waivers ------------------------------------------------------------------------------------ */

/* The words whose line declares the name behind them. */
static bool declares(const syn_line *line) {
	static const char *const WORDS[] = {"stock", "tool",  "panel", "door",	"slat", "cleat",    "leg",   "item",
					    "gap",   "space", "duct",  "tubes", "part", "openings", "extra", NULL};
	for (size_t i = 0; WORDS[i]; i++)
		if (line_is(line, WORDS[i])) return true;
	return false;
}

typedef LIST(span) spans;

/* Where the name is declared: the whole line with its block; of `space A, B` the name alone. */
static void find_declared(ctx *c, syn_line *const *lines, size_t n, const char *name, spans *out) {
	for (size_t i = 0; i < n; i++) {
		const syn_line *l = lines[i];
		size_t args = declares(l) ? line_args(l, NULL) : 0;
		for (size_t k = 0; k < args; k++)
			if (text_same(expr_word(line_arg(l, NULL, k)), name))
				LIST_PUSH(c->mem, out, args > 1 ? line_arg(l, NULL, k)->at : l->at);
		find_declared(c, l->block.v, l->block.n, name, out);
	}
}

static spans declared(ctx *c, const char *name) {
	spans s = {0};
	for (size_t i = 0; i < c->plan->files.n; i++)
		find_declared(c, c->plan->files.v[i].lines.v, c->plan->files.v[i].lines.n, name, &s);
	return s;
}

/* A thing's name as messages write it: `wing[2].shelf` is wing.2.shelf there. NULL: reported. */
static const char *thing_name(ctx *c, const syn_expr *e) {
	enum { MOST_PIECES = 1000000 };
	textbuf t = textbuf_begin(c->mem);
	for (size_t i = 0; i < e->names.n; i++) {
		const syn_word *w = &e->names.v[i];
		int64_t n;
		textbuf_printf(&t, "%s%s", i ? "." : "", w->v);
		if (!w->index) continue;
		if (!eval_count(c, w->index, 1, MOST_PIECES, &n)) return NULL;
		textbuf_printf(&t, ".%lld", (long long)n);
	}
	return t.v;
}

static const char *read_thing(ctx *c, const syn_expr *e) {
	if (e->kind == SYN_BAD) return NULL;
	const sym *known = e->kind == SYN_NAME ? names_find(c, e->names.v[0].v) : NULL;
	if (e->kind == SYN_NAME && !known) {
		names_unknown(c, e->names.v[0].v, e->at, "the thing that the rule is waived for belongs here",
			      NAMES_ANY);
		return NULL;
	}
	if (!known || known->kind == SYM_LET) {
		diag *g = diag_error(c->diags, "plan-value", e->at,
				     "the name of a part, openings, stock or a thing in the air belongs here");
		if (known) diag_add_note(c->diags, g, known->at, "`%s` is %s", known->name, SYM_SPOKEN[known->kind]);
		return NULL;
	}
	return thing_name(c, e);
}

static bool read_things(ctx *c, const syn_line *line, model_waiver *w) {
	bool good = true;
	for (size_t i = 0; i < line_args(line, "for"); i++) {
		const char *name = read_thing(c, line_arg(line, "for", i));
		if (name) LIST_PUSH(c->mem, &w->things, name);
		good = good && name;
	}
	return good;
}

static void read_allow(ctx *c, const syn_line *line) {
	const char *because = eval_words(c, line_arg(line, "because", 0)), *rule = rule_written(c, line);
	if (!rule) return;
	const syn_expr *e = line_arg(line, NULL, 0);
	const char *why = check_cannot_allow(c->mem, rule);
	if (why) {
		diag *g = diag_error(c->diags, "plan-allow", e->at, "%s", why);
		diag_add_help(c->diags, g, "`windchest rules` lists the rules");
		return;
	}
	model_waiver w = {.rule = rule, .because = because, .at = e->at};
	if (read_things(c, line, &w) && because) LIST_PUSH(c->mem, &c->m->waivers, w);
}

static bool within(span place, const spans *s) {
	for (size_t i = 0; i < s->n; i++)
		if (place.file == s->v[i].file && place.start >= s->v[i].start && place.end <= s->v[i].end) return true;
	return false;
}

static bool word_char(char c) { return isalnum((unsigned char)c) || c == '_'; }

/* Does a word of the n bytes begin with the name? What follows a dot in the plan is a face or a size, no name. `inner`:
 * something of the thing must follow, as in wing.2 of `wing`. */
static bool text_names(const char *text, size_t n, const char *name, bool inner) {
	size_t k = strlen(name);
	for (size_t i = 0; i + k <= n; i++) {
		if (strncmp(text + i, name, k) != 0) continue;
		bool begins = i == 0 || (!word_char(text[i - 1]) && text[i - 1] != '.');
		if (!begins || (i + k < n && word_char(text[i + k]))) continue;
		if (!inner || (i + k + 1 < n && text[i + k] == '.' && word_char(text[i + k + 1]))) return true;
	}
	return false;
}

static bool place_names(const source_set *sources, span at, const char *name) {
	if (!span_known(at)) return false;
	const source_file *f = &sources->files.v[at.file];
	size_t end = at.end < f->size ? at.end : f->size;
	return at.start < end && text_names(f->text + at.start, end - at.start, name, false);
}

/* A message names `wing.2.shelf` in full: nothing else is written so. */
static bool message_names(const diag *g, const char *name, bool inner) {
	if (text_names(g->text, strlen(g->text), name, inner)) return true;
	for (size_t i = 0; i < g->notes.n; i++)
		if (text_names(g->notes.v[i].text, strlen(g->notes.v[i].text), name, inner)) return true;
	return false;
}

/* A finding is about a thing when its place, one of its notes or what it is about beside lies in the lines that
 * declare the thing, or when its own place names the thing. About one of several, or something in an assembly that is
 * placed, when the message names it. */
static bool is_about(ctx *c, const diag *g, const char *name) {
	if (strchr(name, '.')) return message_names(g, name, false);
	const sym *known = names_find(c, name);
	if (known && known->kind == SYM_PLACE && message_names(g, name, true)) return true;
	spans s = declared(c, name);
	if (within(g->at, &s) || place_names(c->sources, g->at, name)) return true;
	for (size_t i = 0; i < g->notes.n; i++)
		if (within(g->notes.v[i].at, &s)) return true;
	for (size_t i = 0; i < g->about.n; i++)
		if (within(g->about.v[i], &s)) return true;
	return false;
}

static bool waives(ctx *c, const model_waiver *w, const diag *g) {
	if (!text_same(g->rule, w->rule)) return false;
	for (size_t i = 0; i < w->things.n; i++)
		if (is_about(c, g, w->things.v[i])) return true;
	return w->things.n == 0;
}

static const char *things_words(ctx *c, const model_waiver *w) {
	textbuf t = textbuf_begin(c->mem);
	for (size_t i = 0; i < w->things.n; i++)
		textbuf_printf(&t, "%s`%s`", i == 0 ? "" : i + 1 < w->things.n ? ", " : " or ", w->things.v[i]);
	return t.v;
}

static void unused(resolve_state *s, const model_waiver *w) {
	diag *g = w->things.n ? diag_warning(s->diags, "waiver-unused", w->at, "nothing about %s breaks the rule `%s`",
					     things_words(s, w), w->rule)
			      : diag_warning(s->diags, "waiver-unused", w->at, "nothing here breaks the rule `%s`",
					     w->rule);
	for (size_t k = 0; w->things.n && k < s->diags->all.n; k++)
		if (text_same(s->diags->all.v[k]->rule, w->rule) && !s->diags->all.v[k]->allowed)
			diag_add_note(s->diags, g, s->diags->all.v[k]->at,
				      "this breaks it, but is about something else");
	diag_add_help(s->diags, g, "take the line away");
}

void resolve_waivers(resolve_state *s) {
	for (size_t i = 0; i < s->m->waivers.n; i++) {
		model_waiver *w = &s->m->waivers.v[i];
		for (size_t k = 0; k < s->diags->all.n; k++) {
			diag *g = s->diags->all.v[k];
			if (!waives(s, w, g)) continue;
			diag_waive(s->diags, g, w->because);
			w->used = true;
		}
	}
	/* With an error the check that a waiver is for may not have run. */
	for (size_t i = 0; i < s->m->waivers.n && s->diags->errors == 0; i++)
		if (!s->m->waivers.v[i].used) unused(s, &s->m->waivers.v[i]);
	for (size_t k = 0; k < s->diags->all.n; k++) {
		const diag *g = s->diags->all.v[k];
		model_waived row = {g->rule, g->text, g->allowed, g->severity == DIAG_ERROR, g->at};
		if (g->allowed) LIST_PUSH(s->mem, &s->m->waived, row);
	}
}

/* ---- limits -------------------------------------------------------------------------------------- */

static void no_such_limit(ctx *c, const char *name, span at) {
	const char *dot = strchr(name, '.'), *rule = dot ? arena_textn(c->mem, name, (size_t)(dot - name)) : name;
	bool known = check_is_rule(rule), language = strncmp(rule, "plan-", 5) == 0;
	if (known && !language && check_limit_of(rule, 0)) {
		diag *g = text_same(rule, name)
				  ? diag_error(c->diags, "plan-tune", at, "`%s` has more than one limit", rule)
				  : diag_error(c->diags, "plan-tune", at, "`%s` has no limit `%s`", rule, name);
		textbuf t = textbuf_begin(c->mem);
		const check_limit_row *l;
		for (size_t i = 0; (l = check_limit_of(rule, i)) != NULL; i++)
			textbuf_printf(&t, "%s`%s`", i ? ", " : "", l->name);
		diag_add_help(c->diags, g, "it has %s", t.v);
		return;
	}
	if (known) {
		diag *g = diag_error(c->diags, "plan-tune", at, "the rule `%s` has no limit that can be tuned", rule);
		if (!check_cannot_allow(c->mem, rule))
			diag_add_help(c->diags, g, "`allow %s because \"…\"` waives it", rule);
		return;
	}
	const char **known_names = ARENA_MANY(c->mem, const char *, N_CHECK_LIMITS);
	for (size_t i = 0; i < N_CHECK_LIMITS; i++) known_names[i] = CHECK_LIMITS[i].name;
	const char *near = text_nearest(name, known_names, N_CHECK_LIMITS);
	diag *g = diag_error(c->diags, "plan-tune", at, "there is no rule `%s`", name);
	if (near)
		diag_add_help(c->diags, g, "did you mean `%s`?", near);
	else
		diag_add_help(c->diags, g, "`windchest rules` lists the rules with their limits");
}

static bool in_bounds(ctx *c, const check_limit_row *l, quant v, span at) {
	quant least = check_limit_quant(l, l->least), most = check_limit_quant(l, l->most);
	if (quant_cmp(v, least) >= 0 && quant_cmp(v, most) <= 0) return true;
	measures ms = c->m->measures;
	diag *g = diag_error(c->diags, "plan-tune", at, "`%s` cannot be tuned to %s", l->name,
			     check_limit_show(c->mem, l, v, ms));
	diag_add_help(c->diags, g, "from %s to %s it says something; `allow` waives the rule",
		      check_limit_show(c->mem, l, least, ms), check_limit_show(c->mem, l, most, ms));
	return false;
}

static bool limit_of_kind(ctx *c, const check_limit_row *l, const syn_expr *to, quant *v) {
	value is = eval(c, to);
	if (is.kind == VALUE_BAD) return false;
	*v = is.q;
	if (is.kind == VALUE_QUANT && dim_same(is.q.dim, check_limit_dim(l))) return true;
	const char *wanted = text_same(l->unit, "%")  ? "a share"
			     : text_same(l->unit, "") ? "a factor, without a unit"
						      : NULL;
	diag *g = diag_error(c->diags, "plan-dimension", to->at, "`%s` is tuned to %s, and this is %s", l->name,
			     wanted ? wanted : dim_spoken(c->mem, check_limit_dim(l)), value_spoken(c, is));
	if (rat_ok(l->value))
		diag_add_note(c->diags, g, span_none(), "when it is not tuned: %s %s",
			      check_limit_show(c->mem, l, check_limit_quant(l, l->value), c->m->measures), l->what);
	measures ms = c->m->measures;
	if (rat_ok(l->value))
		diag_add_help(c->diags, g, "write it like this: tune %s to %s because \"…\"", l->name,
			      check_limit_written(c->mem, l, check_limit_quant(l, l->value), ms));
	else
		diag_add_help(c->diags, g, "from %s to %s it says something; `windchest rules %s` tells what is usual",
			      check_limit_written(c->mem, l, check_limit_quant(l, l->least), ms),
			      check_limit_written(c->mem, l, check_limit_quant(l, l->most), ms), l->name);
	return false;
}

static void read_tune(ctx *c, const syn_line *line) {
	const char *because = eval_words(c, line_arg(line, "because", 0)), *name = rule_written(c, line);
	if (!name) return;
	span at = line_arg(line, NULL, 0)->at;
	const check_limit_row *l = check_limit_find(name);
	if (!l) {
		no_such_limit(c, name, at);
		return;
	}
	const syn_expr *to = line_arg(line, "to", 0);
	quant v;
	if (!limit_of_kind(c, l, to, &v) || !in_bounds(c, l, v, to->at) || !because) return;
	for (size_t i = 0; i < c->m->tuned.n; i++) {
		if (!text_same(c->m->tuned.v[i].limit, l->name)) continue;
		diag *g = diag_error(c->diags, "plan-twice", at, "the limit `%s` is tuned twice", l->name);
		diag_add_note(c->diags, g, c->m->tuned.v[i].at, "first here");
		return;
	}
	/* What cannot be written as a fraction is taken to 1/1000. */
	if (!quant_is_exact(v)) v = quant_exact(v.dim, rat_from_double(v.d, 1000));
	bool valued = rat_ok(l->value);
	quant was = check_limit_quant(l, l->value);
	model_tuned row = {.limit = l->name, .because = because, .was = was, .is = v, .at = at};
	row.was_text = valued ? check_limit_show(c->mem, l, was, c->m->measures) : "";
	row.is_text = check_limit_show(c->mem, l, v, c->m->measures);
	LIST_PUSH(c->mem, &c->m->tuned, row);
}

void rules_resolve(ctx *c) {
	for (size_t i = 0; i < c->allows.n; i++) read_allow(c, c->allows.v[i]);
	for (size_t i = 0; i < c->tunes.n; i++) read_tune(c, c->tunes.v[i]);
}
