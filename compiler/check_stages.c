/* The rules that are reported where the plan is read, placed, joined, solved, laid out and ordered: what they ask for.
 * Their run is NULL: the stage reports them itself. A rule stands here once; tests/house/vocabulary.py compares. */
#include "compiler/check.h"

const check_rule CHECK_STAGES[] = {
	/* placing */
	{"part-loose-end", DIAG_ERROR, "The plan says where every part lies and how it is turned.", "geometry", NULL},
	{"part-held-twice", DIAG_ERROR, "No two lines fix the same face of a part.", "geometry", NULL},
	{"part-no-room", DIAG_ERROR, "There is room between the things a part stands between.", "geometry", NULL},
	/* openings */
	{"axis-crossed", DIAG_ERROR, "Every sheet of a pattern lies square to the pattern's axes.", "geometry", NULL},
	{"pattern-empty", DIAG_ERROR, "A pattern has at least one opening in its field.", "geometry", NULL},
	{"opening-tool", DIAG_ERROR, "The tool that is named for an opening can make it.", "geometry", NULL},
	{"opening-no-tool", DIAG_WARNING, "A tool of the plan makes every opening.", "geometry", NULL},
	/* joints */
	{"joint-apart", DIAG_ERROR, "The parts of a joint touch.", "geometry", NULL},
	{"joint-kind", DIAG_ERROR, "Parts meet in the way that their kind of joint needs.", "geometry", NULL},
	{"dado-through", DIAG_ERROR, "A dado or rabbet leaves wood at its bottom.", "geometry", NULL},
	{"joint-twice", DIAG_ERROR, "Two parts are joined once.", "geometry", NULL},
	/* air */
	{"air-no-way", DIAG_ERROR, "A way of the air goes from space to space through what joins them.",
	 "the plan's own words", NULL},
	{"air-unused", DIAG_WARNING, "What is declared for the air lies in a way of it.", "the plan's own words", NULL},
	{"air-branch-twice", DIAG_ERROR, "Air goes through each thing in one place of its ways.",
	 "the plan's own words", NULL},
	{"air-which-way", DIAG_ERROR, "A gap that the air goes through has one way through it.", "geometry", NULL},
	{"air-which-sheet", DIAG_ERROR, "A way says which sheet of a pattern it goes through.", "the plan's own words",
	 NULL},
	{"air-figure", DIAG_ERROR, "What the air goes through has the figures that its law needs.",
	 "the law of each branch; no figure is guessed", NULL},
	{"air-closed", DIAG_ERROR, "What lies in a way of the air is open somewhere.", "geometry", NULL},
	{"opening-covered", DIAG_WARNING, "No opening in a way of the air is covered wholly.", "geometry", NULL},
	{"air-unsolved", DIAG_ERROR, "The air network has a solution in every condition.", "the solved network", NULL},
	{"air-not-known", DIAG_ERROR, "A requirement asks for the air in a condition that is solved.",
	 "the solved network", NULL},
	/* layout */
	{"layout-limit", DIAG_ERROR, "The parts of a stock stay within what a layout can count.", "arithmetic", NULL},
	{"layout-internal", DIAG_ERROR, "A layout bears its cuts being replayed; anything else is the program's fault.",
	 "arithmetic", NULL},
	/* order of work */
	{"order-circle", DIAG_ERROR, "No work waits for itself.", "geometry", NULL},
	{"closed-in", DIAG_ERROR, "What has to be put in or reached is so before it is closed in.", "geometry", NULL},
	{"step-empty", DIAG_WARNING, "A written step has something to do.", "the plan's own words", NULL},
	/* the plan's own */
	{"require", DIAG_ERROR, "What the plan requires holds.", "the plan's own words", NULL},
	{"waiver-unused", DIAG_WARNING, "An `allow` line waives something.", "the plan's own words", NULL},
};
const size_t N_CHECK_STAGES = sizeof CHECK_STAGES / sizeof *CHECK_STAGES;

#define LANGUAGE "the language"
const check_rule CHECK_LANGUAGE[] = {
	{"plan-syntax", DIAG_ERROR, "The text is written as the language asks for.", LANGUAGE, NULL},
	{"plan-character", DIAG_ERROR, "A plan is UTF-8 text without control characters or look-alikes.", LANGUAGE,
	 NULL},
	{"plan-text", DIAG_ERROR, "A text stands between double quotes, on one line.", LANGUAGE, NULL},
	{"plan-number", DIAG_ERROR, "A number is written so that it can be read in one way.", LANGUAGE, NULL},
	{"plan-unit", DIAG_ERROR, "A unit is one that the language knows.", LANGUAGE, NULL},
	{"plan-name", DIAG_ERROR, "A name is none of the linking words.", LANGUAGE, NULL},
	{"plan-depth", DIAG_ERROR, "Blocks, brackets and values are nested to a bounded depth.", LANGUAGE, NULL},
	{"plan-size", DIAG_ERROR, "A plan and what it uses are no longer than is read.", LANGUAGE, NULL},
	{"plan-use", DIAG_ERROR, "Files that are used can be read, and do not use each other in a circle.", LANGUAGE,
	 NULL},
	{"plan-unknown-word", DIAG_ERROR, "A word is one of those that its block takes.", LANGUAGE, NULL},
	{"plan-form", DIAG_ERROR, "A line has the form that its word asks for.", LANGUAGE, NULL},
	{"plan-twice", DIAG_ERROR, "What can be said once is said once.", LANGUAGE, NULL},
	{"plan-value", DIAG_ERROR, "A value is of the kind that its place asks for.", LANGUAGE, NULL},
	{"plan-unknown-name", DIAG_ERROR, "A name that is used is declared.", LANGUAGE, NULL},
	{"plan-name-twice", DIAG_ERROR, "A name is declared once.", LANGUAGE, NULL},
	{"plan-allow", DIAG_ERROR, "An `allow` line names a rule that there is and that can be allowed.", LANGUAGE,
	 NULL},
	{"plan-tune", DIAG_ERROR, "A `tune` line names a limit that there is, and a value that it can have.", LANGUAGE,
	 NULL},
	{"plan-unknown-step", DIAG_ERROR, "A step that another names is written.", LANGUAGE, NULL},
	{"plan-unknown-function", DIAG_ERROR, "A function that is called is one of the language's.", LANGUAGE, NULL},
	{"plan-arguments", DIAG_ERROR, "A function gets as many values as it takes.", LANGUAGE, NULL},
	{"plan-circle", DIAG_ERROR, "No value depends on itself.", LANGUAGE, NULL},
	{"plan-too-early", DIAG_ERROR, "Only requirements ask for what is solved when everything is placed.", LANGUAGE,
	 NULL},
	{"plan-index", DIAG_ERROR, "A number in [ ] is one of those that there are.", LANGUAGE, NULL},
	{"plan-member", DIAG_ERROR, "What is asked of a thing is something that it has.", LANGUAGE, NULL},
	{"plan-face", DIAG_ERROR, "A face that is named is one of a part.", LANGUAGE, NULL},
	{"plan-direction", DIAG_ERROR, "A direction is one that the line can go along.", LANGUAGE, NULL},
	{"plan-stock-kind", DIAG_ERROR, "A thing is made of a kind of stock that it can be made of.", LANGUAGE, NULL},
	{"plan-stock-lacks", DIAG_ERROR, "A stock says what its kind needs.", LANGUAGE, NULL},
	{"plan-tool-lacks", DIAG_ERROR, "A tool says what its kind needs.", LANGUAGE, NULL},
	{"plan-curve", DIAG_ERROR, "The points of a curve follow on each other.", LANGUAGE, NULL},
	{"plan-comparison", DIAG_ERROR, "A requirement compares two values, and only a requirement does.", LANGUAGE,
	 NULL},
	{"plan-dimension", DIAG_ERROR, "Only quantities of one kind are added, compared and put where it is asked for.",
	 LANGUAGE, NULL},
	{"plan-money", DIAG_ERROR, "Money is reckoned with as money.", LANGUAGE, NULL},
	{"plan-division", DIAG_ERROR, "Nothing is divided by zero.", LANGUAGE, NULL},
	{"plan-range", DIAG_ERROR, "A value lies in the range that it may have.", LANGUAGE, NULL},
	{"plan-count", DIAG_ERROR, "A count is a whole number within the limits of the language.", LANGUAGE, NULL},
	{"plan-overflow", DIAG_ERROR, "Every number stays within what is reckoned exactly.", LANGUAGE, NULL},
	{"plan-deep", DIAG_ERROR, "Values and places depend on each other through a bounded number of steps.", LANGUAGE,
	 NULL},
};
const size_t N_CHECK_LANGUAGE = sizeof CHECK_LANGUAGE / sizeof *CHECK_LANGUAGE;
