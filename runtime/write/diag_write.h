/* Diagnostics for people (text) and for other programs (JSON, SARIF 2.1.0).
 * Ownership: writes into the caller's buffer; borrows the diagnostics and the sources.
 * The forms are described in docs/messages.md. Diagnostics are written in the order they stand in: sort them
 * first (diags_sort). */
#ifndef WRITE_DIAG_WRITE_H
#define WRITE_DIAG_WRITE_H
#include <stdbool.h>

#include "runtime/base/diag.h"
#include "runtime/base/source.h"
#include "runtime/base/text.h"

/* file:line:column: error: text [rule], the source's line with carets below, notes, help. Waived ones take one
 * line. `colour`: with ANSI sequences. Bytes of the source that would steer a terminal are shown as U+FFFD. */
void diag_text(textbuf *out, const diags *d, const source_set *sources, bool colour);

/* One object: {"diagnostics": […], "errors": n, "warnings": n}. Columns count code points from 1, ends are
 * behind the last character. */
void diag_json(textbuf *out, const diags *d, const source_set *sources);

/* What a rule is about, in one sentence, or NULL when it is not known. */
typedef const char *(*diag_about)(const char *rule);

/* A SARIF 2.1.0 log with one run (OASIS standard, 27 March 2020). `version` of the tool and `about` may be
 * NULL. Columns: columnKind unicodeCodePoints. */
void diag_sarif(textbuf *out, const diags *d, const source_set *sources, const char *version, diag_about about);
#endif
