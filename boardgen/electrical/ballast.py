"""The ballast of a branch: value, corners, heat."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from boardgen import units
from boardgen.electrical.cooling import balance_degc
from boardgen.electrical.leds import State, at_temperature, bins, cold, settled, through
from boardgen.errors import Change, RefusalError
from boardgen.model.circuit import Ballast, BranchKind, Corner, Feed
from boardgen.model.parameters import Parameters
from boardgen.model.parts import Emitter, LedPart
from boardgen.standards.diode import REFERENCE_DEGC
from boardgen.standards.preferred_values import next_near, next_up
from boardgen.standards.resistors import derating
from boardgen.tolerances import SAME_SHARE

LEAST_OHM = 1e-6
"""A ballast of less is none: what float noise leaves where supply and LEDs are alike."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Cut:
    """How a board's LEDs are cut into branches: LEDs in each kind, and branches of that kind."""

    leds: int
    branches: int


def branch_kinds(
    parameters: Parameters,
    feed: Feed,
    cuts: Mapping[Emitter, Sequence[Cut]],
    cooling_k_per_w: float,
) -> dict[Emitter, tuple[BranchKind, ...]]:
    """Size branches of so many LEDs, one kind for each count of each channel, all at once.

    Wanted value R = (Vs − S·Vf)/I at nominal, with the typical Vf at that current and 25 °C. The
    lowest corner: lowest supply, greatest Vf, highest resistance, coldest ambient, just switched
    on; the nominal one: typical, junctions at 25 °C as data sheets measure; the highest: highest
    supply, least Vf, lowest resistance, warmed up on a board that all heat together warms above the
    warmest air, ``cooling_k_per_w`` for each watt.

    Raises
    ------
    RefusalError
        When a drawer holds no value that is large enough.
    """
    every = [_sized(parameters, feed, emitter, counted) for emitter, counted in cuts.items()]

    def heat_w(degc: float) -> float:
        drawn = (float(one.branches @ one.at_board(degc).current_a) for one in every)
        return parameters.parts.supply.high_v * sum(drawn)

    warm = balance_degc(parameters.board.ambient_degc, cooling_k_per_w, heat_w)
    return {one.emitter: _kinds(parameters, one, warm) for one in every}


def wanted_ohm(emitter: Emitter, feed: Feed, leds: int) -> float:
    """Find the ballast that gives the current asked for at nominal."""
    typical = float(bins(emitter.led).typical.voltage_v(emitter.current_a))
    return (feed.nominal_v - leds * typical) / emitter.current_a


def highest_vf_v(parameters: Parameters, emitter: Emitter) -> float:
    """Find the greatest forward voltage at the current asked for, in the cold."""
    led = emitter.led
    most = at_temperature(bins(led).most, led, parameters.board.ambient_low_degc)
    return float(most.voltage_v(emitter.current_a))


@dataclass(frozen=True, slots=True, kw_only=True)
class _Sized:
    """The branches of one channel with their ballasts chosen: an entry for each number of LEDs."""

    emitter: Emitter
    feed: Feed
    leds: npt.NDArray[np.float64]
    branches: npt.NDArray[np.intp]
    wanted: Sequence[float]
    chosen: Sequence[tuple[float, str]]
    high_ohm: npt.NDArray[np.float64]

    def at_board(self, degc: float) -> State:
        """Find what flows at the highest corner on a board so warm."""
        led = self.emitter.led
        least = bins(led).least
        return settled(least, led, self.feed.high_v, self.leds, self.high_ohm, degc)


def _sized(parameters: Parameters, feed: Feed, emitter: Emitter, cuts: Sequence[Cut]) -> _Sized:
    resistor, counts = parameters.resistor, [cut.leds for cut in cuts]
    wanted = [wanted_ohm(emitter, feed, leds) for leds in counts]
    chosen = [_choose(parameters, ohms, leds) for ohms, leds in zip(wanted, counts, strict=True)]
    ohms = np.array([ohms * resistor.per_branch for ohms, _ in chosen])
    return _Sized(
        emitter=emitter,
        feed=feed,
        leds=np.array(counts, dtype=float),
        branches=np.array([cut.branches for cut in cuts]),
        wanted=wanted,
        chosen=chosen,
        high_ohm=ohms * (1 - resistor.tolerance),
    )


def _kinds(parameters: Parameters, sized: _Sized, warm: float) -> tuple[BranchKind, ...]:
    led, curves, feed, leds = sized.emitter.led, bins(sized.emitter.led), sized.feed, sized.leds
    board, tolerance = parameters.board, parameters.resistor.tolerance
    nominal = np.array([ohms * parameters.resistor.per_branch for ohms, _ in sized.chosen])
    low, high = nominal * (1 + tolerance), sized.high_ohm
    lowest = cold(curves.most, led, feed.low_v, leds, low, board.ambient_low_degc)
    usual = cold(curves.typical, led, feed.nominal_v, leds, nominal, REFERENCE_DEGC)
    highest = sized.at_board(warm)
    # An LED is warmest where it takes half the supply, which no end of its bin need be.
    vf = led.data.vf
    levels = np.linspace(vf.min_v, vf.max_v, _LEVELS)[:, np.newaxis]
    every = settled(through(led, levels), led, feed.high_v, leds, high, warm)
    warmest = _columns_of(every, np.argmax(every.junction_degc, axis=0))
    return tuple(
        _kind(
            parameters, sized, place,
            _corner("lowest", feed.low_v, lowest, leds, low, board.ambient_low_degc, place),
            _corner("nominal", feed.nominal_v, usual, leds, nominal, REFERENCE_DEGC, place),
            _corner("highest", feed.high_v, highest, leds, high, warm, place),
            _corner("hottest", feed.high_v, warmest, leds, high, warm, place),
        )
        for place in range(len(leds))
    )  # fmt: skip


_LEVELS = 33


def _columns_of(states: State, rows: npt.NDArray[np.intp]) -> State:
    """Take from each column, a number of LEDs, the row that was chosen for it."""
    columns = np.arange(len(rows))
    return State(
        current_a=states.current_a[rows, columns],
        vf_v=states.vf_v[rows, columns],
        junction_degc=states.junction_degc[rows, columns],
    )


def _corner(
    name: str,
    supply_v: float,
    state: State,
    leds: npt.NDArray[np.float64],
    ohms: npt.NDArray[np.float64],
    ambient_degc: float,
    place: int,
) -> Corner:
    return Corner(
        name=name,
        supply_v=supply_v,
        vf_v=float(state.vf_v[place] * leds[place]),
        resistance_ohm=float(ohms[place]),
        current_a=float(state.current_a[place]),
        ambient_degc=ambient_degc,
        junction_degc=float(state.junction_degc[place]),
    )


def _kind(
    parameters: Parameters,
    sized: _Sized,
    place: int,
    low: Corner,
    nominal: Corner,
    high: Corner,
    hottest: Corner,
) -> BranchKind:
    rating = parameters.resistor.rating_w or parameters.parts.resistor.rating_w
    count, leds, emitter = parameters.resistor.per_branch, int(sized.leds[place]), sized.emitter
    value_ohm, choice = sized.chosen[place]
    return BranchKind(
        led=emitter.led,
        wanted_a=emitter.current_a,
        channel=emitter.name,
        leds=leds,
        ballast=Ballast(
            wanted_ohm=sized.wanted[place],
            value_ohm=value_ohm,
            choice=choice,
            rating_w=rating,
            derated_w=rating * derating(high.ambient_degc),
            worst_w=high.ballast_w / count,
            count=count,
        ),
        low=low,
        nominal=nominal,
        high=high,
        hottest=hottest,
        headroom_low_v=sized.feed.low_v - leds * highest_vf_v(parameters, emitter),
        most_a=_most_a(emitter.led, high, leds),
        hottest_most_a=_most_a(emitter.led, hottest, leds),
    )


def _most_a(led: LedPart, corner: Corner, leds: int) -> float:
    """Derate the LED's greatest current: what keeps its junction within bounds on a warm board."""
    shape, vf_v = led.shape, corner.vf_v / leds
    room_k = max(0.0, shape.max_junction_degc - corner.ambient_degc)
    return min(led.data.max_current_a, room_k / (shape.thermal_k_per_w * vf_v))


def _choose(parameters: Parameters, wanted: float, leds: int) -> tuple[float, str]:
    """Choose the value of each resistor, so that together they are what is wanted."""
    resistor = parameters.resistor
    each = wanted / resistor.per_branch
    of = f", {resistor.per_branch} in series" if resistor.per_branch > 1 else ""
    nearest = resistor.round == "nearest"
    if not resistor.drawer:
        if nearest:
            return next_near(each, resistor.series), f"nearest value in {resistor.series}{of}"
        return next_up(each, resistor.series), f"next value up in {resistor.series}{of}"
    if nearest:
        value = min(resistor.drawer, key=lambda value: (abs(math.log(value / each)), value))
        return value, f"nearest value in the drawer{of}"
    fitting = [value for value in resistor.drawer if value >= each * (1 - SAME_SHARE)]
    if fitting:
        return min(fitting), f"next value up in the drawer{of}"
    raise RefusalError(
        parameters.problem(
            "resistor.drawer",
            what=f"a branch of {leds} needs at least {units.resistance(round(each, 1))}, but the"
            f" drawer ends at {units.resistance(max(resistor.drawer))}",
            remedy="or lower the current",
            offers=(
                Change(path="resistor.drawer", value=_drawer_text(resistor.drawer, each)),
                *(
                    Change(path="resistor.per_branch", value=f"{count}")
                    for count in range(resistor.per_branch + 1, _MOST_PER_BRANCH + 1)
                ),
            ),
        )
    )


_MOST_PER_BRANCH = 3


def _drawer_text(drawer: Sequence[float], each_ohm: float) -> str:
    """Write a drawer with the next value of E12 added that is large enough."""
    values = sorted({*drawer, next_up(each_ohm, "E12")})
    return "[" + ", ".join(f'"{value:g}R"' for value in values) + "]"
