"""The board as a solid: what a viewer of three dimensions shows, in metres, upwards along y."""

from collections import defaultdict
from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, Any

import numpy as np

from boardgen.geometry.regions import Region, image, triangles, union
from boardgen.model.artwork import Artwork, Hole, LayerKind
from boardgen.model.board import Part, Point, Side
from boardgen.model.design import Design
from boardgen.model.outputs import OutputFile
from boardgen.model.shapes import Disc
from boardgen.pages.bodies import Piece, pieces
from boardgen.pages.oblique import corners_of
from boardgen.pages.preview import board_area, colours
from boardgen.units import NM_PER_MM, Nm

if TYPE_CHECKING:
    import trimesh

_MASK_MM, _LEGEND_MM, _WALL_MM = 0.02, 0.015, 0.025
"""Thickness of mask and print, and of a plated hole's wall: usual, from memory."""
_M_PER_MM = 1e-3
_CHORD_NM = 10_000.0
"""So far chords may leave their arcs: a solid is looked at."""


def solid_file(design: Design) -> OutputFile:
    """Write ``board.glb``: glTF 2.0 in its binary form; one node for each layer and each part.

    Needs the extra ``3d``: trimesh.
    """
    import trimesh  # noqa: PLC0415 - of an extra

    visual: Any = trimesh.visual  # parts of the library have no types
    scene: Any = trimesh.Scene()
    for name, colour, meshes in _nodes(design):
        mesh: Any = trimesh.util.concatenate(list(meshes))
        mesh.apply_transform(_UPWARDS)
        material = visual.material.PBRMaterial(
            name=colour, baseColorFactor=_linear(colour),
            metallicFactor=0.0, roughnessFactor=0.7,
        )  # fmt: skip
        mesh.visual = visual.TextureVisuals(material=material)
        scene.add_geometry(mesh, node_name=name, geom_name=name)
    content: bytes = scene.export(file_type="glb")
    return OutputFile(path="board.glb", content=content)


def _linear(colour: str) -> list[float]:
    """Turn a colour of screens into the linear one that glTF wants (IEC 61966-2-1, from memory)."""
    shares = (byte / 255 for byte in bytes.fromhex(colour[1:]))
    return [s / 12.92 if s <= 0.04045 else ((s + 0.055) / 1.055) ** 2.4 for s in shares] + [1.0]  # noqa: PLR2004


_UPWARDS = np.array(
    [[_M_PER_MM, 0, 0, 0], [0, 0, _M_PER_MM, 0], [0, -_M_PER_MM, 0, 0], [0, 0, 0, 1]]
)
"""Millimetres, z upwards → metres, y upwards."""


def _nodes(design: Design) -> Iterator[tuple[str, str, "list[trimesh.Trimesh]"]]:
    yield from _bare(design)
    for part in design.board.parts:
        if part.kind.row.bought:
            yield from _part(design, part)


def _discs(holes: Sequence[Hole], less_nm: int) -> Region:
    return union(Disc(hole.centre, Nm(hole.diameter_nm // 2 - less_nm)) for hole in holes)


def _bare(design: Design) -> Iterator[tuple[str, str, "list[trimesh.Trimesh]"]]:
    thick, paint = design.parameters.order.thickness_mm, colours(design)
    copper_mm = design.parameters.copper.weight_um * 1e-3
    board, artwork = board_area(design.artwork), design.artwork
    yield "board", paint["substrate"], _extruded(board, 0.0, thick)
    plated = [hole for hole in artwork.holes if hole.plated]
    walls = _discs(plated, 0) - _discs(plated, round(_WALL_MM * NM_PER_MM))
    if walls.area_nm2:
        yield "walls of plated holes", paint["finish"], _extruded(walls, 0.0, thick)
    on_copper, on_mask = copper_mm + _MASK_MM, copper_mm + _MASK_MM + _LEGEND_MM
    for side in Side:
        level = _Level(side, thick)
        copper, opened, legend = _layers(artwork, side, board)
        for name, colour, area, low, high in (
            ("lands", paint["finish"], copper & opened, 0.0, copper_mm),
            ("copper", paint["copper"], copper - opened, 0.0, copper_mm),
            ("mask", paint["mask"], (board - opened) - copper, 0.0, _MASK_MM),
            ("mask over copper", paint["covered"], copper - opened, copper_mm, on_copper),
            ("legend", paint["legend"], legend, on_copper, on_mask),
        ):  # fmt: skip
            if area.area_nm2:
                yield f"{name} {side.value}", colour, _extruded(area, *level.heights(low, high))


def _layers(artwork: Artwork, side: Side, board: Region) -> tuple[Region, Region, Region]:
    """Give a side's copper, what its mask leaves open, and its print."""
    copper, opened, legend = (
        image(artwork.items(kind, side), _CHORD_NM) & board
        for kind in (LayerKind.COPPER, LayerKind.MASK, LayerKind.LEGEND)
    )
    masked = any(x.kind is LayerKind.MASK and x.side is side for x in artwork.layers)
    return copper, opened if masked else board, legend


class _Level:
    """Heights above a side's face → heights above the board's lower face."""

    def __init__(self, side: Side, thick_mm: float) -> None:
        self.side, self.thick_mm = side, thick_mm

    def heights(self, low: float, high: float) -> tuple[float, float]:
        if self.side is Side.TOP:
            return (self.thick_mm + low, self.thick_mm + high)
        return (-high, -low)


def _part(design: Design, part: Part) -> Iterator[tuple[str, str, "list[trimesh.Trimesh]"]]:
    level = _Level(part.side, design.parameters.order.thickness_mm)
    by_colour: dict[str, list[Any]] = defaultdict(list)
    for piece in pieces(design, part):
        low, high = level.heights(piece.low_mm, piece.high_mm)
        by_colour[piece.colour].append(_prism(_ring(part, piece), low, high))
    for place, (colour, meshes) in enumerate(by_colour.items()):
        yield f"{part.reference}{f'.{place}' if place else ''}", colour, meshes


def _ring(part: Part, piece: Piece) -> list[Point]:
    return [part.place(x, y) for x, y in corners_of(piece)]


def _prism(ring: list[Point], low: float, high: float) -> "trimesh.Trimesh":
    import trimesh  # noqa: PLC0415 - of an extra

    if _area(ring) < 0:
        ring.reverse()
    faces = [(0, n, n + 1) for n in range(1, len(ring) - 1)]  # outlines of parts are convex
    return trimesh.creation.extrude_triangulation(
        np.array(ring), np.array(faces), high - low, transform=_lifted(low)
    )


def _area(ring: list[Point]) -> float:
    return sum(a * d - b * c for (a, b), (c, d) in zip(ring, [*ring[1:], ring[0]], strict=True))


def _extruded(area: Region, low: float, high: float) -> "list[trimesh.Trimesh]":
    import trimesh  # noqa: PLC0415 - of an extra

    return [
        trimesh.creation.extrude_triangulation(
            np.array(corners), np.array(faces), high - low, transform=_lifted(low)
        )
        for corners, faces in triangles(area)
    ]


def _lifted(height_mm: float) -> "np.ndarray[Any, Any]":
    lifted = np.eye(4)
    lifted[2, 3] = height_mm
    return lifted
