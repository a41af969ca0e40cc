#include "compiler/rules_print.h"

#include <string.h>

#include "compiler/check_limits.h"

enum { NAME_COLUMNS = 23, KIND_COLUMNS = 9 };

static const char *kind_of(const check_rule *r) { return r->severity == DIAG_ERROR ? "error" : "warning"; }

static void blanks(textbuf *out, size_t n) {
	for (size_t i = 0; i < n; i++) textbuf_char(out, ' ');
}

/* Breaks a text at its blanks into lines of at most `columns`, the first of which begins at column `from`, the others
 * at `indent`. A word that is longer stands alone. */
static void wrap(textbuf *out, const char *text, size_t from, size_t indent, size_t columns) {
	size_t at = from;
	bool first = true;
	while (*text) {
		size_t n = strcspn(text, " "), wide = text_columns(text, n, 0);
		if (!first && at + 1 + wide > columns) {
			textbuf_char(out, '\n');
			blanks(out, indent);
			at = indent;
			first = true;
		}
		if (!first) textbuf_char(out, ' ');
		textbuf_addn(out, text, n);
		at += wide + !first;
		first = false;
		text += n;
		while (*text == ' ') text++;
	}
	textbuf_char(out, '\n');
}

static void paragraph(textbuf *out, const char *text, size_t indent, size_t columns) {
	blanks(out, indent);
	wrap(out, text, indent, indent, columns);
}

/* "limit   …" with what follows set in. */
static void fact(textbuf *out, const char *word, const char *text, size_t columns) {
	textbuf_printf(out, "  %-8s", word);
	wrap(out, text, 10, 10, columns);
}

/* "3 mm between …": a tunable limit as it is when no plan tunes it. */
static const char *limit_words(arena *mem, const check_limit_row *l, measures ms) {
	if (!rat_ok(l->value)) return l->what;
	quant v = check_limit_quant(l, l->value);
	return arena_printf(mem, "%s %s", check_limit_show(mem, l, v, ms), l->what);
}

/* The limits of a rule in words: those of the table, else what its page says; "" for none. */
static const char *limit_of(arena *mem, const check_rule *r, measures ms) {
	rule_page p;
	const check_limit_row *l;
	const char *words = "";
	for (size_t i = 0; (l = check_limit_of(r->name, i)) != NULL; i++)
		words = arena_printf(mem, "%s%s%s", words, i ? "; " : "", limit_words(mem, l, ms));
	if (*words) return words;
	if (!rule_page_read(mem, r->name, &p) || p.limit.n == 0) return "";
	return p.limit.v[0];
}

/* ---- the table of all ---------------------------------------------------------------------------- */

static void rule_text(textbuf *out, const check_rule *r, measures ms, size_t columns) {
	const size_t in = NAME_COLUMNS + KIND_COLUMNS;
	textbuf_printf(out, "%-*s%-*s", NAME_COLUMNS, r->name, KIND_COLUMNS, kind_of(r));
	wrap(out, r->what, in, in, columns);
	const char *limit = limit_of(out->mem, r, ms);
	blanks(out, in);
	wrap(out,
	     *limit ? arena_printf(out->mem, "limit: %s; %s", limit, r->source)
		    : arena_printf(out->mem, "%s", r->source),
	     in, in, columns);
}

static void all_text(textbuf *out, measures ms, size_t columns) {
	const char *title;
	size_t n;
	const check_rule *rules;
	for (size_t f = 0; (rules = check_family(f, &title, &n)) != NULL; f++) {
		textbuf_printf(out, "%s%s\n\n", f ? "\n" : "", title);
		for (size_t i = 0; i < n; i++) rule_text(out, &rules[i], ms, columns);
	}
	textbuf_add(out, "\nwindchest rules NAME explains one, with a plan that breaks it and what mends it.\n");
}

void rules_print_all(textbuf *out, table_format format, measures ms, size_t columns) {
	if (format == TABLE_TEXT) {
		all_text(out, ms, columns);
		return;
	}
	table *t = table_begin(out->mem, "Rules");
	static const char *const HEAD[] = {"family", "rule", "severity", "asks for", "limit", "source"};
	for (size_t i = 0; i < sizeof HEAD / sizeof *HEAD; i++) table_column(t, HEAD[i], NULL, TABLE_LEFT);
	const char *title;
	size_t n;
	const check_rule *rules;
	for (size_t f = 0; (rules = check_family(f, &title, &n)) != NULL; f++)
		for (size_t i = 0; i < n; i++) {
			const check_rule *r = &rules[i];
			const char *cells[] = {title,	 r->name, kind_of(r), r->what, limit_of(out->mem, r, ms),
					       r->source};
			table_row(t);
			for (size_t c = 0; c < sizeof cells / sizeof *cells; c++) table_cell(t, "%s", cells[c]);
		}
	const table *tables[] = {t};
	table_write(tables, 1, format, out);
}

/* ---- one page ------------------------------------------------------------------------------------ */

/* The plan that breaks the rule, its lines numbered as the message numbers them. */
static void broken_plan(textbuf *out, const rule_page *p) {
	unsigned n = 0;
	for (size_t i = 0; i < p->plan.n; i++) {
		const rule_line *l = &p->plan.v[i];
		if (l->mark == '+') continue;
		textbuf_printf(out, *l->text ? "%5u  %s\n" : "%5u\n", ++n, l->text);
	}
}

/* "Lines 4 and 5 become:" and what they become, for each place where the plans differ. */
static void mended_lines(textbuf *out, const rule_page *p) {
	unsigned n = 0;
	for (size_t i = 0; i < p->plan.n;) {
		if (p->plan.v[i].mark == ' ') {
			n++;
			i++;
			continue;
		}
		unsigned first = n + 1, gone = 0;
		size_t end = i, added = 0;
		for (; end < p->plan.n && p->plan.v[end].mark != ' '; end++) {
			gone += p->plan.v[end].mark == '-';
			added += p->plan.v[end].mark == '+';
		}
		if (!gone)
			textbuf_printf(out, "  behind line %u:\n", n);
		else if (gone == 1)
			textbuf_printf(out, added ? "  in place of line %u:\n" : "  without line %u\n", first);
		else
			textbuf_printf(out, added ? "  in place of lines %u to %u:\n" : "  without lines %u to %u\n",
				       first, n + gone);
		for (; i < end; i++)
			if (p->plan.v[i].mark == '+') textbuf_printf(out, "       %s\n", p->plan.v[i].text);
		n += gone;
	}
}

/* Lines that show the plan stay as they are, sentences are broken. */
static void message_text(textbuf *out, const char *message, size_t columns) {
	for (const char *line = message; *line;) {
		size_t n = strcspn(line, "\n");
		const char *text = arena_textn(out->mem, line, n);
		size_t lead = strspn(text, " 0123456789");
		if (text[lead] == '|' || text_columns(text, n, 2) <= columns) {
			textbuf_printf(out, "  %s\n", text);
		} else {
			size_t in = 2 + strspn(text, " ");
			blanks(out, in);
			wrap(out, text + (in - 2), in, in + 2, columns);
		}
		line += n + (line[n] == '\n');
	}
}

static void limit_fact(textbuf *out, const check_limit_row *l, measures ms, size_t columns) {
	arena *mem = out->mem;
	const char *least = check_limit_show(mem, l, check_limit_quant(l, l->least), ms);
	const char *most = check_limit_show(mem, l, check_limit_quant(l, l->most), ms);
	fact(out, "limit",
	     arena_printf(mem, "%s (tune %s, from %s to %s)", limit_words(mem, l, ms), l->name, least, most), columns);
}

static void page_text(textbuf *out, const rules_page *p, measures ms, size_t columns) {
	const check_rule *r = p->rule;
	textbuf_printf(out, "%s (%s)\n\n", r->name, kind_of(r));
	paragraph(out, r->what, 2, columns);
	textbuf_char(out, '\n');
	const check_limit_row *l;
	for (size_t i = 0; (l = check_limit_of(r->name, i)) != NULL; i++) limit_fact(out, l, ms, columns);
	for (size_t i = 0; i < p->page->limit.n && !check_limit_of(r->name, 0); i++)
		fact(out, "limit", p->page->limit.v[i], columns);
	fact(out, "source", r->source, columns);
	for (size_t i = 0; i < p->page->why.n; i++) {
		textbuf_char(out, '\n');
		paragraph(out, p->page->why.v[i], 2, columns);
	}
	for (size_t i = 0; i < p->page->no_plan.n; i++) {
		textbuf_char(out, '\n');
		paragraph(out, p->page->no_plan.v[i], 2, columns);
	}
	if (p->page->plan.n == 0) return;
	textbuf_add(out, "\nA plan that breaks it:\n\n");
	broken_plan(out, p->page);
	textbuf_add(out, "\nWhat the program says of it:\n\n");
	message_text(out, p->message, columns);
	textbuf_add(out, "\nThe mended plan:\n\n");
	mended_lines(out, p->page);
}

static const char *joined(arena *mem, const rule_words *w) {
	textbuf t = textbuf_begin(mem);
	for (size_t i = 0; i < w->n; i++) textbuf_printf(&t, "%s%s", i ? "\n" : "", w->v[i]);
	return t.n ? t.v : "";
}

void rules_print_page(textbuf *out, const rules_page *p, table_format format, measures ms, size_t columns) {
	if (format == TABLE_TEXT) {
		page_text(out, p, ms, columns);
		return;
	}
	arena *mem = out->mem;
	const char *const cells[][2] = {
		{"rule", p->rule->name},
		{"severity", kind_of(p->rule)},
		{"asks for", p->rule->what},
		{"limit", limit_of(mem, p->rule, ms)},
		{"source", p->rule->source},
		{"why", joined(mem, &p->page->why)},
		{"no plan", joined(mem, &p->page->no_plan)},
		{"broken", rule_page_plan(mem, p->page, false)},
		{"message", p->message},
		{"mended", rule_page_plan(mem, p->page, true)},
	};
	table *t = table_begin(mem, p->rule->name);
	for (size_t i = 0; i < sizeof cells / sizeof *cells; i++) table_column(t, cells[i][0], NULL, TABLE_LEFT);
	table_row(t);
	for (size_t i = 0; i < sizeof cells / sizeof *cells; i++) table_cell(t, "%s", cells[i][1]);
	const table *tables[] = {t};
	table_write(tables, 1, format, out);
}
