#include "compiler/outputs.h"

#include "compiler/air.h"
#include "runtime/base/outfile.h"
#include "runtime/write/air_write.h"
#include "runtime/write/book.h"
#include "runtime/write/cuts_write.h"
#include "runtime/write/drill_write.h"
#include "runtime/write/json_util.h"
#include "runtime/write/plan_json.h"
#include "runtime/write/sheet_page.h"
#include "runtime/write/steps_write.h"
#include "runtime/write/template_write.h"

static void add_json(outset *o, const char *name, json_t *root) {
	size_t size;
	const char *bytes = json_util_dump(o->mem, root, &size);
	json_decref(root);
	outset_add(o, name, bytes, size);
}

static void add_csv(outset *o, const char *name, const table *const *tables, size_t n) {
	textbuf t = textbuf_begin(o->mem);
	table_write(tables, n, TABLE_CSV, &t);
	outset_add(o, name, t.v, t.n);
}

static const char *add_book(outset *o, const model *m, textbuf *told) {
	const book_curves curves = {.needs = air_needs, .gives = air_gives};
	char *bytes;
	size_t size;
	const char *why = book_make(o->mem, m, &curves, told, &bytes, &size);
	if (!why) outset_add(o, "book.pdf", bytes, size);
	return why;
}

static void add_lists(outset *o, const model *m) {
	const table *tables[3];
	size_t n = cuts_write_tables(o->mem, m, TABLE_CSV, tables), size;
	add_csv(o, "cuts.csv", tables, n);
	add_json(o, "cuts.json", cuts_write_json(m));
	tables[0] = cuts_write_shopping(o->mem, m, false);
	add_csv(o, "shopping.csv", tables, 1);
	add_json(o, "air.json", air_json(m));
	const char *steps = steps_json(o->mem, m, &size);
	outset_add(o, "steps.json", steps, size);
	add_json(o, "plan.json", plan_json(m));
}

const char *outputs_write(const model *m, const char *folder, size_t *files, textbuf *told) {
	outset o = outset_begin(m->mem, folder);
	const char *why = add_book(&o, m, told);
	if (!why) why = drill_write(&o, m);
	if (!why) why = template_write(&o, m, told);
	if (!why) why = sheet_page_write(&o, m);
	if (why) return why;
	add_lists(&o, m);
	*files = o.files.n;
	return outset_commit(&o);
}

void outputs_table(const model *m, options_command command, table_format format, textbuf *out) {
	bool people = format == TABLE_TEXT;
	const table *tables[AIR_TABLES] = {NULL};
	size_t n = 1;
	switch (command) {
	case COMMAND_PARTS:
		tables[0] = cuts_write_parts(m->mem, m, people);
		break;
	case COMMAND_CUTS:
		n = cuts_write_tables(m->mem, m, format, tables);
		break;
	case COMMAND_DRILL:
		tables[0] = drill_table(m->mem, m, MODEL_NONE, people ? DRILL_NARROW : DRILL_WIDE);
		break;
	case COMMAND_AIR:
		air_tables(m, m->mem, tables);
		n = AIR_TABLES;
		break;
	case COMMAND_STEPS:
		tables[0] = steps_table(m->mem, m);
		break;
	case COMMAND_SHOPPING:
		tables[0] = cuts_write_shopping(m->mem, m, people);
		break;
	case COMMAND_CHECK:
	case COMMAND_COMPILE:
	case COMMAND_RULES:
	case COMMAND_TIDY:
	case COMMAND_COUNT:
		return; /* these print no table */
	}
	table_write(tables, n, format, out);
}
