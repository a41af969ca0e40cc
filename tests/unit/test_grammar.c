/* The parser: small plans, the tree each gives and what is said of it, side by side.
 * The tree's form is grammar_dump.h's: word [values] link [values] { … }, lengths in millimetres, ? for a value
 * that was reported. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "grammar/lexer.h"
#include "grammar/parse.h"
#include "tests/unit/grammar_dump.h"

#define TEXT(text) text, sizeof(text) - 1

typedef struct grammar_case {
	const char *name;
	const char *plan;
	size_t size;
	const char *tree;
	const char *told;
} grammar_case;

/* clang-format off */
static const grammar_case GOOD[] = {
	{"empty", TEXT(""),
	 "",
	 ""},
	{"blank lines and comments", TEXT("\n"
	      "# one\n"
	      "\n"
	      "  # two\n"),
	 "",
	 ""},
	{"word alone", TEXT("glue"),
	 "glue\n",
	 ""},
	{"block", TEXT("plan \"a b\" {\n"
	      "\tpaper a4\n"
	      "}\n"),
	 "plan [\"a b\"] {\n"
	 "  paper [a4]\n"
	 "}\n",
	 ""},
	{"block on one line", TEXT("gap mouth { between left and right; front at 0 mm }"),
	 "gap [mouth] {\n"
	 "  between [left] and [right]\n"
	 "  front at [0mm]\n"
	 "}\n",
	 ""},
	{"empty blocks", TEXT("a { }\n"
	      "b {\n"
	      "}\n"
	      "c {;;}\n"),
	 "a {\n"
	 "}\n"
	 "b {\n"
	 "}\n"
	 "c {\n"
	 "}\n",
	 ""},
	{"brace on the next line", TEXT("cabinet c\n"
	      "{\n"
	      "}\n"),
	 "cabinet [c] {\n"
	 "}\n",
	 ""},
	{"blocks in blocks", TEXT("a { b { c { d } } }"),
	 "a {\n"
	 "  b {\n"
	 "    c {\n"
	 "      d\n"
	 "    }\n"
	 "  }\n"
	 "}\n",
	 ""},
	{"commas and juxtaposed values", TEXT("parts left, right, floor\n"
	      "rect 60 mm x 40 mm corner 5 mm along width"),
	 "parts [left right floor]\n"
	 "rect [60mm] x [40mm] corner [5mm] along [width]\n",
	 ""},
	{"clauses", TEXT("join floor into left, right : dado { depth 6 mm }"),
	 "join [floor] into [left right] : [dado] {\n"
	 "  depth [6mm]\n"
	 "}\n",
	 ""},
	{"leading linking words", TEXT("between left and right\n"
	      "after \"x\"\n"
	      "at (1 mm, 2 mm)\n"
	      "at(1 mm, 2 mm)\n"
	      "x 3\n"
	      "in a"),
	 "between [left] and [right]\n"
	 "after [\"x\"]\n"
	 "at [<1mm, 2mm>]\n"
	 "at [<1mm, 2mm>]\n"
	 "x [3]\n"
	 "in [a]\n",
	 ""},
	{"a clause without a value before it", TEXT("flush with floor.top\n"
	      "centred on a in width\n"
	      "centred between a and b"),
	 "flush with [floor.top]\n"
	 "centred on [a] in [width]\n"
	 "centred between [a] and [b]\n",
	 ""},
	{"let with its help", TEXT("let w = 1240 mm from 900 mm to 1600 mm \"outside\"\n"
	      "let t = 2 \"two\"\n"
	      "let s = \"text\""),
	 "let [w] = [1240mm] from [900mm] to [1600mm] '' [\"outside\"]\n"
	 "let [t] = [2] '' [\"two\"]\n"
	 "let [s] = [\"text\"]\n",
	 ""},
	{"texts behind the word are values", TEXT("history \"A\" \"first\"\n"
	      "note \"a\", \"b\""),
	 "history [\"A\" \"first\"]\n"
	 "note [\"a\" \"b\"]\n",
	 ""},
	{"way", TEXT("way room -> mouth -> vents in baffle -> room"),
	 "way [room] -> [mouth] -> [vents] in [baffle] -> [room]\n",
	 ""},
	{"way over lines", TEXT("way room\n"
	      "  -> mouth # in front\n"
	      "\n"
	      "  -> work ->\n"
	      "  room\n"
	      "b"),
	 "way [room] -> [mouth] -> [work] -> [room]\n"
	 "b\n",
	 ""},
	{"goes on after comma, operator, bracket, sign", TEXT("a b,\n"
	      " c +\n"
	      " d * (\n"
	      " e)\n"
	      "f :\n"
	      " g\n"
	      "h = \n"
	      " i\n"
	      "j +-\n"
	      " k"),
	 "a [b (c + (d * e))]\n"
	 "f : [g]\n"
	 "h = [i]\n"
	 "j +- [k]\n",
	 ""},
	{"crlf", TEXT("a {\r\n"
	      "  b 1 mm\r\n"
	      "}\r\n"),
	 "a {\n"
	 "  b [1mm]\n"
	 "}\n",
	 ""},
	{"tabs", TEXT("\ta\tb\t,\tc"),
	 "a [b c]\n",
	 ""},
	{"byte order mark", TEXT("\xEF\xBB\xBF" "a b"),
	 "a [b]\n",
	 ""},
	{"escapes", TEXT("note \"say \\\"no\\\" \\\\ \" \"\xC3\x98 60\""),
	 "note [\"say \"no\" \\ \" \"\xC3\x98 60\"]\n",
	 ""},
	{"a row of a curve", TEXT("curve { 0 m3/h at 620 Pa; 1000 m3/h at 40 Pa; -1 at 2; (1, 2); \"t\" }"),
	 "curve {\n"
	 "  - [0mm^3s^-1] at [31/50mm^-1kgs^-2]\n"
	 "  - [2500000000/9mm^3s^-1] at [1/25mm^-1kgs^-2]\n"
	 "  - [-1] at [2]\n"
	 "  - [<1, 2>]\n"
	 "  - [\"t\"]\n"
	 "}\n",
	 ""},
	{"names", TEXT("_a9 b.c.d in_x inset2 x2 a.in.x.to"),
	 "_a9 [b.c.d in_x inset2 x2 a.in.x.to]\n",
	 ""},
	{"lengths", TEXT("a 18 mm 1.8 cm 1 m 1 in 1 ft 500 um 0.0254 m"),
	 "a [18mm 18mm 1000mm 127/5mm 1524/5mm 1/2mm 127/5mm]\n",
	 ""},
	{"fractions", TEXT("a 3/16 1/2 in 4 3/16 in 4 3/16 10/4"),
	 "a [3/16 127/10mm 8509/80mm 67/16 5/2]\n",
	 ""},
	{"feet and inches", TEXT("a 2 ft 6 in\n"
	      "b 2 ft 6 1/2 in\n"
	      "c 2 ft 1/2 in\n"
	      "d 2 ft 6.5 in\n"
	      "e 2 ft, 6 in\n"
	      "f 2 ft 6\n"
	      "g 2 ft 6 mm\n"
	      "h 6 in 2 ft"),
	 "a [762mm]\n"
	 "b [7747/10mm]\n"
	 "c [6223/10mm]\n"
	 "d [7747/10mm]\n"
	 "e [3048/5mm 762/5mm]\n"
	 "f [3048/5mm 6]\n"
	 "g [3048/5mm 6mm]\n"
	 "h [762/5mm 3048/5mm]\n",
	 ""},
	{"units without a blank", TEXT("a 18mm 70% 0.5m/s 4.5in x 3in"),
	 "a [18mm 7/10 500mms^-1 1143/10mm] x [381/5mm]\n",
	 ""},
	{"compound units", TEXT("a 3600 m3/h 1 in.wg 1000 Pa.s.m/kg 1 Pa.s2/m2 2 kg/m3 30 cfm/ft2 1 per_h 60 rpm"),
	 "a [1000000000mm^3s^-1 24908891/100000000mm^-1kgs^-2 1000s^-1 1/1000000000mm^-3kg 1/500000000mm^-3kg 762/5mms^-1 1/3600s^-1 1s^-1]\n",
	 ""},
	{"in: inch or linking word", TEXT("round 62 mm in carrier\n"
	      "round 10 in in carrier\n"
	      "round 10 in to 20 in\n"
	      "round 3 in x 2 in"),
	 "round [62mm] in [carrier]\n"
	 "round [254mm] in [carrier]\n"
	 "round [254mm] to [508mm]\n"
	 "round [381/5mm] x [254/5mm]\n",
	 ""},
	{"in before an axis", TEXT("mirror of left about w / 2 in width\n"
	      "pitched 3 from 1 mm by 2 in depth\n"
	      "a 2 in widths"),
	 "mirror of [left] about [(w / 2)] in [width]\n"
	 "pitched [3] from [1mm] by [2] in [depth]\n"
	 "a [254/5mm widths]\n",
	 ""},
	{"x: linking word", TEXT("size 6 x 2\n"
	      "size 48 mm x 42 mm\n"
	      "size 12x14\n"
	      "size 12 x14\n"
	      "size 12x 14\n"
	      "grid 3x2 over a"),
	 "size [6] x [2]\n"
	 "size [48mm] x [42mm]\n"
	 "size [12] x [14]\n"
	 "size [12] x [14]\n"
	 "size [12] x [14]\n"
	 "grid [3] x [2] over [a]\n",
	 ""},
	{"words that follow a number", TEXT("a w x 2 corner 3 mm along width\n"
	      "hinged left with h count 3"),
	 "a [w] x [2] corner [3mm] along [width]\n"
	 "hinged [left] with [h count 3]\n",
	 ""},
	{"temperatures", TEXT("a 20 degC 68 degF\n"
	      "b -5 degC\n"
	      "c - 40 degF\n"
	      "d 3 degC - 5 degC"),
	 "a [5863/20K 5863/20K]\n"
	 "b [5363/20K]\n"
	 "c [4663/20K]\n"
	 "d [(5523/20K - 5563/20K)]\n",
	 ""},
	{"percent and angle", TEXT("a 70 % 2.5% 90 deg"),
	 "a [7/10 1/40 90deg]\n",
	 ""},
	{"precedence", TEXT("a 1 + 2 * 3 - 4 / 2\n"
	      "b (1 + 2) * 3\n"
	      "c -a * -b\n"
	      "d - -1"),
	 "a [((1 + (2 * 3)) - (4 / 2))]\n"
	 "b [((1 + 2) * 3)]\n"
	 "c [(-a * -b)]\n"
	 "d [--1]\n",
	 ""},
	{"minus: subtracts or negates", TEXT("a b -c\n"
	      "a -b\n"
	      "a b, -c\n"
	      "at -5 mm\n"
	      "a (-b, -c)\n"
	      "a - b"),
	 "a [(b - c)]\n"
	 "a [-b]\n"
	 "a [b -c]\n"
	 "at [-5mm]\n"
	 "a [<-b, -c>]\n"
	 "a [-b]\n",
	 ""},
	{"division of names and units", TEXT("a 100 mm/n, 100 mm/2, w/2, w/n, 2/n"),
	 "a [(100mm / n) (100mm / 2) (w / 2) (w / n) (2 / n)]\n",
	 ""},
	{"calls", TEXT("a min(1, 2) max(a, -b, c) f() sqrt(2 * (3 + 4))\n"
	      "b min (1, 2)"),
	 "a [min(1, 2) max(a, -b, c) f() sqrt((2 * (3 + 4)))]\n"
	 "b [min <1, 2>]\n",
	 ""},
	{"pairs", TEXT("list (1 mm, 2 mm), (a + 1, -b) (3, 4)"),
	 "list [<1mm, 2mm> <(a + 1), -b> <3, 4>]\n",
	 ""},
	{"require", TEXT("require mouth.speed.dirty >= 0.4 m/s because \"why\"\n"
	      "require a = b\n"
	      "require a + 1 != b * 2\n"
	      "require (a < b)"),
	 "require [(mouth.speed.dirty >= 400mms^-1)] because [\"why\"]\n"
	 "require [(a = b)]\n"
	 "require [((a + 1) != (b * 2))]\n"
	 "require [(a < b)]\n",
	 ""},
	{"equals is a link elsewhere", TEXT("let a = b\n"
	      "foo a = b = c"),
	 "let [a] = [b]\n"
	 "foo [a] = [b] = [c]\n",
	 ""},
	{"mixed in place of fraction", TEXT("a 1 1/2 x 3\n"
	      "b 1 2"),
	 "a [3/2] x [3]\n"
	 "b [1 2]\n",
	 ""},
	{"large and small numbers", TEXT("a 9223372036854775807\n"
	      "b 0.000000000000000001\n"
	      "c 1.50000000000000000000000000000\n"
	      "d 000012"),
	 "a [9223372036854775807]\n"
	 "b [1/1000000000000000000]\n"
	 "c [3/2]\n"
	 "d [12]\n",
	 ""},
	{"a number that is inexact but no length", TEXT("a 0.0000001234567 lb/ft3"),
	 "a [~1.97759e-15mm^-3kg]\n",
	 ""},
	{"words before brackets", TEXT("a b (1, 2)\n"
	      "a b(1, 2)\n"
	      "c a.b (1, 2)"),
	 "a [b <1, 2>]\n"
	 "a [b(1, 2)]\n"
	 "c [a.b <1, 2>]\n",
	 ""},
	{"block behind everything", TEXT("a b, c in d x 2 { e }\n"
	      "f { g } ; h"),
	 "a [b c] in [d] x [2] {\n"
	 "  e\n"
	 "}\n"
	 "f {\n"
	 "  g\n"
	 "}\n"
	 "h\n",
	 ""},
	{"deep but allowed", TEXT("a ((((((((((((((((((((((((((((((((((((((((((((((((((((((((((((((((((((((((((((((((((((((((((((((((((((1))))))))))))))))))))))))))))))))))))))))))))))))))))))))))))))))))))))))))))))))))))))))))))))))))))"),
	 "a [1]\n",
	 ""},
};

static const grammar_case BAD[] = {
	{"unknown unit", TEXT("a 12 feet\n"
	      "b 3 m2x\n"
	      "c 5 m3/hr\n"
	      "d 2 M\n"
	      "e 12 MM\n"
	      "f 9 foos\n"
	      "g 3 l/min\n"
	      "h 3 left.thick\n"
	      "i 1e3 mm\n"
	      "j 1_000"),
	 "a [?]\n"
	 "b [?]\n"
	 "c [?]\n"
	 "d [?]\n"
	 "e [?]\n"
	 "f [?]\n"
	 "g [?]\n"
	 "h [?]\n"
	 "i [? mm ?]\n"
	 "j [?]\n",
	 "1:6-9 plan-unit: unknown unit `feet`\n"
	 "  help: did you mean `ft`?\n"
	 "2:5-7 plan-unit: unknown unit `m2x`\n"
	 "  help: did you mean `m2`?\n"
	 "3:5-9 plan-unit: unknown unit `m3/hr`\n"
	 "  help: did you mean `m3/h`?\n"
	 "4:5-5 plan-unit: unknown unit `M`\n"
	 "  help: did you mean `m`?\n"
	 "5:6-7 plan-unit: unknown unit `MM`\n"
	 "  help: did you mean `mm`?\n"
	 "6:5-8 plan-unit: unknown unit `foos`\n"
	 "  help: behind a number stands its unit; to multiply, write `*` between them\n"
	 "7:5-9 plan-unit: unknown unit `l/min`\n"
	 "  help: to divide by a value named `min`, put blanks around the `/`\n"
	 "8:5-14 plan-unit: unknown unit `left.thick`\n"
	 "  help: behind a number stands its unit; to multiply, write `*` between them\n"
	 "9:4-5 plan-unit: unknown unit `e3`\n"
	 "  help: numbers are written out, without an exponent\n"
	 "10:4-7 plan-unit: unknown unit `_000`\n"
	 "  help: the digits of a number stand together\n"},
	{"units from other keyboards", TEXT("a 3 m\xC2\xB2\n"
	      "b 20 \xC2\xB0" "C\n"
	      "c 5 \xC2\xB5m\n"
	      "d 48mmx42mm"),
	 "a [?]\n"
	 "b [?]\n"
	 "c [?]\n"
	 "d [?]\n",
	 "1:5-6 plan-unit: unknown unit `m\xC2\xB2`\n"
	 "  help: did you mean `m2`?\n"
	 "2:6-7 plan-unit: unknown unit `\xC2\xB0" "C`\n"
	 "  help: did you mean `degC`?\n"
	 "3:5-6 plan-unit: unknown unit `\xC2\xB5m`\n"
	 "  help: did you mean `um`?\n"
	 "4:5-11 plan-unit: unknown unit `mmx42mm`\n"
	 "  help: put blanks around the `x`\n"},
	{"inch and foot marks", TEXT("a 12\" x 3\n"
	      "b 5'\n"
	      "c 3/4\""),
	 "a [?] x [3 ?]\n"
	 "b [?]\n"
	 "c [?]\n",
	 "1:5-5 plan-unit: inches are not written with a quote\n"
	 "  help: write `in`\n"
	 "2:4-4 plan-unit: feet are not written with a quote\n"
	 "  help: write `ft`\n"
	 "3:6-6 plan-unit: inches are not written with a quote\n"
	 "  help: write `in`\n"},
	{"decimal comma", TEXT("a 3,5 mm\n"
	      "b 1,200 mm\n"
	      "c (3,5 mm)\n"
	      "d 3, 5"),
	 "a [7/2mm ?]\n"
	 "b [6/5mm ?]\n"
	 "c [<3, 5mm>]\n"
	 "d [3 5]\n",
	 "1:3-5 plan-number: a decimal number takes a point, not a comma\n"
	 "  help: write `3.5`; in a list, put a blank behind the comma\n"
	 "2:3-7 plan-number: a decimal number takes a point, not a comma\n"
	 "  help: write `1200`, or `1.200` if that is meant\n"},
	{"points", TEXT("a 5.\n"
	      "b .5\n"
	      "c 1.2.3 mm\n"
	      "d 1..2"),
	 "a [5 ?]\n"
	 "b [1/2 ?]\n"
	 "c [?]\n"
	 "d [?]\n",
	 "1:3-4 plan-number: digits are missing behind the point\n"
	 "  help: write `5` or `5.0`\n"
	 "2:3-4 plan-number: a digit is missing before the point\n"
	 "  help: write `0.5`\n"
	 "3:3-7 plan-number: this number has more than one point\n"
	 "4:3-6 plan-number: this number has more than one point\n"},
	{"mixed with a hyphen", TEXT("a 1-1/2 in\n"
	      "b 1 - 1/2 in"),
	 "a [?]\n"
	 "b [(1 - 127/10mm)]\n",
	 "1:3-7 plan-number: a mixed number is written with a blank\n"
	 "  help: write `1 1/2`; to subtract, put blanks around the `-`\n"},
	{"numbers that do not fit", TEXT("a 9223372036854775808\n"
	      "b 0.0000000000000000001\n"
	      "c 99999999999999999 m\n"
	      "d 1/0 mm\n"
	      "e 1 1/0"),
	 "a [?]\n"
	 "b [?]\n"
	 "c [?]\n"
	 "d [?]\n"
	 "e [?]\n",
	 "1:3-21 plan-number: this number does not fit\n"
	 "  help: a number has at most 18 digits, those behind the point counted\n"
	 "2:3-23 plan-number: this number does not fit\n"
	 "  help: a number has at most 18 digits, those behind the point counted\n"
	 "3:3-21 plan-number: this number does not fit\n"
	 "  help: a number has at most 18 digits, those behind the point counted\n"
	 "4:3-5 plan-number: this fraction divides by zero\n"
	 "5:5-7 plan-number: this fraction divides by zero\n"},
	{"a fraction behind a division", TEXT("a w / 3/4\n"
	      "b w/2/3\n"
	      "c w / 4 3/4"),
	 "a [(w / ?) ?]\n"
	 "b [(w / ?) ?]\n"
	 "c [(w / 19/4)]\n",
	 "1:5-9 plan-number: this can be read in two ways: the fraction is one number\n"
	 "  help: write `/ (3/4)`, or take one division after the other with blanks around each `/`\n"
	 "2:4-7 plan-number: this can be read in two ways: the fraction is one number\n"
	 "  help: write `/ (2/3)`, or take one division after the other with blanks around each `/`\n"},
	{"characters", TEXT("a \xC3\x97 b\n"
	      "b 3 mm \xC2\xB1 1 mm\n"
	      "c \xE2\x80\x9Ctext\xE2\x80\x9D\n"
	      "d 'text'\n"
	      "e \xC2\xA0" "b\n"
	      "require a \xE2\x89\xA5 b\n"
	      "f ? b\n"
	      "g $3\n"
	      "\xC3\x96l 3"),
	 "a x [b ?]\n"
	 "b [3mm] +- [1mm ?]\n"
	 "c [\"text\" ?]\n"
	 "d [\"text\" ?]\n"
	 "e [b ?]\n"
	 "require [(a >= b) ?]\n"
	 "f [b ?]\n"
	 "g [3 ?]\n"
	 "- [? 3]\n",
	 "1:3-3 plan-character: a plan does not know this character\n"
	 "  help: write `x` between sizes, or `*` to multiply\n"
	 "2:8-8 plan-character: a plan does not know this character\n"
	 "  help: write `+-`\n"
	 "3:3-8 plan-character: text stands between straight quotes\n"
	 "  help: write `\"` at both ends\n"
	 "4:3-8 plan-text: text stands between double quotes\n"
	 "  help: write `\"text\"`\n"
	 "5:3-3 plan-character: a plan does not know this character\n"
	 "  help: write an ordinary blank\n"
	 "6:11-11 plan-character: a plan does not know this character\n"
	 "  help: write `>=`\n"
	 "7:3-3 plan-character: `?` has no meaning here\n"
	 "8:3-3 plan-character: `$` has no meaning here\n"
	 "  help: money is a plain number; the `currency` stands in the `plan` block\n"
	 "9:1-2 plan-character: names are written with the letters a to z and A to Z, digits and `_`\n"
	 "  help: other letters stand in texts and comments only\n"},
	{"names in other letters", TEXT("let Gr\xC3\xB6\xC3\x9F" "e = 3\n"
	      "let a = Gr\xC3\xB6\xC3\x9F" "e + 1"),
	 "let [?] = [3 ?]\n"
	 "let [a] = [(? + 1) ?]\n",
	 "1:5-9 plan-character: names are written with the letters a to z and A to Z, digits and `_`\n"
	 "  help: other letters stand in texts and comments only\n"
	 "2:9-13 plan-character: names are written with the letters a to z and A to Z, digits and `_`\n"
	 "  help: other letters stand in texts and comments only\n"},
	{"zero byte", TEXT("a b\0" "c\n"
	      "d\0"),
	 "a [b c ?]\n"
	 "d [?]\n",
	 "1:4-4 plan-character: a zero byte cannot stand in a plan\n"
	 "  help: take it out\n"
	 "2:2-2 plan-character: a zero byte cannot stand in a plan\n"
	 "  help: take it out\n"},
	{"bytes that are no UTF-8", TEXT("a \"\xFF\xFE\xFF\"\n"
	      "# \xC3\n"
	      "b"),
	 "a [\"\x01\x01\x01\" ?]\n"
	 "b\n",
	 "1:4-4 plan-character: the byte 0xFF is not UTF-8 text\n"
	 "  help: save the plan as UTF-8\n"
	 "2:3-3 plan-character: the byte 0xC3 is not UTF-8 text\n"
	 "  help: save the plan as UTF-8\n"},
	{"control characters", TEXT("a \x07\n"
	      "b \"\x1B[31m\"\n"
	      "c \"\xE2\x80\xAE\"\n"
	      "d\re"),
	 "a [?]\n"
	 "b [\"\x01[31m\"]\n"
	 "c [\"\x01\x01\x01\"]\n"
	 "d [e ?]\n",
	 "1:3-3 plan-character: the control character U+0007 cannot stand in a plan\n"
	 "  help: take it out\n"
	 "2:4-4 plan-character: the control character U+001B cannot stand in a plan\n"
	 "  help: take it out\n"
	 "3:4-4 plan-character: the character U+202E turns the direction of writing, unseen\n"
	 "  help: take it out\n"
	 "4:2-2 plan-character: a carriage return stands alone here\n"
	 "  help: end each line with a line feed, or with carriage return and line feed\n"},
	{"utf-16", TEXT("\xFF\xFEp\0l\0"),
	 "",
	 "1:1-2 plan-character: this file is UTF-16 text\n"
	 "  help: save the plan as UTF-8\n"},
	{"text not closed", TEXT("note \"never\n"
	      "b\n"
	      "plan \"x {\n"
	      "  a\n"
	      "}\n"),
	 "note [\"never\" ?]\n"
	 "b\n"
	 "plan [\"x\" ?] {\n"
	 "  a\n"
	 "}\n",
	 "1:6-11 plan-text: this text is not closed on its line\n"
	 "  help: put a `\"` at its end; a long text stands on one line\n"
	 "3:6-7 plan-text: this text is not closed on its line\n"
	 "  help: put a `\"` at its end; a long text stands on one line\n"},
	{"escape that is none", TEXT("note \"a\\nb\""),
	 "note [\"a\\nb\" ?]\n",
	 "1:8-9 plan-text: `\\` stands before `\"` or `\\` only\n"
	 "  help: write `\\\\` for a backslash\n"},
	{"a brace not closed", TEXT("plan \"a\" {\n"
	      "  paper a4\n"),
	 "plan [\"a\"] {\n"
	 "  paper [a4]\n"
	 "}\n",
	 "1:10-10 plan-syntax: this `{` of `plan` is not closed\n"
	 "  help: every `{` needs its `}`\n"},
	{"two braces not closed", TEXT("a {\n"
	      "  b {\n"
	      "    c\n"),
	 "a {\n"
	 "  b {\n"
	 "    c\n"
	 "  }\n"
	 "}\n",
	 "2:5-5 plan-syntax: this `{` of `b` is not closed\n"
	 "  1:3 this one is still open too\n"
	 "  help: every `{` needs its `}`\n"},
	{"the brace that was left open", TEXT("cabinet c {\n"
	      "  panel a : p {\n"
	      "    left at 0 mm\n"
	      "  panel b : p {\n"
	      "    left at 0 mm\n"
	      "  }\n"
	      "}\n"
	      "air {\n"
	      "}\n"),
	 "cabinet [c] {\n"
	 "  panel [a] : [p] {\n"
	 "    left at [0mm]\n"
	 "  }\n"
	 "  panel [b] : [p] {\n"
	 "    left at [0mm]\n"
	 "  }\n"
	 "}\n"
	 "air {\n"
	 "}\n",
	 "2:15-15 plan-syntax: this `{` of `panel` is not closed\n"
	 "  7:1 this `}` closes it, but stands under another line\n"
	 "  help: every `{` needs its `}`\n"},
	{"stray brace", TEXT("a {\n"
	      "  b\n"
	      "}\n"
	      "}\n"
	      "c\n"),
	 "a {\n"
	 "  b\n"
	 "}\n"
	 "c\n",
	 "4:1-1 plan-syntax: this `}` closes nothing\n"
	 "  help: take it out, or look for a missing `{` above\n"},
	{"the brace that is too many", TEXT("a {\n"
	      "  b\n"
	      "  }\n"
	      "  c\n"
	      "}\n"
	      "d\n"),
	 "a {\n"
	 "  b\n"
	 "}\n"
	 "c\n"
	 "d\n",
	 "5:1-1 plan-syntax: this `}` closes nothing\n"
	 "  3:3 this `}` may be one too many\n"
	 "  help: take it out, or look for a missing `{` above\n"},
	{"a brace without a line", TEXT("{ a }\n"
	      "b { { c } }"),
	 "- [?] {\n"
	 "  a\n"
	 "}\n"
	 "b {\n"
	 "  - [?] {\n"
	 "    c\n"
	 "  }\n"
	 "}\n",
	 "1:1-1 plan-syntax: this `{` has no line before it\n"
	 "  help: a block belongs to the line before its `{`\n"
	 "2:5-5 plan-syntax: this `{` has no line before it\n"
	 "  help: a block belongs to the line before its `{`\n"},
	{"stray bracket", TEXT("a b)\n"
	      "c )"),
	 "a [b ?]\n"
	 "c [?]\n",
	 "1:4-4 plan-syntax: this `)` closes nothing\n"
	 "2:3-3 plan-syntax: this `)` closes nothing\n"},
	{"open bracket", TEXT("at (1 mm, 2 mm\n"
	      "b min(1, 2\n"
	      "c (\n"
	      "d"),
	 "at [?]\n"
	 "b [?]\n"
	 "c [?]\n",
	 "1:4-4 plan-syntax: this `(` is not closed on its line\n"
	 "  help: put a `)` behind the last value; a line goes on after a comma or an operator\n"
	 "2:6-6 plan-syntax: this `(` is not closed on its line\n"
	 "  help: put a `)` behind the last value; a line goes on after a comma or an operator\n"
	 "3:3-3 plan-syntax: this `(` is not closed on its line\n"
	 "  help: put a `)` behind the last value; a line goes on after a comma or an operator\n"},
	{"brackets of another shape", TEXT("a [1, 2]"),
	 "a [<1, 2> ?]\n",
	 "1:3-3 plan-syntax: brackets are round: `(` and `)`\n"},
	{"values in brackets", TEXT("a (b c)\n"
	      "b min(1 2)\n"
	      "c (1, 2, 3)\n"
	      "d ()\n"
	      "e (1 mm in c)\n"
	      "f (a, )"),
	 "a [?]\n"
	 "b [?]\n"
	 "c [?]\n"
	 "d [?]\n"
	 "e [?]\n"
	 "f [?]\n",
	 "1:6-6 plan-syntax: an operator is missing between `b` and `c`\n"
	 "  1:3 the bracket begins here\n"
	 "2:9-9 plan-syntax: an operator or a comma is missing between `1` and `2`\n"
	 "  2:6 the bracket begins here\n"
	 "3:8-8 plan-syntax: a point has two values: `(a, b)`\n"
	 "  3:3 it begins here\n"
	 "4:3-4 plan-syntax: nothing stands between these brackets\n"
	 "5:9-10 plan-syntax: `in` cannot stand here, inside of brackets\n"
	 "  5:3 the bracket begins here\n"
	 "6:5-5 plan-syntax: a value is missing behind `,`\n"
	 "  6:7 `)` stands there instead\n"
	 "  help: take the comma out, or go on behind it\n"},
	{"missing values", TEXT("let a =\n"
	      "let b = 3 +\n"
	      "let c = 4\n"
	      "d e,\n"
	      "f { g at }\n"
	      "h in"),
	 "let [a] = [?]\n"
	 "let [b] = [?]\n"
	 "let [c] = [4]\n"
	 "d [e ?]\n"
	 "f {\n"
	 "  g at [?]\n"
	 "}\n"
	 "h in [?]\n",
	 "1:7-7 plan-syntax: a value is missing behind `=`\n"
	 "2:11-11 plan-syntax: a value is missing behind `+`\n"
	 "4:4-4 plan-syntax: a value is missing behind `,`\n"
	 "  help: take the comma out, or go on behind it\n"
	 "5:7-8 plan-syntax: a value is missing behind `at`\n"
	 "  help: the linking words, such as `in`, `to` or `x`, join values and cannot be names\n"
	 "6:3-4 plan-syntax: a value is missing behind `in`\n"
	 "  help: the linking words, such as `in`, `to` or `x`, join values and cannot be names\n"},
	{"missing values in front", TEXT("let a = * 3\n"
	      "b , c\n"
	      "c = / 2"),
	 "let [a] = [?]\n"
	 "b [?]\n"
	 "c = [?]\n",
	 "1:7-7 plan-syntax: a value is missing behind `=`\n"
	 "  1:9 `*` stands there instead\n"
	 "2:3-3 plan-syntax: `,` cannot stand here\n"
	 "  help: `b` is this line's word and no value\n"
	 "3:3-3 plan-syntax: a value is missing behind `=`\n"
	 "  3:5 `/` stands there instead\n"},
	{"linking words as names", TEXT("let in = 3\n"
	      "panel x : p\n"
	      "a b + in\n"
	      "parts left, to\n"
	      "b in.c + d\n"
	      "c (by, 2)\n"
	      "between left and in"),
	 "let in [?]\n"
	 "panel x [?]\n"
	 "a [?]\n"
	 "parts [left ?]\n"
	 "b [(? + d) ?]\n"
	 "c [?]\n"
	 "between [left] and [?]\n",
	 "1:5-6 plan-name: `in` is a linking word and cannot be a name\n"
	 "  help: take another name (docs/language.md lists the linking words); two lines in one are parted by `;`\n"
	 "2:7-7 plan-name: `x` is a linking word and cannot be a name\n"
	 "  help: take another name (docs/language.md lists the linking words); two lines in one are parted by `;`\n"
	 "3:7-8 plan-name: `in` is a linking word and cannot be a name\n"
	 "  help: take another name (docs/language.md lists the linking words); two lines in one are parted by `;`\n"
	 "4:13-14 plan-name: `to` is a linking word and cannot be a name\n"
	 "  help: take another name (docs/language.md lists the linking words); two lines in one are parted by `;`\n"
	 "5:3-4 plan-name: `in` is a linking word and cannot be a name\n"
	 "6:4-5 plan-name: `by` is a linking word and cannot be a name\n"
	 "  help: take another name (docs/language.md lists the linking words); two lines in one are parted by `;`\n"
	 "7:14-16 plan-syntax: a value is missing behind `and`\n"
	 "  7:18 `in` stands there instead\n"
	 "  help: the linking words, such as `in`, `to` or `x`, join values and cannot be names\n"},
	{"one link behind another", TEXT("a in to b\n"
	      "c at -> d"),
	 "a in [?]\n"
	 "c at [?]\n",
	 "1:3-4 plan-syntax: a value is missing behind `in`\n"
	 "  1:6 `to` stands there instead\n"
	 "  help: the linking words, such as `in`, `to` or `x`, join values and cannot be names\n"
	 "2:3-4 plan-syntax: a value is missing behind `at`\n"
	 "  2:6 `->` stands there instead\n"
	 "  help: the linking words, such as `in`, `to` or `x`, join values and cannot be names\n"},
	{"comparisons in a chain", TEXT("require a < b < c\n"
	      "require a == b\n"
	      "require a => b\n"
	      "require a =< b"),
	 "require [?]\n"
	 "require [(a = b) ?]\n"
	 "require [(a >= b) ?]\n"
	 "require [(a <= b) ?]\n",
	 "1:15-15 plan-syntax: one comparison cannot follow another\n"
	 "  help: write two `require` lines\n"
	 "2:11-12 plan-syntax: equality is written with one `=`\n"
	 "  help: write `=`\n"
	 "3:11-12 plan-syntax: `=>` is written `>=`\n"
	 "  help: write `>=`, or `->` for the way of the air\n"
	 "4:11-12 plan-syntax: `=<` is written `<=`\n"
	 "  help: write `<=`, or `->` for the way of the air\n"},
	{"behind a block", TEXT("a { b } c\n"
	      "d\n"),
	 "a {\n"
	 "  b\n"
	 "}\n"
	 "d\n",
	 "1:9-9 plan-syntax: `c` cannot stand behind `}`\n"
	 "  help: begin a new line, or put a `;` before it\n"},
	{"a line that begins with a sign", TEXT("+ 3\n"
	      ", a\n"
	      "= b\n"
	      ": c\n"
	      "d"),
	 "- [?]\n"
	 "- [?]\n"
	 "- [?]\n"
	 "- [?]\n"
	 "d\n",
	 "1:1-1 plan-syntax: a line cannot begin with `+`\n"
	 "  help: a line begins with a word or a value; it goes on after a comma, an operator or `->`\n"
	 "2:1-1 plan-syntax: a line cannot begin with `,`\n"
	 "  help: a line begins with a word or a value; it goes on after a comma, an operator or `->`\n"
	 "3:1-1 plan-syntax: a line cannot begin with `=`\n"
	 "  help: a line begins with a word or a value; it goes on after a comma, an operator or `->`\n"
	 "4:1-1 plan-syntax: a line cannot begin with `:`\n"
	 "  help: a line begins with a word or a value; it goes on after a comma, an operator or `->`\n"},
	{"a line that begins with a member", TEXT("left.thick >= 3 mm\n"
	      "b"),
	 "require [?]\n"
	 "b\n",
	 "1:1-10 plan-syntax: a line begins with a word; `left.thick` is a value\n"
	 "  help: a rule of your own begins with `require`, a name with `let`\n"},
	{"dots", TEXT("a b.\n"
	      "c b..d\n"
	      "d . e"),
	 "a [?]\n"
	 "c [?]\n"
	 "d [e ?]\n",
	 "1:4-4 plan-syntax: a member's name is missing behind this dot\n"
	 "2:4-4 plan-syntax: a member's name is missing behind this dot\n"
	 "3:3-3 plan-character: `.` has no meaning here\n"
	 "  help: a dot stands in a number or between a part and its member, without blanks\n"},
	{"comments of another kind", TEXT("a b // why\n"
	      "c d /* so */\n"
	      "e"),
	 "a [b ?]\n"
	 "c [d ?]\n"
	 "e\n",
	 "1:5-6 plan-syntax: `//` does not begin a comment\n"
	 "  help: a comment begins with `#` and runs to the end of the line\n"
	 "2:5-6 plan-syntax: `/*` does not begin a comment\n"
	 "  help: a comment begins with `#` and runs to the end of the line\n"},
	{"a block after a fault", TEXT("panel a ? p {\n"
	      "  left at 0 mm\n"
	      "  bottom , 3\n"
	      "}\n"
	      "b = = {\n"
	      " c\n"
	      "}\n"
	      "d"),
	 "panel [a p ?] {\n"
	 "  left at [0mm]\n"
	 "  bottom [?]\n"
	 "}\n"
	 "b = [?] {\n"
	 "  c\n"
	 "}\n"
	 "d\n",
	 "1:9-9 plan-character: `?` has no meaning here\n"
	 "3:10-10 plan-syntax: `,` cannot stand here\n"
	 "  help: `bottom` is this line's word and no value\n"
	 "5:3-3 plan-syntax: a value is missing behind `=`\n"
	 "  5:5 `=` stands there instead\n"},
	{"many faults, one message each", TEXT("a +\n"
	      "b *\n"
	      "c (\n"
	      "d )\n"
	      "e in\n"
	      "f 12 feet\n"
	      "g\n"),
	 "a [?]\n"
	 "e in [?]\n"
	 "f [?]\n"
	 "g\n",
	 "1:3-3 plan-syntax: `+` cannot stand here\n"
	 "  help: `a` is this line's word and no value\n"
	 "5:3-4 plan-syntax: a value is missing behind `in`\n"
	 "  help: the linking words, such as `in`, `to` or `x`, join values and cannot be names\n"
	 "6:6-9 plan-unit: unknown unit `feet`\n"
	 "  help: did you mean `ft`?\n"},
	{"brackets too deep", TEXT("a (((((((((((((((((((((((((((((((((((((((((((((((((((((((((((((((((((((((((((((((((((((((((((((((((((((1)))))))))))))))))))))))))))))))))))))))))))))))))))))))))))))))))))))))))))))))))))))))))))))))))))))\n"
	      "b"),
	 "a [?]\n"
	 "b\n",
	 "1:103-103 plan-depth: brackets are nested deeper than 100\n"
	 "  help: give a part of the value a name with `let`\n"},
};

/* clang-format on */
typedef struct bench {
	arena mem;
	source_set sources;
	diags diags;
	syn_file file;
} bench;

static void parse(bench *b, const char *text, size_t size) {
	memset(b, 0, sizeof *b);
	b->sources = source_begin(&b->mem);
	b->diags = diags_begin(&b->mem);
	/* Exactly as large as it is, so that a step behind the end is seen. */
	char *copy = malloc(size + 1);
	assert_non_null(copy);
	memcpy(copy, text, size);
	copy[size] = '\0';
	uint32_t f = source_add(&b->sources, "t.plan", copy, size);
	grammar_parse(&b->mem, &b->sources, f, &b->diags, &b->file);
	b->sources.files.v[f].text = arena_textn(&b->mem, copy, size);
	free(copy);
	diags_sort(&b->diags);
}

static void table(void **state) {
	const grammar_case *c = *state;
	bench b;
	parse(&b, c->plan, c->size);
	assert_string_equal(dump_diags(&b.mem, &b.sources, &b.diags), c->told);
	assert_string_equal(dump_file(&b.mem, &b.file), c->tree);
	arena_end(&b.mem);
}

/* The bytes a span covers. */
static const char *under(bench *b, span s) {
	assert_true(s.end <= b->sources.files.v[0].size && s.start <= s.end);
	return arena_textn(&b->mem, b->sources.files.v[0].text + s.start, s.end - s.start);
}

static void spans(void **state) {
	(void)state;
	bench b;
	const char *text = "# \xC3\x98\npanel a.b : p, -2 ft 6 1/2 in { # c\n\tat (1 mm, -x2.in) ; c\n} # d\n"
			   "let w = min(3 mm, b) * (4 + 5) to \"t\" \"help\" because\n";
	parse(&b, text, strlen(text));
	const syn_line *panel = b.file.lines.v[0], *let = b.file.lines.v[1], *at = panel->block.v[0];
	assert_string_equal(under(&b, panel->at), "panel a.b : p, -2 ft 6 1/2 in { # c\n\tat (1 mm, -x2.in) ; c\n}");
	assert_string_equal(under(&b, panel->word_at), "panel");
	assert_string_equal(under(&b, panel->open_at), "{");
	assert_false(span_known(panel->clauses.v[0].link_at));
	assert_string_equal(under(&b, panel->clauses.v[0].at), "a.b");
	assert_string_equal(under(&b, panel->clauses.v[1].at), ": p, -2 ft 6 1/2 in");
	assert_string_equal(under(&b, panel->clauses.v[1].link_at), ":");
	const syn_expr *name = panel->clauses.v[0].args.v[0], *minus = panel->clauses.v[1].args.v[1];
	assert_string_equal(under(&b, name->names.v[0].at), "a");
	assert_string_equal(under(&b, name->names.v[1].at), "b");
	assert_string_equal(under(&b, minus->at), "-2 ft 6 1/2 in");
	assert_string_equal(under(&b, minus->op_at), "-");
	assert_string_equal(under(&b, minus->a->at), "2 ft 6 1/2 in");
	assert_string_equal(under(&b, at->at), "at (1 mm, -x2.in)");
	const syn_expr *pair = at->clauses.v[0].args.v[0];
	assert_string_equal(under(&b, pair->at), "(1 mm, -x2.in)");
	assert_string_equal(under(&b, pair->b->a->names.v[1].at), "in");
	const syn_expr *product = let->clauses.v[1].args.v[0];
	assert_string_equal(under(&b, product->at), "min(3 mm, b) * (4 + 5)");
	assert_string_equal(under(&b, product->op_at), "*");
	assert_string_equal(under(&b, product->a->text_at), "min");
	assert_string_equal(under(&b, product->a->at), "min(3 mm, b)");
	assert_string_equal(under(&b, product->b->at), "(4 + 5)");
	assert_string_equal(let->clauses.v[3].link, "");
	assert_string_equal(under(&b, let->clauses.v[3].at), "\"help\"");
	assert_string_equal(under(&b, let->at), "let w = min(3 mm, b) * (4 + 5) to \"t\" \"help\" because");
	assert_string_equal(under(&b, b.diags.all.v[0]->at), "because");
	arena_end(&b.mem);
}

static const char *repeated(arena *mem, const char *before, const char *each, size_t n, const char *after) {
	textbuf t = textbuf_begin(mem);
	textbuf_add(&t, before);
	for (size_t i = 0; i < n; i++) textbuf_add(&t, each);
	textbuf_add(&t, after);
	return t.v;
}

/* Depths just allowed and one more: the tree, or one message. */
static void depths(void **state) {
	(void)state;
	const struct {
		const char *before, *each, *middle, *close;
		size_t most;
		const char *rule_text;
	} kinds[] = {
		{"a ", "(", "1", ")", GRAMMAR_BRACKET_DEPTH, "brackets are nested deeper than 100"},
		{"", "a {", "b", "}", GRAMMAR_BLOCK_DEPTH, "blocks are nested deeper than 64"},
		{"a ", "- ", "1", "", GRAMMAR_BRACKET_DEPTH + 1, "minus signs are nested deeper than 100"},
		{"a 1", "+1", "", "", GRAMMAR_EXPR_DEPTH - 1, "this expression has more than 500 operations in a row"},
	};
	for (size_t i = 0; i < sizeof kinds / sizeof *kinds; i++) {
		for (size_t more = 0; more < 3; more++) {
			arena mem = {0};
			bench b;
			size_t n = kinds[i].most + more + (more == 2 ? 1000 : 0);
			const char *half = repeated(&mem, kinds[i].before, kinds[i].each, n, kinds[i].middle);
			const char *text = repeated(&mem, half, kinds[i].close, n, "\nlast\n");
			parse(&b, text, strlen(text));
			assert_string_equal(b.file.lines.v[b.file.lines.n - 1]->word, "last");
			assert_int_equal(b.diags.all.n, more == 0					       ? 0
							: kinds[i].most == GRAMMAR_EXPR_DEPTH - 1 && more == 2 ? 3
													       : 1);
			if (more) assert_string_equal(b.diags.all.v[0]->text, kinds[i].rule_text);
			arena_end(&b.mem);
			arena_end(&mem);
		}
	}
}

static void faults_have_an_end(void **state) {
	(void)state;
	arena mem = {0};
	bench b;
	const char *text = repeated(&mem, "c {\n", "a 12 feet, )\n", 5000, "}\n");
	parse(&b, text, strlen(text));
	/* A token that was being read when the last one was found may add one of its own. */
	assert_in_range(b.diags.all.n, GRAMMAR_MOST_FAULTS + 1, GRAMMAR_MOST_FAULTS + 4);
	assert_string_equal(b.diags.all.v[b.diags.all.n - 1]->text,
			    "too many faults: the rest of this file was not read");
	arena_end(&b.mem);
	/* Faults that give no token, and those in what is skipped. */
	const char *const endless[] = {"?", "\xC2\xA0 ", "// a\n", "a.. ", "12 feet ", "\" \n", "{ ? ", "( ? ", "- ? "};
	for (size_t i = 0; i < sizeof endless / sizeof *endless; i++) {
		text = repeated(&mem, "a ", endless[i], 200000, "\n");
		parse(&b, text, strlen(text));
		assert_in_range(b.diags.all.n, 1, GRAMMAR_MOST_FAULTS + 10);
		arena_end(&b.mem);
	}
	text = repeated(&mem, "", "\xFF\n", 5000, "");
	parse(&b, text, strlen(text));
	assert_true(b.diags.all.n <= 11);
	arena_end(&b.mem);
	arena_end(&mem);
}

static void large_plans(void **state) {
	(void)state;
	arena mem = {0};
	bench b;
	const char *text = repeated(&mem, "c {\n", "panel p1 : ply { between a and b; left at 3 mm }\n", 50000, "}\n");
	parse(&b, text, strlen(text));
	assert_int_equal(b.diags.all.n, 0);
	assert_int_equal(b.file.lines.v[0]->block.n, 50000);
	arena_end(&b.mem);
	text = repeated(&mem, "a ", "b, ", 200000, "c # ");
	parse(&b, text, strlen(text));
	assert_int_equal(b.file.lines.v[0]->clauses.v[0].args.n, 200001);
	arena_end(&b.mem);
	text = repeated(&mem, "a ", "b, ", GRAMMAR_MOST_TOKENS, "c");
	parse(&b, text, strlen(text));
	assert_int_equal(b.diags.all.n, 1);
	assert_string_equal(b.diags.all.v[0]->rule, "plan-size");
	/* a, then pairs of value and comma: what was read before is there */
	assert_int_equal(b.file.lines.v[0]->clauses.v[0].args.n, GRAMMAR_MOST_TOKENS / 2);
	arena_end(&b.mem);
	text = repeated(&mem, "note \"", "0123456789", 100000, "\"");
	parse(&b, text, strlen(text));
	assert_int_equal(strlen(b.file.lines.v[0]->clauses.v[0].args.v[0]->text), 1000000);
	arena_end(&b.mem);
	arena_end(&mem);
}

/* Every beginning of a plan, and the plan with any one byte left out, gives a tree without a stumble. */
static void cut_anywhere(void **state) {
	(void)state;
	const char *text =
		"plan \"a\\\"b\" {\n paper a4 }\nlet w = 2 ft 6 1/2 in from -5 degC to min(1,(2)) \"h\"\n"
		"way a -> b\n -> c # d\nrequire a.b >= 3.5 m3/h because \"\xC3\x98\xE2\x80\x9C\"\nb 3/4 12x14 5\"\n";
	size_t n = strlen(text);
	for (size_t i = 0; i <= n; i++) {
		bench b;
		parse(&b, text, i);
		arena_end(&b.mem);
		char *without = malloc(n);
		assert_non_null(without);
		memcpy(without, text, i);
		memcpy(without + i, text + i + (i < n), n - i - (i < n));
		parse(&b, without, n - (i < n));
		assert_true(b.file.lines.n > 0);
		arena_end(&b.mem);
		free(without);
	}
}

static void one_value(void **state) {
	(void)state;
	const struct {
		const char *text, *tree;
	} cases[] = {
		{"1300mm", "1300mm"},
		{"w / 2 + 3 mm", "((w / 2) + 3mm)"},
		{" a.b ", "a.b"},
		{"in", NULL},
		{"-5 degC", "5363/20K"},
		{"\"text\"", "\"text\""},
		{"", NULL},
		{"1 2", NULL},
		{"a { b }", NULL},
		{"a; b", NULL},
		{"a\nb", NULL},
		{"a in b", NULL},
		{"12 feet", NULL},
		{"(a, b)", "<a, b>"},
		{"min(1, 2)", "min(1, 2)"},
		{"}", NULL},
		{"a < b", "(a < b)"},
		{"(", NULL},
	};
	for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
		arena mem = {0};
		source_set s = source_begin(&mem);
		diags d = diags_begin(&mem);
		uint32_t f = source_add(&s, "--set", cases[i].text, strlen(cases[i].text));
		const syn_expr *e = grammar_parse_value(&mem, &s, f, &d);
		textbuf t = textbuf_begin(&mem);
		if (e) dump_expr(&t, e);
		if (cases[i].tree)
			assert_string_equal(t.v, cases[i].tree);
		else
			assert_null(e);
		assert_int_equal(d.all.n, e ? 0 : 1);
		arena_end(&mem);
	}
}

/* Every unit of the table can be written, and the same parse twice gives the same tree. */
static void all_units(void **state) {
	(void)state;
	size_t n;
	const quant_unit *u = quant_units(&n);
	for (size_t i = 0; i < n; i++) {
		arena mem = {0};
		bench b;
		const char *text = arena_printf(&mem, "a 7 %s, 7%s", u[i].word, u[i].word);
		parse(&b, text, strlen(text));
		assert_int_equal(b.diags.all.n, 0);
		assert_int_equal(b.file.lines.v[0]->clauses.v[0].args.n, 2);
		for (size_t k = 0; k < 2; k++) {
			quant q = b.file.lines.v[0]->clauses.v[0].args.v[k]->value;
			assert_true(dim_same(q.dim, u[i].dim));
			rat expected = rat_add(rat_mul(rat_int(7), u[i].factor), u[i].offset);
			assert_true(!rat_ok(expected) || rat_eq(q.r, expected));
		}
		arena_end(&b.mem);
		arena_end(&mem);
	}
}

int main(void) {
	enum { N_GOOD = sizeof GOOD / sizeof *GOOD, N_BAD = sizeof BAD / sizeof *BAD };
	const struct CMUnitTest others[] = {
		cmocka_unit_test(spans),       cmocka_unit_test(depths),       cmocka_unit_test(faults_have_an_end),
		cmocka_unit_test(large_plans), cmocka_unit_test(cut_anywhere), cmocka_unit_test(one_value),
		cmocka_unit_test(all_units),
	};
	enum { N_OTHERS = sizeof others / sizeof *others };
	struct CMUnitTest tests[N_GOOD + N_BAD + N_OTHERS] = {0};
	for (size_t i = 0; i < N_GOOD + N_BAD; i++) {
		const grammar_case *c = i < N_GOOD ? &GOOD[i] : &BAD[i - N_GOOD];
		tests[i].name = c->name;
		tests[i].test_func = table;
		tests[i].initial_state = (void *)(uintptr_t)c;
	}
	memcpy(tests + N_GOOD + N_BAD, others, sizeof others);
	return cmocka_run_group_tests(tests, NULL, NULL);
}
