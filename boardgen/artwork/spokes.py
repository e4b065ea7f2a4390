"""Spokes: what joins a relieved land to the pour around it.

A land gets the usual ones, as layout keeps room for them. Where too few of them lead on, a lead
gets narrower ones, which find more room, and a chip, if there is room, a lone one as wide as two.
"""

import math
from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

from boardgen.geometry.measuring import near_pairs
from boardgen.geometry.placing import half
from boardgen.geometry.regions import Region
from boardgen.geometry.tracing import touching
from boardgen.model.artwork import Item, Purpose
from boardgen.model.board import Part
from boardgen.model.limits import Limits
from boardgen.model.pose import direction
from boardgen.model.shapes import Box, Disc, Shape, Stroke
from boardgen.units import Nm, snap

_CHIP_SPOKES, _SOLID = 2, -1
_WITHIN_NM = 250
"""Arcs are cut within so much: the rule on spokes allows twice this."""
_HARDLY, _HALF = 1e-6, 0.5
"""Cosines: of an angle that is square but for rounding, and of one that is neither."""
_Way = tuple[float, float]


@dataclass(frozen=True, kw_only=True)
class Surroundings:
    """What spokes have to reach, and to keep off.

    Parameters
    ----------
    core : Region
        The pour without its spokes, islands still in it.
    foreign : sequence of Shape
        What the pour keeps off, with its gap.
    solid : sequence of Shape
        Metal that is joined to the pour without a relief.
    """

    limits: Limits
    parts: Mapping[str, Part]
    lead_spoke_mm: float
    core: Region
    foreign: Sequence[Shape]
    solid: Sequence[Shape]

    @cached_property
    def pieces(self) -> tuple[Region, ...]:
        """Take the pour apart into what hangs together."""
        return self.core.pieces()

    def pieces_at(self, spokes: Sequence[Stroke]) -> dict[Stroke, int]:
        """Tell in which piece each spoke ends."""
        met = touching(self.pieces, [tip(spoke) for spoke in spokes])
        return {spokes[number]: piece for piece, number in met}


_Manner = tuple[float, float, int]
"""How wide spokes are at leads and at chips, in mm, and how many a chip gets."""


def _manners(around: Surroundings) -> Iterator[_Manner]:
    """List how spokes are drawn, the best first."""
    aims, spokes = around.limits.aims, max(_CHIP_SPOKES, around.limits.spokes)
    yield around.lead_spoke_mm, aims.chip_spoke_mm, spokes
    yield aims.hole_spoke_mm, spokes * aims.chip_spoke_mm, 1


def spokes_of(relieved: Sequence[Item], around: Surroundings) -> list[Stroke]:
    """Draw the spokes of all relieved lands that end in the pour and touch nothing else.

    Where nothing but the land itself touches a piece of the pour, a spoke leads nowhere: it counts
    only where a land finds no others.
    """
    lacking, holders = list(range(len(relieved))), dict[int, set[int]]()
    chosen: list[list[Stroke]] = [[] for _ in relieved]
    most = [(-1, -1)] * len(relieved)
    for manner in _manners(around):
        *_, chip_spokes = manner
        drawn = _drawn(relieved, lacking, around, manner)
        pieces = around.pieces_at([spoke for spokes in drawn.values() for spoke in spokes])
        holders = holders or _holders(around, drawn, pieces)
        for place, spokes in drawn.items():
            item = relieved[place]
            leading = [one for one in spokes if holders.get(pieces[one], set()) - {place}]
            wanted = chip_spokes if _chip(item) else around.limits.spokes
            found = (len(leading), len(spokes))
            if found[0] >= wanted or found > most[place]:
                chosen[place] = _kept(item, spokes, leading, around, chip_spokes)
                most[place] = found
            if found[0] >= wanted:
                lacking.remove(place)
    return [spoke for spokes in chosen for spoke in spokes]


def _drawn(
    relieved: Sequence[Item], places: Sequence[int], around: Surroundings, manner: _Manner
) -> dict[int, list[Stroke]]:
    """Draw the spokes of some lands that end in the pour and touch nothing else."""
    reaching = [
        (place, spoke)
        for place in places
        for spoke in _spokes(relieved[place], around, manner)
        if around.core.covers(tip(spoke))
    ]
    pairs = near_pairs([spoke for _, spoke in reaching], around.foreign, 1)
    barred = {number for number, _, gap in pairs if gap < 0}
    found: dict[int, list[Stroke]] = {place: [] for place in places}
    for number, (place, spoke) in enumerate(reaching):
        if number not in barred:
            found[place].append(spoke)
    return found


def _holders(
    around: Surroundings, drawn: Mapping[int, Sequence[Stroke]], pieces: Mapping[Stroke, int]
) -> dict[int, set[int]]:
    """Tell which lands have spokes in each piece of the pour; -1 stands for solid metal."""
    found: dict[int, set[int]] = defaultdict(set)
    for place, spokes in drawn.items():
        for spoke in spokes:
            found[pieces[spoke]].add(place)
    for piece, _ in touching(around.pieces, around.solid):
        found[piece].add(_SOLID)
    return found


def _spokes(item: Item, around: Surroundings, manner: _Manner) -> Iterator[Stroke]:
    """Draw spokes from a land's centre: all ways from a hole, all but inwards from a chip.

    They lie along the part and across it, as layout keeps room for them.
    """
    lead_mm, chip_mm, _ = manner
    aims, shape, lead = around.limits.aims, item.shape, item.purpose is Purpose.THROUGH_LAND
    gap, width = aims.hole_relief_gap_mm, lead_mm if lead else aims.hole_spoke_mm
    if isinstance(shape, Disc):
        half_w = half_h = shape.radius_nm
        part = around.parts.get(item.owner.reference) if item.owner else None
        cos, sin = direction(part.pose.turn_deg % 90.0 if part else 0.0)
    elif isinstance(shape, Box):
        half_w, half_h = Nm(shape.width_nm // 2), Nm(shape.height_nm // 2)
        cos, sin = shape.axes
        if not lead:
            gap, width = aims.chip_relief_gap_mm, chip_mm
    else:  # pragma: no cover - lands are discs or boxes
        return
    x, y = shape.centre
    reach = snap(gap) + half(width)
    for along, across in ((1, 0), (0, 1), (-1, 0), (0, -1)):
        way = (along * cos - across * sin, along * sin + across * cos)
        if not lead and isinstance(shape, Box) and _cosine(_inwards(item, around), way) > _HARDLY:
            continue
        length = reach + (half_w if along else half_h)
        end = (Nm(x + round(way[0] * length)), Nm(y + round(way[1] * length)))
        yield Stroke(((x, y), end), half(width))


def _kept(
    item: Item, spokes: Sequence[Stroke], leading: Sequence[Stroke], around: Surroundings, most: int
) -> list[Stroke]:
    """Leave a chip's land so many spokes that both its ends lose heat through equal copper.

    Those that lead on come first, then those across the chip: they leave the land as alike as the
    track does the other.
    """
    if not _chip(item):
        return list(spokes)
    inwards = _inwards(item, around)

    def last(spoke: Stroke) -> tuple[bool, bool]:
        (x1, y1), (x2, y2) = spoke.points[0], spoke.points[-1]
        return (spoke not in leading, abs(_cosine(inwards, (x2 - x1, y2 - y1))) > _HALF)

    first = sorted(spokes, key=last)[:most]
    return [spoke for spoke in spokes if spoke in first]


def _chip(item: Item) -> bool:
    return isinstance(item.shape, Box) and item.purpose is Purpose.SURFACE_LAND


def _inwards(item: Item, around: Surroundings) -> _Way:
    """Tell the way from a land to its part's middle; none without a part, or in the middle."""
    if item.owner is None:
        return (0.0, 0.0)
    part = around.parts[item.owner.reference]
    x, y = part.land_place(part.pattern.land(item.owner.pin))
    return (part.x_mm - x, part.y_mm - y)


def _cosine(inwards: _Way, way: _Way) -> float:
    """Give the cosine between two ways; 0 when one of them has no length."""
    lengths = math.hypot(*inwards) * math.hypot(*way)
    return (inwards[0] * way[0] + inwards[1] * way[1]) / lengths if lengths else 0.0


def tip(spoke: Stroke) -> Disc:
    """Give the end of a spoke that has to lie in the pour."""
    return Disc(spoke.points[-1], Nm(spoke.radius_nm - _WITHIN_NM))
