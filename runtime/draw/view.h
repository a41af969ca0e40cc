/* Pictures of the cabinet: axonometric with hidden lines removed, and sections.
 * Ownership: nothing is kept; scenes live in the caller's arena, pictures in the caller's display.
 * Space is the cabinet's: x right, y back, z up, millimetres. Projection: parallel, ISO 5456-3. */
#ifndef DRAW_VIEW_H
#define DRAW_VIEW_H
#include <stdbool.h>
#include <stddef.h>

#include "runtime/draw/display.h"
#include "runtime/engine/model.h"

typedef enum view_emphasis {
	VIEW_NORMAL,
	VIEW_NEW,   /* heavier, lightly filled: what this step adds */
	VIEW_LIGHT, /* thin and grey: for orientation */
	VIEW_ABSENT /* not drawn, hides nothing */
} view_emphasis;

typedef struct view_hole {
	face face;
	model_shape_kind kind;
	double centre[3];    /* on that face */
	double a, b, corner; /* as model_shape, mm */
	double (*point)[2];  /* of a free outline: n points from the centre along the face's two axes, arcs cut into */
	size_t n_points;     /* chords; NULL for other shapes */
	axis along;
	bool through; /* daylight: what lies behind is seen through it */
	double depth; /* of a blind one */
} view_hole;

typedef struct view_part {
	double lo[3], hi[3];
	double offset[3]; /* exploded by; a thin line shows the way */
	bool arrow;	  /* a broad arrow on it, the way back to its place */
	view_emphasis emphasis;
	const char *balloon; /* number or letter in its balloon, or NULL */
	const view_hole *hole;
	size_t n_holes;
	unsigned owner; /* row of the part in the model, or any number */
	bool hollow;	/* a bought item: a section shows its outline and a thin cross, no hatching */
} view_part;

typedef struct view_scene {
	view_part *part;
	size_t n;
} view_scene;

/* Where the viewer stands: which three faces are seen. Always upright. */
typedef enum view_corner {
	VIEW_FRONT_RIGHT_TOP,
	VIEW_FRONT_LEFT_TOP,
	VIEW_BACK_RIGHT_TOP,
	VIEW_BACK_LEFT_TOP,
	VIEW_FRONT_RIGHT_BOTTOM,
	VIEW_FRONT_LEFT_BOTTOM,
	VIEW_BACK_RIGHT_BOTTOM,
	VIEW_BACK_LEFT_BOTTOM,
	VIEW_CORNERS
} view_corner;
extern const char *const VIEW_CORNER_WORDS[VIEW_CORNERS]; /* "seen from the front, right and above" */

typedef struct view_options {
	view_corner corner;
	bool hidden;  /* hidden edges of parts dashed, not of holes */
	bool overall; /* width, depth and height of what is drawn, dimensioned along the axes: nearest mm or 1/16 in */
	measures measures; /* for those */
	double cap;	   /* of balloons and dimensions; 0 = CAP_BODY */
	double most_scale; /* never larger than this (page mm per mm); 0 = no limit */
} view_options;

typedef struct view_report {
	double scale;	     /* page mm per mm along a foreshortened axis' true length */
	size_t edges;	     /* visible straight pieces drawn, after joining */
	size_t hidden_edges; /* hidden pieces drawn */
	size_t balloons_without_place;
	display_box box; /* of the picture with its balloons and dimensions */
} view_report;

/* Draws the scene fitted into the rectangle. Pictures under 90 mm are drawn with the next thinner line group. */
view_report view_draw(display *d, display_box into, const view_scene *s, const view_options *o);

/* Height of a rectangle `wide` mm wide that the picture fills from side to side, balloons above and below it. */
double view_height(const view_scene *s, const view_options *o, double wide);

/* The parts of the model (gaps left out) as a scene: emphasis[i] for model part i (NULL: all normal); offset
 * [i][3] (NULL: none). Openings and grooves are cut in; screw holes only when `screw_holes`. Balloons are NULL:
 * set them afterwards by scene.part[k].owner. */
view_scene view_from_model(arena *mem, const model *m, const view_emphasis *emphasis, const double (*offset)[3],
			   bool screw_holes);
/* The corner from which most of the parts marked VIEW_NEW are seen (of the four upper ones, and the lower ones
 * when `below` allows); the first when it makes no difference. */
view_corner view_best_corner(const view_scene *s, bool below);

/* Cut through everything at a plane normal to `normal` at `at` mm, looking towards the rising axis (or, with
 * `reverse`, the falling one). Cut parts are hatched (neighbours at different angles), what lies behind is in
 * thin line with hidden lines removed. Map out: page position of the cabinet's coordinates in the section's plane,
 * so that the caller can add labels, arrows of air and dimensions: horizontal axis and whether it runs left. */
typedef struct view_section_map {
	axis u, v;	    /* cabinet axes to the right and up */
	bool u_left;	    /* u runs to the left */
	double x, y, scale; /* page = (x + (u_left ? -1 : 1) * u * scale, y - v * scale) */
	view_report report;
} view_section_map;
view_section_map view_section(display *d, display_box into, const view_scene *s, axis normal, double at, bool reverse,
			      const view_options *o);
/* The plane, normal to that axis, in which most parts show a cut opening; of equals the one nearest to the middle. */
double view_section_at(const view_scene *s, axis normal);
/* Across or from the front: the level axis along which fewer branches of the air run, so that the section shows most
 * of the way lengthwise. */
axis view_air_axis(const model *m);
/* The section there, with the way of the air: a broad arrow in each opening, gap, filter and tube that the air goes
 * through, in its sense (a ring with a point when it comes out of the page, with a cross when it goes in), and the
 * branch's number (row + 1) beside it. `flow` (per branch, or NULL) turns arrows where the flow runs backwards. `label`
 * (per space, or NULL): what is written into that space, lines parted by newlines; NULL for a space without. */
view_section_map view_air_section(display *d, display_box into, const model *m, const view_scene *s, axis normal,
				  bool reverse, const model_flow *flow, const char *const *label,
				  const view_options *o);
#endif
