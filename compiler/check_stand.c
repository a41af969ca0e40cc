/* Standing and moving: casters that turn, the doorway it has to pass. */
#include <math.h>

#include "compiler/check_limits.h"
#include "compiler/check_use.h"
#include "compiler/check_util.h"

static double mm(rat r) { return rat_double(r); }

static const char *length(const model *m, diags *d, double v_mm) {
	return check_length(m, d, check_rounded(v_mm, m->measures == MEASURES_INCH ? 100 : 10));
}

/* ---- casters ------------------------------------------------------------------------------------------ */

typedef struct circle { /* what a wheel sweeps, seen from above */
	double x, y, radius;
} circle;

static bool circle_of(const model *m, model_ref part, circle *c) {
	const model_part *p = &m->parts.v[part];
	if (p->kind != PART_ITEM || p->stock >= m->stocks.n || !rat_ok(m->stocks.v[p->stock].swivel.mm)) return false;
	c->x = (mm(p->box.lo[0]) + mm(p->box.hi[0])) / 2;
	c->y = (mm(p->box.lo[1]) + mm(p->box.hi[1])) / 2;
	c->radius = mm(m->stocks.v[p->stock].swivel.mm);
	return true;
}

/* How far a circle reaches into what stands at its height; below 0 it does not. */
static double reaches(const model *m, model_ref caster, const circle *c, model_ref other) {
	const box3 *own = &m->parts.v[caster].box, *b = &m->parts.v[other].box;
	circle o;
	if (!rat_lt(own->lo[2], b->hi[2]) || !rat_lt(b->lo[2], own->hi[2])) return -1;
	if (circle_of(m, other, &o)) return c->radius + o.radius - hypot(c->x - o.x, c->y - o.y);
	double dx = fmax(fmax(mm(b->lo[0]) - c->x, c->x - mm(b->hi[0])), 0);
	double dy = fmax(fmax(mm(b->lo[1]) - c->y, c->y - mm(b->hi[1])), 0);
	return c->radius - hypot(dx, dy);
}

static void report_caster(const model *m, diags *d, model_ref caster, const char *what, span at, const char *note,
			  const char *help) {
	const model_part *p = &m->parts.v[caster];
	diag *g = diag_warning(d, "caster-swing", p->at, "%s", what);
	diag_add_note(d, g, at, "%s", note);
	diag_add_note(d, g, m->stocks.v[p->stock].swivel.at, "its wheel sweeps a circle of this radius");
	diag_add_help(d, g, "%s", help);
}

static void caster_meets(const model *m, diags *d, model_ref first, model_ref end) {
	double worst = 0.01;
	model_ref which = MODEL_NONE, by = MODEL_NONE;
	for (model_ref i = first; i < end; i++) {
		circle c;
		for (model_ref k = 0; k < m->parts.n && circle_of(m, i, &c); k++) {
			circle o;
			bool twice = circle_of(m, k, &o) && k < i; /* told of the other one */
			if (k == i || twice || m->parts.v[k].kind == PART_GAP) continue;
			double by_mm = reaches(m, i, &c, k);
			if (by_mm <= worst) continue;
			worst = by_mm;
			which = i;
			by = k;
		}
	}
	if (which == MODEL_NONE) return;
	const char *a = m->parts.v[which].name, *b = m->parts.v[by].name;
	circle o;
	bool two = circle_of(m, by, &o);
	report_caster(m, d, which,
		      arena_printf(d->mem, two ? "the circles of %s and %s cross by %s" : "turning, %s meets %s by %s",
				   a, b, length(m, d, worst)),
		      m->parts.v[by].at, arena_printf(d->mem, "%s is placed here", b),
		      arena_printf(d->mem, "set them %s farther apart, or take smaller casters", length(m, d, worst)));
}

static void caster_stands_out(const model *m, diags *d, model_ref first, model_ref end) {
	double lo[2] = {INFINITY, INFINITY}, hi[2] = {-INFINITY, -INFINITY},
	       most = rat_double(check_limit(m, "caster-swing")), worst = most;
	for (model_ref i = 0; i < m->parts.n; i++) {
		circle c;
		const model_part *p = &m->parts.v[i];
		if (p->kind == PART_GAP || circle_of(m, i, &c)) continue;
		for (int a = 0; a < 2; a++) {
			lo[a] = fmin(lo[a], mm(p->box.lo[a]));
			hi[a] = fmax(hi[a], mm(p->box.hi[a]));
		}
	}
	model_ref which = MODEL_NONE;
	face side = FACE_LEFT;
	for (model_ref i = first; i < end; i++) {
		circle c;
		if (!circle_of(m, i, &c)) continue;
		const double out[4] = {lo[0] - (c.x - c.radius), c.x + c.radius - hi[0], lo[1] - (c.y - c.radius),
				       c.y + c.radius - hi[1]};
		for (int f = 0; f < 4; f++) {
			if (!(out[f] > worst + 0.01)) continue;
			worst = out[f];
			which = i;
			side = (face)f;
		}
	}
	if (which == MODEL_NONE) return;
	report_caster(m, d, which,
		      arena_printf(d->mem, "turning, %s stands out %s at the %s, %s more than it may",
				   m->parts.v[which].name, length(m, d, worst), FACE_NAME[side],
				   length(m, d, worst - most)),
		      m->parts.v[which].face_at[side], "its place comes from here",
		      arena_printf(d->mem, "set it %s farther in", length(m, d, worst)));
}

void check_caster_swing(const model *m, diags *d) {
	for (model_ref i = 0; i < m->parts.n; i++) {
		circle c;
		if (m->parts.v[i].group_first != i || !circle_of(m, i, &c)) continue;
		model_ref end = i;
		while (end < m->parts.n && m->parts.v[end].group_first == i) end++;
		caster_meets(m, d, i, end);
		caster_stands_out(m, d, i, end);
	}
}

/* ---- the doorway -------------------------------------------------------------------------------------- */

/* Sizes of a box, the smallest first. */
static void sizes_of(const box3 *b, rat size[3]) {
	for (int a = 0; a < 3; a++) size[a] = box_size(*b, (axis)a);
	for (int i = 0; i < 2; i++)
		for (int k = 0; k < 2 - i; k++)
			if (rat_lt(size[k + 1], size[k])) {
				rat t = size[k];
				size[k] = size[k + 1];
				size[k + 1] = t;
			}
}

static bool box_passes(const box3 *b, rat narrow, rat tall) {
	rat size[3];
	sizes_of(b, size);
	return rat_le(size[0], narrow) && rat_le(size[1], tall);
}

/* Does every unit pass that stays when all that is only screwed is taken apart? *n gets how many there are. */
static bool units_pass(const model *m, diags *d, rat narrow, rat tall, size_t *n) {
	model_ref *unit = ARENA_MANY(d->mem, model_ref, m->parts.n + 1);
	for (model_ref i = 0; i < m->parts.n; i++) unit[i] = i;
	for (bool more = true; more;) {
		more = false;
		for (size_t i = 0; i < m->joints.n; i++) {
			const model_joint *j = &m->joints.v[i];
			if (!j->glue || unit[j->a] == unit[j->b]) continue;
			unit[j->a] = unit[j->b] = unit[j->a] < unit[j->b] ? unit[j->a] : unit[j->b];
			more = true;
		}
	}
	*n = 0;
	for (model_ref u = 0; u < m->parts.n; u++) {
		if (unit[u] != u || m->parts.v[u].kind == PART_GAP) continue;
		box3 b = m->parts.v[u].box;
		for (model_ref i = u + 1; i < m->parts.n; i++)
			for (int a = 0; a < 3 && unit[i] == u; a++) {
				b.lo[a] = rat_min(b.lo[a], m->parts.v[i].box.lo[a]);
				b.hi[a] = rat_max(b.hi[a], m->parts.v[i].box.hi[a]);
			}
		++*n;
		if (!box_passes(&b, narrow, tall)) return false;
	}
	return true;
}

void check_doorway(const model *m, diags *d) {
	if (!rat_ok(m->passes[0].mm) || !rat_ok(m->passes[1].mm) || rat_sign(m->passes[0].mm) <= 0) return;
	rat narrow = rat_min(m->passes[0].mm, m->passes[1].mm), tall = rat_max(m->passes[0].mm, m->passes[1].mm);
	if (box_passes(&m->bounds, narrow, tall)) return;
	rat size[3];
	sizes_of(&m->bounds, size);
	bool broad = !rat_le(size[0], narrow);
	rat over = broad ? rat_sub(size[0], narrow) : rat_sub(size[1], tall);
	diag *g = diag_error(
		d, "doorway", m->passes[0].at, "it is %s x %s x %s, %s too %s for the doorway",
		check_length(m, d, box_size(m->bounds, AXIS_X)), check_length(m, d, box_size(m->bounds, AXIS_Y)),
		check_length(m, d, box_size(m->bounds, AXIS_Z)), check_length(m, d, over), broad ? "broad" : "tall");
	size_t n;
	bool apart = units_pass(m, d, narrow, tall, &n);
	for (int a = 0; a < 3; a++) { /* who reaches farthest along the side that does not pass */
		if (!rat_eq(box_size(m->bounds, (axis)a), size[broad ? 0 : 1])) continue;
		for (model_ref i = 0; i < m->parts.n; i++) {
			if (m->parts.v[i].kind == PART_GAP || !rat_eq(m->parts.v[i].box.hi[a], m->bounds.hi[a]))
				continue;
			diag_add_note(d, g, m->parts.v[i].at, "%s reaches farthest along its %s", m->parts.v[i].name,
				      AXIS_SPOKEN[a]);
			break;
		}
		break;
	}
	if (apart)
		diag_add_help(d, g,
			      "taken apart where it is screwed and not glued, its pieces pass: say so in a note "
			      "and allow it, or make it smaller");
	else
		diag_add_help(d, g, "make it smaller, or leave the glue out of joints so that it can be taken apart");
}
