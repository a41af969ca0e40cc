/* Symmetric positive definite linear systems whose pattern stays while their values change.
 * Ownership: everything lives in the arena that is handed to spd_plan().
 *
 * spd_plan() looks at the pattern once: it puts the unknowns into an order of least degree (quotient graph with
 * absorbed elements and the approximate degrees of Amestoy, Davis and Duff 1996; form from memory), which keeps the
 * factor thin, and finds the factor's pattern on the way. spd_factor() then fills it in as L D L', column by column
 * from the left (George and Liu 1981). Order and answer depend on the pattern and the values alone. */
#ifndef ENGINE_SPD_H
#define ENGINE_SPD_H
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "runtime/base/arena.h"

typedef struct spd_pair {
	uint32_t a, b; /* two different unknowns */
} spd_pair;

typedef struct spd {
	uint32_t n;
	uint32_t *place;	   /* [n] unknown -> column of the factor */
	size_t *column;		   /* [n + 1] first entry of each column below the diagonal */
	uint32_t *row;		   /* [column[n]] rising in each column */
	size_t *entry;		   /* [pairs] where a pair's value goes */
	double *lower, *diagonal;  /* the matrix, then its factor */
	double *line;		   /* [n] one column spread out, and the right side in factor's order */
	size_t *next;		   /* [n] work of spd_factor() */
	uint32_t *first_of, *link; /* [n] the same */
} spd;

/* n unknowns; pairs may repeat and stand either way round. */
spd *spd_plan(arena *mem, uint32_t n, const spd_pair *pairs, size_t n_pairs);
/* Values: on_diagonal[n] and, for each pair of spd_plan(), what it adds off the diagonal. False when a pivot is not
 * positive: the system has no single answer. */
bool spd_factor(spd *s, const double *on_diagonal, const double *of_pair, size_t n_pairs);
void spd_solve(spd *s, double *x); /* right side in, answer out */
#endif
