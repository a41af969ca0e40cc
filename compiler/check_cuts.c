/* Joints beyond their screws: the fit of a cut to the sheet, wood beside and under it, tongues, halvings, tape, end
 * grain, heads of screws, joints that nothing holds. */
#include <math.h>

#include "compiler/check.h"
#include "compiler/check_limits.h"
#include "compiler/check_util.h"
#include "runtime/engine/joint.h"

static bool some(rat r) { return rat_ok(r) && rat_sign(r) > 0; }

/* For waivers: a finding about a joint is one about both its parts. */
static void names_both(const model *m, diags *d, diag *g, const model_joint *j) {
	check_names_part(m, d, g, j->a);
	check_names_part(m, d, g, j->b);
}

/* ---- fit ----------------------------------------------------------------------------------- */

static const model_stock *sheet_of(const model *m, model_ref part) {
	model_ref s = m->parts.v[part].stock;
	return s < m->stocks.n && m->stocks.v[s].kind == STOCK_SHEET ? &m->stocks.v[s] : NULL;
}

/* Cut to the sheet as it is measured: the allowance alone is its looseness. */
static void measured_loose(const model *m, diags *d, const model_joint *j) {
	const rat most = check_limit(m, "dado-fit");
	if (!rat_ok(j->allowance.mm) || !rat_lt(most, j->allowance.mm) || j->loose) return;
	diag *g = diag_warning(d, "dado-fit", j->allowance.at,
			       "the %s of %s is cut to the sheet as it is measured, and %s wider: %s more than %s",
			       joint_cut_word(j->kind), j->name, check_length(m, d, j->allowance.mm),
			       check_length(m, d, rat_sub(j->allowance.mm, most)), check_length(m, d, most));
	names_both(m, d, g, j);
	diag_add_help(d, g, "an allowance of %s or less; `loose` where it is to slide", check_length(m, d, most));
}

static void dado_fit(const model *m, diags *d) {
	for (size_t i = 0; i < m->joints.n; i++) {
		const model_joint *j = &m->joints.v[i];
		if (!joint_enters(j->kind) || j->kind == JOINT_TONGUE) continue;
		if (j->fits_measured) {
			measured_loose(m, d, j);
			continue;
		}
		const model_stock *s = sheet_of(m, j->a);
		if (!s || !rat_ok(s->thick_plus.mm) || !rat_ok(s->thick_minus.mm) || !rat_ok(j->allowance.mm)) continue;
		const rat most = check_limit(m, "dado-fit");
		rat tight = rat_sub(s->thick_plus.mm, j->allowance.mm),
		    loose = rat_add(s->thick_minus.mm, j->allowance.mm);
		const char *what = joint_cut_word(j->kind);
		diag *g;
		if (rat_sign(tight) > 0) {
			g = diag_warning(d, "dado-fit", j->allowance.at,
					 "the thickest %s is %s too thick for the %s of %s; the thinnest lies %s loose",
					 s->name, check_length(m, d, tight), what, j->name, check_length(m, d, loose));
			names_both(m, d, g, j);
			diag_add_note(d, g, s->thick_plus.at, "the sheet may be %s thicker, the cut allows for %s",
				      check_length(m, d, s->thick_plus.mm), check_length(m, d, j->allowance.mm));
			diag_add_help(d, g, "write `measured`: the cut is made to the sheet; or an allowance of %s",
				      check_length(m, d, s->thick_plus.mm));
		} else if (rat_lt(most, loose) && !j->loose) {
			g = diag_warning(d, "dado-fit", j->allowance.at,
					 "the thinnest %s lies %s loose in the %s of %s, %s more than %s", s->name,
					 check_length(m, d, loose), what, j->name,
					 check_length(m, d, rat_sub(loose, most)), check_length(m, d, most));
			names_both(m, d, g, j);
			diag_add_note(d, g, s->thick_minus.at, "the sheet may be %s thinner",
				      check_length(m, d, s->thick_minus.mm));
			diag_add_help(d, g, "write `measured`: the cut is made to the sheet");
		}
	}
}

/* ---- wood that is left --------------------------------------------------------------------- */

/* Beside a cut in an edge a quarter of the thickness stays; beside one in a face as much as it is deep. */
static void groove_wall(const model *m, diags *d) {
	for (size_t i = 0; i < m->joints.n; i++) {
		const model_joint *j = &m->joints.v[i];
		if (!joint_enters(j->kind) || j->kind == JOINT_RABBET) continue;
		const model_part *b = &m->parts.v[j->b];
		axis n = face_axis(j->face_a), across = joint_across(m, j);
		box3 cut = joint_cut_b(m, j);
		rat low = rat_sub(cut.lo[across], b->blank.lo[across]),
		    high = rat_sub(b->blank.hi[across], cut.hi[across]);
		rat left = rat_min(low, high);
		bool edge = n != b->thick_axis;
		rat limit = edge ? rat_mul(box_size(b->box, across), check_limit(m, "groove-wall.edge"))
				 : rat_mul(j->depth.mm, check_limit(m, "groove-wall.face"));
		if (rat_le(limit, left)) continue;
		face side = face_of(across, rat_lt(high, low));
		const char *what = joint_cut_word(j->kind);
		diag *g;
		if (rat_sign(left) <= 0)
			g = (edge ? diag_error : diag_warning)(d, "groove-wall", j->at,
							       "the %s of %s leaves no wood at the %s side of %s", what,
							       j->name, FACE_NAME[side], b->name);
		else
			g = diag_warning(d, "groove-wall", j->at,
					 "the %s of %s leaves %s of %s at its %s side, %s less than %s", what, j->name,
					 check_length(m, d, left), b->name, FACE_NAME[side],
					 check_length(m, d, rat_sub(limit, left)), check_length(m, d, limit));
		names_both(m, d, g, j);
		diag_add_note(d, g, b->face_at[side], "the %s side of %s is fixed here", FACE_NAME[side], b->name);
		if (edge)
			diag_add_help(d, g, "a thinner panel or tongue, or a thicker %s", b->name);
		else
			diag_add_help(d, g,
				      rat_sign(left) <= 0 ? "make it a rabbet, or move it %s inwards"
							  : "move it %s inwards, or to the very edge as a rabbet",
				      check_length(m, d, rat_sub(limit, left)));
	}
}

static void rabbet_edge(const model *m, diags *d) {
	for (size_t i = 0; i < m->joints.n; i++) {
		const model_joint *j = &m->joints.v[i];
		if (j->kind != JOINT_RABBET) continue;
		const model_part *b = &m->parts.v[j->b];
		axis across = joint_across(m, j);
		box3 cut = joint_cut_b(m, j);
		if (rat_le(cut.lo[across], b->blank.lo[across]) || rat_le(b->blank.hi[across], cut.hi[across]))
			continue;
		rat left = rat_min(rat_sub(cut.lo[across], b->blank.lo[across]),
				   rat_sub(b->blank.hi[across], cut.hi[across]));
		diag *g = diag_warning(d, "rabbet-edge", j->at,
				       "a rabbet is open at an edge, but %s lies %s from the edge of %s",
				       m->parts.v[j->a].name, check_length(m, d, left), b->name);
		names_both(m, d, g, j);
		diag_add_note(d, g, b->at, "%s is here", b->name);
		diag_add_help(d, g, "make it a dado");
	}
}

static void tongue_thick(const model *m, diags *d) {
	for (size_t i = 0; i < m->joints.n; i++) {
		const model_joint *j = &m->joints.v[i];
		if (j->kind != JOINT_TONGUE) continue;
		const model_part *a = &m->parts.v[j->a];
		rat whole = box_size(a->box, joint_across(m, j));
		rat low = check_limit(m, "tongue-thick.least"), high = check_limit(m, "tongue-thick.most");
		rat least = rat_mul(whole, low), most = rat_mul(whole, high);
		bool thin = rat_lt(j->thick.mm, least);
		if (!thin && rat_le(j->thick.mm, most)) continue;
		diag *g = diag_warning(
			d, "tongue-thick", j->thick.at, "the tongue of %s is %s of %s thick, %s %s than %s", a->name,
			check_length(m, d, j->thick.mm), check_length(m, d, whole),
			check_length(m, d, thin ? rat_sub(least, j->thick.mm) : rat_sub(j->thick.mm, most)),
			thin ? "less" : "more", check_share(d, thin ? low : high));
		names_both(m, d, g, j);
		diag_add_note(d, g, a->at, "%s is here", a->name);
		diag_add_help(d, g, "a third is usual: %s",
			      check_length(m, d, rat_round(rat_div(whole, rat_int(3)), 10)));
	}
}

static void halving_depth(const model *m, diags *d) {
	for (size_t i = 0; i < m->joints.n; i++) {
		const model_joint *j = &m->joints.v[i];
		if (j->kind != JOINT_HALVING) continue;
		axis n = face_axis(j->face_a);
		for (int k = 0; k < 2; k++) {
			const model_part *p = &m->parts.v[k ? j->b : j->a];
			rat thick = box_size(p->box, n), left = rat_sub(thick, k ? j->depth.mm : j->depth_a);
			rat share = check_limit(m, "halving-depth"), limit = rat_mul(thick, share);
			if (rat_le(limit, left)) continue;
			diag *g = diag_warning(d, "halving-depth", span_known(j->depth.at) ? j->depth.at : j->at,
					       "the halving of %s leaves %s of the %s of %s, %s less than %s of it",
					       j->name, check_length(m, d, left), check_length(m, d, thick), p->name,
					       check_length(m, d, rat_sub(limit, left)), check_share(d, share));
			names_both(m, d, g, j);
			diag_add_note(d, g, p->at, "%s is here", p->name);
			diag_add_help(d, g, "without `depth` each loses half of what they share");
		}
	}
}

/* ---- what holds ---------------------------------------------------------------------------- */

static void joint_bare(const model *m, diags *d) {
	for (size_t i = 0; i < m->joints.n; i++) {
		const model_joint *j = &m->joints.v[i];
		const model_part *a = &m->parts.v[j->a], *b = &m->parts.v[j->b];
		if (j->glue || j->screw != MODEL_NONE || j->gasket != MODEL_NONE || j->loose) continue;
		/* What is bought may lie where it is put, what lifts out and doors have to. */
		if (!model_part_made(m, a) || !model_part_made(m, b)) continue;
		if (a->loose || b->loose || a->kind == PART_DOOR || b->kind == PART_DOOR) continue;
		diag *g = diag_warning(d, "joint-bare", j->at, "nothing holds %s: no glue, no screws", j->name);
		names_both(m, d, g, j);
		diag_add_note(d, g, a->at, "%s is here", a->name);
		diag_add_help(d, g,
			      joint_enters(j->kind) && j->kind != JOINT_RABBET
				      ? "write `glue` or `screws`, or `loose` for a panel that moves in its cut"
				      : "write `glue` or `screws`");
	}
}

static void gasket_glued(const model *m, diags *d) {
	for (size_t i = 0; i < m->joints.n; i++) {
		const model_joint *j = &m->joints.v[i];
		if (j->gasket == MODEL_NONE || !j->glue) continue;
		const model_part *a = &m->parts.v[j->a];
		diag *g = diag_error(d, "gasket-glued", j->at, "%s lies in %s, which is glued too",
				     m->stocks.v[j->gasket].name, j->name);
		names_both(m, d, g, j);
		diag_add_note(d, g, a->at, "%s is here", a->name);
		diag_add_help(d, g, "tape is for what comes off again: screws alone; or glue without tape");
	}
}

static void gasket_gap(const model *m, diags *d) {
	for (size_t i = 0; i < m->gaskets.n; i++) {
		const model_gasket_run *r = &m->gaskets.v[i];
		const model_joint *j = &m->joints.v[r->joint];
		const model_stock *s = &m->stocks.v[r->stock];
		if (!rat_ok(s->pressed.mm)) continue;
		const model_part *a = &m->parts.v[j->a], *b = &m->parts.v[j->b];
		rat off = rat_sub(r->gap, s->pressed.mm),
		    gives = rat_ok(s->thick.mm) ? rat_sub(s->thick.mm, s->pressed.mm) : s->pressed.mm;
		if (rat_le(rat_abs(off), rat_mul(gives, check_limit(m, "gasket-gap")))) continue;
		diag *g;
		if (rat_sign(r->gap) == 0)
			g = diag_warning(d, "gasket-gap", j->at,
					 "%s stays %s thick when it is pressed, but %s and %s touch", s->name,
					 check_length(m, d, s->pressed.mm), a->name, b->name);
		else
			g = diag_warning(d, "gasket-gap", j->at,
					 "%s and %s stand %s apart, %s %s than %s is when it is pressed", a->name,
					 b->name, check_length(m, d, r->gap), check_length(m, d, rat_abs(off)),
					 rat_sign(off) < 0 ? "less" : "more", s->name);
		names_both(m, d, g, j);
		diag_add_note(d, g, s->pressed.at, "%s is pressed to %s", s->name, check_length(m, d, s->pressed.mm));
		diag_add_note(d, g, a->face_at[j->face_a], "the %s side of %s is fixed here", FACE_NAME[j->face_a],
			      a->name);
		diag_add_help(d, g, "place one of them `%s.pressed` away from the other", s->name);
	}
}

/* ---- screws -------------------------------------------------------------------------------- */

/* Does the screw run along the fibres of a? In a bar, and in a sheet of solid wood by its grain. */
static bool into_end_grain(const model *m, const model_joint *j) {
	const model_part *a = &m->parts.v[j->a];
	axis n = face_axis(j->face_a);
	if (!model_part_made(m, a)) return false;
	const model_stock *s = &m->stocks.v[a->stock];
	if (model_by_length(s->kind)) return n == a->long_axis;
	return s->made == MADE_SOLID && n != a->thick_axis && n == (a->grain_matters ? a->grain_axis : a->long_axis);
}

/* Does another joint hold that part, across its fibres or in a cut? */
static bool held_otherwise(const model *m, model_ref part) {
	for (size_t i = 0; i < m->joints.n; i++) {
		const model_joint *j = &m->joints.v[i];
		if ((j->a != part && j->b != part) || (!j->glue && j->n_screws == 0)) continue;
		if (j->b == part || joint_cuts(j->kind) || !into_end_grain(m, j)) return true;
	}
	return false;
}

static void screw_grain(const model *m, diags *d) {
	for (size_t i = 0; i < m->joints.n; i++) {
		const model_joint *j = &m->joints.v[i];
		if (j->n_screws == 0 || joint_cuts(j->kind) || !into_end_grain(m, j)) continue;
		if (held_otherwise(m, j->a)) continue;
		const model_part *a = &m->parts.v[j->a], *b = &m->parts.v[j->b];
		diag *g = diag_warning(
			d, "screw-grain", j->at, "%s of %s run%s into the end grain of %s, which nothing else holds",
			j->n_screws == 1 ? "the screw" : "the screws", j->name, j->n_screws == 1 ? "s" : "", a->name);
		names_both(m, d, g, j);
		diag_add_note(d, g, b->at, "they go through %s", b->name);
		diag_add_help(
			d, g,
			"a tongue, a halving or a cleat beside it; or screws from the other part into this one's side");
	}
}

/* A countersink in a thin sheet. */
static void screw_head(const model *m, diags *d) {
	check_worsts w = {0};
	for (size_t i = 0; i < m->features.n; i++) {
		const model_feature *f = &m->features.v[i];
		if (f->kind != FEATURE_CLEARANCE || !some(f->sink_depth) || f->joint == MODEL_NONE) continue;
		const model_joint *j = &m->joints.v[f->joint];
		rat thick = rat_sub(box_size(m->parts.v[f->part].box, face_axis(f->face)), j->depth.mm);
		rat left = rat_sub(thick, f->sink_depth);
		if (rat_lt(left, rat_mul(thick, check_limit(m, "screw-head"))))
			check_worsts_add(d, &w, f->part, f->joint, 0, left, i, 0);
	}
	for (size_t i = 0; i < w.v.n; i++) {
		const model_feature *f = &m->features.v[w.v.v[i].a];
		const model_part *p = &m->parts.v[f->part];
		const model_joint *j = &m->joints.v[f->joint];
		rat left = w.v.v[i].gap, limit = rat_mul(rat_add(left, f->sink_depth), check_limit(m, "screw-head"));
		diag *g;
		if (rat_sign(left) <= 0)
			g = diag_error(d, "screw-head", check_feature_at(m, f), "the countersink of %s %s through %s%s",
				       check_feature(m, d, f),
				       rat_sign(left) == 0
					       ? "goes all the way"
					       : arena_printf(d->mem, "goes %s", check_length(m, d, rat_neg(left))),
				       p->name, check_count(d, w.v.v[i].count));
		else
			g = diag_warning(d, "screw-head", check_feature_at(m, f),
					 "the countersink of %s leaves %s of %s, %s less than %s of it%s",
					 check_feature(m, d, f), check_length(m, d, left), p->name,
					 check_length(m, d, rat_sub(limit, left)),
					 check_share(d, check_limit(m, "screw-head")), check_count(d, w.v.v[i].count));
		const model_stock *s = &m->stocks.v[j->screw];
		names_both(m, d, g, j);
		diag_add_note(d, g, span_known(s->sink.at) ? s->sink.at : s->at, "its head is sunk %s deep",
			      check_length(m, d, f->sink_depth));
		diag_add_help(d, g, "a screw with a flat head that lies on the sheet (stock without `sink`)");
	}
}

const check_rule CHECK_CUTS[] = {
	{"dado-fit", DIAG_WARNING,
	 "A cut with an allowance takes the thickest sheet of the stock's spread, and the thinnest does not rattle in "
	 "it.",
	 "geometry; looseness: common practice, no source", dado_fit},
	{"groove-wall", DIAG_ERROR, "Wood stays beside a groove in an edge, and between a dado and the edge along it.",
	 "common practice, no source", groove_wall},
	{"rabbet-edge", DIAG_WARNING, "A rabbet runs along the edge of its part.", "geometry", rabbet_edge},
	{"tongue-thick", DIAG_WARNING, "A tongue is neither thin nor thick, best a third of its part.",
	 "common practice, no source", tongue_thick},
	{"halving-depth", DIAG_WARNING, "A halving leaves enough of each part.", "common practice, no source",
	 halving_depth},
	{"joint-bare", DIAG_WARNING,
	 "Glue, screws or a gasket are in every joint of made parts, or it is said to be loose.",
	 "common practice, no source", joint_bare},
	{"gasket-glued", DIAG_ERROR, "A joint with a gasket is not glued.", "common practice, no source", gasket_glued},
	{"gasket-gap", DIAG_WARNING, "Two parts stand as far apart as the gasket between them is pressed.",
	 "common practice, no source", gasket_gap},
	{"screw-grain", DIAG_WARNING, "Screws in end grain do not hold a part alone.",
	 "Wood Handbook: screws in end grain hold about three quarters and erratically, from memory", screw_grain},
	{"screw-head", DIAG_ERROR, "A countersink leaves some of the sheet under the head.",
	 "common practice, no source", screw_head},
};
const size_t N_CHECK_CUTS = sizeof CHECK_CUTS / sizeof *CHECK_CUTS;
