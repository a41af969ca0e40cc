/* The laws of air that the network is built from: pure functions in SI (m, kg, s, Pa, K), nothing assumed.
 * Values: no ownership. Each comment gives the source and the range; "memory" marks a figure not seen in writing
 * when it was entered. Outside its range a function gives NaN unless it says otherwise. */
#ifndef ENGINE_AIRLAW_H
#define ENGINE_AIRLAW_H
#include <stdbool.h>

#include "runtime/base/quant.h"

/* ---- air ----------------------------------------------------------------------------------- */

#define AIRLAW_STANDARD_DENSITY 1.2	  /* kg/m3; the trade's standard air, 0.075 lb/ft3 */
#define AIRLAW_STANDARD_VISCOSITY 1.82e-5 /* Pa s, near 20 degC */
#define AIRLAW_STANDARD_K 294.26	  /* 70 degF */

/* Still air's pressure at an altitude, Pa: 101325 (1 - 2.25577e-5 z)^5.25588, the standard atmosphere's troposphere
 * (memory). -500 to 11000 m. */
double airlaw_pressure(double altitude_m);
/* Density of dry air, kg/m3: p / (287.05 T) (ideal gas). 200 to 400 K. At sea level and 70 degF 1.2. */
double airlaw_density(double altitude_m, double temperature_k);
/* Pressure of saturated water vapour, Pa: Hyland and Wexler's equations in the form of the ASHRAE Handbook of
 * Fundamentals, chapter 1 (coefficients read in two published programs), over ice below 273.15 K. 173.15 to 473.15 K.
 */
double airlaw_saturation(double temperature_k);
/* Density of moist air, kg/m3: dry air and vapour as ideal gases at their own pressures, (p - e)/(287.05 T) +
 * e/(461.52 T), e = relative humidity (0 to 1) times the saturation pressure. Vapour is lighter: moist air lies below
 * dry air by 1 % at most at 70 degF. The viscosity stays that of dry air (below 1 % at room temperature, memory). */
double airlaw_density_moist(double altitude_m, double temperature_k, double relative_humidity);
/* Dynamic viscosity, Pa s: Sutherland's law 1.458e-6 T^1.5 / (T + 110.4) (memory). 100 to 1900 K. */
double airlaw_viscosity(double temperature_k);
/* 1/2 rho v^2; equals (V/4005)^2 in.wg with V in ft/min, and (V/1.29)^2 Pa, in standard air. */
double airlaw_velocity_pressure(double density, double speed_m_s);
double airlaw_speed_of_pressure(double density, double velocity_pressure_pa); /* its inverse; >= 0 */

/* ---- openings ------------------------------------------------------------------------------- */

/* Loss coefficients K on the speed in the opening's own area: loss = K 1/2 rho v_hole^2.
 * `free_part` is open area over the area of the plate the air comes to (0 < free_part <= 1; near 0 for a lone hole). */

/* Thin (t/d to 0) sharp-edged plate: (0.707 sqrt(1-f) + 1 - f)^2. After Idelchik, Handbook of Hydraulic Resistance
 * (memory); agrees within 10 % with a published table of square-edged screens for f 0.2 to 0.5. */
double airlaw_plate_thin(double free_part);
/* Thick plate: 0.5 (1-f) + 1 - f^2; no pressure is regained behind it. Blevins, Applied Fluid Dynamics Handbook, 1984,
 * there on the approach speed (divide by f^2). */
double airlaw_plate_thick(double free_part);
/* Between the two by thickness over the hole's hydraulic diameter: thick + w (thin - thick), w = tau(t/d)/tau(0) with
 * Idelchik's tau = (2.4 - t/d) 10^-(0.25 + 0.535 s^8/(0.05 + s^7)), s = t/d, 0 from 2.4 on (memory). The blend itself
 * is ours. Falls steadily from thin to thick. */
double airlaw_plate(double free_part, double thick_over_diameter);
/* The thickness function alone, 1 at 0 and 0 from 2.4 on. */
double airlaw_plate_weight(double thick_over_diameter);
/* Lone sharp opening or leak between two spaces: 1/Cd^2 = 2.78 with Cd 0.60, which is the sharp slot or orifice of
 * ACGIH Industrial Ventilation (Fh 1.78) with its velocity pressure lost behind it. */
#define AIRLAW_SHARP_K 2.78
/* Sudden expansion on the smaller area: (1 - A1/A2)^2. Borda-Carnot. 0 < A1 <= A2. */
double airlaw_expansion(double smaller_m2, double larger_m2);
/* Hydraulic diameter 4 A / perimeter. */
double airlaw_hydraulic(double area_m2, double perimeter_m);

/* Of the walls of a gap or a box, taken as plywood, m: 0.03 to 0.12 mm after Idelchik. */
#define AIRLAW_WALL_ROUGHNESS_M 0.0001

/* ---- ducts ---------------------------------------------------------------------------------- */

/* Darcy friction factor (four times Fanning's). Below Re 2300 64/Re; from 4000 on Colebrook
 * 1/sqrt f = -2 log10(e/3.7 + 2.51/(Re sqrt f)) solved to the last digits; between, a cubic in f Re^2 that joins both
 * with their slopes, so that the loss rises steadily and smoothly with the flow (the joining is ours). Roughness over
 * diameter 0 to 0.05. Re >= 0. */
double airlaw_friction(double reynolds, double relative_roughness);
/* Explicit approximations, for comparison only. Haaland 1983; Swamee and Jain 1976; Blasius (smooth, 3e3 to 1e5). */
double airlaw_friction_haaland(double reynolds, double relative_roughness);
double airlaw_friction_swamee_jain(double reynolds, double relative_roughness);
double airlaw_friction_blasius(double reynolds);

typedef struct airlaw_duct {
	double diameter_m, length_m, roughness_m;
	double loss_k; /* sum of the fittings' coefficients on the duct's velocity pressure, ends included */
} airlaw_duct;
/* Loss of a flow (any sign; the loss has the flow's sign), Pa, and its derivative by the flow, Pa s/m3 (> 0).
 * Darcy-Weisbach f (L/D) 1/2 rho v^2 and K 1/2 rho v^2. slope may be NULL. */
double airlaw_duct_loss(const airlaw_duct *d, double density, double viscosity, double flow_m3_s, double *slope);
/* Round duct of equal loss and flow, m: 1.30 (ab)^0.625/(a+b)^0.25. Huebscher 1948. Its friction goes with the speed
 * that the flow has in it, not with the one in the rectangle. Side ratio to AIRLAW_MOST_SIDES. */
#define AIRLAW_MOST_SIDES 8.0
double airlaw_equivalent_diameter(double a_m, double b_m);
/* A rectangular duct as the round one that loses as much at every flow; loss_k stands on the speed in the rectangle. */
airlaw_duct airlaw_rectangular(double a_m, double b_m, double length_m, double roughness_m, double loss_k);

/* ---- hoods ---------------------------------------------------------------------------------- */

/* Entry loss factors Fh on the duct's velocity pressure. ACGIH Industrial Ventilation, 24th ed. */
#define AIRLAW_FH_PLAIN 0.93
#define AIRLAW_FH_FLANGED 0.49
#define AIRLAW_FH_BELLMOUTH 0.04
#define AIRLAW_FH_SLOT 1.78
#define AIRLAW_FH_GRINDER 0.65
#define AIRLAW_FH_GRINDER_TAPERED 0.40
double airlaw_hood_entry(double fh);							   /* Ce = 1/sqrt(1 + Fh) */
double airlaw_hood_static(double fh, double velocity_pressure_pa);			   /* suction VP (1 + Fh) */
double airlaw_hood_flow(double ce, double area_m2, double density, double hood_static_pa); /* Ce A sqrt(2 SPh/rho) */

/* Flow that brings a speed to a distance before a hood, m3/s. DallaValle, as in ACGIH Industrial Ventilation and the
 * OSHA Technical Manual: plain V (10 X^2 + A), flanged 0.75 of it; slot 3.7 L V X, flanged slot 2.6 L V X. Not beyond
 * X = 1.5 D for the round ones: NaN there (D = sqrt(4A/pi)). */
double airlaw_capture_plain(double speed_m_s, double distance_m, double area_m2);
double airlaw_capture_flanged(double speed_m_s, double distance_m, double area_m2);
double airlaw_capture_slot(double speed_m_s, double distance_m, double length_m);
double airlaw_capture_slot_flanged(double speed_m_s, double distance_m, double length_m);
/* The speed a plain opening brings to a distance, m/s: the inverse of airlaw_capture_plain. */
double airlaw_capture_speed(double flow_m3_s, double distance_m, double area_m2);

/* ---- media ---------------------------------------------------------------------------------- */

/* Clean media: r1 v + r2 v^2, Pa, v the filtration speed (flow over media area), m/s. */
double airlaw_media(double r1_pa_s_m, double r2_pa_s2_m2, double speed_m_s);
/* Frazier permeability (cfm through 1 ft2 at 0.5 in.wg, ASTM D737 in these units) to r1, Pa s/m: 24517/Frazier
 * (0.5 in.wg = 124.54 Pa over Frazier x 0.00508 m/s); linear media. */
double airlaw_frazier(double cfm_per_ft2);
/* The same at any stated pressure: the filtration speed measured at a pressure to r1, Pa s/m; linear media. */
double airlaw_permeability(double speed_m_s, double pressure_pa);
/* Two points measured on one media to r1 and r2. False when they do not belong to a law r1 v + r2 v2 with neither
 * below zero, or are one point. */
bool airlaw_media_of_two(double speed1_m_s, double pressure1_pa, double speed2_m_s, double pressure2_pa,
			 double *r1_pa_s_m, double *r2_pa_s2_m2);
/* Speed at which the air rises between hanging tubes ("can velocity"), m/s: flow over the plan of the box less the
 * tubes' sections. NaN where the tubes leave nothing. */
double airlaw_between_tubes(double flow_m3_s, double box_m2, double tubes, double tube_diameter_m);
/* Cake by the drag model: drag w v, Pa; drag 1/s (Pa s/m per kg/m2), w kg/m2. Wang, Air Pollution Control Engineering,
 * 2004 (there K2 v^2 L t). */
double airlaw_cake(double drag_per_s, double load_kg_m2, double speed_m_s);
/* K2 in in.wg/[(lb/ft2)(ft/min)] to 1/s. */
double airlaw_drag_from_k2(double k2);

/* What a filtration speed (flow over media area) is measured against, by the words in which a plan states the use of
 * the media; they disagree, so the basis is given with the figure. m/s; NaN where no such figure applies. *stated: the
 * words name one of these uses (may be NULL). "pulse"   12 ft/min, sawdust, pulse-jet (memory: EPA Cost Manual, section
 * 6, chapter 1) "shaken"  3.5 ft/min, sawdust, shaken (memory: the same) "coarse", "unshaken"  36 ft/min, large
 * unshaken felt for coarse dust in small shops (common practice, no source) "clean"   none: a pleat behind another
 * filter, or one that cleans a room, is not a cloth that holds a cake else      6 ft/min and more is called high, about
 * 3 normal (Wang, Air Pollution Control Engineering, 2004, p. 69)
 */
double airlaw_cloth_speed(const char *use, bool *stated);
/* The figure in those measures, the source's own in brackets where it is another, and the source. */
const char *airlaw_cloth_basis(arena *mem, const char *use, measures m);

/* ---- fans and rooms ---------------------------------------------------------------------------- */

/* Fan laws: flow ~ N, pressure ~ rho N^2, power ~ rho N^3; `ratio` is new over old. */
double airlaw_fan_flow(double flow, double speed_ratio);
double airlaw_fan_pressure(double pressure, double speed_ratio, double density_ratio);
double airlaw_fan_power(double power, double speed_ratio, double density_ratio);
/* Shaft power, W: flow x rise / efficiency (0 < efficiency <= 1); equals Q p/(6356 eta) hp with cfm and in.wg. */
double airlaw_shaft_power(double flow_m3_s, double rise_pa, double efficiency);
/* Power drawn by the motor, W: shaft power over the drive's and the motor's efficiency (each 0 to 1; 1 for a wheel on
 * the motor's shaft). */
double airlaw_motor_power(double shaft_w, double drive_efficiency, double motor_efficiency);
/* Air changes per hour. */
double airlaw_changes(double flow_m3_s, double room_m3);
/* Time until a concentration falls from c1 to c2, s: ln(c1/c2)/changes x 3600 x mixing (1 = perfect; 3 to 10 poor).
 * MMWR 43(RR-13), Table S3-1; no further source of dust. */
double airlaw_decay_s(double c1_over_c2, double changes_per_h, double mixing);
#endif
