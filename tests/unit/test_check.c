/* Every geometric rule: the fixture's sound cabinet fires none; one mutation fires the rule, with the measure. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include "compiler/check.h"
#include "compiler/check_util.h"
#include "runtime/base/diag.h"
#include "tests/unit/fixture.h"

typedef struct fault {
	const char *rule;
	diag_severity severity;
	const char *says; /* a piece of the text, with the measure */
	void (*make)(model *m);
	void (*mend)(model *m); /* applied after make: the rule is silent again */
} fault;

static model_feature *find(model *m, model_feature_kind kind, model_ref part, uint32_t nth) {
	for (size_t i = 0; i < m->features.n; i++)
		if (m->features.v[i].kind == kind && m->features.v[i].part == part && nth-- == 0)
			return &m->features.v[i];
	fail_msg("no such feature");
	return NULL;
}

static void resize(model *m, model_ref part, double diameter) {
	model_pattern *p = &m->patterns.v[0];
	for (size_t i = 0; i < p->sheets.n; i++)
		if (p->sheets.v[i].part == part) p->sheets.v[i].shape.a = p->sheets.v[i].shape.b = fix_mm(diameter);
	for (size_t i = 0; i < m->features.n; i++) {
		model_feature *f = &m->features.v[i];
		if (f->kind == FEATURE_OPENING && f->part == part) f->shape.a = f->shape.b = fix_mm(diameter);
	}
}

static void place(model *m, model_ref part, uint32_t nth, double x, double y) {
	model_feature *f = find(m, FEATURE_OPENING, part, nth);
	f->centre.v[0] = fix_mm(x);
	f->centre.v[1] = fix_mm(y);
}

/* Both sheets alike, so that the axes still agree. */
static void place_both(model *m, uint32_t nth, double x, double y) {
	place(m, FIX_TOP, nth, x, y);
	place(m, FIX_CARRIER, nth, x, y);
}

static void overlap_make(model *m) { place_both(m, 1, 210, 120); } /* 50 from number 0, radii 30 + 30 */
static void overlap_mend(model *m) { place_both(m, 1, 250, 120); }
static void web_make(model *m) { resize(m, FIX_TOP, 150); }		      /* pitch 160: web 10 of 18 */
static void web_mend(model *m) { resize(m, FIX_TOP, 142); }		      /* web exactly 18 */
static void diagonal_make(model *m) { place_both(m, 1, 160 + 48, 120 + 55); } /* 73.0 between centres: 13.0 */
static void diagonal_mend(model *m) { place_both(m, 1, 160 + 53, 120 + 60); } /* 80.06 */
static void off_make(model *m) { place(m, FIX_TOP, 0, 160, 25); }
static void off_mend(model *m) { place(m, FIX_TOP, 0, 160, 60); }
static void edge_make(model *m) { place(m, FIX_TOP, 0, 160, 40); }
static void edge_mend(model *m) { place(m, FIX_TOP, 0, 160, 48); }
static void blind_make(model *m) {
	m->patterns.v[0].sheets.v[0].blind = true;
	m->patterns.v[0].sheets.v[0].depth = rat_int(20);
}
static void blind_mend(model *m) { m->patterns.v[0].sheets.v[0].depth = rat_int(6); }
static void axis_make(model *m) { place(m, FIX_CARRIER, 3, 640.5, 120); }
static void axis_mend(model *m) { place(m, FIX_CARRIER, 3, 640, 120); }
static void count_make(model *m) { find(m, FEATURE_OPENING, FIX_CARRIER, 7)->kind = FEATURE_CLEARANCE; }
static void count_mend(model *m) {
	for (size_t i = 0; i < m->features.n; i++)
		if (m->features.v[i].pattern == 0) m->features.v[i].kind = FEATURE_OPENING;
}
static void tight_make(model *m) { m->stocks.v[FIX_COLLAR].outside = fix_length(62.5); }
static void tight_mend(model *m) { m->stocks.v[FIX_COLLAR].outside = fix_length(62); }
static void loose_make(model *m) { m->stocks.v[FIX_COLLAR].outside = fix_length(60.5); }
static void loose_mend(model *m) { m->stocks.v[FIX_COLLAR].outside = fix_length(61); }
static void flange_make(model *m) { m->stocks.v[FIX_COLLAR].flange = fix_length(70); }
static void flange_mend(model *m) { m->stocks.v[FIX_COLLAR].flange = fix_length(72); }
static void flanges_make(model *m) { m->stocks.v[FIX_COLLAR].flange = fix_length(163); }
static void flanges_mend(model *m) { m->stocks.v[FIX_COLLAR].flange = fix_length(160); }
static void saw_make(model *m) { m->tools.v[FIX_HOLESAW60].measured = fix_length(60.5); }
static void saw_mend(model *m) { m->tools.v[FIX_HOLESAW60].measured = fix_length(60.3); }
static void room_make(model *m) { m->stocks.v[FIX_COLLAR].flange = fix_length(242); }
static void room_mend(model *m) { m->stocks.v[FIX_COLLAR].flange = fix_length(240); }
static void fits(model *m, double least, double most) {
	m->stocks.v[FIX_COLLAR].fits[0] = fix_length(least);
	m->stocks.v[FIX_COLLAR].fits[1] = fix_length(most);
}
static void fits_make(model *m) { fits(m, 0.7, 1.2); }
static void fits_mend(model *m) { fits(m, 0.5, 1.2); }
static void fits_loose_make(model *m) { fits(m, 0.1, 0.3); }
static void fits_loose_mend(model *m) { fits(m, 0.1, 0.5); }
static void clamp(model *m, double least, double most) {
	model_stock *band = fix_stock(m, STOCK_CLAMP, "band");
	band->grips[0] = fix_length(least);
	band->grips[1] = fix_length(most);
	model_sheet_of_pattern *s = &m->patterns.v[0].sheets.v[1];
	s->clamped = true;
	s->clamp = (model_ref)(m->stocks.n - 1);
	s->clamp_at = s->at;
}
static void clamp_make(model *m) { clamp(m, 50, 60); }
static void clamp_mend(model *m) { clamp(m, 50, 61.5); }
static void square_make(model *m) { m->patterns.v[0].sheets.v[1].shape.kind = SHAPE_RECT; }
static void square_mend(model *m) { m->patterns.v[0].sheets.v[1].shape.kind = SHAPE_ROUND; }
static void ease(model *m, double size) {
	m->patterns.v[0].eases.n = 0;
	LIST_PUSH(m->mem, &m->patterns.v[0].eases,
		  ((model_ease){.part = FIX_TOP, .face = FACE_TOP, .size = fix_mm(size), .at = fix_at(700)}));
}
static void ease_make(model *m) { ease(m, 19); }
static void ease_mend(model *m) { ease(m, 3); }
static void rims_make(model *m) {
	resize(m, FIX_TOP, 142);
	ease(m, 9.5);
}
static void rims_mend(model *m) { ease(m, 9); }
/* The floor's dado in `left` lies at z 89.9 … 108.1; an opening of 60 in `left`. */
static void side_hole(model *m, double z) {
	if (m->patterns.n == 1) {
		model_pattern *p = LIST_ADD(m->mem, &m->patterns);
		*p = (model_pattern){.name = "port", .at = fix_at(610), .through = AXIS_X, .u = AXIS_Y, .v = AXIS_Z};
		model_feature *f = fix_feature(m, FEATURE_OPENING, FIX_LEFT, FACE_RIGHT, 18, 200, z, 60, 18);
		f->through = true;
		f->pattern = 1;
		f->at = fix_at(610);
	}
	find(m, FEATURE_OPENING, FIX_LEFT, 0)->centre.v[2] = fix_mm(z);
}
static void groove_make(model *m) { side_hole(m, 145); } /* from 115: 6.9 to the dado, limit 9 */
static void groove_mend(model *m) { side_hole(m, 148); }
static void into_groove_make(model *m) { side_hole(m, 130); }
static void cleat(model *m, double x) {
	if (m->parts.n == 5) fix_part(m, PART_CLEAT, "cleat", fix_box(x, x + 20, 0, 400, 570, 600), AXIS_X, FACE_LEFT);
	m->parts.v[5].box = m->parts.v[5].blank = fix_box(x, x + 20, 0, 400, 570, 600);
}
static void cleat_make(model *m) { cleat(m, 195); } /* holes end at 190: 5 of 9 */
static void cleat_mend(model *m) { cleat(m, 199); }
/* Screws of the top stand at y 50, 200, 350, z 609 in `left` and run into the top's ends 32 deep (to x 50). */
static void screw_make(model *m) { place_both(m, 0, 82, 202); }
static void screw_mend(model *m) { place_both(m, 0, 84, 202); }
static void into_screw_make(model *m) { place_both(m, 0, 75, 202); }
static void meet_screw_make(model *m) { place_both(m, 0, 80, 202); }
static void graze_screw_make(model *m) { /* less than the places that a length is shown with */
	place_both(m, 0, 80, 202);
	model_feature *f = find(m, FEATURE_OPENING, FIX_TOP, 0);
	f->centre.v[0] = rat_sub(f->centre.v[0], (rat){1, 5000});
}
static void screws_make(model *m) { find(m, FEATURE_PILOT, FIX_TOP, 1)->centre.v[1] = fix_mm(54); } /* 4 - 2.5 */
static void screws_mend(model *m) { find(m, FEATURE_PILOT, FIX_TOP, 1)->centre.v[1] = fix_mm(55.5); }
static void side_make(model *m) { find(m, FEATURE_PILOT, FIX_TOP, 0)->centre.v[2] = fix_mm(605); }
static void side_mend(model *m) { find(m, FEATURE_PILOT, FIX_TOP, 0)->centre.v[2] = fix_mm(606); }
static void corner_make(model *m) { find(m, FEATURE_PILOT, FIX_TOP, 0)->centre.v[1] = fix_mm(20); }
static void corner_mend(model *m) { find(m, FEATURE_PILOT, FIX_TOP, 0)->centre.v[1] = fix_mm(25); }
static void mdf_make(model *m) { m->stocks.v[FIX_PLY].label = "18 mm MDF"; }
static void mdf_mend(model *m) { m->stocks.v[FIX_PLY].label = "18 mm birch ply"; }
static void screw_size(model *m, double length) { m->stocks.v[FIX_SCREW].length = fix_length(length); }
static void short_make(model *m) { screw_size(m, 34); } /* bites 16 of 17 wanted */
static void short_mend(model *m) { screw_size(m, 36); }
static void reach_make(model *m) { screw_size(m, 17); }
static void tip_make(model *m) { /* the top ends short of the other side, which it is not joined to */
	m->joints.v[FIX_TOP_RIGHT].screw = MODEL_NONE;
	m->parts.v[FIX_TOP].box = m->parts.v[FIX_TOP].blank = fix_box(18, 48, 0, 400, 600, 618);
}
static void tip_mend(model *m) {
	m->parts.v[FIX_TOP].box = m->parts.v[FIX_TOP].blank = fix_box(18, 51, 0, 400, 600, 618);
}
static void shallow_make(model *m) { m->joints.v[0].depth = fix_length(5); }
static void shallow_mend(model *m) { m->joints.v[0].depth = fix_length(6); }
static void deep_make(model *m) { m->joints.v[0].depth = fix_length(10); }
static void deep_mend(model *m) { m->joints.v[0].depth = fix_length(9); }
static void cut_through_make(model *m) { m->joints.v[0].depth = fix_length(18); }
static void back_to_back(model *m, double depth) {
	if (m->joints.n == 6) {
		model_joint like = m->joints.v[0];
		LIST_PUSH(m->mem, &m->joints, like);
		m->joints.v[6].name = "shelf into left";
		model_feature *g = fix_feature(m, FEATURE_GROOVE, FIX_LEFT, FACE_LEFT, 0, 200, 99, 0, depth);
		g->shape = find(m, FEATURE_GROOVE, FIX_LEFT, 0)->shape;
		g->joint = 6;
	}
	find(m, FEATURE_GROOVE, FIX_LEFT, 1)->depth = fix_mm(depth);
}
static void opposite_make(model *m) { back_to_back(m, 8); } /* 18 - 6 - 8 = 4 of 6 */
static void opposite_mend(model *m) { back_to_back(m, 6); }
static void meet_make(model *m) { back_to_back(m, 13); }
static void touch_make(model *m) { back_to_back(m, 12); }
static void nothing_make(model *m) { m->parts.v[FIX_CARRIER].box.hi[2] = rat_int(400); }
static void nothing_mend(model *m) { m->parts.v[FIX_CARRIER].box.hi[2] = rat_int(418); }
static void inside_make(model *m) { m->parts.v[FIX_CARRIER].box.lo[0] = rat_int(16); }
static void inside_mend(model *m) { m->parts.v[FIX_CARRIER].box.lo[0] = rat_int(18); }
/* A fan that hangs in an opening of the carrier: no overlap; one that is broader: overlap. */
static void item(model *m, double half) {
	box3 b = fix_box(160 - half, 160 + half, 120 - half, 120 + half, 350, 418);
	if (m->parts.n == 5) {
		model_part *p = fix_part(m, PART_ITEM, "fan", b, AXIS_Z, FACE_TOP);
		p->stock = MODEL_NONE;
	}
	m->parts.v[5].box = m->parts.v[5].blank = b;
}
static void item_make(model *m) { item(m, 32); }
static void item_mend(model *m) { item(m, 20); }
static void loner(model *m, double z) {
	if (m->parts.n == 5) fix_part(m, PART_SLAT, "slat", fix_box(100, 140, 0, 400, z, z + 20), AXIS_Z, FACE_TOP);
	m->parts.v[5].box = m->parts.v[5].blank = fix_box(100, 140, 0, 400, z, z + 20);
}
static void floating_make(model *m) { loner(m, 621); }
static void floating_mend(model *m) { loner(m, 618); }
static void unjoined_make(model *m) { loner(m, 618); }
static void unjoined_mend(model *m) { m->parts.v[m->parts.n - 1].loose = true; }
static void door(model *m, double x) {
	if (m->parts.n == 5) fix_part(m, PART_DOOR, "door", fix_box(x, 780, 0, 18, 110, 398), AXIS_Y, FACE_FRONT);
	m->parts.v[5].box = m->parts.v[5].blank = fix_box(x, 780, 0, 18, 110, 398);
	m->parts.v[5].hinged = true;
}
static void door_make(model *m) { door(m, 19); }
static void door_mend(model *m) { door(m, 20); }
static void heavy_make(model *m) { m->parts.v[FIX_TOP].mass_kg = 23.5; }
static void heavy_mend(model *m) { m->parts.v[FIX_TOP].mass_kg = 23.0; }
/* Narrow foot: only the carrier's slab stands on the ground, 60 mm deep. */
static void tilt(model *m, double depth) {
	for (size_t i = 0; i < m->parts.n; i++) {
		m->parts.v[i].box.hi[1] = fix_mm(depth);
		m->parts.v[i].blank.hi[1] = fix_mm(depth);
	}
}
static void tilt_make(model *m) { tilt(m, 100); }
static void tilt_mend(model *m) { tilt(m, 140); }

static const fault FAULTS[] = {
	{"hole-overlap", DIAG_ERROR, "opening 1 of wells and opening 2 of wells overlap by 10 mm in top", overlap_make,
	 overlap_mend},
	{"hole-web", DIAG_WARNING, "in top is 10 mm, 8 mm less than the 18 mm it should have (the worst of 10)",
	 web_make, web_mend},
	{"hole-web", DIAG_WARNING, "in top is 13 mm, 5 mm less", diagonal_make, diagonal_mend},
	{"hole-off-sheet", DIAG_ERROR, "opening 1 of wells reaches 5 mm beyond the front edge of top", off_make,
	 off_mend},
	{"hole-edge", DIAG_WARNING, "leaves 10 mm to the front edge of top, 8 mm less than the 18 mm", edge_make,
	 edge_mend},
	{"hole-blind", DIAG_ERROR, "blind openings 20 mm deep come through top, which is 18 mm thick", blind_make,
	 blind_mend},
	{"axis-mismatch", DIAG_ERROR, "opening 4 of wells stands 0.5 mm off its axis between top and carrier",
	 axis_make, axis_mend},
	{"axis-mismatch", DIAG_ERROR, "8 openings in top but 7 in carrier", count_make, count_mend},
	{"collar-fit", DIAG_ERROR, "collar62 is 0.5 mm too large for the 62 mm holes of wells in carrier", tight_make,
	 tight_mend},
	{"collar-fit", DIAG_WARNING, "sits 1.5 mm loose in the 62 mm holes of wells in carrier, 0.5 mm more than 1 mm",
	 loose_make, loose_mend},
	{"collar-fit", DIAG_WARNING, "bears on carrier by 4 mm, 1 mm less than 5 mm", flange_make, flange_mend},
	{"collar-fit", DIAG_ERROR, "flanges of collar62 overlap by 3 mm in carrier (the worst of 10)", flanges_make,
	 flanges_mend},
	{"collar-fit", DIAG_ERROR,
	 "0.2 mm too large for the 62 mm holes of wells in carrier, which should be 0.7 mm wider", fits_make,
	 fits_mend},
	{"collar-fit", DIAG_WARNING,
	 "sits 0.5 mm loose in the 62 mm holes of wells in carrier, 0.2 mm more than 0.3 mm", fits_loose_make,
	 fits_loose_mend},
	{"collar-fit", DIAG_ERROR, "band does not grip collar62, which is 1.5 mm too large for it", clamp_make,
	 clamp_mend},
	{"hole-size", DIAG_WARNING, "holesaw60 cuts the holes of wells in top 0.2 mm more than the 60.3 mm", saw_make,
	 saw_mend},
	{"flange-room", DIAG_ERROR, "the flange of collar62 hangs over the edge by 1 mm in carrier (the worst of 8)",
	 room_make, room_mend},
	{"collar-fit", DIAG_ERROR, "cannot sit in the openings of wells in carrier", square_make, square_mend},
	{"ease-fit", DIAG_ERROR, "take 19 mm of a sheet 18 mm thick", ease_make, ease_mend},
	{"ease-fit", DIAG_WARNING, "the web lacks 1 mm (the worst of 10)", rims_make, rims_mend},
	{"hole-joint", DIAG_WARNING, "leaves 6.9 mm to the dado of floor into left in left, 2.1 mm less", groove_make,
	 groove_mend},
	{"hole-joint", DIAG_ERROR, "runs 8.1 mm into the dado of floor into left in left", into_groove_make,
	 groove_mend},
	{"hole-joint", DIAG_WARNING, "leaves 5 mm to the place where cleat lies on it in top, 4 mm less", cleat_make,
	 cleat_mend},
	{"hole-screw", DIAG_WARNING, "2 mm between opening 1 of wells and screw 2 of top to left in top, 1 mm less",
	 screw_make, screw_mend},
	{"hole-screw", DIAG_ERROR, "opening 1 of wells and screw 2 of top to left run into each other by 5 mm in top",
	 into_screw_make, screw_mend},
	{"hole-screw", DIAG_ERROR, "opening 1 of wells and screw 2 of top to left touch in top", meet_screw_make,
	 screw_mend},
	{"hole-screw", DIAG_ERROR, "screw 2 of top to left run into each other by 0.0002 mm in top", graze_screw_make,
	 screw_mend},
	{"hole-screw", DIAG_WARNING, "1.5 mm between screw 2 of top to left and screw 1 of top to left", screws_make,
	 screws_mend},
	{"screw-edge", DIAG_WARNING,
	 "screw 1 of top to left stands 5 mm from the bottom side of top, 1 mm less than 6 mm", side_make, side_mend},
	{"screw-edge", DIAG_WARNING, "stands 20 mm from the front corner of an edge of top, 5 mm less than 25 mm",
	 corner_make, corner_mend},
	{"mdf-screw", DIAG_WARNING, "stands 50 mm from a corner in MDF, 20 mm less than 70 mm (the worst of 12)",
	 mdf_make, mdf_mend},
	{"screw-length", DIAG_WARNING, "s4x50 bites 16 mm into top, 1 mm less than half of its length", short_make,
	 short_mend},
	{"screw-length", DIAG_ERROR, "does not come through the 18 mm of left", reach_make, short_mend},
	{"screw-length", DIAG_ERROR, "after 18 mm of left its tip comes out of top, 2 mm too long", tip_make, tip_mend},
	{"dado-depth", DIAG_WARNING, "is 5 mm deep, 1 mm less than a third of the 18 mm of left", shallow_make,
	 shallow_mend},
	{"dado-depth", DIAG_WARNING, "is 10 mm deep, 1 mm more than half of the 18 mm of left", deep_make, deep_mend},
	{"dado-depth", DIAG_ERROR, "is 18 mm deep and left is only 18 mm thick", cut_through_make, deep_mend},
	{"dado-opposite", DIAG_WARNING, "leave 4 mm of left between them, 2 mm less than a third", opposite_make,
	 opposite_mend},
	{"dado-opposite", DIAG_ERROR, "meet inside left, 1 mm too deep together", meet_make, opposite_mend},
	{"dado-opposite", DIAG_ERROR, "the dado of shelf into left meet inside left", touch_make, opposite_mend},
	{"part-nothing", DIAG_ERROR, "carrier has a height of 0 mm", nothing_make, nothing_mend},
	{"part-overlap", DIAG_ERROR, "carrier stands 2 mm (width), 400 mm (depth), 18 mm (height) inside left",
	 inside_make, inside_mend},
	{"part-overlap", DIAG_ERROR, "fan stands 64 mm (width), 64 mm (depth), 18 mm (height) inside carrier",
	 item_make, item_mend},
	{"part-floating", DIAG_WARNING, "slat touches nothing", floating_make, floating_mend},
	{"part-unjoined", DIAG_WARNING, "nothing holds slat", unjoined_make, unjoined_mend},
	{"door-clearance", DIAG_WARNING, "door has 1 mm to left at its left side, 1 mm less than it needs", door_make,
	 door_mend},
	{"part-heavy", DIAG_WARNING, "top weighs 23.5 kg, 0.5 kg more than one person should lift", heavy_make,
	 heavy_mend},
	{"tip-over", DIAG_WARNING, "it falls to the ", tilt_make, tilt_mend},
};

static const diag *fired(const diags *d, const char *rule, const char *says) {
	for (size_t i = 0; i < d->all.n; i++)
		if (strcmp(d->all.v[i]->rule, rule) == 0 && strstr(d->all.v[i]->text, says)) return d->all.v[i];
	return NULL;
}

static void print_all(const diags *d) {
	for (size_t i = 0; i < d->all.n; i++) print_message("  %s: %s\n", d->all.v[i]->rule, d->all.v[i]->text);
}

static void sound_cabinet_is_silent(void **state) {
	(void)state;
	arena mem = {0};
	model *m = fix_cabinet(&mem);
	diags d = diags_begin(&mem);
	check_geometry(m, &d);
	print_all(&d);
	assert_int_equal(d.all.n, 0);
	arena_end(&mem);
}

static void each_rule_fires_and_falls_silent(void **state) {
	(void)state;
	for (size_t i = 0; i < sizeof FAULTS / sizeof *FAULTS; i++) {
		const fault *f = &FAULTS[i];
		arena mem = {0};
		model *m = fix_cabinet(&mem);
		f->make(m);
		diags d = diags_begin(&mem);
		check_geometry(m, &d);
		const diag *g = fired(&d, f->rule, f->says);
		if (!g) {
			print_message("fault %zu, %s: %s\n", i, f->rule, f->says);
			print_all(&d);
		}
		assert_non_null(g);
		assert_int_equal(g->severity, f->severity);
		assert_non_null(g->help);
		assert_true(g->notes.n > 0);
		if (strcmp(f->rule, "tip-over") != 0) assert_true(span_known(g->at) && span_known(g->notes.v[0].at));
		f->mend(m);
		diags again = diags_begin(&mem);
		check_geometry(m, &again);
		g = fired(&again, f->rule, "");
		if (g) print_message("fault %zu still says %s: %s\n", i, g->rule, g->text);
		assert_null(g);
		arena_end(&mem);
	}
}

/* No rule in the tables goes without a model that fires it. */
static void every_rule_is_tried(void **state) {
	(void)state;
	const check_rule *table[3] = {CHECK_OPENINGS, CHECK_JOINTS, CHECK_PARTS};
	size_t n[3] = {N_CHECK_OPENINGS, N_CHECK_JOINTS, N_CHECK_PARTS};
	for (int t = 0; t < 3; t++)
		for (size_t i = 0; i < n[t]; i++) {
			bool tried = false;
			for (size_t k = 0; k < sizeof FAULTS / sizeof *FAULTS; k++)
				tried |= strcmp(FAULTS[k].rule, table[t][i].name) == 0;
			if (!tried) print_message("%s is not tried\n", table[t][i].name);
			assert_true(tried);
			assert_true(strlen(table[t][i].what) > 10 && strlen(table[t][i].source) > 5);
		}
}

static void inch_plans_speak_inches(void **state) {
	(void)state;
	arena mem = {0};
	model *m = fix_cabinet(&mem);
	m->measures = MEASURES_INCH;
	tight_make(m);
	diags d = diags_begin(&mem);
	check_geometry(m, &d);
	assert_non_null(fired(&d, "collar-fit", "0.0197 in too large"));
	graze_screw_make(m);
	diags again = diags_begin(&mem);
	check_geometry(m, &again);
	assert_non_null(fired(&again, "hole-screw", "run into each other by 0.00001 in"));
	arena_end(&mem);
}

/* A figure has as many places as it takes not to be 0, and no more. */
static void nothing_but_0_is_shown_as_0(void **state) {
	(void)state;
	arena mem = {0};
	model *m = fix_cabinet(&mem);
	diags d = diags_begin(&mem);
	assert_string_equal(check_length(m, &d, rat_int(0)), "0 mm");
	assert_string_equal(check_length(m, &d, (rat){-1, 3000}), "-0.0003 mm");
	assert_string_equal(check_length(m, &d, (rat){1, 1500}), "0.001 mm");
	assert_string_equal(check_length(m, &d, check_rounded(0, 10)), "0 mm");
	assert_string_equal(check_length(m, &d, check_rounded(2.04, 10)), "2 mm");
	assert_string_equal(check_length(m, &d, check_rounded(-0.021, 10)), "-0.02 mm");
	assert_string_equal(check_number(&d, 0, 1), "0");
	assert_string_equal(check_number(&d, 9.96, 1), "10");
	assert_string_equal(check_number(&d, 0.004, 1), "0.004");
	arena_end(&mem);
}

int main(void) {
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(sound_cabinet_is_silent),     cmocka_unit_test(each_rule_fires_and_falls_silent),
		cmocka_unit_test(every_rule_is_tried),	       cmocka_unit_test(inch_plans_speak_inches),
		cmocka_unit_test(nothing_but_0_is_shown_as_0),
	};
	return cmocka_run_group_tests(tests, NULL, NULL);
}
