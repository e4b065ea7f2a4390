"""What the smallest board's files say changes only on purpose: see refresh.py."""

import json

import pytest

from tests.conftest import every
from tests.golden.refresh import (
    BOARDS,
    FOLDER,
    LAYOUTS,
    VALUES,
    board_text,
    catalogue_values,
    golden_files,
)


@pytest.mark.parametrize("name", sorted(golden_files()))
def test_a_file_is_as_it_was(name: str) -> None:
    assert golden_files()[name].decode() == (FOLDER / name).read_bytes().decode()


def test_no_golden_file_is_left_over() -> None:
    assert {path.name for path in FOLDER.iterdir()} == set(golden_files())


@pytest.mark.parametrize("name", every(BOARDS, lambda at: at < 2))
def test_a_board_is_laid_out_as_it_was(name: str) -> None:
    assert board_text(name) == (LAYOUTS / f"{name}.txt").read_text("utf-8")


@pytest.mark.parametrize("kind", sorted(catalogue_values()))
def test_the_catalogue_says_what_it_said(kind: str) -> None:
    assert catalogue_values()[kind] == json.loads(VALUES.read_text("utf-8"))[kind]
