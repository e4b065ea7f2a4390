"""Golden files: the smallest board's, boards as text, the catalogue as read, the pairs' findings.

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
LAYOUTS = FOLDER.parent / "boards"


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


def board_text(name: str) -> str:
    """Write a whole board as lines: its edge, parts, tracks, vias, holes, texts and marks.

    So a change of the layout shows in a diff. Places are in millimetres, to a micrometre.
    """
    sys.path.insert(0, str(ROOT))
    from boardgen.designing import draw_board  # noqa: PLC0415 - needs the path above
    from boardgen.doors import read  # noqa: PLC0415

    board = draw_board(read(ROOT / f"examples/{name}/{name}.toml")[0]).board
    lines = [f"edge {' '.join(_at(bow.end) + _middle(bow.centre) for bow in ring)}"
             for ring in board.outline.rings]  # fmt: skip
    for part in board.parts:
        nets = " ".join(f"{pin}={net}" for pin, net in part.nets)
        turn = f"{part.pose.turn_deg:g} deg"
        lines.append(f"{part.reference} {part.value}, {part.side.value},"
                     f" {_at((part.x_mm, part.y_mm))} {turn}, {nets}")  # fmt: skip
    lines += [f"track {t.net} {t.side.value} {t.width_mm:g} {' '.join(map(_at, t.points))}"
              for t in board.tracks]  # fmt: skip
    lines += [f"via {v.net} {_at((v.x_mm, v.y_mm))}" for v in board.vias]
    lines += [f"{h.reference} {_at((h.x_mm, h.y_mm))} {h.hole_mm:g}" for h in board.holes]
    lines += [f"{t.role.value} {t.owner} {t.text!r} {t.side.value} {_at((t.x_mm, t.y_mm))}"
              f" {t.turn_deg:g} deg, {t.height_mm:g} mm" for t in board.texts]  # fmt: skip
    lines += [f"mark {m.role.value} {m.owner} {m.side.value} {' '.join(map(_at, m.points))}"
              for m in board.marks]  # fmt: skip
    return "\n".join(lines) + "\n"


BOARDS = (
    "usb-shelf",
    "loft-rows",
    "lens-ring",
    "village-lights",
    "corner-lamp",
    "etched-bar",
    "shed-lamp",
)


def _at(point: tuple[float, float]) -> str:
    return "({:g}, {:g})".format(*(round(value, 3) + 0.0 for value in point))


def _middle(centre: tuple[float, float] | None) -> str:
    return f" about {_at(centre)}" if centre else ""


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
    LAYOUTS.mkdir(exist_ok=True)
    for name in BOARDS:
        (LAYOUTS / f"{name}.txt").write_text(board_text(name), "utf-8")
    VALUES.write_text(json.dumps(catalogue_values(), indent=1, ensure_ascii=False) + "\n", "utf-8")
    WORDS.write_text(json.dumps(pair_words(), indent=1, ensure_ascii=False) + "\n", "utf-8")
