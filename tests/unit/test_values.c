/* Figures of expressions: a plan of named values is resolved, and what they come to is read from its model. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#include "compiler/stages.h"
#include "grammar/parse.h"
#include "runtime/base/text.h"

/* A tray of five parts, ribs among them, whose openings lie partly under a slat. */
static const char TRAY[] =
	"plan \"Test\" { currency \"EUR\" }\n"
	"stock ply : sheet { size 2440 mm x 1220 mm; thick 18 mm +- 0.4 mm; density 700 kg/m3; price 74.50 }\n"
	"stock lath : bar { section 40 mm x 20 mm; length 2400 mm; density 500 kg/m3 }\n"
	"cabinet tray {\n"
	"    panel floor : ply { left at 0 mm; width 600 mm; front at 0 mm; depth 400 mm; bottom at 0 mm }\n"
	"    panel left : ply { left at 0 mm; front at 0 mm; depth 400 mm; bottom at floor.top; height 200 mm }\n"
	"    panel right : ply { mirror of left about floor.width / 2 }\n"
	"    slat rib : lath { spaced 3 between left and right; broad depth; front at 0 mm; bottom at floor.top; "
	"height 100 mm }\n"
	"    slat bar : lath { broad depth; between left and right; front at 180 mm; bottom at floor.top }\n"
	"    openings vents in floor { round 40 mm; grid 4 x 2 over floor inset 100 mm }\n"
	"    openings hole in floor { round 20 mm; at (300 mm, 200 mm) }\n"
	"}\n";

typedef struct solved {
	arena mem;
	diags d;
	model *m;
} solved;

static void solve(solved *s, const char *text) {
	arena_end(&s->mem);
	*s = (solved){0};
	source_set *sources = ARENA_NEW(&s->mem, source_set);
	*sources = source_begin(&s->mem);
	const char *all = arena_printf(&s->mem, "%s%s", TRAY, text);
	s->d = diags_begin(&s->mem);
	syn_plan *plan = ARENA_NEW(&s->mem, syn_plan);
	syn_file *file = LIST_ADD(&s->mem, &plan->files);
	grammar_parse(&s->mem, sources, source_add(sources, "test.plan", all, strlen(all)), &s->d, file);
	const resolve_options o = {.slug = "test"};
	s->m = stages_run(&s->mem, sources, plan, &o, &s->d);
}

/* The value of `let it = …`; NULL when a fault was told. */
static const model_let *let_of(solved *s, const char *value) {
	char line[256];
	snprintf(line, sizeof line, "let it = %s\n", value);
	solve(s, line);
	for (size_t i = 0; i < s->m->lets.n; i++)
		if (text_same(s->m->lets.v[i].name, "it")) return &s->m->lets.v[i];
	return NULL;
}

typedef struct exact {
	const char *value;
	int64_t num, den; /* in mm, degrees, numbers, money */
} exact;

static void each_exact(const exact *cases, size_t n) {
	for (size_t i = 0; i < n; i++) {
		solved s = {0};
		const model_let *l = let_of(&s, cases[i].value);
		if (!l) fail_msg("%s has no value", cases[i].value);
		if (!rat_eq(l->value.r, rat_of(cases[i].num, cases[i].den)))
			fail_msg("%s is %lld/%lld", cases[i].value, (long long)l->value.r.num,
				 (long long)l->value.r.den);
		arena_end(&s.mem);
	}
}
#define EACH_EXACT(cases) each_exact(cases, sizeof(cases) / sizeof *(cases))

static void angles_that_have_fractions(void **state) {
	(void)state;
	static const exact CASES[] = {
		{"sin(0 deg)", 0, 1},	  {"sin(30 deg)", 1, 2},	{"sin(90 deg)", 1, 1},
		{"sin(150 deg)", 1, 2},	  {"sin(180 deg)", 0, 1},	{"sin(210 deg)", -1, 2},
		{"sin(270 deg)", -1, 1},  {"sin(330 deg)", -1, 2},	{"sin(-30 deg)", -1, 2},
		{"sin(390 deg)", 1, 2},	  {"cos(0 deg)", 1, 1},		{"cos(60 deg)", 1, 2},
		{"cos(90 deg)", 0, 1},	  {"cos(120 deg)", -1, 2},	{"cos(180 deg)", -1, 1},
		{"cos(300 deg)", 1, 2},	  {"tan(0 deg)", 0, 1},		{"tan(45 deg)", 1, 1},
		{"tan(135 deg)", -1, 1},  {"tan(225 deg)", 1, 1},	{"tan(-45 deg)", -1, 1},
		{"asin(1 / 2)", 30, 1},	  {"asin(-1)", -90, 1},		{"acos(1 / 2)", 60, 1},
		{"acos(0)", 90, 1},	  {"acos(-1)", 180, 1},		{"atan(1)", 45, 1},
		{"atan(-1)", -45, 1},	  {"atan2(3 mm, 3 mm)", 45, 1}, {"atan2(3 mm, -3 mm)", 135, 1},
		{"atan2(-1, 0)", -90, 1}, {"atan2(0, -2)", 180, 1},
	};
	EACH_EXACT(CASES);
}

static void roots_and_hypotenuses(void **state) {
	(void)state;
	static const exact CASES[] = {
		{"sqrt(9 / 4)", 3, 2},
		{"sqrt(16 mm2)", 4, 1},
		{"hypot(3 mm, 4 mm)", 5, 1},
		{"hypot(5 in, 12 in)", 1651, 5},	 /* 13 in */
		{"hypot(100 mm, 100 mm)", 141421, 1000}, /* to the micrometre: 141.4213… */
		{"100 mm * sin(45 deg)", 70711, 1000},	 /* 70.7106… */
		{"100 mm * pi", 314159, 1000},
	};
	EACH_EXACT(CASES);
}

static void other_angles(void **state) {
	(void)state;
	/* sin 10, tan 20, atan 2 and pi: from a table of functions, to eight places */
	static const struct {
		const char *value;
		double d;
	} CASES[] = {{"sin(10 deg)", 0.17364818},
		     {"cos(45 deg)", 0.70710678},
		     {"tan(20 deg)", 0.36397023},
		     {"atan(2)", 63.43494882},
		     {"pi", 3.14159265}};
	for (size_t i = 0; i < sizeof CASES / sizeof *CASES; i++) {
		solved s = {0};
		const model_let *l = let_of(&s, CASES[i].value);
		assert_non_null(l);
		assert_false(quant_is_exact(l->value));
		if (fabs(l->value.d - CASES[i].d) > 6e-9) fail_msg("%s is %.10f", CASES[i].value, l->value.d);
		arena_end(&s.mem);
	}
}

static void choices(void **state) {
	(void)state;
	static const exact CASES[] = {
		{"if 2 > 1 then 3 mm else 4 mm", 3, 1},
		{"if no then 3 mm else if yes then 4 mm else 5 mm", 4, 1},
		{"(if floor.width = 600 mm then 1 else 2) * 3", 3, 1},
		{"if all(yes, 1 < 2, not(no)) then 1 else 2", 1, 1},
		{"if any(no, 1 > 2) then 1 else 2", 2, 1},
		{"if \"a\" = \"a\" then 1 else 2", 1, 1},
		{"if yes != no then 1 else 2", 1, 1},
		/* What is not taken need not make sense, and what decides is enough. */
		{"if yes then 1 else 1 / 0", 1, 1},
		{"if any(yes, 1 / 0 > 1) then 1 else 2", 1, 1},
		{"if all(no, 1 / 0 > 1) then 1 else 2", 2, 1},
	};
	EACH_EXACT(CASES);
	solved s = {0};
	const model_let *l = let_of(&s, "1 < 2");
	assert_int_equal(l->kind, MODEL_LET_TRUTH);
	assert_true(l->truth);
	l = let_of(&s, "if no then \"a\" else \"b {floor.width}\"");
	assert_int_equal(l->kind, MODEL_LET_TEXT);
	assert_string_equal(l->text, "b 600 mm");
	arena_end(&s.mem);
}

static void groups(void **state) {
	(void)state;
	static const exact CASES[] = {
		{"count(rib)", 3, 1},
		{"rib.count", 3, 1},
		{"count(left, right)", 2, 1},
		{"count(vents)", 8, 1},
		{"count(vents, hole)", 9, 1},
		{"vents.count", 8, 1},
		{"vents.floor.count", 8, 1},
		{"vents.pitch", 400, 3},
		{"vents.row_pitch", 200, 1},
		{"sum(rib.width)", 60, 1},
		/* The group from its first left to its last right face: 564 less three of 20 leaves 504 / 4. */
		{"rib.width", 312, 1},
		{"sum(rib.width, left.thick)", 78, 1},
		{"sum(rib.height, 1 mm)", 301, 1},
		{"sum(3, 4)", 7, 1},
		{"rib.length", 100, 1},
		{"sum(rib.length)", 300, 1},
		{"left.length", 400, 1},
		{"left.cut_width", 200, 1},
		{"left.thick", 18, 1},
	};
	EACH_EXACT(CASES);
}

static void the_whole(void **state) {
	(void)state;
	static const exact CASES[] = {
		{"tray.width", 600, 1},		{"tray.depth", 400, 1},
		{"tray.height", 218, 1},	{"tray.top", 218, 1},
		{"ply.price", 149, 2},		{"ply.price + 5", 159, 2},
		{"ply.price * 2 - 100", 49, 1}, {"max(ply.price, 80)", 80, 1},
		{"ply.thick_most", 92, 5},	{"ply.thick_least", 88, 5},
		{"ply.spread", 2, 5},		{"ply.used", 1, 1},
		{"ply.cost", 149, 2},		{"ply.pack", 1, 1},
		{"tray.cost", 149, 2},
	};
	EACH_EXACT(CASES);
	solved s = {0};
	/* Floor 600 x 400, sides 400 x 200, each 18 thick, less eight holes of 40 and one of 20; laths of 40 x 20. */
	const double pi = acos(-1.0);
	double ply = (0.6 * 0.4 + 2 * 0.4 * 0.2 - 8 * pi * 0.02 * 0.02 - pi * 0.01 * 0.01) * 0.018 * 700;
	double lath = (3 * 0.1 + 0.564) * 0.04 * 0.02 * 500;
	assert_true(fabs(let_of(&s, "tray.mass")->value.d - (ply + lath)) < 1e-9);
	assert_true(fabs(let_of(&s, "sum(rib.mass)")->value.d - 3 * 0.1 * 0.04 * 0.02 * 500) < 1e-12);
	assert_true(fabs(let_of(&s, "rib.mass")->value.d - 3 * 0.1 * 0.04 * 0.02 * 500) < 1e-12);
	assert_true(fabs(let_of(&s, "floor.area")->value.d - 240000) < 1e-6);
	/* Two rows at 100 and 300 mm: the bar from 180 to 220 lies over none of them, ribs of 40 from 0 neither, but
	 * the sides do not either. */
	assert_true(fabs(let_of(&s, "vents.area")->value.d - 8 * pi * 400) < 1e-6);
	assert_true(fabs(let_of(&s, "vents.open_area")->value.d - 8 * pi * 400) < 1e-6);
	assert_true(fabs(let_of(&s, "hole.area")->value.d - pi * 100) < 1e-9);
	assert_true(fabs(let_of(&s, "hole.open_area")->value.d) < 1e-9); /* wholly under the bar */
	const model_let *hours = let_of(&s, "tray.hours");
	assert_true(dim_same(hours->value.dim, DIM_TIME));
	assert_true(fabs(hours->value.d - s.m->order.hands_on_minutes * 60) < 1e-9 && hours->value.d > 0);
	arena_end(&s.mem);
}

static void openings_on_demand(void **state) {
	(void)state;
	/* A part that comes before the sheet in the plan takes its number from the openings in it. */
	solved s = {0};
	solve(&s, "let n = vents.count / 2\nlet far = fins.right\n");
	assert_int_equal(s.d.errors, 1); /* nothing is called fins */
	arena_end(&s.mem);
	solve(&s, "let many = vents.count * 10 mm\nlet deep = many + 1 mm\n");
	for (size_t i = 0; i < s.m->lets.n; i++)
		if (text_same(s.m->lets.v[i].name, "deep")) assert_true(rat_eq(s.m->lets.v[i].value.r, rat_int(81)));
	arena_end(&s.mem);
}

static void texts_that_wait(void **state) {
	(void)state;
	solved s = {0};
	solve(&s, "let weight = tray.mass\n"
		  "step \"Cut\" { does cut; note \"{{{tray.cost}}} for {count(rib)}\"; check \"{weight} in "
		  "{tray.hours}\" }\n"
		  "require tray.cost < 100 because \"{tray.cost} is enough\"\n");
	assert_int_equal(s.d.errors, 0);
	assert_string_equal(s.m->written.v[0].note.v, "{74.50 EUR} for 3");
	const char *check = s.m->written.v[0].check.v;
	assert_non_null(strstr(check, " kg in "));
	assert_null(strpbrk(check, "\x01\x02{}"));
	assert_string_equal(s.m->requires.v[0].because, "74.50 EUR is enough");
	bool found = false;
	for (size_t i = 0; i < s.m->order.steps.n; i++) {
		const model_step *t = &s.m->order.steps.v[i];
		found = found || (t->note && strstr(t->note, "{74.50 EUR} for 3"));
		if (t->check) assert_null(strpbrk(t->check, "\x01\x02"));
	}
	assert_true(found);
	arena_end(&s.mem);
}

int main(void) {
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(angles_that_have_fractions),
		cmocka_unit_test(roots_and_hypotenuses),
		cmocka_unit_test(other_angles),
		cmocka_unit_test(choices),
		cmocka_unit_test(groups),
		cmocka_unit_test(the_whole),
		cmocka_unit_test(openings_on_demand),
		cmocka_unit_test(texts_that_wait),
	};
	return cmocka_run_group_tests(tests, NULL, NULL);
}
