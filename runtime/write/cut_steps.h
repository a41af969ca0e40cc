/* What a person at the saw has to know of each cut: which piece is taken, what lies at the fence, what is set aside.
 * Worked out from the cuts, parts and offcuts of a sheet, or of a roll, which is a sheet that is unrolled.
 * Ownership: steps and texts live in the arena given; the model is only read. */
#ifndef WRITE_CUT_STEPS_H
#define WRITE_CUT_STEPS_H
#include "runtime/engine/model.h"

typedef enum cut_becomes {		    /* what one side of a cut is from then on */
			   BECOMES_NOTHING, /* the blade has taken it */
			   BECOMES_WASTE,   /* trimmed off */
			   BECOMES_PART,    /* done: `row` of the model's parts, of a roll of its pieces */
			   BECOMES_OFFCUT,  /* `row` of the sheet's offcuts */
			   BECOMES_PIECE    /* cut again: `row` is that cut's number */
} cut_becomes;

typedef struct cut_side {
	cut_becomes is;
	uint32_t row;
	rat w, h;
} cut_side;

typedef struct cut_step {
	uint32_t from;	      /* number of the cut that left the piece that is taken; 0 = the whole sheet */
	cut_side kept, other; /* at the fence, and beyond the blade */
	bool set;	      /* the saw is set anew: direction, fence or side differ from the cut before */
	bool sled;	      /* too short along the fence: on a sled, against a stop */
} cut_step;

/* One for each of the sheet's cuts. */
cut_step *cut_steps(arena *mem, const model *m, const model_sheet_plan *s);

typedef struct bar_step { /* one cut of a bar: an end is squared or mitred, then each piece is stopped to length */
	uint32_t number;
	const model_piece *piece; /* NULL: the end is squared, or mitred for the piece that comes next */
	const model_mitre *mitre; /* NULL: square */
	rat stop;		  /* the stop's distance, to the long point; poison without a piece */
	rat from, at;		  /* where what is taken begins, and the near side of the kerf at the long point */
	bool set;		  /* stop or angle are set anew */
	bool shared;		  /* the same cut is the mitre that the next piece begins with */
	cut_becomes other;	  /* what lies beyond the blade; BECOMES_PIECE: the rest, which is cut again */
} bar_step;
typedef LIST(bar_step) bar_steps;

/* The last piece needs no cut when it ends with the bar. */
bar_steps cut_steps_bar(arena *mem, const model *m, const model_bar_plan *b);
/* "waste", "offcut", "the rest" of a bar, or "". */
const char *cut_steps_rest(cut_becomes other);
/* "trim crosscut", "crosscut", "mitre" */
const char *cut_steps_bar_word(const bar_step *s);
/* "left 45° to top, right square"; empty when both ends are square. */
const char *cut_steps_ends(arena *mem, const model_part *p);
bool cut_steps_same_ends(const model_part *a, const model_part *b);

/* "the whole sheet", "from cut 3" */
const char *cut_steps_from(arena *mem, const model *m, const model_sheet_plan *s, const cut_step *step);
/* "side", "for cut 5", "offcut", "waste", "waste, reference edge made", "" */
const char *cut_steps_side(arena *mem, const model *m, const model_sheet_plan *s, const model_cut *c,
			   const cut_side *side);
/* What guides the cut: "fence", "sled"; of a roll "straightedge". */
const char *cut_steps_guide(const model *m, const model_sheet_plan *s, const cut_step *step);
#endif
