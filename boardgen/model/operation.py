"""What the board will do, told after layout: reported, never fed back."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Operation:
    """Currents and drops on the rails as drawn.

    ``rail_drop_v`` is the loss from the connector to the last branch at the nominal current;
    ``rail_spread`` is what it costs the last branch, as a share of the headroom. ``measured_…``
    is what the board ought to draw at the supply of ``[built]``; 0 when nothing was measured.
    """

    rail_width_mm: float
    rail_length_mm: float
    rail_drop_v: float
    rail_spread: float
    rail_capacity_a: float
    power_w: float
    worst_power_w: float
    measured_low_a: float = 0.0
    measured_nominal_a: float = 0.0
    measured_high_a: float = 0.0
