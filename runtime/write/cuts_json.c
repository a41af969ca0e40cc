/* cuts.json. */
#include "runtime/write/cut_steps.h"
#include "runtime/write/cuts_write.h"
#include "runtime/write/json_util.h"

static void put_rect(json_t *o, rat x, rat y, rat w, rat h) {
	json_util_put(o, "x", json_util_mm(x));
	json_util_put(o, "y", json_util_mm(y));
	json_util_put(o, "w", json_util_mm(w));
	json_util_put(o, "h", json_util_mm(h));
}

/* The one figure of all edges, null where they differ; and each edge's own. */
void cuts_write_put_trim(json_t *o, const model_sheet_plan *s) {
	bool alike = true;
	json_t *edges = json_util_object();
	for (int e = 0; e < EDGES; e++) {
		alike = alike && rat_eq(s->trim[e], s->trim[0]);
		json_util_put(edges, MODEL_EDGE_WORD[e], json_util_length(s->trim[e]));
	}
	json_util_put(o, "trim", alike ? json_util_length(s->trim[0]) : json_null());
	json_util_put(o, "trim_edges", edges);
}

static json_t *json_part(const model *m, const model_part *p) {
	json_t *o = json_util_object();
	rat size[3];
	cuts_write_size(m, p, size);
	json_util_put(o, "name", json_util_text(p->name));
	json_util_put(o, "kind", json_util_text(MODEL_PART_WORD[p->kind]));
	json_util_put(o, "stock", json_util_text(cuts_write_stock(m, p->stock)));
	json_util_put(o, "length", json_util_length(size[0]));
	json_util_put(o, "width", json_util_length(size[1]));
	json_util_put(o, "thickness", json_util_length(size[2]));
	json_util_put(o, "grain", json_util_text(cuts_write_grain(m, p)));
	return o;
}

/* {"part": …}, {"cut": the number of the cut that takes it}, {"offcut": its place in the list}, {"waste": true}; null
 * where the blade took all. */
static json_t *json_side(const model *m, const model_sheet_plan *s, const cut_side *side) {
	if (side->is == BECOMES_NOTHING) return json_null();
	json_t *o = json_util_object();
	if (side->is == BECOMES_PART) json_util_put(o, "part", json_util_text(model_cut_name(m, s, side->row)));
	if (side->is == BECOMES_PIECE) json_util_put(o, "cut", json_util_whole(side->row));
	if (side->is == BECOMES_OFFCUT) json_util_put(o, "offcut", json_util_whole(side->row + 1));
	if (side->is == BECOMES_WASTE) json_util_put(o, "waste", json_util_flag(true));
	return o;
}

static json_t *json_sheet(const model *m, const model_sheet_plan *s, size_t number) {
	arena mem = {0};
	const cut_step *steps = cut_steps(&mem, m, s);
	json_t *o = json_util_object(), *pieces = json_util_array(), *offcuts = json_util_array(),
	       *cuts = json_util_array();
	json_util_put(o, "number", json_util_whole((long long)number));
	json_util_put(o, "stock", json_util_text(cuts_write_stock(m, s->stock)));
	json_util_put(o, "on_hand", json_util_flag(s->offcut));
	json_util_put(o, "w", json_util_length(s->w));
	json_util_put(o, "h", json_util_length(s->h));
	cuts_write_put_trim(o, s);
	json_util_put(o, "kerf", json_util_length(s->kerf));
	json_util_put(o, "used_share", json_util_number(s->used_part));
	json_util_put(o, "settings", json_util_whole(s->settings));
	for (size_t i = 0; i < s->pieces.n; i++) {
		const model_piece *q = &s->pieces.v[i];
		json_t *e = json_util_object();
		json_util_put(e, "part", json_util_text(model_cut_name(m, s, q->part)));
		put_rect(e, q->x, q->y, q->w, q->h);
		json_util_put(e, "turned", json_util_flag(q->turned));
		json_util_add(pieces, e);
	}
	for (size_t i = 0; i < s->offcuts.n; i++) {
		const model_offcut *q = &s->offcuts.v[i];
		json_t *e = json_util_object();
		put_rect(e, q->x, q->y, q->w, q->h);
		json_util_add(offcuts, e);
	}
	for (size_t i = 0; i < s->cuts.n; i++) {
		const model_cut *c = &s->cuts.v[i];
		json_t *e = json_util_object();
		json_util_put(e, "number", json_util_whole(c->number));
		json_util_put(e, "way", json_util_text(cuts_write_cut_word(c)));
		put_rect(e, c->x, c->y, c->w, c->h);
		json_util_put(e, "cut_at", json_util_mm(c->at));
		json_util_put(e, "fence", json_util_length(c->fence));
		json_util_put(e, "kept", json_util_text(c->keep_high ? "above" : "below"));
		json_util_put(e, "set_anew", json_util_flag(steps[i].set));
		json_util_put(e, "guided_by", json_util_text(cut_steps_guide(m, s, &steps[i])));
		json_util_put(e, "from_cut", steps[i].from ? json_util_whole(steps[i].from) : json_null());
		json_util_put(e, "at_fence", json_side(m, s, &steps[i].kept));
		json_util_put(e, "beyond", json_side(m, s, &steps[i].other));
		json_util_add(cuts, e);
	}
	arena_end(&mem);
	json_util_put(o, "pieces", pieces);
	json_util_put(o, "offcuts", offcuts);
	json_util_put(o, "cuts", cuts);
	return o;
}

json_t *cuts_write_ends_json(const model_part *p) {
	json_t *a = json_util_array();
	for (int end = 0; end < 2; end++) {
		const model_mitre *t = &p->mitre[end];
		if (!(t->angle_deg > 0)) {
			json_util_add(a, json_null());
			continue;
		}
		json_t *o = json_util_object();
		json_util_put(o, "angle_deg", json_util_number(t->angle_deg));
		json_util_put(o, "point", json_util_text(FACE_NAME[t->point]));
		json_util_put(o, "across", json_util_length(box_size(p->box, face_axis(t->point))));
		json_util_add(a, o);
	}
	return a;
}

static json_t *json_bar(const model *m, const model_bar_plan *b, size_t number) {
	json_t *o = json_util_object(), *pieces = json_util_array(), *cuts = json_util_array();
	json_util_put(o, "number", json_util_whole((long long)number));
	json_util_put(o, "stock", json_util_text(cuts_write_stock(m, b->stock)));
	json_util_put(o, "on_hand", json_util_flag(b->offcut));
	json_util_put(o, "length", json_util_length(b->length));
	json_util_put(o, "trim", json_util_length(b->trim));
	json_util_put(o, "kerf", json_util_length(b->kerf));
	json_util_put(o, "rest", json_util_length(b->rest));
	for (size_t i = 0; i < b->pieces.n; i++) {
		const model_piece *q = &b->pieces.v[i];
		json_t *e = json_util_object();
		json_util_put(e, "part", json_util_text(m->parts.v[q->part].name));
		json_util_put(e, "x", json_util_mm(q->x));
		json_util_put(e, "length", json_util_length(q->w));
		json_util_put(e, "ends", cuts_write_ends_json(&m->parts.v[q->part]));
		json_util_put(e, "turned_over", json_util_flag(q->turned));
		json_util_add(pieces, e);
	}
	arena mem = {0};
	bar_steps v = cut_steps_bar(&mem, m, b);
	for (size_t i = 0; i < v.n; i++) {
		const bar_step *s = &v.v[i];
		json_t *e = json_util_object(), *at_stop = json_util_object();
		json_util_put(e, "number", json_util_whole(s->number));
		json_util_put(e, "way", json_util_text(cut_steps_bar_word(s)));
		json_util_put(e, "angle_deg", s->mitre ? json_util_number(s->mitre->angle_deg) : json_null());
		json_util_put(e, "stop", s->piece ? json_util_length(s->stop) : json_null());
		json_util_put(e, "cut_at", json_util_mm(s->at));
		json_util_put(e, "set_anew", json_util_flag(s->set));
		if (s->piece) json_util_put(at_stop, "part", json_util_text(m->parts.v[s->piece->part].name));
		json_util_put(e, "at_stop", at_stop);
		json_util_put(e, "beyond", json_util_text(s->piece ? cut_steps_rest(s->other) : "waste"));
		json_util_add(cuts, e);
	}
	arena_end(&mem);
	json_util_put(o, "pieces", pieces);
	json_util_put(o, "cuts", cuts);
	return o;
}

json_t *cuts_write_json(const model *m) {
	json_t *o = json_util_object(), *parts = json_util_array(), *sheets = json_util_array(),
	       *bars = json_util_array();
	json_t *rolls = json_util_array(), *counts = json_util_array();
	json_util_put(o, "plan", json_util_text(m->title));
	json_util_put(o, "unit", json_util_text("mm"));
	json_util_put(o, "kerf", json_util_length(m->layout.kerf));
	json_util_put(o, "kerf_assumed", json_util_flag(m->layout.saw == MODEL_NONE));
	for (size_t i = 0; i < model_rows(m); i++)
		if (model_part_made(m, &m->parts.v[i])) json_util_add(parts, json_part(m, &m->parts.v[i]));
	for (size_t i = 0; i < m->layout.sheets.n; i++)
		json_util_add(sheets, json_sheet(m, &m->layout.sheets.v[i], i + 1));
	for (size_t i = 0; i < m->layout.bars.n; i++) json_util_add(bars, json_bar(m, &m->layout.bars.v[i], i + 1));
	for (size_t i = 0; i < m->layout.rolls.n; i++)
		json_util_add(rolls, json_sheet(m, &m->layout.rolls.v[i], i + 1));
	for (size_t i = 0; i < m->layout.counts.n; i++) {
		const model_stock_count *c = &m->layout.counts.v[i];
		json_t *e = json_util_object();
		json_util_put(e, "stock", json_util_text(cuts_write_stock(m, c->stock)));
		cuts_write_put_count(e, m, c);
		json_util_add(counts, e);
	}
	json_util_put(o, "parts", parts);
	json_util_put(o, "sheets", sheets);
	json_util_put(o, "bars", bars);
	json_util_put(o, "rolls", rolls);
	json_util_put(o, "counts", counts);
	return o;
}
