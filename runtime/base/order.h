/* Putting numbers in order. Values: no ownership. */
#ifndef BASE_ORDER_H
#define BASE_ORDER_H
#include <stdint.h>
#include <stdlib.h>

static inline int order_by_value(const void *a, const void *b) {
	double x = *(const double *)a, y = *(const double *)b;
	return (x > y) - (x < y);
}

/* The least first. */
static inline void order_doubles(double *v, size_t n) {
	if (n) qsort(v, n, sizeof *v, order_by_value);
}

/* A thing known by its place in some list, and what it is put in order by. */
typedef struct order_ranked {
	double key;
	uint32_t index;
} order_ranked;

static inline int order_by_rank(const void *pa, const void *pb) {
	const order_ranked *a = pa, *b = pb;
	if (a->key != b->key) return a->key < b->key ? -1 : 1;
	return a->index < b->index ? -1 : a->index > b->index;
}

/* The least key first, of equal keys the least index. */
static inline void order_ranks(order_ranked *v, size_t n) {
	if (n) qsort(v, n, sizeof *v, order_by_rank);
}
#endif
