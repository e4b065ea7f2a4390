"""Rules on mask and paste: an opening on every land and only there, paste that comes off."""

from collections import Counter, defaultdict
from collections.abc import Iterable, Sequence

from boardgen import units
from boardgen.checks.areas import metal_of, pour_gaps, pour_net
from boardgen.checks.finding import at_mm, place_of, report
from boardgen.forms.table import plan
from boardgen.geometry.contents import margin_in_nm, margin_nm, overlap, webs
from boardgen.geometry.measuring import between, box_nm, near_pairs
from boardgen.geometry.polygons import FINE_SAGITTA_NM
from boardgen.geometry.regions import Region, union
from boardgen.geometry.tracing import Groups, touching
from boardgen.model.artwork import Item, Layer, LayerKind, Purpose
from boardgen.model.board import PartKind, Side
from boardgen.model.bounds import below
from boardgen.model.design import Design
from boardgen.model.findings import Finding
from boardgen.model.shapes import Shape
from boardgen.units import NM_PER_MM, snap

_LANDS = (Purpose.SURFACE_LAND, Purpose.THROUGH_LAND)
_HALF_STEPS_NM = 2
"""Land and opening are each halved onto the grid: two nanometres come from rounding."""


def _masked(design: Design) -> list[tuple[Layer, tuple[Item, ...]]]:
    """List copper sides with their mask's openings."""
    return [
        (layer, design.artwork.items(LayerKind.MASK, layer.side))
        for layer in design.artwork.coppers()
        if any(
            other.kind is LayerKind.MASK and other.side is layer.side
            for other in design.artwork.layers
        )
    ]


def _lands(layer: Layer) -> list[Item]:
    return [item for item in layer.items if item.purpose in _LANDS]


def _name(item: Item) -> str:
    return f"{item.owner.reference}.{item.owner.pin}" if item.owner else item.net or "a land"


def mask_land(design: Design) -> Iterable[Finding]:
    """A land has no opening in the mask, or one that is too small.

    Why it matters
        Mask on a land keeps the solder off; the joint cannot be made.
    How it is measured
        How far each land stays inside the openings of its side, at the worst place.
    How to mend it
        This is a fault of the drawing: please report the parameter file.
    """
    limits = design.limits
    wanted = snap(limits.mask_expansion_mm)
    for layer, openings in _masked(design):
        own: dict[object, Item] = {item.owner: item for item in openings if item.owner}
        for land in _lands(layer):
            opening = own.get(land.owner) if land.owner else None
            margin = margin_nm(land.shape, opening.shape) if opening else -1.0
            if below(margin, wanted, _HALF_STEPS_NM):
                margin = margin_in_nm(land.shape, _bare(land, openings))
            if below(margin, wanted, _HALF_STEPS_NM):
                yield report(
                    message=f"the mask does not leave {_name(land)} free on {layer.name}",
                    actual=units.length(margin / NM_PER_MM) if margin >= 0 else "covered",
                    limit=f"{units.length(limits.mask_expansion_mm)} around it",
                    place_mm=place_of(land.shape),
                    subjects=(_name(land), layer.name),
                )


def _bare(land: Item, openings: Sequence[Item]) -> Region:
    """Unite the openings that meet a land, arcs cut finely."""
    shapes = [item.shape for item in openings]
    met = [shapes[other] for _, other, _ in near_pairs([land.shape], shapes, 1)]
    return union(met, FINE_SAGITTA_NM)


def _joined(openings: Sequence[Item], lands: Sequence[Item]) -> list[tuple[Item, set[str]]]:
    """Tell for each opening the nets of the lands that it, with openings it meets, lays bare."""
    shapes, on = [item.shape for item in openings], [item.shape for item in lands]
    groups = Groups(len(openings))
    for one, other in touching(shapes, shapes):
        groups.join(one, other)
    nets: dict[int, set[str]] = defaultdict(set)
    for one, land in touching(shapes, on):
        nets[groups.find(one)].add(lands[land].net)
    return [(item, nets[groups.find(place)]) for place, item in enumerate(openings)]


def mask_stray(design: Design) -> Iterable[Finding]:
    """The mask is open where there is no land.

    Why it matters
        Bare copper is tinned there and may be bridged; bare board soaks up flux and damp.
    How it is measured
        Each opening, or what it joins, must meet a land.
    How to mend it
        This is a fault of the drawing: please report the parameter file.
    """
    for layer, openings in _masked(design):
        for item, nets in _joined(openings, _lands(layer)):
            if not nets:
                yield report(
                    message=f"the mask is open over nothing on the {_side(layer)}",
                    place_mm=place_of(item.shape),
                    subjects=(_side(layer),),
                )


def mask_neighbour(design: Design) -> Iterable[Finding]:
    """An opening lays copper of another net bare.

    Why it matters
        Solder flows onto it from the land beside, and two nets are joined.
    How it is measured
        From each opening's outline to copper of nets that have no land in it.
    How to mend it
        Give the part more room.
    """
    for layer, openings in _masked(design):
        metal, joined = metal_of(layer), _joined(openings, _lands(layer))
        shapes = [item.shape for item in openings]
        near = [
            (one, metal[other].net, gap)
            for one, other, gap in near_pairs(shapes, [item.shape for item in metal], 1)
            if overlap(shapes[one], metal[other].shape)
        ]
        net = pour_net(layer)
        # Webs that would not hold are opened on purpose; a land's own opening is its own only.
        nets_of = {land.owner: {land.net} for land in _lands(layer) if land.owner}
        strange = [
            place for place, (item, own) in enumerate(joined)
            if net not in (nets_of.get(item.owner, own) if item.owner else own)
        ]  # fmt: skip
        near += [
            (strange[one], net, gap)
            for one, gap in pour_gaps(layer, [shapes[place] for place in strange], 0)
        ]
        for one, net, gap in near:
            item, own = joined[one]
            own = nets_of.get(item.owner, own) if item.owner else own
            if own and net not in own:
                yield report(
                    message=f"the opening of {_name(item)} lays {net or 'a letter'} bare on"
                    f" {layer.name}",
                    actual=f"{units.length(-gap / NM_PER_MM)} of it",
                    limit="none",
                    place_mm=place_of(item.shape),
                    subjects=(_name(item), net, layer.name),
                    path=plan(design.parameters).keys.pitch,
                )


def mask_web(design: Design) -> Iterable[Finding]:
    """A web of mask between two openings is too thin to stay.

    Why it matters
        It breaks off, sticks on a land, and the solder runs across.
    How it is measured
        From opening to opening, where no other joins them, by the mask's colour.
    How to mend it
        This is a fault of the drawing: please report the parameter file.
    """
    limits = design.limits
    limit_mm = limits.mask_web_mm(design.parameters.order.mask)
    for layer, openings in _masked(design):
        for one, other, gap in webs([item.shape for item in openings], snap(limit_mm)):
            names = (_name(openings[one]), _name(openings[other]))
            yield report(
                message=f"the mask between {names[0]} and {names[1]} is too thin on"
                f" the {_side(layer)}",
                actual=units.length(gap / NM_PER_MM),
                limit=f"at least {units.length(limit_mm)}",
                place_mm=at_mm(between(openings[one].shape, openings[other].shape)),
                subjects=(*names, _side(layer)),
                path="order.mask",
            )


def _side(layer: Layer) -> str:
    return layer.side.value if layer.side else ""


def paste_land(design: Design) -> Iterable[Finding]:
    """Paste is missing on a land, or reaches beyond it.

    Why it matters
        Without paste there is no joint; paste beside the land makes balls that roll under parts.
    How it is measured
        One opening of the stencil for each surface land of a fitted part, wholly inside it, and
        none elsewhere.
    How to mend it
        This is a fault of the drawing: please report the parameter file.
    """
    openings = design.artwork.items(LayerKind.PASTE, Side.TOP)
    bare = {part.reference for part in design.board.parts if part.kind is PartKind.TEST_POINT}
    lands = {
        item.owner: item
        for item in design.artwork.items(LayerKind.COPPER, Side.TOP)
        if item.purpose is Purpose.SURFACE_LAND and item.owner and item.owner.reference not in bare
    }
    counts = Counter(item.owner for item in openings)
    for owner, land in lands.items():
        count = counts[owner]
        if count != 1:
            yield report(
                message=f"the stencil is open over {_name(land)} {count} times"
                if count
                else f"the stencil is closed over {_name(land)}",
                actual=str(count),
                limit="1",
                place_mm=place_of(land.shape),
                subjects=(_name(land), "count"),
            )
    for item in openings:
        own = lands.get(item.owner) if item.owner else None
        margin = margin_nm(item.shape, own.shape) if own else -1.0
        if own is None or margin < 0:
            yield report(
                message=f"paste of {_name(item)} reaches beyond its land"
                if own
                else "the stencil is open where there is no land",
                actual=f"{units.length(-margin / NM_PER_MM)} outside" if own else "",
                limit="inside",
                place_mm=place_of(item.shape),
                subjects=(_name(item), "beyond"),
            )


def paste_fine(design: Design) -> Iterable[Finding]:
    """An opening of the stencil is too small for paste to come out of it.

    Why it matters
        Paste stays on the walls, and the joint is starved.
    How it is measured
        Area of the opening over area of its walls, and narrower side over thickness (IPC-7525).
    How to mend it
        A larger part, or a thinner stencil (``limits.stencil``).
    """
    limits = design.limits
    for item in design.artwork.items(LayerKind.PASTE, Side.TOP):
        area, aspect = _ratios(item.shape, limits.stencil_mm)
        for what, actual, least in (
            ("area over walls", area, limits.paste_area),
            ("width over thickness", aspect, limits.paste_aspect),
        ):
            if below(actual, least):
                yield report(
                    message=f"the stencil over {_name(item)} is too fine: {what}",
                    actual=f"{actual:.4f}",
                    limit=f"at least {least:g}",
                    place_mm=place_of(item.shape),
                    subjects=(_name(item), what),
                    path="limits.stencil",
                )


def _ratios(shape: Shape, thickness_mm: float) -> tuple[float, float]:
    """Give area and aspect ratio of an opening; a disc has those of the square around it."""
    left, bottom, right, top = box_nm(shape)
    wide, high = (right - left) / NM_PER_MM, (top - bottom) / NM_PER_MM
    return wide * high / (2 * (wide + high) * thickness_mm), min(wide, high) / thickness_mm
