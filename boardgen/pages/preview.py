"""Pictures of the bare board, top and bottom, at true scale and in its real colours."""

from dataclasses import dataclass, replace

import svgwrite

from boardgen.geometry.regions import Region, image, union
from boardgen.model.artwork import Artwork, LayerKind
from boardgen.model.board import Side
from boardgen.model.design import Design
from boardgen.model.outputs import OutputFile, OutputFiles
from boardgen.model.shapes import Disc
from boardgen.units import NM_PER_MM, Nm

MARGIN_MM = 2.0
_SUBSTRATE = "#c8b98a"
_MASKS = {
    # mask over bare board, mask over copper, legend
    "white": ("#e4e4de", "#f6f6f2", "#1c1c1c"),
    "black": ("#101214", "#24282b", "#f4f4f0"),
    "green": ("#174a2c", "#23713f", "#f4f4f0"),
    "blue": ("#14305f", "#1f4b8f", "#f4f4f0"),
    "red": ("#7c1d1b", "#a83230", "#f4f4f0"),
}
_FINISHES = {"tin, lead-free": "#c3c8cd", "gold": "#d8b24a"}


@dataclass(frozen=True, slots=True)
class _View:
    """One side as it is looked at: from below, left and right change places."""

    side: Side
    length_mm: float
    width_mm: float

    def path(self, region: Region) -> str:
        """Write an area as path data, y downwards, in mm with three decimals."""
        return "".join(
            "M" + "L".join(self._point(x, y) for x, y in ring[:-1]) + "Z"
            for ring in region.rings_nm()
        )

    def _point(self, x_nm: float, y_nm: float) -> str:
        x, y = x_nm / NM_PER_MM, y_nm / NM_PER_MM
        if self.side is Side.BOTTOM:
            x = self.length_mm - x
        return f"{_number(x)} {_number(self.width_mm - y)}"


def _number(value_mm: float) -> str:
    text = f"{value_mm:.3f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def previews(design: Design) -> OutputFiles:
    """Draw both sides.

    Returns
    -------
    OutputFiles
        ``preview-top.svg`` and ``preview-bottom.svg``; one user unit is one millimetre.
    """
    return tuple(
        OutputFile(path=f"preview-{side.value}.svg", content=_picture(design, side).encode())
        for side in Side
    )


def _picture(design: Design, side: Side) -> str:
    outline, parameters = design.board.outline, design.parameters
    view = _View(side, outline.length_mm, outline.width_mm)
    bare, covered, legend = _MASKS[parameters.order.mask]
    board = _board(design.artwork)
    copper = image(design.artwork.layer(LayerKind.COPPER, side).items) & board
    open_area = image(design.artwork.layer(LayerKind.MASK, side).items) & board
    print_area = image(design.artwork.layer(LayerKind.LEGEND, side).items) & board
    # Stacked from the board upwards; each area is one path, holes are simply not there.
    stack = (
        ("bare board under the mask", bare, board - open_area),
        ("copper under the mask", covered, copper - open_area),
        ("board without mask", _SUBSTRATE, open_area - copper),
        ("lands", _FINISHES[parameters.order.finish], open_area & copper),
        ("legend", legend, print_area),
    )
    width, height = outline.length_mm + 2 * MARGIN_MM, outline.width_mm + 2 * MARGIN_MM
    drawing = svgwrite.Drawing(
        size=(f"{_number(width)}mm", f"{_number(height)}mm"),
        viewBox=f"{-MARGIN_MM:g} {-MARGIN_MM:g} {_number(width)} {_number(height)}",
        debug=False,
    )
    words = f"{parameters.board.title}, {side.value} side, bare board, true scale"
    drawing.set_desc(title=words, desc=f"{_number(outline.length_mm)} x "
                     f"{_number(outline.width_mm)} mm, {parameters.order.mask} mask")  # fmt: skip
    for title, colour, area in stack:
        path = drawing.path(d=view.path(area), fill=colour, fill_rule="evenodd")
        path.set_desc(title=title)
        if area.area_nm2:
            drawing.add(path)
    return str(drawing.tostring()) + "\n"


def _board(artwork: Artwork) -> Region:
    """Draw the board itself: inside the profile, less the holes."""
    holes = union(Disc(hole.centre, Nm(hole.diameter_nm // 2)) for hole in artwork.holes)
    return union([replace(artwork.profile, radius_nm=Nm(0))]) - holes
