"""A pour as its layer shows it."""

from functools import lru_cache

from boardgen.geometry.regions import Region, image
from boardgen.model.artwork import Layer, Purpose

FILLED = (Purpose.POUR, Purpose.CLEARANCE, Purpose.PATCH)


@lru_cache(maxsize=4)
def filled_of(layer: Layer) -> Region:
    """Compute a side's pour without its spokes; several ask, one after the other."""
    return image([item for item in layer.items if item.purpose in FILLED])
