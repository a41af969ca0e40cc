/* The pieces plan.json is put together from.
 * Ownership: each function adds to the object given and keeps nothing. */
#ifndef WRITE_PLAN_JSON_PARTS_H
#define WRITE_PLAN_JSON_PARTS_H
#include "runtime/write/json_util.h"

typedef struct plan_json_list { /* rows of some table */
	const model_ref *v;
	size_t n;
} plan_json_list;

/* Names of rows; null for MODEL_NONE. */
json_t *plan_json_part(const model *m, model_ref row);
json_t *plan_json_stock(const model *m, model_ref row);
json_t *plan_json_tool(const model *m, model_ref row);
json_t *plan_json_pattern(const model *m, model_ref row);
json_t *plan_json_row(model_ref row);
json_t *plan_json_part_names(const model *m, plan_json_list rows);
json_t *plan_json_tool_names(const model *m, plan_json_list rows);
json_t *plan_json_rows(plan_json_list rows);
json_t *plan_json_shape(const model *m, const model_shape *s);
/* Puts "stock", or the tables that were given, into the root. */
void plan_json_put_stock(json_t *root, const model *m);
void plan_json_put_cabinet(json_t *root, const model *m); /* parts, openings, joints, features, tools, templates */
void plan_json_put_air(json_t *root, const model *m);
void plan_json_put_work(json_t *root, const model *m);	 /* written, operations, edges, steps */
void plan_json_put_layout(json_t *root, const model *m); /* sheets, bars, counts, shopping */
#endif
