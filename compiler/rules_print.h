/* The rules for people and programs: the table of all, the page of one.
 * Ownership: writes into the caller's buffer; what is built on the way lives in its arena. */
#ifndef COMPILER_RULES_PRINT_H
#define COMPILER_RULES_PRINT_H
#include "compiler/check.h"
#include "compiler/rule_pages.h"
#include "runtime/base/text.h"
#include "runtime/write/table.h"

/* Every rule of every table, limits in the measures asked for: as text grouped by family and broken into lines of
 * `columns`; else as one table. */
void rules_print_all(textbuf *out, table_format format, measures ms, size_t columns);

typedef struct rules_page {
	const check_rule *rule;
	const rule_page *page;
	const char *message; /* what the program says of the plan that breaks it; "" without one */
} rules_page;
/* One rule explained; as CSV or JSON a table of one row, with both plans whole. */
void rules_print_page(textbuf *out, const rules_page *p, table_format format, measures ms, size_t columns);
#endif
