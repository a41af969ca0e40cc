/* Layout: parts and their stock, stock on hand, the saw. */
#include <math.h>

#include "compiler/check.h"
#include "compiler/check_limits.h"
#include "compiler/check_util.h"
#include "compiler/example.h"
#include "compiler/layout.h"
#include "compiler/layout_sizes.h"
#include "compiler/shopping.h"

static rat beyond(rat part, rat room) { return rat_max(rat_sub(part, room), rat_int(0)); }

/* "by 80 mm in length and 12 mm in width" */
static const char *by_how_much(const model *m, diags *d, rat w, rat h) {
	const char *lw = check_length(m, d, w), *lh = check_length(m, d, h);
	if (rat_sign(h) == 0) return arena_printf(d->mem, "by %s along the sheet", lw);
	if (rat_sign(w) == 0) return arena_printf(d->mem, "by %s across the sheet", lh);
	return arena_printf(d->mem, "by %s along the sheet and %s across it", lw, lh);
}

static const char *size_words(const model *m, diags *d, rat w, rat h) {
	return arena_printf(d->mem, "%s x %s", check_length(m, d, w), check_length(m, d, h));
}

typedef struct miss { /* by how much a part is larger than a size of its stock */
	rat w, h;
	const layout_size *size;
} miss;

static bool nearer(miss a, miss b) { return !b.size || rat_lt(rat_add(a.w, a.h), rat_add(b.w, b.h)); }

/* The size that it misses by least, the kinder way round; nothing missed when it fits one. */
static miss least_miss(const layout_sizes *l, rat w, rat h, bool turnable) {
	miss best = {rat_int(0), rat_int(0), NULL};
	for (size_t i = 0; i < l->v.n; i++) {
		const layout_size *z = &l->v.v[i];
		rat room_w = layout_size_w(z), room_h = layout_size_h(z);
		miss plain = {beyond(w, room_w), beyond(h, room_h), z},
		     turned = {beyond(h, room_w), beyond(w, room_h), z};
		if (nearer(plain, best)) best = plain;
		if (turnable && nearer(turned, best)) best = turned;
	}
	return best;
}

static bool nothing(miss a) { return rat_sign(a.w) == 0 && rat_sign(a.h) == 0; }

/* "a sheet of `ply`", and where there are several sizes "every size of `ply`". */
static const char *largest_words(diags *d, const model_stock *s, size_t sizes) {
	if (sizes > 1) return arena_printf(d->mem, "every size of `%s`, the nearest", s->name);
	return arena_printf(d->mem, "a %s of `%s`", MODEL_STOCK_WORD[s->kind], s->name);
}

static void sheet_too_small(const model *m, diags *d) {
	for (size_t i = 0; i < model_rows(m); i++) {
		const model_part *p = &m->parts.v[i];
		rat w, h;
		bool turnable;
		if (!layout_part_on_sheet(m, p, &w, &h, &turnable)) continue;
		const model_stock *s = &m->stocks.v[p->stock];
		layout_sizes l = layout_sizes_of(d->mem, m, p->stock, 1);
		miss by = least_miss(&l, w, h, turnable);
		if (!by.size || nothing(by)) continue;
		const layout_size *z = by.size;
		diag *g = diag_error(d, "sheet-too-small", p->at, "`%s`, %s as cut, is larger than %s %s", p->name,
				     size_words(m, d, w, h), largest_words(d, s, l.v.n), by_how_much(m, d, by.w, by.h));
		const char *trim = rat_eq(layout_size_w(z), z->w) && rat_eq(layout_size_h(z), z->h)
					   ? ""
					   : arena_printf(d->mem, ", %s inside its trim",
							  size_words(m, d, layout_size_w(z), layout_size_h(z)));
		diag_add_note(d, g, z->at, "the %s is %s%s", z->offcut ? "offcut" : "sheet",
			      size_words(m, d, z->w, z->h), trim);
		if (!turnable && nothing(least_miss(&l, w, h, true)))
			diag_add_help(d, g, "it fits across the grain: write `grain any` in the part if that may be");
		else
			diag_add_help(d, g, "use a larger sheet, or join the part from two");
	}
}

static void bar_too_short(const model *m, diags *d) {
	for (size_t i = 0; i < model_rows(m); i++) {
		const model_part *p = &m->parts.v[i];
		if (!model_part_made(m, p) || !model_by_length(m->stocks.v[p->stock].kind)) continue;
		const model_stock *s = &m->stocks.v[p->stock];
		rat length = box_size(p->blank, p->long_axis);
		if (!rat_ok(length)) continue;
		layout_sizes l = layout_sizes_of(d->mem, m, p->stock, 1);
		const layout_size *z = NULL; /* the one with most room */
		for (size_t k = 0; k < l.v.n; k++)
			if (!z || rat_lt(layout_size_w(z), layout_size_w(&l.v.v[k]))) z = &l.v.v[k];
		if (!z || rat_le(length, layout_size_w(z))) continue;
		const char *word = MODEL_STOCK_WORD[s->kind];
		diag *g = diag_error(d, "bar-too-short", p->at, "`%s`, %s as cut, is longer than %s by %s", p->name,
				     check_length(m, d, length), largest_words(d, s, l.v.n),
				     check_length(m, d, rat_sub(length, layout_size_w(z))));
		diag_add_note(d, g, z->at, "the %s is %s, %s inside its trim", z->offcut ? "offcut" : word,
			      check_length(m, d, z->w), check_length(m, d, layout_size_w(z)));
		diag_add_help(d, g, "use a longer %s, or splice the part from two", word);
	}
}

/* Several sizes, all of a limited number: what found no place. */
static void left_over(const model *m, diags *d, const model_stock_count *c, const char *rule) {
	const model_stock *s = &m->stocks.v[c->stock];
	const model_part *first = &m->parts.v[c->left.v[0]];
	const char *more =
		c->left.n > 1 ? arena_printf(d->mem, " and %zu more part%s", c->left.n - 1, c->left.n == 2 ? "" : "s")
			      : "";
	diag *g = diag_error(d, rule, s->at, "`%s`%s of `%s` %s no place on what is on hand", first->name, more,
			     s->name, c->left.n > 1 ? "find" : "finds");
	diag_add_note(d, g, first->at, "this part is left over");
	const char *measure = s->kind == STOCK_SHEET ? "area" : "length";
	if (c->left_least >= c->left.n)
		diag_add_note(d, g, span_none(),
			      "no layout leaves fewer over: they need more %s than there is of what they fit", measure);
	else if (c->left_least)
		diag_add_note(d, g, span_none(),
			      "by %s no layout leaves fewer than %u over; it is not proven that all of these must",
			      measure, c->left_least);
	else
		diag_add_note(d, g, span_none(), "there is enough %s: it is not proven that no other layout holds %s",
			      measure, c->left.n > 1 ? "them" : "it");
	diag_add_help(d, g, "leave `on_hand` out at a size that can be bought, or make some parts of another stock");
}

/* Of one size: more are needed than there are. */
static void too_few(const model *m, diags *d, const model_stock_count *c, const char *rule) {
	const model_stock *s = &m->stocks.v[c->stock];
	const char *word = model_whole_word(s->kind);
	diag *g = diag_error(d, rule, s->at, "%u %s%s of `%s` %s needed, %lld on hand: %lld too few", c->used, word,
			     c->used == 1 ? "" : "s", s->name, c->used == 1 ? "is" : "are", (long long)s->on_hand,
			     (long long)c->used - (long long)s->on_hand);
	long long least = (long long)c->cost_bound;
	if (least > s->on_hand)
		diag_add_note(d, g, span_none(), "no layout needs fewer than %lld", least);
	else
		diag_add_note(d, g, span_none(), "it is proven only that fewer than %lld do not do", least);
	diag_add_help(d, g, "raise `on_hand` or leave it out to buy more, or make some parts of another stock");
}

static void count_on_hand(const model *m, diags *d, model_stock_kind kind, const char *rule) {
	for (size_t i = 0; i < m->layout.counts.n; i++) {
		const model_stock_count *c = &m->layout.counts.v[i];
		const model_stock *s = &m->stocks.v[c->stock];
		if (s->kind != kind) continue;
		if (c->left.n) left_over(m, d, c, rule);
		if (c->by != MEASURE_COUNT || s->on_hand < 0 || (int64_t)c->used <= s->on_hand) continue;
		too_few(m, d, c, rule);
	}
}

static void sheet_count(const model *m, diags *d) { count_on_hand(m, d, STOCK_SHEET, "sheet-count"); }
static void bar_count(const model *m, diags *d) {
	count_on_hand(m, d, STOCK_BAR, "bar-count");
	count_on_hand(m, d, STOCK_PIPE, "bar-count");
}

/* A length in mm to the nearest tenth. */
static rat tenth(double mm) { return rat_of((int64_t)floor(mm * 10 + 0.5), 10); }

static void roll_narrow(const model *m, diags *d) {
	for (size_t i = 0; i < m->air.branches.n; i++) {
		const model_branch *b = &m->air.branches.v[i];
		if (b->kind != AIR_TUBES || b->stock >= m->stocks.n || !(b->hole_m * b->length_m > 0)) continue;
		const model_stock *s = &m->stocks.v[b->stock];
		double across = shopping_tube_mm(b), high = b->length_m * 1000;
		if (!rat_ok(s->roll.mm) || !(across < 1e6) || !(high < 1e6)) continue;
		if (isfinite(shopping_roll_m(across, high, b->count, rat_double(s->roll.mm)))) continue;
		rat lacks = rat_sub(tenth(fmin(across, high)), s->roll.mm);
		diag *g = diag_warning(d, "roll-narrow", b->at,
				       "the cloth of one of `%s` is %s by %s: the roll of `%s` is %s too narrow",
				       b->name, check_length(m, d, tenth(across)), check_length(m, d, tenth(high)),
				       s->name, check_length(m, d, lacks));
		diag_add_note(d, g, s->roll.at, "the roll is %s wide", check_length(m, d, s->roll.mm));
		diag_add_help(d, g, "sew each of two pieces and buy for that yourself, or take a broader roll");
	}
}

/* Wide enough, or tape, and longer than what any roll has. One of a kind tells for all. */
static void roll_short(const model *m, diags *d) {
	const model_roll_part *told = NULL;
	for (size_t i = 0; i < m->layout.roll_parts.n; i++) {
		const model_roll_part *q = &m->layout.roll_parts.v[i];
		const model_stock *s = &m->stocks.v[q->stock];
		bool cloth = s->kind == STOCK_MEDIA;
		layout_sizes l = layout_sizes_of(d->mem, m, q->stock, 1);
		const layout_size *z = NULL; /* the longest */
		for (size_t k = 0; k < l.v.n; k++)
			if (!z || rat_lt(layout_size_w(z), layout_size_w(&l.v.v[k]))) z = &l.v.v[k];
		rat room = rat_max(layout_size_w(z), rat_int(0)),
		    along = rat_poison(); /* the least that it takes along the roll */
		if (!cloth || rat_le(q->h, s->roll.mm)) along = q->w;
		if (cloth && rat_le(q->w, s->roll.mm)) along = rat_ok(along) ? rat_min(along, q->h) : q->h;
		if (!rat_ok(along) || rat_le(along, room)) continue;
		if (told && told->branch == q->branch && told->joint == q->joint) continue;
		told = q;
		diag *g = diag_error(d, "roll-short", q->at, "`%s` takes %s of a roll of `%s`: %s more than there is",
				     q->name, check_length(m, d, along), s->name,
				     check_length(m, d, rat_sub(along, room)));
		diag_add_note(d, g, z->at, "the %s is %s, %s behind its trim",
			      z->offcut	  ? "offcut"
			      : l.v.n > 1 ? "longest roll"
					  : "roll",
			      check_length(m, d, z->w), check_length(m, d, room));
		diag_add_help(
			d, g,
			cloth ? "take a longer roll, or leave `length` out: then the cloth is bought by the metre"
			      : "take a longer roll, or leave `length` out: then the tape is bought by the metre");
	}
}

static void roll_count(const model *m, diags *d) {
	for (size_t i = 0; i < m->layout.counts.n; i++) {
		const model_stock_count *c = &m->layout.counts.v[i];
		const model_stock *s = &m->stocks.v[c->stock];
		if (!model_on_rolls(s)) continue;
		if (c->left.n) {
			const model_roll_part *q = &m->layout.roll_parts.v[c->left.v[0]];
			size_t more = c->left.n - 1;
			const char *and =
				more ? arena_printf(d->mem, " and %zu more piece%s", more, more == 1 ? "" : "s") : "";
			diag *g = diag_error(d, "roll-count", s->at, "`%s`%s of `%s` %s no place on the rolls on hand",
					     q->name, and, s->name, more ? "find" : "finds");
			diag_add_note(d, g, q->at, "it is for this");
			diag_add_help(d, g, "leave `on_hand` out at a length that can be bought");
		}
		if (c->by != MEASURE_COUNT || s->on_hand < 0 || (int64_t)c->used <= s->on_hand) continue;
		too_few(m, d, c, "roll-count");
	}
}

/* Both sides of what is divided are too short to be held or guided. Parts that are alike are told of once. */
static void saw_small(const model *m, diags *d) {
	rat least = check_limit(m, "saw-small");
	bool *told = ARENA_MANY(d->mem, bool, model_rows(m) + 1);
	for (size_t i = 0; i < m->layout.sheets.n; i++) {
		const model_sheet_plan *s = &m->layout.sheets.v[i];
		for (size_t k = 0; k < s->cuts.n; k++) {
			const model_cut *c = &s->cuts.v[k];
			if (c->trim || !rat_lt(c->w, least) || !rat_lt(c->h, least)) continue;
			for (size_t n = 0; n < s->pieces.n; n++) {
				const model_piece *q = &s->pieces.v[n];
				const model_part *p = &m->parts.v[q->part];
				bool inside_it = rat_le(c->x, q->x) && rat_le(c->y, q->y) &&
						 rat_le(rat_add(q->x, q->w), rat_add(c->x, c->w)) &&
						 rat_le(rat_add(q->y, q->h), rat_add(c->y, c->h));
				if (!inside_it || told[p->group_first]) continue;
				told[p->group_first] = true;
				diag *g =
					diag_warning(d, "saw-small", p->at,
						     "`%s` is cut from a piece of %s (cut %u of sheet %zu): less than "
						     "%s on both sides",
						     p->name, size_words(m, d, c->w, c->h), c->number, i + 1,
						     check_length(m, d, least));
				diag_add_help(
					d, g,
					"do not guide it by hand: use a hand saw, or clamp it in a jig that keeps "
					"both hands away from the blade");
			}
		}
	}
}

static void no_saw(const model *m, diags *d) {
	if (m->layout.saw != MODEL_NONE || m->layout.sheets.n + m->layout.bars.n == 0 || m->lacks_file) return;
	diag *g = diag_warning(d, "no-saw", m->title_at, "the plan names no saw: a kerf of %s is assumed",
			       check_length(m, d, m->layout.kerf));
	for (size_t i = 0; i < m->tools.n; i++)
		if (m->tools.v[i].kind == TOOL_SAW) diag_add_note(d, g, m->tools.v[i].at, "this saw has no kerf");
	diag_add_help(d, g, "%s", example_shown(m, "write `tool saw : saw { kerf 3 mm }` with the kerf of your blade"));
}

const check_rule CHECK_LAYOUT[] = {
	{"sheet-too-small", DIAG_ERROR, "Every part fits the trimmed sheet it is cut from, with its grain.", "geometry",
	 sheet_too_small},
	{"bar-too-short", DIAG_ERROR, "Every part fits the trimmed bar it is cut from.", "geometry", bar_too_short},
	{"sheet-count", DIAG_ERROR, "No more sheets are used than there are on hand, where the plan says how many.",
	 "arithmetic", sheet_count},
	{"bar-count", DIAG_ERROR, "No more bars are used than there are on hand, where the plan says how many.",
	 "arithmetic", bar_count},
	{"roll-narrow", DIAG_WARNING, "The cloth of a tube comes out of the roll in one piece.", "geometry",
	 roll_narrow},
	{"roll-short", DIAG_ERROR, "What is cut from a roll is no longer than the longest of its stock.", "geometry",
	 roll_short},
	{"roll-count", DIAG_ERROR, "No more rolls are used than there are on hand, where the plan says how many.",
	 "arithmetic", roll_count},
	{"saw-small", DIAG_WARNING, "No piece is divided at the saw that is too small to be held and guided.",
	 "common practice, no source", saw_small},
	{"no-saw", DIAG_WARNING, "The plan names the saw whose kerf the layouts count with.",
	 "common practice, no source", no_saw},
};
const size_t N_CHECK_LAYOUT = sizeof CHECK_LAYOUT / sizeof *CHECK_LAYOUT;
