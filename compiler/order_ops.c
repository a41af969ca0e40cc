/* Which operations there are: one for every object that asks for work. */
#include <ctype.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "compiler/order_inner.h"
#include "runtime/base/text.h"
#include "runtime/engine/feature.h"
#include "runtime/engine/joint.h"

double order_rat_mm(rat r) { return rat_ok(r) ? rat_double(r) : 0; }

const char *order_spoken(arena *mem, const char *name) {
	char *t = arena_text(mem, name ? name : "");
	for (char *p = t; *p; p++)
		if (*p == '_' || *p == '.') *p = ' ';
	return t;
}

const char *order_capital(arena *mem, const char *text) {
	char *t = arena_text(mem, text);
	if (t[0] >= 'a' && t[0] <= 'z') t[0] = (char)(t[0] - 'a' + 'A');
	return t;
}

int order_compare_names(const char *a, const char *b) {
	if (!a || !b) return (a != NULL) - (b != NULL);
	while (*a && *b) {
		if (isdigit((unsigned char)*a) && isdigit((unsigned char)*b)) {
			size_t na = strspn(a, "0123456789"), nb = strspn(b, "0123456789");
			if (na != nb) return na < nb ? -1 : 1;
			int c = strncmp(a, b, na);
			if (c) return c;
			a += na;
			b += nb;
			continue;
		}
		if (*a != *b) return (unsigned char)*a < (unsigned char)*b ? -1 : 1;
		a++;
		b++;
	}
	return (*a != 0) - (*b != 0);
}

/* ---- rows in an order of their own --------------------------------------------------------- */

typedef int row_compare(const model *m, model_ref a, model_ref b);

static int compare_parts(const model *m, model_ref a, model_ref b) {
	return order_compare_names(m->parts.v[a].name, m->parts.v[b].name);
}
static int compare_stocks(const model *m, model_ref a, model_ref b) {
	return order_compare_names(m->stocks.v[a].name, m->stocks.v[b].name);
}
static int compare_patterns(const model *m, model_ref a, model_ref b) {
	return order_compare_names(m->patterns.v[a].name, m->patterns.v[b].name);
}
static int compare_tools(const model *m, model_ref a, model_ref b) {
	return order_compare_names(m->tools.v[a].name, m->tools.v[b].name);
}
static int compare_joints(const model *m, model_ref a, model_ref b) {
	const model_joint *x = &m->joints.v[a], *y = &m->joints.v[b];
	int c = compare_parts(m, x->a, y->a);
	if (!c) c = compare_parts(m, x->b, y->b);
	if (!c) c = (int)x->face_a - (int)y->face_a;
	for (int i = 0; i < 3 && !c; i++) c = rat_cmp(x->contact.lo[i], y->contact.lo[i]);
	return c;
}

/* Insertion into place: rows of one kind are some hundreds at most, and it is stable. */
static order_rows sorted(order_work *w, size_t n, row_compare *compare) {
	order_rows r = {.v = ARENA_MANY(w->mem, model_ref, n + 1), .n = n};
	for (size_t i = 0; i < n; i++) {
		size_t at = i;
		while (at > 0 && compare(w->m, (model_ref)i, r.v[at - 1]) < 0) {
			r.v[at] = r.v[at - 1];
			at--;
		}
		r.v[at] = (model_ref)i;
	}
	return r;
}

void order_rows_make(order_work *w) {
	const model *m = w->m;
	w->parts = sorted(w, m->parts.n, compare_parts);
	w->cut = sorted(w, model_rows(m), compare_parts);
	w->stocks = sorted(w, m->stocks.n, compare_stocks);
	w->patterns = sorted(w, m->patterns.n, compare_patterns);
	w->joints = sorted(w, m->joints.n, compare_joints);
	w->tools = sorted(w, m->tools.n, compare_tools);
}

/* ---- adding ---------------------------------------------------------------------------------- */

model_ref order_op_add(order_work *w, model_op_kind kind, span at, const char *what) {
	model_ref row = (model_ref)w->ops.n;
	model_op *o = LIST_ADD(w->mem, &w->ops);
	*o = (model_op){.kind = kind,
			.what = what,
			.joint = MODEL_NONE,
			.pattern = MODEL_NONE,
			.template = MODEL_NONE,
			.written = MODEL_NONE,
			.at = at,
			.step = MODEL_NONE};
	LIST_PUSH(w->mem, &w->rank, (uint32_t)row);
	LIST_PUSH(w->mem, &w->group, 0u);
	return row;
}

static void handle(order_work *w, model_ref op, model_ref part) {
	model_op *o = &w->ops.v[op];
	if (part == MODEL_NONE) return;
	for (size_t i = 0; i < o->parts.n; i++)
		if (o->parts.v[i] == part) return;
	LIST_PUSH(w->mem, &o->parts, part);
}

static void take_tool(order_work *w, model_ref op, model_ref tool) {
	model_op *o = &w->ops.v[op];
	if (tool == MODEL_NONE) return;
	for (size_t i = 0; i < o->tools.n; i++)
		if (o->tools.v[i] == tool) return;
	LIST_PUSH(w->mem, &o->tools, tool);
}

static const model_part *part_of(const order_work *w, model_ref p) { return &w->m->parts.v[p]; }
static bool made(const order_work *w, model_ref p) { return model_part_made(w->m, part_of(w, p)); }
static const char *name_of(const order_work *w, model_ref p) { return order_spoken(w->mem, part_of(w, p)->name); }

/* Tools of the features of one part that fulfil what is asked: by name, each once. */
static void feature_tools(order_work *w, model_ref op, model_ref part, bool joints, model_ref pattern, bool grooves) {
	const model *m = w->m;
	for (size_t t = 0; t < w->tools.n; t++) {
		for (uint32_t r = w->features.first[part]; r < w->features.first[part + 1]; r++) {
			const model_feature *f = &m->features.v[w->features.row[r]];
			if (f->tool != w->tools.v[t]) continue;
			bool groove = feature_is_cut(f);
			bool hole = f->kind == FEATURE_PILOT || f->kind == FEATURE_CLEARANCE;
			bool wanted = pattern != MODEL_NONE ? f->kind == FEATURE_OPENING && f->pattern == pattern
							    : (grooves && groove) || (joints && hole);
			if (wanted) take_tool(w, op, f->tool);
		}
	}
}

/* ---- flat work --------------------------------------------------------------------------------- */

static void stock_ops(order_work *w) {
	const model *m = w->m;
	if (model_rows(m) == 0) return;
	w->buy = order_op_add(w, OP_BUY, span_none(), "buy and check what the plan needs");
	for (size_t s = 0; s < w->stocks.n; s++) {
		model_ref stock = w->stocks.v[s], op = MODEL_NONE;
		if (m->stocks.v[stock].kind != STOCK_SHEET) continue;
		for (size_t i = 0; i < w->cut.n; i++) {
			model_ref p = w->cut.v[i];
			if (part_of(w, p)->stock != stock || !made(w, p)) continue;
			if (op == MODEL_NONE)
				op = order_op_add(w, OP_MEASURE, m->stocks.v[stock].at,
						  arena_printf(w->mem, "measure %s",
							       order_spoken(w->mem, m->stocks.v[stock].name)));
			handle(w, op, p);
		}
	}
}

static void cut_ops(order_work *w) {
	model_ref saw = MODEL_NONE;
	for (size_t t = 0; t < w->tools.n && saw == MODEL_NONE; t++)
		if (w->m->tools.v[w->tools.v[t]].kind == TOOL_SAW) saw = w->tools.v[t];
	for (size_t i = 0; i < w->cut.n; i++) {
		model_ref p = w->cut.v[i];
		if (!made(w, p)) continue;
		w->of[p].cut =
			order_op_add(w, OP_CUT, part_of(w, p)->at, arena_printf(w->mem, "cut %s", name_of(w, p)));
		handle(w, w->of[p].cut, p);
		take_tool(w, w->of[p].cut, saw);
	}
}

static void template_ops(order_work *w) {
	const model *m = w->m;
	order_rows rows = {.v = ARENA_MANY(w->mem, model_ref, m->templates.n + 1)};
	for (size_t i = 0; i < m->templates.n; i++) {
		size_t at = rows.n++;
		for (; at > 0 && order_compare_names(m->templates.v[i].name, m->templates.v[rows.v[at - 1]].name) < 0;
		     at--)
			rows.v[at] = rows.v[at - 1];
		rows.v[at] = (model_ref)i;
	}
	for (size_t i = 0; i < rows.n; i++) {
		const model_template *t = &m->templates.v[rows.v[i]];
		model_ref op =
			order_op_add(w, OP_TEMPLATE, t->at,
				     arena_printf(w->mem, "make and test template %s", order_spoken(w->mem, t->name)));
		w->ops.v[op].pattern = t->uses.v[0].pattern;
		w->ops.v[op].template = rows.v[i];
		for (size_t k = 0; k < t->uses.n; k++) handle(w, op, t->uses.v[k].part);
		take_tool(w, op, t->tool);
	}
}

static bool grooved(const order_work *w, model_ref p) { return joint_part_cut(w->m, p); }

static void groove_ops(order_work *w) {
	for (size_t i = 0; i < w->parts.n; i++) {
		model_ref p = w->parts.v[i];
		if (!made(w, p) || !grooved(w, p)) continue;
		model_ref op =
			order_op_add(w, OP_GROOVE, part_of(w, p)->at,
				     arena_printf(w->mem, "cut the %s in %s",
						  joint_cuts_words(w->mem, w->m, &p, 1, "dados"), name_of(w, p)));
		w->of[p].groove = op;
		handle(w, op, p);
		feature_tools(w, op, p, false, MODEL_NONE, true);
	}
}

static void open_ops(order_work *w) {
	for (size_t i = 0; i < w->patterns.n; i++) {
		const model_pattern *pat = &w->m->patterns.v[w->patterns.v[i]];
		for (size_t s = 0; s < pat->sheets.n; s++) { /* in the order of the plan: the first is marked out */
			model_ref p = pat->sheets.v[s].part;
			model_ref op = order_op_add(
				w, OP_OPEN, pat->sheets.v[s].at,
				arena_printf(w->mem, "open %s in %s", order_spoken(w->mem, pat->name), name_of(w, p)));
			w->ops.v[op].pattern = w->patterns.v[i];
			handle(w, op, p);
			feature_tools(w, op, p, false, w->patterns.v[i], false);
		}
	}
}

static bool drilled(const order_work *w, model_ref p) {
	for (size_t i = 0; i < w->m->features.n; i++) {
		const model_feature *f = &w->m->features.v[i];
		if (f->part == p && (f->kind == FEATURE_PILOT || f->kind == FEATURE_CLEARANCE)) return true;
	}
	for (size_t i = 0; i < w->m->joints.n; i++) {
		const model_joint *j = &w->m->joints.v[i];
		if ((j->a == p || j->b == p) && j->n_screws > 0) return true;
	}
	return false;
}

static void drill_ops(order_work *w) {
	for (size_t i = 0; i < w->parts.n; i++) {
		model_ref p = w->parts.v[i];
		if (!made(w, p) || !drilled(w, p)) continue;
		model_ref op = order_op_add(w, OP_DRILL, part_of(w, p)->at,
					    arena_printf(w->mem, "drill %s for screws", name_of(w, p)));
		w->of[p].drill = op;
		handle(w, op, p);
		feature_tools(w, op, p, true, MODEL_NONE, false);
	}
}

static void ease_ops(order_work *w) {
	for (size_t i = 0; i < w->patterns.n; i++) {
		const model_pattern *pat = &w->m->patterns.v[w->patterns.v[i]];
		for (size_t k = 0; k < w->parts.n; k++) { /* both faces of one sheet are one operation */
			model_ref p = w->parts.v[k], op = MODEL_NONE;
			for (size_t e = 0; e < pat->eases.n && op == MODEL_NONE; e++) {
				if (pat->eases.v[e].part != p) continue;
				op = order_op_add(w, OP_EASE, pat->eases.v[e].at,
						  arena_printf(w->mem, "ease the edges of %s in %s",
							       order_spoken(w->mem, pat->name), name_of(w, p)));
				w->ops.v[op].pattern = w->patterns.v[i];
				handle(w, op, p);
			}
		}
	}
}

/* Does a written step finish this part? A stock of the kind is not enough: glue is one, and a stock file brings it. */
static bool finish_wanted(const order_work *w, model_ref part) {
	for (size_t i = 0; i < w->m->written.n; i++) {
		const model_written *t = &w->m->written.v[i];
		bool does = false, names = t->parts.n == 0;
		for (size_t k = 0; k < t->does.n; k++) does = does || t->does.v[k] == OP_FINISH;
		for (size_t k = 0; k < t->parts.n; k++) names = names || t->parts.v[k] == part;
		if (does && names) return true;
	}
	return false;
}

static void finish_ops(order_work *w) {
	for (size_t i = 0; i < w->parts.n; i++) {
		model_ref p = w->parts.v[i];
		if (!made(w, p) || !finish_wanted(w, p)) continue;
		w->of[p].finish = order_op_add(w, OP_FINISH, part_of(w, p)->at,
					       arena_printf(w->mem, "sand and finish %s", name_of(w, p)));
		handle(w, w->of[p].finish, p);
	}
}

/* ---- joints ---------------------------------------------------------------------------------------- */

static void try_op(order_work *w) {
	for (size_t i = 0; i < w->parts.n; i++) {
		bool joined = false;
		for (size_t j = 0; j < w->m->joints.n; j++) {
			const model_joint *jt = &w->m->joints.v[j];
			joined = joined ||
				 (w->role[j] == ROLE_JOIN && (jt->a == w->parts.v[i] || jt->b == w->parts.v[i]));
		}
		if (!joined) continue;
		if (w->try_op == MODEL_NONE) w->try_op = order_op_add(w, OP_TRY, span_none(), "try all joints dry");
		handle(w, w->try_op, w->parts.v[i]);
	}
}

static void join_ops(order_work *w) {
	const model *m = w->m;
	for (size_t i = 0; i < w->joints.n; i++) {
		model_ref row = w->joints.v[i];
		const model_joint *j = &m->joints.v[row];
		if (w->role[row] != ROLE_JOIN) continue;
		bool cut = joint_enters(j->kind);
		model_ref op = order_op_add(
			w, OP_JOIN, j->at,
			arena_printf(w->mem, "join %s %s %s", name_of(w, j->a), cut ? "into" : "to", name_of(w, j->b)));
		w->ops.v[op].joint = row;
		w->joint_op[row] = op;
		handle(w, op, j->a);
		handle(w, op, j->b);
	}
	for (size_t i = 0; i < w->parts.n; i++) { /* made parts that no joint holds */
		model_ref p = w->parts.v[i];
		bool held = part_of(w, p)->kind == PART_DOOR || !made(w, p);
		for (size_t j = 0; j < m->joints.n && !held; j++)
			held = w->role[j] != ROLE_ITEM && (m->joints.v[j].a == p || m->joints.v[j].b == p);
		if (held || part_of(w, p)->loose) continue;
		handle(w, order_op_add(w, OP_JOIN, part_of(w, p)->at, arena_printf(w->mem, "place %s", name_of(w, p))),
		       p);
	}
}

static void seat_gasket_ops(order_work *w) {
	const model *m = w->m;
	for (size_t i = 0; i < w->patterns.n; i++) {
		const model_pattern *pat = &m->patterns.v[w->patterns.v[i]];
		for (size_t s = 0; s < pat->sheets.n; s++) {
			if (pat->sheets.v[s].collar == MODEL_NONE) continue;
			model_ref p = pat->sheets.v[s].part;
			model_ref op = order_op_add(
				w, OP_SEAT, pat->sheets.v[s].collar_at,
				arena_printf(w->mem, "seat %zu %s in %s", pat->axes.n,
					     model_seat_word(&m->stocks.v[pat->sheets.v[s].collar], pat->axes.n != 1),
					     name_of(w, p)));
			w->ops.v[op].pattern = w->patterns.v[i];
			handle(w, op, p);
		}
	}
	for (size_t i = 0; i < w->joints.n; i++) {
		model_ref row = w->joints.v[i];
		const model_joint *j = &m->joints.v[row];
		if (j->gasket == MODEL_NONE || w->role[row] == ROLE_NONE) continue;
		model_ref op = order_op_add(
			w, OP_GASKET, j->at,
			arena_printf(w->mem, "lay the gasket between %s and %s", name_of(w, j->a), name_of(w, j->b)));
		w->ops.v[op].joint = row;
		handle(w, op, j->a);
		handle(w, op, j->b);
	}
}

/* ---- bought things and doors ------------------------------------------------------------------------- */

/* One operation for each written group of items, and of made parts that lie loose. */
static void item_ops(order_work *w, model_op_kind kind) {
	static const char *const VERB[OP_KINDS] = {
		[OP_FILTER] = "fit", [OP_FAN] = "fit", [OP_SEAT] = "seat", [OP_FIT] = "fit"};
	for (size_t i = 0; i < w->parts.n; i++) {
		model_ref p = w->parts.v[i];
		const model_part *part = part_of(w, p);
		bool joined = false;
		for (size_t j = 0; j < w->m->joints.n; j++)
			joined = joined ||
				 (w->role[j] == ROLE_JOIN && (w->m->joints.v[j].a == p || w->m->joints.v[j].b == p));
		bool loose = w->bench[p] == p || (part->kind != PART_DOOR && part->loose && made(w, p) && !joined);
		if (w->of[p].fit != MODEL_NONE) continue; /* with the loose part before it */
		if ((part->kind != PART_ITEM && !loose) || order_item_kind(w, part) != kind) continue;
		model_ref op = MODEL_NONE;
		for (size_t k = 0; k < i && op == MODEL_NONE; k++) {
			const model_part *q = part_of(w, w->parts.v[k]);
			if (text_same(q->group, part->group) && q->stock == part->stock) op = w->of[w->parts.v[k]].fit;
		}
		if (op == MODEL_NONE)
			op = order_op_add(
				w, kind, part->at,
				arena_printf(w->mem, "%s %s", loose ? "put in" : VERB[kind], order_thing(w, p)));
		w->of[p].fit = op;
		handle(w, op, p);
		for (size_t k = 0; k < w->parts.n && w->bench[p] != MODEL_NONE; k++) {
			model_ref q = w->parts.v[k];
			if (w->bench[q] != w->bench[p]) continue;
			w->of[q].fit = op;
			handle(w, op, q);
		}
	}
}

static void tube_ops(order_work *w) {
	const model *m = w->m;
	for (size_t i = 0; i < m->air.branches.n; i++) {
		const model_branch *b = &m->air.branches.v[i];
		if (b->kind != AIR_TUBES || b->pattern == MODEL_NONE) continue;
		model_ref part = b->part;
		if (part == MODEL_NONE && m->patterns.v[b->pattern].sheets.n)
			part = m->patterns.v[b->pattern].sheets.v[0].part;
		model_ref op = order_op_add(w, OP_FILTER, b->at,
					    arena_printf(w->mem, "hang %u filter tubes%s%s", b->count,
							 part == MODEL_NONE ? "" : " in ",
							 part == MODEL_NONE ? "" : name_of(w, part)));
		w->ops.v[op].pattern = b->pattern;
		handle(w, op, part);
	}
}

static void door_ops(order_work *w) {
	for (size_t i = 0; i < w->parts.n; i++) {
		model_ref p = w->parts.v[i];
		if (part_of(w, p)->kind != PART_DOOR) continue;
		w->of[p].door = order_op_add(
			w, OP_DOOR, part_of(w, p)->at,
			arena_printf(w->mem, "%s %s", part_of(w, p)->hinged ? "hang" : "fit", name_of(w, p)));
		handle(w, w->of[p].door, p);
	}
}

static void wire_test_ops(order_work *w) {
	bool fan = false;
	for (size_t i = 0; i < w->parts.n; i++) {
		if (part_of(w, w->parts.v[i])->kind != PART_ITEM ||
		    order_item_kind(w, part_of(w, w->parts.v[i])) != OP_FAN)
			continue;
		if (!fan) w->wire = order_op_add(w, OP_WIRE, part_of(w, w->parts.v[i])->at, "have the wiring done");
		fan = true;
		handle(w, w->wire, w->parts.v[i]);
	}
	for (size_t i = 0; i < w->m->air.branches.n && !fan; i++) {
		if (w->m->air.branches.v[i].kind != AIR_FAN) continue;
		w->wire = order_op_add(w, OP_WIRE, w->m->air.branches.v[i].at, "have the wiring done");
		fan = true;
	}
	if (fan || w->m->air.given) w->test = order_op_add(w, OP_TEST, w->m->air.at, "test and record");
}

void order_ops_make(order_work *w) {
	w->features = check_features_by_part(w->m, w->d);
	const model *m = w->m;
	w->buy = w->try_op = w->test = w->wire = MODEL_NONE;
	w->of = ARENA_MANY(w->mem, order_of_part, model_rows(m) + 1);
	for (size_t i = 0; i < model_rows(m); i++)
		w->of[i] = (order_of_part){MODEL_NONE, MODEL_NONE, MODEL_NONE, MODEL_NONE,
					   MODEL_NONE, MODEL_NONE, MODEL_NONE};
	w->joint_op = ARENA_MANY(w->mem, model_ref, m->joints.n + 1);
	for (size_t i = 0; i < m->joints.n; i++) w->joint_op[i] = MODEL_NONE;
	order_roles_make(w);
	stock_ops(w);
	cut_ops(w);
	template_ops(w);
	groove_ops(w);
	open_ops(w);
	drill_ops(w);
	ease_ops(w);
	try_op(w);
	finish_ops(w);
	join_ops(w);
	item_ops(w, OP_SEAT);
	seat_gasket_ops(w);
	item_ops(w, OP_FILTER);
	tube_ops(w);
	item_ops(w, OP_FIT);
	item_ops(w, OP_FAN);
	door_ops(w);
	wire_test_ops(w);
	for (size_t j = 0; j < m->joints.n; j++) { /* joints of doors and items belong to these */
		const model_joint *jt = &m->joints.v[j];
		bool door_a = part_of(w, jt->a)->kind == PART_DOOR, item_a = part_of(w, jt->a)->kind == PART_ITEM;
		if (w->role[j] == ROLE_DOOR) w->joint_op[j] = w->of[door_a ? jt->a : jt->b].door;
		if (w->role[j] == ROLE_ITEM) w->joint_op[j] = w->of[item_a ? jt->a : jt->b].fit;
		if (w->role[j] == ROLE_UNIT) w->joint_op[j] = w->of[w->bench[jt->a] != MODEL_NONE ? jt->a : jt->b].fit;
	}
}
