"""The circuit that ``electrical`` decides: branches, ballasts, corners, rail."""

from dataclasses import dataclass
from enum import StrEnum

from boardgen.model.limits import Limits
from boardgen.model.parts import LedPart, SupplyRange

DARK_SHARE = 0.1
"""A light that gives a tenth of its nominal current counts as out: own choice."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Corner:
    """A branch at one end of everything: what drives it, what flows, what gets warm.

    ``supply_v`` is the voltage at the rail, ``vf_v`` the sum of the LEDs' forward voltages at the
    current that flows, so that I = (Vs − ΣVf) / R holds; ``resistance_ohm`` is the whole ballast.
    """

    name: str
    supply_v: float
    vf_v: float
    resistance_ohm: float
    current_a: float
    ambient_degc: float
    junction_degc: float

    def led_w(self, leds: int) -> float:
        """Tell the heat in each LED; light is counted as heat."""
        return self.vf_v / leds * self.current_a

    @property
    def ballast_w(self) -> float:
        """The heat in the whole ballast."""
        return self.current_a**2 * self.resistance_ohm


@dataclass(frozen=True, slots=True, kw_only=True)
class Ballast:
    """The ballast of a branch, of ``count`` equal resistors in series.

    ``wanted_ohm`` is for the whole, the rest for each resistor: value, rating at 70 °C, what is
    left of it at the ambient, and the heat that it has to stand at worst.
    """

    wanted_ohm: float
    value_ohm: float
    choice: str
    rating_w: float
    derated_w: float
    worst_w: float
    count: int = 1

    def allowed_w(self, limits: Limits) -> float:
        """Tell what the house lets a resistor turn into heat."""
        return limits.resistor_share * self.derated_w


def _share_of_most(corner: tuple[Corner, float]) -> float:
    state, most_a = corner
    return state.current_a / most_a if most_a else float("inf")


@dataclass(frozen=True, slots=True, kw_only=True)
class BranchKind:
    """Branches that are electrically alike: so many LEDs of a channel behind one ballast.

    ``wanted_a`` is the current asked for; ``channel`` names the channel, where there are several.
    ``headroom_low_v`` is what the lowest supply leaves for the ballast when the current asked for
    flows through the highest forward voltages. ``hottest`` is the state at the highest supply with
    the warmest junction, of whatever forward voltage; ``most_a`` and ``hottest_most_a`` are the
    LED's greatest currents at the warmest ambient, at the forward voltages of ``high`` and of it.
    """

    led: LedPart
    wanted_a: float
    leds: int
    ballast: Ballast
    low: Corner
    nominal: Corner
    high: Corner
    hottest: Corner
    headroom_low_v: float
    most_a: float
    hottest_most_a: float
    channel: str = ""

    @property
    def of(self) -> str:
        """What its branches are of: "3", or "3 red" beside those of other channels."""
        return f"{self.leds} {self.channel}".rstrip()

    @property
    def led_corner(self) -> tuple[Corner, float]:
        """The corner at which LEDs carry the largest share of what they may, and that most."""
        return max(
            (self.high, self.most_a), (self.hottest, self.hottest_most_a), key=_share_of_most
        )

    @property
    def led_load(self) -> float:
        """What the LEDs carry at worst, as a share of their greatest current."""
        return _share_of_most(self.led_corner)

    @property
    def spread(self) -> float:
        """How many times the lowest current the highest is; infinite when a branch goes dark."""
        return self.high.current_a / self.low.current_a if self.low.current_a else float("inf")


@dataclass(frozen=True, slots=True, kw_only=True)
class Arrangement:
    """One way to put the LEDs in series and in parallel, with what it costs; rank 1 is the best.

    ``faults`` are past what the house likes, ``errors`` tells whether one is past what is possible;
    ``load`` is the greatest share of what LEDs and resistors bear.
    """

    in_series: int
    branches: int
    leftover: int
    resistors: int
    low_a: float
    nominal_a: float
    high_a: float
    spread: float
    efficiency: float
    headroom_low_v: float
    short_of_headroom: bool
    ranks: tuple[int, int, int, int] = (0, 0, 0, 0)
    faults: tuple[str, ...] = ()
    errors: bool = False
    load: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Cooling:
    """How a board gets rid of its heat: where the heat lies, and how far copper carries it.

    ``heated_mm`` is the stretch that holds LEDs and ballasts, along and across; ``kept`` are the
    shares of its own rise that it keeps, given the plain board beyond it; ``k_per_w`` is how much
    warmer than the air each watt makes the middle: 0 as long as nothing is laid out.
    """

    heated_mm: tuple[float, float] = (0.0, 0.0)
    kept: tuple[float, float] = (0.0, 0.0)
    k_per_w: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Warmth:
    """How warm the whole board gets at the highest corner; light is counted as heat.

    ``settled`` tells whether the board that was drawn is as warm as it was sized for.
    """

    air_degc: float
    cooling: Cooling
    heat_w: float
    board_degc: float
    settled: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class Feed:
    """The supply as it arrives at the rail: less what guards in the line take."""

    low_v: float
    nominal_v: float
    high_v: float
    drop_v: tuple[float, float, float] = (0.0, 0.0, 0.0)


class NetRole(StrEnum):
    """What a net is for."""

    INPUT = "input"
    SUPPLY = "supply"
    BRANCH = "branch"
    RETURN = "return"


@dataclass(frozen=True, slots=True, kw_only=True)
class Net:
    """What is joined: between connector and rail, the rail, within a branch, or 0 V.

    ``channel`` names the channel that a branch's net belongs to, where there are several.
    """

    name: str
    role: NetRole
    channel: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Inlet:
    """The supply's way in: the connector, and what the current passes up to the rail.

    ``guards`` are in their order, the ``switch`` is the last; ``nets`` lie before, between and
    behind these parts: from the connector's + to the rail.
    """

    connector: str
    guards: tuple[str, ...]
    switch: str | None
    nets: tuple[Net, ...]

    @property
    def parts(self) -> tuple[str, ...]:
        """What the current passes, from the connector on."""
        return (*self.guards, *((self.switch,) if self.switch else ()))

    def around(self, reference: str) -> tuple[str, str]:
        """Name the nets before and behind one of its parts; ValueError when it has no such part."""
        place = self.parts.index(reference)
        return (self.nets[place].name, self.nets[place + 1].name)


@dataclass(frozen=True, slots=True, kw_only=True)
class Branch:
    """One branch: its number (from 1, in reading order), its kind, its parts and what joins them.

    ``first_site`` is the place of its first LED among all the light's, from 0 in reading order;
    ``ballasts`` and ``leds`` are in the order in which the current passes them, and ``nets`` lie
    before, between and behind them: from the supply to the return.
    """

    number: int
    first_site: int
    kind: BranchKind
    ballasts: tuple[str, ...]
    leds: tuple[str, ...]
    nets: tuple[Net, ...]

    @property
    def parts(self) -> tuple[str, ...]:
        """Its resistors and LEDs, from the supply on."""
        return (*self.ballasts, *self.leds)

    def around(self, reference: str) -> tuple[str, str]:
        """Name the nets before and behind one of its parts; ValueError when it has no such part."""
        place = self.parts.index(reference)
        return (self.nets[place].name, self.nets[place + 1].name)

    @property
    def inner_nets(self) -> tuple[str, ...]:
        """Name what joins its own parts only, from the ballast on."""
        return tuple(net.name for net in self.nets if net.role is NetRole.BRANCH)


@dataclass(frozen=True, slots=True, kw_only=True)
class Channel:
    """LEDs of one kind that are driven alike: which, how many in series and why, at which current.

    ``kinds`` are those of its branches, the longest first; ``branches`` are in reading order.
    """

    name: str
    led: LedPart
    current_a: float
    in_series: int
    in_series_reason: str
    arrangements: tuple[Arrangement, ...]
    kinds: tuple[BranchKind, ...]
    branches: tuple[Branch, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Rail:
    """How wide the supply rail should be, and why.

    ``drop_mm`` is asked for by branches of ``kind``, of which ``sections`` stand in a row.
    """

    current_a: float
    heat_mm: float
    drop_mm: float
    kind: BranchKind
    sections: int
    width_mm: float
    reason: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Circuit:
    """What is connected to what, with every value decided.

    ``boards`` alike are joined to a chain, whose currents together are ``nominal_a`` and at most
    ``worst_a``: what the supply gives, and the first board's way in and rail carry.
    """

    supply: SupplyRange
    feed: Feed
    channels: tuple[Channel, ...]
    inlet: Inlet
    nominal_a: float
    worst_a: float
    warmth: Warmth
    rail: Rail
    boards: int = 1

    @property
    def whole(self) -> str:
        """What its currents are of, in words."""
        return "the board" if self.boards == 1 else f"all {self.boards} boards"

    @property
    def draws(self) -> str:
        """Begin a sentence on its currents."""
        return f"{self.whole} {'draws' if self.boards == 1 else 'draw'}"

    @property
    def through_a(self) -> float:
        """What flows through the first joint at worst: the currents of all boards behind it."""
        return self.worst_a * (self.boards - 1) / self.boards

    @property
    def branches(self) -> tuple[Branch, ...]:
        """All branches, in reading order."""
        every = (branch for channel in self.channels for branch in channel.branches)
        return tuple(sorted(every, key=lambda branch: branch.number))

    @property
    def kinds(self) -> tuple[BranchKind, ...]:
        """All kinds of branches, channel by channel."""
        return tuple(kind for channel in self.channels for kind in channel.kinds)

    def places(self, kind: BranchKind) -> list[int]:
        """List the places of a kind's branches among all."""
        return [place for place, branch in enumerate(self.branches) if branch.kind is kind]

    def branch_of(self, reference: str) -> Branch:
        """Find the branch that a resistor or LED belongs to; KeyError when it belongs to none."""
        for branch in self.branches:
            if reference in branch.parts:
                return branch
        raise KeyError(reference)


SUPPLY_NET = "V+"
INPUT_NET = "IN+"
"""Between connector and the first part of the supply line; without such there is none."""

RETURN_NET = "0V"
UNCONNECTED = "N/C"
"""A land of no net, as the Gerber specification writes it (5.6.13)."""
