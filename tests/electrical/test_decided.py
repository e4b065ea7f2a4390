"""A number is decided once: when the decision changes, every place that tells it follows.

What `size` decided is exchanged for values that no sum would give (157 ohm is in no series of
ours, 12.3456 mA follows from nothing): whoever computed again would tell another number. The
values are own choices.
"""

import re
from dataclasses import replace

import pytest

from boardgen import designing, settle, sums
from boardgen.build import Built, build_board
from boardgen.electrical.size import size
from boardgen.model.circuit import BranchKind, Circuit, Cooling
from boardgen.model.explanation import Sums
from boardgen.model.parameters import Parameters
from tests.conftest import SHELF, parameters_of

OHM, EACH_A, BOARD_A, HEAT_W = 157.0, 0.0123456, 0.0987648, 0.321


def other(kind: BranchKind) -> BranchKind:
    nominal = replace(kind.nominal, current_a=EACH_A, resistance_ohm=OHM)
    ballast = replace(kind.ballast, value_ohm=OHM, worst_w=HEAT_W)
    return replace(kind, ballast=ballast, nominal=nominal)


def exchanged(parameters: Parameters, cooling: Cooling | None = None) -> Circuit:
    circuit = size(parameters, cooling) if cooling else size(parameters)
    (channel,) = circuit.channels
    kinds = {kind.of: other(kind) for kind in channel.kinds}
    branches = tuple(replace(one, kind=kinds[one.kind.of]) for one in channel.branches)
    changed = replace(channel, kinds=tuple(kinds.values()), branches=branches)
    return replace(circuit, channels=(changed,), nominal_a=BOARD_A)


@pytest.fixture
def parameters(monkeypatch: pytest.MonkeyPatch) -> Parameters:
    for module in (designing, settle, sums):
        monkeypatch.setattr(module, "size", exchanged)
    return parameters_of(SHELF)


@pytest.fixture
def built(parameters: Parameters) -> Built:
    return build_board(parameters)


@pytest.fixture
def told(parameters: Parameters) -> Sums:
    return sums.explain_board(parameters)


def text_of(built: Built, name: str) -> str:
    (file,) = (file for file in built.files if file.path.rpartition("/")[2] == name)
    return file.content.decode()


def test_the_value_of_a_ballast_is_the_same_in_lists_sums_and_in_short(
    parameters: Parameters, told: Sums
) -> None:
    board = designing.draw_board(parameters).board
    assert {part.value for part in board.parts if part.reference.startswith("R")} == {"157 ohm"}
    steps = {step.key: step for step in told.steps}
    assert "157 ohm" in dict(told.short)["resistor"]
    assert [step.result for step in told.steps if step.title.startswith("ballast taken")] == [
        next(step.result for step in steps.values() if "157 ohm" in step.result)
    ]
    shown = " ".join(f"{step.result} {step.numbers}" for step in told.steps)
    assert not re.search(r"\b150 ohm", shown)


def test_a_current_is_told_as_decided_in_the_sums_and_in_short(told: Sums) -> None:
    assert dict(told.short)["current"].startswith("usually 12 mA in each branch")
    assert "the board 99 mA" in dict(told.short)["current"]
    nominal = next(step for step in told.steps if step.title == "nominal current")
    assert nominal.value == EACH_A
    whole = next(step for step in told.steps if step.title == "current of the board at nominal")
    assert whole.value == BOARD_A
    assert "12.346 mA" in whole.numbers


@pytest.mark.thorough
def test_the_heat_of_a_ballast_is_told_as_decided_by_rule_and_in_short(
    built: Built, told: Sums
) -> None:
    (found,) = (one for one in built.findings if one.code == "power.ballast")
    assert found.actual == "321 mW"
    assert "up to 321 mW" in dict(told.short)["resistor"]
    assert "321 mW" in text_of(built, "findings.json")
