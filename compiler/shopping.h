/* What is to be bought: from layouts, joints, patterns, parts and air, counted once each.
 * Ownership: rows and texts live in the model's arena. */
#ifndef COMPILER_SHOPPING_H
#define COMPILER_SHOPPING_H
#include "runtime/engine/model.h"

/* Cloth for seams, on top of the tubes' own area. Ours: a flat-felled seam along the tube and two hems take
 * about that of a tube 200 mm wide; no source. */
#define SHOPPING_SEAM 0.05
/* On gasket, for corners and ends. Common practice, no source. */
#define SHOPPING_GASKET_WASTE 0.05
/* Wood glue, litres per square metre of glued surface: about 200 g/m2. Common practice, no source. */
#define SHOPPING_GLUE_L_M2 0.2

/* Cloth round one tube of the branch, with its seam, mm. */
double shopping_tube_mm(const model_branch *b);
/* Length in metres to buy of a roll `roll_mm` wide for n cuts of `across_mm` by `high_mm`, laid beside each other one
 * way or the other, whichever takes less; NaN when they fit neither way. */
double shopping_roll_m(double across_mm, double high_mm, uint64_t n, double roll_mm);

/* Fills m->shopping, m->cost_cents and m->cost_whole (every row's price known). Run it once, after layout_make() and
 * air_geometry(). Rows stand in the order of the stock table; cents are packs x price, where a pack of screws, collars
 * or items has the price of the pack, and gasket, media and finish the price of a metre, square metre (off a roll:
 * metre) or litre and are bought by whole ones, or packs of so many; where the length of a roll is known by rolls.
 * Sheets, bars and rolls on hand are not bought. Joints
 * that say `glue` without a stock give one more row at the end, of stock MODEL_NONE and without a price, in
 * millilitres. */
void shopping_make(model *m);
#endif
