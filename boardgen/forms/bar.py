"""The form "bar": equal rows of LEDs."""

from dataclasses import replace

from boardgen.forms.band import led_straight, planned_open
from boardgen.forms.facing import CURRENT, ONE_WAY
from boardgen.forms.places import amid, around
from boardgen.model.parameters import Parameters
from boardgen.model.plan import Keys, Plan
from boardgen.model.pose import Pose
from boardgen.model.spine import Piece

_WIDTH = "form.width"
_KEYS = Keys(
    whole="form",
    pitch="form.pitch",
    along="form.length",
    across=_WIDTH,
    between="form.row_pitch",
    corner="form.corner",
)
_OUTLINED = replace(_KEYS, along="form.margin", across="form.margin")


def bar(parameters: Parameters) -> Plan:
    """Plan a bar: its rows are as far apart as they like, unless that is asked for.

    One that is joined to others is a band along its row, its ends cut where the pitch goes on.
    """
    if parameters.joint.joined:
        right = parameters.connector.at == "right"
        form = parameters.form
        start = Pose(x_mm=0.0, y_mm=0.0, turn_deg=180.0 if right else 0.0)
        row = (Piece(length_mm=parameters.light.count * form.pitch_mm),)
        line = led_straight(start, row)
        current = "" if right else "→"
        keys = replace(_KEYS, along=_WIDTH)
        return planned_open(parameters, line, form.pitch_mm / 2, current, keys)
    return rows(parameters, parameters.form.row_pitch_mm)


def rows(parameters: Parameters, between_mm: float | None) -> Plan:
    """Plan equal rows, each a chain of as many LEDs.

    Within another edge than their own they stand one pitch apart unless that is asked for.
    """
    form = parameters.form
    chains = (parameters.light.count // form.rows,) * form.rows
    if form.outlined:
        down_mm = between_mm or form.pitch_mm
        found = [
            (place * form.pitch_mm, -row * down_mm, 0.0)
            for row, count in enumerate(chains)
            for place in range(count)
        ]
        planned = around(parameters, amid(parameters, found), _OUTLINED)
        return replace(planned, chains=chains, current=CURRENT[ONE_WAY])
    return Plan(
        chains=chains,
        pitch_mm=form.pitch_mm,
        between_mm=between_mm if form.rows > 1 else None,
        keys=_KEYS,
        inwards_deg=parameters.connector.inwards_deg,
    )
