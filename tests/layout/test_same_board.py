"""When a circuit that was sized anew is drawn as before: all that layouts read is compared."""

from collections.abc import Callable
from dataclasses import replace
from math import nan
from typing import Any

import pytest

from boardgen.doors import read
from boardgen.electrical.size import size
from boardgen.layout import any_form, reads
from boardgen.layout.any_form import lay_out, same_board
from boardgen.model.circuit import Branch, BranchKind, Circuit
from boardgen.model.parameters import Parameters
from tests.conftest import EXAMPLES, every, parameters_of

NONE: Any = None
FORMS = [
    path for path in EXAMPLES if path.parent.name in {
        "usb-shelf", "lens-ring", "house-number", "porch-disc", "mirror-arc", "etched-bar",
        "round-window", "coin-badge", "village-lights",
    }
]  # fmt: skip


def of_branches(circuit: Circuit, change: Callable[[Branch], Branch]) -> Circuit:
    channels = (replace(one, branches=tuple(map(change, one.branches))) for one in circuit.channels)
    return replace(circuit, channels=tuple(channels))


def of_kinds(circuit: Circuit, change: Callable[[BranchKind], BranchKind]) -> Circuit:
    return of_branches(circuit, lambda branch: replace(branch, kind=change(branch.kind)))


def _bare(kind: BranchKind) -> BranchKind:
    ballast = replace(kind.ballast, wanted_ohm=nan, choice="", rating_w=nan, derated_w=nan,
                      worst_w=nan)  # fmt: skip
    return replace(kind, ballast=ballast, wanted_a=nan, low=NONE, nominal=NONE, high=NONE,
                   hottest=NONE, headroom_low_v=nan, most_a=nan, hottest_most_a=nan)  # fmt: skip


def stripped(circuit: Circuit) -> Circuit:
    """Leave nothing in a circuit but what is compared."""
    rail = replace(circuit.rail, current_a=nan, drop_mm=nan, kind=NONE, sections=0, reason="")
    bare = of_kinds(circuit, _bare)
    channels = (
        replace(one, led=NONE, current_a=nan, in_series_reason="", arrangements=(), kinds=())
        for one in bare.channels
    )
    return replace(bare, channels=tuple(channels), nominal_a=nan, warmth=NONE, rail=rail,
                   supply=NONE, feed=NONE)  # fmt: skip


@pytest.mark.parametrize("path", every(FORMS, lambda n: n < 2), ids=lambda path: path.stem)
def test_layouts_read_nothing_else(path: Any) -> None:
    (parameters,) = read(path)
    circuit = size(parameters)
    bare = stripped(circuit)
    assert same_board(parameters, circuit, bare)
    assert lay_out(parameters, bare) == lay_out(parameters, circuit)


def _wider(circuit: Circuit) -> Circuit:
    wide = circuit.rail.width_mm + 0.1
    return replace(circuit, rail=replace(circuit.rail, width_mm=wide))


def _ballast(kind: BranchKind) -> BranchKind:
    return replace(kind, ballast=replace(kind.ballast, value_ohm=kind.ballast.value_ohm + 1))


CHANGES: dict[str, Callable[[Circuit], Circuit]] = {
    "another value": lambda one: of_kinds(one, _ballast),
    "one ballast more": lambda one: of_kinds(
        one, lambda kind: replace(kind, ballast=replace(kind.ballast, count=2))
    ),
    "one LED more": lambda one: of_kinds(one, lambda kind: replace(kind, leds=kind.leds + 1)),
    "another LED": lambda one: of_kinds(one, lambda kind: replace(kind, led=NONE)),
    "other names": lambda one: of_branches(one, lambda b: replace(b, leds=b.leds[::-1] * 2)),
    "other sites": lambda one: of_branches(one, lambda b: replace(b, first_site=b.first_site + 1)),
    "other nets": lambda one: of_branches(one, lambda b: replace(b, nets=b.nets[1:])),
    "another way in": lambda one: replace(one, inlet=replace(one.inlet, switch="S9")),
    "another rail": _wider,
    "a rail as hot": lambda one: replace(
        one, rail=replace(one.rail, heat_mm=one.rail.width_mm - 0.05)
    ),
    "other words": lambda one: replace(one, worst_a=1.1 * one.worst_a),
}


@pytest.fixture(scope="module")
def shelf() -> Parameters:
    (path,) = (path for path in FORMS if path.stem == "usb-shelf")
    return parameters_of(path.read_text(encoding="utf-8"))


@pytest.mark.parametrize("name", CHANGES)
def test_what_is_drawn_otherwise_is_no_same_board(shelf: Parameters, name: str) -> None:
    circuit = size(shelf)
    assert same_board(shelf, circuit, circuit)
    assert not same_board(shelf, circuit, CHANGES[name](circuit))


def test_spokes_are_compared_where_words_are_the_same(
    shelf: Parameters, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Own values: twice 3 A asks for wider spokes, whatever words and rail say."""
    monkeypatch.setattr(reads, "rail_widths", lambda *_: [1.0])
    monkeypatch.setattr(any_form, "supply_words", lambda *_: "as before")
    circuit = replace(size(shelf), worst_a=3.0)
    assert not same_board(shelf, circuit, replace(circuit, worst_a=6.0))


def test_a_little_more_current_is_the_same_board(shelf: Parameters) -> None:
    """Own value: a millionth more changes no digit on the board and no width."""
    circuit = size(shelf)
    assert same_board(shelf, circuit, replace(circuit, worst_a=circuit.worst_a * (1 + 1e-6)))
