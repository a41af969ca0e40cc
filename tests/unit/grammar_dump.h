/* A tree and its faults as text, for tests.
 * Ownership: the texts live in the arena given. */
#ifndef TESTS_GRAMMAR_DUMP_H
#define TESTS_GRAMMAR_DUMP_H
#include "compiler/syntax.h"
#include "runtime/base/diag.h"
#include "runtime/base/text.h"

static void dump_quant(textbuf *b, quant q) {
	const struct {
		const char *name;
		int power;
	} dims[] = {
		{"mm", q.dim.length}, {"kg", q.dim.mass}, {"s", q.dim.time}, {"K", q.dim.temp}, {"deg", q.dim.angle}};
	if (!quant_is_exact(q))
		textbuf_printf(b, "~%.6g", q.d);
	else if (q.r.den == 1)
		textbuf_printf(b, "%lld", (long long)q.r.num);
	else
		textbuf_printf(b, "%lld/%lld", (long long)q.r.num, (long long)q.r.den);
	for (size_t i = 0; i < sizeof dims / sizeof *dims; i++) {
		if (dims[i].power == 1) textbuf_add(b, dims[i].name);
		if (dims[i].power != 0 && dims[i].power != 1) textbuf_printf(b, "%s^%d", dims[i].name, dims[i].power);
	}
}

static void dump_expr(textbuf *b, const syn_expr *e) {
	switch (e->kind) {
	case SYN_QUANT:
		dump_quant(b, e->value);
		break;
	case SYN_TEXT:
		textbuf_add(b, "\"");
		if (!e->pieces.n) textbuf_add(b, e->text);
		for (size_t i = 0; i < e->pieces.n; i++) {
			textbuf_add(b, e->pieces.v[i].text ? e->pieces.v[i].text : "|");
			if (e->pieces.v[i].text) continue;
			dump_expr(b, e->pieces.v[i].value);
			textbuf_add(b, "|");
		}
		textbuf_add(b, "\"");
		break;
	case SYN_NAME:
		for (size_t i = 0; i < e->names.n; i++) textbuf_printf(b, "%s%s", i ? "." : "", e->names.v[i].v);
		break;
	case SYN_CALL:
		textbuf_printf(b, "%s(", e->text);
		for (size_t i = 0; i < e->args.n; i++) {
			if (i) textbuf_add(b, ", ");
			dump_expr(b, e->args.v[i]);
		}
		textbuf_add(b, ")");
		break;
	case SYN_NEGATE:
		textbuf_add(b, "-");
		dump_expr(b, e->a);
		break;
	case SYN_PAIR:
	case SYN_BINARY:
		textbuf_add(b, e->kind == SYN_PAIR ? "<" : "(");
		dump_expr(b, e->a);
		if (e->kind == SYN_PAIR)
			textbuf_add(b, ", ");
		else
			textbuf_printf(b, " %s ", e->op);
		dump_expr(b, e->b);
		textbuf_add(b, e->kind == SYN_PAIR ? ">" : ")");
		break;
	case SYN_IF:
		textbuf_add(b, "{");
		dump_expr(b, e->a);
		textbuf_add(b, " ? ");
		dump_expr(b, e->b);
		textbuf_add(b, " : ");
		dump_expr(b, e->other);
		textbuf_add(b, "}");
		break;
	case SYN_BAD:
		textbuf_add(b, "?");
		break;
	}
}

/* word [args] link [args] { … }: one line of text for each line of the plan. */
static void dump_line(textbuf *b, const syn_line *line, int depth) {
	for (int i = 0; i < depth; i++) textbuf_add(b, "  ");
	textbuf_add(b, line->word ? line->word : "-");
	for (size_t i = 0; i < line->clauses.n; i++) {
		const syn_clause *c = &line->clauses.v[i];
		if (c->link) textbuf_printf(b, " %s", *c->link ? c->link : "''");
		if (!c->args.n) continue;
		textbuf_add(b, " [");
		for (size_t k = 0; k < c->args.n; k++) {
			if (k) textbuf_add(b, " ");
			dump_expr(b, c->args.v[k]);
		}
		textbuf_add(b, "]");
	}
	textbuf_add(b, line->has_block ? " {\n" : "\n");
	for (size_t i = 0; i < line->block.n; i++) dump_line(b, line->block.v[i], depth + 1);
	for (int i = 0; i < depth && line->has_block; i++) textbuf_add(b, "  ");
	if (line->has_block) textbuf_add(b, "}\n");
}

static const char *dump_file(arena *mem, const syn_file *f) {
	textbuf b = textbuf_begin(mem);
	for (size_t i = 0; i < f->lines.n; i++) dump_line(&b, f->lines.v[i], 0);
	return b.v;
}

/* line:column-column rule: text (note at line:column: …) (help: …) */
static const char *dump_diags(arena *mem, const source_set *s, const diags *d) {
	textbuf b = textbuf_begin(mem);
	for (size_t i = 0; i < d->all.n; i++) {
		const diag *g = d->all.v[i];
		source_place p = source_find(s, g->at);
		textbuf_printf(&b, "%u:%u-%zu %s: %s\n", p.line, p.column, p.last_char, g->rule, g->text);
		for (size_t k = 0; k < g->notes.n; k++) {
			source_place q = source_find(s, g->notes.v[k].at);
			textbuf_printf(&b, "  %u:%u %s\n", q.line, q.column, g->notes.v[k].text);
		}
		if (g->help) textbuf_printf(&b, "  help: %s\n", g->help);
	}
	return b.v;
}
#endif
