/* Screw holes of one kind in a part, and on which of its faces they are drilled. */
#include "runtime/base/text.h"
#include "runtime/write/book_build.h"

bool book_same_hole(const model_feature *a, const model_feature *c) {
	return a->part == c->part && a->kind == c->kind && a->through == c->through && rat_eq(a->shape.a, c->shape.a) &&
	       (a->through || rat_eq(a->depth, c->depth));
}

/* An edge of a sheet, an end of a bar, or a face. */
static const char *face_noun(const model_part *p, face f) {
	bool bar = p->kind != PART_PANEL && p->kind != PART_DOOR;
	if (bar) return face_axis(f) == p->long_axis ? "end" : "face";
	return face_axis(f) == p->thick_axis ? "face" : "edge";
}

/* "left and right edges", "back face and left edge": where holes of one kind are drilled. */
const char *book_hole_faces(book *b, const model_feature *one) {
	const model *m = b->m;
	const model_part *p = &m->parts.v[one->part];
	bool on[6] = {false};
	face list[6];
	size_t n = 0;
	for (size_t i = 0; i < m->features.n; i++)
		if (book_same_hole(one, &m->features.v[i])) on[m->features.v[i].face] = true;
	for (int edges = 0; edges < 2; edges++)
		for (int f = 0; f < 6; f++)
			if (on[f] && (face_noun(p, (face)f)[0] == 'f') == (edges == 0)) list[n++] = (face)f;
	textbuf t = textbuf_begin(b->mem);
	for (size_t i = 0; i < n; i++) {
		const char *noun = face_noun(p, list[i]);
		bool last = i + 1 == n || !text_same(noun, face_noun(p, list[i + 1]));
		bool several = i > 0 && text_same(noun, face_noun(p, list[i - 1]));
		textbuf_printf(&t, "%s%s", i == 0 ? "" : i + 1 == n ? " and " : ", ", FACE_NAME[list[i]]);
		if (last) textbuf_printf(&t, " %s%s", noun, several ? "s" : "");
	}
	return t.v;
}
