"""What may mend a fault of the circuit, in the order in which an engineer would take it.

Another part from the catalogue or the drawer, another arrangement, more room, less current; never a
fact of the world such as the supply's volts. Each is found by a quick look at the circuit alone;
whether the whole board passes is tried afterwards.
"""

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from itertools import islice

from boardgen import units
from boardgen.checks import verdicts
from boardgen.electrical.leds import bins
from boardgen.electrical.size import size
from boardgen.errors import Change, RefusalError
from boardgen.model.circuit import Circuit, Cooling
from boardgen.model.parameters import Parameters
from boardgen.model.parts import Emitter, Guard, SupplyKind
from boardgen.model.sections import EXTRA_LOW_VOLTAGE_V
from boardgen.reading import catalogue, footprints, guards
from boardgen.standards.photometry import candela_per_ampere
from boardgen.standards.preferred_values import between
from boardgen.tolerances import SAME_SHARE

Verdict = Callable[[Parameters, Circuit], object]
"""Whether a rule finds something: anything that counts as true is a finding."""

_RATING_STEP_W = 0.001
_FINE_A, _COARSE_A, _COARSE_FROM_A = 0.00001, 0.0001, 0.001
_MOST_PER_BRANCH = 3
_MOST_SERIES = 2
"""So many arrangements are tried on the whole board, which costs more than a look."""
_RAISED = 2.0
"""Raised series of a size carry up to so many times the lower rating, read in a secondary page."""
_HALF = 0.5
"""With less than half the current a board is another one."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Look:
    """A circuit that a rule holds something against, and that rule's verdict."""

    parameters: Parameters
    circuit: Circuit
    verdict: Verdict

    @property
    def emitter(self) -> Emitter:
        """What the section ``light`` asks for."""
        return self.parameters.parts.emitters[0]

    @property
    def in_series(self) -> int:
        """How many of its LEDs stand in series."""
        return self.circuit.channels[0].in_series

    @property
    def cooling(self) -> Cooling:
        """How the board as drawn gets rid of its heat."""
        return self.circuit.warmth.cooling

    def passes(self, **sections: object) -> bool:
        """Tell whether a circuit of changed sections has nothing against it."""
        return self._holds(replace(self.parameters, **sections))  # type: ignore[arg-type] # by name

    def passes_with(self, **parts: object) -> bool:
        """Tell whether a circuit of other parts has nothing against it."""
        return self._holds(self.parameters.with_parts(**parts))

    def _holds(self, changed: Parameters) -> bool:
        try:
            return not self.verdict(changed, size(changed, self.cooling))
        except RefusalError:
            return False


def circuit_offers(code: str, parameters: Parameters, circuit: Circuit) -> Iterator[Change]:
    """List changes that may mend what a rule of the circuit found, the best first.

    The keys of ``light`` describe one channel: of several, none of them is offered.
    """
    if code in _WAYS:
        verdict, ways = _WAYS[code]
        look = Look(parameters=parameters, circuit=circuit, verdict=verdict)
        several = len(parameters.parts.emitters) > 1
        for change in (change for way in ways for change in way(look)):
            if not (several and change.path.startswith("light.")):
                yield change


def _larger_resistor(look: Look) -> Iterator[Change]:
    """Offer the next size that carries the heat; a stated rating goes with the size it was for."""
    parameters = look.parameters
    hottest = max(look.circuit.kinds, key=lambda kind: kind.ballast.worst_w).ballast
    share = hottest.allowed_w(parameters.parts.limits) / hottest.rating_w
    stated = parameters.resistor.rating_w is not None
    for name, rating in parameters.parts.resistor.larger:
        if rating * share >= hottest.worst_w:
            also = (Change(path="resistor.rating", value='"auto"'),) if stated else ()
            yield Change(path="resistor.size", value=f'"{name}"', also=also)
            return


def _more_in_ballast(look: Look) -> Iterator[Change]:
    resistor = look.parameters.resistor
    for count in range(resistor.per_branch + 1, _MOST_PER_BRANCH + 1):
        if look.passes(resistor=replace(resistor, per_branch=count)):
            yield Change(path="resistor.per_branch", value=f"{count}")
            return


def _other_drawer(look: Look) -> Iterator[Change]:
    """Offer the next value of E12 above the drawer's choice that is large enough."""
    resistor = look.parameters.resistor
    if not resistor.drawer:
        return
    taken = max(kind.ballast.value_ohm for kind in look.circuit.kinds)
    for value in between(taken * (1 + SAME_SHARE), taken * 10, "E12"):
        if look.passes(resistor=replace(resistor, drawer=(value,))):
            yield Change(path="resistor.drawer", value=f'["{value:g}R"]', note="a value to buy")
            return


def _higher_rating(look: Look) -> Iterator[Change]:
    """Offer a raised series of the same size."""
    parameters = look.parameters
    hottest = max(look.circuit.kinds, key=lambda kind: kind.ballast.worst_w).ballast
    share = hottest.allowed_w(parameters.parts.limits) / hottest.rating_w
    if share <= 0:
        return

    def passes(milliwatts: int) -> bool:
        rating = milliwatts * _RATING_STEP_W
        return look.passes(resistor=replace(parameters.resistor, rating_w=rating))

    least = round(units.up_to_step(hottest.worst_w / share, _RATING_STEP_W) / _RATING_STEP_W)
    while least > 1 and passes(least - 1):
        least -= 1
    if least * _RATING_STEP_W <= _RAISED * parameters.parts.resistor.rating_w:
        note = "a resistor whose data sheet says so"
        yield Change(path="resistor.rating", value=f'"{least} mW"', note=note)


def _other_series(look: Look) -> Iterator[Change]:
    """Offer other numbers of LEDs in series, those that boardgen ranks best first."""
    light = look.parameters.light
    ways = (way.in_series for way in look.circuit.channels[0].arrangements)
    passing = (
        leds
        for leds in ways
        if leds != look.in_series and look.passes(light=replace(light, in_series=leds))
    )
    for leds in islice(passing, _MOST_SERIES):
        yield Change(path="light.in_series", value=f"{leds}")


def _fewer_in_series(look: Look) -> Iterator[Change]:
    light = look.parameters.light
    fewer = range(look.in_series - 1, 0, -1)
    passing = (leds for leds in fewer if look.passes(light=replace(light, in_series=leds)))
    if fewer:
        # The fewest may leave a warning where more are an error.
        yield Change(path="light.in_series", value=f"{next(passing, 1)}")


def _written_ratio(emitter: Emitter) -> float:
    """Tell what the file's current becomes: of an LED to look like, it is that one's."""
    if emitter.alike is None:
        return 1.0
    return candela_per_ampere(emitter.alike.data) / candela_per_ampere(emitter.led.data)


def _less_current(look: Look, least_share: float = 0.0) -> Iterator[Change]:
    """Offer the greatest smaller current that passes, in steps of 0.1 mA, or 10 uA below 1 mA."""
    ratio = _written_ratio(look.emitter)
    written = look.emitter.current_a / ratio
    step = _COARSE_A if written > _COARSE_FROM_A else _FINE_A

    def passes(steps: int) -> bool:
        other = replace(look.emitter, current_a=steps * step * ratio)
        return look.passes_with(emitters=(other,))

    high, low = math.ceil(written / step - SAME_SHARE), 0
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (middle, high) if passes(middle) else (low, middle)
    # Another arrangement may be chosen on the way: whatever passes next is smaller a change.
    while low and passes(low + 1):
        low += 1
    if low and least_share * written <= low * step < written:
        decimals = 1 if step == _COARSE_A else 2
        yield Change(path="light.current", value=f'"{low * step * 1000:.{decimals}f} mA"')


def _somewhat_less_current(look: Look) -> Iterator[Change]:
    yield from _less_current(look, least_share=_HALF)


def _more_cells(look: Look) -> Iterator[Change]:
    """Offer more cells; Li-ion cells in series want balancing and are no matter for learners."""
    supply, parameters = look.parameters.parts.supply, look.parameters
    if supply.kind not in (SupplyKind.PRIMARY, SupplyKind.RECHARGEABLE, SupplyKind.COIN):
        return
    lacking = parameters.parts.limits.headroom_v - min(k.headroom_low_v for k in look.circuit.kinds)
    each = supply.low_v / supply.cells
    cells = math.ceil((supply.low_v + lacking) / each - SAME_SHARE)
    note = "with a charger for as many" if supply.kind is SupplyKind.RECHARGEABLE else ""
    if supply.high_v / supply.cells * cells <= _most_v(parameters):
        yield Change(path="supply.cells", value=f"{cells}", note=note)


def _most_v(parameters: Parameters) -> float:
    """Tell the highest supply that this board and its guards may have."""
    gates = [guard.gate_v[1] for guard in parameters.parts.guards if guard.gate_v]
    bears = [guard.max_voltage_v for guard in parameters.parts.guards]
    return min([EXTRA_LOW_VOLTAGE_V, *bears, *gates])


def other_leds(emitter: Emitter) -> Iterator[Change]:
    """Offer LEDs of the same size that need less voltage, the nearest first."""
    mine, typical = emitter.led.data, bins(emitter.led).typical
    now_v = float(typical.voltage_v(emitter.current_a))
    others = {
        name: data
        for name, data in catalogue.leds().items()
        if data.size == mine.size and data.vf.typical_v < min(now_v, mine.vf.typical_v)
    }
    for name in sorted(others, key=lambda name: -others[name].vf.typical_v):
        yield Change(path="light.led", value=f'"{name}"', note="another colour")


def _other_led(look: Look) -> Iterator[Change]:
    yield from other_leds(look.emitter)


def _other_connector(look: Look) -> Iterator[Change]:
    """Offer the connector with the least rating that carries the current."""
    parameters = look.parameters
    limits, now = parameters.parts.limits, parameters.parts.connector
    parts = [
        footprints.connector_part(name, footprints.connector_poles(name)[0], limits)
        for name in footprints.connector_names()
    ]
    for part in sorted(parts, key=lambda part: part.rating_a):
        if part.rating_a > now.rating_a and not part.cell and look.passes_with(connector=part):
            yield Change(path="connector.kind", value=f'"{part.name}"')
            return


def _fewer_boards(look: Look) -> Iterator[Change]:
    """Offer the longest chain that is short enough."""
    joint = look.parameters.joint
    for boards in range(joint.boards - 1, 1, -1):
        if look.passes(joint=replace(joint, boards=boards)):
            yield Change(path="joint.boards", value=f"{boards}")
            return


def _shorter_chains(look: Look) -> Iterator[Change]:
    """Offer chains by one board shorter each, down to two."""
    for boards in range(look.parameters.joint.boards - 1, 1, -1):
        yield Change(path="joint.boards", value=f"{boards}")


def _other_switch(look: Look) -> Iterator[Change]:
    limits = look.parameters.parts.limits
    parts = [footprints.switch_part(name, limits) for name in footprints.switch_names()]
    for part in sorted(parts, key=lambda part: part.rating_a):
        if look.passes_with(switch=part):
            yield Change(path="connector.switch", value=f'"{part.name}"')
            return
    yield Change(path="connector.switch", value='"none"', note="with a switch in the wire")


def _other_guard(look: Look) -> Iterator[Change]:
    for name in guards.reverse_names():
        if look.passes_with(reverse=guards.guard(name)):
            yield Change(path="protection.reverse", value=f'"{name}"')
            return


def _other_fuse(look: Look) -> Iterator[Change]:
    """Offer the smallest fuse that bears the supply, holds, takes little and can open.

    Where all that can open take much, it is the one that takes least: the largest of them.
    """
    fuses = sorted(map(guards.guard, guards.fuse_names()), key=lambda part: part.rating_a)
    fused = [(fuse, circuit) for fuse in fuses if (circuit := _fused(look, fuse))]
    sparing = [
        fuse
        for fuse, circuit in fused
        if not verdicts.fuse_takes(look.parameters.with_parts(fuse=fuse), circuit)
    ]
    for fuse in sparing[:1] or [fuse for fuse, _ in fused[-1:]]:
        yield Change(path="protection.fuse", value=f'"{fuse.name}"')


def _no_fuse(look: Look) -> Iterator[Change]:
    """Offer to leave out a fuse that does nothing, where the source is too weak to need one."""
    if not look.parameters.parts.supply.strong:
        note = "this source is too weak to need one"
        yield Change(path="protection.fuse", value='"none"', note=note)


def _fused(look: Look, fuse: Guard) -> Circuit | None:
    """Size the circuit with a fuse that bears the supply, holds and can open; None when not."""
    fused = look.parameters.with_parts(fuse=fuse)
    if fuse.max_voltage_v < fused.parts.supply.high_v or look.circuit.worst_a > fuse.rating_a:
        return None
    try:
        circuit = size(fused, look.cooling)
    except RefusalError:
        return None
    useless = verdicts.fuse_trips(fused, circuit) or verdicts.fuse_never(fused)
    return None if useless else circuit


def _finer_series(look: Look) -> Iterator[Change]:
    resistor = look.parameters.resistor
    if resistor.drawer:
        return
    for series in ("E24", "E48", "E96"):
        if look.passes(resistor=replace(resistor, series=series)):
            yield Change(path="resistor.series", value=f'"{series}"')
            return


def _count_that_divides(look: Look) -> Iterator[Change]:
    light, rows = look.parameters.light, look.parameters.form.rows
    step = look.in_series * rows
    for count in (light.count // step * step, (light.count // step + 1) * step):
        if count and count != light.count:
            yield Change(path="light.count", value=f"{count}")


def _thicker_copper(look: Look) -> Iterator[Change]:
    for weight, thickness_um in _WEIGHTS.items():
        if thickness_um > look.parameters.copper.weight_um:
            note = "board houses ask more for it"
            yield Change(path="copper.weight", value=f'"{weight}"', note=note)


_WEIGHTS = {"1 oz": 35.0, "2 oz": 70.0}
"""The usual weights, common practice; houses that etch at home have one."""


def _usual_current(look: Look) -> Iterator[Change]:
    """Offer the current that was meant: a thousand times as much, or the usual one or near it."""
    parameters = look.parameters
    asked = parameters.light.current_a or look.emitter.current_a
    usual = parameters.parts.usual_a
    for amps in (asked * 1_000, usual, usual * 0.75, usual * 0.5, usual * 0.25):
        if amps <= look.emitter.led.data.max_current_a:
            yield Change(path="light.current", value=f'"{units.engineering(amps, "A", 4)}"')


def _another_use(look: Look) -> Iterator[Change]:
    """Offer a use that asks for less light, with the current as it is."""
    uses = ("task", "ambience", "night-light")
    now, amps = look.parameters.light.use, look.emitter.current_a
    keep = Change(path="light.current", value=f'"{amps * 1000:g} mA"')
    for use in uses[uses.index(now) + 1 :] if now in uses else ():
        yield Change(path="light.use", value=f'"{use}"', also=(keep,))


def _anything(_: Parameters, __: Circuit) -> bool:
    return False


_WAYS: dict[str, tuple[Verdict, tuple[Callable[[Look], Iterator[Change]], ...]]] = {
    "power.ballast": (
        verdicts.hot_ballasts,
        (_larger_resistor, _more_in_ballast, _other_drawer, _higher_rating, _other_series,
         _less_current),
    ),
    "current.led": (verdicts.driven_leds, (_other_drawer, _other_series, _less_current)),
    "current.connector": (verdicts.connector_full, (_other_connector, _other_series,
                                                    _less_current)),
    "joint.current": (verdicts.joint_full, (_fewer_boards, _other_series, _less_current)),
    "joint.overlap": (_anything, (_shorter_chains,)),
    "current.switch": (verdicts.switch_full, (_other_switch, _other_series, _less_current)),
    "current.guard": (verdicts.guard_full, (_other_guard, _other_series, _less_current)),
    "current.supply": (verdicts.supply_drained, (_other_series, _less_current, _fewer_boards)),
    "heat.board": (verdicts.hot_board, (_other_series, _less_current)),
    "headroom.branch": (
        verdicts.short_headroom,
        (_fewer_in_series, _more_cells, _other_led, _somewhat_less_current),
    ),
    "fuse.trips": (verdicts.fuse_trips, (_other_fuse, _less_current)),
    "fuse.drop": (verdicts.fuse_takes, (_other_fuse, _no_fuse)),
    "fuse.never": (lambda parameters, _: verdicts.fuse_never(parameters), (_other_fuse, _no_fuse)),
    "supply.fuse": (lambda parameters, _: verdicts.unfused(parameters), (_other_fuse,)),
    "light.unlike": (verdicts.unlike_kinds, (_finer_series, _count_that_divides)),
    "light.faint": (_anything, (_usual_current,)),
    "light.dim": (_anything, (_another_use,)),
    "rail.drop": (_anything, (_thicker_copper,)),
}  # fmt: skip
"""For each rule of the circuit: its verdict, and what may mend it."""
