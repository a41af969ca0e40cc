# For test scripts: one line `ok - ...` or `not ok - ...` per test, which tests/run counts.
# Used by `. tests/tap.sh` from the root of the tree. Programs: $WINDCHEST (optimised), $WINDCHEST_ASAN (sanitizers).
: "${WINDCHEST:=build/windchest}" "${WINDCHEST_ASAN:=build-asan/windchest}"
tap_bad=0

pass() { echo "ok - $*"; }
fail() { # what, then lines of evidence on standard input when there are any
	echo "not ok - $*"
	tap_bad=1
}
evidence() { sed 's/^/# /' | head -n "${1:-12}"; }
skip() { echo "ok - $1 # SKIP $2"; }
# verdict NAME COMMAND...: the command's status is the verdict.
verdict() {
	tap_name=$1
	shift
	if "$@"; then pass "$tap_name"; else fail "$tap_name"; fi
}
done_testing() { exit $tap_bad; }

# run STATUS_WANTED NAME COMMAND...: the command's status, and no sanitizer report, crash or hang. Its output is left in
# $tap_out and $tap_err.
tap_work=$(mktemp -d) && trap 'rm -rf "$tap_work"' EXIT
tap_out=$tap_work/out tap_err=$tap_work/err
run() {
	run_wanted=$1 run_name=$2
	shift 2
	timeout 120 "$@" >"$tap_out" 2>"$tap_err"
	run_judge $?
}
run_judge() { # status
	if [ "$1" -ne "$run_wanted" ] || grep -qE 'Sanitizer|runtime error:' "$tap_err"; then
		fail "$run_name: status $1, wanted $run_wanted"
		evidence <"$tap_err"
		return 1
	fi
	pass "$run_name"
}
# says NAME PATTERN: the last command's messages hold the pattern.
says() {
	if grep -qE -e "$2" "$tap_err"; then
		pass "$1"
	else
		fail "$1: no message like /$2/"
		evidence <"$tap_err"
	fi
}
