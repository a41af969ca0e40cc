/* The air block: spaces, what lies between them, and the ways the air takes. */
#include <math.h>
#include <string.h>

#include "compiler/context.h"
#include "runtime/base/text.h"
#include "runtime/engine/airlaw.h"

/* ---- names ----------------------------------------------------------------------------------- */

static void declare_space(ctx *c, const syn_expr *e) {
	const char *name = expr_word(e);
	if (!name) {
		if (e->kind != SYN_BAD) diag_error(c->diags, "plan-form", e->at, "a space has a plain name");
		return;
	}
	model_ref row = (model_ref)c->m->air.spaces.n;
	if (!names_add(c, name, SYM_SPACE, e->at, (void *)(uintptr_t)row)) return;
	model_space *s = LIST_ADD(c->mem, &c->m->air.spaces);
	*s = (model_space){.name = name, .named = true, .at = e->at};
}

static void declare_branch(ctx *c, const syn_line *line, model_air_kind kind) {
	const syn_expr *e = line_arg(line, NULL, 0);
	const char *name = expr_word(e);
	if (!name) {
		if (e->kind != SYN_BAD)
			diag_error(c->diags, "plan-form", e->at, "%s have a plain name", MODEL_AIR_WORD[kind]);
		return;
	}
	air_def *d = ARENA_NEW(c->mem, air_def);
	*d = (air_def){.name = name, .at = e->at, .line = line, .kind = kind};
	names_add(c, name, SYM_AIR, e->at, d);
}

void air_declare(ctx *c) {
	model_space *room = LIST_ADD(c->mem, &c->m->air.spaces);
	*room = (model_space){.name = "room", .room = true, .named = true, .at = span_none()};
	names_add(c, "room", SYM_SPACE, span_none(), (void *)0);
	if (!c->air) return;
	c->m->air.given = true;
	c->m->air.at = c->air->word_at;
	syn_line *chosen = arena_copy(c->mem, c->air, sizeof *c->air);
	chosen->block = *lines_chosen(c, BLOCK_AIR, &c->air->block);
	c->air = chosen;
	words_check_block(c, BLOCK_AIR, c->air, &c->air_lines);
	for (size_t i = 0; i < c->air_lines.n; i++) {
		const syn_line *line = c->air_lines.v[i];
		if (line_is(line, "tubes")) declare_branch(c, line, AIR_TUBES);
		if (line_is(line, "duct")) declare_branch(c, line, AIR_DUCT);
		const syn_clause *k = line_is(line, "space") ? line_clause(line, NULL, 0) : NULL;
		for (size_t n = 0; k && n < k->args.n; n++) declare_space(c, k->args.v[n]);
	}
}

/* ---- branches ----------------------------------------------------------------------------------- */

static model_branch empty_branch(model_air_kind kind, const char *name, span at) {
	double none = (double)NAN;
	return (model_branch){.kind = kind,
			      .name = name,
			      .at = at,
			      .declared = at,
			      .part = MODEL_NONE,
			      .pattern = MODEL_NONE,
			      .stock = MODEL_NONE,
			      .count = 1,
			      .gross_m2 = none,
			      .open_m2 = none,
			      .plan_m2 = none,
			      .thick_m = none,
			      .hole_m = none,
			      .length_m = none,
			      .roughness_m = none,
			      .loss_k = 0,
			      .area_given_m2 = none,
			      .box_m2 = none,
			      .straight_m = {none, none},
			      .effect_k = {none, none}};
}

static bool length_behind(ctx *c, const syn_line *line, const char *clause, double *m) {
	const syn_expr *e = line_arg(line, clause, 0);
	rat mm;
	if (!eval_length(c, e, &mm)) return false;
	if (rat_sign(mm) <= 0) {
		diag_error(c->diags, "plan-value", e->at, "`%s` must be more than nothing", line->word);
		return false;
	}
	*m = rat_double(mm) / 1000;
	return true;
}

static bool length_of(ctx *c, const syn_line *line, double *m) { return length_behind(c, line, NULL, m); }

static const syn_line *must_have(ctx *c, const line_list *lines, const syn_line *holder, const char *word,
				 const char *example) {
	const syn_line *line = lines_find(lines, word);
	if (line || lines->n < holder->block.n) return line;
	diag *g = diag_error(c->diags, "plan-form", holder->word_at, "`%s` does not say its `%s`", holder->word, word);
	diag_add_help(c->diags, g, "write for example `%s`", example_shown(c->m, example));
	return NULL;
}

/* `duct NAME of PART`: the part, or the extra piece, is a pipe; its bore and its length are the duct's. */
static bool duct_of_pipe(ctx *c, const air_def *d, const line_list *lines, model_branch *b) {
	const syn_expr *e = line_arg(d->line, "of", 0);
	const extra_def *extra = extra_named(c, e);
	const part_def *p = extra ? NULL : eval_part(c, e);
	model_ref first = extra ? extra->first : p ? p->first : MODEL_NONE;
	if (first == MODEL_NONE) return false; /* reported */
	const model_part *part = &c->m->parts.v[first];
	bool several = (extra ? extra->n : p->n) > 1;
	const model_stock *s = part->stock < c->m->stocks.n ? &c->m->stocks.v[part->stock] : NULL;
	if (!s || !rat_ok(model_pipe_bore(s)) || several) {
		diag *g = diag_error(c->diags, "plan-form", e->at,
				     several ? "`%s` are several parts; a duct is one pipe" : "`%s` is no hollow pipe",
				     part->group);
		diag_add_note(c->diags, g, part->at, "it is here");
		diag_add_help(c->diags, g,
			      "a part of stock of kind pipe with a `wall`, or `duct %s { diameter …; length … }`",
			      d->name);
		return false;
	}
	static const char *const OWN[] = {"diameter", "section", "length"};
	for (size_t i = 0; i < 3; i++) {
		const syn_line *line = lines_find(lines, OWN[i]);
		if (!line) continue;
		diag *g = diag_error(c->diags, "plan-twice", line->word_at, "the pipe gives the %s of `%s`", OWN[i],
				     d->name);
		diag_add_note(c->diags, g, part->at, "the pipe is here");
		diag_add_help(c->diags, g, "take the line away");
		return false;
	}
	if (!extra) b->part = first; /* an extra piece has no place */
	b->hole_m = rat_double(model_pipe_bore(s)) / 1000;
	b->length_m = rat_double(box_size(part->box, part->long_axis)) / 1000;
	if (isfinite(s->roughness_m.v)) b->roughness_m = s->roughness_m.v;
	return true;
}

/* The sides, and the bore that rubs as much. */
static bool read_section(ctx *c, const syn_line *line, model_branch *b) {
	bool good = length_behind(c, line, NULL, &b->side_m[0]);
	if (!length_behind(c, line, "x", &b->side_m[1]) || !good) return false;
	double ratio = fmax(b->side_m[0], b->side_m[1]) / fmin(b->side_m[0], b->side_m[1]);
	if (ratio > AIRLAW_MOST_SIDES * (1 + 1e-9)) {
		diag *g = diag_error(c->diags, "plan-range", line->at,
				     "one side of this section is more than %g times the other", AIRLAW_MOST_SIDES);
		diag_add_note(c->diags, g, span_none(),
			      "the friction of a rectangular duct is known up to there: Huebscher");
		diag_add_help(c->diags, g, "make it less flat; a slot in the cabinet is a `gap`");
		return false;
	}
	b->hole_m = airlaw_equivalent_diameter(b->side_m[0], b->side_m[1]);
	return true;
}

/* `diameter`, or `section` in its place. */
static bool read_bore(ctx *c, const air_def *d, const line_list *lines, model_branch *b) {
	const syn_line *diameter = lines_find(lines, "diameter"), *section = lines_find(lines, "section");
	if (diameter && section) {
		bool late = section->word_at.start > diameter->word_at.start;
		const syn_line *first = late ? diameter : section, *second = late ? section : diameter;
		diag *g = diag_error(c->diags, "plan-twice", second->word_at,
				     "a duct is round by its `diameter` or rectangular by its `section`");
		diag_add_note(c->diags, g, first->word_at, "first here");
		diag_add_help(c->diags, g, "keep one of them");
		return false;
	}
	if (section) return read_section(c, section, b);
	if (diameter) return length_of(c, diameter, &b->hole_m);
	if (lines->n < d->line->block.n) return false; /* a line was reported */
	diag *g = diag_error(c->diags, "plan-form", d->line->word_at,
			     "`duct` says neither its `diameter` nor its `section`");
	diag_add_help(c->diags, g, "write for example `%s`, or `%s`", example_shown(c->m, "diameter 200 mm"),
		      example_shown(c->m, "section 200 mm x 100 mm"));
	return false;
}

static bool make_duct(ctx *c, air_def *d, model_branch *b) {
	line_list lines = {0};
	words_check_block(c, BLOCK_DUCT, d->line, &lines);
	const syn_line *rough = lines_find(&lines, "roughness"), *loss = lines_find(&lines, "loss");
	b->roughness_m = 0.00015; /* galvanised duct, 0.15 mm: within 0.0003-0.0005 ft of the handbooks */
	if (line_clause(d->line, "of", 0)) {
		if (!duct_of_pipe(c, d, &lines, b)) return false;
	} else {
		bool bore = read_bore(c, d, &lines, b);
		const syn_line *length = must_have(c, &lines, d->line, "length", "length 600 mm");
		if (!bore || !length || !length_of(c, length, &b->length_m)) return false;
	}
	if (rough && !length_of(c, rough, &b->roughness_m)) return false;
	if (loss && !eval_si(c, line_arg(loss, NULL, 0), DIM_NUMBER, &b->loss_k)) return false;
	if (b->loss_k < 0) {
		diag_error(c->diags, "plan-value", loss->at, "a loss coefficient cannot be negative");
		return false;
	}
	return duct_fittings(c, &lines, b);
}

static pattern_def *pattern_of(ctx *c, const syn_expr *e) {
	value v = eval(c, e);
	if (v.kind == VALUE_PATTERN) return v.pattern->bad ? NULL : v.pattern;
	if (v.kind != VALUE_BAD) diag_error(c->diags, "plan-value", e->at, "openings belong here");
	return NULL;
}

/* The sheet that `in` names, or the only one. */
static const model_sheet_of_pattern *sheet_of(ctx *c, const pattern_def *def, const syn_expr *e, const syn_expr *in) {
	const model_pattern *p = &c->m->patterns.v[def->row];
	if (!in) {
		if (p->sheets.n == 1) return &p->sheets.v[0];
		diag *g = diag_error(c->diags, "air-which-sheet", e->at,
				     "the openings `%s` go through %zu sheets; the air passes one at a time", def->name,
				     p->sheets.n);
		diag_add_note(c->diags, g, def->at, "`%s` is here", def->name);
		diag_add_help(c->diags, g, "say which, for example `%s in %s`", def->name,
			      c->m->parts.v[p->sheets.v[0].part].name);
		return NULL;
	}
	part_def *part = eval_part(c, in);
	if (!part || part->first == MODEL_NONE) return NULL;
	const model_sheet_of_pattern *s = model_pattern_sheet(p, part->first);
	if (s) return s;
	diag *g = diag_error(c->diags, "plan-unknown-name", in->at, "the openings `%s` do not go through `%s`",
			     def->name, part->name);
	diag_add_note(c->diags, g, def->at, "`%s` is here", def->name);
	return NULL;
}

static bool make_tubes(ctx *c, air_def *d, model_branch *b) {
	line_list lines = {0};
	words_check_block(c, BLOCK_TUBES, d->line, &lines);
	stock_def *s = eval_stock(c, line_arg(d->line, ":", 0), 1u << STOCK_MEDIA, "filter media");
	const syn_expr *e = line_arg(d->line, "in", 0);
	pattern_def *p = pattern_of(c, e);
	const syn_line *length = must_have(c, &lines, d->line, "length", "length 500 mm"),
		       *diameter = lines_find(&lines, "diameter");
	if (!s || !p || !length || !length_of(c, length, &b->length_m)) return false;
	const model_sheet_of_pattern *sheet = sheet_of(c, p, e, line_arg(d->line, "of", 0));
	if (!sheet) return false;
	b->stock = s->row;
	b->pattern = p->row;
	b->part = sheet->part;
	b->count = (uint32_t)c->m->patterns.v[p->row].axes.n;
	if (diameter) return length_of(c, diameter, &b->hole_m);
	/* A tube is drawn over the collar that it hangs from; without one it has the hole's size. */
	const model_stock *on = sheet->collar != MODEL_NONE ? &c->m->stocks.v[sheet->collar] : NULL;
	rat mm = on && on->kind != STOCK_GROMMET ? on->outside.mm : sheet->shape.a;
	b->hole_m = rat_double(mm) / 1000;
	return true;
}

static bool make_part_branch(ctx *c, const syn_expr *e, part_def *p, model_branch *b) {
	if (p->first == MODEL_NONE) return false;
	const model_part *m = &c->m->parts.v[p->first];
	b->part = p->first;
	b->stock = m->stock;
	b->count = p->n;
	if (p->kind == PART_GAP) {
		b->kind = AIR_GAP;
		if (p->way_known) return true;
		diag *g = diag_error(c->diags, "air-which-way", e->at,
				     "it cannot be told which way the air goes through `%s`", p->name);
		diag_add_note(c->diags, g, p->at, "it is held on both sides along all three directions");
		diag_add_help(
			c->diags, g,
			"say it there, for example `through depth`; or hold it on one side only along that direction");
		return false;
	}
	model_stock_kind k = m->stock == MODEL_NONE ? STOCK_KINDS : c->m->stocks.v[m->stock].kind;
	if (k == STOCK_FAN) return b->kind = AIR_FAN, true;
	if (k == STOCK_FILTER) return b->kind = AIR_FILTER, true;
	diag *g = diag_error(c->diags, "air-no-way", e->at, "no air goes through `%s`", p->name);
	diag_add_note(c->diags, g, p->at, "`%s` is here", p->name);
	diag_add_help(c->diags, g, "a way leads through gaps, openings, filters, fans, tubes and ducts");
	return false;
}

/* The name that the model has for what a way leads through: "vents in baffle", "wing.2.mouth". */
static const char *way_name(ctx *c, const syn_expr *e, const syn_expr *in) {
	if (in) return arena_printf(c->mem, "%s in %s", way_name(c, e, NULL), way_name(c, in, NULL));
	named n;
	if (e->kind != SYN_NAME || !names_find(c, e->names.v[0].v) || !names_walk(c, e, &n) || n.used < e->names.n)
		return expr_source(c, e);
	return named_path(c, &n);
}

/* One element of a way that is not a space. */
static bool make_branch(ctx *c, const syn_expr *e, const syn_expr *in, value v, model_branch *b) {
	const char *name = way_name(c, e, in);
	*b = empty_branch(AIR_GAP, name, e->at);
	if (v.kind == VALUE_PATTERN) {
		if (v.pattern->bad) return false;
		const model_sheet_of_pattern *s = sheet_of(c, v.pattern, e, in);
		if (!s) return false;
		b->kind = AIR_OPENINGS;
		b->pattern = v.pattern->row;
		b->part = s->part;
		b->count = (uint32_t)c->m->patterns.v[v.pattern->row].axes.n;
		return true;
	}
	if (in) {
		diag_error(c->diags, "plan-form", in->at, "`in` goes with openings only");
		return false;
	}
	if (v.kind == VALUE_PART) return make_part_branch(c, e, v.part, b);
	if (v.kind == VALUE_AIR) {
		b->kind = v.air->kind;
		b->declared = v.air->at;
		v.air->used = true;
		return v.air->kind == AIR_TUBES ? make_tubes(c, v.air, b) : make_duct(c, v.air, b);
	}
	diag *g = diag_error(c->diags, "air-no-way", e->at, "no air goes through `%s`", name);
	diag_add_help(c->diags, g, "a way leads through spaces, gaps, openings, filters, fans, tubes and ducts");
	return false;
}

/* ---- ways ------------------------------------------------------------------------------------------ */

typedef struct walk {
	model_ref space;     /* where we are, or NONE */
	model_branch branch; /* open: its `to` is not known yet */
	bool open, bad;
} walk;

static model_ref unnamed_space(ctx *c, const char *after, const char *before) {
	model_space *s = LIST_ADD(c->mem, &c->m->air.spaces);
	*s = (model_space){.name = arena_printf(c->mem, "between %s and %s", after, before), .at = span_none()};
	return (model_ref)(c->m->air.spaces.n - 1);
}

static void close_branch(ctx *c, walk *w, model_ref to) {
	w->branch.to = to;
	model_air *air = &c->m->air;
	for (size_t i = 0; i < air->branches.n; i++) {
		const model_branch *o = &air->branches.v[i];
		if (o->kind == AIR_LEAK || !text_same(o->name, w->branch.name)) continue;
		diag *g = diag_error(c->diags, "air-branch-twice", w->branch.at, "the air goes through `%s` twice",
				     w->branch.name);
		diag_add_note(c->diags, g, o->at, "first here");
		diag_add_help(c->diags, g, "let the ways meet in a space, and name it once");
		w->open = false;
		w->space = to;
		return;
	}
	LIST_PUSH(c->mem, &air->branches, w->branch);
	w->open = false;
	w->space = to;
}

/* `room > vents`: an arrow that lost its shaft. */
static bool arrow_lost(ctx *c, const syn_expr *e) {
	if (e->kind != SYN_BINARY || !text_same(e->op, ">")) return false;
	diag *g = diag_error(c->diags, "plan-form", e->op_at, "the air's way goes on by `->`, not by `>`");
	diag_add_help(c->diags, g, "write `->`");
	return true;
}

static void walk_on(ctx *c, walk *w, const syn_expr *e, const syn_expr *in) {
	if (arrow_lost(c, e)) {
		w->bad = true;
		return;
	}
	value v = eval(c, e);
	if (v.kind == VALUE_BAD) {
		w->bad = true;
		return;
	}
	if (v.kind == VALUE_SPACE) {
		if (in) diag_error(c->diags, "plan-form", in->at, "`in` goes with openings only");
		if (w->open) {
			close_branch(c, w, v.row);
		} else if (w->space != MODEL_NONE) {
			diag *g = diag_error(c->diags, "air-no-way", e->at,
					     "nothing lies between the spaces `%s` and `%s`",
					     c->m->air.spaces.v[w->space].name, c->m->air.spaces.v[v.row].name);
			diag_add_help(c->diags, g, "name the gap or the openings between them");
			w->bad = true;
		}
		w->space = v.row;
		return;
	}
	model_branch b;
	if (!make_branch(c, e, in, v, &b)) {
		w->bad = true;
		return;
	}
	if (w->open) close_branch(c, w, unnamed_space(c, w->branch.name, b.name));
	if (w->space == MODEL_NONE) {
		diag *g = diag_error(c->diags, "air-no-way", e->at, "a way begins in a space");
		diag_add_help(c->diags, g, "begin with `room ->`, or with a space of this block");
		w->bad = true;
		return;
	}
	b.from = w->space;
	w->branch = b;
	w->open = true;
}

static void read_way(ctx *c, const syn_line *line) {
	walk w = {.space = MODEL_NONE};
	for (size_t i = 0; i < line->clauses.n; i++) {
		const syn_clause *k = &line->clauses.v[i];
		if (text_same(k->link, "in") || k->args.n == 0) continue;
		if (w.bad) { /* the way is of no use, but a name that is not there is told in the same run */
			if (!arrow_lost(c, k->args.v[0])) eval(c, k->args.v[0]);
			continue;
		}
		const syn_clause *next = i + 1 < line->clauses.n ? &line->clauses.v[i + 1] : NULL;
		bool in = next && text_same(next->link, "in") && next->args.n;
		walk_on(c, &w, k->args.v[0], in ? next->args.v[0] : NULL);
	}
	if (w.bad) c->air_failed = true;
	if (w.bad || !w.open) return;
	diag *g =
		diag_error(c->diags, "air-no-way", w.branch.at, "this way ends in `%s`, not in a space", w.branch.name);
	diag_add_help(c->diags, g, "end it with `-> room`, or with a space of this block");
}

static bool leak_end(ctx *c, const syn_expr *e, model_ref *row) {
	value v = eval(c, e);
	if (v.kind == VALUE_SPACE) return *row = v.row, true;
	if (v.kind != VALUE_BAD) diag_error(c->diags, "plan-value", e->at, "a space belongs here");
	return false;
}

static void read_leak(ctx *c, const syn_line *line) {
	const syn_expr *from = line_arg(line, NULL, 0), *to = line_arg(line, "->", 0), *area = line_arg(line, "of", 0);
	if (!to) {
		diag *g = diag_error(c->diags, "plan-form", line->word_at, "a leak leads from one space to another");
		diag_add_help(c->diags, g, "%s",
			      example_shown(c->m, "write it like this: leak room -> chamber of 12 cm2"));
		return;
	}
	model_branch b = empty_branch(AIR_LEAK, arena_printf(c->mem, "leak into %s", expr_source(c, to)), line->at);
	double m2;
	bool good = leak_end(c, from, &b.from);
	good = leak_end(c, to, &b.to) && good;
	if (!eval_si(c, area, DIM_AREA, &m2) || !good) return;
	if (m2 <= 0) {
		diag_error(c->diags, "plan-value", area->at, "a leak has an area of more than nothing");
		return;
	}
	b.area_given_m2 = b.gross_m2 = b.open_m2 = b.plan_m2 = m2;
	LIST_PUSH(c->mem, &c->m->air.branches, b);
}

model_branch *air_branch_named(ctx *c, const syn_expr *e, const syn_expr *in) {
	const char *name = way_name(c, e, NULL), *full = way_name(c, e, in);
	for (size_t i = 0; i < c->m->air.branches.n; i++)
		if (text_same(c->m->air.branches.v[i].name, full)) return &c->m->air.branches.v[i];
	if (c->diags->errors) return NULL; /* a way that was reported may be the one */
	diag *g = diag_error(c->diags, "plan-unknown-name", e->at, "no way leads through `%s`", full);
	for (size_t i = 0; i < c->m->air.branches.n; i++) {
		const char *called = c->m->air.branches.v[i].name;
		size_t n = strlen(name);
		if (strncmp(called, name, n) != 0 || (called[n] != '\0' && called[n] != ' ')) continue;
		diag_add_help(c->diags, g, "the way calls it `%s`", called);
		return NULL;
	}
	diag_add_help(c->diags, g, "name it as the way names it");
	return NULL;
}

static void read_cover(ctx *c, const syn_line *line) {
	const syn_expr *e = line_arg(line, NULL, 0), *in = line_arg(line, "in", 0), *by = line_arg(line, "by", 0);
	double share;
	if (!eval_si(c, by, DIM_NUMBER, &share)) return;
	if (share <= 0 || share > 1) {
		diag_error(c->diags, "plan-value", by->at, "a share is more than 0 and at most 100 %%");
		return;
	}
	size_t errors = c->diags->errors;
	model_branch *b = air_branch_named(c, e, in);
	if (b) {
		b->covered_part = share;
		c->m->air.has_cover = true;
	}
	if (c->diags->errors > errors) c->cover_failed = true;
}

/* ---- the block ---------------------------------------------------------------------------------------- */

static double air_value(ctx *c, const char *word, dim d, double otherwise) {
	const syn_line *line = lines_find(&c->air_lines, word);
	double v;
	return line && eval_si(c, line_arg(line, NULL, 0), d, &v) ? v : otherwise;
}

static double air_positive(ctx *c, const char *word, dim d) {
	double v = air_value(c, word, d, (double)NAN);
	if (!isfinite(v) || v > 0) return v;
	diag_error(c->diags, "plan-value", lines_find(&c->air_lines, word)->at, "`%s` must be more than nothing", word);
	return (double)NAN;
}

static void read_trough(ctx *c) {
	const syn_line *line = lines_find(&c->air_lines, "trough");
	part_def *p = line ? eval_part(c, line_arg(line, NULL, 0)) : NULL;
	if (!p || p->first == MODEL_NONE) return;
	const box3 *b = &c->m->parts.v[p->first].box;
	double mm3 = 1;
	for (int a = 0; a < 3; a++) mm3 *= rat_double(box_size(*b, (axis)a));
	if (p->kind == PART_GAP && mm3 > 0) {
		c->m->air.trough_m3 = mm3 * 1e-9;
		c->m->air.trough_at = line_arg(line, NULL, 0)->at;
		return;
	}
	diag *g = diag_error(c->diags, "plan-value", line_arg(line, NULL, 0)->at,
			     "`%s` is not an open space with a volume", p->name);
	diag_add_note(c->diags, g, p->at, "`%s` is here", p->name);
	diag_add_help(c->diags, g, "a trough is a `gap` that is held on both sides along all three directions");
}

static void report_idle_spaces(ctx *c) {
	const model_air *air = &c->m->air;
	for (size_t i = 1; i < air->spaces.n; i++) {
		bool met = false;
		for (size_t k = 0; k < air->branches.n && !met; k++)
			met = air->branches.v[k].from == i || air->branches.v[k].to == i;
		if (met) continue;
		diag *g = diag_error(c->diags, "air-no-way", air->spaces.v[i].at, "no way leads to the space `%s`",
				     air->spaces.v[i].name);
		diag_add_help(c->diags, g, "name it in a `way`, or take it away");
	}
}

void air_resolve(ctx *c) {
	model_air *air = &c->m->air;
	air->trough_m3 = air->dust_held_kg = air->hours_to_dirty = air->hours_to_full_trough = air->room_changes_per_h =
		(double)NAN;
	air->room_m3 = air->dust_kg_s = air->makeup_m2 = air->decay_s = (double)NAN;
	air->mixing = 1;
	air->makeup_at = air->exhaust_at = span_none();
	if (!c->air) return;
	rat altitude;
	const syn_line *line = lines_find(&c->air_lines, "altitude");
	if (line) {
		quant q;
		if (eval_quant(c, line_arg(line, NULL, 0), DIM_LENGTH, &q)) {
			altitude = q.r;
			air->altitude_m = rat_double(altitude) / 1000;
		}
		if (!(air->altitude_m > -500 && air->altitude_m < 9000)) {
			diag_error(c->diags, "plan-range", line_arg(line, NULL, 0)->at,
				   "an altitude lies between -500 m and 9000 m");
			air->altitude_m = 0;
		}
	}
	air->temperature_k = air_value(c, "temperature", DIM_TEMPERATURE, 293.15);
	if (!(air->temperature_k > 223 && air->temperature_k < 373)) {
		diag_error(c->diags, "plan-range", line_arg(lines_find(&c->air_lines, "temperature"), NULL, 0)->at,
			   "a shop's temperature lies between -50 and 100 degC");
		air->temperature_k = 293.15;
	}
	air->room_m3 = air_positive(c, "room", DIM_VOLUME);
	air->dust_kg_s = air_positive(c, "dust", DIM_MASS_RATE);
	air->dust_bulk_kg_m3 = air_positive(c, "bulk", DIM_DENSITY);
	read_trough(c);
	line = lines_find(&c->air_lines, "exhaust");
	if (line) {
		const char *word = expr_word(line_arg(line, NULL, 0));
		air->exhaust_at = line->at;
		air->exhausts_outdoors = text_same(word, "outdoors");
		if (word && !air->exhausts_outdoors && !text_same(word, "room"))
			diag_add_help(c->diags,
				      diag_error(c->diags, "plan-value", line_arg(line, NULL, 0)->at,
						 "the exhaust goes to the room or outdoors"),
				      "write `exhaust room` or `exhaust outdoors`");
	}
	size_t before = c->diags->all.n;
	if (c->air_lines.n < c->air->block.n || c->choice_failed) c->air_failed = true; /* a line was reported */
	for (size_t i = 0; i < c->air_lines.n; i++) {
		if (line_is(c->air_lines.v[i], "way")) read_way(c, c->air_lines.v[i]);
		if (line_is(c->air_lines.v[i], "leak")) read_leak(c, c->air_lines.v[i]);
	}
	if (c->diags->all.n == before && !c->air_failed) report_idle_spaces(c);
	if (c->diags->all.n > before) c->air_failed = true;
	for (size_t i = 0; i < air->branches.n; i++)
		if (air->branches.v[i].stock != MODEL_NONE && c->m->stocks.v[air->branches.v[i].stock].reported)
			c->air_failed = true; /* a figure that it lacks was told at the stock */
	for (size_t i = 0; i < c->air_lines.n; i++)
		if (line_is(c->air_lines.v[i], "cover")) read_cover(c, c->air_lines.v[i]);
	air_lines_resolve(c);
	for (size_t i = 0; i < c->all.n; i++) {
		const sym *s = c->all.v[i];
		const air_def *d = s->kind == SYM_AIR ? s->def : NULL;
		if (!d || d->used || c->diags->errors) continue;
		diag *g = diag_warning(c->diags, "air-unused", d->at, "no way leads through `%s`", d->name);
		diag_add_help(c->diags, g, "name it in a `way`, or take it away");
	}
}
