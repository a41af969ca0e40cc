/* Memory of one compilation: everything allocated here lives until the arena ends.
 * Ownership: whoever calls arena_end() owns all of it; nothing is freed singly. */
#ifndef BASE_ARENA_H
#define BASE_ARENA_H
#include <stdarg.h>
#include <stddef.h>
#include <string.h>

typedef struct arena_block arena_block;
typedef struct arena {
	arena_block *first, *spare;
	size_t used; /* bytes handed out, for reports */
} arena;

/* Zeroed memory, aligned for any type. Ends the process with status 3 and a message when
 * memory is exhausted: no caller need test the result. */
void *arena_alloc(arena *a, size_t size);
void *arena_many(arena *a, size_t each, size_t n); /* n of them; a product beyond size_t is memory exhausted */
/* The same bytes in a larger room (what is new is not zeroed), in its old place where nothing came after it. */
void *arena_grow(arena *a, void *p, size_t old, size_t size);
void *arena_copy(arena *a, const void *from, size_t size);
char *arena_text(arena *a, const char *from);		 /* copy of a NUL-ended text */
char *arena_textn(arena *a, const char *from, size_t n); /* copy of n bytes, NUL added */
char *arena_printf(arena *a, const char *format, ...) __attribute__((format(printf, 2, 3)));
char *arena_vprintf(arena *a, const char *format, va_list args) __attribute__((format(printf, 2, 0)));
void arena_end(arena *a);   /* frees all; the arena may be used again */
void arena_clear(arena *a); /* the same, but keeps the blocks for what comes next: for work done again and again */

/* A second arena for work that is thrown away, made of the blocks that `a` keeps; they go back with arena_return(),
 * not arena_end(), and what was allocated there is gone. */
arena arena_lend(arena *a);
void arena_return(arena *a, arena *lent);

#define ARENA_NEW(a, type) ((type *)arena_alloc((a), sizeof(type)))
#define ARENA_MANY(a, type, n) ((type *)arena_many((a), sizeof(type), (size_t)(n)))

/* A growing list of T: struct { T *v; size_t n, room; }. */
#define LIST(T)                                                                                                        \
	struct {                                                                                                       \
		T *v;                                                                                                  \
		size_t n, room;                                                                                        \
	}
#define LIST_ROOM(a, list)                                                                                             \
	((list)->v = list_grow((a), (list)->v, (list)->n, &(list)->room, sizeof *(list)->v), &(list)->v[(list)->n++])
#define LIST_PUSH(a, list, item) (*LIST_ROOM((a), (list)) = (item))
/* Adds one zeroed element and gives its address (valid until the next add). */
#define LIST_ADD(a, list) memset(LIST_ROOM((a), (list)), 0, sizeof *(list)->v)
void *list_grow(arena *a, void *v, size_t n, size_t *room, size_t each);
#endif
