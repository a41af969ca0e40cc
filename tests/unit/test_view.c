#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>
#include <math.h>
#include <string.h>

#include "runtime/draw/view.h"
#include "runtime/draw/view_picture.h"
#include "tests/unit/fixture.h"

static view_part block(double x, double y, double z, double w, double d, double h) {
	return (view_part){.lo = {x, y, z}, .hi = {x + w, y + d, z + h}};
}

static view_report draw(arena *a, view_part *p, size_t n, view_options o) {
	display *d = display_begin(a, 200, 200);
	view_report r = view_draw(d, (display_box){10, 10, 190, 190}, &(view_scene){p, n}, &o);
	assert_int_equal(d->bad, 0);
	assert_true(display_box_inside(display_bounds(d), (display_box){9, 9, 191, 191}));
	return r;
}

static size_t edges(view_part *p, size_t n, view_corner c) {
	arena a = {0};
	size_t e = draw(&a, p, n, (view_options){.corner = c}).edges;
	arena_end(&a);
	return e;
}

static void a_cube_shows_nine_edges(void **state) {
	(void)state;
	view_part p[] = {block(0, 0, 0, 100, 100, 100)};
	for (int c = 0; c < VIEW_CORNERS; c++) assert_int_equal(edges(p, 1, (view_corner)c), 9);
	arena a = {0};
	view_report r = draw(&a, p, 1, (view_options){.hidden = true});
	assert_int_equal(r.edges, 9);
	assert_int_equal(r.hidden_edges, 3);
	arena_end(&a);
}

static void what_is_behind_is_hidden(void **state) {
	(void)state;
	/* A small cube close behind the middle of a large one, seen from the front: nothing of it. */
	view_part p[] = {block(0, 0, 0, 1000, 100, 1000), block(480, 110, 480, 40, 40, 40)};
	assert_int_equal(edges(p, 2, VIEW_FRONT_RIGHT_TOP), 9);
	/* From the back all nine of it, and it cuts no edge of the large one. */
	assert_int_equal(edges(p, 2, VIEW_BACK_RIGHT_TOP), 18);
	/* Far apart, side by side: all of both. */
	view_part q[] = {block(0, 0, 0, 100, 100, 100), block(5000, 0, 0, 100, 100, 100)};
	assert_int_equal(edges(q, 2, VIEW_FRONT_LEFT_TOP), 18);
	/* Inside a closed box: nothing. Absent parts hide nothing. */
	view_part r[] = {block(0, 0, 0, 100, 100, 100), block(20, 20, 20, 50, 50, 50)};
	assert_int_equal(edges(r, 2, VIEW_FRONT_RIGHT_TOP), 9);
	r[0].emphasis = VIEW_ABSENT;
	assert_int_equal(edges(r, 2, VIEW_FRONT_RIGHT_TOP), 9);
	r[1].emphasis = VIEW_ABSENT;
	assert_int_equal(edges(r, 2, VIEW_FRONT_RIGHT_TOP), 0);
}

static void a_post_cuts_the_edges_behind_it(void **state) {
	(void)state;
	/* A thin post before a wide board: it covers a piece of the board's upper and lower front edges, of the upper
	 * back edge too, as seen from above. Two cubes' edges, and one more for each edge that is cut in two. */
	view_part p[] = {block(0, 500, 0, 2000, 20, 600), block(900, 0, -800, 30, 30, 3000)};
	assert_int_equal(edges(p, 2, VIEW_FRONT_RIGHT_TOP), 9 + 9 + 3);
}

static void shared_edges_are_drawn_once(void **state) {
	(void)state;
	/* Two cubes side by side, flush: 9 + 9 edges; the right one's left face is not seen, of the left one's three
	 * right edges one is hidden in the seam ... what remains: outline and one seam on front and top. */
	view_part p[] = {block(0, 0, 0, 100, 100, 100), block(100, 0, 0, 100, 100, 100)};
	/* front: 2 x (upper, lower), 3 upright; top: 2 x back, 3 depth edges; right: upright back, lower back. */
	assert_int_equal(edges(p, 2, VIEW_FRONT_RIGHT_TOP), 4 + 3 + 2 + 3 + 2);
}

static view_hole round_hole(face f, double x, double y, double z, double d) {
	return (view_hole){.face = f, .kind = SHAPE_ROUND, .centre = {x, y, z}, .a = d, .through = true};
}

static void holes_let_light_through(void **state) {
	(void)state;
	/* A thin sheet with a large hole, and a pin behind it in line of sight. */
	view_hole h = round_hole(FACE_FRONT, 500, 0, 500, 600);
	view_part p[] = {block(0, 0, 0, 1000, 10, 1000), block(480, 50, 520, 5, 5, 5)};
	size_t closed = edges(p, 2, VIEW_FRONT_RIGHT_TOP);
	assert_int_equal(closed, 9);
	p[0].hole = &h, p[0].n_holes = 1;
	/* The rim, the far rim's visible part, and nine edges of the pin. */
	assert_int_equal(edges(p, 2, VIEW_FRONT_RIGHT_TOP), 9 + 1 + 1 + 9);
	/* Through a deep narrow hole nothing is seen but its wall: the far rim and the pin stay hidden. */
	h.a = 20;
	p[0].hi[1] = 200, p[1] = block(495, 210, 495, 10, 10, 10);
	assert_int_equal(edges(p, 2, VIEW_FRONT_RIGHT_TOP), 9 + 1);
	/* A hole in a face that looks away: seen from the back it is the same hole. */
	h.a = 600;
	p[0].hi[1] = 10;
	/* The far rim's outline may begin amid what is seen of it: one or two pieces. */
	assert_in_range(edges(p, 1, VIEW_BACK_LEFT_TOP), 9 + 2, 9 + 3);
	/* A blind one is seen from its own side only. */
	h.through = false, h.depth = 4;
	assert_int_equal(edges(p, 1, VIEW_BACK_LEFT_TOP), 9);
	/* (Where rim and bottom nearly touch on the page, the bottom's polygon may leave a speck outside.) */
	assert_in_range(edges(p, 1, VIEW_FRONT_LEFT_TOP), 9 + 2, 9 + 4);
}

static void a_groove_runs_out_at_the_edge(void **state) {
	(void)state;
	/* A dado across the top: front and back edges of the top are broken, its notch shows on the front. */
	view_hole g = {.face = FACE_TOP,
		       .kind = SHAPE_RECT,
		       .centre = {500, 200, 100},
		       .a = 50,
		       .b = 400,
		       .along = AXIS_X,
		       .depth = 30};
	view_part p[] = {block(0, 0, 0, 1000, 400, 100)};
	p[0].hole = &g, p[0].n_holes = 1;
	/* 9 + 2 (edges cut in two) + 2 long rims + 3 of the notch on the front + what the inside shows: a long floor
	 * line on the left, hidden behind the near wall or not, and pieces at the far end. */
	arena a = {0};
	view_report r = draw(&a, p, 1, (view_options){0});
	assert_in_range(r.edges, 9 + 2 + 2 + 1, 9 + 2 + 2 + 3 + 5);
	arena_end(&a);
	view_picture q = view_picture_begin(&a, &(view_scene){p, 1}, (double[]){0.5, -0.7, 0.5}, (double[]){1, 0, 0},
					    (double[]){0, 0, 1});
	view_picture_build(&q);
	/* No line runs along the top front edge inside the groove. */
	for (size_t i = 0; i < q.set.segments.n; i++) {
		const lines_segment *s = &q.set.segments.v[i];
		if (s->a[1] > 0 || s->b[1] > 0 || s->a[2] < 100 || s->b[2] < 100) continue;
		double lo = fmin(s->a[0], s->b[0]), hi = fmax(s->a[0], s->b[0]);
		assert_false(lo < 520 && hi > 480);
	}
	arena_end(&a);
}

/* ---- the second route: rays through solids, point by point ------------------------------------------------- */

static uint32_t next(uint32_t *seed) {
	*seed = *seed * 1664525u + 1013904223u;
	return *seed >> 8;
}
static double between(uint32_t *seed, double lo, double hi) {
	return lo + (hi - lo) * (next(seed) % 100000) / 100000.0;
}

/* Does the ray from p towards v meet wood of this part beyond `off`? Openings are prisms along their axis. */
static bool ray_blocked(const view_part *part, const double p[3], const double v[3], double off) {
	double s0 = off, s1 = INFINITY;
	for (int i = 0; i < 3; i++) {
		double a = (part->lo[i] - p[i]) / v[i], b = (part->hi[i] - p[i]) / v[i];
		s0 = fmax(s0, fmin(a, b)), s1 = fmin(s1, fmax(a, b));
	}
	if (s1 - s0 < 1e-4) return false;
	for (int k = 0; k < 400; k++) { /* points inside the box: are they all inside one opening? */
		double s = s0 + (s1 - s0) * (k + 0.5) / 400;
		bool void_here = false;
		for (size_t h = 0; h < part->n_holes; h++) {
			const view_hole *o = &part->hole[h];
			int n = (int)face_axis(o->face), a = n == 0 ? 1 : 0, b = n == 2 ? 1 : 2;
			double da = p[a] + s * v[a] - o->centre[a], db = p[b] + s * v[b] - o->centre[b];
			if (o->kind != SHAPE_ROUND && (int)o->along != a) {
				double t = da;
				da = db, db = t;
			}
			double r = o->kind == SHAPE_ROUND ? o->a / 2 : o->kind == SHAPE_SLOT ? o->b / 2 : o->corner;
			double side = o->kind == SHAPE_ROUND ? o->a : o->b;
			/* Within r of the rectangle that the corners' centres span. */
			double ra = fmax(0, fabs(da) - (o->a / 2 - r)), rb = fmax(0, fabs(db) - (side / 2 - r));
			if (r > 0 ? hypot(ra, rb) < r : ra <= 0 && rb <= 0) void_here = true;
		}
		if (!void_here) return true;
	}
	return false;
}

static void agrees_with_rays(void **state) {
	(void)state;
	uint32_t seed = 7;
	size_t compared = 0, hidden_points = 0;
	for (int trial = 0; trial < 12; trial++) {
		arena a = {0};
		view_part p[14];
		view_hole hole[14][4];
		for (int i = 0; i < 14; i++) {
			/* Boards in a grid of cells, so that none overlap. */
			double x = i % 3 * 400, y = i / 3 % 3 * 400, z = i / 9 * 400;
			int thin = (int)(next(&seed) % 3);
			double size[3] = {between(&seed, 150, 390), between(&seed, 150, 390), between(&seed, 150, 390)};
			size[thin] = between(&seed, 8, 40);
			p[i] = block(x, y, z, size[0], size[1], size[2]);
			p[i].hole = hole[i];
			p[i].n_holes = 4;
			int u = thin == 0 ? 1 : 0, w = thin == 2 ? 1 : 2;
			for (int k = 0; k < 4; k++) {
				view_hole *h = &hole[i][k];
				*h = (view_hole){.face = face_of((axis)thin, true),
						 .kind = k == 0	  ? SHAPE_RECT
							 : k == 1 ? SHAPE_SLOT
							 : k == 2 ? SHAPE_ROUND
								  : SHAPE_RECT,
						 .along = (axis)(trial % 2 ? u : w),
						 .a = 60,
						 .b = k == 1 ? 16 : 40,
						 .corner = k == 3 ? 12 : 0,
						 .through = true};
				h->centre[u] = p[i].lo[u] + size[u] * (k % 2 ? 0.27 : 0.73);
				h->centre[w] = p[i].lo[w] + size[w] * (k / 2 ? 0.27 : 0.73);
				h->centre[thin] = p[i].hi[thin];
			}
		}
		double v[3] = {0.49 - trial * 0.02, -0.75, 0.438};
		double n = sqrt(v[0] * v[0] + v[1] * v[1] + v[2] * v[2]);
		for (int i = 0; i < 3; i++) v[i] /= n;
		view_scene scene = {p, 14};
		view_picture q = view_picture_begin(&a, &scene, v, (double[]){1, 0, 0}, (double[]){0, 0, 1});
		view_picture_build(&q);
		lines_work work = {0};
		for (size_t s = 0; s < q.set.segments.n; s++) {
			const lines_segment *g = &q.set.segments.v[s];
			if (g->inside || g->pen == PEN_NONE) continue;
			lines_visible(&q.set, g, &work);
			for (int k = 0; k < 5; k++) {
				double t = (k + 0.37) / 5, at[3], moved[3];
				bool seen = false, at_end = false;
				for (size_t m = 0; m < work.seen.n; m++) {
					double len = sqrt(pow(g->b[0] - g->a[0], 2) + pow(g->b[1] - g->a[1], 2) +
							  pow(g->b[2] - g->a[2], 2));
					if (t > work.seen.v[m].t0 && t < work.seen.v[m].t1) seen = true;
					if (fabs(t - work.seen.v[m].t0) * len < 0.2 ||
					    fabs(t - work.seen.v[m].t1) * len < 0.2)
						at_end = true;
				}
				if (at_end) continue; /* too near to call */
				bool blocked = false;
				for (int i = 0; i < 3; i++)
					at[i] = g->a[i] + t * (g->b[i] - g->a[i]), moved[i] = at[i] + 0.01 * v[i];
				for (size_t i = 0; i < 14 && !blocked; i++) blocked = ray_blocked(&p[i], moved, v, 0);
				if (seen == blocked)
					fail_msg("trial %d segment %zu t %.3f: seen %d, a ray says %d", trial, s, t,
						 seen, !blocked);
				compared++;
				hidden_points += blocked;
			}
		}
		arena_end(&a);
	}
	assert_true(compared > 5000);
	assert_true(hidden_points > compared / 10);
}

static void exploded_and_dimensioned(void **state) {
	(void)state;
	arena a = {0};
	view_part p[] = {block(0, 0, 0, 500, 300, 18), block(0, 0, 18, 18, 300, 400), block(482, 0, 18, 18, 300, 400)};
	p[1].offset[0] = -200, p[2].offset[0] = 200;
	p[0].balloon = "1", p[1].balloon = "2", p[2].balloon = "3";
	display *d = display_begin(&a, 210, 210);
	display_box into = {10, 10, 200, 200};
	view_report r = view_draw(d, into, &(view_scene){p, 3}, &(view_options){.overall = true});
	assert_int_equal(r.balloons_without_place, 0);
	assert_true(display_box_inside(r.box, into));
	bool width = false, number[3] = {false};
	display_box balloon[3];
	for (size_t i = 0; i < d->items.n; i++) {
		const display_item *t = &d->items.v[i];
		if (t->kind != ITEM_TEXT) continue;
		if (!strcmp(t->text, "900")) width = true;
		for (int k = 0; k < 3; k++)
			if (t->text[0] == '1' + k && !t->text[1])
				number[k] = true, balloon[k] = display_box_grow(t->box, 1);
	}
	assert_true(width && number[0] && number[1] && number[2]);
	for (int i = 0; i < 3; i++)
		for (int k = 0; k < i; k++) assert_false(display_box_overlap(balloon[i], balloon[k]));
	arena_end(&a);
}

/* In a low rectangle balloons stand left and right, in a narrow one above and below: the picture is hardly smaller for
 * them, and none lies over it. */
static void balloons_leave_the_picture_large(void **state) {
	(void)state;
	const display_box into[] = {{10, 10, 128, 60}, {10, 10, 60, 160}};
	for (int i = 0; i < 2; i++) {
		arena a = {0};
		view_part p[] = {block(0, 0, 0, 1240, 700, 18), block(0, 0, 18, 18, 700, 1500),
				 block(1222, 0, 18, 18, 700, 1500)};
		if (i) p[1].hi[2] = p[2].hi[2] = 300;
		view_scene s = {p, 3};
		double bare = view_draw(display_begin(&a, 200, 200), into[i], &s, &(view_options){0}).scale;
		p[0].balloon = "1", p[1].balloon = "2", p[2].balloon = "3";
		display *d = display_begin(&a, 200, 200);
		view_report r = view_draw(d, into[i], &s, &(view_options){0});
		assert_int_equal(r.balloons_without_place, 0);
		assert_true(r.scale > 0.99 * bare);
		assert_true(display_box_inside(r.box, into[i]));
		display_box picture = d->taken.v[d->taken.n - 1].box;
		for (size_t k = 0; k + 1 < d->taken.n; k++)
			if (!d->taken.v[k].line) assert_false(display_box_overlap(d->taken.v[k].box, picture));
		arena_end(&a);
	}
}

/* A rectangle of the height told is filled from side to side; a lower one is not. */
static void the_useful_height(void **state) {
	(void)state;
	arena a = {0};
	view_part p[] = {block(0, 0, 0, 1800, 600, 900), block(0, 0, 900, 1800, 600, 30)};
	p[0].balloon = "1", p[1].balloon = "2";
	view_scene s = {p, 2};
	double high = view_height(&s, &(view_options){0}, 118);
	for (int less = 0; less < 2; less++) {
		display *d = display_begin(&a, 200, 200);
		view_draw(d, display_box_of(10, 10, 118, high - 10 * less), &s, &(view_options){0});
		display_box picture = d->taken.v[d->taken.n - 1].box;
		assert_true(less ? picture.x1 - picture.x0 < 115 : picture.x1 - picture.x0 > 115);
	}
	arena_end(&a);
}

/* Many balloons: none overlap, no two leaders cross. */
static void balloons_keep_apart(void **state) {
	(void)state;
	arena a = {0};
	view_part p[30];
	for (int i = 0; i < 30; i++) {
		p[i] = block(i % 6 * 200, i / 6 * 150, i * 7 % 5 * 60, 150, 100, 40);
		p[i].balloon = arena_printf(&a, "%d", i + 1);
	}
	display *d = display_begin(&a, 200, 200);
	view_report r = view_draw(d, (display_box){5, 5, 195, 195}, &(view_scene){p, 30}, &(view_options){0});
	assert_true(r.balloons_without_place < 5);
	size_t lines = 0;
	for (size_t i = 0; i < d->taken.n; i++) {
		const display_taken *x = &d->taken.v[i];
		lines += x->line;
		for (size_t k = 0; k < i; k++) {
			const display_taken *y = &d->taken.v[k];
			if (i + 1 == d->taken.n) continue; /* the picture itself */
			if (!x->line && !y->line) assert_false(display_box_overlap(x->box, y->box));
			if (x->line && y->line) {
				display one = {.taken = {(display_taken *)y, 1, 1}};
				assert_true(display_line_is_free(&one, x->box.x0, x->box.y0, x->box.x1, x->box.y1));
			}
		}
	}
	assert_int_equal(lines + r.balloons_without_place, 30);
	arena_end(&a);
}

static void the_best_corner_shows_the_new_part(void **state) {
	(void)state;
	view_part p[] = {block(0, 0, 0, 1000, 20, 1000), block(100, 40, 100, 800, 20, 800)};
	p[1].emphasis = VIEW_NEW; /* behind a board: go round */
	view_corner c = view_best_corner(&(view_scene){p, 2}, false);
	assert_true(c == VIEW_BACK_RIGHT_TOP || c == VIEW_BACK_LEFT_TOP);
	p[1] = block(100, -40, 100, 800, 20, 800);
	p[1].emphasis = VIEW_NEW;
	assert_int_equal(view_best_corner(&(view_scene){p, 2}, false), VIEW_FRONT_RIGHT_TOP);
}

static void a_section_cuts_and_hatches(void **state) {
	(void)state;
	arena a = {0};
	view_hole h = round_hole(FACE_FRONT, 500, 300, 200, 100);
	view_part p[] = {block(0, 0, 0, 1000, 600, 18), block(18, 300, 18, 964, 18, 382)};
	p[1].hole = &h, p[1].n_holes = 1;
	display *d = display_begin(&a, 200, 200);
	view_section_map m = view_section(d, (display_box){10, 10, 190, 190}, &(view_scene){p, 2}, AXIS_X, 500, false,
					  &(view_options){0});
	assert_int_equal(m.u, AXIS_Y);
	assert_int_equal(m.v, AXIS_Z);
	assert_true(m.u_left);
	/* Hatching lies in the cut: floor, and the two halves of the board above and below the hole (150 .. 250). */
	double hatch = 0;
	for (size_t i = 0; i < d->items.n; i++) {
		const display_item *t = &d->items.v[i];
		if (t->kind != ITEM_PATH || t->pen != PEN_HATCH) continue;
		for (size_t k = 0; k + 1 < t->n; k += 2) {
			double u = -(t->node[k].p.x + t->node[k + 1].p.x) / 2,
			       v = m.y - (t->node[k].p.y + t->node[k + 1].p.y) / 2;
			u = (u + m.x) / m.scale, v = v / m.scale;
			bool floor = u > -1e-6 && u < 600 + 1e-6 && v > -1e-6 && v < 18 + 1e-6;
			bool board = u > 300 - 1e-6 && u < 318 + 1e-6 && v > 18 - 1e-6 && v < 400 + 1e-6;
			assert_true(floor || board);
			assert_false(v > 151 && v < 249);
			hatch += hypot(t->node[k].p.x - t->node[k + 1].p.x, t->node[k].p.y - t->node[k + 1].p.y);
		}
	}
	assert_true(hatch > 10);
	arena_end(&a);
}

static void a_model_becomes_a_scene(void **state) {
	(void)state;
	arena a = {0};
	model *m = fix_cabinet(&a);
	view_scene s = view_from_model(&a, m, NULL, NULL, false);
	assert_int_equal(s.n, m->parts.n);
	size_t openings = 0, drawn = 0;
	for (size_t i = 0; i < m->features.n; i++)
		openings += m->features.v[i].kind != FEATURE_PILOT && m->features.v[i].kind != FEATURE_CLEARANCE;
	for (size_t i = 0; i < s.n; i++) drawn += s.part[i].n_holes;
	assert_true(openings > 8);
	assert_int_equal(drawn, openings);
	view_report r = draw(&a, s.part, s.n, (view_options){.overall = true});
	assert_true(r.edges > 30);
	arena_end(&a);
}

/* Air falls through the top's holes, then the carrier's; the arrows point down, and up when it flows back. */
static void arrows_show_the_air(void **state) {
	(void)state;
	arena a = {0};
	model *m = fix_cabinet(&a);
	for (int i = 0; i < 3; i++) LIST_PUSH(&a, &m->air.spaces, (model_space){.room = i == 0});
	for (int i = 0; i < 2; i++) {
		model_branch *b = LIST_ADD(&a, &m->air.branches);
		b->kind = AIR_OPENINGS, b->pattern = 0;
		b->from = (model_ref)i, b->to = (model_ref)i + 1, b->part = i ? FIX_CARRIER : FIX_TOP;
	}
	assert_int_equal(view_air_axis(m), AXIS_X); /* all of it falls: no reason to turn */
	view_scene s = view_from_model(&a, m, NULL, NULL, false);
	double at = view_section_at(&s, AXIS_X);
	bool through = false;
	for (size_t i = 0; i < m->patterns.v[0].axes.n; i++)
		through = through || fabs(rat_double(m->patterns.v[0].axes.v[i].v[0]) - at) < 1e-6;
	assert_true(through); /* the plane goes through openings, though the middle of the cabinet need not */
	for (int back = 0; back < 2; back++) {
		model_flow flow[2] = {{.flow_m3_s = back ? -0.1 : 0.1}, {.flow_m3_s = back ? -0.1 : 0.1}};
		display *d = display_begin(&a, 200, 200);
		view_section_map map = view_air_section(d, (display_box){10, 10, 190, 190}, m, &s, AXIS_X, true, flow,
							NULL, &(view_options){0});
		assert_true(map.scale > 0);
		size_t arrows = 0;
		bool one = false, two = false;
		for (size_t i = 0; i < d->items.n; i++) {
			const display_item *t = &d->items.v[i];
			if (t->kind == ITEM_TEXT)
				one = one || !strcmp(t->text, "1"), two = two || !strcmp(t->text, "2");
			if (t->kind != ITEM_PATH || t->pen != PEN_PART || t->fill != FILL_WHITE || t->n != 8) continue;
			double tip = t->node[3].p.y, tail = t->node[0].p.y;
			assert_true(back ? tip < tail : tip > tail);
			assert_true(fabs(t->node[3].p.x - (t->node[0].p.x + t->node[6].p.x) / 2) < 1e-9);
			arrows++;
		}
		assert_true(arrows >= 2);
		assert_true(one && two);
	}
	arena_end(&a);
}

int main(void) {
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(a_cube_shows_nine_edges),
		cmocka_unit_test(what_is_behind_is_hidden),
		cmocka_unit_test(a_post_cuts_the_edges_behind_it),
		cmocka_unit_test(shared_edges_are_drawn_once),
		cmocka_unit_test(holes_let_light_through),
		cmocka_unit_test(a_groove_runs_out_at_the_edge),
		cmocka_unit_test(agrees_with_rays),
		cmocka_unit_test(exploded_and_dimensioned),
		cmocka_unit_test(balloons_leave_the_picture_large),
		cmocka_unit_test(the_useful_height),
		cmocka_unit_test(balloons_keep_apart),
		cmocka_unit_test(the_best_corner_shows_the_new_part),
		cmocka_unit_test(a_section_cuts_and_hatches),
		cmocka_unit_test(a_model_becomes_a_scene),
		cmocka_unit_test(arrows_show_the_air),
	};
	return cmocka_run_group_tests(tests, NULL, NULL);
}
