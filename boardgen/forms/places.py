"""The form "places": LEDs where a list has them, on a rectangle that is drawn around them."""

from collections.abc import Iterable, Sequence

from boardgen.model.outline import rectangle
from boardgen.model.parameters import Parameters
from boardgen.model.plan import Keys, Measure, Plan, Sketch
from boardgen.model.pose import Point, Pose
from boardgen.model.side import Side
from boardgen.model.spine import Piece, Spine

_KEYS = Keys(
    whole="form",
    pitch="form.places",
    along="form.margin",
    across="form.margin",
    between="form.places",
    corner="form.corner",
)
_MEASURES = (
    Measure(key="form.margin", field="margin_mm", grows=True,
            tight="the board is too small for its parts"),
)  # fmt: skip
_CORNER_MM = 2.0
_INWARDS_DEG = {"left": 0.0, "right": 180.0, "middle": 270.0}


Place = tuple[float, float, float]
"""Where an LED stands, in mm, and which way the current passes it, in degrees."""


def places(parameters: Parameters) -> Plan:
    """Plan a board of given places, on a rectangle around them."""
    return around(parameters, parameters.form.places, _KEYS)


def around(parameters: Parameters, found: Sequence[Place], keys: Keys) -> Plan:
    """Plan a rectangle around places: each is a spine of its own, and tracks find their ways.

    The margin is the same all round, but on the side where the supply comes in, which grows by
    itself as deep as connector and parts behind it ask for.
    """
    form, at = parameters.form, parameters.connector.at
    left, bottom = (min(place[axis] for place in found) for axis in (0, 1))
    right, top = (max(place[axis] for place in found) for axis in (0, 1))

    def sketch(margin_mm: float, deeper_mm: float = 0.0) -> Sketch:
        west, east, north = (
            margin_mm + (deeper_mm if at == side else 0.0) for side in ("left", "right", "middle")
        )
        length, width = west + right - left + east, margin_mm + top - bottom + north
        corner = min(form.corner_mm or _CORNER_MM, length / 4, width / 4)

        def moved(x_mm: float, y_mm: float) -> Point:
            return (x_mm - left + west, y_mm - bottom + margin_mm)

        doors = {"left": (0.0, width / 2), "right": (length, width / 2),
                 "middle": (length / 2, width)}  # fmt: skip
        x, y = doors[at]
        spines = lone_spines(((*moved(x, y), turn) for x, y, turn in found), form.pitch_mm)
        return Sketch(
            outline=rectangle(length, width, corner),
            spines=spines,
            sites=tuple((number, 0.0) for number in range(len(spines))),
            door=Pose(x_mm=x, y_mm=y, turn_deg=_INWARDS_DEG[at]),
            rail_side=1 if parameters.connector.side == Side.TOP.value else -1,
            screws=tuple(moved(*place) for place in parameters.mounting.places),
            size_mm=margin_mm,
        )

    return Plan(
        chains=(len(found),),
        pitch_mm=form.pitch_mm,
        between_mm=None,
        keys=keys,
        inwards_deg=_INWARDS_DEG[at],
        sketch=sketch,
        deeper=sketch,
        size_mm=form.margin_mm,
        least_mm=2.0,
        measures=_MEASURES,
        current="",
        routed=True,
    )


def lone_spines(found: Iterable[Place], pitch_mm: float) -> tuple[Spine, ...]:
    """Give each place a line of its own, the way the current passes it."""
    return tuple(
        Spine(
            start=Pose(x_mm=x, y_mm=y, turn_deg=turn), pieces=(Piece(length_mm=pitch_mm),)
        )
        for x, y, turn in found
    )  # fmt: skip
