/* What cannot be solved, and which parts have a share in it. */
#include <math.h>

#include "runtime/engine/airnet_parts.h"

#define X(name, words) [AIRNET_##name] = words,
const char *const AIRNET_TROUBLE_WORDS[AIRNET_TROUBLE_COUNT] = {AIRNET_TROUBLES(X)};
#undef X

/* ---- figures ---------------------------------------------------------------------------------- */

static bool bad(double v) { return !(v >= 0) || !isfinite(v); }

static bool branch_bad(const airnet_branch *b) {
	if (!(b->count > 0) || !isfinite(b->count)) return true;
	if (b->kind == AIRNET_FAN) {
		if (b->one_way) return true;
		double most = 0;
		for (size_t i = 0; b->curve && i < b->curve->n; i++) most = fmax(most, b->curve->pressure_pa[i]);
		return !b->curve || b->curve->n < 2 || !(most > 0) || !(b->density_ratio > 0) ||
		       !(b->speed_ratio > 0) || !isfinite(b->density_ratio) || !isfinite(b->speed_ratio);
	}
	if (b->one_way ? bad(b->opens_pa) : b->opens_pa != 0) return true;
	if (bad(b->linear_pa_s_m3) || bad(b->square_pa_s2_m6) || bad(b->creep_m3_s)) return true;
	if (b->has_duct) {
		const airlaw_duct *d = &b->duct;
		if (bad(d->diameter_m) || bad(d->length_m) || bad(d->roughness_m) || bad(d->loss_k)) return true;
		if (d->diameter_m == 0 || d->roughness_m > 0.05 * d->diameter_m) return true;
		if (d->length_m == 0 && d->loss_k == 0) return true;
	}
	if (b->curve) {
		const airnet_curve *c = b->curve;
		if (c->n < 2 || c->flow_m3_s[0] != 0 || c->pressure_pa[0] != 0) return true;
		for (size_t i = 1; i < c->n; i++)
			if (c->pressure_pa[i] < c->pressure_pa[i - 1]) return true;
	}
	return !(b->linear_pa_s_m3 + b->square_pa_s2_m6 > 0) && !b->has_duct && !b->curve;
}

/* ---- ways ------------------------------------------------------------------------------------- */

static uint32_t root(uint32_t *up, uint32_t s) {
	while (up[s] != s) s = up[s] = up[up[s]];
	return s;
}

/* Each space's group: spaces with an open way between them, branch `without` left out, share one. */
static uint32_t *groups(arena *mem, const airnet *net, uint32_t without) {
	uint32_t *up = ARENA_MANY(mem, uint32_t, net->n_spaces + 1);
	for (uint32_t s = 0; s < net->n_spaces; s++) up[s] = s;
	for (uint32_t i = 0; i < net->n_branches; i++) {
		const airnet_branch *b = &net->branches[i];
		if (b->closed || i == without) continue;
		uint32_t from = root(up, b->from), to = root(up, b->to);
		if (from < to)
			up[to] = from;
		else
			up[from] = to;
	}
	for (uint32_t s = 0; s < net->n_spaces; s++) up[s] = root(up, s);
	return up;
}

bool airnet_all_joined(arena *mem, const airnet *net, uint32_t without) {
	const uint32_t *group = groups(mem, net, without);
	for (uint32_t s = 0; s < net->n_spaces; s++)
		if (group[s] != 0) return false;
	return true;
}

/* Names the spaces that are not in the room's group. */
static void name_apart(arena *mem, const airnet *net, uint32_t without, airnet_result *r) {
	const uint32_t *group = groups(mem, net, without);
	uint32_t *apart = ARENA_MANY(mem, uint32_t, net->n_spaces + 1);
	r->n_part_spaces = 0;
	for (uint32_t s = 0; s < net->n_spaces; s++)
		if (group[s] != 0) apart[r->n_part_spaces++] = s;
	r->part_spaces = apart;
}

/* The ways out of each space, in one row: those of space s are at[s] .. at[s + 1]. */
typedef struct ways {
	size_t *at;
	uint32_t *branch;
} ways;

static ways ways_of(arena *mem, const airnet *net) {
	ways w = {ARENA_MANY(mem, size_t, net->n_spaces + 2), ARENA_MANY(mem, uint32_t, 2 * net->n_branches + 1)};
	for (size_t i = 0; i < net->n_branches; i++) {
		if (net->branches[i].closed) continue;
		w.at[net->branches[i].from + 1]++;
		w.at[net->branches[i].to + 1]++;
	}
	for (uint32_t s = 0; s < net->n_spaces; s++) w.at[s + 1] += w.at[s];
	size_t *fill = arena_copy(mem, w.at, sizeof *fill * (net->n_spaces + 1));
	for (uint32_t i = 0; i < net->n_branches; i++) {
		if (net->branches[i].closed) continue;
		w.branch[fill[net->branches[i].from]++] = i;
		w.branch[fill[net->branches[i].to]++] = i;
	}
	return w;
}

/* The first fan, by number, that is the only way between its two sides (a bridge of the graph, Tarjan 1974), or NONE:
 * its air finds no way back. All spaces are joined to the room. */
static uint32_t fan_without_return(arena *mem, const airnet *net) {
	ways w = ways_of(mem, net);
	uint32_t *found = ARENA_MANY(mem, uint32_t, net->n_spaces), *low = ARENA_MANY(mem, uint32_t, net->n_spaces),
		 *came = ARENA_MANY(mem, uint32_t, net->n_spaces), *stack = ARENA_MANY(mem, uint32_t, net->n_spaces),
		 depth = 0, count = 0, first = AIRNET_NONE;
	size_t *next = arena_copy(mem, w.at, sizeof *next * (net->n_spaces + 1));
	stack[depth++] = 0;
	found[0] = low[0] = ++count;
	came[0] = AIRNET_NONE;
	while (depth) {
		uint32_t s = stack[depth - 1];
		if (next[s] < w.at[s + 1]) {
			uint32_t i = w.branch[next[s]++];
			const airnet_branch *b = &net->branches[i];
			uint32_t to = b->from == s ? b->to : b->from;
			if (i == came[s]) continue;
			if (found[to]) {
				if (found[to] < low[s]) low[s] = found[to];
				continue;
			}
			found[to] = low[to] = ++count;
			came[to] = i;
			stack[depth++] = to;
			continue;
		}
		depth--;
		if (!depth) break;
		uint32_t before = stack[depth - 1];
		if (low[s] < low[before]) low[before] = low[s];
		bool bridge = low[s] > found[before];
		if (bridge && net->branches[came[s]].kind == AIRNET_FAN && came[s] < first) first = came[s];
	}
	return first;
}

airnet_trouble airnet_examine(arena *mem, const airnet *net, airnet_result *r) {
	bool fan = false;
	if (net->n_spaces < 1) return AIRNET_BAD_VALUE;
	if (!(net->density_kg_m3 > 0 && isfinite(net->density_kg_m3))) return AIRNET_BAD_VALUE;
	if (!(net->viscosity_pa_s > 0 && isfinite(net->viscosity_pa_s))) return AIRNET_BAD_VALUE;
	for (uint32_t i = 0; i < net->n_branches; i++) {
		const airnet_branch *b = &net->branches[i];
		r->branch = i;
		if (b->from >= net->n_spaces || b->to >= net->n_spaces) return AIRNET_BAD_SPACE;
		if (b->closed) continue;
		if (b->from == b->to) return AIRNET_SHORT;
		if (branch_bad(b)) return AIRNET_BAD_VALUE;
		fan = fan || b->kind == AIRNET_FAN;
	}
	r->branch = AIRNET_NONE;
	if (!fan) return AIRNET_NO_FAN;
	if (!airnet_all_joined(mem, net, AIRNET_NONE)) {
		name_apart(mem, net, AIRNET_NONE, r);
		r->space = r->part_spaces[0];
		return AIRNET_NOT_JOINED;
	}
	r->branch = fan_without_return(mem, net);
	if (r->branch == AIRNET_NONE) return AIRNET_SOLVED;
	name_apart(mem, net, r->branch, r);
	return AIRNET_OPEN;
}
