/* Drilling tables, features by face, exact distances, and the drawings: what is written comes from the model. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include "runtime/engine/feature.h"
#include "runtime/write/drill_write.h"
#include "runtime/write/part_page.h"
#include "tests/unit/fixture.h"

static feature_outline round_at(double u, double v, double d) {
	return (feature_outline){
		.u = fix_mm(u), .v = fix_mm(v), .hu = rat_int(0), .hv = rat_int(0), .r = fix_mm(d / 2)};
}

static void gaps_are_exact(void **state) {
	(void)state;
	feature_outline a = round_at(0, 0, 60), b = round_at(90, 0, 60), c = round_at(60, 80, 60);
	assert_true(rat_eq(feature_gap(&a, &b), rat_int(30)));
	assert_true(rat_eq(feature_gap(&a, &c), rat_int(40))); /* 3-4-5: 100 between centres */
	assert_false(feature_nearer(&a, &c, rat_int(40)));
	assert_true(feature_nearer(&a, &c, rat_of(40000001, 1000000)));
	/* A slot of 100 x 20 along u and a rectangle with sharp corners beyond its round end. */
	feature_outline slot = {
		.u = rat_int(0), .v = rat_int(0), .hu = rat_int(40), .hv = rat_int(0), .r = rat_int(10)};
	feature_outline rect = {
		.u = rat_int(73), .v = rat_int(54), .hu = rat_int(30), .hv = rat_int(50), .r = rat_int(0)};
	/* The rectangle begins at u 43, v 4: 3 and 4 from the slot's end point, so 5 - 10. */
	assert_true(rat_eq(feature_gap(&slot, &rect), rat_int(-5)));
	/* One outline inside another: moved apart by the shortest way. */
	feature_outline small = round_at(20, 0, 10);
	assert_true(rat_eq(feature_gap(&a, &small), rat_int(20 - 35)));
}

static void rounded_corners_count(void **state) {
	(void)state;
	frame fr = frame_of(fix_box(0, 400, 0, 300, 0, 18), FACE_TOP);
	model_feature f = {
		.kind = FEATURE_OPENING, .face = FACE_TOP, .centre = {{rat_int(100), rat_int(100), rat_int(18)}}};
	f.shape = (model_shape){.kind = SHAPE_RECT,
				.a = rat_int(120),
				.b = rat_int(80),
				.corner = rat_int(10),
				.along = AXIS_Y,
				.at = span_none()};
	f.depth = rat_int(18);
	feature_outline o = feature_outline_on(&f, &fr); /* a runs along y, which is v here */
	assert_true(rat_eq(feature_reach_u(&o), rat_int(40)) && rat_eq(feature_reach_v(&o), rat_int(60)));
	assert_true(rat_eq(o.r, rat_int(10)));
	assert_true(rat_eq(feature_edge_gap(&o, &fr), rat_int(40)));
	box3 b = feature_box(&f);
	assert_true(rat_eq(b.lo[2], rat_int(0)) && rat_eq(b.hi[1], rat_int(160)));
}

/* W21 in the large: a plain through-hole listed on the back is worked from the front, its u mirrored. */
static void plain_holes_come_to_the_work_face(void **state) {
	(void)state;
	arena mem = {0};
	model *m = fix_cabinet(&mem);
	for (size_t i = 0; i < m->features.n; i++) m->features.v[i].sink = rat_int(0);
	feature_sheet s = feature_of_part(&mem, m, FIX_LEFT);
	assert_int_equal(s.faces.n, 1);
	assert_int_equal(s.faces.v[0].face, FACE_RIGHT);
	assert_int_equal(s.n, 10);
	/* Grooves first, then rows from the datum upwards, left to right; numbers run on. */
	const feature_face *ff = &s.faces.v[0];
	for (size_t i = 0; i < ff->rows.n; i++) assert_int_equal(ff->rows.v[i].number, i + 1);
	assert_int_equal(m->features.v[ff->rows.v[0].feature].kind, FEATURE_GROOVE);
	assert_true(rat_eq(ff->rows.v[1].at.u, rat_int(50)) && rat_eq(ff->rows.v[2].at.u, rat_int(200)));
	arena_end(&mem);
}

/* Every row, put back into the cabinet through its face's frame, is the feature's centre. */
static void rows_lead_back_to_the_cabinet(void **state) {
	(void)state;
	arena mem = {0};
	model *m = fix_cabinet(&mem);
	size_t n = 0;
	for (size_t p = 0; p < m->parts.n; p++) {
		feature_sheet s = feature_of_part(&mem, m, (model_ref)p);
		for (size_t i = 0; i < s.faces.n; i++)
			for (size_t k = 0; k < s.faces.v[i].rows.n; k++, n++) {
				const feature_row *r = &s.faces.v[i].rows.v[k];
				point3 back = frame_to_cabinet(&s.faces.v[i].frame, r->at.u, r->at.v, rat_int(0));
				for (int x = 0; x < 3; x++)
					assert_true(rat_eq(back.v[x], m->features.v[r->feature].centre.v[x]));
			}
	}
	assert_int_equal(n, m->features.n);
	arena_end(&mem);
}

static size_t column(const table *t, const char *name) {
	for (size_t i = 0; i < t->columns.n; i++)
		if (strcmp(t->columns.v[i].name, name) == 0) return i;
	fail_msg("no column %s", name);
	return 0;
}

static void table_has_every_feature(void **state) {
	(void)state;
	arena mem = {0};
	model *m = fix_cabinet(&mem);
	table *t = drill_table(&mem, m, MODEL_NONE, DRILL_WIDE);
	assert_int_equal(t->rows, m->features.n);
	size_t part = column(t, "part"), kind = column(t, "kind"), right = column(t, "right exact"),
	       size = column(t, "size");
	double sum = 0;
	for (size_t i = 0; i < t->rows; i++)
		if (strcmp(table_at(t, i, part)->text, "carrier") == 0 &&
		    strcmp(table_at(t, i, kind)->text, "opening") == 0) {
			assert_string_equal(table_at(t, i, size)->text, "62");
			sum += strtod(table_at(t, i, right)->text, NULL);
		}
	assert_true(fabs(sum - 2 * (142 + 302 + 462 + 622)) < 1e-9); /* x 160, 320, … less the sheet's left edge, 18 */
	m->measures = MEASURES_INCH;
	t = drill_table(&mem, m, FIX_TOP, DRILL_NARROW);
	assert_string_equal(table_at(t, 0, column(t, "size"))->text, "⌀~2 23/64");
	assert_string_equal(table_at(t, 0, column(t, "tool"))->text, "holesaw60");
	assert_string_equal(table_at(t, 0, column(t, "depth"))->text, "through");
	assert_int_equal(t->notes.n, 3);
	table *tools = drill_tools_table(&mem, m, FIX_TOP);
	assert_int_equal(tools->rows, 2); /* hole saw, and the drill for pilot holes */
	arena_end(&mem);
}

static void drawings_number_their_holes(void **state) {
	(void)state;
	arena mem = {0};
	model *m = fix_cabinet(&mem);
	display *d = display_begin(&mem, 210, 297);
	part_page_drawing g =
		part_page_draw(d, display_box_of(20, 20, 180, 130), m, FIX_TOP, FACE_TOP, PART_PAGE_FULL, CAP_SMALL);
	assert_int_equal(g.holes, 8);
	assert_int_equal(g.numbered, 8);
	assert_string_equal(g.scale_name, "1:5");
	assert_int_equal(d->bad, 0);
	assert_true(display_box_inside(display_bounds(d), display_box_of(20, 20, 180, 130)));
	arena_end(&mem);
}

/* Beside a table the holes in the edges are drawn too, each with its number; numbers keep off the holes. */
static void drawings_show_the_edges(void **state) {
	(void)state;
	arena mem = {0};
	model *m = fix_cabinet(&mem);
	size_t edges = 0;
	for (model_ref p = 0; p < m->parts.n; p++) {
		if (!model_part_made(m, &m->parts.v[p])) continue;
		feature_sheet sheet = feature_of_part(&mem, m, p);
		display *d = display_begin(&mem, 210, 297);
		part_page_draw(d, display_box_of(20, 20, 180, 130), m, p, m->parts.v[p].work_face, PART_PAGE_BRIEF,
			       CAP_SMALL);
		for (size_t i = 0; i < sheet.faces.n; i++) {
			const feature_face *ff = &sheet.faces.v[i];
			if (face_axis(ff->face) == m->parts.v[p].thick_axis) continue;
			for (size_t k = 0; k < ff->rows.n; k++, edges++) {
				const char *number = arena_printf(&mem, "%u", ff->rows.v[k].number);
				bool there = false;
				for (size_t q = 0; q < d->items.n; q++)
					there = there || (d->items.v[q].kind == ITEM_TEXT &&
							  strcmp(d->items.v[q].text, number) == 0);
				assert_true(there);
			}
		}
	}
	assert_true(edges > 0);
	arena_end(&mem);
}

/* At full size every hole's circle has its own centre and width, measured from the datum corner of the outline. */
static void full_size_is_full_size(void **state) {
	(void)state;
	arena mem = {0};
	model *m = fix_cabinet(&mem);
	display *d = part_page_true_size(&mem, m, FIX_CARRIER, FACE_TOP);
	assert_non_null(d);
	assert_true(d->true_size);
	const display_item *outline = NULL;
	for (size_t i = 0; i < d->items.n && !outline; i++)
		if (d->items.v[i].kind == ITEM_PATH && d->items.v[i].pen == PEN_OUTLINE) outline = &d->items.v[i];
	assert_non_null(outline);
	assert_true(fabs(outline->box.x1 - outline->box.x0 - 764) < 1e-9);
	assert_true(fabs(outline->box.y1 - outline->box.y0 - 400) < 1e-9);
	size_t met = 0;
	for (size_t i = 0; i < d->items.n; i++) {
		const display_item *it = &d->items.v[i];
		if (it->kind != ITEM_PATH || it->pen != PEN_EDGE || fabs(it->box.x1 - it->box.x0 - 62) > 1e-6) continue;
		double u = (it->box.x0 + it->box.x1) / 2 - outline->box.x0,
		       v = outline->box.y1 - (it->box.y0 + it->box.y1) / 2;
		for (size_t k = 0; k < m->patterns.v[0].axes.n; k++) {
			double x = rat_double(m->patterns.v[0].axes.v[k].v[0]) - 18,
			       y = rat_double(m->patterns.v[0].axes.v[k].v[1]);
			met += fabs(x - u) < 1e-6 && fabs(y - v) < 1e-6;
		}
	}
	assert_int_equal(met, 8);
	arena_end(&mem);
}

static void files_of_a_plan(void **state) {
	(void)state;
	arena mem = {0};
	model *m = fix_cabinet(&mem);
	outset o = outset_begin(&mem, "unused");
	assert_null(drill_write(&o, m));
	const char *want[] = {"drill.csv",	"drill-left.svg",    "drill-left-left.svg",
			      "drill-left.ngc", "drill-carrier.ngc", "drill-floor.svg"};
	for (size_t i = 0; i < sizeof want / sizeof *want; i++) {
		bool there = false;
		for (size_t k = 0; k < o.files.n; k++)
			there |= strcmp(o.files.v[k].name, want[i]) == 0 && o.files.v[k].size > 100;
		if (!there) print_message("%s is missing\n", want[i]);
		assert_true(there);
	}
	for (size_t i = 0; i < o.files.n; i++) /* no program for the floor: only pilot holes in its ends */
		assert_string_not_equal(o.files.v[i].name, "drill-floor.ngc");
	arena_end(&mem);
}

int main(void) {
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(gaps_are_exact),
		cmocka_unit_test(rounded_corners_count),
		cmocka_unit_test(plain_holes_come_to_the_work_face),
		cmocka_unit_test(rows_lead_back_to_the_cabinet),
		cmocka_unit_test(table_has_every_feature),
		cmocka_unit_test(drawings_number_their_holes),
		cmocka_unit_test(drawings_show_the_edges),
		cmocka_unit_test(full_size_is_full_size),
		cmocka_unit_test(files_of_a_plan),
	};
	return cmocka_run_group_tests(tests, NULL, NULL);
}
