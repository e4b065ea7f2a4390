"""The form "bar": LEDs in equal rows, all facing one way, the rail along each row."""

from dataclasses import replace

from boardgen.errors import Change, Problem, RefusalError
from boardgen.layout import marks, texts, tracks
from boardgen.layout.drops import with_drops
from boardgen.layout.frame import LED_TURN_DEG, Frame, frame
from boardgen.layout.inlet import (
    connector_turn_deg,
    guard_side,
    guard_turn_deg,
    widest_feed_mm,
)
from boardgen.layout.needs import edge_mm
from boardgen.layout.screws import refuse_screws_in_the_way
from boardgen.layout.spokes import lead_spoke_mm
from boardgen.layout.writer import NoRoomError
from boardgen.model.board import Board, MountingHole, Part, PartKind, Pour, Side
from boardgen.model.circuit import (
    RETURN_NET,
    SUPPLY_NET,
    UNCONNECTED,
    Branch,
    Circuit,
)
from boardgen.model.outline import rectangle
from boardgen.model.parameters import Parameters
from boardgen.model.pose import Pose
from boardgen.units import resistance


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
        *_leds(parameters, circuit, measures),
        *_ballasts(parameters, circuit, measures),
        *_inlet_parts(parameters, circuit, measures),
        *_guards(parameters, circuit, measures),
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


def _leds(parameters: Parameters, circuit: Circuit, measures: Frame) -> list[Part]:
    found: list[Part] = []
    for branch in circuit.branches:
        for place, reference in enumerate(branch.leds):
            anode, cathode = branch.around(reference)
            found.append(
                Part(
                    reference=reference,
                    kind=PartKind.LED,
                    value=parameters.led.name,
                    pattern=parameters.led.pattern,
                    pose=Pose(
                        x_mm=measures.led_x_mm(measures.column(branch) + place),
                        y_mm=measures.row_y_mm[measures.row(branch)],
                        turn_deg=LED_TURN_DEG,
                    ),
                    # By pin number, as the netlist has it: 1 is the cathode, 2 the anode.
                    nets=(("1", cathode), ("2", anode)),
                )
            )
    return found


def _ballasts(parameters: Parameters, circuit: Circuit, measures: Frame) -> list[Part]:
    return [
        Part(
            reference=reference,
            kind=PartKind.RESISTOR,
            value=resistance(branch.kind.ballast.value_ohm),
            pattern=parameters.resistor_part.pattern,
            pose=Pose(
                x_mm=measures.ballast_x_mm(branch, place),
                y_mm=_ballast_y(measures, branch),
            ),
            nets=(
                ("1", branch.around(reference)[0]),
                ("2", branch.around(reference)[1]),
            ),
        )
        for branch in circuit.branches
        for place, reference in enumerate(branch.ballasts)
    ]


def _ballast_y(measures: Frame, branch: Branch) -> float:
    return measures.row_y_mm[measures.row(branch)] + measures.up * measures.ballast.across_mm


def _inlet_parts(parameters: Parameters, circuit: Circuit, measures: Frame) -> list[Part]:
    """Place the connector, and the switch behind it and the guards."""
    inlet, connector = measures.inlet, parameters.connector_part
    turn = connector_turn_deg(parameters.connector.at)
    x, y = measures.inlet_place(inlet.pins_u_mm, 0.0)
    found = [
        Part(
            reference="J1",
            kind=PartKind.CONNECTOR,
            value=connector.name,
            pattern=connector.pattern,
            pose=Pose(x_mm=x, y_mm=y, turn_deg=turn),
            nets=tuple(
                (land.name, circuit.line[0].name if land.function == "+" else RETURN_NET)
                for land in connector.pattern.lands
            ),
            side=Side(parameters.connector.side),
        )
    ]
    if parameters.switch_part and inlet.switch_u_mm is not None:
        x, y = measures.inlet_place(inlet.switch_u_mm, 0.0)
        found.append(
            Part(
                reference="S1",
                kind=PartKind.SWITCH,
                value=parameters.switch_part.name,
                pattern=parameters.switch_part.pattern,
                pose=Pose(x_mm=x, y_mm=y, turn_deg=turn),
                nets=(("1", SUPPLY_NET), ("2", circuit.line[-2].name), ("3", UNCONNECTED)),
                side=Side(parameters.connector.side),
            )
        )
    return found


def _guards(parameters: Parameters, circuit: Circuit, measures: Frame) -> list[Part]:
    """Place what stands in the supply line."""
    inlet, found = measures.inlet, []
    for place, guard in enumerate(inlet.guards):
        kind = PartKind(guard.guard.kind)
        turn, pattern = guard_turn_deg(parameters.connector.at), guard.guard.pattern
        if kind is PartKind.DIODE:
            # In lists pin 1, the cathode, lies to the left at 0 degrees, as an LED's does.
            turn, pattern = (turn + 180) % 360, pattern.half_turned()
        x, y = measures.inlet_place(*guard.middle)
        ends = kind.row.passes or ("", "")
        nets = {ends[0]: circuit.line[place].name, ends[1]: circuit.line[place + 1].name}
        found.append(
            Part(
                reference=_apart(parameters.light.count)
                if kind is PartKind.DIODE
                else f"{kind.row.letter}1",
                kind=kind,
                value=guard.guard.name,
                pattern=pattern,
                pose=Pose(x_mm=x, y_mm=y, turn_deg=turn),
                nets=tuple(
                    (land.name, nets.get(land.function, RETURN_NET))
                    for land in guard.guard.pattern.lands
                ),
            )
        )
    return found


def _apart(leds: int) -> str:
    """Name a diode that is no LED, so that nobody takes it for one: D101 beside up to 99 of them.

    Examples
    --------
    >>> _apart(18), _apart(100)
    ('D101', 'D1001')
    """
    return f"D{10 ** max(2, len(str(leds)))}"[:-1] + "1"


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
