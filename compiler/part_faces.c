/* Where the faces of a part lie: how many pieces it has, and along each axis both faces of each. */
#include "compiler/eval_inner.h"
#include "compiler/parts.h"

/* ---- how many pieces ----------------------------------------------------------------------------- */

static bool count_pieces(ctx *c, part_def *p) {
	const syn_line *first = NULL;
	for (size_t i = 0; i < p->holds.n; i++) {
		const hold *h = &p->holds.v[i];
		bool many = h->kind == HOLD_SPREAD || h->kind == HOLD_PITCH || h->kind == HOLD_STACK ||
			    h->kind == HOLD_CORNER;
		if (!many || h->line == first) continue;
		if (first) {
			diag *g = diag_error(c->diags, "part-held-twice", h->line->at, "`%s` is repeated in two ways",
					     p->name);
			diag_add_note(c->diags, g, first->at, "the other is here");
			return false;
		}
		first = h->line;
		int64_t n = 4;
		if (h->kind != HOLD_CORNER && !eval_count(c, line_arg(h->line, NULL, 0), 1, MOST_PIECES, &n))
			return false;
		p->n = (uint32_t)n;
	}
	return true;
}

bool part_expand(ctx *c, part_def *p) {
	if (p->expanded) return p->n > 0;
	p->expanded = true;
	p->n = 1;
	if (p->is_set) return true;
	if (p->piece_of) {
		p->n = part_expand(c, p->piece_of) && p->piece < p->piece_of->n ? 1 : 0;
		return p->n > 0;
	}
	if (p->mirror) {
		p->n = part_expand(c, p->mirror) ? p->mirror->n : 0;
		return p->n > 0;
	}
	inst *before = inst_enter(c, p->in);
	bool good = count_pieces(c, p);
	inst_enter(c, before);
	if (!good) p->n = 0;
	return good;
}

/* ---- faces along one axis -------------------------------------------------------------------------- */

/* What the holds along one axis come to; poison where nothing says it. */
typedef struct extent {
	rat lo, hi, centre, size;
	span lo_at, hi_at, centre_at, size_at;
	rat *many_lo; /* of repeated pieces */
	bool bad;
} extent;

static bool merge(ctx *c, part_def *p, const char *what, rat *slot, span *slot_at, rat v, span at) {
	if (!rat_ok(*slot)) {
		*slot = v;
		*slot_at = at;
		return true;
	}
	if (rat_eq(*slot, v)) return true;
	diag *g = diag_error(c->diags, "part-held-twice", at, "the %s of `%s` is fixed twice, %s apart", what, p->name,
			     quant_show_length(c->mem, rat_abs(rat_sub(v, *slot)), c->m->measures, false));
	diag_add_note(c->diags, g, *slot_at, "here it lies at %s",
		      quant_show_length(c->mem, *slot, c->m->measures, false));
	diag_add_note(c->diags, g, at, "and here at %s", quant_show_length(c->mem, v, c->m->measures, false));
	diag_add_help(c->diags, g, "keep one of the two");
	return false;
}

/* A part or a face as an end of `between`: its faces along the axis. */
static bool end_faces(ctx *c, const syn_expr *e, axis a, rat *lo, rat *hi) {
	axis across;
	if (part_names_face(c, e, &across)) {
		if (across != a) {
			diag_error(c->diags, "plan-direction", e->at, "this face does not lie along the %s",
				   AXIS_SPOKEN[a]);
			return false;
		}
		if (!eval_length(c, e, lo)) return false;
		*hi = *lo;
		return true;
	}
	part_def *p = eval_place(c, e);
	return p && part_face_value(c, p, face_of(a, false), e->at, lo) &&
	       part_face_value(c, p, face_of(a, true), e->at, hi);
}

static bool room_between(ctx *c, const syn_line *line, const char *link, axis a, rat *lo, rat *hi) {
	rat alo, ahi, blo, bhi;
	const syn_expr *ea = line_arg(line, link, 0), *eb = line_arg(line, "and", 0);
	bool good = end_faces(c, ea, a, &alo, &ahi);
	if (!end_faces(c, eb, a, &blo, &bhi) || !good) return false;
	if (rat_le(ahi, blo)) {
		*lo = ahi;
		*hi = blo;
		return true;
	}
	if (rat_le(bhi, alo)) {
		*lo = bhi;
		*hi = alo;
		return true;
	}
	diag *g = diag_error(c->diags, "part-no-room", line->at, "there is no room between these two along the %s",
			     AXIS_SPOKEN[a]);
	diag_add_note(c->diags, g, ea->at, "from %s to %s", quant_show_length(c->mem, alo, c->m->measures, false),
		      quant_show_length(c->mem, ahi, c->m->measures, false));
	diag_add_note(c->diags, g, eb->at, "from %s to %s", quant_show_length(c->mem, blo, c->m->measures, false),
		      quant_show_length(c->mem, bhi, c->m->measures, false));
	return false;
}

static bool with_inset(ctx *c, const syn_line *line, rat *lo, rat *hi) {
	const syn_expr *e = line_arg(line, "inset", 0);
	rat inset;
	if (!e) return true;
	if (!eval_length(c, e, &inset)) return false;
	rat room = rat_sub(*hi, *lo);
	*lo = rat_add(*lo, inset);
	*hi = rat_sub(*hi, inset);
	if (!rat_le(*hi, *lo) || rat_sign(room) <= 0) return true;
	diag_error(c->diags, "part-no-room", line->at, "%s on both sides leave nothing of the %s that are there",
		   quant_show_length(c->mem, inset, c->m->measures, false),
		   quant_show_length(c->mem, room, c->m->measures, false));
	return false;
}

static bool take_pair(ctx *c, part_def *p, const hold *h, extent *x) {
	rat lo, hi;
	const syn_expr *of = line_arg(h->line, "of", 0);
	if (of) {
		part_def *other = eval_place(c, of);
		if (!other || !part_face_value(c, other, face_of(h->along, false), of->at, &lo) ||
		    !part_face_value(c, other, face_of(h->along, true), of->at, &hi))
			return false;
	} else if (!room_between(c, h->line, NULL, h->along, &lo, &hi)) {
		return false;
	}
	if (!with_inset(c, h->line, &lo, &hi)) return false;
	bool good = merge(c, p, FACE_NAME[face_of(h->along, false)], &x->lo, &x->lo_at, lo, h->line->at);
	return merge(c, p, FACE_NAME[face_of(h->along, true)], &x->hi, &x->hi_at, hi, h->line->at) && good;
}

static bool take_centre(ctx *c, part_def *p, const hold *h, extent *x) {
	rat lo, hi;
	const syn_expr *on = line_arg(h->line, "on", 0);
	if (on) {
		part_def *other = eval_place(c, on);
		if (!other || !part_face_value(c, other, face_of(h->along, false), on->at, &lo) ||
		    !part_face_value(c, other, face_of(h->along, true), on->at, &hi))
			return false;
	} else if (!room_between(c, h->line, "between", h->along, &lo, &hi)) {
		return false;
	}
	return merge(c, p, "middle", &x->centre, &x->centre_at, rat_half(rat_add(lo, hi)), h->line->at);
}

static bool take_spread(ctx *c, part_def *p, const hold *h, extent *x) {
	rat lo, hi;
	if (!room_between(c, h->line, "between", h->along, &lo, &hi) || !with_inset(c, h->line, &lo, &hi)) return false;
	if (!rat_ok(x->size)) {
		diag_error(c->diags, "part-loose-end", h->line->at,
			   "`spaced` wants pieces whose size is known along the %s", AXIS_SPOKEN[h->along]);
		return false;
	}
	rat size = x->size, room = rat_sub(hi, lo);
	rat gap = rat_div(rat_sub(room, rat_mul(size, rat_int(p->n))), rat_int((int64_t)p->n + 1));
	if (rat_sign(gap) < 0) {
		diag_error(c->diags, "part-no-room", h->line->at, "%u pieces of %s do not go into %s", p->n,
			   quant_show_length(c->mem, size, c->m->measures, false),
			   quant_show_length(c->mem, room, c->m->measures, false));
		return false;
	}
	x->many_lo = ARENA_MANY(c->mem, rat, p->n);
	for (uint32_t i = 0; i < p->n; i++)
		x->many_lo[i] = rat_add(lo, rat_add(rat_mul(gap, rat_int((int64_t)i + 1)), rat_mul(size, rat_int(i))));
	x->lo_at = x->hi_at = h->line->at;
	return true;
}

static bool take_pitch(ctx *c, part_def *p, const hold *h, extent *x) {
	rat from, by;
	bool good = eval_length(c, line_arg(h->line, "from", 0), &from);
	if (!eval_length(c, line_arg(h->line, "by", 0), &by) || !good) return false;
	if (!rat_ok(x->size)) {
		diag *g = diag_error(c->diags, "part-loose-end", h->line->at,
				     "`pitched` wants pieces whose size is known along the %s", AXIS_SPOKEN[h->along]);
		diag_add_help(c->diags, g, "give it: %s …", AXIS_SPOKEN[h->along]);
		return false;
	}
	x->many_lo = ARENA_MANY(c->mem, rat, p->n);
	for (uint32_t i = 0; i < p->n; i++) x->many_lo[i] = rat_add(from, rat_mul(by, rat_int(i)));
	x->lo_at = x->hi_at = h->line->at;
	return true;
}

/* Each piece against the one before, with what `inset` leaves between them. */
static bool take_stack(ctx *c, part_def *p, const hold *h, extent *x) {
	rat from, gap = rat_int(0);
	const syn_expr *inset = line_arg(h->line, "inset", 0);
	bool good = !inset || eval_length(c, inset, &gap);
	if (!eval_length(c, line_arg(h->line, "from", 0), &from) || !good) return false;
	if (!rat_ok(x->size)) {
		diag *g = diag_error(c->diags, "part-loose-end", h->line->at,
				     "`stacked` wants pieces whose size is known along the %s", AXIS_SPOKEN[h->along]);
		diag_add_help(c->diags, g, "stack them in the direction of their thickness, or give the size: %s …",
			      AXIS_SPOKEN[h->along]);
		return false;
	}
	rat by = rat_add(x->size, gap);
	if (rat_sign(by) <= 0) {
		diag_error(c->diags, "plan-value", inset->at, "the pieces would stand in each other");
		return false;
	}
	x->many_lo = ARENA_MANY(c->mem, rat, p->n);
	for (uint32_t i = 0; i < p->n; i++) x->many_lo[i] = rat_add(from, rat_mul(by, rat_int(i)));
	x->lo_at = x->hi_at = h->line->at;
	return true;
}

static bool take_cover(ctx *c, part_def *p, const hold *h, extent *x) {
	const syn_expr *e = line_arg(h->line, NULL, 0), *by = line_arg(h->line, "by", 0);
	rat lo, hi, more = rat_int(0);
	value v = eval(c, e);
	bool good = !by || eval_length(c, by, &more);
	if (v.kind == VALUE_PATTERN)
		good = pattern_extent(c, v.pattern, h->along, e->at, &lo, &hi) && good;
	else
		good = v.kind == VALUE_PART && part_face_value(c, v.part, face_of(h->along, false), e->at, &lo) &&
		       part_face_value(c, v.part, face_of(h->along, true), e->at, &hi) && good;
	if (!good) return false;
	lo = rat_sub(lo, more);
	hi = rat_add(hi, more);
	good = merge(c, p, FACE_NAME[face_of(h->along, false)], &x->lo, &x->lo_at, lo, h->line->at);
	return merge(c, p, FACE_NAME[face_of(h->along, true)], &x->hi, &x->hi_at, hi, h->line->at) && good;
}

static bool take_corner(ctx *c, part_def *p, const hold *h, extent *x) {
	const syn_expr *of = line_arg(h->line, "of", 0);
	part_def *other = eval_place(c, of);
	rat lo, hi;
	if (!other || !part_face_value(c, other, face_of(h->along, false), of->at, &lo) ||
	    !part_face_value(c, other, face_of(h->along, true), of->at, &hi) || !with_inset(c, h->line, &lo, &hi))
		return false;
	if (!rat_ok(x->size)) {
		diag_error(c->diags, "part-loose-end", h->line->at,
			   "`corners` wants pieces whose width and depth are known");
		return false;
	}
	x->many_lo = ARENA_MANY(c->mem, rat, p->n);
	for (uint32_t i = 0; i < p->n; i++) {
		bool far = h->along == AXIS_X ? i % 2 == 1 : i / 2 == 1;
		x->many_lo[i] = far ? rat_sub(hi, x->size) : lo;
	}
	x->lo_at = x->hi_at = h->line->at;
	return true;
}

static bool take_face(ctx *c, part_def *p, const hold *h, extent *x) {
	const syn_expr *e = line_is(h->line, "against") ? line_arg(h->line, NULL, 0)
			    : line_is(h->line, "flush") ? line_arg(h->line, "with", 0)
							: line_arg(h->line, "at", 0);
	const syn_expr *inset = line_arg(h->line, "inset", 0);
	rat v, in = rat_int(0);
	if (!eval_length(c, e, &v) || (inset && !eval_length(c, inset, &in))) return false;
	bool high = h->kind == HOLD_HIGH;
	v = high ? rat_sub(v, in) : rat_add(v, in);
	return merge(c, p, FACE_NAME[face_of(h->along, high)], high ? &x->hi : &x->lo, high ? &x->hi_at : &x->lo_at, v,
		     h->line->at);
}

static bool take_hold(ctx *c, part_def *p, const hold *h, extent *x) {
	rat v;
	switch (h->kind) {
	case HOLD_LOW:
	case HOLD_HIGH:
		return take_face(c, p, h, x);
	case HOLD_SIZE:
		return eval_length(c, line_arg(h->line, NULL, 0), &v) &&
		       merge(c, p, AXIS_SPOKEN[h->along], &x->size, &x->size_at, v, h->line->at);
	case HOLD_CENTRE:
		return take_centre(c, p, h, x);
	case HOLD_PAIR:
		return take_pair(c, p, h, x);
	case HOLD_SPREAD:
		return take_spread(c, p, h, x);
	case HOLD_PITCH:
		return take_pitch(c, p, h, x);
	case HOLD_STACK:
		return take_stack(c, p, h, x);
	case HOLD_CORNER:
		return take_corner(c, p, h, x);
	case HOLD_COVER:
		return take_cover(c, p, h, x);
	}
	return false;
}

/* From what is known to both faces. */
static bool settle(ctx *c, part_def *p, axis a, extent *x) {
	rat half = rat_half(x->size);
	bool lo = rat_ok(x->lo), hi = rat_ok(x->hi), size = rat_ok(x->size), centre = rat_ok(x->centre);
	if (lo && hi) {
		rat found = rat_sub(x->hi, x->lo);
		if (size && !rat_eq(found, x->size)) {
			diag *g = diag_error(c->diags, "part-held-twice", p->at,
					     "`%s` is %s %s by its faces, but %s by %s", p->name,
					     quant_show_length(c->mem, found, c->m->measures, false),
					     a == AXIS_Z   ? "high"
					     : a == AXIS_X ? "wide"
							   : "deep",
					     quant_show_length(c->mem, x->size, c->m->measures, false),
					     p->place					   ? "what stands in it"
					     : span_known(x->size_at) && !p->size_known[a] ? "its size"
											   : "its stock");
			diag_add_note(c->diags, g, x->lo_at, "its %s is fixed here", FACE_NAME[face_of(a, false)]);
			diag_add_note(c->diags, g, x->hi_at, "its %s is fixed here", FACE_NAME[face_of(a, true)]);
			diag_add_help(c->diags, g, "take one of them away%s",
				      p->place ? ", or change what the assembly takes" : "");
			return false;
		}
	} else if (size && lo) {
		x->hi = rat_add(x->lo, x->size);
		x->hi_at = span_known(x->size_at) ? x->size_at : x->lo_at;
	} else if (size && hi) {
		x->lo = rat_sub(x->hi, x->size);
		x->lo_at = span_known(x->size_at) ? x->size_at : x->hi_at;
	} else if (size && centre) {
		x->lo = rat_sub(x->centre, half);
		x->hi = rat_add(x->centre, half);
		x->lo_at = x->hi_at = x->centre_at;
	} else if (centre && (lo || hi)) {
		rat known = lo ? x->lo : x->hi, other = rat_sub(rat_add(x->centre, x->centre), known);
		if (lo) {
			x->hi = other;
			x->hi_at = x->centre_at;
		} else {
			x->lo = other;
			x->lo_at = x->centre_at;
		}
	} else {
		diag *g = diag_error(c->diags, "part-loose-end", p->at, "`%s` is not held along its %s", p->name,
				     AXIS_SPOKEN[a]);
		diag_add_help(c->diags, g, "say where %s lie%s", PART_SIDES[a],
			      p->size_known[a] ? "; one of them is enough" : "");
		return false;
	}
	if (!rat_ok(x->lo) || !rat_ok(x->hi)) {
		diag_error(c->diags, "plan-overflow", p->at, "a face of `%s` does not fit an exact fraction", p->name);
		return false;
	}
	bool flat_gap = p->kind == PART_GAP && p->size_known[a];
	if (rat_lt(x->hi, x->lo) || (rat_eq(x->hi, x->lo) && !flat_gap)) {
		diag *g = diag_error(
			c->diags, "part-nothing", p->at, "nothing is left of `%s`: its %s lies at %s, its %s at %s",
			p->name, FACE_NAME[face_of(a, false)], quant_show_length(c->mem, x->lo, c->m->measures, false),
			FACE_NAME[face_of(a, true)], quant_show_length(c->mem, x->hi, c->m->measures, false));
		diag_add_note(c->diags, g, x->lo_at, "the %s comes from here", FACE_NAME[face_of(a, false)]);
		diag_add_note(c->diags, g, x->hi_at, "the %s comes from here", FACE_NAME[face_of(a, true)]);
		return false;
	}
	return true;
}

static bool solve_mirror(ctx *c, part_def *p, axis a) {
	part_def *from = p->mirror;
	rat about, ignored;
	if (!part_face_value(c, from, face_of(a, false), p->at, &ignored)) return false;
	for (int side = 0; side < 2; side++) p->face_at[face_of(a, side)] = part_line(p, "mirror")->at;
	bool flip = a == p->mirror_axis;
	if (flip && !eval_length(c, line_arg(part_line(p, "mirror"), "about", 0), &about)) return false;
	p->lo[a] = ARENA_MANY(c->mem, rat, p->n);
	p->hi[a] = ARENA_MANY(c->mem, rat, p->n);
	for (uint32_t i = 0; i < p->n; i++) {
		rat lo, hi;
		if (!part_piece_face(c, from, i, face_of(a, false), p->at, &lo) ||
		    !part_piece_face(c, from, i, face_of(a, true), p->at, &hi))
			return false;
		rat twice = flip ? rat_add(about, about) : rat_int(0);
		p->lo[a][i] = flip ? rat_sub(twice, hi) : lo;
		p->hi[a][i] = flip ? rat_sub(twice, lo) : hi;
	}
	return true;
}

/* What a placed assembly is as large as: all of its instances stand alike in their own coordinates. */
static bool size_of_place(ctx *c, part_def *p, axis a) {
	place_def *place = p->place;
	rat lo, hi;
	if (!place->items.n || !inst_extent(c, place->items.v[0], a, p->at, &lo, &hi)) return false;
	p->size[a] = rat_sub(hi, lo);
	return true;
}

static bool solve_axis(ctx *c, part_def *p, axis a) {
	if (!part_structure(c, p) || !part_expand(c, p)) return false;
	if (p->is_set || p->piece_of) return part_view_axis(c, p, a);
	if (p->mirror) return solve_mirror(c, p, a);
	if (p->place && !size_of_place(c, p, a)) return false;
	extent x = {.lo = rat_poison(),
		    .hi = rat_poison(),
		    .centre = rat_poison(),
		    .size = rat_poison(),
		    .lo_at = span_none(),
		    .hi_at = span_none(),
		    .centre_at = span_none(),
		    .size_at = span_none()};
	if (p->size_known[a]) {
		x.size = p->size[a];
		if (p->stock) x.size_at = p->at;
	}
	bool good = true;
	/* Sizes first: what makes several pieces counts on theirs. */
	for (int sizes = 1; sizes >= 0; sizes--)
		for (size_t i = 0; i < p->holds.n; i++) {
			const hold *h = &p->holds.v[i];
			if (h->along == a && (h->kind == HOLD_SIZE) == (sizes == 1))
				good = take_hold(c, p, h, &x) && good;
		}
	if (!good) return false;
	p->lo[a] = ARENA_MANY(c->mem, rat, p->n);
	p->hi[a] = ARENA_MANY(c->mem, rat, p->n);
	if (!x.many_lo && !settle(c, p, a, &x)) return false;
	for (uint32_t i = 0; i < p->n; i++) {
		p->lo[a][i] = x.many_lo ? x.many_lo[i] : x.lo;
		p->hi[a][i] = x.many_lo ? rat_add(x.many_lo[i], x.size) : x.hi;
	}
	p->face_at[face_of(a, false)] = x.lo_at;
	p->face_at[face_of(a, true)] = x.hi_at;
	return true;
}

bool part_axis(ctx *c, part_def *p, axis a, span at) {
	if (p->state[a] != AXIS_OPEN) return p->state[a] == AXIS_DONE;
	busy b;
	if (!busy_enter(c, &b, &p->state[a], arena_printf(c->mem, "%s along its %s", p->name, AXIS_SPOKEN[a]), at)) {
		p->state[a] = AXIS_FAILED;
		return false;
	}
	bool good = false;
	inst *before = inst_enter(c, p->in);
	if (c->depth > 400)
		eval_too_deep(c, at);
	else {
		c->depth++;
		good = solve_axis(c, p, a);
		c->depth--;
	}
	inst_enter(c, before);
	busy_leave(c, &b);
	if (p->state[a] == AXIS_FAILED) return false; /* it was found in a circle meanwhile */
	p->state[a] = good ? AXIS_DONE : AXIS_FAILED;
	return good;
}
