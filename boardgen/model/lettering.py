"""The legend's letters: strokes on a small grid."""

from collections.abc import Mapping
from dataclasses import dataclass

Stroke = tuple[tuple[float, float], ...]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Lettering:
    """A table of glyphs; there is one, so that it is its own key where sizes are kept.

    Attributes
    ----------
    glyphs : mapping
        Character → strokes, each a chain of (x, y) in grid units, baseline at y = 0.
    cap_height, gap, space : float
        Height of a capital, room between letters and width of a blank, in grid units.
    """

    glyphs: Mapping[str, tuple[Stroke, ...]]
    cap_height: float
    gap: float
    space: float
