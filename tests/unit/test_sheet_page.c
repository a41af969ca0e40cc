/* Drawings of layouts: every part, cut and offcut is told, no lettering lies over other lettering or leaves the page,
 * and none is smaller than the floor. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "compiler/layout.h"
#include "runtime/write/sheet_page.h"
#include "runtime/write/svg.h"
#include "tests/unit/fixture.h"

/* The fixture's five panels and n brackets, every fifth of them tiny. */
static model *crowded(arena *mem, int n) {
	model *m = fix_cabinet(mem);
	fix_tool(m, TOOL_SAW, "saw", 0)->kerf = fix_length(3);
	m->stocks.v[FIX_PLY].trim = fix_length(10);
	uint64_t seed = 3;
	for (int i = 0; i < n; i++) {
		seed = seed * 6364136223846793005u + 1442695040888963407u;
		double a = 40 + (double)((seed >> 33) % 500), b = 20 + (double)((seed >> 45) % 300);
		if (i % 5 == 4) {
			a = 40;
			b = 12;
		}
		const char *name = arena_printf(mem, "bracket.%d", i + 1);
		fix_part(m, PART_PANEL, name, fix_box(0, a, 0, b, 0, 18), AXIS_Z, FACE_TOP)->grain_matters = i % 2;
	}
	diags d = diags_begin(mem);
	assert_true(layout_make(m, &d));
	return m;
}

static void lettering_is_legible(const display *d) {
	display_box page = {0, 0, d->w, d->h};
	for (size_t i = 0; i < d->items.n; i++) {
		const display_item *a = &d->items.v[i];
		if (a->kind != ITEM_TEXT) continue;
		assert_true(a->style.cap >= CAP_SMALL);
		if (!display_box_inside(a->box, page)) fail_msg("'%s' leaves the page", a->text);
		for (size_t k = 0; k < i; k++) {
			const display_item *b = &d->items.v[k];
			if (b->kind != ITEM_TEXT) continue;
			display_box ink = display_box_grow(a->box, -0.05);
			if (display_box_overlap(ink, display_box_grow(b->box, -0.05)))
				fail_msg("'%s' lies over '%s'", a->text, b->text);
		}
	}
}

static size_t count_texts(const display *d, const char *text) {
	size_t n = 0;
	for (size_t i = 0; i < d->items.n; i++)
		n += d->items.v[i].kind == ITEM_TEXT && strcmp(d->items.v[i].text, text) == 0;
	return n;
}

static bool mentions(const display *d, const char *text) {
	for (size_t i = 0; i < d->items.n; i++)
		if (d->items.v[i].kind == ITEM_TEXT && strstr(d->items.v[i].text, text)) return true;
	return false;
}

static void everything_is_told(void **state) {
	(void)state;
	const double boxes[][2] = {{277, 190}, {180, 120}, {130, 100}};
	for (size_t size = 0; size < 3; size++) {
		for (int n = 0; n <= 30; n += 15) {
			arena mem = {0};
			model *m = crowded(&mem, n);
			for (size_t i = 0; i < m->layout.sheets.n; i++) {
				const model_sheet_plan *s = &m->layout.sheets.v[i];
				display *d = display_begin(&mem, boxes[size][0] + 20, boxes[size][1] + 20);
				display_box into = {10, 10, 10 + boxes[size][0], 10 + boxes[size][1]};
				sheet_page_drawing r = sheet_page_draw(d, into, m, i);
				assert_int_equal(d->bad, 0);
				if (r.bottom > into.y1 + 0.001)
					fail_msg("%zu, %d brackets: ends at %g of %g", size, n, r.bottom, into.y1);
				assert_true(display_box_inside(r.sheet, into));
				/* true to scale */
				assert_true(fabs((r.sheet.x1 - r.sheet.x0) - 2440 * r.scale) < 1e-6);
				lettering_is_legible(d);
				for (size_t k = 0; k < s->pieces.n; k++)
					assert_true(mentions(d, m->parts.v[s->pieces.v[k].part].name));
				size_t circled = 0;
				for (size_t k = 0; k < s->cuts.n; k++)
					circled += count_texts(d, arena_printf(&mem, "%zu", k + 1)) > 0;
				assert_true(circled + r.uncircled >= s->cuts.n);
				if (size == 0) assert_int_equal(r.unnamed, 0);
				if (size == 0 && n <= 15) assert_int_equal(r.uncircled, 0);
			}
			arena_end(&mem);
		}
	}
}

static void page_of_its_own(void **state) {
	(void)state;
	arena mem = {0};
	model *m = crowded(&mem, 15);
	display *d = sheet_page_alone(&mem, m, 0);
	lettering_is_legible(d);
	assert_true(mentions(d, "Sheet 1 of 1: ply18"));
	assert_true(mentions(d, "kerf 3 mm"));
	assert_true(mentions(d, "trim crosscut"));
	textbuf out = textbuf_begin(&mem);
	assert_null(svg_write(&out, d, false));
	assert_non_null(strstr(out.v, "<svg"));
	arena_end(&mem);
}

static void bars_are_drawn(void **state) {
	(void)state;
	arena mem = {0};
	model *m = fix_cabinet(&mem);
	model_stock *s = fix_stock(m, STOCK_BAR, "pine45");
	model_ref bar = (model_ref)m->stocks.n - 1;
	s->size[0] = fix_length(2400);
	for (int i = 0; i < 12; i++) {
		const char *name = arena_printf(&mem, "cleat.%d", i + 1);
		fix_part(m, PART_CLEAT, name, fix_box(0, 300 + 80 * i, 0, 45, 0, 20), AXIS_Z, FACE_TOP)->stock = bar;
	}
	diags d = diags_begin(&mem);
	assert_true(layout_make(m, &d));
	display *page = sheet_page_bars_alone(&mem, m);
	lettering_is_legible(page);
	for (int i = 0; i < 12; i++)
		assert_true(mentions(page, arena_printf(&mem, "cleat.%d %d", i + 1, 300 + 80 * i)));
	/* bar by bar when the room is short: one at a time, all in the end */
	size_t next = 0, rounds = 0;
	while (next < m->layout.bars.n) {
		page = display_begin(&mem, 200, 60);
		size_t before = next;
		sheet_page_bars(page, (display_box){10, 10, 190, 40}, 10, m, &next);
		assert_true(next > before);
		rounds++;
	}
	assert_int_equal(rounds, m->layout.bars.n);
	arena_end(&mem);
}

int main(void) {
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(everything_is_told),
		cmocka_unit_test(page_of_its_own),
		cmocka_unit_test(bars_are_drawn),
	};
	return cmocka_run_group_tests(tests, NULL, NULL);
}
