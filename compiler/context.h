/* What the resolving stages share: the names of the plan, what stands behind them, and the values
 * worked out so far. Private to compiler/ (resolve*.c, eval.c, words.c, names.c).
 * Ownership: everything lives in ctx.mem; definitions point into the syntax tree. */
#ifndef COMPILER_CONTEXT_H
#define COMPILER_CONTEXT_H
#include <stdbool.h>

#include "compiler/example.h"
#include "compiler/resolve.h"
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
	X(AIR, "a way for the air")                                                                                    \
	X(ASSEMBLY, "an assembly")                                                                                     \
	X(PLACE, "placed here")                                                                                        \
	X(SERIES, "a name of a `repeat`")                                                                              \
	X(EXTRA, "an extra piece")                                                                                     \
	X(CABINET, "the cabinet")
typedef enum sym_kind {
#define X(name, spoken) SYM_##name,
	SYM_KINDS(X)
#undef X
		SYM_KIND_COUNT
} sym_kind;
extern const char *const SYM_SPOKEN[SYM_KIND_COUNT];

typedef struct inst inst;
typedef struct sym {
	const char *name;
	sym_kind kind;
	span at;
	void *def; /* let_def, stock_def, part_def, pattern_def, tool_def, space index, air_def, assembly_def,
		      place_def, series_def */
	inst *in;
	struct sym *next;
} sym;

typedef LIST(const syn_line *) line_list;

/* ---- instances -------------------------------------------------------------------------------- */

typedef enum axis_state { AXIS_OPEN, AXIS_DONE, AXIS_FAILED } axis_state;

/* Where names stand: the plan itself (with its cabinet), a placed assembly, or one turn of a `repeat`. Lengths are
 * worked out in the coordinates of the instance that they are written in; each axis of an instance runs along the same
 * axis of its parent, or against it when it is a mirror image. The syntax tree is shared by all instances. */
struct inst {
	inst *parent;	    /* in which it is placed; NULL for the plan */
	inst *outer;	    /* where names go on to be looked for: the parent of a turn, the plan for an assembly */
	const char *name;   /* as the plan says it: "wing[2]"; NULL for the plan */
	const char *prefix; /* of its names in the model: "", "wing.2." */
	const char *suffix; /* behind them: "", ".3" in the third turn of a `repeat` without a name */
	diag_within within; /* for messages */
	unsigned depth;	    /* of parents */
	sym **bucket;
	struct place_def *place; /* NULL for the plan */
	uint32_t number;	 /* which of the place's, from 0 */
	bool turned[3];		 /* mirrored along the axis, against the parent */
	axis_state state[3];
	rat offset[3];		       /* parent's coordinate = offset + own, or offset - own when turned */
	struct part_def *box;	       /* what stands in it, as one place; NULL until asked for */
	LIST(struct part_def *) parts; /* of its own and of all turns and instances within */
	LIST(struct when_def *) whens; /* in order; the first `whens_done` are settled */
	size_t whens_done;
	LIST(struct place_def *) places;
	bool settling, complete;
	bool parts_failed; /* the condition of a `when` was reported: what stands here is not known */
};

/* ---- definitions ------------------------------------------------------------------------------ */

typedef struct let_def {
	const char *name;
	span at;
	const syn_line *line;
	const syn_expr *value; /* what counts: the plan's or that of --set */
	inst *in, *value_in; /* where the line stands; where the value was written: differs when an assembly takes it */
	bool overridden, done;
	bool taken;	      /* by an assembly: `line` is its `takes` */
	struct value *result; /* when done and not bad: a quantity, a text or a truth */
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
	HOLD_STACK,
	HOLD_CORNER,
	HOLD_COVER /* over openings or a gap: one for each direction of their field */
} hold_kind;

/* One line of a part's block that fixes something along one axis. */
typedef struct hold {
	hold_kind kind;
	const syn_line *line;
	bool axis_known, second; /* COVER: the second of the two */
	axis along;
} hold;

typedef struct part_def {
	const char *name;
	const char *path; /* in the model */
	inst *in;
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
	/* A view of other parts, not one itself: */
	struct part_def *piece_of; /* `ribs[2]`: piece number `piece` (from 0) of that one */
	uint32_t piece;
	bool is_set; /* the box round all of `set`: a placed assembly, the parts of a `repeat` */
	LIST(struct part_def *) set;
	struct place_def *place;       /* what places an assembly: its holds, and the box of each instance */
	LIST(struct part_def *) views; /* pieces of this one that were asked for */
} part_def;

typedef struct pattern_def {
	const char *name;
	const char *path; /* in the model */
	inst *in;
	span at;
	const syn_line *line;
	model_ref row;
	bool done, bad;
} pattern_def;

typedef struct extra_def {
	const char *name;
	span at;
	const syn_line *line;
	model_ref first; /* its first row of model.parts, NONE when it was reported */
	uint32_t n;
} extra_def;

typedef struct air_def { /* tubes, duct, leak: a branch that the air block declares */
	const char *name;
	span at;
	const syn_line *line;
	model_air_kind kind;
	bool used;
} air_def;

typedef struct join_def {
	const syn_line *line;
	inst *in;
} join_def;

typedef struct assembly_def {
	const char *name;
	span at;
	const syn_line *line;
	line_list lines; /* the usable ones of its block */
	bool read, bad;
} assembly_def;

/* `place NAME : ASSEMBLY`, or a `repeat` with a name. */
typedef struct place_def {
	const char *name; /* NULL: a `repeat` without a name */
	span at;
	const syn_line *line;
	inst *in;
	assembly_def *assembly;	  /* NULL for a `repeat` */
	part_def *box;		  /* what holds it; NULL for a `repeat` */
	struct place_def *mirror; /* of which it is the mirror image */
	axis mirror_axis;
	int block;     /* of a `repeat`: block_kind of what stands in it */
	bool shares;   /* an axis that nothing holds is the parent's: it takes parts, which hold what stands in it */
	bool counted;  /* its instances are told apart by a number */
	int64_t first; /* the number of the first one */
	LIST(inst *) items;
	part_def *all; /* the box round all of them, once asked for */
	bool expanded, bad;
} place_def;

/* `when … { } otherwise { }`, or a `repeat` without a name: names come of it when it is settled. */
typedef struct when_def {
	LIST(const syn_line *) branches; /* the `when`, then its `otherwise` lines; a `repeat` stands alone */
	int block;			 /* block_kind: which words stand in it */
	bool settled;
} when_def;

/* Names in a branch that was not taken, for messages. */
typedef struct left_out {
	const char *name;
	span at;
	const syn_line *when;
} left_out;

/* A name in a `repeat` that has none itself: one definition for each turn. */
typedef struct series_def {
	const syn_line *line; /* the `repeat` */
	LIST(const sym *) turns;
	LIST(int64_t) numbers;
	part_def *box;
} series_def;

/* A value that a text of the model waits for, and where it was written. */
typedef struct late_value {
	const syn_expr *e;
	inst *in;
} late_value;

/* What is being worked out now: to find circles. */
typedef struct busy {
	const void *key;
	const char *name;
	span at;
	bool waits; /* c->may_wait outside of it */
	const struct busy *outer;
} busy;

typedef struct ctx {
	arena *mem;
	const source_set *sources;
	diags *diags;
	const syn_plan *plan;
	const syn_file *sets;			     /* lines `let NAME = VALUE` from --set, or NULL */
	const shipped_names *(*shipped)(void *with); /* of resolve_options, or NULL */
	void *shipped_with;
	line_list sets_used; /* those that gave an assembly what it takes */
	model *m;
	inst *plan_in;	 /* the plan itself */
	inst *in;	 /* the instance that is worked in: change it with inst_enter() */
	LIST(sym *) all; /* every name of every instance, in order */
	LIST(left_out) left_out;
	LIST(assembly_def *) assemblies;
	LIST(place_def *) places; /* of all instances */
	size_t n_insts;
	bool too_large; /* a limit was reported: nothing more is placed */
	const busy *busy;
	unsigned depth;
	LIST(part_def *) parts; /* in the order written */
	LIST(pattern_def *) patterns;
	LIST(extra_def *) extras;
	LIST(model_part) extra_rows;
	LIST(join_def) joins;
	const syn_line *header, *air;
	line_list air_lines, header_lines;
	LIST(const syn_line *) steps, requires, allows, tunes;
	known_stage known;	 /* what may be asked for now */
	bool lacks[KNOWN_KINDS]; /* that stage could not be worked out, as was reported: who asks keeps silent */
	bool may_wait;		 /* the value is not needed now: one of a later stage need not be reported */
	bool waits;		 /* such a value was met */
	LIST(late_value) slots;	 /* values that texts of the model wait for */
	bool deep_told;		 /* a chain that is too long was reported */
	LIST(diag *) unknown;	 /* one for each name that nobody knows; `unknown_names` beside it */
	LIST(const char *) unknown_names;
	bool cover_failed;	    /* a `cover` was reported */
	LIST(const char *) excused; /* names of lines that were reported: nobody complains of them */
	bool block_missing;	    /* a block was not opened: its lines stand outside */
	int missing;		    /* its block_kind */
	bool parts_failed;	    /* a block or a condition that was reported: which parts there are is not known */
	bool work_failed;	    /* a step was reported: what it takes up is not known */
	bool choice_failed;	    /* a condition in the air was reported: which lines stand is not known */
	bool air_failed;	    /* a way was reported, or the air has no answer: what asks for it keeps silent */
	bool use_failed;	    /* a used file is missing: names that nobody knows may have stood there */
	bool parts_done;
	bool parts_read;   /* what holds each part is known: their places may be asked for */
	bool placing;	   /* parts are being placed: who waits for the whole plan then waits for itself */
	bool joint_failed; /* a joint was reported: what it would have held seems to float */
} ctx;

/* Works in another instance from now on; gives the one before, to be entered again. */
inst *inst_enter(ctx *c, inst *in);
/* A name as the model has it: "wing.2.shelf". */
const char *inst_path(ctx *c, const inst *in, const char *name);
/* A length along an axis from the coordinates of one instance into those of another. False: reported. */
bool inst_convert(ctx *c, inst *from, inst *to, axis a, span at, rat own, rat *mm);
/* From coordinates of the instance to those of the plan, and a face of it as the plan sees it. False: reported. */
bool inst_to_plan(ctx *c, inst *in, axis a, rat own, span at, rat *mm);
face inst_face_to_plan(const inst *in, face f);
/* What a name leads to: its first word is looked for from the current instance outwards, the others within what the
 * word before them is, as far as that is an instance. */
typedef struct named {
	const sym *s;
	inst *inst;	  /* one instance of a PLACE; NULL: all of them */
	bool piece_known; /* `ribs[2]` of a PART */
	int64_t piece;	  /* from 1 */
	bool whole;	  /* `wing.whole`: the instance and none of its names */
	size_t used;	  /* words of the name that led there */
} named;
/* False: reported. */
bool names_walk(ctx *c, const syn_expr *e, named *out);
/* The name in the model of what was found. */
const char *named_path(ctx *c, const named *n);
/* From the current instance outwards. */
sym *names_find(ctx *c, const char *name);
/* Adds to the current instance; a name that is taken already is an error that shows the first place (and gives NULL).
 */
sym *names_add(ctx *c, const char *name, sym_kind kind, span at, void *def);
/* What a name may stand for in its place: bits of sym_kind, and of model_stock_kind when it is stock; 0: anything. */
typedef struct names_wanted {
	unsigned kinds, stocks;
} names_wanted;
#define NAMES_ANY ((names_wanted){0, 0})
#define NAMES_PART ((names_wanted){1u << SYM_PART | 1u << SYM_PLACE | 1u << SYM_SERIES, 0})
/* "unknown name" with the nearest known one that is wanted as help, or the shipped file that declares it. `what`: such
 * as "a tool belongs here", or NULL. */
void names_unknown(ctx *c, const char *name, span at, const char *what, names_wanted wanted);

/* Settles what the names of an instance depend on, in the order written. */
void scope_settle(ctx *c, inst *in);
/* The instances of a placed assembly or of a `repeat` with a name. False: reported. */
bool place_expand(ctx *c, place_def *p, span at);
/* Everything that stands in the instance is declared, whatever depth. */
void inst_complete(ctx *c, inst *in);
/* What stands in an instance, in all instances of a place, in the turns of a `repeat`, as one place. */
part_def *inst_box(ctx *c, inst *in);
part_def *place_box(ctx *c, place_def *p);
part_def *series_box(ctx *c, const sym *s);
uint32_t part_pieces(ctx *c, part_def *p); /* how many it has; 0: reported */
part_def *part_piece(ctx *c, part_def *whole, uint32_t piece);

/* ---- vocabulary: which words a block takes, and with what behind them ------------------------- */

typedef enum block_kind {
	BLOCK_FILE,
	BLOCK_LIBRARY,
	BLOCK_PLAN,
	BLOCK_SHEET,
	BLOCK_BAR,
	BLOCK_PIPE,
	BLOCK_SIZE,
	BLOCK_OFFCUT,
	BLOCK_SCREW,
	BLOCK_COLLAR,
	BLOCK_GROMMET,
	BLOCK_CLAMP,
	BLOCK_MEDIA,
	BLOCK_FILTER,
	BLOCK_FAN,
	BLOCK_ITEM,
	BLOCK_GASKET,
	BLOCK_FINISH,
	BLOCK_CURVE,
	BLOCK_CABINET,
	BLOCK_PART,
	BLOCK_EXTRA,
	BLOCK_OPENINGS,
	BLOCK_OUTLINE,
	BLOCK_JOIN,
	BLOCK_TOOL,
	BLOCK_AIR,
	BLOCK_TUBES,
	BLOCK_DUCT,
	BLOCK_STEP,
	BLOCK_ASSEMBLY,
	BLOCK_PLACE,
	BLOCK_WHEN, /* takes what stands around it */
	BLOCK_NONE,
	BLOCK_KINDS
} block_kind;

/* Checks one line against the words of the block: known word, right clauses, a block where one
 * belongs. Reports and gives false when the line is of no use. */
bool words_check(ctx *c, block_kind block, const syn_line *line);
/* Checks a whole block, each line, and that words which may stand once do. The usable lines go to
 * *good. `inside` says what block it is, for messages ("a sheet's block"). */
void words_check_block(ctx *c, block_kind block, const syn_line *holder, line_list *good);
/* Checks all lines of a block and of the blocks in it, where nothing else will: in a part of the plan left out. */
void words_check_all(ctx *c, block_kind block, const syn_line *holder);
/* The names that a reported line may have declared are missed nowhere. */
bool words_excuse(ctx *c, const syn_line *line);
/* Was it declared by a line that was reported? */
bool names_excused(const ctx *c, const char *name);
/* What somebody from the shop may write instead of one of the words that are known there, "weight" for "mass"; NULL:
 * none of them. */
const char *words_other(const char *word, const char *const *known, size_t n);
/* "did you mean …?" with that one or the nearest, else all of them behind `list`. */
void words_choice(ctx *c, diag *g, const char *word, const char *const *known, size_t n, const char *list);
bool words_known(block_kind block, const char *word);
size_t words_list(block_kind block, const char **out, size_t most);
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
	VALUE_AIR,
	VALUE_PLACE, /* a placed assembly, turns of a `repeat`: `part` is the box round all that stands in them */
	VALUE_TRUTH,
	VALUE_CABINET
} value_kind;

typedef struct value {
	value_kind kind;
	quant q;
	quant second;	  /* PAIR: q and second */
	const char *text; /* TEXT */
	bool truth;	  /* TRUTH: yes or no */
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
/* A text, or an expression that gives one; what it holds must be known now. NULL: reported. */
const char *eval_text(ctx *c, const syn_expr *e);
/* A text written out: a name that others refer to, which holds no values. NULL: reported. */
const char *eval_plain_text(ctx *c, const syn_expr *e);
/* A text that is only printed: it may hold values that are known last. Those are put in by words_fill(). */
const char *eval_words(ctx *c, const syn_expr *e);
/* Puts the values that texts of the model wait for into them. */
void words_fill(ctx *c);
bool eval_truth(ctx *c, const syn_expr *e, bool *out); /* reports */
part_def *eval_part(ctx *c, const syn_expr *e);	       /* NULL: reported */
/* A part, or a placed assembly as one place. */
part_def *eval_place(ctx *c, const syn_expr *e);
stock_def *eval_stock(ctx *c, const syn_expr *e, unsigned kinds_mask, const char *what); /* 1u << STOCK_… */
tool_def *eval_tool(ctx *c, const syn_expr *e);
/* A face of a part, written part.face. */
bool eval_face(ctx *c, const syn_expr *e, part_def **part, face *f);
/* The same where the expression may be something else: false without a report, unless the name itself is unknown. */
bool expr_face(ctx *c, const syn_expr *e, part_def **part, face *f);
/* A bare name that is one word, such as `width`: NULL when it is something else. */
const char *expr_word(const syn_expr *e);
/* Which of some bare words stands there; -1: reported, with all of them or the near one. */
int eval_choice(ctx *c, const syn_expr *e, const char *const *words, size_t n, const char *what);
bool word_axis(const char *word, axis *out);
bool word_face(const char *word, face *out);
bool eval_axis(ctx *c, const syn_expr *e, axis *out); /* reports */
bool eval_side(ctx *c, const syn_expr *e, face *out); /* a bare face word; reports */
/* The text of an expression as written. */
const char *expr_source(ctx *c, const syn_expr *e);

/* A value of that stage is asked for: true when it can be had. Else it is told why not, unless the value may wait. */
bool value_known(ctx *c, known_stage stage, const syn_expr *asker, span at);
/* Circle guard: false (and reported) when key is being worked out already. What is worked out within must be known
 * now, whatever asked for it, unless `may_wait` is set again. */
bool busy_enter(ctx *c, busy *b, const void *key, const char *name, span at);
void busy_leave(ctx *c, const busy *b);

/* ---- stages ------------------------------------------------------------------------------------- */

void resolve_stocks(ctx *c);
/* What resolve_stock.c and resolve_size.c share. An argument of a line by its number, behind the word or an `x`; a
 * length there, poison when it is not given; a count of the line that begins with a word. */
const syn_expr *stock_arg(const syn_line *line, size_t nth);
void stock_read_length(ctx *c, const syn_line *line, size_t nth, bool zero_too, model_length *out);
int64_t stock_read_count(ctx *c, const line_list *good, const char *word, int64_t least, int64_t otherwise);
/* resolve_size.c: what a sheet's edges lose; the further sizes and offcuts; whether those can come from these. */
void stock_read_trims(ctx *c, const line_list *good, model_length *all, model_length on[EDGES]);
void stock_read_sizes(ctx *c, const line_list *good, model_stock *s);
void stock_offcuts_fit(ctx *c, const model_stock *s);
bool stock_member(ctx *c, stock_def *s, const char *member, span at, value *out);
bool stock_length(ctx *c, stock_def *s, const char *word, size_t nth, rat *mm); /* quiet when not given */
void tools_resolve(ctx *c);

void declare_plan(ctx *c); /* every name of the plan, and what the command line sets */
/* What `--set` gives. Those that nothing is known of are left for the last time, when every `when` is settled. */
void declare_sets(ctx *c, bool last);
/* Whether a `when` holds. False in *known: reported. */
bool eval_condition(ctx *c, const syn_expr *e, bool *known);
void part_declare(ctx *c, const syn_line *line);
void part_box_read(ctx *c, part_def *box);
void declare_lines(ctx *c, const syn_lines *lines, block_kind block);
/* The lines of a block with those of its `when` that hold: for blocks that declare no names of the cabinet. */
const syn_lines *lines_chosen(ctx *c, block_kind block, const syn_lines *lines);
/* The names of what it takes; gives how many. */
size_t assembly_takes(const assembly_def *a, const char **out, size_t most);
/* What an assembly was given for a name that it takes: the value in the `place` or of --set, else its own. NULL: it is
 * no such name. */
const syn_expr *assembly_given(ctx *c, const sym *s);
void assembly_expand(ctx *c, place_def *p);
/* Whether a value is of the kind that the `takes` line asks for; reports. */
bool takes_fits(ctx *c, const let_def *d);
inst *assembly_inst(ctx *c, place_def *p, uint32_t number);
/* The usable lines of a `place` that hold it: those that give what the assembly takes are left out. */
void place_lines(ctx *c, const place_def *p, line_list *holds);
void parts_read(ctx *c);    /* what holds each one */
void parts_resolve(ctx *c); /* places all, fills model.parts */
void extra_declare(ctx *c, const syn_line *line);
void extras_resolve(ctx *c); /* their rows, when those of the parts are there */
/* The extra piece that an expression names by itself, or NULL. */
const extra_def *extra_named(ctx *c, const syn_expr *e);
bool part_emitted(ctx *c, part_def *p);				     /* has its rows in the model, on demand */
bool part_face_value(ctx *c, part_def *p, face f, span at, rat *mm); /* of the whole group */
bool part_structure(ctx *c, part_def *p);

void patterns_declare(ctx *c);			      /* their rows in the model */
bool pattern_stands(ctx *c, pattern_def *p, span at); /* worked out, on demand */
void patterns_resolve(ctx *c);
/* The two directions in which a field of openings lies; false: reported. */
bool pattern_lies(ctx *c, pattern_def *p, axis *u, axis *v);
/* From rim to rim along one of them, in the current instance's coordinates, before any part is in the model. */
bool pattern_extent(ctx *c, pattern_def *p, axis a, span at, rat *lo, rat *hi);
void joints_resolve(ctx *c);
/* resolve_cut.c: what joints cut; screws when the openings are there; where glue and tape lie. */
void cuts_resolve(ctx *c);
void screws_resolve(ctx *c);
void faces_resolve(ctx *c);
model_feature *cut_add(ctx *c, model_feature_kind kind, model_ref part, face f, span at); /* without size */
void features_resolve(ctx *c); /* features, work faces, masses */
void air_declare(ctx *c);      /* names of the air block */
void air_resolve(ctx *c);
bool duct_fittings(ctx *c, const line_list *lines, model_branch *b); /* named fittings of a duct; false: reported */
void air_lines_resolve(ctx *c); /* lines of the air block that lean on its ways; after those */
/* The branch that a line names as its way does; NULL: reported, or a way that was reported may be the one. */
model_branch *air_branch_named(ctx *c, const syn_expr *e, const syn_expr *in);
void work_resolve(ctx *c);
void rules_resolve(ctx *c);						/* `allow` and `tune` lines */
void requires_resolve(ctx *c);						/* last */
void lets_resolve(ctx *c);						/* their rows in the model, last */
extern const char *const AIR_STATE_WORD[AIR_STATES];			/* "clean" … "dirty_work" */
bool air_member(ctx *c, const syn_expr *e, const named *n, value *out); /* NAME.flow.dirty … */
/* A group's name to its model rows. */
void part_rows(ctx *c, const syn_expr *e, bool made_only, void (*each)(ctx *c, model_ref row, void *data), void *data);
#endif
