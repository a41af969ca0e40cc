#include "grammar/lexer.h"

#include <stdarg.h>
#include <string.h>

#include "compiler/syntax.h"
#include "grammar/plan.tab.h"
#include "runtime/base/text.h"

/* ---- small helps ------------------------------------------------------------------------------- */

span grammar_span(const grammar_lexer *lx, size_t start, size_t end) {
	return (span){lx->file, (uint32_t)start, (uint32_t)end};
}

const char *grammar_copy(const grammar_lexer *lx, span at) {
	return arena_textn(lx->mem, lx->text + at.start, at.end - at.start);
}

diag *grammar_fault(grammar_lexer *lx, const char *rule, span at, const char *format, ...) {
	va_list args;
	va_start(args, format);
	const char *text = arena_vprintf(lx->mem, format, args);
	va_end(args);
	lx->faults++;
	if (lx->spoilt == SIZE_MAX || lx->spoilt < lx->line_from) lx->spoilt = at.start;
	return diag_error(lx->diags, rule, at, "%s", text);
}

const char *grammar_link(const char *word, size_t n) {
#define X(link)                                                                                                        \
	if (n == sizeof #link - 1 && memcmp(word, #link, n) == 0) return #link;
	SYN_LINKS(X)
#undef X
	return NULL;
}

int grammar_choice(const char *word, size_t n) {
#define X(text, token)                                                                                                 \
	if (n == sizeof #text - 1 && memcmp(word, #text, n) == 0) return TOK_##token;
	SYN_CHOICE(X)
#undef X
	return 0;
}

bool grammar_is_link(const char *word, size_t n) { return grammar_link(word, n) != NULL; }

grammar_raw *grammar_ahead(grammar_lexer *lx, size_t i) {
	while (lx->n_ahead <= i) lx->ahead[lx->n_ahead++] = grammar_flex_next(lx);
	return &lx->ahead[i];
}

void grammar_drop(grammar_lexer *lx, size_t n) {
	lx->n_ahead -= n;
	memmove(lx->ahead, lx->ahead + n, lx->n_ahead * sizeof *lx->ahead);
}

static bool is_sign(const grammar_raw *raw, const char *sign) {
	return raw->kind == RAW_SIGN && strcmp(raw->sign, sign) == 0;
}

static grammar_raw take(grammar_lexer *lx) {
	grammar_raw raw = *grammar_ahead(lx, 0);
	grammar_drop(lx, 1);
	if (raw.kind == RAW_NEWLINE) {
		lx->bol = raw.at.end;
		lx->fresh = true;
	} else if (lx->fresh) {
		lx->indent = text_columns(lx->text + lx->bol, raw.at.start - lx->bol, 0);
	}
	return raw;
}

/* Leaves out what stands up to the end of the line or the next brace. */
static void skip_line(grammar_lexer *lx) {
	for (;;) {
		const grammar_raw *raw = grammar_ahead(lx, 0);
		if (raw->kind == RAW_NEWLINE || raw->kind == RAW_END || lx->faults >= GRAMMAR_MOST_FAULTS) return;
		if (is_sign(raw, "{") || is_sign(raw, "}") || is_sign(raw, ";")) return;
		take(lx);
	}
}

/* ---- braces ------------------------------------------------------------------------------------ */

static void skip_block(grammar_lexer *lx) {
	size_t depth = 1;
	while (depth) {
		if (grammar_ahead(lx, 0)->kind == RAW_END || lx->faults >= GRAMMAR_MOST_FAULTS) return;
		grammar_raw raw = take(lx);
		if (is_sign(&raw, "{")) depth++;
		if (is_sign(&raw, "}")) depth--;
	}
}

static bool open_brace(grammar_lexer *lx, span at) {
	if (lx->braces.n == GRAMMAR_BLOCK_DEPTH) {
		diag *g = grammar_fault(lx, "plan-depth", at, "blocks are nested deeper than %d", GRAMMAR_BLOCK_DEPTH);
		diag_add_note(lx->diags, g, lx->braces.v[0].at, "the outermost begins here");
		lx->told = at.start;
		skip_block(lx);
		return false;
	}
	grammar_open o = {.at = at, .indent = lx->line_indent, .word = lx->line_word};
	LIST_PUSH(lx->mem, &lx->braces, o);
	return true;
}

static bool close_brace(grammar_lexer *lx, span at) {
	if (at.start == lx->left_out) {
		diag *g = grammar_fault(lx, "plan-syntax", at, "this `}` closes nothing that begins on its line");
		diag_add_help(lx->diags, g, "take it out, or look for a missing `{` before it");
		return false;
	}
	if (lx->braces.n == 0) {
		lx->closes_nothing = lx->astray != SIZE_MAX && lx->left_out == SIZE_MAX;
		if (lx->closes_nothing) return false; /* it is read once more, and the other one told */
		diag *g = grammar_fault(lx, "plan-syntax", at, "this `}` closes nothing");
		if (span_known(lx->suspect_close))
			diag_add_note(lx->diags, g, lx->suspect_close, "this `}` may be one too many");
		diag_add_help(lx->diags, g, "take it out, or look for a missing `{` above");
		return false;
	}
	grammar_open o = lx->braces.v[--lx->braces.n];
	if (!lx->fresh && o.at.start < lx->bol && lx->astray == SIZE_MAX) lx->astray = at.start;
	if (lx->fresh && lx->indent != o.indent && !span_known(lx->suspect_close)) {
		lx->suspect = o;
		lx->suspect_close = at;
	}
	return true;
}

/* The file ended inside a block. When a `}` stood under another line's beginning than the one it closes, that
 * block is the one that was most likely left open. */
static void report_unclosed(grammar_lexer *lx) {
	grammar_open o = lx->braces.v[lx->braces.n - 1];
	bool other = span_known(lx->suspect_close) && lx->suspect.at.start > o.at.start;
	if (other) o = lx->suspect;
	lx->unclosed = o.at.start;
	diag *g = grammar_fault(lx, "plan-syntax", o.at,
				o.word ? "this `{` of `%s` is not closed" : "this `{` is not closed", o.word);
	if (other)
		diag_add_note(lx->diags, g, lx->suspect_close, "this `}` closes it, but stands under another line");
	else
		for (size_t i = lx->braces.n - 1; i-- > 0;)
			diag_add_note(lx->diags, g, lx->braces.v[i].at, "this one is still open too");
	diag_add_help(lx->diags, g, "every `{` needs its `}`");
}

/* Whether the block to be repaired ends before this raw token. */
static bool ends_repaired(const grammar_lexer *lx, const grammar_raw *raw) {
	if (lx->repair == SIZE_MAX || !lx->fresh || !lx->line_start || !lx->braces.n) return false;
	if (raw->kind == RAW_NEWLINE || raw->kind == RAW_END) return false;
	const grammar_open *o = &lx->braces.v[lx->braces.n - 1];
	if (o->at.start != lx->repair) return false;
	return is_sign(raw, "}") ? lx->indent < o->indent : lx->indent <= o->indent;
}

/* ---- tokens ------------------------------------------------------------------------------------ */

static bool ends_value(int kind) {
	return kind == TOK_QUANT || kind == TOK_TEXT || kind == TOK_NAME || kind == TOK_BAD || kind == ')' ||
	       kind == ']' || kind == TOK_MEMBER;
}

/* What a line cannot end behind. */
static bool goes_on(int kind) {
	switch (kind) {
	case ',':
	case '+':
	case '-':
	case '*':
	case '/':
	case '(':
	case '[':
	case ':':
	case '=':
	case TOK_COMPARE:
	case TOK_ARROW:
	case TOK_TOLERANCE:
	case TOK_IF:
	case TOK_THEN:
	case TOK_ELSE:
		return true;
	default:
		return false;
	}
}

static const char *unescape(grammar_lexer *lx, span at) {
	textbuf t = textbuf_begin(lx->mem);
	for (size_t i = at.start + 1; i + 1 < at.end; i++) {
		char c = lx->text[i];
		if (c == '\\' && i + 2 < at.end) {
			c = lx->text[++i];
			if (c != '"' && c != '\\') {
				diag *g = grammar_fault(lx, "plan-text", grammar_span(lx, i - 1, i + 1),
							"`\\` stands before `\"` or `\\` only");
				diag_add_help(lx->diags, g, "write `\\\\` for a backslash");
				textbuf_char(&t, '\\');
			}
		}
		textbuf_char(&t, c);
	}
	return t.v;
}

static size_t quote_bytes(const char *p, size_t left) {
	if (left && (*p == '"' || *p == '\'')) return 1;
	return left >= 3 && memcmp(p, "\xE2\x80", 2) == 0 && strchr("\x98\x99\x9C\x9D\x9E", p[2]) ? 3 : 0;
}

/* What stands between the wrong quotes, or behind the only one. */
static const char *bad_text(const grammar_lexer *lx, span at) {
	at.start += (uint32_t)quote_bytes(lx->text + at.start, at.end - at.start);
	size_t n = at.end - at.start;
	if (n && quote_bytes(lx->text + at.end - 1, 1))
		at.end--;
	else if (n >= 3)
		at.end -= (uint32_t)quote_bytes(lx->text + at.end - 3, 3);
	return grammar_copy(lx, at);
}

static void begin_line(grammar_lexer *lx, const char *word) {
	lx->line_start = false;
	lx->line_word = word;
	lx->line_indent = lx->indent;
	lx->compares = text_same(word, "require") || text_same(word, "when") || text_same(word, "otherwise");
	lx->arrows = false;
}

/* The second half of a rule's name, such as `over` in `allow tip-over`. */
static bool ends_rule_name(const grammar_lexer *lx, span at) {
	bool about_rules = text_same(lx->line_word, "allow") || text_same(lx->line_word, "tune");
	return about_rules && lx->last.kind == '-' && lx->last.at.end == at.start;
}

/* The words of a choice, of which the lexer keeps account: between `if` and `then` a `=` compares, and a line goes on
 * before `then` and `else`. */
static void choice_token(grammar_lexer *lx, int kind, span at) {
	if (kind == TOK_IF) {
		grammar_open o = {.at = at};
		LIST_PUSH(lx->mem, &lx->choices, o);
	} else if (kind == TOK_THEN && lx->choices.n) {
		lx->choices.v[lx->choices.n - 1].then = true;
	} else if (kind == TOK_ELSE && lx->choices.n && lx->choices.v[lx->choices.n - 1].then) {
		lx->choices.n--;
	}
}

/* A word that joins or chooses: no name. 0 when it is none such. */
static int spoken_for(grammar_lexer *lx, grammar_token *t, size_t first, size_t all) {
	int choice = grammar_choice(t->text, first);
	if (!choice && !grammar_is_link(t->text, first)) return 0;
	t->kind = choice ? choice : TOK_LINK;
	if (!choice) t->text = grammar_link(t->text, first);
	if (first == all) {
		if (choice) choice_token(lx, choice, t->at);
		return t->kind;
	}
	grammar_fault(lx, "plan-name", grammar_span(lx, t->at.start, t->at.start + first),
		      "`%.*s` is a linking word and cannot be a name", (int)first, t->text);
	return t->kind = TOK_BAD;
}

static grammar_token word_token(grammar_lexer *lx, span at) {
	grammar_token t = {.kind = TOK_NAME, .at = at, .text = grammar_copy(lx, at)};
	size_t first = strcspn(t.text, "."), all = at.end - at.start;
	if (lx->line_start && first == all) {
		begin_line(lx, t.text);
		t.kind = TOK_LEAD;
		return t;
	}
	if (lx->line_start) { /* read as the rule it most likely is */
		begin_line(lx, "require");
		diag *g = grammar_fault(lx, "plan-syntax", at, "a line begins with a word; `%s` is a value", t.text);
		diag_add_help(lx->diags, g, "a rule of your own begins with `require`, a name with `let`");
		t.kind = TOK_LEAD;
		t.text = "require";
		lx->told = at.start;
		return t;
	}
	if (!ends_rule_name(lx, at) && spoken_for(lx, &t, first, all)) return t;
	if (first == all && lx->text[at.end] == '(') t.kind = TOK_CALL;
	return t;
}

static grammar_token quantity_token(grammar_lexer *lx, grammar_raw raw, const grammar_raw *minus) {
	grammar_token t = {.kind = TOK_QUANT, .at = raw.at};
	bool divides = lx->last.kind == '/' && raw.kind == RAW_FRACTION && !minus;
	bool good = grammar_quantity(lx, raw, &t.value, &t.at);
	if (good && divides) {
		diag *g = grammar_fault(lx, "plan-number", span_join(lx->last.at, t.at),
					"this can be read in two ways: the fraction is one number");
		const char *f = grammar_copy(lx, t.at);
		diag_add_help(lx->diags, g,
			      "write `/ (%s)`, or take one division after the other with blanks around each `/`", f);
		good = false;
	}
	if (!good) t.kind = TOK_BAD;
	if (minus) {
		if (good) t.value = grammar_negative_temperature(lx, t.value, t.at);
		t.at = span_join(minus->at, t.at);
	}
	return t;
}

static grammar_token too_deep(grammar_lexer *lx, span at, const char *what, int most) {
	diag *g = grammar_fault(lx, "plan-depth", at, "%s deeper than %d", what, most);
	diag_add_help(lx->diags, g, "give a part of the value a name with `let`");
	lx->told = at.start;
	skip_line(lx);
	return (grammar_token){.kind = TOK_BAD, .at = at};
}

static grammar_token minus_token(grammar_lexer *lx, const grammar_raw *raw) {
	bool prefix = !ends_value(lx->last.kind);
	if (prefix && grammar_temperature_ahead(lx)) return quantity_token(lx, take(lx), raw);
	lx->minuses = lx->last.kind == '-' ? lx->minuses + 1 : 0;
	if (lx->minuses > GRAMMAR_BRACKET_DEPTH)
		return too_deep(lx, raw->at, "minus signs are nested", GRAMMAR_BRACKET_DEPTH);
	return (grammar_token){.kind = '-', .at = raw->at, .text = "-"};
}

/* Whether a `)` at the end of a text's line stands for the `}` of a block that begins there. */
static bool for_brace(grammar_lexer *lx) {
	const grammar_raw *next = grammar_ahead(lx, 0);
	if (next->kind != RAW_NEWLINE && next->kind != RAW_END) return false;
	return lx->braces.n && lx->braces.v[lx->braces.n - 1].at.start >= lx->bol;
}

static bool open_bracket(grammar_lexer *lx, const grammar_raw *raw, grammar_token *t) {
	bool behind = lx->last.at.end == raw->at.start &&
		      (lx->last.kind == TOK_NAME || lx->last.kind == ']' || lx->last.kind == TOK_MEMBER);
	bool square = raw->sign[0] == '[' && behind;
	if (raw->sign[0] == '[' && !square) {
		bool apart = lx->last.kind == TOK_NAME;
		diag *g = grammar_fault(lx, "plan-syntax", raw->at,
					apart ? "a number in `[ ]` stands directly behind its name"
					      : "brackets are round: `(` and `)`");
		if (apart)
			diag_add_help(lx->diags, g, "write `%s[…]`; the brackets of a value are round", lx->last.text);
	}
	if (lx->brackets.n == GRAMMAR_BRACKET_DEPTH) {
		*t = too_deep(lx, raw->at, "brackets are nested", GRAMMAR_BRACKET_DEPTH);
		return true;
	}
	grammar_open o = {.at = raw->at, .call = lx->last.kind == TOK_CALL, .square = square};
	LIST_PUSH(lx->mem, &lx->brackets, o);
	t->kind = square ? '[' : '(';
	return true;
}

static bool close_bracket(grammar_lexer *lx, const grammar_raw *raw, grammar_token *t) {
	if (lx->brackets.n == 0 && for_brace(lx)) {
		diag *g = grammar_fault(lx, "plan-syntax", raw->at, "a block is closed by `}`");
		diag_add_note(lx->diags, g, lx->braces.v[lx->braces.n - 1].at, "it begins here");
		*t = (grammar_token){.kind = '}', .at = raw->at, .text = "}"};
		return close_brace(lx, raw->at);
	}
	if (lx->brackets.n == 0) {
		grammar_fault(lx, "plan-syntax", raw->at, "this `%s` closes nothing", raw->sign);
		return false;
	}
	grammar_open o = lx->brackets.v[--lx->brackets.n];
	char opened = lx->text[o.at.start];
	t->kind = o.square ? ']' : ')';
	if ((opened == '[') == (raw->sign[0] == ']')) return true;
	diag *g = grammar_fault(lx, "plan-syntax", raw->at, "this `%s` cannot close a `%c`", raw->sign, opened);
	diag_add_note(lx->diags, g, o.at, "the `%c` is here", opened);
	return true;
}

/* False: the sign is left out. */
static bool sign_token(grammar_lexer *lx, const grammar_raw *raw, grammar_token *t) {
	const char *s = raw->sign;
	*t = (grammar_token){.kind = (unsigned char)s[0], .at = raw->at, .text = s};
	if (s[0] == '-' && !s[1]) {
		*t = minus_token(lx, raw);
	} else if (strcmp(s, "x") == 0) {
		t->kind = TOK_LINK;
	} else if (strcmp(s, "->") == 0) {
		t->kind = TOK_ARROW;
		lx->arrows = true;
	} else if (strcmp(s, "+-") == 0) {
		t->kind = TOK_TOLERANCE;
	} else if (s[0] == '=' || s[0] == '<' || s[0] == '>' || s[0] == '!') {
		if (s[0] == '=') t->text = "=";
		bool asks = lx->choices.n && !lx->choices.v[lx->choices.n - 1].then;
		if (s[0] != '=' || lx->compares || lx->brackets.n || asks) t->kind = TOK_COMPARE;
	} else if (s[0] == '(' || s[0] == '[') {
		return open_bracket(lx, raw, t);
	} else if (s[0] == ')' || s[0] == ']') {
		return close_bracket(lx, raw, t);
	} else if (s[0] == '{') {
		return open_brace(lx, raw->at);
	} else if (s[0] == '}') {
		return close_brace(lx, raw->at);
	} else if (s[0] == ';') {
		t->kind = TOK_SEP;
	}
	return true;
}

/* Behind `let a = 3 +`, a next line `let b = 4` does not go on: it stands no further to the right and its word is
 * followed by what no value is followed by. */
static bool new_line_ahead(grammar_lexer *lx) {
	const grammar_raw *word = grammar_ahead(lx, 0), *next = grammar_ahead(lx, 1);
	if (word->kind != RAW_WORD || next->at.start == word->at.end) return false;
	if (text_columns(lx->text + lx->bol, word->at.start - lx->bol, 0) > lx->line_indent) return false;
	if (next->kind == RAW_WORD) return !grammar_is_link(lx->text + next->at.start, next->at.end - next->at.start);
	return next->kind == RAW_TEXT || next->kind == RAW_INT || next->kind == RAW_DECIMAL ||
	       next->kind == RAW_FRACTION || is_sign(next, "{");
}

/* A line's end: false when it ends nothing. */
static bool newline_token(grammar_lexer *lx, const grammar_raw *raw, grammar_token *t) {
	while (grammar_ahead(lx, 0)->kind == RAW_NEWLINE) take(lx);
	if (lx->line_start || (goes_on(lx->last.kind) && !new_line_ahead(lx))) return false;
	const grammar_raw *next = grammar_ahead(lx, 0);
	if (is_sign(next, "->")) return false;
	int choice = next->kind == RAW_WORD && lx->choices.n
			     ? grammar_choice(lx->text + next->at.start, next->at.end - next->at.start)
			     : 0;
	if (choice == TOK_THEN || choice == TOK_ELSE) return false;
	if (is_sign(next, "{") && lx->last.kind != '}') return false;
	if (next->kind == RAW_WORD && lx->arrows && is_sign(grammar_ahead(lx, 1), "->")) {
		/* No line begins so: the way goes on. */
		diag *g = grammar_fault(lx, "plan-syntax", next->at, "a `->` is missing before this");
		diag_add_help(lx->diags, g, "a line that goes on with the one before begins with `->`");
		*t = (grammar_token){
			.kind = TOK_ARROW, .at = grammar_span(lx, next->at.start, next->at.start), .text = "->"};
		return true;
	}
	*t = (grammar_token){.kind = TOK_SEP, .at = raw->at};
	return true;
}

static bool token_of(grammar_lexer *lx, grammar_raw raw, grammar_token *t) {
	*t = (grammar_token){.kind = TOK_BAD, .at = raw.at};
	bool led = lx->line_start;
	switch (raw.kind) {
	case RAW_NEWLINE:
		return newline_token(lx, &raw, t);
	case RAW_SIGN:
		if (!sign_token(lx, &raw, t)) return false;
		if (led && t->kind != TOK_SEP && t->kind != '}') begin_line(lx, NULL);
		return true;
	case RAW_WORD:
		*t = word_token(lx, raw.at);
		return true;
	case RAW_MEMBER:
		*t = (grammar_token){.kind = TOK_MEMBER, .at = raw.at, .text = grammar_copy(lx, raw.at)};
		return true;
	case RAW_INT:
	case RAW_DECIMAL:
	case RAW_FRACTION:
		*t = quantity_token(lx, raw, NULL);
		break;
	case RAW_TEXT:
		t->kind = TOK_TEXT;
		t->text = unescape(lx, raw.at);
		break;
	case RAW_BAD_TEXT:
		t->kind = TOK_TEXT;
		t->text = bad_text(lx, raw.at);
		break;
	default:
		/* 1.2.3 mm: the unit belongs to what was wrong. */
		while (grammar_ahead(lx, 0)->kind == RAW_UNIT || grammar_ahead(lx, 0)->kind == RAW_BAD_UNIT ||
		       grammar_ahead(lx, 0)->kind == RAW_MIXED)
			t->at = span_join(t->at, take(lx).at);
	}
	if (led) begin_line(lx, NULL);
	return true;
}

static grammar_token end_token(grammar_lexer *lx) {
	grammar_token t = {.kind = TOK_END, .at = grammar_span(lx, lx->size, lx->size)};
	if (lx->braces.n) {
		t.kind = '}';
		lx->braces.n--;
	}
	return t;
}

static grammar_token give(grammar_lexer *lx, grammar_token t) {
	lx->tokens++;
	lx->before = lx->last;
	lx->last = t;
	if (t.kind == TOK_SEP || t.kind == '{' || t.kind == '}') {
		lx->clear = true;
		lx->line_start = t.kind != '}';
	}
	return t;
}

static void push_back(grammar_lexer *lx, grammar_raw raw) {
	memmove(lx->ahead + 1, lx->ahead, lx->n_ahead++ * sizeof *lx->ahead);
	lx->ahead[0] = raw;
}

/* `otherwise` may stand on the line on which the block before it ends. */
static bool begins_otherwise(const grammar_lexer *lx, const grammar_raw *raw) {
	static const char WORD[] = "otherwise";
	return lx->last.kind == '}' && raw->kind == RAW_WORD && raw->at.end - raw->at.start == sizeof WORD - 1 &&
	       memcmp(lx->text + raw->at.start, WORD, sizeof WORD - 1) == 0;
}

grammar_token grammar_lexer_next(grammar_lexer *lx) {
	if (lx->clear) {
		lx->brackets.n = lx->choices.n = 0;
		lx->line_from = lx->last.at.end;
		lx->clear = false;
	}
	while (!lx->stopped) {
		if (lx->faults >= GRAMMAR_MOST_FAULTS) {
			diag_error(lx->diags, "plan-syntax", grammar_span(lx, lx->offset, lx->offset),
				   "too many faults: the rest of this file was not read");
			lx->stopped = true;
			break;
		}
		if (lx->tokens >= GRAMMAR_MOST_TOKENS) {
			diag *g = diag_error(lx->diags, "plan-size", grammar_span(lx, lx->offset, lx->offset),
					     "a plan has at most %d words, values and signs: the rest was not read",
					     GRAMMAR_MOST_TOKENS);
			diag_add_help(lx->diags, g,
				      "parts and openings are repeated with `spaced`, `grid` or `stagger`");
			lx->told = lx->offset;
			lx->stopped = true;
			break;
		}
		if (lx->owes_end) {
			lx->owes_end = false;
			return give(lx, (grammar_token){.kind = TOK_SEP, .at = lx->last.at});
		}
		grammar_raw raw = take(lx);
		if (begins_otherwise(lx, &raw)) {
			push_back(lx, raw);
			return give(lx, (grammar_token){.kind = TOK_SEP,
							.at = grammar_span(lx, raw.at.start, raw.at.start)});
		}
		if (ends_repaired(lx, &raw)) {
			push_back(lx, raw);
			lx->braces.n--;
			lx->owes_end = true;
			return give(lx, (grammar_token){.kind = '}', .at = grammar_span(lx, lx->bol, lx->bol)});
		}
		if (raw.kind == RAW_END && lx->faults >= GRAMMAR_MOST_FAULTS) continue;
		if (raw.kind == RAW_END) {
			if (lx->braces.n) report_unclosed(lx);
			lx->stopped = true;
			break;
		}
		grammar_token t;
		bool given = token_of(lx, raw, &t);
		if (raw.kind != RAW_NEWLINE) lx->fresh = false;
		if (given) return give(lx, t);
	}
	return give(lx, end_token(lx));
}

static void begin(grammar_lexer *lx, bool value) {
	lx->fresh = true;
	lx->line_start = !value;
	lx->compares = value;
	lx->told = lx->spoilt = SIZE_MAX;
	lx->unclosed = lx->repair = lx->astray = lx->left_out = SIZE_MAX;
	lx->suspect_close = span_none();
	lx->last.kind = lx->before.kind = TOK_SEP;
	lx->last.at = lx->before.at = grammar_span(lx, lx->offset, lx->offset);
	lx->bol = lx->line_from = lx->offset;
}

void grammar_lexer_inside(grammar_lexer *lx, const grammar_lexer *outer, size_t from, size_t to) {
	*lx = (grammar_lexer){.mem = outer->mem,
			      .diags = outer->diags,
			      .file = outer->file,
			      .text = outer->text,
			      .size = to,
			      .offset = from};
	begin(lx, true);
	lx->inside = true;
	lx->fresh = false;
	grammar_flex_begin(lx);
}

void grammar_lexer_begin(grammar_lexer *lx, arena *mem, const source_set *sources, uint32_t file, diags *d,
			 bool value) {
	const source_file *f = &sources->files.v[file];
	*lx = (grammar_lexer){.mem = mem, .diags = d, .file = file, .text = f->text, .size = f->size};
	begin(lx, value);
	lx->text = grammar_characters(lx, f->text, f->size);
	if (!lx->text) {
		lx->text = "";
		lx->size = 0;
	}
	/* A byte order mark is no fault; offsets count it. */
	if (lx->size >= 3 && memcmp(lx->text, "\xEF\xBB\xBF", 3) == 0) {
		char *clean = arena_textn(mem, lx->text, lx->size);
		memset(clean, ' ', 3);
		lx->text = clean;
		lx->bol = 3;
	}
	grammar_flex_begin(lx);
}

void grammar_lexer_end(grammar_lexer *lx) { grammar_flex_end(lx); }
