"""What the board will do, told after layout: reported, never fed back."""

from dataclasses import dataclass, field


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """A change of the parameter file that would pass: dotted path and the value as written."""

    path: str
    value: str
    note: str = ""

    def __str__(self) -> str:
        return f"{self.path} = {self.value}" + (f" ({self.note})" if self.note else "")


@dataclass(frozen=True, slots=True, kw_only=True)
class RailOption:
    """The rails fed in another way: how much less the weakest branch gets, and how that looks."""

    title: str
    spread: float
    lightness_steps: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Rails:
    """The nodal solution along supply rail and return, at the nominal supply.

    ``drop_v`` and ``return_drop_v`` are the greatest losses on either way; ``spread`` is what the
    weakest branch gets less than the strongest of its kind, as a share; ``options`` are other ways
    to feed, the drawn one first.
    """

    width_mm: float
    length_mm: float
    capacity_a: float
    copper_degc: float
    currents_a: tuple[float, ...]
    drop_v: float
    return_drop_v: float
    spread: float
    lightness_steps: float
    options: tuple[RailOption, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Power:
    """Where the power goes, in W; ``supply_w`` is the sum of the others."""

    supply_w: float
    leds_w: float
    ballasts_w: float
    guards_w: float
    rails_w: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Sample:
    """What random boards did: the middle, and what nine boards in ten stay between."""

    low: float
    middle: float
    high: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Sampling:
    """A seeded sampling of boards: supply, bin, tolerance, ambient and warming drawn at random.

    ``unlike`` is the share by which two branches of one board differ.
    """

    boards: int
    seed: int
    branch_a: Sample
    board_a: Sample
    unlike: Sample


@dataclass(frozen=True, slots=True, kw_only=True)
class RunTime:
    """How long a battery lasts, and how the light fades.

    ``ages`` pairs hours with the share of the first light; ``left`` is the share of the charge
    that remains when the light goes out.
    """

    hours: float
    charge_ah: float
    mean_a: float
    left: float
    ends_by: str
    ages: tuple[tuple[float, float], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Illumination:
    """Light on a plane and on a diffuser; parts that were not asked for are None.

    ``order`` is m of the cosine-power law; ``along_lx`` and ``across_lx`` pair a place (mm from the
    middle) with the illuminance.
    """

    axis_cd: float
    flux_lm: float
    order: float = 1.0
    plane_mm: float | None = None
    middle_lx: float | None = None
    along_lx: tuple[tuple[float, float], ...] = ()
    across_lx: tuple[tuple[float, float], ...] = ()
    diffuser_mm: float | None = None
    evenness: float | None = None
    end_share: float | None = None
    pitch_for_evenness_mm: float | None = None
    diffuser_for_evenness_mm: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Operation:
    """What the board does on its real rails, over the whole range.

    ``measured_…`` is what the board ought to draw at the supply of ``[built]``; 0 when nothing was
    measured. ``changes`` gives, for a rule's code, the changes that would pass.
    """

    rails: Rails
    power: Power
    worst_power_w: float
    worst_w_per_cm2: float
    efficiency: float
    connector_worst_w: float
    sampling: Sampling
    run_time: RunTime | None
    illumination: Illumination | None
    measured_low_a: float = 0.0
    measured_nominal_a: float = 0.0
    measured_high_a: float = 0.0
    changes: dict[str, tuple[Change, ...]] = field(default_factory=dict)
