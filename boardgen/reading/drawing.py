"""A board's edge and cut-outs from a drawing beside the parameter file: SVG or DXF."""

import hashlib
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from boardgen.errors import RefusalError
from boardgen.geometry.contents import contour_fault
from boardgen.geometry.placing import contour
from boardgen.geometry.regions import union
from boardgen.model.outline import (
    Drawing,
    Outline,
    Ring,
    backwards,
    extremes,
    moved,
    signed_area_mm2,
    walk,
)
from boardgen.reading.drawn_lines import DrawingError
from boardgen.reading.dxf_lines import dxf_rings
from boardgen.reading.files import read_user_file
from boardgen.reading.reader import Reader
from boardgen.reading.svg_lines import svg_rings

_LOCATION = ("form", "outline")
_LEAST_MM2 = 0.01


def drawing(reader: Reader, name: str) -> Drawing | None:
    """Read a drawing: its largest closed line is the edge, all others are cut-outs.

    None, with the fault noted at the key, where it cannot be read.
    """
    read = {".svg": svg_rings, ".dxf": dxf_rings}.get(Path(name).suffix)
    if read is None or Path(name).name != name or reader.folder is None:
        reader.refuse(
            _LOCATION, f'"{name}" is no drawing beside this file', 'write outline = "edge.svg"'
        )
        return None
    try:
        content = read_user_file(reader.folder / name)
        return _drawn(list(read(content)), hashlib.sha256(content).hexdigest())
    except RefusalError as refusal:
        reader.refuse(_LOCATION, f"{name} {refusal.problems[0].what}", "lay it beside this file")
    except DrawingError as error:
        what, _, remedy = str(error).partition("; ")
        reader.refuse(_LOCATION, f"{name}: {what}", remedy or "draw it anew")
    return None


def _drawn(rings: Sequence[Ring], digest: str) -> Drawing:
    """Sort rings into the edge, counter-clockwise, and cut-outs, clockwise; move them to 0, 0."""
    rings = [ring for ring in rings if abs(signed_area_mm2(ring)) > _LEAST_MM2]
    if not rings:
        raise DrawingError("shows no closed line; draw the edge as one")
    outer, *inner = sorted(rings, key=lambda ring: -abs(signed_area_mm2(ring)))
    outer = outer if signed_area_mm2(outer) > 0 else backwards(walk(outer))
    inner = [ring if signed_area_mm2(ring) < 0 else backwards(walk(ring)) for ring in inner]
    xs, ys = zip(*extremes(outer), strict=True)
    left, low = min(xs), min(ys)
    board = Outline(
        length_mm=max(xs) - left, width_mm=max(ys) - low, outer=moved(outer, (-left, -low))
    )
    inner = [moved(ring, (-left, -low)) for ring in inner]
    _refuse_meeting(board.outer, inner)
    return Drawing(replace(board, inner=tuple(inner)), (left, low), digest)


def _refuse_meeting(outer: Ring, inner: Sequence[Ring]) -> None:
    """Refuse lines that cross themselves or one another: no cutter follows them."""
    named = [("the edge", contour(outer))]
    named += [(f"cut-out {number}", contour(ring)) for number, ring in enumerate(inner, start=1)]
    for name, ring in named:
        if contour_fault(ring):
            raise DrawingError(f"{name} crosses itself; draw it as one simple line")
    board = union([named[0][1]])
    for place, (name, ring) in enumerate(named[1:], start=1):
        if not board.covers(ring):
            raise DrawingError(f"{name} crosses the edge or lies outside; keep one board to a file")
        for other, second in named[1:place]:
            if (union([ring]) & union([second])).area_nm2 > 0:
                raise DrawingError(f"{name} meets {other}; draw both as one")
