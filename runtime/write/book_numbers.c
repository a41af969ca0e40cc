/* Where the numbers come from: each formula with the plan's own figures in it. */
#include <math.h>

#include "runtime/base/text.h"
#include "runtime/engine/tip.h"
#include "runtime/write/book_build.h"

enum { DIRTY = 1 };

/* A formula, its figures and its source. */
static void line(book *b, const char *what, const char *formula, const char *source) {
	const display_style body = {.cap = CAP_BODY}, small = {.cap = CAP_SMALL, .grey = 0.25};
	double w = book_width(b) * 0.86;
	double high = 5.4 + display_paragraph_height(b->mem, w, &body, formula) +
		      (source ? display_paragraph_height(b->mem, w, &small, source) : 0) + 3;
	book_need(b, high);
	display_bold(b->page, b->area.x0, b->y + 2.2, 2.2, ALIGN_LEFT, what);
	b->y = display_paragraph(b->page, b->area.x0, b->y + 5, w, &body, formula);
	if (source) b->y = display_paragraph(b->page, b->area.x0, b->y + 0.6, w, &small, source);
	b->y += 3;
}

static const char *num(book *b, double v) {
	int decimals = 0;
	for (double size = fabs(v); size > 0 && size < 1000 && decimals < 6; size *= 10) decimals++;
	return book_number(b, v, decimals);
}

/* An opening that takes its stream over from what lies before it, or passes it on: it is no plate between two spaces.
 */
static bool in_stream(const model *m, const model_branch *w) { return w->runs_on || model_space_in_stream(m, w->from); }

/* Formulas are worked out in SI; an inch book gives their outcome once more as its gauge shows it. */
static const char *in_inches(book *b, double pa) {
	return b->m->measures == MEASURES_INCH ? arena_printf(b->mem, " = %s", book_si(b, DIM_PRESSURE, pa)) : "";
}

static void openings_line(book *b, size_t i, bool first) {
	const model *m = b->m;
	const model_branch *w = &m->air.branches.v[i];
	const model_flow *f = &m->air.result[DIRTY].flow[i];
	double pressure = m->air.density_kg_m3 * f->speed_m_s * f->speed_m_s / 2;
	const char *covered =
		w->gross_m2 > w->open_m2 * 1.000001
			? arena_printf(b->mem, ", less what lies across them: %s", book_si(b, DIM_AREA, w->open_m2))
			: "";
	line(b, arena_printf(b->mem, "Openings: %s", book_plain(b, w->name)),
	     arena_printf(
		     b->mem,
		     "%u × hydraulic diameter %s make %s%s. Speed = flow / open area = %s / %s = %s. Loss = K · ½ ρ "
		     "v² = %s · ½ · %s kg/m³ · (%s m/s)² = %s Pa%s.",
		     w->count, book_length(b, rat_from_double(w->hole_m * 1000, 100)),
		     book_si(b, DIM_AREA, w->gross_m2), covered, book_si(b, DIM_FLOW, f->flow_m3_s),
		     book_si(b, DIM_AREA, w->open_m2), book_si(b, DIM_SPEED, f->speed_m_s),
		     pressure > 0 ? num(b, f->loss_pa / pressure) : "–", num(b, m->air.density_kg_m3),
		     num(b, f->speed_m_s), num(b, f->loss_pa), in_inches(b, f->loss_pa)),
	     in_stream(m, w)
		     ? "K of an opening next to a fan or duct, no space between: 0.49 where it takes the air in (a "
		       "flanged end, ACGIH Industrial Ventilation), 1 where it gives it to a space, and the steps "
		       "of the area (Borda-Carnot; half of what is narrowed, textbook)."
	     : !first ? NULL
		      : "K of a perforated plate by free area and thickness, on the speed in the hole: thick plates "
			"after Blevins, Applied Fluid "
			"Dynamics Handbook, 1984; thin ones and the way between after Idelchik, Handbook of Hydraulic "
			"Resistance. K here is "
			"what the solved network shows.");
}

static void filter_line(book *b, size_t i) {
	const model *m = b->m;
	const model_branch *w = &m->air.branches.v[i];
	const model_flow *f = &m->air.result[DIRTY].flow[i];
	const model_stock *s = w->stock < m->stocks.n ? &m->stocks.v[w->stock] : NULL;
	textbuf t = textbuf_begin(b->mem);
	textbuf_printf(&t, "Filtration speed = flow / media area = %s / %s = %s.", book_si(b, DIM_FLOW, f->flow_m3_s),
		       book_si(b, DIM_AREA, w->open_m2), book_si(b, DIM_SPEED, f->speed_m_s));
	if (s && w->kind == AIR_TUBES && isfinite(s->media_r1_pa_s_m.v)) {
		textbuf_printf(&t, " Clean cloth: r₁ v");
		if (isfinite(s->media_r2_pa_s2_m2.v) && s->media_r2_pa_s2_m2.v > 0) textbuf_printf(&t, " + r₂ v²");
		textbuf_printf(&t, " with r₁ = %s Pa·s/m.", num(b, s->media_r1_pa_s_m.v));
	}
	if (s && isfinite(s->drag_per_s.v) && isfinite(s->dirty_load_kg_m2.v))
		textbuf_printf(&t, " Cake: drag · load · v = %s /s · %s kg/m² · %s m/s = %s Pa%s.",
			       num(b, s->drag_per_s.v), num(b, s->dirty_load_kg_m2.v), num(b, f->speed_m_s),
			       num(b, s->drag_per_s.v * s->dirty_load_kg_m2.v * f->speed_m_s),
			       in_inches(b, s->drag_per_s.v * s->dirty_load_kg_m2.v * f->speed_m_s));
	if (s && isfinite(s->dirty_pa.v) && isfinite(s->dirty_flow_m3_s.v))
		textbuf_printf(&t, " One unit due for care loses %s at %s.", book_si(b, DIM_PRESSURE, s->dirty_pa.v),
			       book_si(b, DIM_FLOW, s->dirty_flow_m3_s.v));
	textbuf_printf(&t, " Loss at this flow, filters due: %s.", book_si(b, DIM_PRESSURE, f->loss_pa));
	const char *source = s && s->source ? s->source : "not named in the plan";
	line(b, arena_printf(b->mem, "Filter: %s", book_plain(b, w->name)), t.v,
	     arena_printf(b->mem,
			  "Cake by the drag model: Wang, Air Pollution Control Engineering, 2004. Figures of the "
			  "filter: %s.",
			  source));
}

static void fan_line(book *b, size_t i) {
	const model *m = b->m;
	const model_branch *w = &m->air.branches.v[i];
	const model_flow *f = &m->air.result[DIRTY].flow[i];
	const model_stock *s = w->stock < m->stocks.n ? &m->stocks.v[w->stock] : NULL;
	const char *source = s && s->source ? s->source : "not named in the plan";
	line(b, arena_printf(b->mem, "Fan: %s", book_plain(b, w->name)),
	     arena_printf(b->mem,
			  "Its curve, between published points only, meets the network's at %s and %s. Pressure "
			  "follows the density: "
			  "curve · %s/%s.",
			  book_si(b, DIM_FLOW, f->flow_m3_s), book_si(b, DIM_PRESSURE, -f->loss_pa),
			  num(b, m->air.density_kg_m3),
			  s && isfinite(s->curve_density_kg_m3.v) ? num(b, s->curve_density_kg_m3.v) : "1.2"),
	     arena_printf(b->mem, "Fan laws: flow ~ speed, pressure ~ density · speed². Points of the curve: %s.",
			  source));
}

static void whole_lines(book *b) {
	const model *m = b->m;
	double kelvin = m->air.temperature_k;
	line(b, "Air",
	     arena_printf(b->mem,
			  "Density = pressure of the altitude / (287.05 · %s K) = %s. Velocity pressure = ½ ρ v².",
			  num(b, kelvin), book_si(b, DIM_DENSITY, m->air.density_kg_m3)),
	     "Dry air as an ideal gas, standard atmosphere.");
	double flow = book_fan_flow(m, DIRTY);
	bool inch = m->measures == MEASURES_INCH;
	if (isfinite(m->air.room_changes_per_h) && isfinite(m->air.room_m3)) {
		const char *passed = inch ? arena_printf(b->mem, "60 · %s", book_si(b, DIM_FLOW, flow))
					  : arena_printf(b->mem, "%s m³/h", num(b, flow * 3600));
		const char *room = inch ? book_si(b, DIM_VOLUME, m->air.room_m3)
					: arena_printf(b->mem, "%s m³", num(b, m->air.room_m3));
		line(b, "Room",
		     arena_printf(
			     b->mem,
			     "Air passed in an hour / volume of the room = %s / %s = %s an hour, filters due for care.",
			     passed, room, num(b, m->air.room_changes_per_h)),
		     NULL);
	}
	if (isfinite(m->air.hours_to_dirty) && m->air.dust_kg_s > 0) {
		double size = inch ? 0.45359237 : 1;
		const char *unit = inch ? "lb" : "kg";
		line(b, "Hours until the filters are due",
		     arena_printf(b->mem, "Dust held / dust made = %s %s / %s %s/h = %s h.",
				  num(b, m->air.dust_held_kg / size), unit, num(b, m->air.dust_kg_s * 3600 / size),
				  unit, num(b, m->air.hours_to_dirty)),
		     "All dust made is taken to reach the filters; in truth coarse dust falls before them.");
	}
	line(b, "How well it is solved",
	     "Newton's method on pressures and flows; the flows into and out of every space agree within a billionth "
	     "of the largest "
	     "flow, or the book would not have been written.",
	     NULL);
	line(b, "Weight",
	     arena_printf(b->mem,
			  "Volume of each part, its openings taken away, times the density of its stock, and bought "
			  "items as "
			  "given: %s.",
			  book_si(b, DIM_MASS, m->mass_kg)),
	     NULL);
}

/* What a part is meant to carry, or "" when the plan says nothing. */
static const char *carried(book *b, const model_part *p) {
	const char *text = "";
	if (p->carries_kg > 0) text = arena_printf(b->mem, "%s spread over it", book_si(b, DIM_MASS, p->carries_kg));
	if (p->carries_kg_m2 > 0)
		text = arena_printf(b->mem, "%s%s%s", text, *text ? ", " : "", book_si(b, DIM_AREAL, p->carries_kg_m2));
	if (p->carries_middle_kg > 0)
		text = arena_printf(b->mem, "%s%s%s at its middle", text, *text ? ", " : "",
				    book_si(b, DIM_MASS, p->carries_middle_kg));
	return text;
}

static void bend_line(book *b, const model_bend *r) {
	const model *m = b->m;
	const model_part *p = &m->parts.v[r->part];
	const char *load = carried(b, p), *from = book_plain(b, m->parts.v[r->from].name);
	if (!*load) return;
	const char *where = r->to == MODEL_NONE ? arena_printf(b->mem, "where it stands out beyond %s, on", from)
						: arena_printf(b->mem, "between %s and %s, on", from,
							       book_plain(b, m->parts.v[r->to].name));
	line(b, arena_printf(b->mem, "What %s carries", book_plain(b, p->name)),
	     arena_printf(b->mem,
			  "%s. With its own weight and what stands on it %s. It bends %s %s %s; %s would be allowed.",
			  load, book_si(b, DIM_MASS, r->load_n / 9.80665),
			  book_length(b, rat_from_double(r->deflection_m * 1000, 10)), where,
			  book_length(b, rat_from_double(r->span_m * 1000, 1)),
			  book_length(b, rat_from_double(r->allowed_m * 1000, 10))),
	     r->plate ? "Plate that rests on its sides, even load: Roark's formulas; on three sides Timoshenko. The "
			"modulus is "
			"the stock's. Load that stays for years bends it more."
		      : "Beam formula of the Wood Handbook; the modulus is the stock's. Load that stays for years "
			"bends it "
			"more.");
}

static void tilt_line(book *b) {
	tip t = tip_of(b->m);
	if (!t.known) return;
	line(b, "How far it can be tilted",
	     arena_printf(b->mem,
			  "Its centre of mass lies %s above the floor and %s inside the edge of what it stands on. "
			  "Empty and "
			  "shut it falls to the %s when it is tilted by %s degrees.",
			  book_length(b, rat_from_double(t.height_mm, 1)),
			  book_length(b, rat_from_double(t.inside_mm, 1)), FACE_NAME[t.to], num(b, t.degrees)),
	     "The masses of the parts; what is put on it, an open door and a push are not counted.");
}

static void structure_lines(book *b) {
	for (size_t i = 0; i < b->m->bends.n; i++) bend_line(b, &b->m->bends.v[i]);
	tilt_line(b);
}

static bool anything_carried(const model *m) {
	for (size_t i = 0; i < m->bends.n; i++) {
		const model_part *p = &m->parts.v[m->bends.v[i].part];
		if (p->carries_kg > 0 || p->carries_kg_m2 > 0 || p->carries_middle_kg > 0) return true;
	}
	return false;
}

static void air_lines(book *b) {
	const model *m = b->m;
	bool first = true;
	book_paragraph(b, "The main air figures, filters due for care, with the plan's own values put in.");
	b->y += 2;
	for (size_t i = 0; i < m->air.branches.n; i++) {
		switch (m->air.branches.v[i].kind) {
		case AIR_OPENINGS:
			openings_line(b, i, first), first = first && in_stream(m, &m->air.branches.v[i]);
			break;
		case AIR_FILTER:
		case AIR_TUBES:
			filter_line(b, i);
			break;
		case AIR_FAN:
			fan_line(b, i);
			break;
		default:
			break;
		}
	}
	whole_lines(b);
}

void book_numbers(book *b) {
	const model *m = b->m;
	bool air = m->air.given && m->air.result[DIRTY].solved;
	if (!air && !anything_carried(m)) return;
	book_chapter_if_room(b, "Where the numbers come from", "numbers", 80);
	if (air) air_lines(b);
	structure_lines(b);
}
