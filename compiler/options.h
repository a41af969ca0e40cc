/* The command line as data.
 * Ownership: texts point into argv. */
#ifndef COMPILER_OPTIONS_H
#define COMPILER_OPTIONS_H
#include <stdbool.h>

#include "compiler/layout.h"
#include "runtime/base/arena.h"
#include "runtime/base/quant.h"
#include "runtime/engine/model.h"
#include "runtime/write/table.h"

#define WINDCHEST_VERSION "0.1.0"

/* X(enumerator, word, what it does, takes one plan only, prints a table) */
#define OPTIONS_COMMANDS(X)                                                                                            \
	X(CHECK, "check", "verify; nothing is written", false, false)                                                  \
	X(COMPILE, "compile", "verify, then write the book and all files into a folder", true, false)                  \
	X(PARTS, "parts", "print the parts list", true, true)                                                          \
	X(CUTS, "cuts", "print the sheet and bar layouts and the cutting sequence", true, true)                        \
	X(DRILL, "drill", "print every hole with its datum", true, true)                                               \
	X(AIR, "air", "print the solved air in every condition", true, true)                                           \
	X(STEPS, "steps", "print the order of work", true, true)                                                       \
	X(SHOPPING, "shopping", "print what to buy, with counts and cost", true, true)                                 \
	X(RULES, "rules", "print the rules, or explain one with a plan that breaks it", true, true)                    \
	X(TIDY, "tidy", "write the plan's text anew in one layout, comments kept", false, false)

typedef enum options_command {
#define X(name, word, what, one, table) COMMAND_##name,
	OPTIONS_COMMANDS(X)
#undef X
		COMMAND_COUNT
} options_command;

typedef enum options_diagnostics { DIAGNOSTICS_TEXT, DIAGNOSTICS_JSON, DIAGNOSTICS_SARIF } options_diagnostics;
typedef enum options_colour { COLOUR_AUTO, COLOUR_ALWAYS, COLOUR_NEVER } options_colour;

typedef struct options {
	options_command command;
	LIST(const char *) plans;  /* RULES: the name of a rule, or none */
	LIST(const char *) sets;   /* NAME=VALUE */
	LIST(const char *) allows; /* rules */
	const char *folder;	   /* -o, or NULL */
	const char *shipped;	   /* where the shipped plan files lie (set by main), or NULL */
	bool has_measures, has_paper, strict;
	bool only_check; /* tidy: nothing is written */
	measures measures;
	paper paper;
	table_format format;
	options_diagnostics diagnostics;
	options_colour colour;
	layout_effort effort;
	progress progress; /* set by main, which owns the clock */
} options;

typedef enum options_result { OPTIONS_RUN, OPTIONS_SAID, OPTIONS_WRONG } options_result;
/* OPTIONS_SAID: --help or --version; *say is for standard output. OPTIONS_WRONG: *say tells what is wrong. */
options_result options_read(arena *mem, int argc, char **argv, options *out, const char **say);
#endif
