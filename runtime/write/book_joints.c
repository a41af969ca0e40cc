/* Joints close up: each kind of joint once, in the step that first makes one. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "runtime/base/text.h"
#include "runtime/draw/view_joint.h"
#include "runtime/engine/joint.h"
#include "runtime/write/book_build.h"

enum { ACROSS = 3 };				 /* in a row */
static const double TITLE_ROW = CAP_SMALL + 3.2; /* from the picture to the caption */
/* Of part b beside part a, so much decides whether two joints look alike, mm. */
static const double LOOKS_FAR = 30;

typedef struct keyed {
	const char *key;
	size_t step; /* that makes it; the steps' number when none does */
	model_ref joint;
} keyed;

static int by_key(const void *a, const void *b) {
	const keyed *x = a, *y = b;
	int c = strcmp(x->key, y->key);
	if (c) return c;
	if (x->step != y->step) return x->step < y->step ? -1 : 1;
	return x->joint < y->joint ? -1 : x->joint > y->joint;
}

static double plain(rat r) { return rat_ok(r) ? rat_double(r) : -1; }

/* What the close-up shows, whichever way round it lies in the cabinet. */
static const char *key_of(book *b, model_ref row) {
	const model_joint *j = &b->m->joints.v[row];
	const model_part *a = &b->m->parts.v[j->a], *c = &b->m->parts.v[j->b];
	view_joint_report r = view_joint_measure(b->m, row);
	axis n = face_axis(j->face_a), across = r.across;
	double low = plain(rat_sub(a->box.lo[across], c->box.lo[across]));
	double high = plain(rat_sub(c->box.hi[across], a->box.hi[across]));
	low = low < LOOKS_FAR ? low : LOOKS_FAR, high = high < LOOKS_FAR ? high : LOOKS_FAR;
	if (low > high) {
		double swap = low;
		low = high, high = swap;
	}
	return arena_printf(b->mem, "%d %.3f %.3f %.3f %.3f %.3f %.3f %.3f %.3f %u %u %d %.3f %.3f", j->kind,
			    plain(j->depth.mm), plain(j->depth_a), plain(j->thick.mm), plain(j->shoulder),
			    plain(box_size(a->box, across)), plain(box_size(c->box, n)), low, high, j->screw, j->gasket,
			    j->glue, plain(r.beside), plain(box_size(j->contact, across)));
}

/* For each joint the one that is drawn in its place, and the step that draws it. */
static void make(book *b) {
	const model *m = b->m;
	size_t n = m->joints.n, n_steps = m->order.steps.n;
	b->close_up = ARENA_MANY(b->keep, book_close_up, n + 1);
	keyed *k = ARENA_MANY(b->mem, keyed, n + 1);
	for (model_ref i = 0; i < n; i++) k[i] = (keyed){key_of(b, i), n_steps, i};
	for (size_t s = n_steps; s-- > 0;) {
		const model_step *step = &m->order.steps.v[s];
		for (size_t i = 0; i < step->ops.n; i++) {
			const model_op *o = &m->order.ops.v[step->ops.v[i]];
			if (o->kind == OP_JOIN && o->joint < n) k[o->joint].step = s;
		}
	}
	qsort(k, n, sizeof *k, by_key);
	for (size_t i = 0, first = 0; i < n; i++) {
		if (strcmp(k[i].key, k[first].key)) first = i;
		b->close_up[k[i].joint] = (book_close_up){.joint = k[first].joint, .step = k[first].step};
	}
}

static const model_joint *made_by(const book *b, model_ref op) {
	const model_op *o = &b->m->order.ops.v[op];
	return o->kind == OP_JOIN && o->joint < b->m->joints.n ? &b->m->joints.v[o->joint] : NULL;
}

size_t book_joints_first(book *b, size_t step, model_ref **list) {
	if (!b->close_up) make(b);
	const model_step *s = &b->m->order.steps.v[step];
	size_t n = 0;
	*list = ARENA_MANY(b->mem, model_ref, s->ops.n + 1);
	for (size_t i = 0; i < s->ops.n; i++) {
		const model_joint *j = made_by(b, s->ops.v[i]);
		model_ref row = j ? (model_ref)(j - b->m->joints.v) : MODEL_NONE;
		if (j && b->close_up[row].joint == row) (*list)[n++] = row;
	}
	return n;
}

const char *book_joints_earlier(book *b, size_t step) {
	if (!b->close_up) make(b);
	const model_step *s = &b->m->order.steps.v[step];
	bool *earlier = ARENA_MANY(b->mem, bool, b->m->order.steps.n + 1);
	for (size_t i = 0; i < s->ops.n; i++) {
		const model_joint *j = made_by(b, s->ops.v[i]);
		if (j) earlier[b->close_up[j - b->m->joints.v].step] = true;
	}
	textbuf t = textbuf_begin(b->mem);
	for (size_t i = 0; i < step; i++)
		if (earlier[i]) textbuf_printf(&t, "%s%zu", t.n ? ", " : "Joints like these close up: step ", i + 1);
	if (!t.n) return NULL;
	textbuf_char(&t, '.');
	return t.v;
}

static const char *part_name(book *b, model_ref part) {
	const book_item *i = book_item_of(b, part);
	return i ? book_item_name(b, i) : b->m->parts.v[part].group;
}

static const char *number_of(book *b, model_ref part) {
	const book_item *i = book_item_of(b, part);
	return i ? arena_printf(b->mem, "%u", i->number) : "";
}

static const char *cut_words(book *b, const model_joint *j) {
	if (j->kind == JOINT_HALVING)
		return arena_printf(b->mem, "halved, %s and %s deep", book_length(b, j->depth_a),
				    book_length(b, j->depth.mm));
	if (!joint_enters(j->kind)) return j->kind == JOINT_LAP ? "lapped" : "butted";
	return arena_printf(b->mem, "%s %s deep", joint_cut_word(j->kind), book_length(b, j->depth.mm));
}

/* "Floor into left" */
static const char *title(book *b, const model_joint *j) {
	char *to = arena_text(b->mem, part_name(b, j->b));
	if (to[0] >= 'A' && to[0] <= 'Z') to[0] = (char)(to[0] - 'A' + 'a');
	return book_title_case(b, arena_printf(b->mem, "%s %s %s", part_name(b, j->a), joint_link(j->kind), to));
}

static const char *caption(book *b, const model_joint *j, const view_joint_report *r) {
	textbuf t = textbuf_begin(b->mem);
	textbuf_printf(&t, "%s%s%s", cut_words(b, j), j->glue ? ", glued" : "",
		       j->gasket != MODEL_NONE ? ", tape between" : "");
	if (r->screw) textbuf_printf(&t, ", screw %s from the %s face", book_length(b, r->beside), FACE_NAME[r->near]);
	const char *scale = r->scale > 0.9 ? "1:1" : r->scale > 0.4 ? "1:2" : "1:5";
	textbuf_printf(&t, ". %s, seen %s", scale, r->from);
	return t.v;
}

double book_joint_height(book *b, model_ref joint) {
	const model_joint *j = &b->m->joints.v[joint];
	double *high = &b->close_up[joint].high;
	if (*high > 0) return *high;
	view_joint_report r = view_joint_measure(b->m, joint);
	const display_style style = {.cap = CAP_SMALL};
	return *high = VIEW_JOINT_HIGH + TITLE_ROW +
		       display_paragraph_height(b->mem, VIEW_JOINT_WIDE - 2, &style, caption(b, j, &r)) + 2;
}

void book_joint(book *b, display *d, double x, double y, model_ref joint) {
	const model_joint *j = &b->m->joints.v[joint];
	view_joint_report r = view_joint(d, x, y, b->m, joint, number_of(b, j->a), number_of(b, j->b));
	const display_style style = {.cap = CAP_SMALL};
	y += VIEW_JOINT_HIGH + CAP_SMALL + 1.6;
	display_bold(d, x, y, CAP_SMALL, ALIGN_LEFT,
		     display_fit(b->mem, FONT_BOLD, CAP_SMALL, VIEW_JOINT_WIDE - 2, title(b, j)));
	display_paragraph(d, x, y + 1.6, VIEW_JOINT_WIDE - 2, &style, caption(b, j, &r));
}

double book_joints_rows_height(book *b, const model_ref *list, size_t n) {
	double all = 0;
	for (size_t i = 0; i < n; i += ACROSS) {
		double high = 0;
		for (size_t k = i; k < n && k < i + ACROSS; k++) high = fmax(high, book_joint_height(b, list[k]));
		all += high;
	}
	return all;
}

double book_joints_rows(book *b, display *d, const model_ref *list, size_t n) {
	double step = (d->w - VIEW_JOINT_WIDE) / (ACROSS - 1);
	for (size_t i = 0; i < n; i++)
		book_joint(b, d, (double)(i % ACROSS) * step, book_joints_rows_height(b, list, i - i % ACROSS),
			   list[i]);
	return book_joints_rows_height(b, list, n);
}
