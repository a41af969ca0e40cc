/* What a stock is sold as: trim of its edges, further sizes, offcuts on hand. */
#include "compiler/context.h"
#include "runtime/base/text.h"

/* ---- trim ------------------------------------------------------------------------------------- */

/* Which edges a word names, one bit for each; 0: reported. */
static unsigned edges_of(ctx *c, const syn_expr *e) {
	static const char *const WORDS[] = {"left", "right", "bottom", "top", "long", "short"};
	enum { N = sizeof WORDS / sizeof *WORDS };
	const char *word = expr_word(e);
	for (int k = 0; k < N; k++) {
		if (!text_same(word, WORDS[k])) continue;
		return k < EDGES    ? 1u << k
		       : k == EDGES ? 1u << EDGE_BOTTOM | 1u << EDGE_TOP
				    : 1u << EDGE_LEFT | 1u << EDGE_RIGHT;
	}
	if (e->kind == SYN_BAD) return 0;
	diag *g = diag_error(c->diags, "plan-value", e->at, "`%s` is no edge of a sheet", expr_source(c, e));
	diag_add_choice(c->diags, g, word, WORDS, N, "there are");
	return 0;
}

static void set_trim(ctx *c, const model_length *from, model_length *to) {
	if (!span_known(to->at)) {
		*to = *from;
		return;
	}
	diag *g = diag_error(c->diags, "plan-twice", from->at, "what this edge loses is said twice");
	diag_add_note(c->diags, g, to->at, "first here");
}

/* `trim 10 mm` of all edges that have no line of their own, `trim 20 mm on long`, `trim 5 mm on left, top`. */
void stock_read_trims(ctx *c, const line_list *good, model_length *all, model_length on[EDGES]) {
	const model_length unsaid = {.mm = rat_poison(), .at = span_none()};
	*all = unsaid;
	for (int k = 0; k < EDGES; k++) on[k] = unsaid;
	for (size_t i = 0; i < good->n; i++) {
		const syn_line *line = good->v[i];
		if (!line_is(line, "trim")) continue;
		model_length one = unsaid;
		stock_read_length(c, line, 0, true, &one);
		if (!line_args(line, "on")) set_trim(c, &one, all);
		unsigned edges = 0;
		for (size_t k = 0; k < line_args(line, "on"); k++) edges |= edges_of(c, line_arg(line, "on", k));
		for (int k = 0; k < EDGES; k++)
			if (edges & 1u << k) set_trim(c, &one, &on[k]);
	}
}

/* ---- further sizes ------------------------------------------------------------------------------ */

/* A positive length at that place of the line. */
static bool size_of(ctx *c, const syn_line *line, size_t nth, model_length *out) {
	const syn_expr *e = stock_arg(line, nth);
	*out = (model_length){.mm = rat_poison(), .at = e ? e->at : span_none()};
	rat mm;
	if (!e || !eval_length(c, e, &mm)) return false;
	if (rat_sign(mm) <= 0) {
		diag_error(c->diags, "plan-value", e->at, "a size must be more than nothing");
		return false;
	}
	out->mm = mm;
	return true;
}

/* Bars have two ends alike, rolls lose what squares the outer one. */
static void set_size_trim(ctx *c, const model_stock *s, const line_list *good, model_size *z) {
	stock_read_trims(c, good, &z->trim, z->trim_on);
	for (size_t i = 0; s->kind != STOCK_SHEET && i < good->n; i++) {
		const syn_expr *e = line_is(good->v[i], "trim") ? line_arg(good->v[i], "on", 0) : NULL;
		if (!e) continue;
		bool ends = model_by_length(s->kind);
		diag *g = diag_error(c->diags, "plan-form", e->at,
				     ends ? "both ends of a %s lose the same" : "a %s loses its outer end alone",
				     model_whole_word(s->kind));
		diag_add_help(c->diags, g, "write `trim` with a length alone");
	}
}

/* `also 1500 mm x 1500 mm { price 52 }`, `offcut 820 mm x 610 mm { on_hand 2 }`. */
static void resolve_size(ctx *c, const syn_line *line, model_stock *s) {
	enum { MOST = 40 };
	bool offcut = line_is(line, "offcut"), good_size = true;
	if (s->sizes.n >= MOST) {
		if (s->sizes.n == MOST)
			diag_error(c->diags, "plan-size", line->word_at,
				   "a stock has at most %d further sizes and offcuts", MOST);
		return;
	}
	model_size z = {.offcut = offcut, .price_cents = -1, .at = line->word_at};
	line_list good = {0};
	words_check_block(c, offcut ? BLOCK_OFFCUT : BLOCK_SIZE, line, &good);
	for (size_t i = 0; i < (s->kind == STOCK_SHEET ? 2 : 1); i++)
		good_size = size_of(c, line, i, &z.size[i]) && good_size;
	set_size_trim(c, s, &good, &z);
	z.on_hand = stock_read_count(c, &good, "on_hand", 0, offcut ? 1 : -1);
	const syn_line *price = lines_find(&good, "price");
	if (price && !eval_money(c, line_arg(price, NULL, 0), &z.price_cents)) z.price_cents = -1;
	if (good_size) LIST_PUSH(c->mem, &s->sizes, z);
}

void stock_read_sizes(ctx *c, const line_list *good, model_stock *s) {
	s->sizes.n = 0;
	for (size_t i = 0; i < good->n; i++)
		if (line_is(good->v[i], "also") || line_is(good->v[i], "offcut")) resolve_size(c, good->v[i], s);
}

/* Can the one be cut from the other, either way round? A size that is not known takes everything. */
static bool cut_from(const model_length *whole, const model_length *piece, bool flat) {
	if (!rat_ok(whole[0].mm) || (flat && !rat_ok(whole[1].mm))) return true;
	if (!flat) return rat_le(piece[0].mm, whole[0].mm);
	return rat_le(rat_max(piece[0].mm, piece[1].mm), rat_max(whole[0].mm, whole[1].mm)) &&
	       rat_le(rat_min(piece[0].mm, piece[1].mm), rat_min(whole[0].mm, whole[1].mm));
}

/* An offcut comes from something that this stock is sold as. */
void stock_offcuts_fit(ctx *c, const model_stock *s) {
	bool flat = s->kind == STOCK_SHEET;
	for (size_t i = 0; i < s->sizes.n; i++) {
		const model_size *z = &s->sizes.v[i];
		bool fits = !z->offcut || cut_from(s->size, z->size, flat);
		for (size_t k = 0; !fits && k < s->sizes.n; k++)
			fits = !s->sizes.v[k].offcut && cut_from(s->sizes.v[k].size, z->size, flat);
		if (fits) continue;
		diag *g = diag_error(c->diags, "plan-value", z->size[0].at,
				     "this offcut is larger than any size of `%s`", s->name);
		diag_add_note(c->diags, g, span_known(s->size[0].at) ? s->size[0].at : s->at, "its own size is this");
		diag_add_help(c->diags, g,
			      "write the size that it came from as a line of its own, beginning with `also`");
	}
}
