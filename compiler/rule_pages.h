/* The pages of the rules, docs/rules/NAME.page, as they were when the program was built.
 * Ownership: what rule_page_read() gives lives in the arena; the embedded lines are constants.
 *
 * A page has sections that begin with a line `WORD:` and are paragraphs of text, parted by empty lines:
 *     limit:  what is compared, for a rule without numbers of its own in compiler/check_limits.c
 *     why:    what goes wrong when it is broken, and what the limit stands on
 *     plan:   the last one. Lines that begin with two blanks belong to both plans, those with "- " to the plan that
 *             breaks the rule, those with "+ " to the mended one.
 *     no plan: in its place, with the reason why no small plan breaks it */
#ifndef COMPILER_RULE_PAGES_H
#define COMPILER_RULE_PAGES_H
#include <stdbool.h>
#include <stddef.h>

#include "runtime/base/arena.h"

typedef struct rule_page_text {
	const char *name;
	const char *const *lines; /* ended by NULL */
} rule_page_text;
extern const rule_page_text RULE_PAGES[]; /* made by compiler/rule_pages.awk, in the order of the names */
extern const size_t N_RULE_PAGES;

typedef struct rule_line { /* of the plan */
	char mark;	   /* ' ', '-' or '+' */
	const char *text;
} rule_line;

typedef LIST(const char *) rule_words; /* paragraphs, each without line ends */

typedef struct rule_page {
	rule_words limit, why, no_plan;
	LIST(rule_line) plan;
} rule_page;

/* False when there is no page of that name. */
bool rule_page_read(arena *mem, const char *name, rule_page *out);
/* One of its two plans as text; "" when it has none. */
const char *rule_page_plan(arena *mem, const rule_page *p, bool mended);
#endif
