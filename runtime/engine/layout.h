/* Sheet layouts that a saw can cut: every cut runs edge to edge (guillotine), with kerf, trim and grain.
 * Ownership: a result and all its lists live in the arena given to layout_solve(); the problem is only read.
 *
 * Units: whole numbers of one unit that the caller chooses (compiler/layout.c takes the common
 * denominator of all lengths, so that nothing is rounded). x runs along a sheet's first size, y along
 * its second; the origin is the sheet's corner, trim included.
 *
 * Kerf and trim: a cut removes exactly `kerf` between the two pieces it parts. Trim is what is lost at an
 * edge, the kerf of the trim cut included; when trim < kerf the blade runs partly beside the edge. A
 * kerf may likewise run over the trimmed edge: a part that leaves less than a kerf needs its cut
 * all the same, and nothing is left behind it. */
#ifndef ENGINE_LAYOUT_H
#define ENGINE_LAYOUT_H
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "runtime/base/arena.h"

enum { LAYOUT_MAX = INT32_MAX };    /* largest size, in units: areas fit 64 bits */
enum { LAYOUT_BUDGET = 1500000 };   /* steps when the problem says 0: some ten milliseconds */
enum { LAYOUT_MOST_PARTS = 20000 }; /* pieces of all parts together */

typedef struct layout_part {
	int64_t w, h; /* along x and y when not turned; 1..LAYOUT_MAX */
	uint32_t count;
	bool turnable; /* false: the grain decides, w stays along x */
} layout_part;

typedef struct layout_edges {
	int64_t left, right, bottom, top; /* low x, high x, low y, high y */
} layout_edges;

typedef struct layout_stock {
	int64_t w, h;	   /* whole sheet, 1..LAYOUT_MAX */
	layout_edges trim; /* each 0..LAYOUT_MAX */
	int64_t price;	   /* of one, >= 0; 1 for all when prices are unknown: then cost counts sheets */
	int64_t count;	   /* there are so many; -1 = any number */
} layout_stock;

/* What the trim leaves; not above 0 when it leaves nothing. */
static inline int64_t layout_room_w(const layout_stock *s) { return s->w - s->trim.left - s->trim.right; }
static inline int64_t layout_room_h(const layout_stock *s) { return s->h - s->trim.bottom - s->trim.top; }

typedef struct layout_problem {
	const layout_part *parts;
	size_t n_parts;
	const layout_stock *stocks;
	size_t n_stocks;
	int64_t kerf;	 /* >= 0 */
	int64_t useful;	 /* an offcut counts as useful when both sides reach this */
	uint64_t budget; /* placements tried at most, 0 = LAYOUT_BUDGET; a first whole layout is always made */
} layout_problem;

typedef struct layout_rect {
	int64_t x, y, w, h;
} layout_rect;

typedef struct layout_piece {
	uint32_t part, copy; /* copy from 0 below the part's count */
	layout_rect at;
	bool turned; /* the part's h lies along x */
} layout_piece;

typedef struct layout_cut { /* in order of work; number = index + 1 */
	bool along_x;	    /* the saw runs along x, from edge to edge of `of` */
	bool trim;	    /* takes off an edge of the sheet */
	bool keep_high;	    /* the piece at the fence lies above or right of the kerf (trim at the low edges) */
	layout_rect of;	    /* the rectangle that is divided; it exists at that moment */
	int64_t at;	    /* low side of the kerf: y when along_x, else x; may lie up to a kerf outside `of` */
	int64_t fence;	    /* distance from fence to blade: the size of the piece that is kept */
} layout_cut;

typedef struct layout_sheet {
	uint32_t stock;
	LIST(layout_piece) pieces;
	LIST(layout_rect) offcuts; /* what is left within the trim, largest first, slivers included */
	LIST(layout_cut) cuts;
	uint32_t settings; /* how often direction or fence changes, the first setting counted */
} layout_sheet;

typedef enum layout_why { LAYOUT_TOO_LARGE, LAYOUT_STOCK_OUT } layout_why;
typedef struct layout_unfit { /* pieces that are on no sheet */
	uint32_t part, copies;
	layout_why why;
	uint32_t stock;		/* too large: the stock it misses by least */
	int64_t over_w, over_h; /* too large: by how much beyond the trimmed sheet, the kinder way round */
} layout_unfit;

typedef struct layout_result {
	LIST(layout_sheet) sheets;
	LIST(layout_unfit) unfit;
	int64_t cost, cost_bound; /* of the sheets used; no layout of the pieces that fit costs less */
	uint32_t sheet_bound;	  /* no layout of the pieces that fit uses fewer sheets */
	bool proven;		  /* cost == cost_bound and nothing ran out */
	bool hand_first;	  /* layout_hand.h: what is on hand was filled before anything was bought */
	layout_rect largest;	  /* largest useful offcut of all sheets; w == 0 when there is none */
	uint32_t largest_sheet;
	uint32_t settings; /* of all sheets */
	uint64_t steps;	   /* placements tried */
} layout_result;

/* Objective, in this order: fewest pieces left over, lowest cost, largest useful offcut, fewest saw
 * settings. Deterministic: the same problem gives the same result everywhere. NULL when well, else
 * why the problem is not one ("part 3 has no size"); the result is empty then. Methods and sources: docs/layout.md. */
const char *layout_solve(arena *mem, const layout_problem *p, layout_result *out);

/* The part does not fit any stock, even alone: fills `unfit` and gives true. */
bool layout_too_large(const layout_problem *p, uint32_t part, layout_unfit *unfit);

/* Lower bounds for the pieces that fit: on sheets, and on cost. Area bound and pairs of dual feasible
 * functions, both on sizes with the kerf added. */
void layout_bound(const layout_problem *p, uint32_t *sheets, int64_t *cost);
#endif
