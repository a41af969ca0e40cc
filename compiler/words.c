/* The vocabulary. To add a word to the language: add a row to its block's table, read it where the
 * block is resolved, and write it into docs/language.md. */
#include "compiler/words_inner.h"

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

#define ROLL_LENGTHS(length, also, offcut)                                                                             \
	{"length", "1", ONCE, BLOCK_NONE, length}, {"trim", "1", ONCE, BLOCK_NONE, "trim 20 mm"},                      \
		{"kerf", "1", ONCE, BLOCK_NONE, "kerf 2 mm"}, SIZES("1", also, offcut)

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
	{"extra", "1 ::1", MANY, BLOCK_EXTRA, "extra push_block : ply18 { size 300 mm x 60 mm }"},
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
	{"issued", "1", ONCE, BLOCK_NONE, "issued \"2031-05-17\""},
	{"number", "1", ONCE, BLOCK_NONE, "number \"SB-4\""},
	{"owner", "1", ONCE, BLOCK_NONE, "owner \"the workshop\""},
	{"drawn", "1", ONCE, BLOCK_NONE, "drawn \"the joiner\""},
	{"approved", "1", ONCE, BLOCK_NONE, "approved \"the foreman\""},
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
	{"trim", "1 ?on:1-*", MANY, BLOCK_NONE, "trim 10 mm"},
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
	{"outside", "1 ?+-:1", ONCE, BLOCK_NONE, "outside 110 mm +- 0.2 mm"},
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
	{"trim", "1 ?on:1-*", MANY, BLOCK_NONE, "trim 10 mm"},
};
static const word_rule OFFCUT_WORDS[] = {
	{"on_hand", "1", ONCE, BLOCK_NONE, "on_hand 2"},
	{"trim", "1 ?on:1-*", MANY, BLOCK_NONE, "trim 10 mm"},
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
	{"outside", "1 ?+-:1", ONCE, BLOCK_NONE, "outside 110 mm +- 0.2 mm"},
	{"bore", "1", ONCE, BLOCK_NONE, "bore 104 mm"},
	{"flange", "1", ONCE, BLOCK_NONE, "flange 130 mm"},
	{"flange_thick", "1", ONCE, BLOCK_NONE, "flange_thick 3 mm"},
	{"length", "1", ONCE, BLOCK_NONE, "length 40 mm"},
	{"fits", "1 to:1", ONCE, BLOCK_NONE, "fits 0.2 mm to 0.8 mm"},
};
static const word_rule GROMMET_WORDS[] = {
	COMMON_STOCK,
	{"outside", "1 ?+-:1", ONCE, BLOCK_NONE, "outside 60 mm +- 0.2 mm"},
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
	ROLL_LENGTHS("length 25 m", "also 50 m { price 610 }", "offcut 3.4 m"),
	{"drag", "1", ONCE, BLOCK_NONE, "drag 60000 Pa.s.m/kg"},
	{"dirty", "1", ONCE, BLOCK_NONE, "dirty 0.3 kg/m2"},
	{"class", "1", ONCE, BLOCK_NONE, "class \"coarse dust, cleaned by hand\""},
	{"cleaned", "1", ONCE, BLOCK_NONE, "cleaned shaken"},
};
static const word_rule FILTER_WORDS[] = {
	COMMON_STOCK,
	{"size", "1 x:1 x:1", ONCE, BLOCK_NONE, "size 592 mm x 48 mm x 592 mm"},
	{"flange_thick", "1", ONCE, BLOCK_NONE, "flange_thick 3 mm"},
	{"media", "1", ONCE, BLOCK_NONE, "media 4.2 m2"},
	{"curve", "0", ONCE, BLOCK_CURVE, "curve { 1000 m3/h at 40 Pa; 1700 m3/h at 85 Pa }"},
	{"dirty", "1 at:1", ONCE, BLOCK_NONE, "dirty 250 Pa at 1700 m3/h"},
	{"holds", "1", ONCE, BLOCK_NONE, "holds 0.6 kg"},
	{"class", "1", ONCE, BLOCK_NONE, "class \"fine dust\""},
};
static const word_rule FAN_WORDS[] = {
	COMMON_STOCK,
	{"size", "1 x:1 x:1", ONCE, BLOCK_NONE, "size 400 mm x 380 mm x 420 mm"},
	{"flange_thick", "1", ONCE, BLOCK_NONE, "flange_thick 3 mm"},
	{"curve", "0", ONCE, BLOCK_CURVE, "curve { 0 m3/h at 620 Pa; 2000 m3/h at 0 Pa }"},
	{"speed", "1", ONCE, BLOCK_NONE, "speed 1400 rpm"},
	{"tap", "1 at:1", MANY, BLOCK_NONE, "tap low at 900 rpm"},
	{"motor_at", "1 ?as:1", ONCE, BLOCK_NONE, "motor_at outside"},
	{"density", "1", ONCE, BLOCK_NONE, "density 1.2 kg/m3"},
	{"stall", "1", ONCE, BLOCK_NONE, "stall 400 m3/h"},
	{"efficiency", "1", ONCE, BLOCK_NONE, "efficiency 55 %"},
	{"motor", "1", ONCE, BLOCK_NONE, "motor 0.75 kW"},
	{"motor_efficiency", "1", ONCE, BLOCK_NONE, "motor_efficiency 80 %"},
	{"inlet", "1", ONCE, BLOCK_NONE, "inlet 200 mm"},
	{"class", "1", ONCE, BLOCK_NONE, "class \"dust\""},
};
static const word_rule ITEM_WORDS[] = {COMMON_STOCK,
				       {"size", "1 x:1 x:1", ONCE, BLOCK_NONE, "size 100 mm x 100 mm x 40 mm"},
				       {"flange_thick", "1", ONCE, BLOCK_NONE, "flange_thick 3 mm"},
				       {"swivel", "1", ONCE, BLOCK_NONE, "swivel 85 mm"}};
static const word_rule FINISH_WORDS[] = {
	COMMON_STOCK,
	{"open", "1", ONCE, BLOCK_NONE, "open 10 min"},
	{"clamp", "1", ONCE, BLOCK_NONE, "clamp 1 h"},
};
static const word_rule GASKET_WORDS[] = {
	COMMON_STOCK,
	{"thick", "1", ONCE, BLOCK_NONE, "thick 10 mm"},
	{"pressed", "1", ONCE, BLOCK_NONE, "pressed 4 mm"},
	{"width", "1", ONCE, BLOCK_NONE, "width 15 mm"},
	ROLL_LENGTHS("length 10 m", "also 25 m { price 19 }", "offcut 2.5 m"),
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
	{"mitre", "1 by:1 to:1", MANY, BLOCK_NONE, "mitre left by 45 deg to top"},
};
static const word_rule EXTRA_WORDS[] = {
	{"size", "1 x:1", ONCE, BLOCK_NONE, "size 300 mm x 60 mm"},
	{"length", "1", ONCE, BLOCK_NONE, "length 1180 mm"},
	{"pieces", "1", ONCE, BLOCK_NONE, "pieces 2"},
	{"grain", "1", ONCE, BLOCK_NONE, "grain any"},
	{"note", "1", ONCE, BLOCK_NONE, "note \"keeps the hands off the blade\""},
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
	{"label", "1", ONCE, BLOCK_NONE, "label \"table saw\""},
	{"kerf", "1", ONCE, BLOCK_NONE, "kerf 3 mm"},
	{"cuts", "1", ONCE, BLOCK_NONE, "cuts 4.5 mm"},
	{"measured", "1 ?+-:1", ONCE, BLOCK_NONE, "measured 101.8 mm +- 0.1 mm"},
	{"cutter", "1", ONCE, BLOCK_NONE, "cutter 12.7 mm"},
	{"bush", "1", ONCE, BLOCK_NONE, "bush 30 mm"},
	{"pass", "1", ONCE, BLOCK_NONE, "pass 6 mm"},
	{"feed", "1", ONCE, BLOCK_NONE, "feed 1.5 m/min"},
	{"plunge", "1", ONCE, BLOCK_NONE, "plunge 0.4 m/min"},
	{"speed", "1", ONCE, BLOCK_NONE, "speed 16000 rpm"},
	{"base", "1", ONCE, BLOCK_NONE, "base 150 mm"},
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
	{"release", "1 ?before:1 ?over:1 ?in:1 ?as:1 ?with:1", MANY, BLOCK_NONE,
	 "release 200 mm before mouth as booth with low"},
	{"face", "1 ?in:1 as:1", MANY, BLOCK_NONE, "face wells in bench_top as sanding_plan"},
	{"straight", "1 ?before:1 ?after:1", MANY, BLOCK_NONE, "straight 1200 mm before blower"},
	{"effect", "1 ?before:1 ?after:1", MANY, BLOCK_NONE, "effect 0.8 before blower"},
	{"handles", "1-*", ONCE, BLOCK_NONE, "handles wood, hardwood"},
	{"humidity", "1", ONCE, BLOCK_NONE, "humidity 60 %"},
	{"mixing", "1", ONCE, BLOCK_NONE, "mixing 3"},
	{"makeup", "1", ONCE, BLOCK_NONE, "makeup 900 cm2"},
	{"exhaust", "1", ONCE, BLOCK_NONE, "exhaust room"},
	WHEN_WORDS,
};
static const word_rule TUBES_WORDS[] = {
	{"length", "1", ONCE, BLOCK_NONE, "length 500 mm"},
	{"diameter", "1", ONCE, BLOCK_NONE, "diameter 110 mm"},
};
static const word_rule DUCT_WORDS[] = {
	{"diameter", "1", ONCE, BLOCK_NONE, "diameter 200 mm"},
	{"section", "1 x:1", ONCE, BLOCK_NONE, "section 200 mm x 100 mm"},
	{"length", "1", ONCE, BLOCK_NONE, "length 600 mm"},
	{"roughness", "1", ONCE, BLOCK_NONE, "roughness 0.15 mm"},
	{"loss", "1", ONCE, BLOCK_NONE, "loss 0.3"},
	{"entry", "1 ?by:1", ONCE, BLOCK_NONE, "entry bell"},
	{"elbow", "1 about:1 ?in:1", MANY, BLOCK_NONE, "elbow 90 deg about 300 mm"},
	{"mitre", "1 ?with:1", MANY, BLOCK_NONE, "mitre 90 deg"},
	{"branch", "1", MANY, BLOCK_NONE, "branch 45 deg"},
	{"expansion", "1 to:1", MANY, BLOCK_NONE, "expansion 20 deg to 250 mm"},
	{"contraction", "1 from:1", MANY, BLOCK_NONE, "contraction 30 deg from 250 mm"},
	{"turn", "0", MANY, BLOCK_NONE, "turn"},
	{"grille", "1 by:1", MANY, BLOCK_NONE, "grille 60 % by 0.3"},
	{"blade", "1", MANY, BLOCK_NONE, "blade 10 deg"},
	{"damper", "1", ONCE, BLOCK_NONE, "damper 10 Pa"},
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
const word_block WORD_BLOCKS[BLOCK_KINDS] = {
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
	[BLOCK_FINISH] = TABLE(FINISH_WORDS, "stock of kind finish"),
	[BLOCK_CURVE] = TABLE(CURVE_WORDS, "a curve"),
	[BLOCK_CABINET] = TABLE(CABINET_WORDS, "a cabinet"),
	[BLOCK_PART] = TABLE(PART_WORDS, "a part"),
	[BLOCK_EXTRA] = TABLE(EXTRA_WORDS, "an extra piece"),
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
