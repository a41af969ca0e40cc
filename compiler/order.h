/* The order of work: operations inferred from the model, why each comes before another, and the steps of the book.
 * Ownership: everything made goes into model.order and lives in the model's arena; diagnostics in theirs. */
#ifndef COMPILER_ORDER_H
#define COMPILER_ORDER_H
#include "runtime/base/diag.h"
#include "runtime/engine/model.h"

/* Fills m->order from parts, joints, patterns, features, templates, air and written steps; anything that was in it is
 * thrown away. Operations end up in the order of work, edges by (after, before), steps in order; times in minutes.
 * Run it when the air is solved, if the steps shall name gauge readings (without that the test step says less).
 *
 * Rules it may report: order-circle (error: written constraints contradict what the work needs; the whole loop is
 * named), closed-in (error: something can no longer be put in, or a screw no longer be reached), plan-unknown-step
 * (error, with the nearest name), step-empty (warning). False when an order could not be made: m->order then holds
 * operations and edges but no steps. Row order of parts, joints, patterns and stocks does not change the outcome. */
bool order_make(model *m, diags *d);
#endif
