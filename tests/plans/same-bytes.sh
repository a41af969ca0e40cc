#!/usr/bin/env bash
# Same plan, same bytes: another compiler, another folder, another locale, zone, user name, mask and terminal.
cd "$(dirname "$0")/../.." || exit 1
. tests/tap.sh

sums() { (cd "$1" && find . -type f -exec cksum {} + | sort -k3); }
for plan in luthier-booth paddle-bench; do
	run 0 "$plan: compile here" "$WINDCHEST" compile plans/$plan.plan -o "$tap_work/$plan-1"
	run 0 "$plan: compile with another compiler's program, under the sanitizers" \
		"$WINDCHEST_ASAN" compile plans/$plan.plan -o "$tap_work/$plan-2"
	mkdir -p "$tap_work/elsewhere/deep er"
	cp -r plans "$tap_work/elsewhere/deep er/"
	here=$PWD
	run 0 "$plan: compile in another folder and environment" \
		env -i -C "$tap_work/elsewhere/deep er/plans" HOME=/nonexistent USER=nobody LC_ALL=C TZ=Pacific/Auckland \
		TERM=dumb COLUMNS=40 sh -c 'umask 077 && exec "$@"' sh "$here/$WINDCHEST" compile $plan.plan -o "$tap_work/$plan-3"
	sums "$tap_work/$plan-1" >"$tap_work/sums"
	verdict "$plan: there are files to compare" test "$(wc -l <"$tap_work/sums")" -ge 6
	for other in 2 3; do
		difference=$(sums "$tap_work/$plan-$other" | diff "$tap_work/sums" -)
		verdict "$plan: the same bytes ($other)" test -z "$difference"
		[ -z "$difference" ] || evidence <<<"$difference"
	done
done
done_testing
