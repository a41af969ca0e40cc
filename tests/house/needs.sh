#!/usr/bin/env bash
# tests/needs on machines that lack things: made up by a PATH that holds almost nothing.
cd "$(dirname "$0")/../.." || exit 1
. tests/tap.sh

bare=$tap_work/bin
mkdir "$bare"
for tool in sh cat mktemp rm id; do ln -s "$(command -v $tool)" "$bare/$tool"; done
tool() { # name, script: a made-up command
	printf '#!/bin/sh\n%s\n' "$2" >"$bare/$1"
	chmod +x "$bare/$1"
}
needs() { run 1 "$1" env PATH="$bare" sh tests/needs "${@:2}"; }
names_all() { # packages must stand in the list, one on a line
	for package in "$@"; do says "$package is named as missing" "^  $package\$"; done
}

needs "nothing there, list" list build
names_all gcc make flex bison
needs "nothing there, no apt-get" install build test
says "it says why it does not install" 'without apt-get'
names_all gcc make flex bison clang git python3 qpdf poppler-utils

tool apt-get "echo called >>$tap_work/calls"
tool id 'echo 1000'
needs "an ordinary user" install build
says "it says why" 'without being root'
names_all gcc flex
verdict "apt-get was not called" test ! -e "$tap_work/calls"

tool id 'echo 0'
needs "root, and an apt-get that brings nothing" install build
says "it says what is still missing" 'did not bring everything'
verdict "apt-get was called to update and to install" test "$(wc -l <"$tap_work/calls")" -eq 2

tool apt-get "for p; do [ \$p = mawk ] && p=awk; case \$p in gcc|make|flex|bison|awk) printf '#!/bin/sh\n' >$bare/\$p; /bin/chmod +x $bare/\$p;; esac; done"
run 0 "root, and an apt-get that brings all" env PATH="$bare" sh tests/needs install build
run 0 "once it is there nothing is missing" env PATH="$bare" sh tests/needs list build
run 0 "this machine has what the tests need" sh tests/needs list build test
done_testing
