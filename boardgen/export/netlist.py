"""Test netlist: IPC-D-356A, one record for each land, via and unplated hole, and the board's edge.

Source: columns as recorded in docs/sources.md, formats, where a reader confirmed them;
the standard itself is sold and was not read. Mask access and the edge record are from memory.
"""

import math
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from typing import NamedTuple

from boardgen.export.stamp import stamp
from boardgen.model.artwork import Artwork, Hole, Item, LayerKind, Purpose
from boardgen.model.board import Side
from boardgen.model.design import Design
from boardgen.model.outputs import OutputFile, OutputFiles
from boardgen.model.shapes import UDEG, Box, Contour, Disc, Point, Stroke
from boardgen.units import MM_PER_INCH, NM_PER_MM, NM_PER_UM, Nm

_LARGEST_COORDINATE, _LARGEST_SIZE = 999_999, 9_999
_EDGE_HEAD = 22
_COLUMNS = 80


class _Unit(NamedTuple):
    """What a whole number in the file stands for."""

    word: str
    nm: float

    def of(self, length_nm: float) -> int:
        return round(length_nm / self.nm)


_MICROMETRES = _Unit("CUST 1", NM_PER_UM)
_TENTHS_OF_MIL = _Unit("CUST 0", MM_PER_INCH * NM_PER_MM / 10_000)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Record:
    """One place to put a probe on, or one hole."""

    kind: str
    net: str
    reference: str
    pin: str
    centre: Point
    size_nm: tuple[int, int]
    turn_deg: int
    middle: bool
    hole: Hole | None
    access: int
    covered: int


def netlist(design: Design) -> OutputFiles:
    """Write the test netlist.

    Returns
    -------
    OutputFiles
        ``fabrication/<board>_netlist.ipc``: whole micrometres, or tenths of a mil where the board
        is longer than the six digits of a micrometre coordinate reach (999.999 mm).
    """
    made = stamp(design)
    reach = max(max(edge.end) for edge in design.artwork.profile.edges)
    unit = _MICROMETRES if _MICROMETRES.of(reach) <= _LARGEST_COORDINATE else _TENTHS_OF_MIL
    records = sorted(
        (*_lands(design.artwork), *_holes(design.artwork)),
        key=lambda record: (record.kind == "367", record.net, record.centre, record.pin),
    )
    clipped = [f"{record.reference}-{record.pin}" for record in records
               if max(map(unit.of, record.size_nm)) > _LARGEST_SIZE]  # fmt: skip
    lines = [
        f"C  test netlist of {made.project}, written by boardgen {made.program_version}",
        *(f"C  larger than its size field holds: {name}" for name in clipped),
        f"P  JOB   {made.project}",
        f"P  UNITS {unit.word}",
        f"P  NUM   {made.identity}",
        f"P  REV   {made.revision}",
        "P  VER   IPC-D-356A",
        "P  IMAGE PRIMARY",
        *(_line(record, unit) for record in records),
        *(line for edge in design.artwork.edges for line in _edge(edge, unit)),
        "999",
        "",
    ]
    return (
        OutputFile(
            path=f"fabrication/{made.project}_netlist.ipc",
            content="\n".join(lines).encode("ascii"),
        ),
    )


def _line(record: _Record, unit: _Unit) -> str:
    """Write a record into its columns."""
    hole = record.hole
    drilled = f"D{unit.of(hole.diameter_nm):04d}{'P' if hole.plated else 'U'}" if hole else " " * 6
    width, height = (min(unit.of(size), _LARGEST_SIZE) for size in record.size_nm)
    return (
        f"{record.kind}{record.net:<14}   {record.reference:<6}"
        f"{' ' if record.reference == 'VIA' else '-'}{record.pin:<4}"
        f"{'M' if record.middle else ' '}{drilled}A{record.access:02d}"
        f"{_at(record.centre, unit)}X{width:04d}Y{height:04d}R{record.turn_deg:03d}"
        f" S{record.covered}"
    )


def _at(point: Point, unit: _Unit) -> str:
    return f"X{unit.of(point[0]):+07d}Y{unit.of(point[1]):+07d}"


def _lands(artwork: Artwork) -> Iterator[_Record]:
    """List lands and vias; what lies on both sides is listed once."""
    met = _ends_met(artwork)
    holes = {hole.centre: hole for hole in artwork.holes}
    seen: set[Point] = set()
    coppers = artwork.coppers()
    for layer in coppers:
        for item in layer.items:
            shape = item.shape
            if item.purpose not in _LANDS or not isinstance(shape, Disc | Box):
                continue
            hole = holes.get(shape.centre) if item.purpose is not Purpose.SURFACE_LAND else None
            if hole and shape.centre in seen:
                continue
            seen.add(shape.centre)
            via = item.purpose is Purpose.VIA_LAND
            both = hole is not None and len(coppers) > 1
            yield _Record(
                kind="317" if hole else "327",
                net=item.net,
                reference="VIA" if via else _owner(item),
                pin="" if via else (item.owner.pin if item.owner else ""),
                centre=shape.centre,
                size_nm=(2 * shape.radius_nm, 0)
                if isinstance(shape, Disc)
                else (shape.width_nm, shape.height_nm),
                turn_deg=0 if isinstance(shape, Disc) else round(shape.turn_udeg / UDEG),
                middle=via or met[shape.centre, item.net] > 1,
                hole=hole,
                access=0 if both else 1 + (layer.side is Side.BOTTOM),
                covered=_covered(artwork) if via else 0,
            )


_LANDS = (Purpose.SURFACE_LAND, Purpose.THROUGH_LAND, Purpose.VIA_LAND)


def _owner(item: Item) -> str:
    return item.owner.reference if item.owner else ""


def _ends_met(artwork: Artwork) -> Counter[tuple[Point, str]]:
    """Count how many ways lead away from a place: two or more make it a net's middle."""
    met: Counter[tuple[Point, str]] = Counter()
    for layer in artwork.coppers():
        for item in layer.items:
            if item.purpose is Purpose.TRACK and isinstance(item.shape, Stroke):
                points = item.shape.points
                met.update((point, item.net) for point in (*points[:-1], *points[1:]))
    return met


def _covered(artwork: Artwork) -> int:
    """Say on which sides mask lies over a via: 1 top, 2 bottom, 3 both."""
    masks = {layer.side for layer in artwork.layers if layer.kind is LayerKind.MASK}
    return (Side.TOP in masks) + 2 * (Side.BOTTOM in masks)


def _holes(artwork: Artwork) -> Iterator[_Record]:
    """List holes without land or barrel: screws, pegs, strain relief."""
    landed = {
        item.shape.centre
        for layer in artwork.coppers()
        for item in layer.items
        if item.purpose in _LANDS and isinstance(item.shape, Disc | Box)
    }
    for hole in artwork.holes:
        if hole.centre not in landed:
            yield _Record(
                kind="367",
                net="N/C",
                reference=hole.owner.reference if hole.owner else "",
                pin="",
                centre=hole.centre,
                size_nm=(hole.diameter_nm, 0),
                turn_deg=0,
                middle=False,
                hole=hole,
                access=0,
                covered=0,
            )


def _corners(edge: Contour) -> Iterator[Point]:
    """List the ends of lines and arcs in order; arcs of more than a quarter turn in steps."""
    start = edge.start
    for piece in edge.edges:
        if piece.centre is not None:
            (x, y), (x1, y1), (x2, y2) = piece.centre, start, piece.end
            turn = math.atan2(y2 - y, x2 - x) - math.atan2(y1 - y, x1 - x)
            whole = (-turn if piece.clockwise else turn) % math.tau or math.tau
            steps = math.ceil(whole / _STEP_RAD) if whole > _LONG_RAD else 1
            for step in range(1, steps):
                way = whole * step / steps * (-1 if piece.clockwise else 1)
                cos, sin = math.cos(way), math.sin(way)
                yield (
                    Nm(round(x + (x1 - x) * cos - (y1 - y) * sin)),
                    Nm(round(y + (x1 - x) * sin + (y1 - y) * cos)),
                )
        yield piece.end
        start = piece.end


_LONG_RAD, _STEP_RAD = math.radians(91), math.radians(10)
"""Longer arcs than the first get a point every ten degrees: own choice, 0.2 mm off on 100 mm."""


def _edge(edge: Contour, unit: _Unit) -> Iterator[str]:
    """Write an edge of the board in straight steps: the ends of its lines and arcs.

    The format knows no arcs. A rounded corner is cut; a longer arc gets points on its way, lest a
    round board be told as a line.
    """
    corners = list(_corners(edge))
    line = f"{'389BOARD_EDGE':<{_EDGE_HEAD}}"
    for point in (*corners, corners[0]):
        word = f"{_at(point, unit)} "
        if len(line) + len(word) > _COLUMNS:
            yield line.rstrip()
            line = "089 "
        line += word
    yield line.rstrip()
