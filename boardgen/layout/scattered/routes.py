"""Tracks where no spine leads: from LED to LED of a branch, and from the supply to every tap.

Each finds the shortest way that keeps its distance to all that is drawn already. Links come first,
the shortest ahead: they have the least choice. The supply grows as a tree, always to the tap that
is nearest to it. Tracks and parts so close no ring; as long as the pour passes beside each of them,
it stays in one piece.
"""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import islice

from boardgen.geometry.contours import grown
from boardgen.geometry.placing import contour, half, land_shape, point
from boardgen.geometry.regions import Region, union
from boardgen.geometry.rooms import body_of
from boardgen.geometry.ways import way
from boardgen.layout.cell import MARGIN_MM, branch_track_mm, edge_mm
from boardgen.layout.course import Course
from boardgen.layout.spines.claims import conductors, spoke_ends
from boardgen.model.board import Board, PartKind, Point, Side, Track
from boardgen.model.circuit import RETURN_NET, SUPPLY_NET, Circuit
from boardgen.model.limits import Limits
from boardgen.model.parameters import Parameters
from boardgen.model.part_kinds import Drawn
from boardgen.model.shapes import Disc, Shape
from boardgen.units import Nm, mm, snap

_STEPS_MM = (0.5, 0.25)
"""How fine the grid is on which ways are looked for: the finer one where the coarse finds none."""


_Link = tuple[str, Point, Point, str]
"""A net, from where to where it is drawn, and between which LEDs."""


def routes(
    parameters: Parameters, circuit: Circuit, course: Course, board: Board, *, cuts: bool
) -> tuple[Track, ...] | str:
    """Find all tracks that no spine leads, or tell which of them has no way.

    Parameters
    ----------
    board : Board
        Parts, holes and the tracks that are drawn already.
    cuts : bool
        Whether tracks may cut the pour where there is no other way.
    """
    found = _linked(
        parameters, board, sorted(_links(circuit, course, board), key=_length), cuts=cuts
    )
    if isinstance(found, str):
        return found
    tree = [course.inlet_place(*course.inlet.feed)]
    wanted = list(_taps(parameters, circuit, course, board))
    while wanted:
        goals = [place for tap in wanted for place in tap.places]
        track = _joined(
            parameters, _with(board, found), SUPPLY_NET, course.rail_mm, (tree, goals), cuts=cuts
        )
        if track is None:
            return f"the supply finds no way to {wanted[0].reference}"
        (reached,) = (tap for tap in wanted if track.points[-1] in tap.places)
        wanted.remove(reached)
        found.append(track)
        tree += track.points[1:]
        if reached.land is None:
            tree += reached.places
        else:
            stub = min(branch_track_mm(parameters), course.rail_mm)
            found.append(replace(track, width_mm=stub, points=(track.points[-1], reached.land)))
    if not cuts and not _whole(parameters, _with(board, found)):
        return "the pour that leads back would be cut"
    return tuple(found)


def _whole(parameters: Parameters, board: Board) -> bool:
    """Tell whether one piece of the pour reaches all lands on 0 V, where tracks met in ports."""
    limits = parameters.parts.limits
    edge, *cut_outs = (contour(ring) for ring in board.outline.rings)
    off_edge = snap(edge_mm(parameters))
    foreign = [grown(shape, snap(limits.aims.pour_gap_mm))
               for name, shape in conductors(board) if name != RETURN_NET]  # fmt: skip
    foreign += [grown(hole, off_edge) for hole in cut_outs]
    foreign += _holes(board, limits, 0.0)
    narrow = snap(_strip_mm(limits) / 2)
    pieces = (union([edge]).inset(off_edge) - union(foreign)).inset(narrow).pieces()
    reach = snap(max(limits.aims.hole_relief_gap_mm, limits.aims.chip_relief_gap_mm)) + 2 * narrow
    lands = [
        union([grown(land_shape(part, land), Nm(reach))])
        for part in board.parts
        for land in part.pattern.lands
        if part.net(land.name) == RETURN_NET
    ]
    return any(all((piece & land).area_nm2 > 0 for land in lands) for piece in pieces)


_MOST_ROUNDS = 2


def _linked(
    parameters: Parameters, board: Board, links: Sequence[_Link], *, cuts: bool
) -> list[Track] | str:
    """Draw the tracks within branches; one that finds no way comes first in the next round."""
    order, width = list(links), branch_track_mm(parameters)
    for _ in range(_MOST_ROUNDS):
        found: list[Track] = []
        for net, start, goal, _ in order:
            track = _joined(
                parameters, _with(board, found), net, width, ([start], [goal]), cuts=cuts
            )
            if track is None:
                break
            found.append(track)
        else:
            return found
        stuck = order[len(found)]
        if order[0] == stuck:
            break
        order.remove(stuck)
        order.insert(0, stuck)
    return f"the track {order[0][-1]} finds no way"


def _with(board: Board, tracks: Sequence[Track]) -> Board:
    return replace(board, tracks=(*board.tracks, *tracks))


def _length(link: _Link) -> float:
    return math.dist(link[1], link[2])


def _links(circuit: Circuit, course: Course, board: Board) -> Iterator[_Link]:
    """List from which cathode to which anode tracks are wanted."""
    for branch in circuit.branches:
        for place in range(1, branch.kind.leds):
            if course.apart(branch, place):
                before, after = (board.part(branch.leds[at]) for at in (place - 1, place))
                yield (
                    branch.around(branch.leds[place])[0],
                    before.land_place(before.pattern.by_function("K")),
                    after.land_place(after.pattern.by_function("A")),
                    f"from {before.reference} to {after.reference}",
                )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Tap:
    """Where the supply may reach a part: on its rail, or beside its ``land`` where it has none."""

    reference: str
    places: tuple[Point, ...]
    land: Point | None = None


def _taps(parameters: Parameters, circuit: Circuit, course: Course, board: Board) -> Iterator[_Tap]:
    """List what the supply has to reach: each spine, and the test point of V+."""
    away = course.rail_from_mm - course.ballast.across_mm
    pin = parameters.parts.resistor.pattern.land("1")
    for line, spine in enumerate(course.sketch.spines):
        own = [branch for branch in circuit.branches if course.line(branch) == line]
        if not own:
            continue
        first = board.part(own[0].ballasts[0])
        if course.lone(line):
            ways = ((0.0, away), (0.0, -away), (math.copysign(away, pin.x_mm), 0.0))
            around = tuple(first.place(pin.x_mm + x, pin.y_mm + y) for x, y in ways)
            yield _Tap(reference=first.reference, places=around, land=first.land_place(pin))
        else:
            lands = [board.part(branch.ballasts[0]).land_place(pin) for branch in own]
            reached = tuple(course.on_rail(line, spine.locate(land)[0]) for land in lands)
            yield _Tap(reference=first.reference, places=reached)
    for probe in course.probes[:1]:
        yield _Tap(reference="TP1", places=(probe,))


_PORT_MM = 2.5


def _joined(
    parameters: Parameters,
    board: Board,
    net: str,
    width_mm: float,
    ends: tuple[Sequence[Point], Sequence[Point]],
    *,
    cuts: bool,
) -> Track | None:
    """Draw the shortest track from one of some places to one of others.

    Where there is room the pour passes beside it; where there is none, it may be one that ``cuts``.
    """
    starts, goals = ([(float(x), float(y)) for x, y in map(point, places)] for places in ends)
    places = dict(zip([*starts, *goals], [*ends[0], *ends[1]], strict=True))
    grounds = _grounds(parameters, board, net, width_mm, tuple(places.values()))
    for free in islice(grounds, 3 if cuts else 2):
        tried = (way(free, starts, goals, snap(step)) for step in _STEPS_MM)
        chain = next((found for found in tried if found), None)
        if chain:
            points = tuple(places.get(at, (mm(round(at[0])), mm(round(at[1])))) for at in chain)
            return Track(net=net, side=Side.TOP, width_mm=width_mm, points=points)
    return None


def _grounds(
    parameters: Parameters, board: Board, net: str, width_mm: float, ends: Sequence[Point]
) -> Iterator[Region]:
    """Give the ground on which the pour passes beside a track, then such as may cut it.

    Where it begins and ends, a track leaves between the lands of a part, but off the edge.
    """
    aims = parameters.parts.limits.aims
    strip = _strip_mm(parameters.parts.limits)
    gap, off_edge = aims.pour_gap_mm, aims.pour_gap_mm + strip
    ports = union(Disc(point(place), snap(_PORT_MM)) for place in ends)
    near = _free(parameters, board, net, width_mm, (gap, off_edge))
    whole = _free(parameters, board, net, width_mm, (2 * gap + strip, off_edge)) | (near & ports)
    # Ports reach into the room of the connector's spokes: only where there is no other way.
    moat = aims.hole_relief_gap_mm + strip + gap + width_mm / 2
    yield whole - union(_returning(board, snap(moat)))
    yield whole
    yield _free(parameters, board, net, width_mm, (gap, 0.0))


def _strip_mm(limits: Limits) -> float:
    """Tell how wide a strip of the pour is at least, its rounded corners included."""
    return 2 * MARGIN_MM + max(2 * limits.aims.pour_corner_mm, limits.pour_width_mm)


def _holes(board: Board, limits: Limits, width_mm: float) -> Iterator[Shape]:
    """List the rooms of holes, as the middle of a track of a width keeps off them."""
    for hole in board.holes:
        yield Disc(point((hole.x_mm, hole.y_mm)), half(hole.room_mm + width_mm))
    for part in board.parts:
        for plain in part.pattern.holes:
            off = snap(plain.hole_mm / 2 + limits.hole_copper_mm + width_mm / 2 + MARGIN_MM)
            yield Disc(point(part.place(plain.x_mm, plain.y_mm)), off)


def _returning(board: Board, off: Nm) -> Iterator[Shape]:
    """List the connector's lands on 0 V with the room in which the pour passes around them."""
    for part in board.parts:
        if part.kind is PartKind.CONNECTOR:
            for land in part.pattern.lands:
                if part.net(land.name) == RETURN_NET:
                    yield grown(land_shape(part, land), off)


def _free(
    parameters: Parameters,
    board: Board,
    net: str,
    width_mm: float,
    gaps_mm: tuple[float, float],
) -> Region:
    """Tell where the middle of a track may run: off foreign copper, edges, holes and bodies.

    ``gaps_mm`` are those to copper, and to the edge beyond what copper keeps from it.
    """
    limits, wide = parameters.parts.limits, half(width_mm)
    gap_mm, beside_edge_mm = gaps_mm
    edge, *cut_outs = (contour(ring) for ring in board.outline.rings)
    off_edge = snap(edge_mm(parameters) + beside_edge_mm + width_mm / 2 + MARGIN_MM)
    foreign: list[Shape] = [grown(shape, snap(gap_mm + MARGIN_MM) + wide)
                            for name, shape in conductors(board) if name != net]  # fmt: skip
    foreign += [grown(hole, off_edge) for hole in cut_outs]
    foreign += _holes(board, limits, width_mm)
    foreign += [
        grown(end, snap(limits.aims.pour_gap_mm) + wide)
        for _, end in spoke_ends(board.parts, limits)
    ]
    own: list[Shape] = []
    bodies: list[Shape] = []
    for part in board.parts:
        if part.kind.row.drawn is Drawn.CHIP:
            bodies.append(grown(body_of(part), wide))
        own += [
            land_shape(part, land, width_mm)
            for land in part.pattern.lands
            if part.net(land.name) == net
        ]
    own += [shape for name, shape in conductors(board) if name == net]
    inside = union([edge]).inset(off_edge)
    return inside - union(foreign) - (union(bodies) - union(own))
