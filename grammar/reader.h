/* Reads a plan and all it uses from files.
 * Ownership: texts, names and trees live in the arena; the source set borrows the texts from there.
 *
 * `use "stock/sheets"` is looked for beside the using file, then in the shipped folders. What a plan can reach
 * that way is confined: a path relative to the using file that stays in the folder of the main plan (or in the
 * shipped folder the using file lies in), no symbolic link below that folder, regular files only, 16 MiB each. */
#ifndef GRAMMAR_READER_H
#define GRAMMAR_READER_H
#include <stdbool.h>
#include <stddef.h>

#include "compiler/syntax.h"
#include "runtime/base/diag.h"

enum { GRAMMAR_MOST_BYTES = 16 * 1024 * 1024, GRAMMAR_USE_DEPTH = 64 };

/* Where shipped plan files lie, in order. */
typedef struct grammar_places {
	const char *const *folders;
	size_t n;
} grammar_places;

/* Reads and parses `path` ("-": standard input, whose uses are looked for in the working folder).
 * False when the main plan itself could not be read: then `io_error` says why ("cannot read x.plan: No such
 * file or directory") and `out` is empty. What is wrong with the text or with a used file becomes diags, and
 * `out` holds what could be understood: each file once, used files before those that use them. `places` may be
 * NULL. */
bool grammar_read(arena *mem, source_set *sources, diags *d, const grammar_places *places, const char *path,
		  syn_plan *out, const char **io_error);
/* The same for a plan whose text is in memory already and lives as long as the sources; what it uses is looked for in
 * `places` alone. */
void grammar_read_text(arena *mem, source_set *sources, diags *d, const grammar_places *places, const char *name,
		       const char *text, syn_plan *out);
#endif
