#!/usr/bin/env bash
# The words of the build book, read from outside: tools for dados and screws, test cuts with every size, readings that
# can be taken, what is bought, and no metric figure in an inch book. The plans are those of docs/examples.md.
cd "$(dirname "$0")/../.." || exit 1
. tests/tap.sh

# example N of docs/examples.md, fences off
example() { awk -v want="$1" '/^```/ { fence = !fence; next } fence && /^plan "/ { n++ } fence && n == want' docs/examples.md; }
# book FILE NAME: the text of the plan's book, blanks run together
book() {
	run 0 "$2: compile" "$WINDCHEST" compile "$1" -o "$tap_work/$2" || exit 1
	pdftotext -layout "$tap_work/$2/book.pdf" "$tap_work/$2.laid"
	pdftotext "$tap_work/$2/book.pdf" - | tr -s ' \n\f' ' ' >"$tap_work/$2.text"
}
says() { verdict "$1 says: $2" grep -qF -- "$2" "$tap_work/$1.text"; }
silent() { verdict "$1 does not say: $2" sh -c '! grep -qE -- "$1" "$2"' - "$2" "$tap_work/$1.text"; }

# A router too wide for the box's dados and no drills take the place of the library's tools; the glue loses its stock.
example 1 | sed -e 's/glue glue_pva/glue/' -e '/^use "stock\/tools"/c\
tool saw1 : saw { label "table saw"; kerf 3 mm }\
tool router1 : router { label "router"; cutter 12.7 mm; bush 30 mm; pass 6.35 mm }' >"$tap_work/box.plan"
book "$tap_work/box.plan" box
says box "Drill ⌀ 2 mm (pilot of 3.5 x 30 mm countersunk wood screw)"
says box "Drill ⌀ 4 mm (clearance of 3.5 x 30 mm countersunk wood screw)"
says box "Countersink to ⌀ 7 mm"
says box "Round-over bit with bearing, R 2 mm"
says box "needed, not among the plan's tools"
says box "router with straight cutter"
silent box "4\\.5 mm twist drill"
says box "test cut must read 160 × 100 mm, corners R 10 mm"
says box "125 openings, 0.0251 m²"
verdict "box: no speed to measure stands over a whole face" sh -c 'sed -n "/^Speeds/,/^Care/p" "$1" | grep -q holes && ! sed -n "/^Speeds/,/^Care/p" "$1" | grep -q "whole face"' - "$tap_work/box.laid"
verdict "box: no gauge in a space without a name" sh -c 'sed -n "/^Pressures against/,/^Speeds/p" "$1" | grep -q chamber && ! sed -n "/^Pressures against/,/^Speeds/p" "$1" | grep -q "between"' - "$tap_work/box.laid"
says box "Wood glue"
says box "not priced"
says box "Together, where a price is known"

example 2 | sed -e 's/^require pleat.*//' >"$tap_work/ceiling.plan"
book "$tap_work/ceiling.plan" ceiling
says ceiling "The plan states 1 requirement; by calculation 1 of 1 is met"
silent ceiling "40 cm|kg/h|m³/h|[0-9] kg |[0-9] m in "
verdict "ceiling: nothing is cut off" sh -c '! grep -q "…" "$1"' - "$tap_work/ceiling.text"
verdict "ceiling: tape is needed in feet and bought in metres" \
	grep -qE "Foam tape.* ft .* [0-9]+ ?m +USD" "$tap_work/ceiling.laid"
# Parts of a repeat without a name that are alike are one item; one that is longer is an item of its own name.
ribs() { # the height of a rib
	cat <<-END
		plan "Carrier" { measures metric }
		use "stock/sheets"
		use "stock/hardware"
		use "stock/tools"
		cabinet box {
		    panel a : ply18 { left at 0 mm; right at 400 mm; front at 0 mm; depth 400 mm; bottom at 0 mm }
		    repeat k from 1 to 3 {
		        panel rib : ply12 { bottom at a.top; height $1; front at 0 mm; depth 100 mm; left at k * 100 mm }
		    }
		    join a to rib[1] : butt { glue glue_pva }
		    join a to rib[2] : butt { glue glue_pva }
		    join a to rib[3] : butt { glue glue_pva }
		}
	END
}
ribs "50 mm" >"$tap_work/ribs.plan"
book "$tap_work/ribs.plan" ribs
says ribs "Cut to size: rib (2) × 3."
verdict "ribs: one row of the parts list has all three" grep -qE "^ +2 +Rib +3 +100 × 50 × " "$tap_work/ribs.laid"
ribs "50 mm + k * 1 mm - min(k, 2) * 1 mm" >"$tap_work/odd.plan"
book "$tap_work/odd.plan" odd
verdict "odd ribs: two are one item" grep -qE "^ +2 +Rib.1 +2 +100 × 50 × " "$tap_work/odd.laid"
verdict "odd ribs: the third is another" grep -qE "^ +3 +Rib.3 +1 +100 × 51 × " "$tap_work/odd.laid"
done_testing
