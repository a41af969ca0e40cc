/* Openings: distance from each other and from the sheet's edges, common axes, edge treatment. */
#include <math.h>
#include <stdlib.h>

#include "compiler/check.h"
#include "compiler/check_limits.h"
#include "compiler/check_seats.h"
#include "compiler/check_util.h"
#include "runtime/base/text.h"

/* Axes agree as printed in the drilling tables (1/1000 mm). */
static const rat AXIS_OFF = {1, 500};

/* Web and edge limit: the sheet's thickness, but no more than the opening is broad, so that small holes in a thick
 * sheet may stand as near as they are wide; times the rule's limit. */
static rat web_limit(const model *m, const model_feature *f, rat times) {
	const model_part *p = &m->parts.v[f->part];
	return rat_mul(times, rat_min(box_size(p->box, face_axis(f->face)), check_breadth(&f->shape)));
}

/* The openings of all sheets, each with its box, sorted by sheet and then by place, so that neighbours stand near
 * each other in the list. */
typedef struct place {
	model_ref feature, part;
	axis along; /* one of the sheet's axes: they are sorted by it */
	check_box box;
} place;
typedef struct places {
	place *v;
	size_t n;
} places;

static int by_place(const void *x, const void *y) {
	const place *a = x, *b = y;
	if (a->part != b->part) return a->part < b->part ? -1 : 1;
	if (a->along != b->along) return a->along < b->along ? -1 : 1;
	double p = a->box.lo[a->along], q = b->box.lo[b->along];
	if (p < q || p > q) return p < q ? -1 : 1;
	return a->feature < b->feature ? -1 : a->feature > b->feature;
}

static places sorted_openings(const model *m, diags *d) {
	places r = {.v = ARENA_MANY(d->mem, place, m->features.n + 1)};
	const check_box *box = check_boxes(m, d);
	for (size_t i = 0; i < m->features.n; i++) {
		const model_feature *f = &m->features.v[i];
		if (f->kind != FEATURE_OPENING) continue;
		axis along = face_axis(f->face) == AXIS_X ? AXIS_Y : AXIS_X;
		r.v[r.n++] = (place){(model_ref)i, f->part, along, box[i]};
	}
	qsort(r.v, r.n, sizeof *r.v, by_place);
	return r;
}

/* Calls `each` for every two openings of a sheet that may stand nearer than `by` (mm) of the first. */
typedef void pair_fn(const model *m, diags *d, size_t a, size_t b, void *data);
static void near_pairs(const model *m, diags *d, double by, pair_fn *each, void *data) {
	places r = sorted_openings(m, d);
	for (size_t i = 0; i < r.n; i++) {
		const place *a = &r.v[i];
		for (size_t k = i + 1; k < r.n; k++) {
			const place *b = &r.v[k];
			if (b->part != a->part || b->along != a->along) break;
			if (b->box.lo[a->along] > a->box.hi[a->along] + by + CHECK_MARGIN) break;
			if (check_far(&a->box, &b->box, by, 3)) continue;
			if (a->feature < b->feature)
				each(m, d, a->feature, b->feature, data);
			else
				each(m, d, b->feature, a->feature, data);
		}
	}
}

typedef struct web_scan {
	check_worsts w;
	bool overlap; /* webs of 0 or less; else those between 0 and the limit */
	rat times;
} web_scan;

static void web_of_pair(const model *m, diags *d, size_t i, size_t k, void *data) {
	web_scan *scan = data;
	const model_feature *a = &m->features.v[i], *b = &m->features.v[k];
	rat limit = rat_min(web_limit(m, a, scan->times), web_limit(m, b, scan->times)), gap = feature_between(a, b);
	if (scan->overlap ? rat_sign(gap) > 0 : rat_sign(gap) <= 0 || !rat_lt(gap, limit)) return;
	model_ref x = a->pattern < b->pattern ? a->pattern : b->pattern;
	model_ref y = a->pattern < b->pattern ? b->pattern : a->pattern;
	check_worsts_add(d, &scan->w, a->part, x, y, gap, i, k);
}

static check_worsts webs(const model *m, diags *d, bool overlap) {
	double most = 0;
	rat times = check_limit(m, "hole-web");
	for (size_t i = 0; !overlap && i < m->features.n; i++)
		if (m->features.v[i].kind == FEATURE_OPENING)
			most = fmax(most, rat_double(web_limit(m, &m->features.v[i], times)));
	web_scan scan = {.overlap = overlap, .times = times};
	near_pairs(m, d, most, web_of_pair, &scan);
	return scan.w;
}

static rat limit_of(const model *m, const check_worst *e, rat times) {
	return rat_min(web_limit(m, &m->features.v[e->a], times), web_limit(m, &m->features.v[e->b], times));
}

/* The same openings of the same patterns, as far apart, in another sheet. */
static bool same_pair(const model *m, const check_worst *e, const check_worst *f) {
	const model_feature *v = m->features.v;
	return e->x == f->x && e->y == f->y && e->count == f->count && rat_eq(e->gap, f->gap) &&
	       v[e->a].index == v[f->a].index && v[e->b].index == v[f->b].index;
}

/* For each fault the first that is the same but for its sheet: it is told there. A waiver that names a thing may be for
 * one of the sheets alone: then each is told by itself. */
static const size_t *told_at(const model *m, diags *d, const check_worsts *w, const char *rule) {
	bool apart = false;
	rat times = check_limit(m, "hole-web");
	for (size_t i = 0; i < m->waivers.n; i++)
		apart = apart || (m->waivers.v[i].things.n && text_same(m->waivers.v[i].rule, rule));
	size_t *at = ARENA_MANY(d->mem, size_t, w->v.n + 1);
	for (size_t i = 0; i < w->v.n; i++) {
		const check_worst *e = &w->v.v[i];
		at[i] = 0;
		while (at[i] < i && (apart || !same_pair(m, &w->v.v[at[i]], e) ||
				     !rat_eq(limit_of(m, &w->v.v[at[i]], times), limit_of(m, e, times))))
			at[i]++;
	}
	return at;
}

/* "left and right": the sheets of all that is told at `i`. */
static const char *sheets_of(const model *m, diags *d, const check_worsts *w, const size_t *at, size_t i) {
	textbuf t = textbuf_begin(d->mem);
	size_t left = 0;
	for (size_t k = i; k < w->v.n; k++) left += at[k] == i;
	for (size_t k = i; k < w->v.n; k++)
		if (at[k] == i)
			textbuf_printf(&t, "%s%s", m->parts.v[w->v.v[k].part].name,
				       --left > 1 ? ", "
				       : left	  ? " and "
						  : "");
	return t.v;
}

static void note_pair(const model *m, diags *d, diag *g, const check_worsts *w, const size_t *at, size_t i) {
	const model_feature *a = &m->features.v[w->v.v[i].a], *b = &m->features.v[w->v.v[i].b];
	if (a->pattern != b->pattern)
		diag_add_note(d, g, check_feature_at(m, b), "the other opening is asked for here");
	for (size_t k = i; k < w->v.n; k++) {
		const model_part *sheet = &m->parts.v[w->v.v[k].part];
		if (at[k] != i) continue;
		diag_add_note(d, g, sheet->at, "the sheet %s", sheet->name);
		check_names_part(m, d, g, w->v.v[k].part);
	}
}

static void hole_overlap(const model *m, diags *d) {
	check_worsts w = webs(m, d, true);
	const size_t *at = told_at(m, d, &w, "hole-overlap");
	for (size_t i = 0; i < w.v.n; i++) {
		if (at[i] != i) continue;
		const check_worst *e = &w.v.v[i];
		const model_feature *a = &m->features.v[e->a], *b = &m->features.v[e->b];
		rat deep = rat_neg(e->gap), limit = limit_of(m, e, check_limit(m, "hole-web"));
		diag *g = diag_error(d, "hole-overlap", check_feature_at(m, a), "%s and %s %s in %s%s",
				     check_feature(m, d, a), check_feature(m, d, b), check_deep(m, d, "overlap", deep),
				     sheets_of(m, d, &w, at, i), check_count(d, e->count));
		note_pair(m, d, g, &w, at, i);
		diag_add_help(d, g, "set them %s further apart to leave a web of %s",
			      check_length(m, d, rat_add(deep, limit)), check_length(m, d, limit));
	}
}

static void hole_web(const model *m, diags *d) {
	check_worsts w = webs(m, d, false);
	const size_t *at = told_at(m, d, &w, "hole-web");
	for (size_t i = 0; i < w.v.n; i++) {
		if (at[i] != i) continue;
		const check_worst *e = &w.v.v[i];
		const model_feature *a = &m->features.v[e->a], *b = &m->features.v[e->b];
		rat limit = limit_of(m, e, check_limit(m, "hole-web")), lacks = rat_sub(limit, e->gap);
		diag *g = diag_warning(d, "hole-web", check_feature_at(m, a),
				       "the web between %s and %s in %s is %s, %s less than the %s it should have%s",
				       check_feature(m, d, a), check_feature(m, d, b), sheets_of(m, d, &w, at, i),
				       check_length(m, d, e->gap), check_length(m, d, lacks), check_length(m, d, limit),
				       check_count(d, e->count));
		note_pair(m, d, g, &w, at, i);
		diag_add_help(d, g, "set them %s further apart, or make them that much smaller",
			      check_length(m, d, lacks));
	}
}

/* Nearest edge of the blank to an opening; below 0 it reaches beyond the edge. */
static rat nearest_edge(const model *m, const model_feature *f, face *which) {
	box3 b = feature_box(f), blank = m->parts.v[f->part].blank;
	rat least = rat_poison();
	for (int i = 0; i < 6; i++) {
		if (face_axis((face)i) == face_axis(f->face)) continue;
		rat gap = rat_sub(box_face(blank, (face)i), box_face(b, (face)i));
		if (!face_high((face)i)) gap = rat_neg(gap);
		if (rat_ok(least) && !rat_lt(gap, least)) continue;
		least = gap;
		*which = (face)i;
	}
	return least;
}

/* Off the sheet (gap < 0), or nearer to the edge than the limit. */
static check_worsts edges(const model *m, diags *d, bool off) {
	check_worsts w = {0};
	rat times = check_limit(m, "hole-edge");
	for (size_t i = 0; i < m->features.n; i++) {
		const model_feature *f = &m->features.v[i];
		if (f->kind != FEATURE_OPENING) continue;
		face which = FACE_LEFT;
		rat gap = nearest_edge(m, f, &which);
		if (off ? rat_sign(gap) >= 0 : rat_sign(gap) < 0 || !rat_lt(gap, web_limit(m, f, times))) continue;
		check_worsts_add(d, &w, f->part, f->pattern, MODEL_NONE, gap, i, which);
	}
	return w;
}

/* The sheet that lies edge to edge with this one at a side, in its plane; MODEL_NONE when there is none. */
static model_ref beyond_edge(const model *m, model_ref part, face side) {
	const model_part *p = &m->parts.v[part];
	for (model_ref i = 0; i < m->parts.n; i++) {
		const model_part *o = &m->parts.v[i];
		face f;
		box3 rect;
		if (i == part || o->kind != PART_PANEL || o->thick_axis != p->thick_axis) continue;
		if (box_touch(p->box, o->box, &f, &rect) && f == side) return i;
	}
	return MODEL_NONE;
}

/* A hole over a seam breaks out on both sides of it; one pattern in sheets beside each other puts all its openings into
 * each of them. */
static bool over_seam(const model *m, diags *d, diag *g, const model_feature *f, face side) {
	model_ref beyond = beyond_edge(m, f->part, side);
	if (beyond == MODEL_NONE || f->pattern >= m->patterns.n) return false;
	const model_part *o = &m->parts.v[beyond];
	const model_pattern *p = &m->patterns.v[f->pattern];
	diag_add_note(d, g, o->at, "%s lies edge to edge with it there", o->name);
	if (!model_pattern_sheet(p, beyond)) return false;
	diag_add_help(d, g, "%s puts each opening into every one of its sheets: give %s and %s openings of their own",
		      p->name, m->parts.v[f->part].name, o->name);
	return true;
}

static void hole_off_sheet(const model *m, diags *d) {
	check_worsts w = edges(m, d, true);
	rat times = check_limit(m, "hole-edge");
	for (size_t i = 0; i < w.v.n; i++) {
		const check_worst *e = &w.v.v[i];
		const model_feature *f = &m->features.v[e->a];
		const model_part *p = &m->parts.v[e->part];
		diag *g = diag_error(d, "hole-off-sheet", check_feature_at(m, f),
				     "%s reaches %s beyond the %s edge of %s%s", check_feature(m, d, f),
				     check_length(m, d, rat_neg(e->gap)), FACE_NAME[e->b], p->name,
				     check_count(d, e->count));
		diag_add_note(d, g, p->face_at[e->b], "the %s edge is fixed here", FACE_NAME[e->b]);
		check_names_part(m, d, g, e->part);
		if (over_seam(m, d, g, f, (face)e->b)) continue;
		diag_add_help(d, g, "move it %s inwards to leave %s at the edge",
			      check_length(m, d, rat_sub(web_limit(m, f, times), e->gap)),
			      check_length(m, d, web_limit(m, f, times)));
	}
}

static void hole_edge(const model *m, diags *d) {
	check_worsts w = edges(m, d, false);
	rat times = check_limit(m, "hole-edge");
	for (size_t i = 0; i < w.v.n; i++) {
		const check_worst *e = &w.v.v[i];
		const model_feature *f = &m->features.v[e->a];
		const model_part *p = &m->parts.v[e->part];
		rat limit = web_limit(m, f, times);
		diag *g = diag_warning(d, "hole-edge", check_feature_at(m, f),
				       "%s leaves %s to the %s edge of %s, %s less than the %s it should%s",
				       check_feature(m, d, f), check_length(m, d, e->gap), FACE_NAME[e->b], p->name,
				       check_length(m, d, rat_sub(limit, e->gap)), check_length(m, d, limit),
				       check_count(d, e->count));
		diag_add_note(d, g, p->face_at[e->b], "the %s edge is fixed here", FACE_NAME[e->b]);
		check_names_part(m, d, g, e->part);
		diag_add_help(d, g, "a larger inset, or a smaller opening, mends it");
	}
}

static void hole_blind(const model *m, diags *d) {
	for (size_t i = 0; i < m->patterns.n; i++) {
		const model_pattern *p = &m->patterns.v[i];
		for (size_t k = 0; k < p->sheets.n; k++) {
			const model_sheet_of_pattern *s = &p->sheets.v[k];
			const model_part *part = &m->parts.v[s->part];
			rat thick = box_size(part->box, p->through);
			if (!s->blind || rat_lt(s->depth, thick)) continue;
			diag *g = diag_error(d, "hole-blind", s->depth_at,
					     "blind openings %s deep come through %s, which is %s thick",
					     check_length(m, d, s->depth), part->name, check_length(m, d, thick));
			diag_add_note(d, g, part->at, "the sheet %s", part->name);
			check_names_part(m, d, g, s->part);
			diag_add_help(d, g, "make them less deep than %s, or let them go through",
				      check_length(m, d, thick));
		}
	}
}

/* ---- axes ---------------------------------------------------------------------------------- */

/* Where the drilling table of the sheet says that an opening is, put back into the cabinet: the two coordinates
 * measured from the sheet's own datum, as printed to 1/1000 mm. */
static point3 as_printed(const model *m, const model_feature *f) {
	frame fr = frame_of(m->parts.v[f->part].blank, feature_worked_from(m, f));
	rat u, v;
	frame_from_cabinet(&fr, f->centre, &u, &v, NULL);
	point3 p = frame_to_cabinet(&fr, rat_round(u, 1000), rat_round(v, 1000), rat_int(0));
	if (f->shape.kind == SHAPE_OUTLINE) {
		/* Given is the middle of its bounding box. */
		p.v[fr.u] = rat_sub(p.v[fr.u], f->shape.off_u);
		p.v[fr.v] = rat_sub(p.v[fr.v], f->shape.off_v);
	}
	return p;
}

static const model_feature *opening_with(const model *m, model_ref part, size_t pattern, uint32_t index) {
	for (size_t i = 0; i < m->features.n; i++) {
		const model_feature *f = &m->features.v[i];
		if (f->kind == FEATURE_OPENING && f->part == part && f->pattern == pattern && f->index == index)
			return f;
	}
	return NULL;
}

static uint32_t count_openings(const model *m, model_ref part, size_t pattern) {
	uint32_t n = 0;
	for (size_t i = 0; i < m->features.n; i++) {
		const model_feature *f = &m->features.v[i];
		n += f->kind == FEATURE_OPENING && f->part == part && f->pattern == pattern;
	}
	return n;
}

static rat off_axis(const model_pattern *p, point3 a, point3 b) {
	return rat_max(rat_abs(rat_sub(a.v[p->u], b.v[p->u])), rat_abs(rat_sub(a.v[p->v], b.v[p->v])));
}

static void compare_sheets(const model *m, diags *d, size_t pattern, const model_sheet_of_pattern *one,
			   const model_sheet_of_pattern *two) {
	const model_pattern *p = &m->patterns.v[pattern];
	const char *a = m->parts.v[one->part].name, *b = m->parts.v[two->part].name;
	uint32_t na = count_openings(m, one->part, pattern), nb = count_openings(m, two->part, pattern);
	if (na != nb) {
		diag *g = diag_error(d, "axis-mismatch", p->at, "%s has %u openings in %s but %u in %s", p->name, na, a,
				     nb, b);
		diag_add_note(d, g, two->at, "the sheet %s", b);
		diag_add_help(d, g, "a pattern puts the same openings into each of its sheets");
		return;
	}
	rat worst = rat_int(0);
	uint32_t at = 0, n = 0;
	for (size_t i = 0; i < m->features.n; i++) {
		const model_feature *f = &m->features.v[i];
		if (f->kind != FEATURE_OPENING || f->part != one->part || f->pattern != pattern) continue;
		const model_feature *o = opening_with(m, two->part, pattern, f->index);
		rat off = o && face_axis(o->face) == p->through && face_axis(f->face) == p->through
				  ? off_axis(p, as_printed(m, f), as_printed(m, o))
				  : box_size(m->parts.v[one->part].box, p->u);
		if (rat_le(off, AXIS_OFF)) continue;
		n++;
		if (!rat_lt(worst, off)) continue;
		worst = off;
		at = f->index;
	}
	if (n == 0) return;
	diag *g = diag_error(d, "axis-mismatch", p->at, "opening %u of %s stands %s off its axis between %s and %s%s",
			     at + 1, p->name, check_length(m, d, worst), a, b, check_count(d, n));
	diag_add_note(d, g, one->at, "the sheet %s", a);
	diag_add_note(d, g, two->at, "the sheet %s", b);
	diag_add_help(d, g, "both sheets must lie square to the axes of the pattern and hold the same places");
}

static void axis_mismatch(const model *m, diags *d) {
	for (size_t i = 0; i < m->patterns.n; i++)
		for (size_t k = 1; k < m->patterns.v[i].sheets.n; k++)
			compare_sheets(m, d, i, &m->patterns.v[i].sheets.v[0], &m->patterns.v[i].sheets.v[k]);
}

/* ---- edge treatment -------------------------------------------------------------------------- */

static void ease_thickness(const model *m, diags *d, const model_pattern *p, size_t k) {
	const model_ease *e = &p->eases.v[k];
	const model_part *part = &m->parts.v[e->part];
	rat thick = box_size(part->box, p->through), used = rat_int(0);
	for (size_t o = 0; o <= k; o++)
		if (p->eases.v[o].part == e->part) used = rat_add(used, p->eases.v[o].size);
	if (!rat_lt(thick, used)) return;
	diag *g = diag_error(d, "ease-fit", e->at, "edge treatments of %s in %s take %s of a sheet %s thick", p->name,
			     part->name, check_length(m, d, used), check_length(m, d, thick));
	diag_add_note(d, g, part->at, "the sheet %s", part->name);
	diag_add_help(d, g, "together they may take %s at most", check_length(m, d, thick));
}

typedef struct rim_scan {
	check_worsts w;
	size_t pattern;
	model_ref part;
	rat both; /* twice the size */
} rim_scan;

static void rims_of_pair(const model *m, diags *d, size_t i, size_t k, void *data) {
	rim_scan *scan = data;
	const model_feature *a = &m->features.v[i], *b = &m->features.v[k];
	if (a->part != scan->part || a->pattern != scan->pattern || b->pattern != scan->pattern) return;
	rat gap = feature_between(a, b);
	if (rat_sign(gap) > 0 && rat_lt(gap, scan->both)) check_worsts_add(d, &scan->w, scan->part, 0, 0, gap, i, k);
}

/* Eased rims of neighbours must not meet, and a round-over must fit the thickness. */
static void ease_fit(const model *m, diags *d) {
	for (size_t i = 0; i < m->patterns.n; i++) {
		const model_pattern *p = &m->patterns.v[i];
		for (size_t k = 0; k < p->eases.n; k++) {
			const model_ease *e = &p->eases.v[k];
			ease_thickness(m, d, p, k);
			rim_scan scan = {.pattern = i, .part = e->part, .both = rat_mul(e->size, rat_int(2))};
			near_pairs(m, d, rat_double(scan.both), rims_of_pair, &scan);
			if (scan.w.v.n == 0) continue;
			const check_worst *worst = &scan.w.v.v[0];
			diag *g = diag_warning(d, "ease-fit", e->at, "eased rims of %s meet in %s: the web lacks %s%s",
					       p->name, m->parts.v[e->part].name,
					       check_length(m, d, rat_sub(scan.both, worst->gap)),
					       check_count(d, worst->count));
			diag_add_note(d, g, p->at, "the openings");
			diag_add_help(d, g, "ease them by %s at most", check_length(m, d, rat_half(worst->gap)));
		}
	}
}

const check_rule CHECK_OPENINGS[] = {
	{"hole-overlap", DIAG_ERROR, "Openings of a sheet do not touch or overlap.", "geometry", hole_overlap},
	{"hole-web", DIAG_WARNING, "The web between two openings is broad enough to carry.",
	 "common practice, no source", hole_web},
	{"hole-off-sheet", DIAG_ERROR, "Every opening lies wholly on its sheet.", "geometry", hole_off_sheet},
	{"hole-edge", DIAG_WARNING, "An opening leaves enough of the sheet to its edge.", "common practice, no source",
	 hole_edge},
	{"hole-blind", DIAG_ERROR, "A blind opening is less deep than its sheet is thick.", "geometry", hole_blind},
	{"axis-mismatch", DIAG_ERROR,
	 "The openings of a pattern, as each sheet's drilling table gives them, stand on the same axes in the cabinet.",
	 "geometry", axis_mismatch},
	{"collar-fit", DIAG_ERROR,
	 "A collar, tube or grommet fits its hole and sheet; its flange bears all round and overlaps no other; its "
	 "clamp "
	 "grips it.",
	 "common practice, no source", check_seats_fit},
	{"hole-size", DIAG_WARNING,
	 "What a drill or hole saw really cuts lies within the tolerance of the hole, where nothing is seated in it.",
	 "ISO 2768-1, class m", check_seats_size},
	{"flange-room", DIAG_ERROR,
	 "The flange of what is seated lies wholly on the sheet, clear of parts that stand there, of cuts and of other "
	 "patterns.",
	 "geometry", check_seats_room},
	{"ease-fit", DIAG_ERROR, "Edge treatments fit the thickness of the sheet and the webs between openings.",
	 "geometry", ease_fit},
};
const size_t N_CHECK_OPENINGS = sizeof CHECK_OPENINGS / sizeof *CHECK_OPENINGS;
