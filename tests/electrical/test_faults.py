"""What a meter shows on a board with a fault, against scipy's root finder on the same diode law.

The law V = n·Vt·ln(I/Is + 1) + I·Rs and Kirchhoff's are from docs/sources.md; values are our own.
"""

import math

import pytest
from scipy.optimize import brentq

from boardgen.electrical.faults import METER_OHM, lesson
from boardgen.electrical.leds import bins
from boardgen.errors import RefusalError
from boardgen.model.circuit import Circuit
from boardgen.model.faults import Fault, FaultKind, Reading
from boardgen.papers.exercises import answer, questions
from boardgen.papers.lesson import lesson_facts
from boardgen.reading.faults import faults_of
from boardgen.standards.diode import THERMAL_V
from tests.conftest import ROOT, SHELF, design_of

SHED = (ROOT / "examples/shed-lamp/shed-lamp.toml").read_text("utf-8")
LOFT = (ROOT / "examples/loft-rows/loft-rows.toml").read_text("utf-8")
CASES = {"one in series": SHELF, "two and a guard": SHED, "three": LOFT}


def solved_a(circuit: Circuit, branch: int, leds: int, ohms: float) -> float:
    """Find the current by another hand: the root of Kirchhoff's law."""
    diode, rail = bins(circuit.branches[branch].kind.led).typical, circuit.feed.nominal_v
    saturation = math.exp(float(diode.log_saturation))

    def missing(amps: float) -> float:
        each = (
            diode.ideality * THERMAL_V * math.log(amps / saturation + 1) + amps * diode.series_ohm
        )
        return rail - leds * each - amps * ohms

    return float(brentq(missing, 0.0, rail / ohms, xtol=1e-18, rtol=1e-12))


def with_fault(circuit: Circuit, reference: str, kind: FaultKind, ohms: float = 0.0) -> Reading:
    fault = Fault(reference=reference, kind=kind, value_ohm=ohms)
    return lesson(circuit, [fault]).faulty[0]


@pytest.fixture(params=list(CASES.values()), ids=list(CASES))
def circuit(request: pytest.FixtureRequest) -> Circuit:
    return design_of(request.param).circuit


def whole_ohm(circuit: Circuit) -> float:
    ballast = circuit.branches[0].kind.ballast
    return ballast.value_ohm * ballast.count


def test_a_sound_branch_carries_the_circuits_current(circuit: Circuit) -> None:
    for branch, reading in zip(circuit.branches, lesson(circuit, ()).faulty, strict=True):
        assert reading.current_a == pytest.approx(branch.kind.nominal.current_a, rel=1e-6)
        amps = solved_a(circuit, branch.number - 1, len(branch.leds), whole_ohm(circuit))
        assert reading.current_a == pytest.approx(amps, rel=1e-9)


@pytest.mark.parametrize("kind", [FaultKind.TURNED, FaultKind.OPEN])
def test_a_meter_across_an_open_led_shows_what_the_others_leave(
    circuit: Circuit, kind: FaultKind
) -> None:
    branch = circuit.branches[0]
    found = with_fault(circuit, branch.leds[-1], kind)
    assert found.current_a == 0.0
    assert found.ballast_v == 0.0
    assert found.leds_v[:-1] == (0.0,) * (len(branch.leds) - 1)
    others = len(branch.leds) - 1
    ohms = whole_ohm(circuit) + METER_OHM
    amps = solved_a(circuit, 0, others, ohms) if others else circuit.feed.nominal_v / ohms
    assert found.leds_v[-1] == pytest.approx(amps * METER_OHM, rel=1e-9)
    assert found.leds_v[-1] < circuit.feed.nominal_v


def test_a_bridged_led_leaves_its_volts_to_the_resistors(circuit: Circuit) -> None:
    branch = circuit.branches[0]
    found = with_fault(circuit, branch.leds[0], FaultKind.BRIDGED)
    others = len(branch.leds) - 1
    ohms = whole_ohm(circuit)
    amps = solved_a(circuit, 0, others, ohms) if others else circuit.feed.nominal_v / ohms
    assert found.current_a == pytest.approx(amps, rel=1e-9)
    assert found.leds_v[0] == 0.0
    assert found.current_a > branch.kind.nominal.current_a


def test_an_open_resistor_shows_nearly_the_rail(circuit: Circuit) -> None:
    branch = circuit.branches[0]
    found = with_fault(circuit, branch.ballasts[0], FaultKind.OPEN)
    amps = solved_a(circuit, 0, len(branch.leds), METER_OHM)
    assert found.ballast_v == pytest.approx(amps * METER_OHM, rel=1e-9)
    assert found.leds_v == (0.0,) * len(branch.leds)


def test_with_all_resistors_open_the_meter_still_closes_the_branch() -> None:
    circuit = design_of(SHED).circuit
    faults = [Fault(reference=name, kind=FaultKind.OPEN) for name in circuit.branches[0].ballasts]
    amps = solved_a(circuit, 0, len(circuit.branches[0].leds), METER_OHM)
    assert lesson(circuit, faults).faulty[0].ballast_v == pytest.approx(amps * METER_OHM, rel=1e-9)


def test_a_wrong_value_lets_another_current_flow(circuit: Circuit) -> None:
    branch = circuit.branches[0]
    found = with_fault(circuit, branch.ballasts[0], FaultKind.VALUE, 1000.0)
    ohms = whole_ohm(circuit) - branch.kind.ballast.value_ohm + 1000.0
    amps = solved_a(circuit, 0, len(branch.leds), ohms)
    assert found.current_a == pytest.approx(amps, rel=1e-9)
    assert found.ballast_v == pytest.approx(amps * ohms, rel=1e-9)


def test_two_open_parts_of_one_branch_show_nothing_at_all() -> None:
    circuit = design_of(LOFT).circuit
    first, second, _ = circuit.branches[0].leds
    faults = [Fault(reference=name, kind=FaultKind.OPEN) for name in (first, second)]
    found = lesson(circuit, faults).faulty[0]
    assert (found.ballast_v, found.leds_v) == (0.0, (0.0, 0.0, 0.0))


def test_other_branches_are_as_they_were(circuit: Circuit) -> None:
    branch = circuit.branches[0]
    found = lesson(circuit, [Fault(reference=branch.leds[0], kind=FaultKind.TURNED)])
    assert found.faulty[1:] == found.sound[1:]
    assert found.sound_a - found.faulty_a == pytest.approx(found.sound[0].current_a)


def test_faults_are_read_as_they_are_written() -> None:
    circuit = design_of(SHED).circuit
    assert faults_of(["D3=turned", "R2=open", "R4=1k"], circuit) == (
        Fault(reference="D3", kind=FaultKind.TURNED),
        Fault(reference="R2", kind=FaultKind.OPEN),
        Fault(reference="R4", kind=FaultKind.VALUE, value_ohm=1000.0),
    )
    (usual,) = faults_of([], circuit)
    assert usual.kind is FaultKind.TURNED


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("D99=turned", "no part of a branch"),
        ("F1=open", "no part of a branch"),
        ("D3=1k", 'an LED is not "1k"'),
        ("R1=hot", "no fault of a resistor"),
        ("R1", "no fault of a resistor"),
        ("R1=330R", "when it is right"),
        ("", "nothing is no part"),
    ],
)
def test_what_is_no_fault_is_refused_in_words(text: str, words: str) -> None:
    with pytest.raises(RefusalError, match=words):
        faults_of([text], design_of(SHED).circuit)


def test_one_part_has_one_fault() -> None:
    with pytest.raises(RefusalError, match="has two faults"):
        faults_of(["D1=open", "D1=turned"], design_of(SHED).circuit)


@pytest.mark.parametrize("text", CASES.values(), ids=CASES)
def test_answers_follow_from_what_is_given(text: str) -> None:
    """Done again with the rounded numbers, as a pupil does: within a hundredth."""
    design = design_of(text)
    facts = lesson_facts(design, lesson(design.circuit, ()))
    sums = facts["sums"]
    rounded = {key: float(f"{value:.4g}") for key, value in sums.items()
               if isinstance(value, float)}  # fmt: skip
    left = rounded["supply_v"] - sums["leds"] * rounded["vf_v"]
    assert left == pytest.approx(sums["left_v"], rel=0.01)
    assert left / rounded["wanted_a"] == pytest.approx(sums["wanted_ohm"], rel=0.01)
    amps = (rounded["supply_v"] - rounded["nominal_v"]) / rounded["whole_ohm"]
    assert amps == pytest.approx(sums["nominal_a"], rel=0.01)
    assert amps**2 * rounded["value_ohm"] == pytest.approx(sums["each_w"], rel=0.01)
    assert sums["branches"] * amps == pytest.approx(sums["board_a"], rel=0.01)
    if sums["hours"]:
        hours = rounded["charge_ah"] / rounded["mean_a"]
        assert hours == pytest.approx(sums["hours"], rel=0.01)
    for key in questions(facts):
        assert answer(key, facts)
