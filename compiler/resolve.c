/* The order of resolving: names first, then stock and tools, parts, openings, joints, air, work. */
#include "compiler/resolve.h"

#include <math.h>
#include <string.h>

#include "compiler/context.h"
#include "runtime/base/text.h"

/* ---- header and named values ---------------------------------------------------------------------- */

static void header_word(ctx *c, const line_list *lines, const char *word, const char *a, const char *b, int *choice) {
	const syn_line *line = lines_find(lines, word);
	if (!line) return;
	const syn_expr *e = line_arg(line, NULL, 0);
	const char *w = expr_word(e);
	if (text_same(w, a))
		*choice = 0;
	else if (text_same(w, b))
		*choice = 1;
	else if (e->kind != SYN_BAD)
		diag_add_help(c->diags, diag_error(c->diags, "plan-value", e->at, "`%s` is %s or %s", word, a, b),
			      "write `%s %s` or `%s %s`", word, a, word, b);
}

/* The doorway that it must go through. */
static void header_passes(ctx *c, const line_list *lines) {
	const syn_line *line = lines_find(lines, "passes");
	for (int i = 0; i < 2; i++) {
		model_length *l = &c->m->passes[i];
		*l = (model_length){rat_poison(), span_none()};
		const syn_expr *e = line ? line_arg(line, i ? "x" : NULL, 0) : NULL;
		rat mm;
		if (!e || !eval_length(c, e, &mm)) continue;
		if (rat_sign(mm) <= 0) {
			diag_error(c->diags, "plan-value", e->at, "`passes` must be more than nothing");
			continue;
		}
		*l = (model_length){mm, line->at};
	}
}

/* The moisture of the wood in use: 6 to 10 percent is what the Wood Handbook (FPL-GTR-190, chapter 13) recommends for
 * pieces of interior work in most of the United States (from memory). */
static void header_moisture(ctx *c, const line_list *lines) {
	model *m = c->m;
	m->moisture_lo = 6;
	m->moisture_hi = 10;
	m->moisture_at = span_none();
	const syn_line *line = lines_find(lines, "moisture");
	double lo, hi;
	if (!line || !eval_si(c, line_arg(line, NULL, 0), DIM_NUMBER, &lo) ||
	    !eval_si(c, line_arg(line, "to", 0), DIM_NUMBER, &hi))
		return;
	if (!(lo > 0) || !(hi >= lo) || !(hi <= 0.3)) {
		diag *g = diag_error(c->diags, "plan-value", line->at,
				     "the moisture of wood lies between more than 0 and 30 %%, the drier end first");
		diag_add_help(c->diags, g, "write it like this: moisture 6 %% to 10 %%");
		return;
	}
	m->moisture_lo = lo * 100;
	m->moisture_hi = hi * 100;
	m->moisture_at = line->at;
}

/* In which measures values and examples are shown: before the first message. */
static measures measures_of(const syn_plan *plan, const resolve_options *o) {
	if (o->measures) return *o->measures;
	const syn_file *f = &plan->files.v[plan->files.n - 1];
	for (size_t i = 0; i < f->lines.n; i++) {
		const syn_line *line = line_is(f->lines.v[i], "plan") ? line_in_block(f->lines.v[i], "measures") : NULL;
		if (line)
			return text_same(expr_word(line_arg(line, NULL, 0)), "inch") ? MEASURES_INCH : MEASURES_METRIC;
	}
	return MEASURES_METRIC;
}

/* The header's choices, before anything is shown. */
static void resolve_measures(ctx *c, const resolve_options *o) {
	model *m = c->m;
	m->slug = o->slug;
	m->title = o->slug;
	m->currency = "";
	m->cost_whole = true;
	m->title_at = span_none();
	int measures_choice = (int)m->measures, paper_choice = 0;
	if (c->header) {
		m->title_at = line_arg(c->header, NULL, 0)->at;
		words_check_block(c, BLOCK_PLAN, c->header, &c->header_lines);
		header_word(c, &c->header_lines, "measures", "metric", "inch", &measures_choice);
		header_word(c, &c->header_lines, "paper", "a4", "letter", &paper_choice);
		const syn_line *currency = lines_find(&c->header_lines, "currency");
		const char *word = currency ? eval_plain_text(c, line_arg(currency, NULL, 0)) : NULL;
		if (word) m->currency = word;
	}
	m->paper = o->paper ? *o->paper : (paper)paper_choice;
}

/* Chapters of the book that the plan does not want. */
static void header_without(ctx *c, const line_list *lines) {
	const syn_line *line = lines_find(lines, "without");
	for (size_t i = 0; line && i < line_args(line, NULL); i++) {
		const syn_expr *e = line_arg(line, NULL, i);
		const char *word = expr_word(e);
		size_t k = 0;
		while (k < MODEL_CHAPTER_COUNT && !text_same(word, MODEL_CHAPTER_WORD[k])) k++;
		if (k < MODEL_CHAPTER_COUNT) {
			c->m->without[k] = true;
			continue;
		}
		if (e->kind == SYN_BAD) continue;
		diag *g = diag_error(c->diags, "plan-value", e->at, "the book has no chapter `%s` that can be left out",
				     expr_source(c, e));
		diag_add_choice(c->diags, g, word, MODEL_CHAPTER_WORD, MODEL_CHAPTER_COUNT, "these can be");
	}
}

/* A calendar date of ISO 8601: year, month and day with hyphens. */
static bool is_date(const char *t) {
	static const int DAYS[] = {31, 29, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31};
	int year = 0, month = 0, day = 0;
	for (int i = 0; i < 10; i++) {
		bool hyphen = i == 4 || i == 7;
		if (hyphen ? t[i] != '-' : t[i] < '0' || t[i] > '9') return false;
		int *of = i < 4 ? &year : i < 7 ? &month : &day;
		if (!hyphen) *of = *of * 10 + t[i] - '0';
	}
	bool leap = year % 4 == 0 && (year % 100 || year % 400 == 0);
	if (t[10] || month < 1 || month > 12 || day < 1 || day > DAYS[month - 1]) return false;
	return month != 2 || day < 29 || leap;
}

/* What the title blocks of drawings say. */
static void header_block(ctx *c, const line_list *lines) {
	model *m = c->m;
	const struct {
		const char *word, **to;
	} field[] = {{"owner", &m->owner},
		     {"number", &m->number},
		     {"issued", &m->issued},
		     {"drawn", &m->drawn},
		     {"approved", &m->approved}};
	for (size_t i = 0; i < sizeof field / sizeof *field; i++) {
		const syn_line *line = lines_find(lines, field[i].word);
		if (line) *field[i].to = eval_plain_text(c, line_arg(line, NULL, 0));
	}
	if (!m->issued || is_date(m->issued)) return;
	diag *g = diag_error(c->diags, "plan-value", line_arg(lines_find(lines, "issued"), NULL, 0)->at,
			     "this is no date of the calendar");
	diag_add_help(c->diags, g, "write year, month and day: issued \"2031-05-17\"");
}

static void resolve_header(ctx *c) {
	model *m = c->m;
	const line_list *lines = &c->header_lines;
	header_passes(c, lines);
	header_moisture(c, lines);
	header_without(c, lines);
	if (!c->header) return;
	const char *title = eval_words(c, line_arg(c->header, NULL, 0));
	if (title && *title) m->title = title;
	const syn_line *edition = lines_find(lines, "edition"), *purpose = lines_find(lines, "purpose");
	m->edition = edition ? eval_plain_text(c, line_arg(edition, NULL, 0)) : NULL;
	m->purpose = purpose ? eval_words(c, line_arg(purpose, NULL, 0)) : NULL;
	header_block(c, lines);
	for (size_t i = 0; i < lines->n; i++) {
		const syn_line *line = lines->v[i];
		if (line_is(line, "note")) {
			const char *t = eval_words(c, line_arg(line, NULL, 0));
			model_words w = {t, line->at};
			if (t) LIST_PUSH(c->mem, &m->notes, w);
		}
		if (!line_is(line, "history")) continue;
		const syn_expr *what = line_arg(line, "", 0) ? line_arg(line, "", 0) : line_arg(line, NULL, 1);
		const char *which = eval_plain_text(c, line_arg(line, NULL, 0)),
			   *text = what ? eval_words(c, what) : "";
		model_history h = {which, text, line->at};
		if (which && text) LIST_PUSH(c->mem, &m->history, h);
	}
}

static value value_of(ctx *c, const sym *s) {
	const let_def *d = s->def;
	syn_expr name = {.kind = SYN_NAME, .at = d->at};
	syn_word w = {.v = d->name, .at = d->at};
	LIST_PUSH(c->mem, &name.names, w);
	inst *before = inst_enter(c, s->in);
	value v = eval(c, &name);
	inst_enter(c, before);
	return v;
}

/* What is wrong with a value is told even when nothing uses it; one that leans on the whole plan may wait. */
static void try_lets(ctx *c) {
	c->may_wait = true;
	for (size_t i = 0; i < c->all.n; i++)
		if (c->all.v[i]->kind == SYM_LET) value_of(c, c->all.v[i]);
	c->may_wait = false;
	c->waits = false;
}

void lets_resolve(ctx *c) {
	for (size_t i = 0; i < c->all.n; i++) {
		if (c->all.v[i]->kind != SYM_LET) continue;
		const let_def *d = c->all.v[i]->def;
		value v = value_of(c, c->all.v[i]);
		if (v.kind == VALUE_BAD || c->all.v[i]->in != c->plan_in) continue;
		model_let *l = LIST_ADD(c->mem, &c->m->lets);
		const syn_expr *from = line_arg(d->line, "from", 0), *to = line_arg(d->line, "to", 0),
			       *help = line_arg(d->line, "", 0);
		*l = (model_let){.name = d->name,
				 .kind = v.kind == VALUE_TEXT	 ? MODEL_LET_TEXT
					 : v.kind == VALUE_TRUTH ? MODEL_LET_TRUTH
								 : MODEL_LET_QUANT,
				 .value = v.q,
				 .text = v.text,
				 .truth = v.truth,
				 .overridden = d->overridden,
				 .at = d->value->at};
		l->help = help ? eval_words(c, help) : NULL;
		l->has_range = v.kind == VALUE_QUANT && from && to && eval_quant(c, from, v.q.dim, &l->least) &&
			       eval_quant(c, to, v.q.dim, &l->most);
	}
}

/* Told last, and only when nothing else is wrong: a plan that is just begun has other things to hear. */
static void report_missing(ctx *c) {
	if (c->diags->errors) return;
	const syn_file *last = &c->plan->files.v[c->plan->files.n - 1];
	span end = {last->source, 0, 0};
	if (!c->header) {
		diag *g = diag_error(c->diags, "plan-form", end, "this file has no header, so it is no plan by itself");
		diag_add_help(c->diags, g, "begin it with: plan \"What it is\" { edition \"A\" }");
	}
	if (c->header && !c->m->cabinet_name) {
		diag *g = diag_error(c->diags, "plan-form", c->header->word_at, "this plan has no cabinet");
		diag_add_help(c->diags, g, "describe it in a block: cabinet bench { … }");
	}
}

resolve_state *resolve_begin(arena *mem, const source_set *sources, const syn_plan *plan, const resolve_options *o,
			     diags *d) {
	ctx *c = ARENA_NEW(mem, ctx);
	c->mem = mem;
	c->sources = sources;
	c->diags = d;
	c->plan = plan;
	c->sets = o->sets;
	c->shipped = o->shipped;
	c->shipped_with = o->shipped_with;
	c->m = ARENA_NEW(mem, model);
	c->m->mem = mem;
	c->m->sources = sources;
	c->m->measures = measures_of(plan, o);
	for (size_t i = 0; i < d->all.n; i++)
		/* So far only the reader spoke: of its plan-value, a file was not named by a text. */
		if (text_same(d->all.v[i]->rule, "plan-use") || text_same(d->all.v[i]->rule, "plan-value"))
			c->use_failed = true;
	c->m->lacks_file = c->use_failed;
	c->plan_in = c->in = ARENA_NEW(mem, inst);
	c->in->prefix = c->in->suffix = "";
	declare_plan(c);
	resolve_measures(c, o);
	parts_read(c);
	patterns_declare(c);
	resolve_stocks(c);
	tools_resolve(c);
	c->placing = true;
	parts_resolve(c);
	extras_resolve(c);
	try_lets(c);
	patterns_resolve(c);
	joints_resolve(c);
	features_resolve(c);
	c->placing = false;
	c->known = KNOWN_SHAPED;
	c->lacks[KNOWN_SHAPED] = !resolve_whole(c);
	resolve_header(c);
	air_resolve(c);
	work_resolve(c);
	rules_resolve(c);
	report_missing(c);
	return c;
}

model *resolve_model(resolve_state *s) { return s->m; }

bool resolve_whole(const resolve_state *s) {
	for (size_t i = 0; i < s->parts.n; i++)
		if (s->parts.v[i]->first == MODEL_NONE) return false;
	for (size_t i = 0; i < s->patterns.n; i++)
		if (s->patterns.v[i]->bad) return false;
	for (size_t i = 0; i < s->places.n; i++)
		if (s->places.v[i]->bad || s->places.v[i]->box->structure_bad) return false;
	return !s->joint_failed && !s->too_large && !s->parts_failed;
}

bool resolve_air_whole(const resolve_state *s) { return !s->air_failed; }

bool resolve_work_whole(const resolve_state *s) { return !s->work_failed; }

void resolve_known(resolve_state *s, known_stage stage, bool good) {
	s->known = stage;
	s->lacks[stage] = !good;
	if (stage == KNOWN_AIR && !good) s->air_failed = true;
}

void resolve_finish(resolve_state *s) {
	lets_resolve(s);
	requires_resolve(s);
	words_fill(s);
}
