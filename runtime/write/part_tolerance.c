#include "runtime/write/part_tolerance.h"

#include "runtime/base/text.h"
#include "runtime/engine/feature.h"
#include "runtime/engine/tolerance.h"

enum { MOST_ROWS = 16 };

typedef struct seen {
	bool row[MOST_ROWS];
} seen;

static void see(seen *s, rat mm) {
	size_t row = tolerance_medium_row(mm);
	if (row < MOST_ROWS) s->row[row] = true;
}

/* Holes that a drill makes have the drill's size. */
static void see_work(seen *s, const model *m, const feature_row *r) {
	const model_feature *f = &m->features.v[r->feature];
	bool drilled = f->kind == FEATURE_PILOT || f->kind == FEATURE_CLEARANCE;
	see(s, r->at.u);
	see(s, r->at.v);
	if (!drilled) see(s, rat_mul(feature_reach_u(&r->at), rat_int(2)));
	if (!drilled) see(s, rat_mul(feature_reach_v(&r->at), rat_int(2)));
	if (!f->through) see(s, f->depth);
}

static void see_face(seen *s, const model *m, const model_part *p, const feature_sheet *sheet, face f) {
	frame fr = frame_of(p->blank, f);
	see(s, fr.width);
	see(s, fr.height);
	for (size_t k = 0; k < sheet->faces.n; k++)
		for (size_t r = 0; sheet->faces.v[k].face == f && r < sheet->faces.v[k].rows.n; r++)
			see_work(s, m, &sheet->faces.v[k].rows.v[r]);
}

static const char *limit(arena *mem, rat mm, measures in) {
	double v = rat_double(mm);
	return in == MEASURES_METRIC ? arena_printf(mem, "%.0f", v) : arena_printf(mem, "%.1f", v / 25.4);
}

static const char *off(arena *mem, rat mm, measures in) {
	double v = rat_double(mm);
	return in == MEASURES_METRIC ? arena_printf(mem, "±%.1f", v) : arena_printf(mem, "±%.3f", v / 25.4);
}

const char *part_tolerance_words(arena *mem, const model *m, const model_part *part, face f) {
	seen s = {{false}};
	for (model_ref i = 0; i < m->parts.n; i++) {
		const model_part *p = &m->parts.v[i];
		if (part ? p != part : !model_part_made(m, p)) continue;
		feature_sheet sheet = feature_of_part(mem, m, i);
		see_face(&s, m, p, &sheet, part ? f : p->work_face);
		for (size_t k = 0; !part && k < sheet.faces.n; k++) see_face(&s, m, p, &sheet, sheet.faces.v[k].face);
	}
	size_t n, told = 0;
	const tolerance_row *rows = tolerance_medium(&n);
	textbuf t = textbuf_begin(mem);
	textbuf_add(&t, "Lengths without a tolerance: ISO 2768-m");
	for (size_t i = 0; i < n && i < MOST_ROWS; i++) {
		if (!s.row[i]) continue;
		textbuf_printf(&t, ", to %s %s", limit(mem, rows[i].most, m->measures),
			       off(mem, rows[i].off, m->measures));
		told++;
	}
	textbuf_add(&t, m->measures == MEASURES_METRIC ? " mm." : " in.");
	return told ? t.v : NULL;
}

const char *part_tolerance_outline(arena *mem, const model *m, const model_part *p) {
	axis shorter = (axis)(3 - (int)p->thick_axis - (int)p->long_axis);
	bool sheet = m->stocks.v[p->stock].kind == STOCK_SHEET;
	size_t n, a = tolerance_medium_row(box_size(p->blank, p->long_axis)),
		  b = tolerance_medium_row(box_size(p->blank, shorter));
	const tolerance_row *rows = tolerance_medium(&n);
	if (p->thick_axis == p->long_axis || a >= n || (sheet && b >= n)) return "";
	const char *first = off(mem, rows[a].off, m->measures);
	if (!sheet) return arena_printf(mem, ", its length %s", first);
	return arena_printf(mem, ", outline %s × %s", first, off(mem, rows[b].off, m->measures));
}
