/* Drawings of the made parts, and their drilling tables: positions from the datum, rows that are alike told once. */
#include <math.h>

#include "runtime/base/text.h"
#include "runtime/engine/feature.h"
#include "runtime/write/book_build.h"
#include "runtime/write/part_page.h"

/* ---- drilling table -------------------------------------------------------------------------------------- */

typedef struct row_of_holes { /* holes at one height: where they lie and their numbers */
	const char *up, *right;
	textbuf numbers, heights;
} row_of_holes;
typedef LIST(row_of_holes) hole_rows;

static bool same_work(const model *m, const feature_row *a, const feature_row *c) {
	const model_feature *f = &m->features.v[a->feature], *g = &m->features.v[c->feature];
	return f->kind == g->kind && f->pattern == g->pattern && f->through == g->through &&
	       rat_eq(f->depth, g->depth) && f->shape.kind == g->shape.kind && rat_eq(f->shape.a, g->shape.a) &&
	       (f->shape.kind == SHAPE_ROUND || (rat_eq(f->shape.b, g->shape.b) && f->shape.along == g->shape.along)) &&
	       (rat_eq(f->sink, g->sink) || (!rat_ok(f->sink) && !rat_ok(g->sink)));
}

static const char *work_words(book *b, const feature_row *r, size_t n) {
	const model *m = b->m;
	const model_feature *f = &m->features.v[r->feature];
	textbuf t = textbuf_begin(b->mem);
	static const char *const KIND[FEATURE_KINDS] = {"opening", "pilot hole", "clearance hole", "dado", "rabbet"};
	textbuf_printf(&t, "%zu %s%s, %s", n, KIND[f->kind], n == 1 ? "" : "s", book_shape(b, &f->shape));
	if (f->through)
		textbuf_add(&t, ", through");
	else
		textbuf_printf(&t, ", %s deep", book_length(b, f->depth));
	if (rat_ok(f->sink) && rat_sign(f->sink) > 0) textbuf_printf(&t, ", countersunk ⌀ %s", book_length(b, f->sink));
	const char *origin = f->pattern < m->patterns.n ? m->patterns.v[f->pattern].name : "";
	if (origin[0]) textbuf_printf(&t, " (%s)", origin);
	return t.v;
}

/* Numbers in rising order, runs as "4–9". */
typedef struct number_run {
	textbuf words;
	unsigned first, last;
} number_run;

static void run_flush(number_run *r) {
	if (!r->first) return;
	textbuf_printf(&r->words, "%s%u", r->words.n ? ", " : "", r->first);
	if (r->last > r->first) textbuf_printf(&r->words, "%s%u", r->last == r->first + 1 ? ", " : "–", r->last);
}

static void run_add(number_run *r, unsigned number) {
	if (r->first && number == r->last + 1) {
		r->last = number;
		return;
	}
	run_flush(r);
	r->first = r->last = number;
}

static void add_hole_row(book *b, hole_rows *rows, const char *up, const char *right, const char *numbers) {
	for (size_t i = 0; i < rows->n; i++)
		if (text_same(rows->v[i].right, right)) {
			textbuf_printf(&rows->v[i].heights, "; %s", up);
			textbuf_printf(&rows->v[i].numbers, ", %s", numbers);
			return;
		}
	row_of_holes *r = LIST_ADD(b->mem, rows);
	r->right = right;
	r->heights = textbuf_begin(b->mem), r->numbers = textbuf_begin(b->mem);
	textbuf_add(&r->heights, up), textbuf_add(&r->numbers, numbers);
}

/* Rows `from` and all later ones of the same work; marks them done. */
static void one_work(book *b, const feature_face *f, size_t from, bool *done, book_cells *c) {
	hole_rows rows = {0};
	size_t n = 0;
	for (size_t i = from; i < f->rows.n; i++) n += same_work(b->m, &f->rows.v[from], &f->rows.v[i]);
	for (size_t i = from; i < f->rows.n; i++) {
		const feature_row *r = &f->rows.v[i];
		if (done[i] || !same_work(b->m, &f->rows.v[from], r)) continue;
		textbuf right = textbuf_begin(b->mem);
		number_run run = {.words = textbuf_begin(b->mem)};
		for (size_t k = i; k < f->rows.n; k++) {
			const feature_row *q = &f->rows.v[k];
			if (done[k] || !same_work(b->m, r, q) || !rat_eq(q->at.v, r->at.v)) continue;
			done[k] = true;
			run_add(&run, q->number);
			textbuf_printf(&right, "%s%s", right.n ? "; " : "", book_bare(b, q->at.u));
		}
		run_flush(&run);
		add_hole_row(b, &rows, book_bare(b, r->at.v), right.v, run.words.v);
	}
	book_group_row(b, c,
		       arena_printf(b->mem, "%s face: %s", book_title_case(b, FACE_NAME[f->face]),
				    work_words(b, &f->rows.v[from], n)));
	for (size_t i = 0; i < rows.n; i++) book_row(b, c, rows.v[i].heights.v, rows.v[i].right, rows.v[i].numbers.v);
}

static const sheetform_column DRILLING[] = {
	{"Up from the datum", -4, ALIGN_LEFT}, {"Right of the datum", -7, ALIGN_LEFT}, {"Numbers", -2, ALIGN_LEFT}};

static book_cells drilling_cells(book *b, const feature_sheet *sheet) {
	book_cells c = {.columns = 3};
	for (size_t i = 0; i < sheet->faces.n; i++) {
		const feature_face *f = &sheet->faces.v[i];
		bool *done = ARENA_MANY(b->mem, bool, f->rows.n + 1);
		for (size_t k = 0; k < f->rows.n; k++)
			if (!done[k]) one_work(b, f, k, done, &c);
	}
	return c;
}

/* ---- drawings ---------------------------------------------------------------------------------------------- */

static const char *pieces(book *b, const book_item *x) {
	return arena_printf(b->mem, "%zu %s", x->parts.n, x->parts.n == 1 ? "piece" : "pieces");
}

static void part_head(book *b, const book_item *x) {
	const model *m = b->m;
	const model_part *p = &m->parts.v[x->first];
	const double r = 4.2;
	display_anchor_at(b->page, book_part_anchor(b, x), b->area.x0, b->y);
	display_bookmark_at(b->page, 2, arena_printf(b->mem, "%u  %s", x->number, book_item_name(b, x)), b->y);
	display_circle(b->page, PEN_EDGE, FILL_WHITE, b->area.x0 + r, b->y + r, r);
	display_text_style(b->page, b->area.x0 + r, b->y + r + 1.3,
			   &(display_style){.cap = 2.6, .font = FONT_BOLD, .align = ALIGN_CENTRE},
			   arena_printf(b->mem, "%u", x->number));
	display_bold(b->page, b->area.x0 + 12, b->y + r + 1.75, CAP_TITLE, ALIGN_LEFT, book_item_name(b, x));
	display_text(b->page, b->area.x1, b->y + r + 1.3, CAP_BODY, ALIGN_RIGHT, pieces(b, x));
	b->y += 2 * r + 3;
	textbuf t = textbuf_begin(b->mem);
	textbuf_printf(&t, "%s of %s", book_part_size(b, p, true), book_stock_label(b, p->stock));
	if (p->grain_matters) textbuf_printf(&t, ", grain along the %s", AXIS_SPOKEN[p->grain_axis]);
	textbuf_printf(&t, ". %s each.", book_si(b, DIM_MASS, p->mass_kg));
	if (x->mirror_of) textbuf_printf(&t, " Mirror image of part %u.", x->mirror_of);
	frame at = frame_of(p->blank, p->work_face);
	textbuf_printf(&t, " Datum: %s.", frame_datum_words(&at));
	const display_style style = {.cap = 2.2};
	b->y = display_paragraph(b->page, b->area.x0, b->y, book_width(b), &style, t.v) + 2;
}

/* The head of a part, and the caption over each face, mm. */
enum { HEAD_HIGH = 20, CAPTION_HIGH = 6 };

typedef struct arrangement { /* of the faces of one part on the page */
	face faces[6];
	size_t n;
	bool beside;		       /* two faces beside each other, else one under another */
	double high[6];		       /* of each */
	double all;		       /* head, drawings and table */
	double about_wide, about_high; /* what the faces need about their outlines for figures and legend, at most */
} arrangement;

static double usual(double scale) {
	const char *name;
	return display_usual_scale(scale, &name);
}

static bool has_work(const feature_sheet *sheet, face f) {
	for (size_t i = 0; i < sheet->faces.n; i++)
		if (sheet->faces.v[i].face == f) return sheet->faces.v[i].rows.n > 0;
	return false;
}

/* Broad faces with work on them are drawn, the work face when there is none; what is in the edges of a sheet is told
 * by the table. */
static size_t drawn_faces(const book *b, model_ref part, const feature_sheet *sheet, face out[6]) {
	const model_part *p = &b->m->parts.v[part];
	face all[6];
	size_t n = part_page_faces(b->mem, b->m, part, all), kept = 0;
	bool bar = b->m->stocks.v[p->stock].kind == STOCK_BAR;
	for (size_t i = 0; i < n; i++) {
		bool broad = face_axis(all[i]) == p->thick_axis || (bar && face_axis(all[i]) != p->long_axis);
		if (broad && has_work(sheet, all[i])) out[kept++] = all[i];
	}
	if (!kept) out[kept++] = p->work_face;
	return kept;
}

static void measure_about(const book *b, model_ref part, arrangement *out) {
	for (size_t i = 0; i < out->n; i++) {
		double wide, high;
		part_page_about(b->mem, b->m, part, out->faces[i], &wide, &high);
		out->about_wide = fmax(out->about_wide, wide);
		out->about_high = fmax(out->about_high, high + CAPTION_HIGH);
	}
}

/* The scale that the faces get in that height, and whether beside each other. */
static double arranged_scale(const book *b, arrangement *out, double w, double h, double high) {
	double wide = book_width(b),
	       under = usual(fmin((wide - out->about_wide) / w, (high / (double)out->n - out->about_high) / h));
	out->beside = false;
	if (high / (double)out->n <= out->about_high) under = 0;
	if (out->n != 2 || high <= out->about_high) return under;
	double beside = usual(fmin((wide / 2 - 4 - out->about_wide) / w, (high - out->about_high) / h));
	out->beside = beside >= under;
	return fmax(beside, under);
}

static void arrange(const book *b, model_ref part, double room, double table, arrangement *out) {
	const model_part *p = &b->m->parts.v[part];
	frame at = frame_of(p->blank, out->faces[0]);
	double w = rat_double(at.width), h = rat_double(at.height);
	double scale = arranged_scale(b, out, w, h, room - HEAD_HIGH - table);
	/* The table goes over to the next page when the drawing gains much by it. */
	double alone = arranged_scale(b, out, w, h, room - HEAD_HIGH);
	if (alone < scale * 1.9)
		scale = arranged_scale(b, out, w, h, room - HEAD_HIGH - table);
	else
		scale = alone;
	out->all = HEAD_HIGH + table;
	for (size_t i = 0; i < out->n; i++) {
		frame f = frame_of(p->blank, out->faces[i]);
		out->high[i] = rat_double(f.height) * scale + out->about_high;
		if (i == 0 || !out->beside) out->all += out->high[i];
	}
}

/* Returns the y below what was drawn. */
static double draw_face(book *b, const book_item *x, face f, display_box box) {
	double wide = box.x1 - box.x0;
	display *d = display_begin(b->mem, wide, box.y1 - box.y0);
	part_page_drawing made = part_page_draw(d, display_box_of(0, 5, wide, box.y1 - box.y0 - 5), b->m, x->first, f);
	display_text_style(d, 0, 3, &(display_style){.cap = CAP_SMALL, .font = FONT_BOLD},
			   arena_printf(b->mem, "%s face, %s", book_title_case(b, FACE_NAME[f]),
					made.scale_name ? made.scale_name : ""));
	display_box ink = display_bounds(d);
	display_place(b->page, d, box.x0, box.y0, 1);
	return box.y0 + (ink.y1 > 0 ? ink.y1 : 0) + 5;
}

/* Head, drawings and table on one page when that can be. */
static void drawing(book *b, const book_item *x) {
	feature_sheet sheet = feature_of_part(b->mem, b->m, x->first);
	book_cells cells = drilling_cells(b, &sheet);
	double table = book_cells_height(b, DRILLING, 3, &cells) + BOOK_GAP, page = b->area.y1 - b->area.y0;
	arrangement at = {.n = 0};
	at.n = drawn_faces(b, x->first, &sheet, at.faces);
	measure_about(b, x->first, &at);
	arrange(b, x->first, page, table, &at);
	double gap = b->y > b->area.y0 + 1 ? 6 : 0;
	if (gap > 0 && gap + at.all > book_left(b)) {
		if (book_left(b) > page * 0.8)
			arrange(b, x->first, book_left(b) - gap, table, &at);
		else
			book_page(b), gap = 0;
	}
	b->y += gap;
	part_head(b, x);
	double wide = book_width(b), each = at.beside ? wide / 2 - 4 : wide, below = b->y;
	for (size_t i = 0; i < at.n; i++) {
		if (i && !at.beside) {
			b->y = below;
			book_need(b, at.high[i]);
		}
		double left = b->area.x0 + (at.beside && i ? wide / 2 + 4 : 0);
		double end = draw_face(b, x, at.faces[i], display_box_of(left, b->y, each, at.high[i]));
		below = i && at.beside ? fmax(below, end) : end;
	}
	b->y = below;
	book_cells_draw(b, DRILLING, 3, &cells, false, false);
}

/* Parts with nothing but their outline: two beside each other. */
static void plain_parts(book *b) {
	const model *m = b->m;
	const double gap = 8, high = 62;
	double w = (book_width(b) - gap) / 2;
	size_t side = 0;
	bool head = false;
	for (size_t i = 0; i < b->items.n; i++) {
		const book_item *x = &b->items.v[i];
		if (!x->made || feature_of_part(b->mem, m, x->first).n) continue;
		const model_part *p = &m->parts.v[x->first];
		if (!head) book_need(b, high + 40), book_heading(b, "Parts that are only sawn"), head = true;
		if (side == 0) book_need(b, high + 14);
		double left = b->area.x0 + (side ? w + gap : 0);
		display_anchor_at(b->page, book_part_anchor(b, x), left, b->y);
		display_bookmark_at(b->page, 2, arena_printf(b->mem, "%u  %s", x->number, book_item_name(b, x)), b->y);
		display_circle(b->page, PEN_EDGE, FILL_WHITE, left + 3.4, b->y + 3.4, 3.4);
		display_textf(b->page, left + 3.4, b->y + 4.5, 2.2, ALIGN_CENTRE, "%u", x->number);
		display_bold(b->page, left + 9, b->y + 3, 2.4, ALIGN_LEFT,
			     display_fit(b->mem, FONT_BOLD, 2.4, w - 26, book_item_name(b, x)));
		display_text(b->page, left + w, b->y + 3, 2.0, ALIGN_RIGHT, pieces(b, x));
		display_text_style(b->page, left + 9, b->y + 7, &(display_style){.cap = CAP_SMALL, .grey = 0.25},
				   display_fit(b->mem, FONT_REGULAR, CAP_SMALL, w - 9,
					       arena_printf(b->mem, "%s, %s", book_part_size(b, p, true),
							    book_stock_label(b, p->stock))));
		part_page_draw(b->page, display_box_of(left, b->y + 9, w, high - 2), m, x->first, p->work_face);
		side ^= 1;
		if (side == 0) b->y += high + 14;
	}
	if (side) b->y += high + 14;
}

void book_drawings(book *b) {
	const model *m = b->m;
	size_t made = 0;
	for (size_t i = 0; i < b->items.n; i++) made += b->items.v[i].made;
	if (!made) return;
	book_chapter(b, "Drawings of the parts", "drawings");
	book_paragraph(
		b,
		arena_printf(b->mem,
			     "Every face is drawn as you look at it, its datum at the lower left corner. Figures are "
			     "distances from the datum in %s. Parts that are alike are drawn once.",
			     m->measures == MEASURES_INCH ? "inches" : "millimetres"));
	b->y += 3;
	plain_parts(b);
	for (size_t i = 0; i < b->items.n; i++)
		if (b->items.v[i].made && feature_of_part(b->mem, m, b->items.v[i].first).n) drawing(b, &b->items.v[i]);
}
