"""The rails as drawn: from tracks to a resistive tree, from pours to sheets, and what flows."""

import math
from bisect import bisect_left, bisect_right
from collections import defaultdict
from collections.abc import Callable, Collection, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import compress, islice, pairwise

import numpy as np

from boardgen.electrical.chain import solve_chain
from boardgen.electrical.contacts import Contact, Grid
from boardgen.electrical.leds import bins
from boardgen.electrical.network import Array, Flow, Taps, Tree
from boardgen.electrical.pours import Drain, Pours, pours
from boardgen.forms.table import plan
from boardgen.model.artwork import Layer
from boardgen.model.board import Board, Part, PartKind, Point, Track, distance_mm
from boardgen.model.circuit import RETURN_NET, SUPPLY_NET, Circuit
from boardgen.model.operation import RailOption, Rails
from boardgen.model.parameters import Parameters
from boardgen.model.pose import Pose, direction
from boardgen.standards import copper, track_width
from boardgen.standards.diode import operating_current_a, slope_ohm
from boardgen.standards.photometry import lightness_steps
from boardgen.tolerances import JOINED_OHM
from boardgen.units import NM_PER_MM, Nm

_SAME_PLACE_DIGITS = 6
"""Points of a board that agree to a nanometre are one node."""

_ON_LEG_MM = 3e-6
"""What rounding of nodes leaves beside a leg at an angle."""

_CORNER_SQUARES = 0.56
"""A right-angled bend carries as much as this many squares: a classic result of conformal mapping,
from memory, confident."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Ladder:
    """The supply's tree or pour, the return's pours, and where each branch taps them, in order.

    ``end`` is the tree's node that is furthest from the connector, ``far`` where the next board is
    joined.
    """

    supply: Tree | Pours
    back: Pours
    taps: tuple[tuple[int, int], ...]
    end: int
    far: tuple[int, int] | None = None

    def wider(self, by: float) -> "Ladder":
        """Widen the supply's tracks; a pour has all the board already."""
        if isinstance(self.supply, Pours):
            return self
        thinner = tuple(ohms / by for ohms in self.supply.ohms)
        return replace(self, supply=replace(self.supply, ohms=thinner))

    def fed_twice(self) -> "Ladder":
        """Feed supply and return at their far ends too."""
        supply: Tree | Pours
        if isinstance(self.supply, Pours):
            supply = self.supply.leaving(Drain.BOTH)
        else:
            supply = replace(self.supply, fed=self.supply.fed | {self.end})
        return replace(self, supply=supply, back=self.back.leaving(Drain.BOTH))

    def crossed(self) -> "Ladder":
        """Take the return from its far end instead."""
        return replace(self, back=self.back.leaving(Drain.FAR_END))


def _grown(edges: dict[int, dict[int, float]], root: int) -> tuple[Tree, dict[int, int]]:
    order, parents, ohms = {root: 0}, [-1], [0.0]
    queue = [root]
    for node in queue:
        for other in sorted(edges[node]):
            if other not in order:
                order[other] = len(parents)
                parents.append(order[node])
                ohms.append(max(edges[node][other], JOINED_OHM))
                queue.append(other)
    return Tree(parents=tuple(parents), ohms=tuple(ohms)), order


def rails(
    parameters: Parameters, circuit: Circuit, board: Board, coppers: Sequence[Layer]
) -> tuple[Rails, tuple[Flow, ...]]:
    """Solve supply rail and return as drawn, at the nominal supply and the copper's warmth.

    Copper is taken at the warmest ambient and the rise that was allowed; LEDs are typical ones at
    25 °C, as in the nominal corner. Of boards that are joined, each has a flow of its own.
    """
    warm = parameters.board.ambient_degc + parameters.copper.rise_k
    poured = any(pour.net == SUPPLY_NET for pour in board.pours)
    ladder = (_poured if poured else _ladder)(parameters, circuit, board, coppers, warm)
    flows = _flows(parameters, circuit, ladder)
    others: dict[str, Callable[[], Ladder]] = {
        "a supply rail of twice the width": lambda: ladder.wider(2.0),
        "the return taken from the other end": ladder.crossed,
        "a second feed at the other end": ladder.fed_twice,
    }
    if poured:
        others.pop("a supply rail of twice the width")
    if ladder.far:
        others = {"a supply rail of twice the width": lambda: ladder.wider(2.0)}
    spread, between = _spread(circuit, flows)
    options = [RailOption(title="as drawn", spread=spread, lightness_steps=lightness_steps(spread))]
    for title, make in others.items():
        found, _ = _spread(circuit, _flows(parameters, circuit, make()))
        options.append(
            RailOption(title=title, spread=found, lightness_steps=lightness_steps(found))
        )
    scattered = plan(parameters).scattered
    drawn = _widest(board) if scattered else _level_rails(board)
    lengths = [sum(distance_mm(*ends) for ends in pairwise(track.points)) for track in drawn]
    width = min(track.width_mm for track in drawn)
    solved = Rails(
        width_mm=width,
        length_mm=sum(lengths) if scattered else max(lengths),
        capacity_a=track_width.capacity_a(
            width, parameters.copper.rise_k, parameters.copper.weight_um
        ),
        copper_degc=warm,
        currents_a=tuple(map(float, flows[0].current_a[: len(circuit.branches)])),
        drop_v=float(flows[0].supply_drop_v.max()),
        return_drop_v=float(flows[0].return_drop_v.max()),
        spread=spread,
        lightness_steps=lightness_steps(spread),
        options=tuple(options),
        poured=poured,
        boards_a=tuple(float(flow.current_a[: len(circuit.branches)].sum()) for flow in flows),
        between_a=between,
        far_v=float(flows[-1].across_v[-1]) if ladder.far else 0.0,
    )
    return solved, tuple(flows)


def _flows(parameters: Parameters, circuit: Circuit, ladder: Ladder) -> list[Flow]:
    """Solve the board, or the chain of boards that it is the first of."""
    joint = parameters.parts.joint
    return solve_chain(
        (ladder.supply, ladder.back),
        ladder.taps,
        ladder.far,
        _taps(circuit),
        circuit.feed.nominal_v,
        circuit.boards,
        2 * joint.contact_ohm if joint else 0.0,
    )


def _spread(circuit: Circuit, flows: Sequence[Flow]) -> tuple[float, tuple[float, float]]:
    """Tell how much less the weakest branch gets than the strongest of its kind, on any board.

    Also tell what those two get.
    """
    found, between = 0.0, (0.0, 0.0)
    for kind in circuit.kinds:
        own = np.concatenate([flow.current_a[circuit.places(kind)] for flow in flows])
        if own.size and own.max():
            least, most = float(own.min()), float(own.max())
            if not between[1] or 1.0 - least / most > found:
                found, between = 1.0 - least / most, (least, most)
    return found, between


def _taps(circuit: Circuit) -> Taps:
    every = [(kind, bins(kind.led).typical, circuit.places(kind)) for kind in circuit.kinds]

    def taps(across_v: Array) -> tuple[Array, Array]:
        current, slope = np.empty_like(across_v), np.empty_like(across_v)
        for kind, typical, places in every:
            ohms = kind.nominal.resistance_ohm
            own = operating_current_a(typical, across_v[places], float(kind.leds), ohms)
            current[places] = own
            slope[places] = 1.0 / (ohms + kind.leds * slope_ohm(typical, own))
        return current, slope

    return taps


def _widest(board: Board) -> list[Track]:
    """Find the tree of tracks that stands for a rail where each LED has a place of its own."""
    supply = [track for track in board.tracks if track.net == SUPPLY_NET]
    most = max(track.width_mm for track in supply)
    return [track for track in supply if track.width_mm == most]


def _level_rails(board: Board) -> list[Track]:
    """Find the rails; a single branch may hang on its feed alone."""
    supply = [track for track in board.tracks if track.net == SUPPLY_NET]
    if board.spine:
        return [max(supply, key=lambda track: len(track.points))]
    levels = [track for track in supply if track.points[0][1] == track.points[-1][1]]
    return levels or supply


def _node(at: Point) -> Point:
    return (round(at[0], _SAME_PLACE_DIGITS), round(at[1], _SAME_PLACE_DIGITS))


def _poured(
    parameters: Parameters,
    circuit: Circuit,
    board: Board,
    coppers: Sequence[Layer],
    warm_degc: float,
) -> Ladder:
    """Take supply and return from a pour each; what is lost in the stubs at vias comes to it."""
    sheet = copper.sheet_ohm(parameters.copper.weight_um, warm_degc)
    up, back = (Grid(board, coppers, net) for net in (SUPPLY_NET, RETURN_NET))
    (connector,) = (part for part in board.parts if part.kind is PartKind.CONNECTOR)
    firsts = [board.part(branch.ballasts[0]) for branch in circuit.branches]
    risers = [_riser(board, up, part) for part in firsts]
    far = max(range(len(firsts)), key=lambda at: _apart(board, firsts[at], connector))
    cathodes = [back.contact(branch.leds[-1], "K") for branch in circuit.branches]
    pinned = circuit.inlet.switch or connector.reference
    return Ladder(
        supply=pours(up, pinned, risers, far, sheet),
        back=pours(back, connector.reference, cathodes, far, sheet),
        taps=tuple((place, place) for place in range(len(firsts))),
        end=far,
    )


def _riser(board: Board, grid: Grid, part: Part) -> Contact:
    """Find the via from which a ballast is fed, with the squares of the track between them."""
    land = part.land_place(part.pattern.land("1"))
    supply = (track for track in board.tracks if track.net == SUPPLY_NET)
    (stub,) = (track for track in supply if math.dist(track.points[0], land) < _STUB_MM)
    x, y = (round(at * NM_PER_MM) for at in stub.points[-1])
    found = grid.riser((Nm(x), Nm(y)))
    return replace(found, squares=found.squares + math.dist(*stub.points) / stub.width_mm)


_STUB_MM = 1e-3


def _ladder(
    parameters: Parameters,
    circuit: Circuit,
    board: Board,
    coppers: Sequence[Layer],
    warm_degc: float,
) -> Ladder:
    grid = Grid(board, coppers)
    sheet = copper.sheet_ohm(parameters.copper.weight_um, warm_degc)
    by_reference = {part.reference: part for part in board.parts}
    (connector,) = (part for part in board.parts if part.kind is PartKind.CONNECTOR)
    root = _node(connector.land_place(connector.pattern.by_function("+")))
    numbers: dict[Point, int] = {}
    edges: dict[int, dict[int, float]] = defaultdict(dict)
    for (one, other), ohms in _pieces(circuit, board, sheet).items():
        first, second = (numbers.setdefault(node, len(numbers)) for node in (one, other))
        edges[first][second] = edges[second][first] = ohms
    supply, order = _grown(edges, numbers[root])
    firsts = [by_reference[branch.ballasts[0]] for branch in circuit.branches]
    above = [order[numbers[_node(part.land_place(part.pattern.land("1")))]] for part in firsts]
    far = max(range(len(firsts)), key=lambda at: _apart(board, firsts[at], connector))
    lasts = [grid.contact(branch.leds[-1], "K") for branch in circuit.branches]
    joints = [part for part in board.parts if part.kind is PartKind.JOINT]
    leaves = [
        order[numbers[_node(part.land_place(part.pattern.by_function("+")))]] for part in joints
    ]
    lasts += [grid.lead(part.reference, "-") for part in joints]
    return Ladder(
        supply=supply,
        back=pours(grid, connector.reference, lasts, far, sheet),
        taps=tuple((node, place) for place, node in enumerate(above)),
        end=above[far],
        far=(leaves[0], len(firsts)) if leaves else None,
    )


def _apart(board: Board, part: Part, connector: Part) -> float:
    """Tell how far a part lies from the connector, along the rail."""
    if board.spine is None:
        return abs(part.x_mm - connector.x_mm)
    here, there = (board.spine.locate((one.x_mm, one.y_mm))[0] for one in (part, connector))
    return (here - there) % board.spine.length_mm


def _pieces(circuit: Circuit, board: Board, sheet_ohm: float) -> dict[tuple[Point, Point], float]:
    """Cut the supply's tracks where others meet them, and give each piece its resistance.

    What lies inside a wider land or under a wider track is no length of its own, and a bend is less
    than its two half squares. Of tracks one over the other the wider counts.
    """
    nets = {net.name for net in circuit.inlet.nets}
    tracks = [track for track in board.tracks if track.net in nets]
    nodes = {node for track in tracks for node in map(_node, track.points)}
    lines: dict[tuple[int, float], set[Point]] = defaultdict(set)
    for node in nodes:
        lines[0, node[0]].add(node)
        lines[1, node[1]].add(node)
    covers, ordered = _land_covers(board, nets), sorted(nodes)
    legs = [
        (_way(first, last), track, _on_leg(lines, ordered, first, last))
        for track in tracks
        for first, last in pairwise(map(_node, track.points))
        if first != last
    ]
    ends: dict[Point, list[_Leg]] = defaultdict(list)
    for way, track, passed in legs:
        for node in passed:
            # A track that passes a node has an end on either side of it.
            passes = node not in (passed[0], passed[-1])
            ends[node] += [(way, track.width_mm)] * (1 + passes)
    found: dict[tuple[Point, Point], float] = {}
    for way, track, passed in legs:
        for one, other in pairwise(passed):
            length = distance_mm(one, other)
            inside = sum(_inside(node, way, track.width_mm, ends, covers) for node in (one, other))
            ohms = sheet_ohm * max(length - inside, 0.0) / track.width_mm
            ends_of_it = (min(one, other), max(one, other))
            found[ends_of_it] = min(ohms, found.get(ends_of_it, math.inf))
    found.update(_closed_parts(board))
    for ends_of_it in _touching({*nodes, *covers}):
        found.setdefault(ends_of_it, 0.0)
    return found


def _touching(nodes: Collection[Point]) -> Iterator[tuple[Point, Point]]:
    """List nodes that lie in one another's copper: so short a track between them is not drawn."""
    ordered = sorted(nodes)
    for place, one in enumerate(ordered):
        for other in islice(ordered, place + 1, None):
            if other[0] - one[0] > _TOUCHING_MM:
                break
            if distance_mm(one, other) <= _TOUCHING_MM:
                yield one, other


_TOUCHING_MM = 0.012
"""A little more than the longest piece that layout leaves out."""


_Leg = tuple[Point, float]
"""Direction and width of a track where it ends."""


def _way(first: Point, last: Point) -> Point:
    """Give the direction of a leg, exact where it is level or upright."""
    (x1, y1), (x2, y2) = first, last
    if x1 == x2:
        return (0.0, 1.0)
    length = distance_mm(first, last)
    return (1.0, 0.0) if y1 == y2 else ((x2 - x1) / length, (y2 - y1) / length)


def _on_leg(
    lines: dict[tuple[int, float], set[Point]],
    ordered: Sequence[Point],
    first: Point,
    last: Point,
) -> list[Point]:
    """Find the nodes on a leg, in order; ``ordered`` are all of them from the left."""
    axis = 0 if first[0] == last[0] else 1
    if first[axis] != last[axis]:
        (left, _), (right, _) = sorted((first, last))
        near = ordered[bisect_left(ordered, (left,)) : bisect_right(ordered, (right, math.inf))]
        way = _way(first, last)
        beside = (
            abs((x - first[0]) * way[1] - (y - first[1]) * way[0]) < _ON_LEG_MM for x, y in near
        )
        return sorted(compress(near, beside), key=lambda node: distance_mm(first, node))
    low, high = sorted((first[1 - axis], last[1 - axis]))
    nodes = [node for node in lines[axis, first[axis]] if low <= node[1 - axis] <= high]
    return sorted(nodes)


def _inside(
    node: Point,
    way: Point,
    width_mm: float,
    ends: dict[Point, list[_Leg]],
    covers: dict[Point, tuple[Pose, float, float]],
) -> float:
    """Tell how much of a piece's end lies in other copper: of a land, a wider track, a bend.

    A track that ends in a land loses nothing there; of one that passes it, its wider way counts.
    """
    bent = [(abs(way[0] * other[1] - way[1] * other[0]) > _BENT, width)
            for other, width in ends[node]]  # fmt: skip
    across = [width for turned, width in bent if turned]
    along = [width for turned, width in bent if not turned]
    if node in covers and (wide := 2 * _to_rim(*covers[node], (-way[1], way[0]))) > width_mm:
        passed = width_mm / wide if len(along) > 1 else 0.0
        return (1.0 - passed) * _to_rim(*covers[node], way)
    if not across:
        return 0.0
    if max(across) > width_mm:
        return max(across) / 2
    bend = len(along) == 1 and across == [width_mm]
    return (1.0 - _CORNER_SQUARES) / 2 * width_mm if bend else 0.0


_BENT = 0.5
"""Sine of the angle from which tracks lie across one another; chords of an arc hardly bend."""


def _to_rim(pose: Pose, half_w: float, half_h: float, way: Point) -> float:
    """Measure from a land's centre to its rim in a direction."""
    cos, sin = direction(pose.turn_deg)
    along, across = abs(way[0] * cos + way[1] * sin), abs(way[1] * cos - way[0] * sin)
    return min(half / seen for half, seen in ((half_w, along), (half_h, across)) if seen)


def _land_covers(board: Board, nets: set[str]) -> dict[Point, tuple[Pose, float, float]]:
    """Tell how lands are turned and how far they reach from their centres."""
    return {
        _node(part.land_place(land)): (part.pose, land.width_mm / 2, land.height_mm / 2)
        for part in board.parts
        for land in part.pattern.lands
        if part.net(land.name) in nets
    }


def _closed_parts(board: Board) -> dict[tuple[Point, Point], float]:
    """Join the pins of parts in the supply line: their own drop is in the feed."""
    return {
        (
            _node(part.land_place(part.pattern.by_function(passes[0]))),
            _node(part.land_place(part.pattern.by_function(passes[1]))),
        ): 0.0
        for part in board.parts
        if (passes := part.kind.row.passes)
    }
