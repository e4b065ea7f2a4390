"""Boards for the tests: a parameter text from a few words, and designs made once."""

import gc
import re
import tomllib
from collections.abc import Callable, Iterable, Mapping
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from boardgen.build import Built, build_board
from boardgen.designing import design_board
from boardgen.electrical.same_parts import with_same_parts
from boardgen.export.package import package
from boardgen.model.design import Design
from boardgen.model.outputs import OutputFile
from boardgen.model.parameters import Parameters
from boardgen.reading.family import parse_family
from boardgen.reading.parameters import parse

gc.set_threshold(50_000, 20, 100)
"""Thousands of boards make few rings of objects: looked for seldom, they cost a fourteenth less."""

ROOT = Path(__file__).resolve().parent.parent
EXAMPLES = sorted((ROOT / "examples").glob("*/*.toml"))

SHELF = """\
[board]
title = "Shelf bar 8"
[supply]
from = "usb 5 V 500 mA"
[light]
led   = "white 2835"
count = 8
use   = "task"
[form]
kind  = "bar"
pitch = "20 mm"
"""
"""The eleven-line shelf bar: every other line is a default."""


RING = (ROOT / "examples/lens-ring/lens-ring.toml").read_text(encoding="utf-8")
"""Twelve white LEDs around an opening of 42 mm."""


def packed(files: Mapping[str, bytes]) -> bytes:
    """Pack files as boardgen packs a package."""
    inside = tuple(
        OutputFile(path=f"fabrication/{name}", content=content) for name, content in files.items()
    )
    return package("any", inside).content


SMALLEST = """\
[board]
title = "One"
date = "2026-11-25"
[supply]
from = "usb 5 V"
[light]
led   = "red 0805"
count = 1
[form]
kind  = "bar"
pitch = "10 mm"
"""


def pytest_report_header() -> str:
    """Say in one line what a plain run leaves out."""
    return (
        "pages and pictures in a browser: left out unless -m browser asks for them (DEVELOPERS.md)"
    )


def every(cases: Iterable[object], kept: Callable[[int], bool]) -> list[Any]:
    """Leave the cases at some places to every run, and mark the others as thorough."""
    return [
        pytest.param(one, marks=[] if kept(place) else [pytest.mark.thorough])
        for place, one in enumerate(cases)
    ]


def key_text(key: str) -> str:
    """Write a key as TOML has it."""
    return key if re.fullmatch(r"[A-Za-z0-9_-]+", key) else f'"{key}"'


def value_text(value: object) -> str:
    """Write a value as TOML has it."""
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, dict):
        parts = (f"{key_text(key)} = {value_text(part)}" for key, part in value.items())
        return "{ " + ", ".join(parts) + " }"
    if isinstance(value, list):
        return "[" + ", ".join(value_text(part) for part in value) + "]"
    return str(value) if isinstance(value, int | float) else f'"{value}"'


def toml_text(sections: dict[str, dict[str, Any]]) -> str:
    """Write sections as a TOML text."""
    lines = []
    for section, values in sections.items():
        lines.append(f"[{section}]")
        lines += [f"{key_text(key)} = {value_text(value)}" for key, value in values.items()]
    return "\n".join(lines) + "\n"


def merged(text: str, changes: dict[str, dict[str, Any]]) -> str:
    """Change a parameter text; a value of None takes the key away."""
    sections = tomllib.loads(text)
    for section, values in changes.items():
        table = sections.setdefault(section, {})
        for key, value in values.items():
            if value is None:
                table.pop(key, None)
            else:
                table[key] = value
    return toml_text(sections)


@cache
def parameters_of(text: str) -> Parameters:
    return parse(text, file="bar.toml", name="bar")


@cache
def design_of(text: str) -> Design:
    return design_board(parameters_of(text))


@cache
def built_of(text: str) -> Built:
    return build_board(parameters_of(text))


Make = Callable[..., Any]


def text_of(base: str, changes: dict[str, dict[str, Any]]) -> str:
    return merged(base, changes) if changes else base


@pytest.fixture
def parameters() -> Make:
    """Read the shelf bar with changes: ``parameters(light={"count": 3})``."""
    return lambda base=SHELF, **changes: parameters_of(text_of(base, changes))


@pytest.fixture
def design() -> Make:
    """Design the shelf bar with changes."""
    return lambda base=SHELF, **changes: design_of(text_of(base, changes))


@pytest.fixture
def built() -> Make:
    """Build the shelf bar, proof included, with changes."""
    return lambda base=SHELF, **changes: built_of(text_of(base, changes))


MUCH_ALIKE = (
    "bench-strings", "corner-lamp", "shed-lamp", "colour-sticks", "loft-rows", "stair-light",
    "own-led", "village-lights", "mirror-arc", "bird-house", "tea-hexagon",
    "porch-disc", "house-number", "round-window", "seed-tray",
)  # fmt: skip
"""Examples that show the plain run little that others or own tests do not; `.ci/run` walks all."""


def each_example(paths: Iterable[Path] = EXAMPLES) -> list[Any]:
    """Leave to a plain run those examples that are not much like others."""
    return [
        pytest.param(path, id=path.stem,
                     marks=[pytest.mark.thorough] if path.stem in MUCH_ALIKE else [])
        for path in paths
    ]  # fmt: skip


@pytest.fixture(params=each_example())
def example(request: pytest.FixtureRequest) -> Path:
    """Each example's parameter file in turn."""
    path: Path = request.param
    return path


@cache
def example_built(path: Path) -> Built:
    """Build an example once for all tests of a run; of a family its last member."""
    text = path.read_text(encoding="utf-8")
    family = with_same_parts(parse_family(text, file=path.name, name=path.stem, folder=path.parent))
    parameters = family.members[-1].parameters
    assert parameters
    return build_board(parameters)
