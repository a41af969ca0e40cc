/* The rules of the air as a table: limit, value, margin, basis and source; what was tuned or set aside, and why. */
#include <math.h>
#include <string.h>

#include "runtime/base/text.h"
#include "runtime/write/book_build.h"

static const char *value_cell(book *b, const diag_compared *r, double v) {
	if (!isfinite(v)) return "–";
	if (dim_same(r->of, DIM_LENGTH)) return book_reckoned(b, v * 1000, 10);
	return book_si(b, r->of, v);
}

static const char *limit_cell(book *b, const diag_compared *r) {
	if (!isfinite(r->limit)) return "–";
	return arena_printf(b->mem, "%s %s", r->at_least ? "≥" : "≤", value_cell(b, r, r->limit));
}

/* Share of the limit that is left on the good side. */
static const char *margin_cell(book *b, const diag_compared *r) {
	bool counts = dim_same(r->of, DIM_NUMBER); /* a count holds or does not */
	if (!isfinite(r->value) || !isfinite(r->limit) || r->limit == 0 || counts) return r->broken ? "broken" : "held";
	double left = (r->at_least ? r->value - r->limit : r->limit - r->value) / fabs(r->limit) * 100;
	return arena_printf(b->mem, "%s%s %%", left > 0 ? "+" : "", book_number(b, left, fabs(left) < 10 ? 1 : 0));
}

/* Is it `rule`, or `rule.WORD`? */
static bool of_rule(const char *limit, const char *rule) {
	size_t n = strlen(rule);
	return strncmp(limit, rule, n) == 0 && (limit[n] == '\0' || limit[n] == '.');
}

static const char *basis_cell(book *b, const diag_compared *r) {
	const model *m = b->m;
	textbuf t = textbuf_begin(b->mem);
	if (r->basis) textbuf_printf(&t, "%s; ", r->basis);
	textbuf_printf(&t, "%s", r->source ? r->source : "");
	for (size_t i = 0; i < m->tuned.n; i++)
		if (of_rule(m->tuned.v[i].limit, r->rule))
			textbuf_printf(&t, ". Tuned by the plan%s%s to %s: %s", *m->tuned.v[i].was_text ? " from " : "",
				       m->tuned.v[i].was_text, m->tuned.v[i].is_text, m->tuned.v[i].because);
	for (size_t i = 0; r->broken && i < m->waived.n; i++)
		if (text_same(m->waived.v[i].rule, r->rule))
			textbuf_printf(&t, ". Set aside by the plan: %s", m->waived.v[i].because);
	return book_title_case(b, t.v);
}

/* Each rule's sentence once, above its rows. */
void book_air_rules(book *b) {
	static const sheetform_column COLUMNS[] = {{"Rule", 0, ALIGN_LEFT},	     {"Of", -3, ALIGN_LEFT},
						   {"Limit", 0, ALIGN_RIGHT},	     {"Value", 23, ALIGN_RIGHT},
						   {"When", 0, ALIGN_LEFT},	     {"Margin", 0, ALIGN_RIGHT},
						   {"Basis; source", -8, ALIGN_LEFT}};
	const model_air *a = &b->m->air;
	if (!a->compared.n) return;
	book_cells c = {.columns = 7};
	for (size_t i = 0; i < a->compared.n; i++) {
		const diag_compared *r = &a->compared.v[i];
		book_row(b, &c, r->rule, book_plain(b, r->about), limit_cell(b, r),
			 isfinite(r->value) ? value_cell(b, r, r->value) : r->words, r->condition ? r->condition : "",
			 margin_cell(b, r), basis_cell(b, r));
	}
	book_heading_with(b, "The rules of the air", 14 + book_cells_height(b, COLUMNS, 7, &c));
	book_paragraph(b,
		       "What was compared when this book was made, in the condition that comes nearest to the limit. "
		       "Margin: what is left between value and limit, in parts of the limit. A rule that is held is no "
		       "measurement and no approval.");
	b->y += 1;
	book_cells_draw(b, COLUMNS, 7, &c, false, false);
}
