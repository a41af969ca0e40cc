#include "compiler/check.h"

static void run(const check_rule *rules, size_t n, const model *m, diags *d) {
	for (size_t i = 0; i < n; i++) rules[i].run(m, d);
}

void check_geometry(const model *m, diags *d) {
	run(CHECK_PARTS, N_CHECK_PARTS, m, d);
	run(CHECK_OPENINGS, N_CHECK_OPENINGS, m, d);
	run(CHECK_JOINTS, N_CHECK_JOINTS, m, d);
}
