"""Pairs for rules on the circuit, the supply and what should be known.

They know no direction: three boards each, or three parts; past the limit by a thousandth.
"""

from dataclasses import replace
from typing import Any

from boardgen.checks.verdicts import holds_a
from boardgen.model.circuit import SUPPLY_NET
from boardgen.model.design import Design
from boardgen.model.operation import Illumination, Operation
from boardgen.model.parts import SupplyKind
from tests.checks.planting import (
    BASE,
    BOARDS,
    base,
    pair,
    with_board,
    with_channel,
    with_kind,
    with_led,
)
from tests.conftest import design_of, merged

TYPICAL = ("lands.typical",)


def with_supply(design: Design, **changes: Any) -> Design:
    supply = replace(design.parameters.parts.supply, **changes)
    return replace(design, parameters=design.parameters.with_parts(supply=supply))


def with_circuit(design: Design, **changes: Any) -> Design:
    return replace(design, circuit=replace(design.circuit, **changes))


def with_rails(design: Design, **changes: Any) -> Operation:
    return replace(design.operation, rails=replace(design.operation.rails, **changes))


@pair("power.ballast", *BOARDS)
def power_ballast(past: float, way: str) -> Design:
    design = base(way)
    ballast = design.circuit.kinds[0].ballast
    allowed = design.limits.resistor_share * ballast.derated_w
    return with_kind(design, ballast=replace(ballast, worst_w=allowed * (1 + past)))


@pair("power.ballast", "rating", grave=True)
def power_rating(past: float, _: str) -> Design:
    design = base()
    ballast = design.circuit.kinds[0].ballast
    return with_kind(design, ballast=replace(ballast, worst_w=ballast.derated_w * (1 + past)))


@pair("ballast.low", *BOARDS)
def ballast_low(past: float, way: str) -> Design:
    design = base(way)
    ballast = design.circuit.kinds[0].ballast
    return with_kind(design, ballast=replace(ballast, wanted_ohm=ballast.value_ohm * (1 + past)))


@pair("current.led", "rating", "hottest", grave=True)
def current_led_most(past: float, way: str) -> Design:
    """At the highest supply, and where the warmest junction is allowed the least."""
    design = base()
    kind = design.circuit.kinds[0]
    if way == "rating":
        return with_kind(design, high=replace(kind.high, current_a=kind.most_a * (1 + past)))
    return with_kind(design, hottest_most_a=kind.hottest.current_a / (1 + past))


@pair("current.led", *BOARDS)
def current_led(past: float, way: str) -> Design:
    design = base(way)
    most = design.limits.led_share * design.circuit.kinds[0].most_a
    high = replace(design.circuit.kinds[0].high, current_a=most * (1 + past))
    return with_kind(design, high=high)


@pair("current.connector", *BOARDS)
def current_connector(past: float, way: str) -> Design:
    design = base(way)
    most = design.limits.connector_share * design.parameters.parts.connector.rating_a
    return with_circuit(design, worst_a=most * (1 + past))


@pair("current.connector", "rating", grave=True)
def current_connector_rating(past: float, _: str) -> Design:
    design = base()
    return with_circuit(design, worst_a=design.parameters.parts.connector.rating_a * (1 + past))


def joined(boards: int, **changes: dict[str, Any]) -> Design:
    """Draw bars, or arcs, of which so many are joined."""
    way_in: dict[str, dict[str, Any]] = {
        "connector": {"kind": "joint lands"},
        "joint": {"boards": boards},
    }
    return design_of(merged(merged(BASE, way_in), changes))


CHAINS = ("2 boards", "4 boards", "7 boards")


@pair("joint.current", *CHAINS, besides=("joint.pitch", "joint.quantity"))
def joint_current(past: float, way: str) -> Design:
    boards = int(way.split(maxsplit=1)[0])
    design = joined(boards)
    joint = design.parameters.parts.joint
    assert joint
    through = design.limits.connector_share * joint.rating_a * (1 + past)
    rating = replace(design.parameters.parts.connector, rating_a=10.0)
    design = replace(design, parameters=design.parameters.with_parts(connector=rating))
    return with_circuit(design, worst_a=through * boards / (boards - 1))


@pair("joint.current", "rating", besides=("joint.pitch",), grave=True)
def joint_current_rating(past: float, _: str) -> Design:
    design = joined(4)
    joint = design.parameters.parts.joint
    assert joint
    rating = replace(design.parameters.parts.connector, rating_a=10.0)
    design = replace(design, parameters=design.parameters.with_parts(connector=rating))
    return with_circuit(design, worst_a=joint.rating_a * (1 + past) * 4 / 3)


@pair("joint.overlap", "ring of 3", "ring of 4", "ring of 6",
      besides=("joint.pitch", "joint.quantity", "legend.names"))  # fmt: skip
def joint_overlap(past: float, way: str) -> Design:
    """Bend each board a little further than its share of a ring."""
    boards = int(way.rsplit(maxsplit=1)[-1])
    arc = {"kind": "arc", "from": "0 deg", "to": f"{360 // boards} deg"}
    design = joined(boards, form=arc, light={"count": 5})
    (spine,) = design.board.spines
    (piece,) = spine.pieces
    bent = replace(piece, length_mm=piece.length_mm * (1 + past))
    return with_board(design, spines=(replace(spine, pieces=(bent,)),))


@pair("joint.first", *CHAINS, besides=("joint.pitch",))
def joint_first(past: float, way: str) -> Design:
    """Give the board a connector of its own, where the others have lands of a joint."""
    kind = "wire pads" if past else "joint lands"
    return joined(int(way.split(maxsplit=1)[0]), connector={"kind": kind}, order={"quantity": 7})


@pair("joint.quantity", *CHAINS, besides=("joint.pitch",))
def joint_quantity(past: float, way: str) -> Design:
    boards = int(way.split(maxsplit=1)[0])
    return joined(boards, order={"quantity": boards - (1 if past else 0)})


@pair("joint.pitch", *BOARDS)
def joint_pitch(past: float, way: str) -> Design:
    design = joined(4, form={"pitch": "22 mm" if way == "left" else "25 mm"},
                    connector={"at": "right" if way == "right" else "left"})  # fmt: skip
    (spine,), (_, *others) = design.board.spines, design.board.sites
    across = design.parameters.form.pitch_mm * 1.02 + past
    first = across - spine.length_mm + others[-1][1]
    return with_board(design, sites=((0, first), *others))


@pair("current.switch", "rating", besides=TYPICAL, grave=True)
def current_switch_rating(past: float, _: str) -> Design:
    design = base(connector={"switch": "slide switch"})
    part = design.parameters.parts.switch
    assert part
    return with_circuit(design, worst_a=part.rating_a * (1 + past))


@pair("current.switch", *BOARDS, besides=TYPICAL)
def current_switch(past: float, way: str) -> Design:
    design = base(way, connector={"switch": "slide switch"})
    part = design.parameters.parts.switch
    assert part
    return with_circuit(design, worst_a=design.limits.connector_share * part.rating_a * (1 + past))


RED = {"led": "red 0805", "current": "10 mA"}


@pair("current.guard", *BOARDS, besides=(*TYPICAL, "legend.names"))
def current_guard(past: float, way: str) -> Design:
    design = base(way, protection={"reverse": "schottky"}, light=RED)
    most = design.limits.connector_share * design.parameters.parts.guards[0].rating_a
    return with_circuit(design, worst_a=most * (1 + past))


@pair("current.guard", "rating", besides=(*TYPICAL, "legend.names"), grave=True)
def current_guard_rating(past: float, _: str) -> Design:
    design = base(protection={"reverse": "schottky"}, light=RED)
    return with_circuit(design, worst_a=design.parameters.parts.guards[0].rating_a * (1 + past))


FUSED = {"fuse": "500 mA resettable"}


@pair("fuse.trips", *BOARDS, besides=(*TYPICAL, "legend.names"))
def fuse_trips(past: float, way: str) -> Design:
    design = base(way, protection=FUSED, light=RED)
    fuse = design.parameters.parts.fuse
    assert fuse
    return with_circuit(design, worst_a=holds_a(design.circuit, fuse) * (1 + past))


@pair("fuse.drop", *BOARDS, besides=(*TYPICAL, "legend.names"))
def fuse_drop(past: float, way: str) -> Design:
    design = base(way, protection=FUSED, light=RED)
    fuse = design.parameters.parts.fuse
    assert fuse
    most = design.limits.fuse_drop_v / fuse.resistance_ohm[2]
    return with_circuit(design, nominal_a=most * (1 + past))


@pair("fuse.fault", *BOARDS, besides=(*TYPICAL, "legend.names"))
def fuse_fault(past: float, way: str) -> Design:
    design = base(way, protection=FUSED, light=RED)
    fuse = design.parameters.parts.fuse
    assert fuse
    return with_supply(design, delivers_a=fuse.max_fault_a * (1 + past))


@pair("gate.low", *BOARDS, besides=(*TYPICAL, "legend.names"))
def gate_low(past: float, way: str) -> Design:
    design = base(way, protection={"reverse": "p-channel"}, light=RED)
    part = design.parameters.parts.reverse
    assert part
    assert part.gate_v
    feed = replace(design.circuit.feed, low_v=part.gate_v[0] - past)
    return with_circuit(design, feed=feed)


@pair("current.supply", *BOARDS)
def current_supply(past: float, way: str) -> Design:
    design = base(way)
    most = design.circuit.worst_a / design.limits.supply_share / (1 + past)
    return with_supply(design, max_current_a=most)


@pair("supply.fuse", "amperes", "volt-amperes", "lithium")
def supply_fuse(past: float, way: str) -> Design:
    """At 5 V eight amperes come first, at 13 V a hundred volt-amperes; Li-ion wants one always."""
    design = base()
    if way == "lithium":
        return with_supply(design, kind=SupplyKind.LITHIUM) if past > 0 else design
    if way == "amperes":
        return with_supply(design, delivers_a=8.0 + past)
    return with_supply(design, high_v=5.0, delivers_a=7.0 if past <= 0 else 8.0 + past)


@pair("supply.touch", *BOARDS, besides=("legend.identity",))
def supply_touch(past: float, way: str) -> Design:
    design = base(way)
    design = with_led(design, max_reverse_v=None)
    return with_supply(design, high_v=design.limits.touch_v + past)


@pair("supply.idle", *BOARDS)
def supply_idle(past: float, way: str) -> Design:
    design = base(way)
    return with_supply(design, idle_a=design.circuit.nominal_a * (1 + past))


@pair("reverse.led", *BOARDS)
def reverse_led(past: float, way: str) -> Design:
    design = base(way)
    most = design.circuit.kinds[0].led.data.max_reverse_v
    assert most
    return with_supply(design, high_v=most * design.circuit.kinds[0].leds + past)


@pair("headroom.branch", *BOARDS)
def headroom_branch(past: float, way: str) -> Design:
    design = base(way)
    return with_kind(design, headroom_low_v=design.limits.headroom_v - past)


@pair("headroom.branch", "none left", "two in series")
def headroom_none(past: float, way: str) -> Design:
    """Nothing at all is left; and of two in series, of which there may be fewer."""
    design = base()
    least = design.limits.headroom_v
    if way == "none left":
        return with_kind(design, headroom_low_v=0.0 if past > 0 else least)
    design = base(light={**RED, "count": 4, "in_series": 2, "current": "5 mA", "use": None})
    return with_kind(design, headroom_low_v=least - past)


@pair("rail.drop", *BOARDS)
def rail_drop(past: float, way: str) -> Design:
    design = base(way)
    spread = design.limits.rail_share * (1 + past)
    return replace(design, operation=with_rails(design, spread=spread))


@pair("light.unlike", *BOARDS)
def light_unlike(past: float, way: str) -> Design:
    design = base(way)
    (kind,) = design.circuit.kinds
    share = 1 - design.limits.rail_share * (1 + past)
    dim = replace(kind.nominal, current_a=kind.nominal.current_a * share)
    return with_channel(design, kinds=(kind, replace(kind, leds=2, nominal=dim)))


@pair("light.uneven", *BOARDS)
def light_uneven(past: float, way: str) -> Design:
    design = base(way, light={"diffuser": "20 mm", "evenness": "90 %"})
    light = Illumination(
        axis_cd=1.0, flux_lm=3.0, diffuser_mm=20.0, evenness=0.9 - past, end_share=0.8,
        pitch_for_evenness_mm=22.8, diffuser_for_evenness_mm=17.6,
    )  # fmt: skip
    return replace(design, operation=replace(design.operation, illumination=light))


@pair("built.supply", "less", "more", "right")
def built_supply(past: float, way: str) -> Design:
    design = base(
        "right" if way == "right" else "left",
        built={"date": "2026-11-20", "supply": "5 V", "current": "1 mA"},
    )
    built, expected = design.parameters.built, design.operation.expected
    assert built
    assert expected
    band = expected.supply_v
    volts = band.low * (1 - past) if way == "less" else band.high * (1 + past)
    measured = replace(
        built,
        supply_v=volts,
        current_a=expected.board_a.nominal,
        ballasts_v=tuple(band.nominal for band in expected.ballasts_v),
        resistors_ohm=tuple(band.nominal for band in expected.resistors_ohm),
    )
    return replace(design, parameters=replace(design.parameters, built=measured))


@pair("built.differs", "less", "more", "right", "ballast less", "ballast more", "ballast dark",
      "ballast count", "ohms less", "ohms more", "ohms count")  # fmt: skip
def built_differs(past: float, way: str) -> Design:
    design = base(
        "right" if way == "right" else "left",
        built={"date": "2026-11-20", "supply": "5 V", "current": "1 mA"},
    )
    built = design.parameters.built
    assert built
    expected = design.operation.expected
    assert expected
    total, first = expected.board_a, expected.ballasts_v[0]
    measured = total.nominal
    if way in ("less", "more", "right"):
        measured = total.high * (1 + past) if way == "more" else total.low * (1 - past)
    # One by one the ballasts are as they ought to be, or one of them is not.
    ballasts = [band.nominal for band in expected.ballasts_v]
    resistors = [band.nominal for band in expected.resistors_ohm]
    ohms = expected.resistors_ohm[0]
    if way in ("ohms less", "ohms more"):
        resistors[0] = ohms.low * (1 - past) if way == "ohms less" else ohms.high * (1 + past)
    if way == "ohms count" and past > 0:
        resistors.append(ohms.nominal)
    if way in ("ballast less", "ballast more", "ballast dark"):
        ballasts[0] = {
            "ballast less": first.low * (1 - past),
            "ballast more": first.high * (1 + past),
            "ballast dark": first.low if past <= 0 else 0.0,
        }[way]
    if way == "ballast count" and past > 0:
        ballasts.append(first.nominal)
    return replace(
        design,
        parameters=replace(
            design.parameters,
            built=replace(
                built,
                current_a=measured,
                ballasts_v=tuple(ballasts),
                resistors_ohm=tuple(resistors),
            ),
        ),
    )


@pair("built.total", *BOARDS, "volts only")
def built_total(past: float, way: str) -> Design:
    design = base(
        "left" if way == "volts only" else way,
        built={"date": "2026-11-20", "supply": "5 V", "current": "1 mA"},
    )
    built, expected = design.parameters.built, design.operation.expected
    assert built
    assert expected
    volts, ohms = (
        tuple(band.nominal for band in bands)
        for bands in (expected.ballasts_v, expected.resistors_ohm)
    )
    told = replace(
        built,
        current_a=expected.board_a.nominal,
        ballasts_v=() if past > 0 and way != "volts only" else volts,
        resistors_ohm=() if past > 0 else ohms,
    )
    return replace(design, parameters=replace(design.parameters, built=told))


def with_warmth(design: Design, board_degc: float) -> Design:
    return with_circuit(design, warmth=replace(design.circuit.warmth, board_degc=board_degc))


@pair("heat.board", *BOARDS)
def heat_board(past: float, way: str) -> Design:
    design = base(way)
    return with_warmth(design, design.limits.board_warm_degc * (1 + past))


@pair("heat.board", "most", grave=True)
def heat_board_most(past: float, _: str) -> Design:
    design = base()
    return with_warmth(design, design.limits.board_most_degc * (1 + past))


@pair("fuse.never", "short", "for long", "right", besides=(*TYPICAL, "legend.names"))
def fuse_never(past: float, way: str) -> Design:
    """Against what the source drives into a short; unknown, what it gives for long."""
    room = {"ambient_low": "23 degC"}
    design = base("right" if way == "right" else "left", protection=FUSED, light=RED, board=room)
    fuse = design.parameters.parts.fuse
    assert fuse
    if way == "for long":
        return with_supply(design, max_current_a=fuse.rating_a / (1 + past))
    return with_supply(design, delivers_a=2 * fuse.rating_a / (1 + past))


@pair("light.faint", *BOARDS)
def light_faint(past: float, way: str) -> Design:
    design = base(way)
    asked = design.parameters.parts.usual_a * 0.1 / (1 + past)
    light = replace(design.parameters.light, current_a=asked)
    return replace(design, parameters=replace(design.parameters, light=light))


@pair("light.dim", "task", "ambience", "night-light")
def light_dim(past: float, way: str) -> Design:
    design = base(light={"use": way})
    least, light = design.parameters.parts.use_least, design.operation.illumination
    assert least
    assert light
    dimmer = replace(light, use_lx=least.lx / (1 + past))
    return replace(design, operation=replace(design.operation, illumination=dimmer))


@pair("stock.unused", "led", "resistor", "connector")
def stock_unused(past: float, way: str) -> Design:
    design = base()
    values = {
        "led": "White-2835",
        "resistor": next(p.value for p in design.board.parts if p.reference == "R1"),
        "connector": "wire pads",
    }
    name = values[way] + ("x" if past > 0 else "")
    return base(stock={name: "bag 12"})


@pair("lands.typical", *BOARDS)
def lands_typical(past: float, way: str) -> Design:
    return base(way, light={"lands_compared": past <= 0})


@pair("supply.pour", *BOARDS)
def supply_pour(past: float, way: str) -> Design:
    design = base(way)
    if past <= 0:
        return design
    *others, last = design.board.pours
    return with_board(design, pours=(*others, replace(last, net=SUPPLY_NET)))


@pair("date.unset", *BOARDS)
def date_unset(past: float, way: str) -> Design:
    return base(way, board={"date": None if past > 0 else "2026-11-25"})
