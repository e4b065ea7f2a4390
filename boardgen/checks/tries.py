"""Changes to the drawing that pass rules, found by drawing the board anew with each.

The circuit's changes come with its operation; these need lands, tracks and pour.
"""

import math
from collections import defaultdict
from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from functools import cache, partial

from boardgen.checks import waivers
from boardgen.checks.table import RULES, check
from boardgen.errors import RefusalError
from boardgen.model.design import Design
from boardgen.model.findings import Finding, Judgement, Severity
from boardgen.model.operation import Change
from boardgen.model.parameters import Parameters

Draw = Callable[[Parameters], Design]
Way = Callable[[float], Parameters]
"""Parameters with another length for a key, in mm."""
Passes = Callable[[Parameters, str, Sequence[str]], bool]
"""Whether drawn parameters free a key of some rules' findings, and bring none of other rules."""

_RAIL_STEP_MM = 0.1
_MOST_STEPS = 32
_RULES = {rule.code: rule for rule in RULES}
_MOST_BOARDS, _MOST_LEDS = 24, 600
"""No more boards are drawn for one report, nor more LEDs on all of them together."""
_HAIR = 1e-6
_RELIEFS = ("all", "holes", "none")


def with_changes(judged: Judgement, design: Design, draw: Draw) -> Judgement:
    """Add, to errors and warnings that have none, a change of their key that passes.

    One value for all rules that name a key, where there is one, else one for each; of a length, a
    step less does not pass. None brings an error or warning of another rule.

    Parameters
    ----------
    judged : Judgement
        What the rules found on the board.
    design : Design
        The board.
    draw : callable
        Draws a board from parameters, or raises RefusalError.
    """
    named: dict[str, list[str]] = defaultdict(list)
    for finding in filter(_unmended, judged.findings):
        if finding.code in _RULES and finding.code not in named[finding.path]:
            named[finding.path].append(finding.code)
    passes = _judge(judged, design, draw)

    @cache
    def ways(path: str, codes: tuple[str, ...]) -> tuple[Change, ...]:
        return tuple(_changes(path, codes, design, passes))

    known = {
        (code, path): ways(path, tuple(codes)) or ways(path, (code,))
        for path, codes in named.items()
        for code in codes
    }
    return replace(
        judged,
        findings=tuple(
            replace(each, changes=known.get((each.code, each.path), ()))
            if _unmended(each)
            else each
            for each in judged.findings
        ),
    )


def _unmended(finding: Finding) -> bool:
    settled = finding.changes or finding.waived
    return not settled and finding.severity is not Severity.INFORMATION


def _judge(judged: Judgement, design: Design, draw: Draw) -> Passes:
    """Draw each board once, and so many at most."""
    before = _graded(judged.findings)
    boards: dict[str, Design | None] = {}
    most = min(_MOST_BOARDS, _MOST_LEDS // design.parameters.light.count)

    def drawn(parameters: Parameters) -> Design | None:
        key = repr((parameters.copper, parameters.form))
        if key not in boards:
            if len(boards) >= most:
                return None
            try:
                boards[key] = draw(parameters)
            except RefusalError:
                boards[key] = None
        return boards[key]

    def passes(parameters: Parameters, path: str, codes: Sequence[str]) -> bool:
        board = drawn(parameters)
        if board is None or any(_found(board, path, code) for code in codes):
            return False
        return not _graded(check(board)) - before

    return passes


def _found(design: Design, path: str, code: str) -> bool:
    """Tell whether a rule still holds something against what a key says."""
    rule = _RULES[code]
    if rule.absent(design):
        return False
    return any(finding.path == path for finding in rule.check(design, design.limits))


def _graded(findings: Sequence[Finding]) -> set[tuple[str, Severity]]:
    """List the rules that hold something against a board, and how much it weighs.

    A waiver that a change makes idle is no fault of the board.
    """
    return {
        (finding.code, finding.severity)
        for finding in findings
        if not finding.waived
        and finding.severity is not Severity.INFORMATION
        and finding.code != waivers.CODE
    }


def _changes(path: str, codes: Sequence[str], design: Design, passes: Passes) -> Iterator[Change]:
    """Try other values of a key until rules have nothing against the board."""
    if path == "copper.relief":
        copper = design.parameters.copper
        for relief in _RELIEFS:
            other = replace(design.parameters, copper=replace(copper, relief=relief))
            if relief != copper.relief and passes(other, path, codes):
                yield Change(path=path, value=f'"{relief}"')
                return
    elif path in _LENGTHS:
        now_mm, step_mm, way = _LENGTHS[path](design)
        value = partial(_stepped, now_mm, step_mm)
        steps = _fewest(lambda count: passes(way(value(count)), path, codes))
        if steps:
            yield Change(path=path, value=f'"{value(steps):g} mm"')


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
    parameters, copper = design.parameters, design.parameters.copper
    now_mm = copper.rail_mm or design.circuit.rail.width_mm
    return now_mm, _RAIL_STEP_MM, lambda mm: replace(parameters, copper=replace(copper, rail_mm=mm))


def _form(key: str, now_mm: Callable[[Design], float]) -> Callable[..., tuple[float, float, Way]]:
    """Make the way of one of the form's lengths, in steps of the grid."""

    def found(design: Design) -> tuple[float, float, Way]:
        parameters, form = design.parameters, design.parameters.form
        return (
            now_mm(design),
            design.limits.aims.grid_mm,
            lambda mm: replace(parameters, form=replace(form, **{key: mm})),
        )

    return found


_LENGTHS: dict[str, Callable[[Design], tuple[float, float, Way]]] = {
    "copper.rail": _rail,
    "form.pitch": _form("pitch_mm", lambda design: design.parameters.form.pitch_mm),
    "form.row_pitch": _form("row_pitch_mm", lambda d: d.parameters.form.row_pitch_mm or 0.0),
    "form.length": _form("length_mm", lambda design: design.board.outline.length_mm),
    "form.width": _form("width_mm", lambda design: design.board.outline.width_mm),
}
