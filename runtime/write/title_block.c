#include "runtime/write/title_block.h"

#include "runtime/base/text.h"

sheetform_block title_block(arena *mem, const model *m, const char *stem, size_t at, size_t of) {
	return (sheetform_block){.owner = m->owner,
				 .book = m->title,
				 .number = m->number ? arena_printf(mem, "%s-%s", m->number, stem) : stem,
				 .edition = m->edition,
				 .issued = m->issued,
				 .drawn = m->drawn,
				 .approved = m->approved,
				 .scale = "1:1",
				 .measures = m->measures == MEASURES_METRIC ? "Millimetres" : "Inches",
				 .sheet = arena_printf(mem, "%zu of %zu", at, of)};
}

const char *title_block_line(arena *mem, const model *m, const char *stem, size_t at, size_t of) {
	const sheetform_block b = title_block(mem, m, stem, at, of);
	const struct {
		const char *label, *value;
	} field[] = {{"", b.owner}, {"", b.number}, {"edition ", b.edition}, {"issued ", b.issued}, {"page ", b.sheet}};
	textbuf t = textbuf_begin(mem);
	for (size_t i = 0; i < sizeof field / sizeof *field; i++)
		if (field[i].value) textbuf_printf(&t, "%s%s%s", t.n ? ", " : "", field[i].label, field[i].value);
	return t.v;
}
