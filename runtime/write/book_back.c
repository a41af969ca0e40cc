/* The last pages: requirements, commissioning, care, where the numbers come from, index. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "runtime/base/text.h"
#include "runtime/write/book_build.h"

enum { CLEAN, DIRTY };

static const char *show(book *b, quant q) { return model_show(b->m, q); }

/* How far the value stands from its limit, in the direction that is wanted. */
static const char *margin(book *b, const model_require *r) {
	double value = quant_si(r->left), limit = quant_si(r->right);
	if (!r->known || !isfinite(value) || !isfinite(limit) || limit == 0) return "";
	double over = (value - limit) / fabs(limit) * 100;
	if (r->compare[0] == '<') over = -over;
	if (r->compare[0] != '<' && r->compare[0] != '>') return "";
	return arena_printf(b->mem, "%s%s %%", over > 0 ? "+" : "", book_number(b, over, fabs(over) < 10 ? 1 : 0));
}

void book_requirements(book *b) {
	static const sheetform_column COLUMNS[] = {{"The plan requires", -5, ALIGN_LEFT},
						   {"Limit", 24, ALIGN_RIGHT},
						   {"Calculated", 25, ALIGN_RIGHT},
						   {"Margin", 17, ALIGN_RIGHT},
						   {"Basis", -5, ALIGN_LEFT}};
	const model *m = b->m;
	if (!m->requires.n) return;
	book_cells c = {.columns = 5};
	for (size_t i = 0; i < m->requires.n; i++) {
		const model_require *r = &m->requires.v[i];
		bool sides = r->known && r->compare[0];
		const char *value = sides ? show(b, r->left) : !r->known ? "not known" : r->held ? "yes" : "no";
		if (r->known && !r->held) value = arena_printf(b->mem, "%s (not met)", value);
		book_row(b, &c, r->text, sides ? arena_printf(b->mem, "%s %s", r->compare, show(b, r->right)) : "",
			 value, margin(b, r), r->because ? r->because : "");
	}
	book_chapter_if_room(b, "What the plan requires", "requirements", 16 + book_cells_height(b, COLUMNS, 5, &c));
	book_paragraph(
		b,
		"Each line is written in the plan and worked out anew every time the book is made. Margin: how far the "
		"calculated value lies on the wanted side of the limit.");
	b->y += 1;
	book_cells_draw(b, COLUMNS, 5, &c, false, false);
}

/* ---- commissioning ------------------------------------------------------------------------------------------ */

static bool solved(const model *m, int condition) { return m->air.given && m->air.result[condition].solved; }

#define LEAST_READING_PA 2.0 /* a water gauge in the shop shows about 0.01 in: common practice, no source */

/* A hose finds a space that the plan names; where it names none all are told. */
static bool has_gauge(const model *m, size_t space) {
	bool any = false;
	for (size_t i = 0; i < m->air.spaces.n; i++)
		any = any || (m->air.spaces.v[i].named && !m->air.spaces.v[i].room);
	if (m->air.spaces.v[space].room || model_space_in_stream(m, (model_ref)space)) return false;
	return m->air.spaces.v[space].named || !any;
}

static const char *reading(book *b, int condition, size_t space) {
	if (!solved(b->m, condition)) return "–";
	double pa = b->m->air.result[condition].pressure_pa[space];
	return fabs(pa) < LEAST_READING_PA ? "too small to read" : book_si(b, DIM_PRESSURE, pa);
}

static void gauge_form(book *b) {
	static const char *const HEADS[] = {"Gauge at", "filters clean", "filters due", "measured",
					    "date",	"measured",	 "date"};
	static const double WEIGHT[] = {3.6, 2.1, 2.1, 2, 1.8, 2, 1.8};
	const model *m = b->m;
	LIST(const char *) cells = {0};
	for (size_t i = 0; i < m->air.spaces.n; i++) {
		if (!has_gauge(m, i)) continue;
		LIST_PUSH(b->mem, &cells, book_plain(b, m->air.spaces.v[i].name));
		for (int k = CLEAN; k <= DIRTY; k++) LIST_PUSH(b->mem, &cells, reading(b, k, i));
		for (int k = 0; k < 4; k++) LIST_PUSH(b->mem, &cells, NULL);
	}
	if (!cells.n) return;
	book_heading_with(b, "Pressures against the room", book_form_height(cells.n / 7, 9));
	book_form(b, HEADS, WEIGHT, 7, cells.v, cells.n / 7, 9);
}

static const char *cover_words(book *b, bool worked) {
	const model *m = b->m;
	textbuf what = textbuf_begin(b->mem);
	for (size_t i = 0; i < m->air.branches.n; i++) {
		const model_branch *w = &m->air.branches.v[i];
		if (!worked && w->covered_part > 0)
			textbuf_printf(&what, "%s%s by %s %%", what.n ? ", " : "", book_plain(b, w->name),
				       book_number(b, w->covered_part * 100, 0));
		if (worked && w->worked)
			textbuf_printf(&what, "%s%s, of which %s is left open", what.n ? "; " : "",
				       book_plain(b, w->name), book_si(b, DIM_AREA, w->work_open_m2));
	}
	return what.n ? what.v : "as declared";
}

/* The same places in another state: covered, with the work laid on, the fan at another tap. */
static void state_form(book *b, int clean) {
	static const double WEIGHT[] = {3.6, 2.2, 2.2, 2, 1.8, 2, 1.8};
	const model *m = b->m;
	int due = clean + 1;
	if (!model_condition_given(m, clean) || !solved(m, clean) || !solved(m, due)) return;
	const char *const heads[] = {"Gauge at", "filters clean", "filters due", "measured",
				     "date",	 "measured",	  "date"};
	LIST(const char *) cells = {0};
	for (size_t i = 0; i < m->air.spaces.n; i++) {
		if (!has_gauge(m, i)) continue;
		LIST_PUSH(b->mem, &cells, book_plain(b, m->air.spaces.v[i].name));
		for (int k = clean; k <= due; k++) LIST_PUSH(b->mem, &cells, reading(b, k, i));
		for (int k = 0; k < 4; k++) LIST_PUSH(b->mem, &cells, NULL);
	}
	if (!cells.n) return;
	bool covered = model_condition_covered(clean), worked = model_condition_worked(clean);
	const char *tap = model_condition_tap(m, clean);
	book_heading_with(b,
			  arena_printf(b->mem, "The same%s%s",
				       covered	? ", covered"
				       : worked ? ", with the work laid on"
						: ", nothing covered",
				       tap ? arena_printf(b->mem, ", fan at %s", tap) : ""),
			  7 + book_form_height(cells.n / 7, 9));
	if (covered || worked)
		book_paragraph(b, arena_printf(b->mem, "Cover as the plan reckons: %s.", cover_words(b, worked)));
	book_form(b, heads, WEIGHT, 7, cells.v, cells.n / 7, 9);
}

static void speed_form(book *b) {
	static const char *const HEADS[] = {"Speed at",	   "over the area of", "filters clean",
					    "filters due", "measured",	       "date"};
	static const double WEIGHT[] = {3, 3.6, 2, 2, 2, 1.6};
	const model *m = b->m;
	LIST(const char *) cells = {0};
	for (size_t i = 0; i < m->air.branches.n; i++) {
		const model_branch *w = &m->air.branches.v[i];
		if (w->kind != AIR_GAP && w->kind != AIR_OPENINGS) continue;
		const char *area = book_si(b, DIM_AREA, model_open_m2(w, CLEAN)), *over;
		if (w->kind == AIR_GAP)
			over = arena_printf(b->mem, "the gap, %s", area);
		else
			over = w->count == 1 ? arena_printf(b->mem, "the opening, %s", area)
					     : arena_printf(b->mem, "%u openings, %s", w->count, area);
		LIST_PUSH(b->mem, &cells, book_plain(b, w->name));
		LIST_PUSH(b->mem, &cells, over);
		for (int k = CLEAN; k <= DIRTY; k++) {
			const model_flow *f = solved(m, k) ? &m->air.result[k].flow[i] : NULL;
			LIST_PUSH(b->mem, &cells, f ? book_si(b, DIM_SPEED, f->speed_m_s) : "–");
		}
		LIST_PUSH(b->mem, &cells, NULL);
		LIST_PUSH(b->mem, &cells, NULL);
	}
	if (!cells.n) return;
	book_heading_with(b, "Speeds", book_form_height(cells.n / 6, 9));
	book_form(b, HEADS, WEIGHT, 6, cells.v, cells.n / 6, 9);
}

void book_commissioning(book *b) {
	if (!solved(b->m, CLEAN)) return;
	book_chapter(b, "Commissioning sheet", "commissioning");
	book_paragraph(
		b,
		"Predicted readings, and room for yours. Fill in the first column of measurements when the filters are "
		"new: it is what every later reading is compared with.");
	book_item_line(b, 1, "Covers and doors closed, filters new, nothing before the openings.");
	book_item_line(
		b, 2,
		"Set the gauge to zero with both hoses open to the room. Then one hose through a small hole into the "
		"space named, square to the air, the other open to the room. A minus is suction.");
	book_item_line(b, 3,
		       "Speeds are those in the openings and gaps, not before them: hold a small probe into nine of a "
		       "field's openings, or at nine places in a single one or a gap, and write the mean.");
	book_item_line(
		b, 4,
		"More suction than predicted: something narrows the way before that place. Less: a leak, or a fan "
		"that turns too slowly or the wrong way round.");
	b->y += 3;
	static const char *const HEADS[] = {"Tested by", "Date", "Gauge used"};
	static const double WEIGHT[] = {3, 2, 3};
	static const char *const CELLS[] = {NULL, NULL, NULL};
	book_form(b, HEADS, WEIGHT, 3, CELLS, 1, 10);
	gauge_form(b);
	speed_form(b);
	for (int c = 2; c < model_conditions(b->m); c += 2) state_form(b, c);
}

/* ---- care ------------------------------------------------------------------------------------------------------ */

static void filter_care(book *b) {
	static const sheetform_column COLUMNS[] = {{"Filter", -3, ALIGN_LEFT},
						   {"Gauge across it, new", 34, ALIGN_RIGHT},
						   {"Clean or change at", 34, ALIGN_RIGHT},
						   {"Gauge behind it then", 36, ALIGN_RIGHT}};
	const model *m = b->m;
	book_cells c = {.columns = 4};
	for (size_t i = 0; i < m->air.branches.n; i++) {
		const model_branch *w = &m->air.branches.v[i];
		if ((w->kind != AIR_FILTER && w->kind != AIR_TUBES) || !solved(m, CLEAN) || !solved(m, DIRTY)) continue;
		book_row(b, &c, book_title_case(b, w->name),
			 book_si(b, DIM_PRESSURE, m->air.result[CLEAN].flow[i].loss_pa),
			 book_si(b, DIM_PRESSURE, m->air.result[DIRTY].flow[i].loss_pa),
			 book_si(b, DIM_PRESSURE, m->air.result[DIRTY].pressure_pa[w->to]));
	}
	if (!c.v.n) return;
	book_heading_with(b, "Filters", book_cells_height(b, COLUMNS, 4, &c));
	book_cells_draw(b, COLUMNS, 4, &c, false, false);
	if (isfinite(m->air.hours_to_dirty))
		book_paragraph(
			b,
			arena_printf(b->mem,
				     "At the dust the plan reckons with, that is after about %s hours of work (%s of "
				     "dust held). The gauge decides, not the clock.",
				     book_hours_worked(b, m->air.hours_to_dirty),
				     book_si(b, DIM_MASS, m->air.dust_held_kg)));
}

/* As many rows as the page holds: it is written in for years. */
static void care_log(book *b) {
	static const char *const HEADS[] = {"Date", "Hours", "Gauge", "What was done", "By"};
	static const double WEIGHT[] = {2, 1.5, 2, 6, 1.5};
	const double high = 9;
	LIST(const char *) cells = {0};
	book_heading_with(b, "Log", book_form_height(4, high));
	size_t rows = (size_t)fmax(4, floor((book_left(b) - book_form_height(0, high) + BOOK_GAP) / high));
	for (size_t i = 0; i < 5 * rows; i++) LIST_PUSH(b->mem, &cells, NULL);
	book_form(b, HEADS, WEIGHT, 5, cells.v, rows, high);
}

void book_care(book *b) {
	const model *m = b->m;
	if (!m->air.given) return;
	book_chapter_if_room(b, "Care", "care", 110);
	book_caution(
		b, SIGNAL_WARNING,
		"Power off and locked, respirator on, before you open it, empty it or change a filter. Put dust into a "
		"closed bag or a lidded metal bin outdoors, away from heat, as local rules ask.");
	filter_care(b);
	if (isfinite(m->air.hours_to_full_trough)) {
		book_heading(b, "Where the dust falls");
		book_paragraph(
			b, arena_printf(b->mem,
					"The trough holds %s; by calculation it is full after about %s hours of work. "
					"Empty it well before, and whenever a day's work ends.",
					book_si(b, DIM_VOLUME, m->air.trough_m3),
					book_hours_worked(b, m->air.hours_to_full_trough)));
	}
	care_log(b);
}

/* ---- index --------------------------------------------------------------------------------------------------------
 */

static int by_name(const void *a, const void *c) {
	const model_part *const *p = a, *const *q = c;
	return strcmp((*p)->name, (*q)->name);
}

static const char *steps_of(book *b, model_ref part) {
	const model_order *o = &b->m->order;
	textbuf t = textbuf_begin(b->mem);
	for (size_t i = 0; i < o->steps.n; i++) {
		bool in = false;
		for (size_t k = 0; k < o->steps.v[i].ops.n && !in; k++) {
			const model_op *op = &o->ops.v[o->steps.v[i].ops.v[k]];
			for (size_t q = 0; q < op->parts.n && !in; q++) in = op->parts.v[q] == part;
		}
		if (!in) continue;
		const char *page = book_page_word(b, arena_printf(b->mem, "step:%zu", i + 1));
		textbuf_printf(&t, "%s%zu (p. %s)", t.n ? ", " : "", i + 1, page);
	}
	return t.n ? t.v : "";
}

void book_index(book *b) {
	static const sheetform_column COLUMNS[] = {{"Name in the plan", -3, ALIGN_LEFT},
						   {"No.", 12, ALIGN_RIGHT},
						   {"Drawing", 18, ALIGN_RIGHT},
						   {"Steps", -6, ALIGN_LEFT}};
	const model *m = b->m;
	const model_part **sorted = ARENA_MANY(b->mem, const model_part *, model_rows(m) + 1);
	size_t n = 0;
	for (size_t i = 0; i < model_rows(m); i++)
		if (b->number[i]) sorted[n++] = &m->parts.v[i];
	if (!n) return;
	qsort(sorted, n, sizeof *sorted, by_name);
	book_chapter_if_room(b, "Index of parts", "index", 60);
	book_cells c = {.columns = 4};
	for (size_t i = 0; i < n; i++) {
		model_ref part = (model_ref)(sorted[i] - m->parts.v);
		const book_item *x = book_item_of(b, part);
		const char *page =
			x->made ? arena_printf(b->mem, "p. %s", book_page_word(b, book_part_anchor(b, x))) : "";
		book_row(b, &c, sorted[i]->name, arena_printf(b->mem, "%u", x->number), page, steps_of(b, part));
	}
	book_cells_draw(b, COLUMNS, 4, &c, false, false);
}
