"""The sections of the parameter file, as the user writes them.

Field names carry the unit (``pitch_mm``), keys of the file do not (``pitch``). Defaults that a
house sets (copper sides, mask, legend, finish) are put in before validation.
"""

from dataclasses import dataclass
from typing import Annotated

from boardgen import units
from boardgen.model.fields import (
    Choice,
    Name,
    Quantity,
    Rows,
    Switch,
    Whole,
    Words,
    amps,
    angle,
    celsius,
    length,
    ohms,
    share,
    volts,
)
from boardgen.model.form_section import FURTHEST_MM
from boardgen.model.led_data import RESISTOR_SIZES, ChipOutline, LandPair

MOST_LEDS = 2_000
"""Our own bound: beyond it a board would neither fit a bench nor this machine's memory."""

_SPDX = {"pattern": r"[A-Za-z0-9.+-]+", "pattern_words": "an SPDX name such as CC-BY-SA-4.0",
         "example": "CC-BY-SA-4.0"}  # fmt: skip
_DAY = r"\d{4}-(0[1-9]|1[0-2])-(0[1-9]|[12]\d|3[01])"
_SOME_DAY = "2026-01-31"
_DAY_WORDS = f"a day such as {_SOME_DAY}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Licence:
    """Under which licences the design is published."""

    hardware: Annotated[str | None, Words(help="licence of the board", **_SPDX)] = None
    documents: Annotated[str | None, Words(help="licence of its papers", **_SPDX)] = None
    software: Annotated[str | None, Words(help="licence of its file and scripts", **_SPDX)] = None


PLACES = ("dry", "damp", "outdoor")


@dataclass(frozen=True, slots=True, kw_only=True)
class BoardSection:
    """``[board]``: who and what."""

    title: Annotated[str, Words(help="printed on the board; names no file", longest=40)]
    revision: Annotated[
        str,
        Words(
            help="printed after the title",
            longest=8,
            pattern=r"[A-Za-z0-9.]+",
            pattern_words="letters, digits and points",
            example="B",
        ),
    ] = "A"
    author: Annotated[str | None, Words(help="who answers for the design")] = None
    licence: Licence | None = None
    date: Annotated[
        str | None,
        Words(
            help="day of the design, written into every file",
            pattern=_DAY,
            pattern_words=_DAY_WORDS,
            example=_SOME_DAY,
        ),
    ] = None
    ambient_degc: Annotated[float, celsius("warmest air around the board")] = 40.0
    ambient_low_degc: Annotated[float, celsius("coldest air around the board", -40.0)] = 0.0
    place: Annotated[str, Choice(help="where it is used", words=PLACES)] = "dry"


EXTRA_LOW_VOLTAGE_V = 60.0
"""The house rule of every boardgen board: no supply above 60 V DC."""


def _supply_v(help_text: str) -> Quantity:
    return Quantity(
        dimension=units.VOLTAGE, help=help_text, minimum=0.1, maximum=EXTRA_LOW_VOLTAGE_V,
        beyond=f"boardgen stops at {EXTRA_LOW_VOLTAGE_V:g} V DC; take an extra-low voltage supply,"
        " or let a qualified person design this board",
    )  # fmt: skip


SUPPLY_KINDS = ("adapter", "battery", "cells", "bench", "vehicle")


@dataclass(frozen=True, slots=True, kw_only=True)
class SupplySection:
    """``[supply]``: a catalogue name, or low, nominal and high volts."""

    from_: Annotated[str | None, Name(help="a supply of the catalogue")] = None
    kind: Annotated[
        str | None,
        Choice(help="what low, nominal and high belong to; a vehicle is refused",
               words=SUPPLY_KINDS),
    ] = None  # fmt: skip
    cells: Annotated[int | None, Whole(help="cells in series", minimum=1, maximum=40)] = None
    low_v: Annotated[float | None, _supply_v("lowest voltage under load")] = None
    nominal_v: Annotated[float | None, _supply_v("usual voltage")] = None
    high_v: Annotated[float | None, _supply_v("highest voltage")] = None
    max_current_a: Annotated[
        float | None, amps("most that it gives for long; absent: unknown", maximum=1_000.0)
    ] = None
    delivers_a: Annotated[
        float | None, amps("what it drives into a short; absent: unknown", maximum=10_000.0)
    ] = None


USES = ("night-light", "indicator", "ambience", "task")


@dataclass(frozen=True, slots=True, kw_only=True)
class LightSection:
    """``[light]``: which LEDs, how many, how bright."""

    led: Annotated[str, Name(help="an LED of the catalogue, or of a [led] table of this file")]
    count: Annotated[int, Whole(help="how many LEDs", minimum=1, maximum=MOST_LEDS)]
    use: Annotated[
        str | None,
        Choice(help="what the light is for; sets the current, unless that is given", words=USES),
    ] = None
    current_a: Annotated[float | None, amps("current of a branch at the nominal supply")] = None
    in_series: Annotated[
        int | None, Whole(help="LEDs in one branch; absent: chosen", minimum=1, maximum=40)
    ] = None
    as_bright_as: Annotated[
        str | None,
        Name(help="an LED to look as bright as; use or current are then that one's, an estimate"),
    ] = None
    plane_mm: Annotated[float | None, length("from the LEDs to what they light", 10.0)] = None
    diffuser_mm: Annotated[float | None, length("from the LEDs to a diffuser", 1.0, 500.0)] = None
    evenness: Annotated[
        float | None,
        share(
            "darkest spot between LEDs on the diffuser, by the light over those beside it",
            0.01,
            0.999,
        ),
    ] = None
    lands_compared: Annotated[
        bool, Switch(help="true once the lands were compared with the LED's data sheet")
    ] = False


SERIES = ("E3", "E6", "E12", "E24", "E48", "E96")


@dataclass(frozen=True, slots=True, kw_only=True)
class ResistorSection:
    """``[resistor]``: the ballast of each branch."""

    size: Annotated[str, Choice(help="chip size in inch code", words=RESISTOR_SIZES)] = "1206"
    series: Annotated[str, Choice(help="preferred values, IEC 60063", words=SERIES)] = "E12"
    tolerance: Annotated[float, share("either way from the value", 0.0, 0.2)] = 0.01
    rating_w: Annotated[
        float | None,
        Quantity(
            dimension=units.POWER,
            help="rating at 70 degC; absent: the lower one of the sources",
            minimum=0.001,
            maximum=10.0,
        ),
    ] = None
    drawer: Annotated[
        tuple[float, ...],
        Quantity(
            dimension=units.RESISTANCE,
            help="values on hand; then only these are taken",
            minimum=0.01,
            maximum=1e7,
        ),
    ] = ()
    round: Annotated[
        str,
        Choice(
            help="which neighbour of the wanted value is taken: up is never brighter than asked",
            words=("up", "nearest"),
        ),
    ] = "up"
    per_branch: Annotated[
        int, Whole(help="equal resistors in series in each branch", minimum=1, maximum=3)
    ] = 1
    shared: Annotated[
        bool, Switch(help="one for all branches: refused, with the reason", example=False)
    ] = False
    body: ChipOutline | None = None


REVERSALS = ("none", "schottky", "p-channel")


@dataclass(frozen=True, slots=True, kw_only=True)
class ProtectionSection:
    """``[protection]``: what stands between connector and rail."""

    reverse: Annotated[
        str, Choice(help="guard against a supply the wrong way round", words=REVERSALS)
    ] = "none"
    fuse: Annotated[
        str | None, Name(help='a resettable fuse, such as "500 mA resettable"', none=True)
    ] = None


CENTRE = "centre"
CONNECTOR_PLACES = ("left", "right", "middle", "bottom", CENTRE)
DOORS_DEG = {"right": 0.0, "middle": 90.0, "left": 180.0, "bottom": 270.0}
"""Where a connector stands, seen from the middle of a board, counter-clockwise from the right."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ConnectorSection:
    """``[connector]``: where the supply comes in."""

    kind: Annotated[str, Name(help="a connector of the catalogue")] = "terminal 3.5 mm"
    poles: Annotated[
        int | None,
        Whole(help="poles: 2 are + -, 3 are + - -, 4 are + + - -", minimum=2, maximum=4),
    ] = None
    at: Annotated[
        str,
        Choice(
            help="which end, or the middle of the long edge, above; bottom: amid the lower one of a"
            " ring, polygon, disc, word or given places, or of another outline around rows; an"
            " angle, counter-clockwise from the right: there on the edge of a round board, or one"
            " that was drawn; centre: in the middle of a ring or polygon without an opening",
            words=CONNECTOR_PLACES,
            quantity=angle("where on a round edge", -360.0, 360.0),
        ),
    ] = "left"
    side: Annotated[
        str, Choice(help="side of its body: bottom is mounted from below", words=("top", "bottom"))
    ] = "top"
    switch: Annotated[
        str | None, Name(help="a switch in the supply line", example="slide switch", none=True)
    ] = None

    @property
    def central(self) -> bool:
        """Whether it stands in the middle of the board."""
        return self.at == CENTRE

    @property
    def at_deg(self) -> float:
        """At which angle from the board's middle it stands; in the middle: where wires come from.

        Examples
        --------
        >>> [ConnectorSection(at=at).at_deg for at in ("left", "-30 deg", "centre")]
        [180.0, 330.0, 270.0]
        """
        found = DOORS_DEG.get(self.at)
        if found is None:
            found = 270.0 if self.central else float(self.at.removesuffix(" deg")) % 360.0
        return found

    @property
    def inwards_deg(self) -> float:
        """Which way the supply runs as it comes in."""
        return (self.at_deg + 180.0) % 360.0

    @property
    def amid(self) -> bool:
        """Whether it stands at no end: amid a long edge, or further in."""
        return self.central or self.at_deg not in {0.0, 180.0}


SITES = "sites"
MOUNTINGS = ("ends", "corners", "circle", "middle", SITES, "none")
IN_THE_ROUND = ("circle", "middle")
"""Places of screws that ask for a middle."""


@dataclass(frozen=True, slots=True, kw_only=True)
class MountingSection:
    """``[mounting]``: screws."""

    screw: Annotated[str, Name(help="thread of the screws, M1.6 to M4")] = "M3"
    at: Annotated[
        str,
        Choice(
            help="where they sit; ends and corners of rows, circle and middle of a ring, disc,"
            " polygon or arc, sites left free among the LEDs of a ring, polygon, arc or path; or"
            " give places",
            words=MOUNTINGS,
        ),
    ] = "ends"
    circle_mm: Annotated[
        float | None, length("diameter of the circle on which screws sit", 4.0)
    ] = None
    count: Annotated[
        int, Whole(help="how many screws sit on the circle", minimum=1, maximum=24)
    ] = 3
    from_deg: Annotated[
        float,
        angle("where the first of them sits, counter-clockwise from the right", -360.0, 360.0),
    ] = 90.0
    every: Annotated[
        int,
        Whole(help="of sites: each so many-th has a screw instead of an LED", minimum=2,
              maximum=100),
    ] = 4  # fmt: skip
    places: Annotated[
        tuple[tuple[float, float], ...],
        Rows(
            help="centres, x right and y up from the lower-left corner; beside form.places from the"
            " point of those, of rows within another outline from D1 at the upper left, or as a"
            " drawing counts",
            each=(length("x", -FURTHEST_MM), length("y", -FURTHEST_MM)),
        ),
    ] = ()
    under: Annotated[
        str,
        Choice(
            help="what lies under the screw and needs room; none: a plain hole",
            words=("washer", "head", "none"),
        ),
    ] = "washer"

    @property
    def chosen(self) -> bool:
        """Whether the file says where each screw sits, and boardgen places none."""
        return bool(self.places) or self.at in (*IN_THE_ROUND, SITES)


JOINT_LANDS = "joint lands"
"""The way in of a board that another one can be joined to: its key and lands fit a far end's."""


@dataclass(frozen=True, slots=True, kw_only=True)
class JointSection:
    """``[joint]``: boards that are joined end to end, each fed through the one before."""

    boards: Annotated[
        int,
        Whole(
            help="how many boards are joined to a chain, the one that is fed included; sums are of"
            " the first, which carries the current of all; 1: none are",
            minimum=1,
            maximum=24,
        ),
    ] = 1

    first: Annotated[
        str,
        Choice(
            help="the board that is fed: alike, one of these; or another, of a file of its own,"
            " with a connector and perhaps a switch, and with the guards that protection tells here"
            " and there; it counts as one of the boards",
            words=("alike", "another"),
        ),
    ] = "alike"

    @property
    def joined(self) -> bool:
        """Whether the board has a far end that another one fits."""
        return self.boards > 1


RELIEFS = ("all", "holes", "none")
SPLIT = "split"
POURS = ("both", SPLIT)


@dataclass(frozen=True, slots=True, kw_only=True)
class CopperSection:
    """``[copper]``: sides, thickness, widths."""

    sides: Annotated[int, Whole(help="copper sides", minimum=1, maximum=2)] = 2
    weight_um: Annotated[
        float,
        Quantity(
            dimension=units.COPPER_WEIGHT,
            help="finished thickness of the copper: 0.5 oz, 1 oz, 2 oz or in um",
            minimum=17.0,
            maximum=105.0,
        ),
    ] = 35.0
    rise_k: Annotated[
        float,
        Quantity(
            dimension=units.TEMPERATURE_RISE,
            help="how much warmer the rail may get",
            minimum=1.0,
            maximum=40.0,
        ),
    ] = 10.0
    rail_mm: Annotated[float | None, length("width of the supply rail; absent: chosen")] = None
    pour: Annotated[
        str | None,
        Choice(
            help="both: 0 V on both sides, the supply by tracks; split: 0 V on the LEDs' side, the"
            " supply's pour on the other, for LEDs at places of their own on two copper sides;"
            " absent: both, and split where the supply finds no way",
            words=POURS,
        ),
    ] = None
    relief: Annotated[str, Choice(help="which lands get thermal spokes", words=RELIEFS)] = "all"
    test_points: Annotated[
        bool, Switch(help="round lands for probes on V+ and 0 V at the far end")
    ] = False


@dataclass(frozen=True, slots=True, kw_only=True)
class HoleAndLand:
    """A plated hole and its land."""

    hole_mm: Annotated[float, length("finished diameter", 0.3, 6.0)]
    land_mm: Annotated[float, length("diameter of the land", 0.5, 10.0)]


@dataclass(frozen=True, slots=True, kw_only=True)
class LandsSection:
    """``[lands]``: own lands instead of the calculated or tabled ones."""

    led: LandPair | None = None
    resistor: LandPair | None = None
    connector: HoleAndLand | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class LegendSection:
    """``[legend]``: what is printed besides the marks."""

    name_box: Annotated[bool, Switch(help="a box for the builder's name on the back")] = False
    text: Annotated[
        str,
        Words(
            help="the title line; {title} {colour} {count} {led} {supply} {pitch} are filled in",
            example="{title} {supply}",
        ),
    ] = "{title}"


MASKS = ("white", "black", "green", "blue", "red", "yellow", "none")
LEGENDS = ("black", "white", "none")
FINISHES = ("tin, lead-free", "gold", "bare copper")
THICKNESSES_MM = (0.8, 1.0, 1.2, 1.6, 2.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class OrderSection:
    """``[order]``: what the board house is told."""

    house: Annotated[
        str, Name(help="profile of limits, or a file of yours ending in .toml beside this one")
    ] = "ordinary"
    mask: Annotated[str, Choice(help="colour of the mask", words=MASKS)] = "white"
    legend: Annotated[
        str | None, Choice(help="colour of the print; absent: suits the mask", words=LEGENDS)
    ] = None
    finish: Annotated[str, Choice(help="finish of the lands", words=FINISHES)] = "tin, lead-free"
    thickness_mm: Annotated[float, length("thickness of the board", 0.4, 3.2)] = 1.6
    quantity: Annotated[int, Whole(help="boards to order", minimum=1, maximum=100_000)] = 5
    drill_span: Annotated[
        str,
        Choice(help="what drill files of one copper side say; houses differ", words=("1,1", "1,2")),
    ] = "1,1"


@dataclass(frozen=True, slots=True, kw_only=True)
class BuiltSection:
    """``[built]``: what was measured on the first article."""

    date: Annotated[
        str,
        Words(
            help="day of the measurement", pattern=_DAY, pattern_words=_DAY_WORDS, example=_SOME_DAY
        ),
    ]
    supply_v: Annotated[float, volts("supply at the connector, as measured")]
    current_a: Annotated[float, amps("current of the whole board, as measured", 0.0)]
    ballasts_v: Annotated[
        tuple[float, ...],
        volts("across each branch's ballast, in the order of the branches", 0.0),
    ] = ()
    resistors_ohm: Annotated[
        tuple[float, ...],
        ohms("each branch's ballast, the supply unplugged, in the order of the branches"),
    ] = ()
    by: Annotated[str | None, Words(help="who measured")] = None
    remark: Annotated[str | None, Words(help="what else was seen", longest=200)] = None


@dataclass(frozen=True, slots=True, kw_only=True)
class WaiveSection:
    """``[[waive]]``: a finding that is accepted, and why."""

    code: Annotated[
        str,
        Words(help="code of a rule, as findings and boardgen rules tell it", example="supply.idle"),
    ]
    reason: Annotated[str, Words(help="why it is accepted; stands in the report", longest=200)]
    place: Annotated[
        str | None,
        Words(help="only findings that name this part, net, layer or hole; absent: all"),
    ] = None


@dataclass(frozen=True, slots=True, kw_only=True)
class FamilySection:
    """``[family]``: many boards from one file; ``vary``, ``change`` and ``skip`` are read apart."""

    file_name: Annotated[
        str,
        Words(
            help="pattern of the members' names, e.g. stick-{colour}-{count}",
            example="stick-{colour}-{count}",
        ),
    ]
    same_parts: Annotated[
        bool, Switch(help="the fewest resistor values that serve all members")
    ] = False
