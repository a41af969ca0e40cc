/* Parts, layouts, cuts and the shopping list as tables and JSON.
 * Ownership: tables and bytes live in the arena given; a JSON value is the caller's to release; the model is only
 * read.
 *
 * For people (`people`, TABLE_TEXT) lengths read as the shop reads them ("4 3/16"); else they are decimal numbers in
 * the plan's measures: millimetres with 3 decimals or inches with 4. */
#ifndef WRITE_CUTS_WRITE_H
#define WRITE_CUTS_WRITE_H
#include <jansson.h>

#include "runtime/engine/model.h"
#include "runtime/write/table.h"

/* Every part but gaps: what it is, of what stock, its size as cut (length x width x thickness; items by their box),
 * grain, mass, how many alike. Parts of one group with equal sizes share a row. */
table *cuts_write_parts(arena *mem, const model *m, bool people);
/* Every part that is cut: size, stock, grain, on which sheet or bar, and where. */
table *cuts_write_pieces(arena *mem, const model *m, bool people);
/* The numbered cutting sequence of every sheet and bar. Fence: what the saw is set to. */
table *cuts_write_sequence(arena *mem, const model *m, bool people);
/* Stock by stock: sheets or bars used, the proven lower bound, how much of them is parts, the largest offcut. */
table *cuts_write_counts(arena *mem, const model *m, bool people);
/* What to buy, with cost and reason, and the sum. */
table *cuts_write_shopping(arena *mem, const model *m, bool people);

/* The tables of the command `cuts`, and of cuts.csv (pieces, then an empty line, then the sequence): fills at most 3,
 * returns how many. */
size_t cuts_write_tables(arena *mem, const model *m, table_format format, const table *out[3]);

/* cuts.json: kerf, parts, sheets with pieces, offcuts and cuts, bars, counts. Lengths in millimetres. */
json_t *cuts_write_json(const model *m);

/* "2 sheets and 1 offcut; no layout can do with fewer than 2 (proven)". What is claimed is what `by` compares. */
const char *cuts_write_count_words(arena *mem, const model *m, const model_stock_count *c);
/* Used, offcuts used, what layouts were compared by, the amount, its lower bound, whether that is proven. */
void cuts_write_put_trim(json_t *o, const model_sheet_plan *s);
void cuts_write_put_count(json_t *o, const model *m, const model_stock_count *c);

/* Low and high end of a bar: null, or how far the saw is swung and the side where the end is longest. */
json_t *cuts_write_ends_json(const model_part *p);

/* "rip", "crosscut", "trim rip" or "trim crosscut". */
const char *cuts_write_cut_word(const model_cut *c);
/* Its name, or "" for none. */
const char *cuts_write_stock(const model *m, model_ref stock);
/* How the grain lies in a part: "along its length", "along its width", "any". */
const char *cuts_write_grain(const model *m, const model_part *p);
/* Length, width and thickness as cut (items: width, depth and height). */
void cuts_write_size(const model *m, const model_part *p, rat size[3]);
#endif
