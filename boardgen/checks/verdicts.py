"""What is over its limit in a circuit: asked by the rules and the search for what would pass."""

from boardgen.model.bounds import below
from boardgen.model.circuit import DARK_SHARE, BranchKind, Circuit
from boardgen.model.parameters import Parameters
from boardgen.model.parts import Guard, SupplyKind
from boardgen.standards import resettable_fuse
from boardgen.tolerances import SAME_SHARE


def hot_board(parameters: Parameters, circuit: Circuit) -> bool:
    """Tell whether the board gets warmer than the house likes."""
    return circuit.warmth.board_degc > parameters.parts.limits.board_warm_degc


def hot_ballasts(parameters: Parameters, circuit: Circuit) -> tuple[BranchKind, ...]:
    """Find branches whose resistors turn more into heat than the house lets them."""
    limits = parameters.parts.limits
    return tuple(
        kind for kind in circuit.kinds if kind.ballast.worst_w > kind.ballast.allowed_w(limits)
    )


def driven_leds(parameters: Parameters, circuit: Circuit) -> tuple[BranchKind, ...]:
    """Find branches whose LEDs carry more than the house lets them."""
    share = parameters.parts.limits.led_share
    return tuple(kind for kind in circuit.kinds if kind.led_load > share)


def short_headroom(parameters: Parameters, circuit: Circuit) -> tuple[BranchKind, ...]:
    """Find branches that leave too little for their ballast at the lowest supply."""
    least = parameters.parts.limits.headroom_v
    return tuple(kind for kind in circuit.kinds if below(kind.headroom_low_v, least))


def connector_full(parameters: Parameters, circuit: Circuit) -> bool:
    """Tell whether the connector carries more than the house lets it."""
    share = parameters.parts.limits.connector_share
    return circuit.worst_a > share * parameters.parts.connector.rating_a


def joint_full(parameters: Parameters, circuit: Circuit) -> bool:
    """Tell whether the first joint of a chain carries more than the house lets it."""
    joint, share = parameters.parts.joint, parameters.parts.limits.connector_share
    return joint is not None and circuit.through_a > share * joint.rating_a


def switch_full(parameters: Parameters, circuit: Circuit) -> bool:
    """Tell whether the switch carries more than the house lets it."""
    part, share = parameters.parts.switch, parameters.parts.limits.connector_share
    return part is not None and circuit.worst_a > share * part.rating_a


def guard_full(parameters: Parameters, circuit: Circuit) -> bool:
    """Tell whether the guard against reversal carries more than the house lets it."""
    part, share = parameters.parts.reverse, parameters.parts.limits.connector_share
    return part is not None and circuit.worst_a > share * part.rating_a


def holds_a(circuit: Circuit, fuse: Guard) -> float:
    """Tell what a resettable fuse holds on the warm board."""
    return resettable_fuse.holds_a(fuse.rating_a, circuit.warmth.board_degc)


def fuse_trips(parameters: Parameters, circuit: Circuit) -> bool:
    """Tell whether the fuse may open at the highest corner."""
    fuse = parameters.parts.fuse
    return fuse is not None and circuit.worst_a > holds_a(circuit, fuse)


def fuse_never(parameters: Parameters) -> bool:
    """Tell whether the source cannot drive what the fuse wants before it opens.

    Where the short current is unknown, a source need not drive more than it gives for long; a fuse
    that holds as much may let it heat a short for ever.
    """
    fuse, supply = parameters.parts.fuse, parameters.parts.supply
    if fuse is None:
        return False
    if supply.delivers_a is not None:
        return (
            resettable_fuse.opens_a(fuse.rating_a, parameters.board.ambient_low_degc)
            > supply.delivers_a
        )
    return supply.max_current_a is not None and fuse.rating_a > supply.max_current_a


def fuse_drop_v(fuse: Guard, circuit: Circuit) -> float:
    """Tell what a fuse of the greatest resistance takes from the supply at nominal."""
    return fuse.resistance_ohm[2] * circuit.nominal_a


def fuse_takes(parameters: Parameters, circuit: Circuit) -> bool:
    """Tell whether the fuse takes more from the supply than the house lets it."""
    fuse = parameters.parts.fuse
    return fuse is not None and fuse_drop_v(fuse, circuit) > parameters.parts.limits.fuse_drop_v


def gate_starved(parameters: Parameters, circuit: Circuit) -> bool:
    """Tell whether a transistor's gate gets less than it needs behind the fuse."""
    guard = parameters.parts.reverse
    if guard is None or guard.gate_v is None:
        return False
    return circuit.feed.low_v < guard.gate_v[0]


def goes_dark(kind: BranchKind) -> bool:
    """Tell whether a branch counts as out at the lowest supply."""
    return kind.low.current_a < DARK_SHARE * kind.nominal.current_a


def unlike_kinds(parameters: Parameters, circuit: Circuit) -> tuple[tuple[BranchKind, ...], ...]:
    """Find channels whose dimmest kind of branch lacks too much of the brightest's current."""

    def unlike(kinds: tuple[BranchKind, ...]) -> bool:
        currents = [kind.nominal.current_a for kind in kinds]
        least = (1.0 - parameters.parts.limits.rail_share) * max(currents)
        return below(min(currents), least, SAME_SHARE)

    return tuple(channel.kinds for channel in circuit.channels if unlike(channel.kinds))


def supply_drawn_a(parameters: Parameters, circuit: Circuit) -> float:
    """Tell the current that counts: a coin cell's usual one, of other supplies the highest."""
    cell = parameters.parts.supply.kind is SupplyKind.COIN
    return circuit.nominal_a if cell else circuit.worst_a


def supply_drained(parameters: Parameters, circuit: Circuit) -> bool:
    """Tell whether the supply gives more than it can for long."""
    most = parameters.parts.supply.max_current_a
    drawn = supply_drawn_a(parameters, circuit)
    return most is not None and drawn > parameters.parts.limits.supply_share * most


def unfused(parameters: Parameters) -> bool:
    """Tell whether a strong source feeds the board, or the one before it, without a fuse."""
    return parameters.parts.supply.strong and parameters.parts.fuse is None
