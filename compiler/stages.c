#include "compiler/stages.h"

#include "compiler/air.h"
#include "compiler/bend.h"
#include "compiler/check.h"
#include "compiler/check_limits.h"
#include "compiler/layout.h"
#include "compiler/order.h"
#include "compiler/shopping.h"
#include "compiler/templates.h"

/* Checks, order of work and pictures take time with more than the number of parts, memory with its square. */
enum { MOST_PARTS = 2000 };

static bool small_enough(const model *m, diags *d) {
	if (m->parts.n <= MOST_PARTS) return true;
	diag *g = diag_error(d, "plan-size", m->parts.v[MOST_PARTS].at, "a plan has at most %d parts; this one has %zu",
			     MOST_PARTS, m->parts.n);
	diag_add_help(d, g, "write what is built apart as a plan of its own");
	return false;
}

static void air(resolve_state *state, model *m, diags *d) {
	/* The checks say why a fan or filter has no answer (off its curve); the requirements that ask for it keep
	 * silent. */
	bool whole = resolve_air_whole(state), solved = whole && air_solve(m, d);
	if (whole) {
		size_t before = d->compared.n;
		check_air(m, d);
		for (size_t i = before; i < d->compared.n; i++) {
			diag_compared row = d->compared.v[i];
			const check_rule *r = check_find(row.rule);
			if (r) row.what = r->what, row.source = r->source;
			LIST_PUSH(m->mem, &m->air.compared, row);
		}
	}
	resolve_known(state, KNOWN_AIR, solved);
}

static void layout(resolve_state *state, model *m, layout_effort effort, progress who, diags *d) {
	size_t errors = d->errors;
	templates_make(m, d);
	layout_make_by(m, d, effort, who);
	shopping_make(m);
	resolve_known(state, KNOWN_LAID, d->errors == errors);
}

static void order(resolve_state *state, model *m, diags *d) {
	size_t errors = d->errors;
	bool whole = resolve_work_whole(state); /* what a step takes up decides what is possible before it */
	if (whole) order_make(m, d);
	resolve_known(state, KNOWN_ORDERED, whole && d->errors == errors);
}

model *stages_run(arena *mem, const source_set *sources, const syn_plan *plan, const resolve_options *o, diags *d) {
	return stages_run_by(mem, sources, plan, o, EFFORT_USUAL, (progress){NULL}, d);
}

static void tell(progress who, const char *what) {
	if (who.tell) who.tell(what);
}

model *stages_run_by(arena *mem, const source_set *sources, const syn_plan *plan, const resolve_options *o,
		     layout_effort effort, progress who, diags *d) {
	tell(who, "working out the parts");
	bool parsed = d->errors == 0;
	resolve_state *state = resolve_begin(mem, sources, plan, o, d);
	model *m = resolve_model(state);
	/* What was not placed cannot be judged, nor what leans on it. */
	if (parsed && resolve_whole(state) && small_enough(m, d)) {
		tell(who, "checking the parts");
		bend_make(m, d);
		check_geometry(m, d);
		tell(who, "solving the air");
		air(state, m, d);
		layout(state, m, effort, who, d);
		tell(who, "ordering the work");
		order(state, m, d);
	} else {
		/* Never silent: without the checks nothing can be called good. */
		if (d->errors == 0)
			diag_error(d, "plan-internal", m->title_at,
				   "something of this plan was not placed, and nothing says why");
		for (int stage = KNOWN_AIR; stage < KNOWN_KINDS; stage++)
			resolve_known(state, (known_stage)stage, false);
	}
	resolve_finish(state); /* what could be worked out even so */
	check_limits_note(m, d);
	check_tell_placed(m, d);
	resolve_waivers(state);
	diags_fold(d);
	return m;
}
