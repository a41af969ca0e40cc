/* Openings: margins of a field on single sides, and openings of a layout that are left out. */
#include "compiler/open_field.h"
#include "runtime/engine/feature.h"

/* ---- margins --------------------------------------------------------------------------------- */

typedef struct margins {
	ctx *c;
	const axis *uv;
	const syn_expr *side[2][2]; /* who said it, along u and v, low and high */
	rat by[2][2];
} margins;

static bool margin_side(margins *w, const syn_expr *e, rat by) {
	face f;
	if (!eval_side(w->c, e, &f)) return false;
	int a = face_axis(f) == w->uv[0] ? 0 : 1;
	if (face_axis(f) != w->uv[a]) {
		diag *g = diag_error(w->c->diags, "plan-direction", e->at,
				     "the field of these openings has no %s side: it lies along the %s and the %s",
				     FACE_NAME[f], AXIS_SPOKEN[w->uv[0]], AXIS_SPOKEN[w->uv[1]]);
		diag_add_help(w->c->diags, g, "its sides are %s, %s, %s and %s", FACE_NAME[face_of(w->uv[0], false)],
			      FACE_NAME[face_of(w->uv[0], true)], FACE_NAME[face_of(w->uv[1], false)],
			      FACE_NAME[face_of(w->uv[1], true)]);
		return false;
	}
	const syn_expr **before = &w->side[a][face_high(f)];
	if (*before) {
		diag *g = diag_error(w->c->diags, "plan-twice", e->at, "the margin from the %s is said twice",
				     FACE_NAME[f]);
		diag_add_note(w->c->diags, g, (*before)->at, "the first is here");
		return false;
	}
	*before = e;
	w->by[a][face_high(f)] = by;
	return true;
}

bool open_field_margins(ctx *c, const line_list *lines, const axis uv[2], rat inset, rat lo[2], rat hi[2]) {
	margins w = {.c = c, .uv = uv, .by = {{inset, inset}, {inset, inset}}};
	bool good = true;
	for (size_t i = 0; i < lines->n; i++) {
		const syn_line *line = lines->v[i];
		const syn_clause *from = line_is(line, "margin") ? line_clause(line, "from", 0) : NULL;
		rat by;
		if (!from) continue;
		bool known = eval_length(c, line_arg(line, NULL, 0), &by);
		good = good && known;
		for (size_t k = 0; k < from->args.n && known; k++) good = margin_side(&w, from->args.v[k], by) && good;
	}
	for (int a = 0; a < 2; a++) {
		lo[a] = rat_add(lo[a], w.by[a][0]);
		hi[a] = rat_sub(hi[a], w.by[a][1]);
	}
	return good;
}

bool open_field_only(ctx *c, const line_list *lines, const syn_line *layout) {
	const syn_line *margin = lines_find(lines, "margin");
	if (!margin || line_is(layout, "grid") || line_is(layout, "stagger")) return true;
	diag *g = diag_error(c->diags, "plan-form", margin->at,
			     "a margin belongs to a field that is filled, not to `%s`", layout->word);
	diag_add_note(c->diags, g, layout->at, "these openings are laid out here");
	diag_add_help(c->diags, g,
		      "take the margin away, or fill a field: `grid … over PART` or `stagger … over PART`");
	return false;
}

/* ---- left out ---------------------------------------------------------------------------------- */

typedef struct leaving {
	ctx *c;
	const model_pattern *m;
	bool *out; /* of each axis */
	rat by;
	size_t n, parts; /* openings left out and parts looked at by one line */
} leaving;

/* Is the rim of an opening, in any sheet, nearer to the part's footprint than may be? Both seen along the pattern's way
 * through. */
static bool rim_near(const leaving *w, point3 at, const box3 *box) {
	for (size_t i = 0; i < w->m->sheets.n; i++) {
		const model_sheet_of_pattern *s = &w->m->sheets.v[i];
		model_feature f = {.kind = FEATURE_OPENING, .part = s->part, .shape = s->shape, .centre = at};
		f.face = face_of(w->m->through, true);
		f.through = true;
		frame fr = frame_of(w->c->m->parts.v[s->part].box, f.face);
		feature_outline rim = feature_outline_on(&f, &fr), foot = feature_outline_of_box(*box, &fr);
		if (feature_nearer(&rim, &foot, w->by)) return true;
	}
	return false;
}

static void each_foot(ctx *c, model_ref row, void *data) {
	leaving *w = data;
	w->parts++;
	for (size_t i = 0; i < w->m->axes.n; i++) {
		if (!rim_near(w, w->m->axes.v[i], &c->m->parts.v[row].box)) continue;
		w->out[i] = true;
		w->n++;
	}
}

static bool leave_clear(leaving *w, const pattern_def *def, const syn_line *line) {
	ctx *c = w->c;
	const syn_clause *of = line_clause(line, "of", 0);
	const syn_expr *by = line_arg(line, "by", 0);
	w->by = rat_int(0);
	w->n = 0;
	if (by && !eval_length(c, by, &w->by)) return false;
	if (rat_sign(w->by) < 0) {
		diag_error(c->diags, "plan-value", by->at, "openings stay clear by nothing or more, not by less");
		return false;
	}
	for (size_t k = 0; k < of->args.n; k++) {
		w->parts = 0;
		part_rows(c, of->args.v[k], false, each_foot, w);
		if (w->parts == 0) return false; /* reported where it failed */
	}
	if (w->n) return true;
	diag *g =
		diag_warning(c->diags, "pattern-clear", line->at, "all openings of `%s` are clear of this by %s anyway",
			     def->name, quant_show_length(c->mem, w->by, c->m->measures, false));
	diag_add_note(c->diags, g, def->at, "the openings");
	diag_add_help(c->diags, g, "take the line away, or name the part that they should keep away from");
	return true;
}

static void no_foot(ctx *c, model_ref row, void *data) {
	(void)c;
	(void)row;
	(void)data;
}

void open_field_look(ctx *c, const line_list *lines) {
	for (size_t i = 0; i < lines->n; i++) {
		if (!line_is(lines->v[i], "clear")) continue;
		const syn_clause *of = line_clause(lines->v[i], "of", 0);
		for (size_t k = 0; k < of->args.n; k++) part_rows(c, of->args.v[k], false, no_foot, NULL);
	}
}

static bool leave_numbers(leaving *w, const syn_line *line) {
	const syn_clause *k = line_clause(line, NULL, 0);
	bool good = true;
	for (size_t i = 0; i < k->args.n; i++) {
		int64_t n;
		if (!eval_count(w->c, k->args.v[i], 1, (int64_t)w->m->axes.n, &n)) {
			good = false;
		} else if (w->out[n - 1]) {
			diag_error(w->c->diags, "plan-twice", k->args.v[i]->at, "opening %lld is left out already",
				   (long long)n);
			good = false;
		} else {
			w->out[n - 1] = true;
		}
	}
	return good;
}

/* Rows that are left, and the most openings that one of them has; they still stand row by row. */
static void count_rows(model_pattern *m) {
	uint32_t in_row = 0;
	if (m->kind != PATTERN_GRID && m->kind != PATTERN_STAGGER) return;
	m->rows = m->columns = 0;
	for (size_t i = 0; i < m->axes.n; i++) {
		bool next = i == 0 || !rat_eq(m->axes.v[i].v[m->v], m->axes.v[i - 1].v[m->v]);
		if (next) m->rows++;
		in_row = next ? 1 : in_row + 1;
		if (in_row > m->columns) m->columns = in_row;
	}
}

bool open_field_leave_out(ctx *c, const pattern_def *def, const line_list *lines, bool alone, model_pattern *m) {
	leaving w = {.c = c, .m = m, .out = ARENA_MANY(c->mem, bool, m->axes.n + 1)};
	const syn_line *last = NULL;
	bool good = true;
	/* Numbers first: they are those of the whole layout. */
	for (size_t i = 0; i < lines->n; i++)
		if (line_is(lines->v[i], "without")) good = leave_numbers(&w, last = lines->v[i]) && good;
	for (size_t i = 0; i < lines->n && !alone; i++)
		if (line_is(lines->v[i], "clear")) good = leave_clear(&w, def, last = lines->v[i]) && good;
	if (!good || !last) return good;
	size_t left = 0, all = m->axes.n;
	for (size_t i = 0; i < all; i++)
		if (!w.out[i]) m->axes.v[left++] = m->axes.v[i];
	m->axes.n = left;
	m->left_out = (uint32_t)(all - left);
	count_rows(m);
	if (left) return true;
	diag *g = diag_error(c->diags, "pattern-empty", last->at, "nothing is left of `%s`: %s left out", def->name,
			     all == 1 ? "its only opening is" : arena_printf(c->mem, "all %zu openings are", all));
	diag_add_note(c->diags, g, def->at, "the openings");
	diag_add_help(c->diags, g, "leave fewer out, or take the openings away");
	return false;
}
