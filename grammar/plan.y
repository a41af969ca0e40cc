/* The grammar of a plan: lines of a word, values and clauses, with blocks of further lines.
 * Which words, clauses and blocks go together is not asked here.
 *
 * Faults: the parser gives up the rest of the line up to its block, its end or the end of the block around it,
 * and goes on there. Values live in the arena, so nothing need be destroyed when symbols are dropped. */
%require "3.8"
%language "C"
%define api.pure full
%define api.prefix {grammar_yy}
%define api.token.prefix {TOK_}
%define api.location.type {span}
%define parse.error custom
%define parse.lac full
%locations
%expect 0
%param {grammar_tree *t}

%code requires {
#include "grammar/tree.h"
}
%union {
	grammar_token token;
	grammar_expr expr;
	grammar_args args;
}
%code {
/* All semantic values and places may be moved by copying, so the parser's stack may grow. */
#define YYLTYPE_IS_TRIVIAL 1
#define YYMAXDEPTH 20000
#define YYLLOC_DEFAULT(current, rhs, n) \
	((current) = (n) ? span_join(YYRHSLOC(rhs, 1), YYRHSLOC(rhs, n)) : YYRHSLOC(rhs, 0))

static int grammar_yylex(GRAMMAR_YYSTYPE *value, span *at, grammar_tree *t) {
	value->token = grammar_lexer_next(&t->lexer);
	*at = value->token.at;
	return value->token.kind;
}
static void grammar_yyerror(const span *at, grammar_tree *t, const char *message);
}

%token END 0             "the end of the file"
%token SEP               "the end of the line"
%token <token> LEAD      "a word"
%token <token> QUANT     "a value"
%token <token> TEXT      "a text"
%token <token> NAME      "a name"
%token <token> CALL      "a function"
%token <token> BAD       "a value that was reported"
%token <token> LINK      "a linking word"
%token <token> IF        "`if`"
%token <token> THEN      "`then`"
%token <token> ELSE      "`else`"
%token <token> ARROW     "`->`"
%token <token> TOLERANCE "`+-`"
%token <token> COMPARE   "a comparison"
%token <token> ':' "`:`" '=' "`=`" '+' "`+`" '-' "`-`" '*' "`*`" '/' "`/`"
%token ',' "`,`" '(' "`(`" ')' "`)`" '{' "`{`" '}' "`}`" '[' "`[`" ']' "`]`"
%token <token> MEMBER    "a member"

%type <token> link
%type <expr> value plain_value choice sum plain_sum term plain_term factor primary named
%type <args> values some_values
%%
file: body;

body: ended | ended line { grammar_line_end(t); };

ended:
	%empty
|	ended SEP
|	ended line SEP { grammar_line_end(t); yyerrok; }
;

line:
	words
|	words block
|	broken
|	broken block
;

broken: error { grammar_broken(t, @1); };

block: open body '}' { grammar_block_close(t, @3); yyerrok; };

open: '{' { grammar_block_open(t, @1); yyerrok; };

words: led | full;

/* A line's first word. */
led: LEAD { grammar_line(t, &$1); };

/* Ends behind a value: a value, a clause or a block may follow. */
full:
	led value { grammar_arg(t, $2); }
|	linked value { grammar_arg(t, $2); }
|	value { grammar_line(t, NULL); grammar_arg(t, $1); }
|	full plain_value { grammar_arg(t, $2); }
|	full comma value { grammar_arg(t, $3); }
;

comma: ',' { t->comma = true; };

/* Ends behind a linking word: a value must follow. */
linked:
	led link { grammar_clause(t, &$2); }
|	full link { grammar_clause(t, &$2); }
;

link: LINK | ':' | '=' | ARROW | TOLERANCE;

value: sum | sum COMPARE sum { $$ = grammar_binary(t, $1, &$2, $3); } | choice;

choice: IF value THEN value ELSE value { $$ = grammar_if(t, @1, $2, $4, $6); };

/* A value beside the one before it: does not begin with a minus, which would subtract. */
plain_value: plain_sum | plain_sum COMPARE sum { $$ = grammar_binary(t, $1, &$2, $3); } | choice;

sum:
	term
|	sum '+' term { $$ = grammar_binary(t, $1, &$2, $3); }
|	sum '-' term { $$ = grammar_binary(t, $1, &$2, $3); }
;

plain_sum:
	plain_term
|	plain_sum '+' term { $$ = grammar_binary(t, $1, &$2, $3); }
|	plain_sum '-' term { $$ = grammar_binary(t, $1, &$2, $3); }
;

term:
	factor
|	term '*' factor { $$ = grammar_binary(t, $1, &$2, $3); }
|	term '/' factor { $$ = grammar_binary(t, $1, &$2, $3); }
;

plain_term:
	primary
|	plain_term '*' factor { $$ = grammar_binary(t, $1, &$2, $3); }
|	plain_term '/' factor { $$ = grammar_binary(t, $1, &$2, $3); }
;

factor: primary | '-' factor { $$ = grammar_negate(t, @1, $2); };

primary:
	QUANT { $$ = grammar_leaf(t, SYN_QUANT, &$1); }
|	TEXT { $$ = grammar_leaf(t, SYN_TEXT, &$1); }
|	named
|	BAD { $$ = grammar_leaf(t, SYN_BAD, &$1); }
|	'(' value ')' { $$ = grammar_in_brackets(@1, $2, @3); }
|	'(' value ',' value ')' { $$ = grammar_pair(t, @1, $2, $4, @5); }
|	CALL '(' values ')' { $$ = grammar_call(t, &$1, &$3, @4); }
;

/* A name, perhaps with numbers: ribs[2].top. Only the lexer's order of bytes lets a member follow a bracket. */
named:
	NAME { $$ = grammar_leaf(t, SYN_NAME, &$1); }
|	named '[' value ']' { $$ = grammar_index(t, $1, $3, @4); }
|	named MEMBER { $$ = grammar_member(t, $1, &$2); }
;

values: %empty { $$ = (grammar_args){.depth = 0}; } | some_values;

some_values:
	value { $$ = (grammar_args){.depth = 0}; grammar_args_add(t, &$$, $1); }
|	some_values ',' value { $$ = $1; grammar_args_add(t, &$$, $3); }
;
%%
static void grammar_yyerror(const span *at, grammar_tree *t, const char *message) {
	(void)at;
	grammar_parser_failed(t, message);
}

static int yyreport_syntax_error(const yypcontext_t *context, grammar_tree *t) {
	enum { MOST = 8 };
	yysymbol_kind_t kinds[MOST];
	const char *names[MOST];
	int n = yypcontext_expected_tokens(context, kinds, MOST);
	if (n < 0) return n;
	size_t used = 0;
	for (int i = 0; i < n; i++)
		if (kinds[i] != YYSYMBOL_BAD) names[used++] = yysymbol_name(kinds[i]);
	grammar_unexpected(t, names, used);
	return 0;
}
