/* air.json and the tables of the air: what they say is what the model holds; the balance is taken again from the file.
 */
#include <jansson.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include "compiler/air.h"
#include "runtime/write/air_write.h"
#include "runtime/write/json_util.h"
#include "tests/unit/air_fixture.h"

static model *solved(arena *mem) {
	model *m = air_fix(mem);
	m->air.branches.v[WELLS_TOP].covered_part = 0.5;
	diags d = diags_begin(mem);
	assert_true(air_solve(m, &d));
	return m;
}

static const json_t *in(const json_t *o, const char *key) {
	const json_t *v = json_object_get(o, key);
	if (!v) fail_msg("no key %s", key);
	return v;
}

static double num(const json_t *o, const char *key) { return json_number_value(in(o, key)); }
static const char *text(const json_t *o, const char *key) { return json_string_value(in(o, key)); }

/* Reads the dumped text back and takes the balances of flow and pressure from it. */
static void file_balances(void **state) {
	(void)state;
	arena mem = {0};
	model *m = solved(&mem);
	json_t *made = air_json(m);
	char *bytes = json_util_dump(&mem, made, NULL);
	json_t *o = json_loads(bytes, JSON_REJECT_DUPLICATES, NULL);
	assert_non_null(o);
	const json_t *conditions = in(o, "conditions"), *branches = in(o, "branches");
	assert_int_equal(json_array_size(conditions), 4);
	for (size_t c = 0; c < 4; c++) {
		const json_t *k = json_array_get(conditions, c), *flows = in(k, "branches"), *spaces = in(k, "spaces");
		assert_true(json_is_true(in(k, "solved")));
		double sum[4] = {0}, pressure[4] = {0};
		for (size_t s = 0; s < 4; s++) pressure[s] = num(json_array_get(spaces, s), "gauge_pa");
		for (size_t i = 0; i < json_array_size(flows); i++) {
			const json_t *f = json_array_get(flows, i), *b = json_array_get(branches, i);
			size_t from = 0, to = 0;
			for (size_t s = 0; s < 4; s++) {
				const char *name = text(json_array_get(spaces, s), "space");
				if (strcmp(name, text(b, "from")) == 0) from = s;
				if (strcmp(name, text(b, "to")) == 0) to = s;
			}
			sum[from] -= num(f, "flow_m3_s");
			sum[to] += num(f, "flow_m3_s");
			assert_true(fabs(pressure[from] - pressure[to] - num(f, "loss_pa")) < 1e-5);
			if (!json_is_number(in(f, "speed_m_s"))) continue;
			double area = num(in(f, "speed_over"), "m2");
			assert_true(fabs(num(f, "speed_m_s") * area / num(f, "flow_m3_s") - 1) < 1e-8);
		}
		for (size_t s = 0; s < 4; s++) assert_true(fabs(sum[s]) < 1e-8);
		/* The operating point lies on the fan's curve and on the system's. */
		const json_t *fan = json_array_get(in(k, "fans"), 0);
		assert_string_equal(text(fan, "works"), "on its published points");
		assert_true(json_array_size(in(fan, "way_takes_m3_s_pa")) > 20);
		double q = num(fan, "flow_of_one_m3_s");
		assert_true(fabs(air_gives(m, &mem, BLOWER, q) - num(fan, "rise_pa")) < 1e-4);
	}
	assert_string_equal(text(in(json_array_get(branches, FELTS), "open"), "of"), "cloth of the tubes");
	assert_int_equal(json_array_size(in(json_array_get(in(o, "fans"), 0), "published_m3_s_pa")), 5);
	json_decref(made);
	json_decref(o);
	arena_end(&mem);
}

static void no_answer_has_no_flows(void **state) {
	(void)state;
	arena mem = {0};
	model *m = air_fix(&mem);
	m->stocks.v[model_find_stock(m, "blower")].curve.n = 2;
	diags d = diags_begin(&mem);
	assert_false(air_solve(m, &d));
	json_t *o = air_json(m);
	const json_t *k = json_array_get(in(o, "conditions"), 0);
	assert_true(json_is_false(in(k, "solved")));
	assert_null(json_object_get(k, "branches"));
	assert_non_null(strstr(text(k, "why_not"), "right of its published points"));
	assert_string_equal(text(json_array_get(in(k, "fans"), 0), "works"), "beyond its published points");
	json_decref(o);
	o = air_json(fix_cabinet(&mem));
	assert_true(json_is_false(in(o, "given")));
	json_decref(o);
	arena_end(&mem);
}

static size_t column(const table *t, const char *name) {
	for (size_t i = 0; i < t->columns.n; i++)
		if (strcmp(t->columns.v[i].name, name) == 0) return i;
	fail_msg("no column %s", name);
	return 0;
}

static void tables_in_both_measures(void **state) {
	(void)state;
	arena mem = {0};
	model *m = solved(&mem);
	const table *t[AIR_TABLES];
	air_tables(m, &mem, t);
	assert_int_equal(t[0]->rows, 4);
	assert_int_equal(t[1]->rows, 16);
	assert_int_equal(t[2]->rows, 3);
	double flow = atof(table_at(t[0], 0, column(t[0], "flow"))->text);
	assert_true(fabs(flow / 3600 - m->air.result[0].flow[BLOWER].flow_m3_s) < 0.5 / 3600);
	assert_string_equal(table_at(t[1], WELLS_TOP, column(t[1], "speed basis"))->text, "free area of the openings");
	/* The blower's inlet is not declared: no speed, and no basis of one. */
	assert_string_equal(table_at(t[1], BLOWER, column(t[1], "speed"))->text, "");
	assert_string_equal(table_at(t[1], BLOWER, column(t[1], "speed basis"))->text, "");
	m->measures = MEASURES_INCH;
	air_tables(m, &mem, t);
	assert_string_equal(t[0]->columns.v[column(t[0], "flow")].unit, "cfm");
	double cfm = atof(table_at(t[0], 0, column(t[0], "flow"))->text);
	assert_true(fabs(cfm * 0.028316846592 / 60 - m->air.result[0].flow[BLOWER].flow_m3_s) < 0.5 * 0.000472);
	textbuf out = textbuf_begin(&mem);
	table_write(t, AIR_TABLES, TABLE_TEXT, &out);
	assert_non_null(strstr(out.v, "Gauge readings against the room"));
	assert_non_null(strstr(out.v, "use not stated: 6 ft/min and more is called high"));
	air_tables(fix_cabinet(&mem), &mem, t);
	for (int i = 0; i < AIR_TABLES; i++) assert_int_equal(t[i]->rows, 0);
	arena_end(&mem);
}

int main(void) {
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(file_balances),
		cmocka_unit_test(no_answer_has_no_flows),
		cmocka_unit_test(tables_in_both_measures),
	};
	return cmocka_run_group_tests(tests, NULL, NULL);
}
