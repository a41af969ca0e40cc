/* Who holds what: pieces that nothing carries yet, what has to be laid over, the hours of two people, and what is done
 * while glue or finish dries. */
#include <math.h>
#include <string.h>

#include "compiler/order_inner.h"
#include "runtime/base/text.h"
#include "runtime/engine/joint.h"
#include "runtime/engine/lift.h"

/* A piece longer than this that nothing carries wants a hand at each end and one for the driver. Common practice, no
 * source. */
enum { ONE_SPANS_MM = 1200 };

typedef struct reach { /* along one axis, mm */
	double lo, hi;
	bool any;
} reach;

static const model_part *part_of(const order_work *w, model_ref p) { return &w->m->parts.v[p]; }

static void widen(reach *r, const box3 *rect, axis x) {
	double lo = order_rat_mm(rect->lo[x]), hi = order_rat_mm(rect->hi[x]);
	r->lo = r->any ? fmin(r->lo, lo) : lo;
	r->hi = r->any ? fmax(r->hi, hi) : hi;
	r->any = true;
}

/* Does the joint carry a's weight before it is fastened? A dado does; a rabbet only when it is not open below. */
static bool carries(const order_work *w, const model_joint *j) {
	if (!joint_enters(j->kind) || face_axis(j->face_a) == AXIS_Z) return false;
	return j->kind != JOINT_RABBET || rat_lt(part_of(w, j->b)->box.lo[AXIS_Z], j->contact.lo[AXIS_Z]);
}

/* Where the part is carried by parts that stand (`held` false), or held when its joints with them are closed, too. */
static reach reach_of(const order_work *w, model_ref p, axis x, const bool *stands, bool held) {
	reach r = {0};
	for (model_ref q = 0; q < w->m->parts.n; q++) {
		face f;
		box3 rect;
		if (q == p || !stands[q] || !model_part_made(w->m, part_of(w, q))) continue;
		if (box_touch(part_of(w, p)->box, part_of(w, q)->box, &f, &rect) && f == FACE_BOTTOM)
			widen(&r, &rect, x);
	}
	for (size_t i = 0; i < w->m->joints.n; i++) {
		const model_joint *j = &w->m->joints.v[i];
		model_ref q = j->a == p ? j->b : j->b == p ? j->a : MODEL_NONE;
		if (q == MODEL_NONE || !stands[q] || w->role[i] != ROLE_JOIN) continue;
		if (held || (j->a == p && carries(w, j))) widen(&r, &j->contact, x);
	}
	return r;
}

static axis length_of(const model_part *p) {
	return rat_lt(box_size(p->box, AXIS_X), box_size(p->box, AXIS_Y)) ? AXIS_Y : AXIS_X;
}

/* The end that hangs free, or -1: the middle does not lie between what carries. */
static int free_end(const model_part *p, axis x, const reach *r) {
	double middle = (order_rat_mm(p->box.lo[x]) + order_rat_mm(p->box.hi[x])) / 2;
	if (r->any && middle < r->lo) return (int)face_of(x, false);
	if (r->any && middle > r->hi) return (int)face_of(x, true);
	return -1;
}

/* The step (from 1) after which the part no longer hangs free; 0 when none says so. */
static uint32_t held_from(const order_work *w, model_ref p, axis x, const bool *stands, size_t row) {
	bool *there = ARENA_MANY(w->mem, bool, w->m->parts.n + 1);
	memcpy(there, stands, w->m->parts.n * sizeof *there);
	for (size_t i = 0; i < w->sequence.n; i++) {
		const model_op *o = &w->ops.v[w->sequence.v[i]];
		if (o->kind != OP_JOIN || o->step <= row) continue;
		bool near = false;
		for (size_t k = 0; k < o->parts.n; k++) {
			face f;
			box3 rect;
			model_ref q = o->parts.v[k];
			there[q] = true;
			near = near || q == p || box_touch(part_of(w, p)->box, part_of(w, q)->box, &f, &rect);
		}
		if (!near) continue;
		reach r = reach_of(w, p, x, there, true);
		if (free_end(part_of(w, p), x, &r) < 0) return o->step + 1;
	}
	return 0;
}

static rat ground(const order_work *w, const bool *stands) {
	rat low = rat_poison();
	for (size_t i = 0; i < w->m->parts.n; i++)
		if (stands[i] && (!rat_ok(low) || rat_lt(w->m->parts.v[i].box.lo[AXIS_Z], low)))
			low = w->m->parts.v[i].box.lo[AXIS_Z];
	return low;
}

static void sentence(textbuf *t, const char *words) {
	if (t->n) textbuf_char(t, ' ');
	textbuf_add(t, words);
}

/* The highest sheet that lies below the part, or below its half at the free end (`end` -1: anywhere): what a prop
 * stands on; MODEL_NONE: the ground. */
static model_ref below(const order_work *w, model_ref p, axis x, int end, const bool *stands) {
	const box3 *own = &part_of(w, p)->box;
	box3 zone = *own;
	rat middle = rat_half(rat_add(own->lo[x], own->hi[x]));
	if (end >= 0) *(face_high((face)end) ? &zone.lo[x] : &zone.hi[x]) = middle;
	model_ref best = MODEL_NONE;
	for (model_ref q = 0; q < w->m->parts.n; q++) {
		const model_part *b = part_of(w, q);
		bool under = stands[q] && q != p && b->kind == PART_PANEL && b->thick_axis == AXIS_Z;
		for (int a = 0; a < 2 && under; a++)
			under = rat_lt(b->box.lo[a], zone.hi[a]) && rat_lt(zone.lo[a], b->box.hi[a]);
		if (!under || !rat_le(b->box.hi[AXIS_Z], own->lo[AXIS_Z])) continue;
		if (best == MODEL_NONE || rat_lt(part_of(w, best)->box.hi[AXIS_Z], b->box.hi[AXIS_Z])) best = q;
	}
	return best;
}

/* Does glue alone hold the part when it comes? Then a hand cannot hold it until it is fast. */
static bool only_glued(const order_work *w, model_ref p, const bool *stands) {
	bool glue = false;
	for (size_t i = 0; i < w->m->joints.n; i++) {
		const model_joint *j = &w->m->joints.v[i];
		if ((j->a != p && j->b != p) || w->role[i] != ROLE_JOIN || !stands[j->a == p ? j->b : j->a]) continue;
		if (j->n_screws) return false;
		glue = glue || j->glue;
	}
	return glue;
}

/* The axis along which it hangs: of a sheet that lies flat the shorter one, too, when the longer is carried. */
static axis hanging_along(const order_work *w, model_ref p, const bool *after) {
	const model_part *a = part_of(w, p);
	axis x = length_of(a), other = x == AXIS_X ? AXIS_Y : AXIS_X;
	if (a->kind != PART_PANEL || a->thick_axis != AXIS_Z) return x;
	reach own = reach_of(w, p, x, after, false), across = reach_of(w, p, other, after, false);
	return free_end(a, x, &own) < 0 && free_end(a, other, &across) >= 0 ? other : x;
}

/* Less than this is packed with offcuts, not propped. Common practice, no source. */
enum { PACKED_MM = 50 };

static void hold_part(order_work *w, model_step *s, model_ref p, const bool *after, textbuf *t) {
	const model_part *a = part_of(w, p);
	size_t row = (size_t)(s - w->m->order.steps.v);
	rat low = ground(w, after);
	if (!rat_ok(low) || rat_le(a->box.lo[AXIS_Z], low)) return; /* it stands on the floor */
	axis x = hanging_along(w, p, after);
	reach carried = reach_of(w, p, x, after, false), held = reach_of(w, p, x, after, true);
	int hangs = free_end(a, x, &carried), free = free_end(a, x, &held);
	const char *name = order_spoken(w->mem, a->name);
	textbuf line = textbuf_begin(w->mem);
	if (!held.any) return; /* placed, not joined */
	if (!carried.any)
		textbuf_printf(&line, "Nothing carries %s until it is fastened", name);
	else if (hangs >= 0)
		textbuf_printf(&line, "Only the %s end of %s is carried until it is fastened",
			       FACE_NAME[face_opposite((face)hangs)], name);
	uint32_t until = free >= 0 ? held_from(w, p, x, after, row) : 0;
	if (free >= 0) {
		textbuf_printf(&line, "%s the %s end%s%s", line.n ? ", and nothing" : "Nothing carries",
			       FACE_NAME[free], line.n ? "" : arena_printf(w->mem, " of %s", name),
			       until ? arena_printf(w->mem, " until step %u", until) : "");
	}
	if (!line.n) return;
	bool two = !carried.any && order_rat_mm(box_size(a->box, x)) > ONE_SPANS_MM;
	model_ref under = below(w, p, x, free >= 0 ? free : hangs, after);
	rat high = rat_sub(a->box.lo[AXIS_Z], under == MODEL_NONE ? low : part_of(w, under)->box.hi[AXIS_Z]);
	bool glued = only_glued(w, p, after), stays = until || glued;
	textbuf_printf(&line, ": %s it %s up from %s%s%s.", order_rat_mm(high) < PACKED_MM ? "pack" : "prop",
		       quant_show_length(w->mem, high, w->m->measures, false),
		       under == MODEL_NONE ? "the ground" : order_spoken(w->mem, part_of(w, under)->name),
		       two     ? (stays ? ", have a helper at one end" : ", and have a helper at one end")
		       : stays ? ""
			       : " or let a helper hold it",
		       until   ? ", and leave that there until then"
		       : glued ? ", and leave that there until the glue has set"
			       : "");
	sentence(t, line.v);
	if (two && s->helpers < 1) s->helpers = 1;
}

/* Is something fixed from below to what stands? Then that has to be laid over. */
static bool from_below(const order_work *w, const model_step *s, const bool *before) {
	for (size_t i = 0; i < w->m->joints.n; i++) {
		const model_joint *j = &w->m->joints.v[i];
		model_ref op = w->joint_op[i];
		if (w->role[i] != ROLE_ITEM || op == MODEL_NONE || &w->m->order.steps.v[w->ops.v[op].step] != s)
			continue;
		bool a = part_of(w, j->a)->kind == PART_ITEM;
		face out = a ? face_opposite(j->face_a) : j->face_a; /* of the part that stands, towards the thing */
		if (out == FACE_BOTTOM && before[a ? j->b : j->a]) return true;
	}
	return false;
}

static void lay_over(order_work *w, model_step *s, const bool *before, textbuf *t) {
	double kg = 0;
	for (size_t i = 0; i < w->m->parts.n; i++)
		if (before[i] && isfinite(w->m->parts.v[i].mass_kg)) kg += w->m->parts.v[i].mass_kg;
	if (!from_below(w, s, before) || !(kg > 0)) return;
	sentence(t, arena_printf(
			    w->mem,
			    "The place is underneath: lay what stands on its back or a side first. It weighs %s; half "
			    "of that is on the hands when it is tipped over an edge.",
			    quant_show_mass(w->mem, kg, w->m->measures)));
	s->lift_kg = fmax(s->lift_kg, kg / 2);
	if (lift_helpers(s->lift_kg) > s->helpers) s->helpers = lift_helpers(s->lift_kg);
}

void order_hands_step(order_work *w, model_step *s, const bool *before, const bool *after) {
	textbuf t = textbuf_begin(w->mem);
	for (size_t i = 0; i < s->new_parts.n; i++) {
		model_ref p = s->new_parts.v[i];
		if (w->bench[p] == MODEL_NONE && w->of[p].fit == MODEL_NONE && w->of[p].door == MODEL_NONE)
			hold_part(w, s, p, after, &t);
	}
	lay_over(w, s, before, &t);
	s->hold = t.n ? t.v : NULL;
}

/* ---- hours ------------------------------------------------------------------------------------------------ */

typedef struct booked { /* a step in the hours of two people */
	double ready, end;
	double tail;   /* minutes until all is over, from where it begins, waits included */
	uint32_t left; /* links from steps not booked yet */
	bool done;
} booked;

static void book_one(order_work *w, booked *b, size_t row, double free_at[2]) {
	const model_step *s = &w->m->order.steps.v[row];
	int who = free_at[0] <= free_at[1] ? 0 : 1;
	double from = fmax(b[row].ready, s->helpers ? fmax(free_at[0], free_at[1]) : free_at[who]);
	b[row].end = from + s->minutes;
	b[row].done = true;
	free_at[who] = b[row].end;
	if (s->helpers) free_at[0] = free_at[1] = b[row].end;
	for (size_t i = 0; i < w->links.n; i++) {
		const order_link *l = &w->links.v[i];
		model_ref to = w->ops.v[l->after].step;
		if (w->ops.v[l->before].step != row || to == row) continue;
		b[to].left--;
		b[to].ready = fmax(b[to].ready, b[row].end + w->ops.v[l->before].wait_minutes);
	}
}

/* The longest chain from each step on: links lead to later steps only. */
static void tails(const order_work *w, booked *b) {
	const model_order *r = &w->m->order;
	for (size_t i = r->steps.n; i > 0; i--) {
		booked *own = &b[i - 1];
		own->tail = r->steps.v[i - 1].minutes + r->steps.v[i - 1].wait_minutes;
		for (size_t k = 0; k < w->links.n; k++) {
			const model_op *from = &w->ops.v[w->links.v[k].before];
			model_ref to = w->ops.v[w->links.v[k].after].step;
			if (from->step != i - 1 || to == i - 1) continue;
			own->tail = fmax(own->tail, r->steps.v[i - 1].minutes + from->wait_minutes + b[to].tail);
		}
	}
}

/* Which step two people take next of those that may begin: the first of the order; or the one that can begin first, of
 * equals the first of the order, or the one that most hangs on. */
typedef enum sharing { SHARE_AS_TOLD, SHARE_SOONEST, SHARE_LONGEST, SHARINGS } sharing;

/* Two people, step by step. Where a helper is wanted both are at it. */
static double two_people(order_work *w, sharing how) {
	model_order *r = &w->m->order;
	booked *b = ARENA_MANY(w->mem, booked, r->steps.n + 1);
	double free_at[2] = {0, 0}, over = 0;
	tails(w, b);
	for (size_t i = 0; i < w->links.n; i++) {
		model_ref from = w->ops.v[w->links.v[i].before].step, to = w->ops.v[w->links.v[i].after].step;
		if (from != to) b[to].left++;
	}
	for (size_t n = 0; n < r->steps.n; n++) {
		size_t best = r->steps.n;
		double begin = INFINITY;
		for (size_t i = 0; i < r->steps.n; i++) {
			if (b[i].done || b[i].left) continue;
			double at = r->steps.v[i].helpers ? fmax(free_at[0], free_at[1]) : fmin(free_at[0], free_at[1]);
			at = fmax(at, b[i].ready);
			bool longer = how == SHARE_LONGEST && at == begin && b[i].tail > b[best].tail;
			if (!(at < begin) && !longer) continue;
			begin = at;
			best = i;
			if (how == SHARE_AS_TOLD) break;
		}
		book_one(w, b, best, free_at);
		over = fmax(over, b[best].end + r->steps.v[best].wait_minutes);
	}
	return over;
}

/* The first step that has to wait for what dries here; the number of steps when none does. */
static size_t first_waiting(const order_work *w, size_t row) {
	size_t first = w->m->order.steps.n;
	for (size_t i = 0; i < w->links.n; i++) {
		const model_op *o = &w->ops.v[w->links.v[i].before];
		size_t to = w->ops.v[w->links.v[i].after].step;
		if (o->step == row && o->wait_minutes > 0 && to != row && to < first) first = to;
	}
	return first;
}

static const char *meanwhile(const order_work *w, size_t row, size_t first) {
	size_t n = w->m->order.steps.n;
	if (first == n) return "While it dries go on with what is left.";
	if (first == row + 1)
		return arena_printf(w->mem, "While it dries nothing else is left to do: step %zu waits for it.",
				    first + 1);
	if (first == row + 2)
		return arena_printf(w->mem, "While it dries go on with step %zu; step %zu waits for it.", row + 2,
				    first + 1);
	return arena_printf(w->mem, "While it dries go on with steps %zu to %zu; step %zu waits for it.", row + 2,
			    first, first + 1);
}

/* Operations before (or after) this one, by the links. */
static void reached_from(const order_work *w, model_ref op, bool forward, bool *seen) {
	seen[op] = true;
	for (bool again = true; again;) {
		again = false;
		for (size_t i = 0; i < w->links.n; i++) {
			model_ref from = forward ? w->links.v[i].before : w->links.v[i].after;
			model_ref to = forward ? w->links.v[i].after : w->links.v[i].before;
			if (seen[from] && !seen[to]) again = seen[to] = true;
		}
	}
}

/* One person's idle time before the step that waits, and whether work is to be had for it in any order: what comes
 * neither before nor after the thing that dries. */
static void idle(order_work *w, model_step *s, size_t row, size_t first) {
	model_ref last = MODEL_NONE; /* what is dry last */
	double dry = 0;
	for (size_t i = 0; i < w->links.n; i++) {
		model_ref op = w->links.v[i].before;
		const model_op *o = &w->ops.v[op];
		double ends = w->begun[op] + o->minutes + o->wait_minutes;
		if (o->step != row || w->ops.v[w->links.v[i].after].step != first || !(o->wait_minutes > 0)) continue;
		if (ends > dry) dry = ends, last = op;
	}
	const model_step *next = &w->m->order.steps.v[first], *busy = &w->m->order.steps.v[first - 1];
	model_ref before = busy->ops.v[busy->ops.n - 1];
	if (last == MODEL_NONE) return;
	double from = w->begun[before] + w->ops.v[before].minutes;
	s->idle_minutes = fmax(0, w->begun[next->ops.v[0]] - fmax(from, w->begun[last] + w->ops.v[last].minutes));
	bool *seen = ARENA_MANY(w->mem, bool, w->ops.n + 1);
	reached_from(w, last, true, seen);
	bool *earlier = ARENA_MANY(w->mem, bool, w->ops.n + 1);
	reached_from(w, last, false, earlier);
	double least = w->ops.v[last].wait_minutes;
	for (size_t i = 0; i < w->ops.n; i++)
		if (!seen[i] && !earlier[i]) least -= w->ops.v[i].minutes;
	s->idle_least = fmin(s->idle_minutes, fmax(0, least));
}

void order_hands_hours(order_work *w) {
	model_order *r = &w->m->order;
	r->two_people_minutes = r->elapsed_minutes; /* one beside the other; no way of sharing is always the best */
	for (sharing how = 0; how < SHARINGS; how++)
		r->two_people_minutes = fmin(r->two_people_minutes, two_people(w, how));
	for (size_t i = 0; i < r->steps.n; i++) {
		model_step *s = &r->steps.v[i];
		if (s->helpers) r->helped_minutes += s->minutes;
		if (!(s->wait_minutes > 0) || i + 1 == r->steps.n) continue;
		size_t first = first_waiting(w, i);
		s->meanwhile = meanwhile(w, i, first);
		if (first < r->steps.n) idle(w, s, i, first);
	}
}
