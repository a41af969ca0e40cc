/* Before work begins: cautions, tools, shopping, measuring the sheets. */
#include <math.h>

#include "runtime/base/text.h"
#include "runtime/engine/joint.h"
#include "runtime/write/book_build.h"
#include "runtime/write/cuts_write.h"
#include "runtime/write/hole_words.h"

static bool has_tool(const model *m, model_tool_kind kind) {
	for (size_t i = 0; i < m->tools.n; i++)
		if (m->tools.v[i].kind == kind) return true;
	return false;
}

static bool has_fan(const model *m) {
	for (size_t i = 0; i < m->parts.n; i++) {
		model_ref s = m->parts.v[i].stock;
		if (s < m->stocks.n && m->stocks.v[s].kind == STOCK_FAN) return true;
	}
	return false;
}

static void lifting(book *b) {
	const model_order *o = &b->m->order;
	size_t worst = 0;
	for (size_t i = 1; i < o->steps.n; i++)
		if (o->steps.v[i].lift_kg > o->steps.v[worst].lift_kg) worst = i;
	double lift = o->steps.n ? o->steps.v[worst].lift_kg : 0;
	const char *whole = book_si(b, DIM_MASS, b->m->mass_kg);
	if (lift > 0)
		book_caution(b, SIGNAL_CAUTION,
			     arena_printf(b->mem,
					  "Lifting. The heaviest thing you move in one step weighs %s by calculation "
					  "(step %zu, page "
					  "%s); the finished piece weighs %s. Sheets are awkward: get help, carry "
					  "upright, clear the "
					  "way, and do not lift alone what you cannot hold.",
					  book_si(b, DIM_MASS, lift), worst + 1,
					  book_page_word(b, arena_printf(b->mem, "step:%zu", worst + 1)), whole));
	else
		book_caution(
			b, SIGNAL_CAUTION,
			arena_printf(b->mem,
				     "Lifting. The finished piece weighs %s by calculation. Get help to move it and "
				     "to handle whole sheets.",
				     whole));
}

void book_cautions(book *b) {
	const model *m = b->m;
	book_chapter(b, "Before you begin: cautions", "cautions");
	book_paragraph(
		b, "The words mean: WARNING, it could kill or maim; CAUTION, it could hurt; NOTICE, it could spoil the "
		   "work (signal words in the sense of ANSI Z535.6). Local codes and licensed trades have the last "
		   "word on fire, electricity and the air of a workplace.");
	b->y += 2;
	if (has_tool(m, TOOL_SAW) || has_tool(m, TOOL_ROUTER) || has_tool(m, TOOL_HOLE_SAW) || has_tool(m, TOOL_DRILL))
		book_caution(
			b, SIGNAL_WARNING,
			"Spinning cutters. Read the maker's instructions of every machine. Guards on, eyes and ears "
			"protected, no gloves or loose sleeves near a cutter. Clamp the work and the template; take "
			"large "
			"openings in several passes; let the cutter stop before you lift it; pull the plug before you "
			"change "
			"a blade or bit.");
	book_caution(
		b, SIGNAL_WARNING,
		"Wood dust. Fine dust harms the airways. Wear a respirator for fine particles while you cut, drill, "
		"sand, empty the piece and change filters, and clean up with suction, never with compressed air. The "
		"finished piece lessens dust in the air; it does not take the place of a respirator.");
	book_caution(
		b, SIGNAL_WARNING,
		"Fire. Wood dust burns, and raised as a cloud it can explode. Never draw sparks, embers, hot swarf, "
		"solvent vapour or spray mist into the piece. No grinding of metal near it. Keep dust out of the "
		"motor, "
		"empty it often, keep an extinguisher at hand. Ask the fire authority and your insurer what applies to "
		"your shop.");
	for (int k = 0; k < DUST_KINDS; k++)
		if (m->air.handles >> k & 1 && model_dust_caution((model_dust)k))
			book_caution(b, SIGNAL_WARNING, model_dust_caution((model_dust)k));
	if (has_fan(m))
		book_caution(
			b, SIGNAL_WARNING,
			"Electricity. Fixed wiring, earthing and the bonding of metal parts are work for a licensed "
			"electrician under local codes. Pull the plug or lock the switch off before you open the "
			"piece; a fan "
			"that starts by itself takes fingers.");
	if (m->air.exhausts_outdoors)
		book_caution(
			b, SIGNAL_WARNING,
			arena_printf(
				b->mem,
				"Make-up air. The piece blows %s out of the room (filters clean). The same amount must "
				"come in "
				"again. A stove, boiler or heater with a flue in the same building can then draw its "
				"fumes back: have a licensed trade look at it first.",
				book_si(b, DIM_FLOW, book_fan_flow(m, 0))));
	lifting(b);
	book_caution(b, SIGNAL_NOTICE,
		     "Calculated, not measured. Every air figure in this book comes from the plan's geometry, filter "
		     "and fan "
		     "data. Test what you built with the commissioning sheet before you rely on it.");
	b->y += 1;
	book_small(
		b,
		"Limits for wood dust in workplace air over 8 hours, for comparison: OSHA (US), as particulates not "
		"otherwise regulated, 15 mg/m³ total and 5 mg/m³ respirable; NIOSH (US) recommends 1 mg/m³; HSE (Great "
		"Britain) hardwood 3 mg/m³, softwood 5 mg/m³ (the agencies' own pages on wood dust). Your country's "
		"law applies; limits change.");
}

/* ---- tools ------------------------------------------------------------------------------------------- */

/* "101.8 mm ± 0.1 mm" */
static const char *measured_words(book *b, const model_tool *t) {
	const char *cuts = hole_about(b->mem, b->m, t->measured.mm);
	if (!rat_ok(t->measured_off.mm)) return cuts;
	return arena_printf(b->mem, "%s ± %s", cuts, hole_about(b->mem, b->m, t->measured_off.mm));
}

static const char *tool_size(book *b, const model_tool *t) {
	textbuf s = textbuf_begin(b->mem);
	if (t->kind == TOOL_SAW && rat_ok(t->kerf.mm)) textbuf_printf(&s, "kerf %s", book_length(b, t->kerf.mm));
	if (t->kind != TOOL_SAW && rat_ok(t->diameter.mm))
		textbuf_printf(&s, "%s ⌀ %s",
			       t->kind == TOOL_ROUTER	? "cutter"
			       : rat_ok(t->measured.mm) ? "marked"
							: "cuts",
			       book_length(b, t->diameter.mm));
	if (rat_ok(t->measured.mm)) textbuf_printf(&s, ", measured %s", measured_words(b, t));
	if (rat_ok(t->bush.mm)) textbuf_printf(&s, ", guide bush ⌀ %s", book_length(b, t->bush.mm));
	if (rat_ok(t->pass.mm)) textbuf_printf(&s, ", %s deep in a pass", book_length(b, t->pass.mm));
	return s.n ? s.v : "";
}

bool book_step_uses(const book *b, const model_step *s, model_ref tool) {
	const model *m = b->m;
	for (size_t k = 0; k < s->tools.n; k++)
		if (s->tools.v[k] == tool) return true;
	for (size_t i = 0; i < s->ops.n; i++) {
		const model_op *o = &m->order.ops.v[s->ops.v[i]];
		for (size_t k = 0; o->kind == OP_GROOVE && k < m->joints.n; k++) {
			const model_joint *j = &m->joints.v[k];
			if (!joint_cuts(j->kind) || book_groove_tool(b, j) != tool) continue;
			for (size_t q = 0; q < o->parts.n; q++)
				if (o->parts.v[q] == j->b) return true;
		}
		if (o->kind != OP_DRILL) continue;
		for (size_t k = 0; k < m->features.n; k++) {
			const model_feature *f = &m->features.v[k];
			if (f->kind != FEATURE_PILOT && f->kind != FEATURE_CLEARANCE) continue;
			/* Where no tool is named, the drill of that size makes it. */
			bool fits =
				m->tools.v[tool].kind == TOOL_DRILL && rat_eq(m->tools.v[tool].diameter.mm, f->shape.a);
			if (f->tool != tool && !(f->tool == MODEL_NONE && fits)) continue;
			for (size_t q = 0; q < o->parts.n; q++)
				if (o->parts.v[q] == f->part) return true;
		}
	}
	return false;
}

static const char *tool_steps(book *b, model_ref tool) {
	textbuf s = textbuf_begin(b->mem);
	const model_order *o = &b->m->order;
	for (size_t i = 0; i < o->steps.n; i++)
		if (book_step_uses(b, &o->steps.v[i], tool)) textbuf_printf(&s, "%s%zu", s.n ? ", " : "", i + 1);
	return s.n ? s.v : "";
}

/* What the plan's tools have not, each with the steps that want it. */
static void needed_tools(book *b, book_cells *c) {
	const model_order *o = &b->m->order;
	book_lines all = {0};
	LIST(textbuf) steps = {0};
	for (size_t i = 0; i < o->steps.n; i++) {
		book_lines here = {0};
		book_step_needs(b, &o->steps.v[i], &here);
		for (size_t k = 0; k < here.v.n; k++) {
			size_t at = 0;
			while (at < all.v.n && !text_same(all.v.v[at], here.v.v[k])) at++;
			if (at == all.v.n) {
				LIST_PUSH(b->mem, &all.v, here.v.v[k]);
				LIST_PUSH(b->mem, &steps, textbuf_begin(b->mem));
			}
			textbuf_printf(&steps.v[at], "%s%zu", steps.v[at].n ? ", " : "", i + 1);
		}
	}
	for (size_t i = 0; i < all.v.n; i++)
		book_row(b, c, book_title_case(b, all.v.v[i]), "needed, not among the plan's tools", "", steps.v[i].v);
}

/* A library of tools holds more than this plan has a use for; what the plan itself names is told in any case, but for
 * drills. */
static bool tool_told(book *b, model_ref i) {
	const model_tool *t = &b->m->tools.v[i];
	bool drill = t->kind == TOOL_DRILL || t->kind == TOOL_HOLE_SAW, own = t->at.file == b->m->title_at.file;
	return (own && !drill) || tool_steps(b, i)[0];
}

static bool alike(const model_sheet_of_pattern *a, const model_sheet_of_pattern *c) {
	if (!rat_eq(a->shape.a, c->shape.a) || !rat_eq(a->least[0], c->least[0]) || !rat_eq(a->most[0], c->most[0]) ||
	    a->options.n != c->options.n)
		return false;
	for (size_t i = 0; i < a->options.n; i++)
		if (a->options.v[i].tool != c->options.v[i].tool || a->options.v[i].chosen != c->options.v[i].chosen)
			return false;
	return true;
}

/* Each sort of round opening, with the plan's tools within a tenth of its size. */
static void tool_options(book *b) {
	static const sheetform_column COLUMNS[] = {{"Tool", -4, ALIGN_LEFT},
						   {"Really cuts", 24, ALIGN_RIGHT},
						   {"Against the drawing", 30, ALIGN_RIGHT},
						   {"Does it fit?", -4, ALIGN_LEFT}};
	const model *m = b->m;
	book_cells c = {.columns = 4};
	LIST(const model_sheet_of_pattern *) told = {0};
	for (size_t i = 0; i < m->patterns.n; i++)
		for (size_t k = 0; k < m->patterns.v[i].sheets.n; k++) {
			const model_sheet_of_pattern *s = &m->patterns.v[i].sheets.v[k];
			const char *limits = hole_limits_words(b->mem, m, s->least, s->most, &s->shape);
			bool before = false;
			for (size_t n = 0; n < told.n; n++) before = before || alike(told.v[n], s);
			if (!s->options.n || !limits || before) continue;
			LIST_PUSH(b->mem, &told, s);
			book_group_row(b, &c,
				       arena_printf(b->mem, "%s in %s, %s: may measure %s (%s)",
						    book_title_case(b, m->patterns.v[i].name),
						    book_part_word(b, s->part), book_shape(b, &s->shape), limits,
						    hole_limits_from(m, s)));
			for (size_t n = 0; n < s->options.n; n++) {
				const model_option *o = &s->options.v[n];
				book_row(b, &c, book_title_case(b, m->tools.v[o->tool].label),
					 hole_about(b->mem, m, o->cuts), hole_off_words(b->mem, m, o->off),
					 hole_option_words(b->mem, m, s, o));
			}
		}
	if (!c.v.n) return;
	book_heading(b, "What cuts the round openings");
	book_cells_draw(b, COLUMNS, 4, &c, false, false);
	book_small(b, "The plan's tools within a tenth of the size; a router as it cuts in the opening's template.");
}

void book_tools(book *b) {
	const model *m = b->m;
	static const sheetform_column COLUMNS[] = {{"Tool", -3, ALIGN_LEFT},
						   {"What it is", 34, ALIGN_LEFT},
						   {"Size that matters", -3, ALIGN_LEFT},
						   {"In steps", -2, ALIGN_LEFT}};
	size_t told = 0;
	for (model_ref i = 0; i < m->tools.n; i++) told += tool_told(b, i);
	book_chapter_if_room(b, "Tools", "tools", 40 + 9 * (double)told);
	book_paragraph(
		b, "Tick what you have. Where a size stands, the plan reckons with it: another size changes the kerf, "
		   "a template or a hole, so change the plan with it.");
	b->y += 2;
	book_cells c = {.columns = 4};
	for (model_ref i = 0; i < m->tools.n; i++) {
		const model_tool *t = &m->tools.v[i];
		static const char *const SPOKEN[] = {"saw", "drill bit", "hole saw", "router with bush", "hand tool"};
		if (!tool_told(b, i)) continue;
		book_row(b, &c, book_title_case(b, t->label ? t->label : t->name), SPOKEN[t->kind], tool_size(b, t),
			 tool_steps(b, i));
	}
	needed_tools(b, &c);
	book_cells_draw(b, COLUMNS, 4, &c, true, false);
	tool_options(b);
	book_small(b,
		   "Besides these: square, steel rule or tape, pencil, clamps, screwdriver, a caliper for the sheets' "
		   "thickness, eye and ear protection, a respirator. Common practice, not reckoned with.");
}

/* ---- shopping ---------------------------------------------------------------------------------------- */

static const char *amount(book *b, const model_buy *x) {
	const char *unit = x->unit ? x->unit : "";
	bool plural = x->amount > 1 && (text_same(unit, "sheet") || text_same(unit, "piece") ||
					text_same(unit, "bar") || text_same(unit, "pipe") || text_same(unit, "roll"));
	bool inch = b->m->measures == MEASURES_INCH;
	if (inch && text_same(unit, "m")) return arena_printf(b->mem, "%s ft", book_number(b, x->amount / 0.3048, 1));
	if (inch && text_same(unit, "l"))
		return arena_printf(b->mem, "%s fl oz", book_number(b, x->amount / 0.0295735, 1));
	if (inch && text_same(unit, "ml"))
		return arena_printf(b->mem, "%s fl oz", book_number(b, x->amount / 29.5735, 1));
	if (inch && text_same(unit, "m2")) return book_si(b, DIM_AREA, x->amount);
	if (text_same(unit, "m2")) unit = "m²";
	return arena_printf(b->mem, "%s %s%s", book_number(b, x->amount, 2), unit, plural ? "s" : "");
}

static const char *to_buy(book *b, const model_buy *x) {
	int64_t pack = x->stock < b->m->stocks.n ? b->m->stocks.v[x->stock].pack : 1;
	const char *unit = x->unit ? x->unit : "";
	if (x->stock == MODEL_NONE) return "–";
	/* Sold by measure, and by the metric one, whatever the plan's measures are. */
	const char *by = text_same(unit, "m") ? " m" : text_same(unit, "m2") ? " m²" : text_same(unit, "l") ? " l" : "";
	if (pack > 1) return arena_printf(b->mem, "%lld × %lld%s", (long long)x->packs, (long long)pack, by);
	if (by[0]) return arena_printf(b->mem, "%lld%s", (long long)x->packs, by);
	return arena_printf(b->mem, "%lld", (long long)x->packs);
}

static const char *const BUY_GROUP[STOCK_KINDS] = {
	[STOCK_SHEET] = "Sheet goods",
	[STOCK_BAR] = "Bars and boards",
	[STOCK_PIPE] = "Pipe and round bar",
	[STOCK_SCREW] = "Screws",
	[STOCK_COLLAR] = "Collars",
	[STOCK_MEDIA] = "Filter media",
	[STOCK_FILTER] = "Filter units",
	[STOCK_FAN] = "Fans",
	[STOCK_ITEM] = "Other bought items",
	[STOCK_GASKET] = "Gaskets",
	[STOCK_FINISH] = "Glue and finish",
	[STOCK_GROMMET] = "Grommets",
	[STOCK_CLAMP] = "Clamps",
};

static void shopping_group(book *b, book_cells *c, int kind) {
	const model *m = b->m;
	bool head = false;
	for (size_t i = 0; i < m->shopping.n; i++) {
		const model_buy *x = &m->shopping.v[i];
		int is = x->stock < m->stocks.n ? (int)m->stocks.v[x->stock].kind : STOCK_FINISH;
		if (is != kind) continue;
		if (!head) book_group_row(b, c, BUY_GROUP[kind]), head = true;
		const char *what = x->what ? x->what : book_stock_label(b, x->stock);
		book_row(b, c, book_title_case(b, what), x->reason ? book_plain(b, x->reason) : "", amount(b, x),
			 to_buy(b, x), x->cents >= 0 ? book_money(b, x->cents) : "not priced");
	}
}

static bool is_bought(const model *m, model_ref stock) {
	for (size_t k = 0; k < m->shopping.n; k++)
		if (m->shopping.v[k].stock == stock) return m->stocks.v[stock].source != NULL;
	return false;
}

/* Goods with the same source in one sentence. */
static void sources_of_stock(book *b) {
	const model *m = b->m;
	bool head = false, *told = ARENA_MANY(b->mem, bool, m->stocks.n + 1);
	for (model_ref i = 0; i < m->stocks.n; i++) {
		if (told[i] || !is_bought(m, i)) continue;
		textbuf names = textbuf_begin(b->mem);
		for (model_ref k = i; k < m->stocks.n; k++) {
			if (!is_bought(m, k) || !text_same(m->stocks.v[k].source, m->stocks.v[i].source)) continue;
			told[k] = true;
			textbuf_printf(&names, "%s%s", names.n ? "; " : "", book_stock_label(b, k));
		}
		if (!head) book_heading(b, "Where the figures of the goods come from"), head = true;
		book_small(b, arena_printf(b->mem, "%s: %s.", book_title_case(b, m->stocks.v[i].source), names.v));
	}
}

void book_shopping(book *b) {
	const model *m = b->m;
	static const sheetform_column COLUMNS[] = {{"What", -3, ALIGN_LEFT},
						   {"For", -3, ALIGN_LEFT},
						   {"Needed", 22, ALIGN_RIGHT},
						   {"Buy", 20, ALIGN_RIGHT},
						   {"Cost", 28, ALIGN_RIGHT}};
	if (!m->shopping.n) return;
	book_cells c = {.columns = 5};
	for (int kind = 0; kind < STOCK_KINDS; kind++) shopping_group(b, &c, kind);
	bool sum = m->cost_cents > 0;
	if (sum)
		book_row(b, &c, m->cost_whole ? "Together" : "Together, where a price is known", "", "", "",
			 book_money(b, m->cost_cents));
	book_chapter_if_room(b, "Shopping list", "shopping", book_cells_height(b, COLUMNS, 5, &c) + 10);
	book_cells_draw(b, COLUMNS, 5, &c, true, sum);
	if (sum)
		book_small(
			b,
			"Prices are the plan's; ask your shop. “Buy” counts packs where goods are sold by the pack.");
	for (size_t i = 0; i < m->layout.counts.n; i++) {
		const model_stock_count *k = &m->layout.counts.v[i];
		book_small(b, arena_printf(b->mem, "%s: %s.", book_title_case(b, book_stock_label(b, k->stock)),
					   cuts_write_count_words(b->mem, m, k)));
	}
	sources_of_stock(b);
}

/* ---- measuring --------------------------------------------------------------------------------------- */

double book_form_height(size_t rows, double row_height) { return 5.6 + (double)rows * row_height + BOOK_GAP; }

typedef struct form_cell { /* a long name takes as many lines as the row holds, in smaller letters if need be */
	const char *const *line;
	size_t n;
	double cap, lead;
} form_cell;

static form_cell form_cell_of(const book *b, double wide, double row_height, const char *text) {
	form_cell c = {.cap = BOOK_TABLE, .lead = 1.6 * BOOK_TABLE};
	c.n = display_wrap(b->mem, FONT_REGULAR, c.cap, wide - 2, text, &c.line);
	if ((double)c.n * c.lead <= row_height) return c;
	c.cap = CAP_SMALL, c.lead = 1.45 * c.cap;
	c.n = display_wrap(b->mem, FONT_REGULAR, c.cap, wide - 2, text, &c.line);
	return c;
}

void book_form(book *b, const char *const *heads, const double *weight, size_t columns, const char *const *cells,
	       size_t rows, double row_height) {
	double sum = 0;
	for (size_t i = 0; i < columns; i++) sum += weight[i];
	double each = book_width(b) / sum, head = 5.6;
	book_need(b, head + row_height * (double)(rows < 4 ? rows : 4));
	for (size_t row = 0, first = 1; row < rows; row++) {
		form_cell *cell = ARENA_MANY(b->mem, form_cell, columns);
		double high = row_height;
		for (size_t i = 0; i < columns; i++) {
			const char *text = cells[row * columns + i];
			if (text) cell[i] = form_cell_of(b, weight[i] * each, row_height, text);
			high = fmax(high, (double)cell[i].n * cell[i].lead + 1.2);
		}
		if (book_need(b, high)) first = 1;
		double x = b->area.x0;
		if (first) {
			for (size_t i = 0; i < columns; x += weight[i] * each, i++)
				display_bold(b->page, x + 1, b->y + 3.6, CAP_SMALL, ALIGN_LEFT, heads[i]);
			b->y += head;
			display_segment(b->page, PEN_PART, b->area.x0, b->y, b->area.x1, b->y);
			first = 0;
		}
		x = b->area.x0;
		for (size_t i = 0; i < columns; x += weight[i] * each, i++) {
			const form_cell *c = &cell[i];
			if (i) display_segment(b->page, PEN_RULE, x, b->y, x, b->y + high);
			double y = b->y + high / 2 + c->cap / 2 - ((double)c->n - 1) * c->lead / 2;
			for (size_t k = 0; k < c->n; k++, y += c->lead)
				display_text(b->page, x + 1, y, c->cap, ALIGN_LEFT, c->line[k]);
		}
		b->y += high;
		display_segment(b->page, PEN_RULE, b->area.x0, b->y, b->area.x1, b->y);
	}
	b->y += BOOK_GAP;
}

static bool sheet_is_used(const model *m, model_ref stock) {
	if (m->stocks.v[stock].kind != STOCK_SHEET) return false;
	for (size_t i = 0; i < model_rows(m); i++)
		if (m->parts.v[i].stock == stock && model_part_made(m, &m->parts.v[i])) return true;
	return false;
}

static rat thick_off(const model_stock *s, int way) {
	if (way == 0) return s->thick.mm;
	model_length by = way > 0 ? s->thick_plus : s->thick_minus;
	if (!rat_ok(by.mm)) return rat_poison();
	return way > 0 ? rat_add(s->thick.mm, by.mm) : rat_sub(s->thick.mm, by.mm);
}

/* `below` is what has to stand under the form: the rows give way for it, as far as one can still write in them. */
static void thickness_form(book *b, double below) {
	static const char *const HEADS[] = {"Sheet",	"plan says", "corner 1", "corner 2",
					    "corner 3", "corner 4",  "middle",	 "date"};
	static const double WEIGHT[] = {6.2, 3, 1.5, 1.5, 1.5, 1.5, 1.5, 1.5};
	const model *m = b->m;
	LIST(const char *) cells = {0};
	for (size_t i = 0; i < m->layout.sheets.n || (m->layout.sheets.n == 0 && i < m->stocks.n); i++) {
		model_ref stock = m->layout.sheets.n ? m->layout.sheets.v[i].stock : (model_ref)i;
		if (!sheet_is_used(m, stock)) continue;
		const model_stock *s = &m->stocks.v[stock];
		rat low = thick_off(s, -1), high = thick_off(s, 1);
		const char *spread = book_length(b, s->thick.mm);
		if (rat_ok(low) && rat_ok(high) && rat_lt(low, high))
			spread = arena_printf(b->mem, "%s to %s", book_bare(b, low), book_length(b, high));
		LIST_PUSH(b->mem, &cells,
			  m->layout.sheets.n ? arena_printf(b->mem, "%zu  %s", i + 1, s->label) : s->label);
		LIST_PUSH(b->mem, &cells, spread);
		for (int k = 0; k < 6; k++) LIST_PUSH(b->mem, &cells, NULL);
	}
	if (!cells.n) return;
	const double most = 10, least = 7;
	double high = most;
	while (high > least && book_form_height(cells.n / 8, high) + below > book_left(b)) high -= 0.5;
	if (book_form_height(cells.n / 8, high) + below > book_left(b)) high = most;
	book_form(b, HEADS, WEIGHT, 8, cells.v, cells.n / 8, high);
}

static const sheetform_column WIDTHS[] = {{"Dado, rabbet, groove", -3, ALIGN_LEFT}, {"adds", 20, ALIGN_RIGHT},
					  {"thinnest sheet", 26, ALIGN_RIGHT},	    {"as planned", 24, ALIGN_RIGHT},
					  {"thickest sheet", 26, ALIGN_RIGHT},	    {"yours", 24, ALIGN_LEFT}};

static book_cells groove_cells(book *b) {
	const model *m = b->m;
	book_cells c = {.columns = 6};
	for (size_t i = 0; i < m->joints.n; i++) {
		const model_joint *j = &m->joints.v[i];
		if (!joint_enters(j->kind) || j->kind == JOINT_TONGUE || j->a >= m->parts.n) continue;
		model_ref stock = m->parts.v[j->a].stock;
		if (stock >= m->stocks.n || m->stocks.v[stock].kind != STOCK_SHEET) continue;
		rat add = rat_ok(j->allowance.mm) ? j->allowance.mm : rat_int(0);
		const char *width[3];
		for (int way = -1; way <= 1; way++) {
			rat thick = thick_off(&m->stocks.v[stock], way);
			width[way + 1] = rat_ok(thick) ? book_length(b, rat_add(thick, add)) : "–";
		}
		book_row(b, &c, book_title_case(b, book_spoken(b, j->name)), book_length(b, add), width[0], width[1],
			 width[2], "");
	}
	return c;
}

enum { HEAD_HIGH = 16 };
/* With its heading and two lines of words. */
static double groove_height(const book *b, const book_cells *c) {
	return c->v.n ? HEAD_HIGH + 11 + book_cells_height(b, WIDTHS, 6, c) : 0;
}

static void groove_widths(book *b, const book_cells *c) {
	if (!c->v.n) return;
	book_heading_with(b, "The dado follows the sheet", groove_height(b, c) - HEAD_HIGH);
	book_paragraph(
		b, "Width to cut = the thickness you measured + what the joint adds for the fit. Try it in an offcut "
		   "first: a push by hand, no hammer, no rattle.");
	b->y += 1;
	book_cells_draw(b, WIDTHS, 6, c, false, false);
}

void book_measure(book *b) {
	const model *m = b->m;
	bool any = false;
	for (model_ref i = 0; i < m->stocks.n; i++) any = any || sheet_is_used(m, i);
	if (!any) return;
	book_chapter_if_room(b, "Measure your sheets", "measure", 110);
	book_paragraph(
		b, "Sheets are seldom as thick as they are called. Measure each one with a caliper at four corners and "
		   "in the middle before anything is cut, and write it down.");
	b->y += 1;
	book_cells grooves = groove_cells(b);
	thickness_form(b, 11 + groove_height(b, &grooves));
	book_paragraph(
		b, "Within the spread the plan says, go on: the dado takes up the difference. Outside of it, put the "
		   "measured thickness into the plan and print anew; every size that depends on it follows.");
	groove_widths(b, &grooves);
}
