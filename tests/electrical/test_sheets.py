"""Conducting sheets solved on cells, held against closed forms and a direct solver."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.sparse import coo_matrix
from scipy.sparse.linalg import spsolve

import boardgen
from boardgen.electrical.contacts import Contact
from boardgen.electrical.network import Array
from boardgen.electrical.pours import Drain, Ground, Pours
from boardgen.electrical.sheet import Sheets
from boardgen.geometry.faces import openings
from boardgen.geometry.regions import union
from boardgen.model.shapes import Box, Disc
from boardgen.units import Nm
from tests.conftest import SHELF, design_of, merged


def plain(columns: int, rows: int, sheets: int = 1) -> Sheets:
    """Fill every face of a grid; the first column is held, as by a bar along it."""
    held = np.zeros((sheets, columns, rows))
    held[:, 0] = 1e6
    return Sheets(
        upright=np.ones((sheets, columns - 1, rows)),
        level=np.ones((sheets, columns, rows - 1)),
        joined=np.zeros((columns, rows)),
        held=held,
    )


def along_the_end(sheets: Sheets, amps: float = 1.0) -> Array:
    """Draw a current evenly along the last column of the first sheet."""
    drawn = np.zeros_like(sheets.held)
    drawn[0, -1] = amps / drawn.shape[2]
    return drawn


@pytest.mark.parametrize(("columns", "rows"), [(41, 8), (37, 5), (9, 30)])
def test_a_strip_loses_as_many_squares_as_it_is_widths_long(columns: int, rows: int) -> None:
    """Length over width; from the first column's middle to the last one's."""
    sheets = plain(columns, rows)
    lost = sheets.lost(along_the_end(sheets))[0, -1]
    assert lost == pytest.approx((columns - 1) / rows, rel=2e-3)


def test_two_sheets_joined_everywhere_lose_half() -> None:
    sheets = plain(40, 8, sheets=2)
    joined = Sheets(
        upright=sheets.upright, level=sheets.level, joined=np.full((40, 8), 50.0), held=sheets.held
    )
    alone = sheets.lost(along_the_end(sheets))[0, -1].mean()
    both = joined.lost(along_the_end(joined))[0, -1].mean()
    # The second sheet takes its half over the first few cells.
    assert both == pytest.approx(alone / 2, rel=0.03)


@given(st.integers(3, 20), st.integers(3, 20), st.integers(1, 2), st.integers(0, 2**31))
@settings(max_examples=30)
def test_any_sheets_lose_what_a_direct_solver_finds(
    columns: int, rows: int, sheets: int, number: int
) -> None:
    """The same nodal equations solved directly, by the library scipy; openings drawn at random."""
    random = np.random.default_rng(number)
    some = plain(columns, rows, sheets)
    made = Sheets(
        upright=random.uniform(0.05, 1.0, some.upright.shape),
        level=random.uniform(0.05, 1.0, some.level.shape),
        joined=random.uniform(0.0, 1.0, some.joined.shape) * (sheets > 1),
        held=some.held,
    )
    drawn = random.uniform(0.0, 1.0, made.held.shape)
    wanted = spsolve(matrix_of(made), drawn.ravel())
    found = made.lost(drawn).ravel()
    assert np.abs(found - wanted).max() <= 5e-3 * wanted.max()


def matrix_of(sheets: Sheets) -> object:
    """Write the nodal equations down, face by face."""
    cells = np.arange(sheets.held.size).reshape(sheets.held.shape)
    pairs = [
        (cells[:, :-1], cells[:, 1:], sheets.upright),
        (cells[:, :, :-1], cells[:, :, 1:], sheets.level),
    ]
    if len(cells) > 1:
        pairs.append((cells[0], cells[1], sheets.joined))
    one, other, conducts = (
        np.concatenate([np.ravel(pair[which]) for pair in pairs]) for which in range(3)
    )
    every, held = cells.ravel(), sheets.held.ravel()
    return coo_matrix(
        (
            np.concatenate([conducts, conducts, -conducts, -conducts, held]),
            (
                np.concatenate([one, other, one, other, every]),
                np.concatenate([one, other, other, one, every]),
            ),
        ),
        shape=(cells.size, cells.size),
    ).tocsc()


# -- faces ---------------------------------------------------------------------------------------


def test_a_face_counts_with_what_an_outline_leaves_of_it() -> None:
    """A box of 3 by 2 on cells of 1, its edges between lines; a hole takes its chord."""
    lines = np.arange(0.0, 7.0) * 1e6
    box = Box((Nm(3_000_000), Nm(2_250_000)), Nm(3_000_000), Nm(2_000_000))
    upright, level = openings(union([box]), lines, lines)
    # From x 1.5 to 4.5 and y 1.25 to 3.25.
    assert upright[:, 1].tolist() == [0.0, 0.75, 0.75, 0.75, 0.0]
    assert upright[:, 3].tolist() == pytest.approx([0.0, 0.25, 0.25, 0.25, 0.0])
    assert level[:, 1].tolist() == [0.0, 0.5, 1.0, 1.0, 0.5, 0.0]
    holed = union([box]) - union([Disc((Nm(3_000_000), Nm(2_500_000)), Nm(250_000))])
    upright, _ = openings(holed, lines, lines)
    assert upright[2, 2] == pytest.approx(0.5, abs=1e-3)


def test_the_faces_of_a_disc_add_up_to_its_area() -> None:
    """Chords summed over lines are the area of a circle, pi r^2 (the midpoint rule)."""
    lines = (np.arange(-120.0, 121.0) + 0.37) * 50_000
    disc = Disc((Nm(0), Nm(0)), Nm(5_000_000))
    for faces in openings(union([disc]), lines, lines):
        assert faces.sum() * 50_000**2 == pytest.approx(math.pi * 5e6**2, rel=1e-3)


def test_nothing_opens_no_face() -> None:
    lines = np.arange(0.0, 5.0) * 1e6
    upright, level = openings(union([]), lines, lines)
    assert (upright.shape, level.shape) == ((3, 4), (4, 3))
    assert not upright.any()
    assert not level.any()


# -- the return as a way -------------------------------------------------------------------------


def ways(columns: int = 41, rows: int = 8) -> Pours:
    """Four branches along a strip, held at its first column, the furthest at its last."""
    places = [10, 20, 30, columns - 1]
    spread = [Contact(shares={(0, at, row): 1.0 / rows for row in range(rows)}) for at in places]
    return Pours(ground=Ground(plain(columns, rows), spread, spread[-1]), sheet_ohm=1e-3)


AMPS = np.array([0.1, 0.1, 0.1, 0.1])


def test_a_return_adds_up_what_each_length_carries() -> None:
    """Taps 10, 20, 30, 40 cells along: sums of currents by lengths (Kirchhoff), worked by hand."""
    found = ways().lost_v(AMPS)
    square = 1e-3 * 10 / 8 * 0.1
    assert found == pytest.approx([4 * square, 7 * square, 9 * square, 10 * square], rel=5e-3)


def test_a_return_that_leaves_at_the_far_end_is_the_mirror_image() -> None:
    found = ways().leaving(Drain.FAR_END).lost_v(AMPS)
    square = 1e-3 * 10 / 8 * 0.1
    assert found == pytest.approx([6 * square, 5 * square, 3 * square, 0.0], rel=5e-3, abs=1e-9)


def test_a_return_that_leaves_at_both_ends_divides() -> None:
    """The far end is held too; each current divides by the lengths left to it (Kirchhoff)."""
    found = ways().leaving(Drain.BOTH).lost_v(AMPS)
    square = 1e-3 * 10 / 8 * 0.1
    # Of 0.1 A at 10, 20, 30 of 40 cells a share of 3/4, 2/4, 1/4 leaves at the near end.
    near = 1.5 * square
    assert found == pytest.approx([near, near + 0.5 * square, near, 0.0], rel=5e-3, abs=1e-9)


@pytest.mark.parametrize("drain", list(Drain))
@pytest.mark.parametrize("shunt_s", [0.0, 1.0, 1e3, 1e5])
def test_a_return_with_shunts_is_what_linear_algebra_finds(drain: Drain, shunt_s: float) -> None:
    """Whether a return loses next to nothing or more than all: found step by step it diverged.

    The columns of R are asked one by one, and (1 + R S) lost = R drawn solved by numpy.
    """
    way = ways().leaving(drain)
    columns = np.array([way.lost_v(unit) for unit in np.eye(4)]).T
    shunts = np.full(4, shunt_s)
    wanted = np.linalg.solve(np.eye(4) + columns * shunts, columns @ AMPS)
    found = ways().leaving(drain).drops(AMPS, shunts)
    assert found == pytest.approx(wanted, rel=0.03, abs=0.01 * wanted.max())


@pytest.mark.thorough
def test_a_return_that_loses_as_much_as_there_is_stays_within_it() -> None:
    """Once it came out below zero here: 300 LEDs with hardly any headroom on one thin side."""
    hot = {"colour": "white", "size": "2835", "max_current": "60 mA", "source": "own",
           "cathode": "notch",
           "vf": {"at": "20 mA", "min": "3.0 V", "typical": "3.0 V", "max": "3.05 V"}}  # fmt: skip
    supply = {"kind": "bench", "low": "3.3 V", "nominal": "3.3 V", "high": "3.3 V"}
    parameters = boardgen.board(
        "Hot",
        supply=supply,
        led={"hot": hot},
        light={"led": "hot", "count": 300, "current": "20 mA"},
        form={"kind": "bar", "pitch": "7 mm"},
        limits={"headroom": "0 V"},
        copper={"weight": "17 um", "sides": 1, "rise": "40 K"},
        mounting={"at": "none"},
        connector="terminal 5.0 mm",
        resistor={"size": "0805"},
    )
    rails = boardgen.design_board(parameters).operation.rails
    assert rails.return_drop_v > 0
    assert rails.drop_v > 0
    assert rails.drop_v + rails.return_drop_v < 0.6


def test_currents_shared_out_alike_are_not_solved_again(monkeypatch: pytest.MonkeyPatch) -> None:
    made = ways()
    first = made.lost_v(AMPS)
    monkeypatch.setattr(Sheets, "lost", None)
    assert made.lost_v(2 * AMPS) == pytest.approx(2 * first)


def test_a_piece_that_hangs_on_a_link_alone_is_reached_through_it() -> None:
    """A cut across the strip, bridged by one square: the link's and those beside it add up."""
    columns, rows = 21, 1
    strip = plain(columns, rows)
    cut = strip.upright.copy()
    cut[0, 10] = 0.0
    made = Sheets(
        upright=cut, level=strip.level, joined=strip.joined, held=strip.held,
        links=(((0, 9, 0), (0, 12, 0), 0.25),),
    )  # fmt: skip
    drawn = along_the_end(made)
    assert made.lost(drawn)[0, -1, 0] == pytest.approx(9 + 4 + 8, rel=2e-3)


@pytest.mark.parametrize("relief", ["all", "none"])
def test_lands_with_and_without_spokes_return_through_the_pour(relief: str) -> None:
    rails = design_of(merged(SHELF, {"copper": {"relief": relief}})).operation.rails
    assert 0 < rails.return_drop_v < rails.drop_v


def test_what_a_rule_finds_cut_off_does_not_stop_the_sums() -> None:
    """A contact on an island without a way back loses much, and the rest is as it was."""
    strip = plain(21, 4)
    held = strip.held + 1e-9
    cut = strip.upright.copy()
    cut[0, 14] = 0.0
    made = Sheets(upright=cut, level=strip.level, joined=strip.joined, held=held)
    lost = made.lost(along_the_end(made))
    assert lost[0, -1].min() > 1e5
    assert abs(lost[0, 10]).max() < 1.0
