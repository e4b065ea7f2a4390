"""The syntax tree made statement by statement is the one that pygerber makes of the whole."""

import warnings
from pathlib import Path
from typing import Any

import pytest

from boardgen.readback.statements import tree
from tests.conftest import SMALLEST, built_of, example_built, merged
from tests.readback.test_proof import files_of

ETCHED = merged(SMALLEST, {"order": {"house": "home-etched"}})


def whole(text: str) -> list[Any]:
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", DeprecationWarning)
        from pygerber.gerber.parser.pyparsing.parser import Parser  # noqa: PLC0415 - heavy

        return list(Parser().parse(text).nodes)


def same(text: str) -> None:
    mine, theirs = list(tree(text).nodes), whole(text)
    assert [type(node) for node in mine] == [type(node) for node in theirs]
    assert [node.model_dump() for node in mine] == [node.model_dump() for node in theirs]


@pytest.mark.parametrize("text", [SMALLEST, ETCHED], ids=["two sides", "one side"])
@pytest.mark.thorough
def test_the_trees_of_a_boards_files_are_equal(text: str) -> None:
    for name, content in files_of(built_of(text)).items():
        if name.endswith(".gbr"):
            same(content.decode())


@pytest.mark.slow
def test_the_trees_of_every_example_are_equal(example: Path) -> None:
    for name, content in files_of(example_built(example)).items():
        if name.endswith(".gbr"):
            same(content.decode())
