/* Stock and tools: from their blocks to the model's rows. */
#include <math.h>

#include "compiler/context.h"
#include "runtime/base/text.h"

static const block_kind BLOCK_OF_KIND[STOCK_KINDS] = {
	[STOCK_SHEET] = BLOCK_SHEET,   [STOCK_BAR] = BLOCK_BAR,	      [STOCK_PIPE] = BLOCK_PIPE,
	[STOCK_SCREW] = BLOCK_SCREW,   [STOCK_COLLAR] = BLOCK_COLLAR, [STOCK_MEDIA] = BLOCK_MEDIA,
	[STOCK_FILTER] = BLOCK_FILTER, [STOCK_FAN] = BLOCK_FAN,	      [STOCK_ITEM] = BLOCK_ITEM,
	[STOCK_GASKET] = BLOCK_GASKET, [STOCK_FINISH] = BLOCK_FINISH, [STOCK_GROMMET] = BLOCK_GROMMET,
	[STOCK_CLAMP] = BLOCK_CLAMP,
};

const syn_expr *stock_arg(const syn_line *line, size_t nth) {
	const syn_clause *k = nth == 0 ? line_clause(line, NULL, 0) : line_clause(line, "x", nth - 1);
	return k && k->args.n ? k->args.v[0] : NULL;
}

/* ---- fields ----------------------------------------------------------------------------------- */

void stock_read_length(ctx *c, const syn_line *line, size_t nth, bool zero_too, model_length *out) {
	*out = (model_length){.mm = rat_poison(), .at = span_none()};
	const syn_expr *e = line ? stock_arg(line, nth) : NULL;
	if (!e) return;
	out->at = e->at;
	rat mm;
	if (!eval_length(c, e, &mm)) return;
	if (rat_sign(mm) < 0 || (!zero_too && rat_sign(mm) == 0)) {
		diag_error(c->diags, "plan-value", e->at, "`%s` must be more than nothing", line->word);
		return;
	}
	out->mm = mm;
}

static void set_length(ctx *c, const line_list *good, const char *word, size_t nth, bool zero_too, model_length *out) {
	stock_read_length(c, lines_find(good, word), nth, zero_too, out);
}

/* `word LENGTH +- LENGTH`: the second, without its sign. */
static void set_spread(ctx *c, const line_list *good, const char *word, model_length *out) {
	const syn_line *line = lines_find(good, word);
	const syn_expr *e = line ? line_arg(line, "+-", 0) : NULL;
	*out = (model_length){.mm = rat_poison(), .at = span_none()};
	rat mm;
	if (e && eval_length(c, e, &mm)) *out = (model_length){.mm = rat_abs(mm), .at = e->at};
}

static void set_value(ctx *c, const line_list *good, const char *word, dim d, model_value *out) {
	*out = (model_value){.v = (double)NAN, .at = span_none()};
	const syn_expr *e = lines_find(good, word) ? line_arg(lines_find(good, word), NULL, 0) : NULL;
	if (!e) return;
	out->at = e->at;
	double si;
	if (!eval_si(c, e, d, &si)) return;
	if (si < 0) {
		diag_error(c->diags, "plan-value", e->at, "`%s` cannot be negative", word);
		return;
	}
	out->v = si;
}

/* `word VALUE at VALUE` */
static bool set_two(ctx *c, const line_list *good, const char *word, dim d1, dim d2, model_value *a, model_value *b) {
	set_value(c, good, word, d1, a);
	*b = (model_value){.v = (double)NAN, .at = span_none()};
	const syn_line *line = lines_find(good, word);
	const syn_expr *e = line ? line_arg(line, "at", 0) : NULL;
	if (!e) return false;
	b->at = e->at;
	double si;
	if (!eval_si(c, e, d2, &si)) return false;
	if (si <= 0) {
		diag_error(c->diags, "plan-value", e->at, "this must be more than nothing");
		return false;
	}
	b->v = si;
	return isfinite(a->v);
}

static const char *set_text(ctx *c, const line_list *good, const char *word, const char *otherwise) {
	const syn_line *line = lines_find(good, word);
	const char *t = line ? eval_text(c, line_arg(line, NULL, 0)) : NULL;
	return t ? t : otherwise;
}

int64_t stock_read_count(ctx *c, const line_list *good, const char *word, int64_t least, int64_t otherwise) {
	const syn_line *line = lines_find(good, word);
	int64_t n;
	return line && eval_count(c, line_arg(line, NULL, 0), least, 1000000, &n) ? n : otherwise;
}

static void set_curve(ctx *c, const line_list *good, model_stock *s) {
	const syn_line *line = lines_find(good, "curve");
	if (!line) return;
	line_list rows = {0};
	words_check_block(c, BLOCK_CURVE, line, &rows);
	bool fan = s->kind == STOCK_FAN;
	size_t told = c->diags->errors;
	for (size_t i = 0; i < rows.n; i++) {
		model_curve_point p = {.at = rows.v[i]->at};
		const syn_expr *flow = line_arg(rows.v[i], NULL, 0), *loss = line_arg(rows.v[i], "at", 0);
		if (!eval_si(c, flow, DIM_FLOW, &p.flow_m3_s) || !eval_si(c, loss, DIM_PRESSURE, &p.pressure_pa))
			continue;
		if (p.flow_m3_s < 0 || p.pressure_pa < 0 || (!fan && (p.flow_m3_s <= 0 || p.pressure_pa <= 0))) {
			diag_error(c->diags, "plan-curve", p.at, "a point of a curve cannot be negative%s",
				   fan ? "" : " or nothing");
			continue;
		}
		if (s->curve.n && p.flow_m3_s <= s->curve.v[s->curve.n - 1].flow_m3_s) {
			diag *g = diag_error(c->diags, "plan-curve", flow->at,
					     "the points of a curve stand in order of flow");
			diag_add_note(c->diags, g, s->curve.v[s->curve.n - 1].at,
				      "the point before has as much flow or more");
			continue;
		}
		LIST_PUSH(c->mem, &s->curve, p);
	}
	size_t least = fan ? 2 : 1;
	if (rows.n && rows.n == line->block.n && s->curve.n == rows.n && s->curve.n < least)
		diag_error(c->diags, "plan-curve", line->word_at, "a fan's curve has at least two points");
	if (line->block.n == 0) diag_error(c->diags, "plan-curve", line->word_at, "this curve has no points");
	if (c->diags->errors > told || rows.n < line->block.n) s->reported = true;
}

/* A word that a stock of this kind cannot do without. */
static void need(ctx *c, const stock_def *def, const line_list *good, const char *word, const char *why) {
	if (lines_find(good, word)) return;
	c->m->stocks.v[def->row].reported = true;
	if (good->n < def->line->block.n) return; /* a line was reported: it may have been this one */
	diag *g = diag_error(c->diags, "plan-stock-lacks", def->at, "`%s` does not say its `%s`", def->name, word);
	diag_add_help(c->diags, g, "%s", example_shown(c->m, why));
}

static void set_class(ctx *c, const line_list *good, model_stock *s) {
	const syn_line *line = lines_find(good, "made");
	if (!line) return;
	const syn_expr *e = line_arg(line, NULL, 0);
	const char *word = expr_word(e);
	for (int k = MADE_UNSAID + 1; k < SHEET_CLASSES; k++)
		if (text_same(word, MODEL_SHEET_CLASS_WORD[k])) s->made = (model_sheet_class)k;
	if (s->made != MADE_UNSAID || e->kind == SYN_BAD) return;
	diag *g = diag_error(c->diags, "plan-value", e->at, "no sheet is made `%s`", expr_source(c, e));
	const char *near = word ? text_nearest(word, MODEL_SHEET_CLASS_WORD + 1, SHEET_CLASSES - 1) : NULL;
	if (near)
		diag_add_help(c->diags, g, "did you mean `%s`?", near);
	else
		diag_add_help(c->diags, g, "there are: plywood, mdf, particle, hardboard, solid, steel");
}

static void resolve_sheet(ctx *c, const stock_def *def, const line_list *good, model_stock *s) {
	need(c, def, good, "size", "write it like this: size 2440 mm x 1220 mm");
	need(c, def, good, "thick", "write what a caliper shows: thick 17.6 mm +- 0.4 mm");
	set_length(c, good, "size", 0, false, &s->size[0]);
	set_length(c, good, "size", 1, false, &s->size[1]);
	set_length(c, good, "thick", 0, false, &s->thick);
	stock_read_trims(c, good, &s->trim, s->trim_on);
	set_spread(c, good, "thick", &s->thick_plus);
	s->thick_minus = s->thick_plus;
	set_class(c, good, s);
	const syn_line *grain = lines_find(good, "grain");
	if (!grain) return;
	const char *word = expr_word(line_arg(grain, NULL, 0));
	if (text_same(word, "long"))
		s->grain = GRAIN_LONG;
	else if (text_same(word, "short"))
		s->grain = GRAIN_SHORT;
	else if (!text_same(word, "none")) {
		diag *g = diag_error(c->diags, "plan-value", line_arg(grain, NULL, 0)->at,
				     "the grain of a sheet runs long, short or none");
		diag_add_help(c->diags, g, "write `grain long` when it runs along the longer side");
	}
}

/* `length` of a roll, how broad it is, and what is said only where it has a length. */
static void resolve_roll(ctx *c, const stock_def *def, const line_list *good, model_stock *s) {
	static const char *const WORDS[] = {"also", "offcut", "trim", "kerf"};
	set_length(c, good, "length", 0, false, &s->size[0]);
	set_length(c, good, "trim", 0, true, &s->trim);
	set_length(c, good, "kerf", 0, true, &s->knife);
	bool cloth = s->kind == STOCK_MEDIA;
	if (lines_find(good, "length"))
		need(c, def, good, cloth ? "roll" : "width",
		     cloth ? "how wide the roll is: roll 1.6 m" : "how broad the tape is: width 15 mm");
	if (!rat_ok(cloth ? s->roll.mm : s->tape_width.mm)) s->size[0].mm = rat_poison();
	for (size_t i = 0; i < 4 && !lines_find(good, "length"); i++) {
		const syn_line *line = lines_find(good, WORDS[i]);
		if (!line) continue;
		diag *g = diag_error(c->diags, "plan-form", line->word_at,
				     "`%s` is of a roll whose length is known; `%s` does not say its `length`",
				     WORDS[i], s->name);
		diag_add_help(c->diags, g, "%s", example_shown(c->m, "write how long a roll is sold: length 25 m"));
		break;
	}
}

static void resolve_media(ctx *c, const stock_def *def, const line_list *good, model_stock *s) {
	set_value(c, good, "resistance", DIM_RESISTANCE, &s->media_r1_pa_s_m);
	set_value(c, good, "square", DIM_RESISTANCE2, &s->media_r2_pa_s2_m2);
	set_value(c, good, "drag", DIM_RATE, &s->drag_per_s);
	set_length(c, good, "roll", 0, false, &s->roll);
	resolve_roll(c, def, good, s);
	set_value(c, good, "dirty", DIM_AREAL, &s->dirty_load_kg_m2);
	const syn_line *perm = lines_find(good, "permeability");
	if (perm) {
		model_value speed, drop;
		if (set_two(c, good, "permeability", DIM_SPEED, DIM_PRESSURE, &speed, &drop) && speed.v > 0) {
			if (isfinite(s->media_r1_pa_s_m.v)) {
				diag *g = diag_error(c->diags, "plan-twice", perm->word_at,
						     "`%s` gives its resistance twice", def->name);
				diag_add_note(c->diags, g, s->media_r1_pa_s_m.at, "first here");
			}
			s->media_r1_pa_s_m = (model_value){.v = drop.v / speed.v, .at = perm->at};
		}
	} else {
		need(c, def, good, "resistance",
		     "write `permeability 30 cfm/ft2 at 0.5 in.wg` or `resistance 900 Pa.s/m`");
	}
	s->use_class = set_text(c, good, "class", NULL);
	static const char *const CLEANED[] = {"shaken", "pulse", "unshaken"};
	const syn_line *line = lines_find(good, "cleaned");
	int how = line ? eval_choice(c, line_arg(line, NULL, 0), CLEANED, 3, "way of cleaning media") : -1;
	if (how >= 0) s->cleaned = CLEANED[how];
}

static void resolve_filter(ctx *c, const stock_def *def, const line_list *good, model_stock *s) {
	need(c, def, good, "size", "width, depth and height as it stands: size 592 mm x 48 mm x 592 mm");
	need(c, def, good, "media", "the area of the media unfolded: media 4.2 m2");
	need(c, def, good, "curve", "its loss when clean: curve { 1000 m3/h at 40 Pa }");
	set_value(c, good, "media", DIM_AREA, &s->media_area_m2);
	set_curve(c, good, s);
	set_two(c, good, "dirty", DIM_PRESSURE, DIM_FLOW, &s->dirty_pa, &s->dirty_flow_m3_s);
	set_value(c, good, "holds", DIM_MASS, &s->holds_kg);
	s->use_class = set_text(c, good, "class", NULL);
}

/* `tap low at 900 rpm`: by the fan laws from the speed of the curve, so that it is known, and slower: a faster one asks
 * for more than the motor was shown to give. */
static void set_taps(ctx *c, const line_list *good, model_stock *s) {
	for (size_t i = 0; i < good->n; i++) {
		const syn_line *line = good->v[i];
		if (!line_is(line, "tap")) continue;
		const syn_expr *e = line_arg(line, NULL, 0), *at = line_arg(line, "at", 0);
		const char *name = expr_word(e);
		double per_s;
		if (!name) {
			if (e->kind != SYN_BAD) diag_error(c->diags, "plan-form", e->at, "a tap has a plain name");
			continue;
		}
		if (!eval_si(c, at, DIM_RATE, &per_s)) continue;
		if (!isfinite(s->rpm.v)) {
			diag *g = diag_error(c->diags, "plan-stock-lacks", line->word_at,
					     "a tap needs the speed at which the curve was measured");
			diag_add_help(c->diags, g, "write it beside the curve: speed 1400 rpm");
			continue;
		}
		double ratio = per_s * 60 / s->rpm.v;
		if (!(ratio >= 0.25 && ratio < 1)) {
			diag *g =
				diag_error(c->diags, "plan-range", at->at,
					   "a tap runs slower than the curve's speed, and at a quarter of it at least");
			diag_add_note(c->diags, g, s->rpm.at, "the curve's speed is here");
			continue;
		}
		const model_tap *first = NULL;
		for (size_t k = 0; k < s->taps.n && !first; k++)
			if (text_same(s->taps.v[k].name, name)) first = &s->taps.v[k];
		if (first) {
			diag *g = diag_error(c->diags, "plan-twice", e->at, "there are two taps `%s`", name);
			diag_add_note(c->diags, g, first->at, "first here");
			continue;
		}
		LIST_PUSH(c->mem, &s->taps, ((model_tap){name, ratio, e->at}));
	}
}

static void set_motor(ctx *c, const line_list *good, model_stock *s) {
	static const char *const WORDS[] = {"outside", "stream"};
	const syn_line *line = lines_find(good, "motor_at");
	if (!line) return;
	int which = eval_choice(c, line_arg(line, NULL, 0), WORDS, 2, "place of a motor");
	if (which < 0) return;
	s->motor_at = which ? MOTOR_IN_STREAM : MOTOR_OUTSIDE;
	s->motor_at_at = line->at;
	const syn_expr *as = line_arg(line, "as", 0);
	if (as) s->motor_fit = eval_text(c, as);
}

static void set_share(ctx *c, const line_list *good, const char *word, model_value *v) {
	set_value(c, good, word, DIM_NUMBER, v);
	if (v->v <= 1 && v->v > 0) return;
	if (isfinite(v->v))
		diag_error(c->diags, "plan-value", v->at, "an efficiency is more than 0 and at most 100 %%");
	v->v = (double)NAN;
}

static void resolve_fan(ctx *c, const stock_def *def, const line_list *good, model_stock *s) {
	need(c, def, good, "size", "write it like this: size 400 mm x 380 mm x 420 mm");
	need(c, def, good, "curve", "flow and pressure from its maker: curve { 0 m3/h at 620 Pa; 2000 m3/h at 0 Pa }");
	set_curve(c, good, s);
	set_value(c, good, "speed", DIM_RATE, &s->rpm);
	if (isfinite(s->rpm.v)) s->rpm.v *= 60;
	set_taps(c, good, s);
	set_motor(c, good, s);
	set_value(c, good, "density", DIM_DENSITY, &s->curve_density_kg_m3);
	set_value(c, good, "stall", DIM_FLOW, &s->stall_m3_s);
	set_value(c, good, "motor", DIM_POWER, &s->motor_w);
	set_share(c, good, "efficiency", &s->efficiency);
	set_share(c, good, "motor_efficiency", &s->motor_efficiency);
	set_length(c, good, "inlet", 0, false, &s->inlet);
	s->use_class = set_text(c, good, "class", NULL);
}

static void clear_values(model_stock *s) {
	model_length *lengths[] = {&s->size[0],	   &s->size[1],	   &s->size[2],	     &s->section[0], &s->section[1],
				   &s->thick,	   &s->thick_plus, &s->thick_minus,  &s->trim,	     &s->diameter,
				   &s->length,	   &s->pilot,	   &s->clearance,    &s->sink,	     &s->outside,
				   &s->bore,	   &s->flange,	   &s->flange_thick, &s->inlet,	     &s->swivel,
				   &s->pilot_soft, &s->pressed,	   &s->tape_width,   &s->wall,	     &s->roll,
				   &s->knife,	   &s->fits[0],	   &s->fits[1],	     &s->takes[0],   &s->takes[1],
				   &s->grips[0],   &s->grips[1],   &s->outside_off};
	for (size_t i = 0; i < sizeof lengths / sizeof *lengths; i++)
		*lengths[i] = (model_length){.mm = rat_poison(), .at = span_none()};
	model_value *values[] = {&s->density_kg_m3,
				 &s->mass_kg,
				 &s->media_r1_pa_s_m,
				 &s->media_r2_pa_s2_m2,
				 &s->drag_per_s,
				 &s->dirty_load_kg_m2,
				 &s->media_area_m2,
				 &s->dirty_pa,
				 &s->dirty_flow_m3_s,
				 &s->holds_kg,
				 &s->rpm,
				 &s->curve_density_kg_m3,
				 &s->stall_m3_s,
				 &s->efficiency,
				 &s->motor_w,
				 &s->modulus_pa,
				 &s->movement,
				 &s->head_angle_deg,
				 &s->roughness_m,
				 &s->motor_efficiency,
				 &s->open_s,
				 &s->clamp_s};
	for (size_t i = 0; i < sizeof values / sizeof *values; i++)
		*values[i] = (model_value){.v = (double)NAN, .at = span_none()};
}

static void resolve_screw(ctx *c, const stock_def *def, const line_list *good, model_stock *s) {
	static const char *const WORDS[] = {"diameter", "length", "pilot", "clearance"};
	for (size_t i = 0; i < sizeof WORDS / sizeof *WORDS; i++)
		need(c, def, good, WORDS[i], arena_printf(c->mem, "write it like this: %s 4 mm", WORDS[i]));
	set_length(c, good, "diameter", 0, false, &s->diameter);
	set_length(c, good, "length", 0, false, &s->length);
	set_length(c, good, "pilot", 0, false, &s->pilot);
	set_length(c, good, "pilot_soft", 0, false, &s->pilot_soft);
	set_length(c, good, "clearance", 0, false, &s->clearance);
	set_length(c, good, "sink", 0, false, &s->sink);
	set_value(c, good, "head_angle", DIM_ANGLE, &s->head_angle_deg);
	if (s->head_angle_deg.v < 60 || s->head_angle_deg.v > 150) {
		diag *g = diag_error(c->diags, "plan-value", s->head_angle_deg.at,
				     "a countersunk head has an angle between 60 and 150 degrees");
		diag_add_help(c->diags, g, "90 deg is usual");
		s->head_angle_deg.v = (double)NAN;
	}
}

static void resolve_gasket(ctx *c, const stock_def *def, const line_list *good, model_stock *s) {
	set_length(c, good, "thick", 0, false, &s->thick);
	set_length(c, good, "pressed", 0, false, &s->pressed);
	set_length(c, good, "width", 0, false, &s->tape_width);
	resolve_roll(c, def, good, s);
	if (!rat_ok(s->pressed.mm) || !rat_ok(s->thick.mm) || rat_lt(s->pressed.mm, s->thick.mm)) return;
	diag *g = diag_error(c->diags, "plan-value", s->pressed.at, "pressed, a gasket is thinner than it is sold");
	diag_add_note(c->diags, g, s->thick.at, "so thick it is sold");
	s->pressed.mm = rat_poison();
}

/* `word LEAST to MOST`; below nothing only where that makes sense. */
static void set_span(ctx *c, const line_list *good, const char *word, bool below_too, model_length out[2]) {
	const syn_line *line = lines_find(good, word);
	if (!line) return;
	const syn_expr *e[2] = {line_arg(line, NULL, 0), line_arg(line, "to", 0)};
	rat mm[2];
	bool good_one = eval_length(c, e[0], &mm[0]);
	if (!eval_length(c, e[1], &mm[1]) || !good_one) return;
	if (!below_too && rat_sign(mm[0]) <= 0) {
		diag_error(c->diags, "plan-value", e[0]->at, "`%s` must be more than nothing", word);
		return;
	}
	if (rat_lt(mm[1], mm[0])) {
		diag *g = diag_error(c->diags, "plan-value", e[1]->at, "`%s` ends %s below its beginning", word,
				     quant_show_length(c->mem, rat_sub(mm[0], mm[1]), c->m->measures, false));
		diag_add_note(c->diags, g, e[0]->at, "it begins here");
		diag_add_help(c->diags, g, "write the smaller length first");
		return;
	}
	for (int i = 0; i < 2; i++) out[i] = (model_length){.mm = mm[i], .at = e[i]->at};
}

static void resolve_pipe(ctx *c, const stock_def *def, const line_list *good, model_stock *s) {
	need(c, def, good, "outside", "its diameter: outside 110 mm");
	need(c, def, good, "length", "as it is sold: length 3000 mm");
	set_length(c, good, "outside", 0, false, &s->outside);
	set_spread(c, good, "outside", &s->outside_off);
	set_length(c, good, "wall", 0, false, &s->wall);
	set_length(c, good, "length", 0, false, &s->size[0]);
	set_length(c, good, "trim", 0, true, &s->trim);
	set_span(c, good, "fits", true, s->fits);
	set_value(c, good, "density", DIM_DENSITY, &s->density_kg_m3);
	const syn_line *rough = lines_find(good, "roughness");
	rat mm;
	if (rough && eval_length(c, line_arg(rough, NULL, 0), &mm))
		s->roughness_m = (model_value){.v = rat_double(mm) / 1000, .at = rough->at};
	if (!rat_ok(s->wall.mm) || !rat_ok(s->outside.mm)) return;
	rat bore = rat_sub(s->outside.mm, rat_mul(s->wall.mm, rat_int(2)));
	if (rat_sign(bore) > 0) {
		s->bore = (model_length){.mm = bore, .at = s->wall.at}; /* what the air has when it is seated */
		return;
	}
	diag *g = diag_error(c->diags, "plan-value", s->wall.at, "two walls of this leave no bore in `%s`", def->name);
	diag_add_note(c->diags, g, s->outside.at, "its outside is this");
	diag_add_help(c->diags, g, "leave `wall` out for a round bar that is solid");
	s->wall.mm = rat_poison();
}

static void resolve_collar(ctx *c, const stock_def *def, const line_list *good, model_stock *s) {
	need(c, def, good, "outside", "the diameter that goes into the hole: outside 110 mm");
	need(c, def, good, "bore", "the diameter that the air has: bore 104 mm");
	set_length(c, good, "outside", 0, false, &s->outside);
	set_spread(c, good, "outside", &s->outside_off);
	set_length(c, good, "bore", 0, false, &s->bore);
	set_length(c, good, "flange", 0, false, &s->flange);
	set_length(c, good, "flange_thick", 0, false, &s->flange_thick);
	set_length(c, good, "length", 0, false, &s->length);
	set_span(c, good, "fits", true, s->fits);
}

static void resolve_grommet(ctx *c, const stock_def *def, const line_list *good, model_stock *s) {
	need(c, def, good, "outside", "the diameter of its groove: outside 60 mm");
	need(c, def, good, "bore", "the diameter that is left open: bore 50 mm");
	need(c, def, good, "takes", "how thick the sheet may be that it is put into: takes 17 mm to 19 mm");
	set_length(c, good, "outside", 0, false, &s->outside);
	set_spread(c, good, "outside", &s->outside_off);
	set_length(c, good, "bore", 0, false, &s->bore);
	set_length(c, good, "flange", 0, false, &s->flange);
	set_span(c, good, "takes", false, s->takes);
	set_span(c, good, "fits", true, s->fits);
}

/* `wood soft`: which pilot its screws take. */
static void resolve_wood(ctx *c, const line_list *good, model_stock *s) {
	const syn_line *line = lines_find(good, "wood");
	if (!line) return;
	const char *word = expr_word(line_arg(line, NULL, 0));
	s->soft_wood = text_same(word, "soft");
	if (s->soft_wood || text_same(word, "hard")) return;
	diag *g = diag_error(c->diags, "plan-value", line_arg(line, NULL, 0)->at, "the wood of `%s` is soft or hard",
			     s->name);
	diag_add_help(c->diags, g, "write `wood soft` for spruce, pine and fir; MDF and birch plywood count as hard");
}

static void resolve_one(ctx *c, const stock_def *def) {
	model_stock *s = &c->m->stocks.v[def->row];
	line_list good = {0};
	words_check_block(c, BLOCK_OF_KIND[s->kind], def->line, &good);
	s->label = set_text(c, &good, "label", s->name);
	s->source = set_text(c, &good, "source", NULL);
	s->pack = stock_read_count(c, &good, "pack", 1, 1);
	s->on_hand = stock_read_count(c, &good, "on_hand", 0, -1);
	const syn_line *price = lines_find(&good, "price");
	if (price) s->price_at = price->at;
	if (price && !eval_money(c, line_arg(price, NULL, 0), &s->price_cents)) s->price_cents = -1;
	set_value(c, &good, "mass", DIM_MASS, &s->mass_kg);
	if (s->kind == STOCK_SHEET || s->kind == STOCK_BAR) {
		set_value(c, &good, "density", DIM_DENSITY, &s->density_kg_m3);
		set_value(c, &good, "modulus", DIM_PRESSURE, &s->modulus_pa);
		set_value(c, &good, "movement", DIM_NUMBER, &s->movement);
		if (s->movement.v > 0.01) {
			diag *g = diag_error(c->diags, "plan-value", s->movement.at,
					     "no wood changes by more than 1 %% for each percent of moisture");
			diag_add_help(c->diags, g, "write the share, such as `movement 0.0037` for red oak");
			s->movement.v = (double)NAN;
		}
		resolve_wood(c, &good, s);
	}
	bool stands = s->kind == STOCK_ITEM || s->kind == STOCK_FAN || s->kind == STOCK_FILTER;
	for (size_t i = 0; i < 3 && stands; i++) set_length(c, &good, "size", i, false, &s->size[i]);
	if (stands) set_length(c, &good, "flange_thick", 0, false, &s->flange_thick);
	if (s->kind == STOCK_ITEM) set_length(c, &good, "swivel", 0, false, &s->swivel);
	if (s->kind == STOCK_SHEET || model_by_length(s->kind) || s->kind == STOCK_MEDIA || s->kind == STOCK_GASKET)
		stock_read_sizes(c, &good, s);
	switch (s->kind) {
	case STOCK_SHEET:
		resolve_sheet(c, def, &good, s);
		break;
	case STOCK_BAR:
		need(c, def, &good, "section", "write it like this: section 45 mm x 20 mm");
		need(c, def, &good, "length", "write it like this: length 2400 mm");
		set_length(c, &good, "section", 0, false, &s->section[0]);
		set_length(c, &good, "section", 1, false, &s->section[1]);
		set_length(c, &good, "length", 0, false, &s->size[0]);
		set_length(c, &good, "trim", 0, true, &s->trim);
		break;
	case STOCK_PIPE:
		resolve_pipe(c, def, &good, s);
		break;
	case STOCK_SCREW:
		resolve_screw(c, def, &good, s);
		break;
	case STOCK_COLLAR:
		resolve_collar(c, def, &good, s);
		break;
	case STOCK_GROMMET:
		resolve_grommet(c, def, &good, s);
		break;
	case STOCK_CLAMP:
		need(c, def, &good, "grips", "the diameters that it closes round: grips 100 mm to 115 mm");
		set_span(c, &good, "grips", false, s->grips);
		break;
	case STOCK_FINISH:
		set_value(c, &good, "open", DIM_TIME, &s->open_s);
		set_value(c, &good, "clamp", DIM_TIME, &s->clamp_s);
		break;
	case STOCK_GASKET:
		resolve_gasket(c, def, &good, s);
		break;
	case STOCK_MEDIA:
		resolve_media(c, def, &good, s);
		break;
	case STOCK_FILTER:
		resolve_filter(c, def, &good, s);
		break;
	case STOCK_FAN:
		resolve_fan(c, def, &good, s);
		break;
	default:
		break;
	}
	stock_offcuts_fit(c, s);
}

void resolve_stocks(ctx *c) {
	for (size_t i = 0; i < c->all.n; i++) {
		const sym *s = c->all.v[i];
		if (s->kind != SYM_STOCK || s->in != c->plan_in) continue;
		const stock_def *def = s->def;
		clear_values(&c->m->stocks.v[def->row]);
		resolve_one(c, def);
	}
}

/* ---- tools --------------------------------------------------------------------------------------- */

static void resolve_tool(ctx *c, const tool_def *def) {
	model_tool *t = &c->m->tools.v[def->row];
	line_list good = {0};
	words_check_block(c, BLOCK_TOOL, def->line, &good);
	t->label = set_text(c, &good, "label", t->name);
	set_length(c, &good, "kerf", 0, false, &t->kerf);
	set_length(c, &good, t->kind == TOOL_ROUTER ? "cutter" : "cuts", 0, false, &t->diameter);
	set_length(c, &good, "measured", 0, false, &t->measured);
	set_spread(c, &good, "measured", &t->measured_off);
	set_length(c, &good, "bush", 0, false, &t->bush);
	set_length(c, &good, "pass", 0, false, &t->pass);
	set_length(c, &good, "base", 0, false, &t->base);
	set_value(c, &good, "feed", DIM_SPEED, &t->feed_m_s);
	set_value(c, &good, "plunge", DIM_SPEED, &t->plunge_m_s);
	set_value(c, &good, "speed", DIM_RATE, &t->rpm_per_s);
	static const char *const NEEDS[TOOL_KINDS] = {
		[TOOL_SAW] = "kerf", [TOOL_DRILL] = "cuts", [TOOL_HOLE_SAW] = "cuts", [TOOL_ROUTER] = "cutter"};
	const char *word = NEEDS[t->kind];
	if (word && !lines_find(&good, word) && good.n == def->line->block.n) {
		diag *g = diag_error(c->diags, "plan-tool-lacks", def->at, "the %s `%s` does not say its `%s`",
				     MODEL_TOOL_WORD[t->kind], def->name, word);
		diag_add_help(c->diags, g, "write it like this: %s %s", word, example_shown(c->m, "3 mm"));
	}
	if (t->kind == TOOL_SAW || t->kind == TOOL_HAND) {
		const syn_line *line = lines_find(&good, "measured");
		if (line)
			diag_error(c->diags, "plan-value", line->word_at,
				   "`measured` is what a drill, hole saw or cutter really cuts");
	}
	bool bush_small = rat_ok(t->bush.mm) && rat_ok(t->diameter.mm) && rat_le(t->bush.mm, model_tool_cuts(t));
	if (bush_small) {
		diag *g =
			diag_error(c->diags, "plan-value", t->bush.at, "the guide bush must be wider than the cutter");
		diag_add_note(c->diags, g, t->diameter.at, "the cutter is here");
	}
	if (rat_ok(t->base.mm) && rat_ok(t->bush.mm) && rat_le(t->base.mm, t->bush.mm)) {
		diag *g = diag_error(c->diags, "plan-value", t->base.at,
				     "the base must be wider than the guide bush that stands in it");
		diag_add_note(c->diags, g, t->bush.at, "the bush is here");
	}
}

void tools_resolve(ctx *c) {
	for (size_t i = 0; i < c->all.n; i++)
		if (c->all.v[i]->kind == SYM_TOOL && c->all.v[i]->in == c->plan_in) resolve_tool(c, c->all.v[i]->def);
}
