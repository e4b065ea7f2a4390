"""Job file: an outside reader's model takes it, and it says what the set is.

Witness: pygerber's model of the job file, a reader of the open format.
"""

import json
import warnings
from pathlib import Path
from typing import Any

import pytest

from boardgen.export.job import job
from tests.conftest import SMALLEST, built_of, example_built, merged


def said(example: Path) -> dict[str, Any]:
    (file,) = job(example_built(example).design)
    found: dict[str, Any] = json.loads(file.content)
    return found


def test_an_outside_model_takes_it(example: Path, tmp_path: Path) -> None:
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        from pygerber.gerber.api._gerber_job_file import GerberJobFile  # noqa: PLC0415 - heavy

    (file,) = job(example_built(example).design)
    path = tmp_path / "board.gbrjob"
    path.write_bytes(file.content)
    seen = GerberJobFile.from_file(path)
    board = example_built(example).design.board
    assert seen.general_specs.size.x == pytest.approx(board.outline.length_mm, abs=1e-6)
    assert seen.general_specs.size.y == pytest.approx(board.outline.width_mm, abs=1e-6)
    assert seen.general_specs.layer_number == len(example_built(example).design.artwork.coppers())


def test_every_drawing_of_the_package_is_listed_as_it_calls_itself(example: Path) -> None:
    """formats.md 3.4: the same string as in the file."""
    built = example_built(example)
    files = {f.path.rpartition("/")[2]: f.content.decode() for f in built.files
             if f.path.endswith((".gbr", ".drl"))}  # fmt: skip
    rows = {row["Path"]: row for row in said(example)["FilesAttributes"]}
    assert set(rows) == set(files)
    for name, row in rows.items():
        assert f"TF.FileFunction,{row['FileFunction']}" in files[name]
        assert f"TF.FilePolarity,{row['FilePolarity']}" in files[name]


def test_sections_are_those_of_public_samples() -> None:
    """formats.md 3.3, read in samples: header, specs, rules, files, stackup."""
    (file,) = job(built_of(SMALLEST).design)
    assert set(json.loads(file.content)) == {
        "Header", "GeneralSpecs", "DesignRules", "FilesAttributes", "MaterialStackup",
    }  # fmt: skip


def test_the_materials_lie_from_top_to_bottom_and_sum_to_the_thickness() -> None:
    changed = merged(SMALLEST, {"order": {"thickness": "1.0 mm", "mask": "black"}})
    (file,) = job(built_of(changed).design)
    stack = json.loads(file.content)["MaterialStackup"]
    assert [row["Name"] for row in stack] == [
        "legend-top", "paste-top", "mask-top", "copper-top", "core",
        "copper-bottom", "mask-bottom", "legend-bottom",
    ]  # fmt: skip
    assert sum(row.get("Thickness", 0) for row in stack) == 1.0
    assert {row["Color"] for row in stack if row["Type"] == "SolderMask"} == {"black"}
    assert {row["Color"] for row in stack if row["Type"] == "Legend"} == {"white"}
