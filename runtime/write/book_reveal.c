/* From where the new parts of a step are seen, and what has to be left out of the picture so that they are. */
#include "runtime/write/book_build.h"

/* Towards the viewer, for the four upper corners in the order of view_corner. The height is about that of the
 * projection; only what lies in front of what counts here. */
static const double TO_VIEWER[4][3] = {{1, -1, 0.8}, {-1, -1, 0.8}, {1, 1, 0.8}, {-1, 1, 0.8}};

/* Does the ray from p (towards the viewer) meet the box? */
static bool ray_meets(const double p[3], const double way[3], const view_part *box) {
	double from = 1e-6, to = 1e9;
	for (int a = 0; a < 3; a++) {
		double t0 = (box->lo[a] + box->offset[a] - p[a]) / way[a],
		       t1 = (box->hi[a] + box->offset[a] - p[a]) / way[a];
		if (t0 > t1) {
			double t = t0;
			t0 = t1, t1 = t;
		}
		from = t0 > from ? t0 : from;
		to = t1 < to ? t1 : to;
	}
	return to - from > 1e-6;
}

enum { SAMPLES = 5 };

/* Shares of sample points on the visible faces of the new parts that nothing else hides; hits[k]: points that part k
 * hides. */
static double seen_share(const view_scene *s, int corner, size_t *hits) {
	size_t points = 0, seen = 0;
	for (size_t k = 0; k < s->n; k++) hits[k] = 0;
	for (size_t i = 0; i < s->n; i++) {
		const view_part *p = &s->part[i];
		if (p->emphasis != VIEW_NEW) continue;
		for (int sample = 0; sample < 3 * SAMPLES * SAMPLES; sample++) {
			int a = sample % 3, u = (sample / 3) % SAMPLES, v = sample / (3 * SAMPLES);
			double at[3];
			double share[3] = {(u + 0.5) / SAMPLES, (u + 0.5) / SAMPLES, (u + 0.5) / SAMPLES};
			share[(a + 1) % 3] = (v + 0.5) / SAMPLES;
			for (int k = 0; k < 3; k++) at[k] = p->lo[k] + p->offset[k] + share[k] * (p->hi[k] - p->lo[k]);
			at[a] = (TO_VIEWER[corner][a] > 0 ? p->hi[a] : p->lo[a]) + p->offset[a];
			bool hidden = false;
			for (size_t k = 0; k < s->n; k++) {
				if (k == i || s->part[k].emphasis == VIEW_ABSENT) continue;
				if (!ray_meets(at, TO_VIEWER[corner], &s->part[k])) continue;
				hidden = true, hits[k]++;
			}
			points++, seen += !hidden;
		}
	}
	return points ? (double)seen / (double)points : 1;
}

view_corner book_reveal(book *b, view_scene *s) {
	const double enough = 0.2;
	size_t *hits = ARENA_MANY(b->mem, size_t, s->n + 1);
	view_corner corner = view_best_corner(s, false);
	if ((int)corner > 3) return corner;
	double share = seen_share(s, (int)corner, hits);
	for (int c = 0; c < 4 && share < enough; c++) {
		double other = seen_share(s, c, hits);
		if (other >= enough || other > share + 0.1) share = other, corner = (view_corner)c;
	}
	/* What only stands in front is left out, the worst first; then even what it is joined to. */
	for (int k = 0; k < 6 && share < enough; k++) {
		view_emphasis give = k < 4 ? VIEW_LIGHT : VIEW_NORMAL;
		seen_share(s, (int)corner, hits);
		size_t worst = s->n;
		for (size_t i = 0; i < s->n; i++)
			if (s->part[i].emphasis == give && hits[i] && (worst == s->n || hits[i] > hits[worst]))
				worst = i;
		if (worst == s->n) continue;
		s->part[worst].emphasis = VIEW_ABSENT;
		share = seen_share(s, (int)corner, hits);
	}
	return corner;
}
