"""LEDs along one spine: a layout in the spine's own coordinates, along and across.

Branches are cells on the spine, the rail is its offset, taps lead from the rail square to the
ballasts; the return stays pour. Nothing is predicted: a size is tried, its claims are measured, and
what may grow grows until they are clear.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from itertools import pairwise

from boardgen.errors import Change, Problem, RefusalError
from boardgen.forms.table import plan
from boardgen.geometry.lettering import size_mm
from boardgen.layout import marks, texts
from boardgen.layout.claims import clear
from boardgen.layout.drops import with_drops
from boardgen.layout.growth import smallest
from boardgen.layout.inlet import Inlet, guard_side, inlet, widest_feed_mm
from boardgen.layout.needs import (
    MARGIN_MM,
    BallastPlace,
    Needs,
    ballast_places,
    branch_track_mm,
    edge_mm,
    rail_widths,
)
from boardgen.layout.parts import ballast_part, inlet_parts, led_part
from boardgen.layout.screws import refuse_screws_in_the_way
from boardgen.layout.spokes import lead_spoke_mm
from boardgen.layout.tracks import inlet_tracks
from boardgen.layout.writer import NoRoomError
from boardgen.model.board import Board, MountingHole, Part, Point, Pour, Side, Track, Via
from boardgen.model.circuit import RETURN_NET, SUPPLY_NET, Branch, Circuit
from boardgen.model.land_pattern import Entry
from boardgen.model.parameters import Parameters
from boardgen.model.plan import Sketch
from boardgen.model.pose import Pose

_LED_TURN_DEG = 180.0
"""Cathode ahead: the current flows along the spine."""

_STEP_MM, _RAIL_STEP_MM = 1.0, 0.25
_MOST_STEPS = 256
"""After so many steps of growth nothing more is to be hoped for."""
_FURTHEST_RAIL_MM = 4.0
"""No further from its ballasts a rail is looked for: what lies in its way is no matter of room."""
_FAR_MM = 200.0
"""At an edge so far away nothing of it is in the way."""
_INSET_STEP_MM, _DEEPEST_MM = 0.25, 10.0
"""In such steps a connector leaves a round edge, and no further."""
_MOST_WIDER = 12


@dataclass(frozen=True, slots=True, kw_only=True)
class Course:
    """All measures of a board along a spine, decided.

    The rail, ``rail_mm`` wide, lies ``rail_from_mm`` across; the inlet stands ``inset_mm`` further
    in than at a straight edge.
    """

    sketch: Sketch
    ballast: BallastPlace
    rail_mm: float
    rail_from_mm: float
    inlet: Inlet
    inlet_side: int
    inset_mm: float = 0.0

    def inlet_place(self, u_mm: float, v_mm: float) -> Point:
        """Carry a point of the inlet onto the board."""
        return self.sketch.door.place(u_mm + self.inset_mm, self.inlet_side * v_mm)

    def led_pose(self, site: int) -> Pose:
        """Tell where an LED stands and how it is turned."""
        at = self.sketch.spine.pose(self.sketch.sites_mm[site])
        return replace(at, turn_deg=at.turn_deg + _LED_TURN_DEG)

    def ballast_pose(self, branch: Branch, place: int) -> Pose:
        """Tell where a resistor of a branch stands, counted from the rail on."""
        behind = branch.kind.ballast.count - 1 - place
        along = self.ballast.along_mm - behind * self.ballast.step_mm
        return self.sketch.spine.pose(
            self.sketch.sites_mm[branch.first_site] + along,
            self.sketch.rail_side * self.ballast.across_mm,
        )

    def on_rail(self, along_mm: float) -> Point:
        """Give the point of the rail at a way along the spine."""
        return self.sketch.spine.place(along_mm, self.sketch.rail_side * self.rail_from_mm)


def lay_out(parameters: Parameters, circuit: Circuit) -> Board:
    """Lay a board out along the spine of its plan, as small as its claims and letters allow.

    Raises
    ------
    RefusalError
        When something does not fit, with the smallest change that would.
    """
    _refuse_entry(parameters)
    _refuse_bare(parameters)
    size = plan(parameters).size_mm
    course = _fitted(parameters, circuit)
    if course is None:
        raise _refusal(parameters, circuit)
    if size is not None:
        return _finished(parameters, circuit, course)
    for wider in range(_MOST_WIDER):
        size = course.sketch.outline.length_mm + 2.0 * wider
        sized = _sized(parameters, circuit, course, size)
        try:
            return _finished(parameters, circuit, sized or course)
        except NoRoomError:
            continue
    return _finished(parameters, circuit, course)


def _refuse_entry(parameters: Parameters) -> None:
    """Refuse a connector whose wires come in along the board: no straight edge is there for it."""
    pattern = parameters.connector_part.pattern
    if pattern.entry is Entry.SIDE and pattern.height_mm:
        raise RefusalError(
            Problem(
                what=f"the wires of {parameters.connector_part.name} come in along the board, and"
                " this form has no straight edge for it",
                offers=(Change(path="connector.kind", value='"wire pads"'),),
                file=parameters.file,
                line=parameters.origin("connector.kind").line,
                path="connector.kind",
            )
        )


def _refuse_bare(parameters: Parameters) -> None:
    """Refuse a board without print: marks and letters in copper find no way beside askew links."""
    if not parameters.printed:
        raise RefusalError(
            Problem(
                what="marks and words in copper are drawn beside straight rows only, and nothing is"
                " printed on this board",
                remedy="order a mask and a legend, or take a bar",
                file=parameters.file,
                line=parameters.origin("order.legend").line,
                path="order.legend",
            )
        )


def _fitted(parameters: Parameters, circuit: Circuit, *, narrow: bool = False) -> Course | None:
    """Find the first way to place ballasts and rail that fits, and the smallest edge around it.

    Of widths for the rail the wanted one comes first; ``narrow`` asks for the narrowest only, which
    fits wherever one does.
    """
    widths = rail_widths(parameters, circuit)
    for place in ballast_places(parameters):
        if _near_rail(parameters, circuit, place, widths[-1]) is None:
            continue
        for rail in widths[-1:] if narrow else widths:
            course = _near_rail(parameters, circuit, place, rail)
            found = course and _with_edge(parameters, circuit, course)
            if found:
                return found
    return None


def _with_edge(parameters: Parameters, circuit: Circuit, course: Course) -> Course | None:
    """Draw the edge as asked for, or as near around a course as its claims allow."""
    planned, edge = plan(parameters), edge_mm(parameters)

    def fits(size_mm: float) -> bool:
        sized = _sized(parameters, circuit, course, size_mm)
        return sized is not None and clear(
            _board(parameters, circuit, sized), parameters.limits, edge
        )

    size = planned.size_mm
    if size is None:
        least = max(2 * course.rail_from_mm, planned.least_mm)
        size = smallest(fits, least, _STEP_MM, _MOST_STEPS)
        return None if size is None else _sized(parameters, circuit, course, size)
    return _sized(parameters, circuit, course, size) if fits(size) else None


def _near_rail(
    parameters: Parameters, circuit: Circuit, place: BallastPlace, rail_mm: float
) -> Course | None:
    """Bring the rail as near to its ballasts as claims allow, no edge and no inlet being near."""
    needs = Needs(parameters, circuit, place, rail_mm)
    aims = parameters.limits.aims
    lands = needs.lands_above
    if parameters.copper.relief == "all":
        # One of the cathode's two spokes must reach the pour between LED and rail.
        lands = max(lands, needs.led_half + aims.chip_relief_gap_mm + needs.pour_strip)
    least = lands + aims.pour_gap_mm + rail_mm / 2
    far = _sketch(parameters, _span_mm(parameters) + _FAR_MM)
    way = inlet(parameters, rail_mm, 0.0)

    def course(from_mm: float) -> Course:
        return Course(
            sketch=far, ballast=place, rail_mm=rail_mm, rail_from_mm=from_mm, inlet=way,
            inlet_side=guard_side(parameters),
        )  # fmt: skip

    def does(from_mm: float) -> bool:
        return from_mm > least + _FURTHEST_RAIL_MM or clear(
            _cells(parameters, circuit, course(from_mm)), parameters.limits, MARGIN_MM
        )

    from_mm = smallest(does, least, _RAIL_STEP_MM, _MOST_STEPS)
    if from_mm is None or from_mm > least + _FURTHEST_RAIL_MM:
        return None
    return course(from_mm)


def _span_mm(parameters: Parameters) -> float:
    """Tell how far the spine reaches at most: half as long as it is."""
    return plan(parameters).pitch_mm * plan(parameters).longest


def _sketch(parameters: Parameters, size_mm: float) -> Sketch:
    sketch = plan(parameters).sketch
    assert sketch is not None  # noqa: S101 - forms of this layout have one
    return sketch(size_mm)


def _sized(
    parameters: Parameters, circuit: Circuit, course: Course, size_mm: float
) -> Course | None:
    """Draw the edge at a size, and set the connector as far in as a round edge asks for."""
    sized = replace(course, sketch=_sketch(parameters, size_mm))

    def inside(inset_mm: float) -> bool:
        if inset_mm > _DEEPEST_MM:
            return True
        connector, *_ = inlet_parts(parameters, circuit, replace(sized, inset_mm=inset_mm))
        board = _bare(sized, (connector,), ())
        return clear(board, parameters.limits, edge_mm(parameters))

    inset = smallest(inside, 0.0, _INSET_STEP_MM, _MOST_STEPS)
    return None if inset is None or inset > _DEEPEST_MM else replace(sized, inset_mm=inset)


def _cells(parameters: Parameters, circuit: Circuit, course: Course) -> Board:
    """Draw the branches and their rail alone."""
    parts = tuple(_branch_parts(parameters, circuit, course))
    tracks = [
        *_rail(parameters, circuit, course, ()),
        *(track for branch in circuit.branches for track in _links(parameters, course, branch)),
    ]
    return _bare(course, parts, tuple(tracks))


def _bare(course: Course, parts: tuple[Part, ...], tracks: tuple[Track, ...]) -> Board:
    return Board(
        outline=course.sketch.outline, parts=parts, tracks=tracks, vias=(), holes=(), pours=(),
        texts=(), marks=(), spine=course.sketch.spine,
    )  # fmt: skip


def _board(parameters: Parameters, circuit: Circuit, course: Course) -> Board:
    """Draw parts and tracks; screws at given places, pour, letters and vias come last."""
    parts = (
        *_branch_parts(parameters, circuit, course),
        *inlet_parts(parameters, circuit, course),
    )
    tracks = [
        *inlet_tracks(parameters, circuit, course, course.rail_mm),
        *_feed(parameters, circuit, course),
        *(track for branch in circuit.branches for track in _links(parameters, course, branch)),
    ]
    simple = parameters.switch_part is None and not parameters.guards
    most = widest_feed_mm(parameters, edge_mm(parameters)) if simple else 0.0
    drops = with_drops(tracks, parts, most, parameters.limits.aims.pour_gap_mm)
    return _bare(course, parts, drops)


def _finished(parameters: Parameters, circuit: Circuit, course: Course) -> Board:
    board = _board(parameters, circuit, course)
    board = replace(
        board,
        holes=_holes(parameters, course),
        vias=_vias(parameters, circuit, course, board),
        pours=tuple(
            Pour(
                side=side,
                net=RETURN_NET,
                edge_mm=edge_mm(parameters),
                lead_spoke_mm=lead_spoke_mm(parameters, circuit),
            )
            for side in parameters.sides
        ),
    )
    board = replace(board, marks=marks.marks(parameters, board, course.sketch.rail_side))
    refuse_screws_in_the_way(parameters, board)
    return texts.with_texts(parameters, circuit, board, course.sketch.rail_side)


def _branch_parts(parameters: Parameters, circuit: Circuit, course: Course) -> Iterator[Part]:
    for branch in circuit.branches:
        for place, reference in enumerate(branch.leds):
            yield led_part(branch, reference, course.led_pose(branch.first_site + place))
    for branch in circuit.branches:
        for place, reference in enumerate(branch.ballasts):
            yield ballast_part(parameters, branch, reference, course.ballast_pose(branch, place))


def _holes(parameters: Parameters, course: Course) -> tuple[MountingHole, ...]:
    screw = parameters.screw
    return tuple(
        MountingHole(
            reference=f"MH{number}", x_mm=x, y_mm=y, hole_mm=screw.hole_mm,
            covered_mm=screw.covered_mm, room_mm=screw.room_mm,
        )
        for number, (x, y) in enumerate(course.sketch.screws, start=1)
    )  # fmt: skip


def _top(net: str, width_mm: float, *points: Point) -> Track:
    return Track(net=net, side=Side.TOP, width_mm=width_mm, points=points)


def _feed(parameters: Parameters, circuit: Circuit, course: Course) -> Iterator[Track]:
    """Lead the supply from the inlet square to the rail, and along it."""
    start = course.inlet_place(*course.inlet.feed)
    foot = _unwound(course, course.sketch.spine.locate(start)[0])
    yield _top(SUPPLY_NET, course.rail_mm, start, course.on_rail(foot))
    yield from _rail(parameters, circuit, course, (foot,))


def _unwound(course: Course, along_mm: float) -> float:
    """Tell a way along a closed spine as what lies before its start, where that is nearer."""
    spine = course.sketch.spine
    back = spine.closed and along_mm > spine.length_mm / 2
    return along_mm - spine.length_mm if back else along_mm


def _rail(
    parameters: Parameters, circuit: Circuit, course: Course, feet: tuple[float, ...]
) -> Iterator[Track]:
    """Draw the rail beside the spine, from its first tap or foot to its last, and the taps."""
    spine, width = course.sketch.spine, branch_track_mm(parameters)
    pin = parameters.resistor_part.pattern.land("1")
    stations, drawn = list(feet), []
    for branch in circuit.branches:
        land = course.ballast_pose(branch, 0).place(pin.x_mm, pin.y_mm)
        along = spine.locate(land)[0]
        # The first branch's ballast may lie before the start of a closed spine.
        along = _unwound(course, along) if branch is circuit.branches[0] else along
        stations.append(along)
        drawn.append(_top(SUPPLY_NET, width, course.on_rail(along), land))
    across = course.sketch.rail_side * course.rail_from_mm
    stations.sort()
    points = [course.on_rail(stations[0])]
    for before, after in pairwise(stations):
        points += spine.path(before, after, across)[1:]
    if len(points) > 1:
        yield _top(SUPPLY_NET, course.rail_mm, *points)
    yield from drawn


def _links(parameters: Parameters, course: Course, branch: Branch) -> Iterator[Track]:
    """Join ballasts and LEDs of a branch, land to land."""
    width, spine = branch_track_mm(parameters), course.sketch.spine
    resistor, led = parameters.resistor_part.pattern, branch.kind.led.pattern

    def ballast(place: int, pin: str) -> Point:
        land = resistor.land(pin)
        return course.ballast_pose(branch, place).place(land.x_mm, land.y_mm)

    def site(place: int, pin: str) -> Point:
        land = led.land(pin)
        return course.led_pose(branch.first_site + place).place(land.x_mm, land.y_mm)

    last = branch.kind.ballast.count - 1
    for place in range(last):
        net = branch.nets[place + 1].name
        yield _top(net, width, ballast(place, "2"), ballast(place + 1, "1"))
    leave, anode = ballast(last, "2"), site(0, "2")
    corner = (spine.place(spine.locate(anode)[0], spine.locate(leave)[1]),)
    bend = corner if course.ballast.bends else ()
    yield _top(branch.around(branch.leds[0])[0], width, leave, *bend, anode)
    for place in range(1, branch.kind.leds):
        net = branch.around(branch.leds[place])[0]
        yield _top(net, width, site(place - 1, "1"), site(place, "2"))


def _vias(
    parameters: Parameters, circuit: Circuit, course: Course, board: Board
) -> tuple[Via, ...]:
    """Join the two return pours beside the last LED of each branch, where there is room for all."""
    if len(parameters.sides) == 1:
        return ()
    aims = parameters.limits.aims
    needs = Needs(parameters, circuit, course.ballast, course.rail_mm)
    # Names stand upright: beside parts that stand upright too they reach as far as they are long.
    longest = circuit.branches[-1].leds[-1]
    wide, _ = size_mm(longest, aims.text_mm, aims.legend_stroke_mm, parameters.lettering)
    away = needs.parts_below + 3 * aims.legend_part_mm + wide + aims.via_land_mm / 2
    places = [
        course.sketch.spine.place(
            course.sketch.sites_mm[branch.first_site + branch.kind.leds - 1],
            -course.sketch.rail_side * away,
        )
        for branch in circuit.branches
    ]
    vias = tuple(
        Via(net=RETURN_NET, x_mm=x, y_mm=y, hole_mm=aims.via_hole_mm, land_mm=aims.via_land_mm)
        for x, y in places
    )
    roomy = clear(
        replace(board, vias=vias), parameters.limits, max(edge_mm(parameters), aims.part_edge_mm)
    )
    return vias if roomy else ()


def _refusal(parameters: Parameters, circuit: Circuit) -> RefusalError:
    """Say what is too small, with the smallest change of one measure that fits, if there is one."""
    form, planned = parameters.form, plan(parameters)
    offers: list[Change] = []
    key, what = planned.keys.pitch, "the parts find no room at this pitch"

    def fitted(**changes: float | None) -> bool:
        other = replace(parameters, form=replace(form, **changes))  # type: ignore[arg-type]
        return _fitted(other, circuit, narrow=True) is not None

    def least(does: Callable[[float], bool], from_mm: float, step_mm: float) -> float | None:
        return smallest(does, from_mm, step_mm, _MOST_STEPS)

    if planned.size_mm is not None and fitted(diameter_mm=None):
        key, what = planned.keys.across, "the board is too small for its parts"
        size = least(lambda mm: fitted(diameter_mm=mm), planned.size_mm, _STEP_MM)
        offers += [Change(path=key, value=f'"{size:g} mm"')] if size else []
    elif (hole := form.hole_mm) is not None and fitted(hole_mm=None):
        key, what = "form.hole", "the opening leaves the parts no room"
        less = least(lambda mm: fitted(hole_mm=max(hole - mm, 0.0)), _STEP_MM, _STEP_MM)
        offers += [Change(path=key, value=f'"{hole - less:g} mm"')] if less else []
    else:
        step = parameters.limits.aims.grid_mm
        pitch = least(lambda mm: fitted(pitch_mm=mm), planned.pitch_mm, step)
        offers += [Change(path=key, value=f'"{pitch:g} mm"')] if pitch else []
    return RefusalError(
        Problem(
            what=what,
            offers=tuple(offers),
            remedy="" if offers else "take smaller parts, or fewer limits",
            file=parameters.file,
            line=parameters.origin(key).line,
            path=key,
        )
    )
