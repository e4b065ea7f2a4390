"""Rules on what the reader should know, or compare."""

from collections.abc import Iterable

from boardgen import units
from boardgen.checks.finding import report
from boardgen.model.design import Design
from boardgen.model.findings import Finding
from boardgen.model.limits import Limits
from boardgen.model.stock import own_text


def built_differs(design: Design, limits: Limits) -> Iterable[Finding]:  # noqa: ARG001
    """What was measured on the first article is not what the circuit gives.

    Why it matters
        A wrong resistor, a turned LED or another bin shows here before the lot is built.
    How it is measured
        The measured current against the least and greatest at the measured supply.
    How to mend it
        Measure again; then look for dark LEDs and read the resistors' codes.
    """
    built = design.parameters.built
    if built is None:
        return
    low, high = design.operation.measured_low_a, design.operation.measured_high_a
    if not low <= built.current_a <= high:
        yield report(
            message=f"{units.engineering(built.current_a, 'A')} were measured at"
            f" {built.supply_v:g} V on {built.date}",
            actual=units.engineering(built.current_a, "A"),
            limit=f"{units.engineering(low, 'A')} to {units.engineering(high, 'A')}",
            subjects=("built",),
            path="built",
        )


def stock_unused(design: Design, limits: Limits) -> Iterable[Finding]:  # noqa: ARG001
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


def lands_typical(design: Design, limits: Limits) -> Iterable[Finding]:  # noqa: ARG001
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


def date_unset(design: Design, limits: Limits) -> Iterable[Finding]:  # noqa: ARG001
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
