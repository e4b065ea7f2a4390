"""Text → chains of points, centred on the origin."""

from functools import lru_cache

from boardgen.model.lettering import Lettering

Chain = tuple[tuple[float, float], ...]


def chains(text: str, height_mm: float, lettering: Lettering) -> tuple[Chain, ...]:
    """Write a text as chains of points in mm, the box of its strokes centred on the origin.

    Vertically the capital height is centred, so that texts of one height line up whatever
    letters they hold. KeyError for a letter that the table lacks.
    """
    scale = height_mm / lettering.cap_height
    at, found = 0.0, []
    for letter in text:
        if letter == " ":
            at += lettering.space
            continue
        glyph = lettering.glyphs[letter]
        found += [tuple((at + x, y) for x, y in stroke) for stroke in glyph]
        at += max(x for stroke in glyph for x, _ in stroke) + lettering.gap
    xs = [x for chain in found for x, _ in chain]
    middle_x, middle_y = (min(xs) + max(xs)) / 2, lettering.cap_height / 2
    return tuple(
        tuple(((x - middle_x) * scale, (y - middle_y) * scale) for x, y in chain) for chain in found
    )


@lru_cache(maxsize=4096)
def size_mm(
    text: str, height_mm: float, stroke_mm: float, lettering: Lettering
) -> tuple[float, float]:
    """Tell width and height of a text's box, strokes included; symmetric about its centre."""
    points = [point for chain in chains(text, height_mm, lettering) for point in chain]
    half_width = max(abs(x) for x, _ in points)
    half_height = max(height_mm / 2, *(abs(y) for _, y in points))
    return (2 * half_width + stroke_mm, 2 * half_height + stroke_mm)
