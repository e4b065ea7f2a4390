"""Where each value of a parameter file came from, and what it is."""

import dataclasses
from collections.abc import Iterable, Mapping
from types import MappingProxyType

from boardgen.model.fields import key_of
from boardgen.model.limits import Limits
from boardgen.model.parameters import Origin, OriginKind
from boardgen.model.parts import LedPart
from boardgen.reading import positions, validation
from boardgen.reading.sections import ParameterFile


def origins(
    file: str,
    lines: Mapping[positions.Path, int],
    sections: ParameterFile,
    led: LedPart,
    preset: tuple[str, ...] = (),
) -> Mapping[str, Origin]:
    """Note for every value of the sections whether it stands in the file or is a default."""
    found: dict[str, Origin] = {}
    for location in _leaves(sections):
        path = validation.dotted(location)
        if location in lines:
            found[path] = Origin(kind=OriginKind.FILE, place=file, line=lines[location])
        elif path in preset:
            found[path] = Origin(kind=OriginKind.DEFAULT, place=f"of {sections.order.house}")
        else:
            found[path] = Origin(kind=OriginKind.DEFAULT)
    for name in sections.limits:
        location = ("limits", limit_key(name))
        found[f"limits.{location[1]}"] = Origin(
            kind=OriginKind.FILE, place=file, line=lines.get(location, 0)
        )
    if led.name not in sections.led:
        found["led"] = Origin(kind=OriginKind.CATALOGUE, place=f"leds.toml, {led.name}")
    if sections.light.current_a is None:
        found["light.current"] = Origin(kind=OriginKind.CATALOGUE, place="uses.toml")
    if sections.supply.from_:
        shipped = Origin(kind=OriginKind.CATALOGUE, place=f"supplies.toml, {sections.supply.from_}")
        found |= dict.fromkeys(("supply", "supply.low", "supply.nominal", "supply.high"), shipped)
    if sections.resistor.rating_w is None:
        found["resistor.rating"] = Origin(
            kind=OriginKind.CATALOGUE, place=f"chip-resistors.toml, {sections.resistor.size}"
        )
    return MappingProxyType(found)


def _leaves(value: object, location: positions.Path = ()) -> Iterable[positions.Path]:
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        keys = validation.keys_of(type(value))
        for entry, key in zip(dataclasses.fields(value), keys, strict=True):
            yield from _leaves(getattr(value, entry.name), (*location, key))
    elif isinstance(value, tuple) and value and dataclasses.is_dataclass(value[0]):
        for place, part in enumerate(value):
            yield from _leaves(part, (*location, place))
    elif isinstance(value, Mapping):
        if location[:1] != ("limits",):
            for name, part in value.items():
                yield from _leaves(part, (*location, name))
    else:
        yield location


def limit_key(field_name: str) -> str:
    """Name the key of a limit."""
    keys = {entry.name: key_of(entry.name, notes) for entry, _, notes in
            validation.noted_fields(Limits)}  # fmt: skip
    return keys[field_name]
