"""Tracks where no spine leads: from LED to LED of a branch, and from the supply to every tap.

Each finds the shortest way that keeps its distance to all that is drawn already. Links come first,
the shortest ahead: they have the least choice. The supply grows as a tree, always to the tap that
is nearest to it. Tracks and parts so close no ring; as long as the pour passes beside each of them,
it stays in one piece.
"""

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property, lru_cache

from boardgen.geometry.contours import grown
from boardgen.geometry.placing import contour, half, land_shape, point
from boardgen.geometry.regions import Region, union
from boardgen.geometry.rooms import body_of
from boardgen.geometry.ways import way
from boardgen.layout.cell import MARGIN_MM, branch_track_mm, edge_mm
from boardgen.layout.course import Course
from boardgen.layout.passage import hole_rooms, strip_mm, whole
from boardgen.layout.scattered.windows import Window, windows
from boardgen.layout.spines.claims import conductors, spoke_ends
from boardgen.model.board import Board, PartKind, Point, Side, Track
from boardgen.model.circuit import RETURN_NET, SUPPLY_NET, Circuit
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
    if course.split:
        led_back = whole(parameters, _with(board, found))
        return tuple(found) if led_back else "the pour that leads back would be cut"
    tree = [course.inlet_place(*course.inlet.feed)]
    wanted = list(_taps(parameters, circuit, course, board))
    supply = (SUPPLY_NET, course.rail_mm)
    ends = [*tree, *(place for tap in wanted for place in tap.places)]
    ground = _Grounds(parameters, _with(board, found), supply).of
    (*_, everywhere) = windows(board.outline, tree, ends)
    loosest = ground(2 if cuts else 1, everywhere, ends)
    wanted = [tap.reached(loosest) for tap in wanted]
    while wanted:
        goals = [place for tap in wanted for place in tap.places]
        if not goals:
            return f"the supply finds no way to {wanted[0].reference}"
        track = _joined(board, supply, (tree, goals), ground, cuts=cuts)
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
    if not cuts and not whole(parameters, _with(board, found)):
        return "the pour that leads back would be cut"
    return tuple(found)


_MOST_ROUNDS = 2


def _linked(
    parameters: Parameters, board: Board, links: Sequence[_Link], *, cuts: bool
) -> list[Track] | str:
    """Draw the tracks within branches; one that finds no way comes first in the next round."""
    order, width = list(links), branch_track_mm(parameters)
    for _ in range(_MOST_ROUNDS):
        found: list[Track] = []
        for net, start, goal, _ in order:
            ground = _local(parameters, _with(board, found), (net, width))
            track = _joined(board, (net, width), ([start], [goal]), ground, cuts=cuts)
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

    def reached(self, ground: Region) -> "_Tap":
        """Leave out places that no track can reach."""
        places = (at for at in self.places if ground.covers(Disc(point(at), Nm(1))))
        return replace(self, places=tuple(places))


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


_Wanted = tuple[str, float]
"""A track's net, and how wide it is in mm."""
_GroundOf = Callable[[int, Window, Sequence[Point]], Region]
"""Gives the ground of a kind inside a window, for a track between some ends."""


def _local(parameters: Parameters, board: Board, track: _Wanted) -> _GroundOf:
    """Work out the ground of a window alone: each track of a branch has a net of its own."""

    @lru_cache(maxsize=1)
    def inside(window: Window) -> _Grounds:
        return _Grounds(parameters, window.part_of(board), track)

    return lambda kind, window, ends: inside(window).of(kind, window, ends)


@dataclass(frozen=True)
class _Grounds:
    """The ground of one net's tracks, each part of it worked out once.

    The supply's own tracks are not in its way: it keeps the whole board's.
    """

    parameters: Parameters
    board: Board
    track: _Wanted

    @cached_property
    def cutting(self) -> Region:
        """Where a track may run if the pour need not pass beside it."""
        return self._free(self._gap_mm, 0.0)

    @cached_property
    def near(self) -> Region:
        """Where a track may run at its ends, between the lands of a part, but off the edge."""
        return self._free(self._gap_mm, self._gap_mm + self.strip_mm)

    @cached_property
    def passed(self) -> Region:
        """Where the pour passes beside a track on both sides."""
        return self._free(2 * self._gap_mm + self.strip_mm, self._gap_mm + self.strip_mm)

    @cached_property
    def moats(self) -> Region:
        """The room of the connector's spokes, and of the pour around them."""
        aims, (_, width_mm) = self.parameters.parts.limits.aims, self.track
        moat = aims.hole_relief_gap_mm + self.strip_mm + self._gap_mm + width_mm / 2
        return union(_returning(self.board, snap(moat)))

    def of(self, kind: int, window: Window, ends: Sequence[Point]) -> Region:
        """Give the ground of a kind inside a window, for a track between some ends.

        Of the first kind the pour passes around the connector's lands too, of the last nowhere:
        ports reach into their room, so that comes only where there is no other way.
        """
        view = union([window.box])
        if kind > 1:
            return self.cutting & view
        ports = union(Disc(point(place), snap(_PORT_MM)) for place in ends)
        whole = (self.passed & view) | (self.near & view & ports)
        return whole if kind else whole - self.moats

    @property
    def _gap_mm(self) -> float:
        return self.parameters.parts.limits.aims.pour_gap_mm

    @property
    def strip_mm(self) -> float:
        return strip_mm(self.parameters.parts.limits)

    def _free(self, gap_mm: float, off_edge_mm: float) -> Region:
        net, width_mm = self.track
        return _free(self.parameters, self.board, net, width_mm, (gap_mm, off_edge_mm))


def _joined(
    board: Board,
    track: _Wanted,
    ends: tuple[Sequence[Point], Sequence[Point]],
    ground: _GroundOf,
    *,
    cuts: bool,
) -> Track | None:
    """Draw the shortest track from one of some places to one of others.

    Where there is room the pour passes beside it; where there is none, it may be one that ``cuts``.
    """
    net, width_mm = track
    places = {_spot(at): at for at in (*ends[0], *ends[1])}
    views = list(windows(board.outline, *ends))
    kinds = [(kind, window) for window in views for kind in (0, 1)]
    kinds += [(2, window) for window in views] if cuts else []
    for kind, window in kinds:
        inside = [[at for at in some if window.holds(at)] for some in ends]
        free = ground(kind, window, [*inside[0], *inside[1]])
        starts, goals = ([_spot(at) for at in some] for some in inside)
        tried = (way(free, starts, goals, snap(step)) for step in _STEPS_MM)
        chain = next((found for found in tried if found), None)
        if chain:
            points = tuple(places.get(at, (mm(round(at[0])), mm(round(at[1])))) for at in chain)
            return Track(net=net, side=Side.TOP, width_mm=width_mm, points=points)
    return None


def _spot(at: Point) -> tuple[float, float]:
    x, y = point(at)
    return (float(x), float(y))


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
    foreign += hole_rooms(board, limits, width_mm)
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
