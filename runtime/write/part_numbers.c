/* Numbers of the holes in the drawing of a part: in them or beside them, never nearer to another. */
#include <math.h>

#include "runtime/write/part_draw.h"

enum { MOST_NUMBERED = 600 };
#define HOLE_CLEAR 0.3 /* between a number and another hole, mm */

static bool in_the_way(const obstacle *o, display_box b) {
	if (!o->round) return display_box_overlap(o->box, b);
	double x = (o->box.x0 + o->box.x1) / 2, y = (o->box.y0 + o->box.y1) / 2;
	double r = (o->box.x1 - o->box.x0) / 2, mark = r + (r < 1.2 ? 0.5 : 0.9);
	double dx = fmax(0, fmax(b.x0 - x, x - b.x1)), dy = fmax(0, fmax(b.y0 - y, y - b.y1));
	double clear = r + HOLE_CLEAR;
	if (dx < clear && dy < clear && hypot(dx, dy) < clear) return true;
	return (dy <= 0 && dx < mark) || (dx <= 0 && dy < mark);
}

/* From the rim of a hole to a number, mm. */
static double off_hole(const obstacle *o, display_box b) {
	double x = (o->box.x0 + o->box.x1) / 2, y = (o->box.y0 + o->box.y1) / 2;
	double dx = fmax(0, fmax(b.x0 - x, x - b.x1)), dy = fmax(0, fmax(b.y0 - y, y - b.y1));
	double hx = (o->box.x1 - o->box.x0) / 2, hy = (o->box.y1 - o->box.y0) / 2;
	return o->round ? fmax(0, hypot(dx, dy) - hx) : hypot(fmax(0, dx - hx), fmax(0, dy - hy));
}

/* Does no other of the first n, which are the holes, lie nearer to the number? */
static bool nearest_to(const boxes *taken, size_t n, size_t own, display_box b) {
	double mine = off_hole(&taken->v[own], b);
	for (size_t i = 0; i < n; i++)
		if (i != own && off_hole(&taken->v[i], b) < mine) return false;
	return true;
}

/* `own` is left out: the hole that the number belongs to. */
static bool clear_of(const boxes *taken, size_t own, display_box b) {
	for (size_t i = 0; i < taken->n; i++)
		if (i != own && in_the_way(&taken->v[i], b)) return false;
	return true;
}

/* Is the face told by a drawing of its own when it is worked? The edges of a sheet and the ends of a bar are not. */
static bool is_edge(const drawing *w, face f) {
	bool bar = model_by_length(w->m->stocks.v[w->part->stock].kind);
	return bar ? face_axis(f) == w->part->long_axis : face_axis(f) != w->part->thick_axis;
}

/* Of the faces of a part that are drawn, the first shows what is drilled into its edges. */
static bool shows_edges(const drawing *w) {
	if (w->words != PART_PAGE_BRIEF || is_edge(w, w->f)) return false;
	if (w->f == w->part->work_face) return true;
	for (size_t i = 0; i < w->sheet.faces.n; i++)
		if (!is_edge(w, w->sheet.faces.v[i].face)) return w->sheet.faces.v[i].face == w->f;
	return false;
}

/* Behind the inner end of a hole in an edge; where something is in the way there, beside that end: so it stays with its
 * hole where holes of two edges meet in a corner. The farthest place is the last. */
static void edge_number(drawing *w, display_box hole, uint32_t number, const boxes *taken) {
	const char *text = arena_printf(w->d->mem, "%u", number);
	const display_style style = {.cap = CAP_LABEL, .align = ALIGN_CENTRE, .knock_out = true};
	const double half = display_text_width(FONT_REGULAR, CAP_LABEL, text) / 2, up = CAP_LABEL / 2, gap = 0.5;
	double left = hole.x0 - w->outline.x0, right = w->outline.x1 - hole.x1, top = hole.y0 - w->outline.y0,
	       bottom = w->outline.y1 - hole.y1, least = fmin(fmin(left, right), fmin(top, bottom));
	/* Into the sheet from the inner end, and along the edge away from the nearer corner. */
	bool level = left <= least || right <= least;
	double in = left <= least || (!level && top <= least) ? 1 : -1;
	double end = level ? (in > 0 ? hole.x1 : hole.x0) : in > 0 ? hole.y1 : hole.y0;
	double deepest = level ? (in > 0 ? end - w->outline.x0 : w->outline.x1 - end)
			       : (in > 0 ? end - w->outline.y0 : w->outline.y1 - end);
	double mid = level ? (hole.y0 + hole.y1) / 2 : (hole.x0 + hole.x1) / 2;
	double away = (level ? bottom > top : right > left) ? 1 : -1;
	double deep = gap + (level ? half : up), wide = level ? up : half;
	double across = wide + gap + (level ? hole.y1 - hole.y0 : hole.x1 - hole.x0) / 2;
	const struct {
		double in, along;
	} try[] = {{deep, 0},	    {gap - deep, across}, {gap - deep, -across}, {deep, across},
		   {deep, -across}, {deep + 2.6, 0},	  {deep + 2.6, across},	 {deep + 2.6, -across}};
	for (size_t i = 0; i < sizeof try / sizeof *try; i++) {
		/* The white behind it leaves the outline whole. */
		double least_in = (level ? half : up) + 0.7 - deepest;
		double u = end + in * fmax(try[i].in, least_in), v = mid + away * try[i].along;
		double x = level ? u : v, y = level ? v : u;
		display_box b = display_text_box(x, y + up, &style, text);
		b.y1 = y + up; /* figures hang no lower */
		if (!display_box_inside(b, display_box_grow(w->outline, -0.6)) || !clear_of(taken, SIZE_MAX, b))
			continue;
		if (!clear_of(&w->edge_numbers, SIZE_MAX, display_box_grow(b, 0.5))) continue;
		display_text_style(w->d, x, y + up, &style, text);
		display_take(w->d, b);
		LIST_PUSH(w->d->mem, &w->edge_numbers, ((obstacle){b, false}));
		return;
	}
}

/* First the holes, which are in the way of all numbers, then these. */
static void edge_holes(drawing *w, const feature_face *ff, bool numbered, boxes *taken) {
	for (size_t k = 0; k < ff->rows.n; k++) {
		feature_outline o = feature_outline_on(&w->m->features.v[ff->rows.v[k].feature], &w->fr);
		display_box hole = part_box_on_page(w, &o);
		if (numbered) {
			edge_number(w, hole, ff->rows.v[k].number, taken);
			continue;
		}
		part_add_shape(w, &o, 0);
		display_paint(w->d, PEN_HIDDEN, FILL_NONE);
		display_take(w->d, hole);
		LIST_PUSH(w->d->mem, taken, ((obstacle){hole, false}));
	}
}

/* Holes in the edges: dashed, as they lie in the sheet. */
void part_edges(drawing *w) {
	if (!shows_edges(w)) return;
	boxes taken = {0};
	for (size_t i = 0; w->ff && i < w->ff->rows.n; i++) {
		const model_feature *f = &w->m->features.v[w->ff->rows.v[i].feature];
		obstacle o = {part_box_on_page(w, &w->ff->rows.v[i].at), f->shape.kind == SHAPE_ROUND};
		if (!feature_is_cut(f)) LIST_PUSH(w->d->mem, &taken, o);
	}
	for (int pass = 0; pass < 2; pass++)
		for (size_t i = 0; i < w->sheet.faces.n; i++)
			if (is_edge(w, w->sheet.faces.v[i].face)) edge_holes(w, &w->sheet.faces.v[i], pass, &taken);
}

typedef struct number_place {
	display_point at; /* middle of the baseline */
	double cap;	  /* 0: the hole carries no number */
	bool beside;	  /* the hole, not in it */
} number_place;

/* In the upper right quarter beside the centre mark, when the hole is broad enough for the widest number. */
static bool inside(const drawing *w, const feature_row *r, double cap, number_place *out) {
	display_box hole = part_box_on_page(w, &r->at);
	double half = fmin(hole.x1 - hole.x0, hole.y1 - hole.y0) / 2;
	double widest = display_text_width(FONT_REGULAR, cap, arena_printf(w->d->mem, "%zu", w->sheet.n));
	double own = display_text_width(FONT_REGULAR, cap, arena_printf(w->d->mem, "%u", r->number));
	if (hypot(0.3 + widest, 0.3 + cap) >= half) return false;
	double in = fmax(0.3, fmin(2, (half - hypot(widest, cap)) / 3));
	*out = (number_place){{(hole.x0 + hole.x1) / 2 + in + own / 2, (hole.y0 + hole.y1) / 2 - in}, cap, false};
	return true;
}

/* Outside in one of twelve places; the last ones for holes close to the part's edge. Never nearer to another hole. */
static bool outside(const drawing *w, const feature_row *r, size_t own, size_t holes, double cap, boxes *taken,
		    number_place *out) {
	display_box hole = part_box_on_page(w, &r->at);
	const char *text = arena_printf(w->d->mem, "%u", r->number);
	display_style style = {.cap = cap, .align = ALIGN_CENTRE};
	double tw = display_text_width(FONT_REGULAR, cap, text), x = (hole.x0 + hole.x1) / 2,
	       y = (hole.y0 + hole.y1) / 2;
	double hx = (hole.x1 - hole.x0) / 2, hy = (hole.y1 - hole.y0) / 2, gap = 0.45;
	bool round = w->m->features.v[r->feature].shape.kind == SHAPE_ROUND;
	double dx = (round ? 0.75 : 1) * hx + gap + tw / 2, dy = (round ? 0.75 : 1) * hy + gap;
	display_point try[12] = {{x + dx, y - dy},
				 {x - dx, y - dy},
				 {x + dx, y + dy + cap},
				 {x - dx, y + dy + cap},
				 {x + hx + gap + tw / 2, y + cap / 2},
				 {x - hx - gap - tw / 2, y + cap / 2},
				 {x, y - hy - gap},
				 {x, y + hy + gap + cap},
				 {x + dx, y - dy - 0.8},
				 {x - dx, y - dy - 0.8},
				 {x + dx, y + dy + cap + 0.8},
				 {x - dx, y + dy + cap + 0.8}};
	for (int i = 0; i < 12; i++) {
		display_box b = display_text_box(try[i].x, try[i].y, &style, text);
		/* Level or upright beside a hole there is the next one of its row: keep well clear of it. */
		if (!display_box_inside(b, display_box_grow(w->outline, -0.6))) continue;
		if (!clear_of(taken, own, i < 4 || i > 7 ? b : display_box_grow(b, 0.8))) continue;
		display_box ink = {b.x0, try[i].y - cap, b.x1, try[i].y}; /* figures hang no lower */
		if (!nearest_to(taken, holes, own, ink)) continue;
		*out = (number_place){try[i], cap, true};
		LIST_PUSH(w->d->mem, taken, ((obstacle){b, false}));
		return true;
	}
	return false;
}

/* First or last of its row and origin? Then its number tells those between. */
static bool row_end(const feature_face *ff, size_t i) {
	const feature_outline *o = &ff->rows.v[i].at;
	bool before = i > 0 && rat_eq(ff->rows.v[i - 1].at.v, o->v);
	bool behind = i + 1 < ff->rows.n && rat_eq(ff->rows.v[i + 1].at.v, o->v);
	return !before || !behind;
}

void part_numbers(drawing *w, double cap) {
	const feature_face *ff = w->ff;
	if (!ff) return;
	arena *mem = w->d->mem;
	number_place *put = ARENA_MANY(mem, number_place, ff->rows.n);
	boxes holes = {0};
	size_t *hole_of = ARENA_MANY(mem, size_t, ff->rows.n);
	for (size_t i = 0; i < ff->rows.n; i++) {
		if (feature_is_cut(&w->m->features.v[ff->rows.v[i].feature])) continue;
		hole_of[i] = holes.n;
		bool round = w->m->features.v[ff->rows.v[i].feature].shape.kind == SHAPE_ROUND;
		LIST_PUSH(mem, &holes, ((obstacle){part_box_on_page(w, &ff->rows.v[i].at), round}));
		w->holes++;
	}
	/* Outside: all of them, when each finds its place; else in smaller figures; else the ends of rows. */
	for (int way = holes.n > MOST_NUMBERED ? 2 : 0; way < 3; way++) {
		boxes taken = {0};
		for (size_t i = 0; i < holes.n; i++) LIST_PUSH(mem, &taken, holes.v[i]);
		for (size_t i = 0; i < w->edge_numbers.n; i++) LIST_PUSH(mem, &taken, w->edge_numbers.v[i]);
		size_t missing = 0;
		if (way == 1) cap = fmin(cap, CAP_LABEL);
		w->numbered = 0;
		for (size_t i = 0; i < ff->rows.n; i++) {
			const feature_row *r = &ff->rows.v[i];
			put[i].cap = 0;
			if (feature_is_cut(&w->m->features.v[r->feature])) continue;
			if (holes.n > MOST_NUMBERED && !row_end(ff, i)) continue;
			bool found = inside(w, r, fmax(cap, CAP_SMALL), &put[i]) || inside(w, r, CAP_LABEL, &put[i]);
			if (!found && way == 2 && !row_end(ff, i)) continue;
			found = found || outside(w, r, hole_of[i], holes.n, cap, &taken, &put[i]);
			w->numbered += found;
			missing += !found;
		}
		/* A hole that has no room beside it for a number goes without one; its place is in the table. */
		if (missing == 0 || (way == 1 && missing * 10 <= holes.n)) break;
	}
	for (size_t i = 0; i < ff->rows.n; i++) {
		if (!(put[i].cap > 0)) continue;
		const feature_row *r = &ff->rows.v[i];
		/* Beside a hole there may be dashed lines and leaders: white behind the number. */
		display_style style = {.cap = put[i].cap, .align = ALIGN_CENTRE, .knock_out = put[i].beside};
		display_text_style(w->d, put[i].at.x, put[i].at.y, &style, arena_printf(mem, "%u", r->number));
		display_take(w->d,
			     display_text_box(put[i].at.x, put[i].at.y, &style, arena_printf(mem, "%u", r->number)));
	}
}
