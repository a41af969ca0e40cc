/* Joints: openings against joints and screws, screws against edges, each other and their length, depth of dados. */
#include <ctype.h>
#include <string.h>

#include "compiler/check.h"
#include "compiler/check_limits.h"
#include "compiler/check_util.h"
#include "runtime/engine/joint.h"

/* ---- openings against joints --------------------------------------------------------------- */

typedef struct obstacle { /* something of the sheet that an opening must keep away from */
	feature_outline at;
	bool cut; /* a groove: the opening would cut into it */
	span where;
	const char *what;
	model_ref by; /* the part that lies there, or NONE */
} obstacle;
typedef LIST(obstacle) obstacles;

static bool share_pattern(const model *m, model_ref a, model_ref b) {
	for (size_t i = 0; i < m->patterns.n; i++)
		if (model_pattern_sheet(&m->patterns.v[i], a) && model_pattern_sheet(&m->patterns.v[i], b)) return true;
	return false;
}

static bool bears(model_part_kind k) { return k == PART_PANEL || k == PART_CLEAT || k == PART_LEG; }

static void add_grooves(const model *m, diags *d, model_ref part, const frame *fr, obstacles *out) {
	for (size_t i = 0; i < m->features.n; i++) {
		const model_feature *f = &m->features.v[i];
		if (f->part != part || !feature_is_cut(f)) continue;
		if (face_axis(f->face) != face_axis(fr->face)) continue;
		LIST_PUSH(d->mem, out,
			  ((obstacle){feature_outline_on(f, fr), true, check_feature_at(m, f), check_feature(m, d, f),
				      MODEL_NONE}));
	}
}

static void add_contacts(const model *m, diags *d, model_ref part, const frame *fr, obstacles *out) {
	for (size_t i = 0; i < m->joints.n; i++) {
		const model_joint *j = &m->joints.v[i];
		if ((j->a != part && j->b != part) || face_axis(j->face_a) != face_axis(fr->face)) continue;
		if (share_pattern(m, j->a, j->b)) continue;
		/* A filter, fan or grille sits over its opening: that is what it is for. */
		if (m->parts.v[j->a].kind == PART_ITEM || m->parts.v[j->b].kind == PART_ITEM) continue;
		/* Slats are there to lie across openings; the free area is worked out from it. */
		if (j->kind == JOINT_LAP && (m->parts.v[j->a].kind == PART_SLAT || m->parts.v[j->b].kind == PART_SLAT))
			continue;
		if ((j->b == part && joint_cuts(j->kind)) || j->kind == JOINT_HALVING)
			continue; /* its groove stands for it */
		if (model_pipe_along(m, &m->parts.v[j->a], face_axis(fr->face)) ||
		    model_pipe_along(m, &m->parts.v[j->b], face_axis(fr->face)))
			continue;
		const char *what = arena_printf(d->mem, "the joint %s", j->name);
		LIST_PUSH(d->mem, out,
			  ((obstacle){feature_outline_of_box(j->contact, fr), false, j->at, what,
				      j->a == part ? j->b : j->a}));
	}
	for (size_t i = 0; i < m->parts.n; i++) {
		const model_part *p = &m->parts.v[i];
		face f;
		box3 rect;
		if (i == part || !bears(p->kind) || !box_touch(m->parts.v[part].box, p->box, &f, &rect) ||
		    face_axis(f) != face_axis(fr->face))
			continue;
		if (joint_between(m, part, (model_ref)i) || share_pattern(m, part, (model_ref)i)) continue;
		if (model_pipe_along(m, p, face_axis(fr->face))) continue; /* the opening goes on in it */
		const char *what = arena_printf(d->mem, "the place where %s lies on it", p->name);
		LIST_PUSH(d->mem, out,
			  ((obstacle){feature_outline_of_box(rect, fr), false, p->at, what, (model_ref)i}));
	}
}

static void report_joint(const model *m, diags *d, const check_worst *e, const obstacle *o, rat limit) {
	const model_feature *f = &m->features.v[e->a];
	const char *part = m->parts.v[e->part].name, *what = check_feature(m, d, f);
	diag *g;
	if (rat_sign(e->gap) < 0)
		g = (o->cut ? diag_error : diag_warning)(
			d, "hole-joint", check_feature_at(m, f), "%s runs %s into %s in %s%s", what,
			check_length(m, d, rat_neg(e->gap)), o->what, part, check_count(d, e->count));
	else
		g = diag_warning(d, "hole-joint", check_feature_at(m, f),
				 "%s leaves %s to %s in %s, %s less than it should%s", what, check_length(m, d, e->gap),
				 o->what, part, check_length(m, d, rat_sub(limit, e->gap)), check_count(d, e->count));
	diag_add_note(d, g, o->where, "%s comes from here", o->what);
	check_names_part(m, d, g, e->part);
	diag_add_help(d, g, "move the openings %s away from it to leave %s", check_length(m, d, rat_sub(limit, e->gap)),
		      check_length(m, d, limit));
}

/* Does the opening go on in the part that lies there? How well the two meet is axes-apart's. */
static bool goes_on(const model *m, const check_rows *rows, const feature_outline *o, const frame *fr, model_ref by) {
	if (by == MODEL_NONE) return false;
	for (uint32_t i = rows->first[by]; i < rows->first[by + 1]; i++) {
		const model_feature *f = &m->features.v[rows->row[i]];
		if (f->kind != FEATURE_OPENING || !f->through || face_axis(f->face) != face_axis(fr->face)) continue;
		feature_outline other = feature_outline_on(f, fr);
		if (rat_sign(feature_gap(o, &other)) < 0) return true;
	}
	return false;
}

static void hole_joint(const model *m, diags *d) {
	check_rows rows = check_features_by_part(m, d);
	for (size_t part = 0; part < m->parts.n; part++) {
		const model_part *p = &m->parts.v[part];
		obstacles list = {0};
		check_worsts w = {0};
		frame fr = frame_of(p->blank, p->work_face);
		rat limit = rat_mul(check_limit(m, "hole-joint"), box_size(p->box, p->thick_axis));
		bool gathered = false;
		for (uint32_t r = rows.first[part]; r < rows.first[part + 1]; r++) {
			size_t i = rows.row[r];
			const model_feature *f = &m->features.v[i];
			if (f->kind != FEATURE_OPENING || face_axis(f->face) != face_axis(fr.face)) continue;
			if (!gathered) {
				add_grooves(m, d, (model_ref)part, &fr, &list);
				add_contacts(m, d, (model_ref)part, &fr, &list);
				gathered = true;
			}
			feature_outline o = feature_outline_on(f, &fr);
			for (size_t k = 0; k < list.n; k++)
				if (feature_nearer(&o, &list.v[k].at, limit) &&
				    !goes_on(m, &rows, &o, &fr, list.v[k].by))
					check_worsts_add(d, &w, (model_ref)part, f->pattern, (model_ref)k,
							 feature_gap(&o, &list.v[k].at), i, k);
		}
		for (size_t i = 0; i < w.v.n; i++) report_joint(m, d, &w.v.v[i], &list.v[w.v.v[i].b], limit);
	}
}

/* ---- screws -------------------------------------------------------------------------------- */

static bool is_screw(const model_feature *f) { return f->kind == FEATURE_PILOT || f->kind == FEATURE_CLEARANCE; }

static void hole_screw(const model *m, diags *d) {
	check_worsts w = {0};
	const check_box *box = check_boxes(m, d);
	check_rows rows = check_features_by_part(m, d);
	rat apart = check_limit(m, "hole-screw");
	for (size_t i = 0; i < m->features.n; i++) {
		const model_feature *s = &m->features.v[i];
		if (!is_screw(s)) continue;
		for (uint32_t r = rows.first[s->part]; r < rows.first[s->part + 1]; r++) {
			size_t k = rows.row[r];
			const model_feature *o = &m->features.v[k];
			bool screw = is_screw(o);
			if ((!screw && o->kind != FEATURE_OPENING) || (screw && k <= i)) continue;
			if (check_far(&box[i], &box[k], rat_double(apart), 3)) continue;
			rat gap = feature_between(s, o);
			if (!rat_lt(gap, apart)) continue;
			model_ref from = screw ? o->joint : (model_ref)m->joints.n + o->pattern;
			check_worsts_add(d, &w, s->part, s->joint, from, gap, i, k);
		}
	}
	for (size_t i = 0; i < w.v.n; i++) {
		const check_worst *e = &w.v.v[i];
		const model_feature *s = &m->features.v[e->a], *o = &m->features.v[e->b];
		const char *a = check_feature(m, d, o), *b = check_feature(m, d, s), *part = m->parts.v[e->part].name;
		diag *g;
		if (rat_sign(e->gap) <= 0)
			g = diag_error(d, "hole-screw", check_feature_at(m, o), "%s and %s %s in %s%s", a, b,
				       check_deep(m, d, "run into each other", rat_neg(e->gap)), part,
				       check_count(d, e->count));
		else
			g = diag_warning(d, "hole-screw", check_feature_at(m, o),
					 "%s between %s and %s in %s, %s less than %s%s", check_length(m, d, e->gap), a,
					 b, part, check_length(m, d, rat_sub(apart, e->gap)), check_length(m, d, apart),
					 check_count(d, e->count));
		diag_add_note(d, g, check_feature_at(m, s), "the screws are asked for here");
		diag_add_note(d, g, m->parts.v[e->part].at, "both lie in %s", part);
		check_names_part(m, d, g, e->part);
		diag_add_help(d, g, "another spacing of the screws, or moving either by %s, parts them",
			      check_length(m, d, rat_sub(apart, e->gap)));
	}
}

/* Least distance of a hole's centre from the blank's faces beside it; *which the face, *second the next one on the
 * other axis (poison for none). */
static rat centre_to_edge(const model *m, const model_feature *f, face *which, rat *second) {
	box3 b = m->parts.v[f->part].blank;
	rat least[3] = {rat_poison(), rat_poison(), rat_poison()};
	face at[3] = {FACE_LEFT, FACE_FRONT, FACE_BOTTOM};
	axis best = face_axis(f->face);
	for (int i = 0; i < 6; i++) {
		axis n = face_axis((face)i);
		if (n == face_axis(f->face)) continue;
		rat gap = rat_sub(box_face(b, (face)i), f->centre.v[n]);
		if (!face_high((face)i)) gap = rat_neg(gap);
		if (rat_ok(least[n]) && !rat_lt(gap, least[n])) continue;
		least[n] = gap;
		at[n] = (face)i;
	}
	for (int n = 0; n < 3; n++)
		if (rat_ok(least[n]) && (best == face_axis(f->face) || rat_lt(least[n], least[best]))) best = (axis)n;
	*second = rat_poison();
	for (int n = 0; n < 3; n++)
		if (n != (int)best && rat_ok(least[n])) *second = least[n];
	*which = at[best];
	return least[best];
}

static rat screw_diameter(const model *m, const model_feature *f) {
	model_ref s = f->joint == MODEL_NONE ? MODEL_NONE : m->joints.v[f->joint].screw;
	return s != MODEL_NONE && rat_ok(m->stocks.v[s].diameter.mm) ? m->stocks.v[s].diameter.mm : f->shape.a;
}

/* How far from the corner; on a short edge a quarter of it. */
static rat corner_limit(const model *m, const model_feature *f, axis along) {
	return rat_min(check_limit(m, "screw-edge.corner"),
		       rat_mul(box_size(m->parts.v[f->part].blank, along), (rat){1, 4}));
}

static void screw_edge(const model *m, diags *d) {
	check_worsts edge = {0}, corner = {0};
	rat diameters = check_limit(m, "screw-edge");
	for (size_t i = 0; i < m->features.n; i++) {
		const model_feature *f = &m->features.v[i];
		if (!is_screw(f)) continue;
		face which;
		rat second, gap = centre_to_edge(m, f, &which, &second);
		rat limit = rat_mul(diameters, screw_diameter(m, f));
		if (rat_lt(gap, limit)) {
			check_worsts_add(d, &edge, f->part, f->joint, f->kind, gap, i, which);
			continue;
		}
		const model_part *p = &m->parts.v[f->part];
		if (f->kind != FEATURE_PILOT || face_axis(f->face) == p->thick_axis) continue;
		axis along = (axis)(3 - (int)face_axis(f->face) - (int)p->thick_axis);
		rat low = rat_sub(f->centre.v[along], p->blank.lo[along]),
		    high = rat_sub(p->blank.hi[along], f->centre.v[along]);
		gap = rat_min(low, high);
		if (rat_lt(gap, corner_limit(m, f, along)))
			check_worsts_add(d, &corner, f->part, f->joint, f->kind, gap, i,
					 face_of(along, rat_lt(high, low)));
	}
	for (size_t pass = 0; pass < 2; pass++) {
		const check_worsts *w = pass ? &corner : &edge;
		for (size_t i = 0; i < w->v.n; i++) {
			const check_worst *e = &w->v.v[i];
			const model_feature *f = &m->features.v[e->a];
			const model_part *p = &m->parts.v[e->part];
			face at = (face)e->b;
			rat limit = pass ? corner_limit(m, f, face_axis(at)) : rat_mul(diameters, screw_diameter(m, f));
			diag *g = diag_warning(d, "screw-edge", check_feature_at(m, f),
					       "%s stands %s from the %s %s of %s, %s less than %s%s",
					       check_feature(m, d, f), check_length(m, d, e->gap), FACE_NAME[at],
					       pass ? "corner of an edge" : "side", p->name,
					       check_length(m, d, rat_sub(limit, e->gap)), check_length(m, d, limit),
					       check_count(d, e->count));
			diag_add_note(d, g, p->face_at[at], "the %s side is fixed here", FACE_NAME[at]);
			check_names_part(m, d, g, e->part);
			diag_add_help(d, g,
				      pass ? "another spacing keeps the first screw away from the corner"
					   : "a thinner screw, or a thicker part, keeps the edge from splitting");
		}
	}
}

static bool is_mdf(const model_stock *s) {
	if (s->made != MADE_UNSAID) return s->made == MADE_MDF;
	for (int k = 0; k < 2; k++)
		for (const char *p = k ? s->label : s->name; p && *p; p++)
			if (tolower((unsigned char)p[0]) == 'm' && tolower((unsigned char)p[1]) == 'd' &&
			    tolower((unsigned char)p[2]) == 'f')
				return true;
	return false;
}

/* What the guide asks of this pilot hole, and what it has. */
static bool mdf_short(const model *m, const model_feature *f, rat *gap, rat *limit, const char **from) {
	const model_part *p = &m->parts.v[f->part];
	face which;
	rat second, first = centre_to_edge(m, f, &which, &second);
	bool on_face = face_axis(f->face) == p->thick_axis;
	if (on_face && rat_lt(first, check_limit(m, "mdf-screw.edge"))) {
		*gap = first;
		*limit = check_limit(m, "mdf-screw.edge");
		*from = "from an edge";
		return true;
	}
	axis along = (axis)(3 - (int)face_axis(f->face) - (int)p->thick_axis);
	*gap = on_face ? second
		       : rat_min(rat_sub(f->centre.v[along], p->blank.lo[along]),
				 rat_sub(p->blank.hi[along], f->centre.v[along]));
	*limit = check_limit(m, on_face ? "mdf-screw.corner" : "mdf-screw.end");
	*from = "from a corner";
	return rat_lt(*gap, *limit);
}

/* One message for the plan: the guide is stricter than most cabinets are built. */
static void mdf_screw(const model *m, diags *d) {
	const model_feature *worst = NULL;
	rat least = rat_int(0), gap, limit;
	uint32_t n = 0;
	const char *from = "";
	for (size_t i = 0; i < m->features.n; i++) {
		const model_feature *f = &m->features.v[i];
		const model_part *p = &m->parts.v[f->part];
		if (f->kind != FEATURE_PILOT || p->stock == MODEL_NONE || m->stocks.v[p->stock].kind != STOCK_SHEET)
			continue;
		if (!is_mdf(&m->stocks.v[p->stock]) || !mdf_short(m, f, &gap, &limit, &from)) continue;
		n++;
		rat lacks = rat_sub(limit, gap);
		if (worst && !rat_lt(least, lacks)) continue;
		worst = f;
		least = lacks;
	}
	if (!worst) return;
	mdf_short(m, worst, &gap, &limit, &from);
	diag *g = diag_warning(d, "mdf-screw", check_feature_at(m, worst), "%s stands %s %s in MDF, %s less than %s%s",
			       check_feature(m, d, worst), check_length(m, d, gap), from, check_length(m, d, least),
			       check_length(m, d, limit), check_count(d, n));
	diag_add_note(d, g, m->parts.v[worst->part].at, "%s is made of MDF", m->parts.v[worst->part].name);
	diag_add_help(
		d, g,
		"move the screws inwards, or join by dado and glue and let the screws only hold it while it sets");
}

/* Of a part that is too thin for half a screw: as much must hold it. Ours. */
enum { SCREW_THIN_NUM = 2, SCREW_THIN_DEN = 3 };

/* How thick a bought thing's flange is, its box does not say: a screw that is no shorter than the sheet is told. */
static void flange_unknown(const model *m, diags *d, const model_joint *j, rat there) {
	const model_part *a = &m->parts.v[j->a], *b = &m->parts.v[j->b];
	const model_stock *s = &m->stocks.v[j->screw];
	if (rat_lt(s->length.mm, there)) return;
	rat over = rat_sub(s->length.mm, there);
	diag *g = diag_warning(d, "screw-length", j->screw_at,
			       "%s is %s long and %s %s thick: its tip comes out, unless what it holds of %s is more "
			       "than %s thick",
			       s->name, check_length(m, d, s->length.mm), a->name, check_length(m, d, there), b->name,
			       check_length(m, d, over));
	diag_add_note(d, g, span_known(s->length.at) ? s->length.at : s->at, "the screw's length");
	check_names_part(m, d, g, j->a);
	check_names_part(m, d, g, j->b);
	if (b->stock < m->stocks.n)
		diag_add_help(d, g, "a shorter screw, or say with `flange_thick` in `%s` what it goes through",
			      m->stocks.v[b->stock].name);
	else
		diag_add_help(d, g, "a shorter screw");
}

/* Through b: from b's outer face to the face of a that meets it (a's tongue included). */
static void screw_length(const model *m, diags *d) {
	for (size_t i = 0; i < m->joints.n; i++) {
		const model_joint *j = &m->joints.v[i];
		if (j->screw == MODEL_NONE || j->n_screws == 0 || !rat_ok(m->stocks.v[j->screw].length.mm)) continue;
		const model_part *a = &m->parts.v[j->a], *b = &m->parts.v[j->b];
		const model_stock *s = &m->stocks.v[j->screw];
		rat length = s->length.mm, through, there;
		joint_screw_way(m, j, &through, &there);
		if (!model_part_made(m, b) && rat_sign(through) == 0) {
			flange_unknown(m, d, j, there);
			continue;
		}
		rat share = check_limit(m, "screw-length");
		rat bite = rat_sub(length, through), least = rat_mul(share, length);
		/* Where the part is too thin for that, most of what there is must do. */
		rat most = rat_mul(there, rat_of(SCREW_THIN_NUM, SCREW_THIN_DEN));
		bool thin = rat_lt(most, least);
		if (thin) least = most;
		diag *g = NULL;
		if (rat_le(there, bite)) {
			g = diag_error(d, "screw-length", j->screw_at, "%s is %s long: after %s of %s its tip %s",
				       s->name, check_length(m, d, length), check_length(m, d, through), b->name,
				       rat_eq(there, bite)
					       ? arena_printf(d->mem, "reaches the far face of %s", a->name)
					       : arena_printf(d->mem, "comes out of %s, %s too long", a->name,
							      check_length(m, d, rat_sub(bite, there))));
			diag_add_help(d, g, "a screw shorter than %s", check_length(m, d, rat_add(through, there)));
		} else if (rat_sign(bite) <= 0) {
			g = diag_error(d, "screw-length", j->screw_at,
				       "%s is %s long and does not come through the %s of %s", s->name,
				       check_length(m, d, length), check_length(m, d, through), b->name);
			diag_add_help(d, g, "a screw of %s reaches as deep as it is long outside",
				      check_length(m, d, rat_mul(through, rat_int(2))));
		} else if (rat_lt(bite, least)) {
			g = diag_warning(d, "screw-length", j->screw_at, "%s bites %s into %s, %s less than %s",
					 s->name, check_length(m, d, bite), a->name,
					 check_length(m, d, rat_sub(least, bite)),
					 thin ? "two thirds of what it can"
					      : arena_printf(d->mem, "%s of its length", check_share(d, share)));
			rat whole = rat_div(through, rat_sub(rat_int(1), share)), thick = rat_add(through, there);
			rat wanted = rat_min(whole, rat_add(through, most));
			diag_add_help(d, g, "a screw of %s or longer%s", check_length(m, d, wanted),
				      thin ? arena_printf(d->mem, ", shorter than %s", check_length(m, d, thick)) : "");
		}
		if (!g) continue;
		diag_add_note(d, g, span_known(s->length.at) ? s->length.at : s->at, "the screw's length");
		diag_add_note(d, g, b->at, "it goes through %s", b->name);
		check_names_part(m, d, g, j->a);
		check_names_part(m, d, g, j->b);
	}
}

/* ---- dados --------------------------------------------------------------------------------- */

static void dado_depth(const model *m, diags *d) {
	for (size_t i = 0; i < m->joints.n; i++) {
		const model_joint *j = &m->joints.v[i];
		if (!joint_enters(j->kind)) continue;
		const model_part *b = &m->parts.v[j->b];
		rat thick = box_size(b->box, face_axis(j->face_a)), depth = j->depth.mm;
		rat low = check_limit(m, "dado-depth.least"), high = check_limit(m, "dado-depth.most");
		rat least = rat_mul(thick, low), most = rat_mul(thick, high);
		span at = span_known(j->depth.at) ? j->depth.at : j->at;
		const char *what = joint_cut_word(j->kind);
		/* What goes along an edge or holds a tongue need not be deep. */
		bool any_least = j->kind == JOINT_GROOVE || j->kind == JOINT_TONGUE;
		if (any_least) least = rat_int(0);
		diag *g = NULL;
		if (rat_le(thick, depth))
			g = diag_error(d, "dado-depth", at, "the %s of %s is %s deep and %s is only %s thick", what,
				       j->name, check_length(m, d, depth), b->name, check_length(m, d, thick));
		else if (rat_lt(depth, least) || rat_lt(most, depth))
			g = diag_warning(
				d, "dado-depth", at, "the %s of %s is %s deep, %s %s than %s of the %s of %s", what,
				j->name, check_length(m, d, depth),
				check_length(m, d, rat_lt(depth, least) ? rat_sub(least, depth) : rat_sub(depth, most)),
				rat_lt(depth, least) ? "less" : "more",
				check_share(d, rat_lt(depth, least) ? low : high), check_length(m, d, thick), b->name);
		if (!g) continue;
		diag_add_note(d, g, b->at, "it is cut into %s", b->name);
		check_names_part(m, d, g, j->a);
		check_names_part(m, d, g, j->b);
		if (any_least)
			diag_add_help(d, g, "up to %s is usual", check_length(m, d, most));
		else
			diag_add_help(d, g, "between %s and %s is usual", check_length(m, d, least),
				      check_length(m, d, most));
	}
}

static void dado_opposite(const model *m, diags *d) {
	for (size_t i = 0; i < m->features.n; i++) {
		const model_feature *a = &m->features.v[i];
		if (!feature_is_cut(a) || a->through) continue;
		for (size_t k = i + 1; k < m->features.n; k++) {
			const model_feature *b = &m->features.v[k];
			if (!feature_is_cut(b) || b->through || b->part != a->part) continue;
			if (a->kind == FEATURE_SHOULDER && b->kind == FEATURE_SHOULDER) continue; /* `tongue-thick` */
			if (b->face != face_opposite(a->face)) continue;
			const model_part *p = &m->parts.v[a->part];
			frame fr = frame_of(p->blank, a->face);
			feature_outline x = feature_outline_on(a, &fr), y = feature_outline_on(b, &fr);
			if (!feature_nearer(&x, &y, rat_int(0))) continue;
			rat thick = box_size(p->box, face_axis(a->face)),
			    left = rat_sub(thick, rat_add(a->depth, b->depth));
			rat limit = rat_mul(thick, check_limit(m, "dado-opposite"));
			if (rat_le(limit, left)) continue;
			diag *g;
			if (rat_sign(left) <= 0)
				g = diag_error(d, "dado-opposite", check_feature_at(m, b), "%s and %s meet inside %s%s",
					       check_feature(m, d, a), check_feature(m, d, b), p->name,
					       rat_sign(left) == 0 ? ""
								   : arena_printf(d->mem, ", %s too deep together",
										  check_length(m, d, rat_neg(left))));
			else
				g = diag_warning(d, "dado-opposite", check_feature_at(m, b),
						 "%s and %s leave %s of %s between them, %s less than %s",
						 check_feature(m, d, a), check_feature(m, d, b),
						 check_length(m, d, left), p->name,
						 check_length(m, d, rat_sub(limit, left)),
						 check_share(d, check_limit(m, "dado-opposite")));
			diag_add_note(d, g, check_feature_at(m, a), "the other one comes from here");
			check_names_part(m, d, g, a->part);
			diag_add_help(d, g, "make each %s less deep, or set the two parts at different places",
				      check_length(m, d, rat_half(rat_sub(limit, left))));
		}
	}
}

const check_rule CHECK_JOINTS[] = {
	{"hole-joint", DIAG_ERROR, "An opening keeps away from dados, joints and what lies on the sheet.",
	 "common practice, no source", hole_joint},
	{"hole-screw", DIAG_ERROR, "Material stays between a screw's hole and an opening or another screw.",
	 "common practice, no source", hole_screw},
	{"screw-edge", DIAG_WARNING, "A screw stands away from every side of its part, and from the corner of an edge.",
	 "common practice, no source; 25 mm from the corner: MDF industry guide, face screws", screw_edge},
	{"mdf-screw", DIAG_WARNING,
	 "In MDF screws stand further from edges and corners, in its edges far from the corner.",
	 "MDF industry guide on fixing", mdf_screw},
	{"screw-length", DIAG_ERROR,
	 "A screw passes through the second part, bites into the first, and does not come out.",
	 "common practice, no source", screw_length},
	{"dado-depth", DIAG_ERROR, "A dado or rabbet is neither shallow nor deep.", "common practice, no source",
	 dado_depth},
	{"dado-opposite", DIAG_ERROR, "Dados on both faces of a sheet leave some of its thickness between them.",
	 "common practice, no source", dado_opposite},
};
const size_t N_CHECK_JOINTS = sizeof CHECK_JOINTS / sizeof *CHECK_JOINTS;
