/* Extra pieces: cut from the plan's stock with everything else, and placed nowhere in the cabinet. */
#include <math.h>

#include "compiler/context.h"
#include "runtime/base/text.h"

enum { MOST_PIECES = 500 }; /* of one, as of a repeated part */

void extra_declare(ctx *c, const syn_line *line) {
	const syn_expr *e = line_arg(line, NULL, 0);
	const char *name = expr_word(e);
	if (!name) {
		if (e->kind != SYN_BAD) diag_error(c->diags, "plan-form", e->at, "an extra piece has a plain name");
		return;
	}
	extra_def *d = ARENA_NEW(c->mem, extra_def);
	*d = (extra_def){.name = name, .at = e->at, .line = line, .first = MODEL_NONE};
	if (names_add(c, name, SYM_EXTRA, d->at, d)) LIST_PUSH(c->mem, &c->extras, d);
}

/* A length that the piece says: more than nothing. */
static bool side(ctx *c, const syn_line *line, const char *link, rat *mm) {
	const syn_expr *e = line_arg(line, link, 0);
	if (!eval_length(c, e, mm)) return false;
	if (rat_sign(*mm) > 0) return true;
	diag_error(c->diags, "plan-value", e->at, "`%s` must be more than nothing", line->word);
	return false;
}

static void help_sides(ctx *c, diag *g, bool sheet) {
	const char *how = sheet ? "write `size 300 mm x 60 mm`, first along the grain" : "write `length 1180 mm`";
	diag_add_help(c->diags, g, "%s", example_shown(c->m, how));
}

/* Of a sheet `size`, first along the grain; of a bar or pipe `length`. The other word would say nothing. */
static bool sides(ctx *c, const extra_def *d, const line_list *good, const model_stock *s, rat size[3]) {
	bool sheet = s->kind == STOCK_SHEET;
	const char *word = sheet ? "size" : "length", *other = sheet ? "length" : "size";
	const syn_line *line = lines_find(good, word), *wrong = lines_find(good, other);
	if (wrong) {
		diag *g = diag_error(c->diags, "plan-form", wrong->word_at, "what is cut from a %s has no `%s`",
				     MODEL_STOCK_WORD[s->kind], other);
		diag_add_note(c->diags, g, s->at, "`%s` is here", s->name);
		help_sides(c, g, sheet);
		return false;
	}
	if (!line) {
		if (good->n < d->line->block.n) return false; /* reported: it may have been this one */
		diag *g = diag_error(c->diags, "plan-form", d->at, "`%s` does not say its `%s`", d->name, word);
		help_sides(c, g, sheet);
		return false;
	}
	if (!side(c, line, NULL, &size[0]) || (sheet && !side(c, line, "x", &size[1]))) return false;
	if (sheet) {
		size[2] = s->thick.mm;
	} else {
		size[1] = s->kind == STOCK_PIPE ? s->outside.mm : s->section[0].mm;
		size[2] = s->kind == STOCK_PIPE ? s->outside.mm : s->section[1].mm;
	}
	return rat_ok(size[1]) && rat_ok(size[2]); /* else its stock was told of */
}

static bool turned_freely(ctx *c, const line_list *good) {
	const syn_line *line = lines_find(good, "grain");
	if (!line) return false;
	const syn_expr *e = line_arg(line, NULL, 0);
	if (text_same(expr_word(e), "any")) return true;
	if (e->kind == SYN_BAD) return false;
	diag *g = diag_error(c->diags, "plan-value", e->at, "the grain of an extra piece runs along its first side");
	diag_add_help(c->diags, g, "`grain any` lets it lie either way; or write the two sides in the other order");
	return false;
}

static int64_t pieces(ctx *c, const line_list *good) {
	const syn_line *line = lines_find(good, "pieces");
	int64_t n = 1;
	return line && !eval_count(c, line_arg(line, NULL, 0), 1, MOST_PIECES, &n) ? 1 : n;
}

static void read_extra(ctx *c, extra_def *d) {
	line_list good = {0};
	rat size[3];
	words_check_block(c, BLOCK_EXTRA, d->line, &good);
	const syn_line *note = lines_find(&good, "note");
	bool free_grain = turned_freely(c, &good);
	d->n = (uint32_t)pieces(c, &good);
	stock_def *of = eval_stock(c, line_arg(d->line, ":", 0), 1u << STOCK_SHEET | 1u << STOCK_BAR | 1u << STOCK_PIPE,
				   "stock of kind sheet, bar or pipe");
	if (!of || !sides(c, d, &good, &c->m->stocks.v[of->row], size)) return;
	const model_stock *s = &c->m->stocks.v[of->row];
	model_part p = {.kind = PART_EXTRA,
			.group = d->name,
			.stock = of->row,
			.at = d->at,
			.thick_axis = AXIS_Z,
			.long_axis = s->kind == STOCK_SHEET && rat_lt(size[0], size[1]) ? AXIS_Y : AXIS_X,
			.grain_axis = AXIS_X,
			.grain_matters = s->kind == STOCK_SHEET && s->grain != GRAIN_NONE && !free_grain,
			.work_face = FACE_TOP,
			.hinge = MODEL_NONE,
			.latch = MODEL_NONE};
	p.note = note ? eval_words(c, line_arg(note, NULL, 0)) : NULL;
	for (int a = 0; a < 3; a++) {
		p.box.lo[a] = rat_int(0);
		p.box.hi[a] = size[a];
	}
	for (int f = 0; f < 6; f++) p.face_at[f] = d->at;
	p.blank = p.box;
	d->first = (model_ref)c->extra_rows.n;
	for (uint32_t i = 0; i < d->n; i++) {
		p.number = d->n > 1 ? i + 1 : 0;
		p.name = d->n > 1 ? arena_printf(c->mem, "%s.%u", d->name, i + 1) : d->name;
		LIST_PUSH(c->mem, &c->extra_rows, p);
	}
}

void extras_resolve(ctx *c) {
	model *m = c->m;
	for (size_t i = 0; i < c->extras.n; i++) read_extra(c, c->extras.v[i]);
	size_t n = m->parts.n + c->extra_rows.n;
	model_part *rows = ARENA_MANY(c->mem, model_part, n + 1);
	for (size_t i = 0; i < n; i++) {
		bool extra = i >= m->parts.n;
		rows[i] = extra ? c->extra_rows.v[i - m->parts.n] : m->parts.v[i];
	}
	for (size_t i = 0; i < c->extras.n; i++) {
		extra_def *d = c->extras.v[i];
		if (d->first == MODEL_NONE) continue;
		d->first += (model_ref)m->parts.n;
		for (uint32_t k = 0; k < d->n; k++) rows[d->first + k].group_first = d->first;
	}
	m->parts.v = rows;
	m->parts.room = n + 1;
	m->n_extra = c->extra_rows.n;
}

const extra_def *extra_named(ctx *c, const syn_expr *e) {
	const char *word = expr_word(e);
	const sym *s = word ? names_find(c, word) : NULL;
	return s && s->kind == SYM_EXTRA ? s->def : NULL;
}
