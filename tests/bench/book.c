/* How fast a book is made: composing all pages and writing the PDF, in memory, without the stages before.
 *   book STOCK PLAN...   STOCK: the folder that holds stock/
 * Prints figures of processor time, judges none. Ownership: each plan and each book live in an arena of their own. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include "compiler/air.h"
#include "compiler/stages.h"
#include "grammar/reader.h"
#include "runtime/write/book.h"

enum { RUNS = 9 };

static double now(void) {
	struct timespec t;
	clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &t);
	return (double)t.tv_sec + (double)t.tv_nsec / 1e9;
}

static int by_size(const void *a, const void *b) {
	double x = *(const double *)a, y = *(const double *)b;
	return (x > y) - (x < y);
}

/* Objects of the type; those of pages are never packed. */
static size_t pages_of(const char *bytes, size_t size) {
	static const char PAGE[] = "/Type /Page\n";
	size_t n = 0, length = sizeof PAGE - 1;
	for (size_t i = 0; i + length <= size; i++) n += memcmp(bytes + i, PAGE, length) == 0;
	return n;
}

static bool one_plan(const char *stock, const char *path) {
	arena mem = {0};
	source_set sources = source_begin(&mem);
	diags d = diags_begin(&mem);
	syn_plan plan = {0};
	grammar_places places = {&stock, 1};
	const char *why = NULL;
	bool good = grammar_read(&mem, &sources, &d, &places, path, &plan, &why);
	model *m = good ? stages_run(&mem, &sources, &plan, &(resolve_options){.slug = "plan"}, &d) : NULL;
	good = m && d.errors == 0;
	const book_curves curves = {.needs = air_needs, .gives = air_gives};
	double took[RUNS];
	size_t pages = 0;
	for (int i = 0; i < RUNS && good; i++) {
		arena run = {0};
		char *bytes;
		size_t size;
		textbuf told = textbuf_begin(&run);
		double began = now();
		good = book_make(&run, m, &curves, &told, &bytes, &size) == NULL;
		took[i] = now() - began;
		if (good) pages = pages_of(bytes, size);
		arena_end(&run);
	}
	arena_end(&mem);
	if (!good || !pages) {
		fprintf(stderr, "book: %s has none\n", path);
		return false;
	}
	qsort(took, RUNS, sizeof *took, by_size);
	double ms = took[RUNS / 2] * 1e3;
	printf("book of %-24s %6zu pages  %8.1f ms cpu  %5.2f ms a page  (%d runs)\n", path, pages, ms,
	       ms / (double)pages, RUNS);
	return true;
}

int main(int argc, char **argv) {
	if (argc < 3) {
		fputs("usage: book STOCK PLAN...\n", stderr);
		return 2;
	}
	bool good = true;
	for (int i = 2; i < argc; i++) good = one_plan(argv[1], argv[i]) && good;
	return good ? 0 : 1;
}
