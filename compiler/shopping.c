#include "compiler/shopping.h"

#include <math.h>

#include "runtime/engine/joint.h"

static const double PI = 3.14159265358979323846;

static const char *plural(uint64_t n) { return n == 1 ? "" : "s"; }

static int64_t packs_for(double amount, int64_t pack) {
	if (pack < 1) pack = 1;
	/* A length worked out in binary may lie a hair above a whole number: that is no reason to buy one more. */
	double packs = ceil(amount / (double)pack - 1e-9);
	return packs > 0 && packs < 1e12 ? (int64_t)packs : 0;
}

/* Bought by measure: the price is for one unit of it. */
static bool by_measure(model_stock_kind k) { return k == STOCK_GASKET || k == STOCK_MEDIA || k == STOCK_FINISH; }

static model_buy *add_at(model *m, model_ref stock, double amount, double to_buy, const char *unit, const char *reason,
			 int64_t price_cents) {
	const model_stock *s = &m->stocks.v[stock];
	model_buy *b = LIST_ADD(m->mem, &m->shopping);
	*b = (model_buy){
		.stock = stock, .what = s->label, .amount = amount, .unit = unit, .cents = -1, .reason = reason};
	b->packs = packs_for(to_buy, s->pack);
	int64_t units = by_measure(s->kind) && !model_on_rolls(s) && s->pack > 1 ? s->pack : 1;
	bool sane = price_cents >= 0 && price_cents < 1000000000000 && b->packs < 1000000 && units < 1000;
	if (sane) b->cents = b->packs * units * price_cents;
	return b;
}

static void add(model *m, model_ref stock, double amount, double to_buy, const char *unit, const char *reason) {
	add_at(m, stock, amount, to_buy, unit, reason, m->stocks.v[stock].price_cents);
}

typedef struct used { /* of one size of a stock, or of its offcuts */
	uint64_t n, parts;
} used;

static void count_used(used *u, bool same, size_t parts) {
	u->n += same;
	u->parts += same ? parts : 0;
}

/* Of that size, or of all offcuts. */
static used used_of(const model *m, model_ref stock, uint32_t size, bool offcuts) {
	used u = {0, 0};
	for (size_t i = 0; i < m->layout.sheets.n + m->layout.rolls.n; i++) {
		bool roll = i >= m->layout.sheets.n;
		const model_sheet_plan *q = roll ? &m->layout.rolls.v[i - m->layout.sheets.n] : &m->layout.sheets.v[i];
		bool same = q->stock == stock && (offcuts ? q->offcut : !q->offcut && q->size == size);
		count_used(&u, same, q->pieces.n);
	}
	for (size_t i = 0; i < m->layout.bars.n; i++) {
		const model_bar_plan *q = &m->layout.bars.v[i];
		bool same = q->stock == stock && (offcuts ? q->offcut : !q->offcut && q->size == size);
		count_used(&u, same, q->pieces.n);
	}
	return u;
}

static const char *size_label(model *m, const model_stock *s, const model_length size[2]) {
	if (model_on_rolls(s)) return arena_printf(m->mem, "%s, %s", s->label, model_roll_words(m, size[0].mm));
	const char *first = quant_show_length(m->mem, size[0].mm, m->measures, s->kind == STOCK_SHEET);
	if (s->kind != STOCK_SHEET) return arena_printf(m->mem, "%s, %s", s->label, first);
	return arena_printf(m->mem, "%s, %s x %s", s->label, first,
			    quant_show_length(m->mem, size[1].mm, m->measures, false));
}

/* A row for each size that is used. The first tells of the offcuts too; when offcuts are all, nothing is bought. */
static void buy_stock(model *m, model_ref stock) {
	const model_stock *s = &m->stocks.v[stock];
	const char *word = model_whole_word(s->kind), *what = model_on_rolls(s) ? "piece" : "part";
	used cut = used_of(m, stock, 0, true);
	bool several = false;
	for (size_t i = 0; i < s->sizes.n; i++) several = several || !s->sizes.v[i].offcut;
	for (uint32_t row = 0; row <= s->sizes.n; row++) {
		const model_size *z = row ? &s->sizes.v[row - 1] : NULL;
		used u = used_of(m, stock, row, false);
		if (u.n == 0 || (z && z->offcut)) continue;
		const char *reason = arena_printf(m->mem, "%llu %s%s on %llu %s%s", (unsigned long long)u.parts, what,
						  plural(u.parts), (unsigned long long)u.n, word, plural(u.n));
		if (cut.n)
			reason = arena_printf(m->mem, "%s, %llu on %llu offcut%s", reason,
					      (unsigned long long)cut.parts, (unsigned long long)cut.n, plural(cut.n));
		cut = (used){0, 0};
		int64_t on_hand = z ? z->on_hand : s->on_hand;
		double there = on_hand > 0 ? (double)on_hand : 0, need = (double)u.n;
		if (there > 0) reason = arena_printf(m->mem, "%s, %lld on hand", reason, (long long)on_hand);
		model_buy *b = add_at(m, stock, need, need > there ? need - there : 0, word, reason,
				      z ? z->price_cents : s->price_cents);
		if (b->packs == 0) b->cents = 0; /* all of it is on hand */
		if (several) b->what = size_label(m, s, z ? z->size : s->size);
	}
}

static void buy_screws(model *m, model_ref stock) {
	uint64_t screws = 0, joints = 0;
	for (size_t i = 0; i < m->joints.n; i++) {
		if (m->joints.v[i].screw != stock || m->joints.v[i].n_screws == 0) continue;
		screws += m->joints.v[i].n_screws;
		joints++;
	}
	if (screws == 0) return;
	add(m, stock, (double)screws, (double)screws, "piece",
	    arena_printf(m->mem, "%llu in %llu joint%s", (unsigned long long)screws, (unsigned long long)joints,
			 plural(joints)));
}

/* What is seated in openings, and the clamps round it. */
static void buy_seated(model *m, model_ref stock) {
	uint64_t pieces = 0;
	const char *reason = NULL;
	for (size_t i = 0; i < m->patterns.n; i++) {
		const model_pattern *p = &m->patterns.v[i];
		for (size_t k = 0; k < p->sheets.n; k++) {
			const model_sheet_of_pattern *s = &p->sheets.v[k];
			if (s->collar != stock && !(s->clamped && s->clamp == stock)) continue;
			pieces += p->axes.n;
			const char *one = arena_printf(m->mem, "%zu in %s of %s", p->axes.n, p->name,
						       m->parts.v[p->sheets.v[k].part].name);
			reason = reason ? arena_printf(m->mem, "%s, %s", reason, one) : one;
		}
	}
	if (pieces) add(m, stock, (double)pieces, (double)pieces, "piece", reason);
}

static void append(model *m, const char **reason, uint64_t n, const char *what) {
	if (n == 0) return;
	const char *one = arena_printf(m->mem, "%llu %s", (unsigned long long)n, what);
	*reason = *reason ? arena_printf(m->mem, "%s, %s", *reason, one) : one;
}

/* Items, filters and fans: parts of the cabinet, door hardware, and units that only the air names. */
static void buy_pieces(model *m, model_ref stock) {
	uint64_t parts = 0, hinges = 0, latches = 0, air = 0;
	for (size_t i = 0; i < m->parts.n; i++) {
		const model_part *p = &m->parts.v[i];
		if (p->stock == stock && p->kind == PART_ITEM) parts++;
		if (p->hinged && p->hinge == stock) hinges += p->n_hinges;
		if (p->latch == stock) latches++;
	}
	for (size_t i = 0; i < m->air.branches.n; i++) {
		const model_branch *b = &m->air.branches.v[i];
		bool unit = b->kind == AIR_FAN || b->kind == AIR_FILTER;
		if (unit && b->stock == stock && b->part == MODEL_NONE) air += b->count;
	}
	uint64_t all = parts + hinges + latches + air;
	if (all == 0) return;
	const char *reason = NULL;
	append(m, &reason, parts, "in the cabinet");
	append(m, &reason, hinges, hinges == 1 ? "as door hinge" : "as door hinges");
	append(m, &reason, latches, latches == 1 ? "as door latch" : "as door latches");
	append(m, &reason, air, "in the way of the air");
	add(m, stock, (double)all, (double)all, "piece", reason);
}

/* The cloth, tape and glue are told in the plan's measures. */
static bool inch(const model *m) { return m->measures == MEASURES_INCH; }

static const char *area_words(model *m, double m2) {
	return inch(m) ? arena_printf(m->mem, "%.2f ft²", m2 / (0.3048 * 0.3048)) : arena_printf(m->mem, "%.2f m²", m2);
}

double shopping_tube_mm(const model_branch *b) { return PI * b->hole_m * 1000 * (1 + SHOPPING_SEAM); }

double shopping_roll_m(double across_mm, double high_mm, uint64_t n, double roll_mm) {
	double least = (double)NAN;
	const double side[2] = {across_mm, high_mm};
	for (int way = 0; way < 2; way++) {
		double beside = floor(roll_mm / side[way] + 1e-9);
		if (!(beside >= 1)) continue;
		double length = ceil((double)n / beside) * side[1 - way] / 1000;
		least = isfinite(least) ? fmin(least, length) : length;
	}
	return least;
}

/* Cloth from a roll: its length, tubes of each branch for themselves. */
static void buy_roll(model *m, model_ref stock) {
	double metres = 0, roll = rat_double(m->stocks.v[stock].roll.mm);
	uint64_t tubes = 0;
	for (size_t i = 0; i < m->air.branches.n; i++) {
		const model_branch *b = &m->air.branches.v[i];
		if (b->kind != AIR_TUBES || b->stock != stock || !(b->hole_m * b->length_m > 0)) continue;
		double length = shopping_roll_m(shopping_tube_mm(b), b->length_m * 1000, b->count, roll);
		if (!isfinite(length)) continue; /* told by the rule `roll-narrow` */
		metres += length;
		tubes += b->count;
	}
	if (tubes == 0) return;
	add(m, stock, metres, metres, "m",
	    arena_printf(m->mem, "%llu tube%s, %s of a roll %s wide, %.0f %% for seams", (unsigned long long)tubes,
			 plural(tubes),
			 inch(m) ? arena_printf(m->mem, "%.2f ft", metres / 0.3048)
				 : arena_printf(m->mem, "%.2f m", metres),
			 inch(m) ? arena_printf(m->mem, "%.1f in", roll / 25.4) : arena_printf(m->mem, "%.0f mm", roll),
			 SHOPPING_SEAM * 100));
}

static void buy_media(model *m, model_ref stock) {
	double area = 0;
	uint64_t tubes = 0;
	if (rat_ok(m->stocks.v[stock].roll.mm)) {
		buy_roll(m, stock);
		return;
	}
	for (size_t i = 0; i < m->air.branches.n; i++) {
		const model_branch *b = &m->air.branches.v[i];
		double one = PI * b->hole_m * b->length_m;
		if (b->kind != AIR_TUBES || b->stock != stock || !isfinite(one) || !(one > 0)) continue;
		area += b->count * one;
		tubes += b->count;
	}
	if (tubes == 0) return;
	double cloth = area * (1 + SHOPPING_SEAM);
	add(m, stock, cloth, cloth, "m2",
	    arena_printf(m->mem, "%llu tube%s, %s, and %.0f %% for seams", (unsigned long long)tubes, plural(tubes),
			 area_words(m, area), SHOPPING_SEAM * 100));
}

static void buy_gasket(model *m, model_ref stock) {
	double metres = 0;
	uint64_t joints = 0;
	for (size_t i = 0; i < m->joints.n; i++) {
		model_gasket_run run;
		if (m->joints.v[i].gasket != stock || !joint_gasket(m, (model_ref)i, &run) || !rat_ok(run.length))
			continue;
		metres += rat_double(run.length) / 1000;
		joints++;
	}
	if (joints == 0) return;
	double tape = metres * (1 + SHOPPING_GASKET_WASTE);
	add(m, stock, tape, tape, "m",
	    arena_printf(m->mem, "%.2f %s in %llu joint%s, and %.0f %% for corners", inch(m) ? metres / 0.3048 : metres,
			 inch(m) ? "ft" : "m", (unsigned long long)joints, plural(joints),
			 SHOPPING_GASKET_WASTE * 100));
}

/* Area of the joints glued with that stock, or with glue that the plan does not name (MODEL_NONE); m2. */
static double glued_area(const model *m, model_ref stock, uint64_t *joints) {
	double area = 0;
	*joints = 0;
	for (size_t i = 0; i < m->joints.n; i++) {
		const model_joint *j = &m->joints.v[i];
		if (!j->glue || j->glue_stock != stock) continue;
		double one = joint_glue_m2(m->mem, m, (model_ref)i); /* bottoms, cheeks and shoulders */
		if (!isfinite(one)) continue;
		area += one;
		(*joints)++;
	}
	return area;
}

/* Joints that say `glue` and no more: a row without stock and price, that nobody stands there without glue. */
static void buy_plain_glue(model *m) {
	uint64_t joints;
	double area = glued_area(m, MODEL_NONE, &joints);
	if (joints == 0) return;
	LIST_PUSH(
		m->mem, &m->shopping,
		((model_buy){.stock = MODEL_NONE,
			     .what = "wood glue",
			     .amount = fmax(1, ceil(area * SHOPPING_GLUE_L_M2 * 1000 - 1e-9)),
			     .unit = "ml",
			     .packs = 1,
			     .cents = -1,
			     .reason = arena_printf(m->mem, "about, for %s of %llu glued joint%s", area_words(m, area),
						    (unsigned long long)joints, plural(joints))}));
}

static void buy_glue(model *m, model_ref stock) {
	uint64_t joints;
	double area = glued_area(m, stock, &joints);
	if (joints == 0) return;
	double litres = area * SHOPPING_GLUE_L_M2;
	const char *rate =
		inch(m) ? arena_printf(m->mem, "%.2f fl oz/ft²", SHOPPING_GLUE_L_M2 / 0.0295735295625 * 0.3048 * 0.3048)
			: arena_printf(m->mem, "%.1f l/m²", SHOPPING_GLUE_L_M2);
	add(m, stock, litres, litres, "l",
	    arena_printf(m->mem, "%s of %llu glued joint%s at %s", area_words(m, area), (unsigned long long)joints,
			 plural(joints), rate));
}

void shopping_make(model *m) {
	for (model_ref i = 0; i < m->stocks.n; i++) {
		if (model_on_rolls(&m->stocks.v[i])) {
			buy_stock(m, i);
			continue;
		}
		switch (m->stocks.v[i].kind) {
		case STOCK_SHEET:
		case STOCK_BAR:
		case STOCK_PIPE:
			buy_stock(m, i);
			break;
		case STOCK_SCREW:
			buy_screws(m, i);
			break;
		case STOCK_COLLAR:
		case STOCK_GROMMET:
		case STOCK_CLAMP:
			buy_seated(m, i);
			break;
		case STOCK_MEDIA:
			buy_media(m, i);
			break;
		case STOCK_FILTER:
		case STOCK_FAN:
		case STOCK_ITEM:
			buy_pieces(m, i);
			break;
		case STOCK_GASKET:
			buy_gasket(m, i);
			break;
		case STOCK_FINISH:
			buy_glue(m, i);
			break;
		case STOCK_KINDS:
			break;
		}
	}
	buy_plain_glue(m);
	m->cost_cents = 0;
	m->cost_whole = true;
	for (size_t i = 0; i < m->shopping.n; i++) {
		if (m->shopping.v[i].cents < 0)
			m->cost_whole = false;
		else
			m->cost_cents += m->shopping.v[i].cents;
	}
}
