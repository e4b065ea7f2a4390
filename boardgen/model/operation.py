"""What the board will do, told after layout: reported, never fed back."""

from dataclasses import dataclass


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
    to feed, the drawn one first. Where ``poured`` the supply comes by a pour, and width and length
    are those of the tracks between its vias and the ballasts. ``boards_a`` are the currents of
    boards that are joined, the first one's first, ``far_v`` what is left at the last one's far end;
    drops are on the first one. ``between_a`` are the least and the most that branches get, of the
    kind that differs most, on any board.
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
    poured: bool = False
    boards_a: tuple[float, ...] = ()
    far_v: float = 0.0
    between_a: tuple[float, float] = (0.0, 0.0)


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
    """A seeded sampling of boards: supply, LEDs, tolerance, ambient and warming drawn at random.

    ``unlike`` is the share by which two branches of one board differ.
    """

    boards: int
    seed: int
    branch_a: Sample
    board_a: Sample
    unlike: Sample


LIGHT_OUT = "the light goes out"
"""What ends a run time, other than the battery's own end."""


@dataclass(frozen=True, slots=True, kw_only=True)
class RunTime:
    """How long a battery lasts, and how the light fades.

    ``ages`` pairs hours with the share of the first light; ``left`` is the share of the charge
    that remains at its end.
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

    ``order`` is m of the cosine-power law, of the narrowest beam; ``along_lx`` and ``across_lx``
    pair a place (mm from the middle) with the illuminance; ``use_lx`` is that below the middle at
    the use's own distance; ``spread`` tells that evenness is that of spots between LEDs, not of an
    endless row; ``sources`` are the LEDs: x and y in mm, axis in cd, order of the beam.
    """

    axis_cd: float
    flux_lm: float
    order: float = 1.0
    use_lx: float | None = None
    plane_mm: float | None = None
    middle_lx: float | None = None
    along_lx: tuple[tuple[float, float], ...] = ()
    across_lx: tuple[tuple[float, float], ...] = ()
    diffuser_mm: float | None = None
    evenness: float | None = None
    end_share: float | None = None
    pitch_for_evenness_mm: float | None = None
    diffuser_for_evenness_mm: float | None = None
    spread: bool = False
    sources: tuple[tuple[float, float, float, float], ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Band:
    """Between which values a measured one ought to lie, and the usual one."""

    low: float
    nominal: float
    high: float

    def holds(self, value: float) -> bool:
        """Tell whether a value lies within."""
        return self.low <= value <= self.high


@dataclass(frozen=True, slots=True, kw_only=True)
class Expected:
    """What a meter shows on a sound board at a measured supply, branch by branch.

    ``resistors_ohm`` is what each branch's ballast measures with the supply unplugged, ``leds_v``
    what stands across each of a branch's LEDs, ``supply_v`` what the supply may show, ``at_v`` what
    it was taken to give.
    """

    at_v: float

    supply_v: Band
    board_a: Band
    ballasts_v: tuple[Band, ...]
    resistors_ohm: tuple[Band, ...]
    leds_v: tuple[Band, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Operation:
    """What the board does on its real rails, over the whole range.

    ``bench`` is what a meter ought to show at the nominal supply, ``expected`` the same at the
    supply of ``[built]``; None when nothing was measured.
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
    bench: Expected
    expected: Expected | None = None
