#include "compiler/rule_pages.h"

#include <string.h>

#include "runtime/base/text.h"

static void add_line(arena *mem, rule_words *to, bool begins, const char *line) {
	if (begins || to->n == 0)
		LIST_PUSH(mem, to, line);
	else
		to->v[to->n - 1] = arena_printf(mem, "%s %s", to->v[to->n - 1], line);
}

static void add_plan_line(arena *mem, rule_page *out, const char *line) {
	bool marked = line[0] && (line[1] == ' ' || !line[1]);
	LIST_PUSH(mem, &out->plan, ((rule_line){marked ? line[0] : ' ', marked && line[1] ? line + 2 : ""}));
}

static void read_lines(arena *mem, const char *const *lines, rule_page *out) {
	rule_words *to = NULL;
	bool begins = true, plan = false;
	for (; *lines; lines++) {
		const char *line = *lines;
		rule_words *section = text_same(line, "limit:")	    ? &out->limit
				      : text_same(line, "why:")	    ? &out->why
				      : text_same(line, "no plan:") ? &out->no_plan
								    : NULL;
		if (plan) {
			add_plan_line(mem, out, line);
			continue;
		}
		plan = text_same(line, "plan:");
		if (section)
			to = section;
		else if (!plan && *line && to)
			add_line(mem, to, begins, line);
		begins = section || !*line;
	}
}

bool rule_page_read(arena *mem, const char *name, rule_page *out) {
	memset(out, 0, sizeof *out);
	for (size_t i = 0; i < N_RULE_PAGES; i++) {
		if (!text_same(RULE_PAGES[i].name, name)) continue;
		read_lines(mem, RULE_PAGES[i].lines, out);
		return true;
	}
	return false;
}

const char *rule_page_plan(arena *mem, const rule_page *p, bool mended) {
	textbuf t = textbuf_begin(mem);
	for (size_t i = 0; i < p->plan.n; i++)
		if (p->plan.v[i].mark != (mended ? '-' : '+')) textbuf_printf(&t, "%s\n", p->plan.v[i].text);
	return t.n ? t.v : "";
}
