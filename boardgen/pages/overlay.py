"""Differences of a package, drawn where they are: layers as read, a numbered ring at each."""

from collections import Counter
from collections.abc import Iterator

import svgwrite

from boardgen.geometry.regions import image
from boardgen.model.artwork import Item, Purpose
from boardgen.model.proof import Difference, Proof
from boardgen.model.shapes import Contour
from boardgen.model.side import Side
from boardgen.pages.view import MARGIN_MM, View, number
from boardgen.units import NM_PER_MM

_PAPER = "#ffffff"
_LAYERS = (
    ("copper-bottom", {"fill": "#56B4E9", "fill_opacity": 0.5}),
    ("copper-top", {"fill": "#E69F00", "fill_opacity": 0.7}),
    ("mask-bottom", {"fill": "none", "stroke": "#CC79A7", "stroke_width": 0.06,
                     "stroke_dasharray": "0.3 0.2"}),
    ("mask-top", {"fill": "none", "stroke": "#CC79A7", "stroke_width": 0.06}),
    ("paste-top", {"fill": "#888888", "fill_opacity": 0.4}),
    ("legend-bottom", {"fill": "#000000", "fill_opacity": 0.3}),
    ("legend-top", {"fill": "#000000"}),
    ("profile", {"fill": "#000000"}),
    ("plated", {"fill": "#ffffff", "stroke": "#000000", "stroke_width": 0.1}),
    ("unplated", {"fill": "#ffffff", "stroke": "#000000", "stroke_width": 0.1,
                  "stroke_dasharray": "0.4 0.2"}),
)  # fmt: skip
_RING = "#D55E00"
_LEAST_RING_MM, _LETTER_MM = 0.8, 1.4
_LEAST_WIDTH_MM = 90.0
"""So that the list of differences below a short board can be read."""

_MOST_RINGS = 200


def overlay(proof: Proof, title: str) -> bytes:
    """Draw what a package shows, seen from the top through the board, and where it differs.

    Returns
    -------
    bytes
        An SVG; one user unit is one millimetre. Differences without a place are listed below.
    """
    length, width = _extent(proof)
    placed = [found for found in proof.differences if found.place_mm][:_MOST_RINGS]
    unplaced = [found for found in proof.differences if not found.place_mm][:_MOST_RINGS]
    view = View(Side.TOP, length, width)
    below = (len(placed) + len(unplaced)) * _LETTER_MM * 1.3
    wide = max(length + 2 * MARGIN_MM, _LEAST_WIDTH_MM * bool(proof.differences))
    high = width + 2 * MARGIN_MM + below
    drawing = svgwrite.Drawing(
        size=(f"{number(wide)}mm", f"{number(high)}mm"),
        viewBox=f"{-MARGIN_MM:g} {-MARGIN_MM:g} {number(wide)} {number(high)}",
        debug=False,
    )
    drawing.set_desc(title=title, desc="as read from the files, seen from the top")
    drawing.add(drawing.rect((-MARGIN_MM, -MARGIN_MM), (wide, high), fill=_PAPER))
    for layer, style in _LAYERS:
        shown = image(_items(proof, layer))
        if shown.area_nm2:
            path = drawing.path(d=view.path(shown), fill_rule="evenodd", **style)
            path.set_desc(title=layer)
            drawing.add(path)
    beside: Counter[tuple[int, int]] = Counter()
    for count, found in enumerate(placed, start=1):
        x, y = found.place_mm or (0.0, 0.0)
        near = (round(x / _LETTER_MM), round(y / _LETTER_MM))
        _ring(drawing, view, count, found, beside[near])
        beside[near] += 1
    for line, (mark, found) in enumerate(_listed(placed, unplaced), start=1):
        at = (0, width + MARGIN_MM / 2 + line * _LETTER_MM * 1.3)
        drawing.add(_text(drawing, f"{mark} {found}", at))
    return (str(drawing.tostring()) + "\n").encode()


def _items(proof: Proof, layer: str) -> list[Item]:
    return [
        Item(shape=shape, purpose=Purpose.TRACK, dark=dark)
        for shape, dark in proof.drawn.get(layer, ())
        if not (isinstance(shape, Contour) and _encloses_nothing(shape))
    ]


def _encloses_nothing(contour: Contour) -> bool:
    """Tell whether a contour is straight and of two corners: a foreign file may hold one."""
    straight = not any(edge.centre for edge in contour.edges)
    return straight and len({edge.end for edge in contour.edges}) < 3  # noqa: PLR2004 - a triangle


def _extent(proof: Proof) -> tuple[float, float]:
    """Tell how far what was read reaches to the right and upwards."""
    rings = [ring for layer in proof.drawn for ring in image(_items(proof, layer)).rings_nm()]
    points = [point for ring in rings for point in ring]
    if not points:
        return (10.0, 10.0)
    return (
        max(x for x, _ in points) / NM_PER_MM,
        max(y for _, y in points) / NM_PER_MM,
    )


def _ring(
    drawing: svgwrite.Drawing, view: View, count: int, found: Difference, before: int
) -> None:
    """Draw a ring, its number to the right of those that stand at the same place."""
    if found.place_mm is None:
        return
    x, y = view.point(found.place_mm)
    reach = max(_LEAST_RING_MM, *(size / 2 for size in found.size_mm or (0.0,)))
    ring = drawing.circle((number(x), number(y)), number(min(reach, 4.0)), fill="none",
                          stroke=_RING, stroke_width=0.25)  # fmt: skip
    ring.set_desc(title=_shown(str(found)))
    drawing.add(ring)
    right = _LEAST_RING_MM + before * 1.5 * _LETTER_MM
    drawing.add(_text(drawing, str(count), (x + right, y - _LEAST_RING_MM)))


def _listed(
    placed: list[Difference], unplaced: list[Difference]
) -> Iterator[tuple[str, Difference]]:
    yield from ((str(count), found) for count, found in enumerate(placed, start=1))
    yield from (("-", found) for found in unplaced)


def _shown(words: str) -> str:
    """Leave out what XML does not hold."""
    return "".join(letter for letter in words if letter.isprintable())


def _text(drawing: svgwrite.Drawing, words: str, at: tuple[float, float]) -> svgwrite.text.Text:
    return drawing.text(
        _shown(words),
        insert=(number(at[0]), number(at[1])),
        fill=_RING,
        font_size=_LETTER_MM,
        font_family="sans-serif",
    )
