#!/usr/bin/env bash
# windchest tidy where a file cannot or must not be written: a message, status 3, and the file as it was.
cd "$(dirname "$0")/../.." || exit 1
. tests/tap.sh
w=$WINDCHEST_ASAN
dir=$tap_work/dir
mkdir "$dir"
rough='plan   "A"{edition "A"}   # a comment'
neat='plan "A" { edition "A" }  # a comment'

rough() { printf '%s\r\n' "$rough" >"$1"; }
untouched() { # name, file
	verdict "$1: the file is as it was" test "$(cat "$2")" = "$(printf '%s\r\n' "$rough")"
	verdict "$1: nothing is left beside it" test -z "$(find "$(dirname "$2")" -name '.*' -type f)"
}

rough "$dir/a.plan" && chmod 640 "$dir/a.plan"
run 1 "tidy --check of a plan that would change" "$w" tidy --check "$dir/a.plan"
verdict "it is listed" test "$(cat "$tap_out")" = "$dir/a.plan"
untouched "tidy --check" "$dir/a.plan"
run 0 "tidy" "$w" tidy "$dir/a.plan"
verdict "the text is tidy" test "$(cat "$dir/a.plan")" = "$neat"
verdict "the permissions stay" test "$(stat -c %a "$dir/a.plan")" = 640
before=$(stat -c '%i %Y' "$dir/a.plan")
run 0 "tidy once more" "$w" tidy "$dir/a.plan"
verdict "a tidy file is not written again" test "$before" = "$(stat -c '%i %Y' "$dir/a.plan")" -a ! -s "$tap_out"
run 0 "tidy --check of a tidy plan" "$w" tidy --check "$dir/a.plan"
verdict "nothing is listed" test ! -s "$tap_out"
(cd "$dir" && rough ./here.plan && timeout 120 "$OLDPWD/$w" tidy here.plan >/dev/null)
verdict "a plan in the working folder" test "$(cat "$dir/here.plan")" = "$neat"

printf '%s' "$rough" | timeout 120 "$w" tidy - >"$tap_out" 2>"$tap_err"
verdict "standard input to standard output" test "$(cat "$tap_out")" = "$neat"
printf '%s' "$rough" | timeout 120 "$w" tidy - >/dev/full 2>"$tap_err"
verdict "standard output that is full" test $? -eq 3
printf '%s' "$rough" | timeout 120 "$w" tidy --check - >"$tap_out" 2>"$tap_err"
verdict "--check of standard input" test $? -eq 1
verdict "it is listed as -" test "$(cat "$tap_out")" = -

printf 'let a = \n' >"$dir/faulty.plan"
rough "$dir/b.plan"
run 1 "a plan with a fault beside a good one" "$w" tidy "$dir/faulty.plan" "$dir/b.plan" &&
	says "the fault is told with its place" 'faulty.plan:1:7: error: a value is missing'
verdict "the faulty one is left" test "$(cat "$dir/faulty.plan")" = 'let a = '
verdict "the good one is tidy" test "$(cat "$dir/b.plan")" = "$neat"

rough "$dir/c.plan" && ln -s c.plan "$dir/link.plan"
run 3 "a symbolic link" "$w" tidy "$dir/link.plan" && says "it is said" 'link.plan: it is a symbolic link'
verdict "the link is still one" test -L "$dir/link.plan"
untouched "a symbolic link" "$dir/c.plan"
run 1 "tidy --check of a symbolic link" "$w" tidy --check "$dir/link.plan"
chmod 444 "$dir/c.plan"
run 3 "a read-only file" "$w" tidy "$dir/c.plan" && says "it is said" 'c.plan: it is read-only'
untouched "a read-only file" "$dir/c.plan"
chmod 644 "$dir/c.plan" && ln "$dir/c.plan" "$dir/second.plan"
run 3 "a file with two names" "$w" tidy "$dir/c.plan" && says "it is said" 'hard link'
untouched "a file with two names" "$dir/second.plan"
run 3 "a plan that is not there" "$w" tidy "$dir/none.plan" && says "it is named" none.plan
run 3 "a folder" "$w" tidy "$dir"
run 2 "--check with another command" "$w" check --check "$dir/a.plan"
run 2 "tidy without a plan" "$w" tidy

rough "$dir/d.plan"
for i in $(seq 1000); do echo "# $i"; done >>"$dir/d.plan"
before=$(cksum <"$dir/d.plan")
run_wanted=3 run_name="tidy under a limit on the size of files"
(trap '' XFSZ && ulimit -f 2 && exec timeout 120 "$WINDCHEST" tidy "$dir/d.plan") >"$tap_out" 2>"$tap_err"
run_judge $? && says "the file and the reason are given" 'd.plan: File too large'
verdict "nothing is lost" test "$before" = "$(cksum <"$dir/d.plan")"
mkdir "$dir/disk"
if mount -t tmpfs -o size=16k tmpfs "$dir/disk" 2>/dev/null; then
	cp "$dir/d.plan" "$dir/disk"
	dd if=/dev/zero of="$dir/disk/full" bs=1k 2>/dev/null
	run 3 "tidy on a full disk" "$w" tidy "$dir/disk/d.plan" && says "the disk is full" 'No space left'
	verdict "nothing is lost there" test "$before" = "$(cksum <"$dir/disk/d.plan")"
	verdict "nothing is left there" test "$(ls -A "$dir/disk")" = "$(printf 'd.plan\nfull')"
	umount "$dir/disk"
else
	skip "tidy on a full disk" "no file system can be mounted here"
fi
mkdir "$dir/shut" && rough "$dir/shut/e.plan" && chmod 666 "$dir/shut/e.plan" && chmod 555 "$dir/shut"
if [ "$(id -u)" != 0 ]; then
	run 3 "a folder without the right to write" "$w" tidy "$dir/shut/e.plan" && says "it is said" 'Permission denied'
elif command -v setpriv >/dev/null && chmod 755 "$tap_work" "$dir" &&
	setpriv --reuid=65534 --clear-groups "$WINDCHEST" --version >/dev/null 2>&1; then
	run 3 "a folder without the right to write" \
		setpriv --reuid=65534 --clear-groups "$WINDCHEST" tidy "$dir/shut/e.plan"
	says "it is said" 'Permission denied'
else
	skip "a folder without the right to write" "another user's rights cannot be taken here"
fi
untouched "a folder without the right to write" "$dir/shut/e.plan"
done_testing
