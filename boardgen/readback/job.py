"""Gerber job file → what it says of the set: JSON with the fields that boardgen writes."""

import json
from typing import Any

from boardgen.readback.objects import Fault, Reading

_MOST_BYTES = 1_000_000
_LARGEST = 1e6
_NUMBER, _TEXT, _FLAG = "a number", "a text", "true or false"

_FIELDS: dict[str, Any] = {
    "Header": {
        "GenerationSoftware": {"Vendor": _TEXT, "Application": _TEXT, "Version": _TEXT},
        "CreationDate": _TEXT,
    },
    "GeneralSpecs": {
        "ProjectId": {"Name": _TEXT, "GUID": _TEXT, "Revision": _TEXT},
        "Size": {"X": _NUMBER, "Y": _NUMBER},
        "LayerNumber": _NUMBER,
        "BoardThickness": _NUMBER,
        "Finish": _TEXT,
        "ImpedanceControlled": _FLAG,
    },
    "DesignRules": [{"Layers": _TEXT, "MinLineWidth": _NUMBER}],
    "FilesAttributes": [{"Path": _TEXT, "FileFunction": _TEXT, "FilePolarity": _TEXT}],
    "MaterialStackup": [
        {"Type": _TEXT, "Name": _TEXT, "Color?": _TEXT, "Thickness?": _NUMBER, "Material?": _TEXT}
    ],
}
"""What has to be there, and of which sort; a question mark: it may be absent."""


def read_job(name: str, content: bytes) -> Reading:
    """Read a job file.

    Returns
    -------
    Reading
        ``job`` holds its fields; ``faults`` names each that is missing, unknown or of another sort,
        by its path.
    """
    if len(content) > _MOST_BYTES:
        return Reading(name=name, faults=(Fault(f"is larger than {_MOST_BYTES} bytes"),))
    try:
        said = json.loads(content.decode("utf-8"), object_pairs_hook=_once, parse_constant=_refuse)
        json.dumps(said, ensure_ascii=False).encode()  # halves of letters cannot be told on
    except json.JSONDecodeError as error:
        return Reading(name=name, faults=(Fault(f"line {error.lineno} is no JSON: {error.msg}"),))
    except (UnicodeDecodeError, ValueError, RecursionError) as error:
        return Reading(
            name=name, faults=(Fault(f"cannot be read: {type(error).__name__}: {error}"),)
        )
    faults = tuple(map(Fault, _faults(said, _FIELDS, "")))
    return Reading(name=name, job={} if faults else said, faults=faults)


def _once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    found = dict(pairs)
    if len(found) != len(pairs):
        raise ValueError("a field stands there twice")
    return found


def _refuse(word: str) -> None:
    raise ValueError(f"{word} is no number of JSON")


def _faults(said: Any, wanted: Any, path: str) -> list[str]:  # noqa: ANN401 - JSON
    """Hold a value against what has to be there."""
    if isinstance(wanted, str):
        return [] if _is(said, wanted) else [f"{path} is not {wanted}"]
    if isinstance(wanted, list):
        if not isinstance(said, list):
            return [f"{path} is not a list"]
        return [fault for at, row in enumerate(said)
                for fault in _faults(row, wanted[0], f"{path}[{at}]")]  # fmt: skip
    if not isinstance(said, dict):
        return [f"{path or 'the file'} is not a group of fields"]
    names = {name.rstrip("?"): name for name in wanted}
    found = [f"{_under(path, name)} is unknown" for name in said if name not in names]
    for name, key in names.items():
        if name in said:
            found += _faults(said[name], wanted[key], _under(path, name))
        elif not key.endswith("?"):
            found.append(f"{_under(path, name)} is missing")
    return found


def _under(path: str, name: str) -> str:
    return f"{path}.{name[:40]}".lstrip(".")


def _is(said: Any, sort: str) -> bool:  # noqa: ANN401 - JSON
    if sort == _NUMBER:
        return isinstance(said, int | float) and not isinstance(said, bool) and abs(said) < _LARGEST
    return isinstance(said, str if sort == _TEXT else bool)
