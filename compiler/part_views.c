/* Views of parts that are none themselves (one piece of several, the box round a placed assembly), and the way of a
 * length from the coordinates of one instance into those of another. */
#include "compiler/parts.h"

/* ---- views ------------------------------------------------------------------------------------------ */

static part_def *new_view(ctx *c, const char *name, inst *in, span at, const syn_line *line) {
	part_def *p = ARENA_NEW(c->mem, part_def);
	*p = (part_def){
		.name = name, .path = name, .in = in, .at = at, .line = line, .kind = PART_ITEM, .first = MODEL_NONE};
	for (int f = 0; f < 6; f++) p->face_at[f] = span_none();
	return p;
}

part_def *part_piece(ctx *c, part_def *whole, uint32_t piece) {
	if (whole->n == 1 && whole->expanded && piece == 0) return whole;
	for (size_t i = 0; i < whole->views.n; i++)
		if (whole->views.v[i]->piece == piece) return whole->views.v[i];
	part_def *p =
		new_view(c, arena_printf(c->mem, "%s[%u]", whole->name, piece + 1), whole->in, whole->at, whole->line);
	p->path = arena_printf(c->mem, "%s.%u", whole->path, piece + 1);
	p->piece_of = whole;
	p->piece = piece;
	p->kind = whole->kind;
	p->place = whole->place;
	if (whole->first != MODEL_NONE) p->first = whole->first + piece;
	LIST_PUSH(c->mem, &whole->views, p);
	return p;
}

uint32_t part_pieces(ctx *c, part_def *p) {
	if (p->is_set) return 1;
	return part_structure(c, p) && part_expand(c, p) ? p->n : 0;
}

/* Something in it could not be placed at all: reported. */
static bool broken(const inst *in) {
	for (size_t i = 0; i < in->places.n; i++) {
		const place_def *p = in->places.v[i];
		if (p->bad) return true;
		for (size_t k = 0; k < p->items.n; k++)
			if (broken(p->items.v[k])) return true;
	}
	return false;
}

part_def *inst_box(ctx *c, inst *in) {
	if (in->box) return in->box;
	part_def *p = new_view(c, in->name, in, in->within.at, in->place->line);
	in->box = p;
	inst_complete(c, in);
	p->is_set = true;
	p->structure_bad = broken(in);
	for (size_t i = 0; i < in->parts.n; i++) LIST_PUSH(c->mem, &p->set, in->parts.v[i]);
	return p;
}

part_def *place_box(ctx *c, place_def *place) {
	if (place->items.n == 1 && !place->counted) return inst_box(c, place->items.v[0]);
	if (place->all) return place->all;
	part_def *p = new_view(c, place->name, place->in, place->at, place->line);
	place->all = p;
	p->is_set = true;
	for (size_t i = 0; i < place->items.n; i++) LIST_PUSH(c->mem, &p->set, inst_box(c, place->items.v[i]));
	return p;
}

part_def *series_box(ctx *c, const sym *s) {
	series_def *d = s->def;
	if (d->box) return d->box;
	part_def *p = new_view(c, s->name, s->in, s->at, d->line);
	d->box = p;
	p->is_set = true;
	for (size_t i = 0; i < d->turns.n; i++) {
		const sym *t = d->turns.v[i];
		part_def *one = t->kind == SYM_PART	? t->def
				: t->kind == SYM_PLACE	? place_box(c, t->def)
				: t->kind == SYM_SERIES ? series_box(c, t)
							: NULL;
		if (t->kind == SYM_PLACE) place_expand(c, t->def, t->at);
		if (one) LIST_PUSH(c->mem, &p->set, one);
	}
	return p;
}

static bool solid(const part_def *p) {
	if (!p->is_set) return p->kind != PART_GAP;
	for (size_t i = 0; i < p->set.n; i++)
		if (solid(p->set.v[i])) return true;
	return false;
}

static bool set_axis(ctx *c, part_def *p, axis a) {
	bool any = false, good = true, material = solid(p);
	for (size_t i = 0; i < p->set.n; i++) {
		part_def *one = p->set.v[i];
		rat lo, hi;
		if (material && !solid(one)) continue; /* an open gap makes nothing larger */
		if (!part_face_value(c, one, face_of(a, false), p->at, &lo) ||
		    !part_face_value(c, one, face_of(a, true), p->at, &hi)) {
			good = false;
			continue;
		}
		p->lo[a][0] = any ? rat_min(p->lo[a][0], lo) : lo;
		p->hi[a][0] = any ? rat_max(p->hi[a][0], hi) : hi;
		any = true;
	}
	if (!any && good) diag_error(c->diags, "part-nothing", p->at, "nothing stands in `%s`", p->name);
	return good && any;
}

bool part_view_axis(ctx *c, part_def *p, axis a) {
	p->lo[a] = ARENA_MANY(c->mem, rat, 1);
	p->hi[a] = ARENA_MANY(c->mem, rat, 1);
	if (p->is_set) return set_axis(c, p, a);
	part_def *whole = p->piece_of;
	if (!part_axis(c, whole, a, p->at)) return false;
	p->lo[a][0] = whole->lo[a][p->piece];
	p->hi[a][0] = whole->hi[a][p->piece];
	for (int side = 0; side < 2; side++) p->face_at[face_of(a, side)] = whole->face_at[face_of(a, side)];
	return true;
}

bool inst_extent(ctx *c, inst *in, axis a, span at, rat *lo, rat *hi) {
	part_def *box = inst_box(c, in);
	if (!part_axis(c, box, a, at)) return false;
	*lo = box->lo[a][0];
	*hi = box->hi[a][0];
	return true;
}

/* ---- coordinates ---------------------------------------------------------------------------------------- */

/* What nothing holds along an axis may stand where the parts put it that the assembly takes. */
static bool held(const part_def *box, axis a) {
	if (box->mirror) return true;
	for (size_t i = 0; i < box->holds.n; i++)
		if (!box->holds.v[i].axis_known || box->holds.v[i].along == a) return true;
	return false;
}

static bool find_offset(ctx *c, inst *in, axis a, span at) {
	place_def *p = in->place;
	in->offset[a] = rat_int(0);
	if (!p->assembly) return true; /* a turn stands in its parent's coordinates */
	if (!part_structure(c, p->box)) return false;
	if (p->shares && !held(p->box, a)) return true;
	rat lo, hi;
	if (!part_axis(c, p->box, a, at) || !inst_extent(c, in, a, at, &lo, &hi)) return false;
	if (in->number >= p->box->n) return false;
	in->offset[a] = in->turned[a] ? rat_add(p->box->lo[a][in->number], hi) : rat_sub(p->box->lo[a][in->number], lo);
	return rat_ok(in->offset[a]);
}

static bool inst_offset(ctx *c, inst *in, axis a, span at) {
	if (in->state[a] != AXIS_OPEN) return in->state[a] == AXIS_DONE;
	busy b;
	if (!busy_enter(c, &b, &in->state[a],
			arena_printf(c->mem, "where %s stands along its %s", in->name, AXIS_SPOKEN[a]), at)) {
		in->state[a] = AXIS_FAILED;
		return false;
	}
	inst *before = inst_enter(c, in->parent);
	bool good = find_offset(c, in, a, at);
	inst_enter(c, before);
	busy_leave(c, &b);
	if (in->state[a] == AXIS_OPEN) in->state[a] = good ? AXIS_DONE : AXIS_FAILED;
	return in->state[a] == AXIS_DONE;
}

/* outer coordinate = offset + own, or offset - own when turned */
typedef struct way {
	bool turned;
	rat offset;
} way;

static bool way_up(ctx *c, inst *from, const inst *to, axis a, span at, way *w) {
	*w = (way){.offset = rat_int(0)};
	for (inst *in = from; in != to; in = in->parent) {
		if (!inst_offset(c, in, a, at)) return false;
		w->offset = in->turned[a] ? rat_sub(in->offset[a], w->offset) : rat_add(in->offset[a], w->offset);
		w->turned = w->turned != in->turned[a];
	}
	return true;
}

static inst *common(inst *a, inst *b) {
	while (a != b) {
		if (a->depth >= b->depth)
			a = a->parent;
		else
			b = b->parent;
	}
	return a;
}

static bool turned_between(const inst *from, const inst *to, axis a) {
	bool turned = false;
	for (; from->parent; from = from->parent) turned = turned != from->turned[a];
	for (; to->parent; to = to->parent) turned = turned != to->turned[a];
	return turned;
}

bool inst_convert(ctx *c, inst *from, inst *to, axis a, span at, rat own, rat *out) {
	way up, down;
	inst *meet = common(from, to);
	*out = own;
	if (from == to) return rat_ok(own);
	if (!way_up(c, from, meet, a, at, &up) || !way_up(c, to, meet, a, at, &down)) return false;
	rat x = up.turned ? rat_sub(up.offset, own) : rat_add(up.offset, own);
	*out = down.turned ? rat_sub(down.offset, x) : rat_sub(x, down.offset);
	return rat_ok(*out);
}

bool inst_to_plan(ctx *c, inst *in, axis a, rat own, span at, rat *mm) {
	return inst_convert(c, in, c->plan_in, a, at, own, mm);
}

face inst_face_to_plan(const inst *in, face f) {
	for (; in->parent; in = in->parent)
		if (in->turned[face_axis(f)]) f = face_opposite(f);
	return f;
}

bool part_piece_face(ctx *c, part_def *p, uint32_t piece, face f, span at, rat *mm) {
	axis a = face_axis(f);
	if (!part_axis(c, p, a, at) || piece >= p->n) return false;
	bool high = face_high(f) != turned_between(p->in, c->in, a);
	return inst_convert(c, p->in, c->in, a, at, high ? p->hi[a][piece] : p->lo[a][piece], mm);
}

bool part_face_value(ctx *c, part_def *p, face f, span at, rat *mm) {
	axis a = face_axis(f);
	if (!part_axis(c, p, a, at)) return false;
	bool high = face_high(f) != turned_between(p->in, c->in, a);
	rat own = high ? p->hi[a][0] : p->lo[a][0];
	for (uint32_t i = 1; i < p->n; i++) own = high ? rat_max(own, p->hi[a][i]) : rat_min(own, p->lo[a][i]);
	return inst_convert(c, p->in, c->in, a, at, own, mm);
}
