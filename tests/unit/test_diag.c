/* Diagnostics as data: runtime/base/diag. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "runtime/base/diag.h"

static void errors_and_warnings_are_counted_apart(void **state) {
	(void)state;
	arena a = {0};
	diags d = diags_begin(&a);
	diag *e = diag_error(&d, "plan-name", (span){0, 3, 7}, "no panel is called %s", "left");
	diag *w = diag_warning(&d, "edge-distance", span_none(), "hole %d is near an edge", 3);
	assert_int_equal(d.errors, 1);
	assert_int_equal(d.warnings, 1);
	assert_int_equal(d.all.n, 2);
	assert_ptr_equal(d.all.v[0], e);
	assert_int_equal(e->severity, DIAG_ERROR);
	assert_int_equal(w->severity, DIAG_WARNING);
	assert_string_equal(e->text, "no panel is called left");
	assert_string_equal(w->text, "hole 3 is near an edge");
	assert_string_equal(e->rule, "plan-name");
	assert_null(e->help);
	assert_null(e->allowed);
	arena_end(&a);
}

static void the_same_thing_is_said_once(void **state) {
	(void)state;
	arena a = {0};
	diags d = diags_begin(&a);
	span at = {0, 1, 2};
	diag *first = diag_error(&d, "r", at, "text %d", 1);
	assert_ptr_equal(diag_error(&d, "r", at, "text %d", 1), first);
	assert_ptr_not_equal(diag_error(&d, "r", at, "text %d", 2), first);
	assert_ptr_not_equal(diag_error(&d, "s", at, "text %d", 1), first);
	assert_ptr_not_equal(diag_error(&d, "r", (span){0, 1, 3}, "text %d", 1), first);
	assert_int_equal(d.errors, 4);
	diag_add_note(&d, first, at, "placed here");
	diag_add_note(&d, first, at, "placed here");
	diag_add_note(&d, first, (span){0, 9, 9}, "placed here");
	diag_add_note(&d, first, at, "and %s", "here");
	assert_int_equal(first->notes.n, 3);
	assert_string_equal(first->notes.v[2].text, "and here");
	diag_add_help(&d, first, "move it by %d mm", 5);
	assert_string_equal(first->help, "move it by 5 mm");
	arena_end(&a);
}

static void a_waived_one_does_not_count(void **state) {
	(void)state;
	arena a = {0};
	diags d = diags_begin(&a);
	diag *e = diag_error(&d, "r", span_none(), "x");
	diag *w = diag_warning(&d, "r", span_none(), "y");
	diag_waive(&d, e, "the wall carries it");
	diag_waive(&d, e, "twice");
	assert_int_equal(d.errors, 0);
	assert_int_equal(d.warnings, 1);
	assert_string_equal(e->allowed, "the wall carries it");
	diag_waive(&d, w, "so what");
	assert_int_equal(d.warnings, 0);
	assert_int_equal(d.all.n, 2); /* kept: the book prints it with its reason */
	arena_end(&a);
}

static void allow_waives_rules_but_not_the_language(void **state) {
	(void)state;
	arena a = {0};
	diags d = diags_begin(&a);
	const char *const allow[] = {"edge-distance", "plan-syntax"};
	d.allow = allow;
	d.n_allow = 2;
	assert_non_null(diag_error(&d, "edge-distance", span_none(), "x")->allowed);
	assert_non_null(diag_warning(&d, "edge-distance", span_none(), "y")->allowed);
	assert_null(diag_error(&d, "plan-syntax", span_none(), "z")->allowed);
	assert_null(diag_error(&d, "edge", span_none(), "w")->allowed);
	assert_int_equal(d.errors, 2);
	assert_int_equal(d.warnings, 0);
	/* Said a second time it is not waived a second time. */
	diag_error(&d, "edge-distance", span_none(), "x");
	assert_int_equal(d.errors, 2);
	arena_end(&a);
}

static void sorted_by_place_and_stable(void **state) {
	(void)state;
	arena a = {0};
	diags d = diags_begin(&a);
	diags_sort(&d); /* of none */
	diag_error(&d, "a", span_none(), "no place 1");
	diag_error(&d, "a", (span){1, 0, 1}, "second file");
	diag_error(&d, "a", (span){0, 9, 10}, "late 1");
	diag_warning(&d, "a", (span){0, 9, 9}, "late 2");
	diag_error(&d, "a", (span){0, 2, 3}, "early");
	diag_error(&d, "a", span_none(), "no place 2");
	diags_sort(&d);
	static const char *const order[] = {"early", "late 1", "late 2", "second file", "no place 1", "no place 2"};
	for (size_t i = 0; i < 6; i++) assert_string_equal(d.all.v[i]->text, order[i]);
	arena_end(&a);
}

static void too_many_are_counted_only(void **state) {
	(void)state;
	arena a = {0};
	diags d = diags_begin(&a);
	for (uint32_t i = 0; i < DIAG_MOST + 500; i++) {
		diag_warning(&d, "a", (span){0, i, i + 1}, "again");
		diag_warning(&d, "a", (span){0, i, i + 1}, "again");
	}
	/* The 500 behind the most are told from each other no more. */
	assert_int_equal(d.warnings, DIAG_MOST + 1000);
	assert_int_equal(d.all.n, DIAG_MOST + 1);
	assert_string_equal(d.all.v[DIAG_MOST]->rule, "plan-size");
	diag_error(&d, "b", (span){0, 3, 4}, "an error is still told");
	assert_int_equal(d.errors, 1);
	assert_string_equal(d.all.v[DIAG_MOST + 1]->text, "an error is still told");
	arena_end(&a);
}

int main(void) {
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(errors_and_warnings_are_counted_apart),
		cmocka_unit_test(the_same_thing_is_said_once),
		cmocka_unit_test(a_waived_one_does_not_count),
		cmocka_unit_test(allow_waives_rules_but_not_the_language),
		cmocka_unit_test(sorted_by_place_and_stable),
		cmocka_unit_test(too_many_are_counted_only),
	};
	return cmocka_run_group_tests(tests, NULL, NULL);
}
