"""Closed lines of a DXF drawing's model: polylines, circles, and lines and arcs that meet."""

import io
from collections.abc import Iterator
from itertools import pairwise
from typing import TYPE_CHECKING

from boardgen.model.outline import Bow, Ring
from boardgen.model.pose import Point
from boardgen.reading.drawn_lines import DrawingError, chained, ring_of
from boardgen.standards.path_data import Drawn

if TYPE_CHECKING:
    from ezdxf.entities.lwpolyline import LWPolyline
    from ezdxf.math import Vec3


def dxf_rings(content: bytes) -> Iterator[Ring]:
    """Read a drawing; one that names no unit is in millimetres.

    Raises
    ------
    DrawingError
        When it is none, holds other things than lines and arcs, or a line ends in the open.
    """
    try:
        # An extra, of drawings alone.
        from ezdxf.entities.arc import Arc  # noqa: PLC0415
        from ezdxf.entities.circle import Circle  # noqa: PLC0415
        from ezdxf.entities.line import Line  # noqa: PLC0415
        from ezdxf.entities.lwpolyline import LWPolyline  # noqa: PLC0415
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
    unit = InsertUnits(found.units)
    scale = conversion_factor(unit, InsertUnits.Millimeters) if found.units else 1.0
    loose: list[Drawn] = []
    for entity in found.modelspace():
        if isinstance(entity, LWPolyline):
            drawn = _polyline(entity, scale)
        elif isinstance(entity, Arc):
            start, end, centre = (
                _scaled(at, scale)
                for at in (entity.start_point, entity.end_point, entity.dxf.center)
            )
            drawn = Drawn(start, (Bow(end, centre),), closed=False)
        elif isinstance(entity, Circle):
            x, y = _scaled(entity.dxf.center, scale)
            r = entity.dxf.radius * scale
            halves = (Bow((x + r, y), (x, y)), Bow((x - r, y), (x, y)))
            drawn = Drawn((x - r, y), halves, closed=True)
        elif isinstance(entity, Line):
            start, end = (_scaled(at, scale) for at in (entity.dxf.start, entity.dxf.end))
            drawn = Drawn(start, (Bow(end),), closed=False)
        else:
            kind = entity.dxftype().lower()
            raise DrawingError(f"holds a {kind}; draw lines, arcs, circles and polylines")
        if drawn.closed:
            yield ring_of(drawn)
        else:
            loose.append(drawn)
    yield from chained(loose)


def _polyline(entity: "LWPolyline", scale: float) -> Drawn:
    from ezdxf.math import bulge_center  # noqa: PLC0415

    points = [((x * scale, y * scale), bulge) for x, y, bulge in entity.get_points("xyb")]
    around = [*points, points[0]] if entity.closed else points
    pieces = []
    for (start, bulge), (end, _) in pairwise(around):
        middle = bulge_center(start, end, bulge) if bulge else None
        pieces.append(Bow(end, middle and (middle.x, middle.y), bulge < 0))
    return Drawn(points[0][0], tuple(pieces), closed=bool(entity.closed))


def _scaled(at: "Vec3", scale: float) -> Point:
    return (at.x * scale, at.y * scale)
