"""Rules on what the reader should know, or compare."""

from collections.abc import Callable, Iterable, Iterator, Sequence

from boardgen import units
from boardgen.checks.electrical import span
from boardgen.checks.finding import report
from boardgen.model.circuit import SUPPLY_NET, Branch
from boardgen.model.design import Design
from boardgen.model.findings import Finding, Severity
from boardgen.model.operation import Band
from boardgen.model.sections import SPLIT
from boardgen.model.stock import own_text


def supply_pour(design: Design) -> Iterable[Finding]:
    """A pour of the board is on the supply, not on 0 V.

    Why it matters
        Where such a board lies on metal, a scratch in the mask shorts the supply; and probes that
        look for 0 V there find the supply.
    How it is measured
        The nets of the pours.
    How to mend it
        ``copper.pour = "both"``, where tracks find their ways; else keep metal off that side.
    """
    for pour in design.board.pours:
        if pour.net == SUPPLY_NET:
            asked = design.parameters.copper.pour == SPLIT
            yield report(
                message=f"the copper of the {pour.side.value} is the supply's, with vias to the"
                f" LEDs, {'as asked for' if asked else 'for tracks found no way'}; keep metal off",
                subjects=(SUPPLY_NET, pour.side.value),
                path="copper.pour",
            )


def built_supply(design: Design) -> Iterable[Finding]:
    """The supply on the bench is not the one that the board is made for.

    Why it matters
        A slip from 5 V to 12 V lets several times the current through LEDs and resistors, which get
        too hot to touch and fail; and what was measured at it says nothing of the board.
    How it is measured
        The measured supply against its lowest and highest voltage, with 2 % for the meter: more
        than the highest is an error, less than the lowest a warning. The other measurements are
        judged only within them.
    How to mend it
        Unplug the supply; look at its label, its setting and the point in what was written down.
    """
    built, expected = design.parameters.built, design.operation.expected
    if built is None or expected is None or expected.supply_v.holds(built.supply_v):
        return
    band = expected.supply_v
    over = built.supply_v > band.high
    gave = f"the supply gave {built.supply_v:g} V on {built.date}"
    supply = design.circuit.supply
    yield report(
        message=f"unplug it: {gave}, and this board is made for at most {supply.high_v:g} V; take"
        " the right supply before you go on"
        if over
        else f"{gave}, less than the lowest that this board is made for, {supply.low_v:g} V: look"
        " whether it is the right one, or empty, then measure again",
        actual=f"{built.supply_v:g} V",
        limit=f"{supply.low_v:g} V to {supply.high_v:g} V",
        subjects=("built", "supply"),
        path="built.supply",
        severity=Severity.ERROR if over else None,
    )


def built_differs(design: Design) -> Iterable[Finding]:
    """The first board does not show what its circuit gives.

    Why it matters
        A turned LED, another kind of LED or a wrong resistor shows here before the lot is built.
    How it is measured
        At the measured supply: the board's current, the volts across each ballast, and its ohms
        with the supply unplugged, against the least and greatest that the circuit gives, with 2 %
        for the meter. Volts hardly tell a resistor's value: nearly the same stand across one of
        half or twice the ohms.
    How to mend it
        Measure again; then look at the branch that is named: its LEDs' way round, its joints, its
        resistor's code.
    """
    built, expected = design.parameters.built, design.operation.expected
    if built is None or expected is None or not expected.supply_v.holds(built.supply_v):
        return
    if not expected.board_a.holds(built.current_a):
        drew, said = _apart(built.current_a, expected.board_a, "A")
        yield report(
            message=f"the whole board drew {drew} at"
            f" {built.supply_v:g} V on {built.date}; a sound one draws {said}"
            + ("" if built.ballasts_v else "; measure across each ballast to find the branch"),
            actual=drew,
            limit=said,
            subjects=("built",),
            path="built.current",
        )
    ohms_known = len(built.resistors_ohm) == len(design.circuit.branches)

    def wrong_volts(branch: Branch, volts: float, band: Band) -> Finding:
        return _wrong_volts(branch, volts, band, ohms_known=ohms_known)

    yield from _each(design, "ballasts", built.ballasts_v, expected.ballasts_v, wrong_volts)
    yield from _each(design, "resistors", built.resistors_ohm, expected.resistors_ohm, _wrong_ohms)


def _each(
    design: Design,
    key: str,
    measured: Sequence[float],
    bands: Sequence[Band],
    wrong: Callable[[Branch, float, Band], Finding],
) -> Iterator[Finding]:
    """Hold one value for each branch against its band."""
    branches = design.circuit.branches
    if measured and len(measured) != len(branches):
        yield report(
            message=f"built.{key} lists {len(measured)}, but the board has"
            f" {len(branches)} branches; write one value for each, in their order",
            actual=f"{len(measured)} values",
            limit=f"{len(branches)} values",
            subjects=(key,),
            path=f"built.{key}",
        )
        return
    for branch, value, band in zip(branches, measured, bands, strict=False):
        if not band.holds(value):
            yield wrong(branch, value, band)


def _apart(value: float, band: Band, unit: str) -> tuple[str, str]:
    """Print a value outside of a band with so many digits that it is seen to lie outside."""
    low, high = units.engineering(band.low, unit), units.engineering(band.high, unit)
    if value < band.low:
        said, low = units.apart(value, band.low, unit)
    else:
        said, high = units.apart(value, band.high, unit)
    return said, f"{low} to {high}"


def _wrong_volts(branch: Branch, volts: float, band: Band, *, ohms_known: bool) -> Finding:
    names = " + ".join(branch.ballasts)
    leds = span(branch.leds)
    some = leds if branch.kind.leds == 1 else f"one of {leds}"
    stood, sound = _apart(volts, band, "V")
    if volts < _NOTHING * band.low:
        why = f"the branch is dark: look whether {some} is turned round, and at its joints"
    elif volts < band.low and ohms_known:
        why = f"if {names} measures right, look at the joints and the kind of {leds}"
    elif volts < band.low:
        why = (
            f"unplug the supply and measure {names}: much too small a value lets too much current"
            f" flow and shows this; then look at the joints and the kind of {leds}"
        )
    else:
        why = f"look for a bridge across {some}, and whether {names} is much too large"
    return report(
        message=f"across {names} stood {stood}, a sound branch shows {sound}; {why}",
        actual=stood,
        limit=sound,
        subjects=branch.ballasts,
        path="built.ballasts",
    )


_NOTHING = 0.1
"""Less than a tenth of the least is a dark branch, whatever the meter shows: own choice."""


def _wrong_ohms(branch: Branch, ohms: float, band: Band) -> Finding:
    names, leds = " + ".join(branch.ballasts), span(branch.leds)
    measures, sound = _apart(ohms, band, "ohm")
    if ohms < band.low:
        why = f"too much current flows through {leds}: do not light it; look for a bridge, then at"
    else:
        why = f"{leds} shine less than the others: look for a dry joint, then at"
    return report(
        message=f"{names} measures {measures}, {units.resistance(band.nominal)} belongs there"
        f" ({sound}); {why} what is printed on the part",
        actual=measures,
        limit=sound,
        subjects=branch.ballasts,
        path="built.resistors",
    )


def built_total(design: Design) -> Iterable[Finding]:
    """What was measured on the first board leaves a fault room to hide.

    Why it matters
        One dark branch among several changes the whole current less than good LEDs do among
        themselves: a turned LED hides in the total. A wrong resistor hides in the volts.
    How it is measured
        ``[built]`` gives a current within bounds, but not ``ballasts``, or not ``resistors``.
    How to mend it
        Measure the volts across the ballast of each branch, unplug the supply and measure its ohms;
        write them as ``ballasts = ["1.9 V", …]`` and ``resistors = ["150 ohm", …]``.
    """
    built, expected = design.parameters.built, design.operation.expected
    if built is None or expected is None or not expected.supply_v.holds(built.supply_v):
        return
    if not expected.board_a.holds(built.current_a):
        return
    many = len(design.circuit.branches)
    if not built.ballasts_v:
        yield report(
            message="the measured current lies within its bounds, which proves nothing of the"
            " single branches: a turned LED can hide there; measure across each ballast and write"
            f" the {many} values as built.ballasts",
            subjects=("built",),
            path="built",
        )
    elif not built.resistors_ohm:
        yield report(
            message="volts across ballasts do not show a wrong resistor; unplug the supply, measure"
            f" each and write the {many} values as built.resistors",
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
    size = design.parameters.parts.resistor.size
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
    for led in (channel.led for channel in design.circuit.channels):
        if not led.pattern.typical or design.parameters.light.lands_compared:
            continue
        yield report(
            message=f"the lands of {led.name} are a typical pattern: compare them with your data"
            " sheet, cathode included",
            subjects=(led.pattern.name,),
            path="light.lands_compared",
        )
    parameters = design.parameters
    listed = (
        (parameters.parts.connector, "connector.kind", "holes"),
        (parameters.parts.switch, "connector.switch", "holes"),
        (parameters.parts.fuse, "protection.fuse", "lands and figures"),
        (parameters.parts.reverse, "protection.reverse", "lands and figures"),
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
