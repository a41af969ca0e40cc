/* A ring of openings, from the words of a plan to the places in the model. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include <cmocka.h>

#include "compiler/stages.h"
#include "grammar/reader.h"

static const char PLAN[] =
	"plan \"Ring\" { measures metric }\n"
	"stock board : sheet { size 600 mm x 600 mm; thick 12 mm; density 700 kg/m3 }\n"
	"cabinet c {\n"
	"    panel top : board { left at -200 mm; width 400 mm; front at -200 mm; depth 400 mm; bottom at 0 mm }\n"
	"    openings ring in top { round 20 mm; ring 6 on 150 mm at (0 mm, 0 mm) }\n"
	"}\n";

/* W22, arithmetic: 150 mm circle, 6 holes: hole 2 at (37.5, 64.952), within 0.001. */
static void w22_six_holes_on_a_circle(void **state) {
	(void)state;
	char path[] = "/tmp/windchest-ring-XXXXXX";
	int file = mkstemp(path);
	assert_true(file >= 0);
	assert_int_equal(write(file, PLAN, sizeof PLAN - 1), (ssize_t)(sizeof PLAN - 1));
	assert_int_equal(close(file), 0);
	arena mem = {0};
	source_set sources = source_begin(&mem);
	diags d = diags_begin(&mem);
	syn_plan plan = {0};
	const char *why = NULL;
	bool good = grammar_read(&mem, &sources, &d, NULL, path, &plan, &why);
	assert_int_equal(unlink(path), 0);
	assert_true(good);
	resolve_options o = {.slug = "ring"};
	model *m = stages_run(&mem, &sources, &plan, &o, &d);
	assert_int_equal(d.errors, 0);
	assert_int_equal(m->patterns.n, 1);
	assert_int_equal(m->patterns.v[0].axes.n, 6);
	point3 second = m->patterns.v[0].axes.v[1];
	assert_true(fabs(rat_double(second.v[0]) - 37.5) < 0.001);
	assert_true(fabs(rat_double(second.v[1]) - 64.952) < 0.001);
	for (int i = 0; i < 6; i++) {
		point3 p = m->patterns.v[0].axes.v[i];
		assert_true(fabs(hypot(rat_double(p.v[0]), rat_double(p.v[1])) - 75) < 0.001);
	}
	arena_end(&mem);
}

int main(void) {
	const struct CMUnitTest tests[] = {cmocka_unit_test(w22_six_holes_on_a_circle)};
	return cmocka_run_group_tests(tests, NULL, NULL);
}
