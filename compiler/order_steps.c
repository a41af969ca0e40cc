/* The steps of the book, and the model's record of the order. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "compiler/order.h"
#include "compiler/order_inner.h"
#include "runtime/base/text.h"
#include "runtime/engine/lift.h"

enum { MOST_REASONS = 4 }; /* on each side */

/* Links by the step they lead into, and by the step they lead out of. */
typedef struct step_links {
	uint32_t *in_from, *in, *out_from, *out;
} step_links;

static step_links links_by_step(order_work *w) {
	size_t n = w->m->order.steps.n;
	step_links x = {ARENA_MANY(w->mem, uint32_t, n + 2), ARENA_MANY(w->mem, uint32_t, w->links.n + 1),
			ARENA_MANY(w->mem, uint32_t, n + 2), ARENA_MANY(w->mem, uint32_t, w->links.n + 1)};
	for (size_t i = 0; i < w->links.n; i++) {
		x.in_from[w->ops.v[w->links.v[i].after].step + 2]++;
		x.out_from[w->ops.v[w->links.v[i].before].step + 2]++;
	}
	for (size_t i = 2; i < n + 2; i++) {
		x.in_from[i] += x.in_from[i - 1];
		x.out_from[i] += x.out_from[i - 1];
	}
	for (size_t i = 0; i < w->links.n; i++) {
		x.in[x.in_from[w->ops.v[w->links.v[i].after].step + 1]++] = (uint32_t)i;
		x.out[x.out_from[w->ops.v[w->links.v[i].before].step + 1]++] = (uint32_t)i;
	}
	return x;
}

typedef struct ranked_link {
	model_ref from; /* step */
	bool wish;
	uint32_t row;
} ranked_link;

static int compare_ranked(const void *a, const void *b) {
	const ranked_link *x = a, *y = b;
	if (x->from != y->from) return x->from > y->from ? -1 : 1;
	if (x->wish != y->wish) return x->wish ? 1 : -1;
	return (x->row > y->row) - (x->row < y->row);
}

/* Why not earlier: the edges that come in, from the step that was done last backwards; of one step, what the work
 * needs and the plan writes before wishes. */
static void earlier_reasons(order_work *w, const step_links *by, model_step *s, model_ref row) {
	LIST(ranked_link) in = {0};
	for (uint32_t i = by->in_from[row]; i < by->in_from[row + 1]; i++) {
		const order_link *l = &w->links.v[by->in[i]];
		model_ref from = w->ops.v[l->before].step;
		if (from < row) LIST_PUSH(w->mem, &in, ((ranked_link){from, l->bond == BOND_WISH, by->in[i]}));
	}
	if (in.n) qsort(in.v, in.n, sizeof *in.v, compare_ranked);
	for (size_t i = 0; i < in.n && s->reasons.n < MOST_REASONS; i++) {
		const char *reason = w->links.v[in.v[i].row].reason;
		bool told = false;
		for (size_t k = 0; k < s->reasons.n; k++) told = told || text_same(s->reasons.v[k], reason);
		if (!told) LIST_PUSH(w->mem, &s->reasons, reason);
	}
}

/* Why not later: the edges that go out, with the first step that needs it. That the test is last goes without saying.
 */
static void later_reasons(order_work *w, const step_links *by, model_step *s, model_ref row) {
	LIST(const char *) told = {0};
	uint32_t from = by->out_from[row], to = by->out_from[row + 1];
	for (uint32_t i = from; i < to && told.n < MOST_REASONS; i++) {
		const order_link *l = &w->links.v[by->out[i]];
		model_ref step = w->ops.v[l->after].step;
		bool grows = w->ops.v[l->before].kind == OP_JOIN && w->ops.v[l->after].kind == OP_JOIN;
		if (step == row || l->after == w->test || grows) continue;
		bool old = false;
		for (size_t k = 0; k < told.n; k++) old = old || text_same(told.v[k], l->reason);
		if (old) continue;
		for (uint32_t k = from; k < to; k++) { /* the same reason may lead to an earlier step */
			const order_link *q = &w->links.v[by->out[k]];
			model_ref there = w->ops.v[q->after].step;
			if (there != row && there < step && text_same(q->reason, l->reason)) step = there;
		}
		LIST_PUSH(w->mem, &told, l->reason);
		LIST_PUSH(w->mem, &s->reasons, arena_printf(w->mem, "before step %u: %s", step + 1, l->reason));
	}
}

static double part_kg(const order_work *w, model_ref p) {
	double kg = w->m->parts.v[p].mass_kg;
	return isfinite(kg) && kg > 0 ? kg : 0;
}

/* A whole sheet goes onto the saw. */
static double sheet_kg(const order_work *w, model_ref p) {
	model_ref row = w->m->parts.v[p].stock;
	if (row == MODEL_NONE || w->m->stocks.v[row].kind != STOCK_SHEET) return 0;
	const model_stock *s = &w->m->stocks.v[row];
	if (!isfinite(s->density_kg_m3.v)) return 0;
	double kg = order_rat_mm(s->size[0].mm) * order_rat_mm(s->size[1].mm) * order_rat_mm(s->thick.mm) * 1e-9 *
		    s->density_kg_m3.v;
	return kg > 0 ? kg : 0;
}

/* A part, or all that is put in with it. */
static double piece_kg(const order_work *w, const model_op *o, model_ref p) {
	if (o->kind != OP_FIT || w->bench[p] == MODEL_NONE) return part_kg(w, p);
	double kg = 0;
	for (size_t i = 0; i < w->m->parts.n; i++)
		if (w->bench[i] == w->bench[p]) kg += part_kg(w, (model_ref)i);
	return kg;
}

/* What stands already is joined to, not moved. */
static double lifted_kg(const order_work *w, const model_op *o, const bool *stands) {
	double most = 0;
	if (o->kind == OP_BUY || o->kind == OP_TEST || o->kind == OP_WIRE || o->kind == OP_GASKET) return 0;
	if (o->kind == OP_TEMPLATE) return 0;							/* an offcut */
	if ((o->kind == OP_FILTER || o->kind == OP_SEAT) && o->pattern != MODEL_NONE) return 0; /* the sheet stays */
	for (size_t i = 0; i < o->parts.n; i++) {
		if (o->kind == OP_JOIN && stands[o->parts.v[i]]) continue;
		double kg = piece_kg(w, o, o->parts.v[i]);
		if (o->kind == OP_CUT || o->kind == OP_MEASURE) kg = fmax(kg, sheet_kg(w, o->parts.v[i]));
		most = fmax(most, kg);
	}
	return most;
}

static void add_tool(order_work *w, model_step *s, model_ref tool) {
	for (size_t i = 0; i < s->tools.n; i++)
		if (s->tools.v[i] == tool) return;
	LIST_PUSH(w->mem, &s->tools, tool);
}

/* Parts that come into the cabinet: by joining, hanging, putting in. */
static void comes_in(order_work *w, model_step *s, const model_op *o, bool *stands) {
	bool brings = o->kind == OP_JOIN || o->kind == OP_DOOR || o->kind == OP_FIT || o->kind == OP_FAN ||
		      o->kind == OP_FILTER || o->kind == OP_SEAT;
	for (size_t i = 0; i < o->parts.n && brings; i++) {
		model_ref p = o->parts.v[i];
		if (o->kind == OP_JOIN && w->bench[p] != MODEL_NONE) continue; /* on the bench */
		bool its_own = o->kind == OP_JOIN || w->of[p].fit != MODEL_NONE || w->of[p].door != MODEL_NONE;
		if (stands[p] || !its_own) continue;
		stands[p] = true;
		LIST_PUSH(w->mem, &s->new_parts, p);
	}
}

static void step_fill(order_work *w, model_step *s, bool *stands) {
	bool *before = ARENA_MANY(w->mem, bool, model_rows(w->m) + 1);
	memcpy(before, stands, model_rows(w->m) * sizeof *before);
	double wait = 0;
	for (size_t i = 0; i < s->ops.n; i++) {
		const model_op *o = &w->ops.v[s->ops.v[i]];
		s->minutes += o->minutes;
		wait = fmax(wait, o->wait_minutes);
		s->lift_kg = fmax(s->lift_kg, lifted_kg(w, o, before));
		for (size_t k = 0; k < o->tools.n; k++) add_tool(w, s, o->tools.v[k]);
		comes_in(w, s, o, stands);
	}
	s->wait_minutes = wait;
	s->helpers = lift_helpers(s->lift_kg);
	if (s->written != MODEL_NONE) {
		const model_written *t = &w->m->written.v[s->written];
		for (size_t k = 0; k < t->tools.n; k++) add_tool(w, s, t->tools.v[k]);
		if (t->helpers > s->helpers) s->helpers = t->helpers;
	}
	order_hands_step(w, s, before, stands);
	order_words_step(w, s, before, stands);
}

/* One page of a written step that takes several: the plan's note stands on the first, its check on the last. */
static void written_page(order_work *w, model_ref row, size_t mine, size_t n, bool parted) {
	model_step *s = &w->m->order.steps.v[row];
	const model_written *t = &w->m->written.v[s->written];
	if (n == 1)
		s->title = t->name;
	else if (s->kind == OP_JOIN)
		s->title = arena_printf(w->mem, "%s, %zu of %zu: %s", t->name, mine + 1, n, s->title);
	else
		s->title = arena_printf(w->mem, "%s, %zu of %zu", t->name, mine + 1, n);
	s->note = mine == 0 ? t->note.v : NULL;
	if (t->check.v && mine + 1 == n)
		s->check = s->check ? arena_printf(w->mem, "%s %s", t->check.v, s->check) : t->check.v;
	if (parted)
		LIST_PUSH(w->mem, &s->reasons, "this step is done in parts, because other work must come between them");
}

static void written_pages(order_work *w) {
	model_order *r = &w->m->order;
	for (size_t i = 0; i < r->steps.n; i++) {
		size_t first = i, last = i, n = 0, mine = 0;
		if (r->steps.v[i].written == MODEL_NONE) continue;
		for (size_t k = 0; k < r->steps.n; k++) {
			if (r->steps.v[k].written != r->steps.v[i].written) continue;
			if (n == 0) first = k;
			if (k == i) mine = n;
			last = k;
			n++;
		}
		written_page(w, (model_ref)i, mine, n, last - first >= n);
	}
}

static uint32_t group_of(const order_work *w, model_ref op) {
	const model_op *o = &w->ops.v[op];
	if (o->kind != OP_GASKET) return w->group.v[op];
	model_ref with = w->joint_op[o->joint];
	return w->ops.v[with].written == o->written ? w->group.v[with] : 0;
}

/* Does a page end before this operation? Joints of a written step turn the page with each group. */
static bool new_page(const order_work *w, size_t i) {
	if (i == 0) return true;
	model_ref a = w->sequence.v[i - 1], b = w->sequence.v[i];
	if (order_block(w, a) != order_block(w, b)) return true;
	return group_of(w, a) != group_of(w, b);
}

void order_steps_make(order_work *w) {
	model_order *r = &w->m->order;
	bool *stands = ARENA_MANY(w->mem, bool, model_rows(w->m) + 1);
	for (size_t i = 0; i < w->sequence.n; i++) {
		model_ref op = w->sequence.v[i];
		if (new_page(w, i)) {
			model_step *s = LIST_ADD(w->mem, &r->steps);
			*s = (model_step){.kind = w->ops.v[op].kind, .written = w->ops.v[op].written};
		}
		model_step *s = &r->steps.v[r->steps.n - 1];
		if (s->kind == OP_GASKET) s->kind = w->ops.v[op].kind; /* the joint names the page, not its tape */
		LIST_PUSH(w->mem, &s->ops, op);
		w->ops.v[op].step = (model_ref)(r->steps.n - 1);
	}
	step_links by = links_by_step(w);
	for (size_t i = 0; i < r->steps.n; i++) {
		step_fill(w, &r->steps.v[i], stands);
		earlier_reasons(w, &by, &r->steps.v[i], (model_ref)i);
		later_reasons(w, &by, &r->steps.v[i], (model_ref)i);
		r->hands_on_minutes += r->steps.v[i].minutes;
	}
	order_hands_hours(w);
	order_glue_make(w);
	written_pages(w);
}

/* ---- the record ------------------------------------------------------------------------------------- */

/* No two edges have the same ends. */
static int compare_edges(const void *a, const void *b) {
	const model_edge *x = a, *y = b;
	if (x->after != y->after) return x->after < y->after ? -1 : 1;
	return (x->before > y->before) - (x->before < y->before);
}

/* What measures a sheet or makes a template handles no part yet: which parts it serves only the links had to know. */
static bool before_parts(model_op_kind kind) { return kind == OP_MEASURE || kind == OP_TEMPLATE; }

/* Operations in order of work, links with their new numbers. */
static void record(order_work *w) {
	model_order *r = &w->m->order;
	model_ref *now = ARENA_MANY(w->mem, model_ref, w->ops.n + 1);
	if (w->sequence.n != w->ops.n) { /* no order was found: as they came */
		w->sequence.n = 0;
		for (size_t i = 0; i < w->ops.n; i++) LIST_PUSH(w->mem, &w->sequence, (model_ref)i);
	}
	for (size_t i = 0; i < w->sequence.n; i++) {
		now[w->sequence.v[i]] = (model_ref)i;
		LIST_PUSH(w->mem, &r->ops, w->ops.v[w->sequence.v[i]]);
		if (before_parts(r->ops.v[i].kind)) r->ops.v[i].parts.n = 0;
	}
	for (size_t i = 0; i < r->steps.n; i++)
		for (size_t k = 0; k < r->steps.v[i].ops.n; k++) r->steps.v[i].ops.v[k] = now[r->steps.v[i].ops.v[k]];
	for (size_t i = 0; i < w->links.n; i++) {
		const order_link *l = &w->links.v[i];
		model_edge e = {now[l->before], now[l->after], l->reason, l->at};
		LIST_PUSH(w->mem, &r->edges, e);
	}
	if (r->edges.n) qsort(r->edges.v, r->edges.n, sizeof *r->edges.v, compare_edges);
}

bool order_make(model *m, diags *d) {
	order_work w = {.m = m, .d = d, .mem = m->mem};
	m->order = (model_order){0};
	order_rows_make(&w);
	order_ops_make(&w);
	order_written_take(&w);
	order_join_make(&w);
	order_links_make(&w);
	bool sorted = order_sort(&w) && !w.failed;
	if (sorted) {
		order_way_check(&w);
		order_edge_check(&w);
		m->order.critical_path_minutes = order_critical_minutes(&w);
		m->order.elapsed_minutes = w.elapsed_minutes;
		order_steps_make(&w);
	}
	record(&w);
	return sorted;
}
