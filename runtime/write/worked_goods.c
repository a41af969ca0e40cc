/* Filters, tubes and fans, worked out: their figures come from the stock's curves. */
#include <math.h>

#include "runtime/engine/airlaw.h"
#include "runtime/engine/airnet.h"
#include "runtime/write/worked_air.h"

static const char *const CUBIC =
	"Monotone cubic through the published points: Fritsch and Carlson 1980, slopes after Fritsch and Butland 1984";
static const char *const MODEL_OF_CAKE = "Cake by the drag model: Wang, Air Pollution Control Engineering, 2004";

static bool known(double v) { return v > 0 && isfinite(v); }

static const char *figures_of(const worked *w, const model_stock *s) {
	return arena_printf(w->mem, "Figures of %s: %s", s->label, s->source ? s->source : "the plan");
}

/* ---- a point between published ones -------------------------------------------------------------------------------
 */

typedef struct points { /* in the plan's measures, as the stock gives them */
	size_t n;
	double *q, *p;
	airnet_curve curve;
	const char *flow_word, *pressure_word;
} points;

static points points_of(const worked *w, const model_stock *s, bool from_rest) {
	bool inch = w->ms == MEASURES_INCH;
	double flow = inch ? 0.028316846592 / 60 : 1.0 / 3600, pressure = inch ? 249.08891 : 1;
	points out = {.flow_word = inch ? "cfm" : "m³/h", .pressure_word = inch ? "in.wg" : "Pa"};
	out.q = ARENA_MANY(w->mem, double, s->curve.n + 2), out.p = ARENA_MANY(w->mem, double, s->curve.n + 2);
	if (from_rest && s->curve.n && s->curve.v[0].flow_m3_s > 0) out.n++; /* a loss begins at rest */
	for (size_t i = 0; i < s->curve.n; i++, out.n++)
		out.q[out.n] = s->curve.v[i].flow_m3_s / flow, out.p[out.n] = s->curve.v[i].pressure_pa / pressure;
	if (!airnet_curve_make(w->mem, out.q, out.p, out.n, &out.curve)) out.n = 0;
	return out;
}

/* Slope of the curve at its i-th point: out of the two chords beside it, or at an end out of the two nearest. */
static void slope(worked *w, const points *c, size_t i, const char *what) {
	const double *q = c->q, *p = c->p;
	double m = c->curve.slope[i];
	size_t last = c->n - 1;
	if (c->n == 2) {
		worked_put(w, what, "m = (p₁ - p₀) / (q₁ - q₀)", "(# - #) / (# - #)", WITH(p[1], p[0], q[1], q[0]),
			   WORKED_NUMBER, m, CUBIC);
		return;
	}
	if (i > 0 && i < last) {
		double h0 = q[i] - q[i - 1], h1 = q[i + 1] - q[i];
		double s0 = (p[i] - p[i - 1]) / h0, s1 = (p[i + 1] - p[i]) / h1;
		if (s0 * s1 > 0)
			worked_put(w, what, "m = 3 (h₀ + h₁) / ((2 h₁ + h₀) h₀ / (p - p₀) + (h₁ + 2 h₀) h₁ / (p₁ - p))",
				   "3 × (# + #) / ((2 × # + #) × # / (# - #) + (# + 2 × #) × # / (# - #))",
				   WITH(h0, h1, h1, h0, h0, p[i], p[i - 1], h1, h0, h1, p[i + 1], p[i]), WORKED_NUMBER,
				   m, CUBIC);
		else
			worked_put(w, what, "m = 0 at a peak or dip", "#", WITH(0), WORKED_NUMBER, m, CUBIC);
		return;
	}
	size_t a = i ? last - 1 : 0, b = i ? last - 2 : 1; /* the nearer chord's left point, and the further one's */
	double h0 = q[a + 1] - q[a], h1 = q[b + 1] - q[b], s0 = (p[a + 1] - p[a]) / h0, s1 = (p[b + 1] - p[b]) / h1;
	double parabola = ((2 * h0 + h1) * s0 - h0 * s1) / (h0 + h1);
	if (fabs(parabola - m) <= 1e-9 * fabs(m))
		worked_put(w, what, "m = ((2 h₀ + h₁) (p₁ - p₀) / h₀ - h₀ (p₂ - p₁) / h₁) / (h₀ + h₁)",
			   "((2 × # + #) × (# - #) / # - # × (# - #) / #) / (# + #)",
			   WITH(h0, h1, p[a + 1], p[a], h0, h0, p[b + 1], p[b], h1, h0, h1), WORKED_NUMBER, m, CUBIC);
	else
		worked_put(w, what, "m held between 0 and 3 times the chord", "#", WITH(m), WORKED_NUMBER, m, CUBIC);
}

/* The curve at a flow, in the plan's measures; NaN off it. `head` says whose it is. */
static double between(worked *w, const points *c, double q, const char *head) {
	double v = c->n ? airnet_curve_at(&c->curve, q, NULL) : (double)NAN;
	if (!isfinite(v)) return NAN;
	size_t i = 0;
	while (i + 2 < c->n && q >= c->q[i + 1]) i++;
	for (size_t k = i; k <= i + 1; k++)
		if (fabs(q - c->q[k]) <= 1e-9 * c->q[c->n - 1]) {
			worked_put(w, head,
				   arena_printf(w->mem, "p = published at %s %s",
						worked_digits(w->mem, c->q[k], 5, false), c->flow_word),
				   "#", WITH(v), WORKED_PLAN_PRESSURE, v, NULL);
			return v;
		}
	double h = c->q[i + 1] - c->q[i], t = (q - c->q[i]) / h;
	const char *ends = arena_printf(
		w->mem, "between (%s, %s) and (%s, %s), in %s and %s", worked_digits(w->mem, c->q[i], 5, false),
		worked_digits(w->mem, c->p[i], 5, false), worked_digits(w->mem, c->q[i + 1], 5, false),
		worked_digits(w->mem, c->p[i + 1], 5, false), c->flow_word, c->pressure_word);
	worked_put(w, arena_printf(w->mem, "%s: where on it", head),
		   arena_printf(w->mem, "t = (q - q₀) / (q₁ - q₀) %s", ends), "(# - #) / (# - #)",
		   WITH(q, c->q[i], c->q[i + 1], c->q[i]), WORKED_NUMBER, t, NULL);
	slope(w, c, i, "Its slope at the left point");
	slope(w, c, i + 1, "Its slope at the right point");
	worked_put(
		w, head, "p = (1 - 3t² + 2t³) p₀ + (t - 2t² + t³) h m₀ + (3t² - 2t³) p₁ + (t³ - t²) h m₁",
		"(1 - 3 × #² + 2 × #³) × # + (# - 2 × #² + #³) × # × # + (3 × #² - 2 × #³) × # + (#³ - #²) × # × #",
		WITH(t, t, c->p[i], t, t, t, h, c->curve.slope[i], t, t, c->p[i + 1], t, t, h, c->curve.slope[i + 1]),
		WORKED_PLAN_PRESSURE, v, CUBIC);
	return v;
}

/* Flow of one of several, in the plan's measures. */
static double one_of(worked *w, const worked_state *s, const char *what) {
	double one = fabs(s->f->flow_m3_s) / s->b->count,
	       size = w->ms == MEASURES_INCH ? 0.028316846592 / 60 : 1.0 / 3600;
	if (s->b->count > 1)
		worked_put(w, what, "Q₁ = Q / n", "# / #", WITH(fabs(s->f->flow_m3_s), s->b->count), WORKED_FLOW, one,
			   NULL);
	return one / size;
}

/* ---- filters ------------------------------------------------------------------------------------------------------
 */

static void media_speed(worked *w, const worked_state *s) {
	worked_put(w, "Filtration speed", "v = Q / A", "# / #", WITH(fabs(s->f->flow_m3_s), s->area_m2), WORKED_SPEED,
		   fabs(s->f->speed_m_s), NULL);
}

void worked_filter(worked *w, const worked_state *s) {
	const model_branch *b = s->b;
	const model_stock *k = &s->m->stocks.v[b->stock];
	double pressure = w->ms == MEASURES_INCH ? 249.08891 : 1,
	       flow = w->ms == MEASURES_INCH ? 0.028316846592 / 60 : 1.0 / 3600;
	points c = points_of(w, k, true);
	worked_put(w, "Media of all units", "A = n A₁", "# × $", WITH(b->count, k->media_area_m2.v), WORKED_AREA,
		   b->open_m2, figures_of(w, k));
	media_speed(w, s);
	double q = one_of(w, s, "Flow of one unit"), clean = between(w, &c, q, "Clean loss of one unit");
	bool due = s->dirty && b->dirty_known;
	if (!due) {
		worked_put(w, "Pressure it costs", "Δp = p", "&", WITH(clean * pressure), WORKED_PRESSURE,
			   fabs(s->f->loss_pa), figures_of(w, k));
		return;
	}
	double at = known(k->dirty_flow_m3_s.v) ? k->dirty_flow_m3_s.v / flow : c.q[c.n - 1], then;
	if (at < c.q[c.n - 1]) {
		then = between(w, &c, at, "Clean loss at the flow at which it is due");
	} else {
		then = c.p[c.n - 1];
		worked_put(w, "Clean loss at the flow at which it is due", "p = p of the last point", "#", WITH(then),
			   WORKED_PLAN_PRESSURE, then, NULL);
	}
	double due_p = k->dirty_pa.v / pressure;
	worked_put(w, "Pressure it costs, due", "Δp = p + (p due - p clean at q due) q / q due", "# + (# - #) × # / #",
		   WITH(clean, due_p, then, q, at), WORKED_PLAN_PRESSURE, fabs(s->f->loss_pa) / pressure,
		   figures_of(w, k));
	if (w->ms == MEASURES_INCH)
		worked_put(w, "The same in Pa", "Δp", "&", WITH(fabs(s->f->loss_pa)), WORKED_PRESSURE,
			   fabs(s->f->loss_pa), NULL);
}

void worked_tubes(worked *w, const worked_state *s) {
	const model_branch *b = s->b;
	const model_air *a = &s->m->air;
	const model_stock *k = &s->m->stocks.v[b->stock];
	double v = fabs(s->f->speed_m_s), thin = a->viscosity_pa_s / AIRLAW_STANDARD_VISCOSITY;
	double r1 = known(k->media_r1_pa_s_m.v) ? k->media_r1_pa_s_m.v : 0, cake = 0, mouths = 0;
	double r2 = known(k->media_r2_pa_s2_m2.v) ? k->media_r2_pa_s2_m2.v : 0;
	worked_put(w, "Cloth of all tubes", "A = n π d L", "# × 3.14159265 × @ × @",
		   WITH(b->count, b->hole_m, b->length_m), WORKED_AREA, b->open_m2, NULL);
	media_speed(w, s);
	double cloth = r1 * thin * v + r2 * a->density_kg_m3 / AIRLAW_STANDARD_DENSITY * v * v;
	if (r2 > 0)
		worked_put(w, "Loss of the clean cloth", "p = r₁ v μ / 0.0000182 + r₂ v² ρ / 1.2",
			   "# × # × # / 0.0000182 + # × #² × # / 1.2",
			   WITH(r1, v, a->viscosity_pa_s, r2, v, a->density_kg_m3), WORKED_PRESSURE, cloth,
			   figures_of(w, k));
	else
		worked_put(w, "Loss of the clean cloth", "p = r₁ v μ / 0.0000182", "# × # × # / 0.0000182",
			   WITH(r1, v, a->viscosity_pa_s), WORKED_PRESSURE, cloth, figures_of(w, k));
	if (s->dirty && b->dirty_known) {
		cake = k->drag_per_s.v * k->dirty_load_kg_m2.v * thin * v;
		worked_put(w, "Loss of the cake", "p = drag × load × v μ / 0.0000182", "# × # × # × # / 0.0000182",
			   WITH(k->drag_per_s.v, k->dirty_load_kg_m2.v, v, a->viscosity_pa_s), WORKED_PRESSURE, cake,
			   MODEL_OF_CAKE);
	}
	if (b->k > 0) {
		double mouth_v = fabs(s->f->flow_m3_s) / b->plan_m2,
		       bore = sqrt(b->plan_m2 / b->count / 3.14159265358979);
		worked_put(w, "Mouths of the tubes", "A = n π d² / 4", "# × 3.14159265 × @² / 4",
			   WITH(b->count, 2 * bore), WORKED_AREA, b->plan_m2, NULL);
		worked_put(w, "Speed in the mouths", "v = Q / A", "# / #", WITH(fabs(s->f->flow_m3_s), b->plan_m2),
			   WORKED_SPEED, mouth_v, NULL);
		mouths = b->k * worked_velocity_pressure(w, s, "Its velocity pressure", mouth_v);
		worked_put(w, "Loss of the mouths", "p = K p", "# × #", WITH(b->k, mouths / b->k), WORKED_PRESSURE,
			   mouths,
			   "K of a perforated plate, as of openings, with the collar's length for its thickness");
	}
	worked_put(w, "Pressure it costs", "Δp = cloth + cake + mouths", "# + # + #", WITH(cloth, cake, mouths),
		   WORKED_PRESSURE, fabs(s->f->loss_pa), NULL);
	if (known(b->box_m2))
		worked_put(w, "Upward speed between the tubes", "v = Q / plan left free", "# / #",
			   WITH(fabs(s->f->flow_m3_s), b->box_m2), WORKED_SPEED, fabs(s->f->flow_m3_s) / b->box_m2,
			   NULL);
}

/* ---- fans ---------------------------------------------------------------------------------------------------------
 */

void worked_fan(worked *w, const worked_state *s) {
	const model_branch *b = s->b;
	const model_stock *k = &s->m->stocks.v[b->stock];
	double pressure = w->ms == MEASURES_INCH ? 249.08891 : 1, rise = -s->f->loss_pa;
	double published = known(k->curve_density_kg_m3.v) ? k->curve_density_kg_m3.v : AIRLAW_STANDARD_DENSITY;
	points c = points_of(w, k, false);
	double q = one_of(w, s, "Flow of one fan"), p = between(w, &c, q, "Its published pressure there");
	double effect = (known(b->effect_k[0]) ? b->effect_k[0] : 0) + (known(b->effect_k[1]) ? b->effect_k[1] : 0);
	double lost = effect * airlaw_velocity_pressure(s->m->air.density_kg_m3, fabs(s->f->speed_m_s)), net = rise;
	if (effect > 0) rise = net + lost;
	worked_put(w, effect > 0 ? "Rise of the fan" : "Pressure it gives", "Δp = p ρ / ρ published",
		   w->ms == MEASURES_INCH ? "& × # / #" : "# × # / #",
		   WITH(p * pressure, s->m->air.density_kg_m3, published), WORKED_PRESSURE, rise,
		   arena_printf(w->mem, "Fan laws: pressure goes with the density. %s", figures_of(w, k)));
	if (effect > 0) {
		double inlet = worked_velocity_pressure(w, s, "Velocity pressure in its inlet", fabs(s->f->speed_m_s));
		worked_put(w, "Pressure it gives", "Δp = rise - K p, K declared for its approach and outlet",
			   "# - # × #", WITH(rise, effect, inlet), WORKED_PRESSURE, net,
			   "The loss of the approach is the plan's own");
	}
	if (known(k->efficiency.v))
		worked_put(w, "Shaft power", "P = Q Δp / η", "# × # / #",
			   WITH(fabs(s->f->flow_m3_s), rise, k->efficiency.v), WORKED_POWER,
			   airlaw_shaft_power(fabs(s->f->flow_m3_s), rise, k->efficiency.v),
			   "flow × rise / efficiency (textbook); the efficiency is the stock's");
	if (known(k->efficiency.v) && known(k->motor_efficiency.v)) {
		double shaft_w = airlaw_shaft_power(fabs(s->f->flow_m3_s), rise, k->efficiency.v);
		worked_put(w, "Power from the mains", "P = P₁ / η", "# / #", WITH(shaft_w, k->motor_efficiency.v),
			   WORKED_POWER, airlaw_motor_power(shaft_w, 1, k->motor_efficiency.v),
			   "shaft power / efficiency of the motor (textbook); that is the stock's");
	}
}
