"""``[supply]`` → the range of voltages, or why it cannot be had."""

import dataclasses
import re

from boardgen.model.parts import SupplyKind, SupplyRange
from boardgen.model.sections import EXTRA_LOW_VOLTAGE_V, SupplySection
from boardgen.reading import catalogue
from boardgen.reading.meant import nearest
from boardgen.reading.reader import Reader

TOUCHED_V = 30.0
"""Where hands and boards get wet, direct current above this is refused: common practice."""


LEAD_V = ((10.0, 15.0), (20.0, 30.0), (40.0, 60.0))
"""Where a lead battery of six, twelve or 24 cells lies, flat to on charge, with room: own."""

CELLS_V = ((3.0, 4.2), (5.4, 8.4), (30.0, 42.0))
"""Usual volts of one, two and ten lithium-ion cells, and of a lead battery of three: own choice."""
_WIDE = 1.12
"""A battery's volts swing by more than this; what holds its volts swings less: own choice."""


_VEHICLE = (
    (
        "a vehicle's supply surges to several times its volts and drives hundreds of amperes into a"
        " short; it wants a fuse and surge arrestors that are beyond boardgen"
    ),
    (
        "feed the board from a bought converter made for vehicles, and describe its output:"
        ' kind = "adapter"'
    ),
)


def supply(reader: Reader, section: SupplySection, place: str) -> SupplyRange | None:
    """Resolve the supply of a board used at a place; None after a refusal."""
    volts = {"low": section.low_v, "nominal": section.nominal_v, "high": section.high_v}
    given = [name for name, value in volts.items() if value is not None]
    if section.from_ and given:
        reader.refuse(
            ("supply",), f"says both from and {', '.join(given)}", "keep one of the two ways"
        )
        return None
    if section.from_ and section.kind:
        reader.refuse(
            ("supply", "kind"), "goes with low, nominal and high; from says it", "drop it"
        )
    found = (
        _catalogue_supply(reader, section)
        if section.from_
        else _own_supply(reader, volts, section.kind)
    )
    if section.cells is not None and not section.from_:
        reader.refuse(("supply", "cells"), "goes with from, not with low, nominal and high")
    if found and found.high_v > EXTRA_LOW_VOLTAGE_V:
        reader.refuse(
            ("supply",),
            f"reaches {found.high_v:g} V; boardgen stops at {EXTRA_LOW_VOLTAGE_V:g} V DC",
            "take an extra-low voltage supply, or let a qualified person design this board",
        )
    elif found and place != "dry" and found.high_v > TOUCHED_V:
        reader.refuse(
            ("supply",),
            f"reaches {found.high_v:g} V; where it is {place}, boardgen stops at"
            f" {TOUCHED_V:g} V DC",
            "take a lower supply, or let a qualified person design this board",
        )
    if found and section.delivers_a is not None:
        found = dataclasses.replace(found, delivers_a=section.delivers_a)
    if found and section.max_current_a is not None:
        found = dataclasses.replace(found, max_current_a=section.max_current_a)
    if section.delivers_a is not None and section.delivers_a < (section.max_current_a or 0.0):
        reader.refuse(
            ("supply", "delivers"),
            "what it drives into a short is less than max_current, which it gives for long",
            "compare both with its data sheet",
        )
    return found


_CALLED = {
    "power bank": "usb 5 V 500 mA",
    "powerbank": "usb 5 V 500 mA",
    "phone charger": "usb 5 V 500 mA",
    "usb charger": "usb 5 V 500 mA",
    "usb port": "usb 5 V",
    "computer": "usb 5 V",
    "cr2032": "lithium coin 20 mm",
    "lipo": "li-ion protected",
    "18650": "li-ion protected",
}
"""What people call a supply in full, and its name here: common practice, no source."""
_OF_ITS_OWN = r"charger|bank|lap ?top|note ?book|tool|drone|bike|button|unprotected|lr\d|solar"
"""What has volts of its own, which no entry of the catalogue may be taken for."""
_OWN_VOLTS = (
    "read its label, and describe it by its own volts: kind, low, nominal and high instead of from"
)


def _volts_of(name: str) -> set[float]:
    return {float(number) for number in _VOLTS.findall(name)}


def _meant(name: str) -> str:
    """Tell what a name that the catalogue lacks is likely to mean, and what to write.

    Volts that no entry has are never answered with another entry's.
    """
    plain, known = name.casefold().strip(), catalogue.supplies()
    if plain in _CALLED:
        return f'did you mean "{_CALLED[plain]}"?'
    counted = re.fullmatch(r"(\d+) *[x×*]? *([a-z].*)|([a-z].*?) *[x×*] *(\d+)", plain)
    cells = ""
    if counted and not re.match(r"(m?v|a|ma|volts?)\b", counted[2] or counted[3]):
        plain = counted[2] or counted[3]
        cells = f" How many goes on a line of its own: cells = {counted[1] or counted[4]}"
    volts = _volts_of(name)
    suited = [entry for entry in known if not volts or volts & _volts_of(entry)]
    plugged = [entry for entry in suited if entry.startswith(("usb", "adapter"))]
    if "adapter" in plain:
        suited = plugged
    elif "batter" in plain:
        suited = [entry for entry in suited if entry not in plugged]
    if not suited or re.search(_OF_ITS_OWN, plain):
        return _OWN_VOLTS
    said = nearest(plain, suited)
    if volts and said.startswith("known"):
        said = "did you mean " + " or ".join(f'"{entry}"' for entry in suited) + "?"
    return said + cells


_VOLTS = re.compile(r"(\d+(?:\.\d+)?) ?(?:[vV](?![a-zA-Z])|[vV]olts?)")


_ALTERNATING = r"(?i)\bac\b|~|mains|transformer|dynamo|doorbell"
_IN_THE_WALL = r"(?i)\bwall\b|socket|outlet"
_DIRECT = r"(?i)usb|adapter"
"""A USB socket gives direct current, and so does an adapter in the wall."""


def _alternates(name: str) -> bool:
    in_the_wall = re.search(_IN_THE_WALL, name) and not re.search(_DIRECT, name)
    return bool(re.search(_ALTERNATING, name) or in_the_wall)


def _known(name: str) -> SupplyRange | None:
    plain = catalogue.plain(name)
    entries = catalogue.supplies().items()
    return next((supply for entry, supply in entries if catalogue.plain(entry) == plain), None)


def _catalogue_supply(reader: Reader, section: SupplySection) -> SupplyRange | None:
    name = section.from_ or ""
    volts = _volts_of(name)
    if _alternates(name) or max(volts, default=0) > EXTRA_LOW_VOLTAGE_V:
        reader.refuse(
            ("supply", "from"),
            f'"{name}" is alternating current or mains, or too high; only direct current up to'
            f" {EXTRA_LOW_VOLTAGE_V:g} V is built",
            'buy an adapter, and describe what comes out of it, such as from = "adapter 12 V"',
        )
        return None
    if re.search(r"(?i)\b(car|vehicle|truck|lorry|boat|motor\w*|lighter)\b", name):
        reader.refuse(("supply", "from"), *_VEHICLE)
        return None
    found = _known(name)
    if found is None:
        reader.refuse(("supply", "from"), f'"{name}" is not known here', _meant(name))
        return None
    is_cell = found.kind.counted
    alone = found.kind in (SupplyKind.COIN, SupplyKind.BLOCK)
    if is_cell and not alone and section.cells is None:
        # A pack of lithium cells made at home is nothing to be suggested.
        count = 1 if found.kind is SupplyKind.LITHIUM else 3
        wanted = f"add a line like: cells = {count}"
        reader.refuse(("supply",), "needs the number of cells", wanted)
        return None
    if not is_cell and section.cells is not None:
        reader.refuse(("supply", "cells"), f'"{found.name}" has no cells to count', "drop it")
        return None
    cells = section.cells or 1
    return dataclasses.replace(
        found,
        name=f"{cells} x {found.name}" if is_cell else found.name,
        low_v=found.low_v * cells,
        nominal_v=found.nominal_v * cells,
        high_v=found.high_v * cells,
        cells=cells,
        resistance_ohm=found.resistance_ohm * cells,
        cutoff_v=found.cutoff_v * cells,
        curve=tuple((drawn, volts * cells) for drawn, volts in found.curve),
    )


def _own_supply(
    reader: Reader, volts: dict[str, float | None], kind: str | None
) -> SupplyRange | None:
    low, nominal, high = volts["low"], volts["nominal"], volts["high"]
    if low is None or nominal is None or high is None:
        missing = ", ".join(name for name, value in volts.items() if value is None)
        reader.refuse(
            ("supply",),
            f"lacks {missing}",
            'write from = "usb 5 V", or all of low, nominal and high',
        )
        return None
    if not low <= nominal <= high:
        reader.refuse(
            ("supply",),
            f"low {low:g} V, nominal {nominal:g} V and high {high:g} V are not in this order",
        )
        return None
    if kind == "vehicle":
        reader.refuse(("supply", "kind"), *_VEHICLE)
        return None
    battery = _may_be_battery(low, nominal, high)
    if kind is None and battery and high <= EXTRA_LOW_VOLTAGE_V:
        reader.refuse(
            ("supply",),
            f"{low:g} to {high:g} V may be an adapter or {battery} amperes into a short; boardgen"
            " has to know which",
            'add kind = "adapter", or "bench", "battery", "cells"',
        )
        return None
    return SupplyRange(
        name=f"{nominal:g} V DC", kind=SupplyKind(kind or SupplyKind.UNSAID), low_v=low,
        nominal_v=nominal, high_v=high, source="parameter file", given=True,
    )  # fmt: skip


def _may_be_battery(low: float, nominal: float, high: float) -> str:
    """Say which battery has these volts; empty when none is likely to."""
    if any(low < most and high > least for least, most in LEAD_V):
        return "a lead battery, which drives hundreds of"
    if high > _WIDE * low and any(least <= nominal <= most for least, most in CELLS_V):
        return "a rechargeable battery, which drives many"
    return ""
