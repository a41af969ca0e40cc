/* What to say where the parser cannot go on. */
#include <string.h>

#include "grammar/plan.tab.h"
#include "grammar/tree.h"
#include "runtime/base/text.h"

static bool is_operator(int kind) {
	return kind == '+' || kind == '-' || kind == '*' || kind == '/' || kind == TOK_COMPARE;
}

static bool is_sign_link(int kind) { return kind == ':' || kind == '=' || kind == TOK_ARROW || kind == TOK_TOLERANCE; }

static bool wants_value(int kind) {
	return is_operator(kind) || is_sign_link(kind) || kind == ',' || kind == '(' || kind == '[' ||
	       kind == TOK_LINK || kind == TOK_IF || kind == TOK_THEN || kind == TOK_ELSE;
}

static bool begins_value(int kind) {
	return kind == TOK_QUANT || kind == TOK_TEXT || kind == TOK_NAME || kind == TOK_CALL || kind == TOK_BAD ||
	       kind == '(' || kind == TOK_IF;
}

static bool ends_line(int kind) { return kind == TOK_SEP || kind == TOK_END || kind == '{' || kind == '}'; }

static const char *shown(const grammar_tree *t, const grammar_token *k) {
	enum { LONGEST = 40 };
	if (k->kind == TOK_END) return t->lexer.inside ? "the closing `}`" : "the end of the file";
	if (k->at.end > t->lexer.size || k->at.end <= k->at.start) return "the end of the file";
	if (k->kind == TOK_SEP && t->lexer.text[k->at.start] != ';') return "the end of the line";
	if (k->kind == TOK_TEXT) return "this text";
	size_t n = k->at.end - k->at.start;
	if (n > LONGEST) return "this";
	return arena_printf(t->mem, "`%.*s`", (int)n, t->lexer.text + k->at.start);
}

static diag *fault(grammar_tree *t, span at, const char *text) {
	return grammar_fault(&t->lexer, "plan-syntax", at, "%s", text);
}

static void help(grammar_tree *t, diag *g, const char *text) { diag_add_help(t->lexer.diags, g, "%s", text); }

static void linking_word(grammar_tree *t, const grammar_token *k) {
	diag *g = grammar_fault(&t->lexer, "plan-name", k->at, "`%s` is a linking word and cannot be a name", k->text);
	help(t, g, "take another name (docs/language.md lists the linking words); two lines in one are parted by `;`");
}

/* A value was wanted behind `before`, and `last` is none. */
static void no_value(grammar_tree *t, const grammar_token *before, const grammar_token *last) {
	bool link_before = before->kind == TOK_LINK;
	if (last->kind == TOK_LINK && !link_before) {
		linking_word(t, last);
		return;
	}
	if (link_before && is_sign_link(last->kind) && last->kind != TOK_ARROW) {
		linking_word(t, before);
		return;
	}
	if ((before->kind == '(' && last->kind == ')') || (before->kind == '[' && last->kind == ']')) {
		fault(t, span_join(before->at, last->at), "nothing stands between these brackets");
		return;
	}
	if (before->kind == '-' && last->kind == TOK_COMPARE && text_same(last->text, ">")) {
		diag *g = fault(t, span_join(before->at, last->at), "an arrow is written without a blank");
		help(t, g, "write `->`");
		return;
	}
	const char *what = arena_printf(t->mem, "a value is missing behind %s", shown(t, before));
	diag *g = fault(t, before->at, what);
	if (!ends_line(last->kind))
		diag_add_note(t->lexer.diags, g, last->at, "%s stands there instead", shown(t, last));
	if (last->kind == TOK_LINK || link_before)
		help(t, g, "the linking words, such as `in`, `to` or `x`, join values and cannot be names");
	if (before->kind == ',') help(t, g, "take the comma out, or go on behind it");
}

static void open_bracket(grammar_tree *t) {
	const grammar_open *o = &t->lexer.brackets.v[t->lexer.brackets.n - 1];
	diag *g = fault(t, o->at, arena_printf(t->mem, "this `%s` is not closed on its line", o->square ? "[" : "("));
	help(t, g,
	     arena_printf(t->mem, "put a `%s` behind the last value; a line goes on after a comma or an operator",
			  o->square ? "]" : ")"));
}

static void in_brackets(grammar_tree *t, const grammar_token *before, const grammar_token *last) {
	const grammar_open *o = &t->lexer.brackets.v[t->lexer.brackets.n - 1];
	if (last->kind == ',' && o->square) {
		diag *g = fault(t, last->at, "one number stands between `[` and `]`");
		diag_add_note(t->lexer.diags, g, o->at, "they begin here");
		return;
	}
	if (last->kind == ',' && !o->call) {
		diag *g = fault(t, last->at, "a point has two values: `(a, b)`");
		diag_add_note(t->lexer.diags, g, o->at, "it begins here");
		return;
	}
	const char *text = arena_printf(t->mem, "%s cannot stand here, inside of brackets", shown(t, last));
	if (begins_value(last->kind))
		text = arena_printf(t->mem, "an operator%s is missing between %s and %s", o->call ? " or a comma" : "",
				    shown(t, before), shown(t, last));
	diag *g = fault(t, last->at, text);
	diag_add_note(t->lexer.diags, g, o->at, "the bracket begins here");
}

/* What is wrong with the choice that is being read; false when nothing is. */
static bool choice_fault(grammar_tree *t, const grammar_token *before, const grammar_token *last) {
	static const char WHOLE[] = "a choice is written whole: `if CONDITION then VALUE else VALUE`";
	const grammar_lexer *lx = &t->lexer;
	const grammar_open *open = lx->choices.n ? &lx->choices.v[lx->choices.n - 1] : NULL;
	if (last->kind == TOK_IF && is_operator(before->kind)) {
		diag *g = fault(t, last->at, "a choice that is reckoned with stands in brackets");
		help(t, g, "write `(if … then … else …)`");
		return true;
	}
	if (last->kind == TOK_THEN || last->kind == TOK_ELSE) {
		diag *g = fault(
			t, last->at,
			arena_printf(t->mem, open ? "%s cannot stand here" : "%s belongs to no `if`", shown(t, last)));
		if (open) diag_add_note(t->lexer.diags, g, open->at, "the choice begins here");
		help(t, g, WHOLE);
		return true;
	}
	if (!open || wants_value(before->kind)) return false;
	diag *g = fault(t, open->at,
			open->then ? "the `else` of this `if` is missing" : "the `then` of this `if` is missing");
	if (!ends_line(last->kind))
		diag_add_note(t->lexer.diags, g, last->at, "%s stands there instead", shown(t, last));
	help(t, g, WHOLE);
	return true;
}

static void generic(grammar_tree *t, const grammar_token *before, const grammar_token *last,
		    const char *const *expected, size_t n) {
	enum { FEW = 4 };
	diag *g = fault(t, last->at, arena_printf(t->mem, "%s cannot stand here", shown(t, last)));
	if (before->kind == TOK_LEAD)
		diag_add_help(t->lexer.diags, g, "`%s` is this line's word and no value", before->text);
	if (before->kind == TOK_LEAD || n == 0 || n > FEW) return;
	textbuf b = textbuf_begin(t->mem);
	for (size_t i = 0; i < n; i++) {
		const char *name = expected[i];
		textbuf_printf(&b, "%s%s", i == 0 ? "expected here: " : i + 1 == n ? " or " : ", ", name);
	}
	help(t, g, b.v);
}

void grammar_unexpected(grammar_tree *t, const char *const *expected, size_t n) {
	grammar_lexer *lx = &t->lexer;
	const grammar_token *before = &lx->before, *last = &lx->last;
	/* The lexer told what is wrong with this line; what the parser makes of it is no news. */
	if (lx->told != SIZE_MAX && lx->told >= lx->line_from && lx->told <= last->at.end) return;
	bool fresh = !t->line && (before->kind == TOK_SEP || before->kind == '{');
	if (fresh && lx->inside) {
		fault(t, last->at, arena_printf(t->mem, "a value cannot begin with %s", shown(t, last)));
	} else if (fresh) {
		if (last->kind == '{') {
			diag *g = fault(t, last->at, "this `{` has no line before it");
			help(t, g, "a block belongs to the line before its `{`");
		} else {
			diag *g =
				fault(t, last->at, arena_printf(t->mem, "a line cannot begin with %s", shown(t, last)));
			help(t, g,
			     "a line begins with a word or a value; it goes on after a comma, an operator or `->`");
		}
	} else if (before->kind == TOK_LEAD && last->kind == TOK_COMPARE) {
		diag *g = fault(t, last->at, "a comparison stands in a `require` line only");
		help(t, g, arena_printf(t->mem, "write `require %s %s …`", before->text, last->text));
		t->line->word = "require";
	} else if (before->kind == '}') {
		diag *g = fault(t, last->at, arena_printf(t->mem, "%s cannot stand behind `}`", shown(t, last)));
		help(t, g, "begin a new line, or put a `;` before it");
	} else if (choice_fault(t, before, last)) {
		return;
	} else if (wants_value(before->kind)) {
		no_value(t, before, last);
	} else if (lx->brackets.n && ends_line(last->kind)) {
		open_bracket(t);
	} else if (last->kind == TOK_COMPARE && t->line && text_same(t->line->word, "way")) {
		help(t, fault(t, last->at, "the air's way goes on by `->`"), "write `->`");
	} else if (last->kind == TOK_COMPARE) {
		diag *g = fault(t, last->at, "one comparison cannot follow another");
		help(t, g, "write two `require` lines");
	} else if (lx->brackets.n) {
		in_brackets(t, before, last);
	} else {
		generic(t, before, last, expected, n);
	}
}

void grammar_parser_failed(grammar_tree *t, const char *message) {
	grammar_fault(&t->lexer, "plan-depth", t->lexer.last.at, "the plan cannot be read on from here: %s", message);
}
