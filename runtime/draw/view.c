#include "runtime/draw/view.h"

#include <math.h>

#include "runtime/draw/dim.h"
#include "runtime/draw/view_picture.h"

static const double PI = 3.14159265358979323846;

const char *const VIEW_CORNER_WORDS[VIEW_CORNERS] = {
	[VIEW_FRONT_RIGHT_TOP] = "seen from the front, right and above",
	[VIEW_FRONT_LEFT_TOP] = "seen from the front, left and above",
	[VIEW_BACK_RIGHT_TOP] = "seen from the back, right side and above",
	[VIEW_BACK_LEFT_TOP] = "seen from the back, left side and above",
	[VIEW_FRONT_RIGHT_BOTTOM] = "seen from the front, right and below",
	[VIEW_FRONT_LEFT_BOTTOM] = "seen from the front, left and below",
	[VIEW_BACK_RIGHT_BOTTOM] = "seen from the back, right side and below",
	[VIEW_BACK_LEFT_BOTTOM] = "seen from the back, left side and below",
};

static bool is_right(view_corner c) { return c % 2 == 0; }
static bool is_back(view_corner c) { return c % 4 >= 2; }
static bool is_below(view_corner c) { return c >= VIEW_FRONT_RIGHT_BOTTOM; }

/* Trimetric: turned 33 degrees and raised 26, so that no two axes are foreshortened alike and edges of square
 * boxes do not fall together; the width is foreshortened least (0.84), the height next (0.90), the depth most. */
static void viewer(view_corner corner, double v[3], double right[3], double up[3]) {
	const double turn = 33, rise = 26;
	double az = (is_back(corner) ? 180 - turn : turn) * (is_right(corner) ? 1 : -1) * PI / 180;
	double el = (is_below(corner) ? -rise : rise) * PI / 180;
	v[0] = sin(az) * cos(el), v[1] = -cos(az) * cos(el), v[2] = sin(el);
	right[0] = cos(az), right[1] = sin(az), right[2] = 0;
	up[0] = v[1] * right[2] - v[2] * right[1];
	up[1] = v[2] * right[0] - v[0] * right[2];
	up[2] = v[0] * right[1] - v[1] * right[0];
}

static void bounds(const view_scene *s, double lo[3], double hi[3]) {
	for (int i = 0; i < 3; i++) lo[i] = INFINITY, hi[i] = -INFINITY;
	for (size_t k = 0; k < s->n; k++) {
		double a[3], b[3];
		if (s->part[k].emphasis == VIEW_ABSENT) continue;
		view_part_box(&s->part[k], a, b);
		for (int i = 0; i < 3; i++) lo[i] = fmin(lo[i], a[i]), hi[i] = fmax(hi[i], b[i]);
	}
}

/* Sizes along the three axes, with witness lines that run along a third one. */
static void overall(display *d, const view_picture *p, const view_options *o, double cap) {
	double lo[3], hi[3];
	bounds(p->scene, lo, hi);
	bool right = p->set.v[0] > 0, back = p->set.v[1] > 0, below = p->set.v[2] < 0;
	double near_x = right ? hi[0] : lo[0], far_x = right ? lo[0] : hi[0];
	double near_y = back ? hi[1] : lo[1], far_y = back ? lo[1] : hi[1];
	/* Width and depth on the lower rim of the picture (on the upper one when seen from below). */
	double z = below ? hi[2] : lo[2], away = below ? -9 : 9;
	double wa[3] = {far_x, near_y, z}, corner[3] = {near_x, near_y, z}, db[3] = {near_x, far_y, z};
	double ha[3] = {far_x, near_y, lo[2]}, hb[3] = {far_x, near_y, hi[2]};
	display_point pw = view_picture_at(p, wa), pc = view_picture_at(p, corner), pd = view_picture_at(p, db);
	display_point pa = view_picture_at(p, ha), pb = view_picture_at(p, hb);
	for (int i = 0; i < 3; i++) {
		const char *text = dim_text_overall(d->mem, rat_from_double(hi[i] - lo[i], 64000), o->measures);
		if (i == 0) dim_skew(d, pw, pc, (display_point){0, away}, cap, text);
		if (i == 1) dim_skew(d, pc, pd, (display_point){0, away}, cap, text);
		/* The nearest upright rim that lies outside: its witness lines run out level. */
		if (i == 2) dim_skew(d, pa, pb, (display_point){pa.x < pc.x ? -9 : 9, 0}, cap, text);
	}
}

/* On the moved part's side towards its place, over what is drawn. */
static void way_arrow(display *d, const view_picture *p, const view_part *part) {
	const double length = 9;
	double at[3], to[3];
	for (int i = 0; i < 3; i++) {
		at[i] = (part->lo[i] + part->hi[i]) / 2 + part->offset[i];
		/* From the face that leads. */
		if (part->offset[i] > 0) at[i] -= (part->hi[i] - part->lo[i]) / 2;
		if (part->offset[i] < 0) at[i] += (part->hi[i] - part->lo[i]) / 2;
		to[i] = at[i] - part->offset[i];
	}
	display_point a = view_picture_at(p, at), b = view_picture_at(p, to);
	double n = hypot(b.x - a.x, b.y - a.y);
	if (n < 1) return;
	double dx = (b.x - a.x) / n, dy = (b.y - a.y) / n, x = a.x + 1.5 * dx, y = a.y + 1.5 * dy;
	static const double SHAPE[7][2] = {{0, 0.9},	 {0.55, 0.9},  {0.55, 2.1}, {1, 0},
					   {0.55, -2.1}, {0.55, -0.9}, {0, -0.9}};
	display_point q[7];
	for (int i = 0; i < 7; i++) {
		double along = SHAPE[i][0] * length, across = SHAPE[i][1];
		q[i] = (display_point){x + along * dx - across * dy, y + along * dy + across * dx};
	}
	display_box box = display_box_empty();
	for (int i = 0; i < 7; i++) box = display_box_join(box, (display_box){q[i].x, q[i].y, q[i].x, q[i].y});
	if (!display_is_free(d, box)) return; /* alike parts side by side share one */
	display_polygon(d, PEN_PART, FILL_WHITE, q, 7);
	display_take(d, box);
}

/* What the picture takes at a scale of one. */
static display_box extent_at(view_picture *p, arena *scratch, const view_scene *s, const view_options *o) {
	double v[3], right[3], up[3];
	viewer(o->corner, v, right, up);
	*p = view_picture_begin(scratch, s, v, right, up);
	return view_picture_extent(p);
}

/* Balloons stand all round the picture, or at two sides of it alone. */
enum { ALL_ROUND, LEFT_AND_RIGHT, ABOVE_AND_BELOW, BALLOON_WAYS };

static display_box without_margins(display_box into, const view_options *o, double cap, double round, int way) {
	double low = o->overall ? 11 + cap + 2 : 0;
	double x = way == ABOVE_AND_BELOW ? 1 : round, y = way == LEFT_AND_RIGHT ? 1 : round;
	return (display_box){into.x0 + x + (o->overall ? 9 + cap + 1.5 : 0), into.y0 + y,
			     into.x1 - x - (o->overall ? 4 : 0), into.y1 - y - low};
}

static double scale_in(display_box in, display_box e) {
	return fmin((in.x1 - in.x0) / (e.x1 - e.x0), (in.y1 - in.y0) / (e.y1 - e.y0));
}

/* Where the picture may stand, with room for what stands round it: balloons only at two sides when the picture gets
 * clearly larger by that and they find places there. */
static display_box picture_room(display_box into, const view_scene *s, const view_options *o, display_box e,
				double cap) {
	size_t n;
	double r = view_balloon_radius(s, cap, &n), round = n ? VIEW_BALLOON_ROOM(r) : 1, pitch = 2 * r + 2;
	display_box best = without_margins(into, o, cap, round, ALL_ROUND);
	for (int way = LEFT_AND_RIGHT; n && way < BALLOON_WAYS; way++) {
		const double gain = 1.15, spare = 1.3;
		display_box in = without_margins(into, o, cap, round, way);
		double side = way == LEFT_AND_RIGHT ? into.y1 - into.y0 : into.x1 - into.x0;
		if (2 * floor((side - 2 * r) / pitch) < spare * (double)n) continue;
		if (scale_in(in, e) > gain * scale_in(best, e)) best = in;
	}
	return best.x1 > best.x0 + 5 && best.y1 > best.y0 + 5 ? best : into;
}

double view_height(const view_scene *s, const view_options *o, double wide) {
	arena scratch = {0};
	view_picture p;
	display_box e = extent_at(&p, &scratch, s, o);
	size_t n;
	double cap = o->cap > 0 ? o->cap : CAP_BODY, r = view_balloon_radius(s, cap, &n);
	const double any = 1000;
	display_box in = without_margins(display_box_of(0, 0, wide, any), o, cap, n ? VIEW_BALLOON_ROOM(r) : 1,
					 n ? ABOVE_AND_BELOW : ALL_ROUND);
	double high = e.x1 > e.x0 ? (in.x1 - in.x0) / (e.x1 - e.x0) * (e.y1 - e.y0) + any - (in.y1 - in.y0) : 0;
	arena_end(&scratch);
	return high;
}

view_report view_draw(display *d, display_box into, const view_scene *s, const view_options *o) {
	view_report r = {0};
	double cap = o->cap > 0 ? o->cap : CAP_BODY;
	arena scratch = {0};
	view_picture p;
	display_box e = extent_at(&p, &scratch, s, o);
	r.box = display_box_of(into.x0, into.y0, 0, 0);
	if (!(e.x1 > e.x0) || !(e.y1 > e.y0)) return r;
	display_box in = picture_room(into, s, o, e, cap);
	p.scale = scale_in(in, e);
	if (o->most_scale > 0) p.scale = fmin(p.scale, o->most_scale);
	p.x = (in.x0 + in.x1) / 2 - p.scale * (e.x0 + e.x1) / 2;
	p.y = (in.y0 + in.y1) / 2 - p.scale * (e.y0 + e.y1) / 2;
	p.edges_too_hidden = o->hidden;
	p.small = p.scale * fmax(e.x1 - e.x0, e.y1 - e.y0) < 90;
	view_picture_build(&p);
	view_picture_draw(d, &p, o->hidden, &r);
	r.scale = p.scale;
	size_t first = d->items.n;
	display_box picture = {p.x + p.scale * e.x0, p.y + p.scale * e.y0, p.x + p.scale * e.x1, p.y + p.scale * e.y1};
	if (o->overall) overall(d, &p, o, cap);
	for (size_t i = 0; i < s->n; i++)
		if (s->part[i].arrow && s->part[i].emphasis != VIEW_ABSENT) way_arrow(d, &p, &s->part[i]);
	r.balloons_without_place = view_balloons(d, into, picture, &p, cap);
	arena_end(&scratch);
	display_take(d, picture);
	r.box = picture;
	for (size_t i = first; i < d->items.n; i++) r.box = display_box_join(r.box, d->items.v[i].box);
	return r;
}

view_corner view_best_corner(const view_scene *s, bool below) {
	view_corner best = VIEW_FRONT_RIGHT_TOP;
	double most = -1;
	for (int c = 0; c < (below ? VIEW_CORNERS : VIEW_FRONT_RIGHT_BOTTOM); c++) {
		double v[3], right[3], up[3], seen = 0;
		viewer((view_corner)c, v, right, up);
		arena mem = {0};
		view_picture p = view_picture_begin(&mem, s, v, right, up);
		view_picture_faces(&p);
		for (size_t f = 0; f < p.set.faces.n; f++) {
			const lines_face *side = &p.set.faces.v[f];
			if (s->part[side->part].emphasis != VIEW_NEW) continue;
			enum { GRID = 5 };
			double area = (side->hi[0] - side->lo[0]) * (side->hi[1] - side->lo[1]) * fabs(v[side->n]);
			for (int i = 0; i < GRID * GRID; i++) {
				double at[3];
				at[side->n] = side->c;
				at[side->a] = side->lo[0] + (i % GRID + 0.5) / GRID * (side->hi[0] - side->lo[0]);
				at[side->b] = side->lo[1] + (i / GRID + 0.5) / GRID * (side->hi[1] - side->lo[1]);
				if (lines_point_visible(&p.set, at, NULL)) seen += area / (GRID * GRID);
			}
		}
		arena_end(&mem);
		/* Another corner must be clearly better: readers like to stay where they stand. */
		if (seen > most * 1.15) most = seen, best = (view_corner)c;
	}
	return best;
}
