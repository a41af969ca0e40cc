#include "runtime/base/source.h"

#include <string.h>

#include "runtime/base/text.h"

source_set source_begin(arena *mem) {
	source_set s = {.mem = mem};
	return s;
}

uint32_t source_add(source_set *s, const char *name, const char *text, size_t size) {
	source_file f = {.name = arena_text(s->mem, name), .text = text, .size = size};
	LIST_PUSH(s->mem, &s->files, f);
	return (uint32_t)(s->files.n - 1);
}

static size_t count_chars(const char *p, const char *end) {
	size_t n = 0;
	while (p < end) {
		text_utf8_next(&p, end);
		n++;
	}
	return n;
}

source_place source_find(const source_set *s, span at) {
	source_place p = {0};
	if (!span_known(at) || at.file >= s->files.n) return p;
	const source_file *f = &s->files.v[at.file];
	size_t start = at.start <= f->size ? at.start : f->size;
	size_t end = at.end <= f->size ? at.end : f->size;
	p.file = f->name;
	p.line = 1;
	size_t line_start = 0;
	for (size_t i = 0; i < start; i++) {
		if (f->text[i] == '\n') {
			p.line++;
			line_start = i + 1;
		}
	}
	size_t line_end = line_start;
	while (line_end < f->size && f->text[line_end] != '\n') line_end++;
	if (line_end > line_start && f->text[line_end - 1] == '\r') line_end--;
	p.line_text = f->text + line_start;
	p.line_size = line_end - line_start;
	p.first_byte = start - line_start;
	if (p.first_byte > p.line_size) p.first_byte = p.line_size;
	p.last_byte = end > line_end ? p.line_size : end - line_start;
	if (p.last_byte < p.first_byte) p.last_byte = p.first_byte;
	p.first_char = count_chars(p.line_text, p.line_text + p.first_byte);
	p.last_char = count_chars(p.line_text, p.line_text + p.last_byte);
	p.column = (uint32_t)p.first_char + 1;
	return p;
}
