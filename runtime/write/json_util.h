/* Small helpers around jansson, the same manner in every JSON file that is written.
 * Ownership: every function gives a new reference; json_util_put and json_util_add take theirs over, whoever holds the
 * root calls json_decref. Dumped bytes live in the arena. Memory exhausted ends the process with status 3, as the arena
 * does: no result need be tested.
 *
 * The manner (RFC 8259): keys stand in the order they were put, two blanks of indent, newline at the end, UTF-8 without
 * a byte-order mark; a number that is not finite (not known, does not apply) is null; numbers have at most 12
 * significant digits. Lengths are {"exact": "35/2", "mm": 17.5}: the text is the exact fraction of a millimetre. */
#ifndef WRITE_JSON_UTIL_H
#define WRITE_JSON_UTIL_H
#include <jansson.h>
#include <stddef.h>

#include "runtime/base/arena.h"
#include "runtime/base/quant.h"
#include "runtime/base/source.h"
#include "runtime/engine/model.h"

json_t *json_util_object(void);
json_t *json_util_array(void);
/* Puts a value into an object or at the end of an array. */
void json_util_put(json_t *object, const char *key, json_t *value);
void json_util_add(json_t *array, json_t *value);

json_t *json_util_text(const char *text); /* NULL: null; bytes that are no UTF-8 become U+FFFD */
json_t *json_util_number(double v);	  /* not finite: null; -0 is 0 */
json_t *json_util_whole(long long v);
json_t *json_util_flag(bool v);
json_t *json_util_rat(rat r);	   /* "num/den" or "num"; poison: null */
json_t *json_util_length(rat mm);  /* {"exact", "mm"}; poison: null */
json_t *json_util_mm(rat mm);	   /* bare decimal millimetres, for long lists; poison: null */
json_t *json_util_point(point3 p); /* [length, length, length] along x, y, z */
json_t *json_util_box(box3 b);	   /* {"low": [x, y, z], "high": […], "size": […]}, lengths */
/* "file:line:column" of the span's beginning, the file without its folders; null without a place. `sources` may be
 * NULL. */
json_t *json_util_span(const source_set *sources, span at);
json_t *json_util_unit(dim d); /* the SI unit of it: "m3 s-1", "1" */
/* {"value", "unit", "exact_mm" (lengths), "dimension", "shown"}: value in the SI unit named, how a person reads
 * it in measures m. */
json_t *json_util_quant(quant q, measures m);

/* The text, indented, newline at the end. root is not released. *size may be NULL. */
char *json_util_dump(arena *mem, const json_t *root, size_t *size);
#endif
