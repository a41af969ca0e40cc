/* Files below a folder, opened so that nothing outside of it can be reached.
 * Ownership: texts live in the arena; descriptors are closed before a function returns. */
#ifndef GRAMMAR_FILES_H
#define GRAMMAR_FILES_H
#include <stdbool.h>
#include <stddef.h>
#include <sys/types.h>

#include "runtime/base/arena.h"

typedef struct grammar_bytes {
	const char *text; /* NUL-ended; NULL when it could not be read */
	size_t size;
	dev_t device; /* with node: which file it is, whatever its name */
	ino_t node;
	bool marked;	 /* a byte order mark stood before the text */
	bool missing;	 /* there is none of that name */
	const char *why; /* else why not: "it is a symbolic link" */
} grammar_bytes;

/* `path` joined to the folder of `beside` ("stock/a.plan") and tidied: no ".", no "..", no "//".
 * NULL when it leaves the root, is absolute or empty. */
const char *grammar_path(arena *mem, const char *beside, const char *path);
/* Reads root/relative (tidied). No link is followed below the root. */
grammar_bytes grammar_read_below(arena *mem, const char *root, const char *relative);
/* Reads any regular file, or standard input for "-". `why` is the system's word for what went wrong. */
grammar_bytes grammar_read_main(arena *mem, const char *path);
/* The names of plan files in the folder of root/relative, sorted, without ".plan". */
const char **grammar_plans_beside(arena *mem, const char *root, const char *relative, size_t *n);
#endif
