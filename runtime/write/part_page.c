#include "runtime/write/part_page.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "runtime/base/text.h"
#include "runtime/draw/dim.h"
#include "runtime/draw/outline_ink.h"
#include "runtime/draw/sheetform.h"
#include "runtime/engine/joint.h"
#include "runtime/write/hole_words.h"
#include "runtime/write/part_draw.h"
#include "runtime/write/part_tolerance.h"
#include "runtime/write/title_block.h"

/* Page millimetres kept free beside the part for overall sizes; on the left and below it is measured (about()). */
enum { SIDE_RIGHT = 11, SIDE_TOP = 10, MOST_LEGEND = 8 };
#define BEFORE_FIGURES 9.2 /* gap, leader and its break, to where an ordinate's figures begin */
#define LARGEST_MM 5000.0

size_t part_page_faces(arena *mem, const model *m, model_ref part, face out[6]) {
	face work = m->parts.v[part].work_face;
	size_t n = 0;
	out[n++] = work;
	feature_sheet s = feature_of_part(mem, m, part);
	for (size_t i = 0; i < s.faces.n; i++)
		if (s.faces.v[i].face != work) out[n++] = s.faces.v[i].face;
	return n;
}

/* ---- legend ------------------------------------------------------------------------------------ */

const char *part_page_place(arena *mem, rat mm, measures m, bool *rounded) {
	/* A rule or a stop shows no more than a tenth. */
	rat shown = m == MEASURES_METRIC ? rat_round(mm, 10) : mm;
	const char *text = dim_text(mem, rat_ok(shown) ? shown : mm, m);
	if (rounded && (!rat_eq(shown, mm) || text[0] == '~')) *rounded = true;
	return text;
}

static const char *place(drawing *w, rat mm) { return part_page_place(w->d->mem, mm, w->m->measures, &w->rounded); }

static const char *length(const drawing *w, rat mm) { return dim_text(w->d->mem, mm, w->m->measures); }

static const char *size_of(const drawing *w, const model_feature *f, const feature_outline *o) {
	arena *mem = w->d->mem;
	if (f->shape.kind == SHAPE_ROUND) return dim_text_diameter(mem, f->shape.a, w->m->measures);
	if (f->shape.kind == SHAPE_OUTLINE)
		return arena_printf(mem, "%s × %s, its corners in the drilling table",
				    length(w, rat_mul(feature_reach_u(o), rat_int(2))),
				    length(w, rat_mul(feature_reach_v(o), rat_int(2))));
	return arena_printf(mem, "%s × %s%s%s", length(w, rat_mul(feature_reach_u(o), rat_int(2))),
			    length(w, rat_mul(feature_reach_v(o), rat_int(2))), rat_sign(o->r) > 0 ? " R" : "",
			    rat_sign(o->r) > 0 ? length(w, o->r) : "");
}

/* Does the cut take a sheet whose thickness may differ by more than the cut allows for? */
static bool from_the_work(const drawing *w, const model_feature *f) {
	if ((f->kind != FEATURE_GROOVE && f->kind != FEATURE_RABBET) || f->joint >= w->m->joints.n) return false;
	return joint_from_the_work(w->m, &w->m->joints.v[f->joint]);
}

static const char *what_of(const drawing *w, const model_feature *f, const feature_outline *o) {
	arena *mem = w->d->mem;
	const char *depth = f->through ? "through" : arena_printf(mem, "%s deep", length(w, f->depth));
	const char *sink = "";
	if (rat_sign(f->sink) > 0)
		sink = arena_printf(mem, ", countersunk %s", dim_text_diameter(mem, f->sink, w->m->measures));
	if (rat_sign(f->sink) > 0 && rat_ok(f->sink_depth) && rat_sign(f->sink_depth) > 0)
		sink = arena_printf(mem, "%s, %s deep", sink, length(w, f->sink_depth));
	return arena_printf(mem, "%s %s, %s%s%s", feature_word(w->m, f), size_of(w, f, o), depth, sink,
			    from_the_work(w, f) ? "; width from the work: measure" : "");
}

/* "1–8: opening ⌀60, through", like ones of one origin together (they are numbered in a row). */
static void gather_legend(drawing *w) {
	arena *mem = w->d->mem;
	const feature_face *ff = w->ff;
	bool full = w->words == PART_PAGE_FULL;
	if (full)
		LIST_PUSH(mem, &w->legend,
			  arena_printf(mem, "Seen: the %s face. Datum 0: %s.", FACE_NAME[w->f],
				       frame_datum_words(&w->fr)));
	const char *tolerances = full ? part_tolerance_words(mem, w->m, w->part, w->f) : NULL;
	if (tolerances) LIST_PUSH(mem, &w->legend, tolerances);
	size_t from = 0, n = full && ff ? ff->rows.n : 0;
	for (size_t i = 1; i <= n; i++) {
		const feature_row *a = &ff->rows.v[from];
		const model_feature *fa = &w->m->features.v[a->feature];
		const char *what = what_of(w, fa, &a->at);
		if (i < n) {
			const feature_row *b = &ff->rows.v[i];
			if (strcmp(what, what_of(w, &w->m->features.v[b->feature], &b->at)) == 0) continue;
		}
		uint32_t last = ff->rows.v[i - 1].number;
		const char *range =
			last == a->number ? arena_printf(mem, "%u", last) : arena_printf(mem, "%u–%u", a->number, last);
		LIST_PUSH(mem, &w->legend, arena_printf(mem, "%s: %s", range, what));
		from = i;
	}
	for (size_t p = 0; p < w->m->patterns.n; p++) {
		const model_pattern *pat = &w->m->patterns.v[p];
		for (size_t k = 0; k < pat->eases.n; k++) {
			const model_ease *e = &pat->eases.v[k];
			if (e->part != w->sheet.part || face_axis(e->face) != face_axis(w->f)) continue;
			LIST_PUSH(mem, &w->legend,
				  arena_printf(mem, "rims of %s: %s %s on the %s face%s", pat->name,
					       e->chamfer ? "chamfer" : "round-over", length(w, e->size),
					       FACE_NAME[e->face],
					       e->face == w->f ? " (dashed rings)" : ", not this one"));
		}
	}
	for (size_t p = 0; p < w->m->patterns.n && full; p++) {
		const model_sheet_of_pattern *s = model_pattern_sheet(&w->m->patterns.v[p], w->sheet.part);
		const char *tools =
			s && s->face == w->f ? hole_options_words(mem, w->m, &w->m->patterns.v[p], s) : NULL;
		if (tools) LIST_PUSH(mem, &w->legend, tools);
	}
	if (w->legend.n <= MOST_LEGEND) return;
	size_t rest = w->legend.n - MOST_LEGEND + 1;
	w->legend.n = MOST_LEGEND - 1;
	LIST_PUSH(mem, &w->legend, arena_printf(mem, "and %zu more kinds: see the drilling table", rest));
}

/* ---- outline, grooves, holes ----------------------------------------------------------------- */

void part_add_shape(drawing *w, const feature_outline *o, double more) {
	if (o->free) {
		outline_path p = feature_path(w->d->mem, o);
		outline_paths rim = {0};
		if (more > 0) outline_parallel(w->d->mem, &p, -more, &rim);
		if (more > 0 && rim.n == 0) return;
		outline_ink(w->d, more > 0 ? &rim.v[0] : &p, px(w, 0), py(w, 0), w->map.scale);
		return;
	}
	double s = w->map.scale, r = (rat_double(o->r) + more) * s, x = px(w, rat_double(o->u)),
	       y = py(w, rat_double(o->v));
	double hx = rat_double(o->hu) * s + r, hy = rat_double(o->hv) * s + r;
	if (rat_sign(o->hu) == 0 && rat_sign(o->hv) == 0)
		display_add_circle(w->d, x, y, r);
	else if (r > 0)
		display_add_round_rect(w->d, x - hx, y - hy, 2 * hx, 2 * hy, r);
	else
		display_add_rect(w->d, x - hx, y - hy, 2 * hx, 2 * hy);
}

display_box part_box_on_page(const drawing *w, const feature_outline *o) {
	double s = w->map.scale, hx = rat_double(feature_reach_u(o)) * s, hy = rat_double(feature_reach_v(o)) * s;
	return display_box_of(px(w, rat_double(o->u)) - hx, py(w, rat_double(o->v)) - hy, 2 * hx, 2 * hy);
}

/* Tongues: what goes into dados lies between the blank's edge and a chain line at the shoulder. */
static void shoulders(drawing *w) {
	frame seen = frame_of(w->part->box, w->f);
	rat u0, v0;
	frame_from_cabinet(&w->fr, seen.origin, &u0, &v0, NULL);
	rat u1 = rat_add(u0, seen.width), v1 = rat_add(v0, seen.height);
	double x0 = w->outline.x0, x1 = w->outline.x1, y0 = w->outline.y0, y1 = w->outline.y1;
	if (rat_sign(u0) > 0) display_segment(w->d, PEN_PHANTOM, px(w, rat_double(u0)), y0, px(w, rat_double(u0)), y1);
	if (rat_lt(u1, w->fr.width))
		display_segment(w->d, PEN_PHANTOM, px(w, rat_double(u1)), y0, px(w, rat_double(u1)), y1);
	if (rat_sign(v0) > 0) display_segment(w->d, PEN_PHANTOM, x0, py(w, rat_double(v0)), x1, py(w, rat_double(v0)));
	if (rat_lt(v1, w->fr.height))
		display_segment(w->d, PEN_PHANTOM, x0, py(w, rat_double(v1)), x1, py(w, rat_double(v1)));
}

/* What is cut on the back and does not come through where it is seen: dashed. */
static void from_behind(drawing *w) {
	for (size_t i = 0; i < w->sheet.faces.n; i++) {
		const feature_face *ff = &w->sheet.faces.v[i];
		if (ff->face != face_opposite(w->f)) continue;
		for (size_t k = 0; k < ff->rows.n; k++) {
			feature_outline o = feature_outline_on(&w->m->features.v[ff->rows.v[k].feature], &w->fr);
			display_take(w->d, part_box_on_page(w, &o));
			part_add_shape(w, &o, 0);
			display_paint(w->d, PEN_HIDDEN, FILL_NONE);
		}
	}
}

static void rims(drawing *w, const feature_row *r, const model_feature *f) {
	if (f->pattern == MODEL_NONE) return;
	const model_pattern *p = &w->m->patterns.v[f->pattern];
	for (size_t k = 0; k < p->eases.n; k++) {
		const model_ease *e = &p->eases.v[k];
		if (e->part != w->sheet.part || e->face != w->f) continue;
		part_add_shape(w, &r->at, rat_double(e->size));
		display_paint(w->d, PEN_HIDDEN, FILL_NONE);
		display_take(w->d,
			     display_box_grow(part_box_on_page(w, &r->at), rat_double(e->size) * w->map.scale + 0.5));
	}
}

static void features(drawing *w) {
	for (size_t pass = 0; w->ff && pass < 2; pass++) {
		for (size_t i = 0; i < w->ff->rows.n; i++) {
			const feature_row *r = &w->ff->rows.v[i];
			const model_feature *f = &w->m->features.v[r->feature];
			if (feature_is_cut(f) != (pass == 0)) continue;
			rims(w, r, f);
			part_add_shape(w, &r->at, 0);
			bool in = feature_is_cut(f) || (!f->through && f->shape.kind != SHAPE_ROUND);
			display_paint(w->d, PEN_EDGE, in ? FILL_LIGHT : f->through ? FILL_WHITE : FILL_NONE);
			if (rat_sign(f->sink) > 0) {
				feature_outline sink = r->at;
				sink.r = rat_half(f->sink);
				part_add_shape(w, &sink, 0);
				display_paint(w->d, PEN_DIM, FILL_NONE);
			}
			if (feature_is_cut(f)) continue;
			if (r->at.free) outline_corners(w->d, &r->at, &w->map);
			double radius =
				rat_double(rat_min(feature_reach_u(&r->at), feature_reach_v(&r->at))) * w->map.scale;
			dim_centre_mark(w->d, px(w, rat_double(r->at.u)), py(w, rat_double(r->at.v)), radius,
					radius < 1.2 ? 0.5 : 0.9);
		}
	}
}

/* ---- dimensions ------------------------------------------------------------------------------ */

static void ordinate(drawing *w, dim_ordinate *list, size_t *n, bool along_x, rat at, double reach) {
	double page = along_x ? px(w, rat_double(at)) : py(w, rat_double(at));
	for (size_t i = 0; i < *n; i++) {
		if (fabs(list[i].at - page) > 1e-9) continue;
		/* The leader ends at the nearest one of the column or row. */
		list[i].reach = along_x ? fmax(list[i].reach, reach) : fmin(list[i].reach, reach);
		return;
	}
	list[(*n)++] = (dim_ordinate){page, reach, place(w, at)};
}

/* In smaller figures where they would crowd. */
static void ordinates(drawing *w, bool along_x, double cap) {
	size_t rows = w->ff ? w->ff->rows.n : 0, n = 0;
	dim_ordinate *list = ARENA_MANY(w->d->mem, dim_ordinate, 2 * rows + 2);
	rat full = along_x ? w->fr.width : w->fr.height;
	for (size_t i = 0; i < rows; i++) {
		const feature_row *r = &w->ff->rows.v[i];
		display_box b = part_box_on_page(w, &r->at);
		rat c = along_x ? r->at.u : r->at.v, half = along_x ? feature_reach_u(&r->at) : feature_reach_v(&r->at);
		if (!feature_is_cut(&w->m->features.v[r->feature])) {
			ordinate(w, list, &n, along_x, c,
				 along_x ? fmin(b.y1, (b.y0 + b.y1) / 2 + 3) : fmax(b.x0, (b.x0 + b.x1) / 2 - 3));
			continue;
		}
		rat edge[2] = {rat_sub(c, half), rat_add(c, half)};
		for (int k = 0; k < 2; k++)
			if (rat_sign(edge[k]) > 0 && rat_lt(edge[k], full))
				ordinate(w, list, &n, along_x, edge[k], along_x ? b.y1 : b.x0);
	}
	ordinate(w, list, &n, along_x, full, along_x ? w->outline.y1 : w->outline.x0);
	double room = along_x ? w->outline.x1 - w->outline.x0 : w->outline.y1 - w->outline.y0;
	if ((double)(n + 1) * 1.35 * cap > 0.7 * room) cap = fmin(cap, CAP_SMALL);
	if ((double)n * DIM_ORDINATE_GAP(cap) > room + 12) { /* they would run far beyond the part */
		LIST_PUSH(w->d->mem, &w->legend,
			  arena_printf(w->d->mem, "%s %s: see the drilling table", text_count(w->d->mem, n, "place"),
				       along_x ? "to the right" : "upwards"));
		list[0] = list[n - 1];
		n = 1;
	}
	double base = along_x ? w->outline.y1 + 4 : w->outline.x0 - 4;
	double reach = dim_ordinates(w->d, along_x, along_x ? w->outline.x0 : w->outline.y1, base, along_x ? 1 : -1,
				     list, n, cap);
	if (along_x) w->below = 4 + reach;
}

static void overall(drawing *w, double cap) {
	display_box o = w->outline;
	dim_horizontal(w->d, (display_point){o.x0, o.y0}, (display_point){o.x1, o.y0}, o.y0 - 6, cap,
		       length(w, w->fr.width));
	dim_vertical(w->d, (display_point){o.x1, o.y0}, (display_point){o.x1, o.y1}, o.x1 + 7, cap,
		     length(w, w->fr.height));
}

/* A double arrow along the grain, in a free place on the part. */
static void grain(drawing *w) {
	if (!w->part->grain_matters || w->part->grain_axis == face_axis(w->f)) return;
	bool level = w->part->grain_axis == w->fr.u;
	double room = level ? w->outline.x1 - w->outline.x0 : w->outline.y1 - w->outline.y0;
	double across = level ? w->outline.y1 - w->outline.y0 : w->outline.x1 - w->outline.x0;
	double len = fmin(fmax(22, room * 0.08), room * 0.6);
	if (len < 6 || across < 5) return;
	if (w->ff) {
		for (size_t i = 0; i < w->ff->rows.n; i++)
			display_take(w->d, part_box_on_page(w, &w->ff->rows.v[i].at));
	}
	display_box spot;
	double bw = level ? len : 4.5, bh = level ? 4.5 : len;
	display_box within = display_box_grow(w->outline, -0.8);
	if (!display_free_spot(w->d, (within.x0 + within.x1) / 2, (within.y0 + within.y1) / 2, bw, bh, within, &spot)) {
		LIST_PUSH(w->d->mem, &w->legend, level ? "Grain runs left to right." : "Grain runs upwards.");
		return;
	}
	double x = (spot.x0 + spot.x1) / 2, y = (spot.y0 + spot.y1) / 2;
	double ax = level ? spot.x0 : x, ay = level ? y + 1 : spot.y0, bx = level ? spot.x1 : x,
	       by = level ? y + 1 : spot.y1;
	display_arrow(w->d, PEN_DIM, (ax + bx) / 2, (ay + by) / 2, ax, ay);
	display_arrow(w->d, PEN_DIM, (ax + bx) / 2, (ay + by) / 2, bx, by);
	display_style style = {.cap = CAP_LABEL, .align = ALIGN_CENTRE, .turn = level ? 0 : 90, .knock_out = true};
	display_text_style(w->d, level ? x : x + 0.7, level ? y - 0.2 : y, &style, "grain");
	display_take(w->d, spot);
}

/* ---- the two drawings -------------------------------------------------------------------------- */

static drawing begin(display *d, const model *m, model_ref part, face f) {
	drawing w = {.d = d, .m = m, .part = &m->parts.v[part], .f = f, .fr = frame_of(m->parts.v[part].blank, f)};
	w.sheet = feature_of_part(d->mem, m, part);
	for (size_t i = 0; i < w.sheet.faces.n; i++)
		if (w.sheet.faces.v[i].face == f) w.ff = &w.sheet.faces.v[i];
	return w;
}

static void draw_all(drawing *w, double cap, double number_cap) {
	double width = rat_double(w->fr.width), height = rat_double(w->fr.height);
	w->outline = display_box_of(px(w, 0), py(w, height), width * w->map.scale, height * w->map.scale);
	display_rect(w->d, PEN_OUTLINE, FILL_NONE, w->outline.x0, w->outline.y0, width * w->map.scale,
		     height * w->map.scale);
	shoulders(w);
	features(w);
	from_behind(w);
	overall(w, cap);
	ordinates(w, true, cap);
	ordinates(w, false, cap);
	part_edges(w);
	part_numbers(w, number_cap);
	grain(w);
}

static double write_legend(drawing *w, double x, double y, double width, double cap) {
	for (size_t i = 0; i < w->legend.n; i++) {
		const char *const *lines;
		size_t n = display_wrap(w->d->mem, FONT_REGULAR, cap, width, w->legend.v[i], &lines);
		for (size_t k = 0; k < n; k++) {
			y += DISPLAY_LEADING(cap);
			display_text(w->d, x, y, cap, ALIGN_LEFT, lines[k]);
		}
	}
	return y;
}

/* Figures along one side: every distinct place would be shown, so the widest of all counts. */
static double widest_figure(drawing *w, bool along_x, double cap) {
	rat full = along_x ? w->fr.width : w->fr.height;
	double widest = display_text_width(FONT_REGULAR, cap, place(w, full));
	for (size_t i = 0; w->ff && i < w->ff->rows.n; i++) {
		const feature_row *r = &w->ff->rows.v[i];
		rat c = along_x ? r->at.u : r->at.v, half = along_x ? feature_reach_u(&r->at) : feature_reach_v(&r->at);
		bool groove = feature_is_cut(&w->m->features.v[r->feature]);
		rat show[2] = {groove ? rat_sub(c, half) : c, groove ? rat_add(c, half) : c};
		for (int k = 0; k < 2; k++)
			widest = fmax(widest, display_text_width(FONT_REGULAR, cap, place(w, show[k])));
	}
	return widest;
}

/* The legend with two lines that may still come. */
static part_page_room about(drawing *w, double cap, double legend_cap) {
	part_page_room r = {.cap = cap,
			    .left = BEFORE_FIGURES + widest_figure(w, false, cap),
			    .below = BEFORE_FIGURES + widest_figure(w, true, cap) + 1,
			    .legend = DISPLAY_LEADING(legend_cap) * (double)(w->legend.n + 2) + 1};
	r.wide = r.left + SIDE_RIGHT;
	r.high = SIDE_TOP + r.below + r.legend;
	return r;
}

part_page_room part_page_about(arena *mem, const model *m, model_ref part, face f, part_page_words words, double cap) {
	drawing w = begin(display_begin(mem, 1, 1), m, part, f);
	w.words = words;
	gather_legend(&w);
	return about(&w, cap, CAP_SMALL);
}

static display_box area_in(const part_page_room *r, display_box into) {
	return (display_box){into.x0 + r->left, into.y0 + SIDE_TOP, into.x1 - SIDE_RIGHT,
			     into.y1 - r->below - r->legend};
}

double part_page_scale(const part_page_room *r, display_box into, const model *m, model_ref part, face f,
		       const char **name) {
	frame fr = frame_of(m->parts.v[part].blank, f);
	double width = rat_double(fr.width), height = rat_double(fr.height);
	display_box area = area_in(r, into);
	*name = "not to scale";
	if (!(width > 0) || !(height > 0) || area.x1 <= area.x0 || area.y1 <= area.y0) return 0;
	return display_usual_scale(fmin((area.x1 - area.x0) / width, (area.y1 - area.y0) / height), name);
}

part_page_drawing part_page_draw(display *d, display_box into, const model *m, model_ref part, face f,
				 part_page_words words, double cap) {
	drawing w = begin(d, m, part, f);
	w.words = words;
	gather_legend(&w);
	part_page_room room = about(&w, cap, CAP_SMALL);
	display_box area = area_in(&room, into);
	part_page_drawing out = {0};
	out.scale = part_page_scale(&room, into, m, part, f, &out.scale_name);
	if (!(out.scale > 0)) return out;
	w.map.scale = out.scale;
	w.map.x = (area.x0 + area.x1 - rat_double(w.fr.width) * out.scale) / 2;
	/* High on the page: the legend follows below. */
	w.map.y = area.y0 + rat_double(w.fr.height) * out.scale;
	draw_all(&w, cap, CAP_SMALL);
	write_legend(&w, into.x0 + 2, w.outline.y1 + w.below + 1, into.x1 - into.x0 - 4, CAP_SMALL);
	out.part = w.outline;
	out.numbered = w.numbered;
	out.holes = w.holes;
	out.rounded = w.rounded;
	return out;
}

/* The drawing's own name is that of its file, without the ending. */
static sheetform_block block_of(arena *mem, const model *m, model_ref part, face f) {
	const model_part *p = &m->parts.v[part];
	frame fr = frame_of(p->blank, f);
	face faces[6];
	size_t n = part_page_faces(mem, m, part, faces), at = 0;
	while (at + 1 < n && faces[at] != f) at++;
	const char *stem = at == 0 ? arena_printf(mem, "drill-%s", p->name)
				   : arena_printf(mem, "drill-%s-%s", p->name, FACE_NAME[f]);
	sheetform_block b = title_block(mem, m, stem, at + 1, n);
	b.title = p->name, b.kind = "Part drawing", b.subtitle = arena_printf(mem, "%s face", FACE_NAME[f]);
	b.material = m->stocks.v[p->stock].label;
	b.size = arena_printf(mem, "%s × %s × %s", quant_show_length(mem, fr.width, m->measures, true),
			      quant_show_length(mem, fr.height, m->measures, true),
			      quant_show_length(mem, box_size(p->blank, face_axis(f)), m->measures, false));
	return b;
}

display *part_page_true_size(arena *mem, const model *m, model_ref part, face f) {
	const model_part *p = &m->parts.v[part];
	frame fr = frame_of(p->blank, f);
	double width = rat_double(fr.width), height = rat_double(fr.height);
	if (!model_part_made(m, p) || !(width > 0 && height > 0) || width > LARGEST_MM || height > LARGEST_MM)
		return NULL;
	enum { HEAD = 42, EDGE = SHEETFORM_LEFT + 5 };
	drawing w = begin(display_begin(mem, 1, 1), m, part, f);
	gather_legend(&w);
	part_page_room room = about(&w, CAP_BODY, CAP_BODY);
	sheetform_block block = block_of(mem, m, part, f);
	const double left = room.left + SHEETFORM_LEFT + 2;
	display *d = display_begin(
		mem, fmax(width + left + SIDE_RIGHT + 14, SHEETFORM_BLOCK_W + EDGE + SHEETFORM_EDGE + 5),
		height + HEAD + SIDE_TOP + room.below + room.legend + 16 + sheetform_block_height(&block));
	w.d = d;
	d->true_size = true;
	d->title = arena_printf(mem, "%s, %s face, at full size", p->name, FACE_NAME[f]);
	w.map = (display_map){left, HEAD + SIDE_TOP + height, 1};
	display_bold(d, EDGE, 18, CAP_TITLE, ALIGN_LEFT,
		     arena_printf(mem, "%s: %s face, full size", p->name, FACE_NAME[f]));
	display_text(d, EDGE, 24, CAP_BODY, ALIGN_LEFT, "Print at 100 %, without fitting to the page.");
	sheetform_check_bar(d, EDGE, 28, m->measures);
	sheetform_drawing(d, &block);
	draw_all(&w, CAP_BODY, CAP_BODY);
	if (w.rounded)
		LIST_PUSH(mem, &w.legend,
			  m->measures == MEASURES_INCH ? "~ is rounded to 1/64 in: drill.csv has the exact place."
						       : "Places are rounded to 0.1 mm: drill.csv has them exact.");
	write_legend(&w, EDGE, w.outline.y1 + w.below + 3, d->w - EDGE - SHEETFORM_EDGE - 5, CAP_BODY);
	return d;
}
