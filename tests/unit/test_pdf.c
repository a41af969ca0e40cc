#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "runtime/write/pdf.h"
#include "runtime/write/pdf_page.h"

typedef struct made {
	char *bytes;
	size_t size;
	const char *problem;
} made;

static const display *page(arena *a, const char *text) {
	display *d = display_begin(a, 210, 297);
	display_rect(d, PEN_FRAME, FILL_NONE, 20, 10, 180, 277);
	display_text(d, 30, 30, CAP_TITLE, ALIGN_LEFT, text);
	display_bold(d, 30, 40, CAP_BODY, ALIGN_LEFT, "⌀32 → ½ é");
	return d;
}

static made write_pages(arena *a, const display *const *p, size_t n, pdf_info info) {
	made m = {0};
	m.problem = pdf_write(a, p, n, &info, &m.bytes, &m.size);
	return m;
}

/* Bytes may hold NULs: strstr will not do. */
static const char *find(const made *m, const char *text, size_t from) {
	size_t n = strlen(text);
	for (size_t i = from; i + n <= m->size; i++)
		if (!memcmp(m->bytes + i, text, n)) return m->bytes + i;
	return NULL;
}
static size_t count(const made *m, const char *text) {
	size_t c = 0, at = 0;
	for (const char *p; (p = find(m, text, at)); at = (size_t)(p - m->bytes) + 1) c++;
	return c;
}

static void a_whole_file(void **state) {
	(void)state;
	arena a = {0};
	const display *p[] = {page(&a, "one"), page(&a, "two")};
	made m = write_pages(&a, p, 2, (pdf_info){.title = "Plan ⌀", .author = "x", .language = "en"});
	assert_null(m.problem);
	assert_memory_equal(m.bytes, "%PDF-1.", 7);
	assert_non_null(find(&m, "%%EOF", m.size - 8));
	const char *start = find(&m, "startxref", m.size - 40);
	assert_non_null(start);
	long at = strtol(start + 9, NULL, 10);
	assert_true(at > 0 && (size_t)at < m.size);
	assert_memory_equal(m.bytes + at, "xref", 4);
	assert_int_equal(count(&m, "/Type /Page\n") + count(&m, "/Type /Page "), 2);
	assert_int_equal(count(&m, "/FontFile2"), 2);
	assert_int_equal(count(&m, "/ToUnicode"), 2);
	/* Every entry of the cross-reference table points at its object. */
	unsigned objects = (unsigned)strtoul(m.bytes + at + 7, NULL, 10);
	assert_true(objects > 10);
	const char *row = memchr(m.bytes + at + 5, '\n', 20);
	for (unsigned i = 0; i < objects; i++) {
		const char *entry = row + 1 + 20 * i;
		if (entry[17] != 'n') continue;
		size_t offset = (size_t)strtoul(entry, NULL, 10);
		assert_true(offset < m.size);
		assert_int_equal(strtoul(m.bytes + offset, NULL, 10), i);
	}
	arena_end(&a);
}

static void same_bytes(void **state) {
	(void)state;
	arena a = {0}, b = {0};
	const display *p[] = {page(&a, "one")}, *q[] = {page(&b, "one")}, *r[] = {page(&b, "other")};
	made x = write_pages(&a, p, 1, (pdf_info){.title = "t"}), y = write_pages(&b, q, 1, (pdf_info){.title = "t"});
	made z = write_pages(&b, r, 1, (pdf_info){.title = "t"});
	assert_int_equal(x.size, y.size);
	assert_memory_equal(x.bytes, y.bytes, x.size);
	/* The hash in /ID follows the content. */
	const char *ix = find(&x, "/ID", 0), *iz = find(&z, "/ID", 0);
	assert_non_null(ix);
	assert_non_null(iz);
	assert_memory_not_equal(ix, iz, 30);
	assert_null(find(&x, "/CreationDate", 0));
	assert_null(find(&x, "/ModDate", 0));
	arena_end(&a);
	arena_end(&b);
}

static void dates(void **state) {
	(void)state;
	static const struct {
		int64_t seconds;
		const char *text;
	} DATE[] = {
		{0, "(D:19700101000000Z)"}, {1582934400, "(D:20200229000000Z)"}, {1767225599, "(D:20251231235959Z)"}};
	for (size_t i = 0; i < 3; i++) {
		arena a = {0};
		const display *p[] = {page(&a, "one")};
		made m = write_pages(&a, p, 1, (pdf_info){.has_date = true, .date = DATE[i].seconds});
		assert_int_equal(count(&m, DATE[i].text), 2);
		arena_end(&a);
	}
}

static void finding_the_way(void **state) {
	(void)state;
	arena a = {0};
	display *one = display_begin(&a, 210, 297), *two = display_begin(&a, 297, 210);
	display_text(one, 20, 20, 5, ALIGN_LEFT, "Contents");
	display_text(two, 20, 20, 5, ALIGN_LEFT, "Chapter");
	display_link_to(one, (display_box){20, 14, 60, 22}, "chapter");
	display_anchor_at(two, "chapter", 20, 10);
	display_bookmark_at(one, 1, "Contents", 10);
	display_bookmark_at(two, 1, "Chapter é", 10);
	display_bookmark_at(two, 3, "deep without its parent", 50);
	one->page_label = "i", two->page_label = "1";
	const display *p[] = {one, two};
	made m = write_pages(&a, p, 2, (pdf_info){0});
	assert_null(m.problem);
	assert_int_equal(count(&m, "/Subtype /Link"), 1);
	assert_int_equal(count(&m, "/XYZ"), 4); /* the link and three bookmarks */
	assert_non_null(find(&m, "/Outlines", 0));
	assert_non_null(find(&m, "/PageLabels", 0));
	assert_non_null(find(&m, "/PageMode /UseOutlines", 0));
	assert_non_null(find(&m, "FEFF00430068006100700074006500720020", 0)); /* "Chapter " in UTF-16 */
	arena_end(&a);
}

static void faults_are_told(void **state) {
	(void)state;
	arena a = {0};
	display *bad = display_begin(&a, 210, 297), *lost = display_begin(&a, 210, 297),
		*large = display_begin(&a, 6000, 10);
	display_segment(bad, PEN_EDGE, 0, 0, (double)NAN, 0);
	display_text(lost, 20, 20, 5, ALIGN_LEFT, "x");
	display_link_to(lost, (display_box){0, 0, 1, 1}, "nowhere");
	display_text(large, 20, 5, 2, ALIGN_LEFT, "x");
	const display *p[] = {bad}, *q[] = {lost}, *r[] = {large};
	made m = write_pages(&a, p, 1, (pdf_info){0});
	assert_string_equal(m.problem, "page 1 has 1 item with a coordinate that is no number");
	assert_null(m.bytes);
	m = write_pages(&a, q, 1, (pdf_info){0});
	assert_string_equal(m.problem, "a link on page 1 leads nowhere: \"nowhere\"");
	m = write_pages(&a, r, 1, (pdf_info){0});
	assert_string_equal(m.problem, "page 1 is 6000 x 10 mm; PDF ends at 5080 mm");
	m = write_pages(&a, p, 0, (pdf_info){0});
	assert_string_equal(m.problem, "a document without pages");
	arena_end(&a);
}

static void an_empty_page_is_a_page(void **state) {
	(void)state;
	arena a = {0};
	const display *p[] = {display_begin(&a, 210, 297)};
	made m = write_pages(&a, p, 1, (pdf_info){0});
	assert_null(m.problem);
	assert_true(m.size > 500);
	arena_end(&a);
}

static void texts_on_each_other_are_told(void **state) {
	(void)state;
	arena a = {0};
	display *second = display_begin(&a, 210, 297);
	display_text(second, 30, 30, CAP_BODY, ALIGN_LEFT, "here");
	const display *p[] = {page(&a, "one"), second};
	textbuf told = textbuf_begin(&a);
	made m = write_pages(&a, p, 2, (pdf_info){.told = &told, .name = "x.pdf"});
	assert_null(m.problem);
	assert_int_equal(told.n, 0);
	display_text(second, 31, 31, CAP_BODY, ALIGN_LEFT, "there");
	m = write_pages(&a, p, 2, (pdf_info){.told = &told, .name = "x.pdf"});
	assert_null(m.problem); /* the file is written all the same */
	assert_string_equal(told.v, "x.pdf, page 2: “here” and “there” lie on each other\n");
	arena_end(&a);
}

static void numbers(void **state) {
	(void)state;
	static const struct {
		double v;
		const char *text;
	} N[] = {{0, "0"},	  {-0.0001, "0"},     {1, "1"},
		 {-1.5, "-1.5"},  {0.05, "0.05"},     {283.46457, "283.465"},
		 {1e5, "100000"}, {-0.001, "-0.001"}, {2.0004, "2"}};
	for (size_t i = 0; i < sizeof N / sizeof *N; i++) {
		arena a = {0};
		textbuf t = textbuf_begin(&a);
		pdf_number(&t, N[i].v);
		assert_string_equal(t.v, N[i].text);
		arena_end(&a);
	}
}

int main(void) {
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(a_whole_file),	   cmocka_unit_test(same_bytes),
		cmocka_unit_test(dates),	   cmocka_unit_test(finding_the_way),
		cmocka_unit_test(faults_are_told), cmocka_unit_test(an_empty_page_is_a_page),
		cmocka_unit_test(numbers),	   cmocka_unit_test(texts_on_each_other_are_told),
	};
	return cmocka_run_group_tests(tests, NULL, NULL);
}
