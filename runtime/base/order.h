/* Putting numbers in order. Values: no ownership. */
#ifndef BASE_ORDER_H
#define BASE_ORDER_H
#include <stdlib.h>

static inline int order_by_value(const void *a, const void *b) {
	double x = *(const double *)a, y = *(const double *)b;
	return (x > y) - (x < y);
}

/* The least first. */
static inline void order_doubles(double *v, size_t n) {
	if (n) qsort(v, n, sizeof *v, order_by_value);
}
#endif
