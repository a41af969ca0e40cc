#include "compiler/check.h"

#include <ctype.h>
#include <string.h>

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
	run(CHECK_CUTS, N_CHECK_CUTS, m, d);
	run(CHECK_USE, N_CHECK_USE, m, d);
}

void check_air(const model *m, diags *d) {
	if (m->air.given) run(CHECK_AIR, N_CHECK_AIR, m, d);
}

void check_layout(const model *m, diags *d) { run(CHECK_LAYOUT, N_CHECK_LAYOUT, m, d); }

static const struct {
	const char *title;
	const check_rule *rules;
	const size_t *n;
} FAMILIES[] = {
	{"Openings", CHECK_OPENINGS, &N_CHECK_OPENINGS},
	{"Joints and screws", CHECK_JOINTS, &N_CHECK_JOINTS},
	{"Cuts, glue and tape of joints", CHECK_CUTS, &N_CHECK_CUTS},
	{"Parts", CHECK_PARTS, &N_CHECK_PARTS},
	{"In use", CHECK_USE, &N_CHECK_USE},
	{"Templates", CHECK_TEMPLATES, &N_CHECK_TEMPLATES},
	{"Air", CHECK_AIR, &N_CHECK_AIR},
	{"Sheets and bars", CHECK_LAYOUT, &N_CHECK_LAYOUT},
	{"While the plan is put together", CHECK_STAGES, &N_CHECK_STAGES},
	{"Of the language", CHECK_LANGUAGE, &N_CHECK_LANGUAGE},
};
enum { N_FAMILIES = sizeof FAMILIES / sizeof *FAMILIES };

const check_rule *check_find(const char *name) {
	for (size_t f = 0; f < N_FAMILIES; f++)
		for (size_t i = 0; i < *FAMILIES[f].n; i++)
			if (text_same(FAMILIES[f].rules[i].name, name)) return &FAMILIES[f].rules[i];
	return NULL;
}

/* What breaks one of these leaves a hole in the model: a part without a place, a joint that is not there, air without
 * an answer, a part on no sheet, no order. No book can be made of it, whatever the reason. */
static const char *const FIRM[] = {
	"part-loose-end",   "part-held-twice", "part-no-room",	"part-nothing", "axis-crossed",	   "pattern-empty",
	"opening-tool",	    "joint-apart",     "joint-kind",	"joint-twice",	"dado-through",	   "air-no-way",
	"air-branch-twice", "air-which-sheet", "air-which-way", "air-figure",	"air-closed",	   "air-unsolved",
	"air-not-known",    "sheet-too-small", "bar-too-short", "layout-limit", "layout-internal", "order-circle"};

/* What one of these finds can kill, whatever the reason for it. */
static const char *const REFUSED[] = {"metal-dust", "solvent-spray"};

const check_rule *check_family(size_t i, const char **title, size_t *n) {
	if (i >= N_FAMILIES) return NULL;
	*title = FAMILIES[i].title;
	*n = *FAMILIES[i].n;
	return FAMILIES[i].rules;
}

const char *check_nearest(arena *mem, const char *name) {
	LIST(const char *) names = {0};
	for (size_t f = 0; f < N_FAMILIES; f++)
		for (size_t i = 0; i < *FAMILIES[f].n; i++) LIST_PUSH(mem, &names, FAMILIES[f].rules[i].name);
	return text_nearest(name, names.v, names.n);
}

const char *check_cannot_allow(arena *mem, const char *name) {
	if (!check_find(name)) {
		const char *near = check_nearest(mem, name);
		return near ? arena_printf(mem, "there is no rule `%s`; did you mean `%s`?", name, near)
			    : arena_printf(mem, "there is no rule `%s`; its name stands in brackets behind the message",
					   name);
	}
	if (strncmp(name, "plan-", 5) == 0)
		return arena_printf(mem, "`%s` is a rule of the language and cannot be allowed", name);
	for (size_t i = 0; i < sizeof FIRM / sizeof *FIRM; i++)
		if (text_same(FIRM[i], name))
			return arena_printf(
				mem, "`%s` cannot be allowed: nothing whole can be made of a plan that breaks it",
				name);
	for (size_t i = 0; i < sizeof REFUSED / sizeof *REFUSED; i++)
		if (text_same(REFUSED[i], name))
			return arena_printf(mem, "`%s` cannot be allowed: it is about lives", name);
	return NULL;
}

/* Does a text name the thing, or something in it: "wing.2" in "wing.2.floor hangs on nothing"? */
static bool text_names(const char *text, const char *name) {
	size_t n = strlen(name);
	for (const char *at = strstr(text, name); at; at = strstr(at + 1, name)) {
		bool begins = at == text || !(isalnum((unsigned char)at[-1]) || strchr("_.", at[-1]));
		if (begins && at[n] == '.' && (isalnum((unsigned char)at[n + 1]) || at[n + 1] == '_')) return true;
	}
	return false;
}

void check_tell_placed(const model *m, diags *d) {
	for (size_t i = 0; i < d->all.n; i++) {
		diag *g = d->all.v[i];
		size_t best = 0;
		if (g->within || strncmp(g->rule, "plan-", 5) == 0) continue;
		for (size_t k = 0; k < m->placed.n; k++) {
			const model_placed *p = &m->placed.v[k];
			bool in =
				g->at.file == p->text.file && p->text.start <= g->at.start && g->at.end <= p->text.end;
			if (!in || strlen(p->name) <= best || !text_names(g->text, p->name)) continue;
			best = strlen(p->name); /* the innermost */
			g->within = p->within;
		}
	}
}

const char *check_about(const char *rule) {
	const check_rule *r = check_find(rule);
	return r ? r->what : NULL;
}

bool check_is_rule(const char *name) { return check_find(name) != NULL; }
