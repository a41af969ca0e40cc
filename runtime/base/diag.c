#include "runtime/base/diag.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "runtime/base/text.h"

diags diags_begin(arena *mem) {
	diags d = {.mem = mem};
	return d;
}

static size_t *counter(diags *d, const diag *g) { return g->severity == DIAG_ERROR ? &d->errors : &d->warnings; }

static diag **slot_of(diags *d, span at) {
	enum { SLOTS = 4096 };
	if (!d->slots) d->slots = ARENA_MANY(d->mem, diag *, SLOTS);
	uint32_t mixed = (at.start + at.end * 31 + at.file * 17) * UINT32_C(2654435761);
	return &d->slots[(mixed >> 16) % SLOTS];
}

/* Says once that there are more; itself not counted. */
static void add_more(diags *d, diag_severity severity, span at) {
	if (d->more[severity]) return;
	diag *g = ARENA_NEW(d->mem, diag);
	*g = (diag){.severity = severity, .rule = "plan-size", .at = at};
	g->text = arena_printf(d->mem, "more than %d of these: from here on they are only counted", DIAG_MOST);
	d->more[severity] = true;
	LIST_PUSH(d->mem, &d->all, g);
}

void diag_again(diags *d, diag *g) {
	if (!d->within || !g->within || g->last == d->within || g->within == d->within) return;
	g->last = d->within;
	for (size_t i = 0; i < g->again.n; i++)
		if (g->again.v[i] == d->within->name) return;
	LIST_PUSH(d->mem, &g->again, d->within->name);
}

static diag *add(diags *d, diag_severity severity, const char *rule, span at, const char *text) {
	diag **slot = slot_of(d, at);
	for (diag *old = *slot; old; old = old->next) {
		if (!span_same(old->at, at) || !text_same(old->rule, rule)) continue;
		if (text_same(old->text, text) && (!old->within || old->within == d->within)) return old;
		if (!d->within || !old->within || old->severity != severity) continue;
		if (old->within == d->within) continue;
		diag_again(d, old);
		return ARENA_NEW(d->mem, diag); /* takes notes that nobody reads */
	}
	diag *g = ARENA_NEW(d->mem, diag);
	g->within = g->last = d->within;
	g->severity = severity;
	g->rule = rule;
	g->at = at;
	g->text = text;
	++*counter(d, g);
	if (strncmp(rule, "plan-", 5) != 0) {
		for (size_t i = 0; i < d->n_allow; i++)
			if (text_same(d->allow[i], rule)) {
				diag_waive(d, g, "allowed on the command line");
				g->by_command = true;
			}
	}
	if (d->kept[severity] == DIAG_MOST) {
		add_more(d, severity, at);
		return g;
	}
	d->kept[severity]++;
	g->next = *slot;
	*slot = g;
	LIST_PUSH(d->mem, &d->all, g);
	return g;
}

diag *diag_error(diags *d, const char *rule, span at, const char *format, ...) {
	va_list args;
	va_start(args, format);
	diag *g = add(d, DIAG_ERROR, rule, at, arena_vprintf(d->mem, format, args));
	va_end(args);
	return g;
}

diag *diag_warning(diags *d, const char *rule, span at, const char *format, ...) {
	va_list args;
	va_start(args, format);
	diag *g = add(d, DIAG_WARNING, rule, at, arena_vprintf(d->mem, format, args));
	va_end(args);
	return g;
}

void diag_add_note(diags *d, diag *to, span at, const char *format, ...) {
	va_list args;
	va_start(args, format);
	diag_note note = {.at = at, .text = arena_vprintf(d->mem, format, args)};
	va_end(args);
	for (size_t i = 0; i < to->notes.n; i++)
		if (span_same(to->notes.v[i].at, at) && text_same(to->notes.v[i].text, note.text)) return;
	LIST_PUSH(d->mem, &to->notes, note);
}

void diag_add_help(diags *d, diag *to, const char *format, ...) {
	va_list args;
	va_start(args, format);
	to->help = arena_vprintf(d->mem, format, args);
	va_end(args);
}

void diag_add_choice(diags *d, diag *to, const char *word, const char *const *words, size_t n, const char *list) {
	const char *near = word ? text_nearest(word, words, n) : NULL;
	if (near) {
		diag_add_help(d, to, "did you mean `%s`?", near);
		return;
	}
	textbuf t = textbuf_begin(d->mem);
	for (size_t i = 0; i < n; i++) textbuf_printf(&t, "%s%s", i ? ", " : "", words[i]);
	diag_add_help(d, to, "%s: %s", list, t.v);
}

void diag_add_about(diags *d, diag *to, span at) {
	if (span_known(at)) LIST_PUSH(d->mem, &to->about, at);
}

void diag_waive(diags *d, diag *which, const char *reason) {
	if (which->allowed) return;
	which->allowed = reason;
	--*counter(d, which);
}

typedef struct ranked {
	diag *g;
	size_t rank;
} ranked;

static int by_place(const void *a, const void *b) {
	const ranked *x = a, *y = b;
	if (x->g->at.file != y->g->at.file) return x->g->at.file < y->g->at.file ? -1 : 1;
	if (x->g->at.start != y->g->at.start) return x->g->at.start < y->g->at.start ? -1 : 1;
	return x->rank < y->rank ? -1 : 1;
}

void diags_sort(diags *d) {
	if (d->all.n < 2) return;
	ranked *r = ARENA_MANY(d->mem, ranked, d->all.n);
	for (size_t i = 0; i < d->all.n; i++) r[i] = (ranked){d->all.v[i], i};
	qsort(r, d->all.n, sizeof *r, by_place);
	for (size_t i = 0; i < d->all.n; i++) d->all.v[i] = r[i].g;
}

/* In what it arose, level by level, and where the same arose again. */
static void note_within(diags *d, diag *g) {
	enum { MOST_LEVELS = 4, MOST_NAMES = 4 };
	size_t levels = 0;
	for (const diag_within *w = g->within; w && levels < MOST_LEVELS; w = w->outer, levels++)
		if (!span_same(w->at, g->at)) diag_add_note(d, g, w->at, "%s", w->text);
	if (!g->again.n) return;
	textbuf t = textbuf_begin(d->mem);
	for (size_t i = 0; i < g->again.n && i < MOST_NAMES; i++)
		textbuf_printf(&t, "%s`%s`", i ? ", " : "", g->again.v[i]);
	diag_add_note(d, g, span_none(), "and the same in %zu more: %s%s", g->again.n, t.v,
		      g->again.n > MOST_NAMES ? " …" : "");
}

void diags_fold(diags *d) {
	for (size_t i = 0; i < d->all.n; i++) note_within(d, d->all.v[i]);
	size_t kept = 0;
	size_t *more = ARENA_MANY(d->mem, size_t, d->all.n + 1);
	for (size_t i = 0; i < d->all.n; i++) {
		diag *g = d->all.v[i];
		size_t k = strncmp(g->rule, "plan-", 5) == 0 ? kept : 0;
		for (; k < kept; k++) {
			const diag *o = d->all.v[k];
			if (!span_same(o->at, g->at) || !span_known(g->at)) continue;
			if (o->severity == g->severity && text_same(o->allowed, g->allowed) &&
			    text_same(o->rule, g->rule))
				break;
		}
		if (k == kept) {
			d->all.v[kept++] = g;
			continue;
		}
		more[k]++;
		if (!g->allowed) --*counter(d, g);
	}
	d->all.n = kept;
	for (size_t k = 0; k < kept; k++)
		if (more[k])
			diag_add_note(d, d->all.v[k], span_none(), "and %zu more of this kind from the same line",
				      more[k]);
}

void diag_compare(diags *d, diag_compared row) {
	bool figures = isfinite(row.value) && isfinite(row.limit);
	if (!figures && !row.words) return;
	if (figures) row.broken = row.at_least ? row.value < row.limit : row.value > row.limit;
	LIST_PUSH(d->mem, &d->compared, row);
}
