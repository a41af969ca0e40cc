/* What the resolving stages share: the names of the plan, what stands behind them, and the values
 * worked out so far. Private to compiler/ (resolve*.c, eval.c, words.c, names.c).
 * Ownership: everything lives in ctx.mem; definitions point into the syntax tree. */
#ifndef COMPILER_CONTEXT_H
#define COMPILER_CONTEXT_H
#include <stdbool.h>

#include "compiler/syntax.h"
#include "runtime/base/diag.h"
#include "runtime/engine/model.h"

/* ---- names ---------------------------------------------------------------------------------- */

#define SYM_KINDS(X)                                                                                                   \
	X(LET, "a named value")                                                                                        \
	X(STOCK, "stock")                                                                                              \
	X(PART, "a part")                                                                                              \
	X(PATTERN, "openings")                                                                                         \
	X(TOOL, "a tool")                                                                                              \
	X(SPACE, "a space")                                                                                            \
	X(AIR, "a way for the air")
typedef enum sym_kind {
#define X(name, spoken) SYM_##name,
	SYM_KINDS(X)
#undef X
		SYM_KIND_COUNT
} sym_kind;
extern const char *const SYM_SPOKEN[SYM_KIND_COUNT];

typedef struct sym {
	const char *name;
	sym_kind kind;
	span at;
	void *def; /* let_def, stock_def, part_def, pattern_def, tool_def, space index, air_def */
	struct sym *next;
} sym;

enum { NAME_BUCKETS = 256 };
typedef struct names {
	sym *bucket[NAME_BUCKETS];
	LIST(sym *) all;
} names;

typedef LIST(const syn_line *) line_list;

/* ---- definitions ------------------------------------------------------------------------------ */

typedef struct let_def {
	const char *name;
	span at;
	const syn_line *line;
	const syn_expr *value; /* what counts: the plan's or that of --set */
	bool overridden, done;
	quant result;
	bool bad;
} let_def;

typedef struct stock_def {
	const char *name;
	span at;
	const syn_line *line;
	model_ref row;
} stock_def;

typedef struct tool_def {
	const char *name;
	span at;
	const syn_line *line;
	model_ref row;
} tool_def;

typedef enum hold_kind {
	HOLD_LOW,
	HOLD_HIGH,
	HOLD_CENTRE,
	HOLD_SIZE,
	HOLD_PAIR,
	HOLD_SPREAD,
	HOLD_PITCH,
	HOLD_CORNER
} hold_kind;

/* One line of a part's block that fixes something along one axis. */
typedef struct hold {
	hold_kind kind;
	const syn_line *line;
	bool axis_known;
	axis along;
} hold;

typedef enum axis_state { AXIS_OPEN, AXIS_DONE, AXIS_FAILED } axis_state;

typedef struct part_def {
	const char *name;
	span at;
	const syn_line *line;
	model_part_kind kind;
	stock_def *stock;
	struct part_def *mirror; /* of which it is the mirror image */
	axis mirror_axis;
	LIST(hold) holds;
	bool structure_done, structure_bad, structure_busy;
	axis thick_axis, long_axis; /* after structure */
	bool size_known[3];	    /* by stock */
	rat size[3];
	uint32_t n; /* pieces, once expanded */
	bool expanded;
	axis_state state[3];
	rat *lo[3], *hi[3]; /* [n] each, when state is DONE */
	span face_at[6];
	model_ref first; /* row of the first piece in the model */
	bool way_known;	 /* gaps: thick_axis is the way the air goes through, and no guess */
} part_def;

typedef struct pattern_def {
	const char *name;
	span at;
	const syn_line *line;
	model_ref row;
	bool done, bad;
} pattern_def;

typedef struct air_def { /* tubes, duct, leak: a branch that the air block declares */
	const char *name;
	span at;
	const syn_line *line;
	model_air_kind kind;
	bool used;
} air_def;

/* What is being worked out now: to find circles. */
typedef struct busy {
	const void *key;
	const char *name;
	span at;
	const struct busy *outer;
} busy;

typedef struct ctx {
	arena *mem;
	const source_set *sources;
	diags *diags;
	const syn_plan *plan;
	const syn_file *sets; /* lines `let NAME = VALUE` from --set, or NULL */
	model *m;
	names names;
	const busy *busy;
	unsigned depth;
	LIST(part_def *) parts; /* in the order written */
	LIST(pattern_def *) patterns;
	LIST(const syn_line *) joins;
	const syn_line *header, *air;
	line_list air_lines;
	LIST(const syn_line *) steps, requires, allows, tunes;
	bool air_solved;      /* members of the air may be asked for */
	LIST(diag *) unknown; /* one for each name that nobody knows; `unknown_names` beside it */
	LIST(const char *) unknown_names;
	bool cover_failed;	    /* a `cover` was reported */
	LIST(const char *) excused; /* names of lines that were reported: nobody complains of them */
	bool block_missing;	    /* a block was not opened: its lines stand outside */
	int missing;		    /* its block_kind */
	bool air_failed;	    /* a way was reported, or the air has no answer: what asks for it keeps silent */
	bool use_failed;	    /* a used file is missing: names that nobody knows may have stood there */
	bool parts_done;
	bool joint_failed; /* a joint was reported: what it would have held seems to float */
} ctx;

sym *names_find(const names *n, const char *name);
/* Adds; a name that is taken already is an error that shows the first place (and gives NULL). */
sym *names_add(ctx *c, const char *name, sym_kind kind, span at, void *def);
/* "unknown name" with the nearest known one as help. */
void names_unknown(ctx *c, const char *name, span at, const char *what);

/* ---- vocabulary: which words a block takes, and with what behind them ------------------------- */

typedef enum block_kind {
	BLOCK_FILE,
	BLOCK_LIBRARY,
	BLOCK_PLAN,
	BLOCK_SHEET,
	BLOCK_BAR,
	BLOCK_SCREW,
	BLOCK_COLLAR,
	BLOCK_MEDIA,
	BLOCK_FILTER,
	BLOCK_FAN,
	BLOCK_ITEM,
	BLOCK_GASKET,
	BLOCK_FINISH,
	BLOCK_CURVE,
	BLOCK_CABINET,
	BLOCK_PART,
	BLOCK_OPENINGS,
	BLOCK_JOIN,
	BLOCK_TOOL,
	BLOCK_AIR,
	BLOCK_TUBES,
	BLOCK_DUCT,
	BLOCK_STEP,
	BLOCK_NONE,
	BLOCK_KINDS
} block_kind;

/* Checks one line against the words of the block: known word, right clauses, a block where one
 * belongs. Reports and gives false when the line is of no use. */
bool words_check(ctx *c, block_kind block, const syn_line *line);
/* Checks a whole block, each line, and that words which may stand once do. The usable lines go to
 * *good. `inside` says what block it is, for messages ("a sheet's block"). */
void words_check_block(ctx *c, block_kind block, const syn_line *holder, line_list *good);
/* The nth clause with that link (from 0), or NULL. */
const syn_clause *line_clause(const syn_line *line, const char *link, size_t nth);
/* Argument i of the clause with that link, or NULL. link NULL: what follows the word itself. */
syn_expr *line_arg(const syn_line *line, const char *link, size_t i);
size_t line_args(const syn_line *line, const char *link);
/* The first line of a block with that word, checked or not; NULL when there is none. */
const syn_line *line_in_block(const syn_line *holder, const char *word);
const syn_line *lines_find(const line_list *lines, const char *word);
bool line_is(const syn_line *line, const char *word);

/* ---- values ------------------------------------------------------------------------------------ */

typedef enum value_kind {
	VALUE_BAD,
	VALUE_QUANT,
	VALUE_TEXT,
	VALUE_PAIR,
	VALUE_PART,
	VALUE_STOCK,
	VALUE_PATTERN,
	VALUE_TOOL,
	VALUE_SPACE,
	VALUE_AIR
} value_kind;

typedef struct value {
	value_kind kind;
	quant q;
	quant second;	  /* PAIR: q and second */
	const char *text; /* TEXT */
	part_def *part;	  /* PART; also QUANT that is a face of a part */
	bool is_face;
	face face;
	stock_def *stock;
	pattern_def *pattern;
	tool_def *tool;
	air_def *air;
	model_ref row;
} value;

value eval(ctx *c, const syn_expr *e);
/* With the dimension asked for; reports what it found instead. false: reported (or was bad before). */
bool eval_quant(ctx *c, const syn_expr *e, dim wanted, quant *out);
bool eval_length(ctx *c, const syn_expr *e, rat *mm);
bool eval_si(ctx *c, const syn_expr *e, dim wanted, double *si);
bool eval_count(ctx *c, const syn_expr *e, int64_t least, int64_t most, int64_t *out);
bool eval_money(ctx *c, const syn_expr *e, int64_t *cents);
const char *eval_text(ctx *c, const syn_expr *e);					 /* NULL: reported */
part_def *eval_part(ctx *c, const syn_expr *e);						 /* NULL: reported */
stock_def *eval_stock(ctx *c, const syn_expr *e, unsigned kinds_mask, const char *what); /* 1u << STOCK_… */
tool_def *eval_tool(ctx *c, const syn_expr *e);
/* A face of a part, written part.face. */
bool eval_face(ctx *c, const syn_expr *e, part_def **part, face *f);
/* A bare name that is one word, such as `width`: NULL when it is something else. */
const char *expr_word(const syn_expr *e);
bool word_axis(const char *word, axis *out);
bool word_face(const char *word, face *out);
bool eval_axis(ctx *c, const syn_expr *e, axis *out); /* reports */
bool eval_side(ctx *c, const syn_expr *e, face *out); /* a bare face word; reports */
/* The text of an expression as written. */
const char *expr_source(ctx *c, const syn_expr *e);

/* Circle guard: false (and reported) when key is being worked out already. */
bool busy_enter(ctx *c, busy *b, const void *key, const char *name, span at);
void busy_leave(ctx *c, const busy *b);

/* ---- stages ------------------------------------------------------------------------------------- */

void resolve_stocks(ctx *c);
bool stock_member(ctx *c, stock_def *s, const char *member, span at, value *out);
bool stock_length(ctx *c, stock_def *s, const char *word, size_t nth, rat *mm); /* quiet when not given */
void tools_resolve(ctx *c);

void part_declare(ctx *c, const syn_line *line);
void parts_resolve(ctx *c);					     /* places all, fills model.parts */
bool part_face_value(ctx *c, part_def *p, face f, span at, rat *mm); /* of the whole group */
bool part_structure(ctx *c, part_def *p);

void patterns_resolve(ctx *c);
void joints_resolve(ctx *c);
void features_resolve(ctx *c); /* features, work faces, masses */
void air_declare(ctx *c);      /* names of the air block */
void air_resolve(ctx *c);
void work_resolve(ctx *c);
void rules_resolve(ctx *c); /* `allow` and `tune` lines */
void requires_resolve(ctx *c);				/* after the air is solved */
bool air_member(ctx *c, const syn_expr *e, value *out); /* NAME.flow.dirty … */
/* A group's name to its model rows. */
void part_rows(ctx *c, const syn_expr *e, bool made_only, void (*each)(ctx *c, model_ref row, void *data), void *data);
#endif
