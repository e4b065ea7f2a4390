"""Sites left free for screws along a line of LEDs: by counting and elementary geometry."""

import math
import re
from itertools import pairwise
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from boardgen.designing import draw_board
from boardgen.electrical.light import _between
from boardgen.electrical.size import size
from boardgen.errors import RefusalError
from boardgen.forms.free_sites import sites_in_all, taken
from boardgen.geometry.between import in_a_row
from boardgen.model.board import PartKind
from boardgen.model.circuit import SUPPLY_NET
from boardgen.model.design import Design
from tests.conftest import every, merged, parameters_of
from tests.forms.test_lines import sound

RING = """\
[board]
title = "Free sites"
date = "2026-11-29"
[supply]
from = "adapter 12 V"
[light]
led       = "white 2835"
count     = 12
current   = "10 mA"
in_series = 3
[form]
kind  = "ring"
pitch = "16 mm"
[mounting]
at = "sites"
"""
FORMS: dict[str, dict[str, Any]] = {
    "ring": {}, "polygon": {"kind": "polygon", "sides": 5},
    "arc": {"kind": "arc", "from": "200 deg", "to": "-20 deg"},
    "path": {"kind": "path", "points": [["0 mm", "0 mm"], ["180 mm", "0 mm"],
                                        ["180 mm", "140 mm"]]},
    "closed path": {"kind": "path", "closed": True, "points": [
        ["0 mm", "0 mm"], ["120 mm", "0 mm"], ["120 mm", "80 mm"], ["0 mm", "80 mm"]]},
}  # fmt: skip


def of(name: str, **mounting: int) -> str:
    return merged(RING, {"form": FORMS[name], "mounting": mounting})


@given(st.integers(1, 60), st.integers(2, 12), st.booleans())
def test_each_so_many_th_site_is_free(count: int, every_th: int, closed: bool) -> None:
    """Counted by walking along: LEDs until all stand, and a screw at each so many-th site."""
    walk, leds = list[bool](), 0
    while leds < count:
        walk.append((len(walk) + 1) % every_th != 0)
        leds += walk[-1]
    if closed and (len(walk) + 1) % every_th == 0:
        walk.append(False)
    assert sites_in_all(count, every_th, closed=closed) == len(walk)
    assert taken(count, every_th) == [site for site, led in enumerate(walk) if led]


def _leds(design: Design) -> list[tuple[float, float]]:
    found = (part for part in design.board.parts if part.kind is PartKind.LED)
    return [(part.x_mm, part.y_mm) for part in found]


@pytest.mark.parametrize("name", every(FORMS, lambda place: list(FORMS)[place] == "ring"))
def test_screws_sit_where_leds_lack_and_strings_do_not_cross_them(name: str) -> None:
    """Between the LEDs that it parts, no nearer to one of them; a link over it would be a track."""
    design = draw_board(parameters_of(of(name)))
    leds, holes = _leds(design), design.board.holes
    closed = name in {"ring", "polygon", "closed path"}
    gaps = [(2, 3), (5, 6), (8, 9), *([(11, 0)] if closed else [])]
    assert len(holes) == len(gaps)
    for hole, (before, after) in zip(holes, gaps, strict=True):
        away = [math.dist(leds[led], (hole.x_mm, hole.y_mm)) for led in (before, after)]
        assert away[0] == pytest.approx(away[1], rel=0.15)
        assert min(away) == min(math.dist(led, (hole.x_mm, hole.y_mm)) for led in leds)
    assert {branch.leds for branch in design.circuit.branches} == {
        ("D1", "D2", "D3"), ("D4", "D5", "D6"), ("D7", "D8", "D9"), ("D10", "D11", "D12"),
    }  # fmt: skip


@pytest.mark.thorough
def test_on_a_straight_line_the_leds_pitch_runs_on_over_a_screw() -> None:
    design = draw_board(parameters_of(of("path")))
    xs = [x for x, _ in _leds(design)][:8]
    assert [round((after - before) / 16.0, 6) for before, after in pairwise(xs)] == [
        1, 1, 2, 1, 1, 2, 1,
    ]  # fmt: skip


@pytest.mark.thorough
def test_the_dark_site_is_what_evenness_tells() -> None:
    """A screw's gap is as dark as a row of twice the pitch between two of its LEDs, or darker."""
    light = {"light": {"diffuser": "20 mm", "evenness": "80 %"}}
    whole = merged(of("ring"), {**light, "mounting": {"at": "none"}})
    spared = merged(of("ring"), light)
    even, gaps = (
        draw_board(parameters_of(text)).operation.illumination for text in (whole, spared)
    )
    assert even is not None
    assert gaps is not None
    assert even.evenness is not None
    assert gaps.evenness is not None
    assert gaps.evenness < 0.9 * even.evenness


@pytest.mark.thorough
def test_the_site_that_closes_a_ring_is_dark_too() -> None:
    """Twelve LEDs, each fourth site free: of the twelve middles four lie at screws."""
    text = merged(of("ring"), {"light": {"diffuser": "20 mm", "evenness": "80 %"}})
    leds = _leds(draw_board(parameters_of(text)))
    steps = [math.dist(*pair) for pair in pairwise([*leds, leds[0]])]
    spots = in_a_row(leds, closed=True)
    assert len(spots) == 12
    wide = [spot.around for spot in spots if math.dist(*(leds[one] for one in spot.around)) > 20]
    assert wide == [(2, 3), (5, 6), (8, 9), (11, 0)]
    assert max(steps) > 1.5 * min(steps)
    assert _between(parameters_of(text), leds) == spots


def test_one_rail_passes_all_runs_and_is_as_wide_as_without_screws() -> None:
    """N(N+1)/2 sections, each so much longer as sites are left free (docs/sources.md, rails)."""
    long: dict[str, dict[str, Any]] = {"supply": {"from": "adapter 5 V"}, "light": {
        "led": "red 0805", "count": 30, "current": "18 mA", "in_series": 1}}  # fmt: skip
    rails = {}
    for name, mounting in (("none", {"at": "none"}), ("sites", {"every": 4})):
        text = merged(of("ring"), {**long, "mounting": mounting})
        rails[name] = size(parameters_of(text)).rail
    assert rails["none"].sections == rails["sites"].sections == 30
    ratio = rails["sites"].drop_mm / rails["none"].drop_mm
    assert ratio == pytest.approx(40 / 30, rel=0.01)


def test_a_screw_makes_room_for_the_rail_beside_it() -> None:
    """An M4 with its head is wider than the rail lies off the line: it moves to the other side."""
    text = merged(of("path"), {"mounting": {"screw": "M4", "under": "head"},
                               "form": {"pitch": "18 mm"}})  # fmt: skip
    board = draw_board(parameters_of(text)).board
    (spine,) = board.spines
    rail = max((t for t in board.tracks if t.net == SUPPLY_NET), key=lambda t: len(t.points))
    side = math.copysign(1.0, spine.locate(rail.points[len(rail.points) // 2])[1])
    for hole in board.holes:
        across = spine.locate((hole.x_mm, hole.y_mm))[1]
        assert across * side < -0.1
        reach = min(
            math.dist(
                (hole.x_mm, hole.y_mm),
                spine.place(spine.locate((hole.x_mm, hole.y_mm))[0], spine.locate(at)[1]),
            )
            for at in rail.points
        )
        assert reach >= (hole.room_mm + rail.width_mm) / 2 - 1e-6


@pytest.mark.parametrize("sides", [
    pytest.param(1, marks=pytest.mark.slow), pytest.param(2, marks=pytest.mark.thorough),
])  # fmt: skip
@pytest.mark.parametrize(("name", "changes"), [
    *((name, {}) for name in FORMS), ("ring", {"every": 7}),
    pytest.param("arc", {"every": 5}, marks=pytest.mark.slow),
    ("ring", {"screw": "M4", "under": "head"}),
])  # fmt: skip
def test_each_is_built_and_proven(name: str, changes: dict[str, Any], sides: int) -> None:
    side = {"connector": {"side": "bottom" if sides == 1 else "top"}}
    text = merged(of(name), {"copper": {"sides": sides}, "mounting": changes, **side})
    built = sound(merged(text, {"form": {"pitch": "18 mm"}}))
    assert len(built.design.board.holes) >= 2


@pytest.mark.thorough
@pytest.mark.parametrize("facing", ["one way", "inward"])
def test_turned_leds_leave_sites_free_too(facing: str) -> None:
    built = sound(merged(of("ring"), {"form": {"facing": facing, "pitch": "20 mm"}}))
    assert len(built.design.board.holes) == 4


@pytest.mark.parametrize(("changes", "words"), [
    ({"form": {"kind": "disc"}}, "along the one line"),
    ({"form": {"circles": 2}}, "along the one line"),
    ({"mounting": {"every": 20}}, "leaves none free"),
    ({"mounting": {"at": "none", "every": 4}}, 'belongs to at = "sites"'),
    ({"form": {"pitch": "even"}, "light": {"diffuser": "20 mm", "evenness": "80 %"}},
     "leave dark sites"),
])  # fmt: skip
def test_what_cannot_be_is_refused(changes: dict[str, Any], words: str) -> None:
    with pytest.raises(RefusalError, match=words):
        parameters_of(merged(RING, changes))


@pytest.mark.parametrize("every_th", every([2, 3, 4, 5], lambda at: at == 2))
@pytest.mark.parametrize("name", ["path", "closed path"])
def test_a_path_too_short_for_its_screws_is_refused_with_what_fits(
    name: str, every_th: int
) -> None:
    """The most LEDs that have room, and the widest pitch: one more, or a tenth, is refused."""
    text = merged(of(name, every=every_th), {"form": {"pitch": "16 mm"}, "light": {"count": 40}})

    def refused(**changes: Any) -> str:
        with pytest.raises(RefusalError, match="LEDs and screws") as caught:
            parameters_of(merged(text, changes))
        return str(caught.value)

    (count,) = map(int, re.findall(r"light.count = (\d+)", refused()))
    assert parameters_of(merged(text, {"light": {"count": count}}))
    one_more = refused(light={"count": count + 1})
    (pitch,) = map(float, re.findall(r'form.pitch = "([\d.]+) mm"', one_more))
    text = merged(text, {"light": {"count": count + 1}})
    assert parameters_of(merged(text, {"form": {"pitch": f"{pitch} mm"}}))
    assert refused(form={"pitch": f"{pitch + 0.1:.1f} mm"})
