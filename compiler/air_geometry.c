/* Areas that the air goes through, from the model's geometry. */
#include <math.h>

#include "compiler/air.h"
#include "runtime/engine/airlaw.h"
#include "runtime/engine/openarea.h"
#include "runtime/engine/outline.h"

static const double PI = 3.14159265358979323846, MM = 1e-3;

typedef LIST(openarea_rect) rects;

static double mm(rat r) { return rat_double(r); }

static void two_axes(axis through, axis *u, axis *v) {
	*u = through == AXIS_X ? AXIS_Y : AXIS_X;
	*v = through == AXIS_Z ? AXIS_Y : AXIS_Z;
}

static openarea_rect shadow(box3 b, axis u, axis v) {
	return (openarea_rect){mm(b.lo[u]), mm(b.lo[v]), mm(b.hi[u]), mm(b.hi[v])};
}

static double face_m2(box3 b, axis through) {
	axis u, v;
	two_axes(through, &u, &v);
	return mm(box_size(b, u)) * MM * mm(box_size(b, v)) * MM;
}

/* Does this part stop the air where it lies? Air goes through filters, fans and collars; a gap is no material. */
static bool stops_air(const model *m, const model_part *p) {
	if (p->kind == PART_GAP) return false;
	if (p->stock == MODEL_NONE || p->stock >= m->stocks.n) return true;
	model_stock_kind k = m->stocks.v[p->stock].kind;
	return k != STOCK_FILTER && k != STOCK_FAN && k != STOCK_MEDIA && k != STOCK_COLLAR;
}

static bool missing(double v) { return !(v > 0) || !isfinite(v); }

static bool figure_missing(model *m, diags *d, model_ref row, const char *what, const char *help) {
	const model_branch *b = &m->air.branches.v[row];
	diag *g = diag_error(d, "air-figure", b->at, "%s has no %s", air_branch_words(d->mem, m, row), what);
	diag_add_help(d, g, "%s", help);
	return false;
}

/* ---- openings ------------------------------------------------------------------------------ */

/* The opening in this sheet, centred on the origin of the u-v plane. */
static openarea_shape outline(arena *mem, const model_shape *s, axis u, axis v) {
	if (s->kind == SHAPE_OUTLINE) {
		outline_path *p = ARENA_NEW(mem, outline_path);
		*p = outline_of_shape(mem, s, u, v);
		return openarea_outline(0, 0, p);
	}
	double a = mm(s->a), b = s->kind == SHAPE_ROUND ? a : mm(s->b);
	double along_u = s->along == u ? a : b, along_v = s->along == u ? b : a;
	if (s->kind == SHAPE_ROUND) return openarea_disc(0, 0, a);
	if (s->kind == SHAPE_SLOT) return openarea_slot(0, 0, along_u, along_v);
	return openarea_box(0, 0, along_u, along_v, rat_ok(s->corner) ? mm(s->corner) : 0);
}

typedef struct cover {		     /* what lies over a sheet, seen along the openings' axes */
	rects shadow;		     /* boxes of the parts, and of flanges */
	LIST(model_ref) part;	     /* whose shadow it is */
	LIST(outline_solid *) solid; /* NULL: all of the box; else its true outline with its own openings */
} cover;

/* A part that has openings of its own along the same axis: the air goes on through those. NULL when it has none. */
static outline_solid *with_openings(const model *m, arena *mem, const model_pattern *p, model_ref part) {
	outline_solid *o = NULL;
	for (size_t i = 0; i < m->features.n; i++) {
		const model_feature *f = &m->features.v[i];
		if (f->part != part || f->kind != FEATURE_OPENING || !f->through || face_axis(f->face) != p->through)
			continue;
		if (!o) {
			openarea_rect r = shadow(m->parts.v[part].box, p->u, p->v);
			o = ARENA_NEW(mem, outline_solid);
			o->outer = outline_rect(mem, r.x0, r.y0, r.x1, r.y1);
		}
		outline_path hole = outline_of_shape(mem, &f->shape, p->u, p->v);
		hole = outline_moved(mem, &hole, mm(f->centre.v[p->u]), mm(f->centre.v[p->v]));
		LIST_PUSH(mem, &o->holes, hole);
	}
	return o;
}

/* Flanges of other patterns' items that lie in that part and come near the sheet: discs with a bore. */
static void add_flanges(const model *m, arena *mem, const model_pattern *of, model_ref part, const box3 *sheet,
			cover *over) {
	for (size_t i = 0; i < m->patterns.n; i++) {
		const model_pattern *p = &m->patterns.v[i];
		const model_sheet_of_pattern *s = p == of ? NULL : model_pattern_sheet(p, part);
		if (!s || s->collar >= m->stocks.n || p->through != of->through) continue;
		const model_stock *c = &m->stocks.v[s->collar];
		if (!rat_ok(c->flange.mm) || !rat_ok(c->bore.mm)) continue;
		if (rat_cmp(box_distance_axis(*sheet, m->parts.v[part].box, of->through), rat_int(AIR_OVER_MM)) > 0)
			continue;
		double r = mm(c->flange.mm) / 2, bore = mm(c->bore.mm) / 2;
		for (size_t k = 0; k < p->axes.n; k++) {
			double x = mm(p->axes.v[k].v[of->u]), y = mm(p->axes.v[k].v[of->v]);
			LIST_PUSH(mem, &over->shadow, ((openarea_rect){x - r, y - r, x + r, y + r}));
			LIST_PUSH(mem, &over->part, part);
			outline_solid *o = ARENA_NEW(mem, outline_solid);
			o->outer = outline_circle(mem, x, y, r);
			LIST_PUSH(mem, &o->holes, outline_circle(mem, x, y, bore));
			LIST_PUSH(mem, &over->solid, o);
		}
	}
}

/* The rectangle round the outermost rims of the field. */
openarea_rect air_field_rect(const model_pattern *p, const model_shape *s) {
	openarea_rect r = {INFINITY, INFINITY, -INFINITY, -INFINITY};
	double half_u = mm(model_shape_half(s, p->u)), half_v = mm(model_shape_half(s, p->v));
	for (size_t i = 0; i < p->axes.n; i++) {
		point3 at = model_shape_middle(s, p->axes.v[i], p->u, p->v);
		double u = mm(at.v[p->u]), v = mm(at.v[p->v]);
		r.x0 = fmin(r.x0, u - half_u);
		r.x1 = fmax(r.x1, u + half_u);
		r.y0 = fmin(r.y0, v - half_v);
		r.y1 = fmax(r.y1, v + half_v);
	}
	return r;
}

/* The parts that touch either face of the sheet or come within AIR_OVER_MM of it. */
static cover lying_over(arena *mem, const model *m, const model_pattern *p, model_ref sheet) {
	cover over = {0};
	box3 s = m->parts.v[sheet].box;
	openarea_rect field = air_field_rect(p, &model_pattern_sheet(p, sheet)->shape);
	for (model_ref i = 0; i < m->parts.n; i++) {
		const model_part *q = &m->parts.v[i];
		if (i == sheet || !stops_air(m, q) || model_pattern_sheet(p, i)) continue;
		if (model_pipe_along(m, q, p->through)) continue;
		if (rat_cmp(box_distance_axis(s, q->box, p->through), rat_int(AIR_OVER_MM)) > 0) continue;
		add_flanges(m, mem, p, i, &s, &over);
		openarea_rect r = shadow(q->box, p->u, p->v);
		if (r.x1 <= field.x0 || r.x0 >= field.x1 || r.y1 <= field.y0 || r.y0 >= field.y1) continue;
		LIST_PUSH(mem, &over.shadow, r);
		LIST_PUSH(mem, &over.part, i);
		LIST_PUSH(mem, &over.solid, with_openings(m, mem, p, i));
	}
	add_flanges(m, mem, p, sheet, &s, &over);
	return over;
}

/* The work pieces that lie on a part, as shadows on its two directions; empty: none. */
static rects work_on(arena *mem, const model *m, model_ref part) {
	rects on = {0};
	for (size_t i = 0; i < m->air.works.n; i++) {
		const model_work *w = &m->air.works.v[i];
		if (w->part != part) continue;
		double u = mm(w->at_u), v = mm(w->at_v), half_u = mm(w->size_u) / 2, half_v = mm(w->size_v) / 2;
		LIST_PUSH(mem, &on, ((openarea_rect){u - half_u, v - half_v, u + half_u, v + half_v}));
	}
	return on;
}

/* What the work leaves of a rectangle, m2. */
static double beside_work(arena *mem, openarea_rect r, const rects *on) {
	openarea_shape whole = openarea_box((r.x0 + r.x1) / 2, (r.y0 + r.y1) / 2, r.x1 - r.x0, r.y1 - r.y0, 0);
	return openarea_free(mem, &whole, on->v, on->n) * MM * MM;
}

/* The opening less what lies over it. Boxes alone go the quick way; both are closed forms. */
static double left_free(arena *mem, const openarea_shape *s, const cover *over) {
	LIST(outline_solid) solids = {0};
	openarea_rect box = openarea_bounds(s);
	bool plain = true;
	for (size_t i = 0; i < over->shadow.n; i++) {
		openarea_rect r = over->shadow.v[i];
		if (r.x1 <= box.x0 || r.x0 >= box.x1 || r.y1 <= box.y0 || r.y0 >= box.y1) continue;
		outline_solid *o = LIST_ADD(mem, &solids);
		if (over->solid.v[i]) {
			*o = *over->solid.v[i];
			plain = false;
		} else {
			o->outer = outline_rect(mem, r.x0, r.y0, r.x1, r.y1);
		}
	}
	if (plain) return openarea_free(mem, s, over->shadow.v, over->shadow.n);
	outline_path p = openarea_path(mem, s);
	double free = outline_free(mem, &p, solids.v, solids.n);
	return free > 1e-9 * openarea_whole(s) ? free : 0;
}

/* The part that closes most of an opening: what the message points at. */
static model_ref most_over(const openarea_shape *s, const cover *over) {
	model_ref most = MODEL_NONE;
	double area = 0;
	for (size_t i = 0; i < over->shadow.n; i++) {
		double a = openarea_within(s, over->shadow.v[i]);
		if (a <= area) continue;
		area = a;
		most = over->part.v[i];
	}
	return most;
}

/* Adds up what is left of each opening, mm2; the first that is closed wholly is reported, the others counted. */
static double sum_free(const model *m, diags *d, model_branch *b, openarea_shape shape, const model_shape *given,
		       const cover *over) {
	const model_pattern *p = &m->patterns.v[b->pattern];
	double open = 0;
	for (size_t i = 0; i < p->axes.n; i++) {
		point3 at = model_shape_middle(given, p->axes.v[i], p->u, p->v);
		shape.cx = mm(at.v[p->u]);
		shape.cy = mm(at.v[p->v]);
		double left = left_free(d->mem, &shape, over);
		open += left;
		if (left > 0 || b->wholly_covered++ > 0) continue;
		model_ref by = most_over(&shape, over);
		diag *g = diag_warning(d, "opening-covered", b->at, "opening %zu of the %zu of %s is covered wholly",
				       i + 1, p->axes.n, b->name);
		if (by != MODEL_NONE) diag_add_note(d, g, m->parts.v[by].at, "%s lies over it", m->parts.v[by].name);
		diag_add_help(d, g, "move the openings or what lies over them; a closed one is work for nothing");
	}
	return open;
}

/* The opening, or the bore of what is seated in it. */
static openarea_shape passage(arena *mem, const model *m, const model_sheet_of_pattern *s, axis u, axis v) {
	if (s->collar < m->stocks.n && rat_ok(m->stocks.v[s->collar].bore.mm))
		return openarea_disc(0, 0, mm(m->stocks.v[s->collar].bore.mm));
	return outline(mem, &s->shape, u, v);
}

static void grille_of(model_branch *b, const model_pattern *p, const model_shape *s) {
	openarea_rect r = air_field_rect(p, s);
	b->grille_m2 = (r.x1 - r.x0) * (r.y1 - r.y0) * MM * MM;
	b->grille_long_m = fmax(r.x1 - r.x0, r.y1 - r.y0) * MM;
}

/* Open area of the field in its sheet with `over` lying over it, m2; the outermost to the least. */
static double field_free_m2(arena *mem, const model_pattern *p, const model_sheet_of_pattern *s, openarea_shape shape,
			    const cover *over) {
	double open = 0;
	for (size_t i = 0; i < p->axes.n; i++) {
		point3 at = model_shape_middle(&s->shape, p->axes.v[i], p->u, p->v);
		shape.cx = mm(at.v[p->u]);
		shape.cy = mm(at.v[p->v]);
		open += left_free(mem, &shape, over);
	}
	return open * MM * MM;
}

double air_openings_free_m2(arena *mem, const model *m, model_ref pattern, model_ref sheet) {
	const model_pattern *p = &m->patterns.v[pattern];
	const model_sheet_of_pattern *s = model_pattern_sheet(p, sheet);
	if (!s || s->blind) return (double)NAN;
	cover over = lying_over(mem, m, p, sheet);
	return field_free_m2(mem, p, s, passage(mem, m, s, p->u, p->v), &over);
}

/* What the work pieces leave of the field: they lie flat on it, beside what lies there already. */
static void work_over(arena *mem, const model *m, model_branch *b, const model_sheet_of_pattern *s,
		      openarea_shape shape, cover *over) {
	const model_pattern *p = &m->patterns.v[b->pattern];
	rects on = work_on(mem, m, b->part);
	b->worked = on.n > 0;
	if (!b->worked) return;
	for (size_t i = 0; i < on.n; i++) {
		LIST_PUSH(mem, &over->shadow, on.v[i]);
		LIST_PUSH(mem, &over->part, MODEL_NONE);
		LIST_PUSH(mem, &over->solid, NULL);
	}
	b->work_open_m2 = field_free_m2(mem, p, s, shape, over);
	b->work_plan_m2 = beside_work(mem, shadow(m->parts.v[b->part].box, p->u, p->v), &on);
}

static bool openings_geometry(model *m, diags *d, model_ref row) {
	model_branch *b = &m->air.branches.v[row];
	if (b->pattern >= m->patterns.n || b->part >= m->parts.n)
		return figure_missing(m, d, row, "pattern of openings in a sheet", "name it as: openings in SHEET");
	const model_pattern *p = &m->patterns.v[b->pattern];
	const model_sheet_of_pattern *sheet = model_pattern_sheet(p, b->part);
	const char *words = air_branch_words(d->mem, m, row);
	if (d->errors && (!sheet || p->axes.n == 0)) return false; /* what is wrong with the pattern was told */
	if (!sheet || p->axes.n == 0)
		return figure_missing(m, d, row, "opening in that sheet", "the pattern must name the sheet after `in`");
	if (sheet->blind) {
		diag *g = diag_error(d, "air-closed", b->at, "%s are blind there: no air goes through", words);
		diag_add_note(d, g, sheet->at, "the openings end within this sheet");
		return false;
	}
	openarea_shape shape = passage(d->mem, m, sheet, p->u, p->v);
	double whole = openarea_whole(&shape);
	if (missing(whole))
		return figure_missing(m, d, row, "opening of a size above zero", "give the openings a size");
	cover over = lying_over(d->mem, m, p, b->part);
	double open = sum_free(m, d, b, shape, &sheet->shape, &over);
	b->count = (uint32_t)p->axes.n;
	b->gross_m2 = whole * (double)p->axes.n * MM * MM;
	b->open_m2 = open * MM * MM;
	b->plan_m2 = face_m2(m->parts.v[b->part].box, p->through);
	b->thick_m = mm(box_size(m->parts.v[b->part].box, p->through)) * MM;
	b->hole_m = airlaw_hydraulic(whole, openarea_perimeter(&shape)) * MM;
	grille_of(b, p, &sheet->shape);
	work_over(d->mem, m, b, sheet, shape, &over);
	if (b->open_m2 > 0) return true;
	diag_error(d, "air-closed", b->at, "%s are all covered: no air goes through", words);
	return false;
}

/* ---- the others ----------------------------------------------------------------------------- */

static bool gap_geometry(model *m, diags *d, model_ref row) {
	model_branch *b = &m->air.branches.v[row];
	if (b->part >= m->parts.n)
		return figure_missing(m, d, row, "gap among the parts", "declare it as a gap of the cabinet");
	const model_part *gap = &m->parts.v[b->part];
	axis t = gap->thick_axis, u, v;
	two_axes(t, &u, &v);
	openarea_rect r = shadow(gap->box, u, v);
	openarea_shape shape = openarea_box((r.x0 + r.x1) / 2, (r.y0 + r.y1) / 2, r.x1 - r.x0, r.y1 - r.y0, 0);
	rects inside = {0};
	model_ref first = MODEL_NONE;
	for (size_t i = 0; i < m->parts.n; i++) {
		const model_part *q = &m->parts.v[i];
		if (i == b->part || !stops_air(m, q) || !box_overlap(gap->box, q->box)) continue;
		if (first == MODEL_NONE) first = (model_ref)i;
		LIST_PUSH(d->mem, &inside, shadow(q->box, u, v));
	}
	double whole = openarea_whole(&shape), open = openarea_free(d->mem, &shape, inside.v, inside.n);
	b->gross_m2 = b->plan_m2 = whole * MM * MM;
	b->open_m2 = open * MM * MM;
	b->thick_m = mm(box_size(gap->box, t)) * MM;
	b->hole_m = airlaw_hydraulic(open, openarea_perimeter(&shape)) * MM;
	if (b->count == 0) b->count = 1;
	rects on = work_on(d->mem, m, b->part);
	b->worked = on.n > 0;
	if (b->worked) {
		b->work_plan_m2 = beside_work(d->mem, r, &on);
		for (size_t i = 0; i < on.n; i++) LIST_PUSH(d->mem, &inside, on.v[i]);
		b->work_open_m2 = openarea_free(d->mem, &shape, inside.v, inside.n) * MM * MM;
	}
	if (b->open_m2 > 0) return true;
	diag *g = diag_error(d, "air-closed", b->at, "%s is closed: no air goes through",
			     air_branch_words(d->mem, m, row));
	if (first != MODEL_NONE) diag_add_note(d, g, m->parts.v[first].at, "%s stands in it", m->parts.v[first].name);
	return false;
}

/* Face of a unit: the largest of its three. */
static double largest_face_m2(box3 b) { return fmax(face_m2(b, AXIS_X), fmax(face_m2(b, AXIS_Y), face_m2(b, AXIS_Z))); }

static bool filter_geometry(model *m, diags *d, model_ref row) {
	model_branch *b = &m->air.branches.v[row];
	if (b->stock >= m->stocks.n || m->stocks.v[b->stock].kind != STOCK_FILTER)
		return figure_missing(m, d, row, "filter stock", "give the item a stock of kind filter");
	const model_stock *s = &m->stocks.v[b->stock];
	if (b->count == 0) b->count = 1;
	if (s->curve.n == 0)
		return figure_missing(m, d, row, "measured loss", "give its stock the curve of flow and clean loss");
	if (missing(s->media_area_m2.v))
		return figure_missing(m, d, row, "media area", "give its stock the area of the media");
	b->open_m2 = b->gross_m2 = s->media_area_m2.v * b->count;
	if (b->part < m->parts.n) b->plan_m2 = largest_face_m2(m->parts.v[b->part].box) * b->count;
	return true;
}

/* Do the openings that the tubes hang in stand in a way themselves? Then their loss is counted there. */
static bool mouths_counted(const model *m, const model_branch *tubes) {
	for (size_t i = 0; i < m->air.branches.n; i++) {
		const model_branch *o = &m->air.branches.v[i];
		if (o->kind == AIR_OPENINGS && o->pattern == tubes->pattern && o->part == tubes->part) return true;
	}
	return false;
}

/* The mouths of the tubes: bores of the collars they hang on, as long as those; and the plan left between the tubes. */
static void tube_mouths(const model *m, model_branch *b, const model_pattern *p) {
	const model_sheet_of_pattern *s = p && b->part < m->parts.n ? model_pattern_sheet(p, b->part) : NULL;
	double bore = b->hole_m, tubes = b->count * PI * b->hole_m * b->hole_m / 4;
	double whole = s ? face_m2(m->parts.v[b->part].box, p->through) : NAN;
	b->thick_m = s ? mm(box_size(m->parts.v[b->part].box, p->through)) * MM : NAN;
	if (s && s->collar < m->stocks.n) {
		const model_stock *collar = &m->stocks.v[s->collar];
		if (rat_ok(collar->bore.mm)) bore = mm(collar->bore.mm) * MM;
		if (rat_ok(collar->length.mm)) b->thick_m = mm(collar->length.mm) * MM;
	}
	b->plan_m2 = b->count * PI * bore * bore / 4;
	b->k = s && !mouths_counted(m, b) ? airlaw_plate(fmin(1, b->plan_m2 / whole), b->thick_m / bore) : 0;
	if (missing(b->box_m2)) b->box_m2 = whole > tubes ? whole - tubes : NAN;
}

static bool tubes_geometry(model *m, diags *d, model_ref row) {
	model_branch *b = &m->air.branches.v[row];
	if (b->stock >= m->stocks.n || m->stocks.v[b->stock].kind != STOCK_MEDIA)
		return figure_missing(m, d, row, "media stock",
				      "name the cloth after the colon: tubes NAME : MEDIA in ...");
	const model_pattern *p = b->pattern < m->patterns.n ? &m->patterns.v[b->pattern] : NULL;
	if (b->count == 0 && p) b->count = (uint32_t)p->axes.n;
	if (b->count == 0)
		return figure_missing(m, d, row, "number of tubes", "hang the tubes in a pattern of openings");
	if (missing(b->hole_m)) return figure_missing(m, d, row, "diameter", "give the tubes a diameter");
	if (missing(b->length_m)) return figure_missing(m, d, row, "length", "give the tubes a length");
	b->open_m2 = b->gross_m2 = b->count * PI * b->hole_m * b->length_m;
	if (b->part >= m->parts.n && p && p->sheets.n) b->part = p->sheets.v[p->sheets.n - 1].part;
	tube_mouths(m, b, p);
	return true;
}

static bool duct_geometry(model *m, diags *d, model_ref row) {
	model_branch *b = &m->air.branches.v[row];
	if (missing(b->hole_m)) return figure_missing(m, d, row, "diameter", "give the duct a diameter");
	if (!(b->length_m >= 0) || !isfinite(b->length_m))
		return figure_missing(m, d, row, "length", "give the duct a length");
	if (!(b->roughness_m >= 0) || !(b->roughness_m <= 0.05 * b->hole_m))
		return figure_missing(m, d, row, "roughness between 0 and a twentieth of its diameter",
				      "galvanised steel is 0.09 to 0.15 mm, smooth plastic 0.01 to 0.05 mm");
	if (b->count == 0) b->count = 1;
	double one = b->side_m[0] > 0 ? b->side_m[0] * b->side_m[1] : PI * b->hole_m * b->hole_m / 4;
	b->open_m2 = b->gross_m2 = b->plan_m2 = b->count * one;
	return true;
}

static bool fan_geometry(model *m, diags *d, model_ref row) {
	model_branch *b = &m->air.branches.v[row];
	if (b->stock >= m->stocks.n || m->stocks.v[b->stock].kind != STOCK_FAN)
		return figure_missing(m, d, row, "fan stock", "give the item a stock of kind fan");
	const model_stock *s = &m->stocks.v[b->stock];
	if (s->curve.n < 2)
		return figure_missing(m, d, row, "curve",
				      "give its stock two or more published points of flow and pressure");
	if (b->count == 0) b->count = 1;
	double inlet = rat_ok(s->inlet.mm) ? mm(s->inlet.mm) * MM : 0;
	b->open_m2 = b->gross_m2 = b->plan_m2 = b->count * PI * inlet * inlet / 4;
	return true;
}

static bool leak_geometry(model *m, diags *d, model_ref row) {
	model_branch *b = &m->air.branches.v[row];
	if (missing(b->area_given_m2))
		return figure_missing(m, d, row, "area", "give the leak an area, as: area 12 cm2");
	if (b->count == 0) b->count = 1;
	b->open_m2 = b->gross_m2 = b->plan_m2 = b->area_given_m2;
	return true;
}

bool air_geometry(model *m, diags *d) {
	static bool (*const EACH[AIR_KINDS])(model *, diags *, model_ref) = {
		[AIR_GAP] = gap_geometry,     [AIR_OPENINGS] = openings_geometry, [AIR_FILTER] = filter_geometry,
		[AIR_TUBES] = tubes_geometry, [AIR_FAN] = fan_geometry,		  [AIR_DUCT] = duct_geometry,
		[AIR_LEAK] = leak_geometry,
	};
	bool good = true;
	for (model_ref i = 0; i < m->air.branches.n; i++) {
		m->air.branches.v[i].wholly_covered = 0;
		m->air.branches.v[i].grille_m2 = m->air.branches.v[i].grille_long_m = (double)NAN;
		good = EACH[m->air.branches.v[i].kind](m, d, i) && good;
	}
	return good;
}
