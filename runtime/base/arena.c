#include "runtime/base/arena.h"

#include <stdbool.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* Under AddressSanitizer what is not handed out is poisoned, and a red zone stands behind each piece. */
#if defined __SANITIZE_ADDRESS__
#define ARENA_POISONS
#elif defined __has_feature
#if __has_feature(address_sanitizer)
#define ARENA_POISONS
#endif
#endif
#ifdef ARENA_POISONS
#include <sanitizer/asan_interface.h>
enum { RED_ZONE = 16 };
static void hide(void *p, size_t n) { ASAN_POISON_MEMORY_REGION(p, n); }
static void show(void *p, size_t n) { ASAN_UNPOISON_MEMORY_REGION(p, n); }
#else
enum { RED_ZONE = 0 };
static void hide(void *p, size_t n) { (void)p, (void)n; }
static void show(void *p, size_t n) { (void)p, (void)n; }
#endif

/* Each block is twice the one before: a system that takes freed memory back at once is asked seldom. */
enum { BLOCK_BYTES = 64 * 1024, MOST_BYTES = 1024 * 1024, ALIGN = 16 };

struct arena_block {
	arena_block *next;
	size_t room, used;
	_Alignas(16) unsigned char bytes[];
};

static void exhausted(void) {
	fputs("windchest: error: out of memory\n", stderr);
	exit(3);
}

static size_t next_room(const arena *a) {
	if (!a->first) return BLOCK_BYTES;
	size_t twice = 2 * a->first->room;
	return twice > MOST_BYTES ? MOST_BYTES : twice;
}

static size_t whole(size_t size) {
	if (size > SIZE_MAX / 2) exhausted();
	return (size ? (size + ALIGN - 1) & ~(size_t)(ALIGN - 1) : ALIGN) + RED_ZONE;
}

/* One that arena_clear() kept and that has the room; NULL: none. */
static arena_block *spare_block(arena *a, size_t size) {
	for (arena_block **b = &a->spare; *b; b = &(*b)->next) {
		if ((*b)->room < size) continue;
		arena_block *found = *b;
		*b = found->next;
		return found;
	}
	return NULL;
}

static arena_block *new_block(const arena *a, size_t size) {
	size_t room = size > BLOCK_BYTES ? size : next_room(a);
	arena_block *b = malloc(sizeof *b + room);
	if (!b) exhausted();
	b->room = room, b->used = 0;
	hide(b->bytes, room);
	return b;
}

/* Not zeroed: for what is written over at once. */
static void *take(arena *a, size_t size) {
	size_t all = whole(size);
	arena_block *b = a->first;
	if (!b || b->room - b->used < all) {
		b = spare_block(a, all);
		if (!b) b = new_block(a, all);
		/* The current block stays so when it will have more room left: an outsize one goes behind it. */
		if (a->first && a->first->room - a->first->used > b->room - all) {
			b->next = a->first->next;
			a->first->next = b;
		} else {
			b->next = a->first;
			a->first = b;
		}
	}
	void *p = b->bytes + b->used;
	show(p, size ? size : 1);
	b->used += all;
	a->used += all - RED_ZONE;
	return p;
}

void *arena_alloc(arena *a, size_t size) {
	void *p = take(a, size);
	memset(p, 0, size ? size : 1);
	return p;
}

/* A block that holds nothing but p; NULL: none of the two that may. */
static arena_block **alone(arena *a, const void *p, size_t old) {
	arena_block **b = &a->first;
	for (int i = 0; i < 2 && *b; i++, b = &(*b)->next)
		if ((*b)->bytes == p && (*b)->used == old && (*b)->room == old) return b;
	return NULL;
}

void *arena_grow(arena *a, void *p, size_t old, size_t size) {
	size_t had = whole(old), wanted = whole(size);
	arena_block *b = a->first, **own;
	if (wanted <= had && p) {
		show(p, size);
		return p;
	}
	if (p && b && b->bytes + b->used == (unsigned char *)p + had && b->room - b->used >= wanted - had) {
		b->used += wanted - had;
		a->used += wanted - had;
		show(p, size);
		return p;
	}
	if (p && had > BLOCK_BYTES && (own = alone(a, p, had))) {
		show(p, had);
		b = realloc(*own, sizeof *b + wanted);
		if (!b) exhausted();
		b->room = b->used = wanted;
		a->used += wanted - had;
		*own = b;
		hide(b->bytes + size, wanted - size);
		return b->bytes;
	}
	void *q = take(a, size);
	if (p && old) memcpy(q, p, old);
	return q;
}

void *arena_many(arena *a, size_t each, size_t n) {
	if (each && n > SIZE_MAX / each) exhausted();
	return arena_alloc(a, each * n);
}

void *arena_copy(arena *a, const void *from, size_t size) {
	void *p = take(a, size);
	if (size) memcpy(p, from, size);
	return p;
}

char *arena_textn(arena *a, const char *from, size_t n) {
	char *p = take(a, n + 1);
	if (n) memcpy(p, from, n);
	p[n] = 0;
	return p;
}

char *arena_text(arena *a, const char *from) { return arena_textn(a, from, strlen(from)); }

char *arena_vprintf(arena *a, const char *format, va_list args) {
	va_list again;
	va_copy(again, args);
	if (!format) format = ""; /* never so; gcc's sanitizers otherwise suppose that it might be */
	int n = vsnprintf(NULL, 0, format, args);
	if (n < 0) n = 0;
	char *p = take(a, (size_t)n + 1);
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

static void free_blocks(arena_block *b) {
	while (b) {
		arena_block *next = b->next;
		free(b);
		b = next;
	}
}

void arena_end(arena *a) {
	free_blocks(a->first);
	free_blocks(a->spare);
	*a = (arena){0};
}

/* The oldest block comes first, so that the same work finds the same places. */
void arena_clear(arena *a) {
	while (a->first) {
		arena_block *b = a->first;
		a->first = b->next;
		b->next = a->spare;
		a->spare = b;
		b->used = 0;
		hide(b->bytes, b->room);
	}
	a->used = 0;
}

arena arena_lend(arena *a) {
	arena lent = {.spare = a->spare};
	a->spare = NULL;
	return lent;
}

void arena_return(arena *a, arena *lent) {
	arena_clear(lent);
	arena_block **last = &lent->spare;
	while (*last) last = &(*last)->next;
	*last = a->spare;
	a->spare = lent->spare;
	lent->spare = NULL;
}

void *list_grow(arena *a, void *v, size_t n, size_t *room, size_t each) {
	if (n < *room) return v;
	size_t more = *room ? *room * 2 : 8;
	if (more > SIZE_MAX / each) exhausted();
	v = arena_grow(a, v, *room * each, each * more);
	*room = more;
	return v;
}
