/* Putting together, in words: which part comes to which, how it is turned, where it sits, from where it is screwed. */
#include <string.h>

#include "runtime/base/text.h"
#include "runtime/engine/joint.h"
#include "runtime/write/book_build.h"

static const char *const LOOKS[6] = {"to the left", "to the right", "to the front", "to the back", "down", "up"};
static const char *const FROM[6] = {"from the left", "from the right", "from the front",
				    "from the back", "from below",     "from above"};

/* As it is measured: a rule shows no more than a tenth. */
static const char *about(const book *b, rat mm) {
	rat shown = b->m->measures == MEASURES_METRIC ? rat_round(mm, 10) : mm;
	return book_length(b, rat_ok(shown) ? shown : mm);
}

static const model_part *part_of(const book *b, model_ref p) { return &b->m->parts.v[p]; }

/* Was the part joined in a step before the one of this operation? */
static bool stood(const book *b, model_ref row, model_ref part) {
	const model_order *r = &b->m->order;
	for (model_ref i = 0; i < row && r->ops.v[i].step != r->ops.v[row].step; i++)
		for (size_t k = 0; k < r->ops.v[i].parts.n && r->ops.v[i].kind == OP_JOIN; k++)
			if (r->ops.v[i].parts.v[k] == part) return true;
	return false;
}

/* The part of the joint that comes to the other: b when only a stands already. */
static model_ref comes(const book *b, model_ref row) {
	const model_joint *j = &b->m->joints.v[b->m->order.ops.v[row].joint];
	return stood(b, row, j->a) && !stood(b, row, j->b) ? j->b : j->a;
}

/* Is this the first joint of its step that handles the part? */
static bool first_told(const book *b, model_ref row, model_ref part) {
	const model_order *r = &b->m->order;
	for (model_ref i = row; i > 0 && r->ops.v[i - 1].step == r->ops.v[row].step; i--)
		for (size_t k = 0; k < r->ops.v[i - 1].parts.n && r->ops.v[i - 1].kind == OP_JOIN; k++)
			if (r->ops.v[i - 1].parts.v[k] == part) return false;
	return true;
}

/* "to the front": the way the numbered face of a panel looks, the first time that it comes in on a page; or NULL. */
static const char *turned(const book *b, model_ref row, model_ref part) {
	const model_part *p = part_of(b, part);
	if (p->kind != PART_PANEL || stood(b, row, part) || !first_told(b, row, part)) return NULL;
	return LOOKS[book_first_face(b, part)];
}

/* ---- where it sits -------------------------------------------------------------------------------------- */

/* Do other joints hold the part at both ends along this axis, so that it can sit nowhere else? */
static bool held_along(const book *b, model_ref part, axis x) {
	bool low = false, high = false;
	for (size_t i = 0; i < b->m->joints.n; i++) {
		const model_joint *j = &b->m->joints.v[i];
		if ((j->a != part && j->b != part) || face_axis(j->face_a) != x) continue;
		bool at_high = face_high(j->face_a) == (j->a == part);
		low = low || !at_high;
		high = high || at_high;
	}
	return low && high;
}

/* ", 400 mm from its front edge", ", flush with its top edge": the part against its host, along one axis of the face
 * where they meet; NULL when that goes without saying. `named`: the host by its name, where it is one of several. */
static const char *along_host(book *b, const model_joint *j, model_ref part, axis x, bool named) {
	const model_part *p = part_of(b, part), *h = part_of(b, j->a == part ? j->b : j->a);
	if (x == face_axis(j->face_a) || held_along(b, part, x)) return NULL;
	rat low = rat_sub(p->box.lo[x], h->box.lo[x]), high = rat_sub(h->box.hi[x], p->box.hi[x]);
	if (!rat_ok(low) || !rat_ok(high)) return NULL;
	int at_low = rat_sign(low), at_high = rat_sign(high);
	if ((at_low <= 0 && at_high <= 0) || (at_low < 0 || at_high < 0)) return NULL; /* as long, or it reaches past */
	bool from_high = at_high == 0 || (at_low > 0 && rat_lt(high, low));
	const char *edge = arena_printf(b->mem, "its %s edge", FACE_NAME[face_of(x, from_high)]);
	if (named)
		edge = arena_printf(b->mem, "the %s edge of %s", FACE_NAME[face_of(x, from_high)],
				    book_part_word(b, j->a == part ? j->b : j->a));
	if (at_low == 0 || at_high == 0) return arena_printf(b->mem, ", flush with %s", edge);
	return arena_printf(b->mem, ", %s from %s", about(b, from_high ? high : low), edge);
}

/* Told once for each axis on a page, at the first joint that tells it. */
static void say_place(book *b, textbuf *t, model_ref row, model_ref part, bool named) {
	const model_order *r = &b->m->order;
	const model_joint *j = &b->m->joints.v[r->ops.v[row].joint];
	if (joint_enters(j->kind)) return; /* its cut says where */
	for (int x = 0; x < 3; x++) {
		const char *place = along_host(b, j, part, (axis)x, named);
		for (model_ref i = row; place && i > 0 && r->ops.v[i - 1].step == r->ops.v[row].step; i--) {
			const model_op *o = &r->ops.v[i - 1];
			if (o->kind != OP_JOIN || o->joint == MODEL_NONE || comes(b, i - 1) != part) continue;
			const model_joint *q = &b->m->joints.v[o->joint];
			if (joint_enters(q->kind) || along_host(b, q, part, (axis)x, named)) place = NULL;
		}
		if (place) textbuf_add(t, place);
	}
}

/* ---- the joint ------------------------------------------------------------------------------------------ */

/* Broad faces that meet: what comes lies on the other, hangs under it, or stands beside it. `out`: its face that meets.
 */
static const char *lay(book *b, const char *what, const char *on, face out) {
	if (out == FACE_BOTTOM) return arena_printf(b->mem, "Lay %s on %s", what, on);
	if (out == FACE_TOP) return arena_printf(b->mem, "Hold %s up against the underside of %s", what, on);
	return arena_printf(b->mem, "Lay %s flat against %s", what, on);
}

static const char *set(book *b, const model_joint *j, const char *what, const char *to, bool turned_round) {
	face out = turned_round ? face_opposite(j->face_a) : j->face_a;
	const char *cut = joint_cut_word(j->kind);
	switch (j->kind) {
	case JOINT_DADO:
	case JOINT_RABBET:
	case JOINT_GROOVE:
		return turned_round ? arena_printf(b->mem, "Set %s onto %s, which goes into the %s of %s", what, to,
						   cut, what)
				    : arena_printf(b->mem, "Set %s into the %s of %s", what, cut, to);
	case JOINT_TONGUE:
		return turned_round ? arena_printf(b->mem, "Set %s onto %s, whose tongue goes into the groove of %s",
						   what, to, what)
				    : arena_printf(b->mem, "Set the tongue of %s into the groove of %s", what, to);
	case JOINT_HALVING:
		return arena_printf(b->mem, "Fit %s and %s into each other at their halvings", what, to);
	case JOINT_LAP:
		return lay(b, what, to, out);
	default:
		return arena_printf(b->mem, "Set %s against %s", what, to);
	}
}

/* The side from which the screws of a joint are driven. */
static const char *driven(const book *b, model_ref joint) {
	for (size_t i = 0; i < b->m->features.n; i++) {
		const model_feature *f = &b->m->features.v[i];
		if (f->joint == joint && f->kind == FEATURE_CLEARANCE)
			return arena_printf(b->mem, ", %s", FROM[f->face]);
	}
	return "";
}

/* Are two joints of a step told in one sentence: the same part comes to two others in the same way? */
static bool alike(const book *b, model_ref row, model_ref other) {
	const model_op *o = &b->m->order.ops.v[row], *p = &b->m->order.ops.v[other];
	if (o->step != p->step || p->kind != OP_JOIN || o->joint >= b->m->joints.n || p->joint >= b->m->joints.n)
		return false;
	const model_joint *j = &b->m->joints.v[o->joint], *q = &b->m->joints.v[p->joint];
	model_ref part = comes(b, row);
	bool how = j->kind == q->kind && !joint_cuts(j->kind) && (j->kind != JOINT_LAP || j->face_a == q->face_a);
	bool with = j->glue == q->glue && j->loose == q->loose && j->gasket == q->gasket;
	if (comes(b, other) != part || (part == j->b) != (part == q->b) || !how || !with) return false;
	if (!j->n_screws || !q->n_screws) return j->n_screws == q->n_screws;
	return part == j->b && j->screw == q->screw && text_same(driven(b, o->joint), driven(b, p->joint));
}

typedef LIST(model_ref) row_list;

/* The joins told together with this one, itself first; none when an earlier one tells it. */
static row_list told_together(book *b, model_ref row) {
	row_list l = {0};
	for (model_ref i = 0; i < b->m->order.ops.n; i++) {
		if (i != row && !alike(b, row, i)) continue;
		if (i < row) return (row_list){0};
		LIST_PUSH(b->mem, &l, i);
	}
	return l;
}

/* "floor (3), left (1) and right (2)" */
static const char *others(book *b, const row_list *l, model_ref part) {
	LIST(model_ref) other = {0};
	for (size_t i = 0; i < l->n; i++) {
		const model_joint *j = &b->m->joints.v[b->m->order.ops.v[l->v[i]].joint];
		LIST_PUSH(b->mem, &other, part == j->a ? j->b : j->a);
	}
	const char *words = book_part_words(b, other.v, other.n), *last = strrchr(words, ',');
	return last ? arena_printf(b->mem, "%.*s and%s", (int)(last - words), words, last + 1) : words;
}

static void say_screws(book *b, textbuf *t, const row_list *l) {
	const model *m = b->m;
	model_ref joint = m->order.ops.v[l->v[0]].joint;
	const model_joint *j = &m->joints.v[joint];
	if (!j->n_screws || j->screw >= m->stocks.n) return;
	uint32_t all = 0;
	bool even = true;
	for (size_t i = 0; i < l->n; i++) {
		uint32_t n = m->joints.v[m->order.ops.v[l->v[i]].joint].n_screws;
		all += n, even = even && n == j->n_screws;
	}
	textbuf_printf(t, " Drive %u %s (%s) through %s%s", all, all == 1 ? "screw" : "screws",
		       book_stock_label(b, j->screw), book_part_word(b, j->b), driven(b, joint));
	if (l->n > 1 && even) textbuf_printf(t, ": %u into each", j->n_screws);
	for (size_t i = 0; i < l->n && !even; i++) {
		const model_joint *q = &m->joints.v[m->order.ops.v[l->v[i]].joint];
		textbuf_printf(t, "%s %u into %s", i ? "," : ":", q->n_screws, book_part_word(b, q->a));
	}
	textbuf_char(t, '.');
}

const char *book_join_words(book *b, model_ref row) {
	const model *m = b->m;
	const model_op *o = &m->order.ops.v[row];
	if (o->joint >= m->joints.n)
		return arena_printf(b->mem, "Put together: %s.", book_part_words(b, o->parts.v, o->parts.n));
	row_list all = told_together(b, row);
	if (!all.n) return NULL;
	const model_joint *j = &m->joints.v[o->joint];
	model_ref part = comes(b, row);
	textbuf t = textbuf_begin(b->mem);
	textbuf_add(&t, set(b, j, book_part_word(b, part), others(b, &all, part), part == j->b));
	for (size_t i = 0; i < all.n; i++) say_place(b, &t, all.v[i], part, all.n > 1);
	const char *looks = turned(b, row, part);
	bool apart = looks && part == j->b && joint_enters(j->kind); /* "its" would be another part's */
	if (looks && !apart) textbuf_printf(&t, ", its numbered face %s", looks);
	if (j->glue) textbuf_add(&t, ", glued");
	if (j->loose) textbuf_add(&t, ", without glue, so that it can move");
	if (j->gasket < m->stocks.n) textbuf_printf(&t, ", with %s between", book_stock_label(b, j->gasket));
	textbuf_char(&t, '.');
	if (apart) textbuf_printf(&t, " The numbered face of %s looks %s.", book_part_word(b, part), looks);
	for (size_t i = 0; i < all.n; i++) {
		const model_joint *q = &m->joints.v[m->order.ops.v[all.v[i]].joint];
		model_ref other = part == q->a ? q->b : q->a;
		looks = turned(b, all.v[i], other);
		if (looks) textbuf_printf(&t, " The numbered face of %s looks %s.", book_part_word(b, other), looks);
	}
	if (j->glue && !j->n_screws) textbuf_add(&t, " Clamp it until the glue has set.");
	say_screws(b, &t, &all);
	return t.v;
}

/* ---- what is put in or fitted --------------------------------------------------------------------------- */

/* The part of the cabinet on that side of the thing that it touches over the largest area, or NONE. */
static model_ref beside(const book *b, model_ref thing, face side) {
	model_ref best = MODEL_NONE;
	double most = 0;
	for (model_ref i = 0; i < b->m->parts.n; i++) {
		face f;
		box3 rect;
		if (i == thing || !model_part_made(b->m, part_of(b, i)) || part_of(b, i)->kind == PART_DOOR) continue;
		if (part_of(b, i)->group_first == part_of(b, thing)->group_first) continue;
		if (!box_touch(part_of(b, thing)->box, part_of(b, i)->box, &f, &rect) || f != side) continue;
		double area = 1;
		for (int x = 0; x < 3; x++)
			if (x != (int)face_axis(side)) area *= rat_double(box_size(rect, (axis)x));
		if (area <= most * (1 + 1e-9)) continue;
		most = area;
		best = i;
	}
	return best;
}

/* ", 40 mm from the nearest left or right edge and …": when all pieces are alike in that. */
static const char *place_on(book *b, const model_op *o, model_ref host, face side) {
	const model_part *h = part_of(b, host);
	textbuf t = textbuf_begin(b->mem);
	for (int x = 0; x < 3; x++) {
		rat all = rat_poison();
		bool from_high = false;
		if (x == (int)face_axis(side)) continue;
		for (size_t i = 0; i < o->parts.n; i++) {
			const model_part *p = part_of(b, o->parts.v[i]);
			rat low = rat_sub(p->box.lo[x], h->box.lo[x]), high = rat_sub(h->box.hi[x], p->box.hi[x]);
			from_high = rat_lt(high, low);
			rat near = from_high ? high : low;
			if (i && !rat_eq(near, all)) return "";
			all = near;
		}
		if (!rat_ok(all) || rat_sign(all) < 0) return "";
		const char *edge = FACE_NAME[face_of((axis)x, from_high)];
		if (o->parts.n > 1)
			edge = arena_printf(b->mem, "nearest %s or %s", FACE_NAME[face_of((axis)x, false)],
					    FACE_NAME[face_of((axis)x, true)]);
		textbuf_printf(&t, "%s%s %s %s edge", t.n ? " and " : ", ",
			       rat_sign(all) ? arena_printf(b->mem, "%s from", about(b, all)) : "flush with",
			       o->parts.n > 1 ? "the" : "its", edge);
	}
	return t.v;
}

static bool handled(const model_op *o, model_ref part) {
	for (size_t i = 0; i < o->parts.n; i++)
		if (o->parts.v[i] == part) return true;
	return false;
}

/* What holds it to parts that it is not put in with: of several bought things each, of a piece from the bench all. */
static const char *fastened(book *b, const model_op *o) {
	textbuf t = textbuf_begin(b->mem);
	bool piece = model_part_made(b->m, part_of(b, o->parts.v[0]));
	for (size_t i = 0; i < b->m->joints.n; i++) {
		const model_joint *j = &b->m->joints.v[i];
		bool a = piece ? handled(o, j->a) : j->a == o->parts.v[0],
		     c = piece ? handled(o, j->b) : j->b == o->parts.v[0];
		if (a == c) continue;
		model_ref other = a ? j->b : j->a;
		if (part_of(b, other)->kind == PART_GAP) continue;
		const char *how = j->glue ? "glue" : "";
		if (j->n_screws && j->screw < b->m->stocks.n)
			how = arena_printf(b->mem, "%s%u %s (%s)", j->glue ? "glue and " : "", j->n_screws,
					   j->n_screws == 1 ? "screw" : "screws", book_stock_label(b, j->screw));
		if (!how[0]) continue;
		if (piece)
			textbuf_printf(&t, "%s%s between %s and %s", t.n ? ", " : "", how, book_part_word(b, j->a),
				       book_part_word(b, j->b));
		else
			textbuf_printf(&t, "%s%s to %s", t.n ? ", " : "", how, book_part_word(b, other));
	}
	return t.v;
}

/* Does an operation before this one handle the part? */
static bool stands(const book *b, const model_op *o, model_ref part) {
	for (const model_op *e = b->m->order.ops.v; e < o; e++)
		if ((e->kind == OP_JOIN || e->kind == OP_FIT) && handled(e, part)) return true;
	return false;
}

static bool joined(const book *b, model_ref part) {
	for (size_t i = 0; i < b->m->joints.n; i++)
		if (b->m->joints.v[i].a == part || b->m->joints.v[i].b == part) return true;
	return false;
}

/* What a later step fastens beside bought things of this one, so that it holds them: "button (17) × 4 (step 27)". */
static const char *held_later(book *b, const model_op *o) {
	LIST(model_ref) list = {0};
	model_ref step = MODEL_NONE;
	for (model_ref k = 0; k < b->m->order.ops.n; k++) {
		const model_op *later = &b->m->order.ops.v[k];
		if (later->step <= o->step || (later->kind != OP_FIT && later->kind != OP_JOIN)) continue;
		for (size_t i = 0; i < later->parts.n; i++) {
			model_ref part = later->parts.v[i];
			bool touches = false;
			face f;
			box3 rect;
			for (size_t n = 0; n < o->parts.n; n++)
				touches = touches ||
					  box_touch(part_of(b, o->parts.v[n])->box, part_of(b, part)->box, &f, &rect);
			if (!touches || !joined(b, part) || handled(o, part) || stands(b, o, part)) continue;
			LIST_PUSH(b->mem, &list, part);
			step = later->step;
		}
	}
	if (!list.n) return NULL;
	return arena_printf(b->mem, "%s (step %u)", book_part_words(b, list.v, list.n), step + 1);
}

const char *book_fit_words(book *b, const model_op *o) {
	if (!o->parts.n) return "";
	static const face LOOK[6] = {FACE_BOTTOM, FACE_BACK, FACE_FRONT, FACE_LEFT, FACE_RIGHT, FACE_TOP};
	model_ref first = o->parts.v[0];
	const model_part *p = part_of(b, first);
	bool made = model_part_made(b->m, p);
	textbuf t = textbuf_begin(b->mem);
	textbuf_printf(&t, "%s %s", made ? "Put in" : "Fit", book_part_words(b, o->parts.v, o->parts.n));
	unsigned sides = 0;
	for (size_t i = 0; i < 6 && sides < 2; i++) {
		face side = LOOK[i];
		model_ref host = beside(b, first, side);
		if (host == MODEL_NONE || (side == FACE_TOP && sides)) continue;
		textbuf_printf(&t, "%s %s",
			       sides		     ? " and against"
			       : side == FACE_BOTTOM ? " on"
			       : side == FACE_TOP    ? " under"
						     : " against",
			       book_part_word(b, host));
		if (!sides) textbuf_add(&t, place_on(b, o, host, side));
		sides++;
	}
	if (made && p->kind == PART_PANEL && o->parts.n == 1)
		textbuf_printf(&t, ", its numbered face %s", LOOKS[book_first_face(b, first)]);
	textbuf_char(&t, '.');
	const char *how = fastened(b, o);
	if (how && how[0])
		textbuf_printf(&t, " Hold %s by %s.", o->parts.n > 1 && !made ? "each" : "it", how);
	else if (!made && held_later(b, o))
		textbuf_printf(&t, " Later held by %s.", held_later(b, o));
	else if (!made)
		textbuf_printf(&t, " The plan has nothing that fastens %s: follow what comes with %s.",
			       o->parts.n > 1 ? "them" : "it", o->parts.n > 1 ? "them" : "it");
	return t.v;
}
