/* Second opinion on layouts: replays every cut and shares nothing with the solver but the data's shape.
 * Ownership: faults live in the arena given; problem and result are only read. */
#ifndef ENGINE_LAYOUT_VERIFY_H
#define ENGINE_LAYOUT_VERIFY_H
#include "runtime/engine/bars.h"
#include "runtime/engine/layout.h"

/* X(enumerator, what is wrong) */
#define LAYOUT_FAULTS(X)                                                                                               \
	X(STOCK, "the sheet is of no stock there is")                                                                  \
	X(STOCK_COUNT, "more sheets of a stock are used than there are")                                               \
	X(PART, "a piece is of no part there is")                                                                      \
	X(SIZE, "a piece has another size than its part")                                                              \
	X(GRAIN, "a piece is turned against the grain")                                                                \
	X(OUTSIDE, "a piece reaches beyond the trimmed sheet")                                                         \
	X(CLOSE, "two pieces lie closer than the kerf")                                                                \
	X(TWICE, "a piece is laid twice")                                                                              \
	X(MISSING, "a piece is neither laid nor reported")                                                             \
	X(UNFIT, "a piece is reported as too large and fits")                                                          \
	X(STOCK_LEFT, "a piece is reported as left over while stock is left")                                          \
	X(CUT_RECT, "a cut divides a rectangle that is not there at that moment")                                      \
	X(CUT_PLACE, "a cut does not run through its rectangle")                                                       \
	X(FENCE, "the fence is not at the size of the piece that is kept")                                             \
	X(TRIM, "a trim cut does not run along the sheet's edge")                                                      \
	X(UNCUT, "a piece is no rectangle that the cuts leave")                                                        \
	X(OFFCUT, "an offcut is no rectangle that the cuts leave")                                                     \
	X(LEFT, "the cuts leave a rectangle that is neither piece, offcut nor trim")                                   \
	X(COST, "the cost is not that of the sheets")                                                                  \
	X(BOUND, "the bound lies above what is used")                                                                  \
	X(HAND, "a piece lies on what is bought, and fits a piece on hand that is left lying")
typedef enum layout_fault_kind {
#define X(name, text) LAYOUT_FAULT_##name,
	LAYOUT_FAULTS(X)
#undef X
		LAYOUT_FAULT_KINDS
} layout_fault_kind;
extern const char *const LAYOUT_FAULT_TEXT[LAYOUT_FAULT_KINDS];

typedef struct layout_fault {
	layout_fault_kind kind;
	uint32_t sheet;	       /* or bar; UINT32_MAX when it is about the whole */
	uint32_t first, other; /* pieces, cuts, offcuts or parts, by the kind; UINT32_MAX when there is none */
} layout_fault;

typedef LIST(layout_fault) layout_faults;

/* True when nothing is wrong. Both refuse by data, never by ending the process. */
bool layout_verify(arena *mem, const layout_problem *p, const layout_result *r, layout_faults *faults);
bool bars_verify(arena *mem, const bars_problem *p, const bars_result *r, layout_faults *faults);
/* Where a result says that what is on hand was filled first (the first `n_hand` stocks): nothing that is bought bears a
 * piece that would lie alone on one of them which is not used. */
bool layout_verify_hand(arena *mem, const layout_problem *p, const layout_result *r, size_t n_hand,
			layout_faults *faults);
bool bars_verify_hand(arena *mem, const bars_problem *p, const bars_result *r, size_t n_hand, layout_faults *faults);
#endif
