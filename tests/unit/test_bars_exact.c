/* Fillings of one bar and combinations of fillings, each compared with trying everything. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "runtime/engine/bars_exact.h"
#include "runtime/engine/bars_fill.h"
#include "runtime/engine/chance.h"

enum { KINDS = 7 };

/* All fillings one after the other: the dearest, and how many are worth `least` or more. */
static int64_t by_hand(const bars_fill *f, uint32_t kind, int64_t room, int64_t value, int64_t least,
		       uint64_t *enough) {
	if (kind == f->n) {
		*enough += value >= least;
		return value;
	}
	int64_t best = 0;
	for (uint32_t t = 0; t <= f->left[kind] && t * f->length[kind] <= room; t++) {
		if (t && f->value[kind] <= 0) break;
		int64_t now =
			by_hand(f, kind + 1, room - t * f->length[kind], value + t * f->value[kind], least, enough);
		if (now > best) best = now;
	}
	return best;
}

typedef struct counted {
	const bars_fill *f;
	int64_t room, least;
	uint64_t n;
	bool good;
} counted;

static bool count_one(void *to, int64_t value) {
	counted *c = to;
	int64_t filled = 0, worth = 0;
	for (uint32_t i = 0; i < c->f->n; i++) {
		filled += c->f->chosen[i] * c->f->length[i];
		worth += c->f->chosen[i] * c->f->value[i];
		c->good = c->good && c->f->chosen[i] <= c->f->left[i];
	}
	c->good = c->good && filled <= c->room && worth == value && value >= c->least;
	c->n++;
	return true;
}

static void draw_fill(bars_fill *f, uint64_t *seed, uint32_t longest) {
	for (uint32_t i = 0; i < f->n; i++) {
		f->length[i] = 1 + chance_below(seed, longest);
		f->left[i] = chance_below(seed, 4);
		f->value[i] = chance_below(seed, 8) ? f->length[i] * 16 + chance_below(seed, 40) : 0;
	}
}

static void fillings_are_the_dearest(void **state) {
	(void)state;
	uint64_t seed = 7;
	for (int round = 0; round < 400; round++) {
		arena mem = {0};
		bars_fill f = bars_fill_new(&mem, KINDS);
		draw_fill(&f, &seed, 40);
		int64_t room = 30 + chance_below(&seed, 90);
		uint64_t enough = 0;
		bool whole = true;
		int64_t best = by_hand(&f, 0, room, 0, 0, &enough);
		assert_int_equal(bars_fill_best(&f, room, INT64_MAX, &whole), best);
		assert_true(whole);
		if (best == 0) {
			arena_end(&mem);
			continue;
		}
		counted c = {.f = &f, .room = room, .least = best - best / 8, .good = true};
		enough = 0;
		by_hand(&f, 0, room, 0, c.least, &enough);
		assert_true(bars_fill_all(&f, room, c.least, UINT64_MAX, count_one, &c));
		assert_true(c.good);
		assert_int_equal(c.n, enough);
		arena_end(&mem);
	}
}

/* Sixty kinds of nearly one value for the length: branching alone does not come to its end, the lists do. */
static void long_bars_are_filled_exactly(void **state) {
	(void)state;
	enum { MANY = 60, ROOM = 3000 };
	uint64_t seed = 11;
	arena mem = {0};
	bars_fill f = bars_fill_new(&mem, MANY);
	static int64_t table[ROOM + 1];
	int open = 0;
	for (int round = 0; round < 20; round++) {
		memset(table, 0, sizeof table);
		for (uint32_t i = 0; i < MANY; i++) {
			f.length[i] = 500 + chance_below(&seed, 500);
			f.left[i] = 1 + chance_below(&seed, 2);
			f.value[i] = f.length[i] * 1000 + chance_below(&seed, 2000);
			for (uint32_t t = 0; t < f.left[i]; t++)
				for (int64_t at = ROOM; at >= f.length[i]; at--)
					if (table[at - f.length[i]] + f.value[i] > table[at])
						table[at] = table[at - f.length[i]] + f.value[i];
		}
		bool whole = true, some = true;
		bars_fill_some(&f, ROOM, 20, &some);
		open += !some;
		assert_int_equal(bars_fill_best(&f, ROOM, INT64_MAX, &whole), table[ROOM]);
		assert_true(whole);
		int64_t filled = 0, worth = 0;
		for (uint32_t i = 0; i < MANY; i++) {
			assert_true(f.chosen[i] <= f.left[i]);
			filled += f.chosen[i] * f.length[i];
			worth += f.chosen[i] * f.value[i];
		}
		assert_true(filled <= ROOM);
		assert_int_equal(worth, table[ROOM]);
	}
	assert_in_range(open, 10, 20);
	arena_end(&mem);
}

typedef struct combos {
	LIST(bars_exact_filling) fillings;
	LIST(cover_entry) entries;
	uint32_t need[KINDS];
	bars_exact_problem p;
} combos;

static bool possible(const combos *c, uint32_t *left, uint32_t from, int64_t price, int64_t slack) {
	bool done = true;
	for (uint32_t i = 0; i < KINDS; i++) done = done && left[i] == 0;
	if (done) return true;
	for (uint32_t j = from; j < c->fillings.n; j++) {
		const bars_exact_filling *k = &c->fillings.v[j];
		bool fits = k->price <= price && k->slack <= slack;
		for (uint32_t i = 0; i < k->n && fits; i++)
			fits = c->entries.v[k->first + i].count <= left[c->entries.v[k->first + i].row];
		if (!fits) continue;
		for (uint32_t i = 0; i < k->n; i++)
			left[c->entries.v[k->first + i].row] -= c->entries.v[k->first + i].count;
		bool good = possible(c, left, j, price - k->price, slack - k->slack);
		for (uint32_t i = 0; i < k->n; i++)
			left[c->entries.v[k->first + i].row] += c->entries.v[k->first + i].count;
		if (good) return true;
	}
	return false;
}

static void draw_combos(combos *c, arena *mem, uint64_t *seed) {
	for (uint32_t i = 0; i < KINDS; i++) c->need[i] = 1 + chance_below(seed, 3) / 2;
	for (uint32_t j = 0, n = 10 + chance_below(seed, 14); j < n; j++) {
		bars_exact_filling k = {(uint32_t)c->entries.n, 0, 1 + chance_below(seed, 2), chance_below(seed, 4)};
		for (uint32_t i = 0; i < KINDS; i++) {
			cover_entry e = {i, chance_below(seed, 3) ? 0 : 1 + chance_below(seed, 4) / 3};
			if (e.count == 0) continue;
			LIST_PUSH(mem, &c->entries, e);
			k.n++;
		}
		if (k.n) LIST_PUSH(mem, &c->fillings, k);
	}
}

static bool always(void *of, const uint32_t *picked, uint32_t n) {
	(void)of;
	(void)picked;
	(void)n;
	return true;
}

static bool never(void *of, const uint32_t *picked, uint32_t n) { return !always(of, picked, n); }

static void combinations_are_found_or_there_is_none(void **state) {
	(void)state;
	uint64_t seed = 3;
	int found = 0;
	static const double guess[KINDS];
	enum { ROUNDS = 600 };
	for (int round = 0; round < ROUNDS; round++) {
		arena mem = {0};
		combos c = {0};
		draw_combos(&c, &mem, &seed);
		int64_t price = 3 + chance_below(&seed, 4), slack = 2 + chance_below(&seed, 6);
		bars_exact_problem p = {c.need,	     KINDS, c.fillings.v, (uint32_t)c.fillings.n,
					c.entries.v, price, slack,	  guess,
					always,	     NULL,  10000000};
		uint32_t picked[2 * KINDS], n = 0, left[KINDS];
		uint64_t steps = 0;
		memcpy(left, c.need, sizeof left);
		bool can = possible(&c, left, 0, price, slack);
		bars_exact_outcome outcome = bars_exact(&p, picked, &n, &steps);
		assert_int_equal(outcome, can ? BARS_EXACT_FOUND : BARS_EXACT_NONE);
		for (uint32_t b = 0; b < n && can; b++) {
			const bars_exact_filling *k = &c.fillings.v[picked[b]];
			price -= k->price;
			slack -= k->slack;
			for (uint32_t i = 0; i < k->n; i++)
				left[c.entries.v[k->first + i].row] -= c.entries.v[k->first + i].count;
		}
		for (uint32_t i = 0; i < KINDS && can; i++) assert_int_equal(left[i], 0);
		assert_true(price >= 0 && slack >= 0);
		p.good = never; /* what is refused is no proof that there is none */
		assert_int_equal(bars_exact(&p, picked, &n, &steps), can ? BARS_EXACT_OPEN : BARS_EXACT_NONE);
		found += can;
		arena_end(&mem);
	}
	assert_in_range(found, ROUNDS / 20, ROUNDS - ROUNDS / 20);
}

int main(void) {
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(fillings_are_the_dearest),
		cmocka_unit_test(long_bars_are_filled_exactly),
		cmocka_unit_test(combinations_are_found_or_there_is_none),
	};
	return cmocka_run_group_tests(tests, NULL, NULL);
}
