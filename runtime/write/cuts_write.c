#include "runtime/write/cuts_write.h"

#include <math.h>

#include "runtime/base/text.h"
#include "runtime/write/cut_steps.h"
#include "runtime/write/json_util.h"

static const char *unit_of(const model *m) { return m->measures == MEASURES_INCH ? "in" : "mm"; }

static void put_length(table *t, const model *m, rat mm, bool people) {
	if (!rat_ok(mm)) {
		table_cell(t, "%s", "");
	} else if (people) {
		table_cell(t, "%s", quant_show_length(t->mem, mm, m->measures, true));
	} else {
		bool inch = m->measures == MEASURES_INCH;
		table_number(t, rat_double(mm) / (inch ? 25.4 : 1), inch ? 4 : 3);
	}
}

static axis third(axis a, axis b) { return (axis)(3 - (int)a - (int)b); }

void cuts_write_size(const model *m, const model_part *p, rat size[3]) {
	if (!model_part_made(m, p) || p->long_axis == p->thick_axis) {
		for (int a = 0; a < 3; a++) size[a] = box_size(p->box, (axis)a);
		return;
	}
	size[0] = box_size(p->blank, p->long_axis);
	size[1] = box_size(p->blank, third(p->long_axis, p->thick_axis));
	size[2] = box_size(p->blank, p->thick_axis);
}

const char *cuts_write_grain(const model *m, const model_part *p) {
	if (!model_part_made(m, p)) return "";
	const model_stock *s = &m->stocks.v[p->stock];
	if (s->kind != STOCK_SHEET) return "along its length";
	if (!p->grain_matters || s->grain == GRAIN_NONE) return "any";
	return p->grain_axis == p->long_axis ? "along its length" : "along its width";
}

const char *cuts_write_cut_word(const model_cut *c) {
	if (c->trim) return c->along_x ? "trim rip" : "trim crosscut";
	return c->along_x ? "rip" : "crosscut";
}

const char *cuts_write_stock(const model *m, model_ref stock) {
	return stock < m->stocks.n ? m->stocks.v[stock].name : "";
}

static void size_columns(table *t, const model *m) {
	table_column(t, "length", unit_of(m), TABLE_RIGHT);
	table_column(t, "width", unit_of(m), TABLE_RIGHT);
	table_column(t, "thickness", unit_of(m), TABLE_RIGHT);
}

static bool alike(const model *m, const model_part *a, const model_part *b) {
	rat sa[3], sb[3];
	cuts_write_size(m, a, sa);
	cuts_write_size(m, b, sb);
	return a->kind == b->kind && text_same(a->group, b->group) && a->stock == b->stock && rat_eq(sa[0], sb[0]) &&
	       rat_eq(sa[1], sb[1]) && rat_eq(sa[2], sb[2]) && cut_steps_same_ends(a, b);
}

/* The first of its group with these sizes. */
static bool is_first(const model *m, size_t i) {
	for (size_t k = 0; k < i; k++)
		if (alike(m, &m->parts.v[k], &m->parts.v[i])) return false;
	return true;
}

table *cuts_write_parts(arena *mem, const model *m, bool people) {
	table *t = table_begin(mem, "Parts");
	table_column(t, "part", NULL, TABLE_LEFT);
	table_column(t, "count", NULL, TABLE_RIGHT);
	table_column(t, "kind", NULL, TABLE_LEFT);
	table_column(t, "stock", NULL, TABLE_LEFT);
	size_columns(t, m);
	table_column(t, "grain", NULL, TABLE_LEFT);
	bool inch = m->measures == MEASURES_INCH;
	double unit_kg = inch ? 0.45359237 : 1; /* the pound, exact by definition */
	table_column(t, "mass of one", inch ? "lb" : "kg", TABLE_RIGHT);
	table_column(t, "ends", NULL, TABLE_LEFT);
	double mass = 0, extra_mass = 0;
	size_t parts = 0;
	for (size_t i = 0; i < model_rows(m); i++) {
		const model_part *p = &m->parts.v[i];
		if (p->kind == PART_GAP) continue;
		parts += p->kind != PART_EXTRA;
		*(p->kind == PART_EXTRA ? &extra_mass : &mass) += p->mass_kg;
		if (!is_first(m, i)) continue;
		long long count = 0;
		for (size_t k = i; k < model_rows(m); k++) count += alike(m, p, &m->parts.v[k]);
		rat size[3];
		cuts_write_size(m, p, size);
		table_row(t);
		table_cell(t, "%s", count > 1 ? p->group : p->name);
		table_whole(t, count);
		table_cell(t, "%s", MODEL_PART_WORD[p->kind]);
		table_cell(t, "%s", cuts_write_stock(m, p->stock));
		for (int k = 0; k < 3; k++) put_length(t, m, size[k], people);
		table_cell(t, "%s", cuts_write_grain(m, p));
		table_number(t, p->mass_kg / unit_kg, 2);
		table_cell(t, "%s", cut_steps_ends(mem, p));
	}
	table_note(t,
		   "%zu part%s, %.1f %s. Sizes are as cut, tongues in dados included; bought items by width, depth and "
		   "height.",
		   parts, parts == 1 ? "" : "s", mass / unit_kg, inch ? "lb" : "kg");
	if (m->n_extra)
		table_note(t, "Not counted there: %zu extra piece%s, %.1f %s, no part of the cabinet.", m->n_extra,
			   m->n_extra == 1 ? "" : "s", extra_mass / unit_kg, inch ? "lb" : "kg");
	return t;
}

/* ---- pieces ---------------------------------------------------------------------------------- */

static void piece_row(table *t, const model *m, const model_piece *q, const char *on, size_t number, bool sheet,
		      bool people) {
	const model_part *p = &m->parts.v[q->part];
	rat size[3];
	cuts_write_size(m, p, size);
	table_row(t);
	table_cell(t, "%s", p->name);
	table_cell(t, "%s", cuts_write_stock(m, p->stock));
	for (int k = 0; k < 3; k++) put_length(t, m, size[k], people);
	table_cell(t, "%s", cuts_write_grain(m, p));
	table_cell(t, "%s", on);
	table_whole(t, (long long)number);
	put_length(t, m, q->x, people);
	put_length(t, m, sheet ? q->y : rat_poison(), people);
	table_cell(t, "%s", sheet ? q->turned ? "across" : "along" : q->turned ? "turned over" : "along");
	table_cell(t, "%s", cut_steps_ends(t->mem, p));
}

/* Of cloth the tube's length is the length. */
static void roll_row(table *t, const model *m, const model_piece *q, size_t number, bool people) {
	const model_roll_part *p = &m->layout.roll_parts.v[q->part];
	table_row(t);
	table_cell(t, "%s", p->name);
	table_cell(t, "%s", cuts_write_stock(m, p->stock));
	put_length(t, m, p->w, people);
	put_length(t, m, p->h, people);
	put_length(t, m, m->stocks.v[p->stock].thick.mm, people);
	table_cell(t, "%s", "");
	table_cell(t, "%s", "roll");
	table_whole(t, (long long)number);
	put_length(t, m, q->x, people);
	put_length(t, m, q->y, people);
	table_cell(t, "%s", q->turned ? "across" : "along");
	table_cell(t, "%s", "");
}

table *cuts_write_pieces(arena *mem, const model *m, bool people) {
	table *t = table_begin(mem, "Parts on sheets, bars and rolls");
	table_column(t, "part", NULL, TABLE_LEFT);
	table_column(t, "stock", NULL, TABLE_LEFT);
	size_columns(t, m);
	table_column(t, "grain", NULL, TABLE_LEFT);
	table_column(t, "on", NULL, TABLE_LEFT);
	table_column(t, "number", NULL, TABLE_RIGHT);
	table_column(t, "x", unit_of(m), TABLE_RIGHT);
	table_column(t, "y", unit_of(m), TABLE_RIGHT);
	table_column(t, "lies", NULL, TABLE_LEFT);
	table_column(t, "ends", NULL, TABLE_LEFT);
	for (size_t i = 0; i < m->layout.sheets.n; i++)
		for (size_t k = 0; k < m->layout.sheets.v[i].pieces.n; k++)
			piece_row(t, m, &m->layout.sheets.v[i].pieces.v[k], "sheet", i + 1, true, people);
	for (size_t i = 0; i < m->layout.bars.n; i++)
		for (size_t k = 0; k < m->layout.bars.v[i].pieces.n; k++)
			piece_row(t, m, &m->layout.bars.v[i].pieces.v[k], "bar", i + 1, false, people);
	for (size_t i = 0; i < m->layout.rolls.n; i++)
		for (size_t k = 0; k < m->layout.rolls.v[i].pieces.n; k++)
			roll_row(t, m, &m->layout.rolls.v[i].pieces.v[k], i + 1, people);
	table_note(t,
		   "x and y: lower left corner of the part from the lower left corner of the sheet, x along its longer "
		   "side, trim included. Lies: the part's length along or across the sheet. Ends that are not square: "
		   "how far "
		   "the saw is swung, and the side at which the end is longest; lengths are to the long points.");
	return t;
}

/* ---- the cutting sequence ---------------------------------------------------------------------- */

static void put_angle(table *t, const model_mitre *mitre) {
	if (mitre)
		table_number(t, mitre->angle_deg, 2);
	else
		table_cell(t, "%s", "");
	table_cell(t, "%s", mitre ? FACE_NAME[mitre->point] : "");
}

static void sheet_cuts(table *t, const model *m, const model_sheet_plan *s, size_t i, bool people) {
	bool roll = model_on_rolls(&m->stocks.v[s->stock]);
	const cut_step *steps = cut_steps(t->mem, m, s);
	for (size_t k = 0; k < s->cuts.n; k++) {
		const model_cut *c = &s->cuts.v[k];
		table_row(t);
		table_cell(t, "%s", roll ? "roll" : "sheet");
		table_whole(t, (long long)i + 1);
		table_whole(t, c->number);
		table_cell(t, "%s", cuts_write_cut_word(c));
		put_length(t, m, c->fence, people);
		put_length(t, m, c->x, people);
		put_length(t, m, c->y, people);
		put_length(t, m, c->w, people);
		put_length(t, m, c->h, people);
		put_length(t, m, c->at, people);
		table_cell(t, "%s", steps[k].set ? "yes" : "no");
		table_cell(t, "%s", cut_steps_guide(m, s, &steps[k]));
		table_cell(t, "%s", cut_steps_from(t->mem, m, s, &steps[k]));
		table_cell(t, "%s", cut_steps_side(t->mem, m, s, c, &steps[k].kept));
		table_cell(t, "%s", cut_steps_side(t->mem, m, s, c, &steps[k].other));
		put_angle(t, NULL);
	}
}

static void bar_cuts(table *t, const model *m, size_t i, bool people) {
	const model_bar_plan *b = &m->layout.bars.v[i];
	bar_steps v = cut_steps_bar(t->mem, m, b);
	for (size_t k = 0; k < v.n; k++) {
		const bar_step *s = &v.v[k];
		table_row(t);
		table_cell(t, "%s", "bar");
		table_whole(t, (long long)i + 1);
		table_whole(t, s->number);
		table_cell(t, "%s", cut_steps_bar_word(s));
		put_length(t, m, s->stop, people);
		put_length(t, m, s->from, people);
		put_length(t, m, rat_poison(), people);
		put_length(t, m, rat_sub(b->length, s->from), people);
		put_length(t, m, rat_poison(), people);
		put_length(t, m, s->at, people);
		table_cell(t, "%s", s->set ? "yes" : "no");
		table_cell(t, "%s", s->piece ? "stop" : "");
		table_cell(t, "%s", k ? "the rest" : b->offcut ? "the offcut" : "the whole bar");
		table_cell(t, "%s", s->piece ? m->parts.v[s->piece->part].name : "the rest");
		table_cell(t, "%s", s->piece || s->mitre ? cut_steps_rest(s->other) : "waste, reference end made");
		put_angle(t, s->mitre);
	}
}

table *cuts_write_sequence(arena *mem, const model *m, bool people) {
	table *t = table_begin(mem, "Cuts in order");
	table_column(t, "on", NULL, TABLE_LEFT);
	table_column(t, "number", NULL, TABLE_RIGHT);
	table_column(t, "cut", NULL, TABLE_RIGHT);
	table_column(t, "way", NULL, TABLE_LEFT);
	table_column(t, "fence", unit_of(m), TABLE_RIGHT);
	table_column(t, "piece x", unit_of(m), TABLE_RIGHT);
	table_column(t, "piece y", unit_of(m), TABLE_RIGHT);
	table_column(t, "piece length", unit_of(m), TABLE_RIGHT);
	table_column(t, "piece width", unit_of(m), TABLE_RIGHT);
	table_column(t, "cut at", unit_of(m), TABLE_RIGHT);
	table_column(t, "set anew", NULL, TABLE_LEFT);
	table_column(t, "guided by", NULL, TABLE_LEFT);
	table_column(t, "take", NULL, TABLE_LEFT);
	table_column(t, "at the fence", NULL, TABLE_LEFT);
	table_column(t, "beyond the blade", NULL, TABLE_LEFT);
	table_column(t, "angle", "deg", TABLE_RIGHT);
	table_column(t, "point at", NULL, TABLE_LEFT);
	for (size_t i = 0; i < m->layout.sheets.n; i++) sheet_cuts(t, m, &m->layout.sheets.v[i], i, people);
	for (size_t i = 0; i < m->layout.bars.n; i++) bar_cuts(t, m, i, people);
	for (size_t i = 0; i < m->layout.rolls.n; i++) sheet_cuts(t, m, &m->layout.rolls.v[i], i, people);
	table_note(
		t,
		"A rip runs along the sheet's longer side, a crosscut across it; each divides the piece named from "
		"edge "
		"to edge. Fence: the size of what is kept between fence and blade. Cut at: the near side of the kerf. "
		"Sled: the piece is too short along the fence and goes on a sled, against a stop at that size. Of a "
		"roll "
		"lengths are measured off and cut along a straightedge. Angle: "
		"how far "
		"the saw is swung from square, and the side of the part at which its end is longest.");
	return t;
}

/* ---- counts -------------------------------------------------------------------------------------- */

/* Share of the stock's sheets or bars that becomes parts, and the largest piece left. */
static double used_share(const model *m, model_ref stock, const char **offcut, arena *mem) {
	double used = 0, all = 0, best = 0;
	*offcut = "";
	for (size_t i = 0; i < m->layout.sheets.n + m->layout.rolls.n; i++) {
		bool roll = i >= m->layout.sheets.n;
		const model_sheet_plan *s = roll ? &m->layout.rolls.v[i - m->layout.sheets.n] : &m->layout.sheets.v[i];
		double area = rat_double(s->w) * rat_double(s->h);
		if (s->stock != stock) continue;
		used += s->used_part * area;
		all += area;
		if (s->offcuts.n == 0) continue;
		const model_offcut *o = &s->offcuts.v[0]; /* largest first */
		double size = rat_double(o->w) * rat_double(o->h);
		if (size <= best) continue;
		best = size;
		*offcut = quant_show_length(mem, o->w, m->measures, true);
		if (m->stocks.v[stock].kind == STOCK_GASKET) continue;
		*offcut = arena_printf(mem, "%s x %s", quant_show_length(mem, o->w, m->measures, true),
				       quant_show_length(mem, o->h, m->measures, true));
	}
	for (size_t i = 0; i < m->layout.bars.n; i++) {
		const model_bar_plan *b = &m->layout.bars.v[i];
		if (b->stock != stock) continue;
		all += rat_double(b->length);
		for (size_t k = 0; k < b->pieces.n; k++) used += rat_double(b->pieces.v[k].w);
		if (rat_double(b->rest) <= best) continue;
		best = rat_double(b->rest);
		*offcut = quant_show_length(mem, b->rest, m->measures, true);
	}
	return all > 0 ? used / all : (double)NAN;
}

static const char *money(arena *mem, int64_t cents) {
	return arena_printf(mem, "%lld.%02lld", (long long)(cents / 100), (long long)(cents % 100));
}

static const char *const MEASURE_WORD[] = {"number", "price", "size"};

/* The amounts of a count in the shop's unit: number, money, m2 or m. */
static double amount_of(const model *m, const model_stock_count *c, int64_t v) {
	if (c->by == MEASURE_COUNT) return (double)v;
	if (c->by == MEASURE_MONEY) return (double)v / 100;
	return m->stocks.v[c->stock].kind == STOCK_SHEET ? (double)v / 10000 : (double)v / 1000;
}

static const char *amount_words(arena *mem, const model *m, const model_stock_count *c, int64_t v) {
	if (c->by == MEASURE_MONEY) {
		bool named = m->currency && m->currency[0];
		return arena_printf(mem, "%s%s%s", money(mem, v), named ? " " : "", named ? m->currency : "");
	}
	double amount = amount_of(m, c, v);
	bool sheet = m->stocks.v[c->stock].kind == STOCK_SHEET;
	return quant_show_si(mem, sheet ? DIM_AREA : DIM_LENGTH, amount, m->measures);
}

const char *cuts_write_count_words(arena *mem, const model *m, const model_stock_count *c) {
	const char *word = model_whole_word(m->stocks.v[c->stock].kind);
	const char *offcuts = c->offcuts ? arena_printf(mem, "%s%u offcut%s", c->used ? " and " : "", c->offcuts,
							c->offcuts == 1 ? "" : "s")
					 : "";
	const char *used =
		c->used || !c->offcuts ? arena_printf(mem, "%u %s%s", c->used, word, c->used == 1 ? "" : "s") : "";
	const char *proven = c->proven ? " (proven)" : "";
	if (c->by == MEASURE_COUNT)
		return arena_printf(mem, "%s%s; no layout can do with fewer%s than %lld%s", used, offcuts,
				    c->offcuts ? " whole ones" : "", (long long)c->cost_bound, proven);
	return arena_printf(mem, "%s%s, %s to buy; no layout can do with less than %s%s", used, offcuts,
			    amount_words(mem, m, c, c->cost), amount_words(mem, m, c, c->cost_bound), proven);
}

table *cuts_write_counts(arena *mem, const model *m, bool people) {
	table *t = table_begin(mem, "Sheets, bars and rolls");
	table_column(t, "stock", NULL, TABLE_LEFT);
	table_column(t, "used", NULL, TABLE_RIGHT);
	table_column(t, "offcuts used", NULL, TABLE_RIGHT);
	table_column(t, "compared by", NULL, TABLE_LEFT);
	table_column(t, "amount", NULL, TABLE_RIGHT);
	table_column(t, "lower bound", NULL, TABLE_RIGHT);
	table_column(t, "proven", NULL, TABLE_LEFT);
	table_column(t, "becomes parts", "%", TABLE_RIGHT);
	table_column(t, "largest offcut", unit_of(m), TABLE_LEFT);
	(void)people;
	for (size_t i = 0; i < m->layout.counts.n; i++) {
		const model_stock_count *c = &m->layout.counts.v[i];
		const char *offcut;
		double share = used_share(m, c->stock, &offcut, mem);
		int decimals = c->by == MEASURE_COUNT ? 0 : c->by == MEASURE_MONEY ? 2 : 3;
		table_row(t);
		table_cell(t, "%s", cuts_write_stock(m, c->stock));
		table_whole(t, c->used);
		table_whole(t, c->offcuts);
		table_cell(t, "%s", MEASURE_WORD[c->by]);
		table_number(t, amount_of(m, c, c->cost), decimals);
		table_number(t, amount_of(m, c, c->cost_bound), decimals);
		table_cell(t, "%s", c->proven ? "yes" : "no");
		table_number(t, share * 100, 1);
		table_cell(t, "%s", offcut);
	}
	table_note(t,
		   "Kerf %s%s. No layout buys less than the lower bound: of one size, whole ones; of several, their "
		   "price, "
		   "or m2 of sheets and m of bars and rolls where one has no price.",
		   quant_show_length(mem, m->layout.kerf, m->measures, false),
		   m->layout.saw == MODEL_NONE ? ", assumed: the plan names no saw" : "");
	return t;
}

size_t cuts_write_tables(arena *mem, const model *m, table_format format, const table *out[3]) {
	bool people = format == TABLE_TEXT;
	size_t n = 0;
	out[n++] = cuts_write_pieces(mem, m, people);
	out[n++] = cuts_write_sequence(mem, m, people);
	if (format != TABLE_CSV) out[n++] = cuts_write_counts(mem, m, people);
	return n;
}

/* ---- shopping ------------------------------------------------------------------------------------- */

static void put_money(table *t, int64_t cents, bool people) {
	if (cents < 0)
		table_cell(t, "%s", people ? "not priced" : "");
	else if (people)
		table_cell(t, "%s", money(t->mem, cents));
	else
		table_number(t, (double)cents / 100, 2);
}

/* An amount for people who read feet: the unit changes with it. */
static double in_measures(const model *m, double amount, const char **unit) {
	static const struct {
		const char *metric, *inch;
		double size; /* of the inch unit in the metric one */
	} UNITS[] = {{"m", "ft", 0.3048},
		     {"m2", "ft2", 0.09290304},
		     {"l", "fl oz", 0.0295735295625},
		     {"ml", "fl oz", 29.5735295625}};
	for (size_t i = 0; m->measures == MEASURES_INCH && i < 4; i++) {
		if (!text_same(*unit, UNITS[i].metric)) continue;
		*unit = UNITS[i].inch;
		return amount / UNITS[i].size;
	}
	return amount;
}

table *cuts_write_shopping(arena *mem, const model *m, bool people) {
	table *t = table_begin(mem, "To buy");
	const char *currency = m->currency && m->currency[0] ? m->currency : NULL;
	table_column(t, "what", NULL, TABLE_LEFT);
	table_column(t, "stock", NULL, TABLE_LEFT);
	table_column(t, "needed", NULL, TABLE_RIGHT);
	table_column(t, "unit", NULL, TABLE_LEFT);
	table_column(t, "packs", NULL, TABLE_RIGHT);
	table_column(t, "in a pack", NULL, TABLE_RIGHT);
	table_column(t, "cost", currency, TABLE_RIGHT);
	table_column(t, "reason", NULL, TABLE_LEFT);
	for (size_t i = 0; i < m->shopping.n; i++) {
		const model_buy *b = &m->shopping.v[i];
		const char *unit = b->unit;
		double amount = people ? in_measures(m, b->amount, &unit) : b->amount;
		bool whole = amount == floor(amount),
		     measured = text_same(b->unit, "m") || b->unit[0] == 'l' || text_same(b->unit, "m2");
		table_row(t);
		table_cell(t, "%s", b->what);
		table_cell(t, "%s", b->stock < m->stocks.n ? cuts_write_stock(m, b->stock) : "");
		table_number(t, amount, whole ? 0 : 2);
		table_cell(t, "%s", unit);
		/* People are told what is counted where goods are sold by a measure. */
		if (people && measured)
			table_cell(t, "%lld %s", (long long)b->packs, b->unit);
		else
			table_whole(t, b->packs);
		table_whole(t, b->stock < m->stocks.n ? m->stocks.v[b->stock].pack : 1);
		put_money(t, b->cents, people);
		table_cell(t, "%s", b->reason);
	}
	table_note(t, "Sum %s%s%s%s", money(mem, m->cost_cents), currency ? " " : "", currency ? currency : "",
		   m->cost_whole ? "." : ", of what has a price in the plan.");
	return t;
}

void cuts_write_put_count(json_t *o, const model *m, const model_stock_count *c) {
	json_util_put(o, "used", json_util_whole(c->used));
	json_util_put(o, "offcuts_used", json_util_whole(c->offcuts));
	json_util_put(o, "compared_by", json_util_text(MEASURE_WORD[c->by]));
	bool number = c->by == MEASURE_COUNT;
	double amount = amount_of(m, c, c->cost), bound = amount_of(m, c, c->cost_bound);
	json_util_put(o, "amount", number ? json_util_whole(c->cost) : json_util_number(amount));
	json_util_put(o, "lower_bound", number ? json_util_whole(c->cost_bound) : json_util_number(bound));
	json_util_put(o, "proven", json_util_flag(c->proven));
	json_util_put(o, "offcuts_first", json_util_flag(c->hand_first));
}
