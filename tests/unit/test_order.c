/* The order of work: every edge kept, every operation in one step, circles named in full, closed-in things found. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>

#include <cmocka.h>

#include "compiler/order.h"
#include "runtime/base/text.h"
#include "tests/unit/order_box.h"

/* ---- looking at an order without the code that made it ----------------------------------------- */

static size_t op_at(const model *m, const char *what) {
	for (size_t i = 0; i < m->order.ops.n; i++)
		if (text_same(m->order.ops.v[i].what, what)) return i;
	fail_msg("no operation \"%s\"", what);
	return 0;
}

static void comes_before(const model *m, const char *a, const char *b) {
	if (op_at(m, a) >= op_at(m, b)) fail_msg("\"%s\" does not come before \"%s\"", a, b);
}

static bool has_part(const model_op *o, model_ref p) {
	for (size_t i = 0; i < o->parts.n; i++)
		if (o->parts.v[i] == p) return true;
	return false;
}

/* Longest chain by going back from each operation, no sorting: an independent route. */
static double chain_to(const model *m, model_ref op, double *known) {
	if (known[op] >= 0) return known[op];
	double begin = 0;
	for (size_t i = 0; i < m->order.edges.n; i++)
		if (m->order.edges.v[i].after == op)
			begin = fmax(begin, chain_to(m, m->order.edges.v[i].before, known));
	known[op] = begin + m->order.ops.v[op].minutes + m->order.ops.v[op].wait_minutes;
	return known[op];
}

static void order_holds(const model *m) {
	const model_order *r = &m->order;
	size_t next = 0;
	double hands = 0, longest = 0, known[512];
	assert_true(r->ops.n < 512);
	for (size_t i = 0; i < r->edges.n; i++) {
		assert_true(r->edges.v[i].before < r->edges.v[i].after);
		assert_non_null(r->edges.v[i].reason);
	}
	for (size_t s = 0; s < r->steps.n; s++) { /* every operation once, in order, in the step it says */
		const model_step *t = &r->steps.v[s];
		assert_true(t->ops.n > 0);
		assert_true(t->title && t->title[0]);
		for (size_t i = 0; i < t->ops.n; i++) {
			assert_int_equal(t->ops.v[i], next);
			assert_int_equal(r->ops.v[next].step, s);
			next++;
		}
	}
	assert_int_equal(next, r->ops.n);
	for (size_t p = 0; p < m->parts.n; p++) {
		size_t came = 0, cut = r->ops.n;
		for (size_t i = 0; i < r->ops.n; i++)
			if (r->ops.v[i].kind == OP_CUT && has_part(&r->ops.v[i], (model_ref)p)) cut = i;
		if (model_part_made(m, &m->parts.v[p])) {
			assert_true(cut < r->ops.n);
			for (size_t i = 0; i < cut; i++) {
				model_op_kind k = r->ops.v[i].kind;
				if (k != OP_BUY) assert_false(has_part(&r->ops.v[i], (model_ref)p));
			}
		}
		for (size_t s = 0; s < r->steps.n; s++)
			for (size_t i = 0; i < r->steps.v[s].new_parts.n; i++)
				came += r->steps.v[s].new_parts.v[i] == p;
		assert_int_equal(came, m->parts.v[p].kind == PART_GAP ? 0 : 1);
	}
	for (size_t i = 0; i < r->ops.n; i++) known[i] = -1;
	for (size_t i = 0; i < r->ops.n; i++) {
		hands += r->ops.v[i].minutes;
		longest = fmax(longest, chain_to(m, (model_ref)i, known));
	}
	double now = 0, over = 0, done[512];	/* over: the last wait too */
	for (size_t i = 0; i < r->ops.n; i++) { /* one person, operation by operation */
		for (size_t k = 0; k < r->edges.n; k++)
			if (r->edges.v[k].after == i)
				now = fmax(now,
					   done[r->edges.v[k].before] + r->ops.v[r->edges.v[k].before].wait_minutes);
		now += r->ops.v[i].minutes;
		done[i] = now;
		over = fmax(over, now + r->ops.v[i].wait_minutes);
	}
	assert_true(fabs(over - r->elapsed_minutes) < 1e-6);
	assert_true(longest <= r->elapsed_minutes + 1e-6);
	assert_true(fabs(hands - r->hands_on_minutes) < 1e-6);
	assert_true(fabs(longest - r->critical_path_minutes) < 1e-6);
}

static const diag *only(const diags *d, const char *rule) {
	const diag *found = NULL;
	for (size_t i = 0; i < d->all.n; i++)
		if (text_same(d->all.v[i]->rule, rule)) found = d->all.v[i];
	if (!found || d->all.n != 1) {
		for (size_t i = 0; i < d->all.n; i++) print_message("%s: %s\n", d->all.v[i]->rule, d->all.v[i]->text);
		fail_msg("wanted one %s, got %zu diagnostics", rule, d->all.n);
	}
	return found;
}

static void none(const diags *d) {
	for (size_t i = 0; i < d->all.n; i++) print_message("%s: %s\n", d->all.v[i]->rule, d->all.v[i]->text);
	assert_int_equal(d->all.n, 0);
}

static const char *titles(const model *m) {
	textbuf t = textbuf_begin(m->mem);
	for (size_t i = 0; i < m->order.steps.n; i++) textbuf_printf(&t, "%s\n", m->order.steps.v[i].title);
	return t.v;
}

/* ---- plain orders ------------------------------------------------------------------------------------ */

static void every_box_holds(void **state) {
	(void)state;
	for (int with = 0; with < BOX_CLOSED; with++) {
		arena mem = {0};
		model m = box_make(&mem, with);
		diags d = diags_begin(&mem);
		assert_true(order_make(&m, &d));
		none(&d);
		order_holds(&m);
		arena_end(&mem);
	}
}

static void whole_box_reads(void **state) {
	(void)state;
	arena mem = {0};
	model m = box_make(&mem, BOX_CLOSED - 1);
	diags d = diags_begin(&mem);
	assert_true(order_make(&m, &d));
	assert_string_equal(titles(&m), "Buy and check what the plan needs\n"
					"Measure the thickness of the sheets\n"
					"Cut 7 parts from ply18\n"
					"Cut the dados and rabbets in left and right\n"
					"Cut the openings of vents in baffle and rear\n"
					"Drill 6 parts for screws\n"
					"Ease the edges of vents in baffle\n"
					"Try all joints dry\n"
					"Oil\n"
					"Glue and screw the floor between left and right\n"
					"Screw the baffle between left and right\n"
					"Screw rear to floor, left and right\n"
					"Screw top to left and right\n"
					"Fit pleats\n"
					"Fit blower\n"
					"Have the wiring done by a qualified person\n"
					"Hang hatch\n"
					"Test and record\n");
	comes_before(&m, "open vents in baffle", "open vents in rear");
	comes_before(&m, "sand and finish top", "fit pleats");
	arena_end(&mem);
}

static void empty_model(void **state) {
	(void)state;
	arena mem = {0};
	model m = {.mem = &mem};
	diags d = diags_begin(&mem);
	assert_true(order_make(&m, &d));
	assert_int_equal(m.order.ops.n, 0);
	arena_end(&mem);
}

/* Rows in another order: the same book. */
static model_ref turned(model_ref r, size_t n, size_t by) { return r == MODEL_NONE ? r : (model_ref)((r + by) % n); }

static void turn(model *m, size_t by) {
	model o = *m;
	size_t np = m->parts.n, nj = m->joints.n, ns = m->stocks.n;
	m->parts.v = ARENA_MANY(m->mem, model_part, np);
	m->joints.v = ARENA_MANY(m->mem, model_joint, nj);
	m->stocks.v = ARENA_MANY(m->mem, model_stock, ns);
	for (size_t i = 0; i < ns; i++) m->stocks.v[turned((model_ref)i, ns, by)] = o.stocks.v[i];
	for (size_t i = 0; i < np; i++) {
		model_part p = o.parts.v[i];
		p.stock = turned(p.stock, ns, by);
		m->parts.v[turned((model_ref)i, np, by)] = p;
	}
	for (size_t i = 0; i < nj; i++) {
		model_joint j = o.joints.v[i];
		j.a = turned(j.a, np, by);
		j.b = turned(j.b, np, by);
		j.gasket = turned(j.gasket, ns, by);
		m->joints.v[turned((model_ref)i, nj, by)] = j;
	}
	for (size_t i = 0; i < m->features.n; i++) {
		m->features.v[i].part = turned(m->features.v[i].part, np, by);
		m->features.v[i].joint = turned(m->features.v[i].joint, nj, by);
	}
	for (size_t i = 0; i < m->patterns.n; i++) {
		for (size_t k = 0; k < m->patterns.v[i].sheets.n; k++)
			m->patterns.v[i].sheets.v[k].part = turned(m->patterns.v[i].sheets.v[k].part, np, by);
		for (size_t k = 0; k < m->patterns.v[i].eases.n; k++)
			m->patterns.v[i].eases.v[k].part = turned(m->patterns.v[i].eases.v[k].part, np, by);
	}
}

static void rows_do_not_matter(void **state) {
	(void)state;
	arena mem = {0};
	model a = box_make(&mem, BOX_CLOSED - 1);
	diags d = diags_begin(&mem);
	assert_true(order_make(&a, &d));
	for (size_t by = 1; by < 9; by++) {
		model b = box_make(&mem, BOX_CLOSED - 1);
		turn(&b, by);
		assert_true(order_make(&b, &d));
		assert_string_equal(titles(&a), titles(&b));
		assert_int_equal(a.order.ops.n, b.order.ops.n);
		assert_int_equal(a.order.edges.n, b.order.edges.n);
		for (size_t i = 0; i < a.order.ops.n; i++) {
			assert_string_equal(a.order.ops.v[i].what, b.order.ops.v[i].what);
			assert_true(a.order.ops.v[i].minutes == b.order.ops.v[i].minutes);
		}
		for (size_t i = 0; i < a.order.edges.n; i++)
			assert_string_equal(a.order.edges.v[i].reason, b.order.edges.v[i].reason);
	}
	none(&d);
	arena_end(&mem);
}

/* While the glue of the frame cures, the field is bored and collars are seated in the sheet that comes next. */
static void waits_are_used(void **state) {
	(void)state;
	arena mem = {0};
	model m = box_make(&mem, BOX_FIELD);
	m.patterns.v[0].sheets.v[1].collar = box_stock(&m, STOCK_COLLAR, "collar");
	m.joints.v[0].n_screws = m.joints.v[1].n_screws = 0; /* glue alone holds the floor */
	diags d = diags_begin(&mem);
	assert_true(order_make(&m, &d));
	size_t glued = op_at(&m, "join floor into right");
	assert_true(m.order.ops.v[glued].wait_minutes > 0);
	bool bored = false, seated = false;
	for (size_t i = glued + 1; m.order.ops.v[i].kind != OP_JOIN; i++) {
		bored = bored || m.order.ops.v[i].kind == OP_OPEN;
		seated = seated || m.order.ops.v[i].kind == OP_SEAT;
	}
	assert_true(bored && seated);
	assert_true(m.order.ops.v[op_at(&m, "join floor into left")].wait_minutes == 0); /* glued in one go */
	arena_end(&mem);
}

/* Tape is laid on the page of its joint: after all that stood before, and before the first part of the group comes.
 * A step of its own takes it up when the plan says so. */
static void tape_is_laid_at_its_joint(void **state) {
	(void)state;
	for (int apart = 0; apart < 2; apart++) {
		arena mem = {0};
		model m = box_make(&mem, BOX_GASKET);
		if (apart) box_does(&m, box_step(&m, "Tape"), OP_GASKET);
		diags d = diags_begin(&mem);
		assert_true(order_make(&m, &d));
		none(&d);
		order_holds(&m);
		const char *tape[3] = {"lay the gasket between left and rear", "lay the gasket between right and rear",
				       "lay the gasket between floor and rear"};
		model_ref page = m.order.ops.v[op_at(&m, "join left to rear")].step;
		for (int i = 0; i < 3; i++) {
			comes_before(&m, tape[i], "join floor to rear");
			comes_before(&m, tape[i], "join left to rear");
			if (!apart) comes_before(&m, "join floor into right", tape[i]);
			assert_int_equal(m.order.ops.v[op_at(&m, tape[i])].step == page, !apart);
		}
		assert_string_equal(m.order.steps.v[page].title, "Screw rear to floor, left and right");
		assert_int_equal(m.order.steps.v[page].kind, OP_JOIN);
		assert_int_equal(strstr(titles(&m), "Tape\n") != NULL, apart);
		arena_end(&mem);
	}
}

/* On a bought thing tape is laid when that is fitted, not while the box is built. */
static void tape_of_a_filter(void **state) {
	(void)state;
	arena mem = {0};
	model m = box_make(&mem, BOX_FILTER);
	box_join(&m, JOINT_BUTT, "pleats", "baffle", 0);
	m.joints.v[m.joints.n - 1].gasket = box_stock(&m, STOCK_GASKET, "tape");
	diags d = diags_begin(&mem);
	assert_true(order_make(&m, &d));
	order_holds(&m);
	size_t fit = op_at(&m, "fit pleats");
	assert_int_equal(op_at(&m, "lay the gasket between pleats and baffle") + 1, fit);
	const model_step *s = &m.order.steps.v[m.order.ops.v[fit].step];
	assert_string_equal(s->title, "Fit pleats");
	assert_int_equal(s->ops.n, 2);
	comes_before(&m, "join right to top", "lay the gasket between pleats and baffle");
	arena_end(&mem);
}

static void heavy_things_need_helpers(void **state) {
	(void)state;
	arena mem = {0};
	model m = box_make(&mem, BOX_FAN);
	m.parts.v[box_find(&m, "blower")].mass_kg = 47;
	diags d = diags_begin(&mem);
	assert_true(order_make(&m, &d));
	const model_step *s = &m.order.steps.v[m.order.ops.v[op_at(&m, "fit blower")].step];
	assert_true(s->lift_kg == 47);
	assert_int_equal(s->helpers, 2); /* 47 kg over 23 kg, three people */
	assert_non_null(strstr(s->caution, "2 more people help"));
	arena_end(&mem);
}

/* Read in order, a caution stands in full once and is a reminder with its place after that; never less than that. */
static void cautions_get_short_not_lost(void **state) {
	(void)state;
	arena mem = {0};
	model m = box_make(&mem, BOX_FAN | BOX_GASKET);
	diags d = diags_begin(&mem);
	m.parts.v[box_find(&m, "left")].mass_kg = m.parts.v[box_find(&m, "right")].mass_kg = 30;
	assert_true(order_make(&m, &d));
	size_t full = 0, shorter = 0;
	for (size_t i = 0; i < m.order.steps.n; i++) {
		const model_step *s = &m.order.steps.v[i];
		assert_int_equal(s->caution != NULL, s->caution_brief != NULL);
		if (!s->caution) continue;
		full += strcmp(s->caution, s->caution_brief) == 0;
		if (strcmp(s->caution, s->caution_brief) != 0) {
			assert_true(strlen(s->caution_brief) < strlen(s->caution));
			assert_non_null(strstr(s->caution_brief, "step "));
			shorter++;
		}
		if (s->lift_kg > 23) assert_non_null(strstr(s->caution_brief, "a second person helps"));
		assert_int_equal(strstr(s->caution, "Lifting: ") != NULL,
				 strstr(s->caution_brief, "Lifting: ") != NULL);
	}
	assert_true(full >= 1 && shorter >= 1);
	arena_end(&mem);
}

/* ---- closed in --------------------------------------------------------------------------------------- */

static void fan_is_closed_in(void **state) {
	(void)state;
	arena mem = {0};
	model m = box_make(&mem, BOX_FAN | BOX_CLOSED | BOX_DOOR); /* the door does not lead behind the baffle */
	diags d = diags_begin(&mem);
	assert_true(order_make(&m, &d));
	const diag *g = only(&d, "closed-in");
	assert_true(span_same(g->at, m.parts.v[box_find(&m, "blower")].at));
	assert_string_equal(g->text, "blower, 300 mm x 200 mm x 300 mm, can no longer be put in");
	assert_string_equal(g->notes.v[0].text, "the widest way in is hatch, 500 mm x 400 mm");
	assert_string_equal(g->notes.v[1].text, "what was joined last before it: join right to rear");
	arena_end(&mem);
}

static void fan_fitted_in_time(void **state) {
	(void)state;
	arena mem = {0};
	model m = box_make(&mem, BOX_FAN | BOX_CLOSED);
	model_written *t = box_step(&m, "Fan");
	box_does(&m, t, OP_FAN);
	box_before(&m, t, "Close");
	t = box_step(&m, "Close");
	box_does(&m, t, OP_JOIN);
	box_names(&m, t, "rear");
	diags d = diags_begin(&mem);
	assert_true(order_make(&m, &d));
	none(&d);
	order_holds(&m);
	comes_before(&m, "fit blower", "join left to rear");
	comes_before(&m, "have the wiring done", "join left to rear");
	comes_before(&m, "join left to top", "fit blower"); /* the rest stands already */
	arena_end(&mem);
}

/* The outlet is 350 mm high: a fan of 300 mm passes, one of 360 mm does not. */
static void fan_through_the_outlet(void **state) {
	(void)state;
	for (int high = 0; high < 2; high++) {
		arena mem = {0};
		model m = box_make(&mem, BOX_FAN);
		m.parts.v[box_find(&m, "blower")].box = box_of(100, 500, 220, 480, 50, high ? 410 : 350);
		/* 400 wide, 260 deep: turned, its two smaller sizes are 260 and 360 or 260 and 300 */
		m.parts.v[box_find(&m, "outlet")].box = box_of(18, 582, 500, 518, 450, 700);
		m.parts.v[box_find(&m, "rear")].box = box_of(0, 600, 500, 518, 0, 450);
		model_ref lintel =
			box_part(&m, PART_PANEL, "lintel", 0, box_of(0, 600, 500, 518, high ? 700 : 800, 818));
		(void)lintel;
		box_join(&m, JOINT_BUTT, "top", "lintel", 2);
		diags d = diags_begin(&mem);
		assert_true(order_make(&m, &d));
		if (high)
			only(&d, "closed-in");
		else
			none(&d);
		arena_end(&mem);
	}
}

/* ---- what would stand in the way ----------------------------------------------------------------------- */

static bool has_reason(const model *m, const char *before, const char *after, const char *reason) {
	size_t a = op_at(m, before), b = op_at(m, after);
	for (size_t i = 0; i < m->order.edges.n; i++) {
		const model_edge *e = &m->order.edges.v[i];
		if (e->before == a && e->after == b && text_same(e->reason, reason)) return true;
	}
	return false;
}

/* A filter before the outlet: the whole of it, or a strip that the fan passes. */
static void filter_in_the_outlet(model *m, bool whole) {
	model_ref pleat = box_stock(m, STOCK_FILTER, "pleat");
	box_part(m, PART_ITEM, "pleats", pleat, box_of(18, whole ? 582 : 100, 460, 490, 450, 800));
}

static void filter_that_bars_the_fan(void **state) {
	(void)state;
	for (int whole = 0; whole < 2; whole++) {
		arena mem = {0};
		model m = box_make(&mem, BOX_FAN);
		filter_in_the_outlet(&m, whole);
		diags d = diags_begin(&mem);
		assert_true(order_make(&m, &d));
		none(&d);
		order_holds(&m);
		assert_int_equal(op_at(&m, "fit blower") < op_at(&m, "fit pleats"), whole);
		assert_int_equal(op_at(&m, "have the wiring done") < op_at(&m, "fit pleats"), whole);
		assert_int_equal(
			has_reason(&m, "fit blower", "fit pleats", "pleats would stand in the only way of blower"),
			whole);
		assert_int_equal(has_reason(&m, "have the wiring done", "fit pleats",
					    "pleats would stand between the hand and blower, which is wired first"),
				 whole);
		arena_end(&mem);
	}
}

/* What the plan writes holds; then the fan is closed in by the filter, and that is told. */
static void filter_written_first(void **state) {
	(void)state;
	for (int whole = 0; whole < 2; whole++) {
		arena mem = {0};
		model m = box_make(&mem, BOX_FAN);
		filter_in_the_outlet(&m, whole);
		model_written *t = box_step(&m, "Media");
		box_does(&m, t, OP_FILTER);
		box_before(&m, t, "Fan");
		box_does(&m, box_step(&m, "Fan"), OP_FAN);
		diags d = diags_begin(&mem);
		assert_true(order_make(&m, &d));
		comes_before(&m, "fit pleats", "fit blower");
		if (whole) {
			const diag *g = only(&d, "closed-in");
			assert_true(span_same(g->at, m.parts.v[box_find(&m, "blower")].at));
			assert_string_equal(g->notes.v[0].text, "pleats stands in its way already");
			assert_true(span_same(g->notes.v[0].at, m.parts.v[box_find(&m, "pleats")].at));
			assert_string_equal(g->help, "fit it before pleats, or give it a way of its own");
		} else {
			none(&d);
		}
		arena_end(&mem);
	}
}

/* Two filters side by side: neither bars the fan's way, both do. */
static void filters_bar_together(void **state) {
	(void)state;
	for (int both = 0; both < 2; both++) {
		arena mem = {0};
		model m = box_make(&mem, BOX_FAN);
		model_ref pleat = box_stock(&m, STOCK_FILTER, "pleat");
		box_part(&m, PART_ITEM, "pleat_a", pleat, box_of(18, 200, 460, 490, 450, 800));
		if (both) box_part(&m, PART_ITEM, "pleat_b", pleat, box_of(380, 582, 460, 490, 450, 800));
		diags d = diags_begin(&mem);
		assert_true(order_make(&m, &d));
		none(&d);
		order_holds(&m);
		assert_int_equal(op_at(&m, "fit blower") < op_at(&m, "fit pleat a"), both);
		arena_end(&mem);
	}
}

/* A loose lid comes last, unless something stands on it. */
static void lids_come_last(void **state) {
	(void)state;
	for (int stands = 0; stands < 2; stands++) {
		arena mem = {0};
		model m = box_make(&mem, BOX_FAN | BOX_FILTER);
		model_ref lid = stands ? box_part(&m, PART_PANEL, "lid", 0, box_of(50, 550, 220, 490, 182, 200))
				       : box_part(&m, PART_PANEL, "lid", 0, box_of(18, 582, 500, 518, 450, 800));
		if (stands) m.parts.v[box_find(&m, "pleats")].box = box_of(18, 48, 220, 300, 400, 700);
		m.parts.v[lid].loose = true;
		diags d = diags_begin(&mem);
		assert_true(order_make(&m, &d));
		none(&d);
		order_holds(&m);
		assert_int_equal(op_at(&m, "put in lid") < op_at(&m, "fit blower"), stands);
		assert_int_equal(op_at(&m, "put in lid") < op_at(&m, "have the wiring done"), stands);
		comes_before(&m, "fit pleats", "put in lid");
		assert_int_equal(has_reason(&m, "put in lid", "fit blower", "blower stands on lid"), stands);
		arena_end(&mem);
	}
}

/* A lid with a stop is joined on the bench and put in as one; a stop that is joined to the wall, too, is carcass. */
static void lid_with_a_stop(void **state) {
	(void)state;
	for (int wall = 0; wall < 2; wall++) {
		arena mem = {0};
		model m = box_make(&mem, BOX_FAN);
		model_ref lid = box_part(&m, PART_PANEL, "lid", 0, box_of(18, 582, 500, 518, 450, 800));
		m.parts.v[lid].loose = true;
		model_ref stop = box_part(&m, PART_CLEAT, "stop", 0, box_of(18, 60, 480, 500, 500, 700));
		model_ref knob = box_part(&m, PART_CLEAT, "knob", 0, box_of(300, 340, 518, 538, 600, 640));
		box_join(&m, JOINT_BUTT, "stop", "lid", 2);
		box_join(&m, JOINT_BUTT, "knob", "lid", 2);
		if (wall) box_join(&m, JOINT_BUTT, "stop", "left", 2);
		model_written *t = box_step(&m, "Close");
		box_does(&m, t, OP_FIT);
		box_names(&m, t, "lid");
		diags d = diags_begin(&mem);
		assert_true(order_make(&m, &d));
		order_holds(&m);
		if (wall) {
			for (size_t i = 0; i < m.order.ops.n; i++) assert_int_not_equal(m.order.ops.v[i].kind, OP_FIT);
			arena_end(&mem);
			continue;
		}
		none(&d);
		assert_true(has_reason(&m, "join stop to lid", "put in lid",
				       "it is joined on the bench, then put in as one"));
		comes_before(&m, "have the wiring done", "put in lid");
		const model_step *s = &m.order.steps.v[m.order.ops.v[op_at(&m, "put in lid")].step];
		assert_string_equal(s->title, "Close");
		assert_int_equal(s->new_parts.n, 3);
		assert_true(fabs(s->lift_kg - m.parts.v[lid].mass_kg - m.parts.v[stop].mass_kg -
				 m.parts.v[knob].mass_kg) < 1e-9);
		s = &m.order.steps.v[m.order.ops.v[op_at(&m, "join stop to lid")].step];
		assert_string_equal(s->title, "Screw stop and knob to lid");
		assert_int_equal(s->new_parts.n, 0);
		arena_end(&mem);
	}
}

/* What is joined to nothing else of the carcass: an assembly set in as one, unless a door hangs on it. The walls of two
 * such pieces are no rectangle whose diagonals tell anything. */
static void two_trays(void **state) {
	(void)state;
	for (int placed = 0; placed < 2; placed++) {
		arena mem = {0};
		model m = box_make(&mem, BOX_FAN);
		const char *const names[2][2] = {{"a.wall", "a.base"}, {"b.wall", "b.base"}};
		for (int t = 0; t < 2; t++) {
			model_ref wall = box_part(&m, PART_PANEL, names[t][0], 0,
						  box_of(60 + 250 * t, 72 + 250 * t, 20, 200, 200, 400));
			model_ref base = box_part(&m, PART_PANEL, names[t][1], 0,
						  box_of(72 + 250 * t, 260 + 250 * t, 20, 200, 200, 212));
			box_join(&m, JOINT_BUTT, names[t][1], names[t][0], 2);
			if (placed) m.parts.v[wall].placed = m.parts.v[base].placed = t ? "b." : "a.";
		}
		diags d = diags_begin(&mem);
		assert_true(order_make(&m, &d));
		order_holds(&m);
		size_t put_in = 0;
		for (size_t i = 0; i < m.order.ops.n; i++) put_in += m.order.ops.v[i].kind == OP_FIT;
		assert_int_equal(put_in, placed ? 2 : 0);
		if (placed) comes_before(&m, "join a base to a wall", "put in a");
		for (size_t i = 0; i < m.order.steps.n; i++) {
			const char *check = m.order.steps.v[i].check;
			if (check && strstr(check, "a wall and b wall")) fail_msg("%s", check);
		}
		arena_end(&mem);
	}
}

/* A skin 40 mm outside the left wall hides the screws that hold the floor: it comes later, though it is larger. */
static void model_with_skin(model *m) {
	box_part(m, PART_PANEL, "skin", 0, box_of(-58, -40, 0, 500, -100, 900));
	box_part(m, PART_CLEAT, "spacer", 0, box_of(-40, 0, 0, 40, 300, 400));
	box_join(m, JOINT_BUTT, "spacer", "left", 0);
	box_join(m, JOINT_BUTT, "spacer", "skin", 1);
	m->parts.v[m->parts.n - 1].thick_axis = AXIS_X;
}

static void screws_are_reached(void **state) {
	(void)state;
	arena mem = {0};
	model m = box_make(&mem, 0);
	model_with_skin(&m);
	diags d = diags_begin(&mem);
	assert_true(order_make(&m, &d));
	none(&d);
	order_holds(&m);
	comes_before(&m, "join floor into left", "join spacer to skin");
	comes_before(&m, "join baffle to left", "join spacer to skin");
	arena_end(&mem);
}

static void screws_are_hidden(void **state) {
	(void)state;
	arena mem = {0};
	model m = box_make(&mem, 0);
	model_with_skin(&m);
	model_written *t = box_step(&m, "Skin");
	box_does(&m, t, OP_JOIN);
	box_names(&m, t, "skin");
	box_names(&m, t, "spacer");
	box_before(&m, t, "Baffle");
	t = box_step(&m, "Baffle");
	box_does(&m, t, OP_JOIN);
	box_names(&m, t, "baffle");
	m.measures = MEASURES_INCH;
	diags d = diags_begin(&mem);
	assert_true(order_make(&m, &d));
	const diag *g = only(&d, "closed-in");
	assert_string_equal(g->text, "the screws that hold baffle to left can no longer be reached");
	assert_non_null(strstr(g->notes.v[0].text, " in before their heads")); /* in the plan's measures */
	assert_true(span_same(g->notes.v[0].at, m.parts.v[box_find(&m, "skin")].at));
	arena_end(&mem);
}

/* A shelf between baffle, rear and sides goes in before the last wall; forced behind it, that is an error. */
static void shelf_goes_in_first(void **state) {
	(void)state;
	for (int forced = 0; forced < 2; forced++) {
		arena mem = {0};
		model m = box_make(&mem, BOX_CLOSED);
		box_part(&m, PART_PANEL, "shelf", 0, box_of(18, 582, 218, 500, 400, 418));
		box_join(&m, JOINT_DADO, "shelf", "left", 0);
		box_join(&m, JOINT_DADO, "shelf", "right", 0);
		if (forced) {
			model_written *t = box_step(&m, "Shell");
			box_does(&m, t, OP_JOIN);
			for (const char *const *n =
				     (const char *const[]){"floor", "left", "right", "top", "rear", "baffle", NULL};
			     *n; n++)
				box_names(&m, t, *n);
			t = box_step(&m, "Shelf");
			box_does(&m, t, OP_JOIN);
			box_names(&m, t, "shelf");
			box_after(&m, t, "Shell");
		}
		diags d = diags_begin(&mem);
		assert_true(order_make(&m, &d));
		if (forced) {
			const diag *g = only(&d, "closed-in");
			assert_string_equal(g->text, "shelf can no longer be put in when it is to be joined");
		} else {
			none(&d);
			order_holds(&m);
			comes_before(&m, "join shelf into left", "join left to rear");
		}
		arena_end(&mem);
	}
}

/* The baffle housed in both sides, its dados stopped before the edges, can only come before the second side: forced
 * behind it, its tongues hold it out though the box is open. */
static void tongues_go_in_first(void **state) {
	(void)state;
	for (int forced = 0; forced < 2; forced++) {
		arena mem = {0};
		model m = box_make(&mem, 0);
		m.joints.v[7].kind = m.joints.v[8].kind = JOINT_DADO;
		if (forced) {
			model_written *t = box_step(&m, "Sides");
			box_does(&m, t, OP_JOIN);
			for (const char *const *n = (const char *const[]){"floor", "left", "right", "top", NULL}; *n;
			     n++)
				box_names(&m, t, *n);
			t = box_step(&m, "Baffle");
			box_does(&m, t, OP_JOIN);
			box_names(&m, t, "baffle");
			box_after(&m, t, "Sides");
		}
		diags d = diags_begin(&mem);
		assert_true(order_make(&m, &d));
		if (forced)
			assert_string_equal(only(&d, "closed-in")->text,
					    "baffle can no longer be put in when it is to be joined");
		else
			none(&d);
		arena_end(&mem);
	}
}

/* ---- written steps ------------------------------------------------------------------------------------- */

static void written_steps_take_up(void **state) {
	(void)state;
	arena mem = {0};
	model m = box_make(&mem, BOX_FINISH | BOX_FIELD);
	model_written *t = box_step(&m, "Make the walls");
	box_does(&m, t, OP_CUT);
	box_does(&m, t, OP_GROOVE);
	box_names(&m, t, "left");
	box_names(&m, t, "right");
	t->minutes = 100;
	t->helpers = 3;
	t->note.v = "Mark the front edges.";
	t->check.v = "Both are alike.";
	m.written.v[0].wait_minutes = 1440; /* of "Oil" */
	t = box_step(&m, "Rest");
	t->note.v = "Sweep the shop.";
	box_after(&m, t, "Oil");
	diags d = diags_begin(&mem);
	assert_true(order_make(&m, &d));
	none(&d);
	order_holds(&m);
	const model_step *s = &m.order.steps.v[m.order.ops.v[op_at(&m, "cut left")].step];
	assert_string_equal(s->title, "Make the walls");
	assert_int_equal(s->ops.n, 4);
	assert_true(fabs(s->minutes - 100) < 1e-9);
	assert_int_equal(s->helpers, 3);
	assert_string_equal(s->note, "Mark the front edges.");
	assert_non_null(strstr(s->check, "Both are alike."));
	const model_step *oil = &m.order.steps.v[m.order.ops.v[op_at(&m, "sand and finish top")].step];
	assert_string_equal(oil->title, "Oil");
	assert_true(oil->wait_minutes == 1440);
	comes_before(&m, "sand and finish top", "Rest");
	assert_int_equal(m.order.ops.v[op_at(&m, "Rest")].kind, OP_WRITTEN);
	arena_end(&mem);
}

/* Finishing behind the assembly is the plan's to say: the wish to finish flat gives way. */
static void written_order_wins_over_wishes(void **state) {
	(void)state;
	arena mem = {0};
	model m = box_make(&mem, BOX_FINISH);
	box_does(&m, box_step(&m, "Build"), OP_JOIN);
	box_after(&m, &m.written.v[0], "Build"); /* "Oil" */
	diags d = diags_begin(&mem);
	assert_true(order_make(&m, &d));
	none(&d);
	order_holds(&m);
	comes_before(&m, "join right to top", "sand and finish baffle");
	arena_end(&mem);
}

/* A step whose operations cannot stand together is done in parts, and says so. */
static void step_in_parts(void **state) {
	(void)state;
	arena mem = {0};
	model m = box_make(&mem, 0);
	model_written *t = box_step(&m, "Saw and build");
	box_does(&m, t, OP_CUT);
	box_does(&m, t, OP_JOIN);
	diags d = diags_begin(&mem);
	assert_true(order_make(&m, &d));
	none(&d);
	order_holds(&m);
	assert_string_equal(m.order.steps.v[m.order.ops.v[op_at(&m, "cut left")].step].title, "Saw and build, 1 of 5");
	assert_string_equal(m.order.steps.v[m.order.ops.v[op_at(&m, "join left to top")].step].title,
			    "Saw and build, 5 of 5: Screw top to left and right");
	arena_end(&mem);
}

/* Finishing is the plan's to ask for: the stock alone, brought in for its glue, asks for nothing. */
static void finish_when_asked(void **state) {
	(void)state;
	for (int asked = 0; asked < 2; asked++) {
		arena mem = {0};
		model m = box_make(&mem, 0);
		box_stock(&m, STOCK_FINISH, "glue");
		if (asked) {
			model_written *t = box_step(&m, "Oil");
			box_does(&m, t, OP_FINISH);
			box_names(&m, t, "top");
		}
		diags d = diags_begin(&mem);
		assert_true(order_make(&m, &d));
		none(&d);
		order_holds(&m);
		size_t n = 0;
		for (size_t i = 0; i < m.order.ops.n; i++) n += m.order.ops.v[i].kind == OP_FINISH;
		assert_int_equal(n, asked);
		if (asked) comes_before(&m, "sand and finish top", "join left to top");
		arena_end(&mem);
	}
}

/* Sheets are measured and templates made before there are parts: only what is cut handles them. */
static void no_parts_before_the_saw(void **state) {
	(void)state;
	arena mem = {0};
	model m = box_make(&mem, BOX_FIELD);
	model_template *t = LIST_ADD(&mem, &m.templates);
	*t = (model_template){.name = "vent", .tool = MODEL_NONE};
	model_template_use use = {.pattern = 0, .part = box_find(&m, "baffle")};
	for (int i = 1; i <= 3; i++) LIST_PUSH(&mem, &use.depths, rat_int(6 * i));
	LIST_PUSH(&mem, &t->uses, use);
	diags d = diags_begin(&mem);
	assert_true(order_make(&m, &d));
	none(&d);
	order_holds(&m);
	assert_int_equal(m.order.ops.v[op_at(&m, "measure ply18")].parts.n, 0);
	assert_int_equal(m.order.ops.v[op_at(&m, "make and test template vent")].parts.n, 0);
	assert_int_equal(m.order.ops.v[op_at(&m, "cut baffle")].parts.n, 1);
	comes_before(&m, "make and test template vent", "open vents in baffle");
	assert_true(m.order.steps.v[1].lift_kg > 30); /* a whole sheet is handled */
	arena_end(&mem);
}

static void circle_is_named(void **state) {
	(void)state;
	arena mem = {0};
	model m = box_make(&mem, BOX_FINISH | BOX_FILTER);
	model_written *t = box_step(&m, "Media");
	box_does(&m, t, OP_FILTER);
	box_before(&m, t, "Oil");
	span where = t->before.v[0].at;
	diags d = diags_begin(&mem);
	assert_false(order_make(&m, &d));
	assert_int_equal(m.order.steps.n, 0);
	assert_true(m.order.ops.n > 0);
	const diag *g = only(&d, "order-circle");
	assert_true(span_same(g->at, where));
	assert_string_equal(
		g->text,
		"the work runs in a circle: \"fit pleats\" (in step \"Media\"), then \"sand and finish baffle\" "
		"(in step \"Oil\"), then \"fit pleats\" (in step \"Media\") again");
	assert_int_equal(g->notes.n, 2);
	assert_string_equal(
		g->notes.v[0].text,
		"\"fit pleats\" (in step \"Media\") comes before \"sand and finish baffle\" (in step \"Oil\"): step "
		"\"Media\" is written before \"Oil\"");
	assert_string_equal(g->notes.v[1].text, "\"sand and finish baffle\" (in step \"Oil\") comes before \"fit "
						"pleats\" (in step \"Media\"): the finish "
						"is dry before media and gaskets go in");
	assert_true(span_same(g->notes.v[1].at, m.parts.v[box_find(&m, "baffle")].at));
	arena_end(&mem);
}

/* A loop of three written steps: every link stands in a note, and each note begins where the one before it ended. */
static void long_circle(void **state) {
	(void)state;
	arena mem = {0};
	model m = box_make(&mem, 0);
	const char *name[3] = {"A", "B", "C"};
	for (int i = 0; i < 3; i++) {
		model_written *t = box_step(&m, name[i]);
		t->note.v = "words";
		box_after(&m, t, name[(i + 1) % 3]);
	}
	diags d = diags_begin(&mem);
	assert_false(order_make(&m, &d));
	const diag *g = only(&d, "order-circle");
	assert_int_equal(g->notes.n, 3);
	for (size_t i = 0; i < 3; i++) {
		char first[4] = {0}, second[4] = {0}, again[4] = {0};
		assert_int_equal(sscanf(g->notes.v[i].text, "%3s comes before %3[^:]", first, second), 2);
		assert_int_equal(sscanf(g->notes.v[(i + 1) % 3].text, "%3s", again), 1);
		assert_string_equal(second, again);
		assert_non_null(strstr(g->notes.v[i].text, "is written after"));
	}
	arena_end(&mem);
}

static void itself(void **state) {
	(void)state;
	arena mem = {0};
	model m = box_make(&mem, 0);
	model_written *t = box_step(&m, "Build");
	box_does(&m, t, OP_JOIN);
	box_after(&m, t, "Build");
	diags d = diags_begin(&mem);
	assert_false(order_make(&m, &d));
	assert_string_equal(only(&d, "order-circle")->text, "step \"Build\" is to come after itself");
	arena_end(&mem);
}

static void names_are_checked(void **state) {
	(void)state;
	arena mem = {0};
	model m = box_make(&mem, 0);
	model_written *t = box_step(&m, "Build");
	box_does(&m, t, OP_JOIN);
	box_after(&m, t, "Measur");
	t = box_step(&m, "Measure");
	box_does(&m, t, OP_MEASURE);
	diags d = diags_begin(&mem);
	assert_false(order_make(&m, &d));
	const diag *g = only(&d, "plan-unknown-step");
	assert_string_equal(g->text, "there is no step \"Measur\"");
	assert_string_equal(g->help, "write \"Measure\"");
	arena_end(&mem);
}

static void empty_step_is_told(void **state) {
	(void)state;
	arena mem = {0};
	model m = box_make(&mem, 0);
	model_written *t = box_step(&m, "Hang the door");
	box_does(&m, t, OP_DOOR);
	diags d = diags_begin(&mem);
	assert_true(order_make(&m, &d));
	const diag *g = only(&d, "step-empty");
	assert_int_equal(g->severity, DIAG_WARNING);
	assert_true(span_same(g->at, m.written.v[0].at));
	order_holds(&m);
	arena_end(&mem);
}

/* Many slats on two rails: some hundreds of operations, and still whole. */
static void many_parts(void **state) {
	(void)state;
	arena mem = {0};
	model m = box_make(&mem, 0);
	for (int i = 0; i < 60; i++) {
		char *name = arena_printf(&mem, "slat.%d", i + 1);
		model_ref p = box_part(&m, PART_SLAT, name, 0, box_of(0, 600, 518, 538, 10 + 12 * i, 20 + 12 * i));
		m.parts.v[p].group = "slat";
		m.parts.v[p].number = (uint32_t)i + 1;
		box_join(&m, JOINT_LAP, name, "rear", 0);
	}
	diags d = diags_begin(&mem);
	assert_true(order_make(&m, &d));
	none(&d);
	order_holds(&m);
	assert_non_null(strstr(titles(&m), "60 x slat to rear"));
	arena_end(&mem);
}

int main(void) {
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(every_box_holds),
		cmocka_unit_test(whole_box_reads),
		cmocka_unit_test(empty_model),
		cmocka_unit_test(rows_do_not_matter),
		cmocka_unit_test(waits_are_used),
		cmocka_unit_test(tape_is_laid_at_its_joint),
		cmocka_unit_test(tape_of_a_filter),
		cmocka_unit_test(heavy_things_need_helpers),
		cmocka_unit_test(cautions_get_short_not_lost),
		cmocka_unit_test(fan_is_closed_in),
		cmocka_unit_test(fan_fitted_in_time),
		cmocka_unit_test(fan_through_the_outlet),
		cmocka_unit_test(filter_that_bars_the_fan),
		cmocka_unit_test(filter_written_first),
		cmocka_unit_test(filters_bar_together),
		cmocka_unit_test(lids_come_last),
		cmocka_unit_test(lid_with_a_stop),
		cmocka_unit_test(two_trays),
		cmocka_unit_test(screws_are_reached),
		cmocka_unit_test(screws_are_hidden),
		cmocka_unit_test(shelf_goes_in_first),
		cmocka_unit_test(written_steps_take_up),
		cmocka_unit_test(written_order_wins_over_wishes),
		cmocka_unit_test(step_in_parts),
		cmocka_unit_test(finish_when_asked),
		cmocka_unit_test(no_parts_before_the_saw),
		cmocka_unit_test(circle_is_named),
		cmocka_unit_test(long_circle),
		cmocka_unit_test(itself),
		cmocka_unit_test(names_are_checked),
		cmocka_unit_test(empty_step_is_told),
		cmocka_unit_test(many_parts),
		cmocka_unit_test(tongues_go_in_first),
	};
	return cmocka_run_group_tests(tests, NULL, NULL);
}
