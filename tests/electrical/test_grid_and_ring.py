"""Rails of grids and rings against sums by hand: each piece's ohms times what flows beyond it.

Ohm's and Kirchhoff's laws, and the copper's resistance per square, whose table is read in
`tests/published/rails.toml`; along an arc a piece is as long as its middle line. Currents are those
that the board says; where pieces begin and end is read from its tracks, by arithmetic of our own.
"""

import math
from itertools import pairwise

import pytest

from boardgen.designing import draw_board
from boardgen.electrical.rails import rails
from boardgen.model.board import Track
from boardgen.model.circuit import SUPPLY_NET
from boardgen.model.design import Design
from boardgen.standards.copper import sheet_ohm
from tests.conftest import every, merged, parameters_of

GRID = """\
[board]
title = "Sums"
date = "2026-11-29"
[supply]
from = "adapter 5 V"
[light]
led       = "red 0805"
count     = 24
current   = "15 mA"
in_series = 1
[form]
kind      = "grid"
rows      = 3
pitch     = "16 mm"
row_pitch = "18 mm"
[copper]
rail = "1 mm"
"""
RING = merged(GRID, {"form": {"kind": "ring", "rows": None, "row_pitch": None}})
WITHIN = 0.03
"""What stubs, corners and the width of taps under a rail add to sums of middle lines."""


def drops(design: Design) -> list[float]:
    """Tell of each branch what its supply loses up to its ballast, stubs included."""
    copper = design.artwork.coppers()
    _, (flow,) = rails(design.parameters, design.circuit, design.board, copper)
    return [float(drop) for drop in flow.supply_drop_v]


def taps(design: Design) -> list[tuple[float, float]]:
    parts = [design.board.part(branch.ballasts[0]) for branch in design.circuit.branches]
    return [part.land_place(part.pattern.land("1")) for part in parts]


def square_ohm(design: Design) -> float:
    copper, ambient = design.parameters.copper, design.parameters.board.ambient_degc
    return sheet_ohm(copper.weight_um, ambient + copper.rise_k)


def supply(design: Design) -> list[Track]:
    return [track for track in design.board.tracks if track.net == SUPPLY_NET]


@pytest.mark.parametrize("at", every(["left", "right"], lambda place: place == 0))
def test_along_each_row_of_a_grid_the_drop_is_the_sum_by_hand(at: str) -> None:
    design = draw_board(parameters_of(merged(GRID, {"connector": {"at": at}})))
    amps, lost, places = design.operation.rails.currents_a, drops(design), taps(design)
    ohms = square_ohm(design) / 1.0  # per millimetre of a rail of 1 mm
    for row in range(3):
        own = range(8 * row, 8 * row + 8)
        level = [track for track in supply(design) if _level(track)
                 and abs(track.points[0][1] - places[own[0]][1]) < 9.0]  # fmt: skip
        (rail,) = [track for track in level if len(track.points) == 2]
        fed_x = rail.points[0][0]
        beyond = sorted(own, key=lambda tap: -abs(places[tap][0] - fed_x))
        flowing, wanted = 0.0, 0.0
        for far, near in pairwise(beyond):
            flowing += amps[far]
            wanted += flowing * ohms * abs(places[far][0] - places[near][0])
        told = lost[beyond[0]] - lost[beyond[-1]]
        assert told == pytest.approx(wanted, rel=WITHIN), row


def test_from_row_to_row_of_a_grid_the_trunk_loses_what_the_rows_beyond_draw() -> None:
    """Between two rows' nearest taps lies a row pitch of trunk with the further rows' current."""
    design = draw_board(parameters_of(GRID))
    amps, lost, places = design.operation.rails.currents_a, drops(design), taps(design)
    ohms = square_ohm(design)
    heights = {row: places[8 * row][1] for row in range(3)}
    firsts = {row: min(range(8 * row, 8 * row + 8), key=lambda tap: places[tap][0])
              for row in range(3)}  # fmt: skip
    order = sorted(firsts, key=lambda row: lost[firsts[row]])
    compared = 0
    for nearer, further in pairwise(order):
        away = heights[further] - heights[nearer]
        beyond = [row for row in firsts if (heights[row] - heights[nearer]) * away > 0]
        if abs(away) > 18.01:
            continue  # on the other side of the row that is fed first
        flowing = sum(amps[tap] for row in beyond for tap in range(8 * row, 8 * row + 8))
        told = lost[firsts[further]] - lost[firsts[nearer]]
        assert told == pytest.approx(flowing * ohms * 18.0, rel=0.05)
        compared += 1
    assert compared


def _level(track: Track) -> bool:
    return track.points[0][1] == track.points[-1][1]


@pytest.mark.parametrize("at", every(["left", "40 deg", "centre"], lambda place: place == 0))
def test_round_a_ring_both_ways_drop_as_the_sum_by_hand(at: str) -> None:
    """From where the feed meets the rail, each way by itself; pieces are arcs around the middle."""
    kind = {"kind": "pin header 2.54 mm"} if at == "centre" else {}
    design = draw_board(parameters_of(merged(RING, {"connector": {"at": at, **kind}})))
    amps, lost = design.operation.rails.currents_a, drops(design)
    rail = max(supply(design), key=lambda track: len(track.points))
    spine = design.board.spines[0]
    ways = [spine.place(spine.length_mm * n / 360) for n in range(360)]
    x, y = (math.fsum(part) / len(ways) for part in zip(*ways, strict=True))
    radius = math.dist((x, y), rail.points[len(rail.points) // 2])
    met = next(
        point
        for track in supply(design) if track is not rail and track.width_mm == rail.width_mm
        for point in (track.points[0], track.points[-1])
        if abs(math.dist(point, (x, y)) - radius) < 0.01
    )  # fmt: skip
    foot = math.atan2(met[1] - y, met[0] - x)
    turns = [math.atan2(ty - y, tx - x) - foot for tx, ty in taps(design)]
    start = math.atan2(rail.points[0][1] - y, rail.points[0][0] - x) - foot
    second = math.atan2(rail.points[1][1] - y, rail.points[1][0] - x) - foot
    way = math.copysign(1.0, math.remainder(second - start, math.tau))
    from_start = [(way * (turn - start)) % math.tau for turn in turns]
    from_start = [0.0 if turn > math.tau - 1e-3 else turn for turn in from_start]
    begins = (way * -start) % math.tau
    begins = 0.0 if begins > math.tau - 1e-3 else begins
    ohms = square_ohm(design) * radius / rail.width_mm  # per radian
    sides = (
        sorted((tap for tap in range(24) if from_start[tap] > begins), key=from_start.__getitem__),
        sorted((tap for tap in range(24) if from_start[tap] <= begins),
               key=from_start.__getitem__, reverse=True),
    )  # fmt: skip
    for side in sides:
        if len(side) < 2:
            continue
        flowing, wanted = 0.0, 0.0
        for far, near in zip(reversed(side), reversed(side[:-1]), strict=False):
            flowing += amps[far]
            wanted += flowing * ohms * abs(from_start[far] - from_start[near])
        assert lost[side[-1]] - lost[side[0]] == pytest.approx(wanted, rel=WITHIN, abs=2e-6)
    assert max(map(len, sides)) >= 12
