"""Rules on nets: whole, apart, nothing that leads nowhere."""

from collections import defaultdict
from collections.abc import Iterable, Iterator

from boardgen import units
from boardgen.checks.areas import metal_of, pour_net, pour_of, thin_of
from boardgen.checks.finding import place_of, report
from boardgen.geometry.contents import overlap
from boardgen.geometry.measuring import distance_nm, near_pairs
from boardgen.geometry.regions import Region
from boardgen.geometry.tracing import Groups, touching
from boardgen.model.artwork import Item, Layer, Purpose
from boardgen.model.design import Design
from boardgen.model.findings import Finding
from boardgen.model.shapes import Disc, Shape, Stroke
from boardgen.units import snap


def _conducting(design: Design) -> tuple[list[str], Groups]:
    """Gather all copper into groups that conduct: names of nets, and the groups."""
    areas: list[tuple[str, Shape | Region]] = []
    groups_pairs: list[tuple[int, int]] = []
    for layer in design.artwork.coppers():
        start = len(areas)
        metal = [item for item in metal_of(layer) if item.purpose is not Purpose.SPOKE]
        pieces = pour_of(layer).pieces()
        areas += [(item.net, item.shape) for item in metal]
        areas += [(pour_net(layer), piece) for piece in pieces]
        here = [area for _, area in areas[start:]]
        groups_pairs += [(start + one, start + other) for one, other in touching(here, here)]
    groups = Groups(len(areas))
    for one, other in groups_pairs:
        groups.join(one, other)
    barrels = [
        Disc(hole.centre, units.Nm(hole.diameter_nm // 2))
        for hole in design.artwork.holes
        if hole.plated
    ]
    first: dict[int, int] = {}
    for barrel, member in touching(barrels, [area for _, area in areas]):
        groups.join(first.setdefault(barrel, member), member)
    return [net for net, _ in areas], groups


def net_whole(design: Design) -> Iterable[Finding]:
    """A net falls apart, or two nets are joined.

    Why it matters
        LEDs stay dark, or the supply is shorted.
    How it is measured
        Copper that meets on a side, and plated holes between the sides, make groups; each net
        must be one group and each group one net.
    How to mend it
        This is a fault of the layout: please report the parameter file.
    """
    for layer in design.artwork.coppers():
        yield from _cut(layer)
    nets, groups = _conducting(design)
    by_net, by_group = defaultdict(set), defaultdict(set)
    for member, net in enumerate(nets):
        if not net:
            continue  # letters in copper belong to no net; the gap rule keeps them apart
        by_net[net].add(groups.find(member))
        by_group[groups.find(member)].add(net)
    for net, members in sorted(by_net.items()):
        if len(members) > 1:
            yield report(
                message=f"{net} is in {len(members)} pieces", actual=str(len(members)), limit="1",
                subjects=(net,),
            )  # fmt: skip
    for joined in sorted(tuple(sorted(nets)) for nets in by_group.values() if len(nets) > 1):
        yield report(message=f"{' and '.join(joined)} are joined", subjects=joined)


def _cut(layer: Layer) -> Iterator[Finding]:
    """Find clear objects that are drawn over metal: the file would show it cut."""
    metal: list[Item] = []
    late: list[tuple[int, Shape]] = []  # with how much metal was drawn before
    for item in layer.items:
        if item.dark and item.purpose not in (Purpose.POUR, Purpose.SPOKE):
            metal.append(item)
        elif metal and not item.dark:
            late.append((len(metal), item.shape))
    shapes = [item.shape for item in metal]
    for one, other, _ in near_pairs([shape for _, shape in late], shapes, 1):
        (before, clear), item = late[one], metal[other]
        if other < before and overlap(clear, item.shape):
            yield report(
                message=f"{item.net or 'a letter'} is cut by a clear object on {layer.name}",
                place_mm=place_of(clear),
                subjects=(item.net, layer.name, "cut"),
            )


def track_loose_end(design: Design) -> Iterable[Finding]:
    """A track ends in nothing.

    Why it matters
        Something was meant to be joined there, or copper is left that only picks up trouble.
    How it is measured
        Both ends of each track's centre line must lie on other copper of its net on that side.
    How to mend it
        This is a fault of the layout: please report the parameter file.
    """
    for layer in design.artwork.coppers():
        metal = metal_of(layer)
        ends = [
            (place, Disc(end, units.Nm(0)))
            for place, item in enumerate(metal)
            if item.purpose is Purpose.TRACK and isinstance(item.shape, Stroke)
            for end in (item.shape.points[0], item.shape.points[-1])
        ]
        shapes, points = [item.shape for item in metal], [disc for _, disc in ends]
        held = {
            one for one, other, _ in near_pairs(points, shapes, 1)
            if other != ends[one][0] and metal[other].net == metal[ends[one][0]].net
        }  # fmt: skip
        in_pour = {one for one, _ in touching(points, [pour_of(layer)])}
        for which, (place, end) in enumerate(ends):
            net = metal[place].net
            if which in held or (net == pour_net(layer) and which in in_pour):
                continue
            others = [
                distance_nm(end, item.shape)
                for at, item in enumerate(metal)
                if at != place and item.net == net
            ]
            yield report(
                message=f"a track of {net} ends in nothing on {layer.name}",
                actual=f"{units.length(min(others) / units.NM_PER_MM)} away" if others else "alone",
                limit="on copper of its net",
                place_mm=place_of(end),
                subjects=(net, layer.name),
            )


def pour_island(design: Design) -> Iterable[Finding]:
    """A piece of a pour hangs on nothing.

    Why it matters
        It floats, looks like 0 V to whoever probes it, and may come loose when it is small.
    How it is measured
        Each piece of a pour, its spokes included, must meet a land, track or via of its net.
    How to mend it
        This is a fault of the drawing: please report the parameter file.
    """
    for layer in design.artwork.coppers():
        net = pour_net(layer)
        anchors: list[Shape | Region] = [
            item.shape for item in metal_of(layer)
            if item.net == net and item.purpose is not Purpose.SPOKE
        ]  # fmt: skip
        pieces = pour_of(layer).pieces()
        held = {piece for piece, _ in touching(pieces, anchors)}
        for place, piece in enumerate(pieces):
            if place not in held:
                x, y = piece.middle_nm
                yield report(
                    message=f"a piece of the pour of {net} hangs on nothing on {layer.name}",
                    actual=f"{piece.area_nm2 / units.NM_PER_MM**2:.2f} mm2",
                    limit="none",
                    place_mm=(round(x / units.NM_PER_MM, 3), round(y / units.NM_PER_MM, 3)),
                    subjects=(net, layer.name),
                )


def pour_thin(design: Design) -> Iterable[Finding]:
    """A pour is thinner than the house holds.

    Why it matters
        Slivers lift off in the bath and lie down where they short something.
    How it is measured
        Necks and fingers of the filled area, spokes left out: where a disc of the least width does
        not pass.
    How to mend it
        This is a fault of the drawing: please report the parameter file.
    """
    limits = design.limits
    for layer in design.artwork.coppers():
        for (x, y), wide in thin_of(layer, snap(limits.pour_width_mm)):
            yield report(
                message=f"the pour of {pour_net(layer)} is too thin on {layer.name}",
                actual=units.length(wide / units.NM_PER_MM),
                limit=f"at least {units.length(limits.pour_width_mm)}",
                place_mm=(round(x / units.NM_PER_MM, 3), round(y / units.NM_PER_MM, 3)),
                subjects=(pour_net(layer), layer.name),
            )
