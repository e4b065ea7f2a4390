"""Every part in every orientation and on every side: lands, marks, lists and nets as its data say.

The data are read here from their TOML files anew, and places are worked out anew, so that a slip in
reading or in turning shows. Each board is built with its proof: it lights.
"""

import csv
import io
import math
import re
import tomllib
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from functools import cache
from typing import Any

import pytest

from boardgen.model.artwork import Item, LayerKind, Purpose
from boardgen.model.board import Part, Side
from boardgen.model.design import Design
from boardgen.model.led_data import RESISTOR_SIZES
from boardgen.model.outputs import OutputFiles
from boardgen.model.proof import Proof
from boardgen.model.shapes import Box, Disc
from boardgen.outputs import export
from boardgen.pages.placement import placements
from tests.conftest import ROOT, SMALLEST, built_of, design_of, merged

FOOTPRINTS = ROOT / "footprints"


@cache
def data(file: str) -> dict[str, Any]:
    return tomllib.loads((FOOTPRINTS / file).read_text(encoding="utf-8"))


def entries(*files: str) -> dict[str, dict[str, Any]]:
    return {
        name: entry for file in files for name, entry in data(file).items()
        if isinstance(entry, dict)
    }  # fmt: skip


LEDS = tomllib.loads((ROOT / "boardgen/catalogue/leds.toml").read_text(encoding="utf-8"))
CONNECTORS = entries("terminals.toml", "pin-headers.toml", "wire-pads.toml", "coin-holders.toml")
SWITCHES = entries("switches.toml")
TURNS = {"left": (0, -1), "right": (0, 1), "middle": (-1, 0)}
"""Cosine and sine of the turn that brings wires, which enter from below at 0°, over each edge."""


def shown_first(names: Iterable[str], kind: Callable[[str], object]) -> list[object]:
    """Leave the first name of each kind to every run, and mark the others as thorough."""
    seen, found = set[object](), list[object]()
    for name in names:
        marks = [pytest.mark.thorough] if kind(name) in seen else []
        seen.add(kind(name))
        found.append(pytest.param(name, marks=marks))
    return found


@dataclass(frozen=True)
class Made:
    """A design with its lists and pictures, and its proof when it was built."""

    design: Design
    files: OutputFiles
    proof: Proof | None


def built(*, prove: bool = True, **changes: dict[str, Any]) -> Made:
    text = merged(SMALLEST, changes)
    if prove:
        whole = built_of(text)
        return Made(whole.design, whole.files, whole.proof)
    design = design_of(text)
    return Made(design, (*export(design, fabrication=False), *placements(design)), None)


def rows(made: Made, path: str) -> list[dict[str, str]]:
    (content,) = [file.content for file in made.files if file.path == path]
    return list(csv.DictReader(io.StringIO(content.decode("utf-8"), newline="")))


def placed(made: Made, reference: str) -> dict[str, str]:
    (row,) = [r for r in rows(made, "assembly/placement.csv") if r["reference"] == reference]
    return row


def land(made: Made, reference: str, pin: str) -> Item:
    (item,) = [
        item
        for item in made.design.artwork.layer(LayerKind.COPPER, Side.TOP).items
        if item.owner and (item.owner.reference, item.owner.pin) == (reference, pin)
        and item.purpose in (Purpose.SURFACE_LAND, Purpose.THROUGH_LAND)
    ]  # fmt: skip
    return item


def centre(item: Item) -> tuple[float, float]:
    assert isinstance(item.shape, Box | Disc)
    return (item.shape.centre[0] / 1e6, item.shape.centre[1] / 1e6)


def cathode_bar(made: Made) -> tuple[float, float]:
    (bar,) = [
        item.shape
        for kind in (LayerKind.LEGEND, LayerKind.COPPER)
        for item in made.design.artwork.items(kind, Side.TOP)
        if item.purpose is Purpose.CATHODE_MARK
    ]
    (x1, y1), (x2, y2) = bar.points  # type: ignore[union-attr]
    return ((x1 + x2) / 2e6, (y1 + y2) / 2e6)


def own_led(name: str, mark: str) -> dict[str, Any]:
    """Take a catalogue LED over as an own one, its mark at the given end."""
    table = {key: value for key, value in LEDS[name].items() if key != "cathode"}
    return {"mine": {**table, mark: LEDS[name]["cathode"]}}


@pytest.mark.parametrize("mark", ["cathode", "anode"])
@pytest.mark.parametrize("name", shown_first(sorted(LEDS), lambda name: LEDS[name]["size"]))
def test_an_led_is_what_its_data_say(name: str, mark: str) -> None:
    made = built(prove=False, led=own_led(name, mark), light={"led": "mine"})
    part = made.design.board.part("D1")
    k, a = land(made, "D1", "1"), land(made, "D1", "2")
    assert (k.owner.function, a.owner.function) == ("K", "A")  # type: ignore[union-attr]
    # All cathodes to the right: the current flows as one reads.
    assert centre(k)[0] > part.x_mm > centre(a)[0]
    assert (k.net, a.net) == ("0V", "B01.1")
    assert math.dist(cathode_bar(made), centre(k)) < math.dist(cathode_bar(made), centre(a))
    assert part.pose.turn_deg == 180
    # Where the mark is, and which land lies under it, is the data's word.
    row = placed(made, "D1")
    assert row["mark"] == f"{LEDS[name]['cathode']}, {mark}"
    assert row["mark_points"] == ("right" if mark == "cathode" else "left")
    moulded = data("moulded-leds.toml").get(LEDS[name]["size"])
    if moulded:
        marked, plain = (k, a) if mark == "cathode" else (a, k)
        for item, prefix in ((marked, ""), (plain, "plain_")):
            assert isinstance(item.shape, Box)
            length = moulded.get(f"{prefix}length", moulded["length"])
            width = moulded.get(f"{prefix}width", moulded["width"])
            assert (item.shape.width_nm, item.shape.height_nm) == (length * 1e6, width * 1e6)
    (bom,) = [r for r in rows(made, "assembly/bom.csv") if r["part"] == "led"]
    assert ("not cathode" in bom["marking"]) == (mark == "anode")


def test_flipping_the_cathode_flips_copper_mark_picture_and_list_together() -> None:
    """The small land of a 2835 is the physical thing to hold on to: it lies under the mark."""
    seen = {}
    for mark in ("cathode", "anode"):
        made = built(led=own_led("white 2835", mark), light={"led": "mine"})
        small = min(
            (land(made, "D1", pin) for pin in ("1", "2")),
            key=lambda item: item.shape.width_nm,  # type: ignore[union-attr]
        )
        (picture,) = [
            f.content.decode() for f in made.files if f.path.endswith("placement-top.svg")
        ]
        seen[mark] = {
            "small land is": small.owner.function,  # type: ignore[union-attr]
            "on net": small.net,
            "small land right of middle": centre(small)[0] > made.design.board.part("D1").x_mm,
            "bar at small land": math.dist(cathode_bar(made), centre(small)) < 2.0,
            "points": placed(made, "D1")["mark_points"],
            "spot": re.findall(r'd="([^"]{12})[^>]*id="marks"', picture),
        }
        assert made.proof  # it still lights
    for fact in seen["cathode"]:
        assert seen["cathode"][fact] != seen["anode"][fact], fact


@pytest.mark.parametrize("size", RESISTOR_SIZES)
def test_a_resistor_is_what_its_data_say(size: str) -> None:
    made = built(resistor={"size": size}, order={"house": "fine"})
    first, second = land(made, "R1", "1"), land(made, "R1", "2")
    assert (first.net, second.net) == ("V+", "B01.1")
    (row,) = [r for r in rows(made, "assembly/bom.csv") if r["part"] == "resistor"]
    entry = data("chip-resistors.toml")[size]
    assert (row["size_inch"], row["size_metric"]) == (size, entry["metric"])
    assert (row["marking"] == "none") == (not entry["printed"])


def expected_pins(part: Part, entry: dict[str, Any], count: int) -> list[tuple[float, float]]:
    """Place pins anew: in a row along x, pin 1 left; turned over on the bottom; then turned."""
    cos, sin = TURNS[{270: "left", 90: "right", 180: "middle"}[int(part.pose.turn_deg)]]
    flip = -1 if part.side is Side.BOTTOM else 1
    xs = [(place - (count - 1) / 2) * entry["pitch"] * flip for place in range(count)]
    return [(part.x_mm + x * cos, part.y_mm + x * sin) for x in xs]


SIDES = (("top", 2), ("bottom", 2), ("bottom", 1))
CASES = [
    pytest.param(
        *(name, poles, at, side, sides),
        # A short run has each kind once over each edge, and each side.
        marks=[pytest.mark.thorough]
        if poles != entry["poles"][0] or SIDES.index((side, sides)) != turn
        else [],
    )
    for name, entry in CONNECTORS.items()
    for poles in entry["poles"]
    for turn, at in enumerate(TURNS)
    for side, sides in SIDES
]


@pytest.mark.parametrize(("name", "poles", "at", "side", "sides"), CASES)
@pytest.mark.thorough
def test_a_connector_is_what_its_data_say(
    name: str, poles: int, at: str, side: str, sides: int
) -> None:
    changes: dict[str, Any] = {
        "connector": {"kind": name, "poles": poles, "at": at, "side": side},
        "copper": {"sides": sides},
    }
    if "coin" in name:
        changes |= {"supply": {"from": "lithium coin 20 mm"}, "light": {"current": "1 mA"}}
    # Proof takes most of the time: the fewest poles stand for the others there.
    entry = CONNECTORS[name]
    made = built(prove=poles == entry["poles"][0], **changes)
    board, part = made.design.board, made.design.board.part("J1")
    assert made.proof or poles > entry["poles"][0]
    assert placed(made, "J1")["side"] == side == part.side.value
    nets = ["V+" if place < poles // 2 else "0V" for place in range(poles)]
    pins = expected_pins(part, entry, poles)
    for number, (net, place) in enumerate(zip(nets, pins, strict=True), start=1):
        found = land(made, "J1", str(number))
        assert found.net == net
        assert centre(found) == pytest.approx(place, abs=1e-6)
    drilled = {(h.centre[0] / 1e6, h.centre[1] / 1e6): h for h in made.design.artwork.holes}
    for place in pins:
        (hole,) = [h for at_, h in drilled.items() if math.dist(at_, place) < 1e-5]
        assert hole.plated == (sides == 2)
    # The face lies on its edge; what is plugged from above stands inboard of it.
    body = part.extent(part.pattern.body)
    edge = {
        "left": body.left_mm,
        "right": board.outline.length_mm - body.right_mm,
        "middle": board.outline.width_mm - body.top_mm,
    }[at]
    assert edge == pytest.approx(0.0, abs=1e-6) if entry["entry"] == "side" else edge >= 1.0
    # + stands nearest to a land of +, on every printed side.
    for text in (t for t in board.texts if t.owner == "J1" and t.text in "+−"):
        nearest = min(zip(nets, pins, strict=True),
                      key=lambda pin: math.dist((text.x_mm, text.y_mm), pin[1]))  # fmt: skip
        assert nearest[0] == ("V+" if text.text == "+" else "0V")


@pytest.mark.parametrize(("name", "at", "side", "sides"), [
    pytest.param(name, at, *face, marks=[] if turn == nth else [pytest.mark.thorough])
    for name in SWITCHES
    for turn, at in enumerate(TURNS)
    for nth, face in enumerate(SIDES)
])  # fmt: skip
def test_a_switch_is_what_its_data_say(name: str, at: str, side: str, sides: int) -> None:
    made = built(
        connector={"kind": "wire pads", "at": at, "side": side, "switch": name},
        copper={"sides": sides},
    )
    part = made.design.board.part("S1")
    assert made.proof  # the walk goes over the closed switch
    pins = expected_pins(part, SWITCHES[name], 3)
    for number, (net, place) in enumerate(zip(("V+", "IN+", "N/C"), pins, strict=True), start=1):
        found = land(made, "S1", str(number))
        assert found.net == net
        assert centre(found) == pytest.approx(place, abs=1e-6)
    assert land(made, "J1", "1").net == "IN+"


@pytest.mark.parametrize("sides", [1, 2])
def test_no_net_of_one_copper_side_relies_on_a_barrel(sides: int) -> None:
    """With one side no hole is plated, every chip and every joint is on the copper side."""
    made = built(copper={"sides": sides})
    holes = made.design.artwork.holes
    assert any(hole.plated for hole in holes) == (sides == 2)
    assert len(made.design.artwork.coppers()) == sides
    names = {file.path.rpartition("_")[2] for file in made.files if "/bar_" in file.path}
    assert ("plated.drl" in names) == (sides == 2)
    assert ("copper-bottom.gbr" in names) == (sides == 2)
    drill = next(f.content for f in made.files if f.path.endswith("unplated.drl"))
    assert (b"NonPlated,1,1,NPTH" in drill) == (sides == 1)
