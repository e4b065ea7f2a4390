"""Boards as they are joined: each edge where it comes to lie, LEDs, staples, the way in."""

import math
from collections.abc import Iterator
from dataclasses import dataclass

import svgwrite
from svgwrite.container import SVG
from svgwrite.path import Path

from boardgen.model.board import PartKind, Point, Side
from boardgen.model.chain import carried, closes, joined_poses
from boardgen.model.design import Design
from boardgen.model.outline import Ring, extremes
from boardgen.model.outputs import OutputFile, OutputFiles
from boardgen.model.pose import Pose
from boardgen.pages.sheet import LINE_MM, SHEET_MM, key_lines, lines_of, one_sheet
from boardgen.pages.view import View, number
from boardgen.pages.words import say

_LEFT_MM, _TOP_MM, _MOST_HIGH_MM, _AIR_MM = 12.0, 16.0, 190.0, 10.0
_BOARD, _LED, _WIRE, _PLUS, _LINE = "#f4f1e8", "#b9a46a", "#7a7f87", "#d35f00", "#222222"
_WIRE_MM, _EDGE_MM, _LEAD_MM = 0.8, 0.3, 12.0
_NUMBER_MM, _APART_MM = 4.0, 8.0
"""Numbers, and what two of them ask for: of boards that are shorter on paper only the ends'."""


def assembled(design: Design) -> OutputFiles:
    """Draw ``assembled.svg`` of boards that are joined, seen from the top.

    A first board with a connector of its own is not like those behind it, and is not drawn here.
    """
    if not design.parameters.joint.joined or not design.parameters.parts.connector.pattern.bodiless:
        return ()
    chain = _chain(design)
    (left, low), (right, top) = chain.box()
    wide, high = right - left + 2 * _AIR_MM, top - low + 2 * _AIR_MM
    scale = min((SHEET_MM[0] - 2 * _LEFT_MM) / wide, _MOST_HIGH_MM / high)
    boards = design.circuit.boards
    title = say("assembled.title", title=design.parameters.board.title, boards=boards)
    key = lines_of(list(_told(design, chain)))
    tall = _TOP_MM + high * scale + (len(key) + 2) * LINE_MM
    drawing = one_sheet(title, key, tall)
    shown = SVG(
        (number(_LEFT_MM), number(_TOP_MM)), (number(wide * scale), number(high * scale)),
        viewBox=f"0 0 {number(wide)} {number(high)}",
    )  # fmt: skip
    origin = Pose(x_mm=_AIR_MM - left, y_mm=_AIR_MM - low)
    for path in _paths(design, chain.moved(origin), View(Side.TOP, wide, high)):
        shown.add(path)
    drawing.add(shown)
    _numbered(drawing, design, chain.moved(origin), (scale, high))
    key_lines(drawing, key, (_LEFT_MM, _TOP_MM + high * scale + 1.5 * LINE_MM))
    return (OutputFile(path="assembled.svg", content=f"{drawing.tostring()}\n".encode()),)


@dataclass(frozen=True, slots=True)
class _Chain:
    """Where boards lie, and their edges there."""

    poses: tuple[Pose, ...]
    edges: tuple[Ring, ...]

    def box(self) -> tuple[Point, Point]:
        """Give the lower left and the upper right corner of all."""
        xs, ys = zip(*(at for ring in self.edges for at in extremes(ring)), strict=True)
        return (min(xs), min(ys)), (max(xs), max(ys))

    def moved(self, by: Pose) -> "_Chain":
        """Move all boards alike."""
        poses = tuple(
            Pose(x_mm=pose.x_mm + by.x_mm, y_mm=pose.y_mm + by.y_mm, turn_deg=pose.turn_deg)
            for pose in self.poses
        )
        return _Chain(poses, tuple(carried(ring, by) for ring in self.edges))


def _chain(design: Design) -> _Chain:
    poses = joined_poses(design.board.spines[0], design.parameters.alike_boards)
    return _Chain(poses, tuple(carried(design.board.outline.outer, pose) for pose in poses))


def _paths(design: Design, chain: _Chain, view: View) -> Iterator[Path]:
    """Draw the last board first: the tongue of each lies in the notch of the next."""
    edges = "".join(view.ring(ring) for ring in reversed(chain.edges))
    yield _path("boards", edges, _BOARD, _LINE, _EDGE_MM)
    leds = "".join(
        view.lines([pose.place(*corner) for corner in part.corners(part.pattern.body)]) + "Z"
        for pose in chain.poses
        for part in design.board.parts
        if part.kind is PartKind.LED
    )
    yield _path("leds", leds, _LED, _LINE, _EDGE_MM / 2)
    for name, function, colour in (("minus", "-", _LINE), ("plus", "+", _PLUS)):
        wires = "".join(view.lines(wire) for wire in _wires(design, chain, function))
        yield _path(name, wires, "none", colour, _WIRE_MM)


def _path(name: str, data: str, fill: str, stroke: str, width_mm: float) -> Path:
    path = Path(d=data, id=name, debug=False, fill=fill, stroke=stroke)
    path["stroke-width"] = number(width_mm)
    path["stroke-linecap"] = "round"
    return path


def _wires(design: Design, chain: _Chain, function: str) -> Iterator[tuple[Point, Point]]:
    """Lead the supply to the first board, and from each to the next one's lands of a pole."""
    first, far = (
        next(part for part in design.board.parts if part.kind is kind)
        for kind in (PartKind.CONNECTOR, PartKind.JOINT)
    )
    near = first.pattern.by_function(function)
    at = chain.poses[0].place(*first.land_place(near))
    out = first.place(near.x_mm, first.pattern.body.bottom_mm - _LEAD_MM / 2)
    yield chain.poses[0].place(*out), at
    for here, there in zip(chain.poses, chain.poses[1:], strict=False):
        leaves = far.land_place(far.pattern.by_function(function))
        yield here.place(*leaves), there.place(*first.land_place(near))


def _numbered(
    drawing: svgwrite.Drawing, design: Design, chain: _Chain, onto: tuple[float, float]
) -> None:
    """Write each board's number beside the middle of its line."""
    scale, high = onto
    spine = design.board.spines[0]
    half = max(abs(spine.locate(bow.end)[1]) for bow in design.board.outline.outer)
    away = half + _NUMBER_MM / scale
    first = design.circuit.boards - len(chain.poses) + 1
    near = spine.length_mm * scale < _APART_MM
    for place, pose in enumerate(chain.poses, start=first):
        if near and place not in (first, design.circuit.boards):
            continue
        x, y = pose.place(*spine.place(spine.length_mm / 2, -away))
        at = (_LEFT_MM + x * scale, _TOP_MM + (high - y) * scale + 0.36 * _NUMBER_MM)
        drawing.add(
            drawing.text(
                f"{place}", tuple(map(number, at)), font_size=number(_NUMBER_MM),
                font_family="sans-serif", text_anchor="middle",
            )
        )  # fmt: skip


def _told(design: Design, chain: _Chain) -> Iterator[str]:
    """Tell sizes, what the chain draws, and how it is put together."""
    (left, low), (right, top) = chain.box()
    circuit, boards = design.circuit, len(chain.poses)
    if design.parameters.fed_by_another:
        yield say("assembled.behind")
    yield say(
        "assembled.size", boards=boards, leds=boards * design.parameters.light.count,
        length=number(round(right - left, 1)), width=number(round(top - low, 1)),
    )  # fmt: skip
    if closes(design.board.spines[0], boards) and boards == circuit.boards:
        yield say("assembled.closes")
    yield say("assembled.fed", nominal=f"{1000 * circuit.nominal_a:.0f}",
              most=f"{math.ceil(1000 * circuit.worst_a)}")  # fmt: skip
    yield say("assembled.staples", staples=2 * (circuit.boards - 1))
