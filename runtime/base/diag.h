/* What was found wrong, as data: nothing is printed here (runtime/write/diag_write.h does).
 * Ownership: the list and all texts live in the arena it was begun with. */
#ifndef BASE_DIAG_H
#define BASE_DIAG_H
#include <stdbool.h>
#include <stddef.h>

#include "runtime/base/arena.h"
#include "runtime/base/quant.h"
#include "runtime/base/source.h"

typedef enum diag_severity { DIAG_ERROR, DIAG_WARNING } diag_severity;

/* Of each severity so many are kept and told; what comes behind them is counted, and one plan-size says so. */
enum { DIAG_MOST = 1000 };

typedef struct diag_note {
	span at; /* may be none */
	const char *text;
} diag_note;

/* Where a finding arose when its line of the text is used several times: innermost first. */
typedef struct diag_within {
	const char *name; /* "wing[2]" */
	const char *text; /* of its note: "in `wing[2]`, placed here" */
	span at;
	const struct diag_within *outer;
} diag_within;

typedef struct diag {
	diag_severity severity;
	const char *rule; /* stable name of the rule, e.g. "unknown-name"; never NULL */
	span at;
	const char *text;
	LIST(diag_note) notes;		  /* the other places involved */
	LIST(span) about;		  /* places of things that it is about, beyond those shown; for waivers */
	const char *help;		  /* what would mend it, or NULL */
	const char *allowed;		  /* reason it was waived, or NULL; a waived one counts as neither */
	bool by_command;		  /* waived on the command line, not in the plan */
	const diag_within *within, *last; /* where it arose first and last, or NULL */
	LIST(const char *) again;	  /* names of the others in which the same arose: it is told once */
	struct diag *next;		  /* of those whose place falls into the same slot: diag.c's own */
} diag;

/* What a rule compared, whether it held or not: for tables that tell how far it holds. A check gives one for every
 * thing that it looked at, or for the worst of several. */
typedef struct diag_compared {
	const char *rule, *about; /* name of the rule, and of the thing in the plan */
	dim of;
	double value, limit; /* SI; both NaN where the rule asks for no figure: then `words` says what was found */
	bool at_least,
		broken; /* the value must not fall below the limit (else: not exceed it); broken: set by adding */
	const char *condition;	   /* the condition of the air in which the value lies nearest to the limit, or NULL */
	const char *basis;	   /* of the limit, beyond the rule's own source; or NULL */
	const char *words;	   /* in place of figures, or NULL */
	const char *what, *source; /* the rule's sentence and source: filled in where the rules are known */
} diag_compared;

typedef struct diags {
	arena *mem;
	LIST(diag *) all;
	LIST(diag_compared) compared;
	size_t errors, warnings;
	LIST(const char *) failures; /* what could not be read or written: no fault of the plan */
	const char *const *allow;    /* rules waived on the command line */
	size_t n_allow;
	size_t kept[2];		   /* by severity */
	bool more[2];		   /* it was said that there are more */
	const diag_within *within; /* where findings arise now; NULL: the text itself */
	diag **slots;		   /* by place, so that the second of two equal ones is found at once: diag.c's own */
} diags;

diags diags_begin(arena *mem);
/* Adds one. A second diag with the same rule, place and text is dropped; the address of the first
 * is given then. Errors whose rule is listed in `allow` are kept with `allowed` set, unless the rule
 * is one of the language (parse, names, dimensions), which cannot be waived: those have rule names
 * that begin with "plan-". */
diag *diag_error(diags *d, const char *rule, span at, const char *format, ...) __attribute__((format(printf, 4, 5)));
diag *diag_warning(diags *d, const char *rule, span at, const char *format, ...) __attribute__((format(printf, 4, 5)));
/* The same has arisen where findings arise now. */
void diag_again(diags *d, diag *g);
void diag_add_note(diags *d, diag *to, span at, const char *format, ...) __attribute__((format(printf, 4, 5)));
void diag_add_help(diags *d, diag *to, const char *format, ...) __attribute__((format(printf, 3, 4)));
/* "did you mean …?" with the nearest of the words, else all of them behind `list` ("there are"). */
void diag_add_choice(diags *d, diag *to, const char *word, const char *const *words, size_t n, const char *list);
/* Says that it is about the thing that is declared there, though no note shows it. */
void diag_add_about(diags *d, diag *to, span at);
/* Tells what a rule compared. Figures that are not finite are not told, unless `words` stand for them. */
void diag_compare(diags *d, diag_compared row);
/* Waives one that was added: it no longer counts. */
void diag_waive(diags *d, diag *which, const char *reason);
/* Findings of one rule at one place (a joint line that makes eight joints) become the first of them, with a note that
 * counts the others. Rules of the language ("plan-…") are left alone: each of those is a fault of its own. */
void diags_fold(diags *d);
/* In order of file, line and column; those without a place last. Stable. */
void diags_sort(diags *d);
#endif
