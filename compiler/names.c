/* Names, and the instances in which they stand. */
#include <string.h>

#include "compiler/context.h"
#include "runtime/base/text.h"

const char *const SYM_SPOKEN[SYM_KIND_COUNT] = {
#define X(name, spoken) [SYM_##name] = spoken,
	SYM_KINDS(X)
#undef X
};

enum { BUCKETS = 64 };

static size_t bucket_of(const char *name) {
	uint32_t h = 2166136261u;
	for (const unsigned char *p = (const unsigned char *)name; *p; p++) h = (h ^ *p) * 16777619u;
	return h % BUCKETS;
}

static sym *own(const inst *in, const char *name) {
	for (sym *s = in->bucket ? in->bucket[bucket_of(name)] : NULL; s; s = s->next)
		if (strcmp(s->name, name) == 0) return s;
	return NULL;
}

/* What is not there yet may come of a `when`. */
static sym *own_settled(ctx *c, inst *in, const char *name) {
	sym *s = own(in, name);
	if (s || in->settling || in->whens_done == in->whens.n) return s;
	scope_settle(c, in);
	return own(in, name);
}

/* An assembly stands for itself: of the plan it sees the values, the stock, the tools and the other assemblies. */
static bool open_to_all(const sym *s) {
	return s->kind == SYM_LET || s->kind == SYM_STOCK || s->kind == SYM_TOOL || s->kind == SYM_ASSEMBLY;
}

static sym *find(ctx *c, const char *name, bool hidden_too) {
	bool within = false;
	for (inst *in = c->in; in; in = in->outer) {
		sym *s = own_settled(c, in, name);
		if (s && (!within || hidden_too || open_to_all(s))) return s;
		within = within || in->outer != in->parent || (in->place && in->place->assembly);
	}
	return NULL;
}

sym *names_find(ctx *c, const char *name) { return find(c, name, false); }

static diag *report_taken(ctx *c, const char *name, sym_kind new_kind, span at, const sym *old) {
	diag *g =
		diag_error(c->diags, "plan-name-twice", span_known(at) ? at : old->at, "the name `%s` is taken", name);
	if (!span_known(at))
		diag_add_note(c->diags, g, at, "`%s` is %s that is always there", name, SYM_SPOKEN[new_kind]);
	else if (span_known(old->at))
		diag_add_note(c->diags, g, old->at, "%s of that name is here",
			      old->kind == SYM_PLACE ? "something placed" : SYM_SPOKEN[old->kind]);
	else
		diag_add_note(c->diags, g, span_none(), "`%s` is %s that is always there", name, SYM_SPOKEN[old->kind]);
	diag_add_help(c->diags, g, "give one of the two another name");
	return g;
}

static sym *add(ctx *c, inst *in, const char *name, sym_kind kind, span at, void *def) {
	sym *old = own(in, name);
	if (old) {
		report_taken(c, name, kind, at, old);
		return NULL;
	}
	sym *s = ARENA_NEW(c->mem, sym);
	*s = (sym){.name = name, .kind = kind, .at = at, .def = def, .in = in};
	size_t b = bucket_of(name);
	if (!in->bucket) in->bucket = ARENA_MANY(c->mem, sym *, BUCKETS);
	s->next = in->bucket[b];
	in->bucket[b] = s;
	LIST_PUSH(c->mem, &c->all, s);
	return s;
}

/* A name in the turn of a `repeat` without a name: the scope around it has it as a series, one for each turn. */
static bool add_to_series(ctx *c, inst *turn, const sym *s) {
	const syn_line *line = turn->place->line;
	inst *around = turn->parent;
	sym *old = own(around, s->name);
	if (old && (old->kind != SYM_SERIES || ((series_def *)old->def)->line != line)) {
		report_taken(c, s->name, s->kind, s->at, old);
		return false;
	}
	if (!old) {
		series_def *d = ARENA_NEW(c->mem, series_def);
		d->line = line;
		old = add(c, around, s->name, SYM_SERIES, s->at, d);
		if (around->place && !around->place->name) add_to_series(c, around, old);
	}
	series_def *d = old->def;
	LIST_PUSH(c->mem, &d->turns, s);
	LIST_PUSH(c->mem, &d->numbers, turn->place->first + (int64_t)turn->number);
	return true;
}

sym *names_add(ctx *c, const char *name, sym_kind kind, span at, void *def) {
	if (text_same(name, "yes") || text_same(name, "no") || text_same(name, "pi")) {
		diag *g = diag_error(c->diags, "plan-name-twice", at, "the name `%s` is taken", name);
		diag_add_note(c->diags, g, span_none(), "`%s` is a value that is always there", name);
		diag_add_help(c->diags, g, "give this another name");
		return NULL;
	}
	inst *in = c->in;
	sym *s = add(c, in, name, kind, at, def);
	bool placed = kind == SYM_PART || kind == SYM_PATTERN || kind == SYM_PLACE || kind == SYM_SERIES;
	if (s && placed && in->place && !in->place->name && !add_to_series(c, in, s)) return NULL;
	return s;
}

static void note_cut_off(ctx *c, diag *g, const char *name, const sym *s) {
	diag_add_note(c->diags, g, s->at, "`%s` of the cabinet is here, but an assembly sees only what stands in it",
		      name);
	if (s->kind == SYM_PART) diag_add_help(c->diags, g, "let the assembly take it: takes %s : part", name);
}

static bool note_left_out(ctx *c, diag *g, const char *name) {
	for (size_t i = 0; i < c->left_out.n; i++) {
		const left_out *l = &c->left_out.v[i];
		if (!text_same(l->name, name)) continue;
		diag_add_note(c->diags, g, l->at, "`%s` stands here, in a part of the plan that is left out", name);
		diag_add_note(c->diags, g, l->when->word_at, "left out by this `%s`", l->when->word);
		diag_add_help(c->diags, g,
			      "speak of it in the same part only, or under a `when` of the same condition");
		return true;
	}
	return false;
}

/* `pva` for `glue_pva`: the only name that has the word as one of its own. */
static const char *name_around(const char *word, const char *const *known, size_t n) {
	const char *found = NULL;
	size_t k = strlen(word);
	for (size_t i = 0; i < n; i++) {
		const char *at = strstr(known[i], word);
		bool whole = at && (at == known[i] || at[-1] == '_') && (at[k] == '\0' || at[k] == '_');
		if (!whole || text_same(found, known[i])) continue;
		if (found) return NULL;
		found = known[i];
	}
	return found;
}

/* The same letters and figures from there on; underscores count when `strict`. */
static bool same_rest(const char *p, const char *q, bool strict) {
	for (;; p++, q++) {
		while (!strict && *p == '_') p++;
		while (!strict && *q == '_') q++;
		if (*p != *q) return false;
		if (!*p) return true;
	}
}

/* `plywood12` for `ply12`: the figures are the same, and the letters before them begin alike. */
static bool same_family(const char *word, const char *known, bool strict) {
	size_t a = strcspn(word, "0123456789"), b = strcspn(known, "0123456789");
	size_t less = a < b ? a : b, figures = strlen(word + a);
	return figures && less >= (figures > 3 ? 1 : 3) && strncmp(word, known, less) == 0 &&
	       same_rest(word + a, known + b, strict);
}

typedef enum likeness { LIKE_UNDERSCORES, LIKE_FAMILY, LIKE_LOOSE_FAMILY } likeness;

/* The only known name that is like the word so. */
static const char *name_like(const char *word, const char *const *known, size_t n, likeness how) {
	const char *found = NULL;
	for (size_t i = 0; i < n; i++) {
		bool like = how == LIKE_UNDERSCORES ? same_rest(word, known[i], false)
						    : same_family(word, known[i], how == LIKE_FAMILY);
		if (!like || text_same(found, known[i])) continue;
		if (found) return NULL;
		found = known[i];
	}
	return found;
}

/* `repeat bay from 1 to 3` has no name: `bay` counts its turns, and is known in them only. */
static bool note_counter(ctx *c, diag *g, const char *name) {
	for (const inst *in = c->in; in; in = in->outer)
		for (size_t i = 0; i < in->places.n; i++) {
			const place_def *p = in->places.v[i];
			if (p->name || !text_same(expr_word(line_arg(p->line, NULL, 0)), name)) continue;
			diag_add_note(c->diags, g, line_arg(p->line, NULL, 0)->at,
				      "`%s` counts the turns of this `repeat`, and is known in it only", name);
			diag_add_help(c->diags, g,
				      "give the `repeat` a name and a counter: repeat %s i from … to … { … }", name);
			return true;
		}
	return false;
}

bool names_excused(const ctx *c, const char *name) {
	for (size_t i = 0; i < c->excused.n; i++)
		if (text_same(c->excused.v[i], name)) return true;
	return false;
}

static bool fits(const ctx *c, const sym *s, names_wanted wanted) {
	if (wanted.kinds && !(wanted.kinds & 1u << s->kind)) return false;
	if (s->kind != SYM_STOCK || !wanted.stocks) return true;
	return wanted.stocks & 1u << c->m->stocks.v[((const stock_def *)s->def)->row].kind;
}

static bool shipped_fits(const shipped_name *s, names_wanted wanted) {
	static const struct {
		const char *word;
		sym_kind kind;
	} HEADS[] = {{"stock", SYM_STOCK}, {"tool", SYM_TOOL}, {"assembly", SYM_ASSEMBLY}};
	const char *kind = expr_word(line_arg(s->line, ":", 0));
	for (size_t i = 0; i < sizeof HEADS / sizeof *HEADS; i++)
		if (text_same(s->line->word, HEADS[i].word) && wanted.kinds && !(wanted.kinds & 1u << HEADS[i].kind))
			return false;
	for (int k = 0; k < STOCK_KINDS && wanted.stocks; k++)
		if (text_same(kind, MODEL_STOCK_WORD[k])) return wanted.stocks & 1u << k;
	return true;
}

/* The plan uses that file, or one of its own that stands before it. */
static bool is_used(const ctx *c, const char *file) {
	const char *path = arena_printf(c->mem, "/%s.plan", file);
	size_t k = strlen(path);
	for (size_t i = 0; i < c->plan->files.n; i++) {
		const char *name = arena_printf(c->mem, "/%s", c->sources->files.v[c->plan->files.v[i].source].name);
		size_t n = strlen(name);
		if (n >= k && text_same(name + n - k, path)) return true;
	}
	return false;
}

/* The name is one of the shipped library, in a file that the plan does not use. */
static bool note_shipped(ctx *c, diag *g, const char *name, names_wanted wanted) {
	const shipped_names *all = c->shipped ? c->shipped(c->shipped_with) : NULL;
	textbuf files = textbuf_begin(c->mem);
	for (size_t i = 0; all && i < all->n; i++)
		if (text_same(all->v[i].name, name) && shipped_fits(&all->v[i], wanted) && !is_used(c, all->v[i].file))
			textbuf_printf(&files, "%suse \"%s\"", files.n ? "` or `" : "", all->v[i].file);
	if (files.n) diag_add_help(c->diags, g, "it stands in the shipped library: `%s`", files.v);
	return files.n > 0;
}

void names_unknown(ctx *c, const char *name, span at, const char *what, names_wanted wanted) {
	enum { MOST_PLACES = 4 };
	if (c->use_failed) return;
	if (names_excused(c, name)) return;
	for (size_t i = 0; i < c->unknown.n; i++) {
		diag *first = c->unknown.v[i];
		if (!text_same(c->unknown_names.v[i], name)) continue;
		if (!span_same(first->at, at) && first->notes.n < MOST_PLACES)
			diag_add_note(c->diags, first, at, "and here");
		if (span_same(first->at, at)) diag_again(c->diags, first);
		return;
	}
	const char **known = ARENA_MANY(c->mem, const char *, c->all.n + 1);
	size_t n = 0;
	for (size_t i = 0; i < c->all.n; i++) {
		bool seen = false;
		for (inst *in = c->in; in && !seen; in = in->outer) seen = c->all.v[i]->in == in;
		if (seen && fits(c, c->all.v[i], wanted)) known[n++] = c->all.v[i]->name;
	}
	diag *g = diag_error(c->diags, "plan-unknown-name", at, "nothing here is called `%s`%s%s", name,
			     what ? ": " : "", what ? what : "");
	LIST_PUSH(c->mem, &c->unknown, g);
	LIST_PUSH(c->mem, &c->unknown_names, name);
	if (note_left_out(c, g, name)) return;
	const sym *hidden = find(c, name, true);
	if (hidden) {
		note_cut_off(c, g, name, hidden);
		return;
	}
	if (note_counter(c, g, name) || note_shipped(c, g, name, wanted)) return;
	const char *near = name_like(name, known, n, LIKE_UNDERSCORES);
	if (!near) near = text_nearest(name, known, n);
	if (!near) near = name_around(name, known, n);
	if (!near) near = name_like(name, known, n, LIKE_FAMILY);
	if (!near) near = name_like(name, known, n, LIKE_LOOSE_FAMILY);
	if (near) {
		diag_add_help(c->diags, g, "did you mean `%s`?", near);
		sym *s = names_find(c, near);
		if (s && span_known(s->at)) diag_add_note(c->diags, g, s->at, "`%s` is here", near);
	}
}

/* ---- chains of names ------------------------------------------------------------------------------ */

/* `name[…]`: the number between the brackets. */
static bool word_number(ctx *c, const syn_word *w, int64_t *n) {
	enum { MOST = 1000000 };
	return eval_count(c, w->index, 0, MOST, n);
}

static bool no_number(ctx *c, const syn_word *w, int64_t least, int64_t most, span defined) {
	diag *g;
	if (most < least)
		g = diag_error(c->diags, "plan-index", w->index->at, "there is no `%s` at all", w->v);
	else if (most == least)
		g = diag_error(c->diags, "plan-index", w->index->at, "there is only `%s[%lld]`", w->v,
			       (long long)least);
	else
		g = diag_error(c->diags, "plan-index", w->index->at, "`%s` is counted from %lld to %lld", w->v,
			       (long long)least, (long long)most);
	diag_add_note(c->diags, g, defined, "`%s` is here", w->v);
	return false;
}

static bool not_counted(ctx *c, const syn_word *w, const sym *s) {
	diag *g = diag_error(c->diags, "plan-index", w->index->at, "there is one `%s` only; `[ ]` does not belong here",
			     w->v);
	diag_add_note(c->diags, g, s->at, "`%s` is here", w->v);
	diag_add_help(c->diags, g, "write `%s`", w->v);
	return false;
}

static bool step_series(ctx *c, const syn_word *w, const sym *s, named *out) {
	const series_def *d = s->def;
	int64_t n;
	if (!w->index) return true;
	if (!word_number(c, w, &n)) return false;
	for (size_t i = 0; i < d->turns.n; i++) {
		if (d->numbers.v[i] != n) continue;
		out->s = d->turns.v[i];
		return true;
	}
	return no_number(c, w, d->numbers.v[0], d->numbers.v[d->numbers.n - 1], s->at);
}

static bool step_place(ctx *c, const syn_word *w, const sym *s, named *out) {
	place_def *p = s->def;
	if (!place_expand(c, p, w->at)) return false;
	if (!w->index) {
		if (!p->counted && p->items.n) out->inst = p->items.v[0];
		return true;
	}
	int64_t n;
	if (!p->counted) return not_counted(c, w, s);
	if (!word_number(c, w, &n)) return false;
	if (n < p->first || n - p->first >= (int64_t)p->items.n)
		return no_number(c, w, p->first, p->first + (int64_t)p->items.n - 1, p->at);
	out->inst = p->items.v[n - p->first];
	return true;
}

/* What the word itself says beyond its symbol: a number. */
static bool step(ctx *c, const syn_word *w, named *out) {
	out->inst = NULL;
	out->piece_known = false;
	if (out->s->kind == SYM_SERIES) {
		const sym *series = out->s;
		if (!step_series(c, w, series, out)) return false;
		if (out->s == series) return true;
		if (out->s->kind != SYM_PLACE) return true;
		syn_word plain = {.v = w->v, .at = w->at};
		return step_place(c, &plain, out->s, out);
	}
	if (out->s->kind == SYM_PLACE) return step_place(c, w, out->s, out);
	if (!w->index) return true;
	if (out->s->kind != SYM_PART) return not_counted(c, w, out->s);
	out->piece_known = true;
	return word_number(c, w, &out->piece);
}

static bool not_within(ctx *c, const syn_word *w, inst *in, bool last) {
	face f;
	axis a;
	if (last && (word_face(w->v, &f) || word_axis(w->v, &a))) return false; /* of the instance as a whole */
	if (in->parts_failed && names_excused(c, w->v)) return true;
	const char *known[64];
	size_t n = 0;
	for (size_t i = 0; i < c->all.n && n < 64; i++)
		if (c->all.v[i]->in == in) known[n++] = c->all.v[i]->name;
	diag *g = diag_error(c->diags, "plan-member", w->at, "nothing in `%s` is called `%s`", in->name, w->v);
	if (note_left_out(c, g, w->v)) return true;
	const char *near = text_nearest(w->v, known, n);
	if (near) diag_add_help(c->diags, g, "did you mean `%s`?", near);
	return true;
}

bool names_walk(ctx *c, const syn_expr *e, named *out) {
	const syn_word *w = &e->names.v[0];
	*out = (named){.s = names_find(c, w->v), .used = 1};
	if (!out->s) {
		names_unknown(c, w->v, w->at, NULL, NAMES_ANY);
		return false;
	}
	if (!step(c, w, out)) return false;
	while (out->used < e->names.n && out->inst && !out->whole) {
		w = &e->names.v[out->used];
		sym *s = own_settled(c, out->inst, w->v);
		if (!s) {
			out->whole = text_same(w->v, "whole");
			if (out->whole) out->used++;
			if (out->whole) return true;
			return !not_within(c, w, out->inst, out->used + 1 == e->names.n);
		}
		out->s = s;
		out->used++;
		if (!step(c, w, out)) return false;
	}
	return true;
}

const char *named_path(ctx *c, const named *n) {
	const char *path = inst_path(c, n->s->in, n->s->name);
	if (n->s->kind == SYM_PART) path = ((const part_def *)n->s->def)->path;
	return n->piece_known ? arena_printf(c->mem, "%s.%lld", path, (long long)n->piece) : path;
}

/* ---- instances ------------------------------------------------------------------------------------- */

inst *inst_enter(ctx *c, inst *in) {
	inst *before = c->in;
	c->in = in;
	c->diags->within = in->parent ? &in->within : NULL;
	return before;
}

const char *inst_path(ctx *c, const inst *in, const char *name) {
	return arena_printf(c->mem, "%s%s%s", in->prefix, name, in->suffix);
}
