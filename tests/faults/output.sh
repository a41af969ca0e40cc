#!/usr/bin/env bash
# Output that cannot be written: status 3, a message that says where and why, and no half of a book.
cd "$(dirname "$0")/../.." || exit 1
. tests/tap.sh
plan=plans/paddle-bench.plan
w=$WINDCHEST_ASAN
dir=$tap_work/dir
mkdir "$dir"

# What a folder holds, in a form to be compared; temporary files included.
holds() { (cd "$1" && find . -type f -exec cksum {} + | sort); }

run 0 "compile to a good folder" "$w" compile $plan -o "$dir/good"
before=$(holds "$dir/good")
verdict "files were written, the book among them" test -s "$dir/good/book.pdf"
hidden=$(find "$dir/good" -name '.*' -type f)
verdict "no temporary file is left" test -z "$hidden"
run 0 "compile again over it" "$w" compile $plan -o "$dir/good"
verdict "the same bytes" test "$before" = "$(holds "$dir/good")"

# Standard output that takes nothing, for every table.
for command in parts cuts drill air steps shopping; do
	for format in text json csv; do
		run_wanted=3 run_name="$command --format $format to a full disk"
		timeout 120 "$w" $command $plan --format $format >/dev/full 2>"$tap_err"
		run_judge $? && says "$command --format $format: the reason is given" 'No space left'
	done
done
for option in --help --version; do
	run_wanted=3 run_name="$option to a full disk"
	"$w" $option >/dev/full 2>"$tap_err"
	run_judge $?
done
run_wanted=3 run_name="parts with standard output closed"
"$w" parts $plan >&- 2>"$tap_err"
run_judge $?
run_wanted=3 run_name="check of standard input that is closed"
"$w" check - <&- >"$tap_out" 2>"$tap_err"
run_judge $?

run 3 "compile into a file" "$w" compile $plan -o "$plan" && says "the folder is named" "$plan"
run 3 "compile below a file" "$w" compile $plan -o $plan/out
run 3 "compile where no folder can be made" "$w" compile $plan -o /proc/windchest.out
run 3 "compile into a folder whose parent is missing" "$w" compile $plan -o "$dir/no/such"
run 3 "compile to a name too long" "$w" compile $plan -o "$dir/$(printf '%0300d' 0)" && says "the reason is given" 'too long'
verdict "nothing was made" test "$(ls "$dir")" = good

# A folder where a file must go: the others must not be written either.
cp -r "$dir/good" "$dir/taken" && rm "$dir/taken/book.pdf" && mkdir "$dir/taken/book.pdf"
echo old >"$dir/taken/plan.json"
before=$(holds "$dir/taken")
run 3 "compile when a folder stands in the book's place" "$w" compile $plan -o "$dir/taken"
verdict "nothing was changed" test "$before" = "$(holds "$dir/taken")"

# A file-size limit stands for the full disk; it needs no rights.
cp -r "$dir/good" "$dir/limited"
echo old >"$dir/limited/plan.json"
before=$(holds "$dir/limited")
run_wanted=3 run_name="compile under a limit on the size of files"
(trap '' XFSZ && ulimit -f 4 && exec timeout 120 "$WINDCHEST" compile $plan -o "$dir/limited") >"$tap_out" 2>"$tap_err"
run_judge $? && says "the file and the reason are given" "$dir/limited/[^ ]+: File too large"
verdict "what was there stays" test "$before" = "$(holds "$dir/limited")"

# A real full disk, where a small file system can be mounted.
mkdir "$dir/disk"
if mount -t tmpfs -o size=64k tmpfs "$dir/disk" 2>/dev/null; then
	run 3 "compile to a full disk" "$w" compile $plan -o "$dir/disk/out" && says "the disk is full" 'No space left'
	verdict "nothing is left on it" test -z "$(ls -A "$dir/disk")"
	umount "$dir/disk"
else
	skip "compile to a full disk" "no file system can be mounted here"
fi

# A folder without the right to write: only for one who is not root can it be one.
mkdir "$dir/shut" && chmod 555 "$dir/shut"
if [ "$(id -u)" != 0 ]; then
	run 3 "compile into a folder without the right to" "$w" compile $plan -o "$dir/shut/out"
elif command -v setpriv >/dev/null && chmod 755 "$tap_work" "$dir" &&
	setpriv --reuid=65534 --clear-groups "$WINDCHEST" --version >/dev/null 2>&1; then
	run 3 "compile into a folder without the right to" \
		setpriv --reuid=65534 --clear-groups "$WINDCHEST" compile $plan -o "$dir/shut/out"
	says "the reason is given" 'Permission denied'
else
	skip "compile into a folder without the right to" "another user's rights cannot be taken here"
fi

# Too little memory: a message and status 3, no crash.
run_wanted=3 run_name="compile with little memory"
(ulimit -v 7000 && exec timeout 120 "$WINDCHEST" compile $plan -o "$dir/poor") >"$tap_out" 2>"$tap_err"
run_status=$?
if [ $run_status -eq 127 ]; then
	skip "$run_name" "the program could not even be loaded"
else
	run_judge $run_status
fi
verdict "no book was begun" test ! -e "$dir/poor"

# A plan with an error writes no book, and leaves an old one as it was.
sed 's/^cabinet /cabinet 5 /' $plan >"$dir/bad.plan"
before=$(holds "$dir/good")
run 1 "compile of a plan with an error" "$w" compile "$dir/bad.plan" -o "$dir/good"
verdict "the old book stays" test "$before" = "$(holds "$dir/good")"
run 1 "the same without a folder named" "$w" compile "$dir/bad.plan"
verdict "no folder was made" test ! -e "$dir/bad.out"
done_testing
