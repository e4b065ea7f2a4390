"""Rules on the circuit: power, currents, headroom, and what the reader should know."""

from collections.abc import Iterable

from boardgen import units
from boardgen.checks.finding import report
from boardgen.model.circuit import BranchKind
from boardgen.model.design import Design
from boardgen.model.findings import Finding, Severity
from boardgen.model.limits import Limits
from boardgen.model.stock import own_text

_RATING_STEP_W = 0.05


def _branches(design: Design, kind: BranchKind) -> tuple[str, ...]:
    return tuple(f"R{b.number}" for b in design.circuit.branches if b.kind is kind)


def _span(names: tuple[str, ...]) -> str:
    return names[0] if len(names) == 1 else f"{names[0]}…{names[-1]}"


def power_ballast(design: Design, limits: Limits) -> Iterable[Finding]:
    """A ballast gets hotter than it may.

    Why it matters
        An overloaded resistor browns the board, drifts and fails.
    How it is measured
        Heat at the highest supply, lowest forward voltage and lowest resistance, against the
        rating derated for the ambient; over the rating is an error, over the house's share of it
        a warning.
    How to mend it
        A larger size, a stated higher rating, less current, or more LEDs in series.
    """
    for kind in design.circuit.kinds:
        ballast = kind.ballast
        allowed = limits.resistor_share * ballast.derated_w
        if ballast.worst_w <= allowed:
            continue
        over = ballast.worst_w > ballast.derated_w
        names = _branches(design, kind)
        share = limits.resistor_share * ballast.derated_w / ballast.rating_w
        enough = units.up_to_step(ballast.worst_w / share, _RATING_STEP_W)
        turn = "turns" if len(names) == 1 else "each turn"
        yield report(
            message=f"{_span(names)} {turn} {units.engineering(ballast.worst_w, 'W')} into heat at"
            f" {kind.high.supply_v:g} V behind {kind.leds} in series; resistors that carry"
            f" {units.engineering(enough, 'W')} at 70 degC would do, stated as resistor.rating from"
            " their data sheet; or a larger size, or less current",
            actual=units.engineering(ballast.worst_w, "W"),
            limit=f"{units.engineering(ballast.derated_w, 'W')} at most,"
            f" {units.engineering(allowed, 'W')} wanted",
            subjects=names,
            path="resistor.rating",
            severity=Severity.ERROR if over else Severity.WARNING,
        )


def current_led(design: Design, limits: Limits) -> Iterable[Finding]:
    """An LED carries more current than it may.

    Why it matters
        Too much current makes LEDs fade early and run hot.
    How it is measured
        Current at the highest corner against the data sheet's greatest; over it is an error, over
        the house's share of it a warning.
    How to mend it
        Less current, a steadier supply, or fewer LEDs in series (more headroom, less spread).
    """
    most = design.parameters.led.data.max_current_a
    for kind in design.circuit.kinds:
        worst = kind.high.current_a
        if worst <= limits.led_share * most:
            continue
        yield report(
            message=f"LEDs behind {_span(_branches(design, kind))} carry"
            f" {units.engineering(worst, 'A')} at {kind.high.supply_v:g} V",
            actual=units.engineering(worst, "A"),
            limit=f"{units.engineering(most, 'A')} at most,"
            f" {units.engineering(limits.led_share * most, 'A')} wanted",
            subjects=_branches(design, kind),
            path="light.current",
            severity=Severity.ERROR if worst > most else Severity.WARNING,
        )


def current_connector(design: Design, limits: Limits) -> Iterable[Finding]:
    """The connector carries more current than it may.

    Why it matters
        A loose or overloaded contact is where boards burn first.
    How it is measured
        Sum of all branches at the highest corner against the connector's rating.
    How to mend it
        Another connector, or less current.
    """
    rating, worst = design.parameters.connector_part.rating_a, design.circuit.worst_a
    if worst > limits.connector_share * rating:
        yield report(
            message=f"the connector carries {units.engineering(worst, 'A')} at worst",
            actual=units.engineering(worst, "A"),
            limit=f"{rating:g} A at most, {limits.connector_share * rating:g} A wanted",
            subjects=("J1",),
            path="connector.kind",
            severity=Severity.ERROR if worst > rating else Severity.WARNING,
        )


def current_switch(design: Design, limits: Limits) -> Iterable[Finding]:
    """The switch carries more current than it may.

    Why it matters
        Its contacts burn, or weld together.
    How it is measured
        Sum of all branches at the highest corner against the switch's rating.
    How to mend it
        Less current, or a switch in the supply's lead that is made for it.
    """
    part, worst = design.parameters.switch_part, design.circuit.worst_a
    if part and worst > limits.connector_share * part.rating_a:
        wanted = limits.connector_share * part.rating_a
        yield report(
            message=f"the switch carries {units.engineering(worst, 'A')} at worst",
            actual=units.engineering(worst, "A"),
            limit=f"{part.rating_a:g} A at most, {wanted:g} A wanted",
            subjects=("S1",),
            path="connector.switch",
            severity=Severity.ERROR if worst > part.rating_a else Severity.WARNING,
        )


def current_supply(design: Design, limits: Limits) -> Iterable[Finding]:
    """The supply gives more current than it can for long.

    Why it matters
        A coin cell's voltage falls within minutes, and with it the light.
    How it is measured
        Sum of all branches at the nominal supply against the cell's greatest continuous current.
    How to mend it
        Less current, fewer LEDs, or a stronger supply.
    """
    most, nominal = design.parameters.supply.max_current_a, design.circuit.nominal_a
    if most is not None and nominal > limits.supply_share * most:
        yield report(
            message=f"the board draws {units.engineering(nominal, 'A')} from"
            f" {design.parameters.supply.name}",
            actual=units.engineering(nominal, "A"),
            limit=f"{units.engineering(limits.supply_share * most, 'A')} for long",
            subjects=("V+",),
            path="light.current",
        )


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


def headroom_branch(design: Design, limits: Limits) -> Iterable[Finding]:
    """A branch has little voltage left for its ballast at the lowest supply.

    Why it matters
        With little headroom the light swings with every tenth of a volt; with none it goes out.
    How it is measured
        Lowest supply less the highest forward voltages of the branch.
    How to mend it
        Fewer LEDs in series, a higher supply, or LEDs with a lower forward voltage.
    """
    for kind in design.circuit.kinds:
        if kind.headroom_low_v >= limits.headroom_v - 1e-9:
            continue
        dark = "; it may stay dark there" if kind.headroom_low_v <= 0 else ""
        lacking = limits.headroom_v - kind.headroom_low_v
        remedy = f"{lacking:.2f} V more at the lowest supply would do"
        if kind.leds > 1:
            remedy += f", or {kind.leds - 1} in series"
        yield report(
            message=f"branches of {kind.leds} have {kind.headroom_low_v:.2f} V headroom at"
            f" {kind.low.supply_v:g} V{dark}; {remedy}",
            actual=f"{kind.headroom_low_v:.2f} V",
            limit=f"at least {limits.headroom_v:g} V",
            subjects=_branches(design, kind),
            path="light.in_series" if kind.leds > 1 else "supply",
        )


def rail_drop(design: Design, limits: Limits) -> Iterable[Finding]:
    """The last branch gets noticeably less current than the first.

    Why it matters
        The bar fades towards its end.
    How it is measured
        Loss along the rail as drawn at the nominal current, as a share of the headroom.
    How to mend it
        A wider rail on a wider board, thicker copper, or less current.
    """
    if design.operation.rail_spread > limits.rail_share:
        yield report(
            message=f"{units.engineering(design.operation.rail_drop_v, 'V')} are lost along the"
            " rail",
            actual=f"{design.operation.rail_spread:.1%} less current",
            limit=f"{limits.rail_share:.0%} at most",
            subjects=("V+",),
            path="copper.rail",
        )


def supply_touch(design: Design, limits: Limits) -> Iterable[Finding]:
    """The supply reaches a voltage that is no longer harmless everywhere.

    Why it matters
        Above 30 V DC, damp hands and bare lands are a shock hazard.
    How it is measured
        Highest supply voltage.
    How to mend it
        A lower supply; else let a qualified person judge where the board is used.
    """
    if design.parameters.supply.high_v > limits.touch_v:
        yield report(
            message="the supply is above what may be touched everywhere",
            actual=f"{design.parameters.supply.high_v:g} V",
            limit=f"{limits.touch_v:g} V DC",
            subjects=("V+",),
            path="supply",
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
    connector, switch = design.parameters.connector_part, design.parameters.switch_part
    for part, path in ((connector, "connector.kind"), (switch, "connector.switch")):
        if part and part.pattern.typical:
            yield report(
                message=f"the holes of {part.name} are a typical pattern: compare them with your"
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
