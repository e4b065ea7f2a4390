"""What catalogue, footprints and house give for what a file asks."""

import dataclasses
from collections.abc import Mapping
from dataclasses import dataclass

from boardgen.model.limits import Limits
from boardgen.model.parts import ConnectorPart, Emitter, LedPart, Parts, SupplyRange
from boardgen.model.sections import EXTRA_LOW_VOLTAGE_V, JOINT_LANDS, LightSection
from boardgen.reading import catalogue, cross_checks, footprints, houses, parts, supplies, ways_in
from boardgen.reading.reader import Reader
from boardgen.reading.sections import ParameterFile
from boardgen.standards.photometry import candela_per_ampere


@dataclass(frozen=True, slots=True, kw_only=True)
class Found:
    """The parts behind a file's names, and the legend's words."""

    parts: Parts
    legend: str


def found(reader: Reader, sections: ParameterFile) -> Found:
    """Look up all that a file names, and hold it against what the file asks of it.

    Raises
    ------
    RefusalError
        With all that is wrong in the file.
    """
    supply = supplies.supply(reader, sections.supply, sections.board.place)
    limits = _limits(reader, sections, supply)
    screw = parts.screw(reader, sections.mounting, limits)
    led, resistor = parts.led(reader, sections, limits), parts.resistor(reader, sections, limits)
    parts.check_small(reader, ("resistor", "size"), resistor.pattern, limits)
    if led:
        parts.check_small(reader, ("light", "led"), led.pattern, limits)
    cross_checks.check_plating(reader, sections, plated=limits.plated, house=limits.house)
    if sections.copper.sides == 1:
        limits = dataclasses.replace(limits, plated=False)
    connector = parts.connector(reader, sections, limits)
    switch = parts.switch(reader, sections, limits)
    if connector:
        ways_in.check_central(reader, sections, connector)
    if connector and supply:
        cross_checks.check_cell(reader, connector, supply)
    alike = parts.alike(reader, sections, limits)
    if led:
        cross_checks.check_light(reader, sections, led)
    if led and alike:
        cross_checks.check_alike(reader, led, alike)
    fuse, reverse = parts.protection(reader, sections, supply) if supply else (None, None)
    legend = _legend(reader, sections, led, supply) if supply and led else ""
    reader.raise_all()
    if supply is None or led is None or connector is None or screw is None:
        raise AssertionError("a missing part is a problem")  # pragma: no cover - raised above
    return Found(
        parts=Parts(
            supply=supply,
            limits=limits,
            emitters=(_emitter(sections.light, led, alike),),
            usual_a=_usual_a(sections.light, alike or led),
            use_least=catalogue.least_light(sections.light.use),
            resistor=resistor,
            connector=connector,
            switch=switch,
            fuse=fuse,
            reverse=reverse,
            probe=footprints.probe_land(limits),
            joint=_joint(sections, limits),
            screw=screw,
            lettering=catalogue.lettering(),
        ),
        legend=legend,
    )


def _joint(sections: ParameterFile, limits: Limits) -> ConnectorPart | None:
    """Build the lands of a far end: those of the next board's first one, seen in a mirror."""
    if not sections.joint.joined:
        return None
    part = footprints.connector_part(JOINT_LANDS, 2, limits)
    return dataclasses.replace(part, pattern=part.pattern.mirrored())


def _limits(reader: Reader, sections: ParameterFile, supply: SupplyRange | None) -> Limits:
    most_v = min(supply.high_v, EXTRA_LOW_VOLTAGE_V) if supply else 0.0
    limits = houses.limits(reader, sections, most_v)
    if limits is None:
        reader.raise_all()
        raise AssertionError("an unknown house is a problem")  # pragma: no cover - raised above
    return limits


def _legend(reader: Reader, sections: ParameterFile, led: LedPart, supply: SupplyRange) -> str:
    fill = _fillings(sections, led, supply)
    legend = cross_checks.filled(reader, ("legend", "text"), sections.legend.text, fill)
    if legend and legend != sections.board.title:
        cross_checks.check_legend(reader, legend)
    return legend


def _fillings(sections: ParameterFile, led: LedPart, supply: SupplyRange) -> Mapping[str, str]:
    """List what patterns of names and of the legend may hold."""
    return {
        "title": sections.board.title,
        "revision": sections.board.revision,
        "colour": led.data.colour,
        "count": str(sections.light.count),
        "led": led.name,
        "supply": supply.name,
        "pitch": f"{sections.form.pitch_mm:g} mm",
        "rows": str(sections.form.rows),
    }


def _emitter(light: LightSection, led: LedPart, alike: LedPart | None) -> Emitter:
    """Tell the current wanted: as written, by use, or what looks like another LED at that."""
    current = light.current_a or _usual_a(light, alike or led)
    if alike is not None:
        current *= candela_per_ampere(alike.data) / candela_per_ampere(led.data)
    return Emitter(led=led, current_a=current, alike=alike)


def _usual_a(light: LightSection, led: LedPart) -> float:
    return catalogue.current_by_use(light.use, led.data.size or "")
