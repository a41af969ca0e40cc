#include "runtime/write/gcode.h"

#include <math.h>
#include <string.h>

#include "runtime/base/text.h"
#include "runtime/engine/feature.h"

/* A feature that the program works, and the tool that does it. */
typedef struct job {
	const model_feature *f;
	const feature_row *row;
	model_ref tool;
} job;

typedef struct program {
	textbuf *out;
	arena *mem;
	const model *m;
	model_ref part;
	bool inch;
	const feature_face *face;
	LIST(job) jobs;	     /* of the face */
	double thick;	     /* mm, along Z */
	double feed, plunge; /* mm/min, of the tool in use */
	double diameter, pass;
	bool cut_yet; /* a tool was in use before */
	gcode_count n;
} program;

/* ---- words --------------------------------------------------------------------------------- */

/* Comments may hold neither brackets of their own nor letters beyond ASCII. */
__attribute__((format(printf, 2, 3))) static void comment(program *p, const char *format, ...) {
	va_list args;
	va_start(args, format);
	char *text = arena_vprintf(p->mem, format, args);
	va_end(args);
	textbuf_char(p->out, '(');
	size_t n = 0;
	for (const char *t = text, *end = text + strlen(text); t < end && n < 200; n++) {
		const char *from = t;
		uint32_t c = text_utf8_next(&t, end);
		if (c == '(' || c == ')')
			textbuf_char(p->out, c == '(' ? '[' : ']');
		else if (c == 0xD7)
			textbuf_char(p->out, 'x');
		else
			textbuf_char(p->out, c >= 0x20 && c < 0x7F ? *from : '?');
	}
	textbuf_add(p->out, ")\n");
}

static const char *number(const program *p, double mm) {
	const char *t = arena_printf(p->mem, p->inch ? "%.4f" : "%.3f", p->inch ? mm / 25.4 : mm);
	return t[0] == '-' && strspn(t + 1, "0.") == strlen(t + 1) ? t + 1 : t;
}

static void word(program *p, char letter, double mm) { textbuf_printf(p->out, " %c%s", letter, number(p, mm)); }

static void feed_word(program *p, double mm_min) {
	textbuf_printf(p->out, " F%.*f", p->inch ? 2 : 1, p->inch ? mm_min / 25.4 : mm_min);
}

static void line_end(program *p) { textbuf_char(p->out, '\n'); }

static void rapid_up(program *p, double z) {
	textbuf_add(p->out, "G0");
	word(p, 'Z', z);
	line_end(p);
}

static void rapid_to(program *p, double x, double y) {
	textbuf_add(p->out, "G0");
	word(p, 'X', x);
	word(p, 'Y', y);
	line_end(p);
}

static void cut_down(program *p, double z) {
	textbuf_add(p->out, "G1");
	word(p, 'Z', z);
	feed_word(p, p->plunge);
	line_end(p);
}

static void cut_to(program *p, double x, double y) {
	textbuf_add(p->out, "G1");
	word(p, 'X', x);
	word(p, 'Y', y);
	feed_word(p, p->feed);
	line_end(p);
}

/* Anticlockwise to (x, y), centre at (i, j) from where the tool stands; Z too when it is a number. */
static void arc_to(program *p, double x, double y, double z, double i, double j) {
	textbuf_add(p->out, "G3");
	word(p, 'X', x);
	word(p, 'Y', y);
	if (!isnan(z)) word(p, 'Z', z);
	word(p, 'I', i);
	word(p, 'J', j);
	feed_word(p, p->feed);
	line_end(p);
}

/* ---- paths --------------------------------------------------------------------------------- */

/* The path of the cutter's axis: a rectangle of half sizes hx, hy about (x, y), rounded by r. */
typedef struct path {
	double x, y, hx, hy, r;
} path;

static bool is_circle(const path *t) { return t->hx <= 0 && t->hy <= 0; }

/* One turn at depth z. The tool stands at the beginning: right side, lower end of its straight. */
static void turn(program *p, const path *t, double z_from, double z) {
	double x1 = t->x + t->hx + t->r, x0 = t->x - t->hx - t->r, y1 = t->y + t->hy + t->r, y0 = t->y - t->hy - t->r;
	if (is_circle(t)) {
		bool down = z < z_from;
		arc_to(p, x0, t->y, down ? (z + z_from) / 2 : (double)NAN, -t->r, 0);
		arc_to(p, x1, t->y, down ? z : (double)NAN, t->r, 0);
		return;
	}
	if (z < z_from) cut_down(p, z);
	bool round = t->r > 0;
	if (t->hy > 0) cut_to(p, x1, t->y + t->hy);
	if (round) arc_to(p, t->x + t->hx, y1, (double)NAN, -t->r, 0);
	if (t->hx > 0) cut_to(p, t->x - t->hx, y1);
	if (round) arc_to(p, x0, t->y + t->hy, (double)NAN, 0, -t->r);
	if (t->hy > 0) cut_to(p, x0, t->y - t->hy);
	if (round) arc_to(p, t->x - t->hx, y0, (double)NAN, t->r, 0);
	if (t->hx > 0) cut_to(p, t->x + t->hx, y0);
	if (round) arc_to(p, x1, t->y - t->hy, (double)NAN, 0, t->r);
}

/* A line there and back (a slot or groove as wide as the cutter), or a plunge when it has no length. */
static bool is_line(const path *t) { return t->r <= 0 && (t->hx <= 0 || t->hy <= 0); }

static void follow(program *p, const path *t, double depth) {
	int passes = (int)fmin(fmax(ceil(depth / p->pass - 1e-9), 1), GCODE_MOST_PASSES);
	double bx = t->x + t->hx + t->r, by = t->y - t->hy, z = 0;
	bool line = is_line(t);
	rapid_to(p, bx, by);
	rapid_up(p, GCODE_NEAR_MM);
	if (is_circle(t) || line) cut_down(p, 0);
	for (int i = 1; i <= passes; i++) {
		double next = -depth * i / passes;
		if (line) {
			cut_down(p, next);
			if (t->hx > 0 || t->hy > 0) {
				bool back = i % 2 == 0;
				cut_to(p, back ? bx : t->x - t->hx, back ? by : t->y + t->hy);
			}
		} else {
			turn(p, t, z, next);
		}
		z = next;
	}
	if (is_circle(t) && !line) turn(p, t, z, z); /* the last turn level */
	rapid_up(p, GCODE_SAFE_MM);
}

static path inside(const feature_outline *o, double radius) {
	double r = rat_double(o->r), hx = rat_double(o->hu), hy = rat_double(o->hv);
	path t = {rat_double(o->u), rat_double(o->v), hx, hy, r - radius};
	if (t.r < 0) {
		t.hx = fmax(0, hx + t.r);
		t.hy = fmax(0, hy + t.r);
		t.r = 0;
	}
	if (t.hx < 1e-9) t.hx = 0;
	if (t.hy < 1e-9) t.hy = 0;
	return t;
}

/* Takes away all inside the outline: rings from the middle outwards, 0.8 of the cutter apart at most. */
static void pocket(program *p, path t, double depth) {
	double reach = fmin(t.hx, t.hy) + t.r, step = 0.8 * p->diameter;
	int rings = (int)ceil(reach / step - 1e-9);
	for (int i = rings; i > 0; i--) {
		double in = reach * i / (rings + 0.0);
		if (i == rings) in = reach; /* the middle: a line or a point */
		path s = t;
		s.r = t.r - in;
		if (s.r < 0) {
			s.hx = fmax(0, t.hx + s.r);
			s.hy = fmax(0, t.hy + s.r);
			s.r = 0;
		}
		follow(p, &s, depth);
	}
	follow(p, &t, depth);
}

/* Grooves that run out at the blank's edge are cut beyond it, so that their ends come out square. */
static feature_outline run_out(double diameter, const frame *fr, const feature_outline *o) {
	feature_outline g = *o;
	rat over = rat_from_double(diameter / 2 + 1, 1000);
	rat lo[2] = {rat_sub(o->u, feature_reach_u(o)), rat_sub(o->v, feature_reach_v(o))};
	rat hi[2] = {rat_add(o->u, feature_reach_u(o)), rat_add(o->v, feature_reach_v(o))};
	rat size[2] = {fr->width, fr->height};
	for (int i = 0; i < 2; i++) {
		if (rat_sign(lo[i]) <= 0) lo[i] = rat_sub(lo[i], over);
		if (rat_le(size[i], hi[i])) hi[i] = rat_add(hi[i], over);
	}
	g.u = rat_half(rat_add(lo[0], hi[0]));
	g.v = rat_half(rat_add(lo[1], hi[1]));
	g.hu = rat_sub(rat_half(rat_sub(hi[0], lo[0])), o->r);
	g.hv = rat_sub(rat_half(rat_sub(hi[1], lo[1])), o->r);
	return g;
}

static double depth_of(const program *p, const model_feature *f) {
	return f->through ? p->thick + GCODE_BREAKTHROUGH_MM : rat_double(f->depth);
}

/* ---- free outlines ------------------------------------------------------------------------------- */

static void follow_piece(program *p, const outline_piece *o) {
	/* An arc so short that its ends print alike would read as a whole turn. */
	if (o->bend == 0 || outline_piece_length(o) < 0.01) {
		cut_to(p, o->to.x, o->to.y);
		return;
	}
	textbuf_add(p->out, o->bend > 0 ? "G3" : "G2");
	word(p, 'X', o->to.x);
	word(p, 'Y', o->to.y);
	word(p, 'I', o->centre.x - o->from.x);
	word(p, 'J', o->centre.y - o->from.y);
	feed_word(p, p->feed);
	line_end(p);
}

static void follow_loop(program *p, const outline_path *loop, double depth) {
	int passes = (int)fmin(fmax(ceil(depth / p->pass - 1e-9), 1), GCODE_MOST_PASSES);
	if (loop->n == 0) return;
	rapid_to(p, loop->v[0].from.x, loop->v[0].from.y);
	rapid_up(p, GCODE_NEAR_MM);
	for (int i = 1; i <= passes; i++) {
		cut_down(p, -depth * i / passes);
		for (size_t k = 0; k < loop->n; k++) follow_piece(p, &loop->v[k]);
	}
	rapid_up(p, GCODE_SAFE_MM);
}

/* The contour; a blind one from the middle outwards, rings less than half the cutter apart so that nothing stays. */
static void mill_free(program *p, const job *j) {
	const model_feature *f = j->f;
	double radius = p->diameter / 2, depth = depth_of(p, f);
	size_t corner;
	outline_path o = feature_path(p->mem, &j->row->at);
	double left = outline_left_standing(p->mem, &o, radius, &corner);
	comment(p, "hole %u, %s: outline %s x %s, %s%s", j->row->number, feature_origin(p->m, f),
		number(p, 2 * rat_double(feature_reach_u(&j->row->at))),
		number(p, 2 * rat_double(feature_reach_v(&j->row->at))), f->through ? "through" : "blind",
		f->through ? ", the waste comes free at the last pass: hold it" : "");
	if (left > 5e-4) comment(p, "the cutter leaves up to %s in its inside corners", number(p, left));
	double deepest = f->through ? radius : outline_largest_circle(p->mem, &o), step = 0.45 * p->diameter;
	for (int ring = (int)fmax(0, floor((deepest - radius) / step)); ring >= 0; ring--) {
		outline_paths loops = {0};
		outline_parallel(p->mem, &o, radius + ring * step, &loops);
		for (size_t i = 0; i < loops.n; i++) follow_loop(p, &loops.v[i], depth);
	}
}

static void mill(program *p, const job *j) {
	if (j->row->at.free) {
		mill_free(p, j);
		return;
	}
	const model_feature *f = j->f;
	bool groove = feature_is_cut(f);
	feature_outline o = groove ? run_out(p->diameter, &p->face->frame, &j->row->at) : j->row->at;
	double radius = p->diameter / 2, depth = depth_of(p, f);
	path t = inside(&o, radius);
	comment(p, "%s %u, %s: %s x %s, %s%s",
		groove ? f->kind == FEATURE_GROOVE ? "groove" : feature_word(p->m, f) : "hole", j->row->number,
		feature_origin(p->m, f), number(p, 2 * rat_double(feature_reach_u(&j->row->at))),
		number(p, 2 * rat_double(feature_reach_v(&j->row->at))), f->through ? "through" : "blind",
		f->through ? ", the waste comes free at the last pass: hold it" : "");
	if (!groove && rat_double(o.r) < radius - 1e-9)
		comment(p, "its corners keep the radius of the cutter, %s", number(p, radius));
	if (f->through)
		follow(p, &t, depth);
	else
		pocket(p, t, depth);
}

static void drill(program *p, const job *j) {
	double depth = depth_of(p, j->f);
	bool peck = depth > GCODE_PECK_DIAMETERS * p->diameter;
	comment(p, "hole %u, %s", j->row->number, feature_origin(p->m, j->f));
	textbuf_add(p->out, peck ? "G98 G83" : "G98 G81");
	word(p, 'X', rat_double(j->row->at.u));
	word(p, 'Y', rat_double(j->row->at.v));
	word(p, 'Z', -depth);
	word(p, 'R', GCODE_NEAR_MM);
	if (peck) word(p, 'Q', p->diameter);
	feed_word(p, p->plunge);
	line_end(p);
}

/* ---- tools --------------------------------------------------------------------------------- */

static bool is_round_hole(const model_feature *f) { return f->shape.kind == SHAPE_ROUND; }

static bool drill_fits(const model_tool *t, const model_feature *f) {
	return t->kind == TOOL_DRILL && is_round_hole(f) && rat_eq(t->diameter.mm, f->shape.a);
}

/* A cutter that goes into the shape. Thinner than 0.1 mm is no cutter. */
static bool router_fits(const model *m, const model_tool *t, const model_feature *f) {
	if (t->kind != TOOL_ROUTER || !rat_ok(model_tool_cuts(t)) || rat_lt(model_tool_cuts(t), rat_of(1, 10)))
		return false;
	if (feature_is_cut(f)) { /* where it is open at an edge the cutter has room beside it */
		frame fr = frame_of(m->parts.v[f->part].blank, f->face);
		feature_outline o = feature_outline_on(f, &fr);
		o = run_out(rat_double(model_tool_cuts(t)), &fr, &o);
		rat half = rat_half(model_tool_cuts(t));
		return rat_le(half, feature_reach_u(&o)) && rat_le(half, feature_reach_v(&o));
	}
	return rat_le(model_tool_cuts(t), model_shape_narrow(&f->shape));
}

static model_ref tool_for(const model *m, const model_feature *f) {
	if (f->tool != MODEL_NONE) {
		const model_tool *t = &m->tools.v[f->tool];
		if ((t->kind == TOOL_DRILL && is_round_hole(f)) || router_fits(m, t, f)) return f->tool;
	}
	for (size_t i = 0; i < m->tools.n; i++)
		if (drill_fits(&m->tools.v[i], f)) return (model_ref)i;
	for (size_t i = 0; i < m->tools.n; i++)
		if (router_fits(m, &m->tools.v[i], f)) return (model_ref)i;
	return MODEL_NONE;
}

static void take_tool(program *p, model_ref tool) {
	const model_tool *t = &p->m->tools.v[tool];
	bool router = t->kind == TOOL_ROUTER;
	p->diameter = rat_double(model_tool_cuts(t));
	bool own_pass = rat_ok(t->pass.mm) && rat_sign(t->pass.mm) > 0;
	p->pass = own_pass ? rat_double(t->pass.mm) : p->diameter / 2;
	bool own_feed = isfinite(t->feed_m_s.v) && t->feed_m_s.v > 0,
	     own_rpm = isfinite(t->rpm_per_s.v) && t->rpm_per_s.v > 0;
	bool own_plunge = isfinite(t->plunge_m_s.v) && t->plunge_m_s.v > 0;
	p->feed = own_feed ? t->feed_m_s.v * 60000 : router ? GCODE_ROUTER_FEED_MM_MIN : GCODE_DRILL_FEED_MM_MIN;
	p->plunge = own_plunge ? t->plunge_m_s.v * 60000
		    : router   ? GCODE_ROUTER_PLUNGE_MM_MIN
			       : GCODE_DRILL_FEED_MM_MIN;
	if (!router && !own_plunge && own_feed) p->plunge = p->feed;
	double rpm = own_rpm ? t->rpm_per_s.v * 60 : router ? GCODE_ROUTER_RPM : GCODE_DRILL_RPM;
	if (p->cut_yet) textbuf_add(p->out, "M5\n");
	comment(p, "tool %u: %s, %s, diameter %s", tool + 1, t->name, router ? "router cutter" : "drill bit",
		number(p, p->diameter));
	if (rat_ok(t->measured.mm))
		comment(p, "its diameter is as measured; it is marked %s", number(p, rat_double(t->diameter.mm)));
	if (router)
		comment(p, "depth of a pass at most %s%s", number(p, p->pass),
			own_pass ? "" : ", half the cutter: not given");
	if (!own_rpm || (router && !own_feed) || (!own_plunge && (router || !own_feed)))
		comment(p, "speed or feed not given by the plan: conservative ones, common practice");
	if (p->cut_yet) {
		comment(p, "put the tool in, set Z0 on the face, then go on");
		textbuf_add(p->out, "M0\n");
	}
	p->cut_yet = true;
	textbuf_printf(p->out, "S%.0f M3\n", rpm);
	rapid_up(p, GCODE_SAFE_MM);
}

/* ---- program ------------------------------------------------------------------------------- */

static void gather(program *p, const feature_face *ff) {
	p->face = ff;
	p->jobs.n = 0;
	for (size_t i = 0; i < ff->rows.n; i++) {
		const model_feature *f = &p->m->features.v[ff->rows.v[i].feature];
		model_ref tool = tool_for(p->m, f);
		if (rat_sign(f->sink) > 0) p->n.sinks++;
		if (tool == MODEL_NONE)
			p->n.left++;
		else
			LIST_PUSH(p->mem, &p->jobs, ((job){f, &ff->rows.v[i], tool}));
	}
}

static void work_face(program *p) {
	const model *m = p->m;
	for (size_t tool = 0; tool < m->tools.n; tool++) {
		bool taken = false, drilling = m->tools.v[tool].kind == TOOL_DRILL;
		for (size_t i = 0; i < p->jobs.n; i++) {
			const job *j = &p->jobs.v[i];
			if (j->tool != tool) continue;
			if (!taken) take_tool(p, (model_ref)tool);
			if (drilling) {
				drill(p, j);
				p->n.holes++;
			} else {
				mill(p, j);
				p->n.milled++;
			}
			taken = true;
		}
		if (taken && drilling) textbuf_add(p->out, "G80\n");
	}
	for (size_t i = 0; i < p->face->rows.n; i++) {
		const feature_row *r = &p->face->rows.v[i];
		const model_feature *f = &m->features.v[r->feature];
		if (tool_for(m, f) == MODEL_NONE)
			comment(p, "left to hand work: %s %u, %s, no drill or cutter of the plan fits",
				feature_is_cut(f) ? feature_word(m, f) : "hole", r->number, feature_origin(m, f));
		else if (rat_sign(f->sink) > 0)
			comment(p, "left to hand work: countersink of hole %u to %s%s%s", r->number,
				number(p, rat_double(f->sink)), rat_ok(f->sink_depth) ? ", deep " : "",
				rat_ok(f->sink_depth) ? number(p, rat_double(f->sink_depth)) : "");
	}
}

static void head(program *p) {
	const model_part *part = &p->m->parts.v[p->part];
	frame fr = frame_of(part->blank, part->work_face);
	comment(p, "drilling and milling program, calculated from the plan; read it before you run it");
	comment(p, "plan: %s%s%s", p->m->title, p->m->edition ? ", edition " : "", p->m->edition ? p->m->edition : "");
	comment(p, "part: %s, stock %s, blank %s x %s x %s", part->name, p->m->stocks.v[part->stock].label,
		number(p, rat_double(fr.width)), number(p, rat_double(fr.height)), number(p, p->thick));
	comment(p, "through cuts go %s below the sheet: lay it on a spoil board, keep clamps and screws out of the way",
		number(p, GCODE_BREAKTHROUGH_MM));
	comment(p, "moves between cuts at Z%s", number(p, GCODE_SAFE_MM));
	textbuf_printf(p->out, "G%s G90 G94 G17 G40 G49 G80\n", p->inch ? "20" : "21");
}

static bool workable(const feature_face *ff, axis thick) { return face_axis(ff->face) == thick; }

bool gcode_part(textbuf *out, const model *m, model_ref part, gcode_count *count) {
	const model_part *mp = &m->parts.v[part];
	*count = (gcode_count){0};
	if (!model_part_made(m, mp) || m->stocks.v[mp->stock].kind != STOCK_SHEET) return false;
	program p = {.out = out, .mem = out->mem, .m = m, .part = part, .inch = m->measures == MEASURES_INCH};
	p.thick = rat_double(box_size(mp->blank, mp->thick_axis));
	feature_sheet s = feature_of_part(out->mem, m, part);
	bool any = false;
	for (size_t i = 0; i < s.faces.n; i++) {
		if (!workable(&s.faces.v[i], mp->thick_axis)) continue;
		for (size_t k = 0; k < s.faces.v[i].rows.n; k++)
			any |= tool_for(m, &m->features.v[s.faces.v[i].rows.v[k].feature]) != MODEL_NONE;
	}
	if (!any) return false;
	head(&p);
	bool begun = false;
	for (size_t i = 0; i < s.faces.n; i++) {
		const feature_face *ff = &s.faces.v[i];
		if (!workable(ff, mp->thick_axis)) {
			p.n.left += ff->rows.n;
			comment(&p, "left to hand work: %s in the %s edge, see the drilling table",
				text_count(p.mem, ff->rows.n, "hole"), FACE_NAME[ff->face]);
			continue;
		}
		if (begun) {
			rapid_up(&p, GCODE_SAFE_MM);
			textbuf_add(out, "M5\n");
			comment(&p, "turn the sheet over");
		}
		comment(&p, "face: %s; X0 Y0 is the %s", FACE_NAME[ff->face], frame_datum_words(&ff->frame));
		comment(&p, "X runs to the right, Y up, as that face is looked at; Z0 is the face");
		if (begun) textbuf_add(out, "M0\n");
		gather(&p, ff);
		work_face(&p);
		begun = true;
	}
	rapid_up(&p, GCODE_SAFE_MM);
	textbuf_add(out, "M5\nM2\n");
	*count = p.n;
	return true;
}
