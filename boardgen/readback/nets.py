"""Nets traced through the copper that is really there."""

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

import numpy as np
import shapely
from shapely import Polygon, STRtree
from shapely.geometry.base import BaseGeometry

from boardgen.model.proof import Difference, Kind
from boardgen.readback.images import Pieces, area, barrel, box_mm, pieces, point_mm
from boardgen.readback.objects import Pin, Seen, SeenHole
from boardgen.tolerances import SLIVER_NM

_MOST_PIECES = 100
"""So many pieces of one net are told; each is held against all others."""

MARK_IN_COPPER = "OtherCopper,Cathode"
LETTER_FUNCTIONS = ("NonConductor", MARK_IN_COPPER, "OtherCopper,Plus", "OtherCopper,Minus")
LETTERS = "of letters in copper"
"""Letters and marks carry no net; should one touch a net, the two are told as joined."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Shown:
    """One copper side: the file's part, its objects, and what they show together."""

    layer: str
    objects: Sequence[Seen]
    image: BaseGeometry


@dataclass(frozen=True, slots=True)
class _Member:
    """An object as a part of what conducts: on which side, and what is left of it to see."""

    side: int
    seen: Seen
    visible: BaseGeometry


@dataclass
class Traced:
    """Pieces of copper gathered into groups that conduct, with what the attributes call them."""

    group_of_pin: dict[Pin, int] = field(default_factory=dict)
    place_of_pin: dict[Pin, tuple[float, float]] = field(default_factory=dict)
    members: dict[int, list[_Member]] = field(default_factory=lambda: defaultdict(list))
    pieces: dict[int, list[tuple[int, Polygon]]] = field(default_factory=lambda: defaultdict(list))
    layers: tuple[str, ...] = ()
    faults: list[Difference] = field(default_factory=list)

    def nets(self, group: int) -> set[str]:
        """Name the nets of a group, as its objects name them."""
        return {net_of(member.seen) for member in self.members[group]}

    def groups_of_net(self) -> dict[str, list[int]]:
        """Map every net's name to the groups that carry it."""
        found: dict[str, list[int]] = defaultdict(list)
        for group in self.members:
            for net in self.nets(group):
                found[net].append(group)
        return found


def net_of(seen: Seen) -> str:
    """Name the net of an object; letters in copper count as one of their own."""
    return seen.net or (LETTERS if seen.function in LETTER_FUNCTIONS else "")


def trace(sides: Sequence[Shown], holes: Sequence[SeenHole]) -> Traced:
    """Trace what conducts: copper that hangs together on a side, and plated holes between sides.

    Returns
    -------
    Traced
        With a fault for each net that falls apart, each pair that is joined, each object without
        a name.
    """
    traced = Traced(layers=tuple(side.layer for side in sides))
    parts = [[piece for piece in pieces(side.image) if not piece.buffer(-SLIVER_NM).is_empty]
             for side in sides]  # fmt: skip
    trees = [Pieces(found) for found in parts]
    starts = [int(start) for start in np.cumsum([0, *map(len, parts)])]
    joined = _Joined(starts[-1])
    for hole in holes:
        if hole.plated:
            met = [start + place for start, tree in zip(starts, trees, strict=False)
                   for place in tree.under(barrel(hole))]  # fmt: skip
            if len(met) < len(sides):
                traced.faults.append(_half_a_barrel(hole, len(met), len(sides)))
            for other in met[1:]:
                joined.join(met[0], other)
    for side, (start, found) in enumerate(zip(starts, parts, strict=False)):
        for place, piece in enumerate(found):
            traced.pieces[joined.find(start + place)].append((side, piece))
    for side, (start, tree) in enumerate(zip(starts, trees, strict=False)):
        for seen, visible in _visible(sides[side].objects):
            groups = [joined.find(start + place) for place in tree.under(visible)]
            _name(traced, _Member(side, seen, visible), groups)
    traced.faults += [*_joined(traced), *_apart(traced)]
    return traced


class _Joined:
    """Which pieces conduct to one another."""

    def __init__(self, count: int) -> None:
        self.parent = list(range(count))

    def find(self, member: int) -> int:
        while self.parent[member] != member:
            self.parent[member] = self.parent[self.parent[member]]
            member = self.parent[member]
        return member

    def join(self, one: int, other: int) -> None:
        self.parent[self.find(other)] = self.find(one)


def _under(tree: STRtree, shape: BaseGeometry) -> list[int]:
    return sorted(int(place) for place in tree.query(shape, "intersects"))


def _half_a_barrel(hole: SeenHole, met: int, of: int) -> Difference:
    return Difference(
        kind=Kind.APART,
        text=f"{hole} meets copper on {met} of {of} sides",
        layer=hole.file,
        place_mm=hole.place_mm,
        size_mm=hole.size_mm,
    )


def _visible(objects: Sequence[Seen]) -> Iterator[tuple[Seen, BaseGeometry]]:
    """Give each dark object with what clear objects drawn after it leave of it."""
    clears = [(place, area(seen.shape)) for place, seen in enumerate(objects) if not seen.dark]
    tree = STRtree([shape for _, shape in clears])
    last_clear = clears[-1][0] if clears else -1
    for place, seen in enumerate(objects):
        if not seen.dark:
            continue
        visible = area(seen.shape)
        if place < last_clear:
            over = [clears[at][1] for at in _under(tree, visible) if clears[at][0] > place]
            if over:
                visible = visible.difference(shapely.union_all(over)).buffer(-SLIVER_NM)
        yield seen, visible


def _name(traced: Traced, member: _Member, groups: list[int]) -> None:
    seen = member.seen
    if not groups or not net_of(seen):
        said = "shows no copper" if not groups else "names no net"
        traced.faults.append(
            Difference(
                kind=Kind.NAMELESS if groups else Kind.MISSING,
                text=f"{seen} {said}",
                layer=traced.layers[member.side],
                subjects=seen.subjects,
                place_mm=seen.place_mm,
                size_mm=seen.size_mm,
            )
        )
        return
    for group in groups:
        traced.members[group].append(member)
    if seen.pin:
        before = traced.group_of_pin.setdefault(seen.pin, groups[0])
        traced.place_of_pin.setdefault(seen.pin, seen.place_mm)
        if before != groups[0]:
            traced.faults.append(
                Difference(
                    kind=Kind.APART,
                    text=f"pin {seen.pin.name} is in two pieces",
                    layer=traced.layers[member.side],
                    subjects=seen.subjects,
                    place_mm=seen.place_mm,
                )
            )


def _joined(traced: Traced) -> Iterator[Difference]:
    """Tell where objects of two nets touch; each pair of nets once."""
    for group in list(traced.members):
        nets = sorted(traced.nets(group))
        if len(nets) < 2:  # noqa: PLR2004 - a pair
            continue
        told: set[tuple[str, str]] = set()
        for one, other, where in _touching(traced.members[group]):
            pair = (min(net_of(one.seen), net_of(other.seen)),
                    max(net_of(one.seen), net_of(other.seen)))  # fmt: skip
            if pair in told:
                continue
            told.add(pair)
            yield Difference(
                kind=Kind.JOINED,
                text=f"nets {' and '.join(pair)} are joined by copper: {one.seen}, {other.seen}",
                layer=traced.layers[one.side],
                subjects=tuple(dict.fromkeys((*pair, *one.seen.subjects, *other.seen.subjects))),
                place_mm=point_mm(where),
                size_mm=box_mm(where),
            )
        lone = set(nets) - {net for pair in told for net in pair}
        if lone:
            yield Difference(
                kind=Kind.JOINED,
                text=f"nets {', '.join(nets)} are joined by copper",
                subjects=tuple(nets),
            )


def _touching(members: Sequence[_Member]) -> Iterator[tuple[_Member, _Member, BaseGeometry]]:
    """Find objects of two nets that share copper on their side."""
    tree = STRtree([member.visible for member in members])
    for at, member in enumerate(members):
        for other_at in _under(tree, member.visible):
            other = members[other_at]
            if other_at > at and other.side == member.side \
                    and net_of(other.seen) != net_of(member.seen):  # fmt: skip
                where = member.visible.intersection(other.visible)
                if not where.is_empty:
                    yield member, other, where


def _apart(traced: Traced) -> Iterator[Difference]:
    """Tell where a net falls apart: between each smaller piece and what is nearest of the rest."""
    for net, groups in sorted(traced.groups_of_net().items()):
        if net == LETTERS:
            continue
        by_size = sorted(groups, key=lambda group: -_size(traced, group))
        for group in by_size[1:_MOST_PIECES]:
            rest = [piece for other in groups if other != group for piece in traced.pieces[other]]
            side, place, size = _break(traced.pieces[group], rest)
            pins = sorted({m.seen.pin.name for m in traced.members[group] if m.seen.pin})
            yield Difference(
                kind=Kind.APART,
                text=f"net {net} falls apart into {len(groups)} pieces; one holds "
                f"{', '.join(pins) or 'no pin'}",
                layer=traced.layers[side],
                subjects=(net, *pins),
                place_mm=place,
                size_mm=size,
            )


def _size(traced: Traced, group: int) -> float:
    return float(sum(piece.area for _, piece in traced.pieces[group]))


def _break(
    piece: Sequence[tuple[int, Polygon]], rest: Sequence[tuple[int, Polygon]]
) -> tuple[int, tuple[float, float], tuple[float, float]]:
    """Find the narrowest gap between a piece and the rest of its net, on whichever side it is."""
    best: tuple[float, int, BaseGeometry] | None = None
    for side in {at for at, _ in piece} & {at for at, _ in rest}:
        mine = shapely.MultiPolygon([polygon for at, polygon in piece if at == side])
        others = shapely.MultiPolygon([polygon for at, polygon in rest if at == side])
        line = shapely.shortest_line(mine, others)
        if best is None or line.length < best[0]:
            best = (line.length, side, line)
    if best is None:
        side, polygon = piece[0]
        return side, point_mm(polygon), box_mm(polygon)
    middle = best[2].interpolate(0.5, normalized=True)
    return best[1], point_mm(middle), box_mm(best[2])
