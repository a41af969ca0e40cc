/* Where the numbers come from: each formula with the plan's own figures in it. */
#include <math.h>

#include "runtime/base/text.h"
#include "runtime/engine/tip.h"
#include "runtime/write/book_build.h"
#include "runtime/write/worked.h"

enum { DIRTY = 1 };

/* A formula, its figures and its source. */
static void line(book *b, const char *what, const char *formula, const char *source) {
	const display_style bold = {.cap = 2.2, .font = FONT_BOLD}, body = {.cap = CAP_BODY},
			    small = {.cap = CAP_SMALL, .grey = 0.25};
	double w = book_width(b) * 0.86;
	double more =
		display_paragraph_height(b->mem, w, &bold, what) - display_paragraph_height(b->mem, w, &bold, "x");
	double high = 5.4 + more + display_paragraph_height(b->mem, w, &body, formula) +
		      (source ? display_paragraph_height(b->mem, w, &small, source) : 0) + 3;
	book_need(b, high);
	display_paragraph(b->page, b->area.x0, b->y, w, &bold, what);
	b->y = display_paragraph(b->page, b->area.x0, b->y + 5 + more, w, &body, formula);
	if (source) b->y = display_paragraph(b->page, b->area.x0, b->y + 0.6, w, &small, source);
	b->y += 3;
}

static const char *num(book *b, double v) {
	int decimals = 0;
	for (double size = fabs(v); size > 0 && size < 1000 && decimals < 6; size *= 10) decimals++;
	return book_number(b, v, decimals);
}

static void whole_lines(book *b) {
	const model *m = b->m;
	line(b, "How well it is solved",
	     "Newton's method on pressures and flows; the flows into and out of every space agree within a billionth "
	     "of the largest "
	     "flow, or the book would not have been written.",
	     NULL);
	line(b, "Weight",
	     arena_printf(b->mem,
			  "Volume of each part, its openings taken away, times the density of its stock, and bought "
			  "items as "
			  "given: %s.",
			  book_si(b, DIM_MASS, m->mass_kg)),
	     NULL);
}

/* What a part is meant to carry, or "" when the plan says nothing. */
static const char *carried(book *b, const model_part *p) {
	const char *text = "";
	if (p->carries_kg > 0) text = arena_printf(b->mem, "%s spread over it", book_si(b, DIM_MASS, p->carries_kg));
	if (p->carries_kg_m2 > 0)
		text = arena_printf(b->mem, "%s%s%s", text, *text ? ", " : "", book_si(b, DIM_AREAL, p->carries_kg_m2));
	if (p->carries_middle_kg > 0)
		text = arena_printf(b->mem, "%s%s%s at its middle", text, *text ? ", " : "",
				    book_si(b, DIM_MASS, p->carries_middle_kg));
	return text;
}

static void bend_line(book *b, const model_bend *r) {
	const model *m = b->m;
	const model_part *p = &m->parts.v[r->part];
	const char *load = carried(b, p), *from = book_plain(b, m->parts.v[r->from].name);
	if (!*load) return;
	const char *where = r->to == MODEL_NONE ? arena_printf(b->mem, "where it stands out beyond %s, on", from)
						: arena_printf(b->mem, "between %s and %s, on", from,
							       book_plain(b, m->parts.v[r->to].name));
	line(b, arena_printf(b->mem, "What %s carries", book_plain(b, p->name)),
	     arena_printf(b->mem,
			  "%s. With its own weight and what stands on it %s. It bends %s %s %s; %s would be allowed.",
			  load, book_si(b, DIM_MASS, r->load_n / 9.80665), book_reckoned(b, r->deflection_m * 1000, 10),
			  where, book_reckoned(b, r->span_m * 1000, 1), book_reckoned(b, r->allowed_m * 1000, 10)),
	     r->plate ? "Plate that rests on its sides, even load: Roark's formulas; on three sides Timoshenko. The "
			"modulus is "
			"the stock's. Load that stays for years bends it more."
		      : "Beam formula of the Wood Handbook; the modulus is the stock's. Load that stays for years "
			"bends it "
			"more.");
}

static void tilt_line(book *b) {
	tip t = tip_of(b->m);
	if (!t.known) return;
	bool stands = t.degrees > 0;
	const char *falls =
		stands ? arena_printf(b->mem, "when it is tilted by %s degrees", num(b, t.degrees)) : "by itself";
	line(b, "How far it can be tilted",
	     arena_printf(b->mem,
			  "Its centre of mass lies %s above the floor and %s %s the edge of what it stands on. "
			  "Empty and shut it falls to the %s %s.",
			  book_reckoned(b, t.height_mm, 1), book_reckoned(b, fabs(t.inside_mm), 1),
			  stands ? "inside" : "beyond", FACE_NAME[t.to], falls),
	     "The masses of the parts; what is put on it, an open door and a push are not counted.");
}

static void structure_lines(book *b) {
	for (size_t i = 0; i < b->m->bends.n; i++) bend_line(b, &b->m->bends.v[i]);
	tilt_line(b);
}

static bool anything_carried(const model *m) {
	for (size_t i = 0; i < m->bends.n; i++) {
		const model_part *p = &m->parts.v[m->bends.v[i].part];
		if (p->carries_kg > 0 || p->carries_kg_m2 > 0 || p->carries_middle_kg > 0) return true;
	}
	return false;
}

/* ---- the air, worked out ------------------------------------------------------------------------------------------
 */

/* Sources of a block, each where it is first needed. */
static void sources(book *b, const worked *w, size_t from, size_t to) {
	textbuf t = textbuf_begin(b->mem);
	for (size_t i = from; i < to; i++) {
		const char *s = w->lines.v[i].source;
		bool told = !s;
		for (size_t k = 0; k < i && !told; k++)
			told = w->lines.v[k].source && text_same(w->lines.v[k].source, s);
		if (!told) textbuf_printf(&t, "%s%s", t.n ? ". " : "", s);
	}
	if (!t.n) return;
	textbuf_char(&t, '.');
	b->y += 0.6;
	book_small(b, t.v);
}

static const char *sentence(book *b, const worked_line *l) {
	const char *unit = l->unit[0] ? arena_printf(b->mem, " %s", l->unit) : "";
	const char *also = l->also ? arena_printf(b->mem, "; %s %s", l->also, l->also_unit) : "";
	if (!l->numbers) return arena_printf(b->mem, "%s: as solved, %s%s%s", l->formula, l->result, unit, also);
	return arena_printf(b->mem, "%s = %s = %s%s%s", l->formula, l->numbers, l->result, unit, also);
}

static void worked_one(book *b, const worked_line *l) {
	const display_style style = {.cap = BOOK_TABLE};
	const double left = 46, gap = 1.1, wide = book_width(b) - left;
	const char *text = sentence(b, l);
	double name = display_paragraph_height(b->mem, left - 3, &style, l->what);
	double high = fmax(name, display_paragraph_height(b->mem, wide, &style, text)) + gap;
	book_need(b, high);
	display_paragraph(b->page, b->area.x0, b->y, left - 3, &style, l->what);
	display_paragraph(b->page, b->area.x0 + left, b->y, wide, &style, text);
	b->y += high;
}

static void air_lines(book *b) {
	worked w = worked_air(b->mem, b->m, DIRTY);
	size_t block = 0;
	book_paragraph(
		b, "One condition in full: filters due for care, nothing covered. Every line can be followed with a "
		   "pocket calculator: formula = numbers = result. Numbers have as many places as the result asks "
		   "for, and results carry over from line to line. The flows are what the solution of the whole "
		   "network gives; that they are right shows at the end, where the pressures round the way add up.");
	book_small(
		b,
		"Q flow, A area, v speed, p pressure, Δp what a branch costs or gives, ρ density, μ viscosity, K loss "
		"coefficient, d diameter (4 area / edge), t thickness or where between two points, n how many; log to "
		"the base ten. Figures in brackets are the plan's own with what makes them metric.");
	for (size_t i = 0; i < w.lines.n; i++) {
		const worked_line *l = &w.lines.v[i];
		if (l->formula) {
			worked_one(b, l);
			continue;
		}
		sources(b, &w, block, i);
		block = i;
		book_subheading(b, l->what);
		b->y += 0.8;
	}
	sources(b, &w, block, w.lines.n);
	whole_lines(b);
}

void book_numbers(book *b) {
	const model *m = b->m;
	bool air = m->air.given && m->air.result[DIRTY].solved;
	if (!air && !anything_carried(m)) return;
	book_chapter_if_room(b, "Where the numbers come from", "numbers", air ? 150 : 80);
	if (air) air_lines(b);
	structure_lines(b);
}
