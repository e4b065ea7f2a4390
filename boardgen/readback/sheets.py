"""The sheets of placement pictures: windows of one drawing, at the scale that they tell."""

import math
import re
import xml.etree.ElementTree as ET
from collections.abc import Iterator

_SVG = "{http://www.w3.org/2000/svg}"
_LINK = "{http://www.w3.org/1999/xlink}href"
_SIZED = 0.002
"""Scales agree to so much: numbers are written to three decimals."""
_TITLE = re.compile(
    r".+, parts on the (top|bottom), drawn ([\d.]+) times as large(, sheet \d+ of \d+)?"
)
_KEY = re.compile(
    r"(K cathode, A anode\. The black spot is where the LED shows its mark: .+?\. )?"
    r"(\+ and − stand at the connector's poles; a square land is pin 1\. )?"
    r"(Beside each R its value in ohm; on the part stands [^.]+\. )?"
    r"([A-Z]+\d[^:]*: [^:]+\. )*"
    r"Print at 100 %: each ruler measures 50 mm on paper, or the printer has changed the size\."
)
_BESIDE = re.compile(r"cut \d+|50 mm")
_RULERS = ("h50", "v50")


def drawn_once(root: ET.Element) -> ET.Element | None:
    """Find the drawing that the windows of a sheet show; None where there is no sheet."""
    return root.find(f"{_SVG}defs/{_SVG}g[@id='parts']")


def windows(root: ET.Element) -> Iterator[tuple[list[float], float, float]]:
    """List the windows of a sheet: left, top, width, height on the board, and both scales."""
    for shown in root.findall(f"{_SVG}svg"):
        box = _numbers(shown.get("viewBox"))
        wide, high = (_numbers(shown.get(key)) for key in ("width", "height"))
        if len(box) == 4 and len(wide) == len(high) == 1 and box[2] and box[3]:  # noqa: PLR2004
            yield box, wide[0] / box[2], high[0] / box[3]


def sheet_faults(root: ET.Element, side: str) -> Iterator[str]:
    """Hold a sheet: its scale as told, its windows apart and on paper, its rulers, its words."""
    words = {key: root.findtext(f"{_SVG}{key}") or "" for key in ("title", "desc")}
    told = _TITLE.fullmatch(words["title"])
    if told is None or told[1] != side:
        yield "its title is not that of its side"
        return
    box = _numbers(root.get("viewBox"))
    paper = [_numbers((root.get(key) or "").removesuffix("mm")) for key in ("width", "height")]
    if box[:2] != [0.0, 0.0] or box[2:] != [*paper[0], *paper[1]]:
        yield "its sheet is not drawn in millimetres of paper"
    shown = list(windows(root))
    uses = [element for element in root.iter() if element.tag == f"{_SVG}use"]
    if len(shown) != len(uses) or any(use.get(_LINK) != "#parts" for use in uses) or not shown:
        yield "its windows do not show its drawing"
    if not all(math.isclose(scale, float(told[2]), rel_tol=_SIZED)
               for _, *scales in shown for scale in scales):  # fmt: skip
        yield f"is not enlarged {told[2]} times as it says"
    yield from _apart(root, box)
    data = next(
        (e.get("d", "") for e in root.findall(f"{_SVG}path") if e.get("id") == "rulers"), ""
    )
    if not all(ruler in data for ruler in _RULERS):
        yield "its rulers are not 50 mm long"
    yield from _said(root, words["title"], words["desc"])


def _apart(root: ET.Element, sheet: list[float]) -> Iterator[str]:
    """Hold what stands on a sheet: a white ground first, windows one below the other upon it."""
    grounds = root.findall(f"{_SVG}rect")
    if [ground.get("fill") for ground in grounds] != ["white"]:
        yield "its layers are not those that boardgen draws"
    beside = [path for path in root.iter(f"{_SVG}path") if path not in set(_drawn_paths(root))]
    if [(path.get("id"), path.get("fill")) for path in beside] != [("rulers", "none")]:
        yield "its layers are not those that boardgen draws"
    below = 0.0
    for shown in root.findall(f"{_SVG}svg"):
        x, y, wide, high = (
            next(iter(_numbers(shown.get(key))), 0.0) for key in ("x", "y", "width", "height")
        )
        if y < below or x < 0 or x + wide > sheet[2] + _SIZED or y + high > sheet[3]:
            yield "its windows lie upon one another or beyond its sheet"
        below = y + high


def _drawn_paths(root: ET.Element) -> Iterator[ET.Element]:
    drawn = drawn_once(root)
    if drawn is not None:
        yield from drawn.iter(f"{_SVG}path")


def _said(root: ET.Element, title: str, key: str) -> Iterator[str]:
    """Hold its printed words against its title and its description, and these against usage."""
    texts = [element.text or "" for element in root.iter() if element.tag == f"{_SVG}text"]
    heading, rest = texts[:1], [text for text in texts[1:] if not _BESIDE.fullmatch(text)]
    if heading != [title] or " ".join(rest) != key or not _KEY.fullmatch(key):
        yield "holds words as boardgen never writes them"


def _numbers(text: str | None) -> list[float]:
    return [float(number) for number in re.findall(r"-?\d+(?:\.\d+)?", text or "")]
