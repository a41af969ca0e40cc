/* What to look at before going on: figures that follow from the model. */
#include <math.h>

#include "compiler/order_inner.h"
#include "runtime/base/text.h"
#include "runtime/engine/joint.h"

static const char *mm(const order_work *w, rat r) { return quant_show_length(w->mem, r, w->m->measures, false); }
static const char *about_mm(const order_work *w, double v) {
	return quant_show_reckoned(w->mem, v, 10, w->m->measures);
}
static const char *name_of(const order_work *w, model_ref p) { return order_spoken(w->mem, w->m->parts.v[p].name); }

static void sentence(textbuf *t) {
	if (t->n) textbuf_char(t, ' ');
}

static void measured(const order_work *w, const model_op *o, textbuf *t) {
	const model_stock *s = &w->m->stocks.v[w->m->parts.v[o->parts.v[0]].stock];
	if (!rat_ok(s->thick.mm)) return;
	sentence(t);
	textbuf_printf(t, "%s: the plan counts on %s", s->label, mm(w, s->thick.mm));
	if (rat_ok(s->thick_plus.mm) && rat_ok(s->thick_minus.mm) && rat_sign(s->thick_plus.mm) > 0)
		textbuf_printf(t, ", between %s and %s", mm(w, rat_sub(s->thick.mm, rat_abs(s->thick_minus.mm))),
			       mm(w, rat_add(s->thick.mm, s->thick_plus.mm)));
	textbuf_add(t, "; if the sheets differ, give the plan what you measured and compile it again.");
}

/* The two larger sizes of a blank, the larger first. */
static void broad_sizes(const model_part *p, rat *a, rat *b) {
	*a = *b = rat_int(0);
	for (int i = 0; i < 3; i++) {
		rat s = box_size(p->blank, (axis)i);
		if (rat_lt(*a, s)) {
			*b = *a;
			*a = s;
		} else if (rat_lt(*b, s)) {
			*b = s;
		}
	}
}

static void cut_sizes(const order_work *w, const model_step *s, textbuf *t) {
	model_ref largest = MODEL_NONE;
	double most = 0;
	size_t n = 0;
	bool alike = true; /* pieces of one group */
	for (size_t i = 0; i < s->ops.n; i++) {
		const model_op *o = &w->ops.v[s->ops.v[i]];
		rat a, b;
		if (o->kind != OP_CUT) continue;
		const model_part *p = &w->m->parts.v[o->parts.v[0]];
		n++;
		alike = alike && p->number &&
			(largest == MODEL_NONE || text_same(p->group, w->m->parts.v[largest].group));
		broad_sizes(&w->m->parts.v[o->parts.v[0]], &a, &b);
		double area = order_rat_mm(a) * order_rat_mm(b);
		if (area <= most * (1 + 1e-9)) continue;
		most = area;
		largest = o->parts.v[0];
	}
	if (largest == MODEL_NONE) return;
	rat a, b;
	broad_sizes(&w->m->parts.v[largest], &a, &b);
	sentence(t);
	const char *name = name_of(w, largest);
	if (n > 1 && alike)
		name = arena_printf(w->mem, "Each %s", order_spoken(w->mem, w->m->parts.v[largest].group));
	else
		name = n > 1 ? arena_printf(w->mem, "The largest part, %s,", name) : order_capital(w->mem, name);
	textbuf_printf(t, "%s is %s x %s", name, mm(w, a), mm(w, b));
	/* Over a narrow strip a diagonal tells nothing. */
	if (order_rat_mm(b) > 100)
		textbuf_printf(t, " and both its diagonals are %s",
			       about_mm(w, hypot(order_rat_mm(a), order_rat_mm(b))));
	textbuf_char(t, '.');
}

static void groove_size(const order_work *w, const model_op *o, textbuf *t) {
	for (size_t i = 0; i < w->joints.n; i++) {
		const model_joint *j = &w->m->joints.v[w->joints.v[i]];
		if (j->b != o->parts.v[0] || (j->kind != JOINT_DADO && j->kind != JOINT_GROOVE)) continue;
		rat least = rat_poison();
		for (int a = 0; a < 3; a++) {
			rat size = box_size(j->contact, (axis)a);
			if (a != (int)face_axis(j->face_a) && (!rat_ok(least) || rat_lt(size, least))) least = size;
		}
		if (rat_ok(j->allowance.mm)) least = rat_add(least, j->allowance.mm);
		sentence(t);
		textbuf_printf(t, "The %s for %s in %s is %s wide and %s deep; an offcut goes in by hand.",
			       joint_cut_word(j->kind), name_of(w, j->a), name_of(w, j->b), mm(w, least),
			       mm(w, j->depth.mm));
		return;
	}
}

static void template_cut(const order_work *w, const model_op *o, textbuf *t) {
	const model_template *p = &w->m->templates.v[o->template];
	if (!rat_ok(p->test_cut)) return;
	sentence(t);
	textbuf_printf(t, "The test cut of template %s measures %s", order_spoken(w->mem, p->name), mm(w, p->shape.a));
	if (p->shape.kind != SHAPE_ROUND) textbuf_printf(t, " x %s", mm(w, p->shape.b));
	if (p->shape.kind == SHAPE_RECT && rat_ok(p->shape.corner) && rat_sign(p->shape.corner) > 0)
		textbuf_printf(t, ", corner radius %s", mm(w, p->shape.corner));
	textbuf_char(t, '.');
}

static void opened(const order_work *w, const model_op *o, textbuf *t) {
	const model_pattern *p = &w->m->patterns.v[o->pattern];
	if (p->axes.n == 0) return;
	const model_part *part = &w->m->parts.v[o->parts.v[0]];
	const char *name = order_spoken(w->mem, p->name);
	point3 a = p->axes.v[0], b = p->axes.v[p->axes.n - 1];
	sentence(t);
	if (p->axes.n == 1) { /* where it is, from two edges */
		textbuf_printf(t, "The middle of %s in %s is %s from the %s edge and %s from the %s edge.", name,
			       name_of(w, o->parts.v[0]), mm(w, rat_sub(a.v[p->u], part->box.lo[p->u])),
			       FACE_NAME[face_of(p->u, false)], mm(w, rat_sub(a.v[p->v], part->box.lo[p->v])),
			       FACE_NAME[face_of(p->v, false)]);
		return;
	}
	double square = 0;
	for (int i = 0; i < 3; i++) square += pow(order_rat_mm(rat_sub(a.v[i], b.v[i])), 2);
	textbuf_printf(t, "There are %zu openings of %s in %s; the first and the last axis are %s apart.", p->axes.n,
		       name, name_of(w, o->parts.v[0]), about_mm(w, sqrt(square)));
}

static void holes(const order_work *w, const model_step *s, textbuf *t) {
	size_t n = 0, clearance = 0;
	for (size_t i = 0; i < s->ops.n; i++) {
		const model_op *o = &w->ops.v[s->ops.v[i]];
		if (o->kind != OP_DRILL) continue;
		const uint32_t *first = &w->features.first[o->parts.v[0]];
		for (uint32_t k = first[0]; k < first[1]; k++) {
			const model_feature *f = &w->m->features.v[w->features.row[k]];
			clearance += f->kind == FEATURE_CLEARANCE;
			n += f->kind == FEATURE_CLEARANCE || f->kind == FEATURE_PILOT;
		}
	}
	if (n == 0) return;
	sentence(t);
	textbuf_printf(t, "Count them: %s for screws, %zu of them countersunk.", text_count(w->mem, n, "hole"),
		       clearance);
}

static void tried(const order_work *w, const model_op *o, textbuf *t) {
	rat lo[3], hi[3];
	for (int a = 0; a < 3; a++) lo[a] = hi[a] = rat_poison();
	for (size_t i = 0; i < o->parts.n; i++)
		for (int a = 0; a < 3; a++) {
			box3 b = w->m->parts.v[o->parts.v[i]].box;
			lo[a] = rat_ok(lo[a]) ? rat_min(lo[a], b.lo[a]) : b.lo[a];
			hi[a] = rat_ok(hi[a]) ? rat_max(hi[a], b.hi[a]) : b.hi[a];
		}
	rat size[3];
	for (int a = 0; a < 3; a++) size[a] = rat_sub(hi[a], lo[a]);
	sentence(t);
	textbuf_printf(t, "Over all, what is joined measures %s wide, %s deep and %s high.", mm(w, size[0]),
		       mm(w, size[1]), mm(w, size[2]));
}

/* Panels that lie alike, apart across their thickness; their longer side goes to *along. */
static bool opposite(const model_part *a, const model_part *b, axis *along) {
	axis n = a->thick_axis;
	if (a->kind != PART_PANEL || b->kind != PART_PANEL || n != b->thick_axis) return false;
	if (rat_cmp(a->box.lo[n], b->box.lo[n]) == 0) return false;
	rat most = rat_int(-1);
	*along = AXIS_X;
	for (int x = 0; x < 3; x++) {
		if (x == (int)n) continue;
		if (!rat_eq(a->box.lo[x], b->box.lo[x]) || !rat_eq(a->box.hi[x], b->box.hi[x])) return false;
		if (rat_le(box_size(a->box, (axis)x), most)) continue;
		most = box_size(a->box, (axis)x);
		*along = (axis)x;
	}
	return true;
}

static model_ref held_by(model_ref *in, model_ref part) {
	while (in[part] != part) part = in[part] = in[in[part]];
	return part;
}

/* Do the joints of the parts that stand hold the two together? */
static bool held_together(const order_work *w, const bool *stands, model_ref p, model_ref q) {
	model_ref *in = ARENA_MANY(w->mem, model_ref, model_rows(w->m) + 1);
	for (model_ref i = 0; i < w->m->parts.n; i++) in[i] = i;
	for (size_t i = 0; i < w->m->joints.n; i++) {
		const model_joint *j = &w->m->joints.v[i];
		if (stands[j->a] && stands[j->b]) in[held_by(in, j->a)] = held_by(in, j->b);
	}
	return held_by(in, p) == held_by(in, q);
}

static bool tell_square(const order_work *w, const bool *stands, model_ref p, model_ref q, textbuf *t) {
	const model_part *a = &w->m->parts.v[p], *b = &w->m->parts.v[q];
	axis n = a->thick_axis, along;
	/* What lies about singly is no frame. */
	if (!opposite(a, b, &along) || !held_together(w, stands, p, q)) return false;
	rat across = rat_sub(rat_max(a->box.hi[n], b->box.hi[n]), rat_min(a->box.lo[n], b->box.lo[n]));
	double long_mm = order_rat_mm(box_size(a->box, along));
	sentence(t);
	textbuf_printf(t, "Over %s and %s, corner to corner on the outside (%s x %s), both diagonals are %s.",
		       name_of(w, p), name_of(w, q), mm(w, across), mm(w, box_size(a->box, along)),
		       about_mm(w, hypot(order_rat_mm(across), long_mm)));
	return true;
}

/* Two walls of the same size that stand opposite each other, one of them new: the rectangle over their outsides. */
static void square_walls(const order_work *w, const model_step *s, const bool *stands, textbuf *t) {
	bool *fresh = ARENA_MANY(w->mem, bool, model_rows(w->m) + 1);
	size_t *places = ARENA_MANY(w->mem, size_t, s->new_parts.n + 1), n = 0; /* of the new ones in w->parts */
	for (size_t i = 0; i < s->new_parts.n; i++) fresh[s->new_parts.v[i]] = true;
	for (size_t i = 0; i < w->parts.n; i++)
		if (fresh[w->parts.v[i]] && n < s->new_parts.n) places[n++] = i;
	for (size_t i = 0; i < w->parts.n; i++) {
		model_ref p = w->parts.v[i];
		if (!stands[p]) continue;
		for (size_t k = fresh[p] ? i + 1 : 0; fresh[p] && k < w->parts.n; k++)
			if (stands[w->parts.v[k]] && tell_square(w, stands, p, w->parts.v[k], t)) return;
		for (size_t k = 0; !fresh[p] && k < n; k++)
			if (places[k] > i && stands[w->parts.v[places[k]]] &&
			    tell_square(w, stands, p, w->parts.v[places[k]], t))
				return;
	}
}

#define LEAST_READING_PA 2.0 /* a water gauge in the shop shows about 0.01 in: common practice, no source */

static void gauges(const order_work *w, textbuf *t) {
	static const char *const SAID[2] = {"With clean media and nothing covered", "With media due for a change"};
	const model_air *air = &w->m->air;
	bool any = false, named = false;
	for (size_t i = 0; i < air->spaces.n; i++) named = named || (air->spaces.v[i].named && !air->spaces.v[i].room);
	for (size_t c = 0; c < 2; c++) {
		const model_air_result *r = &air->result[c];
		bool first = true;
		if (!r->solved || !r->pressure_pa) continue;
		for (size_t i = 0; i < air->spaces.n; i++) {
			/* A hose finds a space that the plan names; where it names none all are told. */
			if (air->spaces.v[i].room || (named && !air->spaces.v[i].named)) continue;
			if (!isfinite(r->pressure_pa[i]) || fabs(r->pressure_pa[i]) < LEAST_READING_PA) continue;
			if (model_space_in_stream(w->m, (model_ref)i)) continue;
			if (first) {
				sentence(t);
				textbuf_printf(t, "%s a gauge against the room should read about", SAID[c]);
			}
			textbuf_printf(t, "%s %s in %s", first ? "" : ",",
				       quant_show_si(w->mem, DIM_PRESSURE, r->pressure_pa[i], w->m->measures),
				       order_spoken(w->mem, air->spaces.v[i].name));
			first = false;
		}
		if (!first) textbuf_add(t, ".");
		any = any || !first;
	}
	sentence(t);
	textbuf_add(t,
		    any ? "Write down what it reads, and the date." : "Write down what the gauge reads, and the date.");
}

/* Does the plan say that an opening stands on this fan's inlet? A fan that draws from a space has none to meet. */
static bool stands_on_opening(const model_air *air, model_ref stock) {
	for (size_t i = 0; i < air->branches.n; i++) {
		const model_branch *fan = &air->branches.v[i];
		for (size_t k = 0; k < air->branches.n && fan->kind == AIR_FAN && fan->stock == stock; k++) {
			const model_branch *b = &air->branches.v[k];
			if (b->kind == AIR_OPENINGS && b->feeds_fan && b->to == fan->from) return true;
		}
	}
	return false;
}

static void fans(const order_work *w, const model_op *o, textbuf *t) {
	sentence(t);
	textbuf_add(t, "The wheel turns freely by hand");
	model_ref row = w->m->parts.v[o->parts.v[0]].stock;
	if (row != MODEL_NONE && rat_ok(w->m->stocks.v[row].inlet.mm) && stands_on_opening(&w->m->air, row))
		textbuf_printf(t, ", and the inlet of %s meets its opening", mm(w, w->m->stocks.v[row].inlet.mm));
	textbuf_add(t, ".");
}

const char *order_words_check(const order_work *w, const model_step *s, const bool *stands) {
	textbuf t = textbuf_begin(w->mem);
	bool seen[OP_KINDS] = {false};
	for (size_t i = 0; i < s->ops.n; i++) {
		const model_op *o = &w->ops.v[s->ops.v[i]];
		bool first = !seen[o->kind];
		seen[o->kind] = true;
		if (o->kind == OP_MEASURE) measured(w, o, &t);
		if (o->kind == OP_TEMPLATE) template_cut(w, o, &t);
		if (o->kind == OP_OPEN) opened(w, o, &t);
		if (!first) continue;
		if (o->kind == OP_CUT) cut_sizes(w, s, &t);
		if (o->kind == OP_GROOVE) groove_size(w, o, &t);
		if (o->kind == OP_DRILL) holes(w, s, &t);
		if (o->kind == OP_TRY) tried(w, o, &t);
		if (o->kind == OP_JOIN) square_walls(w, s, stands, &t);
		if (o->kind == OP_FAN) fans(w, o, &t);
		if (o->kind == OP_TEST) gauges(w, &t);
		if (o->kind == OP_GASKET) {
			sentence(&t);
			textbuf_add(&t, "Every gasket runs round without a gap.");
		}
		if (o->kind == OP_FILTER) {
			sentence(&t);
			textbuf_add(&t, "Filters sit close all round; no light is seen past them.");
		}
	}
	return t.n ? t.v : NULL;
}
