/* Placed assemblies: what they take, and how many of them there are. Where they stand is worked out as for parts. */
#include <string.h>

#include "compiler/context.h"
#include "runtime/base/text.h"

enum { MOST_PLACED = 500 };

/* ---- what an assembly takes --------------------------------------------------------------------------- */

typedef enum takes_kind {
	TAKES_ANY,
	TAKES_LENGTH,
	TAKES_COUNT,
	TAKES_NUMBER,
	TAKES_TRUTH,
	TAKES_TEXT,
	TAKES_STOCK,
	TAKES_PART,
	TAKES_KINDS
} takes_kind;
static const char *const TAKES_WORD[TAKES_KINDS] = {NULL,    "length", "count", "number",
						    "truth", "text",   "stock", "part"};
static const char *const TAKES_SPOKEN[TAKES_KINDS] = {NULL,	   "a length", "a whole number", "a number",
						      "yes or no", "a text",   "stock",		 "a part"};

static const syn_line *takes_line(const assembly_def *a, const char *name) {
	for (size_t i = 0; i < a->line->block.n; i++) {
		const syn_line *line = a->line->block.v[i];
		if (line_is(line, "takes") && text_same(expr_word(line_arg(line, NULL, 0)), name)) return line;
	}
	return NULL;
}

static takes_kind declared_kind(ctx *c, const syn_line *line) {
	const syn_expr *e = line_arg(line, ":", 0);
	if (!e) return TAKES_ANY;
	for (int k = 1; k < TAKES_KINDS; k++)
		if (text_same(expr_word(e), TAKES_WORD[k])) return (takes_kind)k;
	if (e->kind == SYN_BAD) return TAKES_ANY;
	diag *g = diag_error(c->diags, "plan-unknown-word", e->at, "an assembly takes nothing of kind `%s`",
			     expr_source(c, e));
	diag_add_help(c->diags, g, "there are: length, count, number, truth, text, stock, part");
	return TAKES_ANY;
}

static void report_kind(ctx *c, const syn_expr *e, const syn_line *takes, takes_kind kind, const char *is) {
	if (kind == TAKES_ANY) return;
	diag *g = diag_error(c->diags, "plan-value", e->at, "`%s` takes %s, but this is %s",
			     expr_word(line_arg(takes, NULL, 0)), TAKES_SPOKEN[kind], is);
	diag_add_note(c->diags, g, takes->at, "it is taken here");
}

/* A value that is a name of stock or of a part stands for that itself. True when it did, or was reported. */
static bool take_thing(ctx *c, const syn_line *takes, const syn_expr *e, inst *value_in, takes_kind kind) {
	const syn_expr *name = line_arg(takes, NULL, 0);
	bool thing = kind == TAKES_STOCK || kind == TAKES_PART;
	if (e->kind != SYN_NAME) {
		if (thing && e->kind != SYN_BAD) report_kind(c, e, takes, kind, "a value");
		if (thing) words_excuse(c, takes);
		return thing;
	}
	inst *into = inst_enter(c, value_in);
	named n;
	const char *word = expr_word(e);
	if (word && (text_same(word, "yes") || text_same(word, "no") || text_same(word, "pi")) &&
	    !names_find(c, word)) {
		inst_enter(c, into);
		if (thing) report_kind(c, e, takes, kind, "yes or no");
		return thing;
	}
	bool found = names_walk(c, e, &n);
	value v = {.kind = VALUE_BAD};
	if (found && n.used == e->names.n &&
	    (n.s->kind == SYM_STOCK || n.s->kind == SYM_PART || n.s->kind == SYM_PLACE))
		v = eval(c, e);
	inst_enter(c, into);
	if (!found) {
		words_excuse(c, takes);
		return true;
	}
	bool stock = v.kind == VALUE_STOCK, part = v.kind == VALUE_PART || v.kind == VALUE_PLACE;
	if (kind != TAKES_ANY && (thing || stock || part) && !(kind == TAKES_STOCK && stock) &&
	    !(kind == TAKES_PART && part)) {
		report_kind(c, e, takes, kind, stock ? "stock" : part ? "a part" : SYM_SPOKEN[n.s->kind]);
		words_excuse(c, takes);
		return true;
	}
	if (stock) names_add(c, expr_word(name), SYM_STOCK, name->at, v.stock);
	if (part) names_add(c, expr_word(name), SYM_PART, name->at, v.part);
	return stock || part;
}

/* The line of --set for what a placed assembly takes: `first.wide`, `tray[2].wide`, or `tray.wide` for every one. */
static const syn_line *set_line(ctx *c, const inst *in, const char *takes) {
	while (in->place->mirror) {
		const place_def *of = in->place->mirror;
		in = of->items.v[in->place->box->mirror->piece_of ? in->place->box->mirror->piece : in->number];
	}
	const char *one = arena_printf(c->mem, "%s.%s", in->name, takes), *every = one;
	const char *bracket = in->place->counted ? strrchr(in->name, '[') : NULL;
	if (bracket) every = arena_printf(c->mem, "%.*s.%s", (int)(bracket - in->name), in->name, takes);
	const syn_line *found = NULL;
	for (size_t i = 0; c->sets && i < c->sets->lines.n; i++) {
		const syn_line *line = c->sets->lines.v[i];
		const syn_expr *e = line_arg(line, NULL, 0);
		if (!e || e->kind != SYN_NAME || !line_arg(line, "=", 0)) continue;
		const char *said = expr_source(c, e);
		if (!text_same(said, one) && !text_same(said, every)) continue;
		LIST_PUSH(c->mem, &c->sets_used, line);
		found = line;
	}
	return found;
}

/* What the name is given when the assembly is placed as `p`, and where that was written; NULL: its own value. */
static const syn_expr *given_value(ctx *c, inst *in, const place_def *p, const syn_line *takes, inst **value_in) {
	const char *name = expr_word(line_arg(takes, NULL, 0));
	const syn_line *set = set_line(c, in, name), *given = line_in_block(p->line, name);
	*value_in = set ? c->plan_in : p->in;
	return set ? line_arg(set, "=", 0) : given ? line_arg(given, NULL, 0) : NULL;
}

static const place_def *place_original(const place_def *p) {
	while (p->mirror) p = p->mirror;
	return p;
}

const syn_expr *assembly_given(ctx *c, const sym *s) {
	if (!s->in->place || !s->in->place->assembly) return NULL;
	const syn_line *takes = takes_line(s->in->place->assembly, s->name);
	inst *value_in;
	const syn_expr *e = takes ? given_value(c, s->in, place_original(s->in->place), takes, &value_in) : NULL;
	return e || !takes ? e : line_arg(takes, "=", 0);
}

static void take(ctx *c, const place_def *p, const syn_line *takes) {
	const syn_expr *name = line_arg(takes, NULL, 0);
	if (!expr_word(name)) {
		if (name->kind != SYN_BAD) diag_error(c->diags, "plan-form", name->at, "a plain name belongs here");
		return;
	}
	const syn_line *given = line_in_block(p->line, expr_word(name));
	inst *value_in;
	const syn_expr *e = given_value(c, c->in, p, takes, &value_in);
	if (!e && !given) {
		e = line_arg(takes, "=", 0);
		value_in = c->in;
	}
	takes_kind kind = declared_kind(c, takes);
	if (!e) {
		words_excuse(c, takes);
		if (given) return; /* reported */
		diag *g =
			diag_error(c->diags, "plan-form", p->at, "`%s` is not told its `%s`", p->name, expr_word(name));
		diag_add_note(c->diags, g, takes->at, "the assembly takes it here, and has no value of its own for it");
		diag_add_help(c->diags, g, "write in its block: %s …", expr_word(name));
		return;
	}
	if (take_thing(c, takes, e, value_in, kind)) return;
	let_def *d = ARENA_NEW(c->mem, let_def);
	*d = (let_def){.name = expr_word(name),
		       .at = name->at,
		       .line = takes,
		       .value = e,
		       .in = c->in,
		       .value_in = value_in,
		       .taken = true};
	names_add(c, d->name, SYM_LET, d->at, d);
}

bool takes_fits(ctx *c, const let_def *d) {
	const value *v = d->result;
	takes_kind kind = declared_kind(c, d->line);
	bool fits = true, number = v->kind == VALUE_QUANT && dim_same(v->q.dim, DIM_NUMBER);
	if (kind == TAKES_LENGTH) fits = v->kind == VALUE_QUANT && dim_same(v->q.dim, DIM_LENGTH);
	if (kind == TAKES_NUMBER) fits = number;
	if (kind == TAKES_COUNT) fits = number && quant_is_exact(v->q) && v->q.r.den == 1 && v->q.r.num >= 0;
	if (kind == TAKES_TRUTH) fits = v->kind == VALUE_TRUTH;
	if (kind == TAKES_TEXT) fits = v->kind == VALUE_TEXT;
	if (fits) return true;
	report_kind(c, d->value, d->line, kind,
		    v->kind == VALUE_QUANT   ? arena_printf(c->mem, "%s, %s", dim_spoken(c->mem, v->q.dim),
							    quant_show(c->mem, v->q, c->m->measures))
		    : v->kind == VALUE_TRUTH ? "yes or no"
					     : "a text");
	return false;
}

static bool shares_frame(ctx *c, const assembly_def *a) {
	for (size_t i = 0; i < a->line->block.n; i++) {
		const syn_line *line = a->line->block.v[i];
		if (line_is(line, "takes") && line_arg(line, ":", 0) && declared_kind(c, line) == TAKES_PART)
			return true;
	}
	return false;
}

/* What an assembly takes must not be called as what places it. */
static void check_takes(ctx *c, assembly_def *a) {
	if (a->read) return;
	a->read = true;
	for (size_t i = 0; i < a->line->block.n; i++) {
		const syn_line *line = a->line->block.v[i];
		const syn_expr *name = line_is(line, "takes") ? line_arg(line, NULL, 0) : NULL;
		if (!name || !expr_word(name) || !words_known(BLOCK_PLACE, expr_word(name))) continue;
		diag *g = diag_error(c->diags, "plan-name-twice", name->at,
				     "`%s` is a word that places an assembly, and cannot be what it takes",
				     expr_word(name));
		diag_add_help(c->diags, g, "give it another name");
	}
}

/* ---- the lines of `place` ------------------------------------------------------------------------------- */

static bool is_taken_line(ctx *c, const place_def *p, const syn_line *line) {
	if (!line->word || words_known(BLOCK_PLACE, line->word) || !takes_line(p->assembly, line->word)) return false;
	if (line_args(line, NULL) == 1 && line->clauses.n == 1 && !line->has_block) return true;
	if (line_args(line, NULL) && line_arg(line, NULL, line_args(line, NULL) - 1)->kind == SYN_BAD) return true;
	diag *g = diag_error(c->diags, "plan-form", line->word_at, "`%s` takes one value", line->word);
	diag_add_help(c->diags, g, "write it like this: %s …", line->word);
	return true;
}

size_t assembly_takes(const assembly_def *a, const char **out, size_t most) {
	size_t n = 0;
	for (size_t i = 0; i < a->line->block.n && n < most; i++) {
		const syn_line *l = a->line->block.v[i];
		const char *word = line_is(l, "takes") ? expr_word(line_arg(l, NULL, 0)) : NULL;
		if (word) out[n++] = word;
	}
	return n;
}

static void unknown_line(ctx *c, const place_def *p, const syn_line *line) {
	const char *known[64];
	size_t n = words_list(BLOCK_PLACE, known, 32);
	const assembly_def *a = p->assembly;
	textbuf t = textbuf_begin(c->mem);
	size_t taken = assembly_takes(a, known + n, 64 - n);
	for (size_t i = 0; i < taken; i++) textbuf_printf(&t, "%s%s", i ? ", " : "", known[n + i]);
	n += taken;
	diag *g = diag_error(c->diags, "plan-unknown-word", line->word ? line->word_at : line->at,
			     "`%s` takes no `%s`, and it is no word that places it", a->name,
			     line->word ? line->word : "value");
	const char *near = words_other(line->word, known, n);
	if (!near && line->word) near = text_nearest(line->word, known, n);
	diag_add_note(c->diags, g, a->at, "the assembly is here");
	if (near)
		diag_add_help(c->diags, g, "did you mean `%s`?", near);
	else if (words_known(BLOCK_PART, line->word))
		diag_add_help(c->diags, g,
			      "`%s` is said of a part: write it in the block of that part, in the assembly",
			      line->word);
	else if (taken)
		diag_add_help(c->diags, g, "it takes: %s", t.v);
	else
		diag_add_help(c->diags, g, "it takes nothing");
}

void place_lines(ctx *c, const place_def *p, line_list *holds) {
	for (size_t i = 0; i < p->line->block.n; i++) {
		const syn_line *line = p->line->block.v[i];
		bool first = line_in_block(p->line, line->word) == line;
		if (p->assembly && is_taken_line(c, p, line)) {
			if (first && !p->mirror) continue;
			diag *g;
			if (p->mirror) {
				g = diag_error(c->diags, "plan-form", line->at, "a mirror image takes what `%s` takes",
					       p->mirror->name);
				diag_add_help(c->diags, g, "take the line away");
				continue;
			}
			g = diag_error(c->diags, "plan-twice", line->word_at, "`%s` stands twice in this block",
				       line->word);
			diag_add_note(c->diags, g, line_in_block(p->line, line->word)->word_at, "first here");
			continue;
		}
		if (!words_known(BLOCK_PLACE, line->word)) {
			if (p->assembly) unknown_line(c, p, line);
			continue;
		}
		if (words_check(c, BLOCK_PLACE, line)) LIST_PUSH(c->mem, holds, line);
	}
}

/* ---- which and how many ----------------------------------------------------------------------------------- */

static const syn_line *counting_line(const place_def *p) {
	static const char *const WORDS[] = {"spaced", "pitched", "stacked", "corners"};
	for (size_t i = 0; i < sizeof WORDS / sizeof *WORDS; i++) {
		const syn_line *line = line_in_block(p->line, WORDS[i]);
		if (line) return line;
	}
	return NULL;
}

static assembly_def *named_assembly(ctx *c, const syn_expr *e) {
	named n;
	const char *word = expr_word(e);
	if (word && !names_find(c, word)) {
		names_unknown(c, word, e->at, "an assembly belongs here", (names_wanted){1u << SYM_ASSEMBLY, 0});
		return NULL;
	}
	if (e->kind == SYN_NAME && names_walk(c, e, &n) && n.s->kind == SYM_ASSEMBLY && n.used == e->names.n)
		return n.s->def;
	if (e->kind == SYN_BAD) return NULL;
	diag *g = diag_error(c->diags, "plan-value", e->at, "the name of an assembly belongs here");
	diag_add_help(c->diags, g, "an assembly stands beside the cabinet: assembly drawer { … }");
	return NULL;
}

static bool recursion(ctx *c, const place_def *p) {
	for (const inst *in = p->in; in; in = in->parent) {
		if (!in->place || in->place->assembly != p->assembly) continue;
		textbuf t = textbuf_begin(c->mem);
		LIST(const char *) ring = {0};
		for (const inst *k = p->in; k != in->parent; k = k->parent)
			if (k->place && k->place->assembly) LIST_PUSH(c->mem, &ring, k->place->assembly->name);
		for (size_t i = ring.n; i-- > 0;) textbuf_printf(&t, "%s -> ", ring.v[i]);
		textbuf_add(&t, p->assembly->name);
		diag *g = diag_error(c->diags, "plan-circle", p->at, "an assembly cannot stand in itself: %s", t.v);
		diag_add_note(c->diags, g, p->assembly->at, "`%s` is here", p->assembly->name);
		return true;
	}
	return false;
}

static bool mirror_of(ctx *c, place_def *p, const syn_line *line, size_t *n) {
	const syn_expr *of = line_arg(line, "of", 0), *in = line_arg(line, "in", 0);
	named found;
	if (!of || of->kind != SYN_NAME) {
		if (!of || of->kind != SYN_BAD)
			diag_error(c->diags, "plan-value", of ? of->at : line->at, "something placed belongs here");
		return false;
	}
	if (!names_walk(c, of, &found)) return false;
	if (found.s->kind != SYM_PLACE || found.used != of->names.n || !((place_def *)found.s->def)->assembly) {
		diag *g = diag_error(c->diags, "plan-value", of->at,
				     "only a placed assembly has an assembly as its mirror image");
		diag_add_note(c->diags, g, found.s->at, "`%s` is here", found.s->name);
		return false;
	}
	p->mirror = found.s->def;
	p->assembly = p->mirror->assembly;
	p->counted = !found.inst;
	*n = found.inst ? 1 : p->mirror->items.n;
	p->box->mirror =
		found.inst && p->mirror->counted ? part_piece(c, p->mirror->box, found.inst->number) : p->mirror->box;
	if (!in) {
		diag *g =
			diag_error(c->diags, "plan-form", line->word_at, "the mirror image of an assembly wants `in`");
		diag_add_help(c->diags, g, "say along which direction: mirror of %s about … in width", found.s->name);
		return false;
	}
	return eval_axis(c, in, &p->mirror_axis);
}

static bool find_assembly(ctx *c, place_def *p, size_t *n) {
	const syn_line *mirror = line_in_block(p->line, "mirror"), *many = counting_line(p);
	const syn_expr *e = line_arg(p->line, ":", 0);
	*n = 1;
	assembly_def *said = e ? named_assembly(c, e) : NULL;
	if (e && !said) return false;
	p->assembly = said;
	if (mirror) {
		if (!mirror_of(c, p, mirror, n)) return false;
		if (!said || said == p->assembly) return true;
		diag *g = diag_error(c->diags, "plan-form", e->at, "a mirror image of `%s` is of the assembly `%s`",
				     p->mirror->name, p->assembly->name);
		diag_add_help(c->diags, g, "leave the assembly away");
		return false;
	}
	if (!e) {
		diag *g = diag_error(c->diags, "plan-form", p->at, "`%s` does not say what is placed", p->name);
		diag_add_help(c->diags, g, "name the assembly: place %s : ASSEMBLY { … }", p->name);
		return false;
	}
	int64_t count = 4;
	p->counted = many != NULL;
	if (many && !line_is(many, "corners") &&
	    (!line_arg(many, NULL, 0) || !eval_count(c, line_arg(many, NULL, 0), 1, MOST_PLACED, &count)))
		return false;
	if (many) *n = (size_t)count;
	return true;
}

void assembly_expand(ctx *c, place_def *p) {
	size_t n;
	if (!find_assembly(c, p, &n) || recursion(c, p)) {
		p->bad = true;
		p->box->structure_bad = true;
		return;
	}
	check_takes(c, p->assembly);
	p->shares = shares_frame(c, p->assembly);
	const place_def *from = place_original(p); /* whose lines give what is taken */
	for (uint32_t k = 0; k < n; k++) {
		inst *in = assembly_inst(c, p, k);
		if (!in) break;
		if (p->mirror) in->turned[p->mirror_axis] = true;
		if (p->mirror && p->mirror->items.n) {
			const inst *image = p->mirror->items.v[p->box->mirror->piece_of ? p->box->mirror->piece : k];
			for (int a = 0; a < 3; a++) in->turned[a] = in->turned[a] != image->turned[a];
		}
		inst *before = inst_enter(c, in);
		syn_lines rest = {0};
		for (size_t i = 0; i < p->assembly->line->block.n; i++) {
			syn_line *line = p->assembly->line->block.v[i];
			if (!line_is(line, "takes"))
				LIST_PUSH(c->mem, &rest, line);
			else if (words_check(c, BLOCK_ASSEMBLY, line))
				take(c, from, line);
		}
		declare_lines(c, &rest, BLOCK_ASSEMBLY);
		inst_enter(c, before);
	}
}
