"""All layers of a board in one picture, each a group of its own, seen from the top."""

from collections.abc import Iterator

import svgwrite

from boardgen.geometry.regions import board_of, image
from boardgen.model.artwork import Layer, LayerKind
from boardgen.model.design import Design
from boardgen.model.side import Side
from boardgen.pages.view import MARGIN_MM, View, circle, number
from boardgen.units import mm

_LOOKS: dict[LayerKind, dict[Side, dict[str, object]]] = {
    # From below upwards; hues that differ for all kinds of sight: Okabe and Ito's palette.
    LayerKind.COPPER: {
        Side.BOTTOM: {"fill": "url(#hatched)", "stroke": "#56B4E9", "stroke_width": 0.12},
        Side.TOP: {"fill": "#E69F00", "fill_opacity": 0.8},
    },
    LayerKind.MASK: {
        Side.BOTTOM: {"fill": "none", "stroke": "#CC79A7", "stroke_width": 0.1,
                      "stroke_dasharray": "0.4 0.3"},
        Side.TOP: {"fill": "#CC79A7", "fill_opacity": 0.35, "stroke": "#CC79A7",
                   "stroke_width": 0.12},
    },
    LayerKind.PASTE: {
        Side.BOTTOM: {"fill": "none", "stroke": "#777777", "stroke_width": 0.1,
                      "stroke_dasharray": "0.1 0.2"},
        Side.TOP: {"fill": "#777777", "fill_opacity": 0.35, "stroke": "#777777",
                   "stroke_width": 0.1, "stroke_dasharray": "0.1 0.2"},
    },
    LayerKind.LEGEND: {
        Side.BOTTOM: {"fill": "#000000", "fill_opacity": 0.45},
        Side.TOP: {"fill": "#000000"},
    },
}  # fmt: skip


def layer_names(design: Design) -> list[str]:
    """Name the classes of the picture's groups, as ``copper-top``, from below upwards."""
    layers = [name for name, layer, _ in _layers(design) if layer.items]
    return [*layers, "parts", *(["holes"] if design.artwork.holes else [])]


def layer_picture(design: Design) -> str:
    """Draw every layer as a group of a class: what is not ticked on a page is hidden by it.

    Returns
    -------
    str
        SVG without a size of its own.
    """
    outline = design.board.outline
    view = View(Side.TOP, outline.length_mm, outline.width_mm)
    wide, high = outline.length_mm + 2 * MARGIN_MM, outline.width_mm + 2 * MARGIN_MM
    drawing = svgwrite.Drawing(
        size=("100%", "100%"),
        viewBox=f"{-MARGIN_MM:g} {-MARGIN_MM:g} {number(wide)} {number(high)}",
        debug=False,
    )
    hatch = drawing.pattern((0, 0), (0.6, 0.6), patternUnits="userSpaceOnUse", id="hatched")
    hatch.add(drawing.path(d="M0 0.6L0.6 0", stroke="#56B4E9", stroke_width=0.15))
    drawing.defs.add(hatch)
    drawing.add(
        drawing.path(
            d="".join(map(view.ring, outline.rings)), fill="#fdfdf8", fill_rule="evenodd",
            stroke="black", stroke_width=0.15,
        )
    )  # fmt: skip
    for name, layer, look in _layers(design):
        if layer.items:
            area = image(layer.items) & board_of(design.artwork)
            group = drawing.g(class_=f"layer {name}")
            group.add(drawing.path(d=view.path(area), fill_rule="evenodd", **look))
            drawing.add(group)
    for name, data in _others(design, view):
        group = drawing.g(class_=f"layer {name}")
        group.add(drawing.path(d=data, fill="none", stroke="black", stroke_width=0.12))
        drawing.add(group)
    return str(drawing.tostring())


def _layers(design: Design) -> Iterator[tuple[str, Layer, dict[str, object]]]:
    for kind, looks in _LOOKS.items():
        for side, look in looks.items():
            for layer in design.artwork.layers:
                if layer.kind is kind and layer.side is side:
                    yield layer.name, layer, look


def _others(design: Design, view: View) -> Iterator[tuple[str, str]]:
    yield (
        "parts",
        "".join(
            view.lines(part.corners(part.pattern.body)) + "Z"
            for part in design.board.parts
            if not part.pattern.bodiless
        ),
    )
    circles = "".join(
        circle(view.point((mm(hole.centre[0]), mm(hole.centre[1]))), mm(hole.diameter_nm) / 2)
        for hole in design.artwork.holes
    )
    if circles:
        yield "holes", circles
