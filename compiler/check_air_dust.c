/* Where dust arises, what the plan holds its face to, what stands in the stream, and the room. */
#include "compiler/check_air_dust.h"

#include <math.h>
#include <string.h>

#include "compiler/air.h"
#include "compiler/check_limits.h"
#include "runtime/engine/airlaw.h"

enum { DIRTY = 1 };

static bool known(double v) { return v > 0 && isfinite(v); }

static const char *show(const model *m, diags *d, dim of, double si) {
	return quant_show_si(d->mem, of, si, m->measures);
}

/* To the millimetre: a worked-out length reads better so. */
static const char *length(const model *m, diags *d, double si) {
	return quant_show_reckoned(d->mem, si * 1000, 1, m->measures);
}

static bool handles(const model *m, model_dust dust) { return m->air.handles >> dust & 1; }

/* ---- faces --------------------------------------------------------------------------------------- */

/* The states that a face is held to: nothing covered, at the speed of the curves. What is covered draws through less.
 */
static void held_face(const model *m, diags *d, const model_face *f, const char *rule, double limit) {
	const model_branch *b = &m->air.branches.v[f->branch];
	double least = INFINITY;
	int when = 0;
	for (int c = 0; c <= DIRTY; c++) {
		const model_air_result *r = &m->air.result[c];
		double v = r->solved ? fabs(model_face_m_s(f, &r->flow[f->branch])) : INFINITY;
		if (v < least) least = v, when = c;
	}
	if (!isfinite(least)) return;
	diag_compare(d, (diag_compared){.rule = rule,
					.about = b->name,
					.of = DIM_SPEED,
					.value = least,
					.limit = limit,
					.at_least = true,
					.condition = model_condition_name(m, when),
					.basis = MODEL_DRAFT_BASIS[f->draft]});
	if (least >= limit) return;
	diag *g = diag_warning(d, rule, f->at, "%s draws at %s (%s), %s less than it is held to", b->name,
			       show(m, d, DIM_SPEED, least), model_condition_name(m, when),
			       show(m, d, DIM_SPEED, limit - least));
	diag_add_note(d, g, b->at, "basis: %s", MODEL_DRAFT_BASIS[f->draft]);
	diag_add_help(d, g,
		      "a smaller face, a larger fan, less loss on the way; other sources ask for other speeds on "
		      "other areas, see the rule's page");
}

void check_downdraft_face(const model *m, diags *d) {
	const double limit[DRAFT_KINDS] = {
		[DRAFT_SANDING] = check_limit_si(m, "downdraft-face.sanding-plan"),
		[DRAFT_GRINDING] = check_limit_si(m, "downdraft-face.grinding-plan"),
		[DRAFT_GRILLE] = check_limit_si(m, "downdraft-face.grinding-grille"),
		[DRAFT_DUST] = check_limit_si(m, "downdraft-face.dust-plan"),
	};
	for (size_t i = 0; i < m->air.faces.n; i++)
		if (m->air.faces.v[i].draft != DRAFT_BOOTH)
			held_face(m, d, &m->air.faces.v[i], "downdraft-face", limit[m->air.faces.v[i].draft]);
}

void check_booth_face(const model *m, diags *d) {
	for (size_t i = 0; i < m->air.faces.n; i++)
		if (m->air.faces.v[i].draft == DRAFT_BOOTH)
			held_face(m, d, &m->air.faces.v[i], "booth-face", check_limit_si(m, "booth-face"));
}

void check_even_draw(const model *m, diags *d) {
	rat least = check_limit(m, "even-draw"), most = check_limit(m, "even-draw.plenum");
	const model_air_result *r = &m->air.result[DIRTY];
	for (size_t i = 0; i < m->air.branches.n && r->solved; i++) {
		const model_branch *b = &m->air.branches.v[i];
		const model_spread *s = &b->spread;
		if (!s->known) continue;
		double part = s->plenum_m_s / fabs(r->flow[i].speed_m_s);
		bool uneven = s->least<rat_double(least), fast = part> rat_double(most);
		diag_compare(d, (diag_compared){.rule = "even-draw",
						.about = b->name,
						.of = DIM_NUMBER,
						.value = s->least,
						.limit = rat_double(least),
						.at_least = true,
						.condition = model_condition_name(m, DIRTY),
						.basis = "slowest opening over their mean"});
		diag_compare(d, (diag_compared){.rule = "even-draw",
						.about = b->name,
						.of = DIM_NUMBER,
						.value = part,
						.limit = rat_double(most),
						.condition = model_condition_name(m, DIRTY),
						.basis = "speed behind the openings over that in them"});
		if (!uneven && !fast) continue;
		diag *g = diag_warning(
			d, "even-draw", b->at,
			"%s draw unevenly (dirty): the slowest has %.0f %% of their mean, and behind them the air "
			"runs at %.0f %% of the speed in them",
			b->name, 100 * s->least, 100 * part);
		diag_add_note(d, g, m->parts.v[b->part].at, "the air behind %s is %s deep, and leaves along the %s",
			      m->parts.v[b->part].name, length(m, d, s->depth_m), AXIS_SPOKEN[s->along]);
		diag_add_help(d, g,
			      "more depth behind it, smaller openings, or a way out behind the middle of the field");
	}
}

/* ---- where dust is released ------------------------------------------------------------------------ */

void check_work_height(const model *m, diags *d) {
	double limit = check_limit_si(m, "work-height");
	for (size_t i = 0; i < m->air.releases.n; i++) {
		const model_release *r = &m->air.releases.v[i];
		if (!r->over) continue;
		const char *name = m->air.branches.v[r->branch].name;
		diag_compare(d, (diag_compared){.rule = "work-height",
						.about = name,
						.of = DIM_LENGTH,
						.value = r->distance_m,
						.limit = limit});
		if (r->distance_m <= limit) continue;
		diag *g =
			diag_warning(d, "work-height", r->at, "work stands %s above %s, %s higher than its air reaches",
				     length(m, d, r->distance_m), name, length(m, d, r->distance_m - limit));
		diag_add_help(d, g, "turn the work, or catch the dust beside it: with a hood or a side draught");
	}
}

void check_capture_speed(const model *m, diags *d) {
	const double limits[MOTION_KINDS] = {
		[MOTION_STILL] = check_limit_si(m, "capture-speed.still"),
		[MOTION_LOW] = check_limit_si(m, "capture-speed.low"),
		[MOTION_ACTIVE] = check_limit_si(m, "capture-speed.active"),
		[MOTION_FAST] = check_limit_si(m, "capture-speed.fast"),
	};
	for (size_t i = 0; i < m->air.releases.n; i++) {
		const model_release *r = &m->air.releases.v[i];
		double least = INFINITY, limit = limits[r->motion];
		int when = 0;
		/* At the speed of the curves: a slower tap is for work that needs less. */
		for (int c = 0; c < AIR_STATES && c < model_conditions(m) && !r->over; c++)
			if (r->speed_m_s[c] < least) least = r->speed_m_s[c], when = c;
		if (!isfinite(least)) continue;
		const char *name = m->air.branches.v[r->branch].name;
		diag_compare(d, (diag_compared){.rule = "capture-speed",
						.about = name,
						.of = DIM_SPEED,
						.value = least,
						.limit = limit,
						.at_least = true,
						.condition = model_condition_name(m, when),
						.basis = arena_printf(d->mem, "%s; dust leaves %s",
								      MODEL_HOOD_SPOKEN[r->hood],
								      MODEL_MOTION_SPOKEN[r->motion])});
		if (least >= limit) continue;
		diag *g = diag_warning(d, "capture-speed", r->at, "%s before %s the air has %s (%s), %s too little",
				       length(m, d, r->distance_m), name, show(m, d, DIM_SPEED, least),
				       model_condition_name(m, when), show(m, d, DIM_SPEED, limit - least));
		diag_add_note(d, g, m->air.branches.v[r->branch].at, "dust that leaves %s wants %s; worked out as a %s",
			      MODEL_MOTION_SPOKEN[r->motion], show(m, d, DIM_SPEED, limit), MODEL_HOOD_SPOKEN[r->hood]);
		diag_add_help(d, g,
			      "work nearer to it, a flange round it, or more flow: the speed falls with the square "
			      "of the distance");
	}
}

void check_capture_far(const model *m, diags *d) {
	for (size_t i = 0; i < m->air.releases.n; i++) {
		const model_release *r = &m->air.releases.v[i];
		if (r->over || !isfinite(r->reach_m) || !m->air.result[DIRTY].solved) continue;
		const char *name = m->air.branches.v[r->branch].name;
		diag_compare(d, (diag_compared){.rule = "capture-far",
						.about = name,
						.of = DIM_LENGTH,
						.value = r->distance_m,
						.limit = r->reach_m});
		if (r->distance_m <= r->reach_m) continue;
		diag *g;
		if (r->reach_m > 0)
			g = diag_warning(d, "capture-far", r->at,
					 "dust is released %s before %s; the equation for a %s holds up to %s",
					 length(m, d, r->distance_m), name, MODEL_HOOD_SPOKEN[r->hood],
					 length(m, d, r->reach_m));
		else
			g = diag_warning(d, "capture-far", r->at, "%s is no slot: it is too broad for its length",
					 name);
		diag_add_note(d, g, m->air.branches.v[r->branch].at, "nothing is said of the speed there");
		diag_add_help(
			d, g,
			"bring the work nearer, or name the form that it has: plain, flanged, slot, slot_flanged, "
			"booth");
	}
}

/* ---- what still holds its dust ------------------------------------------------------------------------ */

bool check_filter_behind(const model *m, diags *d, const model_air_result *r, model_ref duct) {
	const model_air *a = &m->air;
	bool *seen = ARENA_MANY(d->mem, bool, a->spaces.n + 1);
	const model_branch *b = &a->branches.v[duct];
	seen[r->flow[duct].flow_m3_s < 0 ? b->from : b->to] = true;
	for (bool more = true; more;) {
		more = false;
		for (size_t i = 0; i < a->branches.n; i++) {
			b = &a->branches.v[i];
			bool back = r->flow[i].flow_m3_s < 0;
			model_ref from = back ? b->to : b->from, to = back ? b->from : b->to;
			if (!seen[from] || from == 0) continue;
			if (b->kind == AIR_FILTER || b->kind == AIR_TUBES) return true;
			if (!seen[to]) seen[to] = more = true;
		}
	}
	return false;
}

void check_trough_small(const model *m, diags *d) {
	const model_air *a = &m->air;
	if (!known(a->hours_to_full_trough) || !known(a->hours_to_dirty)) return;
	diag_compare(d, (diag_compared){.rule = "trough-small",
					.about = "trough",
					.of = DIM_TIME,
					.value = a->hours_to_full_trough * 3600,
					.limit = a->hours_to_dirty * 3600,
					.at_least = true,
					.basis = "until the filters are due"});
	if (a->hours_to_full_trough >= a->hours_to_dirty) return;
	diag *g = diag_warning(d, "trough-small", a->trough_at,
			       "the trough is full after %s of work, before the filters are dirty after %s",
			       show(m, d, DIM_TIME, a->hours_to_full_trough * 3600),
			       show(m, d, DIM_TIME, a->hours_to_dirty * 3600));
	diag_add_help(d, g, "a larger trough; or empty it before each cleaning and say so in the notes");
}

/* ---- fans ------------------------------------------------------------------------------------------ */

/* The duct that lies next to the fan in its stream, or NULL. */
static const model_branch *duct_beside(const model *m, const model_branch *fan, bool behind) {
	model_ref space = behind ? fan->to : fan->from;
	if (m->air.spaces.v[space].named) return NULL;
	for (size_t i = 0; i < m->air.branches.n; i++) {
		const model_branch *b = &m->air.branches.v[i];
		if (b->kind == AIR_DUCT && (behind ? b->from : b->to) == space) return b;
	}
	return NULL;
}

static void straight_of(const model *m, diags *d, const model_branch *fan, bool behind) {
	const model_stock *s = &m->stocks.v[fan->stock];
	const model_branch *duct = duct_beside(m, fan, behind);
	double has = fan->straight_m[behind];
	if (!rat_ok(s->inlet.mm) || (!duct && !isfinite(has))) return;
	rat times = check_limit(m, behind ? "fan-straight.after" : "fan-straight");
	double wants = rat_double(rat_mul(times, s->inlet.mm)) / 1000;
	bool declared = isfinite(fan->effect_k[behind]);
	/* Where its fittings stand in a duct is not said: only one without any counts as straight. */
	if (!isfinite(has)) has = duct->fittings.n ? 0 : duct->length_m;
	diag_compare(d, (diag_compared){.rule = "fan-straight",
					.about = fan->name,
					.of = DIM_LENGTH,
					.value = declared ? (double)NAN : has,
					.limit = wants,
					.at_least = true,
					.basis = behind ? "straight behind the fan" : "straight before the fan",
					.words = declared ? "its loss is declared" : NULL});
	if (declared || has >= wants) return;
	diag *g = diag_warning(d, "fan-straight", fan->at, "%s of the run %s %s are straight, %s less than a fan wants",
			       length(m, d, has), behind ? "behind" : "before", fan->name, length(m, d, wants - has));
	if (duct)
		diag_add_note(d, g, duct->declared, "duct %s stands there; of a free %s nothing is asked", duct->name,
			      behind ? "outlet" : "inlet");
	diag_add_help(
		d, g,
		"a straight run of %s diameters; or say how long it is: straight %s %s %s; or what the bend costs, "
		"on the velocity pressure at the inlet: effect 0.8 %s %s",
		quant_show_number(d->mem, rat_double(times), 1), length(m, d, wants), behind ? "after" : "before",
		fan->name, behind ? "after" : "before", fan->name);
}

void check_fan_straight(const model *m, diags *d) {
	for (size_t i = 0; i < m->air.branches.n; i++) {
		const model_branch *b = &m->air.branches.v[i];
		if (b->kind != AIR_FAN || b->stock >= m->stocks.n) continue;
		straight_of(m, d, b, false);
		straight_of(m, d, b, true);
	}
}

void check_fan_in_dust(const model *m, diags *d) {
	const model_air_result *r = &m->air.result[DIRTY];
	for (model_ref i = 0; i < m->air.branches.n && r->solved; i++) {
		const model_branch *b = &m->air.branches.v[i];
		if (b->kind != AIR_FAN || b->stock >= m->stocks.n || !check_filter_behind(m, d, r, i)) continue;
		const model_stock *s = &m->stocks.v[b->stock];
		bool good = s->motor_at == MOTOR_OUTSIDE || (s->motor_at == MOTOR_IN_STREAM && s->motor_fit);
		diag_compare(d, (diag_compared){.rule = "fan-in-dust",
						.about = b->name,
						.value = NAN,
						.limit = NAN,
						.broken = !good,
						.words = s->motor_at == MOTOR_OUTSIDE ? "its motor stands outside"
							 : good			      ? s->motor_fit
								: "nothing says that its motor bears it"});
		if (good) continue;
		diag *g = diag_warning(
			d, "fan-in-dust", b->at,
			s->motor_at == MOTOR_IN_STREAM
				? "the motor of fan %s stands in air that still holds its dust"
				: "fan %s draws air that still holds its dust, and nothing says where its motor is",
			b->name);
		diag_add_note(d, g, s->motor_at == MOTOR_IN_STREAM ? s->motor_at_at : s->at,
			      "its stock is declared here");
		diag_add_help(
			d, g,
			"a fan behind the filters; or one whose motor stands outside, `motor_at outside`, or is made "
			"for it, `motor_at stream as \"what its plate says\"`");
	}
}

/* ---- filters and room ------------------------------------------------------------------------------ */

static bool is_hepa(const model_stock *s) {
	return s->use_class && (strstr(s->use_class, "hepa") || strstr(s->use_class, "HEPA"));
}

void check_filter_clean(const model *m, diags *d) {
	double limit = check_limit_si(m, "filter-clean");
	const model_air_result *r = &m->air.result[0];
	for (model_ref i = 0; i < m->air.branches.n && r->solved; i++) {
		const model_branch *b = &m->air.branches.v[i];
		if (b->kind != AIR_FILTER || b->stock >= m->stocks.n || !is_hepa(&m->stocks.v[b->stock])) continue;
		double pa = fabs(r->flow[i].loss_pa);
		diag_compare(d, (diag_compared){.rule = "filter-clean",
						.about = b->name,
						.of = DIM_PRESSURE,
						.value = pa,
						.limit = limit,
						.condition = model_condition_name(m, 0),
						.basis = "a HEPA unit"});
		if (pa <= limit) continue;
		diag *g = diag_warning(d, "filter-clean", b->at,
				       "clean, %s takes %s, %s more than a HEPA unit is made for", b->name,
				       show(m, d, DIM_PRESSURE, pa), show(m, d, DIM_PRESSURE, pa - limit));
		diag_add_note(d, g, m->stocks.v[b->stock].at, "its stock is declared here");
		diag_add_help(d, g, "more units side by side");
	}
}

void check_air_return(const model *m, diags *d) {
	const model_air *a = &m->air;
	if (a->exhausts_outdoors || !(handles(m, DUST_HARDWOOD) || handles(m, DUST_SILICA))) return;
	bool fine = false;
	for (size_t i = 0; i < a->branches.n; i++) {
		const model_branch *b = &a->branches.v[i];
		fine = fine || (b->kind == AIR_FILTER && b->stock < m->stocks.n && is_hepa(&m->stocks.v[b->stock]));
	}
	model_dust dust = handles(m, DUST_SILICA) ? DUST_SILICA : DUST_HARDWOOD;
	diag_compare(d, (diag_compared){.rule = "air-return",
					.about = "room",
					.value = NAN,
					.limit = NAN,
					.broken = !fine,
					.words = fine ? "a HEPA filter stands in the way"
						      : "no HEPA filter stands in the way"});
	if (fine) return;
	diag *g = diag_warning(d, "air-return", a->handles_at[dust],
			       "%s goes back into the room through no HEPA filter", MODEL_DUST_SPOKEN[dust]);
	if (span_known(a->exhaust_at)) diag_add_note(d, g, a->exhaust_at, "the exhaust is said here");
	diag_add_help(d, g,
		      "blow it outdoors, or set a HEPA unit behind the others; what may go back into a workplace your "
		      "authority decides");
}

void check_makeup_air(const model *m, diags *d) {
	const model_air *a = &m->air;
	const model_air_result *r = &a->result[0];
	if (!a->exhausts_outdoors || !r->solved) return;
	double limit = check_limit_si(m, "makeup-air");
	bool said = known(a->makeup_m2);
	if (!said && span_known(a->makeup_at)) return; /* its value was reported */
	diag_compare(d, (diag_compared){.rule = "makeup-air",
					.about = "room",
					.of = DIM_PRESSURE,
					.value = said ? r->makeup_pa : (double)NAN,
					.limit = limit,
					.broken = !said,
					.condition = said ? model_condition_name(m, 0) : NULL,
					.words = said ? NULL : "no way in is declared"});
	double wants_m2 = r->makeup_m3_s / airlaw_speed_of_pressure(a->density_kg_m3, limit / AIRLAW_SHARP_K);
	const char *wants = show(m, d, DIM_AREA, ceil(wants_m2 * 1000) / 1000);
	if (!said) {
		diag *g = diag_warning(d, "makeup-air", a->exhaust_at,
				       "%s are blown outdoors (clean), and nothing says where they come in",
				       show(m, d, DIM_FLOW, r->makeup_m3_s));
		diag_add_help(d, g,
			      "say the free area of the way in: makeup %.0f cm2 would do; flues in the building draw "
			      "back when it is too small: ask a licensed trade",
			      ceil(wants_m2 * 1000) * 10);
		return;
	}
	if (r->makeup_pa <= limit) return;
	diag *g = diag_warning(d, "makeup-air", a->makeup_at,
			       "the room falls %s below outdoors (clean), %s more than a flue bears",
			       show(m, d, DIM_PRESSURE, r->makeup_pa), show(m, d, DIM_PRESSURE, r->makeup_pa - limit));
	diag_add_note(d, g, a->exhaust_at, "%s are blown outdoors", show(m, d, DIM_FLOW, r->makeup_m3_s));
	diag_add_help(d, g,
		      "a free area of %s; flues in the building draw back when it is too small: ask a licensed trade",
		      wants);
}

/* ---- what is not built here ---------------------------------------------------------------------------- */

void check_metal_dust(const model *m, diags *d) {
	if (!handles(m, DUST_METAL)) return;
	for (int wood = DUST_WOOD; wood <= DUST_HARDWOOD; wood++) {
		if (!handles(m, (model_dust)wood)) continue;
		diag *g = diag_error(d, "metal-dust", m->air.handles_at[DUST_METAL],
				     "metal is ground where %s lies: its sparks light it", MODEL_DUST_SPOKEN[wood]);
		diag_add_note(d, g, m->air.handles_at[wood], "it is named here");
		diag_add_help(d, g, "write a plan for each; nothing waives this");
		return;
	}
	size_t many = 0;
	const model_part *first = NULL;
	for (size_t i = 0; i < m->parts.n; i++) {
		const model_part *p = &m->parts.v[i];
		if (!model_part_made(m, p) || m->stocks.v[p->stock].made == MADE_STEEL) continue;
		if (many++ == 0) first = p;
	}
	if (!many) return;
	diag *g = diag_error(d, "metal-dust", m->air.handles_at[DUST_METAL],
			     "metal is ground in a thing of which %zu part%s burn%s", many, many == 1 ? "" : "s",
			     many == 1 ? "s" : "");
	diag_add_note(d, g, first->at, many == 1 ? "%s is one" : "%s is the first", first->name);
	diag_add_help(d, g, "only stock that says `made steel` counts as not burning; nothing waives this");
}

void check_solvent_spray(const model *m, diags *d) {
	if (!handles(m, DUST_SOLVENT)) return;
	diag *g = diag_error(d, "solvent-spray", m->air.handles_at[DUST_SOLVENT],
			     "no thing for spraying with solvents is made of a plan like this");
	diag_add_help(
		d, g,
		"spray booths for solvents are bought, installed and inspected under fire codes; nothing waives this");
}
