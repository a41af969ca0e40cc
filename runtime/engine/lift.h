/* What one person lifts: the revised lifting equation. Values: no ownership. */
#ifndef ENGINE_LIFT_H
#define ENGINE_LIFT_H
#include <stdint.h>

/* Load constant of the revised NIOSH lifting equation, for the best lift there is: held close, at knuckle height, good
 * grip, now and then (Waters, Putz-Anderson, Garg, Applications Manual, DHHS (NIOSH) 94-110; read as quoted by
 * a national occupational-health centre). */
#define LIFT_LOAD_CONSTANT_KG 23.0

/* One lift, straight in front, seldom (asymmetry and frequency multipliers are 1). */
typedef struct lift {
	double out_cm;	  /* H: from between the ankles to the hands */
	double from_cm;	  /* V: height of the hands where the lift begins */
	double travel_cm; /* D: how far up or down */
	double coupling;  /* CM: 1 good grip, 0.95 fair, 0.90 poor */
} lift;

/* Recommended weight limit in kg: 23 x 25/H x (1 - 0.003 |V - 75|) x (0.82 + 4.5/D) x CM. H and D below 25 cm count
 * as 25; H beyond 63 cm, V beyond 175 cm or D beyond 175 cm give 0 (the equation does not reach there). */
double lift_limit_kg(lift l);
/* People beside the first, so that none carries more than the load constant; 0 for a mass that is not known. */
uint32_t lift_helpers(double mass_kg);
#endif
