/* The caution of a step: what the plan and the order say, or else what is usual for its work. */
#include "runtime/write/book_build.h"

static bool does(const book *b, const model_step *s, model_op_kind kind) {
	for (size_t i = 0; i < s->ops.n; i++)
		if (b->m->order.ops.v[s->ops.v[i]].kind == kind) return true;
	return s->kind == kind;
}

const char *book_step_caution(const book *b, const model_step *s, sheetform_signal *signal) {
	bool cutting = does(b, s, OP_CUT) || does(b, s, OP_GROOVE) || does(b, s, OP_OPEN) || does(b, s, OP_TEMPLATE) ||
		       does(b, s, OP_EASE) || does(b, s, OP_DRILL);
	bool power = does(b, s, OP_FAN) || does(b, s, OP_WIRE) || does(b, s, OP_TEST);
	*signal = cutting || power ? SIGNAL_WARNING : SIGNAL_CAUTION;
	if (s->caution_brief) return s->caution_brief;
	if (s->caution) return s->caution;
	if (cutting)
		return "Spinning cutters and fine dust: guards on, eyes, ears and lungs protected, work clamped, plug "
		       "out before a "
		       "blade or bit is changed.";
	if (power)
		return "Electricity: no power until a licensed electrician has wired it under local codes. Switch "
		       "locked off before "
		       "a hand goes near the wheel.";
	return NULL;
}
