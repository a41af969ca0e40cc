/* Whole-file output: every file of a set appears complete or none does.
 * Ownership: the set keeps copies of paths and bytes in its arena until outset_commit(). */
#ifndef BASE_OUTFILE_H
#define BASE_OUTFILE_H
#include <stdbool.h>
#include <stddef.h>

#include "runtime/base/arena.h"

typedef struct outset_file {
	const char *name; /* file name inside the folder, no '/' */
	const char *bytes;
	size_t size;
	unsigned mode; /* permissions; 0: as the system gives them to a new file */
} outset_file;

typedef struct outset {
	arena *mem;
	const char *folder;
	LIST(outset_file) files;
} outset;

outset outset_begin(arena *mem, const char *folder);
/* Adds a file; its bytes are kept by reference and must live until the commit. */
void outset_add(outset *o, const char *name, const char *bytes, size_t size);
/* The same for one that takes the place of a file with these permissions, and keeps them. */
void outset_replace(outset *o, const char *name, const char *bytes, size_t size, unsigned mode);
/* Makes the folder if it is missing, writes every file beside its place under a temporary name
 * (open, write, fsync and close each checked), and renames them only when all are written. On failure the
 * temporary files are removed, what was there before is put back, a folder made for the set goes again, and the
 * reason is given.
 * Returns NULL when all went well, else a message such as "cannot write out/book.pdf: No space left on
 * device" in the set's arena. */
const char *outset_commit(outset *o);
/* Writes bytes to an open stream (standard output) and flushes, every call checked. NULL or the
 * reason. */
const char *out_stream(arena *mem, void *stdio_file, const char *bytes, size_t size);
#endif
