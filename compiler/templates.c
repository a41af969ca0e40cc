#include "compiler/templates.h"
#include "compiler/bores.h"
#include "compiler/example.h"

#include "compiler/check_util.h"
#include "compiler/template_set.h"
#include "runtime/engine/outline.h"
#include "runtime/write/gcode.h"

/* The router that makes this sheet's openings, or NONE. */
static model_ref router_of(const model *m, size_t pattern, model_ref part) {
	for (size_t i = 0; i < m->features.n; i++) {
		const model_feature *f = &m->features.v[i];
		if (f->kind != FEATURE_OPENING || f->pattern != pattern || f->part != part || f->tool == MODEL_NONE)
			continue;
		return m->tools.v[f->tool].kind == TOOL_ROUTER ? f->tool : MODEL_NONE;
	}
	return MODEL_NONE;
}

static bool bush_fits(const model *m, diags *d, const model_pattern *p, const model_tool *t) {
	bool known = rat_ok(t->bush.mm) && rat_ok(model_tool_cuts(t));
	if (known && rat_lt(model_tool_cuts(t), t->bush.mm)) return true;
	diag *g;
	if (!known) {
		g = diag_warning(d, "template-bush", t->at,
				 "%s does not say its %s, so the templates for %s have no size", t->name,
				 rat_ok(model_tool_cuts(t)) ? "guide bush" : "cutter", p->name);
		diag_add_help(d, g, "%s", example_shown(m, "give both: cutter 12.7 mm and bush 30 mm (outside)"));
	} else {
		g = diag_error(d, "template-bush", span_known(t->bush.at) ? t->bush.at : t->at,
			       "the guide bush of %s is %s and its cutter %s: the cutter does not pass, by %s", t->name,
			       check_length(m, d, t->bush.mm), check_length(m, d, model_tool_cuts(t)),
			       check_length(m, d, rat_sub(model_tool_cuts(t), t->bush.mm)));
		diag_add_help(d, g, "a bush wider than the cutter, or a thinner cutter");
	}
	diag_add_note(d, g, p->at, "the openings that it makes");
	return false;
}

/* The work's corner is the template's corner less the offset and no tighter than the cutter; the template's corner is
 * no tighter than the bush. Both come to the same limit: half the cutter. */
static void corners(const model *m, diags *d, const model_pattern *p, const model_sheet_of_pattern *s,
		    model_template *row, const model_tool *t) {
	if (row->shape.kind != SHAPE_RECT) return;
	rat asked = rat_ok(row->shape.corner) ? row->shape.corner : rat_int(0), limit = rat_half(model_tool_cuts(t));
	if (rat_lt(asked, limit)) {
		diag *g = diag_warning(d, "template-corner", s->shape.at,
				       "corners of %s in %s ask for a radius of %s; %s leaves %s, %s more", p->name,
				       m->parts.v[s->part].name, check_length(m, d, asked), t->name,
				       check_length(m, d, limit), check_length(m, d, rat_sub(limit, asked)));
		diag_add_note(d, g, t->at, "its cutter is %s", check_length(m, d, model_tool_cuts(t)));
		diag_add_help(d, g, "write corner %s, or square the corners by hand", check_length(m, d, limit));
		asked = limit;
		row->shape.corner = limit;
	}
	row->opening.corner = rat_add(asked, row->offset);
}

/* The path as a shape of the model, points to 1/1000000 mm, about the middle of its own bounding box. */
static model_shape shape_of(model *m, const outline_path *p, const model_shape *like) {
	const int64_t steps = 1000000;
	model_shape s = *like;
	outline_point lo, hi;
	outline_extent(p, &lo, &hi);
	double u = (lo.x + hi.x) / 2, v = (lo.y + hi.y) / 2;
	model_outline *o = ARENA_NEW(m->mem, model_outline);
	for (size_t i = 0; i < p->n; i++) {
		const outline_piece *q = &p->v[i];
		model_corner *k = LIST_ADD(m->mem, &o->corners);
		*k = (model_corner){.u = rat_from_double(q->from.x - u, steps),
				    .v = rat_from_double(q->from.y - v, steps),
				    .bend = q->bend,
				    .at = like->at};
		if (!q->bend) continue;
		k->cu = rat_from_double(q->centre.x - u, steps);
		k->cv = rat_from_double(q->centre.y - v, steps);
	}
	o->narrow = like->outline->narrow;
	s.outline = o;
	s.a = rat_from_double(hi.x - lo.x, steps);
	s.b = rat_from_double(hi.y - lo.y, steps);
	s.off_u = rat_add(like->off_u, rat_from_double(u, steps));
	s.off_v = rat_add(like->off_v, rat_from_double(v, steps));
	return s;
}

static bool one_loop(arena *mem, const outline_path *p, double by, outline_path *out) {
	outline_paths loops = {0};
	if (!outline_parallel(mem, p, by, &loops) || loops.n != 1) return false;
	*out = loops.v[0];
	return true;
}

/* The cutter's way inside the outline; the template's edge as far outside that as the bush is broad; and what the
 * cutter then really leaves, when the bush rolls round that edge. False when the outline parts or fills up on the way.
 */
static bool free_template(model *m, diags *d, const model_pattern *p, const model_sheet_of_pattern *s,
			  model_template *row, const model_tool *t) {
	double cutter = rat_double(model_tool_cuts(t)) / 2, bush = rat_double(t->bush.mm) / 2;
	axis v = s->shape.along == p->u ? p->v : p->u;
	outline_path given = outline_of_shape(m->mem, &s->shape, p->u, v), way, edge, rolled, cut;
	if (!one_loop(m->mem, &given, cutter, &way) || !one_loop(m->mem, &way, -bush, &edge) ||
	    !one_loop(m->mem, &edge, bush, &rolled) || !one_loop(m->mem, &rolled, -cutter, &cut)) {
		diag *g = diag_warning(d, "template-corner", s->shape.at,
				       "no one template with the bush of %s guides it round %s in %s", t->name, p->name,
				       m->parts.v[s->part].name);
		diag_add_note(d, g, t->at, "its cutter is %s and its bush %s", check_length(m, d, model_tool_cuts(t)),
			      check_length(m, d, t->bush.mm));
		diag_add_help(d, g, "a thinner cutter and a smaller bush, or cut it by the drilling program");
		return false;
	}
	row->opening = shape_of(m, &edge, &s->shape);
	double worst = 0;
	size_t at = 0;
	for (size_t i = 0; i < given.n; i++) {
		double off = outline_distance(&cut, given.v[i].from);
		if (off > worst + 1e-6) worst = off, at = i;
	}
	if (worst < 1e-3) return true;
	const model_corner *k = &s->shape.outline->corners.v[at];
	bool inner = !outline_holds(&cut, given.v[at].from);
	diag *g = diag_warning(d, "template-corner", k->at, "%s %s %s corner of %s in %s", t->name,
			       inner ? "leaves" : "takes",
			       arena_printf(d->mem, inner ? "%s standing in this" : "%s off this",
					    check_length(m, d, rat_from_double(worst, 1000))),
			       p->name, m->parts.v[s->part].name);
	diag_add_note(d, g, t->at, "its cutter is %s, its bush %s", check_length(m, d, model_tool_cuts(t)),
		      check_length(m, d, t->bush.mm));
	diag_add_help(
		d, g,
		inner ? "write `corner %s` there, or square it by hand"
		      : "write a `corner` of %s or more there, or leave the corner round",
		check_length(m, d,
			     inner ? rat_half(model_tool_cuts(t)) : rat_half(rat_sub(t->bush.mm, model_tool_cuts(t)))));
	row->shape = shape_of(m, &cut, &s->shape);
	return true;
}

/* ---- which openings are alike ------------------------------------------------------------------- */

typedef LIST(model_corner) corner_list;

/* Mirrored about the upright when `flip`, then turned by quarters; anticlockwise again. */
static corner_list turned(arena *mem, const model_corner *v, size_t n, bool flip, uint32_t quarters) {
	corner_list out = {0};
	for (size_t i = 0; i < n; i++) {
		model_corner k = v[flip ? n - 1 - i : i];
		const model_corner *arc = flip ? &v[(2 * n - 2 - i) % n] : &k;
		rat x = k.u, y = k.v, cx = arc->cu, cy = arc->cv;
		k.bend = arc->bend;
		if (flip) x = rat_neg(x), cx = rat_neg(cx);
		for (uint32_t q = 0; q < quarters; q++) {
			rat was = x, centre = cx;
			x = rat_neg(y), y = was;
			cx = rat_neg(cy), cy = centre;
		}
		k.u = x, k.v = y, k.cu = cx, k.cv = cy;
		LIST_PUSH(mem, &out, k);
	}
	return out;
}

static bool same_corner(const model_corner *a, const model_corner *b) {
	if (a->bend != b->bend || !rat_eq(a->u, b->u) || !rat_eq(a->v, b->v)) return false;
	return !a->bend || (rat_eq(a->cu, b->cu) && rat_eq(a->cv, b->cv));
}

static bool same_round(const corner_list *a, const corner_list *b) {
	for (size_t from = 0; a->n == b->n && from < a->n; from++) {
		size_t i = 0;
		while (i < a->n && same_corner(&a->v[i], &b->v[(i + from) % a->n])) i++;
		if (i == a->n) return true;
	}
	return false;
}

/* A free outline as it lies on the face, right and up. */
static corner_list on_face(arena *mem, const model_shape *s, face f) {
	frame fr = frame_of((box3){0}, f);
	corner_list l = turned(mem, s->outline->corners.v, s->outline->corners.n, fr.u_rev != fr.v_rev, 0);
	return fr.v_rev ? turned(mem, l.v, l.n, false, 2) : l;
}

static rat corner_of(const model_shape *s) { return rat_ok(s->corner) ? s->corner : rat_int(0); }

/* Does the template made for shape `a` on face fa serve shape `b` on face fb, and how does it lie there? */
static bool serves(arena *mem, const model_shape *a, face fa, const model_shape *b, face fb, model_template_use *use) {
	if (a->kind != b->kind) return false;
	if (a->kind == SHAPE_ROUND) return rat_eq(a->a, b->a);
	if (a->kind == SHAPE_OUTLINE) {
		corner_list one = on_face(mem, a, fa), other = on_face(mem, b, fb);
		for (uint32_t k = 0; k < 8; k++) {
			corner_list way = turned(mem, one.v, one.n, k >= 4, k % 4);
			if (!same_round(&way, &other)) continue;
			use->over = k >= 4, use->quarters = k % 4;
			return true;
		}
		return false;
	}
	if (a->kind == SHAPE_RECT && !rat_eq(corner_of(a), corner_of(b))) return false;
	bool along = rat_eq(a->a, b->a) && rat_eq(a->b, b->b), across = rat_eq(a->a, b->b) && rat_eq(a->b, b->a);
	if (!along && !(across && a->kind == SHAPE_RECT)) return false;
	bool turn = (a->along == frame_of((box3){0}, fa).u) != (b->along == frame_of((box3){0}, fb).u);
	use->quarters = along && across ? 0 : turn != !along;
	return true;
}

/* ---- rows --------------------------------------------------------------------------------------- */

static const model_sheet_of_pattern *sheet_of(const model *m, const model_template_use *u) {
	return model_pattern_sheet(&m->patterns.v[u->pattern], u->part);
}

/* The template of a shape alone, without what it serves. False when there is none. */
static bool shaped(model *m, diags *d, size_t pattern, const model_sheet_of_pattern *s, model_template *row) {
	const model_pattern *p = &m->patterns.v[pattern];
	const model_tool *t = &m->tools.v[row->tool];
	rat more = rat_sub(t->bush.mm, model_tool_cuts(t));
	row->at = p->at;
	row->shape = row->opening = s->shape;
	row->offset = rat_half(more);
	row->opening.a = rat_add(s->shape.a, more);
	row->opening.b = s->shape.kind == SHAPE_ROUND ? row->opening.a : rat_add(s->shape.b, more);
	row->test_cut = s->shape.a;
	if (s->shape.kind == SHAPE_OUTLINE && !free_template(m, d, p, s, row, t)) return false;
	corners(m, d, p, s, row, t);
	return true;
}

/* As many as the sheet is thick; the last goes a hair beyond it, to a depth that a rule shows. */
static void passes(model *m, const model_sheet_of_pattern *s, axis through, const model_tool *t,
		   model_template_use *use) {
	rat pass = rat_ok(t->pass.mm) && rat_sign(t->pass.mm) > 0 ? t->pass.mm : TEMPLATE_PASS_MM;
	rat thick = s->blind ? s->depth : box_size(m->parts.v[s->part].box, through), deepest = thick;
	use->through = !s->blind;
	if (use->through)
		deepest = template_whole_steps(rat_add(thick, rat_from_double(GCODE_BREAKTHROUGH_MM, 10)),
					       m->measures == MEASURES_INCH ? rat_of(254, 320) : rat_of(1, 10));
	int64_t n = rat_ceil(rat_div(thick, pass));
	for (int64_t i = 1; i < n && i < GCODE_MOST_PASSES; i++)
		LIST_PUSH(m->mem, &use->depths, rat_mul(pass, rat_int(i)));
	LIST_PUSH(m->mem, &use->depths, deepest);
}

typedef LIST(model_template) template_list;

/* Among these the one that serves the sheet's openings too, or NULL; `told`: what is wrong with that shape was said
 * where it was written. */
static model_template *serving(const model *m, const template_list *l, const model_sheet_of_pattern *s,
			       model_template_use *use, model_ref tool, bool *told) {
	for (size_t i = 0; i < l->n; i++) {
		const model_sheet_of_pattern *first = sheet_of(m, &l->v[i].uses.v[0]);
		if (l->v[i].tool != tool || !serves(m->mem, &first->shape, first->face, &s->shape, s->face, use))
			continue;
		for (size_t k = 0; k < l->v[i].uses.n; k++) {
			span a = sheet_of(m, &l->v[i].uses.v[k])->shape.at, b = s->shape.at;
			*told = *told || (a.file == b.file && a.start == b.start && a.end == b.end);
		}
		return &l->v[i];
	}
	return NULL;
}

static void add_sheet(model *m, diags *d, size_t pattern, const model_sheet_of_pattern *s, model_ref tool,
		      template_list *made, template_list *failed) {
	const model_pattern *p = &m->patterns.v[pattern];
	model_template_use use = {.pattern = (model_ref)pattern, .part = s->part};
	model_template row = {.tool = tool};
	bool told = false;
	passes(m, s, p->through, &m->tools.v[tool], &use);
	model_template *same = serving(m, made, s, &use, tool, &told);
	if (!same) same = serving(m, failed, s, &use, tool, &told);
	if (!told) {
		bool good = shaped(m, d, pattern, s, &row);
		if (!same) {
			template_list *l = good ? made : failed;
			LIST_PUSH(m->mem, l, row);
			same = &l->v[l->n - 1];
		}
	}
	LIST_PUSH(m->mem, &same->uses, use);
}

static void name_them(model *m) {
	for (size_t i = 0; i < m->templates.n; i++) {
		model_template *t = &m->templates.v[i];
		const model_template_use *first = &t->uses.v[0];
		const char *pattern = m->patterns.v[first->pattern].name;
		size_t n = 0;
		for (size_t k = 0; k < m->templates.n; k++) n += m->templates.v[k].uses.v[0].pattern == first->pattern;
		t->name = n > 1 ? arena_printf(m->mem, "%s-%s", pattern, m->parts.v[first->part].name)
				: arena_text(m->mem, pattern);
	}
}

/* What all that it serves leaves to the test cut, and by how much the offset may so be off. */
static void limits(const model *m, model_template *t) {
	const model_sheet_of_pattern own = {.shape = t->shape, .collar = MODEL_NONE};
	bool round = t->shape.kind == SHAPE_ROUND;
	for (int k = 0; k < 2; k++) {
		bore_limits l = bores_limits(m, &own, k);
		for (size_t i = 0; i < t->uses.n; i++) {
			bore_limits here = bores_limits(m, sheet_of(m, &t->uses.v[i]), k);
			if (!here.by_seat) continue;
			l.least = l.by_seat ? rat_max(l.least, here.least) : here.least;
			l.most = l.by_seat ? rat_min(l.most, here.most) : here.most;
			t->by_seat = l.by_seat = true;
		}
		rat wide = k && !round ? t->opening.b : t->opening.a;
		rat low = rat_half(rat_sub(wide, l.most)), high = rat_half(rat_sub(wide, l.least));
		t->least[k] = l.least, t->most[k] = l.most;
		t->offsets[0] = k ? rat_max(t->offsets[0], low) : low;
		t->offsets[1] = k ? rat_min(t->offsets[1], high) : high;
	}
}

void templates_make(model *m, diags *d) {
	bores_make(m);
	template_list made = {0}, failed = {0};
	for (size_t i = 0; i < m->patterns.n; i++) {
		const model_pattern *p = &m->patterns.v[i];
		for (size_t k = 0; k < p->sheets.n; k++) {
			model_ref tool = router_of(m, i, p->sheets.v[k].part);
			if (tool == MODEL_NONE || !bush_fits(m, d, p, &m->tools.v[tool])) continue;
			add_sheet(m, d, i, &p->sheets.v[k], tool, &made, &failed);
		}
	}
	m->templates.n = 0;
	for (size_t i = 0; i < made.n; i++) LIST_PUSH(m->mem, &m->templates, made.v[i]);
	name_them(m);
	for (size_t i = 0; i < m->templates.n; i++) limits(m, &m->templates.v[i]), template_set(m, &m->templates.v[i]);
}

const check_rule CHECK_TEMPLATES[] = {
	{"template-bush", DIAG_ERROR,
	 "A router that makes openings says its cutter and its guide bush, and the cutter passes the bush.", "geometry",
	 NULL},
	{"template-corner", DIAG_WARNING, "The corners of a cut-out have at least the radius of the cutter.",
	 "geometry: the template's corner is at least the bush's radius, the work's corner that less the offset", NULL},
};
const size_t N_CHECK_TEMPLATES = sizeof CHECK_TEMPLATES / sizeof *CHECK_TEMPLATES;
