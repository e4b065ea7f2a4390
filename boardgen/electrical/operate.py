"""What the board will do on its real rails: reported after layout, never fed back."""

from collections import defaultdict
from itertools import pairwise

from boardgen.electrical.measured import current_at
from boardgen.model.board import Board, PartKind, Point, Track, distance_mm
from boardgen.model.circuit import INPUT_NET, SUPPLY_NET, Circuit
from boardgen.model.operation import Operation
from boardgen.model.parameters import Parameters
from boardgen.standards import copper, track_width

_SAME_PLACE_DIGITS = 6
"""Points of a board that agree to a nanometre are one node."""


def operate(parameters: Parameters, circuit: Circuit, board: Board) -> Operation:
    """Report the drop along the rails as drawn, what they could carry, and the heat of the board.

    The supply's tracks make a tree from the connector's + to every ballast; each ballast draws the
    nominal current of a branch. The return pours are wide and left out.
    """
    weight = parameters.copper.weight_um
    supply = [track for track in board.tracks if track.net in (SUPPLY_NET, INPUT_NET)]
    levels = [track for track in supply if track.points[0][1] == track.points[-1][1]]
    # A single branch may hang on its feed alone.
    rails = [track for track in levels if track.net == SUPPLY_NET] or supply
    kind = circuit.branches[0].kind
    drop = max(_drops(board, supply, kind.nominal.current_a, weight).values())
    width = min(rail.width_mm for rail in rails)
    built = parameters.built
    measured = current_at(parameters, circuit, built.supply_v) if built else (0.0, 0.0, 0.0)
    return Operation(
        rail_width_mm=width,
        rail_length_mm=max(distance_mm(rail.points[0], rail.points[-1]) for rail in rails),
        rail_drop_v=drop,
        rail_spread=drop / (kind.nominal.supply_v - kind.nominal.vf_v),
        rail_capacity_a=track_width.capacity_a(width, parameters.copper.rise_k, weight),
        power_w=circuit.supply.nominal_v * circuit.nominal_a,
        worst_power_w=circuit.supply.high_v * circuit.worst_a,
        measured_low_a=measured[0],
        measured_nominal_a=measured[1],
        measured_high_a=measured[2],
    )


def _node(at: Point) -> Point:
    return (round(at[0], _SAME_PLACE_DIGITS), round(at[1], _SAME_PLACE_DIGITS))


def _drops(
    board: Board, supply: list[Track], branch_a: float, weight_um: float
) -> dict[Point, float]:
    """Find the voltage lost from the connector's + to the node of every ballast."""
    loads, root = set(), (0.0, 0.0)
    resistances = _resistances(supply, weight_um)
    for part in board.parts:
        if part.kind is PartKind.RESISTOR:
            loads.add(_node(part.land_place(part.pattern.land("1"))))
        elif part.kind is PartKind.CONNECTOR:
            root = _node(part.land_place(part.pattern.by_function("+")))
        elif part.kind is PartKind.SWITCH:
            fed, feeding = (
                _node(part.land_place(part.pattern.by_function(name))) for name in ("common", "on")
            )
            resistances[fed][feeding] = resistances[feeding][fed] = 0.0
    order, parents = [root], {root: root}
    for node in order:
        for other in resistances[node]:
            if other not in parents:
                parents[other] = node
                order.append(other)
    carried = {node: branch_a * (node in loads) for node in order}
    for node in reversed(order[1:]):
        carried[parents[node]] += carried[node]
    lost = {root: 0.0}
    for node in order[1:]:
        before = parents[node]
        lost[node] = lost[before] + carried[node] * resistances[before][node]
    return {node: lost[node] for node in loads}


def _resistances(supply: list[Track], weight_um: float) -> dict[Point, dict[Point, float]]:
    """Cut the tracks where others meet them, and give each piece its resistance.

    Tracks of the supply are level or upright, so nodes are looked up by their line.
    """
    lines: dict[tuple[int, float], set[Point]] = defaultdict(set)
    for track in supply:
        for node in map(_node, track.points):
            lines[0, node[0]].add(node)
            lines[1, node[1]].add(node)
    found: dict[Point, dict[Point, float]] = defaultdict(dict)
    for track in supply:
        for first, last in pairwise(map(_node, track.points)):
            axis = 0 if first[0] == last[0] else 1
            low, high = sorted((first[1 - axis], last[1 - axis]))
            nodes = [node for node in lines[axis, first[axis]] if low <= node[1 - axis] <= high]
            for one, other in pairwise(sorted(nodes)):
                length = distance_mm(one, other)
                ohms = copper.track_resistance_ohm(length, track.width_mm, weight_um)
                found[one][other] = found[other][one] = ohms
    return found
