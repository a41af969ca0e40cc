/* The words of a step: its title and its cautions. Cautions are general; local codes and licensed trades decide. */
#include <math.h>
#include <string.h>

#include "compiler/order_inner.h"
#include "runtime/base/text.h"
#include "runtime/engine/joint.h"
#include "runtime/engine/lift.h"

/* ---- lists of names -------------------------------------------------------------------------------- */

typedef LIST(model_ref) part_list;

static void list_add(const order_work *w, part_list *l, model_ref p) {
	for (size_t i = 0; i < l->n; i++)
		if (l->v[i] == p) return;
	LIST_PUSH(w->mem, l, p);
}

static bool listed(const part_list *l, model_ref p) {
	for (size_t i = 0; i < l->n; i++)
		if (l->v[i] == p) return true;
	return false;
}

/* "left, right and 3 x rib"; more than five names become "7 parts". */
static const char *names(order_work *w, const part_list *l) {
	LIST(const char *) word = {0};
	part_list told = {0};
	for (size_t i = 0; i < l->n; i++) {
		const model_part *p = &w->m->parts.v[l->v[i]];
		if (listed(&told, l->v[i])) continue;
		size_t n = 0;
		for (size_t k = i; k < l->n; k++) {
			const model_part *q = &w->m->parts.v[l->v[k]];
			bool same = k == i || (p->number && q->number && text_same(p->group, q->group));
			if (!same) continue;
			list_add(w, &told, l->v[k]);
			n++;
		}
		const char *name = order_spoken(w->mem, n > 1 ? p->group : p->name);
		LIST_PUSH(w->mem, &word, n > 1 ? arena_printf(w->mem, "%zu x %s", n, name) : name);
	}
	if (word.n > 5) return arena_printf(w->mem, "%zu parts", l->n);
	textbuf t = textbuf_begin(w->mem);
	for (size_t i = 0; i < word.n; i++)
		textbuf_printf(&t, "%s%s", i == 0 ? "" : i + 1 == word.n ? " and " : ", ", word.v[i]);
	return t.v;
}

/* The operations that name the page: without the tape that is laid first for its joints. */
static order_rows naming(order_work *w, const model_step *s) {
	order_rows r = {.v = ARENA_MANY(w->mem, model_ref, s->ops.n + 1)};
	for (size_t i = 0; i < s->ops.n; i++)
		if (s->kind == OP_GASKET || w->ops.v[s->ops.v[i]].kind != OP_GASKET) r.v[r.n++] = s->ops.v[i];
	return r;
}

static part_list all_parts(order_work *w, const model_step *s) {
	part_list l = {0};
	order_rows ops = naming(w, s);
	for (size_t i = 0; i < ops.n; i++) {
		const model_op *o = &w->ops.v[ops.v[i]];
		for (size_t k = 0; k < o->parts.n; k++) list_add(w, &l, o->parts.v[k]);
	}
	return l;
}

/* ---- titles ---------------------------------------------------------------------------------------------- */

static const char *join_verb(const order_work *w, const model_step *s) {
	bool glue = false, screws = false, joined = false;
	for (size_t i = 0; i < s->ops.n; i++) {
		model_ref row = w->ops.v[s->ops.v[i]].joint;
		if (row == MODEL_NONE) continue;
		joined = true;
		glue = glue || w->m->joints.v[row].glue;
		screws = screws || w->m->joints.v[row].n_screws > 0;
	}
	if (!joined) return "Place";
	return glue && screws ? "Glue and screw" : glue ? "Glue" : screws ? "Screw" : "Fit";
}

/* A part that every joint of the step holds, between two others. */
static const char *between(order_work *w, const model_step *s, const char *verb) {
	model_ref a = MODEL_NONE, b[2] = {MODEL_NONE, MODEL_NONE};
	order_rows ops = naming(w, s);
	if (ops.n != 2) return NULL;
	face f[2] = {FACE_LEFT, FACE_LEFT};
	for (size_t i = 0; i < 2; i++) {
		model_ref row = w->ops.v[ops.v[i]].joint;
		if (row == MODEL_NONE) return NULL;
		const model_joint *j = &w->m->joints.v[row];
		if (i == 1 && j->a != a) return NULL;
		a = j->a;
		b[i] = j->b;
		f[i] = j->face_a;
	}
	if (f[0] != face_opposite(f[1])) return NULL;
	return arena_printf(w->mem, "%s the %s between %s and %s", verb, order_spoken(w->mem, w->m->parts.v[a].name),
			    order_spoken(w->mem, w->m->parts.v[b[0]].name),
			    order_spoken(w->mem, w->m->parts.v[b[1]].name));
}

/* All that a step joins, when it begins with nothing: "the drawer", when it is made on the bench and put in as one. */
static const char *joined_together(order_work *w, const model_step *s, const char *verb) {
	part_list l = all_parts(w, s);
	size_t piece = 0;
	for (size_t i = 0; i < w->m->parts.n; i++) piece += w->piece[i] == w->piece[l.v[0]];
	if (w->bench[l.v[0]] != MODEL_NONE && piece == l.n)
		return arena_printf(w->mem, "%s the %s together", verb, order_thing(w, l.v[0]));
	return arena_printf(w->mem, "%s %s together", verb, names(w, &l));
}

static const char *join_title(order_work *w, const model_step *s, const bool *before) {
	const char *verb = join_verb(w, s);
	order_rows ops = naming(w, s);
	const char *middle = between(w, s, verb);
	if (middle) return middle;
	part_list fresh = {0}, there = {0};
	bool first = true; /* nothing stands yet: a's to b's */
	for (size_t i = 0; i < ops.n; i++)
		for (size_t k = 0; k < w->ops.v[ops.v[i]].parts.n; k++)
			first = first && !before[w->ops.v[ops.v[i]].parts.v[k]];
	for (size_t i = 0; i < ops.n; i++) {
		const model_op *o = &w->ops.v[ops.v[i]];
		for (size_t k = 0; k < o->parts.n; k++) {
			bool carried = first && k > 0; /* parts are a, b */
			if (before[o->parts.v[k]] || carried)
				list_add(w, &there, o->parts.v[k]);
			else
				list_add(w, &fresh, o->parts.v[k]);
		}
	}
	/* A part that one joint brings and the next takes for its host: none of them is the one that all come to. */
	for (size_t i = 0; i < there.n && first; i++)
		if (listed(&fresh, there.v[i])) return joined_together(w, s, verb);
	if (fresh.n == 0) return arena_printf(w->mem, "%s %s together", verb, names(w, &there));
	if (there.n == 0) return arena_printf(w->mem, "%s %s", verb, names(w, &fresh));
	return arena_printf(w->mem, "%s %s to %s", verb, names(w, &fresh), names(w, &there));
}

static const char *capital(const order_work *w, const char *text) { return order_capital(w->mem, text); }

static const char *pattern_name(const order_work *w, const model_op *o) {
	return o->pattern == MODEL_NONE ? "" : order_spoken(w->mem, w->m->patterns.v[o->pattern].name);
}

/* The openings that the templates of a step are for: "vents and port"; only how many patterns when there are many. */
static const char *served_names(const order_work *w, const model_step *s) {
	enum { MOST = 3 };
	part_list seen = {0};
	for (size_t i = 0; i < s->ops.n; i++) {
		model_ref row = w->ops.v[s->ops.v[i]].template;
		for (size_t k = 0; row != MODEL_NONE && k < w->m->templates.v[row].uses.n; k++)
			list_add(w, &seen, w->m->templates.v[row].uses.v[k].pattern);
	}
	if (seen.n > MOST) return arena_printf(w->mem, "%zu fields of openings", seen.n);
	textbuf t = textbuf_begin(w->mem);
	for (size_t i = 0; i < seen.n; i++)
		textbuf_printf(&t, "%s%s",
			       i == 0		? ""
			       : i + 1 < seen.n ? ", "
						: " and ",
			       order_spoken(w->mem, w->m->patterns.v[seen.v[i]].name));
	return t.v;
}

static const char *title_of(order_work *w, const model_step *s, const bool *before) {
	if (s->written != MODEL_NONE && s->kind != OP_JOIN) return w->m->written.v[s->written].name;
	const model_op *o = &w->ops.v[naming(w, s).v[0]];
	part_list l = all_parts(w, s);
	switch (s->kind) {
	case OP_BUY:
		return "Buy and check what the plan needs";
	case OP_MEASURE:
		return "Measure the thickness of the sheets";
	case OP_CUT:
		return arena_printf(w->mem, "Cut %s from %s", names(w, &l),
				    w->m->stocks.v[w->m->parts.v[o->parts.v[0]].stock].label
					    ? w->m->stocks.v[w->m->parts.v[o->parts.v[0]].stock].label
					    : w->m->stocks.v[w->m->parts.v[o->parts.v[0]].stock].name);
	case OP_TEMPLATE:
		return arena_printf(w->mem, "Make and test the template%s for %s", s->ops.n > 1 ? "s" : "",
				    served_names(w, s));
	case OP_GROOVE:
		return arena_printf(w->mem, "Cut the %s in %s",
				    joint_cuts_words(w->mem, w->m, l.v, l.n, "dados and rabbets"), names(w, &l));
	case OP_OPEN:
		return arena_printf(w->mem, "Cut the opening%s of %s in %s",
				    o->pattern != MODEL_NONE && w->m->patterns.v[o->pattern].axes.n == 1 ? "" : "s",
				    pattern_name(w, o), names(w, &l));
	case OP_DRILL:
		return arena_printf(w->mem, "Drill %s for screws", names(w, &l));
	case OP_EASE:
		return arena_printf(w->mem, "Ease the edges of %s in %s", pattern_name(w, o), names(w, &l));
	case OP_TRY:
		return "Try all joints dry";
	case OP_FINISH:
		return arena_printf(w->mem, "Sand and finish %s", names(w, &l));
	case OP_JOIN:
		return join_title(w, s, before);
	case OP_GASKET:
		return s->ops.n > 1 ? arena_printf(w->mem, "Lay the gaskets of %zu joints", s->ops.n)
				    : capital(w, o->what);
	case OP_DOOR:
		return l.n > 1 ? arena_printf(w->mem, "Hang or fit %s", names(w, &l)) : capital(w, o->what);
	case OP_WIRE:
		return "Have the wiring done by a qualified person";
	case OP_FAN:
	case OP_FIT:
		return l.n > 1 && w->bench[l.v[0]] == MODEL_NONE ? arena_printf(w->mem, "Fit %s", names(w, &l))
								 : capital(w, o->what);
	default:
		break;
	}
	return capital(w, o->what);
}

/* ---- cautions ------------------------------------------------------------------------------------------- */

typedef struct general { /* a caution in full, and as a reminder for one who has read it (NULL: always in full) */
	const char *full, *brief;
} general;

enum { SAW, ROUTER, BORE, DUST, MEDIA, FAN_WORDS, WIRE_WORDS, TEST_WORDS, CLAMP, LIFT, CAUTIONS };

/* General habits of the workshop (common practice, no source); the feed round a template is W17 of the published
 * values. */
static const general CAUTION[LIFT] = {
	[SAW] = {"Saw: guard and riving knife in place, push stick near the blade, the sheet carried on both sides "
		 "of it. Eyes, ears and breath protected. What local rules ask of saws comes first.",
		 "Saw: guard and riving knife in place; eyes, ears and breath protected"},
	[ROUTER] =
		{"Router: work clamped, cutter tight, the depth in several passes. By hand, feed clockwise inside a "
		 "template and anticlockwise round the outside. Eyes, ears and breath protected.",
		 "Router: work clamped, several passes, clockwise inside a template; eyes, ears and breath protected"},
	[BORE] = {"Drill and hole saw: work clamped on a board that may be cut, hands clear, sleeves and hair tied. A "
		  "hole saw that catches turns the machine: hold it with both hands.",
		  "Drill and hole saw: work clamped, hands clear, sleeves and hair tied"},
	[DUST] = {"Sanding dust and vapour: extraction or open doors, a mask that fits, no flame. Rags with oil can "
		  "take fire by themselves: dry them spread out in the open. The maker's sheet and local rules come "
		  "first.",
		  "Dust and vapour: extraction or open doors, a mask, no flame; oily rags spread out in the open"},
	[MEDIA] = {"Fibres and dust: gloves and a mask that fits, above all when a used filter comes out.", NULL},
	[FAN_WORDS] = {"The fan can turn while it is handled: keep fingers out of the wheel. It stays unplugged and "
		       "cannot be switched on until every cover is on.",
		       NULL},
	[WIRE_WORDS] = {"Mains wiring, motor protection, earthing and what is allowed near dust are work for a "
			"licensed electrician under the local code. This book does not say how.",
			NULL},
	[TEST_WORDS] = {"Nobody reaches into fan or openings while it runs. Wood dust in air can burn and explode: "
			"what this place must have is for the local fire code and its authority to say. Figures are "
			"calculated, not certified.",
			NULL},
	[CLAMP] = {"Clamps and screws under load: keep fingers out of the joint, and let nobody stand where a panel "
		   "could fall.",
		   "Clamps and screws: fingers out of the joint, nobody where a panel could fall"},
};

static bool uses(const order_work *w, const model_step *s, model_tool_kind kind) {
	for (size_t i = 0; i < s->tools.n; i++)
		if (w->m->tools.v[s->tools.v[i]].kind == kind) return true;
	return false;
}

typedef struct cautions { /* of one step, in full and for one who has read the steps before it */
	textbuf full, brief;
	uint32_t step; /* from 1 */
	bool said[CAUTIONS];
} cautions;

static void add(textbuf *t, const char *words) {
	if (t->n) textbuf_char(t, ' ');
	textbuf_add(t, words);
}

/* Stands it in full before this step? Notes where. */
static uint32_t told_in(order_work *w, cautions *c, int which) {
	if (!w->caution_step[which]) w->caution_step[which] = c->step;
	return w->caution_step[which] < c->step ? w->caution_step[which] : 0;
}

static void say(order_work *w, cautions *c, int which) {
	if (c->said[which]) return;
	c->said[which] = true;
	const general *g = &CAUTION[which];
	uint32_t before = told_in(w, c, which);
	add(&c->full, g->full);
	if (before && g->brief)
		add(&c->brief, arena_printf(w->mem, "%s (in full: step %u).", g->brief, before));
	else
		add(&c->brief, g->full);
}

static void say_kind(order_work *w, cautions *t, const model_step *s, model_op_kind kind) {
	bool shaped = kind == OP_GROOVE || kind == OP_OPEN || kind == OP_TEMPLATE || kind == OP_EASE;
	if (kind == OP_CUT || (shaped && uses(w, s, TOOL_SAW))) say(w, t, SAW);
	if (shaped && (uses(w, s, TOOL_ROUTER) || kind == OP_EASE || kind == OP_TEMPLATE || s->tools.n == 0))
		say(w, t, ROUTER);
	if (kind == OP_DRILL || (kind == OP_OPEN && (uses(w, s, TOOL_HOLE_SAW) || uses(w, s, TOOL_DRILL))))
		say(w, t, BORE);
	if (kind == OP_FINISH) say(w, t, DUST);
	if (kind == OP_JOIN) say(w, t, CLAMP);
	if (kind == OP_FILTER) say(w, t, MEDIA);
	if (kind == OP_FAN) say(w, t, FAN_WORDS);
	if (kind == OP_WIRE) say(w, t, WIRE_WORDS);
	if (kind == OP_TEST) say(w, t, TEST_WORDS);
}

static const char *kg(const order_work *w, double v) { return quant_show_mass(w->mem, v, w->m->measures); }

static const char *more_hands(const order_work *w, uint32_t more) {
	return more > 1 ? arena_printf(w->mem, "%u more people help", more) : "a second person helps";
}

static void say_lift(order_work *w, cautions *c, const model_step *s) {
	/* Floor to bench with outstretched hands round a panel: case W24 of the published values. */
	double bench = lift_limit_kg((lift){.out_cm = 40, .from_cm = 30, .travel_cm = 60, .coupling = 0.9});
	if (!(s->lift_kg > bench)) return;
	uint32_t more = lift_helpers(s->lift_kg), before = told_in(w, c, LIFT);
	const char *help = more ? arena_printf(w->mem, "%s. ", more_hands(w, more)) : "";
	const char *constant = more ? arena_printf(w->mem,
						   "The revised NIOSH lifting equation begins at %s for the best lift "
						   "there is: %s",
						   kg(w, LIFT_LOAD_CONSTANT_KG), help)
				    : "";
	const char *full = arena_printf(
		w->mem,
		"Lifting: the heaviest piece weighs %s. %sFrom the floor to a bench, held %s away "
		"with a poor grip, the equation recommends no more than %s for one.",
		kg(w, s->lift_kg), constant, w->m->measures == MEASURES_INCH ? "16 in" : "40 cm", kg(w, bench));
	add(&c->full, full);
	add(&c->brief, before ? arena_printf(w->mem, "Lifting: %s; %s (step %u).", kg(w, s->lift_kg),
					     more ? more_hands(w, more)
						  : arena_printf(w->mem, "from floor to bench no more than %s for one",
								 kg(w, bench)),
					     before)
			      : full);
}

void order_words_step(order_work *w, model_step *s, const bool *before, const bool *after) {
	cautions c = {.full = textbuf_begin(w->mem),
		      .brief = textbuf_begin(w->mem),
		      .step = (uint32_t)(s - w->m->order.steps.v) + 1};
	const model_written *written = s->written == MODEL_NONE ? NULL : &w->m->written.v[s->written];
	s->title = title_of(w, s, before);
	if (written && written->caution.v) add(&c.full, written->caution.v), add(&c.brief, written->caution.v);
	for (size_t i = 0; i < s->ops.n; i++) say_kind(w, &c, s, w->ops.v[s->ops.v[i]].kind);
	say_lift(w, &c, s);
	s->caution = c.full.n ? c.full.v : NULL;
	s->caution_brief = c.brief.n ? c.brief.v : NULL;
	s->check = order_words_check(w, s, after);
}
