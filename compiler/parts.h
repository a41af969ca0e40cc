/* What the three files about parts share: reading (resolve_parts.c), which axis is which (part_structure.c), where the
 * faces lie (part_faces.c). Private to them.
 * Ownership: as in compiler/context.h. */
#ifndef COMPILER_PARTS_H
#define COMPILER_PARTS_H
#include "compiler/context.h"

enum { MOST_PIECES = 500 }; /* of one repeated part */

/* "its left and right", for messages. */
extern const char *const PART_SIDES[3];
/* A line of the part's block, or of the block of the part that it mirrors; NULL when there is none. */
const syn_line *part_line(const part_def *p, const char *word);
/* The part whose block has that line: itself, or one that it mirrors; NULL. */
const part_def *part_line_of(const part_def *p, const char *word);
void hold_along(hold *h, axis a);
/* The axis that an expression `part.face` names by itself. */
bool part_names_face(ctx *c, const syn_expr *e, axis *a);
/* How many pieces its lines make; false: reported. */
bool part_expand(ctx *c, part_def *p);
/* One axis of a view (a piece, the box round several): from the parts that it shows. */
bool part_view_axis(ctx *c, part_def *p, axis a);
/* The extent along an axis, in its own coordinates, of what stands in an instance. */
bool inst_extent(ctx *c, inst *in, axis a, span at, rat *lo, rat *hi);
/* One piece's face in the coordinates of the current instance. */
bool part_piece_face(ctx *c, part_def *p, uint32_t piece, face f, span at, rat *mm);
/* Works out both faces along an axis, for every piece. False: reported, here or where it failed before. */
bool part_axis(ctx *c, part_def *p, axis a, span at);
/* resolve_use.c: what one piece carries, how it opens or slides; its box is known. */
void part_use(ctx *c, const part_def *p, model_part *m);
#endif
