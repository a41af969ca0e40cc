#include "runtime/write/book.h"

#include <string.h>

#include "runtime/base/text.h"
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
	if (!b->m->without[CHAPTER_AIR]) book_air(b);
	book_requirements(b);
	book_commissioning(b);
	if (!b->m->without[CHAPTER_CARE]) book_care(b);
	if (!b->m->without[CHAPTER_NUMBERS]) book_numbers(b);
	if (!b->m->without[CHAPTER_INDEX]) book_index(b);
}

/* Where every name stands now, kept in `keep`; true when that is what was shown. */
static bool settle(book *b, arena *keep) {
	size_t right = 0, n = 0;
	LIST(book_mark) now = {0};
	for (size_t p = 0; p < b->pages.n; p++)
		for (size_t i = 0; i < b->pages.v[p]->anchors.n; i++, n++) {
			const char *name = b->pages.v[p]->anchors.v[i].name;
			right += n < b->marks.n && b->marks.v[n].page == p + 1 && text_same(b->marks.v[n].name, name);
			LIST_PUSH(keep, &now, ((book_mark){arena_text(keep, name), p + 1}));
		}
	bool same = b->total == b->pages.n && n == b->marks.n && right == n;
	b->marks.v = now.v, b->marks.n = now.n, b->marks.room = now.room;
	b->total = b->pages.n;
	return same;
}

/* What the run before put on its pages is gone. */
static void begin_run(book *b) {
	arena_clear(b->mem);
	memset(&b->pages, 0, sizeof b->pages);
	b->step = NULL, b->page = NULL, b->rounding_told = NULL;
	b->chapter = b->continues = NULL;
}

/* Composes all pages in `run`, again and again until the numbers shown are true. */
static book compose(arena *run, arena *keep, const model *m, const book_curves *curves) {
	book b = {.mem = keep, .keep = keep, .m = m, .curves = curves};
	book_items(&b);
	b.mem = run;
	for (int i = 0; i < MOST_RUNS; i++) {
		begin_run(&b);
		chapters(&b);
		if (settle(&b, keep)) break;
	}
	return b;
}

/* The plan and what it uses, by the names of their files alone: where they lay plays no part. */
static pdf_file *plan_files(arena *mem, const model *m, size_t *n) {
	const source_set *s = m->sources;
	*n = s ? s->files.n : 0;
	pdf_file *all = ARENA_MANY(mem, pdf_file, *n + 1);
	for (size_t i = 0; i < *n; i++) {
		const char *name = strrchr(s->files.v[i].name, '/');
		name = name ? name + 1 : s->files.v[i].name;
		size_t twins = 0;
		for (size_t k = 0; k < i; k++) twins += text_same(all[k].name, name);
		if (i == 0) name = arena_printf(mem, "%s.plan", m->slug);
		if (text_same(name, "--set")) name = "set.plan";
		if (twins) name = arena_printf(mem, "%zu-%s", twins + 1, name);
		all[i] = (pdf_file){name, i ? "used by the plan" : "the plan", s->files.v[i].text, s->files.v[i].size};
	}
	return all;
}

const char *book_make(arena *mem, const model *m, const book_curves *curves, textbuf *told, char **bytes,
		      size_t *size) {
	arena run = {0};
	book b = compose(&run, mem, m, curves);
	pdf_info info = {.title = m->title, .subject = m->purpose, .language = "en", .told = told, .name = "book.pdf"};
	info.file = plan_files(mem, m, &info.n_files);
	const char *why = pdf_write(mem, (const display *const *)b.pages.v, b.pages.n, &info, bytes, size);
	if (why) why = arena_text(mem, why);
	arena_end(&run);
	return why;
}
