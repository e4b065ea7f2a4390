"""Claims and copper of boards written down part by part: no file, no form, no circuit.

All measures are ours; what is clear at them follows from the house's limits by hand.
"""

from dataclasses import replace

import pytest
from shapely import LineString

from boardgen.artwork.copper import copper
from boardgen.geometry.regions import image
from boardgen.layout.cell import MARGIN_MM
from boardgen.layout.spines.claims import conflicts
from boardgen.model.board import Board, MountingHole, Part, PartKind, Pour, Side, Track, Via
from boardgen.model.land_pattern import Extent, Land, LandPattern
from boardgen.model.outline import rectangle
from boardgen.model.pose import Pose
from boardgen.reading import catalogue
from boardgen.units import NM_PER_MM

LIMITS = catalogue.house("ordinary")
BODY = Extent(left_mm=-1.0, bottom_mm=-0.6, right_mm=1.0, top_mm=0.6)
ROOM = Extent(left_mm=-1.9, bottom_mm=-0.95, right_mm=1.9, top_mm=0.95)
CHIP = LandPattern(
    name="two lands",
    lands=(
        Land(name="1", function="", x_mm=-1.1, y_mm=0.0, width_mm=1.2, height_mm=1.4),
        Land(name="2", function="", x_mm=1.1, y_mm=0.0, width_mm=1.2, height_mm=1.4),
    ),
    body=BODY,
    courtyard=ROOM,
    height_mm=0.5,
    typical=True,
    source="own",
)


def chip(reference: str, x_mm: float, y_mm: float, turn_deg: float = 0.0) -> Part:
    nets = (("1", f"{reference}.1"), ("2", f"{reference}.2"))
    pose = Pose(x_mm=x_mm, y_mm=y_mm, turn_deg=turn_deg)
    return Part(
        reference=reference, kind=PartKind.RESISTOR, value="100", pattern=CHIP, pose=pose, nets=nets
    )


def board(**things: object) -> Board:
    bare = Board(
        outline=rectangle(40.0, 20.0, 0.0), parts=(), tracks=(), vias=(), holes=(), pours=(),
        texts=(), marks=(), spines=(), sites=(),
    )  # fmt: skip
    return replace(bare, **things)  # type: ignore[arg-type] # by name


def found(one: Board, edge_mm: float | None = 0.5) -> list[str]:
    return list(conflicts(one, LIMITS, edge_mm))


def track(net: str, *points: tuple[float, float], width_mm: float = 0.4) -> Track:
    return Track(net=net, side=Side.TOP, width_mm=width_mm, points=points)


@pytest.mark.parametrize("turn_deg", [0.0, 30.0, 90.0])
def test_two_chips_meet_when_their_courtyards_do(turn_deg: float) -> None:
    """Beside one another across their length, whatever way both are turned."""
    pose = Pose(x_mm=15.0, y_mm=10.0, turn_deg=turn_deg)
    apart = ROOM.top_mm - ROOM.bottom_mm
    for distance, meets in ((apart + 0.001, False), (apart - 0.001, True)):
        beside = pose.place(0.0, distance)
        both = board(parts=(chip("R1", 15.0, 10.0, turn_deg), chip("R2", *beside, turn_deg)))
        assert bool(found(both)) is meets


def test_tracks_of_two_nets_keep_the_gap_and_a_margin() -> None:
    least = 0.4 + LIMITS.gap_mm + MARGIN_MM
    for distance, meets in ((least + 0.001, False), (least - 0.001, True)):
        lower = track("a", (5.0, 5.0), (30.0, 5.0))
        upper = track("b", (5.0, 5.0 + distance), (30.0, 5.0 + distance))
        assert bool(found(board(tracks=(lower, upper)))) is meets
        assert not found(board(tracks=(lower, replace(upper, net="a"))))


def test_copper_keeps_off_the_edge_unless_none_is_near() -> None:
    near = board(tracks=(track("a", (5.0, 0.6), (30.0, 0.6)),))
    assert found(near) == ["a and the edge: 400000 nm"]
    assert not found(near, edge_mm=None)


def test_what_lies_outside_is_named_though_no_edge_is_near_it() -> None:
    assert found(board(parts=(chip("R1", 60.0, 10.0),)))[0] == "R1 lies outside"


def test_a_screw_wants_its_room_from_parts_and_copper() -> None:
    screw = MountingHole(
        reference="MH1", x_mm=10.0, y_mm=10.0, hole_mm=3.4, covered_mm=7.0, room_mm=7.5
    )
    least = 7.5 / 2 + ROOM.right_mm
    for distance, meets in ((least + 0.001, False), (least - 0.001, True)):
        assert bool(found(board(parts=(chip("R1", 10.0 + distance, 10.0),), holes=(screw,)))) is (
            meets
        )


def test_holes_keep_apart_by_what_the_house_drills() -> None:
    least = 0.3 + LIMITS.hole_hole_mm + MARGIN_MM
    for distance, meets in ((least + 0.001, False), (least - 0.001, True)):
        vias = tuple(
            Via(net="a", x_mm=10.0 + at, y_mm=10.0, hole_mm=0.3, land_mm=0.32)
            for at in (0.0, distance)
        )
        assert bool(found(board(vias=vias))) is meets


def test_a_pour_is_the_inside_less_what_is_not_its_own() -> None:
    """40 x 20 mm less 0.5 mm all round is 39 x 19 mm; a track of 10 mm takes its gap with it.

    A piece that nothing of its net touches is an island and goes: hence the via.
    """
    pour = Pour(side=Side.TOP, net="0V", edge_mm=0.5, lead_spoke_mm=0.4)
    via = Via(net="0V", x_mm=5.0, y_mm=5.0, hole_mm=0.3, land_mm=0.7)
    empty = board(pours=(pour,), vias=(via,))
    layer = copper(empty, LIMITS, "spokes", Side.TOP)
    inside = 39.0 * 19.0 * NM_PER_MM**2
    assert image(layer.items).area_nm2 == pytest.approx(inside, rel=2e-3)
    crossed = board(pours=(pour,), vias=(via,), tracks=(track("a", (15.0, 10.0), (25.0, 10.0)),))
    line = LineString([(15, 10), (25, 10)])
    own, cut = (line.buffer(wide).area for wide in (0.2, 0.2 + LIMITS.aims.pour_gap_mm))
    left = inside - (cut - own) * NM_PER_MM**2
    area = image(copper(crossed, LIMITS, "spokes", Side.TOP).items).area_nm2
    assert area == pytest.approx(left, rel=2e-3)
