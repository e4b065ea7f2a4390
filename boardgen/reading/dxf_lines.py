"""Closed lines of a DXF drawing's model: polylines, circles, and lines and arcs that meet."""

import io
from collections.abc import Iterator
from itertools import pairwise
from typing import TYPE_CHECKING

from boardgen.model.outline import Bow, Ring
from boardgen.model.pose import Point
from boardgen.reading.drawn_lines import DrawingError, chained, not_read, ring_of
from boardgen.standards.path_data import Drawn

if TYPE_CHECKING:
    from ezdxf.document import Drawing
    from ezdxf.entities.dxfgfx import DXFGraphic
    from ezdxf.entities.lwpolyline import LWPolyline
    from ezdxf.math import Vec3


_UP = (0.0, 0.0, 1.0)


def dxf_rings(content: bytes) -> Iterator[Ring]:
    """Read a drawing; one that names no unit is in millimetres.

    Raises
    ------
    DrawingError
        When it is none, holds other things than lines and arcs, or a line ends in the open.
    """
    found, scale = _opened(content)
    loose: list[Drawn] = []
    for entity in found.modelspace():
        if _hidden(found, entity):
            continue
        drawn = _drawn(entity, scale)
        if tuple(entity.dxf.get("extrusion", _UP)) != _UP:
            raise DrawingError("is drawn from below in part; mirror it there and save it flat")
        if drawn.closed:
            yield ring_of(drawn)
        else:
            loose.append(drawn)
    yield from chained(loose)


def _hidden(found: "Drawing", entity: "DXFGraphic") -> bool:
    """Tell whether a shape is invisible, or its layer off or frozen: nobody sees it as drawn.

    What only refers to others, on layers of their own, is not hidden by a layer that is off.
    """
    if not entity.dxf.hasattr("layer"):
        return False
    layer = found.layers.get(entity.dxf.layer) if entity.dxf.layer in found.layers else None
    off = layer and layer.is_off() and entity.dxftype() != "INSERT"
    return bool(entity.dxf.get("invisible", 0) or off or (layer and layer.is_frozen()))


def _opened(content: bytes) -> "tuple[Drawing, float]":
    """Read a file, and tell how many millimetres its unit is."""
    try:
        # An extra, of drawings alone.
        from ezdxf.enums import InsertUnits  # noqa: PLC0415
        from ezdxf.filemanagement import read  # noqa: PLC0415
        from ezdxf.lldxf.const import DXFError  # noqa: PLC0415
        from ezdxf.units import conversion_factor  # noqa: PLC0415
    except ModuleNotFoundError:
        raise DrawingError("needs an extra; pip install 'boardgen[dxf]'") from None
    try:
        found = read(io.StringIO(content.decode("utf-8", errors="replace")))
    except (DXFError, ValueError) as error:
        raise DrawingError(f"is no DXF that can be read ({error}); save it anew") from None
    # Of a file that names no unit the reader assumes one.
    named = found.units and b"$INSUNITS" in content
    try:
        unit = InsertUnits(found.units)
        scale = conversion_factor(unit, InsertUnits.Millimeters) if named else 1.0
    except ValueError:
        raise DrawingError(f"is in a unit of number {found.units}; save it in mm") from None
    return found, scale


def _drawn(entity: "DXFGraphic", scale: float) -> Drawn:
    from ezdxf.entities.arc import Arc  # noqa: PLC0415
    from ezdxf.entities.circle import Circle  # noqa: PLC0415
    from ezdxf.entities.line import Line  # noqa: PLC0415
    from ezdxf.entities.lwpolyline import LWPolyline  # noqa: PLC0415

    if isinstance(entity, LWPolyline):
        return _polyline(entity, scale)
    if isinstance(entity, Arc) and (entity.dxf.end_angle - entity.dxf.start_angle) % 360:
        start, end, centre = (
            _scaled(at, scale) for at in (entity.start_point, entity.end_point, entity.dxf.center)
        )
        return Drawn(start, (Bow(end, centre),), closed=False)
    if isinstance(entity, Circle):
        x, y = _scaled(entity.dxf.center, scale)
        r = entity.dxf.radius * scale
        return Drawn((x - r, y), (Bow((x + r, y), (x, y)), Bow((x - r, y), (x, y))), closed=True)
    if isinstance(entity, Line):
        start, end = (_scaled(at, scale) for at in (entity.dxf.start, entity.dxf.end))
        return Drawn(start, (Bow(end),), closed=False)
    kind = entity.dxftype().lower()
    if kind == "polyline":
        raise DrawingError(
            "holds a shape that is not read (polyline); save it as DXF 2000 or newer"
        )
    raise not_read(kind, "lines, arcs, circles and polylines")


def _polyline(entity: "LWPolyline", scale: float) -> Drawn:
    from ezdxf.math import bulge_center  # noqa: PLC0415

    points = [((x * scale, y * scale), bulge) for x, y, bulge in entity.get_points("xyb")]
    if len(points) < 2:  # noqa: PLR2004 - from one to the next
        raise DrawingError("holds a polyline of one point; leave it out")
    around = [*points, points[0]] if entity.closed else points
    pieces = []
    for (start, bulge), (end, _) in pairwise(around):
        middle = bulge_center(start, end, bulge) if bulge else None
        pieces.append(Bow(end, middle and (middle.x, middle.y), bulge < 0))
    return Drawn(points[0][0], tuple(pieces), closed=bool(entity.closed))


def _scaled(at: "Vec3", scale: float) -> Point:
    return (at.x * scale, at.y * scale)
