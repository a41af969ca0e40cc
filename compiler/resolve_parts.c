/* Parts: declaring them, reading what holds each one, and their rows in the model. Faces are worked out when they are
 * asked for, axis by axis (part_faces.c), so that parts may lean on each other in any order; a circle is reported
 * whole. */
#include <string.h>

#include "compiler/parts.h"
#include "runtime/base/text.h"
#include "runtime/engine/mitre.h"

/* A line of the part's block, or of the block of the part that it mirrors. */
const part_def *part_line_of(const part_def *p, const char *word) {
	for (int deep = 0; p && deep < MOST_PIECES; p = p->mirror, deep++)
		if (line_in_block(p->line, word)) return p;
	return NULL;
}

const syn_line *part_line(const part_def *p, const char *word) {
	p = part_line_of(p, word);
	return p ? line_in_block(p->line, word) : NULL;
}

/* ---- reading the block ---------------------------------------------------------------------- */

static hold *add_hold(ctx *c, part_def *p, hold_kind kind, const syn_line *line) {
	hold *h = LIST_ADD(c->mem, &p->holds);
	h->kind = kind;
	h->line = line;
	return h;
}

void hold_along(hold *h, axis a) {
	h->axis_known = true;
	h->along = a;
}

bool part_names_face(ctx *c, const syn_expr *e, axis *a) {
	face f;
	part_def *p;
	if (!expr_face(c, e, &p, &f)) return false;
	*a = face_axis(f);
	return true;
}

static void between_axis(ctx *c, hold *h, const syn_line *line, const char *first_link) {
	axis a;
	if (part_names_face(c, line_arg(line, first_link, 0), &a) || part_names_face(c, line_arg(line, "and", 0), &a))
		hold_along(h, a);
}

static void read_face_hold(ctx *c, part_def *p, const syn_line *line, const syn_expr *e, bool opposite) {
	part_def *other;
	face f;
	if (!eval_face(c, e, &other, &f)) {
		p->structure_bad = true;
		return;
	}
	if (opposite) f = face_opposite(f);
	hold *h = add_hold(c, p, face_high(f) ? HOLD_HIGH : HOLD_LOW, line);
	hold_along(h, face_axis(f));
}

static void read_extent(ctx *c, part_def *p, const syn_line *line, axis a) {
	bool size = line_args(line, NULL) == 1, of = line_arg(line, "of", 0) != NULL;
	if (size == of) {
		diag *g = diag_error(c->diags, "plan-form", line->word_at, "`%s` takes a length, or `of` and a part",
				     line->word);
		diag_add_help(c->diags, g, "write `%s %s` or `%s of left`", line->word, example_shown(c->m, "400 mm"),
			      line->word);
		p->structure_bad = true;
		return;
	}
	if (size && line_arg(line, "inset", 0)) {
		diag_error(c->diags, "plan-form", line_arg(line, "inset", 0)->at, "`inset` goes with `%s of` a part",
			   line->word);
		p->structure_bad = true;
		return;
	}
	hold_along(add_hold(c, p, of ? HOLD_PAIR : HOLD_SIZE, line), a);
}

static void read_centred(ctx *c, part_def *p, const syn_line *line) {
	hold *h = add_hold(c, p, HOLD_CENTRE, line);
	const syn_expr *on = line_arg(line, "on", 0), *in = line_arg(line, "in", 0),
		       *between = line_arg(line, "between", 0);
	axis a;
	if (on && in && !between) {
		if (eval_axis(c, in, &a))
			hold_along(h, a);
		else
			p->structure_bad = true;
		return;
	}
	if (between && line_arg(line, "and", 0) && !on && !in) {
		between_axis(c, h, line, "between");
		return;
	}
	diag *g = diag_error(c->diags, "plan-form", line->word_at,
			     "`centred` stands on a part in a direction, or between two parts");
	diag_add_help(c->diags, g, "write `centred on floor in width` or `centred between left and right`");
	p->structure_bad = true;
}

static void read_line(ctx *c, part_def *p, const syn_line *line) {
	face f;
	axis a;
	if (word_face(line->word, &f))
		hold_along(add_hold(c, p, face_high(f) ? HOLD_HIGH : HOLD_LOW, line), face_axis(f));
	else if (word_axis(line->word, &a))
		read_extent(c, p, line, a);
	else if (line_is(line, "against"))
		read_face_hold(c, p, line, line_arg(line, NULL, 0), true);
	else if (line_is(line, "flush"))
		read_face_hold(c, p, line, line_arg(line, "with", 0), false);
	else if (line_is(line, "between"))
		between_axis(c, add_hold(c, p, HOLD_PAIR, line), line, NULL);
	else if (line_is(line, "centred"))
		read_centred(c, p, line);
	else if (line_is(line, "spaced"))
		between_axis(c, add_hold(c, p, HOLD_SPREAD, line), line, "between");
	else if (line_is(line, "pitched")) {
		hold *h = add_hold(c, p, HOLD_PITCH, line);
		if (eval_axis(c, line_arg(line, "in", 0), &a))
			hold_along(h, a);
		else
			p->structure_bad = true;
	} else if (line_is(line, "stacked")) {
		hold *h = add_hold(c, p, HOLD_STACK, line);
		if (eval_axis(c, line_arg(line, "in", 0), &a))
			hold_along(h, a);
		else
			p->structure_bad = true;
	} else if (line_is(line, "over")) {
		add_hold(c, p, HOLD_COVER, line);
		add_hold(c, p, HOLD_COVER, line)->second = true;
	} else if (line_is(line, "corners")) {
		hold_along(add_hold(c, p, HOLD_CORNER, line), AXIS_X);
		hold_along(add_hold(c, p, HOLD_CORNER, line), AXIS_Y);
	}
}

static unsigned kinds_for(model_part_kind kind, const char **what) {
	switch (kind) {
	case PART_PANEL:
	case PART_DOOR:
		*what = "stock of kind sheet";
		return 1u << STOCK_SHEET;
	case PART_SLAT:
	case PART_CLEAT:
	case PART_LEG:
		*what = "stock of kind bar or pipe";
		return 1u << STOCK_BAR | 1u << STOCK_PIPE;
	default:
		*what = "stock of kind item, filter or fan";
		return 1u << STOCK_ITEM | 1u << STOCK_FILTER | 1u << STOCK_FAN;
	}
}

/* A mirror image takes its places and its stock from the other part: lines that place it, or another stock, would
 * say nothing. */
static bool mirror_alone(ctx *c, part_def *p, const syn_line *mirror, const line_list *lines) {
	static const char *const OWN[] = {"mirror", "grain",  "face",	"loose", "carries", "opens",
					  "slides", "hinged", "hinges", "latch", "mitre"};
	bool good = true;
	for (size_t i = 0; i < lines->n; i++) {
		bool own = false;
		for (size_t k = 0; k < sizeof OWN / sizeof *OWN; k++) own = own || line_is(lines->v[i], OWN[k]);
		if (own) continue;
		diag *g = diag_error(c->diags, "plan-form", lines->v[i]->at,
				     "a mirror image takes its places from `%s`", p->mirror->name);
		diag_add_note(c->diags, g, mirror->at, "it is made a mirror image here");
		diag_add_help(c->diags, g, "take one of the two lines away");
		good = false;
	}
	const syn_expr *stock = line_arg(p->line, ":", 0), *other = line_arg(p->mirror->line, ":", 0);
	bool known = other && expr_word(other) && names_find(c, expr_word(other)); /* else that is reported */
	if (stock && known && !text_same(expr_word(stock), expr_word(other))) {
		diag *g = diag_error(c->diags, "plan-form", stock->at, "a mirror image is made of what `%s` is made of",
				     p->mirror->name);
		diag_add_note(c->diags, g, other->at, "that is this");
		diag_add_help(c->diags, g, "leave the stock away, or name the same");
		good = false;
	}
	return good;
}

void part_box_read(ctx *c, part_def *box) {
	place_def *p = box->place;
	if (!place_expand(c, p, p->at)) return;
	line_list good = {0};
	size_t before = c->diags->errors;
	place_lines(c, p, &good);
	if (c->diags->errors > before) box->structure_bad = true;
	if (box->mirror) {
		for (size_t i = 0; i < good.n; i++) {
			if (line_is(good.v[i], "mirror")) continue;
			diag *g = diag_error(c->diags, "plan-form", good.v[i]->at,
					     "a mirror image takes its place from `%s`", p->mirror->name);
			diag_add_note(c->diags, g, line_in_block(p->line, "mirror")->at,
				      "it is made a mirror image here");
			diag_add_help(c->diags, g, "take one of the two lines away");
			box->structure_bad = true;
		}
		return;
	}
	for (size_t i = 0; i < good.n; i++) read_line(c, box, good.v[i]);
}

static void part_read(ctx *c, part_def *p) {
	line_list good = {0};
	words_check_block(c, BLOCK_PART, p->line, &good);
	if (good.n != p->line->block.n) p->structure_bad = true; /* a line was reported: judge nothing by its absence */
	const syn_line *mirror = lines_find(&good, "mirror");
	const syn_expr *stock = line_arg(p->line, ":", 0);
	if (mirror) {
		p->mirror = eval_part(c, line_arg(mirror, "of", 0));
		if (!p->mirror || !mirror_alone(c, p, mirror, &good)) p->structure_bad = true;
		return;
	}
	if (p->kind != PART_GAP) {
		const char *what;
		unsigned kinds = kinds_for(p->kind, &what);
		if (stock) {
			p->stock = eval_stock(c, stock, kinds, what);
		} else {
			diag *g = diag_error(c->diags, "plan-form", p->at, "`%s` does not say what it is made of",
					     p->name);
			diag_add_help(c->diags, g, "name its stock: %s %s : ply18 { … }", p->line->word, p->name);
		}
		if (!p->stock) p->structure_bad = true;
	}
	for (size_t i = 0; i < good.n; i++) {
		read_line(c, p, good.v[i]);
		if (!line_is(good.v[i], "through") || p->kind == PART_GAP) continue;
		diag_error(c->diags, "plan-form", good.v[i]->at, "`through` stands in a gap; `%s` is none", p->name);
		p->structure_bad = true;
	}
}

/* ---- the model's rows ---------------------------------------------------------------------------- */

static void fill_grain(ctx *c, const part_def *p, model_part *m) {
	const model_stock *s = &c->m->stocks.v[m->stock];
	m->grain_axis = m->long_axis;
	m->grain_matters = s->kind == STOCK_SHEET && s->grain != GRAIN_NONE;
	const part_def *from = part_line_of(p, "grain");
	if (!from) return;
	const syn_line *line = line_in_block(from->line, "grain");
	const syn_expr *e = line_arg(line, NULL, 0);
	if (text_same(expr_word(e), "any")) {
		m->grain_matters = false;
		return;
	}
	axis a;
	if (!eval_axis(c, e, &a)) return;
	if (a == m->thick_axis) {
		diag_error(c->diags, "plan-direction", e->at,
			   "`%s` is a sheet across its %s; the grain cannot run that way", p->name, AXIS_SPOKEN[a]);
		return;
	}
	m->grain_axis = a;
	m->grain_matters = true;
}

/* Stock that a line of the door's block names, or a line of that which it mirrors. */
static model_ref door_stock(ctx *c, const part_def *p, const char *word, const char *link, const char *what) {
	const part_def *from = part_line_of(p, word);
	if (!from) return MODEL_NONE;
	inst *before = inst_enter(c, from->in);
	stock_def *s = eval_stock(c, line_arg(line_in_block(from->line, word), link, 0), 1u << STOCK_ITEM, what);
	inst_enter(c, before);
	return s ? s->row : MODEL_NONE;
}

/* A door turns about an edge of its own face: the sides along its thickness hold no hinge. */
static bool turns_about(ctx *c, const syn_expr *e, face f, axis thick) {
	if (face_axis(f) != thick) return true;
	textbuf edges = textbuf_begin(c->mem);
	for (int i = 0; i < 6; i++)
		if (face_axis((face)i) != thick) textbuf_printf(&edges, "%s%s", edges.n ? ", " : "", FACE_NAME[i]);
	diag *g = diag_error(c->diags, "plan-face", e->at,
			     "it hangs at an edge of its face, and its %s is the face itself", FACE_NAME[f]);
	diag_add_help(c->diags, g, "one of: %s", edges.v);
	return false;
}

static void fill_door(ctx *c, const part_def *p, model_part *m) {
	m->latch = door_stock(c, p, "latch", NULL, "a latch (stock of kind item)");
	const part_def *hinged = part_line_of(p, "hinged"), *hinges = part_line_of(p, "hinges");
	if (!hinged) return;
	m->hinge = door_stock(c, p, "hinged", "with", "a hinge (stock of kind item)");
	int64_t n = 2;
	if (hinges) {
		inst *before = inst_enter(c, hinges->in);
		if (!eval_count(c, line_arg(line_in_block(hinges->line, "hinges"), NULL, 0), 1, 12, &n)) n = 2;
		inst_enter(c, before);
	}
	m->n_hinges = (uint32_t)n;
	face f;
	const syn_expr *side = line_arg(line_in_block(hinged->line, "hinged"), NULL, 0);
	if (!eval_side(c, side, &f) || !turns_about(c, side, f, p->thick_axis)) return;
	f = inst_face_to_plan(hinged->in, f);
	for (const part_def *q = p; q != hinged; q = q->mirror)
		if (face_axis(f) == q->mirror_axis) f = face_opposite(f);
	m->hinged = true;
	m->hinge_side = f;
}

/* `mitre left by 45 deg to top`: the end at the left is sawn at 45 degrees, its point at the top. */
static void read_mitre(ctx *c, const part_def *p, const part_def *from, const syn_line *line, model_part *m) {
	enum { MOST_DEG = 60 }; /* further a saw is hardly swung; common practice, no source */
	const syn_expr *e[2] = {line_arg(line, NULL, 0), line_arg(line, "to", 0)}, *by = line_arg(line, "by", 0);
	face f[2];
	double deg;
	bool good = eval_side(c, e[0], &f[0]);
	if (!eval_side(c, e[1], &f[1]) || !good || !eval_si(c, by, DIM_ANGLE, &deg)) return;
	if (face_axis(f[0]) != m->long_axis || face_axis(f[1]) == m->long_axis) {
		bool end = face_axis(f[0]) != m->long_axis;
		diag *g = diag_error(c->diags, "plan-face", e[end ? 0 : 1]->at,
				     end ? "`%s` runs along its %s: it has no end at its %s"
					 : "`%s` runs along its %s: its %s is no side",
				     m->name, AXIS_SPOKEN[m->long_axis], FACE_NAME[f[end ? 0 : 1]]);
		diag_add_help(c->diags, g, "first the end that is sawn, behind `to` the side where it stays longest");
		return;
	}
	if (!(deg > 0) || deg > MOST_DEG) {
		diag *g = diag_error(c->diags, "plan-value", by->at, "a mitre lies between 0 and %d degrees", MOST_DEG);
		diag_add_help(c->diags, g, "it counts from square: 45 deg for the corner of a frame");
		return;
	}
	for (int k = 0; k < 2; k++) {
		f[k] = inst_face_to_plan(from->in, f[k]);
		for (const part_def *q = p; q != from; q = q->mirror)
			if (face_axis(f[k]) == q->mirror_axis) f[k] = face_opposite(f[k]);
	}
	model_mitre *t = &m->mitre[face_high(f[0])];
	if (t->angle_deg > 0) {
		diag *g = diag_error(c->diags, "plan-twice", e[0]->at, "the %s end of `%s` is mitred twice",
				     FACE_NAME[f[0]], m->name);
		diag_add_note(c->diags, g, t->at, "first here");
		diag_add_help(c->diags, g, "keep one of them");
		return;
	}
	*t = (model_mitre){deg, f[1], line->at};
}

static void fill_mitres(ctx *c, const part_def *p, model_part *m) {
	const part_def *from = part_line_of(p, "mitre");
	if (!from) return;
	inst *before = inst_enter(c, from->in);
	const syn_line *last = NULL;
	for (size_t i = 0; i < from->line->block.n; i++) {
		const syn_line *line = from->line->block.v[i];
		if (!line_is(line, "mitre") || !line_arg(line, "by", 0) || !line_arg(line, "to", 0)) continue;
		last = line;
		if (m->stock != MODEL_NONE && model_by_length(c->m->stocks.v[m->stock].kind))
			read_mitre(c, p, from, line, m);
	}
	inst_enter(c, before);
	if (!last) return;
	if (m->stock == MODEL_NONE || !model_by_length(c->m->stocks.v[m->stock].kind)) {
		diag *g = diag_error(c->diags, "plan-form", last->word_at, "`mitre` stands in a bar; `%s` is none",
				     m->name);
		diag_add_help(c->diags, g, "slats, cleats and legs are bars");
		return;
	}
	double a = mitre_setback_mm(m, 0), b = mitre_setback_mm(m, 1),
	       length = rat_double(box_size(m->box, m->long_axis));
	bool same = m->mitre[0].point == m->mitre[1].point;
	if ((same ? a + b : a > b ? a : b) < length) return;
	diag *g = diag_error(c->diags, "plan-value", last->at, "the mitres of `%s` leave nothing of it on the far side",
			     m->name);
	diag_add_help(c->diags, g, "a smaller angle, or a longer bar");
}

static axis longer(const box3 *b, axis except) {
	axis best = except == AXIS_X ? AXIS_Y : AXIS_X;
	for (int a = 0; a < 3; a++)
		if (a != (int)except && rat_lt(box_size(*b, best), box_size(*b, (axis)a))) best = (axis)a;
	return best;
}

/* The box in the plan's coordinates; false: it does not fit. */
static bool plan_box(ctx *c, part_def *p, uint32_t piece, box3 *out) {
	for (int f = 0; f < 6; f++) {
		axis a = face_axis((face)f);
		rat own = face_high((face)f) ? p->hi[a][piece] : p->lo[a][piece], mm;
		if (!inst_to_plan(c, p->in, a, own, p->at, &mm)) return false;
		if (face_high(inst_face_to_plan(p->in, (face)f)))
			out->hi[a] = mm;
		else
			out->lo[a] = mm;
	}
	return true;
}

/* Rows are filled in before they are added: what is evaluated for one may ask for the rows of another part. */
static void emit(ctx *c, part_def *p) {
	model_part *rows = ARENA_MANY(c->mem, model_part, p->n);
	for (uint32_t i = 0; i < p->n; i++)
		if (!plan_box(c, p, i, &rows[i].box)) return;
	for (uint32_t i = 0; i < p->n; i++) {
		model_part *m = &rows[i];
		m->kind = p->kind;
		m->group = p->path;
		m->number = p->n > 1 ? i + 1 : 0;
		m->name = p->n > 1 ? arena_printf(c->mem, "%s.%u", p->path, i + 1) : p->path;
		m->stock = p->stock ? p->stock->row : MODEL_NONE;
		m->at = p->at;
		for (const inst *in = p->in; in; in = in->parent) {
			if (!in->place || !in->place->assembly) continue;
			m->placed = in->prefix;
			m->placed_at = in->place->at;
		}
		m->blank = m->box;
		for (int f = 0; f < 6; f++) m->face_at[inst_face_to_plan(p->in, (face)f)] = p->face_at[f];
		m->thick_axis = p->thick_axis;
		m->long_axis = p->kind == PART_SLAT || p->kind == PART_CLEAT || p->kind == PART_LEG
				       ? p->long_axis
				       : longer(&m->box, p->thick_axis);
		m->hinge = m->latch = MODEL_NONE;
		m->loose = part_line(p, "loose") != NULL;
		m->work_face = FACE_FRONT;
		part_use(c, p, m);
		if (m->stock != MODEL_NONE) fill_grain(c, p, m);
		if (p->kind == PART_DOOR) fill_door(c, p, m);
		if (i == 0)
			fill_mitres(c, p, m);
		else
			memcpy(m->mitre, rows[0].mitre, sizeof m->mitre);
	}
	if (p->first != MODEL_NONE) return; /* meanwhile */
	p->first = (model_ref)c->m->parts.n;
	for (size_t i = 0; i < p->views.n; i++) p->views.v[i]->first = p->first + p->views.v[i]->piece;
	for (uint32_t i = 0; i < p->n; i++) {
		rows[i].group_first = p->first;
		LIST_PUSH(c->mem, &c->m->parts, rows[i]);
	}
}

static void emit_placed(ctx *c, inst *in) {
	part_def *box = inst_box(c, in);
	model_placed m = {.assembly = in->place->assembly->name,
			  .at = in->within.at,
			  .text = in->place->assembly->line->at,
			  .within = &in->within};
	m.name = arena_textn(c->mem, in->prefix, strlen(in->prefix) - 1);
	for (int a = 0; a < 3; a++) {
		m.mirrored[a] = inst_face_to_plan(in, face_of((axis)a, true)) != face_of((axis)a, true);
		if (!part_face_value(c, box, face_of((axis)a, false), in->within.at, &m.box.lo[a]) ||
		    !part_face_value(c, box, face_of((axis)a, true), in->within.at, &m.box.hi[a]))
			return;
	}
	LIST_PUSH(c->mem, &c->m->placed, m);
}

static bool all_axes(ctx *c, part_def *p) {
	bool good = true;
	for (int a = 0; a < 3; a++)
		if (!part_axis(c, p, (axis)a, p->at)) good = false;
	return good;
}

/* A piece of a part has its rows with the whole; what is placed has none of its own. */
bool part_emitted(ctx *c, part_def *p) {
	if (p->is_set) return false;
	if (p->first != MODEL_NONE || c->parts_done) return p->first != MODEL_NONE;
	if (p->piece_of) return part_emitted(c, p->piece_of) && p->first != MODEL_NONE;
	inst *before = inst_enter(c, p->in);
	bool good = part_structure(c, p) && all_axes(c, p);
	if (good) emit(c, p);
	inst_enter(c, before);
	return p->first != MODEL_NONE;
}

/* Rows that were asked for early stand before those of parts written earlier. Nothing but the parts themselves refers
 * to rows for good at this point: openings that were worked out on demand are worked out anew. */
static void in_written_order(ctx *c) {
	const model_part *old = c->m->parts.v;
	model_ref row = 0;
	model_part *rows = ARENA_MANY(c->mem, model_part, c->m->parts.n + 1);
	for (size_t i = 0; i < c->parts.n; i++) {
		part_def *p = c->parts.v[i];
		if (p->first == MODEL_NONE) continue;
		model_ref first = row;
		for (uint32_t k = 0; k < p->n; k++) {
			rows[row] = old[p->first + k];
			rows[row++].group_first = first;
		}
		p->first = first;
		for (size_t k = 0; k < p->views.n; k++) p->views.v[k]->first = first + p->views.v[k]->piece;
	}
	c->m->parts.v = rows;
	c->m->parts.room = c->m->parts.n + 1;
}

void parts_read(ctx *c) {
	inst *plan = c->in;
	for (size_t i = 0; i < c->parts.n; i++) {
		inst_enter(c, c->parts.v[i]->in);
		part_read(c, c->parts.v[i]);
	}
	for (size_t i = 0; i < c->places.n; i++) {
		inst_enter(c, c->places.v[i]->in);
		part_box_read(c, c->places.v[i]->box);
	}
	inst_enter(c, plan);
	c->parts_read = true;
}

void parts_resolve(ctx *c) {
	inst *plan = c->in;
	for (size_t i = 0; i < c->parts.n; i++) part_emitted(c, c->parts.v[i]);
	for (size_t i = 0; i < c->places.n; i++) {
		place_def *p = c->places.v[i];
		inst_enter(c, p->in);
		if (!p->bad && part_structure(c, p->box) && !p->shares) all_axes(c, p->box);
	}
	inst_enter(c, plan);
	size_t told = c->diags->errors;
	for (size_t i = 0; i < c->places.n && !told; i++) {
		const place_def *p = c->places.v[i];
		for (size_t k = 0; k < p->items.n; k++) emit_placed(c, p->items.v[k]);
	}
	c->parts_done = true;
	in_written_order(c);
}

static void set_rows(ctx *c, const part_def *p, void (*each)(ctx *c, model_ref row, void *data), void *data) {
	for (size_t i = 0; i < p->set.n; i++) {
		const part_def *one = p->set.v[i];
		if (one->is_set) set_rows(c, one, each, data);
		for (uint32_t k = 0; k < one->n && one->first != MODEL_NONE; k++) each(c, one->first + k, data);
	}
}

void part_rows(ctx *c, const syn_expr *e, bool made_only, void (*each)(ctx *c, model_ref row, void *data), void *data) {
	part_def *p = made_only ? eval_part(c, e) : eval_place(c, e);
	if (p && p->is_set) set_rows(c, p, each, data);
	if (!p || !part_emitted(c, p)) return;
	uint32_t n = p->piece_of ? 1 : p->n;
	for (uint32_t i = 0; i < n; i++) {
		const model_part *m = &c->m->parts.v[p->first + i];
		if (made_only && !model_part_made(c->m, m)) {
			diag *g = diag_error(c->diags, "plan-value", e->at,
					     "a part of sheet or bar belongs here, but `%s` is %s", p->name,
					     p->kind == PART_GAP ? "an open gap" : "a bought item");
			diag_add_note(c->diags, g, p->at, "`%s` is here", p->name);
			return;
		}
		each(c, p->first + i, data);
	}
}
