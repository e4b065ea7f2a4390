"""The network of rails and pours, held against the copper of the files as a conducting sheet.

The sheet is solved by finite differences that are written here: it shares nothing with the network
and sees neither board nor tracks, only what the fabrication files say when they are read back.
Lengths here are millimetres, volts are what is lost on the way.
"""

import math
import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import numpy.typing as npt
import pytest
import shapely
from scipy.sparse import coo_matrix
from scipy.sparse.csgraph import connected_components
from scipy.sparse.linalg import spsolve
from shapely import Polygon

from boardgen.build import Built
from boardgen.electrical import contacts
from boardgen.electrical.operate import operate
from boardgen.geometry.regions import image as drawn_image
from boardgen.model.artwork import Item, Purpose
from boardgen.model.operation import Rails
from boardgen.model.shapes import Box, Disc, Stroke
from boardgen.readback.drill import read_drill
from boardgen.readback.gerber import read_gerber
from boardgen.readback.images import area, image, pieces
from boardgen.readback.objects import Seen, SeenHole
from boardgen.units import Nm, snap
from tests.conftest import RING, ROOT, SHELF, built_of, design_of, merged
from tests.layout.test_split import of as of_split

Floats = npt.NDArray[np.float64]
Mask = npt.NDArray[np.bool_]

RESISTIVITY_OHM_MM2_PER_M = 0.017241
PER_KELVIN = 0.00393
"""Annealed copper at 20 °C: IEC 60028, from memory, confident."""

SUPPLY_WITHIN = 0.03
"""What the network promises along V+."""

RETURN_WITHIN = 0.055
"""What the sheets promise along the return: asked for by users who order boards by it, own choice.
When this was written they were 0 to 4 % below on these boards.
"""

SUPPLY_CELL_MM = 0.1
RETURN_CELL_MM = 0.2
"""Halving a cell moves the supply's drop by less than 0.1 % and the return's by less than 0.5 %."""

MM_PER_NM = 1e-6
_ASIDE = 0.3719
"""Copper lies on round figures, lines do not: as a share of a cell."""

_CLOSED = 1e-9
"""Openings of a face smaller than this share come from rounding: no current passes."""

BOARDS = {
    "eight on one rail from the left": SHELF,
    "24 branches of 40 mA on a long rail of 1 mm": merged(
        SHELF,
        {
            "supply": {"from": "adapter 5 V"},
            "light": {"count": 24, "use": None, "current": "40 mA"},
            "form": {"pitch": "24 mm", "width": "40 mm"},
            "resistor": {"size": "1210"},
            "copper": {"rail": "1 mm"},
        },
    ),
    "two rows of strings at 12 V from the right": merged(
        SHELF,
        {
            "supply": {"from": "adapter 12 V"},
            "light": {"led": "warm white 2835", "count": 24},
            "form": {"rows": 2, "pitch": "16 mm"},
            "connector": {"at": "right"},
        },
    ),
}

SEED_TRAY = (ROOT / "examples/seed-tray/seed-tray.toml").read_text(encoding="utf-8")
OTHER_FEEDS = {
    "fed in the middle of the rail": merged(
        SHELF, {"light": {"count": 4}, "connector": {"at": "middle"}}
    ),
    "a rail of 3 mm, six times a branch's": merged(
        SHELF, {"form": {"width": "20 mm"}, "copper": {"rail": "3 mm"}}
    ),
    "round a ring, past its opening": RING,
    "a narrow rail that passes over lands": merged(SEED_TRAY, {"copper": {"rail": "0.8 mm"}}),
    "one copper side, holes without plating": merged(
        SHELF, {"light": {"count": 4, "use": "ambience"}, "order": {"house": "home-etched"}}
    ),
}


# -- the sheet -------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Grid:
    """Square cells over the copper; ``x`` and ``y`` are the lines between them."""

    x: Floats
    y: Floats

    @classmethod
    def over(cls, shown: Iterable[Polygon], cell_mm: float) -> "Grid":
        """Cover pieces; no line lies on an edge of copper, where a rounding would decide."""
        left, low, right, high = shapely.MultiPolygon(list(shown)).bounds
        x, y = (
            np.arange(start * MM_PER_NM - _ASIDE * cell_mm, end * MM_PER_NM + cell_mm, cell_mm)
            for start, end in ((left, right), (low, high))
        )
        return cls(x=x, y=y)

    @property
    def shape(self) -> tuple[int, int]:
        """How many cells lie across and along."""
        return (len(self.x) - 1, len(self.y) - 1)

    def within(self, hole: SeenHole) -> Mask:
        """Find the cells of a hole: what a barrel or a soldered pin fills."""
        across, along = (
            (lines[:-1] + lines[1:]) / 2 - centre * MM_PER_NM
            for lines, centre in ((self.x, hole.x_nm), (self.y, hole.y_nm))
        )
        radius = hole.diameter_nm * MM_PER_NM / 2
        return np.asarray(across[:, None] ** 2 + along[None, :] ** 2 < radius**2)

    def shares(self, land: Seen) -> tuple[tuple[slice, slice], Floats]:
        """Spread a chip's land over the cells below it, each by the part that it covers.

        Which cells, and their shares, which sum to 1.
        """
        assert isinstance(land.shape, Box)
        left, low, right, high = np.array(area(land.shape).bounds) * MM_PER_NM
        across, along = (
            slice(np.searchsorted(lines, start, "right") - 1, np.searchsorted(lines, end))
            for lines, start, end in ((self.x, left, right), (self.y, low, high))
        )
        wide, tall = (
            np.minimum(lines[1:], end)[part] - np.maximum(lines[:-1], start)[part]
            for lines, part, start, end in (
                (self.x, across, left, right),
                (self.y, along, low, high),
            )
        )
        covered = wide[:, None] * tall[None, :]
        if land.shape.turn_udeg:
            # Cells that a land askew holds as a whole: slivers of cells may lie on no copper.
            inside = shapely.transform(area(land.shape), lambda at: at * MM_PER_NM)
            corners = (
                np.meshgrid(x[across], y[along], indexing="ij")
                for x, y in ((self.x[:-1], self.y[:-1]), (self.x[1:], self.y[1:]))
            )
            (lefts, lows), (rights, highs) = corners
            cells = shapely.box(lefts, lows, rights, highs)
            covered = np.where(shapely.covers(inside, cells), covered, 0.0)
        return (across, along), np.asarray(covered / covered.sum())

    def openings(self, shown: Iterable[Polygon]) -> tuple[Floats, Floats]:
        """Measure which share of each face between two cells is copper, exactly.

        So a track whose edges lie between lines has its true width.
        """
        columns, rows = self.shape
        upright, level = np.zeros((columns - 1, rows)), np.zeros((columns, rows - 1))
        for piece in shown:
            rings = [np.array(ring.coords) * MM_PER_NM for ring in
                     (piece.exterior, *piece.interiors)]  # fmt: skip
            starts = np.vstack([ring[:-1] for ring in rings])
            ends = np.vstack([ring[1:] for ring in rings])
            upright += _covered(starts, ends, self.x[1:-1], self.y)
            level += _covered(starts[:, ::-1], ends[:, ::-1], self.y[1:-1], self.x).T
        return np.clip(upright, 0.0, 1.0), np.clip(level, 0.0, 1.0)


def _covered(starts: Floats, ends: Floats, lines: Floats, cuts: Floats) -> Floats:
    """Follow lines of one first coordinate through outlines: the covered share between cuts."""
    found = np.zeros((len(lines), len(cuts) - 1))
    for number, line in enumerate(lines):
        crossing = (starts[:, 0] <= line) != (ends[:, 0] <= line)
        here, there = starts[crossing], ends[crossing]
        part = (line - here[:, 0]) / (there[:, 0] - here[:, 0])
        places = np.sort(here[:, 1] + part * (there[:, 1] - here[:, 1]))
        # In at the first, out at the second …: the covered length up to each cut.
        way = np.where(np.arange(len(places)) % 2, -1.0, 1.0)
        until = (np.maximum(cuts[:, None] - places[None, :], 0.0) * way).sum(axis=1)
        found[number] = np.diff(until) / np.diff(cuts)
    return found


@dataclass(frozen=True)
class Draw:
    """A current drawn evenly over one land, on the layer of that number."""

    layer: int
    land: Seen
    amps: float


def lost_v(
    layers: Sequence[Sequence[Polygon]],
    cell_mm: float,
    sheet_ohm: float,
    draws: Sequence[Draw],
    held: Sequence[SeenHole],
    joining: Sequence[SeenHole] = (),
) -> Floats:
    """Solve the sheets: the mean voltage lost at each land that draws.

    Parameters
    ----------
    layers : sequence of pieces of copper
        One sheet for each side.
    held : sequence of SeenHole
        Where the source holds all layers at its own potential.
    joining : sequence of SeenHole
        Barrels, taken to conduct without loss.
    """
    grid = Grid.over([piece for layer in layers for piece in layer], cell_mm)
    cells = np.arange(len(layers) * grid.shape[0] * grid.shape[1]).reshape(-1, *grid.shape) + 1
    for hole in joining:
        cells[:, grid.within(hole)] = cells[0][grid.within(hole)].min()
    for hole in held:
        cells[:, grid.within(hole)] = 0  # The held potential is unknown number 0.
    one, other, conducts = _links(grid, layers, cells)
    size = int(cells.max()) + 1
    admittance = coo_matrix(
        (
            np.concatenate([-conducts, -conducts, conducts, conducts]),
            (np.concatenate([one, other, one, other]), np.concatenate([other, one, one, other])),
        ),
        shape=(size, size),
    ).tocsc()
    _, islands = connected_components(admittance, directed=False)
    reached = np.flatnonzero(islands == islands[0])[1:]
    places = [
        (cells[draw.layer][below], shares)
        for draw in draws
        for below, shares in [grid.shares(draw.land)]
    ]
    drawn = np.zeros(size)
    for draw, (numbers, shares) in zip(draws, places, strict=True):
        assert np.isin(numbers[shares > 0], reached).all(), f"{draw.land} is cut off"
        np.add.at(drawn, numbers[shares > 0], draw.amps * shares[shares > 0])
    lost = np.zeros(size)
    lost[reached] = spsolve(
        admittance[reached][:, reached].tocsc(),
        drawn[reached] * sheet_ohm,
    )
    return np.array([(lost[numbers] * shares).sum() for numbers, shares in places])


def _links(
    grid: Grid, layers: Sequence[Sequence[Polygon]], cells: npt.NDArray[np.int_]
) -> tuple[npt.NDArray[np.int_], npt.NDArray[np.int_], Floats]:
    """List the neighbours and, in squares, what conducts between them: the opening of the face."""
    found = []
    for numbers, shown in zip(cells, layers, strict=True):
        upright, level = grid.openings(shown)
        for before, after, opening in (
            (numbers[:-1], numbers[1:], upright),
            (numbers[:, :-1], numbers[:, 1:], level),
        ):
            open_ = (opening > _CLOSED) & (before != after)
            found.append((before[open_], after[open_], opening[open_]))
    one, other, conducts = (np.concatenate(parts) for parts in zip(*found, strict=True))
    return one, other, conducts


# -- what the files say ----------------------------------------------------------------------------


@dataclass(frozen=True)
class Copper:
    """Both sides of a board as its files show them; the first layer bears the parts."""

    objects: tuple[tuple[Seen, ...], ...]
    images: tuple[tuple[Polygon, ...], ...]
    holes: tuple[SeenHole, ...]

    def of(self, net: str) -> list[list[Polygon]]:
        """Find the pieces that touch a land of a net, on each side."""
        return [
            [piece for piece in shown if piece.intersects(shapely.union_all(areas))]
            for areas, shown in zip(
                ([area(seen.shape) for seen in _on(net, objects)] for objects in self.objects),
                self.images,
                strict=True,
            )
        ]

    def lands(self, net: str, letter: str) -> list[Seen]:
        """Find the lands of the parts of a kind on a net, in the order of their numbers."""
        found = [seen for seen in _on(net, self.objects[0])
                 if seen.pin and re.fullmatch(letter + r"\d+", seen.pin.reference)]  # fmt: skip
        return sorted(found, key=lambda seen: int(seen.pin.reference[1:]) if seen.pin else 0)

    def holes_in(self, lands: Iterable[Seen]) -> list[SeenHole]:
        """Find the holes in the middles of lands."""
        middles = {seen.shape.centre for seen in lands if isinstance(seen.shape, Disc | Box)}
        return [hole for hole in self.holes if (hole.x_nm, hole.y_nm) in middles]


def _on(net: str, objects: Iterable[Seen]) -> list[Seen]:
    return [seen for seen in objects
            if seen.dark and seen.net == net and isinstance(seen.shape, Box | Disc)]  # fmt: skip


@cache
def copper_of(text: str) -> Copper:
    files = {
        file.path: file.content
        for file in built_of(text).files
        if file.path.startswith("fabrication/")
    }
    sides = [path for side in ("top", "bottom") for path in files if f"_copper-{side}." in path]
    readings = [read_gerber(path, files[path]) for path in sides]
    drills = [read_drill(path, files[path]) for path in files if path.endswith(".drl")]
    assert readings
    assert not [fault for reading in (*readings, *drills) for fault in reading.faults]
    return Copper(
        objects=tuple(reading.objects for reading in readings),
        images=tuple(tuple(pieces(image(reading.objects))) for reading in readings),
        holes=tuple(hole for drill in drills for hole in drill.holes),
    )


def rails_of(text: str) -> Rails:
    return built_of(text).design.operation.rails


def sheet_ohm(built: Built) -> float:
    warm = 1 + PER_KELVIN * (built.design.operation.rails.copper_degc - 20)
    return RESISTIVITY_OHM_MM2_PER_M / built.design.parameters.copper.weight_um * warm


def passed_on(text: str, net: str) -> list[Draw]:
    """Tell what flows on to boards that are joined, at the land where they are."""
    passed = sum(rails_of(text).boards_a[1:])
    return [Draw(0, _boxed(land), passed) for land in copper_of(text).lands(net, "E")]


def _boxed(land: Seen) -> Seen:
    """Take the square in a round land: a staple's wire fills the middle of it."""
    if not isinstance(land.shape, Disc):
        return land
    side = Nm(round(math.sqrt(2) * land.shape.radius_nm))
    return replace(land, shape=Box(land.shape.centre, side, side))


@cache
def supply_drop_v(text: str, cell_mm: float = SUPPLY_CELL_MM) -> float:
    """Find the greatest loss from the + pin's hole to a ballast's first land, in the sheet.

    Only the first ballast of a branch has a land on V+.
    """
    copper = copper_of(text)
    draws = [
        Draw(0, land, amps)
        for land, amps in zip(copper.lands("V+", "R"), rails_of(text).currents_a, strict=True)
    ]
    draws += passed_on(text, "V+")
    held = copper.holes_in(copper.lands("V+", "J"))
    return float(lost_v(copper.of("V+")[:1], cell_mm, sheet_ohm(built_of(text)), draws, held).max())


@cache
def return_drop_v(text: str, cell_mm: float = RETURN_CELL_MM) -> float:
    """Find the greatest loss from a branch's last cathode to the − pin's hole, in both sheets."""
    copper = copper_of(text)
    draws = [
        Draw(0, land, amps)
        for land, amps in zip(copper.lands("0V", "D"), rails_of(text).currents_a, strict=True)
    ]
    draws += passed_on(text, "0V")
    held = copper.holes_in(copper.lands("0V", "J"))
    vias = [hole for hole in copper.holes_in(_on("0V", copper.objects[0])) if hole not in held]
    return float(
        lost_v(copper.of("0V"), cell_mm, sheet_ohm(built_of(text)), draws, held, vias).max()
    )


@cache
def poured_drop_v(text: str, cell_mm: float) -> float:
    """Find the greatest loss from the + pin through the pour, its vias and their tracks."""
    copper = copper_of(text)
    draws = [
        Draw(0, land, amps)
        for land, amps in zip(copper.lands("V+", "R"), rails_of(text).currents_a, strict=True)
    ]
    held = copper.holes_in(copper.lands("V+", "J"))
    vias = [hole for hole in copper.holes_in(_on("V+", copper.objects[0])) if hole not in held]
    assert len(vias) == len(draws)
    return float(
        lost_v(copper.of("V+"), cell_mm, sheet_ohm(built_of(text)), draws, held, vias).max()
    )


# -- the sheet itself, against what is known in closed form ----------------------------------------


def piece(*corners: tuple[float, float]) -> Polygon:
    return Polygon([(x / MM_PER_NM, y / MM_PER_NM) for x, y in corners])


def land(left: float, low: float, right: float, high: float) -> Seen:
    middle = (round((left + right) / 2 / MM_PER_NM), round((low + high) / 2 / MM_PER_NM))
    size = (round((right - left) / MM_PER_NM), round((high - low) / MM_PER_NM))
    return Seen(shape=Box(middle, *size), dark=True, function="")  # type: ignore[arg-type]


def hole(x: float, y: float, diameter: float) -> SeenHole:
    places = (round(value / MM_PER_NM) for value in (x, y, diameter))
    return SeenHole(**dict(zip(("x_nm", "y_nm", "diameter_nm"), places, strict=True)),
                    plated=True, function="")  # fmt: skip


def squares_between(shown: Polygon, first: Seen, last: Seen, held: SeenHole) -> float:
    """Send 1 A in at one land and out at the other, through 1 ohm to the square.

    No current is left for the held hole: it lies where none flows by, and only gives the zero.
    """
    draws = [Draw(0, first, 1.0), Draw(0, last, -1.0)]
    above, below = lost_v([[shown]], SUPPLY_CELL_MM, 1.0, draws, [held])
    return float(above - below)


def test_a_strip_has_as_many_squares_as_its_length_has_widths() -> None:
    """Its width is no multiple of a cell; of each land, where current fades, a third counts."""
    strip = piece((0, 0), (20, 0), (20, 0.73), (0, 0.73))
    found = squares_between(
        strip, land(1, 0, 2.2, 0.73), land(17, 0, 18.2, 0.73), hole(19.5, 0.365, 0.3)
    )
    assert found == pytest.approx((14.8 + 2 * 1.2 / 3) / 0.73, rel=1e-3)


def test_a_bend_counts_as_much_as_conformal_mapping_gives() -> None:
    """0.559 squares for the corner: a classic result, from memory, confident."""
    bend = piece((0, 0), (33, 0), (33, 33), (30, 33), (30, 3), (0, 3))
    found = squares_between(bend, land(3, 0, 6, 3), land(30, 27, 33, 30), hole(0.5, 1.5, 0.3))
    arms = (30 - 6) / 3 + (27 - 3) / 3 + 2 / 3
    assert found - arms == pytest.approx(0.559, abs=0.01)


@pytest.mark.thorough
def test_finer_cells_change_nothing_that_counts() -> None:
    fine = supply_drop_v(SHELF, SUPPLY_CELL_MM / 2)
    assert supply_drop_v(SHELF) == pytest.approx(fine, rel=1e-3)
    fine = return_drop_v(SHELF, RETURN_CELL_MM / 2)
    assert return_drop_v(SHELF) == pytest.approx(fine, rel=5e-3)


# -- the network, against the sheet ----------------------------------------------------------------


EXAMPLES = {
    path.stem: path.read_text(encoding="utf-8")
    for path in sorted((Path(__file__).parents[2] / "examples").glob("*/*.toml"))
    if "[family]" not in path.read_text(encoding="utf-8") and path.stem != "house-number"
}
LINE_PARTS: dict[str, dict[str, Any]] = {
    "connector": {"switch": None},
    "protection": {"fuse": None, "reverse": None},
}
UNSWITCHED = {
    name: merged(re.sub(r"(?m)^format *=.*$", "", text), LINE_PARTS)
    for name, text in EXAMPLES.items()
    if name != "lens-ring" and not re.search(r"(?m)^\[\[", text)
}
"""The same without parts in the supply line: so V+ is one piece of copper."""
SUPPLIES = {**BOARDS, **OTHER_FEEDS, **UNSWITCHED}


FIRST = ("eight on one rail from the left",)
LARGE = ("mirror-arc", "bird-house")


def marked(names: Iterable[str]) -> list[Any]:
    """Leave one board to every run, and those of many cells to the marked one."""
    return [
        pytest.param(
            name,
            marks=[] if name in FIRST else pytest.mark.slow if name in LARGE
            else pytest.mark.thorough,
        )
        for name in names
    ]  # fmt: skip


@pytest.mark.parametrize("name", marked(SUPPLIES))
def test_the_drop_along_the_supply_is_that_of_the_copper_in_the_files(name: str) -> None:
    text = SUPPLIES[name]
    assert rails_of(text).drop_v == pytest.approx(supply_drop_v(text), rel=SUPPLY_WITHIN)


GRID = merged(
    SHELF,
    {
        "supply": {"from": "adapter 12 V"},
        "light": {"count": 24, "use": None, "current": "9 mA"},
        "form": {"kind": "grid", "pitch": "16 mm", "rows": 4},
    },
)
RETURNS = {**BOARDS, **OTHER_FEEDS, "a grid": GRID, **EXAMPLES}


@pytest.mark.parametrize("name", marked(RETURNS))
def test_the_drop_along_the_return_is_that_of_the_copper_in_the_files(name: str) -> None:
    text = RETURNS[name]
    found = rails_of(text).return_drop_v
    assert found == pytest.approx(return_drop_v(text), rel=RETURN_WITHIN)


SPLITS = {
    "a disc": of_split("a disc"),
    "inward on a ring": merged(of_split("a disc"), {"form": {"kind": "ring", "facing": "inward"}}),
    "strings of a word": of_split("strings of a word"),
}
POURED_CELL_MM, POURED_WITHIN = 0.1, 0.06
"""Fine enough for the tracks at vias; most is lost there."""
ALONE_WITHIN = 0.065
"""Of a return in one sheet alone the gaps between coarse cells count more."""


@pytest.mark.parametrize("name", [
    pytest.param(name, marks=pytest.mark.thorough if name == "a disc" else pytest.mark.slow)
    for name in SPLITS
])  # fmt: skip
def test_the_drop_through_a_pour_of_the_supply_is_that_of_the_copper(name: str) -> None:
    text = SPLITS[name]
    rails = rails_of(text)
    assert rails.poured
    assert rails.drop_v == pytest.approx(poured_drop_v(text, POURED_CELL_MM), rel=POURED_WITHIN)
    assert rails.return_drop_v == pytest.approx(return_drop_v(text), rel=ALONE_WITHIN)


@pytest.mark.thorough
def test_a_rail_drawn_twice_as_wide_changes_sheet_and_network_alike() -> None:
    narrow, wide = (
        merged(SHELF, {"form": {"width": "20 mm"}, "copper": {"rail": rail}})
        for rail in ("1 mm", "2 mm")
    )
    in_sheet = supply_drop_v(wide) / supply_drop_v(narrow)
    in_network = rails_of(wide).drop_v / rails_of(narrow).drop_v
    assert 0.5 < in_sheet < 0.6  # The drops to the ballasts stay as wide as they were.
    assert in_network == pytest.approx(in_sheet, rel=SUPPLY_WITHIN)


@pytest.mark.thorough
def test_what_a_gap_leaves_hanging_on_lands_alone_comes_back_through_them() -> None:
    """A gap along the row cuts the pour above it off, but for the spokes of the cathodes' lands."""
    text = merged(SHELF, {"copper": {"sides": 1}, "connector": {"side": "bottom"}})
    design = design_of(text)
    (layer,) = design.artwork.coppers()
    row_nm, end_nm = snap(design.board.part("D1").y_mm), snap(design.board.outline.length_mm)
    gap = Item(shape=Stroke(((Nm(0), row_nm), (end_nm, row_nm)), snap(0.3)),
               purpose=Purpose.CLEARANCE, dark=False)  # fmt: skip
    at = next(n for n, item in enumerate(layer.items) if item.purpose is Purpose.SPOKE)
    cut = replace(layer, items=(*layer.items[:at], gap, *layer.items[at:]))
    solved = operate(design.parameters, design.circuit, design.board, (cut,)).rails
    lands = {
        int(item.owner.reference[1:]): Seen(shape=item.shape, dark=True, function="")
        for item in cut.items
        if item.net == "0V" and item.owner and item.purpose is Purpose.SURFACE_LAND
    }
    shown = [
        one for one in shapely.get_parts(drawn_image(cut.items).shape)
        if any(one.intersects(area(land.shape)) for land in lands.values())
    ]  # fmt: skip
    held = [hole(drill.centre[0] * MM_PER_NM, drill.centre[1] * MM_PER_NM,
                 drill.diameter_nm * MM_PER_NM)
            for drill in design.artwork.holes if drill.net == "0V"]  # fmt: skip
    draws = [Draw(0, lands[place], amps) for place, amps in enumerate(solved.currents_a, start=1)]
    lost = lost_v([shown], RETURN_CELL_MM, sheet_ohm(built_of(text)), draws, held).max()
    assert solved.return_drop_v == pytest.approx(lost, rel=RETURN_WITHIN)
    assert solved.return_drop_v > 1.15 * design.operation.rails.return_drop_v


@pytest.mark.thorough
def test_a_large_board_has_cells_enough(monkeypatch: pytest.MonkeyPatch) -> None:
    """300 by 180 mm on one side: no gap between rails and pour is lost between coarse cells."""
    design = design_of(
        merged(GRID, {"light": {"count": 240}, "copper": {"sides": 1}, "mounting": {"at": "none"},
                      "connector": {"side": "bottom"}, "form": {"rows": 12, "width": None}})
    )  # fmt: skip
    assert design.board.outline.area_mm2 > 50_000
    monkeypatch.setattr(contacts, "_MOST_CELLS", 240_000)
    fine = operate(design.parameters, design.circuit, design.board, design.artwork.coppers()).rails
    assert design.operation.rails.return_drop_v == pytest.approx(fine.return_drop_v, rel=0.02)
