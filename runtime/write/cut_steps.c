#include "runtime/write/cut_steps.h"

#include <math.h>

#include "runtime/engine/mitre.h"
#include "runtime/engine/mitre_nest.h"

typedef struct rect {
	rat x, y, w, h;
} rect;

static bool same(rect a, rat x, rat y, rat w, rat h) {
	return rat_eq(a.x, x) && rat_eq(a.y, y) && rat_eq(a.w, w) && rat_eq(a.h, h);
}

/* The rectangles below (left) and above (right) of the kerf. */
static void divide(const model_sheet_plan *s, const model_cut *c, rect *low, rect *high) {
	rat after = rat_add(c->at, s->kerf);
	*low = *high = (rect){c->x, c->y, c->w, c->h};
	if (c->along_x) {
		low->h = rat_sub(c->at, c->y);
		high->y = after;
		high->h = rat_sub(rat_add(c->y, c->h), after);
	} else {
		low->w = rat_sub(c->at, c->x);
		high->x = after;
		high->w = rat_sub(rat_add(c->x, c->w), after);
	}
}

static cut_side becomes(const model_sheet_plan *s, size_t cut, rect r) {
	cut_side side = {BECOMES_NOTHING, 0, r.w, r.h};
	if (rat_sign(r.w) <= 0 || rat_sign(r.h) <= 0) return side;
	for (size_t i = 0; i < s->pieces.n; i++) {
		const model_piece *q = &s->pieces.v[i];
		if (same(r, q->x, q->y, q->w, q->h)) return (cut_side){BECOMES_PART, q->part, r.w, r.h};
	}
	for (size_t i = cut + 1; i < s->cuts.n; i++) {
		const model_cut *c = &s->cuts.v[i];
		if (same(r, c->x, c->y, c->w, c->h)) return (cut_side){BECOMES_PIECE, c->number, r.w, r.h};
	}
	for (uint32_t i = 0; i < s->offcuts.n; i++) {
		const model_offcut *o = &s->offcuts.v[i];
		if (same(r, o->x, o->y, o->w, o->h)) return (cut_side){BECOMES_OFFCUT, i, r.w, r.h};
	}
	side.is = BECOMES_WASTE;
	return side;
}

cut_step *cut_steps(arena *mem, const model *m, const model_sheet_plan *s) {
	cut_step *v = ARENA_MANY(mem, cut_step, s->cuts.n + 1);
	for (size_t i = 0; i < s->cuts.n; i++) {
		const model_cut *c = &s->cuts.v[i], *last = i ? c - 1 : NULL;
		rect low, high;
		divide(s, c, &low, &high);
		v[i].kept = becomes(s, i, c->keep_high ? high : low);
		v[i].other = becomes(s, i, c->keep_high ? low : high);
		if (c->trim && v[i].other.is != BECOMES_NOTHING) v[i].other.is = BECOMES_WASTE;
		v[i].set = !last || last->along_x != c->along_x || last->keep_high != c->keep_high ||
			   !rat_eq(last->fence, c->fence);
		v[i].sled = !model_on_rolls(&m->stocks.v[s->stock]) && rat_ok(m->layout.guide) &&
			    rat_lt(c->along_x ? c->w : c->h, m->layout.guide);
		for (size_t k = 0; k < 2; k++) {
			const cut_side *side = k ? &v[i].other : &v[i].kept;
			if (side->is == BECOMES_PIECE) v[side->row - 1].from = c->number;
		}
	}
	return v;
}

const char *cut_steps_from(arena *mem, const model *m, const model_sheet_plan *s, const cut_step *step) {
	if (step->from == 0)
		return s->offcut ? "the offcut"
				 : arena_printf(mem, "the whole %s", model_whole_word(m->stocks.v[s->stock].kind));
	return arena_printf(mem, "from cut %u", step->from);
}

const char *cut_steps_guide(const model *m, const model_sheet_plan *s, const cut_step *step) {
	return model_on_rolls(&m->stocks.v[s->stock]) ? "straightedge" : step->sled ? "sled" : "fence";
}

const char *cut_steps_side(arena *mem, const model *m, const model_sheet_plan *s, const model_cut *c,
			   const cut_side *side) {
	switch (side->is) {
	case BECOMES_PART:
		return model_cut_name(m, s, side->row);
	case BECOMES_PIECE:
		return arena_printf(mem, "for cut %u", side->row);
	case BECOMES_OFFCUT:
		return "offcut";
	case BECOMES_WASTE:
		return c->trim && c->keep_high ? "waste, reference edge made" : "waste";
	case BECOMES_NOTHING:
		break;
	}
	return c->trim && c->keep_high ? "reference edge made" : "";
}

static bool same_mitre(const model_mitre *a, const model_mitre *b) {
	if (!a || !b) return a == b;
	return a->angle_deg == b->angle_deg && a->point == b->point;
}

static void add_step(arena *mem, bar_steps *v, bar_step s) {
	const bar_step *last = v->n ? &v->v[v->n - 1] : NULL;
	bool same_stop = last && last->piece && s.piece && rat_eq(last->stop, s.stop);
	s.number = (uint32_t)v->n + 1;
	s.set = !same_stop || !same_mitre(last->mitre, s.mitre);
	LIST_PUSH(mem, v, s);
}

static const model_mitre *mitre_of(const model *m, const model_piece *q, int end) {
	const model_mitre *t = &m->parts.v[q->part].mitre[end];
	return t->angle_deg > 0 ? t : NULL;
}

/* What the swung blade takes along the bar, rounded up to 1/1000 mm. */
static rat swung(const model_mitre *t, rat kerf) {
	return rat_add(kerf, rat_of((int64_t)ceil(mitre_kerf_mm(t->angle_deg, rat_double(kerf)) * 1000), 1000));
}

/* What is left behind a piece. */
static cut_becomes behind(const model_bar_plan *b, size_t k, rat at) {
	if (k + 1 < b->pieces.n) return BECOMES_PIECE;
	if (rat_sign(rat_sub(rat_sub(b->length, at), b->kerf)) <= 0) return BECOMES_NOTHING;
	return rat_sign(b->rest) > 0 ? BECOMES_OFFCUT : BECOMES_WASTE;
}

bar_steps cut_steps_bar(arena *mem, const model *m, const model_bar_plan *b) {
	bar_steps v = {0};
	rat trim = rat_ok(b->trim) ? b->trim : rat_int(0), from = rat_int(0);
	if (rat_sign(trim) > 0)
		add_step(mem, &v,
			 (bar_step){.stop = rat_poison(),
				    .at = rat_sub(trim, b->kerf),
				    .other = BECOMES_WASTE,
				    .from = from});
	for (size_t k = 0; k < b->pieces.n; k++) {
		const model_piece *q = &b->pieces.v[k];
		const model_mitre *low = mitre_of(m, q, 0), *high = mitre_of(m, q, 1);
		rat at = rat_add(q->x, q->w);
		bool begun = k > 0 && mitre_shared(m, q - 1, q, b->kerf);
		if (low && !begun)
			add_step(mem, &v,
				 (bar_step){.mitre = low,
					    .stop = rat_poison(),
					    .from = from,
					    .at = rat_sub(q->x, swung(low, b->kerf)),
					    .other = BECOMES_WASTE});
		if (high || !rat_eq(at, b->length))
			add_step(mem, &v,
				 (bar_step){.piece = q,
					    .mitre = high,
					    .stop = q->w,
					    .from = q->x,
					    .at = at,
					    .shared = k + 1 < b->pieces.n && mitre_shared(m, q, q + 1, b->kerf),
					    .other = behind(b, k, at)});
		from = rat_add(at, b->kerf);
	}
	return v;
}

const char *cut_steps_rest(cut_becomes other) {
	return other == BECOMES_WASTE	 ? "waste"
	       : other == BECOMES_OFFCUT ? "offcut"
	       : other == BECOMES_PIECE	 ? "the rest"
					 : "";
}

const char *cut_steps_bar_word(const bar_step *s) {
	return s->mitre ? s->shared ? "mitre for two" : "mitre" : s->piece ? "crosscut" : "trim crosscut";
}

static const char *end_words(arena *mem, const model_part *p, int end) {
	const model_mitre *t = &p->mitre[end];
	const char *side = FACE_NAME[face_of(p->long_axis, end == 1)];
	if (!(t->angle_deg > 0)) return arena_printf(mem, "%s square", side);
	return arena_printf(mem, "%s %s° to %s", side, quant_show_number(mem, t->angle_deg, 2), FACE_NAME[t->point]);
}

const char *cut_steps_ends(arena *mem, const model_part *p) {
	if (!(p->mitre[0].angle_deg > 0) && !(p->mitre[1].angle_deg > 0)) return "";
	return arena_printf(mem, "%s, %s", end_words(mem, p, 0), end_words(mem, p, 1));
}

bool cut_steps_same_ends(const model_part *a, const model_part *b) {
	for (int end = 0; end < 2; end++) {
		const model_mitre *x = &a->mitre[end], *y = &b->mitre[end];
		bool plain_x = !(x->angle_deg > 0), plain_y = !(y->angle_deg > 0);
		if (plain_x != plain_y || (!plain_x && !same_mitre(x, y))) return false;
	}
	return true;
}
