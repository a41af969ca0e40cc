/* The solved air as air.json and as the tables of the `air` command.
 * Ownership: JSON values are the caller's reference; tables live in the arena handed in. Nothing is worked out here
 * that the model does not hold, save units. */
#ifndef WRITE_AIR_WRITE_H
#define WRITE_AIR_WRITE_H
#include <jansson.h>

#include "runtime/engine/model.h"
#include "runtime/write/table.h"

/* The whole network in every condition, SI: state of the air; spaces; branches with their areas and coefficients;
 * fans with published points and their curve in this air; conditions with pressures, flows, speeds (each beside the
 * area it stands on and that area's name), losses, residuals, operating points, what the way asks of each fan; dust and
 * room. A condition without an answer has "solved": false, the reason, and no flows. {"given": false} without air. */
json_t *air_json(const model *m);

enum { AIR_TABLES = 4 };
/* Fans at work; branches; gauge readings; figures. In the model's measures. Empty tables without air. */
void air_tables(const model *m, arena *mem, const table *out[AIR_TABLES]);

/* What a branch's speed and face speed stand on: "free area of the openings", "face of the sheet". Never NULL. */
const char *air_speed_basis(const model_branch *b);
const char *air_face_basis(const model_branch *b);
#endif
