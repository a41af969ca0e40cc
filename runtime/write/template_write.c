#include "runtime/write/template_write.h"

#include <math.h>

#include "runtime/draw/dim.h"
#include "runtime/draw/outline_ink.h"
#include "runtime/draw/sheetform.h"
#include "runtime/write/hole_words.h"
#include "runtime/write/pdf.h"
#include "runtime/write/svg.h"
#include "runtime/write/title_block.h"

/* Room beside a template for its dimensions, and below it. */
enum {
	AROUND = 26,
	FOOT = 28,
	NARROWEST = SHEETFORM_BLOCK_W + SHEETFORM_LEFT + SHEETFORM_EDGE,
	EDGE = SHEETFORM_LEFT + 5,
	BROADEST_TEXT = 170,
	LARGEST_MM = 5000
};

static const char *with_unit(arena *mem, const model *m, rat mm) {
	return arena_printf(mem, "%s %s", template_length(mem, m, mm), m->measures == MEASURES_METRIC ? "mm" : "in");
}

/* "⌀137.3", "137.3 × 97.3 R18.65" */
static const char *shape_words(arena *mem, const model *m, const model_shape *s) {
	if (s->kind == SHAPE_ROUND) return arena_printf(mem, "⌀%s", template_length(mem, m, s->a));
	const char *a = template_length(mem, m, s->a), *b = template_length(mem, m, s->b);
	if (s->kind == SHAPE_SLOT) return arena_printf(mem, "slot %s × %s", a, b);
	if (s->kind == SHAPE_OUTLINE) return arena_printf(mem, "outline %s × %s", a, b);
	bool corner = rat_ok(s->corner) && rat_sign(s->corner) > 0;
	return corner ? arena_printf(mem, "%s × %s R%s", a, b, template_length(mem, m, s->corner))
		      : arena_printf(mem, "%s × %s", a, b);
}

table *template_table(arena *mem, const model *m) {
	const char *unit = m->measures == MEASURES_METRIC ? "mm" : "in";
	table *t = table_begin(mem, "Router templates");
	table_column(t, "template", NULL, TABLE_LEFT);
	table_column(t, "tool", NULL, TABLE_LEFT);
	table_column(t, "opening", unit, TABLE_LEFT);
	table_column(t, "cutter", unit, TABLE_RIGHT);
	table_column(t, "bush", unit, TABLE_RIGHT);
	table_column(t, "offset", unit, TABLE_RIGHT);
	table_column(t, "in the template", unit, TABLE_LEFT);
	table_column(t, "passes", NULL, TABLE_RIGHT);
	table_column(t, "test cut", unit, TABLE_RIGHT);
	for (size_t i = 0; i < m->templates.n; i++) {
		const model_template *r = &m->templates.v[i];
		const model_tool *tool = &m->tools.v[r->tool];
		table_row(t);
		table_cell(t, "%s", r->name);
		table_cell(t, "%s", tool->name);
		table_cell(t, "%s", shape_words(mem, m, &r->shape));
		table_cell(t, "%s", template_length(mem, m, model_tool_cuts(tool)));
		table_cell(t, "%s", template_length(mem, m, tool->bush.mm));
		table_cell(t, "%s", template_length(mem, m, r->offset));
		table_cell(t, "%s", shape_words(mem, m, &r->opening));
		table_whole(t, (long long)template_passes(r));
		table_cell(t, "%s", template_length(mem, m, r->test_cut));
	}
	table_note(t, "Opening in the template = opening + (bush - cutter).");
	return t;
}

static void paint(display *d, const model_shape *s, const frame *fr, double x, double y, display_pen pen) {
	bool up = s->kind != SHAPE_ROUND && s->along != fr->u;
	double a = rat_double(up ? s->b : s->a), b = rat_double(up ? s->a : s->b),
	       r = rat_ok(s->corner) ? rat_double(s->corner) : 0;
	switch (s->kind) {
	case SHAPE_ROUND:
		display_add_circle(d, x, y, a / 2);
		break;
	case SHAPE_SLOT:
		display_add_slot(d, x, y, rat_double(s->a), rat_double(s->b), up ? 90 : 0);
		break;
	case SHAPE_RECT:
		if (r > 0)
			display_add_round_rect(d, x - a / 2, y - b / 2, a, b, r);
		else
			display_add_rect(d, x - a / 2, y - b / 2, a, b);
		break;
	case SHAPE_OUTLINE: {
		feature_outline o = {
			.free = s, .free_u = fr->u, .free_v = fr->v, .u_rev = fr->u_rev, .v_rev = fr->v_rev};
		o.u = o.v = o.r = rat_int(0), o.hu = rat_half(s->a), o.hv = rat_half(s->b);
		outline_path p = feature_path(d->mem, &o);
		outline_ink(d, &p, x, y, 1);
		break;
	}
	}
	display_paint(d, pen, FILL_NONE);
}

/* Inside a template a hand-held router goes clockwise: an arrow in the middle, on the upper side. */
static void way_round(display *d, double x, double y, double reach) {
	double r = fmax(5, reach * 0.55);
	display_arc(d, PEN_DIM, x, y, r, 50, 130);
	double a = 50 * acos(-1.0) / 180;
	display_arrowhead(d, x + r * cos(a), y - r * sin(a), -40, 0);
}

typedef struct plate { /* the template on its page */
	display *d;
	const model *m;
	const model_template *t;
	double x, y, w, h; /* where its centre lines cross; its size */
	bool upright;	   /* the opening's first size runs up */
	bool alone;	   /* for sheets of paper: no more than what is cut and drilled */
	template_must *must;
} plate;

/* "Passes of 6.35, 12.7 and 18.9 mm, through, below the face." for each depth that its sheets ask for. */
static const char *passes_words(arena *mem, const model *m, const model_template *r) {
	textbuf w = textbuf_begin(mem);
	const char *last = NULL;
	for (size_t i = 0; i < r->uses.n; i++) {
		const char *own = hole_passes_words(mem, m, &r->uses.v[i]);
		if (last && text_same(own, last)) continue;
		textbuf_printf(&w, "%s%s",
			       last			   ? "; "
			       : r->uses.v[i].depths.n > 1 ? "Passes of "
							   : "One pass of ",
			       own);
		last = own;
	}
	textbuf_add(&w, ", below the face. ");
	return w.v;
}

static const char *made_words(arena *mem, const model *m, const model_template *r, bool drawn) {
	const model_tool *t = &m->tools.v[r->tool];
	const char *limits = hole_limits_words(mem, m, r->least, r->most, &r->shape);
	return arena_printf(
		mem,
		"%sFor %s.\nOpening wanted %s "
		"(dashed); in the template "
		"%s (thick line).\n%s: cutter %s, guide bush %s outside. Offset %s.\n%sTest cut in waste "
		"of %s × %s, as thick as the part: it must measure %s%s.\nToo small: widen the opening by "
		"what is missing, or a bush thinner by it; too large: a bush thicker by it. The offset may be "
		"%s.\nMove the router clockwise round the inside. Lay the centre lines on "
		"those of the part.",
		drawn ? "Print at 100 %, without fitting to the page.\n" : "", template_serves_words(mem, m, r),
		shape_words(mem, m, &r->shape), shape_words(mem, m, &r->opening), t->label ? t->label : t->name,
		with_unit(mem, m, model_tool_cuts(t)), with_unit(mem, m, t->bush.mm), with_unit(mem, m, r->offset),
		passes_words(mem, m, r), template_length(mem, m, r->waste[0]), with_unit(mem, m, r->waste[1]),
		with_unit(mem, m, r->test_cut), limits ? arena_printf(mem, ", within %s", limits) : "",
		template_offsets_words(mem, m, r));
}

/* "1: 180 right, 155.9 down": from where the centre lines cross. */
static const char *hole_words(arena *mem, const model *m, const model_template *t, size_t i) {
	static const char *const WAY[2][2] = {{"left", "right"}, {"down", "up"}};
	textbuf w = textbuf_begin(mem);
	textbuf_printf(&w, "%zu", i + 1);
	for (int k = 0; k < 2; k++) {
		rat at = t->holes.v[i].v[k];
		textbuf_printf(&w, "%s %s", k ? "," : ":", template_place(mem, m, rat_abs(at)));
		if (rat_sign(at)) textbuf_printf(&w, " %s", WAY[k][rat_sign(at) > 0]);
	}
	return w.v;
}

static const char *held_words(arena *mem, const model *m, const model_template *r, bool drawn) {
	textbuf w = textbuf_begin(mem);
	textbuf_printf(
		&w,
		"Cut the template %s × %s. Fixing holes %s, countersunk; the router's base stays within the line of "
		"dashes and dots. Over the edge: a strip under the template, that far in from its edge, stops at the "
		"sheet's.",
		template_length(mem, m, r->size[0]), template_length(mem, m, r->size[1]), with_unit(mem, m, r->hole));
	for (size_t i = 0; i < r->holes.n && !drawn; i++)
		textbuf_printf(&w, "%s%s", i ? "; " : "\nFixing holes, from where the centre lines cross: ",
			       hole_words(mem, m, r, i));
	if (r->holes.n && !drawn) textbuf_add(&w, ". Mark those that no sheet shows by rule.");
	for (size_t i = 0; i < r->uses.n; i++) textbuf_printf(&w, "\n%s", template_held_words(mem, m, r, i));
	const char *last = "";
	for (size_t i = 0; i < r->uses.n; i++) {
		const model_pattern *p = &m->patterns.v[r->uses.v[i].pattern];
		const model_sheet_of_pattern *s = model_pattern_sheet(p, r->uses.v[i].part);
		const char *tools = s->options.n > 1 ? hole_options_words(mem, m, p, s) : NULL;
		if (!tools || text_same(tools, last)) continue;
		textbuf_printf(&w, "\n%s", tools);
		last = tools;
	}
	return w.v;
}

static sheetform_table set_table(arena *mem, const model *m, const model_template *r) {
	static const sheetform_column COLUMNS[] = {{"Set the template by", -4, ALIGN_LEFT},
						   {"Block from the left edge", -4, ALIGN_LEFT},
						   {"Block from the lower edge", -4, ALIGN_LEFT},
						   {"Against the first sheet", -4, ALIGN_LEFT}};
	template_cells cells = {0};
	template_set_cells(mem, m, r, &cells);
	return (sheetform_table){.column = COLUMNS, .n_columns = 4, .cell = cells.v, .n_rows = cells.n / 4};
}

static void paint_base(const plate *p) {
	display *d = p->d;
	model_shape base = p->t->opening;
	double grow = 2 * rat_double(p->t->reach);
	double a = rat_double(base.a) + grow,
	       b = (base.kind == SHAPE_ROUND ? rat_double(base.a) : rat_double(base.b)) + grow;
	if (base.kind == SHAPE_ROUND)
		display_add_circle(d, p->x, p->y, a / 2);
	else
		display_add_round_rect(d, p->x - (p->upright ? b : a) / 2, p->y - (p->upright ? a : b) / 2,
				       p->upright ? b : a, p->upright ? a : b, grow / 2);
	display_paint(d, PEN_PHANTOM, FILL_NONE);
}

/* The template's edge, its centre lines, how far the base runs, and the holes with their numbers. */
static void paint_plate(const plate *p) {
	display *d = p->d;
	const model_template *t = p->t;
	display_rect(d, PEN_EDGE, FILL_NONE, p->x - p->w / 2, p->y - p->h / 2, p->w, p->h);
	display_segment(d, PEN_CENTRE, p->x - p->w / 2 - 3, p->y, p->x + p->w / 2 + 3, p->y);
	display_segment(d, PEN_CENTRE, p->x, p->y - p->h / 2 - 3, p->x, p->y + p->h / 2 + 3);
	for (size_t i = 0; i < t->holes.n; i++) {
		double x = p->x + rat_double(t->holes.v[i].v[0]), y = p->y - rat_double(t->holes.v[i].v[1]);
		double r = rat_double(t->hole) / 2;
		display_circle(d, PEN_EDGE, FILL_NONE, x, y, r);
		dim_centre_mark(d, x, y, r, 2);
		const char *words = p->alone ? hole_words(d->mem, p->m, t, i) : arena_printf(d->mem, "%zu", i + 1);
		/* Towards the middle, so that no sheet of paper is wanted for the words alone. */
		bool left = p->alone && x > p->x + 1;
		display_text(d, left ? x - r - 1.5 : x + r + 1.5, y - r - 0.5, CAP_BODY,
			     left ? ALIGN_RIGHT : ALIGN_LEFT, words);
		if (!p->alone) continue;
		double wide = display_text_width(FONT_REGULAR, CAP_BODY, words) + 3;
		LIST_PUSH(d->mem, &p->must->boxes,
			  ((display_box){left ? x - r - wide : x - r - 2, y - r - 2 * CAP_BODY,
					 left ? x + r + 2 : x + r + wide, y + r + 2}));
	}
	if (!p->alone) paint_base(p);
}

/* Holes and edges from the centre lines: below, and on the left. */
static void paint_places(const plate *p) {
	arena *mem = p->d->mem;
	for (int k = 0; k < 2; k++) {
		double half = (k ? p->h : p->w) / 2, middle = k ? p->y : p->x, sign = k ? -1 : 1;
		dim_ordinate *v = ARENA_MANY(mem, dim_ordinate, p->t->holes.n + 2);
		size_t n = 0;
		double edge = k ? p->x - p->w / 2 : p->y + p->h / 2;
		for (int e = -1; e <= 1; e += 2)
			v[n++] = (dim_ordinate){middle + e * half, edge,
						template_length(mem, p->m, rat_half(p->t->size[k]))};
		for (size_t i = 0; i < p->t->holes.n; i++) {
			rat at = p->t->holes.v[i].v[k];
			if (rat_sign(at) == 0) continue;
			v[n++] = (dim_ordinate){middle + sign * rat_double(at), edge,
						template_place(mem, p->m, rat_abs(at))};
		}
		dim_ordinates(p->d, k == 0, middle, k ? edge - 5 : edge + 5, k ? -1 : 1, v, n, CAP_SMALL);
	}
}

static void paint_opening(const plate *p, const model_shape *asked) {
	const model_template *t = p->t;
	const model_sheet_of_pattern *s =
		model_pattern_sheet(&p->m->patterns.v[t->uses.v[0].pattern], t->uses.v[0].part);
	bool free = t->opening.kind == SHAPE_OUTLINE;
	frame fr = frame_of((box3){0}, s->face);
	const model_shape *shape[2] = {&t->opening, &t->shape};
	for (int i = 0; i < 2; i++) {
		double u = free ? rat_double(rat_sub(shape[i]->off_u, asked->off_u)) : 0;
		double v = free ? rat_double(rat_sub(shape[i]->off_v, asked->off_v)) : 0;
		paint(p->d, shape[i], &fr, p->x + (fr.u_rev ? -u : u), p->y - (fr.v_rev ? -v : v),
		      i ? PEN_HIDDEN : PEN_OUTLINE);
	}
	if (p->alone) return;
	double a = rat_double(t->opening.a), b = free || t->opening.kind != SHAPE_ROUND ? rat_double(t->opening.b) : a;
	way_round(p->d, p->x, p->y, fmin(a, b) / 2);
	double w = p->upright ? b : a, h = p->upright ? a : b;
	const char *across = template_length(p->d->mem, p->m, p->upright ? t->opening.b : t->opening.a);
	if (t->opening.kind == SHAPE_ROUND) across = shape_words(p->d->mem, p->m, &t->opening);
	dim_horizontal(p->d, (display_point){p->x - w / 2, p->y}, (display_point){p->x + w / 2, p->y},
		       p->y - p->h / 2 - 7, CAP_BODY, across);
	if (t->opening.kind != SHAPE_ROUND)
		dim_vertical(p->d, (display_point){p->x + w / 2, p->y - h / 2},
			     (display_point){p->x + w / 2, p->y + h / 2}, p->x + p->w / 2 + 9, CAP_BODY,
			     template_length(p->d->mem, p->m, p->upright ? t->opening.a : t->opening.b));
}

static plate plate_on(display *d, const model *m, const model_template *r, double x, double y) {
	const model_sheet_of_pattern *s = model_pattern_sheet(&m->patterns.v[r->uses.v[0].pattern], r->uses.v[0].part);
	plate p = {.d = d, .m = m, .t = r, .x = x, .y = y, .w = rat_double(r->size[0]), .h = rat_double(r->size[1])};
	p.upright = (r->opening.kind == SHAPE_RECT || r->opening.kind == SHAPE_SLOT) &&
		    r->opening.along != frame_of((box3){0}, s->face).u;
	return p;
}

/* What is to be read before it is cut: heading, sentences, what it is set by. The y below. */
double template_text(display *d, const model *m, model_ref row, double x, double y, double room, bool drawn) {
	const model_template *r = &m->templates.v[row];
	const display_style body = {.cap = CAP_BODY};
	sheetform_table set = set_table(d->mem, m, r);
	display_bold(d, x, y + 4, CAP_TITLE, ALIGN_LEFT,
		     arena_printf(d->mem, drawn ? "Router template %s, full size" : "Router template %s", r->name));
	y = display_paragraph(d, x, y + 8, room, &body, made_words(d->mem, m, r, drawn));
	y = display_paragraph(d, x, y + 2, room, &body, held_words(d->mem, m, r, drawn)) + 4;
	if (drawn) sheetform_check_bar(d, x, y, m->measures), y += 14;
	size_t from = 0;
	double below = sheetform_table_height(d->mem, room, &set, 0);
	sheetform_table_draw(d, (display_box){x, y, x + room, y + below + 20}, y, &set, &from);
	return y + below;
}

display *template_drawing(arena *mem, const model *m, model_ref row) {
	const model_template *r = &m->templates.v[row];
	double w = rat_double(r->size[0]), h = rat_double(r->size[1]);
	if (!(w > 0 && h > 0) || w > LARGEST_MM || h > LARGEST_MM) return NULL;
	const model_sheet_of_pattern *s = model_pattern_sheet(&m->patterns.v[r->uses.v[0].pattern], r->uses.v[0].part);
	double page_w = fmax(w + 2 * AROUND + SHEETFORM_LEFT + SHEETFORM_EDGE, NARROWEST),
	       room = fmin(page_w - 40, BROADEST_TEXT);
	display *d = display_begin(mem, page_w, 1);
	double head = template_text(d, m, row, EDGE, 13, room, true) + 22;
	sheetform_block block = title_block(mem, m, arena_printf(mem, "template-%s", r->name), 1, 1);
	block.title = r->name, block.kind = "Router template", block.subtitle = template_serves_words(mem, m, r);
	block.size = arena_printf(mem, "%s × %s", template_length(mem, m, r->size[0]), with_unit(mem, m, r->size[1]));
	d->h = head + h + FOOT + sheetform_block_height(&block);
	sheetform_drawing(d, &block);
	d->true_size = true;
	d->title = arena_printf(mem, "template %s at full size", r->name);
	plate p = plate_on(d, m, r, (page_w + SHEETFORM_LEFT - SHEETFORM_EDGE) / 2, head + h / 2);
	paint_plate(&p);
	paint_opening(&p, &s->shape);
	paint_places(&p);
	return d;
}

/* Points of the opening's edge, so near to each other that two neighbours never lie beyond one overlap. */
static void edge_points(const plate *p, const model_sheet_of_pattern *s, template_must *must) {
	enum { NEAR = 5 };
	arena *mem = p->d->mem;
	const model_shape *o = &p->t->opening;
	bool free = o->kind == SHAPE_OUTLINE;
	frame fr = frame_of((box3){0}, s->face);
	feature_outline f = {
		.free = free ? o : NULL, .free_u = fr.u, .free_v = fr.v, .u_rev = fr.u_rev, .v_rev = fr.v_rev};
	double a = rat_double(o->a), b = o->kind == SHAPE_ROUND ? a : rat_double(o->b), r = a / 2;
	if (o->kind == SHAPE_SLOT) r = fmin(a, b) / 2;
	if (o->kind == SHAPE_RECT) r = rat_ok(o->corner) ? rat_double(o->corner) : 0;
	f.u = f.v = f.r = rat_int(0), f.hu = rat_half(o->a), f.hv = rat_half(o->b);
	outline_path path = free ? feature_path(mem, &f)
				 : outline_rounded(mem, (p->upright ? b : a) / 2, (p->upright ? a : b) / 2, r);
	double u = free ? rat_double(rat_sub(o->off_u, s->shape.off_u)) : 0,
	       v = free ? rat_double(rat_sub(o->off_v, s->shape.off_v)) : 0;
	for (size_t i = 0; i < path.n; i++) {
		int n = (int)ceil(outline_piece_length(&path.v[i]) / NEAR) + 1;
		for (int k = 0; k <= n; k++) {
			outline_point q = outline_at(&path.v[i], (double)k / n);
			display_point at = {p->x + (fr.u_rev ? -u : u) + q.x, p->y - (fr.v_rev ? -v : v) - q.y};
			LIST_PUSH(mem, &must->points, at);
		}
	}
}

display *template_plate(arena *mem, const model *m, model_ref row, template_must *must) {
	const model_template *r = &m->templates.v[row];
	double w = rat_double(r->size[0]), h = rat_double(r->size[1]);
	if (!(w > 0 && h > 0) || w > LARGEST_MM || h > LARGEST_MM) return NULL;
	const model_sheet_of_pattern *s = model_pattern_sheet(&m->patterns.v[r->uses.v[0].pattern], r->uses.v[0].part);
	plate p = plate_on(display_begin(mem, w + 2 * AROUND, h + 2 * AROUND), m, r, w / 2 + AROUND, h / 2 + AROUND);
	p.alone = true, p.must = must;
	must->middle = (display_point){p.x, p.y};
	paint_plate(&p);
	paint_opening(&p, &s->shape);
	edge_points(&p, s, must);
	return p.d;
}

static const char *add_sheets(outset *o, const model *m, textbuf *told) {
	template_sheets sheets = {0};
	template_tiles(o->mem, m, &sheets);
	if (!sheets.n) return NULL;
	const pdf_info info = {.title = arena_printf(o->mem, "Templates: %s", m->title),
			       .subject = "Full size",
			       .language = "en",
			       .told = told,
			       .name = "templates.pdf"};
	char *bytes;
	size_t size;
	const char *why = pdf_write(o->mem, (const display *const *)sheets.v, sheets.n, &info, &bytes, &size);
	if (why) return arena_printf(o->mem, "the sheets of the templates: %s", why);
	outset_add(o, "templates.pdf", bytes, size);
	return NULL;
}

const char *template_write(outset *o, const model *m, textbuf *told) {
	for (size_t i = 0; i < m->templates.n; i++) {
		display *d = template_drawing(o->mem, m, (model_ref)i);
		if (!d) continue;
		textbuf out = textbuf_begin(o->mem);
		const char *why = svg_write(&out, d, true);
		if (why) return arena_printf(o->mem, "the template %s: %s", m->templates.v[i].name, why);
		outset_add(o, arena_printf(o->mem, "template-%s.svg", m->templates.v[i].name), out.v, out.n);
	}
	return add_sheets(o, m, told);
}
