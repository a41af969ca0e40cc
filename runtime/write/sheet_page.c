#include "runtime/write/sheet_page.h"

#include <math.h>

#include "runtime/draw/dim.h"
#include "runtime/write/cuts_write.h"

/* Room around the sheet: overall sizes left and below, numbers of the trim cuts everywhere. */
static const double LEFT = 11, BELOW = 10, ABOVE = 6, RIGHT = 5.5;
static const double OVERALL = 7.5; /* from the sheet to its overall sizes, beyond the numbers of the trim cuts */
static const double CIRCLE = 2.1;  /* radius of a cut's number */
static const double CAPS[] = {CAP_BODY, 2.2, CAP_SMALL};
enum { N_CAPS = 3 };

static double line_height(double cap) { return 1.4 * cap; } /* cap height and descender */

typedef struct page {
	display *d;
	const model *m;
	const model_sheet_plan *s;
	display_map map;
	display_box within;
	LIST(const char *) key;
	sheet_page_drawing out;
} page;

static const char *length(const page *g, rat mm) { return quant_show_length(g->d->mem, mm, g->m->measures, true); }

static const char *size_text(const page *g, rat w, rat h) {
	return arena_printf(g->d->mem, "%s × %s", length(g, w), length(g, h));
}

static display_box page_box(const page *g, rat x, rat y, rat w, rat h) {
	double x0 = display_map_x(&g->map, rat_double(x)), y1 = display_map_y(&g->map, rat_double(y));
	return (display_box){x0, y1 - rat_double(h) * g->map.scale, x0 + rat_double(w) * g->map.scale, y1};
}

static void box_rect(display *d, display_pen pen, display_fill fill, display_box b) {
	display_rect(d, pen, fill, b.x0, b.y0, b.x1 - b.x0, b.y1 - b.y0);
}

/* ---- labels --------------------------------------------------------------------------------------- */

typedef struct label { /* one or two lines, level or turned, about a centre */
	const char *line[2];
	double cap;
	bool turned;
	double along, across; /* extent in reading direction and across it */
} label;

static label label_of(const char *first, const char *second, double cap, bool turned) {
	label l = {{first, second}, cap, turned, display_text_width(FONT_REGULAR, cap, first), line_height(cap)};
	if (second) {
		l.along = fmax(l.along, display_text_width(FONT_REGULAR, cap, second));
		l.across += DISPLAY_LEADING(cap);
	}
	return l;
}

static bool label_fits(const label *l, display_box b) {
	double w = b.x1 - b.x0, h = b.y1 - b.y0;
	return l->turned ? l->along <= h && l->across <= w : l->along <= w && l->across <= h;
}

static display_box label_box(const label *l, double x, double y) {
	double w = l->turned ? l->across : l->along, h = l->turned ? l->along : l->across;
	return (display_box){x - w / 2, y - h / 2, x + w / 2, y + h / 2};
}

/* The best way to write it in the box: two lines before both in one before the first alone, level before turned, large
 * before small. */
static bool label_find(arena *mem, display_box b, const char *first, const char *second, label *out) {
	const char *ways[3][2] = {
		{first, second}, {second ? arena_printf(mem, "%s %s", first, second) : NULL, NULL}, {first, NULL}};
	for (int way = second ? 0 : 2; way < 3; way++) {
		for (int turned = 0; turned < 2; turned++) {
			for (int i = 0; i < N_CAPS; i++) {
				*out = label_of(ways[way][0], ways[way][1], CAPS[i], turned == 1);
				if (label_fits(out, b)) return true;
			}
		}
	}
	return false;
}

/* With room for the numbers of the cuts along the edges, if there is that much. */
static bool label_find_in(arena *mem, display_box b, const char *first, const char *second, label *out) {
	return label_find(mem, display_box_grow(b, -CIRCLE - 0.4), first, second, out) ||
	       label_find(mem, display_box_grow(b, -0.7), first, second, out);
}

static void label_draw(display *d, const label *l, double x, double y, bool knock_out) {
	display_style style = {
		.cap = l->cap, .align = ALIGN_CENTRE, .turn = l->turned ? 90 : 0, .knock_out = knock_out};
	/* Baseline of the last line lies 0.4 cap heights above the lower edge of the extent. */
	double last = l->across / 2 - 0.35 * l->cap;
	for (int i = 0; i < 2; i++) {
		if (!l->line[i]) continue;
		double off = l->line[1] && i == 0 ? last - DISPLAY_LEADING(l->cap) : last;
		display_text_style(d, x + (l->turned ? off : 0), y + (l->turned ? 0 : off), &style, l->line[i]);
	}
	display_take(d, label_box(l, x, y));
}

/* ---- parts and offcuts -------------------------------------------------------------------------------- */

static display_point middle(display_box b) { return (display_point){(b.x0 + b.x1) / 2, (b.y0 + b.y1) / 2}; }

/* A line with two heads along the grain, beside the label. */
static void grain_arrow(page *g, const model_piece *q, display_box b, const label *l) {
	const model_part *p = &g->m->parts.v[q->part];
	const model_stock *s = &g->m->stocks.v[g->s->stock];
	if (!p->grain_matters || s->grain == GRAIN_NONE) return;
	bool level = s->grain == GRAIN_LONG;
	const double half = 5, side = 0.9;
	display_point c = middle(b);
	display_box taken = label_box(l, c.x, c.y), room = display_box_grow(b, -CIRCLE - 0.4);
	for (int way = 0; way < 2; way++) {
		double x = c.x, y = c.y;
		if (level)
			y = way == 0 ? taken.y1 + 1.4 : taken.y0 - 1.4;
		else
			x = way == 0 ? taken.x1 + 1.4 : taken.x0 - 1.4;
		display_box arrow = level ? (display_box){x - half, y - side, x + half, y + side}
					  : (display_box){x - side, y - half, x + side, y + half};
		if (!display_box_inside(arrow, room)) continue;
		double dx = level ? half : 0, dy = level ? 0 : half;
		display_arrow(g->d, PEN_DIM, x, y, x + dx, y - dy);
		display_arrow(g->d, PEN_DIM, x, y, x - dx, y + dy);
		display_take(g->d, arrow);
		return;
	}
}

static const char *letter(arena *mem, size_t n) {
	if (n < 26) return arena_printf(mem, "%c", (int)('A' + n));
	return arena_printf(mem, "%c%c", (int)('A' + (n / 26 - 1) % 26), (int)('A' + n % 26));
}

/* Too small for its name: a letter in it or on a leader, and a line of the key. */
static void key_piece(page *g, display_box b, const char *name, const char *size) {
	const char *mark = letter(g->d->mem, g->key.n);
	label l = label_of(mark, NULL, CAP_SMALL, false);
	display_point c = middle(b);
	LIST_PUSH(g->d->mem, &g->key, arena_printf(g->d->mem, "%s  %s, %s", mark, name, size));
	g->out.keyed++;
	if (label_fits(&l, display_box_grow(b, -0.2))) {
		label_draw(g->d, &l, c.x, c.y, false);
		return;
	}
	display_box spot;
	display_point end;
	if (!display_free_label(g->d, c.x, c.y, 2, l.along + 0.6, l.across + 0.4, g->within, &spot, &end)) {
		g->out.unnamed++;
		return;
	}
	display_segment(g->d, PEN_DIM, c.x, c.y, end.x, end.y);
	display_take_line(g->d, c.x, c.y, end.x, end.y);
	label_draw(g->d, &l, middle(spot).x, middle(spot).y, true);
}

static void draw_offcuts(page *g) {
	for (size_t i = 0; i < g->s->offcuts.n; i++) {
		const model_offcut *o = &g->s->offcuts.v[i];
		display_box b = page_box(g, o->x, o->y, o->w, o->h);
		display_add_rect(g->d, b.x0, b.y0, b.x1 - b.x0, b.y1 - b.y0);
		display_hatch(g->d, PEN_HATCH, 45, 2, true);
		display_paint(g->d, PEN_DIM, FILL_NONE);
	}
	for (size_t i = 0; i < g->s->offcuts.n; i++) {
		const model_offcut *o = &g->s->offcuts.v[i];
		display_box b = page_box(g, o->x, o->y, o->w, o->h);
		label l;
		if (!label_find_in(g->d->mem, b, size_text(g, o->w, o->h), NULL, &l)) continue;
		label_draw(g->d, &l, middle(b).x, middle(b).y, true);
	}
}

static void draw_pieces(page *g) {
	for (size_t i = 0; i < g->s->pieces.n; i++) {
		const model_piece *q = &g->s->pieces.v[i];
		box_rect(g->d, PEN_EDGE, FILL_WHITE, page_box(g, q->x, q->y, q->w, q->h));
	}
	for (int small = 0; small < 2; small++) { /* names in place first, leaders find their way between them */
		for (size_t i = 0; i < g->s->pieces.n; i++) {
			const model_piece *q = &g->s->pieces.v[i];
			display_box b = page_box(g, q->x, q->y, q->w, q->h);
			const char *name = g->m->parts.v[q->part].name, *size = size_text(g, q->w, q->h);
			label l;
			bool fits = label_find_in(g->d->mem, b, name, size, &l);
			if (fits && small == 0) {
				label_draw(g->d, &l, middle(b).x, middle(b).y, false);
				grain_arrow(g, q, b, &l);
			}
			if (!fits && small == 1) key_piece(g, b, name, size);
		}
	}
}

/* ---- numbers of the cuts --------------------------------------------------------------------------------- */

static void circle_at(page *g, double x, double y, const char *number) {
	double cap = display_text_width(FONT_REGULAR, CAP_SMALL, number) > 2 * CIRCLE - 0.8 ? CAP_LABEL : CAP_SMALL;
	display_circle(g->d, PEN_DIM, FILL_WHITE, x, y, CIRCLE);
	display_text(g->d, x, y + cap / 2, cap, ALIGN_CENTRE, number);
	display_take(g->d, (display_box){x - CIRCLE, y - CIRCLE, x + CIRCLE, y + CIRCLE});
}

static bool try_circle(page *g, double x, double y, const char *number) {
	display_box b = {x - CIRCLE, y - CIRCLE, x + CIRCLE, y + CIRCLE};
	if (!display_box_inside(b, g->within) || !display_is_free(g->d, b)) return false;
	circle_at(g, x, y, number);
	return true;
}

/* Along the kerf from its low end, every millimetre; else beside it on a leader. */
static void number_cut(page *g, const model_cut *c) {
	const char *number = arena_printf(g->d->mem, "%u", c->number);
	double at = rat_double(c->at) + rat_double(g->s->kerf) / 2;
	double from = rat_double(c->along_x ? c->x : c->y), to = from + rat_double(c->along_x ? c->w : c->h);
	if (c->trim) { /* beside the edge, a quarter along it */
		double off = CIRCLE + 0.8, quarter = from + (to - from) / 4;
		double edge = rat_double(c->along_x ? g->s->h : g->s->w), outer = c->keep_high ? 0 : edge;
		double x = display_map_x(&g->map, c->along_x ? quarter : outer);
		double y = display_map_y(&g->map, c->along_x ? outer : quarter);
		double out = c->keep_high ? -off : off;
		if (!try_circle(g, c->along_x ? x : x + out, c->along_x ? y - out : y, number)) g->out.uncircled++;
		return;
	}
	double step = 1 / g->map.scale, first = from + CIRCLE / g->map.scale, last = to - CIRCLE / g->map.scale;
	if (first > last) first = last = (from + to) / 2;
	for (double t = first; t <= last; t += step) {
		double x = display_map_x(&g->map, c->along_x ? t : at), y = display_map_y(&g->map, c->along_x ? at : t);
		if (try_circle(g, x, y, number)) return;
	}
	double centre = (from + to) / 2;
	double x = display_map_x(&g->map, c->along_x ? centre : at),
	       y = display_map_y(&g->map, c->along_x ? at : centre);
	display_box spot;
	display_point end;
	if (!display_free_label(g->d, x, y, CIRCLE, 2 * CIRCLE, 2 * CIRCLE, g->within, &spot, &end)) {
		g->out.uncircled++;
		return;
	}
	display_segment(g->d, PEN_DIM, x, y, end.x, end.y);
	display_take_line(g->d, x, y, end.x, end.y);
	circle_at(g, middle(spot).x, middle(spot).y, number);
}

/* ---- the whole ------------------------------------------------------------------------------------------- */

static void draw_frame(page *g) {
	const model_sheet_plan *s = g->s;
	display_box b = g->out.sheet;
	box_rect(g->d, PEN_OUTLINE, FILL_NONE, b);
	double t[EDGES], most = 0;
	for (int e = 0; e < EDGES; e++) {
		t[e] = rat_double(s->trim[e]) * g->map.scale;
		most = fmax(most, t[e]);
	}
	if (most > 0)
		box_rect(g->d, PEN_HIDDEN, FILL_NONE,
			 (display_box){b.x0 + t[EDGE_LEFT], b.y0 + t[EDGE_TOP], b.x1 - t[EDGE_RIGHT],
				       b.y1 - t[EDGE_BOTTOM]});
	dim_horizontal(g->d, (display_point){b.x0, b.y1}, (display_point){b.x1, b.y1}, b.y1 + OVERALL, CAP_BODY,
		       length(g, s->w));
	dim_vertical(g->d, (display_point){b.x0, b.y0}, (display_point){b.x0, b.y1}, b.x0 - OVERALL, CAP_BODY,
		     length(g, s->h));
}

/* The key in as many columns as its longest line leaves; returns the y below. */
static double draw_key(page *g, display_box into, double y) {
	double widest = 0;
	for (size_t i = 0; i < g->key.n; i++)
		widest = fmax(widest, display_text_width(FONT_REGULAR, CAP_SMALL, g->key.v[i]));
	if (g->key.n == 0) return y;
	size_t columns = (size_t)fmax(1, floor((into.x1 - into.x0 + 5) / (widest + 5)));
	size_t rows = (g->key.n + columns - 1) / columns;
	for (size_t i = 0; i < g->key.n; i++) {
		double x = into.x0 + (double)(i / rows) * (widest + 5);
		double base = y + CAP_SMALL + (double)(i % rows) * DISPLAY_LEADING(CAP_SMALL);
		const char *text = display_fit(g->d->mem, FONT_REGULAR, CAP_SMALL, into.x1 - x, g->key.v[i]);
		display_text(g->d, x, base, CAP_SMALL, ALIGN_LEFT, text);
	}
	return y + (double)rows * DISPLAY_LEADING(CAP_SMALL);
}

/* The scale at which the sheet fits the width, and the height when nothing stands below it. */
static double scale_for(double width, double height, const model_sheet_plan *s, const char **name) {
	double w = rat_double(s->w), h = rat_double(s->h);
	return display_usual_scale(fmin((width - LEFT - RIGHT) / w, (height - ABOVE - BELOW) / h), name);
}

static sheet_page_drawing draw_at(display *d, display_box into, double free_height, const model *m, size_t sheet) {
	page g = {.d = d, .m = m, .s = &m->layout.sheets.v[sheet]};
	double w = rat_double(g.s->w), h = rat_double(g.s->h);
	g.out.scale = scale_for(into.x1 - into.x0, free_height, g.s, &g.out.scale_name);
	double x = into.x0 + LEFT + (into.x1 - into.x0 - LEFT - RIGHT - w * g.out.scale) / 2, y = into.y0 + ABOVE;
	g.map = (display_map){x, y + h * g.out.scale, g.out.scale};
	g.out.sheet = (display_box){x, y, x + w * g.out.scale, y + h * g.out.scale};
	g.within = (display_box){x - LEFT, y - ABOVE, g.out.sheet.x1 + RIGHT, g.out.sheet.y1 + BELOW};
	draw_offcuts(&g);
	draw_frame(&g);
	draw_pieces(&g);
	for (size_t i = 0; i < g.s->cuts.n; i++) number_cut(&g, &g.s->cuts.v[i]);
	g.out.bottom = draw_key(&g, into, g.within.y1 + 1);
	return g.out;
}

/* Beside the page. A scale that was tried is not drawn again: height only tells which scale it is. */
static sheet_page_drawing try_at(arena *mem, sheet_page_known *known, display_box into, double height, const model *m,
				 size_t sheet) {
	const char *name;
	double scale = scale_for(into.x1 - into.x0, height, &m->layout.sheets.v[sheet], &name);
	for (size_t i = 0; i < known->n; i++)
		if (!(known->v[i].scale < scale) && !(known->v[i].scale > scale)) return known->v[i];
	arena scratch = arena_lend(mem);
	sheet_page_drawing r = draw_at(display_begin(&scratch, 1, 1), into, height, m, sheet);
	arena_return(mem, &scratch);
	LIST_PUSH(mem, known, r);
	return r;
}

/* The height at which drawing and key stay in the box: a smaller drawing may key more parts, so it is tried. */
static double fit_height(arena *mem, sheet_page_known *known, display_box into, const model *m, size_t sheet) {
	double height = into.y1 - into.y0;
	const double least = ABOVE + BELOW + 20; /* a picture smaller than that tells nothing: then the key runs over */
	for (int round = 0; round < 6; round++) {
		sheet_page_drawing r = try_at(mem, known, into, height, m, sheet);
		if (r.bottom <= into.y1) break;
		height = fmax(height - (r.bottom - into.y1), least);
	}
	return height;
}

sheet_page_drawing sheet_page_draw(display *d, display_box into, const model *m, size_t sheet) {
	sheet_page_known known = {0};
	return draw_at(d, into, fit_height(d->mem, &known, into, m, sheet), m, sheet);
}

sheet_page_drawing sheet_page_measure(arena *mem, sheet_page_known *known, double width, double height, const model *m,
				      size_t sheet) {
	display_box into = display_box_of(0, 0, width, height);
	return try_at(mem, known, into, fit_height(mem, known, into, m, sheet), m, sheet);
}
