/* Fillings of one bar: the dearest one, and all that are dear enough; inside the engine of bars.
 * Ownership: everything lives in the arena given to bars_fill_new(). Lengths and values are whole numbers. */
#ifndef ENGINE_BARS_FILL_H
#define ENGINE_BARS_FILL_H
#include <stdbool.h>
#include <stdint.h>

#include "runtime/base/arena.h"

/* A partial filling; kept are those that no other one beats, being no longer and as dear. */
typedef struct bars_fill_state {
	int64_t filled, value;
	uint32_t trace;
} bars_fill_state;
typedef LIST(bars_fill_state) bars_fill_states;
/* How it came about: the one before, and the kind that was added. */
typedef struct bars_fill_trace {
	uint32_t before, kind;
} bars_fill_trace;

typedef struct bars_fill {
	uint32_t n;
	int64_t *length;  /* [kinds] > 0, written by the caller once */
	uint32_t *left;	  /* [kinds] a filling holds no more of each; written by the caller */
	int64_t *value;	  /* [kinds] of one piece, written by the caller; kinds of no value are not laid */
	uint32_t *chosen; /* [kinds] the last filling */
	uint64_t steps;
	/* private */
	arena *mem;
	uint32_t *rank;	  /* kinds of some value by value for the length */
	int64_t *least;	  /* [rank] the least length from here on */
	int64_t *dearest; /* [rank] the highest value from here on */
	uint32_t *now;
	bars_fill_states states, other;
	LIST(bars_fill_trace) traces;
} bars_fill;

bars_fill bars_fill_new(arena *mem, uint32_t n);

/* A dear filling of a room, in `chosen`, and its value: the dearest that is found by laying `tries` kinds; *whole is
 * cleared when there may be a dearer one. */
int64_t bars_fill_some(bars_fill *f, int64_t room, uint64_t tries, bool *whole);
/* The dearest, whatever it takes, except that a filling worth more than `enough` need not be the dearest. */
int64_t bars_fill_best(bars_fill *f, int64_t room, int64_t enough, bool *whole);

/* Hands over, in `chosen`, every filling worth `least` > 0 or more, until `take` says false or `tries` kinds were laid;
 * false then. */
typedef bool bars_fill_take(void *to, int64_t value);
bool bars_fill_all(bars_fill *f, int64_t room, int64_t least, uint64_t tries, bars_fill_take *take, void *to);
#endif
