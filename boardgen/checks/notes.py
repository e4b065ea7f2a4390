"""Rules on what the reader should know, or compare."""

from collections.abc import Iterable

from boardgen import units
from boardgen.checks.electrical import span
from boardgen.checks.finding import report
from boardgen.model.circuit import Branch
from boardgen.model.design import Design
from boardgen.model.findings import Finding
from boardgen.model.operation import Band
from boardgen.model.stock import own_text


def built_differs(design: Design) -> Iterable[Finding]:
    """The first board does not show what its circuit gives.

    Why it matters
        A turned LED or another kind of LED shows here before the lot is built. A resistor's value
        hardly does: nearly the same volts stand across one of half or twice the ohms. Read its
        print, or measure it with the supply off.
    How it is measured
        At the measured supply: the board's current, and the volts across each ballast, against the
        least and greatest that the circuit gives, with 2 % for the meter.
    How to mend it
        Measure again; then look at the branch that is named: its LEDs' way round, its joints, its
        resistor's code.
    """
    built, expected = design.parameters.built, design.operation.expected
    if built is None or expected is None:
        return
    if not expected.board_a.holds(built.current_a):
        low, high = (
            units.engineering(a, "A") for a in (expected.board_a.low, expected.board_a.high)
        )
        yield report(
            message=f"the whole board drew {units.engineering(built.current_a, 'A')} at"
            f" {built.supply_v:g} V on {built.date}; a sound one draws {low} to {high}",
            actual=units.engineering(built.current_a, "A"),
            limit=f"{low} to {high}",
            subjects=("built",),
            path="built.current",
        )
    branches = design.circuit.branches
    if built.ballasts_v and len(built.ballasts_v) != len(branches):
        yield report(
            message=f"{len(built.ballasts_v)} ballasts were measured, but the board has"
            f" {len(branches)} branches; write one value for each, in their order",
            actual=f"{len(built.ballasts_v)} values",
            limit=f"{len(branches)} values",
            subjects=("ballasts",),
            path="built.ballasts",
        )
        return
    for branch, volts, band in zip(branches, built.ballasts_v, expected.ballasts_v, strict=False):
        if not band.holds(volts):
            yield _wrong_ballast(design, branch, volts, band)


def _wrong_ballast(design: Design, branch: Branch, volts: float, band: Band) -> Finding:
    names = " + ".join(branch.ballasts)
    leds = span(design.circuit.leds(branch))
    some = leds if branch.kind.leds == 1 else f"one of {leds}"
    low, high = units.engineering(band.low, "V"), units.engineering(band.high, "V")
    if volts < _NOTHING * band.low:
        why = f"the branch is dark: look whether {some} is turned round, and at its joints"
    elif volts < band.low:
        why = (
            f"switch off and measure {names}: much too small a value lets too much current flow and"
            f" shows this; then look at the joints and the kind of {leds}"
        )
    else:
        why = f"look for a bridge across {some}, and whether {names} is much too large"
    return report(
        message=f"across {names} stood {units.engineering(volts, 'V')}, a sound branch shows {low}"
        f" to {high}; {why}",
        actual=units.engineering(volts, "V"),
        limit=f"{low} to {high}",
        subjects=branch.ballasts,
        path="built.ballasts",
    )


_NOTHING = 0.1
"""Less than a tenth of the least is a dark branch, whatever the meter shows: own choice."""


def built_total(design: Design) -> Iterable[Finding]:
    """Only the whole board's current was measured, which proves little.

    Why it matters
        One dark branch among several changes the whole current less than good LEDs do among
        themselves: a turned LED hides in the total.
    How it is measured
        ``[built]`` gives a current within bounds and no ``ballasts``.
    How to mend it
        Measure the volts across the ballast of each branch, and write them as
        ``ballasts = ["1.9 V", …]``.
    """
    built, expected = design.parameters.built, design.operation.expected
    if built is None or expected is None or built.ballasts_v:
        return
    if expected.board_a.holds(built.current_a):
        yield report(
            message="the measured current lies within its bounds, which proves nothing of the"
            " single branches: a turned LED can hide there; measure across each ballast and write"
            f" the {len(design.circuit.branches)} values as built.ballasts",
            subjects=("built",),
            path="built",
        )


def stock_unused(design: Design) -> Iterable[Finding]:
    """A text under [stock] belongs to no part of this board.

    Why it matters
        A misspelt name would leave the list without the text that was meant for it.
    How it is measured
        Names under ``[stock]`` against the values in the list of parts.
    How to mend it
        Write the part as the list has it, such as "150 ohm" or "white 2835".
    """
    values = {part.value for part in design.board.parts}
    size = design.parameters.resistor_part.size
    for name, text in design.parameters.stock.items():
        if not any(own_text({name: text}, value, size) for value in values):
            yield report(
                message=f'"{name}" is no part of this board', subjects=(name,), path="stock"
            )


def lands_typical(design: Design) -> Iterable[Finding]:
    """Lands come from a typical table, not from your part's data sheet.

    Why it matters
        Makers differ in size and even in which land is the cathode.
    How it is measured
        The standing that the land pattern's file gives.
    How to mend it
        Compare the lands with the data sheet, then say so: ``light.lands_compared = true``.
    """
    led = design.parameters.led
    if led.pattern.typical and not design.parameters.light.lands_compared:
        yield report(
            message=f"the lands of {led.name} are a typical pattern: compare them with your data"
            " sheet, cathode included",
            subjects=(led.pattern.name,),
            path="light.lands_compared",
        )
    parameters = design.parameters
    listed = (
        (parameters.connector_part, "connector.kind", "holes"),
        (parameters.switch_part, "connector.switch", "holes"),
        (parameters.fuse_part, "protection.fuse", "lands and figures"),
        (parameters.reverse_part, "protection.reverse", "lands and figures"),
    )
    for part, path, what in listed:
        if part and part.pattern.typical:
            yield report(
                message=f"the {what} of {part.name} are a typical pattern: compare them with your"
                " data sheet",
                subjects=(part.pattern.name,),
                path=path,
            )


def date_unset(design: Design) -> Iterable[Finding]:
    """The files carry no real date.

    Why it matters
        Two revisions cannot be told apart by their day.
    How it is measured
        Neither ``board.date`` nor SOURCE_DATE_EPOCH is given.
    How to mend it
        Add ``date = "2026-01-31"`` (your day) under ``[board]``.
    """
    if not design.parameters.date_given:
        yield report(
            message=f"no date is given; the files say {design.parameters.date}",
            subjects=("date",),
            path="board.date",
        )
