/* Ends of bars that are not sawn square: what they take from the bar, and whether two of them meet without standing in
 * one another. The box of such a bar reaches to its long points. Values only: no ownership. */
#ifndef ENGINE_MITRE_H
#define ENGINE_MITRE_H
#include "runtime/engine/model.h"

/* How much shorter the bar is at the far side than at the point of that end (0 low, 1 high), mm; 0 when square. */
double mitre_setback_mm(const model_part *p, int end);
/* A blade that is swung takes more along the bar: how much more than its kerf; mm. */
double mitre_kerf_mm(double angle_deg, double kerf_mm);
/* Share of the box that the mitres take away; 0 to 1. */
double mitre_share(const model_part *p);
/* The two do not both fill any of the room that is common to their boxes, but for less than a hundredth of a
 * millimetre. */
bool mitre_apart(const model_part *a, const model_part *b, box3 common);
/* The two meet in one mitre: square to each other, from the same corner, their angles a right angle together. `end` is
 * a's end there; `contact` what their boxes share, flat in its middle along a; `slant` how much larger the sawn face is
 * than that. NULLs are not filled. */
bool mitre_meets(const model_part *a, const model_part *b, face *end, box3 *contact, double *slant);
#endif
