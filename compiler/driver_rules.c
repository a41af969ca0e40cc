#include "compiler/driver_rules.h"

#include "compiler/check.h"
#include "compiler/rule_pages.h"
#include "compiler/rules_print.h"
#include "compiler/stages.h"
#include "grammar/reader.h"
#include "runtime/write/diag_write.h"

/* What the program says of a plan, as `check` prints it. */
static const char *messages_of(arena *mem, const options *o, const char *text) {
	source_set sources = source_begin(mem);
	diags d = diags_begin(mem);
	grammar_places places = {&o->shipped, o->shipped ? 1 : 0};
	syn_plan plan;
	grammar_read_text(mem, &sources, &d, &places, "broken.plan", text, &plan);
	resolve_options ro = {.slug = "broken"};
	stages_run(mem, &sources, &plan, &ro, &d);
	diags_sort(&d);
	textbuf t = textbuf_begin(mem);
	diag_text(&t, &d, &sources, false);
	return t.n ? t.v : "";
}

static const char *no_such_rule(arena *mem, const char *name) {
	const char *near = check_nearest(mem, name);
	return near ? arena_printf(mem, "there is no rule `%s`; did you mean `%s`?", name, near)
		    : arena_printf(mem, "there is no rule `%s`; windchest rules lists them", name);
}

const char *driver_rules(arena *mem, const options *o, size_t columns, textbuf *out) {
	if (o->plans.n == 0) {
		rules_print_all(out, o->format, o->measures, columns);
		return NULL;
	}
	const char *name = o->plans.v[0];
	const check_rule *rule = check_find(name);
	if (!rule) return no_such_rule(mem, name);
	rule_page page;
	rule_page_read(mem, name, &page);
	const char *broken = rule_page_plan(mem, &page, false);
	rules_page p = {rule, &page, *broken ? messages_of(mem, o, broken) : ""};
	rules_print_page(out, &p, o->format, o->measures, columns);
	return NULL;
}
