#include "runtime/engine/airlaw.h"

#include <math.h>
#include <stddef.h>
#include <string.h>

static const double PI = 3.14159265358979323846;

static const double LAMINAR_END = 2300, TURBULENT_BEGIN = 4000;

/* ---- air ----------------------------------------------------------------------------------- */

double airlaw_pressure(double altitude_m) {
	if (!(altitude_m >= -500 && altitude_m <= 11000)) return NAN;
	return 101325 * pow(1 - 2.25577e-5 * altitude_m, 5.25588);
}

double airlaw_density(double altitude_m, double temperature_k) {
	if (!(temperature_k >= 200 && temperature_k <= 400)) return NAN;
	return airlaw_pressure(altitude_m) / (287.05 * temperature_k);
}

double airlaw_saturation(double t) {
	if (!(t >= 173.15 && t <= 473.15)) return NAN;
	double ln = t < 273.15 ? -5.6745359e3 / t + 6.3925247 - 9.6778430e-3 * t + 6.2215701e-7 * t * t +
					 2.0747825e-9 * t * t * t - 9.4840240e-13 * t * t * t * t + 4.1635019 * log(t)
			       : -5.8002206e3 / t + 1.3914993 - 4.8640239e-2 * t + 4.1764768e-5 * t * t -
					 1.4452093e-8 * t * t * t + 6.5459673 * log(t);
	return exp(ln);
}

double airlaw_density_moist(double altitude_m, double temperature_k, double relative_humidity) {
	double dry = airlaw_density(altitude_m, temperature_k);
	if (!(relative_humidity >= 0 && relative_humidity <= 1)) return NAN;
	if (relative_humidity == 0) return dry;
	double vapour = relative_humidity * airlaw_saturation(temperature_k);
	if (!(vapour < airlaw_pressure(altitude_m))) return NAN;
	return dry - vapour / temperature_k * (1 / 287.05 - 1 / 461.52);
}

double airlaw_viscosity(double temperature_k) {
	if (!(temperature_k >= 100 && temperature_k <= 1900)) return NAN;
	return 1.458e-6 * temperature_k * sqrt(temperature_k) / (temperature_k + 110.4);
}

double airlaw_velocity_pressure(double density, double speed_m_s) { return density * speed_m_s * speed_m_s / 2; }

double airlaw_speed_of_pressure(double density, double velocity_pressure_pa) {
	return sqrt(2 * velocity_pressure_pa / density);
}

/* ---- openings ------------------------------------------------------------------------------- */

double airlaw_plate_thin(double free_part) {
	if (!(free_part >= 0 && free_part <= 1)) return NAN;
	double root = 0.707 * sqrt(1 - free_part) + 1 - free_part;
	return root * root;
}

double airlaw_plate_thick(double free_part) {
	if (!(free_part >= 0 && free_part <= 1)) return NAN;
	return 0.5 * (1 - free_part) + 1 - free_part * free_part;
}

double airlaw_plate_weight(double s) {
	if (!(s >= 0)) return NAN;
	if (s >= 2.4) return 0;
	double s7 = pow(s, 7), phi = 0.25 + 0.535 * s7 * s / (0.05 + s7);
	return (2.4 - s) * pow(10, -phi) / (2.4 * pow(10, -0.25));
}

double airlaw_plate(double free_part, double thick_over_diameter) {
	double thick = airlaw_plate_thick(free_part), thin = airlaw_plate_thin(free_part);
	return thick + airlaw_plate_weight(thick_over_diameter) * (thin - thick);
}

double airlaw_expansion(double smaller_m2, double larger_m2) {
	if (!(smaller_m2 > 0 && smaller_m2 <= larger_m2)) return NAN;
	double left = 1 - smaller_m2 / larger_m2;
	return left * left;
}

double airlaw_hydraulic(double area_m2, double perimeter_m) {
	return perimeter_m > 0 ? 4 * area_m2 / perimeter_m : NAN;
}

/* ---- ducts ---------------------------------------------------------------------------------- */

/* With x = 1/sqrt f Colebrook reads x + 2 log10(a + b x) = 0, increasing and concave in x: Newton from Haaland's value
 * converges in a handful of steps. Gives f, and in *slope d ln f / d ln Re. */
static double colebrook(double reynolds, double e, double *slope) {
	const double ln10 = 2.302585092994045684;
	double a = e / 3.7, b = 2.51 / reynolds, x = 1 / sqrt(airlaw_friction_haaland(reynolds, e)), inner = 0;
	for (int i = 0; i < 50; i++) {
		inner = a + b * x;
		double f = x + 2 / ln10 * log(inner), df = 1 + 2 / ln10 * b / inner, step = f / df;
		x -= step;
		if (fabs(step) <= 1e-15 * x) break;
	}
	inner = a + b * x;
	/* dx/dRe from the implicit function; f = x^-2. */
	double c = 2 / ln10 * b / inner;
	if (slope) *slope = -2 * c / (1 + c);
	return 1 / (x * x);
}

/* g = f Re^2, which the loss goes with, and its derivative by Re. */
static double friction_g(double re, double e, double *slope) {
	if (re < LAMINAR_END) {
		*slope = 64;
		return 64 * re;
	}
	double power = 0;
	if (re >= TURBULENT_BEGIN) {
		double g = colebrook(re, e, &power) * re * re;
		*slope = (2 + power) * g / re;
		return g;
	}
	double g0 = 64 * LAMINAR_END, m0 = 64, wide = TURBULENT_BEGIN - LAMINAR_END;
	double g1 = colebrook(TURBULENT_BEGIN, e, &power) * TURBULENT_BEGIN * TURBULENT_BEGIN;
	double m1 = (2 + power) * g1 / TURBULENT_BEGIN;
	/* Both slopes are below three times the secant for every roughness up to 0.05: the cubic rises (Fritsch and
	 * Carlson 1980). */
	double t = (re - LAMINAR_END) / wide, t2 = t * t, t3 = t2 * t;
	*slope = ((6 * t2 - 6 * t) * (g0 - g1)) / wide + (3 * t2 - 4 * t + 1) * m0 + (3 * t2 - 2 * t) * m1;
	return (2 * t3 - 3 * t2 + 1) * g0 + (t3 - 2 * t2 + t) * wide * m0 + (3 * t2 - 2 * t3) * g1 +
	       (t3 - t2) * wide * m1;
}

double airlaw_friction(double reynolds, double relative_roughness) {
	if (!(reynolds >= 0) || !(relative_roughness >= 0 && relative_roughness <= 0.05)) return NAN;
	if (reynolds == 0) return INFINITY;
	double slope = 0;
	return friction_g(reynolds, relative_roughness, &slope) / (reynolds * reynolds);
}

double airlaw_friction_haaland(double reynolds, double relative_roughness) {
	double x = -1.8 * log10(pow(relative_roughness / 3.7, 1.11) + 6.9 / reynolds);
	return 1 / (x * x);
}

double airlaw_friction_swamee_jain(double reynolds, double relative_roughness) {
	double x = log10(relative_roughness / 3.7 + 5.74 / pow(reynolds, 0.9));
	return 0.25 / (x * x);
}

double airlaw_friction_blasius(double reynolds) { return 0.3164 / pow(reynolds, 0.25); }

double airlaw_duct_loss(const airlaw_duct *d, double density, double viscosity, double flow_m3_s, double *slope) {
	double area = PI * d->diameter_m * d->diameter_m / 4, speed = fabs(flow_m3_s) / area;
	double per_speed = density * d->diameter_m / viscosity, re = speed * per_speed, dg = 0;
	double g = friction_g(re, d->roughness_m / d->diameter_m, &dg);
	/* f (L/D) 1/2 rho v^2 = g (L/D) mu^2/(2 rho D^2) */
	double unit =
		d->length_m / d->diameter_m * viscosity * viscosity / (2 * density * d->diameter_m * d->diameter_m);
	double loss = unit * g + d->loss_k * density * speed * speed / 2;
	if (slope) *slope = (unit * dg * per_speed + d->loss_k * density * speed) / area;
	return flow_m3_s < 0 ? -loss : loss;
}

double airlaw_equivalent_diameter(double a_m, double b_m) {
	return 1.30 * pow(a_m * b_m, 0.625) / pow(a_m + b_m, 0.25);
}

airlaw_duct airlaw_rectangular(double a_m, double b_m, double length_m, double roughness_m, double loss_k) {
	double d = airlaw_equivalent_diameter(a_m, b_m), share = PI * d * d / (4 * a_m * b_m);
	return (airlaw_duct){d, length_m, roughness_m, loss_k * share * share};
}

/* ---- hoods ---------------------------------------------------------------------------------- */

double airlaw_hood_entry(double fh) { return 1 / sqrt(1 + fh); }

double airlaw_hood_static(double fh, double velocity_pressure_pa) { return velocity_pressure_pa * (1 + fh); }

double airlaw_hood_flow(double ce, double area_m2, double density, double hood_static_pa) {
	return ce * area_m2 * airlaw_speed_of_pressure(density, hood_static_pa);
}

double airlaw_capture_plain(double speed_m_s, double distance_m, double area_m2) {
	if (!(distance_m >= 0 && distance_m <= 1.5 * sqrt(4 * area_m2 / PI))) return NAN;
	return speed_m_s * (10 * distance_m * distance_m + area_m2);
}

double airlaw_capture_flanged(double speed_m_s, double distance_m, double area_m2) {
	return 0.75 * airlaw_capture_plain(speed_m_s, distance_m, area_m2);
}

double airlaw_capture_slot(double speed_m_s, double distance_m, double length_m) {
	return 3.7 * length_m * speed_m_s * distance_m;
}

double airlaw_capture_slot_flanged(double speed_m_s, double distance_m, double length_m) {
	return 2.6 * length_m * speed_m_s * distance_m;
}

double airlaw_capture_speed(double flow_m3_s, double distance_m, double area_m2) {
	double unit = airlaw_capture_plain(1, distance_m, area_m2);
	return flow_m3_s / unit;
}

/* ---- media ---------------------------------------------------------------------------------- */

double airlaw_media(double r1_pa_s_m, double r2_pa_s2_m2, double speed_m_s) {
	return (r1_pa_s_m + r2_pa_s2_m2 * fabs(speed_m_s)) * speed_m_s;
}

double airlaw_frazier(double cfm_per_ft2) { return cfm_per_ft2 > 0 ? 0.5 * 249.08891 / (cfm_per_ft2 * 0.00508) : NAN; }

double airlaw_permeability(double speed_m_s, double pressure_pa) {
	return speed_m_s > 0 && pressure_pa > 0 ? pressure_pa / speed_m_s : NAN;
}

bool airlaw_media_of_two(double v1, double p1, double v2, double p2, double *r1_pa_s_m, double *r2_pa_s2_m2) {
	if (!(v1 > 0 && p1 > 0 && v2 > 0 && p2 > 0) || v1 == v2) return false;
	double r2 = (p2 / v2 - p1 / v1) / (v2 - v1), r1 = p1 / v1 - r2 * v1;
	/* Rounded figures of a straight law may leave a trace of the other sign. */
	double hair = 1e-9 * p1 / v1;
	if (!(r1 >= -hair) || !(r2 * v1 >= -hair)) return false;
	*r1_pa_s_m = fmax(0, r1);
	*r2_pa_s2_m2 = fmax(0, r2);
	return true;
}

double airlaw_between_tubes(double flow_m3_s, double box_m2, double tubes, double tube_diameter_m) {
	double left = box_m2 - tubes * PI * tube_diameter_m * tube_diameter_m / 4;
	return left > 0 ? flow_m3_s / left : NAN;
}

double airlaw_cake(double drag_per_s, double load_kg_m2, double speed_m_s) {
	return drag_per_s * load_kg_m2 * speed_m_s;
}

double airlaw_drag_from_k2(double k2) { return k2 * 249.08891 / (4.88242763638305 * 0.00508); }

static const struct cloth_use {
	const char *word;
	double ft_min;	    /* NaN: no figure */
	const char *basis;  /* what stands behind the figure */
	double also_ft_min; /* 0, or a second figure in the words, where their %s stands */
} CLOTH_USES[] = {
	{"pulse", 12, " for sawdust on pulse-jet cloth (from memory, EPA Cost Manual, section 6, chapter 1)", 0},
	{"coarse", 36, " on large unshaken felt for coarse dust (common practice, no source)", 0},
	{"unshaken", 36, " on large unshaken felt for coarse dust (common practice, no source)", 0},
	{"shaken", 3.5, " for sawdust on shaken cloth (from memory, EPA Cost Manual, section 6, chapter 1)", 0},
	{"clean air", (double)NAN, "no figure: not a cloth that holds a cake", 0},
	{NULL, 6, " and more is called high, about %s normal (Wang, Air Pollution Control Engineering, 2004, p. 69)",
	 3},
};

static const struct cloth_use *cloth_use_of(const char *words) {
	const struct cloth_use *u = CLOTH_USES;
	while (u->word && !(words && strstr(words, u->word))) u++;
	return u;
}

double airlaw_cloth_speed(const char *use, bool *stated) {
	const struct cloth_use *u = cloth_use_of(use);
	if (stated) *stated = u->word != NULL;
	return u->ft_min * 0.00508;
}

/* The source's own figure stands in brackets where the plan measures otherwise. */
static const char *show_ft_min(arena *mem, double ft_min, measures m) {
	const char *shown = quant_show_si(mem, DIM_SPEED, ft_min * 0.00508, m);
	if (m == MEASURES_INCH) return arena_printf(mem, "%s ft/min", quant_show_number(mem, ft_min, 1));
	return arena_printf(mem, "%s (%s ft/min)", shown, quant_show_number(mem, ft_min, 1));
}

const char *airlaw_cloth_basis(arena *mem, const char *use, measures m) {
	const struct cloth_use *u = cloth_use_of(use);
	if (!isfinite(u->ft_min)) return u->basis;
	const char *rest = strstr(u->basis, "%s"), *shown = show_ft_min(mem, u->ft_min, m);
	if (!rest) return arena_printf(mem, "%s%s", shown, u->basis);
	return arena_printf(mem, "%s%.*s%s%s", shown, (int)(rest - u->basis), u->basis,
			    show_ft_min(mem, u->also_ft_min, m), rest + 2);
}

/* ---- fans and rooms ---------------------------------------------------------------------------- */

double airlaw_fan_flow(double flow, double speed_ratio) { return flow * speed_ratio; }

double airlaw_fan_pressure(double pressure, double speed_ratio, double density_ratio) {
	return pressure * density_ratio * speed_ratio * speed_ratio;
}

double airlaw_fan_power(double power, double speed_ratio, double density_ratio) {
	return power * density_ratio * speed_ratio * speed_ratio * speed_ratio;
}

double airlaw_shaft_power(double flow_m3_s, double rise_pa, double efficiency) {
	if (!(efficiency > 0 && efficiency <= 1)) return NAN;
	return flow_m3_s * rise_pa / efficiency;
}

double airlaw_motor_power(double shaft_w, double drive_efficiency, double motor_efficiency) {
	if (!(drive_efficiency > 0 && drive_efficiency <= 1) || !(motor_efficiency > 0 && motor_efficiency <= 1))
		return NAN;
	return shaft_w / (drive_efficiency * motor_efficiency);
}

double airlaw_changes(double flow_m3_s, double room_m3) { return room_m3 > 0 ? flow_m3_s * 3600 / room_m3 : NAN; }

double airlaw_decay_s(double c1_over_c2, double changes_per_h, double mixing) {
	if (!(c1_over_c2 >= 1) || !(changes_per_h > 0)) return NAN;
	return log(c1_over_c2) * 3600 / changes_per_h * mixing;
}
