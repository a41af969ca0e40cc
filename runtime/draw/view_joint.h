/* A joint close up: a section square to its length, through the screw nearest to its middle.
 * Ownership: nothing is kept; all is drawn into the caller's display. */
#ifndef DRAW_VIEW_JOINT_H
#define DRAW_VIEW_JOINT_H
#include "runtime/draw/view.h"

#define VIEW_JOINT_WIDE 56.0 /* page mm that a close-up takes, its balloons included */
#define VIEW_JOINT_HIGH 54.0

typedef struct view_joint_report {
	double scale;	  /* 1, 0.5 or 0.2 */
	axis across;	  /* the cabinet axis across the joint, in the picture's plane */
	const char *from; /* "from the front": from where it is seen */
	bool screw;	  /* one is drawn */
	rat beside;	  /* the screw's axis from the nearer face of part a, mm; poison without a screw */
	face near;	  /* that face */
} view_joint_report;

/* What the picture tells, without drawing. The joint's parts must be known; every figure is exact. */
view_joint_report view_joint_measure(const model *m, model_ref joint);
/* Draws it within VIEW_JOINT_WIDE x VIEW_JOINT_HIGH from (x, y) on; label_a, label_b: the balloons of the parts. Part
 * a, b, the screw with its head, the tape; other parts are left out. Ends that are broken off have no outline. */
view_joint_report view_joint(display *d, double x, double y, const model *m, model_ref joint, const char *label_a,
			     const char *label_b);
#endif
