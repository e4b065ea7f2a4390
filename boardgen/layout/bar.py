"""The form "bar": LEDs in equal rows, all facing one way, the rail along each row."""

from dataclasses import replace

from boardgen.errors import Change, Problem, RefusalError
from boardgen.layout import marks, texts, tracks
from boardgen.layout.drops import with_drops
from boardgen.layout.frame import LED_TURN_DEG, Frame, frame
from boardgen.layout.inlet import (
    guard_side,
    widest_feed_mm,
)
from boardgen.layout.needs import edge_mm
from boardgen.layout.parts import ballast_part, inlet_parts, led_part
from boardgen.layout.screws import refuse_screws_in_the_way
from boardgen.layout.spokes import lead_spoke_mm
from boardgen.layout.writer import NoRoomError
from boardgen.model.board import Board, MountingHole, Part, PartKind, Pour
from boardgen.model.circuit import (
    RETURN_NET,
    SUPPLY_NET,
    Branch,
    Circuit,
)
from boardgen.model.outline import rectangle
from boardgen.model.parameters import Parameters
from boardgen.model.pose import Pose


def lay_out(parameters: Parameters, circuit: Circuit) -> Board:
    """Lay a bar out; where letters find no room and the width is free, as much wider as they need.

    Raises
    ------
    RefusalError
        When something does not fit, with the smallest change that would.
    """
    _refuse_gate_astray(parameters)
    free = not parameters.printed and parameters.form.width_mm is None
    if parameters.printed and parameters.form.width_mm is None:
        return _widened(parameters, circuit)
    for more_lines in range(_MOST_LINES if free else 0):
        try:
            return _lay_out(parameters, circuit, more_lines)
        except NoRoomError:
            continue
    return _lay_out(parameters, circuit, _MOST_LINES if free else 0)


_MOST_LINES = 4
_MOST_WIDER = 3


def _widened(parameters: Parameters, circuit: Circuit) -> Board:
    """Lay a printed bar out as wide as its parts ask for, or wider for words that have to stand."""
    form = parameters.form
    for _ in range(_MOST_WIDER):
        try:
            return _lay_out(replace(parameters, form=form), circuit, 0)
        except NoRoomError as error:
            form = replace(form, width_mm=error.width_mm)
    return _lay_out(replace(parameters, form=form), circuit, 0)


def _refuse_gate_astray(parameters: Parameters) -> None:
    """Refuse a transistor whose gate would lie between the + line and the edge, cut off."""
    guard = parameters.reverse_part
    if guard and guard.kind == "transistor" and guard_side(parameters) < 0:
        raise RefusalError(
            Problem(
                what=f"a {guard.name} transistor's gate finds no way to 0 V beside a connector that"
                " is mounted from below",
                offers=(Change(path="protection.reverse", value='"schottky"'),),
                file=parameters.file,
                line=parameters.origin("protection.reverse").line,
                path="protection.reverse",
            )
        )


def _lay_out(parameters: Parameters, circuit: Circuit, more_lines: int) -> Board:
    measures = frame(parameters, circuit, more_lines)
    parts = (
        *_leds(circuit, measures),
        *_ballasts(parameters, circuit, measures),
        *inlet_parts(parameters, circuit, measures),
        *_probes(parameters, measures),
    )
    board = Board(
        outline=rectangle(measures.length_mm, measures.width_mm, measures.corner_mm),
        parts=parts,
        tracks=with_drops(
            tracks.tracks(parameters, circuit, measures),
            parts,
            # Between switch and guards there is no room for wider tracks.
            0.0
            if parameters.switch_part or parameters.guards
            else widest_feed_mm(parameters, edge_mm(parameters)),
            parameters.limits.aims.pour_gap_mm,
        ),
        vias=tracks.vias(parameters, circuit, measures),
        holes=_holes(parameters, measures),
        pours=tuple(
            Pour(
                side=side,
                net=RETURN_NET,
                edge_mm=edge_mm(parameters),
                lead_spoke_mm=lead_spoke_mm(parameters, circuit),
            )
            for side in parameters.sides
        ),
        texts=(),
        marks=(),
    )
    board = replace(board, marks=marks.marks(parameters, board, measures.up))
    refuse_screws_in_the_way(parameters, board)
    return texts.with_texts(parameters, circuit, board, measures.up)


def _leds(circuit: Circuit, measures: Frame) -> list[Part]:
    return [
        led_part(
            branch,
            reference,
            Pose(
                x_mm=measures.led_x_mm(measures.column(branch) + place),
                y_mm=measures.row_y_mm[measures.row(branch)],
                turn_deg=LED_TURN_DEG,
            ),
        )
        for branch in circuit.branches
        for place, reference in enumerate(branch.leds)
    ]


def _ballasts(parameters: Parameters, circuit: Circuit, measures: Frame) -> list[Part]:
    return [
        ballast_part(
            parameters,
            branch,
            reference,
            Pose(x_mm=measures.ballast_x_mm(branch, place), y_mm=_ballast_y(measures, branch)),
        )
        for branch in circuit.branches
        for place, reference in enumerate(branch.ballasts)
    ]


def _ballast_y(measures: Frame, branch: Branch) -> float:
    return measures.row_y_mm[measures.row(branch)] + measures.up * measures.ballast.across_mm


def _probes(parameters: Parameters, measures: Frame) -> list[Part]:
    """Place the test points of V+ and 0 V, one opposite the other."""
    if not parameters.copper.test_points:
        return []
    x, y = tracks.probe_place(parameters, measures)
    places = ((SUPPLY_NET, y), (RETURN_NET, measures.width_mm - y))
    return [
        Part(
            reference=f"TP{number}",
            kind=PartKind.TEST_POINT,
            value=net,
            pattern=parameters.test_land,
            pose=Pose(x_mm=x, y_mm=level),
            nets=(("1", net),),
        )
        for number, (net, level) in enumerate(places, start=1)
    ]


def _holes(parameters: Parameters, measures: Frame) -> tuple[MountingHole, ...]:
    screw = parameters.screw
    return tuple(
        MountingHole(
            reference=f"MH{number}",
            x_mm=x,
            y_mm=y,
            hole_mm=screw.hole_mm,
            covered_mm=screw.covered_mm,
            room_mm=screw.room_mm,
        )
        for number, (x, y) in enumerate(measures.hole_places_mm, start=1)
    )
