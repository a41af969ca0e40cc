/* The air network: spaces joined by branches with a monotone law between flow and pressure drop, fans among them.
 * Ownership: the caller owns the network and its curves; results live in the arena that is handed in. SI throughout.
 *
 * Unknown are the pressures of the spaces (the room, space 0, is 0 Pa gauge) and the flows. Every step is Newton's on
 * both together: with each law replaced by its tangent, the flow balances of the spaces give a symmetric, positive
 * definite system for the pressures, solved sparsely (spd.h). The way along the step is chosen by the derivative of the
 * energy E(q) = sum of the integrals of the laws, which is convex when every law rises: it has one minimum, and that is
 * the answer. Fans are first taken with the falling envelope of their curve (convex); only when one comes to work on a
 * rising piece is it solved again with the curve as published. Both passes end after at most AIRNET_MOST_STEPS. */
#ifndef ENGINE_AIRNET_H
#define ENGINE_AIRNET_H
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "runtime/base/arena.h"
#include "runtime/engine/airlaw.h"

#define AIRNET_NONE UINT32_MAX
enum { AIRNET_MOST_STEPS = 200 };

/* ---- curves ------------------------------------------------------------------------------- */

/* Piecewise cubic through published points whose slopes keep it monotone between any two of them (Fritsch and Carlson
 * 1980, with the weighted harmonic mean of Fritsch and Butland 1984): no overshoot, never a peak that was not
 * published. */
typedef struct airnet_curve {
	size_t n;
	const double *flow_m3_s, *pressure_pa, *slope; /* slope: Pa s/m3 at each point */
} airnet_curve;
/* Needs n >= 2 finite points, flows rising strictly and not negative: false otherwise (*out is not set). */
bool airnet_curve_make(arena *mem, const double *flow_m3_s, const double *pressure_pa, size_t n, airnet_curve *out);
/* Within the published flows only: NaN outside. slope may be NULL. */
double airnet_curve_at(const airnet_curve *c, double flow_m3_s, double *slope);
/* The flow from which on the curve only falls: its last peak. */
double airnet_curve_peak(const airnet_curve *c);

/* ---- network -------------------------------------------------------------------------------- */

typedef enum airnet_kind { AIRNET_PASSIVE, AIRNET_FAN } airnet_kind;

typedef struct airnet_branch {
	airnet_kind kind;
	uint32_t from, to; /* spaces; flow counts positive from -> to */
	double count;	   /* so many equal ones side by side; figures below are of one */
	bool closed;	   /* lets nothing through */
	/* Passive: the losses add up. Odd in the flow (the same backwards). */
	double linear_pa_s_m3;	/* dp = linear q */
	double square_pa_s2_m6; /* dp = square q sqrt(q^2 + creep^2): linear below the creep, so that it has a slope at
				   0 */
	double creep_m3_s;
	bool has_duct;
	airlaw_duct duct;
	const airnet_curve *curve; /* passive: loss over flow, (0, 0) is its first point; fan: rise over flow */
	/* Passive: a back-draft damper. It lets nothing back, opens at a drop of opens_pa (>= 0) and takes that and the
	 * losses above from there on. */
	bool one_way;
	double opens_pa;
	/* Fan: rise from `from` to `to` = curve at flow/speed_ratio, times density_ratio speed_ratio^2. */
	double density_ratio, speed_ratio;
	double stall_m3_s; /* published end of the stall range at the curve's speed, or NaN */
} airnet_branch;

typedef struct airnet {
	uint32_t n_spaces; /* space 0 is the room */
	const airnet_branch *branches;
	size_t n_branches;
	double density_kg_m3, viscosity_pa_s; /* for ducts */
} airnet;

/* What may stand in the way of an answer. X(name, words) */
#define AIRNET_TROUBLES(X)                                                                                             \
	X(SOLVED, "solved")                                                                                            \
	X(BAD_VALUE, "a figure of the branch is missing, negative or not finite")                                      \
	X(BAD_SPACE, "the branch ends in a space that does not exist")                                                 \
	X(SHORT, "the branch begins and ends in the same space")                                                       \
	X(NO_FAN, "nothing moves the air: there is no fan")                                                            \
	X(NOT_JOINED, "the space has no open way to the room")                                                         \
	X(OPEN, "the way is not closed: the fan's air finds no way back to where it came from")                        \
	X(OFF_LEFT, "the fan works left of its published points: its curve does not say what it does there")           \
	X(OFF_RIGHT, "the fan works right of its published points: its curve does not say what it does there")         \
	X(OFF_LOSS, "the flow is beyond the measured points of the unit's loss curve")                                 \
	X(BLOCKED, "the fan moves no air: a back-draft damper that stays shut, or other fans, hold it")                \
	X(NOT_UNIQUE, "several fans work on a rising piece of their curves: their shares have no unique answer")       \
	X(NOT_CONVERGED, "the iteration did not settle")
typedef enum airnet_trouble {
#define X(name, words) AIRNET_##name,
	AIRNET_TROUBLES(X)
#undef X
		AIRNET_TROUBLE_COUNT
} airnet_trouble;
extern const char *const AIRNET_TROUBLE_WORDS[AIRNET_TROUBLE_COUNT];

typedef struct airnet_fan_state {  /* of one of `count`; zero for passive branches without a curve or damper */
	double flow_m3_s, rise_pa; /* at the operating point */
	int side;    /* -1 left of the published points, 0 on them, 1 right of them; loss curves: 0 or 1 */
	bool rising; /* works left of the curve's peak */
	bool stall;  /* works within the published stall range */
	bool shut;   /* a damper through which nothing goes */
	/* When off a fan's curve: its nearest end, what it gives there and what the network would take (NaN: no
	 * answer). */
	double end_m3_s, gives_pa, needs_pa;
} airnet_fan_state;

typedef struct airnet_result {
	airnet_trouble trouble;
	uint32_t branch, space; /* where, or AIRNET_NONE */
	/* All that have a part in it, rising. NOT_JOINED: the spaces without a way to the room; OPEN: the spaces that
	 * are behind the fan, on the side away from the room; BLOCKED: the dampers that stay shut and the other fans
	 * that stand still; NOT_UNIQUE: the fans. */
	const uint32_t *part_branches, *part_spaces;
	size_t n_part_branches, n_part_spaces;
	bool numbers;	   /* the tables below are filled; with OFF_… they rest on a guess beyond the curve */
	double *flow_m3_s; /* [branches], all of `count` */
	double *loss_pa;   /* [branches] drop from -> to; negative over a working fan; NaN: closed with no pressures */
	double *pressure_pa;   /* [spaces] */
	airnet_fan_state *fan; /* [branches] */
	double residual_m3_s;  /* largest imbalance of a space, the room included */
	double residual_pa;    /* largest misfit of a branch: law against pressures */
	uint32_t iterations;
} airnet_result;

/* Always ends; what went wrong is in `trouble`. Limits for SOLVED: residual_m3_s <= 1e-9 of the largest flow,
 * residual_pa <= 1e-9 of the largest pressure, or of a thousandth of the fans' own where none is larger. */
airnet_result airnet_solve(arena *mem, const airnet *net);
/* Pressure rise that the network asks of a fan branch at a given flow of the whole branch (its system curve), other
 * fans running; NaN when there is no answer. */
double airnet_needs(arena *mem, const airnet *net, uint32_t fan, double flow_m3_s);
/* The same at many flows, each sought from the answer before it. needs[n]. */
void airnet_needs_many(arena *mem, const airnet *net, uint32_t fan, const double *flow_m3_s, size_t n, double *needs);
/* A branch's own law: drop at a flow of the whole branch; NaN off its curve or back through a damper, 0 at a closed one
 * without flow. A damper without flow takes any drop up to its opening one: 0 here. */
double airnet_drop(const airnet *net, uint32_t branch, double flow_m3_s);
#endif
