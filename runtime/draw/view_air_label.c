/* Names of the spaces in a section: each stands in the room that the cut walls leave for it, found by filling that room
 * from the openings that lead into it; where it has no place there it stands beside the section with a leader. */
#include <math.h>
#include <string.h>

#include "runtime/draw/view_air.h"

static const double CELL = 1;	 /* mm on paper */
static const double CAP = 2.3;	 /* 9.2 pt */
static const double LEAD = 3.6;	 /* from line to line */
enum { WALL = -1, UNSEEN = -2 }; /* of a cell; else the number of its room */

typedef struct rooms {
	display_box in;
	int w, h, n;
	int *cell;
} rooms;

static int column(const rooms *g, double x) { return (int)floor((x - g->in.x0) / CELL); }
static int row(const rooms *g, double y) { return (int)floor((y - g->in.y0) / CELL); }

static int at(const rooms *g, double x, double y) {
	int i = column(g, x), k = row(g, y);
	return i < 0 || k < 0 || i >= g->w || k >= g->h ? WALL : g->cell[k * g->w + i];
}

static void wall(rooms *g, display_box b) {
	int i0 = column(g, b.x0), i1 = column(g, b.x1), k0 = row(g, b.y0), k1 = row(g, b.y1);
	for (int k = k0 < 0 ? 0 : k0; k <= k1 && k < g->h; k++)
		for (int i = i0 < 0 ? 0 : i0; i <= i1 && i < g->w; i++) g->cell[k * g->w + i] = WALL;
}

/* A number for every room: cells that hang together. */
static void number_rooms(arena *mem, rooms *g) {
	int *stack = arena_alloc(mem, sizeof *stack * (size_t)(g->w * g->h + 1));
	for (int first = 0; first < g->w * g->h; first++) {
		if (g->cell[first] != UNSEEN) continue;
		size_t n = 0;
		stack[n++] = first;
		g->cell[first] = g->n;
		while (n) {
			int c = stack[--n], x = c % g->w, y = c / g->w;
			const int next[4] = {x > 0 ? c - 1 : -1, x + 1 < g->w ? c + 1 : -1, y > 0 ? c - g->w : -1,
					     y + 1 < g->h ? c + g->w : -1};
			for (int k = 0; k < 4; k++)
				if (next[k] >= 0 && g->cell[next[k]] == UNSEEN)
					g->cell[next[k]] = g->n, stack[n++] = next[k];
		}
		g->n++;
	}
}

static rooms rooms_of(arena *mem, display_box in, const view_air_walls *walls) {
	rooms g = {.in = in, .w = (int)ceil((in.x1 - in.x0) / CELL), .h = (int)ceil((in.y1 - in.y0) / CELL)};
	g.cell = arena_alloc(mem, sizeof *g.cell * (size_t)(g.w * g.h + 1));
	for (int i = 0; i < g.w * g.h; i++) g.cell[i] = UNSEEN;
	for (size_t i = 0; i < walls->n; i++) wall(&g, walls->v[i]);
	number_rooms(mem, &g);
	return g;
}

/* From an opening on along its way to the first cell that is no wall. */
static bool beyond(const rooms *g, display_point p, double dx, double dy, display_point *out) {
	for (double far = 0.5; far < 25; far += 0.5) {
		*out = (display_point){p.x + dx * far, p.y + dy * far};
		if (at(g, out->x, out->y) >= 0) return true;
	}
	return false;
}

/* The free cell of a room nearest to a point: for what leads out of the page. */
static bool nearest_room(const rooms *g, display_point p, int outside, display_point *out) {
	double nearest = INFINITY;
	for (int k = 0; k < g->h; k++)
		for (int i = 0; i < g->w; i++) {
			int room = g->cell[k * g->w + i];
			double x = g->in.x0 + (i + 0.5) * CELL, y = g->in.y0 + (k + 0.5) * CELL;
			if (room < 0 || room == outside || hypot(x - p.x, y - p.y) >= nearest) continue;
			nearest = hypot(x - p.x, y - p.y);
			*out = (display_point){x, y};
		}
	return nearest < 40;
}

/* ---- one name --------------------------------------------------------------------------------------------------- */

typedef struct lettering {
	const char *const *line;
	size_t n;
	double w, h;
} lettering;

static lettering lettering_of(arena *mem, const char *text) {
	LIST(const char *) lines = {0};
	lettering out = {0};
	for (const char *p = text; *p;) {
		const char *end = strchr(p, '\n');
		size_t n = end ? (size_t)(end - p) : strlen(p);
		const char *line = arena_printf(mem, "%.*s", (int)n, p);
		LIST_PUSH(mem, &lines, line);
		out.w = fmax(out.w, display_text_width(lines.n > 1 ? FONT_REGULAR : FONT_BOLD, CAP, line));
		p += n + (end != NULL);
	}
	out.line = lines.v, out.n = lines.n;
	out.w += 1, out.h = (double)out.n * LEAD + 0.6;
	return out;
}

static void letter(display *d, const lettering *l, display_box b) {
	display_rect(d, PEN_NONE, FILL_WHITE, b.x0, b.y0, b.x1 - b.x0, b.y1 - b.y0);
	for (size_t i = 0; i < l->n; i++)
		display_text_style(
			d, (b.x0 + b.x1) / 2, b.y0 + 0.4 + CAP + (double)i * LEAD,
			&(display_style){.cap = CAP, .font = i ? FONT_REGULAR : FONT_BOLD, .align = ALIGN_CENTRE},
			l->line[i]);
	display_take(d, b);
}

/* Cells of other rooms or walls left of and above each corner, added up. */
static int *strangers(arena *mem, const rooms *g, int room) {
	int *sum = arena_alloc(mem, sizeof *sum * (size_t)((g->w + 1) * (g->h + 1)));
	for (int i = 0; i <= g->w; i++) sum[i] = 0;
	for (int k = 0; k < g->h; k++) {
		int *now = sum + (k + 1) * (g->w + 1), *above = sum + k * (g->w + 1), here = 0;
		now[0] = 0;
		for (int i = 0; i < g->w; i++) {
			here += g->cell[k * g->w + i] != room;
			now[i + 1] = above[i + 1] + here;
		}
	}
	return sum;
}

/* The place for w x h in that room nearest to the seed. */
static bool place_in(arena *mem, const display *d, const rooms *g, int room, display_point seed, const lettering *l,
		     display_box *out) {
	int *sum = strangers(mem, g, room), w = (int)ceil(l->w / CELL), h = (int)ceil(l->h / CELL);
	double nearest = INFINITY;
	for (int k = 0; k + h <= g->h; k++)
		for (int i = 0; i + w <= g->w; i++) {
			const int *top = sum + k * (g->w + 1), *foot = sum + (k + h) * (g->w + 1);
			if (foot[i + w] - foot[i] - top[i + w] + top[i]) continue;
			display_box b = display_box_of(g->in.x0 + i * CELL, g->in.y0 + k * CELL, w * CELL, h * CELL);
			double far = hypot((b.x0 + b.x1) / 2 - seed.x, (b.y0 + b.y1) / 2 - seed.y);
			if (far >= nearest || !display_is_free(d, b)) continue;
			nearest = far;
			*out = b;
		}
	return isfinite(nearest);
}

/* A point of that room where nothing is drawn, near the seed. */
static display_point clear_point(arena *mem, const display *d, const rooms *g, int room, display_point seed) {
	const lettering dot = {.w = 1.6, .h = 1.6};
	display_box b;
	if (room < 0 || !place_in(mem, d, g, room, seed, &dot, &b)) return seed;
	return (display_point){(b.x0 + b.x1) / 2, (b.y0 + b.y1) / 2};
}

static void place_beside(display *d, display_box into, display_box cabinet, display_point seed, const lettering *l) {
	size_t taken = d->taken.n;
	display_box b;
	display_point end;
	display_take(d, cabinet);
	bool found = display_free_label(d, seed.x, seed.y, 3, l->w, l->h, into, &b, &end);
	d->taken.n = taken;
	if (!found && !display_free_label(d, seed.x, seed.y, 3, l->w, l->h, into, &b, &end)) return;
	display_circle(d, PEN_NONE, FILL_BLACK, seed.x, seed.y, 0.6);
	display_segment(d, PEN_DIM, seed.x, seed.y, end.x, end.y);
	display_take_line(d, seed.x, seed.y, end.x, end.y);
	letter(d, l, b);
}

void view_air_labels(display *d, display_box into, display_box cabinet, const view_air_walls *walls,
		     const view_air_door *door, size_t n_doors, const char *const *label, size_t n_spaces) {
	arena scratch = {0};
	rooms g = rooms_of(&scratch, into, walls);
	int outside = at(&g, into.x0 + CELL / 2, into.y0 + CELL / 2);
	for (size_t s = 0; s < n_spaces; s++) {
		if (!label[s]) continue;
		lettering l = lettering_of(d->mem, label[s]);
		display_point seed = {0, 0}, last = {0, 0};
		int room = WALL;
		size_t seeds = 0;
		for (size_t i = 0; i < n_doors; i++) {
			bool leads = door[i].to == s;
			display_point p = {0, 0};
			if (!leads && door[i].from != s) continue;
			double way = leads ? 1 : -1;
			bool level = fabs(door[i].dx) + fabs(door[i].dy) > 0;
			if (!(level ? beyond(&g, door[i].at, way * door[i].dx, way * door[i].dy, &p)
				    : nearest_room(&g, door[i].at, outside, &p)))
				continue;
			int r = at(&g, p.x, p.y);
			last = p;
			if (r == outside || (room >= 0 && r != room)) continue;
			room = r;
			seed.x += p.x, seed.y += p.y, seeds++;
		}
		display_box b;
		if (seeds) seed = (display_point){seed.x / (double)seeds, seed.y / (double)seeds};
		if (seeds && place_in(&scratch, d, &g, room, seed, &l, &b))
			letter(d, &l, b);
		else if (seeds || last.x > 0)
			place_beside(d, into, cabinet, clear_point(&scratch, d, &g, room, seeds ? seed : last), &l);
	}
	arena_end(&scratch);
}
