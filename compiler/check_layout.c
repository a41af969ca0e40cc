/* Layout: parts and their stock, stock on hand, the saw. */
#include <math.h>

#include "compiler/check.h"
#include "compiler/check_util.h"
#include "compiler/layout.h"
#include "compiler/shopping.h"

static rat trim_of(const model_stock *s) { return rat_ok(s->trim.mm) ? s->trim.mm : rat_int(0); }

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

static void sheet_too_small(const model *m, diags *d) {
	for (size_t i = 0; i < m->parts.n; i++) {
		const model_part *p = &m->parts.v[i];
		rat w, h, sheet_w, sheet_h;
		bool turnable;
		if (!layout_part_on_sheet(m, p, &w, &h, &turnable)) continue;
		const model_stock *s = &m->stocks.v[p->stock];
		layout_sheet_size(s, &sheet_w, &sheet_h);
		rat lost = rat_add(trim_of(s), trim_of(s)), room_w = rat_sub(sheet_w, lost),
		    room_h = rat_sub(sheet_h, lost);
		rat dw = beyond(w, room_w), dh = beyond(h, room_h);
		rat tw = beyond(h, room_w), th = beyond(w, room_h); /* turned */
		bool fits = (rat_sign(dw) == 0 && rat_sign(dh) == 0) ||
			    (turnable && rat_sign(tw) == 0 && rat_sign(th) == 0);
		if (fits) continue;
		if (turnable && rat_lt(rat_add(tw, th), rat_add(dw, dh))) {
			dw = tw;
			dh = th;
		}
		diag *g = diag_error(d, "sheet-too-small", p->at, "`%s`, %s as cut, is larger than a sheet of `%s` %s",
				     p->name, size_words(m, d, w, h), s->name, by_how_much(m, d, dw, dh));
		const char *trim = rat_sign(lost) == 0 ? ""
						       : arena_printf(d->mem, ", %s inside its trim",
								      size_words(m, d, room_w, room_h));
		diag_add_note(d, g, span_known(s->size[0].at) ? s->size[0].at : s->at, "the sheet is %s%s",
			      size_words(m, d, sheet_w, sheet_h), trim);
		bool other_way = !turnable && rat_le(h, room_w) && rat_le(w, room_h);
		if (other_way)
			diag_add_help(d, g, "it fits across the grain: write `grain any` in the part if that may be");
		else
			diag_add_help(d, g, "use a larger sheet, or join the part from two");
	}
}

static void bar_too_short(const model *m, diags *d) {
	for (size_t i = 0; i < m->parts.n; i++) {
		const model_part *p = &m->parts.v[i];
		if (!model_part_made(m, p) || !model_by_length(m->stocks.v[p->stock].kind)) continue;
		const model_stock *s = &m->stocks.v[p->stock];
		rat length = box_size(p->blank, p->long_axis), whole = s->size[0].mm;
		rat room = rat_sub(whole, rat_add(trim_of(s), trim_of(s)));
		if (!rat_ok(room) || !rat_ok(length) || rat_le(length, room)) continue;
		diag *g = diag_error(d, "bar-too-short", p->at, "`%s`, %s as cut, is longer than a %s of `%s` by %s",
				     p->name, check_length(m, d, length), MODEL_STOCK_WORD[s->kind], s->name,
				     check_length(m, d, rat_sub(length, room)));
		diag_add_note(d, g, span_known(s->size[0].at) ? s->size[0].at : s->at,
			      "the %s is %s, %s inside its trim", MODEL_STOCK_WORD[s->kind], check_length(m, d, whole),
			      check_length(m, d, room));
		diag_add_help(d, g, "use a longer %s, or splice the part from two", MODEL_STOCK_WORD[s->kind]);
	}
}

static void count_on_hand(const model *m, diags *d, model_stock_kind kind, const char *rule, const char *word) {
	for (size_t i = 0; i < m->layout.counts.n; i++) {
		const model_stock_count *c = &m->layout.counts.v[i];
		const model_stock *s = &m->stocks.v[c->stock];
		if (s->kind != kind || s->on_hand < 0 || (int64_t)c->used <= s->on_hand) continue;
		diag *g = diag_error(d, rule, s->at, "%u %s%s of `%s` %s needed, %lld on hand: %lld too few", c->used,
				     word, c->used == 1 ? "" : "s", s->name, c->used == 1 ? "is" : "are",
				     (long long)s->on_hand, (long long)c->used - (long long)s->on_hand);
		if ((int64_t)c->bound > s->on_hand)
			diag_add_note(d, g, span_none(), "no layout needs fewer than %u", c->bound);
		else
			diag_add_note(d, g, span_none(), "it is proven only that fewer than %u do not do", c->bound);
		diag_add_help(d, g, "raise `on_hand` or leave it out to buy more, or make some parts of another stock");
	}
}

static void sheet_count(const model *m, diags *d) { count_on_hand(m, d, STOCK_SHEET, "sheet-count", "sheet"); }
static void bar_count(const model *m, diags *d) {
	count_on_hand(m, d, STOCK_BAR, "bar-count", "bar");
	count_on_hand(m, d, STOCK_PIPE, "bar-count", "pipe");
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

static void no_saw(const model *m, diags *d) {
	if (m->layout.saw != MODEL_NONE || m->layout.counts.n == 0 || m->lacks_file) return;
	diag *g = diag_warning(d, "no-saw", m->title_at, "the plan names no saw: a kerf of %s is assumed",
			       check_length(m, d, m->layout.kerf));
	for (size_t i = 0; i < m->tools.n; i++)
		if (m->tools.v[i].kind == TOOL_SAW) diag_add_note(d, g, m->tools.v[i].at, "this saw has no kerf");
	diag_add_help(d, g, "write `tool saw : saw { kerf 3 mm }` with the kerf of your blade");
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
	{"no-saw", DIAG_WARNING, "The plan names the saw whose kerf the layouts count with.",
	 "common practice, no source", no_saw},
};
const size_t N_CHECK_LAYOUT = sizeof CHECK_LAYOUT / sizeof *CHECK_LAYOUT;
