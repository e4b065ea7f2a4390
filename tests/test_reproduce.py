"""A package built again: identical, or which file differs and in what."""

import json
import shutil
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from boardgen.cli import main
from tests.conftest import SMALLEST, merged


def run(*arguments: object) -> Result:
    return CliRunner().invoke(main, [str(argument) for argument in arguments])


@pytest.fixture
def built(tmp_path: Path) -> tuple[Path, Path]:
    file = tmp_path / "lamp.toml"
    file.write_text(SMALLEST)
    assert run("build", file, "-o", tmp_path / "out").exit_code == 0
    return file, tmp_path / "out/lamp"


def test_a_folder_a_zip_and_a_plain_folder_are_identical(built: tuple[Path, Path]) -> None:
    file, folder = built
    shutil.copytree(folder / "fabrication", folder.parent / "plain")
    for package, count in (
        (folder, 29),
        (folder / "lamp-fabrication.zip", 12),
        (folder.parent / "plain", 12),
    ):
        result = run("verify", "--reproduce", file, package)
        assert result.exit_code == 0, result.output
        assert f"makes the same {count} files, byte for byte" in result.stdout


def test_a_changed_file_is_named_with_the_line_that_differs(built: tuple[Path, Path]) -> None:
    file, folder = built
    path = folder / "fabrication/lamp_plated.drl"
    path.write_text(path.read_text().replace("X3.6Y8.75", "X3.7Y8.75"))
    result = run("verify", "--reproduce", file, folder)
    assert result.exit_code == 1
    assert "fabrication/lamp_plated.drl differs" in result.stdout
    assert "X3.7Y8.75" in result.stdout
    assert "built anew" in result.stdout
    assert "1 of 29 files are not those that lamp.toml makes" in result.stdout


@pytest.mark.thorough
def test_another_parameter_file_is_told_by_what_it_would_make(built: tuple[Path, Path]) -> None:
    file, folder = built
    file.write_text(merged(SMALLEST, {"order": {"mask": "black"}}))
    result = run("verify", "--reproduce", file, folder / "lamp-fabrication.zip")
    assert result.exit_code == 1
    assert 'MaterialStackup[0].Color is "black", built anew "white"' in result.stdout


def test_missing_and_added_files_are_told(built: tuple[Path, Path]) -> None:
    file, folder = built
    (folder / "order.md").unlink()
    (folder / "notes.txt").write_text("mine")
    result = run("verify", "--reproduce", file, folder)
    assert "order.md is missing in the package" in result.stdout
    assert "notes.txt is not made by this build" in result.stdout


def test_a_broken_member_of_the_zip_is_named(built: tuple[Path, Path]) -> None:
    file, folder = built
    shutil.copy(folder / "fabrication/lamp_plated.drl", folder / "lamp-fabrication.zip")
    result = run("verify", "--reproduce", file, folder)
    assert result.exit_code == 1
    assert "lamp-fabrication.zip differs" in result.stdout


def test_it_speaks_json_and_takes_no_other_question(built: tuple[Path, Path]) -> None:
    file, folder = built
    record = json.loads(run("verify", "--reproduce", file, folder, "--format", "json").stdout)
    assert record["holds"] is True
    assert len(record["comparisons"]) == 29
    assert run("verify", "--reproduce", file, "--against", file, folder).exit_code == 2


@pytest.mark.thorough
def test_what_the_rules_refuse_cannot_be_reproduced(built: tuple[Path, Path]) -> None:
    file, folder = built
    file.write_text(merged(SMALLEST, {"limits": {"gap": "0.9 mm"}}))
    result = run("verify", "--reproduce", file, folder)
    assert result.exit_code in (1, 2)
    assert "Traceback" not in result.output
