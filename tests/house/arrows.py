#!/usr/bin/env python3
"""Reads the #include lines of the whole tree and refuses an arrow that runs the wrong way.

Arrows run one way: driver -> grammar -> compiler -> runtime -> base. The rules are first tried on a small
made-up tree in which each of them is broken once: a rule that lets its fault through is a failed test.
"""
import os
import re
import sys
import tempfile

ROOT = os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", "..")
INCLUDE = re.compile(r'^[ \t]*#[ \t]*include[ \t]*([<"])([^>"]+)[>"]')
GENERATED = {"grammar/plan.tab.h", "grammar/plan.yy.h"}

# Folder -> folders whose headers its files may include.
MAY = {
    "runtime/base": {"runtime/base"},
    "runtime/engine": {"runtime/base", "runtime/engine"},
    "runtime/draw": {"runtime/base", "runtime/engine", "runtime/draw"},
    "runtime/write": {"runtime/base", "runtime/engine", "runtime/draw", "runtime/write"},
    "grammar": {"runtime/base", "grammar"},
    "compiler": {"compiler", "runtime/base", "runtime/engine", "runtime/draw", "runtime/write"},
    "tests": {"compiler", "grammar", "runtime/base", "runtime/engine", "runtime/draw", "runtime/write", "tests"},
}
# A library's headers -> the folders that may include them.
LIBRARY = {"hpdf": {"runtime/write"}, "zlib": {"runtime/write"}, "jansson": {"runtime/write", "tests"}, "cmocka": {"tests"}}
PRINTING = re.compile(r"\b(printf|vprintf|fprintf|vfprintf|puts|fputs|putchar|fputc|fwrite|perror|stdout|stderr)\b")


def folder_of(path):
    """The folder that the rules speak of, or None for a file that they do not know."""
    return next((f for f in MAY if path.startswith(f + "/")), None)


def extra(path, header):
    """Arrows from one file, or to one header, beyond those of its folder."""
    if path.startswith("grammar/"):
        return header == "compiler/syntax.h"
    if path.startswith("compiler/"):
        name = path.split("/")[1]
        return header.startswith("grammar/") and (name == "main.c" or re.fullmatch(r"driver\w*\.c", name))
    return False


def sources(root):
    for top in ("compiler", "grammar", "runtime", "tests"):
        for where, _, names in sorted(os.walk(os.path.join(root, top))):
            for name in sorted(names):
                if re.search(r"\.(c|h|y|l)$", name):
                    yield os.path.relpath(os.path.join(where, name), root)


def without_comments(text):
    """Comments and texts made blank, line ends kept."""
    text = text.replace("format(printf", "")  # an attribute, no call
    pattern = r'/\*.*?\*/|//[^\n]*|"(?:\\.|[^"\\\n])*"'
    return re.sub(pattern, lambda m: "\n" * m.group().count("\n"), text, flags=re.S)


def faults_of_include(root, path, line, quoted, header):
    here, at = folder_of(path), f"{path}:{line}: "
    if not quoted:
        for library, folders in LIBRARY.items():
            if re.match(library + r"(_\w+)?\.h$", header.split("/")[-1]) and here not in folders:
                yield at + f"<{header}> belongs in {' or '.join(sorted(folders))} alone"
        return
    there = folder_of(header)
    if there is None:
        yield at + f'"{header}" is not written from the root of the tree'
    elif there not in MAY[here] and not extra(path, header):
        yield at + f"{here} may not include {header}"
    elif header not in GENERATED and not os.path.isfile(os.path.join(root, header)):
        yield at + f"{header} does not exist"


def faults(root):
    """Every fault of the tree, as text; and how many include lines were read."""
    found, read, with_hpdf = [], 0, []
    for path in sources(root):
        with open(os.path.join(root, path), encoding="utf-8") as f:
            text = f.read()
        if folder_of(path) is None:
            found.append(f"{path}: no rule knows this folder")
            continue
        for line, content in enumerate(text.split("\n"), 1):
            m = INCLUDE.match(content)
            if not m:
                continue
            read += 1
            found += faults_of_include(root, path, line, m.group(1) == '"', m.group(2))
            if m.group(2).startswith("hpdf"):
                with_hpdf.append(path)
        if path.startswith(("runtime/engine/", "runtime/draw/")):
            for line, content in enumerate(without_comments(text).split("\n"), 1):
                if PRINTING.search(content):
                    found.append(f"{path}:{line}: prints: engines return data, never text on a terminal")
    if len(set(with_hpdf)) > 1:
        found.append("the PDF library is included by more than one file: " + ", ".join(sorted(set(with_hpdf))))
    return found, read


# A tree with one fault of each kind: file, its text, words that its refusal must have (None: no fault).
BAD_TREE = [
    ("runtime/base/good.h", "#include <stddef.h>\n", None),
    ("runtime/engine/good.h", '#include "runtime/base/good.h"\n', None),
    ("compiler/syntax.h", '#include "runtime/base/good.h"\n', None),
    ("compiler/names.h", "int x;\n", None),
    ("grammar/read.h", '#include "compiler/syntax.h"\n', None),
    ("compiler/driver_check.c", '#include "grammar/read.h"\n', None),
    ("compiler/main.c", '#include "grammar/read.h"\n', None),
    ("tests/unit/test_good.c", '#include <cmocka.h>\n#include "compiler/names.h"\n', None),
    ("runtime/write/one.c", "#include <hpdf.h>\n#include <jansson.h>\n", None),
    ("runtime/base/up.c", '#include "runtime/engine/good.h"\n', "runtime/base may not include runtime/engine/good.h"),
    ("runtime/engine/up.c", '#include "runtime/draw/x.h"\n', "runtime/engine may not include runtime/draw/x.h"),
    ("runtime/draw/up.c", '\t# include "runtime/write/x.h"\n', "runtime/draw may not include runtime/write/x.h"),
    ("runtime/write/up.c", '#include "compiler/names.h"\n', "runtime/write may not include compiler/names.h"),
    ("grammar/up.c", '#include "compiler/names.h"\n', "grammar may not include compiler/names.h"),
    ("grammar/side.c", '#include "runtime/engine/good.h"\n', "grammar may not include runtime/engine/good.h"),
    ("compiler/check_x.c", '#include "grammar/read.h"\n', "compiler may not include grammar/read.h"),
    ("compiler/driver.h", '#include "grammar/read.h"\n', "compiler may not include grammar/read.h"),
    ("compiler/near.c", '#include "names.h"\n', "not written from the root"),
    ("compiler/gone.c", '#include "compiler/nowhere.h"\n', "compiler/nowhere.h does not exist"),
    ("compiler/pdf.c", "#include <hpdf.h>\n", "<hpdf.h> belongs in runtime/write alone"),
    ("runtime/draw/json.c", "#include <jansson.h>\n", "<jansson.h> belongs in"),
    ("runtime/base/mocks.c", "#include <cmocka.h>\n", "<cmocka.h> belongs in tests alone"),
    ("runtime/write/two.c", "#include <hpdf.h>\n", None),  # caught by the rule of the one file, below
    ("runtime/engine/loud.c", '/* printf */\nint f(void) { return puts("x"); }\n', "loud.c:2: prints"),
    ("runtime/engine/quiet.h", 'int say(const char *, ...) __attribute__((format(printf, 1, 2)));\n', None),
    ("runtime/other/x.c", "int y;\n", "no rule knows this folder"),
]
MORE_THAN_ONE = "included by more than one file"


def made_up_tree():
    """Yields (what is tried, whether the rules judged it rightly)."""
    with tempfile.TemporaryDirectory() as root:
        for path, text, _ in BAD_TREE:
            os.makedirs(os.path.dirname(os.path.join(root, path)), exist_ok=True)
            with open(os.path.join(root, path), "w", encoding="utf-8") as f:
                f.write(text)
        found, _ = faults(root)
        for path, _, words in BAD_TREE:
            # "runtime/base: no rule" style faults begin with the path, too.
            own = [f for f in found if f.startswith(path + ":")]
            if words is None:
                yield f"made-up tree: {path} is let through", not own
            else:
                yield f"made-up tree: {path} is refused ({words})", len(own) == 1 and words in own[0]
        yield "made-up tree: the PDF library in two files is refused", any(MORE_THAN_ONE in f for f in found)


def main():
    bad = False
    for name, good in made_up_tree():
        print(("ok - " if good else "not ok - ") + name)
        bad = bad or not good
    found, read = faults(ROOT)
    if found or read == 0:
        bad = True
        print(f"not ok - the arrows of this tree run one way ({len(found)} faults in {read} include lines)")
        for fault in found:
            print("#", fault)
    else:
        print(f"ok - the arrows of this tree run one way ({read} include lines)")
    return bad


if __name__ == "__main__":
    sys.exit(main())
