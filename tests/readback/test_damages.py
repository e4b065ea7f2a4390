"""Every kind of damage is caught and named, though every digest and list was made right again."""

from functools import cache
from pathlib import Path
from random import Random

import pytest
from shapely import Point

from boardgen.model.proof import Difference
from boardgen.readback import prove as judge
from boardgen.readback.gerber import read_gerber
from boardgen.readback.package import load_package
from boardgen.readback.prove import prove
from tests.conftest import SMALLEST, built_of, every, merged, packed
from tests.readback.damages import DAMAGES, NEAR_MM, Damage, Named
from tests.readback.editing import Files, refreshed
from tests.readback.test_proof import files_of, told

BOARD = merged(
    SMALLEST,
    {
        "supply": {"from": "adapter 12 V"},
        "light": {"count": 5, "led": "red 0805"},
        "form": {"pitch": "12 mm"},
        "copper": {"test_points": True},
    },
)
"""Five LEDs of which the last stands in a shorter branch, a terminal at the left, test points."""

SEEDS = 20


@pytest.fixture(autouse=True)
def _read_once(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(judge, "read_gerber", _READ)


_READ = cache(read_gerber)
"""Files that were not damaged are read once in a session."""


def zipped(files: Files, path: Path) -> Path:
    path.write_bytes(packed(files))
    return path


def names(found: Difference, named: Named) -> bool:
    """Tell whether a difference says what was done, where."""
    near = named.near is None or (
        found.place_mm is not None and named.near.distance(Point(found.place_mm)) <= NEAR_MM
    )
    return (
        found.kind in named.kinds
        and (not named.layer or found.layer == named.layer)
        and (not named.subject or named.subject in found.subjects)
        and near
    )


def hold(one: Damage, seed: int, folder: Path) -> None:
    """Do a damage and hold both judgements against what was done."""
    built = built_of(BOARD)
    made, named = one.do(dict(files_of(built)), Random(f"{one.name} {seed}"))  # noqa: S311
    path = zipped(refreshed(made, job_too=named.job_is_right), folder / f"{seed}.zip")
    files = load_package(path).files
    alone, against = prove(files), prove(files, built.design)
    assert any(names(found, named) for found in against.differences), (named, told(against))
    if one.alone:
        assert any(names(found, named) for found in alone.differences), (named, told(alone))
    else:
        assert alone.holds, told(alone)


def test_the_good_package_holds_alone_and_against_its_design() -> None:
    built = built_of(BOARD)
    files = refreshed(dict(files_of(built)))
    assert prove(files).holds
    assert prove(files, built.design).holds


def test_there_are_more_than_forty_kinds() -> None:
    assert len({one.name for one in DAMAGES}) == len(DAMAGES) >= 40


@pytest.mark.parametrize("one", every(DAMAGES, lambda at: at % 8 == 0), ids=lambda one: one.name)
def test_a_damage_is_named(one: Damage, tmp_path: Path) -> None:
    for seed in range(2):
        hold(one, seed, tmp_path)


@pytest.mark.slow
@pytest.mark.parametrize("one", DAMAGES, ids=lambda one: one.name)
def test_a_damage_is_named_at_twenty_random_objects(one: Damage, tmp_path: Path) -> None:
    for seed in range(SEEDS):
        hold(one, seed, tmp_path)
