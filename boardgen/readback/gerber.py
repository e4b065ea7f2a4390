"""Gerber files → objects, by pygerber's syntax tree and a visitor of ours."""

import re
from dataclasses import replace
from typing import Any

from pygerber.gerber.ast.nodes import ADC, ADR, D01, D02, D03, LP, TD, TO, ADmacro, Dnn
from pygerber.gerber.ast.state_tracking_visitor import StateTrackingVisitor

from boardgen.model.shapes import Box, Contour, Disc, Edge, Point, Shape, Stroke
from boardgen.readback.form import form_faults
from boardgen.readback.objects import Fault, Pin, Reading, Seen, turned
from boardgen.readback.statements import tree
from boardgen.units import Nm, snap

_FILE_ATTRIBUTE = re.compile(r"%TF(\.?[A-Za-z0-9]+),?([^*%]*)\*%")


def read_gerber(name: str, content: bytes) -> Reading:
    """Read one Gerber file.

    Returns
    -------
    Reading
        Objects in drawing order; ``faults`` holds what is wrong with the file's form, and then
        there are no objects: a file of wrong form means nothing.
    """
    visitor = _Visitor()
    try:
        text = content.decode("utf-8")
    except UnicodeDecodeError as error:
        line = content[: error.start].count(b"\n") + 1
        return Reading(name=name, faults=(Fault(f"line {line} is not UTF-8"),))
    attributes = _file_attributes(text)
    faults = form_faults(text)
    if faults:
        return Reading(name=name, attributes=attributes, faults=tuple(faults))
    try:
        tree(text).visit(visitor)
        visitor.finish()
    except Exception as error:  # noqa: BLE001 - a foreign reader may raise anything
        faults.append(Fault(f"cannot be read: {type(error).__name__}: {str(error)[:200]}"))
    return Reading(
        name=name,
        attributes=attributes,
        objects=tuple(visitor.objects),
        faults=(*faults, *visitor.faults),
    )


def _file_attributes(text: str) -> dict[str, str]:
    """Gather the file attributes as they are written; the form admits each once."""
    return dict(_FILE_ATTRIBUTE.findall(text))


class _Visitor(StateTrackingVisitor):  # type: ignore[misc] # the library carries no types
    """Gathers flashes, strokes and contours with what the attributes say at that moment.

    What the form does not admit (other flashes, transformations, open contours) never comes here.
    """

    def __init__(self) -> None:
        super().__init__()
        self.objects: list[Seen] = []
        self.faults: list[Fault] = []
        self._edges: list[Edge] = []
        self._stroke_state: Seen | None = None
        self._start: Point | None = None

    # -- where we are --------------------------------------------------------------------------

    def _here(self) -> Point:
        return (snap(self.coordinate_x), snap(self.coordinate_y))

    def _before(self) -> Point:
        return (snap(self.state.current_x), snap(self.state.current_y))

    def _centre(self) -> Point:
        x, y = self._before()
        return (Nm(x + snap(self.coordinate_i)), Nm(y + snap(self.coordinate_j)))

    def _seen(self, shape: Shape, *, contour: bool = False) -> Seen:
        attributes = self.state.attributes
        functions = (
            attributes.aperture_attributes
            if contour
            else self.state.apertures.per_aperture_attributes.get(
                self.state.current_aperture_id, {}
            )
        )
        objects = attributes.object_attributes
        net, pin, part = objects.get(".N"), objects.get(".P"), objects.get(".C")
        return Seen(
            shape=shape,
            dark=self.state.transform.polarity.value == "D",
            function=_function(functions.get(".AperFunction")),
            net=",".join(net.net_names) if net else "",
            pin=Pin(reference=pin.refdes, number=pin.number, function=pin.function or "")
            if pin
            else None,
            part=part.refdes if part else "",
        )

    # -- flashes -------------------------------------------------------------------------------

    def on_flash_circle(self, node: D03, aperture: ADC) -> None:  # noqa: ARG002 - library's hook
        self.finish()
        self.objects.append(self._seen(Disc(self._here(), self._half(aperture.diameter))))

    def on_flash_rectangle(self, node: D03, aperture: ADR) -> None:  # noqa: ARG002
        self.finish()
        size = (snap(aperture.width), snap(aperture.height))
        self.objects.append(self._seen(Box(self._here(), *size)))

    def on_flash_macro(self, node: D03, aperture: ADmacro) -> None:  # noqa: ARG002
        """Take the one macro that the form admits: a rectangle with its angle."""
        self.finish()
        width, height, turn_deg = aperture.params
        turn = round(turn_deg * 1e6)
        self.objects.append(
            self._seen(Box(self._here(), snap(width), snap(height), turn_udeg=turn))
        )

    def _half(self, size_mm: float) -> Nm:
        if snap(size_mm) % 2:
            self._unknown("a size of an odd number of nanometres")
        return Nm(snap(size_mm) // 2)

    def _unknown(self, what: str) -> None:
        x, y = self.coordinate_x, self.coordinate_y
        self.faults.append(Fault(f"holds {what}, which boardgen never writes", (x, y)))

    # -- draws ---------------------------------------------------------------------------------

    def on_draw_line(self, node: D01) -> None:  # noqa: ARG002
        self._draw(Edge(self._here()))

    def on_draw_cw_arc_mq(self, node: D01) -> None:  # noqa: ARG002
        self._draw(Edge(self._here(), self._centre(), clockwise=True))

    def on_draw_ccw_arc_mq(self, node: D01) -> None:  # noqa: ARG002
        self._draw(Edge(self._here(), self._centre()))

    def _draw(self, edge: Edge) -> None:
        if self._start is None:
            self._start = self._before()
            self._stroke_state = self._seen(Disc(self._start, Nm(0)))
        self._edges.append(edge)

    def finish(self) -> None:
        """Close the chain of draws that is open, as a stroke or as a drawn contour."""
        if self._start is None or self._stroke_state is None:
            return
        width = self._pen()
        closed = self._edges[-1].end == self._start
        arcs = any(edge.centre for edge in self._edges)
        if closed and (arcs or self._stroke_state.function == "Profile"):
            shape: Shape = turned(Contour(tuple(self._edges), width))
        else:
            if arcs:
                self._unknown("an open chain with arcs")
            shape = Stroke((self._start, *(edge.end for edge in self._edges)), width)
        self.objects.append(replace(self._stroke_state, shape=shape))
        self._start, self._edges, self._stroke_state = None, [], None

    def _pen(self) -> Nm:
        return self._half(self.state.current_aperture.diameter)

    def on_d02(self, node: D02) -> D02:
        if not self.state.is_region:
            self.finish()
        return super().on_d02(node)

    def on_dnn(self, node: Dnn) -> Dnn:
        self.finish()
        return super().on_dnn(node)

    def on_lp(self, node: LP) -> LP:
        self.finish()
        return super().on_lp(node)

    def on_to(self, node: TO) -> None:
        self.finish()
        super().on_to(node)

    def on_td(self, node: TD) -> TD:
        self.finish()
        return super().on_td(node)

    # -- contours ------------------------------------------------------------------------------

    def on_start_region(self) -> None:
        self.finish()
        self._start, self._edges = None, []
        super().on_start_region()

    def on_in_region_draw_line(self, node: D01) -> None:  # noqa: ARG002
        self._outline(Edge(self._here()))

    def on_in_region_draw_cw_arc_mq(self, node: D01) -> None:  # noqa: ARG002
        self._outline(Edge(self._here(), self._centre(), clockwise=True))

    def on_in_region_draw_ccw_arc_mq(self, node: D01) -> None:  # noqa: ARG002
        self._outline(Edge(self._here(), self._centre()))

    def _outline(self, edge: Edge) -> None:
        if self._start is None:
            self._start = self._before()
        self._edges.append(edge)

    def on_flush_region(self) -> None:
        if self._start is not None:
            contour = turned(Contour(tuple(self._edges)))
            self.objects.append(self._seen(contour, contour=True))
        self._start, self._edges = None, []


def _function(node: Any) -> str:  # noqa: ANN401 - the library's nodes are loosely typed
    if node is None or node.function is None:
        return ""
    return ",".join((node.function.value, *node.fields))
