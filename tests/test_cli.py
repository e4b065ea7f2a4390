"""The command line: results, refusals, exit status, and nothing half-written."""

import hashlib
import json
import os
import re
import shutil
import subprocess
import sys
import zipfile
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result

from boardgen.cli import main
from boardgen.doors import read
from boardgen.model.cautions import CLAIM
from tests.conftest import EXAMPLES, SHELF, SMALLEST, merged, packed


def run(*arguments: object, env: dict[str, str] | None = None) -> Result:
    return CliRunner().invoke(main, [str(argument) for argument in arguments], env=env)


@pytest.fixture
def file(tmp_path: Path) -> Path:
    path = tmp_path / "lamp.toml"
    path.write_text(SMALLEST, encoding="utf-8")
    return path


def tree(folder: Path) -> dict[str, bytes]:
    return {
        str(path.relative_to(folder)): path.read_bytes()
        for path in sorted(folder.rglob("*"))
        if path.is_file()
    }


FABRICATION = {
    f"lamp_{part}"
    for part in (
        "copper-top.gbr", "copper-bottom.gbr", "mask-top.gbr", "mask-bottom.gbr", "legend-top.gbr",
        "legend-bottom.gbr", "paste-top.gbr", "profile.gbr", "plated.drl", "unplated.drl",
        "netlist.ipc", "job.gbrjob",
    )
}  # fmt: skip


def test_build_writes_the_closed_list_of_files(file: Path, tmp_path: Path) -> None:
    result = run("build", file, "-o", tmp_path / "out")
    assert result.exit_code == 0, result.output
    assert set(tree(tmp_path / "out")) == {
        *(f"lamp/fabrication/{name}" for name in FABRICATION),
        "lamp/lamp-fabrication.zip",
        "lamp/assembly/bom.csv",
        "lamp/assembly/placement.csv",
        "lamp/assembly/placement-top.svg",
        "lamp/assembly/guide.html",
        "lamp/assembly/test-sheet.html",
        "lamp/preview-top.svg",
        "lamp/preview-bottom.svg",
        "lamp/finished-top.svg",
        "lamp/oblique.svg",
        "lamp/dimensions.svg",
        "lamp/schematic.svg",
        "lamp/report.html",
        "lamp/order.md",
        "lamp/order.html",
        "lamp/findings.json",
        "lamp/build.json",
    }
    with zipfile.ZipFile(tmp_path / "out/lamp/lamp-fabrication.zip") as archive:
        assert set(archive.namelist()) == FABRICATION
        assert archive.testzip() is None
        for entry in archive.infolist():  # the same everywhere: no clock, no system
            assert entry.date_time == (1980, 1, 1, 0, 0, 0)
            assert (entry.create_system, entry.external_attr >> 16) == (3, 0o100644)
            assert entry.compress_type == zipfile.ZIP_STORED
        assert archive.namelist() == sorted(archive.namelist())
    assert {path.name for path in (tmp_path / "out").iterdir()} == {"lamp"}


def test_build_ends_with_what_the_house_should_show_and_the_cautions(
    file: Path, tmp_path: Path
) -> None:
    text = run("build", file, "-o", tmp_path / "out").stdout
    for words in (
        "preview should show", "size", "layers", "plated holes", "unplated holes  2 of 3.4 mm",
        "slots", "CAUTION", CLAIM,
    ):  # fmt: skip
        assert words in text


def test_cautions_are_told_once_for_several_files(file: Path, tmp_path: Path) -> None:
    other = tmp_path / "other.toml"
    shutil.copy(file, other)
    text = run("build", file, other, "-o", tmp_path / "out").stdout
    assert text.count("preview should show") == 2
    assert text.count(CLAIM) == 1
    assert text.count("CAUTION Soldering iron") == 1


def test_the_manifest_tells_inputs_versions_digests_proof_and_cautions(
    file: Path, tmp_path: Path
) -> None:
    run("build", file, "-o", tmp_path / "out")
    folder = tmp_path / "out/lamp"
    record = json.loads((folder / "build.json").read_text(encoding="utf-8"))
    assert record["schema"] == "boardgen.build/1"
    assert set(record["program"]) == {
        "boardgen",
        "numpy",
        "pygerber",
        "shapely",
        "svgwrite",
        "jinja2",
        "schemdraw",
        "geos",
    }
    digests = {
        name: hashlib.sha256(content).hexdigest()
        for name, content in tree(folder).items()
        if name != "build.json"
    }
    assert record["files"] == digests
    assert record["parameters"]["sha256"] == hashlib.sha256(SMALLEST.encode()).hexdigest()
    assert all(item["holds"] for item in record["proof"])
    assert {caution["id"] for caution in record["cautions"]} >= {"soldering"}
    assert record["claim"] == CLAIM


def test_a_refused_file_writes_nothing_and_exits_with_two(tmp_path: Path) -> None:
    path = tmp_path / "bad.toml"
    path.write_text(SMALLEST.replace('"10 mm"', '"1 mm"').replace("count = 1", "count = 4"))
    result = run("build", path, "-o", tmp_path / "out")
    assert result.exit_code == 2
    assert 'write form.pitch = "' in result.stderr
    assert not (tmp_path / "out").exists()


def test_error_findings_replace_the_folder_by_one_without_fabrication_data(
    file: Path, tmp_path: Path
) -> None:
    out = tmp_path / "out"
    assert run("build", file, "-o", out).exit_code == 0
    file.write_text(
        merged(SMALLEST, {"light": {"current": "24 mA"}, "resistor": {"rating": "10 mW"}})
    )
    result = run("build", file, "-o", out)
    assert result.exit_code == 1
    assert "power.ballast" in result.stderr
    assert set(tree(out)) == {
        "lamp/preview-top.svg", "lamp/preview-bottom.svg", "lamp/findings.json", "lamp/build.json",
        "lamp/assembly/placement-top.svg", "lamp/schematic.svg", "lamp/report.html",
        "lamp/finished-top.svg", "lamp/oblique.svg", "lamp/dimensions.svg",
    }  # fmt: skip
    assert run("verify", out / "lamp").exit_code == 2


def test_an_output_folder_that_boardgen_did_not_write_is_left_alone(
    file: Path, tmp_path: Path
) -> None:
    mine = tmp_path / "out" / "lamp"
    mine.mkdir(parents=True)
    (mine / "precious.txt").write_text("mine")
    result = run("build", file, "-o", tmp_path / "out")
    assert result.exit_code == 2
    assert "left alone" in result.stderr
    assert tree(tmp_path / "out") == {"lamp/precious.txt": b"mine"}


def test_a_file_in_the_place_of_the_output_folder_is_left_alone(file: Path, tmp_path: Path) -> None:
    (tmp_path / "out").write_text("a file")
    result = run("build", file, "-o", tmp_path / "out")
    assert result.exit_code == 2
    assert "cannot be written" in result.stderr
    assert (tmp_path / "out").read_text() == "a file"


def test_an_output_folder_that_cannot_be_written_is_told(file: Path) -> None:
    result = run("build", file, "-o", "/proc/no-such-place")
    assert result.exit_code == 2
    assert "cannot be written" in result.stderr


def test_one_bad_file_does_not_stop_the_others_and_the_worst_status_counts(
    file: Path, tmp_path: Path
) -> None:
    bad = tmp_path / "bad.toml"
    bad.write_text("nonsense")
    result = run("build", bad, file, tmp_path, "-o", tmp_path / "out")
    assert result.exit_code == 2
    assert (tmp_path / "out/lamp/build.json").is_file()
    assert not (tmp_path / "out/bad").exists()
    assert "is a folder" in result.stderr


def test_check_writes_nothing_and_tells_findings(file: Path, tmp_path: Path) -> None:
    before = tree(tmp_path)
    result = run("check", file)
    assert result.exit_code == 0
    assert "0 errors" in result.stdout
    assert tree(tmp_path) == before
    file.write_text(merged(SMALLEST, {"resistor": {"rating": "1 mW"}}))
    result = run("check", file, "--format", "json")
    assert result.exit_code == 1
    record = json.loads(result.stdout)
    assert record["schema"] == "boardgen.findings/3"
    assert record["counts"]["error"] == 1
    (error,) = [found for found in record["findings"] if found["severity"] == "error"]
    assert error["code"] == "power.ballast"
    assert error["id"].startswith("power.ballast:")


def test_verify_judges_folder_zip_and_plain_folder(file: Path, tmp_path: Path) -> None:
    run("build", file, "-o", tmp_path / "out")
    folder = tmp_path / "out/lamp"
    for package in (folder, folder / "lamp-fabrication.zip", folder / "fabrication"):
        result = run("verify", package)
        assert result.exit_code == 0, result.output
        assert "the package holds" in result.stdout
        assert run("verify", package, "--against", file).exit_code == 0


def test_verify_finds_another_board(file: Path, tmp_path: Path) -> None:
    run("build", file, "-o", tmp_path / "out")
    file.write_text(merged(SMALLEST, {"form": {"pitch": "10 mm", "length": "60 mm"}}))
    result = run("verify", tmp_path / "out/lamp", "--against", file)
    assert result.exit_code == 1
    assert "DIFFERS" in result.stdout
    assert "resized: profile" in result.stdout


def test_verify_finds_a_file_that_was_changed_after_the_build(file: Path, tmp_path: Path) -> None:
    run("build", file, "-o", tmp_path / "out")
    path = tmp_path / "out/lamp/fabrication/lamp_plated.drl"
    path.write_text(path.read_text().replace("C1.3", "C1.4"))
    result = run("verify", tmp_path / "out/lamp")
    assert result.exit_code == 1
    assert "is not the file that the build wrote" in result.stdout
    assert "differs between" in result.stdout


def zip_of(path: Path, entries: dict[str, bytes]) -> Path:
    path.write_bytes(packed(entries))
    return path


@pytest.mark.parametrize(
    ("entries", "words"),
    [
        ({"../evil.gbr": b"x"}, "lies in a folder inside the zip"),
        ({"/etc/evil.gbr": b"x"}, "lies in a folder inside the zip"),
        ({f"f{n}.gbr": b"" for n in range(65)}, "more than 64"),
        ({"bomb.gbr": b"\0" * 70_000_000}, "too large"),
    ],
    ids=["escape", "absolute", "many", "bomb"],
)
def test_hostile_zips_are_refused(tmp_path: Path, entries: dict[str, bytes], words: str) -> None:
    result = run("verify", zip_of(tmp_path / "x.zip", entries))
    assert result.exit_code == 2
    assert words in result.stderr


def test_what_is_no_package_is_refused(tmp_path: Path, file: Path) -> None:
    assert run("verify", tmp_path / "none.zip").exit_code == 2
    assert run("verify", file).exit_code == 2
    (tmp_path / "empty").mkdir()
    result = run("verify", tmp_path / "empty")
    assert result.exit_code == 2
    assert "holds none of the files that boardgen makes" in result.stderr


def test_another_boards_file_is_told_before_all_that_differs(file: Path, tmp_path: Path) -> None:
    run("build", file, "-o", tmp_path / "out")
    other = tmp_path / "torch.toml"
    other.write_text(file.read_text())
    for way in ("--against", "--reproduce"):
        result = run("verify", tmp_path / "out/lamp", way, other)
        assert result.exit_code == 1
        assert "the package is lamp, but torch.toml describes torch" in result.stdout
        assert len(result.stdout.splitlines()) < 30


def test_a_folder_of_packages_and_one_without_its_record_are_refused_in_words(
    file: Path, tmp_path: Path
) -> None:
    run("build", file, "-o", tmp_path / "out")
    assert "name one board's folder" in run("verify", tmp_path / "out").stderr
    (tmp_path / "out/lamp/build.json").unlink()
    assert "no build.json" in run("verify", tmp_path / "out/lamp").stderr


def test_a_package_whose_fabrication_folder_is_gone_says_so(file: Path, tmp_path: Path) -> None:
    run("build", file, "-o", tmp_path / "out")
    shutil.rmtree(tmp_path / "out/lamp/fabrication")
    result = run("verify", tmp_path / "out/lamp")
    assert result.exit_code == 2
    assert "fabrication/ is missing" in result.stderr


def test_explain_tells_formulas_and_numbers(file: Path) -> None:
    result = run("explain", file)
    assert result.exit_code == 0
    for words in ("R = (Vs - S * Vf) / I", "P = I^2 * R", "IEC 60063", "IPC-2221", CLAIM):
        assert words in result.stdout
    record = json.loads(run("explain", file, "--format", "json").stdout)
    assert record["schema"] == "boardgen.explain/3"
    assert {step["key"] for step in record["steps"]} >= {"ballast_ohm", "current_highest_a"}


def test_explain_tries_a_change_and_writes_nothing(file: Path, tmp_path: Path) -> None:
    before = file.read_bytes(), sorted(tmp_path.rglob("*"))
    result = run("explain", file, "--set", "supply.from=adapter 12 V", "--set", "light.count=3")
    assert result.exit_code == 0, result.stderr
    assert "tried supply.from = adapter 12 V, light.count = 3; nothing was written" in result.stdout
    assert "on usb 5 V (4.4 to 5.5 V)" in result.stdout
    assert "on adapter 12 V (11.4 to 12.6 V)" in result.stdout
    six = ("what it is", "how bright", "how long", "resistor", "current", "measure first")
    assert all(f"\n{word}:" in result.stdout for word in six)
    assert "4.4 / 5 / 5.5 V" not in result.stdout
    everything = run("explain", file, "--set", "supply.from=adapter 12 V", "--all").stdout
    (row,) = [line for line in everything.splitlines() if line.endswith("  supply")]
    assert re.split(r"  +", row) == ["4.4 / 5 / 5.5 V", "11.4 / 12 / 12.6 V", "supply"]
    assert (file.read_bytes(), sorted(tmp_path.rglob("*"))) == before
    record = json.loads(
        run("explain", file, "--set", "light.current=2 mA", "--format", "json").stdout
    )
    assert record["schema"] == "boardgen.change/1"
    assert record["tried"] == ["light.current = 2 mA"]
    titles = [row["title"] for row in record["differences"]]
    assert "current wanted in a branch" in titles
    assert "supply" not in titles


def test_a_change_is_tried_though_no_board_follows_from_the_file_itself(file: Path) -> None:
    file.write_text(merged(SHELF, {"form": {"pitch": "4 mm"}}), "utf-8")
    mended = run("explain", file, "--set", "form.pitch=20 mm")
    assert mended.exit_code == 0, mended.stderr
    assert re.search(r"the file:\n +before +refused: .+\n +after +a board follows", mended.stdout)
    assert "what it is:\n    before  none\n    after   8 LEDs" in mended.stdout
    still = run("explain", file, "--set", "light.current=3 mA")
    assert still.exit_code == 2
    assert "with light.current = 3 mA: " in still.stderr


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ("light.count", "no dotted key and value"),
        ("count=3", "no dotted key and value"),
        ("light.cuont=3", "did you mean"),
        ("light.count=three", "wants a whole number"),
        ("light.in_series=40", "only 1 LEDs"),
        ("board.title.more=1", "below a plain value"),
    ],
)
def test_a_change_that_cannot_be_tried_is_refused_in_words(
    file: Path, change: str, words: str
) -> None:
    result = run("explain", file, "--set", change)
    assert result.exit_code == 2
    assert words in result.stderr
    assert "--set" in result.stderr


def test_a_change_takes_the_place_of_what_it_excludes(file: Path) -> None:
    file.write_text(merged(SMALLEST, {"supply": {"from": "alkaline AA", "cells": 3},
                                      "light": {"use": "indicator"}}))  # fmt: skip
    for change in ("light.current=3 mA", "supply.from=usb 5 V"):
        assert run("explain", file, "--set", change).exit_code == 0
    # A shell takes quotes away: what reads as a number is text where text goes.
    larger = run("explain", file, "--set", "resistor.size=2512")
    assert larger.exit_code == 0, larger.stderr
    cells = run("explain", file, "--set", "supply.from=NiMH AA")
    assert "(3 to 4.35 V)" in cells.stdout


def test_explain_shows_the_circuit_when_no_board_can_be_laid_out(file: Path) -> None:
    file.write_text(merged(SMALLEST, {"form": {"width": "5 mm"}}))
    result = run("explain", file)
    assert result.exit_code == 0
    assert "no board follows" in result.stderr
    assert "ballast taken" in result.stdout


def test_explain_resolved_tells_every_value_with_its_origin(file: Path) -> None:
    text = run("explain", file, "--resolved").stdout
    assert 'form.pitch = "10 mm"   # parameter file lamp.toml:11' in text
    assert 'resistor.series = "E12"   # default' in text


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
def test_what_explain_resolves_can_be_pasted_into_a_file(path: Path, tmp_path: Path) -> None:
    """The lines are a parameter file: the same board comes of it."""
    only = ("--only", "stick-red-4") if path.stem == "colour-sticks" else ()
    text = run("explain", path, "--resolved", *only).stdout
    shutil.copytree(path.parent, tmp_path, dirs_exist_ok=True)
    again = tmp_path / path.name
    again.write_text(text, encoding="utf-8")
    one, other = read(path)[0], read(again)[0]
    assert (one.form, one.light, one.copper, one.parts.emitters) == (
        other.form, other.light, other.copper, other.parts.emitters,
    )  # fmt: skip
    assert (one.parts.supply.low_v, one.parts.supply.high_v, one.parts.limits) == (
        other.parts.supply.low_v, other.parts.supply.high_v, other.parts.limits,
    )  # fmt: skip


def test_the_date_comes_from_the_file_then_from_the_environment(file: Path, tmp_path: Path) -> None:
    def date() -> Any:
        return json.loads((tmp_path / "out/lamp/build.json").read_text())["date"]

    run("build", file, "-o", tmp_path / "out", env={"SOURCE_DATE_EPOCH": "86400"})
    assert date() == "2026-11-25"
    file.write_text(merged(SMALLEST, {"board": {"date": None}}))
    run("build", file, "-o", tmp_path / "out", env={"SOURCE_DATE_EPOCH": "86400"})
    assert date() == "1970-01-02"
    run("build", file, "-o", tmp_path / "out", env={"SOURCE_DATE_EPOCH": ""})
    assert date() == "1980-01-01"
    result = run("build", file, "-o", tmp_path / "out", env={"SOURCE_DATE_EPOCH": "soon"})
    assert result.exit_code == 2
    assert "SOURCE_DATE_EPOCH" in result.stderr


COMMANDS = {
    "build": ("-o", "out"),
    "check": (),
    "explain": (),
    "kit": ("-o", "out", "--sets", "3"),
    "lesson": ("-o", "out"),
    "publish": ("-o", "out"),
    "solid": ("-o", "out"),
}


def started(*arguments: object, **environment: str) -> "subprocess.CompletedProcess[str]":
    return subprocess.run(
        [sys.executable, "-m", "boardgen", *map(str, arguments)],
        capture_output=True, text=True, check=False, env={**os.environ, **environment},
    )  # fmt: skip


@pytest.mark.parametrize("command", COMMANDS)
def test_each_command_starts_as_a_program(command: str, file: Path, tmp_path: Path) -> None:
    more = [tmp_path / one if one == "out" else one for one in COMMANDS[command]]
    done = started(command, file, *more)
    assert done.returncode == 0, done.stderr
    assert "Traceback" not in done.stderr


def test_verify_starts_as_a_program(file: Path, tmp_path: Path) -> None:
    started("build", file, "-o", tmp_path / "out")
    assert started("verify", tmp_path / "out/lamp", "--against", file).returncode == 0


@pytest.mark.thorough
def test_builds_are_the_same_bytes_whatever_folder_locale_and_hash_seed(tmp_path: Path) -> None:
    made = []
    for number, (locale, seed) in enumerate((("C", "0"), ("de_DE.UTF-8", "1"), ("C", "77"))):
        folder = tmp_path / f"place {number}"
        folder.mkdir()
        path = folder / "shelf-bar.toml"
        path.write_text(SHELF, encoding="utf-8")
        done = started("build", path, "-o", folder / "out", LC_ALL=locale, LANG=locale,
                       PYTHONHASHSEED=seed, TZ="Pacific/Apia" if number else "UTC")  # fmt: skip
        assert done.returncode == 0, done.stderr
        made.append(tree(folder / "out"))
    assert made[0] == made[1] == made[2]
    again = tmp_path / "place 0"
    started("build", again / "shelf-bar.toml", "-o", again / "out", PYTHONHASHSEED="5")
    assert tree(again / "out") == made[0]


def test_help_names_every_command_and_the_exit_status() -> None:
    text = run("--help").stdout
    for command in (*COMMANDS, "verify", "new", "parts", "schema"):
        assert command in text
        assert run(command, "--help").exit_code == 0
    assert "Exit status" in text


def test_two_files_of_one_name_do_not_overwrite_each_other(tmp_path: Path) -> None:
    for folder in ("a", "b"):
        (tmp_path / folder).mkdir()
        (tmp_path / folder / "lamp.toml").write_text(SMALLEST)
    result = run("build", tmp_path / "a/lamp.toml", tmp_path / "b/lamp.toml", "-o", tmp_path / "o")
    assert result.exit_code == 2
    assert "called lamp too" in result.stderr
    assert run("verify", tmp_path / "o/lamp").exit_code == 0


def test_a_fault_of_ours_ends_in_three_without_a_traceback(
    file: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(*_: object) -> None:
        raise ZeroDivisionError("planted")

    monkeypatch.setattr("boardgen.designing.draw", broken)
    result = run("build", file, "-o", tmp_path / "out")
    assert result.exit_code == 3
    assert "fault of boardgen" in result.stderr
    assert "Traceback" not in result.stderr
    assert not (tmp_path / "out").exists()


def test_files_that_do_not_say_what_was_designed_are_never_written(
    file: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from boardgen.outputs import export  # noqa: PLC0415 - wrapped below

    def spoilt(design: Any, *, fabrication: bool) -> Any:
        files = export(design, fabrication=fabrication)
        return files[1:] if fabrication else files

    monkeypatch.setattr("boardgen.build.export", spoilt)
    monkeypatch.setattr("boardgen.build.check_files", lambda *_: ())
    result = run("build", file, "-o", tmp_path / "out")
    assert result.exit_code == 3
    assert "copper-top" in result.stderr
    assert not (tmp_path / "out").exists()


@pytest.mark.parametrize("name", ["extra.txt", "assembly/note.txt"])
def test_verify_finds_a_file_that_the_build_did_not_write(
    file: Path, tmp_path: Path, name: str
) -> None:
    run("build", file, "-o", tmp_path / "out")
    (tmp_path / "out/lamp" / name).write_text("x")
    result = run("verify", tmp_path / "out/lamp")
    assert result.exit_code == 1
    assert f"{name} is not listed" in result.stdout


@pytest.mark.parametrize(
    "record",
    ["[]", "[" * 100_000, '{"board": "../x", "files": {}}', '{"board": "lamp", "files": []}'],
    ids=["list", "deep", "escape", "files"],
)
def test_a_hostile_manifest_is_refused(file: Path, tmp_path: Path, record: str) -> None:
    run("build", file, "-o", tmp_path / "out")
    (tmp_path / "out/lamp/build.json").write_text(record)
    result = run("verify", tmp_path / "out/lamp")
    assert result.exit_code == 2
    assert "cannot be read" in result.stderr


# -- new, parts, schema ------------------------------------------------------------------------


@pytest.mark.parametrize("use", ["night-light", "ambience", "task", "indicator"])
def test_a_starter_builds_as_it_stands_and_never_at_twenty_milliamperes(
    use: str, tmp_path: Path
) -> None:
    file = tmp_path / "my-lamp.toml"
    done = run("new", file, "--use", use)
    assert done.exit_code == 0, done.stderr
    text = file.read_text(encoding="utf-8")
    assert text.isascii()
    assert text.count("#") >= 8  # commented
    (parameters,) = read(file)
    (emitter,) = parameters.parts.emitters
    assert emitter.current_a < 0.020
    assert f"# sets {emitter.current_a * 1000:g} mA a branch" in text
    checked = run("check", file)
    assert checked.exit_code == 0
    assert " error " not in checked.stdout
    assert " warning " not in checked.stdout
    # Every commented-out key that it mentions is one that the file takes.
    for key in ("date", "author"):
        assert f"# {key}" in text


def test_a_starter_replaces_nothing(file: Path) -> None:
    before = file.read_bytes()
    done = run("new", file)
    assert done.exit_code == 2
    assert "exists already" in done.stderr
    assert file.read_bytes() == before
    assert "rename it to my-lamp.toml" in run("new", file.parent / "My Lamp.toml").stderr
    assert list(file.parent.iterdir()) == [file]


def test_parts_lists_sizes_source_and_standing() -> None:
    text = run("parts").stdout
    for wanted in ("white 2835", "terminal 5.08 mm", "M2.5", "lithium coin 20 mm", "home-etched"):
        assert f'"{wanted}"' in text
    assert "size 0805 (metric 2012)" in text
    assert "typical, compare with your data sheet" in text
    only = run("parts", "WHITE 28").stdout
    assert '"white 2835"' in only
    assert '"red 0805"' not in only
    nothing = run("parts", "purple")
    assert nothing.exit_code == 1
    assert "nothing is called" in nothing.stderr


def test_the_schema_is_printed_as_json() -> None:
    assert json.loads(run("schema").stdout)["properties"]["light"]["required"] == ["led", "count"]


@pytest.mark.parametrize("command", [["parts", "M3"], ["schema"]])
def test_each_listing_starts_as_a_program(command: list[str]) -> None:
    done = started(*command)
    assert done.returncode == 0, done.stderr


def test_new_starts_as_a_program(tmp_path: Path) -> None:
    assert started("new", tmp_path / "lamp.toml").returncode == 0


# -- cautions of what is dangerous -------------------------------------------------------------


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        (
            {"supply": {"from": "lithium coin 20 mm"}, "light": {"current": "0.5 mA"}},
            "burn through the gullet in as little as two hours",
        ),
        ({"order": {"house": "home-etched"}}, "Etching baths burn skin and eyes"),
        ({"order": {"house": "milled"}}, "fine glass dust"),
    ],
)
def test_what_can_hurt_is_said(
    changes: dict[str, dict[str, Any]], words: str, tmp_path: Path
) -> None:
    file = tmp_path / "lamp.toml"
    file.write_text(merged(SMALLEST, changes), encoding="utf-8")
    done = run("build", file, "-o", tmp_path / "out")
    assert done.exit_code == 0, done.stderr
    assert words in done.stdout
    record = json.loads((tmp_path / "out/lamp/build.json").read_text(encoding="utf-8"))
    assert any(words in caution["text"] for caution in record["cautions"])


def test_check_tells_minima_what_does_not_apply_and_every_format(file: Path) -> None:
    text = run("check", file).stdout
    assert "smallest:" in text
    assert "gap between nets" in text
    assert "not applicable" in text
    log = json.loads(run("check", file, "--format", "sarif").stdout)
    assert log["version"] == "2.1.0"
    assert "| lamp | 0 | 0 |" in run("check", file, "--format", "markdown").stdout


def test_several_files_are_one_document_and_refusals_stand_in_it(file: Path) -> None:
    other = file.with_name("no-board.toml")
    other.write_text("[board]\n", encoding="utf-8")
    found = run("check", file, other, "--format", "json")
    assert found.exit_code == 2
    assert [board["board"] for board in json.loads(found.stdout)["boards"]] == ["lamp"]
    log = json.loads(run("check", file, other, "--format", "sarif").stdout)
    (invocation,) = log["runs"][0]["invocations"]
    assert not invocation["executionSuccessful"]
    assert invocation["toolExecutionNotifications"]


def test_strict_makes_warnings_fail_and_keeps_fabrication_data_back(
    file: Path, tmp_path: Path
) -> None:
    idle = '[[waive]]\ncode = "gap.copper"\nreason = "none is left"\n'
    file.write_text(SMALLEST + idle, encoding="utf-8")
    assert run("check", file).exit_code == 0
    assert run("check", file, "--strict").exit_code == 1
    assert run("build", file, "-o", tmp_path / "out").exit_code == 0
    assert (tmp_path / "out/lamp/fabrication").exists()
    assert run("build", file, "-o", tmp_path / "out", "--strict").exit_code == 1
    assert not (tmp_path / "out/lamp/fabrication").exists()


def test_rules_are_listed_told_and_guessed() -> None:
    assert "gap.copper" in run("rules").stdout
    assert "mask.web" not in run("rules", "looks").stdout
    told = run("rules", "mask.web").stdout
    assert "how it is measured" in told
    missing = run("rules", "mask.wep")
    assert missing.exit_code == 2
    assert 'did you mean "mask.web"?' in missing.stderr


def test_the_schema_of_findings_is_printed() -> None:
    assert "boardgen.findings/3" in run("schema", "findings").stdout
