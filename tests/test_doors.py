"""Two doors: a board described in Python is the board of a file with the same keys and values."""

import ast
import json
import subprocess
import sys
import tomllib
from pathlib import Path
from typing import Any

import numpy as np
import pytest

import boardgen
from boardgen.build import Built, build_board
from boardgen.doors import read_family
from boardgen.errors import RefusalError
from boardgen.model.parameters import Parameters
from boardgen.reading.changes import settings
from boardgen.reading.parameters import parse
from tests.conftest import SHELF, SMALLEST, merged, toml_text

ROOT = Path(__file__).parents[1]


def described(text: str, name: str = "bar") -> Parameters:
    """Describe in Python what a file says."""
    tables: dict[str, Any] = tomllib.loads(text)
    title = tables["board"].pop("title")
    return boardgen.board(title, name=name, **tables)


def package(parameters: Parameters) -> bytes:
    files = build_board(parameters).files
    (found,) = [file.content for file in files if file.path.endswith("-fabrication.zip")]
    return found


def test_file_python_and_set_give_one_package(tmp_path: Path) -> None:
    """To the byte; remarks, order and blanks of the file are no part of the board."""
    written = toml_text(dict(reversed(tomllib.loads(SHELF).items()))) + "\n# a remark\n"
    path = tmp_path / "bar.toml"
    path.write_text(merged(SHELF, {"light": {"count": 3}}), encoding="utf-8")
    changes = settings(["light.count=8"])
    (member,) = read_family(path, changes=changes).members
    assert member.parameters
    by_file = package(parse(written, file="bar.toml", name="bar"))
    assert package(described(SHELF)) == by_file
    assert package(member.parameters) == by_file


def test_a_measurement_makes_no_other_package() -> None:
    built = {"built": {"date": "2026-11-28", "supply": "5 V", "current": "0.1 A"}}
    measured = described(merged(SMALLEST, built))
    assert measured.meaning_sha256 == described(SMALLEST).meaning_sha256


WRONG: dict[str, dict[str, Any]] = {
    "a number without its unit": {"form": {"pitch": 20}},
    "a word for a number": {"light": {"count": "eight"}},
    "a key under another name": {"light": {"brightness": "high"}},
    "a key of another form": {"form": {"diameter": "30 mm"}},
    "an LED that is not known": {"light": {"led": "white 2853"}},
    "a supply that is not known": {"supply": {"from": "12 V"}},
    "a switch for a word": {"connector": {"switch": True}},
    "too many volts": {"supply": {"from": None, "kind": "bench", "low": "70 V", "nominal": "72 V",
                                  "high": "75 V"}},
    "a section that there is not": {"lihgt": {"count": 8}},
    "a section that is missing": {"form": None},
    "a house that is not there": {"order": {"house": "school.toml"}},
}  # fmt: skip


@pytest.mark.parametrize("wrong", WRONG)
def test_a_wrong_value_is_told_in_the_same_words_through_both_doors(wrong: str) -> None:
    tables = tomllib.loads(SHELF)
    for section, values in WRONG[wrong].items():
        kept = tables.get(section, {}) if values and section != "supply" else {}
        tables[section] = {key: value for key, value in {**kept, **(values or {})}.items()
                           if value is not None}  # fmt: skip
        if values is None:
            del tables[section]
    text = toml_text(tables)
    with pytest.raises(RefusalError) as of_file:
        parse(text, file="bar.toml", name="bar")
    with pytest.raises(RefusalError) as in_python:
        described(text)

    def words(caught: RefusalError) -> set[tuple[str, str, str]]:
        return {(problem.path, problem.what, problem.remedy) for problem in caught.problems}

    assert words(in_python.value) == words(of_file.value)
    assert not any(problem.line or problem.file for problem in in_python.value.problems)


ODD: dict[str, dict[str, Any]] = {
    "a day that is none": {"source_date": "x"},
    "a folder that is none": {"folder": 5},
    "a name that names no files": {"name": "Bad Name"},
    "two titles": {"board": {"title": "Another"}},
    "a family's section": {"family": {"vary": {"light.count": [1]}}},
    "far too many": {"light": {"led": "white 2835", "count": 10**5000}},
    "a form that plans nothing": {"form": {"kind": lambda _: None, "pitch": "20 mm"}},
    "a type in place of a form": {"form": {"kind": str, "pitch": "20 mm"}},
}


@pytest.mark.parametrize("odd", ODD)
def test_what_only_python_can_say_is_refused_in_words(odd: str) -> None:
    plain = {"supply": "usb 5 V", "light": {"led": "white 2835", "count": 3},
             "form": {"kind": "bar", "pitch": "20 mm"}}  # fmt: skip
    with pytest.raises(RefusalError) as caught:
        boardgen.board("One", **{**plain, **ODD[odd]})
    assert all(problem.what for problem in caught.value.problems)


def test_what_holds_itself_is_refused() -> None:
    endless: dict[str, Any] = {}
    endless["light"] = endless
    with pytest.raises(RefusalError, match="nested too deeply"):
        boardgen.board("One", light=endless)


def test_numbers_of_numpy_are_plain_ones() -> None:
    plain, other = (
        boardgen.board("x", supply="usb 5 V", light={"led": "red 0805", "count": count},
                       form={"kind": "bar", "pitch": "20 mm"})
        for count in (2, np.int64(2))
    )  # fmt: skip
    assert plain.meaning_sha256 == other.meaning_sha256
    counts = boardgen.family(plain, vary={"light.count": np.array([2, 4])})  # type: ignore[dict-item]
    assert [member.name for member in counts.members] == ["x-2", "x-4"]


@pytest.mark.parametrize(
    "odd",
    [
        {"vary": None},
        {"vary": {}},
        {"vary": ["light.count"]},
        {"vary": {"light.count": 4}},
        {"vary": {"light.count": "48"}},
        {"vary": {"light.count": [object()]}},
        {"vary": {5: [4]}},
        {"change": None},
        {"change": [None]},
        {"skip": {"light.count": 4}},
        {"base": None},
    ],
    ids=lambda odd: next(iter(odd)),
)
def test_a_family_of_odd_things_is_refused_in_words(odd: dict[str, Any]) -> None:
    given = {"base": described(SMALLEST), "vary": {"light.count": [1, 2]}, **odd}
    with pytest.raises(RefusalError) as caught:
        boardgen.family(**given)
    assert "0x" not in str(caught.value)


def test_what_no_file_can_hold_is_told_with_its_key() -> None:
    with pytest.raises(RefusalError) as caught:
        boardgen.board("x", light={"count": object(), "led": ["white 2835", {1}]}, name="Bad Name")
    told = {problem.path: problem.what for problem in caught.value.problems}
    assert set(told) == {"light.count", "light.led", "name"}
    assert "object" in told["light.count"]


def test_text_stands_for_what_the_catalogue_names() -> None:
    short, full = (
        boardgen.board("x", supply=supply, connector=connector, light={"led": "red 0805",
                       "count": 2}, form={"kind": "bar", "pitch": "20 mm"})
        for supply, connector in (
            ("usb 5 V", "wire pads"), ({"from": "usb 5 V"}, {"kind": "wire pads"}),
        )
    )  # fmt: skip
    assert short.meaning_sha256 == full.meaning_sha256
    assert short.name == "x"


@pytest.mark.thorough
def test_a_family_in_python_is_that_of_a_file() -> None:
    base = described(SHELF)
    made = boardgen.family(base, vary={"light.count": [4, 8], "copper.sides": [1, 2]})
    assert [member.name for member in made.members] == ["bar-4-1", "bar-4-2", "bar-8-1", "bar-8-2"]
    last = made.members[-1].parameters
    assert last
    assert package(last) == package(described(merged(SHELF, {"copper": {"sides": 2}}), "bar-8-2"))


def test_a_family_tells_a_member_that_is_refused_and_keeps_the_others() -> None:
    made = boardgen.family(described(SHELF), vary={"light.led": ["white 2835", "no such LED"]},
                           file_name="stick-{number}")  # fmt: skip
    good, bad = made.members
    assert good.parameters
    assert bad.refusal
    assert "light.led" in str(bad.refusal)


def test_a_board_is_one_line_and_a_result_is_a_picture() -> None:
    parameters = described(SMALLEST)
    built = build_board(parameters)
    for shown in (parameters, built):
        assert len(repr(shown)) < 120
        assert "bar" in repr(shown)
    assert built._repr_svg_() == built.preview
    assert built.preview.startswith(("<svg", "<?xml"))


@pytest.mark.thorough
def test_the_example_in_python_runs_as_it_stands(tmp_path: Path) -> None:
    script = ROOT / "examples/in-python/in-python.py"
    done = subprocess.run([sys.executable, script, tmp_path], capture_output=True, text=True,
                          check=True, cwd=tmp_path)  # fmt: skip
    assert done.stdout.count("mA at most") == 3
    assert sorted(path.name for path in tmp_path.iterdir() if not path.name.startswith(".")) == [
        "cupboard-light-12", "cupboard-light-6", "cupboard-light-9",
    ]  # fmt: skip


def test_the_notebook_runs_cell_by_cell_and_shows_the_board(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Each cell's last expression is what a notebook would show of it."""
    monkeypatch.chdir(tmp_path)
    text = (ROOT / "examples/in-python/in-python.ipynb").read_text(encoding="utf-8")
    shown: list[object] = []
    names: dict[str, object] = {}
    for cell in json.loads(text)["cells"]:
        if cell["cell_type"] == "code":
            *before, last = ast.parse("".join(cell["source"])).body
            exec(compile(ast.Module(before, []), "cell", "exec"), names)  # noqa: S102 - our own
            assert isinstance(last, ast.Expr)
            shown.append(eval(compile(ast.Expression(last.value), "cell", "eval"), names))  # noqa: S307
    cupboard, built, findings, drops, members, written = shown
    assert repr(cupboard).startswith("<Parameters cupboard-light: 6 x")
    assert isinstance(built, Built)
    assert "<svg" in built._repr_svg_()
    assert {severity for severity, _ in findings} == {"information"}  # type: ignore[attr-defined]
    assert all(0 < volts < 0.01 for volts in drops)  # type: ignore[attr-defined]
    assert members == ["cupboard-light-6", "cupboard-light-9", "cupboard-light-12"]
    assert (tmp_path / str(written) / "order.md").is_file()
