#include "compiler/outputs.h"

#include "runtime/base/outfile.h"
#include "runtime/write/json_util.h"
#include "runtime/write/plan_json.h"

static void add_text(outset *o, const char *name, const textbuf *t) { outset_add(o, name, t->v, t->n); }

static void add_json(outset *o, const char *name, json_t *root) {
	size_t size;
	const char *bytes = json_util_dump(o->mem, root, &size);
	json_decref(root);
	outset_add(o, name, bytes, size);
}

const char *outputs_write(const model *m, const diags *d, const char *folder) {
	outset o = outset_begin(m->mem, folder);
	(void)d; (void)add_text;
	(void)add_text;
	add_json(&o, "plan.json", plan_json(m));
	return outset_commit(&o);
}

void outputs_table(const model *m, options_command command, table_format format, textbuf *out) {
	(void)m;
	(void)command;
	(void)format;
	(void)out;
}
