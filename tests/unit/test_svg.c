#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "runtime/write/svg.h"

static display *drawing(arena *a) {
	display *d = display_begin(a, 123.5, 45);
	d->title = "A & B <c>";
	display_segment(d, PEN_CENTRE, 1, 2, 30, 40);
	display_circle(d, PEN_EDGE, FILL_LIGHT, 60, 20, 10);
	display_text_style(d, 10, 10, &(display_style){.cap = 2.5, .turn = 90}, "a < b & \"c\" ⌀5");
	display_bold(d, 10, 30, 2.5, ALIGN_LEFT, "bold");
	return d;
}

static size_t count(const char *in, const char *what) {
	size_t n = 0;
	for (const char *p = in; (p = strstr(p, what)); p++) n++;
	return n;
}

/* Every element is closed in its order: enough of XML to catch a broken document. */
static void well_formed(const char *p) {
	char open[32][32];
	int depth = 0;
	while ((p = strchr(p, '<'))) {
		const char *end = strchr(p, '>');
		assert_non_null(end);
		if (p[1] == '/') {
			size_t n = (size_t)(end - p) - 2;
			assert_true(depth > 0);
			depth--;
			assert_true(strlen(open[depth]) == n && !strncmp(open[depth], p + 2, n));
		} else if (p[1] != '?' && end[-1] != '/') {
			size_t n = strcspn(p + 1, " >");
			assert_true(n < 31 && depth < 31);
			memcpy(open[depth], p + 1, n);
			open[depth++][n] = '\0';
		}
		size_t quotes = 0;
		for (const char *q = p; q < end; q++) quotes += *q == '"';
		assert_int_equal(quotes % 2, 0);
		p = end;
	}
	assert_int_equal(depth, 0);
}

static void a_drawing_with_text(void **state) {
	(void)state;
	arena a = {0};
	textbuf t = textbuf_begin(&a);
	assert_null(svg_write(&t, drawing(&a), false));
	well_formed(t.v);
	assert_non_null(strstr(t.v, "<title>A &amp; B &lt;c&gt;</title>"));
	assert_int_equal(count(t.v, "<text "), 2);
	assert_non_null(strstr(t.v, ">a &lt; b &amp; &quot;c&quot; ⌀5</text>"));
	assert_non_null(strstr(t.v, "rotate(-90)"));
	/* Each text carries its measured length, so no other font can make it longer. */
	assert_int_equal(count(t.v, "textLength=\""), 2);
	const char *p = strstr(t.v, "class=\"b\"");
	double length = strtod(strstr(p, "textLength=\"") + 12, NULL);
	assert_true(fabs(length - display_text_width(FONT_BOLD, 2.5, "bold")) < 0.001);
	arena_end(&a);
}

static void true_size_has_outlines(void **state) {
	(void)state;
	arena a = {0};
	display *d = drawing(&a);
	d->true_size = true;
	textbuf t = textbuf_begin(&a);
	assert_null(svg_write(&t, d, false));
	well_formed(t.v);
	assert_int_equal(count(t.v, "<text "), 0);
	assert_int_equal(count(t.v, "aria-label=\""), 2);
	/* The letters stand where the text would: "bold" begins at x 10 and ends with its width, on the line y 30. */
	const char *p = strstr(t.v, "aria-label=\"bold\"");
	p = strstr(p, "d=\"M") + 3;
	double lo = 1e9, hi = -1e9, low = -1e9;
	for (; *p != '"'; p++) {
		if (*p != 'M' && *p != 'L') continue;
		double x, y;
		assert_int_equal(sscanf(p + 1, "%lf %lf", &x, &y), 2);
		lo = fmin(lo, x), hi = fmax(hi, x), low = fmax(low, y);
	}
	assert_true(lo > 9.9 && lo < 10.5);
	assert_true(fabs(hi - 10 - display_text_width(FONT_BOLD, 2.5, "bold")) < 0.4);
	assert_true(fabs(low - 30) < 0.1);
	arena_end(&a);
}

static void a_bad_drawing_is_not_written(void **state) {
	(void)state;
	arena a = {0};
	display *d = drawing(&a);
	display_segment(d, PEN_EDGE, 0, 0, (double)INFINITY, 0);
	textbuf t = textbuf_begin(&a);
	assert_non_null(svg_write(&t, d, false));
	assert_int_equal(t.n, 0);
	arena_end(&a);
}

int main(void) {
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(a_drawing_with_text),
		cmocka_unit_test(true_size_has_outlines),
		cmocka_unit_test(a_bad_drawing_is_not_written),
	};
	return cmocka_run_group_tests(tests, NULL, NULL);
}
