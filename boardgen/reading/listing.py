"""What the catalogue and the land patterns hold, for people."""

from collections.abc import Iterator
from dataclasses import dataclass
from fnmatch import fnmatch

from boardgen import units
from boardgen.model.land_pattern import LandPattern
from boardgen.model.led_data import RESISTOR_SIZES, size_words
from boardgen.model.parts import ResistorPart
from boardgen.reading import catalogue, footprints, guards
from boardgen.reading.files import footprints_folder, load_shipped
from boardgen.standards.screws import SCREWS, room_mm


@dataclass(frozen=True, slots=True, kw_only=True)
class Listed:
    """One name that a parameter file may hold: where it goes, what it is, how it is known."""

    key: str
    name: str
    facts: str
    source: str


def listed(pattern: str = "*") -> tuple[Listed, ...]:
    """List names by a pattern such as ``white*`` or a plain part of the name or of its key.

    Case, blanks and hyphens do not matter; ``*`` and ``?`` stand for other letters.
    """
    wanted = catalogue.plain(pattern)
    if not set(wanted) & set("*?["):
        wanted = f"*{wanted}*"
    return tuple(
        entry
        for entry in _all()
        if any(fnmatch(catalogue.plain(text), wanted) for text in (entry.name, entry.key))
    )


def _all() -> Iterator[Listed]:
    yield from _leds()
    yield from _resistors()
    yield from _connectors()
    for name, supply in catalogue.supplies().items():
        facts = f"{supply.low_v:g} / {supply.nominal_v:g} / {supply.high_v:g} V"
        each = ", each cell" if supply.kind.counted else ""
        holds = ", ".join(f"{charge:g} Ah at {drain:g} A" for drain, charge in supply.capacity)
        inner = f"; {supply.resistance_ohm:g} ohm inside; {holds}" if holds else ""
        short = f"{units.figures(supply.delivers_a)} A" if supply.delivers_a else "unknown"
        strong = f"; into a short: {short}" + (", needs a fuse" if supply.strong else "")
        yield Listed(
            key="supply.from", name=name, facts=facts + each + inner + strong, source=supply.source
        )
    yield from _guards()
    for thread, screw in SCREWS.items():
        facts = (
            f"hole {screw.hole_mm:g}, head {screw.head_mm:g}, washer {screw.washer_mm:g} mm; room"
            f" {room_mm(screw, 'washer'):g} mm with washer"
        )
        yield Listed(key="mounting.screw", name=thread, facts=facts,
                     source="ISO 273 medium, ISO 7045, ISO 7089")  # fmt: skip
    for name in catalogue.house_names():
        house = catalogue.house(name)
        facts = f"track {house.track_mm:g}, gap {house.gap_mm:g}, hole {house.hole_mm:g} mm"
        plated = "" if house.plated else ", no plating"
        yield Listed(key="order.house", name=name, facts=facts + plated, source=house.source)


def _leds() -> Iterator[Listed]:
    for name, data in catalogue.leds().items():
        pattern = footprints.led_pattern(data.size, data.marked_function)
        facts = (
            f"size {size_words(data.size or '')}; {data.vf.min_v:g} / {data.vf.typical_v:g} /"
            f" {data.vf.max_v:g} V at {data.vf.at_a * 1000:g} mA, at most"
            f" {data.max_current_a * 1000:g} mA; {data.mark} at its"
            f" {'cathode' if data.cathode else 'anode'}; lands {_lands(pattern)}"
        )
        yield Listed(key="light.led", name=name, facts=facts, source=data.source)


def _resistors() -> Iterator[Listed]:
    standing = load_shipped(footprints_folder(), "chip-resistors.toml")["standing"]
    for size in RESISTOR_SIZES:
        part = footprints.resistor_part(size)
        facts = (
            f"size {size_words(size)}; {part.rating_w * 1000:g} mW at 70 degC{_usual(part)};"
            f" {'value' if part.printed else 'nothing'} printed on it;"
            f" lands {_lands(part.pattern)}"
        )
        yield Listed(
            key="resistor.size", name=size, facts=facts, source=f"{part.source}; {standing}"
        )


def _usual(part: ResistorPart) -> str:
    """Tell the rating that most data sheets of today have, where it is another."""
    if part.usual_w == part.rating_w:
        return ""
    return f" (the cautious figure; {part.usual_w * 1000:g} mW are usual: resistor.rating takes it)"


def _connectors() -> Iterator[Listed]:
    limits = catalogue.house("ordinary")
    for name in footprints.connector_names():
        poles = footprints.connector_poles(name)
        part = footprints.connector_part(name, poles[0], limits)
        land = part.pattern.lands[0]
        body = part.pattern.body
        facts = (
            f"{poles[0]}{f' to {poles[-1]}' if len(poles) > 1 else ''} poles; {part.rating_a:g} A;"
            f" holes {land.hole_mm:g}, lands {land.width_mm:g} mm; {poles[0]} poles take"
            f" {body.right_mm - body.left_mm:g} x {body.top_mm - body.bottom_mm:g} mm; printed:"
            f" {part.printed}"
        )
        yield Listed(key="connector.kind", name=name, facts=facts, source=_standing(part.pattern))
    for name in footprints.switch_names():
        switch = footprints.switch_part(name, limits)
        facts = f"{switch.rating_a:g} A; {switch.printed}"
        yield Listed(
            key="connector.switch", name=name, facts=facts, source=_standing(switch.pattern)
        )


def _guards() -> Iterator[Listed]:
    for name in (*guards.fuse_names(), *guards.reverse_names()):
        part = guards.guard(name)
        least, usual, most = part.resistance_ohm
        volts = " / ".join(f"{drop:g}" for drop in part.drop_v)
        drop = f"{volts} V" if part.drop_v[1] else f"{least:g} / {usual:g} / {most:g} ohm"
        key = "protection.fuse" if part.kind == "fuse" else "protection.reverse"
        facts = f"{part.rating_a:g} A; bears {part.max_voltage_v:g} V; {drop}; {part.printed}"
        yield Listed(key=key, name=name, facts=facts, source=_standing(part.pattern))


def _standing(pattern: LandPattern) -> str:
    return f"{pattern.source}{'; typical, compare with your data sheet' if pattern.typical else ''}"


def _lands(pattern: LandPattern) -> str:
    first, second = pattern.lands
    gap = second.x_mm - first.x_mm - (first.width_mm + second.width_mm) / 2
    words = f"{first.width_mm:g} x {first.height_mm:g}"
    if (second.width_mm, second.height_mm) != (first.width_mm, first.height_mm):
        words += f" and {second.width_mm:g} x {second.height_mm:g}"
    typical = ", typical, compare with your data sheet" if pattern.typical else ""
    return f"{words} mm, gap {gap:.3g} mm{typical}"
