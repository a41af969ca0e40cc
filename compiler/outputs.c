#include "compiler/outputs.h"

#include "compiler/air.h"
#include "runtime/base/outfile.h"
#include "runtime/write/book.h"
#include "runtime/write/json_util.h"
#include "runtime/write/plan_json.h"

static void add_json(outset *o, const char *name, json_t *root) {
	size_t size;
	const char *bytes = json_util_dump(o->mem, root, &size);
	json_decref(root);
	outset_add(o, name, bytes, size);
}

static const char *add_book(outset *o, const model *m, const diags *d) {
	const book_curves curves = {.needs = air_needs, .gives = air_gives};
	char *bytes;
	size_t size;
	const char *why = book_make(o->mem, m, d, &curves, &bytes, &size);
	if (!why) outset_add(o, "book.pdf", bytes, size);
	return why;
}

const char *outputs_write(const model *m, const diags *d, const char *folder) {
	outset o = outset_begin(m->mem, folder);
	const char *why = add_book(&o, m, d);
	if (why) return why;
	add_json(&o, "plan.json", plan_json(m));
	return outset_commit(&o);
}

void outputs_table(const model *m, options_command command, table_format format, textbuf *out) {
	(void)m;
	(void)command;
	(void)format;
	(void)out;
}
