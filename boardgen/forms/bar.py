"""The form "bar": equal rows of LEDs."""

from boardgen.model.parameters import Parameters
from boardgen.model.plan import Keys, Plan

_KEYS = Keys(
    whole="form",
    pitch="form.pitch",
    along="form.length",
    across="form.width",
    between="form.row_pitch",
    corner="form.corner",
)


def bar(parameters: Parameters) -> Plan:
    """Plan a bar: its rows are as far apart as they like, unless that is asked for."""
    return rows(parameters, parameters.form.row_pitch_mm)


def rows(parameters: Parameters, between_mm: float | None) -> Plan:
    """Plan equal rows, each a chain of as many LEDs."""
    form = parameters.form
    return Plan(
        chains=(parameters.light.count // form.rows,) * form.rows,
        pitch_mm=form.pitch_mm,
        between_mm=between_mm if form.rows > 1 else None,
        keys=_KEYS,
        inwards_deg=parameters.connector.inwards_deg,
    )
