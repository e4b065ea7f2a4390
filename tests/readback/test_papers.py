"""Lists, order sheet and pictures are held against copper and board by code of the proof's own.

What a person buys, orders and solders by is planted wrong, in the makers or in a written folder
whose record is renewed: the build stops, or `verify` names it.
"""

import dataclasses
import hashlib
import json
import re
import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

from boardgen.build import build_board
from boardgen.cli import main
from boardgen.errors import ProofError
from boardgen.export import lists
from boardgen.layout import drawing
from boardgen.model.board import Part
from boardgen.model.outputs import OutputFiles
from boardgen.outputs import OUTPUTS, Report
from boardgen.pages import dimensions, order, placement
from boardgen.pages.view import circle, letters
from boardgen.pages.words import WORDS
from tests.checks.planting import posed
from tests.conftest import ROOT, SHELF, design_of, every, merged, parameters_of

FUSED = merged(
    SHELF,
    {"protection": {"fuse": "500 mA resettable", "reverse": "schottky"},
     "connector": {"switch": "slide switch"}},
)  # fmt: skip
BELOW = merged(SHELF, {"connector": {"side": "bottom"}})
FOUR_POLES = """\
[board]
title = "Form"
date = "2026-11-29"
[supply]
from = "alkaline AAA"
cells = 4
[light]
led = "red 3528"
count = 32
current = "4 mA"
[resistor]
per_branch = 3
[form]
kind = "polygon"
pitch = "23.6 mm"
sides = 6
fillet = "35.7 mm"
[connector]
kind = "pin header 2.54 mm"
poles = 4
at = "left"
[copper]
relief = "none"
"""
"""A random file: the sign of pin 1 stands further from it than that of pin 2 does."""


@pytest.mark.parametrize(
    "text",
    every([SHELF, FUSED, BELOW, FOUR_POLES], lambda at: at == 0),
    ids=["shelf", "fused", "below", "four poles"],
)
def test_sound_papers_hold(text: str) -> None:
    proof = build_board(parameters_of(text)).proof
    assert proof
    titles = {item.title for item in proof.items}
    assert titles >= {
        "placement list and copper", "parts list and placement list", "lists and board",
        "order sheet and files", "assembly/placement-top.svg",
    }  # fmt: skip


def poles_at_the_other_end(patch: pytest.MonkeyPatch) -> None:
    """Two signs changed in the picture: every LED shown backwards."""
    old = placement._pole_places  # noqa: SLF001 - the fault is planted in the maker

    def turned(part: Part, function: str, *rest: Any) -> Any:
        other = {"K": "A", "A": "K"}.get(function, function)
        lands = tuple(
            dataclasses.replace(land, function={"K": "A", "A": "K"}.get(land.function, ""))
            for land in part.pattern.lands
        )
        pattern = dataclasses.replace(part.pattern, lands=lands)
        swapped = dataclasses.replace(part, pattern=pattern) if other != function else part
        return old(swapped, function, *rest)

    patch.setattr(placement, "_pole_places", turned)


def spots_at_the_other_end(patch: pytest.MonkeyPatch) -> None:
    old = placement._spot  # noqa: SLF001
    patch.setattr(
        placement, "_spot",
        lambda part, view: old(posed(part, turn_deg=0.0), view),
    )  # fmt: skip


def another_letter(patch: pytest.MonkeyPatch) -> None:
    old = letters
    patch.setattr(
        placement, "letters",
        lambda text, *rest: old("A" if text == "K" else text, *rest),
    )  # fmt: skip


def ten_times_as_many(patch: pytest.MonkeyPatch) -> None:
    old = order._how_many  # noqa: SLF001
    patch.setattr(order, "_how_many", lambda quantity: old(10 * quantity))


def marks_point_away(patch: pytest.MonkeyPatch) -> None:
    old = lists.mark_points
    patch.setattr(lists, "mark_points", lambda part: {"right": "left"}.get(old(part), old(part)))


def another_value(patch: pytest.MonkeyPatch) -> None:
    def changed(report: Report) -> OutputFiles:
        (file,) = _PLACEMENT(report.design)
        content = file.content.replace(b"150 ohm", b"15 ohm")
        return (dataclasses.replace(file, content=content),)

    rows = tuple(
        dataclasses.replace(row, write=changed) if row.name == "placement list" else row
        for row in OUTPUTS
    )
    patch.setattr("boardgen.outputs.OUTPUTS", rows)


_PLACEMENT = lists.placement


def one_via_missing(patch: pytest.MonkeyPatch) -> None:
    old = drawing.vias
    patch.setattr(drawing, "vias", lambda *stage: old(*stage)[1:])


def holes_drawn_beside(patch: pytest.MonkeyPatch) -> None:
    old = circle
    patch.setattr(dimensions, "circle", lambda at, radius: old((at[0] + 0.1, at[1]), radius))


def a_length_misread(patch: pytest.MonkeyPatch) -> None:
    patch.setitem(WORDS, "dimensions.size", "{width} x {length} mm over all, {thickness} mm thick.")


FAULTS = [
    (holes_drawn_beside, "draws a hole of"),
    (a_length_misread, "does not say how long and wide the board is"),
    (one_via_missing, "no via joins the pours beside D1"),
    (poles_at_the_other_end, "is not at pin"),
    (spots_at_the_other_end, "the mark of D1 is not at pin"),
    (another_letter, "what is drawn is no K"),
    (ten_times_as_many, "asks for 50 boards, not for 5"),
    (marks_point_away, "the land is not there"),
    (another_value, "R1 is 15 ohm in the list, 150 ohm in the circuit"),
]


@pytest.mark.parametrize(
    ("plant", "words"), FAULTS, ids=lambda value: getattr(value, "__name__", "")
)
def test_a_fault_of_a_maker_stops_the_build(
    plant: Callable[[pytest.MonkeyPatch], None], words: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    plant(monkeypatch)
    with pytest.raises(ProofError, match=words):
        build_board(parameters_of(SHELF))


@pytest.mark.thorough
def test_an_opening_told_elsewhere_stops_the_build(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(
        WORDS, "dimensions.round", "Opening: {across} mm across, its middle at 1, {y}."
    )
    ring = (ROOT / "examples/lens-ring/lens-ring.toml").read_text("utf-8")
    with pytest.raises(ProofError, match="does not tell the openings as they are cut"):
        build_board(parameters_of(ring))


def renewed(folder: Path) -> None:
    """Write the record anew, as somebody would who changes a package with care."""
    record = json.loads((folder / "build.json").read_text(encoding="utf-8"))
    record["files"] = {
        path.relative_to(folder).as_posix(): hashlib.sha256(path.read_bytes()).hexdigest()
        for path in sorted(folder.rglob("*"))
        if path.is_file() and path.name != "build.json"
    }
    (folder / "build.json").write_text(json.dumps(record), encoding="utf-8")


def exchange(name: str, old: str, new: str) -> Callable[[Path], None]:
    def change(folder: Path) -> None:
        path = folder / name
        text = path.read_bytes().decode()
        assert old in text
        path.write_bytes(text.replace(old, new, 1).encode())

    return change


def both(*changes: Callable[[Path], object]) -> Callable[[Path], None]:
    def change(folder: Path) -> None:
        for one in changes:
            one(folder)

    return change


PLACED, BOUGHT = "assembly/placement.csv", "assembly/bom.csv"
PICTURE = "assembly/placement-top.svg"
EMPTY = b'<svg xmlns="http://www.w3.org/2000/svg"></svg>'


def backwards(folder: Path) -> None:
    """Draw the picture by a maker with two signs changed."""
    text = (ROOT / "examples/usb-shelf/usb-shelf.toml").read_text(encoding="utf-8")
    with pytest.MonkeyPatch.context() as patch:
        poles_at_the_other_end(patch)
        (picture,) = placement.placements(design_of(text))
    (folder / PICTURE).write_bytes(picture.content)


def no_second_strip(folder: Path) -> None:
    """Take the second window off the sheet."""
    path = folder / PICTURE
    text = path.read_text(encoding="utf-8")
    windows = re.findall(r"<svg [^>]*><defs />.*?</svg>", text) or re.findall(
        r"<svg [^>]*x=.*?</svg>", text
    )
    path.write_text(text.replace(windows[1], ""), encoding="utf-8")


TAMPERED: dict[str, tuple[Callable[[Path], object], str, bool]] = {
    "15 ohm for 150 in one list": (
        exchange(BOUGHT, "resistor,150 ohm", "resistor,15 ohm"), "R1 is resistor 15 ohm", True),
    "15 ohm for 150 in both lists": (
        both(exchange(BOUGHT, "150 ohm", "15 ohm"),
             lambda folder: (folder / PLACED).write_bytes(
                 (folder / PLACED).read_bytes().replace(b"150 ohm", b"15 ohm"))),
        "means 150 ohm, not 15", True),
    "7 LEDs for 8": (
        exchange(BOUGHT, "8,D1 D2 D3 D4 D5 D6 D7 D8", "7,D1 D2 D3 D4 D5 D6 D7"),
        "D8 is placed, but not bought", True),
    "7 LEDs counted for 8": (exchange(BOUGHT, "8,D1", "7,D1"), "7 x white 2835", True),
    "an LED turned": (exchange(PLACED, "7.000,180,", "7.000,0,"), "is turned by 0", True),
    "an LED moved": (exchange(PLACED, "44.000,7.000", "34.000,7.000"), "stands at", True),
    "an LED's mark at the other end": (exchange(PLACED, 'cathode",right', 'cathode",left'),
                                       "the land is not there", True),
    "an LED half a millimetre off": (
        exchange(PLACED, "44.000,7.000", "44.500,7.000"), "D2 stands 0.500 mm otherwise", True),
    "another mark in the list to buy by": (
        exchange(BOUGHT, "notched corner: cathode", "green dot: cathode"),
        "is marked green dot: cathode in one list", True),
    "the mark of the other pole in the list to buy by": (
        exchange(BOUGHT, "corner: cathode", "corner: anode, not cathode"), "D1 is marked", True),
    "sizes that do not belong together": (
        exchange(BOUGHT, "1206,3216", "0805,3216"), "0805 is 2012 in metric", True),
    "the size of other lands": (
        exchange(BOUGHT, "1206,3216", "0805,2012"), "its lands are RESC3216X65M", True),
    "a zip of another name": (
        lambda folder: (folder / "usb-shelf-fabrication.zip").rename(
            folder / "shed-lamp-fabrication.zip"), "belongs to no board", True),
    "another thickness": (exchange("order.md", "1.6 mm", "0.8 mm"), "the files say 1.6 mm", True),
    "more boards": (exchange("order.md", "Order 5.", "Order 50."), "asks for 50 boards", False),
    "a script in a picture": (
        exchange("preview-top.svg", "<defs", "<script>alert(1)</script><defs"),
        "holds a script", True),
    "a click in a picture": (
        exchange("preview-top.svg", "<svg ", '<svg onclick="alert(1)" '), "holds onclick", True),
    "a stylesheet in a picture": (
        lambda folder: (folder / "preview-top.svg").write_bytes(
            b'<?xml-stylesheet href="https://x.invalid/a.css"?>'
            + (folder / "preview-top.svg").read_bytes()),
        "of another kind, than boardgen draws", True),
    "a fill that loads": (
        exchange("preview-top.svg", 'fill="', 'fill="url(https://x.invalid/a.svg)" x="'),
        "holds fill of a", True),
    "words in a picture": (
        exchange("assembly/placement-top.svg", "</svg>", "<text>turn D3 round</text></svg>"),
        "words as boardgen never writes them", True),
    "a resistor that bears less": (
        exchange(BOUGHT, "1 %,0.125", "1 %,0.0625"), "resistors bear 0.0625 W", False),
    "a larger resistor": (exchange(BOUGHT, "1206,3216", "1206,2012"), "size_metric is", True),
    "a part not fitted": (
        exchange(BOUGHT, 'edge",yes', 'edge",no'), "is not fitted in the list", True),
    "a part not placed": (
        exchange(PLACED, "180,yes", "180,no"), "D1 is not fitted in the list", True),
    "the order sheet of another board": (
        exchange("order.md", "usb-shelf-fabrication.zip", "shed-lamp-fabrication.zip"),
        "the order sheet names shed-lamp", True),
    "every LED backwards in the picture": (backwards, "of D1 is not at pin", True),
    "K and A exchanged in the picture": (
        exchange(PICTURE, 'id="cathodes"', 'id="anodes"'), "its layers are not those", True),
    "an empty picture": (
        lambda folder: (folder / PICTURE).write_bytes(EMPTY), "is empty", True),
    "an empty preview": (
        lambda folder: (folder / "preview-top.svg").write_bytes(EMPTY), "is empty", True),
    "a white sheet over the picture": (
        exchange(PICTURE, "</svg>", '<path d="M0 0L90 0L90 90Z" fill="white" /></svg>'),
        "its layers are not those", True),
    "marks said to be at the anode": (
        exchange(PICTURE, "at its cathode", "at its anode"),
        "its words say that marks are at the anode", True),
    "a picture of another size": (
        exchange(PICTURE, "drawn 2 times", "drawn 3 times"), "is not enlarged 3 times", True),
    "a sheet of another size": (
        exchange(PICTURE, 'width="184mm"', 'width="92mm"'), "in millimetres of paper", True),
    "a window that shows less": (
        exchange(PICTURE, 'viewBox="-3 -3 ', 'viewBox="-3 -3 1'), "is not enlarged", True),
    "a ruler of another length": (exchange(PICTURE, "h50M", "h49M"), "rulers are not 50", True),
    "a sheet without its second strip": (no_second_strip, "is on no sheet of its side", True),
    "no picture of the top": (
        lambda folder: (folder / PICTURE).unlink(), "is on no sheet of its side", True),
    "a picture without names": (
        lambda folder: (folder / PICTURE).write_text(
            re.sub(r'<path d="[^"]*"([^>]*id="words")', r'<path d="M1 1L2 2"\1',
                   (folder / PICTURE).read_text("utf-8")), "utf-8"),
        "names and values are not those", True),
    "a heading of another board": (
        exchange(PICTURE, ">Shelf bar 8", ">Shed lamp 8"), "words as boardgen never", True),
    "a sentence more in the key": (
        exchange(PICTURE, "Beside each R", "Turn D3 round. Beside each R"),
        "words as boardgen never", True),
    "the mark at the other end": (
        exchange(BOUGHT, "notched corner: cathode", "notched corner: anode, not cathode"),
        "marking is", True),
    "another remark": (
        exchange(BOUGHT, "thick film", "wirewound"), "bom.csv: line 3 is", False),
    "a sentence of the order sheet": (
        exchange("order.md", "is needed;", "is needed but gold fingers;"), "order.md: line 3",
        False),
    "an answer without its file": (
        exchange("order.md", "## How many", "| finish | gold | any |\n\n## How many"),
        "order.md: ", False),
    "findings taken away": (
        lambda folder: (folder / "findings.json").write_text("{}", encoding="utf-8"),
        "findings.json: counts is null", False),
    "a record's key renamed": (
        lambda folder: (folder / "build.json").write_text(
            (folder / "build.json").read_text(encoding="utf-8").replace('"claim"', '"promise"'),
            encoding="utf-8"), "build.json: claim is null", False),
    "the connector elsewhere": (
        exchange(PLACED, "3.600,7.000,270", "100.000,7.000,270"), "J1 stands at", True),
    "the connector turned": (
        exchange(PLACED, "3.600,7.000,270", "3.600,7.000,90"), "J1 is turned by 90", True),
    "a listed program": (
        lambda folder: (folder / "setup.exe").write_bytes(b"MZ"),
        "setup.exe belongs to no board", True),
}  # fmt: skip


@pytest.fixture(scope="module")
def built(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("papers")
    file = ROOT / "examples/usb-shelf/usb-shelf.toml"
    done = CliRunner().invoke(main, ["build", str(file), "-o", str(folder)])
    assert done.exit_code == 0, done.output
    return folder / "usb-shelf"


@pytest.mark.parametrize("name", every(TAMPERED, lambda at: at % 20 == 0))
def test_a_changed_paper_is_named_although_the_record_is_renewed(
    name: str, built: Path, tmp_path: Path
) -> None:
    change, words, alone = TAMPERED[name]
    folder = tmp_path / "usb-shelf"
    shutil.copytree(built, folder)
    change(folder)
    renewed(folder)
    file = ROOT / "examples/usb-shelf/usb-shelf.toml"
    against = CliRunner().invoke(main, ["verify", str(folder), "--against", str(file)])
    assert against.exit_code == 1, against.output
    assert words in against.output
    by_itself = CliRunner().invoke(main, ["verify", str(folder)])
    assert (by_itself.exit_code == 1) is alone, by_itself.output


@pytest.mark.thorough
def test_papers_of_other_versions_are_judged_by_meaning_only(built: Path, tmp_path: Path) -> None:
    folder = tmp_path / "usb-shelf"
    shutil.copytree(built, folder)
    exchange(BOUGHT, "thick film", "of glass")(folder)
    renewed(folder)
    exchange("build.json", '"boardgen": "', '"boardgen": "1')(folder)
    file = ROOT / "examples/usb-shelf/usb-shelf.toml"
    done = CliRunner().invoke(main, ["verify", str(folder), "--against", str(file)])
    assert done.exit_code == 0, done.output
    assert "papers of other versions: words not compared" in done.output
    assert "are compared by meaning only" in done.output


@pytest.mark.parametrize(
    ("name", "old", "new"),
    [
        (BOUGHT, "5 A at least", "1 A at least"),
        *(
            pytest.param(*one, marks=pytest.mark.thorough)
            for one in (
                (BOUGHT, "3 V at 20 mA", "2 V at 20 mA"),
                (PLACED, "180,yes", "180,no"),
                ("order.md", "usb-shelf-fab", "shed-lamp-fab"),
            )
        ),
    ],
)
def test_what_papers_of_other_versions_mean_is_held(
    name: str, old: str, new: str, built: Path, tmp_path: Path
) -> None:
    folder = tmp_path / "usb-shelf"
    shutil.copytree(built, folder)
    exchange(name, old, new)(folder)
    renewed(folder)
    exchange("build.json", '"boardgen": "', '"boardgen": "1')(folder)
    file = ROOT / "examples/usb-shelf/usb-shelf.toml"
    done = CliRunner().invoke(main, ["verify", str(folder), "--against", str(file)])
    assert done.exit_code == 1, done.output


def _recorded(folder: Path, change: Callable[[dict[str, Any]], object]) -> None:
    path = folder / "build.json"
    record = json.loads(path.read_text(encoding="utf-8"))
    change(record)
    path.write_text(json.dumps(record), encoding="utf-8")


@pytest.mark.parametrize(
    "spoil",
    every(
        [lambda record: record.update(program=None), lambda record: record.pop("program"),
         lambda record: record.update(program={"boardgen": "0.7.0"})],
        lambda at: at == 0,
    ),
    ids=["null", "nothing", "no libraries"],
)  # fmt: skip
def test_a_record_that_says_no_versions_is_a_fault(
    built: Path, tmp_path: Path, spoil: Callable[[dict[str, Any]], object]
) -> None:
    folder = tmp_path / "usb-shelf"
    shutil.copytree(built, folder)
    _recorded(folder, spoil)
    file = ROOT / "examples/usb-shelf/usb-shelf.toml"
    done = CliRunner().invoke(main, ["verify", str(folder), "--against", str(file)])
    assert done.exit_code == 1, done.output
    assert "does not say which versions made it" in done.output


def test_papers_of_other_versions_are_all_there(built: Path, tmp_path: Path) -> None:
    folder = tmp_path / "usb-shelf"
    shutil.copytree(built, folder)
    (folder / "order.md").unlink()
    renewed(folder)
    exchange("build.json", '"boardgen": "', '"boardgen": "1')(folder)
    file = ROOT / "examples/usb-shelf/usb-shelf.toml"
    done = CliRunner().invoke(main, ["verify", str(folder), "--against", str(file)])
    assert done.exit_code == 1, done.output
    assert "order.md is missing" in done.output


@pytest.mark.thorough
def test_what_was_measured_later_makes_no_other_package(built: Path, tmp_path: Path) -> None:
    file = tmp_path / "usb-shelf.toml"
    text = (ROOT / "examples/usb-shelf/usb-shelf.toml").read_text(encoding="utf-8")
    told = '\n[built]\ndate = "2026-02-03"\nsupply = "12 V"\ncurrent = "105 mA"\n'
    file.write_text(text + told, encoding="utf-8")
    for arguments in (["--against", str(file), str(built)], ["--reproduce", str(file), str(built)]):
        done = CliRunner().invoke(main, ["verify", *arguments])
        assert done.exit_code == 0, done.output


def test_what_desktops_leave_in_folders_is_no_part_of_a_package(
    built: Path, tmp_path: Path
) -> None:
    folder = tmp_path / "usb-shelf"
    shutil.copytree(built, folder)
    (folder / ".DS_Store").write_bytes(b"x")
    (folder / "assembly" / "._bom.csv").write_bytes(b"x")
    done = CliRunner().invoke(main, ["verify", str(folder)])
    assert done.exit_code == 0, done.output


@pytest.mark.thorough
def test_a_package_of_a_version_with_fewer_libraries_is_compared_by_meaning(
    built: Path, tmp_path: Path
) -> None:
    """Records up to 0.12 named no libraries for diagrams and pages."""
    folder = tmp_path / "usb-shelf"
    shutil.copytree(built, folder)

    def older(record: dict[str, Any]) -> None:
        record["program"]["boardgen"] = "0.12.0"
        for name in ("jinja2", "schemdraw"):
            del record["program"][name]

    _recorded(folder, older)
    file = ROOT / "examples/usb-shelf/usb-shelf.toml"
    done = CliRunner().invoke(main, ["verify", str(folder), "--against", str(file)])
    assert done.exit_code == 0, done.output
    assert "compared by meaning only" in done.output
