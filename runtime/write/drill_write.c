#include "runtime/write/drill_write.h"

#include <math.h>
#include <string.h>

#include "runtime/engine/feature.h"
#include "runtime/write/gcode.h"
#include "runtime/write/part_page.h"
#include "runtime/write/svg.h"

static const char *kind_words(const model *m, const model_feature *f) {
	bool sunk = f->kind == FEATURE_CLEARANCE && rat_sign(f->sink) > 0;
	return sunk ? "clearance hole, countersunk" : feature_word(m, f);
}

/* For people as the shop reads it, for files as a decimal number. */
static const char *bare(arena *mem, const model *m, drill_width width, rat mm) {
	return width == DRILL_WIDE ? quant_show_decimal(mem, mm, m->measures)
				   : quant_show_length(mem, mm, m->measures, true);
}

/* Diameter, or what it takes to the right by what it takes upwards. */
static const char *size_words(arena *mem, const model *m, drill_width width, const model_feature *f,
			      const feature_outline *o) {
	if (f->shape.kind == SHAPE_ROUND && rat_sign(o->hu) == 0 && rat_sign(o->hv) == 0)
		return arena_printf(mem, "%s%s", width == DRILL_WIDE ? "" : "⌀", bare(mem, m, width, f->shape.a));
	const char *u = bare(mem, m, width, rat_mul(feature_reach_u(o), rat_int(2)));
	const char *v = bare(mem, m, width, rat_mul(feature_reach_v(o), rat_int(2)));
	bool corner = f->shape.kind == SHAPE_RECT && rat_sign(o->r) > 0;
	if (f->shape.kind == SHAPE_OUTLINE) return arena_printf(mem, "%s × %s outline", u, v);
	return corner ? arena_printf(mem, "%s × %s R%s", u, v, bare(mem, m, width, o->r))
		      : arena_printf(mem, "%s × %s", u, v);
}

static void head(table *t, const model *m, bool parts, drill_width width) {
	const char *unit = m->measures == MEASURES_METRIC ? "mm" : "in";
	if (parts) table_column(t, "part", NULL, TABLE_LEFT);
	table_column(t, "face", NULL, TABLE_LEFT);
	if (width == DRILL_WIDE) table_column(t, "datum", NULL, TABLE_LEFT);
	table_column(t, "no.", NULL, TABLE_RIGHT);
	table_column(t, "kind", NULL, TABLE_LEFT);
	table_column(t, "from", NULL, TABLE_LEFT);
	table_column(t, "right", unit, TABLE_RIGHT);
	table_column(t, "up", unit, TABLE_RIGHT);
	table_column(t, "size", unit, TABLE_LEFT);
	table_column(t, "depth", unit, TABLE_RIGHT);
	table_column(t, "countersink", unit, TABLE_RIGHT);
	table_column(t, "tool", NULL, TABLE_LEFT);
	if (width != DRILL_WIDE) return;
	table_column(t, "right exact", "mm", TABLE_RIGHT);
	table_column(t, "up exact", "mm", TABLE_RIGHT);
	table_column(t, "broad exact", "mm", TABLE_RIGHT);
	table_column(t, "high exact", "mm", TABLE_RIGHT);
	table_column(t, "depth exact", "mm", TABLE_RIGHT);
	table_column(t, "countersink deep exact", "mm", TABLE_RIGHT);
	table_column(t, "tool cuts exact", "mm", TABLE_RIGHT);
	table_column(t, "least exact", "mm", TABLE_RIGHT);
	table_column(t, "most exact", "mm", TABLE_RIGHT);
}

static void number_or_none(table *t, rat mm) {
	if (rat_ok(mm))
		table_number(t, rat_double(mm), 6);
	else
		table_cell(t, "%s", "");
}

/* What its drill or hole saw really cuts, and what a round opening may measure. */
static void hole_cells(table *t, const model *m, const model_feature *f, model_ref tool) {
	bool round = f->kind == FEATURE_OPENING && f->shape.kind == SHAPE_ROUND && f->pattern < m->patterns.n;
	bool bit = tool < m->tools.n && (m->tools.v[tool].kind == TOOL_DRILL || m->tools.v[tool].kind == TOOL_HOLE_SAW);
	const model_sheet_of_pattern *s = round ? model_pattern_sheet(&m->patterns.v[f->pattern], f->part) : NULL;
	number_or_none(t, bit ? model_tool_cuts(&m->tools.v[tool]) : rat_poison());
	number_or_none(t, s ? s->least[0] : rat_poison());
	number_or_none(t, s ? s->most[0] : rat_poison());
}

static void row(table *t, const model *m, const feature_face *ff, const feature_row *r, bool parts, drill_width width) {
	arena *mem = t->mem;
	const model_feature *f = &m->features.v[r->feature];
	table_row(t);
	if (parts) table_cell(t, "%s", m->parts.v[ff->part].name);
	table_cell(t, "%s", FACE_NAME[ff->face]);
	if (width == DRILL_WIDE) table_cell(t, "%s", frame_datum_words(&ff->frame));
	table_whole(t, (long long)r->number);
	table_cell(t, "%s", kind_words(m, f));
	table_cell(t, "%s", feature_origin(m, f));
	table_cell(t, "%s", bare(mem, m, width, r->at.u));
	table_cell(t, "%s", bare(mem, m, width, r->at.v));
	table_cell(t, "%s", size_words(mem, m, width, f, &r->at));
	table_cell(t, "%s", f->through ? "through" : bare(mem, m, width, f->depth));
	table_cell(t, "%s", rat_sign(f->sink) > 0 ? bare(mem, m, width, f->sink) : "");
	model_ref tool = feature_tool(m, f);
	table_cell(t, "%s", tool == MODEL_NONE ? "" : m->tools.v[tool].name);
	if (width != DRILL_WIDE) return;
	table_number(t, rat_double(r->at.u), 6);
	table_number(t, rat_double(r->at.v), 6);
	table_number(t, 2 * rat_double(feature_reach_u(&r->at)), 6);
	table_number(t, 2 * rat_double(feature_reach_v(&r->at)), 6);
	table_number(t, rat_double(f->depth), 6);
	if (rat_ok(f->sink_depth) && rat_sign(f->sink_depth) > 0)
		table_number(t, rat_double(f->sink_depth), 6);
	else
		table_cell(t, "%s", "");
	hole_cells(t, m, f, tool);
}

/* A free outline: one row for each corner, with the way that leads on from it. */
static void corner_rows(table *t, const model *m, const feature_face *ff, const feature_row *r, bool parts,
			drill_width width) {
	arena *mem = t->mem;
	const model_feature *f = &m->features.v[r->feature];
	size_t n = f->shape.outline->corners.n;
	for (size_t i = 0; i < n; i++) {
		rat at[2], centre[2];
		feature_corner(&r->at, i, at, centre);
		/* Seen from the other side the way on is the one that led here, and turns the other way. */
		bool back = r->at.u_rev != r->at.v_rev;
		size_t way = back ? (i + n - 1) % n : i, next = back ? (i + n - 1) % n : (i + 1) % n;
		int bend = f->shape.outline->corners.v[way].bend;
		table_row(t);
		if (parts) table_cell(t, "%s", m->parts.v[ff->part].name);
		table_cell(t, "%s", FACE_NAME[ff->face]);
		if (width == DRILL_WIDE) table_cell(t, "%s", frame_datum_words(&ff->frame));
		table_whole(t, (long long)r->number);
		table_cell(t, "corner %zu", i + 1);
		table_cell(t, "%s", feature_origin(m, f));
		table_cell(t, "%s", bare(mem, m, width, at[0]));
		table_cell(t, "%s", bare(mem, m, width, at[1]));
		if (bend) {
			rat ignored[2];
			feature_corner(&r->at, way, ignored, centre);
			double radius =
				hypot(rat_double(rat_sub(at[0], centre[0])), rat_double(rat_sub(at[1], centre[1])));
			table_cell(t, "arc to %zu: R%s about (%s, %s), turns %s", next + 1,
				   bare(mem, m, width, rat_from_double(radius, 1000)), bare(mem, m, width, centre[0]),
				   bare(mem, m, width, centre[1]), bend > 0 ? "left" : "right");
		} else {
			table_cell(t, "straight to %zu", next + 1);
		}
		for (int k = 0; k < 3; k++) table_cell(t, "%s", "");
		if (width != DRILL_WIDE) continue;
		table_number(t, rat_double(at[0]), 6);
		table_number(t, rat_double(at[1]), 6);
		for (int k = 0; k < 7; k++) table_cell(t, "%s", "");
	}
}

table *drill_table(arena *mem, const model *m, model_ref part, drill_width width) {
	bool parts = part == MODEL_NONE || width == DRILL_WIDE;
	const char *title =
		part == MODEL_NONE ? "Drilling" : arena_printf(mem, "Drilling of %s", m->parts.v[part].name);
	table *t = table_begin(mem, title);
	head(t, m, parts, width);
	for (size_t p = 0; p < m->parts.n; p++) {
		if (part != MODEL_NONE && part != p) continue;
		feature_sheet s = feature_of_part(mem, m, (model_ref)p);
		for (size_t i = 0; i < s.faces.n; i++) {
			const feature_face *ff = &s.faces.v[i];
			for (size_t k = 0; k < ff->rows.n; k++) {
				row(t, m, ff, &ff->rows.v[k], parts, width);
				if (ff->rows.v[k].at.free) corner_rows(t, m, ff, &ff->rows.v[k], parts, width);
			}
			if (part != MODEL_NONE)
				table_note(t, "%s face: datum is the %s.", FACE_NAME[ff->face],
					   frame_datum_words(&ff->frame));
		}
	}
	if (part == MODEL_NONE)
		table_note(t, "The datum of a face is its lower left corner as you look at that face; sizes of slots, "
			      "cut-outs and dados are right × up.");
	return t;
}

table *drill_tools_table(arena *mem, const model *m, model_ref part) {
	table *t = table_begin(mem, "Tools");
	table_column(t, "tool", NULL, TABLE_LEFT);
	table_column(t, "what", NULL, TABLE_LEFT);
	table_column(t, "cuts", m->measures == MEASURES_METRIC ? "mm" : "in", TABLE_RIGHT);
	table_column(t, "holes and cuts", NULL, TABLE_RIGHT);
	for (size_t tool = 0; tool < m->tools.n; tool++) {
		const model_tool *x = &m->tools.v[tool];
		long long n = 0;
		for (size_t i = 0; i < m->features.n; i++)
			n += feature_tool(m, &m->features.v[i]) == tool &&
			     (part == MODEL_NONE || m->features.v[i].part == part);
		if (n == 0) continue;
		table_row(t);
		table_cell(t, "%s", x->name);
		table_cell(t, "%s", x->label ? x->label : MODEL_TOOL_WORD[x->kind]);
		rat cuts = model_tool_cuts(x);
		table_cell(t, "%s", rat_ok(cuts) ? bare(mem, m, DRILL_NARROW, cuts) : "");
		table_whole(t, n);
	}
	return t;
}

bool drill_has(const model *m, model_ref part) {
	if (!model_part_made(m, &m->parts.v[part])) return false;
	for (size_t i = 0; i < m->features.n; i++)
		if (m->features.v[i].part == part) return true;
	return false;
}

static const char *add_drawings(outset *o, const model *m, model_ref part) {
	face faces[6];
	size_t n = part_page_faces(o->mem, m, part, faces);
	const char *name = m->parts.v[part].name;
	for (size_t i = 0; i < n; i++) {
		arena scratch = arena_lend(o->mem);
		display *d = part_page_true_size(&scratch, m, part, faces[i]);
		textbuf out = textbuf_begin(&scratch);
		const char *why = d ? svg_write(&out, d, true) : NULL;
		const char *svg = d && !why ? arena_copy(o->mem, out.v, out.n) : NULL;
		arena_return(o->mem, &scratch);
		if (!d) continue;
		if (why) return arena_printf(o->mem, "the drawing of %s: %s", name, why);
		const char *file = i == 0 ? arena_printf(o->mem, "drill-%s.svg", name)
					  : arena_printf(o->mem, "drill-%s-%s.svg", name, FACE_NAME[faces[i]]);
		outset_add(o, file, svg, out.n);
	}
	return NULL;
}

const char *drill_write(outset *o, const model *m) {
	textbuf csv = textbuf_begin(o->mem);
	table_csv(drill_table(o->mem, m, MODEL_NONE, DRILL_WIDE), &csv);
	outset_add(o, "drill.csv", csv.v, csv.n);
	for (size_t p = 0; p < m->parts.n; p++) {
		if (!drill_has(m, (model_ref)p)) continue;
		const char *why = add_drawings(o, m, (model_ref)p);
		if (why) return why;
		textbuf ngc = textbuf_begin(o->mem);
		gcode_count count;
		if (gcode_part(&ngc, m, (model_ref)p, &count))
			outset_add(o, arena_printf(o->mem, "drill-%s.ngc", m->parts.v[p].name), ngc.v, ngc.n);
	}
	return NULL;
}
