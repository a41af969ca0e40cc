#!/usr/bin/env bash
# make install: everything under DESTDIR, nothing beside it; the installed program finds the shipped library.
cd "$(dirname "$0")/../.." || exit 1
. tests/tap.sh
make=${MAKE:-make}

run 0 "make install PREFIX=/usr DESTDIR=…" "$make" -s install PREFIX=/usr DESTDIR="$tap_work/dest" BUILD=build
for file in bin/windchest share/man/man1/windchest.1 share/windchest/stock/sheets.plan share/doc/windchest/language.md \
	share/doc/windchest/LICENSE; do
	verdict "it installs $file" test -s "$tap_work/dest/usr/$file"
done
verdict "nothing is beside the prefix" test "$(ls "$tap_work/dest")" = usr

run 0 "make install PREFIX=…" "$make" -s install PREFIX="$tap_work/there" BUILD=build
mkdir "$tap_work/away"
cp plans/paddle-bench.plan "$tap_work/away/"
run 0 "the installed program finds the shipped library" env -C "$tap_work/away" "$tap_work/there/bin/windchest" check paddle-bench.plan
run 0 "the installed program explains a rule" env -C "$tap_work/away" "$tap_work/there/bin/windchest" rules hole-web
verdict "its plan is compiled with the installed library" grep -q 'less than the 17.9 mm' "$tap_out"
mv "$tap_work/there/share/windchest/stock" "$tap_work/there/share/windchest/gone"
run 1 "it is the installed one that it finds" env -C "$tap_work/away" "$tap_work/there/bin/windchest" check paddle-bench.plan
run 0 "the program of the tree finds that of the tree" env -C "$tap_work/away" "$PWD/build/windchest" check paddle-bench.plan

# The manual page names the commands that the program has, and no other.
run 0 "--help" build/windchest --help
listed=$(sed -n '/^\.SH COMMANDS/,/^\.SH OPTIONS/s/^\.BI* "*\([a-z][a-z]*\).*/\1/p' docs/windchest.1 | sort)
known=$(for command in check compile parts cuts drill air steps shopping tidy rules why compare choose editor; do
	build/windchest $command --help >/dev/null 2>&1 && echo $command
done | sort)
verdict "the manual page lists the commands that there are" test "$listed" = "$known"
[ "$listed" = "$known" ] || diff <(echo "$listed") <(echo "$known") | evidence
done_testing
