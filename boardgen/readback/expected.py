"""What the files ought to hold, worked out anew.

Lands, tracks, vias and holes come from part positions and centre lines of the Board, not from the
artwork that the exporter was given; pours, openings, paste, legend and profile from the artwork.
"""

from boardgen.model.artwork import Item, Layer, LayerKind, Purpose
from boardgen.model.board import Board, Part, PartKind, Side
from boardgen.model.land_pattern import LandShape
from boardgen.model.shapes import Box, Contour, Disc, Point, Stroke
from boardgen.readback.seen import Pin, Seen, SeenHole, turned
from boardgen.units import Nm, snap

_POUR = (Purpose.POUR, Purpose.CLEARANCE, Purpose.PATCH, Purpose.SPOKE)

_FUNCTIONS = {
    Purpose.POUR: "Conductor",
    Purpose.SPOKE: "Conductor",
    Purpose.CLEARANCE: "Other,Clearance",
    Purpose.PATCH: "Other,Clearance",
    Purpose.OPENING: "Material",
    Purpose.PASTE: "Material",
    Purpose.LETTER: "Material",
    Purpose.MARK: "Material",
    Purpose.CATHODE_MARK: "Other,Cathode",
    Purpose.PROFILE: "Profile",
}


def _point(x_mm: float, y_mm: float) -> Point:
    return (snap(x_mm), snap(y_mm))


def _even(length_mm: float) -> Nm:
    return Nm(2 * snap(length_mm / 2))


def board_copper(board: Board, layer: Layer) -> list[Seen]:
    """List lands, tracks and vias of a copper side, placed anew, and its letters as drawn."""
    side = layer.side or Side.TOP
    return [*_lands(board, side), *_tracks(board, side), *_vias(board), *_letters(layer)]


_LETTERS = {
    Purpose.LETTER: "NonConductor",
    Purpose.MARK: "NonConductor",
    Purpose.CATHODE_MARK: "OtherCopper,Cathode",
}


def _letters(layer: Layer) -> list[Seen]:
    return [
        Seen(
            shape=item.shape,
            dark=True,
            function=_LETTERS[item.purpose],
            part=item.owner.reference if item.owner else "",
        )
        for item in layer.items
        if item.purpose in _LETTERS
    ]


def _lands(board: Board, side: Side) -> list[Seen]:
    turns = {0: (1, 0), 90: (0, 1), 180: (-1, 0), 270: (0, -1)}
    found = []
    for part in board.parts:
        _, sin = turns[part.rotation_deg]
        for land in part.pattern.lands:
            if not land.hole_mm and part.side is not side:
                continue
            centre = _point(*_placed(part, land.x_mm, land.y_mm))
            size = (land.width_mm, land.height_mm)
            width, height = size if sin == 0 else size[::-1]
            round_land = land.shape is LandShape.ROUND
            function = "ComponentPad" if land.hole_mm else "SMDPad,CuDef"
            if part.kind is PartKind.TEST_POINT:
                function = "TestPad"
            found.append(
                Seen(
                    shape=Disc(centre, snap(width / 2))
                    if round_land
                    else Box(centre, _even(width), _even(height)),
                    dark=True,
                    function=function,
                    net=dict(part.nets)[land.name],
                    pin=Pin(reference=part.reference, number=land.name, function=land.function),
                )
            )
    return found


def _placed(part: Part, x_mm: float, y_mm: float) -> tuple[float, float]:
    """Turn a part's point over when it is on the bottom, then rotate and move it."""
    cos, sin = {0: (1, 0), 90: (0, 1), 180: (-1, 0), 270: (0, -1)}[part.rotation_deg]
    x_mm = -x_mm if part.side is Side.BOTTOM else x_mm
    return (part.x_mm + x_mm * cos - y_mm * sin, part.y_mm + x_mm * sin + y_mm * cos)


def _tracks(board: Board, side: Side) -> list[Seen]:
    return [
        Seen(
            shape=Stroke(tuple(_point(*at) for at in track.points), snap(track.width_mm / 2)),
            dark=True,
            function="Conductor",
            net=track.net,
        )
        for track in board.tracks
        if track.side is side
    ]


def _vias(board: Board) -> list[Seen]:
    return [
        Seen(
            shape=Disc(_point(via.x_mm, via.y_mm), snap(via.land_mm / 2)),
            dark=True,
            function="ViaPad",
            net=via.net,
        )
        for via in board.vias
    ]


def pour(layer: Layer) -> list[Seen]:
    """List a copper layer's pour objects, in drawing order."""
    return [_seen(item, with_net=item.dark) for item in layer.items if item.purpose in _POUR]


def drawn(layer: Layer) -> list[Seen]:
    """List the objects of a layer without copper."""
    return [_seen(item, with_net=False) for item in layer.items]


def _seen(item: Item, *, with_net: bool) -> Seen:
    shape = turned(item.shape) if isinstance(item.shape, Contour) else item.shape
    return Seen(
        shape=shape,
        dark=item.dark,
        function=_FUNCTIONS[item.purpose],
        net=item.net if with_net else "",
        part=item.owner.reference if item.owner else "",
    )


def holes(board: Board, *, two_sides: bool) -> list[SeenHole]:
    """List every hole, placed anew; with one copper side none is plated."""
    found: list[SeenHole] = []
    lead = "ComponentDrill" if two_sides else "MechanicalDrill"
    for part in board.parts:
        found += [
            _hole(*_placed(part, land.x_mm, land.y_mm), land.hole_mm, lead)
            for land in part.pattern.lands
            if land.hole_mm
        ]
        found += [
            _hole(*_placed(part, plain.x_mm, plain.y_mm), plain.hole_mm, "MechanicalDrill")
            for plain in part.pattern.holes
        ]
    found += [_hole(via.x_mm, via.y_mm, via.hole_mm, "ViaDrill") for via in board.vias]
    found += [_hole(hole.x_mm, hole.y_mm, hole.hole_mm, "MechanicalDrill") for hole in board.holes]
    return found


def _hole(x_mm: float, y_mm: float, diameter_mm: float, function: str) -> SeenHole:
    return SeenHole(
        x_nm=snap(x_mm),
        y_nm=snap(y_mm),
        diameter_nm=_even(diameter_mm),
        plated=function != "MechanicalDrill",
        function=function,
    )


def pins(board: Board) -> dict[tuple[str, str], str]:
    """Map every pin of every part to its net."""
    return {(part.reference, name): net for part in board.parts for name, net in part.nets}


FILES = {
    (LayerKind.COPPER, Side.TOP): ("copper-top.gbr", "Copper,L1,Top", "Positive"),
    (LayerKind.COPPER, Side.BOTTOM): ("copper-bottom.gbr", "Copper,L2,Bot", "Positive"),
    (LayerKind.MASK, Side.TOP): ("mask-top.gbr", "Soldermask,Top", "Negative"),
    (LayerKind.MASK, Side.BOTTOM): ("mask-bottom.gbr", "Soldermask,Bot", "Negative"),
    (LayerKind.LEGEND, Side.TOP): ("legend-top.gbr", "Legend,Top", "Positive"),
    (LayerKind.LEGEND, Side.BOTTOM): ("legend-bottom.gbr", "Legend,Bot", "Positive"),
    (LayerKind.PASTE, Side.TOP): ("paste-top.gbr", "Paste,Top", "Positive"),
    (LayerKind.PROFILE, None): ("profile.gbr", "Profile,NP", "Positive"),
}
DRILLS = {
    "plated.drl": ("Plated,1,2,PTH",),
    "unplated.drl": ("NonPlated,1,2,NPTH", "NonPlated,1,1,NPTH"),
}
"""What drill files may say; the span 1,1 is for one copper side only."""
