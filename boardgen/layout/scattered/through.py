"""Vias beside lands: 0 V is led to the other side's pour, or the supply up from there."""

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace

from boardgen.geometry.contours import polyline
from boardgen.geometry.measuring import near_lines, near_pairs
from boardgen.geometry.placing import contour, half, point
from boardgen.layout.cell import MARGIN_MM, branch_track_mm, edge_mm
from boardgen.layout.course import Course
from boardgen.layout.drawing import populated, screws, vias
from boardgen.layout.marks import printed_marks
from boardgen.layout.scattered.windows import around
from boardgen.layout.spines.claims import clear, spoke_places
from boardgen.model import looks
from boardgen.model.board import Board, Part, Point, Side, Track
from boardgen.model.circuit import RETURN_NET, SUPPLY_NET, Circuit
from boardgen.model.parameters import Parameters
from boardgen.model.shapes import Disc, Shape
from boardgen.tolerances import HAIR_MM
from boardgen.units import snap

AROUND = tuple(
    (away * math.cos(turn), away * math.sin(turn))
    for away in (1.0, 2.0, 3.0, 4.0, 6.0, 8.0)
    for turn in (math.tau * twelfth / 12 for twelfth in range(12))
)
"""Places around a part, in millimetres, nearest first."""

_Stub = tuple[Point, Point]
_Stubs = Callable[[Parameters, Part, str], list[_Stub]]
"""Lists tracks from a land to a via beside it, the nearest first."""


def with_joints(parameters: Parameters, circuit: Circuit, course: Course) -> Course | None:
    """Lead what is on 0 V to vias of its own: the other pour is whole, whatever tracks cut."""
    lands = [(branch.leds[-1], "K") for branch in circuit.branches]
    lands += [("TP2", "1")] if course.probes else []

    def joined(before: Course, at: Point) -> Course:
        return replace(before, joints=(*before.joints, at))

    return _through(parameters, circuit, course, (RETURN_NET, lands, _from_spokes, joined))


def with_risers(parameters: Parameters, circuit: Circuit, course: Course) -> Course | None:
    """Lead the supply up to each ballast, and to its test point, by a via beside the land."""
    lands = [(branch.ballasts[0], "1") for branch in circuit.branches]
    lands += [("TP1", "1")] if course.probes else []

    def risen(before: Course, at: Point) -> Course:
        return replace(before, risers=(*before.risers, at))

    return _through(parameters, circuit, course, (SUPPLY_NET, lands, _off_the_part, risen))


_Wanted = tuple[str, list[tuple[str, str]], _Stubs, Callable[[Course, Point], Course]]
"""A net, its lands by part and pin or function, their stubs, and how a via is put down."""


def _through(
    parameters: Parameters, circuit: Circuit, course: Course, wanted: _Wanted
) -> Course | None:
    """Give each land the nearest via that is clear of all else; None where one has none."""
    net, lands, stubs_of, put = wanted
    board = populated(parameters, circuit, course)
    board = replace(board, holes=screws(parameters, course), vias=vias(parameters, circuit, course))
    marks = printed_marks(parameters, board) if parameters.printed else ()
    printed = [(mark.points, polyline(tuple(map(point, mark.points)), half(mark.stroke_mm)))
               for mark in marks]  # fmt: skip
    for reference, pin in lands:
        part = board.part(reference)
        # What is far away has been clear before, and stays so.
        view = around((part.x_mm, part.y_mm), board)
        near = view.part_of(board)
        lines = [line for points, line in printed if view.near(points)]
        for stub in _off_print(parameters, board, stubs_of(parameters, part, pin), lines):
            track = Track(net=net, side=Side.TOP, width_mm=branch_track_mm(parameters), points=stub)
            alone = replace(course, joints=(), risers=(), via_from_mm=None)
            through = vias(parameters, circuit, put(alone, stub[1]))
            tried = replace(near, tracks=(*near.tracks, track), vias=(*near.vias, *through))
            if clear(tried, parameters.parts.limits, edge_mm(parameters)):
                break
        else:
            return None
        board = replace(board, tracks=(*board.tracks, track), vias=(*board.vias, *through))
        course = replace(put(course, stub[1]), routes=(*(course.routes or ()), track))
    return course


def _from_spokes(parameters: Parameters, part: Part, pin: str) -> list[_Stub]:
    """Begin where a spoke ends, so that no more copper leaves this land than the other."""
    land = part.pattern.by_function(pin) if pin == "K" else part.pattern.land(pin)
    ends = spoke_places(part, land, parameters.parts.limits)
    return [(end, (end[0] + right, end[1] + up)) for right, up in AROUND for end in ends]


def _off_the_part(parameters: Parameters, part: Part, pin: str) -> list[_Stub]:
    """Begin amid the land, and lead away from the part to a via that is off the land."""
    land, limits = part.pattern.land(pin), parameters.parts.limits
    x, y = part.land_place(land)
    off = math.hypot(land.width_mm, land.height_mm) / 2 + limits.aims.via_land_mm / 2 + MARGIN_MM
    back = (part.x_mm - x, part.y_mm - y)
    return [
        ((x, y), (x + right, y + up))
        for right, up in AROUND
        if math.hypot(right, up) >= off and right * back[0] + up * back[1] <= HAIR_MM
    ]


def _off_print(
    parameters: Parameters, board: Board, stubs: Sequence[_Stub], printed: Sequence[Shape]
) -> Iterator[_Stub]:
    """Leave out vias under print; those off fingers' places come first."""
    limits = parameters.parts.limits
    rings = [Disc(point(via), half(limits.aims.via_land_mm)) for _, via in stubs]
    off = snap(limits.aims.legend_land_mm + MARGIN_MM)
    printed_over = {one for one, _, _ in near_pairs(rings, printed, off)}
    edges = [contour(ring) for ring in board.outline.rings]
    held = {place for _, place, _ in near_lines(edges, rings, snap(looks.HAND_MM))}
    for place in sorted(range(len(stubs)), key=lambda place: place in held):
        if place not in printed_over:
            yield stubs[place]
