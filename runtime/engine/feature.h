/* What is cut into a part, face by face, in face coordinates measured from the datum of the BLANK (tongues
 * included, as the part lies on the bench); and exact distances between outlines.
 * Ownership: lists live in the arena they are made in; outlines are values. */
#ifndef ENGINE_FEATURE_H
#define ENGINE_FEATURE_H
#include "runtime/engine/model.h"
#include "runtime/engine/outline.h"

/* A plane outline: every point within r of the rectangle of half sizes hu, hv about (u, v). A round hole
 * has a point for its rectangle, a slot a segment, a square-cornered cut-out r = 0. Millimetres. A free outline has
 * its bounding box there (r = 0) and itself in `free`, mirrored where the frame runs against the cabinet's axes. */
typedef struct feature_outline {
	rat u, v, hu, hv, r;
	const model_shape *free; /* NULL: the above is the outline */
	axis free_u, free_v;
	bool u_rev, v_rev;
} feature_outline;

static inline rat feature_reach_u(const feature_outline *o) { return rat_add(o->hu, o->r); }
static inline rat feature_reach_v(const feature_outline *o) { return rat_add(o->hv, o->r); }

/* The volume that a feature takes away (its bounding box), in cabinet space. */
box3 feature_box(const model_feature *f);
/* The outline of a feature seen along the axis of `fr`: its shape when it is cut along that axis, else the
 * shadow of its box (a pilot hole in an edge is a rectangle inside the sheet). */
feature_outline feature_outline_on(const model_feature *f, const frame *fr);
/* A box's rectangle in a frame's coordinates, sharp corners. */
feature_outline feature_outline_of_box(box3 b, const frame *fr);
/* As lines and arcs in the frame's coordinates, anticlockwise. */
outline_path feature_path(arena *mem, const feature_outline *o);
/* Exact coordinates of corner i of a free outline in the frame; of its arc's centre when there is one. */
void feature_corner(const feature_outline *o, size_t i, rat at[2], rat centre[2]);
/* Material between two outlines; below 0 they overlap, by as much as they would have to be moved apart. Exact
 * when they stand over or beside each other or touch, else rounded to 1/1000 mm; of free outlines always rounded, and
 * below 0 by how far their bounding boxes overlap. */
rat feature_gap(const feature_outline *a, const feature_outline *b);
/* Is the gap smaller than `limit`? Decided exactly (by squares), unless the fractions overflow. */
bool feature_nearer(const feature_outline *a, const feature_outline *b, rat limit);
/* The least distance from the outline to the edge of the frame's rectangle; below 0 it reaches beyond it. */
rat feature_edge_gap(const feature_outline *o, const frame *fr);

/* Material between two features of one part, in space: for two that are cut along one axis by their outlines (and
 * along the axis, when they do not reach each other), else between their boxes. Below 0 they run into each other. */
rat feature_between(const model_feature *a, const model_feature *b);

/* Is it a cut of a joint: dado, groove, rabbet, shoulder, halving or notch, all of them rectangles? */
bool feature_is_cut(const model_feature *f);
/* What a shop calls it: "opening", "pilot hole", "clearance hole", "dado", "groove", "rabbet", "shoulder", …  */
const char *feature_word(const model *m, const model_feature *f);

/* The face from which a feature is worked: its own, except that a plain through-hole (no countersink) that is
 * listed on the back of the work face is drilled from the work face, so that the sheet need not be turned. */
face feature_worked_from(const model *m, const model_feature *f);

typedef struct feature_row {
	model_ref feature;  /* row of model.features */
	uint32_t number;    /* from 1, counted through the whole part */
	feature_outline at; /* in the frame of its face */
} feature_row;

typedef struct feature_face {
	model_ref part;
	face face;
	frame frame; /* of the blank */
	LIST(feature_row) rows;
} feature_face;

typedef struct feature_sheet { /* one part */
	model_ref part;
	LIST(feature_face) faces; /* those that have work: work face, its back, then the edges in order */
	size_t n;		  /* features in all */
} feature_sheet;

/* All features of a part. Within a face: grooves and rabbets by joint, openings by pattern, clearance holes and pilot
 * holes by size; each of these row by row from the datum upwards, left to right in a row. */
feature_sheet feature_of_part(arena *mem, const model *m, model_ref part);
/* The tool that makes it: the one the feature names, else a drill of the plan with just its diameter; or NONE. */
model_ref feature_tool(const model *m, const model_feature *f);
/* Name of the pattern or joint that a feature comes from; "" when neither. */
const char *feature_origin(const model *m, const model_feature *f);
#endif
