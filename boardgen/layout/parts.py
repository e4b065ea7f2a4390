"""Parts with their nets in their places: a branch's LEDs and ballasts, the supply's way in."""

from collections.abc import Sequence
from typing import Protocol

from boardgen.layout.inlet import InletPlaces, connector_turn_deg
from boardgen.model.board import Part, PartKind, Point, Side
from boardgen.model.circuit import RETURN_NET, SUPPLY_NET, UNCONNECTED, Branch, Circuit
from boardgen.model.parameters import Parameters
from boardgen.model.pose import Pose
from boardgen.units import resistance


class Way(Protocol):
    """What knows where the supply comes in."""

    @property
    def inlet(self) -> InletPlaces:
        """Connector, guards and switch, in coordinates of their own."""

    @property
    def inwards_deg(self) -> float:
        """Which way the supply runs as it comes in."""

    def inlet_place(self, u_mm: float, v_mm: float) -> Point:
        """Carry a point of the inlet onto the board."""


def led_part(branch: Branch, reference: str, pose: Pose) -> Part:
    """Place an LED of a branch."""
    anode, cathode = branch.around(reference)
    return Part(
        reference=reference,
        kind=PartKind.LED,
        value=branch.kind.led.name,
        pattern=branch.kind.led.pattern,
        pose=pose,
        # By pin number, as the netlist has it: 1 is the cathode, 2 the anode.
        nets=(("1", cathode), ("2", anode)),
    )


def ballast_part(parameters: Parameters, branch: Branch, reference: str, pose: Pose) -> Part:
    """Place a resistor of a branch's ballast."""
    before, behind = branch.around(reference)
    return Part(
        reference=reference,
        kind=PartKind.RESISTOR,
        value=resistance(branch.kind.ballast.value_ohm),
        pattern=parameters.parts.resistor.pattern,
        pose=pose,
        nets=(("1", before), ("2", behind)),
    )


def probe_parts(parameters: Parameters, places: Sequence[Point]) -> tuple[Part, ...]:
    """Place the test points of V+ and 0 V, where there are such."""
    return tuple(
        Part(
            reference=f"TP{number}",
            kind=PartKind.TEST_POINT,
            value=net,
            pattern=parameters.parts.probe,
            pose=Pose(x_mm=x, y_mm=y),
            nets=(("1", net),),
        )
        for number, (net, (x, y)) in enumerate(
            zip((SUPPLY_NET, RETURN_NET), places, strict=False), start=1
        )
    )


def joint_parts(parameters: Parameters, far_door: Pose | None) -> tuple[Part, ...]:
    """Place the lands at which the next board is joined, where there are such."""
    joint = parameters.parts.joint
    if joint is None or far_door is None:
        return ()
    x, y = far_door.place(-joint.pattern.body.bottom_mm, 0.0)
    return (
        Part(
            reference=f"{PartKind.JOINT.row.letter}1",
            kind=PartKind.JOINT,
            value=joint.name,
            pattern=joint.pattern,
            pose=Pose(x_mm=x, y_mm=y, turn_deg=connector_turn_deg(far_door.turn_deg)),
            nets=tuple(
                (land.name, SUPPLY_NET if land.function == "+" else RETURN_NET)
                for land in joint.pattern.lands
            ),
            side=Side(parameters.connector.side),
        ),
    )


def inlet_parts(parameters: Parameters, circuit: Circuit, way: Way) -> tuple[Part, ...]:
    """Place connector and switch, and what stands in the supply line."""
    return (*_connector(parameters, circuit, way), *_guards(circuit, way))


def _connector(parameters: Parameters, circuit: Circuit, measures: Way) -> list[Part]:
    """Place the connector, and the switch behind it and the guards."""
    inlet, connector = measures.inlet, parameters.parts.connector
    turn = connector_turn_deg(measures.inwards_deg)
    x, y = measures.inlet_place(inlet.pins_u_mm, 0.0)
    found = [
        Part(
            reference=circuit.inlet.connector,
            kind=PartKind.CONNECTOR,
            value=connector.name,
            pattern=connector.pattern,
            pose=Pose(x_mm=x, y_mm=y, turn_deg=turn),
            nets=tuple(
                (land.name, circuit.inlet.nets[0].name if land.function == "+" else RETURN_NET)
                for land in connector.pattern.lands
            ),
            side=Side(parameters.connector.side),
        )
    ]
    switch = circuit.inlet.switch
    if switch and parameters.parts.switch and inlet.switch_u_mm is not None:
        fed, rail = circuit.inlet.around(switch)
        x, y = measures.inlet_place(inlet.switch_u_mm, 0.0)
        found.append(
            Part(
                reference=switch,
                kind=PartKind.SWITCH,
                value=parameters.parts.switch.name,
                pattern=parameters.parts.switch.pattern,
                pose=Pose(x_mm=x, y_mm=y, turn_deg=turn),
                nets=(("1", rail), ("2", fed), ("3", UNCONNECTED)),
                side=Side(parameters.connector.side),
            )
        )
    return found


def _guards(circuit: Circuit, measures: Way) -> list[Part]:
    """Place what stands in the supply line."""
    inlet, found = measures.inlet, []
    for reference, guard in zip(circuit.inlet.guards, inlet.guards, strict=True):
        kind = PartKind(guard.guard.kind)
        turn, pattern = measures.inwards_deg % 360.0, guard.guard.pattern
        if kind is PartKind.DIODE:
            # In lists pin 1, the cathode, lies to the left at 0 degrees, as an LED's does.
            turn, pattern = (turn + 180.0) % 360.0, pattern.half_turned()
        x, y = measures.inlet_place(*guard.middle)
        ends = kind.row.passes or ("", "")
        nets = dict(zip(ends, circuit.inlet.around(reference), strict=True))
        found.append(
            Part(
                reference=reference,
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
