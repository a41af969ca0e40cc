#include "compiler/check.h"

#include "compiler/templates.h"

#include "runtime/base/text.h"

static void run(const check_rule *rules, size_t n, const model *m, diags *d) {
	for (size_t i = 0; i < n; i++)
		if (rules[i].run) rules[i].run(m, d);
}

void check_geometry(const model *m, diags *d) {
	run(CHECK_PARTS, N_CHECK_PARTS, m, d);
	run(CHECK_OPENINGS, N_CHECK_OPENINGS, m, d);
	run(CHECK_JOINTS, N_CHECK_JOINTS, m, d);
}

void check_air(const model *m, diags *d) {
	if (m->air.given) run(CHECK_AIR, N_CHECK_AIR, m, d);
}

void check_layout(const model *m, diags *d) { run(CHECK_LAYOUT, N_CHECK_LAYOUT, m, d); }

const check_rule *check_find(const char *name) {
	const struct {
		const check_rule *rules;
		size_t n;
	} families[] = {{CHECK_PARTS, N_CHECK_PARTS},	{CHECK_OPENINGS, N_CHECK_OPENINGS},
			{CHECK_JOINTS, N_CHECK_JOINTS}, {CHECK_AIR, N_CHECK_AIR},
			{CHECK_LAYOUT, N_CHECK_LAYOUT}, {CHECK_TEMPLATES, N_CHECK_TEMPLATES},
			{CHECK_STAGES, N_CHECK_STAGES}, {CHECK_LANGUAGE, N_CHECK_LANGUAGE}};
	for (size_t f = 0; f < sizeof families / sizeof *families; f++)
		for (size_t i = 0; i < families[f].n; i++)
			if (text_same(families[f].rules[i].name, name)) return &families[f].rules[i];
	return NULL;
}

const char *check_about(const char *rule) {
	const check_rule *r = check_find(rule);
	return r ? r->what : NULL;
}

bool check_is_rule(const char *name) { return check_find(name) != NULL; }
