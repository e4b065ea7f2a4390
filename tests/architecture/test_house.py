"""The rules of the house that a linter does not know."""

import ast
import re
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import fields
from pathlib import Path

import pytest

from boardgen.forms.table import FORMS
from boardgen.model.form_section import FormSection
from boardgen.model.limits import Aims, Limits, fitted
from boardgen.reading import catalogue, footprints
from boardgen.reading.files import catalogue_folder, footprints_folder
from boardgen.reading.validation import noted_fields
from tests.conftest import ROOT

PACKAGE = ROOT / "boardgen"
MODULES = sorted(PACKAGE.rglob("*.py"))


def numbers(path: Path) -> Iterator[tuple[int, float]]:
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Constant) and isinstance(node.value, int | float):
            yield node.lineno, node.value


@pytest.mark.parametrize("path", MODULES, ids=lambda path: str(path.relative_to(PACKAGE)))
def test_inches_live_in_one_place(path: Path) -> None:
    if path.name == "units.py":
        return
    assert not [line for line, value in numbers(path) if value in (25.4, 25400, 25_400_000)]


def bare_hairs(tree: ast.Module) -> list[int]:
    """List the lines where a tiny number stands inside a sum instead of having a name."""
    named = {
        id(part)
        for node in tree.body
        if isinstance(node, ast.Assign | ast.AnnAssign)
        for part in ast.walk(node)
    }
    units = {
        id(part)
        for node in ast.walk(tree)
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name)
        and node.func.id in ("amps", "volts")
        for part in ast.walk(node)
    }  # fmt: skip
    return [
        node.lineno
        for node in ast.walk(tree)
        if isinstance(node, ast.Constant)
        and isinstance(node.value, float)
        and 0 < abs(node.value) <= 1e-6
        and id(node) not in named | units
    ]


def test_a_hair_has_a_name_and_a_reason() -> None:
    found = {
        str(path.relative_to(PACKAGE)): lines
        for path in MODULES
        if (lines := bare_hairs(ast.parse(path.read_text(encoding="utf-8"))))
    }
    assert not found
    assert bare_hairs(ast.parse("def f(x):\n    return x < 1e-9"))


@pytest.mark.parametrize("path", MODULES, ids=lambda path: str(path.relative_to(PACKAGE)))
def test_no_function_is_longer_than_sixty_lines(path: Path) -> None:
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.FunctionDef):
            assert (node.end_lineno or 0) - node.lineno < 60, node.name


def test_what_is_wrong_with_a_key_is_said_through_one_helper() -> None:
    """`Parameters.problem` knows file and line; stages after reading do not look them up."""
    for folder in ("layout", "electrical", "forms"):
        for path in (PACKAGE / folder).rglob("*.py"):
            text = path.read_text(encoding="utf-8")
            assert not re.search(r"\bProblem\(|origin\([^)]*\)\.line", text), path


@pytest.mark.parametrize("path", MODULES, ids=lambda path: str(path.relative_to(PACKAGE)))
def test_only_the_command_line_prints(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    if path.name != "terminal.py":
        assert not re.search(r"\bprint\(|click\.echo|sys\.stdout", text)


@pytest.mark.parametrize("path", MODULES, ids=lambda path: str(path.relative_to(PACKAGE)))
def test_only_reading_writing_and_readback_touch_files(path: Path) -> None:
    if path.relative_to(PACKAGE).parts[0] in ("reading", "readback", "writing.py", "terminal.py"):
        return
    text = path.read_text(encoding="utf-8")
    assert not re.search(r"\bopen\(|read_text|read_bytes|write_text|write_bytes", text)


@pytest.mark.parametrize(
    "folder", ["checks", "electrical", "readback", "pages", "artwork", "export"]
)
def test_no_stage_knows_a_form(folder: str) -> None:
    """They ask the plan (``boardgen/forms``); only its own module reads a form's section."""
    for path in sorted((PACKAGE / folder).glob("*.py")):
        text = path.read_text(encoding="utf-8")
        assert not re.search(r"parameters\.form\b|[\"`]form\.[a-z]", text), path


def test_every_form_has_a_plan() -> None:
    """A word of the file without one would build another form without a word."""
    (note,) = [
        note
        for field, _, notes in noted_fields(FormSection)
        for note in notes
        if field.name == "kind"
    ]
    assert set(note.words) == set(FORMS)


def test_no_room_without_a_name() -> None:
    assert not {path.stem for path in MODULES} & {"utils", "helpers", "common", "misc"}


def test_help_starts_without_the_heavy_libraries() -> None:
    code = (
        "import sys; from boardgen.cli import main\n"
        "try: main(['--help'])\n"
        "except SystemExit: pass\n"
        "print(sorted({name.partition('.')[0] for name in sys.modules}), file=sys.stderr)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    for heavy in ("numpy", "shapely", "pydantic", "pygerber", "pyparsing", "svgwrite"):
        assert f"'{heavy}'" not in done.stderr


def test_data_folders_are_found_and_hold_no_code() -> None:
    for folder in (footprints_folder(), catalogue_folder()):
        names = {entry.name for entry in folder.iterdir()}
        assert "README.md" in names
        assert not [name for name in names if name.endswith(".py")]


def test_every_data_file_says_its_source() -> None:
    files = [*(ROOT / "footprints").glob("*.toml"), *(PACKAGE / "catalogue").rglob("*.toml")]
    assert len(files) == 22
    for path in files:
        text = path.read_text(encoding="utf-8")
        assert "CC0-1.0" in text, path
        assert re.search(r"[Ss]ource|[Oo]wn (choice|design|table)", text), path


@pytest.mark.parametrize("house", catalogue.house_names())
@pytest.mark.parametrize("weight_um", [35.0, 70.0])
def test_no_house_asks_layout_to_draw_below_its_limits(house: str, weight_um: float) -> None:
    limits = fitted(catalogue.house(house), weight_um)
    aims = limits.aims
    pairs = [
        (aims.track_mm, limits.track_mm),
        (aims.hole_spoke_mm, limits.track_mm),
        (aims.chip_spoke_mm, limits.track_mm),
        (aims.pour_gap_mm, limits.gap_mm),
        (aims.hole_relief_gap_mm, limits.gap_mm),
        (aims.chip_relief_gap_mm, limits.gap_mm),
        (aims.via_hole_mm, limits.hole_mm),
        (aims.pour_hole_mm, limits.hole_copper_mm),
        (aims.ring_unplated_mm, limits.ring_unplated_mm),
        (aims.track_mm, 2 * aims.chip_spoke_mm),
        ((aims.via_land_mm - aims.via_hole_mm) / 2, limits.ring_mm - 1e-9),
        (aims.legend_stroke_mm, limits.legend_stroke_mm),
        (aims.text_mm, limits.legend_height_mm),
        (aims.legend_land_mm, limits.legend_land_mm),
        (2 * aims.pour_corner_mm, limits.pour_width_mm),
    ]
    for aim, limit in pairs:
        assert aim >= limit
    ring = limits.ring_mm if limits.plated else limits.ring_unplated_mm
    for name in footprints.connector_names():
        connector = footprints.connector_part(name, 2, limits)
        for land in connector.pattern.lands:
            assert land.hole_mm >= limits.hole_mm
            assert (land.width_mm - land.hole_mm) / 2 >= ring


def test_every_aim_and_limit_is_used() -> None:
    text = "".join(path.read_text(encoding="utf-8") for path in MODULES if path.name != "limits.py")
    # What limits.py itself takes into account, and what it raises its aims with.
    text += "self.mask_web_green_mm self.mask_web_other_mm"
    text += " limits.track_heavy_mm limits.gap_heavy_mm"
    for cls, owner in ((Aims, r"aims"), (Limits, r"(limits|self|_LIMITS)")):
        for field in fields(cls):
            assert re.search(rf"\b{owner}\.{field.name}\b", text), field.name


def test_the_wordings_that_must_agree_agree() -> None:
    from boardgen.model.cautions import CLAIM  # noqa: PLC0415 - beside its only use

    assert CLAIM in (ROOT / "README.md").read_text(encoding="utf-8")


def test_readme_is_short_and_has_exactly_two_shell_blocks() -> None:
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    assert text.count("\n") <= 165
    assert text.count("```sh\n") == 2
    assert "![" in text


def test_the_version_stands_in_the_changelog() -> None:
    from importlib.metadata import version  # noqa: PLC0415 - beside its only use

    assert f"## {version('boardgen')} " in (ROOT / "CHANGELOG.md").read_text(encoding="utf-8")
