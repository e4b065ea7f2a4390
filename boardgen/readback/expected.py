"""What the files ought to hold, worked out anew.

Lands, tracks, vias and holes come from part positions and centre lines of the Board, not from the
artwork that the exporter was given; pours, openings, paste, legend and profile from the artwork.
"""

import hashlib
import math
import uuid
from collections import Counter
from itertools import pairwise

from boardgen.model.artwork import Item, Layer, LayerKind, Purpose
from boardgen.model.board import Board, Part, PartKind, Side
from boardgen.model.design import Design
from boardgen.model.land_pattern import LandShape
from boardgen.model.outline import slot_ends, slot_mm
from boardgen.model.shapes import Box, Contour, Disc, Edge, Point, Stroke
from boardgen.readback.objects import Pin, Probe, Seen, SeenHole, SeenSlot, turned
from boardgen.readback.routed import edge_of
from boardgen.units import Nm, mm, snap

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
            function=_function(item, copper=True),
            part=item.owner.reference if item.owner else "",
        )
        for item in layer.items
        if item.purpose in _LETTERS
    ]


def _lands(board: Board, side: Side) -> list[Seen]:
    found = []
    for part in board.parts:
        for land in part.pattern.lands:
            if not land.hole_mm and part.side is not side:
                continue
            centre = _point(*placed(part, land.x_mm, land.y_mm))
            round_land = land.shape is LandShape.ROUND
            function = "ComponentPad" if land.hole_mm else "SMDPad,CuDef"
            if part.kind is PartKind.TEST_POINT:
                function = "TestPad"
            found.append(
                Seen(
                    shape=Disc(centre, snap(land.width_mm / 2))
                    if round_land
                    else _rectangle(centre, land.width_mm, land.height_mm, part.pose.turn_deg),
                    dark=True,
                    function=function,
                    net=dict(part.nets)[land.name],
                    pin=Pin(reference=part.reference, number=land.name, function=land.function),
                )
            )
    return found


def placed(part: Part, x_mm: float, y_mm: float) -> tuple[float, float]:
    """Turn a part's point over when it is on the bottom, then rotate and move it."""
    angle = math.radians(part.pose.turn_deg)
    quarters, rest = divmod(part.pose.turn_deg, 90)
    cos, sin = (math.cos(angle), math.sin(angle)) if rest else _QUARTERS[int(quarters)]
    x_mm = -x_mm if part.side is Side.BOTTOM else x_mm
    return (part.x_mm + x_mm * cos - y_mm * sin, part.y_mm + x_mm * sin + y_mm * cos)


_QUARTERS = ((1, 0), (0, 1), (-1, 0), (0, -1))
_HALF_TURN_UDEG = 180_000_000


def _rectangle(centre: Point, width_mm: float, height_mm: float, turn_deg: float) -> Box:
    """Turn a rectangle; a half turn changes nothing, a quarter changes width for height."""
    turn = round(turn_deg * 1e6) % _HALF_TURN_UDEG
    if turn < _HALF_TURN_UDEG // 2:
        return Box(centre, _even(width_mm), _even(height_mm), turn_udeg=turn)
    return Box(centre, _even(height_mm), _even(width_mm), turn_udeg=turn - _HALF_TURN_UDEG // 2)


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


_SIGNS = {"+": "Plus", "−": "Minus"}


def _function(item: Item, *, copper: bool) -> str:
    """Say what a drawn object is for; the connector's signs say which they are."""
    sign = _SIGNS.get(item.owner.function, "") if item.owner else ""
    if sign and item.purpose is Purpose.LETTER:
        return f"OtherCopper,{sign}" if copper else f"Other,{sign}"
    return _LETTERS[item.purpose] if copper else _FUNCTIONS[item.purpose]


def _seen(item: Item, *, with_net: bool) -> Seen:
    shape = turned(item.shape) if isinstance(item.shape, Contour) else item.shape
    return Seen(
        shape=shape,
        dark=item.dark,
        function=_function(item, copper=False),
        net=item.net if with_net else "",
        part=item.owner.reference if item.owner else "",
    )


def holes(board: Board, *, two_sides: bool) -> list[SeenHole]:
    """List every hole, placed anew; with one copper side none is plated."""
    found: list[SeenHole] = []
    lead = "ComponentDrill" if two_sides else "MechanicalDrill"
    for part in board.parts:
        found += [
            _hole(*placed(part, land.x_mm, land.y_mm), land.hole_mm, lead)
            for land in part.pattern.lands
            if land.hole_mm
        ]
        found += [
            _hole(*placed(part, plain.x_mm, plain.y_mm), plain.hole_mm, "MechanicalDrill")
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


def probes(design: Design, step_nm: float) -> list[Probe]:
    """List the records of the test netlist, placed anew and rounded to the file's step."""
    two_sides = len(design.artwork.coppers()) > 1
    masked = {layer.side for layer in design.artwork.layers if layer.kind is LayerKind.MASK}
    over = (Side.TOP in masked) + 2 * (Side.BOTTOM in masked)
    ways = _ways(design.board)
    sizes = {hole.place: hole for hole in holes(design.board, two_sides=two_sides)}
    found: dict[tuple[str, Point], Probe] = {}
    for layer in design.artwork.coppers():
        side = layer.side or Side.TOP
        for seen in (*_lands(design.board, side), *_vias(design.board)):
            via = seen.function == "ViaPad"
            hole = sizes[seen.place] if seen.function in ("ViaPad", "ComponentPad") else None
            both = hole is not None and two_sides
            name = ("VIA", "") if via or seen.pin is None else (seen.pin.reference, seen.pin.number)
            found[side.value * (not both), seen.place] = Probe(
                kind="317" if hole else "327",
                net=seen.net,
                reference=name[0],
                pin=name[1],
                **_rounded(seen, hole, step_nm),
                plated=hole is not None and hole.plated,
                access=0 if both else 1 + (side is Side.BOTTOM),
                covered=over if via else 0,
                middle=via or ways[seen.place, seen.net] > 1,
            )
    landed = {place for _, place in found}
    return [*found.values(), *_bare(design.board, sizes, landed, step_nm)]


def _ways(board: Board) -> Counter[tuple[Point, str]]:
    """Count the ways that lead away from every point of a track."""
    ways: Counter[tuple[Point, str]] = Counter()
    for track in board.tracks:
        points = [_point(*at) for at in track.points]
        for one, other in pairwise(points):
            ways.update(((one, track.net), (other, track.net)))
    return ways


def _rounded(seen: Seen, hole: SeenHole | None, step_nm: float) -> dict[str, int]:
    shape = seen.shape
    size = (shape.width_nm, shape.height_nm) if isinstance(shape, Box) else (0, 0)
    if isinstance(shape, Disc):
        size = (Nm(2 * shape.radius_nm), Nm(0))
    return {
        **_at_step(seen.place, step_nm),
        "turn_deg": round(shape.turn_udeg / 1e6) if isinstance(shape, Box) else 0,
        "width_nm": _step(min(round(size[0] / step_nm), _LARGEST_SIZE), step_nm),
        "height_nm": _step(min(round(size[1] / step_nm), _LARGEST_SIZE), step_nm),
        "hole_nm": _step(round(hole.diameter_nm / step_nm), step_nm) if hole else 0,
    }


_LARGEST_SIZE = 9_999


def _at_step(place: tuple[int, int], step_nm: float) -> dict[str, int]:
    return {"x_nm": _step(round(place[0] / step_nm), step_nm),
            "y_nm": _step(round(place[1] / step_nm), step_nm)}  # fmt: skip


def _step(steps: int, step_nm: float) -> int:
    return round(steps * step_nm)


def _bare(
    board: Board, sizes: dict[tuple[int, int], SeenHole], landed: set[Point], step_nm: float
) -> list[Probe]:
    """List holes without a land: screws by their own names, pegs by their part's."""
    owners: dict[tuple[int, int], str] = {
        _point(hole.x_mm, hole.y_mm): hole.reference for hole in board.holes
    }
    for part in board.parts:
        for plain in part.pattern.holes:
            owners[_point(*placed(part, plain.x_mm, plain.y_mm))] = part.reference
    return [
        Probe(
            kind="367",
            net="N/C",
            reference=owners.get(place, ""),
            pin="",
            **_at_step(place, step_nm),
            width_nm=_step(min(round(hole.diameter_nm / step_nm), _LARGEST_SIZE), step_nm),
            height_nm=0,
            turn_deg=0,
            hole_nm=_step(round(hole.diameter_nm / step_nm), step_nm),
            plated=False,
            access=0,
            covered=0,
            middle=False,
        )
        for place, hole in sizes.items()
        if place not in landed
    ]


def identity(design: Design) -> str:
    """Work the project's identity out anew: a digest in the form of a random UUID."""
    parameters = design.parameters
    said = f"{parameters.name}\n{parameters.meaning_sha256}".encode()
    return str(uuid.UUID(bytes=hashlib.sha256(said).digest()[:16], version=4))


def unplated(design: Design) -> str:
    """Say what the unplated drill file calls itself: houses differ for one copper side."""
    two = len(design.artwork.coppers()) > 1
    span = "1,2" if two else design.parameters.order.drill_span
    drilled = any(not hole.plated for hole in holes(design.board, two_sides=two))
    routed = (",Mixed" if drilled else ",Rout") if slots(design.board) else ""
    return f"NonPlated,{span},NPTH{routed}"


def slots(board: Board) -> list[SeenSlot]:
    """List the cut-outs that are slots: they are routed, and stand in no profile."""
    found = []
    for ring in board.outline.inner:
        ends, size = slot_ends(ring), slot_mm(ring)
        if ends and size:
            start, end = (_point(*at) for at in ends)
            found.append(SeenSlot(start=start, end=end, width_nm=2 * snap(size[0] / 2)))
    return found


def edges(design: Design) -> tuple[Contour, ...]:
    """Give the board's edges: the outer one, then those of cut-outs, slots the last."""
    outline = design.board.outline
    milled = (ring for ring in outline.inner if slot_mm(ring) is None)
    routed = sorted(slots(design.board), key=lambda slot: (slot.width_nm, slot.start, slot.end))
    return (
        *(
            Contour(
                tuple(
                    Edge(
                        _point(*bow.end), _point(*bow.centre) if bow.centre else None, bow.clockwise
                    )
                    for bow in ring
                )
            )
            for ring in (outline.outer, *milled)
        ),
        *(edge_of(slot) for slot in routed),
    )


_FINISHES = {"tin, lead-free": "HAL lead-free", "gold": "ENIG", "bare copper": "None"}


def job(design: Design) -> dict[str, object]:
    """Give what the job file ought to say of size, layers and materials."""
    order, copper = design.parameters.order, design.parameters.copper
    coppers = len(design.artwork.coppers())
    rows: dict[tuple[LayerKind, Side], dict[str, object]] = {}
    for layer in design.artwork.layers:
        row: dict[str, object] = {"Type": _MATERIALS.get(layer.kind, ""), "Name": layer.name}
        if layer.kind is LayerKind.COPPER:
            row["Thickness"] = copper.weight_um / 1000
        if layer.kind is LayerKind.MASK:
            row["Color"] = order.mask
        if layer.kind is LayerKind.LEGEND:
            row["Color"] = design.parameters.legend_colour
        if layer.side:
            rows[layer.kind, layer.side] = row
    core = {
        "Type": "Dielectric",
        "Name": "core",
        "Material": "FR4",
        "Thickness": round(order.thickness_mm - coppers * copper.weight_um / 1000, 6),
    }
    top = [rows[kind, Side.TOP] for kind in _MATERIALS if (kind, Side.TOP) in rows]
    bottom = [rows[kind, Side.BOTTOM] for kind in _MATERIALS if (kind, Side.BOTTOM) in rows]
    return {
        "Size": {
            "X": mm(snap(design.board.outline.length_mm)),
            "Y": mm(snap(design.board.outline.width_mm)),
        },
        "LayerNumber": coppers,
        "BoardThickness": order.thickness_mm,
        "Finish": _FINISHES[order.finish],
        "ImpedanceControlled": False,
        "MaterialStackup": [*top, core, *bottom[::-1]],
    }


_MATERIALS = {
    LayerKind.LEGEND: "Legend",
    LayerKind.PASTE: "SolderPaste",
    LayerKind.MASK: "SolderMask",
    LayerKind.COPPER: "Copper",
}

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
LISTS = ("netlist.ipc", "job.gbrjob")
DRILLS = {
    "plated.drl": ("Plated,1,2,PTH",),
    "unplated.drl": tuple(
        f"NonPlated,{span},NPTH{way}" for span in ("1,2", "1,1") for way in ("", ",Mixed", ",Rout")
    ),
}
"""What drill files may say; the span 1,1 is for one copper side only, a slot is routed."""
