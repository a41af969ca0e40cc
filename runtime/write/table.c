#include "runtime/write/table.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

table *table_begin(arena *mem, const char *title) {
	table *t = ARENA_NEW(mem, table);
	t->mem = mem;
	t->title = title;
	return t;
}

void table_column(table *t, const char *name, const char *unit, table_align align) {
	LIST_PUSH(t->mem, &t->columns, ((table_heading){name, unit, align}));
}

static void fill_row(table *t) {
	while (t->cells.n < t->rows * t->columns.n) LIST_PUSH(t->mem, &t->cells, ((table_field){"", false}));
}

void table_row(table *t) {
	fill_row(t);
	t->rows++;
}

static void add(table *t, const char *text, bool number) {
	if (t->cells.n < t->rows * t->columns.n) LIST_PUSH(t->mem, &t->cells, ((table_field){text, number}));
}

void table_cell(table *t, const char *format, ...) {
	va_list args;
	va_start(args, format);
	add(t, arena_vprintf(t->mem, format, args), false);
	va_end(args);
}

void table_number(table *t, double v, int decimals) {
	if (!isfinite(v)) {
		add(t, "", true);
		return;
	}
	const char *text = arena_printf(t->mem, "%.*f", decimals, v);
	/* A minus before nothing but zeros says nothing. */
	if (text[0] == '-' && strspn(text + 1, "0.") == strlen(text + 1)) text++;
	add(t, text, true);
}

void table_whole(table *t, long long v) { add(t, arena_printf(t->mem, "%lld", v), true); }

void table_note(table *t, const char *format, ...) {
	va_list args;
	va_start(args, format);
	LIST_PUSH(t->mem, &t->notes, arena_vprintf(t->mem, format, args));
	va_end(args);
}

const table_field *table_at(const table *t, size_t row, size_t column) {
	static const table_field EMPTY = {"", false};
	size_t i = row * t->columns.n + column;
	return row < t->rows && column < t->columns.n && i < t->cells.n ? &t->cells.v[i] : &EMPTY;
}

/* ---- text ---------------------------------------------------------------------------------- */

static size_t width_of(const char *text) { return text_columns(text, strlen(text), 0); }

static void blanks(textbuf *out, size_t n) {
	for (size_t i = 0; i < n; i++) textbuf_char(out, ' ');
}

/* One line of cells; the blanks behind the last one are left away. */
static void text_line(const table *t, const size_t *width, const char *const *cell, textbuf *out) {
	size_t owed = 0;
	for (size_t c = 0; c < t->columns.n; c++) {
		size_t w = width_of(cell[c]), pad = width[c] - w;
		bool right = t->columns.v[c].align == TABLE_RIGHT;
		if (c) owed += 2;
		if (right) owed += pad;
		if (w) {
			blanks(out, owed);
			textbuf_add(out, cell[c]);
			owed = 0;
		} else {
			owed += w;
		}
		if (!right) owed += pad;
	}
	textbuf_char(out, '\n');
}

void table_text(const table *t, textbuf *out) {
	if (t->title) textbuf_printf(out, "%s\n\n", t->title);
	size_t n = t->columns.n;
	size_t *width = ARENA_MANY(t->mem, size_t, n + 1);
	const char **line = ARENA_MANY(t->mem, const char *, n + 1);
	bool units = false;
	for (size_t c = 0; c < n; c++) {
		const table_heading *h = &t->columns.v[c];
		width[c] = width_of(h->name);
		if (h->unit && width_of(h->unit) > width[c]) width[c] = width_of(h->unit);
		if (h->unit) units = true;
		for (size_t r = 0; r < t->rows; r++) {
			size_t w = width_of(table_at(t, r, c)->text);
			if (w > width[c]) width[c] = w;
		}
	}
	for (size_t c = 0; c < n; c++) line[c] = t->columns.v[c].name;
	text_line(t, width, line, out);
	for (size_t c = 0; c < n; c++) line[c] = t->columns.v[c].unit ? t->columns.v[c].unit : "";
	if (units) text_line(t, width, line, out);
	for (size_t c = 0; c < n; c++) {
		if (c) blanks(out, 2);
		for (size_t i = 0; i < width[c]; i++) textbuf_char(out, '-');
	}
	textbuf_char(out, '\n');
	for (size_t r = 0; r < t->rows; r++) {
		for (size_t c = 0; c < n; c++) line[c] = table_at(t, r, c)->text;
		text_line(t, width, line, out);
	}
	if (t->notes.n) textbuf_char(out, '\n');
	for (size_t i = 0; i < t->notes.n; i++) textbuf_printf(out, "%s\n", t->notes.v[i]);
}

/* ---- CSV ----------------------------------------------------------------------------------- */

static void csv_field(const char *text, textbuf *out) {
	if (!strpbrk(text, ",\"\r\n")) {
		textbuf_add(out, text);
		return;
	}
	textbuf_char(out, '"');
	for (; *text; text++) {
		if (*text == '"') textbuf_char(out, '"');
		textbuf_char(out, *text);
	}
	textbuf_char(out, '"');
}

void table_csv(const table *t, textbuf *out) {
	for (size_t c = 0; c < t->columns.n; c++) {
		const table_heading *h = &t->columns.v[c];
		if (c) textbuf_char(out, ',');
		csv_field(h->unit ? arena_printf(t->mem, "%s (%s)", h->name, h->unit) : h->name, out);
	}
	textbuf_add(out, "\r\n");
	for (size_t r = 0; r < t->rows; r++) {
		for (size_t c = 0; c < t->columns.n; c++) {
			if (c) textbuf_char(out, ',');
			csv_field(table_at(t, r, c)->text, out);
		}
		textbuf_add(out, "\r\n");
	}
}

/* ---- JSON ---------------------------------------------------------------------------------- */

static void json_text(const char *text, textbuf *out) {
	textbuf_char(out, '"');
	for (const char *p = text, *end = text + strlen(text); p < end;) {
		const char *from = p;
		uint32_t c = text_utf8_next(&p, end);
		if (c == UINT32_MAX)
			textbuf_add(out, "\xEF\xBF\xBD");
		else if (c == '"' || c == '\\')
			textbuf_printf(out, "\\%c", (char)c);
		else if (c == '\n')
			textbuf_add(out, "\\n");
		else if (c < 0x20 || c == 0x7F)
			textbuf_printf(out, "\\u%04x", (unsigned)c);
		else
			textbuf_addn(out, from, (size_t)(p - from));
	}
	textbuf_char(out, '"');
}

static void json_cell(const table_field *f, textbuf *out) {
	if (f->number && f->text[0] == '\0')
		textbuf_add(out, "null");
	else if (f->number)
		textbuf_add(out, f->text);
	else
		json_text(f->text, out);
}

static void json_table(const table *t, int deep, textbuf *out) {
	const char *in = arena_printf(t->mem, "\n%*s", deep + 2, "");
	textbuf_add(out, "{");
	textbuf_printf(out, "%s\"title\": ", in);
	if (t->title)
		json_text(t->title, out);
	else
		textbuf_add(out, "null");
	textbuf_printf(out, ",%s\"columns\": [", in);
	for (size_t c = 0; c < t->columns.n; c++) {
		textbuf_printf(out, "%s%s  {\"name\": ", c ? "," : "", in);
		json_text(t->columns.v[c].name, out);
		textbuf_add(out, ", \"unit\": ");
		if (t->columns.v[c].unit)
			json_text(t->columns.v[c].unit, out);
		else
			textbuf_add(out, "null");
		textbuf_add(out, "}");
	}
	textbuf_printf(out, "%s],%s\"rows\": [", in, in);
	for (size_t r = 0; r < t->rows; r++) {
		textbuf_printf(out, "%s%s  {", r ? "," : "", in);
		for (size_t c = 0; c < t->columns.n; c++) {
			if (c) textbuf_add(out, ", ");
			json_text(t->columns.v[c].name, out);
			textbuf_add(out, ": ");
			json_cell(table_at(t, r, c), out);
		}
		textbuf_add(out, "}");
	}
	textbuf_printf(out, "%s],%s\"notes\": [", in, in);
	for (size_t i = 0; i < t->notes.n; i++) {
		textbuf_printf(out, "%s%s  ", i ? "," : "", in);
		json_text(t->notes.v[i], out);
	}
	textbuf_printf(out, "%s]\n%*s}", in, deep, "");
}

void table_json(const table *t, textbuf *out) {
	json_table(t, 0, out);
	textbuf_char(out, '\n');
}

void table_write(const table *const *tables, size_t n, table_format format, textbuf *out) {
	if (format == TABLE_JSON && n == 1) {
		table_json(tables[0], out);
		return;
	}
	if (format == TABLE_JSON) textbuf_add(out, "[");
	for (size_t i = 0; i < n; i++) {
		if (format == TABLE_JSON) {
			textbuf_add(out, i ? ",\n  " : "\n  ");
			json_table(tables[i], 2, out);
			continue;
		}
		if (i) textbuf_add(out, format == TABLE_CSV ? "\r\n" : "\n");
		if (format == TABLE_CSV)
			table_csv(tables[i], out);
		else
			table_text(tables[i], out);
	}
	if (format == TABLE_JSON) textbuf_add(out, n ? "\n]\n" : "]\n");
}
