#include "runtime/engine/layout_table.h"

#include <string.h>

#include "runtime/base/rat.h"

/* Beyond so many positions on a side, or cells, the table is not begun. */
enum { POSITIONS_MOST = 4000, CELLS_MOST = 4000000, SUMS_MOST = 4000000 };
/* Rows of the table that are filled together; sums in one step. */
enum { LANES = 8, SUMS_PER_STEP = 32 };
/* Cells of fresh memory in one step. */
enum { CELLS_PER_STEP = 16 };

uint32_t layout_axis_within(const layout_axis *x, int64_t most) {
	uint32_t lo = 0, hi = x->n;
	while (hi - lo > 1) {
		uint32_t mid = (lo + hi) / 2;
		if (x->at[mid] <= most)
			lo = mid;
		else
			hi = mid;
	}
	return lo;
}

/* Along the axis: the kind's size in its first way round or in the other. */
static int64_t along(const layout_kind *k, bool along_x, int way) { return (way == 0) == along_x ? k->w : k->h; }

/* All sums of sizes up to `most`, no kind more often than there are of it. */
static void positions(layout_table *t, layout_axis *x, bool along_x, int64_t most, int64_t unit) {
	arena scratch = {0};
	size_t cells = (size_t)(most / unit) + 1;
	uint32_t *used = ARENA_MANY(&scratch, uint32_t, cells);
	uint8_t *mark = ARENA_MANY(&scratch, uint8_t, cells);
	mark[0] = 1;
	x->n = 1;
	for (uint32_t k = 0; k < t->n; k++) {
		for (int way = 0; way <= (t->kinds[k].turn ? 1 : 0); way++) {
			size_t d = (size_t)(along(&t->kinds[k], along_x, way) / unit);
			if (t->kinds[k].need == 0) break;
			memset(used, 0, sizeof *used * cells);
			t->begun += cells / 8;
			for (size_t at = d; at < cells; at++) {
				if (mark[at] || !mark[at - d] || used[at - d] >= t->kinds[k].need) continue;
				mark[at] = 1;
				used[at] = used[at - d] + 1;
				x->n++;
			}
		}
	}
	x->at = ARENA_MANY(t->mem, int64_t, x->n);
	uint32_t n = 0;
	for (size_t at = 0; at < cells; at++)
		if (mark[at]) x->at[n++] = (int64_t)at * unit;
	arena_end(&scratch);
}

/* The cuts of each position worth looking at: neither part could be larger. */
static void make_pairs(layout_table *t, layout_axis *x) {
	size_t room = 0;
	x->begin = ARENA_MANY(t->mem, uint32_t, x->n + 1);
	for (int write = 0; write < 2; write++) {
		uint32_t n = 0;
		for (uint32_t i = 0; i < x->n; i++) {
			x->begin[i] = n;
			uint32_t b = i;
			for (uint32_t a = 1; a < i && 2 * x->at[a] <= x->at[i]; a++) {
				while (x->at[a] + x->at[b] > x->at[i]) b--;
				if (a + 1 < x->n && x->at[a + 1] + x->at[b] <= x->at[i] && a + 1 <= b) continue;
				if (write) x->pairs[n] = (layout_pair){(uint16_t)a, (uint16_t)b};
				n++;
			}
		}
		x->begin[x->n] = n;
		room = n;
		if (!write) x->pairs = ARENA_MANY(t->mem, layout_pair, room + 1);
	}
}

bool layout_table_begin(layout_table *t, arena *mem, const layout_kind *kinds, uint32_t n, const layout_room *rooms,
			uint32_t n_rooms, uint64_t most) {
	int64_t most_w = 0, most_h = 0, unit_w = 0, unit_h = 0;
	bool turn = false;
	*t = (layout_table){.mem = mem, .kinds = kinds, .n = n};
	for (uint32_t r = 0; r < n_rooms; r++) {
		if (rooms[r].w > most_w) most_w = rooms[r].w;
		if (rooms[r].h > most_h) most_h = rooms[r].h;
	}
	for (uint32_t k = 0; k < n; k++) {
		unit_w = rat_gcd(unit_w, kinds[k].w);
		unit_h = rat_gcd(unit_h, kinds[k].h);
		turn = turn || kinds[k].turn;
	}
	if (n == 0) return false;
	if (turn) unit_w = unit_h = rat_gcd(unit_w, unit_h);
	if (most_w / unit_w > SUMS_MOST || most_h / unit_h > SUMS_MOST) return false;
	/* what the sums take: not worth beginning beyond the budget */
	if ((uint64_t)(most_w / unit_w + most_h / unit_h) * n / 8 > most) return false;
	positions(t, &t->x, true, most_w, unit_w);
	positions(t, &t->y, false, most_h, unit_h);
	if (t->x.n > POSITIONS_MOST || t->y.n > POSITIONS_MOST) return false;
	if ((uint64_t)t->x.n * t->y.n > CELLS_MOST) return false;
	make_pairs(t, &t->x);
	make_pairs(t, &t->y);
	t->begun += (t->x.begin[t->x.n] + t->y.begin[t->y.n]) / 4;
	uint64_t sums = (uint64_t)t->x.begin[t->x.n] * t->y.n + (uint64_t)t->y.begin[t->y.n] * t->x.n;
	t->each = (sums + (uint64_t)t->x.n * t->y.n * 8) / SUMS_PER_STEP + 1;
	if (t->each > most) return false;
	t->stride = (t->y.n + LANES - 1) / LANES * LANES;
	t->begun += (uint64_t)t->x.n * t->stride / CELLS_PER_STEP;
	t->value = ARENA_MANY(mem, float, n);
	t->worth = ARENA_MANY(mem, float, (size_t)t->x.n * t->stride);
	t->block = ARENA_MANY(mem, float, (size_t)LANES * t->stride);
	return true;
}

static void pieces_in(layout_table *t) {
	for (uint32_t k = 0; k < t->n; k++) {
		if (t->value[k] <= 0 || t->kinds[k].need == 0) continue;
		for (int way = 0; way <= (t->kinds[k].turn ? 1 : 0); way++) {
			int64_t w = along(&t->kinds[k], true, way), h = along(&t->kinds[k], false, way);
			uint32_t i = layout_axis_within(&t->x, w), j = layout_axis_within(&t->y, h);
			if (t->x.at[i] != w || t->y.at[j] != h) continue; /* larger than every room */
			float *at = &t->worth[(size_t)i * t->stride + j];
			if (*at < t->value[k]) *at = t->value[k];
		}
	}
}

/* row[j] = max(row[j], low[j] + high[j]), LANES at a time so that a compiler makes single instructions of it. */
static void take_sums(float *restrict row, const float *restrict low, const float *restrict high, uint32_t n) {
	for (uint32_t j = 0; j < n; j += LANES) {
		for (uint32_t l = 0; l < LANES; l++) {
			float sum = low[j + l] + high[j + l];
			row[j + l] = sum > row[j + l] ? sum : row[j + l];
		}
	}
}

/* Cuts across x where both parts lie in finished rows; gives how many cuts of the position are not of that kind. */
static uint32_t cut_rows(layout_table *t, uint32_t i, uint32_t finished) {
	float *row = &t->worth[(size_t)i * t->stride];
	uint32_t from = t->x.begin[i], to = t->x.begin[i + 1];
	while (from < to && t->x.pairs[from].b >= finished) from++;
	for (uint32_t k = from; k < to; k++) {
		layout_pair q = t->x.pairs[k];
		take_sums(row, &t->worth[(size_t)q.a * t->stride], &t->worth[(size_t)q.b * t->stride], t->stride);
	}
	return from - t->x.begin[i];
}

/* Column j of the rows from i0 on: cuts across y in all of them at once, then what each takes from the rows below it,
 * within the block. `inner` tells how many cuts across x have a part in the block. */
static void fill_column(layout_table *t, uint32_t i0, uint32_t rows, const uint32_t *inner, uint32_t j) {
	float v[LANES];
	memcpy(v, &t->block[(size_t)j * LANES], sizeof v);
	if (j > 0) {
		const float *before = &t->block[(size_t)(j - 1) * LANES];
		for (uint32_t l = 0; l < LANES; l++) v[l] = before[l] > v[l] ? before[l] : v[l];
	}
	for (uint32_t k = t->y.begin[j]; k < t->y.begin[j + 1]; k++) {
		const float *low = &t->block[(size_t)t->y.pairs[k].a * LANES];
		const float *high = &t->block[(size_t)t->y.pairs[k].b * LANES];
		for (uint32_t l = 0; l < LANES; l++) {
			float sum = low[l] + high[l];
			v[l] = sum > v[l] ? sum : v[l];
		}
	}
	for (uint32_t l = 0; l < rows; l++) {
		const layout_pair *q = &t->x.pairs[t->x.begin[i0 + l]];
		float below = l > 0 ? v[l - 1] : i0 > 0 ? layout_table_worth(t, i0 - 1, j) : 0;
		if (below > v[l]) v[l] = below;
		for (uint32_t k = 0; k < inner[l]; k++) {
			float low = q[k].a < i0 ? layout_table_worth(t, q[k].a, j) : v[q[k].a - i0];
			float sum = low + v[q[k].b - i0];
			if (sum > v[l]) v[l] = sum;
		}
	}
	memcpy(&t->block[(size_t)j * LANES], v, sizeof v);
}

void layout_table_fill(layout_table *t) {
	memset(t->worth, 0, sizeof *t->worth * t->x.n * t->stride);
	pieces_in(t);
	for (uint32_t i0 = 0; i0 < t->x.n; i0 += LANES) {
		uint32_t rows = t->x.n - i0 < LANES ? t->x.n - i0 : LANES, inner[LANES] = {0};
		memset(t->block, 0, sizeof *t->block * LANES * t->stride);
		for (uint32_t l = 0; l < rows; l++) {
			const float *row = &t->worth[(size_t)(i0 + l) * t->stride];
			inner[l] = cut_rows(t, i0 + l, i0);
			for (uint32_t j = 0; j < t->stride; j++) t->block[(size_t)j * LANES + l] = row[j];
		}
		for (uint32_t j = 0; j < t->y.n; j++) fill_column(t, i0, rows, inner, j);
		for (uint32_t l = 0; l < rows; l++) {
			float *row = &t->worth[(size_t)(i0 + l) * t->stride];
			for (uint32_t j = 0; j < t->y.n; j++) row[j] = t->block[(size_t)j * LANES + l];
		}
	}
}

/* ---- trees ----------------------------------------------------------------------------------------------------- */

uint32_t layout_filling_cut(layout_filling *f, uint32_t node, bool along_x, int64_t at) {
	uint32_t n = (uint32_t)f->v.n;
	for (int i = 0; i < 2; i++) LIST_ADD(f->mem, &f->v);
	return layout_divide(f->v.v, &n, node, along_x, at);
}

/* A piece worth as much as the rectangle holds, in the node's corner. */
static bool write_piece(const layout_table *t, layout_filling *f, uint32_t node, int64_t x, int64_t y, float worth) {
	for (uint32_t k = 0; k < t->n; k++) {
		if (t->value[k] != worth || t->kinds[k].need == 0) continue;
		for (int way = 0; way <= (t->kinds[k].turn ? 1 : 0); way++) {
			int64_t w = along(&t->kinds[k], true, way), h = along(&t->kinds[k], false, way);
			if (w > x || h > y) continue;
			if (h < f->v.v[node].h) node = layout_filling_cut(f, node, true, h);
			if (w < f->v.v[node].w) node = layout_filling_cut(f, node, false, w);
			f->v.v[node].item = k;
			f->v.v[node].turned = way == 1;
			return true;
		}
	}
	return false;
}

/* The least rectangle that holds as much: worth rises with both sides. */
static void least_rect(const layout_table *t, float worth, uint32_t *i, uint32_t *j) {
	for (uint32_t lo = 0; lo < *i;) {
		uint32_t mid = lo + (*i - lo) / 2;
		if (layout_table_worth(t, mid, *j) >= worth)
			*i = mid;
		else
			lo = mid + 1;
	}
	for (uint32_t lo = 0; lo < *j;) {
		uint32_t mid = lo + (*j - lo) / 2;
		if (layout_table_worth(t, *i, mid) >= worth)
			*j = mid;
		else
			lo = mid + 1;
	}
}

void layout_table_write(const layout_table *t, layout_filling *f, uint32_t node, uint32_t i, uint32_t j) {
	float worth = layout_table_worth(t, i, j);
	if (worth <= 0 || (f->most && f->v.n > f->most)) return;
	least_rect(t, worth, &i, &j);
	f->steps += 4 + (t->x.begin[i + 1] - t->x.begin[i]) / 2 + (t->y.begin[j + 1] - t->y.begin[j]) / 8;
	if (write_piece(t, f, node, t->x.at[i], t->y.at[j], worth)) return;
	for (uint32_t k = t->x.begin[i]; k < t->x.begin[i + 1]; k++) {
		layout_pair q = t->x.pairs[k];
		if (layout_table_worth(t, q.a, j) + layout_table_worth(t, q.b, j) < worth) continue;
		uint32_t lo = layout_filling_cut(f, node, false, t->x.at[q.a]);
		layout_table_write(t, f, lo, q.a, j);
		layout_table_write(t, f, lo + 1, q.b, j);
		return;
	}
	for (uint32_t k = t->y.begin[j]; k < t->y.begin[j + 1]; k++) {
		layout_pair q = t->y.pairs[k];
		if (layout_table_worth(t, i, q.a) + layout_table_worth(t, i, q.b) < worth) continue;
		uint32_t lo = layout_filling_cut(f, node, true, t->y.at[q.a]);
		layout_table_write(t, f, lo, i, q.a);
		layout_table_write(t, f, lo + 1, i, q.b);
		return;
	}
}
