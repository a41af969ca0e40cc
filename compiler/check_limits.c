#include "compiler/check_limits.h"

#include <math.h>
#include <string.h>

#include "runtime/base/text.h"

#define NO_VALUE                                                                                                       \
	{ 0, 0 }

/* Beyond `least` and `most` a limit would say nothing, or forbid everything; those two are ours. */
const check_limit_row CHECK_LIMITS[] = {
	/* openings */
	{"hole-web",
	 "",
	 {1, 1},
	 {1, 10},
	 {5, 1},
	 "times the sheet's thickness or the smaller opening's breadth, whichever is less"},
	{"hole-edge",
	 "",
	 {1, 1},
	 {1, 10},
	 {5, 1},
	 "times the sheet's thickness or the opening's breadth, whichever is less"},
	{"collar-fit.loose", "mm", {1, 1}, {1, 20}, {10, 1}, "at most between a collar's outside and its hole"},
	{"collar-fit.bears", "mm", {5, 1}, {0, 1}, {50, 1}, "of flange on the sheet all round"},
	/* joints and screws */
	{"hole-joint", "", {1, 2}, {0, 1}, {5, 1}, "times the sheet's thickness, from an opening to a joint"},
	{"hole-screw", "mm", {3, 1}, {1, 2}, {50, 1}, "between a screw's hole and an opening or another screw's hole"},
	{"screw-edge",
	 "",
	 {3, 2},
	 {1, 2},
	 {10, 1},
	 "times the screw's diameter, from its centre to a side of the part"},
	{"screw-edge.corner",
	 "mm",
	 {25, 1},
	 {0, 1},
	 {200, 1},
	 "from a screw in an edge to its corner; on a short edge a quarter of it"},
	{"mdf-screw.edge", "mm", {12, 1}, {3, 1}, {100, 1}, "from a screw in a face of MDF to an edge"},
	{"mdf-screw.corner", "mm", {25, 1}, {3, 1}, {200, 1}, "from a screw in a face of MDF to a corner"},
	{"mdf-screw.end", "mm", {70, 1}, {3, 1}, {300, 1}, "from a screw in an edge of MDF to a corner"},
	{"screw-length", "", {1, 2}, {1, 10}, {9, 10}, "of a screw's length bites into the part that it holds"},
	{"dado-depth.least", "", {1, 3}, {1, 50}, {9, 10}, "of the thickness at least"},
	{"dado-depth.most", "", {1, 2}, {1, 10}, {19, 20}, "of the thickness at most"},
	{"dado-opposite", "", {1, 3}, {1, 50}, {9, 10}, "of the thickness between dados on both faces"},
	/* cuts of joints */
	{"dado-fit", "mm", {1, 1}, {1, 10}, {5, 1}, "at most that the thinnest sheet lies loose in its cut"},
	{"groove-wall.edge", "", {1, 4}, {1, 20}, {9, 20}, "of the thickness beside a groove in an edge"},
	{"groove-wall.face", "", {1, 1}, {0, 1}, {10, 1}, "times its depth, from a dado in a face to the edge"},
	{"tongue-thick.least", "", {1, 4}, {1, 10}, {9, 10}, "of the thickness at least"},
	{"tongue-thick.most", "", {1, 2}, {1, 10}, {9, 10}, "of the thickness at most"},
	{"halving-depth", "", {1, 3}, {1, 20}, {9, 10}, "of each part is left"},
	{"gasket-gap", "", {1, 4}, {1, 100}, {1, 1}, "of what the tape gives way by, as the gap may differ"},
	{"screw-head", "", {1, 3}, {0, 1}, {9, 10}, "of the sheet is left under a countersunk head"},
	/* at the saw */
	{"saw-small", "mm", {150, 1}, {50, 1}, {500, 1}, "on one side at least, of a piece that is divided at the saw"},
	{"saw-small.guide", "mm", {300, 1}, {100, 1}, {1000, 1}, "along the fence, else it goes on a sled with a stop"},
	/* parts */
	{"part-floating", "mm", {6, 1}, {0, 1}, {50, 1}, "from a door to the frame that it hangs on"},
	{"door-clearance", "mm", {2, 1}, {1, 2}, {20, 1}, "between a door and what stands beside it"},
	{"part-heavy", "kg", {23, 1}, {5, 1}, {60, 1}, "for one person"},
	{"tip-over", "deg", {10, 1}, {1, 1}, {45, 1}, "of tilt in the worst direction"},
	/* in use */
	{"shelf-sag", "", {144, 1}, {50, 1}, {2000, 1}, "times its deflection fits into its span"},
	{"panel-bulge", "", {200, 1}, {50, 1}, {2000, 1}, "times its bulge fits into its span"},
	{"axes-apart", "mm", {1, 2}, {0, 1}, {20, 1}, "between the axes of openings that meet"},
	{"seam-unbacked", "%", {80, 1}, {10, 1}, {100, 1}, "of a seam has something behind it"},
	{"screwed-shut", "", {16, 1}, {0, 1}, {200, 1}, "screws undone to change a filter"},
	{"caster-swing", "mm", {10, 1}, {0, 1}, {200, 1}, "that a wheel stands out beyond the base"},
	{"wood-moves", "mm", {1, 1}, {1, 10}, {20, 1}, "that wood moves where it is held"},
	{"grain-short", "", {2, 1}, {1, 1}, {20, 1}, "times as long across its grain as along it"},
	/* air */
	{"filter-speed", "m/s", NO_VALUE, {1, 1000}, {1, 1}, "what is usual for the use of the media, when not tuned"},
	{"filter-face", "m/s", {5, 2}, {1, 10}, {5, 1}, "on the face of a filter unit"},
	{"filter-face.hepa", "m/s", {13, 10}, {1, 10}, {5, 1}, "on the face of a HEPA unit"},
	{"covered-flow", "%", {50, 1}, {1, 1}, {100, 1}, "of the fan's open flow is left when the face is covered"},
	{"duct-transport", "m/s", {12, 1}, {5, 1}, {40, 1}, "in a duct before a filter"},
	{"duct-transport.metal", "m/s", {18, 1}, {5, 1}, {40, 1}, "there, when the plan handles metal"},
	{"downdraft-face.sanding-plan", "m/s", {51, 100}, {1, 10}, {5, 1}, "on the plan of the sheet"},
	{"downdraft-face.grinding-plan", "m/s", {762, 1000}, {1, 10}, {5, 1}, "on the plan of the sheet"},
	{"downdraft-face.grinding-grille", "m/s", {1016, 1000}, {1, 10}, {5, 1}, "on the rectangle round the openings"},
	{"downdraft-face.dust-plan", "m/s", {1, 1}, {1, 10}, {5, 1}, "on the plan of the sheet"},
	{"booth-face", "m/s", {508, 1000}, {1, 10}, {5, 1}, "through the opening of a booth"},
	{"even-draw", "%", {80, 1}, {10, 1}, {100, 1}, "of the mean speed goes through the slowest opening"},
	{"even-draw.plenum", "%", {50, 1}, {5, 1}, {200, 1}, "of the speed in the openings runs along behind them"},
	{"work-height", "mm", {250, 1}, {10, 1}, {1000, 1}, "of work above a down-draught face"},
	{"capture-speed.still", "m/s", {1, 4}, {1, 20}, {20, 1}, "where dust leaves without speed into still air"},
	{"capture-speed.low", "m/s", {1, 2}, {1, 20}, {20, 1}, "where it leaves at low speed into fairly still air"},
	{"capture-speed.active", "m/s", {1, 1}, {1, 20}, {20, 1}, "where it leaves actively into moving air"},
	{"capture-speed.fast", "m/s", {5, 2}, {1, 20}, {20, 1}, "where it leaves at high speed"},
	{"fan-straight", "", {6, 1}, {0, 1}, {20, 1}, "diameters of the fan's inlet straight before it"},
	{"fan-straight.after", "", {3, 1}, {0, 1}, {20, 1}, "diameters straight behind it"},
	{"filter-clean", "Pa", {249, 1}, {50, 1}, {1000, 1}, "over a HEPA unit when clean"},
	{"makeup-air", "Pa", {4, 1}, {1, 2}, {50, 1}, "of the room below outdoors"},
	{"tubes-room", "mm", {10, 1}, {0, 1}, {200, 1}, "beside a tube"},
	{"filter-bypass", "mm", {127, 40}, {1, 2}, {20, 1}, "open beside a filter unit"},
};
const size_t N_CHECK_LIMITS = sizeof CHECK_LIMITS / sizeof *CHECK_LIMITS;

const check_limit_row *check_limit_find(const char *name) {
	for (size_t i = 0; i < N_CHECK_LIMITS; i++)
		if (text_same(CHECK_LIMITS[i].name, name)) return &CHECK_LIMITS[i];
	return NULL;
}

/* Is it `rule`, or `rule.WORD`? */
static bool belongs_to(const char *limit, const char *rule) {
	size_t n = strlen(rule);
	return strncmp(limit, rule, n) == 0 && (limit[n] == '\0' || limit[n] == '.');
}

const check_limit_row *check_limit_of(const char *rule, size_t i) {
	for (size_t k = 0; k < N_CHECK_LIMITS; k++)
		if (belongs_to(CHECK_LIMITS[k].name, rule) && i-- == 0) return &CHECK_LIMITS[k];
	return NULL;
}

dim check_limit_dim(const check_limit_row *l) {
	const quant_unit *u = quant_unit_find(l->unit, strlen(l->unit));
	return u ? u->dim : DIM_NUMBER;
}

quant check_limit_quant(const check_limit_row *l, rat value) {
	const quant_unit *u = quant_unit_find(l->unit, strlen(l->unit));
	return quant_exact(check_limit_dim(l), u ? rat_mul(value, u->factor) : value);
}

static quant current(const model *m, const char *name) {
	for (size_t i = 0; i < m->tuned.n; i++)
		if (text_same(m->tuned.v[i].limit, name)) return m->tuned.v[i].is;
	const check_limit_row *l = check_limit_find(name);
	return l ? check_limit_quant(l, l->value) : quant_number(rat_poison());
}

rat check_limit(const model *m, const char *name) { return current(m, name).r; }

double check_limit_si(const model *m, const char *name) { return quant_si(current(m, name)); }

const char *check_limit_show(arena *mem, const check_limit_row *l, quant value, measures ms) {
	if (text_same(l->unit, "%")) return arena_printf(mem, "%s %%", quant_show_number(mem, value.d * 100, 1));
	if (!text_same(l->unit, "")) return quant_show(mem, value, ms);
	/* A third reads better than 0.3333. */
	if (rat_ok(value.r) && value.r.num > 0 && value.r.num < value.r.den && value.r.den < 10)
		return arena_printf(mem, "%lld/%lld", (long long)value.r.num, (long long)value.r.den);
	return quant_show_number(mem, value.d, 3);
}

const char *check_limit_written(arena *mem, const check_limit_row *l, quant value, measures ms) {
	if (text_same(l->unit, "deg")) return arena_printf(mem, "%s deg", quant_show_number(mem, value.d, 1));
	const char *shown = check_limit_show(mem, l, value, ms);
	return *shown == '~' ? shown + 1 : shown;
}

const char *check_share(diags *d, rat share) {
	if (rat_eq(share, rat_int(1))) return "the whole";
	if (rat_eq(share, (rat){1, 2})) return "half";
	if (rat_eq(share, (rat){1, 3})) return "a third";
	if (rat_eq(share, (rat){1, 4})) return "a quarter";
	return quant_show_number(d->mem, rat_double(share), 3);
}

void check_limits_note(const model *m, diags *d) {
	for (size_t i = 0; i < m->tuned.n; i++) {
		const model_tuned *t = &m->tuned.v[i];
		const check_limit_row *l = check_limit_find(t->limit);
		for (size_t k = 0; l && k < d->all.n; k++) {
			diag *g = d->all.v[k];
			if (!belongs_to(l->name, g->rule)) continue;
			diag_add_note(d, g, t->at, "the plan tunes the limit `%s` to %s", l->name,
				      check_limit_show(d->mem, l, t->is, m->measures));
		}
	}
}
