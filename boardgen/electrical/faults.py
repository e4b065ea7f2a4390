"""What a meter shows on a board with faults, branch by branch.

A branch is a chain between rail and return: resistors, LEDs and, across the part that is measured,
the meter. An open part, or a turned LED, lets no current through; then a meter across it closes
the chain with its own ten megohms, and shows what the other LEDs leave at next to no current.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from boardgen.electrical.leds import bins
from boardgen.model.circuit import Branch, Circuit
from boardgen.model.faults import Fault, FaultKind, Lesson, Reading
from boardgen.standards.diode import Diode, operating_current_a

METER_OHM = 10e6
"""What most hand-held meters are at volts: common practice, no source."""
_OPEN = (FaultKind.TURNED, FaultKind.OPEN)
_WIRE_OHM = 1e-6


@dataclass(frozen=True, slots=True, kw_only=True)
class _Chain:
    """A branch as it stands: ohms of resistors, LEDs that conduct, parts that do not."""

    diode: Diode
    rail_v: float
    ohms: Mapping[str, float]
    lit: tuple[str, ...]
    open: tuple[str, ...]

    def current_a(self, meter_at: str = "") -> float:
        """Find what flows; with a meter across an open part, what flows through that."""
        if set(self.open) - {meter_at}:
            return 0.0
        ohms = sum(value for name, value in self.ohms.items() if name not in self.open)
        ohms += METER_OHM if meter_at in self.open else 0.0
        if not self.lit:
            return self.rail_v / max(ohms, _WIRE_OHM)
        return float(
            operating_current_a(self.diode, self.rail_v, len(self.lit), max(ohms, _WIRE_OHM))
        )

    def across_ballast_v(self, names: Sequence[str]) -> float:
        """Tell what a meter from end to end of the whole ballast shows."""
        if not set(self.open) & set(names):
            return sum(self.across_v(name) for name in names)
        if set(self.open) - set(names):
            return 0.0
        if not self.lit:
            return self.rail_v
        current = operating_current_a(self.diode, self.rail_v, len(self.lit), METER_OHM)
        return float(current) * METER_OHM

    def across_v(self, name: str) -> float:
        """Tell what a meter across a part shows."""
        current = self.current_a(name)
        if name in self.open:
            return current * METER_OHM
        if name in self.lit:
            return float(self.diode.voltage_v(current)) if current else 0.0
        return current * self.ohms.get(name, 0.0)


def lesson(circuit: Circuit, faults: Sequence[Fault]) -> Lesson:
    """Find what a meter shows, on the sound board and with faults, at the nominal supply.

    LEDs are typical and cold, as in the circuit's middle corner.
    """
    by_name = {fault.reference: fault for fault in faults}
    return Lesson(
        faults=tuple(faults),
        rail_v=circuit.feed.nominal_v,
        faulty=tuple(_reading(circuit, branch, by_name) for branch in circuit.branches),
        sound=tuple(_reading(circuit, branch, {}) for branch in circuit.branches),
    )


def _reading(circuit: Circuit, branch: Branch, faults: Mapping[str, Fault]) -> Reading:
    chain = _chain(circuit, branch, faults)
    return Reading(
        number=branch.number,
        ballast_v=chain.across_ballast_v(branch.ballasts),
        leds_v=tuple(chain.across_v(name) for name in branch.leds),
        current_a=chain.current_a(),
    )


def _chain(circuit: Circuit, branch: Branch, faults: Mapping[str, Fault]) -> _Chain:
    kinds = {name: faults[name].kind for name in branch.parts if name in faults}
    return _Chain(
        diode=bins(branch.kind.led).typical,
        rail_v=circuit.feed.nominal_v,
        ohms={name: _ohm(branch, faults.get(name)) for name in branch.ballasts},
        lit=tuple(name for name in branch.leds if name not in kinds),
        open=tuple(name for name, kind in kinds.items() if kind in _OPEN),
    )


def _ohm(branch: Branch, fault: Fault | None) -> float:
    if fault is None:
        return branch.kind.ballast.value_ohm
    return fault.value_ohm if fault.kind is FaultKind.VALUE else 0.0
