"""Lands of chips from body dimensions.

Source: the equations of IPC-7351B as recorded in docs/sources.md, land patterns: Z and X from
memory, confident; G as quoted by a practitioner; S by "variant 1", whose results meet two published
tables. The standard itself was not read: the method is followed as recorded there.
"""

import math
from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Goals:
    """Fillets wanted at toe, heel and side, room around the courtyard, and the two tolerances."""

    toe_mm: float
    heel_mm: float
    side_mm: float
    courtyard_mm: float
    fabrication_mm: float
    placement_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class ChipBody:
    """A chip's body and end terminations, least and greatest, in mm."""

    length_mm: tuple[float, float]
    width_mm: tuple[float, float]
    termination_mm: tuple[float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class ChipLands:
    """Overall length Z, gap G and width X of a pair of lands, in mm."""

    overall_mm: float
    gap_mm: float
    width_mm: float

    @property
    def land_mm(self) -> float:
        """Length of one land along the part."""
        return (self.overall_mm - self.gap_mm) / 2

    @property
    def centres_mm(self) -> float:
        """Distance of the two land centres."""
        return (self.overall_mm + self.gap_mm) / 2


def chip_lands(body: ChipBody, goals: Goals) -> ChipLands:
    """Find the lands of a two-terminal chip.

    Parameters
    ----------
    body : ChipBody
        Limits of length, width and termination.
    goals : Goals
        Fillets and tolerances of the density level.

    Returns
    -------
    ChipLands
        Unrounded.
    """
    (l_min, l_max), (w_min, w_max), (t_min, t_max) = (
        body.length_mm,
        body.width_mm,
        body.termination_mm,
    )
    c_l, c_w, c_t = l_max - l_min, w_max - w_min, t_max - t_min
    c_s_rms = math.sqrt(c_l**2 + 2 * c_t**2)
    s_min = l_min - 2 * t_max
    slack = goals.fabrication_mm**2 + goals.placement_mm**2
    return ChipLands(
        overall_mm=l_min + 2 * goals.toe_mm + math.sqrt(c_l**2 + slack),
        gap_mm=s_min + c_s_rms - 2 * goals.heel_mm - math.sqrt(c_s_rms**2 + slack),
        width_mm=w_min + 2 * goals.side_mm + math.sqrt(c_w**2 + slack),
    )
