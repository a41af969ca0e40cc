/* Drawings of the made parts, and their drilling tables: positions from the datum, rows that are alike told once. */
#include <math.h>

#include "runtime/base/text.h"
#include "runtime/engine/feature.h"
#include "runtime/engine/joint.h"
#include "runtime/write/book_build.h"
#include "runtime/write/hole_words.h"
#include "runtime/write/part_page.h"
#include "runtime/write/part_tolerance.h"

/* ---- drilling table -------------------------------------------------------------------------------------- */

typedef struct number_run { /* numbers in their order, runs as "4–9" */
	textbuf words;
	unsigned first, last;
} number_run;

typedef struct row_of_holes { /* holes at one height: where they lie and their numbers */
	const char *right;
	textbuf heights;
	number_run numbers;
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
	textbuf_printf(&t, "%zu %s%s, %s", n, feature_word(m, f),
		       n == 1			  ? ""
		       : f->kind == FEATURE_NOTCH ? "es"
						  : "s",
		       book_shape(b, &f->shape));
	if (f->through)
		textbuf_add(&t, ", through");
	else
		textbuf_printf(&t, ", %s deep", book_length(b, f->depth));
	if (rat_ok(f->sink) && rat_sign(f->sink) > 0) textbuf_printf(&t, ", countersunk ⌀ %s", book_length(b, f->sink));
	bool takes_sheet = f->kind == FEATURE_GROOVE || f->kind == FEATURE_RABBET;
	if (takes_sheet && f->joint < m->joints.n && joint_from_the_work(m, &m->joints.v[f->joint]))
		textbuf_add(&t, "; width from the work: measure");
	const char *origin = f->pattern < m->patterns.n ? m->patterns.v[f->pattern].name : "";
	if (origin[0]) textbuf_printf(&t, " (%s)", origin);
	return t.v;
}

static const char *where(const book *b, rat mm) { return part_page_place(b->mem, mm, b->m->measures, NULL); }

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

/* The row of those places; heights that have the same share it, so that their numbers run on. */
static row_of_holes *hole_row(book *b, hole_rows *rows, const char *up, const char *right) {
	for (size_t i = 0; i < rows->n; i++) {
		if (!text_same(rows->v[i].right, right)) continue;
		textbuf_printf(&rows->v[i].heights, "; %s", up);
		return &rows->v[i];
	}
	row_of_holes *r = LIST_ADD(b->mem, rows);
	r->right = right;
	r->heights = textbuf_begin(b->mem), r->numbers.words = textbuf_begin(b->mem);
	textbuf_add(&r->heights, up);
	return r;
}

/* Rows `from` and all later ones of the same work; marks them done. */
static void one_work(book *b, const feature_face *f, bool f_drawn, size_t from, bool *done, book_cells *c) {
	hole_rows rows = {0};
	size_t n = 0;
	for (size_t i = from; i < f->rows.n; i++) n += same_work(b->m, &f->rows.v[from], &f->rows.v[i]);
	for (size_t i = from; i < f->rows.n; i++) {
		const feature_row *r = &f->rows.v[i];
		if (done[i] || !same_work(b->m, &f->rows.v[from], r)) continue;
		textbuf right = textbuf_begin(b->mem);
		LIST(unsigned) numbers = {0};
		for (size_t k = i; k < f->rows.n; k++) {
			const feature_row *q = &f->rows.v[k];
			if (done[k] || !same_work(b->m, r, q) || !rat_eq(q->at.v, r->at.v)) continue;
			done[k] = true;
			LIST_PUSH(b->mem, &numbers, q->number);
			textbuf_printf(&right, "%s%s", right.n ? "; " : "", where(b, q->at.u));
		}
		row_of_holes *row = hole_row(b, &rows, where(b, r->at.v), right.v);
		for (size_t k = 0; k < numbers.n; k++) run_add(&row->numbers, numbers.v[k]);
	}
	const char *head = arena_printf(b->mem, "%s face: %s", book_title_case(b, FACE_NAME[f->face]),
					work_words(b, &f->rows.v[from], n));
	/* A face that is not drawn has its datum told here. */
	if (!f_drawn) {
		const char *longer = arena_printf(b->mem, "%s. Datum: %s", head, frame_datum_words(&f->frame));
		if (display_text_width(FONT_BOLD, BOOK_TABLE, longer) > book_width(b) - 3)
			longer = arena_printf(b->mem, "%s. Datum: lower left as you look at it", head);
		head = longer;
	}
	book_group_row(b, c, head);
	for (size_t i = 0; i < rows.n; i++) {
		run_flush(&rows.v[i].numbers);
		book_row(b, c, rows.v[i].heights.v, rows.v[i].right, rows.v[i].numbers.words.v);
	}
}

static const sheetform_column DRILLING[] = {
	{"Up from the datum", -4, ALIGN_LEFT}, {"Right of the datum", -7, ALIGN_LEFT}, {"Numbers", -2, ALIGN_LEFT}};

static book_cells drilling_cells(book *b, const feature_sheet *sheet, const face *drawn, size_t n_drawn) {
	book_cells c = {.columns = 3};
	for (size_t i = 0; i < sheet->faces.n; i++) {
		const feature_face *f = &sheet->faces.v[i];
		bool *done = ARENA_MANY(b->mem, bool, f->rows.n + 1), f_drawn = false;
		for (size_t k = 0; k < n_drawn; k++) f_drawn = f_drawn || drawn[k] == f->face;
		for (size_t k = 0; k < f->rows.n; k++)
			if (!done[k]) one_work(b, f, f_drawn, k, done, &c);
	}
	return c;
}

/* ---- drawings ---------------------------------------------------------------------------------------------- */

static const char *pieces(book *b, const book_item *x) {
	return arena_printf(b->mem, "%zu %s", x->parts.n, x->parts.n == 1 ? "piece" : "pieces");
}

/* What else than a router would cut these holes: those have their template. */
static const char *bored_words(const book *b, size_t pattern, const model_sheet_of_pattern *s) {
	for (size_t i = 0; i < s->options.n; i++)
		if (s->options.v[i].chosen && b->m->tools.v[s->options.v[i].tool].kind != TOOL_ROUTER)
			return hole_options_words(b->mem, b->m, &b->m->patterns.v[pattern], s);
	return NULL;
}

static const char *head_words(book *b, const book_item *x, bool rounded) {
	const model *m = b->m;
	const model_part *p = &m->parts.v[x->first];
	textbuf t = textbuf_begin(b->mem);
	textbuf_printf(&t, "%s of %s%s", book_part_size(b, p, true), book_stock_label(b, p->stock),
		       part_tolerance_outline(b->mem, m, p));
	if (p->grain_matters) textbuf_printf(&t, ", grain along the %s", AXIS_SPOKEN[p->grain_axis]);
	textbuf_printf(&t, ". %s each.", book_si(b, DIM_MASS, p->mass_kg));
	for (size_t i = 0; i < m->patterns.n; i++) {
		const model_sheet_of_pattern *s = model_pattern_sheet(&m->patterns.v[i], x->first);
		const char *tools = s ? bored_words(b, i, s) : NULL;
		if (tools) textbuf_printf(&t, " %s", book_title_case(b, tools));
	}
	if (x->mirror_of) textbuf_printf(&t, " Mirror image of part %u.", x->mirror_of);
	if (rounded)
		textbuf_add(&t, m->measures == MEASURES_INCH
					? " Places with ~ are rounded to 1/64 in; drill.csv has them exact."
					: " Places are rounded to 0.1 mm; drill.csv has them exact.");
	return t.v;
}

static const display_style HEAD_STYLE = {.cap = 2.2};
static const double HEAD_RADIUS = 4.2;

static double head_height(book *b, const char *words) {
	return 2 * HEAD_RADIUS + 3 + display_paragraph_height(b->mem, book_width(b), &HEAD_STYLE, words) + 2;
}

static void part_head(book *b, const book_item *x, const char *words) {
	const double r = HEAD_RADIUS;
	display_anchor_at(b->page, book_part_anchor(b, x), b->area.x0, b->y);
	display_bookmark_at(b->page, 2, arena_printf(b->mem, "%u  %s", x->number, book_item_name(b, x)), b->y);
	display_circle(b->page, PEN_EDGE, FILL_WHITE, b->area.x0 + r, b->y + r, r);
	display_text_style(b->page, b->area.x0 + r, b->y + r + 1.3,
			   &(display_style){.cap = 2.6, .font = FONT_BOLD, .align = ALIGN_CENTRE},
			   arena_printf(b->mem, "%u", x->number));
	double room = book_width(b) - 12 - 4 - display_text_width(FONT_REGULAR, CAP_BODY, pieces(b, x));
	display_bold(b->page, b->area.x0 + 12, b->y + r + 1.75, CAP_TITLE, ALIGN_LEFT,
		     display_fit(b->mem, FONT_BOLD, CAP_TITLE, room, book_item_name(b, x)));
	display_text(b->page, b->area.x1, b->y + r + 1.3, CAP_BODY, ALIGN_RIGHT, pieces(b, x));
	display_paragraph(b->page, b->area.x0, b->y + 2 * r + 3, book_width(b), &HEAD_STYLE, words);
	b->y += head_height(b, words);
}

/* The head of a part, and the caption over each face, mm. */
enum { BETWEEN = 2, HEAD_HIGH = 20, CAPTION_HIGH = 6, CAPTION_MORE = 7 };

typedef struct arrangement { /* of the faces of one part on the page */
	face faces[6];
	size_t n;
	bool beside;	/* two faces beside each other, else one under another */
	double high[6]; /* of each */
	double scale;
	bool large; /* the figures are of full size */
	display *drawn[6];
	double all;		       /* head, drawings and table */
	double about_wide, about_high; /* what the faces need about their outlines for figures and legend, at most */
} arrangement;

typedef struct face_drawing { /* as it was drawn at that scale and width */
	face f;
	double wide, scale;
	bool large;
	display *d;
	double high;
} face_drawing;

typedef struct book_drawing { /* of one item: what does not depend on the page */
	bool known;
	bool rounded;
	arrangement at;		    /* its faces, not drawn yet */
	part_page_room about[2][6]; /* with small figures, with large ones */
	book_cells cells;
	double table;
	LIST(face_drawing) drawn;
} book_drawing;

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
	bool bar = model_by_length(b->m->stocks.v[p->stock].kind);
	for (size_t i = 0; i < n; i++) {
		bool broad = face_axis(all[i]) == p->thick_axis || (bar && face_axis(all[i]) != p->long_axis);
		if (broad && has_work(sheet, all[i])) out[kept++] = all[i];
	}
	if (!kept) out[kept++] = p->work_face;
	return kept;
}

face book_first_face(const book *b, model_ref part) {
	feature_sheet sheet = feature_of_part(b->mem, b->m, part);
	face out[6];
	drawn_faces(b, part, &sheet, out);
	return out[0];
}

static void measure_about(const book *b, model_ref part, double cap, const arrangement *at, part_page_room *about) {
	for (size_t i = 0; i < at->n; i++)
		about[i] = part_page_about(b->mem, b->m, part, at->faces[i], PART_PAGE_BRIEF, cap);
}

/* The figures are of that size. */
static void take_about(arrangement *out, const part_page_room *about, bool large) {
	out->large = large, out->about_wide = out->about_high = 0;
	for (size_t i = 0; i < out->n; i++) {
		out->about_wide = fmax(out->about_wide, about[i].wide);
		out->about_high = fmax(out->about_high, about[i].high + CAPTION_HIGH + (out->n > 1 ? CAPTION_MORE : 0));
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

/* The table goes over to the next page when the drawing gains a step of the usual scales by it. */
static double scale_with_table(const book *b, arrangement *out, double w, double h, double room, double table) {
	double alone = arranged_scale(b, out, w, h, room), with = arranged_scale(b, out, w, h, room - table);
	return alone < with * 1.3 ? with : arranged_scale(b, out, w, h, room);
}

/* Figures are of full size where that costs no step of the scale. */
static void arrange(const book *b, const book_item *x, double room, double table, arrangement *out) {
	const model_part *p = &b->m->parts.v[x->first];
	const book_drawing *known = &b->drawing[x->number - 1];
	frame at = frame_of(p->blank, out->faces[0]);
	double w = rat_double(at.width), h = rat_double(at.height);
	arrangement small = *out;
	take_about(&small, known->about[false], false);
	small.scale = scale_with_table(b, &small, w, h, room - HEAD_HIGH, table);
	take_about(out, known->about[true], true);
	out->scale = scale_with_table(b, out, w, h, room - HEAD_HIGH, table);
	if (out->scale < small.scale * 0.999) *out = small;
	for (size_t i = 0; i < out->n; i++) {
		frame f = frame_of(p->blank, out->faces[i]);
		out->high[i] = rat_double(f.height) * out->scale + out->about_high;
	}
}

static bool same(double a, double b) { return !(a < b) && !(a > b); }

/* As it was drawn before, if it was, in this run or another: on trial for many heights, at few scales. */
static void draw_face(book *b, const book_item *x, arrangement *at, size_t i) {
	book_drawing *known = &b->drawing[x->number - 1];
	double wide = at->beside ? book_width(b) / 2 - 4 : book_width(b);
	face f = at->faces[i];
	const double top = at->n > 1 ? CAPTION_HIGH + CAPTION_MORE - 1 : CAPTION_HIGH - 1;
	display_box into = display_box_of(0, top, wide, at->high[i] - top);
	const part_page_room *about = &known->about[at->large][i];
	const char *scale_name;
	double scale = part_page_scale(about, into, b->m, x->first, f, &scale_name);
	for (size_t k = 0; k < known->drawn.n; k++) {
		const face_drawing *q = &known->drawn.v[k];
		if (q->f != f || !same(q->wide, wide) || !same(q->scale, scale) || q->large != at->large) continue;
		at->drawn[i] = q->d, at->high[i] = q->high;
		return;
	}
	display *d = at->drawn[i] = display_begin(b->keep, wide, at->high[i]);
	part_page_draw(d, into, b->m, x->first, f, PART_PAGE_BRIEF, about->cap);
	frame of = frame_of(b->m->parts.v[x->first].blank, f);
	const display_style bold = {.cap = CAP_SMALL, .font = FONT_BOLD}, plain = {.cap = CAP_SMALL};
	const char *name = arena_printf(b->mem, "%s face, %s", book_title_case(b, FACE_NAME[f]), scale_name),
		   *datum = arena_printf(b->mem, "Datum 0: %s.", frame_datum_words(&of));
	display_text_style(d, 0, 3, &bold, name);
	if (at->n > 1)
		display_paragraph(d, 0, 4.8, wide, &plain, datum);
	else
		display_text_style(d, display_text_width(FONT_BOLD, bold.cap, name) + 4, 3, &plain, datum);
	at->high[i] = fmax(display_bounds(d).y1, 0) + 3.5;
	LIST_PUSH(b->keep, &known->drawn, ((face_drawing){f, wide, scale, at->large, d, at->high[i]}));
}

/* Draws the faces so that they fit that height; then their heights, and that of all, are known exactly. */
static void draw_faces(book *b, const book_item *x, double room, double table, const char *words, arrangement *at) {
	arrange(b, x, room, table, at);
	at->all = head_height(b, words) + table;
	for (size_t i = 0; i < at->n; i++) draw_face(b, x, at, i);
	for (size_t i = 0; i < at->n; i++)
		at->all += at->beside ? (i ? 0 : fmax(at->high[0], at->high[1])) : at->high[i];
}

static bool places_rounded(const book *b, const feature_sheet *sheet) {
	bool rounded = false;
	for (size_t i = 0; i < sheet->faces.n; i++)
		for (size_t k = 0; k < sheet->faces.v[i].rows.n; k++) {
			const feature_outline *o = &sheet->faces.v[i].rows.v[k].at;
			part_page_place(b->mem, o->u, b->m->measures, &rounded);
			part_page_place(b->mem, o->v, b->m->measures, &rounded);
		}
	return rounded;
}

/* On what is left of a page, somewhat smaller if need be; false when it does not fit there. */
static bool fits_below(book *b, const book_item *x, double table, const char *words, arrangement *at) {
	const double gap = BETWEEN, left = book_left(b) - gap, page = b->area.y1 - b->area.y0;
	if (b->y <= b->area.y0 + 1) return false;
	if (at->all <= left) return true;
	arrangement less = *at;
	/* The estimate is on the safe side: two steps beyond what is left, the drawing itself then decides. */
	for (double more = 16; more >= 0; more -= 8) {
		draw_faces(b, x, left + more, table, words, &less);
		bool small = less.scale < 0.6 * at->scale && left < 0.8 * page;
		if (!small && less.all <= left) {
			*at = less;
			return true;
		}
	}
	return false;
}

/* Where much of a page is left the drawings begin there as large as on their own page, and the table goes over. */
static bool begins_below(book *b, const book_item *x, double table, const char *words, arrangement *at) {
	double left = book_left(b) - BETWEEN;
	if (b->y <= b->area.y0 + 1 || left < 0.6 * (b->area.y1 - b->area.y0)) return false;
	arrangement less = *at;
	draw_faces(b, x, left, 0, words, &less);
	if (less.scale < at->scale * 0.99 || less.all > left) return false;
	less.all += table;
	*at = less;
	return true;
}

static const book_drawing *known_drawing(book *b, const book_item *x) {
	if (!b->drawing) b->drawing = ARENA_MANY(b->keep, book_drawing, b->items.n);
	book_drawing *k = &b->drawing[x->number - 1];
	if (k->known) return k;
	arena *run = b->mem;
	b->mem = b->keep;
	feature_sheet sheet = feature_of_part(b->mem, b->m, x->first);
	k->at.n = drawn_faces(b, x->first, &sheet, k->at.faces);
	k->cells = drilling_cells(b, &sheet, k->at.faces, k->at.n);
	k->table = book_cells_height(b, DRILLING, 3, &k->cells) + BOOK_GAP;
	k->rounded = places_rounded(b, &sheet);
	measure_about(b, x->first, CAP_SMALL, &k->at, k->about[false]);
	measure_about(b, x->first, CAP_BODY, &k->at, k->about[true]);
	k->known = true;
	b->mem = run;
	return k;
}

/* Head, drawings and table on one page when that can be. */
static void drawing(book *b, const book_item *x) {
	const book_drawing *k = known_drawing(b, x);
	arrangement at = k->at;
	double table = k->table, page = b->area.y1 - b->area.y0;
	bool rounded = k->rounded;
	const char *words = head_words(b, x, rounded && b->rounding_told != b->page);
	draw_faces(b, x, page, table, words, &at);
	if (begins_below(b, x, table, words, &at) || fits_below(b, x, table, words, &at))
		b->y += BETWEEN;
	else if (b->y > b->area.y0 + 1)
		book_page(b), words = head_words(b, x, rounded);
	if (rounded) b->rounding_told = b->page;
	part_head(b, x, words);
	double below = b->y;
	for (size_t i = 0; i < at.n; i++) {
		if (i && !at.beside) {
			b->y = below;
			book_need(b, at.high[i]);
		}
		double left = b->area.x0 + (at.beside && i ? book_width(b) / 2 + 4 : 0);
		display_place(b->page, at.drawn[i], left, b->y, 1);
		below = fmax(i && at.beside ? below : 0, b->y + at.high[i]);
	}
	b->y = below;
	b->continues = arena_printf(b->mem, "%u  %s", x->number, book_item_name(b, x));
	book_cells_draw(b, DRILLING, 3, &k->cells, false, false);
	b->continues = NULL;
}

/* That it is no part of the cabinet, and what it is for; gives the height that this takes. */
static double extra_words(book *b, const model_part *p, double x, double y, double width) {
	const char *text =
		p->note ? arena_printf(b->mem, "Not part of the cabinet: %s", p->note) : "Not part of the cabinet.";
	const char *const *lines;
	size_t n = display_wrap(b->mem, FONT_REGULAR, CAP_SMALL, width, text, &lines);
	for (size_t i = 0; i < n; i++)
		display_text_style(b->page, x, y + 3.2 * (double)i, &(display_style){.cap = CAP_SMALL, .grey = 0.25},
				   lines[i]);
	return 3.2 * (double)n;
}

/* Parts with nothing but their outline: two beside each other. */
static void plain_parts(book *b) {
	const model *m = b->m;
	const double gap = 8, high = 76, above = 3; /* above: a size that has no room beside the part reaches up */
	double w = (book_width(b) - gap) / 2;
	size_t side = 0;
	double below = 0;
	bool headed = false;
	for (size_t i = 0; i < b->items.n; i++) {
		const book_item *x = &b->items.v[i];
		if (!x->made || feature_of_part(b->mem, m, x->first).n) continue;
		const model_part *p = &m->parts.v[x->first];
		if (!headed) book_need(b, high + 40), book_heading(b, "Parts that are only sawn"), headed = true;
		if (side == 0) book_need(b, high + 14);
		double left = b->area.x0 + (side ? w + gap : 0);
		display_anchor_at(b->page, book_part_anchor(b, x), left, b->y);
		display_bookmark_at(b->page, 2, arena_printf(b->mem, "%u  %s", x->number, book_item_name(b, x)), b->y);
		display_circle(b->page, PEN_EDGE, FILL_WHITE, left + 3.4, b->y + 3.4, 3.4);
		display_textf(b->page, left + 3.4, b->y + 4.5, 2.2, ALIGN_CENTRE, "%u", x->number);
		display_bold(b->page, left + 9, b->y + 3, 2.4, ALIGN_LEFT,
			     display_fit(b->mem, FONT_BOLD, 2.4, w - 26, book_item_name(b, x)));
		display_text(b->page, left + w, b->y + 3, CAP_SMALL, ALIGN_RIGHT, pieces(b, x));
		display_text_style(b->page, left + 9, b->y + 7, &(display_style){.cap = CAP_SMALL, .grey = 0.25},
				   book_part_size(b, p, true));
		display_text_style(b->page, left + 9, b->y + 10.2, &(display_style){.cap = CAP_SMALL, .grey = 0.25},
				   display_fit(b->mem, FONT_REGULAR, CAP_SMALL, w - 9, book_stock_label(b, p->stock)));
		double head = 12.2;
		if (p->kind == PART_EXTRA) head += extra_words(b, p, left + 9, b->y + 13.6, w - 9);
		display *d = display_begin(b->mem, w, high);
		part_page_drawing made = part_page_draw(d, display_box_of(0, above, w, high - above), m, x->first,
							p->work_face, PART_PAGE_BRIEF, CAP_SMALL);
		display_place(b->page, d, left, b->y + head + 2, 1);
		display_bold(b->page, left + 9, b->y + head + 1.4, CAP_SMALL, ALIGN_LEFT,
			     arena_printf(b->mem, "%s face, %s", book_title_case(b, FACE_NAME[p->work_face]),
					  made.scale_name));
		below = fmax(side ? below : 0, b->y + head + 2 + display_bounds(d).y1 + 6);
		side ^= 1;
		if (side == 0) b->y = below;
	}
	if (side) b->y = below;
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
			     "Faces are drawn as you look at them, the datum at the lower left corner. Figures are "
			     "distances from the datum in %s. Holes in the edges are dashed, with their numbers; the "
			     "table has their places on the edge. Parts that are alike are drawn once.",
			     m->measures == MEASURES_INCH ? "inches" : "millimetres"));
	const char *tolerances = part_tolerance_words(b->mem, m, NULL, 0);
	if (tolerances) book_paragraph(b, tolerances);
	b->y += 3;
	for (size_t i = 0; i < b->items.n; i++)
		if (b->items.v[i].made && feature_of_part(b->mem, m, b->items.v[i].first).n) drawing(b, &b->items.v[i]);
	plain_parts(b);
}
