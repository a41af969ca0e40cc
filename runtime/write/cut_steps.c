#include "runtime/write/cut_steps.h"

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
		v[i].sled = rat_ok(m->layout.guide) && rat_lt(c->along_x ? c->w : c->h, m->layout.guide);
		for (size_t k = 0; k < 2; k++) {
			const cut_side *side = k ? &v[i].other : &v[i].kept;
			if (side->is == BECOMES_PIECE) v[side->row - 1].from = c->number;
		}
	}
	return v;
}

const char *cut_steps_from(arena *mem, const model_sheet_plan *s, const cut_step *step) {
	if (step->from == 0) return s->offcut ? "the offcut" : "the whole sheet";
	return arena_printf(mem, "piece from cut %u", step->from);
}

const char *cut_steps_side(arena *mem, const model *m, const model_cut *c, const cut_side *side) {
	switch (side->is) {
	case BECOMES_PART:
		return m->parts.v[side->row].name;
	case BECOMES_PIECE:
		return arena_printf(mem, "piece for cut %u", side->row);
	case BECOMES_OFFCUT:
		return "offcut";
	case BECOMES_WASTE:
		return c->trim && c->keep_high ? "waste, reference edge made" : "waste";
	case BECOMES_NOTHING:
		break;
	}
	return c->trim && c->keep_high ? "reference edge made" : "";
}

bar_steps cut_steps_bar(arena *mem, const model_bar_plan *b) {
	bar_steps v = {0};
	rat trim = rat_ok(b->trim) ? b->trim : rat_int(0);
	for (size_t k = 0; k <= b->pieces.n; k++) {
		const model_piece *q = k ? &b->pieces.v[k - 1] : NULL, *last = k > 1 ? q - 1 : NULL;
		bar_step s = {.piece = q, .stop = q ? q->w : rat_poison(), .from = q ? q->x : rat_int(0)};
		s.at = q ? rat_add(q->x, q->w) : rat_sub(trim, b->kerf);
		if ((!q && rat_sign(trim) == 0) || rat_eq(s.at, b->length)) continue;
		s.number = (uint32_t)v.n + 1;
		s.set = !last || !rat_eq(last->w, q->w);
		rat left = q ? rat_sub(rat_sub(b->length, s.at), b->kerf) : s.at;
		s.other = rat_sign(left) <= 0	  ? BECOMES_NOTHING
			  : !q			  ? BECOMES_WASTE
			  : k < b->pieces.n	  ? BECOMES_PIECE
			  : rat_sign(b->rest) > 0 ? BECOMES_OFFCUT
						  : BECOMES_WASTE;
		LIST_PUSH(mem, &v, s);
	}
	return v;
}
