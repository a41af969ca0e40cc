/* The cabinet of tests/unit/fixture.h with air in it: openings of 60 mm in the top and of 62 mm with collars of 58 mm
 * bore in the carrier below it, on eight shared axes. The way: room -> wells in top -> wells in carrier -> tubes -> fan
 * -> room. All figures are invented. Ownership: everything lives in the arena given. */
#ifndef TESTS_AIR_FIXTURE_H
#define TESTS_AIR_FIXTURE_H
#include "tests/unit/fixture.h"

enum { WELLS_TOP, WELLS_CARRIER, FELTS, BLOWER };

static inline model_branch *air_fix_way(model *m, model_air_kind kind, const char *name, model_ref from, model_ref to) {
	model_branch *b = LIST_ADD(m->mem, &m->air.branches);
	*b = (model_branch){.kind = kind, .name = name, .from = from, .to = to, .box_m2 = NAN};
	b->part = b->pattern = b->stock = MODEL_NONE;
	b->at = fix_at(700 + (uint32_t)m->air.branches.n);
	return b;
}

static inline void air_fix_space(model *m, const char *name, bool room) {
	LIST_PUSH(m->mem, &m->air.spaces,
		  ((model_space){.name = name, .room = room, .named = true, .at = fix_at(720)}));
}

static inline void air_fix_point(model *m, model_stock *s, double flow, double pressure) {
	LIST_PUSH(m->mem, &s->curve, ((model_curve_point){flow, pressure, fix_at(740)}));
}

static inline model *air_fix(arena *mem) {
	model *m = fix_cabinet(mem);
	model_stock *felt = fix_stock(m, STOCK_MEDIA, "felt");
	felt->media_r1_pa_s_m = fix_value(600);
	felt->media_r2_pa_s2_m2 = fix_value(0);
	felt->drag_per_s = fix_value(20000);
	felt->dirty_load_kg_m2 = fix_value(0.2);
	model_stock *fan = fix_stock(m, STOCK_FAN, "blower");
	fan->curve_density_kg_m3 = fix_value(1.2);
	fan->efficiency = fix_value(0.5);
	fan->stall_m3_s = fix_value(NAN);
	air_fix_point(m, fan, 0, 900);
	air_fix_point(m, fan, 0.1, 880);
	air_fix_point(m, fan, 0.2, 780);
	air_fix_point(m, fan, 0.3, 560);
	air_fix_point(m, fan, 0.4, 0);
	model_air *a = &m->air;
	a->given = true;
	a->at = fix_at(690);
	a->altitude_m = 0;
	a->temperature_k = 294.26;
	a->room_m3 = 60;
	a->dust_kg_s = 0.02 / 3600;
	a->trough_m3 = 0.01;
	a->dust_bulk_kg_m3 = 200;
	air_fix_space(m, "room", true);
	air_fix_space(m, "between", false);
	air_fix_space(m, "bags", false);
	air_fix_space(m, "clean side", false);
	model_branch *b = air_fix_way(m, AIR_OPENINGS, "wells in top", 0, 1);
	b->pattern = 0;
	b->part = FIX_TOP;
	b = air_fix_way(m, AIR_OPENINGS, "wells in carrier", 1, 2);
	b->pattern = 0;
	b->part = FIX_CARRIER;
	b = air_fix_way(m, AIR_TUBES, "felts", 2, 3);
	b->pattern = 0;
	b->stock = model_find_stock(m, "felt");
	b->hole_m = 0.06;
	b->length_m = 0.4;
	b = air_fix_way(m, AIR_FAN, "blower", 3, 0);
	b->stock = model_find_stock(m, "blower");
	return m;
}

#endif
