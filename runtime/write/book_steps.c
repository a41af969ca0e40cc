/* The steps: what goes in, a picture of what is there so far, sentences, a check. */
#include <math.h>
#include <string.h>

#include "runtime/base/text.h"
#include "runtime/write/book_build.h"

/* Facts stand in a narrow column on the left, the picture beside them. */
enum {
	FACTS = 56,
	PICTURE = 118,
	PICTURE_LEAST = 50,
	PICTURE_MOST = 134,
	COLUMN_MOST = 150, /* with close-ups in it */
	MOST_FACTS = 6,
	FEW_FACTS = 2
};

typedef struct block { /* a piece that is not torn apart */
	display *d;
	double h;
} block;
typedef LIST(block) blocks;

typedef struct step_size {   /* what the height of a step is made of; the picture may be higher or lower */
	bool caution_beside; /* in the column of facts */
	size_t close_beside; /* so many close-ups in the column of facts */
	bool drawn;
	double top, facts; /* y below the heading, below the facts */
	double boxed;	   /* height of the caution in the column of facts; INFINITY: it cannot stand there */
	double used;	   /* of the column, before the close-ups */
	double column;	   /* y below all that stands in it */
	double bare;	   /* height of the head without a picture */
	double rest;	   /* of what stands below the head */
} step_size;

typedef struct book_step { /* what is known of a step in this run */
	book_lines lines;
	model_ref *close; /* joints that are drawn close up */
	size_t n_close;
	LIST(step_size) sizes;
} book_step;

typedef struct step_page { /* one step, measured before it is placed */
	const model_step *s;
	size_t number; /* from 1 */
	book_lines lines;
	const char *caution;
	sheetform_signal signal;
	bool measuring; /* no picture is drawn */
	bool pictured;	/* it has a picture */
	bool terse;	/* few parts are listed: the sentences name them anyway */
	const book_step *known;
	display *head; /* heading, facts and picture */
	double head_h;
	step_size size;
	blocks rest; /* what stands below the head */
} step_page;

static bool picture(book *b, const step_page *p, display_box box) {
	if (!book_step_pictured(b, p->number - 1)) return false;
	if (p->measuring || !b->total) return true; /* the first run only counts pages */
	size_t heavy;
	view_scene scene = book_step_scene(b, p->number - 1, &heavy);
	view_options options = {.corner = book_reveal(b, &scene), .measures = b->m->measures};
	view_draw(p->head, box, &scene, &options);
	return true;
}

static const display_style FACT_HEAD = {.cap = CAP_SMALL, .grey = 0.3};

/* Over the facts; where facts lie side by side it stands before them, see facts(). */
static double fact_head(const step_page *p, display *d, double y, const char *text) {
	if (!p->pictured) return y;
	display_text_style(d, 0, y + CAP_SMALL, &FACT_HEAD, text);
	return y + 4.6;
}

/* A number in a circle, the name, its size under it. */
static double part_fact(book *b, display *d, double y, const book_item *x, size_t count) {
	const double r = 2.7;
	display_circle(d, PEN_DIM, FILL_WHITE, r, y + r, r);
	display_textf(d, r, y + r + CAP_SMALL / 2, CAP_SMALL, ALIGN_CENTRE, "%u", x->number);
	const char *name = book_item_name(b, x);
	if (count > 1) name = arena_printf(b->mem, "%s × %zu", name, count);
	const char *const *lines;
	size_t n = display_wrap(b->mem, FONT_REGULAR, 2.2, FACTS - 8, name, &lines);
	for (size_t i = 0; i < n; i++, y += i < n ? 3.4 : 0) display_text(d, 7.2, y + 2.9, 2.2, ALIGN_LEFT, lines[i]);
	const char *size = book_part_size(b, &b->m->parts.v[x->first], true);
	display_text_style(d, 7.2, y + 6.5, &(display_style){.cap = CAP_SMALL, .grey = 0.25},
			   display_fit(b->mem, FONT_REGULAR, CAP_SMALL, FACTS - 8, size));
	if (x->made) {
		const char *anchor = book_part_anchor(b, x);
		if (book_page_of(b, anchor)) display_link_to(d, display_box_of(0, y, FACTS, 7), anchor);
	}
	return y + 8.6;
}

static double parts_facts(book *b, display *d, double y, const step_page *p) {
	bool in = p->s->new_parts.n > 0;
	bool head = false;
	size_t shown = 0, more = 0;
	if (!in && (p->s->kind == OP_CUT || p->s->kind == OP_BUY)) return y; /* the sentence names them all */
	const bool *handled = book_step_handles(b, p->s);
	for (size_t i = 0; i < b->items.n; i++) {
		const book_item *x = &b->items.v[i];
		size_t count = 0;
		for (size_t k = 0; k < x->parts.n; k++)
			count += in ? book_step_new(p->s, x->parts.v[k]) : handled[x->parts.v[k]];
		if (!count) continue;
		if (!head) y = fact_head(p, d, y, in ? "Goes in" : "You work on"), head = true;
		if (shown == (p->terse ? FEW_FACTS : MOST_FACTS)) {
			more++;
			continue;
		}
		y = part_fact(b, d, y, x, count), shown++;
	}
	if (more) {
		display_textf(d, 7.2, y + 2.6, 2.2, ALIGN_LEFT, "and %zu more", more);
		y += 5;
	}
	return head ? y + 1.5 : y;
}

static double tools_facts(book *b, display *d, double y, const step_page *p) {
	const model *m = b->m;
	const display_style style = {.cap = 2.2};
	bool head = false;
	for (model_ref t = 0; t < m->tools.n; t++) {
		if (!book_step_uses(b, p->s, t)) continue;
		if (!head) y = fact_head(p, d, y, "Tools"), head = true;
		const char *label = m->tools.v[t].label ? m->tools.v[t].label : m->tools.v[t].name;
		y = display_paragraph(d, 0, y, FACTS, &style, book_title_case(b, label)) + 0.6;
	}
	book_lines needed = {0};
	book_step_needs(b, p->s, &needed);
	for (size_t i = 0; i < needed.v.n; i++) {
		if (!head) y = fact_head(p, d, y, "Tools"), head = true;
		const char *text = arena_printf(b->mem, "%s, not in the plan's tools", needed.v.v[i]);
		y = display_paragraph(d, 0, y, FACTS, &style, book_title_case(b, text)) + 0.6;
	}
	return head ? y + 1.5 : y;
}

/* Returns the y below its rule. */
static double heading(book *b, const step_page *p) {
	display *d = p->head;
	double w = d->w;
	textbuf time = textbuf_begin(b->mem);
	if (p->s->minutes > 0) textbuf_printf(&time, "about %s", book_about(b, p->s->minutes));
	if (p->s->wait_minutes > 0)
		textbuf_printf(&time, "%sthen wait %s", time.n ? ", " : "", book_hours(b, p->s->wait_minutes));
	const char *number = arena_printf(b->mem, "%zu", p->number);
	display_bold(d, 0, CAP_COVER, CAP_COVER, ALIGN_LEFT, number);
	double x = display_text_width(FONT_BOLD, CAP_COVER, number) + 5;
	double room = w - x - (time.n ? display_text_width(FONT_REGULAR, 2.2, time.v) + 6 : 0);
	double cap = display_text_width(FONT_BOLD, 4.0, p->s->title) <= room ? 4.0 : CAP_TITLE;
	const char *const *lines;
	size_t n = display_wrap(b->mem, FONT_BOLD, cap, room, p->s->title, &lines);
	double below = CAP_COVER;
	for (size_t i = 0; i < n; i++) {
		if (i) below += DISPLAY_LEADING(cap);
		display_bold(d, x, below, cap, ALIGN_LEFT, lines[i]);
	}
	if (time.n) display_text(d, w, CAP_COVER, 2.2, ALIGN_RIGHT, time.v);
	display_segment(d, PEN_EDGE, 0, below + 3, w, below + 3);
	display_anchor_at(d, arena_printf(b->mem, "step:%zu", p->number), 0, 0);
	return below + 3;
}

/* ---- sentences, cautions, check, reasons ------------------------------------------------------------------ */

static display *add_block(book *b, blocks *l, double width) {
	display *d = display_begin(b->mem, width, 2000);
	LIST_PUSH(b->mem, l, ((block){d, 0}));
	return d;
}

static void end_block(blocks *l, double height) { l->v[l->n - 1].h = height; }

static void caution_block(book *b, blocks *l, double w, sheetform_signal signal, const char *text) {
	display *d = add_block(b, l, w);
	end_block(l, sheetform_caution(d, 0, 0, w, signal, text) + 3);
}

static void paragraph_block(book *b, blocks *l, double w, const display_style *style, double gap, const char *text) {
	display *d = add_block(b, l, w);
	end_block(l, display_paragraph(d, 0, 0, fmin(w, 158), style, text) + gap);
}

static void check_block(book *b, blocks *l, double w, const char *text) {
	display *d = add_block(b, l, w);
	const display_style style = {.cap = CAP_BODY};
	display_text_style(d, 0, 2 + CAP_SMALL, &(display_style){.cap = CAP_SMALL, .grey = 0.3},
			   "Check before you go on");
	display_tick_box(d, 0, 9.4, 3.4);
	end_block(l, display_paragraph(d, 7, 6.4, fmin(w, 158) - 7, &style, text) + 3);
}

/* Close-ups for which the column of facts had no room, and where like ones are. */
static void joints_block(book *b, blocks *l, double w, const step_page *p) {
	size_t beside = p->size.close_beside;
	if (p->known->n_close > beside) {
		display *d = add_block(b, l, w);
		end_block(l, book_joints_rows(b, d, p->known->close + beside, p->known->n_close - beside));
	}
	const char *earlier = book_joints_earlier(b, p->number - 1);
	if (earlier) paragraph_block(b, l, w, &(display_style){.cap = BOOK_SMALL, .grey = 0.2}, 1.4, earlier);
}

static blocks rest_of(book *b, const step_page *p, double w) {
	const model_step *s = p->s;
	const display_style body = {.cap = CAP_BODY}, small = {.cap = BOOK_SMALL, .grey = 0.2};
	blocks l = {0};
	if (s->note) paragraph_block(b, &l, w, &body, 2.4, s->note);
	if (p->caution && !p->size.caution_beside) caution_block(b, &l, w, p->signal, p->caution);
	joints_block(b, &l, w, p);
	for (size_t i = 0; i < p->lines.v.n; i++) {
		display *d = add_block(b, &l, w);
		end_block(&l, sheetform_item(d, 0, 0, p->terse ? w : fmin(w, 162),
					     p->lines.v.n > 1 ? (unsigned)i + 1 : 0, p->lines.v.v[i]));
	}
	if (s->check) check_block(b, &l, w, book_capital(b, s->check));
	const char *why = book_why(b, p->number - 1);
	if (why) paragraph_block(b, &l, w, &small, 1.4, why);
	return l;
}

static double blocks_height(const blocks *l) {
	double h = 0;
	for (size_t i = 0; i < l->n; i++) h += l->v[i].h;
	return h;
}

/* How many close-ups stand in the column of facts, `used` mm of which are taken: what makes the step shortest. */
static size_t column_holds(book *b, const book_step *k, double used, double picture_high) {
	size_t best = 0;
	double column = used, least = 0;
	for (size_t i = 0; i <= k->n_close; i++) {
		if (i) column += 1 + book_joint_height(b, k->close[i - 1]);
		if (i && column > COLUMN_MOST) break;
		double high = fmax(column, picture_high) + book_joints_rows_height(b, k->close + i, k->n_close - i);
		if (i == 0 || high < least + 0.5) least = high, best = i;
	}
	return best;
}

/* What the facts leave free beside the picture takes the caution. */
static bool caution_fits(const step_size *z, double picture_high) {
	return z->facts - z->top + z->boxed <= picture_high + 6;
}

static double picture_room(const step_size *z, double picture_high) {
	return fmax(picture_high, fmin(z->column - z->top, PICTURE_MOST));
}

static double head_height(const step_size *z, double picture_high) {
	return z->drawn ? fmax(z->column, z->top + picture_room(z, picture_high)) + 3 : z->bare;
}

static double hands_facts(book *b, display *d, double y, const step_page *p) {
	if (!p->s->helpers) return y;
	y = fact_head(p, d, y, "Hands");
	display_textf(d, 0, y + 2.2, 2.2, ALIGN_LEFT, "you and %u %s: up to %s is moved", p->s->helpers,
		      p->s->helpers == 1 ? "helper" : "helpers", book_si(b, DIM_MASS, p->s->lift_kg));
	return y + 6;
}

/* One under another beside the picture. Without one they are side by side, and the sentences below as wide as the
 * page. */
static double facts(book *b, const step_page *p, double top) {
	const struct {
		const char *head;
		double (*draw)(book *, display *, double, const step_page *);
	} kind[] = {{p->s->new_parts.n ? "Goes in" : "You work on", parts_facts},
		    {"Tools", tools_facts},
		    {"Hands", hands_facts}};
	double x = 0, y = top, low = top;
	for (size_t i = 0; i < sizeof kind / sizeof *kind; i++) {
		display *d = book_block(b);
		double high = kind[i].draw(b, d, 0, p), before = 0;
		if (!(high > 0)) continue;
		if (!p->pictured) {
			before = display_text_width(FONT_REGULAR, CAP_SMALL, kind[i].head) + 3;
			if (x + before + display_bounds(d).x1 > p->head->w) x = 0, y = low;
			display_text_style(p->head, x, y + CAP_BODY, &FACT_HEAD, kind[i].head);
		}
		display_place(p->head, d, x + before, y, 1);
		low = fmax(low, y + high);
		if (p->pictured)
			y += high;
		else
			x += before + display_bounds(d).x1 + 8;
	}
	return low;
}

static void make_head(book *b, step_page *p, double picture_high) {
	p->head = book_block(b);
	step_size *z = &p->size;
	z->top = heading(b, p) + 4;
	p->pictured = book_step_pictured(b, p->number - 1);
	double y = facts(b, p, z->top);
	z->facts = y, z->boxed = INFINITY;
	double side = p->head->w - PICTURE;
	if (p->caution && p->pictured) z->boxed = sheetform_caution_height(b->mem, FACTS, p->signal, p->caution);
	if (caution_fits(z, picture_high)) {
		y = sheetform_caution(p->head, 0, y + 1, FACTS, p->signal, p->caution) + 1;
		z->caution_beside = true;
	}
	z->used = y - z->top;
	z->close_beside = column_holds(b, p->known, z->used, picture_high);
	for (size_t i = 0; i < z->close_beside; y += 1 + book_joint_height(b, p->known->close[i]), i++)
		book_joint(b, p->head, 0, y + 1, p->known->close[i]);
	z->column = y;
	z->drawn = picture(b, p, display_box_of(side, z->top, PICTURE, picture_room(z, picture_high)));
	p->rest = rest_of(b, p, book_width(b));
	z->bare = y + 1;
	p->head_h = head_height(z, picture_high);
	z->rest = blocks_height(&p->rest);
}

static step_page make_step(book *b, size_t i, double picture_high, bool measuring, bool terse) {
	step_page p = {.s = &b->m->order.steps.v[i], .number = i + 1, .measuring = measuring, .terse = terse};
	p.known = &b->step[i];
	p.lines = p.known->lines;
	p.caution = book_step_caution(b, p.s, &p.signal);
	make_head(b, &p, picture_high);
	return p;
}

/* What is known of the step for a picture of that height: heights differ in what finds room beside the picture. */
static const step_size *size_for(book *b, const book_step *k, double picture_high) {
	for (size_t i = 0; i < k->sizes.n; i++) {
		const step_size *z = &k->sizes.v[i];
		if (z->caution_beside == caution_fits(z, picture_high) &&
		    z->close_beside == column_holds(b, k, z->used, picture_high))
			return z;
	}
	return NULL;
}

static double step_height(book *b, size_t i, double picture_high) {
	book_step *k = &b->step[i];
	const step_size *z = size_for(b, k, picture_high);
	if (!z) {
		arena scratch = arena_lend(b->mem), *mem = b->mem;
		b->mem = &scratch;
		step_size now = make_step(b, i, picture_high, true, false).size;
		b->mem = mem;
		arena_return(mem, &scratch);
		LIST_PUSH(mem, &k->sizes, now);
		z = &k->sizes.v[k->sizes.n - 1];
	}
	return head_height(z, picture_high) + z->rest;
}

/* ---- which steps share a page ------------------------------------------------------------------------------- */

enum { STEP_GAP = 8, HIGH_STEP = 6, PAGE_COST = 60 };

typedef struct step_plan { /* of the pages from one step on */
	double cost;
	size_t n;     /* steps on the first of these pages */
	size_t grown; /* by how many HIGH_STEP their pictures grow beyond the least, where they have a use for it */
} step_plan;

/* So many heights of a picture are tried. */
enum { HEIGHTS = (PICTURE_MOST - PICTURE_LEAST) / HIGH_STEP + 1 };

typedef struct step_heights { /* of one step */
	size_t use;	      /* beyond so many HIGH_STEP a picture as wide as it may be grows no more */
	bool drawn;	      /* it has a picture */
	double high[HEIGHTS]; /* of the whole step by its picture's; 0: not measured yet */
} step_heights;

static step_heights heights_of(book *b, size_t i) {
	step_heights h = {.use = 0};
	h.drawn = book_step_pictured(b, i);
	if (!h.drawn) return h;
	size_t heavy;
	view_scene scene = book_step_scene(b, i, &heavy);
	view_options options = {.corner = VIEW_FRONT_RIGHT_TOP, .measures = b->m->measures};
	double useful = fmin(view_height(&scene, &options, PICTURE), PICTURE_MOST) - PICTURE_LEAST;
	if (useful > 0) h.use = (size_t)ceil(useful / HIGH_STEP - 1e-9);
	return h;
}

static double high_of(const step_heights *h, size_t grown) {
	return PICTURE_LEAST + HIGH_STEP * (double)(grown < h->use ? grown : h->use);
}

static double group_height(book *b, step_heights *step, size_t first, size_t n, size_t grown) {
	double sum = (double)(n - 1) * STEP_GAP;
	for (size_t i = first; i < first + n; i++) {
		double *high = &step[i].high[grown < step[i].use ? grown : step[i].use];
		if (!(*high > 0)) *high = step_height(b, i, high_of(&step[i], grown));
		sum += *high;
	}
	return sum;
}

/* Little on each of two pages is better than much on one. */
static double blank_cost(double blank) { return 0.1 * blank + 0.001 * blank * blank; }

/* What a page with these steps costs the reader: the page, and pictures that are smaller than they should be. */
static double group_cost(const step_heights *step, size_t first, size_t n, size_t grown, double blank) {
	const double wanted = 100;
	double cost = PAGE_COST + blank_cost(blank);
	for (size_t i = first; i < first + n; i++) {
		double most = fmin(high_of(&step[i], HEIGHTS), wanted);
		double lacks = step[i].drawn ? fmax(0, most - high_of(&step[i], grown)) : 0;
		cost += 0.15 * lacks + 0.012 * lacks * lacks;
	}
	return cost;
}

/* The best page that begins with `first`, when the pages after it are planned. */
static step_plan best_page(book *b, step_heights *step, const step_plan *plan, size_t first, double room) {
	size_t all = b->m->order.steps.n;
	step_plan best = {.cost = INFINITY};
	for (size_t n = 1; first + n <= all; n++) {
		size_t grown = 0;
		double takes = group_height(b, step, first, n, grown);
		if (takes > room && n > 1) break;
		while (grown + 1 < HEIGHTS) {
			double higher = group_height(b, step, first, n, grown + 1);
			if (higher > room) break;
			grown++, takes = higher;
		}
		double blank = first + n == all ? 0 : fmax(0, room - takes);
		double cost = group_cost(step, first, n, grown, blank) + plan[first + n].cost;
		if (cost < best.cost) best = (step_plan){cost, n, grown};
	}
	return best;
}

static void place_step(book *b, size_t i, double high) {
	double page = b->area.y1 - b->area.y0, gap = b->y > b->area.y0 + 1 ? STEP_GAP : 0;
	step_page p = make_step(b, i, high, false, false);
	double all = p.head_h + p.size.rest;
	if (all > page) { /* too long for a page, but perhaps not when its head is kept short */
		step_page brief = make_step(b, i, PICTURE_LEAST, false, true);
		double less = brief.head_h + brief.size.rest;
		if (less <= page) p = brief, all = less;
	}
	bool whole = gap + all <= book_left(b) + 0.01;
	/* A step that fits no page whole begins where its picture and a few lines still have room. */
	bool begin = all > page && gap + p.head_h + 30 <= book_left(b);
	if (!whole && !begin && gap > 0) book_page(b), gap = 0;
	b->y += gap;
	display_bookmark_at(b->page, 2, arena_printf(b->mem, "%zu  %s", p.number, p.s->title), b->y);
	book_place(b, p.head, p.head_h);
	for (size_t k = 0; k < p.rest.n; k++) book_place(b, p.rest.v[k].d, p.rest.v[k].h);
}

/* Pages are planned from the last one back, so that few are needed and their pictures are large. */
static void place_steps(book *b) {
	size_t n = b->m->order.steps.n;
	double page = b->area.y1 - b->area.y0, first = book_left(b) - STEP_GAP;
	step_heights *step = ARENA_MANY(b->mem, step_heights, n + 1);
	step_plan *plan = ARENA_MANY(b->mem, step_plan, n + 1);
	for (size_t i = 0; i < n; i++) step[i] = heights_of(b, i);
	for (size_t i = n; i-- > 0;) plan[i] = best_page(b, step, plan, i, i ? page : first);
	step_plan now = {.n = 0};
	size_t begun = 0; /* pages when the last group was */
	for (size_t i = 0; i < n; i += now.n) {
		now = plan[i];
		/* A step that is longer than a page leaves room on its last one. */
		double left = book_left(b) - STEP_GAP;
		bool spilled = i && b->pages.n > begun;
		step_plan here = spilled ? best_page(b, step, plan, i, left) : now;
		bool fits = spilled && group_height(b, step, i, here.n, here.grown) <= left;
		if (fits && here.cost - PAGE_COST < now.cost + blank_cost(left))
			now = here;
		else if (i)
			book_page(b);
		begun = b->pages.n;
		for (size_t k = i; k < i + now.n; k++) place_step(b, k, high_of(&step[k], now.grown));
	}
}

void book_steps(book *b) {
	const model_order *o = &b->m->order;
	if (!o->steps.n) return;
	size_t both = 0;
	for (size_t i = 0; i < o->steps.n; i++) both += o->steps.v[i].helpers > 0;
	book_chapter(b, "Building it, step by step", "steps");
	book_paragraph(
		b, arena_printf(b->mem,
				"%s, about %s of work; from the first cut to the test about %s when the "
				"waits for glue and finish are used for other work. Two people need about %s; in %s, "
				"about %s, both are wanted at once. The longest chain of work and waits is "
				"about %s, however many help. Grey with heavy lines: what "
				"comes in or is worked on. "
				"Plain lines: what it is joined to. Light lines: what else is there already.",
				text_count(b->mem, o->steps.n, "step"), book_about(b, o->hands_on_minutes),
				book_about(b, o->elapsed_minutes), book_about(b, o->two_people_minutes),
				text_count(b->mem, both, "step"), book_about(b, o->helped_minutes),
				book_about(b, o->critical_path_minutes)));
	b->y += 3;
	b->step = ARENA_MANY(b->mem, book_step, o->steps.n);
	for (size_t i = 0; i < o->steps.n; i++) {
		book_step_words(b, &o->steps.v[i], &b->step[i].lines);
		b->step[i].n_close = book_joints_first(b, i, &b->step[i].close);
	}
	place_steps(b);
}
