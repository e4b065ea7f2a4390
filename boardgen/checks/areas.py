"""What several rules look at on a copper side: its metal, its pour, gaps to the pour."""

from collections.abc import Iterator, Sequence
from functools import lru_cache

from boardgen.geometry.measuring import Shore, near_image
from boardgen.geometry.regions import Region, image
from boardgen.model.artwork import Item, Layer, Purpose
from boardgen.model.shapes import Shape

_FILLED = (Purpose.POUR, Purpose.CLEARANCE, Purpose.PATCH)
_POUR = (*_FILLED, Purpose.SPOKE)


def metal_of(layer: Layer) -> list[Item]:
    """Tracks, lands and spokes: everything but the pour itself."""
    return [item for item in layer.items if item.dark and item.purpose is not Purpose.POUR]


@lru_cache(maxsize=4)
def pour_of(layer: Layer) -> Region:
    """Compute what a side's pour shows; several rules ask, one after the other."""
    return image(_pour_items(layer))


@lru_cache(maxsize=4)
def filled_of(layer: Layer) -> Region:
    """Compute a side's pour without its spokes."""
    return image([item for item in layer.items if item.purpose in _FILLED])


@lru_cache(maxsize=4)
def shown_of(layer: Layer) -> Region:
    """Compute all copper of a side."""
    return image(layer.items)


@lru_cache(maxsize=4)
def _shore_of(layer: Layer) -> Shore:
    return Shore(pour_of(layer))


def pour_net(layer: Layer) -> str:
    """Name the net of a side's pour."""
    return next((item.net for item in layer.items if item.purpose is Purpose.POUR), "")


def pour_gaps(
    layer: Layer, shapes: Sequence[Shape], within_nm: int
) -> Iterator[tuple[int, float]]:
    """List shapes that are nearer to a side's pour than a distance, with the distance in nm."""
    yield from near_image(_pour_items(layer), _shore_of(layer), shapes, within_nm)


def least_pour_gap(
    layer: Layer, shapes: Sequence[Shape], within_nm: int
) -> tuple[int, float] | None:
    """Find the shape nearest to a side's pour within a distance, and measure it exactly.

    Of shapes that are equally near but for how arcs are cut, a quarter of a micrometre, one is told.
    """
    rough = min(_shore_of(layer).near(shapes, within_nm), key=lambda pair: pair[1], default=None)
    if rough is None:
        return None
    place = rough[0]
    exact = [gap for _, gap in pour_gaps(layer, [shapes[place]], within_nm)]
    return (place, exact[0]) if exact else rough


def _pour_items(layer: Layer) -> list[Item]:
    return [item for item in layer.items if item.purpose in _POUR]
