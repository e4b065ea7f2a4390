"""Where the supply comes in on a board that has a middle, and how the LEDs' line lies to it."""

from boardgen.model.pose import Point, Pose
from boardgen.model.sections import ConnectorSection
from boardgen.model.side import Side


def door_at(connector: ConnectorSection, *, edge: Point, middle: Point) -> Pose:
    """Put the way in at the edge, facing inwards, or in the middle, where the pins come to lie."""
    x, y = middle if connector.central else edge
    return Pose(x_mm=x, y_mm=y, turn_deg=connector.inwards_deg)


def met_at_deg(connector: ConnectorSection) -> float:
    """Tell at which angle the supply meets a line of LEDs around the middle."""
    return connector.inwards_deg if connector.central else connector.at_deg


def runs_clockwise(connector: ConnectorSection) -> bool:
    """Tell which way round the current goes: it starts off towards the connector's +."""
    return (connector.side == Side.TOP.value) is not connector.central


def rail_side(connector: ConnectorSection) -> int:
    """Tell on which side of the LEDs' line rails lie: the one from which the supply comes."""
    return 1 if connector.side == Side.TOP.value else -1
