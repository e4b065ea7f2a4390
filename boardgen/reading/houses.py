"""Houses: their defaults for a file, and the limits that hold for it."""

import tomllib
from collections.abc import Mapping
from dataclasses import fields, replace
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from boardgen.errors import RefusalError
from boardgen.model.limits import Aims, Limits, fitted
from boardgen.model.sections import OrderSection
from boardgen.reading import catalogue, sentences, validation
from boardgen.reading.files import read_user_file
from boardgen.reading.meant import nearest
from boardgen.reading.reader import Reader, table_of
from boardgen.reading.sections import ParameterFile
from boardgen.standards.spacing import Cover, spacing_mm

_OWN_KEYS = ("based_on", "source", "limits", "aims")


def house_name(raw: Mapping[str, Any]) -> str:
    """Tell which house a raw file names; the ordinary one when it names none."""
    name = table_of(raw, "order").get("house", "ordinary")
    if not isinstance(name, str) or name == validation.AUTO:
        return "ordinary"
    known = {catalogue.plain(house): house for house in catalogue.house_names()}
    return known.get(catalogue.plain(name), name)


def _based_on(folder: Path | None, name: str) -> str:
    """Tell on which shipped house one of the user's is based; faults are told when it is read."""
    try:
        if folder is None or Path(name).name != name:
            return ""
        return str(tomllib.loads(read_user_file(folder / name).decode())["based_on"])
    except (RefusalError, ValueError, KeyError, RecursionError):
        return ""


def with_house_defaults(
    raw: dict[str, Any], folder: Path | None
) -> tuple[dict[str, Any], tuple[str, ...]]:
    """Put in what the house presets and what follows from it; list the paths that were put in."""
    house = house_name(raw)
    if house.endswith(".toml"):
        house = _based_on(folder, house)
    preset = catalogue.house_defaults(house) if house in catalogue.house_names() else {}
    found = {name: dict(part) if isinstance(part, dict) else part for name, part in raw.items()}
    added = [path for path, value in preset.items() if _put(found, path, value)]
    if table_of(found, "copper").get("sides") == 1:
        # Leads go in from the bare side; what a beginner has at hand for that is wire.
        added += [
            path
            for path, value in (("connector.kind", "wire pads"), ("connector.side", "bottom"))
            if _put(found, path, value)
        ]
    return found, tuple(added)


def _put(raw: dict[str, Any], path: str, value: object) -> bool:
    section, key = path.split(".")
    table = raw.setdefault(section, {})
    if not isinstance(table, dict) or table.get(key, validation.AUTO) != validation.AUTO:
        return False
    table[key] = value
    return True


def limits(reader: Reader, sections: ParameterFile, highest_v: float) -> Limits | None:
    """Resolve the limits: a house of the catalogue or of the user's, with single ones replaced.

    ``highest_v`` is the voltage that any two nets may have between them.
    """
    name, weight_um = sections.order.house, sections.copper.weight_um
    if name.endswith(".toml"):
        found = _own_house(reader, name)
    else:
        known = reader.one_of(("order", "house"), name, catalogue.house_names())
        found = catalogue.house(known) if known else None
    if found is None:
        return None
    own = replace(found, **sections.limits)  # type: ignore[arg-type] # validated by field
    cover = Cover.BARE if sections.order.mask == "none" else Cover.MASK
    return fitted(
        own,
        weight_um,
        thickness_mm=sections.order.thickness_mm,
        spacing_mm=spacing_mm(highest_v, cover),
        copper_letters=not_printed(sections.order),
    )


def not_printed(order: OrderSection) -> bool:
    """Tell whether nothing is printed: no mask, or no legend on it."""
    return order.legend == "none" or order.mask == "none"


def _own_house(reader: Reader, name: str) -> Limits | None:
    location = ("order", "house")
    if reader.folder is None or Path(name).name != name:
        reader.refuse(
            location,
            f'"{name}" is not looked for',
            "put the file beside this one and give its name",
        )
        return None
    try:
        data = tomllib.loads(read_user_file(reader.folder / name).decode("utf-8"))
    except RefusalError as refusal:
        reader.refuse(location, f"{name}: {refusal.problems[0].what}", refusal.problems[0].remedy)
        return None
    except (UnicodeDecodeError, tomllib.TOMLDecodeError, ValueError, RecursionError) as error:
        reader.refuse(location, f"{name} cannot be read: {str(error)[:100]}", "write it as TOML")
        return None
    for key in [key for key in data if key not in _OWN_KEYS]:
        reader.refuse(location, f"{name}: {key} is not a known key", nearest(key, _OWN_KEYS))
    based_on = str(data.get("based_on", "ordinary"))
    if based_on not in catalogue.house_names():
        reader.refuse(
            location,
            f'{name}: based_on = "{based_on}" is not known here',
            nearest(based_on, catalogue.house_names()),
        )
        return None
    base = catalogue.house(based_on)
    own = _table(reader, name, Limits, data.get("limits", {}))
    aims = _table(reader, name, Aims, data.get("aims", {}))
    source = str(data.get("source", "file of the user's, standing not told"))
    return replace(
        base,
        house=f"{name.removesuffix('.toml')}, based on {based_on}",
        source=source,
        aims=replace(base.aims, **aims),
        **own,
    )


def _table(reader: Reader, name: str, cls: type, raw: Any) -> dict[str, Any]:  # noqa: ANN401 - a raw file
    found = validation.validate_part(cls, raw)
    if not isinstance(found, ValidationError):
        return found
    part = cls.__name__.lower()
    for location, problem in sentences.sentences(cls, found):
        words = ".".join((part, *map(str, location)))
        remedy = problem.remedy
        if "known key" in problem.what:
            keys = [field.name.removesuffix("_mm").removesuffix("_v") for field in fields(cls)]
            remedy = nearest(str(location[-1]), keys)
        reader.refuse(("order", "house"), f"{name}: {words} {problem.what}", remedy)
    return {}
