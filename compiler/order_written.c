/* The steps that the plan writes: what they take up, and which comes before which. */
#include <math.h>
#include <string.h>

#include "compiler/order_inner.h"
#include "runtime/base/text.h"

static bool lists(const model_written *t, model_ref part) {
	for (size_t i = 0; i < t->parts.n; i++)
		if (t->parts.v[i] == part) return true;
	return false;
}

static bool does(const model_written *t, model_op_kind kind) {
	for (size_t i = 0; i < t->does.n; i++)
		if (t->does.v[i] == kind) return true;
	return false;
}

/* Is the part joined to another that the step names? */
static bool joined_within(const order_work *w, const model_written *t, model_ref p) {
	for (size_t i = 0; i < w->m->joints.n; i++) {
		const model_joint *j = &w->m->joints.v[i];
		if (w->role[i] == ROLE_JOIN && (j->a == p || j->b == p) && lists(t, j->a) && lists(t, j->b))
			return true;
	}
	return false;
}

/* How well a step fits an operation: 4 all its parts are named, 3 the one that is joined is (parts are a, b), 2 another
 * is, 1 the step names none; 0 not at all. A step that builds the base out of several parts takes only the joints among
 * these: what else is joined to them comes later. */
static int fit_of(const order_work *w, const model_written *t, const model_op *o, model_ref base) {
	if (!does(t, o->kind)) return 0;
	if (t->parts.n == 0 || o->parts.n == 0) return 1;
	size_t named = 0;
	model_ref first = MODEL_NONE;
	for (size_t i = 0; i < o->parts.n; i++) {
		if (!lists(t, o->parts.v[i])) continue;
		if (named++ == 0) first = o->parts.v[i];
	}
	if (named == 0) return 0;
	if (named == o->parts.n) return 4;
	if (o->kind == OP_JOIN && base != MODEL_NONE && lists(t, base) && joined_within(w, t, first)) return 0;
	return first == o->parts.v[0] ? 3 : 2;
}

static model_ref find_step(const order_work *w, const char *name) {
	for (size_t i = 0; i < w->m->written.n; i++)
		if (text_same(w->m->written.v[i].name, name)) return (model_ref)i;
	return MODEL_NONE;
}

/* A title is long: of a slip in several of its words a third of its letters may be wrong. Else the only one that begins
 * with what is written, or with which that begins. */
static const char *near_step(const char *name, const char *const *names, size_t n) {
	const char *found = text_nearest(name, names, n), *begun = NULL;
	size_t best = SIZE_MAX, begins = 0;
	for (size_t i = 0; i < n && !found; i++) {
		size_t a = strlen(name), b = strlen(names[i]), apart = text_distance(name, names[i]);
		if (apart * 3 <= (a > b ? a : b) && apart < best) {
			best = apart;
			begun = names[i];
		}
	}
	for (size_t i = 0; i < n && !found && best == SIZE_MAX; i++) {
		size_t a = strlen(name), b = strlen(names[i]);
		if (a < 4 || b < 4 || strncmp(name, names[i], a < b ? a : b) != 0) continue;
		begins++;
		begun = names[i];
	}
	return found ? found : begins < 2 ? begun : NULL;
}

static void unknown_step(order_work *w, const model_words *named) {
	const char **names = ARENA_MANY(w->mem, const char *, w->m->written.n + 1);
	for (size_t i = 0; i < w->m->written.n; i++) names[i] = w->m->written.v[i].name;
	diag *g = diag_error(w->d, "plan-unknown-step", named->at, "there is no step \"%s\"", named->v);
	const char *near = near_step(named->v, names, w->m->written.n);
	if (near) {
		diag_add_note(w->d, g, w->m->written.v[find_step(w, near)].at, "a step of a similar name is here");
		diag_add_help(w->d, g, "write \"%s\"", near);
	} else {
		diag_add_help(w->d, g, "`after` and `before` take the name of a written step");
	}
	w->failed = true;
}

static void pair_add(order_work *w, model_ref row, const model_words *named, bool after) {
	model_ref other = find_step(w, named->v);
	if (other == MODEL_NONE) {
		unknown_step(w, named);
		return;
	}
	const char *name = w->m->written.v[row].name;
	if (other == row) {
		diag *g = diag_error(w->d, "order-circle", named->at, "step \"%s\" is to come %s itself", name,
				     after ? "after" : "before");
		diag_add_help(w->d, g, "name another step, or take the line away");
		w->failed = true;
		return;
	}
	order_written_pair p = {.before = after ? other : row, .after = after ? row : other, .at = named->at};
	p.reason = arena_printf(w->mem, "step \"%s\" is written %s \"%s\"", name, after ? "after" : "before", named->v);
	LIST_PUSH(w->mem, &w->written, p);
}

static void close_over(order_work *w) {
	size_t n = w->m->written.n;
	w->closure = ARENA_MANY(w->mem, bool, n *n + 1);
	for (size_t i = 0; i < w->written.n; i++) w->closure[w->written.v[i].before * n + w->written.v[i].after] = true;
	for (size_t k = 0; k < n; k++)
		for (size_t i = 0; i < n; i++)
			for (size_t j = 0; j < n; j++)
				if (w->closure[i * n + k] && w->closure[k * n + j]) w->closure[i * n + j] = true;
}

bool order_written_before(const order_work *w, model_ref a, model_ref b) {
	if (a == MODEL_NONE || b == MODEL_NONE) return false;
	return w->closure[a * w->m->written.n + b];
}

/* What the step asks for is not there: say so, and keep its words in the book. */
static void step_alone(order_work *w, model_ref row) {
	const model_written *t = &w->m->written.v[row];
	bool says = t->note.v || t->caution.v || t->check.v || isfinite(t->minutes) || isfinite(t->wait_minutes);
	if (t->does.n > 0 || (!says && t->parts.n == 0)) {
		diag *g = diag_warning(w->d, "step-empty", t->at, "step \"%s\" takes up nothing", t->name);
		if (t->does.n > 0) {
			textbuf kinds = textbuf_begin(w->mem);
			for (size_t i = 0; i < t->does.n; i++)
				textbuf_printf(&kinds, "%s%s", i ? ", " : "", MODEL_OP_WORD[t->does.v[i]]);
			diag_add_note(w->d, g, span_none(), "no operation of the kind %s is left for %s", kinds.v,
				      t->parts.n ? "its parts" : "it");
			diag_add_help(w->d, g,
				      "name other kinds in `does` or other `parts`, or leave `does` away to keep "
				      "the step for its words alone");
		} else {
			diag_add_help(w->d, g, "say what it `does`, or give it a `note`");
		}
	}
	model_ref op = order_op_add(w, OP_WRITTEN, t->at, t->name);
	w->ops.v[op].written = row;
	for (size_t i = 0; i < t->parts.n; i++) LIST_PUSH(w->mem, &w->ops.v[op].parts, t->parts.v[i]);
}

void order_written_take(order_work *w) {
	const model *m = w->m;
	size_t n = w->ops.n;
	model_ref base = order_join_base(w);
	bool *taken = ARENA_MANY(w->mem, bool, m->written.n + 1);
	for (size_t i = 0; i < n; i++) {
		model_op *o = &w->ops.v[i];
		int best = 0;
		for (size_t r = 0; r < m->written.n; r++) {
			int fit = fit_of(w, &m->written.v[r], o, base);
			if (fit <= best) continue;
			best = fit;
			o->written = (model_ref)r;
		}
		if (o->written == MODEL_NONE) continue;
		const model_written *t = &m->written.v[o->written];
		taken[o->written] = true;
		for (size_t k = 0; k < t->tools.n && o->tools.n == 0; k++) LIST_PUSH(w->mem, &o->tools, t->tools.v[k]);
	}
	for (size_t i = 0; i < n; i++) /* a gasket that no step asks for goes with its joint */
		if (w->ops.v[i].kind == OP_GASKET && w->ops.v[i].written == MODEL_NONE)
			w->ops.v[i].written = w->ops.v[w->joint_op[w->ops.v[i].joint]].written;
	for (size_t r = 0; r < m->written.n; r++) {
		if (!taken[r]) step_alone(w, (model_ref)r);
		for (size_t i = 0; i < m->written.v[r].after.n; i++)
			pair_add(w, (model_ref)r, &m->written.v[r].after.v[i], true);
		for (size_t i = 0; i < m->written.v[r].before.n; i++)
			pair_add(w, (model_ref)r, &m->written.v[r].before.v[i], false);
	}
	close_over(w);
}

/* First or last operations of a written step: those that nothing of the step must come before or behind. */
static bool outermost(const order_work *w, model_ref op, bool last) {
	for (size_t i = 0; i < w->links.n; i++) {
		const order_link *l = &w->links.v[i];
		if (l->bond == BOND_WISH) continue; /* it may be dropped yet */
		model_ref here = last ? l->before : l->after, there = last ? l->after : l->before;
		if (here == op && w->ops.v[there].written == w->ops.v[op].written) return false;
	}
	return true;
}

static void link_steps(order_work *w, model_ref a, model_ref b, order_bond bond, span at, const char *reason) {
	bool *first = ARENA_MANY(w->mem, bool, w->ops.n + 1);
	for (size_t j = 0; j < w->ops.n; j++) first[j] = w->ops.v[j].written == b && outermost(w, (model_ref)j, false);
	for (size_t i = 0; i < w->ops.n; i++) {
		if (w->ops.v[i].written != a || !outermost(w, (model_ref)i, true)) continue;
		for (size_t j = 0; j < w->ops.n; j++)
			if (first[j]) order_link_add(w, (model_ref)i, (model_ref)j, bond, at, reason);
	}
}

void order_written_links(order_work *w) {
	const model *m = w->m;
	for (size_t i = 0; i < w->written.n; i++) {
		const order_written_pair *p = &w->written.v[i];
		link_steps(w, p->before, p->after, BOND_WRITTEN, p->at, p->reason);
	}
	/* A step that takes nothing up stands where the plan has it: behind the step written before it. */
	for (size_t r = 0; r < m->written.n; r++) {
		bool alone = false;
		for (size_t i = 0; i < w->ops.n; i++)
			alone = alone || (w->ops.v[i].kind == OP_WRITTEN && w->ops.v[i].written == r);
		if (!alone) continue;
		const char *reason = "the plan writes these steps in this order";
		if (r > 0) link_steps(w, (model_ref)(r - 1), (model_ref)r, BOND_WISH, m->written.v[r].at, reason);
		if (r + 1 < m->written.n)
			link_steps(w, (model_ref)r, (model_ref)(r + 1), BOND_WISH, m->written.v[r].at, reason);
	}
}
