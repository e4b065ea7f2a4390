"""Two kinds of LEDs on one board, built from objects: no parameter file describes them yet.

Outside the program: Ohm's law and the preferred values of IEC 60063 (E24, from memory, confident);
the rest is told by what the files say when they are read back.
"""

import csv
from dataclasses import replace
from functools import cache
from typing import Any

import pytest

from boardgen.build import Built, build_board
from boardgen.designing import design_board, judge_board
from boardgen.electrical.explain import explain
from boardgen.electrical.in_short import in_short
from boardgen.electrical.leds import bins
from boardgen.electrical.measured import expected
from boardgen.model.design import Design
from boardgen.model.parameters import Parameters
from tests.conftest import RING, SHELF, merged, parameters_of

E24 = (
    10,
    11,
    12,
    13,
    15,
    16,
    18,
    20,
    22,
    24,
    27,
    30,
    33,
    36,
    39,
    43,
    47,
    51,
    56,
    62,
    68,
    75,
    82,
    91,
)
WHITES, REDS = "D1 D2 D3 D4 D5 D6", "D7 D8 D9 D10 D11 D12"


@cache
def described() -> Parameters:
    """Two rows on 12 V: six whites of one size above, six reds of another, at less current."""
    both: dict[str, dict[str, Any]] = {
        "supply": {"from": "adapter 12 V"},
        "light": {"led": "white 1206", "count": 12, "use": None, "current": "12 mA"},
        "form": {"rows": 2, "pitch": "12 mm"},
        "resistor": {"size": "1206", "series": "E24"},
    }
    text = merged(SHELF, both)
    white = parameters_of(text)
    red = parameters_of(merged(text, {"light": {"led": "red 0805", "current": "8 mA"}}))
    emitters = (
        replace(white.parts.emitters[0], name="white"),
        replace(red.parts.emitters[0], name="red"),
    )
    return white.with_parts(emitters=emitters)


@cache
def built() -> Built:
    return build_board(described())


def made() -> Design:
    return built().design


def rows(path: str) -> list[dict[str, str]]:
    (content,) = (file.content for file in built().files if file.path == path)
    return list(csv.DictReader(content.decode().splitlines()))


@pytest.mark.thorough
def test_the_files_say_what_was_designed() -> None:
    """The light walk goes through every branch of the copper as it was read back."""
    proof = built().proof
    assert proof
    assert proof.holds
    walked = next(item for item in proof.items if "light" in item.title)
    assert walked.compared > 0
    assert not [f for f in built().findings if f.code.startswith(("looks.", "polarity.", "gap."))]


@pytest.mark.thorough
def test_each_row_is_a_channel_of_its_own() -> None:
    white, red = made().circuit.channels
    for channel, names, y_mm in ((white, WHITES, 0), (red, REDS, 1)):
        leds = [name for branch in channel.branches for name in branch.leds]
        assert " ".join(leds) == names
        parts = [made().board.part(name) for name in leds]
        assert {part.value for part in parts} == {channel.led.name}
        assert {part.pattern for part in parts} == {channel.led.pattern}
        (level,) = {part.y_mm for part in parts}
        assert (level < made().board.outline.width_mm / 2) is bool(y_mm)
    inner = {net.channel for branch in red.branches for net in branch.nets[1:-1]}
    assert inner == {"red"}


@pytest.mark.thorough
def test_each_channel_has_the_resistor_that_ohms_law_asks_for() -> None:
    """R = (Vs - S * Vf) / I, the next value up in E24 (IEC 60063)."""
    for channel in made().circuit.channels:
        (kind,) = channel.kinds
        vf_v = float(bins(channel.led).typical.voltage_v(channel.current_a))
        ohms = (12.0 - kind.leds * vf_v) / channel.current_a
        above = min(v * 10.0**p for v in E24 for p in (0, 1, 2) if v * 10.0**p >= ohms)
        assert kind.ballast.value_ohm == pytest.approx(above)
    assert len({kind.ballast.value_ohm for kind in made().circuit.kinds}) == 2


def test_the_boards_current_is_the_sum_of_both() -> None:
    circuit = made().circuit
    each = [(len(one.branches), one.kinds[0].high.current_a) for one in circuit.channels]
    assert circuit.worst_a == pytest.approx(sum(number * amps for number, amps in each))
    flowing = made().operation.rails.currents_a
    assert len(flowing) == len(circuit.branches)
    for branch, amps in zip(circuit.branches, flowing, strict=True):
        assert amps == pytest.approx(branch.kind.nominal.current_a, rel=0.01)


def test_heat_of_one_channel_warms_the_other() -> None:
    alone = described().with_parts(emitters=(described().parts.emitters[1],))
    red = made().circuit.channels[1].kinds[0]
    (by_itself,) = design_board(alone).circuit.kinds
    assert red.high.ambient_degc == made().circuit.kinds[0].high.ambient_degc
    assert red.high.ambient_degc > by_itself.high.ambient_degc


def test_the_lists_buy_both() -> None:
    bought = {row["value"]: row for row in rows("assembly/bom.csv") if row["part"] == "led"}
    assert {name: row["references"] for name, row in bought.items()} == {
        "white 1206": WHITES, "red 0805": REDS,
    }  # fmt: skip
    assert bought["white 1206"]["size_metric"] == "3216"
    assert bought["red 0805"]["size_metric"] == "2012"


def test_the_words_name_both() -> None:
    design = made()
    short = dict(in_short(design.parameters, design.circuit, design.operation))
    assert short["what it is"].startswith(
        "6 LEDs white 1206, 3 in series, in 2 branches and 6 LEDs"
    )
    assert "for branches of 3 white" in short["resistor"]
    assert "in each red branch" in short["current"]
    steps = explain(design.parameters, design.circuit, design.operation)
    subjects = [step.subject for step in steps if step.key == "ballast_wanted_ohm"]
    assert subjects == ["branch of 3 white", "branch of 3 red"]


def test_a_meter_is_told_what_each_branch_shows() -> None:
    found = expected(described(), made().circuit, 12.0)
    assert len(set(found.ballasts_v)) == 2
    for branch, band in zip(made().circuit.branches, found.ballasts_v, strict=True):
        nominal = branch.kind.nominal
        assert band.nominal == pytest.approx(nominal.current_a * nominal.resistance_ohm, rel=1e-6)


@pytest.mark.thorough
def test_no_offer_speaks_of_the_one_light_that_a_file_describes() -> None:
    bright = described().with_parts(
        emitters=tuple(replace(e, current_a=0.029) for e in described().parts.emitters)
    )
    findings = judge_board(design_board(bright)).findings
    offers = [change for found in findings for offer in found.changes for change in offer.all]
    assert any(found.code == "power.ballast" for found in findings)
    assert offers
    assert not [change for change in offers if change.path.startswith("light.")]


def test_channels_are_told_apart_by_name() -> None:
    nameless = tuple(replace(emitter, name="") for emitter in described().parts.emitters)
    with pytest.raises(ValueError, match="one name"):
        design_board(described().with_parts(emitters=nameless))


def test_more_channels_than_lines_of_leds_are_no_board() -> None:
    ring = parameters_of(RING)
    with pytest.raises(ValueError, match="2 channels on 1 lines"):
        design_board(
            ring.with_parts(
                emitters=(*ring.parts.emitters, replace(ring.parts.emitters[0], name="b"))
            )
        )
