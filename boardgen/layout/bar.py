"""The form "bar": LEDs in equal rows, all facing one way, the rail along each row."""

from dataclasses import replace

from boardgen.layout import marks, texts, tracks
from boardgen.layout.frame import LED_TURN_DEG, Frame, frame
from boardgen.layout.needs import edge_mm
from boardgen.model.board import Board, MountingHole, Outline, Part, PartKind, Pour, Side
from boardgen.model.circuit import RETURN_NET, SUPPLY_NET, Branch, Circuit
from boardgen.model.parameters import Parameters
from boardgen.units import resistance


def lay_out(parameters: Parameters, circuit: Circuit) -> Board:
    """Lay a bar out.

    Raises
    ------
    RefusalError
        When something does not fit, with the smallest change that would.
    """
    measures = frame(parameters, circuit)
    board = Board(
        outline=Outline(
            length_mm=measures.length_mm,
            width_mm=measures.width_mm,
            corner_mm=measures.corner_mm,
        ),
        parts=(
            *_leds(parameters, circuit, measures),
            *_ballasts(parameters, circuit, measures),
            _connector(parameters, measures),
        ),
        tracks=tracks.tracks(parameters, circuit, measures),
        vias=tracks.vias(parameters, circuit, measures),
        holes=_holes(parameters, measures),
        pours=tuple(Pour(side=side, net=RETURN_NET, edge_mm=edge_mm(parameters)) for side in Side),
        texts=(),
        marks=(),
    )
    board = replace(board, marks=marks.marks(parameters, board))
    return texts.with_texts(parameters, circuit, board)


def _leds(parameters: Parameters, circuit: Circuit, measures: Frame) -> list[Part]:
    found: list[Part] = []
    for branch in circuit.branches:
        for place in range(branch.kind.leds):
            nets = {
                "A": circuit.net(branch, place + 1),
                "K": circuit.net(branch, place + 2) if place + 1 < branch.kind.leds else RETURN_NET,
            }
            found.append(
                Part(
                    reference=f"D{len(found) + 1}",
                    kind=PartKind.LED,
                    value=parameters.led.name,
                    pattern=parameters.led.pattern,
                    x_mm=measures.led_x_mm(branch.first_column + place),
                    y_mm=measures.row_y_mm[branch.row],
                    rotation_deg=LED_TURN_DEG,
                    # By pin number, as the netlist has it: 1 is the cathode, 2 the anode.
                    nets=(("1", nets["K"]), ("2", nets["A"])),
                )
            )
    return found


def _ballasts(parameters: Parameters, circuit: Circuit, measures: Frame) -> list[Part]:
    return [
        Part(
            reference=f"R{branch.number}",
            kind=PartKind.RESISTOR,
            value=resistance(branch.kind.ballast.value_ohm),
            pattern=parameters.resistor_part.pattern,
            x_mm=measures.led_x_mm(branch.first_column) + measures.ballast.along_mm,
            y_mm=_ballast_y(measures, branch),
            rotation_deg=0,
            nets=(("1", SUPPLY_NET), ("2", circuit.net(branch, 1))),
        )
        for branch in circuit.branches
    ]


def _ballast_y(measures: Frame, branch: Branch) -> float:
    return measures.row_y_mm[branch.row] + measures.up * measures.ballast.across_mm


def _connector(parameters: Parameters, measures: Frame) -> Part:
    return Part(
        reference="J1",
        kind=PartKind.CONNECTOR,
        value=parameters.connector_part.name,
        pattern=parameters.connector_part.pattern,
        x_mm=measures.connector_x_mm,
        y_mm=measures.middle_y_mm,
        rotation_deg=measures.connector_turn_deg,
        nets=(("1", SUPPLY_NET), ("2", RETURN_NET)),
    )


def _holes(parameters: Parameters, measures: Frame) -> tuple[MountingHole, ...]:
    screw = parameters.screw
    return tuple(
        MountingHole(
            reference=f"MH{number}",
            x_mm=x,
            y_mm=measures.middle_y_mm,
            hole_mm=screw.hole_mm,
            head_mm=max(screw.head_mm, screw.washer_mm),
            room_mm=screw.room_mm,
        )
        for number, x in enumerate(measures.hole_x_mm, start=1)
    )
