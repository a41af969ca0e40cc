/* Walks the programs with a reader of our own and finds every hole of the model again; rules of ISO 6983 words. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include "runtime/engine/feature.h"
#include "runtime/write/gcode.h"
#include "tests/unit/fixture.h"

/* ---- the reader ------------------------------------------------------------------------------ */

typedef struct found {	   /* a hole: drilled (r is the drill's radius) or a ring milled round (x, y) */
	unsigned face;	   /* counted by "turn the sheet over" */
	double x, y, r, z; /* mm; z of its deepest cut */
	bool cycle;
} found;

typedef struct reader {
	double x, y, z, feed;
	double scale; /* mm per unit; 0 before G20 or G21 */
	double tool;  /* diameter, from the tool's comment */
	bool absolute, plane, per_minute, spindle, ended;
	unsigned face;
	double low_x, high_x, low_y, high_y, low_z; /* where the axis went in the material */
	found holes[200];
	size_t n;
	unsigned stops;
} reader;

static double value_of(const char *text, char letter, bool *has, bool point) {
	const char *p = strchr(text, letter);
	*has = p != NULL;
	if (!p) return 0;
	char *end;
	double v = strtod(p + 1, &end);
	assert_true(end > p + 1);
	if (point) {
		char word[32] = "";
		memcpy(word, p + 1, (size_t)(end - p - 1));
		assert_non_null(strchr(word, '.'));
	}
	return v;
}

static void keep(reader *r, double x, double y, double radius, double z, bool cycle) {
	for (size_t i = 0; i < r->n; i++) {
		found *f = &r->holes[i];
		if (f->face != r->face || fabs(f->x - x) > 0.01 || fabs(f->y - y) > 0.01) continue;
		if (radius > f->r) f->r = radius;
		if (z < f->z) f->z = z;
		return;
	}
	assert_true(r->n < 200);
	r->holes[r->n++] = (found){r->face, x, y, radius, z, cycle};
}

static void in_material(reader *r) {
	if (r->z > 0) return;
	r->low_x = fmin(r->low_x, r->x);
	r->high_x = fmax(r->high_x, r->x);
	r->low_y = fmin(r->low_y, r->y);
	r->high_y = fmax(r->high_y, r->y);
	r->low_z = fmin(r->low_z, r->z);
}

static void read_comment(reader *r, const char *line) {
	const char *d = strstr(line, ", diameter ");
	if (strncmp(line, "(tool ", 6) == 0) {
		assert_non_null(d);
		r->tool = strtod(d + 11, NULL) * r->scale;
		assert_true(r->tool > 0);
	}
	if (strncmp(line, "(turn the sheet over", 20) == 0) {
		assert_false(r->spindle);
		r->face++;
	}
	assert_null(strchr(line + 1, '('));
	assert_int_equal(strchr(line, ')') - line, (long)strlen(line) - 1);
}

static bool has_word(const char *line, const char *word) {
	const char *p = strstr(line, word);
	size_t n = strlen(word);
	return p && (p[n] == '\0' || p[n] == ' ');
}

static void read_cycle(reader *r, const char *line) {
	bool x, y, z, rr, q, f;
	double vx = value_of(line, 'X', &x, true), vy = value_of(line, 'Y', &y, true),
	       vz = value_of(line, 'Z', &z, true);
	double vr = value_of(line, 'R', &rr, true), vq = value_of(line, 'Q', &q, true);
	r->feed = value_of(line, 'F', &f, true);
	assert_true(x && y && z && rr && f && r->feed > 0);
	assert_true(vr > vz);				     /* F6: R above Z */
	if (has_word(line, "G83")) assert_true(q && vq > 0); /* F6: Q > 0 */
	assert_true(r->spindle && r->z > 0);
	keep(r, vx * r->scale, vy * r->scale, r->tool / 2, vz * r->scale, true);
}

static void read_arc(reader *r, const char *line) {
	bool has;
	double x = value_of(line, 'X', &has, true) * r->scale, y = value_of(line, 'Y', &has, true) * r->scale;
	double cx = r->x + value_of(line, 'I', &has, true) * r->scale,
	       cy = r->y + value_of(line, 'J', &has, true) * r->scale;
	double z = value_of(line, 'Z', &has, true) * r->scale;
	if (has) r->z = z;
	double r0 = hypot(r->x - cx, r->y - cy), r1 = hypot(x - cx, y - cy);
	assert_true(fabs(r0 - r1) < 0.01); /* both ends on one circle */
	/* Half a turn: its centre is the middle of its ends. Two of them make a ring. */
	if (fabs((r->x + x) / 2 - cx) < 0.01 && fabs((r->y + y) / 2 - cy) < 0.01)
		keep(r, cx, cy, r0 + r->tool / 2, r->z, false);
	r->x = x;
	r->y = y;
	in_material(r);
}

static void read_move(reader *r, const char *line, bool rapid) {
	bool hx, hy, hz, hf;
	double x = value_of(line, 'X', &hx, true) * r->scale, y = value_of(line, 'Y', &hy, true) * r->scale;
	double z = value_of(line, 'Z', &hz, true) * r->scale, f = value_of(line, 'F', &hf, true);
	if (hf) r->feed = f;
	if (rapid && (hx || hy)) assert_true(r->z > 0); /* no rapid move through the wood */
	if (rapid && hz) assert_true(z > 0);
	if (!rapid) assert_true(r->feed > 0 && r->spindle);
	if (hx) r->x = x;
	if (hy) r->y = y;
	if (hz) r->z = z;
	in_material(r);
}

static void read_line(reader *r, const char *line) {
	assert_false(r->ended);
	assert_true(strlen(line) < 250);
	for (const char *p = line; *p; p++) assert_true(*p >= 0x20 && *p < 0x7F);
	if (line[0] == '(') {
		read_comment(r, line);
		return;
	}
	if (has_word(line, "G21")) r->scale = 1;
	if (has_word(line, "G20")) r->scale = 25.4;
	r->absolute |= has_word(line, "G90");
	r->plane |= has_word(line, "G17");
	r->per_minute |= has_word(line, "G94");
	bool cycle = has_word(line, "G81") || has_word(line, "G83");
	bool arc = has_word(line, "G2") || has_word(line, "G3"), rapid = has_word(line, "G0"),
	     feed = has_word(line, "G1");
	if (cycle || arc || rapid || feed) assert_true(r->scale > 0 && r->absolute && r->plane && r->per_minute);
	if (cycle) read_cycle(r, line);
	if (arc) {
		bool f;
		r->feed = value_of(line, 'F', &f, true);
		assert_true(f && r->feed > 0 && r->spindle);
		read_arc(r, line);
	}
	if (rapid || feed) read_move(r, line, rapid);
	if (has_word(line, "M3")) {
		bool s;
		assert_true(value_of(line, 'S', &s, false) > 0 && s);
		r->spindle = true;
	}
	if (has_word(line, "M5")) r->spindle = false;
	if (has_word(line, "M0")) {
		assert_false(r->spindle);
		r->stops++;
	}
	if (has_word(line, "M2")) {
		assert_true(r->z > 0 && !r->spindle);
		r->ended = true;
	}
}

static reader walk(const char *text) {
	reader r = {.low_x = INFINITY, .high_x = -INFINITY, .low_y = INFINITY, .high_y = -INFINITY};
	char line[400];
	for (const char *p = text; *p;) {
		size_t n = strcspn(p, "\n");
		assert_true(n < sizeof line && p[n] == '\n');
		memcpy(line, p, n);
		line[n] = '\0';
		read_line(&r, line);
		p += n + 1;
	}
	assert_true(r.ended);
	return r;
}

/* ---- round trip ------------------------------------------------------------------------------ */

/* Every round through-hole or blind hole on the two faces of the part is found at its place, width and depth. */
static size_t compare(const model *m, model_ref part, const reader *r) {
	arena mem = {0};
	feature_sheet s = feature_of_part(&mem, m, part);
	size_t met = 0;
	double thick = rat_double(box_size(m->parts.v[part].blank, m->parts.v[part].thick_axis)),
	       lost = r->scale > 1 ? 0.003 : 0.001;
	for (size_t i = 0; i < s.faces.n; i++) {
		const feature_face *ff = &s.faces.v[i];
		if (face_axis(ff->face) != m->parts.v[part].thick_axis) continue;
		for (size_t k = 0; k < ff->rows.n; k++) {
			const model_feature *f = &m->features.v[ff->rows.v[k].feature];
			if (f->shape.kind != SHAPE_ROUND) continue;
			double u = rat_double(ff->rows.v[k].at.u), v = rat_double(ff->rows.v[k].at.v);
			double z = f->through ? -thick - GCODE_BREAKTHROUGH_MM : -rat_double(f->depth);
			bool found_it = false;
			for (size_t h = 0; h < r->n; h++) {
				const found *g = &r->holes[h];
				if (g->face != i || fabs(g->x - u) > lost || fabs(g->y - v) > lost) continue;
				assert_true(fabs(2 * g->r - rat_double(f->shape.a)) < 2 * lost);
				assert_true(fabs(g->z - z) < lost);
				found_it = true;
			}
			assert_true(found_it);
			met++;
		}
	}
	arena_end(&mem);
	return met;
}

static reader make(model *m, model_ref part, gcode_count *count, const char **text) {
	textbuf out = textbuf_begin(m->mem);
	assert_true(gcode_part(&out, m, part, count));
	if (text) *text = out.v;
	return walk(out.v);
}

static void milled_openings_come_back(void **state) {
	(void)state;
	for (int inch = 0; inch < 2; inch++) {
		arena mem = {0};
		model *m = fix_cabinet(&mem);
		m->measures = inch ? MEASURES_INCH : MEASURES_METRIC;
		gcode_count c;
		for (model_ref part = FIX_TOP; part <= FIX_CARRIER; part++) {
			const char *text;
			reader r = make(m, part, &c, &text);
			assert_int_equal(compare(m, part, &r), 8);
			assert_int_equal(r.n, 8);
			assert_int_equal(c.milled, 8);
			assert_int_equal(c.left, 6); /* pilot holes in both ends */
			assert_non_null(strstr(text, inch ? "G20 G90" : "G21 G90"));
			assert_non_null(strstr(text, "3 holes in the left edge"));
		}
		arena_end(&mem);
	}
}

static void drilled_holes_and_dado_come_back(void **state) {
	(void)state;
	arena mem = {0};
	model *m = fix_cabinet(&mem);
	gcode_count c;
	const char *text;
	reader r = make(m, FIX_LEFT, &c, &text);
	/* 9 countersunk screw holes from outside, drilled after the sheet is turned; one dado on the work face. */
	assert_int_equal(compare(m, FIX_LEFT, &r), 9);
	assert_int_equal(c.holes, 9);
	assert_int_equal(c.milled, 1);
	assert_int_equal(c.sinks, 9);
	assert_int_equal(r.face, 1);
	assert_int_equal(r.stops, 2); /* turn it over; put the drill in */
	assert_non_null(strstr(text, "countersink of hole"));
	arena_end(&mem);
}

/* The dado is 400 x 18.2 at z 89.9 to 108.1, 6 deep, and runs out at both edges. */
static void dado_is_cleared(void **state) {
	(void)state;
	arena mem = {0};
	model *m = fix_cabinet(&mem);
	size_t n = 0;
	for (size_t i = 0; i < m->features.n; i++) /* the dado alone */
		if (m->features.v[i].part != FIX_LEFT || m->features.v[i].kind == FEATURE_GROOVE)
			m->features.v[n++] = m->features.v[i];
	m->features.n = n;
	gcode_count c;
	reader r = make(m, FIX_LEFT, &c, NULL);
	assert_true(fabs(r.low_z + 6) < 1e-9);
	assert_true(fabs(r.low_y - (89.9 + 6.35)) < 0.0011 && fabs(r.high_y - (108.1 - 6.35)) < 0.0011);
	assert_true(r.low_x < -0.5 && r.high_x > 400.5); /* runs out */
	arena_end(&mem);
}

static void deep_holes_are_pecked(void **state) {
	(void)state;
	arena mem = {0};
	model *m = fix_cabinet(&mem);
	gcode_count c;
	const char *text;
	make(m, FIX_LEFT, &c, &text);
	assert_non_null(strstr(text, "G83")); /* 19 deep, 4.5 wide */
	assert_null(strstr(text, "G81"));
	m->parts.v[FIX_LEFT].blank.lo[0] = rat_int(6); /* 12 thick, 13 deep: less than three diameters */
	make(m, FIX_LEFT, &c, &text);
	assert_non_null(strstr(text, "G81"));
	arena_end(&mem);
}

/* A slot and a square-cornered cut-out: the cutter's axis stays inside by its radius. */
static void contours_stay_inside(void **state) {
	(void)state;
	struct {
		model_shape_kind kind;
		double a, b, corner;
	} shapes[] = {{SHAPE_SLOT, 120, 20, 0},
		      {SHAPE_SLOT, 120, 12.7, 0},
		      {SHAPE_RECT, 200, 100, 10},
		      {SHAPE_RECT, 200, 100, 0}};
	for (size_t i = 0; i < 4; i++) {
		for (int blind = 0; blind < 2; blind++) {
			arena mem = {0};
			model *m = fix_cabinet(&mem);
			m->features.n = 0;
			model_feature *f =
				fix_feature(m, FEATURE_OPENING, FIX_TOP, FACE_TOP, 418, 200, 618, 0, blind ? 9 : 18);
			f->shape = (model_shape){.kind = shapes[i].kind,
						 .a = fix_mm(shapes[i].a),
						 .b = fix_mm(shapes[i].b),
						 .corner = fix_mm(shapes[i].corner),
						 .along = AXIS_X,
						 .at = span_none()};
			f->through = !blind;
			f->pattern = 0;
			f->tool = FIX_ROUTER;
			gcode_count c;
			const char *text;
			reader r = make(m, FIX_TOP, &c, &text);
			double hx = shapes[i].a / 2 - 6.35, hy = shapes[i].b / 2 - 6.35;
			assert_true(fabs(r.low_x - (400 - hx)) < 0.0011 && fabs(r.high_x - (400 + hx)) < 0.0011);
			assert_true(fabs(r.low_y - (200 - hy)) < 0.0011 && fabs(r.high_y - (200 + hy)) < 0.0011);
			assert_true(fabs(r.low_z + (blind ? 9 : 19)) < 1e-9);
			bool keeps = strstr(text, "corners keep the radius of the cutter") != NULL;
			assert_int_equal(keeps, i == 3);
			arena_end(&mem);
		}
	}
}

static void plan_speeds_win_and_defaults_are_named(void **state) {
	(void)state;
	arena mem = {0};
	model *m = fix_cabinet(&mem);
	gcode_count c;
	const char *text;
	make(m, FIX_CARRIER, &c, &text);
	assert_non_null(strstr(text, "S12000 M3"));
	assert_non_null(strstr(text, "conservative ones, common practice"));
	model_tool *t = &m->tools.v[FIX_ROUTER];
	t->feed_m_s = fix_value(2.0 / 60); /* 2 m/min */
	t->plunge_m_s = fix_value(0.5 / 60);
	t->rpm_per_s = fix_value(16000.0 / 60);
	make(m, FIX_CARRIER, &c, &text);
	assert_non_null(strstr(text, "S16000 M3"));
	assert_non_null(strstr(text, "F2000.0"));
	assert_non_null(strstr(text, "F500.0"));
	assert_null(strstr(text, "common practice"));
	arena_end(&mem);
}

static void without_tools_there_is_no_program(void **state) {
	(void)state;
	arena mem = {0};
	model *m = fix_cabinet(&mem);
	for (size_t i = 0; i < m->features.n; i++) m->features.v[i].tool = MODEL_NONE;
	m->tools.n = 0;
	textbuf out = textbuf_begin(&mem);
	gcode_count c;
	assert_false(gcode_part(&out, m, FIX_TOP, &c));
	assert_int_equal(out.n, 0);
	arena_end(&mem);
}

static void odd_names_stay_in_their_comments(void **state) {
	(void)state;
	arena mem = {0};
	model *m = fix_cabinet(&mem);
	m->title = "Bench (second) for Käthe\nM3 S9999";
	m->parts.v[FIX_TOP].name = "top)";
	gcode_count c;
	const char *text;
	make(m, FIX_TOP, &c, &text);
	assert_non_null(strstr(text, "plan: Bench [second] for K?the?M3 S9999)"));
	arena_end(&mem);
}

int main(void) {
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(milled_openings_come_back),
		cmocka_unit_test(drilled_holes_and_dado_come_back),
		cmocka_unit_test(dado_is_cleared),
		cmocka_unit_test(deep_holes_are_pecked),
		cmocka_unit_test(contours_stay_inside),
		cmocka_unit_test(plan_speeds_win_and_defaults_are_named),
		cmocka_unit_test(without_tools_there_is_no_program),
		cmocka_unit_test(odd_names_stay_in_their_comments),
	};
	return cmocka_run_group_tests(tests, NULL, NULL);
}
