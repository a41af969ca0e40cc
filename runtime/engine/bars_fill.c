#include "runtime/engine/bars_fill.h"

#include <string.h>

__extension__ typedef __int128 wide;

enum { BRANCH_FIRST = 2000 };
enum { TRACES_MOST = 4000000 }; /* partial fillings that are kept, 8 bytes each */

typedef bars_fill_state state;
typedef bars_fill_trace trace;

bars_fill bars_fill_new(arena *mem, uint32_t n) {
	bars_fill f = {.mem = mem, .n = n};
	f.length = ARENA_MANY(mem, int64_t, n);
	f.left = ARENA_MANY(mem, uint32_t, n);
	f.value = ARENA_MANY(mem, int64_t, n);
	f.chosen = ARENA_MANY(mem, uint32_t, n);
	f.rank = ARENA_MANY(mem, uint32_t, n);
	f.least = ARENA_MANY(mem, int64_t, n);
	f.dearest = ARENA_MANY(mem, int64_t, n);
	f.now = ARENA_MANY(mem, uint32_t, n);
	return f;
}

static uint32_t most_of(const bars_fill *f, uint32_t kind, int64_t room) {
	int64_t fit = room / f->length[kind];
	return fit < f->left[kind] ? (uint32_t)fit : f->left[kind];
}

/* The kinds that may be laid, by value for the length; their number. */
static uint32_t rank(bars_fill *f) {
	uint32_t n = 0;
	for (uint32_t i = 0; i < f->n; i++)
		if (f->value[i] > 0 && f->left[i]) f->rank[n++] = i;
	for (uint32_t i = 1; i < n; i++) { /* insertion: the order changes little from call to call */
		uint32_t kind = f->rank[i], k = i;
		for (; k > 0; k--) {
			uint32_t o = f->rank[k - 1];
			if ((wide)f->value[o] * f->length[kind] >= (wide)f->value[kind] * f->length[o]) break;
			f->rank[k] = o;
		}
		f->rank[k] = kind;
	}
	for (uint32_t i = n; i-- > 0;) {
		int64_t l = f->length[f->rank[i]], v = f->value[f->rank[i]];
		f->least[i] = i + 1 < n && f->least[i + 1] < l ? f->least[i + 1] : l;
		f->dearest[i] = i + 1 < n && f->dearest[i + 1] > v ? f->dearest[i + 1] : v;
	}
	return n;
}

typedef struct branch {
	bars_fill *f;
	int64_t best;
	uint64_t tries;
	uint32_t n; /* ranked kinds */
} branch;

static void branch_on(branch *b, uint32_t k, int64_t room, int64_t value) {
	bars_fill *f = b->f;
	if (value > b->best) {
		b->best = value;
		memcpy(f->chosen, f->now, sizeof *f->now * f->n);
	}
	for (; k < b->n && room >= f->least[k] && b->tries > 0; k++) {
		uint32_t kind = f->rank[k];
		int64_t v = f->value[kind], l = f->length[kind];
		f->steps++;
		if (l > room) continue;
		/* the room left, filled at the rate of this kind, the best of those to come */
		if ((wide)(b->best - value) * l >= (wide)room * v) return;
		if (room < 2 * f->least[k] && value + f->dearest[k] <= b->best) return;
		b->tries--;
		f->steps += 3;
		for (uint32_t t = most_of(f, kind, room); t > 0 && b->tries > 0; t--) {
			f->now[kind] = t;
			branch_on(b, k + 1, room - t * l, value + t * v);
		}
		f->now[kind] = 0;
	}
}

int64_t bars_fill_some(bars_fill *f, int64_t room, uint64_t tries, bool *whole) {
	branch b = {.f = f, .tries = tries, .n = rank(f)};
	memset(f->now, 0, sizeof *f->now * f->n);
	memset(f->chosen, 0, sizeof *f->chosen * f->n);
	branch_on(&b, 0, room, 0);
	if (b.tries == 0) *whole = false;
	return b.best;
}

/* Whether a partial filling can still become better than the best when the kinds from `k` on are added. */
static bool hopeful(const bars_fill *f, uint32_t k, uint32_t n, int64_t left, int64_t value, int64_t best) {
	if (k == n || left < f->least[k]) return false;
	return (wide)(best - value) * f->length[f->rank[k]] < (wide)left * f->value[f->rank[k]];
}

/* One more piece of rank k, or none, for every partial filling; `next`: the first rank that comes after it. Gives how
 * many are kept. */
static size_t extend(bars_fill *f, uint32_t k, uint32_t next, uint32_t n, int64_t room, size_t n_states, int64_t *best,
		     uint32_t *best_trace) {
	uint32_t kind = f->rank[k];
	int64_t l = f->length[kind], v = f->value[kind], dearest = -1;
	size_t with = 0, without = 0, kept = 0;
	f->other.n = 0;
	while (with < n_states || without < n_states) {
		const state *old = without < n_states ? &f->states.v[without] : NULL;
		const state *from = with < n_states ? &f->states.v[with] : NULL;
		if (from && from->filled + l > room) {
			with = n_states;
			continue;
		}
		bool add = from && (!old || from->filled + l < old->filled ||
				    (from->filled + l == old->filled && from->value + v > old->value));
		state now = add ? (state){from->filled + l, from->value + v, 0} : *old;
		uint32_t before = add ? from->trace : 0;
		*(add ? &with : &without) += 1;
		if (now.value <= dearest) continue;
		bool better = add && now.value > *best;
		if (!hopeful(f, add ? next : k + 1, n, room - now.filled, now.value, *best) && !better) continue;
		dearest = now.value;
		if (add) {
			trace t = {before, kind};
			now.trace = (uint32_t)f->traces.n;
			LIST_PUSH(f->mem, &f->traces, t);
		}
		if (better) {
			*best = now.value;
			*best_trace = now.trace;
		}
		LIST_PUSH(f->mem, &f->other, now);
		kept++;
	}
	f->steps += 2 * n_states + kept;
	return kept;
}

/* All fillings kind by kind, those that are beaten or hopeless left out (dynamic programming with lists: Martello and
 * Toth 1990). Begins with the best known, in `chosen`. */
static int64_t fill_lists(bars_fill *f, int64_t room, int64_t best, bool *whole) {
	uint32_t n = rank(f), best_trace = UINT32_MAX;
	trace none = {UINT32_MAX, UINT32_MAX};
	state empty = {0, 0, 0};
	f->states.n = f->traces.n = 0;
	LIST_PUSH(f->mem, &f->traces, none);
	LIST_PUSH(f->mem, &f->states, empty);
	for (uint32_t k = 0; k < n && f->states.n; k++) {
		uint32_t most = most_of(f, f->rank[k], room);
		for (uint32_t t = 0; t < most; t++) {
			extend(f, k, t + 1 < most ? k : k + 1, n, room, f->states.n, &best, &best_trace);
			bars_fill_states swap = f->states;
			f->states = f->other;
			f->other = swap;
			if (f->traces.n > TRACES_MOST) {
				*whole = false;
				k = n - 1;
				break;
			}
		}
	}
	if (best_trace == UINT32_MAX) return best;
	memset(f->chosen, 0, sizeof *f->chosen * f->n);
	for (const trace *t = &f->traces.v[best_trace]; t->kind != UINT32_MAX; t = &f->traces.v[t->before])
		f->chosen[t->kind]++;
	return best;
}

int64_t bars_fill_best(bars_fill *f, int64_t room, int64_t enough, bool *whole) {
	bool done = true;
	int64_t value = bars_fill_some(f, room, BRANCH_FIRST, &done);
	if (done) return value;
	if (value > enough) {
		*whole = false;
		return value;
	}
	return fill_lists(f, room, value, whole);
}

typedef struct all {
	bars_fill *f;
	uint32_t n; /* ranked kinds */
	int64_t least;
	uint64_t tries;
	bars_fill_take *take;
	void *to;
} all;

static bool all_on(all *a, uint32_t k, int64_t room, int64_t value) {
	bars_fill *f = a->f;
	for (; k < a->n && room >= f->least[k]; k++) {
		uint32_t kind = f->rank[k];
		int64_t v = f->value[kind], l = f->length[kind];
		if ((wide)(a->least - value) * l > (wide)room * v) return true;
		f->steps++;
		if (l > room) continue;
		if (a->tries == 0) return false;
		a->tries--;
		for (uint32_t t = most_of(f, kind, room); t > 0; t--) {
			int64_t now = value + t * v;
			f->chosen[kind] = t;
			if (now >= a->least && !a->take(a->to, now)) return false;
			if (!all_on(a, k + 1, room - t * l, now)) return false;
		}
		f->chosen[kind] = 0;
	}
	return true;
}

bool bars_fill_all(bars_fill *f, int64_t room, int64_t least, uint64_t tries, bars_fill_take *take, void *to) {
	all a = {f, rank(f), least, tries, take, to};
	memset(f->chosen, 0, sizeof *f->chosen * f->n);
	return all_on(&a, 0, room, 0);
}
