"""What may mend a fault of the drawing: the smallest length that passes, another relief."""

import math
from collections.abc import Callable, Iterator

from boardgen.errors import Change
from boardgen.forms.table import plan
from boardgen.model.design import Design
from boardgen.tolerances import HAIR_MM

Passes = Callable[[Change], bool]
"""Whether a board with a change has nothing more against it."""

_RAIL_STEP_MM = 0.1
_MOST_STEPS = 32
_RELIEFS = ("all", "holes", "none")


def drawing_offers(path: str, design: Design, passes: Passes) -> Iterator[Change]:
    """Offer values of a key of the drawing that pass; of a length, a step less does not."""
    if path == "copper.relief":
        for relief in _RELIEFS:
            change = Change(path=path, value=f'"{relief}"')
            if relief != design.parameters.copper.relief and passes(change):
                yield change
                return
    elif path in (lengths := _lengths(design)):
        now_mm, step_mm = lengths[path]

        def change_of(count: int) -> Change:
            return Change(path=path, value=f'"{_stepped(now_mm, step_mm, count):g} mm"')

        steps = _fewest(lambda count: passes(change_of(count)))
        if steps:
            yield change_of(steps)


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
    return round((math.floor(now_mm / step_mm + HAIR_MM) + count) * step_mm, 3)


_MARGIN_STEP_MM = 1.0


def _lengths(design: Design) -> dict[str, tuple[float, float]]:
    """List the lengths that may grow, by their keys: what each is now, and its step."""
    parameters, outline = design.parameters, design.board.outline
    planned, grid_mm = plan(parameters), design.limits.aims.grid_mm
    rail_mm = parameters.copper.rail_mm or design.circuit.rail.width_mm
    if planned.scattered:
        margins = ((one.key, planned.size_mm) for one in planned.measures)
        grown = {key: (size, _MARGIN_STEP_MM) for key, size in margins if size is not None}
        return {"copper.rail": (rail_mm, _RAIL_STEP_MM), **grown}
    return {
        "copper.rail": (rail_mm, _RAIL_STEP_MM),
        planned.keys.pitch: (planned.pitch_mm, grid_mm),
        planned.keys.between: (planned.between_mm or 0.0, grid_mm),
        planned.keys.along: (outline.length_mm, grid_mm),
        # Both halves on the grid: a board that is centred passes at every other step only.
        planned.keys.across: (outline.width_mm, 2 * grid_mm),
    }
