"""Pours as conducting sheets, and where lands meet them: from what the copper layers draw."""

import math
from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import combinations

import numpy as np

from boardgen.electrical.network import Array
from boardgen.electrical.sheet import Cell, Link, Sheets
from boardgen.geometry.faces import openings
from boardgen.geometry.pours import filled_of
from boardgen.model.artwork import Item, Layer, Purpose
from boardgen.model.board import Board
from boardgen.model.circuit import RETURN_NET
from boardgen.model.shapes import Box, Disc, Point, Stroke
from boardgen.units import NM_PER_MM

_LEAST_CELL_MM, _MOST_CELLS = 0.5, 60_000
"""Cells no finer than finite differences need them, and no more than a quick look may cost."""
_ASIDE = 0.3719
"""Copper lies on round figures, lines between cells do not: as a share of a cell."""
_EVEN = 8
"""Cells by so many may be halved three times, which wider grids like."""
_LEAK = 1e-9
"""What each cell conducts to the drain, in squares: next to nothing, but what is cut off from it,
which rules on nets find, has a loss as well."""
_JOINT, _PIN = 10.0, 1000.0
"""What a barrel and a pin conduct, in squares: next to the sheets without loss."""
_POINTS = 8
"""A land is looked at in so many points either way."""

_HALF_DISC = 0.445
"""From the known 0.198 of a cell far from any edge and its image beyond the edge:
sqrt(0.198 * 1). Both from memory, confident."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Contact:
    """Where a land meets its pour.

    Shares of its current by cell, what its own current passes until there, and what joins those
    cells through the land: the far side of a land may hang on nothing else.
    """

    shares: dict[Cell, float]
    squares: float = 0.0
    links: tuple[Link, ...] = ()

    def add_to(self, drawn: Array, current_a: float) -> None:
        """Spread a current over its cells."""
        for cell, share in self.shares.items():
            drawn[cell] += share * current_a

    def seen(self, lost: Array, current_a: float = 0.0) -> float:
        """Tell what is lost at the land; its own current is lost in the spokes as well."""
        at_cells = sum(share * float(lost[cell]) for cell, share in self.shares.items())
        return at_cells + current_a * self.squares


def _pour_net(layer: Layer) -> str:
    return next((item.net for item in layer.items if item.purpose is Purpose.POUR), "")


class Grid:
    """Cells over the pours of a board."""

    def __init__(self, board: Board, every: Sequence[Layer], net: str = RETURN_NET) -> None:
        coppers = [layer for layer in every if _pour_net(layer) == net]
        self._coppers, self._net = coppers, net
        outline = board.outline
        cells = outline.length_mm * outline.width_mm * len(coppers) / _MOST_CELLS
        self._cell_nm = NM_PER_MM * max(_LEAST_CELL_MM, math.sqrt(cells))
        x, y = map(self._lines, (outline.length_mm, outline.width_mm))
        faces = [openings(filled_of(layer), x, y) for layer in coppers]
        upright, level = (np.array(shares) for shares in zip(*faces, strict=True))
        shape = (len(x) - 1, len(y) - 1)
        self._bare = Sheets(
            upright=upright, level=level, joined=np.zeros(shape),
            held=np.zeros((len(coppers), *shape)),
        )  # fmt: skip
        self._filled = self._bare.whole > 0
        self._spokes = [_by_start(layer) for layer in coppers]
        self._lands = {
            (item.owner.reference, item.owner.function): (number, item)
            for number, layer in enumerate(coppers)
            for item in layer.items
            if item.owner
        }

    def _lines(self, size_mm: float) -> Array:
        """Lay lines from before the board's edge to beyond the other."""
        cells = math.ceil(size_mm * NM_PER_MM / self._cell_nm + _ASIDE)
        even: Array = np.arange(-(-cells // _EVEN) * _EVEN + 1, dtype=float)
        return (even - _ASIDE) * self._cell_nm

    def sheets(self, connector: str) -> Sheets:
        """Join the pours at the vias, and hold them where they meet a part's lands."""
        joined, held = self._bare.joined.copy(), np.where(self._filled, _LEAK, 0.0)
        links: list[Link] = []
        barrels: dict[tuple[str, str], list[Contact]] = defaultdict(list)
        for number, layer in enumerate(self._coppers):
            for item in layer.items:
                if item.net != self._net:
                    continue
                if item.purpose is Purpose.VIA_LAND:
                    _, *cell = self._cell(number, *_middle(item))
                    joined[tuple(cell)] = _JOINT
                elif item.owner:
                    contact = self._contact(number, item)
                    if item.owner.reference == connector:
                        contact.add_to(held, _conducts(contact))
                        continue
                    links += contact.links
                    if item.purpose is Purpose.THROUGH_LAND:
                        barrels[item.owner.reference, item.owner.pin].append(contact)
        for lands in barrels.values():
            for one, other in combinations(lands, 2):
                links += _through(one, other)
        return replace(self._bare, joined=joined, held=held, links=tuple(links))

    def riser(self, at_nm: Point) -> Contact:
        """Find where the via that is nearest to a place meets its pour."""
        vias = [
            (number, item)
            for number, layer in enumerate(self._coppers)
            for item in layer.items
            if item.purpose is Purpose.VIA_LAND and item.net == self._net
        ]
        return self._contact(*min(vias, key=lambda via: math.dist(_middle(via[1]), at_nm)))

    def contact(self, reference: str, function: str) -> Contact:
        """Find where a chip's land meets the pour of its side."""
        return self._contact(*self._lands[reference, function])

    def lead(self, reference: str, function: str) -> Contact:
        """Find where a lead meets the pours of all sides: its barrel is one with all its lands."""
        contacts = [
            self._contact(number, item)
            for number, layer in enumerate(self._coppers)
            for item in layer.items
            if item.owner and (item.owner.reference, item.owner.function) == (reference, function)
        ]
        conducts = [_conducts(contact) for contact in contacts]
        shares = [
            (cell, share * through / sum(conducts))
            for contact, through in zip(contacts, conducts, strict=True)
            for cell, share in contact.shares.items()
        ]
        return Contact(shares=_summed(shares), squares=1.0 / sum(conducts))

    def around(self, contact: Contact, radius_mm: float) -> Contact:
        """Widen a contact to all of the pour that is so near to it."""
        sheet, column, row = max(contact.shares, key=lambda cell: contact.shares[cell])
        reach = int(radius_mm * NM_PER_MM / self._cell_nm)
        near = [
            (sheet, column + x, row + y)
            for x in range(-reach, reach + 1)
            for y in range(-reach, reach + 1)
            if math.hypot(x, y) <= reach and self._within(sheet, column + x, row + y)
        ]
        return Contact(shares=dict.fromkeys(near, 1.0 / len(near)))

    def _contact(self, number: int, item: Item) -> Contact:
        """Let a land's current out by its spokes, or all over it where it has none."""
        spokes = self._spokes[number].get(_middle(item), [])
        if not spokes:
            points = list(_points(item))
            share = 1.0 / len(points)
            conducts = [(self._cell(number, *point), share) for point in points]
            return Contact(shares=_summed(conducts))
        lead = item.purpose is Purpose.THROUGH_LAND
        cells = [self._cell(number, *spoke.points[-1]) for spoke in spokes]
        ways = [self._squares(item, spoke) for spoke in spokes]
        # A pin fills its hole: nothing is lost in its land.
        inner = [0.0 if lead else _inner_squares(item, spoke) for spoke in spokes]
        whole = sum(1.0 / way for way in ways)
        shares = [(cell, 1.0 / way / whole) for cell, way in zip(cells, ways, strict=True)]
        through = [1.0 / (way + half) for way, half in zip(ways, inner, strict=True)]
        links = tuple(
            (one, other, first * second / sum(through))
            for (one, first), (other, second) in combinations(zip(cells, through, strict=True), 2)
            if one != other
        )
        # Drawn evenly over a strip that ends in sinks, a current loses a twelfth of its squares.
        return Contact(shares=_summed(shares), squares=1.0 / whole + min(inner) / 6, links=links)

    def _squares(self, item: Item, spoke: Stroke) -> float:
        """Tell what a spoke resists: its length over its width, and the crowding at its end.

        Beside an edge a cell spreads current as a half disc of 0.445 of its width does, the end of
        a strip as one of a quarter of the strip's: what lies between the two the cell leaves out.
        """
        width_nm = 2.0 * spoke.radius_nm
        crowding = math.log(_HALF_DISC * self._cell_nm / (width_nm / 4)) / math.pi
        length_nm = math.dist(*spoke.points) - _half_nm(item, spoke) - spoke.radius_nm
        return length_nm / width_nm + max(crowding, 0.0)

    def _cell(self, number: int, x_nm: float, y_nm: float) -> Cell:
        """Find the cell of a point, or the nearest that holds some of the pour."""
        column, row = (int(at / self._cell_nm + _ASIDE) for at in (x_nm, y_nm))
        if self._within(number, column, row):
            return (number, column, row)
        columns, rows = np.nonzero(self._filled[number])
        nearest = int(np.argmin((columns - column) ** 2 + (rows - row) ** 2))
        return (number, int(columns[nearest]), int(rows[nearest]))

    def _within(self, number: int, column: int, row: int) -> bool:
        _, columns, rows = self._filled.shape
        inside = 0 <= column < columns and 0 <= row < rows
        return inside and bool(self._filled[number, column, row])


def _conducts(contact: Contact) -> float:
    """Tell what lies between a land's middle and its pour, in squares."""
    return 1.0 / contact.squares if contact.squares else _PIN


def _through(one: Contact, other: Contact) -> Iterator[Link]:
    """Join the cells of two lands of one barrel, through both their spokes."""
    first, second = _conducts(one), _conducts(other)
    both = first * second / (first + second)
    for here, share in one.shares.items():
        for there, part in other.shares.items():
            yield (here, there, share * part * both)


def _inner_squares(item: Item, spoke: Stroke) -> float:
    """Tell how many squares of a land lie between its middle and a spoke's beginning."""
    return 2 * _half_nm(item, spoke) ** 2 / _area_nm2(item)


def _half_nm(item: Item, spoke: Stroke) -> float:
    """Tell how far a land's edge is from its middle where a spoke leaves it."""
    shape = item.shape
    if not isinstance(shape, Box):
        assert isinstance(shape, Disc)  # noqa: S101 - lands are nothing else
        return float(shape.radius_nm)
    (x1, y1), (x2, y2) = spoke.points[0], spoke.points[-1]
    cos, sin = shape.axes
    along, across = (x2 - x1) * cos + (y2 - y1) * sin, (y2 - y1) * cos - (x2 - x1) * sin
    return (shape.width_nm if abs(along) > abs(across) else shape.height_nm) / 2


def _area_nm2(item: Item) -> float:
    shape = item.shape
    if isinstance(shape, Box):
        return float(shape.width_nm) * shape.height_nm
    assert isinstance(shape, Disc)  # noqa: S101 - lands are nothing else
    return math.pi * shape.radius_nm**2


def _summed(shares: Sequence[tuple[Cell, float]]) -> dict[Cell, float]:
    found: dict[Cell, float] = defaultdict(float)
    for cell, share in shares:
        found[cell] += share
    return dict(found)


def _by_start(layer: Layer) -> dict[Point, list[Stroke]]:
    """Gather a side's spokes by the middles of their lands."""
    found: dict[Point, list[Stroke]] = defaultdict(list)
    for item in layer.items:
        if item.purpose is Purpose.SPOKE and isinstance(item.shape, Stroke):
            found[item.shape.points[0]].append(item.shape)
    return found


def _middle(item: Item) -> Point:
    assert isinstance(item.shape, Box | Disc)  # noqa: S101 - lands are nothing else
    return item.shape.centre


def _points(item: Item) -> Iterator[tuple[float, float]]:
    """List points all over a land."""
    shape = item.shape
    assert isinstance(shape, Box | Disc)  # noqa: S101 - lands are nothing else
    width, height, (cos, sin) = (
        (shape.width_nm, shape.height_nm, shape.axes)
        if isinstance(shape, Box)
        else (shape.radius_nm, shape.radius_nm, (1.0, 0.0))
    )
    steps = [(place + 0.5) / _POINTS - 0.5 for place in range(_POINTS)]
    x, y = shape.centre
    for across in steps:
        for along in steps:
            yield (
                x + across * width * cos - along * height * sin,
                y + across * width * sin + along * height * cos,
            )
