#include "compiler/driver_shipped.h"

#include "grammar/files.h"
#include "grammar/parse.h"
#include "runtime/base/text.h"

/* Stock, tools and assemblies of one file. What is wrong with its text is told to those that use it. */
static void read_file(driver_shipped *s, const char *file) {
	grammar_bytes b = grammar_read_below(s->mem, s->root, arena_printf(s->mem, "%s.plan", file));
	if (!b.text) return;
	source_set sources = source_begin(s->mem);
	diags d = diags_begin(s->mem);
	syn_file out;
	grammar_parse(s->mem, &sources, source_add(&sources, file, b.text, b.size), &d, &out);
	for (size_t i = 0; i < out.lines.n; i++) {
		const syn_line *line = out.lines.v[i];
		bool declares = text_same(line->word, "stock") || text_same(line->word, "tool") ||
				text_same(line->word, "assembly");
		if (!declares || !line->clauses.v[0].args.n) continue;
		const syn_expr *e = line->clauses.v[0].args.v[0];
		shipped_name row = {.file = file, .line = line};
		if (e->kind == SYN_NAME && e->names.n == 1) row.name = e->names.v[0].v;
		if (row.name) LIST_PUSH(s->mem, &s->names, row);
	}
}

const shipped_names *driver_shipped_names(void *with) {
	driver_shipped *s = with;
	if (s->read || !s->root) return &s->names;
	s->read = true;
	size_t n = 0;
	const char **files = grammar_plans_beside(s->mem, s->root, "stock/any.plan", &n);
	for (size_t i = 0; i < n; i++) read_file(s, arena_printf(s->mem, "stock/%s", files[i]));
	return &s->names;
}
