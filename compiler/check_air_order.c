/* Does a way name what the air passes in the order in which it lies in the cabinet? The free room is cut into cells
 * along the faces of all parts; cells that touch make one region. What a way leads through is shut for this: then two
 * things that one space joins must lie at one region. */
#include <math.h>
#include <string.h>

#include "compiler/air.h"
#include "compiler/check_air_fit.h"
#include "runtime/base/order.h"

/* Narrower passages are taken as shut: the gaps round doors and loose panels, beside filter units (ours). Plans of more
 * cells are not looked at; a thing at more regions lies anywhere. */
static const double SLIT_MM = 8;
enum { MOST_CELLS = 2000000, MOST_REGIONS = 12 };

typedef enum cell { CELL_FREE, CELL_SOLID, CELL_SLIT } cell;

typedef struct cells {
	size_t n[3];
	double *at[3]; /* [n + 1] faces */
	unsigned char *what;
	uint32_t *region; /* from 1; the first is the room round the cabinet */
} cells;

typedef struct touches { /* the regions at a thing; anywhere: it cannot be told */
	uint32_t v[MOST_REGIONS];
	size_t n;
	bool anywhere;
} touches;

static double mm(rat r) { return rat_double(r); }

static size_t index_of(const cells *c, size_t x, size_t y, size_t z) { return (z * c->n[1] + y) * c->n[0] + x; }

/* The cells from a coordinate to another: those whose middle lies between. */
static void range(const cells *c, axis a, double lo, double hi, size_t *from, size_t *to) {
	*from = 0;
	while (*from < c->n[a] && (c->at[a][*from] + c->at[a][*from + 1]) / 2 < lo) ++*from;
	*to = *from;
	while (*to < c->n[a] && (c->at[a][*to] + c->at[a][*to + 1]) / 2 < hi) ++*to;
}

static void fill(cells *c, const double lo[3], const double hi[3], cell what) {
	size_t from[3], to[3];
	for (int a = 0; a < 3; a++) range(c, (axis)a, lo[a], hi[a], &from[a], &to[a]);
	for (size_t z = from[2]; z < to[2]; z++)
		for (size_t y = from[1]; y < to[1]; y++)
			for (size_t x = from[0]; x < to[0]; x++) c->what[index_of(c, x, y, z)] = (unsigned char)what;
}

static void box_of(const box3 *b, double lo[3], double hi[3]) {
	for (int a = 0; a < 3; a++) {
		lo[a] = mm(b->lo[a]);
		hi[a] = mm(b->hi[a]);
	}
}

/* The field of a pattern in a sheet, through its thickness. */
static void field_box(const model *m, const model_pattern *p, const model_sheet_of_pattern *s, double lo[3],
		      double hi[3]) {
	openarea_rect r = air_field_rect(p, &s->shape);
	box_of(&m->parts.v[s->part].box, lo, hi);
	lo[p->u] = r.x0, hi[p->u] = r.x1;
	lo[p->v] = r.y0, hi[p->v] = r.y1;
}

static bool in_a_way(const model *m, model_ref pattern, model_ref part) {
	for (size_t i = 0; i < m->air.branches.n; i++) {
		const model_branch *b = &m->air.branches.v[i];
		if ((b->kind == AIR_OPENINGS || b->kind == AIR_TUBES) && b->pattern == pattern && b->part == part)
			return true;
	}
	return false;
}

/* ---- the cells -------------------------------------------------------------------------------- */

typedef LIST(double) coordinates;

static void add_faces(arena *mem, coordinates at[3], const double lo[3], const double hi[3]) {
	for (int a = 0; a < 3; a++) {
		LIST_PUSH(mem, &at[a], lo[a]);
		LIST_PUSH(mem, &at[a], hi[a]);
	}
}

static bool cells_begin(arena *mem, const model *m, cells *c) {
	enum { ROUND_MM = 100 };
	coordinates at[3] = {0};
	double lo[3], hi[3];
	for (size_t i = 0; i < m->parts.n; i++) {
		box_of(&m->parts.v[i].box, lo, hi);
		add_faces(mem, at, lo, hi);
	}
	for (size_t i = 0; i < m->patterns.n; i++)
		for (size_t k = 0; k < m->patterns.v[i].sheets.n; k++) {
			field_box(m, &m->patterns.v[i], &m->patterns.v[i].sheets.v[k], lo, hi);
			add_faces(mem, at, lo, hi);
		}
	size_t all = 1;
	for (int a = 0; a < 3; a++) {
		size_t n = 0;
		double *v = c->at[a] = ARENA_MANY(mem, double, at[a].n + 2);
		order_doubles(at[a].v, at[a].n);
		if (!at[a].n || !isfinite(at[a].v[0]) || !isfinite(at[a].v[at[a].n - 1])) return false;
		v[n++] = at[a].v[0] - ROUND_MM;
		for (size_t i = 0; i < at[a].n; i++)
			if (at[a].v[i] > v[n - 1] + 0.01) v[n++] = at[a].v[i];
		v[n] = v[n - 1] + ROUND_MM;
		c->n[a] = n;
		if (all > MOST_CELLS / n) return false;
		all *= n;
	}
	c->what = ARENA_MANY(mem, unsigned char, all);
	c->region = ARENA_MANY(mem, uint32_t, all);
	return true;
}

/* Free cells between two solid ones that are nearer to each other than a slit, along one axis. */
static void shut_slits(cells *c, axis a) {
	size_t step[3] = {1, c->n[0], c->n[0] * c->n[1]};
	axis u = (axis)((a + 1) % 3), v = (axis)((a + 2) % 3);
	for (size_t i = 0; i < c->n[u]; i++)
		for (size_t k = 0; k < c->n[v]; k++) {
			unsigned char *line = c->what + i * step[u] + k * step[v];
			size_t from = 0; /* first cell behind a solid one; 0: none yet */
			for (size_t j = 0; j < c->n[a]; j++) {
				if (line[j * step[a]] != CELL_SOLID) continue;
				bool slit = from && j > from && c->at[a][j] - c->at[a][from] < SLIT_MM;
				for (size_t s = from; slit && s < j; s++) line[s * step[a]] = CELL_SLIT;
				from = j + 1;
			}
		}
}

static void flood(cells *c, arena *mem) {
	size_t step[3] = {1, c->n[0], c->n[0] * c->n[1]}, all = c->n[0] * c->n[1] * c->n[2];
	size_t *stack = ARENA_MANY(mem, size_t, all + 1);
	uint32_t name = 0;
	for (size_t first = 0; first < all; first++) {
		if (c->what[first] != CELL_FREE || c->region[first]) continue;
		size_t n = 0;
		stack[n++] = first;
		c->region[first] = ++name;
		while (n) {
			size_t i = stack[--n];
			for (int a = 0; a < 3; a++) {
				size_t place = i / step[a] % c->n[a];
				for (int d = -1; d <= 1; d += 2) {
					if (d < 0 ? place == 0 : place + 1 == c->n[a]) continue;
					size_t to = d < 0 ? i - step[a] : i + step[a];
					if (c->what[to] != CELL_FREE || c->region[to]) continue;
					c->region[to] = name;
					stack[n++] = to;
				}
			}
		}
	}
}

static bool cells_of(arena *mem, const model *m, cells *c) {
	double lo[3], hi[3];
	if (!cells_begin(mem, m, c)) return false;
	for (size_t i = 0; i < m->parts.n; i++) {
		box_of(&m->parts.v[i].box, lo, hi);
		if (m->parts.v[i].kind != PART_GAP) fill(c, lo, hi, CELL_SOLID);
	}
	for (model_ref i = 0; i < m->patterns.n; i++)
		for (size_t k = 0; k < m->patterns.v[i].sheets.n; k++) {
			const model_sheet_of_pattern *s = &m->patterns.v[i].sheets.v[k];
			if (s->blind || in_a_way(m, i, s->part)) continue;
			field_box(m, &m->patterns.v[i], s, lo, hi); /* the air may go there, too */
			fill(c, lo, hi, CELL_FREE);
		}
	for (size_t i = 0; i < m->air.branches.n; i++) {
		const model_branch *b = &m->air.branches.v[i];
		if (b->kind != AIR_GAP || b->part >= m->parts.n) continue;
		box_of(&m->parts.v[b->part].box, lo, hi);
		fill(c, lo, hi, CELL_SOLID);
	}
	for (int a = 0; a < 3; a++) shut_slits(c, (axis)a);
	flood(c, mem);
	return true;
}

/* ---- what lies where -------------------------------------------------------------------------- */

static bool has(const touches *t, uint32_t region) {
	for (size_t i = 0; i < t->n; i++)
		if (t->v[i] == region) return true;
	return false;
}

/* The regions in the layer of cells before a face of the box; *any: there is one. */
static void layer(const cells *c, const double lo[3], const double hi[3], face f, touches *t, bool *any) {
	axis a = face_axis(f);
	size_t from[3], to[3];
	for (int k = 0; k < 3; k++) range(c, (axis)k, lo[k], hi[k], &from[k], &to[k]);
	if (face_high(f)) {
		from[a] = to[a];
		to[a] = from[a] + 1;
	} else if (from[a]) {
		to[a] = from[a];
		from[a]--;
	}
	if (to[a] > c->n[a] || to[a] == from[a]) return;
	for (size_t z = from[2]; z < to[2]; z++)
		for (size_t y = from[1]; y < to[1]; y++)
			for (size_t x = from[0]; x < to[0]; x++) {
				uint32_t region = c->region[index_of(c, x, y, z)];
				if (!region) continue;
				*any = true;
				if (has(t, region)) continue;
				t->anywhere = t->anywhere || t->n == MOST_REGIONS;
				if (!t->anywhere) t->v[t->n++] = region;
			}
}

/* Both sides of what is passed along one axis; a side on which nothing is free may lie at anything. */
static void two_sides(const cells *c, const double lo[3], const double hi[3], axis through, touches *t) {
	for (int high = 0; high < 2; high++) {
		bool any = false;
		layer(c, lo, hi, face_of(through, high), t, &any);
		t->anywhere = t->anywhere || !any;
	}
}

static touches touches_of(const cells *c, const model *m, const model_branch *b) {
	touches t = {.anywhere = b->part >= m->parts.n};
	double lo[3], hi[3];
	if (t.anywhere) return t;
	const model_pattern *p = b->pattern < m->patterns.n ? &m->patterns.v[b->pattern] : NULL;
	const model_sheet_of_pattern *s = p ? model_pattern_sheet(p, b->part) : NULL;
	if ((b->kind == AIR_OPENINGS || b->kind == AIR_TUBES) && s) {
		field_box(m, p, s, lo, hi);
		two_sides(c, lo, hi, p->through, &t);
	} else if (b->kind == AIR_GAP) {
		box_of(&m->parts.v[b->part].box, lo, hi);
		two_sides(c, lo, hi, m->parts.v[b->part].thick_axis, &t);
	} else if (b->kind == AIR_FAN || b->kind == AIR_FILTER) {
		bool any = false;
		for (model_ref i = 0; i < b->count && b->part + i < m->parts.n; i++) {
			box_of(&m->parts.v[b->part + i].box, lo, hi);
			for (int f = 0; f < 6; f++) layer(c, lo, hi, (face)f, &t, &any);
		}
		t.anywhere = t.anywhere || !any;
	} else {
		t.anywhere = true;
	}
	return t;
}

static bool share(const touches *a, const touches *b) {
	for (size_t i = 0; i < a->n; i++)
		if (has(b, a->v[i])) return true;
	return false;
}

static bool meet(const touches *a, const touches *b) { return a->anywhere || b->anywhere || share(a, b); }

/* What else of the ways stands between the two: it lies at both, or at one and is covered on its other side. */
static const model_branch *between(const model *m, const touches *at, size_t i, size_t k) {
	const model_branch *perhaps = NULL;
	for (size_t n = 0; n < m->air.branches.n; n++) {
		if (n == i || n == k) continue;
		bool one = share(&at[n], &at[i]), other = share(&at[n], &at[k]);
		if (one && other) return &m->air.branches.v[n];
		if (at[n].anywhere && (one || other) && !perhaps) perhaps = &m->air.branches.v[n];
	}
	return perhaps;
}

static void tell(const model *m, diags *d, const touches *at, size_t i, size_t k) {
	const model_branch *a = &m->air.branches.v[i], *b = &m->air.branches.v[k], *c = between(m, at, i, k);
	diag *g = diag_warning(d, "air-order", b->at, "the air does not come from %s to %s: parts stand between them",
			       air_branch_words(d->mem, m, (model_ref)i), air_branch_words(d->mem, m, (model_ref)k));
	diag_add_note(d, g, a->at, "it comes from here");
	if (c) diag_add_note(d, g, c->at, "%s stands between the two", c->name);
	diag_add_help(d, g, "name what the air passes in the order in which it meets it, or open a way between them");
}

void check_air_order(const model *m, diags *d) {
	arena scratch = {0};
	cells c = {0};
	if (!cells_of(&scratch, m, &c)) {
		arena_end(&scratch);
		return;
	}
	size_t n = m->air.branches.n;
	touches *at = ARENA_MANY(&scratch, touches, n + 1);
	for (size_t i = 0; i < n; i++) at[i] = touches_of(&c, m, &m->air.branches.v[i]);
	for (size_t k = 0; k < n; k++)
		for (size_t i = 0; i < n; i++) {
			model_ref space = m->air.branches.v[i].to;
			if (i == k || space != m->air.branches.v[k].from || m->air.spaces.v[space].room) continue;
			if (meet(&at[i], &at[k])) continue;
			tell(m, d, at, i, k);
			break;
		}
	arena_end(&scratch);
}
