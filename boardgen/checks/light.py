"""Rules on the light: bright enough, even enough, alike from branch to branch."""

import math
from collections.abc import Iterable, Iterator

from boardgen import units
from boardgen.checks import verdicts
from boardgen.checks.finding import report
from boardgen.errors import Change
from boardgen.forms.table import plan
from boardgen.model.design import Design
from boardgen.model.findings import Finding
from boardgen.standards.photometry import lightness_steps

_STEP_MM = 0.1


def light_faint(design: Design) -> Iterable[Finding]:
    """The current asked for is far below what is usual for the light's use.

    Why it matters
        A slip of a unit, 0.02 mA for 0.02 A, builds a board that nobody sees shine.
    How it is measured
        ``light.current`` against a tenth of the current that ``light.use`` would set, where the
        supply gives so much to all branches for long.
    How to mend it
        The usual current; or, if it was meant, a use that suits it.
    """
    parameters = design.parameters
    asked, usual = parameters.light.current_a, parameters.parts.usual_a
    if asked is None or asked >= usual * _FAINT_SHARE:
        return
    most = design.circuit.supply.max_current_a
    if most is not None and most < usual * _FAINT_SHARE * len(design.circuit.branches):
        return  # so little is meant
    likely = max(usual * _NEAR, *(one.led.data.vf.at_a for one in parameters.parts.emitters))
    meant = asked * _MILLI if asked * _MILLI <= likely else usual
    use = f"for {parameters.light.use}" if parameters.light.use else "where no use is named"
    little, tenth = units.apart(asked, usual * _FAINT_SHARE, "A")
    yield report(
        message=f"{little} is very little; {units.engineering(usual, 'A')} is usual {use}:"
        f" did you mean {units.engineering(meant, 'A')}?",
        actual=little,
        limit=f"{tenth}, a tenth of the usual",
        subjects=("light",),
        path="light.current",
    )


_FAINT_SHARE, _MILLI = 0.1, 1_000.0
_NEAR = 2.0
"""A thousand times what was written is meant while it is no more than twice the usual, or than the
current at which the LED's data sheet measures."""


def light_dim(design: Design) -> Iterable[Finding]:
    """The board gives less light than its use asks for.

    Why it matters
        A work light that shows nothing was paid for in vain.
    How it is measured
        Illuminance under the middle at the use's distance, all LEDs at nominal, by the cosine-power
        law: an estimate. What each use asks for is our own choice and stands in the catalogue.
    How to mend it
        More LEDs, more current, or a use that says what the light is.
    """
    least, light = design.parameters.parts.use_least, design.operation.illumination
    if least is None or light is None or light.use_lx is None or light.use_lx >= least.lx:
        return
    yield report(
        message=f'use = "{design.parameters.light.use}" asks for {least.lx:g} lx at'
        f" {least.at_mm:g} mm below the middle; this board gives {units.figures(light.use_lx)}"
        " lx there"
        f" ({units.figures(light.flux_lm)} lm in all)",
        actual=f"{units.figures(light.use_lx)} lx at {least.at_mm:g} mm",
        limit=f"at least {least.lx:g} lx",
        subjects=("light",),
        path="light.use",
        changes=tuple(_brighter(design, least.lx / light.use_lx)),
    )


_SPARE = (1.0, 1.1, 1.25, 1.5, 2.0)
"""LEDs further from the middle give less there than their share."""


def _brighter(design: Design, times: float) -> Iterator[Change]:
    """Offer so many times the current, then the LEDs, the least that may do first."""
    parameters = design.parameters
    if len(parameters.parts.emitters) > 1:
        return  # the file's keys describe one channel: of several, none is offered
    written_a = parameters.light.current_a or parameters.parts.usual_a
    for spare in _SPARE[:2]:
        tenths_ma = units.up_to_step(written_a * times * spare, _STEP_A) / _STEP_A
        yield Change(path="light.current", value=f'"{tenths_ma / 10:.1f} mA"')
    planned = plan(parameters)
    rows = 1 if planned.spared else len(planned.chains)
    step = design.circuit.channels[0].in_series * rows
    branches = {math.ceil(parameters.light.count * times * spare / step) for spare in _SPARE}
    for count in sorted(branches):
        yield Change(path="light.count", value=f"{count * step}")


_STEP_A = 0.0001
"""As finely as a file need say a current."""


def light_unlike(design: Design) -> Iterable[Finding]:
    """Shorter branches shine brighter or dimmer than the others.

    Why it matters
        Side by side, a few percent of light are seen.
    How it is measured
        Nominal currents of the kinds of branch, the least against the greatest.
    How to mend it
        A count that the number in series divides, or a finer series of resistors.
    """
    limits = design.limits
    for kinds in verdicts.unlike_kinds(design.parameters, design.circuit):
        amps = [kind.nominal.current_a for kind in kinds]
        unlike = 1.0 - min(amps) / max(amps)
        currents = " and ".join(
            f"{units.engineering(kind.nominal.current_a, 'A')} in branches of {kind.of}"
            for kind in kinds
        )
        yield report(
            message=f"{currents}: {lightness_steps(unlike):.1f} steps of lightness apart",
            actual=f"{unlike:.1%} less current",
            limit=f"{100 * limits.rail_share:g}% at most",
            subjects=tuple(f"branches of {kind.of}" for kind in kinds),
            path="light.count",
        )


def light_uneven(design: Design) -> Iterable[Finding]:
    """The light on the diffuser is less even than asked for.

    Why it matters
        Single LEDs show through as spots.
    How it is measured
        Least over most light along an endless row at this pitch and height, by the cosine-power
        law; on a grid and a disc least of the spots between LEDs, in a word and of given places of
        the middles between neighbours, each over the mean of the LEDs around it. An estimate.
    How to mend it
        A smaller pitch, or a diffuser further away.
    """
    asked, found = design.parameters.light.evenness, design.operation.illumination
    if asked is None or found is None or found.evenness is None or found.evenness >= asked:
        return
    pitch = units.down_to_step(found.pitch_for_evenness_mm or 0.0, _STEP_MM)
    height = units.up_to_step(found.diffuser_for_evenness_mm or 0.0, _STEP_MM)
    keys = plan(design.parameters).keys
    yield report(
        message=f"the LEDs show as spots on a diffuser at {found.diffuser_mm:g} mm",
        actual=f"{found.evenness:.1%}",
        limit=f"{asked:.1%} asked for",
        subjects=("diffuser",),
        path="light.evenness",
        changes=(
            Change(path="light.diffuser", value=f'"{height:.1f} mm"'),
            *((Change(path=keys.pitch, value=f'"{pitch:.1f} mm"'),) if keys.paced else ()),
        ),
    )
