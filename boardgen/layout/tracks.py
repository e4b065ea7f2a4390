"""Tracks along a plan's spines: the supply's way in, rails as offsets, taps, links of branches."""

import math
from collections.abc import Iterator
from itertools import pairwise

from boardgen import units
from boardgen.layout.cell import branch_track_mm
from boardgen.layout.course import Course
from boardgen.layout.parts import Way, joint_parts
from boardgen.model import looks
from boardgen.model.board import Point, Side, Track
from boardgen.model.circuit import RETURN_NET, SUPPLY_NET, Branch, Circuit
from boardgen.model.parameters import Parameters

_SHORTEST_MM = 0.01


def tracks(parameters: Parameters, circuit: Circuit, course: Course) -> tuple[Track, ...]:
    """Draw the supply from the connector to every ballast, and each branch along its LEDs.

    Rails start at the fed end; every track ends on the centre of a land or of a rail.
    """
    return (
        *inlet_tracks(parameters, circuit, course, course.rail_mm),
        *(
            _feed(parameters, circuit, course)
            if course.routes is None
            else (*_rails(parameters, circuit, course, {}), *course.routes)
        ),
        *(track for branch in circuit.branches for track in _branch(parameters, course, branch)),
    )


def cell_tracks(parameters: Parameters, circuit: Circuit, course: Course) -> tuple[Track, ...]:
    """Draw rails and branches alone, as if no supply came in."""
    return (
        *_rails(parameters, circuit, course, {}),
        *(track for branch in circuit.branches for track in _branch(parameters, course, branch)),
    )


def _top(net: str, width_mm: float, *points: Point) -> Track:
    return Track(net=net, side=Side.TOP, width_mm=width_mm, points=points)


def inlet_tracks(
    parameters: Parameters, circuit: Circuit, measures: Way, width: float
) -> list[Track]:
    """Join the pins of +, lead them from guard to guard, and on to a switch's common pin."""
    inlet, line = measures.inlet, circuit.inlet.nets
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
                parameters.parts.limits.aims.hole_spoke_mm,
                units.up_to_step(
                    looks.DROP_SHARE * parameters.parts.connector.pattern.lands[0].width_mm, 0.1
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


def _feed(parameters: Parameters, circuit: Circuit, course: Course) -> Iterator[Track]:
    """Lead the supply square to the rail, along all rails, to a test point and the next board."""
    sketch, width = course.sketch, course.rail_mm
    fed, start = sketch.fed, course.inlet_place(*course.inlet.feed)
    foot = _unwound(course, fed, start)
    stations: dict[int, list[float]] = {line: [] for line in range(len(sketch.spines))}
    stations[fed].append(foot)
    yield _top(SUPPLY_NET, width, start, course.on_rail(fed, foot))
    beside = [*course.probes[:1], *_joined(parameters, course)]
    branches_off = [sketch.spines[fed].locate(place)[0] for place in beside]
    stations[fed] += branches_off
    if len(sketch.spines) > 1:
        for passed in stations.values():
            passed.append(course.trunk_mm)
    yield from _rails(parameters, circuit, course, stations)
    if len(sketch.spines) > 1:
        last = max(stations, key=lambda line: abs(line - fed))
        ends = (course.on_rail(line, course.trunk_mm) for line in (fed, last))
        yield _top(SUPPLY_NET, width, *ends)
    for place, along in zip(beside, branches_off, strict=True):
        leaves = course.on_rail(fed, along)
        if math.dist(leaves, place) > _SHORTEST_MM:
            yield _top(SUPPLY_NET, width, leaves, place)


def _joined(parameters: Parameters, course: Course) -> list[Point]:
    """Find the land from which the next board takes its supply, where one is joined."""
    parts = joint_parts(parameters, course.sketch.far_door)
    return [part.land_place(part.pattern.by_function("+")) for part in parts]


def _unwound(course: Course, line: int, at: Point) -> float:
    """Tell where a point lies along a spine; of a closed one, before its start where nearer."""
    spine = course.sketch.spines[line]
    along = spine.locate(at)[0]
    back = spine.closed and along > spine.length_mm / 2
    return along - spine.length_mm if back else along


def _rails(
    parameters: Parameters, circuit: Circuit, course: Course, reached: dict[int, list[float]]
) -> Iterator[Track]:
    """Draw the rail beside each spine, from its first tap or other station to its last."""
    pin = parameters.parts.resistor.pattern.land("1")
    for line, spine in enumerate(course.sketch.spines):
        taps = [
            (branch, course.ballast_pose(branch, 0).place(pin.x_mm, pin.y_mm))
            for branch in circuit.branches
            if course.line(branch) == line
        ]
        if not taps:
            continue  # its LEDs belong to a branch that begins on another spine
        # The first branch's ballast may lie before the start of a closed spine.
        (_, first), *others = taps
        stations = [_unwound(course, line, first), *(spine.locate(tap)[0] for _, tap in others)]
        stations = sorted((*stations, *reached.get(line, ())), reverse=course.backwards)
        if abs(stations[-1] - stations[0]) > _SHORTEST_MM:
            across = course.sketch.rail_side * course.rail_from_mm
            yield _top(SUPPLY_NET, course.rail_mm, *spine.path(stations, across))


def _branch(parameters: Parameters, course: Course, branch: Branch) -> Iterator[Track]:
    """Tap the rail for a branch, and join its ballasts and LEDs, land to land."""
    width, spine, line = branch_track_mm(parameters), course.spine(branch), course.line(branch)
    resistor, led = parameters.parts.resistor.pattern, branch.kind.led.pattern

    def ballast(place: int, pin: str) -> Point:
        land = resistor.land(pin)
        return course.ballast_pose(branch, place).place(land.x_mm, land.y_mm)

    def site(place: int, pin: str) -> Point:
        land = led.land(pin)
        return course.led_pose(branch.first_site + place).place(land.x_mm, land.y_mm)

    tap, last = ballast(0, "1"), branch.kind.ballast.count - 1
    if not course.lone(line):
        # No wider than the rail, beyond whose edge its round end would reach.
        rail = course.on_rail(line, spine.locate(tap)[0])
        yield _top(SUPPLY_NET, min(width, course.rail_mm), rail, tap)
    leave, anode = ballast(last, "2"), site(0, "2")
    corner = (spine.place(spine.locate(anode)[0], spine.locate(leave)[1]),)
    bend = corner if course.ballast.bends else ()
    yield _top(branch.around(branch.leds[0])[0], width, leave, *bend, anode)
    for place in range(last):
        net = branch.nets[place + 1].name
        yield _top(net, width, ballast(place, "2"), ballast(place + 1, "1"))
    for place in range(1, branch.kind.leds):
        if course.apart(branch, place):
            continue  # their tracks find their ways
        net = branch.around(branch.leds[place])[0]
        yield _top(net, width, site(place - 1, "1"), site(place, "2"))
