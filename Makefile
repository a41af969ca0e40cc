# Windchest: a declarative build-plan compiler for shop furniture that moves air.
# Every *.c in the tree's folders is found by itself: to add a module or a test, add the file.
#
#   make          the program, build/windchest
#   make demo     installs what the build needs, compiles the example plans to their books
#   make test     installs what the tests need, builds twice (gcc; clang with sanitizers), runs every test
#   make pictures draws the pages in docs/pages anew from those books
#   make bench    time and memory of the program on the example plans; BENCH=FOLDER: cutting instances too
#   make install  PREFIX= DESTDIR=
#   make clean, make format, make lint, make unit (the cmocka tests alone)

ifeq ($(origin CC),default)
CC := gcc
endif
CSTD    := -std=c11 -D_POSIX_C_SOURCE=200809L
WARN    := -Wall -Wextra -Wpedantic -Wshadow -Wconversion -Werror -Werror=implicit-function-declaration
OPT     ?= -O2 -g
SAN     ?=
BUILD   ?= build
FLAGS   := $(CSTD) $(WARN) $(OPT) $(SAN) -I. -I$(BUILD) $(CPPFLAGS) $(CFLAGS)
LDLIBS  := -lhpdf -lz -ljansson -lm
PREFIX  ?= /usr/local
DESTDIR ?=
JOBS    := $(shell nproc 2>/dev/null || echo 2)
# One short line for each file; `make V=1` shows the commands.
Q       := $(if $(V),,@)
SAY     := $(if $(V),@:,@echo)
SUBMAKE := $(MAKE) --no-print-directory -j$(JOBS)

# Where `use "stock/..."` is looked for last: the folder that holds stock/. Only compiler/main.c is compiled with
# it, so that the installed program is the same library with another main.o.
STOCK_HERE      := $(CURDIR)/plans
STOCK_INSTALLED  = $(PREFIX)/share/windchest

LIB_C   := $(sort $(wildcard runtime/*/*.c) $(filter-out compiler/main.c,$(wildcard compiler/*.c)) \
           $(filter-out %.yy.c %.tab.c,$(wildcard grammar/*.c)))
PAGES   := $(sort $(wildcard docs/rules/*.page))
LIB_O   := $(LIB_C:%.c=$(BUILD)/%.o) $(BUILD)/compiler/rule_pages_data.o
GRAM_O  := $(if $(wildcard grammar/plan.y),$(BUILD)/grammar/plan.tab.o $(BUILD)/grammar/plan.yy.o)
LIB     := $(BUILD)/libwindchest.a
PROGRAM := $(BUILD)/windchest

TEST_C  := $(sort $(wildcard tests/unit/test_*.c tests/published/test_*.c))
TEST_X  := $(TEST_C:%.c=$(BUILD)/%)
# Programs that answer the questions of the test scripts.
ASK_X   := $(patsubst %.c,$(BUILD)/%,$(wildcard tests/*/ask_*.c))
BENCH_X := $(BUILD)/tests/bench/measure
BENCH_L := $(BUILD)/tests/bench/layouts
BENCH_A := $(BUILD)/tests/bench/air
BENCH_B := $(BUILD)/tests/bench/book
# Cutting instances for `make bench` (tests/bench/layouts.c): the data is not part of the project.
BENCH   ?=
DEMOS   := luthier-booth paddle-bench

.PHONY: all
all: have-build
	@$(SUBMAKE) program

# ---- what must be on the machine ---------------------------------------------------------------

.PHONY: have-build need-build need-test
have-build:
	@sh tests/needs list build
need-build:
	@sh tests/needs install build
need-test:
	@sh tests/needs install build test

# ---- the program -------------------------------------------------------------------------------

.PHONY: program everything
program: $(PROGRAM)
everything: $(PROGRAM) $(TEST_X) $(ASK_X) $(BENCH_X) $(BENCH_L) $(BENCH_A) $(BENCH_B)

$(PROGRAM): $(BUILD)/compiler/main.o $(LIB)
	$(SAY) "  cc    $@"
	$(Q)$(CC) $(OPT) $(SAN) $(LDFLAGS) -o $@ $^ $(LDLIBS)
$(BUILD)/compiler/main.o: FLAGS += -DWINDCHEST_STOCK_DIR='"$(STOCK_HERE)"'

$(LIB): $(LIB_O) $(GRAM_O)
	@rm -f $@
	$(SAY) "  ar    $@"
	$(Q)ar rcs $@ $^

$(BUILD)/%.o: %.c
	@mkdir -p $(@D)
	$(SAY) "  cc    $<"
	$(Q)$(CC) $(FLAGS) -MMD -MP -c -o $@ $<

$(BUILD)/grammar/plan.tab.c $(BUILD)/grammar/plan.tab.h &: grammar/plan.y
	@mkdir -p $(@D)
	$(SAY) "  bison $<"
	$(Q)bison -Werror --header=$(BUILD)/grammar/plan.tab.h -o $(BUILD)/grammar/plan.tab.c $<
$(BUILD)/grammar/plan.yy.c $(BUILD)/grammar/plan.yy.h &: grammar/plan.l
	@mkdir -p $(@D)
	$(SAY) "  flex  $<"
	$(Q)flex --header-file=$(BUILD)/grammar/plan.yy.h -o $(BUILD)/grammar/plan.yy.c $<
$(BUILD)/grammar/plan.tab.o: $(BUILD)/grammar/plan.tab.c $(BUILD)/grammar/plan.yy.h
	$(SAY) "  cc    $<"
	$(Q)$(CC) $(FLAGS) -Wno-conversion -Wno-sign-conversion -MMD -MP -c -o $@ $<
$(BUILD)/grammar/plan.yy.o: $(BUILD)/grammar/plan.yy.c $(BUILD)/grammar/plan.tab.h
	$(SAY) "  cc    $<"
	$(Q)$(CC) $(FLAGS) -Wno-conversion -Wno-sign-conversion -Wno-unused-function -MMD -MP -c -o $@ $<
$(filter $(BUILD)/grammar/%,$(LIB_O)): | $(if $(GRAM_O),$(BUILD)/grammar/plan.tab.h $(BUILD)/grammar/plan.yy.h)

# The folder itself, too: a page may have gone.
$(BUILD)/compiler/rule_pages_data.c: compiler/rule_pages.awk docs/rules $(PAGES)
	@mkdir -p $(@D)
	$(SAY) "  awk   docs/rules"
	$(Q)LC_ALL=C awk -f compiler/rule_pages.awk $(PAGES) >$@.part && mv $@.part $@
$(BUILD)/compiler/rule_pages_data.o: $(BUILD)/compiler/rule_pages_data.c
	$(SAY) "  cc    $<"
	$(Q)$(CC) $(FLAGS) -MMD -MP -c -o $@ $<

# ---- tests -------------------------------------------------------------------------------------

$(BUILD)/tests/%: tests/%.c $(LIB)
	@mkdir -p $(@D)
	$(SAY) "  cc    $@"
	$(Q)$(CC) $(FLAGS) $(LDFLAGS) -MMD -MP -o $@ $< $(LIB) -lcmocka $(LDLIBS)
$(BENCH_L) $(BENCH_A) $(BENCH_B): $(BUILD)/tests/bench/%: tests/bench/%.c $(LIB)
	@mkdir -p $(@D)
	$(SAY) "  cc    $@"
	$(Q)$(CC) $(FLAGS) $(LDFLAGS) -o $@ $< $(LIB) $(LDLIBS)
$(BENCH_X): tests/bench/measure.c
	@mkdir -p $(@D)
	$(SAY) "  cc    $@"
	$(Q)$(CC) $(FLAGS) -o $@ $<

.PHONY: unit test
unit: $(TEST_X)
	@for t in $(TEST_X); do echo "== $$t"; $$t || exit 1; done

test: need-test
	@MAKE='$(MAKE)' tests/run

# ---- for people --------------------------------------------------------------------------------

.PHONY: demo pictures bench
demo: need-build
	@$(SUBMAKE) program
	@mkdir -p $(BUILD)/demo
	@for plan in $(DEMOS); do \
		echo "$(PROGRAM) compile plans/$$plan.plan -o $(BUILD)/demo/$$plan"; \
		$(PROGRAM) compile plans/$$plan.plan -o $(BUILD)/demo/$$plan || exit 1; \
	done
	@for plan in $(DEMOS); do ls -l $(BUILD)/demo/$$plan/book.pdf || exit 1; done

pictures: demo
	@docs/pages/draw $(BUILD)/demo

bench: have-build
	@$(SUBMAKE) program $(BENCH_X) $(BENCH_L) $(BENCH_A) $(BENCH_B)
	@sh tests/bench/run $(BENCH_X) $(PROGRAM) $(DEMOS)
	@$(BENCH_B) plans $(DEMOS:%=plans/%.plan)
	@$(BENCH_A) 10000 plans $(DEMOS:%=plans/%.plan)
	@sh tests/bench/cutting $(BENCH_L) $(BENCH)

.PHONY: install clean format lint FORCE
install: have-build
	@$(SUBMAKE) $(BUILD)/installed/windchest
	install -d '$(DESTDIR)$(PREFIX)/bin' '$(DESTDIR)$(PREFIX)/share/windchest/stock' \
		'$(DESTDIR)$(PREFIX)/share/doc/windchest' '$(DESTDIR)$(PREFIX)/share/man/man1'
	install -m 755 $(BUILD)/installed/windchest '$(DESTDIR)$(PREFIX)/bin/windchest'
	install -m 644 $(wildcard plans/stock/*.plan) '$(DESTDIR)$(PREFIX)/share/windchest/stock'
	install -m 644 README.md LICENSE $(wildcard docs/*.md) '$(DESTDIR)$(PREFIX)/share/doc/windchest'
	install -m 644 docs/windchest.1 '$(DESTDIR)$(PREFIX)/share/man/man1'

$(BUILD)/installed/windchest: $(BUILD)/installed/main.o $(LIB)
	$(SAY) "  cc    $@"
	$(Q)$(CC) $(OPT) $(SAN) $(LDFLAGS) -o $@ $^ $(LDLIBS)
# Compiled anew each time: the prefix may be another one.
$(BUILD)/installed/main.o: compiler/main.c FORCE
	@mkdir -p $(@D)
	$(SAY) "  cc    $<"
	$(Q)$(CC) $(FLAGS) -DWINDCHEST_STOCK_DIR='"$(STOCK_INSTALLED)"' -c -o $@ $<
FORCE:

clean:
	rm -rf $(BUILD) build build-asan

SOURCES = $(wildcard runtime/*/*.[ch] compiler/*.[ch] grammar/*.[ch] tests/*/*.[ch])
format:
	clang-format -i $(SOURCES)
lint:
	clang-format --dry-run -Werror $(SOURCES)
	@if command -v clang-tidy >/dev/null; then \
		clang-tidy --quiet $(LIB_C) -- $(CSTD) -I. -I$(BUILD); \
	else \
		echo "clang-tidy is not installed: only the format was checked"; \
	fi

-include $(shell find $(BUILD) -name '*.d' -type f 2>/dev/null)
