/* Texts with values in them: "The mouth is {mouth.height} high". */
#include <string.h>

#include "grammar/tree.h"
#include "runtime/base/text.h"

static void add_words(grammar_tree *t, syn_expr *e, textbuf *words) {
	if (words->n == 0) return;
	syn_piece p = {.text = words->v};
	LIST_PUSH(t->mem, &e->pieces, p);
	*words = textbuf_begin(t->mem);
}

static void fault(grammar_tree *t, size_t start, size_t end, const char *what, const char *mend) {
	diag *g = grammar_fault(&t->lexer, "plan-text", grammar_span(&t->lexer, start, end), "%s", what);
	diag_add_help(t->lexer.diags, g, "%s", mend);
}

/* The `}` of a value that begins at `at`, or 0 (reported). */
static size_t value_end(grammar_tree *t, size_t at, size_t end) {
	const char *p = t->lexer.text;
	size_t i = at;
	while (i < end && !strchr("{}\"\\", p[i])) i++;
	if (i < end && p[i] == '}' && i > at + strspn(p + at, " \t")) return i;
	if (i < end && p[i] == '}')
		fault(t, at - 1, i + 1, "no value stands between these braces",
		      "write `{{` and `}}` for braces themselves");
	else if (i < end && p[i] != '{')
		fault(t, at - 1, i + 1, "a value in a text holds no text itself",
		      "give the text a name with `let`, and put the name between the braces");
	else
		fault(t, at - 1, at, "this `{` of the text is not closed",
		      "a value stands between `{` and `}`; write `{{` for a brace itself");
	return 0;
}

static void add_bad(grammar_tree *t, syn_expr *e) {
	syn_expr *bad = ARENA_NEW(t->mem, syn_expr);
	bad->kind = SYN_BAD;
	bad->at = e->at;
	syn_piece p = {.value = bad};
	LIST_PUSH(t->mem, &e->pieces, p);
}

void grammar_text(grammar_tree *t, syn_expr *e) {
	const char *p = t->lexer.text;
	size_t end = e->at.end - 1;
	/* Between other quotes, or not closed: that was told. */
	if (e->at.end < e->at.start + 2 || p[e->at.start] != '"' || p[end] != '"') return;
	textbuf words = textbuf_begin(t->mem);
	for (size_t i = e->at.start + 1; i < end; i++) {
		char c = p[i];
		bool twice = i + 1 < end && p[i + 1] == c;
		if (c == '\\' && i + 1 < end && (p[i + 1] == '"' || p[i + 1] == '\\')) {
			c = p[++i];
		} else if ((c == '{' || c == '}') && twice) {
			i++;
		} else if (c == '}') {
			fault(t, i, i + 1, "this `}` of the text closes no value", "write `}}` for a brace itself");
			add_bad(t, e);
			return;
		} else if (c == '{') {
			size_t close = value_end(t, i + 1, end);
			if (!close) {
				add_bad(t, e);
				return;
			}
			add_words(t, e, &words);
			syn_piece value = {.value = grammar_parse_inside(&t->lexer, i + 1, close)};
			LIST_PUSH(t->mem, &e->pieces, value);
			i = close;
			continue;
		}
		textbuf_char(&words, c);
	}
	if (e->pieces.n == 0) {
		e->text = words.v;
		return;
	}
	add_words(t, e, &words);
}
