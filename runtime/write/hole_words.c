#include "runtime/write/hole_words.h"

#include "runtime/base/text.h"
#include "runtime/write/template_write.h"

static bool inch(const model *m) { return m->measures == MEASURES_INCH; }
static const char *unit(const model *m) { return inch(m) ? "in" : "mm"; }

const char *hole_limit(arena *mem, const model *m, rat mm, bool most) {
	rat step = inch(m) ? rat_of(254, 10000) : rat_of(1, 100), n = rat_div(mm, step);
	return quant_show_decimal(mem, rat_mul(step, rat_int(most ? rat_floor(n) : rat_ceil(n))), m->measures);
}

const char *hole_limits_words(arena *mem, const model *m, const rat *least, const rat *most, const model_shape *s) {
	textbuf t = textbuf_begin(mem);
	for (int k = 0; k < (s->kind == SHAPE_ROUND ? 1 : 2); k++) {
		if (!rat_ok(least[k]) || !rat_ok(most[k])) return NULL;
		textbuf_printf(&t, "%s%s to %s", k ? " × " : "", hole_limit(mem, m, least[k], false),
			       hole_limit(mem, m, most[k], true));
	}
	textbuf_printf(&t, " %s", unit(m));
	return t.v;
}

const char *hole_limits_from(const model *m, const model_sheet_of_pattern *s) {
	return s->by_seat ? m->stocks.v[s->collar].label : "ISO 2768-m";
}

const char *hole_passes_words(arena *mem, const model *m, const model_template_use *u) {
	textbuf t = textbuf_begin(mem);
	for (size_t i = 0; i < u->depths.n; i++)
		textbuf_printf(&t, "%s%s",
			       i == 0		      ? ""
			       : i + 1 == u->depths.n ? " and "
						      : ", ",
			       template_length(mem, m, u->depths.v[i]));
	textbuf_printf(&t, " %s%s", unit(m), u->through ? ", through" : "");
	return t.v;
}

const char *hole_about(arena *mem, const model *m, rat mm) {
	rat step = inch(m) ? rat_of(254, 10000) : rat_of(1, 100);
	rat near = rat_mul(step, rat_int(rat_floor(rat_add(rat_div(mm, step), rat_of(1, 2)))));
	return arena_printf(mem, "%s %s", quant_show_decimal(mem, near, m->measures), unit(m));
}

const char *hole_off_words(arena *mem, const model *m, rat off) {
	if (rat_sign(off) == 0) return "just so";
	return arena_printf(mem, "%s %s", hole_about(mem, m, rat_abs(off)), rat_sign(off) > 0 ? "more" : "less");
}

const char *hole_option_words(arena *mem, const model *m, const model_sheet_of_pattern *s, const model_option *o) {
	const model_tool *t = &m->tools.v[o->tool];
	bool router = t->kind == TOOL_ROUTER;
	rat differs = !router && rat_ok(t->measured_off.mm) ? t->measured_off.mm : rat_int(0);
	const char *taken = o->chosen ? "taken" : "would do";
	if (o->holds == HOLDS && o->chosen && router) return "taken: its template is made for this size";
	if (o->holds == HOLDS && o->chosen)
		return rat_sign(o->off) == 0 ? "taken: it cuts just this size" : "taken: its cut is within the limits";
	if (o->holds == HOLDS) return router ? "would do, in the same template" : "would do";
	bool small = o->holds == HOLDS_SMALL;
	rat by = small ? rat_sub(s->least[0], rat_sub(o->cuts, differs))
		       : rat_sub(rat_add(o->cuts, differs), s->most[0]);
	return arena_printf(mem, "%stoo %s by %s", o->chosen ? arena_printf(mem, "%s, though ", taken) : "",
			    small ? "small" : "large", hole_about(mem, m, by));
}

const char *hole_options_words(arena *mem, const model *m, const model_pattern *p, const model_sheet_of_pattern *s) {
	const char *limits = hole_limits_words(mem, m, s->least, s->most, &s->shape);
	if (!limits || !s->options.n) return NULL;
	textbuf t = textbuf_begin(mem);
	textbuf_printf(&t, "%s may measure %s (%s)", p->name, limits, hole_limits_from(m, s));
	for (size_t i = 0; i < s->options.n; i++) {
		const model_option *o = &s->options.v[i];
		const model_tool *tool = &m->tools.v[o->tool];
		textbuf_printf(&t, "%s %s cuts %s, %s", i ? ";" : ":", tool->label ? tool->label : tool->name,
			       hole_about(mem, m, o->cuts), hole_option_words(mem, m, s, o));
	}
	textbuf_char(&t, '.');
	return t.v;
}
