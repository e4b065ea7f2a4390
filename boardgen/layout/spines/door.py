"""Where the connector stands: at the edge, or as far in as a round one asks for."""

from dataclasses import replace

from boardgen.layout.cell import edge_mm
from boardgen.layout.course import Course
from boardgen.layout.drawing import bare
from boardgen.layout.parts import inlet_parts
from boardgen.layout.spines.claims import clear
from boardgen.layout.spines.growth import smallest
from boardgen.model.circuit import Circuit
from boardgen.model.parameters import Parameters

_STEP_MM, _DEEPEST_MM, _MOST_STEPS = 0.25, 10.0, 64
"""In such steps a connector leaves a round edge, and no further."""


def set_in(parameters: Parameters, circuit: Circuit, course: Course) -> Course | None:
    """Set the connector in until it keeps its distance to the edge; None where it never does.

    One whose wires come in along the board stays where they do: the board would be in their way.
    """
    deepest = 0.0 if parameters.parts.connector.pattern.wired_at_edge else _DEEPEST_MM

    def inside(inset_mm: float) -> bool:
        if inset_mm > deepest:
            return True
        connector, *_ = inlet_parts(parameters, circuit, replace(course, inset_mm=inset_mm))
        board = bare(course, (connector,), ())
        return clear(board, parameters.parts.limits, edge_mm(parameters))

    inset = smallest(inside, 0.0, _STEP_MM, _MOST_STEPS)
    return None if inset is None or inset > deepest else replace(course, inset_mm=inset)
