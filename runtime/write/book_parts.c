/* The parts: list, picture with balloons, layouts of sheets and bars, templates. */
#include <math.h>

#include "runtime/base/text.h"
#include "runtime/write/book_build.h"
#include "runtime/write/hole_words.h"
#include "runtime/write/template_write.h"

static const char *grain_words(const model_part *p) {
	if (!p->grain_matters) return "any";
	if (p->kind == PART_EXTRA) return p->grain_axis == p->long_axis ? "its length" : "its width";
	return AXIS_SPOKEN[p->grain_axis];
}

/* The step that takes an extra piece in hand when it is cut. */
static model_ref step_of_extra(const model *m, model_ref part) {
	for (model_ref i = 0; i < m->order.steps.n; i++)
		for (size_t k = 0; k < m->order.steps.v[i].ops.n; k++) {
			const model_op *o = &m->order.ops.v[m->order.steps.v[i].ops.v[k]];
			for (size_t q = 0; o->kind != OP_CUT && q < o->parts.n; q++)
				if (o->parts.v[q] == part) return i;
		}
	return MODEL_NONE;
}

static model_ref step_of_part(const model *m, model_ref part) {
	if (m->parts.v[part].kind == PART_EXTRA) return step_of_extra(m, part);
	for (model_ref i = 0; i < m->order.steps.n; i++)
		for (size_t k = 0; k < m->order.steps.v[i].new_parts.n; k++)
			if (m->order.steps.v[i].new_parts.v[k] == part) return i;
	return MODEL_NONE;
}

static const char *step_word(book *b, model_ref step) {
	return step == MODEL_NONE ? "" : arena_printf(b->mem, "%u", step + 1);
}

static const char *count_word(book *b, const book_item *i) { return arena_printf(b->mem, "%zu", i->parts.n); }

/* Draws the table and lays links over its rows: the drawing on the left, the step on the right of `split`. */
static void linked_table(book *b, const sheetform_table *t, const char *const *left, const char *const *right,
			 double split) {
	size_t row = 0;
	const double *high = sheetform_table_rows(b->mem, book_width(b), t);
	while (row < t->n_rows) {
		size_t from = row;
		double top = b->y;
		b->y = sheetform_table_draw(b->page, b->area, b->y, t, &row);
		double y = b->y;
		for (size_t i = row; i-- > from;) {
			double h = high[i];
			y -= h;
			if (y < top) break;
			book_link(b, display_box_of(b->area.x0, y, split - b->area.x0, h), left[i]);
			book_link(b, display_box_of(split, y, b->area.x1 - split, h), right[i]);
		}
		if (row < t->n_rows) book_page(b);
	}
	b->y += BOOK_GAP;
}

static void parts_list(book *b) {
	static const sheetform_column COLUMNS[] = {
		{"No.", 9, ALIGN_RIGHT},	{"Part", 0, ALIGN_LEFT},   {"Pcs", 9, ALIGN_RIGHT},
		{"Size as cut", 0, ALIGN_LEFT}, {"Of", -1, ALIGN_LEFT},	   {"Grain", 0, ALIGN_LEFT},
		{"Each", 0, ALIGN_RIGHT},	{"Page", 11, ALIGN_RIGHT}, {"Step", 11, ALIGN_RIGHT}};
	const model *m = b->m;
	book_cells c = {.columns = 9};
	LIST(const char *) drawing = {0};
	LIST(const char *) step = {0};
	for (size_t i = 0; i < b->items.n; i++) {
		const book_item *x = &b->items.v[i];
		const model_part *p = &m->parts.v[x->first];
		model_ref in = step_of_part(m, x->first);
		const char *name = book_item_name(b, x);
		if (p->kind == PART_EXTRA) name = arena_printf(b->mem, "%s (extra)", name);
		if (x->mirror_of) name = arena_printf(b->mem, "%s (mirror of %u)", name, x->mirror_of);
		book_row(b, &c, arena_printf(b->mem, "%u", x->number), name, count_word(b, x),
			 book_part_size(b, p, false), book_title_case(b, book_stock_label(b, p->stock)),
			 x->made ? grain_words(p) : "", book_si(b, DIM_MASS, p->mass_kg),
			 x->made ? book_page_word(b, book_part_anchor(b, x)) : "", step_word(b, in));
		LIST_PUSH(b->mem, &drawing, x->made ? book_part_anchor(b, x) : "");
		LIST_PUSH(b->mem, &step, in == MODEL_NONE ? "" : arena_printf(b->mem, "step:%u", in + 1));
	}
	if (!c.v.n) return;
	sheetform_table t = {.column = COLUMNS, .n_columns = 9, .cell = c.v.v, .n_rows = c.v.n / 9, .cap = BOOK_TABLE};
	linked_table(b, &t, drawing.v, step.v, b->area.x1 - 10);
}

/* Panels move out along their thickness, the rest along the axis on which it lies farthest out. */
static void explode(const model *m, const model_part *p, double out[3]) {
	int along = -1;
	double far = 0, off[3];
	for (int a = 0; a < 3; a++) {
		double half = rat_double(box_size(m->bounds, (axis)a)) / 2;
		double mid = rat_double(rat_add(m->bounds.lo[a], m->bounds.hi[a])) / 2;
		off[a] = half > 0 ? (rat_double(rat_add(p->box.lo[a], p->box.hi[a])) / 2 - mid) / half : 0;
		if (fabs(off[a]) > far) far = fabs(off[a]), along = a;
	}
	if (p->kind == PART_PANEL || p->kind == PART_DOOR) along = (int)p->thick_axis;
	for (int a = 0; a < 3; a++) out[a] = a == along ? off[a] * 0.6 * rat_double(box_size(m->bounds, (axis)a)) : 0;
}

static void balloons(book *b, view_scene *scene) {
	bool *said = ARENA_MANY(b->mem, bool, b->items.n + 1);
	for (size_t i = 0; i < scene->n; i++) {
		const book_item *x = book_item_of(b, scene->part[i].owner);
		if (!x || said[x->number - 1]) continue;
		said[x->number - 1] = true;
		scene->part[i].balloon = arena_printf(b->mem, "%u", x->number);
	}
}

static void parts_picture(book *b) {
	const model *m = b->m;
	double(*offset)[3] = arena_alloc(b->mem, sizeof *offset * (m->parts.n + 1));
	for (size_t i = 0; i < m->parts.n; i++) explode(m, &m->parts.v[i], offset[i]);
	view_scene scene = view_from_model(b->mem, m, NULL, (const double(*)[3])offset, false);
	if (!scene.n) return;
	balloons(b, &scene);
	view_options options = {.corner = VIEW_FRONT_RIGHT_TOP, .measures = m->measures};
	/* Below the list when the picture stands there nearly as large as on a page of its own. */
	const double head = 16, foot = 8, gap = 4;
	double page = b->area.y1 - b->area.y0 - head - foot - gap,
	       wants = fmin(view_height(&scene, &options, book_width(b)), page);
	if (book_left(b) - head - foot - gap < 0.85 * wants) book_page(b);
	book_heading(b, "Where the parts go");
	double high = fmin(wants, b->area.y1 - b->y - foot - gap);
	if (b->total) view_draw(b->page, display_box_of(b->area.x0, b->y + gap, book_width(b), high), &scene, &options);
	b->y += gap + high + 3;
	book_small(b, arena_printf(b->mem,
				   "Drawn apart, %s. Numbers as in the parts list; of parts that are alike one is "
				   "numbered.",
				   VIEW_CORNER_WORDS[VIEW_FRONT_RIGHT_TOP]));
}

void book_parts(book *b) {
	book_chapter(b, "Parts", "parts");
	book_paragraph(b, "Size as cut: along the grain × across × thickness. Grain: the way it runs in the finished "
			  "piece. “Page” leads to the drawing, “Step” to where the "
			  "part goes in.");
	if (b->m->n_extra)
		book_paragraph(b, "Extra pieces are cut with the parts and are no part of the cabinet; “Step” leads to "
				  "where one is used.");
	b->y += 2;
	parts_list(b);
	parts_picture(b);
}

/* ---- templates ---------------------------------------------------------------------------------------- */

static void template_rows(book *b) {
	static const sheetform_column COLUMNS[] = {{"Template", -3, ALIGN_LEFT},
						   {"For", -4, ALIGN_LEFT},
						   {"Cutter", 20, ALIGN_RIGHT},
						   {"Guide bush", 22, ALIGN_RIGHT},
						   {"Opening in the template", -4, ALIGN_LEFT},
						   {"Test cut reads: the finished opening", -4, ALIGN_LEFT},
						   {"and may measure", -4, ALIGN_LEFT}};
	const model *m = b->m;
	book_cells c = {.columns = 7};
	for (size_t i = 0; i < m->templates.n; i++) {
		const model_template *t = &m->templates.v[i];
		const model_tool *tool = t->tool < m->tools.n ? &m->tools.v[t->tool] : NULL;
		const char *limits = hole_limits_words(b->mem, m, t->least, t->most, &t->shape);
		book_row(b, &c, book_title_case(b, t->name), template_serves_words(b->mem, m, t),
			 tool ? book_length(b, model_tool_cuts(tool)) : "–", tool ? book_length(b, tool->bush.mm) : "–",
			 book_shape(b, &t->opening), book_shape(b, &t->shape), limits ? limits : "–");
	}
	book_cells_draw(b, COLUMNS, 7, &c, false, false);
}

/* The piece for the test cut, how deep the passes go, and what to change when it reads wrong. */
static void template_trial(book *b) {
	static const sheetform_column COLUMNS[] = {{"Template", -3, ALIGN_LEFT},
						   {"Waste for the test cut", -3, ALIGN_LEFT},
						   {"Passes, below the face", -5, ALIGN_LEFT},
						   {"Opening less bush plus cutter", -5, ALIGN_LEFT},
						   {"Offset may be", -3, ALIGN_LEFT}};
	const model *m = b->m;
	book_cells c = {.columns = 5};
	for (size_t i = 0; i < m->templates.n; i++) {
		const model_template *t = &m->templates.v[i];
		textbuf passes = textbuf_begin(b->mem);
		for (size_t k = 0; k < t->uses.n; k++) {
			const char *own = hole_passes_words(b->mem, m, &t->uses.v[k]);
			if (k && text_same(own, hole_passes_words(b->mem, m, &t->uses.v[k - 1]))) continue;
			textbuf_printf(&passes, "%s%s", k ? "; " : "", own);
		}
		book_row(b, &c, book_title_case(b, t->name),
			 arena_printf(b->mem, "%s × %s", book_bare(b, t->waste[0]), book_length(b, t->waste[1])),
			 passes.v, template_sum_words(b->mem, m, t), template_offsets_words(b->mem, m, t));
	}
	book_cells_draw(b, COLUMNS, 5, &c, false, false);
}

/* What each is set by, sheet after sheet, and what its fixing holes meet there. */
static void template_setting(book *b) {
	static const sheetform_column COLUMNS[] = {{"Set the template by", -4, ALIGN_LEFT},
						   {"Block from the left edge", -4, ALIGN_LEFT},
						   {"Block from the lower edge", -4, ALIGN_LEFT},
						   {"Against the first sheet", -4, ALIGN_LEFT}};
	const model *m = b->m;
	book_cells c = {.columns = 4};
	for (size_t i = 0; i < m->templates.n; i++) {
		const model_template *t = &m->templates.v[i];
		template_cells cells = {0};
		book_group_row(b, &c,
			       arena_printf(b->mem, "%s, %s × %s", book_title_case(b, t->name),
					    book_length(b, t->size[0]), book_length(b, t->size[1])));
		template_set_cells(b->mem, m, t, &cells);
		for (size_t k = 0; k < cells.n; k++) LIST_PUSH(b->mem, &c.v, cells.v[k]);
	}
	book_cells_draw(b, COLUMNS, 4, &c, false, false);
	book_small(
		b,
		"Edges as you see them on the face named. A block or strip of that width lies between the sheet's edge "
		"and the template's; “over the edge”: the template stands out so far, and a strip under it, that far "
		"in "
		"from its own edge, stops at the sheet's. A spacer of the width named goes in for each next place.");
	for (size_t i = 0; i < m->templates.n; i++)
		for (size_t k = 0; k < m->templates.v[i].uses.n; k++)
			book_small(b, arena_printf(b->mem, "Fixing holes of %s, %s", m->templates.v[i].name,
						   template_held_words(b->mem, m, &m->templates.v[i], k)));
}

void book_templates(book *b) {
	if (!b->m->templates.n) return;
	book_chapter_if_room(b, "Templates", "templates", 90);
	book_paragraph(
		b, "The bush runs along the template's edge, the cutter stands inside the bush: the template's opening "
		   "is larger than the hole by bush less cutter.");
	b->y += 1;
	template_rows(b);
	template_trial(b);
	template_setting(b);
	book_item_line(
		b, 1,
		"Make the template of thin, hard sheet, mark its centre lines right across and drill its fixing holes; "
		"they lie where the router's base does not run.");
	book_item_line(b, 2,
		       "Cut one opening in a piece of waste as thick as the part and no smaller than told, so that the "
		       "base stands on wood all the way. Measure it both ways: it must lie within the last column. "
		       "Too small: widen the template's opening by what is missing, or take a bush that is thinner, "
		       "or a cutter that is thicker, by as much. Too large: a thicker bush or a thinner cutter, or "
		       "line the template's edge with tape; each layer takes twice its thickness off.");
	book_item_line(
		b, 3,
		"Lay the sheet on a board that may be cut, set the template by its blocks and screw it down through "
		"its holes, into waste or the board, or clamp it. Inside a template, guide a "
		"hand-held router clockwise.");
	book_small(b, "They are drawn at full size: whole in template-*.svg, on sheets of paper to be laid together in "
		      "templates.pdf. Print without scaling, and measure the bar before you use one.");
}
