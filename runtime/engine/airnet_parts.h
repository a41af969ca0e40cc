/* What the files of the air network share: the work in hand of one solution. Not for others: see airnet.h.
 * Ownership: everything lives in the arena of the work. */
#ifndef ENGINE_AIRNET_PARTS_H
#define ENGINE_AIRNET_PARTS_H
#include "runtime/engine/airnet.h"
#include "runtime/engine/spd.h"

#define AIRNET_HAIR 1e-9 /* of a curve's last flow: so far beside its ends is on them */

typedef struct law { /* one branch as the solver sees it */
	const airnet_branch *b;
	bool off;	    /* closed, or held at a flow: not part of the system */
	airnet_curve shape; /* fan: the curve in use, published or envelope */
	double shut;	    /* damper: its slope while it is shut */
} law;

typedef struct work {
	arena *mem;
	const airnet *net;
	law *laws;
	uint32_t held; /* branch held at a flow, or AIRNET_NONE */
	double held_flow;
	double *q, *d;			     /* flows and step [branches] */
	double *slope, *h;		     /* at q */
	double *slope_ahead, *h_ahead;	     /* at the end of a step */
	double *p;			     /* [spaces] */
	spd *system;			     /* of the spaces but the room */
	double *on_diagonal, *of_pair, *rhs; /* [spaces], [pairs], [spaces] */
	size_t n_pairs;			     /* branches that join two spaces other than the room, in their order */
	double q_scale, p_scale;
	double floor;	   /* smallest slope that a passive tangent may have */
	double unbalanced; /* largest imbalance of a space before the last step */
	uint32_t steps;
	bool converged;
} work;

/* The drop of branch i at a flow, and its slope by the flow. Beyond a curve's ends it goes on as a straight line, so
 * that the iteration has somewhere to go. */
double airnet_law_drop(const work *w, size_t i, double q, double *slope);
/* Gives every open fan its published curve, or the falling envelope of it. */
void airnet_use_curves(work *w, bool published);

/* Whether the network can be asked at all; what cannot is named in r. */
airnet_trouble airnet_examine(arena *mem, const airnet *net, airnet_result *r);
/* Are all spaces joined to the room by open branches other than `without`? */
bool airnet_all_joined(arena *mem, const airnet *net, uint32_t without);
#endif
