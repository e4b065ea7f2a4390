"""Rows are measured by closed forms, spines by claims: the claims hold for the boards of both."""

from collections import Counter
from dataclasses import replace
from typing import Any

import pytest
from hypothesis import HealthCheck, Phase, given, seed, settings

from boardgen.electrical.size import size
from boardgen.errors import RefusalError
from boardgen.layout.any_form import lay_out
from boardgen.layout.cell import Cell, edge_mm
from boardgen.layout.rows.needs import Needs
from boardgen.layout.spines.claims import clear
from boardgen.model.board import Board
from boardgen.model.parameters import Parameters
from boardgen.reading.parameters import parse
from tests.conftest import SHELF, merged
from tests.laws.strategies import parameter_files

BARS = parameter_files()
CORNERS = merged(SHELF, {"form": {"pitch": "9 mm"}, "mounting": {"at": "corners"}})


def holds(parameters: Parameters, board: Board) -> bool:
    """Ask the claims of a board as it is drawn; printed marks are no copper and claim nothing."""
    metal = replace(board, marks=()) if parameters.printed else board
    return clear(metal, parameters.parts.limits, edge_mm(parameters))


def run(examples: int, share: int) -> Counter[str]:
    seen = Counter[str]()

    @seed(share)
    @settings(
        max_examples=examples,
        deadline=None,
        suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
        database=None,
        phases=[Phase.generate],
    )
    @given(BARS)
    def law(text: str) -> None:
        try:
            parameters = parse(text, file="bar.toml", name="bar")
            board = lay_out(parameters, size(parameters))
        except RefusalError:
            seen["refused"] += 1
            return
        seen["built"] += 1
        assert holds(parameters, board), text

    law()
    return seen


@pytest.mark.thorough
def test_random_bars_have_the_room_that_they_claim() -> None:
    assert run(25, -1)["built"] > 0


@pytest.mark.thorough
def test_many_random_bars_have_the_room_that_they_claim() -> None:
    seen = Counter[str]()
    for share in range(-10, -1):
        seen.update(run(25, share))
    assert seen["built"] > seen["refused"], seen


def test_lands_of_one_part_may_lie_just_at_the_houses_gap() -> None:
    """An LED of 0.6 mm between its lands, where 2 oz of copper ask for as much: found by chance."""
    changes: dict[str, dict[str, Any]] = {
        "light": {"led": "white 2835", "count": 4, "use": None, "current": "2 mA"},
        "form": {"pitch": "20 mm"},
        "order": {"house": "home-etched"},
        "copper": {"weight": "2 oz", "sides": 1},
        "connector": {"side": "bottom"},
    }
    parameters = parse(merged(CORNERS, changes), file="bar.toml", name="bar")
    assert holds(parameters, lay_out(parameters, size(parameters)))


@pytest.mark.parametrize(
    ("cls", "form"),
    [
        (Cell, "left_of_led"),
        (Needs, "screw_room"),
        (Needs, "corner_hole"),
        (Needs, "corner_hole_across"),
        (Needs, "band"),
    ],
)
def test_a_closed_form_that_is_too_small_breaks_a_claim(
    monkeypatch: pytest.MonkeyPatch, cls: type, form: str
) -> None:
    parameters = parse(CORNERS, file="bar.toml", name="bar")
    circuit = size(parameters)
    assert holds(parameters, lay_out(parameters, circuit))
    right = cls.__dict__[form].fget
    monkeypatch.setattr(cls, form, property(lambda self: max(right(self) - 2.5, 0.1)))
    assert not holds(parameters, lay_out(parameters, circuit))
