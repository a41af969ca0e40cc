/* steps.json and the table of steps: read back, added up again. */
#include <jansson.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include "compiler/order.h"
#include "runtime/write/steps_write.h"
#include "tests/unit/order_box.h"

static json_t *made(arena *mem, model *m) {
	diags d = diags_begin(mem);
	assert_true(order_make(m, &d));
	size_t size = 0;
	char *text = steps_json(mem, m, &size);
	assert_int_equal(strlen(text), size);
	json_t *root = json_loads(text, JSON_REJECT_DUPLICATES, NULL);
	assert_non_null(root);
	return root;
}

static double number(const json_t *o, const char *key) {
	json_t *v = json_object_get(o, key);
	assert_true(json_is_number(v));
	return json_number_value(v);
}

static void json_adds_up(void **state) {
	(void)state;
	arena mem = {0};
	model m = box_make(&mem, BOX_CLOSED - 1);
	json_t *root = made(&mem, &m), *ops = json_object_get(root, "operations"),
	       *steps = json_object_get(root, "steps");
	json_t *chain = json_object_get(root, "critical_path"), *edges = json_object_get(root, "edges");
	double hands = 0, longest = 0;
	size_t total = 0;
	for (size_t i = 0; i < json_array_size(steps); i++) {
		json_t *s = json_array_get(steps, i);
		assert_int_equal(number(s, "number"), i + 1);
		hands += number(s, "minutes");
		json_t *mine = json_object_get(s, "operations");
		total += json_array_size(mine);
		for (size_t k = 0; k < json_array_size(mine); k++) {
			json_t *op = json_array_get(ops, (size_t)json_integer_value(json_array_get(mine, k)) - 1);
			assert_int_equal(number(op, "step"), i + 1);
		}
	}
	assert_int_equal(total, json_array_size(ops));
	assert_true(fabs(hands - number(root, "hands_on_minutes")) < 1e-6);
	for (size_t i = 0; i < json_array_size(chain); i++) {
		json_int_t at = json_integer_value(json_array_get(chain, i));
		json_t *op = json_array_get(ops, (size_t)at - 1);
		longest += number(op, "minutes") + number(op, "wait_minutes");
		bool linked = i == 0; /* each link of the chain is an edge */
		for (size_t k = 0; k < json_array_size(edges) && i > 0; k++) {
			json_t *e = json_array_get(edges, k);
			linked = linked ||
				 (number(e, "after") == (double)at &&
				  number(e, "before") == (double)json_integer_value(json_array_get(chain, i - 1)));
		}
		assert_true(linked);
	}
	assert_true(json_array_size(chain) > 5);
	assert_true(fabs(longest - number(root, "critical_path_minutes")) < 1e-6);
	json_decref(root);
	arena_end(&mem);
}

static void table_has_every_step(void **state) {
	(void)state;
	arena mem = {0};
	model m = box_make(&mem, BOX_FAN);
	json_decref(made(&mem, &m));
	table *t = steps_table(&mem, &m);
	assert_int_equal(t->rows, m.order.steps.n);
	for (size_t i = 0; i < t->rows; i++) assert_string_equal(table_at(t, i, 1)->text, m.order.steps.v[i].title);
	assert_string_equal(table_at(t, 1, 4)->text, "36.4"); /* 2.44 x 1.22 x 0.018 m at 680 kg/m3 */
	m.measures = MEASURES_INCH;
	assert_string_equal(table_at(steps_table(&mem, &m), 1, 4)->text, "80.3");
	arena_end(&mem);
}

static void nothing_to_do(void **state) {
	(void)state;
	arena mem = {0};
	model m = {.mem = &mem};
	json_t *root = made(&mem, &m);
	assert_int_equal(json_array_size(json_object_get(root, "critical_path")), 0);
	assert_int_equal(steps_table(&mem, &m)->rows, 0);
	json_decref(root);
	arena_end(&mem);
}

int main(void) {
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(json_adds_up),
		cmocka_unit_test(table_has_every_step),
		cmocka_unit_test(nothing_to_do),
	};
	return cmocka_run_group_tests(tests, NULL, NULL);
}
