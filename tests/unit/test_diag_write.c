/* Messages as text, JSON and SARIF: carets under tabs, wide and combining letters, cut lines, colours. */
#include <jansson.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "runtime/write/diag_write.h"

typedef struct bench {
	arena mem;
	source_set sources;
	diags diags;
} bench;

static int begin(void **state) {
	bench *b = calloc(1, sizeof *b);
	if (!b) return -1;
	b->sources = source_begin(&b->mem);
	b->diags = diags_begin(&b->mem);
	*state = b;
	return 0;
}

static int end(void **state) {
	bench *b = *state;
	arena_end(&b->mem);
	free(b);
	return 0;
}

/* The span of the first `word` in file `f`. */
static span at(const bench *b, uint32_t f, const char *word) {
	const char *text = b->sources.files.v[f].text, *p = strstr(text, word);
	assert_non_null(p);
	return (span){f, (uint32_t)(p - text), (uint32_t)(p - text + (ptrdiff_t)strlen(word))};
}

static uint32_t file(bench *b, const char *name, const char *text) {
	return source_add(&b->sources, name, text, strlen(text));
}

static const char *text_of(bench *b, bool colour) {
	textbuf out = textbuf_begin(&b->mem);
	diag_text(&out, &b->diags, &b->sources, colour);
	return out.v;
}

static void place_caret_notes_help(void **state) {
	bench *b = *state;
	uint32_t f = file(b, "a.plan", "let one = 1\nlet two = won\n\nlet one = 3\n");
	diag *g = diag_error(&b->diags, "plan-name", at(b, f, "won"), "nothing is called `won`");
	diag_add_note(&b->diags, g, at(b, f, "one"), "a near name is defined here");
	diag_add_note(&b->diags, g, span_none(), "names are looked for in the whole plan");
	diag_add_help(&b->diags, g, "did you mean `one`?");
	diag_warning(&b->diags, "odd", at(b, f, "3"), "three");
	assert_string_equal(text_of(b, false), "a.plan:2:11: error: nothing is called `won` [plan-name]\n"
					       "    2 | let two = won\n"
					       "      |           ^^^\n"
					       "a.plan:1:5: note: a near name is defined here\n"
					       "    1 | let one = 1\n"
					       "      |     ^^^\n"
					       "  note: names are looked for in the whole plan\n"
					       "  help: did you mean `one`?\n"
					       "a.plan:4:11: warning: three [odd]\n"
					       "    4 | let one = 3\n"
					       "      |           ^\n");
}

static void carets_stand_under_what_is_seen(void **state) {
	bench *b = *state;
	/* A tab to column 8; O with stroke (1 column), a wide character (2), an e with a combining accent (1). */
	uint32_t f = file(b, "a.plan",
			  "\tnote \"\xC3\x98\" here\nnote \"\xE6\x9C\xA8\xE6\x9D\xBF\" there\n"
			  "note \"e\xCC\x81\" where\nab\tcd\tef\n");
	diag_error(&b->diags, "r", at(b, f, "here"), "one");
	diag_error(&b->diags, "r", at(b, f, "there"), "two");
	diag_error(&b->diags, "r", at(b, f, "where"), "three");
	diag_error(&b->diags, "r", at(b, f, "\tcd\t"), "four");
	assert_string_equal(text_of(b, false), "a.plan:1:11: error: one [r]\n"
					       "    1 |         note \"\xC3\x98\" here\n"
					       "      |                  ^^^^\n"
					       "a.plan:2:11: error: two [r]\n"
					       "    2 | note \"\xE6\x9C\xA8\xE6\x9D\xBF\" there\n"
					       "      |             ^^^^^\n"
					       "a.plan:3:11: error: three [r]\n"
					       "    3 | note \"e\xCC\x81\" where\n"
					       "      |          ^^^^^\n"
					       "a.plan:4:3: error: four [r]\n"
					       "    4 | ab      cd      ef\n"
					       "      |   ^^^^^^^^^^^^^^\n");
}

static void a_line_may_end_with_a_combining_letter(void **state) {
	bench *b = *state;
	uint32_t f = file(b, "a.plan", "# e\xCC\x81");
	diag_error(&b->diags, "r", at(b, f, "#"), "one");
	assert_string_equal(text_of(b, false), "a.plan:1:1: error: one [r]\n    1 | # e\xCC\x81\n      | ^\n");
}

static void several_lines_are_cut_to_the_first(void **state) {
	bench *b = *state;
	uint32_t f = file(b, "a.plan", "one {\r\n  two\r\n}\r\n");
	diag_error(&b->diags, "r", at(b, f, "{\r\n  two\r\n}"), "block");
	diag_error(&b->diags, "r", (span){f, 17, 17}, "end");
	diag_error(&b->diags, "r", (span){f, 12, 14}, "behind the line");
	diag_error(&b->diags, "r", (span){f, 900, 1000}, "behind the file");
	assert_string_equal(text_of(b, false), "a.plan:1:5: error: block [r]\n"
					       "    1 | one {\n"
					       "      |     ^\n"
					       "a.plan:4:1: error: end [r]\n"
					       "    4 | \n"
					       "      | ^\n"
					       "a.plan:2:6: error: behind the line [r]\n"
					       "    2 |   two\n"
					       "      |      ^\n"
					       "a.plan:4:1: error: behind the file [r]\n"
					       "    4 | \n"
					       "      | ^\n");
}

static void long_lines_are_cut_around_the_caret(void **state) {
	bench *b = *state;
	textbuf t = textbuf_begin(&b->mem);
	textbuf_add(&t, "aaaaFIRST");
	while (t.n < 500000) textbuf_char(&t, 'a');
	textbuf_add(&t, "HERE");
	while (t.n < (1 << 20) - 2) textbuf_char(&t, 'a');
	uint32_t f = file(b, "a.plan", t.v);
	diag_error(&b->diags, "r", at(b, f, "HERE"), "in the middle");
	diag_error(&b->diags, "r", at(b, f, "FIRST"), "at the beginning");
	diag_error(&b->diags, "r", (span){f, 4, 1000000}, "long");
	const char *got = text_of(b, false);
	char a[101] = {0};
	memset(a, 'a', 100);
	char carets[97] = {0};
	memset(carets, '^', 96);
	const char *expected = arena_printf(&b->mem,
					    "a.plan:1:500001: error: in the middle [r]\n"
					    "    1 | \xE2\x80\xA6%.40sHERE%.56s\xE2\x80\xA6\n"
					    "      |  %40s^^^^\n"
					    "a.plan:1:5: error: at the beginning [r]\n"
					    "    1 | aaaaFIRST%.91s\xE2\x80\xA6\n"
					    "      |     ^^^^^\n"
					    "a.plan:1:5: error: long [r]\n"
					    "    1 | aaaaFIRST%.91s\xE2\x80\xA6\n"
					    "      |     %s\n",
					    a, a, "", a, a, carets);
	assert_string_equal(got, expected);
}

static void waived_take_one_line(void **state) {
	bench *b = *state;
	uint32_t f = file(b, "a.plan", "let a = 1\n");
	diag *g = diag_error(&b->diags, "hole-edge", at(b, f, "a"), "too near");
	diag_add_help(&b->diags, g, "move it");
	diag_waive(&b->diags, g, "the frame holds it");
	assert_string_equal(text_of(b, false),
			    "a.plan:1:5: allowed: too near [hole-edge] because: the frame holds it\n");
}

static void without_a_place(void **state) {
	bench *b = *state;
	diag *g = diag_warning(&b->diags, "no-air", span_none(), "the plan has no air");
	diag_add_help(&b->diags, g, "add an `air` block");
	assert_string_equal(text_of(b, false), "windchest: warning: the plan has no air [no-air]\n"
					       "  help: add an `air` block\n");
}

static void nothing_steers_the_terminal(void **state) {
	bench *b = *state;
	uint32_t f = file(b, "a\033[2J\n.plan", "x \033[31m \xFF \xE2\x80\xAE y\n");
	diag_error(&b->diags, "r", at(b, f, "y"), "\x07 bell \xC2\x9B");
	const char *got = text_of(b, false);
	assert_string_equal(got, "a\xEF\xBF\xBD[2J\xEF\xBF\xBD.plan:1:13: error: \xEF\xBF\xBD bell \xEF\xBF\xBD [r]\n"
				 "    1 | x \xEF\xBF\xBD[31m \xEF\xBF\xBD \xEF\xBF\xBD y\n"
				 "      |             ^\n");
}

static void colour_only_adds_sequences(void **state) {
	bench *b = *state;
	uint32_t f = file(b, "a.plan", "let two = won\n");
	diag *g = diag_error(&b->diags, "r", at(b, f, "won"), "what");
	diag_add_note(&b->diags, g, at(b, f, "two"), "here");
	diag_add_help(&b->diags, g, "so");
	const char *plain = text_of(b, false), *coloured = text_of(b, true);
	assert_non_null(strstr(coloured, "\033[1;31merror:\033[0m"));
	textbuf left = textbuf_begin(&b->mem);
	for (const char *p = coloured; *p; p++) {
		if (*p == '\033')
			while (*p != 'm') p++;
		else
			textbuf_char(&left, *p);
	}
	assert_string_equal(left.v, plain);
}

static const char *string(json_t *o, const char *key) { return json_string_value(json_object_get(o, key)); }
static long long whole(json_t *o, const char *key) { return json_integer_value(json_object_get(o, key)); }

static void fill(bench *b) {
	uint32_t f = file(b, "my plans/a#1.plan", "let one = 1\nnote \"\xC3\x98\xF0\x9F\x94\xA7\" won\n");
	uint32_t h = file(b, "/lib/b.plan", "let x2 = 1\n");
	diag *g = diag_error(&b->diags, "plan-name", at(b, f, "won"), "nothing is called \"won\"");
	diag_add_note(&b->diags, g, at(b, h, "x2"), "there");
	diag_add_note(&b->diags, g, span_none(), "bare");
	diag_add_help(&b->diags, g, "did you mean `one`?");
	g = diag_warning(&b->diags, "odd", at(b, f, "1\nnote"), "two lines");
	diag_waive(&b->diags, g, "it is so");
	diag_warning(&b->diags, "plan-name", span_none(), "no place \xFF");
}

static void json_holds_all(void **state) {
	bench *b = *state;
	fill(b);
	textbuf out = textbuf_begin(&b->mem);
	diag_json(&out, &b->diags, &b->sources);
	json_t *j = json_loads(out.v, JSON_REJECT_DUPLICATES, NULL);
	assert_non_null(j);
	assert_int_equal(whole(j, "errors"), 1);
	assert_int_equal(whole(j, "warnings"), 1);
	json_t *list = json_object_get(j, "diagnostics"), *g = json_array_get(list, 0);
	assert_int_equal(json_array_size(list), 3);
	assert_string_equal(string(g, "severity"), "error");
	assert_string_equal(string(g, "rule"), "plan-name");
	assert_string_equal(string(g, "text"), "nothing is called \"won\"");
	assert_string_equal(string(g, "file"), "my plans/a#1.plan");
	assert_int_equal(whole(g, "line"), 2);
	assert_int_equal(whole(g, "column"), 11);
	assert_int_equal(whole(g, "end_line"), 2);
	assert_int_equal(whole(g, "end_column"), 14);
	assert_string_equal(string(g, "help"), "did you mean `one`?");
	json_t *n = json_array_get(json_object_get(g, "notes"), 0);
	assert_string_equal(string(n, "file"), "/lib/b.plan");
	assert_int_equal(whole(n, "column"), 5);
	assert_null(json_object_get(json_array_get(json_object_get(g, "notes"), 1), "file"));
	g = json_array_get(list, 1);
	assert_string_equal(string(g, "allowed"), "it is so");
	assert_int_equal(whole(g, "end_line"), 2);
	assert_int_equal(whole(g, "end_column"), 5);
	g = json_array_get(list, 2);
	assert_null(json_object_get(g, "file"));
	assert_string_equal(string(g, "text"), "no place \xEF\xBF\xBD");
	json_decref(j);
}

static const char *about(const char *rule) { return strcmp(rule, "odd") == 0 ? "Odd things." : NULL; }

static void sarif_holds_all(void **state) {
	bench *b = *state;
	fill(b);
	textbuf out = textbuf_begin(&b->mem);
	diag_sarif(&out, &b->diags, &b->sources, "1.2", about);
	json_t *j = json_loads(out.v, JSON_REJECT_DUPLICATES, NULL);
	assert_non_null(j);
	assert_string_equal(string(j, "version"), "2.1.0");
	json_t *run = json_array_get(json_object_get(j, "runs"), 0);
	assert_string_equal(string(run, "columnKind"), "unicodeCodePoints");
	json_t *driver = json_object_get(json_object_get(run, "tool"), "driver");
	assert_string_equal(string(driver, "name"), "windchest");
	assert_string_equal(string(driver, "version"), "1.2");
	json_t *rules = json_object_get(driver, "rules");
	assert_int_equal(json_array_size(rules), 2);
	assert_string_equal(string(json_array_get(rules, 1), "id"), "odd");
	assert_string_equal(string(json_object_get(json_array_get(rules, 1), "shortDescription"), "text"),
			    "Odd things.");
	json_t *results = json_object_get(run, "results"), *r = json_array_get(results, 0);
	assert_int_equal(json_array_size(results), 3);
	assert_string_equal(string(r, "ruleId"), "plan-name");
	assert_int_equal(whole(r, "ruleIndex"), 0);
	assert_string_equal(string(r, "level"), "error");
	json_t *p = json_object_get(json_array_get(json_object_get(r, "locations"), 0), "physicalLocation");
	assert_string_equal(string(json_object_get(p, "artifactLocation"), "uri"), "my%20plans/a%231.plan");
	json_t *region = json_object_get(p, "region");
	assert_int_equal(whole(region, "startLine"), 2);
	assert_int_equal(whole(region, "startColumn"), 11);
	assert_int_equal(whole(region, "endColumn"), 14);
	json_t *related = json_object_get(r, "relatedLocations");
	assert_int_equal(json_array_size(related), 1);
	p = json_object_get(json_array_get(related, 0), "physicalLocation");
	assert_string_equal(string(json_object_get(p, "artifactLocation"), "uri"), "file:///lib/b.plan");
	assert_string_equal(string(json_object_get(r, "properties"), "help"), "did you mean `one`?");
	assert_int_equal(json_array_size(json_object_get(json_object_get(r, "properties"), "notes")), 1);
	assert_true(json_is_array(json_object_get(r, "suppressions")));
	assert_int_equal(json_array_size(json_object_get(r, "suppressions")), 0);
	json_t *i = json_array_get(json_object_get(run, "invocations"), 0);
	assert_true(json_is_true(json_object_get(i, "executionSuccessful")));
	r = json_array_get(results, 1);
	json_t *s = json_array_get(json_object_get(r, "suppressions"), 0);
	assert_string_equal(string(s, "kind"), "inSource");
	assert_string_equal(string(s, "justification"), "it is so");
	r = json_array_get(results, 2);
	assert_int_equal(whole(r, "ruleIndex"), 0);
	assert_int_equal(json_array_size(json_object_get(r, "locations")), 0);
	json_decref(j);
}

static void what_could_not_be_read_is_told(void **state) {
	bench *b = *state;
	LIST_PUSH(&b->mem, &b->diags.failures, "cannot read {a}: no such file");
	textbuf out = textbuf_begin(&b->mem), log = textbuf_begin(&b->mem);
	diag_json(&out, &b->diags, &b->sources);
	assert_non_null(strstr(out.v, "\"failures\": [\n    \"cannot read {a}: no such file\"\n  ]"));
	diag_sarif(&log, &b->diags, &b->sources, NULL, NULL);
	json_t *j = json_loads(log.v, JSON_REJECT_DUPLICATES, NULL);
	json_t *run = json_array_get(json_object_get(j, "runs"), 0);
	json_t *i = json_array_get(json_object_get(run, "invocations"), 0);
	assert_true(json_is_false(json_object_get(i, "executionSuccessful")));
	json_t *n = json_array_get(json_object_get(i, "toolExecutionNotifications"), 0);
	assert_string_equal(string(n, "level"), "error");
	assert_string_equal(string(json_object_get(n, "message"), "text"), "cannot read {{a}}: no such file");
	json_decref(j);
}

static void nothing_wrong_is_valid_too(void **state) {
	bench *b = *state;
	assert_string_equal(text_of(b, false), "");
	textbuf out = textbuf_begin(&b->mem);
	diag_json(&out, &b->diags, &b->sources);
	assert_string_equal(out.v, "{\n  \"diagnostics\": [],\n  \"errors\": 0,\n  \"warnings\": 0\n}\n");
	textbuf log = textbuf_begin(&b->mem);
	diag_sarif(&log, &b->diags, &b->sources, NULL, NULL);
	json_t *j = json_loads(log.v, JSON_REJECT_DUPLICATES, NULL);
	json_t *results = json_object_get(json_array_get(json_object_get(j, "runs"), 0), "results");
	assert_true(json_is_array(results));
	assert_int_equal(json_array_size(results), 0);
	json_decref(j);
}

int main(void) {
	const struct CMUnitTest tests[] = {
		cmocka_unit_test_setup_teardown(place_caret_notes_help, begin, end),
		cmocka_unit_test_setup_teardown(carets_stand_under_what_is_seen, begin, end),
		cmocka_unit_test_setup_teardown(a_line_may_end_with_a_combining_letter, begin, end),
		cmocka_unit_test_setup_teardown(several_lines_are_cut_to_the_first, begin, end),
		cmocka_unit_test_setup_teardown(long_lines_are_cut_around_the_caret, begin, end),
		cmocka_unit_test_setup_teardown(waived_take_one_line, begin, end),
		cmocka_unit_test_setup_teardown(without_a_place, begin, end),
		cmocka_unit_test_setup_teardown(nothing_steers_the_terminal, begin, end),
		cmocka_unit_test_setup_teardown(colour_only_adds_sequences, begin, end),
		cmocka_unit_test_setup_teardown(json_holds_all, begin, end),
		cmocka_unit_test_setup_teardown(sarif_holds_all, begin, end),
		cmocka_unit_test_setup_teardown(what_could_not_be_read_is_told, begin, end),
		cmocka_unit_test_setup_teardown(nothing_wrong_is_valid_too, begin, end),
	};
	return cmocka_run_group_tests(tests, NULL, NULL);
}
