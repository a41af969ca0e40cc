/* Memory, lists, text and UTF-8, places in a source: runtime/base. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>
#include <string.h>
#include <sys/wait.h>
#include <unistd.h>

#include "runtime/base/arena.h"
#include "runtime/base/source.h"
#include "runtime/base/text.h"

#if defined __SANITIZE_ADDRESS__
#define ARENA_POISONS
#elif defined __has_feature
#if __has_feature(address_sanitizer)
#define ARENA_POISONS
#endif
#endif
#ifdef ARENA_POISONS
#include <sanitizer/asan_interface.h>
#endif

/* ---- arena --------------------------------------------------------------------------------- */

static void arena_memory_is_zeroed_aligned_and_apart(void **state) {
	(void)state;
	arena a = {0};
	unsigned char *last = NULL;
	for (size_t size = 0; size < 3000; size += 7) {
		unsigned char *p = arena_alloc(&a, size);
		assert_int_equal((uintptr_t)p % 16, 0);
		for (size_t i = 0; i < size; i++) assert_int_equal(p[i], 0);
		memset(p, 0xA5, size);
		if (last) assert_int_equal(last[0], 0xA5); /* the one before was not written over */
		last = size ? p : NULL;
	}
	arena_end(&a);
}

static void arena_outsize_block_leaves_the_current_one_in_use(void **state) {
	(void)state;
	arena a = {0};
	char *small = arena_text(&a, "small");
	char *big = arena_alloc(&a, 1u << 20);
	memset(big, 'x', 1u << 20);
	char *next = arena_text(&a, "next");
	/* The small block still had room, so `next` stands beside `small`, behind its red zone if there is one. */
	assert_in_range(next - small, 16, 32);
	assert_string_equal(small, "small");
	assert_int_equal(a.used, (1u << 20) + 32);
	arena_end(&a);
	assert_int_equal(a.used, 0);
	assert_string_equal(arena_text(&a, "again"), "again"); /* may be used after its end */
	arena_end(&a);
}

static void arena_first_allocation_may_be_outsize(void **state) {
	(void)state;
	arena a = {0};
	char *big = arena_alloc(&a, 200000);
	memset(big, 'x', 200000);
	memset(arena_alloc(&a, 64), 'y', 64);
	assert_int_equal(big[199999], 'x');
	arena_end(&a);
}

static void arena_grows_what_was_given_out(void **state) {
	(void)state;
	arena a = {0};
	unsigned char *one = arena_alloc(&a, 40), *two = NULL;
	memset(one, 1, 40);
	for (size_t size = 40; size < 3000000;
	     size = size * 7 / 4) { /* in place, to a new block, in a block of its own */
		one = arena_grow(&a, one, size, size * 7 / 4);
		memset(one + size, 1, size * 7 / 4 - size);
		two = arena_alloc(&a, 24);
		for (int i = 0; i < 24; i++) assert_int_equal(two[i], 0);
		memset(two, 2, 24);
		for (size_t i = 0; i < size * 7 / 4; i++) assert_int_equal(one[i], 1);
	}
	struct {
		int *v;
		size_t n, room;
	} list = {0};
	for (int i = 0; i < 200000; i++) {
		int *last = LIST_ADD(&a, &list);
		assert_int_equal(*last, 0);
		*last = i + 1;
		if (i % 5000 == 0) memset(arena_alloc(&a, 64), 3, 64);
	}
	for (int i = 0; i < 200000; i++) assert_int_equal(list.v[i], i + 1);
	arena_end(&a);
}

/* The same memory again and again, zeroed as if it were new; the last time lent to another. */
static void arena_cleared_gives_its_blocks_again(void **state) {
	(void)state;
	enum { PIECES = 2000 };
	static unsigned char *given[PIECES];
	arena a = {0};
	for (int round = 0; round < 4; round++) {
		arena lent = arena_lend(&a), *from = round == 3 ? &lent : &a;
		if (from == &a) arena_return(&a, &lent);
		for (int i = 0; i < PIECES; i++) {
			size_t size = (size_t)(i % 70) * 16;
			unsigned char *p = arena_alloc(from, size);
			for (size_t k = 0; k < size; k++) assert_int_equal(p[k], 0);
			memset(p, 0xA5, size);
			if (round) assert_ptr_equal(p, given[i]);
			given[i] = p;
		}
		assert_true(from->used > 0);
		if (from == &lent) arena_return(&a, &lent);
		arena_clear(&a);
		assert_true(a.used == 0 && a.spare);
	}
	arena_end(&a);
	assert_null(a.spare);
}

#ifdef ARENA_POISONS
/* Where a read would end the program. */
static void arena_hides_what_is_not_given_out(void **state) {
	(void)state;
	arena a = {0};
	char *p = arena_alloc(&a, 20), *next = arena_alloc(&a, 8);
	assert_false(__asan_address_is_poisoned(p) || __asan_address_is_poisoned(p + 19));
	assert_true(__asan_address_is_poisoned(p + 20));
	assert_true(__asan_address_is_poisoned(next - 1));
	assert_true(__asan_address_is_poisoned(next + 8));
	next = arena_grow(&a, next, 8, 1000);
	assert_false(__asan_address_is_poisoned(next + 999));
	assert_true(__asan_address_is_poisoned(next + 1000));
	char *big = arena_grow(&a, arena_alloc(&a, 70000), 70000, 300000);
	assert_false(__asan_address_is_poisoned(big + 299999));
	assert_true(__asan_address_is_poisoned(big + 300000));
	arena_clear(&a);
	assert_true(__asan_address_is_poisoned(p) && __asan_address_is_poisoned(big));
	arena_end(&a);
}
#endif

static void arena_copies_texts(void **state) {
	(void)state;
	arena a = {0};
	const char bytes[3] = {'a', '\0', 'b'};
	char *t = arena_textn(&a, bytes, sizeof bytes);
	assert_memory_equal(t, "a\0b", 4); /* with a NUL added */
	assert_string_equal(arena_textn(&a, bytes, 0), "");
	assert_string_equal(arena_printf(&a, "%d %s", 42, "holes"), "42 holes");
	char *wide = arena_printf(&a, "%*s", 100000, "x");
	assert_int_equal(strlen(wide), 100000);
	int numbers[2] = {7, 8};
	int *copy = arena_copy(&a, numbers, sizeof numbers);
	numbers[0] = 0;
	assert_int_equal(copy[0], 7);
	arena_end(&a);
}

/* In a child process: what status does it end with, and does it say so? */
static void assert_ends_exhausted(size_t each, size_t n) {
	int ends[2];
	assert_int_equal(pipe(ends), 0);
	pid_t child = fork();
	assert_true(child >= 0);
	if (child == 0) {
		dup2(ends[1], STDERR_FILENO);
		arena a = {0};
		arena_many(&a, each, n);
		_exit(0);
	}
	close(ends[1]);
	char said[64] = "";
	assert_true(read(ends[0], said, sizeof said - 1) > 0);
	close(ends[0]);
	int status = 0;
	assert_int_equal(waitpid(child, &status, 0), child);
	assert_true(WIFEXITED(status));
	assert_int_equal(WEXITSTATUS(status), 3);
	assert_string_equal(said, "windchest: error: out of memory\n");
}

static void more_than_there_is_ends_with_status_3(void **state) {
	(void)state;
	assert_ends_exhausted(8, SIZE_MAX / 8 + 2); /* the product would wrap round to a few bytes */
	assert_ends_exhausted(1, SIZE_MAX - 4);
}

static void list_keeps_its_elements_while_it_grows(void **state) {
	(void)state;
	arena a = {0};
	LIST(long) list = {0};
	for (long i = 0; i < 5000; i++) LIST_PUSH(&a, &list, i * i);
	assert_int_equal(list.n, 5000);
	assert_true(list.room >= list.n);
	for (long i = 0; i < 5000; i++) assert_int_equal(list.v[i], i * i);
	long *added = LIST_ADD(&a, &list);
	assert_int_equal(*added, 0); /* a new element is zeroed */
	assert_ptr_equal(added, &list.v[5000]);
	arena_end(&a);
}

/* ---- text ---------------------------------------------------------------------------------- */

static void textbuf_grows_and_stays_nul_ended(void **state) {
	(void)state;
	arena a = {0};
	textbuf t = textbuf_begin(&a);
	assert_string_equal(t.v, "");
	for (int i = 0; i < 1000; i++) {
		textbuf_char(&t, 'a');
		assert_int_equal(strlen(t.v), i + 1);
	}
	textbuf_add(&t, "bc");
	textbuf_addn(&t, "defgh", 2);
	textbuf_addn(&t, "", 0);
	textbuf_printf(&t, " %05.1f|", 2.25);
	textbuf_printf(&t, "%s", "");
	assert_string_equal(t.v + 1000, "bcde 002.2|");
	assert_int_equal(t.n, strlen(t.v));
	textbuf_printf(&t, "%*s", 70000, "x");
	assert_int_equal(t.n, 1011 + 70000);
	/* Full to the brim, the NUL still has a place of its own: what comes next in the arena does not touch it. */
	for (size_t n = 60; n < 70; n++) {
		textbuf brim = textbuf_begin(&a);
		for (size_t i = 0; i < n; i++) textbuf_char(&brim, 'x');
		arena_text(&a, "next");
		assert_int_equal(strlen(brim.v), n);
	}
	arena_end(&a);
}

static void distance_counts_edits(void **state) {
	(void)state;
	assert_int_equal(text_distance("", ""), 0);
	assert_int_equal(text_distance("panel", "panel"), 0);
	assert_int_equal(text_distance("panel", ""), 5);
	assert_int_equal(text_distance("panel", "panl"), 1);
	assert_int_equal(text_distance("panel", "pannel"), 1);
	assert_int_equal(text_distance("panel", "pamel"), 1);
	assert_int_equal(text_distance("panel", "apnel"), 1);	 /* a swap of neighbours is one slip */
	assert_int_equal(text_distance("kitten", "sitting"), 3); /* the textbook's example */
	assert_int_equal(text_distance("ab", "ba"), 1);
	char longer[101] = {0};
	memset(longer, 'x', 100);
	assert_int_equal(text_distance(longer, "x"), 100); /* too long to be a slip: the length */
	assert_int_equal(text_distance("x", longer), 100);
}

static void nearest_finds_a_slip_of_the_pen_and_nothing_else(void **state) {
	(void)state;
	const char *const words[] = {"panel", NULL, "slat", "cleat", "leg", "door"};
	size_t n = sizeof words / sizeof *words;
	assert_string_equal(text_nearest("pannel", words, n), "panel");
	assert_string_equal(text_nearest("pnael", words, n), "panel");
	assert_string_equal(text_nearest("slta", words, n), "slat");
	/* Of equally near ones: a letter left out before one that is another. */
	const char *const faces[] = {"right", "height", "bright"};
	assert_string_equal(text_nearest("hight", faces, 3), "height");
	assert_string_equal(text_nearest("rihgt", faces, 3), "right");
	assert_null(text_nearest("window", words, n));
	const char *const far[] = {"slope"};
	assert_null(text_nearest("rope", far, 1)); /* two edits are too many for four letters */
	assert_null(text_nearest("", words, n));
	assert_null(text_nearest("panel", words, 0));
	/* A word of one letter is no near miss of another. */
	const char *const letters[] = {"a", "b"};
	assert_null(text_nearest("c", letters, 2));
}

static uint32_t first(const char *bytes, size_t n, size_t *taken) {
	const char *p = bytes;
	uint32_t c = text_utf8_next(&p, bytes + n);
	*taken = (size_t)(p - bytes);
	return c;
}

static void utf8_steps_over_characters(void **state) {
	(void)state;
	static const struct {
		const char *bytes;
		uint32_t code;
		size_t taken;
	} cases[] = {
		{"a", 'a', 1},
		{"\xC2\x80", 0x80, 2},
		{"\xC3\x98", 0xD8, 2}, /* Ø */
		{"\xDF\xBF", 0x7FF, 2},
		{"\xE0\xA0\x80", 0x800, 3},
		{"\xED\x9F\xBF", 0xD7FF, 3},
		{"\xEE\x80\x80", 0xE000, 3},
		{"\xEF\xBF\xBF", 0xFFFF, 3},
		{"\xF0\x90\x80\x80", 0x10000, 4},
		{"\xF4\x8F\xBF\xBF", 0x10FFFF, 4},
		/* Not UTF-8 (RFC 3629): one byte is stepped over. */
		{"\x80", UINT32_MAX, 1},
		{"\xC0\xAF", UINT32_MAX, 1}, /* longer than it need be */
		{"\xC1\xBF", UINT32_MAX, 1},
		{"\xE0\x9F\xBF", UINT32_MAX, 1},
		{"\xED\xA0\x80", UINT32_MAX, 1}, /* half of a pair */
		{"\xED\xBF\xBF", UINT32_MAX, 1},
		{"\xF0\x8F\xBF\xBF", UINT32_MAX, 1},
		{"\xF4\x90\x80\x80", UINT32_MAX, 1}, /* beyond U+10FFFF */
		{"\xF5\x80\x80\x80", UINT32_MAX, 1},
		{"\xFF", UINT32_MAX, 1},
		{"\xC3", UINT32_MAX, 1}, /* cut short */
		{"\xE2\x82", UINT32_MAX, 1},
		{"\xF0\x9F\x98", UINT32_MAX, 1},
		{"\xC3(", UINT32_MAX, 1},
	};
	for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
		size_t taken;
		assert_int_equal(first(cases[i].bytes, strlen(cases[i].bytes), &taken), cases[i].code);
		assert_int_equal(taken, cases[i].taken);
	}
	size_t taken;
	assert_int_equal(first("\0", 1, &taken), 0);
	assert_int_equal(taken, 1);
	/* What lies behind the end is not looked at, even when it would fit. */
	assert_int_equal(first("\xE2\x82\xAC", 2, &taken), UINT32_MAX);
	assert_int_equal(taken, 1);
	assert_int_equal(first("\xE2\x82\xAC", 3, &taken), 0x20AC);
	assert_int_equal(taken, 3);
}

static void columns_follow_tabs_wide_and_combining_characters(void **state) {
	(void)state;
	assert_int_equal(text_columns("", 0, 5), 0);
	assert_int_equal(text_columns("abc", 3, 0), 3);
	assert_int_equal(text_columns("\t", 1, 0), 8);
	assert_int_equal(text_columns("\t", 1, 7), 1);
	assert_int_equal(text_columns("\t", 1, 8), 8);
	assert_int_equal(text_columns("ab\tc", 4, 0), 9);
	assert_int_equal(text_columns("\xC3\x98", 2, 0), 1);	 /* Ø */
	assert_int_equal(text_columns("e\xCC\x81", 3, 0), 1);	 /* e and a combining acute */
	assert_int_equal(text_columns("\xE6\x9C\xA8", 3, 0), 2); /* a wide character */
	assert_int_equal(text_columns("\xE2\x80\x93", 3, 0), 1); /* en dash */
	assert_int_equal(text_columns("\xE2\x80\x90", 3, 0), 1); /* hyphen U+2010 */
	assert_int_equal(text_columns("\xE2\x80\x8B", 3, 0), 0); /* zero width space */
	assert_int_equal(text_columns("\xFF\xFE", 2, 0), 2);	 /* bytes that are no UTF-8 */
}

static void same_takes_null(void **state) {
	(void)state;
	assert_true(text_same(NULL, NULL));
	assert_false(text_same(NULL, ""));
	assert_false(text_same("", NULL));
	assert_true(text_same("a", "a"));
	assert_false(text_same("a", "b"));
}

/* ---- places in a source -------------------------------------------------------------------- */

static source_place find(const char *text, uint32_t start, uint32_t end) {
	arena a = {0};
	source_set s = source_begin(&a);
	uint32_t file = source_add(&s, "x.plan", text, strlen(text));
	source_place p = source_find(&s, (span){file, start, end});
	assert_string_equal(p.file, "x.plan");
	p.file = NULL;
	arena_end(&a);
	return p;
}

static void a_place_has_line_column_and_the_line(void **state) {
	(void)state;
	source_place p = find("let a\nlet width = 5\nz", 10, 15);
	assert_int_equal(p.line, 2);
	assert_int_equal(p.column, 5);
	assert_int_equal(p.line_size, 13);
	assert_memory_equal(p.line_text, "let width = 5", 13);
	assert_int_equal(p.first_byte, 4);
	assert_int_equal(p.last_byte, 9);
	assert_int_equal(p.first_char, 4);
	assert_int_equal(p.last_char, 9);
}

static void columns_of_a_place_count_characters(void **state) {
	(void)state;
	source_place p = find("a \xC3\x98\xC3\x98 bad", 7, 10);
	assert_int_equal(p.line, 1);
	assert_int_equal(p.first_byte, 7);
	assert_int_equal(p.first_char, 5);
	assert_int_equal(p.last_char, 8);
	assert_int_equal(p.column, 6);
}

static void a_place_stays_within_its_line(void **state) {
	(void)state;
	source_place p = find("ab\r\ncd\r\n", 0, 7); /* over two lines: only the first is shown */
	assert_int_equal(p.line_size, 2);
	assert_int_equal(p.first_byte, 0);
	assert_int_equal(p.last_byte, 2);
	p = find("ab\ncd\n", 2, 3); /* the end of the line itself */
	assert_int_equal(p.line, 1);
	assert_int_equal(p.column, 3);
	assert_int_equal(p.first_byte, 2);
	p = find("ab\r\n", 3, 4); /* between the two bytes of a line's end */
	assert_int_equal(p.line, 1);
	assert_int_equal(p.first_byte, 2);
	assert_int_equal(p.last_byte, 2);
	p = find("ab\ncd\n", 6, 6); /* the end of the file, behind its last line */
	assert_int_equal(p.line, 3);
	assert_int_equal(p.column, 1);
	assert_int_equal(p.line_size, 0);
	p = find("ab", 500, 600); /* offsets beyond the file */
	assert_int_equal(p.line, 1);
	assert_int_equal(p.column, 3);
	p = find("", 0, 0);
	assert_int_equal(p.line, 1);
	assert_int_equal(p.column, 1);
	p = find("abcdef", 4, 2); /* ends before it begins */
	assert_int_equal(p.first_byte, 4);
	assert_int_equal(p.last_byte, 4);
}

static void no_place_has_no_file(void **state) {
	(void)state;
	arena a = {0};
	source_set s = source_begin(&a);
	assert_null(source_find(&s, span_none()).file);
	assert_int_equal(source_find(&s, span_none()).line, 0);
	assert_null(source_find(&s, (span){3, 0, 1}).file); /* no such file */
	uint32_t first_file = source_add(&s, "a", "x", 1), second = source_add(&s, "b", "y", 1);
	assert_int_equal(first_file, 0);
	assert_int_equal(second, 1);
	assert_string_equal(source_find(&s, (span){1, 0, 1}).file, "b");
	arena_end(&a);
}

static void spans_join_in_one_file(void **state) {
	(void)state;
	span a = {1, 5, 9}, b = {1, 2, 6}, other = {2, 0, 1};
	assert_true(span_same(span_join(a, b), (span){1, 2, 9}));
	assert_true(span_same(span_join(a, span_none()), a));
	assert_true(span_same(span_join(span_none(), b), b));
	assert_true(span_same(span_join(a, other), a));
	assert_false(span_known(span_join(span_none(), span_none())));
}

int main(void) {
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(arena_memory_is_zeroed_aligned_and_apart),
		cmocka_unit_test(arena_outsize_block_leaves_the_current_one_in_use),
		cmocka_unit_test(arena_first_allocation_may_be_outsize),
		cmocka_unit_test(arena_grows_what_was_given_out),
		cmocka_unit_test(arena_cleared_gives_its_blocks_again),
#ifdef ARENA_POISONS
		cmocka_unit_test(arena_hides_what_is_not_given_out),
#endif
		cmocka_unit_test(arena_copies_texts),
		cmocka_unit_test(more_than_there_is_ends_with_status_3),
		cmocka_unit_test(list_keeps_its_elements_while_it_grows),
		cmocka_unit_test(textbuf_grows_and_stays_nul_ended),
		cmocka_unit_test(distance_counts_edits),
		cmocka_unit_test(nearest_finds_a_slip_of_the_pen_and_nothing_else),
		cmocka_unit_test(utf8_steps_over_characters),
		cmocka_unit_test(columns_follow_tabs_wide_and_combining_characters),
		cmocka_unit_test(same_takes_null),
		cmocka_unit_test(a_place_has_line_column_and_the_line),
		cmocka_unit_test(columns_of_a_place_count_characters),
		cmocka_unit_test(a_place_stays_within_its_line),
		cmocka_unit_test(no_place_has_no_file),
		cmocka_unit_test(spans_join_in_one_file),
	};
	return cmocka_run_group_tests(tests, NULL, NULL);
}
