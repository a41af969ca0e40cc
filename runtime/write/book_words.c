/* One step in plain words: a sentence for every operation, like ones told once. */
#include <string.h>

#include "runtime/base/text.h"
#include "runtime/engine/joint.h"
#include "runtime/write/book_build.h"
#include "runtime/write/hole_words.h"

typedef struct said { /* a sentence and how often it came up */
	const char *text;
	unsigned times;
} said;
typedef LIST(said) said_list;

static void say(book *b, said_list *l, const char *text) {
	for (size_t i = 0; i < l->n; i++)
		if (text_same(l->v[i].text, text)) {
			l->v[i].times++;
			return;
		}
	LIST_PUSH(b->mem, l, ((said){text, 1}));
}

const char *book_part_word(book *b, model_ref part) {
	if (part >= b->m->parts.n) return "?";
	const book_item *i = book_item_of(b, part);
	char *low = arena_text(b->mem, i ? book_item_name(b, i) : book_spoken(b, b->m->parts.v[part].group));
	if (low[0] >= 'A' && low[0] <= 'Z') low[0] = (char)(low[0] - 'A' + 'a');
	return i ? arena_printf(b->mem, "%s (%u)", low, i->number) : low;
}

/* "left (1), right (2), rib (7) × 4": parts that are alike are counted. */
const char *book_part_words(book *b, const model_ref *v, size_t n) {
	textbuf t = textbuf_begin(b->mem);
	for (size_t i = 0; i < n; i++) {
		bool before = false;
		size_t count = 0;
		for (size_t k = 0; k < n; k++) {
			bool same = v[k] == v[i] ||
				    (book_item_of(b, v[k]) && book_item_of(b, v[k]) == book_item_of(b, v[i]));
			before = before || (same && k < i);
			count += same;
		}
		if (before) continue;
		textbuf_printf(&t, "%s%s", t.n ? ", " : "", book_part_word(b, v[i]));
		if (count > 1) textbuf_printf(&t, " × %zu", count);
	}
	return t.n ? t.v : "";
}

static const char *drawing_of(book *b, model_ref part) {
	const book_item *i = book_item_of(b, part);
	return i && i->made ? arena_printf(b->mem, " (drawing on page %s)", book_page_word(b, book_part_anchor(b, i)))
			    : "";
}

static const char *tool_label(book *b, model_ref tool) {
	if (tool >= b->m->tools.n) return NULL;
	const model_tool *t = &b->m->tools.v[tool];
	return t->label ? t->label : t->name;
}

/* ---- cutting ------------------------------------------------------------------------------------------ */

static bool lies_on(const model_piece *pieces, size_t n_pieces, const model_ref *parts, size_t n) {
	for (size_t i = 0; i < n_pieces; i++)
		for (size_t k = 0; k < n; k++)
			if (pieces[i].part == parts[k]) return true;
	return false;
}

/* "page 9" or "pages 9, 10": those of the sheets and bars that hold these parts. */
static const char *cut_pages(book *b, const model_ref *parts, size_t n) {
	const model_layout *l = &b->m->layout;
	textbuf t = textbuf_begin(b->mem);
	const char *last = NULL;
	size_t pages = 0;
	for (size_t i = 0; i <= l->sheets.n; i++) {
		bool bars = i == l->sheets.n, on = false;
		for (size_t k = 0; bars && k < l->bars.n; k++)
			on = on || lies_on(l->bars.v[k].pieces.v, l->bars.v[k].pieces.n, parts, n);
		if (!bars) on = lies_on(l->sheets.v[i].pieces.v, l->sheets.v[i].pieces.n, parts, n);
		if (!on) continue;
		const char *page = book_page_word(b, bars ? "bars" : arena_printf(b->mem, "sheet:%zu", i + 1));
		if (last && b->total && text_same(page, last)) continue;
		textbuf_printf(&t, "%s%s", t.n ? ", " : "", page);
		last = page, pages++;
	}
	if (!t.n) return arena_printf(b->mem, "the pages from %s on", book_page_word(b, "sheets"));
	return arena_printf(b->mem, "page%s %s", pages == 1 ? "" : "s", t.v);
}

static void say_sawing(book *b, const model_step *s, said_list *l) {
	LIST(model_ref) parts = {0};
	for (size_t i = 0; i < s->ops.n; i++) {
		const model_op *o = &b->m->order.ops.v[s->ops.v[i]];
		for (size_t k = 0; o->kind == OP_CUT && k < o->parts.n; k++) LIST_PUSH(b->mem, &parts, o->parts.v[k]);
	}
	if (!parts.n) return;
	say(b, l, arena_printf(b->mem, "Cut to size: %s.", book_part_words(b, parts.v, parts.n)));
	say(b, l,
	    arena_printf(b->mem,
			 "Follow the numbered cuts on %s, in their order; set the fence to the figure at each cut. "
			 "Write its number on every part at once, on the face that its drawing shows first and the "
			 "same way up: later steps say where the numbered face looks.",
			 cut_pages(b, parts.v, parts.n)));
}

static const char *cutter_words(book *b, const model_joint *j, bool open) {
	model_ref tool = book_groove_tool(b, j);
	for (model_ref i = 0; open && i < b->m->tools.n && tool == MODEL_NONE; i++)
		if (b->m->tools.v[i].kind == TOOL_ROUTER) tool = i; /* open at one side: any cutter will do */
	if (open && tool == MODEL_NONE) return "a router with straight cutter, not in the plan's tools";
	return tool < b->m->tools.n ? arena_printf(b->mem, "the %s", tool_label(b, tool))
				    : arena_printf(b->mem, "a %s, not in the plan's tools", book_groove_need(b, j));
}

static bool some(rat r) { return rat_ok(r) && rat_sign(r) > 0; }

/* ", stopped 20 mm from the front edge" */
static const char *stop_words(book *b, const model_joint *j) {
	textbuf t = textbuf_begin(b->mem);
	axis along = joint_along(b->m, j);
	for (int high = 0; high < 2; high++)
		if (some(j->stop[high]))
			textbuf_printf(&t, "%s %s from the %s edge", t.n ? " and" : ", stopped",
				       book_length(b, j->stop[high]), FACE_NAME[face_of(along, high)]);
	return t.n ? t.v : "";
}

/* ", along its top edge": where a rabbet runs. */
static const char *rim_words(book *b, const model_joint *j) {
	const model_part *p = &b->m->parts.v[j->b];
	axis across = joint_across(b->m, j);
	if (j->kind != JOINT_RABBET) return "";
	rat low = rat_sub(j->contact.lo[across], p->box.lo[across]);
	rat high = rat_sub(p->box.hi[across], j->contact.hi[across]);
	return arena_printf(b->mem, ", along its %s edge,", FACE_NAME[face_of(across, rat_lt(high, low))]);
}

static void say_cut_b(book *b, const model_joint *j, said_list *l) {
	const char *width = "";
	rat wide = book_groove_width(b, j);
	if (rat_ok(wide) && j->kind == JOINT_TONGUE)
		width = arena_printf(b->mem, "%s wide and ", book_length(b, wide));
	else if (rat_ok(wide))
		width = arena_printf(b->mem, "%s wide (your sheet may differ: page %s) and ", book_length(b, wide),
				     book_page_word(b, "measure"));
	say(b, l,
	    arena_printf(b->mem, "In the %s face of %s cut the %s for %s%s%s with %s: %s%s deep%s%s.",
			 FACE_NAME[face_opposite(j->face_a)], book_part_word(b, j->b), joint_cut_word(j->kind),
			 j->kind == JOINT_TONGUE ? "the tongue of " : "", book_part_word(b, j->a), rim_words(b, j),
			 cutter_words(b, j, false), width, book_length(b, j->depth.mm), stop_words(b, j),
			 drawing_of(b, j->b)));
}

static void say_halving(book *b, const model_joint *j, model_ref part, said_list *l) {
	rat deep = part == j->a ? j->depth_a : j->depth.mm;
	say(b, l,
	    arena_printf(b->mem,
			 "In %s cut the halving for %s with %s: %s deep, as broad as %s is at that place: mark its "
			 "shoulders from the part itself%s.",
			 book_part_word(b, part), book_part_word(b, part == j->a ? j->b : j->a),
			 cutter_words(b, j, true), book_length(b, deep), book_part_word(b, part == j->a ? j->b : j->a),
			 drawing_of(b, part)));
}

static void say_tongue(book *b, const model_joint *j, said_list *l) {
	axis across = joint_across(b->m, j);
	rat low = j->shoulder, high = rat_sub(rat_sub(box_size(b->m->parts.v[j->a].box, across), j->thick.mm), low);
	textbuf t = textbuf_begin(b->mem);
	if (some(low)) textbuf_printf(&t, "%s off its %s face", book_length(b, low), FACE_NAME[face_of(across, false)]);
	if (some(high))
		textbuf_printf(&t, "%s%s off its %s face", t.n ? " and " : "", book_length(b, high),
			       FACE_NAME[face_of(across, true)]);
	say(b, l,
	    arena_printf(b->mem, "At the %s end of %s cut the tongue with %s: %s long, %s%s thick is left%s.",
			 FACE_NAME[j->face_a], book_part_word(b, j->a), cutter_words(b, j, true),
			 book_length(b, joint_engages(j)), t.n ? arena_printf(b->mem, "%s, so that ", t.v) : "",
			 book_length(b, j->thick.mm), drawing_of(b, j->a)));
}

static void say_notch(book *b, const model_joint *j, int high, said_list *l) {
	box3 cut;
	if (!joint_notch(b->m, j, high, &cut)) return;
	axis along = joint_along(b->m, j), n = face_axis(j->face_a);
	say(b, l,
	    arena_printf(b->mem, "Saw the %s corner off the %s end of %s, %s × %s, where the %s in %s stops%s.",
			 FACE_NAME[face_of(along, high)], FACE_NAME[j->face_a], book_part_word(b, j->a),
			 book_length(b, box_size(cut, along)), book_length(b, box_size(cut, n)),
			 joint_cut_word(j->kind), book_part_word(b, j->b), drawing_of(b, j->a)));
}

static void say_cut(book *b, const model_joint *j, model_ref part, said_list *l) {
	if (j->kind == JOINT_HALVING) {
		say_halving(b, j, part, l);
		return;
	}
	if (part == j->b) say_cut_b(b, j, l);
	if (part != j->a) return;
	if (j->kind == JOINT_TONGUE) say_tongue(b, j, l);
	for (int high = 0; high < 2; high++) say_notch(b, j, high, l);
}

/* The cuts of one joint, or all that come into the parts handled. */
static void say_groove(book *b, const model_op *o, said_list *l) {
	const model *m = b->m;
	for (model_ref i = 0; i < m->joints.n; i++) {
		const model_joint *j = &m->joints.v[i];
		if (!joint_cuts(j->kind)) continue;
		if (o->joint == i) {
			say_cut(b, j, j->b, l);
			say_cut(b, j, j->a, l);
		}
		for (size_t k = 0; o->joint == MODEL_NONE && k < o->parts.n; k++)
			if (o->parts.v[k] == j->a || o->parts.v[k] == j->b) say_cut(b, j, o->parts.v[k], l);
	}
}

/* Does the operation name the part (or none at all)? */
static bool handles(const model_op *o, model_ref part) {
	for (size_t k = 0; k < o->parts.n; k++)
		if (o->parts.v[k] == part) return true;
	return o->parts.n == 0;
}

static const char *waste_words(book *b, rat w, rat h) {
	return arena_printf(b->mem, "%s × %s, as thick as the part", book_bare(b, w), book_length(b, h));
}

/* ", within 59.7 to 60.3 mm" */
static const char *within_words(book *b, const rat *least, const rat *most, const model_shape *s) {
	const char *limits = hole_limits_words(b->mem, b->m, least, most, s);
	return limits ? arena_printf(b->mem, ", within %s", limits) : "";
}

/* "; in passes of 6.35, 12.7 and 18.6 mm, through, below the face" */
static const char *passes_words(book *b, model_ref pattern, model_ref part) {
	for (size_t i = 0; i < b->m->templates.n; i++) {
		const model_template_use *u = model_template_serves(&b->m->templates.v[i], pattern, part);
		if (u && u->depths.n > 1)
			return arena_printf(b->mem, ", in passes of %s, below the face",
					    hole_passes_words(b->mem, b->m, u));
	}
	return "";
}

static void say_open(book *b, const model_op *o, said_list *l) {
	const model *m = b->m;
	if (o->pattern >= m->patterns.n) return;
	const model_pattern *p = &m->patterns.v[o->pattern];
	bool bored = o->tools.n && m->tools.v[o->tools.v[0]].kind != TOOL_ROUTER; /* a template has its own test cut */
	const model_sheet_of_pattern *own = o->parts.n ? model_pattern_sheet(p, o->parts.v[0]) : NULL;
	if (bored && own)
		say(b, l,
		    arena_printf(b->mem, "Bore one first in waste of %s: it must measure %s%s%s.",
				 waste_words(b, own->waste, own->waste), book_shape(b, &own->shape),
				 within_words(b, own->least, own->most, &own->shape),
				 own->collar < m->stocks.n
					 ? arena_printf(b->mem, ", and a %s (%s) must go in",
							model_seat_word(&m->stocks.v[own->collar], false),
							book_stock_label(b, own->collar))
					 : ""));
	for (size_t i = 0; i < p->sheets.n; i++) {
		const model_sheet_of_pattern *sheet = &p->sheets.v[i];
		bool mine = o->parts.n == 0;
		for (size_t k = 0; k < o->parts.n; k++) mine = mine || o->parts.v[k] == sheet->part;
		if (!mine) continue;
		model_ref tool = o->tools.n ? o->tools.v[0] : MODEL_NONE;
		const char *with =
			tool_label(b, tool) ? arena_printf(b->mem, ", with the %s", tool_label(b, tool)) : "";
		const char *deep = sheet->blind ? arena_printf(b->mem, ", %s deep", book_length(b, sheet->depth)) : "";
		say(b, l,
		    arena_printf(b->mem, "In %s cut %zu %s of %s, %s%s%s, working from the %s face%s%s.",
				 book_part_word(b, sheet->part), p->axes.n, p->axes.n == 1 ? "opening" : "openings",
				 book_spoken(b, p->name), book_shape(b, &sheet->shape), deep, with,
				 FACE_NAME[sheet->face], passes_words(b, o->pattern, sheet->part),
				 drawing_of(b, sheet->part)));
	}
	if (p->sheets.n > 1)
		say(b, l,
		    arena_printf(
			    b->mem,
			    "The openings of %s lie on the same axes in %zu sheets: measure in each from the corner "
			    "that its drawing names.",
			    book_spoken(b, p->name), p->sheets.n));
}

static void say_holes(book *b, const model_feature *one, size_t n, said_list *l) {
	bool sunk = rat_ok(one->sink) && rat_sign(one->sink) > 0, pilot = one->kind == FEATURE_PILOT;
	const char *sink = sunk ? arena_printf(b->mem, ", countersunk to ⌀ %s", book_length(b, one->sink)) : "";
	const char *deep = one->through ? "" : arena_printf(b->mem, ", %s deep", book_length(b, one->depth));
	say(b, l,
	    arena_printf(b->mem, "In %s drill %zu %s hole%s of ⌀ %s%s%s, %s its %s%s.", book_part_word(b, one->part), n,
			 pilot ? "pilot" : "clearance", n == 1 ? "" : "s", book_length(b, one->shape.a), deep, sink,
			 pilot ? "into" : "from", book_hole_faces(b, one), drawing_of(b, one->part)));
}

static void say_drill_part(book *b, model_ref part, said_list *l) {
	const model *m = b->m;
	for (size_t i = 0; i < m->features.n; i++) {
		const model_feature *f = &m->features.v[i];
		if (f->part != part || (f->kind != FEATURE_PILOT && f->kind != FEATURE_CLEARANCE)) continue;
		bool told = false;
		size_t n = 0;
		for (size_t k = 0; k < m->features.n; k++) {
			if (!book_same_hole(f, &m->features.v[k])) continue;
			told = told || k < i, n++;
		}
		if (!told) say_holes(b, f, n, l);
	}
}

static void say_template(book *b, const model_op *o, said_list *l) {
	const model_template *t = &b->m->templates.v[o->template];
	say(b, l,
	    arena_printf(b->mem,
			 "Make the template %s: its opening is %s. Cut once in waste of %s; the test cut must read "
			 "%s%s (page %s).",
			 book_spoken(b, t->name), book_shape(b, &t->opening), waste_words(b, t->waste[0], t->waste[1]),
			 book_shape(b, &t->shape), within_words(b, t->least, t->most, &t->shape),
			 book_page_word(b, "templates")));
}

static void say_ease(book *b, const model_op *o, said_list *l) {
	const model *m = b->m;
	if (o->pattern >= m->patterns.n) {
		say(b, l, arena_printf(b->mem, "Ease the edges of %s.", book_part_words(b, o->parts.v, o->parts.n)));
		return;
	}
	const model_pattern *p = &m->patterns.v[o->pattern];
	for (size_t i = 0; i < p->eases.n; i++) {
		const model_ease *e = &p->eases.v[i];
		bool mine = o->parts.n == 0;
		for (size_t k = 0; k < o->parts.n; k++) mine = mine || o->parts.v[k] == e->part;
		if (mine)
			say(b, l,
			    arena_printf(b->mem, "%s %s on every opening of %s, on the %s face of %s.",
					 e->chamfer ? "Chamfer" : "Round over", book_length(b, e->size),
					 book_spoken(b, p->name), FACE_NAME[e->face], book_part_word(b, e->part)));
	}
}

/* ---- putting together ------------------------------------------------------------------------------------ */

static const char *seated(book *b, const model_pattern *p, const model_sheet_of_pattern *s) {
	const model_stock *c = &b->m->stocks.v[s->collar];
	textbuf t = textbuf_begin(b->mem);
	textbuf_printf(&t, "Seat %zu %s (%s) in %s", p->axes.n, model_seat_word(c, p->axes.n != 1),
		       book_stock_label(b, s->collar), book_part_word(b, s->part));
	if (c->kind == STOCK_COLLAR) textbuf_printf(&t, ", flange on the %s face", FACE_NAME[s->face]);
	textbuf_add(&t, c->kind == STOCK_GROMMET ? ", the rim of the hole in the groove all round."
						 : ", each pressed home.");
	if (s->clamped)
		textbuf_printf(&t, " Put a clamp (%s) round %s.", book_stock_label(b, s->clamp),
			       p->axes.n == 1 ? "it" : "each");
	return t.v;
}

static void say_seat(book *b, const model_op *o, said_list *l) {
	const model *m = b->m;
	if (o->pattern >= m->patterns.n) return;
	const model_pattern *p = &m->patterns.v[o->pattern];
	for (size_t i = 0; i < p->sheets.n; i++)
		if (p->sheets.v[i].collar < m->stocks.n && handles(o, p->sheets.v[i].part))
			say(b, l, seated(b, p, &p->sheets.v[i]));
}

static void say_door(book *b, const model_op *o, said_list *l) {
	const model *m = b->m;
	for (size_t i = 0; i < o->parts.n; i++) {
		const model_part *p = &m->parts.v[o->parts.v[i]];
		if (!p->hinged) {
			say(b, l,
			    arena_printf(b->mem, "Fit %s so that it can be taken off again.",
					 book_part_word(b, o->parts.v[i])));
			continue;
		}
		const char *latch = p->latch < m->stocks.n ? arena_printf(b->mem, "; fit the latch (%s)",
									  book_stock_label(b, p->latch))
							   : "";
		say(b, l,
		    arena_printf(b->mem, "Hang %s on %u %s (%s) at its %s edge%s. It must press on its seat all round.",
				 book_part_word(b, o->parts.v[i]), p->n_hinges, p->n_hinges == 1 ? "hinge" : "hinges",
				 book_stock_label(b, p->hinge), FACE_NAME[p->hinge_side], latch));
	}
}

static void say_gasket(book *b, const model_op *o, said_list *l) {
	const model *m = b->m;
	if (o->joint < m->joints.n && m->joints.v[o->joint].gasket < m->stocks.n) {
		const model_joint *j = &m->joints.v[o->joint];
		model_gasket_run run;
		const char *how = "";
		if (joint_gasket(m, o->joint, &run))
			how = arena_printf(b->mem, ": %s %s, on the %s face of %s", book_length(b, run.length),
					   run.ring ? "all round, four corners" : "in one strip", FACE_NAME[run.face],
					   book_part_word(b, run.part));
		say(b, l,
		    arena_printf(b->mem, "Lay %s where %s meets %s%s, ends butted without a gap.",
				 book_stock_label(b, j->gasket), book_part_word(b, j->a), book_part_word(b, j->b),
				 how));
	} else {
		say(b, l,
		    arena_printf(b->mem, "Lay the gaskets of %s, ends butted without a gap.",
				 book_part_words(b, o->parts.v, o->parts.n)));
	}
}

/* The tubes hang on what is seated in their sheet; where another sheet of the pattern has the like, they end on it. */
static const char *hung(book *b, const model_branch *w) {
	const model *m = b->m;
	textbuf t = textbuf_begin(b->mem);
	bool one = w->count == 1, clamped = false, bound = false;
	textbuf_printf(&t, "Hang %u filter %s of %s, %s long: draw %s", w->count, one ? "tube" : "tubes",
		       book_stock_label(b, w->stock), book_reckoned(b, w->length_m * 1000, 10),
		       one ? "its ends" : "the ends of each");
	const char *link = " over";
	const model_pattern *p = w->pattern < m->patterns.n ? &m->patterns.v[w->pattern] : NULL;
	for (size_t i = 0; p && i < p->sheets.n; i++) {
		const model_sheet_of_pattern *s = &p->sheets.v[i];
		if (s->collar >= m->stocks.n) continue;
		textbuf_printf(&t, "%s its %s in %s", link, model_seat_word(&m->stocks.v[s->collar], false),
			       book_part_word(b, s->part));
		link = " and";
		*(s->clamped ? &clamped : &bound) = true;
	}
	if (!clamped && !bound) textbuf_add(&t, " over the rims of its openings");
	textbuf_add(&t, clamped && !bound ? ", and close the clamps." : ", and bind it there tightly all round.");
	return t.v;
}

static void say_filter(book *b, const model_op *o, said_list *l) {
	const model *m = b->m;
	LIST(model_ref) units = {0};
	for (size_t i = 0; i < o->parts.n; i++) {
		model_ref stock = m->parts.v[o->parts.v[i]].stock;
		if (stock < m->stocks.n && m->stocks.v[stock].kind == STOCK_FILTER)
			LIST_PUSH(b->mem, &units, o->parts.v[i]);
	}
	if (units.n)
		say(b, l,
		    arena_printf(b->mem,
				 "%s Mind the arrow of the air's way on their frames; they must seal all round.",
				 book_fit_words(b, o)));
	for (size_t i = 0; i < m->air.branches.n; i++) {
		const model_branch *w = &m->air.branches.v[i];
		if (w->kind != AIR_TUBES || (o->pattern != MODEL_NONE && w->pattern != o->pattern)) continue;
		say(b, l, hung(b, w));
	}
}

static void say_parts(book *b, const model_op *o, const char *format_before, const char *after, said_list *l) {
	if (o->parts.n)
		say(b, l,
		    arena_printf(b->mem, "%s%s%s", format_before, book_part_words(b, o->parts.v, o->parts.n), after));
}

static void say_other(book *b, const model_op *o, said_list *l) {
	switch (o->kind) {
	case OP_BUY:
		say(b, l,
		    arena_printf(
			    b->mem,
			    "Buy what stands on the shopping list (page %s) and compare size and label of each piece "
			    "with it.",
			    book_page_word(b, "shopping")));
		break;
	case OP_MEASURE:
		say(b, l,
		    arena_printf(
			    b->mem,
			    "Measure the thickness of every sheet at five places and write it on page %s. It decides "
			    "the width of the dados.",
			    book_page_word(b, "measure")));
		break;
	case OP_TRY:
		say_parts(b, o, "Put together dry, without glue: ", ". Mark what pinches and ease it.", l);
		break;
	case OP_FIT:
		say(b, l, book_fit_words(b, o));
		break;
	case OP_FAN:
		say(b, l,
		    arena_printf(b->mem, "%s Seal its seat; the wheel must run free by hand.", book_fit_words(b, o)));
		break;
	case OP_WIRE:
		say(b, l, "A qualified person wires the fan and its switch, and bonds metal parts, under local codes.");
		break;
	case OP_TEST:
		say(b, l,
		    arena_printf(b->mem, "Run it, read the gauges and fill in the commissioning sheet (page %s).",
				 book_page_word(b, "commissioning")));
		break;
	default:
		break;
	}
}

static void say_op(book *b, model_ref row, said_list *l) {
	const model_op *o = &b->m->order.ops.v[row];
	switch (o->kind) {
	case OP_GROOVE:
		say_groove(b, o, l);
		break;
	case OP_OPEN:
		say_open(b, o, l);
		break;
	case OP_DRILL:
		for (size_t i = 0; i < o->parts.n; i++) say_drill_part(b, o->parts.v[i], l);
		break;
	case OP_TEMPLATE:
		say_template(b, o, l);
		break;
	case OP_EASE:
		say_ease(b, o, l);
		break;
	case OP_JOIN: {
		const char *words = book_join_words(b, row);
		if (words) say(b, l, words); /* else told together with one before */
		break;
	}
	case OP_SEAT:
		say_seat(b, o, l);
		break;
	case OP_DOOR:
		say_door(b, o, l);
		break;
	case OP_GASKET:
		say_gasket(b, o, l);
		break;
	case OP_FILTER:
		say_filter(b, o, l);
		break;
	case OP_CUT:
		break; /* told together */
	default:
		say_other(b, o, l);
		break;
	}
}

/* All that the step finishes, in one sentence. */
static void say_finish(book *b, const model_step *s, said_list *l) {
	LIST(model_ref) parts = {0};
	for (size_t i = 0; i < s->ops.n; i++) {
		const model_op *o = &b->m->order.ops.v[s->ops.v[i]];
		for (size_t k = 0; o->kind == OP_FINISH && k < o->parts.n; k++)
			LIST_PUSH(b->mem, &parts, o->parts.v[k]);
	}
	if (parts.n)
		say(b, l,
		    arena_printf(b->mem, "Sand and finish: %s. Faces that will be glued or take a gasket stay bare.",
				 book_part_words(b, parts.v, parts.n)));
}

/* What is done while something dries; and when nothing is, for how long, and that it cannot be helped. */
static const char *meanwhile(book *b, const model_step *s) {
	if (s->idle_minutes < 15) return s->meanwhile; /* not worth a word */
	const char *idle = book_about(b, s->idle_minutes), *least = book_about(b, s->idle_least);
	return arena_printf(b->mem, "%s Nothing fills about %s of the wait; no order of the work leaves less than %s.",
			    s->meanwhile, idle, least);
}

void book_step_words(book *b, const model_step *s, book_lines *out) {
	said_list l = {0};
	bool finished = false;
	if (s->hold) say(b, &l, s->hold);
	if (s->glue) say(b, &l, s->glue);
	say_sawing(b, s, &l);
	for (size_t i = 0; i < s->ops.n; i++) {
		const model_op *o = &b->m->order.ops.v[s->ops.v[i]];
		if (o->kind != OP_FINISH)
			say_op(b, s->ops.v[i], &l);
		else if (!finished)
			say_finish(b, s, &l), finished = true;
	}
	for (size_t i = 0; i < l.n; i++) {
		const char *text = l.v[i].text;
		/* Sentences that name a part hold for each of its pieces; others (measuring, buying) are said once. */
		if (l.v[i].times > 1 && strchr(text, '('))
			text = arena_printf(b->mem, "%s Do this %u times.", text, l.v[i].times);
		LIST_PUSH(b->mem, &out->v, text);
	}
	if (s->meanwhile) LIST_PUSH(b->mem, &out->v, meanwhile(b, s));
}
