"""Films for etching at home: the copper at true scale, solid black, with guides and rulers."""

import svgwrite

from boardgen.geometry.regions import board_of, image, union
from boardgen.model.artwork import LayerKind
from boardgen.model.board import Side
from boardgen.model.design import Design
from boardgen.model.outputs import OutputFile, OutputFiles
from boardgen.model.shapes import Disc
from boardgen.pages.view import View, letters, number
from boardgen.pages.words import say
from boardgen.units import Nm, snap

GUIDE_MM = 0.4
"""Open centre of every land with a hole: the drill's tip finds it."""

RULER_MM = 50.0
_TICK_MM = 10.0
_MARGIN_MM = 24.0
_RULER_AWAY_MM = 5.0
_CROP_MM = (0.6, 3.0)
_SPOT_MM = 1.6
_PEN_MM = 0.3
_TEXT_MM = 2.5


def films(design: Design) -> OutputFiles:
    """Draw the copper of a board with one copper side, to be printed at 100 %.

    Returns
    -------
    OutputFiles
        ``film-positive.svg`` as seen on the copper, ``film-mirrored.svg`` to be laid print side
        down; none for boards with two copper sides.
    """
    if len(design.parameters.sides) > 1:
        return ()
    return tuple(
        OutputFile(path=f"film-{name}.svg", content=_film(design, name, side).encode())
        for name, side in (("positive", Side.TOP), ("mirrored", Side.BOTTOM))
    )


def _film(design: Design, name: str, side: Side) -> str:
    outline, lettering = design.board.outline, design.parameters.parts.lettering
    # Looked at from below the board is mirrored, which is all that the second film is.
    view = View(side, outline.length_mm, outline.width_mm)
    length = max(outline.length_mm, RULER_MM) + _MARGIN_MM
    width = max(outline.width_mm, RULER_MM) + _MARGIN_MM
    drawing = svgwrite.Drawing(
        size=(f"{number(length)}mm", f"{number(width)}mm"),
        viewBox=f"{-_MARGIN_MM + 5:g} -4 {number(length)} {number(width)}",
        debug=False,
    )
    drawing.set_desc(
        title=say("film.title", title=design.parameters.board.title, name=name),
        desc=say("film.desc", length=number(outline.length_mm), width=number(outline.width_mm)),
    )
    corner = (-_MARGIN_MM + 5, -4)
    drawing.add(drawing.rect(corner, (number(length), number(width)), fill="white"))
    drawing.add(drawing.path(d=_copper(design, view), fill="black", fill_rule="evenodd"))
    below = max(outline.width_mm, RULER_MM)
    marks = (
        _crop(view)
        + _ruler(below)
        + letters(
            say("film.print", name=name),
            (RULER_MM / 2, below + _RULER_AWAY_MM + 8.0),
            _TEXT_MM,
            lettering,
        )
    )
    for at in ((RULER_MM / 2, below + _RULER_AWAY_MM + 4.0), (-11.5, RULER_MM / 2)):
        marks += letters(say("sheets.ruler", length=f"{RULER_MM:g}"), at, _TEXT_MM, lettering)
    drawing.add(drawing.path(d=marks, fill="none", stroke="black", stroke_width=_PEN_MM))
    return str(drawing.tostring()) + "\n"


def _copper(design: Design, view: View) -> str:
    """Write the copper with its guides; holes without a land get a spot that the drill removes."""
    artwork = design.artwork
    shown = image(artwork.items(LayerKind.COPPER, Side.TOP))
    shown |= union(
        Disc(hole.centre, Nm(min(hole.diameter_nm // 2 - snap(_PEN_MM), snap(_SPOT_MM / 2))))
        for hole in artwork.holes
        if not hole.net
    )
    guides = union(Disc(hole.centre, snap(GUIDE_MM / 2)) for hole in artwork.holes)
    return view.path((shown - guides) & board_of(artwork))


def _crop(view: View) -> str:
    """Draw marks outside the corners along which the board is cut."""
    near, far = _CROP_MM
    data = ""
    for x, outward_x in ((0.0, -1), (view.length_mm, 1)):
        for y, outward_y in ((0.0, -1), (view.width_mm, 1)):
            data += f"M{number(x + outward_x * near)} {number(y)}H{number(x + outward_x * far)}"
            data += f"M{number(x)} {number(y + outward_y * near)}V{number(y + outward_y * far)}"
    return data


def _ruler(width_mm: float) -> str:
    """Draw a ruler below the board and one on its left, a tick every 10 mm."""
    below, left = width_mm + _RULER_AWAY_MM, -_RULER_AWAY_MM
    data = f"M0 {number(below)}L{RULER_MM:g} {number(below)}M{left:g} 0L{left:g} {RULER_MM:g}"
    for step in range(round(RULER_MM / _TICK_MM) + 1):
        at = step * _TICK_MM
        data += f"M{at:g} {number(below)}L{at:g} {number(below + 1.5)}"
        data += f"M{left:g} {at:g}L{left - 1.5:g} {at:g}"
    return data
