/* Named fittings of a duct and what they lose: pure functions in SI, nothing assumed.
 * Values: no ownership. A loss stands on the speed in the fitting's smaller section, which is the duct that names it
 * unless it says otherwise, and is given in two parts: K 1/2 rho v2 with K = k + lengths x f, f the duct's own Darcy
 * friction factor at its flow. So the caller adds `k` to airlaw_duct.loss_k and `lengths` x diameter to
 * airlaw_duct.length_m; several fittings add up, each taken as standing in undisturbed flow.
 * "Rennels and Hudson": Pipe Flow, 2012, its equations read in the documentation of a general fluid-mechanics library
 * (python3-fluids) and held against it by the tests. "ACGIH": Industrial Ventilation. "ASHRAE": Handbook of
 * Fundamentals, 2009, chapter 21. "memory": not seen in writing when it was entered. */
#ifndef ENGINE_AIRFIT_H
#define ENGINE_AIRFIT_H
#include <stdbool.h>

typedef struct airfit_loss {
	double k;	/* NaN: no figure for these values, the plan has to declare one */
	double lengths; /* diameters of the duct's own friction beside it */
} airfit_loss;

/* What a fitting is asked with; each uses those that its row names. NaN: not given. */
typedef struct airfit_values {
	double angle_deg;     /* turned through; of a branch to the main; whole angle of a cone (180 sudden); of a blade
				 from fully open */
	double radius;	      /* radius of an elbow's centre line, or of an entry's rounding, over the diameter */
	double pieces;	      /* of a segmented elbow */
	double area_ratio;    /* smaller over larger section; 0 for a room beyond */
	double free_part;     /* open area over face, of a grille */
	double thick_to_hole; /* thickness over a hole's diameter, of a grille */
} airfit_values;

enum { AIRFIT_ANGLE = 1, AIRFIT_RADIUS = 2, AIRFIT_PIECES = 4, AIRFIT_RATIO = 8, AIRFIT_FREE = 16, AIRFIT_THICK = 32 };

/* X(NAME, word, values it needs, range and source in words). */
#define AIRFITS(X)                                                                                                     \
	X(ELBOW, "elbow", AIRFIT_ANGLE | AIRFIT_RADIUS,                                                                \
	  "smooth bend, to 180 degrees, radius 0.5 to 50 diameters: Rennels and Hudson; its own wall included")        \
	X(SEGMENTED, "segmented-elbow", AIRFIT_ANGLE | AIRFIT_RADIUS | AIRFIT_PIECES,                                  \
	  "3 to 5 pieces, to 90 degrees in proportion, radius 0.75 to 2.5 diameters: 3 pieces ASHRAE CD3-12 "          \
	  "(and ACGIH beyond 2, memory), 4 and 5 ACGIH (memory)")                                                      \
	X(MITRE, "mitred-elbow", AIRFIT_ANGLE, "one joint without vanes, to 150 degrees: Rennels and Hudson")          \
	X(VANED, "vaned-elbow", 0, "mitred, 90 degrees, with turning vanes: 0.6, ACGIH (memory)")                      \
	X(BRANCH, "branch", AIRFIT_ANGLE,                                                                              \
	  "what a branch loses where it runs into a main, 10 to 90 degrees, on the branch: ACGIH (memory)")            \
	X(EXPANSION, "expansion", AIRFIT_ANGLE | AIRFIT_RATIO,                                                         \
	  "cone from the smaller to the larger section, 1 to 180 degrees: Rennels and Hudson")                         \
	X(CONTRACTION, "contraction", AIRFIT_ANGLE | AIRFIT_RATIO,                                                     \
	  "cone from the larger to the smaller section, 5 to 180 degrees: Rennels and Hudson")                         \
	X(PLAIN_ENTRY, "plain-entry", 0, "plain duct end: 0.93, ACGIH")                                                \
	X(FLANGED_ENTRY, "flanged-entry", 0, "flanged duct end or opening in a wall: 0.49, ACGIH")                     \
	X(BELL_ENTRY, "bell-entry", 0, "bell mouth: 0.04, ACGIH")                                                      \
	X(HOOD_ENTRY, "hood-entry", 0, "box hood, the duct taken straight off it: 0.65, ACGIH's grinder hood")         \
	X(TAPERED_ENTRY, "tapered-entry", 0, "box hood, the duct taken off by a taper: 0.40, ACGIH's grinder hood")    \
	X(ROUNDED_ENTRY, "rounded-entry", AIRFIT_RADIUS,                                                               \
	  "flush with a wall, edge rounded by 0 to 1 diameters: Rennels and Hudson")                                   \
	X(EXIT, "exit", 0, "into a space: 1, the velocity pressure")                                                   \
	X(PLENUM, "plenum-turn", 0,                                                                                    \
	  "through a box into a duct of the same size, any turn: 1 where the speed is lost and 0.5 where it is made "  \
	  "again, 1.5 as ACGIH's settling chamber (memory)")                                                           \
	X(GRILLE, "grille", AIRFIT_FREE | AIRFIT_THICK,                                                                \
	  "perforated plate over the whole section, by its free part and thickness: as the plate of airlaw.h")         \
	X(BUTTERFLY, "butterfly", AIRFIT_ANGLE,                                                                        \
	  "round blade, 0 (open) to 60 degrees: 0.20, 0.52, 1.5, 4.5, 11, 29, 108 every 10 degrees, ASHRAE (memory)")
typedef enum airfit_kind {
#define X(name, word, needs, words) AIRFIT_##name,
	AIRFITS(X)
#undef X
		AIRFIT_KINDS
} airfit_kind;
typedef struct airfit_row {
	const char *word, *source;
	unsigned needs; /* AIRFIT_ANGLE | ... */
} airfit_row;
extern const airfit_row AIRFIT_ROWS[AIRFIT_KINDS];

/* k is NaN when a value that is needed is missing or outside the range that the row states. */
airfit_loss airfit_of(airfit_kind kind, const airfit_values *v);

/* ---- what a bent approach costs a fan -------------------------------------------------------- */

/* Loss on the velocity pressure at the fan's inlet of a 90-degree elbow before it, by the straight duct between, in
 * diameters: the system effect curves N to X of AMCA 201 with their factors at 0, 2 and 5 diameters, as remembered
 * (memory); from 5 it falls to nothing at 6, the straight inlet that the OSHA Technical Manual asks for (the straight
 * lines between are ours). radius: centre line over diameter, 0 for a mitred elbow, else 0.5 to 3; pieces 3 or 4 and
 * more (a smooth elbow counts as 4). NaN outside: the plan has to declare a figure. */
double airfit_fan_inlet(double radius, double pieces, double straight_diameters);
/* Loss on the velocity pressure at the fan's outlet that blows into too short a straight duct: the same curves by blast
 * area over outlet area (0.4 to 1), at 0, 12, 25, 50 and 100 % of the effective duct length (memory). */
double airfit_fan_outlet(double blast_ratio, double straight_diameters, double outlet_speed_m_s);
/* That length in diameters of the outlet: 2.5 up to 2500 ft/min, 1 more for each 1000 ft/min beyond (memory). */
double airfit_effective_length(double outlet_speed_m_s);
#endif
