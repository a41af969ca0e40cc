/* How far beams and plates bend, and how much their wood changes with moisture: closed formulas of the textbooks.
 * Values: no ownership. SI throughout: metres, newtons, pascals; deflections come out in metres, stresses in pascals.
 */
#ifndef ENGINE_BEAM_H
#define ENGINE_BEAM_H

#define BEAM_GRAVITY_M_S2 9.80665 /* standard, ISO 80000-3 */

typedef enum beam_ends { BEAM_RESTS, BEAM_FIXED, BEAM_FREE_END } beam_ends; /* both rest, both held, one held */
typedef enum beam_load { BEAM_SPREAD, BEAM_MIDDLE } beam_load; /* evenly; or at one point: the middle, the free end */

/* Second moment of area of a rectangle, m4: breadth across the load, height along it. */
double beam_second_moment(double breadth_m, double height_m);
/* Largest deflection under a whole load of load_n, EI in N m2. Factors 5/384, 1/48 (rests), 1/384, 1/192 (fixed), 1/8,
 * 1/3 (one free end) of load span^3 / EI: Wood Handbook (FPL-GTR-190), chapter 9, bending deflection kW L^3/EI;
 * shear is left out, as is usual for spans of more than about 14 times the height. */
double beam_deflection(beam_ends ends, beam_load load, double load_n, double span_m, double ei_n_m2);
/* Largest bending moment, N m: 1/8, 1/4 (rests), 1/12, 1/8 (fixed), 1/2, 1 (one free end) of load span. */
double beam_moment(beam_ends ends, beam_load load, double load_n, double span_m);
/* Bending stress in the outer fibre of a rectangle, Pa. */
double beam_stress(double moment_n_m, double breadth_m, double height_m);
/* The span at which an evenly loaded beam that rests at both ends bends by span / ratio; load in N on a metre. */
double beam_span_for(double ratio, double load_n_m, double ei_n_m2);

typedef struct beam_plate {
	double deflection_m, stress_pa;
} beam_plate;
/* A rectangular plate that rests on all four sides under an even pressure: deflection in its middle alpha p b^4 / (E
 * t^3), stress beta p b^2 / t^2, b the shorter side; alpha and beta by the ratio of the sides, a straight line between
 * the rows of the table, for a Poisson ratio of 0.3: Roark's Formulas for Stress and Strain, table of flat plates, all
 * edges simply supported (rows as remembered; tests/published compares them with Navier's series). For deflections up
 * to half the thickness; beyond that the plate is stiffer than this says. */
beam_plate beam_plate_rests(double a_m, double b_m, double thick_m, double pressure_pa, double modulus_pa);

/* A rectangular plate that rests on three sides, even pressure, Poisson ratio 0.3: deflection in the middle of its free
 * edge. free_m is the length of that edge, deep_m the distance from it to the side across. Levy's solution, its series
 * summed (Timoshenko and Woinowsky-Krieger, Theory of Plates and Shells, three edges simply supported and one free). */
double beam_plate_three_sides(double free_m, double deep_m, double thick_m, double pressure_pa, double modulus_pa);

/* Change of a width of wood, m: width, coefficient of dimensional change per percent of moisture content, change of the
 * moisture content in percent points (6 to 12 is 6). Wood Handbook (FPL-GTR-190), chapter 13, equation of dimensional
 * change with coefficients, within 6 and 14 percent. */
double beam_movement(double width_m, double coefficient, double moisture_change);
#endif
