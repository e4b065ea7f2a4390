"""The circuit that ``electrical`` decides: branches, ballasts, corners, rail."""

from dataclasses import dataclass

from boardgen.model.parameters import SupplyRange


@dataclass(frozen=True, slots=True, kw_only=True)
class Corner:
    """A branch at one end of everything: supply, forward voltage, resistance, and what flows."""

    name: str
    supply_v: float
    vf_v: float
    resistance_ohm: float
    current_a: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Ballast:
    """The resistor of a branch: value wanted and taken, and the heat it has to stand."""

    wanted_ohm: float
    value_ohm: float
    choice: str
    rating_w: float
    derated_w: float
    worst_w: float


@dataclass(frozen=True, slots=True, kw_only=True)
class BranchKind:
    """Branches that are electrically alike: so many LEDs behind one ballast value."""

    leds: int
    ballast: Ballast
    low: Corner
    nominal: Corner
    high: Corner
    headroom_low_v: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Branch:
    """One branch: its number (from 1, in reading order), its row (0 = top) and its kind."""

    number: int
    row: int
    first_column: int
    kind: BranchKind


@dataclass(frozen=True, slots=True, kw_only=True)
class Rail:
    """How wide the supply rail should be, and why."""

    current_a: float
    heat_mm: float
    drop_mm: float
    width_mm: float
    reason: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Circuit:
    """What is connected to what, with every value decided."""

    supply: SupplyRange
    in_series: int
    in_series_reason: str
    current_a: float
    branches: tuple[Branch, ...]
    kinds: tuple[BranchKind, ...]
    columns: int
    nominal_a: float
    worst_a: float
    rail: Rail

    def net(self, branch: Branch, node: int) -> str:
        """Name a node of a branch: 0 is the supply, 1 follows the ballast, the last is 0 V."""
        if node == 0:
            return SUPPLY_NET
        if node == branch.kind.leds + 1:
            return RETURN_NET
        digits = max(2, len(str(len(self.branches))))
        return f"B{branch.number:0{digits}d}.{node}"


SUPPLY_NET = "V+"
INPUT_NET = "IN+"
"""Between connector and switch; without a switch there is none."""

RETURN_NET = "0V"
UNCONNECTED = "N/C"
"""A land of no net, as the Gerber specification writes it (5.6.13)."""
