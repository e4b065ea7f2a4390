"""Faults as they are written on the command line: ``D3=turned``, ``R2=open``, ``R2=1k``."""

from collections.abc import Iterable, Iterator, Sequence

from boardgen import units
from boardgen.errors import Problem, RefusalError
from boardgen.model.circuit import Circuit
from boardgen.model.faults import Fault, FaultKind

_OF_LEDS = (FaultKind.TURNED, FaultKind.OPEN, FaultKind.BRIDGED)
_OF_RESISTORS = (FaultKind.OPEN, FaultKind.BRIDGED)


def faults_of(texts: Sequence[str], circuit: Circuit) -> tuple[Fault, ...]:
    """Read faults; without any, the last LED of the middle branch is turned round.

    Raises
    ------
    RefusalError
        With all that is wrong in them.
    """
    if not texts:
        branch = circuit.branches[len(circuit.branches) // 2]
        return (Fault(reference=branch.leds[-1], kind=FaultKind.TURNED),)
    found = [_fault(text, circuit) for text in texts]
    problems = [one for one in found if isinstance(one, Problem)]
    faults = [one for one in found if isinstance(one, Fault)]
    problems += list(_twice(faults))
    if problems:
        raise RefusalError(*problems)
    return tuple(faults)


def _twice(faults: Iterable[Fault]) -> Iterator[Problem]:
    seen = set[str]()
    for fault in faults:
        if fault.reference in seen:
            yield _problem(fault.reference, "has two faults", "give it one")
        seen.add(fault.reference)


def _fault(text: str, circuit: Circuit) -> Fault | Problem:
    reference, _, told = (part.strip() for part in text.partition("="))
    branch = next((one for one in circuit.branches if reference in one.parts), None)
    if branch is None:
        every = [name for one in circuit.branches for name in one.parts]
        return _problem(
            text, f"{reference or 'nothing'} is no part of a branch",
            f"parts are {every[0]}, {branch_example(circuit)} and so on",
        )  # fmt: skip
    led = reference in branch.leds
    kinds = _OF_LEDS if led else _OF_RESISTORS
    for kind in kinds:
        if told == kind.value:
            return Fault(reference=reference, kind=kind)
    words = ", ".join(f"{reference}={kind.value}" for kind in kinds)
    if led:
        return _problem(text, f'an LED is not "{told}"', f"write {words}")
    try:
        ohms = units.parse(told, units.RESISTANCE)
    except ValueError:
        return _problem(
            text, f'"{told}" is no fault of a resistor', f"write {words} or {reference}=1k"
        )
    if ohms == branch.kind.ballast.value_ohm:
        return _problem(text, f"{reference} has {told} when it is right", "write another value")
    return Fault(reference=reference, kind=FaultKind.VALUE, value_ohm=ohms)


def branch_example(circuit: Circuit) -> str:
    """Name an LED of the board."""
    return circuit.branches[0].leds[0]


def _problem(text: str, what: str, remedy: str) -> Problem:
    return Problem(what=what, remedy=remedy, file="--fault", path=text)
