"""Ends that fit one another: a tongue where a board is joined to the next, its notch in that one.

Both ends are cut square to the board's line, so that boards meet face to face. The key lies amid
them, between the lands: a tongue goes into a notch and into nothing else, so V+ comes to V+ on
boards of as many copper sides.
"""

from dataclasses import dataclass

from boardgen.forms.edges import along, back
from boardgen.model.outline import Bow, Ring
from boardgen.model.pose import Pose
from boardgen.model.spine import Spine

PLAY_MM = 0.2
"""All round between tongue and notch: edges are milled to 0.2 mm, common practice, no source."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Key:
    """A tongue: how wide and long, and how round where it begins and at its tip.

    A cutter of twice the lesser radius of a corner into a board makes it: own choice, 2.6 mm.
    """

    wide_mm: float = 3.4
    long_mm: float = 2.8
    root_mm: float = 1.3
    tip_mm: float = 1.2

    @property
    def base_mm(self) -> float:
        """How far from the middle its edge leaves the straight end."""
        return self.wide_mm / 2 + self.root_mm

    def grown(self, by_mm: float) -> "Key":
        """Give the notch that leaves a tongue so much room, but none at the straight end."""
        return Key(
            wide_mm=self.wide_mm + 2 * by_mm,
            long_mm=self.long_mm + by_mm,
            root_mm=self.root_mm - by_mm,
            tip_mm=self.tip_mm + by_mm,
        )


TONGUE = Key()
NOTCH = TONGUE.grown(PLAY_MM)


def around_joined(spine: Spine, width_mm: float, *, notched: bool) -> Ring:
    """Draw the edge of a band with a tongue at its far end and, perhaps, a notch at its first."""
    half = width_mm / 2
    right, left = along(spine, -half), back(along(spine, half))
    far = _profile(spine.pose(spine.length_mm), TONGUE, half)
    first = _profile(spine.start, NOTCH if notched else None, half)
    return (*right[1:], *far[1:], *left[1:], *back(first)[1:])


def _profile(end: Pose, key: Key | None, half_mm: float) -> Ring:
    """Follow an end from right to left, the way that the line runs being ahead."""
    right, left = end.place(0.0, -half_mm), end.place(0.0, half_mm)
    if key is None:
        return (Bow(right), Bow(left))
    base, side = key.base_mm, key.wide_mm / 2
    tip, before = side - key.tip_mm, key.long_mm - key.tip_mm
    root = key.root_mm
    bows = (
        Bow((0.0, -base)),
        Bow((root, -side), (root, -base), clockwise=True),
        Bow((before, -side)),
        Bow((key.long_mm, -tip), (before, -tip)),
        Bow((key.long_mm, tip)),
        Bow((before, side), (before, tip)),
        Bow((root, side)),
        Bow((0.0, base), (root, base), clockwise=True),
    )
    return (
        Bow(right),
        *(
            Bow(end.place(*bow.end), end.place(*bow.centre) if bow.centre else None, bow.clockwise)
            for bow in bows
        ),
        Bow(left),
    )
