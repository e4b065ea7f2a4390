"""Land-pattern families → land patterns, by the published equations or from tables of our own."""

from functools import cache
from typing import Any

from boardgen import units
from boardgen.model.land_pattern import Extent, Land, LandPattern, LandShape
from boardgen.model.parameters import ConnectorPart, ResistorPart
from boardgen.reading.files import footprints_folder, load_shipped
from boardgen.standards.land_pattern import ChipBody, Goals, chip_lands
from boardgen.standards.through_hole import hole_mm, land_mm

_CHIP_LEVEL = "A"


@cache
def resistor_part(size: str) -> ResistorPart:
    """Build a chip resistor of the shipped sizes."""
    data = load_shipped(footprints_folder(), "chip-resistors.toml")
    entry = data[size]
    return ResistorPart(
        size=size,
        metric=entry["metric"],
        rating_w=units.parse(entry["rating"], units.POWER),
        pattern=_chip(entry, ("", ""), data["source"]),
        source=data["source"],
    )


@cache
def led_pattern(size: str) -> LandPattern:
    """Build the lands of an LED size; pin 1 is the cathode."""
    if size == "2835":
        return _own_table(load_shipped(footprints_folder(), "led-2835.toml"))
    data = load_shipped(footprints_folder(), "chip-leds.toml")
    return _chip(data[size], ("K", "A"), data["source"])


@cache
def connectors() -> dict[str, ConnectorPart]:
    """Build the connectors by name; pin 1 is +."""
    found = {}
    for file in ("terminals.toml", "wire-pads.toml"):
        data = load_shipped(footprints_folder(), file)
        for name, entry in data.items():
            if isinstance(entry, dict):
                found[name] = ConnectorPart(
                    name=name,
                    rating_a=units.parse(entry["rating"], units.CURRENT),
                    pattern=_row_of_leads(entry, data["source"], typical="own" not in
                                          data["standing"]),
                )  # fmt: skip
    return found


def _goals() -> tuple[Goals, str]:
    data = load_shipped(footprints_folder(), "goals.toml")
    level = data["level"][_CHIP_LEVEL]
    goals = Goals(
        toe_mm=level["toe"],
        heel_mm=level["heel"],
        side_mm=level["side"],
        courtyard_mm=level["courtyard"],
        fabrication_mm=data["tolerances"]["fabrication"],
        placement_mm=data["tolerances"]["placement"],
    )
    return goals, level["suffix"]


def _chip(entry: dict[str, Any], functions: tuple[str, str], source: str) -> LandPattern:
    goals, suffix = _goals()
    body = ChipBody(
        length_mm=tuple(entry["length"]),
        width_mm=tuple(entry["width"]),
        termination_mm=tuple(entry["termination"]),
    )
    found = chip_lands(body, goals)
    # To whole micrometres: below any house's accuracy, and kinder to read.
    length, width, centres = (
        round(value, 3) for value in (found.land_mm, found.width_mm, found.centres_mm)
    )
    lands = tuple(
        Land(name=name, function=function, x_mm=side * centres / 2, y_mm=0.0,
             width_mm=length, height_mm=width)
        for name, function, side in zip(("1", "2"), functions, (-1, 1), strict=True)
    )  # fmt: skip
    half_length, half_width = body.length_mm[1] / 2, body.width_mm[1] / 2
    height = round(entry["height"] * 100)
    return _pattern(
        name=f"{entry['prefix']}{entry['metric']}X{height}{suffix}",
        lands=lands,
        body=_extent(half_length, half_width),
        room_mm=goals.courtyard_mm,
        height_mm=entry["height"],
        typical=False,
        source=source,
    )


def _own_table(data: dict[str, Any]) -> LandPattern:
    lands = tuple(
        Land(name=land["name"], function=land["function"], x_mm=land["centre"][0],
             y_mm=land["centre"][1], width_mm=land["size"][0], height_mm=land["size"][1])
        for land in data["land"]
    )  # fmt: skip
    return _pattern(
        name=data["name"],
        lands=lands,
        body=_extent(data["body"][0] / 2, data["body"][1] / 2),
        room_mm=data["courtyard"],
        height_mm=data["height"],
        typical=data["typical"],
        source=data["source"],
    )


def _row_of_leads(entry: dict[str, Any], source: str, *, typical: bool) -> LandPattern:
    first_x = -(entry["poles"] - 1) * entry["pitch"] / 2
    land = land_mm(entry["lead"])
    lands = tuple(
        Land(name=str(number), function=function, x_mm=first_x + (number - 1) * entry["pitch"],
             y_mm=0.0, width_mm=land, height_mm=land, shape=LandShape.ROUND,
             hole_mm=hole_mm(entry["lead"]))
        for number, function in enumerate(("+", "-"), start=1)
    )  # fmt: skip
    half = entry["body_width"] / 2
    body = Extent(
        left_mm=-half,
        bottom_mm=-entry["face_to_pins"],
        right_mm=half,
        top_mm=entry["pins_to_back"],
    )
    return _pattern(
        name=entry["name"],
        lands=lands,
        body=body,
        room_mm=entry["courtyard"],
        height_mm=entry["height"],
        typical=typical,
        source=source,
        faces_down=True,
    )


def _extent(half_length: float, half_width: float) -> Extent:
    return Extent(
        left_mm=-half_length, bottom_mm=-half_width, right_mm=half_length, top_mm=half_width
    )


def _pattern(
    *,
    name: str,
    lands: tuple[Land, ...],
    body: Extent,
    room_mm: float,
    height_mm: float,
    typical: bool,
    source: str,
    faces_down: bool = False,
) -> LandPattern:
    """Put the courtyard around everything, and the rest together."""
    boxes = [body, *(_land_extent(land) for land in lands)]
    courtyard = Extent(
        left_mm=min(box.left_mm for box in boxes) - room_mm,
        bottom_mm=min(box.bottom_mm for box in boxes) - room_mm,
        right_mm=max(box.right_mm for box in boxes) + room_mm,
        top_mm=max(box.top_mm for box in boxes) + room_mm,
    )
    return LandPattern(
        name=name,
        lands=lands,
        body=body,
        courtyard=courtyard,
        height_mm=height_mm,
        typical=typical,
        source=source,
        faces_down=faces_down,
    )


def _land_extent(land: Land) -> Extent:
    return Extent(
        left_mm=land.x_mm - land.width_mm / 2,
        bottom_mm=land.y_mm - land.height_mm / 2,
        right_mm=land.x_mm + land.width_mm / 2,
        top_mm=land.y_mm + land.height_mm / 2,
    )
