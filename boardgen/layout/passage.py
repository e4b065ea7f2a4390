"""Whether the pour that leads back stays in one piece, before it is drawn."""

from collections.abc import Iterator, Sequence

from boardgen.geometry.contours import grown
from boardgen.geometry.measuring import near_pairs
from boardgen.geometry.placing import contour, half, land_shape, point
from boardgen.geometry.regions import Region, opened, union
from boardgen.geometry.rooms import box_of
from boardgen.layout.cell import MARGIN_MM, edge_mm
from boardgen.layout.spines.claims import conductors
from boardgen.model.board import Board, Part
from boardgen.model.circuit import RETURN_NET
from boardgen.model.land_pattern import Extent, Land
from boardgen.model.limits import Limits
from boardgen.model.parameters import Parameters
from boardgen.model.shapes import Disc, Shape, Stroke
from boardgen.units import NM_PER_UM, Nm, snap


def whole(parameters: Parameters, board: Board, letters: Sequence[Extent] = ()) -> bool:
    """Tell whether one piece of the pour reaches all lands on 0 V, where tracks met in ports.

    ``letters`` are boxes of letters in copper, which the pour keeps off.
    """
    limits = parameters.parts.limits
    edge, *cut_outs = (contour(ring) for ring in board.outline.rings)
    off_edge = snap(edge_mm(parameters))
    foreign = [grown(shape, snap(limits.aims.pour_gap_mm))
               for name, shape in conductors(board) if name != RETURN_NET]  # fmt: skip
    foreign += [grown(hole, off_edge) for hole in cut_outs]
    foreign += [grown(box_of(box), snap(limits.aims.pour_gap_mm)) for box in letters]
    foreign += _moats(parameters, board)
    foreign += hole_rooms(board, limits, 0.0)
    narrow = snap(strip_mm(limits) / 2)
    pieces = (union([edge]).inset(off_edge) - union(foreign)).inset(narrow).pieces()
    reach = snap(max(limits.aims.hole_relief_gap_mm, limits.aims.chip_relief_gap_mm)) + 2 * narrow
    lands = [
        union([grown(land_shape(part, land), Nm(reach))])
        for part in board.parts
        for land in part.pattern.lands
        if part.net(land.name) == RETURN_NET
    ]
    return any(all((piece & land).area_nm2 > 0 for land in lands) for piece in pieces)


def spoked(parameters: Parameters, board: Board) -> bool:
    """Tell whether every lead on 0 V of a board of one side has as many spokes as it needs."""
    limits, edges = parameters.parts.limits, board.outline.rings
    if parameters.copper.relief == "none":
        return True
    edge, *cut_outs = (contour(ring) for ring in edges)
    metal = [(name, shape) for name, shape in conductors(board) if name != RETURN_NET]
    foreign = [grown(shape, snap(limits.aims.pour_gap_mm)) for _, shape in metal]
    foreign += [grown(hole, snap(edge_mm(parameters))) for hole in cut_outs]
    foreign += hole_rooms(board, limits, 0.0)
    ground = union([edge]).inset(snap(edge_mm(parameters)))
    moats = list(_moats(parameters, board))
    return all(
        _ways(limits, part, land, ground, foreign, moats) >= limits.spokes
        for part in board.parts
        for land in part.pattern.lands
        if land.hole_mm and part.net(land.name) == RETURN_NET
    )


def _ways(
    limits: Limits,
    part: Part,
    land: Land,
    ground: Region,
    foreign: Sequence[Shape],
    moats: Sequence[Shape],
) -> int:
    """Count the spokes of a lead that end in the pour in their whole width, as they are drawn."""
    aims = limits.aims
    radius, width = max(limits.pour_width_mm / 2, aims.pour_corner_mm), aims.hole_spoke_mm
    reach = aims.hole_relief_gap_mm + width / 2
    far = max(land.width_mm, land.height_mm) / 2 + reach + 3 * radius
    window = Disc(point(part.land_place(land)), snap(far))
    near, round_it = (
        [shapes[other] for _, other, _ in near_pairs([window], shapes, 0)]
        for shapes in (foreign, moats)
    )
    core = opened((ground & union([window])) - union([*near, *round_it]), snap(radius))
    count = 0
    for x, y in ((1, 0), (0, 1), (-1, 0), (0, -1)):
        out = (x * (land.width_mm / 2 + reach), y * (land.height_mm / 2 + reach))
        tip = point(part.place(land.x_mm + out[0], land.y_mm + out[1]))
        spoke = Stroke((window.centre, tip), half(width))
        met = any(gap < 0 for *_, gap in near_pairs([spoke], near, 0))
        count += core.covers(Disc(tip, Nm(half(width) - NM_PER_UM))) and not met
    return count


def _moats(parameters: Parameters, board: Board) -> Iterator[Shape]:
    """List lands on 0 V with the gaps around them: through their spokes alone nothing leads on."""
    aims, relief = parameters.parts.limits.aims, parameters.copper.relief
    for part in board.parts:
        gap = aims.hole_relief_gap_mm if part.pattern.through_hole else aims.chip_relief_gap_mm
        if relief == "all" or (relief == "holes" and part.pattern.through_hole):
            for land in part.pattern.lands:
                if part.net(land.name) == RETURN_NET:
                    yield grown(land_shape(part, land), snap(gap))


def strip_mm(limits: Limits) -> float:
    """Tell how wide a strip of the pour is at least, its rounded corners included."""
    return 2 * MARGIN_MM + max(2 * limits.aims.pour_corner_mm, limits.pour_width_mm)


def hole_rooms(board: Board, limits: Limits, width_mm: float) -> Iterator[Shape]:
    """List the rooms of holes, as the middle of a track of a width keeps off them."""
    for hole in board.holes:
        yield Disc(point((hole.x_mm, hole.y_mm)), half(hole.room_mm + width_mm))
    for part in board.parts:
        for plain in part.pattern.holes:
            off = snap(plain.hole_mm / 2 + limits.hole_copper_mm + width_mm / 2 + MARGIN_MM)
            yield Disc(point(part.place(plain.x_mm, plain.y_mm)), off)
