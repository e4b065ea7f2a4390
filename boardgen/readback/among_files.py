"""Files held against one another, without a design: what one says another must say too."""

import math
from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Sequence
from statistics import median_low

import shapely
from shapely import STRtree

from boardgen.model.proof import Difference, Kind
from boardgen.model.shapes import Box, Contour, Disc
from boardgen.readback.images import area, barrel, box_mm, inside, point_mm
from boardgen.readback.matching import differing
from boardgen.readback.nets import Shown
from boardgen.readback.objects import Probe, Reading, Seen, SeenHole
from boardgen.tolerances import READ_NM
from boardgen.units import NM_PER_MM

_MOST_PAIRED = 1_000
"""So many objects out of place are paired with the nearest place that lacks one."""

LANDS = ("SMDPad,CuDef", "ComponentPad", "ViaPad", "TestPad")
_ACCESS = {"copper-top": 1, "copper-bottom": 2}


def lands_and_probes(sides: Sequence[Shown], netlist: Reading) -> Iterator[Difference]:
    """Hold every land against its record in the test netlist: pin, net, place, size."""
    for side in sides:
        lands = [seen for seen in side.objects if seen.dark and seen.function in LANDS]
        probes = [probe for probe in netlist.probes
                  if probe.kind != "367" and probe.access in (0, _ACCESS[side.layer])]  # fmt: skip
        yield from _pairs(side.layer, lands, probes, netlist.step_nm)


def _pairs(
    layer: str, lands: Sequence[Seen], probes: Sequence[Probe], step_nm: float
) -> Iterator[Difference]:
    by_name: dict[tuple[str, str], list[Probe]] = defaultdict(list)
    for probe in probes:
        by_name[_probe_name(probe)].append(probe)
    for name, group in _grouped(lands).items():
        records = by_name.pop(name, [])
        yield from _nearest_pairs(layer, group, records, step_nm)
    for records in by_name.values():
        for probe in records:
            yield differing(Kind.MISSING, f"no land at the netlist's {probe}", layer, probe)


def _probe_name(probe: Probe) -> tuple[str, str]:
    return ("VIA", "") if probe.reference == "VIA" else (probe.reference, probe.pin)


def _grouped(lands: Iterable[Seen]) -> dict[tuple[str, str], list[Seen]]:
    found: dict[tuple[str, str], list[Seen]] = defaultdict(list)
    for seen in lands:
        pin = seen.pin
        found[(pin.reference, pin.number) if pin else ("VIA", "")].append(seen)
    return found


def _nearest_pairs(
    layer: str, lands: Sequence[Seen], probes: Sequence[Probe], step_nm: float
) -> Iterator[Difference]:
    """Pair lands and records of one name by their place: those that coincide first."""
    free: dict[tuple[int, int], list[Probe]] = defaultdict(list)
    for probe in probes:
        free[probe.place].append(probe)
    index = STRtree(shapely.points([probe.place for probe in probes])) if probes else None
    left = []
    for seen in lands:
        near = index.query(shapely.Point(seen.place), "dwithin", step_nm) if index else ()
        place = next((probes[at].place for at in near if free[probes[at].place]), None)
        if place is None:
            left.append(seen)
            continue
        yield from _unlike(layer, seen, free[place].pop(0), step_nm)
    rest = [probe for some in free.values() for probe in some]
    places = Counter(seen.place for seen in lands)
    for count, seen in enumerate(left):
        if rest and count < _MOST_PAIRED:
            probe = min(rest, key=lambda probe: math.dist(seen.place, probe.place))
            rest.remove(probe)
            where = "({:.4f}, {:.4f}) mm".format(*probe.place_mm)
            yield differing(
                Kind.MOVED, f"{seen} lies apart from its record at {where}", layer, seen
            )
        else:
            twin = places[seen.place] > 1
            kind, said = (Kind.DOUBLED, "is there twice") if twin else (Kind.ADDED, "has no record")
            yield differing(kind, f"{seen} {said} in the netlist", layer, seen)
    for probe in rest:
        yield differing(Kind.MISSING, f"no land at the netlist's {probe}", layer, probe)


def _unlike(layer: str, seen: Seen, probe: Probe, step_nm: float) -> Iterator[Difference]:
    if seen.net != probe.net:
        text = f"{seen} is on {probe.net} in the netlist"
        found = differing(Kind.RENAMED, text, layer, seen)
        yield Difference(kind=found.kind, text=text, layer=layer,
                         subjects=(*seen.subjects, probe.net),
                         place_mm=found.place_mm, size_mm=found.size_mm)  # fmt: skip
    shape = seen.shape
    size = (shape.width_nm, shape.height_nm) if isinstance(shape, Box) else \
        (2 * shape.radius_nm, 0) if isinstance(shape, Disc) else (0, 0)  # fmt: skip
    said = (probe.width_nm, probe.height_nm)
    turn_deg = shape.turn_udeg / 1e6 if isinstance(shape, Box) else 0.0
    if abs(turn_deg - probe.turn_deg) > _WHOLE_DEGREE:
        text = f"{seen} is turned by {probe.turn_deg} degrees in the netlist, not {turn_deg:g}"
        yield differing(Kind.RESIZED, text, layer, seen)
    if any(abs(is_ - says) > step_nm for is_, says in zip(size, said, strict=True)
           if says < 9_999 * step_nm - step_nm):  # fmt: skip
        text = f"{seen} is {_size(probe)} in the netlist"
        yield differing(Kind.RESIZED, text, layer, seen)
    wanted = "ViaPad" if probe.reference == "VIA" else \
        "ComponentPad" if probe.hole_nm else "TestPad" if probe.reference.startswith("TP") else \
        "SMDPad,CuDef"  # fmt: skip
    if seen.function != wanted:
        yield differing(Kind.ATTRIBUTE, f"{seen} ought to be a {wanted}", layer, seen)


_WHOLE_DEGREE = 0.5 + 1e-6
"""The netlist tells angles in whole degrees."""


def _size(probe: Probe) -> str:
    return "{:g} x {:g} mm".format(*probe.size_mm)


def holes_and_probes(holes: Sequence[SeenHole], netlist: Reading) -> Iterator[Difference]:
    """Hold every hole against the netlist: place, diameter, plating, function."""
    step_nm = netlist.step_nm
    probes = [probe for probe in netlist.probes if probe.hole_nm]
    tree = STRtree(shapely.points([probe.place for probe in probes])) if probes else None
    free = set(range(len(probes)))
    stray = []
    for hole in holes:
        near = tree.query(shapely.Point(hole.place), "dwithin", step_nm) if tree else ()
        at = next((int(at) for at in near if int(at) in free), None)
        if at is None:
            stray.append(hole)
            continue
        free.discard(at)
        yield from _hole_unlike(hole, probes[at], step_nm)
    lost = [probes[at] for at in sorted(free)]
    places = Counter(hole.place for hole in holes)
    for hole in stray[:_MOST_PAIRED]:
        twin = places[hole.place] > 1
        kind = Kind.DOUBLED if twin else Kind.MOVED if lost else Kind.ADDED
        nearest = min(lost, key=lambda probe: math.dist(probe.place, hole.place), default=None)
        text = f"{hole} is in no place of the netlist"
        if kind is Kind.MOVED and nearest:
            yield _of_probe(kind, f"{text}, the nearest is that of {nearest.name}", hole, nearest)
        else:
            yield differing(kind, text, hole.file, hole)
    for probe in lost:
        layer = "plated" if probe.plated else "unplated"
        yield differing(Kind.MISSING, f"no hole at the netlist's {probe}", layer, probe)


def _of_probe(kind: Kind, text: str, hole: SeenHole, probe: Probe) -> Difference:
    return Difference(kind=kind, text=text, layer=hole.file, subjects=probe.subjects,
                      place_mm=hole.place_mm, size_mm=hole.size_mm)  # fmt: skip


def _hole_unlike(hole: SeenHole, probe: Probe, step_nm: float) -> Iterator[Difference]:
    if abs(hole.diameter_nm - probe.hole_nm) > step_nm:
        text = f"{hole} is {probe.hole_nm / NM_PER_MM:g} mm wide in the netlist"
        yield _of_probe(Kind.RESIZED, text, hole, probe)
    if hole.plated != probe.plated:
        said = "plated" if probe.plated else "unplated"
        yield _of_probe(Kind.PLATING, f"{hole} is {said} in the netlist", hole, probe)
    wanted = "ViaDrill" if probe.reference == "VIA" else \
        "ComponentDrill" if probe.plated else "MechanicalDrill"  # fmt: skip
    if hole.function != wanted and hole.plated == probe.plated:
        yield differing(Kind.ATTRIBUTE, f"{hole} ought to be {wanted}", hole.file, hole)


def overlapping(holes: Sequence[SeenHole]) -> Iterator[Difference]:
    """Tell hits that fall together or cut into one another: drills break there."""
    tree = STRtree([barrel(hole) for hole in holes])
    for at, hole in enumerate(holes):
        for other_at in sorted(int(place) for place in tree.query(barrel(hole), "intersects")):
            if other_at <= at:
                continue
            other = holes[other_at]
            same = other.place == hole.place
            kind, said = (Kind.DOUBLED, "is drilled twice") if same else (Kind.HOLE, "is cut by")
            text = f"{hole} {said}" + f" {other}" * (not same)
            yield differing(kind, text, other.file, other)


def openings_and_lands(
    layer: str, openings: Sequence[Seen], lands: Sequence[Seen], *, every: bool = True
) -> Iterator[Difference]:
    """Hold the openings of mask or stencil against the lands below them.

    Each land has one, around its centre; all of a layer follow one rule of size.

    Parameters
    ----------
    openings, lands : sequence of Seen
        Flashes of the layer; lands that want one.
    every : bool
        Whether openings and lands share all margins; a stencil's follow the shorter side.
    """
    flashes = [seen for seen in openings if not isinstance(seen.shape, Contour)]
    at_spot: dict[tuple[str, int, int], list[int]] = defaultdict(list)
    for at, seen in enumerate(flashes):
        at_spot[seen.part, *_spot(seen)].append(at)
    taken: set[int] = set()
    pairs = []
    lacking: dict[str, list[Seen]] = defaultdict(list)
    for land in lands:
        part, (x, y) = land.pin.reference if land.pin else "", _spot(land)
        near = (
            at for dx in (0, -1, 1) for dy in (0, -1, 1) for at in at_spot[part, x + dx, y + dy]
        )
        match = next(
            (at for at in near if at not in taken and _same_place(flashes[at], land)), None
        )
        if match is None:
            lacking[part].append(land)
            continue
        taken.add(match)
        pairs.append((land, flashes[match]))
    free: dict[str, list[Seen]] = defaultdict(list)
    for at, seen in enumerate(flashes):
        if at not in taken:
            free[seen.part].append(seen)
    for part, some in lacking.items():
        for count, land in enumerate(some):
            if free[part] and count < _MOST_PAIRED:
                seen = min(free[part], key=lambda seen: _between(seen, land))
                free[part].remove(seen)
                yield _of_land(Kind.MOVED, "its opening lies beside it", layer, land, seen)
            else:
                yield _of_land(Kind.MISSING, "it has no opening", layer, land, land)
    places = {seen.place for _, seen in pairs}
    for seen in (seen for some in free.values() for seen in some):
        twin = seen.place in places
        kind, said = (Kind.DOUBLED, "is there twice") if twin else (Kind.ADDED, "opens no land")
        yield differing(kind, f"{seen} {said}", layer, seen)
    yield from _uneven(layer, pairs, every=every)


def _spot(seen: Seen) -> tuple[int, int]:
    """Name the square of a micrometre around a place."""
    return (round(seen.place[0] / READ_NM), round(seen.place[1] / READ_NM))


def _same_place(seen: Seen, land: Seen) -> bool:
    return _between(seen, land) <= READ_NM


def _between(one: Seen, other: Seen) -> float:
    return math.dist(one.place, other.place)


def _of_land(kind: Kind, text: str, layer: str, land: Seen, seen: Seen) -> Difference:
    name = land.pin.name if land.pin else "a land"
    return Difference(kind=kind, text=f"{name}: {text}", layer=layer, subjects=land.subjects,
                      place_mm=seen.place_mm, size_mm=seen.size_mm)  # fmt: skip


def _uneven(layer: str, pairs: Sequence[tuple[Seen, Seen]], *, every: bool) -> Iterator[Difference]:
    """Tell openings whose size follows another rule than those of most lands."""
    rules = [_rule(land, seen, every=every) for land, seen in pairs]
    usual = median_low([rule for rule in rules if rule is not None] or [0.0])
    for (land, seen), rule in zip(pairs, rules, strict=True):
        unit = 1.0 if every else min(land.sides_mm) / 2
        if rule is None or abs(rule - usual) * unit > _OPENING_MM:
            yield _of_land(Kind.RESIZED, "its opening is not as large as others are", layer, land,
                           seen)  # fmt: skip


_OPENING_MM = 0.003
"""Openings follow a rule in whole micrometres, so two of one rule may differ by a few."""


def _rule(land: Seen, seen: Seen, *, every: bool) -> float | None:
    """Measure how an opening follows its land: its margin, or which share of the shorter side."""
    if type(land.shape) is not type(seen.shape) or _turn(land) != _turn(seen):
        return None
    more = [(mine - its) / 2 for mine, its in zip(seen.sides_mm, land.sides_mm, strict=True)]
    if abs(more[0] - more[1]) > _OPENING_MM:
        return None
    return more[0] if every else 1 + 2 * more[0] / min(land.sides_mm)


def _turn(seen: Seen) -> int:
    return seen.shape.turn_udeg if isinstance(seen.shape, Box) else 0


_JOIN_NM = 50_000
"""A join may reach so far beyond the openings that it joins: own bound."""


def joins(layer: str, openings: Sequence[Seen]) -> Iterator[Difference]:
    """Hold contours of the mask: they only join openings of lands where no web would stand."""
    flashes = [area(seen.shape) for seen in openings if not isinstance(seen.shape, Contour)]
    tree = STRtree(flashes)
    for seen in openings:
        if isinstance(seen.shape, Contour):
            shape = area(seen.shape)
            met = tree.query(shape, "dwithin", READ_NM)
            hull = shapely.union_all([flashes[at] for at in met]).convex_hull.buffer(_JOIN_NM)
            if len(met) < 2 or not hull.covers(shape):  # noqa: PLR2004 - joins two
                yield Difference(
                    kind=Kind.ADDED,
                    text=f"{seen} does more than join two openings",
                    layer=layer,
                    place_mm=point_mm(shape),
                    size_mm=box_mm(shape),
                )


def print_faults(
    layer: str, printed: Sequence[Seen], openings: Sequence[Seen], profile: Sequence[Seen]
) -> Iterator[Difference]:
    """Tell print that lies over an opening of the mask, or off the board."""
    board = inside(profile)
    shapely.prepare(board)
    open_at = STRtree([area(seen.shape) for seen in openings])
    for seen in printed:
        shape = area(seen.shape)
        if len(open_at.query(shape, "intersects")):
            yield differing(Kind.ADDED, f"{seen} lies over an opening of the mask", layer, seen)
        elif not board.covers(shape):
            yield differing(Kind.EDGE, f"{seen} lies over the edge", layer, seen)
