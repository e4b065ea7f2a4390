"""What a form asks of every later stage, which need not know the form itself."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Keys:
    """The keys of the parameter file behind a plan's measures: what rules and offers name.

    ``along`` and ``across`` give the board more room in a chain's direction and square to it,
    ``between`` from chain to chain; ``whole`` is the form's section.
    """

    whole: str
    pitch: str
    along: str
    across: str
    between: str
    corner: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """Where LEDs may stand.

    ``chains`` are the numbers of sites on each line of LEDs, in reading order; branches never span
    two of them. ``pitch_mm`` is from site to site, ``between_mm`` from chain to chain where that
    was asked for.
    """

    chains: tuple[int, ...]
    pitch_mm: float
    between_mm: float | None
    keys: Keys

    @property
    def longest(self) -> int:
        """The sites of the longest chain."""
        return max(self.chains)

    @property
    def starts(self) -> tuple[int, ...]:
        """The number of each chain's first site, from 0 in reading order."""
        return tuple(sum(self.chains[:place]) for place in range(len(self.chains)))
