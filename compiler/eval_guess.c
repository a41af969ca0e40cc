/* What an expression would be, from its form alone: so that the value that a choice does not take need not be worked
 * out, and may be one that cannot be (a division by what is then zero, a part that then is not there). */
#include "compiler/eval_inner.h"
#include "runtime/base/text.h"

/* Names that lean on names twice over would be looked at again and again. */
enum { MOST_STEPS = 500 };

static bool guess(ctx *c, const syn_expr *e, int *left, value *out);

static bool of_dim(dim d, value *out) {
	*out = value_quant((quant){.dim = d, .r = rat_int(1), .d = 1});
	return true;
}

static bool guess_name(ctx *c, const syn_expr *e, int *left, value *out) {
	const char *first = e->names.v[0].v, *last = e->names.v[e->names.n - 1].v;
	if (text_same(first, "yes") || text_same(first, "no")) return *out = value_truth(true), true;
	if (text_same(first, "pi")) return of_dim(DIM_NUMBER, out);
	if (e->names.v[0].index || e->names.n > 2) return false;
	const sym *s = names_find(c, first);
	if (!s) return false;
	if (s->kind == SYM_LET) {
		const let_def *d = s->def;
		if (d->done && d->bad) return false;
		if (d->done) return *out = *d->result, true;
		if (!d->value || e->names.n > 1) return false;
		inst *before = inst_enter(c, d->value_in);
		bool known = guess(c, d->value, left, out);
		inst_enter(c, before);
		return known;
	}
	if (e->names.n == 1) {
		static const value_kind KINDS[SYM_KIND_COUNT] = {[SYM_STOCK] = VALUE_STOCK,
								 [SYM_PART] = VALUE_PART,
								 [SYM_PATTERN] = VALUE_PATTERN,
								 [SYM_TOOL] = VALUE_TOOL,
								 [SYM_AIR] = VALUE_AIR};
		*out = (value){.kind = KINDS[s->kind]};
		return out->kind != VALUE_BAD;
	}
	face f;
	axis a;
	bool placed = s->kind == SYM_PART || s->kind == SYM_CABINET;
	if (e->names.n != 2 || !placed) return false;
	if (word_face(last, &f) || word_axis(last, &a) || text_same(last, "thick")) return of_dim(DIM_LENGTH, out);
	if (text_same(last, "mass")) return of_dim(DIM_MASS, out);
	return false;
}

static bool guess_call(ctx *c, const syn_expr *e, int *left, value *out) {
	static const struct {
		const char *name;
		char gives; /* t truth, n number, a angle, s the same as its first argument */
	} F[] = {{"all", 't'},	 {"any", 't'},	 {"not", 't'},	{"count", 'n'}, {"sin", 'n'},
		 {"cos", 'n'},	 {"tan", 'n'},	 {"asin", 'a'}, {"acos", 'a'},	{"atan", 'a'},
		 {"atan2", 'a'}, {"min", 's'},	 {"max", 's'},	{"abs", 's'},	{"sum", 's'},
		 {"hypot", 's'}, {"round", 's'}, {"ceil", 's'}, {"floor", 's'}};
	for (size_t i = 0; i < sizeof F / sizeof *F; i++) {
		if (!text_same(F[i].name, e->text)) continue;
		if (F[i].gives == 't') return *out = value_truth(true), true;
		if (F[i].gives != 's') return of_dim(F[i].gives == 'n' ? DIM_NUMBER : DIM_ANGLE, out);
		return e->args.n && guess(c, e->args.v[0], left, out);
	}
	return false;
}

static bool guess(ctx *c, const syn_expr *e, int *left, value *out) {
	value a, b;
	if (--*left < 0) return false;
	switch (e->kind) {
	case SYN_QUANT:
		return of_dim(e->value.dim, out);
	case SYN_TEXT:
		return *out = (value){.kind = VALUE_TEXT, .text = ""}, true;
	case SYN_NAME:
		return guess_name(c, e, left, out);
	case SYN_CALL:
		return guess_call(c, e, left, out);
	case SYN_NEGATE:
		return guess(c, e->a, left, out);
	case SYN_IF:
		return guess(c, e->b, left, out) || guess(c, e->other, left, out);
	case SYN_BINARY:
		if (is_comparison(e)) return *out = value_truth(true), true;
		if (!guess(c, e->a, left, &a) || !guess(c, e->b, left, &b)) return false;
		if (a.kind != VALUE_QUANT || b.kind != VALUE_QUANT) return false;
		a.q = (quant){.dim = a.q.dim, .r = rat_int(1), .d = 1};
		b.q = (quant){.dim = b.q.dim, .r = rat_int(1), .d = 1};
		*out = value_quant(e->op[0] == '*' ? quant_mul(a.q, b.q) : e->op[0] == '/' ? quant_div(a.q, b.q) : a.q);
		return true;
	case SYN_PAIR:
	case SYN_BAD:
		break;
	}
	return false;
}

bool value_guess(ctx *c, const syn_expr *e, value *out) {
	int left = MOST_STEPS;
	return guess(c, e, &left, out);
}
