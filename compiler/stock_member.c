/* The figures of stock by name: ply18.thick, screw4.pilot, pleat.price. */
#include "compiler/eval_inner.h"
#include "runtime/base/text.h"

/* The line and argument that hold a member, such as `broad` in `section 45 mm x 20 mm`. */
typedef struct member_place {
	const char *member, *word;
	const char *link; /* NULL: behind the word; else the clause, */
	size_t nth;	  /* and which of several */
	dim dim;
} member_place;

#define NUMBER                                                                                                         \
	{ 0, 0, 0, 0, 0, 0 }
#define LENGTH                                                                                                         \
	{ 1, 0, 0, 0, 0, 0 }
#define AREA                                                                                                           \
	{ 2, 0, 0, 0, 0, 0 }
#define FLOW                                                                                                           \
	{ 3, 0, -1, 0, 0, 0 }
#define PRESSURE                                                                                                       \
	{ -1, 1, -2, 0, 0, 0 }
#define MASS                                                                                                           \
	{ 0, 1, 0, 0, 0, 0 }
#define DENSITY                                                                                                        \
	{ -3, 1, 0, 0, 0, 0 }
#define RATE                                                                                                           \
	{ 0, 0, -1, 0, 0, 0 }
#define POWER                                                                                                          \
	{ 2, 1, -3, 0, 0, 0 }
#define TIME                                                                                                           \
	{ 0, 0, 1, 0, 0, 0 }
#define MONEY                                                                                                          \
	{ 0, 0, 0, 0, 0, 1 }

static const member_place COMMON[] = {
	{"price", "price", NULL, 0, MONEY},
	{"pack", "pack", NULL, 0, NUMBER},
	{"on_hand", "on_hand", NULL, 0, NUMBER},
	{"mass", "mass", NULL, 0, MASS},
};
static const member_place SHEET[] = {
	{"thick", "thick", NULL, 0, LENGTH}, {"spread", "thick", "+-", 0, LENGTH},
	{"length", "size", NULL, 0, LENGTH}, {"width", "size", "x", 0, LENGTH},
	{"trim", "trim", NULL, 0, LENGTH},   {"density", "density", NULL, 0, DENSITY},
};
static const member_place BAR[] = {
	{"broad", "section", NULL, 0, LENGTH},	  {"thin", "section", "x", 0, LENGTH},
	{"length", "length", NULL, 0, LENGTH},	  {"trim", "trim", NULL, 0, LENGTH},
	{"density", "density", NULL, 0, DENSITY},
};
static const member_place PIPE[] = {
	{"outside", "outside", NULL, 0, LENGTH},  {"wall", "wall", NULL, 0, LENGTH},
	{"length", "length", NULL, 0, LENGTH},	  {"trim", "trim", NULL, 0, LENGTH},
	{"density", "density", NULL, 0, DENSITY},
};
static const member_place SCREW[] = {
	{"diameter", "diameter", NULL, 0, LENGTH}, {"length", "length", NULL, 0, LENGTH},
	{"pilot", "pilot", NULL, 0, LENGTH},	   {"clearance", "clearance", NULL, 0, LENGTH},
	{"sink", "sink", NULL, 0, LENGTH},	   {"pilot_soft", "pilot_soft", NULL, 0, LENGTH},
};
#define ROLLED                                                                                                         \
	{"length", "length", NULL, 0, LENGTH}, {"trim", "trim", NULL, 0, LENGTH}, { "kerf", "kerf", NULL, 0, LENGTH }
static const member_place GASKET[] = {
	{"thick", "thick", NULL, 0, LENGTH},
	{"pressed", "pressed", NULL, 0, LENGTH},
	{"width", "width", NULL, 0, LENGTH},
	ROLLED,
};
static const member_place COLLAR[] = {
	{"outside", "outside", NULL, 0, LENGTH}, {"bore", "bore", NULL, 0, LENGTH},
	{"flange", "flange", NULL, 0, LENGTH},	 {"flange_thick", "flange_thick", NULL, 0, LENGTH},
	{"length", "length", NULL, 0, LENGTH},
};
static const member_place GROMMET[] = {
	{"outside", "outside", NULL, 0, LENGTH},
	{"bore", "bore", NULL, 0, LENGTH},
	{"flange", "flange", NULL, 0, LENGTH},
};
static const member_place CLAMP[] = {
	{"grips_least", "grips", NULL, 0, LENGTH},
	{"grips_most", "grips", "to", 0, LENGTH},
};
static const member_place MEDIA[] = {
	{"roll", "roll", NULL, 0, LENGTH},
	ROLLED,
	{"resistance", "resistance", NULL, 0, {-2, 1, -1, 0, 0, 0}},
	{"square", "square", NULL, 0, {-3, 1, 0, 0, 0, 0}},
	{"permeability", "permeability", NULL, 0, {1, 0, -1, 0, 0, 0}},
	{"drag", "drag", NULL, 0, RATE},
	{"dirty", "dirty", NULL, 0, {-2, 1, 0, 0, 0, 0}},
};
static const member_place FINISH[] = {
	{"open", "open", NULL, 0, TIME},
	{"clamp", "clamp", NULL, 0, TIME},
};
static const member_place ITEM[] = {
	{"width", "size", NULL, 0, LENGTH},
	{"depth", "size", "x", 0, LENGTH},
	{"height", "size", "x", 1, LENGTH},
	{"flange_thick", "flange_thick", NULL, 0, LENGTH},
};
static const member_place FILTER[] = {
	{"width", "size", NULL, 0, LENGTH},	{"depth", "size", "x", 0, LENGTH},
	{"height", "size", "x", 1, LENGTH},	{"media", "media", NULL, 0, AREA},
	{"holds", "holds", NULL, 0, MASS},	{"dirty", "dirty", NULL, 0, PRESSURE},
	{"dirty_flow", "dirty", "at", 0, FLOW}, {"flange_thick", "flange_thick", NULL, 0, LENGTH},
};
static const member_place FAN[] = {
	{"width", "size", NULL, 0, LENGTH},
	{"depth", "size", "x", 0, LENGTH},
	{"height", "size", "x", 1, LENGTH},
	{"inlet", "inlet", NULL, 0, LENGTH},
	{"speed", "speed", NULL, 0, RATE},
	{"density", "density", NULL, 0, DENSITY},
	{"stall", "stall", NULL, 0, FLOW},
	{"efficiency", "efficiency", NULL, 0, NUMBER},
	{"motor", "motor", NULL, 0, POWER},
	{"motor_efficiency", "motor_efficiency", NULL, 0, NUMBER},
	{"flange_thick", "flange_thick", NULL, 0, LENGTH},
};

static const member_place *members_of(model_stock_kind kind, size_t *n) {
#define GIVE(table) return *n = sizeof(table) / sizeof *(table), (table)
	switch (kind) {
	case STOCK_SHEET:
		GIVE(SHEET);
	case STOCK_BAR:
		GIVE(BAR);
	case STOCK_PIPE:
		GIVE(PIPE);
	case STOCK_SCREW:
		GIVE(SCREW);
	case STOCK_COLLAR:
		GIVE(COLLAR);
	case STOCK_GROMMET:
		GIVE(GROMMET);
	case STOCK_CLAMP:
		GIVE(CLAMP);
	case STOCK_MEDIA:
		GIVE(MEDIA);
	case STOCK_FILTER:
		GIVE(FILTER);
	case STOCK_FAN:
		GIVE(FAN);
	case STOCK_GASKET:
		GIVE(GASKET);
	case STOCK_FINISH:
		GIVE(FINISH);
	case STOCK_ITEM:
		GIVE(ITEM);
	default:
		break;
	}
#undef GIVE
	*n = 0;
	return NULL;
}

static const syn_expr *written_at(const stock_def *s, const member_place *p) {
	const syn_line *line = NULL;
	for (size_t i = 0; i < s->line->block.n && !line; i++) /* a `trim on` some edges is not that of the sheet */
		if (line_is(s->line->block.v[i], p->word) && !line_clause(s->line->block.v[i], "on", 0))
			line = s->line->block.v[i];
	const syn_clause *k = line ? line_clause(line, p->link, p->nth) : NULL;
	return k && k->args.n ? k->args.v[0] : NULL;
}

bool stock_length(ctx *c, stock_def *s, const char *word, size_t nth, rat *mm) {
	const member_place p = {.word = word, .link = nth ? "x" : NULL, .nth = nth ? nth - 1 : 0};
	const syn_expr *e = written_at(s, &p);
	if (!e) return false;
	busy b;
	if (!busy_enter(c, &b, e, arena_printf(c->mem, "%s.%s", s->name, word), e->at)) return false;
	bool good = eval_length(c, e, mm);
	busy_leave(c, &b);
	return good;
}

static bool lacks(ctx *c, const stock_def *s, const char *word, span at) {
	diag *g = diag_error(c->diags, "plan-stock-lacks", at, "`%s` does not say its `%s`", s->name, word);
	diag_add_note(c->diags, g, s->at, "`%s` is here", s->name);
	return false;
}

static bool member(ctx *c, stock_def *s, const member_place *p, span at, value *out) {
	const syn_expr *e = written_at(s, p);
	*out = value_quant(quant_number(rat_int(1)));
	if (!e && text_same(p->member, "pack")) return true; /* sold one by one */
	if (!e) return lacks(c, s, p->word, at);
	busy b;
	if (!busy_enter(c, &b, e, arena_printf(c->mem, "%s.%s", s->name, p->member), at)) return false;
	int64_t cents;
	bool money = p->dim.money != 0;
	bool good = money ? eval_money(c, e, &cents) : eval_quant(c, e, p->dim, &out->q);
	if (good && money) out->q = quant_exact(DIM_MONEY, rat_of(cents, 100));
	busy_leave(c, &b);
	return good;
}

/* thick_most, thick_least: as far as the spread goes; without one they are the thickness itself. */
static bool thick_end(ctx *c, stock_def *s, bool most, span at, value *out) {
	value spread;
	if (!member(c, s, &SHEET[0], at, out)) return false;
	if (!written_at(s, &SHEET[1])) return true;
	if (!member(c, s, &SHEET[1], at, &spread)) return false;
	rat by = rat_abs(spread.q.r);
	out->q = quant_length(most ? rat_add(out->q.r, by) : rat_sub(out->q.r, by));
	return true;
}

bool stock_member(ctx *c, stock_def *s, const char *name, span at, value *out) {
	enum { N_COMMON = sizeof COMMON / sizeof *COMMON, MOST = 24 };
	size_t n, n_known = 0;
	model_stock_kind kind = c->m->stocks.v[s->row].kind;
	const member_place *places = members_of(kind, &n);
	const char *known[MOST];
	for (size_t i = 0; i < n + N_COMMON; i++) {
		const member_place *p = i < n ? &places[i] : &COMMON[i - n];
		if (text_same(p->member, name)) return member(c, s, p, at, out);
		known[n_known++] = p->member;
	}
	if (kind == STOCK_SHEET) {
		bool most = text_same(name, "thick_most");
		if (most || text_same(name, "thick_least")) return thick_end(c, s, most, at, out);
		known[n_known++] = "thick_most";
		known[n_known++] = "thick_least";
	}
	known[n_known++] = "used";
	known[n_known++] = "cost";
	diag *g = diag_error(c->diags, "plan-member", at, "the stock `%s` has no `%s`", s->name, name);
	words_choice(c, g, name, known, n_known, "it has");
	return false;
}
