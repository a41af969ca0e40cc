#include "compiler/check.h"

#include "compiler/templates.h"

#include "runtime/base/text.h"

static void run(const check_rule *rules, size_t n, const model *m, diags *d) {
	for (size_t i = 0; i < n; i++) rules[i].run(m, d);
}

void check_geometry(const model *m, diags *d) {
	run(CHECK_PARTS, N_CHECK_PARTS, m, d);
	run(CHECK_OPENINGS, N_CHECK_OPENINGS, m, d);
	run(CHECK_JOINTS, N_CHECK_JOINTS, m, d);
}

const char *check_about(const char *rule) {
	const struct {
		const check_rule *rules;
		size_t n;
	} families[] = {{CHECK_PARTS, N_CHECK_PARTS},
			{CHECK_OPENINGS, N_CHECK_OPENINGS},
			{CHECK_JOINTS, N_CHECK_JOINTS},
			{CHECK_AIR, N_CHECK_AIR},
			{CHECK_TEMPLATES, N_CHECK_TEMPLATES}};
	for (size_t f = 0; f < sizeof families / sizeof *families; f++)
		for (size_t i = 0; i < families[f].n; i++)
			if (text_same(families[f].rules[i].name, rule)) return families[f].rules[i].what;
	return NULL;
}
