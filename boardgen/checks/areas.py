"""What several rules look at on a copper side: its metal, its pour, gaps to the pour."""

from collections.abc import Iterator, Sequence
from functools import lru_cache

from boardgen.geometry.contents import fingers, thin_places
from boardgen.geometry.measuring import PourEdge
from boardgen.geometry.pours import FILLED, filled_of
from boardgen.geometry.regions import Region, image
from boardgen.model.artwork import Item, Layer, Purpose
from boardgen.model.shapes import Shape

_POUR = (*FILLED, Purpose.SPOKE)


def metal_of(layer: Layer) -> list[Item]:
    """Tracks, lands and spokes: everything but the pour itself."""
    return [item for item in layer.items if item.dark and item.purpose is not Purpose.POUR]


def pour_of(layer: Layer) -> Region:
    """Compute what a side's pour shows, its spokes included."""
    return pour_edge_of(layer).region


@lru_cache(maxsize=4)
def thin_of(layer: Layer, width_nm: int) -> tuple[tuple[tuple[float, float], float], ...]:
    """List where a side's pour is thinner than a width; kept, for boards that share a side."""
    return tuple(thin_places(filled_of(layer), width_nm))


@lru_cache(maxsize=4)
def fingers_of(layer: Layer, width_nm: int) -> tuple[tuple[tuple[float, float], float], ...]:
    """List a side's fingers narrower than a width; kept, for boards that share a side."""
    return tuple(fingers(filled_of(layer), width_nm))


@lru_cache(maxsize=4)
def shown_of(layer: Layer) -> Region:
    """Compute all copper of a side."""
    return image(layer.items)


@lru_cache(maxsize=4)
def pour_edge_of(layer: Layer) -> PourEdge:
    """Take the boundary of a side's pour apart, once for all rules that look near it."""
    return PourEdge([item for item in layer.items if item.purpose in _POUR])


def pour_net(layer: Layer) -> str:
    """Name the net of a side's pour."""
    return next((item.net for item in layer.items if item.purpose is Purpose.POUR), "")


def pour_gaps(layer: Layer, shapes: Sequence[Shape], within_nm: int) -> Iterator[tuple[int, float]]:
    """List shapes that are nearer to a side's pour than a distance, with the distance in nm."""
    yield from pour_edge_of(layer).near(shapes, within_nm)


def least_pour_gap(
    layer: Layer, shapes: Sequence[Shape], within_nm: int
) -> tuple[int, float] | None:
    """Find the shape nearest to a side's pour within a distance, with the distance in nm."""
    return pour_edge_of(layer).nearest(shapes, within_nm)
