"""The shipped catalogue → objects of the model."""

from functools import cache
from typing import Any

from pydantic import ValidationError

from boardgen import units
from boardgen.model.cautions import Caution
from boardgen.model.led_data import LedSection
from boardgen.model.lettering import Lettering, Stroke
from boardgen.model.limits import Aims, Limits
from boardgen.model.parts import LedShape, SupplyKind, SupplyRange, UseLeast
from boardgen.reading.files import catalogue_folder, load_shipped
from boardgen.reading.validation import validate, validate_part


def plain(name: str) -> str:
    """Reduce a catalogue name to what is compared: no case, spaces or hyphens.

    Examples
    --------
    >>> plain("USB 5V") == plain("usb 5 V")
    True
    """
    return "".join(letter for letter in name.casefold() if letter not in " -\t")


@cache
def leds() -> dict[str, LedSection]:
    """Read the generic LEDs by name."""
    found = {}
    for name, table in load_shipped(catalogue_folder(), "leds.toml").items():
        section = validate(LedSection, table)
        if isinstance(section, ValidationError):
            raise section
        found[name] = section
    return found


@cache
def supplies() -> dict[str, SupplyRange]:
    """Read the supplies by name; cells are given for one cell."""
    return {
        name: _supply(name, table)
        for name, table in load_shipped(catalogue_folder(), "supplies.toml").items()
    }


def _supply(name: str, table: dict[str, Any]) -> SupplyRange:
    def amps(key: str) -> float | None:
        return units.parse(table[key], units.CURRENT) if key in table else None

    high_v = units.parse(table["high"], units.VOLTAGE)
    resistance_ohm = units.parse(table.get("resistance", "0 ohm"), units.RESISTANCE)
    return SupplyRange(
        name=name,
        kind=SupplyKind(table["kind"]),
        low_v=units.parse(table["low"], units.VOLTAGE),
        nominal_v=units.parse(table["nominal"], units.VOLTAGE),
        high_v=high_v,
        source=table["source"],
        max_current_a=amps("max_current"),
        resistance_ohm=resistance_ohm,
        cutoff_v=units.parse(table.get("cutoff", "0 V"), units.VOLTAGE),
        curve=tuple((float(drawn), float(volts)) for drawn, volts in table.get("curve", ())),
        capacity=tuple(
            (units.parse(drain, units.CURRENT), units.parse(charge, units.CHARGE))
            for drain, charge in table.get("capacity", ())
        ),
        delivers_a=high_v / resistance_ohm if resistance_ohm else amps("delivers"),
        idle_a=amps("idle"),
        idle_source=table.get("idle_source", ""),
    )


def led_shape(data: LedSection) -> LedShape:
    """Tell what an LED is like besides its forward voltage: as given, else typical."""
    tables = load_shipped(catalogue_folder(), "led-shapes.toml")
    colour, size = tables["colour"][data.colour], tables["size"][data.size or "own"]
    return LedShape(
        ideality=colour["ideality"],
        series_ohm=units.parse(colour["series"], units.RESISTANCE),
        per_kelvin_v=_given(data.per_kelvin_v, colour["per_kelvin"], units.VOLTAGE_PER_KELVIN),
        thermal_k_per_w=_given(data.thermal_k_per_w, size["thermal"], units.THERMAL_RESISTANCE),
        max_junction_degc=_given(data.max_junction_degc, size["max_junction"], units.TEMPERATURE),
        source=colour["standing"],
        per_kelvin_source=colour["standing"] if data.per_kelvin_v is None else data.source,
        thermal_source=size["standing"] if data.thermal_k_per_w is None else data.source,
    )


def _given(value: float | None, typical: str, dimension: units.Dimension) -> float:
    return units.parse(typical, dimension) if value is None else value


@cache
def current_by_use(use: str | None, size: str) -> float:
    """Tell the branch current for a use and an LED size, in A."""
    data = load_shipped(catalogue_folder(), "uses.toml")
    table = {**data["current"], **data.get(f"current-{size}", {})}
    return units.parse(table[use or "nothing-said"], units.CURRENT)


@cache
def least_light(use: str | None) -> UseLeast | None:
    """Tell the least light that a use asks for; None when none is named."""
    if use is None:
        return None
    entry = load_shipped(catalogue_folder(), "uses.toml")["least"][use]
    return UseLeast(lx=entry["lux"], at_mm=units.parse(entry["at"], units.LENGTH))


@cache
def house_names() -> tuple[str, ...]:
    """List the profiles of limits."""
    folder = catalogue_folder() / "houses"
    names = (entry.name for entry in folder.iterdir())
    return tuple(sorted(name.removesuffix(".toml") for name in names if name.endswith(".toml")))


@cache
def house_defaults(name: str) -> dict[str, object]:
    """Read what a house presets in the parameter file, by dotted path."""
    return dict(load_shipped(catalogue_folder() / "houses", f"{name}.toml").get("defaults", {}))


@cache
def house(name: str) -> Limits:
    """Read one profile of limits."""
    data = load_shipped(catalogue_folder() / "houses", f"{name}.toml")
    return Limits(
        house=name,
        source=data["source"],
        aims=Aims(**_part(Aims, data["aims"])),
        **_part(Limits, data["limits"]),
    )


def _part(cls: type, table: dict[str, Any]) -> dict[str, Any]:
    found = validate_part(cls, table)
    if isinstance(found, ValidationError):
        raise found
    return found


@cache
def lettering() -> Lettering:
    """Read the legend's letters."""
    data = load_shipped(catalogue_folder(), "strokes.toml")
    return Lettering(
        glyphs={letter: _glyph(text) for letter, text in data["glyphs"].items()},
        cap_height=data["cap_height"],
        gap=data["gap"],
        space=data["space"],
    )


def _glyph(text: str) -> tuple[Stroke, ...]:
    """Read strokes such as ``"02 06 / 1,2.5 44"``: two digits a point, or x,y with decimals."""
    return tuple(
        tuple(_grid_point(point) for point in stroke.split())
        for stroke in text.split("/")
        if stroke.strip()
    )


def _grid_point(text: str) -> tuple[float, float]:
    x, y = text.split(",") if "," in text else (text[0], text[1])
    return (float(x), float(y) - BASELINE)


BASELINE = 2.0
"""In the file the baseline lies at y = 2, so that descenders need no minus sign."""


@cache
def cautions() -> tuple[Caution, ...]:
    """Read the cautions."""
    data = load_shipped(catalogue_folder(), "cautions.toml")
    return tuple(Caution(**{**entry, "shown": tuple(entry["shown"])}) for entry in data["caution"])
