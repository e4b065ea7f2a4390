"""A course drawn as a board: parts, tracks, holes, vias, pours, marks, letters."""

from collections.abc import Iterator
from dataclasses import replace

from boardgen.layout import texts
from boardgen.layout.cell import MARGIN_MM, edge_mm
from boardgen.layout.course import Course
from boardgen.layout.inlet import widest_feed_mm
from boardgen.layout.marks import copper_bars, printed_marks
from boardgen.layout.parts import ballast_part, inlet_parts, joint_parts, led_part, probe_parts
from boardgen.layout.screws import refuse_screws_in_the_way
from boardgen.layout.spokes import lead_spoke_mm
from boardgen.layout.teardrops import with_teardrops
from boardgen.layout.tracks import cell_tracks, tracks
from boardgen.model.board import Board, MountingHole, Part, Point, Pour, Side, Track, Via
from boardgen.model.circuit import RETURN_NET, SUPPLY_NET, Circuit
from boardgen.model.parameters import Parameters


def bare(course: Course, parts: tuple[Part, ...], drawn: tuple[Track, ...]) -> Board:
    """Put parts and tracks on a board without anything else."""
    sketch = course.sketch
    return Board(
        outline=sketch.outline, parts=parts, tracks=drawn, vias=(), holes=(), pours=(), texts=(),
        marks=(), spines=sketch.spines, sites=sketch.sites,
    )  # fmt: skip


def cells(parameters: Parameters, circuit: Circuit, course: Course) -> Board:
    """Draw the branches and their rails alone."""
    board = bare(
        course,
        tuple(_branch_parts(parameters, circuit, course)),
        cell_tracks(parameters, circuit, course),
    )
    return _with_bars(parameters, course, board)


def populated(parameters: Parameters, circuit: Circuit, course: Course) -> Board:
    """Draw parts and tracks, and bars in copper; screws, pours, vias and letters come last."""
    parts = (
        *_branch_parts(parameters, circuit, course),
        *inlet_parts(parameters, circuit, course),
        *probe_parts(parameters, course.probes),
        *joint_parts(parameters, course.sketch.far_door),
    )
    # Between switch and guards there is no room for wider tracks.
    simple = parameters.parts.switch is None and not parameters.own_guards
    most = widest_feed_mm(parameters, edge_mm(parameters)) if simple else 0.0
    drawn = tracks(parameters, circuit, course)
    board = bare(
        course, parts, with_teardrops(drawn, parts, most, parameters.parts.limits.aims.pour_gap_mm)
    )
    return _with_bars(parameters, course, board)


def _with_bars(parameters: Parameters, course: Course, board: Board) -> Board:
    """Mark cathodes in copper, where nothing is printed."""
    if course.bar_from_mm is None:
        return board
    bars = copper_bars(parameters, board, course)
    return replace(board, marks=bars)


def vias(parameters: Parameters, circuit: Circuit, course: Course) -> tuple[Via, ...]:
    """Join the two return pours beside the last LED of each branch, or lead the supply up."""
    if len(parameters.sides) == 1:
        return ()
    if course.split:
        return tuple(_via(parameters, SUPPLY_NET, at) for at in course.risers)
    sketch, places = course.sketch, list(course.joints)
    for side, from_mm in ((-1, course.via_from_mm), (1, course.strip_from_mm)):
        if from_mm is None:
            continue
        across = side * sketch.rail_side * from_mm
        ends = (branch.first_site + branch.kind.leds - 1 for branch in circuit.branches)
        last = [sketch.sites[site] for site in ends]
        places += [sketch.spines[line].place(along, across) for line, along in last]
    return tuple(_via(parameters, RETURN_NET, at) for at in places)


def _via(parameters: Parameters, net: str, at: Point) -> Via:
    aims = parameters.parts.limits.aims
    return Via(
        net=net, x_mm=at[0], y_mm=at[1], hole_mm=aims.via_hole_mm, land_mm=aims.via_land_mm
    )  # fmt: skip


def finished(parameters: Parameters, circuit: Circuit, course: Course) -> Board:
    """Draw a course wholly.

    Raises
    ------
    NoRoomError
        When words that have to stand find no room.
    RefusalError
        When a screw at a given place is in the way.
    """
    up = course.sketch.rail_side
    board = replace(
        populated(parameters, circuit, course),
        holes=screws(parameters, course),
        vias=vias(parameters, circuit, course),
        pours=tuple(
            Pour(
                side=side,
                net=SUPPLY_NET if course.split and side is Side.BOTTOM else RETURN_NET,
                edge_mm=edge_mm(parameters),
                lead_spoke_mm=lead_spoke_mm(parameters, circuit, split=course.split),
            )
            for side in parameters.sides
        ),
    )
    if parameters.printed:
        board = replace(board, marks=printed_marks(parameters, board))
    refuse_screws_in_the_way(parameters, board, course.sketch.turned_deg)
    return texts.with_texts(parameters, circuit, board, up)


def _branch_parts(parameters: Parameters, circuit: Circuit, course: Course) -> Iterator[Part]:
    for branch in circuit.branches:
        for place, reference in enumerate(branch.leds):
            yield led_part(branch, reference, course.led_pose(branch.first_site + place))
    for branch in circuit.branches:
        for place, reference in enumerate(branch.ballasts):
            yield ballast_part(parameters, branch, reference, course.ballast_pose(branch, place))


def screws(parameters: Parameters, course: Course) -> tuple[MountingHole, ...]:
    """Drill the holes for screws; on free sites they make room for the rail beside them."""
    screw, sketch = parameters.parts.screw, course.sketch
    off = max(0.0, screw.room_mm / 2 + course.rail_mm / 2 + MARGIN_MM - course.rail_from_mm)
    beside = (sketch.spines[line].place(along, -sketch.rail_side * off)
              for line, along in sketch.free_sites)  # fmt: skip
    return tuple(
        MountingHole(
            reference=f"MH{number}", x_mm=x, y_mm=y, hole_mm=screw.hole_mm,
            covered_mm=screw.covered_mm, room_mm=screw.room_mm,
        )
        for number, (x, y) in enumerate((*sketch.screws, *beside), start=1)
    )  # fmt: skip
