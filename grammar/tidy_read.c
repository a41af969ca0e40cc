/* From the lexer's tokens and the gaps between them to lines with their comments. */
#include <string.h>

#include "grammar/lexer.h"
#include "grammar/parse.h"
#include "grammar/plan.tab.h"
#include "grammar/tidy.h"
#include "runtime/base/text.h"

enum { THING_COMMENT = -1 };

/* A token or a comment. */
typedef struct thing {
	int kind; /* of plan.tab.h, or THING_COMMENT; TOK_END never */
	span at;
	size_t newlines; /* between the thing before and this one; of a line end that is a token, before the next */
} thing;

typedef struct reader {
	arena *mem;
	const char *text;
	LIST(thing) things;
	size_t i;
} reader;

/* ---- the flat list ------------------------------------------------------------------------------ */

/* Counts the line ends of a gap and adds its comments. */
static void read_gap(reader *r, span at, size_t *newlines) {
	for (uint32_t i = at.start; i < at.end; i++) {
		if (r->text[i] == '\n') ++*newlines;
		if (r->text[i] != '#') continue;
		span c = {at.file, i, i};
		while (c.end < at.end && r->text[c.end] != '\n') c.end++;
		i = c.end - 1;
		while (strchr(" \t\r", r->text[c.end - 1])) c.end--;
		LIST_PUSH(r->mem, &r->things, ((thing){THING_COMMENT, c, *newlines}));
		*newlines = 0;
	}
}

/* All tokens and comments of a file without faults. The first one counts as if a line ended before it. */
static reader flat(arena *mem, const source_set *sources, uint32_t file) {
	grammar_lexer lx;
	diags none = diags_begin(mem);
	grammar_lexer_begin(&lx, mem, sources, file, &none, false);
	reader r = {.mem = mem, .text = lx.text};
	size_t newlines = 1;
	uint32_t from = 0;
	for (;;) {
		grammar_token t = grammar_lexer_next(&lx);
		read_gap(&r, (span){file, from, t.at.start}, &newlines);
		from = t.at.end;
		if (t.kind == TOK_END) break;
		bool line_end = t.kind == TOK_SEP && r.text[t.at.start] != ';';
		LIST_PUSH(mem, &r.things, ((thing){t.kind, t.at, line_end ? 0 : newlines}));
		newlines = line_end ? newlines + 1 : 0;
	}
	grammar_lexer_end(&lx);
	return r;
}

/* ---- pieces -------------------------------------------------------------------------------------- */

static bool is_digit(char c) { return c >= '0' && c <= '9'; }

/* `18mm`, `2 ft  6 1/2in`, `- 5degC`: one blank between number, fraction and unit. */
static const char *quantity(arena *mem, const char *p, const char *end) {
	textbuf t = textbuf_begin(mem);
	while (p < end) {
		if (*p == ' ' || *p == '\t') {
			p++;
			continue;
		}
		if (t.n && t.v[t.n - 1] != '-') textbuf_char(&t, ' ');
		const char *from = p++;
		if (is_digit(*from))
			while (p < end && (is_digit(*p) || (strchr("./:", *p) && p + 1 < end && is_digit(p[1])))) p++;
		else if (*from != '-')
			while (p < end && *p != ' ' && *p != '\t') p++;
		textbuf_addn(&t, from, (size_t)(p - from));
	}
	return t.v;
}

static bool ends_value(int kind) {
	return kind == TOK_QUANT || kind == TOK_TEXT || kind == TOK_NAME || kind == TOK_MEMBER || kind == ')' ||
	       kind == ']';
}

/* Whether nothing stands between the last of these pieces and the one to come. */
static bool tight_behind(const tidy_line *line, int kind) {
	size_t n = line->pieces.n;
	if (n == 0 || kind == ',' || kind == ')' || kind == '[' || kind == ']' || kind == TOK_MEMBER) return true;
	const tidy_piece *p = &line->pieces.v[n - 1];
	if (p->kind == '(' || p->kind == '[') return true;
	if (p->kind == TOK_CALL) return kind == '(';
	return p->kind == '-' && (n == 1 || !ends_value(p[-1].kind));
}

/* The names of rules, `hole-edge`, are read as they are written. */
static bool names_rule(const tidy_line *line) {
	const tidy_piece *p = line->pieces.v;
	if (line->pieces.n == 0 || p->kind != TOK_LEAD) return false;
	if (!text_same(p->text, "allow") && !text_same(p->text, "tune")) return false;
	for (size_t k = 1; k < line->pieces.n; k++)
		if (p[k].kind == TOK_LINK) return false;
	return true;
}

static tidy_comment comment_of(const reader *r, const thing *x) {
	return (tidy_comment){arena_textn(r->mem, r->text + x->at.start, x->at.end - x->at.start), x->newlines > 0};
}

static void add_piece(reader *r, tidy_line *line, const thing *x, size_t depth) {
	const char *p = r->text + x->at.start, *end = r->text + x->at.end;
	tidy_piece piece = {.kind = x->kind, .tight = tight_behind(line, x->kind)};
	if (line->pieces.n > 1 && names_rule(line) && x[-1].at.end == x->at.start) piece.tight = true;
	piece.text = x->kind == TOK_QUANT ? quantity(r->mem, p, end) : arena_textn(r->mem, p, (size_t)(end - p));
	int before = line->pieces.n ? line->pieces.v[line->pieces.n - 1].kind : 0;
	piece.breaks = depth == 0 && before != 0 && (before == ',' || x->kind == TOK_ARROW);
	LIST_PUSH(r->mem, &line->pieces, piece);
}

/* ---- lines --------------------------------------------------------------------------------------- */

static const thing *ahead(const reader *r) { return r->i < r->things.n ? &r->things.v[r->i] : NULL; }

/* The comment that stands behind the thing before, on the same line of text. */
static tidy_comment behind(reader *r) {
	const thing *x = ahead(r);
	if (!x || x->kind != THING_COMMENT || x->newlines > 0) return (tidy_comment){0};
	r->i++;
	return comment_of(r, x);
}

static bool ends_line(const thing *x) { return !x || x->kind == TOK_SEP || x->kind == '}'; }

/* The pieces up to the block or the end. A comment in the middle belongs to the piece behind it. */
static void read_pieces(reader *r, tidy_line *line) {
	size_t depth = 0;
	for (const thing *x; x = ahead(r), !ends_line(x);) {
		size_t from = r->i;
		while (x && x->kind == THING_COMMENT) {
			r->i++;
			x = ahead(r);
		}
		if (ends_line(x)) { /* it was no middle */
			r->i = from;
			return;
		}
		bool brace = x->kind == '{';
		if (!brace) {
			if ((x->kind == ')' || x->kind == ']') && depth) depth--;
			add_piece(r, line, x, depth);
			if (x->kind == '(' || x->kind == '[') depth++;
			r->i++;
		}
		for (; r->things.v[from].kind == THING_COMMENT; from++) {
			tidy_comment c = comment_of(r, &r->things.v[from]);
			if (brace)
				LIST_PUSH(r->mem, &line->before_block, c);
			else
				LIST_PUSH(r->mem, &line->pieces.v[line->pieces.n - 1].comments, c);
		}
		if (brace) return;
	}
}

static tidy_line *read_line(reader *r);

static void read_entries(reader *r, tidy_line *holder) {
	for (const thing *x; (x = ahead(r)) && x->kind != '}';) {
		if (x->kind == TOK_SEP) {
			r->i++;
			continue;
		}
		tidy_entry e = {.blank = x->newlines > 1 && holder->block.n > 0};
		if (x->kind == THING_COMMENT) {
			e.comment = comment_of(r, x);
			r->i++;
		} else {
			e.line = read_line(r);
		}
		LIST_PUSH(r->mem, &holder->block, e);
	}
}

static tidy_line *read_line(reader *r) {
	tidy_line *line = ARENA_NEW(r->mem, tidy_line);
	read_pieces(r, line);
	const thing *x = ahead(r);
	if (x && x->kind == '{') {
		uint32_t from = x->at.end;
		r->i++;
		line->has_block = true;
		line->behind_open = behind(r);
		read_entries(r, line);
		if ((x = ahead(r))) {
			line->opened = memchr(r->text + from, '\n', x->at.start - from) != NULL;
			r->i++;
		}
	}
	line->behind = behind(r);
	x = ahead(r);
	if (x && x->kind == TOK_SEP) {
		r->i++;
		if (!line->behind.text) line->behind = behind(r);
	}
	return line;
}

bool tidy_read(arena *mem, const source_set *sources, uint32_t file, diags *d, tidy_text *out) {
	size_t errors = d->errors;
	syn_file tree;
	grammar_parse(mem, sources, file, d, &tree);
	if (d->errors > errors) return false;
	reader r = flat(mem, sources, file);
	tidy_line whole = {.has_block = false};
	read_entries(&r, &whole);
	out->entries.v = whole.block.v;
	out->entries.n = whole.block.n;
	return true;
}

/* ---- the same? ------------------------------------------------------------------------------------ */

static bool counts(const reader *r, size_t i) {
	return r->things.v[i].kind != TOK_SEP && r->things.v[i].kind != THING_COMMENT;
}

/* Whether a line ends between this thing and the next that counts. */
static bool parted(const reader *r, size_t i) {
	for (i++; i < r->things.n && !counts(r, i); i++)
		if (r->things.v[i].kind == TOK_SEP) return true;
	return i == r->things.n || r->things.v[i].kind == '}';
}

static size_t next_of(const reader *r, size_t i, bool comment) {
	while (i < r->things.n && (comment ? r->things.v[i].kind != THING_COMMENT : !counts(r, i))) i++;
	return i;
}

static bool same_bytes(const reader *a, const thing *x, const reader *b, const thing *y) {
	const char *p = a->text + x->at.start, *q = b->text + y->at.start;
	size_t n = x->at.end - x->at.start, k = y->at.end - y->at.start;
	if (x->kind == TOK_QUANT) return strcmp(quantity(a->mem, p, p + n), quantity(b->mem, q, q + k)) == 0;
	return n == k && memcmp(p, q, n) == 0;
}

static bool same_things(const reader *a, const reader *b, bool comments) {
	size_t i = next_of(a, 0, comments), k = next_of(b, 0, comments);
	while (i < a->things.n && k < b->things.n) {
		const thing *x = &a->things.v[i], *y = &b->things.v[k];
		if (x->kind != y->kind || !same_bytes(a, x, b, y)) return false;
		if (!comments && x->kind != '{' && parted(a, i) != parted(b, k)) return false;
		i = next_of(a, i + 1, comments);
		k = next_of(b, k + 1, comments);
	}
	return i == a->things.n && k == b->things.n;
}

bool tidy_same(arena *mem, const source_set *sources, uint32_t a, uint32_t b) {
	reader x = flat(mem, sources, a), y = flat(mem, sources, b);
	return same_things(&x, &y, false) && same_things(&x, &y, true);
}
