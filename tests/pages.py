"""The pages of a PDF as another reader sees them: every text and every path, in the order in which they are drawn.

    sys.path.insert(0, os.path.join(os.path.dirname(os.path.abspath(__file__)), ".."))
    import pages

mutool traces what a page draws. Millimetres from the page's upper left corner, y down, as in runtime/draw/display.h.
"""
import html
import re
import subprocess

MM = 25.4 / 72
CAP = 1456 / 2048  # of the fonts of the books: cap height in parts of the size


class Text:
    __slots__ = ("page", "x", "y", "end", "cap", "bold", "turned", "text")

    def __repr__(self):
        return f"{self.page}: {self.x:.1f},{self.y:.1f} {self.cap:.1f}{'b' if self.bold else ''}{' turned' if self.turned else ''} {self.text}"


class Path:
    __slots__ = ("page", "width", "grey", "filled", "points", "curves")


ATTRIBUTE = re.compile(r'(\w+)="([^"]*)"')
GLYPH = re.compile(r'<g unicode="([^"]*)" glyph="\d+" x="([^"]*)" y="([^"]*)" adv="([^"]*)"')
POINT = re.compile(r'x="([^"]*)" y="([^"]*)"')
LAST = re.compile(r'x3="([^"]*)" y3="([^"]*)"')


def read(pdf, with_paths=False):
    """(texts, paths) of all pages; paths only when asked for."""
    trace = subprocess.run(["mutool", "draw", "-q", "-F", "trace", pdf], capture_output=True, text=True, timeout=300,
                           check=True, errors="replace").stdout
    texts, paths = [], []
    page, high, text, path, size = 0, 0.0, None, None, 0.0
    for line in trace.split("\n"):
        line = line.lstrip()
        if line.startswith("<g "):
            c, x, y, adv = GLYPH.match(line).groups()
            c = html.unescape(c) if c.startswith("&") else c
            x, y = float(x), float(y)
            if not text.text:
                text.x, text.y = x * MM, (high - y) * MM
            text.text += c
            text.end = (x + (0 if text.turned else float(adv) * size)) * MM
        elif line.startswith("<span "):
            a = dict(ATTRIBUTE.findall(line))
            m = [float(v) for v in a["trm"].split()]
            size = (m[0] ** 2 + m[1] ** 2) ** 0.5
            text = Text()
            text.page, text.text, text.cap, text.bold = page, "", size * CAP * MM, "Bold" in a["font"]
            text.turned = abs(m[1]) > 1e-6
            texts.append(text)
        elif line.startswith("<page "):
            page += 1
            high = float(re.search(r'mediabox="\S+ \S+ \S+ ([^"]*)"', line).group(1))
        elif not with_paths:
            continue
        elif line.startswith(("<stroke_path", "<fill_path")):
            a = dict(ATTRIBUTE.findall(line))
            path = Path()
            path.page, path.filled, path.curves = page, line.startswith("<f"), 0
            path.width, path.grey, path.points = float(a.get("linewidth", 0)) * MM, float(a.get("color", "0").split()[0]), []
            paths.append(path)
        elif line.startswith(("<moveto", "<lineto")):
            x, y = POINT.search(line).groups()
            path.points.append((float(x) * MM, (high - float(y)) * MM, line[1] == "m"))
        elif line.startswith("<curveto"):
            x, y = LAST.search(line).groups()
            path.points.append((float(x) * MM, (high - float(y)) * MM, False))
            path.curves += 1
    return [t for t in texts if t.text.strip()], paths
