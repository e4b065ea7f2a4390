"""What has a meaning is judged on the files as they were read: faults of the makers do not pass.

Packages here are whole and agree with themselves: only what they show is wrong.
"""

from dataclasses import replace
from typing import Any

import pytest

from boardgen.artwork import legend
from boardgen.artwork.draw import draw
from boardgen.build import build_board
from boardgen.checks.table import check
from boardgen.errors import ProofError
from boardgen.layout import texts, words
from boardgen.model.artwork import Item, Purpose
from boardgen.model.board import Board, TextRole
from boardgen.model.design import Design
from boardgen.model.findings import Severity
from boardgen.model.shapes import Stroke
from boardgen.outputs import export
from boardgen.readback.prove import prove
from boardgen.units import snap
from tests.conftest import SHELF, design_of, parameters_of


def files_of(design: Design) -> dict[str, bytes]:
    made = export(design, fabrication=True)
    return {file.path.rpartition("/")[2]: file.content for file in made}


def drawn_with(limits: dict[str, Any], aims: dict[str, Any]) -> Design:
    """Draw the shelf bar by other limits than its layout had."""
    design = design_of(SHELF)
    other = replace(design.limits, aims=replace(design.limits.aims, **aims), **limits)
    parameters = design.parameters.with_parts(limits=other)
    return replace(design, parameters=parameters, artwork=draw(parameters, design.board))


def with_thin_tracks(board: Board) -> Board:
    thin = tuple(replace(t, width_mm=0.002) if t.net != "V+" else t for t in board.tracks)
    return replace(board, tracks=thin)


UNMAKEABLE = {
    "openings nearly closed": ({"mask_expansion_mm": -0.5}, {}, "of the land"),
    "openings closed by five micrometres": ({"mask_expansion_mm": -0.01}, {}, "of the land"),
    "a pour a micrometre from other copper": ({}, {"pour_gap_mm": 0.001}, "nearer than 0.05 mm"),
    "a pour a micrometre from the edge": ({}, {}, "within 0.05 mm of the edge"),
    "half the paste": ({}, {"paste_share": 0.4}, "of the land"),
}  # fmt: skip


@pytest.mark.parametrize("name", UNMAKEABLE)
def test_the_zip_alone_passes_no_board_that_nobody_can_use(name: str) -> None:
    limits, aims, words_said = UNMAKEABLE[name]
    design = drawn_with(limits, aims)
    if "edge" in name:
        pours = tuple(replace(pour, edge_mm=0.001) for pour in design.board.pours)
        board = replace(design.board, pours=pours)
        design = replace(design, board=board, artwork=draw(design.parameters, board))
    found = [str(each) for each in prove(files_of(design)).differences]
    assert any(words_said in text for text in found), found[:5]


def test_print_that_no_house_shows_is_found_from_the_zip_alone() -> None:
    """Cathode bars and signs of 0.02 mm passed once: a board without polarity."""
    design = design_of(SHELF)
    marks = tuple(replace(mark, stroke_mm=0.02) for mark in design.board.marks)
    board = replace(design.board, marks=marks)
    faint = replace(design, board=board, artwork=draw(design.parameters, board))
    assert [text for text in said(faint) if "finer than 0.08 mm" in text]
    assert not [text for text in said(design) if "0.08 mm" in text]


def said(design: Design) -> list[str]:
    return [found.text for found in prove(files_of(design)).differences]


def test_a_track_of_two_micrometres_is_none() -> None:
    design = design_of(SHELF)
    board = with_thin_tracks(design.board)
    design = replace(design, board=board, artwork=draw(design.parameters, board))
    found = [str(each) for each in prove(files_of(design)).differences]
    assert any("finer than 0.05 mm" in text for text in found), found[:5]


def test_letters_of_the_back_that_are_not_mirrored_stop_the_build(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    old = legend._chains  # noqa: SLF001 - the fault is planted in the maker

    def plain(text: Any, lettering: Any) -> Any:
        for chain in old(text, lettering):
            flip = -1 if text.side.value == "bottom" else 1
            yield tuple((text.x_mm + flip * (x - text.x_mm), y) for x, y in chain)

    monkeypatch.setattr(legend, "_chains", plain)
    with pytest.raises(ProofError, match="does not stand where and as it should"):
        build_board(parameters_of(SHELF))


def errors_of(text: str) -> set[str]:
    return {f.code for f in check(design_of(text)) if f.severity is Severity.ERROR}


def test_k_printed_at_the_anode_is_an_error() -> None:
    design = design_of(SHELF)
    assert not [f for f in check(design) if f.code == "polarity.mark"]

    def other_end(board: Board) -> Board:
        moved = []
        for text in board.texts:
            if text.role is TextRole.POLARITY:
                led = board.part(text.owner)
                text = replace(text, x_mm=2 * led.x_mm - text.x_mm)  # noqa: PLW2901
            moved.append(text)
        return replace(board, texts=tuple(moved))

    wrong = replace(design, board=other_end(design.board))
    found = [f for f in check(wrong) if f.code == "polarity.mark"]
    assert len(found) == design.parameters.light.count
    assert all(f.severity is Severity.ERROR for f in found)


def test_a_wrong_supply_printed_is_an_error(monkeypatch: pytest.MonkeyPatch) -> None:
    old = words.supply_words
    monkeypatch.setattr(
        texts, "supply_words", lambda *given: old(*given).replace("4.75", "9").replace("5.5", "12")
    )
    from boardgen.designing import draw_board  # noqa: PLC0415 - not the cached one

    found = check(draw_board(parameters_of(SHELF)))
    assert "legend.identity" in {f.code for f in found if f.severity is Severity.ERROR}


@pytest.mark.parametrize(("pole", "said"), [("+", "+"), ("-", "-")])
def test_a_sign_that_reads_as_the_other_is_found_from_the_zip_alone(
    monkeypatch: pytest.MonkeyPatch, pole: str, said: str
) -> None:
    """Both poles print one sign, each named as its own pole's in the file."""
    design = design_of(SHELF)
    other = {"+": "−", "-": "+"}[pole]
    old = legend._chains  # noqa: SLF001 - the fault is planted in the maker

    def alike(text: Any, lettering: Any) -> Any:
        own = {"+": "+", "-": "−"}[pole]
        wrong = text.role is TextRole.SIGN and text.text == own
        return old(replace(text, text=other) if wrong else text, lettering)

    monkeypatch.setattr(legend, "_chains", alike)
    wrong = replace(design, artwork=draw(design.parameters, design.board))
    found = [str(each) for each in prove(files_of(wrong)).differences]
    assert any(f"the connector's {said} does not read as one" in text for text in found), found[:5]


def test_copper_that_hangs_together_by_a_hair_is_found() -> None:
    """Two clear strokes leave ten micrometres of the pour between them, across the whole board."""
    design = design_of(SHELF)
    outline, cut_mm = design.board.outline, 0.3
    x, middle = snap(outline.length_mm / 2), outline.width_mm / 2

    def stroke(low_mm: float, high_mm: float) -> Item:
        points = ((x, snap(low_mm)), (x, snap(high_mm)))
        return Item(shape=Stroke(points, snap(cut_mm / 2)), purpose=Purpose.CLEARANCE, dark=False)

    half = cut_mm / 2 + 0.005
    cuts = (stroke(0.0, middle - half), stroke(middle + half, outline.width_mm))
    layers = tuple(
        replace(layer, items=(layer.items[0], *cuts, *layer.items[1:]))
        if layer.name == "copper-bottom"
        else layer
        for layer in design.artwork.layers
    )
    wrong = replace(design, artwork=replace(design.artwork, layers=layers))
    found = [str(each) for each in prove(files_of(wrong)).differences]
    assert any("hangs together by less than 0.05 mm" in text for text in found), found[:5]
