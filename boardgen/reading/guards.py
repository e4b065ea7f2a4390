"""Parts in the supply line: resettable fuses, and what blocks a reversed supply."""

from functools import cache
from typing import Any

from boardgen import units
from boardgen.model.land_pattern import Land
from boardgen.model.parts import Guard
from boardgen.reading.files import footprints_folder, load_shipped
from boardgen.reading.footprints import assembled, extent

_FUSE = "fuse"


@cache
def _table() -> dict[str, Any]:
    return load_shipped(footprints_folder(), "protection.toml")


def fuse_names() -> tuple[str, ...]:
    """List the fuses by what they hold."""
    entries = ((name, entry) for name, entry in _table().items() if isinstance(entry, dict))
    return tuple(name for name, entry in entries if entry.get("kind") == _FUSE)


def reverse_names() -> tuple[str, ...]:
    """List the guards against reversal."""
    entries = ((name, entry) for name, entry in _table().items() if isinstance(entry, dict))
    return tuple(name for name, entry in entries if entry.get("kind", _FUSE) != _FUSE)


def guard(name: str) -> Guard:
    """Build a fuse or a guard against reversal by its name; KeyError when there is none."""
    table = _table()
    entry = table[name]
    outline = table[_FUSE] if entry["kind"] == _FUSE else entry
    lands = tuple(
        Land(name=pin, function=function, x_mm=x, y_mm=y, width_mm=width, height_mm=height)
        for pin, (function, x, y, width, height) in sorted(outline["lands"].items())
    )
    length, width = outline["body"]
    return Guard(
        name=name,
        kind=entry["kind"],
        rating_a=units.parse(entry["rating"], units.CURRENT),
        max_voltage_v=units.parse(entry["max_voltage"], units.VOLTAGE),
        drop_v=_three(entry, "drop", units.VOLTAGE),
        resistance_ohm=_three(entry, "resistance", units.RESISTANCE),
        pattern=assembled(
            name=name if entry["kind"] != _FUSE else "chip fuse 4532 (metric)",
            lands=lands,
            body=extent(length / 2, width / 2),
            room_mm=outline["courtyard"],
            height_mm=outline["height"],
            typical=True,
            source=table["source"],
            marked=next((land.name for land in lands if land.function == "K"), ""),
        ),
        printed=outline["printed"],
        gate_v=_gate(entry),
        max_fault_a=units.parse(outline.get("max_fault", "0 A"), units.CURRENT),
    )


def _three(
    entry: dict[str, Any], key: str, dimension: units.Dimension
) -> tuple[float, float, float]:
    least, usual, most = (units.parse(text, dimension) for text in entry.get(key, _NOTHING[key]))
    return least, usual, most


_NOTHING = {"drop": ["0 V"] * 3, "resistance": ["0 ohm"] * 3}


def _gate(entry: dict[str, Any]) -> tuple[float, float] | None:
    if "gate" not in entry:
        return None
    needs, bears = (units.parse(text, units.VOLTAGE) for text in entry["gate"])
    return needs, bears
