"""Pictures of the bare board, top and bottom, at true scale and in its real colours."""

from collections.abc import Iterator, Sequence

import svgwrite
from svgwrite.path import Path

from boardgen.geometry.regions import Region, board_of, image, union
from boardgen.model.artwork import Artwork, LayerKind
from boardgen.model.board import Side
from boardgen.model.design import Design
from boardgen.model.outputs import OutputFile, OutputFiles
from boardgen.model.shapes import Disc
from boardgen.pages.finished import drawn_parts
from boardgen.pages.view import MARGIN_MM, View, number
from boardgen.pages.words import WORDS, say
from boardgen.units import Nm

_SUBSTRATE = "#c8b98a"
_MASKS = {
    # mask over bare board, mask over copper
    "white": ("#e4e4de", "#f6f6f2"),
    "black": ("#101214", "#24282b"),
    "green": ("#174a2c", "#23713f"),
    "blue": ("#14305f", "#1f4b8f"),
    "red": ("#7c1d1b", "#a83230"),
    "yellow": ("#b58a12", "#d9b02c"),
}
_EDGES = {
    "white": "#77776d", "black": "#7f8a92", "green": "#7fd19b", "blue": "#7fa8e6",
    "red": "#f0a09c", "yellow": "#564000",
}  # fmt: skip
"""A line around copper, at least 3 : 1 against its mask: some boards hardly show their tracks."""
_BARE_EDGE, _EDGE_MM = "#4a2a10", 0.07
_LEGENDS = {"black": "#1c1c1c", "white": "#f4f4f0"}
_FINISHES = {"tin, lead-free": "#c3c8cd", "gold": "#d8b24a", "bare copper": "#c8733f"}


def previews(design: Design) -> OutputFiles:
    """Draw both sides, bare, and each that carries parts with them.

    Returns
    -------
    OutputFiles
        ``preview-top.svg``, ``preview-bottom.svg``, ``finished-top.svg`` and, where parts sit
        below, ``finished-bottom.svg``; one user unit is one millimetre.
    """
    return tuple(file for side in Side for file in _pictures(design, side))


def _pictures(design: Design, side: Side) -> Iterator[OutputFile]:
    outline = design.board.outline
    view = View(side, outline.length_mm, outline.width_mm)
    bare, parts = list(stacked(design, view)), list(drawn_parts(design, side))
    yield _picture(design, side, "preview", WORDS["preview.bare"], bare)
    if parts:
        yield _picture(design, side, "finished", WORDS["preview.parts"], [*bare, *parts])


def _picture(design: Design, side: Side, name: str, what: str, paths: Sequence[Path]) -> OutputFile:
    outline, parameters = design.board.outline, design.parameters
    width, height = outline.length_mm + 2 * MARGIN_MM, outline.width_mm + 2 * MARGIN_MM
    drawing = svgwrite.Drawing(
        size=(f"{number(width)}mm", f"{number(height)}mm"),
        viewBox=f"{-MARGIN_MM:g} {-MARGIN_MM:g} {number(width)} {number(height)}",
        debug=False,
    )
    mask = parameters.order.mask
    told = WORDS["preview.no_mask"] if mask == "none" else say("preview.mask", mask=mask)
    drawing.set_desc(
        title=say("preview.title", title=parameters.board.title, side=side.value, what=what),
        desc=f"{number(outline.length_mm)} x {number(outline.width_mm)} mm, {told}",
    )
    for path in paths:
        drawing.add(path)
    content = f"{drawing.tostring()}\n".encode()
    return OutputFile(path=f"{name}-{side.value}.svg", content=content)


def stacked(design: Design, view: View) -> Iterator[Path]:
    """Stack the bare board's areas upwards: each is one path, holes are simply not there."""
    side, parameters = view.side, design.parameters
    board, artwork = board_area(design.artwork), design.artwork
    copper = image(artwork.items(LayerKind.COPPER, side)) & board
    masked = any(layer.kind is LayerKind.MASK and layer.side is side for layer in artwork.layers)
    open_area = image(artwork.items(LayerKind.MASK, side)) & board if masked else board
    print_area = image(artwork.items(LayerKind.LEGEND, side)) & board
    mask = parameters.order.mask
    bare, covered = _MASKS.get(mask, (_SUBSTRATE, _SUBSTRATE))
    edge = _EDGES.get(mask, _BARE_EDGE)
    legend = _LEGENDS.get(parameters.legend_colour, "")
    stack = (
        ("bare board under the mask", bare, "", board - open_area),
        ("copper under the mask", covered, edge, copper - open_area),
        ("board without mask", _SUBSTRATE, "", open_area - copper),
        ("lands", _FINISHES[parameters.order.finish], edge, open_area & copper),
        ("legend", legend, "", print_area),
    )
    for title, colour, line, area in stack:
        if area.area_nm2:
            path = Path(d=view.path(area), fill=colour, fill_rule="evenodd", debug=False)
            if line:
                path.stroke(line, _EDGE_MM)
            path.set_desc(title=title)
            yield path


def colours(design: Design) -> dict[str, str]:
    """Name the colours of a board as ordered, by what shows them."""
    order = design.parameters.order
    mask, covered = _MASKS.get(order.mask, (_SUBSTRATE, _SUBSTRATE))
    return {
        "substrate": _SUBSTRATE, "mask": mask, "covered": covered,
        "copper": _FINISHES["bare copper"], "finish": _FINISHES[order.finish],
        "legend": _LEGENDS.get(design.parameters.legend_colour, ""),
    }  # fmt: skip


def board_area(artwork: Artwork) -> Region:
    """Draw the board itself: inside the profile, less the holes."""
    holes = union(Disc(hole.centre, Nm(hole.diameter_nm // 2)) for hole in artwork.holes)
    return board_of(artwork) - holes
