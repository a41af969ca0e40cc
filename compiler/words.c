/* The vocabulary. To add a word to the language: add a row to its block's table, read it where the
 * block is resolved, and write it into docs/language.md. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "compiler/context.h"
#include "runtime/base/text.h"

/* form: how many arguments stand behind the word, then the clauses it takes, each `link:count`.
 * A count is `1`, `0-1`, `1-*`; a clause with `?` in front may be left out, with `*` it may stand
 * several times or not at all. */
typedef struct word_rule {
	const char *word;
	const char *form;
	bool many;	  /* may stand several times */
	block_kind block; /* of its own block, BLOCK_NONE when it takes none */
	const char *example;
} word_rule;

#define ONCE false
#define MANY true
#define COMMON_STOCK                                                                                                   \
	{"label", "1", ONCE, BLOCK_NONE, "label \"18 mm plywood\""}, {"price", "1", ONCE, BLOCK_NONE, "price 74"},     \
		{"pack", "1", ONCE, BLOCK_NONE, "pack 100"}, {"source", "1", ONCE, BLOCK_NONE, "source \"invented\""}, \
		{"mass", "1", ONCE, BLOCK_NONE, "mass 14 kg"}, {                                                       \
		"on_hand", "1", ONCE, BLOCK_NONE, "on_hand 2"                                                          \
	}

#define SIZES(one, also, offcut)                                                                                       \
	{"also", one, MANY, BLOCK_SIZE, also}, { "offcut", one, MANY, BLOCK_OFFCUT, offcut }

#define WHEN_WORDS                                                                                                     \
	{"when", "1", MANY, BLOCK_WHEN, "when width > 900 mm { … }"}, {                                                \
		"otherwise", "0-2", MANY, BLOCK_WHEN, "otherwise { … }"                                              \
	}

static const word_rule FILE_WORDS[] = {
	{"plan", "1", ONCE, BLOCK_PLAN, "plan \"My bench\" { … }"},
	{"use", "1", MANY, BLOCK_NONE, "use \"stock/sheets\""},
	{"let", "1 =:1 ?from:1 ?to:1 ?:1", MANY, BLOCK_NONE, "let width = 1240 mm from 900 mm to 1600 mm \"outside\""},
	{"stock", "1 ::1", MANY, BLOCK_ITEM, "stock ply18 : sheet { … }"},
	{"tool", "1 ::1", MANY, BLOCK_TOOL, "tool saw1 : saw { kerf 3 mm }"},
	{"cabinet", "1", ONCE, BLOCK_CABINET, "cabinet booth { … }"},
	{"assembly", "1", MANY, BLOCK_ASSEMBLY, "assembly drawer { takes wide = 400 mm; … }"},
	WHEN_WORDS,
	{"air", "0", ONCE, BLOCK_AIR, "air { … }"},
	{"step", "1", MANY, BLOCK_STEP, "step \"Cut the sheets\" { … }"},
	{"require", "1 ?because:1", MANY, BLOCK_NONE, "require mouth.speed >= 0.4 m/s because \"…\""},
	{"allow", "1 ?for:1-* because:1", MANY, BLOCK_NONE, "allow hole-edge for baffle because \"…\""},
	{"tune", "1 to:1 because:1", MANY, BLOCK_NONE, "tune part-heavy to 30 kg because \"…\""},
};
static const word_rule LIBRARY_WORDS[] = {
	{"use", "1", MANY, BLOCK_NONE, "use \"stock/sheets\""},
	{"let", "1 =:1 ?from:1 ?to:1 ?:1", MANY, BLOCK_NONE, "let width = 1240 mm"},
	{"stock", "1 ::1", MANY, BLOCK_ITEM, "stock ply18 : sheet { … }"},
	{"tool", "1 ::1", MANY, BLOCK_TOOL, "tool saw1 : saw { kerf 3 mm }"},
	{"assembly", "1", MANY, BLOCK_ASSEMBLY, "assembly drawer { takes wide = 400 mm; … }"},
	WHEN_WORDS,
};
static const word_rule PLAN_WORDS[] = {
	{"edition", "1", ONCE, BLOCK_NONE, "edition \"A\""},
	{"history", "1-2 ?:1", MANY, BLOCK_NONE, "history \"A\" \"first edition\""},
	{"measures", "1", ONCE, BLOCK_NONE, "measures metric"},
	{"paper", "1", ONCE, BLOCK_NONE, "paper a4"},
	{"currency", "1", ONCE, BLOCK_NONE, "currency \"EUR\""},
	{"purpose", "1", ONCE, BLOCK_NONE, "purpose \"…\""},
	{"note", "1", MANY, BLOCK_NONE, "note \"…\""},
	{"without", "1-*", ONCE, BLOCK_NONE, "without numbers, index"},
	{"passes", "1 x:1", ONCE, BLOCK_NONE, "passes 800 mm x 2000 mm"},
	{"moisture", "1 to:1", ONCE, BLOCK_NONE, "moisture 6 % to 10 %"},
};
static const word_rule SHEET_WORDS[] = {
	COMMON_STOCK,
	{"size", "1 x:1", ONCE, BLOCK_NONE, "size 2440 mm x 1220 mm"},
	{"thick", "1 ?+-:1", ONCE, BLOCK_NONE, "thick 17.6 mm +- 0.4 mm"},
	{"grain", "1", ONCE, BLOCK_NONE, "grain long"},
	{"trim", "1", ONCE, BLOCK_NONE, "trim 10 mm"},
	{"density", "1", ONCE, BLOCK_NONE, "density 680 kg/m3"},
	{"modulus", "1", ONCE, BLOCK_NONE, "modulus 4.5 GPa"},
	{"movement", "1", ONCE, BLOCK_NONE, "movement 0.0037"},
	{"wood", "1", ONCE, BLOCK_NONE, "wood soft"},
	{"made", "1", ONCE, BLOCK_NONE, "made plywood"},
	SIZES("1 x:1", "also 1500 mm x 1500 mm { price 52 }", "offcut 820 mm x 610 mm"),
};
static const word_rule BAR_WORDS[] = {
	COMMON_STOCK,
	{"section", "1 x:1", ONCE, BLOCK_NONE, "section 45 mm x 20 mm"},
	{"length", "1", ONCE, BLOCK_NONE, "length 2400 mm"},
	{"trim", "1", ONCE, BLOCK_NONE, "trim 10 mm"},
	{"density", "1", ONCE, BLOCK_NONE, "density 520 kg/m3"},
	{"modulus", "1", ONCE, BLOCK_NONE, "modulus 8 GPa"},
	{"movement", "1", ONCE, BLOCK_NONE, "movement 0.0037"},
	{"wood", "1", ONCE, BLOCK_NONE, "wood soft"},
	SIZES("1", "also 3000 mm { price 9.50 }", "offcut 820 mm"),
};
static const word_rule PIPE_WORDS[] = {
	COMMON_STOCK,
	{"outside", "1", ONCE, BLOCK_NONE, "outside 110 mm"},
	{"wall", "1", ONCE, BLOCK_NONE, "wall 3.2 mm"},
	{"length", "1", ONCE, BLOCK_NONE, "length 3000 mm"},
	{"trim", "1", ONCE, BLOCK_NONE, "trim 10 mm"},
	{"density", "1", ONCE, BLOCK_NONE, "density 1400 kg/m3"},
	{"roughness", "1", ONCE, BLOCK_NONE, "roughness 0.02 mm"},
	{"fits", "1 to:1", ONCE, BLOCK_NONE, "fits 0.2 mm to 0.8 mm"},
	SIZES("1", "also 2000 mm { price 9.50 }", "offcut 820 mm"),
};
static const word_rule SIZE_WORDS[] = {
	{"price", "1", ONCE, BLOCK_NONE, "price 52"},
	{"on_hand", "1", ONCE, BLOCK_NONE, "on_hand 2"},
	{"trim", "1", ONCE, BLOCK_NONE, "trim 10 mm"},
};
static const word_rule OFFCUT_WORDS[] = {
	{"on_hand", "1", ONCE, BLOCK_NONE, "on_hand 2"},
	{"trim", "1", ONCE, BLOCK_NONE, "trim 10 mm"},
};
static const word_rule SCREW_WORDS[] = {
	COMMON_STOCK,
	{"diameter", "1", ONCE, BLOCK_NONE, "diameter 4 mm"},
	{"length", "1", ONCE, BLOCK_NONE, "length 40 mm"},
	{"pilot", "1", ONCE, BLOCK_NONE, "pilot 2.5 mm"},
	{"pilot_soft", "1", ONCE, BLOCK_NONE, "pilot_soft 2 mm"},
	{"clearance", "1", ONCE, BLOCK_NONE, "clearance 4.5 mm"},
	{"sink", "1", ONCE, BLOCK_NONE, "sink 8 mm"},
	{"head_angle", "1", ONCE, BLOCK_NONE, "head_angle 90 deg"},
};
static const word_rule COLLAR_WORDS[] = {
	COMMON_STOCK,
	{"outside", "1", ONCE, BLOCK_NONE, "outside 110 mm"},
	{"bore", "1", ONCE, BLOCK_NONE, "bore 104 mm"},
	{"flange", "1", ONCE, BLOCK_NONE, "flange 130 mm"},
	{"flange_thick", "1", ONCE, BLOCK_NONE, "flange_thick 3 mm"},
	{"length", "1", ONCE, BLOCK_NONE, "length 40 mm"},
	{"fits", "1 to:1", ONCE, BLOCK_NONE, "fits 0.2 mm to 0.8 mm"},
};
static const word_rule GROMMET_WORDS[] = {
	COMMON_STOCK,
	{"outside", "1", ONCE, BLOCK_NONE, "outside 60 mm"},
	{"bore", "1", ONCE, BLOCK_NONE, "bore 50 mm"},
	{"flange", "1", ONCE, BLOCK_NONE, "flange 72 mm"},
	{"takes", "1 to:1", ONCE, BLOCK_NONE, "takes 17 mm to 19 mm"},
	{"fits", "1 to:1", ONCE, BLOCK_NONE, "fits 0.2 mm to 0.8 mm"},
};
static const word_rule CLAMP_WORDS[] = {
	COMMON_STOCK,
	{"grips", "1 to:1", ONCE, BLOCK_NONE, "grips 100 mm to 115 mm"},
};
static const word_rule MEDIA_WORDS[] = {
	COMMON_STOCK,
	{"resistance", "1", ONCE, BLOCK_NONE, "resistance 900 Pa.s/m"},
	{"square", "1", ONCE, BLOCK_NONE, "square 20 Pa.s2/m2"},
	{"permeability", "1 at:1", ONCE, BLOCK_NONE, "permeability 30 cfm/ft2 at 0.5 in.wg"},
	{"roll", "1", ONCE, BLOCK_NONE, "roll 1.6 m"},
	{"drag", "1", ONCE, BLOCK_NONE, "drag 60000 Pa.s.m/kg"},
	{"dirty", "1", ONCE, BLOCK_NONE, "dirty 0.3 kg/m2"},
	{"class", "1", ONCE, BLOCK_NONE, "class \"coarse dust, cleaned by hand\""},
};
static const word_rule FILTER_WORDS[] = {
	COMMON_STOCK,
	{"size", "1 x:1 x:1", ONCE, BLOCK_NONE, "size 592 mm x 48 mm x 592 mm"},
	{"media", "1", ONCE, BLOCK_NONE, "media 4.2 m2"},
	{"curve", "0", ONCE, BLOCK_CURVE, "curve { 1000 m3/h at 40 Pa; 1700 m3/h at 85 Pa }"},
	{"dirty", "1 at:1", ONCE, BLOCK_NONE, "dirty 250 Pa at 1700 m3/h"},
	{"holds", "1", ONCE, BLOCK_NONE, "holds 0.6 kg"},
	{"class", "1", ONCE, BLOCK_NONE, "class \"fine dust\""},
};
static const word_rule FAN_WORDS[] = {
	COMMON_STOCK,
	{"size", "1 x:1 x:1", ONCE, BLOCK_NONE, "size 400 mm x 380 mm x 420 mm"},
	{"curve", "0", ONCE, BLOCK_CURVE, "curve { 0 m3/h at 620 Pa; 2000 m3/h at 0 Pa }"},
	{"speed", "1", ONCE, BLOCK_NONE, "speed 1400 rpm"},
	{"tap", "1 at:1", MANY, BLOCK_NONE, "tap low at 900 rpm"},
	{"density", "1", ONCE, BLOCK_NONE, "density 1.2 kg/m3"},
	{"stall", "1", ONCE, BLOCK_NONE, "stall 400 m3/h"},
	{"efficiency", "1", ONCE, BLOCK_NONE, "efficiency 55 %"},
	{"motor", "1", ONCE, BLOCK_NONE, "motor 0.75 kW"},
	{"inlet", "1", ONCE, BLOCK_NONE, "inlet 200 mm"},
	{"class", "1", ONCE, BLOCK_NONE, "class \"dust\""},
};
static const word_rule ITEM_WORDS[] = {COMMON_STOCK,
				       {"size", "1 x:1 x:1", ONCE, BLOCK_NONE, "size 100 mm x 100 mm x 40 mm"},
				       {"swivel", "1", ONCE, BLOCK_NONE, "swivel 85 mm"}};
static const word_rule LOOSE_WORDS[] = {COMMON_STOCK};
static const word_rule GASKET_WORDS[] = {
	COMMON_STOCK,
	{"thick", "1", ONCE, BLOCK_NONE, "thick 10 mm"},
	{"pressed", "1", ONCE, BLOCK_NONE, "pressed 4 mm"},
	{"width", "1", ONCE, BLOCK_NONE, "width 15 mm"},
};
static const word_rule CURVE_WORDS[] = {{NULL, "1 at:1", MANY, BLOCK_NONE, "1000 m3/h at 40 Pa"}};
/* What stands in a cabinet and in an assembly. */
#define BUILT_WORDS                                                                                                    \
	{"panel", "1 ?::1", MANY, BLOCK_PART, "panel floor : ply18 { … }"},                                            \
		{"door", "1 ?::1", MANY, BLOCK_PART, "door hatch : ply18 { … }"},                                      \
		{"slat", "1 ?::1", MANY, BLOCK_PART, "slat rib : batten { … }"},                                       \
		{"cleat", "1 ?::1", MANY, BLOCK_PART, "cleat rail : batten { … }"},                                    \
		{"leg", "1 ?::1", MANY, BLOCK_PART, "leg post : batten { … }"},                                        \
		{"item", "1 ?::1", MANY, BLOCK_PART, "item blower : fan380 { … }"},                                    \
		{"gap", "1", MANY, BLOCK_PART, "gap mouth { between left and right; … }"},                             \
		{"openings", "1 in:1-*", MANY, BLOCK_OPENINGS, "openings vents in baffle, carrier { … }"},             \
		{"join", "1-* ?into:1-* ?to:1-* ::1", MANY, BLOCK_JOIN,                                                \
		 "join floor into left, right : dado { depth 6 mm }"},                                                 \
		{"place", "1 ?::1", MANY, BLOCK_PLACE, "place wing : booth_wing { left at 0 mm; … }"},                 \
		{"repeat", "1-2 from:1 to:1", MANY, BLOCK_WHEN, "repeat bay i from 1 to 3 { … }"},                     \
		{"let", "1 =:1 ?from:1 ?to:1 ?:1", MANY, BLOCK_NONE, "let inner = width - 2 * left.thick"}, WHEN_WORDS

static const word_rule CABINET_WORDS[] = {BUILT_WORDS};
static const word_rule ASSEMBLY_WORDS[] = {
	BUILT_WORDS,
	{"takes", "1 ?::1 ?=:1 ?from:1 ?to:1 ?:1", MANY, BLOCK_NONE,
	 "takes wide = 400 mm from 200 mm to 900 mm \"outside\""},
};
static const word_rule PART_WORDS[] = {
	{"left", "0 at:1", ONCE, BLOCK_NONE, "left at 0 mm"},
	{"right", "0 at:1", ONCE, BLOCK_NONE, "right at width"},
	{"front", "0 at:1", ONCE, BLOCK_NONE, "front at 0 mm"},
	{"back", "0 at:1", ONCE, BLOCK_NONE, "back at depth"},
	{"bottom", "0 at:1", ONCE, BLOCK_NONE, "bottom at 0 mm"},
	{"top", "0 at:1", ONCE, BLOCK_NONE, "top at tall"},
	{"against", "1 ?inset:1", MANY, BLOCK_NONE, "against floor.top"},
	{"flush", "0 with:1 ?inset:1", MANY, BLOCK_NONE, "flush with left.front"},
	{"between", "1 and:1 ?inset:1", MANY, BLOCK_NONE, "between left and right inset 2 mm"},
	{"width", "0-1 ?of:1 ?inset:1", ONCE, BLOCK_NONE, "width of floor"},
	{"depth", "0-1 ?of:1 ?inset:1", ONCE, BLOCK_NONE, "depth of left"},
	{"height", "0-1 ?of:1 ?inset:1", ONCE, BLOCK_NONE, "height 400 mm"},
	{"centred", "0 ?on:1 ?in:1 ?between:1 ?and:1", MANY, BLOCK_NONE, "centred on carrier in width"},
	{"spaced", "1 between:1 and:1 ?inset:1", ONCE, BLOCK_NONE, "spaced 5 between left and right"},
	{"pitched", "1 from:1 by:1 in:1", ONCE, BLOCK_NONE, "pitched 4 from 100 mm by 200 mm in width"},
	{"stacked", "1 from:1 ?inset:1 in:1", ONCE, BLOCK_NONE, "stacked 3 from floor.top in height"},
	{"over", "1 ?by:1", ONCE, BLOCK_NONE, "over outlet by 40 mm"},
	{"corners", "0 of:1 ?inset:1", ONCE, BLOCK_NONE, "corners of floor inset 60 mm"},
	{"mirror", "0 of:1 about:1 ?in:1", ONCE, BLOCK_NONE, "mirror of left about width / 2"},
	{"grain", "1", ONCE, BLOCK_NONE, "grain height"},
	{"face", "1", ONCE, BLOCK_NONE, "face front"},
	{"broad", "1", ONCE, BLOCK_NONE, "broad height"},
	{"through", "1", ONCE, BLOCK_NONE, "through depth"},
	{"loose", "0", ONCE, BLOCK_NONE, "loose"},
	{"carries", "1 ?at:1", MANY, BLOCK_NONE, "carries 40 kg/m2"},
	{"slides", "1 by:1", ONCE, BLOCK_NONE, "slides front by 350 mm"},
	{"opens", "1", ONCE, BLOCK_NONE, "opens 110 deg"},
	{"hinged", "1 with:1", ONCE, BLOCK_NONE, "hinged left with hinge75"},
	{"hinges", "1", ONCE, BLOCK_NONE, "hinges 3"},
	{"latch", "1", ONCE, BLOCK_NONE, "latch catch1"},
};
static const word_rule PLACE_WORDS[] = {
	{"left", "0 at:1", ONCE, BLOCK_NONE, "left at 0 mm"},
	{"right", "0 at:1", ONCE, BLOCK_NONE, "right at width"},
	{"front", "0 at:1", ONCE, BLOCK_NONE, "front at 0 mm"},
	{"back", "0 at:1", ONCE, BLOCK_NONE, "back at depth"},
	{"bottom", "0 at:1", ONCE, BLOCK_NONE, "bottom at 0 mm"},
	{"top", "0 at:1", ONCE, BLOCK_NONE, "top at tall"},
	{"against", "1 ?inset:1", MANY, BLOCK_NONE, "against floor.top"},
	{"flush", "0 with:1 ?inset:1", MANY, BLOCK_NONE, "flush with left.front"},
	{"between", "1 and:1 ?inset:1", MANY, BLOCK_NONE, "between left and right inset 2 mm"},
	{"centred", "0 ?on:1 ?in:1 ?between:1 ?and:1", MANY, BLOCK_NONE, "centred on carrier in width"},
	{"spaced", "1 between:1 and:1 ?inset:1", ONCE, BLOCK_NONE, "spaced 5 between left and right"},
	{"pitched", "1 from:1 by:1 in:1", ONCE, BLOCK_NONE, "pitched 4 from 100 mm by 200 mm in width"},
	{"stacked", "1 from:1 ?inset:1 in:1", ONCE, BLOCK_NONE, "stacked 3 from floor.top in height"},
	{"corners", "0 of:1 ?inset:1", ONCE, BLOCK_NONE, "corners of floor inset 60 mm"},
	{"mirror", "0 of:1 about:1 ?in:1", ONCE, BLOCK_NONE, "mirror of wing about width / 2 in width"},
};
static const word_rule OPENINGS_WORDS[] = {
	{"round", "1 ?in:1-*", MANY, BLOCK_NONE, "round 60 mm"},
	{"slot", "1 x:1 along:1 ?in:1-*", MANY, BLOCK_NONE, "slot 80 mm x 12 mm along width"},
	{"rect", "1 x:1 ?corner:1 along:1 ?in:1-*", MANY, BLOCK_NONE, "rect 300 mm x 200 mm corner 20 mm along width"},
	{"outline", "0 ?in:1-*", MANY, BLOCK_OUTLINE,
	 "outline { from (0 mm, 0 mm); to (80 mm, 0 mm); to (80 mm, 40 mm) corner 10 mm; close }"},
	{"at", "1", ONCE, BLOCK_NONE, "at (200 mm, 300 mm)"},
	{"centred", "0 on:1", ONCE, BLOCK_NONE, "centred on door"},
	{"grid", "1 x:1 over:1 ?inset:1", ONCE, BLOCK_NONE, "grid 6 x 2 over top inset 120 mm"},
	{"stagger", "1 ?x:1 over:1 ?inset:1", ONCE, BLOCK_NONE, "stagger 90 mm over carrier inset 60 mm"},
	{"ring", "1 on:1 at:1 ?from:1", ONCE, BLOCK_NONE, "ring 6 on 150 mm at (200 mm, 300 mm)"},
	{"list", "1-*", ONCE, BLOCK_NONE, "list (100 mm, 80 mm), (200 mm, 80 mm)"},
	{"margin", "1 from:1-*", MANY, BLOCK_NONE, "margin 80 mm from left"},
	{"clear", "0 of:1-* ?by:1", MANY, BLOCK_NONE, "clear of ribs by 10 mm"},
	{"without", "1-*", ONCE, BLOCK_NONE, "without 3, 17"},
	{"blind", "1 from:1", ONCE, BLOCK_NONE, "blind 6 mm from front"},
	{"seat", "1 in:1 ?with:1", MANY, BLOCK_NONE, "seat collar110 in shelf"},
	{"ease", "1 on:1-*", MANY, BLOCK_NONE, "ease 3 mm on baffle.front"},
	{"chamfer", "1 on:1-*", MANY, BLOCK_NONE, "chamfer 2 mm on baffle.front"},
	{"made", "0 by:1", ONCE, BLOCK_NONE, "made by router1"},
};
static const word_rule OUTLINE_WORDS[] = {
	{"from", "1 ?corner:1", MANY, BLOCK_NONE, "from (0 mm, 0 mm)"},
	{"to", "1 ?corner:1", MANY, BLOCK_NONE, "to (80 mm, 0 mm) corner 10 mm"},
	{"arc", "1 to:1 ?about:1 ?by:1", MANY, BLOCK_NONE, "arc left to (80 mm, 40 mm) about (80 mm, 20 mm)"},
	{"close", "0", ONCE, BLOCK_NONE, "close"},
};
static const word_rule JOIN_WORDS[] = {
	{"depth", "1 ?from:1", ONCE, BLOCK_NONE, "depth 6 mm"},
	{"allowance", "1", ONCE, BLOCK_NONE, "allowance 0.2 mm"},
	{"measured", "0", ONCE, BLOCK_NONE, "measured"},
	{"room", "1", ONCE, BLOCK_NONE, "room 2 mm"},
	{"stopped", "1 from:1", MANY, BLOCK_NONE, "stopped 20 mm from front"},
	{"thick", "1", ONCE, BLOCK_NONE, "thick 6 mm"},
	{"long", "1", ONCE, BLOCK_NONE, "long 8 mm"},
	{"shoulder", "1 on:1", ONCE, BLOCK_NONE, "shoulder 4 mm on front"},
	{"loose", "0", ONCE, BLOCK_NONE, "loose"},
	{"screws", "1 every:1 ?from:1", ONCE, BLOCK_NONE, "screws s4x40 every 200 mm"},
	{"first", "1", ONCE, BLOCK_NONE, "first 40 mm"},
	{"glue", "0-1", ONCE, BLOCK_NONE, "glue"},
	{"gasket", "1", ONCE, BLOCK_NONE, "gasket tape10"},
};
static const word_rule TOOL_WORDS[] = {
	{"label", "1", ONCE, BLOCK_NONE, "label \"table saw\""}, {"kerf", "1", ONCE, BLOCK_NONE, "kerf 3 mm"},
	{"cuts", "1", ONCE, BLOCK_NONE, "cuts 4.5 mm"},		 {"cutter", "1", ONCE, BLOCK_NONE, "cutter 12.7 mm"},
	{"bush", "1", ONCE, BLOCK_NONE, "bush 30 mm"},		 {"pass", "1", ONCE, BLOCK_NONE, "pass 6 mm"},
	{"feed", "1", ONCE, BLOCK_NONE, "feed 1.5 m/min"},	 {"plunge", "1", ONCE, BLOCK_NONE, "plunge 0.4 m/min"},
	{"speed", "1", ONCE, BLOCK_NONE, "speed 16000 rpm"},
};
static const word_rule AIR_WORDS[] = {
	{"altitude", "1", ONCE, BLOCK_NONE, "altitude 300 m"},
	{"temperature", "1", ONCE, BLOCK_NONE, "temperature 20 degC"},
	{"room", "1", ONCE, BLOCK_NONE, "room 90 m3"},
	{"dust", "1", ONCE, BLOCK_NONE, "dust 40 g/h"},
	{"trough", "1", ONCE, BLOCK_NONE, "trough trough_gap"},
	{"bulk", "1", ONCE, BLOCK_NONE, "bulk 160 kg/m3"},
	{"space", "1-*", MANY, BLOCK_NONE, "space work, chamber"},
	{"way", "1 *->:1 *in:1", MANY, BLOCK_NONE, "way room -> mouth -> blower -> room"},
	{"leak", "1 *->:1 of:1", MANY, BLOCK_NONE, "leak room -> chamber of 12 cm2"},
	{"tubes", "1 ::1 in:1 of:1", MANY, BLOCK_TUBES, "tubes felts : felt in wells of shelf { length 500 mm }"},
	{"duct", "1 ?of:1", MANY, BLOCK_DUCT, "duct stub { diameter 200 mm; length 600 mm }"},
	{"cover", "1 ?in:1 by:1", MANY, BLOCK_NONE, "cover wells in top by 70 %"},
	{"work", "1 x:1 on:1 at:1", MANY, BLOCK_NONE, "work 900 mm x 300 mm on bench_top at (600 mm, 250 mm)"},
	{"exhaust", "1", ONCE, BLOCK_NONE, "exhaust room"},
	WHEN_WORDS,
};
static const word_rule TUBES_WORDS[] = {
	{"length", "1", ONCE, BLOCK_NONE, "length 500 mm"},
	{"diameter", "1", ONCE, BLOCK_NONE, "diameter 110 mm"},
};
static const word_rule DUCT_WORDS[] = {
	{"diameter", "1", ONCE, BLOCK_NONE, "diameter 200 mm"},
	{"length", "1", ONCE, BLOCK_NONE, "length 600 mm"},
	{"roughness", "1", ONCE, BLOCK_NONE, "roughness 0.15 mm"},
	{"loss", "1", ONCE, BLOCK_NONE, "loss 0.3"},
};
static const word_rule STEP_WORDS[] = {
	{"parts", "1-*", ONCE, BLOCK_NONE, "parts left, right"},
	{"does", "1-*", ONCE, BLOCK_NONE, "does cut, drill"},
	{"tools", "1-*", ONCE, BLOCK_NONE, "tools saw1"},
	{"time", "1", ONCE, BLOCK_NONE, "time 90 min"},
	{"wait", "1", ONCE, BLOCK_NONE, "wait 12 h"},
	{"helpers", "1", ONCE, BLOCK_NONE, "helpers 1"},
	{"after", "1-*", ONCE, BLOCK_NONE, "after \"Cut the sheets\""},
	{"before", "1-*", ONCE, BLOCK_NONE, "before \"Test\""},
	{"note", "1", ONCE, BLOCK_NONE, "note \"…\""},
	{"caution", "1", ONCE, BLOCK_NONE, "caution \"…\""},
	{"check", "1", ONCE, BLOCK_NONE, "check \"…\""},
};

#define TABLE(rules, spoken)                                                                                           \
	{ rules, sizeof(rules) / sizeof *(rules), spoken }
static const struct {
	const word_rule *rules;
	size_t n;
	const char *spoken;
} BLOCKS[BLOCK_KINDS] = {
	[BLOCK_FILE] = TABLE(FILE_WORDS, "a plan"),
	[BLOCK_LIBRARY] = TABLE(LIBRARY_WORDS, "a used file"),
	[BLOCK_PLAN] = TABLE(PLAN_WORDS, "the plan's header"),
	[BLOCK_SHEET] = TABLE(SHEET_WORDS, "stock of kind sheet"),
	[BLOCK_BAR] = TABLE(BAR_WORDS, "stock of kind bar"),
	[BLOCK_PIPE] = TABLE(PIPE_WORDS, "stock of kind pipe"),
	[BLOCK_SIZE] = TABLE(SIZE_WORDS, "a further size"),
	[BLOCK_OFFCUT] = TABLE(OFFCUT_WORDS, "an offcut"),
	[BLOCK_SCREW] = TABLE(SCREW_WORDS, "stock of kind screw"),
	[BLOCK_COLLAR] = TABLE(COLLAR_WORDS, "stock of kind collar"),
	[BLOCK_GROMMET] = TABLE(GROMMET_WORDS, "stock of kind grommet"),
	[BLOCK_CLAMP] = TABLE(CLAMP_WORDS, "stock of kind clamp"),
	[BLOCK_MEDIA] = TABLE(MEDIA_WORDS, "stock of kind media"),
	[BLOCK_FILTER] = TABLE(FILTER_WORDS, "stock of kind filter"),
	[BLOCK_FAN] = TABLE(FAN_WORDS, "stock of kind fan"),
	[BLOCK_ITEM] = TABLE(ITEM_WORDS, "stock of kind item"),
	[BLOCK_GASKET] = TABLE(GASKET_WORDS, "stock of kind gasket"),
	[BLOCK_FINISH] = TABLE(LOOSE_WORDS, "stock of kind finish"),
	[BLOCK_CURVE] = TABLE(CURVE_WORDS, "a curve"),
	[BLOCK_CABINET] = TABLE(CABINET_WORDS, "a cabinet"),
	[BLOCK_PART] = TABLE(PART_WORDS, "a part"),
	[BLOCK_OPENINGS] = TABLE(OPENINGS_WORDS, "openings"),
	[BLOCK_OUTLINE] = TABLE(OUTLINE_WORDS, "an outline"),
	[BLOCK_JOIN] = TABLE(JOIN_WORDS, "a joint"),
	[BLOCK_TOOL] = TABLE(TOOL_WORDS, "a tool"),
	[BLOCK_AIR] = TABLE(AIR_WORDS, "the air block"),
	[BLOCK_TUBES] = TABLE(TUBES_WORDS, "tubes"),
	[BLOCK_DUCT] = TABLE(DUCT_WORDS, "a duct"),
	[BLOCK_STEP] = TABLE(STEP_WORDS, "a step"),
	[BLOCK_ASSEMBLY] = TABLE(ASSEMBLY_WORDS, "an assembly"),
	[BLOCK_PLACE] = TABLE(PLACE_WORDS, "the block of `place`"),
};

bool line_is(const syn_line *line, const char *word) { return text_same(line->word, word); }

const syn_clause *line_clause(const syn_line *line, const char *link, size_t nth) {
	for (size_t i = 0; i < line->clauses.n; i++) {
		if (!text_same(line->clauses.v[i].link, link)) continue;
		if (nth-- == 0) return &line->clauses.v[i];
	}
	return NULL;
}

size_t line_args(const syn_line *line, const char *link) {
	const syn_clause *k = line_clause(line, link, 0);
	return k ? k->args.n : 0;
}

syn_expr *line_arg(const syn_line *line, const char *link, size_t i) {
	const syn_clause *k = line_clause(line, link, 0);
	return k && i < k->args.n ? k->args.v[i] : NULL;
}

const syn_line *line_in_block(const syn_line *holder, const char *word) {
	for (size_t i = 0; i < holder->block.n; i++)
		if (line_is(holder->block.v[i], word)) return holder->block.v[i];
	return NULL;
}

const syn_line *lines_find(const line_list *lines, const char *word) {
	for (size_t i = 0; i < lines->n; i++)
		if (line_is(lines->v[i], word)) return lines->v[i];
	return NULL;
}

/* ---- forms ------------------------------------------------------------------------------------ */

typedef struct form_part {
	char link[12]; /* "" for a free text */
	bool is_word;  /* the arguments behind the word itself */
	bool optional, many;
	size_t least, most;
} form_part;

/* "?from:1", "::1", "*->:1", "1-*" */
static const char *form_next(const char *form, form_part *out) {
	memset(out, 0, sizeof *out);
	while (*form == ' ') form++;
	if (!*form) return NULL;
	const char *end = strchr(form, ' ');
	if (!end) end = form + strlen(form);
	if (*form == '?' || (*form == '*' && form + 1 < end)) {
		out->optional = true;
		out->many = *form == '*';
		form++;
	}
	const char *colon = NULL;
	for (const char *p = form; p < end; p++)
		if (*p == ':') colon = p; /* the last one, so that the sign `:` can be a link */
	if (colon) {
		size_t n = (size_t)(colon - form);
		memcpy(out->link, form, n);
		form = colon + 1;
	} else {
		out->is_word = true;
	}
	out->least = (size_t)strtoul(form, NULL, 10);
	out->most = out->least;
	const char *dash = memchr(form, '-', (size_t)(end - form));
	if (dash) out->most = dash[1] == '*' ? SIZE_MAX : (size_t)strtoul(dash + 1, NULL, 10);
	return end;
}

static size_t count_links(const syn_line *line, const char *link) {
	size_t n = 0;
	for (size_t i = 0; i < line->clauses.n; i++)
		if (text_same(line->clauses.v[i].link, link)) n++;
	return n;
}

/* What was told of this line when it was read (it left a BAD value there) says more than what is missing or too
 * much because of it. */
static bool told_already(const syn_line *line) {
	for (size_t i = 0; i < line->clauses.n; i++)
		for (size_t k = 0; k < line->clauses.v[i].args.n; k++)
			if (line->clauses.v[i].args.v[k]->kind == SYN_BAD) return true;
	return false;
}

static void say_form(ctx *c, const syn_line *line, span at, const word_rule *r, const char *what) {
	if (told_already(line)) return;
	diag *g = diag_error(c->diags, "plan-form", at, "%s", what);
	diag_add_help(c->diags, g, "write it like this: %s", r->example);
}

static const char *spoken_link(ctx *c, const char *link) {
	return link[0] ? arena_printf(c->mem, "`%s`", link) : "a text";
}

static bool check_count(ctx *c, const syn_line *line, const word_rule *r, const syn_clause *k, const form_part *f) {
	if (k->args.n >= f->least && k->args.n <= f->most) return true;
	const char *behind =
		f->is_word ? (r->word ? arena_printf(c->mem, "`%s`", r->word) : "the line") : spoken_link(c, f->link);
	span at = k->args.n > f->most ? k->args.v[f->most]->at : f->is_word ? line->word_at : k->link_at;
	if (k->args.n > f->most && f->most == 0)
		say_form(c, line, at, r, arena_printf(c->mem, "nothing stands directly behind %s", behind));
	else if (k->args.n > f->most)
		say_form(c, line, at, r,
			 arena_printf(c->mem, "too much behind %s; two lines in one are parted by `;`", behind));
	else
		say_form(c, line, at, r, arena_printf(c->mem, "something is missing behind %s", behind));
	return false;
}

/* The sign that stands where another is wanted: `let tall : 240 mm`. */
static const syn_clause *sign_instead(const syn_line *line, const char *link) {
	if (!link || !strchr(":=", link[0]) || !link[0]) return NULL;
	for (size_t i = 0; i < line->clauses.n; i++) {
		const char *other = line->clauses.v[i].link;
		if (other && strchr(":=", other[0]) && other[0] && other[0] != link[0]) return &line->clauses.v[i];
	}
	return NULL;
}

static bool check_form(ctx *c, const syn_line *line, const word_rule *r) {
	form_part f;
	bool used[32] = {false};
	for (const char *p = form_next(r->form, &f); p; p = form_next(p, &f)) {
		const char *link = f.is_word ? NULL : f.link;
		bool found = false;
		for (size_t i = 0; i < line->clauses.n && i < 32; i++) {
			const syn_clause *k = &line->clauses.v[i];
			if (used[i] || !text_same(k->link, link)) continue;
			used[i] = true;
			found = true;
			if (!check_count(c, line, r, k, &f)) return false;
			if (!f.many) break;
		}
		if (!found && f.is_word && f.least == 0) found = true;
		if (!found && !f.optional) {
			span at = line->word ? line->word_at : line->at;
			const syn_clause *other = sign_instead(line, f.link);
			say_form(c, line, other ? other->link_at : at, r,
				 arena_printf(c->mem, "`%s` wants %s behind it", r->word ? r->word : "a point",
					      spoken_link(c, f.link)));
			return false;
		}
	}
	for (size_t i = 0; i < line->clauses.n && i < 32; i++) {
		const syn_clause *k = &line->clauses.v[i];
		if (used[i] || !k->link) continue;
		/* `a wants no b` or `a takes b only once`. */
		bool again = false;
		for (size_t j = 0; j < i; j++)
			if (text_same(line->clauses.v[j].link, k->link) && used[j]) again = true;
		say_form(c, line, k->link_at.end > k->link_at.start ? k->link_at : k->at, r,
			 arena_printf(c->mem, again ? "%s stands here once too often" : "%s does not belong here",
				      spoken_link(c, k->link)));
		return false;
	}
	if (line->clauses.n > 32 && count_links(line, "->") == 0) {
		say_form(c, line, line->word_at, r, "this line is too long to mean anything");
		return false;
	}
	return true;
}

static const word_rule *find_rule(block_kind block, const char *word) {
	for (size_t i = 0; i < BLOCKS[block].n; i++)
		if (text_same(BLOCKS[block].rules[i].word, word)) return &BLOCKS[block].rules[i];
	return NULL;
}

static void unknown_word(ctx *c, block_kind block, const syn_line *line) {
	const char *spoken = BLOCKS[block].spoken;
	if (!line->word) {
		if (!told_already(line))
			diag_error(c->diags, "plan-unknown-word", line->at,
				   "a line in %s begins with a word, not with a value", spoken);
		return;
	}
	diag *g = diag_error(c->diags, "plan-unknown-word", line->word_at, "`%s` means nothing in %s", line->word,
			     spoken);
	const char *known[64];
	size_t n = 0;
	for (size_t i = 0; i < BLOCKS[block].n && n < 64; i++) known[n++] = BLOCKS[block].rules[i].word;
	if (line_clause(line, "=", 0) && line_args(line, NULL) == 0 &&
	    (block == BLOCK_FILE || block == BLOCK_LIBRARY)) {
		diag_add_help(c->diags, g, "a value gets its name by `let`: let %s = …", line->word);
		LIST_PUSH(c->mem, &c->unknown, g); /* who uses the name is noted there, and told nothing more */
		LIST_PUSH(c->mem, &c->unknown_names, line->word);
		return;
	}
	const char *near = text_nearest(line->word, known, n);
	if (near) {
		diag_add_help(c->diags, g, "did you mean `%s`?  %s", near, find_rule(block, near)->example);
		return;
	}
	for (int b = 0; b < BLOCK_KINDS; b++) {
		if (b == (int)block || b == BLOCK_LIBRARY || !find_rule((block_kind)b, line->word)) continue;
		diag_add_help(c->diags, g, "`%s` stands in %s", line->word, BLOCKS[b].spoken);
		return;
	}
	textbuf t = textbuf_begin(c->mem);
	for (size_t i = 0; i < n; i++) textbuf_printf(&t, "%s%s", i ? " " : "", known[i] ? known[i] : "a value");
	diag_add_help(c->diags, g, "%s takes: %s", spoken, t.v);
}

bool words_known(block_kind block, const char *word) { return word && find_rule(block, word); }

size_t words_list(block_kind block, const char **out, size_t most) {
	size_t n = 0;
	for (size_t i = 0; i < BLOCKS[block].n && n < most; i++) out[n++] = BLOCKS[block].rules[i].word;
	return n;
}

/* A line that was reported may have declared a name: who uses it is told nothing more. */
static bool excuse(ctx *c, const syn_line *line) {
	const syn_clause *k = line_clause(line, NULL, 0);
	for (size_t i = 0; k && i < k->args.n; i++)
		if (expr_word(k->args.v[i])) LIST_PUSH(c->mem, &c->excused, expr_word(k->args.v[i]));
	return false;
}

bool words_excuse(ctx *c, const syn_line *line) {
	for (size_t i = 0; i < line->block.n; i++) words_excuse(c, line->block.v[i]);
	return excuse(c, line);
}

/* Whether a fault of reading was told behind this line on the same line of text: the `}` of a block that was not
 * opened. */
static bool brace_told(const ctx *c, const syn_line *line) {
	const char *text = c->sources->files.v[line->at.file].text;
	for (size_t i = 0; i < c->diags->all.n; i++) {
		const diag *g = c->diags->all.v[i];
		if (!text_same(g->rule, "plan-syntax") || g->at.file != line->at.file || g->at.start < line->at.start)
			continue;
		if (!memchr(text + line->at.start, '\n', g->at.start - line->at.start)) return true;
	}
	return false;
}

bool words_check(ctx *c, block_kind block, const syn_line *line) {
	const word_rule *r = find_rule(block, line->word);
	if (!r) {
		/* Lines behind a block that was not opened stand outside of it: the missing { was told. */
		if (c->block_missing && line->word && find_rule((block_kind)c->missing, line->word))
			return excuse(c, line);
		unknown_word(c, block, line);
		return excuse(c, line);
	}
	bool wants = r->block != BLOCK_NONE;
	bool may_lack = r->block == BLOCK_JOIN || r->block == BLOCK_SIZE || r->block == BLOCK_OFFCUT;
	if (wants && !line->has_block && !may_lack) {
		if (!brace_told(c, line))
			say_form(c, line, line->word_at, r,
				 arena_printf(c->mem, "`%s` wants a block between { and }", r->word));
		c->block_missing = true;
		c->missing = (int)r->block;
		return excuse(c, line);
	}
	if (!wants && line->has_block) {
		diag *g = diag_error(c->diags, "plan-form", line->open_at, "`%s` takes no block",
				     r->word ? r->word : "a value");
		diag_add_help(c->diags, g, "write it like this: %s", r->example);
		return excuse(c, line);
	}
	if (check_form(c, line, r)) return true;
	/* The line is of no use, but what its block says wrong is told in the same run. What the block of `stock` takes
	 * is not known from its word. */
	line_list ignored = {0};
	if (wants && line->has_block && r->block != BLOCK_ITEM && r->block != BLOCK_WHEN)
		words_check_block(c, r->block, line, &ignored);
	return excuse(c, line);
}

void words_check_block(ctx *c, block_kind block, const syn_line *holder, line_list *good) {
	for (size_t i = 0; i < holder->block.n; i++) {
		const syn_line *line = holder->block.v[i];
		if (!words_check(c, block, line)) continue;
		const word_rule *r = find_rule(block, line->word);
		const syn_line *first = r->many ? NULL : lines_find(good, line->word);
		if (first) {
			diag *g = diag_error(c->diags, "plan-twice", line->word_at, "`%s` stands twice in this block",
					     line->word);
			diag_add_note(c->diags, g, first->word_at, "first here");
			diag_add_help(c->diags, g, "keep one of them");
			continue;
		}
		LIST_PUSH(c->mem, good, line);
	}
}

void words_check_all(ctx *c, block_kind block, const syn_line *holder) {
	for (size_t i = 0; i < holder->block.n; i++) {
		const syn_line *line = holder->block.v[i];
		if (!words_check(c, block, line)) continue;
		const word_rule *r = find_rule(block, line->word);
		line_list ignored = {0};
		if (r->block == BLOCK_WHEN)
			words_check_all(c, block, line);
		else if (r->block == BLOCK_ASSEMBLY)
			words_check_all(c, r->block, line);
		else if (r->block != BLOCK_NONE && r->block != BLOCK_ITEM && r->block != BLOCK_PLACE)
			words_check_block(c, r->block, line, &ignored);
	}
}
