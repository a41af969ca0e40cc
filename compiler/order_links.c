/* What comes before what, and why. */
#include <string.h>

#include "compiler/order_inner.h"
#include "runtime/base/text.h"

/* Where the link between these two stands in the table, or would. */
static uint32_t *link_slot(const order_work *w, model_ref before, model_ref after) {
	uint64_t hash = ((uint64_t)before << 32 | after) * 0x9E3779B97F4A7C15u;
	for (size_t i = (size_t)(hash >> 32);; i++) {
		uint32_t *slot = &w->link_at[i & (w->link_room - 1)];
		if (*slot == 0) return slot;
		const order_link *l = &w->links.v[*slot - 1];
		if (l->before == before && l->after == after) return slot;
	}
}

/* Room for one more: at most half of the table is taken. */
static void links_room(order_work *w) {
	if (2 * (w->links.n + 1) <= w->link_room) return;
	w->link_room = w->link_room ? 2 * w->link_room : 1024;
	w->link_at = ARENA_MANY(w->mem, uint32_t, w->link_room);
	for (size_t i = 0; i < w->links.n; i++)
		*link_slot(w, w->links.v[i].before, w->links.v[i].after) = (uint32_t)(i + 1);
}

void order_link_add(order_work *w, model_ref before, model_ref after, order_bond bond, span at, const char *reason) {
	if (before == MODEL_NONE || after == MODEL_NONE || before == after) return;
	links_room(w);
	uint32_t *slot = link_slot(w, before, after);
	if (*slot == 0) {
		LIST_PUSH(w->mem, &w->links, ((order_link){before, after, reason, at, bond}));
		*slot = (uint32_t)w->links.n;
	} else if (bond < w->links.v[*slot - 1].bond) {
		w->links.v[*slot - 1] = (order_link){before, after, reason, at, bond}; /* the firmer one stays */
	}
}

static void need(order_work *w, model_ref before, model_ref after, span at, const char *reason) {
	order_link_add(w, before, after, BOND_NEED, at, reason);
}
static void wish(order_work *w, model_ref before, model_ref after, span at, const char *reason) {
	order_link_add(w, before, after, BOND_WISH, at, reason);
}

static bool handles(const model_op *o, model_ref part) {
	for (size_t i = 0; i < o->parts.n; i++)
		if (o->parts.v[i] == part) return true;
	return false;
}

static span place(const order_work *w, model_ref part) { return w->m->parts.v[part].at; }

/* ---- stock and flat work ----------------------------------------------------------------------- */

static void stock_links(order_work *w) {
	for (size_t i = 0; i < w->ops.n; i++) {
		model_ref op = (model_ref)i;
		const model_op *o = &w->ops.v[i];
		if (o->kind == OP_MEASURE) {
			need(w, w->buy, op, o->at, "sheets are measured as they came");
			for (size_t k = 0; k < o->parts.n; k++) {
				need(w, op, w->of[o->parts.v[k]].cut, o->at,
				     "sizes follow the measured thickness of the sheet");
				need(w, op, w->of[o->parts.v[k]].groove, o->at,
				     "a dado is as wide as the sheet was measured");
			}
		} else if (o->kind == OP_CUT) {
			need(w, w->buy, op, o->at, "the stock is there and checked before it is cut");
		} else if (o->kind == OP_TEMPLATE) {
			need(w, w->buy, op, o->at, "the template is made from stock that is there");
		} else if (o->kind >= OP_SEAT && o->kind <= OP_DOOR && o->kind != OP_WIRE) {
			bool own =
				o->kind == OP_FIT && o->parts.n && model_part_made(w->m, &w->m->parts.v[o->parts.v[0]]);
			if (own) continue;
			need(w, w->buy, op, o->at, "what is bought is there before it is fitted");
		}
	}
}

static void shape_links(order_work *w) {
	for (size_t i = 0; i < w->ops.n; i++) {
		const model_op *o = &w->ops.v[i];
		model_ref op = (model_ref)i;
		for (size_t k = 0; k < o->parts.n; k++) {
			const order_of_part *of = &w->of[o->parts.v[k]];
			if (o->kind == OP_GROOVE)
				need(w, of->cut, op, o->at, "a dado is laid out on a part that has its size");
			if (o->kind == OP_OPEN)
				need(w, of->cut, op, o->at, "openings are laid out from the edges of the cut part");
			if (o->kind == OP_DRILL)
				need(w, of->cut, op, o->at, "screw holes are laid out from the edges of the cut part");
			if (o->kind == OP_TRY) /* it has no line of its own in the plan */
				need(w, of->cut, op, place(w, o->parts.v[k]), "only cut parts can be tried");
			if (o->kind == OP_FINISH) need(w, of->cut, op, o->at, "a part is finished when it is made");
			if (o->kind == OP_WRITTEN) need(w, of->cut, op, o->at, "a part is cut before it is worked on");
			if (o->kind == OP_DRILL)
				wish(w, of->groove, op, o->at,
				     "screws stand in the middle of the dado, which is there first");
			if (o->kind == OP_TRY)
				need(w, of->groove, op, place(w, o->parts.v[k]),
				     "dados are there before the fit is tried");
			if (o->kind == OP_FINISH) {
				need(w, of->groove, op, o->at, "dados are cut before the faces are finished");
				wish(w, of->drill, op, o->at, "drilling would break a finished face");
				wish(w, w->try_op, op, place(w, o->parts.v[k]),
				     "a tight fit is eased before it is finished");
			}
			if (o->kind == OP_TRY)
				wish(w, of->drill, op, o->at, "the dry fit shows whether the holes meet");
		}
	}
}

/* Template, openings of one pattern, their edges, collars and tubes. */
static void pattern_links(order_work *w) {
	for (size_t i = 0; i < w->ops.n; i++) {
		const model_op *o = &w->ops.v[i];
		if (o->kind != OP_OPEN) continue;
		const model_pattern *pat = &w->m->patterns.v[o->pattern];
		model_ref lead = pat->sheets.v[0].part, part = o->parts.v[0];
		for (size_t k = 0; k < w->ops.n; k++) {
			const model_op *q = &w->ops.v[k];
			if (q->template != MODEL_NONE &&
			    model_template_serves(&w->m->templates.v[q->template], o->pattern, part))
				need(w, (model_ref)k, (model_ref)i, o->at,
				     "the template's test cut is measured before the sheet is cut");
			if (q->pattern != o->pattern) {
				if (q->kind == OP_FINISH && handles(q, part))
					need(w, (model_ref)i, (model_ref)k, o->at,
					     "openings are cut before the faces are finished");
				continue;
			}
			if (q->kind == OP_OPEN && part != lead && handles(q, lead))
				need(w, (model_ref)k, (model_ref)i, o->at,
				     arena_printf(w->mem,
						  "the openings are marked through from %s, so that their axes meet",
						  order_spoken(w->mem, w->m->parts.v[lead].name)));
			if (q->kind == OP_OPEN && part == lead && !handles(q, lead))
				need(w, w->of[q->parts.v[0]].cut, (model_ref)i, o->at,
				     "sheets that share openings are stacked and marked through before they are "
				     "parted");
			if (q->kind == OP_EASE && handles(q, part))
				need(w, (model_ref)i, (model_ref)k, o->at, "an edge is there before it is eased");
			if (q->kind == OP_SEAT && handles(q, part))
				need(w, (model_ref)i, (model_ref)k, o->at, "what is seated needs its hole");
			if (q->kind == OP_FILTER)
				need(w, (model_ref)i, (model_ref)k, o->at, "a tube hangs in its opening");
		}
	}
	for (size_t i = 0; i < w->ops.n; i++) {
		const model_op *o = &w->ops.v[i];
		if (o->kind == OP_EASE)
			wish(w, (model_ref)i, w->of[o->parts.v[0]].finish, o->at,
			     "eased edges are sanded and finished with the face");
		for (size_t k = 0; o->kind == OP_SEAT && o->pattern != MODEL_NONE && k < w->ops.n; k++)
			if (w->ops.v[k].kind == OP_FILTER && w->ops.v[k].pattern == o->pattern)
				need(w, (model_ref)i, (model_ref)k, o->at, "the tubes hang on the collars");
	}
}

/* ---- joining ------------------------------------------------------------------------------------------ */

static void prepared(order_work *w, model_ref part) {
	model_ref join = w->of[part].first_join;
	const order_of_part *of = &w->of[part];
	span at = place(w, part);
	need(w, of->cut, join, at, "a part is cut before it is joined");
	need(w, of->groove, join, at, "dados are cut while the sheet is flat");
	need(w, of->drill, join, at, "screw holes are drilled before the part is joined");
	wish(w, of->finish, join, at, "inside faces are finished flat: nobody reaches them later");
	for (size_t i = 0; i < w->ops.n; i++) {
		const model_op *o = &w->ops.v[i];
		if (o->kind == OP_OPEN && handles(o, part))
			need(w, (model_ref)i, join, o->at, "the field is drilled before the box closes round it");
		if (o->kind == OP_EASE && handles(o, part))
			wish(w, (model_ref)i, join, o->at, "edges are eased while both faces can be reached");
		if (o->kind == OP_SEAT && o->pattern != MODEL_NONE && handles(o, part))
			wish(w, (model_ref)i, join, o->at, "what is seated is seated while the sheet lies flat");
	}
}

static void sequence_links(order_work *w) {
	for (size_t i = 0; i < w->joining.n; i++) {
		model_ref op = w->joining.v[i];
		wish(w, w->try_op, op, w->ops.v[op].at, "all joints have been tried dry before the first is closed");
		model_ref earlier = MODEL_NONE, bench = w->bench[w->ops.v[op].parts.v[0]];
		for (size_t e = 0; e < i; e++)
			if (w->bench[w->ops.v[w->joining.v[e]].parts.v[0]] == bench) earlier = w->joining.v[e];
		if (earlier == MODEL_NONE) continue;
		const char *reason = bench == MODEL_NONE
					     ? "the carcass grows part by part, so that each can still get in"
					     : "the piece grows part by part on the bench";
		span at = w->ops.v[op].at;
		for (size_t k = 0; k < w->ops.v[op].parts.n; k++) {
			model_ref p = w->ops.v[op].parts.v[k];
			for (size_t e = 0; e < i; e++) {
				if (!handles(&w->ops.v[w->joining.v[e]], p)) continue;
				const char *stands =
					arena_printf(w->mem, "%s stands already, and carries what is joined to it",
						     order_spoken(w->mem, w->m->parts.v[p].name));
				need(w, w->joining.v[e], op, at, stands);
				break;
			}
		}
		need(w, earlier, op, at, reason);
	}
}

/* Before the first part of the joint's group comes, and no earlier than that: on parts that are there. */
static void gasket_links(order_work *w, model_ref op) {
	const model_op *o = &w->ops.v[op];
	model_ref joint_op = w->joint_op[o->joint];
	bool joined = w->role[o->joint] == ROLE_JOIN, apart = o->written != w->ops.v[joint_op].written;
	for (size_t k = 0; k < o->parts.n; k++) {
		need(w, w->of[o->parts.v[k]].cut, op, o->at, "tape is laid on a part that is there");
		if (!joined) need(w, w->of[o->parts.v[k]].first_join, op, o->at, "tape is laid on a part that stands");
	}
	need(w, op, joint_op, o->at, "the gasket lies between the faces before they close");
	for (size_t i = 0; i < w->joining.n && joined && !apart; i++) {
		model_ref join = w->joining.v[i];
		if (w->group.v[join] != w->group.v[joint_op]) continue;
		need(w, op, join, o->at, "the gasket lies between the faces before they close");
		wish(w, w->try_op, op, o->at, "all joints have been tried dry before the first is taped");
		if (i > 0)
			wish(w, w->joining.v[i - 1], op, o->at,
			     "tape is laid when its joint is made: it stays clean and whole");
		return;
	}
}

static void joint_links(order_work *w) {
	for (size_t i = 0; i < w->m->parts.n; i++)
		if (w->of[w->parts.v[i]].first_join != MODEL_NONE) prepared(w, w->parts.v[i]);
	sequence_links(w);
	for (size_t i = 0; i < w->ops.n; i++)
		if (w->ops.v[i].kind == OP_GASKET) gasket_links(w, (model_ref)i);
	for (size_t i = 0; i < w->joints.n; i++) { /* what a door or a bought thing is joined to stands first */
		model_ref row = w->joints.v[i];
		const model_joint *j = &w->m->joints.v[row];
		if (w->role[row] == ROLE_NONE || w->role[row] == ROLE_JOIN) continue;
		model_ref parts[2] = {j->a, j->b};
		for (int k = 0; k < 2; k++) {
			const order_of_part *of = &w->of[parts[k]];
			need(w, of->cut, w->joint_op[row], j->at, "a part is cut before something is joined to it");
			need(w, of->drill, w->joint_op[row], j->at, "screw holes are drilled before they are used");
		}
	}
}

/* ---- what comes when the box stands --------------------------------------------------------------------- */

static bool reaches(const order_work *w, model_ref from, model_ref to, bool *seen) {
	if (from == to) return true;
	seen[from] = true;
	for (size_t i = 0; i < w->links.n; i++)
		if (w->links.v[i].before == from && !seen[w->links.v[i].after] &&
		    reaches(w, w->links.v[i].after, to, seen))
			return true;
	return false;
}

/* Behind the last group of joints that the plan lets come first. */
static void after_joining(order_work *w, model_ref op, const char *reason) {
	for (size_t i = w->joining.n; i > 0; i--) {
		bool *seen = ARENA_MANY(w->mem, bool, w->ops.n + 1);
		if (w->bench[w->ops.v[w->joining.v[i - 1]].parts.v[0]] != MODEL_NONE) continue;
		if (reaches(w, op, w->joining.v[i - 1], seen)) continue;
		wish(w, w->joining.v[i - 1], op, w->ops.v[op].at, reason);
		return;
	}
}

static void finish_links(order_work *w, model_ref op) {
	const model_op *o = &w->ops.v[op];
	const char *dry = "the finish is dry before media and gaskets go in";
	if (o->kind == OP_FILTER || o->kind == OP_GASKET || o->kind == OP_SEAT) {
		for (size_t i = 0; i < w->parts.n; i++) {
			model_ref p = w->parts.v[i];
			if (o->kind == OP_FILTER || handles(o, p)) need(w, w->of[p].finish, op, place(w, p), dry);
		}
	}
	if (o->kind == OP_FIT || o->kind == OP_FAN || o->kind == OP_DOOR)
		for (size_t i = 0; i < o->parts.n; i++) {
			const order_of_part *of = &w->of[o->parts.v[i]];
			need(w, of->cut, op, o->at, "a part is cut before it is fitted");
			need(w, of->drill, op, o->at, "screw holes are drilled before the part is fitted");
			need(w, of->groove, op, o->at, "dados are cut while the sheet is flat");
			wish(w, of->finish, op, o->at, "a part is finished before it is fitted");
		}
}

/* What is put in is made before, and joined on the bench. */
static void put_in_links(order_work *w, model_ref before, model_ref op) {
	const model_op *q = &w->ops.v[before], *o = &w->ops.v[op];
	for (size_t i = 0; i < o->parts.n; i++) {
		model_ref p = o->parts.v[i];
		if (!handles(q, p)) continue;
		if (q->kind == OP_OPEN || q->kind == OP_EASE)
			need(w, before, op, o->at, "a part is made before it is put in");
		if (q->kind == OP_JOIN && w->bench[p] != MODEL_NONE)
			need(w, before, op, o->at, "it is joined on the bench, then put in as one");
	}
}

static void fitting_links(order_work *w) {
	for (size_t i = 0; i < w->ops.n; i++) {
		model_ref op = (model_ref)i;
		const model_op *o = &w->ops.v[i];
		finish_links(w, op);
		if (o->kind == OP_DOOR) {
			for (size_t k = 0; k < w->ops.n; k++) {
				model_op_kind kind = w->ops.v[k].kind;
				if (kind == OP_FILTER || kind == OP_FAN || kind == OP_FIT || kind == OP_WIRE)
					wish(w, (model_ref)k, op, o->at, "the way in stays open until all is fitted");
			}
			for (size_t k = 0; k < w->ops.n; k++) /* openings and joints of its own */
				if ((w->ops.v[k].kind == OP_OPEN || w->ops.v[k].kind == OP_EASE ||
				     w->ops.v[k].kind == OP_JOIN) &&
				    handles(&w->ops.v[k], o->parts.v[0]))
					need(w, (model_ref)k, op, o->at, "a door is made before it is hung");
		}
		for (size_t k = 0; k < w->ops.n && o->kind == OP_FIT; k++) put_in_links(w, (model_ref)k, op);
		if (o->kind == OP_FAN) need(w, op, w->wire, o->at, "the fan is fixed before it is wired");
	}
	for (size_t i = 0; i < w->joints.n; i++) {
		model_ref row = w->joints.v[i];
		if (w->role[row] == ROLE_NONE || w->role[row] == ROLE_JOIN) continue;
		const model_joint *j = &w->m->joints.v[row];
		need(w, w->of[j->a].first_join, w->joint_op[row], j->at, "it is fixed to a part that stands");
		need(w, w->of[j->b].first_join, w->joint_op[row], j->at, "it is fixed to a part that stands");
	}
}

/* Where the plan has a fan fitted before a part is joined, it is wired before that, too. */
static void wire_in_time(order_work *w) {
	for (size_t i = 0; i < w->ops.n && w->wire != MODEL_NONE; i++) {
		if (w->ops.v[i].kind != OP_FAN) continue;
		for (size_t k = 0; k < w->joining.n; k++) {
			bool *seen = ARENA_MANY(w->mem, bool, w->ops.n + 1);
			if (reaches(w, (model_ref)i, w->joining.v[k], seen))
				wish(w, w->wire, w->joining.v[k], w->ops.v[i].at,
				     "the fan is wired while a hand still reaches it");
		}
	}
}

/* Wishes that look at what the plan has written. */
static void standing_links(order_work *w) {
	wire_in_time(w);
	for (size_t i = 0; i < w->ops.n; i++) {
		model_ref op = (model_ref)i;
		model_op_kind kind = w->ops.v[i].kind;
		if (kind == OP_FILTER) after_joining(w, op, "media stay clean: dusty work is over");
		if (kind == OP_FIT || kind == OP_FAN) after_joining(w, op, "it is fitted to a carcass that stands");
		if (kind == OP_DOOR) after_joining(w, op, "a door is hung in an opening that is square and stays so");
	}
}

/* Everything that nothing follows comes before the test. */
static void test_links(order_work *w) {
	if (w->test == MODEL_NONE) return;
	need(w, w->wire, w->test, w->ops.v[w->test].at,
	     "nothing is switched on before a qualified person has wired it");
	bool *followed = ARENA_MANY(w->mem, bool, w->ops.n + 1);
	for (size_t i = 0; i < w->links.n; i++)
		if (w->links.v[i].bond != BOND_WISH) followed[w->links.v[i].before] = true;
	for (size_t i = 0; i < w->ops.n; i++)
		if (!followed[i] && w->ops.v[i].kind != OP_WRITTEN)
			need(w, (model_ref)i, w->test, w->ops.v[i].at, "the test comes when all is built");
}

void order_links_make(order_work *w) {
	stock_links(w);
	shape_links(w);
	pattern_links(w);
	joint_links(w);
	order_bar_links(w);
	fitting_links(w);
	test_links(w);
	order_written_links(w);
	standing_links(w);
}
