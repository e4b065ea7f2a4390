"""Tracks and vias of the bar: level rails, upright drops, straight links."""

from itertools import pairwise

from boardgen import units
from boardgen.layout.frame import LED_TURN_DEG, Frame
from boardgen.layout.needs import MARGIN_MM, branch_track_mm, edge_mm
from boardgen.layout.parts import Way
from boardgen.model import looks
from boardgen.model.board import Point, Side, Track, Via
from boardgen.model.circuit import RETURN_NET, SUPPLY_NET, Branch, Circuit
from boardgen.model.land_pattern import LandPattern
from boardgen.model.parameters import Parameters

_SHORTEST_MM = 0.01


def tracks(parameters: Parameters, circuit: Circuit, measures: Frame) -> tuple[Track, ...]:
    """Draw the supply from the connector to every ballast, and each branch along its LEDs.

    Rails and drops start at the fed end; every track ends on the centre of a land or of a rail.
    """
    found = [
        *inlet_tracks(parameters, circuit, measures, measures.rail_width_mm),
        *_feed(parameters, circuit, measures),
    ]
    for branch in circuit.branches:
        found += _branch(parameters, measures, branch)
    return tuple(found)


def _top(net: str, width_mm: float, *points: Point) -> Track:
    return Track(net=net, side=Side.TOP, width_mm=width_mm, points=points)


def inlet_tracks(
    parameters: Parameters, circuit: Circuit, measures: Way, width: float
) -> list[Track]:
    """Join the pins of +, lead them from guard to guard, and on to a switch's common pin."""
    inlet, line = measures.inlet, circuit.line
    found = [
        _top(line[0].name, width, measures.inlet_place(inlet.pins_u_mm, lower),
             measures.inlet_place(inlet.pins_u_mm, upper))
        for upper, lower in pairwise(inlet.plus_v_mm)
    ]  # fmt: skip
    # Poles of 0 V stand so close that the pour alone may not reach between them.
    found += [
        Track(
            net=RETURN_NET,
            side=side,
            width_mm=max(
                parameters.limits.aims.hole_spoke_mm,
                units.up_to_step(
                    looks.DROP_SHARE * parameters.connector_part.pattern.lands[0].width_mm, 0.1
                ),
            ),
            points=(
                measures.inlet_place(inlet.pins_u_mm, lower),
                measures.inlet_place(inlet.pins_u_mm, upper),
            ),
        )
        for side in parameters.sides
        for upper, lower in pairwise(inlet.minus_v_mm)
    ]
    at = (inlet.pins_u_mm, inlet.plus_v_mm[0])
    for place, guard in enumerate(inlet.guards):
        ends = (measures.inlet_place(*at), measures.inlet_place(*guard.entry))
        found.append(_top(line[place].name, width, *ends))
        at = guard.leave
    if inlet.switch_u_mm is not None:
        start = inlet.before_switch
        path = (
            start,
            (inlet.bend_u_mm, start[1]),
            (inlet.bend_u_mm, 0.0),
            (inlet.switch_u_mm, 0.0),
        )
        points = [measures.inlet_place(*place) for place in path]
        kept = points[:1] + [after for before, after in pairwise(points) if after != before]
        found.append(_top(line[-2].name, width, *kept))
    return found


def _feed(parameters: Parameters, circuit: Circuit, measures: Frame) -> list[Track]:
    """Draw pin to outer rail, the rails, and the trunk that feeds the inner ones."""
    width, outer = measures.rail_width_mm, measures.outer_row
    start = measures.inlet_place(*measures.inlet.feed)
    found = [_top(SUPPLY_NET, width, start, (start[0], measures.rail_y_mm(outer)))]
    rows = range(len(measures.row_y_mm))
    for row in rows:
        level = measures.rail_y_mm(row)
        begin, end = _rail_ends(parameters, circuit, measures, row, start[0])
        if abs(end - begin) > _SHORTEST_MM:
            found.append(_top(SUPPLY_NET, width, (begin, level), (end, level)))
    if len(rows) > 1:
        inner = max(rows, key=lambda row: abs(row - outer))
        x = measures.trunk_x_mm
        found.append(
            _top(SUPPLY_NET, width, (x, measures.rail_y_mm(outer)), (x, measures.rail_y_mm(inner)))
        )
    if parameters.copper.test_points:
        probe, level = probe_place(parameters, measures), measures.rail_y_mm(outer)
        if abs(probe[1] - level) > _SHORTEST_MM:
            found.append(_top(SUPPLY_NET, width, (probe[0], level), probe))
    return found


def probe_place(parameters: Parameters, measures: Frame) -> Point:
    """Find the test point of V+: on the outer rail, as near to the edge as its land may be.

    Beside a rail near the middle it makes room for that of 0 V, which lies opposite.
    """
    half = parameters.test_land.lands[0].width_mm / 2
    least = parameters.test_land.courtyard.top_mm + MARGIN_MM
    inset = max(edge_mm(parameters), looks.HAND_MM) + half
    level = measures.rail_y_mm(measures.outer_row)
    if measures.up > 0:
        level = max(level, measures.width_mm / 2 + least)
        return (measures.probe_x_mm, min(level, measures.width_mm - inset))
    level = min(level, measures.width_mm / 2 - least)
    return (measures.probe_x_mm, max(level, inset))


def _rail_ends(
    parameters: Parameters, circuit: Circuit, measures: Frame, row: int, feed_x: float
) -> tuple[float, float]:
    """Find where a rail begins, at its fed end, and where it ends: at the last tap or probe."""
    tap = parameters.resistor_part.pattern.land("1").x_mm + measures.ballast.start_mm
    taps = [
        measures.led_x_mm(measures.column(branch)) + tap
        for branch in circuit.branches
        if measures.row(branch) == row
    ]
    reached = [*taps]
    if row == measures.outer_row:
        reached.append(feed_x)
        if parameters.copper.test_points:
            reached.append(measures.probe_x_mm)
    if len(measures.row_y_mm) > 1:
        reached.append(measures.trunk_x_mm)
    ends = (min(reached), max(reached))
    return ends if measures.from_left else ends[::-1]


def _branch(parameters: Parameters, measures: Frame, branch: Branch) -> list[Track]:
    width = branch_track_mm(parameters)
    resistor, led = parameters.resistor_part.pattern, branch.kind.led.pattern
    x, y = measures.led_x_mm(measures.column(branch)), measures.row_y_mm[measures.row(branch)]
    ballast_x = x + measures.ballast.along_mm
    ballast_y = y + measures.up * measures.ballast.across_mm
    firsts = [measures.ballast_x_mm(branch, place) for place in range(branch.kind.ballast.count)]
    tap = (firsts[0] + resistor.land("1").x_mm, ballast_y)
    leave = (ballast_x + resistor.land("2").x_mm, ballast_y)
    anode = _led_land(led, "2", x, y)
    corner = ((anode[0], ballast_y),) if measures.ballast.bends else ()
    found = [
        # No wider than the rail, beyond whose edge its round end would reach.
        _top(
            SUPPLY_NET,
            min(width, measures.rail_width_mm),
            (tap[0], measures.rail_y_mm(measures.row(branch))),
            tap,
        ),
        _top(branch.around(branch.leds[0])[0], width, leave, *corner, anode),
    ]
    for place, (before, after) in enumerate(pairwise(firsts), start=1):
        found.append(
            _top(branch.nets[place].name, width,
                 (before + resistor.land("2").x_mm, ballast_y),
                 (after + resistor.land("1").x_mm, ballast_y))
        )  # fmt: skip
    for place in range(1, branch.kind.leds):
        before = measures.led_x_mm(measures.column(branch) + place - 1)
        after = measures.led_x_mm(measures.column(branch) + place)
        found.append(
            _top(branch.around(branch.leds[place])[0], width, _led_land(led, "1", before, y),
                 _led_land(led, "2", after, y))
        )  # fmt: skip
    return found


def _led_land(pattern: LandPattern, name: str, x_mm: float, y_mm: float) -> Point:
    """Find a land of an LED in its place; half a turn, so both offsets change sign."""
    assert LED_TURN_DEG == 180  # noqa: S101, PLR2004 - the formula below holds for it alone
    land = pattern.land(name)
    return (x_mm - land.x_mm, y_mm - land.y_mm)


def vias(parameters: Parameters, circuit: Circuit, measures: Frame) -> tuple[Via, ...]:
    """Join the two return pours near the end of each branch, where there is room for all."""
    aims = parameters.limits.aims
    away = _via_distance(parameters, measures)
    if away is None or len(parameters.sides) == 1:
        return ()
    return tuple(
        Via(
            net=RETURN_NET,
            x_mm=measures.led_x_mm(measures.column(branch) + branch.kind.leds - 1),
            y_mm=measures.row_y_mm[measures.row(branch)] - measures.up * away,
            hole_mm=aims.via_hole_mm,
            land_mm=aims.via_land_mm,
        )
        for branch in circuit.branches
    )


def _via_distance(parameters: Parameters, measures: Frame) -> float | None:
    """Find how far from its row, away from the rail, a via clears letters, rail and edge."""
    aims = parameters.limits.aims
    nearest = measures.letters_below_mm + aims.via_land_mm / 2
    rows = len(measures.row_y_mm)
    edge = measures.row_y_mm[-1] if measures.up > 0 else measures.width_mm - measures.row_y_mm[0]
    furthest = edge - aims.part_edge_mm - aims.via_land_mm / 2
    if rows > 1:
        row_pitch = measures.row_y_mm[0] - measures.row_y_mm[1]
        rail = measures.rail_from_row_mm + measures.rail_width_mm / 2
        furthest = min(furthest, row_pitch - rail - aims.pour_gap_mm - aims.via_land_mm)
    if nearest > furthest:
        return None
    return min(furthest, nearest + aims.legend_part_mm)
