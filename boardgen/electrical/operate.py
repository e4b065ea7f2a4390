"""What the board will do on its real rails: reported after layout, never fed back."""

from boardgen.model.board import Board, PartKind, Track
from boardgen.model.circuit import SUPPLY_NET, Circuit
from boardgen.model.operation import Operation
from boardgen.model.parameters import Parameters
from boardgen.standards import copper, track_width


def operate(parameters: Parameters, circuit: Circuit, board: Board) -> Operation:
    """Report drop along the rails as drawn, what they could carry, and the heat of the board.

    The branches count as equal currents at nominal, fed from the connector's end; the return
    pours are wide and left out. The longest rail decides.
    """
    weight = parameters.copper.weight_um
    rails = [track for track in board.tracks if track.net == SUPPLY_NET and _is_level(track)]
    drops = [_drop(rail, board, circuit, weight) for rail in rails]
    kind = circuit.branches[0].kind
    width = min(rail.width_mm for rail in rails)
    worst_drop = max(drops)
    return Operation(
        rail_width_mm=width,
        rail_length_mm=max(abs(rail.points[-1][0] - rail.points[0][0]) for rail in rails),
        rail_drop_v=worst_drop,
        rail_spread=worst_drop / (kind.nominal.supply_v - kind.nominal.vf_v),
        rail_capacity_a=track_width.capacity_a(width, parameters.copper.rise_k, weight),
        power_w=circuit.supply.nominal_v * circuit.nominal_a,
        worst_power_w=circuit.supply.high_v * circuit.worst_a,
    )


def _is_level(track: Track) -> bool:
    return track.points[0][1] == track.points[-1][1]


def _drop(rail: Track, board: Board, circuit: Circuit, weight_um: float) -> float:
    """Add up the loss from the fed end of a rail to its far end, section by section.

    The fed end is the rail's first point; each branch taps it where its drop track meets it.
    """
    start, level = rail.points[0]
    taps = sorted(
        abs(track.points[0][0] - start)
        for track in board.tracks
        if track.net == SUPPLY_NET and not _is_level(track) and track.points[0][1] == level
        and _feeds_ballast(track, board)
    )  # fmt: skip
    current = circuit.branches[0].kind.nominal.current_a
    drop, at = 0.0, 0.0
    for number, tap in enumerate(taps):
        flowing = current * (len(taps) - number)
        drop += flowing * copper.track_resistance_ohm(tap - at, rail.width_mm, weight_um)
        at = tap
    return drop


def _feeds_ballast(track: Track, board: Board) -> bool:
    return any(
        part.kind is PartKind.RESISTOR and part.land_place(part.pattern.land("1")) ==
        track.points[-1]
        for part in board.parts
    )  # fmt: skip
