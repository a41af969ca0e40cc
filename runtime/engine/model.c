#include "runtime/engine/model.h"

#include <math.h>

#include "runtime/base/text.h"
#include "runtime/engine/outline.h"

#define X(name, word, spoken) [STOCK_##name] = word,
const char *const MODEL_STOCK_WORD[STOCK_KINDS] = {MODEL_STOCKS(X)};
#undef X
#define X(name, word, spoken) [PART_##name] = word,
const char *const MODEL_EDGE_WORD[EDGES] = {"left", "right", "bottom", "top"};
const char *const MODEL_PART_WORD[PART_KINDS] = {MODEL_PARTS(X)};
#undef X
#define X(name, word, spoken) [JOINT_##name] = word,
const char *const MODEL_JOINT_WORD[JOINT_KINDS] = {MODEL_JOINTS(X)};
#undef X
#define X(name, word, spoken) [MADE_##name] = word,
const char *const MODEL_SHEET_CLASS_WORD[SHEET_CLASSES] = {MODEL_SHEET_CLASSES(X)};
#undef X
#define X(name, word, spoken) [MADE_##name] = spoken,
const char *const MODEL_SHEET_CLASS_SPOKEN[SHEET_CLASSES] = {MODEL_SHEET_CLASSES(X)};
#undef X
#define X(name, word, spoken) [FEATURE_##name] = word,
const char *const MODEL_FEATURE_WORD[FEATURE_KINDS] = {MODEL_FEATURES(X)};
#undef X
#define X(name, word) [CHAPTER_##name] = word,
const char *const MODEL_CHAPTER_WORD[MODEL_CHAPTER_COUNT] = {MODEL_CHAPTERS(X)};
#undef X
#define X(name, word, spoken) [TOOL_##name] = word,
const char *const MODEL_TOOL_WORD[TOOL_KINDS] = {MODEL_TOOLS(X)};
#undef X
#define X(name, word, spoken) [AIR_##name] = word,
const char *const MODEL_AIR_WORD[AIR_KINDS] = {MODEL_AIRS(X)};
#undef X
#define X(name, word, spoken, stage) [OP_##name] = word,
const char *const MODEL_OP_WORD[OP_KINDS] = {MODEL_OPS(X)};
#undef X
#define X(name, word, spoken, stage) [OP_##name] = spoken,
const char *const MODEL_OP_SPOKEN[OP_KINDS] = {MODEL_OPS(X)};
#undef X
const char *const MODEL_CONDITION[AIR_STATES] = {"clean",	  "dirty",	     "clean covered",
						 "dirty covered", "clean with work", "dirty with work"};

#define X(name, word, spoken) [DUST_##name] = word,
const char *const MODEL_DUST_WORD[DUST_KINDS] = {MODEL_DUSTS(X)};
#undef X
#define X(name, word, spoken) [DUST_##name] = spoken,
const char *const MODEL_DUST_SPOKEN[DUST_KINDS] = {MODEL_DUSTS(X)};
#undef X
#define X(name, word, spoken) [HOOD_##name] = word,
const char *const MODEL_HOOD_WORD[HOOD_KINDS] = {MODEL_HOODS(X)};
#undef X
#define X(name, word, spoken) [HOOD_##name] = spoken,
const char *const MODEL_HOOD_SPOKEN[HOOD_KINDS] = {MODEL_HOODS(X)};
#undef X
#define X(name, word, spoken) [MOTION_##name] = word,
const char *const MODEL_MOTION_WORD[MOTION_KINDS] = {MODEL_MOTIONS(X)};
#undef X
#define X(name, word, spoken) [MOTION_##name] = spoken,
const char *const MODEL_MOTION_SPOKEN[MOTION_KINDS] = {MODEL_MOTIONS(X)};
#undef X
#define X(name, word, area, basis) [DRAFT_##name] = word,
const char *const MODEL_DRAFT_WORD[DRAFT_KINDS] = {MODEL_DRAFTS(X)};
#undef X
#define X(name, word, area, basis) [DRAFT_##name] = basis,
const char *const MODEL_DRAFT_BASIS[DRAFT_KINDS] = {MODEL_DRAFTS(X)};
#undef X

double model_face_m_s(const model_face *f, const model_flow *flow) {
	enum { PLAN, GRILLE };
#define X(name, word, area, basis) [DRAFT_##name] = area,
	static const int AREA[DRAFT_KINDS] = {MODEL_DRAFTS(X)};
#undef X
	return AREA[f->draft] == GRILLE ? flow->grille_m_s : flow->face_m_s;
}

const char *model_dust_caution(model_dust dust) {
	switch (dust) {
	case DUST_HARDWOOD:
		return "Hardwood dust can cause cancer of the nose (IARC lists wood dust as a human carcinogen; from "
		       "memory). Limits for it are lower than for other wood: HSE (Great Britain) 3 mg/m³ over 8 "
		       "hours, "
		       "the European Union 2 mg/m³ (from memory). Air that goes back into the room needs filters that "
		       "your authority accepts for it; wear a respirator.";
	case DUST_SILICA:
		return "Dust of stone, concrete, mortar and some fillers holds crystalline silica, which scars the "
		       "lungs "
		       "and can cause cancer. Felt and coarse filters let its fine part through. What is written here "
		       "does "
		       "not control it: ask your authority what does, work wet where you can, wear a respirator.";
	case DUST_METAL:
		return "Sparks and hot swarf set dust and filters on fire; some metals (aluminium, magnesium, "
		       "titanium) "
		       "explode as dust and burn under water. Keep them and wood apart, in the piece and in its "
		       "trough; "
		       "what metal may be ground here is for the fire authority to say.";
	case DUST_WOOD:
	case DUST_SOLVENT:
	case DUST_KINDS:
		break;
	}
	return NULL;
}

#define FIND(table)                                                                                                    \
	for (size_t i = 0; i < m->table.n; i++)                                                                        \
		if (text_same(m->table.v[i].name, name)) return (model_ref)i;                                          \
	return MODEL_NONE

model_ref model_find_part(const model *m, const char *name) { FIND(parts); }
model_ref model_find_stock(const model *m, const char *name) { FIND(stocks); }

const char *const MODEL_SHAPE_WORD[4] = {"round", "slot", "rect", "outline"};
const char *model_show(const model *m, quant q) {
	if (!dim_same(q.dim, DIM_MONEY)) return quant_show(m->mem, q, m->measures);
	return arena_printf(m->mem, "%.2f%s%s", q.d, m->currency && *m->currency ? " " : "",
			    m->currency ? m->currency : "");
}

double model_shape_area_mm2(const model_shape *s) {
	const double pi = acos(-1.0);
	double a = rat_double(s->a), b = rat_double(s->b);
	switch (s->kind) {
	case SHAPE_ROUND:
		return pi * a * a / 4;
	case SHAPE_SLOT:
		return (a - b) * b + pi * b * b / 4;
	case SHAPE_RECT:
	case SHAPE_OUTLINE:
		break;
	}
	if (s->kind == SHAPE_OUTLINE) {
		arena scratch = {0};
		outline_path p = outline_of_shape(&scratch, s, s->along, s->along);
		double area = outline_area(&p);
		arena_end(&scratch);
		return area;
	}
	double r = rat_ok(s->corner) ? rat_double(s->corner) : 0;
	return a * b - (4 - pi) * r * r;
}

double model_shape_edge_mm(const model_shape *s) {
	arena scratch = {0};
	axis across = s->along == AXIS_X ? AXIS_Y : AXIS_X;
	outline_path p = outline_of_shape(&scratch, s, s->along, across);
	double length = outline_length(&p);
	arena_end(&scratch);
	return length;
}

rat model_shape_narrow(const model_shape *s) {
	if (s->kind == SHAPE_OUTLINE) return s->outline->narrow;
	return s->kind == SHAPE_ROUND ? s->a : rat_min(s->a, s->b);
}

const char *const MODEL_MEETS_WORD[MEETS_KINDS] = {
#define X(name, word) [MEETS_##name] = word,
	MODEL_MEETS(X)
#undef X
};

model_at model_template_lies(const model_template_use *u, model_at p) {
	if (u->over) p.v[0] = rat_neg(p.v[0]);
	for (uint32_t q = 0; q < u->quarters; q++) {
		rat x = p.v[0];
		p.v[0] = rat_neg(p.v[1]), p.v[1] = x;
	}
	return p;
}

const model_template_use *model_template_serves(const model_template *t, model_ref pattern, model_ref part) {
	for (size_t i = 0; i < t->uses.n; i++)
		if (t->uses.v[i].pattern == pattern && t->uses.v[i].part == part) return &t->uses.v[i];
	return NULL;
}

point3 model_shape_middle(const model_shape *s, point3 at, axis u, axis v) {
	if (s->kind != SHAPE_OUTLINE) return at;
	at.v[u] = rat_add(at.v[u], s->off_u);
	at.v[v] = rat_add(at.v[v], s->off_v);
	return at;
}

rat model_shape_half(const model_shape *s, axis along) {
	if (s->kind == SHAPE_ROUND || s->along == along) return rat_half(s->a);
	return rat_half(s->b);
}

const model_sheet_of_pattern *model_pattern_sheet(const model_pattern *p, model_ref part) {
	for (size_t i = 0; i < p->sheets.n; i++)
		if (p->sheets.v[i].part == part) return &p->sheets.v[i];
	return NULL;
}

int model_conditions(const model *m) {
	if (m->air.taps.n > 1) return AIR_STATES * (int)m->air.taps.n;
	return m->air.works.n ? AIR_STATES : AIR_CONDITIONS;
}

bool model_condition_covered(int condition) { return condition % AIR_STATES / 2 == 1; }
bool model_condition_worked(int condition) { return condition % AIR_STATES / 2 == 2; }

bool model_condition_given(const model *m, int condition) {
	if (condition >= model_conditions(m)) return false;
	if (model_condition_covered(condition)) return m->air.has_cover;
	return !model_condition_worked(condition) || m->air.works.n > 0;
}

const char *model_condition_tap(const model *m, int condition) {
	size_t tap = (size_t)condition / AIR_STATES;
	return tap < m->air.taps.n ? m->air.taps.v[tap] : NULL;
}

const char *model_condition_name(const model *m, int condition) {
	const char *state = MODEL_CONDITION[condition % AIR_STATES], *tap = model_condition_tap(m, condition);
	return tap ? arena_printf(m->mem, "%s, %s", state, tap) : state;
}

static double uncovered(const model_branch *b, int condition) {
	return model_condition_covered(condition) && b->covered_part > 0 ? fmax(0, 1 - b->covered_part) : 1;
}

double model_open_m2(const model_branch *b, int condition) {
	if (b->worked && model_condition_worked(condition)) return b->work_open_m2;
	return b->open_m2 * uncovered(b, condition);
}

double model_plan_m2(const model_branch *b, int condition) {
	if (b->worked && model_condition_worked(condition)) return b->work_plan_m2;
	return b->plan_m2 * uncovered(b, condition);
}

bool model_part_made(const model *m, const model_part *p) {
	if (p->stock == MODEL_NONE || p->kind == PART_GAP || p->kind == PART_ITEM) return false;
	model_stock_kind k = m->stocks.v[p->stock].kind;
	return k == STOCK_SHEET || model_by_length(k);
}

rat model_pipe_bore(const model_stock *s) {
	if (s->kind != STOCK_PIPE || !rat_ok(s->wall.mm)) return rat_poison();
	return rat_sub(s->outside.mm, rat_mul(s->wall.mm, rat_int(2)));
}

rat model_tool_cuts(const model_tool *t) { return rat_ok(t->measured.mm) ? t->measured.mm : t->diameter.mm; }

bool model_pipe_along(const model *m, const model_part *p, axis along) {
	return model_part_made(m, p) && rat_ok(model_pipe_bore(&m->stocks.v[p->stock])) && p->long_axis == along;
}

bool model_space_in_stream(const model *m, model_ref space) {
	for (size_t i = 0; i < m->air.branches.n; i++)
		if (m->air.branches.v[i].runs_on && m->air.branches.v[i].to == space) return true;
	return false;
}

const char *model_seat_word(const model_stock *s, bool several) {
	switch (s->kind) {
	case STOCK_PIPE:
		return several ? "tubes" : "tube";
	case STOCK_GROMMET:
		return several ? "grommets" : "grommet";
	default:
		return several ? "collars" : "collar";
	}
}

const char *model_whole_word(model_stock_kind k) {
	return k == STOCK_MEDIA || k == STOCK_GASKET ? "roll" : MODEL_STOCK_WORD[k];
}

const char *model_cut_name(const model *m, const model_sheet_plan *s, model_ref part) {
	return model_on_rolls(&m->stocks.v[s->stock]) ? m->layout.roll_parts.v[part].name : m->parts.v[part].name;
}

const char *model_roll_words(const model *m, rat mm) {
	bool inch = m->measures == MEASURES_INCH;
	return arena_printf(m->mem, "%s %s", quant_show_number(m->mem, rat_double(mm) / (inch ? 304.8 : 1000), 2),
			    inch ? "ft" : "m");
}
