#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>
#include <math.h>
#include <string.h>

#include "runtime/draw/display.h"
#include "runtime/draw/font.h"

static void near(double a, double b, double by) {
	if (!(fabs(a - b) <= by)) fail_msg("%.9g is not within %g of %.9g", a, by, b);
}

static void pens_and_fills(void **state) {
	(void)state;
	near(display_pen_of(PEN_FRAME)->width, 0.7, 0);
	near(display_pen_of(PEN_OUTLINE)->width, 0.5, 0);
	assert_int_equal(display_pen_of(PEN_CENTRE)->n_dash, 4);
	assert_int_equal(display_pen_of(PEN_EDGE)->n_dash, 0);
	near(display_pen_of(PEN_HIDDEN)->dash[1], 0.9, 0);
	near(display_fill_grey(FILL_NONE), 1, 0);
	near(display_fill_grey(FILL_BLACK), 0, 0);
}

static void what_is_no_number_is_refused(void **state) {
	(void)state;
	arena a = {0};
	display *d = display_begin(&a, 100, 100);
	display_segment(d, PEN_EDGE, 0, 0, (double)NAN, 1);
	display_circle(d, PEN_EDGE, FILL_NONE, 1, 1, (double)INFINITY);
	display_arc(d, PEN_EDGE, 1, 1, 1, 0, (double)INFINITY);
	display_text(d, (double)NAN, 0, CAP_BODY, ALIGN_LEFT, "x");
	display_text(d, 0, 0, (double)NAN, ALIGN_LEFT, "x");
	display_anchor_at(d, "x", (double)NAN, 0);
	display_rect(d, PEN_EDGE, FILL_NONE, 0, 0, 1e9, 1);
	assert_int_equal(d->bad, 7);
	assert_int_equal(d->items.n, 0);
	display_segment(d, PEN_EDGE, 0, 0, 1, 1); /* and it goes on */
	assert_int_equal(d->items.n, 1);
	assert_int_equal(display_begin(&a, -1, 5)->bad, 1);
	arena_end(&a);
}

static display_point cubic_at(display_point p, const display_node *n, double t) {
	double s = 1 - t;
	return (display_point){s * s * s * p.x + 3 * s * s * t * n->c1.x + 3 * s * t * t * n->c2.x + t * t * t * n->p.x,
			       s * s * s * p.y + 3 * s * s * t * n->c1.y + 3 * s * t * t * n->c2.y +
				       t * t * t * n->p.y};
}

static void arcs_are_round(void **state) {
	(void)state;
	arena a = {0};
	display *d = display_begin(&a, 300, 300);
	display_arc(d, PEN_EDGE, 150, 150, 100, 30, 390);
	const display_item *i = &d->items.v[0];
	display_point at = i->node[0].p;
	near(at.x, 150 + 100 * cos(acos(-1.0) / 6), 1e-9);
	near(at.y, 150 - 50, 1e-9); /* 30 degrees anticlockwise as seen is up */
	for (size_t k = 1; k < i->n; k++) {
		for (int t = 1; t <= 8; t++) {
			display_point p = cubic_at(at, &i->node[k], t / 8.0);
			near(hypot(p.x - 150, p.y - 150), 100, 0.03);
		}
		at = i->node[k].p;
	}
	arena_end(&a);
}

/* The hatch lines' length times their distance is the area, holes taken away. */
static void hatch_covers_the_area(void **state) {
	(void)state;
	static const double ANGLE[] = {45, 135, 0, 90, 22.5};
	const double pi = acos(-1.0);
	for (size_t k = 0; k < 5; k++) {
		arena a = {0};
		display *d = display_begin(&a, 300, 300);
		display_add_rect(d, 13, 17, 120, 80);
		display_add_circle(d, 70, 55, 25);
		display_hatch(d, PEN_HATCH, ANGLE[k], 0.25, true);
		display_paint(d, PEN_EDGE, FILL_NONE);
		assert_int_equal(d->items.n, 2);
		const display_item *i = &d->items.v[0];
		double sum = 0;
		for (size_t n = 0; n + 1 < i->n; n += 2) {
			display_point p = i->node[n].p, q = i->node[n + 1].p;
			assert_int_equal(i->node[n].step, STEP_MOVE);
			sum += hypot(q.x - p.x, q.y - p.y);
			double mx = (p.x + q.x) / 2, my = (p.y + q.y) / 2;
			assert_true(mx >= 13 && mx <= 133 && my >= 17 && my <= 97);
			assert_true(hypot(mx - 70, my - 55) > 24.5);
			if (hypot(q.x - p.x, q.y - p.y) > 1)
				near(fmod(atan2(p.y - q.y, q.x - p.x) * 180 / pi + 360, 180), ANGLE[k], 1e-6);
		}
		near(sum * 0.25, 120 * 80 - pi * 625, 40);
		arena_end(&a);
	}
}

static void widths_come_from_the_font(void **state) {
	(void)state;
	const font_glyph *h = font_find('H'), *i = font_find('i');
	assert_non_null(h);
	near(display_text_width(FONT_REGULAR, 2.5, "Hi"),
	     (h->advance[FONT_REGULAR] + i->advance[FONT_REGULAR]) / 1456.0 * 2.5, 1e-12);
	near(display_text_width(FONT_BOLD, 5, "H"), h->advance[FONT_BOLD] / 1456.0 * 5, 1e-12);
	near(display_text_width(FONT_REGULAR, 2.5, ""), 0, 0);
	/* All digits are as wide as each other, so columns of figures stand in line. */
	for (int c = '1'; c <= '9'; c++)
		assert_int_equal(font_find((uint32_t)c)->advance[0], font_find('0')->advance[0]);
	static const char *const SIGNS[] = {"⌀", "→", "←", "↑", "↓", "✓", "□", "°",
					    "±", "≤", "≥", "½", "é", "š", "Ω", "×"};
	for (size_t k = 0; k < sizeof SIGNS / sizeof *SIGNS; k++) {
		arena a = {0};
		display *d = display_begin(&a, 10, 10);
		display_text(d, 1, 5, 2, ALIGN_LEFT, SIGNS[k]);
		assert_string_equal(d->items.v[0].text, SIGNS[k]);
		arena_end(&a);
	}
}

static void unknown_characters_are_shown(void **state) {
	(void)state;
	arena a = {0};
	display *d = display_begin(&a, 10, 10);
	display_text(d, 1, 5, 2, ALIGN_LEFT, "a\xff\tb漢");
	assert_string_equal(d->items.v[0].text, "a□ b□");
	display_text(d, 1, 5, 2, ALIGN_LEFT, "");
	assert_int_equal(d->items.n, 1);
	arena_end(&a);
}

static void every_glyph_has_an_outline(void **state) {
	(void)state;
	arena a = {0};
	size_t blank = 0;
	for (size_t k = 0; k < FONT_GLYPH_COUNT; k++) {
		if (k) assert_true(FONT_GLYPHS[k].code > FONT_GLYPHS[k - 1].code);
		for (int f = 0; f < DISPLAY_FONT_COUNT; f++) {
			display_node *n;
			size_t count = font_outline(&a, (display_font)f, FONT_GLYPHS[k].glyph[f], &n);
			blank += count == 0;
			for (size_t i = 0; i < count; i++) assert_true(fabs(n[i].p.x) < 4000 && fabs(n[i].p.y) < 4000);
			if (count) assert_int_equal(n[count - 1].step, STEP_CLOSE);
		}
	}
	assert_true(blank < 40); /* spaces */
	/* A capital is as high as the text sizes say. */
	display_node *n;
	size_t count = font_outline(&a, FONT_REGULAR, font_find('H')->glyph[0], &n);
	double top = 0;
	for (size_t i = 0; i < count; i++) top = fmax(top, n[i].p.y);
	near(top, FONT_CAP_UNITS, 0);
	assert_int_equal(font_outline(&a, FONT_REGULAR, 60000, &n), 0);
	arena_end(&a);
}

static void text_is_aligned_and_turned(void **state) {
	(void)state;
	arena a = {0};
	display *d = display_begin(&a, 100, 100);
	double w = display_text_width(FONT_REGULAR, 5, "Wide");
	display_text(d, 50, 50, 5, ALIGN_RIGHT, "Wide");
	near(d->items.v[0].at.x, 50 - w, 1e-9);
	near(d->items.v[0].box.y0, 45, 1e-9);
	display_text_style(d, 50, 50, &(display_style){.cap = 5, .turn = 90, .align = ALIGN_CENTRE, .knock_out = true},
			   "Wide");
	assert_int_equal(d->items.n, 3); /* the white patch, then the text */
	assert_int_equal(d->items.v[1].fill, FILL_WHITE);
	assert_true(display_box_inside(d->items.v[2].box, display_box_grow(d->items.v[1].box, 0.5)));
	near(d->items.v[2].at.y, 50 + w / 2, 1e-9);
	near(d->items.v[2].box.x0, 45, 1e-9);
	arena_end(&a);
}

static void wrapping(void **state) {
	(void)state;
	static const char TEXT[] =
		"Mark the centres through the template, before the two sheets (4 3/16 in) are separated;\n"
		"an-extraordinarily-long-word-of-the-trade/which/must/break goes on";
	arena a = {0};
	const char *const *line;
	for (int width = 8; width < 90; width += 3) {
		size_t n = display_wrap(&a, FONT_REGULAR, 2.5, width, TEXT, &line);
		char all[400] = "", want[400] = "";
		size_t k = 0;
		for (size_t i = 0; i < n; i++) {
			assert_true(display_text_width(FONT_REGULAR, 2.5, line[i]) <= width + 1e-6);
			strcat(all, line[i]);
			size_t n_line = strlen(line[i]); /* a fraction stays whole */
			if (width > 10) assert_false(n_line > 1 && !strcmp(line[i] + n_line - 2, "3/"));
			if (width > 12)
				assert_false(n_line > 1 && !strcmp(line[i] + n_line - 2, "(4")); /* nor torn off */
		}
		for (size_t i = 0; all[i]; i++)
			if (all[i] != ' ') all[k++] = all[i];
		all[k] = 0, k = 0;
		for (size_t i = 0; TEXT[i]; i++)
			if (TEXT[i] != ' ' && TEXT[i] != '\n') want[k++] = TEXT[i];
		assert_string_equal(all, want); /* nothing lost, nothing twice */
	}
	assert_int_equal(display_wrap(&a, FONT_REGULAR, 2.5, 1000, "one\n\ntwo\n", &line), 4);
	assert_string_equal(line[1], "");
	assert_string_equal(line[2], "two");
	assert_int_equal(display_wrap(&a, FONT_REGULAR, 2.5, 1000, "", &line), 1);
	assert_int_equal(display_wrap(&a, FONT_REGULAR, 2.5, 0, "ab", &line), 2); /* one letter at least: it ends */
	assert_string_equal(display_fit(&a, FONT_REGULAR, 2.5, 100, "fits"), "fits");
	const char *cut = display_fit(&a, FONT_REGULAR, 2.5, 12, "does not fit at all");
	assert_true(display_text_width(FONT_REGULAR, 2.5, cut) <= 12);
	assert_non_null(strstr(cut, "…"));
	arena_end(&a);
}

/* Lines never break in what is read in one; where it alone is wider than the line, they do. */
static void what_holds_together(void **state) {
	(void)state;
	static const struct {
		const char *text, *whole;
	} CASES[] = {
		{"both its diagonals are 1655.3 mm long", "1655.3 mm"},
		{"a gauge reads about -65.9 Pa in chamber", "-65.9 Pa"},
		{"the air has in the end 2.845 m/s; 560.0 ft/min)", "560.0 ft/min)"},
		{"which is left open: 0.1564 m² of all", "0.1564 m²"},
		{"of which it says 16 1/2 in.", "16 1/2 in."},
		{"Drive four screws through left (1).", "left (1)."},
		{"from floor to bench for one (step 2).", "(step 2)."},
		{"the drawing is on page 17 of it", "page 17"},
	};
	arena a = {0};
	for (size_t i = 0; i < sizeof CASES / sizeof *CASES; i++) {
		double least = display_text_width(FONT_REGULAR, 2.5, CASES[i].whole);
		for (double width = least; width < 3 * least; width += 0.7) {
			const char *const *line;
			size_t n = display_wrap(&a, FONT_REGULAR, 2.5, width, CASES[i].text, &line), whole = 0;
			for (size_t k = 0; k < n; k++) whole += strstr(line[k], CASES[i].whole) != NULL;
			assert_int_equal(whole, 1);
		}
		const char *const *line;
		assert_true(display_wrap(&a, FONT_REGULAR, 2.5, least * 0.7, CASES[i].whole, &line) > 1);
	}
	const char *const *line;
	assert_true(display_wrap(&a, FONT_REGULAR, 2.5, 12, "one/other/third", &line) > 1); /* no unit: it breaks */
	assert_string_equal(line[0], "one/");
	arena_end(&a);
}

static void free_places(void **state) {
	(void)state;
	arena a = {0};
	display *d = display_begin(&a, 100, 100);
	display_box within = {0, 0, 100, 100}, out;
	display_take(d, (display_box){30, 30, 70, 70});
	display_take_line(d, 0, 80, 100, 80);
	for (int i = 0; i < 40; i++) {
		assert_true(display_free_spot(d, 50, 50, 12, 5, within, &out));
		assert_true(display_box_inside(out, within));
		for (size_t k = 0; k < d->taken.n; k++)
			if (!d->taken.v[k].line) assert_false(display_box_overlap(out, d->taken.v[k].box));
		assert_false(out.y0 < 80 && out.y1 > 80);
		display_take(d, out);
	}
	assert_false(display_free_spot(d, 50, 50, 120, 5, within, &out)); /* larger than the room */
	display_point end;
	display *e = display_begin(&a, 100, 100);
	display_take_line(e, 40, 0, 40, 100);
	assert_true(display_free_label(e, 50, 50, 2, 10, 4, within, &out, &end));
	assert_true(out.x0 > 40);
	assert_true(display_line_is_free(e, 50, 50, end.x, end.y));
	assert_false(display_line_is_free(e, 30, 50, 50, 50));
	display_take(e, (display_box){45, 45, 55, 55});
	assert_true(display_line_is_free(e, 50, 50, 70, 50));  /* begins in that box */
	assert_false(display_line_is_free(e, 70, 50, 50, 50)); /* comes from outside */
	arena_end(&a);
}

static void placing(void **state) {
	(void)state;
	arena a = {0};
	display *d = display_begin(&a, 100, 100), *sub = display_begin(&a, 50, 50);
	display_segment(sub, PEN_CENTRE, 0, 0, 50, 50);
	display_text(sub, 10, 20, 2.5, ALIGN_LEFT, "text");
	display_anchor_at(sub, "there", 10, 10);
	display_link_to(sub, (display_box){0, 0, 10, 10}, "there");
	display_place(d, sub, 40, 30, 0.5);
	assert_int_equal(d->items.n, 2);
	near(d->items.v[0].node[1].p.x, 65, 1e-9);
	near(d->items.v[1].at.y, 40, 1e-9);
	near(d->items.v[1].style.cap, 2.5, 0);
	near(d->items.v[1].box.y0, 37.5, 1e-9);
	near(d->anchors.v[0].x, 45, 1e-9);
	near(d->links.v[0].box.x1, 45, 1e-9);
	display_box b = display_bounds(d);
	assert_true(display_box_inside(d->items.v[0].box, b));
	arena_end(&a);
}

static void scales(void **state) {
	(void)state;
	const char *name;
	near(display_usual_scale(1.7, &name), 1, 0);
	assert_string_equal(name, "1:1");
	near(display_usual_scale(0.1, &name), 0.1, 1e-12);
	assert_string_equal(name, "1:10");
	near(display_usual_scale(0.099, &name), 1.0 / 12, 1e-12);
	display_usual_scale(0.001, &name);
	assert_string_equal(name, "not to scale");
	display_map m = display_map_fit(1200, 600, (display_box){10, 10, 130, 110});
	near(m.scale, 0.1, 1e-12);
	near(display_map_x(&m, 0), 10, 1e-9);
	near(display_map_y(&m, 0), 90, 1e-9);
	near(display_map_y(&m, 600), 30, 1e-9);
}

static size_t faults(arena *a, const display *d, const char **told) {
	textbuf t = textbuf_begin(a);
	size_t n = display_text_faults(a, d, "page 7", &t);
	*told = t.v;
	return n;
}

static void texts_keep_apart(void **state) {
	(void)state;
	arena a = {0};
	const char *told;
	display *d = display_begin(&a, 100, 100);
	const display_style up = {.cap = 2.5, .turn = 90}, slant = {.cap = 2.5, .turn = 45};
	display_text(d, 10, 20, 2.5, ALIGN_LEFT, "HIGH");
	display_text(d, 10, 22.6, 2.5, ALIGN_LEFT, "Close"); /* under it, as in a stack of figures */
	display_text(d, 10, 24.7, 2.5, ALIGN_LEFT, "now");   /* small letters leave more room */
	display_text_style(d, 60, 60, &up, "upright");
	display_text(d, 60.8, 55, 2.5, ALIGN_LEFT, "beside it");
	display_text_style(d, 30, 80, &slant, "slanted line");
	display_text(d, 36, 80, 2.5, ALIGN_LEFT, "in its corner"); /* in the upright box round it, not on it */
	assert_int_equal(faults(&a, d, &told), 0);
	assert_string_equal(told, "");
	display_text(d, 12, 19, 2.5, ALIGN_LEFT, "on it");
	assert_int_equal(faults(&a, d, &told), 1);
	assert_string_equal(told, "page 7: “on it” and “HIGH” lie on each other\n");
	d->items.n--;
	display_text(d, 31, 78, 2.5, ALIGN_LEFT, "x");
	display_text(d, 59, 57, 2.5, ALIGN_LEFT, "x");
	display_text(d, 95, 50, 2.5, ALIGN_LEFT, "over the rim");
	display_text_style(d, 50, -1, &up, "I");
	assert_int_equal(faults(&a, d, &told), 4);
	assert_non_null(strstr(told, "“slanted line” and “x” lie on each other\n"));
	assert_non_null(strstr(told, "“upright” and “x” lie on each other\n"));
	assert_non_null(strstr(told, "“over the rim” leaves the page\n"));
	/* What is cut off at a box counts no farther than the box. */
	d = display_begin(&a, 100, 100);
	d->clip = (display_box){0, 18, 50, 100};
	display_text(d, 10, 20, 2.5, ALIGN_LEFT, "HIGH");
	d->clipped = 1;
	display_text(d, 10, 17.9, 2.5, ALIGN_LEFT, "HEAD");
	assert_int_equal(faults(&a, d, &told), 0);
	display_text(d, 10, 19, 2.5, ALIGN_LEFT, "HEAD");
	assert_int_equal(faults(&a, d, &told), 2);
	arena_end(&a);
}

static void texts_keep_to_their_place(void **state) {
	(void)state;
	arena a = {0};
	const char *told;
	display *d = display_begin(&a, 100, 100), *block = display_begin(&a, 100, 100);
	display_text(block, 0, 0, 2.5, ALIGN_LEFT, "placed");
	display_box none = display_keep_to(d, display_box_of(10, 10, 20, 10));
	display_text(d, 11, 15, 2.5, ALIGN_LEFT, "cell");
	display_place(d, block, 11, 19, 1);
	assert_int_equal(faults(&a, d, &told), 0);
	display_text(d, 24, 15, 2.5, ALIGN_LEFT, "too long for it");
	display_place(d, block, 40, 40, 1);
	display_keep_to(d, none);
	display_text(d, 50, 60, 2.5, ALIGN_LEFT, "anywhere");
	assert_int_equal(faults(&a, d, &told), 2);
	assert_string_equal(told, "page 7: “too long for it” leaves its place\npage 7: “placed” leaves its place\n");
	display *page = display_begin(&a, 200, 200);
	display_place(page, d, 0, 0, 1); /* what a block knows goes along */
	assert_int_equal(faults(&a, page, &told), 2);
	arena_end(&a);
}

int main(void) {
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(pens_and_fills),
		cmocka_unit_test(what_is_no_number_is_refused),
		cmocka_unit_test(arcs_are_round),
		cmocka_unit_test(hatch_covers_the_area),
		cmocka_unit_test(widths_come_from_the_font),
		cmocka_unit_test(unknown_characters_are_shown),
		cmocka_unit_test(every_glyph_has_an_outline),
		cmocka_unit_test(text_is_aligned_and_turned),
		cmocka_unit_test(wrapping),
		cmocka_unit_test(what_holds_together),
		cmocka_unit_test(free_places),
		cmocka_unit_test(placing),
		cmocka_unit_test(scales),
		cmocka_unit_test(texts_keep_apart),
		cmocka_unit_test(texts_keep_to_their_place),
	};
	return cmocka_run_group_tests(tests, NULL, NULL);
}
