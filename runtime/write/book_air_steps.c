/* The pressures along the way as a stepped line: down where something costs, up at the fan. */
#include <math.h>

#include "runtime/base/text.h"
#include "runtime/write/book_build.h"
#include "runtime/write/worked.h"

enum { CLEAN, DIRTY };

typedef struct ladder { /* scale of the stepped line, and the way */
	const model_ref *way;
	size_t n;
	double x0, x1, each, y_of_0, per_unit;
} ladder;

static const display_pen PENS[AIR_STATES] = {PEN_PART, PEN_FRAME, PEN_CHAIN, PEN_DASHED, PEN_PHANTOM, PEN_HIDDEN};

static double ladder_y(const ladder *l, double v) { return l->y_of_0 - v * l->per_unit; }

static double step_x(const ladder *l, size_t i) { return l->x0 + l->each * (double)(i + 1); }

static double reading(book *b, const ladder *l, int condition, size_t i) {
	const model_air *a = &b->m->air;
	return book_in_unit(b, DIM_PRESSURE, a->result[condition].pressure_pa[a->branches.v[l->way[i]].to]);
}

static void line_of(book *b, const ladder *l, int condition) {
	double y = ladder_y(l, 0);
	display_move(b->page, l->x0, y);
	for (size_t i = 0; i < l->n; i++) {
		display_line(b->page, step_x(l, i), y);
		y = ladder_y(l, reading(b, l, condition, i));
		display_line(b->page, step_x(l, i), y);
	}
	display_line(b->page, l->x1, y);
	display_paint(b->page, PENS[condition], FILL_NONE);
}

static void scale(book *b, const ladder *l, double low, double high) {
	double step = sheetform_round_step(high - low, 6);
	for (double v = ceil(low / step - 1e-9) * step; v <= high + step * 1e-6; v += step) {
		double y = ladder_y(l, v);
		display_segment(b->page, fabs(v) < step / 2 ? PEN_DIM : PEN_HATCH, l->x0, y, l->x1, y);
		display_text(b->page, l->x0 - 2, y + CAP_SMALL / 2, CAP_SMALL, ALIGN_RIGHT, book_number(b, v, 3));
	}
}

/* Lines of text in the middle of x, from y on; gives the y below. */
static double middle(book *b, double x, double y, double wide, double cap, display_font font, const char *text) {
	const char *const *lines;
	size_t n = display_wrap(b->mem, font, cap, wide, text, &lines);
	const display_style style = {.cap = cap, .font = font, .align = ALIGN_CENTRE};
	for (size_t i = 0; i < n; i++, y += cap * 1.5) display_text_style(b->page, x, y + cap, &style, lines[i]);
	return y;
}

static double wrapped(book *b, double wide, double cap, display_font font, const char *text) {
	const char *const *lines;
	return (double)display_wrap(b->mem, font, cap, wide, text, &lines) * cap * 1.5;
}

static const char *space_of(book *b, const ladder *l, size_t i) {
	const model_air *a = &b->m->air;
	if (i == 0) return "room";
	model_ref s = a->branches.v[l->way[i - 1]].to;
	if (!a->spaces.v[s].named && !a->spaces.v[s].room)
		return arena_printf(b->mem, "between %u and %u", l->way[i - 1] + 1, i < l->n ? l->way[i] + 1 : 0);
	return book_plain(b, a->spaces.v[s].name);
}

static double spaces_high(book *b, const ladder *l) {
	double high = 0;
	for (size_t i = 0; i <= l->n; i++)
		high = fmax(high, wrapped(b, l->each - 1.5, BOOK_SMALL, FONT_REGULAR, space_of(b, l, i)));
	return high;
}

/* Above the line what stands between the steps: the spaces. */
static double spaces(book *b, const ladder *l) {
	double high = spaces_high(b, l);
	for (size_t i = 0; i <= l->n; i++) {
		double x = l->x0 + l->each * ((double)i + 0.5);
		double own = wrapped(b, l->each - 1.5, BOOK_SMALL, FONT_REGULAR, space_of(b, l, i));
		middle(b, x, b->y + high - own, l->each - 1.5, BOOK_SMALL, FONT_REGULAR, space_of(b, l, i));
	}
	return high;
}

/* What the step costs, or the fan gives, in words. */
static const char *cost(book *b, int condition, model_ref branch) {
	double pa = b->m->air.result[condition].flow[branch].loss_pa;
	const char *sign = pa < 0 ? "+" : "-";
	return arena_printf(b->mem, "%s%s", sign, book_si(b, DIM_PRESSURE, fabs(pa)));
}

static double names_high(book *b, const ladder *l) {
	double high = 0;
	for (size_t i = 0; i < l->n; i++)
		high = fmax(high, wrapped(b, l->each - 1.5, BOOK_SMALL, FONT_BOLD,
					  book_plain(b, b->m->air.branches.v[l->way[i]].name)));
	return high;
}

/* Below it the steps: number, branch, and the pressure in the conditions without a cover. */
static double steps(book *b, const ladder *l, double y) {
	const model_air *a = &b->m->air;
	double name_high = names_high(b, l), foot = y;
	for (size_t i = 0; i < l->n; i++) {
		double x = step_x(l, i), at = y + 6.5;
		const model_branch *w = &a->branches.v[l->way[i]];
		display_segment(b->page, PEN_HATCH, x, y, x, ladder_y(l, 0));
		display_circle(b->page, PEN_DIM, FILL_BLACK, x, y + 2.6, 2.6);
		display_text_style(
			b->page, x, y + 2.6 + CAP_SMALL / 2,
			&(display_style){.cap = CAP_SMALL, .font = FONT_BOLD, .align = ALIGN_CENTRE, .grey = 1},
			arena_printf(b->mem, "%u", l->way[i] + 1));
		middle(b, x, at, l->each - 1.5, BOOK_SMALL, FONT_BOLD, book_plain(b, w->name));
		at += name_high + 0.6;
		for (int k = DIRTY; k >= CLEAN; k--)
			if (book_air_shown(b->m, k))
				at = middle(b, x, at, l->each, BOOK_SMALL, FONT_REGULAR,
					    arena_printf(b->mem, "%s", cost(b, k, l->way[i])));
		foot = fmax(foot, at);
	}
	double at = y + 6.5 + name_high + 0.6;
	for (int k = DIRTY; k >= CLEAN; k--, at += BOOK_SMALL * 1.5)
		if (book_air_shown(b->m, k))
			display_text(b->page, b->area.x0, at + BOOK_SMALL, BOOK_SMALL, ALIGN_LEFT, k ? "due" : "clean");
	return foot;
}

/* A piece of each line with its condition, on `page` (NULL: only measured). Returns the y below. */
static double key(book *b, display *page, double y) {
	double x = b->area.x0;
	y += 2;
	for (int k = 0; k < AIR_STATES; k++) {
		if (!book_air_shown(b->m, k)) continue;
		double w = 14 + display_text_width(FONT_REGULAR, BOOK_TABLE, book_air_state(k)) + 7;
		if (x + w > b->area.x1) x = b->area.x0, y += 5;
		if (page) display_segment(page, PENS[k], x, y - BOOK_TABLE / 2, x + 12, y - BOOK_TABLE / 2);
		if (page) display_text(page, x + 14, y, BOOK_TABLE, ALIGN_LEFT, book_air_state(k));
		x += w;
	}
	return y + 3;
}

void book_air_steps(book *b) {
	const model *m = b->m;
	model_ref *way = ARENA_MANY(b->mem, model_ref, m->air.branches.n + 1);
	ladder l = {.way = way, .n = worked_way(m, b->mem, DIRTY, way)};
	if (l.n < 2) return;
	double low = 0, high = 0;
	for (int k = 0; k < AIR_STATES; k++)
		for (size_t i = 0; book_air_shown(m, k) && i < l.n; i++)
			low = fmin(low, reading(b, &l, k, i)), high = fmax(high, reading(b, &l, k, i));
	if (!(high > low)) return;
	double step = sheetform_round_step(high - low, 6);
	low = floor(low / step) * step, high = ceil(high / step) * step;
	const char *taps = model_condition_tap(m, model_conditions(m) - 1) ? " All at the fan's published speed." : "";
	const char *words = arena_printf(
		b->mem,
		"The circled numbers are those of the table: each step down is what that branch costs, the step up is "
		"what the fan gives. Below each step its pressure with the filters due and clean; the table of all "
		"conditions has the others.%s",
		taps);
	l.x0 = b->area.x0 + 14, l.x1 = b->area.x1;
	l.each = (l.x1 - l.x0) / (double)(l.n + 1);
	double plot = (b->area.y1 - b->area.y0) * 0.22;
	double about = 3 + spaces_high(b, &l) + 13 + names_high(b, &l) + 2 * BOOK_SMALL * 1.5 + key(b, NULL, 0) +
		       book_small_height(b, words);
	book_heading_with(
		b, arena_printf(b->mem, "Pressure along the way, %s against the room", book_unit(b, DIM_PRESSURE)),
		plot + about);
	l.per_unit = plot / (high - low);
	b->y += 1;
	b->y += spaces(b, &l) + 2;
	l.y_of_0 = b->y + high * l.per_unit;
	scale(b, &l, low, high);
	double foot = b->y + plot + 3;
	b->y = steps(b, &l, foot) + 3;
	for (int k = AIR_STATES - 1; k >= 0; k--)
		if (book_air_shown(m, k)) line_of(b, &l, k);
	b->y = key(b, b->page, b->y);
	book_small(b, words);
}
