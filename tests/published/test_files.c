/* Drawings and files against values from outside. Beside each: where the expected value comes from. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "runtime/draw/font.h"
#include "runtime/draw/sheetform.h"
#include "runtime/write/pdf.h"
#include "runtime/write/pdf_page.h"
#include "runtime/write/svg.h"

static const char *find(const char *bytes, size_t size, const char *text) {
	size_t n = strlen(text);
	for (size_t i = 0; i + n <= size; i++)
		if (!memcmp(bytes + i, text, n)) return bytes + i;
	return NULL;
}

/* F1, PDF (ISO 32000-1, 8.3.2.3: a unit is 1/72 inch): 100 mm are 283.465 pt; A4 is 595.276 x 841.890 pt; a document
 * with full-size pages asks for /PrintScaling /None. */
static void pdf_units(void **state) {
	(void)state;
	arena a = {0};
	display *d = display_begin(&a, 210, 297);
	d->true_size = true;
	display_segment(d, PEN_EDGE, 0, 297, 100, 297);
	textbuf t = textbuf_begin(&a);
	pdf_page_content(&t, d, (const char *const[]){"F1", "F2"});
	assert_non_null(strstr(t.v, "0 0 m\n283.465 0 l\nS\n"));
	const display *p[] = {d};
	char *bytes;
	size_t size;
	assert_null(pdf_write(&a, p, 1, &(pdf_info){0}, &bytes, &size));
	const char *box = find(bytes, size, "/MediaBox");
	assert_non_null(box);
	double x0, y0, x1, y1;
	assert_int_equal(sscanf(box, "/MediaBox [ %lf %lf %lf %lf", &x0, &y0, &x1, &y1), 4);
	assert_true(fabs(x1 - 595.276) < 0.001 && fabs(y1 - 841.890) < 0.001);
	assert_true(fabs(x0) < 1e-9 && fabs(y0) < 1e-9);
	assert_non_null(find(bytes, size, "/PrintScaling /None"));
	arena_end(&a);
}

/* F2, arithmetic: a 100 mm square that prints 94 needs 106.4 %. The check bar says how long it is, and is: its pieces
 * add up to 50 mm, or to 2 in = 50.8 mm (an inch is 25.4 mm by the agreement of 1959). */
static void the_check_bar_is_exact(void **state) {
	(void)state;
	assert_true(fabs(100.0 / 94 * 100 - 106.4) < 0.05);
	for (int m = 0; m < 2; m++) {
		arena a = {0};
		display *d = display_begin(&a, 210, 297);
		sheetform_check_bar(d, 20, 20, m ? MEASURES_INCH : MEASURES_METRIC);
		display_box bar = display_box_empty();
		for (size_t i = 0; i < d->items.n; i++)
			if (d->items.v[i].kind == ITEM_PATH) bar = display_box_join(bar, d->items.v[i].box);
		assert_true(fabs(bar.x1 - bar.x0 - (m ? 2 * 25.4 : 50)) < 1e-9);
		arena_end(&a);
	}
}

/* F5, SVG 1.1, 7.7 and 7.10: width and height in mm with an equal viewBox make the user unit one millimetre. */
static void svg_units(void **state) {
	(void)state;
	arena a = {0};
	display *d = display_begin(&a, 1204.8, 600);
	display_segment(d, PEN_EDGE, 0, 0, 1204.8, 600);
	textbuf t = textbuf_begin(&a);
	assert_null(svg_write(&t, d, false));
	assert_non_null(strstr(t.v, "width=\"1204.8mm\" height=\"600mm\" viewBox=\"0 0 1204.8 600\""));
	assert_non_null(strstr(t.v, "d=\"M0 0L1204.8 600\""));
	assert_null(strstr(t.v, "nan"));
	arena_end(&a);
}

/* ISO 216: A4 is 210 x 297 mm (read in check values: F1 gives the same in points). Letter 8 1/2 x 11 in, from memory
 * (ANSI/ASME Y14.1 size A). */
static void paper_sizes(void **state) {
	(void)state;
	arena a = {0};
	display *d = sheetform_page(&a, PAPER_A4, false), *e = sheetform_page(&a, PAPER_LETTER, true);
	assert_true(fabs(d->w - 210) < 1e-9 && fabs(d->h - 297) < 1e-9);
	assert_true(fabs(e->w - 11 * 25.4) < 1e-9 && fabs(e->h - 8.5 * 25.4) < 1e-9);
	arena_end(&a);
}

/* ISO 128-20: line widths are of the series 0.13, 0.18, 0.25, 0.35, 0.5, 0.7 mm. ISO 3098: lettering heights of the
 * series 2.5, 3.5, 5, 7 mm (ratio root 2). Both series from memory; the least of this program, 8 pt, lies outside. */
static void line_and_letter_series(void **state) {
	(void)state;
	static const double WIDTH[] = {0.13, 0.18, 0.25, 0.35, 0.5, 0.7};
	static const double HEIGHT[] = {CAP_BODY, CAP_TITLE, CAP_HEAD, CAP_COVER};
	static const double SERIES[] = {2.5, 3.5, 5, 7};
	for (int p = PEN_NONE + 1; p < DISPLAY_PEN_COUNT; p++) {
		bool in = false;
		for (size_t i = 0; i < 6; i++) in = in || fabs(display_pen_of((display_pen)p)->width - WIDTH[i]) < 1e-9;
		assert_true(in);
	}
	for (size_t i = 0; i < 4; i++) assert_true(fabs(HEIGHT[i] - SERIES[i]) < 1e-9);
	for (size_t i = 1; i < 4; i++) assert_true(fabs(SERIES[i] / SERIES[i - 1] - sqrt(2)) < 0.03);
}

/* OpenType: "head" holds the magic number 0x5F0F3CF5 and the units per em; the sum of a whole file with its adjustment
 * is 0xB1B0AFBA (OpenType specification, "head" and "Calculating checksums", from memory). */
static void the_fonts_are_sound(void **state) {
	(void)state;
	for (int f = 0; f < DISPLAY_FONT_COUNT; f++) {
		size_t size;
		const unsigned char *b = font_bytes((display_font)f, &size);
		assert_int_equal(size % 4, 0);
		uint32_t sum = 0;
		for (size_t i = 0; i < size; i += 4)
			sum += (uint32_t)b[i] << 24 | (uint32_t)b[i + 1] << 16 | (uint32_t)b[i + 2] << 8 | b[i + 3];
		assert_int_equal(sum, 0xB1B0AFBA);
		const char *head = find((const char *)b, size, "\x5F\x0F\x3C\xF5");
		assert_non_null(head);
		const unsigned char *after = (const unsigned char *)head + 6; /* magic, flags, units */
		assert_int_equal(after[0] << 8 | after[1], FONT_UNITS);
	}
}

int main(void) {
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(pdf_units),
		cmocka_unit_test(the_check_bar_is_exact),
		cmocka_unit_test(svg_units),
		cmocka_unit_test(paper_sizes),
		cmocka_unit_test(line_and_letter_series),
		cmocka_unit_test(the_fonts_are_sound),
	};
	return cmocka_run_group_tests(tests, NULL, NULL);
}
