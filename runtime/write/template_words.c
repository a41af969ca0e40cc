/* What template pages and the book say of how a template is set and held. */
#include "runtime/base/text.h"
#include "runtime/draw/dim.h"
#include "runtime/write/hole_words.h"
#include "runtime/write/template_write.h"

enum { MOST_RUNS = 6 };

const char *template_length(arena *mem, const model *m, rat mm) {
	const char *t = dim_text(mem, mm, m->measures);
	return t[0] == '~' ? quant_show_decimal(mem, mm, m->measures) : t;
}

const char *template_place(arena *mem, const model *m, rat mm) {
	if (m->measures == MEASURES_INCH) return template_length(mem, m, mm);
	return quant_show_decimal(mem, rat_from_double(rat_double(mm), 10), m->measures);
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

uint32_t template_passes(const model_template *t) {
	uint32_t n = 0;
	for (size_t i = 0; i < t->uses.n; i++) n = t->uses.v[i].depths.n > n ? (uint32_t)t->uses.v[i].depths.n : n;
	return n;
}

const char *template_sum_words(arena *mem, const model *m, const model_template *t) {
	const model_tool *tool = &m->tools.v[t->tool];
	textbuf w = textbuf_begin(mem);
	for (int k = 0; k < (t->shape.kind == SHAPE_ROUND ? 1 : 2); k++) {
		rat wide = k ? t->opening.b : t->opening.a, less = rat_sub(wide, tool->bush.mm);
		textbuf_printf(&w, "%s%s - %s + %s = %s", k ? "; " : "", template_length(mem, m, wide),
			       template_length(mem, m, tool->bush.mm), template_length(mem, m, model_tool_cuts(tool)),
			       template_length(mem, m, rat_add(less, model_tool_cuts(tool))));
	}
	textbuf_add(&w, m->measures == MEASURES_INCH ? " in" : " mm");
	return w.v;
}

const char *template_offsets_words(arena *mem, const model *m, const model_template *t) {
	if (!rat_ok(t->offsets[0]) || !rat_ok(t->offsets[1])) return "–";
	return arena_printf(mem, "%s to %s %s", hole_limit(mem, m, t->offsets[0], false),
			    hole_limit(mem, m, t->offsets[1], true), m->measures == MEASURES_INCH ? "in" : "mm");
}

/* ---- set by blocks ------------------------------------------------------------------------------- */

/* "387.1", "87.9 over the edge", "41.4, then 90 more: 12 places" */
static const char *block_words(arena *mem, const model *m, const model_template_run *r, int k) {
	bool over = rat_sign(r->block[k]) < 0;
	const char *first =
		arena_printf(mem, "%s%s", template_place(mem, m, rat_abs(r->block[k])), over ? " over the edge" : "");
	if (r->n[k] < 2) return first;
	return arena_printf(mem, "%s; spacer %s: %u %s", first, template_place(mem, m, r->step[k]), r->n[k],
			    k ? "rows" : "places");
}

static const char *lies_words(arena *mem, const model_template_use *u) {
	static const char *const TURNED[4] = {"", "turned left", "turned half round", "turned right"};
	if (!u->over && u->quarters == 0) return "";
	return arena_printf(mem, ", %s%s%s", u->over ? "turned over" : "", u->over && u->quarters ? ", then " : "",
			    TURNED[u->quarters % 4]);
}

/* "left 2 less, lower the same" */
static const char *against(arena *mem, const model *m, const model_template_run *a, const model_template_run *b) {
	const char *side[2];
	for (int k = 0; k < 2; k++) {
		rat by = rat_sub(b->block[k], a->block[k]);
		bool same = rat_lt(rat_abs(by), rat_of(1, 20));
		side[k] = same ? "the same"
			       : arena_printf(mem, "%s %s", template_place(mem, m, rat_abs(by)),
					      rat_sign(by) > 0 ? "more" : "less");
	}
	return arena_printf(mem, "left %s, lower %s", side[0], side[1]);
}

static void add_run(arena *mem, const model *m, const model_template *t, size_t use, size_t run, template_cells *out) {
	const model_template_use *u = &t->uses.v[use], *first = &t->uses.v[0];
	const model_template_run *r = &u->runs.v[run];
	const model_sheet_of_pattern *s = model_pattern_sheet(&m->patterns.v[u->pattern], u->part);
	bool mate = use > 0 && u->pattern == first->pattern && run < first->runs.n;
	LIST_PUSH(mem, out,
		  arena_printf(mem, "%s in %s, %s face%s", m->patterns.v[u->pattern].name, m->parts.v[u->part].name,
			       FACE_NAME[s->face], lies_words(mem, u)));
	for (int k = 0; k < 2; k++) LIST_PUSH(mem, out, block_words(mem, m, r, k));
	LIST_PUSH(mem, out, mate ? against(mem, m, &first->runs.v[run], r) : "–");
}

void template_set_cells(arena *mem, const model *m, const model_template *t, template_cells *out) {
	for (size_t i = 0; i < t->uses.n; i++) {
		size_t n = t->uses.v[i].runs.n;
		for (size_t k = 0; k < n && k < MOST_RUNS; k++) add_run(mem, m, t, i, k, out);
		if (n <= MOST_RUNS) continue;
		LIST_PUSH(mem, out, arena_printf(mem, "… and %zu rows more, in plan.json", n - MOST_RUNS));
		for (int k = 0; k < 3; k++) LIST_PUSH(mem, out, "–");
	}
}

/* ---- held by screws ------------------------------------------------------------------------------- */

static const char *MEETS_WORDS[MEETS_KINDS] = {"in another opening", "on a screw hole of the sheet", "beyond the edge",
					       "where the sheet stays", "where no screw may go"};

/* Each hole of a template that is set once: what it meets, and where that is on the sheet. */
static void each_hole(textbuf *w, const model *m, const model_template *t, const model_template_use *u) {
	arena *mem = w->mem;
	const model_template_place *p = &u->places.v[0];
	for (size_t h = 0; h < t->holes.n; h++) {
		model_at by = model_template_lies(u, t->holes.v[h]);
		textbuf_printf(w, "%s %zu %s (%s right, %s up)", h ? ";" : ": hole", h + 1, MEETS_WORDS[p->meets[h]],
			       template_place(mem, m, rat_add(p->at[0], by.v[0])),
			       template_place(mem, m, rat_add(p->at[1], by.v[1])));
	}
	textbuf_char(w, '.');
}

const char *template_held_words(arena *mem, const model *m, const model_template *t, size_t use) {
	const model_template_use *u = &t->uses.v[use];
	textbuf w = textbuf_begin(mem);
	size_t least = t->holes.n, loose = 0;
	for (size_t i = 0; i < u->places.n; i++) {
		least = u->places.v[i].holds < least ? u->places.v[i].holds : least;
		loose += u->places.v[i].holds < 2;
	}
	textbuf_printf(&w, "%s in %s", m->patterns.v[u->pattern].name, m->parts.v[u->part].name);
	if (u->places.n == 1)
		each_hole(&w, m, t, u);
	else if (!loose)
		textbuf_printf(
			&w,
			": at each of the %zu places at least %zu of the %zu holes lie over other openings, screw "
			"holes or beyond the edge.",
			u->places.n, least, t->holes.n);
	if (loose && u->places.n > 1)
		textbuf_printf(&w, ": at %zu of the %zu places fewer than two lie so.", loose, u->places.n);
	if (loose)
		textbuf_add(&w,
			    " Clamp the template there, outside the line of the base: a screw would leave its hole in "
			    "the sheet.");
	return w.v;
}
