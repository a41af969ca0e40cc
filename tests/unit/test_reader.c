/* Files and `use`: order, once each, circles, what is near, and nothing outside of the plan's folder. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cmocka.h>

#include "grammar/files.h"
#include "grammar/reader.h"
#include "tests/unit/grammar_dump.h"

typedef struct place {
	arena mem;
	const char *folder; /* of this test alone; holds plans/ and shipped/ */
	source_set sources;
	diags diags;
	syn_plan plan;
	const char *why;
} place;

static const char *in(place *p, const char *name) { return arena_printf(&p->mem, "%s/%s", p->folder, name); }

static void put_bytes(place *p, const char *name, const char *bytes, size_t n) {
	FILE *f = fopen(in(p, name), "wb");
	assert_non_null(f);
	assert_int_equal(fwrite(bytes, 1, n, f), n);
	assert_int_equal(fclose(f), 0);
}

static void put(place *p, const char *name, const char *text) { put_bytes(p, name, text, strlen(text)); }

static void folder(place *p, const char *name) { assert_int_equal(mkdir(in(p, name), 0700), 0); }

static int begin(void **state) {
	place *p = calloc(1, sizeof *p);
	char name[] = "/tmp/windchest-reader-XXXXXX";
	if (!p || !mkdtemp(name)) return -1;
	p->folder = arena_text(&p->mem, name);
	p->sources = source_begin(&p->mem);
	p->diags = diags_begin(&p->mem);
	*state = p;
	folder(p, "plans");
	folder(p, "plans/stock");
	folder(p, "shipped");
	folder(p, "shipped/stock");
	return 0;
}

static int end(void **state) {
	place *p = *state;
	char command[128];
	snprintf(command, sizeof command, "rm -rf '%s'", p->folder);
	int rc = system(command);
	arena_end(&p->mem);
	free(p);
	return rc;
}

static bool read_plan(place *p, const char *name) {
	const char *shipped = in(p, "shipped");
	grammar_places places = {&shipped, 1};
	return grammar_read(&p->mem, &p->sources, &p->diags, &places, in(p, name), &p->plan, &p->why);
}

/* Names of the files in the plan's order, without the test's folder. */
static const char *order(place *p) {
	textbuf b = textbuf_begin(&p->mem);
	for (size_t i = 0; i < p->plan.files.n; i++)
		textbuf_printf(&b, "%s ", p->sources.files.v[p->plan.files.v[i].source].name + strlen(p->folder) + 1);
	return b.v;
}

static const char *told(place *p) {
	textbuf b = textbuf_begin(&p->mem);
	const char *all = dump_diags(&p->mem, &p->sources, &p->diags), *at;
	while ((at = strstr(all, p->folder))) {
		textbuf_addn(&b, all, (size_t)(at - all));
		all = at + strlen(p->folder) + 1;
	}
	textbuf_add(&b, all);
	return b.v;
}

static void used_before_using(void **state) {
	place *p = *state;
	put(p, "plans/a.plan", "use \"stock/sheets\"\nuse \"stock/bars.plan\"\nplan \"a\" { }\n");
	put(p, "plans/stock/sheets.plan", "use \"bars\"\nlet s = 1\n");
	put(p, "plans/stock/bars.plan", "\xEF\xBB\xBFlet b = 2\n");
	assert_true(read_plan(p, "plans/a.plan"));
	assert_string_equal(told(p), "");
	assert_string_equal(order(p), "plans/stock/bars.plan plans/stock/sheets.plan plans/a.plan ");
	assert_string_equal(dump_file(&p->mem, &p->plan.files.v[0]), "let [b] = [2]\n");
	assert_string_equal(dump_file(&p->mem, &p->plan.files.v[2]),
			    "use [\"stock/sheets\"]\nuse [\"stock/bars.plan\"]\nplan [\"a\"] {\n}\n");
}

static void shipped_comes_second(void **state) {
	place *p = *state;
	put(p, "plans/a.plan", "use \"stock/sheets\"\nuse \"stock/bars\"\n");
	put(p, "plans/stock/sheets.plan", "let here = 1\n");
	put(p, "shipped/stock/sheets.plan", "let there = 1\n");
	put(p, "shipped/stock/bars.plan", "use \"screws\"\n");
	put(p, "shipped/stock/screws.plan", "let c = 1\n");
	assert_true(read_plan(p, "plans/a.plan"));
	assert_string_equal(told(p), "");
	assert_string_equal(order(p), "plans/stock/sheets.plan shipped/stock/screws.plan shipped/stock/bars.plan "
				      "plans/a.plan ");
}

static void circle_is_told_once(void **state) {
	place *p = *state;
	put(p, "plans/a.plan", "use \"b\"\n");
	put(p, "plans/b.plan", "\nuse \"stock/c\"\n");
	put(p, "plans/stock/c.plan", "let c = 1\nuse \"../b\"\n");
	assert_true(read_plan(p, "plans/a.plan"));
	assert_string_equal(told(p), "2:5-10 plan-use: the files use each other in a circle\n"
				     "  2:5 `plans/stock/c.plan` is used here\n"
				     "  2:5 and this leads back to `plans/b.plan`\n"
				     "  help: put what both need into a file of its own\n");
	assert_int_equal(p->plan.files.n, 3);
}

static void a_plan_that_uses_itself(void **state) {
	place *p = *state;
	put(p, "plans/a.plan", "use \"a\"\n");
	assert_true(read_plan(p, "plans/a.plan"));
	assert_int_equal(p->diags.errors, 1);
	assert_int_equal(p->plan.files.n, 1);
}

static void missing_names_the_near_one(void **state) {
	place *p = *state;
	put(p, "plans/a.plan", "use \"stock/shets\"\nuse \"stock/scews.plan\"\nuse \"nothing\"\nuse \"\"\nlet a = \n");
	put(p, "plans/stock/sheets.plan", "");
	put(p, "shipped/stock/screws.plan", "");
	assert_true(read_plan(p, "plans/a.plan"));
	assert_string_equal(told(p), "5:7-7 plan-syntax: a value is missing behind `=`\n"
				     "1:5-17 plan-use: there is no plan file `stock/shets.plan`\n"
				     "  0:0 it was looked for beside this file, then in the shipped library\n"
				     "  help: did you mean `stock/sheets`?\n"
				     "2:5-22 plan-use: there is no plan file `stock/scews.plan`\n"
				     "  0:0 it was looked for beside this file, then in the shipped library\n"
				     "  help: did you mean `stock/screws`?\n"
				     "3:5-13 plan-use: there is no plan file `nothing.plan`\n"
				     "  0:0 it was looked for beside this file, then in the shipped library\n"
				     "4:5-6 plan-use: no file is named here\n");
}

static void nothing_outside(void **state) {
	place *p = *state;
	put(p, "outside.plan", "let secret = 1\n");
	put(p, "plans/a.plan",
	    "use \"../outside\"\nuse \"/etc/passwd\"\nuse \"stock/../../outside\"\nuse \"link\"\n"
	    "use \"linked/outside\"\nuse \"stock/../b\"\nuse \"pipe\"\nuse \"sub\"\n");
	put(p, "plans/b.plan", "let b = 1\n");
	assert_int_equal(symlink("../outside.plan", in(p, "plans/link.plan")), 0);
	assert_int_equal(symlink("..", in(p, "plans/linked")), 0);
	assert_int_equal(mkfifo(in(p, "plans/pipe.plan"), 0600), 0);
	folder(p, "plans/sub.plan");
	assert_true(read_plan(p, "plans/a.plan"));
	const char *help = "  help: name a file beside the plan, below it, or in the shipped library\n";
	const char *expected = arena_printf(
		&p->mem,
		"1:5-16 plan-use: `../outside` leads out of the plan's folder\n%s"
		"2:5-17 plan-use: `/etc/passwd` leads out of the plan's folder\n%s"
		"3:5-25 plan-use: `stock/../../outside` leads out of the plan's folder\n%s"
		"4:5-10 plan-use: cannot use `link.plan`: it is reached through a symbolic link\n"
		"5:5-20 plan-use: cannot use `linked/outside.plan`: it is reached through a symbolic link\n"
		"7:5-10 plan-use: cannot use `pipe.plan`: it is no regular file\n"
		"8:5-9 plan-use: cannot use `sub.plan`: it is a folder\n",
		help, help, help);
	assert_string_equal(told(p), expected);
	assert_string_equal(order(p), "plans/b.plan plans/a.plan ");
}

static void main_plan_not_there(void **state) {
	place *p = *state;
	assert_false(read_plan(p, "plans/none.plan"));
	assert_non_null(strstr(p->why, "cannot read "));
	assert_non_null(strstr(p->why, "plans/none.plan: No such file or directory"));
	assert_false(read_plan(p, "plans"));
	assert_non_null(strstr(p->why, "it is a folder"));
	assert_false(read_plan(p, "plans/none.plan/x"));
	assert_int_equal(p->diags.all.n, 0);
	assert_int_equal(p->plan.files.n, 0);
}

static void too_large(void **state) {
	place *p = *state;
	char *big = malloc(GRAMMAR_MOST_BYTES + 2);
	assert_non_null(big);
	memset(big, ' ', GRAMMAR_MOST_BYTES + 2);
	put_bytes(p, "plans/big.plan", big, GRAMMAR_MOST_BYTES + 1);
	put_bytes(p, "plans/most.plan", big, GRAMMAR_MOST_BYTES);
	free(big);
	assert_false(read_plan(p, "plans/big.plan"));
	assert_non_null(strstr(p->why, "it is larger than 16 MiB"));
	put(p, "plans/a.plan", "use \"big\"\nuse \"most\"\n");
	assert_true(read_plan(p, "plans/a.plan"));
	assert_string_equal(told(p), "1:5-9 plan-use: cannot use `big.plan`: it is larger than 16 MiB\n");
	assert_int_equal(p->plan.files.n, 2);
}

static void standard_input(void **state) {
	place *p = *state;
	put(p, "plans/in.plan", "let a = 1\nlet b = \n");
	int kept = dup(STDIN_FILENO);
	assert_non_null(freopen(in(p, "plans/in.plan"), "r", stdin));
	bool good = grammar_read(&p->mem, &p->sources, &p->diags, NULL, "-", &p->plan, &p->why);
	dup2(kept, STDIN_FILENO);
	close(kept);
	assert_true(good);
	assert_string_equal(p->sources.files.v[0].name, "<standard input>");
	assert_string_equal(told(p), "2:7-7 plan-syntax: a value is missing behind `=`\n");
}

static void deep_chains_end(void **state) {
	place *p = *state;
	for (int i = 0; i < GRAMMAR_USE_DEPTH + 10; i++)
		put(p, arena_printf(&p->mem, "plans/f%d.plan", i), arena_printf(&p->mem, "use \"f%d\"\n", i + 1));
	assert_true(read_plan(p, "plans/f0.plan"));
	assert_string_equal(told(p), "1:5-9 plan-use: files use each other more than 64 deep\n");
}

static void paths_are_tidied(void **state) {
	place *p = *state;
	const char *cases[][3] = {
		{"", "a.plan", "a.plan"},
		{"b.plan", "a.plan", "a.plan"},
		{"s/b.plan", "a.plan", "s/a.plan"},
		{"s/b.plan", "../a", "a"},
		{"s/b.plan", "../../a", NULL},
		{"", "./x//y/./z", "x/y/z"},
		{"", "x/../y", "y"},
		{"", "x/..", NULL},
		{"", "", NULL},
		{"", "/a", NULL},
		{"s/t/b.plan", "../../a", "a"},
		{"", "...", "..."},
		{"", "..a/b", "..a/b"},
		{"", "a/../../a", NULL},
	};
	for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
		const char *got = grammar_path(&p->mem, cases[i][0], cases[i][1]);
		if (!cases[i][2])
			assert_null(got);
		else
			assert_string_equal(got, cases[i][2]);
	}
}

int main(void) {
	const struct CMUnitTest tests[] = {
		cmocka_unit_test_setup_teardown(used_before_using, begin, end),
		cmocka_unit_test_setup_teardown(shipped_comes_second, begin, end),
		cmocka_unit_test_setup_teardown(circle_is_told_once, begin, end),
		cmocka_unit_test_setup_teardown(a_plan_that_uses_itself, begin, end),
		cmocka_unit_test_setup_teardown(missing_names_the_near_one, begin, end),
		cmocka_unit_test_setup_teardown(nothing_outside, begin, end),
		cmocka_unit_test_setup_teardown(main_plan_not_there, begin, end),
		cmocka_unit_test_setup_teardown(too_large, begin, end),
		cmocka_unit_test_setup_teardown(standard_input, begin, end),
		cmocka_unit_test_setup_teardown(deep_chains_end, begin, end),
		cmocka_unit_test_setup_teardown(paths_are_tidied, begin, end),
	};
	return cmocka_run_group_tests(tests, NULL, NULL);
}
