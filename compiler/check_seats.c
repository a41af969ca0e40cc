#include "compiler/check_seats.h"

#include "compiler/bores.h"

#include "compiler/check_limits.h"
#include "compiler/check_util.h"

typedef struct seat {
	const model_pattern *p;
	const model_sheet_of_pattern *s;
	const model_stock *c;
	size_t pattern;
} seat;

typedef void seat_fn(const model *m, diags *d, const seat *x);
static void each_seat(const model *m, diags *d, seat_fn *f) {
	for (size_t i = 0; i < m->patterns.n; i++) {
		const model_pattern *p = &m->patterns.v[i];
		for (size_t k = 0; k < p->sheets.n; k++) {
			const model_sheet_of_pattern *s = &p->sheets.v[k];
			if (s->collar >= m->stocks.n || p->axes.n == 0) continue;
			seat x = {p, s, &m->stocks.v[s->collar], i};
			f(m, d, &x);
		}
	}
}

static span said_at(const model_length *l, const model_stock *s) { return span_known(l->at) ? l->at : s->at; }

/* ---- holes ----------------------------------------------------------------------------------- */

/* The drill or hole saw that makes these holes: they come out as wide as it cuts. NULL when there is none. */
static const model_tool *hole_tool(const model *m, size_t pattern, model_ref part) {
	for (size_t i = 0; i < m->features.n; i++) {
		const model_feature *f = &m->features.v[i];
		if (f->kind != FEATURE_OPENING || f->part != part || f->pattern != pattern) continue;
		if (f->tool >= m->tools.n) return NULL;
		const model_tool *t = &m->tools.v[f->tool];
		return bores_bit(t) && rat_ok(model_tool_cuts(t)) ? t : NULL;
	}
	return NULL;
}

static rat differs(rat off) { return rat_ok(off) ? off : rat_int(0); }

static void note_tool(const model *m, diags *d, diag *g, const model_tool *t) {
	const model_length *l = rat_ok(t->measured.mm) ? &t->measured : &t->diameter;
	rat off = differs(t->measured_off.mm);
	span at = span_known(l->at) ? l->at : t->at;
	if (rat_sign(off) > 0)
		diag_add_note(d, g, at, "%s cuts %s, %s more or less", t->name, check_length(m, d, l->mm),
			      check_length(m, d, off));
	else
		diag_add_note(d, g, at, "%s cuts %s", t->name, check_length(m, d, l->mm));
}

/* Its pieces differ by more than what they may sit loose by. */
static void seat_differs(const model *m, diags *d, const seat *x, const bore_limits *l) {
	diag *g = diag_error(d, "collar-fit", x->s->collar_at,
			     "no one hole fits each %s: the largest wants %s, %s more "
			     "than the smallest may have",
			     x->c->name, check_length(m, d, l->least), check_length(m, d, rat_sub(l->least, l->most)));
	diag_add_note(d, g, x->c->outside_off.at, "its outside may be %s more or less",
		      check_length(m, d, x->c->outside_off.mm));
	if (rat_ok(x->c->fits[0].mm)) diag_add_note(d, g, said_at(&x->c->fits[1], x->c), "how it fits is said here");
	check_names_part(m, d, g, x->s->part);
	diag_add_help(d, g, "sort them, or line the hole with tape or felt and let `fits` say so");
}

static void seat_hole(const model *m, diags *d, const seat *x) {
	const model_stock *c = x->c;
	const char *sheet = m->parts.v[x->s->part].name;
	const model_tool *tool = hole_tool(m, x->pattern, x->s->part);
	bore_limits l = bores_limits(m, x->s, 0);
	if (rat_lt(l.most, l.least)) {
		seat_differs(m, d, x, &l);
		return;
	}
	bool said = rat_ok(c->fits[0].mm);
	rat hole = tool ? model_tool_cuts(tool) : x->s->shape.a, gap = rat_sub(hole, c->outside.mm);
	rat least = said ? c->fits[0].mm : rat_int(0), most = said ? c->fits[1].mm : check_limit(m, "collar-fit.loose");
	rat off = rat_add(differs(c->outside_off.mm), tool ? differs(tool->measured_off.mm) : rat_int(0));
	bool tight = rat_lt(rat_sub(gap, off), least);
	if (!tight && rat_le(rat_add(gap, off), most)) return;
	gap = tight ? rat_sub(gap, off) : rat_add(gap, off);
	rat by = tight ? rat_sub(least, gap) : rat_sub(gap, most);
	diag *g;
	if (tight && rat_sign(least) == 0)
		g = diag_error(d, "collar-fit", x->s->collar_at, "%s is %s too large for the %s holes of %s in %s",
			       c->name, check_length(m, d, by), check_length(m, d, hole), x->p->name, sheet);
	else if (tight)
		g = diag_error(d, "collar-fit", x->s->collar_at,
			       "%s is %s too large for the %s holes of %s in %s, which should be %s wider than it",
			       c->name, check_length(m, d, by), check_length(m, d, hole), x->p->name, sheet,
			       check_length(m, d, least));
	else
		g = diag_warning(d, "collar-fit", x->s->collar_at,
				 "%s sits %s loose in the %s holes of %s in %s, %s more than %s", c->name,
				 check_length(m, d, gap), check_length(m, d, hole), x->p->name, sheet,
				 check_length(m, d, by), check_length(m, d, most));
	diag_add_note(d, g, said_at(&c->outside, c), "its outside is %s", check_length(m, d, c->outside.mm));
	if (said) diag_add_note(d, g, said_at(&c->fits[tight ? 0 : 1], c), "how it fits is said here");
	if (rat_ok(c->outside_off.mm))
		diag_add_note(d, g, c->outside_off.at, "it may be %s more or less",
			      check_length(m, d, c->outside_off.mm));
	if (tool) note_tool(m, d, g, tool);
	check_names_part(m, d, g, x->s->part);
	diag_add_help(d, g, "a hole between %s and %s holds it", check_length(m, d, l.least),
		      check_length(m, d, l.most));
}

/* Where nothing is seated a hole is as wide as the drawing's tolerance says. */
void check_seats_size(const model *m, diags *d) {
	for (size_t i = 0; i < m->patterns.n; i++) {
		const model_pattern *p = &m->patterns.v[i];
		for (size_t k = 0; k < p->sheets.n; k++) {
			const model_sheet_of_pattern *s = &p->sheets.v[k];
			const model_tool *t = hole_tool(m, i, s->part);
			bore_limits l = bores_limits(m, s, 0);
			if (!t || l.by_seat || s->shape.kind != SHAPE_ROUND) continue;
			model_holds holds = bores_holds(&l, t, s->shape.a);
			bool told = !rat_eq(t->diameter.mm, s->shape.a) && !rat_eq(model_tool_cuts(t), s->shape.a);
			if (holds == HOLDS || told) continue; /* told: opening-tool */
			bool small = holds == HOLDS_SMALL;
			rat off = differs(t->measured_off.mm), cuts = model_tool_cuts(t);
			rat by = small ? rat_sub(l.least, rat_sub(cuts, off)) : rat_sub(rat_add(cuts, off), l.most);
			diag *g = diag_warning(d, "hole-size", s->shape.at,
					       "%s cuts the holes of %s in %s %s %s than the %s that they may have",
					       t->name, p->name, m->parts.v[s->part].name, check_length(m, d, by),
					       small ? "less" : "more", check_length(m, d, small ? l.least : l.most));
			note_tool(m, d, g, t);
			check_names_part(m, d, g, s->part);
			diag_add_help(d, g, "another tool in `made by`, or the size that it cuts: round %s",
				      check_length(m, d, cuts));
		}
	}
}

static void seat_sheet(const model *m, diags *d, const seat *x) {
	const model_part *p = &m->parts.v[x->s->part];
	rat thick = box_size(p->box, x->p->through);
	const model_length *t = x->c->takes;
	bool thin = rat_lt(thick, t[0].mm);
	if (!thin && rat_le(thick, t[1].mm)) return;
	diag *g = diag_error(d, "collar-fit", x->s->collar_at, "%s is %s thick, %s %s than %s takes", p->name,
			     check_length(m, d, thick),
			     check_length(m, d, thin ? rat_sub(t[0].mm, thick) : rat_sub(thick, t[1].mm)),
			     thin ? "less" : "more", x->c->name);
	diag_add_note(d, g, said_at(&t[thin ? 0 : 1], x->c), "what it takes is said here");
	check_names_part(m, d, g, x->s->part);
	diag_add_help(d, g, "it takes sheets between %s and %s", check_length(m, d, t[0].mm),
		      check_length(m, d, t[1].mm));
}

static void seat_clamp(const model *m, diags *d, const seat *x) {
	const model_stock *k = &m->stocks.v[x->s->clamp];
	if (!rat_ok(k->grips[0].mm) || !rat_ok(x->c->outside.mm)) return;
	rat round = x->c->outside.mm;
	bool small = rat_lt(round, k->grips[0].mm);
	if (!small && rat_le(round, k->grips[1].mm)) return;
	rat by = small ? rat_sub(k->grips[0].mm, round) : rat_sub(round, k->grips[1].mm);
	diag *g = diag_error(d, "collar-fit", x->s->clamp_at, "%s does not grip %s, which is %s too %s for it", k->name,
			     x->c->name, check_length(m, d, by), small ? "small" : "large");
	diag_add_note(d, g, said_at(&k->grips[small ? 0 : 1], k), "%s grips %s to %s", k->name,
		      check_length(m, d, k->grips[0].mm), check_length(m, d, k->grips[1].mm));
	diag_add_note(d, g, said_at(&x->c->outside, x->c), "the outside of %s is %s", x->c->name,
		      check_length(m, d, round));
	diag_add_help(d, g, "choose a clamp that grips %s", check_length(m, d, round));
}

/* ---- flanges ----------------------------------------------------------------------------------- */

static void flange_bears(const model *m, diags *d, const seat *x) {
	const model_stock *c = x->c;
	rat bears = rat_half(rat_sub(c->flange.mm, x->s->shape.a)), least = check_limit(m, "collar-fit.bears");
	if (!rat_lt(bears, least)) return;
	diag *g = diag_warning(d, "collar-fit", x->s->collar_at, "the flange of %s bears on %s by %s, %s less than %s",
			       c->name, m->parts.v[x->s->part].name, check_length(m, d, bears),
			       check_length(m, d, rat_sub(least, bears)), check_length(m, d, least));
	diag_add_note(d, g, said_at(&c->flange, c), "its flange is %s", check_length(m, d, c->flange.mm));
	diag_add_help(d, g, "a wider flange, or a smaller hole");
}

/* Flanges of neighbours lie on the same face: nearest two axes against the flange. */
static void flange_next(const model *m, diags *d, const seat *x) {
	const model_pattern *p = x->p;
	feature_outline flange = {.hu = rat_int(0), .hv = rat_int(0), .r = rat_half(x->c->flange.mm)};
	rat worst = rat_int(0);
	uint32_t count = 0;
	for (size_t i = 0; i < p->axes.n; i++) {
		for (size_t k = i + 1; k < p->axes.n; k++) {
			feature_outline a = flange, b = flange;
			a.u = p->axes.v[i].v[p->u];
			a.v = p->axes.v[i].v[p->v];
			b.u = p->axes.v[k].v[p->u];
			b.v = p->axes.v[k].v[p->v];
			if (!feature_nearer(&a, &b, rat_int(0))) continue;
			count++;
			worst = rat_min(worst, feature_gap(&a, &b));
		}
	}
	if (count == 0) return;
	diag *g = diag_error(d, "collar-fit", x->s->collar_at, "flanges of %s overlap by %s in %s%s", x->c->name,
			     check_length(m, d, rat_neg(worst)), m->parts.v[x->s->part].name, check_count(d, count));
	diag_add_note(d, g, p->at, "the openings of %s", p->name);
	diag_add_help(d, g, "set the axes %s apart or more", check_length(m, d, x->c->flange.mm));
}

static void fit_one(const model *m, diags *d, const seat *x) {
	if (x->s->shape.kind != SHAPE_ROUND) {
		diag *g = diag_error(d, "collar-fit", x->s->collar_at,
				     "%s is round and cannot sit in the openings of %s in %s", x->c->name, x->p->name,
				     m->parts.v[x->s->part].name);
		diag_add_note(d, g, x->s->shape.at, "their shape is given here");
		diag_add_help(d, g, "seat %s in round openings", model_seat_word(x->c, true));
		return;
	}
	if (rat_ok(x->c->outside.mm)) seat_hole(m, d, x);
	if (rat_ok(x->c->takes[0].mm)) seat_sheet(m, d, x);
	if (x->s->clamped) seat_clamp(m, d, x);
	if (!rat_ok(x->c->flange.mm)) return;
	flange_bears(m, d, x);
	flange_next(m, d, x);
}

void check_seats_fit(const model *m, diags *d) { each_seat(m, d, fit_one); }

/* ---- room for the flange ------------------------------------------------------------------------- */

/* The worst of all flanges of a seat against one thing; below 0 they overlap. */
typedef struct near {
	rat gap;
	uint32_t count;
} near;

static feature_outline flange_at(const seat *x, const frame *fr, size_t axis_row, rat level) {
	point3 at = x->p->axes.v[axis_row];
	at.v[x->p->through] = level;
	feature_outline o = {.hu = rat_int(0), .hv = rat_int(0), .r = rat_half(x->c->flange.mm)};
	frame_from_cabinet(fr, at, &o.u, &o.v, NULL);
	return o;
}

static near nearest(const seat *x, const frame *fr, rat level, const feature_outline *other) {
	near n = {rat_int(0), 0};
	for (size_t i = 0; i < x->p->axes.n; i++) {
		feature_outline o = flange_at(x, fr, i, level);
		if (other && !feature_nearer(&o, other, rat_int(0))) continue;
		rat gap = other ? feature_gap(&o, other) : feature_edge_gap(&o, fr);
		if (rat_sign(gap) >= 0) continue;
		n.count++;
		n.gap = rat_min(n.gap, gap);
	}
	return n;
}

static diag *report(const model *m, diags *d, const seat *x, near n, const char *what) {
	diag *g = diag_error(d, "flange-room", x->s->collar_at, "the flange of %s %s %s in %s%s", x->c->name, what,
			     check_length(m, d, rat_neg(n.gap)), m->parts.v[x->s->part].name, check_count(d, n.count));
	diag_add_note(d, g, said_at(&x->c->flange, x->c), "its flange is %s", check_length(m, d, x->c->flange.mm));
	check_names_part(m, d, g, x->s->part);
	return g;
}

/* A hollow pipe that stands over the opening lets what is seated go on in it. */
static bool stands_on(const model *m, const seat *x, model_ref part, box3 *rect) {
	const model_part *q = &m->parts.v[part];
	face f;
	if (part == x->s->part || q->kind == PART_ITEM || q->kind == PART_GAP) return false;
	if (!box_touch(m->parts.v[x->s->part].box, q->box, &f, rect) || f != x->s->face) return false;
	return !model_pipe_along(m, q, x->p->through);
}

static void near_add(near *all, near one) {
	all->count += one.count;
	all->gap = rat_min(all->gap, one.gap);
}

/* The flanges of another pattern in the same face; where it has none, its openings. */
static void room_beside(const model *m, diags *d, const seat *x, const frame *fr, rat level, size_t other) {
	const model_pattern *p = &m->patterns.v[other];
	const model_sheet_of_pattern *s = model_pattern_sheet(p, x->s->part);
	if (!s || other == x->pattern) return;
	const model_stock *c = s->collar < m->stocks.n ? &m->stocks.v[s->collar] : NULL;
	bool flange = c && rat_ok(c->flange.mm) && s->face == x->s->face && s->shape.kind == SHAPE_ROUND;
	if (flange && other < x->pattern) return; /* told of that one */
	near n = {rat_int(0), 0};
	seat y = {p, s, c, other};
	for (size_t i = 0; i < p->axes.n && flange; i++) {
		feature_outline o = flange_at(&y, fr, i, level);
		near_add(&n, nearest(x, fr, level, &o));
	}
	for (size_t i = 0; i < m->features.n && !flange; i++) {
		const model_feature *f = &m->features.v[i];
		if (f->kind != FEATURE_OPENING || f->part != x->s->part || f->pattern != other) continue;
		if (!f->through && f->face != x->s->face) continue;
		feature_outline o = feature_outline_on(f, fr);
		near_add(&n, nearest(x, fr, level, &o));
	}
	if (!n.count) return;
	diag *g = report(m, d, x, n,
			 flange ? arena_printf(d->mem, "overlaps that of %s in %s by", c->name, p->name)
				: arena_printf(d->mem, "reaches over openings of %s by", p->name));
	diag_add_note(d, g, flange ? s->collar_at : p->at, "%s comes from here", flange ? "the other" : p->name);
	diag_add_help(d, g, "set the axes of %s and %s %s farther apart", x->p->name, p->name,
		      check_length(m, d, rat_neg(n.gap)));
}

static void room_one(const model *m, diags *d, const seat *x) {
	if (!rat_ok(x->c->flange.mm) || x->s->shape.kind != SHAPE_ROUND) return;
	const model_part *p = &m->parts.v[x->s->part];
	frame fr = frame_of(p->box, x->s->face);
	rat level = box_face(p->box, x->s->face);
	near n = nearest(x, &fr, level, NULL);
	if (n.count) {
		diag *g = report(m, d, x, n, "hangs over the edge by");
		diag_add_note(d, g, p->at, "the sheet %s", p->name);
		diag_add_help(d, g, "set the axes %s further inwards", check_length(m, d, rat_neg(n.gap)));
	}
	bool *hit = ARENA_MANY(d->mem, bool, m->parts.n + 1);
	for (size_t i = 0; i < m->parts.n; i++) {
		box3 rect;
		if (!stands_on(m, x, (model_ref)i, &rect)) continue;
		feature_outline o = feature_outline_of_box(rect, &fr);
		n = nearest(x, &fr, level, &o);
		if (!n.count) continue;
		const char *name = m->parts.v[i].name;
		hit[i] = true;
		diag *g = report(m, d, x, n, arena_printf(d->mem, "runs into %s by", name));
		diag_add_note(d, g, m->parts.v[i].at, "%s stands on the %s face of %s", name, FACE_NAME[x->s->face],
			      p->name);
		check_names_part(m, d, g, (model_ref)i);
		diag_add_help(d, g, "set the axes %s away from it", check_length(m, d, rat_neg(n.gap)));
	}
	for (size_t i = 0; i < m->features.n; i++) {
		const model_feature *f = &m->features.v[i];
		if (f->part != x->s->part || f->face != x->s->face || !feature_is_cut(f)) continue;
		/* What stands in the cut was reported already. */
		if (f->joint < m->joints.n && (hit[m->joints.v[f->joint].a] || hit[m->joints.v[f->joint].b])) continue;
		feature_outline o = feature_outline_on(f, &fr);
		n = nearest(x, &fr, level, &o);
		if (!n.count) continue;
		const char *what = check_feature(m, d, f);
		diag *g = report(m, d, x, n, arena_printf(d->mem, "reaches over %s by", what));
		diag_add_note(d, g, check_feature_at(m, f), "%s comes from here", what);
		diag_add_help(d, g, "set the axes %s away from it", check_length(m, d, rat_neg(n.gap)));
	}
	for (size_t i = 0; i < m->patterns.n; i++) room_beside(m, d, x, &fr, level, i);
}

void check_seats_room(const model *m, diags *d) { each_seat(m, d, room_one); }
