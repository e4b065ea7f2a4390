"""The form "grid": rows and columns at one pitch, or at two."""

from dataclasses import replace

from boardgen.forms.bar import rows
from boardgen.model.parameters import Parameters
from boardgen.model.plan import Plan


def grid(parameters: Parameters) -> Plan:
    """Plan a grid: rows as far apart as columns, unless another distance is asked for."""
    form = parameters.form
    between = form.pitch_mm if form.row_pitch_mm is None else form.row_pitch_mm
    return replace(rows(parameters, between), area=True)
