/* What waits for what: circles, values that are asked for too early, chains that are too long. */
#include "compiler/eval_inner.h"
#include "runtime/base/text.h"

/* A ring of a thousand names is shown by its beginning and its end. */
enum { MOST_LINKS = 12 };

static void add_link(textbuf *t, size_t i, size_t n, const char *name) {
	if (i >= MOST_LINKS / 2 && i + MOST_LINKS / 2 < n) {
		if (i == MOST_LINKS / 2) textbuf_printf(t, "… (%zu more) -> ", n - MOST_LINKS);
		return;
	}
	textbuf_printf(t, "%s -> ", name);
}

typedef LIST(const busy *) chain;

/* From `outermost` inwards. */
static chain chain_from(ctx *c, const busy *outermost) {
	chain in = {0}, out = {0};
	for (const busy *o = c->busy; o; o = o->outer) {
		LIST_PUSH(c->mem, &in, o);
		if (o == outermost) break;
	}
	for (size_t i = in.n; i-- > 0;) LIST_PUSH(c->mem, &out, in.v[i]);
	return out;
}

/* Where the text first leads on within the ring; what leads into it from outside is not at fault. */
static span first_link(const chain *ring, span back) {
	span first = back;
	for (size_t i = 1; i < ring->n; i++) {
		span at = ring->v[i]->at;
		if (at.file < first.file || (at.file == first.file && at.start < first.start)) first = at;
	}
	return first;
}

static void note_links(ctx *c, diag *g, const chain *links, size_t from) {
	for (size_t i = from; i < links->n; i++)
		if (i < from + MOST_LINKS / 2 || i + MOST_LINKS / 2 >= links->n)
			if (!span_same(links->v[i]->at, g->at))
				diag_add_note(c->diags, g, links->v[i]->at, "by way of %s", links->v[i]->name);
}

bool busy_enter(ctx *c, busy *b, const void *key, const char *name, span at) {
	const busy *again = NULL;
	for (const busy *o = c->busy; o; o = o->outer)
		if (o->key == key) again = o;
	if (again) {
		textbuf t = textbuf_begin(c->mem);
		chain ring = chain_from(c, again);
		for (size_t i = 0; i < ring.n; i++) add_link(&t, i, ring.n, ring.v[i]->name);
		textbuf_add(&t, name);
		span first = first_link(&ring, at);
		diag *g = diag_error(c->diags, "plan-circle", first, "this goes round in a circle: %s", t.v);
		note_links(c, g, &ring, 1);
		if (!span_same(at, first)) diag_add_note(c->diags, g, at, "and back to %s", name);
		diag_add_help(c->diags, g, "give one of them a value that does not follow from the others");
		return false;
	}
	*b = (busy){.key = key, .name = name, .at = at, .waits = c->may_wait, .outer = c->busy};
	c->busy = b;
	c->may_wait = false;
	return true;
}

void busy_leave(ctx *c, const busy *b) {
	c->busy = b->outer;
	c->may_wait = b->waits;
}

/* ---- asked for too early --------------------------------------------------------------------------- */

static const struct stage {
	const char *when, *link; /* "known only when …"; what the value leans on */
} STAGES[KNOWN_KINDS] = {
	[KNOWN_TEXT] = {"it is worked out", "the plan"},
	[KNOWN_SHAPED] = {"every part stands and is cut", "the shape of the parts"},
	[KNOWN_AIR] = {"the air is solved", "the air of the whole plan"},
	[KNOWN_LAID] = {"the sheets are laid out", "the layout of all sheets"},
	[KNOWN_ORDERED] = {"the order of work is found", "the order of the whole work"},
};

bool value_known(ctx *c, known_stage stage, const syn_expr *asker, span at) {
	if (c->known >= stage) return !c->lacks[stage];
	c->waits = true;
	if (c->may_wait) return false;
	const char *asked = expr_source(c, asker);
	const busy *outermost = c->busy;
	while (outermost && outermost->outer) outermost = outermost->outer;
	chain links = chain_from(c, outermost);
	if (c->placing && links.n) {
		textbuf t = textbuf_begin(c->mem);
		for (size_t i = 0; i < links.n; i++) add_link(&t, i, links.n, links.v[i]->name);
		textbuf_printf(&t, "%s -> %s -> every part -> %s", asked, STAGES[stage].link, links.v[0]->name);
		diag *g = diag_error(c->diags, "plan-circle", at, "this goes round in a circle: %s", t.v);
		diag_add_note(c->diags, g, links.v[0]->at, "%s must be known first", links.v[0]->name);
		note_links(c, g, &links, 1);
		diag_add_help(c->diags, g,
			      "`%s` is known only when %s: write the value that is wanted, and let a `require` hold it "
			      "against `%s`",
			      asked, STAGES[stage].when, asked);
		return false;
	}
	diag *g = diag_error(c->diags, "plan-too-early", at, "`%s` is known only when %s", asked, STAGES[stage].when);
	note_links(c, g, &links, 0);
	diag_add_help(c->diags, g, "use it in `require`, in the words of the book, or in a `let` that only those use");
	return false;
}

/* ---- too long a chain -------------------------------------------------------------------------------- */

void eval_too_deep(ctx *c, span at) {
	chain links = chain_from(c, NULL);
	if (c->deep_told) return; /* who stands further on in the same chain has nothing new to say */
	c->deep_told = true;
	if (links.n == 0) {
		diag *g = diag_error(c->diags, "plan-deep", at, "this is nested too deeply");
		diag_add_help(c->diags, g, "give a part of it a name with `let`");
		return;
	}
	const busy *first = links.v[0], *middle = links.v[links.n / 2];
	diag *g = diag_error(c->diags, "plan-deep", first->at, "`%s` leans on others in a chain of more than %zu links",
			     first->name, links.n - 1);
	if (middle != first) diag_add_note(c->diags, g, middle->at, "in the middle of it stands `%s`", middle->name);
	diag_add_help(c->diags, g, "let one of them, best in the middle, lean on what stands near the chain's end");
}
