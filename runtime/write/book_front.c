/* The first pages: cover, contents, what the builder will have. */
#include <math.h>

#include "runtime/base/text.h"
#include "runtime/draw/dim.h"
#include "runtime/write/book_build.h"
#include "runtime/write/pdf.h"

typedef struct fact {
	const char *name, *value;
} fact;
typedef LIST(fact) facts;

static void fact_add(book *b, facts *f, const char *name, const char *value) {
	LIST_PUSH(b->mem, f, ((fact){name, value}));
}

double book_fan_flow(const model *m, int condition) {
	const model_air_result *r = &m->air.result[condition];
	if (!m->air.given || !r->solved) return NAN;
	double sum = 0;
	size_t fans = 0;
	for (size_t i = 0; i < m->air.branches.n; i++)
		if (m->air.branches.v[i].kind == AIR_FAN) sum += r->flow[i].flow_m3_s, fans++;
	return fans ? sum : NAN;
}

static const char *overall(const book *b) {
	const box3 *x = &b->m->bounds;
	measures m = b->m->measures;
	return arena_printf(b->mem, "%s × %s × %s %s", dim_text_overall(b->mem, box_size(*x, AXIS_X), m),
			    dim_text_overall(b->mem, box_size(*x, AXIS_Y), m),
			    dim_text_overall(b->mem, box_size(*x, AXIS_Z), m), m == MEASURES_INCH ? "in" : "mm");
}

static const char *cost(const book *b) {
	if (b->m->cost_cents <= 0) return NULL;
	return arena_printf(b->mem, "%s%s", b->m->cost_whole ? "" : "at least ", book_money(b, b->m->cost_cents));
}

static const char *sheets_used(const book *b) {
	size_t sheets = b->m->layout.sheets.n, bars = b->m->layout.bars.n;
	const char *sheet = sheets == 1 ? "sheet" : "sheets", *bar = bars == 1 ? "bar" : "bars";
	if (sheets && bars) return arena_printf(b->mem, "%zu %s, %zu %s", sheets, sheet, bars, bar);
	if (sheets) return arena_printf(b->mem, "%zu %s", sheets, sheet);
	return bars ? arena_printf(b->mem, "%zu %s", bars, bar) : NULL;
}

static facts cover_facts(book *b) {
	const model *m = b->m;
	facts f = {0};
	fact_add(b, &f, "Width × depth × height", overall(b));
	fact_add(b, &f, "Weight", book_si(b, DIM_MASS, m->mass_kg));
	double flow = book_fan_flow(m, 1);
	if (isfinite(flow)) fact_add(b, &f, "Air, filters due for care", book_si(b, DIM_FLOW, flow));
	if (sheets_used(b)) fact_add(b, &f, "Sheet goods and bars", sheets_used(b));
	if (m->order.hands_on_minutes > 0)
		fact_add(b, &f, "Hands-on work",
			 arena_printf(b->mem, "about %.0f h", ceil(m->order.hands_on_minutes / 60)));
	if (cost(b)) fact_add(b, &f, "Material", cost(b));
	return f;
}

/* The narrowest measure in which the text takes no more lines: its lines become about equally long. */
static double even_width(book *b, const display_style *style, double most, const char *text) {
	const char *const *lines;
	size_t n = display_wrap(b->mem, style->font, style->cap, most, text, &lines);
	double width = most;
	while (width > most / 3 && display_wrap(b->mem, style->font, style->cap, width - 2, text, &lines) == n)
		width -= 2;
	return width;
}

void book_cover(book *b) {
	const model *m = b->m;
	display *d = sheetform_page(b->mem, m->paper, false);
	display_box area = sheetform_area(d);
	double w = area.x1 - area.x0, y = area.y0 + 4;
	display_anchor_at(d, "cover", area.x0, area.y0);
	display_bookmark_at(d, 1, m->title, 0);
	display_text_style(d, area.x0, y + 2.5, &(display_style){.cap = CAP_BODY, .grey = 0.25}, "Build book");
	display_keep_to(d, area);
	if (m->edition)
		display_text(d, area.x1, y + 2.5, CAP_BODY, ALIGN_RIGHT,
			     display_fit(b->mem, FONT_REGULAR, CAP_BODY, w * 0.6,
					 arena_printf(b->mem, "Edition %s", m->edition)));
	y += 9;
	display_segment(d, PEN_FRAME, area.x0, y, area.x1, y);
	y += 8;
	const display_style title = {.cap = CAP_COVER, .font = FONT_BOLD};
	y = display_paragraph(d, area.x0, y, even_width(b, &title, w, m->title), &title, m->title);
	if (m->purpose) {
		const display_style body = {.cap = CAP_BODY};
		y = display_paragraph(d, area.x0, y + 3, w * 0.72, &body, m->purpose);
	}
	facts f = cover_facts(b);
	size_t rows = (f.n + 2) / 3;
	double facts_y = area.y1 - 8 - (double)rows * 15;
	view_scene scene = view_from_model(b->mem, m, NULL, NULL, false);
	view_options options = {.corner = VIEW_FRONT_RIGHT_TOP, .overall = true, .measures = m->measures, .cap = 3.2};
	if (scene.n && b->total) view_draw(d, display_box_of(area.x0, y + 4, w, facts_y - y - 10), &scene, &options);
	display_segment(d, PEN_EDGE, area.x0, facts_y - 4, area.x1, facts_y - 4);
	for (size_t i = 0; i < f.n; i++) {
		double x = area.x0 + (double)(i % 3) * w / 3, at = facts_y + (double)(i / 3) * 15;
		display_text_style(d, x, at + 3, &(display_style){.cap = CAP_SMALL, .grey = 0.25}, f.v[i].name);
		double cap = 2.9, room = w / 3 - 4, wide = display_text_width(FONT_BOLD, cap, f.v[i].value);
		if (wide > room) cap *= room / wide;
		display_bold(d, x, at + 8.5, cap, ALIGN_LEFT, f.v[i].value);
	}
	display_text_style(d, area.x1, area.y1 - 1, &(display_style){.cap = CAP_SMALL, .align = ALIGN_RIGHT},
			   book_next_page_words(b));
	display_text_style(d, area.x0, area.y1 - 1, &(display_style){.cap = CAP_SMALL, .grey = 0.25},
			   "Calculated from the plan; a calculation is no approval.");
	book_foreign_page(b, d);
}

/* ---- contents --------------------------------------------------------------------------------------- */

typedef struct entry {
	const char *title, *anchor;
} entry;

static void contents_line(book *b, const entry *e) {
	if (b->total && !book_page_of(b, e->anchor)) return;
	const double leading = 6.4;
	display_text(b->page, b->area.x0, b->y + CAP_BODY, CAP_BODY, ALIGN_LEFT, e->title);
	double right = b->area.x0 + book_width(b) * 0.86;
	display_text(b->page, right, b->y + CAP_BODY, CAP_BODY, ALIGN_RIGHT, book_page_word(b, e->anchor));
	double from = b->area.x0 + display_text_width(FONT_REGULAR, CAP_BODY, e->title) + 3;
	display_segment(b->page, PEN_HATCH, from, b->y + CAP_BODY, right - 9, b->y + CAP_BODY);
	display_link_to(b->page, display_box_of(b->area.x0, b->y - 1, right - b->area.x0, leading - 1), e->anchor);
	b->y += leading;
}

void book_contents(book *b) {
	static const entry CHAPTERS[] = {
		{"What you will have", "what"},
		{"Before you begin: cautions", "cautions"},
		{"Tools", "tools"},
		{"Shopping list", "shopping"},
		{"Measure your sheets", "measure"},
		{"Parts", "parts"},
		{"Sheets and bars: what is cut where", "sheets"},
		{"Drawings of the parts", "drawings"},
		{"Templates", "templates"},
		{"Building it, step by step", "steps"},
		{"The way of the air", "air"},
		{"What the plan requires", "requirements"},
		{"Commissioning sheet", "commissioning"},
		{"Care", "care"},
		{"Where the numbers come from", "numbers"},
		{"Index of parts", "index"},
	};
	book_chapter(b, "Contents", "contents");
	b->y += 3;
	for (size_t i = 0; i < sizeof CHAPTERS / sizeof *CHAPTERS; i++) contents_line(b, &CHAPTERS[i]);
	b->y += 5;
	book_heading(b, "How to read this book");
	bool inch = b->m->measures == MEASURES_INCH;
	book_paragraph(
		b, arena_printf(b->mem,
				"Lengths are in %s. Left, right, front and back are as you stand before the finished "
				"piece. A number in a circle in a picture is the part's number in the parts list.",
				inch ? "inches; a ~ stands before a size that is rounded to the nearest 1/64"
				     : "millimetres where no unit stands"));
	book_paragraph(b,
		       "Sizes of parts are as cut from the sheet: tongues that go into dados are included. Holes are "
		       "measured from one corner, the datum, which each drawing names.");
	book_paragraph(b,
		       "Nothing in this book was typed twice: sizes, counts, air figures and the order of work follow "
		       "from one plan. When your material differs from the plan's, change the plan and print anew.");
	const source_set *s = b->m->sources;
	if (!s || !s->files.n) return;
	book_paragraph(b, arena_printf(b->mem,
				       "The plan's text, and all that it uses, is attached to this file. The MD5 sum "
				       "of %s.plan is %s.",
				       b->m->slug, pdf_checksum(b->mem, s->files.v[0].text, s->files.v[0].size)));
}

/* ---- what you will have ------------------------------------------------------------------------------- */

/* Name left, value right, a hairline under each: no head. */
static void facts_table(book *b, const facts *f) {
	const display_style style = {.cap = BOOK_TABLE};
	double right = b->area.x0 + book_width(b) * 0.86;
	for (size_t i = 0; i < f->n; i++) {
		double wide = right - b->area.x0 - display_text_width(FONT_BOLD, CAP_BODY, f->v[i].value) - 5;
		double row = 6.2 + display_paragraph_height(b->mem, wide, &style, f->v[i].name) -
			     display_paragraph_height(b->mem, wide, &style, "x");
		book_need(b, row);
		display_paragraph(b->page, b->area.x0, b->y + 4.2 - BOOK_TABLE, wide, &style, f->v[i].name);
		display_bold(b->page, right, b->y + 4.2, CAP_BODY, ALIGN_RIGHT, f->v[i].value);
		b->y += row;
		display_segment(b->page, PEN_HATCH, b->area.x0, b->y, right, b->y);
	}
	b->y += BOOK_GAP;
}

static void air_facts(book *b, facts *f) {
	const model_air *a = &b->m->air;
	if (!a->given) return;
	double clean = book_fan_flow(b->m, 0), dirty = book_fan_flow(b->m, 1);
	if (isfinite(clean)) fact_add(b, f, "Air moved, filters clean", book_si(b, DIM_FLOW, clean));
	if (isfinite(dirty)) fact_add(b, f, "Air moved, filters due for care", book_si(b, DIM_FLOW, dirty));
	for (size_t i = 0; i < a->branches.n && a->result[1].solved; i++) {
		const model_branch *w = &a->branches.v[i];
		if (w->from >= a->spaces.n || !a->spaces.v[w->from].room ||
		    (w->kind != AIR_GAP && w->kind != AIR_OPENINGS))
			continue;
		fact_add(b, f,
			 arena_printf(b->mem, "Speed through %s (over its open area), filters due for care",
				      book_plain(b, w->name)),
			 book_si(b, DIM_SPEED, a->result[1].flow[i].speed_m_s));
	}
	if (isfinite(a->dust_held_kg))
		fact_add(b, f, "Dust the filters hold before care", book_si(b, DIM_MASS, a->dust_held_kg));
	if (isfinite(a->hours_to_dirty))
		fact_add(b, f, "Working hours until then",
			 arena_printf(b->mem, "%s h", book_hours_worked(b, a->hours_to_dirty)));
	if (isfinite(a->room_changes_per_h))
		fact_add(b, f, "Room air passed, filters due for care",
			 arena_printf(b->mem, "%s times an hour", book_number(b, a->room_changes_per_h, 1)));
}

static bool waiver_told(const book *b, const char *rule) {
	for (size_t i = 0; i < b->m->waived.n; i++)
		if (text_same(b->m->waived.v[i].rule, rule)) return true;
	return false;
}

static void waived_head(book *b, bool *head) {
	if (!*head) book_heading(b, "Rules set aside, and why");
	*head = true;
}

/* "hole-edge for baffle" */
static const char *waiver_name(const book *b, const model_waiver *w) {
	const char *words = w->rule;
	for (size_t i = 0; i < w->things.n; i++)
		words = arena_printf(b->mem, "%s %s %s", words, i ? "and" : "for", w->things.v[i]);
	return words;
}

/* Limits that the plan sets anew: what they are otherwise, what they are here, why. */
static void tuned(book *b) {
	const model *m = b->m;
	if (m->tuned.n) book_heading(b, "Limits of rules set anew, and why");
	for (size_t i = 0; i < m->tuned.n; i++) {
		const model_tuned *t = &m->tuned.v[i];
		const char *was = *t->was_text ? arena_printf(b->mem, " in place of %s", t->was_text) : "";
		book_item_line(b, 0, arena_printf(b->mem, "%s: %s%s. %s", t->limit, t->is_text, was, t->because));
	}
}

/* Every finding that was set aside with its reason, then what the plan allows without need. */
static void waived(book *b) {
	const model *m = b->m;
	bool head = false;
	for (size_t i = 0; i < m->waived.n; i++) {
		const model_waived *d = &m->waived.v[i];
		waived_head(b, &head);
		book_item_line(
			b, 0,
			arena_printf(b->mem, "%s. Set aside (%s): %s", book_capital(b, d->text), d->rule, d->because));
	}
	for (size_t i = 0; i < m->waivers.n; i++) {
		const model_waiver *w = &m->waivers.v[i];
		if (w->used && waiver_told(b, w->rule)) continue;
		waived_head(b, &head);
		book_item_line(b, 0,
			       arena_printf(b->mem, "%s: %s%s", waiver_name(b, w),
					    w->because ? w->because : "no reason given",
					    w->used ? "" : " (nothing in this plan came under it)"));
	}
}

static const char *let_shown(book *b, const model_let *l) {
	return l->kind == MODEL_LET_TEXT    ? l->text
	       : l->kind == MODEL_LET_TRUTH ? l->truth ? "yes" : "no"
					    : model_show(b->m, l->value);
}

/* The named values that the plan explains: those that a reader may want otherwise. */
static void named_values(book *b) {
	static const sheetform_column COLUMNS[] = {{"What the plan sets", -5, ALIGN_LEFT},
						   {"Here", -2, ALIGN_RIGHT},
						   {"From", 24, ALIGN_RIGHT},
						   {"To", 24, ALIGN_RIGHT},
						   {"Its name", 30, ALIGN_LEFT}};
	const model *m = b->m;
	book_cells c = {.columns = 5};
	for (size_t i = 0; i < m->lets.n; i++) {
		const model_let *l = &m->lets.v[i];
		if (!l->help || !*l->help) continue;
		book_row(b, &c, l->help, let_shown(b, l), l->has_range ? model_show(m, l->least) : "",
			 l->has_range ? model_show(m, l->most) : "", l->name);
	}
	if (!c.v.n) return;
	book_heading(b, "What can be chosen");
	book_paragraph(b, "The book is made for these values. With others in the plan it comes out anew.");
	book_cells_draw(b, COLUMNS, 5, &c, false, false);
}

static void edition_history(book *b) {
	const model *m = b->m;
	if (!m->history.n) return;
	static const sheetform_column COLUMNS[] = {{"Edition", 24, ALIGN_LEFT}, {"What is in it", -1, ALIGN_LEFT}};
	book_cells c = {.columns = 2};
	for (size_t i = 0; i < m->history.n; i++) {
		const model_history *h = &m->history.v[i];
		book_row(b, &c, h->edition ? h->edition : "", h->what ? h->what : "");
	}
	book_heading_with(b, "Editions", book_cells_height(b, COLUMNS, 2, &c));
	book_cells_draw(b, COLUMNS, 2, &c, false, false);
}

void book_what(book *b) {
	const model *m = b->m;
	book_chapter(b, "What you will have", "what");
	if (m->purpose) book_paragraph(b, m->purpose);
	facts f = cover_facts(b);
	facts rest = {0};
	for (size_t i = 0; i < f.n; i++)
		if (!text_same(f.v[i].name, "Air, filters due for care")) LIST_PUSH(b->mem, &rest, f.v[i]);
	air_facts(b, &rest);
	if (m->order.elapsed_minutes > 0)
		fact_add(b, &rest, "From first cut to test, waits included", book_about(b, m->order.elapsed_minutes));
	size_t made = 0, bought = 0;
	for (size_t i = 0; i < b->items.n; i++) *(b->items.v[i].made ? &made : &bought) += b->items.v[i].parts.n;
	made -= m->n_extra;
	fact_add(b, &rest, "Parts to make, bought units",
		 arena_printf(b->mem, "%zu to make, %zu bought%s", made, bought,
			      m->n_extra ? arena_printf(b->mem, "; %zu extra piece%s", m->n_extra,
							m->n_extra == 1 ? "" : "s")
					 : ""));
	b->y += 2;
	facts_table(b, &rest);
	if (m->notes.n) {
		book_heading(b, "Notes to the builder");
		for (size_t i = 0; i < m->notes.n; i++)
			if (m->notes.v[i].v) book_item_line(b, 0, m->notes.v[i].v);
	}
	size_t held = 0, known = 0;
	for (size_t i = 0; i < m->requires.n; i++)
	known += m->requires.v[i].known, held += m->requires.v[i].known && m->requires.v[i].held;
	if (m->requires.n) {
		book_heading(b, "What the plan asks of itself");
		book_paragraph(b,
			       arena_printf(b->mem,
					    "The plan states %zu requirement%s; by calculation %zu of %zu %s met. "
					    "%s with limit and margin on page %s.",
					    m->requires.n, m->requires.n == 1 ? "" : "s", held, known,
					    known == 1 ? "is" : "are", m->requires.n == 1 ? "It stands" : "Each stands",
					    book_page_word(b, "requirements")));
	}
	waived(b);
	tuned(b);
	named_values(b);
	edition_history(b);
}
