"""What makes a board good to look at and to hold: L1 to L13 and L15, measured on every example.

The rules are own choices of this project (no source); each test says which one it measures.
"""

import math
import tomllib
from collections import Counter, defaultdict
from itertools import pairwise
from pathlib import Path

import pytest
import shapely

from boardgen.build import Built
from boardgen.checks.table import check
from boardgen.errors import RefusalError
from boardgen.geometry.lettering import chains, size_mm
from boardgen.geometry.regions import Region, image, opened, union
from boardgen.model.artwork import LayerKind, Purpose
from boardgen.model.board import Board, MarkRole, Part, PartKind, Side, Text, TextRole
from boardgen.model.design import Design
from boardgen.model.land_pattern import Entry, Extent
from boardgen.model.shapes import Contour, Stroke
from tests.checks.planting import corner_mm
from tests.conftest import EXAMPLES, Make, each_example, every, example_built

GRID_MM = 0.5


IN_ROWS = [
    path
    for path in EXAMPLES
    if (form := tomllib.loads(path.read_text("utf-8"))["form"])["kind"] in ("bar", "grid")
    and "outline" not in form
]
"""Rows on a rectangle; what others look like rules of looks hold, and tests of their own."""


@pytest.fixture(params=each_example(IN_ROWS))
def example(request: pytest.FixtureRequest) -> Path:
    path: Path = request.param
    return path


@pytest.fixture
def built(example: Path) -> Built:
    return example_built(example)


@pytest.fixture
def board(built: Built) -> Board:
    return built.design.board


def of_kind(board: Board, kind: PartKind) -> list[Part]:
    return [part for part in board.parts if part.kind is kind]


def rows_of(parts: list[Part]) -> list[list[Part]]:
    rows: dict[float, list[Part]] = defaultdict(list)
    for part in parts:
        rows[part.y_mm].append(part)
    return list(rows.values())


def off_grid(value: float, grid: float = GRID_MM) -> float:
    return abs(value / grid - round(value / grid)) * grid


def branches(design: Design) -> list[tuple[Part, list[Part]]]:
    """Group each ballast, by the first of its resistors, with the LEDs of its branch."""
    leds = iter(of_kind(design.board, PartKind.LED))
    return [
        (design.board.part(branch.ballasts[0]), [next(leds) for _ in range(branch.kind.leds)])
        for branch in design.circuit.branches
    ]


def box_of(text: Text, built: Built) -> Extent:
    lettering = built.design.parameters.parts.lettering
    width, height = size_mm(text.text, text.height_mm, text.stroke_mm, lettering)
    return Extent(
        left_mm=text.x_mm - width / 2,
        bottom_mm=text.y_mm - height / 2,
        right_mm=text.x_mm + width / 2,
        top_mm=text.y_mm + height / 2,
    )


def gap_between(first: Extent, second: Extent) -> float:
    across = max(first.left_mm - second.right_mm, second.left_mm - first.right_mm, 0.0)
    along = max(first.bottom_mm - second.top_mm, second.bottom_mm - first.top_mm, 0.0)
    return math.hypot(across, along)


def test_l1_centres_lie_on_one_grid_and_the_pitch_is_constant(board: Board) -> None:
    parts = [*of_kind(board, PartKind.LED), *of_kind(board, PartKind.RESISTOR)]
    placed = {one.reference: (one.x_mm, one.y_mm) for one in parts}
    placed |= {one.reference: (one.x_mm, one.y_mm) for one in board.holes}
    for reference, place in placed.items():
        assert max(map(off_grid, place)) < 1e-6, reference
    for row in rows_of(of_kind(board, PartKind.LED)):
        steps = [after.x_mm - before.x_mm for before, after in pairwise(row)]
        assert max(steps) - min(steps) < 0.001


def test_l2_parts_of_a_kind_share_a_line_and_ballasts_a_vector(built: Built) -> None:
    design = built.design
    for kind in (PartKind.LED, PartKind.RESISTOR):
        parts = of_kind(design.board, kind)
        assert len({part.pose.turn_deg for part in parts}) == 1
        assert len({part.y_mm for part in parts}) == design.parameters.form.rows
    vectors = {
        (round(ballast.x_mm - leds[0].x_mm, 6), round(ballast.y_mm - leds[0].y_mm, 6))
        for ballast, leds in branches(design)
    }
    assert len(vectors) == 1


def test_l3_the_light_is_in_the_middle(board: Board) -> None:
    leds = of_kind(board, PartKind.LED)
    first, last = min(led.x_mm for led in leds), max(led.x_mm for led in leds)
    centred = abs((first + last) / 2 - board.outline.length_mm / 2) <= 0.5
    if board.holes:
        left, right = (pick(hole.x_mm for hole in board.holes) for pick in (min, max))
        assert centred or (first - left) == pytest.approx(right - last, abs=0.001)
    else:  # without screws a connector at an end may push the row along, no further than it needs
        body = board.part("J1").extent(board.part("J1").pattern.body)
        assert centred or first > body.right_mm or last < body.left_mm
    levels = {led.y_mm for led in leds}
    assert abs(sum(levels) / len(levels) - board.outline.width_mm / 2) <= 0.5


def test_l4_holes_mirror_about_the_row(board: Board) -> None:
    leds = of_kind(board, PartKind.LED)
    middle = (min(led.x_mm for led in leds) + max(led.x_mm for led in leds)) / 2
    places = {(round(hole.x_mm, 3), round(hole.y_mm, 3)) for hole in board.holes}
    assert {(round(2 * middle - x, 3), y) for x, y in places} == places
    assert len({hole.hole_mm for hole in board.holes}) <= 1


def test_l5_all_corners_have_one_radius_and_no_side_is_short(built: Built) -> None:
    profile = built.design.artwork.profile
    radii, sides = set(), []
    at = profile.start
    for edge in profile.edges:
        if edge.centre is None:
            sides.append(math.dist(at, edge.end) / 1e6)
        else:
            radii.add(math.dist(at, edge.centre) / 1e6)
        at = edge.end
    (radius,) = radii
    assert 1.0 <= radius <= min(3.0, built.design.board.outline.width_mm / 4)
    assert min(sides) >= 2.0


def test_l6_all_cathodes_point_one_way(board: Board) -> None:
    assert len({led.pose.turn_deg for led in of_kind(board, PartKind.LED)}) == 1


def test_l7_polarity_is_said_three_times(built: Built) -> None:
    design = built.design
    if not design.parameters.printed:
        pytest.skip("nothing is printed: bars in copper have a test of their own")
    legend = design.artwork.layer(LayerKind.LEGEND, Side.TOP)
    openings = image(design.artwork.layer(LayerKind.MASK, Side.TOP).items)
    letters = {t.owner for t in design.board.texts if t.role is TextRole.POLARITY}
    for led in of_kind(design.board, PartKind.LED):
        (bar,) = [
            item.shape
            for item in legend.items
            if item.purpose is Purpose.CATHODE_MARK
            and item.owner
            and item.owner.reference == led.reference
        ]
        assert isinstance(bar, Stroke)
        assert 2 * bar.radius_nm == 250_000
        (x1, y1), (x2, y2) = bar.points
        assert math.dist((x1, y1), (x2, y2)) / 1e6 >= 2 * led.pattern.body.top_mm
        middle = ((x1 + x2) / 2e6, (y1 + y2) / 2e6)
        to_k = math.dist(middle, led.land_place(led.pattern.land("1")))
        to_a = math.dist(middle, led.land_place(led.pattern.land("2")))
        assert to_a - to_k >= 1.0
        body = led.extent(led.pattern.body)
        assert abs(middle[0] - led.x_mm) - bar.radius_nm / 1e6 >= body.right_mm - led.x_mm
        assert not openings.shape.intersects(union([bar]).shape)
        assert led.reference in letters
    arrows = [text for text in design.board.texts if text.text == "current →"]
    if not arrows:  # at tight pitches the whole kind goes, and is told
        told = [f.message for f in check(design) if f.code == "legend.names"]
        assert "the arrows of the current found no room" in told
        assert design.parameters.form.pitch_mm <= 10
    else:
        assert len(arrows) == design.parameters.form.rows


def test_l7_bars_in_copper_stand_apart_at_the_cathode(built: Built) -> None:
    """Own choice: without print each LED has one bar of copper, apart from every net."""
    design = built.design
    if design.parameters.printed:
        pytest.skip("bars are printed here")
    bars = [
        item for item in design.artwork.layer(LayerKind.COPPER, Side.TOP).items
        if item.purpose is Purpose.CATHODE_MARK and item.owner
    ]  # fmt: skip
    leds = of_kind(design.board, PartKind.LED)
    assert sorted(bar.owner.reference for bar in bars if bar.owner) == sorted(
        led.reference for led in leds
    )
    for bar in bars:
        assert isinstance(bar.shape, Stroke)
        assert bar.owner
        assert bar.net == ""
        led = design.board.part(bar.owner.reference)
        (x1, y1), (x2, y2) = bar.shape.points
        assert math.dist((x1, y1), (x2, y2)) / 1e6 >= 2 * led.pattern.body.top_mm - 1e-6
        middle = ((x1 + x2) / 2e6, (y1 + y2) / 2e6)
        to_k, to_a = (
            math.dist(middle, led.land_place(led.pattern.land(pin))) for pin in ("1", "2")
        )
        assert to_a - to_k >= 1.0
    assert not [f for f in check(design) if f.code in ("gap.copper", "net.whole")]


def test_l8_few_text_sizes_and_one_family_of_strokes(board: Board) -> None:
    assert len({text.height_mm for text in board.texts}) <= 3
    for text in board.texts:
        assert 0.13 <= text.stroke_mm / text.height_mm <= 0.18
        assert text.stroke_mm >= 0.15
        assert text.turn_deg in (0, 90)


def test_l9_designators_keep_their_place(built: Built) -> None:
    board = built.design.board
    for kind in PartKind:
        parts = of_kind(board, kind)
        names = {part.reference for part in parts}
        texts = [t for t in board.texts if t.role is TextRole.REFERENCE and t.owner in names]
        assert len(texts) in (0, len(parts))
        offsets = set()
        for text in texts:
            part = board.part(text.owner)
            offsets.add((round(text.x_mm - part.x_mm, 6), round(text.y_mm - part.y_mm, 6)))
            box = box_of(text, built)
            own = gap_between(box, part.extent(part.pattern.body))
            if kind in (PartKind.LED, PartKind.RESISTOR):
                assert abs(text.x_mm - part.x_mm) <= 0.1
                assert 0.3 <= own <= 1.0
            others = [
                gap_between(box, other.extent(other.pattern.body))
                for other in board.parts
                if other.reference != text.owner
            ]
            assert own < min(others)
        # Test points mirror one another, and their letters with them.
        assert len(offsets) <= (2 if kind is PartKind.TEST_POINT else 1)


def test_l10_terminals_speak_on_both_sides(built: Built) -> None:
    board, parameters = built.design.board, built.design.parameters
    (connector,) = of_kind(board, PartKind.CONNECTOR)
    body = connector.extent(connector.pattern.body)
    lands = [
        (land.function, connector.land_place(land), land.width_mm / 2)
        for land in connector.pattern.lands
    ]
    for side in tuple(Side) if parameters.printed else parameters.sides:
        signs = [t for t in board.texts if t.role is TextRole.SIGN and t.side is side]
        assert sorted(sign.text for sign in signs) == ["+", "−"]
        for sign in signs:
            assert sign.height_mm >= 2.0
            box = box_of(sign, built)
            if parameters.parts.connector.pattern.height_mm and side is connector.side:
                assert gap_between(box, body) > 0
            own = "+" if sign.text == "+" else "-"
            function, (x, y), radius = min(
                lands, key=lambda land: math.dist((sign.x_mm, sign.y_mm), land[1])
            )
            assert function == own
            land_box = Extent(
                left_mm=x - radius, bottom_mm=y - radius, right_mm=x + radius, top_mm=y + radius
            )
            assert gap_between(box, land_box) <= 3.0
    back = " ".join(text.text for text in board.texts if text.role is TextRole.PAGE)
    assert "V DC" in back
    assert "A" in back
    assert "GND" not in " ".join(text.text for text in board.texts)


def test_l11_wires_leave_outward_and_their_way_is_free(built: Built) -> None:
    board = built.design.board
    (connector,) = of_kind(board, PartKind.CONNECTOR)
    body = connector.extent(connector.pattern.body)
    if connector.pattern.entry is Entry.TOP:
        pytest.skip("it is plugged from above: no wire leaves along the board")
    edge = 0.0 if built.design.parameters.connector.at == "left" else board.outline.length_mm
    face = body.left_mm if edge == 0.0 else body.right_mm
    assert abs(face - edge) <= 0.5
    # Wires enter at the face, which lies on the edge: the corridor is outside the board.
    entry = connector.place(0.0, connector.pattern.body.bottom_mm - 1.0)
    assert (entry[0] < 0.0) if edge == 0.0 else (entry[0] > board.outline.length_mm)
    assert entry[1] == pytest.approx(connector.y_mm)
    beside = [hole for hole in board.holes if body.bottom_mm < hole.y_mm < body.top_mm]
    assert all(abs(hole.x_mm - edge) > abs(connector.x_mm - edge) for hole in beside)


def test_l12_the_back_is_a_page(built: Built) -> None:
    design = built.design
    board, parameters = design.board, design.parameters
    if not parameters.printed:
        pytest.skip("nothing is printed on the back")
    page = [t for t in board.texts if t.role is TextRole.PAGE]
    assert {text.side for text in page} == {Side.BOTTOM}
    words = " ".join(text.text for text in page)
    for wanted in (parameters.legend_text, f"rev {parameters.board.revision}", "V DC", "LEDs"):
        assert wanted in words
    boxes = [box_of(text, built) for text in page]
    left, right = min(b.left_mm for b in boxes), max(b.right_mm for b in boxes)
    name_boxes = [mark for mark in board.marks if mark.role is MarkRole.BOX]
    assert len(name_boxes) == parameters.legend.name_box
    for mark in name_boxes:
        xs, ys = zip(*mark.points, strict=True)
        assert max(xs) - min(xs) >= 25.0
        assert max(ys) - min(ys) >= 6.0
        left, right = min(left, *xs), max(right, *xs)
    assert abs((left + right) / 2 - board.outline.length_mm / 2) <= 1.0


def test_l12_the_back_reads_properly_from_behind(built: Built) -> None:
    """Turned over (x becomes -x), every letter of the back has the strokes of the table."""
    design = built.design
    strokes = {
        frozenset(item.shape.points)
        for item in design.artwork.items(LayerKind.LEGEND, Side.BOTTOM)
        if isinstance(item.shape, Stroke)
    }
    for text in design.board.texts:
        if text.side is not Side.BOTTOM:
            continue
        for chain in chains(text.text, text.height_mm, design.parameters.parts.lettering):
            seen = frozenset(
                (round((text.x_mm - x) * 1e6), round((text.y_mm + y) * 1e6)) for x, y in chain
            )
            assert seen in strokes


def test_corners_that_would_cut_into_the_connector_are_refused_with_the_largest(
    design: Make,
) -> None:
    with pytest.raises(RefusalError, match=r'form.corner = "1.7 mm"'):
        design(form={"width": "10.5 mm", "corner": "2 mm"})
    assert corner_mm(design(form={"width": "10.5 mm", "corner": "1.7 mm"}).board.outline) == 1.7
    assert corner_mm(design(form={"width": "10.5 mm"}).board.outline) == 1.75


@pytest.mark.parametrize(("kind", "most"), [("terminal 3.5 mm", 4.3), ("wire pads", 3.2)])
def test_a_rail_too_wide_for_the_pin_is_refused_with_the_widest(
    design: Make, kind: str, most: float
) -> None:
    connector, form = {"kind": kind}, {"width": "30 mm"}
    with pytest.raises(RefusalError, match=f'copper.rail = "{most:g} mm"'):
        design(copper={"rail": f"{most + 0.1:.1f} mm"}, connector=connector, form=form)
    made = design(copper={"rail": f"{most} mm"}, connector=connector, form=form)
    assert {f.code for f in check(made)} <= {
        "lands.typical",
        "date.unset",
        "reverse.led",
        "looks.finger",
    }


@pytest.mark.thorough
def test_a_rail_that_wants_to_be_wider_than_the_pin_allows_is_told(design: Make) -> None:
    made = design(
        light={"count": 80, "current": "20 mA", "use": None, "led": "white 2835"},
        connector={"kind": "wire pads"},
    )
    assert made.operation.rails.width_mm == 3.2
    errors = [f for f in check(made) if f.code.startswith(("edge", "gap", "net"))]
    assert errors == []
    assert "rail.drop" in {f.code for f in check(made)}


def test_a_title_with_blanks_is_set_without_them(design: Make) -> None:
    made = design(board={"title": "two  blanks   here"})
    page = [text.text for text in made.board.texts if text.role is TextRole.PAGE]
    assert page[0] == "two blanks here rev A"


def test_l13_tracks_look_drawn(built: Built) -> None:
    design = built.design
    tracks = design.board.tracks
    assert len({track.width_mm for track in tracks}) <= 3
    for track in tracks:
        assert len(track.points) <= 4
        for (x1, y1), (x2, y2) in pairwise(track.points):
            angle = math.degrees(math.atan2(y2 - y1, x2 - x1))
            assert off_grid(angle, 45) < 1e-6
        for first, corner, last in zip(
            track.points, track.points[1:], track.points[2:], strict=False
        ):
            ahead = (corner[0] - first[0], corner[1] - first[1])
            after = (last[0] - corner[0], last[1] - corner[1])
            assert ahead[0] * after[0] + ahead[1] * after[1] >= -1e-9


def test_l13_every_branch_is_a_translate_of_the_first(built: Built) -> None:
    design = built.design
    shapes = defaultdict(set)
    for branch, (ballast, leds) in zip(design.circuit.branches, branches(design), strict=True):
        own = set(branch.inner_nets[-branch.kind.leds :])
        tap = ballast.land_place(ballast.pattern.land("1"))
        paths = [
            track.points
            for track in design.board.tracks
            if track.net in own or track.points[-1] == tap
        ]
        x0, y0 = leds[0].x_mm, leds[0].y_mm
        shapes[branch.kind.leds].add(
            tuple(
                tuple((round((x - x0) * 1e6), round((y - y0) * 1e6)) for x, y in path)
                for path in paths
            )
        )
    assert all(len(found) == 1 for found in shapes.values())


def test_l13_tracks_enter_lands_on_their_centre_lines(board: Board) -> None:
    centres = {
        (round(x, 6), round(y, 6))
        for part in board.parts
        for land in part.pattern.lands
        for x, y in [part.land_place(land)]
    }
    rails = [
        track
        for track in board.tracks
        if track.net == "V+" and track.points[0][1] == track.points[-1][1]
    ]

    def on_a_rail(x: float, y: float) -> bool:
        return any(
            y == rail.points[0][1]
            and min(rail.points[0][0], rail.points[-1][0])
            <= x
            <= max(rail.points[0][0], rail.points[-1][0])
            for rail in rails
        )

    ends = Counter(
        (track.net, round(x, 6), round(y, 6))
        for track in board.tracks
        for x, y in (track.points[0], track.points[-1])
    )
    for track in board.tracks:
        for x, y in (track.points[0], track.points[-1]):
            place = (round(x, 6), round(y, 6))
            # Where a drop narrows, two pieces of one line meet end to end.
            narrows = ends[track.net, *place] > 1
            assert place in centres or narrows or (track.net == "V+" and on_a_rail(x, y)), track


def pour_of(built: Built, side: Side) -> tuple[Contour, Region]:
    if side not in built.design.parameters.sides:
        pytest.skip("this side carries no copper")
    items = [
        item
        for item in built.design.artwork.layer(LayerKind.COPPER, side).items
        if item.purpose in (Purpose.POUR, Purpose.CLEARANCE, Purpose.PATCH)
    ]
    contour = items[0].shape
    assert isinstance(contour, Contour)
    return contour, image(items)


@pytest.mark.parametrize("side", list(Side))
def test_l15_the_pour_runs_parallel_to_the_outline(built: Built, side: Side) -> None:
    contour, _ = pour_of(built, side)
    profile = built.design.artwork.profile
    inset = {
        round(abs(inner.end[0] - outer.end[0]) + abs(inner.end[1] - outer.end[1]))
        for inner, outer in zip(contour.edges, profile.edges, strict=True)
    }
    assert max(inset) - min(inset) <= 1_000
    for inner, outer in zip(contour.edges, profile.edges, strict=True):
        if inner.centre and outer.centre:
            assert math.dist(inner.centre, outer.centre) <= 1_000


@pytest.mark.parametrize("side", list(Side))
def test_l15_the_pour_is_quiet(built: Built, side: Side) -> None:
    _, pour = pour_of(built, side)
    assert len(pour.pieces()) == 1
    lost = pour - opened(pour, 150_000)
    assert lost.shape.buffer(-1_000).is_empty


@pytest.mark.parametrize("side", list(Side))
@pytest.mark.parametrize("width_nm", every([500_000, 1_000_000], lambda at: at == 0))
@pytest.mark.thorough
def test_l15_no_finger_is_longer_than_three_times_its_width(
    built: Built, side: Side, width_nm: int
) -> None:
    _, pour = pour_of(built, side)
    core = opened(pour, width_nm // 2)
    thin = Region((pour - core).shape.buffer(-2_000).buffer(2_000))
    for piece in thin.pieces():
        touching = [part for part in core.pieces() if part.shape.distance(piece.shape) < 10_000]
        roots = shapely.get_parts(
            piece.shape.buffer(10_000).intersection(shapely.union_all([t.shape for t in touching]))
        )
        if len(roots) != 1:
            continue  # it joins two places: a bridge, not a finger
        far = max(shapely.Point(point).distance(roots[0]) for point in piece.shape.exterior.coords)
        assert far <= 3 * width_nm


def test_l15_the_sides_are_well_filled_and_alike(built: Built) -> None:
    design = built.design
    whole = shapely.Polygon([edge.end for edge in design.artwork.profile.edges]).area
    shares = [image(layer.items).area_nm2 / whole for layer in design.artwork.coppers()]
    assert min(shares) >= 0.60
    assert max(shares) - min(shares) <= 0.25
