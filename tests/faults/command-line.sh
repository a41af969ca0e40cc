#!/usr/bin/env bash
# A command line that is wrong gives status 2, names what is wrong and writes nothing; what cannot be read gives 3.
cd "$(dirname "$0")/../.." || exit 1
. tests/tap.sh
plan=plans/paddle-bench.plan
w=$WINDCHEST_ASAN

wrong() { # what the message must name, then the arguments
	local named=$1
	shift
	run 2 "windchest $*" "$w" "$@" && says "windchest $*: the message names it" "$named"
	[ ! -s "$tap_out" ] || fail "windchest $*: nothing goes to standard output"
}
wrong 'a command is missing'
wrong frobnicate frobnicate
wrong chek chek $plan
wrong plan check
wrong plan compile
wrong plan parts
wrong --no-such check --no-such $plan
wrong --set check $plan --set
wrong --set check $plan --set long
wrong '' check $plan --set =5mm
wrong furlong check $plan --measures furlong
wrong a5 check $plan --paper a5
wrong xml parts $plan --format xml
wrong mauve check $plan --color mauve
wrong -o compile $plan -o
wrong -o compile $plan -o ''
wrong hole-web rules hole-wbe
wrong 'takes one rule' rules hole-web hole-edge

run 0 "--help" "$w" --help
verdict "--help goes to standard output" test -s "$tap_out"
run 0 "--version" "$w" --version
verdict "--version is one line" test "$(wc -l <"$tap_out")" -eq 1

run 3 "a plan that is not there" "$w" check /nonexistent/x.plan && says "it is named" /nonexistent/x.plan
run 3 "a folder for a plan" "$w" check tests && says "it is named, too" tests
run 3 "a plan whose reading fails" "$w" check /proc/self/mem
run 1 "--set of a name that no let has" "$w" check $plan --set no_such_name=5mm && says "the name is said" no_such_name
run 1 "--set to what is no value" "$w" check $plan --set "long=5 furlong"
run 1 "--set far outside its range" "$w" check $plan --set long=900000000mm
for value in 99999999999999999999999999mm 1/0mm -1mm 0mm 1e999mm; do
	timeout 120 "$w" check $plan --set "long=$value" >"$tap_out" 2>"$tap_err"
	status=$?
	verdict "--set long=$value: refused, status 1 or 2 (is $status)" test $status -eq 1 -o $status -eq 2
done
done_testing
