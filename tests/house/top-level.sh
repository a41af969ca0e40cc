#!/usr/bin/env bash
# The top level holds what it should and nothing else beside dot files.
cd "$(dirname "$0")/../.." || exit 1
. tests/tap.sh

if git rev-parse --git-dir >/dev/null 2>&1; then tracked=$(git ls-files); else tracked=$(find . -type f | sed 's|^\./||'); fi
top=$(cut -d/ -f1 <<<"$tracked" | sort -u | grep -v -e '^\.' -e '^build')
should='DEVELOPERS.md
LICENSE
Makefile
README.md
compiler
docs
grammar
plans
runtime
tests'
difference=$(diff <(echo "$should") <(echo "$top"))
verdict "the top level holds exactly the files and folders of the design" test -z "$difference"
[ -z "$difference" ] || evidence <<<"$difference"

made=$(grep -E '\.(o|a|d|pdf|tab\.[ch]|yy\.[ch])$|(^|/)[^/]*\.out/' <<<"$tracked")
verdict "nothing that a build makes is kept in the tree" test -z "$made"
[ -z "$made" ] || evidence <<<"$made"
done_testing
