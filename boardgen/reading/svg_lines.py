"""Closed shapes of an SVG drawing: W3C SVG 1.1, chapters 8 and 9, from memory, confident."""

import math
import re
from collections.abc import Iterator
from xml.etree import ElementTree as ET

from boardgen.model.outline import Ring
from boardgen.reading.drawn_lines import MEET_MM, DrawingError, not_read, ring_of
from boardgen.standards.path_data import Drawn, PathDataError, parse, turned_up
from boardgen.units import MM_PER_INCH

_UNITS_MM = {"mm": 1.0, "cm": 10.0, "in": MM_PER_INCH, "": 1.0}
_LENGTH = re.compile(r"\s*([\d.]+)\s*([a-z]*)\s*")


def svg_rings(content: bytes) -> Iterator[Ring]:
    """Read closed shapes of an SVG file, y turned up from its lower edge."""
    if b"<!DOCTYPE" in content or b"<!ENTITY" in content:
        raise DrawingError("declares a document type; save it without")
    try:
        root = ET.fromstring(content)  # noqa: S314 - no entities are declared, one megabyte at most
    except ET.ParseError as error:
        raise DrawingError(f"is no SVG ({error}); save it as plain SVG") from None
    _refuse_style_sheets(content, root)
    scale, low = _measures(root)
    for kind, element in _shown(root):
        if "transform" in element.attrib:
            raise DrawingError(f"turns or moves a {kind}; save its shapes without transform")
        if kind in _UNREAD:
            raise not_read(kind, "paths, polygons, rectangles and circles")
        for line in _lines(kind, element) if kind in _SHAPES else ():
            drawn = turned_up(line, scale, low)
            (x, y), closed = drawn.pieces[-1].end, drawn.closed
            if not closed and math.dist(drawn.start, (x, y)) >= MEET_MM:
                raise DrawingError(f"a {kind} ends in the open at ({x:.4g}, {y:.4g}) mm; close it")
            yield ring_of(drawn)


def _refuse_style_sheets(content: bytes, root: ET.Element) -> None:
    """Refuse sheets that may hide shapes: they hold wherever they stand, and are not read."""
    sheets = [
        _COMMENT.sub(" ", element.text or "")
        for element in root.iter()
        if str(element.tag).rpartition("}")[2] == "style"
    ]
    if b"<?xml-stylesheet" in content or any(map(_HIDING.search, sheets)):
        raise DrawingError(
            "may hide shapes by a style sheet; delete hidden shapes and save it without one"
        )


def _shown(element: ET.Element, *, seen: bool = True) -> Iterator[tuple[str, ET.Element]]:
    """List what is drawn: what only serves others, such as a clip, or is hidden is left out.

    Nothing within what is not displayed is; what is only invisible may hold, or use, what is seen
    (11.5).
    """
    kind = str(element.tag).rpartition("}")[2]
    if kind in _SERVING or _property(element, "display") == "none":
        return
    seen = _SEEN.get(_property(element, "visibility"), seen)
    if seen or kind not in {*_SHAPES, *_UNREAD} - {"use"}:
        yield kind, element
    for child in element:
        yield from _shown(child, seen=seen)


_SEEN = {"visible": True, "initial": True, "hidden": False, "collapse": False}
"""Any other word leaves it as it is around."""
_HIDING = re.compile("display|visibility|@import", re.IGNORECASE)
_COMMENT = re.compile(r"/\*.*?\*/", re.DOTALL)


def _property(element: ET.Element, name: str) -> str:
    """Tell a property: what stands in ``style`` goes before an attribute (SVG 1.1, 6.4).

    Of several the last, or the last that is important (CSS 2, 6.4.2).
    """
    style = _COMMENT.sub(" ", element.get("style", "")).lower()
    said = [part.partition(":")[::2] for part in style.split(";")]
    told = [value.partition("!") for key, value in said if key.strip() == name]
    if not told:
        return element.get(name, "").strip().lower()
    important = [one for one in told if one[2].strip() == "important"]
    return (important or told)[-1][0].strip()


_UNREAD = ("ellipse", "polyline", "line", "use", "text", "image")
_SERVING = ("defs", "clipPath", "mask", "symbol", "pattern", "marker", "metadata")


def _measures(root: ET.Element) -> tuple[float, float]:
    """Tell how many millimetres a unit is, and where the drawing's lower edge lies."""
    told = [_LENGTH.fullmatch(root.get(side, "")) for side in ("width", "height")]
    for one in told:
        if one and one[2] not in _UNITS_MM:
            raise DrawingError(f"is sized in {one[2]}; save it with sizes in mm")
    try:
        sizes = [float(one[1]) * _UNITS_MM[one[2]] if one else 0.0 for one in told]
        box = [float(at) for at in re.split(r"[\s,]+", root.get("viewBox", "").strip()) if at]
    except ValueError:
        raise DrawingError("has no plain sizes; save it with width, height and viewBox") from None
    if not box and all(one is None or one[2] in {"", "mm"} for one in told):
        return 1.0, sizes[1]
    if len(box) != 4 or min(box[2:]) <= 0:  # noqa: PLR2004 - x, y, width, height
        raise DrawingError("has no plain viewBox; save it with one")
    scales = [size / side for size, side in zip(sizes, box[2:], strict=True) if size]
    if len(scales) == 2 and abs(scales[0] / scales[1] - 1) > _ALIKE:  # noqa: PLR2004 - both
        raise DrawingError("is as wide as its viewBox, not as high; save it at one scale")
    return (scales[0] if scales else 1.0), box[1] + box[3]


_ALIKE = 1e-3


_SHAPES = ("path", "rect", "circle", "polygon")


def _lines(kind: str, element: ET.Element) -> list[Drawn]:
    def measure(name: str) -> float:
        return float(element.get(name) or 0.0)

    try:
        if kind == "path":
            return parse(element.get("d", ""))
        if kind == "polygon":
            return parse(f"M {element.get('points', '')} Z")
        if kind == "circle":
            x, y, r = measure("cx"), measure("cy"), measure("r")
            return parse(f"M {x - r} {y} A {r} {r} 0 0 1 {x + r} {y} A {r} {r} 0 0 1 {x - r} {y} Z")
        return _rectangle(*(measure(name) for name in ("x", "y", "width", "height", "rx", "ry")))
    except PathDataError as error:
        raise DrawingError(f"a {kind} cannot be read: {error}; draw it of lines and arcs") from None
    except ValueError:
        raise DrawingError(
            f"a {kind} has no plain numbers; save it in units of the drawing"
        ) from None


def _rectangle(x: float, y: float, w: float, h: float, rx: float, ry: float) -> list[Drawn]:
    """Draw a rectangle, its corners round where it says so."""
    r, other = rx or ry, ry or rx
    if r != other or 2 * r > min(w, h):
        raise PathDataError("its corners are parts of an ellipse")
    if not r:
        return parse(f"M {x} {y} h {w} v {h} h {-w} Z")
    bend = f"a {r} {r} 0 0 1"
    # Half circles at its ends leave nothing straight between them.
    sides = [
        (f"h {w - 2 * r}", w),
        (f"v {h - 2 * r}", h),
        (f"h {2 * r - w}", w),
        (f"v {2 * r - h}", h),
    ]
    ends = [(r, r), (-r, r), (-r, -r), (r, -r)]
    around = " ".join(
        f"{side if long > 2 * r else ''} {bend} {dx} {dy}"
        for (side, long), (dx, dy) in zip(sides, ends, strict=True)
    )
    return parse(f"M {x + r} {y} {around} Z")
