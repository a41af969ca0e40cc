/* The tidy layout: a text and what becomes of it, side by side. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "grammar/tidy.h"
#include "runtime/base/text.h"

/* clang-format off */
static const struct { const char *name, *text, *tidy; } CASES[] = {
	{"nothing", "", ""},
	{"blank lines only", "\n\n  \n", ""},
	{"comments only", "\n\n# one   \n\n\n  # two\n#three", "# one\n\n# two\n#three\n"},
	{"line ends", "let a = 1 mm\r\n\r\n\r\n\r\nlet b = 2 mm\t \r\n\r\n", "let a = 1 mm\n\nlet b = 2 mm\n"},
	{"a byte order mark", "\xEF\xBB\xBFlet a = 1", "let a = 1\n"},
	{"numbers and units",
	 "let a=18mm\nlet b = 2ft  6 \t1/2in\nlet c = - 5degC\nlet d=70%\nlet e= 3/16in\nlet f = 1.5m/s\nlet g = 12\nlet h = 3:1\n",
	 "let a = 18 mm\nlet b = 2 ft 6 1/2 in\nlet c = -5 degC\nlet d = 70 %\nlet e = 3/16 in\nlet f = 1.5 m/s\nlet g = 12\nlet h = 3:1\n"},
	{"operators",
	 "let a=b+c*-d\nlet e=(a-b)/(3/16)\nlet f=min(a,-b,max( c , d ))\nlet g=a - b- -c\nrequire a.b>=c\n",
	 "let a = b + c * -d\nlet e = (a - b) / (3/16)\nlet f = min(a, -b, max(c, d))\nlet g = a - b - -c\nrequire a.b >= c\n"},
	{"a division stays one, a fraction stays one", "let a = 3 / 16\nlet b = 3/16\nlet c = 100 mm/n\n",
	 "let a = 3 / 16\nlet b = 3/16\nlet c = 100 mm / n\n"},
	{"points, lists, sizes", "openings o in a,b{size 12x14;list(1 mm,2 mm),( 3 mm , 4 mm );thick 18mm+-0.4mm}\n",
	 "openings o in a, b { size 12 x 14; list (1 mm, 2 mm), (3 mm, 4 mm); thick 18 mm +- 0.4 mm }\n"},
	{"a value behind a comma", "x a,-b\n", "x a, -b\n"},
	{"a point behind a name", "ring 6 on 300 mm at(a,b)\nring n (a, b)\n", "ring 6 on 300 mm at (a, b)\nring n (a, b)\n"},
	{"the inch and the linking word", "round  3in  in  baffle\nmirror of left about w/2 in  width\n",
	 "round 3 in in baffle\nmirror of left about w / 2 in width\n"},
	{"names with numbers", "place d[i]:p{left at d[ i-1 ].side.right+2*i;top at -a[i].top}\n",
	 "place d[i] : p { left at d[i - 1].side.right + 2 * i; top at -a[i].top }\n"},
	{"names of rules", "allow hole-edge-web  because \"d\"\nlet a = hole-edge\n", "allow hole-edge-web because \"d\"\nlet a = hole - edge\n"},
	{"texts are left alone", "note \"a  b\\\"#;{{\"\n", "note \"a  b\\\"#;{{\"\n"},
	{"one line each at the file's level", "use \"a\";use \"b\" ;; allow c because \"d\"\n",
	 "use \"a\"\nuse \"b\"\nallow c because \"d\"\n"},
	{"a block on one line stays, an open one too",
	 "a b{c at 1;d at 2}\na b {\nccc at 1;d at 2}\na b { c at 1\n}\na b{}\na b {\n}\n",
	 "a b { c at 1; d at 2 }\na b {\n    ccc at 1\n    d   at 2\n}\na b {\n    c at 1\n}\na b { }\na b { }\n"},
	{"a brace on a line of its own", "panel a : b\n{\nleft at 0 mm\n}\n", "panel a : b {\n    left at 0 mm\n}\n"},
	{"blank lines in a block", "a {\n\n\nb\n\n\nc\n\n}\n", "a {\n    b\n\n    c\n}\n"},
	{"tabs", "a {\n\tb\n\t\tc {\n\td\n}\n}\n", "a {\n    b\n    c {\n        d\n    }\n}\n"},
	{"names of neighbours stand in columns",
	 "cabinet c {\n panel left : p { a }\n item o : p { a }\n gap mouth { a }\n\n panel longer : p { a }\n"
	 " openings o in p { a }\n panel a : p { a }\n}\n",
	 "cabinet c {\n    panel left : p { a }\n    item  o    : p { a }\n    gap   mouth { a }\n\n    panel longer : p { a }\n"
	 "    openings o in p { a }\n    panel a : p { a }\n}\n"},
	{"values of neighbours stand in columns", "let a = 1\nlet abc = 2\n# now\nlet abcdef = 3\n\nlet b = 4\n",
	 "let a   = 1\nlet abc = 2\n# now\nlet abcdef = 3\n\nlet b = 4\n"},
	{"words of one block stand in a column", "s {\nlabel 1\n\n# c\nsize 2\ncurve {\n9 m at 1\n10 m at 2\n}\nprice 3\nx {y}\n}\n",
	 "s {\n    label 1\n\n    # c\n    size  2\n    curve {\n        9 m  at 1\n        10 m at 2\n    }\n    price 3\n    x { y }\n}\n"},
	{"comments behind lines", "s { # one\n  a 1 # two\n  # three\n  bcd 2;# four\n  e # five\n  # six\n} # seven\n# eight",
	 "s {  # one\n    a   1  # two\n    # three\n    bcd 2  # four\n    e      # five\n    # six\n}  # seven\n# eight\n"},
	{"comments in the middle", "way a # one\n# two\n -> b ->\n# three\nc\nx min( # four\n a)\n",
	 "way a  # one\n    # two\n    -> b ->\n    # three\n    c\nx min(  # four\n    a)\n"},
	{"a comment before the brace", "panel a : b # one\n# two\n{ c }\npanel a : # three\n b { c }\na # four\n{ }\n",
	 "panel a : b  # one\n        # two\n{\n    c\n}\npanel a :  # three\n        b {\n    c\n}\na  # four\n{\n}\n"},
	{"a comment behind a bare semicolon", "a # one\n; # two\nb\n", "a  # one\n# two\nb\n"},
	{"a long way is broken before an arrow",
	 "way room -> aaaaaaaaaaaaaaaaaaaaaaaaaaaaaa -> bbbbbbbbbbbbbbbbbbbbbbbbbbbbbb -> cccccccccccccccccccc\n-> d -> room\n",
	 "way room -> aaaaaaaaaaaaaaaaaaaaaaaaaaaaaa -> bbbbbbbbbbbbbbbbbbbbbbbbbbbbbb -> cccccccccccccccccccc\n    -> d -> room\n"},
	{"a broken line that fits is made whole", "way room\n -> a ->\n b\nparts a,\n  b\nlet y =\n 3 +\n 4\n",
	 "way room -> a -> b\nparts a, b\nlet y = 3 + 4\n"},
	{"a long list is broken behind a comma",
	 "s {\n parts aaaaaaaaaaaaaaaaaaaaaaaaaaaaaa, bbbbbbbbbbbbbbbbbbbbbbbbbbbbbb, ccccccccccccccccccccccccc, ddddddddddd\n}\n",
	 "s {\n    parts aaaaaaaaaaaaaaaaaaaaaaaaaaaaaa, bbbbbbbbbbbbbbbbbbbbbbbbbbbbbb, ccccccccccccccccccccccccc,\n"
	 "        ddddddddddd\n}\n"},
	{"a long block is opened, and the run ends there",
	 "panel a : p { left at 0 mm }\npanel bb : p { left at 0 mm; right at aaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaa; bottom at bbbbbbbbbbbb }\n"
	 "panel ccc : p { left at 0 mm }\n",
	 "panel a : p { left at 0 mm }\npanel bb : p {\n    left   at 0 mm\n    right  at aaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaa\n"
	 "    bottom at bbbbbbbbbbbb\n}\npanel ccc : p { left at 0 mm }\n"},
	{"a block that only its column makes too long is opened",
	 "panel a : p { left at 0 mm; right at aaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaa; bottom at bbbbbbbbbbbb }\n"
	 "panel abcdefghijklm : p { c }\n",
	 "panel a : p {\n    left   at 0 mm\n    right  at aaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaa\n    bottom at bbbbbbbbbbbb\n}\n"
	 "panel abcdefghijklm : p { c }\n"},
	{"blocks in blocks on one line", "a { b { c 1 ; d } ; e { } }\n", "a { b { c 1; d }; e { } }\n"},
	{"letters beyond ASCII count as columns", "a { # \xC3\x98\n  b \"\xC3\x98\xC3\x98\" # one\n  c \"xxx\" # two\n}\n",
	 "a {  # \xC3\x98\n    b \"\xC3\x98\xC3\x98\"   # one\n    c \"xxx\"  # two\n}\n"},
};
static const char *const FAULTY[] = {"let a = \n", "a { b\n", "a } b\n", "let a = 3 feet\n", "x \"a\n", "a // b\n", "a\x01\n", "a \xFF\n"};
/* clang-format on */

static const char *tidy(arena *mem, const char *text, size_t *errors) {
	source_set set = source_begin(mem);
	diags d = diags_begin(mem);
	uint32_t file = source_add(&set, "a.plan", text, strlen(text));
	size_t size;
	bool trouble;
	const char *out = grammar_tidy(mem, &set, file, &d, &size, &trouble);
	assert_false(trouble);
	if (out) assert_int_equal(size, strlen(out));
	*errors = d.errors;
	return out;
}

static void test_cases(void **state) {
	(void)state;
	for (size_t i = 0; i < sizeof CASES / sizeof *CASES; i++) {
		arena mem = {0};
		size_t errors;
		const char *out = tidy(&mem, CASES[i].text, &errors);
		if (!out) fail_msg("%s: %zu errors", CASES[i].name, errors);
		if (strcmp(out, CASES[i].tidy) != 0)
			fail_msg("%s:\n--- wanted\n%s--- given\n%s---", CASES[i].name, CASES[i].tidy, out);
		const char *again = tidy(&mem, out, &errors);
		if (!again || strcmp(again, out) != 0)
			fail_msg("%s: a second time it gives\n%s", CASES[i].name, again ? again : "nothing");
		arena_end(&mem);
	}
}

static void test_faulty(void **state) {
	(void)state;
	for (size_t i = 0; i < sizeof FAULTY / sizeof *FAULTY; i++) {
		arena mem = {0};
		size_t errors;
		assert_null(tidy(&mem, FAULTY[i], &errors));
		assert_true(errors > 0);
		arena_end(&mem);
	}
}

/* The test that guards every text before it is given: it must see what is not the same. */
static void test_same(void **state) {
	(void)state;
	static const struct {
		const char *a, *b;
		bool same;
	} PAIRS[] = {
		{"a 1mm; b\n", "a  1 mm\n\nb", true},
		{"a { b; c }\n", "a {\nb\nc\n}\n", true},
		{"a -> b\n", "a\n-> b\n", true},
		{"a # c\nb\n", "a\n# c\nb\n", true},
		{"a 1 mm\n", "a 1 m\n", false},
		{"a b\n", "a c\n", false},
		{"a b\n", "a\nb\n", false},
		{"a; b c\n", "a b; c\n", false},
		{"a\nb\n", "a\n", false},
		{"a { b }\n", "a { b; c }\n", false},
		{"a # c\nb\n", "a # d\nb\n", false},
		{"a # c\nb # d\n", "a # c\nb\n", false},
		{"a 3/16\n", "a 3 / 16\n", false},
		{"a (b)\n", "a\n", false},
		{"a \"b\"\n", "a \"b \"\n", false},
	};
	for (size_t i = 0; i < sizeof PAIRS / sizeof *PAIRS; i++) {
		arena mem = {0};
		source_set set = source_begin(&mem);
		source_add(&set, "a", PAIRS[i].a, strlen(PAIRS[i].a));
		source_add(&set, "b", PAIRS[i].b, strlen(PAIRS[i].b));
		if (tidy_same(&mem, &set, 0, 1) != PAIRS[i].same) fail_msg("%s and %s", PAIRS[i].a, PAIRS[i].b);
		arena_end(&mem);
	}
}

/* Deep and long: no faults of memory, and a time that grows with the text. */
static void test_large(void **state) {
	(void)state;
	arena mem = {0};
	textbuf t = textbuf_begin(&mem);
	for (int i = 0; i < 60; i++) textbuf_printf(&t, "a%d { ", i);
	for (int i = 0; i < 60; i++) textbuf_add(&t, "}");
	textbuf_add(&t, "\n");
	for (int i = 0; i < 4000; i++)
		textbuf_printf(&t, "panel p%d : q { left at %d mm; right at %d mm } # %d\n", i, i, i, i);
	size_t errors;
	const char *out = tidy(&mem, t.v, &errors);
	assert_non_null(out);
	assert_string_equal(tidy(&mem, out, &errors), out);
	arena_end(&mem);
}

int main(void) {
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(test_cases),
		cmocka_unit_test(test_faulty),
		cmocka_unit_test(test_same),
		cmocka_unit_test(test_large),
	};
	return cmocka_run_group_tests(tests, NULL, NULL);
}
