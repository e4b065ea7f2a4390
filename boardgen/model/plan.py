"""What a form asks of every later stage, which need not know the form itself."""

import math
from collections.abc import Callable
from dataclasses import dataclass

from boardgen.model.outline import Outline
from boardgen.model.pose import Point, Pose
from boardgen.model.spine import Spine


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

    @property
    def paced(self) -> bool:
        """Whether the pitch stands in the file, and does not follow from places or a number."""
        return self.pitch.endswith(".pitch")


@dataclass(frozen=True, slots=True, kw_only=True)
class Measure:
    """A measure that a file may give, or leave to boardgen, and that may leave parts no room.

    ``key`` is its name in the file, ``field`` in the form's section; ``grows`` tells whether more
    of it makes room, or less; ``tight`` says what is wrong when it does not.
    """

    key: str
    field: str
    grows: bool
    tight: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Sketch:
    """A board in outline: its edge, the lines of its LEDs and their places along them.

    ``sites`` tell of each LED on which spine it stands and how far along. ``door`` lies on the edge
    where the supply comes in and faces inwards. Rails run on the side of ``rail_side``: 1 is to the
    left of the spines; ``fed`` is the spine whose rail the supply meets first; ``size_mm``
    is the size that was drawn; ``turned_deg`` how far the board is turned from the file's own
    coordinates. Screws sit at ``screws`` and at ``free_sites``, as far off the line as rails ask.
    ``far_door`` lies on the edge where the next board is joined, and faces inwards too.
    """

    outline: Outline
    spines: tuple[Spine, ...]
    sites: tuple[tuple[int, float], ...]
    door: Pose
    rail_side: int
    screws: tuple[Point, ...] = ()
    free_sites: tuple[tuple[int, float], ...] = ()
    far_door: Pose | None = None
    fed: int = 0
    size_mm: float = 0.0
    turned_deg: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """Where LEDs may stand.

    ``chains`` are the numbers of sites on each line of LEDs, in reading order; branches never span
    two of them. ``pitch_mm`` is from site to site, ``between_mm`` from chain to chain where that
    was asked for.

    ``inwards_deg`` is the way the supply runs as it comes in; along rows at a quarter turn.

    Where LEDs do not stand in rows, ``sketch`` draws the board at a size of its edge: ``size_mm``
    is the size that was asked for, ``least_mm`` one that holds the spine, ``most_mm`` the largest
    that can be drawn; ``measures`` are those that a file may give, the edge's first; ``current``
    says in words which way round the current flows, and nothing where it flows many ways.
    ``deeper``, where there is one, draws it at a size with the door's side moved outwards;
    ``routed`` says that tracks have to find their ways even where there is but one line;
    ``named`` that an edge which may grow does so for the names of parts too; ``area`` that LEDs
    are spread over an area, which is to look even all over; ``bent`` that the edge has the bends of
    the LEDs' line; ``spared`` that sites of it are left free, and chains are what lies between:
    it is ``stretch`` times as long as its LEDs ask for;
    ``goes_round`` that this line ends where it begins.
    """

    chains: tuple[int, ...]
    pitch_mm: float
    between_mm: float | None
    keys: Keys
    inwards_deg: float
    sketch: Callable[[float], Sketch] | None = None
    deeper: Callable[[float, float], Sketch] | None = None
    size_mm: float | None = None
    least_mm: float = 0.0
    most_mm: float = math.inf
    measures: tuple[Measure, ...] = ()
    current: str = "→"
    routed: bool = False
    named: bool = False
    area: bool = False
    bent: bool = False
    spared: bool = False
    stretch: float = 1.0
    goes_round: bool = False

    @property
    def scattered(self) -> bool:
        """Whether LEDs stand on several lines of a sketch: tracks have to find their ways."""
        if self.sketch is None:
            return False
        return self.routed or len(self.sketch(self.least_mm).spines) > 1

    @property
    def longest(self) -> int:
        """The sites of the longest chain."""
        return max(self.chains)

    @property
    def starts(self) -> tuple[int, ...]:
        """The number of each chain's first site, from 0 in reading order."""
        return tuple(sum(self.chains[:place]) for place in range(len(self.chains)))
