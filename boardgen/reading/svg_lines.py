"""Closed shapes of an SVG drawing: W3C SVG 1.1, chapters 8 and 9, from memory, confident."""

import math
import re
from collections.abc import Iterator
from xml.etree import ElementTree as ET

from boardgen.model.outline import Ring
from boardgen.reading.drawn_lines import MEET_MM, DrawingError, ring_of
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
    scale, low = _measures(root)
    for element in root.iter():
        kind = element.tag.rpartition("}")[2]
        if "transform" in element.attrib:
            raise DrawingError(f"turns or moves a {kind}; save its shapes without transform")
        if kind not in _SHAPES:
            continue
        for line in _lines(kind, element):
            if line.closed or math.dist(line.start, line.pieces[-1].end) * scale < MEET_MM:
                yield ring_of(turned_up(line, scale, low))


def _measures(root: ET.Element) -> tuple[float, float]:
    """Tell how many millimetres a unit is, and where the drawing's lower edge lies."""
    width = _LENGTH.fullmatch(root.get("width", ""))
    height = _LENGTH.fullmatch(root.get("height", ""))
    box = [float(at) for at in re.split(r"[\s,]+", root.get("viewBox", "").strip()) if at]
    for told in (width, height):
        if told and told[2] not in _UNITS_MM:
            raise DrawingError(f"is sized in {told[2]}; save it with sizes in mm")
    if len(box) == 4 and width and height:  # noqa: PLR2004 - x, y, width, height
        return float(width[1]) * _UNITS_MM[width[2]] / box[2], box[1] + box[3]
    if len(box) == 4:  # noqa: PLR2004
        return 1.0, box[1] + box[3]
    return 1.0, float(height[1]) if height else 0.0


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
        x, y, w, h = (measure(name) for name in ("x", "y", "width", "height"))
        r = measure("rx") or measure("ry")
        bend = f"a {r} {r} 0 0 1" if r else ""
        if not r:
            return parse(f"M {x} {y} h {w} v {h} h {-w} Z")
        return parse(
            f"M {x + r} {y} h {w - 2 * r} {bend} {r} {r} v {h - 2 * r} {bend} {-r} {r}"
            f" h {2 * r - w} {bend} {-r} {-r} v {2 * r - h} {bend} {r} {-r} Z"
        )
    except PathDataError as error:
        raise DrawingError(f"a {kind} cannot be read: {error}; draw it of lines and arcs") from None
    except ValueError:
        raise DrawingError(
            f"a {kind} has no plain numbers; save it in units of the drawing"
        ) from None
