/* The book of a whole model and of models that lack parts of it: always a PDF, never a crash, the same bytes twice. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include "runtime/write/book.h"
#include "tests/unit/hand_model.h"

static size_t count(const char *bytes, size_t size, const char *what) {
	size_t n = 0, length = strlen(what);
	for (size_t i = 0; i + length <= size; i++) n += memcmp(bytes + i, what, length) == 0;
	return n;
}

/* Pages of the book. */
static size_t book_of(arena *mem, const model *m, const book_curves *curves) {
	char *bytes, *again;
	size_t size, size_again;
	assert_null(book_make(mem, m, curves, NULL, &bytes, &size));
	assert_true(size > 1000);
	assert_memory_equal(bytes, "%PDF-", 5);
	assert_null(book_make(mem, m, curves, NULL, &again, &size_again));
	assert_int_equal(size, size_again);
	assert_memory_equal(bytes, again, size);
	return count(bytes, size, "/Type /Page\n") + count(bytes, size, "/Type /Page ") +
	       count(bytes, size, "/Type /Page/");
}

static double needs(const model *m, arena *mem, int condition, model_ref fan, double flow_m3_s) {
	(void)m, (void)mem, (void)fan;
	return (condition ? 1800 : 830) * flow_m3_s * flow_m3_s;
}

static double gives(const model *m, arena *mem, model_ref fan, double flow_m3_s) {
	(void)m, (void)mem, (void)fan;
	return flow_m3_s <= 0.3 ? 300 - 1000 * flow_m3_s : NAN;
}

static void whole(void **state) {
	(void)state;
	arena mem = {0};
	model *m = hand_model(&mem);
	const book_curves curves = {needs, gives};
	size_t metric = book_of(&mem, m, &curves);
	assert_true(metric >= 15);
	m->measures = MEASURES_INCH, m->paper = PAPER_LETTER;
	assert_true(book_of(&mem, m, NULL) >= 15);
	arena_end(&mem);
}

/* A finding that was set aside makes the book longer by its reason. */
static void waived_findings_are_told(void **state) {
	(void)state;
	arena mem = {0};
	model *m = hand_model(&mem);
	char *without, *with;
	size_t size_without, size_with;
	assert_null(book_make(&mem, m, NULL, NULL, &without, &size_without));
	model_waived one = {"hole-edge", "a hole stands too near an edge", "the edge is glued to a frame", true,
			    span_none()};
	LIST_PUSH(&mem, &m->waived, one);
	assert_null(book_make(&mem, m, NULL, NULL, &with, &size_with));
	assert_true(size_without != size_with || memcmp(with, without, size_with) != 0);
	arena_end(&mem);
}

static void models_that_lack_something(void **state) {
	(void)state;
	for (int lacks = 0; lacks < 8; lacks++) {
		arena mem = {0};
		model *m = hand_model(&mem);
		switch (lacks) {
		case 0:
			m->air.given = false;
			break;
		case 1:
			m->air.result[0].solved = m->air.result[1].solved = false;
			break;
		case 2:
			m->order.steps.n = 0;
			break;
		case 3:
			m->layout.sheets.n = 0;
			break;
		case 4:
			m->features.n = m->patterns.n = 0;
			break;
		case 5:
			m->shopping.n = m->requires
			.n = 0;
			break;
		case 6:
			m->edition = m->purpose = m->currency = NULL;
			break;
		default:
			m->tools.n = m->joints.n = 0;
			break;
		}
		assert_true(book_of(&mem, m, NULL) >= 5);
		arena_end(&mem);
	}
}

static void a_title_alone(void **state) {
	(void)state;
	arena mem = {0};
	model *m = ARENA_NEW(&mem, model);
	m->mem = &mem, m->title = "Nothing yet", m->slug = "nothing";
	for (int a = 0; a < 3; a++) m->bounds.lo[a] = m->bounds.hi[a] = rat_int(0);
	assert_true(book_of(&mem, m, NULL) >= 3);
	arena_end(&mem);
}

int main(void) {
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(whole),
		cmocka_unit_test(waived_findings_are_told),
		cmocka_unit_test(models_that_lack_something),
		cmocka_unit_test(a_title_alone),
	};
	return cmocka_run_group_tests(tests, NULL, NULL);
}
