"""The form "path": LEDs along a line of one's own, with rounded corners."""

from boardgen.forms.band import led_straight, planned_closed, planned_open
from boardgen.forms.line import fillet_mm, line_of, pieces
from boardgen.model.parameters import Parameters
from boardgen.model.plan import Plan
from boardgen.model.side import Side


def path(parameters: Parameters) -> Plan:
    """Plan a path: open, with the supply where it begins, or closed.

    LEDs stand at their pitch from the first point on, or, with a connector at the right, from the
    last one; on a closed path at equal distances, of which ``form.pitch`` is the least.
    """
    form, line = parameters.form, line_of(parameters.form)
    if parameters.connector.at == "right" and not line.closed:
        line = line.backwards()
    radius = fillet_mm(form, line)
    if line.closed:
        clockwise = parameters.connector.side == Side.TOP.value
        if (line.area_mm2() > 0) is clockwise:
            line = line.backwards()
        around = line.amid_its_first_leg()
        return planned_closed(parameters, around.pose(), tuple(pieces(around, radius)))
    along = tuple(pieces(line, radius))
    return planned_open(parameters, led_straight(line.pose(), along), form.pitch_mm / 2, "")
