/* Joints: what their lines say, held against the parts. */
#include "compiler/context.h"
#include "runtime/base/text.h"
#include "runtime/engine/joint.h"
#include "runtime/engine/mitre.h"

/* ---- joints -------------------------------------------------------------------------------- */

typedef struct row_list {
	LIST(model_ref) rows;
	bool many; /* a group of several: not every piece need meet */
} row_list;

static void each_row(ctx *c, model_ref row, void *data) {
	row_list *l = data;
	if (c->m->parts.v[row].number) l->many = true;
	LIST_PUSH(c->mem, &l->rows, row);
}

/* A joint as its lines say it; sides are held against the parts when those are known. */
typedef struct joining {
	model_joint j;
	bool has_from, has_head, has_shoulder;
	face from, head, shoulder_face; /* side that the halving is cut from; of the screws' heads; of the shoulder */
	span from_at, head_at, shoulder_at;
	rat shoulder;
	struct {
		face f;
		rat mm;
		span at;
	} stop[2];
	size_t n_stops;
} joining;

#define KIND(name) (1u << JOINT_##name)
enum {
	ENTERS = KIND(DADO) | KIND(RABBET) | KIND(GROOVE) | KIND(TONGUE),
	CUTS = ENTERS | KIND(HALVING),
};
/* Which lines belong to which kinds. */
static const struct {
	const char *word;
	unsigned kinds;
} BELONGS[] = {
	{"depth", CUTS & ~KIND(TONGUE)},
	{"allowance", CUTS},
	{"measured", KIND(DADO) | KIND(RABBET) | KIND(GROOVE)},
	{"room", ENTERS & ~KIND(RABBET)},
	{"stopped", ENTERS},
	{"loose", ENTERS & ~KIND(RABBET)},
	{"thick", KIND(TONGUE)},
	{"long", KIND(TONGUE)},
	{"shoulder", KIND(TONGUE)},
};
#undef KIND

static bool lines_belong(ctx *c, const line_list *good, model_joint_kind kind) {
	bool fine = true;
	for (size_t i = 0; i < good->n; i++)
		for (size_t k = 0; k < sizeof BELONGS / sizeof *BELONGS; k++) {
			const syn_line *line = good->v[i];
			if (!line_is(line, BELONGS[k].word) || BELONGS[k].kinds & (1u << kind)) continue;
			fine = false;
			if (!joint_cuts(kind)) {
				diag_error(c->diags, "plan-form", line->word_at,
					   "a %s joint cuts nothing; `%s` does not belong here", MODEL_JOINT_WORD[kind],
					   line->word);
				continue;
			}
			textbuf of = textbuf_begin(c->mem);
			for (int q = 0; q < JOINT_KINDS; q++)
				if (BELONGS[k].kinds & (1u << q))
					textbuf_printf(&of, "%s%s", of.n ? ", " : "", MODEL_JOINT_WORD[q]);
			diag *g = diag_error(c->diags, "plan-form", line->word_at, "`%s` does not belong to a %s",
					     line->word, MODEL_JOINT_WORD[kind]);
			diag_add_help(c->diags, g, "it belongs to: %s", of.v);
		}
	return fine;
}

/* A length behind the word; none: *out stays. `zero_too`: may be nothing. */
static bool joint_length(ctx *c, const line_list *good, const char *word, bool zero_too, model_length *out) {
	const syn_line *line = lines_find(good, word);
	if (!line) return true;
	const syn_expr *e = line_arg(line, NULL, 0);
	out->at = e->at;
	if (!eval_length(c, e, &out->mm)) return false;
	if (rat_sign(out->mm) > 0 || (zero_too && rat_sign(out->mm) == 0)) return true;
	diag_error(c->diags, "plan-value", e->at, "the %s must %s", word,
		   zero_too ? "not be less than nothing" : "be more than nothing");
	return false;
}

/* A side as the instance calls it that the line stands in, turned to the plan's. */
static bool plan_side(ctx *c, const syn_expr *e, face *f) {
	if (!eval_side(c, e, f)) return false;
	*f = inst_face_to_plan(c->in, *f);
	return true;
}

static bool read_screws(ctx *c, const line_list *good, joining *w) {
	const syn_line *line = lines_find(good, "screws"), *first = lines_find(good, "first");
	model_joint *j = &w->j;
	if (first && !line) {
		diag_error(c->diags, "plan-form", first->word_at,
			   "`first` says where screws begin, but there are none");
		return false;
	}
	if (!line) return true;
	stock_def *s = eval_stock(c, line_arg(line, NULL, 0), 1u << STOCK_SCREW, "a screw");
	const syn_expr *every = line_arg(line, "every", 0), *from = line_arg(line, "from", 0);
	bool fine = eval_length(c, every, &j->every.mm);
	if (fine && rat_sign(j->every.mm) <= 0) {
		diag_error(c->diags, "plan-value", every->at, "the spacing of the screws must be more than nothing");
		fine = false;
	}
	j->every.at = every->at;
	j->screw = s && fine ? s->row : MODEL_NONE;
	j->screw_at = line_arg(line, NULL, 0)->at;
	fine = joint_length(c, good, "first", false, &j->first) && fine;
	if (from) {
		w->has_head = true;
		w->head_at = from->at;
		fine = plan_side(c, from, &w->head) && fine;
	}
	return fine && j->screw != MODEL_NONE;
}

static bool read_sides(ctx *c, const line_list *good, joining *w) {
	bool fine = true;
	for (size_t i = 0; i < good->n; i++) {
		const syn_line *line = good->v[i];
		if (line_is(line, "depth") && line_arg(line, "from", 0)) {
			const syn_expr *from = line_arg(line, "from", 0);
			w->has_from = true;
			w->from_at = from->at;
			fine = plan_side(c, from, &w->from) && fine;
			if (w->j.kind == JOINT_HALVING) continue;
			diag_error(c->diags, "plan-form", from->at,
				   "only a halving says from which side it is cut; a %s is cut where the parts meet",
				   MODEL_JOINT_WORD[w->j.kind]);
			fine = false;
		}
		if (line_is(line, "shoulder")) {
			const syn_expr *on = line_arg(line, "on", 0);
			w->has_shoulder = true;
			w->shoulder_at = line_arg(line, NULL, 0)->at;
			fine = eval_length(c, line_arg(line, NULL, 0), &w->shoulder) &&
			       plan_side(c, on, &w->shoulder_face) && fine;
		}
		if (!line_is(line, "stopped")) continue;
		if (w->n_stops == 2) {
			diag_error(c->diags, "plan-form", line->word_at,
				   "a cut has two ends; this is a third `stopped`");
			return false;
		}
		const syn_expr *e = line_arg(line, NULL, 0);
		w->stop[w->n_stops].at = line_arg(line, "from", 0)->at;
		fine = eval_length(c, e, &w->stop[w->n_stops].mm) &&
		       plan_side(c, line_arg(line, "from", 0), &w->stop[w->n_stops].f) && fine;
		if (fine && rat_sign(w->stop[w->n_stops].mm) <= 0) {
			diag_error(c->diags, "plan-value", e->at, "the cut must stop more than nothing from the edge");
			fine = false;
		}
		w->n_stops++;
	}
	return fine;
}

/* What a kind cannot do without. */
static bool lacks(ctx *c, const syn_line *line, model_joint_kind kind, const line_list *good, const char *word,
		  const char *example) {
	if (lines_find(good, word)) return false;
	diag *g = diag_error(c->diags, "plan-form", line->word_at, "a %s wants a %s", MODEL_JOINT_WORD[kind],
			     text_same(word, "depth")	? "depth"
			     : text_same(word, "thick") ? "thickness"
							: "length");
	diag_add_help(c->diags, g, "write it like this: %s", example_shown(c->m, example));
	return true;
}

static bool read_depth(ctx *c, const syn_line *line, const line_list *good, model_joint *j) {
	if (joint_enters(j->kind) && j->kind != JOINT_TONGUE && lacks(c, line, j->kind, good, "depth", "depth 6 mm"))
		return false;
	if (j->kind == JOINT_TONGUE && (lacks(c, line, j->kind, good, "thick", "thick 6 mm") ||
					lacks(c, line, j->kind, good, "long", "long 8 mm")))
		return false;
	bool fine = joint_length(c, good, "depth", false, &j->depth) &&
		    joint_length(c, good, "thick", false, &j->thick) &&
		    joint_length(c, good, "long", false, &j->depth) && joint_length(c, good, "room", true, &j->room);
	if (!fine) return false;
	/* A tongue says how long it is, the others how deep the cut is. */
	if (j->kind == JOINT_TONGUE) j->depth.mm = rat_add(j->depth.mm, j->room.mm);
	if (!joint_enters(j->kind) || rat_lt(j->room.mm, j->depth.mm)) return true;
	diag *g = diag_error(c->diags, "plan-value", j->room.at,
			     "%s of room in a cut %s deep leaves nothing that goes in",
			     quant_show_length(c->mem, j->room.mm, c->m->measures, false),
			     quant_show_length(c->mem, j->depth.mm, c->m->measures, false));
	diag_add_help(c->diags, g, "a deeper cut, or less room");
	return false;
}

static bool read_joint_lines(ctx *c, const syn_line *line, joining *w) {
	line_list good = {0};
	words_check_block(c, BLOCK_JOIN, line, &good);
	bool fine = good.n == line->block.n;
	model_joint *j = &w->j;
	const model_length none = {.mm = rat_int(0), .at = span_none()},
			   not_given = {.mm = rat_poison(), .at = span_none()};
	j->depth = j->allowance = j->room = none;
	j->every = j->first = j->thick = not_given;
	j->depth_a = j->shoulder = j->stop[0] = j->stop[1] = j->shifted = rat_int(0);
	j->screw = j->gasket = j->glue_stock = MODEL_NONE;
	if (!lines_belong(c, &good, j->kind)) return false;
	j->fits_measured = lines_find(&good, "measured") || !lines_find(&good, "allowance");
	const syn_line *glue = lines_find(&good, "glue"), *gasket = lines_find(&good, "gasket"),
		       *loose = lines_find(&good, "loose");
	j->loose = loose;
	fine = joint_length(c, &good, "allowance", true, &j->allowance) && fine;
	fine = read_screws(c, &good, w) && fine;
	if (glue) {
		j->glue = true;
		stock_def *s = line_args(glue, NULL) ? eval_stock(c, line_arg(glue, NULL, 0), 1u << STOCK_FINISH,
								  "glue (stock of kind finish)")
						     : NULL;
		if (s) j->glue_stock = s->row;
	}
	if (gasket) {
		stock_def *s = eval_stock(c, line_arg(gasket, NULL, 0), 1u << STOCK_GASKET, "a gasket");
		if (s) j->gasket = s->row;
	}
	const syn_line *fast = glue ? glue : lines_find(&good, "screws");
	if (loose && fast) {
		diag *g = diag_error(c->diags, "plan-form", fast->word_at, "what is `loose` is not held by %s",
				     glue ? "glue" : "screws");
		diag_add_note(c->diags, g, loose->word_at, "it is said to be loose here");
		diag_add_help(c->diags, g, "take one of the two away");
		return false;
	}
	return read_sides(c, &good, w) && fine && read_depth(c, line, &good, j);
}

static void report_apart(ctx *c, const syn_line *line, model_joint_kind kind, const model_part *a,
			 const model_part *b) {
	rat most = rat_int(0);
	int where = -1;
	for (int i = 0; i < 3; i++) {
		rat d = box_distance_axis(a->box, b->box, (axis)i);
		if (rat_lt(most, d)) {
			most = d;
			where = i;
		}
	}
	diag *g;
	if (where >= 0)
		g = diag_error(c->diags, "joint-apart", line->at,
			       "`%s` and `%s` do not touch: they are %s apart along the %s", a->name, b->name,
			       quant_show_length(c->mem, most, c->m->measures, false), AXIS_SPOKEN[where]);
	else if (kind == JOINT_HALVING)
		g = diag_error(c->diags, "joint-kind", line->at,
			       "`%s` and `%s` only touch: a halving wants them to cross", a->name, b->name);
	else
		g = diag_error(c->diags, "joint-apart", line->at, "no face of `%s` lies against a face of `%s`",
			       a->name, b->name);
	diag_add_note(c->diags, g, a->at, "`%s` is placed here", a->name);
	diag_add_note(c->diags, g, b->at, "`%s` is placed here", b->name);
	if (kind == JOINT_HALVING) {
		diag_add_help(c->diags, g,
			      "place them as they stand when they are together, each in its whole length: in "
			      "the same place");
		return;
	}
	diag_add_help(c->diags, g, "place one against the other, for example with `against %s.FACE` or `between`",
		      b->name);
}

static bool is_bar(const ctx *c, const model_part *p) {
	return p->stock != MODEL_NONE && model_by_length(c->m->stocks.v[p->stock].kind);
}

static bool joint_fits_kind(ctx *c, const syn_line *line, const model_joint *j) {
	const model_part *a = &c->m->parts.v[j->a], *b = &c->m->parts.v[j->b];
	axis n = face_axis(j->face_a);
	if (!joint_enters(j->kind)) return true;
	bool edge_too = j->kind == JOINT_GROOVE || j->kind == JOINT_TONGUE;
	bool takes = n == b->thick_axis || (edge_too && !(is_bar(c, b) && n == b->long_axis));
	if (model_part_made(c->m, a) && model_part_made(c->m, b) && n != a->thick_axis && takes) return true;
	diag *g = diag_error(c->diags, "joint-kind", line->at,
			     "a %s takes the end of one sheet into the %s of another, but %s of `%s` meets %s of `%s`",
			     MODEL_JOINT_WORD[j->kind], edge_too ? "face or edge" : "face",
			     n == a->thick_axis ? "a face" : "an end", a->name,
			     n == b->thick_axis ? "a face" : "an end", b->name);
	diag_add_help(c->diags, g, "turn the two round, or make it a butt joint");
	return false;
}

/* Screws go through the part that shows its face there, into the end of the other; through a bought item's plate. The
 * model has that part as `b`: so a butt or lap that is written the other way round is turned. */
static bool written_round(const model *m, const model_joint *j, const model_part *a, const model_part *b) {
	axis n = face_axis(j->face_a);
	if (j->kind != JOINT_BUTT && j->kind != JOINT_LAP) return false;
	if (!model_part_made(m, b)) return false;
	return !model_part_made(m, a) || (b->thick_axis != n && a->thick_axis == n);
}

static bool joined_before(ctx *c, const model_joint *j) {
	for (size_t i = 0; i < c->m->joints.n; i++) {
		const model_joint *o = &c->m->joints.v[i];
		if (!(o->a == j->a && o->b == j->b) && !(o->a == j->b && o->b == j->a)) continue;
		diag *g = diag_error(c->diags, "joint-twice", j->at, "`%s` and `%s` are joined twice",
				     c->m->parts.v[j->a].name, c->m->parts.v[j->b].name);
		diag_add_note(c->diags, g, o->at, "first here");
		diag_add_help(c->diags, g, "take one of the two away");
		return true;
	}
	return false;
}

/* The tape stands between them: as far apart as it is thick at most. */
static bool touch_by_tape(const ctx *c, const model_joint *j, box3 a, box3 b, face *fa, box3 *rect) {
	if (j->gasket == MODEL_NONE) return false;
	rat most = c->m->stocks.v[j->gasket].thick.mm;
	for (int f = 0; f < 6; f++) {
		rat gap = rat_sub(box_face(b, face_opposite((face)f)), box_face(a, (face)f));
		if (!face_high((face)f)) gap = rat_neg(gap);
		if (rat_sign(gap) <= 0 || !rat_le(gap, most)) continue;
		box3 moved = b;
		axis n = face_axis((face)f);
		rat by = rat_sub(box_face(a, (face)f), box_face(b, face_opposite((face)f)));
		moved.lo[n] = rat_add(b.lo[n], by);
		moved.hi[n] = rat_add(b.hi[n], by);
		face found;
		if (box_touch(a, moved, &found, rect) && found == (face)f) {
			*fa = found;
			return true;
		}
	}
	return false;
}

static const char *show(ctx *c, rat mm) { return quant_show_length(c->mem, mm, c->m->measures, false); }

/* Is the depth less than `b` is thick there? Else reported. */
static bool depth_inside(ctx *c, const model_joint *j, const model_part *b, rat depth) {
	axis n = face_axis(j->face_a);
	if (rat_lt(depth, box_size(b->box, n))) return true;
	diag *g = diag_error(c->diags, "dado-through", j->depth.at, "%s deep is through `%s`, which is %s thick",
			     show(c, depth), b->name, show(c, box_size(b->box, n)));
	diag_add_note(c->diags, g, b->at, "`%s` is here", b->name);
	rat third = rat_round(rat_div(box_size(b->box, n), rat_int(3)), 1);
	diag_add_help(c->diags, g, "a third to a half of the thickness is common practice: depth %s",
		      quant_show_length(c->mem, third, MEASURES_METRIC, false));
	return false;
}

/* A side that a line names has to lie along the axis that it is about. */
static bool side_along(ctx *c, face f, span at, axis wanted, const char *what) {
	if (face_axis(f) == wanted) return true;
	diag *g = diag_error(c->diags, "plan-direction", at, "%s the %s here, and `%s` is not a side of it", what,
			     AXIS_SPOKEN[wanted], FACE_NAME[f]);
	diag_add_help(c->diags, g, "write `%s` or `%s`", FACE_NAME[face_of(wanted, false)],
		      FACE_NAME[face_of(wanted, true)]);
	return false;
}

static bool place_stops(ctx *c, const joining *w, model_joint *j) {
	axis along = joint_along(c->m, j);
	for (size_t i = 0; i < w->n_stops; i++) {
		if (!side_along(c, w->stop[i].f, w->stop[i].at, along, "the cut runs along")) return false;
		j->stop[face_high(w->stop[i].f)] = w->stop[i].mm;
	}
	const model_part *b = &c->m->parts.v[j->b];
	if (w->n_stops == 0 || rat_lt(rat_add(j->stop[0], j->stop[1]), box_size(b->box, along))) return true;
	diag *g = diag_error(c->diags, "plan-value", w->stop[0].at, "nothing is left of the cut: `%s` is %s there",
			     b->name, show(c, box_size(b->box, along)));
	diag_add_note(c->diags, g, b->at, "`%s` is here", b->name);
	return false;
}

static bool place_tongue(ctx *c, const joining *w, model_joint *j) {
	if (j->kind != JOINT_TONGUE) return true;
	const model_part *a = &c->m->parts.v[j->a];
	axis across = joint_across(c->m, j);
	rat rest = rat_sub(box_size(a->box, across), j->thick.mm);
	if (rat_sign(rest) <= 0) {
		diag *g =
			diag_error(c->diags, "plan-value", j->thick.at, "`%s` is %s thick; no tongue of %s comes of it",
				   a->name, show(c, box_size(a->box, across)), show(c, j->thick.mm));
		diag_add_note(c->diags, g, a->at, "`%s` is here", a->name);
		diag_add_help(c->diags, g,
			      "a third of the thickness is common practice; the whole of it is a dado or groove");
		return false;
	}
	j->shoulder = rat_half(rest);
	if (!w->has_shoulder) return true;
	if (!side_along(c, w->shoulder_face, w->shoulder_at, across, "the shoulders lie along")) return false;
	if (rat_sign(w->shoulder) < 0 || rat_lt(rest, w->shoulder)) {
		diag *g = diag_error(c->diags, "plan-value", w->shoulder_at,
				     "beside a tongue of %s `%s` has %s for both shoulders", show(c, j->thick.mm),
				     a->name, show(c, rest));
		diag_add_note(c->diags, g, a->at, "`%s` is here", a->name);
		return false;
	}
	j->shoulder = face_high(w->shoulder_face) ? rat_sub(rest, w->shoulder) : w->shoulder;
	return true;
}

static void swap_parts(model_joint *j) {
	model_ref was = j->a;
	j->a = j->b;
	j->b = was;
	j->face_a = face_opposite(j->face_a);
	rat depth = j->depth.mm;
	if (j->kind == JOINT_HALVING) {
		j->depth.mm = j->depth_a;
		j->depth_a = depth;
	}
}

/* Can screws go through the part across, along n, and not lengthwise through its end? */
static bool shows_face(const ctx *c, const model_part *p, axis n) {
	if (!model_part_made(c->m, p)) return true;
	return is_bar(c, p) ? n != p->long_axis : n == p->thick_axis;
}

/* The heads on the side that the plan asks for: the part there becomes `b`. */
static bool place_heads(ctx *c, const joining *w, model_joint *j) {
	if (!w->has_head) return true;
	if (!side_along(c, w->head, w->head_at, face_axis(j->face_a), "the screws run along")) return false;
	if (w->head == j->face_a) return true;
	const model_part *a = &c->m->parts.v[j->a];
	if (!joint_enters(j->kind) && shows_face(c, a, face_axis(j->face_a))) {
		swap_parts(j);
		return true;
	}
	diag *g = diag_error(c->diags, "joint-kind", w->head_at,
			     "from the %s the screws would go lengthwise through `%s`", FACE_NAME[w->head], a->name);
	diag_add_note(c->diags, g, a->at, "`%s` is here", a->name);
	diag_add_help(c->diags, g, "leave `from %s` out: they go through `%s`", FACE_NAME[w->head],
		      c->m->parts.v[j->b].name);
	return false;
}

/* The direction in which two crossing parts lie on each other. */
static bool crossing_axis(ctx *c, const model_part *a, const model_part *b, axis *n) {
	bool bars = is_bar(c, a) && is_bar(c, b), sheets = !is_bar(c, a) && !is_bar(c, b);
	axis pa = bars ? a->long_axis : a->thick_axis, pb = bars ? b->long_axis : b->thick_axis;
	if ((bars || sheets) && pa != pb) {
		*n = (axis)(3 - (int)pa - (int)pb);
		return true;
	}
	const model_part *sheet = is_bar(c, a) ? b : a, *bar = is_bar(c, a) ? a : b;
	*n = sheet->thick_axis;
	return bars || sheets || bar->long_axis != sheet->thick_axis;
}

/* Halves two parts that stand in the same place. a is laid into b from the side that the plan says, else from above,
 * from the front or from the right. */
static bool cross(ctx *c, const syn_line *line, const joining *w, model_joint *j) {
	const model_part *a = &c->m->parts.v[j->a], *b = &c->m->parts.v[j->b];
	box3 common;
	axis n;
	if (!box_overlap(a->box, b->box) || !box_common(a->box, b->box, &common)) return false;
	if (!crossing_axis(c, a, b, &n)) {
		diag_error(c->diags, "joint-kind", line->at,
			   "the bar runs through the sheet: that is an opening, no halving");
		return true;
	}
	face opens = w->has_from ? w->from : face_of(n, n != AXIS_Y);
	if (w->has_from && !side_along(c, opens, w->from_at, n, "the parts lie on each other along")) return true;
	rat plane = rat_half(rat_add(common.lo[n], common.hi[n]));
	if (span_known(j->depth.at)) {
		rat from = box_face(b->box, opens);
		plane = face_high(opens) ? rat_sub(from, j->depth.mm) : rat_add(from, j->depth.mm);
	}
	if (!rat_lt(common.lo[n], plane) || !rat_lt(plane, common.hi[n])) {
		diag *g = diag_error(c->diags, "dado-through", j->depth.at,
				     "%s deep leaves nothing of one of the two: they share %s along the %s",
				     show(c, j->depth.mm), show(c, box_size(common, n)), AXIS_SPOKEN[n]);
		diag_add_note(c->diags, g, a->at, "`%s` is placed here", a->name);
		diag_add_note(c->diags, g, b->at, "`%s` is placed here", b->name);
		diag_add_help(c->diags, g, "without `depth` each loses half");
		return true;
	}
	j->face_a = face_opposite(opens);
	j->depth.mm = rat_abs(rat_sub(box_face(b->box, opens), plane));
	j->depth_a = rat_abs(rat_sub(box_face(a->box, j->face_a), plane));
	common.lo[n] = common.hi[n] = plane;
	j->contact = common;
	j->name = arena_printf(c->mem, "%s to %s", a->name, b->name);
	if (!place_heads(c, w, j) || joined_before(c, j)) return true;
	LIST_PUSH(c->mem, &c->m->joints, *j);
	return true;
}

/* Two bars that meet in a mitre are joined by glue alone: a screw's way through the corner is not worked out. */
static bool mitred(ctx *c, const syn_line *line, model_joint *j) {
	const model_part *a = &c->m->parts.v[j->a], *b = &c->m->parts.v[j->b];
	if (j->kind != JOINT_BUTT || !mitre_meets(a, b, &j->face_a, &j->contact, NULL)) return false;
	j->name = arena_printf(c->mem, "%s to %s", a->name, b->name);
	if (j->screw != MODEL_NONE || j->gasket != MODEL_NONE) {
		diag *g = diag_error(c->diags, "joint-kind", j->screw != MODEL_NONE ? j->screw_at : line->at,
				     "the mitre of `%s` and `%s` takes glue only", a->name, b->name);
		diag_add_help(c->diags, g, "leave the line out, and say in a step how the corner is held");
		return true;
	}
	if (!joined_before(c, j)) LIST_PUSH(c->mem, &c->m->joints, *j);
	return true;
}

/* false: the two do not meet. */
static bool make_joint(ctx *c, const syn_line *line, const joining *w, model_ref ra, model_ref rb) {
	model_joint j = w->j;
	model_part *a = &c->m->parts.v[ra], *b = &c->m->parts.v[rb];
	j.a = ra;
	j.b = rb;
	j.at = line->at;
	if (j.kind == JOINT_HALVING) return cross(c, line, w, &j);
	if (mitred(c, line, &j)) return true;
	if (!box_touch(a->box, b->box, &j.face_a, &j.contact) &&
	    !touch_by_tape(c, &j, a->box, b->box, &j.face_a, &j.contact))
		return false;
	j.name = arena_printf(c->mem, "%s %s %s", a->name, joint_link(j.kind), b->name);
	if (written_round(c->m, &j, a, b)) swap_parts(&j);
	if (!joint_fits_kind(c, line, &j) || !place_heads(c, w, &j) || joined_before(c, &j)) return true;
	if (joint_enters(j.kind)) {
		if (!depth_inside(c, &j, b, j.depth.mm) || !place_tongue(c, w, &j) || !place_stops(c, w, &j))
			return true;
		joint_grow(a, &j);
	}
	LIST_PUSH(c->mem, &c->m->joints, j);
	return true;
}

static void join_lists(ctx *c, const syn_line *line, const syn_expr *ea, const syn_expr *eb, const joining *like) {
	row_list a = {0}, b = {0};
	part_rows(c, ea, false, each_row, &a);
	part_rows(c, eb, false, each_row, &b);
	bool any = false;
	for (size_t i = 0; i < a.rows.n; i++) {
		for (size_t k = 0; k < b.rows.n; k++) {
			if (a.rows.v[i] == b.rows.v[k]) {
				diag_error(c->diags, "joint-apart", eb->at, "`%s` cannot be joined to itself",
					   c->m->parts.v[a.rows.v[i]].name);
				return;
			}
			if (make_joint(c, line, like, a.rows.v[i], b.rows.v[k])) any = true;
		}
	}
	if (!any && a.rows.n && b.rows.n)
		report_apart(c, line, like->j.kind, &c->m->parts.v[a.rows.v[0]], &c->m->parts.v[b.rows.v[0]]);
}

static void join_resolve(ctx *c, const syn_line *line) {
	const syn_expr *kind = line_arg(line, ":", 0);
	joining like = {.j = {.kind = JOINT_KINDS}};
	const char *words[JOINT_KINDS];
	for (int k = 0; k < JOINT_KINDS; k++) {
		words[k] = MODEL_JOINT_WORD[k];
		if (text_same(expr_word(kind), words[k])) like.j.kind = (model_joint_kind)k;
	}
	if (like.j.kind == JOINT_KINDS) {
		if (kind->kind == SYN_BAD) return;
		diag *g = diag_error(c->diags, "plan-unknown-word", kind->at, "there is no joint `%s`",
				     expr_source(c, kind));
		const char *near = expr_word(kind) ? text_nearest(expr_word(kind), words, JOINT_KINDS) : NULL;
		if (near)
			diag_add_help(c->diags, g, "did you mean `%s`?", near);
		else
			diag_add_help(c->diags, g, "there are: butt, dado, rabbet, groove, tongue, halving, lap");
		return;
	}
	const char *link = joint_link(like.j.kind);
	const syn_clause *to = line_clause(line, link, 0);
	const syn_clause *other = line_clause(line, link[0] == 'i' ? "to" : "into", 0);
	if (!to || other) {
		diag *g = diag_error(c->diags, "plan-form", other ? other->link_at : line->word_at,
				     "a %s joins one part `%s` another", MODEL_JOINT_WORD[like.j.kind], link);
		diag_add_help(c->diags, g, "write it like this: join floor %s left, right : %s { … }", link,
			      MODEL_JOINT_WORD[like.j.kind]);
		return;
	}
	if (!read_joint_lines(c, line, &like)) return;
	const syn_clause *from = line_clause(line, NULL, 0);
	for (size_t i = 0; i < from->args.n; i++)
		for (size_t k = 0; k < to->args.n; k++) join_lists(c, line, from->args.v[i], to->args.v[k], &like);
}

void joints_resolve(ctx *c) {
	size_t before = c->diags->all.n;
	inst *plan = c->in;
	for (size_t i = 0; i < c->joins.n; i++) {
		inst_enter(c, c->joins.v[i].in);
		join_resolve(c, c->joins.v[i].line);
	}
	inst_enter(c, plan);
	c->joint_failed = c->diags->all.n > before;
}
