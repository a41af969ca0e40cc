#include "compiler/check_util.h"

#include <math.h>

enum { MOST_PLACES = 15 };

const char *check_number(diags *d, double v, int decimals) {
	while (v != 0 && decimals < MOST_PLACES && fabs(v) * pow(10, decimals) < 0.5) decimals++;
	return quant_show_number(d->mem, v, decimals);
}

rat check_rounded(double v_mm, int64_t steps) {
	double least = fabs(v_mm);
	while (least > 0 && steps < INT64_MAX / 10 && least * (double)steps < 0.5) steps *= 10;
	return rat_from_double(v_mm, steps);
}

/* The last place that quant_show_length() and quant_show_decimal() show. */
static bool shown_as_nothing(rat mm, measures as) {
	double size = fabs(rat_double(mm));
	return size > 0 && (as == MEASURES_INCH ? size / 25.4 < 0.5e-4 : size < 0.5e-3);
}

const char *check_length(const model *m, diags *d, rat mm) {
	if (shown_as_nothing(mm, m->measures)) {
		bool inch = m->measures == MEASURES_INCH;
		return arena_printf(d->mem, "%s %s", check_number(d, rat_double(mm) / (inch ? 25.4 : 1), 4),
				    inch ? "in" : "mm");
	}
	bool fine = m->measures == MEASURES_INCH && rat_ok(mm) && rat_lt(rat_abs(mm), rat_int(3));
	if (!fine) return quant_show_length(d->mem, mm, m->measures, false);
	const char *text = quant_show_length(d->mem, mm, m->measures, false);
	if (text[0] != '~') return text;
	return arena_printf(d->mem, "%s in", quant_show_decimal(d->mem, mm, m->measures));
}

const char *check_deep(const model *m, diags *d, const char *verb, rat deep) {
	return rat_sign(deep) == 0 ? "touch" : arena_printf(d->mem, "%s by %s", verb, check_length(m, d, deep));
}

const char *check_feature(const model *m, diags *d, const model_feature *f) {
	const char *from = feature_origin(m, f);
	switch (f->kind) {
	case FEATURE_OPENING:
		return arena_printf(d->mem, "opening %u of %s", f->index + 1, from);
	case FEATURE_PILOT:
	case FEATURE_CLEARANCE:
		return arena_printf(d->mem, "screw %u of %s", f->index + 1, from);
	default:
		return arena_printf(d->mem, "the %s of %s", feature_word(m, f), from);
	}
}

rat check_breadth(const model_shape *s) { return model_shape_narrow(s); }

void check_names_part(const model *m, diags *d, diag *g, model_ref part) {
	if (part >= m->parts.n) return;
	const model_part *p = &m->parts.v[part];
	diag_add_about(d, g, p->at);
	if (p->stock < m->stocks.n) diag_add_about(d, g, m->stocks.v[p->stock].at);
}

bool check_solid(const model_part *p) { return p->kind != PART_GAP; }

span check_feature_at(const model *m, const model_feature *f) {
	if (span_known(f->at)) return f->at;
	if (f->pattern != MODEL_NONE) return m->patterns.v[f->pattern].at;
	if (f->joint != MODEL_NONE) return m->joints.v[f->joint].at;
	return m->parts.v[f->part].at;
}

void check_worsts_add(diags *d, check_worsts *w, model_ref part, model_ref x, model_ref y, rat gap, size_t a,
		      size_t b) {
	for (size_t i = 0; i < w->v.n; i++) {
		check_worst *e = &w->v.v[i];
		if (e->part != part || e->x != x || e->y != y) continue;
		e->count++;
		if (!rat_lt(gap, e->gap)) return;
		e->gap = gap;
		e->a = a;
		e->b = b;
		return;
	}
	LIST_PUSH(d->mem, &w->v, ((check_worst){part, x, y, gap, a, b, 1}));
}

const char *check_count(diags *d, uint32_t count) {
	return count > 1 ? arena_printf(d->mem, " (the worst of %u)", count) : "";
}

check_box *check_boxes(const model *m, diags *d) {
	check_box *v = ARENA_MANY(d->mem, check_box, m->features.n + 1);
	for (size_t i = 0; i < m->features.n; i++) {
		box3 b = feature_box(&m->features.v[i]);
		for (int n = 0; n < 3; n++) {
			v[i].lo[n] = rat_double(b.lo[n]);
			v[i].hi[n] = rat_double(b.hi[n]);
		}
	}
	return v;
}

bool check_far(const check_box *a, const check_box *b, double by, int skip) {
	for (int n = 0; n < 3; n++)
		if (n != skip && (a->lo[n] > b->hi[n] + by + CHECK_MARGIN || b->lo[n] > a->hi[n] + by + CHECK_MARGIN))
			return true;
	return false;
}

check_rows check_features_by_part(const model *m, diags *d) {
	check_rows r = {ARENA_MANY(d->mem, uint32_t, m->parts.n + 2), ARENA_MANY(d->mem, uint32_t, m->features.n + 1)};
	for (size_t i = 0; i < m->features.n; i++) r.first[m->features.v[i].part + 2]++;
	for (size_t i = 2; i < m->parts.n + 2; i++) r.first[i] += r.first[i - 1];
	for (size_t i = 0; i < m->features.n; i++) r.row[r.first[m->features.v[i].part + 1]++] = (uint32_t)i;
	return r;
}
