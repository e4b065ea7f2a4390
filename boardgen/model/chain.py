"""Boards joined end to end: where each of them comes to lie."""

import math
from dataclasses import replace

from boardgen.model.outline import Ring
from boardgen.model.pose import Point, Pose
from boardgen.model.spine import Spine


def joined_poses(spine: Spine, boards: int) -> tuple[Pose, ...]:
    """Tell where boards of one line lie that are joined, each from its own lower-left corner.

    Each begins where the one before it ends, and goes on in its direction.

    Examples
    --------
    >>> from boardgen.model.spine import Piece
    >>> line = Spine(start=Pose(x_mm=0.0, y_mm=5.0), pieces=(Piece(length_mm=80.0),))
    >>> [(pose.x_mm, pose.y_mm) for pose in joined_poses(line, 2)]
    [(0.0, 0.0), (80.0, 0.0)]
    """
    start, end = spine.start, spine.pose(spine.length_mm)
    found = [Pose(x_mm=0.0, y_mm=0.0)]
    for place in range(1, boards):
        # Turns are counted from the first, so that a ring closes to the last bit.
        turn = place * (end.turn_deg - start.turn_deg)
        before = found[-1].place(end.x_mm, end.y_mm)
        back = Pose(x_mm=0.0, y_mm=0.0, turn_deg=turn).place(start.x_mm, start.y_mm)
        found.append(Pose(x_mm=before[0] - back[0], y_mm=before[1] - back[1], turn_deg=turn))
    return tuple(found)


def closes(spine: Spine, boards: int) -> bool:
    """Tell whether the last board's far end meets the first one's beginning."""
    end = joined_poses(spine, boards)[-1].place(*spine.place(spine.length_mm))
    return boards > 1 and math.dist((spine.start.x_mm, spine.start.y_mm), end) < _CLOSED_MM


_CLOSED_MM = 0.05
"""So near its first end a chain's last one counts as closed: joints have more play."""


def carried(ring: Ring, pose: Pose) -> Ring:
    """Carry an edge to where its board lies."""

    def there(at: Point) -> Point:
        return pose.place(*at)

    return tuple(
        replace(bow, end=there(bow.end), centre=bow.centre and there(bow.centre)) for bow in ring
    )
