"""Regions: what is merged, opened, patched and closed."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from boardgen.artwork.pour import makeable
from boardgen.geometry.contents import slits
from boardgen.geometry.contours import grown, outline, rounded_rectangle
from boardgen.geometry.measuring import distance_nm, near_line, trimmed
from boardgen.geometry.regions import closings, image, opened, patches, union
from boardgen.model.artwork import Item, Purpose
from boardgen.model.shapes import Box, Contour, Disc, Stroke
from boardgen.reading.catalogue import house
from boardgen.units import Nm

MM = 1_000_000


def box(x: float, y: float, width: float, height: float) -> Box:
    return Box(
        (Nm(round(x * MM)), Nm(round(y * MM))), Nm(round(width * MM)), Nm(round(height * MM))
    )


def disc(x: float, y: float, diameter: float) -> Disc:
    return Disc((Nm(round(x * MM)), Nm(round(y * MM))), Nm(round(diameter / 2 * MM)))


def dark(shape: Box | Disc | Contour, *, clear: bool = False) -> Item:
    return Item(shape=shape, purpose=Purpose.POUR, dark=not clear)


def test_openings_nearer_than_the_web_are_merged_and_others_are_not() -> None:
    near = union([box(0, 0, 1, 1), box(1.14, 0, 1, 1)])
    far = union([box(0, 0, 1, 1), box(1.16, 0, 1, 1)])
    merged = closings(near, 150_000)
    assert len((near | union(merged)).pieces()) == 1
    assert closings(far, 150_000) == ()


def test_opening_takes_necks_and_keeps_bodies() -> None:
    dumbbell = union([box(0, 0, 2, 2), box(3, 0, 2, 2), box(1.5, 0, 2, 0.2)])
    assert len(dumbbell.pieces()) == 1
    kept = opened(dumbbell, 200_000)
    assert len(kept.pieces()) == 2
    # The disc rounds the corners, and looks a little into either mouth of the neck.
    mouth = 0.04 * (math.asin(0.5) - 0.5 * math.sqrt(0.75))
    corners = (4 - math.pi) * 0.04
    assert kept.area_nm2 / MM**2 == pytest.approx(2 * (4 - corners + mouth), rel=1e-4)


def test_a_slit_lies_between_two_clear_places_and_a_notch_does_not() -> None:
    """Of 0.1 mm, between two clear squares; the notch of 0.1 mm ends in the copper."""
    whole = union([box(0, 0, 8, 4)])
    rooms = union([box(-2, 0, 1, 1), box(2, 0, 1, 1)])
    slit, notch = union([box(0, 0, 4, 0.1)]), union([box(2, 1, 0.1, 1)])
    (place,) = slits(whole - (rooms | slit | notch), 150_000)
    assert place == pytest.approx((0, 0), abs=1)
    assert not list(slits(whole - (rooms | slit | notch), 90_000))
    assert not list(slits(whole - (rooms | notch), 150_000))
    assert not list(slits(whole - whole, 150_000))


@pytest.mark.parametrize("name", ["milled", "fine"])
def test_a_pour_between_two_clear_places_is_wide_enough_or_clearly_cut(name: str) -> None:
    """However near they are: share 440 of the random files had round corners that all but touched.

    Shrunk by half of what the house can make, neither copper nor what is clear falls apart anew.
    """
    limits = house(name)
    width, gap = limits.pour_width_mm * MM, limits.gap_mm * MM
    cut = 0
    for step in range(80):
        apart = 0.2 + step * 0.009
        clear = union([grown(box(-2, 0, 2, 3), Nm(500_000)), disc(apart + 0.5, 0.4, 2)])
        whole = union([box(0, 0, 12, 8)]) - clear
        left = whole - union(patches(whole, makeable(whole, limits)))
        pieces, gaps = left.pieces(), (union([box(0, 0, 16, 12)]) - left).pieces()
        assert len(left.inset(round(width / 2) - 1_000).pieces()) == len(pieces), apart
        assert sum(len(one.inset(round(gap / 2) - 1_000).pieces()) for one in gaps) == len(gaps)
        cut += len(gaps) == 2
    assert 0 < cut < 80


def test_patches_leave_exactly_what_is_kept() -> None:
    whole = union([box(0, 0, 2, 2), box(3, 0, 2, 2), box(1.5, 0, 2, 0.2)])
    kept = union([box(0, 0, 1.8, 1.8)])
    left = whole - union(patches(whole, kept))
    assert (left - kept).shape.buffer(-1_000).is_empty
    assert (kept - left).shape.buffer(-1_000).is_empty


def test_a_patch_with_a_hole_is_cut_into_parts_without() -> None:
    frame = union([box(0, 0, 4, 4)]) - union([box(0, 0, 1, 1)])
    island = union([box(0, 0, 0.5, 0.5)])
    whole = frame | island
    left = whole - union(patches(whole, island))
    assert (left - island).shape.buffer(-1_000).is_empty
    assert left.area_nm2 == pytest.approx(island.area_nm2, rel=1e-6)


def test_an_image_obeys_the_order_of_polarities() -> None:
    items = [dark(box(0, 0, 4, 4)), dark(box(0, 0, 2, 2), clear=True), dark(box(0, 0, 1, 1))]
    assert image(items).area_nm2 == pytest.approx((16 - 4 + 1) * MM**2)
    assert image([*items[:2], items[0]]).area_nm2 == pytest.approx(16 * MM**2)


sizes = st.integers(1, 5_000).map(lambda um: um * 1_000)
places = st.integers(-20_000, 20_000).map(lambda um: um * 1_000)


@given(places, places, sizes, sizes, sizes)
def test_the_distance_of_a_disc_and_a_box_is_what_pythagoras_says(
    x: int, y: int, width: int, height: int, radius: int
) -> None:
    land = Box((Nm(0), Nm(0)), Nm(2 * width), Nm(2 * height))
    hole = Disc((Nm(x), Nm(y)), Nm(radius))
    across, along = max(abs(x) - width, 0), max(abs(y) - height, 0)
    assert distance_nm(hole, land) == pytest.approx(math.hypot(across, along) - radius, abs=0.01)


@given(sizes, sizes, sizes)
def test_a_grown_shape_is_nearer_by_as_much(width: int, radius: int, by: int) -> None:
    land = Box((Nm(0), Nm(0)), Nm(2 * width), Nm(2 * width))
    hole = Disc((Nm(50 * MM), Nm(0)), Nm(radius))
    assert distance_nm(grown(land, by), hole) == pytest.approx(distance_nm(land, hole) - by)


@given(sizes, sizes, sizes)
def test_an_outline_encloses_the_area_of_its_shape(width: int, height: int, radius: int) -> None:
    shape = Box((Nm(0), Nm(0)), Nm(2 * width), Nm(2 * height), Nm(radius))
    exact = 4 * width * height + 4 * radius * (width + height) + math.pi * radius**2
    found = union([outline(shape)]).area_nm2
    slack = 250 * (2 * math.pi * radius) + 1
    assert exact - slack <= found <= exact + 1


def test_concentric_outlines_are_measured_to_the_nanometre() -> None:
    outer = rounded_rectangle(0, 0, 20 * MM, 10 * MM, 2 * MM)
    inner = rounded_rectangle(500_000, 500_000, 20 * MM - 500_000, 10 * MM - 500_000, 1_500_000)
    assert list(near_line(outer, [inner], 500_000)) == []
    ((_, gap),) = near_line(outer, [inner], 500_001)
    assert gap == 500_000


def test_a_stroke_is_cut_where_it_must_not_be() -> None:
    line = Stroke(((Nm(0), Nm(0)), (Nm(10 * MM), Nm(0))), Nm(75_000))
    pieces = trimmed(line, union([box(5, 0, 2, 2)]))
    assert len(pieces) == 2
    assert all(distance_nm(piece, box(5, 0, 2, 2)) >= -0.01 for piece in pieces)
    assert trimmed(line, union([box(5, 5, 2, 2)])) == (line,)
