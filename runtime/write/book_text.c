/* How the book words lengths, figures, times, money and names. */
#include <math.h>
#include <string.h>

#include "runtime/base/text.h"
#include "runtime/write/book_build.h"

const char *book_length(const book *b, rat mm) { return quant_show_length(b->mem, mm, b->m->measures, false); }

const char *book_reckoned(const book *b, double mm, int64_t steps) {
	return quant_show_reckoned(b->mem, mm, steps, b->m->measures);
}

const char *book_bare(const book *b, rat mm) { return quant_show_length(b->mem, mm, b->m->measures, true); }

const char *book_si(const book *b, dim d, double v) {
	if (!isfinite(v)) return "–";
	if (dim_same(d, DIM_MASS)) return quant_show_mass(b->mem, v, b->m->measures);
	return quant_show_si(b->mem, d, v, b->m->measures);
}

const char *book_number(const book *b, double v, int decimals) {
	return isfinite(v) ? quant_show_number(b->mem, v, decimals) : "–";
}

const char *book_money(const book *b, int64_t cents) {
	if (cents < 0) return "–";
	const char *currency = b->m->currency ? b->m->currency : "";
	return arena_printf(b->mem, "%s%s%lld.%02d", currency, currency[0] ? " " : "", (long long)(cents / 100),
			    (int)(cents % 100));
}

const char *book_hours(const book *b, double minutes) {
	if (!isfinite(minutes)) return "–";
	long long all = llround(minutes), hours = all / 60, rest = all % 60;
	if (hours == 0) return arena_printf(b->mem, "%lld min", rest);
	if (hours >= 48 && hours % 24 == 0 && rest == 0) return arena_printf(b->mem, "%lld days", hours / 24);
	if (rest == 0) return arena_printf(b->mem, "%lld h", hours);
	return arena_printf(b->mem, "%lld h %lld min", hours, rest);
}

const char *book_hours_worked(const book *b, double hours) { return book_number(b, hours, hours < 10 ? 1 : 0); }

const char *book_about(const book *b, double minutes) {
	if (!isfinite(minutes)) return "–";
	double step = minutes < 20 ? 1 : minutes < 120 ? 5 : minutes < 600 ? 30 : 60;
	return book_hours(b, ceil(minutes / step - 0.25) * step);
}

/* "m³/h" out of "1234 m³/h": what stands behind the figure of a one. */
const char *book_unit(const book *b, dim d) {
	const char *shown = quant_show_si(b->mem, d, 1, b->m->measures), *gap = strchr(shown, ' ');
	return gap ? gap + 1 : "";
}

double book_in_unit(const book *b, dim d, double si) {
	bool inch = b->m->measures == MEASURES_INCH;
	if (dim_same(d, DIM_FLOW)) return inch ? si / (0.028316846592 / 60) : si * 3600;
	if (dim_same(d, DIM_SPEED)) return inch ? si / 0.00508 : si;
	if (dim_same(d, DIM_PRESSURE)) return inch ? si / 249.08891 : si;
	return si;
}

/* Sizes along the grain (or the longer side) x across x thickness; bars: length x section. */
static void size_axes(const model_part *p, axis out[3]) {
	axis first = p->grain_matters ? p->grain_axis : p->long_axis;
	if (first == p->thick_axis) first = p->long_axis;
	out[0] = first, out[2] = p->thick_axis;
	out[1] = (axis)(3 - (int)first - (int)p->thick_axis);
}

const char *book_part_size(const book *b, const model_part *p, bool unit) {
	axis at[3] = {AXIS_X, AXIS_Y, AXIS_Z};
	if (p->kind != PART_ITEM && p->thick_axis != p->long_axis) size_axes(p, at);
	const char *tail = !unit ? "" : b->m->measures == MEASURES_INCH ? " in" : " mm";
	return arena_printf(b->mem, "%s × %s × %s%s", book_bare(b, box_size(p->blank, at[0])),
			    book_bare(b, box_size(p->blank, at[1])), book_bare(b, box_size(p->blank, at[2])), tail);
}

const char *book_shape(const book *b, const model_shape *s) {
	switch (s->kind) {
	case SHAPE_ROUND:
		return arena_printf(b->mem, "⌀ %s", book_length(b, s->a));
	case SHAPE_SLOT:
		return arena_printf(b->mem, "slot %s × %s", book_bare(b, s->a), book_length(b, s->b));
	case SHAPE_OUTLINE:
		return arena_printf(b->mem, "outline, %s × %s over all", book_bare(b, s->a), book_length(b, s->b));
	case SHAPE_RECT:
		break;
	}
	if (rat_ok(s->corner) && rat_sign(s->corner) > 0)
		return arena_printf(b->mem, "%s × %s, corners R %s", book_bare(b, s->a), book_length(b, s->b),
				    book_length(b, s->corner));
	return arena_printf(b->mem, "%s × %s", book_bare(b, s->a), book_length(b, s->b));
}

const char *book_stock_label(const book *b, model_ref stock) {
	if (stock >= b->m->stocks.n) return "–";
	const model_stock *s = &b->m->stocks.v[stock];
	return s->label ? s->label : s->name;
}

const char *book_capital(const book *b, const char *text) {
	char *out = arena_text(b->mem, text);
	if (out[0] >= 'a' && out[0] <= 'z') out[0] = (char)(out[0] - 'a' + 'A');
	return out;
}

const char *book_plain(const book *b, const char *text) {
	char *out = arena_text(b->mem, text ? text : "");
	for (char *p = out; *p; p++)
		if (*p == '_') *p = ' ';
	return out;
}

const char *book_spoken(const book *b, const char *name) {
	char *out = arena_text(b->mem, book_plain(b, name));
	for (char *p = out; *p; p++)
		if (*p == '.') *p = ' ';
	return out;
}

/* A name of the plan as a reader likes it: "filter_sheet" is "Filter sheet". */
const char *book_title_case(const book *b, const char *text) { return book_capital(b, book_plain(b, text)); }

/* ---- items: parts that are alike ------------------------------------------------------------------ */

/* A part laid on another: along axis a of the second lies axis from[a] of the first, turned round where back[a]. */
typedef struct turn {
	int from[3];
	bool back[3];
} turn;

static const turn AS_IT_STANDS = {{0, 1, 2}, {false, false, false}};
static const turn IN_WIDTH = {{0, 1, 2}, {true, false, false}};

/* The 24 ways to turn a box onto axes (k from 0); false when that one would be a mirror image. */
static bool turn_of(int k, turn *t) {
	static const int ORDER[6][3] = {{0, 1, 2}, {1, 2, 0}, {2, 0, 1}, {0, 2, 1}, {2, 1, 0}, {1, 0, 2}};
	bool odd = k / 8 >= 3;
	for (int a = 0; a < 3; a++) {
		t->from[a] = ORDER[k / 8][a];
		t->back[a] = (k >> a) & 1;
		odd ^= t->back[a];
	}
	return !odd;
}

static axis turned_axis(const turn *t, axis of_first) {
	for (int a = 0; a < 3; a++)
		if (t->from[a] == (int)of_first) return (axis)a;
	return of_first;
}

/* The corner as it would lie on the second part, in its u and v. */
static void turned_corner(const model_shape *a, const turn *t, axis normal, size_t i, rat out[4]) {
	const model_corner *p = &a->outline->corners.v[i];
	axis u = normal == AXIS_X ? AXIS_Y : AXIS_X, v = normal == AXIS_Z ? AXIS_Y : AXIS_Z;
	const rat at[2][2] = {{p->u, p->v}, {p->cu, p->cv}};
	for (int k = 0; k < 4; k++) {
		axis to = k % 2 ? v : u;
		rat by = at[k / 2][t->from[to] == (int)a->along ? 0 : 1];
		out[k] = t->back[to] ? rat_neg(by) : by;
	}
}

/* Free outlines: corner for corner, from whichever the second one begins and whichever way round it lies. */
static bool same_outline(const model_shape *a, const model_shape *c, const turn *t, axis normal) {
	size_t n = a->outline->corners.n;
	if (c->outline->corners.n != n) return false;
	for (size_t first = 0; first < n; first++) {
		for (int way = -1; way <= 1; way += 2) {
			bool same = true;
			for (size_t i = 0; i < n && same; i++) {
				rat at[4];
				size_t k = way > 0 ? (first + i) % n : (first + n - i) % n;
				const model_corner *p = &a->outline->corners.v[i], *q = &c->outline->corners.v[k];
				/* Run through backwards, the way on from a corner is the one that led to it. */
				const model_corner *on = way > 0 ? q : &c->outline->corners.v[(k + n - 1) % n];
				turned_corner(a, t, normal, i, at);
				same = rat_eq(at[0], q->u) && rat_eq(at[1], q->v) && (p->bend == 0) == (on->bend == 0);
				if (same && p->bend) same = rat_eq(at[2], on->cu) && rat_eq(at[3], on->cv);
			}
			if (same) return true;
		}
	}
	return false;
}

static bool same_shape(const model_shape *a, const model_shape *c, const turn *t, axis normal) {
	if (a->kind != c->kind) return false;
	if (a->kind == SHAPE_OUTLINE) return same_outline(a, c, t, normal);
	if (!rat_eq(a->a, c->a)) return false;
	if (a->kind == SHAPE_ROUND) return true;
	return rat_eq(a->b, c->b) && turned_axis(t, a->along) == c->along;
}

/* The first feature as it would lie on the second one's part. */
static bool same_feature(const model *m, const model_feature *f, const model_feature *g, const turn *t) {
	const box3 *at = &m->parts.v[f->part].blank, *on = &m->parts.v[g->part].blank;
	axis normal = turned_axis(t, face_axis(f->face));
	face looks = face_of(normal, face_high(f->face) != t->back[normal]);
	/* What goes right through is the same from either side, unless it is countersunk. */
	bool plain = f->through && !(rat_ok(f->sink) && rat_sign(f->sink) > 0);
	if (f->kind != g->kind || f->through != g->through || !same_shape(&f->shape, &g->shape, t, normal))
		return false;
	if (looks != g->face && !(plain && face_axis(g->face) == normal)) return false;
	if (!f->through && !rat_eq(f->depth, g->depth)) return false;
	if (rat_ok(f->sink) != rat_ok(g->sink) || (rat_ok(f->sink) && !rat_eq(f->sink, g->sink))) return false;
	for (int a = 0; a < 3; a++) {
		int k = t->from[a];
		if (plain && a == (int)normal) continue;
		rat from = t->back[a] ? rat_sub(at->hi[k], f->centre.v[k]) : rat_sub(f->centre.v[k], at->lo[k]);
		if (!rat_eq(from, rat_sub(g->centre.v[a], on->lo[a]))) return false;
	}
	return true;
}

static size_t count_features(const model *m, model_ref part) {
	size_t n = 0;
	for (size_t i = 0; i < m->features.n; i++) n += m->features.v[i].part == part;
	return n;
}

static bool parts_alike(const model *m, model_ref a, model_ref c, const turn *t) {
	const model_part *p = &m->parts.v[a], *q = &m->parts.v[c];
	if (p->kind != q->kind || p->stock != q->stock || turned_axis(t, p->thick_axis) != q->thick_axis) return false;
	if (p->grain_matters != q->grain_matters) return false;
	if (p->grain_matters && turned_axis(t, p->grain_axis) != q->grain_axis) return false;
	for (int i = 0; i < 3; i++)
		if (!rat_eq(box_size(p->blank, (axis)t->from[i]), box_size(q->blank, (axis)i))) return false;
	size_t n = count_features(m, a);
	if (n != count_features(m, c)) return false;
	/* Both lists mostly run in the same order: the search goes on behind the last one found. */
	size_t behind = 0;
	for (size_t i = 0; i < m->features.n && n > 0; i++) {
		if (m->features.v[i].part != a) continue;
		bool found = false;
		for (size_t k = 0; k < m->features.n && !found; k++) {
			size_t at = (behind + k) % m->features.n;
			found = m->features.v[at].part == c &&
				same_feature(m, &m->features.v[i], &m->features.v[at], t);
			if (found) behind = at + 1;
		}
		if (!found) return false;
	}
	return true;
}

/* A mirror image, and no way of turning it makes it the same part. */
static bool parts_mirrored(const model *m, model_ref a, model_ref c) {
	if (count_features(m, a) == 0 || !parts_alike(m, a, c, &IN_WIDTH)) return false;
	turn t;
	for (int k = 0; k < 48; k++)
		if (turn_of(k, &t) && parts_alike(m, a, c, &t)) return false;
	return true;
}

/* What a repeat without a name of its own, or its block, counts: "bay.1.shelf" is one of "bay.shelf". */
static const char *family(const book *b, const model_part *p) {
	textbuf t = textbuf_begin(b->mem);
	for (const char *at = p->group; *at;) {
		size_t n = strcspn(at, "."), digits = strspn(at, "0123456789");
		if (digits < n) textbuf_printf(&t, "%s%.*s", t.n ? "." : "", (int)n, at);
		at += n + (at[n] == '.');
	}
	return t.n ? t.v : p->group;
}

static void add_part(book *b, model_ref part, bool made) {
	const char *of = family(b, &b->m->parts.v[part]);
	book_item *same = NULL;
	for (size_t i = b->items.n; i-- > 0 && !same;) {
		book_item *have = &b->items.v[i];
		if (have->made == made && text_same(of, have->family) &&
		    parts_alike(b->m, have->first, part, &AS_IT_STANDS))
			same = have;
	}
	if (!same) {
		unsigned mirror = 0;
		for (size_t i = 0; i < b->items.n && made && !mirror; i++) {
			const book_item *have = &b->items.v[i];
			if (have->made && parts_mirrored(b->m, have->first, part)) mirror = have->number;
		}
		same = LIST_ADD(b->mem, &b->items);
		same->number = (unsigned)b->items.n;
		same->first = part, same->made = made, same->mirror_of = mirror, same->family = of;
	}
	LIST_PUSH(b->mem, &same->parts, part);
	b->number[part] = same->number;
}

void book_items(book *b) {
	const model *m = b->m;
	b->number = ARENA_MANY(b->mem, unsigned, model_rows(m) + 1);
	for (int bought = 0; bought < 2; bought++)
		for (model_ref i = 0; i < model_rows(m); i++) {
			if (m->parts.v[i].kind == PART_GAP) continue;
			bool made = model_part_made(m, &m->parts.v[i]);
			if (made == !bought) add_part(b, i, made);
		}
}

const book_item *book_item_of(const book *b, model_ref part) {
	if (part >= model_rows(b->m) || b->number[part] == 0) return NULL;
	return &b->items.v[b->number[part] - 1];
}

const char *book_item_name(const book *b, const book_item *i) {
	/* A family that falls into several kinds keeps each one's own name. */
	size_t kinds = 0;
	for (size_t k = 0; k < b->items.n; k++) kinds += text_same(b->items.v[k].family, i->family);
	return book_title_case(b, book_spoken(b, kinds > 1 ? b->m->parts.v[i->first].name : i->family));
}

const char *book_part_anchor(const book *b, const book_item *i) { return arena_printf(b->mem, "part:%u", i->number); }
