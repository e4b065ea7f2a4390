"""What is left of the supply at the rail, behind fuse and guard against reversal."""

from boardgen.model.circuit import Feed
from boardgen.model.parameters import Parameters


def supply_at_rail(parameters: Parameters, board_a: float) -> Feed:
    """Take off what the guards in the line drop while the board draws the current asked for.

    Boards that are joined to it draw theirs through the same guards.

    Highest: the least drop and no resistance, so that nothing is promised; nominal and lowest: the
    usual and the greatest drop and resistance at that current.
    """
    supply, guards = parameters.parts.supply, parameters.parts.guards
    board_a *= parameters.joint.boards
    least = sum(guard.drop_v[0] for guard in guards)
    usual, most = (
        sum(guard.drop_v[rank] + guard.resistance_ohm[rank] * board_a for guard in guards)
        for rank in (1, 2)
    )
    return Feed(
        low_v=max(0.0, supply.low_v - most),
        nominal_v=max(0.0, supply.nominal_v - usual),
        high_v=max(0.0, supply.high_v - least),
        drop_v=(least, usual, most),
    )
