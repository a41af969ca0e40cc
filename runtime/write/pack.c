#include "runtime/write/pack.h"

#include <limits.h>
#include <stdlib.h>
#include <zlib.h>

/* Of the levels the one that is worth its time on pages: the usual 6 takes more than twice as long for 6 % less. */
enum { LEVEL = 4 };

pack pack_begin(void) {
	z_stream *z = calloc(1, sizeof *z);
	if (z && deflateInit(z, LEVEL) != Z_OK) {
		free(z);
		z = NULL;
	}
	return (pack){z};
}

const unsigned char *pack_bytes(const pack *p, arena *mem, const void *bytes, size_t size, size_t *packed) {
	z_stream *z = p->stream;
	if (!z || size > UINT_MAX / 2 || deflateReset(z) != Z_OK) return NULL;
	uLong room = deflateBound(z, (uLong)size);
	unsigned char *out = arena_alloc(mem, room);
	z->next_in = (z_const Bytef *)bytes, z->avail_in = (uInt)size;
	z->next_out = out, z->avail_out = (uInt)room;
	if (deflate(z, Z_FINISH) != Z_STREAM_END) return NULL;
	*packed = (size_t)z->total_out;
	return out;
}

void pack_end(pack *p) {
	if (!p->stream) return;
	deflateEnd(p->stream);
	free(p->stream);
	p->stream = NULL;
}
