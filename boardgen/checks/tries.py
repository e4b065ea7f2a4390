"""Changes to the drawing that pass a rule, found by drawing the board anew with each.

The circuit's changes come with its operation; these need lands, tracks and pour.
"""

import math
from collections.abc import Callable, Iterator
from dataclasses import replace
from functools import partial

from boardgen.checks.table import RULES
from boardgen.errors import RefusalError
from boardgen.model.design import Design
from boardgen.model.findings import Finding, Judgement, Severity
from boardgen.model.operation import Change
from boardgen.model.parameters import Parameters

Draw = Callable[[Parameters], Design]
Drawn = Callable[[str, object, Parameters], Design | None]
Way = Callable[[float], Parameters]
"""Parameters with another length for a key, in mm."""

_RAIL_STEP_MM = 0.1
_MOST_STEPS = 32
_HAIR = 1e-6
_RELIEFS = ("all", "holes", "none")


def with_changes(judged: Judgement, design: Design, draw: Draw) -> Judgement:
    """Add, to errors and warnings that have none, the smallest change of their key that passes.

    Parameters
    ----------
    judged : Judgement
        What the rules found on the board.
    design : Design
        The board.
    draw : callable
        Draws a board from parameters, or raises RefusalError.
    """
    known: dict[tuple[str, str], tuple[Change, ...]] = {}
    boards: dict[tuple[str, object], Design | None] = {}

    def drawn(path: str, value: object, parameters: Parameters) -> Design | None:
        """Draw a board once for all rules; None where it is refused."""
        if (path, value) not in boards:
            try:
                boards[path, value] = draw(parameters)
            except RefusalError:
                boards[path, value] = None
        return boards[path, value]

    def mended(finding: Finding) -> Finding:
        settled = finding.changes or finding.waived
        if settled or finding.severity is Severity.INFORMATION:
            return finding
        key = (finding.code, finding.path)
        if key not in known:
            known[key] = tuple(_changes(finding, design, drawn))
        return replace(finding, changes=known[key])

    return replace(judged, findings=tuple(map(mended, judged.findings)))


def _changes(finding: Finding, design: Design, drawn: Drawn) -> Iterator[Change]:
    """Try other values of the key that a finding names."""
    rule = next((rule for rule in RULES if rule.code == finding.code), None)
    if rule is None:
        return

    def passes(value: object, parameters: Parameters) -> bool:
        board = drawn(finding.path, value, parameters)
        if board is None:
            return False
        return bool(rule.absent(board)) or not any(rule.check(board, board.limits))

    if finding.path == "copper.relief":
        yield from _other_relief(design.parameters, passes)
    elif finding.path in _LENGTHS:
        now_mm, step_mm, way = _LENGTHS[finding.path](design)
        value = partial(_stepped, now_mm, step_mm)
        steps = _fewest(lambda count: passes(value(count), way(value(count))))
        if steps:
            yield Change(path=finding.path, value=f'"{value(steps):g} mm"')


def _other_relief(
    parameters: Parameters, passes: Callable[[str, Parameters], bool]
) -> Iterator[Change]:
    for relief in _RELIEFS:
        other = replace(parameters, copper=replace(parameters.copper, relief=relief))
        if relief != parameters.copper.relief and passes(relief, other):
            yield Change(path="copper.relief", value=f'"{relief}"')
            return


def _fewest(passes: Callable[[int], bool]) -> int:
    """Find a number of steps that passes while one less does not, by doubling; 0 when none does."""
    high = 1
    while not passes(high):
        high *= 2
        if high > _MOST_STEPS:
            return 0
    low = high // 2
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if passes(middle) else (middle, high)
    return high


def _stepped(now_mm: float, step_mm: float, count: int) -> float:
    """Tell the value on the grid of a step that lies so many steps above the one now."""
    return round((math.floor(now_mm / step_mm + _HAIR) + count) * step_mm, 3)


def _rail(design: Design) -> tuple[float, float, Way]:
    parameters, net = design.parameters, design.circuit.rail
    copper = parameters.copper
    now_mm = copper.rail_mm or net.width_mm
    return now_mm, _RAIL_STEP_MM, lambda mm: replace(parameters, copper=replace(copper, rail_mm=mm))


def _pitch(design: Design) -> tuple[float, float, Way]:
    parameters, form = design.parameters, design.parameters.form
    grid = design.limits.aims.grid_mm
    return form.pitch_mm, grid, lambda mm: replace(parameters, form=replace(form, pitch_mm=mm))


def _length(design: Design) -> tuple[float, float, Way]:
    parameters, form = design.parameters, design.parameters.form
    now_mm, grid = design.board.outline.length_mm, design.limits.aims.grid_mm
    return now_mm, grid, lambda mm: replace(parameters, form=replace(form, length_mm=mm))


def _width(design: Design) -> tuple[float, float, Way]:
    parameters, form = design.parameters, design.parameters.form
    now_mm, grid = design.board.outline.width_mm, design.limits.aims.grid_mm
    return now_mm, grid, lambda mm: replace(parameters, form=replace(form, width_mm=mm))


_LENGTHS: dict[str, Callable[[Design], tuple[float, float, Way]]] = {
    "copper.rail": _rail,
    "form.pitch": _pitch,
    "form.length": _length,
    "form.width": _width,
}
