/* How evenly a field of openings draws: the box of air behind it, from the parts, and the flow along it to where it
 * leaves (runtime/engine/airfield.h). */
#include <math.h>

#include "compiler/air.h"
#include "runtime/base/order.h"
#include "runtime/engine/airfield.h"
#include "runtime/engine/airlaw.h"

/* A part bounds the box when it lies behind half of the field at least (ours). */
static const double BOUNDS = 0.5;

static double mm(rat r) { return rat_double(r); }

typedef struct rect {
	double lo[2], hi[2]; /* mm, along the pattern's u and v */
} rect;

static rect shadow(const box3 *b, axis u, axis v) {
	return (rect){{mm(b->lo[u]), mm(b->lo[v])}, {mm(b->hi[u]), mm(b->hi[v])}};
}

static double overlap(const rect *a, const rect *b) {
	double area = 1;
	for (int k = 0; k < 2; k++) area *= fmax(0, fmin(a->hi[k], b->hi[k]) - fmax(a->lo[k], b->lo[k]));
	return area;
}

static double area(const rect *r) { return (r->hi[0] - r->lo[0]) * (r->hi[1] - r->lo[1]); }

/* The rectangle round the openings of a pattern in a sheet, seen along another pattern's directions. */
static rect field_rect(const model_pattern *p, const model_sheet_of_pattern *s, axis u, axis v) {
	rect r = {{INFINITY, INFINITY}, {-INFINITY, -INFINITY}};
	axis axes[2] = {u, v};
	for (size_t i = 0; i < p->axes.n; i++) {
		point3 at = model_shape_middle(&s->shape, p->axes.v[i], p->u, p->v);
		for (int k = 0; k < 2; k++) {
			double half = mm(model_shape_half(&s->shape, axes[k])), mid = mm(at.v[axes[k]]);
			r.lo[k] = fmin(r.lo[k], mid - half);
			r.hi[k] = fmax(r.hi[k], mid + half);
		}
	}
	return r;
}

/* What the air goes to next, out of the space behind the field (or comes from, before it): the only thing with a place
 * that opens there, or NULL. */
static const model_branch *beyond(const model *m, const model_branch *b) {
	const model_branch *next = NULL;
	for (size_t i = 0; i < m->air.branches.n; i++) {
		const model_branch *o = &m->air.branches.v[i];
		if (o == b || o->kind == AIR_LEAK || o->from != b->to) continue;
		if (next || o->part >= m->parts.n) return NULL;
		next = o;
	}
	return next;
}

static double size_mm(const box3 *b, axis a) { return mm(box_size(*b, a)); }

/* From the sheet's face on that side to the nearest sheet behind the field, m; NaN: there is none. */
static double depth_behind(const model *m, const model_branch *b, const rect *field, axis t, bool high) {
	const model_pattern *p = &m->patterns.v[b->pattern];
	const box3 *sheet = &m->parts.v[b->part].box;
	double from = mm(high ? sheet->hi[t] : sheet->lo[t]), least = INFINITY;
	for (model_ref i = 0; i < m->parts.n; i++) {
		const model_part *q = &m->parts.v[i];
		if (i == b->part || (q->kind != PART_PANEL && q->kind != PART_DOOR)) continue;
		rect r = shadow(&q->box, p->u, p->v);
		double away = high ? mm(q->box.lo[t]) - from : from - mm(q->box.hi[t]);
		if (away > 0 && overlap(&r, field) >= BOUNDS * area(field)) least = fmin(least, away);
	}
	return isfinite(least) ? least / 1000 : (double)NAN;
}

/* The rows of the field along an axis, in metres; equal places (to 1/100 mm) are one. */
static size_t rows_along(arena *mem, const model *m, const model_branch *b, axis along, airfield_row **out) {
	const model_pattern *p = &m->patterns.v[b->pattern];
	double *at = ARENA_MANY(mem, double, p->axes.n + 1);
	airfield_row *rows = ARENA_MANY(mem, airfield_row, p->axes.n + 1);
	size_t n = 0;
	for (size_t i = 0; i < p->axes.n; i++) at[i] = mm(p->axes.v[i].v[along]) / 1000;
	order_doubles(at, p->axes.n);
	for (size_t i = 0; i < p->axes.n; i++) {
		if (!n || at[i] > rows[n - 1].at_m + 1e-5) rows[n++] = (airfield_row){.at_m = at[i], .loss_k = b->k};
		rows[n - 1].open_m2 += b->open_m2 / (double)p->axes.n;
	}
	*out = rows;
	return n;
}

/* Where the stream leaves, seen from the field; false when it goes straight on. */
static bool leaves_along(const model *m, const model_branch *b, const model_branch *next, const rect *field,
			 axis *along, double *at_mm) {
	const model_pattern *p = &m->patterns.v[b->pattern];
	if (next->pattern == b->pattern) return false; /* the same axes again, or tubes on them */
	rect out = shadow(&m->parts.v[next->part].box, p->u, p->v);
	/* Units and fans side by side are one thing. */
	for (model_ref i = 1; i < next->count && next->kind != AIR_OPENINGS && next->part + i < m->parts.n; i++) {
		rect more = shadow(&m->parts.v[next->part + i].box, p->u, p->v);
		for (int k = 0; k < 2; k++) {
			out.lo[k] = fmin(out.lo[k], more.lo[k]);
			out.hi[k] = fmax(out.hi[k], more.hi[k]);
		}
	}
	const model_pattern *q = next->kind == AIR_OPENINGS ? &m->patterns.v[next->pattern] : NULL;
	const model_sheet_of_pattern *s = q ? model_pattern_sheet(q, next->part) : NULL;
	if (s) out = field_rect(q, s, p->u, p->v);
	/* What covers most of the field takes its air where it comes. */
	if (overlap(&out, field) >= BOUNDS * area(field)) return false;
	double most = -1;
	axis axes[2] = {p->u, p->v};
	for (int k = 0; k < 2; k++) {
		double mid = (out.lo[k] + out.hi[k]) / 2, centre = (field->lo[k] + field->hi[k]) / 2;
		double off = fabs(mid - centre) / (field->hi[k] - field->lo[k]);
		if (off <= most) continue;
		most = off;
		*along = axes[k];
		*at_mm = mid;
	}
	return true;
}

static void spread_of(model *m, model_branch *b) {
	b->spread = (model_spread){.known = false};
	if (b->kind != AIR_OPENINGS || b->runs_on || b->feeds_fan || b->pattern >= m->patterns.n) return;
	const model_air_result *r = &m->air.result[1];
	const model_pattern *p = &m->patterns.v[b->pattern];
	const model_sheet_of_pattern *s = model_pattern_sheet(p, b->part);
	const model_branch *next = beyond(m, b);
	double flow = r->solved ? r->flow[b - m->air.branches.v].flow_m3_s : 0, at_mm = 0;
	axis along = p->u, t = p->through;
	if (!s || !next || p->axes.n < 2 || !(flow > 0)) return;
	rect field = field_rect(p, s, p->u, p->v);
	if (!leaves_along(m, b, next, &field, &along, &at_mm)) return;
	const box3 *sheet = &m->parts.v[b->part].box, *to = &m->parts.v[next->part].box;
	bool high = mm(to->lo[t]) + mm(to->hi[t]) > mm(sheet->lo[t]) + mm(sheet->hi[t]);
	double depth = depth_behind(m, b, &field, t, high);
	double broad = size_mm(sheet, along == p->u ? p->v : p->u) / 1000;
	if (!(depth > 0) || !(broad > 0)) return;
	arena scratch = {0};
	airfield_row *rows;
	size_t n = rows_along(&scratch, m, b, along, &rows);
	for (size_t i = 0; i < n; i++) {
		rows[i].section_m2 = depth * broad;
		rows[i].hydraulic_m = 2 * depth * broad / (depth + broad);
	}
	airfield f = {.rows = rows,
		      .n_rows = n,
		      .outlet_m = at_mm / 1000,
		      .roughness_m = AIRLAW_WALL_ROUGHNESS_M,
		      .density_kg_m3 = m->air.density_kg_m3,
		      .viscosity_pa_s = m->air.viscosity_pa_s,
		      .flow_m3_s = flow};
	airfield_result e = airfield_spread(&scratch, &f);
	bool starved = e.trouble == AIRFIELD_STARVED;
	if (e.trouble == AIRFIELD_SOLVED || starved)
		b->spread = (model_spread){.known = true,
					   .depth_m = depth,
					   .section_m2 = depth * broad,
					   .along = along,
					   .outlet_m = at_mm / 1000,
					   .rows = (uint32_t)n,
					   .most = starved ? (double)NAN : air_kept(e.most),
					   .least = starved ? 0 : air_kept(e.least),
					   .plenum_m_s =
						   starved ? air_kept(flow / (depth * broad)) : air_kept(e.plenum_m_s)};
	arena_end(&scratch);
}

void air_spreads(model *m) {
	for (size_t i = 0; i < m->air.branches.n; i++) spread_of(m, &m->air.branches.v[i]);
}
