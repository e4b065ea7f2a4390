"""Findings and refusals with the changes that pass, or with the reason why there is none."""

import re
from collections import defaultdict
from collections.abc import Callable, Container, Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from itertools import combinations, islice

from boardgen.checks.table import RULES, rule_texts
from boardgen.errors import Change, Problem, RefusalError
from boardgen.forms.table import plan
from boardgen.model.design import Design
from boardgen.model.findings import Finding, Judgement, Severity
from boardgen.model.parameters import Parameters
from boardgen.remedies.circuit import circuit_offers, other_leds
from boardgen.remedies.drawing import drawing_offers
from boardgen.remedies.trials import Draw, Grades, Reread, Trials, graded, holds, worse
from boardgen.units import up_to_step

_MOST_OFFERS = 3
"""More ways than these confuse."""

_LAST = ("copper.weight", "light.current")
"""What costs money or light is tried when nothing else of the circuit or the drawing passes."""

_CODES = {rule.code for rule in RULES}
_OF_THE_BENCH = ("built.supply", "built.differs")
"""What these tell is mended with an iron, not in the file."""
_NOTES = ("light.unlike", "connector.shade")
"""Rules that only tell, but know a way."""


def _room(code: str, parameters: Parameters) -> tuple[str, ...]:
    """List the lengths that are tried for a rule besides the key that its findings name."""
    keys = plan(parameters).keys
    rooms = {
        "heat.board": (keys.pitch, keys.across),
        "rail.drop": ("copper.rail",),
        "looks.references": (keys.pitch,),
    }
    return rooms.get(code, ())


def with_changes(judged: Judgement, design: Design, reread: Reread, draw: Draw) -> Judgement:
    """Add to findings the changes that pass, each tried on the whole board.

    A change frees the board from what its rule found and brings no error or warning of another.
    Rules that name one key of the drawing share a value where there is one.

    Parameters
    ----------
    judged : Judgement
        What the rules found.
    design : Design
        The board.
    reread : callable
        Reads the board again with changes put into its file.
    draw : callable
        Draws a board from parameters, or raises RefusalError.
    """
    asked = [finding for finding in judged.findings if _wants(finding)]
    sharing: dict[str, list[str]] = defaultdict(list)
    for finding in asked:
        if finding.code not in sharing[finding.path]:
            sharing[finding.path].append(finding.code)
    seeker = _Seeker(design, graded(judged.findings), Trials(design.parameters, reread, draw))
    known: dict[tuple[str, str], tuple[tuple[Change, ...], str]] = {}
    for finding in asked:
        key = (finding.code, finding.path)
        if key not in known:
            known[key] = seeker.offers(finding, sharing[finding.path])
    wrong = {f.code: known[f.code, f.path][0] for f in asked if f.severity is Severity.ERROR}
    if len(wrong) > 1 and (cure := seeker.cure(wrong)):
        for key, (changes, why) in known.items():
            if key[0] in wrong:
                others = [change for change in changes if change.all != cure.all]
                ways = (
                    (*others[: _MOST_OFFERS - 1], cure) if _costs_light(cure) else (cure, *others)
                )
                known[key] = (ways[:_MOST_OFFERS], why)
    return replace(
        judged,
        findings=tuple(
            _told(finding, *known[finding.code, finding.path])
            if _wants(finding)
            else replace(finding, changes=())
            for finding in judged.findings
        ),
    )


def _wants(finding: Finding) -> bool:
    if finding.waived or finding.code not in _CODES:
        return False
    return finding.severity is not Severity.INFORMATION or finding.code in _NOTES


def _told(finding: Finding, changes: tuple[Change, ...], why: str) -> Finding:
    silent = finding.severity is Severity.INFORMATION
    return replace(finding, changes=changes, no_change="" if changes or silent else why)


class _Seeker:
    """Looks for changes of one board."""

    def __init__(self, design: Design, before: Grades, trials: Trials) -> None:
        self.design, self.before, self.trials = design, before, trials
        self.lesser: list[Change] = []
        self.second: list[Change] = []

    def offers(self, finding: Finding, sharing: Sequence[str]) -> tuple[tuple[Change, ...], str]:
        """Find the changes for a finding of a rule, at most three, or say why there are none."""
        code, tried = finding.code, list[str]()
        self.lesser.clear()
        self.second.clear()
        found = tuple(islice(self._passing(finding, sharing, tried), _MOST_OFFERS))
        if not found and finding.severity is Severity.ERROR:
            # A board that can be made, with a warning that is told, is better than none.
            found = tuple(self.lesser[:1] or self.second[:1])
        if found:
            return found, ""
        if self.trials.spent:
            return (
                (),
                "boardgen tried as many changes as it may for one report, and none mends this",
            )
        if tried:
            listed = "; ".join(dict.fromkeys(tried))
            return (
                (),
                f"these were tried on the whole board, and each leaves or brings a fault: {listed}",
            )
        mend = next(rule.mend for rule in rule_texts() if rule.code == code)
        return (
            (),
            mend if code in _OF_THE_BENCH else f"no single line of the file mends this. {mend}",
        )

    def cure(self, wrong: Mapping[str, Sequence[Change]]) -> Change | None:
        """Find one change, or two together, that free the board from all rules' errors."""
        alone = [change for changes in wrong.values() for change in changes]
        firsts = [changes[0] for changes in wrong.values() if changes]
        pairs = [_together(first, second) for first, second in combinations(firsts, 2)]
        # Less current mends most things, and is what an engineer takes last.
        for change in sorted((*alone, *pairs), key=_costs_light):
            found = self.trials.followed(change)
            if found and self._frees(found[1], list(wrong)):
                return found[0]
        return None

    def _passing(
        self, finding: Finding, sharing: Sequence[str], tried: list[str]
    ) -> Iterator[Change]:
        code, design = finding.code, self.design
        offered = [*finding.changes, *circuit_offers(code, design.parameters, design.circuit)]
        less = [
            change for change in offered if change.path in _LAST and not code.startswith("light.")
        ]
        yield from self._best(offered, less, (code,), tried)
        for path in _room(code, design.parameters):
            yield from drawing_offers(path, design, self._by_itself((code,)))
        if finding.path not in _room(code, design.parameters):
            path = finding.path
            shared = list(drawing_offers(path, design, self._by_itself(sharing, path)))
            yield from shared or drawing_offers(path, design, self._by_itself((code,), path))
        yield from self._best(less, (), (code,), tried)

    def _best(
        self,
        offered: Iterable[Change],
        later: Container[Change],
        codes: Sequence[str],
        tried: list[str],
    ) -> Iterator[Change]:
        """Give the first change of each key that passes: a second value of it says no more."""
        told: set[str] = set()
        for change in offered:
            if change not in later and change.path not in told:
                for passing in self._tried(change, codes, tried):
                    told.add(change.path)
                    yield passing

    def _tried(self, change: Change, codes: Sequence[str], tried: list[str]) -> Iterator[Change]:
        found = self.trials.followed(change)
        if found and self._frees(found[1], codes):
            yield found[0]
            return
        tried.append(str(replace(change, note="")))
        if found is None:
            return
        grades = self.trials.grades(found[1])
        left = {code: grades[code] for code in codes if code in grades}
        fresh = {code: grade for code, grade in grades.items() if code not in self.before}
        graver = worse({code: grades[code] for code in grades.keys() - fresh.keys()}, self.before)
        if not graver and Severity.ERROR not in (left | fresh).values():
            kept = self.second if fresh else self.lesser
            kept.append(_noted(found[0], left | fresh))

    def _by_itself(self, codes: Sequence[str], path: str = "") -> Callable[[Change], bool]:
        """Make the question whether a change by itself frees a key from what rules found."""

        def passes(change: Change) -> bool:
            made = self.trials.made((change,))
            return isinstance(made, Design) and self._frees(made, codes, path)

        return passes

    def _frees(self, made: Design, codes: Sequence[str], path: str = "") -> bool:
        """Tell whether rules have nothing more against a board, and no other rule has."""
        if any(holds(made, code, path) for code in codes):
            return False
        return not worse(self.trials.grades(made), self.before)


def with_tried_offers(
    refusal: RefusalError, parameters: Parameters, reread: Reread, draw: Draw
) -> RefusalError:
    """Let a refusal offer only changes from which a board without errors follows."""
    trials = Trials(parameters, reread, draw)
    problems = [_with_tried(problem, parameters, trials) for problem in refusal.problems]
    # One change may mend several problems at once; it is told with the first.
    told: set[Change] = set()
    final = []
    for problem in problems:
        fresh = tuple(change for change in problem.offers if change not in told)
        told.update(fresh)
        final.append(_worded(replace(problem, offers=fresh)))
    return RefusalError(*final)


def _with_tried(problem: Problem, parameters: Parameters, trials: Trials) -> Problem:
    offers = problem.offers
    if problem.path == "light":
        offers = (*offers, *other_leds(parameters.parts.emitters[0]))
    passing: dict[Change, int] = {}
    steps: list[Change] = []
    for offer in offers:
        found = _sound(offer, trials)
        if found:
            grades = trials.grades(found[1])
            passing[_noted(found[0], grades)] = len(grades)
            tidy = _on_grid(found[0], found[1]) if "looks.grid" in grades else None
            tidied = _sound(tidy, trials) if tidy else None
            if tidied and len(left := trials.grades(tidied[1])) < len(grades):
                passing[_noted(tidied[0], left)] = len(left)
        elif (first := trials.followed(offer)) and _goes_on(trials, first[1]):
            steps.append(replace(first[0], note=_first_step(trials.grades(first[1]))))
    best = sorted(passing, key=lambda change: passing[change]) or steps[:1]
    remedy = problem.remedy or ("" if best or not offers else _dead_end(offers[0], trials))
    return replace(problem, offers=tuple(best[:_MOST_OFFERS]), remedy=remedy)


def _dead_end(offer: Change, trials: Trials) -> str:
    """Say what an offer that does not do runs into, for want of one that does."""
    made, told = trials.made(offer.all), "no change that was tried does"
    if made is None:
        return f"{told}; boardgen tried as many as it may"
    if isinstance(made, Design):
        return f"{told}; with {offer} {', '.join(sorted(_errors(trials, made)))} will be wrong"
    return f"{told}; {offer} runs into: {made.problems[0].what}"


def _on_grid(offer: Change, made: Design) -> Change | None:
    """Round a length up so that both halves of the board lie on the grid."""
    length = re.fullmatch(r'"([\d.]+) mm"', offer.value)
    if length is None:
        return None
    rounded = up_to_step(float(length[1]), 2 * made.limits.aims.grid_mm)
    return replace(offer, value=f'"{rounded:g} mm"')


def _sound(offer: Change, trials: Trials) -> tuple[Change, Design] | None:
    """Follow an offer to a board without errors, taking along what mends its errors."""
    found = trials.followed(offer)
    for _ in range(_MOST_TOGETHER):
        errors = _errors(trials, found[1]) if found else set()
        if found is None or not errors:
            return found
        found = next(
            (
                better
                for code in sorted(errors)
                for more in _ways(code, found[1])
                if (better := trials.followed(_together(found[0], more)))
                and _errors(trials, better[1]) < errors
            ),
            None,
        )
    return found if found and not _errors(trials, found[1]) else None


def _ways(code: str, made: Design) -> Iterator[Change]:
    """List what may take an error along from a board that an offer leads to."""
    yield from circuit_offers(code, made.parameters, made.circuit)
    if code.startswith("relief."):
        yield Change(path="copper.relief", value='"none"')


_MOST_TOGETHER = 3


def _goes_on(trials: Trials, made: Design) -> bool:
    """Tell whether a way is known from each error that is left: else a step leads nowhere."""
    return all(
        code in _OF_THE_BENCH or any(True for _ in _ways(code, made))
        for code in _errors(trials, made)
    )


def _costs_light(change: Change) -> bool:
    return any(one.path == "light.current" for one in change.all)


def _errors(trials: Trials, made: Design) -> set[str]:
    grades = trials.grades(made)
    return {code for code, grade in grades.items() if grade is Severity.ERROR}


def _together(first: Change, second: Change) -> Change:
    """Put two changes into one; of two values for a key the later one counts."""
    keys = {change.path: change for change in (*first.all, *second.all)}
    head, *others = keys.values()
    note = "; ".join(filter(None, (first.note, second.note)))
    return replace(head, note=note, also=tuple(others))


def _first_step(grades: Grades) -> str:
    """Name what is wrong after a change that is not enough, and what only warns."""
    wrong = sorted(code for code, grade in grades.items() if grade is Severity.ERROR)
    warns = sorted(grades.keys() - set(wrong))
    more = f", and {', '.join(warns)} warn" if warns else ""
    return f"a first step: {', '.join(wrong)} will be wrong still{more}"


def _noted(change: Change, grades: Grades) -> Change:
    """Say which warnings a board with a change still has."""
    if not grades:
        return change
    warn = "warns" if len(grades) == 1 else "warn"
    note = "; ".join(filter(None, (change.note, f"then {', '.join(sorted(grades))} {warn}")))
    return replace(change, note=note)


def _worded(problem: Problem) -> Problem:
    ways = "; or ".join(map(str, problem.offers))
    rest = problem.remedy
    if not ways:
        return replace(problem, remedy=rest.removeprefix("or "))
    if rest and not rest.startswith("or "):
        rest = f"or {rest}"
    return replace(problem, remedy=f"write {ways}" + (f"; {rest}" if rest else ""))
