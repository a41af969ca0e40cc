/* The pieces of worked_air(): laws of openings, ducts, filters and fans written out. Only runtime/write/worked*.c
 * include this. Ownership: as in worked.h. */
#ifndef WRITE_WORKED_AIR_H
#define WRITE_WORKED_AIR_H
#include "runtime/write/worked.h"

/* Numbers of one line. */
#define WITH(...) ((const double[]){__VA_ARGS__})

typedef struct worked_state { /* what a branch is worked out with */
	const model *m;
	int condition;
	bool dirty;
	const model_branch *b;
	const model_flow *f;
	double area_m2, face_m2; /* in this condition: what the speeds stand on */
} worked_state;

/* Loss coefficient of a plate: free part, thickness over diameter. */
void worked_plate(worked *w, double free_part, double thick_m, double hole_m, double k);
/* ½ ρ v² */
double worked_velocity_pressure(worked *w, const worked_state *s, const char *what, double speed_m_s);
void worked_openings(worked *w, const worked_state *s);
void worked_gap(worked *w, const worked_state *s);
void worked_duct(worked *w, const worked_state *s);
void worked_leak(worked *w, const worked_state *s);
void worked_filter(worked *w, const worked_state *s);
void worked_tubes(worked *w, const worked_state *s);
void worked_fan(worked *w, const worked_state *s);
#endif
