/* The resolved plan: flat, exact, complete. The compiler fills it (compiler/resolve*.c), then air,
 * layout and order add their results; checks and writers read it as const.
 * Ownership: everything lives in the compilation's arena; indices, not pointers, join the tables
 * (MODEL_NONE is "no such row"). Every value that the plan gives carries the span that gave it.
 * Lengths are rationals in millimetres; bare doubles are SI and say so in their names. */
#ifndef ENGINE_MODEL_H
#define ENGINE_MODEL_H
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "runtime/base/arena.h"
#include "runtime/base/diag.h"
#include "runtime/base/quant.h"
#include "runtime/base/source.h"
#include "runtime/engine/geom.h"

#define MODEL_NONE UINT32_MAX
typedef uint32_t model_ref; /* row of a table named beside the field */

typedef struct model_length { /* a length and the place that gave it; poison = not given */
	rat mm;
	span at;
} model_length;
typedef struct model_value { /* an SI number; NaN = not given */
	double v;
	span at;
} model_value;
typedef struct model_words { /* NULL = not given */
	const char *v;
	span at;
} model_words;

/* ---- header ------------------------------------------------------------------------------ */

typedef enum paper { PAPER_A4, PAPER_LETTER } paper;

/* X(enumerator, word): chapters of the book that a plan may leave out */
#define MODEL_CHAPTERS(X) X(AIR, "air") X(CARE, "care") X(NUMBERS, "numbers") X(INDEX, "index")
typedef enum model_chapter {
#define X(name, word) CHAPTER_##name,
	MODEL_CHAPTERS(X)
#undef X
		MODEL_CHAPTER_COUNT
} model_chapter;
extern const char *const MODEL_CHAPTER_WORD[MODEL_CHAPTER_COUNT];

typedef struct model_history {
	const char *edition, *what;
	span at;
} model_history;

typedef enum model_let_kind { MODEL_LET_QUANT, MODEL_LET_TEXT, MODEL_LET_TRUTH } model_let_kind;

typedef struct model_let {	 /* a named value of the plan, for plan.json and the book */
	const char *name, *help; /* help may be NULL */
	model_let_kind kind;
	quant value;	  /* QUANT */
	const char *text; /* TEXT */
	bool truth;	  /* TRUTH: yes or no */
	bool has_range;
	quant least, most;
	bool overridden; /* by --set */
	span at;
} model_let;

/* ---- stock ------------------------------------------------------------------------------- */

/* X(enumerator, word of the language, spoken) */
#define MODEL_STOCKS(X)                                                                                                \
	X(SHEET, "sheet", "sheet goods")                                                                               \
	X(BAR, "bar", "bar")                                                                                           \
	X(PIPE, "pipe", "pipe or round bar")                                                                           \
	X(SCREW, "screw", "screw")                                                                                     \
	X(COLLAR, "collar", "collar")                                                                                  \
	X(GROMMET, "grommet", "grommet")                                                                               \
	X(CLAMP, "clamp", "clamp")                                                                                     \
	X(MEDIA, "media", "filter media")                                                                              \
	X(FILTER, "filter", "filter unit")                                                                             \
	X(FAN, "fan", "fan")                                                                                           \
	X(ITEM, "item", "bought item")                                                                                 \
	X(GASKET, "gasket", "gasket by length")                                                                        \
	X(FINISH, "finish", "glue or finish")
typedef enum model_stock_kind {
#define X(name, word, spoken) STOCK_##name,
	MODEL_STOCKS(X)
#undef X
		STOCK_KINDS
} model_stock_kind;
extern const char *const MODEL_STOCK_WORD[STOCK_KINDS];

typedef enum model_grain { GRAIN_NONE, GRAIN_LONG, GRAIN_SHORT } model_grain; /* of a sheet */

/* X(enumerator, word of the language, spoken) */
#define MODEL_SHEET_CLASSES(X)                                                                                         \
	X(UNSAID, "", "not said")                                                                                      \
	X(PLYWOOD, "plywood", "plywood")                                                                               \
	X(MDF, "mdf", "MDF")                                                                                           \
	X(PARTICLE, "particle", "particle board")                                                                      \
	X(HARDBOARD, "hardboard", "hardboard")                                                                         \
	X(SOLID, "solid", "solid wood")                                                                                \
	X(STEEL, "steel", "sheet steel")
typedef enum model_sheet_class {
#define X(name, word, spoken) MADE_##name,
	MODEL_SHEET_CLASSES(X)
#undef X
		SHEET_CLASSES
} model_sheet_class;
extern const char *const MODEL_SHEET_CLASS_WORD[SHEET_CLASSES];
extern const char *const MODEL_SHEET_CLASS_SPOKEN[SHEET_CLASSES];

typedef struct model_curve_point { /* SI */
	double flow_m3_s, pressure_pa;
	span at;
} model_curve_point;

typedef enum model_motor_place { MOTOR_UNSAID, MOTOR_OUTSIDE, MOTOR_IN_STREAM } model_motor_place;

typedef struct model_tap { /* a speed that a fan can be switched to */
	const char *name;
	double ratio; /* to the speed of its published curve */
	span at;
} model_tap;

/* Edges of a sheet as it is laid out, x along its longer side; bars have the first two. */
typedef enum model_sheet_edge { EDGE_LEFT, EDGE_RIGHT, EDGE_BOTTOM, EDGE_TOP, EDGES } model_sheet_edge;
extern const char *const MODEL_EDGE_WORD[EDGES];

typedef struct model_size {   /* a further size of a sheet, bar, pipe or roll, or a piece of it on hand */
	bool offcut;	      /* a piece on hand: used before anything else */
	model_length size[2]; /* sheet: as written, of an offcut the first one along the grain; else: length, - */
	model_length trim;    /* of each edge or end; not given: that of the stock, of an offcut none */
	model_length trim_on[EDGES]; /* of that edge of a sheet, where it is said for itself */
	int64_t price_cents;	     /* -1 = not given */
	int64_t on_hand;	     /* so many there are; -1 = any number */
	span at;
} model_size;

typedef struct model_stock {
	model_stock_kind kind;
	const char *name;
	const char *label;  /* what a shop would call it; equals name when none was given */
	const char *source; /* where its figures come from ("invented", a standard), or NULL */
	span at;	    /* its name in the plan or library */
	bool reported;	    /* a figure its kind needs was told as missing: who lacks it keeps silent */
	/* sheet: long, short; bar, pipe: length, -; media, gasket: length of a roll, not given: sold by measure; item,
	 * filter, fan: width, depth, height */
	model_length size[3];
	model_length section[2];		     /* bar: broad, thin */
	model_length thick, thick_plus, thick_minus; /* sheet: measured and spread */
	model_length trim;			     /* sheet: each edge; bar: each end; roll: its outer end */
	model_length trim_on[EDGES];		     /* of that edge of a sheet, where it is said for itself */
	model_grain grain;
	bool soft_wood;			    /* sheet and bar: screws take the pilot for soft wood */
	model_value density_kg_m3, mass_kg; /* sheet and bar; item (one piece) */
	model_value modulus_pa;		    /* sheet and bar: of elasticity in bending */
	model_value movement; /* sheet and bar of solid wood: change across the grain per percent of moisture, share */
	int64_t price_cents;  /* one sheet, bar, piece, metre of gasket, square metre of media, litre; -1 = not given */
	span price_at;
	int64_t pack;		/* sold by so many; 1 when not said */
	int64_t on_hand;	/* sheets or bars there are; -1 = any number */
	LIST(model_size) sizes; /* sheet, bar, pipe, roll: further sizes and pieces on hand, as written */
	/* screws */
	model_length diameter, length, pilot, clearance, sink; /* sink: countersink diameter */
	model_length pilot_soft;			       /* into soft wood; not given: as pilot */
	model_value head_angle_deg;			       /* of the countersunk head; NaN = not given: 90 */
	/* gaskets: as sold (thick), as it stays between the parts (pressed), how broad (tape_width) */
	model_length pressed, tape_width;
	model_sheet_class made; /* sheets: what they are made of */
	/* pipes: outside is below, the diameter; no wall: solid. roughness of the inside; NaN = not given */
	model_length wall;
	model_value roughness_m;
	/* collars: outside goes into the hole, flange lies on the face, bore lets the air through */
	model_length outside, bore, flange, flange_thick;
	model_length outside_off; /* how far that differs from piece to piece, either way; or poison */
	/* what is seated: how much wider the hole may be, least and most, or poison; grommets: outside is that of the
	 * groove, takes is how thick the sheet may be; clamps: diameters that they grip */
	model_length fits[2], takes[2], grips[2];
	/* media: clean resistance dp = r1 v + r2 v^2; cake by the drag model dp = drag w v */
	model_value media_r1_pa_s_m, media_r2_pa_s2_m2, drag_per_s, dirty_load_kg_m2;
	model_length roll;  /* width of the roll that it is cut from: its price is for a metre of it, or for a roll */
	model_length knife; /* media, gasket: what a cut takes; not given: nothing */
	/* filters: media area, clean curve (flow, loss) of one unit, and the loss when due for a change */
	model_value media_area_m2, dirty_pa, dirty_flow_m3_s, holds_kg;
	LIST(model_curve_point) curve; /* filter: clean loss; fan: pressure rise, in order of flow */
	/* fans */
	model_value rpm, curve_density_kg_m3, stall_m3_s, efficiency, motor_w, motor_efficiency;
	LIST(model_tap) taps; /* other speeds that it can be switched to */
	model_motor_place motor_at;
	span motor_at_at;
	const char *motor_fit; /* why a motor in the stream bears it, in the words of the plan; or NULL */
	model_length inlet;    /* diameter */
	model_length swivel;   /* items that are casters: radius of the circle that the wheel sweeps about its axis */
	const char *use_class; /* free word of the plan, e.g. "dust" or "clean air"; NULL */
	const char *cleaned;   /* media: "shaken", "pulse" or "unshaken"; NULL when not said */
	/* glue (of kind finish): how long it may lie open, how long it is clamped, seconds; NaN = not given */
	model_value open_s, clamp_s;
} model_stock;

/* ---- parts ------------------------------------------------------------------------------- */

#define MODEL_PARTS(X)                                                                                                 \
	X(PANEL, "panel", "panel")                                                                                     \
	X(DOOR, "door", "door")                                                                                        \
	X(SLAT, "slat", "slat")                                                                                        \
	X(CLEAT, "cleat", "cleat")                                                                                     \
	X(LEG, "leg", "leg")                                                                                           \
	X(ITEM, "item", "bought item")                                                                                 \
	X(GAP, "gap", "open gap")	 /* no material: an opening left between parts */                              \
	X(EXTRA, "extra", "extra piece") /* cut from the stock, stands nowhere in the cabinet: a jig, a test piece */
typedef enum model_part_kind {
#define X(name, word, spoken) PART_##name,
	MODEL_PARTS(X)
#undef X
		PART_KINDS
} model_part_kind;
extern const char *const MODEL_PART_WORD[PART_KINDS];

typedef struct model_mitre { /* an end of a bar that is not sawn square; the box holds its long point */
	double angle_deg;    /* how far the saw is swung from square; 0 = square */
	face point;	     /* the face at which the end is longest */
	span at;
} model_mitre;

typedef struct model_part {
	model_part_kind kind;
	const char *name;   /* unique: "left", or "rib.2" for the second of several */
	const char *group;  /* the name written in the plan ("rib") */
	uint32_t number;    /* from 1 within the group; 0 when the group has one */
	model_ref stock;    /* stock; NONE for gaps */
	span at;	    /* name in the plan */
	const char *placed; /* prefix of the outermost placed assembly that it belongs to, "bay.1.box."; or NULL */
	span placed_at;	    /* that one's name where it is placed */
	box3 box;	    /* as seen when built: shoulder to shoulder */
	box3 blank;	    /* box and the tongues that go into dados: the size to cut */
	span face_at[6];    /* what fixed each face of `box` */
	axis thick_axis;    /* panels, doors: through the sheet; bars: the thin side; gaps: the way through */
	axis long_axis;	    /* bars: along the length; panels: the longer in-plane axis */
	bool grain_matters;
	axis grain_axis;     /* along which the grain runs when it matters */
	face work_face;	     /* the face that is marked and drilled from */
	double mass_kg;	     /* of the part as cut, openings taken away (from stock for items) */
	double face_area_m2; /* of the blank's work face, openings not taken away */
	bool loose;	     /* lifts out (a removable carrier, a drawer) */
	/* what the plan lays on it: on each square metre, spread over all of it, in its middle; 0 when it says nothing
	 */
	double carries_kg_m2, carries_kg, carries_middle_kg;
	span carries_at; /* the first such line */
	/* doors */
	bool hinged;
	face hinge_side;	/* FACE_LEFT.. edge on which it turns */
	model_ref hinge, latch; /* stock or NONE */
	uint32_t n_hinges;
	double opens_deg; /* how far it is opened, 90 when not said */
	/* what is pulled out; a length of 0 when it does not slide */
	face slides_to;
	rat slides_by;
	span slides_at, opens_at;
	model_ref group_first; /* part row of the first of the group */
	model_mitre mitre[2];  /* bars: the low and the high end */
	const char *note;      /* extra pieces: what it is for, or NULL */
} model_part;

typedef struct model_placed { /* an assembly where it stands */
	const char *name;     /* as its parts' names begin: "wing.2" */
	const char *assembly;
	span at;
	bool mirrored[3];	   /* along the axis, against how the assembly is written */
	box3 box;		   /* round all its parts */
	span text;		   /* of the assembly, to its closing brace */
	const diag_within *within; /* for messages: itself, and in what it stands */
} model_placed;

/* ---- openings ---------------------------------------------------------------------------- */

typedef enum model_shape_kind { SHAPE_ROUND, SHAPE_SLOT, SHAPE_RECT, SHAPE_OUTLINE } model_shape_kind;

typedef struct model_corner { /* of a free outline, and the way from it to the next one */
	rat u, v;	      /* from the middle of the outline's bounding box, along the pattern's u and v */
	int bend;	      /* 0 straight, 1 an arc that turns left (u to the right, v up), -1 one that turns right */
	rat cu, cv;	      /* centre of the arc, likewise */
	span at;
} model_corner;
typedef struct model_outline { /* closed, simple, anticlockwise with u to the right and v up */
	LIST(model_corner) corners;
	rat narrow; /* widest cutter that passes it all, to 1/1000 mm */
} model_outline;

typedef struct model_shape {
	model_shape_kind kind;
	rat a, b;   /* round: diameter; slot, rect: size along `along`, and across it; outline: of its bounding box */
	rat corner; /* rect: corner radius; outline: the least radius of its inside corners, 0 when one is sharp */
	axis along; /* cabinet axis that a runs along; outline: the pattern's u */
	rat off_u, off_v;	      /* middle of the bounding box from the pattern's axis; 0 but for outlines */
	const model_outline *outline; /* SHAPE_OUTLINE only */
	span at;
} model_shape;
extern const char *const MODEL_SHAPE_WORD[4];

typedef enum model_layout_kind {
	PATTERN_SINGLE,
	PATTERN_GRID,
	PATTERN_STAGGER,
	PATTERN_RING,
	PATTERN_LIST
} model_layout_kind;

typedef struct model_ease { /* edge treatment of every opening of the pattern on one face of one sheet */
	model_ref part;
	face face;
	bool chamfer; /* else round-over */
	rat size;
	span at;
} model_ease;

typedef enum model_holds { HOLDS, HOLDS_SMALL, HOLDS_LARGE } model_holds; /* within the limits of a hole, or not */
typedef struct model_option { /* a tool that would make a round opening, and what comes of it */
	model_ref tool;
	rat cuts; /* by itself, or a router in the template that is made for the opening */
	rat off;  /* from what is wanted */
	model_holds holds;
	bool chosen;
} model_option;
typedef struct model_sheet_of_pattern {
	model_ref part;
	model_shape shape; /* its own opening in this sheet */
	bool blind;
	rat depth; /* when blind, from `face` */
	span depth_at;
	face face;
	model_ref collar; /* stock seated in each opening (collar, pipe, grommet), or NONE */
	span collar_at;
	/* Set with the templates: the least and most that the finished opening may measure along its first size and its
	 * second, by what is seated there or else ISO 2768-m; poison when neither tells. */
	rat least[2], most[2];
	bool by_seat;
	rat waste;		    /* side of the piece that a round one is bored in on trial */
	LIST(model_option) options; /* round ones: what would cut them, within a tenth of their size */
	bool clamped;		    /* each with a clamp round it */
	model_ref clamp;	    /* its stock, when clamped */
	span clamp_at;
	span at; /* the sheet's name in the plan */
} model_sheet_of_pattern;

typedef struct model_pattern {
	const char *name;
	span at;
	model_layout_kind kind;
	axis through;		/* axes run along this */
	axis u, v;		/* the two others, in order x < y < z */
	LIST(point3) axes;	/* centre of each opening; the coordinate along `through` is 0 */
	uint32_t rows, columns; /* of grid and stagger, the columns of the fullest row; 0 otherwise */
	uint32_t left_out;	/* openings of the layout that `without` and `clear` took away */
	rat pitch_u, pitch_v;	/* of grid and stagger; 0 otherwise */
	LIST(model_sheet_of_pattern) sheets;
	LIST(model_ease) eases;
} model_pattern;

/* ---- joints ------------------------------------------------------------------------------ */

#define MODEL_JOINTS(X)                                                                                                \
	X(BUTT, "butt", "butt joint")                                                                                  \
	X(DADO, "dado", "dado (housing)")                                                                              \
	X(RABBET, "rabbet", "rabbet")                                                                                  \
	X(GROOVE, "groove", "groove")                                                                                  \
	X(TONGUE, "tongue", "tongue and groove")                                                                       \
	X(HALVING, "halving", "halving (half-lap)")                                                                    \
	X(LAP, "lap", "lap, face to face")
typedef enum model_joint_kind {
#define X(name, word, spoken) JOINT_##name,
	MODEL_JOINTS(X)
#undef X
		JOINT_KINDS
} model_joint_kind;
extern const char *const MODEL_JOINT_WORD[JOINT_KINDS];

typedef struct model_joint {
	model_joint_kind kind;
	const char *name; /* "floor into left" */
	span at;
	model_ref a, b;		/* parts: a is joined into or to b; screws go through b into a */
	face face_a;		/* a's face that meets b (b's is the opposite one); halvings: the way a goes into b */
	box3 contact;		/* shared rectangle, zero size along face_a's axis; shoulder of a tongue */
	model_length depth;	/* of the cut in b, from its face that looks at a; 0 when nothing is cut */
	rat depth_a;		/* halving: of the cut in a, from face_a; 0 otherwise */
	model_length allowance; /* added to the width of the cut in b; 0 when not given */
	bool fits_measured; /* the cut's width follows the sheet as it is measured: nothing is planned by the spread */
	model_length room;  /* left at the bottom of the cut in b: a is that much shorter than the cut is deep */
	model_length thick; /* tongue: how thick it is; poison otherwise */
	rat shoulder;	    /* tongue: depth of the shoulder on a's low face; 0 otherwise */
	rat stop[2];	    /* what the cut stays away from b's low and high edge along it, 0 = it runs out */
	bool loose;	    /* not fastened, so that a can move with the weather */
	model_ref screw;    /* stock or NONE */
	span screw_at;	    /* its name in the joint's line */
	model_length every; /* spacing asked for */
	model_length first; /* first and last screw from the ends; poison when not given */
	rat shifted;	    /* the row of screws moved along by this to clear an earlier joint's; 0 when it did not */
	uint32_t n_screws;
	bool glue;
	model_ref gasket;     /* stock or NONE */
	model_ref glue_stock; /* FINISH stock or NONE */
} model_joint;

typedef struct model_glue_face { /* where glue goes: nothing else may lie there */
	model_ref joint, part;
	face face; /* the way the glued surface looks; it may be the wall of a cut */
	box3 rect; /* cabinet space, no size along the face's axis */
} model_glue_face;

typedef struct model_gasket_run {     /* tape between the two parts of a joint */
	model_ref joint, stock, part; /* laid on part b of the joint */
	face face;
	box3 rect;	  /* what it seals; no size along the face's axis */
	bool ring;	  /* all round the rectangle, else one strip along it */
	uint32_t corners; /* 4 of a ring, 0 of a strip */
	rat length;	  /* along its middle line where the tape's width is known */
	rat gap;	  /* that the plan leaves between the two parts */
} model_gasket_run;

/* ---- features: everything that is cut into a part after it is sawn --------------------------- */

#define MODEL_FEATURES(X)                                                                                              \
	X(OPENING, "opening", "opening")                                                                               \
	X(PILOT, "pilot", "pilot hole")                                                                                \
	X(CLEARANCE, "clearance", "clearance hole, countersunk")                                                       \
	X(GROOVE, "groove", "dado") /* of dado, groove and tongue joints: feature_word() tells which */                \
	X(RABBET, "rabbet", "rabbet")                                                                                  \
	X(SHOULDER, "shoulder", "shoulder of a tongue")                                                                \
	X(HALVING, "halving", "halving")                                                                               \
	X(NOTCH, "notch", "notch")
typedef enum model_feature_kind {
#define X(name, word, spoken) FEATURE_##name,
	MODEL_FEATURES(X)
#undef X
		FEATURE_KINDS
} model_feature_kind;
extern const char *const MODEL_FEATURE_WORD[FEATURE_KINDS];

typedef struct model_feature {
	model_feature_kind kind;
	model_ref part;
	face face;	   /* worked from here; an edge for pilot holes in a panel's end */
	point3 centre;	   /* in cabinet space, on that face: middle of the shape's bounding box */
	model_shape shape; /* round for holes; rect for grooves and rabbets */
	bool through;
	rat depth;		  /* from the face; the part's thickness along the face's axis when through */
	rat sink;		  /* countersink diameter on `face`, or 0 */
	rat sink_depth;		  /* of the countersink's cone from `face`, to the hole's own diameter; or 0 */
	model_ref pattern, joint; /* where it comes from; the other is NONE */
	uint32_t index;		  /* from 0 within the pattern (the same in every sheet) or joint */
	model_ref tool;		  /* tools row that makes it, or NONE */
	span at;
} model_feature;

/* ---- tools ------------------------------------------------------------------------------- */

#define MODEL_TOOLS(X)                                                                                                 \
	X(SAW, "saw", "saw")                                                                                           \
	X(DRILL, "drill", "drill bit")                                                                                 \
	X(HOLE_SAW, "holesaw", "hole saw")                                                                             \
	X(ROUTER, "router", "router with guide bush")                                                                  \
	X(HAND, "hand", "hand tool")
typedef enum model_tool_kind {
#define X(name, word, spoken) TOOL_##name,
	MODEL_TOOLS(X)
#undef X
		TOOL_KINDS
} model_tool_kind;
extern const char *const MODEL_TOOL_WORD[TOOL_KINDS];

typedef struct model_tool {
	model_tool_kind kind;
	const char *name, *label;
	span at;
	model_length kerf;			     /* saw */
	model_length diameter;			     /* drill, hole saw: as marked; router: the cutter */
	model_length measured, measured_off;	     /* what it really cuts, and how far that may differ; or poison */
	model_length bush;			     /* router: guide bush outside */
	model_length pass;			     /* router: depth of one pass */
	model_length base;			     /* router: diameter of what it slides on */
	model_value feed_m_s, plunge_m_s, rpm_per_s; /* for the drilling program; NaN = not given */
} model_tool;

/* X(enumerator, word): what a fixing hole of a template lies over, where the template is set for an opening */
#define MODEL_MEETS(X)                                                                                                 \
	X(OPENING, "opening") /* another opening that goes through: a screw holds in the board below */                \
	X(SCREW, "screw hole")                                                                                         \
	X(BEYOND, "beyond the edge") /* in a strip as thick as the sheet, laid along it */                             \
	X(SHEET, "sheet")	     /* it stays: a screw leaves its hole there */                                     \
	X(NOTHING, "nothing")	     /* too near to an edge, or to something cut there */
typedef enum model_meets {
#define X(name, word) MEETS_##name,
	MODEL_MEETS(X)
#undef X
		MEETS_KINDS
} model_meets;
extern const char *const MODEL_MEETS_WORD[MEETS_KINDS];

typedef struct model_at { /* to the right, up */
	rat v[2];
} model_at;

enum { TEMPLATE_MOST_HOLES = 12 };
/* Where a template is set for one opening, on the face that it is worked from, measured from its datum. */
typedef struct model_template_place {
	uint32_t index;			    /* of the opening in its pattern */
	rat at[2];			    /* its axis: to the right, up */
	rat block[2];			    /* the template's left and lower edge likewise; below 0 beyond the sheet */
	uint8_t meets[TEMPLATE_MOST_HOLES]; /* model_meets of each fixing hole */
	uint32_t holds;			    /* so many of them leave nothing in the sheet */
} model_template_place;
/* Places of a template that lie in rows: first block and spacer, to the right and up; so many each way. */
typedef struct model_template_run {
	rat block[2], step[2]; /* step 0 where there is but one */
	uint32_t n[2];
} model_template_run;

/* The openings of one pattern in one sheet that a template serves. */
typedef struct model_template_use {
	model_ref pattern, part;
	uint32_t quarters; /* turns of 90 degrees, anticlockwise, from how it lies on the first sheet it serves */
	bool over;	   /* its other side lies up, turned about its upright centre line before it is turned */
	LIST(rat)
	depths; /* of the passes, below the face; the last goes into the board below, or as deep as asked */
	bool through;
	LIST(model_template_place) places; /* by rows, the lowest first */
	LIST(model_template_run) runs;	   /* the same, put together */
} model_template_use;

/* A router template for one opening shape: template opening = opening + (bush - cutter). */
typedef struct model_template {
	const char *name; /* of the first pattern, and the part's when that pattern has several shapes */
	model_ref tool;
	LIST(model_template_use) uses; /* at least one; drawn as it lies on the work face of the first */
	model_shape shape;	       /* of the finished opening, in the first */
	model_shape opening;	       /* in the template */
	rat offset;		       /* (bush - cutter) / 2 */
	rat size[2];	       /* of the template itself, to the right and up as drawn, about its centre lines */
	rat reach;	       /* the router's base runs so far beyond the edge of the opening */
	rat hole;	       /* diameter of its fixing holes */
	LIST(model_at) holes;  /* from the centre lines, as drawn */
	rat test_cut;	       /* size that the test cut must measure (equals the opening) */
	rat least[2], most[2]; /* what it may measure: for all that it serves */
	bool by_seat;	       /* by what is seated there */
	rat waste[2];	       /* the piece that it is cut in, to the right and up as drawn */
	rat offsets[2];	       /* the offset, at least and at most, that leaves the hole within its limits */
	span at;
} model_template;

/* ---- air --------------------------------------------------------------------------------- */

typedef struct model_space {
	const char *name; /* "room", "chamber", or "between vents and pleats" */
	bool room;
	bool named; /* written in the plan */
	span at;
} model_space;

#define MODEL_AIRS(X)                                                                                                  \
	X(GAP, "gap", "open gap")                                                                                      \
	X(OPENINGS, "openings", "field of openings")                                                                   \
	X(FILTER, "filter", "filter units")                                                                            \
	X(TUBES, "tubes", "filter tubes")                                                                              \
	X(FAN, "fan", "fan")                                                                                           \
	X(DUCT, "duct", "duct")                                                                                        \
	X(LEAK, "leak", "leak")
typedef enum model_air_kind {
#define X(name, word, spoken) AIR_##name,
	MODEL_AIRS(X)
#undef X
		AIR_KINDS
} model_air_kind;
extern const char *const MODEL_AIR_WORD[AIR_KINDS];

typedef struct model_fitting { /* of a duct */
	const char *word;      /* "elbow", "mitred-elbow", … of runtime/engine/airfit.h */
	double k, length_m;    /* coefficient on the duct's velocity pressure; duct of as much friction */
	span at;
} model_fitting;

typedef struct model_spread { /* how evenly a field of openings draws, dirty; only where its air runs along the sheet */
	bool known;
	double depth_m, section_m2; /* of the box of air behind it: to the next sheet; across the way along it */
	axis along;
	double outlet_m; /* where along that axis it leaves */
	uint32_t rows;
	double most,
		least;	   /* fastest and slowest opening over their mean; 0: some draw backwards, `most` is NaN then */
	double plenum_m_s; /* along the box where it is fastest */
} model_spread;

typedef struct model_branch {
	model_air_kind kind;
	const char *name;   /* "mouth", "vents in baffle", "blower" */
	span at;	    /* where the way names it */
	span declared;	    /* of tubes and ducts: their name where they are described; else as at */
	model_ref from, to; /* spaces */
	model_ref part;	    /* gap, fan, duct's part; the sheet of openings; first filter unit */
	model_ref pattern;  /* openings, tubes */
	model_ref stock;    /* fan, filter, media */
	uint32_t count;	    /* openings, filter units, tubes, equal fans in parallel */
	/* From the geometry, SI: */
	double gross_m2;      /* gap: its area; openings: sum of the openings, nothing over them */
	double open_m2;	      /* less what lies across; filters: media area of all; tubes: cloth of all */
	double plan_m2;	      /* openings: the sheet's visible face; gap: as gross; filters: face of all units */
	double thick_m;	      /* openings: sheet thickness */
	double hole_m;	      /* openings: hydraulic diameter of one; duct, tubes: diameter, with sides of equal loss */
	double side_m[2];     /* rectangular duct: its sides; else 0 */
	double length_m;      /* duct: run; tubes: length of one */
	double roughness_m;   /* duct */
	double loss_k;	      /* duct: sum of named fittings' coefficients */
	double area_given_m2; /* leak */
	double covered_part;  /* share of it that the covered condition closes, 0..1 */
	bool worked;	      /* a work piece lies over it; then what it leaves: */
	double work_open_m2, work_plan_m2;
	/* fans: straight duct before and behind, and what the plan declares that a worse one costs, on the velocity
	 * pressure in the inlet; NaN when not said */
	double straight_m[2], effect_k[2];
	LIST(model_fitting) fittings; /* ducts; their coefficients are in loss_k too, their friction in fittings_m */
	double fittings_m;	      /* length of straight duct that costs as much as the fittings' walls; 0 */
	bool one_way;		      /* ducts: a back-draft damper lets nothing back */
	double opens_pa;	      /* and opens at this difference */
	const char *entry;	      /* ducts: how it begins, "bell-entry"; NULL: as what stands before it asks */
	double entry_k;
	double grille_m2,
		grille_long_m; /* openings: the rectangle round their outermost rims, its longer side; else NaN */
	/* tubes that hang beside each other in a box: */
	double box_m2;	 /* free plan area between the tubes, for the upward speed; NaN when unknown */
	bool ends_given; /* duct: loss_k counts its entry and its end too; else 0.93 and 1 are added to it */
	/* Set by air_solve(): */
	double k; /* openings, gaps, leaks, ducts: loss coefficient on the speed in open_m2; tubes: of their mouths, on
		     plan_m2 */
	model_spread spread; /* openings */
	bool feeds_fan;	  /* openings, ducts: a fan stands on it, no space between; k leads the speed into its inlet */
	bool runs_on;	  /* openings, ducts, fans: what lies next in the way takes its stream over, no space between */
	bool dirty_known; /* filters, tubes: the plan tells their dirty state */
	LIST(model_curve_point)
	gives;			 /* fans: their curve in this air, flows of the whole branch, sampled for drawing */
	uint32_t wholly_covered; /* openings that parts lying over them close wholly */
} model_branch;

/* A condition is a number: the tap of the fans times AIR_STATES, and the state. The first four are the ones that every
 * plan has: clean, dirty, clean covered, dirty covered, at the speed of the published curves. Odd ones are dirty. */
enum {
	AIR_CONDITIONS = 4,
	AIR_CLEAN_WORK = 4, /* a work piece laid on the face */
	AIR_DIRTY_WORK = 5,
	AIR_STATES = 6,
	AIR_MOST_TAPS = 6,
	AIR_MOST_CONDITIONS = AIR_STATES * AIR_MOST_TAPS
};
extern const char *const MODEL_CONDITION[AIR_STATES]; /* "clean", … "dirty covered", "clean with work", … */

typedef struct model_work { /* a work piece laid on a sheet or over a gap: it closes what it covers */
	model_ref part;
	rat size_u, size_v, at_u, at_v; /* along the sheet's two directions in order x < y < z; at: its middle */
	span at;
} model_work;

typedef struct model_flow { /* one branch in one condition */
	double flow_m3_s;   /* positive from `from` to `to` */
	double speed_m_s;   /* flow over model_open_m2() (filters: over media area); NaN when that is not known */
	double face_m_s;    /* flow over model_plan_m2(), likewise */
	double grille_m_s;  /* openings: flow over the rectangle round their rims; else NaN */
	double upward_m_s;  /* tubes: flow over the free plan between them; else NaN */
	double loss_pa;	    /* pressure drop from -> to (negative over a fan: its rise) */
} model_flow;

typedef struct model_fan_state { /* where one of `count` equal fans works; zeros for other branches */
	double flow_m3_s, rise_pa;
	int side;	    /* -1 left of its published points, 0 on them, 1 right of them */
	bool rising, stall; /* left of its curve's peak; within the published stall range */
	double end_m3_s, gives_pa,
		needs_pa;	       /* off the curve: its end, what it gives there, what the way of the air takes */
	LIST(model_curve_point) needs; /* system curve: what the way of the air takes at flows of the whole branch */
	LIST(model_curve_point) gives; /* its curve in this condition, at the same flows */
} model_fan_state;

typedef struct model_air_result {
	bool solved;
	const char *why_not;  /* when not solved */
	double residual_m3_s; /* largest flow imbalance over the spaces: the power of ten above it */
	uint32_t iterations;
	model_flow *flow;	  /* [branches] */
	double *pressure_pa;	  /* [spaces], gauge against the room */
	double shaft_w;		  /* all fans: flow x rise / efficiency; NaN without an efficiency */
	double mains_w;		  /* that over the motors' efficiencies; NaN without one of either */
	double into_room_m3_s;	  /* all that is blown out into the room */
	double makeup_m3_s;	  /* what must come in from outdoors: that, where the exhaust goes outdoors, else 0 */
	double makeup_pa;	  /* by which the room lies below outdoors; NaN without a declared way in */
	bool off_curve, in_stall; /* any fan */
	double residual_pa;	  /* largest misfit of a branch, law against pressures: likewise */
	model_fan_state *fan;	  /* [branches]; NULL when there is no answer at all */
	model_ref why_branch, why_space; /* where it cannot be solved, or NONE; only when not solved */
} model_air_result;

/* X(enumerator, word, spoken): what the thing is for */
#define MODEL_DUSTS(X)                                                                                                 \
	X(WOOD, "wood", "wood dust")                                                                                   \
	X(HARDWOOD, "hardwood", "hardwood dust")                                                                       \
	X(METAL, "metal", "dust of metal grinding")                                                                    \
	X(SILICA, "silica", "dust that holds silica")                                                                  \
	X(SOLVENT, "solvent", "spray with solvents")
typedef enum model_dust {
#define X(name, word, spoken) DUST_##name,
	MODEL_DUSTS(X)
#undef X
		DUST_KINDS
} model_dust;
extern const char *const MODEL_DUST_WORD[DUST_KINDS];
extern const char *const MODEL_DUST_SPOKEN[DUST_KINDS];
/* A caution that the dust asks for, or NULL. */
const char *model_dust_caution(model_dust dust);

/* X(enumerator, word, spoken): how the air comes to where dust is released */
#define MODEL_HOODS(X)                                                                                                 \
	X(PLAIN, "plain", "plain opening")                                                                             \
	X(FLANGED, "flanged", "flanged opening")                                                                       \
	X(SLOT, "slot", "slot")                                                                                        \
	X(SLOT_FLANGED, "slot_flanged", "flanged slot")                                                                \
	X(BOOTH, "booth", "booth")
typedef enum model_hood {
#define X(name, word, spoken) HOOD_##name,
	MODEL_HOODS(X)
#undef X
		HOOD_KINDS
} model_hood;
extern const char *const MODEL_HOOD_WORD[HOOD_KINDS];
extern const char *const MODEL_HOOD_SPOKEN[HOOD_KINDS];

/* X(enumerator, word, spoken): how the dust leaves the work */
#define MODEL_MOTIONS(X)                                                                                               \
	X(STILL, "still", "without speed into still air")                                                              \
	X(LOW, "low", "at low speed into fairly still air")                                                            \
	X(ACTIVE, "active", "actively into moving air")                                                                \
	X(FAST, "fast", "at high speed")
typedef enum model_motion {
#define X(name, word, spoken) MOTION_##name,
	MODEL_MOTIONS(X)
#undef X
		MOTION_KINDS
} model_motion;
extern const char *const MODEL_MOTION_WORD[MOTION_KINDS];
extern const char *const MODEL_MOTION_SPOKEN[MOTION_KINDS];

typedef struct model_release { /* where dust arises */
	model_ref branch;      /* that is to catch it */
	double distance_m;     /* before it; with `over`: height above its sheet */
	bool over;	       /* then the rest means nothing */
	model_hood hood;
	model_motion motion;
	span at;
	/* Set by air_solve(): */
	double reach_m;			       /* up to which the equation holds; INFINITY: everywhere within */
	double speed_m_s[AIR_MOST_CONDITIONS]; /* brought to it; NaN beyond the reach or not solved */
} model_release;

/* X(enumerator, word, area, basis): which face speed a plan holds its face to */
#define MODEL_DRAFTS(X)                                                                                                \
	X(SANDING, "sanding_plan", PLAN, "down-draught bench, on its plan (APHA 2011; the source names no area)")      \
	X(GRINDING, "grinding_plan", PLAN, "portable grinding, 150 cfm/ft² of plan (an older handbook table)")         \
	X(GRILLE, "grinding_grille", GRILLE, "portable grinding, 200 cfm/ft² of grille (the same table)")              \
	X(DUST, "dust_plan", PLAN, "dust, 1 m/s (fragment of an HSE sheet; taken on the plan)")                        \
	X(BOOTH, "booth", PLAN, "booth with dry collectors, 100 ft/min through its opening (OSHA 1910.107(b)(5))")
typedef enum model_draft {
#define X(name, word, area, basis) DRAFT_##name,
	MODEL_DRAFTS(X)
#undef X
		DRAFT_KINDS
} model_draft;
extern const char *const MODEL_DRAFT_WORD[DRAFT_KINDS];
extern const char *const MODEL_DRAFT_BASIS[DRAFT_KINDS];

typedef struct model_face { /* a face whose speed the plan holds to a published figure */
	model_ref branch;
	model_draft draft;
	span at;
} model_face;
double model_face_m_s(const model_face *f, const model_flow *flow); /* on the area that its basis names */

typedef struct model_air {
	bool given; /* the plan has an air block */
	span at;
	double altitude_m, temperature_k, density_kg_m3, viscosity_pa_s;
	double room_m3;		/* volume of the room, NaN when not said */
	double dust_kg_s;	/* dust made per second of work, NaN when not said */
	double trough_m3;	/* NaN */
	span trough_at;		/* the gap's name in the `trough` line */
	double dust_bulk_kg_m3; /* of dust as it lies in the trough; 0 or NaN when not said */
	bool exhausts_outdoors;
	LIST(model_space) spaces; /* row 0 is the room */
	LIST(model_branch) branches;
	bool has_cover;
	double humidity;  /* relative, 0 to 1; 0 when not said: dry air */
	double mixing;	  /* of the room's air, 1 when not said: perfect */
	double makeup_m2; /* free area through which outdoor air comes in, NaN when not said */
	span makeup_at, exhaust_at;
	unsigned handles; /* a bit for each model_dust that it is for */
	span handles_at[DUST_KINDS];
	LIST(model_release) releases;
	LIST(model_face) faces;
	LIST(model_work) works;	 /* laid together */
	LIST(const char *) taps; /* names of the fans' taps; row 0 is NULL: the speed of the published curves */
	model_air_result result[AIR_MOST_CONDITIONS];
	double dust_held_kg;	     /* by all filters before the dirty state, NaN */
	double hours_to_dirty;	     /* NaN */
	double hours_to_full_trough; /* NaN */
	double room_changes_per_h;   /* at the dirty state, NaN */
	double decay_s; /* until a hundredth of the dust in the room is left, dirty, no more being made; NaN */
	LIST(diag_compared) compared; /* what the rules of the air compared, in their order */
} model_air;

/* ---- what level parts carry ------------------------------------------------------------------- */

typedef struct model_bend { /* the strip of a level part that bends most against what it may */
	model_ref part;
	model_ref from, to; /* the parts that hold its ends; `to` is NONE where it stands out beyond `from` */
	bool plate;	    /* held on three or four sides there */
	double load_n;	    /* all that the part bears, its own weight included */
	double span_m, deflection_m, allowed_m;
} model_bend;

/* ---- requirements and waivers ---------------------------------------------------------------- */

typedef struct model_require {
	span at;
	const char *text;    /* the condition as written */
	const char *because; /* words of the plan, or NULL */
	quant left, right;   /* of a comparison of quantities */
	const char *compare; /* "<", "<=", ">", ">=", "=", "!="; "" for another condition, which has no sides */
	bool held, known;    /* known: both sides could be worked out */
} model_require;

typedef struct model_waiver {
	const char *rule, *because;
	LIST(const char *) things; /* names of what it is for; none: for the whole plan */
	span at;
	bool used;
} model_waiver;

/* A finding that was set aside, by the plan or on the command line. */
typedef struct model_waived {
	const char *rule, *text, *because; /* text: the message, which says by how much */
	bool error;
	span at;
} model_waived;

/* A limit of a rule that the plan sets anew. */
typedef struct model_tuned {
	const char *limit, *because; /* limit: RULE or RULE.WORD */
	const char *was_text; /* what it is otherwise, as a person reads it in the plan's measures; "" for none */
	const char *is_text;  /* what it is here */
	quant was, is;	      /* was: NaN when it is no one value */
	span at;
} model_tuned;

/* ---- order of work --------------------------------------------------------------------------- */

/* X(enumerator, word, spoken verb, stage): stage orders the book when nothing else decides */
#define MODEL_OPS(X)                                                                                                   \
	X(BUY, "buy", "Buy and check", 0)                                                                              \
	X(MEASURE, "measure", "Measure the sheets", 1)                                                                 \
	X(CUT, "cut", "Cut to size", 2)                                                                                \
	X(TEMPLATE, "template", "Make and test the template", 3)                                                       \
	X(GROOVE, "groove", "Cut dados and rabbets", 4)                                                                \
	X(OPEN, "open", "Cut the openings", 5)                                                                         \
	X(DRILL, "drill", "Drill for screws", 6)                                                                       \
	X(EASE, "ease", "Ease the edges", 7)                                                                           \
	X(TRY, "try", "Try the fit dry", 8)                                                                            \
	X(FINISH, "finish", "Sand and finish", 9)                                                                      \
	X(JOIN, "join", "Assemble", 10)                                                                                \
	X(SEAT, "seat", "Seat collars", 11)                                                                            \
	X(GASKET, "gasket", "Lay gaskets", 12)                                                                         \
	X(FILTER, "filter", "Hang or fit filters", 13)                                                                 \
	X(FIT, "fit", "Fit bought items", 14)                                                                          \
	X(FAN, "fan", "Fit the fan", 15)                                                                               \
	X(WIRE, "wire", "Wiring by a qualified person", 16)                                                            \
	X(DOOR, "door", "Hang doors and covers", 17)                                                                   \
	X(TEST, "test", "Test and record", 18)                                                                         \
	X(WRITTEN, "step", "As written", 19)
typedef enum model_op_kind {
#define X(name, word, spoken, stage) OP_##name,
	MODEL_OPS(X)
#undef X
		OP_KINDS
} model_op_kind;
extern const char *const MODEL_OP_WORD[OP_KINDS];
extern const char *const MODEL_OP_SPOKEN[OP_KINDS];

typedef struct model_op { /* one thing to do */
	model_op_kind kind;
	const char *what;      /* "cut left", "join floor into left" */
	LIST(model_ref) parts; /* parts it handles */
	LIST(model_ref) tools;
	model_ref joint, pattern;     /* or NONE */
	model_ref template;	      /* that is made, or NONE */
	model_ref written;	      /* model.written row that covers it, or NONE */
	double minutes, wait_minutes; /* hands on; then glue or finish cures */
	span at;
	model_ref step; /* steps row it went to */
} model_op;

typedef struct model_edge { /* op `before` comes before op `after`, because … */
	model_ref before, after;
	const char *reason; /* "a dado is cut before the box is closed" */
	span at;
} model_edge;

typedef struct model_written { /* a step as the plan writes it */
	const char *name;
	span at;
	LIST(model_ref) parts; /* parts (every part of a group) */
	LIST(model_ref) tools;
	LIST(model_op_kind) does;	 /* kinds of operation it takes up, for its parts */
	LIST(model_words) after, before; /* names of other written steps */
	model_words note, caution, check;
	double minutes, wait_minutes; /* NaN = not given */
	uint32_t helpers;
} model_written;

typedef struct model_step { /* a page of the book: one action group */
	const char *title;
	model_op_kind kind;
	LIST(model_ref) ops;
	LIST(model_ref) new_parts; /* parts that come into the cabinet here */
	LIST(model_ref) tools;
	LIST(const char *) reasons;	    /* why now and not earlier or later */
	const char *note, *caution, *check; /* or NULL */
	const char *caution_brief;	    /* for one who reads the steps in order: in full the first time only */
	const char *hold;		    /* what is held or propped until it is fastened, or NULL */
	const char *meanwhile;		    /* what is done while it dries, or NULL */
	const char *glue;		    /* how many joints may be glued at a time, or NULL */
	double minutes, wait_minutes;
	double idle_minutes; /* of the wait, that no other work fills */
	double idle_least;   /* and of that, what no order of the work fills */
	double lift_kg;	     /* heaviest thing moved */
	uint32_t helpers;
	model_ref written;
} model_step;

typedef struct model_order {
	LIST(model_op) ops;
	LIST(model_edge) edges;
	LIST(model_step) steps;
	double hands_on_minutes, critical_path_minutes; /* the longest chain, however many hands there are */
	double elapsed_minutes;			   /* one person in this order, waits that nothing fills included */
	double two_people_minutes, helped_minutes; /* two people, waits included; work that wants both at once */
} model_order;

/* ---- sheets and bars --------------------------------------------------------------------------- */

typedef struct model_piece { /* a part on a sheet; millimetres from the sheet's corner, trim included */
	model_ref part;
	rat x, y, w, h; /* w along the sheet's long side */
	bool turned;	/* part's long in-plane axis lies across the sheet */
} model_piece;
typedef struct model_offcut {
	rat x, y, w, h;
} model_offcut;
typedef struct model_cut { /* edge to edge across one rectangle of the sheet */
	uint32_t number;
	bool along_x;	/* the saw runs along the long side (a rip), else a crosscut */
	rat x, y, w, h; /* rectangle that is divided */
	rat at;		/* coordinate of the cut's near side (y when along_x, else x) */
	rat fence;	/* width set at the fence: the piece kept below or left of the kerf */
	bool trim;	/* takes off an edge of the sheet */
	bool keep_high; /* trim at a low edge: the piece kept at the fence lies above or right of the kerf */
} model_cut;
typedef struct model_roll_part {	/* cloth of one tube, or a strip of tape: what is cut from a roll */
	const char *name;		/* "felts.3", "lid to left.1" */
	model_ref stock, branch, joint; /* which it is for; the other is NONE */
	rat w, h;			/* of a tube its length and the cloth round it */
	span at;
} model_roll_part;
typedef struct model_sheet_plan { /* a sheet; or a roll, unrolled: w is its length, `part` a row of roll_parts */
	model_ref stock;
	uint32_t size; /* 0 = the stock's own, else 1 + its row among the stock's sizes */
	bool offcut;   /* a piece on hand */
	rat w, h, kerf;
	rat trim[EDGES];
	LIST(model_piece) pieces;
	LIST(model_offcut) offcuts;
	LIST(model_cut) cuts;
	double used_part;  /* area of parts over area of sheet, 0..1 */
	uint32_t settings; /* how often the saw is set for the cuts: each change of direction or fence */
} model_sheet_plan;
typedef struct model_bar_plan {
	model_ref stock;
	uint32_t size; /* as of a sheet */
	bool offcut;
	rat length, trim, kerf;
	LIST(model_piece) pieces; /* x and w only */
	rat rest;
} model_bar_plan;
/* By what layouts of a stock are compared: of one size, by how many are used; of several, by their price; where one
 * has no price, by area (sheets) or length (bars). */
typedef enum model_measure { MEASURE_COUNT, MEASURE_MONEY, MEASURE_SIZE } model_measure;
typedef struct model_stock_count {
	model_ref stock;
	uint32_t used;	  /* whole sheets, bars or rolls */
	uint32_t offcuts; /* pieces on hand that are used */
	model_measure by;
	int64_t cost, cost_bound; /* in that measure: number; cents; cm2 or mm. No layout costs less than the bound */
	bool proven;		  /* cost == cost_bound */
	LIST(model_ref) left;	  /* parts (of a roll: roll_parts) that found no place: nothing more is there */
	uint32_t left_least;	  /* by area or length no layout leaves fewer over; 0: nothing is proven */
	bool hand_first;	  /* verified: no part lies on bought stock that fits an offcut left lying */
} model_stock_count;
typedef struct model_layout {
	LIST(model_sheet_plan) sheets;
	LIST(model_bar_plan) bars;
	LIST(model_roll_part) roll_parts;
	LIST(model_sheet_plan) rolls;
	LIST(model_stock_count) counts;
	rat kerf;      /* of the plan's first saw; 3 mm when it names none */
	model_ref saw; /* tools row, or NONE: then the kerf is assumed */
	rat guide;     /* a piece with less than that along the fence goes on a sled instead */
} model_layout;

/* ---- shopping -------------------------------------------------------------------------------- */

typedef struct model_buy {
	model_ref stock;    /* NONE: something that the plan does not name */
	const char *what;   /* label */
	double amount;	    /* in `unit` */
	const char *unit;   /* "sheet", "bar", "piece", "m", "m2", "l", "ml" */
	int64_t packs;	    /* to buy, of stock.pack each */
	int64_t cents;	    /* packs x price, -1 when no price is known */
	const char *reason; /* "48 screws in 9 joints" */
} model_buy;

/* ---- the whole ------------------------------------------------------------------------------- */

typedef struct model {
	arena *mem;
	const source_set *sources;
	const char *title;
	span title_at;
	const char *slug;    /* the plan file's name without ".plan" */
	const char *edition; /* or NULL */
	/* for title blocks, as written, or NULL: legal owner, the plan's own number, date of the edition, who drew it
	 * and who approved it */
	const char *owner, *number, *issued, *drawn, *approved;
	const char *currency; /* "" when not said */
	LIST(model_history) history;
	LIST(model_words) notes;	   /* to the builder */
	bool without[MODEL_CHAPTER_COUNT]; /* chapters that the book leaves out */
	const char *purpose;		   /* what it is, or NULL */
	const char *cabinet_name;
	measures measures;
	paper paper;
	LIST(model_let) lets;
	bool lacks_file; /* a used file could not be read: what is not there may have stood in it */
	LIST(model_stock) stocks;
	LIST(model_part) parts; /* what stands in the cabinet */
	/* Behind those, from parts.v[parts.n] on, so many more rows: extra pieces. Who goes to parts.n sees the
	 * cabinet, who goes to model_rows() all that is cut; a model_ref may be either. */
	size_t n_extra;
	LIST(model_placed) placed;
	LIST(model_pattern) patterns;
	LIST(model_joint) joints;
	LIST(model_glue_face) glue_faces;
	LIST(model_gasket_run) gaskets;
	LIST(model_feature) features;
	LIST(model_tool) tools;
	LIST(model_template) templates;
	model_air air;
	LIST(model_bend) bends;
	LIST(model_require) requires;
	LIST(model_waiver) waivers;
	LIST(model_waived) waived;
	LIST(model_tuned) tuned;
	LIST(model_written) written;
	model_order order;
	model_layout layout;
	LIST(model_buy) shopping;
	model_length passes[2];		 /* a doorway that it must go through: width, height */
	double moisture_lo, moisture_hi; /* of the wood in use over a year, percent; 6 and 10 when not said */
	span moisture_at;
	box3 bounds;	    /* of everything but gaps */
	double mass_kg;	    /* of the whole */
	int64_t cost_cents; /* what prices are known */
	bool cost_whole;    /* every price was known */
} model;

/* Finds a part, stock, pattern or tool by name; MODEL_NONE when there is none. */
model_ref model_find_part(const model *m, const char *name);
model_ref model_find_stock(const model *m, const char *name);
/* How a person reads it, in the plan's measures; money with the plan's currency. */
const char *model_show(const model *m, quant q);
/* Area of a shape in mm2 (double), and its largest half extent along a cabinet axis (exact). */
double model_shape_area_mm2(const model_shape *s);
rat model_shape_half(const model_shape *s, axis along);
/* Length of its edge in mm; and the widest cutter that passes it (of a free outline: its narrowest way through). */
double model_shape_edge_mm(const model_shape *s);
rat model_shape_narrow(const model_shape *s);
/* Middle of the shape's bounding box when the pattern's axis stands at `at`; that point itself but for free outlines.
 */
point3 model_shape_middle(const model_shape *s, point3 at, axis u, axis v);
/* A place of a template, from its centre lines as it is drawn, as it lies on a sheet that it serves. */
model_at model_template_lies(const model_template_use *u, model_at p);
/* How a template serves the openings of a pattern in a part; NULL when it does not. */
const model_template_use *model_template_serves(const model_template *t, model_ref pattern, model_ref part);
/* The sheet of a pattern that is this part, or NULL. */
const model_sheet_of_pattern *model_pattern_sheet(const model_pattern *p, model_ref part);
/* Open area and plan area of a branch in a condition (0..3): in the covered ones what is left uncovered of them. */
/* How many numbers of conditions there are; those of them that the plan asks for; a name such as "dirty with work,
 * low", in the arena of the model. */
int model_conditions(const model *m);
bool model_condition_given(const model *m, int condition);
const char *model_condition_name(const model *m, int condition);
bool model_condition_covered(int condition);			/* by the declared share */
bool model_condition_worked(int condition);			/* by the work pieces */
const char *model_condition_tap(const model *m, int condition); /* NULL: the speed of the published curves */
double model_open_m2(const model_branch *b, int condition);
double model_plan_m2(const model_branch *b, int condition);
/* Is it the unnamed place in which one branch passes its stream on to the next? Nobody can put a gauge to it. */
bool model_space_in_stream(const model *m, model_ref space);
static inline size_t model_rows(const model *m) { return m->parts.n + m->n_extra; }
/* Is it cut from lengths: bars and pipes? */
static inline bool model_by_length(model_stock_kind k) { return k == STOCK_BAR || k == STOCK_PIPE; }
/* Is it cut from rolls of known lengths? Media and gaskets without one are bought by measure. */
static inline bool model_on_rolls(const model_stock *s) {
	return (s->kind == STOCK_MEDIA || s->kind == STOCK_GASKET) && rat_ok(s->size[0].mm);
}
/* What one of it is called where it is cut up: "sheet", "bar", "pipe", "roll". */
const char *model_whole_word(model_stock_kind k);
/* How long a roll is: "25 m", "30 ft". */
const char *model_roll_words(const model *m, rat mm);
/* Name of what lies there on a sheet or roll. */
const char *model_cut_name(const model *m, const model_sheet_plan *s, model_ref part);
/* Bore of a pipe, mm; poison when it is solid or no pipe. */
rat model_pipe_bore(const model_stock *s);
/* What a drill, hole saw or cutter really cuts: as measured, else as marked. */
rat model_tool_cuts(const model_tool *t);
/* Is it a hollow pipe that runs along that axis, and so open to what comes that way? */
bool model_pipe_along(const model *m, const model_part *p, axis along);
/* What is seated in an opening, as a step says it: "collar", "collars", "tube", "grommet". */
const char *model_seat_word(const model_stock *s, bool several);
/* Is it made of sheet, bar or pipe (and so cut, drilled and drawn)? */
bool model_part_made(const model *m, const model_part *p);
#endif
