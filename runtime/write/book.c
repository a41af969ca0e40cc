#include "runtime/write/book.h"

#include "runtime/write/book_build.h"
#include "runtime/write/pdf.h"

/* Page references settle in two runs; a third is for a number that grew a digit and moved a line. */
enum { MOST_RUNS = 4 };

static void chapters(book *b) {
	book_cover(b);
	book_contents(b);
	book_what(b);
	book_cautions(b);
	book_tools(b);
	book_shopping(b);
	book_measure(b);
	book_parts(b);
	book_sheets(b);
	book_drawings(b);
	book_templates(b);
	book_steps(b);
	book_air(b);
	book_requirements(b);
	book_commissioning(b);
	book_care(b);
	book_numbers(b);
	book_index(b);
}

/* Where every name stands now; true when that is what was shown. */
static bool settle(book *b) {
	size_t seen = 0, marks = 0;
	bool same = b->total == b->pages.n;
	LIST(book_mark) now = {0};
	for (size_t p = 0; p < b->pages.n; p++)
		for (size_t i = 0; i < b->pages.v[p]->anchors.n; i++) {
			const char *name = b->pages.v[p]->anchors.v[i].name;
			if (same && marks < b->marks.n) seen += b->marks.v[marks].page == p + 1;
			marks++;
			LIST_PUSH(b->mem, &now, ((book_mark){name, p + 1}));
		}
	same = same && marks == b->marks.n && seen == marks;
	b->marks.v = now.v, b->marks.n = now.n, b->marks.room = now.room;
	b->total = b->pages.n;
	return same;
}

display **book_pages(arena *mem, const model *m, const diags *found, const book_curves *curves, size_t *n) {
	book b = {.mem = mem, .m = m, .found = found, .curves = curves};
	book_items(&b);
	for (int run = 0; run < MOST_RUNS; run++) {
		b.pages.v = NULL, b.pages.n = b.pages.room = 0;
		b.page = NULL, b.chapter = NULL;
		chapters(&b);
		if (settle(&b)) break;
	}
	*n = b.pages.n;
	return b.pages.v;
}

const char *book_make(arena *mem, const model *m, const diags *found, const book_curves *curves, char **bytes,
		      size_t *size) {
	size_t n;
	display **pages = book_pages(mem, m, found, curves, &n);
	const pdf_info info = {.title = m->title, .subject = m->purpose, .language = "en"};
	return pdf_write(mem, (const display *const *)pages, n, &info, bytes, size);
}
