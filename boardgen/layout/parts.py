"""Parts with their nets in their places: a branch's LEDs and ballasts, the supply's way in."""

from collections.abc import Sequence
from typing import Protocol

from boardgen.layout.inlet import Inlet, connector_turn_deg, guard_turn_deg
from boardgen.model.board import Part, PartKind, Point, Side
from boardgen.model.circuit import RETURN_NET, SUPPLY_NET, UNCONNECTED, Branch, Circuit
from boardgen.model.parameters import Parameters
from boardgen.model.pose import Pose
from boardgen.units import resistance


class Way(Protocol):
    """What knows where the supply comes in."""

    @property
    def inlet(self) -> Inlet:
        """Connector, guards and switch, in coordinates of their own."""

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
        pattern=parameters.resistor_part.pattern,
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
            pattern=parameters.test_land,
            pose=Pose(x_mm=x, y_mm=y),
            nets=(("1", net),),
        )
        for number, (net, (x, y)) in enumerate(
            zip((SUPPLY_NET, RETURN_NET), places, strict=False), start=1
        )
    )


def inlet_parts(parameters: Parameters, circuit: Circuit, way: Way) -> tuple[Part, ...]:
    """Place connector and switch, and what stands in the supply line."""
    return (*_connector(parameters, circuit, way), *_guards(parameters, circuit, way))


def _connector(parameters: Parameters, circuit: Circuit, measures: Way) -> list[Part]:
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


def _guards(parameters: Parameters, circuit: Circuit, measures: Way) -> list[Part]:
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
