"""What pages say: numbers from the facts, texts escaped, sums as the circuit has them."""

import copy
import html
import math
import re
from collections.abc import Iterator
from dataclasses import replace
from functools import cache
from typing import Any

import pytest

from boardgen.build import build_board
from boardgen.designing import draw_board
from boardgen.electrical.cautions import cautions
from boardgen.pages.words import WORDS
from boardgen.papers import bench_sheet, guide, order_page, report
from boardgen.papers.render import SHOWN, page
from boardgen.reading import catalogue
from boardgen.sums import explain_board
from tests.conftest import RING, ROOT, SHELF, built_of, design_of, every, merged, parameters_of

SHED = (ROOT / "examples/shed-lamp/shed-lamp.toml").read_text("utf-8")
ANODE = {
    "size": "2835", "colour": "white", "vf": {"at": "20 mA", "min": "2.8 V", "typical": "3.0 V",
    "max": "3.2 V"}, "max_current": "60 mA", "max_reverse": "5 V", "anode": "green corner",
    "source": "own",
}  # fmt: skip
BOARDS = {"shelf": SHELF, "guards and two resistors": SHED, "ring": RING}

Facts = dict[str, Any]


def facts_of(text: str, name: str) -> Facts:
    """Gather the facts of a page."""
    built = built_of(text)
    design = built.design
    found = cautions(catalogue.cautions(), design.parameters, design.circuit)
    if name == "test-sheet.html":
        return bench_sheet.sheet_facts(design, found)
    if name == "guide.html":
        return guide.guide_facts(design, found)
    if name == "order.html":
        assert built.proof
        return order_page.order_facts(design, found, built.proof)
    sums = explain_board(design.parameters)
    return report.report_facts(
        design, built.judgement, sums, built.cautions, built.proof, built.files
    )


@cache
def pictures_of(text: str, name: str) -> dict[str, str]:
    built = built_of(text)
    if name == "guide.html":
        return guide.guide_pictures(built.design, facts_of(text, name), built.files)
    return report.report_pictures(built.design, built.files) if name == "report.html" else {}


def words(content: bytes) -> str:
    """Read the visible text of a page, pictures apart."""
    text = re.sub(r"<(style|svg|script).*?</\1>", " ", content.decode(), flags=re.DOTALL)
    return html.unescape(re.sub(r"<[^>]+>", " ", text))


def leaves(facts: Any, path: tuple[Any, ...] = ()) -> Iterator[tuple[tuple[Any, ...], Any]]:
    """List all values with their places."""
    if isinstance(facts, dict):
        for key, value in facts.items():
            yield from leaves(value, (*path, key))
    elif isinstance(facts, list | tuple):
        for place, value in enumerate(facts):
            yield from leaves(value, (*path, place))
    else:
        yield path, facts


NUMBER = re.compile(r"\d+(?:[.,]\d+)*")
NAMES = ("test-sheet.html", "guide.html", "report.html", "order.html")
CASES = [(board, name) for name in NAMES for board in BOARDS]


@pytest.mark.parametrize("case", every(CASES, lambda at: at % len(BOARDS) == 0), ids=str)
def test_every_number_of_a_page_is_one_of_its_facts(case: tuple[str, str]) -> None:
    """Rounded in a declared way, or as it stands in a text of the facts or in the page's words."""
    (board, name) = case
    text = BOARDS[board]
    facts = facts_of(text, name)
    known = {number for said in WORDS.values() for number in NUMBER.findall(said)}
    for _, value in leaves(facts):
        if isinstance(value, str):
            known.update(NUMBER.findall(value))
        elif isinstance(value, int | float) and not isinstance(value, bool):
            known.update(NUMBER.findall(str(value)))
            ways = SHOWN.values() if value > 0 else (SHOWN["degrees"], SHOWN["mm"])
            known.update(number for way in ways for number in NUMBER.findall(way(value)))
            known.update(NUMBER.findall(SHOWN["volts"](value, 2) if value > 0 else "0"))
    known |= {"1", "2", "4", "8"} if name == "report.html" else set()  # the sizes of its picture
    shown = set(NUMBER.findall(words(page(name, facts, pictures_of(text, name)))))
    assert shown
    assert not shown - known


UNSEEN = {
    # Not shown, or so rounded that a hundredth does not show.
    "nominal": "the usual value is not printed, only the band",
    "junction_degc": "shown in whole degrees",
    "share": "shown in whole percents",
    "resistance_ohm": "stands in the sums",
    "ambient_degc": "stands in the sums",
    "value": "the sums show their result as text",
    "points": "for curves, none is drawn yet",
    "compared": "a count of objects",
    "line": "a line's number, in the findings",
    "place_mm": "a place on the board is told elsewhere",
    "margin_mm": "follows from value and limit",
    "counts": "told by the verdict",
    "length_mm": "of bodies: drawn at true size",
    "width_mm": "of bodies: drawn at true size",
    "exit_status": "for machines",
}


@pytest.mark.parametrize("name", every(NAMES, lambda at: at == 0))
def test_a_changed_fact_changes_the_page(name: str) -> None:
    """One of a hundred more in any number: the page says otherwise, or a reason stands above."""
    facts = facts_of(SHED, name)
    pictures = pictures_of(SHED, name)
    before, silent = page(name, facts, pictures), set()
    for path, value in leaves(facts):
        if isinstance(value, bool | str) or value is None or not value:
            continue
        changed = copy.deepcopy(facts)
        at: Any = changed
        for key in path[:-1]:
            at = at[key]
        if isinstance(at, tuple):
            continue
        at[path[-1]] = value + 1 if isinstance(value, int) else value * 1.05
        if page(name, changed, pictures) == before:
            silent.add(tuple(key for key in path if isinstance(key, str)))
    assert not [path for path in silent if not set(path) & set(UNSEEN)]


HOSTILE = '<script>alert(1)</script> & "x"'


@pytest.mark.parametrize("title", every([HOSTILE, "Flurlämpchen für Zoë"], lambda at: at == 0))
def test_names_are_shown_as_text_everywhere(title: str) -> None:
    """A title that would run, and one with umlauts."""
    text = merged(SHELF, {"board": {"author": "AUTHOR"}}).replace('"AUTHOR"', f"'{title}'")
    built = built_of(text)
    pages = [file for file in built.files if file.path.endswith(".html")]
    assert len(pages) == len(NAMES)
    for file in pages:
        assert b"<script" not in file.content
        assert title in words(file.content), file.path


@pytest.mark.parametrize("board", every(BOARDS, lambda at: at == 1))
def test_volts_of_a_branch_make_its_supply(board: str) -> None:
    """Kirchhoff's second law at the middle of each band: ballast and LEDs take the rail's volts."""
    design = design_of(BOARDS[board])
    bench, circuit = design.operation.bench, design.circuit
    for place, branch in enumerate(circuit.branches):
        rail = bench.at_v - circuit.feed.drop_v[1]
        taken = bench.ballasts_v[place].nominal + len(branch.leds) * bench.leds_v[place].nominal
        assert taken == pytest.approx(rail, rel=1e-9)
        amps = bench.ballasts_v[place].nominal / bench.resistors_ohm[place].nominal
        assert amps == pytest.approx(branch.kind.nominal.current_a, rel=1e-6)
        for band in (bench.ballasts_v[place], bench.leds_v[place]):
            assert band.low < band.nominal < band.high


@pytest.mark.parametrize("board", every(BOARDS, lambda at: at == 0))
def test_bands_hold_what_random_boards_show(board: str) -> None:
    """Forward voltages, tolerance, air and warming at random, the supply set: all stay within."""
    parameters = parameters_of(BOARDS[board])
    volts = parameters.parts.supply.nominal_v
    still = replace(parameters.parts.supply, low_v=volts, high_v=volts)
    design = draw_board(parameters.with_parts(supply=still))
    band, seen = design.operation.bench.board_a, design.operation.sampling.board_a
    assert band.low < seen.low < seen.high < band.high


WAYS = {"right": (1, 0), "left": (-1, 0), "up": (0, 1), "down": (0, -1)}
UNSEEN_BOARDS = {
    "cathodes right": merged(SHELF, {"connector": {"at": "left"}}),
    "cathodes left": merged(SHELF, {"connector": {"at": "right"}}),
    "marked at the anode": merged(SHELF, {"led": {"mine": ANODE}, "light": {"led": "mine"}}),
    "a ring": RING,
}


@pytest.mark.parametrize("name", every(UNSEEN_BOARDS, lambda at: at == 2))
def test_a_first_timer_lays_every_led_by_the_guide_alone(name: str) -> None:
    """What the guide says of marks, read as a person would, against the lands in the copper."""
    text = UNSEEN_BOARDS[name]
    built = built_of(text)
    assert built.proof
    (content,) = (file.content for file in built.files if file.path.endswith("guide.html"))
    said = " ".join(words(content).split())
    away = re.findall(r"goes to the other end, away from (?:them|it)", said)
    letter = ["A" if away else "K"]
    assert bool(away) is ("anode" in name)
    owners = {text.owner for text in built.design.board.texts if text.text == "K"}
    assert ("the letter K where the cathode goes" in said) is bool(owners)
    told: dict[str, str] = {}
    for names, way in re.findall(
        r"((?:D\d+(?: to D\d+)?(?:, )?)+): ((?:up|down|left|right)(?: (?:left|right))?)", said
    ):
        for first, last in re.findall(r"D(\d+)(?: to D(\d+))?", names):
            for number in range(int(first), int(last or first) + 1):
                told[f"D{number}"] = way
    everywhere = re.findall(r"Every mark points ((?:up|down|left|right)(?: (?:left|right))?)", said)
    leds = {pin.reference for pin in built.proof.pins if pin.reference.startswith("D")}
    for led in leds:
        ends = {pin.function: pin for pin in built.proof.pins if pin.reference == led}
        marked, other = ends[letter[0]], ends["K" if letter[0] == "A" else "A"]
        way = told.get(led) or everywhere[0]
        x, y = (sum(WAYS[word][axis] for word in way.split()) for axis in (0, 1))
        dx, dy = marked.x_mm - other.x_mm, marked.y_mm - other.y_mm
        cosine = (x * dx + y * dy) / math.hypot(x, y) / math.hypot(dx, dy)
        assert cosine > math.cos(math.radians(24)), (led, way)


def test_the_sheet_names_parts_of_every_branch_once() -> None:
    said = words(bench_sheet.bench_sheet(design_of(SHED), ()).content)
    for branch in design_of(SHED).circuit.branches:
        line = f"branch {branch.number}: {' '.join(branch.ballasts)}, then {' '.join(branch.leds)}"
        assert line in said


@pytest.mark.thorough
def test_a_board_made_at_home_has_steps_instead_of_a_form() -> None:
    etched = merged(SHELF, {"order": {"house": "home-etched"}, "light": {"count": 4}})
    for text, home in ((SHELF, False), (etched, True)):
        (content,) = (f.content for f in built_of(text).files if f.path == "order.html")
        said = words(content)
        assert ("film-positive.svg" in said) is home
        assert ("Upload bar-fabrication.zip" in said) is not home
        assert ("Etching baths burn" in said) is home


@pytest.mark.thorough
def test_a_board_with_errors_has_its_report_too() -> None:
    bad = build_board(
        parameters_of(
            merged(SHELF, {"light": {"current": "24 mA"}, "resistor": {"rating": "10 mW"}})
        )
    )
    assert not bad.sound
    (content,) = (file.content for file in bad.files if file.path == "report.html")
    said = words(content)
    assert "cannot be made yet" in said
    assert "power.ballast" in said
    assert "nothing to prove" in said


TOOLS: list[tuple[dict[str, dict[str, Any]], str]] = [
    ({"connector": {"kind": "terminal 3.5 mm"}}, "a screwdriver, wire and a stripper"),
    ({"connector": {"kind": "wire pads"}}, " wire and a stripper"),
    ({"connector": {"kind": "coin cell holder 20 mm"}, "supply": {"from": "lithium coin 20 mm"},
      "light": {"use": "indicator", "led": "red 0805"}}, ""),
]  # fmt: skip


@pytest.mark.parametrize("case", every(TOOLS, lambda at: at == 2), ids=str)
def test_only_tools_that_the_connector_asks_for_are_listed(
    case: tuple[dict[str, dict[str, Any]], str],
) -> None:
    changes, tool = case
    files = built_of(merged(SHELF, changes)).files
    said = words(next(file.content for file in files if file.path.endswith("guide.html")))
    assert ("screwdriver" in said) is ("screwdriver" in tool)
    assert ("stripper" in said) is bool(tool)
    assert tool in said


def test_every_word_is_said_somewhere() -> None:
    """By its key, or by the beginning of keys that a template puts together."""
    sources = [path for path in (ROOT / "boardgen").rglob("*")
               if path.suffix in (".py", ".html") and path.name != "words.py"]  # fmt: skip
    text = "".join(path.read_text("utf-8") for path in sources)
    parts = set(re.findall(r"[\"']([a-z_]+\.[a-z_-]*)[\"'{]", text))
    begun = tuple(part for part in parts if part.endswith(("_", ".")))
    unsaid = [key for key in WORDS if key not in parts and not key.startswith(begun)]
    assert not unsaid


@pytest.mark.thorough
def test_no_current_limit_is_below_what_a_sound_board_draws() -> None:
    for text in BOARDS.values():
        design = design_of(text)
        most = design.operation.bench.board_a.high
        for name in ("guide.html", "test-sheet.html"):
            said = words(page(name, facts_of(text, name), pictures_of(text, name)))
            (value, unit) = re.findall(r"current limit (?:at|to) ([\d.]+) (m?)A", said)[0]
            limit = float(value) * (1e-3 if unit else 1.0)
            assert most < limit <= 1.5 * most


def test_what_is_told_of_a_board_is_there_on_it() -> None:
    """A fuse alone has no wrong way round, wires are no part to count, letters are not printed."""
    fused = merged(SHELF, {
        "protection": {"fuse": "500 mA resettable"}, "connector": {"kind": "wire pads"},
    })  # fmt: skip
    sheet = words(page("test-sheet.html", facts_of(fused, "test-sheet.html"), {}))
    assert "none behind it is a dry joint" in sheet
    assert "the wrong way round shows the same" not in sheet
    both = merged(fused, {"protection": {"reverse": "schottky"}})
    shown = words(page("test-sheet.html", facts_of(both, "test-sheet.html"), {}))
    assert re.search(r"D\d+ the wrong way round shows the same", shown)

    def guide_of(text: str) -> str:
        facts = facts_of(text, "guide.html")
        return words(page("guide.html", facts, pictures_of(text, "guide.html")))

    assert "connector wire pads" not in guide_of(fused)
    assert "from the bottom through the wide holes" in guide_of(fused)
    assert "outline, holes, names of parts." in guide_of(fused)
    etched = merged(SHELF, {"order": {"house": "home-etched"}, "connector": {"kind": "wire pads"}})
    assert "from the top through the wide holes" in guide_of(etched)
    assert "outline, holes, lands." in guide_of(etched)


def test_a_board_with_a_cell_holder_is_read_with_any_sound_cell_and_never_charges_one() -> None:
    """Ohm's law; that primary cells burst when charged: common practice, no source."""
    text = (ROOT / "examples/coin-badge/coin-badge.toml").read_text("utf-8")
    first = facts_of(text, "guide.html")["first"]
    (kind,) = design_of(text).circuit.kinds
    ohms = kind.ballast.value_ohm * kind.ballast.count
    for corner in (kind.low, kind.nominal, kind.high):
        assert first["low_v"] < corner.current_a * ohms < first["high_v"]
    for board, told in ((text, True), (SHELF, False)):
        (sheet,) = (
            file for file in built_of(board).files if file.path == "assembly/test-sheet.html"
        )
        assert ("Take the cell out of its holder first" in words(sheet.content)) is told
