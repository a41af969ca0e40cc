#include "runtime/base/text.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

textbuf textbuf_begin(arena *mem) {
	textbuf t = {.mem = mem, .v = arena_alloc(mem, 64), .n = 0, .room = 64};
	return t;
}

static void room_for(textbuf *t, size_t more) {
	if (t->n + more + 1 <= t->room) return;
	size_t room = t->room * 2;
	while (room < t->n + more + 1) room *= 2;
	t->v = arena_grow(t->mem, t->v, t->room, room);
	t->room = room;
}

void textbuf_addn(textbuf *t, const char *bytes, size_t n) {
	room_for(t, n);
	if (n) memcpy(t->v + t->n, bytes, n);
	t->n += n;
	t->v[t->n] = '\0';
}

void textbuf_add(textbuf *t, const char *text) { textbuf_addn(t, text, strlen(text)); }

void textbuf_char(textbuf *t, char c) {
	room_for(t, 1);
	t->v[t->n++] = c;
	t->v[t->n] = '\0';
}

void textbuf_printf(textbuf *t, const char *format, ...) {
	va_list args, again;
	va_start(args, format);
	va_copy(again, args);
	if (!format) format = ""; /* never so; gcc's sanitizers otherwise suppose that it might be */
	int n = vsnprintf(NULL, 0, format, args);
	va_end(args);
	if (n > 0) {
		room_for(t, (size_t)n);
		vsnprintf(t->v + t->n, (size_t)n + 1, format, again);
		t->n += (size_t)n;
	}
	va_end(again);
}

size_t text_distance(const char *a, const char *b) {
	enum { LONGEST = 96 };
	size_t na = strlen(a), nb = strlen(b);
	if (na > LONGEST || nb > LONGEST) return na > nb ? na : nb;
	size_t rows[3][LONGEST + 1], *two = rows[0], *one = rows[1], *now = rows[2];
	for (size_t j = 0; j <= nb; j++) one[j] = j;
	for (size_t i = 1; i <= na; i++) {
		now[0] = i;
		for (size_t j = 1; j <= nb; j++) {
			size_t best = one[j - 1] + (a[i - 1] != b[j - 1]);
			if (one[j] + 1 < best) best = one[j] + 1;
			if (now[j - 1] + 1 < best) best = now[j - 1] + 1;
			bool swapped = i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1];
			if (swapped && two[j - 2] + 1 < best) best = two[j - 2] + 1;
			now[j] = best;
		}
		size_t *oldest = two;
		two = one;
		one = now;
		now = oldest;
	}
	return one[nb];
}

/* How many letters one of the two has and the other lacks, wherever they stand. */
static size_t letters_apart(const char *a, const char *b) {
	int count[256] = {0};
	size_t apart = 0;
	for (; *a; a++) count[(unsigned char)*a]++;
	for (; *b; b++) count[(unsigned char)*b]--;
	for (int i = 0; i < 256; i++) apart += (size_t)abs(count[i]);
	return apart;
}

const char *text_nearest(const char *word, const char *const *words, size_t n) {
	enum { LONGEST = 48 }; /* a hostile plan has many names, and each is held against all */
	const char *nearest = NULL;
	size_t size = strlen(word), allowed = size / 3;
	if (allowed < 1) allowed = 1;
	if (allowed > 3) allowed = 3;
	size_t best = allowed + 1, best_apart = 0;
	for (size_t i = 0; i < n; i++) {
		if (!words[i] || size > LONGEST || strlen(words[i]) > LONGEST) continue;
		size_t d = text_distance(word, words[i]);
		if (d > best || d > allowed || d >= strlen(words[i])) continue;
		/* Of equally near ones, what was left out or swapped is a likelier slip than what was put in its place;
		 * then one that begins alike. */
		size_t apart = 2 * letters_apart(word, words[i]) + (word[0] != words[i][0]);
		if (d == best && apart >= best_apart) continue;
		best = d;
		best_apart = apart;
		nearest = words[i];
	}
	return nearest;
}

uint32_t text_utf8_next(const char **p, const char *end) {
	const unsigned char *s = (const unsigned char *)*p;
	size_t left = (size_t)(end - *p);
	uint32_t c = s[0];
	size_t n = c < 0x80 ? 1 : c >= 0xC2 && c < 0xE0 ? 2 : c >= 0xE0 && c < 0xF0 ? 3 : c >= 0xF0 && c < 0xF5 ? 4 : 0;
	if (n == 0 || n > left) goto bad;
	if (n > 1) c &= 0x7Fu >> n;
	for (size_t i = 1; i < n; i++) {
		if ((s[i] & 0xC0) != 0x80) goto bad;
		c = c << 6 | (s[i] & 0x3Fu);
	}
	if ((n == 3 && c < 0x800) || (n == 4 && c < 0x10000) || c > 0x10FFFF || (c >= 0xD800 && c < 0xE000)) goto bad;
	*p += n;
	return c;
bad:
	*p += 1;
	return UINT32_MAX;
}

static size_t char_columns(uint32_t c) {
	if (c == UINT32_MAX) return 1;
	bool combining = (c >= 0x300 && c < 0x370) || (c >= 0x200B && c < 0x2010) || (c >= 0x20D0 && c < 0x2100) ||
			 (c >= 0xFE00 && c < 0xFE10);
	if (combining) return 0;
	bool wide = (c >= 0x1100 && c < 0x1160) || (c >= 0x2E80 && c < 0xA4D0) || (c >= 0xAC00 && c < 0xD7A4) ||
		    (c >= 0xF900 && c < 0xFB00) || (c >= 0xFE30 && c < 0xFE70) || (c >= 0xFF00 && c < 0xFF61) ||
		    (c >= 0x1F300 && c < 0x1F650) || (c >= 0x20000 && c < 0x40000);
	return wide ? 2 : 1;
}

size_t text_columns(const char *bytes, size_t n, size_t from) {
	const char *p = bytes, *end = bytes + n;
	size_t at = from;
	while (p < end) {
		uint32_t c = text_utf8_next(&p, end);
		if (c == '\t')
			at = (at / 8 + 1) * 8;
		else
			at += char_columns(c);
	}
	return at - from;
}

const char *text_count(arena *mem, size_t n, const char *one) {
	return arena_printf(mem, "%zu %s%s", n, one, n == 1 ? "" : "s");
}

bool text_same(const char *a, const char *b) {
	if (!a || !b) return a == b;
	return strcmp(a, b) == 0;
}
