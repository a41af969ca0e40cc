/* Coming out again: filters that are changed, fans that are mended, loose parts that are lifted out. */
#include "compiler/check_limits.h"
#include "compiler/check_use.h"
#include "compiler/check_util.h"
#include "compiler/way.h"
#include "runtime/engine/joint.h"

/* Ways that are looked for in a whole plan; each may take a tenth of a second. What is beyond is not judged. */
enum { MOST_LOOKS = 200 };

typedef struct out_work {
	way_scene scene;
	bool *bars; /* what the scene looks at */
	int *looks;
} out_work;

static bool goes_out(const out_work *w, model_ref thing) {
	--*w->looks;
	return way_out(&w->scene, w->scene.m->parts.v[thing].box, thing);
}

static bool is_stock(const model *m, const model_part *p, model_stock_kind kind) {
	return p->kind == PART_ITEM && p->stock < m->stocks.n && m->stocks.v[p->stock].kind == kind;
}

static bool comes_out(const model *m, const model_part *p) {
	if (p->kind == PART_GAP || p->kind == PART_DOOR) return false;
	return is_stock(m, p, STOCK_FILTER) || is_stock(m, p, STOCK_FAN) || (p->loose && p->kind != PART_ITEM);
}

/* All that stands when the work is done, doors open, loose parts and filters lifted out before; not what goes with
 * the thing. */
static bool *stands_about(const model *m, diags *d, model_ref thing) {
	bool *bars = ARENA_MANY(d->mem, bool, m->parts.n + 1);
	for (model_ref i = 0; i < m->parts.n; i++) {
		const model_part *p = &m->parts.v[i];
		bool made = model_part_made(m, p) && p->kind != PART_DOOR && !p->loose;
		bool item = p->kind == PART_ITEM && !is_stock(m, p, STOCK_FILTER) && !p->loose;
		bool own = i == thing || (m->parts.v[thing].loose && joint_between(m, thing, i));
		/* A thing that overlaps is in an opening for it, or told of already. */
		bars[i] = (made || item) && !own && !(item && box_overlap(p->box, m->parts.v[thing].box));
	}
	return bars;
}

/* Screws that hold a part; -1 when glue does, or nothing that can be undone. */
static int64_t screws_of(const model *m, model_ref part) {
	int64_t n = 0;
	for (size_t i = 0; i < m->joints.n; i++) {
		const model_joint *j = &m->joints.v[i];
		if (j->a != part && j->b != part) continue;
		if (j->glue || j->n_screws == 0) return -1;
		n += j->n_screws;
	}
	return n ? n : -1;
}

typedef struct release { /* one part that has to go first */
	model_ref part;	 /* NONE when no single one is enough */
	int64_t screws;	 /* -1: it is glued */
} release;

static double volume(const model_part *p) {
	double v = 1;
	for (int a = 0; a < 3; a++) v *= rat_double(box_size(p->box, (axis)a));
	return v;
}

/* The single part whose going lets the thing out: with the fewest screws, else the smallest that is glued. */
static release single_release(const out_work *w, model_ref thing) {
	const model *m = w->scene.m;
	bool *bars = w->bars;
	release best = {MODEL_NONE, -1};
	for (int glued = 0; glued < 2 && best.part == MODEL_NONE; glued++) {
		for (model_ref i = 0; i<m->parts.n && * w->looks> 0; i++) {
			int64_t n = screws_of(m, i);
			if (!bars[i] || (n < 0) != (glued == 1)) continue;
			if (best.part != MODEL_NONE &&
			    (glued ? volume(&m->parts.v[i]) >= volume(&m->parts.v[best.part]) : n >= best.screws))
				continue;
			bars[i] = false;
			/* What is undone has to get out of the way itself; what is glued is only named. */
			bool free = goes_out(w, thing);
			if (free && (glued || goes_out(w, i))) best = (release){i, n};
			bars[i] = true;
		}
	}
	return best;
}

/* With all that is only screwed taken away; *screws gets how many those are. */
static bool out_unscrewed(const out_work *w, model_ref thing, int64_t *screws) {
	const model *m = w->scene.m;
	bool *bars = w->bars;
	bool *gone = ARENA_MANY(w->scene.mem, bool, m->parts.n + 1);
	for (model_ref i = 0; i < m->parts.n; i++) gone[i] = bars[i] && screws_of(m, i) >= 0;
	*screws = 0;
	for (size_t i = 0; i < m->joints.n; i++)
		if (gone[m->joints.v[i].a] || gone[m->joints.v[i].b]) *screws += m->joints.v[i].n_screws;
	for (model_ref i = 0; i < m->parts.n; i++) bars[i] = bars[i] && !gone[i];
	bool out = goes_out(w, thing);
	for (model_ref i = 0; i < m->parts.n; i++) bars[i] = bars[i] || gone[i];
	return out;
}

static void tell_stuck(const way_scene *w, diags *d, model_ref thing, const release *by) {
	const model *m = w->m;
	const model_part *p = &m->parts.v[thing];
	diag *g = diag_error(d, "stuck-inside", p->at, "%s, %s x %s x %s, cannot come out again", p->name,
			     check_length(m, d, box_size(p->box, AXIS_X)), check_length(m, d, box_size(p->box, AXIS_Y)),
			     check_length(m, d, box_size(p->box, AXIS_Z)));
	way_passage best;
	if (by->part != MODEL_NONE)
		diag_add_note(d, g, m->parts.v[by->part].at, "%s bars its way", m->parts.v[by->part].name);
	if (way_widest(w, thing, &best))
		diag_add_note(d, g, best.at, "the widest way out is %s, %s x %s", best.name,
			      check_length(m, d, check_rounded(best.broad, 10)),
			      check_length(m, d, check_rounded(best.thin, 10)));
	else
		diag_add_note(d, g, span_none(), "the cabinet has no door, gap or loose part");
	if (by->part != MODEL_NONE)
		diag_add_help(d, g, "make a door of %s, say that it is `loose`, or hold it with screws and no glue",
			      m->parts.v[by->part].name);
	else
		diag_add_help(d, g, "give it a door, a loose panel or one that is screwed and not glued");
}

static void tell_screwed(const model *m, diags *d, model_ref thing, const release *by, int64_t screws, int64_t most) {
	const model_part *p = &m->parts.v[thing];
	diag *g =
		diag_warning(d, "screwed-shut", p->at, "%s comes out when %lld screws are undone, %lld more than %lld",
			     p->name, (long long)screws, (long long)(screws - most), (long long)most);
	if (by->part != MODEL_NONE)
		diag_add_note(d, g, m->parts.v[by->part].at, "they hold %s, which bars its way",
			      m->parts.v[by->part].name);
	else
		diag_add_note(d, g, span_none(),
			      "several parts bar its way together; all that are only screwed are counted");
	diag_add_help(d, g, "set the screws farther apart, make a door of it, or say that it is `loose`");
}

void check_comes_out(const model *m, diags *d) {
	int64_t most = rat_floor(check_limit(m, "screwed-shut"));
	int looks = MOST_LOOKS;
	for (model_ref i = 0; i < m->parts.n && looks > 0; i++) {
		const model_part *p = &m->parts.v[i];
		if (!comes_out(m, p)) continue;
		bool *bars = stands_about(m, d, i);
		const out_work w = {{.m = m, .mem = d->mem, .bars = bars}, bars, &looks};
		if (goes_out(&w, i)) continue;
		release by = single_release(&w, i);
		if (looks <= 0) return;
		int64_t screws = by.screws;
		if (by.part == MODEL_NONE || by.screws < 0) {
			if (!out_unscrewed(&w, i, &screws)) {
				tell_stuck(&w.scene, d, i, &by);
				continue;
			}
			by.part = MODEL_NONE;
		}
		/* A fan is mended once in years; a filter is changed, and what is loose is lifted out, all the time. */
		if (!is_stock(m, p, STOCK_FAN) && screws > most) tell_screwed(m, d, i, &by, screws, most);
	}
}
