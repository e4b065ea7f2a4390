"""Land-pattern families → land patterns, by the published equations or from tables of our own."""

from functools import cache
from typing import Any

from boardgen import units
from boardgen.model.land_pattern import Entry, Extent, Land, LandPattern, LandShape, PlainHole
from boardgen.model.led_data import RESISTOR_SIZES, ChipOutline, LandPair
from boardgen.model.limits import Limits
from boardgen.model.parts import ConnectorPart, ResistorPart, SwitchPart
from boardgen.model.sections import HoleAndLand
from boardgen.reading.files import footprints_folder, load_shipped
from boardgen.standards.land_pattern import ChipBody, Goals, chip_lands
from boardgen.standards.through_hole import hole_mm, land_mm

_CHIP_LEVEL = "A"
_SMALL_BODY_MM = 1.5
"""Bodies from 1608 (metric) upwards are at least so long; smaller ones have goals of their own."""

_RING_MARGIN_MM = 0.001
CONNECTOR_FILES = ("terminals.toml", "pin-headers.toml", "wire-pads.toml", "coin-holders.toml",
                   "joint-lands.toml")  # fmt: skip

_Pair = tuple[tuple[float, float], tuple[float, float], float]


@cache
def _tables(*files: str) -> dict[str, tuple[dict[str, Any], dict[str, Any]]]:
    """Gather the entries of data files by name, each with its file's head."""
    found: dict[str, tuple[dict[str, Any], dict[str, Any]]] = {}
    for file in files:
        data = load_shipped(footprints_folder(), file)
        found |= {name: (entry, data) for name, entry in data.items() if isinstance(entry, dict)}
    return found


# -- resistors and LEDs ------------------------------------------------------------------------


def resistor_part(
    size: str,
    body: ChipOutline | None = None,
    lands: LandPair | None = None,
    least_gap_mm: float = 0.0,
) -> ResistorPart:
    """Build a chip resistor of a shipped size, or of an own body; own lands go before both.

    ``least_gap_mm`` is what the house needs between the two lands: calculated ones give way to it.
    """
    entry, head = _tables("chip-resistors.toml")[size]
    if body:
        pattern = _own_body(body, lands, ("", ""), "resistor", least_gap_mm)
    else:
        chip = _chip(entry, ("", ""), head["source"], least_gap_mm)
        pattern = _with_lands(chip, lands, ("", ""), "")
    return ResistorPart(
        size="" if body else size,
        rating_w=units.parse(entry["rating"], units.POWER),
        pattern=pattern,
        printed=entry["printed"],
        source=head["source"],
        larger=_larger(units.parse(entry["rating"], units.POWER)),
        usual_w=units.parse(entry.get("usual", entry["rating"]), units.POWER),
    )


def _larger(rating_w: float) -> tuple[tuple[str, float], ...]:
    """List the sizes of a higher rating, the smallest first."""
    ratings = {
        size: units.parse(entry["rating"], units.POWER)
        for size, (entry, _) in _tables("chip-resistors.toml").items()
    }
    return tuple((size, ratings[size]) for size in RESISTOR_SIZES if ratings[size] > rating_w)


def led_pattern(
    size: str | None,
    marked_function: str,
    body: ChipOutline | None = None,
    lands: LandPair | None = None,
    least_gap_mm: float = 0.0,
) -> LandPattern:
    """Build the lands of an LED; pin 1 is the cathode, at whichever end the mark is.

    Parameters
    ----------
    size : str or None
        A shipped size; None with ``body``.
    marked_function : str
        "K" or "A": what the land at the marked end does.
    lands : LandPair, optional
        Own lands, which go before the size's.
    """
    functions = (marked_function, "A" if marked_function == "K" else "K")
    if body:
        return _own_body(body, lands, functions, "LED", least_gap_mm)
    moulded = _tables("moulded-leds.toml")
    if size in moulded:
        entry, head = moulded[size]
        table = LandPair(
            **{
                f"{key}_mm": entry[key]
                for key in ("length", "width", "gap", "plain_length", "plain_width")
                if key in entry
            }
        )
        return assembled(
            name=entry["name"] if lands is None else f"{entry['name']}, own lands",
            lands=_paired(_sizes(lands or table), functions),
            body=extent(entry["body"][0] / 2, entry["body"][1] / 2),
            room_mm=entry["courtyard"],
            height_mm=entry["height"],
            typical=lands is None,
            source=head["source"] if lands is None else "own lands",
            marked=_marked(functions),
        )
    entry, head = _tables("chip-leds.toml")[size or ""]
    chip = _chip(entry, functions, head["source"], least_gap_mm)
    return _with_lands(chip, lands, functions, _marked(functions))


def _marked(functions: tuple[str, str]) -> str:
    return "1" if functions[0] == "K" else "2"


def _sizes(pair: LandPair) -> _Pair:
    return (
        (pair.length_mm, pair.width_mm),
        (pair.plain_length_mm or pair.length_mm, pair.plain_width_mm or pair.width_mm),
        pair.gap_mm,
    )


def _paired(sizes: _Pair, functions: tuple[str, str]) -> tuple[Land, ...]:
    """Lay a marked and a plain land along x, their overall length centred; pin 1 is left.

    When the marked end is the anode, the pair is turned so that the cathode comes to lie left.
    """
    marked, plain, gap = sizes
    first, second = (plain, marked) if functions[0] == "A" else (marked, plain)
    overall = first[0] + gap + second[0]
    names = ("K", "A") if "K" in functions else functions
    return (
        Land(name="1", function=names[0], x_mm=round((first[0] - overall) / 2, 6), y_mm=0.0,
             width_mm=first[0], height_mm=first[1]),
        Land(name="2", function=names[1], x_mm=round((overall - second[0]) / 2, 6), y_mm=0.0,
             width_mm=second[0], height_mm=second[1]),
    )  # fmt: skip


def _with_lands(
    pattern: LandPattern, lands: LandPair | None, functions: tuple[str, str], marked: str
) -> LandPattern:
    return assembled(
        name=pattern.name if lands is None else f"{pattern.name}, own lands",
        lands=pattern.lands if lands is None else _paired(_sizes(lands), functions),
        body=pattern.body,
        room_mm=_room(pattern),
        height_mm=pattern.height_mm,
        typical=False,
        source=pattern.source if lands is None else "own lands",
        marked=marked,
    )


def _room(pattern: LandPattern) -> float:
    """Tell how far a courtyard reaches beyond body and lands."""
    reach = max(pattern.body.top_mm, *(land.height_mm / 2 for land in pattern.lands))
    return pattern.courtyard.top_mm - reach


def _own_body(
    body: ChipOutline,
    lands: LandPair | None,
    functions: tuple[str, str],
    kind: str,
    least_gap_mm: float,
) -> LandPattern:
    goals, _ = _goals(body.length_mm)
    half_length = (body.length_mm + body.tolerance_mm) / 2
    half_width = (body.width_mm + body.tolerance_mm) / 2
    return assembled(
        name=f"{kind} {body.length_mm:g} x {body.width_mm:g} mm",
        lands=_paired(_sizes(lands), functions)
        if lands
        else _calculated(body, functions, goals, least_gap_mm),
        body=extent(half_length, half_width),
        room_mm=goals.courtyard_mm,
        height_mm=body.height_mm,
        typical=False,
        source="own body and lands" if lands else "own body, IPC-7351B equations",
        marked=_marked(functions) if "K" in functions else "",
    )


def _calculated(
    body: ChipOutline, functions: tuple[str, str], goals: Goals, least_gap_mm: float
) -> tuple[Land, ...]:
    reach, end = body.tolerance_mm, body.termination_tolerance_mm
    termination = body.termination_mm or 0.0
    return _chip_land_pair(
        ChipBody(
            length_mm=(body.length_mm - reach, body.length_mm + reach),
            width_mm=(body.width_mm - reach, body.width_mm + reach),
            termination_mm=(max(termination - end, 0.0), termination + end),
        ),
        functions,
        goals,
        least_gap_mm,
    )


@cache
def _goals(length_mm: float) -> tuple[Goals, str]:
    data = load_shipped(footprints_folder(), "goals.toml")
    level = data["level" if length_mm >= _SMALL_BODY_MM else "small"][_CHIP_LEVEL]
    goals = Goals(
        toe_mm=level["toe"],
        heel_mm=level["heel"],
        side_mm=level["side"],
        courtyard_mm=level["courtyard"],
        fabrication_mm=data["tolerances"]["fabrication"],
        placement_mm=data["tolerances"]["placement"],
    )
    return goals, level["suffix"]


def _chip_land_pair(
    body: ChipBody, functions: tuple[str, str], goals: Goals, least_gap_mm: float
) -> tuple[Land, ...]:
    """Calculate a pair of lands; where the house needs a wider gap, they end further out."""
    found = chip_lands(body, goals)
    # To whole micrometres: below any house's accuracy, and kinder to read.
    length, width = round(found.land_mm, 3), round(found.width_mm, 3)
    gap = round(found.centres_mm, 3) - length
    if gap < least_gap_mm:
        length = round(length - (least_gap_mm - gap) / 2, 3)
        gap = least_gap_mm
    return _paired(((length, width), (length, width), gap), functions)


def _chip(
    entry: dict[str, Any], functions: tuple[str, str], source: str, least_gap_mm: float
) -> LandPattern:
    body = ChipBody(
        length_mm=tuple(entry["length"]),
        width_mm=tuple(entry["width"]),
        termination_mm=tuple(entry["termination"]),
    )
    goals, suffix = _goals(body.length_mm[0])
    half_length, half_width = body.length_mm[1] / 2, body.width_mm[1] / 2
    height = round(entry["height"] * 100)
    return assembled(
        name=f"{entry['prefix']}{entry['metric']}X{height}{suffix}",
        lands=_chip_land_pair(body, functions, goals, least_gap_mm),
        body=extent(half_length, half_width),
        room_mm=goals.courtyard_mm,
        height_mm=entry["height"],
        typical=False,
        source=source,
    )


# -- connectors, switches, test points ---------------------------------------------------------


def connector_names() -> tuple[str, ...]:
    """List the connectors."""
    return tuple(_tables(*CONNECTOR_FILES))


def connector_poles(name: str) -> tuple[int, ...]:
    """List the numbers of poles in which a connector comes."""
    return tuple(_tables(*CONNECTOR_FILES)[name][0]["poles"])


def connector_part(
    name: str, poles: int, limits: Limits, own: HoleAndLand | None = None
) -> ConnectorPart:
    """Build a connector; the first half of its poles is +, rounded down, the rest −."""
    entry, head = _tables(*CONNECTOR_FILES)[name]
    functions = tuple("+" if place < poles // 2 else "-" for place in range(poles))
    half = entry.get("body_width", entry["pitch"] * poles + entry.get("end_width", 0.0)) / 2
    lands = _row_of_leads(entry["pitch"], entry["lead"], functions, limits, own)
    strain = tuple(
        PlainHole(x_mm=land.x_mm, y_mm=-entry["strain_from_pins"], hole_mm=entry["strain_hole"])
        for land in lands
        if "strain_hole" in entry
    )
    pattern = assembled(
        name=f"{name}, {poles} poles",
        lands=lands,
        body=Extent(
            left_mm=-half,
            bottom_mm=-_face_to_pins(entry, lands[0], limits),
            right_mm=half,
            top_mm=entry["pins_to_back"],
        ),
        room_mm=entry["courtyard"],
        height_mm=entry["height"],
        typical="typical" in head["standing"] and own is None,
        source=head["source"],
        entry=Entry(entry["entry"]),
        holes=strain,
    )
    return ConnectorPart(
        name=name if poles == connector_poles(name)[0] else f"{name}, {poles} poles",
        rating_a=units.parse(entry["rating"], units.CURRENT),
        contact_ohm=units.parse(entry["contact"], units.RESISTANCE),
        pattern=pattern,
        printed=entry["printed"],
        cell=entry.get("cell", ""),
    )


def _face_to_pins(entry: dict[str, Any], land: Land, limits: Limits) -> float:
    """Tell how far a connector's pins stand from its face, or lands from the edge they lie at."""
    if "face_to_pins" in entry:
        return float(entry["face_to_pins"])
    copper = max(limits.aims.pour_edge_mm, limits.copper_edge_mm) + _RING_MARGIN_MM
    hole = limits.hole_edge_mm + _RING_MARGIN_MM + (land.hole_mm - land.width_mm) / 2
    return units.up_to_step(land.width_mm / 2 + max(copper, hole), _FACE_STEP_MM)


_FACE_STEP_MM = 0.05


def switch_names() -> tuple[str, ...]:
    """List the switches."""
    return tuple(_tables("switches.toml"))


def switch_part(name: str, limits: Limits) -> SwitchPart:
    """Build a switch: pin 1 on, pin 2 common, pin 3 off."""
    entry, head = _tables("switches.toml")[name]
    return SwitchPart(
        name=name,
        rating_a=units.parse(entry["rating"], units.CURRENT),
        pattern=assembled(
            name=f"{name}, {entry['pitch']:g} mm",
            lands=_row_of_leads(entry["pitch"], entry["lead"], ("on", "common", "off"), limits),
            body=extent(entry["body"][0] / 2, entry["body"][1] / 2),
            room_mm=entry["courtyard"],
            height_mm=entry["height"],
            typical="typical" in head["standing"],
            source=head["source"],
        ),
        printed=entry["printed"],
    )


def probe_land(limits: Limits) -> LandPattern:
    """Build a round surface land for a probe."""
    size = limits.aims.test_land_mm
    land = Land(name="1", function="", x_mm=0.0, y_mm=0.0, width_mm=size, height_mm=size,
                shape=LandShape.ROUND)  # fmt: skip
    return assembled(
        name=f"test point {size:g} mm",
        lands=(land,),
        body=extent(size / 2, size / 2),
        room_mm=_PROBE_ROOM_MM,
        height_mm=0.0,
        typical=False,
        source="own choice: a class's probe needs 2 mm",
    )


_PROBE_ROOM_MM = 0.25


def _row_of_leads(
    pitch_mm: float,
    lead_mm: float,
    functions: tuple[str, ...],
    limits: Limits,
    own: HoleAndLand | None = None,
) -> tuple[Land, ...]:
    """Lay leads along x; lands as the standard has them, or as wide as the house's ring asks.

    Pin 1 is told by its square land, on the bare board too.
    """
    hole = own.hole_mm if own else max(hole_mm(lead_mm), limits.hole_mm)
    land = own.land_mm if own else _ringed(land_mm(lead_mm), hole, pitch_mm, limits)
    first_x = -(len(functions) - 1) * pitch_mm / 2
    return tuple(
        Land(name=str(number), function=function,
             x_mm=round(first_x + (number - 1) * pitch_mm, 6), y_mm=0.0, width_mm=land,
             height_mm=land, shape=LandShape.ROUND if number > 1 else LandShape.RECTANGLE,
             hole_mm=hole)
        for number, function in enumerate(functions, start=1)
    )  # fmt: skip


def _ringed(land: float, hole: float, pitch_mm: float, limits: Limits) -> float:
    """Widen a land to the ring that is wanted, as far as the next land leaves room."""
    ring = limits.ring_mm if limits.plated else limits.ring_unplated_mm
    wanted = land if limits.plated else max(land, hole + 2 * limits.aims.ring_unplated_mm)
    most = pitch_mm - limits.gap_mm - _RING_MARGIN_MM
    return max(min(wanted, most), hole + 2 * (ring + _RING_MARGIN_MM))


# -- patterns ----------------------------------------------------------------------------------


def extent(half_length: float, half_width: float) -> Extent:
    """Make a box around the origin."""
    return Extent(
        left_mm=-half_length, bottom_mm=-half_width, right_mm=half_length, top_mm=half_width
    )


def assembled(
    *,
    name: str,
    lands: tuple[Land, ...],
    body: Extent,
    room_mm: float,
    height_mm: float,
    typical: bool,
    source: str,
    entry: Entry = Entry.TOP,
    holes: tuple[PlainHole, ...] = (),
    marked: str = "",
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
        entry=entry,
        holes=holes,
        marked_land=marked,
    )


def _land_extent(land: Land) -> Extent:
    return Extent(
        left_mm=land.x_mm - land.width_mm / 2,
        bottom_mm=land.y_mm - land.height_mm / 2,
        right_mm=land.x_mm + land.width_mm / 2,
        top_mm=land.y_mm + land.height_mm / 2,
    )
