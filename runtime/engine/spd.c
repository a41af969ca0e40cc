#include "runtime/engine/spd.h"

#include <string.h>

static const uint32_t NONE = UINT32_MAX;

/* ---- order of least degree --------------------------------------------------------------------- */

/* The graph that is left while unknowns are taken out of it. Taking out p joins all its neighbours; that is not written
 * down edge by edge but as an element p with its list of members. An unknown's slot holds first the elements that it is
 * in, then the unknowns that it still touches directly; it never grows, since whatever puts an element into it takes
 * something else out. */
typedef struct graph {
	arena *mem;
	uint32_t n, left;
	uint32_t *slot;		       /* all slots */
	size_t *start;		       /* [n] */
	uint32_t *elements, *touches;  /* [n] how many of each are in the slot */
	uint32_t **member, *members;   /* [n] of an element; NULL before it is one and after it was absorbed */
	uint32_t *degree;	       /* [n] at most so many neighbours */
	uint32_t *head, *after, *prev; /* unknowns by degree */
	uint32_t *mark, *outside;      /* [n] */
	uint32_t tag, least;
	bool *out; /* taken out */
} graph;

static void put(graph *g, uint32_t i) {
	uint32_t d = g->degree[i];
	g->after[i] = g->head[d];
	g->prev[i] = NONE;
	if (g->head[d] != NONE) g->prev[g->head[d]] = i;
	g->head[d] = i;
	if (d < g->least) g->least = d;
}

static void pull(graph *g, uint32_t i) {
	if (g->prev[i] == NONE)
		g->head[g->degree[i]] = g->after[i];
	else
		g->after[g->prev[i]] = g->after[i];
	if (g->after[i] != NONE) g->prev[g->after[i]] = g->prev[i];
}

static graph graph_of(arena *mem, uint32_t n, const spd_pair *pairs, size_t n_pairs) {
	graph g = {.mem = mem, .n = n, .left = n, .least = n};
	uint32_t **const words[] = {&g.elements, &g.touches, &g.members, &g.degree,  &g.head,
				    &g.after,	 &g.prev,    &g.mark,	 &g.outside, NULL};
	for (size_t i = 0; words[i]; i++) *words[i] = ARENA_MANY(mem, uint32_t, n + 1);
	g.start = ARENA_MANY(mem, size_t, n + 1);
	g.member = ARENA_MANY(mem, uint32_t *, n + 1);
	g.out = ARENA_MANY(mem, bool, n + 1);
	g.slot = ARENA_MANY(mem, uint32_t, 2 * n_pairs + 1);
	for (size_t k = 0; k < n_pairs; k++) {
		g.touches[pairs[k].a]++;
		g.touches[pairs[k].b]++;
	}
	for (uint32_t i = 0; i < n; i++) {
		g.start[i + 1] = g.start[i] + g.touches[i];
		g.touches[i] = 0;
		g.head[i] = NONE;
	}
	for (size_t k = 0; k < n_pairs; k++) {
		uint32_t a = pairs[k].a, b = pairs[k].b;
		g.slot[g.start[a] + g.touches[a]++] = b;
		g.slot[g.start[b] + g.touches[b]++] = a;
	}
	for (uint32_t i = 0; i < n; i++) { /* each neighbour once */
		uint32_t *s = g.slot + g.start[i], kept = 0;
		g.tag++;
		for (uint32_t k = 0; k < g.touches[i]; k++) {
			if (g.mark[s[k]] == g.tag) continue;
			g.mark[s[k]] = g.tag;
			s[kept++] = s[k];
		}
		g.touches[i] = g.degree[i] = kept;
	}
	for (uint32_t i = n; i-- > 0;) put(&g, i);
	return g;
}

/* The neighbours of p become the members of element p; the elements that p was in are absorbed. */
static void take_out(graph *g, uint32_t p) {
	const uint32_t *s = g->slot + g->start[p];
	size_t most = g->touches[p];
	for (uint32_t k = 0; k < g->elements[p]; k++) most += g->members[s[k]];
	uint32_t *list = ARENA_MANY(g->mem, uint32_t, most + 1), n = 0;
	g->tag++;
	g->mark[p] = g->tag;
	for (uint32_t k = 0; k < g->elements[p] + g->touches[p]; k++) {
		bool element = k < g->elements[p];
		const uint32_t *from = element ? g->member[s[k]] : &s[k];
		for (uint32_t i = 0, many = element ? g->members[s[k]] : 1; i < many; i++) {
			if (g->mark[from[i]] == g->tag) continue;
			g->mark[from[i]] = g->tag;
			list[n++] = from[i];
		}
	}
	for (uint32_t k = 0; k < g->elements[p]; k++)
		g->members[s[k]] = NONE; /* absorbed: its list stays, for the factor */
	g->member[p] = list;
	g->members[p] = n;
	g->out[p] = true;
	g->left--;
}

/* How many members of each element that a member of p is in lie outside p, plus one; 0 for elements not seen. */
static uint32_t count_outside(graph *g, uint32_t p, uint32_t *seen) {
	uint32_t many = 0;
	for (uint32_t k = 0; k < g->members[p]; k++) {
		uint32_t i = g->member[p][k];
		const uint32_t *s = g->slot + g->start[i];
		for (uint32_t j = 0; j < g->elements[i]; j++) {
			uint32_t e = s[j];
			if (g->members[e] == NONE) continue;
			if (!g->outside[e]) {
				g->outside[e] = g->members[e] + 1;
				seen[many++] = e;
			}
			g->outside[e]--;
		}
	}
	return many;
}

/* After p was taken out: cleans the slot of each of its members and bounds their degrees anew. `seen`, `work`: [n]. */
static void renew(graph *g, uint32_t p, uint32_t *seen, uint32_t *work) {
	uint32_t n = g->members[p], many = count_outside(g, p, seen);
	for (uint32_t k = 0; k < n; k++) {
		uint32_t i = g->member[p][k], *s = g->slot + g->start[i], kept = 0;
		size_t bound = n - 1, grown = (size_t)g->degree[i] + n - 1;
		pull(g, i);
		for (uint32_t j = 0; j < g->elements[i]; j++) {
			uint32_t e = s[j];
			if (g->members[e] == NONE || g->outside[e] == 1) continue; /* absorbed, or wholly inside p */
			bound += g->outside[e] - 1;
			work[kept++] = e;
		}
		work[kept++] = p;
		uint32_t elements = kept;
		for (uint32_t j = g->elements[i]; j < g->elements[i] + g->touches[i]; j++) {
			if (g->out[s[j]] || g->mark[s[j]] == g->tag) continue; /* p itself, or joined through it */
			bound++;
			work[kept++] = s[j];
		}
		memcpy(s, work, sizeof *s * kept);
		g->elements[i] = elements;
		g->touches[i] = kept - elements;
		if (bound > grown) bound = grown;
		g->degree[i] = bound < g->left - 1 ? (uint32_t)bound : g->left - 1;
		put(g, i);
	}
	for (uint32_t k = 0; k < many; k++) g->outside[seen[k]] = 0;
}

/* ---- the factor's pattern ----------------------------------------------------------------------- */

/* The members that p had when it was taken out are the rows of its column. */
static void pattern(spd *s, arena *mem, const graph *g, const uint32_t *order, const uint32_t *many) {
	uint32_t n = s->n;
	size_t *fill = ARENA_MANY(mem, size_t, n + 1), *start = ARENA_MANY(mem, size_t, n + 2);
	s->column = ARENA_MANY(mem, size_t, n + 1);
	for (uint32_t j = 0; j < n; j++) s->column[j + 1] = s->column[j] + many[order[j]];
	size_t all = s->column[n];
	s->row = ARENA_MANY(mem, uint32_t, all + 1);
	s->lower = ARENA_MANY(mem, double, all + 1);
	/* Sorted by going through the rows: first by row, each row's columns rising, then back. */
	uint32_t *across = ARENA_MANY(mem, uint32_t, all + 1);
	for (uint32_t j = 0; j < n; j++)
		for (uint32_t k = 0; k < many[order[j]]; k++) start[s->place[g->member[order[j]][k]] + 1]++;
	for (uint32_t i = 0; i < n; i++) start[i + 1] += start[i];
	memcpy(fill, start, sizeof *fill * n);
	for (uint32_t j = 0; j < n; j++)
		for (uint32_t k = 0; k < many[order[j]]; k++) across[fill[s->place[g->member[order[j]][k]]]++] = j;
	memcpy(fill, s->column, sizeof *fill * n);
	for (uint32_t i = 0; i < n; i++)
		for (size_t k = start[i]; k < start[i + 1]; k++) s->row[fill[across[k]]++] = i;
}

static size_t find(const spd *s, uint32_t column, uint32_t row) {
	size_t low = s->column[column], high = s->column[column + 1];
	while (low + 1 < high) {
		size_t middle = low + (high - low) / 2;
		*(s->row[middle] <= row ? &low : &high) = middle;
	}
	return low;
}

spd *spd_plan(arena *mem, uint32_t n, const spd_pair *pairs, size_t n_pairs) {
	spd *s = ARENA_NEW(mem, spd);
	graph g = graph_of(mem, n, pairs, n_pairs);
	uint32_t *order = ARENA_MANY(mem, uint32_t, n + 1), *many = ARENA_MANY(mem, uint32_t, n + 1),
		 *seen = ARENA_MANY(mem, uint32_t, n + 1), *work = ARENA_MANY(mem, uint32_t, n + 1);
	s->n = n;
	s->place = ARENA_MANY(mem, uint32_t, n + 1);
	for (uint32_t j = 0; j < n; j++) {
		while (g.head[g.least] == NONE) g.least++;
		uint32_t p = g.head[g.least];
		pull(&g, p);
		take_out(&g, p);
		renew(&g, p, seen, work);
		order[j] = p;
		many[p] = g.members[p];
		s->place[p] = j;
	}
	pattern(s, mem, &g, order, many);
	s->entry = ARENA_MANY(mem, size_t, n_pairs + 1);
	for (size_t k = 0; k < n_pairs; k++) {
		uint32_t a = s->place[pairs[k].a], b = s->place[pairs[k].b];
		s->entry[k] = a < b ? find(s, a, b) : find(s, b, a);
	}
	s->diagonal = ARENA_MANY(mem, double, n + 1);
	s->line = ARENA_MANY(mem, double, n + 1);
	s->next = ARENA_MANY(mem, size_t, n + 1);
	s->first_of = ARENA_MANY(mem, uint32_t, n + 1);
	s->link = ARENA_MANY(mem, uint32_t, n + 1);
	return s;
}

/* ---- numbers ---------------------------------------------------------------------------------- */

/* Column k has a next entry, at row i: it is among those that column i takes something from. */
static void queue(spd *s, uint32_t k) {
	if (s->next[k] >= s->column[k + 1]) return;
	uint32_t i = s->row[s->next[k]];
	s->link[k] = s->first_of[i];
	s->first_of[i] = k;
}

bool spd_factor(spd *s, const double *on_diagonal, const double *of_pair, size_t n_pairs) {
	memset(s->lower, 0, sizeof(double) * s->column[s->n]);
	for (uint32_t i = 0; i < s->n; i++) {
		s->diagonal[s->place[i]] = on_diagonal[i];
		s->first_of[i] = NONE;
	}
	for (size_t k = 0; k < n_pairs; k++) s->lower[s->entry[k]] += of_pair[k];
	for (uint32_t j = 0; j < s->n; j++) {
		size_t begin = s->column[j], end = s->column[j + 1];
		double pivot = s->diagonal[j], *x = s->line;
		for (size_t k = begin; k < end; k++) x[s->row[k]] = s->lower[k];
		for (uint32_t c = s->first_of[j], then = NONE; c != NONE; c = then) {
			then = s->link[c];
			size_t at = s->next[c]++;
			double factor = s->lower[at] * s->diagonal[c];
			pivot -= s->lower[at] * factor;
			for (size_t k = at + 1; k < s->column[c + 1]; k++) x[s->row[k]] -= s->lower[k] * factor;
			queue(s, c);
		}
		if (!(pivot > 0)) return false;
		s->diagonal[j] = pivot;
		for (size_t k = begin; k < end; k++) s->lower[k] = x[s->row[k]] / pivot;
		s->next[j] = begin;
		queue(s, j);
	}
	return true;
}

void spd_solve(spd *s, double *x) {
	double *y = s->line;
	for (uint32_t i = 0; i < s->n; i++) y[s->place[i]] = x[i];
	for (uint32_t j = 0; j < s->n; j++)
		for (size_t k = s->column[j]; k < s->column[j + 1]; k++) y[s->row[k]] -= s->lower[k] * y[j];
	for (uint32_t j = s->n; j-- > 0;) {
		y[j] /= s->diagonal[j];
		for (size_t k = s->column[j]; k < s->column[j + 1]; k++) y[j] -= s->lower[k] * y[s->row[k]];
	}
	for (uint32_t i = 0; i < s->n; i++) x[i] = y[s->place[i]];
}
