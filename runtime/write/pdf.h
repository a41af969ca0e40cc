/* PDF, from display lists, in memory. The one file beside this header (pdf.c) knows the PDF library.
 * Ownership: the bytes and messages live in the caller's arena; displays are only read. */
#ifndef WRITE_PDF_H
#define WRITE_PDF_H
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "runtime/base/arena.h"
#include "runtime/draw/display.h"

typedef struct pdf_file { /* goes along with the document */
	const char *name; /* without a folder; each another one */
	const char *about;
	const char *bytes;
	size_t size;
} pdf_file;

typedef struct pdf_info {
	const char *title, *author, *subject; /* UTF-8, NULL = left out */
	const char *language;		      /* "en"; NULL = left out */
	const char *producer;		      /* NULL = "Windchest" */
	bool has_date;			      /* else no date stands in the file */
	int64_t date;			      /* seconds since 1970, UTC (from SOURCE_DATE_EPOCH) */
	textbuf *told;			      /* what display_text_faults() says of the pages; NULL: not asked */
	const char *name;		      /* of the file, for what is told */
	const pdf_file *file;		      /* attached, each with its size and checksum */
	size_t n_files;
} pdf_info;

/* Writes n pages (each at most 5080 mm, PDF's limit of 14400 points) to memory: embedded fonts, text that can be
 * extracted, outline from the bookmarks, links between anchors of all pages, page labels where one is given,
 * no scaling when printed. Same displays and info, same bytes (/ID is a hash of the content).
 * Returns NULL and sets *bytes and *size, or gives the reason and leaves them alone: no pages, a display with
 * bad items, a link without a target, a page too large, or what the library said. */
const char *pdf_write(arena *mem, const display *const *pages, size_t n, const pdf_info *info, char **bytes,
		      size_t *size);
/* The checksum that stands beside an attached file: MD5 (RFC 1321), 32 hexadecimal digits. Against mistakes, not
 * against forgers. */
const char *pdf_checksum(arena *mem, const char *bytes, size_t size);
#endif
