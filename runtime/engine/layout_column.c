#include "runtime/engine/layout_column.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "runtime/base/rat.h"
#include "runtime/engine/cover.h"

/* Beyond so many cells, or comparisons in one filling, the table is not begun. */
enum { CELLS_MOST = 4000000, WORK_MOST = 200000000 };
/* Fillings that one table gives, and first cuts looked at for them. */
enum { COLUMNS_MOST = 12, CUTS_MOST = 60 };

typedef struct kind {
	int64_t w, h;
	bool turn;
	uint32_t need, first; /* its items stand together in `sorted` */
} kind;

/* How a cell is best filled: cut across x or y at a position, or a piece in its corner. */
typedef enum cell_how { CELL_EMPTY, CELL_PIECE, CELL_TURNED, CELL_ACROSS_X, CELL_ACROSS_Y } cell_how;
typedef struct cell {
	uint32_t at; /* kind, or index of the position of the cut */
	uint8_t how;
} cell;

typedef struct filler {
	arena mem;
	const layout_column_problem *p;
	kind *kinds;
	uint32_t n;
	uint32_t *sorted; /* item indices by kind */
	int64_t *x, *y;	  /* positions, rising; x[0] == 0 */
	uint32_t nx, ny;
	uint32_t *x_rest,
		*y_rest; /* [i * n + j]: index of the last position within x[i] - x[j]; NULL when found by search */
	int64_t *value;	 /* [kinds] */
	int64_t *worth;	 /* [nx][ny] */
	cell *cells;
	cover lp;
	double scale; /* of whole duals */
	uint64_t steps;
} filler;

/* ---- the positions --------------------------------------------------------------------------------------- */

static uint32_t last_within(const int64_t *v, uint32_t n, int64_t most) {
	uint32_t lo = 0, hi = n;
	while (hi - lo > 1) {
		uint32_t mid = (lo + hi) / 2;
		if (v[mid] <= most)
			lo = mid;
		else
			hi = mid;
	}
	return lo;
}

/* All sums of sizes up to `most`, as a bit map's rising list. */
static int64_t *sums(filler *f, bool along_x, int64_t most, uint32_t *n) {
	uint8_t *mark = ARENA_MANY(&f->mem, uint8_t, (size_t)most + 1);
	mark[0] = 1;
	for (uint32_t k = 0; k < f->n; k++) {
		for (int way = 0; way <= (f->kinds[k].turn ? 1 : 0); way++) {
			int64_t d = (way == 0) == along_x ? f->kinds[k].w : f->kinds[k].h;
			/* as often as wanted: the filling is not held to what is there */
			for (int64_t at = d; at <= most; at++) mark[at] |= mark[at - d];
		}
	}
	*n = 0;
	for (int64_t at = 0; at <= most; at++) *n += mark[at];
	int64_t *v = ARENA_MANY(&f->mem, int64_t, *n);
	uint32_t k = 0;
	for (int64_t at = 0; at <= most; at++)
		if (mark[at]) v[k++] = at;
	f->steps += (uint64_t)most * f->n / 8;
	return v;
}

static uint32_t *rests(filler *f, const int64_t *v, uint32_t n) {
	uint32_t *rest = ARENA_MANY(&f->mem, uint32_t, (size_t)n * n);
	for (uint32_t i = 0; i < n; i++)
		for (uint32_t j = 0; j <= i; j++) rest[(size_t)i * n + j] = last_within(v, n, v[i] - v[j]);
	return rest;
}

/* ---- filling ------------------------------------------------------------------------------------------------ */

static void pieces_in(filler *f) {
	for (uint32_t k = 0; k < f->n; k++) {
		if (f->value[k] <= 0) continue;
		for (int way = 0; way <= (f->kinds[k].turn ? 1 : 0); way++) {
			int64_t w = way ? f->kinds[k].h : f->kinds[k].w, h = way ? f->kinds[k].w : f->kinds[k].h;
			uint32_t i0 = last_within(f->x, f->nx, w), j0 = last_within(f->y, f->ny, h);
			if (f->x[i0] != w || f->y[j0] != h) continue; /* larger than every room */
			size_t at = (size_t)i0 * f->ny + j0;
			if (f->worth[at] >= f->value[k]) continue;
			f->worth[at] = f->value[k];
			f->cells[at] = (cell){k, way ? CELL_TURNED : CELL_PIECE};
		}
	}
}

/* worth[i][j]: the most that a rectangle of x[i] by y[j] holds. */
static void fill_all(filler *f) {
	size_t n = (size_t)f->nx * f->ny;
	memset(f->worth, 0, sizeof *f->worth * n);
	memset(f->cells, 0, sizeof *f->cells * n);
	pieces_in(f);
	for (uint32_t i = 0; i < f->nx; i++) {
		int64_t *row = &f->worth[(size_t)i * f->ny];
		uint32_t half_x = last_within(f->x, f->nx, f->x[i] / 2);
		for (uint32_t j = 0; j < f->ny; j++) {
			int64_t best = row[j];
			cell how = f->cells[(size_t)i * f->ny + j];
			/* what a smaller rectangle holds, this one holds too: as a cut with an empty rest */
			if (i > 0 && f->worth[(size_t)(i - 1) * f->ny + j] > best) {
				best = f->worth[(size_t)(i - 1) * f->ny + j];
				how = (cell){i - 1, CELL_ACROSS_X};
			}
			if (j > 0 && row[j - 1] > best) {
				best = row[j - 1];
				how = (cell){j - 1, CELL_ACROSS_Y};
			}
			for (uint32_t a = 1; a <= half_x; a++) {
				uint32_t b = f->x_rest[(size_t)i * f->nx + a];
				int64_t now = f->worth[(size_t)a * f->ny + j] + f->worth[(size_t)b * f->ny + j];
				if (now <= best) continue;
				best = now;
				how = (cell){a, CELL_ACROSS_X};
			}
			for (uint32_t a = 1; a <= j && 2 * f->y[a] <= f->y[j]; a++) {
				int64_t now = row[a] + row[f->y_rest[(size_t)j * f->ny + a]];
				if (now <= best) continue;
				best = now;
				how = (cell){a, CELL_ACROSS_Y};
			}
			row[j] = best;
			f->cells[(size_t)i * f->ny + j] = how;
		}
	}
	f->steps += (uint64_t)n * (f->nx + f->ny) / 4;
}

/* ---- trees ----------------------------------------------------------------------------------------------------- */

typedef struct tree_writer {
	LIST(layout_node) v;
	arena *mem;
} tree_writer;

static uint32_t write_cut(tree_writer *t, uint32_t k, bool along_x, int64_t at) {
	uint32_t n = (uint32_t)t->v.n;
	for (int i = 0; i < 2; i++) LIST_ADD(t->mem, &t->v);
	return layout_divide(t->v.v, &n, k, along_x, at);
}

/* The leaf's item is the kind for now. */
static void write_cell(const filler *f, tree_writer *t, uint32_t node, uint32_t i, uint32_t j) {
	cell c = f->cells[(size_t)i * f->ny + j];
	if (c.how == CELL_EMPTY) return;
	if (c.how == CELL_PIECE || c.how == CELL_TURNED) {
		const kind *k = &f->kinds[c.at];
		int64_t w = c.how == CELL_TURNED ? k->h : k->w, h = c.how == CELL_TURNED ? k->w : k->h;
		if (h < t->v.v[node].h) node = write_cut(t, node, true, h);
		if (w < t->v.v[node].w) node = write_cut(t, node, false, w);
		t->v.v[node].item = c.at;
		t->v.v[node].turned = c.how == CELL_TURNED;
		return;
	}
	bool across_x = c.how == CELL_ACROSS_X;
	uint32_t rest = across_x ? f->x_rest[(size_t)i * f->nx + c.at] : f->y_rest[(size_t)j * f->ny + c.at];
	int64_t at = across_x ? f->x[c.at] : f->y[c.at], all = across_x ? t->v.v[node].w : t->v.v[node].h;
	if (at == 0 || at >= all) return;
	uint32_t lo = write_cut(t, node, !across_x, at);
	write_cell(f, t, lo, across_x ? c.at : i, across_x ? j : c.at);
	write_cell(f, t, lo + 1, across_x ? rest : i, across_x ? j : rest);
}

/* ---- the linear program ------------------------------------------------------------------------------------------ */

typedef struct pattern {
	tree_writer tree;
	uint32_t root, room;
	uint32_t *count;
} pattern;

typedef LIST(pattern) pattern_list;

/* The pattern's column: how much of each kind its tree holds. */
static void add_column(filler *f, pattern_list *list, pattern q) {
	cover_entry *e = ARENA_MANY(&f->mem, cover_entry, f->n);
	uint32_t n = 0;
	q.count = ARENA_MANY(&f->mem, uint32_t, f->n);
	for (size_t k = 0; k < q.tree.v.n; k++)
		if (!q.tree.v.v[k].divided && q.tree.v.v[k].item != LAYOUT_FREE) q.count[q.tree.v.v[k].item]++;
	for (uint32_t k = 0; k < f->n; k++)
		if (q.count[k]) e[n++] = (cover_entry){k, q.count[k]};
	LIST_PUSH(&f->mem, list, q);
	cover_add(&f->lp, (double)f->p->rooms[q.room].price, e, n, (uint32_t)list->n - 1);
}

static pattern new_pattern(filler *f, uint32_t room) {
	pattern q = {.room = room, .tree.mem = &f->mem};
	LIST_PUSH(&f->mem, &q.tree.v, layout_free_node(0, 0, f->p->rooms[room].w, f->p->rooms[room].h));
	return q;
}

/* One kind alone, in rows and columns, in the cheapest room that takes it. */
static void add_alone(filler *f, pattern_list *list, uint32_t k) {
	const kind *d = &f->kinds[k];
	uint32_t room = UINT32_MAX;
	int64_t most = 0;
	bool turned = false;
	for (uint32_t r = 0; r < f->p->n_rooms; r++) {
		const layout_room *q = &f->p->rooms[r];
		int64_t plain = (q->w / d->w) * (q->h / d->h), across = d->turn ? (q->w / d->h) * (q->h / d->w) : 0;
		if (plain == 0 && across == 0) continue;
		if (room != UINT32_MAX && q->price >= f->p->rooms[room].price) continue;
		room = r;
		turned = across > plain;
		most = turned ? across : plain;
	}
	if (most == 0) return;
	int64_t w = turned ? d->h : d->w, h = turned ? d->w : d->h;
	pattern q = new_pattern(f, room);
	for (uint32_t rest = q.root; rest != LAYOUT_FREE;) {
		uint32_t column = rest;
		rest = LAYOUT_FREE;
		if (q.tree.v.v[column].w < w) break;
		if (q.tree.v.v[column].w > w) {
			column = write_cut(&q.tree, column, false, w);
			rest = column + 1;
		}
		for (uint32_t up = column; up != LAYOUT_FREE;) {
			uint32_t one = up;
			up = LAYOUT_FREE;
			if (q.tree.v.v[one].h < h) break;
			if (q.tree.v.v[one].h > h) {
				one = write_cut(&q.tree, one, true, h);
				up = one + 1;
			}
			q.tree.v.v[one].item = k;
			q.tree.v.v[one].turned = turned;
		}
	}
	add_column(f, list, q);
}

typedef struct first_cut { /* of a whole sheet, and what its two parts hold */
	int64_t worth;
	uint32_t at;
	bool across_x;
} first_cut;

static int first_cut_cmp(const void *pa, const void *pb) {
	const first_cut *a = pa, *b = pb;
	if (a->worth != b->worth) return a->worth > b->worth ? -1 : 1;
	if (a->across_x != b->across_x) return a->across_x ? -1 : 1;
	return a->at < b->at ? -1 : a->at > b->at;
}

static bool same_column(const filler *f, const pattern_list *list, size_t a, size_t b) {
	return list->v[a].room == list->v[b].room &&
	       memcmp(list->v[a].count, list->v[b].count, sizeof *list->v[a].count * f->n) == 0;
}

/* The best filling of a room, then those of other first cuts that are worth more than the room costs: the table has
 * them all, and the program needs many. */
static void add_filled(filler *f, pattern_list *list, uint32_t room, int64_t enough) {
	const layout_room *r = &f->p->rooms[room];
	uint32_t i = last_within(f->x, f->nx, r->w), j = last_within(f->y, f->ny, r->h);
	size_t begun = list->n;
	pattern q = new_pattern(f, room);
	write_cell(f, &q.tree, q.root, i, j);
	add_column(f, list, q);
	LIST(first_cut) cuts = {0};
	for (uint32_t a = 1; a < i; a++) {
		size_t rest = f->x_rest[(size_t)i * f->nx + a];
		first_cut c = {f->worth[(size_t)a * f->ny + j] + f->worth[rest * f->ny + j], a, true};
		if (2 * f->x[a] <= f->x[i] && c.worth > enough) LIST_PUSH(&f->mem, &cuts, c);
	}
	for (uint32_t a = 1; a < j; a++) {
		size_t rest = f->y_rest[(size_t)j * f->ny + a];
		first_cut c = {f->worth[(size_t)i * f->ny + a] + f->worth[(size_t)i * f->ny + rest], a, false};
		if (2 * f->y[a] <= f->y[j] && c.worth > enough) LIST_PUSH(&f->mem, &cuts, c);
	}
	if (cuts.n) qsort(cuts.v, cuts.n, sizeof *cuts.v, first_cut_cmp);
	for (size_t k = 0; k < cuts.n && k < CUTS_MOST && list->n < begun + COLUMNS_MOST; k++) {
		first_cut c = cuts.v[k];
		q = new_pattern(f, room);
		uint32_t lo = write_cut(&q.tree, q.root, !c.across_x, c.across_x ? f->x[c.at] : f->y[c.at]);
		uint32_t rest = c.across_x ? f->x_rest[(size_t)i * f->nx + c.at] : f->y_rest[(size_t)j * f->ny + c.at];
		write_cell(f, &q.tree, lo, c.across_x ? c.at : i, c.across_x ? j : c.at);
		write_cell(f, &q.tree, lo + 1, c.across_x ? rest : i, c.across_x ? j : rest);
		uint32_t columns = (uint32_t)f->lp.columns.n, entries = (uint32_t)f->lp.entries.n;
		add_column(f, list, q);
		bool twice = false;
		for (size_t other = begun; other + 1 < list->n && !twice; other++)
			twice = same_column(f, list, other, list->n - 1);
		if (!twice) continue;
		list->n--;
		f->lp.columns.n = columns;
		f->lp.entries.n = entries;
	}
}

/* Prices every room by one table; true when a column was added. */
static bool price(filler *f, pattern_list *list, int64_t *bound) {
	layout_wide worth = 0;
	int64_t safe = INT64_MAX;
	bool added = false;
	for (uint32_t k = 0; k < f->n; k++) {
		double d = f->lp.dual[k];
		f->value[k] = d > 0 ? (int64_t)(d * f->scale) : 0;
		worth += (layout_wide)f->value[k] * f->kinds[k].need;
	}
	fill_all(f);
	for (uint32_t r = 0; r < f->p->n_rooms; r++) {
		const layout_room *q = &f->p->rooms[r];
		uint32_t i = last_within(f->x, f->nx, q->w), j = last_within(f->y, f->ny, q->h);
		int64_t most = f->worth[(size_t)i * f->ny + j];
		if (most <= 0) continue;
		layout_wide cost = (worth * q->price + most - 1) / most;
		if (cost < safe) safe = (int64_t)cost;
		if ((double)most <= (double)q->price * f->scale * (1 + 1e-7)) continue;
		add_filled(f, list, r, (int64_t)((double)q->price * f->scale * (1 + 1e-7)));
		added = true;
	}
	if (safe != INT64_MAX && safe > *bound) *bound = safe;
	return added;
}

static int kind_cmp(const void *pa, const void *pb) {
	const layout_item *const *pia = pa, *const *pib = pb;
	const layout_item *a = *pia, *b = *pib;
	if (a->w != b->w) return a->w > b->w ? -1 : 1;
	if (a->h != b->h) return a->h > b->h ? -1 : 1;
	if (a->turn != b->turn) return a->turn ? -1 : 1;
	return a < b ? -1 : a > b;
}

static void make_kinds(filler *f) {
	uint32_t n = f->p->n_items;
	const layout_item **by = ARENA_MANY(&f->mem, const layout_item *, n + 1);
	for (uint32_t i = 0; i < n; i++) by[i] = &f->p->items[i];
	qsort(by, n, sizeof *by, kind_cmp);
	f->kinds = ARENA_MANY(&f->mem, kind, n + 1);
	f->sorted = ARENA_MANY(&f->mem, uint32_t, n + 1);
	for (uint32_t i = 0; i < n; i++) {
		const kind *last = f->n ? &f->kinds[f->n - 1] : NULL;
		f->sorted[i] = (uint32_t)(by[i] - f->p->items);
		if (!last || last->w != by[i]->w || last->h != by[i]->h || last->turn != by[i]->turn)
			f->kinds[f->n++] = (kind){by[i]->w, by[i]->h, by[i]->turn, 0, i};
		f->kinds[f->n - 1].need++;
	}
}

static bool begin(filler *f) {
	make_kinds(f);
	int64_t most_w = 0, most_h = 0, unit_w = 0, unit_h = 0, dearest = 1;
	bool turn = false;
	for (uint32_t r = 0; r < f->p->n_rooms; r++) {
		if (f->p->rooms[r].price <= 0) return false;
		if (f->p->rooms[r].w > most_w) most_w = f->p->rooms[r].w;
		if (f->p->rooms[r].h > most_h) most_h = f->p->rooms[r].h;
		if (f->p->rooms[r].price > dearest) dearest = f->p->rooms[r].price;
	}
	for (uint32_t k = 0; k < f->n; k++) {
		unit_w = rat_gcd(unit_w, f->kinds[k].w);
		unit_h = rat_gcd(unit_h, f->kinds[k].h);
		turn = turn || f->kinds[k].turn;
	}
	if (turn) unit_w = unit_h = rat_gcd(unit_w, unit_h);
	if (most_w / unit_w > CELLS_MOST || most_h / unit_h > CELLS_MOST) return false;
	/* what sums() takes: not worth beginning beyond the budget */
	if ((uint64_t)(most_w / unit_w + most_h / unit_h) * f->n / 8 > f->p->budget) return false;
	f->scale = cover_scale(dearest);
	/* positions in units, then back */
	for (uint32_t k = 0; k < f->n; k++) {
		f->kinds[k].w /= unit_w;
		f->kinds[k].h /= unit_h;
	}
	f->x = sums(f, true, most_w / unit_w, &f->nx);
	f->y = sums(f, false, most_h / unit_h, &f->ny);
	for (uint32_t k = 0; k < f->n; k++) {
		f->kinds[k].w *= unit_w;
		f->kinds[k].h *= unit_h;
	}
	for (uint32_t i = 0; i < f->nx; i++) f->x[i] *= unit_w;
	for (uint32_t i = 0; i < f->ny; i++) f->y[i] *= unit_h;
	uint64_t cells = (uint64_t)f->nx * f->ny;
	if (cells > CELLS_MOST || cells * (f->nx + f->ny) / 4 > WORK_MOST) return false;
	if (cells * (f->nx + f->ny) / 4 * 8 > f->p->budget) return false;
	if ((uint64_t)f->nx * f->nx > CELLS_MOST * 4 || (uint64_t)f->ny * f->ny > CELLS_MOST * 4) return false;
	f->x_rest = rests(f, f->x, f->nx);
	f->y_rest = rests(f, f->y, f->ny);
	f->value = ARENA_MANY(&f->mem, int64_t, f->n + 1);
	f->worth = ARENA_MANY(&f->mem, int64_t, cells);
	f->cells = ARENA_MANY(&f->mem, cell, cells);
	f->lp = cover_new(&f->mem, f->n);
	for (uint32_t k = 0; k < f->n; k++) f->lp.demand[k] = f->kinds[k].need;
	return true;
}

/* Lays a pattern once more: its leaves get the next items of their kinds. */
static void lay(const filler *f, arena *mem, const pattern *q, uint32_t *next, layout_column_take *out) {
	layout_node *v = arena_copy(mem, q->tree.v.v, sizeof *v * q->tree.v.n);
	for (size_t i = 0; i < q->tree.v.n; i++) {
		if (v[i].divided || v[i].item == LAYOUT_FREE) continue;
		uint32_t k = v[i].item, item = f->sorted[f->kinds[k].first + next[k]++];
		v[i].item = item;
		out->laid[item] = true;
	}
	layout_tree t = {v, q->root, q->room};
	LIST_PUSH(mem, &out->trees, t);
}

static void take_whole(filler *f, arena *mem, const pattern_list *list, uint32_t spare, layout_column_take *out) {
	out->laid = ARENA_MANY(mem, bool, f->p->n_items + 1);
	uint32_t *next = ARENA_MANY(&f->mem, uint32_t, f->n + 1);
	for (size_t c = 0; c < f->lp.columns.n; c++) {
		const cover_column *k = &f->lp.columns.v[c];
		const pattern *q = &list->v[k->tag];
		if (k->x < 1 - 1e-7) continue;
		uint32_t times = (uint32_t)(k->x + 1e-7);
		times = times > spare ? times - spare : 0;
		for (; times > 0; times--) {
			bool enough = true;
			for (uint32_t i = 0; i < f->n && enough; i++)
				enough = next[i] + q->count[i] <= f->kinds[i].need;
			if (!enough) break;
			lay(f, mem, q, next, out);
		}
	}
}

void layout_column(arena *mem, const layout_column_problem *p, layout_column_answer *out) {
	filler f = {.p = p};
	pattern_list list = {0};
	*out = (layout_column_answer){0};
	if (p->n_items && begin(&f)) {
		for (uint32_t k = 0; k < f.n; k++) add_alone(&f, &list, k);
		while (f.steps + f.lp.steps < p->budget) {
			out->solved = false;
			if (!cover_solve(&f.lp, false, UINT32_MAX, p->budget)) break;
			out->solved = true;
			if (!price(&f, &list, &out->bound)) break;
			if (out->bound >= (int64_t)ceil(f.lp.value - 1e-6)) break;
		}
		for (uint32_t spare = 0; out->solved && spare < LAYOUT_COLUMN_TAKES; spare++)
			take_whole(&f, mem, &list, spare, &out->take[spare]);
	}
	out->steps = f.steps + f.lp.steps;
	arena_end(&f.mem);
}
