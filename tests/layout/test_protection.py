"""Fuse, guard and split ballasts: placed, joined in the right order, and walked by the proof."""

import csv
import io
import re
from itertools import pairwise
from typing import Any

import pytest

from boardgen.build import Built
from boardgen.checks.table import check
from boardgen.errors import RefusalError
from boardgen.model.board import PartKind
from boardgen.model.circuit import SUPPLY_NET
from boardgen.model.design import Design
from boardgen.model.findings import Severity
from boardgen.model.proof import Difference
from boardgen.readback.lights import walk
from boardgen.readback.nets import Traced
from boardgen.readback.objects import Pin
from boardgen.readback.prove import prove
from tests.conftest import SHELF, Make, built_of, design_of, every, merged
from tests.readback.damage import sealed

BASE = merged(
    SHELF,
    {
        "board": {"date": "2026-11-25"},
        "light": {"count": 4, "led": "red 0805", "use": None, "current": "8 mA"},
        "supply": {
            "from": None,
            "kind": "adapter",
            "low": "4.5 V",
            "nominal": "5 V",
            "high": "5.5 V",
        },
    },
)
GUARDS: list[dict[str, str]] = [
    {"fuse": "500 mA resettable"},
    {"reverse": "schottky"},
    {"reverse": "p-channel"},
    {"fuse": "500 mA resettable", "reverse": "schottky"},
    {"fuse": "1.1 A resettable", "reverse": "p-channel"},
]
PLACES: list[dict[str, Any]] = [
    {"at": "left"},
    {"at": "right"},
    {"at": "middle"},
    {"at": "left", "switch": "slide switch"},
    {"at": "right", "kind": "pin header 2.54 mm"},
    {"at": "left", "kind": "terminal 5.08 mm", "poles": 4},
]
PASSED = {PartKind.FUSE: ("in", "out"), PartKind.DIODE: ("A", "K"),
          PartKind.TRANSISTOR: ("D", "S"), PartKind.SWITCH: ("common", "on")}  # fmt: skip


def line(design: Design) -> list[tuple[str, str, str]]:
    """List the parts from + to the rail with the nets by which the supply enters and leaves."""
    found = []
    for part in design.board.parts:
        if part.kind in PASSED:
            enter, leave = (
                part.net(part.pattern.by_function(name).name) for name in PASSED[part.kind]
            )
            found.append((part.reference, enter, leave))
    return sorted(found, key=lambda entry: entry[1])


@pytest.mark.parametrize(
    "place", every(PLACES, lambda at: at < 1), ids=lambda place: "-".join(map(str, place.values()))
)
@pytest.mark.parametrize("guards", GUARDS, ids=lambda guards: "-".join(guards.values()))
def test_guards_stand_in_the_line_and_the_board_lights(
    guards: dict[str, str], place: dict[str, Any]
) -> None:
    built = built_of(merged(BASE, {"protection": guards, "connector": place}))
    parts = line(built.design)
    assert len(parts) == len(guards) + ("switch" in place)
    connector = built.design.board.part("J1")
    assert connector.net("1") == parts[0][1]
    assert parts[-1][2] == SUPPLY_NET
    for (_, _, leaves), (_, enters, _) in pairwise(parts):
        assert leaves == enters
    assert len({enters for _, enters, _ in parts}) == len(parts)
    errors = [finding for finding in check(built.design) if finding.severity is Severity.ERROR]
    assert not errors
    assert built.proof
    lit = next(item for item in built.proof.items if item.title == "branches that light")
    assert (lit.compared, lit.differences) == (4, ())


@pytest.mark.parametrize("kind", every(["mask none", "one side"], lambda at: at == 0))
@pytest.mark.parametrize("guards", GUARDS[:2] + GUARDS[3:4], ids=lambda g: "-".join(g.values()))
@pytest.mark.thorough
def test_guards_stand_on_bare_copper_and_on_one_side_too(guards: dict[str, str], kind: str) -> None:
    changes: dict[str, Any] = {"protection": guards}
    if kind == "one side":
        changes |= {"copper": {"sides": 1}, "connector": {"side": "bottom"}}
    else:
        changes |= {"order": {"house": "home-etched"}, "connector": {"side": "bottom"}}
    built = built_of(merged(BASE, changes))
    assert built.proof, [f for f in built.findings if f.severity is Severity.ERROR]
    assert built.proof.holds


def test_a_gate_that_would_be_cut_off_from_zero_volts_is_refused() -> None:
    changes = {"protection": {"reverse": "p-channel"}, "connector": {"side": "bottom"}}
    with pytest.raises(RefusalError, match="gate finds no way") as caught:
        design_of(merged(BASE, changes))
    remedy = re.findall(r'write protection.reverse = "(\S+)"', str(caught.value))
    design_of(merged(BASE, {**changes, "protection": {"reverse": remedy[0]}}))


def test_a_diode_is_numbered_apart_from_the_leds_and_marked_at_its_cathode() -> None:
    built = built_of(merged(BASE, {"protection": GUARDS[3]}))
    diode = built.design.board.part("D101")
    assert diode.kind is PartKind.DIODE
    assert diode.net("1") == SUPPLY_NET  # its cathode feeds the rail
    rows = {row["reference"]: row for row in placement(built)}
    assert rows["D101"]["mark"] == "band, cathode"
    assert rows["D101"]["mark_points"] == "right"  # inboard of a connector at the left
    assert rows["F1"]["mark"] == ""
    bought = {row["references"]: row for row in bom(built)}
    assert bought["F1"]["value"] == "500 mA resettable"
    assert bought["D101"]["value"] == "schottky"
    assert "40 V" in bought["D101"]["remark"]
    assert built.proof
    marks = next(item for item in built.proof.items if item.title == "cathode marks")
    assert marks.compared == 5


def _csv(built: Built, path: str) -> list[dict[str, str]]:
    content = next(file.content for file in built.files if file.path == path)
    return list(csv.DictReader(io.StringIO(content.decode())))


def placement(built: Built) -> list[dict[str, str]]:
    return _csv(built, "assembly/placement.csv")


def bom(built: Built) -> list[dict[str, str]]:
    return _csv(built, "assembly/bom.csv")


DAMAGE = [
    # A diode the wrong way round, a gate on the rail, a fuse without its way out.
    (GUARDS[1], {"D101,1,K": "D5,1,A", "D101,2,A": "D5,2,K"}, "D1 stays dark|R1 does not lead"),
    (GUARDS[2], {"Q1,1,G": "Q1,1,S", "Q1,2,S": "Q1,2,G"}, "gate of Q1|does not lead"),
    (GUARDS[2], {"Q1,1,G": "Q1,1"}, "gate of Q1"),
    (GUARDS[0], {"F1,2,out": "F1,2,in"}, "does not lead"),
]


@pytest.mark.parametrize(
    ("guards", "swaps", "words"), DAMAGE, ids=["diode", "gate", "no gate", "fuse"]
)
def test_a_guard_that_would_not_conduct_fails_the_proof(
    guards: dict[str, str], swaps: dict[str, str], words: str
) -> None:
    """From the package alone, with every digest made right again."""
    built = built_of(merged(BASE, {"protection": guards}))
    files = {
        file.path.removeprefix("fabrication/"): file.content
        for file in built.files
        if file.path.startswith("fabrication/")
    }
    name = "bar_copper-top.gbr"
    text = files[name].decode()
    for before, after in swaps.items():
        assert before in text
        text = text.replace(before, after.replace(",", ";"))
    files[name] = sealed(text.replace(";", ","))
    proof = prove(files)
    assert not proof.holds
    told = [str(found) for found in proof.differences]
    assert any(re.search(words, text) for text in told), told


# -- what a guard takes from the supply --------------------------------------------------------


def test_guards_take_their_drop_from_every_corner(design: Make) -> None:
    """With 0.35 V in the diode: own calculation by hand."""
    made = design(BASE, protection={"reverse": "schottky"})
    feed = made.circuit.feed
    assert (feed.low_v, feed.nominal_v, feed.high_v) == pytest.approx((4.05, 4.65, 5.35))
    fused = design(BASE, protection={"fuse": "500 mA resettable"})
    # Usual 0.4 and greatest 1 ohm at four times 8 mA; at the highest corner nothing is promised.
    assert fused.circuit.feed.nominal_v == pytest.approx(5 - 0.4 * 0.032)
    assert fused.circuit.feed.low_v == pytest.approx(4.5 - 1.0 * 0.032)
    assert fused.circuit.feed.high_v == 5.5


def test_the_bench_light_of_the_parameter_page_comes_out_as_computed_there(design: Make) -> None:
    """File B: 220 ohm from the drawer; 5.2 / 12.0 / 17.9 mA and 70 mW with fixed voltages.

    There 0.35 V in the diode, at the high end 0.30 V by its numbers; here 0.45, 0.35 and 0.15 V.
    """
    led = {"size": "2835", "colour": "white", "cathode": "notched corner", "source": "test",
           "vf": {"at": "20 mA", "min": "2.8 V", "typical": "3.0 V", "max": "3.3 V"},
           "points": [["1 mA", "2.999999 V"], ["20 mA", "3 V"]], "per_kelvin": "0 mV/K",
           "max_current": "60 mA"}  # fmt: skip
    made = design(
        SHELF,
        led={"bench white": led},
        supply={
            "from": None,
            "kind": "adapter",
            "low": "11.4 V",
            "nominal": "12 V",
            "high": "12.6 V",
        },
        light={"led": "bench white", "count": 12, "in_series": 3, "use": None, "current": "14 mA"},
        resistor={"drawer": ["150R", "180R", "220R", "270R"], "tolerance": "1 %"},
        protection={"reverse": "schottky"},
        form={"pitch": "16 mm"},
    )
    (kind,) = made.circuit.kinds
    assert kind.ballast.value_ohm == 220
    currents = [corner.current_a * 1000 for corner in (kind.low, kind.nominal, kind.high)]
    wanted = [5.2 - 0.1 / 0.2222, 12.0, 17.9 + 0.15 / 0.2178]
    assert currents == pytest.approx(wanted, abs=0.06)


@pytest.mark.parametrize(
    ("protection", "supply", "words", "better"),
    [
        ({"fuse": "2 A resettable"}, "24 V", "bears 16 V", "1.5 A resettable"),
        ({"fuse": "500 mA resettable"}, "36 V", "bears 30 V", "100 mA resettable"),
        ({"reverse": "schottky"}, "48 V", "bears 40 V", None),
        ({"reverse": "p-channel"}, "12.6 V", "from 2.5 to 12 V", "schottky"),
        ({"fuse": "600 mA resettable"}, "5 V", "not known here", "500 mA resettable"),
    ],
)
def test_a_guard_that_does_not_suit_the_supply_is_refused(
    parameters: Make, protection: dict[str, str], supply: str, words: str, better: str | None
) -> None:
    volts = {"low": supply, "nominal": supply, "high": supply}
    changes = {"supply": {"from": None, "kind": "adapter", **volts}, "protection": protection}
    with pytest.raises(RefusalError, match=words) as caught:
        parameters(BASE, **changes)
    if better:
        assert better in str(caught.value)
        key = "reverse" if better == "schottky" else "fuse"
        if "not known" not in words:
            parameters(BASE, **{**changes, "protection": {key: better}})


# -- split ballasts ----------------------------------------------------------------------------


@pytest.mark.parametrize("pitch", every(["7 mm", "16 mm", "25 mm"], lambda at: at < 2))
@pytest.mark.parametrize("count", every([2, 3], lambda at: at == 1))
@pytest.mark.thorough
def test_split_ballasts_share_the_heat_and_lie_between_rail_and_led(pitch: str, count: int) -> None:
    text = merged(
        BASE,
        {
            "supply": {"kind": "adapter", "low": "11.4 V", "nominal": "12 V", "high": "12.6 V"},
            "light": {"count": 6, "in_series": 3},
            "resistor": {"per_branch": count, "series": "E24"},
            "form": {"pitch": pitch},
        },
    )
    built = built_of(text)
    assert built.proof
    assert built.proof.holds
    one = design_of(merged(text, {"resistor": {"per_branch": 1}})).circuit.kinds[0].ballast
    split = built.design.circuit.kinds[0].ballast
    assert split.worst_w == pytest.approx(one.worst_w / count, rel=0.06)
    assert split.value_ohm * count == pytest.approx(one.value_ohm, rel=0.06)
    for branch in built.design.circuit.branches:
        assert len(branch.ballasts) == count
        nets = [built.design.board.part(name).nets for name in branch.ballasts]
        assert nets[0][0] == ("1", SUPPLY_NET)
        for before, after in pairwise(nets):
            assert before[1][1] == after[0][1]
    quantity = {row["part"]: row["quantity"] for row in bom(built)}
    assert int(quantity["resistor"]) == 2 * count


def walked(pins: list[tuple[str, str, str, int]]) -> tuple[int, list[Difference]]:
    """Walk a circuit of pins: reference, number, function, group of copper."""
    traced = Traced()
    for reference, pin, function, group in pins:
        traced.group_of_pin[Pin(reference=reference, number=pin, function=function)] = group
    return walk(traced)


SOUND = [
    ("J1", "1", "+", 1), ("J1", "2", "-", 9), ("R1", "1", "", 1), ("R1", "2", "", 2),
    ("R2", "1", "", 2), ("R2", "2", "", 3), ("D1", "2", "A", 3), ("D1", "1", "K", 9),
]  # fmt: skip


def test_a_shorted_or_doubled_resistor_of_a_ballast_is_found() -> None:
    assert walked(SOUND) == (1, [])
    shorted = [(ref, pin, what, 2 if ref == "R2" or group == 3 else group)
               for ref, pin, what, group in SOUND]  # fmt: skip
    assert any("R2" in str(found) for found in walked(shorted)[1])
    doubled = [*SOUND, ("R3", "1", "", 2), ("R3", "2", "", 3)]
    assert any("R3" in str(found) or "R2" in str(found) for found in walked(doubled)[1])


def test_an_led_in_the_line_beside_a_guard_is_found() -> None:
    twice = [
        (ref, pin, what, group + 2 if ref != "J1" and group != 9 else group)
        for ref, pin, what, group in SOUND
    ]
    line = [("D7", "2", "A", 1), ("D7", "1", "K", 2), ("D8", "2", "A", 2), ("D8", "1", "K", 3)]
    assert any("D8" in str(found) for found in walked([*twice, *line])[1])


def test_a_missing_half_of_a_ballast_is_found(built: Make) -> None:
    """A short across one resistor leaves the other alone; a gap leaves the branch dark."""
    made = built(BASE, resistor={"per_branch": 2})
    files = {
        file.path.removeprefix("fabrication/"): file.content
        for file in made.files
        if file.path.startswith("fabrication/")
    }
    text = files["bar_copper-top.gbr"].decode()
    assert "B01.R1" in text
    files["bar_copper-top.gbr"] = sealed(text.replace("%TO.P,R2,2*%", "%TO.P,R9,2*%"))
    told = [str(found) for found in prove(files).differences]
    assert any("R1" in text or "R2" in text or "R9" in text for text in told), told


@pytest.mark.thorough
def test_a_guards_bar_in_copper_keeps_off_a_rail_on_its_inner_side() -> None:
    """A wide connector makes a wide board; then the rail lies inboard of the guard's line."""
    text = merged(
        SHELF,
        {
            "supply": {
                "from": None,
                "kind": "adapter",
                "low": "8 V",
                "nominal": "9 V",
                "high": "9.6 V",
            },
            "light": {"led": "warm white 2835", "count": 7, "use": None, "current": "6.2 mA"},
            "resistor": {"size": "0603", "per_branch": 2},
            "protection": {"reverse": "schottky"},
            "form": {"pitch": "20.9 mm"},
            "connector": {"kind": "terminal 5.0 mm", "poles": 3, "at": "left"},
            "mounting": {"at": "none"},
            "copper": {"sides": 1, "weight": "0.5 oz", "rail": "2.6 mm"},
            "order": {"house": "home-etched"},
        },
    )
    built = built_of(text)
    assert not {finding.code for finding in built.findings} & {"gap.copper"}
    assert built.proof


@pytest.mark.thorough
def test_a_guards_bar_keeps_off_its_feed_wherever_the_guard_stands() -> None:
    """On the right, places are sums from the far end: equal but for their last digit."""
    for pitch in ("13.5 mm", "532 mil", "13.7 mm", "0.3 in"):
        text = merged(
            SHELF,
            {
                "supply": {"from": "lithium coin 20 mm"},
                "light": {"led": "green 0805", "count": 1, "use": None, "current": "1 mA"},
                "resistor": {"size": "1206"},
                "protection": {"reverse": "schottky"},
                "form": {"pitch": pitch},
                "connector": {"kind": "coin cell holder 20 mm", "at": "right"},
                "mounting": {"screw": "M2.5", "under": "washer"},
                "copper": {"sides": 1},
                "order": {"house": "milled"},
            },
        )
        assert not {found.code for found in check(design_of(text))} & {"gap.copper"}
