"""The fewest resistor values that serve all boards of a family."""

import math
from collections.abc import Sequence
from dataclasses import replace

from boardgen.electrical.size import size
from boardgen.errors import RefusalError
from boardgen.model.family import Family, Member
from boardgen.model.parameters import Origin, OriginKind, Parameters, Written
from boardgen.standards.preferred_values import between
from boardgen.tolerances import SAME_SHARE

_LEAST, _MOST = 0.9, 1.25
"""How far a shared value may lie from the wanted one: own choice."""


def with_same_parts(family: Family) -> Family:
    """Give the members of each series one drawer: the fewest values that serve them.

    Members with a drawer of their own keep it, and so does a member that no shared value serves:
    one further off than is allowed, or that would overload an LED or a resistor. Of all smallest
    sets, the one nearest to what was wanted (by ratio) is taken; ``round = "up"`` written in the
    file keeps every branch from being brighter than asked.
    """
    drawers = {
        series: _fewest(
            sorted({value for board in boards for value in _wanted(board)}), series, _least(boards)
        )
        for series, boards in _by_series(family).items()
    }
    return replace(family, members=tuple(_sharing(member, drawers) for member in family.members))


def _by_series(family: Family) -> dict[str, list[Parameters]]:
    found: dict[str, list[Parameters]] = {}
    for member in family.members:
        if member.parameters and not member.parameters.resistor.drawer:
            found.setdefault(member.parameters.resistor.series, []).append(member.parameters)
    return found


def _least(boards: Sequence[Parameters]) -> float:
    """Tell the least share of a wanted value that may be taken."""
    strict = any(
        board.resistor.round == "up" and board.origin("resistor.round").kind is OriginKind.FILE
        for board in boards
    )
    return 1.0 if strict else _LEAST


def _wanted(parameters: Parameters) -> list[float]:
    """List the values that a board wants; none when no board follows from it."""
    try:
        return [kind.ballast.wanted_ohm for kind in size(parameters).kinds]
    except RefusalError:
        return []


def _fewest(wanted: Sequence[float], series: str, least: float = _LEAST) -> tuple[float, ...]:
    """Cover sorted wanted values with the fewest of a series, each serving neighbours.

    A value that nothing near enough serves is left out.
    """
    if not wanted:
        return ()
    offered = between(wanted[0] * least, wanted[-1] * _MOST, series)
    served = [want for want in wanted if any(_serves(value, want, least) for value in offered)]
    best: list[tuple[int, float, tuple[float, ...]]] = [(0, 0.0, ())]
    for end in range(1, len(served) + 1):
        choices = []
        for start in range(end):
            count, off, values = best[start]
            group = served[start:end]
            for value in offered:
                if all(_serves(value, want, least) for want in group):
                    apart = sum(abs(math.log(value / want)) for want in group)
                    choices.append((count + 1, off + apart, (*values, value)))
        best.append(min(choices))
    return best[-1][2]


def _serves(value: float, want: float, least: float) -> bool:
    return least * want * (1 - SAME_SHARE) <= value <= _MOST * want


def _sharing(member: Member, drawers: dict[str, tuple[float, ...]]) -> Member:
    parameters = member.parameters
    if parameters is None or parameters.resistor.drawer:
        return member
    wanted, least = _wanted(parameters), _least([parameters])
    values = tuple(
        value
        for value in drawers[parameters.resistor.series]
        if any(_serves(value, want, least) for want in wanted)
    )
    served = all(any(_serves(value, want, least) for value in values) for want in wanted)
    if not wanted or not served:
        return member
    origin = Origin(kind=OriginKind.CHOSEN, place="same_parts of the family")
    shared = replace(
        parameters,
        resistor=replace(parameters.resistor, drawer=values, round="nearest"),
        origins={**parameters.origins, "resistor.drawer": origin, "resistor.round": origin},
        written=_with_drawer(parameters.written, values),
    )
    return member if _overloaded(shared) else replace(member, parameters=shared)


def _with_drawer(written: Written, values: Sequence[float]) -> Written:
    """Let what was written hold the shared values, as if the file had them as its drawer."""
    own = {key: value for key, value in written.tables.get("resistor", {}).items()
           if key != "series"}  # fmt: skip
    drawer = {"drawer": [f"{value:g} ohm" for value in values], "round": "nearest"}
    return replace(written, tables={**written.tables, "resistor": {**own, **drawer}})


def _overloaded(parameters: Parameters) -> bool:
    """Tell whether an LED or a ballast would carry more than it may."""
    return any(
        kind.led_load > 1 or kind.ballast.worst_w > kind.ballast.derated_w
        for kind in size(parameters).kinds
    )
