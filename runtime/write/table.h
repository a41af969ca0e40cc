/* A neutral table: columns with units, rows of cells; one writer for text, CSV and JSON.
 * Ownership: a table, its cells and their texts live in the arena it was begun with. */
#ifndef WRITE_TABLE_H
#define WRITE_TABLE_H
#include <stdbool.h>
#include <stddef.h>

#include "runtime/base/arena.h"
#include "runtime/base/text.h"

typedef enum table_align { TABLE_LEFT, TABLE_RIGHT } table_align;
typedef enum table_format { TABLE_TEXT, TABLE_CSV, TABLE_JSON } table_format;

typedef struct table_heading {
	const char *name; /* lower-case words; also the key in JSON */
	const char *unit; /* or NULL */
	table_align align;
} table_heading;

typedef struct table_field {
	const char *text; /* never NULL; "" is an empty cell */
	bool number;	  /* text is a plain decimal number: JSON writes it bare */
} table_field;

typedef struct table {
	arena *mem;
	const char *title; /* or NULL */
	LIST(table_heading) columns;
	LIST(table_field) cells; /* row after row; the last row may be short until it is ended */
	size_t rows;
	LIST(const char *) notes; /* printed under the table: what a figure stands on */
} table;

table *table_begin(arena *mem, const char *title);
/* All columns are named before the first row. Texts are kept by reference. */
void table_column(table *t, const char *name, const char *unit, table_align align);
/* Begins a row. Cells left out of the row before it are empty. */
void table_row(table *t);
/* The next cell of the row, as text (a cell beyond the last column is dropped). */
void table_cell(table *t, const char *format, ...) __attribute__((format(printf, 2, 3)));
/* The next cell as a number with `decimals` at most, trailing zeros kept so that columns line up; one that is
 * not finite (not known, does not apply) leaves the cell empty, and null in JSON. */
void table_number(table *t, double v, int decimals);
void table_whole(table *t, long long v);
/* A line under the table. */
void table_note(table *t, const char *format, ...) __attribute__((format(printf, 2, 3)));
/* Cell of a row, for those who draw the table themselves (the book). Rows and columns from 0; never NULL. */
const table_field *table_at(const table *t, size_t row, size_t column);

/* Aligned columns (by terminal columns, UTF-8 aware), title above, units in the heading, notes below; no line
 * ends in a blank. */
void table_text(const table *t, textbuf *out);
/* RFC 4180: CRLF, fields with comma, quote, CR or LF quoted, quotes doubled; heading "name (unit)"; neither title
 * nor notes. */
void table_csv(const table *t, textbuf *out);
/* {"title", "columns": [{"name","unit"}], "rows": [{name: cell, …}], "notes": []}, RFC 8259, two blanks of indent,
 * newline at the end. Bytes that are no UTF-8 become U+FFFD. */
void table_json(const table *t, textbuf *out);
/* Several tables one after another: in text and CSV parted by an empty line; in JSON an array (of one table: the
 * table alone). */
void table_write(const table *const *tables, size_t n, table_format format, textbuf *out);
#endif
