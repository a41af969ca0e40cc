#!/usr/bin/env bash
# Looks into the built library: no variable that outlives a call, no clock, no locale, no randomness.
cd "$(dirname "$0")/../.." || exit 1
. tests/tap.sh

# Names in a section that can be written to: constant tables of addresses stand in .data.rel.ro, which is read-only.
writable() {
	nm -f sysv "$1" | awk -F'|' '$7 ~ /^(\.data|\.bss|\.tdata|\.tbss|\*COM\*)/ && $7 !~ /^\.data\.rel\.ro/ { print $1 }'
}
forbidden() { nm -u "$1" | grep -Ew 'setlocale|time|clock|clock_gettime|gettimeofday|localtime|gmtime|rand|random|srand|srandom|rand_r|drand48|strtok|getrandom'; }

work=$(mktemp -d) && trap 'rm -rf "$work"' EXIT
printf '#include <time.h>\nstatic int calls;\nint f(void) { return ++calls + (int)time(NULL); }\n' >"$work/bad.c"
gcc -std=c11 -c -o "$work/bad.o" "$work/bad.c"
verdict "a made-up module with a variable is found out" test -n "$(writable "$work/bad.o")"
verdict "a made-up module that reads the clock is found out" test -n "$(forbidden "$work/bad.o")"

library=build/libwindchest.a
if [ ! -f $library ]; then
	fail "the library was built"
	done_testing
fi
found=$(writable $library)
verdict "no variable of the library outlives a call" test -z "$found"
[ -z "$found" ] || evidence <<<"$found"
found=$(forbidden $library)
verdict "the library reads no clock, no locale, no randomness" test -z "$found"
[ -z "$found" ] || evidence <<<"$found"
done_testing
