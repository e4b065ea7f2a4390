"""Screws of boards that have a middle: where they were given, on a circle, or in the middle."""

import math

from boardgen.model.pose import Point
from boardgen.model.sections import MountingSection


def screws(mounting: MountingSection) -> tuple[Point, ...]:
    """List screws from the middle of a form.

    Examples
    --------
    >>> at = MountingSection(at="circle", circle_mm=40.0, count=2, from_deg=0.0)
    >>> [(round(x), round(y)) for x, y in screws(at)]
    [(20, 0), (-20, 0)]
    """
    if mounting.at == "middle":
        return ((0.0, 0.0),)
    if mounting.at != "circle" or mounting.circle_mm is None:
        return mounting.places
    turns = (
        math.radians(mounting.from_deg) + math.tau * screw / mounting.count
        for screw in range(mounting.count)
    )
    radius = mounting.circle_mm / 2
    return tuple((radius * math.cos(turn), radius * math.sin(turn)) for turn in turns)
