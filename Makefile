# Windchest: a declarative build-plan compiler for shop furniture that moves air.
# Every *.c in the tree's folders is found by itself: to add a module or a test, add the file.

CC      ?= gcc
CSTD    := -std=c11 -D_POSIX_C_SOURCE=200809L
WARN    := -Wall -Wextra -Wpedantic -Wshadow -Wconversion -Werror -Werror=implicit-function-declaration
OPT     ?= -O2 -g
SAN     ?=
CFLAGS  += $(CSTD) $(WARN) $(OPT) $(SAN) -I. -I$(BUILD)
LDLIBS  := -lhpdf -ljansson -lm
BUILD   ?= build
PREFIX  ?= /usr/local
DESTDIR ?=

LIB_C   := $(sort $(wildcard runtime/*/*.c) $(filter-out compiler/main.c,$(wildcard compiler/*.c)) \
           $(filter-out %.yy.c %.tab.c,$(wildcard grammar/*.c)))
LIB_O   := $(LIB_C:%.c=$(BUILD)/%.o)
GRAM_O  := $(if $(wildcard grammar/plan.y),$(BUILD)/grammar/plan.tab.o $(BUILD)/grammar/plan.yy.o)
LIB     := $(BUILD)/libwindchest.a
PROGRAM := $(BUILD)/windchest

TEST_C  := $(sort $(wildcard tests/unit/test_*.c tests/published/test_*.c))
TEST_X  := $(TEST_C:%.c=$(BUILD)/%)

.PHONY: all
all: $(PROGRAM)

$(PROGRAM): $(BUILD)/compiler/main.o $(LIB)
	$(CC) $(OPT) $(SAN) -o $@ $^ $(LDLIBS)

$(LIB): $(LIB_O) $(GRAM_O)
	rm -f $@
	ar rcs $@ $^

$(BUILD)/%.o: %.c
	@mkdir -p $(@D)
	$(CC) $(CFLAGS) -MMD -MP -c -o $@ $<

$(BUILD)/grammar/plan.tab.c $(BUILD)/grammar/plan.tab.h: grammar/plan.y
	@mkdir -p $(@D)
	bison -Werror --header=$(BUILD)/grammar/plan.tab.h -o $(BUILD)/grammar/plan.tab.c $<
$(BUILD)/grammar/plan.yy.c $(BUILD)/grammar/plan.yy.h: grammar/plan.l
	@mkdir -p $(@D)
	flex --header-file=$(BUILD)/grammar/plan.yy.h -o $(BUILD)/grammar/plan.yy.c $<
$(BUILD)/grammar/plan.tab.o: $(BUILD)/grammar/plan.tab.c $(BUILD)/grammar/plan.yy.h
	$(CC) $(CFLAGS) -Wno-conversion -Wno-sign-conversion -MMD -MP -c -o $@ $<
$(BUILD)/grammar/plan.yy.o: $(BUILD)/grammar/plan.yy.c $(BUILD)/grammar/plan.tab.h
	$(CC) $(CFLAGS) -Wno-conversion -Wno-sign-conversion -Wno-unused-function -MMD -MP -c -o $@ $<
$(filter $(BUILD)/grammar/%,$(LIB_O)): | $(if $(GRAM_O),$(BUILD)/grammar/plan.tab.h $(BUILD)/grammar/plan.yy.h)

$(BUILD)/tests/%: tests/%.c $(LIB)
	@mkdir -p $(@D)
	$(CC) $(CFLAGS) -MMD -MP -o $@ $< $(LIB) -lcmocka $(LDLIBS)

.PHONY: unit
unit: $(TEST_X)
	@for t in $(TEST_X); do echo "== $$t"; $$t || exit 1; done

.PHONY: clean
clean:
	rm -rf $(BUILD)

-include $(shell find $(BUILD) -name '*.d' 2>/dev/null)
