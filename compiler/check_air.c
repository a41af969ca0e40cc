/* Air: what the solved network says about the plan. Every check looks at the conditions that were solved. */
#include <math.h>
#include <string.h>

#include "compiler/air.h"
#include "compiler/check.h"
#include "compiler/check_air_dust.h"
#include "compiler/check_air_fit.h"
#include "compiler/check_limits.h"
#include "compiler/check_use.h"
#include "runtime/engine/airlaw.h"

enum { DIRTY = 1 };

typedef uint64_t condition_set; /* a bit for each */
#define BIT(c) ((condition_set)1 << (c))

static bool known(double v) { return v > 0 && isfinite(v); }

static const char *show(const model *m, diags *d, dim of, double si) {
	return quant_show_si(d->mem, of, si, m->measures);
}
static const char *flow(const model *m, diags *d, double si) { return show(m, d, DIM_FLOW, si); }
static const char *pressure(const model *m, diags *d, double si) { return show(m, d, DIM_PRESSURE, si); }
static const char *speed(const model *m, diags *d, double si) { return show(m, d, DIM_SPEED, si); }

/* "clean", "clean and dirty", "clean, dirty and clean covered" of the conditions whose bit is set. */
static const char *conditions(const model *m, diags *d, condition_set set) {
	const char *words = "";
	condition_set left = set;
	for (int c = 0; c < model_conditions(m); c++) {
		if (!(set >> c & 1)) continue;
		left &= ~BIT(c);
		words = arena_printf(d->mem, "%s%s%s", words, model_condition_name(m, c),
				     !left		 ? ""
				     : left & (left - 1) ? ", "
							 : " and ");
	}
	return words;
}

/* ---- fans ---------------------------------------------------------------------------------- */

static void fan_off(const model *m, diags *d, model_ref row, int side) {
	const model_branch *b = &m->air.branches.v[row];
	const model_fan_state *worst = NULL;
	condition_set set = 0;
	for (int c = 0; c < model_conditions(m); c++) {
		const model_air_result *r = &m->air.result[c];
		if (!r->fan || r->fan[row].side != side) continue;
		const model_fan_state *f = &r->fan[row];
		set |= BIT(c);
		if (!worst || fabs(f->gives_pa - f->needs_pa) > fabs(worst->gives_pa - worst->needs_pa)) worst = f;
	}
	if (!worst) return;
	diag *g = diag_error(d, "fan-curve", b->at, "fan %s works %s its published points (%s)", b->name,
			     side > 0 ? "beyond" : "before", conditions(m, d, set));
	if (known(worst->end_m3_s))
		diag_add_note(d, g, m->stocks.v[b->stock].at,
			      "at its %s point, %s, it gives %s; the way of the air takes %s there",
			      side > 0 ? "last" : "first", flow(m, d, worst->end_m3_s), pressure(m, d, worst->gives_pa),
			      pressure(m, d, worst->needs_pa));
	diag_add_help(d, g, "%s; a curve is never continued by guess",
		      side > 0 ? "publish more of the curve, take a larger fan, or give the air less area to pass"
			       : "give the air more area or more media, or take a fan with more pressure");
}

/* The flow of one fan that lies nearest to the end of its published points. */
static void compare_fan_end(const model *m, diags *d, model_ref row, bool last) {
	const model_branch *b = &m->air.branches.v[row];
	const model_stock *s = &m->stocks.v[b->stock];
	double end = s->curve.v[last ? s->curve.n - 1 : 0].flow_m3_s, nearest = NAN;
	int when = 0;
	if (!last && !(end > 0)) return; /* it begins with no flow at all */
	for (int c = 0; c < model_conditions(m); c++) {
		if (!m->air.result[c].solved) continue;
		double q = m->air.result[c].fan[row].flow_m3_s / air_speed_ratio(m, b, c);
		if (last ? q <= nearest : q >= nearest) continue;
		nearest = q;
		when = c;
	}
	double ratio = air_speed_ratio(m, b, when); /* at a tap the points move with the speed */
	diag_compare(d, (diag_compared){.rule = "fan-curve",
					.about = b->name,
					.of = DIM_FLOW,
					.value = nearest * ratio,
					.limit = end * ratio,
					.at_least = !last,
					.condition = model_condition_name(m, when),
					.basis = last ? "last published point" : "first published point"});
}

static void fan_curve(const model *m, diags *d) {
	for (model_ref i = 0; i < m->air.branches.n; i++) {
		const model_branch *b = &m->air.branches.v[i];
		if (b->kind != AIR_FAN) continue;
		for (int last = 0; last < 2 && b->stock < m->stocks.n && m->stocks.v[b->stock].curve.n; last++)
			compare_fan_end(m, d, i, last);
		fan_off(m, d, i, 1);
		fan_off(m, d, i, -1);
	}
}

/* Where the curve's last peak lies: left of it the pressure falls with the flow. */
static double peak_flow(const model_stock *s) {
	double flow = 0, most = 0;
	for (size_t i = 0; i < s->curve.n; i++)
		if (s->curve.v[i].pressure_pa >= most) most = s->curve.v[i].pressure_pa, flow = s->curve.v[i].flow_m3_s;
	return flow;
}

static void compare_stall(const model *m, diags *d, model_ref row) {
	const model_branch *b = &m->air.branches.v[row];
	if (b->stock >= m->stocks.n) return;
	const model_stock *s = &m->stocks.v[b->stock];
	double least = INFINITY, peak = peak_flow(s);
	int when = 0;
	for (int c = 0; c < model_conditions(m); c++) {
		const model_air_result *r = &m->air.result[c];
		double q = r->solved ? r->fan[row].flow_m3_s / air_speed_ratio(m, b, c) : INFINITY;
		if (q < least) least = q, when = c;
	}
	double ratio = air_speed_ratio(m, b, when);
	bool marked = known(s->stall_m3_s.v) && s->stall_m3_s.v >= peak;
	diag_compare(d, (diag_compared){.rule = "fan-stall",
					.about = b->name,
					.of = DIM_FLOW,
					.value = least * ratio,
					.limit = (marked ? s->stall_m3_s.v : peak) * ratio,
					.at_least = true,
					.condition = model_condition_name(m, when),
					.basis = marked ? "end of its published stall range" : "peak of its curve"});
}

static void fan_stall(const model *m, diags *d) {
	for (model_ref i = 0; i < m->air.branches.n; i++) {
		const model_branch *b = &m->air.branches.v[i];
		condition_set set = 0;
		double least = INFINITY, ratio = 1; /* of those flows at the curve's speed */
		bool marked = false;
		if (b->kind == AIR_FAN) compare_stall(m, d, i);
		for (int c = 0; c < model_conditions(m) && b->kind == AIR_FAN; c++) {
			const model_air_result *r = &m->air.result[c];
			if (!r->solved || !(r->fan[i].stall || r->fan[i].rising)) continue;
			set |= BIT(c);
			marked = marked || r->fan[i].stall;
			if (r->fan[i].flow_m3_s / air_speed_ratio(m, b, c) >= least) continue;
			ratio = air_speed_ratio(m, b, c);
			least = r->fan[i].flow_m3_s / ratio;
		}
		if (!set) continue;
		const model_stock *s = &m->stocks.v[b->stock];
		diag *g = diag_warning(d, "fan-stall", b->at, "fan %s works %s, at %s (%s)", b->name,
				       marked ? "in its stall range" : "left of its curve's peak",
				       flow(m, d, least * ratio), conditions(m, d, set));
		if (marked)
			diag_add_note(d, g, s->stall_m3_s.at, "its stall range ends at %s, %s more",
				      flow(m, d, s->stall_m3_s.v * ratio),
				      flow(m, d, (s->stall_m3_s.v - least) * ratio));
		else
			diag_add_note(d, g, s->at, "there its pressure falls when the flow falls: it hunts");
		diag_add_help(d, g, "give the air more area, more media or a way that cannot be covered");
	}
}

/* Does the fan's curve meet what the way asks more than once? Between two points at which it works steadily lies one at
 * which it does not. Looked for on the sampled curves. */
static uint32_t meetings(const model_fan_state *f, double *other) {
	uint32_t n = 0;
	if (f->gives.n != f->needs.n) return 0;
	for (size_t i = 0; i + 1 < f->gives.n; i++) {
		double here = f->gives.v[i].pressure_pa - f->needs.v[i].pressure_pa;
		double there = f->gives.v[i + 1].pressure_pa - f->needs.v[i + 1].pressure_pa;
		if ((here > 0) == (there > 0)) continue;
		if (n++ == 0)
			*other = f->gives.v[i].flow_m3_s +
				 here / (here - there) * (f->gives.v[i + 1].flow_m3_s - f->gives.v[i].flow_m3_s);
	}
	return n;
}

static void fan_two_points(const model *m, diags *d) {
	for (model_ref i = 0; i < m->air.branches.n; i++) {
		const model_branch *b = &m->air.branches.v[i];
		condition_set set = 0;
		double other = 0, given = 0;
		uint32_t most = 0;
		for (int c = 0; c < model_conditions(m) && b->kind == AIR_FAN; c++) {
			const model_air_result *r = &m->air.result[c];
			double at = 0;
			uint32_t times = r->solved ? meetings(&r->fan[i], &at) : 0;
			if (times > most) most = times;
			if (times < 2) continue;
			if (!set) {
				other = at;
				given = r->flow[i].flow_m3_s;
			}
			set |= BIT(c);
		}
		if (most)
			diag_compare(d, (diag_compared){.rule = "fan-two-points",
							.about = b->name,
							.of = DIM_NUMBER,
							.value = most,
							.limit = 1,
							.basis = "meetings of both curves"});
		if (!set) continue;
		diag *g =
			diag_warning(d, "fan-two-points", b->at, "fan %s can also work at about %s instead of %s (%s)",
				     b->name, flow(m, d, other), flow(m, d, given), conditions(m, d, set));
		diag_add_note(d, g, m->stocks.v[b->stock].at,
			      "its curve falls, rises and falls again, and the way of the air meets it more than once");
		diag_add_help(d, g, "more area for the air, or a fan whose curve has no dip");
	}
}

static void fan_motor(const model *m, diags *d) {
	for (model_ref i = 0; i < m->air.branches.n; i++) {
		const model_branch *b = &m->air.branches.v[i];
		if (b->kind != AIR_FAN || b->stock >= m->stocks.n) continue;
		const model_stock *s = &m->stocks.v[b->stock];
		if (!known(s->motor_w.v) || !known(s->efficiency.v)) continue;
		double most = 0;
		int when = 0;
		for (int c = 0; c < model_conditions(m); c++) {
			const model_air_result *r = &m->air.result[c];
			if (!r->solved) continue;
			double w = airlaw_shaft_power(r->fan[i].flow_m3_s, r->fan[i].rise_pa, s->efficiency.v);
			if (!(w > most)) continue;
			most = w;
			when = c;
		}
		diag_compare(d, (diag_compared){.rule = "fan-motor",
						.about = b->name,
						.of = DIM_POWER,
						.value = most,
						.limit = s->motor_w.v,
						.condition = model_condition_name(m, when),
						.basis = "its motor"});
		if (!(most > s->motor_w.v)) continue;
		diag *g = diag_warning(d, "fan-motor", b->at,
				       "fan %s asks for %s at its shaft (%s), %s more than its motor gives", b->name,
				       show(m, d, DIM_POWER, most), model_condition_name(m, when),
				       show(m, d, DIM_POWER, most - s->motor_w.v));
		diag_add_note(d, g, s->motor_w.at, "its motor is given here");
		diag_add_help(
			d, g,
			"a larger motor, or a fan that needs less; the electrician decides on motor and protection");
	}
}

/* ---- filters ------------------------------------------------------------------------------- */

static bool is_filter(const model_branch *b) { return b->kind == AIR_FILTER || b->kind == AIR_TUBES; }

static void filter_curve(const model *m, diags *d) {
	for (model_ref i = 0; i < m->air.branches.n; i++) {
		const model_branch *b = &m->air.branches.v[i];
		if (b->kind != AIR_FILTER || b->stock >= m->stocks.n) continue;
		const model_stock *s = &m->stocks.v[b->stock];
		if (s->curve.n == 0 || b->count == 0) continue;
		double last = s->curve.v[s->curve.n - 1].flow_m3_s, most = 0, largest = NAN;
		condition_set set = 0;
		int when = 0;
		for (int c = 0; c < model_conditions(m); c++) {
			const model_air_result *r = &m->air.result[c];
			if (!r->flow || r->off_curve) continue;
			double one = fabs(r->flow[i].flow_m3_s) / b->count;
			if (!(one <= largest)) largest = one, when = c;
			if (one <= last * (1 + 1e-9)) continue;
			set |= BIT(c);
			most = fmax(most, one);
		}
		diag_compare(d, (diag_compared){.rule = "filter-curve",
						.about = b->name,
						.of = DIM_FLOW,
						.value = largest,
						.limit = last,
						.condition = model_condition_name(m, when),
						.basis = "last measured point of one unit"});
		if (!set) continue;
		diag *g = diag_error(d, "filter-curve", b->at,
				     "filter %s gets more air than its loss was measured at (%s)", b->name,
				     conditions(m, d, set));
		diag_add_note(d, g, s->curve.v[s->curve.n - 1].at,
			      "its last point is %s a unit; about %s would go through it", flow(m, d, last),
			      flow(m, d, most));
		diag_add_help(d, g, "more units side by side, or a curve that goes further");
	}
}

/* Media enough, as a person would ask for it: the next 0.05 m2 or half square foot above (ours). */
static double round_media(const model *m, double area_m2) {
	double by = m->measures == MEASURES_INCH ? 0.5 * 0.09290304 : 0.05;
	return ceil(area_m2 / by - 1e-9) * by;
}

/* The figures are for cloth that holds a cake. A pleated unit works at the flow its maker rates it for: it is asked
 * only when its stock states the use of a cloth. */
static void filter_speed(const model *m, diags *d) {
	double tuned = check_limit_si(m, "filter-speed");
	for (model_ref i = 0; i < m->air.branches.n; i++) {
		const model_branch *b = &m->air.branches.v[i];
		if (!is_filter(b) || b->stock >= m->stocks.n) continue;
		const model_stock *s = &m->stocks.v[b->stock];
		const char *use = s->cleaned ? s->cleaned : s->use_class;
		bool stated = false;
		double limit = airlaw_cloth_speed(use, &stated), most = 0;
		if (b->kind == AIR_FILTER && !stated) continue;
		if (known(tuned)) limit = tuned;
		const char *basis =
			known(tuned) ? "the plan's own limit" : airlaw_cloth_basis(d->mem, use, m->measures);
		int when = 0;
		for (int c = 0; c < model_conditions(m); c++) {
			const model_air_result *r = &m->air.result[c];
			if (!r->solved || !(fabs(r->flow[i].speed_m_s) > most)) continue;
			most = fabs(r->flow[i].speed_m_s);
			when = c;
		}
		diag_compare(d, (diag_compared){.rule = "filter-speed",
						.about = b->name,
						.of = DIM_SPEED,
						.value = most,
						.limit = limit,
						.condition = model_condition_name(m, when),
						.basis = basis});
		if (!(most > limit)) continue;
		diag *g = diag_warning(d, "filter-speed", b->at,
				       "%s through the media of %s (%s), %s above what is usual for its use; basis: %s",
				       speed(m, d, most), b->name, model_condition_name(m, when),
				       speed(m, d, most - limit), basis);
		if (s->cleaned)
			diag_add_note(d, g, s->at, "its cloth is cleaned so: %s", s->cleaned);
		else if (s->use_class)
			diag_add_note(d, g, s->at, "its use is given as \"%s\"", s->use_class);
		else
			diag_add_note(d, g, s->at, "its stock does not state its use");
		diag_add_help(d, g, "%s of media bring it down to that; %sor allow filter-speed with the reason",
			      show(m, d, DIM_AREA, round_media(m, b->open_m2 * most / limit)),
			      stated ? "" : "or state the use (shaken, pulse, coarse, clean air) in the stock, ");
	}
}

/* Flat and pleated units by the speed on their face; both figures from memory. */
static void filter_face(const model *m, diags *d) {
	for (model_ref i = 0; i < m->air.branches.n; i++) {
		const model_branch *b = &m->air.branches.v[i];
		if (b->kind != AIR_FILTER || b->stock >= m->stocks.n) continue;
		const model_stock *s = &m->stocks.v[b->stock];
		bool fine = s->use_class && (strstr(s->use_class, "hepa") || strstr(s->use_class, "HEPA"));
		double limit = check_limit_si(m, fine ? "filter-face.hepa" : "filter-face"), most = 0;
		int when = -1;
		for (int c = 0; c < model_conditions(m); c++) {
			const model_air_result *r = &m->air.result[c];
			if (!r->solved || !(fabs(r->flow[i].face_m_s) > most)) continue;
			most = fabs(r->flow[i].face_m_s);
			when = c;
		}
		diag_compare(d, (diag_compared){.rule = "filter-face",
						.about = b->name,
						.of = DIM_SPEED,
						.value = when >= 0 ? most : (double)NAN,
						.limit = limit,
						.condition = model_condition_name(m, when < 0 ? 0 : when),
						.basis = fine ? "a HEPA unit" : "a panel filter"});
		if (!(most > limit)) continue;
		diag *g = diag_warning(d, "filter-face", b->at,
				       "%s on the face of %s (%s), %s more than a %s filter is made for",
				       speed(m, d, most), b->name, model_condition_name(m, when),
				       speed(m, d, most - limit), fine ? "HEPA" : "panel");
		diag_add_note(d, g, s->at, "its stock is declared here");
		diag_add_help(d, g,
			      "more units side by side, or larger ones; the maker's own figure stands above this one");
	}
}

static void filter_dirty(const model *m, diags *d) {
	for (model_ref i = 0; i < m->air.branches.n; i++) {
		const model_branch *b = &m->air.branches.v[i];
		if (is_filter(b))
			diag_compare(d, (diag_compared){.rule = "filter-dirty",
							.about = b->name,
							.value = NAN,
							.limit = NAN,
							.broken = !b->dirty_known,
							.words = b->dirty_known ? "its stock tells it" : "not known"});
		if (!is_filter(b) || b->dirty_known || b->stock >= m->stocks.n || !m->air.result[DIRTY].flow) continue;
		diag *g = diag_warning(d, "filter-dirty", b->at,
				       "nothing says what %s takes when it is dirty: its clean loss stands for it",
				       air_branch_words(d->mem, m, i));
		diag_add_note(d, g, m->stocks.v[b->stock].at, "its stock is declared here");
		diag_add_help(d, g,
			      b->kind == AIR_FILTER
				      ? "give its stock the loss at which it is changed, and the flow of that"
				      : "give its stock the drag of the cake and the load at which it is cleaned");
	}
}

/* ---- ways ---------------------------------------------------------------------------------- */

static void air_backwards(const model *m, diags *d) {
	double least = NAN; /* over all branches: the one nearest to turning */
	model_ref least_at = 0;
	int when = 0;
	for (model_ref i = 0; i < m->air.branches.n; i++) {
		const model_branch *b = &m->air.branches.v[i];
		condition_set set = 0;
		double most = 0;
		for (int c = 0; c < model_conditions(m) && b->kind != AIR_LEAK; c++) {
			const model_air_result *r = &m->air.result[c];
			if (r->solved && !(r->flow[i].flow_m3_s >= least)) {
				least = r->flow[i].flow_m3_s;
				least_at = i;
				when = c;
			}
			if (!r->solved || r->flow[i].flow_m3_s > -1e-6) continue;
			set |= BIT(c);
			most = fmax(most, -r->flow[i].flow_m3_s);
		}
		if (!set) continue;
		diag *g = diag_warning(d, "air-backwards", b->at,
				       "%s goes through %s against the way that is written (%s)", flow(m, d, most),
				       air_branch_words(d->mem, m, i), conditions(m, d, set));
		diag_add_note(d, g, span_none(), "the plan leads it from %s to %s", m->air.spaces.v[b->from].name,
			      m->air.spaces.v[b->to].name);
		diag_add_help(d, g, "turn the way round, or give this branch the pressure it needs");
	}
	if (isfinite(least))
		diag_compare(d, (diag_compared){.rule = "air-backwards",
						.about = m->air.branches.v[least_at].name,
						.of = DIM_FLOW,
						.value = least > -1e-6 ? fmax(0, least) : least,
						.limit = 0,
						.at_least = true,
						.condition = model_condition_name(m, when),
						.basis = "the least flow of all branches"});
}

/* What is laid or covered, as notes. */
static void note_covered(const model *m, diags *d, diag *g, bool worked) {
	for (size_t i = 0; i < m->air.works.n && worked; i++)
		diag_add_note(d, g, m->air.works.v[i].at, "this work lies on %s",
			      m->parts.v[m->air.works.v[i].part].name);
	for (size_t k = 0; k < m->air.branches.n; k++) {
		const model_branch *f = &m->air.branches.v[k];
		if (!worked && known(f->covered_part))
			diag_add_note(d, g, f->at, "%.0f %% of %s is covered", 100 * f->covered_part, f->name);
		if (worked && f->worked)
			diag_add_note(d, g, f->at, "%.0f %% of %s is covered", 100 * (1 - f->work_open_m2 / f->open_m2),
				      f->name);
	}
}

static void covered_flow(const model *m, diags *d) {
	rat share = check_limit(m, "covered-flow");
	double least = rat_double(share);
	for (int c = 0; c < model_conditions(m); c++) {
		int without = c - c % AIR_STATES + c % 2; /* the same, nothing covered */
		const model_air_result *open = &m->air.result[without], *covered = &m->air.result[c];
		if (c == without || !open->solved || !covered->solved) continue;
		for (model_ref i = 0; i < m->air.branches.n; i++) {
			const model_branch *b = &m->air.branches.v[i];
			if (b->kind != AIR_FAN) continue;
			double was = open->flow[i].flow_m3_s, is = covered->flow[i].flow_m3_s;
			diag_compare(d, (diag_compared){.rule = "covered-flow",
							.about = b->name,
							.of = DIM_FLOW,
							.value = is,
							.limit = least * was,
							.at_least = true,
							.condition = model_condition_name(m, c),
							.basis = arena_printf(d->mem, "%.0f %% of the open flow",
									      100 * least)});
			if (!(is < least * was)) continue;
			bool worked = model_condition_worked(c);
			diag *g = diag_warning(d, "covered-flow", b->at,
					       "with the %s fan %s draws %s instead of %s (%s): %.0f %%, less than %s",
					       worked ? "work on the face" : "face covered", b->name, flow(m, d, is),
					       flow(m, d, was), model_condition_name(m, without), 100 * is / was,
					       check_share(d, share));
			note_covered(m, d, g, worked);
			diag_add_help(d, g, "a slot that the work cannot cover, or a larger face");
		}
	}
}

/* The next diameter below that a shop can ask for, by steps of 5 mm or 1/4 in (ours): a narrower duct is a faster one.
 */
static double round_duct(const model *m, double diameter_m) {
	double by = m->measures == MEASURES_INCH ? 0.00635 : 0.005, steps = floor(diameter_m / by + 1e-9);
	return steps > 0 ? steps * by : diameter_m;
}

static void duct_transport(const model *m, diags *d) {
	bool metal = m->air.handles >> DUST_METAL & 1;
	double limit = check_limit_si(m, metal ? "duct-transport.metal" : "duct-transport");
	for (model_ref i = 0; i < m->air.branches.n; i++) {
		const model_branch *b = &m->air.branches.v[i];
		double least = INFINITY, slowest = INFINITY;
		condition_set set = 0;
		int when = 0;
		for (int c = 0; c < model_conditions(m) && b->kind == AIR_DUCT; c++) {
			const model_air_result *r = &m->air.result[c];
			if (!r->solved || !check_filter_behind(m, d, r, i)) continue;
			double v = fabs(r->flow[i].speed_m_s);
			if (v < slowest) slowest = v, when = c;
			if (v >= limit) continue;
			set |= BIT(c);
			least = fmin(least, v);
		}
		diag_compare(d, (diag_compared){.rule = "duct-transport",
						.about = b->name,
						.of = DIM_SPEED,
						.value = slowest,
						.limit = limit,
						.at_least = true,
						.condition = model_condition_name(m, when),
						.basis = metal ? "grinding dust" : "wood flour"});
		if (!set) continue;
		diag *g = diag_warning(d, "duct-transport", b->at,
				       "dusty air goes through duct %s at %s (%s), %s short of what carries %s",
				       b->name, speed(m, d, least), conditions(m, d, set), speed(m, d, limit - least),
				       metal ? "grinding dust" : "wood flour");
		double longer = fmax(b->side_m[0], b->side_m[1]), share = least / limit;
		double smaller = round_duct(m, longer > 0 ? longer * share : b->hole_m * sqrt(share));
		diag_add_help(d, g, "dust settles in it; at the same flow a %s of %s carries it",
			      longer > 0 ? "longer side" : "diameter", show(m, d, DIM_LENGTH, smaller));
	}
}

const check_rule CHECK_AIR[] = {
	{"fan-curve", DIAG_ERROR, "Every fan works on its published points in every condition.",
	 "the fan's own curve; no extrapolation", fan_curve},
	{"fan-stall", DIAG_WARNING, "No fan works in its stall range or left of its curve's peak.",
	 "the fan's own curve; rising pieces are unstable (textbook, from memory)", fan_stall},
	{"fan-two-points", DIAG_WARNING, "The way of the air meets a fan's curve once.", "the fan's own curve",
	 fan_two_points},
	{"fan-motor", DIAG_WARNING, "The shaft power is within the motor's.", "flow × rise / efficiency", fan_motor},
	{"filter-curve", DIAG_ERROR, "Every filter unit works on the measured points of its loss.",
	 "the unit's own curve; no extrapolation", filter_curve},
	{"filter-speed", DIAG_WARNING, "The filtration speed is within what is usual for the media's use.",
	 "Wang, Air Pollution Control Engineering, 2004, p. 69; by use also EPA Cost Manual (from memory) or common "
	 "practice",
	 filter_speed},
	{"filter-face", DIAG_WARNING, "The speed on the face of a filter unit is within what such units are made for.",
	 "handbook figures, from memory", filter_face},
	{"filter-dirty", DIAG_WARNING, "Every filter has a dirty state.",
	 "the air must be enough with the filter dirty", filter_dirty},
	{"air-backwards", DIAG_WARNING, "The air goes the way that is written.", "the solved network", air_backwards},
	{"covered-flow", DIAG_WARNING, "With the declared part of the face covered enough of the flow is left.",
	 "common practice, no source", covered_flow},
	{"duct-transport", DIAG_WARNING, "Ducts before a filter keep a speed that carries wood flour.",
	 "ACGIH Industrial Ventilation: wood flour 12 to 15 m/s", duct_transport},
	{"air-order", DIAG_WARNING, "A way of the air names what it passes in the order in which it lies.", "geometry",
	 check_air_order},
	{"tubes-long", DIAG_ERROR, "Tubes end before what lies under them.", "geometry", check_tubes_long},
	{"tubes-room", DIAG_WARNING, "Tubes hang free of each other and of what stands beside them.",
	 "common practice, no source", check_tubes_room},
	{"filter-bypass", DIAG_WARNING, "No gap is open beside a filter unit.", "common practice, no source",
	 check_filter_bypass},
	{"panel-bulge", DIAG_WARNING, "No wall bulges much under the largest pressure of the air.",
	 "common practice, no source; deflection of plates: Roark", check_panel_bulge},
	{"downdraft-face", DIAG_WARNING, "A face draws at the speed that the plan holds it to.",
	 "APHA 2011 abstract 236436; an older handbook's table; a fragment of an HSE sheet: they disagree, the plan "
	 "chooses",
	 check_downdraft_face},
	{"booth-face", DIAG_WARNING, "A booth draws at 100 ft/min through its opening.", "OSHA 1910.107(b)(5)",
	 check_booth_face},
	{"even-draw", DIAG_WARNING, "The openings of a field draw evenly.",
	 "momentum along the plenum (airfield); half the slot's speed: ACGIH Industrial Ventilation (from memory)",
	 check_even_draw},
	{"work-height", DIAG_WARNING, "Work on a down-draught face is no higher than the air reaches.",
	 "APHA 2011 abstract 236436: 200 to 250 mm", check_work_height},
	{"capture-speed", DIAG_WARNING, "The air still has the speed that catches dust where it is released.",
	 "DallaValle, as in ACGIH Industrial Ventilation and the OSHA Technical Manual III-3; speeds: ACGIH 2009",
	 check_capture_speed},
	{"capture-far", DIAG_WARNING, "Dust is released within the reach of the equation that the plan names.",
	 "DallaValle: up to 1.5 diameters; slots up to a fifth as broad as long (from memory)", check_capture_far},
	{"fan-straight", DIAG_WARNING,
	 "A fan with ducts has 6 diameters straight before it and 3 behind it, or a declared loss.",
	 "OSHA Technical Manual III-3", check_fan_straight},
	{"fan-in-dust", DIAG_WARNING, "A fan before the filters has its motor outside, or one that is declared fit.",
	 "common practice, no source; OSHA 1910.107(b)(8) asks for it in spray booths (from memory)",
	 check_fan_in_dust},
	{"filter-clean", DIAG_WARNING, "A HEPA unit takes no more than its class when clean.",
	 "handbook figure: 249 Pa", check_filter_clean},
	{"air-return", DIAG_WARNING,
	 "Air with hardwood or silica dust goes back into the room through a HEPA filter only.",
	 "common practice, no source; many authorities ask for more", check_air_return},
	{"makeup-air", DIAG_WARNING, "What is blown outdoors finds a way in that is large enough.",
	 "the law of a sharp opening; 4 Pa, at which flues may draw back (from memory)", check_makeup_air},
	{"metal-dust", DIAG_ERROR, "Metal is ground neither with wood nor in a thing that burns.",
	 "common practice, no source: sparks in wood dust", check_metal_dust},
	{"solvent-spray", DIAG_ERROR, "Nothing is sprayed with solvents.",
	 "its vapour burns: OSHA 1910.107 and fire codes ask for what no plan here can give", check_solvent_spray},
	{"trough-small", DIAG_WARNING, "The trough takes the dust until the filters are due.",
	 "dust made, bulk density", check_trough_small},
};
const size_t N_CHECK_AIR = sizeof CHECK_AIR / sizeof *CHECK_AIR;
