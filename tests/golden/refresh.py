"""Golden files: of the smallest board, the catalogue as read, and the pairs' findings.

Run as a script it rewrites them; then the diff is read by a person. What a polygon
operation touches is left out: the last nanometre of a patch may depend on the geometry library's
version; the proof covers it.
"""

import json
import sys
from dataclasses import fields, is_dataclass
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parents[2]
FOLDER = Path(__file__).parent / "smallest"
WORDS = FOLDER.parent / "pairs.json"
VALUES = FOLDER.parent / "catalogue.json"


def golden_files() -> dict[str, bytes]:
    """Gather the files that are kept, by name."""
    sys.path.insert(0, str(ROOT))
    from tests.conftest import SMALLEST, built_of  # noqa: PLC0415 - needs the path above

    return {
        file.path.rpartition("/")[2]: file.content
        for file in built_of(SMALLEST).files
        if file.path.startswith(("fabrication/", "assembly/", "findings"))
        and "copper" not in file.path
        and not file.path.endswith(".svg")
    }


def catalogue_values() -> dict[str, Any]:
    """Tell every figure of the catalogue and of the guards as read: own values, none of outside.

    A slip of a digit shows as a change of these; whether a figure is right is told by its source.
    """
    sys.path.insert(0, str(ROOT))
    from boardgen.model.sections import USES  # noqa: PLC0415 - needs the path above
    from boardgen.reading import catalogue, guards  # noqa: PLC0415

    sizes = sorted({one.size or "" for one in catalogue.leds().values()})
    found: dict[str, Any] = {
        "leds": catalogue.leds(),
        "shapes": {name: catalogue.led_shape(one) for name, one in catalogue.leds().items()},
        "supplies": catalogue.supplies(),
        "currents": {f"{use} {size}": catalogue.current_by_use(use, size)
                     for use in (None, *USES) for size in sizes},
        "least": {str(use): catalogue.least_light(use) for use in (None, *USES)},
        "houses": {name: [catalogue.house(name), catalogue.house_defaults(name)]
                   for name in catalogue.house_names()},
        "guards": {name: guards.guard(name)
                   for name in (*guards.fuse_names(), *guards.reverse_names())},
    }  # fmt: skip
    plain: dict[str, Any] = json.loads(json.dumps(found, default=_plain))
    return plain


def _plain(value: object) -> object:
    if is_dataclass(value) and not isinstance(value, type):
        return {one.name: getattr(value, one.name) for one in fields(value)}
    return str(value)


def pair_words() -> dict[str, dict[str, list[str]]]:
    """Tell what the rules say of each pair of boards, by its name."""
    sys.path.insert(0, str(ROOT))
    from boardgen.checks.table import check  # noqa: PLC0415 - needs the path above
    from boardgen.export.records import finding_record  # noqa: PLC0415
    from tests.checks.planting import PAIRS, UM  # noqa: PLC0415
    from tests.checks.test_pairs import said  # noqa: PLC0415

    return {
        one.name: {
            name: said(finding_record(found, design) for found in check(design))
            for name, design in (("past", one.plant(UM)), ("at the limit", one.plant(0.0)))
        }
        for one in PAIRS
    }


if __name__ == "__main__":
    FOLDER.mkdir(exist_ok=True)
    for name, content in golden_files().items():
        (FOLDER / name).write_bytes(content)
    VALUES.write_text(json.dumps(catalogue_values(), indent=1, ensure_ascii=False) + "\n", "utf-8")
    WORDS.write_text(json.dumps(pair_words(), indent=1, ensure_ascii=False) + "\n", "utf-8")
