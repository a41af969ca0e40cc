#include "runtime/write/json_util.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "runtime/base/text.h"

/* Twelve digits are more than any figure here is worth, and keep the last bits of a machine's libm out of the file. */
enum { DIGITS = 12 };

static json_t *held(json_t *value) {
	if (!value) {
		fputs("windchest: error: out of memory\n", stderr);
		exit(3);
	}
	return value;
}

json_t *json_util_object(void) { return held(json_object()); }

json_t *json_util_array(void) { return held(json_array()); }

void json_util_put(json_t *object, const char *key, json_t *value) {
	if (json_object_set_new(object, key, held(value)) != 0) held(NULL);
}

void json_util_add(json_t *array, json_t *value) {
	if (json_array_append_new(array, held(value)) != 0) held(NULL);
}

json_t *json_util_text(const char *text) {
	if (!text) return json_null();
	size_t n = strlen(text);
	json_t *good = json_stringn(text, n);
	if (good) return good;
	/* jansson refuses what is no UTF-8: put U+FFFD for each byte that is none. */
	arena mem = {0};
	textbuf mended = textbuf_begin(&mem);
	for (const char *p = text, *end = text + n; p < end;) {
		const char *from = p;
		if (text_utf8_next(&p, end) == UINT32_MAX)
			textbuf_add(&mended, "\xEF\xBF\xBD");
		else
			textbuf_addn(&mended, from, (size_t)(p - from));
	}
	good = held(json_stringn(mended.v, mended.n));
	arena_end(&mem);
	return good;
}

json_t *json_util_number(double v) {
	if (!isfinite(v)) return json_null();
	return held(json_real(v == 0 ? 0 : v));
}

json_t *json_util_whole(long long v) { return held(json_integer(v)); }

json_t *json_util_flag(bool v) { return json_boolean(v); }

json_t *json_util_rat(rat r) {
	if (!rat_ok(r)) return json_null();
	if (r.den == 1) return held(json_sprintf("%lld", (long long)r.num));
	return held(json_sprintf("%lld/%lld", (long long)r.num, (long long)r.den));
}

json_t *json_util_mm(rat mm) {
	if (!rat_ok(mm)) return json_null();
	if (mm.den == 1) return json_util_whole(mm.num);
	return json_util_number(rat_double(mm));
}

json_t *json_util_length(rat mm) {
	if (!rat_ok(mm)) return json_null();
	json_t *o = json_util_object();
	json_util_put(o, "exact", json_util_rat(mm));
	json_util_put(o, "mm", json_util_mm(mm));
	return o;
}

json_t *json_util_point(point3 p) {
	json_t *a = json_util_array();
	for (int i = 0; i < 3; i++) json_util_add(a, json_util_length(p.v[i]));
	return a;
}

json_t *json_util_box(box3 b) {
	json_t *o = json_util_object(), *size = json_util_array();
	json_util_put(o, "low", json_util_point((point3){{b.lo[0], b.lo[1], b.lo[2]}}));
	json_util_put(o, "high", json_util_point((point3){{b.hi[0], b.hi[1], b.hi[2]}}));
	for (int i = 0; i < 3; i++) json_util_add(size, json_util_length(box_size(b, (axis)i)));
	json_util_put(o, "size", size);
	return o;
}

json_t *json_util_span(const source_set *sources, span at) {
	if (!sources || !span_known(at)) return json_null();
	source_place p = source_find(sources, at);
	if (!p.file) return json_null();
	/* Without folders: the same plan gives the same bytes wherever it lies. */
	const char *slash = strrchr(p.file, '/'), *name = slash ? slash + 1 : p.file;
	arena mem = {0};
	json_t *place = json_util_text(arena_printf(&mem, "%s:%u:%u", name, (unsigned)p.line, (unsigned)p.column));
	arena_end(&mem);
	return place;
}

/* "m2 kg s-1" and the like; "1" for a bare number. */
static const char *si_unit(arena *mem, dim d) {
	static const char *const WORD[] = {"m", "kg", "s", "K", "deg", "money"};
	const int power[] = {d.length, d.mass, d.time, d.temp, d.angle, d.money};
	textbuf t = textbuf_begin(mem);
	for (size_t i = 0; i < sizeof power / sizeof *power; i++) {
		if (power[i] == 0) continue;
		if (t.n) textbuf_char(&t, ' ');
		textbuf_add(&t, WORD[i]);
		if (power[i] != 1) textbuf_printf(&t, "%d", power[i]);
	}
	return t.n ? t.v : "1";
}

json_t *json_util_unit(dim d) {
	arena mem = {0};
	json_t *unit = json_util_text(si_unit(&mem, d));
	arena_end(&mem);
	return unit;
}

json_t *json_util_quant(quant q, measures m) {
	arena mem = {0};
	json_t *o = json_util_object();
	json_util_put(o, "value", json_util_number(quant_si(q)));
	json_util_put(o, "unit", json_util_text(si_unit(&mem, q.dim)));
	if (dim_same(q.dim, DIM_LENGTH)) json_util_put(o, "exact_mm", json_util_rat(q.r));
	json_util_put(o, "dimension", json_util_text(dim_spoken(&mem, q.dim)));
	json_util_put(o, "shown", json_util_text(quant_show(&mem, q, m)));
	arena_end(&mem);
	return o;
}

static int to_textbuf(const char *bytes, size_t n, void *out) {
	textbuf_addn(out, bytes, n);
	return 0;
}

char *json_util_dump(arena *mem, const json_t *root, size_t *size) {
	textbuf out = textbuf_begin(mem);
	if (json_dump_callback(root, to_textbuf, &out, JSON_INDENT(2) | JSON_REAL_PRECISION(DIGITS)) != 0) held(NULL);
	textbuf_char(&out, '\n');
	if (size) *size = out.n;
	return out.v;
}
