/* What holds a flat or long part up, seen along its thickness: strips of it between supports, and how far they bend.
 * Ownership: lists live in the diagnostics' arena; the model is const. Millimetres, pascals, newtons. */
#ifndef COMPILER_SUPPORT_H
#define COMPILER_SUPPORT_H
#include "compiler/check.h"

typedef struct support_rect { /* where another part holds it; an edge has no width */
	double lo[2], hi[2];
	model_ref part;
} support_rect;

typedef struct support_field {
	model_ref part;
	axis through, in[2]; /* across its thickness; in its plane, the first along a bar */
	bool bar;	     /* it bends along its length only */
	double lo[2], hi[2]; /* its extent */
	double near;	     /* what lies so far beside the end of a support is borne by it */
	double solid[2];     /* share of the weakest section across each direction that openings leave, 0..1 */
	LIST(support_rect) rects;
} support_field;

/* Against gravity: what lies under it and what is joined to it, as long as that is held by something else. */
support_field support_against_weight(const model *m, diags *d, model_ref part);
/* Against air from either side: what is joined to it, or what a loose part touches. */
support_field support_against_air(const model *m, diags *d, model_ref part);

typedef struct support_load {
	double even_pa;	 /* on all of it */
	double middle_n; /* at its middle */
	double modulus_pa;
	double limit; /* the span is divided by this */
} support_load;

typedef struct support_bend { /* the strip that bends most against its limit */
	bool found;
	double deflection_mm, span_mm, allowed_mm;
	bool overhang;	    /* held at one end only */
	bool plate;	    /* held on three or four sides */
	model_ref from, to; /* the parts at its ends; `to` is NONE of an overhang */
} support_bend;

/* Even loads go to the nearest supports: newtons for each part are added to `reaction` (by part row, may be NULL). */
support_bend support_bends(const model *m, diags *d, const support_field *f, const support_load *load,
			   double *reaction);
#endif
