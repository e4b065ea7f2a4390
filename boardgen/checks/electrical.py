"""Rules on the circuit: heat, currents, headroom, rails, light."""

from collections.abc import Iterable

from boardgen import units
from boardgen.checks.finding import report
from boardgen.model import verdicts
from boardgen.model.circuit import BranchKind
from boardgen.model.design import Design
from boardgen.model.findings import Finding, Severity
from boardgen.model.limits import Limits
from boardgen.model.operation import Change
from boardgen.standards.photometry import lightness_steps

_STEP_MM = 0.1


def ballasts_of(design: Design, kind: BranchKind) -> tuple[str, ...]:
    """Name the resistors of all branches of a kind."""
    branches = (branch for branch in design.circuit.branches if branch.kind is kind)
    return tuple(name for branch in branches for name in branch.ballasts)


def span(names: tuple[str, ...]) -> str:
    """Name a row of references by its ends."""
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
    for kind in verdicts.hot_ballasts(design.parameters, design.circuit):
        ballast = kind.ballast
        over = ballast.worst_w > ballast.derated_w
        names = ballasts_of(design, kind)
        turn = "turns" if len(names) == 1 else "each turn"
        yield report(
            message=f"{span(names)} {turn} {units.engineering(ballast.worst_w, 'W')} into heat at"
            f" {kind.high.supply_v:.4g} V behind {kind.leds} in series",
            actual=units.engineering(ballast.worst_w, "W"),
            limit=f"{units.engineering(ballast.derated_w, 'W')} at most,"
            f" {units.engineering(ballast.allowed_w(limits), 'W')} wanted",
            subjects=names,
            path="resistor.rating",
            severity=Severity.ERROR if over else Severity.WARNING,
            changes=design.operation.changes.get("power.ballast", ()),
        )


def current_led(design: Design, limits: Limits) -> Iterable[Finding]:
    """An LED carries more current than it may.

    Why it matters
        Too much current makes LEDs fade early and run hot.
    How it is measured
        Current at the highest corner, warmed up, against the data sheet's greatest, derated so that
        the junction stays within its bounds at the warmest ambient; over it is an error, over the
        house's share of it a warning.
    How to mend it
        Less current, a steadier supply, or fewer LEDs in series (more headroom, less spread).
    """
    for kind in verdicts.driven_leds(design.parameters, design.circuit):
        corner, most = kind.led_corner
        worst = corner.current_a
        yield report(
            message=f"LEDs behind {span(ballasts_of(design, kind))} carry"
            f" {units.engineering(worst, 'A')} at {corner.supply_v:.4g} V, their junctions at"
            f" {corner.junction_degc:.0f} degC",
            actual=units.engineering(worst, "A"),
            limit=f"{units.engineering(most, 'A')} at most,"
            f" {units.engineering(limits.led_share * most, 'A')} wanted",
            subjects=ballasts_of(design, kind),
            path="light.current",
            severity=Severity.ERROR if kind.led_load > 1 else Severity.WARNING,
            changes=design.operation.changes.get("current.led", ()),
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
    if verdicts.connector_full(design.parameters, design.circuit):
        yield report(
            message=f"the connector carries {units.engineering(worst, 'A')} at worst",
            actual=units.engineering(worst, "A"),
            limit=f"{rating:g} A at most, {limits.connector_share * rating:g} A wanted",
            subjects=("J1",),
            path="connector.kind",
            severity=Severity.ERROR if worst > rating else Severity.WARNING,
            changes=design.operation.changes.get("current.connector", ()),
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
    if part and verdicts.switch_full(design.parameters, design.circuit):
        wanted = limits.connector_share * part.rating_a
        yield report(
            message=f"the switch carries {units.engineering(worst, 'A')} at worst",
            actual=units.engineering(worst, "A"),
            limit=f"{part.rating_a:g} A at most, {wanted:g} A wanted",
            subjects=("S1",),
            path="connector.switch",
            severity=Severity.ERROR if worst > part.rating_a else Severity.WARNING,
            changes=design.operation.changes.get("current.switch", ()),
        )


def current_guard(design: Design, limits: Limits) -> Iterable[Finding]:
    """The guard against reversal carries more current than it may.

    Why it matters
        It gets too hot to touch, and fails as a short or an opening.
    How it is measured
        Sum of all branches at the highest corner against the guard's rating.
    How to mend it
        Less current.
    """
    part, worst = design.parameters.reverse_part, design.circuit.worst_a
    if part and verdicts.guard_full(design.parameters, design.circuit):
        wanted = limits.connector_share * part.rating_a
        yield report(
            message=f"the {part.name} guard carries {units.engineering(worst, 'A')} at worst",
            actual=units.engineering(worst, "A"),
            limit=f"{part.rating_a:g} A at most, {wanted:g} A wanted",
            subjects=(part.name,),
            path="protection.reverse",
            severity=Severity.ERROR if worst > part.rating_a else Severity.WARNING,
            changes=design.operation.changes.get("current.guard", ()),
        )


def headroom_branch(design: Design, limits: Limits) -> Iterable[Finding]:
    """A branch has little voltage left for its ballast at the lowest supply.

    Why it matters
        With little headroom the light swings with every tenth of a volt; with none it goes out.
    How it is measured
        Lowest voltage at the rail less the greatest forward voltages of the branch in the cold, at
        the current asked for.
    How to mend it
        Fewer LEDs in series, a higher supply, or LEDs with a lower forward voltage.
    """
    for kind in verdicts.short_headroom(design.parameters, design.circuit):
        dark = "; it may stay dark there" if kind.headroom_low_v <= 0 else ""
        yield report(
            message=f"branches of {kind.leds} have {kind.headroom_low_v:.2f} V headroom at"
            f" {kind.low.supply_v:.4g} V{dark}; their current runs from"
            f" {units.engineering(kind.low.current_a, 'A')} to"
            f" {units.engineering(kind.high.current_a, 'A')}",
            actual=f"{kind.headroom_low_v:.2f} V",
            limit=f"at least {limits.headroom_v:g} V",
            subjects=ballasts_of(design, kind),
            path="light.in_series" if kind.leds > 1 else "supply",
            changes=design.operation.changes.get("headroom.branch", ()),
        )


def rail_drop(design: Design, limits: Limits) -> Iterable[Finding]:
    """The last branch gets noticeably less current than the first.

    Why it matters
        The bar fades towards its end.
    How it is measured
        Currents of all branches along the rails as drawn, supply and return, at the nominal supply;
        the weakest against the strongest of its kind.
    How to mend it
        A wider rail on a wider board, thicker copper, less current, or another way to feed, each
        with what it would give.
    """
    rails = design.operation.rails
    if rails.spread > limits.rail_share:
        ways = "; ".join(
            f"{way.title}: {way.spread:.1%}, {way.lightness_steps:.1f} steps of lightness"
            for way in rails.options
        )
        yield report(
            message=f"{units.engineering(rails.drop_v, 'V')} are lost along the rail and"
            f" {units.engineering(rails.return_drop_v, 'V')} along the return ({ways})",
            actual=f"{rails.spread:.1%} less current",
            limit=f"{100 * limits.rail_share:g}% at most",
            subjects=("V+",),
            path="copper.rail",
        )


def light_unlike(design: Design, limits: Limits) -> Iterable[Finding]:
    """Shorter branches shine brighter or dimmer than the others.

    Why it matters
        Side by side, a few percent of light are seen.
    How it is measured
        Nominal currents of the kinds of branch, the least against the greatest.
    How to mend it
        A count that the number in series divides, or a finer series of resistors.
    """
    if verdicts.unlike_kinds(design.parameters, design.circuit):
        amps = [kind.nominal.current_a for kind in design.circuit.kinds]
        unlike = 1.0 - min(amps) / max(amps)
        currents = " and ".join(
            f"{units.engineering(kind.nominal.current_a, 'A')} in branches of {kind.leds}"
            for kind in design.circuit.kinds
        )
        yield report(
            message=f"{currents}: {lightness_steps(unlike):.1f} steps of lightness apart",
            actual=f"{unlike:.1%} less current",
            limit=f"{100 * limits.rail_share:g}% at most",
            subjects=tuple(f"branches of {kind.leds}" for kind in design.circuit.kinds),
            path="light.count",
        )


def light_uneven(design: Design, limits: Limits) -> Iterable[Finding]:  # noqa: ARG001
    """The light on the diffuser is less even than asked for.

    Why it matters
        Single LEDs show through as spots.
    How it is measured
        Least over most light along an endless row at this pitch and height, by the cosine-power
        law; an estimate.
    How to mend it
        The pitch that is named, or a diffuser further away.
    """
    asked, found = design.parameters.light.evenness, design.operation.illumination
    if asked is None or found is None or found.evenness is None or found.evenness >= asked:
        return
    pitch = units.down_to_step(found.pitch_for_evenness_mm or 0.0, _STEP_MM)
    height = units.up_to_step(found.diffuser_for_evenness_mm or 0.0, _STEP_MM)
    yield report(
        message=f"the row shows as spots on a diffuser at {found.diffuser_mm:g} mm",
        actual=f"{found.evenness:.1%}",
        limit=f"{asked:.1%} asked for",
        subjects=("diffuser",),
        path="light.evenness",
        changes=(
            Change(path="light.diffuser", value=f'"{height:.1f} mm"'),
            Change(path="form.pitch", value=f'"{pitch:.1f} mm"'),
        ),
    )
