#include <string.h>

#include "compiler/context.h"
#include "runtime/base/text.h"

const char *const SYM_SPOKEN[SYM_KIND_COUNT] = {
#define X(name, spoken) [SYM_##name] = spoken,
	SYM_KINDS(X)
#undef X
};

static size_t bucket_of(const char *name) {
	uint32_t h = 2166136261u;
	for (const unsigned char *p = (const unsigned char *)name; *p; p++) h = (h ^ *p) * 16777619u;
	return h % NAME_BUCKETS;
}

sym *names_find(const names *n, const char *name) {
	for (sym *s = n->bucket[bucket_of(name)]; s; s = s->next)
		if (strcmp(s->name, name) == 0) return s;
	return NULL;
}

sym *names_add(ctx *c, const char *name, sym_kind kind, span at, void *def) {
	sym *old = names_find(&c->names, name);
	if (old) {
		diag *g = diag_error(c->diags, "plan-name-twice", at, "the name `%s` is taken", name);
		if (span_known(old->at))
			diag_add_note(c->diags, g, old->at, "%s of that name is here", SYM_SPOKEN[old->kind]);
		else
			diag_add_note(c->diags, g, span_none(), "`%s` is %s that is always there", name,
				      SYM_SPOKEN[old->kind]);
		diag_add_help(c->diags, g, "give one of the two another name");
		return NULL;
	}
	sym *s = ARENA_NEW(c->mem, sym);
	*s = (sym){.name = name, .kind = kind, .at = at, .def = def};
	size_t b = bucket_of(name);
	s->next = c->names.bucket[b];
	c->names.bucket[b] = s;
	LIST_PUSH(c->mem, &c->names.all, s);
	return s;
}

void names_unknown(ctx *c, const char *name, span at, const char *what) {
	enum { MOST_PLACES = 4 };
	if (c->use_failed) return;
	for (size_t i = 0; i < c->excused.n; i++)
		if (text_same(c->excused.v[i], name)) return;
	for (size_t i = 0; i < c->unknown.n; i++) {
		diag *first = c->unknown.v[i];
		if (!text_same(c->unknown_names.v[i], name)) continue;
		if (!span_same(first->at, at) && first->notes.n < MOST_PLACES)
			diag_add_note(c->diags, first, at, "and here");
		return;
	}
	const char **known = ARENA_MANY(c->mem, const char *, c->names.all.n + 1);
	for (size_t i = 0; i < c->names.all.n; i++) known[i] = c->names.all.v[i]->name;
	diag *g = diag_error(c->diags, "plan-unknown-name", at, "nothing here is called `%s`%s%s", name,
			     what ? ": " : "", what ? what : "");
	LIST_PUSH(c->mem, &c->unknown, g);
	LIST_PUSH(c->mem, &c->unknown_names, name);
	const char *near = text_nearest(name, known, c->names.all.n);
	if (near) {
		diag_add_help(c->diags, g, "did you mean `%s`?", near);
		sym *s = names_find(&c->names, near);
		if (span_known(s->at)) diag_add_note(c->diags, g, s->at, "`%s` is here", near);
	}
}
