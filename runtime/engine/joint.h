/* What a joint takes away and what touches in it, as exact boxes and rectangles in cabinet space.
 * Ownership: values only; lists go to the arena that is passed. */
#ifndef ENGINE_JOINT_H
#define ENGINE_JOINT_H
#include "runtime/engine/model.h"

/* Tape on a contact not broader than this is one strip, else it goes all round. Common practice, no source. */
enum { JOINT_STRIP_MM = 60 };

/* Does a go into a cut of b (dado, rabbet, groove, tongue)? */
bool joint_enters(model_joint_kind k);
/* Is anything cut for it? The above, and halvings. */
bool joint_cuts(model_joint_kind k);
/* The word for its cut in b: "dado", "groove", "rabbet", "halving". */
const char *joint_cut_word(model_joint_kind k);
/* Is anything cut into the part for its joints? */
bool joint_part_cut(const model *m, model_ref part);
/* What is cut into these parts for their joints: "dados", "rabbets and tongues"; `otherwise` when dados and rabbets are
 * all there is. */
const char *joint_cuts_words(arena *mem, const model *m, const model_ref *parts, size_t n, const char *otherwise);
/* "into" or "to", as the plan joins them. */
const char *joint_link(model_joint_kind k);

/* Of one that enters: the axis across the cut (a's thickness), and the one that the cut runs along. */
axis joint_across(const model *m, const model_joint *j);
axis joint_along(const model *m, const model_joint *j);
/* How far a goes into b, mm: the depth of the cut less the room at its bottom. 0 when it does not enter. */
rat joint_engages(const model_joint *j);

/* Does any joint of the plan join the two parts, whichever way round it is written? */
bool joint_between(const model *m, model_ref a, model_ref b);
/* Adds to the parts marked in `in` [parts] all that joints hold to them, however many joints away. */
void joint_gather(const model *m, bool *in);

/* The volume that is cut out of b, with allowance, room and stops; empty (no size) when nothing is cut. A rabbet
 * reaches as far as b's edge, when a lies no further from it than it is thick. */
box3 joint_cut_b(const model *m, const model_joint *j);
/* Of one that enters: what of a stands in b when they are together, without allowance and room. */
box3 joint_tongue(const model *m, const model_joint *j);
/* Halving: the volume that is cut out of a. */
box3 joint_cut_a(const model *m, const model_joint *j);
/* Tongue: the shoulder on a's low (0) or high (1) face beside the tongue; false when it has none there. */
bool joint_shoulder(const model *m, const model_joint *j, int high, box3 *out);
/* What a stopped cut takes from the corner of a's tongue at b's low (0) or high (1) edge; false when nothing. */
bool joint_notch(const model *m, const model_joint *j, int high, box3 *out);

/* Does the joint bar a's way along `out` (and b's against it)? A tongue leaves straight out, or along its cut where
 * that runs out at b's edge; of two parts that are halved none goes the way in which it goes on behind the other. Never
 * for a joint that cuts nothing. */
bool joint_bars(const model *m, const model_joint *j, face out);

/* Is the spread of the sheet that goes in larger than the allowance, so that the cut has to be made to the sheet as it
 * is measured? Not for a tongue, which is cut to its thickness. */
bool joint_from_the_work(const model *m, const model_joint *j);

/* What a screw passes before it meets a (b, a gap or room at the bottom of the cut too; of a bought item the flange
 * that its stock tells of, else 0), and how much of a there is behind that; mm. */
void joint_screw_way(const model *m, const model_joint *j, rat *through, rat *there);

typedef LIST(model_glue_face) joint_faces;
/* Adds the surfaces of both parts that touch in the joint, glued or not: bottoms, cheeks, shoulders. */
void joint_add_faces(arena *mem, const model *m, model_ref joint, joint_faces *out);
/* Area on which a and b are glued, m2; 0 when the joint is not glued. */
double joint_glue_m2(arena *mem, const model *m, model_ref joint);

/* Where the tape of a joint lies; false when it has none. */
bool joint_gasket(const model *m, model_ref joint, model_gasket_run *out);
/* Makes the blank of a longer by what goes into b. */
void joint_grow(model_part *a, const model_joint *j);
#endif
