#include "runtime/write/template_write.h"

#include <math.h>

#include "runtime/draw/dim.h"
#include "runtime/draw/outline_ink.h"
#include "runtime/draw/sheetform.h"
#include "runtime/write/pdf.h"
#include "runtime/write/svg.h"

enum { AROUND = 45, HEAD = 62, FOOT = 22, LARGEST_MM = 5000 };

/* A template is made to tenths: an inch length that is no 64th stands as a decimal. */
static const char *fine(arena *mem, const model *m, rat mm) {
	const char *t = dim_text(mem, mm, m->measures);
	return t[0] == '~' ? quant_show_decimal(mem, mm, m->measures) : t;
}

static const char *with_unit(arena *mem, const model *m, rat mm) {
	return arena_printf(mem, "%s %s", fine(mem, m, mm), m->measures == MEASURES_METRIC ? "mm" : "in");
}

/* "⌀137.3", "137.3 × 97.3 R18.65" */
static const char *shape_words(arena *mem, const model *m, const model_shape *s) {
	if (s->kind == SHAPE_ROUND) return arena_printf(mem, "⌀%s", fine(mem, m, s->a));
	const char *a = fine(mem, m, s->a), *b = fine(mem, m, s->b);
	if (s->kind == SHAPE_SLOT) return arena_printf(mem, "slot %s × %s", a, b);
	if (s->kind == SHAPE_OUTLINE) return arena_printf(mem, "outline %s × %s", a, b);
	bool corner = rat_ok(s->corner) && rat_sign(s->corner) > 0;
	return corner ? arena_printf(mem, "%s × %s R%s", a, b, fine(mem, m, s->corner))
		      : arena_printf(mem, "%s × %s", a, b);
}

uint32_t template_passes(const model_template *t) {
	uint32_t n = 0;
	for (size_t i = 0; i < t->uses.n; i++) n = t->uses.v[i].passes > n ? t->uses.v[i].passes : n;
	return n;
}

const char *template_serves_words(arena *mem, const model *m, const model_template *t) {
	textbuf w = textbuf_begin(mem);
	for (size_t i = 0; i < t->uses.n; i++) {
		const model_template_use *u = &t->uses.v[i];
		bool same = i > 0 && u->pattern == t->uses.v[i - 1].pattern;
		if (same)
			textbuf_printf(&w, ", %s", m->parts.v[u->part].name);
		else
			textbuf_printf(&w, "%s%s in %s", i ? "; " : "", m->patterns.v[u->pattern].name,
				       m->parts.v[u->part].name);
	}
	return w.v;
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
		table_cell(t, "%s", fine(mem, m, tool->diameter.mm));
		table_cell(t, "%s", fine(mem, m, tool->bush.mm));
		table_cell(t, "%s", fine(mem, m, r->offset));
		table_cell(t, "%s", shape_words(mem, m, &r->opening));
		table_whole(t, (long long)template_passes(r));
		table_cell(t, "%s", fine(mem, m, r->test_cut));
	}
	table_note(t, "Opening in the template = opening + (bush - cutter).");
	return t;
}

static void paint(display *d, const model_shape *s, double x, double y, display_pen pen) {
	double a = rat_double(s->a), b = rat_double(s->b), r = rat_ok(s->corner) ? rat_double(s->corner) : 0;
	switch (s->kind) {
	case SHAPE_ROUND:
		display_add_circle(d, x, y, a / 2);
		break;
	case SHAPE_SLOT:
		display_add_slot(d, x, y, a, b, 0);
		break;
	case SHAPE_RECT:
		if (r > 0)
			display_add_round_rect(d, x - a / 2, y - b / 2, a, b, r);
		else
			display_add_rect(d, x - a / 2, y - b / 2, a, b);
		break;
	case SHAPE_OUTLINE: {
		/* As the plan's points lie: the second axis upwards. */
		axis across = s->along == AXIS_X ? AXIS_Y : AXIS_X;
		outline_path p = outline_of_shape(d->mem, s, s->along, across);
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

static void lines_of_text(display *d, const model *m, const model_template *r) {
	arena *mem = d->mem;
	const model_tool *t = &m->tools.v[r->tool];
	const char *line[6] = {
		arena_printf(mem, "%s%s%s. Print at 100 %%, without fitting to the page.", m->title,
			     m->edition ? ", edition " : "", m->edition ? m->edition : ""),
		arena_printf(mem, "Opening wanted %s (dashed); in the template %s (thick line).",
			     shape_words(mem, m, &r->shape), shape_words(mem, m, &r->opening)),
		arena_printf(mem, "%s: cutter %s, guide bush %s outside.", t->label ? t->label : t->name,
			     with_unit(mem, m, t->diameter.mm), with_unit(mem, m, t->bush.mm)),
		arena_printf(mem, "Offset %s. %u pass%s. For %s.", with_unit(mem, m, r->offset), template_passes(r),
			     template_passes(r) == 1 ? "" : "es", template_serves_words(mem, m, r)),
		arena_printf(mem, "Test cut in an offcut: it must measure %s.", with_unit(mem, m, r->test_cut)),
		"Move the router clockwise round the inside. Lay the centre lines on those of the part."};
	for (int i = 0; i < 6; i++) display_text(d, 10, 18 + 4.9 * i, CAP_BODY, ALIGN_LEFT, line[i]);
}

display *template_drawing(arena *mem, const model *m, model_ref row) {
	const model_template *r = &m->templates.v[row];
	double a = rat_double(r->opening.a), b = r->opening.kind == SHAPE_ROUND ? a : rat_double(r->opening.b);
	if (!(a > 0 && b > 0) || a > LARGEST_MM || b > LARGEST_MM) return NULL;
	display *d = display_begin(mem, fmax(a + 2 * AROUND, 190), b + 2 * AROUND + HEAD + FOOT);
	d->true_size = true;
	d->title = arena_printf(mem, "template %s at full size", r->name);
	display_bold(d, 10, 12, CAP_TITLE, ALIGN_LEFT, arena_printf(mem, "Router template %s, full size", r->name));
	lines_of_text(d, m, r);
	sheetform_check_bar(d, 10, 47, m->measures);
	double x = d->w / 2, y = HEAD + AROUND + b / 2;
	/* The template's blank: wide enough for the bush and for clamps. */
	display_rect(d, PEN_EDGE, FILL_NONE, x - a / 2 - AROUND + 12, HEAD + 12, a + 2 * AROUND - 24,
		     b + 2 * AROUND - 24);
	display_segment(d, PEN_CENTRE, x - a / 2 - AROUND + 9, y, x + a / 2 + AROUND - 9, y);
	display_segment(d, PEN_CENTRE, x, HEAD + 9, x, HEAD + 2 * AROUND + b - 9);
	bool free = r->opening.kind == SHAPE_OUTLINE;
	double du = free ? rat_double(rat_sub(r->shape.off_u, r->opening.off_u)) : 0;
	double dv = free ? rat_double(rat_sub(r->shape.off_v, r->opening.off_v)) : 0;
	paint(d, &r->opening, x, y, PEN_OUTLINE);
	paint(d, &r->shape, x + du, y - dv, PEN_HIDDEN);
	way_round(d, x, y, fmin(a, b) / 2);
	double line = HEAD + 2 * AROUND + b;
	dim_horizontal(d, (display_point){x - a / 2, y}, (display_point){x + a / 2, y}, line, CAP_BODY,
		       r->opening.kind == SHAPE_ROUND ? shape_words(mem, m, &r->opening) : fine(mem, m, r->opening.a));
	if (r->opening.kind != SHAPE_ROUND)
		dim_vertical(d, (display_point){x + a / 2, y - b / 2}, (display_point){x + a / 2, y + b / 2},
			     fmin(x + a / 2 + AROUND - 6, d->w - 5), CAP_BODY, fine(mem, m, r->opening.b));
	return d;
}

static const char *add_sheets(outset *o, const model *m) {
	template_sheets sheets = {0};
	template_tiles(o->mem, m, &sheets);
	if (!sheets.n) return NULL;
	const pdf_info info = {
		.title = arena_printf(o->mem, "Templates: %s", m->title), .subject = "Full size", .language = "en"};
	char *bytes;
	size_t size;
	const char *why = pdf_write(o->mem, (const display *const *)sheets.v, sheets.n, &info, &bytes, &size);
	if (why) return arena_printf(o->mem, "the sheets of the templates: %s", why);
	outset_add(o, "templates.pdf", bytes, size);
	return NULL;
}

const char *template_write(outset *o, const model *m) {
	for (size_t i = 0; i < m->templates.n; i++) {
		display *d = template_drawing(o->mem, m, (model_ref)i);
		if (!d) continue;
		textbuf out = textbuf_begin(o->mem);
		const char *why = svg_write(&out, d, true);
		if (why) return arena_printf(o->mem, "the template %s: %s", m->templates.v[i].name, why);
		outset_add(o, arena_printf(o->mem, "template-%s.svg", m->templates.v[i].name), out.v, out.n);
	}
	return add_sheets(o, m);
}
