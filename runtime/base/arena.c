#include "runtime/base/arena.h"

#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { BLOCK_BYTES = 64 * 1024, ALIGN = 16 };

struct arena_block {
	arena_block *next;
	size_t room, used;
	_Alignas(16) unsigned char bytes[];
};

static void exhausted(void) {
	fputs("windchest: error: out of memory\n", stderr);
	exit(3);
}

void *arena_alloc(arena *a, size_t size) {
	if (size > SIZE_MAX / 2) exhausted();
	size = (size + ALIGN - 1) & ~(size_t)(ALIGN - 1);
	if (size == 0) size = ALIGN;
	arena_block *b = a->first;
	if (!b || b->room - b->used < size) {
		size_t room = size > BLOCK_BYTES ? size : BLOCK_BYTES;
		b = calloc(1, sizeof *b + room);
		if (!b) exhausted();
		b->room = room;
		/* An outsize block goes behind the current one, which may still have room. */
		if (a->first && size > BLOCK_BYTES) {
			b->next = a->first->next;
			a->first->next = b;
		} else {
			b->next = a->first;
			a->first = b;
		}
	}
	void *p = b->bytes + b->used;
	b->used += size;
	a->used += size;
	return p;
}

void *arena_many(arena *a, size_t each, size_t n) {
	if (each && n > SIZE_MAX / each) exhausted();
	return arena_alloc(a, each * n);
}

void *arena_copy(arena *a, const void *from, size_t size) {
	void *p = arena_alloc(a, size);
	if (size) memcpy(p, from, size);
	return p;
}

char *arena_textn(arena *a, const char *from, size_t n) {
	char *p = arena_alloc(a, n + 1);
	if (n) memcpy(p, from, n);
	return p;
}

char *arena_text(arena *a, const char *from) { return arena_textn(a, from, strlen(from)); }

char *arena_vprintf(arena *a, const char *format, va_list args) {
	va_list again;
	va_copy(again, args);
	if (!format) format = ""; /* never so; gcc's sanitizers otherwise suppose that it might be */
	int n = vsnprintf(NULL, 0, format, args);
	if (n < 0) n = 0;
	char *p = arena_alloc(a, (size_t)n + 1);
	vsnprintf(p, (size_t)n + 1, format, again);
	va_end(again);
	return p;
}

char *arena_printf(arena *a, const char *format, ...) {
	va_list args;
	va_start(args, format);
	char *p = arena_vprintf(a, format, args);
	va_end(args);
	return p;
}

void arena_end(arena *a) {
	for (arena_block *b = a->first; b;) {
		arena_block *next = b->next;
		free(b);
		b = next;
	}
	a->first = NULL;
	a->used = 0;
}

void *list_grow(arena *a, void *v, size_t n, size_t *room, size_t each) {
	if (n < *room) return v;
	size_t more = *room ? *room * 2 : 8;
	void *p = arena_many(a, each, more);
	if (n) memcpy(p, v, n * each);
	*room = more;
	return p;
}
