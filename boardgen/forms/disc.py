"""The form "disc": LEDs spread over a round board."""

import math
from collections.abc import Callable, Iterator
from itertools import groupby

from boardgen.forms.facing import ALONG, CURRENT, INWARD, ONE_WAY, OUTWARD
from boardgen.forms.mounting import screws
from boardgen.forms.places import lone_spines
from boardgen.forms.ring import edge, flat_mm
from boardgen.forms.way_in import door_at, rail_side
from boardgen.geometry.between import middle_of
from boardgen.model.parameters import Parameters
from boardgen.model.plan import Keys, Measure, Plan, Sketch
from boardgen.model.pose import Point
from boardgen.tolerances import HAIR_MM

_KEYS = Keys(
    whole="form",
    pitch="form.pitch",
    along="form.diameter",
    across="form.diameter",
    between="form.pitch",
    corner="form.diameter",
)
_MEASURES = (
    Measure(key="form.diameter", field="diameter_mm", grows=True,
            tight="the board is too small for its parts"),
)  # fmt: skip


def disc(parameters: Parameters) -> Plan:
    """Plan a disc: each LED has a place of its own, the nearest to the middle first."""
    form, count = parameters.form, parameters.light.count
    found = _as_read(FILLINGS[form.filling](count, form.pitch_mm))
    reach = max(math.hypot(x, y) for x, y in found)
    connector, facing = parameters.connector, form.facing or ONE_WAY

    def sketch(diameter_mm: float) -> Sketch:
        outline, (x, y), door = edge(
            diameter_mm / 2,
            flat_mm(parameters),
            parameters.parts.limits.aims.corner_mm,
            connector.at_deg,
        )
        return Sketch(
            outline=outline,
            spines=lone_spines(
                ((x + dx, y + dy, _turn_deg(facing, dx, dy)) for dx, dy in found), form.pitch_mm
            ),
            sites=tuple((number, 0.0) for number in range(count)),
            door=door_at(connector, edge=door, middle=(x, y)),
            rail_side=rail_side(connector),
            screws=tuple((x + dx, y + dy) for dx, dy in screws(parameters.mounting)),
            size_mm=diameter_mm,
        )

    return Plan(
        chains=(count,),
        pitch_mm=form.pitch_mm,
        between_mm=None,
        keys=_KEYS,
        inwards_deg=connector.inwards_deg,
        sketch=sketch,
        size_mm=form.diameter_mm,
        least_mm=2 * reach + form.pitch_mm,
        measures=_MEASURES,
        current=CURRENT.get(facing, "counter-clockwise"),
        routed=True,
        area=True,
    )


def _turn_deg(facing: str, x_mm: float, y_mm: float) -> float:
    """Tell which way an LED faces; one in the very middle has no way out and faces right."""
    if facing == ONE_WAY or math.hypot(x_mm, y_mm) < HAIR_MM:
        return 0.0
    return math.degrees(math.atan2(y_mm, x_mm)) + _OFF_DEG[facing]


_OFF_DEG = {OUTWARD: 0.0, ALONG: 90.0, INWARD: 180.0}


def hexagonal(count: int, pitch_mm: float) -> list[Point]:
    """Take places of a triangular lattice that fill a small circle.

    Those nearest to a place of the lattice, or to the middle of three or two of them, are tried:
    4 LEDs are a rhombus around the middle, not one LED with three on one side.
    """
    row = pitch_mm * math.sqrt(3) / 2
    reach = math.ceil(math.sqrt(count)) + 1
    lattice = [
        (pitch_mm * (across + up / 2), row * up)
        for up in range(-reach, reach + 1)
        for across in range(-2 * reach, 2 * reach + 1)
    ]
    middles = ((0.0, 0.0), (pitch_mm / 2, row / 3), (pitch_mm / 2, 0.0))
    found = [_evenly([(x - mx, y - my) for x, y in lattice], count) for mx, my in middles]
    return min(found, key=lambda places: round(max(math.hypot(*at) for at in places), 6))


def _evenly(lattice: list[Point], count: int) -> list[Point]:
    """Take the nearest places, of those equally far some all round, and put them in the middle."""
    found: list[Point] = []
    for _, equal in groupby(sorted(lattice, key=_out), key=lambda at: _out(at)[0]):
        circle, left = list(equal), count - len(found)
        here = min(len(circle), left)
        found += [circle[place * len(circle) // here] for place in range(here)]
        if here == left:
            break
    x, y = middle_of(found)
    return [(px - x, py - y) for px, py in found] if x or y else found


def concentric(count: int, pitch_mm: float) -> list[Point]:
    """Put one LED in the middle, and six more on each circle a pitch further out."""
    return [place for circle in _circles(count, pitch_mm) for place in circle]


FILLINGS: dict[str, Callable[[int, float], list[Point]]] = {
    "hexagonal": hexagonal,
    "concentric": concentric,
}
"""The ways to fill a disc, by the word that the file says."""


def _circles(count: int, pitch_mm: float) -> Iterator[list[Point]]:
    yield [(0.0, 0.0)]
    left, number = count - 1, 1
    while left > 0:
        here = min(6 * number, left)
        turns = (math.tau * step / here for step in range(here))
        yield [
            (number * pitch_mm * math.cos(turn), number * pitch_mm * math.sin(turn))
            for turn in turns
        ]
        left, number = left - here, number + 1


def _out(at: Point) -> tuple[float, float]:
    return (round(math.hypot(*at), 6), round(math.atan2(at[1], at[0]) % math.tau, 6))


def _as_read(found: list[Point]) -> list[Point]:
    """Sort from the top, line by line: neighbours stand beside one another."""
    return sorted(found, key=lambda at: (-round(at[1], 3), round(at[0], 3)))
