/* Declaring: which names there are, in the plan, in placed assemblies and in the turns of a `repeat`. */
#include <string.h>

#include "compiler/context.h"
#include "runtime/base/text.h"

/* Turns of one `repeat`; instances of a plan; how deep assemblies stand in each other; part lines of a plan. */
enum { MOST_TURNS = 500, MOST_INSTANCES = 4000, DEEPEST = 32, MOST_PARTS = 2000 };

/* ---- plain lines -------------------------------------------------------------------------------- */

static const char *plain_name(ctx *c, const syn_line *line) {
	const syn_expr *e = line_arg(line, NULL, 0);
	const char *name = expr_word(e);
	if (!name && e->kind != SYN_BAD) {
		diag *g = diag_error(c->diags, "plan-form", e->at, "a plain name belongs here");
		diag_add_help(c->diags, g, "a name begins with a letter and goes on with letters, digits and _");
	}
	return name;
}

static let_def *add_let(ctx *c, const char *name, span at, const syn_line *line, const syn_expr *e) {
	let_def *d = ARENA_NEW(c->mem, let_def);
	*d = (let_def){.name = name, .at = at, .line = line, .value = e, .in = c->in, .value_in = c->in};
	names_add(c, name, SYM_LET, at, d);
	return d;
}

static void declare_let(ctx *c, const syn_line *line) {
	const char *name = plain_name(c, line);
	if (name) add_let(c, name, line_arg(line, NULL, 0)->at, line, line_arg(line, "=", 0));
}

/* The row of a word list that the clause `: WORD` names; -1 (reported) when none does. */
static int kind_word(ctx *c, const syn_line *line, const char *const *words, int n, const char *what) {
	const syn_expr *e = line_arg(line, ":", 0);
	const char *word = expr_word(e);
	for (int k = 0; k < n; k++)
		if (text_same(word, words[k])) return k;
	if (e->kind == SYN_BAD) return -1;
	diag *g = diag_error(c->diags, "plan-unknown-word", e->at, "there is no %s of kind `%s`", what,
			     expr_source(c, e));
	diag_add_choice(c->diags, g, word, words, (size_t)n, "there are");
	return -1;
}

static void declare_stock(ctx *c, const syn_line *line) {
	const char *name = plain_name(c, line);
	int kind = kind_word(c, line, MODEL_STOCK_WORD, STOCK_KINDS, "stock");
	if (!name || kind < 0) return;
	stock_def *d = ARENA_NEW(c->mem, stock_def);
	*d = (stock_def){
		.name = name, .at = line_arg(line, NULL, 0)->at, .line = line, .row = (model_ref)c->m->stocks.n};
	if (!names_add(c, name, SYM_STOCK, d->at, d)) return;
	model_stock *s = LIST_ADD(c->mem, &c->m->stocks);
	*s = (model_stock){.kind = (model_stock_kind)kind,
			   .name = name,
			   .label = name,
			   .at = d->at,
			   .price_cents = -1,
			   .pack = 1,
			   .on_hand = -1};
}

static void declare_tool(ctx *c, const syn_line *line) {
	const char *name = plain_name(c, line);
	int kind = kind_word(c, line, MODEL_TOOL_WORD, TOOL_KINDS, "tool");
	if (!name || kind < 0) return;
	tool_def *d = ARENA_NEW(c->mem, tool_def);
	*d = (tool_def){.name = name, .at = line_arg(line, NULL, 0)->at, .line = line, .row = (model_ref)c->m->tools.n};
	if (!names_add(c, name, SYM_TOOL, d->at, d)) return;
	model_tool *t = LIST_ADD(c->mem, &c->m->tools);
	*t = (model_tool){.kind = (model_tool_kind)kind, .name = name, .label = name, .at = d->at};
}

static void declare_pattern(ctx *c, const syn_line *line) {
	const char *name = plain_name(c, line);
	if (!name) return;
	pattern_def *d = ARENA_NEW(c->mem, pattern_def);
	*d = (pattern_def){.name = name, .at = line_arg(line, NULL, 0)->at, .line = line, .in = c->in};
	d->path = inst_path(c, c->in, name);
	if (names_add(c, name, SYM_PATTERN, d->at, d)) LIST_PUSH(c->mem, &c->patterns, d);
}

static void declare_assembly(ctx *c, const syn_line *line) {
	const char *name = plain_name(c, line);
	if (!name) return;
	assembly_def *a = ARENA_NEW(c->mem, assembly_def);
	*a = (assembly_def){.name = name, .at = line_arg(line, NULL, 0)->at, .line = line};
	if (names_add(c, name, SYM_ASSEMBLY, a->at, a)) LIST_PUSH(c->mem, &c->assemblies, a);
	words_check_all(c, BLOCK_ASSEMBLY, line);
}

static place_def *new_place(ctx *c, const char *name, span at, const syn_line *line) {
	place_def *p = ARENA_NEW(c->mem, place_def);
	*p = (place_def){.name = name, .at = at, .line = line, .in = c->in, .first = 1};
	LIST_PUSH(c->mem, &c->in->places, p);
	return p;
}

static void declare_place(ctx *c, const syn_line *line) {
	const char *name = plain_name(c, line);
	if (!name) return;
	place_def *p = new_place(c, name, line_arg(line, NULL, 0)->at, line);
	part_def *box = ARENA_NEW(c->mem, part_def);
	*box = (part_def){.name = name,
			  .path = inst_path(c, c->in, name),
			  .in = c->in,
			  .at = p->at,
			  .line = line,
			  .kind = PART_ITEM,
			  .first = MODEL_NONE,
			  .place = p};
	for (int f = 0; f < 6; f++) box->face_at[f] = span_none();
	p->box = box;
	if (names_add(c, name, SYM_PLACE, p->at, p)) LIST_PUSH(c->mem, &c->places, p);
}

/* ---- when ------------------------------------------------------------------------------------------ */

static when_def *pending(ctx *c, const syn_line *line, block_kind block) {
	when_def *w = ARENA_NEW(c->mem, when_def);
	w->block = (int)block;
	LIST_PUSH(c->mem, &w->branches, line);
	return w;
}

static bool is_part(const syn_line *line) {
	for (int k = 0; k < PART_KINDS; k++)
		if (line_is(line, MODEL_PART_WORD[k])) return true;
	return false;
}

static void settle(ctx *c, when_def *w);

static void add_pending(ctx *c, when_def *w) {
	if (c->in->settling) {
		settle(c, w); /* within one that is being settled: its place in the order is now */
		return;
	}
	LIST_PUSH(c->mem, &c->in->whens, w);
}

static void declare_repeat(ctx *c, const syn_line *line, block_kind block) {
	size_t n = line_args(line, NULL);
	const syn_expr *variable = line_arg(line, NULL, n - 1), *name = n == 2 ? line_arg(line, NULL, 0) : NULL;
	if (!expr_word(variable) || (name && !expr_word(name))) {
		if (variable->kind == SYN_BAD || (name && name->kind == SYN_BAD)) return;
		diag *g = diag_error(c->diags, "plan-form", expr_word(variable) ? name->at : variable->at,
				     "a plain name belongs here");
		diag_add_help(c->diags, g, "write it like this: repeat bay i from 1 to 3 { … }");
		return;
	}
	if (!name) {
		add_pending(c, pending(c, line, block));
		return;
	}
	place_def *p = new_place(c, expr_word(name), name->at, line);
	p->counted = true;
	p->block = (int)block;
	names_add(c, p->name, SYM_PLACE, p->at, p);
}

static void declare_one(ctx *c, const syn_line *line, block_kind block) {
	if (line_is(line, "let"))
		declare_let(c, line);
	else if (line_is(line, "stock"))
		declare_stock(c, line);
	else if (line_is(line, "tool"))
		declare_tool(c, line);
	else if (line_is(line, "step"))
		LIST_PUSH(c->mem, &c->steps, line);
	else if (line_is(line, "require"))
		LIST_PUSH(c->mem, &c->requires, line);
	else if (line_is(line, "allow"))
		LIST_PUSH(c->mem, &c->allows, line);
	else if (line_is(line, "tune"))
		LIST_PUSH(c->mem, &c->tunes, line);
	else if (line_is(line, "assembly"))
		declare_assembly(c, line);
	else if (line_is(line, "openings"))
		declare_pattern(c, line);
	else if (line_is(line, "place"))
		declare_place(c, line);
	else if (line_is(line, "repeat"))
		declare_repeat(c, line, block);
	else if (line_is(line, MODEL_PART_WORD[PART_EXTRA]))
		extra_declare(c, line);
	else if (is_part(line))
		part_declare(c, line);
	else if (line_is(line, "join")) {
		join_def j = {line, c->in};
		LIST_PUSH(c->mem, &c->joins, j);
	}
}

/* The `otherwise` lines that belong to the `when` at lines[i] go to *w; gives the index behind them. */
static size_t take_branches(ctx *c, const syn_lines *lines, size_t i, block_kind block, when_def *w) {
	for (i++; i < lines->n && line_is(lines->v[i], "otherwise"); i++) {
		const syn_line *line = lines->v[i];
		const syn_line *before = w->branches.v[w->branches.n - 1];
		if (!words_check(c, block, line)) continue;
		bool last = line_is(before, "otherwise") && !line_args(before, NULL);
		if (last) {
			diag *g = diag_error(c->diags, "plan-form", line->word_at, "this `otherwise` never holds");
			diag_add_note(c->diags, g, before->word_at, "because this one takes all that is left");
			continue;
		}
		bool chained = line_args(line, NULL) == 2 && text_same(expr_word(line_arg(line, NULL, 0)), "when");
		if (line_args(line, NULL) && !chained) {
			diag *g = diag_error(c->diags, "plan-form", line_arg(line, NULL, 0)->at,
					     "`otherwise` takes a block, or a further `when`");
			diag_add_help(c->diags, g, "write `otherwise { … }` or `otherwise when wide { … }`");
			continue;
		}
		LIST_PUSH(c->mem, &w->branches, line);
	}
	return i;
}

void declare_lines(ctx *c, const syn_lines *lines, block_kind block) {
	for (size_t i = 0; i < lines->n && !c->too_large;) {
		const syn_line *line = lines->v[i];
		bool good = words_check(c, block, line);
		if (line_is(line, "when")) {
			when_def *w = pending(c, line, block);
			i = take_branches(c, lines, i, block, w);
			if (good) add_pending(c, w);
			continue;
		}
		i++;
		if (!good && line_is(line, "join")) c->joint_failed = true;
		if (good && line_is(line, "otherwise")) {
			diag *g = diag_error(c->diags, "plan-form", line->word_at, "no `when` stands before this");
			diag_add_help(c->diags, g, "`otherwise` follows the block of a `when`");
		} else if (good) {
			declare_one(c, line, block);
		}
	}
}

static void leave_out(ctx *c, const syn_line *holder, const syn_line *when) {
	for (size_t i = 0; i < holder->block.n; i++) {
		const syn_line *line = holder->block.v[i];
		const syn_clause *k = line_clause(line, NULL, 0);
		if (line_is(line, "when") || line_is(line, "otherwise")) leave_out(c, line, when);
		for (size_t n = 0; k && n < k->args.n; n++) {
			left_out l = {expr_word(k->args.v[n]), k->args.v[n]->at, when};
			if (l.name && !line_is(line, "join")) LIST_PUSH(c->mem, &c->left_out, l);
		}
	}
}

/* The branch of a `when` that holds, or NULL; NULL and *known false when that cannot be told. */
static const syn_line *when_branch(ctx *c, const when_def *w, bool *known) {
	*known = true;
	for (size_t i = 0; i < w->branches.n; i++) {
		const syn_line *line = w->branches.v[i];
		const syn_expr *e = line_arg(line, NULL, i ? 1 : 0);
		if (!e || eval_condition(c, e, known)) return *known ? line : NULL;
		if (!*known) return NULL;
	}
	return NULL;
}

static bool stands_alone(const syn_line *line) {
	return line_is(line, "plan") || line_is(line, "cabinet") || line_is(line, "air");
}

/* The header, the cabinet, the air and `use` stand in the plan itself: which of them there are is not chosen. */
static void report_alone(ctx *c, const syn_lines *lines) {
	for (size_t i = 0; i < lines->n; i++) {
		const syn_line *line = lines->v[i];
		if (!stands_alone(line) && !line_is(line, "use")) continue;
		diag *g = diag_error(c->diags, "plan-form", line->word_at, "`%s` cannot stand in a `when`", line->word);
		diag_add_help(c->diags, g,
			      line_is(line, "cabinet") || line_is(line, "air") ? "put the `when` into its block"
									       : "write it beside");
	}
}

static void note_left_out(ctx *c, const when_def *w, block_kind block, const syn_line *taken, bool known) {
	for (size_t i = 0; i < w->branches.n; i++) {
		const syn_line *line = w->branches.v[i];
		if (line == taken) continue;
		if (known) leave_out(c, line, line);
		words_check_all(c, block, line);
	}
}

static void expand_turns(ctx *c, place_def *p, block_kind block);

static void settle(ctx *c, when_def *w) {
	w->settled = true;
	const syn_line *line = w->branches.v[0];
	if (line_is(line, "repeat")) {
		place_def *p = new_place(c, NULL, line->word_at, line);
		p->block = w->block;
		place_expand(c, p, line->word_at);
		return;
	}
	bool known;
	const syn_line *taken = when_branch(c, w, &known);
	if (!known) { /* reported: what would have come of it is missed nowhere */
		c->parts_failed = c->in->parts_failed = true;
		for (size_t i = 0; i < w->branches.n; i++) words_excuse(c, w->branches.v[i]);
	}
	note_left_out(c, w, (block_kind)w->block, taken, known);
	bool of_file = w->block == BLOCK_FILE || w->block == BLOCK_LIBRARY;
	for (size_t i = 0; of_file && i < w->branches.n; i++) report_alone(c, &w->branches.v[i]->block);
	if (taken) declare_lines(c, (const syn_lines *)&taken->block, (block_kind)w->block);
}

void scope_settle(ctx *c, inst *in) {
	if (in->settling) return;
	in->settling = true;
	inst *before = inst_enter(c, in);
	while (in->whens_done < in->whens.n) settle(c, in->whens.v[in->whens_done++]);
	inst_enter(c, before);
	in->settling = false;
}

const syn_lines *lines_chosen(ctx *c, block_kind block, const syn_lines *lines) {
	syn_lines *out = ARENA_NEW(c->mem, syn_lines);
	for (size_t i = 0; i < lines->n;) {
		if (!line_is(lines->v[i], "when")) {
			LIST_PUSH(c->mem, out, lines->v[i++]);
			continue;
		}
		when_def *w = pending(c, lines->v[i], block);
		bool good = words_check(c, block, lines->v[i]), known;
		i = take_branches(c, lines, i, block, w);
		if (!good) continue;
		const syn_line *taken = when_branch(c, w, &known);
		note_left_out(c, w, block, taken, known);
		if (!known) c->choice_failed = true;
		if (!taken) continue;
		const syn_lines *inner = lines_chosen(c, block, (const syn_lines *)&taken->block);
		for (size_t k = 0; k < inner->n; k++) LIST_PUSH(c->mem, out, inner->v[k]);
	}
	return out;
}

/* ---- instances -------------------------------------------------------------------------------------- */

static bool too_large(ctx *c, span at, const char *text) {
	if (c->too_large) return true;
	c->too_large = true;
	diag *g = diag_error(c->diags, "plan-size", at, "%s", text);
	diag_add_help(c->diags, g, "write what is built apart as a plan of its own");
	return true;
}

static inst *new_inst(ctx *c, place_def *p, inst *outer, uint32_t number) {
	if (c->too_large) return NULL;
	if (c->n_insts >= MOST_INSTANCES) {
		too_large(c, p->at,
			  arena_printf(c->mem, "more than %d turns and placed assemblies in one plan", MOST_INSTANCES));
		return NULL;
	}
	if (p->in->depth >= DEEPEST) {
		too_large(c, p->at, arena_printf(c->mem, "more than %d levels stand in each other here", DEEPEST));
		return NULL;
	}
	c->n_insts++;
	inst *in = ARENA_NEW(c->mem, inst);
	in->parent = p->in;
	in->outer = outer;
	in->place = p;
	in->number = number;
	in->depth = p->in->depth + 1;
	long long shown = (long long)(p->first + number);
	const char *up = p->in->name ? arena_printf(c->mem, "%s.", p->in->name) : "";
	if (!p->name) {
		const char *variable = expr_word(line_arg(p->line, NULL, 0));
		in->name = arena_printf(c->mem, "%s%s = %lld", up, variable, shown);
		in->prefix = p->in->prefix;
		in->suffix = arena_printf(c->mem, "%s.%lld", p->in->suffix, shown);
		in->within.text = arena_printf(c->mem, "in the turn %s = %lld of this `repeat`", variable, shown);
	} else {
		const char *path = inst_path(c, p->in, p->name);
		in->name = p->counted ? arena_printf(c->mem, "%s%s[%lld]", up, p->name, shown)
				      : arena_printf(c->mem, "%s%s", up, p->name);
		in->prefix =
			p->counted ? arena_printf(c->mem, "%s.%lld.", path, shown) : arena_printf(c->mem, "%s.", path);
		in->suffix = "";
		in->within.text =
			arena_printf(c->mem, "in `%s`, %s here", in->name, p->assembly ? "placed" : "repeated");
	}
	in->within.name = in->name;
	in->within.at = p->at;
	in->within.outer = p->in->parent ? &p->in->within : NULL;
	LIST_PUSH(c->mem, &p->items, in);
	return in;
}

static bool expr_names(const syn_expr *e, const char *name) {
	if (!e) return false;
	if (expr_names(e->a, name) || expr_names(e->b, name) || expr_names(e->other, name)) return true;
	for (size_t i = 0; i < e->names.n; i++)
		if ((i == 0 && text_same(e->names.v[0].v, name)) || expr_names(e->names.v[i].index, name)) return true;
	for (size_t i = 0; i < e->args.n; i++)
		if (expr_names(e->args.v[i], name)) return true;
	for (size_t i = 0; i < e->pieces.n; i++)
		if (expr_names(e->pieces.v[i].value, name)) return true;
	return e->kind == SYN_BAD; /* what was reported may have named it */
}

static bool block_names(const syn_line *holder, const char *name) {
	for (size_t i = 0; i < holder->block.n; i++) {
		const syn_line *line = holder->block.v[i];
		if (block_names(line, name)) return true;
		for (size_t k = 0; k < line->clauses.n; k++)
			for (size_t n = 0; n < line->clauses.v[k].args.n; n++)
				if (expr_names(line->clauses.v[k].args.v[n], name)) return true;
	}
	return false;
}

static bool block_places(const syn_line *holder) {
	for (size_t i = 0; i < holder->block.n; i++) {
		const syn_line *line = holder->block.v[i];
		if (line_is(line, "place")) return true;
		for (int k = 0; k < PART_KINDS; k++)
			if (line_is(line, MODEL_PART_WORD[k])) return true;
		if ((line_is(line, "repeat") || line_is(line, "when") || line_is(line, "otherwise")) &&
		    block_places(line))
			return true;
	}
	return false;
}

/* Turns that do not ask for their number are all alike, and stand in one place: told once, at the number. */
static void report_alike(ctx *c, const place_def *p, const syn_expr *variable, int64_t turns) {
	if (turns < 2 || !block_places(p->line) || block_names(p->line, expr_word(variable))) return;
	diag *g = diag_error(c->diags, "plan-form", variable->at,
			     "nothing in this `repeat` asks for `%s`: all its %lld turns stand in one place",
			     expr_word(variable), (long long)turns);
	diag_add_help(c->diags, g, "place what it repeats by it, such as `%s`",
		      example_shown(c->m, arena_printf(c->mem, "left at %s * 300 mm", expr_word(variable))));
	c->parts_failed = true;
}

static void expand_turns(ctx *c, place_def *p, block_kind block) {
	size_t n = line_args(p->line, NULL);
	const syn_expr *variable = line_arg(p->line, NULL, n - 1), *from = line_arg(p->line, "from", 0),
		       *to = line_arg(p->line, "to", 0);
	int64_t first, last;
	bool good = eval_count(c, from, 0, 1000000, &first);
	if (!eval_count(c, to, 0, 1000000, &last) || !good) {
		p->bad = true;
		words_excuse(c, p->line);
		return;
	}
	p->first = first;
	if (last < first - 1) {
		diag *g = diag_error(c->diags, "plan-count", to->at, "this runs backwards, from %lld to %lld",
				     (long long)first, (long long)last);
		diag_add_help(c->diags, g,
			      "a `repeat` counts upwards; one that ends just before it begins has no turn");
		p->bad = true;
		return;
	}
	if (last - first + 1 > MOST_TURNS) {
		diag_error(c->diags, "plan-count", to->at, "this makes %lld turns; %d is the most",
			   (long long)(last - first + 1), MOST_TURNS);
		p->bad = true;
		return;
	}
	report_alike(c, p, variable, last - first + 1);
	for (int64_t i = first; i <= last; i++) {
		inst *in = new_inst(c, p, p->in, (uint32_t)(i - first));
		if (!in) break;
		inst *before = inst_enter(c, in);
		syn_expr *count = ARENA_NEW(c->mem, syn_expr);
		*count = (syn_expr){.kind = SYN_QUANT, .at = variable->at, .value = quant_number(rat_int(i))};
		add_let(c, expr_word(variable), variable->at, NULL, count);
		declare_lines(c, (const syn_lines *)&p->line->block, block);
		inst_enter(c, before);
	}
	if (last < first) words_check_all(c, block, p->line);
}

bool eval_condition(ctx *c, const syn_expr *e, bool *known) {
	bool held = false;
	*known = eval_truth(c, e, &held);
	return held;
}

bool place_expand(ctx *c, place_def *p, span at) {
	if (p->expanded) return !p->bad;
	busy b;
	if (!busy_enter(c, &b, p, p->name ? p->name : "repeat", at)) {
		p->bad = p->expanded = true;
		return false;
	}
	inst *before = inst_enter(c, p->in);
	if (line_is(p->line, "repeat"))
		expand_turns(c, p, (block_kind)p->block);
	else
		assembly_expand(c, p);
	p->expanded = true;
	inst_enter(c, before);
	busy_leave(c, &b);
	return !p->bad;
}

inst *assembly_inst(ctx *c, place_def *p, uint32_t number) { return new_inst(c, p, c->plan_in, number); }

void inst_complete(ctx *c, inst *in) {
	if (in->complete) return;
	in->complete = true; /* one that asks for itself meanwhile is told of the circle elsewhere */
	scope_settle(c, in);
	for (size_t i = 0; i < in->places.n; i++) {
		place_def *p = in->places.v[i];
		if (!place_expand(c, p, p->at)) continue;
		for (size_t k = 0; k < p->items.n; k++) inst_complete(c, p->items.v[k]);
	}
}

/* ---- the plan ---------------------------------------------------------------------------------------- */

static void declare_alone(ctx *c, const syn_line *line, const syn_line **cabinet) {
	const syn_line **slot = line_is(line, "plan") ? &c->header : line_is(line, "air") ? &c->air : cabinet;
	if (!*slot) {
		*slot = line;
		return;
	}
	diag *g = diag_error(c->diags, "plan-twice", line->word_at, "`%s` stands twice in this plan", line->word);
	diag_add_note(c->diags, g, (*slot)->word_at, "first here");
}

static void declare_files(ctx *c) {
	const syn_line *cabinet = NULL;
	for (size_t i = 0; i < c->plan->files.n; i++) {
		const syn_file *f = &c->plan->files.v[i];
		block_kind block = i + 1 == c->plan->files.n ? BLOCK_FILE : BLOCK_LIBRARY;
		syn_lines rest = {0};
		for (size_t k = 0; k < f->lines.n; k++) {
			const syn_line *line = f->lines.v[k];
			if (block == BLOCK_FILE && stands_alone(line)) {
				if (words_check(c, block, line)) declare_alone(c, line, &cabinet);
			} else {
				LIST_PUSH(c->mem, &rest, f->lines.v[k]);
			}
		}
		declare_lines(c, &rest, block);
	}
	if (!cabinet) return;
	const char *name = plain_name(c, cabinet);
	c->m->cabinet_name = name ? name : "cabinet";
	if (name) names_add(c, name, SYM_CABINET, line_arg(cabinet, NULL, 0)->at, NULL);
	declare_lines(c, (const syn_lines *)&cabinet->block, BLOCK_CABINET);
}

void declare_plan(ctx *c) {
	declare_files(c);
	declare_sets(c, false);
	inst_complete(c, c->plan_in);
	declare_sets(c, true);
	air_declare(c);
}

void part_declare(ctx *c, const syn_line *line) {
	const char *name = expr_word(line_arg(line, NULL, 0));
	if (!name) {
		if (line_arg(line, NULL, 0)->kind != SYN_BAD)
			diag_error(c->diags, "plan-form", line_arg(line, NULL, 0)->at, "a part has a plain name");
		return;
	}
	part_def *p = ARENA_NEW(c->mem, part_def);
	p->name = name;
	p->path = inst_path(c, c->in, name);
	p->in = c->in;
	p->at = line_arg(line, NULL, 0)->at;
	p->line = line;
	p->first = MODEL_NONE;
	for (int k = 0; k < PART_KINDS; k++)
		if (line_is(line, MODEL_PART_WORD[k])) p->kind = (model_part_kind)k;
	for (int f = 0; f < 6; f++) p->face_at[f] = span_none();
	if (!names_add(c, name, SYM_PART, p->at, p)) return;
	if (c->parts.n >= MOST_PARTS) {
		too_large(c, p->at, arena_printf(c->mem, "a plan has at most %d parts", MOST_PARTS));
		return;
	}
	LIST_PUSH(c->mem, &c->parts, p);
	for (inst *in = c->in; in->parent; in = in->parent) LIST_PUSH(c->mem, &in->parts, p);
}
