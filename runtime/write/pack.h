/* Bytes packed as a PDF's FlateDecode wants them (RFC 1950), one compressor for many streams.
 * Ownership: the compressor's memory is its own until pack_end; bytes go to the caller's arena. */
#ifndef WRITE_PACK_H
#define WRITE_PACK_H
#include <stddef.h>

#include "runtime/base/arena.h"

typedef struct pack {
	void *stream; /* NULL: not begun, or no memory */
} pack;

pack pack_begin(void);
/* Returns the packed bytes and sets *packed, or NULL when there is no memory for the compressor. */
const unsigned char *pack_bytes(const pack *p, arena *mem, const void *bytes, size_t size, size_t *packed);
void pack_end(pack *p);
#endif
