#!/usr/bin/env bash
# The build book from outside: readers are silent, the text is there and agrees with air.json and plan.json, every
# page is numbered and has something on it, fonts are embedded, bookmarks and links lead somewhere.
cd "$(dirname "$0")/../.." || exit 1
. tests/tap.sh

# on every page "n of N", in order
numbered() { # text-file pages
	awk -v pages="$2" 'BEGIN { RS = "\f" } NR <= pages { if (index($0, NR " of " pages) == 0) { print "page " NR; bad = 1 } }
	                   END { exit bad }' "$1"
}
# no page with fewer than 60 letters that has no picture either: ink is measured on a small rendering
inked() { # pdf
	pdftoppm -r 10 -gray "$1" "$tap_work/ink" || return 1
	python3 - "$tap_work"/ink*.pgm <<'PY'
import sys
bad = 0
for name in sys.argv[1:]:
    with open(name, "rb") as f:
        magic, size, most = f.readline(), f.readline().split(), f.readline()
        w, h = int(size[0]), int(size[1])
        data = f.read()
    # Between head and foot: a page that holds nothing there is an empty one.
    body = data[w * (h // 12):w * (h - h // 12)]
    dark = sum(b < 200 for b in body)
    if magic.strip() != b"P5" or dark < 40:
        print(name, dark)
        bad = 1
sys.exit(bad)
PY
}
# parts, sizes and the operating point of plan.json and air.json stand in the text
agrees() { # text-file folder
	python3 - "$1" "$2" <<'PY'
import json, re, sys
from fractions import Fraction
from math import floor
text = re.sub(r"\s+", " ", open(sys.argv[1], encoding="utf-8").read())
plan = json.load(open(sys.argv[2] + "/plan.json", encoding="utf-8"))
inch = plan["plan"]["measures"] == "inch"
missing = []


def wants(what, shown):
    if shown not in text:
        missing.append(f"{what}: {shown}")


def pretty(name):
    name = name.replace("_", " ")
    return name[0].upper() + name[1:]


def nearest(value, steps):
    """The multiple of 1/steps nearest to it, halves up."""
    return floor(value * steps + Fraction(1, 2))


def length(exact):
    mm = Fraction(exact)
    if not inch:
        whole, rest = divmod(nearest(mm, 1000), 1000)
        return f"{whole}.{rest:03}".rstrip("0").rstrip(".")
    near = nearest(mm / Fraction("25.4"), 64)
    about = "" if Fraction(near, 64) * Fraction("25.4") == mm else "~"
    whole, rest = divmod(near, 64)
    part = Fraction(rest, 64)
    return about + (f"{whole} {part}" if whole and rest else f"{part}" if rest else f"{whole}")


wants("title", plan["plan"]["title"])
for part in plan["parts"]:
    if part["kind"] == "gap":
        continue
    wants("part", pretty(part["group"]) if pretty(part["group"]) in text else pretty(part["name"]))
    for size in part["blank"]["size"]:
        wants("size of " + part["name"], length(size["exact"]))
for stock in plan["shopping"]:
    wants("to buy", re.sub(r"\s+", " ", stock["what"])[1:20])
for step in plan["work"]["steps"]:
    wants("step", step["title"].split(",")[0][:30])
for requirement in plan["requirements"]:
    wants("requirement", requirement["left"]["shown"])
for waiver in plan["waivers"]:
    wants("waiver", waiver["rule"])
# The operating point: the fan's flow in every condition, from air.json alone.
air = json.load(open(sys.argv[2] + "/air.json", encoding="utf-8"))


def flows(node, kinds):
    if isinstance(node, dict):
        if node.get("kind") == "fan" and "name" in node:
            kinds.add(node["name"])
        for value in node.values():
            flows(value, kinds)
    elif isinstance(node, list):
        for value in node:
            flows(value, kinds)


fans = set()
flows(air, fans)
points = 0
for result in air.get("conditions", air.get("results", [])):
    for row in result.get("branches", []):
        if row.get("name", row.get("branch")) in fans:
            flow = row["flow_m3_s"] * 3600 if not inch else row["flow_m3_s"] / (0.028316846592 / 60)
            wants("operating point", f"{flow:.0f} " + ("cfm" if inch else "m³/h"))
            points += 1
if points < 2:
    missing.append("air.json has no operating points clean and dirty")
print("\n".join(missing))
sys.exit(bool(missing))
PY
}

for variant in "luthier-booth" "paddle-bench" "luthier-booth --paper letter --measures inch" "paddle-bench --paper a4 --measures metric"; do
	read -r plan options <<<"$variant"
	folder=$tap_work/${variant// /_}
	# shellcheck disable=SC2086 # options are words
	run 0 "$variant: compile" "$WINDCHEST" compile plans/$plan.plan -o "$folder" $options || continue
	book=$folder/book.pdf text=$folder/book.txt
	problems=$(qpdf --check "$book" 2>&1 >/dev/null)
	verdict "$variant: qpdf finds nothing" test -z "$problems"
	problems=$(pdftotext -layout "$book" "$text" 2>&1)
	verdict "$variant: pdftotext is silent" test -z "$problems"
	pages=$(pdfinfo "$book" | awk '/^Pages:/ { print $2 }')
	verdict "$variant: every page says n of $pages" numbered "$text" "$pages"
	verdict "$variant: no page is empty" inked "$book"
	case $options in
	*letter*) size="612 x 792" ;;
	*a4*) size="595.276 x 841.89" ;;
	*) [ $plan = paddle-bench ] && size="612 x 792" || size="595.276 x 841.89" ;;
	esac
	verdict "$variant: every page is $size points" test "$(pdfinfo -l "$pages" "$book" | grep -c "size: *$size")" -eq "$pages"
	verdict "$variant: fonts are embedded and subset" \
		sh -c 'pdffonts "$1" | awk "NR > 2 { n++; if (\$0 !~ / yes yes yes /) bad = 1 } END { exit bad || n < 2 }"' - "$book"
	missing=$(agrees "$text" "$folder")
	verdict "$variant: parts, sizes, purchases, steps and operating points stand in it" test -z "$missing"
	[ -z "$missing" ] || evidence <<<"$missing"
	marks=$(qpdf --json --json-key=outlines "$book" | grep -c '"title"')
	verdict "$variant: bookmarks for chapters, parts and steps ($marks)" test "$marks" -ge 30
	links=$(qpdf --qdf --object-streams=disable "$book" - | grep -ac '/Subtype /Link')
	verdict "$variant: links from contents, list and steps ($links)" test "$links" -ge 30
	# shellcheck disable=SC2086
	run 0 "$variant: compile again" "$WINDCHEST" compile plans/$plan.plan -o "$folder.2" $options
	verdict "$variant: the same bytes" cmp -s "$book" "$folder.2/book.pdf"
done
cat >"$tap_work/without.plan" <<'PLAN'
plan "A board" { edition "A"; without numbers, index, care }
use "stock/sheets"
use "stock/tools"
cabinet board { panel top : ply18 { left at 0 mm; width 400 mm; front at 0 mm; depth 200 mm; bottom at 0 mm } }
PLAN
run 0 "a book without some chapters" "$WINDCHEST" compile "$tap_work/without.plan" -o "$tap_work/without" --allow part-unjoined
pdftotext "$tap_work/without/book.pdf" "$tap_work/without.txt"
if grep -qE 'Where the numbers come from|Index of parts|^Care$' "$tap_work/without.txt"; then fail "they are not in it"; else pass "they are not in it"; fi
verdict "the others are" grep -q "Shopping list" "$tap_work/without.txt"
done_testing
