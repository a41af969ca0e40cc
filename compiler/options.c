#include "compiler/options.h"

#include <string.h>

#include "compiler/check.h"
#include "runtime/base/text.h"

typedef struct command_row {
	const char *word, *what;
	bool one, table;
} command_row;

static const command_row COMMANDS[] = {
#define X(name, word, what, one, table) [COMMAND_##name] = {word, what, one, table},
	OPTIONS_COMMANDS(X)
#undef X
};

static const struct {
	const char *word, *argument, *what;
} FLAGS[] = {
	{"--set", "NAME=VALUE", "give a named value of the plan another value (repeatable)"},
	{"--measures", "metric|inch", "how lengths are shown"},
	{"--paper", "a4|letter", "paper of the book"},
	{"--format", "text|json|csv", "form of a table"},
	{"--diagnostics", "text|json|sarif", "form of the messages"},
	{"--color", "auto|always|never", "colour in the messages (NO_COLOR is heeded)"},
	{"--allow", "RULE", "let a rule pass (repeatable)"},
	{"--effort", "brief|usual|long", "how long better layouts of sheets and bars are searched"},
	{"--strict", NULL, "warnings count as errors"},
	{"--check", NULL, "tidy writes nothing and lists the plans that it would change; status 1 if any"},
	{"-o", "DIR", "folder that compile writes into (NAME.out beside the plan)"},
	{"--help", NULL, "this text"},
	{"--version", NULL, "the version"},
};
enum { N_FLAGS = sizeof FLAGS / sizeof *FLAGS };

static const char *help_text(arena *mem) {
	textbuf t = textbuf_begin(mem);
	textbuf_add(&t, "windchest: compiles a plan for shop furniture that moves air into a build book.\n\n");
	for (int i = 0; i < COMMAND_COUNT; i++)
		textbuf_printf(&t, "  windchest %-9s %-9s %s\n", COMMANDS[i].word,
			       i == COMMAND_RULES ? "[NAME]"
			       : COMMANDS[i].one  ? "PLAN"
						  : "PLAN...",
			       COMMANDS[i].what);
	textbuf_add(&t, "\n");
	for (int i = 0; i < N_FLAGS; i++) {
		const char *left = FLAGS[i].argument ? arena_printf(mem, "%s %s", FLAGS[i].word, FLAGS[i].argument)
						     : FLAGS[i].word;
		textbuf_printf(&t, "  %-32s %s\n", left, FLAGS[i].what);
	}
	textbuf_add(&t, "\nA plan named - is read from standard input.\n"
			"Exit status: 0 good, 1 the plan has errors, 2 the command line is wrong, 3 a file could not "
			"be read or written.\n");
	return t.v;
}

static bool choice(const char *v, const char *const *words, int n, int *out) {
	for (int i = 0; i < n; i++) {
		if (!text_same(v, words[i])) continue;
		*out = i;
		return true;
	}
	return false;
}

static const char *wrong_choice(arena *mem, const char *flag, const char *argument, const char *v) {
	return arena_printf(mem, "%s takes %s, not `%s`", flag, argument, v);
}

/* Takes one option with its argument. NULL: good. */
static const char *take(arena *mem, options *o, size_t flag, const char *v) {
	static const char *const MEASURES[] = {"metric", "inch"}, *const PAPER[] = {"a4", "letter"};
	static const char *const FORMAT[] = {"text", "csv", "json"}, *const DIAGNOSTICS[] = {"text", "json", "sarif"};
	static const char *const COLOUR[] = {"auto", "always", "never"};
	const char *word = FLAGS[flag].word;
	int n = 0;
	bool good = true;
	if (text_same(word, "--set")) {
		const char *sign = strchr(v, '=');
		if (!sign || sign == v || !sign[1]) return wrong_choice(mem, word, "NAME=VALUE", v);
		LIST_PUSH(mem, &o->sets, v);
	} else if (text_same(word, "--measures")) {
		good = choice(v, MEASURES, 2, &n);
		o->has_measures = true;
		o->measures = (measures)n;
	} else if (text_same(word, "--paper")) {
		good = choice(v, PAPER, 2, &n);
		o->has_paper = true;
		o->paper = (paper)n;
	} else if (text_same(word, "--format")) {
		good = choice(v, FORMAT, 3, &n);
		o->format = (table_format)n;
	} else if (text_same(word, "--diagnostics")) {
		good = choice(v, DIAGNOSTICS, 3, &n);
		o->diagnostics = (options_diagnostics)n;
	} else if (text_same(word, "--color")) {
		good = choice(v, COLOUR, 3, &n);
		o->colour = (options_colour)n;
	} else if (text_same(word, "--effort")) {
		good = choice(v, LAYOUT_EFFORT_WORD, EFFORT_KINDS, &n);
		o->effort = (layout_effort)n;
	} else if (text_same(word, "--allow")) {
		const char *why = check_cannot_allow(mem, v);
		if (why) return why;
		LIST_PUSH(mem, &o->allows, v);
	} else if (text_same(word, "-o")) {
		o->folder = v;
	}
	return good ? NULL : wrong_choice(mem, word, FLAGS[flag].argument, v);
}

static const char *unknown(arena *mem, const char *what, const char *v, const char *const *words, size_t n) {
	const char *near = text_nearest(v, words, n);
	if (near) return arena_printf(mem, "there is no %s `%s`; did you mean `%s`?", what, v, near);
	return arena_printf(mem, "there is no %s `%s`; see windchest --help", what, v);
}

/* Which flag an argument names; its value when it stands behind `=`. N_FLAGS: none. */
static size_t find_flag(const char *arg, const char **value) {
	const char *sign = strchr(arg, '=');
	size_t n = sign ? (size_t)(sign - arg) : strlen(arg);
	*value = NULL;
	for (size_t i = 0; i < N_FLAGS; i++) {
		if (strlen(FLAGS[i].word) != n || memcmp(FLAGS[i].word, arg, n) != 0) continue;
		if (sign) *value = sign + 1;
		return i;
	}
	return N_FLAGS;
}

static const char *after_reading(arena *mem, const options *o, bool format_given) {
	const command_row *c = &COMMANDS[o->command];
	bool rules = o->command == COMMAND_RULES;
	if (rules && o->plans.n > 1) return arena_printf(mem, "`rules` takes one rule, not %zu", o->plans.n);
	if (o->plans.n == 0 && !rules)
		return arena_printf(mem, "`%s` wants a plan: windchest %s NAME.plan", c->word, c->word);
	if (c->one && o->plans.n > 1) return arena_printf(mem, "`%s` takes one plan, not %zu", c->word, o->plans.n);
	if (o->folder && o->command != COMMAND_COMPILE)
		return arena_printf(mem, "`-o` goes with `compile`, not with `%s`", c->word);
	if (o->only_check && o->command != COMMAND_TIDY)
		return arena_printf(mem, "`--check` goes with `tidy`, not with `%s`", c->word);
	if (o->effort != EFFORT_USUAL && (rules || o->command == COMMAND_TIDY))
		return arena_printf(mem, "`--effort` goes with layouts, not with `%s`", c->word);
	if (format_given && !c->table) return arena_printf(mem, "`--format` goes with tables, not with `%s`", c->word);
	if (o->folder && !*o->folder) return "`-o` wants the name of a folder";
	return NULL;
}

options_result options_read(arena *mem, int argc, char **argv, options *out, const char **say) {
	const char *words[COMMAND_COUNT], *flags[N_FLAGS];
	for (int i = 0; i < COMMAND_COUNT; i++) words[i] = COMMANDS[i].word;
	for (int i = 0; i < N_FLAGS; i++) flags[i] = FLAGS[i].word;
	memset(out, 0, sizeof *out);
	out->command = COMMAND_COUNT;
	bool format_given = false, only_plans = false;
	for (int i = 1; i < argc; i++) {
		const char *arg = argv[i], *value;
		if (only_plans || arg[0] != '-' || !arg[1]) {
			int n;
			if (out->command != COMMAND_COUNT) {
				LIST_PUSH(mem, &out->plans, arg);
			} else if (choice(arg, words, COMMAND_COUNT, &n)) {
				out->command = (options_command)n;
			} else {
				*say = unknown(mem, "command", arg, words, COMMAND_COUNT);
				return OPTIONS_WRONG;
			}
			continue;
		}
		if (text_same(arg, "--")) {
			only_plans = true;
			continue;
		}
		if (text_same(arg, "-h")) arg = "--help";
		size_t flag = find_flag(arg, &value);
		if (flag == N_FLAGS) {
			*say = unknown(mem, "option", arg, flags, N_FLAGS);
			return OPTIONS_WRONG;
		}
		if (text_same(FLAGS[flag].word, "--help") || text_same(FLAGS[flag].word, "--version")) {
			*say = FLAGS[flag].word[2] == 'h' ? help_text(mem) : "windchest " WINDCHEST_VERSION "\n";
			return OPTIONS_SAID;
		}
		if (!FLAGS[flag].argument) {
			if (value) {
				*say = arena_printf(mem, "%s takes no value", FLAGS[flag].word);
				return OPTIONS_WRONG;
			}
			*(text_same(FLAGS[flag].word, "--strict") ? &out->strict : &out->only_check) = true;
			continue;
		}
		if (!value && i + 1 < argc) value = argv[++i];
		if (!value) {
			*say = arena_printf(mem, "%s wants %s behind it", FLAGS[flag].word, FLAGS[flag].argument);
			return OPTIONS_WRONG;
		}
		if (text_same(FLAGS[flag].word, "--format")) format_given = true;
		*say = take(mem, out, flag, value);
		if (*say) return OPTIONS_WRONG;
	}
	if (out->command == COMMAND_COUNT) {
		*say = "a command is missing; see windchest --help";
		return OPTIONS_WRONG;
	}
	*say = after_reading(mem, out, format_given);
	return *say ? OPTIONS_WRONG : OPTIONS_RUN;
}
