"""Names of parts in the file → parts with their figures and lands."""

from collections.abc import Iterable, Mapping
from itertools import pairwise

from boardgen.model.land_pattern import LandPattern
from boardgen.model.led_data import METRIC_CODES, LedSection
from boardgen.model.limits import Limits
from boardgen.model.parts import (
    ConnectorPart,
    Guard,
    LedPart,
    ResistorPart,
    Screw,
    SupplyRange,
    SwitchPart,
)
from boardgen.model.sections import MountingSection
from boardgen.reading import catalogue, footprints, guards
from boardgen.reading.meant import nearest
from boardgen.reading.reader import Reader
from boardgen.reading.sections import ParameterFile
from boardgen.standards.diode import shape, typical_curve
from boardgen.standards.photometry import MOST_LM_PER_W, flux_of
from boardgen.standards.screws import SCREWS, room_mm
from boardgen.tolerances import CHORD_MM

_SMALLEST_WEB_MM = 0.1


def least_gap_mm(limits: Limits) -> float:
    """Tell what a house needs between the lands of one chip, with a hair to spare."""
    return limits.gap_mm + CHORD_MM


def led(reader: Reader, sections: ParameterFile, limits: Limits) -> LedPart | None:
    """Find the LED: own tables first, for they may carry a catalogue name however it is spelt."""
    faults = len(reader.problems)
    for name, data in sections.led.items():
        check_led(reader, name, data)
    _refuse_twins(reader, sections.led)
    if len(reader.problems) > faults:
        return None
    return _led(reader, sections, limits, ("light", "led"), sections.light.led)


def alike(reader: Reader, sections: ParameterFile, limits: Limits) -> LedPart | None:
    """Find the LED that this board's are to look as bright as, if one is named."""
    name = sections.light.as_bright_as
    return _led(reader, sections, limits, ("light", "as_bright_as"), name) if name else None


def _led(
    reader: Reader,
    sections: ParameterFile,
    limits: Limits,
    location: tuple[str, str],
    wanted: str,
) -> LedPart | None:
    known = {**sections.led, **catalogue.leds()} | sections.led
    for name, data in known.items():
        if catalogue.plain(name) != catalogue.plain(wanted):
            continue
        if data.lands and sections.lands.led:
            reader.refuse(("lands", "led"), f'"{name}" has lands of its own too', "keep one")
        lands = sections.lands.led or data.lands
        pattern = footprints.led_pattern(
            data.size, data.marked_function, data.body, lands, least_gap_mm(limits)
        )
        return LedPart(name=name, data=data, shape=catalogue.led_shape(data), pattern=pattern)
    reader.refuse(
        location,
        f'"{wanted}" is neither in the catalogue nor a [led] table of this file',
        _metric_remedy(wanted, known) or nearest(wanted, known),
    )
    return None


def _metric_remedy(name: str, known: Iterable[str]) -> str:
    """Say which LED is meant when its size was written in the metric code."""
    for inch, metric in METRIC_CODES.items():
        meant = name.replace(metric, inch)
        if meant != name and meant in known:
            return f'{metric} is the metric code of {inch}: write "{meant}"'
    return ""


def check_led(reader: Reader, name: str, data: LedSection) -> None:
    """Hold the data of an own LED against one another."""
    vf, location = data.vf, ("led", name)
    if not vf.min_v <= vf.typical_v <= vf.max_v:
        reader.refuse(
            (*location, "vf"),
            f"min {vf.min_v:g} V, typical {vf.typical_v:g} V and max {vf.max_v:g} V are not in"
            " this order",
            "write them from the least to the greatest",
        )
    _check_points(reader, name, data)
    _check_output(reader, name, data)
    if bool(data.cathode) == bool(data.anode):
        reader.refuse(
            location,
            "says both cathode and anode" if data.cathode else "does not say where the cathode is",
            'say what is seen on the part: cathode = "notched corner" when that mark is at the'
            ' cathode, or anode = "…" when it is at the anode; never guess, see the data sheet',
        )
    if (data.size is None) == (data.body is None):
        reader.refuse(
            location,
            "says both size and body" if data.size else "says neither size nor body",
            'keep one: size = "2835", or body = { length = …, width = …, height = … } with lands',
        )
    elif data.body and data.lands is None and data.body.termination_mm is None:
        reader.refuse(
            (*location, "body"),
            "gives neither termination nor lands",
            "add lands = { length = …, width = …, gap = … } or termination to the body",
        )


def _check_points(reader: Reader, name: str, data: LedSection) -> None:
    """Hold the pairs of a curve against one another and against the forward voltage."""
    vf, location = data.vf, ("led", name, "points")
    for number, (before, after) in enumerate(pairwise(data.points), start=2):
        if before[0] >= after[0] or before[1] >= after[1]:
            reader.refuse(
                location,
                f"pair {number}, {after[0] * 1000:g} mA at {after[1]:g} V, does not rise above"
                f" {before[0] * 1000:g} mA at {before[1]:g} V: more current needs more voltage",
                "list the pairs from the least current to the greatest, as the curve has them",
            )
            return
    if len(data.points) == 1:
        reader.refuse(
            location, "one pair is no curve", "drop it, or list two or more pairs of current"
            " and voltage",
        )  # fmt: skip
    elif data.points:
        usual = catalogue.led_shape(data)
        _, series = shape(data.points, (usual.ideality, usual.series_ohm))
        least = min([vf.min_v - vf.at_a * series, *(v - amps * series for amps, v in data.points)])
        if least <= _LEAST_DIODE_V:
            reader.refuse(
                location,
                f"they rise by {series:.3g} V for each ampere, which leaves {least:.2f} V for the"
                " LED itself",
                "read the curve again: volts against amperes, and vf",
            )
            return
        curve = typical_curve(data.points, (usual.ideality, usual.series_ohm))
        misses = [(amps, volts - float(curve.voltage_v(amps))) for amps, volts in data.points]
        amps, worst = max(misses, key=lambda miss: abs(miss[1]))
        if abs(worst) > _MISS_V:
            reader.refuse(
                location,
                f"no LED's curve passes them: the nearest misses the pair at {amps * 1000:g} mA by"
                f" {abs(worst) * 1000:.0f} mV",
                "read that pair again",
            )
        found = float(curve.voltage_v(vf.at_a))
        if not vf.min_v <= found <= vf.max_v or abs(found - vf.typical_v) > _APART_V:
            reader.refuse(
                location,
                f"their curve passes {found:.2f} V at {vf.at_a * 1000:g} mA, but vf says"
                f" {vf.min_v:g} to {vf.max_v:g} V, typical {vf.typical_v:g} V",
                "read the curve again, or correct vf: both are of one data sheet",
            )


_LEAST_DIODE_V = 0.1
_MISS_V = 0.05
_APART_V = 0.15
"""How far a read pair may lie from its curve, and the curve from the typical figure: own choice."""


def _check_output(reader: Reader, name: str, data: LedSection) -> None:
    """Refuse more light than its power could ever give."""
    output = data.output
    flux = output and flux_of(output)
    if output is None or not flux:
        return
    most = MOST_LM_PER_W * data.vf.max_v * output.at_a
    if flux > most:
        reader.refuse(
            ("led", name, "output"),
            f"{flux:.3g} lm at {output.at_a * 1000:g} mA are more than light can be: one watt"
            f" gives {MOST_LM_PER_W:g} lm at most, so {most:.3g} lm",
            "read the figure and its unit again",
        )


def _refuse_twins(reader: Reader, own: Mapping[str, LedSection]) -> None:
    """Refuse names that differ only in what is not compared."""
    seen: dict[str, str] = {}
    for name in own:
        twin = seen.setdefault(catalogue.plain(name), name)
        if twin != name:
            reader.refuse(("led", name), f'"{name}" and "{twin}" count as one name', "rename one")


def resistor(reader: Reader, sections: ParameterFile, limits: Limits) -> ResistorPart:
    """Build the ballast's part."""
    section, lands = sections.resistor, sections.lands.resistor
    if section.body and lands is None and section.body.termination_mm is None:
        reader.refuse(
            ("resistor", "body"),
            "gives neither termination nor lands",
            "add termination to the body, or lands under [lands]",
        )
    if section.body and section.rating_w is None:
        reader.refuse(
            ("resistor", "body"), "comes without a rating", 'add rating = "125 mW" from its sheet'
        )
    return footprints.resistor_part(section.size, section.body, lands, least_gap_mm(limits))


def connector(reader: Reader, sections: ParameterFile, limits: Limits) -> ConnectorPart | None:
    """Build the connector, with as many poles as asked for."""
    section, location = sections.connector, ("connector", "kind")
    name = reader.one_of(location, section.kind, footprints.connector_names())
    if name is None:
        return None
    offered = footprints.connector_poles(name)
    poles = section.poles or offered[0]
    if poles not in offered:
        reader.refuse(
            ("connector", "poles"),
            f"{name} does not come with {poles} poles",
            "it comes with " + ", ".join(map(str, offered)),
        )
        return None
    own = sections.lands.connector
    if own and own.land_mm < own.hole_mm + _SMALLEST_WEB_MM:
        reader.refuse(
            ("lands", "connector"),
            f"a land of {own.land_mm:g} mm leaves no ring around a hole of {own.hole_mm:g} mm",
            "write a larger land",
        )
        return None
    part = footprints.connector_part(name, poles, limits, own)
    _refuse_crowd(reader, ("connector", "kind"), part.name, part.pattern, limits)
    return part


def _refuse_crowd(
    reader: Reader, location: tuple[str, str], name: str, pattern: LandPattern, limits: Limits
) -> None:
    """Refuse leads so close that their lands cannot have both the house's ring and its gap."""
    for first, second in pairwise(pattern.lands):
        gap = second.x_mm - first.x_mm - (first.width_mm + second.width_mm) / 2
        if gap < limits.gap_mm:
            reader.refuse(
                location,
                f"lands of {first.width_mm:g} mm at the pitch of {name},"
                f" {second.x_mm - first.x_mm:g} mm, leave a gap of {gap:.2f} mm; this house asks"
                f" for {limits.gap_mm:g} mm",
                "take a part of a larger pitch, smaller lands, or a finer house",
            )
            return


def switch(reader: Reader, sections: ParameterFile, limits: Limits) -> SwitchPart | None:
    """Build the switch, if there is one."""
    wanted = sections.connector.switch
    if wanted is None or catalogue.plain(wanted) == "none":
        return None
    name = reader.one_of(("connector", "switch"), wanted, (*footprints.switch_names(), "none"))
    if name is None:
        return None
    part = footprints.switch_part(name, limits)
    _refuse_crowd(reader, ("connector", "switch"), name, part.pattern, limits)
    return part


def protection(
    reader: Reader, sections: ParameterFile, supply: SupplyRange
) -> tuple[Guard | None, Guard | None]:
    """Find the fuse and the guard against reversal, and hold both against the supply."""
    wanted = sections.protection
    fuse = reverse = None
    if wanted.fuse and catalogue.plain(wanted.fuse) != "none":
        name = reader.one_of(("protection", "fuse"), wanted.fuse, (*guards.fuse_names(), "none"))
        fuse = guards.guard(name) if name else None
    if wanted.reverse != "none":
        reverse = guards.guard(wanted.reverse)
    for part, key in ((fuse, "fuse"), (reverse, "reverse")):
        if part and supply.high_v > part.max_voltage_v:
            reader.refuse(
                ("protection", key),
                f"{part.name} bears {part.max_voltage_v:g} V, but the supply reaches"
                f" {supply.high_v:g} V",
                _for_higher(part, supply),
            )
    if reverse and reverse.gate_v:
        needs, bears = reverse.gate_v
        if not (needs <= supply.low_v and supply.high_v <= bears):
            reader.refuse(
                ("protection", "reverse"),
                f"a {reverse.name} transistor without more parts works from {needs:g} to {bears:g}"
                f" V, but the supply runs from {supply.low_v:g} to {supply.high_v:g} V",
                'write protection.reverse = "schottky"',
            )
    return fuse, reverse


def _for_higher(part: Guard, supply: SupplyRange) -> str:
    """Name the strongest fuse that bears the supply, or say that there is none."""
    others = [guards.guard(name) for name in guards.fuse_names() if part.kind == "fuse"]
    bearing = [other for other in others if other.max_voltage_v >= supply.high_v]
    if bearing:
        most = max(bearing, key=lambda other: other.rating_a)
        return f'write protection.fuse = "{most.name}"'
    return "take a lower supply, or protect the board in its lead"


def screw(reader: Reader, section: MountingSection, limits: Limits) -> Screw | None:
    """Find the screw and what lies under it; a bare hole needs what the house asks around it."""
    found = reader.named(("mounting", "screw"), section.screw, SCREWS)
    if found is None:
        return None
    bare = found.hole_mm + 2 * (limits.hole_copper_mm + CHORD_MM)
    room = max(room_mm(found, section.under), bare)
    return Screw(
        thread=next(thread for thread, size in SCREWS.items() if size is found),
        hole_mm=found.hole_mm,
        covered_mm=room_mm(found, section.under) - room_mm(found, "none") + found.hole_mm,
        room_mm=room,
        source="ISO 273 medium, ISO 7045, ISO 7089",
    )


def check_small(
    reader: Reader, path: tuple[str, str], pattern: LandPattern, limits: Limits
) -> None:
    """Refuse chips so small that the house's tracks and spokes find no place on their lands."""
    aims = limits.aims
    first, second = pattern.lands
    least = min(min(land.width_mm, land.height_mm) for land in pattern.lands)
    half = min(first.width_mm, second.width_mm) / 2
    gap = second.x_mm - first.x_mm - (first.width_mm + second.width_mm) / 2
    # A spoke runs across a land's middle, clear of the gap around the other land.
    spoke = 2 * (half + gap - aims.pour_gap_mm)
    if least < limits.track_mm or spoke < aims.chip_spoke_mm:
        reader.refuse(
            path,
            f"{pattern.name} is too small for this house: lands of {least:g} mm with a gap of"
            f" {gap:.2f} mm leave no place for tracks of {limits.track_mm:g} mm",
            "take a larger size, or a finer house",
        )


def size_remedy(word: object) -> str:
    """Say which inch code is meant when a metric one was written."""
    for inch, metric in METRIC_CODES.items():
        if word == metric:
            return f'{metric} is the metric code of {inch}: write "{inch}"'
    return ""
