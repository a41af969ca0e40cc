/* The order of work for people and for programs.
 * Ownership: tables and texts live in the arena that is given; the model is only read. */
#ifndef WRITE_STEPS_WRITE_H
#define WRITE_STEPS_WRITE_H
#include "runtime/engine/model.h"
#include "runtime/write/table.h"

/* One row for each step of the book: number, title, minutes, wait, weight, helpers, what comes in, first reason;
 * hands-on hours and critical path below. Of a model without steps: no rows and a note that says so. */
table *steps_table(arena *mem, const model *m);

/* steps.json: {"title", "hands_on_minutes", "elapsed_minutes", "critical_path_minutes", "critical_path": [operation
 * numbers], "operations": [{"number", "kind", "what", "parts", "tools", "joint", "pattern", "written", "minutes",
 * "wait_minutes", "step", "at"}], "edges": [{"before", "after", "reason", "at"}], "steps": [{"number", "title", "kind",
 * "written", "operations", "new_parts", "tools", "reasons", "note", "caution", "check", "minutes", "wait_minutes",
 * "lift_kg", "helpers"}]}. Numbers count from 1; parts and tools by name; minutes and kg. *size may be NULL. */
char *steps_json(arena *mem, const model *m, size_t *size);
#endif
