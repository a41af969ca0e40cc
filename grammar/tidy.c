#include "grammar/tidy.h"

#include <string.h>

#include "grammar/plan.tab.h"
#include "runtime/base/text.h"

static const char *const BETWEEN_COMMENT = "  "; /* before a comment at a line's end */

static size_t columns(const char *text) { return text_columns(text, strlen(text), 0); }

static void blanks(textbuf *t, size_t n) {
	while (n--) textbuf_char(t, ' ');
}

static size_t pad_before(const tidy_line *line, size_t k) {
	return line->pad_at[0] == k ? line->pad[0] : line->pad_at[1] == k ? line->pad[1] : 0;
}

/* Columns of the pieces from..to on one line of text; what would stand before the first is left out. */
static size_t width_of(const tidy_line *line, size_t from, size_t to) {
	size_t n = 0;
	for (size_t k = from; k < to; k++) {
		if (k > from) n += (line->pieces.v[k].tight ? 0 : 1) + pad_before(line, k);
		n += columns(line->pieces.v[k].text);
	}
	return n;
}

/* ---- blocks on one line ------------------------------------------------------------------------- */

static bool interrupted(const tidy_line *line) {
	for (size_t k = 0; k < line->pieces.n; k++)
		if (line->pieces.v[k].comments.n) return true;
	return line->before_block.n > 0;
}

static bool on_one_line(const tidy_line *line) { return !line->has_block || !line->opened; }

/* Columns of a line with its block, all on one line of text. */
static size_t one_line_width(const tidy_line *line) {
	size_t n = width_of(line, 0, line->pieces.n);
	if (!line->has_block) return n;
	if (line->block.n == 0) return n + strlen(" { }");
	n += strlen(" { ") + strlen(" }");
	for (size_t i = 0; i < line->block.n; i++) n += one_line_width(line->block.v[i].line) + (i ? strlen("; ") : 0);
	return n;
}

/* Opens every block that cannot stand on one line. */
static void open_blocks(tidy_line *holder, size_t indent) {
	for (size_t i = 0; i < holder->block.n; i++) {
		tidy_line *line = holder->block.v[i].line;
		if (!line || !line->has_block) continue;
		if (line->block.n == 0)
			line->opened = line->behind_open.text != NULL || line->before_block.n > 0;
		else if (!line->opened && (interrupted(line) || indent + one_line_width(line) > TIDY_COLUMNS))
			line->opened = true;
		if (line->opened) open_blocks(line, indent + TIDY_INDENT);
	}
}

/* ---- columns ------------------------------------------------------------------------------------ */

typedef enum row_class {
	ROW_NONE,
	ROW_LET,   /* let NAME = … */
	ROW_THING, /* panel NAME : STOCK …, gap NAME { … } */
	ROW_WORD,  /* word … */
	ROW_VALUE  /* 500 m3/h at 18 Pa */
} row_class;

static int kind_at(const tidy_line *line, size_t k) { return k < line->pieces.n ? line->pieces.v[k].kind : 0; }

static row_class class_of(const tidy_line *line, size_t indent) {
	if (!on_one_line(line) || interrupted(line) || line->pieces.n < 2) return ROW_NONE;
	if (kind_at(line, 0) != TOK_LEAD) return line->has_block ? ROW_NONE : ROW_VALUE;
	bool named = kind_at(line, 1) == TOK_NAME;
	if (named && kind_at(line, 2) == '=' && text_same(line->pieces.v[0].text, "let")) return ROW_LET;
	if (named && (kind_at(line, 2) == ':' || (line->has_block && line->pieces.n == 2))) return ROW_THING;
	return indent == 0 || line->has_block ? ROW_NONE : ROW_WORD;
}

/* The piece that begins the column's next part. */
static size_t column_end(const tidy_line *line, row_class class, size_t column) {
	if (class == ROW_WORD || (class == ROW_THING && column == 0)) return 1;
	if (class != ROW_VALUE) return 2;
	size_t k = 1;
	while (k < line->pieces.n && kind_at(line, k) != TOK_LINK) k++;
	return k;
}

/* Pads the lines of this class among the entries from..to so that the parts behind this column stand below each other.
 */
static void align(tidy_entry *from, const tidy_entry *to, size_t indent, row_class class, size_t column) {
	size_t widest = 0, first = column && class == ROW_THING ? 1 : 0;
	for (int pass = 0; pass < 2; pass++) {
		for (tidy_entry *e = from; e < to; e++) {
			if (!e->line || class_of(e->line, indent) != class) continue;
			size_t end = column_end(e->line, class, column);
			if (end >= e->line->pieces.n) continue;
			size_t n = width_of(e->line, first, end);
			if (pass == 0 && n > widest) widest = n;
			if (pass == 0) continue;
			e->line->pad_at[column] = end;
			e->line->pad[column] = widest - n;
		}
	}
}

static void unpad(tidy_entry *from, const tidy_entry *to) {
	for (tidy_entry *e = from; e < to; e++)
		if (e->line) memset(e->line->pad, 0, sizeof e->line->pad);
}

/* Neighbouring lines of one class, from entry i on. */
static size_t run_end(const tidy_line *holder, size_t i, size_t indent, row_class class) {
	do i++;
	while (i < holder->block.n && !holder->block.v[i].blank && holder->block.v[i].line &&
	       class_of(holder->block.v[i].line, indent) == class);
	return i;
}

/* Whether all of them fit with their columns padded; one whose block then does not is opened. */
static bool run_fits(tidy_entry *from, const tidy_entry *to, size_t indent) {
	bool fits = true;
	for (tidy_entry *e = from; e < to; e++) {
		if (!e->line->block.n || e->line->opened || indent + one_line_width(e->line) <= TIDY_COLUMNS) continue;
		e->line->opened = true;
		open_blocks(e->line, indent + TIDY_INDENT);
		fits = false;
	}
	return fits;
}

static void align_entries(tidy_line *holder, size_t indent) {
	tidy_entry *all = holder->block.v;
	if (holder->block.n) align(all, all + holder->block.n, indent, ROW_WORD, 0);
	for (size_t i = 0, end; i < holder->block.n; i = end) {
		row_class class = all[i].line ? class_of(all[i].line, indent) : ROW_NONE;
		end = i + 1;
		if (class == ROW_NONE || class == ROW_WORD) continue;
		end = run_end(holder, i, indent, class);
		align(all + i, all + end, indent, class, 0);
		if (class == ROW_THING) align(all + i, all + end, indent, class, 1);
		if (run_fits(all + i, all + end, indent)) continue;
		unpad(all + i, all + end); /* an opened one parts the run */
		end = i;
	}
	for (size_t i = 0; i < holder->block.n; i++)
		if (all[i].line && all[i].line->opened) align_entries(all[i].line, indent + TIDY_INDENT);
}

/* ---- writing ------------------------------------------------------------------------------------ */

typedef struct writer {
	textbuf t;
	size_t line; /* where the last line of text begins in t */
} writer;

static size_t column(const writer *w) { return text_columns(w->t.v + w->line, w->t.n - w->line, 0); }

static void new_line(writer *w, size_t indent) {
	textbuf_char(&w->t, '\n');
	w->line = w->t.n;
	blanks(&w->t, indent);
}

static void comments_between(writer *w, const tidy_comment *v, size_t n, size_t indent) {
	for (size_t i = 0; i < n; i++) {
		if (v[i].own)
			new_line(w, indent);
		else
			textbuf_add(&w->t, BETWEEN_COMMENT);
		textbuf_add(&w->t, v[i].text);
	}
}

/* A line's pieces; a long line is broken, and goes on further to the right. */
static void write_pieces(writer *w, const tidy_line *line, size_t indent) {
	size_t further = indent + (line->has_block && line->opened ? 2 * TIDY_INDENT : TIDY_INDENT);
	size_t n = line->pieces.n, behind = line->has_block ? strlen(" {") : 0;
	for (size_t k = 0; k < n; k++) {
		const tidy_piece *p = &line->pieces.v[k];
		size_t between = (p->tight ? 0 : 1) + (k ? pad_before(line, k) : 0), end = k + 1;
		while (end < n && !line->pieces.v[end].breaks && !line->pieces.v[end].comments.n) end++;
		size_t width = width_of(line, k, end) + (end == n ? behind : 0);
		if (p->comments.n) {
			comments_between(w, p->comments.v, p->comments.n, further);
			new_line(w, further);
		} else if (p->breaks && column(w) + between + width > TIDY_COLUMNS) {
			new_line(w, further);
		} else {
			blanks(&w->t, between);
		}
		textbuf_add(&w->t, p->text);
	}
}

static void write_one_line(writer *w, const tidy_line *line, size_t indent) {
	write_pieces(w, line, indent);
	if (!line->has_block) return;
	textbuf_add(&w->t, line->pieces.n ? " {" : "{");
	for (size_t i = 0; i < line->block.n; i++) {
		textbuf_add(&w->t, i ? "; " : " ");
		write_one_line(w, line->block.v[i].line, indent);
	}
	textbuf_add(&w->t, " }");
}

static void write_entries(writer *w, const tidy_line *holder, size_t indent);

static void write_opened(writer *w, const tidy_line *line, size_t indent) {
	write_pieces(w, line, indent);
	if (line->before_block.n) {
		comments_between(w, line->before_block.v, line->before_block.n, indent + 2 * TIDY_INDENT);
		new_line(w, indent);
	} else {
		textbuf_char(&w->t, ' ');
	}
	textbuf_char(&w->t, '{');
	if (line->behind_open.text) textbuf_printf(&w->t, "%s%s", BETWEEN_COMMENT, line->behind_open.text);
	new_line(w, 0);
	write_entries(w, line, indent + TIDY_INDENT);
	blanks(&w->t, indent);
	textbuf_char(&w->t, '}');
}

/* A line that takes one line of text; NULL when it takes more. */
static const char *as_one_line(arena *mem, const tidy_line *line, size_t indent) {
	writer w = {.t = textbuf_begin(mem)};
	blanks(&w.t, indent);
	write_one_line(&w, line, indent);
	return w.line ? NULL : w.t.v;
}

/* Comments behind neighbouring lines stand below each other: the column for those from entry i on, and where they
 * end. */
static size_t comment_column(arena *mem, const tidy_line *holder, size_t i, size_t indent, size_t *end) {
	size_t widest = 0;
	for (*end = i; *end < holder->block.n; ++*end) {
		const tidy_entry *e = &holder->block.v[*end];
		if (!e->line || !e->line->behind.text || (e->blank && *end > i)) break;
		const char *text = on_one_line(e->line) ? as_one_line(mem, e->line, indent) : NULL;
		if (!text) break;
		if (columns(text) > widest) widest = columns(text);
	}
	return widest;
}

static void write_entries(writer *w, const tidy_line *holder, size_t indent) {
	size_t comments = 0, comments_end = 0;
	for (size_t i = 0; i < holder->block.n; i++) {
		const tidy_entry *e = &holder->block.v[i];
		if (e->blank) new_line(w, 0);
		blanks(&w->t, indent);
		if (!e->line) {
			textbuf_add(&w->t, e->comment.text);
		} else {
			if (i >= comments_end) comments = comment_column(w->t.mem, holder, i, indent, &comments_end);
			if (on_one_line(e->line))
				write_one_line(w, e->line, indent);
			else
				write_opened(w, e->line, indent);
			if (e->line->behind.text) {
				size_t at = column(w);
				if (i < comments_end && at < comments) blanks(&w->t, comments - at);
				textbuf_printf(&w->t, "%s%s", BETWEEN_COMMENT, e->line->behind.text);
			}
		}
		new_line(w, 0);
	}
}

const char *grammar_tidy(arena *mem, const source_set *sources, uint32_t file, diags *d, size_t *size, bool *trouble) {
	tidy_text text = {{0}};
	*trouble = false;
	*size = 0;
	if (!tidy_read(mem, sources, file, d, &text)) return NULL;
	tidy_line whole = {.has_block = true, .opened = true};
	whole.block.v = text.entries.v;
	whole.block.n = text.entries.n;
	open_blocks(&whole, 0);
	align_entries(&whole, 0);
	writer w = {.t = textbuf_begin(mem)};
	write_entries(&w, &whole, 0);
	*size = w.t.n;
	/* Read once more: the one promise that must not be broken is that the text says the same. */
	source_set two = source_begin(mem);
	source_add(&two, "before", sources->files.v[file].text, sources->files.v[file].size);
	source_add(&two, "after", w.t.v, w.t.n);
	*trouble = !tidy_same(mem, &two, 0, 1);
	return *trouble ? NULL : w.t.v;
}
