"""Boards made with changes of the parameter file, each drawn and judged once, and so many at most.

An offer is put into the file as a person would, read like the file, laid out and judged by every
rule. Where that is refused with an offer of its own, both are taken together.
"""

from collections.abc import Callable, Sequence
from dataclasses import replace

from boardgen.checks import waivers
from boardgen.checks.table import RULES, check
from boardgen.errors import Change, RefusalError
from boardgen.model.design import Design
from boardgen.model.findings import Finding, Severity
from boardgen.model.parameters import Parameters

Reread = Callable[[Parameters, Sequence[Change]], Parameters]
"""Reads a board again with changes put into its file."""
Draw = Callable[[Parameters], Design]
"""Draws a board, or raises RefusalError."""
Grades = dict[str, Severity]
"""The rules that hold something against a board, and the gravest that each says."""

_MOST_BOARDS, _MOST_LEDS = 40, 600
"""No more boards are drawn for one report, nor more LEDs on all of them together."""
_MOST_KEYS = 6
"""So many refusals in a row are followed from one offer."""
_RULES = {rule.code: rule for rule in RULES}


class Trials:
    """Boards with changes, kept by what was changed."""

    def __init__(self, parameters: Parameters, reread: Reread, draw: Draw) -> None:
        self.parameters = parameters
        self._reread, self._draw = reread, draw
        self._made: dict[tuple[tuple[str, str], ...], Design | RefusalError] = {}
        self._grades: dict[int, Grades] = {}
        self._left = min(_MOST_BOARDS, max(1, _MOST_LEDS // parameters.light.count))

    @property
    def spent(self) -> bool:
        """Whether no more boards are drawn for this report."""
        return self._left <= 0

    def changed(self, changes: Sequence[Change]) -> Parameters | None:
        """Read the board with changes; None when the reader refuses them."""
        try:
            return self._reread(self.parameters, changes)
        except RefusalError:
            return None

    def made(self, changes: Sequence[Change]) -> Design | RefusalError | None:
        """Draw the board with changes; None when so many were drawn already."""
        key = tuple(sorted((change.path, change.value) for change in changes))
        if key not in self._made:
            if self.spent:
                return None
            self._left -= 1
            try:
                self._made[key] = self._draw(self._reread(self.parameters, changes))
            except RefusalError as refusal:
                self._made[key] = refusal
        return self._made[key]

    def followed(self, offer: Change) -> tuple[Change, Design] | None:
        """Draw the board with an offer, and with what its refusals offer in turn.

        Returns
        -------
        tuple of (Change, Design), or None
            The whole change and its board; None when none follows.
        """
        keys = {change.path: change for change in offer.all}
        for _ in range(_MOST_KEYS):
            made = self.made(tuple(keys.values()))
            if isinstance(made, Design):
                first, *others = keys.values()
                return replace(first, note=offer.note, also=tuple(others)), made
            more = [] if made is None else [p.offers[0] for p in made.problems if p.offers]
            fresh = [change for change in more if keys.get(change.path) != change]
            if not fresh:
                return None
            keys.update({change.path: change for change in fresh[0].all})
        return None

    def grades(self, design: Design) -> Grades:
        """List the rules that hold something against a board, and how much it weighs."""
        if id(design) not in self._grades:
            self._grades[id(design)] = graded(check(design))
        return self._grades[id(design)]


def graded(findings: Sequence[Finding]) -> Grades:
    """List the rules behind errors and warnings; an idle waiver is no fault of the board."""
    told = [f for f in findings if not f.waived and f.code != waivers.CODE]
    grades: Grades = {}
    for severity in (Severity.WARNING, Severity.ERROR):
        grades |= {f.code: severity for f in told if f.severity is severity}
    return grades


def worse(grades: Grades, before: Grades) -> bool:
    """Tell whether a rule says something that it did not say before, or more gravely."""
    return any(
        code not in before or (severity is Severity.ERROR and before[code] is not Severity.ERROR)
        for code, severity in grades.items()
    )


def holds(design: Design, code: str, path: str = "") -> bool:
    """Tell whether a rule still has something against a board, or against one key of its file."""
    rule = _RULES[code]
    if rule.absent(design):
        return False
    found = rule.check(design)
    return any(not path or finding.path == path for finding in found)
