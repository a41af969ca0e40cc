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
